"""Lessons on paper: nothing given away, nothing fetched, both systems of units, alt texts, formulas drawn."""

import ast
import html
import re

import nbformat
import pytest

from crankbook import notebooks
from crankbook.classroom import course
from crankbook.classroom.paper import handouts, slides, stills, two_units
from crankbook.classroom.sets import key_text, paper_words
from crankbook.lesson.exercise import draw
from crankbook.lessons.turning import lesson_08
from crankmath.units import Quantity, as_text

ROOT = notebooks.find_workbook().parent


@pytest.fixture(scope="module")
def runner():
    with stills.Runner() as running:
        yield running


@pytest.fixture(scope="module")
def lesson():
    return course.chosen("8")[0]


@pytest.fixture(scope="module")
def sheets(runner, lesson, tmp_path_factory):
    files = handouts.export(lesson, tmp_path_factory.mktemp("handouts"), runner)
    assert [file.parent.name for file in files] == ["students", "answers"]
    return {file.parent.name: file.read_text(encoding="utf-8") for file in files}


@pytest.fixture
def odd(tmp_path):
    """A small notebook of any cells as a lesson."""

    def make(*cells):
        path = tmp_path / "98-odd.ipynb"
        heading = nbformat.v4.new_markdown_cell("# Odd <b>title</b> & co")
        nbformat.write(nbformat.v4.new_notebook(cells=[heading, *cells]), path)
        return notebooks.Page(path)

    return make


def shown(page):
    """What a reader sees: no style, no tags, no drawn pictures."""
    page = re.sub(
        r"<style>.*?</style>|<svg.*?</svg>|src=\"data:[^\"]*\"", "", page, flags=re.DOTALL
    )
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", re.sub(r"</?code>", "", page))).split())


def test_student_sheet_asks_and_tells_nothing(sheets, lesson):
    text = shown(sheets["students"])
    for name, maker in course.exercises(lesson).items():
        question = draw(
            maker, f"{name}/0"
        )  # the first draw, as Exercise makes it in an empty folder
        words = " ".join(paper_words(question).replace("`", "").split())
        assert words in text
        text = text.replace(words, "")  # what the question itself says is given, not given away
        for words in (*question.slips, *question.hints):
            assert words not in text
        for value in (question.key, *question.slips.values()):
            for digits in (3, 4, 5):
                assert as_text(value, question.units[0], digits) not in text, (name, value)
    assert "the dial sees the axis on one side and then on the other" not in text, (
        "an answer to the recall questions is there"
    )
    assert "Not answered yet" not in text and "my_answer" not in text and "new_numbers" not in text
    assert sheets["students"].count('class="work"') == 3 and 'class="lines"' in sheets["students"]


# what can only be done at a screen; a drag that is a force is none
SCREEN = re.compile(
    r"\b(?:Drag|drag the|sliders?|presets?|[Hh]old this|knobs|[Cc]lick|run th(?:e|is) cell"
    r"|(?:answer with|use|set) the panel|the panel knows)\b"
)


@pytest.mark.parametrize("lesson", course.lessons()[1:], ids=lambda lesson: lesson.path.stem)
def test_paper_asks_for_nothing_that_needs_a_screen(lesson):
    """And the guess stands on a page before the picture that answers it."""
    cells = handouts.for_students(lesson, course.read(lesson.path)).cells
    prose = [cell.source for cell in cells if cell.cell_type == "markdown"]
    for words in prose:
        assert not (found := SCREEN.search(words)), words[max(0, found.start() - 80) :][:200]
    guess = [place for place, cell in enumerate(cells) if "Your guess" in cell.source]
    leaf = [place for place, cell in enumerate(cells) if "new-page" in cell.source]
    if guess:
        assert guess[0] < leaf[0], "the answer is on the page of the guess"
        between = cells[guess[0] : leaf[0]]
        assert not any(cell.cell_type == "code" for cell in between)


def test_guide_is_printed_with_its_drawings(tmp_path, runner):
    file = handouts.export_guide(tmp_path, runner)
    text = file.read_text(encoding="utf-8")
    drawn = sorted((ROOT / "workbook" / "pictures").glob("*.svg"))
    for one in drawn:
        label = re.search(r'aria-label="([^"]*)"', one.read_text(encoding="utf-8"))[1]
        assert f'alt="{html.unescape(label)}"' in html.unescape(text)
        assert f"<figcaption>{one.stem.replace('-', ' ')}</figcaption>" in text
    assert text.count("data:image/svg+xml") >= len(drawn) and "Misconceptions" in text
    assert ".ipynb" not in shown(text)


