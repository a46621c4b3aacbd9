"""Parts of a class's records, made of little: feedback, answers from the screen, results, words."""

import json
from types import SimpleNamespace
from typing import NamedTuple

import pytest

from crankbook.classroom import course, glossary, sets
from crankbook.classroom.paper import two_units
from crankbook.classroom.results import collect, export, feedback, kept, summary
from crankbook.classroom.results.kept import Mark
from crankbook.classroom.roll import SchoolClass
from crankbook.lesson.exercise import EMPTY, NOT_YET, RIGHT, UNREAD, Question, Verdict
from crankmath.units import Quantity


class Lesson(NamedTuple):
    number: str = "08"
    title: str = "Spacers"


LESSON = Lesson()


def maker(chance):
    """A question that is the same for everybody."""
    slips = {"Did you halve it?": Quantity(25.0, "mm"), "Twice?": Quantity(200.0, "mm")}
    words = "Use the panel: how long is a bar of 50 mm twice?"
    return Question(words, Quantity(100.0, "mm"), ("mm", "in"), slips, ("idea",))


def marked(sort, answer="1 mm", day="2026-03-01", words="So.", slip=""):
    return Mark(answer, sort, words, slip, day)


def class_of(*names, ids=(), units="mm"):
    return SchoolClass("oak", list(names), ids=list(ids), units=units)


def test_feedback_has_what_a_sheet_asked_and_no_other_marks():
    marks = {
        "08-2": marked(UNREAD, "1,2"),
        "08-1": marked(RIGHT, "100 mm"),
        "08-1 version 2": marked(NOT_YET, "25 mm"),
        "08-1 on screen": marked(RIGHT),
        "07-1": marked(RIGHT),
    }
    makers = {"08-1": maker, "08-2": maker}
    text = str(feedback.student_page(class_of("Ann"), LESSON, makers, 3, "Ann", marks))
    order = ["sheet 08-03</p>", "1 of 2 right.", "✓ Question 08-1: right"]
    order += ["? Question 08-2: could not be read"]
    order += ["sheet 08-03 version 2</p>", "0 of 1 right.", "✗ Question 08-1 version 2: not yet"]
    places = [text.index(words) for words in order]
    assert places == sorted(places) and text.count("<h2>") == 3
    assert text.count("08 Spacers") == 2 == text.count("<strong>Ann</strong>")
    assert "on screen" not in text and "Your answer: <strong>100 mm</strong>" in text
    assert text.count("Use a computer with the workbook: how long") == 3 and "50 mm" in text
    assert feedback.student_page(class_of("Ann"), LESSON, makers, 3, "Ann", {"07-1": 1}) == ""
    inches = feedback.student_page(class_of("Ann", units="in"), LESSON, makers, 1, "Ann", marks)
    assert "1.969 in" in str(inches)  # 50/25.4


def test_feedback_is_written_a_page_a_student_and_one_for_all(tmp_path, monkeypatch):
    monkeypatch.setattr(feedback.course, "exercises", lambda lesson: {"08-1": maker})
    made, marks = class_of("Ann", "Bob", "Cy"), {"08-1": marked(NOT_YET)}
    assert feedback.write_feedback(made, tmp_path, LESSON, {"Ann": marks, "Cy": marks}) == 2
    folder = tmp_path / "feedback" / "08"
    names = sorted(one.name for one in folder.iterdir())
    assert names == ["01-ann.html", "03-cy.html", "all-08.html"]
    one, _, every = ((folder / name).read_text(encoding="utf-8") for name in names)
    assert "<title>08 Spacers: Ann</title>" in one and '"lesson 08"' in one
    assert "<title>08 Spacers, feedback for all</title>" in every and '"lesson 08"' in every
    assert every.count('<section class="sheet">') == 2
    assert every.index("<strong>Ann</strong>") < every.index("<strong>Cy</strong>")
    assert feedback.write_feedback(made, tmp_path / "none", LESSON, {}) == 0
    assert not (tmp_path / "none").exists()


