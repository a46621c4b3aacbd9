"""The work on the lathe by hand: walls and rounds of a cut, speeds of its passes, slots, bars."""

from dataclasses import replace
from math import cos, hypot, inf, pi, radians, sin
from types import SimpleNamespace as Stub

import pytest

from crankmath.crank import Crank
from crankmath.job import Job
from crankmath.job.workings import Workings
from crankmath.units import Quantity
from crankmath.workpiece import make_plan, shifts
from crankmath.workpiece.cuts import Outline, Turn
from crankmath.workpiece.passes import Wall, last_depths, parts_of, rough_depths
from crankmath.workpiece.placing import place
from crankmath.workpiece.planning.milling import (
    _chain,
    _drilled,
    _slot,
    held_on,
    long_reach,
    web_slots,
)
from crankmath.workpiece.sections import disc
from crankmath.workpiece.work import Flare, Piece, Work, bar_section

PUMP, MAIN = Crank.load("pump"), (0.0, 0.0)


def mm(value):
    return Quantity(value, "mm")


def web_wall_round(*walls, middle=(4.0, 0.0), radius=20.0):
    """A round from 12 to 28 between two disks on the main axis, (thickness, radius) each."""
    (left, wide), (right, other) = walls
    return Work(
        (
            Piece(12 - left, 12.0, disc(MAIN, wide)),
            Piece(12.0, 28.0, disc(middle, radius)),
            Piece(28.0, 28.0 + right, disc(MAIN, other)),
        )
    )


def turning(x0, x1, radius=10.0):
    return Stub(place="pin 1", axis=MAIN, radius=radius, x0=x0, x1=x1, corners=(1.5, 0.5))


# walls and body


def test_a_wall_is_faced_where_it_is_thinner_than_it_stands_out():
    """The round reaches 24: a disk of 30 stands 6 out, one of 27 only 3."""
    walls, body = parts_of(web_wall_round((2, 30), (2, 27)), turning(10, 30))
    assert walls == (Wall(2, 30), Wall(2, 27)) and body.start == 24 and len(body.pieces) == 1
    walls, body = parts_of(web_wall_round((2, 30), (3, 27)), turning(10, 31))
    assert walls == (Wall(2, 30),) and body.start == 27, "as thick as it stands out: turned along"
    walls, body = parts_of(web_wall_round((2, 30), (2.99, 27)), turning(10, 30.99))
    assert [wall.reach for wall in walls] == [30, 27]
    assert parts_of(web_wall_round((2, 30), (2, 27)), turning(60, 70)) == ((), ((), 10.0))


def test_disks_of_one_wall_are_as_thick_as_all_of_them():
    """1 of 30 beside 2 of 28: together 3, and no longer a wall where the second stands 3 out."""
    outer, inner = Piece(9.0, 10.0, disc(MAIN, 30.0)), Piece(10.0, 12.0, disc(MAIN, 28.0))
    rest = Piece(12.0, 28.0, disc(MAIN, 24.0))
    walls, body = parts_of(Work((outer, inner, rest)), turning(9, 28))
    assert walls == (Wall(3, 30),) and body.start == 24
    low = replace(inner, section=disc(MAIN, 27.0))
    walls, body = parts_of(Work((outer, low, rest)), turning(9, 28))
    assert walls == (Wall(1, 30),) and body.start == 27


def test_a_fillet_runs_down_with_the_body():
    """Left about the axis of the cut it is no wall, however far its wide end stands out."""
    fillet = Piece(10.0, 12.0, disc(MAIN, 30.0), (Flare(*MAIN, 24.0, 6.0, 10.0),))
    work = Work((fillet, *web_wall_round((2, 30), (2, 27)).pieces[1:]))
    walls, body = parts_of(work, turning(10, 30))
    assert walls == (Wall(2, 27),) and body.start == 24 and len(body.pieces) == 2


# speeds of the passes


SPEEDS = {("facing a web", True): 8.0, ("roughing", True): 10.0, ("roughing", False): 20.0,
          ("finishing", False): 25.0}  # fmt: skip
