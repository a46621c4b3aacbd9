"""Question sheets and marking: own numbers, no key in a student's file, names and tables as people have them."""

import csv
import html
import json
import re

import pytest
from markupsafe import escape

from crankbook import csv_tables
from crankbook.classroom import course, marks, roll, sets
from crankbook.classroom.inch_questions import in_inches
from crankbook.classroom.results import export, feedback
from crankbook.lesson.exercise import draw
from crankmath.units import as_text

NAMES = [
    "Kovač, Anna",
    "Bob <b>O'Neil</b> & Co",
    '=HYPERLINK("x")',
    "李小龍",
    "Anna Novak",
    "anna  novak",
    "Anna Novak (2)",
]


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "out"


@pytest.fixture
def names_file(tmp_path):
    path = tmp_path / "names.csv"
    with path.open("w", encoding="utf-8-sig", newline="") as store:
        csv.writer(store).writerows([["Name"], *[[name] for name in NAMES]])
    return path


@pytest.fixture
def made(names_file, folder, capsys):
    assert (
        sets.main(
            ["--class", str(names_file), "--lesson", "8", "--out", str(folder), "--word", "oak"]
        )
        == 0
    )
    capsys.readouterr()
    return folder


def table_of(path):
    with path.open(encoding="utf-8-sig", newline="") as store:
        return list(csv.DictReader(store))


def fill(made, answer):
    """Type answers into the table made for it; answer(school_class, label, exercise, maker) -> text."""
    school_class, makers = roll.load_class(made), course.exercises(course.chosen("08")[0])
    path = made / "instructor-only" / "answers-08.csv"
    rows = table_of(path)
    typed = [
        [row["name"], *(answer(school_class, label, name, maker) for name, maker in makers.items())]
        for row, (_, label) in zip(rows, school_class.students, strict=True)
    ]
    csv_tables.write_table(path, ["name", *makers], typed)
    return path


def test_every_student_gets_a_sheet_and_numbers_of_the_own(made):
    sheets = sorted((made / "students" / "08").glob("[0-9]*.html"))
    assert len(sheets) == len(NAMES)
    questions = [
        re.findall(
            r'<section class="question">(.*?)</section>',
            sheet.read_text(encoding="utf-8"),
            re.DOTALL,
        )
        for sheet in sheets
    ]
    assert all(len(asked) == 3 for asked in questions)
    assert len({asked[0] for asked in questions}) == len(NAMES), (
        "two students have one set of numbers"
    )
    assert [sheet.name for sheet in sheets][3] == "04-student.html"


def test_names_are_escaped_and_keep_their_letters(made):
    every = (made / "students" / "08" / "all-08.html").read_text(encoding="utf-8")
    for name in NAMES[:5]:
        assert str(escape(name)) in every
    assert "<b>" not in every and "<script" not in every
    assert every.count('<section class="sheet">') == len(NAMES)


def rounded(value, units):
    """A value as it might be printed: several units, several roundings, with and without the unit."""
    for unit in units:
        size = value.m_as(unit)
        for digits in range(2, 8):
            text = as_text(value, unit, digits)
            yield text
            if (
                len(text.split()[0].replace(".", "").lstrip("0−")) >= 4
            ):  # a bare short number may stand there by chance
                yield text.split()[0]
        yield repr(float(size))
        yield f"{size:.3e}"


