"""What the steps of a plan print, cell by cell, against sums by hand from the drawing."""

import re
from types import SimpleNamespace

import pytest
from helpers import checked

from crankbook.sheet.steps import _Teller, printed_steps, steps_or_why
from crankbook.sheet.tables import spacer_table
from crankmath.units import Quantity
from crankmath.workpiece.plan import Step

# by hand from the drawings: stubs of 10 mm, 0.25 mm stay for finishing, 1 mm beside a slot; ISO 2768-1
# medium; a height is off by 30 µm at most (17.3 standard), so 1.96 × 17.3 × √2 = 48 µm are taken of the
# ±0.1 mm of a throw that is read as one height less another, and 68 of what both ends may differ by,
# 7.07 µm × 160/22 = 51 and 7.07 × 192/16 = 85: no line of 0.02 mm is left; a roughed diameter may be
# half of its stock off; h6 of Ø18 and Ø14 is 11 µm, of Ø20 13 µm wide, the micrometer is off by 3.4 µm at most; a web's length is its throw and twice its reach
PUMP = """
saw        cut
saw        read  60 mm ~ calipers, two ways ~ 59.50 mm ~ 62.48 mm
face       cut   left face ~ 0 mm ~  ~ face or saw square here
face       cut   right face ~ 160 mm ~  ~ face or saw square here
face       read  length ~ calipers ~ 159.50 mm ~ 160.50 mm
centers    read  pin 1, left | right end ~ height gauge, throw up: its ball less the main's ~ 17.96 mm ~ 18.04 mm
centers    read  pin 1, ends' difference ~ of both readings above ~ cannot ~ tell
centers    read  pin 1, across at right end ~ throw lying, left end set level: ball less main's ~ cannot ~ tell
mill       cut   pin 1 ~ 70 mm ~ 90 mm ~ from the side 180° of throw 1, 29 mm deep from the bar's skin, 20 mm wide
mill       read  pin 1 ~ depth from skin, 180° ~ 28.80 mm ~ 29.20 mm
mill       read  main 1 at 32.5 mm ~ indicator, before | after ~  ~
mill       read  main 2 at 127.5 mm ~ indicator, before | after ~  ~
webs       cut   web 1 ~ 54.75 mm ~ 70 mm ~ corners, up and across: −23, −14; 23, −14; 23, 14; −23, 14
webs       cut   web 1 ~ 90 mm ~ 105.25 mm ~ corners as above
webs       read  web 1 ~ calipers over the width ~ 27.80 mm ~ 28.20 mm
webs       read  web 1 ~ calipers over the length ~ 45.70 mm ~ 46.30 mm
rough_pin_1 cut  pin 1 ~ 69.25 mm ~ 90.75 mm ~ Ø18.5 mm, R 1.25 mm left, R 1.25 mm right
rough_pin_1 read pin 1 ~ micrometer, cold ~ 18.375 mm ~ 18.625 mm
rough_mains cut  main 2 ~ 105.25 mm ~ 150 mm ~ Ø20.5 mm, R 1.25 mm left
rough_mains cut  main 1 ~ 10 mm ~ 54.75 mm ~ Ø20.5 mm, R 1.25 mm right
rough_mains read main 2 ~ micrometer, cold ~ 20.375 mm ~ 20.625 mm
rough_mains read main 1 ~ micrometer, cold ~ 20.375 mm ~ 20.625 mm
rough_mains read main 1 at 52 mm ~ indicator, runs out now ~  ~
rough_mains read main 2 at 108 mm ~ indicator, runs out now ~  ~
rest       read  main 1 at 52 mm ~ half of what it runs out now ~ 0 ~ 0.187 mm
rest       read  main 2 at 108 mm ~ half of what it runs out now ~ 0 ~ 0.187 mm
finish_pin_1 cut  pin 1 ~ 69 mm ~ 91 mm ~ Ø18 mm h6, R 1.5 mm left, R 1.5 mm right
finish_pin_1 read pin 1 ~ micrometer, cold ~ 17.993 mm ~ 17.996 mm
finish_pin_1 read pin 1, gap ~ calipers, inside jaws ~ 21.80 mm ~ 22.20 mm
finish_pin_1 read web 1, left | right ~ calipers over the web ~ 14.05 mm ~ 14.45 mm
finish_mains cut  main 2 ~ 105 mm ~ 150 mm ~ Ø20 mm h6, R 1.5 mm left
finish_mains cut  main 1 ~ 10 mm ~ 55 mm ~ Ø20 mm h6, R 1.5 mm right
finish_mains read main 2 ~ micrometer, cold ~ 19.991 mm ~ 19.996 mm
finish_mains read main 1 ~ micrometer, cold ~ 19.991 mm ~ 19.996 mm
finish_mains read main 1, stub to web ~ calipers, inside jaws ~ 44.70 mm ~ 45.30 mm
finish_mains read main 2, stub to web ~ calipers, inside jaws ~ 44.70 mm ~ 45.30 mm
finish_mains read web 1, left | right ~ calipers over the web ~ 13.80 mm ~ 14.20 mm
fillets    cut
ends       cut   left end ~ 10 mm ~  ~ face or saw square here
ends       cut   right end ~ 150 mm ~  ~ face or saw square here
ends       read  main 1 ~ calipers, from its web ~ 44.70 mm ~ 45.30 mm
ends       read  main 2 ~ calipers, from its web ~ 44.70 mm ~ 45.30 mm
ends       read  length over all ~ calipers ~ 139.50 mm ~ 140.50 mm
"""
COMPRESSOR = """
face       cut   left face ~ 0 mm ~  ~ face or saw square here
face       cut   right face ~ 192 mm ~  ~ face or saw square here
face       read  length ~ calipers ~ 191.50 mm ~ 192.50 mm
centers    read  pin 1, left | right end ~ height gauge, throw up: its ball less the main's ~ 13.96 mm ~ 14.04 mm
centers    read  pin 1, ends' difference ~ of both readings above ~ cannot ~ tell
centers    read  pin 1, across at right end ~ throw lying, left end set level: ball less main's ~ cannot ~ tell
centers    read  pin 2, left | right end ~ height gauge, throw up: its ball less the main's ~ 13.96 mm ~ 14.04 mm
centers    read  pin 2, ends' difference ~ of both readings above ~ cannot ~ tell
centers    read  pin 2, across at right end ~ throw lying, left end set level: ball less main's ~ cannot ~ tell
mill       cut   pin 1 ~ 61 mm ~ 75 mm ~ from the side 180° of throw 1, 38.5 mm deep from the bar's skin, 14 mm wide
mill       cut   pin 2 ~ 117 mm ~ 131 mm ~ from the side 0° of throw 1, 38.5 mm deep from the bar's skin, 14 mm wide
mill       read  pin 1 ~ depth from skin, 180° ~ 38.20 mm ~ 38.80 mm
mill       read  pin 2 ~ depth from skin, 0° ~ 38.20 mm ~ 38.80 mm
mill       read  main 1 at 30 mm ~ indicator, before | after ~  ~
mill       read  main 2 at 96 mm ~ indicator, before | after ~  ~
mill       read  main 3 at 162 mm ~ indicator, before | after ~  ~
webs       cut   web 1 ~ 49.75 mm ~ 61 mm ~ corners, up and across: −12, −12; 26, −12; 26, 12; −12, 12
webs       cut   web 1 ~ 75 mm ~ 86.25 mm ~ corners as above
webs       cut   web 2 ~ 105.75 mm ~ 117 mm ~ corners, up and across: 12, 12; −26, 12; −26, −12; 12, −12
webs       cut   web 2 ~ 131 mm ~ 142.25 mm ~ corners as above
webs       read  web 1 ~ calipers over the width ~ 23.80 mm ~ 24.20 mm
webs       read  web 2 ~ calipers over the width ~ 23.80 mm ~ 24.20 mm
webs       read  web 1, 2 ~ calipers over the length ~ 37.70 mm ~ 38.30 mm
rough_mains cut  main 3 ~ 142.25 mm ~ 182 mm ~ Ø16.5 mm, R 0.95 mm left
rough_mains cut  main 2 ~ 86.25 mm ~ 105.75 mm ~ Ø16.5 mm, R 0.95 mm left, R 0.95 mm right
rough_mains cut  main 1 ~ 10 mm ~ 49.75 mm ~ Ø16.5 mm, R 0.95 mm right
rough_mains read main 3 ~ micrometer, cold ~ 16.375 mm ~ 16.625 mm
rough_mains read main 2 ~ micrometer, cold ~ 16.375 mm ~ 16.625 mm
rough_mains read main 1 ~ micrometer, cold ~ 16.375 mm ~ 16.625 mm
rough_mains read main 1 at 47 mm ~ indicator, runs out now ~  ~
rough_mains read main 2 at 89 mm | 103 mm ~ indicator, runs out now ~  ~
rough_mains read main 3 at 145 mm ~ indicator, runs out now ~  ~
finish_pin_2 cut  pin 2 ~ 116 mm ~ 132 mm ~ Ø14 mm h6, R 1.2 mm left, R 1.2 mm right
finish_pin_2 read pin 2 ~ micrometer, cold ~ 13.993 mm ~ 13.996 mm
finish_pin_2 read pin 2, gap ~ calipers, inside jaws ~ 15.80 mm ~ 16.20 mm
finish_pin_2 read web 2, left | right ~ calipers over the web ~ 10.05 mm ~ 10.45 mm
finish_mains read main 3 ~ micrometer, cold ~ 15.993 mm ~ 15.996 mm
finish_mains read main 2 ~ micrometer, cold ~ 15.993 mm ~ 15.996 mm
finish_mains read main 1 ~ micrometer, cold ~ 15.993 mm ~ 15.996 mm
finish_mains read main 1, stub to web ~ calipers, inside jaws ~ 39.70 mm ~ 40.30 mm
finish_mains read main 2, gap ~ calipers, inside jaws ~ 19.80 mm ~ 20.20 mm
finish_mains read main 3, stub to web ~ calipers, inside jaws ~ 39.70 mm ~ 40.30 mm
finish_mains read web 1, left | right ~ calipers over the web ~ 9.80 mm ~ 10.20 mm
finish_mains read web 2, left | right ~ calipers over the web ~ 9.80 mm ~ 10.20 mm
spacer_2   read  gap of throw 2 ~ gauge blocks or adjustable parallel, on the main axis ~  ~
spacer_2   read  spacer of throw 2 ~ indicator, zero on that gauge ~ cannot ~ tell
ends       read  main 1 ~ calipers, from its web ~ 39.70 mm ~ 40.30 mm
ends       read  main 3 ~ calipers, from its web ~ 39.70 mm ~ 40.30 mm
ends       read  length over all ~ calipers ~ 171.50 mm ~ 172.50 mm
"""