GEARS = (40.0, 70.0, 130.0, 200.0, 300.0, 420.0)


def test_speeds_of_a_roughing_cut_from_pass_to_pass():
    """Walls at Ø60: 8 m/min are 42 rpm. The round, 4 off its axis, is whole below 16: at 24 its 10
    m/min in blows are 66 rpm, at 22 to 18 72 to 88; at 16 its 20 m/min are 199, but of 150 rpm
    that the stand bears 0.85 of the pull are had at 138.
    """
    rows, passes = shifts.roughing(
        *(web_wall_round((2, 30), (2, 27)), turning(10, 30)),
        *(lambda *asked: SPEEDS[asked], 2.0, 0.1, GEARS, 150.0, 0.05),
    )
    assert [(row.work, row.diameter, row.rpm) for row in rows] == [
        ("walls", 60, 40), ("rough", 48, 40), ("rough", 44, 70), ("rough", 32, 130),
    ]  # fmt: skip
    assert [row.interrupted for row in rows] == [True, True, True, False]
    assert [row.set_by for row in rows] == ["cut", "cut", "cut", "unbalance"]
    assert rows[0].depth == 2.0 and rows[3].unbalance_share == pytest.approx((130 / 150) ** 2)
    walls, body = passes
    # from the swing to the fillet of 1.5 at radius 10
    assert walls.runs == ((40, 18.5), (40, 15.5)) and (walls.sides, walls.depths) == (2, (2,))
    assert body.depths == (2,) * 7 and body.runs == (
        (40, 16), (70, 16), (70, 16), (70, 16), (130, 16), (130, 16), (130, 16),
    )  # fmt: skip
    assert body.set_by == ("cut", "unbalance")


def test_a_pass_goes_where_metal_stands_above_it():
    """Steps of 20, 18 and 14: 10, 16 and 28 mm of travel at depths of 2 down to 12."""
    steps = [(10.0, 20.0, 20.0), (20.0, 26.0, 18.0), (26.0, 38.0, 14.0)]
    work = Work(tuple(Piece(x0, x1, disc(MAIN, radius)) for x0, x1, radius in steps))
    cut = turning(10, 38, 12.0)
    _rows, (body,) = shifts.roughing(
        work, cut, lambda *asked: SPEEDS[asked], 2.0, 0.1, GEARS, inf, 0.05
    )
    assert [travel for _rpm, travel in body.runs] == [10, 16, 16, 28]


def test_speeds_of_a_finishing_cut():
    """25 m/min at Ø20.5 are 388 rpm; a wall of 0.3 goes in two passes of at most 0.25."""
    work = web_wall_round((0.3, 30), (0.2, 27), middle=MAIN, radius=10.25)
    rows, passes = shifts.finishing(
        *(work, turning(11.7, 28.2)),
        *(lambda *asked: SPEEDS[asked], 0.25, 0.25, 0.06, GEARS, inf, 0.05),
    )
    assert [(row.work, row.diameter, row.rpm) for row in rows] == [
        ("face", 60, 40), ("finish", 20.5, 300),
    ]  # fmt: skip
    assert rows[0].depth == 0.25 and rows[1].depth == 0.25 and not rows[1].interrupted
    assert [one.work for one in passes] == ["face", "face", "finish"]
    assert [sum(one.depths) for one in passes] == pytest.approx([0.3, 0.2, 0.25])
    assert passes[2].runs == ((300, 16.5),) and passes[2].depths == (0.25,)
    low = web_wall_round((0.3, 30), (0.2, 27), middle=MAIN, radius=9.0)
    rows, passes = shifts.finishing(
        *(low, turning(11.7, 28.2)),
        *(lambda *asked: SPEEDS[asked], 0.25, 0.25, 0.06, GEARS, inf, 0.05),
    )
    assert rows[-1].diameter == 20 and all(one.work == "face" for one in passes), "no metal there"