@pytest.mark.parametrize("lesson", course.lessons(), ids=lambda lesson: lesson.path.stem)
def test_no_key_and_no_slip_in_a_student_file(lesson, tmp_path):
    makers = course.exercises(lesson)
    if not makers:
        pytest.skip("no exercises in this lesson")
    school_class = roll.SchoolClass("oak", ["Anna Novak", "Bob"])
    sets.make_sheets(school_class, lesson, tmp_path)
    private = (tmp_path / "instructor-only" / f"key-{lesson.number}.html").read_text(
        encoding="utf-8"
    )
    for _, label in school_class.students:
        sheet = (
            tmp_path
            / "students"
            / lesson.number
            / sets.file_name(*next(s for s in school_class.students if s[1] == label))
        )
        shown = sheet.read_text(encoding="utf-8")
        asked = {name: school_class.question(name, maker, label) for name, maker in makers.items()}
        for question in asked.values():
            words = sets.prose(sets.paper_words(question))
            assert words in shown
            shown = shown.replace(
                words, ""
            )  # what the question itself says is given, not given away
        for name, question in asked.items():
            assert html.escape(sets.key_text(question.key, question.units)) in private
            for value in (question.key, *question.slips.values()):
                for text in rounded(value, question.units):
                    assert not re.search(rf"(?<![\d.]){re.escape(text)}(?![\d])", shown), (
                        name,
                        text,
                    )
            for words in (*question.slips, *question.hints):
                assert html.escape(words) not in shown and words not in shown, (name, words)


def test_students_never_get_the_class_word(made):
    for path in (made / "students").rglob("*.html"):
        assert not re.search(r"\boak\b", path.read_text(encoding="utf-8"))


def test_numbers_come_from_name_lesson_and_word(made):
    school_class = roll.load_class(made)
    maker = course.exercises(course.chosen("8")[0])["08-1"]
    mine = school_class.question("08-1", maker, "Anna Novak")
    assert mine == school_class.question("08-1", maker, "  ANNA novak ")
    assert mine != school_class.question("08-1", maker, "Bob")
    assert mine != roll.SchoolClass("elm", ["Anna Novak"]).question("08-1", maker, "Anna Novak")


def test_right_answers_are_marked_right(made, capsys):
    path = fill(
        made,
        lambda c, label, name, maker: as_text(
            (q := c.question(name, maker, label)).key, q.units[0], 5
        ),
    )
    assert marks.main([str(path)]) == 0
    (path.parent / "answers-08-marked.csv").rename(path.parent / "answers-08-first.csv")
    assert marks.main(["answers-08.csv", "--out", str(made)]) == 0  # a bare name, as the guide has
    marked = table_of(path.with_name("answers-08-marked.csv"))
    assert [row["right"] for row in marked] == ["3"] * len(NAMES)
    assert all("Right: value, unit and sign." in row["08-1 verdict"] for row in marked)
    assert "08-1: 7 right, 0 not yet, 0 not answered" in capsys.readouterr().out


def test_slips_are_marked_in_the_checkers_words(made, capsys):
    def slip(school_class, label, name, maker):
        question = school_class.question(name, maker, label)
        return (
            as_text(next(iter(question.slips.values())), question.units[0], 6)
            if name != "08-3"
            else ""
        )

    path = fill(made, slip)
    assert marks.main([str(path)]) == 0
    said = capsys.readouterr().out
    assert "most often (7): there are two webs: were both counted?" in said
    assert "08-3: 0 right, 0 not yet, 7 not answered" in said
    row = table_of(path.with_name("answers-08-marked.csv"))[0]
    assert row["08-1 verdict"].endswith("Not yet: there are two webs: were both counted?")
    assert row["08-3 verdict"] == "Not answered." and row["right"] == "0" and row["of"] == "3"


@pytest.mark.parametrize(
    "answer",
    [
        "1,234 um",
        "-5 um",
        "=2+3",
        "abc",
        "5",
        "<b>5</b> um",
        "1e999 um",
        "99999999999999999999 mm",
        '"',
    ],
)
def test_any_answer_gets_a_sentence_and_no_spreadsheet_runs_it(made, answer, capsys):
    path = fill(made, lambda c, label, name, maker: answer)
    assert marks.main([str(path)]) == 0
    rows = table_of(path.with_name("answers-08-marked.csv"))
    assert all("Not yet" in row["08-1 verdict"] for row in rows)
    for line in csv.reader(
        path.with_name("answers-08-marked.csv").open(encoding="utf-8-sig", newline="")
    ):
        assert not any(cell.lstrip().startswith(("=", "+", "-", "@")) for cell in line)