@pytest.mark.parametrize("lesson", course.lessons(), ids=lambda lesson: lesson.number)
def test_slides_ask_what_the_lesson_asks(lesson):
    """A guess before the panel needs its question, and the question its numbers."""

    def letters(text):
        return re.sub("[^a-z]", "", text.casefold())

    page = letters(shown(slides.slides_page(lesson)))
    for heading, markdown in slides.sections(lesson):
        if heading in ("The shop question", "Predict"):
            plain = re.sub(r"\[([^]]+)\]\([^)]*\)", r"\1", markdown)
            for asked in re.findall(r"[^.?!$]+\?", plain):
                assert letters(asked) in page, asked


def test_slides_have_every_section_and_nothing_to_fetch():
    lesson = course.chosen("4")[0]
    text = slides.slides_page(lesson)
    assert text.count('class="slide"') >= 10
    for heading, _ in slides.sections(lesson):
        assert (heading in html.unescape(text)) or heading in slides.SKIPPED, heading
    assert not re.search(r"(src|href)=\"(?!data:)", text) and ".ipynb" not in shown(text)
    assert "<details" not in text, "answers of the recall are on a slide"
    for blocks in slides.slides_of(lesson.text("markdown")):
        assert len(blocks) == 1 or sum(map(len, blocks)) <= 2 * slides.ROOM


def test_answer_sheet_tells(sheets, lesson):
    text = shown(sheets["answers"])
    assert "the dial sees the axis on one side and then on the other" in text
    assert "Exercise 3" in text, "the worked solutions are missing"
    for name, maker in course.exercises(lesson).items():
        question = draw(maker, f"{name}/0")
        assert f"{name}: {key_text(question.key, question.units)}" in text
        assert all(" ".join(ask.split()) in text for ask in question.slips)
    heads = re.findall(
        r"<th[^>]*>([^<]*)</th>", sheets["answers"].rpartition("The exercises of")[2]
    )
    assert heads[:2] == ["who has this", "ask"] and len(heads) % 2 == 0


def test_nothing_is_fetched_and_nothing_runs(sheets):
    for page in sheets.values():
        assert not re.search(
            r"(src|href)\s*=\s*[\"']?(https?:|//)|url\(|@import|<script|<iframe|<link", page
        )
        assert all(
            address.startswith("data:image/") for address in re.findall(r'src="([^"]{0,30})', page)
        )


def test_panel_and_pictures_stand_still_with_their_words(sheets):
    alts = re.findall(r'<img alt="([^"]*)"', sheets["students"])
    assert len(alts) >= 2 and all(len(alt) > 40 for alt in alts)
    assert "Hold this" not in sheets["students"], "the panel's buttons are of no use on paper"
    panel = lesson_08.panel()
    assert html.escape(str(panel.sentence)) in sheets["students"]


def test_still_shows_both_systems():
    panel = lesson_08.panel()
    made = stills.still(panel)
    assert "400 N" in made and "89.92 lbf" in made  # 400 / 4.44822 by hand
    said = panel.answer("in", **panel.values)[1]
    assert html.escape(str(said)) in made
    assert re.search(r'<img alt="[^"]*Pump is pressed with 89.92 lbf', stills.still(panel, "in"))


@pytest.mark.parametrize(
    ("code", "plain"),
    [
        ("print(2 * 3)", True),
        ("max(abs(-2), sqrt(4))", True),
        ("1 + 1", True),
        ("load('pump')", False),
        ("np.sqrt(2)", False),
        ("import math", False),
        ("(lambda: 1)()", False),
    ],
)
def test_only_arithmetic_is_a_plain_sum(code, plain):
    assert handouts.plain_sum(ast.parse(code)) == plain


def test_only_sums_that_a_person_would_type_are_shown_as_code(sheets):
    for page in sheets.values():
        for code in re.findall(r'<pre class="code">(.*?)</pre>', page, re.DOTALL):
            assert "lesson" not in code and "spacers." not in code and "Quantity" not in code
    assert "webs = 2 * 300 * 12**3" in sheets["answers"]


def test_formulas_are_drawn_with_their_words(sheets):
    assert 'aria-label="(2 P e cubed) over (3 E I w)"' in sheets["students"]
    assert "$" not in shown(sheets["students"]).replace("${", "")
    assert not re.search(r"\\(frac|pi|dfrac|cdot)", shown(sheets["students"]))


def test_units_in_two_columns(sheets):
    assert re.search(r"<th[^>]*>metric</th>\s*<th[^>]*>inch</th>", sheets["students"])
    assert (
        "Crank “pump”, C45" in sheets["students"] and "0.7874 in" in sheets["students"]
    )  # 20 / 25.4