def test_a_stand_that_just_bears_the_slowest_step_asks_for_no_weight():
    """Ø60 at 20 m/min: 106 rpm; borne are 70 rpm, the slowest step."""
    found = shifts.shift(
        "main 1", "rough", 60.0, lambda *asked: 20.0, "roughing", True, (70.0, 130.0), 70.0, 0.8
    )
    assert (found.set_by, found.rpm, found.unbalance_share) == ("unbalance", 70, 1)


@pytest.mark.parametrize(("table", "set_by"), [(12.6, "cut"), (12.5, "gears")])
def test_the_slowest_step_may_be_as_fast_as_tables_scatter(table, set_by):
    """Ø60 at 70 rpm: 13.195 m/min, 5 % over 12.57."""
    found = shifts.shift(
        "main 1", "rough", 60.0, lambda *asked: table, "roughing", True, (70.0, 130.0), inf, 0.8
    )
    assert (found.set_by, found.rpm) == (set_by, 70)
    assert found.over == pytest.approx(13.195 / table if set_by == "gears" else 1, rel=1e-4)


def test_a_wall_no_wider_than_the_fillet_needs_no_way():
    """Fed in from 11 to 10 with 1.5 of fillet there is nothing to travel."""
    for reach, way in ((11.0, 0), (11.5, 0), (12.0, 0.5)):
        (row,), (passes,) = shifts._faced(
            *("face", (Wall(0.2, reach),), turning(10, 30), lambda *asked: SPEEDS[asked]),
            *(0.25, 0.06, GEARS, inf, 0.05),
        )
        assert passes.runs == ((row.rpm, way),) and row.diameter == 2 * reach


def test_walls_that_print_alike_are_faced_alike():
    """Under half a hundredth apart, the thicker counts for both; from there on each has its own."""
    for thick, thin, depths in (
        (2.0, 1.996, [(2.0,)]), (2.0, 1.994, [(2.0,), (1.994,)]), (0.01, 0.005, [(0.01,), (0.005,)]),
    ):  # fmt: skip
        _rows, found = shifts._faced(
            *("walls", (Wall(thin, 27.0), Wall(thick, 30.0)), turning(10, 30)),
            *(lambda *asked: SPEEDS[asked], 2.0, 0.1, GEARS, inf, 0.05),
        )
        assert [one.depths for one in found] == depths
        assert sum(one.sides for one in found) == 2


@pytest.mark.parametrize(
    ("stock", "deepest", "depths"),
    [
        (0.0, 1.0, ()), (0.8, 1.0, (0.8,)), (1.0, 1.0, (1.0,)), (2.0, 1.0, (1.0, 1.0)),
        (2.5, 1.0, (0.85, 0.85, 0.8)),  # a third is 0.833
        (1.92, 1.0, (1.0, 0.92)),
        (3.01, 1.0, (0.8, 0.8, 0.8, 0.61)),  # a fourth is 0.7525
        (0.21, 0.2, (0.1, 0.11)),  # 0.15 would leave 0.06, under two divisions
    ],
)  # fmt: skip
def test_depths_are_whole_divisions_and_the_last_is_what_is_left(stock, deepest, depths):
    assert rough_depths(stock, deepest, 0.05) == pytest.approx(depths)


def test_the_finishing_pass_comes_last():
    assert last_depths(0.25, 0.25, 1.0, 0.05) == (0.25,) and last_depths(0.0, 0.25, 1, 0.05) == ()
    assert last_depths(0.1, 0.25, 1.0, 0.05) == (0.1,)
    assert last_depths(0.75, 0.25, 1.0, 0.05) == pytest.approx((0.5, 0.25))


# fillets


