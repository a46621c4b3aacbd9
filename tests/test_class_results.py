"""A class over time: thirty with awkward names through sheets, answers, marks, results and exports."""

import csv
import html
import io
import json
import os
import re
import xml.etree.ElementTree as ElementTree
import zipfile
from pathlib import Path

import pytest
from markupsafe import escape

from crankbook.classroom import course, marks, roll, sets
from crankbook.classroom.results import collect, export, feedback, kept, summary
from crankbook.csv_tables import write_table
from crankbook.lesson.exercise import Question, draw, judge, room
from crankmath.units import Quantity, as_text

NAMES = (
    """O'Brien|Müller|Li Wei|Li Wei|李小龍|=HYPERLINK("x")|Kovač, Anna|Bob <b>O'Neil</b> & Co|Anna Novak
anna  novak|Anna Novak (2)|Đặng Thu|Ægir Jónsson|Øyvind|'s-Gravenhage|-Minus|@home|../up|%s %d|{{ name }}|Ça va; oui
"Quoted" Q|José|José|А. Иванов|نور|x""".replace("\n", "|").split("|")
    + [
        "y" * 100,
        "Zoë",
        "Ünal",
        "Last",
    ]
)
NAMES = NAMES[:30]
# how people write a right answer on paper, by the unit of the key; each is right
SPELLINGS = {
    "um": ("{um:.4g} Microns", "= {um:.4g} µm", "{mm:.4g} mm", "≈ {um:.4g} um", "{inch:.4g} in"),
    "N": ("{N:.4g} Newton", "F = {N:.4g} N", "{kN:.4g} kN", "about {N:.4g} N", "{lbf:.4g} lbf"),
}


def spelled(question, place):
    key = question.key
    kind = "um" if key.check("[length]") else "N"
    units = {"um": "um", "mm": "mm", "inch": "in"}
    if kind == "N":
        units = {"N": "N", "kN": "kN", "lbf": "lbf"}
    forms = SPELLINGS[kind]
    return forms[place % len(forms)].format(
        **{name: key.m_as(unit) for name, unit in units.items()}
    )


def answer_of(school_class, place, label, name, maker):
    """Twenty right in many spellings, five without unit, three not readable, one slip, one empty."""
    question = school_class.question(name, maker, label)
    unit = question.units[0]
    if place < 20:
        return spelled(question, place)
    if place < 25:
        return f"{question.key.m_as(unit):.4g}"
    if place < 28:
        return "1,234 um"
    if place == 28:
        return as_text(next(iter(question.slips.values())), unit, 6)
    return ""


def table_of(path, separator=","):
    with path.open(encoding="utf-8-sig", newline="") as store:
        return list(csv.DictReader(store, delimiter=separator))


def write_list(path, names, first_id=100, separator=";"):
    write_table(
        path, ["ID", "Name"], [[first_id + n, one] for n, one in enumerate(names)], separator
    )


@pytest.fixture(scope="module")
def school(tmp_path_factory):
    """A class of thirty, its sheets of lesson 8, its answers typed and marked."""
    place = tmp_path_factory.mktemp("school")
    write_list(place / "a.csv", NAMES)
    folder = place / "class-a"
    words = ["--class", str(place / "a.csv"), "--lesson", "8", "--out", str(folder)]
    assert sets.main([*words, "--word", "oak"]) == 0
    school_class = roll.load_class(folder)
    makers = course.exercises(course.chosen("8")[0])
    answers = folder / "instructor-only" / "answers-08.csv"
    typed = [
        [
            school_class.id_of(label),
            label,
            *(answer_of(school_class, place, label, *one) for one in makers.items()),
        ]
        for place, (_, label) in enumerate(school_class.students)
    ]
    write_table(answers, ["id", "name", *(f"ex {name}" for name in makers)], typed, ";")
    assert marks.main([str(answers)]) == 0
    return folder


def test_no_right_answer_is_marked_wrong_and_nobody_is_lost(school):
    rows = table_of(school / "instructor-only" / "answers-08-marked.csv", ";")
    assert len(rows) == 30 == len({row["id"] for row in rows})
    for place, row in enumerate(rows):
        verdicts = [row[head] for head in row if head.endswith("verdict")]
        if place < 20:
            assert row["right"] == "3", (row["name"], verdicts)
        elif 25 <= place < 28:
            assert row["could not be read"] == "3", (row["name"], verdicts)
        else:
            assert row["right"] == "0", (row["name"], verdicts)


