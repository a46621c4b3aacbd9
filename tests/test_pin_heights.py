"""Throw, phase and parallelism from heights over pins: hand sums, a skew pin placed in space, bad input."""

import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankmath.inspection import pin_heights
from crankmath.units import OutOfRangeWarning, Quantity


def mm(value):
    return Quantity(value, "mm")


def deg(value):
    return Quantity(value, "deg")


def test_throw_from_heights():
    """Center at 90, throw 18, pin 18: over the pin at top 117, at bottom 81; under it at bottom 63."""
    assert pin_heights.throw_from_heights(mm(117), mm(81)).m_as("mm") == pytest.approx(18)
    assert pin_heights.throw_from_heights(mm(117), mm(63), pin_diameter=mm(18)).m_as(
        "mm"
    ) == pytest.approx(18)
    warm = pin_heights.throw_from_heights(
        mm(117),
        mm(81),
        rise=Quantity(10, "delta_degC"),
        expansion=Quantity(11.5e-6, "1/delta_degC"),
    )
    assert (mm(18) - warm).m_as("um") == pytest.approx(18000 * 11.5e-5, rel=1e-3)
    for wrong in (
        lambda: pin_heights.throw_from_heights(mm(81), mm(117)),
        lambda: pin_heights.throw_from_heights(mm(117), mm(81), rise=Quantity(1, "delta_degC")),
    ):
        with pytest.raises(ValueError, match="^(top|rise)"):
            wrong()


@given(st.floats(-40, 40), st.sampled_from([0, 60, 120, 180, 240, 300]), st.floats(-3, 3))
def test_phase_comes_back(start, nominal, error):
    true = nominal + error
    heights = [18 * np.sin(np.radians(start)), 16 * np.sin(np.radians(start + true))]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        found = pin_heights.phase_between(
            mm(heights[0]), mm(18), mm(heights[1]), mm(16), deg(nominal)
        )
    upright = min(abs((start + true - place + 180) % 360 - 180) for place in (90, 270))
    if upright > 5:
        assert found.m_as("deg") == pytest.approx(true, abs=1e-6)


def test_phase_warns_near_upright_and_refuses_the_impossible():
    with pytest.warns(OutOfRangeWarning, match="^second_height"):
        pin_heights.phase_between(mm(0), mm(18), mm(17.9), mm(18), deg(90))
    with pytest.raises(ValueError, match="^second_height is larger"):
        pin_heights.phase_between(mm(0), mm(18), mm(19), mm(18), deg(90))


def test_parallelism_of_a_skew_pin_in_three_dimensions():
    """Heights from a pin's axis placed and turned in space; table out of level, pin tapered: both cancel."""
    distance, throw, bend, across, table, taper = 20.0, 18.0, 2e-4, -3e-4, 5e-4, 0.004

    def heights(turned):
        ends = []
        for along, radius in ((0.0, 9.0), (distance, 9.0 + taper)):
            local = np.array(
                [throw + bend * along, across * along]
            )  # in the throw's plane, across it
            up = local[0] * np.sin(turned) + local[1] * np.cos(turned)
            ends.append(90 + up + radius + table * along)
        return mm(ends)

    found = pin_heights.pin_parallelism(
        *(heights(np.radians(angle)) for angle in (90, 270, 0, 180)), mm(distance), mm(throw)
    )
    assert found.bend == pytest.approx(bend)
    assert found.across == pytest.approx(across)
    assert found.twist.m_as("rad") == pytest.approx(across * distance / throw)
    assert found.setup == pytest.approx((table + taper / distance,) * 2)
    assert found.over(mm(100)).m_as("mm") == pytest.approx(100 * np.hypot(bend, across))
    with pytest.raises(ValueError, match="^back needs two heights"):
        pin_heights.pin_parallelism(
            mm([1, 2]), mm([1, 2]), mm([1, 2]), mm([1, 2, 3]), mm(20), mm(18)
        )


def test_budget_of_a_throw_by_hand():
    """Half of each height: s / root n, 30 um gauge twice, 5 um plate, all over root three; 18 mm x 11.5e-6 x 2 deg over root three."""
    tops, bottoms = np.array([117.01, 117.03, 117.02, 117.02]), np.array([80.99, 80.97, 80.98])
    found = pin_heights.throw_budget(mm(tops), mm(bottoms))
    assert found.value.m_as("mm") == pytest.approx((117.02 - 80.98) / 2)
    hand = {
        "top": tops.std(ddof=1) * 1e3 / 2 / 2,
        "bottom": 10 / np.sqrt(3) / 2,
        "gauge_at_top": 15 / np.sqrt(3),
        "gauge_at_bottom": 15 / np.sqrt(3),
        "plate": 2.5 / np.sqrt(3),
        "rise": 18020 * 11.5e-6 * 2 / np.sqrt(3),
    }
    for name, size in hand.items():
        assert found.components[name].m_as("um") == pytest.approx(size, rel=1e-3), name
    assert found.standard.m_as("um") == pytest.approx(
        np.sqrt(sum(size**2 for size in hand.values())), rel=1e-4
    )
    inch = pin_heights.throw_budget(mm(tops).to("in"), mm(bottoms).to("in"))
    assert inch.value.units == Quantity(1, "in").units and inch.expanded.m_as(
        "um"
    ) == pytest.approx(found.expanded.m_as("um"), rel=1e-4)


def test_a_budget_of_single_heights_is_refused():
    with pytest.raises(ValueError, match="^bottom: measure two"):
        pin_heights.throw_budget(mm([117.0, 117.1]), mm(81.0))
    with pytest.raises(ValueError, match="^tool must be one of"):
        pin_heights.throw_budget(mm([117.0, 117.1]), mm([81.0, 81.1]), gauge="ruler")
    with pytest.raises(TypeError, match="^top"):
        pin_heights.throw_budget([117.0, 117.1], mm([81.0, 81.1]))
