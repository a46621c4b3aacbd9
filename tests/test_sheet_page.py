"""Page, traveler and spreadsheet of a sheet: each cell against the job's value."""

import csv
import io
import re
from types import SimpleNamespace

import pytest
from helpers import checked
from test_traveler import Rows

from crankbook.pictures import paper_drawing
from crankbook.sheet import page
from crankbook.sheet.sheet import Sheet, _finite, _plain
from crankbook.sheet.traveler import (
    _as_before,
    _but_place,
    _limits,
    axial_table,
    center_places,
    phase_rows,
    traveler,
)
from crankmath import __version__
from crankmath.job import Job
from crankmath.job.report import check_job
from crankmath.job.verdicts import Number
from crankmath.units import Quantity
from crankmath.workpiece.cuts import Turn
from crankmath.workpiece.plan import Step

DATE = "2026-03-01"


def test_facts_of_a_sheet_name_crank_steel_bar_and_lathe():
    """45 + 14 + 22 + 14 + 45 mm are 140; the bar has stubs of 10 and 1.5 mm to face at both ends."""
    for name, throws in (("pump", "1 throw, 140 mm"), ("compressor", "2 throws, 172 mm")):
        sheet, work = Sheet(Job.load(name), date=DATE), checked(name).workings
        facts = dict(page._facts(sheet, sheet.job, work))
        assert facts["Crank"] == f"{name}, {throws} long"
        assert facts["Lathe"] == sheet.job["lathe_name"] and facts["Date"] == DATE
        assert facts["Steel"] == work.steel.described
        assert facts["Made by"] == f"crankmath {__version__}."
    assert facts["Cut from"] == "round bar Ø65 mm × 195 mm"
    old = Sheet(Job.load("pump"), (), DATE, "0.0.9")
    facts = dict(page._facts(old, old.job, checked("pump").workings))
    assert facts["Made by"] == f"crankmath 0.0.9. Recalculated by version {__version__}."
    small = checked("pump", bar_size="20 mm")
    assert dict(page._facts(old, small.job, small.workings))["Cut from"] == "no bar yet"


def test_an_answer_is_typed_assumed_or_not_used():
    """The height of a round bar is not used, whether typed or not; a flat bar's is."""
    job = Job.load("pump").typed("thrust", "333 N")
    answers = {label: (value, standing) for label, value, _, standing in page._answers(job)}
    assert answers["Thrust of the tailstock"] == ("333 N", "typed")
    assert answers["Its diameter, side or width"] == ("left blank", "assumed")
    height = next(one for one in page.FIELDS if one.key == "bar_height").label
    assert answers[height][1] == "not used"
    flat = page._answers(job.typed("bar_shape", "flat"))
    assert {row[0]: row[3] for row in flat}[height] == "assumed"


def test_every_answer_stands_once_under_its_group_in_the_groups_order():
    rows = page._answers(Job.load("pump"))
    assert sorted(row[0] for row in rows) == sorted(one.label for one in page.FIELDS)
    groups = list(dict.fromkeys(row[2] for row in rows))
    assert groups == list(page.GROUPS)
    by_label = {one.label: one.group for one in page.FIELDS}
    assert all(by_label[row[0]] == row[2] for row in rows)


def test_sizes_of_the_crank_are_those_of_its_file():
    sizes = dict(page._sizes(Job.load("bellows")))
    file = Job.load("bellows").crank.to_dict()
    assert sizes["throw 1 radius"] == f"{file['throws'][0]['radius']:g} in"
    assert sizes["throw 1 angle deg"] == "0"
    assert sizes["journal 2 diameter"] == f"{file['journals'][1]['diameter']:g} in"
    assert len(sizes) == sum(len(one) for one in (*file["throws"], *file["journals"]))


