"""Where pictures put the numbers they are given: each place by hand, from round numbers."""

import numpy as np
import pytest
from helpers import words_stand_apart

from crankbook.pictures import scene
from crankbook.pictures.proving import balance_picture, fit_zones
from crankbook.pictures.scene import BLUE, GRAY, GREEN, PURPLE, RUST
from crankbook.pictures.turning import roughing


def notes(items, axes=0):
    return {one.text: one for one in items if one.kind == "text" and one.axes == axes}


def lines(items, **looks):
    return [
        one
        for one in items
        if one.kind == "line" and all(getattr(one, key) == value for key, value in looks.items())
    ]


def box(curve):
    """(left, right, low, high) of a closed outline."""
    assert curve.points()[0] == pytest.approx(curve.points()[-1])
    assert len({tuple(place) for place in curve.points().round(9)}) == 4
    return curve.x.min(), curve.x.max(), curve.y.min(), curve.y.max()


# lesson 13: zones


def test_zones_of_a_clearance_fit():
    """20 H7/f7 by ISO 286-2: hole 0 to +21, shaft -41 to -20: clearance from 20 to 62; the chart reaches 100."""
    now = np.array([21.0, 0.0, -20.0, -41.0])
    drawn, full = fit_zones.zone_items(now, now, "µm", ("bore H7", "main f7"))
    assert full == 100, "15 % room above the largest"
    hole, shaft, fit = lines(drawn)
    middles = [(one.x.min() + one.x.max()) / 2 for one in (hole, shaft, fit)]
    assert box(hole)[2:] == pytest.approx((0.0, 0.21)) and hole.color == BLUE and hole.fill
    assert box(shaft)[2:] == pytest.approx((-0.41, -0.20)) and shaft.color == RUST and shaft.fill
    assert box(fit)[2:] == pytest.approx((0.20, 0.62)) and fit.color == GREEN and fit.fill
    assert {round(np.ptp(one.x), 6) for one in (hole, shaft, fit)} == {0.44}, "all as wide"
    assert np.diff(middles) == pytest.approx([1, 1])
    said = notes(drawn)
    assert {"bore H7", "main f7", "+21", "−20", "−41", "clearance 62", "clearance 20"} < set(said)
    for words, middle in (("bore H7", 0), ("+21", 0), ("main f7", 1), ("−20", 1), ("−41", 1)):
        assert said[words].x == pytest.approx(middles[middle]) and said[words].anchor == "middle"
    for words in ("clearance 62", "clearance 20"):
        assert said[words].x == pytest.approx(middles[2]) and said[words].color == GREEN
    assert said["bore H7"].color == said["+21"].color == BLUE
    assert said["main f7"].color == said["−20"].color == RUST
    # a text stands above its place: upper ends carry theirs, lower ones have it below; the zero line stays clear
    below = 0.13
    assert said["+21"].y == pytest.approx(0.21) and said["clearance 62"].y == pytest.approx(0.62)
    assert said["−20"].y == pytest.approx(-0.20), "farther below zero than a text is high"
    assert said["−41"].y == pytest.approx(-0.41 - below)
    assert said["clearance 20"].y == pytest.approx(0.20 - below)
    zeros = [one for one in drawn if one.kind == "text" and one.text == "0"]
    assert [one.y for one in zeros] == pytest.approx([-below])
    for mark in (-100, -50, 50, 100):
        scale = said[f"{mark:+d}".replace("-", "−")]
        assert scale.y == pytest.approx(mark / 100 - 0.03) and scale.anchor == "end"
    assert said["0 µm"].y == pytest.approx(-0.03) and said["0 µm"].x < box(hole)[0]


