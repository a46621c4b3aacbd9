"""A person's way through the lessons: open, run all, move a slider by keyboard, see the picture change."""

import json
import shutil
import urllib.error
import urllib.request
from pathlib import Path

import psutil
import pytest
from conftest import ALL, PICTURES, SLIDER, reach_panel, serious, still, until

WORKBOOK = Path(__file__).parents[2] / "workbook"
NO_SLIDER = "class-find-the-fault.ipynb"  # lists alone; test_stage.py opens it
EVERY = sorted(
    path.name
    for path in WORKBOOK.glob("*.ipynb")
    if ".panel(" in path.read_text(encoding="utf-8") and path.name != NO_SLIDER
)
# every panel is one script, and test_stage_sizes.py opens them all; SWEEP=200 goes the whole way
SOME = ("10-", "class-squeeze")
LESSONS = EVERY if ALL else [name for name in EVERY if name.startswith(SOME)]
BURST = """async (slider) => { for (let i = 1; i <= 40; i++) { slider.value = 20 + i; slider.dispatchEvent(new Event('input'));
    await new Promise(r => setTimeout(r, 10)); } }"""

SEEN = """ids => { window.seen = ids.map(() => []); setInterval(() => ids.forEach((id, place) => {
    const { value } = document.getElementById(id); if (!seen[place].includes(value)) seen[place].push(value); }), 5); }"""


def reach(page):
    """Scroll to the panel and click into it, as a reader does; returns the slider of the diameter."""
    reach_panel(page)
    if (cover := page.get_by_role("button", name="Show picture")).count():  # a class page
        cover.click()
    page.locator(".crank-readout").first.click()
    slider = page.locator(SLIDER).nth(1)
    still(page, slider.bounding_box)
    return slider


def moving(page):
    """All that moves in the first panel's picture: its drawn shapes and its shaded pixels."""
    return page.evaluate("""() => { const picture = document.querySelector('.crank-picture'), canvas = picture.querySelector('canvas');
        return picture.querySelector('svg').innerHTML + (canvas.hidden ? '' : canvas.toDataURL()); }""")


def wait_for_words(page, words):
    page.wait_for_function(
        "words => document.querySelector('.crank-readout').innerText.includes(words)", arg=words
    )


@pytest.mark.parametrize("lesson", LESSONS)
def test_lesson_works_by_keyboard(lab, page, lesson):
    lab.open(page, lesson)
    reach(page)
    assert (
        page.locator(
            ".jp-OutputArea-output[data-mime-type='application/vnd.jupyter.error']"
        ).count()
        == 0
    )
    slider, typed = (
        page.locator(SLIDER).first,
        page.locator(".crank-control input[type=text]").first,
    )
    before, picture, words = (
        typed.input_value(),
        moving(page),
        page.locator(".crank-readout").first.inner_text(),
    )
    slider.focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    page.wait_for_function(
        "text => document.querySelector('.crank-control input[type=text]').value !== text",
        arg=before,
    )
    until(page, lambda: moving(page), lambda drawn: drawn != picture)
    until(page, page.locator(".crank-readout").first.inner_text, lambda now: now != words)
    typed.fill("1,234")
    typed.press("Enter")
    page.wait_for_selector("[role=alert]:not(:empty)")
    assert "1.234 or 1234" in page.locator("[role=alert]").first.inner_text()
    assert typed.input_value() == "1,234", "what was typed must stay to be mended"
    typed.fill(before)
    typed.press("Enter")
    wait_for_words(page, words)
    page.get_by_role("button", name="Hold this").first.click()
    page.wait_for_function(
        "words => document.querySelector('.crank-held').textContent.includes(words)",
        arg=page.locator(".crank-headline").first.inner_text(),
    )
    assert serious(page, ".jp-OutputArea") == []
    assert page.problems == []
    PICTURES.mkdir(exist_ok=True)
    for width in (1280, 320):
        page.set_viewport_size({"width": width, "height": 900})
        still(page, page.locator(".crank-panel").first.bounding_box)
        page.screenshot(path=PICTURES / f"{lesson.split('.')[0]}-{width}.png")


def test_typed_inches_and_a_burst(lab, page):
    lab.open(page, "04-choose-a-spindle-speed.ipynb")
    slider = reach(page)
    typed = page.locator(".crank-control input[type=text]").nth(1)
    typed.fill("3/4 in")
    typed.press("Enter")
    wait_for_words(page, "19.05 mm")
    slider.evaluate(BURST)
    wait_for_words(page, "60 mm")
    # one field after the other, without a rest: what is being typed is not written over
    speed = page.locator(".crank-control input[type=text]").first
    typed.fill("")
    typed.click()
    page.keyboard.type("7/8 in")
    speed.click()
    page.keyboard.press("Control+A")
    page.keyboard.type("31 m/min", delay=90)
    assert speed.input_value() == "31 m/min"
    typed.click()
    page.keyboard.press("Control+A")
    page.keyboard.type("25 mm", delay=90)
    assert typed.input_value() == "25 mm"
    speed.click()
    wait_for_words(page, "25 mm")
    wait_for_words(page, "31 m/min")
    assert typed.input_value() == "25 mm" and page.problems == []


