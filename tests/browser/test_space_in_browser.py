"""A view in space on the page: the browser's pixels beside the printed picture's, turning by mouse and keys, playing."""

import base64
import io

import numpy as np
import pytest
from conftest import serious, still, until
from PIL import Image

from crankbook.editions.pages import Wanted, _page
from crankbook.editions.stored import Recorder
from crankbook.lessons.blank import lesson_01
from crankbook.pictures import space_still
from crankmath.units import Quantity

TURNS = range(0, 361, 60)
PIXELS = "() => document.querySelector('.crank-space').toDataURL()"
FINE = "() => { const c = document.querySelector('.crank-space'); return c.width > 1.2 * c.clientWidth; }"
RESTED = 600  # ms after which a view that rests is drawn finely again, with room


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    """Lesson 01 with one crank and rod, at seven angles."""
    panel = lesson_01.panel()
    grid = {name: [control.value] for name, control in panel.controls.items()}
    grid["turn"] = [Quantity(float(turn), "deg") for turn in TURNS]
    panel.presets = {}
    about = Wanted("turning", "Turning", "A crank.", "lesson_01", False)
    path = tmp_path_factory.mktemp("space") / "turning.html"
    path.write_text(_page(about, *Recorder(panel, grid).stored()), encoding="utf-8")
    return path


@pytest.fixture
def page(chromium, file):
    page = chromium.new_page(viewport={"width": 1280, "height": 900})
    problems = []
    page.on("pageerror", lambda error: problems.append(str(error)))
    page.goto(file.as_uri())
    page.wait_for_selector("html[data-ready]", timeout=120_000)
    page.evaluate(
        "window.asked = 0; document.addEventListener('crank-drawn', () => { window.asked++; }, true)"
    )
    rested(page)
    yield page
    assert problems == []
    page.close()


def rested(page, before=None):
    """Pixels of the view when it is drawn finely again, others than before."""
    until(page, lambda: page.evaluate(PIXELS), lambda drawn: drawn != before)
    page.wait_for_function(FINE)
    return still(page, lambda: page.evaluate(PIXELS))


def seen(page):
    """Where the canvas shows metal."""
    raw = base64.b64decode(page.evaluate(PIXELS).partition(",")[2])
    return np.asarray(Image.open(io.BytesIO(raw)).convert("RGBA"))[..., 3] > 128


def test_browser_and_printed_picture_show_the_same(page):
    """Two programs, one view: fewer than one pixel in a hundred differs."""
    shown, first = seen(page), page.evaluate(PIXELS)
    drawn, _ = lesson_01.items(
        "mm", *("pump", Quantity(120.0, "deg"), "4 throws", Quantity(0.0, "mm"))
    )
    page.locator("input[type=range]").first.evaluate(
        "slider => { slider.value = 120; slider.dispatchEvent(new Event('input')); }"
    )
    rested(page, first)
    turned = seen(page)
    assert (shown != turned).mean() > 0.01
    height, width = turned.shape
    printed = space_still.picture(drawn[0], width, height)[..., 3] > 0.5
    assert printed.mean() > 0.1 and (printed != turned).mean() < 0.01


def test_turned_by_keys_and_mouse_without_asking_and_back(page):
    view = page.locator(".crank-space")
    first = page.evaluate(PIXELS)
    view.focus()
    for key in ("ArrowRight", "ArrowUp"):
        page.keyboard.press(key)
    by_keys = rested(page, first)
    box = view.bounding_box()
    page.mouse.move(box["x"] + 100, box["y"] + 100)
    page.mouse.down()
    page.mouse.move(box["x"] + 160, box["y"] + 130, steps=4)
    page.mouse.up()
    assert rested(page, by_keys) != first
    assert page.evaluate("window.asked") == 0, "turning asks no kernel"
    view.focus()
    page.keyboard.press("Home")
    until(page, lambda: page.evaluate(PIXELS), lambda drawn: drawn == first)
    assert "Arrow keys turn the view" in view.get_attribute("aria-label")
    assert serious(page) == []


def test_it_plays_and_stops(page):
    slider = page.locator("input[type=range]").first
    before = slider.input_value()
    page.get_by_role("button", name="Play: Crank turned by").click()
    page.wait_for_function(
        "value => document.querySelector('input[type=range]').value !== value", arg=before
    )
    page.get_by_role("button", name="Stop: Crank turned by").click()
    stopped = still(page, lambda: (slider.input_value(), page.evaluate(PIXELS)))
    page.wait_for_timeout(RESTED)
    assert (slider.input_value(), page.evaluate(PIXELS)) == stopped
