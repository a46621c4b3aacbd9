"""Seats of bearings: rules that hold between them, bad input. Table values are in published/."""

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankmath import fits
from crankmath.fits import bearing_seats, press_fits
from crankmath.units import Quantity


def mm(value):
    return Quantity(value, "mm")


def test_bearing_on_its_shaft_is_tighter_than_a_hole_of_the_standard():
    """A ring's bore lies below nominal where an H hole lies above."""
    bearing, hole = bearing_seats.bearing_fit(mm(20), "k6"), fits.fit(mm(20), "H6", "k6")
    assert bearing.kind == "interference" and hole.kind == "transition"
    assert bearing_seats.bearing_fit(mm(42), "H7").kind == "clearance"
    low, high = bearing_seats.bearing_clearance(mm(20), Quantity(10, "um"))
    assert (low.m_as("um"), high.m_as("um")) == (5 - 8, 20 - 8)
    loose = bearing_seats.bearing_clearance(mm(20), Quantity(10, "um"), "C3")
    assert loose[0] > low and loose[1] > high
    for call in (
        lambda: bearing_seats.bearing_clearance(mm(20), Quantity(1, "um"), "C9"),
        lambda: bearing_seats.bearing_clearance(mm(500), Quantity(1, "um")),
    ):
        with pytest.raises(ValueError, match="^(group|bore)"):
            call()


@given(st.floats(2, 100), st.sampled_from(["turning", "rocking", "crank pin", "hot or dirty"]))
def test_running_clearances_are_ordered_and_sane(diameter, duty):
    low, high = bearing_seats.running_clearance(mm(diameter), duty)
    assert 0.01 <= low.m_as("mm") <= high.m_as("mm") <= max(0.004 * diameter, 0.06)


def test_running_clearance_arrays_and_bad_duty():
    low, _ = bearing_seats.running_clearance(Quantity([0.5, 0.75], "in"))
    assert low.shape == (2,)
    with pytest.raises(ValueError, match="^duty must be one of"):
        bearing_seats.running_clearance(mm(20), "flying")


def test_bushing_closes_as_it_is_pressed():
    largest, smallest = bearing_seats.bushing_bore(
        Quantity(0.75, "in"), Quantity(1.5, "thousandth")
    )
    assert smallest.m_as("in") == pytest.approx(0.7485) and smallest < largest < Quantity(
        0.75, "in"
    )


@pytest.mark.parametrize(
    ("bad", "kind"),
    [
        (20, TypeError),
        (Quantity(1, "kg"), pint.DimensionalityError),
        (mm(0), ValueError),
        (mm(300), ValueError),
    ],
)
def test_bad_sizes_are_named(bad, kind):
    with pytest.raises(kind, match="^size"):
        bearing_seats.bearing_fit(bad, "k6")


def test_ball_bearings_are_ordered_and_sane():
    """Every row: the ring has a wall, the corner fits into it, the fillet it clears is not larger than the corner, the bore code 04 and up is a fifth of the bore."""
    for one in bearing_seats.ball_bearings():
        assert one.bore < one.raceway < one.outside
        assert one.largest_fillet <= one.corner < (one.outside - one.bore) / 8
        assert one.source
        if one.series != "inch" and one.bore.m_as("mm") >= 20:
            assert int(one.name[-2:]) * 5 == one.bore.m_as("mm")
    assert len({one.name for one in bearing_seats.ball_bearings()}) == len(
        bearing_seats.ball_bearings()
    )


def test_bearings_are_found_by_their_bore():
    assert [one.name for one in bearing_seats.bearings_for(mm(20))] == ["6004", "6204"]
    assert [one.name for one in bearing_seats.bearings_for(Quantity(0.75, "in"))] == ["R12"]
    assert bearing_seats.bearings_for(mm(16)) == ()
    assert [bore.m_as("mm") for bore in bearing_seats.nearest_bores(mm(16))] == [15.875, 17]
    assert (
        bearing_seats.nearest_bores(mm(5))[0] is None
        and bearing_seats.nearest_bores(mm(60))[1] is None
    )


def test_a_corner_clears_the_fillet_of_its_row():
    """ISO 582 as catalogs copy it: a corner of 1.1 mm clears 1 mm; R8's 1/64 in clears as much."""
    for corner, fillet in ((1.1, 1.0), (0.4064, 0.4064), (1.5, 1.5)):
        assert bearing_seats.cleared_fillet(mm(corner)).m_as("mm") == fillet
        assert bearing_seats.clears(mm(fillet), mm(corner))
        assert not bearing_seats.clears(mm(fillet * 1.001), mm(corner))
    with pytest.raises(ValueError, match="not a standard bearing corner"):
        bearing_seats.clears(mm(1), mm(1.7))


def test_a_ring_stops_where_its_corner_meets_the_fillet():
    """By drawing: circles of the corner and of the fillet, slid together until they touch; found by bisection on their outlines."""
    fillet, corner = 1.5, 1.0
    arc = np.linspace(0, np.pi / 2, 2001)
    x, y = (
        corner - corner * np.sin(arc),
        corner - corner * np.cos(arc),
    )  # the ring's corner: bore at y = 0, face at x = 0

    def fouls(gap):
        inside = (x + gap < fillet) & (
            y < fillet
        )  # in the corner's zone the free space is within the fillet's circle
        return np.any(np.hypot(x + gap - fillet, y - fillet)[inside] > fillet + 1e-9)

    low, high = 0.0, 2.0
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if fouls(middle) else (low, middle)
    assert bearing_seats.stand_off(mm(fillet), mm(corner)).m_as("mm") == pytest.approx(
        high, abs=1e-3
    )
    assert bearing_seats.stand_off(mm(0.8), mm(1.0)).m_as("mm") == 0
    with pytest.raises(TypeError, match="^fillet"):
        bearing_seats.stand_off(1.5, mm(1.0))


@pytest.mark.parametrize("one", bearing_seats.ball_bearings(), ids=lambda one: one.name)
def test_raceway_widens_by_bore_over_raceway(one):
    """Thick rings: a solid shaft pressed in widens the ring's outside by d/F of the interference. Second route: Lame's displacements."""
    d, f, tight, modulus = one.bore.m_as("mm"), one.raceway.m_as("mm"), 0.01, 206e3
    pressure = press_fits.press_fit(one.bore, one.raceway, one.width, mm(tight)).pressure.m_as(
        "MPa"
    )
    widened = 2 * pressure * d**2 * f / (modulus * (f**2 - d**2))
    assert widened / tight == pytest.approx(d / f, rel=1e-9)
    lost = (
        bearing_seats.bearing_clearance(one.bore, mm(0), "CN")[0]
        - bearing_seats.bearing_clearance(one.bore, mm(tight), "CN", share=d / f)[0]
    )
    assert lost.m_as("um") == pytest.approx(widened * 1000)


def test_clearance_in_inches():
    low, high = bearing_seats.bearing_clearance(Quantity(0.75, "in"), Quantity(0.2, "thousandth"))
    assert str(low.units) == "thousandth"
    assert low.m_as("um") == pytest.approx(5 - 0.8 * 5.08) and high.m_as("um") == pytest.approx(
        20 - 0.8 * 5.08
    )