def test_feedback_counts_its_pages_and_fails_where_nothing_was_marked(
    tmp_path, monkeypatch, capsys
):
    asked = []
    monkeypatch.setattr(feedback, "class_of", lambda out: ("class", tmp_path, "marks"))
    monkeypatch.setattr(feedback.course, "chosen", lambda number: [LESSON])
    for count, code in ((2, 0), (0, 1)):
        monkeypatch.setattr(
            feedback, "write_feedback", lambda *what, count=count: asked.append(what) or count
        )
        assert feedback.main(["--out", str(tmp_path)]) == code
    assert asked == [("class", tmp_path, LESSON, "marks")] * 2
    said = capsys.readouterr()
    assert said.out == f"08 Spacers: 2 pages\nTo hand back: {tmp_path / 'feedback'}\n"
    assert said.err.startswith("No feedback was made. Nothing of this was marked yet")


ENTRIES = {
    "08-1": {"answer": "100 mm", "turn": 1, "student": True},
    "08-2": {"answer": "25 mm"},
    "08-3": {"answer": "", "turn": 1},
    "08-4": {"answer": "100 mm", "turn": "1"},
    "08-5": {"answer": 100, "turn": 1},
    "08-6": ["100 mm"],
    "09-9": {"answer": "100 mm"},
}


def test_answers_of_the_screen_are_read_where_they_are_answers(tmp_path):
    path, makers = tmp_path / "progress.json", {f"08-{one}": maker for one in range(1, 7)}
    path.write_text(json.dumps({"answers": ENTRIES}), encoding="utf-8")
    found = collect.answers_of(path, "ann", makers)
    told = {name: (answer, verdict.sort) for name, (answer, verdict) in found.items()}
    assert told == {
        "08-1 on screen": ("100 mm", RIGHT),
        "08-2 on screen": ("25 mm", NOT_YET),
    }
    for wrong in ([1], {"answers": 3}, {}):
        path.write_text(json.dumps(wrong), encoding="utf-8")
        with pytest.raises(ValueError, match="holds no answers"):
            collect.answers_of(path, "ann", makers)


def test_the_question_of_the_screen_is_drawn_for_its_turn_and_its_student(tmp_path, monkeypatch):
    seeds = []
    monkeypatch.setattr(collect, "seed_of", lambda *asked: seeds.append(asked) or "seed")
    path = tmp_path / "progress.json"
    path.write_text(json.dumps({"answers": ENTRIES}), encoding="utf-8")
    collect.answers_of(path, "ann", {"08-1": maker, "08-2": maker})
    assert seeds == [("08-1", 1, "ann"), ("08-2", 0, "")]


def test_folders_of_students_are_found_by_id_else_by_name(tmp_path):
    for place in ("s1", "Bob/crank-work", "s1/crank-work", "nobody"):
        (tmp_path / place).mkdir(parents=True, exist_ok=True)
        (tmp_path / place / "progress.json").write_text('{"answers": {}}')
    (tmp_path / "nobody" / "progress.json").write_text("[")
    found = collect.progress_files(tmp_path)
    assert found["s1"] == tmp_path / "s1" / "crank-work" / "progress.json"
    assert set(found) == {"s1", "Bob", "nobody"}
    made = class_of("Ann", "Bob", ids=("s1", ""))
    marks, problems = collect.collect(made, tmp_path, {})
    assert marks == [(2, "Bob", {}), (1, "Ann", {})]
    assert len(problems) == 1 and problems[0].startswith("nobody: “nobody” is not in the class")


