"""The job sheet: every number is the library's, every text escaped, nothing fetched, and the JSON brings all of it back."""

import csv
import io
import json
import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from crankbook.lesson.own_files import file_stem
from crankbook.pictures import paper_drawing
from crankbook.sheet import page
from crankbook.sheet.sheet import Sheet
from crankbook.sheet.steps import printed_steps
from crankbook.sheet.tables import job_tables
from crankmath import __version__
from crankmath.crank import EXAMPLES
from crankmath.job import Job
from crankmath.job.fields import FIELDS
from crankmath.units import Quantity
from crankmath.wording import KINDS

DATE = "2026-03-01"
VOID = {"meta", "br", "circle", "polyline"}


class Reader(HTMLParser):
    """Texts of a page by element, and whether every element is closed."""

    def __init__(self, text):
        super().__init__()
        self.open, self.texts, self.attributes, self.closed_wrong = [], [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.attributes.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.closed_wrong.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.attributes.append((tag, dict(attrs)))

    def handle_data(self, data):
        if self.open and self.open[-1] != "style":
            self.texts.append(data)

    @property
    def text(self):
        return " ".join(" ".join(self.texts).split())


@pytest.fixture(scope="module", params=EXAMPLES)
def sheet(request):
    return Sheet(Job.load(request.param), date=DATE)


@pytest.fixture(scope="module")
def read(sheet):
    return Reader(sheet.html())


def test_page_is_whole_and_fetches_nothing(sheet, read):
    assert not read.open and not read.closed_wrong
    tags = {tag for tag, _ in read.attributes}
    assert not tags & {"script", "link", "img", "iframe", "object", "base", "form"}
    assert all(
        not name.startswith("on") and name not in ("src", "href")
        for _, attributes in read.attributes
        for name in attributes
    )
    assert not re.search(r"https?://(?!www\.w3\.org/2000/svg)|@import|url\(", sheet.html())
    assert ("html", {"lang": "en"}) in read.attributes and sum(
        tag == "h1" for tag, _ in read.attributes
    ) == 1
    for tag, attributes in read.attributes:
        if tag == "th":
            assert attributes.get("scope") in ("col", "row")
        if tag == "svg":
            assert attributes["aria-label"]


def test_every_number_stands_on_the_page_as_the_library_has_it(sheet, read):
    report, units = sheet.report, sheet.job.units
    for one in report.checks:
        assert (
            one.sentence in read.text
            and one.formula in read.text
            and one.source in read.text
            and one.range in read.text
        )
        for number in one.numbers:
            printed = number.text(units)
            assert f"{number.label}: {printed}" in read.text, (one.key, number)
            if number.kind not in ("word", "plain") and re.match(r"[−\d]", printed):
                size, unit = printed.replace("−", "-").split(" ", 1)
                unit = {
                    "thou": "thousandth",
                    "°C": "delta_degC",
                    "°F": "delta_degF",
                    "N/°C": "N/delta_degC",
                    "lbf/°F": "lbf/delta_degF",
                    "oz·in": "oz*in",
                }.get(unit, unit)
                found = float(number.value.m_as(unit.replace("·", "*").replace("³", "**3")))
                digits = 2 if "uncertainty" in number.label else KINDS[number.kind][2]
                assert float(size) == pytest.approx(
                    found, rel=0.51 * 10.0 ** (1 - digits), abs=1e-12
                ), (one.key, number)
            elif number.kind == "plain" and re.match(r"[−\d]", printed):
                assert float(printed.replace("−", "-")) == pytest.approx(
                    float(number.value), rel=0.0051
                ), (one.key, number)


def test_plan_tables_and_inputs_are_all_there(sheet, read):
    for one in printed_steps(sheet.report):
        for text in (one.step.name, one.step.do, one.step.check, one.step.why, *one.limits):
            if len(text) < 100:  # longer limits are said once
                assert " ".join(text.split()) in read.text, text
    tables = job_tables(sheet.report.workings)
    assert [one.key for one in tables] == [
        "centers",
        "handwheels",
        "speeds",
        "passes",
        "spacers",
        "sizes",
        "readings",
        "heights",
    ]
    for one in tables:
        assert one.caption in read.text and one.note in read.text
        for row in one.rows:
            assert all(str(cell) in read.text for cell in row)
    assert sum(
        attributes.get("class") == "pencil" for _, attributes in read.attributes
    ) >= 12 * len(sheet.job.crank.journals)
    for field in FIELDS:
        assert field.label in read.text


def test_front_lists_what_nobody_verified(sheet, read):
    front = read.text[: read.text.index("Verdicts")]
    for field, text, _ in sheet.job.assumed():
        assert f"{field.label}: {text}" in front
    for words in sheet.report.assumptions:
        assert words in front
    typed = Reader(Sheet(sheet.job.typed("thrust", "333 N"), date=DATE).html()).text
    assert "Thrust of the tailstock: " not in typed[: typed.index("Verdicts")]
    assert DATE in front and f"crankmath {__version__}" in front and "never a certificate" in front


def test_json_brings_the_page_back(sheet, tmp_path):
    files = sheet.write(tmp_path, "one")
    again = Sheet.reopen(files["json"])
    assert (
        again == sheet
        and again.html() == sheet.html()
        and again.json() == sheet.json()
        and again.csv() == sheet.csv()
    )
    assert Job.load(files["json"]) == sheet.job
    data = json.loads(files["json"].read_text(encoding="utf-8"))
    assert (
        data["date"] == DATE
        and data["library"] == __version__
        and len(data["checks"]) == len(sheet.report.checks)
    )
    for stored, one in zip(data["checks"], sheet.report.checks, strict=True):
        assert (stored["formula"], stored["source"], stored["range"], stored["verdict"]) == (
            one.formula,
            one.source,
            one.range,
            one.verdict,
        )
        for kept, number in zip(stored["numbers"], one.numbers, strict=True):
            if kept["unit"]:
                size = number.value.m_as(kept["unit"])
                words = {float("inf"): "no limit", float("-inf"): "any"}
                assert kept["value"] == words.get(size, "any" if size != size else size)


def test_table_for_a_spreadsheet(sheet):
    rows = list(csv.DictReader(io.StringIO(sheet.csv())))
    assert [row["name"] for row in rows if row["part"] == "check"] == [
        one.title for one in sheet.report.checks
    ]
    results = [row for row in rows if row["part"] == "result"]
    assert len(results) == sum(len(one.numbers) for one in sheet.report.checks)
    assert {row["date"] for row in rows} == {DATE} and {row["library"] for row in rows} == {
        __version__
    }
    assert all(row["formula"] and row["source"] and row["range"] for row in results)
    answers = {row["name"]: row for row in rows if row["part"] == "answer"}
    assert (
        set(answers) == {field.label for field in FIELDS}
        and answers["Thrust of the tailstock"]["source"] == "assumed"
    )
    for row in (row for row in rows if "[" in row["name"]):
        assert row["unit"] == ("deg" if "angle" in row["name"] else sheet.job.units)
    crank = {row["name"]: row["value"] for row in rows if row["part"] == "crank"}
    assert float(crank["throws[1].radius"]) == sheet.job.crank.to_dict()["throws"][0]["radius"]


NASTY = '<script>alert("1")</script>&\'"=cmd|/c'


def test_texts_are_escaped():
    job = Job(replace(Job.load("pump").crank, name=NASTY[:60])).typed(
        "lathe_name", "<b onload=x>old</b>"
    )
    text = Sheet(job, ({"steel": "1144"},), DATE).html()
    assert (
        "<script" not in text
        and "<b onload" not in text
        and "&lt;script&gt;" in text
        and "&lt;b onload=x&gt;" in text
    )
    read = Reader(text)
    assert not read.open and not read.closed_wrong and NASTY[:60] in read.text


def test_a_spreadsheet_takes_no_formula_from_us():
    job = Job(replace(Job.load("pump").crank, name="=1+1")).typed("lathe_name", "@lathe")
    rows = list(csv.reader(io.StringIO(Sheet(job, date=DATE).csv())))
    assert not [cell for row in rows for cell in row if cell[:1] in "=+@" and cell]
    assert rows[1][:3] == ["crank", "name", "'=1+1"]


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("../../etc/x", "etc-x"),
        ("pump", "pump"),
        ("Мой насос", "crank"),
        ("a" * 90, "a" * 40),
        ("CON .txt", "con-txt"),
        ("Öl_Pumpe", "ol_pumpe"),
    ],
)
def test_names_make_plain_file_names(name, stem):
    assert file_stem(name) == stem


