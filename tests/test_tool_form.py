"""Tool angles and clearance: against geometry done another way; bad input."""

import numpy as np
import pytest
from shapely import LineString, affinity, box

from crankmath.crank import crank, steels
from crankmath.cutting import rough_out, tool_form
from crankmath.units import Quantity

MM, DEG = Quantity(1.0, "mm"), Quantity(1.0, "deg")
PUMP = crank.Crank.load("pump")


@pytest.mark.parametrize("steel", steels.NAMES)
def test_every_steel_has_angles_with_a_source(steel):
    found = tool_form.tool_angles(steel)
    assert tuple(found) == tool_form.ANGLES
    assert all(0 < span.low <= span.high < 30 * DEG and span.source for span in found.values())


def test_unknown_steel_is_named():
    with pytest.raises(ValueError, match="^steel"):
        tool_form.tool_angles("oak")


@pytest.mark.parametrize("approach", [0.0, 30.0, 75.0, 90.0])
def test_rake_across_the_edge_from_the_plane(approach):
    """The face is a plane through two slopes; its fall along the normal of the edge is read off the plane itself."""
    back, side = 8.0, 14.0
    normal = np.cross([1, 0, np.tan(np.radians(side))], [0, 1, np.tan(np.radians(back))])
    across = np.array([np.sin(np.radians(approach)), np.cos(np.radians(approach))])
    fall = -(normal[:2] @ across) / normal[2]
    assert tool_form.rake_across_edge(back * DEG, side * DEG, approach * DEG).m_as(
        "deg"
    ) == pytest.approx(np.degrees(np.arctan(fall)))


def test_height_effect_by_the_radius():
    # half a millimeter on a radius of 9: the radius to the edge leans asin(0.5/9) = 3.185 deg
    assert tool_form.height_effect(0.5 * MM, 18 * MM).m_as("deg") == pytest.approx(3.185, abs=0.001)
    assert tool_form.height_effect(-0.5 * MM, 18 * MM).m_as("deg") == pytest.approx(
        -3.185, abs=0.001
    )


@pytest.mark.parametrize(("feed", "radius"), [(0.2, 9.0), (2.0, 9.0), (0.5, 35.0)])
def test_flank_gap_on_the_screw(feed, radius):
    """The face as a screw, the flank as a plane, both put into coordinates; the gap read between them."""
    below = np.linspace(0.01, 8.0, 40)
    turn = np.arctan2(below, np.sqrt(radius**2 - below**2))
    face = feed * turn / (2 * np.pi)
    flank = below * np.tan(np.radians(10))
    found = tool_form.flank_gap(10 * DEG, below * MM, feed * MM, radius * MM).m_as("mm")
    assert np.allclose(found, flank - face)
    # near the edge the face leans by f / 2 pi r: 10 deg less its arctangent is left, to a few thousandths
    near = np.radians(10) - np.arctan(feed / (2 * np.pi * radius))
    assert found[0] / below[0] == pytest.approx(np.tan(near), rel=0.02)


def test_a_coarse_feed_makes_the_heel_strike():
    assert tool_form.flank_gap(3 * DEG, 5 * MM, 4 * MM, 9 * MM).m_as("um") < 0


@pytest.mark.parametrize("name", crank.EXAMPLES)
def test_swing_about_each_axis(name):
    """Each web's outline turned into place with shapely; the farthest corner from each axis."""
    part = crank.Crank.load(name)
    outlines = []
    for throw in part.throws:
        reach, along, half = (
            value.m_as("mm") for value in (throw.web_reach, throw.radius, throw.web_width / 2)
        )
        outlines.append(
            affinity.rotate(
                box(-reach, -half, along + reach, half), throw.angle.m_as("deg"), origin=(0, 0)
            )
        )
    corners = np.concatenate([np.array(outline.exterior.coords) for outline in outlines])
    assert tool_form.web_swing(part).m_as("mm") == pytest.approx(
        np.linalg.norm(corners, axis=1).max()
    )
    assert tool_form.web_swing(part).m_as("mm") == pytest.approx(part.swing_radius.m_as("mm"))
    for index, throw in enumerate(part.throws):
        angle = throw.angle.m_as("rad")
        axis = throw.radius.m_as("mm") * np.array([np.cos(angle), np.sin(angle)])
        assert tool_form.web_swing(part, "pin", index).m_as("mm") == pytest.approx(
            np.linalg.norm(corners - axis, axis=1).max()
        )


@pytest.mark.parametrize("skew", [0.0, 2.0, -5.0])
def test_room_beside_a_leaning_blade(skew):
    """The blade drawn as a leaning rectangle up to the swing, the gap's walls as lines; least distance from shapely."""
    found = tool_form.blade_fit(PUMP, 4 * MM, 30 * MM, skew=skew * DEG)
    needed = found.reach_needed.m_as("mm")
    blade = affinity.rotate(box(-2, 0, 2, 60), skew, origin=(0, 0)).intersection(
        box(-50, -5, 50, needed)
    )
    room = min(blade.distance(LineString([(side * 11, -99), (side * 11, 99)])) for side in (-1, 1))
    assert found.side_room.m_as("mm") == pytest.approx(room, abs=1e-9)
    assert needed == pytest.approx(np.hypot(32, 14) - 9) and found.reach_room.m_as(
        "mm"
    ) == pytest.approx(30 - needed)


def test_blade_verdicts():
    good = tool_form.blade_fit(PUMP, 4 * MM, 30 * MM)
    assert good.clears and "to spare" in str(good) and "clears" in str(good)
    just = tool_form.blade_fit(PUMP, 4 * MM, 30 * MM, skew=good.most_skew)
    assert just.side_room.m_as("mm") == pytest.approx(0, abs=1e-9)
    leaning = tool_form.blade_fit(PUMP, 4 * MM, 20 * MM, skew=1.1 * good.most_skew)
    assert not leaning.clears and "too short" in str(leaning) and "fouls" in str(leaning)
    assert tool_form.blade_fit(PUMP, 4 * MM, 30 * MM, edge_width=20 * MM).side_room.m_as(
        "mm"
    ) == pytest.approx(1)


def test_a_blank_swings_farther_than_the_webs():
    pin = next(region for region in rough_out.regions(PUMP, 60 * MM) if region.kind == "pin")
    blank = tool_form.blade_fit(PUMP, 4 * MM, 30 * MM, bar_diameter=60 * MM, bar_offset=pin.offset)
    assert blank.reach_needed.m_as("mm") == pytest.approx(30 + 9 - 9)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: tool_form.web_swing(PUMP, "crank"), "^about"),
        (lambda: tool_form.web_swing(PUMP, "pin", 1), "^throw"),
        (
            lambda: tool_form.blade_fit(PUMP, 4 * MM, 30 * MM, bar_diameter=60 * MM),
            "^bar_diameter and bar_offset",
        ),
        (lambda: tool_form.blade_fit(PUMP, 23 * MM, 30 * MM), "^edge_width"),
        (lambda: tool_form.flank_gap(DEG, 9 * MM, MM, 8 * MM), "^depth_below"),
        (lambda: tool_form.height_effect(9 * MM, 18 * MM), "^height"),
    ],
)
def test_what_cannot_be_is_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()