def test_zones_that_overlap_and_near_the_zero_line():
    """20 H7/k6: hole 0 to +21, shaft +2 to +15: from 19 loose to 15 tight; +2 of 50 would run over the line."""
    now = np.array([21.0, 0.0, 15.0, 2.0])
    drawn, full = fit_zones.zone_items(now, now, "µm", ("bore H7", "main k6"))
    assert full == 50
    *_, loose, tight = lines(drawn)
    assert (loose.color, tight.color) == (GREEN, PURPLE)
    assert box(loose)[2:] == pytest.approx((0, 19 / 50))
    assert box(tight)[2:] == pytest.approx((-15 / 50, 0))
    said = notes(drawn)
    assert said["+2"].y == pytest.approx(-0.13), "below the line, not on it"
    assert (said["clearance 19"].color, said["interference 15"].color) == (GREEN, PURPLE)
    assert said["interference 15"].y == pytest.approx(-0.3 - 0.13)
    # an upper end just below zero has its words on the line: hole -3 to -15 of 20
    drawn, full = fit_zones.zone_items(np.array([-3.0, -15.0, 2.0, -2.0]), now, "µm", ("a", "b"))
    assert (
        full == 50 and notes(drawn)["−3"].y == 0 and notes(drawn)["−15"].y == pytest.approx(-0.43)
    )


def test_a_fit_that_just_touches_is_neither_loose_nor_tight():
    """Hole +10 to 0, shaft 0 to -8: loosest 18, tightest nothing; then hole 0 to -10 over a shaft of 8 to 0."""
    drawn, full = fit_zones.zone_items(np.array([10.0, 0, 0, -8]), np.zeros(4), "µm", ("a", "b"))
    said = notes(drawn)
    assert full == 50 and "touching 0" in said and said["touching 0"].color == GRAY
    assert [one.color for one in lines(drawn)[-2:]] == [GRAY, GREEN], "the cold hole, the fit"
    drawn, _ = fit_zones.zone_items(np.array([0.0, -10, 8, 0]), np.zeros(4), "µm", ("a", "b"))
    said = notes(drawn)
    assert "touching 0" in said and "interference 18" in said
    assert [one.color for one in lines(drawn)[-2:]] == [GRAY, PURPLE]


def test_a_warm_hole_leaves_its_cold_outline():
    """Cold 0 to +21, warm +18 to +39: the cold bar dashed, without filling, in the hole's column."""
    now, cold = np.array([39.0, 18.0, 15.0, 2.0]), np.array([21.0, 0.0, 15.0, 2.0])
    drawn, full = fit_zones.zone_items(now, cold, "µm", ("a", "b"))
    hole, _, dashed, *_ = lines(drawn)
    assert dashed.dash and not dashed.fill and not hole.dash
    assert box(dashed)[:2] == box(hole)[:2] and box(dashed)[2:] == pytest.approx((0, 21 / full))
    assert box(hole)[2:] == pytest.approx((18 / full, 39 / full))
    # the scale holds the cold one too, and each end of the fit
    far = [(now, np.array([80.0, 0, 0, 0]), 100), (np.array([30.0, 0, 0, -60]), now, 200)]
    for here, there, wanted in far:
        assert fit_zones.zone_items(here, there, "µm", ("a", "b"))[1] == wanted
    tight = fit_zones.zone_items(np.array([0.0, -40, 50, 0]), now, "µm", ("a", "b"))[1]
    assert tight == 200, "90 tight"


def test_small_deviations_are_written_to_a_hundredth():
    """Thousandths of an inch: 0.826 and 0.0787; what rounds to nothing is 0 without a sign."""
    now = np.array([0.826, -0.001, -0.0787, -0.5])
    said = notes(fit_zones.zone_items(now, now, "thou", ("a", "b"))[0])
    assert {"+0.83", "0", "−0.08", "−0.5", "clearance 1.33", "clearance 0.08"} < set(said)