def test_escaped_cells_are_read_back():
    for cell in ("=1+1", "+5 um", "-5 um", "@SUM(A1)", "−5 um"):
        assert csv_tables.safe_cell(cell) == "'" + cell
        assert csv_tables.plain_cell(csv_tables.safe_cell(cell)) == cell
    assert (
        csv_tables.safe_cell("5 um") == "5 um"
        and csv_tables.plain_cell("'s-Gravenhage") == "'s-Gravenhage"
    )


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "has no column"),
        (b"student\nAnna\n", "has no column “name”: its first line has “student”"),
        (b"name\n", "has no rows"),
        (b"name\nKovac, Anna\n", "in quotes"),
        (b"name,group\n,a\n", "line 2, has no name"),
        (b"name,name\nAnna,Bob\n", "two columns of one name"),
        (b"\x00\x01name\nAnna", "is not text"),
        (b"name\n" + b"x" * 200, "longer than 100 letters"),
    ],
)
def test_wrong_class_list_is_said_in_a_sentence(raw, words, tmp_path, folder, capsys):
    path = tmp_path / "names.csv"
    path.write_bytes(raw)
    assert sets.main(["--class", str(path), "--lesson", "8", "--out", str(folder)]) == 1
    assert words in capsys.readouterr().err
    assert not folder.exists()


@pytest.mark.parametrize(
    "raw",
    [
        "\ufeffName;Group\nAnna;a\nBörje;b\n".encode(),
        "name\tgroup\nAnna\ta\nBörje\tb\n".encode(),
        "name,group\r\n\r\nAnna,a\r\n  Börje  ,b\r\n".encode(),
        "name\nAnna\nBörje\n".encode("cp1252"),
        "name\nAnna\nBörje\n".encode("utf-16"),
    ],
)
def test_class_lists_as_spreadsheets_save_them(raw, tmp_path):
    path = tmp_path / "names.csv"
    path.write_bytes(raw)
    assert roll.read_list(path)[0] == ["Anna", "Börje"]


def test_what_is_missing_is_named(made, names_file, tmp_path, capsys):
    lost = tmp_path / "elsewhere" / "deep"
    lost.mkdir(parents=True)
    cases = [
        ("name,08-9\nBob,5\n", "there is no exercise 08-9"),
        ("name,mark\nBob,5\n", "no column of answers"),
        ("name,08-1\nAnna Novac,5 um\n", "did you mean “Anna Novak”?"),
        ("name,08-1\nAnna Novak,5 um\nanna novak,6 um\n", "has a row already"),
        ("name,04-1\nAnna Novak,5 rpm\n", "no sheet 04-1 was made for “Anna Novak”"),
        ("name,08-1 version 2\nAnna Novak,5 um\n", "--lesson 08 --version 2”"),
    ]
    for text, words in cases:
        path = made / "instructor-only" / "typed.csv"
        path.write_text(text)
        assert marks.main([str(path)]) == 1
        assert words in capsys.readouterr().err
    (lost / "a.csv").write_text("name,08-1\nBob,5\n")
    assert marks.main([str(lost / "a.csv")]) == 1
    assert "is not found: write --out" in capsys.readouterr().err
    assert marks.main([str(lost / "none.csv")]) == 1
    assert "cannot be read" in capsys.readouterr().err
    assert sets.main(["--class", str(names_file), "--lesson", "88", "--out", str(made)]) == 1
    assert "there is no lesson “88”" in capsys.readouterr().err


def test_changed_questions_are_not_marked_in_silence(made, capsys):
    school_class = roll.load_class(made)
    school_class.asked["08-2"]["Anna Novak"] = "0" * 16
    roll.save_class(school_class, made)
    path = fill(made, lambda *_: "5 um")
    assert marks.main([str(path)]) == 1
    assert "the question 08-2 of “Anna Novak” has changed since" in capsys.readouterr().err