def test_a_fillet_that_is_cut_over_is_forgotten():
    """Radius 10 with 1.5 of fillet at x 0: a round 9 with the like fillet leaves only its own; one
    about another axis, or one that is wider somewhere, leaves both; a plain round as deep none.
    """
    left = Flare(*MAIN, 10.0, 1.5, 0.0)
    piece = Piece(0.0, 1.5, disc(MAIN, 11.5), (left,))
    under, over = Flare(*MAIN, 9.0, 1.5, 0.0), Flare(*MAIN, 10.5, 1.5, 0.0)
    aside = Flare(3.0, 0.0, 10.0, 1.5, 0.0)
    assert piece.turned(MAIN, 10.5, under).flares == (under,)
    assert piece.turned(MAIN, 12.0, over).flares == (left, over)
    assert piece.turned((3.0, 0.0), 11.5, aside).flares == (left, aside)
    assert piece.turned(MAIN, 10.0).flares == () and piece.turned(MAIN, 10.2).flares == (left,)
    assert piece.turned((3.0, 0.0), 9.0).flares == (left,)
    assert piece.turned(MAIN, 12.0) is piece and piece.turned((40.0, 0.0), 12.0) is None


def test_a_fillet_widens_to_its_wall():
    """A quarter round of 1.5 about radius 10: 11.5 at the wall, 10 at its end, 10.201 half way."""
    flare = Flare(*MAIN, 10.0, 1.5, 5.0)
    assert [flare.at(x) for x in (5.0, 6.5, 9.0, 3.5)] == [11.5, 10.0, 10.0, 10.0]
    half = 11.5 - (1.5**2 - 0.75**2) ** 0.5
    assert (
        flare.at(5.75) == flare.at(4.25) == pytest.approx(half) == pytest.approx(10.201, abs=1e-3)
    )


def test_volume_of_a_fillet_by_pappus():
    """What fills the corner: (1 - pi/4) of its square, its centroid 0.2234 of it from the walls."""
    for wall, ends, way in ((0.0, (0.0, 1.5), 1), (1.5, (0.0, 1.5), -1)):
        piece = Piece(*ends, disc((3.0, 4.0), 11.5), (Flare(3.0, 4.0, 10.0, 1.5, wall),))
        filled, arm = (1 - pi / 4) * 1.5**2, 10 + 0.22337 * 1.5
        volume, along, y, z = piece.moments
        assert volume == pytest.approx(pi * 100 * 1.5 + 2 * pi * arm * filled, rel=1e-6)
        assert (y, z) == pytest.approx((3 * volume, 4 * volume))
        assert way * (0.75 - along / volume) > 0.01, "more of it beside its wall"


# the bar


@pytest.mark.parametrize("turn", [0.0, 20.0, -35.0])
def test_a_flat_bar_is_its_sides(turn):
    """50 by 30: half of each in its direction, half the diagonal in the corner's."""
    bar = bar_section("flat", (50.0, 30.0), radians(turn))
    for angle, far in ((0, 25), (90, 15), (180, 25), (270, 15), (30.9638, hypot(25, 15))):
        way = radians(turn + angle)
        assert bar.support((cos(way), sin(way))) == pytest.approx(far)
    assert bar.area == pytest.approx(1500) and bar.centroid == pytest.approx((0, 0))
    assert bar_section("square", (40.0,), radians(turn)).reach(MAIN) == pytest.approx(hypot(20, 20))
    assert bar_section("round", (60.0,)).reach(MAIN) == 30


@pytest.mark.parametrize("first", [0.0, 30.0, 240.0])
def test_the_main_stands_in_the_bar_where_its_throw_turns_it(first):
    """The bar's middle lies 9 above and 2 right of the main's axis, seen from the right-hand end
    with up at 0 degrees and left at 90: along a throw at 30 -9 cos 30 + 2 sin 30 = -6.794.
    """
    crank = replace(PUMP, throws=[replace(PUMP.throws[0], angle=Quantity(first, "deg"))])
    bar = Stub(shape="round", width=mm(60.0), height=mm(60.0), turn=Quantity(90.0, "deg"),
               middle_x=mm(2.0), middle_y=mm(9.0), length=mm(0.0))  # fmt: skip
    made = place(crank, bar, 1.5, 10.0)
    wanted = {0.0: (-9, 2), 30.0: (-6.7942, 6.2321), 240.0: (2.7679, -8.7942)}[first]
    assert made.main == pytest.approx(wanted, abs=1e-4)
    assert made.pins[0] == pytest.approx((wanted[0] + 18, wanted[1]), abs=1e-4)


# slots


