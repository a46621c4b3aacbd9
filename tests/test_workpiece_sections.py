"""Closed sections beside shapely, and pieces with fillets beside hand sums."""

from itertools import pairwise
from math import cos, pi, sin

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, affinity

from crankmath.workpiece.cuts import Turn
from crankmath.workpiece.sections import disc, polygon
from crankmath.workpiece.work import Piece, Work

FINE = 1024  # corners of a shapely circle in a quarter turn: area within 1e-6
PLACE = st.floats(-1.5, 1.5)


@st.composite
def sections(draw):
    """A disc or turned rectangle of about unit size, cut by up to three discs, lines and polygons;
    with shapely's twin.
    """
    if draw(st.booleans()):
        middle, radius = (draw(PLACE), draw(PLACE)), draw(st.floats(0.5, 2))
        section, twin = disc(middle, radius), Point(middle).buffer(radius, quad_segs=FINE)
    else:
        corners = _rectangle(draw)
        section, twin = polygon(corners), Polygon(corners)
    for _ in range(draw(st.integers(0, 3))):
        kind = draw(st.sampled_from(("disc", "line", "polygon")))
        if kind == "disc":
            middle, radius = (draw(PLACE), draw(PLACE)), draw(st.floats(0.5, 3))
            new = section.inside_disc(middle, radius)
            twin = twin.intersection(Point(middle).buffer(radius, quad_segs=FINE))
        elif kind == "line":
            turn, offset = draw(st.floats(0, 6.2)), draw(st.floats(0, 1.5))
            new = section.below_line((cos(turn), sin(turn)), offset)
            half = Polygon([(-9, -9), (offset, -9), (offset, 9), (-9, 9)])
            twin = twin.intersection(affinity.rotate(half, turn, (0, 0), use_radians=True))
        else:
            corners = _rectangle(draw)
            new, twin = section.inside_polygon(corners), twin.intersection(Polygon(corners))
        assume(twin.area > 0.05)
        section = new
    return section, twin


def _rectangle(draw):
    turn, wide, high = draw(st.floats(0, 3)), draw(st.floats(0.4, 2)), draw(st.floats(0.4, 2))
    y, z = draw(PLACE), draw(PLACE)
    return [
        (y + a * cos(turn) - b * sin(turn), z + a * sin(turn) + b * cos(turn))
        for a, b in ((-wide, -high), (wide, -high), (wide, high), (-wide, high))
    ]


@settings(max_examples=80, deadline=None)
@given(sections(), PLACE, PLACE, st.floats(0.1, 3), st.floats(0, 3))
def test_against_shapely(both, y, z, radius, turn):
    section, twin = both
    axis, (ny, nz) = (y, z), (cos(turn), sin(turn))
    rim = list(twin.exterior.coords)
    assert section.area == pytest.approx(twin.area, rel=1e-5, abs=3e-6)
    assert section.centroid == pytest.approx(twin.centroid.coords[0], abs=1e-4)
    reach = max(((a - y) ** 2 + (b - z) ** 2) ** 0.5 for a, b in rim)
    assert section.reach(axis) == pytest.approx(reach, abs=2e-5)
    assert section.support((ny, nz)) == pytest.approx(
        max(ny * a + nz * b for a, b in rim), abs=2e-5
    )
    assert section.away(axis) == pytest.approx(twin.distance(Point(axis)), abs=2e-5)
    ring = twin.exterior.distance(Point(axis)) if twin.contains(Point(axis)) else 0.0
    assert section.whole_ring(axis) == pytest.approx(ring, abs=2e-5)
    line = LineString([(y - 20 * ny, z - 20 * nz), (y + 20 * ny, z + 20 * nz)])
    length = twin.intersection(line).length
    assert section.chord(axis, (ny, nz)) == pytest.approx(length, abs=5e-3)
    circle = Point(axis).buffer(radius, quad_segs=FINE).exterior
    share = twin.intersection(circle).length / circle.length
    rim_of_circle = min(abs(radius - twin.exterior.distance(Point(axis))), abs(radius - reach))
    assume(rim_of_circle > 1e-3)  # a circle that grazes is neither in nor out
    assert section.share(axis, radius) == pytest.approx(share, abs=1e-2)


@settings(max_examples=40, deadline=None)
@given(sections())
def test_second_moments_against_a_polygon_of_many_sides(both):
    """Shoelace sums of the second order over shapely's rim, about its centroid."""
    section, twin = both
    cy, cz = twin.centroid.coords[0]
    rim = [(a - cy, b - cz) for a, b in twin.exterior.coords]
    yy = zz = yz = 0.0
    for (y, z), (v, w) in pairwise(rim):
        cross = y * w - v * z
        yy += cross * (y * y + y * v + v * v) / 12
        zz += cross * (z * z + z * w + w * w) / 12
        yz += cross * (y * w + 2 * y * z + 2 * v * w + v * z) / 24
    sign = 1 if twin.exterior.is_ccw else -1
    wanted = tuple(sign * one for one in (yy, zz, yz))
    assert section.second_moments == pytest.approx(wanted, rel=1e-4, abs=2e-5)


def test_a_cut_that_takes_nothing_changes_nothing():
    section = disc((1.0, 2.0), 3.0)
    assert section.inside_disc((1.0, 2.0), 3.0) is section
    assert section.below_line((1.0, 0.0), 4.0) is section
    assert section.inside_polygon([(-2, -1), (4, -1), (4, 5), (-2, 5)]) is section
    assert section.below_line((1.0, 0.0), -2.1) is None
    assert section.inside_disc((9.0, 2.0), 4.0) is None


def test_metal_of_a_fillet_stays():
    """Bar Ø60, 40 long, turned to radius 10 with fillets of 4 and 0. The ring left has the section
    (1 - pi/4) 16, its middle (10 - 3 pi)/(12 - 3 pi) 4 beyond the round (Pappus).
    """
    work = Turn(10.0, 30.0, (0.0, 0.0), 10.0, (4.0, 0.0)).applied(
        Work((Piece(0.0, 40.0, disc((0.0, 0.0), 30.0)),))
    )
    away = 10 + (10 - 3 * pi) / (12 - 3 * pi) * 4
    ring = 2 * pi * away * (1 - pi / 4) * 16
    volume = 2 * 10 * pi * 900 + 20 * pi * 100 + ring
    assert work.volume() == pytest.approx(volume, rel=1e-7)
    # at half its radius from the wall the fillet stands 4 - sqrt(12) above the round
    assert work.at(12.0).reach((0.0, 0.0)) == pytest.approx(14 - 12**0.5)
    assert work.swing((0.0, 0.0), 15.0, 25.0) == 10.0
    assert work.reach_needed((5.0, 0.0), 10.0, 10.0, 30.0) == pytest.approx(25.0)
