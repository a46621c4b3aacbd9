"""Makes the pictures of lessons that README shows: the live panels, in a real browser.

Run as: uv run --project lib python figures/make_lesson_pictures.py
"""

import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

FIGURES = Path(__file__).parent
sys.path.insert(0, str(FIGURES.parent / "tests" / "browser"))
from conftest import FLAGS, Lab, chromium_path, reach_panel

LESSONS = {
    "lesson-04": "04-choose-a-spindle-speed.ipynb",
    "lesson-08": "08-fit-the-spacers.ipynb",
    "lesson-10": "10-shape-the-fillet.ipynb",
}


def main():
    lab = Lab(Path(tempfile.mkdtemp()))
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=chromium_path(), headless=True, args=FLAGS)
        for name, lesson in LESSONS.items():
            page = browser.new_page(viewport={"width": 1280, "height": 1600})
            lab.open(page, lesson)
            reach_panel(page)
            page.locator(".crank-readout").first.scroll_into_view_if_needed()
            page.wait_for_timeout(1000)
            page.locator(".crank-panel").first.screenshot(path=FIGURES / f"{name}.png")
            page.close()
        browser.close()
    lab.stop()


if __name__ == "__main__":
    main()