def test_answers_from_the_screen_are_kept_with_the_marks(tmp_path, monkeypatch, capsys):
    kept_marks = []
    monkeypatch.setattr(collect, "required_class", lambda folder: class_of("Ann", "Bob"))
    monkeypatch.setattr(collect.course, "lessons", lambda: [LESSON])
    monkeypatch.setattr(collect.course, "exercises", lambda one: {"08-1": maker, "08-2": maker})
    monkeypatch.setattr(collect, "keep_marks", lambda *asked: kept_marks.append(asked))
    homes, out = tmp_path / "homes", tmp_path / "class"
    homes.mkdir()
    assert collect.main([str(homes), "--out", str(out)]) == 1
    assert "no folder in it holds a progress.json" in capsys.readouterr().err
    for name in ("Ann", "Zed"):
        (homes / name).mkdir()
        (homes / name / "progress.json").write_text(json.dumps({"answers": ENTRIES}))
    assert collect.main([str(homes), "--out", str(out)]) == 1
    said = capsys.readouterr()
    assert said.out == "Ann: 2 answered, 1 right\n"
    assert said.err.startswith("Passed over, 1:\nZed: ")
    (homes / "Zed" / "progress.json").unlink()
    assert collect.main([str(homes), "--out", str(out)]) == 0
    assert [folder for folder, *_ in kept_marks] == [out, out]


@pytest.mark.parametrize(
    ("sorts", "stands"),
    [
        ([], ""),
        ([EMPTY], EMPTY),
        ([NOT_YET, EMPTY], NOT_YET),
        ([UNREAD, NOT_YET], NOT_YET),
        ([NOT_YET, UNREAD], UNREAD),
        ([RIGHT, NOT_YET], RIGHT),
    ],
)
def test_a_student_stands_as_marked_last_and_right_once_is_right(sorts, stands):
    marks = {"08-2": marked(RIGHT), "08-11": marked(RIGHT)}
    for number, sort in enumerate(sorts, 1):
        name = "08-1" if number == 1 else f"08-1 version {number}"
        marks[name] = marked(sort, day=f"2026-03-0{number}")
    assert kept.standing(marks, "08-1") == stands


def test_marks_are_kept_with_their_day_and_an_empty_answer_takes_none_away(tmp_path):
    made = class_of("Ann")
    right, empty = ("1 mm", Verdict(RIGHT, "Yes.")), ("", Verdict(EMPTY, "None."))
    kept.keep_marks(tmp_path, made, [(1, "Ann", {"08-1": right, "08-2": empty})], "2026-03-01")
    first = json.loads(kept.marks_path(tmp_path).read_text(encoding="utf-8"))
    assert first["version"] == 1 and first["marks"]["Ann"]["08-2"]["sort"] == EMPTY
    kept.keep_marks(tmp_path, made, [(1, "Ann", {"08-1": empty, "08-2": right})], "2026-03-02")
    found = kept.read_marks(tmp_path)
    assert found == {
        "Ann": {
            "08-1": marked(RIGHT, words="Yes."),
            "08-2": marked(RIGHT, words="Yes.", day="2026-03-02"),
        }
    }


def test_results_by_student_exercise_and_slip():
    """Two of three right are 67 %; who has no mark has nothing right of what was asked. What one did
    on the screen alone (09-2) and a sheet not marked yet (10-1) lower nobody's share.
    """
    made = class_of("Ann", "Bob", ids=("7", ""))
    made.asked = {"08-1": {}, "08-2 version 2": {}, "09-1": {}, "10-1": {}}
    marks = {
        made.seed("Ann"): {
            "08-1": marked(RIGHT),
            "08-2": marked(NOT_YET, slip="half"),
            "09-1": marked(RIGHT, slip="half"),
            "09-2": marked(UNREAD, slip="comma"),
        },
        "Bob": {"08-1": marked(NOT_YET, slip="half")},
    }
    assert summary.grade_rows(made, marks) == (
        ["id", "name", "lesson 08", "lesson 09", "right", "of", "percent"],
        [["7", "Ann", 1, 1, 2, 3, "67"], ["", "Bob", 0, 0, 0, 3, "0"]],
    )
    made.asked = {}
    assert [row[-2:] for row in summary.grade_rows(made, marks)[1]] == [[4, "50"], [4, "0"]]
    assert summary.by_slip(made, marks) == {
        "half": [("08-2", "Ann"), ("08-1", "Bob")],
        "comma": [("09-2", "Ann")],
    }
    assert list(summary.by_slip(made, marks)) == ["half", "comma"]
    counted = summary.by_exercise(made, marks)
    assert counted["08-1"] == {RIGHT: 1, NOT_YET: 1} and counted["09-2"] == {UNREAD: 1}
    assert summary.grade_rows(class_of(), {}) == (["id", "name", "right", "of", "percent"], [])


