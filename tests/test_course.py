"""The course as one thing: order, links from lesson to lesson, glossary, instructor's guide, formulas that can be printed."""

import csv
import re

import helpers
import pytest

from crankbook import notebooks
from crankbook.classroom import course, glossary
from crankbook.classroom.paper import formula
from crankbook.lesson import progress
from crankbook.lessons.blank import lesson_00
from crankbook.workspace import find_workbook

WORKBOOK = find_workbook()
make_glossary = helpers.module_at(WORKBOOK / "make_glossary.py")
LESSONS = course.lessons()
NUMBERS = [f"{number:02d}" for number in range(17)]
each_lesson = pytest.mark.parametrize("lesson", LESSONS, ids=lambda lesson: lesson.path.stem)
each_entry = pytest.mark.parametrize("entry", glossary.entries(), ids=lambda entry: entry.word)


def prose(path):
    return "\n\n".join(
        cell.source for cell in course.read(path).cells if cell.cell_type == "markdown"
    )


def links(text):
    return re.findall(r"\]\(([^)\s]+)\)", text)


def test_lessons_in_order():
    assert [lesson.number for lesson in LESSONS] == NUMBERS


@pytest.mark.parametrize(
    ("before", "after"),
    list(zip(LESSONS, LESSONS[1:], strict=False)),
    ids=lambda lesson: lesson.number,
)
def test_each_lesson_leads_to_the_next_and_back(before, after):
    last = [course.read(lesson.path).cells[-1].source for lesson in (before, after)]
    assert after.path.name in links(last[0]), (
        f"{before.path.name} does not lead on to {after.path.name}"
    )
    assert before.path.name in links(last[1]), (
        f"{after.path.name} does not lead back to {before.path.name}"
    )


@each_lesson
def test_each_lesson_leads_to_contents_and_solutions(lesson):
    if lesson.number == "00":
        return
    found = links(prose(lesson.path))
    assert "00-start-here.ipynb" in found
    if course.exercises(lesson):
        assert f"solutions/{lesson.path.name}" in found and lesson.solutions.is_file()


def test_contents_name_every_page_in_order(own_folder, monkeypatch):
    """The table of lesson 00 is made from the notebooks: each says what one takes away."""
    pages = notebooks.pages()
    assert [page.path.stem for page in pages[: len(LESSONS)]] == [
        lesson.path.stem for lesson in LESSONS
    ]
    shown = []
    monkeypatch.setattr(lesson_00, "display", lambda one: shown.append(one.data))
    progress.write("answers", "08-1", {"right": True, "turn": 1})
    lesson_00.contents()
    assert re.findall(r'href="([^"]+)"', shown[0]) == [page.path.name for page in pages]
    assert "1 of 3 exercises right" in shown[0] and shown[0].count("0 of 3") == 14
    for page in pages:
        assert 3 < len(page.takeaway.split()) < 20, page.path.name
    readme = (WORKBOOK.parent / "README.md").read_text(encoding="utf-8")
    for page in pages[: len(LESSONS)]:
        assert f"(workbook/{page.path.name}) | {page.takeaway} |" in readme, page.path.name
    for lesson in LESSONS:
        assert lesson.exercises == list(course.exercises(lesson)), lesson.path.name


def test_readme_lists_every_page():
    listed = re.findall(
        r"\(workbook/([^)]+\.ipynb)\)", (WORKBOOK.parent / "README.md").read_text(encoding="utf-8")
    )
    assert sorted(set(listed)) == sorted(path.name for path in WORKBOOK.glob("*.ipynb"))


@each_lesson
def test_exercises_are_found_and_numbered(lesson):
    names = list(course.exercises(lesson))
    assert names in ([], [f"{lesson.number}-{number}" for number in (1, 2, 3)])
    assert names or lesson.number in ("00", "15")


def test_an_exercise_in_another_form_is_named(tmp_path):
    import nbformat

    path = tmp_path / "08-odd.ipynb"
    nbformat.write(
        nbformat.v4.new_notebook(
            cells=[nbformat.v4.new_code_cell('lesson.Exercise("08-1", make())')]
        ),
        path,
    )
    with pytest.raises(ValueError, match=r"write lesson.Exercise\(\"08-1\", lesson_08.maker\)"):
        course.exercises(notebooks.Page(path))


def test_lesson_by_number_as_typed():
    assert course.chosen("8")[0].number == course.chosen("08")[0].number == "08"
    assert course.chosen() == LESSONS
    with pytest.raises(ValueError, match="there is no lesson “99”; write one of 00"):
        course.chosen("99")


# glossary


def test_table_of_words():
    with glossary.TABLE.open(encoding="utf-8", newline="") as store:
        rows = list(csv.reader(store))
    assert all(len(row) == len(rows[0]) == 6 for row in rows)
    words = [entry.word for entry in glossary.entries()]
    assert len({word.casefold() for word in words}) == len(words) >= 70
    for entry in glossary.entries():
        assert bool(entry.metric) == bool(entry.inch), (
            f"{entry.word}: one of its two units is missing"
        )
        assert entry.meaning and entry.meaning[-1] not in ".;," and entry.lesson in NUMBERS


@each_entry
def test_word_is_used_in_the_lesson_that_teaches_it(entry):
    lesson = next((lesson for lesson in LESSONS if lesson.number == entry.lesson), None)
    assert lesson, f"lesson {entry.lesson} is not there"
    assert re.search(rf"\b{re.escape(entry.word)}(s|es)?\b", prose(lesson.path), re.IGNORECASE), (
        f"“{entry.word}” is not in {lesson.path.name}"
    )