@pytest.mark.parametrize(("name", "table"), [("pump", PUMP), ("compressor", COMPRESSOR)])
def test_every_cell_of_cuts_and_readings(name, table):
    by_key = {one.step.key: one for one in printed_steps(checked(name))}
    wanted = {}
    for line in table.strip().splitlines():
        key, kind, *cells = re.split(r"\s+", line, maxsplit=2)
        rows = wanted.setdefault((key, kind), [])
        if cells and cells[0]:
            rows.append(tuple(cell.strip() for cell in cells[0].split("~")))
    for (key, kind), rows in wanted.items():
        found = by_key[key].cuts if kind == "cut" else by_key[key].readings
        assert list(found) == rows, (key, kind)
    assert [one.number for one in by_key.values()] == list(range(1, len(by_key) + 1))


# 0.12 and 0.06 mm a turn, the last cut 0.05 mm: answers; 0.25 mm stay on round and faces
LIMITS = {
    ("pump", "finish_pin_1"): (
        "0.06 mm a turn; passes at the web faces of pin 1: 0.25 mm each; at pin 1: 0.2 mm, then "
        "0.05 mm",
        "throw within ±0.1 mm",
    ),
    ("pump", "finish_mains"): (
        "0.06 mm a turn; passes at the web faces of main 2, 1: 0.25 mm; at main 2, 1: 0.2 mm, "
        "then 0.05 mm",
        "runout at most 10 µm after release",
    ),
    ("compressor", "finish_mains"): (
        "0.06 mm a turn; passes at the web faces of main 3, 1: 0.25 mm; at main 3, 2, 1: 0.2 mm, "
        "then 0.05 mm; at the web faces of main 2: 0.25 mm each",
        "runout at most 10 µm after release",
    ),
    ("pump", "fillets"): ("radius as drawn, no undercut, no step where it meets pin or main",),
    ("pump", "face"): (),
    ("pump", "inspect"): (),
}


