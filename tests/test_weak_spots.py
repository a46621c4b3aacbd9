"""Keyseat, cross hole, hub's edge and step: printed factors, and places of the strength check."""

import warnings
from dataclasses import replace

import numpy as np
import pytest

from crankmath.crank import Crank
from crankmath.fillets import fatigue_factor, risers
from crankmath.service import Cylinder, Pull, strength, turn_loads, weak_spots
from crankmath.units import OutOfRangeWarning, Quantity


def mm(value):
    return Quantity(value, "mm")


def mpa(value):
    return Quantity(float(value), "MPa")


@pytest.fixture(scope="module")
def pump():
    crank = Crank.load("pump")
    cylinder = Cylinder(mm(72), Quantity(900, "N"))
    belt = Pull(mm(5), Quantity(200, "N"))
    return crank, turn_loads(crank, cylinder, Quantity(600, "rpm"), belt, output="left")


# factors


def test_keyseat_as_printed():
    """Shigley, 9th ed., p. 373: 2.14 in bending, 3.0 in torsion with the key, at r/d 0.02."""
    for load, printed in (("bending", 2.14), ("torsion", 3.0)):
        assert risers.keyseat(load, mm(20), mm(0.4)) == pytest.approx(printed)
        assert risers.keyseat(load, mm(20)) == risers.keyseat(load, mm(20), mm(1.0))


def test_felt_keyseat_as_in_a_printed_solution():
    """Shigley's solutions, 7-1: Kts 3.0 and q 0.9 for a weak steel are felt as Kfs 2.8."""
    kt = risers.keyseat("torsion", Quantity(2, "in"), Quantity(0.04, "in"))
    assert fatigue_factor(kt, sensitivity=0.9) == pytest.approx(2.8)


def test_a_hole_of_a_fourth_is_within_what_is_printed():
    """Of a main of 20 mm: smaller ones are looked at beside it, never wider ones, which would pass the
    printed range of 0.3; so a fine one counts for no more.
    """
    crank = Crank.load("pump")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        wide, fine = (
            weak_spots.cross_hole(crank, 0, mm(10), mm(hole), mpa(600)) for hole in (5.0, 1.0)
        )
    assert wide.bending_factor >= fine.bending_factor > 1
    assert wide.torsion_factor >= fine.torsion_factor > 1


def test_a_sharper_floor_is_never_better_and_warns():
    with pytest.warns(OutOfRangeWarning):
        sharp = risers.keyseat("bending", mm(20), mm(0.1))
    assert sharp == pytest.approx(1 + 1.14 * 2)  # a quarter of the radius, twice the rise


def test_cross_hole_limits():
    """A fine hole is one in a wide plate: 3 in tension, 4 in pure shear (textbooks)."""
    assert risers.cross_hole("bending", mm(100), mm(1e-6)) == pytest.approx(3)
    assert risers.cross_hole("torsion", mm(100), mm(1e-6)) == pytest.approx(4)


@pytest.mark.parametrize(
    ("felt", "inside", "beyond"),
    [
        (lambda size: risers.keyseat("bending", mm(50), mm(size)), 1.0, 0.99),
        (lambda size: risers.cross_hole("torsion", mm(100), mm(size)), 30.0, 30.1),
        (lambda size: risers.cross_hole("bending", mm(100), mm(10), mm(size)), 80.0, 80.1),
        (lambda size: risers.hub_edge("bending", Quantity(size, "MPa")), 400.0, 399.0),
        (lambda size: risers.hub_edge("torsion", Quantity(size, "MPa")), 1200.0, 1201.0),
    ],
)
def test_the_ends_of_each_source_are_inside_it(felt, inside, beyond):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        felt(inside)
    with pytest.warns(OutOfRangeWarning, match="the source reaches from"):
        felt(beyond)


def test_cross_hole_of_a_tube_as_printed():
    """A calculator's printed example: 100 mm outside, 80 inside, hole radius 5: 2.85 and 3.76."""
    bent, twisted = (risers.cross_hole(load, mm(100), mm(10), mm(80)) for load in risers.LOADS)
    assert bent == pytest.approx(2.85, rel=0.003) and twisted == pytest.approx(3.76, rel=0.001)


@pytest.mark.parametrize(
    ("hole", "bent", "twisted"),
    [(0.1, 2.27 / 0.83, 2 * 1.68 / 0.92), (0.2, 2.07 / 0.68, 2 * 1.58 / 0.83)],
)
def test_cross_hole_of_a_bar_beside_another_table(hole, bent, twisted):
    """Shigley, table A-16, from memory: on the net section, so over its share A of the whole."""
    factors = [risers.cross_hole(load, mm(100), mm(100 * hole)) for load in risers.LOADS]
    assert factors == pytest.approx([bent, twisted], rel=0.02)