def test_a_second_run_keeps_the_word_and_what_was_typed(made, names_file, capsys):
    path = fill(made, lambda *_: "5 um")
    first = (made / "students" / "08" / "all-08.html").read_text(encoding="utf-8")
    assert sets.main(["--class", str(names_file), "--lesson", "8", "--out", str(made)]) == 0
    assert (made / "students" / "08" / "all-08.html").read_text(encoding="utf-8") == first
    assert table_of(path)[0]["08-1"] == "5 um"
    names_file.write_text("name\nAnna Novak\n")
    assert sets.main(["--class", str(names_file), "--lesson", "8", "--out", str(made)]) == 0
    assert len(list((made / "students" / "08").glob("[0-9]*.html"))) == 1, (
        "sheets of the old list must go"
    )
    assert table_of(path)[0]["08-1"] == "5 um", "typed answers must stay"
    assert [row["name"] for row in table_of(path.with_name("answers-08-new.csv"))] == ["Anna Novak"]


def test_who_joins_or_leaves_changes_nobody_elses_numbers(made, tmp_path, capsys):
    path = fill(
        made,
        lambda c, label, name, maker: as_text(
            (q := c.question(name, maker, label)).key, q.units[0], 5
        ),
    )
    (tmp_path / "later.csv").write_text("name\nZoe\n李小龍\nAnna Novak\n", encoding="utf-8")
    assert (
        sets.main(["--class", str(tmp_path / "later.csv"), "--lesson", "9", "--out", str(made)])
        == 0
    )
    path.write_text(
        "\n".join(
            line
            for line in path.read_text(encoding="utf-8-sig").splitlines()
            if line.startswith(("name", "李", "Anna Novak,"))
        ),
        encoding="utf-8",
    )
    assert marks.main([str(path)]) == 0
    assert "08-1: 2 right, 0 not yet" in capsys.readouterr().out


@pytest.mark.parametrize(("key", "value"), [("word", 5), ("roll", []), ("units", 7)])
def test_a_record_with_a_key_of_another_kind_is_refused(made, key, value):
    """One of the first version may lack what came later, but not hold it as another kind."""
    path = roll.record_path(made)
    kept = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(json.dumps(kept | {key: value}), encoding="utf-8")
    with pytest.raises(ValueError, match=f"“{key}” is missing or of the wrong kind"):
        roll.load_class(made)
    path.write_text(json.dumps({one: kept[one] for one in roll.RECORD}), encoding="utf-8")
    assert roll.load_class(made).names == kept["names"]


def test_damaged_record_is_named(made, names_file, capsys):
    roll.record_path(made).write_text("{")
    assert sets.main(["--class", str(names_file), "--lesson", "8", "--out", str(made)]) == 1
    assert "cannot be read" in capsys.readouterr().err
    assert (
        sets.main(
            ["--class", str(names_file), "--lesson", "8", "--out", str(made), "--word", "oak"]
        )
        == 0
    )


def test_folder_that_cannot_be_written(names_file, tmp_path, capsys):
    (tmp_path / "file").write_text("no folder")
    assert (
        sets.main(
            ["--class", str(names_file), "--lesson", "8", "--out", str(tmp_path / "file" / "out")]
        )
        == 1
    )
    assert "choose another folder with --out" in capsys.readouterr().err


def test_random_word_is_drawn_and_kept(names_file, folder):
    assert sets.main(["--class", str(names_file), "--lesson", "8", "--out", str(folder)]) == 0
    assert len(roll.load_class(folder).word) >= 12


def test_key_tells_both_systems(made):
    rows = table_of(made / "instructor-only" / "key-08.csv")
    assert all(" µm = " in row["ex 08-1"] and " thou" in row["ex 08-1"] for row in rows)
    page = (made / "instructor-only" / "key-08.html").read_text(encoding="utf-8")
    words = html.unescape(" ".join(re.sub("<[^>]+>", " ", page).split()))
    assert "sheet name 08-1 08-2 08-3" in words
    assert all(row["ex 08-1"] in words for row in rows)


