"""Printed pages in a real browser without a network: they open whole, print in pages and pass the accessibility check."""

import re

import pytest
from conftest import AXE, PICTURES, until

from crankbook.classroom import course, roll, sets
from crankbook.classroom.paper import handouts, slides, stills
from crankbook.sheet.sheet import Sheet
from crankmath.job import Job

FAULTS = """() => axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa']})
    .then(result => result.violations.map(v => [v.impact, v.id, v.nodes.map(n => n.html.slice(0, 120)).slice(0, 3)]))"""


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    """A lesson's handouts, a class's sheets and key: path and least number of printed pages."""
    folder = tmp_path_factory.mktemp("paper")
    lesson = course.chosen("4")[0]
    with stills.Runner() as runner:
        student, answers = handouts.export(lesson, folder, runner)
    sets.make_sheets(
        roll.SchoolClass("oak", ["Kovač, Anna", "Bob <b>O'Neil</b>", "李小龍"]),
        lesson,
        folder,
    )
    return [
        (student, 4),
        (answers, 1),
        (folder / "students" / "04" / "all-04.html", 3),
        (folder / "instructor-only" / "key-04.html", 1),
    ]


@pytest.mark.parametrize("which", range(4))
def test_opens_and_prints_without_a_network(pages, chromium, which, tmp_path):
    path, least = pages[which]
    context = chromium.new_context(offline=True, viewport={"width": 1000, "height": 1200})
    page, asked, problems = context.new_page(), [], []
    page.on("request", lambda request: asked.append(request.url))
    page.on("pageerror", lambda error: problems.append(str(error)))
    page.goto(path.as_uri())
    page.wait_for_load_state("networkidle")
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == [] and problems == []
    broken = page.evaluate(
        "[...document.images].filter(i => !i.complete || !i.naturalWidth || !i.alt).length"
    )
    assert broken == 0
    page.evaluate(AXE.read_text())
    assert page.evaluate(FAULTS) == []
    printed = page.pdf(prefer_css_page_size=True, print_background=True, format="A4")
    assert printed.count(b"/Type /Page\n") >= least
    PICTURES.mkdir(exist_ok=True)
    page.screenshot(path=PICTURES / f"paper-{which}.png")
    page.set_viewport_size({"width": 320, "height": 800})
    assert page.evaluate("document.documentElement.scrollWidth") <= 320, "it does not fit a phone"
    context.close()


@pytest.mark.parametrize(("wide", "high"), [(1024, 768), (1920, 1080)])
def test_a_remote_goes_from_slide_to_slide(chromium, wide, high, tmp_path):
    """A presenter's remote sends PageDown, which scrolls by seven eighths of the window."""
    path = tmp_path / "slides.html"
    path.write_text(slides.slides_page(course.chosen("8")[0]), encoding="utf-8")
    page = chromium.new_page(viewport={"width": wide, "height": high})
    page.goto(path.as_uri())
    top = "place => document.querySelectorAll('.slide')[place].getBoundingClientRect().top"
    for key, place in (*(("PageDown", n) for n in range(1, 9)), ("PageUp", 7), ("PageUp", 6)):
        page.keyboard.press(key)
        until(page, lambda at=place: page.evaluate(top, at), lambda seen: abs(seen) < 2)
    page.close()


@pytest.mark.parametrize("number", ["5", "7", "9"])
def test_nothing_of_a_slide_is_cut_off(chromium, number, tmp_path):
    """Where the panel's finding or a list is long, on the screen and on paper of 13.333 by 7.5 in."""
    path = tmp_path / "slides.html"
    path.write_text(slides.slides_page(course.chosen(number)[0]), encoding="utf-8")
    page = chromium.new_page(viewport={"width": 1280, "height": 720})
    page.goto(path.as_uri())
    for media in ("screen", "print"):
        page.emulate_media(media=media)
        high = page.evaluate(
            "[...document.querySelectorAll('.slide')].map(one => one.scrollHeight)"
        )
        assert max(high) <= 720, (media, high)
    picture = page.locator(".slide > img").bounding_box()
    assert picture["height"] > 300, "the panel's picture has no room left"
    page.close()


SMALL = """[...document.querySelectorAll('.traveler td, .traveler th, .traveler p')]
    .filter(e => e.textContent.trim() && parseFloat(getComputedStyle(e).fontSize) < 8 * 96 / 72 - 0.01)
    .map(e => e.textContent.slice(0, 40))"""
WIDE = """[...document.querySelectorAll('table, svg, p, .row div')]
    .filter(e => e.getBoundingClientRect().right > e.parentElement.getBoundingClientRect().right + 1)
    .map(e => [e.className, e.closest('.row')?.id])"""
BROKEN = """[...document.querySelectorAll('table')].find(one => one.caption?.textContent === 'Answers')
    .querySelectorAll('td:nth-child(n + 3)').values().filter(cell => {
    const text = document.createRange(); text.selectNodeContents(cell);
    return text.getClientRects().length !== 1; }).map(cell => cell.textContent).toArray()"""


@pytest.mark.parametrize("name", ["organ", "pump"])
def test_a_sheet_follows_its_paper_and_is_read_at_arms_length(chromium, name, tmp_path):
    """The traveler's pages were A4 among Letter, its letters 6.7 points, its tables beyond their
    columns; "assumed" broke inside the word.
    """
    path = Sheet(Job.load(name)).write(tmp_path)["html"]
    page = chromium.new_context(offline=True).new_page()
    page.goto(path.as_uri())
    for paper, wide, high in (("A4", 595, 842), ("Letter", 612, 792)):
        printed = page.pdf(prefer_css_page_size=True, format=paper)
        boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", printed)
        assert len(boxes) > 10
        for one in boxes:
            assert [float(size) for size in one] == pytest.approx([wide, high], abs=1)
    page.set_viewport_size({"width": 1000, "height": 1000})
    assert page.evaluate(WIDE) == []
    page.emulate_media(media="print")
    for wide in (718, 740):  # pixels between the traveler's margins on A4 and Letter
        page.set_viewport_size({"width": wide, "height": 1000})
        assert page.evaluate(SMALL) == [] and page.evaluate(WIDE) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= wide
    page.set_viewport_size({"width": 660, "height": 1000})  # between those of the other pages
    assert page.evaluate(BROKEN) == []
    page.context.close()