def test_hub_edge_beside_the_rounded_table():
    """The standard's table rounds to 1.8, 2.2, 2.7, 2.9 at 400, 600, 1000, 1200 MPa, from memory."""
    found = [risers.hub_edge("bending", mpa(size)) for size in (400, 600, 1000, 1200)]
    assert found == pytest.approx([1.8, 2.2, 2.7, 2.9], abs=0.05)


# places


def spots(crank):
    return {
        "keyseat": weak_spots.keyseat(crank, 0, mm(8)),
        "hole": weak_spots.cross_hole(crank, 0, mm(8), mm(3)),
        "hub": weak_spots.hub_edge(crank, 0, mm(8)),
        "step": weak_spots.step(crank, 0, mm(8), mm(18), mm(0.3)),
    }


def test_safety_of_a_spot_by_hand(pump):
    """Bending and torque at the spot by statics, times the factors, in Goodman's line."""
    crank, loads = pump
    for spot in spots(crank).values():
        result = strength.check_strength(crank, loads, looked_at=(*strength.places(crank), spot))
        found = next(one for one in result.sections if one.place == spot)
        _, moment = loads.internal(np.array([8.0, 0.0, 0.0]))
        size = spot.sizes[0]
        around = np.radians(np.arange(0, 360, 15))[:, None]
        bending = 32 / (np.pi * size**3) * spot.bending_factor
        bending = bending * (np.sin(around) * moment[1] - np.cos(around) * moment[2])
        shear = 16 / (np.pi * size**3) * moment[0] * spot.torsion_factor
        half, mean = (
            np.hypot(
                change(bending.max(axis=1), bending.min(axis=1)),
                np.sqrt(3) * change(shear.max(), shear.min()),
            )
            for change in (lambda a, b: (a - b) / 2, lambda a, b: (a + b) / 2)
        )
        ultimate = 630.0  # C45 in the table of steels
        limit = found.endurance_limit.m_as("MPa")
        assert found.safety == pytest.approx(1 / (half / limit + mean / ultimate).max(), rel=0.01)


def test_a_spot_can_be_the_weakest(pump):
    """With a keyseat where the torque passes, that and no fillet of the outer main counts."""
    crank, loads = pump
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        sharp = weak_spots.keyseat(crank, 0, mm(8), mm(0.01))
    result = strength.check_strength(crank, loads, looked_at=(*strength.places(crank), sharp))
    assert "keyseat" in str(result.weakest)


def test_worse_spots_are_never_better(pump):
    crank, _ = pump
    holes = [weak_spots.cross_hole(crank, 0, mm(8), mm(size)) for size in (0.5, 1, 2, 3, 5)]
    for name in ("bending_factor", "torsion_factor"):
        felt = [getattr(one, name) for one in holes]
        assert felt == sorted(felt)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        floors = [weak_spots.keyseat(crank, 0, mm(8), mm(size)) for size in (0.4, 0.2, 0.1, 0.05)]
    assert [one.bending_factor for one in floors] == sorted(one.bending_factor for one in floors)
    felt = [weak_spots.step(crank, 0, mm(8), mm(18), mm(r)).bending_factor for r in (2, 1, 0.5)]
    assert felt == sorted(felt)


def test_spots_that_cannot_be_are_refused():
    crank = Crank.load("pump")
    for call, words in (
        (lambda: weak_spots.keyseat(crank, 5, mm(8)), "main"),
        (lambda: weak_spots.keyseat(crank, 0, mm(70)), "position must lie on main 1"),
        (lambda: weak_spots.cross_hole(crank, 0, mm(8), mm(30)), "smaller than the main"),
        (lambda: weak_spots.step(crank, 0, mm(8), mm(30), mm(1)), "below that of the main"),
    ):
        with pytest.raises(ValueError, match=words):
            call()


def test_a_cross_hole_in_torsion_is_felt_as_its_tension():
    """A hole of 1 mm across 100 mm: 2.94 of bending and 3.94 of the shear as tension (the source's
    series), so 3.94/sqrt 3 after von Mises;
    Neuber's length sqrt a of 600 MPa by eq. 6-35 is 0.246 - 3.08e-3 87.02 + 1.51e-5 87.02^2 -
    2.67e-8 87.02^3 = 0.0747 sqrt in of bending, 0.0562 of torsion, beside 0.1403 of the hole's radius.
    """
    crank = Crank.load("pump")
    main = replace(crank.journals[0], diameter=mm(100), length=mm(60))
    throw = replace(crank.throws[0], web_width=mm(130), web_reach=mm(65))
    large = replace(crank, journals=(main, main), throws=(throw,))
    found = weak_spots.cross_hole(large, 0, mm(20), mm(1), mpa(600))
    bent, twisted = found.bending_factor, found.torsion_factor
    assert bent == pytest.approx(1 + 1.94 / (1 + 0.0747 / 0.1403), rel=0.01)
    assert twisted == pytest.approx(1 + (3.94 / 3**0.5 - 1) / (1 + 0.0562 / 0.1403), rel=0.01)