def test_urgent_verdicts_stand_in_front_and_equal_ones_are_counted():
    job = Job.load("pump")
    sheet = Sheet(job, ({"spacers": "none"},), DATE)
    text = " ".join(sheet.html().split())
    first, second = checked("pump"), checked("pump", spacers="none")
    pairs = list(zip(first.checks, second.checks, strict=True))
    same = sum(one.verdict == other.verdict for one, other in pairs)
    assert 0 < same < len(pairs)
    assert f"Equal in all: {same} of {len(pairs)} verdicts." in text
    differing = text.split("Verdicts that differ</caption>")[1].split("</table>")[0]
    named = re.findall(r'<th scope="row">([^<]+)</th>', differing)
    assert named == [one.title for one, other in pairs if one.verdict != other.verdict]
    alone = " ".join(Sheet(job.typed("spacers", "none"), date=DATE).html().split())
    assert "<title>Job sheet: pump</title>" in alone
    for blank in ("Sizes", "Indicator readings, crank between centers", "Heights over the pins"):
        assert f"<caption>{blank}</caption>" in alone
    alone = alone[alone.index("Job sheet: pump</h1>") :]
    front = alone[: alone.index("Not verified")]
    for one in second.checks:
        urgent = one.verdict in ("not fine", "cannot tell")
        assert (f"<b>{one.title}.</b>" in front) == urgent


def test_tables_stand_at_the_steps_that_need_them():
    tables = dict.fromkeys(("centers", "handwheels", "speeds", "passes", "spacers"), "x")
    steps = page._steps(checked("pump"), {key: key for key in tables})
    by_title = {one["title"]: one for one in steps}
    assert by_title["Lay out and drill the centers"]["tables"] == ["centers", "handwheels"]
    assert by_title["Rough the mains"]["tables"] == ["speeds", "passes"]
    assert by_title["Finish the mains"]["tables"] == ["spacers"]
    assert sum(bool(one["tables"]) for one in steps) == 3
    assert [bool(one["faces"]) for one in steps] == [
        one["title"] == "Lay out and drill the centers" for one in steps
    ]
    words = dict(by_title["Finish pin 1"]["facts"])
    assert words["Limits"].startswith("last cut 0.05 mm on the radius; drive it with")
    assert not words["Limits"].endswith(".") and words["Before going on"]
    assert [word for word, _ in by_title["Face both ends"]["facts"]][0] != "Limits"


@pytest.mark.parametrize(("bar_size", "scale"), [("", "1 : 1"), ("170 mm", "1 : 2")])
def test_end_faces_fit_on_their_page(bar_size, scale):
    """178 mm between the margins of A4 and Letter."""
    work = (checked("pump", bar_size=bar_size) if bar_size else checked("pump")).workings
    views = page._end_faces(work)
    wide = [float(text) for text in re.findall(r'<svg[^>]* width="([\d.]+)mm"', views)]
    assert len(wide) == 2 and max(wide) <= paper_drawing.WIDTH
    assert len(re.findall(rf'aria-label="[^"]+, {scale}"', views)) == 2


LIMITLESS = [(float("inf"), "no limit"), (float("-inf"), "any"), (float("nan"), "any")]


@pytest.mark.parametrize(("size", "told"), [*LIMITLESS, (0.0, 0.0), (-2.5, -2.5), (1e300, 1e300)])
def test_a_limit_that_is_not_there_is_told_in_words(size, told):
    assert _finite(size) == told


def test_a_number_stands_in_a_cell_in_the_jobs_units():
    force = Number("", Quantity(44.482216, "N"), "force")
    assert _plain(force, "mm") == (pytest.approx(44.482216), "N")
    assert _plain(force, "in") == (pytest.approx(10.0), "lbf")
    assert _plain(Number("", 2, "plain"), "mm") == (2.0, "")
    assert _plain(Number("", "grease", "word"), "mm") == ("grease", "")
    assert _plain(Number("", Quantity(float("inf"), "mm"), "length"), "mm") == ("no limit", "mm")