def test_results_count_exercises_and_slips_over_all(school, capsys):
    assert summary.main(["--out", str(school)]) == 0
    school_class, _, every = summary.class_of(school)
    assert summary.by_exercise(school_class, every)["08-1"] == {
        "right": 20,
        "not yet": 6,
        "could not be read": 3,
        "not answered": 1,
    }
    slips = summary.by_slip(school_class, every)
    assert next(iter(slips)) == "no unit" and len(slips["no unit"]) == 15
    assert len(slips["a comma that may stand for thousands"]) == 9
    shown = (school / "instructor-only" / "results.html").read_text(encoding="utf-8")
    for name in NAMES:
        assert str(escape(" ".join(name.split()))) in shown, name
    # a name may hold a comma, so names are parted by another mark
    assert str(escape('"Quoted" Q; José (122); José (123); А. Иванов')) in shown
    assert "<b>O" not in shown and "<script" not in shown
    assert [row.split("</th>")[0].rpartition(">")[2] for row in shown.split("<thead>")[1:]] == [
        "exercise",
        "slip",
        "name",
    ]


def test_answers_stand_on_a_scale_from_a_tenth_of_the_key_to_ten_times():
    drawn = summary.strip([1, 10, 1000, 0.1, 0.001, 0, -1])
    dots = re.findall(r'cx="([\d.]+)" cy="9" r="3" fill="(#\w+)"', drawn)
    assert [float(x) for x, _ in dots] == [100, 10, 10, 10, 100, 190, 190]  # -1, 0, 0.001, ...
    assert len({color for _, color in dots}) == 2 and dots[0][1] != dots[-1][1]


def test_an_exercise_stands_as_answered_last_and_once_right_stays_right():
    sheet = kept.Mark("1 um", "not yet", "", "", "2026-01-01")
    later = kept.Mark("?", "could not be read", "", "", "2026-01-02")
    empty = kept.Mark("", "not answered", "", "", "2026-01-03")
    right = kept.Mark("2 um", "right", "", "", "2025-12-31")
    mine = {"08-1": sheet, "08-1 version 2": later, "08-1 version 3": empty, "08-2": right}
    assert kept.standing(mine, "08-1") == "could not be read"
    assert kept.standing({"08-1": empty}, "08-1") == "not answered"
    assert kept.standing(mine | {"08-1 on screen": right}, "08-1") == "right"
    assert kept.standing(mine, "08-3") == ""


def test_a_table_that_holds_a_name_twice_is_kept_beside(tmp_path):
    store = tmp_path / "marked.csv"
    write_table(store, ["name", "right"], [["Bob", "2"], ["Bob", "1"]])
    marks.with_own(store, ["name", "right"], [["Bob", "1"]])
    assert len(list(tmp_path.iterdir())) == 2
    write_table(store, ["name", "right", "note"], [["Bob", "1", "late"], ["Eve", "0", ""]])
    heads, rows = marks.with_own(store, ["name", "right"], [["Bob", "1"]])
    assert heads == ["name", "right", "note"] and len(list(tmp_path.iterdir())) == 2
    assert rows == [["Bob", "1", "late"], ["Eve", "0", ""]]


def test_grades_by_id_run_nothing_and_add_up(school):
    summary.main(["--out", str(school)])
    path = school / "instructor-only" / "grades.csv"
    rows = table_of(path, ";")
    assert [row["id"] for row in rows] == [str(100 + n) for n in range(30)]
    assert [row["right"] for row in rows] == ["3"] * 20 + ["0"] * 10
    assert {row["of"] for row in rows} == {"3"} and rows[0]["percent"] == "100"
    for line in csv.reader(path.open(encoding="utf-8-sig", newline=""), delimiter=";"):
        assert not any(cell.lstrip().startswith(("=", "+", "-", "@")) for cell in line)


