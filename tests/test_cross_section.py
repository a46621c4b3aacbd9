"""Sections against shapely: areas, farthest points, rings, chords, arcs of a circle."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon

from crankmath.blank import bar, cross_section
from crankmath.crank import crank
from crankmath.units import Quantity
from crankmath.workpiece.sections import polygon

FINE = 1024  # corners of a shapely circle in a quarter turn: area within 1e-6
PLACE = st.floats(-1.5, 1.5)


def shape(section):
    """The same in shapely."""
    return Polygon(section.corners).intersection(
        Point(section.middle).buffer(section.radius, quad_segs=FINE)
    )


@st.composite
def sections(draw):
    """A disc or a turned rectangle of about unit size, cut by up to two lines."""
    if draw(st.booleans()):
        section = cross_section.disc([draw(PLACE), draw(PLACE)], draw(st.floats(0.5, 2)))
    else:
        turn, half = (
            draw(st.floats(0, 3)),
            np.array([draw(st.floats(0.3, 1.5)), draw(st.floats(0.3, 1.5))]),
        )
        axes = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        section = cross_section.polygon(
            [draw(PLACE), draw(PLACE)]
            + np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half @ axes
        )
    for _ in range(draw(st.integers(0, 2))):
        turn = draw(st.floats(0, 6.2))
        away = np.array([np.cos(turn), np.sin(turn)])
        section = cross_section.cut(section, section.middle + draw(st.floats(0.05, 1)) * away, away)
    return section


@settings(max_examples=60, deadline=None)
@given(sections(), PLACE, PLACE, st.floats(0.1, 3), st.floats(0, 3))
def test_against_shapely(section, x, y, radius, turn):
    solid, axis = shape(section), np.array([x, y])
    assume(
        abs(np.hypot(*(axis - section.middle))) + abs(radius - section.radius) > 1e-3
    )  # a circle on the rim is neither in nor out
    outline = np.array(solid.exterior.coords)
    assert cross_section.area(section) == pytest.approx(solid.area, rel=1e-5)
    assert cross_section.reach(section, axis) == pytest.approx(
        np.linalg.norm(outline - axis, axis=1).max(), rel=1e-5
    )
    ring = solid.exterior.distance(Point(axis)) if solid.contains(Point(axis)) else 0.0
    assert cross_section.whole_ring(section, axis) == pytest.approx(ring, abs=2e-5)
    direction = np.array([np.cos(turn), np.sin(turn)])
    line = LineString([axis - 20 * direction, axis + 20 * direction])
    assert cross_section.chord(section, axis, direction) == pytest.approx(
        line.intersection(solid).length, abs=1e-2
    )
    around = np.linspace(0, 2 * np.pi, 20001)[:-1]
    inside = cross_section.holds(
        section, axis + radius * np.column_stack([np.cos(around), np.sin(around)])
    )
    assert cross_section.share(section, axis, [radius, radius])[1] == pytest.approx(
        inside.mean(), abs=5e-4
    )


def test_arcs_counted_on_paper():
    # a square of side 2 about the axis, circle of 1.2: four corners stand in, each from arccos(1/1.2) = 33.56 deg to 56.44 deg
    square = polygon([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    arcs = np.degrees(square.in_metal((0.0, 0.0), 1.2))
    assert (
        len(arcs) == 4
        and np.allclose(np.sort(arcs[:, 0] % 90), 33.557, atol=0.001)
        and np.allclose(np.ptp(arcs, axis=1), 22.885, atol=0.001)
    )
    assert [len(square.in_metal((0.0, 0.0), radius)) for radius in (0.9, 1.2, 1.5)] == [
        1,
        4,
        0,
    ]


@pytest.mark.parametrize("form", bar.SHAPES)
@pytest.mark.parametrize("name", crank.EXAMPLES)
def test_bars_hold_their_cranks(name, form):
    """The smallest bar of every shape, no allowance: area by hand from its sizes, and the webs just inside."""
    part = crank.Crank.load(name)
    found = bar.smallest_bar(part, form, Quantity(0, "mm"), straightness=Quantity(0, "mm/m"))
    section = cross_section.of_bar(found)
    wide, high = found.width.m_as("mm"), found.height.m_as("mm")
    assert cross_section.area(section) == pytest.approx(
        np.pi * wide**2 / 4 if form == "round" else wide * high
    )
    corners = bar.web_corners(part).m_as("mm")
    assert cross_section.holds(section, corners, 1e-6).all()
    assert not cross_section.holds(
        section, section.middle + 1.01 * (corners - section.middle), 1e-6
    ).all()


def test_corners_may_run_either_way():
    corners = np.array([[0, 0], [2, 0], [2, 1], [0, 1]])
    for way in (corners, corners[::-1]):
        assert cross_section.area(cross_section.polygon(way)) == pytest.approx(2)
        assert cross_section.whole_ring(cross_section.polygon(way), [1.0, 0.4]) == pytest.approx(
            0.4
        )


def test_nothing_left_is_said():
    with pytest.raises(ValueError, match="nothing is left"):
        cross_section.cut(cross_section.disc([0, 0], 1.0), [-3, 0], [1, 0])