def class_of(tmp_path, text, name="list.csv", encoding="utf-8"):
    path = tmp_path / name
    path.write_text(text, encoding=encoding, newline="")
    return path


def sheets_for(path, folder, *more):
    return sets.main(["--class", str(path), "--lesson", "8", "--out", str(folder), *more])


def key_of(school_class, label, name="08-1"):
    question = school_class.question(name, course.exercises(course.chosen("8")[0])[name], label)
    return as_text(question.key, question.units[0], 3)


def test_a_second_class_does_not_replace_the_first(tmp_path, folder, capsys):
    assert sheets_for(class_of(tmp_path, "name\nAnna\nBob\nCleo\n"), folder) == 0
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    assert sheets_for(class_of(tmp_path, "name\nDora\nEmil\n", "B.csv"), folder) == 1
    assert "holds another class" in (said := capsys.readouterr().err) and f"{folder}-B" in said
    assert {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()} == before


def test_what_the_instructor_typed_into_the_marked_table_stays(made, capsys):
    path = fill(made, lambda c, label, name, maker: key_of(c, label, name) if "A" in label else "")
    assert marks.main([str(path)]) == 0
    store = path.with_name("answers-08-marked.csv")
    rows = [dict(row, Points="2", comment="5, well done") for row in table_of(store)]
    csv_tables.write_table(store, list(rows[0]), [row.values() for row in rows])
    fill(made, lambda c, label, name, maker: key_of(c, label, name))  # the late papers
    assert marks.main([str(path)]) == 0
    after = table_of(store)
    assert [row["Points"] for row in after] == ["2"] * len(NAMES)
    assert after[0]["comment"] == "5, well done" and after[3]["right"] == "3"
    assert not list(path.parent.glob("*before*")), "late papers alone need no copy"
    after[0]["08-1 verdict"], after[0]["right"] = "half a point", "2.5"
    csv_tables.write_table(store, list(after[0]), [row.values() for row in after])
    by_hand = store.read_bytes()
    path.write_text(
        f"name,ex 08-1,ex 08-2,ex 08-3\nAnna Novak,{'5 um,' * 3}\n".replace(",\n", "\n")
    )
    assert marks.main([str(path)]) == 0
    assert len(table_of(store)) == len(NAMES), "students of an earlier marking are lost"
    assert path.with_name("answers-08-marked-before-1.csv").read_bytes() == by_hand


def test_what_cannot_be_read_is_counted_apart_and_by_kind(made, capsys):
    answers = iter(["1,234 um", "2,345 um", "30", "12.5", "5 banana", "", "3,456 um"])
    path = fill(made, lambda c, label, name, maker: next(answers) if name == "08-1" else "")
    assert marks.main([str(path)]) == 0
    said = capsys.readouterr().out
    assert "08-1: 0 right, 2 not yet, 1 not answered, 4 could not be read" in said
    assert "(3): a comma that may stand for thousands; (2): no unit; (1): unknown unit" in said
    rows = table_of(path.with_name("answers-08-marked.csv"))
    assert [row["could not be read"] for row in rows] == ["1", "1", "0", "0", "1", "0", "1"]
    assert not any("hint" in row["08-1 verdict"] for row in rows), "sheets have no hints"


def test_every_good_row_is_marked_and_every_bad_one_named(made, capsys):
    path = made / "instructor-only" / "typed.csv"
    path.write_text(
        "name,08-1\nAnna Novac,5 um\nAnna Novak,5 um\n,6 um\nZoe,7 um\nAnna Novak,8 um\n"
    )
    assert marks.main([str(path)]) == 1
    said = capsys.readouterr()
    assert "08-1: 0 right, 1 not yet" in said.out
    assert said.err.startswith("Rows that were not marked, 4:\nline 2: ")
    for words in ("line 2: ", "line 4: the row has no name", "line 5: “Zoe”", "line 6: "):
        assert words in said.err
    assert [row["name"] for row in table_of(path.with_name("typed-marked.csv"))] == ["Anna Novak"]


