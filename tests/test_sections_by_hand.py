"""Cross-sections of the work: half of a disk and blocks, by hand."""

from math import acos, hypot, pi

import pytest

from crankmath.workpiece.sections import Section, disc, polygon

HALF = disc((0.0, 0.0), 30.0).below_line((-1.0, 0.0), 0.0)  # of radius 30, on the side of y


def test_half_a_disk_by_its_formulas():
    """pi R^2/2, 4 R/3 pi from its side; pi R^4/8 about the middle, 0.10976 R^4 about its own."""
    assert HALF.area == pytest.approx(pi * 450)
    assert HALF.centroid == pytest.approx((40 / pi, 0))
    assert HALF.seconds == pytest.approx((pi * 30**4 / 8, pi * 30**4 / 8, 0), abs=1e-3)
    assert HALF.second_moments[0] == pytest.approx(0.10976 * 30**4, rel=1e-4)
    moved = Section(((5.0, 7.0, 30.0),), ((-1.0, 0.0, -5.0),))
    assert moved.centroid == pytest.approx((5 + 40 / pi, 7))
    assert moved.seconds[2] == pytest.approx(450 * pi * 7 * (5 + 40 / pi))
    assert moved.second_moments == pytest.approx(HALF.second_moments, abs=1e-6)


def test_how_far_half_a_disk_reaches():
    """From the left the round is farthest, from its own side a corner."""
    assert HALF.reach((0.0, 0.0)) == 30 and HALF.reach((-10.0, 0.0)) == 40
    assert HALF.reach((10.0, 0.0)) == pytest.approx(hypot(10, 30))
    assert HALF.reach((10.0, 5.0)) == pytest.approx(hypot(10, 35))
    assert HALF.reach((-3.0, -4.0)) == pytest.approx(35)
    assert HALF.reach((3.0, -4.0)) == pytest.approx(hypot(3, 34))
    for normal, far in (
        ((1, 0), 30),
        ((-1, 0), 0),
        ((0.6, 0.8), 30),
        ((-0.6, 0.8), 24),
        ((0, -1), 30),
    ):
        assert HALF.support(normal) == pytest.approx(far, abs=1e-9)


def test_rings_and_chords_of_half_a_disk():
    """About (10, 0): whole within 10; at 15 the side cuts where the cosine is -2/3, at 25 it does at
    -0.4 and the round at (900 - 100 - 625)/500 = 0.35.
    """
    assert [HALF.whole_ring((y, 0.0)) for y in (10.0, 20.0, 22.0, -1.0)] == [10, 10, 8, 0]
    shares = [HALF.share((10.0, 0.0), radius) for radius in (9.0, 15.0, 25.0, 41.0)]
    assert shares == pytest.approx([1, acos(-2 / 3) / pi, (acos(-0.4) - acos(0.35)) / pi, 0])
    assert HALF.share((0.0, 0.0), 20.0) == pytest.approx(0.5)
    assert HALF.chord((10.0, 0.0), (0.0, 1.0)) == pytest.approx(2 * 800**0.5)
    assert HALF.chord((10.0, 0.0), (1.0, 0.0)) == pytest.approx(30)
    assert HALF.chord((-1.0, 0.0), (0.0, 1.0)) == 0 and HALF.chord((31.0, 0.0), (0.0, 1.0)) == 0


def test_how_far_a_point_is_from_half_a_disk():
    points = {(3.0, 4.0): 0, (0.0, 30.0): 0, (-3.0, 4.0): 3, (40.0, 30.0): 20,
              (-3.0, 40.0): hypot(3, 10), (-4.0, -33.0): 5, (0.0, -40.0): 10}  # fmt: skip
    for point, away in points.items():
        assert HALF.away(point) == pytest.approx(away) and HALF.holds(point) is (away == 0)


def test_what_is_left_of_a_section():
    """Bounds that no longer touch it are forgotten; a cut that takes nothing changes nothing."""
    assert HALF.below_line((1.0, 0.0), 30.0) is HALF and HALF.inside_disc((0.0, 0.0), 30.0) is HALF
    assert HALF.below_line((1.0, 0.0), -1.0) is None
    small = HALF.inside_disc((15.0, 0.0), 10.0)
    assert small.discs == ((15.0, 0.0, 10.0),) and small.lines == ()
    corners = [(2.0, -3.0), (12.0, -3.0), (12.0, 3.0), (2.0, 3.0)]
    for around in (corners, corners[::-1]):
        block = HALF.inside_polygon(around)
        assert block.area == pytest.approx(60) and block.centroid == pytest.approx((7, 0))
        assert not block.discs and len(block.lines) == 4
        assert block.second_moments == pytest.approx((6 * 1000 / 12, 10 * 216 / 12, 0), abs=1e-6)
        assert polygon(around).inside(HALF).area == pytest.approx(60)
    assert HALF.inside_polygon([(-9, -1), (-5, -1), (-5, 1), (-9, 1)]) is None