def test_variants_stand_side_by_side():
    sheet = Sheet(Job.load("pump"), ({"fillet": "2 mm"}, {"steel": "4140", "fillet": ""}), DATE)
    read = Reader(sheet.html())
    assert (
        "Side by side" in read.text
        and "all fillets 2 mm" in read.text
        and sheet.variants[1] == {"steel": "4140"}
    )
    assert "Side by side" not in Reader(Sheet(Job.load("pump"), date=DATE).html()).text


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda data: data.update(format="x"), "is not a job sheet"),
        (lambda data: data.update(version=7), "is not a job sheet"),
        (lambda data: data.pop("job"), "“job”"),
        (lambda data: data.update(date="yesterday"), "year-month-day"),
        (lambda data: data.update(library="<b>"), "version number"),
        (lambda data: data.update(variants=[1]), "tables of changes"),
        (lambda data: data.update(variants=[{"luck": "1"}]), "nothing called “luck”"),
        (lambda data: data["job"]["crank"].pop("steel"), "steel"),
    ],
)
def test_a_wrong_sheet_says_why(tmp_path, change, words):
    data = json.loads(Sheet(Job.load("pump"), date=DATE).json())
    change(data)
    (tmp_path / "s.json").write_text(json.dumps(data))
    with pytest.raises(ValueError, match=words):
        Sheet.reopen(tmp_path / "s.json")