def test_feedback_has_own_numbers_and_no_key(school, capsys):
    assert feedback.main(["--lesson", "8", "--out", str(school)]) == 0
    school_class = roll.load_class(school)
    makers = course.exercises(course.chosen("8")[0])
    pages = sorted((school / "feedback" / "08").glob("[0-9]*.html"))
    assert len(pages) == 30
    for place, ((_, label), page) in enumerate(zip(school_class.students, pages, strict=True)):
        shown = html.unescape(page.read_text(encoding="utf-8").partition("</style>")[2])
        asked = {name: school_class.question(name, one, label) for name, one in makers.items()}
        assert all(sets.prose(sets.paper_words(one)).unescape() in shown for one in asked.values())
        assert label in shown and f"{3 if place < 20 else 0} of 3 right" in shown
        if place >= 25:  # these five and more wrote no right number themselves
            for question in asked.values():
                for unit in question.units:
                    key = re.escape(f"{question.key.m_as(unit):.4g}")
                    if len(key) > 3:  # a shorter one may stand there by chance
                        assert not re.search(rf"(?<![\d.]){key}(?!\d)", shown), key
    slip = html.unescape(pages[28].read_text(encoding="utf-8"))
    assert "there are two webs: were both counted?" in slip


def test_a_second_class_and_a_shorter_list_lose_nothing(school, tmp_path, capsys):
    before = kept.read_marks(school)
    write_list(tmp_path / "b.csv", ["Dora", "Emil"], 900)
    words = ["--class", str(tmp_path / "b.csv"), "--lesson", "8"]
    assert sets.main([*words, "--out", str(school)]) == 1
    assert "holds another class" in capsys.readouterr().err
    assert sets.main([*words, "--out", str(tmp_path / "class-b")]) == 0
    assert kept.read_marks(school) == before and kept.read_marks(tmp_path / "class-b") == {}
    assert summary.main(["--out", str(tmp_path / "class-b")]) == 1
    assert "holds no marks yet" in capsys.readouterr().err


@pytest.fixture
def two(tmp_path):
    """A class of two with the sheets of lesson 8."""
    (tmp_path / "two.csv").write_text("id,name\nanna,Anna Novak\nbob,Bob\n")
    folder = tmp_path / "class"
    words = ["--class", str(tmp_path / "two.csv"), "--lesson", "8", "--out", str(folder)]
    assert sets.main([*words, "--word", "oak"]) == 0
    return folder, words


def maker_of(name):
    return course.exercises(course.chosen(name[:2])[0])[name]


def test_a_test_sat_again_has_other_numbers_and_counts(two, capsys):
    folder, words = two
    assert sets.main([*words, "--version", "2", "--large"]) == 0
    school_class = roll.load_class(folder)
    first, again = (
        school_class.question(name, maker_of("08-1"), "Bob") for name in ("08-1", "08-1 version 2")
    )
    assert first.key != again.key
    assert export.main(["--lesson", "8", "--version", "2", "--out", str(folder)]) == 0
    stored = folder / "instructor-only" / "qti" / "questions-08-version-2.zip"
    names = zipfile.ZipFile(stored).namelist()
    assert {name for name in names if name[0] == "T"} == {
        "T08-version-2-S01.xml",
        "T08-version-2-S02.xml",
    }
    sheet = (folder / "students" / "08-version-2" / "02-bob.html").read_text(encoding="utf-8")
    assert html.unescape(again.words) in html.unescape(sheet) and "08-02 version 2" in sheet
    large = (folder / "students" / "08-version-2" / "02-bob-large.html").read_text("utf-8")
    assert "font-size: 18pt" in large and "font-size: 18pt" not in sheet
    private = folder / "instructor-only"
    assert "ex 08-1 version 2" in (private / "answers-08-version-2.csv").read_text("utf-8-sig")
    for text in (
        f"name,ex 08-1\nBob,{as_text(again.key)}\n",  # the key of the other version
        f"name,ex 08-1 version 2\nBob,{as_text(again.key, again.units[0], 4)}\n",
    ):
        (private / "typed.csv").write_text(text)
        assert marks.main([str(private / "typed.csv")]) == 0
    mine = kept.read_marks(folder)["bob"]
    assert mine["08-1"].sort == "not yet" and mine["08-1 version 2"].sort == "right"
    assert kept.standing(mine, "08-1") == "right"


def test_an_empty_answer_takes_no_mark_away(two):
    folder, _ = two
    school_class = roll.load_class(folder)
    question = school_class.question("08-1", maker_of("08-1"), "Bob")
    for answer in (as_text(question.key), ""):
        verdict = judge(question, answer) if answer else marks.NO_ANSWER
        kept.keep_marks(folder, school_class, [(2, "Bob", {"08-1": (answer, verdict)})])
    assert kept.read_marks(folder)["bob"]["08-1"].sort == "right"