@pytest.mark.parametrize("guess", [-20.0, 12.0, 55.0])
def test_a_guessed_interference_lies_below_zero(guess):
    line, words = fit_zones.guess_items(guess, 50.0)
    assert line.y.tolist() == [-guess / 50, -guess / 50] and line.color == words.color == PURPLE
    left, right = line.x
    assert (left + right) / 2 == pytest.approx(2.85) and right - left > 0.44, "across its bar"
    assert words.text == "your prediction" and words.anchor == "end"
    assert left - 0.1 < words.x < left and words.y == pytest.approx(line.y[0], abs=0.04)
    assert words.y < line.y[0]


def test_a_guess_that_leaves_the_chart_is_not_drawn():
    """The chart ends at 1.2 either way; a tenth over its scale is still drawn."""
    assert fit_zones.guess_items(55.0, 50.0) and fit_zones.guess_items(-55.0, 50.0)
    assert not fit_zones.guess_items(55.1, 50.0) and not fit_zones.guess_items(-55.1, 50.0)


def test_hole_and_shaft_are_dragged_at_their_bars_corners():
    grip = scene.Grip("warmer", "y")
    bars = lines(fit_zones.zone_items(np.array([30.0, 0, 0, -10]), np.zeros(4), "µm", "ab")[0])
    for part, bar, color in (("hole", bars[0], BLUE), ("shaft", bars[1], RUST)):
        point = fit_zones.corner_point(part, 0.3, grip)
        assert point.x == pytest.approx(box(bar)[1]) and point.y == 0.3
        assert point.grips == (grip,) and point.axes == 0 and point.color == color


# lesson 13: corner


def corner(fillet, ring):
    drawn = fit_zones.corner_items("main", fillet, ring, ("fillet", "ring", "gap"))
    return drawn, notes(drawn, 1)


@pytest.mark.parametrize("fillet", [0.6, 1.5])
def test_the_fillet_is_an_arc_between_web_and_seat(fillet):
    """Its middle a radius off both; web left, seat below; a corner of the ring of 2 fills 0.36 of the window."""
    drawn, said = corner(fillet, (2.0, "round", 4.0, 0.0))
    part, radius = lines(drawn, color=GRAY)[0], fillet * 0.36 / 2
    web, seat = 0.2, 0.22
    middle = np.array([web + radius, seat + radius])
    on = [np.hypot(*(place - middle)) == pytest.approx(radius) for place in part.points()]
    assert sum(on) >= 25
    for place in ((web, seat + radius), (web + radius, seat), (0, 0), (0, 1), (web, 1), (1, seat)):
        assert np.hypot(*(part.points() - place).T).min() < 1e-9
    assert {"web", "main", "fillet"} <= set(said)
    assert said["web"].x == pytest.approx(web / 2) and said["main"].y < seat
    assert said["fillet"].x > web and said["fillet"].y == said["web"].y


@pytest.mark.parametrize("shape", ["round", "chamfer"])
def test_a_ring_stands_off_the_web_by_its_gap(shape):
    """Corner 1, fillet 2 (0.18 a millimeter), ring 2 high, 0.5 off: its side at 0.29, its top at 0.58."""
    drawn, said = corner(2.0, (1.0, shape, 2.0, 0.5))
    (ring,) = (one for one in lines(drawn, color=RUST) if one.fill)
    left, low, top = 0.2 + 0.5 * 0.18, 0.22, 0.22 + 2 * 0.18
    assert (ring.x.min(), ring.x.max()) == pytest.approx((left, 1))
    assert (ring.y.min(), ring.y.max()) == pytest.approx((low, top))
    leg, points = 0.18, ring.points()
    for place in ((left + leg, low), (left, low + leg), (left, top), (1, top), (1, low)):
        assert np.hypot(*(points - place).T).min() < 1e-9, place
    near = points[(points[:, 0] < left + leg) & (points[:, 1] < low + leg)]
    if shape == "chamfer":
        assert len(near) == 0, "straight across"
    else:  # hollow toward the ring's own metal: about the middle of the rounding
        assert len(near) >= 20
        assert np.hypot(*(near - (left + leg, low + leg)).T) == pytest.approx(leg)
    assert said["ring"].x == pytest.approx((left + 1) / 2)
    assert low < said["ring"].y < top and said["ring"].color == RUST
    (gap,) = (one for one in lines(drawn, color=RUST) if not one.fill)
    assert gap.points()[0][0] == pytest.approx(0.2) and gap.points()[-1] == pytest.approx(
        (left, top)
    )
    across = gap.y[0]
    assert gap.y[1] == across > 0.72 and 0 < said["gap"].y - across < 0.03, "over the highest ring"
    assert said["gap"].color == RUST and said["gap"].y > top


