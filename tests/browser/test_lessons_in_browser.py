"""A person's way through the lessons: open, run all, move a slider by keyboard, see the picture change."""

import re
import urllib.error
import urllib.request
from pathlib import Path

import axe_playwright_python
import pytest

from conftest import PICTURES

WORKBOOK = Path(__file__).parents[2] / "workbook"
AXE = Path(axe_playwright_python.__file__).parent / "axe.min.js"
LESSONS = sorted(path.name for path in WORKBOOK.glob("*.ipynb"))
SLIDER = ".crank-control input[type=range]"


@pytest.fixture
def page(chromium):
    page = chromium.new_page(viewport={"width": 1280, "height": 900})
    page.problems = []
    page.on("pageerror", lambda error: page.problems.append(str(error)))
    yield page
    page.close()


@pytest.mark.parametrize("lesson", LESSONS)
def test_lesson_works_by_keyboard(lab, page, lesson):
    lab.open(page, lesson)
    page.wait_for_selector(SLIDER, timeout=30_000)
    assert page.locator(".jp-OutputArea-output[data-mime-type='application/vnd.jupyter.error']").count() == 0
    slider = page.locator(SLIDER).nth(1)
    slider.scroll_into_view_if_needed()
    read = lambda: page.locator(".crank-readout").first.inner_text()  # noqa: E731
    dot = lambda: page.locator(".crank-picture circle").first.get_attribute("cx")  # noqa: E731
    sentence, place = read(), dot()
    slider.focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    page.wait_for_function("before => document.querySelector('.crank-readout').innerText !== before", arg=sentence)
    assert dot() != place
    assert "22.5 mm" in read()  # five steps of 0.5 from 20
    typed = page.locator(".crank-control input[type=text]").nth(1)
    typed.fill("1,234 mm")
    typed.press("Enter")
    page.wait_for_selector("[role=alert]:not(:empty)")
    assert "1.234 or 1234" in page.locator("[role=alert]").first.inner_text()
    assert typed.input_value() == "1,234 mm", "what was typed must stay to be mended"
    typed.fill("3/4 in")
    typed.press("Enter")
    page.wait_for_function("() => document.querySelector('.crank-readout').innerText.includes('19.05 mm')")
    page.get_by_role("button", name="Hold this curve").first.click()
    assert "19.05 mm" in page.locator(".crank-held").first.inner_text()
    assert page.problems == []
    PICTURES.mkdir(exist_ok=True)
    page.screenshot(path=PICTURES / f"{lesson[:2]}-panel.png")


@pytest.mark.parametrize("lesson", LESSONS)
def test_burst_ends_at_the_last_value(lab, page, lesson):
    lab.open(page, lesson)
    page.wait_for_selector(SLIDER, timeout=30_000)
    slider = page.locator(SLIDER).nth(1)
    slider.evaluate("""async (slider) => { for (let i = 1; i <= 40; i++) { slider.value = 20 + i; slider.dispatchEvent(new Event('input'));
        await new Promise(r => setTimeout(r, 10)); } }""")
    page.wait_for_function("() => document.querySelector('.crank-readout').innerText.includes('60 mm')", timeout=5000)


@pytest.mark.parametrize("lesson", LESSONS)
def test_accessibility_of_outputs(lab, page, lesson):
    lab.open(page, lesson)
    page.wait_for_selector(SLIDER, timeout=30_000)
    page.evaluate(AXE.read_text())
    found = page.evaluate("""() => axe.run({include: [['.jp-OutputArea']]}, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa']})
        .then(result => result.violations.map(v => [v.impact, v.id, v.nodes.map(n => n.html.slice(0, 120)).slice(0, 3)]))""")
    assert [row for row in found if row[0] in ("serious", "critical")] == []


@pytest.mark.parametrize("lesson", LESSONS)
@pytest.mark.parametrize("width", [1280, 320])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_pictures_for_looking_at(lab, chromium, lesson, width, theme):
    page = chromium.new_page(viewport={"width": width, "height": 900})
    if theme == "dark":
        page.route(re.compile(r"/lab/api/settings/@jupyterlab/apputils-extension:themes"), lambda route: dark(route))
    lab.open(page, lesson)
    page.wait_for_selector(SLIDER, timeout=30_000)
    page.locator(".crank-panel").first.scroll_into_view_if_needed()
    PICTURES.mkdir(exist_ok=True)
    page.screenshot(path=PICTURES / f"{lesson[:2]}-{width}-{theme}.png")
    panel = page.locator(".crank-panel").first.bounding_box()
    assert panel["width"] <= width
    page.close()


def dark(route):
    response = route.fetch()
    settings = response.json()
    settings["raw"] = '{"theme": "JupyterLab Dark"}'
    settings["settings"] = {**settings.get("settings", {}), "theme": "JupyterLab Dark"}
    route.fulfill(response=response, json=settings)


def test_server_wants_its_token(lab):
    with pytest.raises(urllib.error.HTTPError, match="403"):
        urllib.request.urlopen(lab.address + "/api/contents")
