"""Speeds of a turning step and what a step says of tool, swing and drive, by hand on made-up work."""

from math import cos, pi, sin, sqrt
from types import SimpleNamespace

import numpy as np
import pytest

from crankmath.job import Job
from crankmath.job.workings import Workings
from crankmath.units import Quantity
from crankmath.workpiece import bending, shifts
from crankmath.workpiece.planning.turning import Turning

Stub = SimpleNamespace


def test_what_an_unbalance_allows():
    """25 kg mm on a stand that bears 60 N: sqrt(1000 x 60/25) = 48.99 1/s, 467.8 rpm; 0.85 of the
    force is used at the root of it.
    """
    assert shifts.balance_limit(25.0, 60.0) == pytest.approx(467.8, abs=0.1)
    assert shifts.balance_limit(0.0, 60.0) == float("inf")
    assert shifts.spared(100.0) == pytest.approx(100 * sqrt(0.85))


def test_wear_by_taylor():
    """v T^0.125 of high-speed steel: at twice the speed 2^8 times as fast."""
    assert shifts.wear(2.0, "HSS") == pytest.approx(256)
    assert shifts.wear(1.0, "HSS") == 1


@pytest.mark.parametrize(("share", "fast"), [(1.0, False), (1.02, False), (1.2, True)])
def test_the_slowest_step_is_too_fast_where_the_work_swings_wide(share, fast):
    """Ø80 swings: at 70 rpm 17.6 m/min; whole metal stands on Ø60, so it is cut in blows."""
    work = Stub(swing=lambda axis, x0, x1: 40.0, whole_ring=lambda axis, x0, x1: 30.0)
    asked = []

    def table(operation, broken):
        asked.append((operation, broken))
        return pi * 80 * 70 / 1000 / share

    assert shifts.too_fast(work, (0, 0), 0, 10, table, 70.0) == fast
    assert asked == [("roughing", True)]
    whole = Stub(swing=work.swing, whole_ring=lambda axis, x0, x1: 40.0)
    shifts.too_fast(whole, (0, 0), 0, 10, table, 70.0)
    assert asked[-1] == ("roughing", False)


def test_how_far_a_step_is_over_the_tables():
    row = shifts.Shift("main 1", "rough", 60.0, 70.0, 30.0, 20.0, True, "gears", 0.2, 1.0)
    assert row.over == pytest.approx(1.5)
    slow = shifts.Shift("main 1", "rough", 60.0, 70.0, 30.0, 20.0, True, "cut", 0.2, 1.0)
    assert slow.over == 1.0 and slow.as_dict()["rpm"] == 70.0


@pytest.mark.parametrize(
    ("table", "limit", "rpm", "set_by"),
    [
        (20.0, 200.0, 70.0, "cut"),  # 20 m/min at Ø60 are 106 rpm
        (24.6, 200.0, 130.0, "cut"),  # 130.5 rpm, 24.5 m/min
        (24.4, 200.0, 70.0, "cut"),
        (20.0, 110.0, 70.0, "unbalance"),  # 0.85 of what is borne at 101 rpm
        (20.0, 69.0, 70.0, "balanced"),
        (10.0, 200.0, 70.0, "gears"),  # 13.2 m/min at the slowest step
        (13.1, 200.0, 70.0, "cut"),  # within what the tables scatter
    ],
)
def test_a_step_keeps_to_the_tables_and_to_what_the_stand_bears(table, limit, rpm, set_by):
    """Ø60 mm; what the work pulls with grows with the square of the speed."""
    found = shifts.shift("main 1", "rough", 59.9941, lambda *asked: table, "roughing", 1,
                         (70.0, 130.0), limit, 0.8)  # fmt: skip
    assert (found.rpm, found.set_by, found.diameter) == (rpm, set_by, 60.0)
    assert found.surface_speed_m_min == pytest.approx(pi * 60 * rpm / 1000)
    assert found.unbalance_share == pytest.approx((rpm / limit) ** 2)
    assert (found.place, found.work, found.depth) == ("main 1", "rough", 0.8)
    assert found.interrupted is True and found.table_m_min == table


# what a step says


def step(**answers):
    """The part of a plan that turns, with the lengths in mm."""
    made = object.__new__(Turning)
    made.job = {"blade_reach": None, "blade_thickness": Quantity(2, "mm"), "tool": "HSS",
                "last_cut": Quantity(0.1, "mm"), "counterweight_radius": Quantity(60, "mm")}  # fmt: skip
    made.job |= answers
    made.units, made.gears, made.density, made.finish = "mm", (70.0, 130.0), 7.85e-6, 0.25
    made.placed = Stub(roomy=lambda size: size, faced=(1.5, 161.5))
    return made