def test_a_slot_is_as_deep_and_wide_as_its_chord():
    """18 mm from the middle of a Ø60 bar, 53.13 degrees round: 12 deep, 48 across."""
    placed = Stub(bar_section=disc(MAIN, 30.0), faced=(1.5, 161.5), units="mm")
    for normal, side in (((0.6, 0.8), 53.13), ((-0.8, 0.6), 143.13), ((0.6, -0.8), 306.87)):
        cut = Stub(place="pin 1", normal=normal, offset=18.0, x0=71.5, x1=89.5, stock=2.0)
        found = _slot(placed, cut, None)
        assert (found.depth, found.begin, found.width, found.floor) == (12, 70, 18, 48)
        assert found.side == pytest.approx(side, abs=0.001) and found.holes is None
        # a drill as wide as the slot goes in, a wider one does not
        assert _slot(placed, cut, 18.0).holes == 1 and _slot(placed, cut, 18.1).holes is None
    cut.offset = 31.0
    assert _slot(placed, cut, 5.0).holes is None, "beyond the skin there is nothing to drill"


@pytest.mark.parametrize(
    ("units", "holes", "drill", "width", "found"),
    [
        ("mm", 3, 5.0, 18.0, (6.5, 73.5, 25.5)),
        ("mm", 2, 5.0, 18.0, (13.0, 73.5, 25.5)),
        # 73.5 is 2893.7 thousandths, the next 2894; 6.496 left between them 255.7; 25.5 1003.9
        ("in", 3, 5.0, 18.0, (255 * 0.0254, 2894 * 0.0254, 1003 * 0.0254)),
        # 5.4864 would leave 0.4864 of metal between the holes: the exact ones
        ("in", 3, 5.0, 16.0, (5.5, 73.5, 1003 * 0.0254)),
        # one in the middle, at 75: 2952.8
        ("mm", 1, 5.0, 8.0, (0.0, 75.0, 25.5)),
        ("in", 1, 5.0, 8.0, (0.0, 2953 * 0.0254, 1003 * 0.0254)),
    ],
)
def test_holes_of_a_slot_stand_on_thousandths_inside_it(units, holes, drill, width, found):
    """From 71, 28 deep."""
    pitch = (width - drill) / (holes - 1) if holes > 1 else 0.0
    chain = Stub(pitch=mm(pitch), holes=holes)
    assert _drilled(units, chain, drill, 28.0, 71.0, width) == pytest.approx(found, abs=1e-4)


@pytest.mark.parametrize(
    ("name", "spare", "step"), [("pump", 3.0, 0.01), ("bellows", 25.4 / 8, 0.127)]
)
def test_a_blade_stands_out_by_what_it_needs_and_a_spare(name, spare, step):
    """3 mm or an eighth of an inch beyond the need, common practice, in printed steps (5 thou)."""
    tools = [step.tool for step in Workings(Job.load(name)).plan.steps if step.tool]
    assert tools and all(
        spare - 1e-6 <= tool["reach"] - tool["reach_needed"] < spare + step for tool in tools
    )


def test_a_pin_that_is_all_fillet_is_no_longer_for_being_printed():
    """Two fillets of 2.5005 print as 2.501 each: 5.002 in a pin of 5.001."""
    throw = replace(PUMP.throws[0], pin_length=mm(5.001), fillet=mm(2.5005))
    plan = Workings(Job(replace(PUMP, throws=(throw,)))).plan
    cuts = [cut for step in plan.steps for cut in step.cuts if isinstance(cut, Turn)]
    cuts = [cut for cut in cuts if cut.place == "pin 1"]
    assert cuts and all(sum(cut.corners) <= cut.x1 - cut.x0 + 1e-9 for cut in cuts)
    assert any(sum(cut.corners) == pytest.approx(cut.x1 - cut.x0) for cut in cuts)