def test_damaged_marks_are_named_and_stay(two, capsys):
    folder, _ = two
    kept.marks_path(folder).write_text('{"marks": {"bob": {"08-1": 5}}}')
    assert summary.main(["--out", str(folder)]) == 1
    assert "cannot be read" in capsys.readouterr().err
    assert kept.marks_path(folder).read_text() == '{"marks": {"bob": {"08-1": 5}}}'


def test_answers_on_screen_are_collected_and_judged_again(two, tmp_path, capsys):
    folder, _ = two
    homes = tmp_path / "homes"
    own = draw(maker_of("08-1"), "anna/08-1/0")
    everybody = draw(maker_of("08-1"), "08-1/0")
    assert own.key != everybody.key
    stored = {
        "anna": {"08-1": {"answer": as_text(own.key), "student": "anna"}},  # the first
        "bob": {"08-1": {"answer": "1 um", "right": True, "turn": 0}},
        "zoe": {"08-1": {"answer": "1 um", "turn": 0}},
    }
    for name, answers in stored.items():
        (homes / name / "crank-work").mkdir(parents=True)
        text = json.dumps({"version": 1, "answers": answers})
        (homes / name / "crank-work" / "progress.json").write_text(text)
    (homes / "empty").mkdir()
    assert collect.main([str(homes), "--out", str(folder)]) == 1
    said = capsys.readouterr()
    assert "Anna Novak: 1 answered, 1 right" in said.out and "Bob: 1 answered, 0 right" in said.out
    assert said.err.startswith("Passed over, 1:\nzoe: “zoe” is not in the class list")
    assert kept.read_marks(folder)["anna"]["08-1 on screen"].sort == "right"
    assert summary.main(["--out", str(folder)]) == 0
    assert collect.main([str(tmp_path / "nothing"), "--out", str(folder)]) == 1
    assert "no folder in it holds a progress.json" in capsys.readouterr().err


