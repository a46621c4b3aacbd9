"""Panels as single files: from the disk without a network, by keys, on a phone, by axe."""

import pytest
from conftest import PICTURES, SLIDER, serious, still, until
from playwright.sync_api import expect

from crankbook.editions import pages

LETTERS = """() => { const svg = document.querySelector('.crank-picture svg');
    const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
    const sizes = [...svg.querySelectorAll('text')].map(t => scale * t.getAttribute('font-size'));
    return Math.min(...sizes); }"""
NAMES = ("squeeze", "4")


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    """Coarse pages of a class page and of a lesson."""
    folder = tmp_path_factory.mktemp("pages")
    assert pages.main([str(folder), "--only", *NAMES, "--states", "60"]) == 0
    return folder


@pytest.fixture
def opened(chromium, files):
    """Opens a page of the folder, network off; afterwards no request and no error is on record."""
    size = {"width": 1280, "height": 720}
    context = chromium.new_context(viewport=size, offline=True, has_touch=True)
    page = context.new_page()
    outside, errors = [], []
    page.on("request", lambda request: outside.append(request.url))
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on("console", lambda line: errors.append(line.text) if line.type == "error" else None)

    def show(name):
        page.goto((files / name).as_uri())
        page.wait_for_selector("html[data-ready]")
        page.wait_for_selector(SLIDER)
        return page

    yield show
    assert [url for url in outside if not url.startswith(("file:", "data:", "blob:"))] == []
    assert errors == []
    context.close()


def test_slider_moves_by_keys_and_the_picture_follows(opened):
    page = opened("lesson-04.html")
    slider = page.locator(SLIDER).first
    before = page.locator(".crank-picture svg").inner_html(), slider.get_attribute("aria-valuetext")
    slider.focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_function(
        "before => document.querySelector('.crank-control input[type=range]')"
        ".getAttribute('aria-valuetext') !== before",
        arg=before[1],
    )
    until(page, page.locator(".crank-picture svg").inner_html, lambda drawn: drawn != before[0])
    assert page.locator(".crank-problem").inner_text() == ""
    page.keyboard.press("ArrowLeft")
    expect(slider).to_have_attribute("aria-valuetext", before[1])
    # the point of the chart is dragged, and the keys go on at its slider
    diameter = page.get_by_label("Diameter at the tool d", exact=True)
    begun, box = float(diameter.input_value()), page.locator(".crank-grip").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 120, y, steps=4)
    page.mouse.up()
    until(page, diameter.input_value, lambda value: float(value) > begun)
    box = still(page, page.locator(".crank-grip").bounding_box)
    # of so few states the stored diameters stand some 91 px apart
    assert abs(box["x"] + box["width"] / 2 - x - 120) < 46, "to the nearest stored"
    assert diameter.evaluate("slider => slider === document.activeElement")


def test_typed_value_goes_to_the_nearest_stored_and_says_so(opened):
    page = opened("lesson-04.html")
    field = page.get_by_label("Diameter at the tool d, type a value")
    problem = page.locator(".crank-problem")
    for text, said in (("21,3 mm", "nearest stored: "), ("21", "needs a unit"), ("21 kg", "kg")):
        field.fill(text)
        field.press("Enter")
        expect(problem).to_contain_text(said)
    assert page.get_by_label("Diameter at the tool d", exact=True).is_visible()


def test_units_hold_and_presets(opened):
    page = opened("lesson-04.html")
    page.get_by_role("button", name="Hold this").click()
    expect(page.locator(".crank-held")).to_contain_text("Before, in gray: ")
    page.get_by_role("button", name="Show inches").click()
    expect(page.get_by_label("Diameter at the tool d, type a value")).to_have_value("0.79 in")
    assert page.locator(".crank-problem").inner_text() == "", "a change of units moves nothing"
    readout = page.locator(".crank-readout")
    before = readout.inner_text()
    page.locator(".crank-buttons button").nth(1).click()
    expect(readout).not_to_have_text(before, use_inner_text=True)
    page.get_by_role("button", name="Reset").click()
    expect(readout).to_have_text(before, use_inner_text=True)