def test_glossary_notebook_is_in_step_with_its_table():
    stored = course.read(WORKBOOK / make_glossary.NAME)
    made = make_glossary.notebook(LESSONS)
    assert [cell.source for cell in stored.cells] == [cell.source for cell in made.cells], (
        "run: python workbook/make_glossary.py"
    )


@pytest.mark.parametrize(
    "path",
    sorted(WORKBOOK.rglob("*.ipynb")),
    ids=lambda path: path.relative_to(WORKBOOK).as_posix(),
)
def test_links_into_the_glossary_lead_to_a_word(path):
    anchors = {entry.anchor for entry in glossary.entries()} | {"Symbols"}
    for link in links(prose(path)):
        file, _, anchor = link.partition("#")
        if anchor and (
            file.endswith(make_glossary.NAME) or not file and path.name == make_glossary.NAME
        ):
            assert anchor in anchors, link


@each_lesson
def test_words_are_linked_where_they_are_taught(lesson):
    told = prose(lesson.path)
    for entry in glossary.entries():
        if entry.lesson == lesson.number and any(
            make_glossary.first_use(cell.source, entry.word)
            for cell in course.read(lesson.path).cells
            if cell.cell_type == "markdown"
        ):
            assert f"({make_glossary.NAME}#{entry.anchor})" in told, (
                f"“{entry.word}” is not linked: run python workbook/make_glossary.py --link"
            )


def test_first_use_is_in_running_prose():
    text = "# The pin\n\n| pin | 3 |\n\n`pin` and $pin$ and [a pin](x) and <b title='pin'>\n\nA **pin** turns; two pins."
    found = make_glossary.first_use(text, "pin")
    assert text[found.start() - 2 : found.end() + 2] == "**pin**"
    assert make_glossary.first_use("spinning", "pin") is None


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("TIR", "runout (TIR)"),
        ("tir", "runout (TIR)"),
        ("Throw", "throw (e)"),
        ("c", "not in the glossary"),
        ("C", "couple"),
        ("", "not in the glossary"),
        ("nothing such", "not in the glossary"),
        ("cutting", "cutting force"),
    ],
)
def test_a_word_or_symbol_is_looked_up(asked, told, capsys):
    glossary.look_up(asked)
    assert told in capsys.readouterr().out


# instructor's guide


@each_lesson
def test_guide_has_every_lesson(lesson):
    guide = prose(WORKBOOK / "instructor-guide.ipynb")
    section = re.search(
        rf"^## \[{lesson.number} [^\]]+\]\({re.escape(lesson.path.name)}\)\n(.*?)(?=^## |\Z)",
        guide,
        re.MULTILINE | re.DOTALL,
    )
    assert section, f"no section with a link to {lesson.path.name}"
    for part in ("Aim", "Timing", "Misconceptions", "Board", "Bench", "Ask"):
        assert f"**{part}" in section[1], (lesson.number, part)


# formulas on paper


@pytest.mark.parametrize(
    "path",
    sorted(WORKBOOK.rglob("*.ipynb")),
    ids=lambda path: path.relative_to(WORKBOOK).as_posix(),
)
def test_every_formula_can_be_drawn_and_said(path):
    text = re.sub(r"`[^`\n]*`", "", prose(path))
    for display, inline in re.findall(r"\$\$(.+?)\$\$|\$([^$\n]+)\$", text, re.DOTALL):
        drawn = formula.svg(display or inline, bool(display))
        assert 'd="M' in drawn and "aria-label=" in drawn
        assert not re.search(r"[\\{}]", formula.words(display or inline)), formula.words(
            display or inline
        )


def test_formula_in_words():
    # read aloud by hand
    assert formula.words(r"n = \dfrac{v}{\pi d}") == "n = v over (pi d)"
    assert formula.words(r"\sqrt{18^2 + r^3}") == "square root of (18 squared + r cubed)"
    assert formula.words(r"\sigma_\text{nom}") == "sigma nom"


def test_formula_that_cannot_be_drawn_is_named():
    with pytest.raises(ValueError, match=r"the formula \$\\notacommand\{x\}\$ cannot be drawn"):
        formula.svg(r"\notacommand{x}")


def test_formula_sits_on_its_line():
    # a letter with a tail hangs below the line by its depth; one without does not (seen as the drawing's vertical shift)
    below = [
        float(re.search(r"vertical-align:(-?[\d.]+)em", formula.svg(letter))[1])
        for letter in ("y", "x")
    ]
    assert below[0] < -0.1 < below[1] <= 0.02


def test_a_formula_on_its_own_line_is_set_a_tenth_to_a_fifth_larger():
    wide = [
        float(re.search(r"width:([\d.]+)em", formula.svg("12345678", own_line))[1])
        for own_line in (True, False)
    ]
    assert 1.1 < wide[0] / wide[1] < 1.2
    assert 8 * 0.5 < wide[1] < 8 * 0.6, "digits as wide as those of the text around them"
    drawn = formula.svg("12345678")
    right = max(float(x) for x in re.findall(r"([\d.]+),", drawn.partition("<path")[2]))
    assert 0.95 < right / float(re.search(r'viewBox="0 \S+ (\d+)', drawn)[1]) < 1