def test_a_ring_that_sits_at_the_web_is_green_and_has_no_gap():
    drawn, said = corner(0.5, (1.0, "round", 9.0, 0.0))
    (ring,) = (one for one in lines(drawn, axes=1) if one.fill and one.color == GREEN)
    assert ring.x.min() == pytest.approx(0.2) and "gap" not in said
    assert ring.y.max() == pytest.approx(0.72), "a higher one would leave the window"
    bare, said = corner(1.0, None)
    assert len(lines(bare)) == 1 and "ring" not in said


def test_papers_words_stand_apart_for_both_sizes():
    for projector in (False, True):
        for paper in (fit_zones.fit_paper, balance_picture.balance_paper, roughing.plan_paper):
            words_stand_apart(paper(projector))


# lesson 14


def ends(crank_corners=None, arrows=((30.0,), (15.0,)), pins=((0.0, 20.0),), half=0.0, outer=0.0):
    corners = np.array([[(-10, -12), (10, -12), (10, 32), (-10, 32.0)]] * len(pins))
    return balance_picture.end_items(
        corners if crank_corners is None else crank_corners,
        np.array(pins, float),
        (16.0, 24.0),
        (outer, np.full(len(pins), half)),
        [np.array(one, float) for one in arrows],
        ("rod", "weight"),
    )


def test_the_crank_from_its_end_is_drawn_to_one_scale():
    """The farthest corner, 33.53 from the axis, fills 0.98 of the window; pin 16, main 24, throw 20."""
    drawn, scale = ends(), 0.98 / np.hypot(10, 32)
    web = lines(drawn, fill=balance_picture.WEB)[0]
    assert web.points()[:4] == pytest.approx(
        scale * np.array([(-10, -12), (10, -12), (10, 32), (-10, 32)])
    )
    assert web.points()[-1] == pytest.approx(web.points()[0])
    main, pin = lines(drawn, fill=balance_picture.ROUND)[0], lines(drawn, dash="5 4")[0]
    assert np.hypot(main.x, main.y) == pytest.approx(12 * scale)
    assert np.hypot(pin.x, pin.y - 20 * scale) == pytest.approx(8 * scale)
    said = notes(drawn)
    assert said["rod"].color == RUST and said["weight"].color == GREEN
    assert said["rod"].y > said["weight"].y and said["rod"].x == said["weight"].x == -1.25


def test_arrows_toward_the_pin_and_away_from_it_as_long_as_their_sizes():
    """The longest reaches 0.8 of the window, the other half of it; pins at the top, then at the left."""
    for pins, way in (([(0.0, 20.0)], (0, 1)), ([(-20.0, 0.0)], (-1, 0))):
        rust, green = lines(ends(pins=pins), fill=RUST)[0], lines(ends(pins=pins), fill=GREEN)[0]
        for arrow, far in ((rust, 0.8), (green, -0.4)):
            along = arrow.points() @ np.array(way)
            assert along[np.argmax(np.abs(along))] == pytest.approx(far)
            across = arrow.points() @ np.array([way[1], -way[0]])
            assert np.abs(across).max() == pytest.approx(0.055)
    assert not lines(ends(arrows=((0.0,), (0.0,))), fill=RUST), "nothing to balance"
    opposed = ends(pins=[(0, 20), (0, -20)], arrows=((30, 30), (30, 30)))
    shafts = sorted(round((one.x.min() + one.x.max()) / 2, 9) for one in lines(opposed, fill=RUST))
    assert shafts == pytest.approx([-0.06, 0.06]), "side by side"
    square = ends(pins=[(0, 20), (20, 0)], arrows=((30, 30), (30, 30)))
    upright = [one for one in lines(square, fill=RUST) if np.ptp(one.y) > np.ptp(one.x)]
    assert (upright[0].x.min() + upright[0].x.max()) / 2 == pytest.approx(0), "all from the axis"