def test_rows_for_a_spreadsheet_hold_value_unit_and_standing():
    job = Job.load("bellows").typed("thrust", "100 lbf")
    rows = list(csv.DictReader(io.StringIO(Sheet(job, date=DATE).csv())))
    crank = {row["name"]: row for row in rows if row["part"] == "crank"}
    file = job.crank.to_dict()
    assert crank["name"]["value"] == "bellows" and crank["name"]["unit"] == ""
    assert float(crank["journals[2].diameter"]["value"]) == file["journals"][1]["diameter"]
    assert crank["journals[2].diameter"]["unit"] == "in"
    assert crank["throws[1].angle_deg"]["unit"] == "deg"
    report = check_job(job)
    told = [row["name"] for row in rows if row["part"] == "check"]
    assert told == [one.title for one in report.checks]
    told = [row["name"] for row in rows if row["part"] == "result"]
    assert told == [
        f"{one.title}: {number.label}" for one in report.checks for number in one.numbers
    ]
    answers = {row["name"]: row for row in rows if row["part"] == "answer"}
    thrust = answers["Thrust of the tailstock"]
    assert (thrust["value"], thrust["unit"], thrust["source"]) == ("100.0", "lbf", "typed")
    assert thrust["as shown"] == "100 lbf"
    height = next(one for one in page.FIELDS if one.key == "bar_height")
    assert answers[height.label]["source"] == "not used"
    shape = answers[next(one for one in page.FIELDS if one.key == "bar_shape").label]
    assert (shape["value"], shape["unit"], shape["source"]) == ("round", "", "assumed")


@pytest.fixture(scope="module")
def pump():
    report = checked("pump")
    return report, str(traveler(report, "CAUTION")), Rows(str(traveler(report, "CAUTION")))


def test_places_along_the_crank_and_of_the_centers_are_the_drawings():
    """From the datum 10 mm before the crank; throws of 14 mm either way; 0.5 in at 120° are
    −0.25 toward throw 1 and 0.433 across.
    """

    def mm(*sizes):
        return tuple(f"{one} mm" for one in sizes)

    assert axial_table(checked("pump").workings) == (
        ("main 1", *mm(10, 55, 45)),
        ("web of throw 1", *mm(55, 69, 14)),
        ("pin 1", *mm(69, 91, 22)),
        ("web of throw 1", *mm(91, 105, 14)),
        ("main 2", *mm(105, 150, 45)),
    )
    rows = center_places(checked("compressor").workings)
    assert rows == (("main", *mm(0, 0)), ("pin 1", *mm(14, 0)), ("pin 2", *mm("−14", 0)))
    organ = checked("organ").workings
    assert center_places(organ)[2] == ("pin 2", "−0.25 in", "0.433 in")
    assert [row[:2] for row in phase_rows(organ)] == [
        ("pin 1", "0 deg"),
        ("pin 2", "120 deg"),
        ("pin 3", "240 deg"),
    ]
    assert {row[2:] for row in phase_rows(organ)} == {("",) * 6}


def test_the_travelers_head_names_bar_lathe_and_units(pump):
    _, text, _ = pump
    head = " ".join(re.sub(r"<[^>]+>", " ", text.split('id="step-1"')[0]).split())
    assert "Bar: round bar Ø60 mm, C45, sawn to 163 mm. Lathe: night school lathe." in head
    assert "read in millimeters from the datum" in head and "CAUTION" in head
    inches = str(traveler(checked("bellows"), ""))
    assert "read in inches from the datum" in inches


def test_pictures_stand_at_turned_and_milled_steps_and_a_section_where_one_is_cut(pump):
    report, text, _ = pump
    parts = re.split(r'<div class="row" id="step-\d+"', text)[1:]
    shown = {
        one.key: part.count("<svg")
        for one, part in zip(report.workings.plan.steps, parts, strict=True)
    }
    turned = {one: 2 for one in shown if one.startswith(("rough", "finish"))}
    assert {one: count for one, count in shown.items() if count} == {
        **turned,
        **{"mill": 2, "webs": 2, "ends": 1},
    }
    for number, part in enumerate(parts, 1):
        assert re.findall(r"side of the work, step (\d+)", part) in ([], [str(number)])
        assert re.findall(r"section where step (\d+) cuts", part) in ([], [str(number)])