def test_shares_are_of_the_own_key_and_of_what_can_be_read():
    """100 mm asked: 25 mm are a fourth, 10 in 2.54."""
    made = class_of("Ann", "Bob")
    marks = {
        "Ann": {
            "08-1": marked(NOT_YET, "25 mm"),
            "08-1 version 2": marked(NOT_YET, "10 in"),
            "08-1 on screen": marked(NOT_YET, "1 mm"),
        },
        "Bob": {"08-1": marked(UNREAD, "what"), "07-1": marked(RIGHT, "1 mm")},
    }
    found = summary.shares(made, marks, {"08-1": maker})
    assert dict(found) == {"08-1": [pytest.approx(0.25), pytest.approx(2.54)]}


@pytest.mark.parametrize(
    ("share", "at", "color"),
    [
        (1.0, "100.0", "#1f5fa8"),
        (10.0, "190.0", "#1f5fa8"),
        (1000.0, "190.0", "#1f5fa8"),
        (0.1, "10.0", "#1f5fa8"),
        (0.0, "10.0", "#1f5fa8"),
        (0.001, "10.0", "#1f5fa8"),
        (-(10**0.5), "145.0", "#a8370f"),
        (0.05, "10.0", "#1f5fa8"),
    ],
)
def test_a_dot_stands_at_its_share_by_powers_of_ten_red_where_the_sign_is_wrong(share, at, color):
    """90 of the picture are ten times: half of them the root of ten; what is farther stands at the end."""
    view = summary.strip([share])
    assert f'<circle cx="{at}" cy="9" r="3" fill="{color}"' in view and "1 answers" in view


def test_the_page_of_results_and_the_grades_are_written(tmp_path, monkeypatch, capsys):
    made = class_of("Ann", "Bob", ids=("7", ""))
    marks = {
        "7": {"08-1": marked(NOT_YET, "25 mm", slip="half")},
        "Bob": {
            "08-1 version 2": marked(NOT_YET, "25 mm", slip="half"),
            "08-1": marked(NOT_YET, "25 mm", slip="half"),
        },
    }
    monkeypatch.setattr(summary.course, "lessons", lambda: [LESSON, Lesson("09", "Heat")])
    monkeypatch.setattr(summary.course, "exercises", lambda one: {f"{one.number}-1": maker})
    text = summary.results_page(made, marks)
    assert "<title>Results</title>" in text and '"results, for the instructor only"' in text
    row = '<th scope="row">08-1</th><td>0</td><td>2</td><td>0</td><td>0</td><td><svg'
    assert row in text and "3 answers" in text
    cells = ("half", "3", "08-1", "Ann; Bob")
    assert '<th scope="row">{}</th><td>{}</td><td>{}</td><td>{}</td>'.format(*cells) in text
    for name, identity in (("Ann", "7"), ("Bob", "–")):
        cells = f"<td>{identity}</td><td>0</td><td>0</td><td>1</td><td>0</td>"
        assert f'<th scope="row">{name}</th>{cells}' in text
    assert '<th scope="col">lesson 08</th>' in text
    (tmp_path / "instructor-only").mkdir()
    monkeypatch.setattr(summary, "required_class", lambda folder: made)
    monkeypatch.setattr(summary, "read_marks", lambda folder: marks if folder == tmp_path else {})
    assert summary.main(["--out", str(tmp_path)]) == 0
    page, grades = (tmp_path / "instructor-only" / one for one in ("results.html", "grades.csv"))
    assert capsys.readouterr().out == f"Written: {page}\nWritten: {grades}\n"
    assert page.read_text(encoding="utf-8") == text
    assert grades.read_text(encoding="utf-8-sig").splitlines()[1] == "7,Ann,0,0,1,0"
    assert summary.main(["--out", str(tmp_path / "other")]) == 1
    assert "holds no marks yet" in capsys.readouterr().err