@pytest.mark.parametrize(("name", "key"), LIMITS)
def test_limits_of_a_step_beside_what_its_plan_and_its_thrust_say(name, key):
    report = checked(name)
    step = next(one for one in report.workings.plan.steps if one.key == key)
    (one,) = (one for one in printed_steps(report) if one.step.key == key)
    more = [
        text
        for text in one.limits[len(step.limits) :]
        if "thrust" not in text and "the plate" not in text
    ]
    assert one.limits[: len(step.limits)] == step.limits and tuple(more) == LIMITS[name, key]


def test_a_spacers_step_says_what_its_table_says():
    report = checked("pump")
    (one,) = (one for one in printed_steps(report) if one.step.key == "spacer_1")
    assert one.limits == (spacer_table(report.workings).note,)


def test_a_bolt_is_told_how_far_the_plate_may_push_it_and_a_dog_not():
    """From the end face, in two figures, never more than what the check found."""
    report = checked("pump")
    for one in printed_steps(report):
        told = [re.search(r"within (\S+) mm of the end face", text) for text in one.limits]
        told = [float(found[1]) for found in told if found]
        bolt = one.step.driven is not None and one.step.driven.by == "bolt"
        assert len(told) == (bolt and bool(one.step.cuts))
        for most in told:
            assert 0.9 * report.workings.bolt_reach.m_as("mm") < most
            assert most <= report.workings.bolt_reach.m_as("mm")


