"""What a reader waits for: importing, the first cell of each lesson, the command until the first lesson can be used; and memory.

Beside each stands what any such notebook must load: numpy, pint, ipywidgets and pyplot. Run as: python tests/benchmarks/benchmark_start.py
"""

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import nbformat
import psutil
from jupyter_client.manager import start_new_kernel
from playwright.sync_api import sync_playwright

sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))
from conftest import FLAGS, Lab, chromium_path

WORKBOOK = Path(__file__).parents[2] / "workbook"
PLAIN = "import numpy, pint, ipywidgets\nimport matplotlib.pyplot as plt"
DRAWN = (
    PLAIN
    + "\npint.UnitRegistry()\nipywidgets.interact(lambda x: plt.plot([0, x]) and plt.show(), x=(0.0, 1.0));"
)
IMPORTS = [
    "",
    PLAIN,
    "import crankmath",
    "from crankmath import units",
    "from crankmath import spacers",
    "from crankbook import lesson",
]


def import_seconds(source, rounds=5):
    """Median wall time of a Python that runs the source and ends."""
    times = []
    for _ in range(rounds + 1):
        begin = time.perf_counter()
        subprocess.run([sys.executable, "-c", source], check=True)
        times.append(time.perf_counter() - begin)
    return statistics.median(times[1:])  # the first may compile


def seconds_and_memory(*cells):
    """Seconds of each cell in a fresh kernel, and what the kernel then holds [MB]."""
    manager, client = start_new_kernel(stderr=subprocess.DEVNULL)
    try:
        client.execute_interactive("1 + 1", timeout=60, output_hook=lambda message: None)
        taken = []
        for source in cells:
            begin = time.perf_counter()
            reply = client.execute_interactive(
                source, timeout=120, output_hook=lambda message: None
            )
            assert reply["content"]["status"] == "ok", reply["content"]
            taken.append(time.perf_counter() - begin)
        held = psutil.Process(manager.provisioner.pid).memory_full_info()
        return taken, getattr(held, "pss", held.uss) / 1e6
    finally:
        client.stop_channels()
        manager.shutdown_kernel(now=True)


def first_and_panel(path):
    cells = [cell for cell in nbformat.read(path, as_version=4).cells if cell.cell_type == "code"]
    panels = [cell.source for cell in cells if "panel" in cell.metadata.get("tags", [])]
    return cells[0].source, panels[0]


def start():
    """Seconds from the command to the server's answer and to the first lesson with its kernel ready; and those of its first cell."""
    own = Path(tempfile.mkdtemp())
    begin = time.perf_counter()
    lab = Lab(own)
    marks = [time.perf_counter() - begin]
    try:
        with sync_playwright() as driver:
            browser = driver.chromium.launch(
                executable_path=chromium_path(), headless=True, args=FLAGS
            )
            page = browser.new_page(viewport={"width": 1280, "height": 900})
            lab.show(page, "00-start-here.ipynb")
            marks.append(time.perf_counter() - begin)
            page.wait_for_timeout(1500)  # keys go astray while the page still settles
            first = page.locator(".jp-CodeCell").first
            first.locator(".cm-content").click()
            begun = time.perf_counter()
            page.keyboard.press("Shift+Enter")
            first.locator(".jp-InputPrompt", has_text="[1]:").wait_for(timeout=60_000)
            marks.append(time.perf_counter() - begun)
            browser.close()
    finally:
        lab.stop()
    return marks


def main():
    print(
        "importing, a Python started and ended [s]                   wall     ratio to the plain imports"
    )
    taken = {source: import_seconds(source) for source in IMPORTS}
    for source, wall in taken.items():
        print(
            f"{(source or '(nothing)').splitlines()[0]:<55}{wall:9.2f}{wall / taken[PLAIN]:12.2f}"
        )
    (plain, drawn), held = seconds_and_memory(PLAIN, DRAWN)
    print(
        "\nin a fresh kernel                    first cell [s]   panel [s]   memory [MB]   ratio of memory"
    )
    print(
        f"{'plain imports, interact with plt':<38}{plain:12.2f}{drawn:12.2f}{held:13.0f}{1.0:14.2f}"
    )
    for path in sorted(WORKBOOK.glob("[01]*.ipynb")):
        (first, panel), memory = seconds_and_memory(*first_and_panel(path))
        print(
            f"{path.stem:<38}{first:12.2f}{panel:12.2f}{memory:13.0f}{memory / held:14.2f}",
            flush=True,
        )
    print(
        "\nfrom the command, packages present [s]: server answers {:.1f}, first lesson ready {:.1f}; its first cell, run on the page {:.1f}".format(
            *start()
        )
    )


if __name__ == "__main__":
    main()