def test_a_key_is_told_in_both_systems_and_paper_asks_for_a_computer():
    assert sets.key_text(Quantity(100.0, "mm"), ("mm", "in")) == "100 mm = 3.937 in"
    assert sets.key_text(Quantity(100.0, "mm"), ("mm", "um")) == "100 mm"
    assert sets.key_text(Quantity(1.0, "in"), ("in", "um", "mm")) == "1 in = 25400 µm"
    question = SimpleNamespace(words="Use the library. Use the panel: Use the panels, the library.")
    assert sets.paper_words(question) == (
        "Use a computer with the workbook. Use a computer with the workbook: Use the panels, the "
        "library."
    )


def test_files_of_students_have_plain_names():
    assert sets.file_name(3, "Zoë O'Neil") == "03-zoe-o-neil.html"
    for name, plain in (
        ("Łukasz Groß", "lukasz-gross"),
        ("ŁUKASZ GROẞ", "lukasz-gross"),
        ("Đặng Thu", "dang-thu"),
        ("Ægir Þórðarson", "aegir-thordarson"),
        ("Bjørn Œuvrard", "bjorn-oeuvrard"),
        ("Şule Işık İnan", "sule-isik-inan"),
        ("Əli Ħamid", "eli-hamid"),
    ):
        assert sets.file_name(3, name) == f"03-{plain}.html"
    assert sets.file_name(12, "李小龍") == "12-student.html"
    assert sets.file_name(1, "x" * 50) == f"01-{'x' * 40}.html"
    assert sets.place_of(LESSON, 7) == "08-07" and sets.place_of(LESSON, 7, 2) == "08-07 version 2"
    assert sets.files_of(LESSON, 2) == "08-version-2"


def test_no_two_students_share_a_file():
    """Each of these names begins or ends as another in plain letters does; the number parts them."""
    names = ["Łukasz", "Lukasz", "lukasz", "Ukasz", "Ёж", "Их", "x" * 60, "x" * 61, "Groß", "Gross"]
    files = [sets.file_name(*one) for one in class_of(*names).students]
    assert len({name.casefold() for name in files}) == len(names)


def test_sheets_of_a_class_are_written_in_both_prints_with_the_key_apart(tmp_path, monkeypatch):
    monkeypatch.setattr(sets.course, "exercises", lambda lesson: {"08-1": maker})
    made = class_of("Ann", "Bob", ids=("7", ""))
    assert sets.make_sheets(made, LESSON, tmp_path, large=True) == 2
    folder, private = tmp_path / "students" / "08", tmp_path / "instructor-only"
    names = ["01-ann.html", "01-ann-large.html", "02-bob.html", "02-bob-large.html", "all-08.html"]
    assert made.files == {"08": names}
    assert sorted(one.name for one in folder.iterdir()) == sorted(names)
    for name in names:
        text = (folder / name).read_text(encoding="utf-8")
        who = {"01": ": Ann", "02": ": Bob"}.get(name[:2], ", all sheets")
        assert f"<title>08 Spacers{who}</title>" in text and '"lesson 08"' in text
        assert ("18pt" in text) == ("large" in name) and "100 mm" not in text
    key = (private / "key-08.csv").read_text(encoding="utf-8-sig").splitlines()
    assert key == ["sheet,name,ex 08-1"] + [
        f"sheet 08-0{number},{name},100 mm = 3.937 in" for number, name in ((1, "Ann"), (2, "Bob"))
    ]
    typed = (private / "answers-08.csv").read_text(encoding="utf-8-sig").splitlines()
    assert typed == ["id,name,ex 08-1", "7,Ann,", ",Bob,"]
    assert set(made.asked["08-1"]) == {"7", "Bob"}
    assert sets.make_sheets(made, LESSON, tmp_path) == 2
    assert len(list(folder.iterdir())) == 3, "what was large before is gone"