def test_numbers_belong_to_the_student_by_id(tmp_path, folder, capsys):
    both = "Student ID;name\n1;O'Brien\n2;Li Wei\n3;Li Wei\n4;Müller\n"
    assert sheets_for(class_of(tmp_path, both, encoding="cp1252"), folder) == 0
    before = roll.load_class(folder)
    answers = folder / "instructor-only" / "answers-08.csv"
    raw = answers.read_bytes()
    assert raw.startswith(b"id;name;ex 08-1;") and b"M\xfcller" in raw, "separator or encoding lost"
    right = {
        one: key_of(before, label) for one, (_, label) in zip("1234", before.students, strict=True)
    }
    assert sheets_for(class_of(tmp_path, both.replace("1;O'Brien\n2;Li Wei\n", "")), folder) == 0
    after = roll.load_class(folder)
    assert after.students == [(3, "Li Wei"), (4, "Müller")]
    assert [key_of(after, label) for _, label in after.students] == [right["3"], right["4"]]
    answers.write_text(f"id;name;ex 08-1\n3;whoever;{right['3']}\n4;;{right['4']}\n9;Li Wei;5 um\n")
    assert marks.main([str(answers)]) == 1
    assert "the ID “9” is not in the class list" in capsys.readouterr().err
    assert (
        answers.with_name("answers-08-marked.csv").read_text("utf-8-sig").startswith("number;id;")
    )


def test_ids_that_come_later_change_nobodys_numbers(tmp_path, folder):
    assert sheets_for(class_of(tmp_path, "name\nAnna\nBob\n"), folder) == 0
    before = roll.load_class(folder)
    assert sheets_for(class_of(tmp_path, "id,name\n7,Bob\n8,Anna\n9,Cleo\n"), folder) == 0
    after = roll.load_class(folder)
    assert after.students == [(2, "Bob"), (1, "Anna"), (3, "Cleo")]
    assert key_of(after, "Bob") == key_of(before, "Bob")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("name\nAnna\nanna\nBob\n", "1 name appears in the list again"),
        ("name\nAnna\nAnna\nAnna\nBob\nBob\n", "3 names appear in the list again"),
        ("id,name\n7,Anna\n8,Anna\n,Bob\n", "For the students"),
    ],
)
def test_a_name_that_stands_again_is_told_where_no_id_tells_them_apart(
    tmp_path, folder, capsys, text, said
):
    assert sheets_for(class_of(tmp_path, text), folder) == 0
    out = capsys.readouterr().out
    assert said in out and ("in the list again" in out) == ("again" in said)


def test_one_id_is_one_student(tmp_path, folder, capsys):
    assert sheets_for(class_of(tmp_path, "id,name\n7,Bob\n7,Anna\n"), folder) == 1
    assert "the ID “7” is in the list already" in capsys.readouterr().err


@pytest.mark.parametrize("head", ["ex 08-1", "08-1", "8-1", "'08-1", "08–1", "q08_1", "08-01"])
def test_heads_of_exercises_are_read(made, head):
    path = made / "instructor-only" / "typed.csv"
    path.write_text(f"name,{head}\nAnna Novak,{key_of(roll.load_class(made), 'Anna Novak')}\n")
    assert marks.main([str(path)]) == 0
    assert table_of(path.with_name("typed-marked.csv"))[0]["right"] == "1"


def test_columns_of_the_instructor_are_no_dates(made):
    path = made / "instructor-only" / "typed.csv"
    path.write_text("name,mark 2,may be late,ex 08-1\nAnna Novak,x,y,5 um\n")
    assert marks.main([str(path)]) == 0


@pytest.mark.parametrize("head", ["1-Aug", "Aug-01", "08.01.2026", "8/1/2026"])
def test_a_head_made_a_date_is_said(made, head, capsys):
    path = made / "instructor-only" / "typed.csv"
    path.write_text(f"name,{head}\nAnna Novak,5 um\n")
    assert marks.main([str(path)]) == 1
    assert "is a date" in (said := capsys.readouterr().err) and "ex 08-1" in said


