"""Vee factors against a disc dropped into a vee, and a journal's way from centers to vees and back. Print is in published/."""

import numpy as np
import pytest

from crankmath.inspection import fit_runout, vee_blocks
from crankmath.units import Quantity


def deg(value):
    return Quantity(value, "deg")


def profile(angle, offset, toward, lobes):
    """Reading in um of a part off center and with lobes of (number, height, angle of a top)."""
    turn = np.radians(angle)
    return Quantity(
        offset * np.cos(turn - np.radians(toward))
        + sum(h * np.cos(n * (turn - np.radians(top))) for n, h, top in lobes),
        "um",
    )


def settled_reading(lobes, vee, turned, indicator=0.0, height=1e-4):
    """Reading over a vee by dropping a many-cornered disc into it: contact found by search, not by formula."""
    phi = np.linspace(0, 2 * np.pi, 40001)[:-1]
    radius = 1 + height * np.cos(lobes * (phi - turned))
    x, y = radius * np.cos(phi), radius * np.sin(phi)
    lean = np.pi / 2 - vee / 2
    normals = [
        np.array([np.cos(-np.pi / 2 + s * lean), np.sin(-np.pi / 2 + s * lean)]) for s in (-1, 1)
    ]  # out of the disc, into the flanks
    push = np.array(
        [max(normal[0] * x + normal[1] * y) for normal in normals]
    )  # support in each flank's direction
    shift = np.linalg.solve(
        np.array(normals), 1.0 - push
    )  # until both flanks are touched at their place
    toward = np.pi / 2 + indicator
    tip = np.interp(toward, phi, radius)
    return tip + shift @ [np.cos(toward), np.sin(toward)]


@pytest.mark.parametrize("vee", [60, 90, 108, 120])
@pytest.mark.parametrize("lobes", [2, 3, 4, 5, 7])
@pytest.mark.parametrize("indicator", [0, 30])
def test_vee_factor_against_a_disc_dropped_into_a_vee(lobes, vee, indicator):
    """Geometry by search; lobes of 1e-4 of the radius slide to touch beside the nominal point, a second-order error."""
    swing = [
        settled_reading(lobes, np.radians(vee), t, np.radians(indicator))
        for t in np.linspace(0, 2 * np.pi / lobes, 25)
    ]
    factor = vee_blocks.vee_factor(lobes, deg(vee), deg(indicator))
    assert np.ptp(swing) / 2e-4 == pytest.approx(factor, abs=0.02)


def test_a_vee_does_not_see_the_offset():
    assert vee_blocks.vee_factor(1, deg(75)) == pytest.approx(0, abs=1e-12)
    np.testing.assert_allclose(vee_blocks.vee_factor([3, 5], deg(60)), [3, 0], atol=1e-12)
    # the narrowest and the widest
    for good in (30, 170):
        assert vee_blocks.vee_factor(1, deg(good)) == pytest.approx(0, abs=1e-12)
    for bad in (deg(29.9), deg(170.1)):
        with pytest.raises(ValueError, match="^vee_angle"):
            vee_blocks.vee_factor(3, bad)
    with pytest.raises(ValueError, match="^lobes"):
        vee_blocks.vee_factor(2.5, deg(90))


def test_from_centers_to_vees_and_back():
    angles = np.arange(0, 360, 10.0)
    fit = fit_runout(deg(angles), profile(angles, 10, 40, [(3, 2.0, 15)]))
    assert vee_blocks.reading_on_vees(fit, deg(60)).m_as("um") == pytest.approx(
        2 * 3 * 2.0, rel=1e-3
    )
    on_vee = fit_runout(deg(angles), profile(angles, 0.01, 0, [(3, 6.0, 15), (5, 1e-3, 0)]))
    back = vee_blocks.form_from_vee(on_vee, deg(60))
    assert back[3].m_as("um") == pytest.approx(2.0)
    assert back[5] is None and back[2] is None


@pytest.mark.parametrize("vee", [60, 90, 120])
@pytest.mark.parametrize("lobes", [1, 2, 3, 5])
def test_a_part_at_rest_shows_the_factor_at_its_top(vee, lobes):
    """The same fact by two ways: shifted until both flanks are touched, and the factor with its sign."""
    turn = np.linspace(0, 2 * np.pi, 3601)
    rest = vee_blocks.outline_at_rest(Quantity(2.0 * np.cos(lobes * turn), "um"), deg(vee))
    assert rest[0].m_as("um") == pytest.approx(
        2.0 * vee_blocks.vee_factor(lobes, deg(vee), signed=True), abs=1e-9
    )
    for touch in (90 + vee / 2, 270 - vee / 2):
        assert np.interp(np.radians(touch), turn, rest.m_as("um")) == pytest.approx(0, abs=1e-5)


def test_signs_and_shapes_that_make_no_sense_are_refused():
    assert vee_blocks.vee_factor(3, deg(60), signed=True) == pytest.approx(
        3
    ) and vee_blocks.vee_factor(9, deg(90), signed=True) == pytest.approx(0, abs=1e-12)
    with pytest.raises(ValueError, match="^signed"):
        vee_blocks.vee_factor(3, deg(60), deg(10), signed=True)
    with pytest.raises(ValueError, match="^outline"):
        vee_blocks.outline_at_rest(Quantity([1.0, 2.0], "um"), deg(90))
    with pytest.raises(TypeError, match="^outline"):
        vee_blocks.outline_at_rest([1.0, 2.0, 3.0, 4.0], deg(90))