# What the published schemas of QTI 2.2 want of the elements we write, by hand as imsqti_v2p2.xsd
# and qtiv2p2_imscpv1p2_v1p0.xsd of 1EdTech have them: attributes, with ! where one must be there,
# and children in their order, counted as in a regular expression. The schemas are not stored here;
# a folder that holds both with what they include is named by CRANKMATH_QTI_SCHEMA.
EXPRESSION = "(equal|variable|correct|baseValue|sum|testVariables)"
ACTION = "(responseCondition|setOutcomeValue)*"
RULES = {
    "http://www.imsglobal.org/xsd/imsqti_v2p2": {
        "assessmentItem": (
            "identifier! title! adaptive timeDependent!",
            "responseDeclaration* outcomeDeclaration* itemBody? responseProcessing? modalFeedback*",
        ),
        "responseDeclaration": ("identifier! cardinality! baseType", "correctResponse?"),
        "outcomeDeclaration": (
            "identifier! cardinality! baseType normalMinimum normalMaximum",
            "defaultValue?",
        ),
        "correctResponse": ("", "value+"),
        "defaultValue": ("", "value+"),
        "value": ("", ""),
        "itemBody": ("", "(p|div)+"),
        "div": ("", "(p|div|textEntryInteraction)*"),
        "p": ("", "textEntryInteraction*"),
        "textEntryInteraction": ("responseIdentifier! expectedLength", ""),
        "responseProcessing": ("", ACTION),
        "responseCondition": ("", "responseIf responseElseIf* responseElse?"),
        "responseIf": ("", f"{EXPRESSION} {ACTION}"),
        "responseElseIf": ("", f"{EXPRESSION} {ACTION}"),
        "responseElse": ("", ACTION),
        "equal": (
            "toleranceMode tolerance includeLowerBound includeUpperBound",
            EXPRESSION + "{2}",
        ),
        "variable": ("identifier!", ""),
        "correct": ("identifier!", ""),
        "baseValue": ("baseType!", ""),
        "setOutcomeValue": ("identifier!", EXPRESSION),
        "modalFeedback": ("outcomeIdentifier! identifier! showHide! title", "(p|div)*"),
        "assessmentTest": (
            "identifier! title!",
            "outcomeDeclaration* testPart+ outcomeProcessing?",
        ),
        "testPart": (
            "identifier! navigationMode! submissionMode!",
            "itemSessionControl? assessmentSection+",
        ),
        "itemSessionControl": ("maxAttempts showFeedback", ""),
        "assessmentSection": (
            "identifier! title! visible!",
            "(assessmentItemRef|assessmentSection)*",
        ),
        "assessmentItemRef": ("identifier! href!", ""),
        "outcomeProcessing": ("", "setOutcomeValue*"),
        "sum": ("", "(variable|correct|baseValue|sum|testVariables)+"),
        "testVariables": ("variableIdentifier!", ""),
    },
    "http://www.imsglobal.org/xsd/imscp_v1p1": {
        "manifest": ("identifier!", "metadata organizations resources"),
        "metadata": ("", "schema schemaversion"),
        "schema": ("", ""),
        "schemaversion": ("", ""),
        "organizations": ("", ""),
        "resources": ("", "resource*"),
        "resource": ("identifier! type! href", "file* dependency*"),
        "file": ("href!", ""),
        "dependency": ("identifierref!", ""),
    },
}
NUMBER = r"-?\d+(\.\d+)?(e[+-]\d+)?"
# what attributes, or the text of elements, may be; any text where nothing is said. Narrower than
# the schemas: plain letters in identifiers, places without spaces, a tolerance of numbers.
VALUES = {
    r"[A-Za-z_][A-Za-z0-9_.-]*": "identifier responseIdentifier outcomeIdentifier "
    "variableIdentifier identifierref",
    "true|false|1|0": "adaptive timeDependent visible showFeedback "
    "includeLowerBound includeUpperBound",
    NUMBER: "normalMinimum",
    NUMBER.removeprefix("-?"): "normalMaximum",
    f"{NUMBER}( {NUMBER})?": "tolerance",
    r"\d+": "expectedLength maxAttempts",
    "single|multiple|ordered|record": "cardinality",
    "boolean|directedPair|duration|file|float|identifier|integer|pair|point|string|uri": "baseType",
    "exact|absolute|relative": "toleranceMode",
    "show|hide": "showHide",
    "linear|nonlinear": "navigationMode",
    "individual|simultaneous": "submissionMode",
    "imsqti_(test|section|item)_xmlv2p2|webcontent": "type",
    r"\S+": "href",
    r"QTIv2\.2 Package|QTIv2\.2 Item Bank Package": "schema",
    r"1\.0\.0": "schemaversion",
}
VALUES = {name: pattern for pattern, names in VALUES.items() for name in names.split()}
WITH_TEXT = {"p", "div", "modalFeedback", "value", "baseValue", "schema", "schemaversion"}


def check_structure(element):
    space, _, name = element.tag[1:].partition("}")
    attributes, children = RULES[space][name]
    given = {one: value for one, value in element.attrib.items() if not one.startswith("{")}
    required = {one[:-1] for one in attributes.split() if one.endswith("!")}
    assert required <= set(given) <= set(attributes.replace("!", "").split()), (name, given)
    for one, value in {**given, name: element.text or ""}.items():
        assert re.fullmatch(VALUES.get(one, ".*"), value, re.DOTALL), (name, one, value)
    pattern = re.sub("[A-Za-z]+", r"(?:\g<0>,)", children).replace(" ", "")
    found = "".join(child.tag.rpartition("}")[2] + "," for child in element)
    assert re.fullmatch(pattern, found), (name, found)
    if name not in WITH_TEXT:
        text = [element.text, *(child.tail for child in element)]
        assert not "".join(one or "" for one in text).strip(), (name, text)
    for child in element:
        check_structure(child)


def check_names(whole):
    """What a file calls unique is so, and what refers to it finds it (ID and IDREF)."""
    unique = [
        one.get("identifier")
        for one in whole.iter()
        if one.tag.rpartition("}")[2] in ("responseDeclaration", "manifest", "resource")
    ]
    assert len(unique) == len(set(unique))
    for one in whole.iter():
        for name in ("responseIdentifier", "identifierref"):
            assert one.get(name) in (None, *unique), (one.tag, one.attrib)