def test_inspection_accepts_what_the_checks_accept_in_lines_of_the_instruments():
    report = checked("compressor")
    (one,) = (one for one in printed_steps(report) if one.step.key == "inspect")
    runout, angle, *throws = one.readings
    most = report.find("runout").number("accept up to").m_as("um")
    assert runout[0] == "runout" and runout[2:] == ("", f"{most // 2 * 2 / 1000:.3f} mm")
    most = report.find("throw").number("angle: accept up to, either way").m_as("deg")
    assert angle[0] == "throw" and angle[2] == "" and angle[3].endswith(" deg")
    assert 0.9 * most < float(angle[3].split()[0]) <= most
    # ±0.1 mm less the gauge's doubt, in halves of its 0.02 mm
    assert [row[0] for row in throws] == ["throw 1", "throw 2"]
    assert {row[2:] for row in throws} == {("13.93 mm", "14.07 mm")}


def test_one_line_of_the_indicator_is_accepted_where_the_doubt_leaves_no_more():
    report = checked("compressor", allowed_runout="6 um")
    assert 2 <= report.find("runout").number("accept up to").m_as("um") < 4
    (one,) = (one for one in printed_steps(report) if one.step.key == "inspect")
    assert one.readings[0][2:] == ("", "0.002 mm")


def teller(**fields):
    """What tells a step in words, with as much of a job as is asked."""
    made = object.__new__(_Teller)
    made.__dict__.update({"units": "mm", **fields})
    return made


def newtons(size):
    return Quantity(float(size), "N")


def pressed(thrust, least=200, most=900, *, holds=True, rough=False, step=None):
    ends = "200 N", "900 N"
    return SimpleNamespace(
        thrust=newtons(thrust), least=least and newtons(least), most=newtons(most), holds=holds,
        rough=rough, step=step, ends=lambda _units: ends,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (pressed(400), "thrust 400 N, at least 200 N, never above 900 N in this step"),
        (pressed(200), "thrust at least 200 N, never above 900 N in this step"),
        (pressed(900), "thrust 900 N, at least 200 N, never above 900 N in this step"),
        (pressed(901), "thrust 900 N, not 901 N, at least 200 N, never above 900 N in this step"),
        (pressed(400, None), "thrust 400 N, never above 900 N in this step"),
    ],
)
def test_thrust_is_told_between_the_least_that_holds_and_the_most_that_is_borne(one, told):
    made = teller(work=SimpleNamespace(warmed=()))
    first, *rest = made.thrust(one)
    assert first == told
    assert rest == [
        "ease the thrust after each pass, never below what holds the work in its centers"
    ]