@pytest.mark.parametrize(("version", "known"), [("0", False), ("9", True), ("10", False)])
def test_versions_are_counted_from_one_to_nine(version, known, tmp_path, capsys):
    words = ["--class", str(tmp_path / "none.csv"), "--version", version]
    if known:
        assert sets.main(words) == 1
        return
    with pytest.raises(SystemExit):
        sets.main(words)
    assert "invalid choice" in capsys.readouterr().err


def test_names_that_stand_twice_are_told_apart_and_keep_their_numbers():
    made = class_of("Ann", "ann", "Bob", "Ann", ids=("", "", "", "9"))
    assert made.students == [(1, "Ann"), (2, "ann (2)"), (3, "Bob"), (4, "Ann (9)")]
    assert made.seed("Ann (9)") == "9" and made.seed("Bob") == "Bob"
    assert made.find("", "9") == (4, "Ann (9)") and made.find(" BOB ") == (3, "Bob")
    with pytest.raises(ValueError, match="did you mean “Bob”"):
        made.find("Bop")
    later = SchoolClass("oak", ["Bob", "Cy"], ids=["5", ""], roll=dict(made.roll))
    assert later.students == [(3, "Bob"), (5, "Cy")] and later.seed("Bob") == "Bob"
    assert made.shares_a_student(later) and not made.shares_a_student(class_of("Dee"))


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("throw", ["throw (e): "]),
        ("THROW", ["throw (e): "]),
        ("n", ["safety factor (n): ", "spindle speed (n): "]),
    ],
)
def test_a_word_that_stands_in_the_glossary_is_told_alone(asked, told, capsys):
    glossary.look_up(asked)
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == len(told)
    assert all(line.startswith(words) for line, words in zip(lines, told, strict=True))


def test_unit_columns_are_split_wherever_they_stand_and_short_rows_stay():
    text = "| unit | size |\n|:--|--:|\n| mm | d |\n| rpm | n |\n\n| a | unit |\n|---|---|\n| x |"
    assert two_units.split_units(text) == (
        "| metric | inch | size |\n| --- | --- | --: |\n| mm | in | d |\n| rpm | rpm | n |\n\n"
        "| a | metric | inch |\n| --- | --- | --- |\n| x |"
    )


def test_sizes_of_equal_parts_share_a_line_and_others_are_numbered():
    """Compressor: three mains of Ø16, the middle one 20 mm long; 20 mm are 0.7874 in."""
    text = two_units.crank_table("compressor")
    rows = {
        "mains, diameter": ("16 mm", "0.6299 in"),
        "main 1, 3, length": ("40 mm", "1.575 in"),
        "main 2, length": ("20 mm", "0.7874 in"),
        "throws, radius": ("14 mm", "0.5512 in"),
        "webs, reach beyond each axis": ("12 mm", "0.4724 in"),
    }
    for name, (metric, inch) in rows.items():
        assert f'<th scope="row">{name}</th><td>{metric}</td><td>{inch}</td>' in text, name
    assert "Crank “compressor”, 42CrMo4, throws at 0°, 180°" in text
    assert "throw at 0°" in two_units.crank_table("pump") and ">pin, diameter<" in (
        two_units.crank_table("pump")
    )


