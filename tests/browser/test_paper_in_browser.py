"""Printed pages in a real browser without a network: they open whole, print in pages and pass the accessibility check."""

import pytest
from conftest import AXE, PICTURES

from crankbook.classroom import course, roll, sets
from crankbook.classroom.paper import handouts, stills

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
    page.wait_for_timeout(300)
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