def test_readings_of_pins_and_finished_mains_stand_under_their_picture(pump):
    """Once a step, and those of the bar with the tables of places instead."""
    report, text, _ = pump
    parts = re.split(r'<div class="row" id="step-\d+"', text)[1:]
    for one, part in zip(report.workings.plan.steps, parts, strict=True):
        under = one.key.startswith(("finish", "rough_pin", "mill"))
        tables = [found.start() for found in re.finditer('<table class="readings"', part)]
        assert len(tables) <= (one.key != "saw")
        for place in tables:
            assert (place < part.index('<p class="danger">')) == under, one.key


def test_cautions_said_on_the_first_page_are_named_and_doubts_told(pump):
    report, _, rows = pump
    turned = [one.key for one in report.workings.plan.steps if one.on == "centers" and one.cuts]
    for key in turned:
        assert "It swings: heed the caution on the first page." in rows.text[key]
    text = " ".join(rows.text["inspect"].split())
    throw = {one.label: one.text("mm") for one in report.find("throw").numbers}
    for label in ("uncertainty of the throw", "uncertainty of a difference of two throws"):
        assert f"{label[0].upper()}{label[1:]} ±{throw[label]}." in text
    assert "Uncertainty of the twist ±" in text
    assert f"throws ±{throw[label]}. Uncertainty of the twist ±" in text


def test_a_second_pin_is_roughed_as_the_first_was():
    rows = Rows(str(traveler(checked("compressor"), "")))
    first = "On the centers of pin 2 rough it and its web faces down to the finishing stock"
    assert first in rows.text["rough_pin_2"] and first[22:] not in rows.text["rough_pin_1"]
    assert "As in step 6." in rows.text["rough_pin_1"]
    assert "Twist and angle" in rows.text["inspect"]


def test_a_traveler_without_a_plan_says_why():
    text = str(traveler(checked("pump", bar_size="20 mm"), ""))
    assert re.fullmatch(r"<h2>Traveler</h2>\n<p>No plan can be made\. .+</p>", text)


def test_long_words_are_named_after_the_step_that_said_them_and_short_ones_said_again():
    long, short = "a" * 81, "a" * 80
    said = {long: 4, short: 5}
    assert _as_before(long, said) == "As in step 4." and _as_before(short, said) == ""
    assert _as_before("b" * 90, said) == ""


def printed(number, *limits, on="centers", key="rough_pin_1", numbers=()):
    step = SimpleNamespace(key=key, on=on, numbers=numbers)
    return SimpleNamespace(number=number, limits=limits, step=step)


def test_limits_said_before_are_named_unless_short_with_a_number():
    drive = "drive it with a dog on the full bar, 0 mm to 12 mm from the datum"
    plain, sized = "leave all of it as it is", "leave 0.25 mm on the round"
    long, just = f"keep within 7 mm {'x' * 64}", f"keep within 7 mm {'x' * 63}"
    assert (len(long), len(just)) == (81, 80)
    said, all_of_it = {}, (drive, plain, sized, long, just)
    assert _limits(printed(6, *all_of_it), said) == [*all_of_it]
    assert _limits(printed(9, *all_of_it, "new."), said) == [
        "drive it as in step 6",
        "leave all of as in step 6",
        sized,
        "keep within 7 as in step 6",
        just,
        "new",
    ]
    assert _limits(printed(12, drive, on="mill"), said) == [drive]
    numbers = (("depth", "7 mm"),)
    assert _limits(printed(13, key="mill", numbers=numbers), {}) == ["depth 7 mm"]
    assert _limits(printed(13, key="centers", numbers=numbers), {}) == []


def test_what_is_done_at_two_pins_is_the_same_but_for_their_names():
    cuts = Turn(40.0, 60.0, (0.0, 0.0), 8.0, place="pin 2"), Turn(1.0, 2.0, (0.0, 0.0), 8.0)
    step = Step("rough_pin_2", "", "centers", None, cuts, do="On pin 2 rough it, then pin 1.")
    assert _but_place(step) == "On … rough it, then pin 1."
    assert _but_place(Step("saw", "", "bench", do="Saw pin 2.")) == "Saw pin 2."