def test_a_roughing_steps_most_is_said_to_be_the_finished_cranks():
    made = teller(work=SimpleNamespace(warmed=()))
    said = list(made.thrust(pressed(400, rough=True)))
    assert len(said) == 3 and said[1].startswith(
        "the upper limit is worked out for the finished crank"
    )
    assert list(made.thrust(pressed(400, holds=False))) == []


@pytest.mark.parametrize(
    ("asks", "told"),
    [
        ("nothing", "ease the thrust after each pass"),
        ("stop", "stop and ease the thrust after 1.2 min in the cut"),
        ("more", "ease the thrust all the time, or use a spring-loaded center"),
    ],
)
def test_thrust_is_eased_as_the_longest_pass_of_its_own_step_asks(asks, told):
    own, other = Step("a", "", "centers"), Step("b", "", "centers")
    warmed = [
        SimpleNamespace(stage=SimpleNamespace(step=step), asks=what, until=Quantity(1.24, "min"))
        for step, what in ((other, "nothing"), (own, asks), (other, "nothing"))
    ]
    made = teller(work=SimpleNamespace(warmed=warmed))
    assert made._eased(own) == told
    assert made._eased(Step("c", "", "centers")) == "ease the thrust after each pass"


def test_a_step_whose_cut_throws_the_work_out_is_in_trouble():
    step = Step("rough_pin_1", "", "centers", trouble=("as planned",))
    made = teller(pressed={"rough_pin_1": pressed(400, holds=False)})
    first, second = made.trouble(step)
    assert first == "as planned"
    assert "with less than 200 N of thrust, and the step bears no more than 900 N" in second
    made = teller(pressed={"rough_pin_1": pressed(400), "rough_pin_2": pressed(1, holds=False)})
    assert list(made.trouble(step)) == ["as planned"]


def test_a_cut_is_shifted_up_as_it_comes_down_and_places_alike_stand_together():
    """A diameter that does not shrink begins another cut, as another place does."""
    rows = [
        *(("main 2", "rough", 40.0, 110.0), ("main 2", "rough", 30.0, 160.0)),
        *(("main 1", "rough", 40.0, 110.0), ("main 1", "rough", 30.0, 160.0)),
        *(("pin 1", "rough", 25.0, 110.0), ("pin 1", "rough", 25.0, 110.0)),
        *(("pin 1", "rough", 26.0, 70.0), ("pin 1", "rough", 20.4321, 230.0)),
        ("pin 1", "finish", 18.0, 400.0),
    ]
    speeds = [
        SimpleNamespace(place=place, work=work, diameter=diameter, rpm=rpm)
        for place, work, diameter, rpm in rows
    ]
    assert list(teller().shifts(SimpleNamespace(speeds=speeds))) == [
        ("main 2, 1, rough", "Ø40 mm 110 rpm → Ø30 mm 160 rpm"),
        ("pin 1, rough", "Ø25 mm 110 rpm, Ø26 mm 70 rpm → Ø20.4 mm 230 rpm"),
        ("pin 1, finish", "Ø18 mm 400 rpm"),
    ]


def test_a_slot_tells_its_side_its_depth_and_the_holes_along_its_floor():
    slot = SimpleNamespace(
        place="pin 1", side=180.0, begin=60.0, depth=29.0, width=20.0, holes=4, drill=4.8,
        pitch=5.05, first_hole=62.42, drill_line=26.62,
    )  # fmt: skip
    made = teller(plan=SimpleNamespace(placed=SimpleNamespace(faced=(10.0, 150.0))), sizes={})
    words = "from the side 180° of throw 1, 29 mm deep from the bar's skin, 20 mm wide"
    holes = (
        "4 holes of 4.8 mm every 5.05 mm, the first 62.42 mm from the datum, middles 26.62 mm deep"
    )
    for slot.holes, told in ((4, f"{words}; {holes}"), (None, words)):
        step = SimpleNamespace(cuts=(), slots=(slot,))
        assert list(made.cuts(step, False)) == [("pin 1", "60 mm", "80 mm", told)]


def test_where_no_plan_can_be_made_it_is_said_why():
    report = checked("pump", bar_size="20 mm")
    assert printed_steps(report) == ()
    assert re.fullmatch(r"No plan can be made\. [A-Z].+\.", steps_or_why(report)[1])