def test_no_table_has_a_head_or_cell_like_a_date(made):
    for path in (made / "instructor-only").glob("*.csv"):
        for line in csv.reader(path.open(encoding="utf-8-sig", newline="")):
            assert not any(re.fullmatch(r"\d{1,2}-\d{1,2}", cell) for cell in line), path.name


def test_sheets_say_how_near_an_answer_has_to_be(made):
    sheet = next((made / "students" / "08").glob("01-*.html")).read_text(encoding="utf-8")
    assert "within 1 %" in html.unescape(sheet)


def test_sheets_in_inches_ask_the_same(tmp_path, folder):
    assert sheets_for(class_of(tmp_path, "name\nAnna\n"), folder, "--units", "in") == 0
    sheet = html.unescape(next((folder / "students" / "08").glob("01-*.html")).read_text("utf-8"))
    words = (
        roll.load_class(folder)
        .question("08-2", course.exercises(course.chosen("8")[0])["08-2"], "Anna")
        .words
    )
    torque, advance = (float(one) for one in re.findall(r"([\d.]+) (?:N·m|mm)", words))
    # by hand from NIST SP 811: 1 lbf ft = 1.355818 N m, 1 in = 25.4 mm
    shown = re.search(r"with ([\d.]+) lbf·ft. Its screw advances ([\d.]+) in a turn", sheet)
    assert float(shown[1]) == pytest.approx(torque / 1.355818, rel=1e-3)
    assert float(shown[2]) == pytest.approx(advance / 25.4, rel=1e-3)
    assert "(lbf or N or kN)" in sheet


def test_a_sheet_keeps_its_units_when_the_class_changes_them(tmp_path, folder, capsys):
    names = class_of(tmp_path, "name\nAnna\n")
    assert sheets_for(names, folder, "--units", "in") == 0
    answers = class_of(folder / "instructor-only", "name,ex 08-2\nAnna,1 lbf\n", "answers-08.csv")
    assert marks.main([str(answers)]) == 0
    inches = re.compile(r"lbf·ft\. Its screw")
    # a lesson made later without --units is in the class's inches, a retake in mm is not
    assert sets.main(["--class", str(names), "--lesson", "9", "--out", str(folder)]) == 0
    assert roll.load_class(folder).units_of("09") == "in"
    assert sheets_for(names, folder, "--version", "2", "--units", "mm") == 0
    assert feedback.main(["--lesson", "8", "--out", str(folder)]) == 0
    page = (folder / "feedback" / "08" / "01-anna.html").read_text(encoding="utf-8")
    assert inches.search(html.unescape(page))
    first, again = (
        b"".join(export.package(roll.load_class(folder), course.chosen("8")[0], version).values())
        for version in (1, 2)
    )
    assert inches.search(first.decode()) and not inches.search(again.decode())


def test_the_table_just_made_is_named(tmp_path, folder, capsys):
    names = class_of(tmp_path, "name\nAnna\n")
    assert sheets_for(names, folder) == 0
    assert 'answers-08.csv"' in capsys.readouterr().out
    assert sets.main(["--class", str(names), "--lesson", "4", "--out", str(folder)]) == 0
    assert 'answers-04.csv"' in capsys.readouterr().out
    assert sheets_for(names, folder, "--version", "2") == 0
    assert 'answers-08-version-2.csv"' in capsys.readouterr().out


def test_no_question_mixes_two_systems():
    for lesson in course.lessons():
        for name, maker in course.exercises(lesson).items():
            asked = draw(maker, name)
            shown = in_inches(asked)
            metric = re.search(r"\d (?:mm|µm|N|kN|MPa|GPa|m/min|kg|g|W|°C)\b", shown.words)
            assert shown is asked or not metric, (name, shown.words)
