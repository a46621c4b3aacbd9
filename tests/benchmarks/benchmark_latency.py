"""Slider to painted picture in a real browser: our panel beside interact + plt.show, in one run.

The panel is measured twice: by single steps, whose pictures it fetches ahead, and by jumps of ten
steps that alternate in direction, which it cannot know.

Run as: python tests/benchmarks/benchmark_latency.py [--moves 60] [04 06 07 …]; lesson 04 alone without numbers.
"""

import argparse
import statistics
import sys
import tempfile
from pathlib import Path

import nbformat
from playwright.sync_api import sync_playwright

sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))
from conftest import FLAGS, Lab, chromium_path

from crankbook.lessons import modules

INTERACT = """import numpy as np, matplotlib.pyplot as plt, ipywidgets as widgets
from crankmath import cutting
from crankmath.units import Quantity
def draw(diameter=20.0):
    figure, axes = plt.subplots(figsize=(7, 4))
    across = np.linspace(2, 80, 400)
    for speed in (15, 20, 25, 30):
        axes.plot(across, cutting.spindle_speed(Quantity(speed, "m/min"), Quantity(across, "mm")).magnitude)
    axes.axvline(diameter); axes.set_yscale("log")
    plt.show()
widgets.interact(draw, diameter=widgets.FloatSlider(value=20, min=2, max=80, step=0.5));"""
PANEL = 'from crankbook.lessons import modules\nmodules()["lesson_{0}"].panel()'
WATCH = """
window.__painted = [];
const mark = () => requestAnimationFrame(() => { const c = new MessageChannel();
  c.port1.onmessage = () => window.__painted.push(performance.now()); c.port2.postMessage(0); });
document.addEventListener('load', e => { if (e.target.tagName === 'IMG') mark(); }, true);
document.addEventListener('crank-drawn', mark, true);
document.addEventListener('keydown', e => { if (e.key.startsWith('Arrow') || e.key.startsWith('Page')) window.__key = performance.now(); }, true);
"""


AT_END = "(one, back) => Number(one.value) === Number(back ? one.min : one.max)"
BACK = {"ArrowRight": "ArrowLeft", "ArrowLeft": "ArrowRight"}


def measure(page, handle, keys=("ArrowRight",), moves=60):
    """Median and 95th percentile [ms]; at the end of a short slider the arrow turns round."""
    slider, times, turned = page.locator(handle).first, [], False
    slider.focus()
    for move in range(moves + 5):
        key = keys[move % len(keys)]
        if key in BACK and slider.evaluate(AT_END, turned):
            turned = not turned
        page.evaluate("window.__painted = []")
        page.keyboard.press(BACK[key] if turned else key)
        page.wait_for_function("window.__painted.length > 0", timeout=8000)
        times.append(page.evaluate("window.__painted[0] - window.__key"))
        page.wait_for_timeout(120)
    times = sorted(times[5:])
    return statistics.median(times), times[int(0.95 * len(times))]


def main(arguments=None):
    parser = argparse.ArgumentParser()
    parser.add_argument("lessons", nargs="*", default=["04"])
    parser.add_argument("--moves", type=int, default=60)
    given = parser.parse_args(arguments)
    own = Path(tempfile.mkdtemp())
    lab = Lab(own)
    slider = ".crank-control input[type=range]"
    runs = [("interact", INTERACT, ".noUi-handle", ["ArrowRight"])]
    for number in given.lessons:
        if not hasattr(modules().get(f"lesson_{number}"), "panel"):
            print(f"lesson {number} has no panel with sliders")
            continue
        runs += [
            (f"{number} steps", PANEL.format(number), slider, ["ArrowRight"]),
            (
                f"{number} jumps",
                PANEL.format(number),
                slider,
                ["PageUp", "PageUp", "PageDown", "PageDown"],
            ),
        ]
    results = {}
    try:
        with sync_playwright() as driver:
            browser = driver.chromium.launch(
                executable_path=chromium_path(), headless=True, args=FLAGS
            )
            for name, source, handle, keys in runs:
                notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(source)])
                notebook.metadata["kernelspec"] = {
                    "name": "python3",
                    "display_name": "Python 3",
                    "language": "python",
                }
                file = f"{name.replace(' ', '-')}.ipynb"
                nbformat.write(notebook, own / file)
                page = browser.new_page(viewport={"width": 1280, "height": 900})
                page.add_init_script(WATCH)
                lab.open(page, file, "")
                page.wait_for_selector(handle, timeout=30_000)
                page.wait_for_timeout(1500)
                results[name] = measure(page, handle, keys, given.moves)
                page.close()
            browser.close()
    finally:
        lab.stop()
    print("slider to painted [ms]      median    p95    ratio of medians")
    for name, (median, high) in results.items():
        print(f"{name:<25}{median:9.0f}{high:7.0f}{median / results['interact'][0]:12.2f}")


if __name__ == "__main__":
    main()
