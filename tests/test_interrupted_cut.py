"""Shares of a turn against counting points around the circle; the front of a web drawn point by point; bad input."""

import numpy as np
import pytest
from shapely import affinity, box, contains_xy

from crankmath.crank import crank
from crankmath.cutting import interrupted_cut
from crankmath.units import Quantity

MM = Quantity(1.0, "mm")
PUMP = crank.Crank.load("pump")


@pytest.mark.parametrize("radius", [5.0, 22.0, 30.0, 37.0, 45.0])
def test_share_of_a_turn_in_an_eccentric_bar(radius):
    angle = np.linspace(0, 2 * np.pi, 200001)[:-1]
    inside = np.hypot(radius * np.cos(angle) - 9, radius * np.sin(angle)) <= 30
    assert interrupted_cut.bar_share(radius * MM, 60 * MM, 9 * MM) == pytest.approx(
        inside.mean(), abs=2e-5
    )
    assert interrupted_cut.bar_share(radius * MM, 60 * MM, 0 * MM) == (
        1 if radius < 30 else 0.5 if radius == 30 else 0
    )


def test_share_of_a_turn_a_little_off_the_axis():
    """Half a millimeter: (19.9^2 + 0.5^2 - 20^2) / (2 19.9 0.5) = -0.18794, so 0.5602 of a turn."""
    assert interrupted_cut.bar_share(19.9 * MM, 40 * MM, 0.5 * MM) == pytest.approx(
        0.5602, abs=1e-4
    )


@pytest.mark.parametrize("about", ["main", "pin"])
@pytest.mark.parametrize("name", crank.EXAMPLES)
def test_share_of_a_turn_in_a_web(name, about):
    """The web's rectangle in shapely, turned with its throw; points of the circle counted."""
    part = crank.Crank.load(name)
    for index, throw in enumerate(part.throws):
        reach, along, half = (
            value.m_as("mm") for value in (throw.web_reach, throw.radius, throw.web_width / 2)
        )
        web = affinity.rotate(
            box(-reach, -half, along + reach, half), throw.angle.m_as("deg") + 90, origin=(0, 0)
        )
        turn = throw.angle.m_as("rad") + np.pi / 2
        axis = along * np.array([np.cos(turn), np.sin(turn)]) * (about == "pin")
        angle = np.linspace(0, 2 * np.pi, 40001)[:-1]
        radii = np.array(
            [
                0.5 * half,
                1.05 * half,
                reach + 0.4 * along,
                along + 0.9 * reach,
                along + 1.02 * reach,
                2 * (along + reach),
            ]
        )
        counted = [
            contains_xy(web, axis[0] + r * np.cos(angle), axis[1] + r * np.sin(angle)).mean()
            for r in radii
        ]
        assert interrupted_cut.web_share(part, radii * MM, index, about) == pytest.approx(
            counted, abs=2e-4
        )


def test_a_web_short_of_its_end_is_a_bar_with_flat_sides():
    # pump about the main axis at 30 mm: beyond the near end (14), inside the far one (32): one end of
    # 28 wide takes arcsin(14/30)/pi of a turn
    assert interrupted_cut.web_share(PUMP, 30 * MM) == pytest.approx(np.arcsin(14 / 30) / np.pi)
    # at 33 the far end's corners only: what lies beyond 32 is taken out of that
    assert interrupted_cut.web_share(PUMP, 33 * MM) == pytest.approx(
        np.arcsin(14 / 33) / np.pi - np.arccos(32 / 33) / np.pi
    )


@pytest.mark.parametrize("radius", [15.0, 25.0, 34.0])
def test_front_angle_from_the_side_itself(radius):
    """Two points of the flat side a hair apart, turned until each meets the tool's face: how far one leads the other."""
    half, step = 14.0, 1e-4
    lead = [np.arcsin(half / r) for r in (radius, radius + step)]
    slope = radius * (lead[0] - lead[1]) / step
    found = interrupted_cut.front_angle(2 * half * MM, radius * MM)
    assert np.tan(found.m_as("rad")) == pytest.approx(slope, rel=1e-3)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: interrupted_cut.front_angle(50 * MM, 20 * MM), "^web_width is wider"),
        (lambda: interrupted_cut.web_share(PUMP, 20 * MM, 1), "^throw"),
        (lambda: interrupted_cut.web_share(PUMP, 20 * MM, about="web"), "^about"),
    ],
)
def test_what_cannot_be_is_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()