def test_a_blade_reaches_and_fits_its_gap():
    """Needed are 24 and 30 mm; the gaps are 20 and 12 mm wide."""
    works = [Stub(reach_needed=lambda *cut: 24.0), Stub(reach_needed=lambda *cut: 30.0), None]
    cuts = [Stub(axis=0, radius=9, x0=70.0, x1=90.0), Stub(axis=0, radius=9, x0=100.0, x1=112.0)]
    tool, trouble = step(blade_reach=Quantity(30, "mm"))._tool(works, cuts)
    assert tool == {"reach": 30, "reach_needed": 30, "thickness": 2} and trouble == []
    _tool, short = step(blade_reach=Quantity(29, "mm"))._tool(works, cuts)
    assert short == ["the blade stands out 29 mm, 30 mm is needed to clear the work beside the cut"]
    assert step(blade_thickness=Quantity(12, "mm"))._tool(works, cuts)[1] == []
    _tool, wide = step(blade_thickness=Quantity(13, "mm"))._tool(works, cuts)
    assert wide == ["the blade is 13 mm thick, the gap 12 mm wide"]
    longer, _ = step()._tool(works, cuts)
    assert 30 < longer["reach"] <= 35, "some to spare where nobody said how long it is"


def test_what_is_struck_is_said_by_how_much():
    assert step()._struck({"over_bed": 0.0, "over_carriage": 0.0}) == []
    assert step()._struck({"over_bed": -2.0, "over_carriage": -3.5}) == [
        "the work strikes the bed: 2 mm too wide", "the work strikes the carriage: 3.5 mm too wide",
    ]  # fmt: skip


def row(over, set_by="gears", place="main 1"):
    return Stub(over=over, set_by=set_by, place=place, rpm=70.0, work="rough")


@pytest.mark.parametrize(
    ("over", "limits", "trouble"),
    [
        (1.0, 0, 0), (1.05, 1, 0), (1.5, 1, 0), (1.51, 0, 1),
    ],
)  # fmt: skip
def test_a_step_faster_than_the_tables_is_a_limit_or_a_trouble(over, limits, trouble):
    """1.05^8 is 1.5 times the wear, 1.5^8 26 times; beyond that the edge fails."""
    driven = Stub(by="bolt", strikes=False)
    said = [
        one for one in step()._limits(driven, False, [row(0.9), row(over)]) if "even the" in one
    ]
    assert len(said) == limits
    if limits:
        assert said == [
            f"at main 1 even the slowest step, 70 rpm, cuts {100 * (over - 1):.0f} % faster than the "
            f"tables: the edge wears {over**8:.2g} times as fast, keep it sharp"
        ]
    found = step()._too_fast([row(0.9), row(over)], None, None)
    assert len(found) == trouble
    if trouble:
        assert found[0].startswith("at main 1 even the slowest step, 70 rpm, cuts 51 % faster than")
        assert found[0].endswith("saw, mill or file there first")


def test_work_that_no_step_bears_asks_for_a_weight():
    """30 kg mm of unbalance, 3 and 4 along y and z of ten: at 60 mm half a kilogram."""
    work = Stub(unbalance=lambda axis, density: (18.0, 24.0))
    (said,) = step()._too_fast([row(1.0, "balanced")], work, (0, 0))
    assert said == (
        "the stand does not bear the work even at 70 rpm: balance it with 0.5 kg on the driving "
        "plate, opposite it, bolted through and behind a guard"
    )
    assert step()._too_fast([row(1.0, "cut")], work, (0, 0)) == []


def test_a_finishing_step_says_its_last_cut_and_its_dog():
    dog = Stub(by="dog", x=(2.5, 17.5), strikes=False)
    said = list(step()._limits(dog, False, []))
    assert said[0] == "last cut 0.1 mm on the radius"
    assert "1 mm" in said[1] and "16 mm" in said[1]
    rough = list(step()._limits(dog, True, []))
    assert rough[0] == "leave 0.25 mm on the round, the web faces and the fillets"


@pytest.mark.parametrize("angle", [30, 105, 255])
def test_a_crank_turned_in_its_bar_is_bent_alike(angle):
    """Twenty-four directions of the push: a turn by fifteen degrees or more changes nothing."""

    def stress(turned):
        placed = Workings(Job.load("pump")).plan.placed
        y, z = placed.main
        way = np.radians(turned)

        def around(point):
            return (
                point[0] * cos(way) - point[1] * sin(way),
                point[0] * sin(way) + point[1] * cos(way),
            )

        made = Stub(
            axis=lambda kind, index: around(placed.axis(kind, index)), faced=placed.faced,
            span=placed.span, webs=placed.webs, segments=placed.segments,
            directions=[around(one) for one in placed.directions],
            main=around((y, z)), pins=[around(one) for one in placed.pins],
        )  # fmt: skip
        radii = {("pin", 0): 30.0, ("journal", 1): 30.0}
        return bending.cut_stress(made, radii, ("journal", 1), 200.0, 700.0)

    assert stress(angle) == pytest.approx(stress(0), rel=1e-9)