def test_a_smaller_drill_may_make_the_better_chain():
    """18 wide and 1/4 in: 16 or 15 sixty-fourths leave two holes 5 or 6 apart, 14 of them, 5.556,
    three holes every 6.222: 0.67 of metal. 6.2 wide: no drill leaves a millimeter or less; of 4 down
    to 2 it is 2.5, two holes every 3.7. A drill as it was asked stays where it leaves that little.
    """
    drill, chain = _chain(18.0, 40.0, 6.35, 25.4 / 64)
    assert (drill, chain.holes) == (pytest.approx(14 / 64 * 25.4), 3)
    placed = Stub(bar_section=disc(MAIN, 30.0), faced=(0.0, 160.0), units="in")
    cut = Stub(place="pin 1", normal=(1.0, 0.0), offset=18.0, x0=71.0, x1=89.0, stock=2.0)
    assert _slot(placed, cut, 6.35).drill == pytest.approx(14 / 64 * 25.4)
    drill, chain = _chain(6.2, 40.0, 4.0, 0.5)
    assert (drill, chain.holes, chain.pitch.m_as("mm")) == (2.5, 2, pytest.approx(3.7))
    assert _chain(5.0, 40.0, 4.0, 0.5)[0] == 4.0, "one hole, a millimeter left beside it"
    assert _chain(13.0, 40.0, 6.0, 0.5)[0] == 6.0, "two, one between them"


def test_webs_are_held_on_full_bar_where_a_main_has_it():
    """Mains at 5 and 45 from the left, the webs between them."""
    bar, thin = disc(MAIN, 30.0), disc(MAIN, 12.0)
    segments = [("journal", 0, 0.0, 10.0), ("web", 0, 10.0, 40.0), ("journal", 1, 40.0, 50.0)]
    placed = Stub(bar_section=bar, segments=segments)

    def held(left, right, turned):
        between = Piece(10.0, 40.0, bar)
        work = Work((Piece(0.0, 10.0, left), between, Piece(40.0, 50.0, right)))
        return held_on(placed, work, turned)

    assert held(bar, thin, True) == held(thin, bar, True) == held(bar, bar, False) == "hold_bar"
    assert held(thin, thin, True) == "hold_round" and held(thin, thin, False) == "hold_square"


def test_a_long_cutter_is_asked_for_from_twice_as_deep_as_wide():
    """The deepest for its width counts, not the deepest; none without slots."""
    slots = ((30.0, 20.0, "pin 1"), (25.0, 10.0, "pin 2"), (20.1, 10.0, "pin 3"))
    assert long_reach(slots) == (25.0, 10.0, "pin 2")
    assert long_reach(slots[:1]) is long_reach(()) is long_reach([(20.0, 10.0, "pin 3")]) is None


def test_a_side_of_a_web_between_two_walls_is_a_slot():
    """A web of 20 by 12 in a bar of 30, walls of 30 left and 11 right of it: its long sides, 6 off,
    stand 5 deep between both; its ends, 10 off, only 1; beside a wall of 10.4 these stand out too
    little.
    """
    points = ((-10.0, -6.0), (10.0, -6.0), (10.0, 6.0), (-10.0, 6.0))
    cut = Outline(10.0, 18.0, points, 0.0, "web 1")
    for wall, deep in ((11.0, [1, 1, 5, 5]), (10.4, [4.4, 4.4])):
        ends = (Piece(0.0, 10.0, disc(MAIN, 30.0)), Piece(18.0, 30.0, disc(MAIN, wall)))
        work = Work((ends[0], Piece(10.0, 18.0, disc(MAIN, 30.0)), ends[1]))
        found = web_slots(work, [cut])
        assert sorted(depth for depth, *_ in found) == pytest.approx(deep)
        assert {one[1:] for one in found} == {(8.0, "web 1")}


def test_a_stub_as_short_as_half_a_millimeter_can_be_planned():
    """What is too short for the center's hole is told in its step; only none at all is refused."""
    plan = make_plan(Job.load("pump").typed("center_end", "0.5 mm"))
    assert plan.placed.faced == (1.5, 142.5) and plan.placed.x0 == 2.0
    with pytest.raises(ValueError, match="^Full bar left at each end must be above zero"):
        make_plan(Job.load("pump").typed("center_end", "0 mm"))