def test_a_counterweight_is_a_sector_opposite_its_pin():
    """Outer radius 40, half angle 60 degrees, pin up: from the axis to the rim, symmetric below; it fixes the scale."""
    drawn = ends(half=np.pi / 3, outer=40.0)
    sector = lines(drawn, fill=scene.PALE[GREEN])[0].points()
    scale = 0.98 / 40
    assert sector[0].tolist() == sector[-1].tolist() == [0, 0]
    rim = sector[1:-1]
    assert np.hypot(*rim.T) == pytest.approx(40 * scale)
    turn = np.degrees(np.arctan2(rim[:, 0], -rim[:, 1]))
    assert (turn.min(), turn.max()) == pytest.approx((-60, 60))
    assert not lines(ends(half=0.0, outer=40.0), fill=scene.PALE[GREEN])


def paths(size=6.0, guess=None, speed=600.0):
    """Primary upright of that size, secondary a third of it across: both reach size at the top."""
    turn = np.linspace(0, 2 * np.pi, 73)
    primary = np.array([0 * turn, size * np.cos(turn)])
    secondary = np.array([size / 3 * np.sin(2 * turn), 0 * turn])
    parts = {"primary": primary, "secondary": secondary, "both": primary + secondary}
    return balance_picture.path_items(parts, "N", 1, guess, speed), parts


def test_paths_are_drawn_to_a_round_ring():
    """6 N stand in a ring of 10; within 2 % of 10 takes the ring of 20."""
    drawn, parts = paths()
    for name, (color, dash) in balance_picture.INKS.items():
        (path,) = lines(drawn, color=color)
        assert path.points() == pytest.approx(parts[name].T / 10) and path.dash == dash
        assert path.axes == 1
    assert "10 N" in notes(drawn, 1) and "20 N" in notes(paths(9.9)[0], 1)
    assert "10 N" in notes(paths(9.8)[0], 1)
    widths = {one.color: one.width for one in lines(drawn)}
    assert widths[BLUE] > widths[GREEN] == widths[RUST], "the sum stands out"


def test_the_top_of_the_path_is_dragged_to_another_speed():
    """The force goes with the square of the speed: a tenth more speed, 21 % more force."""
    drawn, _ = paths()
    (top,) = (one for one in drawn if one.kind == "marker")
    assert (top.x, top.y) == pytest.approx((0, 0.6), abs=1e-9)
    (grip,) = top.grips
    assert (grip.control, grip.along) == ("speed", "y")
    assert grip.offset + grip.factor * 0.6 == pytest.approx(600)
    assert grip.offset + grip.factor * 0.6 * 1.0201 == pytest.approx(606, abs=0.1)
    flat = {name: np.array([[0.0, 3.0, 0], [0.0, 0.1, 0.0]]) for name in ("primary", "both")}
    drawn = balance_picture.path_items(flat, "N", 2, None, 600.0)
    assert not [one for one in drawn if one.kind == "marker"], "too low to be grasped: 0.1 of 5"
    flat["both"] = np.array([[0.0, 3.0, 0], [0.0, 0.11, 0.0]])
    drawn = balance_picture.path_items(flat, "N", 2, None, 600.0)
    assert [one for one in drawn if one.kind == "marker"]


