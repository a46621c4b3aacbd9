"""Every class page at every screen: nothing past its edge, the headline seen from the last row."""

import pytest
from conftest import PICTURES, serious, still
from stage_page import mount, put

from crankbook.classroom import stage_pages
from crankbook.lesson.finding import Finding

# 1366 x 768 at 125 % is 1093 x 614 to the page
SCREENS = ((1024, 768), (1093, 614), (1280, 720), (1366, 768), (1920, 1080), (3840, 2160))
LEAST = 0.04  # of the screen's height, for the letters of the headline
SEEN = """() => {
    const pen = document.createElement('canvas').getContext('2d');
    const short = (list) => {  // an option wider than the list, its arrow and its edges
        const { fontSize, fontFamily } = getComputedStyle(list);
        pen.font = `${fontSize} ${fontFamily}`;
        return Math.max(...[...list.options].map(({ text }) => pen.measureText(text).width)) > list.clientWidth - 18;
    };
    const onScreen = (text) => parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().a;
    const find = (kind) => document.querySelector(`.crank-${kind}`);
    const box = (kind) => find(kind).getBoundingClientRect();
    const picture = box('picture'), image = box('picture img'), lines = find('lines');
    return { high: document.documentElement.scrollHeight, wide: document.documentElement.scrollWidth,
        letters: parseFloat(getComputedStyle(find('headline')).fontSize),
        picture: [picture.width, picture.height], apart: Math.abs(picture.height - image.height),
        cut: lines.scrollHeight - lines.clientHeight, lists: [...document.querySelectorAll('select')].filter(short),
        notes: Math.min(...[...document.querySelectorAll('.crank-picture svg text')].map(onScreen)) };
}"""


@pytest.fixture
def page(chromium):
    page = chromium.new_page()
    yield page
    page.close()


@pytest.fixture(autouse=True)
def empty_folder(tmp_path, monkeypatch):
    monkeypatch.setenv("CRANKMATH_WORK", str(tmp_path / "own"))


@pytest.mark.parametrize("listed", stage_pages.pages().values(), ids=lambda listed: listed.name)
def test_all_of_a_page_is_on_the_screen_with_before_and_now(listed, page, tmp_path):
    panel = stage_pages.make_panel(listed)
    mount(page, panel, listed, tmp_path)
    if panel.vote:
        page.keyboard.press("s")
    panel.receive({"type": "hold"})
    panel.receive({"type": "preset", "name": list(panel.presets)[0]})
    put(page, panel)
    PICTURES.mkdir(exist_ok=True)
    every = SCREENS if listed.lesson == "16" else SCREENS[:2]
    for width, height in every:
        page.set_viewport_size({"width": width, "height": height})
        seen = still(page, lambda: page.evaluate(SEEN))
        assert seen["high"] <= height and seen["wide"] <= width, (seen, width, height)
        assert seen["letters"] >= LEAST * height, (seen, width, height)
        assert not seen["lists"], ("options of a list are cut off", width, height)
        if width == 1024 and not listed.name.isdigit():  # a page made for a class: 11.4 px before
            assert seen["notes"] >= 12.5, (seen, width, height)
        assert seen["apart"] < 1 and seen["picture"][1] > 0.1 * height, (seen, width, height)
        if isinstance(panel.sentence, Finding):
            assert seen["cut"] <= 0, ("lines of the finding are cut off", seen, width, height)
    assert serious(page, "#rendered_cells") == []
    page.screenshot(path=PICTURES / f"stage-{listed.name}.png")
    tone = page.get_by_role("button", name="the tone")
    assert tone.count() == (listed.name == "chatter")
    if tone.count():  # silent until asked, and named with what is computed
        hertz = next(item.hertz for item in panel.items if item.kind == "tone")
        assert tone.inner_text() == f"Play the tone, {hertz:.0f} Hz" and hertz > 50
        tone.press("Enter")
        assert tone.get_attribute("aria-pressed") == "true"
        panel.receive({"type": "preset", "name": "Slow down"})
        put(page, panel)
        assert tone.inner_text() == "Stop the tone: quiet"
        tone.press("Enter")
        assert tone.get_attribute("aria-pressed") == "false"


def test_hold_is_labeled_and_let_go(page, tmp_path):
    listed = stage_pages.pages()["squeeze"]
    panel = stage_pages.make_panel(listed)
    mount(page, panel, listed, tmp_path)
    page.keyboard.press("s")
    first = page.locator(".crank-headline").inner_text()
    assert page.locator(".crank-holding").count() == 0
    panel.receive({"type": "hold"})
    panel.receive({"type": "preset", "name": "Short"})
    put(page, panel)
    held = page.locator(".crank-held").inner_text()
    assert held == f"Before, in gray: {first} ✓ fine"  # the headline and its verdict
    label = "getComputedStyle(document.querySelector('.crank-headline'), '::before').content"
    assert page.evaluate(label) == '"Now: "'
    panel.receive({"type": "release"})
    put(page, panel)
    assert (
        page.evaluate(label) in ("none", "normal") and not page.locator(".crank-held").is_visible()
    )


def test_votes_in_percent_and_a_second_vote_beside_the_first(page, tmp_path):
    listed = stage_pages.pages()["squeeze"]
    mount(page, stage_pages.make_panel(listed), listed, tmp_path)
    counts, parts = page.locator(".crank-hands input"), page.locator(".crank-part")
    assert page.locator(".crank-cover").is_visible()
    for place, votes in enumerate(("12", "6", "2")):
        counts.nth(place).fill(votes)
    assert parts.all_inner_texts() == ["60 %", "30 %", "10 %"]
    page.get_by_role("button", name="Vote again").click()
    assert [counts.nth(place).input_value() for place in range(3)] == ["", "", ""]
    counts.nth(1).fill("20")
    assert parts.all_inner_texts() == [
        "before 60 %, now 0 %",
        "before 30 %, now 100 %",
        "before 10 %, now 0 %",
    ]
    page.keyboard.press("s")
    assert not page.locator(".crank-cover").is_visible() and not counts.nth(0).is_visible()
    assert parts.nth(1).is_visible(), "the outcome of the vote stays in sight"
    bars = "[...document.querySelectorAll('.crank-bar')].map(bar => bar.style.width)"
    assert page.evaluate(bars) == ["60%", "0%", "30%", "100%", "10%", "0%"]
    page.keyboard.press("v")
    assert page.locator(".crank-cover").is_visible()
