"""A real JupyterLab and a real Chromium for the browser tests."""

import contextlib
import os
import re
import shutil
import socket
import subprocess
import sys
import time
from pathlib import Path

import axe_playwright_python
import nbformat
import pytest
from playwright.sync_api import TimeoutError, expect, sync_playwright

SLIDER = ".crank-control input[type=range]"
IDLE = '.jp-Notebook-ExecutionIndicator[data-status="idle"]'
LIMIT = 240_000  # ms, for whatever is waited for: a loaded machine takes many times as long
ALL = int(os.environ.get("SWEEP", "0")) >= 200  # the whole way, before a release
expect.set_options(timeout=LIMIT)
PICTURES = Path(__file__).parent / "pictures"
TWO_FRAMES = "() => new Promise(then => requestAnimationFrame(() => requestAnimationFrame(then)))"
STARTED = re.compile(r"\[[\d*]+\]")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

AXE = Path(axe_playwright_python.__file__).parent / "axe.min.js"
SERIOUS = """within => axe.run(within ? {include: [[within]]} : document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa']})
    .then(result => result.violations.filter(v => ['serious', 'critical'].includes(v.impact))
    .map(v => [v.id, v.nodes.map(n => n.html.slice(0, 120)).slice(0, 3)]))"""


def serious(page, within=""):
    """What axe finds serious or critical on the page, or in a part of it."""
    page.evaluate(AXE.read_text())
    return page.evaluate(SERIOUS, within)


def until(page, look, wanted=bool, every=50):
    """Look every so many ms until what is seen is wanted; returns it."""
    deadline = time.monotonic() + LIMIT / 1000
    while not wanted(seen := look()):
        assert time.monotonic() < deadline, f"in the end it was {seen!r}"
        page.wait_for_timeout(every)
    return seen


def still(page, look):
    """Look until two looks with drawn frames between them see the same; returns it."""
    seen = None

    def same(now):
        nonlocal seen
        before, seen = seen, now
        page.evaluate(TWO_FRAMES)
        return now == before

    return until(page, look, same, 100)


def chromium_path():
    return next(
        filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None
    )


class Lab:
    """JupyterLab started by the workbook's own command; opens and runs lessons."""

    def __init__(self, own):
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        environment = {**os.environ, "CRANKMATH_WORK": str(own), "PYTHONUNBUFFERED": "1"}
        self.own, self.log = own, own / "server.log"
        with self.log.open("w") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "crankbook", "--no-browser", f"--port={port}"],
                env=environment,
                stdout=log,
                stderr=log,
            )
        deadline = time.monotonic() + LIMIT / 1000
        while time.monotonic() < deadline:
            found = re.search(
                r"http://127\.0\.0\.1:\d+/lab/tree/[^\s?]*\?token=(\w+)", self.log.read_text()
            )
            if found:
                self.address, self.token = f"http://127.0.0.1:{port}", found[1]
                return
            time.sleep(0.2)
        raise RuntimeError("JupyterLab did not start:\n" + self.log.read_text()[-3000:])

    def show(self, page, lesson):
        """Open a lesson alone on the page; its kernel is ready.

        Where a kernel's start fails, JupyterLab asks for one: the page is then loaded again.
        """
        for _ in range(3):
            page.goto(f"{self.address}/doc/tree/{lesson}?token={self.token}&reset")
            page.wait_for_selector(".jp-CodeCell")
            for _ in range(LIMIT // 300):
                running = page.request.get(f"{self.address}/api/sessions?token={self.token}").json()
                if lesson in [session["path"] for session in running]:
                    page.wait_for_selector(IDLE)
                    return
                if page.locator(".jp-Dialog").count():
                    print(f"JupyterLab asked: {page.locator('.jp-Dialog').first.inner_text()}")
                    break
                page.wait_for_timeout(300)
        raise RuntimeError(f"{lesson} got no kernel")

    def open(self, page, lesson, wanted=".panel("):
        """Open a lesson alone on the page and run its cells up to the one with the wanted words.

        The code below is left out: nbval runs it. Returns the name of the shortened lesson. It is
        written anew: JupyterLab saves what ran, and a prompt of last time is none of this one.
        """
        short = self.own / f"up-to-{wanted.strip('.(')}-{lesson}"
        notebook = nbformat.read(self.own / lesson, as_version=4)
        last = next(n for n, cell in enumerate(notebook.cells) if wanted in cell.source)
        notebook.cells = [
            cell
            for n, cell in enumerate(notebook.cells)
            if cell.cell_type == "markdown" or n == last or "setup" in cell.metadata.get("tags", [])
        ]
        nbformat.write(notebook, short)
        self.show(page, short.name)
        prompts = page.locator(".jp-InputPrompt", has_text=STARTED)

        def run():  # a busy machine may lose a click on the menu, or the cells with a late kernel
            page.locator(".jp-Notebook").first.click(position={"x": 5, "y": 5})
            page.keyboard.press("Escape")
            page.locator('.lm-MenuBar-item:has-text("Run")').click()
            page.locator('.lm-Menu-item[data-command="runmenu:run-all"]').click()
            with contextlib.suppress(TimeoutError):
                prompts.first.wait_for(timeout=10_000)
            page.wait_for_selector(IDLE)
            return until(page, prompts.all_inner_texts, lambda texts: "*" not in "".join(texts))

        until(page, run)
        return short.name

    def stop(self):
        self.process.terminate()
        self.process.wait(20)


def shown(page):
    """Prompts, outputs and questions of a lesson's page, to tell why something is missing."""
    parts = (".jp-InputPrompt", ".jp-OutputArea-output", ".jp-Dialog")
    texts = {part: page.locator(part).all_inner_texts() for part in parts}
    return {part: [text[-300:] for text in told if text] for part, told in texts.items()}


def reach_panel(page, wanted=SLIDER):
    """Scroll until the lesson's panel, or what else is wanted, is there."""
    deadline = time.monotonic() + LIMIT / 1000
    while not page.locator(wanted).count():  # JupyterLab attaches only the cells near the window
        assert time.monotonic() < deadline, f"{wanted} is not on the page: {shown(page)}"
        page.evaluate(
            "for (const outer of document.querySelectorAll('.jp-WindowedPanel-outer')) "
            "outer.scrollBy(0, outer.scrollTop + outer.clientHeight < outer.scrollHeight - 2 ? 400 : -1e6)"
        )
        page.wait_for_timeout(100)


@pytest.fixture
def page(chromium):
    """A page that keeps the errors of its scripts in ``problems``."""
    page = chromium.new_page(viewport={"width": 1280, "height": 900})
    page.set_default_timeout(LIMIT)
    page.problems = []
    page.on("pageerror", lambda error: page.problems.append(str(error)))
    yield page
    page.close()


@pytest.fixture(scope="session")
def lab(tmp_path_factory):
    running = Lab(tmp_path_factory.mktemp("own"))
    yield running
    running.stop()


@pytest.fixture(scope="module")
def chromium():
    """A browser for each file: its loop of events would stand in the way of notebooks run later."""
    path = chromium_path()
    if path is None:
        reason = "no Chromium found: install the package chromium to run the browser tests"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=path, headless=True, args=FLAGS)
        yield browser
        browser.close()