@pytest.mark.parametrize(
    ("guess", "ring"), [(3.0, 10), (11.0, 10), (12.0, 20), (20.0, 20), (27.0, 50)]
)
def test_a_guess_is_a_circle_of_its_size(guess, ring):
    """A ring of 10 takes guesses to 11.5; a larger one needs a larger ring, up to four times what shakes."""
    drawn, _ = paths(guess=guess)
    (circle,) = lines(drawn, color=PURPLE)
    assert np.hypot(circle.x, circle.y) == pytest.approx(guess / ring)
    assert f"{ring} N" in notes(drawn, 1)
    words = notes(drawn, 1)["your prediction"]
    assert (words.x, words.anchor) == (0, "middle") and -0.2 < words.y + guess / ring < -0.08


def test_a_guess_far_off_shrinks_nothing():
    """Four times 6 N are 24: a ring of 50, which holds no circle of 60 N."""
    drawn, _ = paths(guess=60.0)
    assert "50 N" in notes(drawn, 1) and not lines(drawn, color=PURPLE)


def test_no_force_is_said():
    parts = {name: np.zeros((2, 5)) for name in ("primary", "secondary", "both")}
    (only,) = balance_picture.path_items(parts, "N", 2, 5.0, 600.0)
    assert (only.text, only.axes, only.x) == ("none", 2, 0)


# lesson 05


def test_slices_of_the_bar_from_the_side():
    """Two slices of a bar 40 high: what stays over what is cut whole over what is cut in blows, each under its name."""
    slices = [
        (0.0, 30.0, (-20.0, 20.0), (-8.0, 8.0), (-12.0, 12.0), "main 1", 32.4),
        (30.0, 10.0, (-20.0, 20.0), (-15.0, 18.0), (-15.0, 18.0), "web", 9.87),
    ]
    figure = roughing.regions_figure(slices, "mm", "cm³")
    (axes,) = figure.axes
    boxes = [area.get_paths()[0].get_extents().extents.tolist() for area in axes.collections]
    assert boxes == [
        [start, bottom, start + length, top]
        for start, length, *edges, _, _ in slices
        for bottom, top in (edges[0], edges[2], edges[1])
    ]
    said = {one.get_text(): one.xy for one in axes.texts}
    assert said == {"main 1\n32 cm³": (15, 20), "web\n9.9 cm³": (35, 20)}
    assert axes.get_xlim() == (0, 40)
    low, high = axes.get_ylim()
    assert low < -20 and high > 20 + 0.2 * 40, "room for two lines of words"
    assert "Along the bar [mm]" in axes.get_xlabel()
    words_stand_apart(figure)


def test_passes_seen_from_the_end():
    """Scale 50: a block 40 by 30, a pass around the top at 25, the finished round of 10, the tool left of 28."""
    block = np.array([(20.0, -15.0), (20, 15), (-20, 15), (-20, -15)])
    bar = 1.5 * block
    arcs = [(25.0, 0.5, 2.5), (25.0, 4.0, 5.0), (15.0, 0.0, 6.0)]
    drawn = roughing.end_items((bar, block), 0.5 * block, 10.0, arcs, 28.0, 50.0)
    outlines, passes = drawn[:3], lines(drawn, color=BLUE)
    for curve, points in zip(outlines, (bar, block, 0.5 * block), strict=True):
        assert curve.points() == pytest.approx(np.vstack([points, points[:1]]) / 50)
    assert [bool(one.fill) for one in outlines] == [True, True, False] and outlines[2].dash
    assert [one.width for one in passes] == [4, 4, 1.2], "the first is thick wherever it cuts"
    for curve, (radius, begin, end) in zip(passes, arcs, strict=True):
        assert np.hypot(curve.x, curve.y) == pytest.approx(radius / 50)
        turn = np.unwrap(np.arctan2(curve.y, curve.x))
        assert turn[-1] - turn[0] == pytest.approx(end - begin)
        assert np.cos(turn[0] - begin) == pytest.approx(1)
        assert np.diff(turn).max() < 0.25 or len(turn) == 4, "round to the eye"
    (final,) = lines(drawn, color=GREEN)
    assert np.hypot(final.x, final.y) == pytest.approx(0.2) and final.fill
    tool = drawn[-1]
    assert tool.x.max() == pytest.approx(-28 / 50) and tool.points()[0] == pytest.approx((-0.56, 0))
    assert tool.y.max() == 0 and tool.x.min() == pytest.approx(-0.56 - 0.5), "its top at the axis"


