"""Minutes by counting turns, milling, a weak motor, shares and limits, bad input."""

from dataclasses import replace

import numpy as np
import pytest

from crankmath import cutting
from crankmath.blank import bar
from crankmath.crank import crank
from crankmath.cutting import operations
from crankmath.forces import specific_cutting_force
from crankmath.lathe import load_lathe
from crankmath.units import Quantity

BARS = {
    "pump": Quantity(60, "mm"),
    "bellows": Quantity(2.0, "in"),
    "compressor": Quantity(60, "mm"),
    "organ": Quantity(2.25, "in"),
}
MM = Quantity(1.0, "mm")
slow_speeds = pytest.mark.filterwarnings(
    "ignore::crankmath.units.OutOfRangeWarning"
)  # for tough steel: said elsewhere


def total(part=crank.Crank.load("pump"), stock=BARS["pump"], **options):
    return sum(
        operation.time.m_as("min")
        for operation in operations.turning_operations(part, stock, **options)
    )


@pytest.mark.parametrize("name", crank.EXAMPLES)
@slow_speeds
def test_operations_by_their_own_turns(name):
    part, lathe = crank.Crank.load(name), load_lathe()
    found = operations.turning_operations(part, BARS[name])
    names = [operation.name for operation in found]
    assert sum("rough" in n for n in names) == len(part.journals) + len(part.throws)
    assert len(set(names)) == len(names)
    assert sum("face" in n for n in names) == 4 * len(part.throws)
    steps = lathe.gear_table.m_as("rpm")
    for operation in found:
        assert operation.slowest.m_as("rpm") in steps and operation.fastest.m_as("rpm") in steps
        verb, *rest = operation.name.split()
        if verb != "face":
            kind, number = rest
            run = (
                part.journals[int(number) - 1].length
                if kind == "main"
                else part.throws[int(number) - 1].pin_length
            )
            feed = operations.USUAL["rough_feed" if verb == "rough" else "finish_feed"]
            turns = run.m_as("mm") / feed * operation.passes
            assert turns / operation.fastest.m_as("rpm") <= operation.time.m_as("min") * (1 + 1e-9)
            assert operation.time.m_as("min") <= turns / operation.slowest.m_as("rpm") * (1 + 1e-9)
        assert 0 < operation.share <= 1


def test_milling_saves_time_and_a_weak_motor_costs_it():
    assert (
        total(milled="squares in gaps and at mains")
        < total(milled="squares in the gaps")
        < total(milled="slots in the gaps")
        < total()
    )
    weak = replace(load_lathe(), power=Quantity(60, "W"))
    assert total(lathe=weak) > total()
    assert (
        "motor"
        in operations.turning_operations(crank.Crank.load("pump"), BARS["pump"], weak)[0].limits
    )


def test_the_motor_bears_the_edge_of_a_real_nose():
    """Edge from tip to skin by hand: r (pi/2 + asin(f/2r)) + a - r; the chip is a f over it thick. At
    the tables' speed the force is at most the power left over the speed; 5 % deeper it is above.
    """
    part, feed, nose = crank.Crank.load("pump"), 0.2, 0.8
    deep = {"rough_depth": Quantity(4, "mm"), "rough_feed": Quantity(feed, "mm")}
    found = operations.turning_operations(part, BARS["pump"], **deep)[0]
    assert "motor" in found.limits
    speed = cutting.speed_for("C45").speed

    def force(depth):
        edge = nose * (np.pi / 2 + np.arcsin(feed / 2 / nose)) + depth - nose
        chip = Quantity(depth * feed / edge, "mm")
        pressure = specific_cutting_force("C45", chip, cutting_speed=speed)
        return pressure.m_as("N/mm**2") * depth * feed

    left = 0.75 * 550 / speed.m_as("m/s")
    taken = found.depth.m_as("mm")  # passes alike: as many as the deepest one asks
    assert force(taken) <= left < force(taken * found.passes / (found.passes - 1))


