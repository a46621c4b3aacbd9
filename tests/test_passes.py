"""Passes by walking them, corners against shapely, bad input."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, box
from shapely.ops import unary_union

from crankmath.cutting import passes
from crankmath.units import OutOfRangeWarning, Quantity

FINE = 1024  # corners of a shapely circle in a quarter turn
MM = Quantity(1.0, "mm")


def disc(radius, center=(0, 0)):
    return Point(center).buffer(radius, quad_segs=FINE)


@given(st.floats(11, 80), st.floats(0.2, 4), st.integers(1, 4))
def test_passes_take_all_and_no_more(start, deepest, finishing):
    plan = passes.pass_plan(start * MM, 10 * MM, deepest * MM, 0.25 * MM, finishing)
    path = np.concatenate([[start], plan.roughing.m_as("mm"), plan.finishing.m_as("mm")])
    depths = -np.diff(path) / 2
    assert path[-1] == pytest.approx(10) and np.all(depths > 0) and plan.passes == len(depths)
    rough = depths[: plan.roughing.size]
    assert np.allclose(rough, plan.rough_depth.m_as("mm")) and np.all(rough <= deepest * (1 + 1e-9))
    assert np.allclose(depths[plan.roughing.size :], 0.25 / finishing)


def test_little_stock_goes_in_finishing_passes():
    with pytest.warns(OutOfRangeWarning, match="finish_allowance"):
        plan = passes.pass_plan(10.4 * MM, 10 * MM, MM, 0.25 * MM)
    assert plan.roughing.size == 0 and plan.finish_depth.m_as("mm") == pytest.approx(0.2)


def test_corner_stops_stay_off_the_fillet():
    """Every square corner left at a stop lies just the allowance from the finished fillet, measured with shapely."""
    fillet, allowance, heights = 1.5, 0.3, np.array([0.3, 0.6, 1.0, 1.4, 1.5, 3.0])
    stops = passes.corner_stops(heights * MM, fillet * MM, allowance * MM).m_as("mm")
    metal = unary_union(
        [
            box(-9, -9, 9, 0),
            box(-9, -9, 0, 9),
            box(0, 0, fillet, fillet).difference(disc(fillet, (fillet, fillet))),
        ]
    )
    gaps = [metal.distance(Point(x, y)) for x, y in zip(stops, heights, strict=True)]
    assert np.allclose(gaps, allowance, atol=1e-6)


@pytest.mark.parametrize(
    ("nose", "spoiled"), [(0.8, False), (0.4, True), (0.0, True), (1.5, False)]
)
def test_corner_stock_against_shapely(nose, spoiled):
    fillet, allowance, wide = 1.5, 0.3, 1.8
    corner = lambda radius, inset: unary_union(
        [  # noqa: E731
            box(0, 0, wide, inset),
            box(0, 0, inset, wide),
            box(inset, inset, inset + radius, inset + radius).difference(
                disc(radius, (inset + radius, inset + radius))
            )
            if radius
            else box(0, 0, 0, 0),
        ]
    )
    if spoiled:
        with pytest.warns(OutOfRangeWarning, match="cuts into the fillet"):
            found = passes.corner_stock(fillet * MM, nose * MM, allowance * MM)
    else:
        found = passes.corner_stock(fillet * MM, nose * MM, allowance * MM)
    finished, roughed = corner(fillet, 0), corner(nose, allowance)
    assert (
        finished.difference(roughed.buffer(1e-6)).area > 1e-4
        if spoiled
        else finished.difference(roughed.buffer(1e-6)).area < 1e-4
    )
    assert found.area.m_as("mm**2") == pytest.approx(roughed.area - finished.area, abs=1e-5)
    if not spoiled:
        middle = np.array([1, 1]) * (fillet - fillet / np.sqrt(2))
        ray = LineString([middle, middle + 1.0])
        assert found.middle.m_as("mm") == pytest.approx(ray.intersection(roughed).length, abs=1e-5)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: passes.pass_plan(MM, MM, MM, MM), "^start_diameter"),
        (lambda: passes.pass_plan(9 * MM, MM, 1e-9 * MM, 0.1 * MM), "^rough_depth"),
        (lambda: passes.pass_plan(9 * MM, MM, MM, 0.1 * MM, 10**9), "finish_passes"),
        (lambda: passes.pass_plan(2 * MM, MM, MM, MM, 1.5), "^finish_passes"),
        (lambda: passes.corner_stops(MM, MM, MM), "^allowance"),
        (lambda: passes.corner_stops(0.1 * MM, MM, 0.2 * MM), "^height"),
    ],
)
def test_what_cannot_be_is_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()