@pytest.mark.parametrize(
    ("cell", "columns"),
    [
        ("mm, in", ("mm", "in")),
        ("N", ("N", "lbf")),
        ("rpm", ("rpm", "rpm")),
        ("", ("", "")),
        ("µm, thou", ("µm", "thou")),
        ("MPa, psi; mm, in", ("MPa, mm", "psi, in")),
        ("degrees", ("degrees", "degrees")),
        ("mm or in", ("mm", "in")),
        ("mm, in a turn", ("mm a turn", "in a turn")),
        ("µm/m", ("µm/m", "µin/in")),
    ],
)
def test_unit_cells(cell, columns):
    assert two_units.metric_and_inch(cell) == columns


def test_only_tables_of_units_are_split():
    text = "| word | symbol | unit |\n|---|---|---|\n| throw | $e$ | mm, in |\n\nThe unit.\n\n| a | b |\n|---|---|\n| 1 | 2 |"
    split = two_units.split_units(text)
    assert (
        "| word | symbol | metric | inch |\n| --- | --- | --- | --- |\n| throw | $e$ | mm | in |"
        in split
    )
    assert split.endswith("The unit.\n\n| a | b |\n|---|---|\n| 1 | 2 |")


def test_sizes_are_those_of_the_crank():
    made = two_units.crank_table("bellows")
    assert (
        '<th scope="row">throw, radius</th><td>15.88 mm</td><td>0.625 in</td>' in made
    )  # 0.625 x 25.4 = 15.875
    assert made.count("diameter</th>") == 2, "equal mains share a line"


def test_page_numbers_and_escaped_title(odd, runner, tmp_path):
    lesson = odd(
        nbformat.v4.new_markdown_cell(
            "# Odd\n\n![a drawn line](line.svg) and <details><summary>Compare</summary>SECRET</details>"
        ),
        nbformat.v4.new_code_cell("print('<script>alert(1)</script> & <b>')"),
        nbformat.v4.new_code_cell("my_guess = None  # for example <5 mm>"),
    )
    (lesson.path.parent / "line.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0"/></svg>'
    )
    (file,) = handouts.export(lesson, tmp_path / "out", runner)
    page = file.read_text(encoding="utf-8")
    assert "counter(page)" in page and "counter(pages)" in page and "@bottom-right" in page
    assert "<title>98 Odd &lt;b&gt;title&lt;/b&gt; &amp; co</title>" in page
    assert "<script" not in page and "&lt;script&gt;alert(1)&lt;/script&gt; &amp; &lt;b&gt;" in page
    assert "SECRET" not in page
    assert 'src="data:image/svg+xml;base64,' in page and 'alt="a drawn line"' in page
    assert "Guess (for example &lt;5 mm&gt;):" in page


def test_each_notebook_runs_in_a_clean_room(odd, runner):
    runner.run(
        odd(
            nbformat.v4.new_code_cell(
                "left_over = 1\nfrom crankbook.lesson import progress\nprogress.write('answers', 'x', {'right': True})"
            )
        ).path
    )
    ran = runner.run(
        odd(
            nbformat.v4.new_code_cell(
                "from crankbook.lesson import progress\nprint('left_over' in globals(), progress.read()['answers'])"
            )
        ).path
    )
    assert ran.cells[1].outputs[0].text == "False {}\n"


def test_what_does_not_run_is_named(odd, runner):
    with pytest.raises(ValueError, match="98-odd.ipynb does not run: ZeroDivisionError"):
        runner.run(odd(nbformat.v4.new_code_cell("1 / 0")).path)


def test_formula_that_cannot_be_drawn_names_its_lesson(odd, runner, tmp_path):
    lesson = odd(
        nbformat.v4.new_markdown_cell(r"# Odd" "\n\n" r"$\notacommand{x}$"),
        nbformat.v4.new_code_cell("1"),
    )
    with pytest.raises(ValueError, match=r"98-odd.ipynb: the formula"):
        handouts.export(lesson, tmp_path, runner)


def test_wrong_lesson_and_folder_are_said(tmp_path, capsys):
    assert handouts.main(["--lesson", "77"]) == 1
    assert "there is no lesson “77”" in capsys.readouterr().err
    with pytest.raises(SystemExit):
        handouts.main(["--units", "ells"])


def test_exercise_numbers_are_those_on_a_fresh_screen(tmp_path, monkeypatch, lesson):
    from crankbook.lesson import Exercise

    monkeypatch.setenv("CRANKMATH_WORK", str(tmp_path))
    for name, maker in course.exercises(lesson).items():
        assert Exercise(name, maker).question == draw(maker, f"{name}/0")


def test_key_in_both_systems_is_one_value():
    text = key_text(Quantity(25.4, "um"), ("um", "mm", "thousandth"))
    assert text == "25.4 µm = 1 thou"  # by definition of the inch