def test_the_first_pass_is_dragged_deeper():
    """4 mm into a swing of 28 at scale 50; 1 mm is 1 in the slider's mm, 1/25.4 in its inches."""
    for unit in (1.0, 1 / 25.4):
        point = roughing.depth_point(28.0, 4.0, 50.0, unit)
        (grip,) = point.grips
        assert (point.x, point.y) == pytest.approx((-24 / 50, 0))
        assert grip.offset + grip.factor * point.x == pytest.approx(4 * unit)
        assert grip.offset + grip.factor * (-20 / 50) == pytest.approx(8 * unit)
        assert (grip.control, grip.along) == ("depth", "x")


def test_minutes_are_bars_with_their_number_behind():
    """Scale 200 min: 170 fills 0.85 and has its number inside, 160 and less have it behind; the sum on top."""
    drawn = roughing.minutes_items([170.0, 160.0, 1.4, 60.0, 0.0], 200.0, "min")
    bars = lines(drawn)
    assert [box(one)[1] for one in bars[:4]] == pytest.approx([0.85, 0.8, 0.007, 0.3])
    for row, one in enumerate(bars):
        assert (one.y.min(), one.y.max()) == pytest.approx((4 - row - 0.3, 4 - row + 0.3))
        assert one.x.min() == 0 and one.axes == 1
    assert [one.color for one in bars] == [RUST, BLUE, BLUE, BLUE, BLUE]
    said = notes(drawn, 1)
    assert said["170"].anchor == "end" and 0.8 < said["170"].x < 0.85
    assert said["160"].anchor == "start" and 0.8 < said["160"].x < 0.83
    assert said["60"].y == pytest.approx(1 - 0.2) and said["1"].x == pytest.approx(0.022)
    marks = [one for one in drawn if one.kind == "text" and one.y == -0.66]
    assert [(one.x, one.text, one.anchor) for one in marks] == [
        (0.005, "0", "start"), (0.5, "100", "middle"), (1.0, "200 min", "end")
    ]  # fmt: skip
    over = notes(roughing.minutes_items([250.0], 200.0, "min"), 1)
    assert 0.95 < over["250"].x < 1, "in the chart, even where its bar is not"


@pytest.mark.parametrize(
    ("guess", "anchor"), [(20.0, "start"), (119.0, "start"), (120.0, "end"), (300.0, "end")]
)
def test_guessed_minutes_are_a_line_over_the_top_bar(guess, anchor):
    line, words = roughing.guess_items(guess, 200.0)
    assert line.x.tolist() == [guess / 200] * 2 and line.color == words.color == PURPLE
    low, high = line.y
    assert low < 4 - 0.3 and high > 4 + 0.3 and high <= len(roughing.GROUPS) - 0.4
    assert words.anchor == anchor and words.x <= 1 and abs(words.x - min(guess / 200, 0.97)) <= 0.02
    assert 4.3 < words.y < high


def test_groups_stand_from_top_to_bottom_as_their_bars_do():
    axes = roughing.plan_paper().axes[1]
    names = [tick.get_text() for tick in axes.get_yticklabels()]
    assert names == ["finish", "walls, faces", "rough pins", "rough mains", "all"]
    assert axes.get_yticks().tolist() == [0, 1, 2, 3, 4] and axes.get_xlim() == (0, 1)
    assert axes.get_ylim()[0] < -0.66 and axes.get_ylim()[1] > 4.45