def test_an_item_takes_answers_near_its_key_and_names_each_slip():
    """1 % of 100 mm, or what its third figure leaves open; 25 and 200 mm are slips, 1 % wide."""
    whole = export.item("E1", "Question 08-1", maker(None))
    text = export.as_bytes(whole).decode()
    assert whole.get("identifier") == "E1" and whole.get("title") == "Question 08-1"
    order = ['tolerance="0.25 0.25"', ">25<", "SLIP1", 'tolerance="2 2"', ">200<", "SLIP2", "OTHER"]
    places = [text.index(words) for words in order]
    assert places == sorted(places)
    assert "<value>100</value>" in text and "Type the number alone; its unit: mm. " in text
    for name, words in {"RIGHT": "Right.", "SLIP1": "Not yet: Did you halve it?"}.items():
        part = text.split(f'identifier="{name}" showHide="show"')[1]
        assert part[: part.index("</p>")].endswith(f"<p>{words}")
    scores = [part.split("<")[0] for part in text.split('baseType="float">')[1:]]
    assert scores.count("1") == 1 and scores.count("0") == 3


def test_a_package_lists_every_students_test_and_its_items(monkeypatch):
    monkeypatch.setattr(export.course, "exercises", lambda lesson: {"08-1": maker, "08-2": maker})
    files = export.package(class_of("Ann", "Bob", ids=("7", "")), LESSON, 2)
    items = [f"E08-{one}-version-2-S{place}" for place in ("01", "02") for one in (1, 2)]
    tests = ["T08-version-2-S01", "T08-version-2-S02"]
    assert set(files) == {"imsmanifest.xml", *(f"{one}.xml" for one in (*items, *tests))}
    first = files["T08-version-2-S01.xml"].decode()
    assert 'title="08 Spacers: Ann (7)"' in first and 'normalMaximum="2"' in first
    assert 'title="08 Spacers: Bob"' in files["T08-version-2-S02.xml"].decode()
    assert first.index("E08-1-version-2-S01.xml") < first.index("E08-2-version-2-S01.xml")
    listed = files["imsmanifest.xml"].decode()
    assert 'identifier="M08"' in listed and listed.count("<dependency ") == 4
    assert listed.count("imsqti_item_xmlv2p2") == 4 and listed.count("imsqti_test_xmlv2p2") == 2
    assert 'href="T08-version-2-S01.xml"' in listed
    inches = export.package(class_of("Ann", units="in"), LESSON)["E08-1-S01.xml"].decode()
    assert "1.969 in" in inches and "Type the number alone; its unit: in. " in inches
    assert "1.969 in" not in files["E08-1-version-2-S01.xml"].decode()
    monkeypatch.setattr(export.course, "exercises", lambda lesson: {})
    assert export.package(class_of("Ann"), LESSON) == {}


def test_packages_are_written_and_told(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(export.course, "chosen", lambda number: [LESSON])
    monkeypatch.setattr(export, "required_class", lambda folder: "class")
    asked = []
    monkeypatch.setattr(export, "package", lambda *what: asked.append(what) or {"a": b"1"})
    assert export.main(["--out", str(tmp_path), "--version", "2"]) == 0
    file = tmp_path / "instructor-only" / "qti" / "questions-08-version-2.zip"
    assert file.is_file() and asked == [("class", LESSON, 2)]
    assert capsys.readouterr().out.splitlines()[0] == str(file)
    monkeypatch.setattr(export, "package", lambda *what: {})
    assert export.main(["--out", str(tmp_path)]) == 0
    assert len(capsys.readouterr().out.splitlines()) == 1

    def none(folder):
        raise ValueError("no class")

    monkeypatch.setattr(export, "required_class", none)
    assert export.main(["--out", str(tmp_path)]) == 1
    assert capsys.readouterr().err == "Nothing was exported. No class.\n"


@pytest.mark.parametrize(
    ("error", "told"),
    [
        (OSError(28, "full", "x.html"), "None. “x.html” cannot be written (full): close it"),
        (OSError("odd"), "None. A file failed (odd): close it"),
        (ValueError("it is so"), "None. It is so.\n"),
    ],
)
def test_what_stops_a_command_is_said_in_words(error, told, capsys):
    def work():
        raise error

    assert course.went_well(work, "None.") is False
    assert capsys.readouterr().err.startswith(told)
    assert course.went_well(lambda: None, "None.") is True