@pytest.fixture(scope="module")
def archive(school):
    assert export.main(["--lesson", "8", "--out", str(school)]) == 0
    path = school / "instructor-only" / "qti" / "questions-08.zip"
    with zipfile.ZipFile(io.BytesIO(path.read_bytes())) as stored:
        return {name: ElementTree.fromstring(stored.read(name)) for name in stored.namelist()}


def test_export_follows_the_standard(archive):
    listed = archive["imsmanifest.xml"]
    space = f"{{{export.PACKAGE}}}"
    files = [one.get("href") for one in listed.iter(f"{space}file")]
    assert sorted(files) == sorted(set(archive) - {"imsmanifest.xml"})
    assert len(archive) == 1 + 30 * 4
    for element in archive.values():
        check_structure(element)
        check_names(element)
        outermost = element.tag.rpartition("}")[2]  # without a prefix, as platforms' readers expect
        assert b"<" + outermost.encode() + b" " in export.as_bytes(element)


def test_feedback_is_shown_and_points_are_counted(archive):
    """itemSessionControl's showFeedback is false unless said (the schema's default), and a score
    above 1 should tell its range (the schema's words on outcomeDeclaration)."""
    space = {"q": export.QTI}
    tests = [one for one in archive.values() if one.tag == f"{{{export.QTI}}}assessmentTest"]
    assert len(tests) == 30
    for whole in tests:
        control = whole.find("q:testPart/q:itemSessionControl", space)
        assert control is not None and control.get("showFeedback") == "true"
        score = whole.find("q:outcomeDeclaration", space)
        assert (score.get("normalMinimum"), score.get("normalMaximum")) == ("0", "3")


@pytest.mark.skipif(
    not os.environ.get("CRANKMATH_QTI_SCHEMA"), reason="no folder with imsqti_v2p2.xsd is named"
)
def test_export_validates_against_the_published_schema(archive):
    xmlschema = pytest.importorskip("xmlschema")
    folder = Path(os.environ["CRANKMATH_QTI_SCHEMA"])
    schemas = {
        space: xmlschema.XMLSchema(folder / place.rpartition("/")[2])
        for space, place in export.PLACES.items()
    }
    for element in archive.values():
        schemas[element.tag[1:].partition("}")[0]].validate(element)


def scored(item, response):
    """Score and feedback of a response, worked out by the item's own rules as QTI defines them.

    equal with absolute tolerance: "true if the value of the second expression, y is within the
    following range defined by the first value, x: x-t0,x+t1" (QTI information model, equal).
    """
    space = {"q": export.QTI}
    correct = item.find(".//q:correctResponse/q:value", space).text
    for branch in item.find(".//q:responseCondition", space):
        said = [
            one.find("q:baseValue", space).text
            for one in branch.findall("q:setOutcomeValue", space)
        ]
        equal = branch.find("q:equal", space)
        if equal is None:
            return said
        low, high = map(float, equal.get("tolerance").split())
        known = {"variable": response, "correct": correct}
        x, y = (float(known.get(one.tag.rpartition("}")[2], one.text)) for one in equal)
        if x - low <= y <= x + high:
            return said
    raise AssertionError("no branch was taken")


def test_items_score_as_the_checker_judges():
    questions = [
        (name, draw(maker, f"qti/{name}"))
        for lesson in course.lessons()
        for name, maker in course.exercises(lesson).items()
    ]
    near = {"Did you measure from the other end?": Quantity(10.05, "mm")}  # less room above
    questions.append(("near", Question("?", Quantity(10.0, "mm"), ("mm",), near, (), 0.001)))
    for name, question in questions:
        item, unit = export.item("E1", name, question), question.units[0]
        key = question.key.m_as(unit)
        low, high = room(question, unit)
        slips = [value.m_as(unit) for value in question.slips.values()]
        for value in (
            key - 1.02 * low,
            key - 0.98 * low,
            key + 0.98 * high,
            key + 1.02 * high,
            *slips,
        ):
            verdict = judge(question, f"{value:.12g} {unit}")
            score, feedback_name = scored(item, value)
            assert (score == "1") == (verdict.sort == "right"), (name, value, verdict)
            if value in slips:
                said = "".join(item.find(f".//*[@identifier='{feedback_name}']").itertext())
                assert verdict.slip and verdict.slip in said, (name, value, verdict, said)
