"""Lessons on paper from notebooks of a few cells that no kernel has run."""

import base64
import html
from types import SimpleNamespace

import nbformat
import pytest
from markupsafe import escape

from crankbook.classroom.paper import handouts, stills
from crankbook.lesson.exercise import Question
from crankbook.workspace import find_workbook
from crankmath.units import Quantity

ASKED = "How long is a bar of 50 mm twice?"
SLIPS = {"Did you halve it?": Quantity(25.0, "mm")}


def maker(chance):
    """A question that is the same for everybody."""
    hints = ("idea", "formula", "50 twice")
    return Question(ASKED, Quantity(100.0, "mm"), ("mm", "in"), SLIPS, hints, 0.02)


@pytest.fixture
def lesson(tmp_path, monkeypatch):
    monkeypatch.setattr(handouts.course, "exercises", lambda one: {"08-1": maker})
    solutions = tmp_path / "solutions.ipynb"
    solutions.write_text("", encoding="utf-8")
    return SimpleNamespace(
        path=tmp_path / "08-spacers.ipynb", solutions=solutions, number="08", title="Spacers"
    )


def notebook(*cells):
    """A notebook of markdown, and of code where a cell is a list of one."""
    made = [
        nbformat.v4.new_code_cell(*one)
        if isinstance(one, list)
        else nbformat.v4.new_markdown_cell(one)
        for one in cells
    ]
    return nbformat.v4.new_notebook(cells=made)


LINES = '<div class="lines"></div>'
FOLDED = "<details>\n<summary>Answers</summary>\n\nIt bends.\n\n</details>"
TEXT = (
    f"# Spacers\n\nRead on. Run this cell to go on. So it is.\n\n{FOLDED}\n\n"
    "| word | unit |\n|---|---|\n| d | mm |\n\n**Next:** [Heat](09-heat.ipynb)\n\n"
    "![drawn](pictures/x.svg)"
)


def test_a_student_sheet_keeps_the_questions_and_leaves_room_to_write(lesson):
    cells = handouts.for_students(
        lesson,
        notebook(
            TEXT,
            "## Turn the knobs\n\n**What moves?** Drag it. **Note** this. **Why so\nfar?**",
            ["panel"],
            "More on knobs.",
            "## Derive",
            "A rule.",
            ['lesson.Exercise("08-1", lesson_08.maker)'],
            ['lesson.predict("how far", "mm")'],
            ["my_end_force = None  # in N\nmy_play = None"],
            ["print(1 + 2)"],
        ),
    ).cells
    kinds = [(one.cell_type, one.source) for one in cells]
    assert kinds[0][1] == '<p class="answer">Name <span></span> Date <span></span></p>'
    first = kinds[1][1]
    assert "Read on." in first and "So it is." in first and "Run this cell" not in first
    assert "It bends" not in first and first.count(LINES) == 2
    assert "| d | mm | in |" in first and "Next" not in first and "![" not in first
    knobs = kinds[2][1]
    assert knobs.startswith('<div class="new-page"></div>\n\n## What the picture shows')
    assert "- What moves?\n- Why so far?\n" in knobs and "Note" not in knobs
    assert knobs.count(LINES) == 3
    assert kinds[3] == ("code", "panel")
    assert [text for _, text in kinds[4:6]] == ["## Derive", "A rule."]
    assert ASKED in kinds[6][1] and "08-1" in kinds[6][1] and kinds[6][0] == "markdown"
    rest = [text for _, text in kinds[7:]]
    assert rest == [
        f"Your guess, with its unit:\n\n{LINES}\n",
        f"End force (in N):\n\n{LINES}\n",
        f"Play:\n\n{LINES}\n",
        "print(1 + 2)",
    ]


def test_keys_tell_way_tolerance_and_whom_to_ask(lesson):
    text = handouts.keys(lesson)
    assert text.startswith("<h2>The exercises of the student sheet</h2>\n<h3>08-1: 100 mm = 3.937")
    assert f"<p>{ASKED}</p>" in text and "Right within 2 %. Way: 50 twice" in text
    row = '<th scope="row">25 mm = 0.9843 in</th><td>Did you halve it?</td>'
    assert row in text and text.index("who has this") < text.index(row)


def test_folded_answers_are_opened_in_order():
    folded = "<details><summary>x</summary>\nTwo.\n</details>"
    found = handouts.recall_answers(notebook(FOLDED, [FOLDED], f"{folded} and {folded}"))
    assert found == "It bends.\n\nTwo.\n\nTwo."