def test_a_preset_eases_to_exactly_where_it_jumps_without_motion(opened):
    page = opened("lesson-04.html")
    preset = page.locator(".crank-buttons button").nth(1)
    page.evaluate("""() => { window.states = []; const look = () => { requestAnimationFrame(look);
        const now = document.querySelector('.crank-picture svg > g:nth-of-type(2)').innerHTML;
        if (states.at(-1) !== now) states.push(now); }; look(); }""")

    def seen(motion):
        page.emulate_media(reduced_motion=motion)
        page.get_by_role("button", name="Reset").click()
        still(page, lambda: page.evaluate("states.length"))
        page.evaluate("states.splice(0, states.length - 1)")
        preset.click()
        until(page, lambda: page.evaluate("states.length"), lambda count: count > 1)
        still(page, lambda: page.evaluate("states.length"))
        return page.evaluate("states")

    before, jumped = seen("reduce")
    # a busy machine draws few of the states between
    eased = until(page, lambda: seen("no-preference"), lambda states: len(states) > 4)
    assert (eased[0], eased[-1]) == (before, jumped)


@pytest.mark.parametrize("name", ["squeeze.html", "lesson-04.html"])
def test_page_is_accessible(opened, files, name):
    page = opened(name)
    if name.startswith("lesson"):  # 1366 x 768 at 125 %, beside the bars of a notebook
        page.set_viewport_size({"width": 1093, "height": 614})
        high = page.locator(".crank-panel").evaluate("panel => panel.offsetHeight")
        assert high <= 480 and page.evaluate(LETTERS) >= 11, high
        boxes = [page.locator(f".crank-{one}").bounding_box() for one in ("controls", "picture")]
        assert boxes[0]["x"] + boxes[0]["width"] <= boxes[1]["x"], "knobs beside the picture"
    assert serious(page) == []
    page.goto((files / "index.html").as_uri())
    assert serious(page) == []
    assert page.get_by_role("link").count() == len(NAMES)


@pytest.mark.parametrize("width", [390, 768])
def test_on_a_phone_sliders_and_letters_can_be_used(opened, width):
    page = opened("squeeze.html")
    page.set_viewport_size({"width": width, "height": 800})
    PICTURES.mkdir(exist_ok=True)
    for place in range(page.locator(SLIDER).count()):
        box = still(page, page.locator(SLIDER).nth(place).bounding_box)
        assert box["width"] >= 200 and box["x"] >= 0 and box["x"] + box["width"] <= width
    page.keyboard.press("s")
    if (show := page.get_by_role("button", name="S: Show picture")).count():
        show.click()
    still(page, page.locator(".crank-picture").bounding_box)
    page.screenshot(path=PICTURES / f"single-page-{width}.png", full_page=True)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(LETTERS) >= 11
    assert serious(page) == []
    sideways = page.get_by_role("button", name="Show the right part")
    assert sideways.is_visible() == (width == 390)
    if width == 390:
        a_finger_moves_what_it_is_on(page, sideways)


def a_finger_moves_what_it_is_on(page, sideways):
    """On a marker the marker and nothing else, on a slider the slider, elsewhere the page."""
    touch = page.context.new_cdp_session(page)

    def swipe(box, right, down):
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        for step in range(9):
            at = [{"x": x + right * step / 8, "y": y + down * step / 8}]
            kind = "touchMove" if step else "touchStart"
            touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": at})
            page.wait_for_timeout(20)
        touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        still(page, lambda: (slider.input_value(), page.evaluate("scrollY")))

    slider, grip = page.get_by_label("Spacer too long by", exact=True), page.locator(".crank-grip")
    begun = float(slider.input_value())
    swipe(slider.bounding_box(), 80, 0)
    assert float(slider.input_value()) > begun
    page.get_by_role("button", name="Reset").tap()
    until(page, slider.input_value, lambda value: float(value) == begun)
    sideways.tap()
    for right, down in ((60, -60), (-60, 60)):
        still(page, page.locator(".crank-picture svg").inner_html)
        grip.evaluate("marker => marker.scrollIntoView({block: 'center', inline: 'center'})")
        before = float(slider.input_value()), still(page, grip.bounding_box)
        scrolled = page.evaluate("scrollY")
        swipe(before[1], right, down)
        assert (float(slider.input_value()) - before[0]) * right > 0
        assert page.evaluate("scrollY") == scrolled, "the finger holds the marker, not the page"
    box = page.locator(".crank-picture").bounding_box()
    begun = page.evaluate("scrollY")
    swipe(box | {"width": 40, "height": 200}, 0, 120)
    assert page.evaluate("scrollY") < begun - 60