def test_an_older_sheet_says_that_it_is_reckoned_anew():
    assert (
        f"Recalculated by version {__version__}"
        in Sheet(Job.load("pump"), (), DATE, "0.0.9").html()
    )
    assert "Reckoned anew" not in Sheet(Job.load("pump"), (), DATE).html()


def test_a_job_that_cannot_be_done_prints_all_the_same():
    read = Reader(
        Sheet(
            Job.load("pump").typed("bar_size", "20 mm").typed("machine", "not known"), date=DATE
        ).html()
    )
    assert (
        not read.closed_wrong
        and "too small" in read.text
        and "cannot tell" in read.text
        and "Working order" in read.text
    )


@pytest.mark.parametrize("name", EXAMPLES)
def test_drawings_are_to_scale(name):
    """The svg's own millimeters: length of the crank between its end faces on paper against the file's sizes."""
    crank = Job.load(name).crank
    (side, end), scale = paper_drawing.crank_svg(crank, crank.units)
    width = float(re.search(r'width="([\d.]+)mm"', side)[1])
    assert width <= paper_drawing.WIDTH + 0.01 and f'viewBox="0 0 {width:.2f}' in side
    lines = [
        [tuple(map(float, point.split(","))) for point in text.split()]
        for text in re.findall(r'polyline points="([^"]+)" fill="#[def]', side)
    ]
    across = [x for line in lines for x, _ in line]
    assert max(across) - min(across) == pytest.approx(crank.length.m_as("mm") * scale, abs=0.02)
    bar = re.findall(r'polyline points="([^"]+)" fill="none"', side)[-1].split()
    told = re.search(r">([\d.]+) (mm|in) of the crank<", side)
    length = float(bar[-1].split(",")[0]) - float(bar[0].split(",")[0])
    assert length == pytest.approx(
        float(told[1]) * (1 if told[2] == "mm" else 25.4) * scale, abs=0.02
    )
    assert paper_drawing.scale_word(scale) in end


def test_scales_are_usual_ones():
    assert [paper_drawing.scale_word(scale) for scale in (2.0, 1.0, 0.5, 0.4)] == [
        "2 : 1",
        "1 : 1",
        "1 : 2",
        "1 : 2.5",
    ]
    assert paper_drawing.fitting_scale(300) == 0.5 and paper_drawing.fitting_scale(100) == 1.0


def test_every_table_is_there_and_every_row_is_as_long_as_its_head(sheet):
    """Five to cut by and three to fill in by hand: a row for every main or pin."""
    crank = sheet.report.workings.crank
    mains, pins = len(crank.journals), len(crank.throws)
    tables = {one.key: one for one in job_tables(sheet.report.workings)}
    rows = {"spacers": pins, "sizes": mains + pins, "readings": mains, "heights": pins}
    places = 2 * (1 + pins)  # a center of the mains and of each pin on either end
    rows |= {"centers": places, "handwheels": places}
    assert {*rows, "speeds", "passes"} == set(tables)
    for key, table in tables.items():
        assert {len(row) for row in table.rows} == {len(table.head)}, key
        assert len(table.rows) == rows.get(key, len(table.rows)) > 0
    assert tables["readings"].head[1:-1] == tuple(f"{angle}°" for angle in range(0, 361, 30))


def test_what_nobody_typed_says_where_it_comes_from_unless_it_is_plainly_assumed():
    job = Job.load("pump")
    named = {label: said for rows in page._untyped(job).values() for label, _, said in rows}
    for field, _, basis in job.assumed():
        assert (named[field.label] == "") == (basis == "assumed"), field.key
        assert basis.startswith(named[field.label]) and not named[field.label].endswith(", assumed")


def test_end_faces_stand_at_the_step_that_drills_the_centers(sheet):
    text = sheet.html()
    assert text.count("end of the bar with its centers") == 4  # each drawing's title and label
    steps = page._steps(sheet.report, {})
    (drilled,) = [one for one in steps if one["faces"]]
    assert "center" in drilled["title"].lower()


def test_at_most_four_variants_stand_beside_a_job():
    job, change = Job.load("pump"), {"thrust": Quantity(300.0, "N")}
    assert len(Sheet(job, (change,) * 4, DATE).variants) == 4
    with pytest.raises(ValueError, match="up to 4 tables"):
        Sheet(job, (change,) * 5, DATE)