@pytest.mark.parametrize("large", [False, True])
def test_both_sheets_are_written_with_arithmetic_alone_as_code(lesson, tmp_path, large):
    runs = {
        lesson.path: notebook(TEXT, "![dot](dot.png)", ["print(1 + 2)"], ["lesson.show(3)"], "see `pump` and [h](https://a.b)"),
        lesson.solutions: notebook("# Solved", "Way."),
    }  # fmt: skip
    (tmp_path / "dot.png").write_bytes(b"dot")
    runner = SimpleNamespace(run=runs.get)
    written = handouts.export(lesson, tmp_path / "out", runner, large)
    name = f"08-spacers{'-large' if large else ''}.html"
    assert written == [tmp_path / "out" / group / name for group in ("students", "answers")]
    student, answers = (one.read_text(encoding="utf-8") for one in written)
    assert "<title>08 Spacers</title>" in student and '"08 Spacers"' in student
    assert "<title>08 Spacers, answers</title>" in answers
    assert "lesson.show" not in student and "Name <span>" in student
    assert "Crank “pump”" in student and "It bends" not in student
    assert answers.index("Solved") < answers.index("It bends.") < answers.index("Way.")
    assert "Right within 2 %" in answers and "Right within" not in student
    assert ("18pt" in student) == large and ("18pt" in answers) == large
    assert "(https://a.b)" in student and "data:image/png;base64,ZG90" in student


def test_a_lesson_that_cannot_be_printed_is_named_and_one_without_solutions_has_one_sheet(
    lesson, tmp_path
):
    lesson.solutions.unlink()
    runner = SimpleNamespace(run=lambda path: notebook("# Spacers"))
    written = handouts.export(lesson, tmp_path, runner)
    assert [one.parent.name for one in written] == ["students"]
    runner = SimpleNamespace(run=lambda path: notebook(r"so $\nothing{x}$"))
    with pytest.raises(ValueError, match=r"^08-spacers\.ipynb: the formula"):
        handouts.export(lesson, tmp_path, runner)


def test_the_guide_is_written_with_drawings_after_it(tmp_path, monkeypatch):
    monkeypatch.setattr(handouts, "drawings", lambda: "<p>drawn</p>")
    cells = "# Guide\n\n[lesson](04-x.ipynb) and more", ["lesson.show(3)"], ["print(1 + 2)"]
    runner = SimpleNamespace(run=lambda path: notebook(*cells))
    file = handouts.export_guide(tmp_path / "a", runner, True)
    assert file == tmp_path / "a" / "instructor-guide-large.html"
    text = file.read_text(encoding="utf-8")
    assert "<title>The instructor&#39;s guide</title>" in text and "18pt" in text
    assert text.index("Guide</h1>") < text.index("<p>drawn</p>") and "04-x.ipynb" not in text
    assert "lesson.show" not in text
    assert handouts.export_guide(tmp_path / "a", runner).name == "instructor-guide.html"


def test_drawings_for_the_board_have_their_words_and_names():
    text = handouts.drawings()
    files = sorted((find_workbook() / "pictures").glob("*.svg"))
    assert text.count("<figure>") == len(files) > 5
    for file in files:
        raw = file.read_text(encoding="utf-8")
        words = html.unescape(raw.split('aria-label="')[1].split('"')[0])
        drawn = base64.b64encode(raw.encode()).decode()
        assert (
            f'<figure><img alt="{escape(words)}" src="data:image/svg+xml;base64,{drawn}">'
            f"<figcaption>{file.stem.replace('-', ' ')}</figcaption></figure>" in text
        )


def test_a_still_has_its_picture_in_the_readers_system_and_its_settings_in_both(monkeypatch):
    control = SimpleNamespace(
        label="thrust", shown=lambda value, system: {"text": f"{value} in {system}"}
    )
    panel = SimpleNamespace(
        values={"force": 7}, controls={"force": control},
        answer=lambda system, force: (f"items {system}", f"finding {force} {system}"),
        paper=lambda units, projector: f"paper {units} {projector}",
    )  # fmt: skip
    monkeypatch.setattr(stills, "add", lambda figure, items: f"{figure} + {items}")
    monkeypatch.setattr(stills, "png_address", lambda figure: f"of {figure}")
    text = stills.still(panel, "in")
    assert '<img alt="finding 7 in" src="of paper in False + items in"' in text
    assert "<div><p>finding 7 mm</p></div><div><p>finding 7 in</p></div>" in text
    assert '<th scope="row">thrust</th><td>7 in mm</td><td>7 in in</td>' in text
    assert 'src="of paper mm False + items mm"' in stills.still(panel)