def test_walls_left_by_the_mill_are_faced_down_by_hand():
    """pump, Ø60: 2 mm of wall less 0.25 for finishing is 1.75, two passes of 0.875; from 30 + 9 in to the pin at 9: 30 mm a pass
    at 0.12 mm a turn, 250 turns. 85 ft/min x 0.7 at Ø78 is 74 rpm, step 70: 7.14 min in all."""
    part = crank.Crank.load("pump")
    found = {
        one.name: one
        for one in operations.turning_operations(
            part, BARS["pump"], milled="squares in gaps and at mains", milling_allowance=2 * MM
        )
    }
    wall = found["rough left wall at pin 1"]
    assert wall.passes == 2 and wall.depth.m_as("mm") == pytest.approx(0.875)
    assert wall.time.m_as("min") == pytest.approx(2 * 30 / 0.12 / 70)
    assert sorted(name for name in found if "wall" in name) == [
        f"rough {place}"
        for place in (
            "left wall at main 2",
            "left wall at pin 1",
            "right wall at main 1",
            "right wall at pin 1",
        )
    ]
    assert not any("wall" in one.name for one in operations.turning_operations(part, BARS["pump"]))
    thin = operations.turning_operations(
        part, BARS["pump"], milled="squares in the gaps", milling_allowance=0.2 * MM
    )
    assert not any("wall" in operation.name for operation in thin)


def test_a_milled_square_swings_its_half_diagonal():
    """pump, pin Ø18 with 1 mm all around: corner at 10 sqrt 2 = 14.14; less 9 and 0.25, four passes of at most 1.5."""
    found = {
        one.name: one
        for one in operations.turning_operations(
            crank.Crank.load("pump"), BARS["pump"], milled="squares in the gaps"
        )
    }
    rough = found["rough pin 1"]
    assert rough.passes == 4 and rough.depth.m_as("mm") == pytest.approx(
        (10 * np.sqrt(2) - 9.25) / 4
    )


def test_a_flat_bar_is_less_to_turn():
    part = crank.Crank.load("pump")
    flat = bar.smallest_bar(part, "flat", Quantity(0, "mm"))
    assert total(stock=flat) < total(stock=bar.smallest_bar(part, "round", Quantity(0, "mm")))


def test_shares_come_from_the_web_and_the_bar():
    part = crank.Crank.load("pump")
    found = {
        operation.name: operation for operation in operations.turning_operations(part, BARS["pump"])
    }
    # first pass of the pin, 39 to 37.53 mm from its axis: middle 38.27; arccos((38.27^2 + 9^2 - 30^2) / (2 x 9 x 38.27)) / pi
    rough = found["rough pin 1"]
    middle = 39 - rough.depth.m_as("mm") / 2
    assert rough.share == pytest.approx(np.arccos((middle**2 + 81 - 900) / (18 * middle)) / np.pi)
    # the face toward the main: mean over 10 to 34.9 mm of points counted on the rectangle's circles
    radii, turn = np.linspace(10, np.hypot(32, 14), 201), np.linspace(0, 2 * np.pi, 2001)[:-1]
    x, y = (radii[:, None] * trig(turn) for trig in (np.cos, np.sin))
    counted = ((x >= -14) & (x <= 32) & (np.abs(y) <= 14)).mean()
    assert found["face left web of throw 1 at main 1"].share == pytest.approx(counted, abs=0.005)
    assert (
        found["finish pin 1"].limits == ("unbalance",)
        and found["finish pin 1"].slowest.m_as("rpm") == 400
    )


def test_too_fast_a_slowest_gear_is_told():
    fast = replace(load_lathe(), gear_table=Quantity(np.array([300.0, 600.0]), "rpm"))
    found = operations.turning_operations(crank.Crank.load("pump"), BARS["pump"], fast)
    assert "gears" in found[0].limits and found[0].slowest.m_as("rpm") == 300


def test_unknown_milling_is_named():
    with pytest.raises(ValueError, match="^milled"):
        operations.turning_operations(crank.Crank.load("pump"), 60 * MM, milled="ovals")