def test_server_wants_its_token(lab):
    with pytest.raises(urllib.error.HTTPError, match="403"):
        urllib.request.urlopen(lab.address + "/api/contents")


def asked(lab, method, path):
    request = urllib.request.Request(
        lab.address + path, method=method, headers={"Authorization": f"token {lab.token}"}
    )
    with urllib.request.urlopen(request, timeout=60) as answer:
        return json.loads(answer.read())


def test_a_kernel_that_does_not_answer_is_told(lab, page):
    """Held up for some seconds, the sentence comes and goes; restarted, it stays, and so does what
    was typed. All forms and panels send alike; a panel's restart: test_nothing_is_lost."""
    field, told = ".job-form input", ".job-form .crank-silent:not(.crank-form *)"
    opened = lab.open(page, "15-write-the-job-sheet.ipynb", ".page(")
    reach_panel(page, field)
    place, alarm = page.locator(field).first, page.locator(told).first

    def type_in(text):
        place.fill(text)
        place.blur()

    kernels = [
        one
        for one in psutil.Process(lab.process.pid).children(recursive=True)
        if "ipykernel_launcher" in " ".join(one.cmdline())
    ]
    for one in kernels:
        one.suspend()
    lathe = {
        "Center height over the bed": "151 mm",
        "Most between centers": "611 mm",
        "Diameter that passes over the carriage": "187 mm",
    }
    boxes = [page.locator(".job-form").get_by_label(label) for label in lathe]
    olds = [one.input_value() for one in boxes]
    try:
        type_in("123")
        page.wait_for_function(
            "told => document.querySelector(told).textContent.startsWith('No answer')", arg=told
        )
        for one, text in zip(boxes, lathe.values(), strict=True):
            one.fill(text)
            one.blur()
        page.evaluate(SEEN, [one.get_attribute("id") for one in boxes])
        assert page.locator(".job-form[aria-busy=true]").count(), "old verdicts look like new"
    finally:
        for one in kernels:
            one.resume()
    page.wait_for_function(
        "told => !document.querySelector(told).textContent.startsWith('No answer')", arg=told
    )
    for seen, old in zip(page.evaluate("window.seen"), olds, strict=True):
        assert old not in seen, "the answer to an earlier field wrote over a later one"
    page.wait_for_selector(".job-form:not([aria-busy], [data-older])")
    own = next(one for one in asked(lab, "GET", "/api/sessions") if one["path"] == opened)
    kernel = f"/api/kernels/{own['kernel']['id']}"
    asked(lab, "POST", f"{kernel}/restart")
    until(page, lambda: asked(lab, "GET", kernel)["execution_state"] == "idle")
    type_in("45.5")
    page.wait_for_function(
        "told => document.querySelector(told).textContent.startsWith('No answer')", arg=told
    )
    assert place.input_value() == "45.5" and alarm.is_visible()
    assert abs(alarm.bounding_box()["y"] - place.bounding_box()["y"]) < 250, (
        "the sentence is out of sight of the field"
    )
    assert page.problems == []


def test_a_class_page_has_the_keys_once_it_has_run(lab, page):
    """Its line says that S shows the picture; after Shift+Enter the keys went to a cell below."""
    shutil.copy(WORKBOOK / "class-squeeze.ipynb", lab.own / "class-keys.ipynb")
    lab.show(page, "class-keys.ipynb")
    page.locator(".jp-CodeCell .cm-content").first.click()
    page.keyboard.press("Shift+Enter")
    reach_panel(page)
    page.wait_for_function("document.activeElement.matches('.crank-stage')")
    page.keyboard.press("s")
    page.get_by_role("button", name="Cover picture").wait_for()
    page.keyboard.press("3")
    wait_for_words(page, "too long")
    cells = page.locator(".jp-CodeCell .cm-content").all_inner_texts()
    assert not any(text.strip() for text in cells[1:]), cells


def test_a_class_page_takes_no_keys_from_a_cell_in_which_something_is_typed(lab, page):
    shutil.copy(WORKBOOK / "class-squeeze.ipynb", lab.own / "class-typed.ipynb")
    lab.show(page, "class-typed.ipynb")
    cell = page.locator(".jp-CodeCell .cm-content").first
    cell.click()
    page.keyboard.press("Shift+Enter")
    page.keyboard.type("# my own", delay=5)
    reach_panel(page)
    page.keyboard.type(" words", delay=60)
    assert "# my own words" in page.locator(".jp-CodeCell .cm-content").last.inner_text()
