"""Pictures of the turning lessons: each place by hand, from round numbers."""

from types import SimpleNamespace

import numpy as np
import pytest
from helpers import words_stand_apart
from test_places_on_charts import box, lines, notes

from crankbook.pictures import crank_drawing, marks
from crankbook.pictures.scene import BLUE, GRAY, GREEN, PURPLE, RUST
from crankbook.pictures.turning import (
    chatter_picture,
    cut_profile,
    speed_picture,
    squeezed_crank,
    warm_crank,
    work_in_space,
)
from crankmath.crank import Crank
from crankmath.job import Job
from crankmath.units import Quantity
from crankmath.workpiece import make_plan


def points(items):
    return [one for one in items if one.kind == "marker"]


# lesson 06


def test_arrows_of_the_cut_start_at_the_edge():
    """The tool's edge is at -1: a push of half the longest reaches 0.45 in, a drag of a third 0.3 up."""
    drawn = cut_profile.force_items(0.5, 1 / 3, "push", "drag", 2.0)
    push, drag = lines(drawn, fill=RUST)[0], lines(drawn, fill=PURPLE)[0]
    assert (push.x.min(), push.x.max()) == pytest.approx((-1, -0.55))
    assert (drag.y.min(), drag.y.max()) == pytest.approx((0, 0.3))
    assert np.abs(push.y).max() == pytest.approx(0.07) == np.abs(drag.x + 1).max()
    (tip,) = points(drawn)
    (grip,) = tip.grips
    assert (tip.x, tip.y) == pytest.approx((-0.55, 0)) and (grip.control, grip.along) == (
        "width",
        "x",
    )
    assert grip.offset + grip.factor * tip.x == pytest.approx(2.0)
    assert grip.offset + grip.factor * -1 == pytest.approx(0), "no width, no push"
    said = notes(drawn)
    assert said["push"].color == RUST and said["drag"].color == PURPLE
    assert all(one.anchor == "end" and one.x < -1.05 for one in said.values())
    assert said["push"].y < -0.22 and said["drag"].y == pytest.approx(0.15), "clear of the tool"
    # more than the picture holds: drawn a fifth beyond its longest, the words stay
    drawn = cut_profile.force_items(3.0, 3.0, "push", "drag", 2.0)
    assert points(drawn)[0].x == pytest.approx(-1 + 0.9 * 1.2)
    assert lines(drawn, fill=PURPLE)[0].y.max() == pytest.approx(0.9 * 1.2)
    assert notes(drawn)["drag"].y == pytest.approx(0.3)
    tool = drawn[0]
    assert tool.x.max() == -1.05 and tool.y.max() == pytest.approx(0.06) and tool.fill


def along(place=(0.5, 2.0, 6.0), scale=10.0):
    x = np.array([0.1, 0.2, 0.3])
    pieces = [(x, np.array([1.0, 2, 3]), np.array([4.0, 5, 6]))]
    return cut_profile.along_items(pieces, [(0.25, 0.5, 0.2, 0.6)], scale, "µm", place), x


def test_errors_along_the_work_lie_on_their_scale():
    drawn, x = along()
    band, high, low = lines(drawn)[1:]
    assert high.points() == pytest.approx(np.column_stack([x, (0.4, 0.5, 0.6)]))
    assert low.points() == pytest.approx(np.column_stack([x, (0.1, 0.2, 0.3)]))
    assert (high.color, low.color, bool(low.dash)) == (RUST, GREEN, True) and not high.dash
    assert band.fill and set(map(tuple, band.points())) == set(
        map(tuple, np.vstack([high.points(), low.points()]))
    )
    top, foot = points(drawn)
    assert (top.x, top.y, top.color) == (0.5, pytest.approx(0.6), RUST)
    assert (foot.x, foot.y, foot.color) == (0.5, pytest.approx(0.2), GREEN)
    said = notes(drawn, 1)
    assert said["5 µm"].y == pytest.approx(0.48) and said["10 µm"].y == pytest.approx(0.98)
    assert "off the chart" not in " ".join(said)


def test_the_work_in_outline_stands_below_the_chart():
    """Heights are shares of its largest: a piece from a fifth to three fifths is as wide as they say, within the room."""
    outline = lines(along()[0])[0]
    left, right, low, high = box(outline)
    assert (left, right) == (0.25, 0.5) and outline.fill
    whole = cut_profile.along_items([], [(0, 1, 0.0, 1.0)], 10.0, "µm", (0.5, 2.0, 6.0))
    _, _, foot, top = box(lines(whole)[0])
    assert cut_profile.LOW < foot < low < high < top < 0
    assert (low - foot) / (top - foot) == pytest.approx(0.2)
    assert (high - foot) / (top - foot) == pytest.approx(0.6)


@pytest.mark.parametrize("most", [9.99, 10.0, 10.01, 25.0])
def test_an_error_beyond_the_chart_is_said(most):
    said = " ".join(notes(along((0.5, 2.0, most))[0], 1))
    assert ("off the chart" in said) == (most > 10)
    assert most != 25 or "off the chart: 25 µm" in said


def rim(swing=2.0, large=0.0, turned=2 * np.pi, scale=2.0):
    return cut_profile.profile_items(swing, large, scale, 20_000.0, turned, [])


def test_a_whole_rim_is_deep_as_its_error():
    """Out-of-round as large as the scale is drawn half of the radius deep; 2 of 20,000 is then 2,500 times 2."""
    drawn = rim()
    cut = lines(drawn, color=BLUE)[0]
    axis = 0.25 * np.cos(2 * np.pi / 2)  # at the tool the work has given way by the small half
    far = np.hypot(cut.x - axis, cut.y)
    assert (far.min(), far.max()) == pytest.approx((0.75, 1.25))
    assert "error 5,000 times enlarged" in notes(drawn)
    assert not any("still to be cut" in words for words in notes(drawn))
    mean = lines(drawn, dash="5 4")[0]
    assert np.hypot(mean.x - axis, mean.y) == pytest.approx(1)
    for color, half, upright in ((RUST, 1.25, True), (GREEN, 0.75, False)):
        (line,) = (one for one in lines(drawn, color=color) if len(one.x) == 2)
        length = np.hypot(*np.ptp(line.points(), axis=0))
        assert length == pytest.approx(2 * half)
        assert (np.ptp(line.x) < 1e-9) == upright, "largest from the throw's zero, which is up"
    said = notes(drawn)
    assert said["largest"].color == RUST and said["smallest"].color == GREEN
    assert np.hypot(said["largest"].x - axis, said["largest"].y) == pytest.approx(
        1.17 * 1.25, abs=0.1
    )


def test_no_error_is_not_enlarged_and_a_large_one_stays_in_its_window():
    assert not any("enlarged" in words for words in notes(rim(swing=0.0)))
    cut = lines(rim(swing=40.0), color=BLUE)[0]
    axis = -0.45
    assert np.hypot(cut.x - axis, cut.y).max() == pytest.approx(1.45), "0.9 of the radius at most"


@pytest.mark.parametrize("turned", [0.0, 1.0, 4.0])
def test_the_layer_to_come_is_told(turned):
    drawn = rim(turned=turned)
    words = next(one for one in drawn if one.kind == "text" and "still to be cut" in one.text)
    assert words.x == 0 and 1.3 < words.y < 1.9
    metal, axis = drawn[0], 0.25 * np.cos(2 * (np.pi / 2 - turned))
    outside = np.hypot(metal.x - axis, metal.y)
    assert outside[-1] == pytest.approx(1.3), "0.3 of the radius thick, or 0.6 of the error"
    ends = np.arctan2(metal.x[-1] - axis, -metal.y[-1])
    assert metal.points()[-1] == pytest.approx((axis - 1.3, 0)), "up to the tool"
    assert np.isfinite(ends)


# lesson 07


def plunged(lands=0.0, spacing=0.0, edge=6.0):
    """A pin Ø20, 20 long, webs 10 thick: 40 mm are the window's width."""
    return chatter_picture.plunge_items(20.0, 20.0, 10.0, edge, lands, spacing, ("tool", "pin"))


def test_the_plunged_tool_is_drawn_to_scale():
    drawn = plunged()
    pin, left, right = lines(drawn)[:3]
    front = chatter_picture.EDGE_LINE
    assert box(pin) == pytest.approx((-0.25, 0.25, front, front + 0.5))
    assert box(left)[:2] == pytest.approx((-0.5, -0.25)) and box(right)[:2] == pytest.approx(
        (0.25, 0.5)
    )
    for web in (left, right):
        assert box(web)[2:] == pytest.approx((front - 0.12, 0.42)), "up to what is shown"
    (tool,) = (one for one in lines(drawn, color=BLUE) if one.fill)
    assert box(tool) == pytest.approx((-0.075, 0.075, -0.8, front)), (
        "6 of 40 wide, its edge at the pin"
    )
    axis = lines(drawn, dash="14 4 3 4")[0]
    assert axis.y.tolist() == [front + 0.25] * 2
    said = notes(drawn)
    assert said["tool"].x > 0.075 and -0.8 < said["tool"].y < front
    assert said["pin"].x == 0 and said["pin"].color == GREEN
    assert front + 0.25 < said["pin"].y < front + 0.5
    slim = chatter_picture.plunge_items(20.0, 8.0, 10.0, 6.0, 0.0, 0.0, ("tool", "pin"))
    assert box(lines(slim)[1])[3] == pytest.approx(front + 0.1 + 0.1 + 0.25)


def test_a_relieved_tool_cuts_with_two_lands():
    """6 wide with lands of 1.5: each 1.5 of 40; its middle is ground back and leaves metal standing."""
    drawn, front = plunged(lands=1.5), chatter_picture.EDGE_LINE
    (tool,) = (one for one in lines(drawn, color=BLUE) if one.fill)
    edge = sorted(tool.x[np.isclose(tool.y, front)])
    assert edge == pytest.approx([-0.075, -0.0375, 0.0375, 0.075])
    back = tool.x[np.isclose(tool.y, front - chatter_picture.NOTCH)]
    assert sorted(back) == pytest.approx([-0.0375, 0.0375])
    assert tool.points()[0] == pytest.approx(tool.points()[-1]) and tool.y.min() == -0.8
    left = [one for one in lines(drawn, color=GRAY) if one.fill]
    assert box(left[0])[:2] == pytest.approx((-0.0375, 0.0375)) and box(left[0])[2] == front


def test_chatter_marks_lie_on_the_pin_as_far_apart_as_they_are_cut():
    """3.14159 mm on Ø20 are 18 degrees: half of ten on the near half, each at r (1 - cos) from the front."""
    drawn, front = plunged(spacing=np.pi), chatter_picture.EDGE_LINE
    seen = sorted({round(one.y[0], 9) for one in lines(drawn, color=RUST)})
    wanted = front + 0.25 * (1 - np.cos(np.radians(18) * np.arange(5)))
    assert seen == pytest.approx(wanted)
    for one in lines(drawn, color=RUST):
        assert one.x.tolist() == pytest.approx([-0.075, 0.075]) and np.ptp(one.y) == 0
    assert notes(drawn)["pin"].color == RUST
    two = lines(plunged(lands=1.5, spacing=np.pi), color=RUST)
    assert len(two) == 10 and {round(float(np.ptp(one.x)), 6) for one in two} == {0.0375}
    fine = lines(plunged(spacing=0.01), color=RUST)
    assert len(fine) == chatter_picture.MOST_MARKS / 2, "closer ones would be a gray patch"


SPEEDS = np.geomspace(60, 2500, 60)


def limits(limit, top=10.0, scallops=None, parts="slide", marked=()):
    limit = np.broadcast_to(np.asarray(limit, float), SPEEDS.shape)
    scallops = (SPEEDS, limit) if scallops is None else scallops
    every = np.full(SPEEDS.shape, parts) if isinstance(parts, str) else parts
    return chatter_picture.limit_items(SPEEDS, limit, every, scallops, 0.8, top, "mm", marked)


def test_the_limit_leaves_the_chart_where_slow_cutting_is_quiet():
    """Endless below 300 rpm: the curve comes down from the top there, and the words say why."""
    limit = np.where(SPEEDS < 300, np.inf, 3.0)
    drawn = limits(limit)
    (curve,) = lines(drawn, width=3)
    first = SPEEDS[SPEEDS >= 300][0]
    assert curve.points()[0] == pytest.approx((first, 10)) and curve.points()[1] == pytest.approx(
        (first, 3)
    )
    assert len(curve.x) == (SPEEDS >= 300).sum() + 1
    words = notes(drawn, 1)["any width quiet"]
    assert words.x < first and words.anchor == "end" and 3 < words.y < 10 and words.color == GREEN
    assert "all quiet" in notes(limits(np.where(SPEEDS < 180, np.inf, 3.0)), 1), "less room"
    assert not any("quiet" in one for one in notes(limits(np.where(SPEEDS < 110, np.inf, 3.0)), 1))
    (curve,) = lines(limits(3.0), width=3)
    assert curve.points()[0] == pytest.approx((60, 3)), "nothing added where all of it is shown"
    beyond = limits(np.where(SPEEDS < 300, 12.0, 3.0))
    assert lines(beyond, width=3)[0].y[0] == 10, "nor is what lies over the top"
    assert not lines(limits(np.inf), width=3) and not lines(limits(12.0), width=3)


def test_any_speed_is_a_line_across_with_its_width():
    drawn = limits(3.0)
    (line,) = lines(drawn, color=GREEN)
    assert line.points().tolist() == [[60, 0.8], [2500, 0.8]] and line.dash
    words = notes(drawn, 1)["any speed: 0.8 mm"]
    assert words.anchor == "end" and 2000 < words.x < 2500 and 0.35 < words.y < 0.8
    thin = lines(limits(3.0, scallops=(SPEEDS, np.where(SPEEDS < 500, 4.0, 11.0))), width=1)[0]
    assert thin.x.max() < 500 and set(thin.y) == {4.0}


def test_what_chatters_is_named_over_its_stretch_clear_of_the_points():
    """Slide to 400 rpm, crank beyond; a stretch shorter than a factor of 1.8 has no room for words."""
    parts = np.where(SPEEDS < 400, "slide", "crank")
    said = notes(limits(3.0, parts=parts), 1)
    slide, crank = said["slide chatters"], said["crank chatters"]
    assert 60 < slide.x < 400 < crank.x < 2500
    assert slide.y == crank.y == pytest.approx(4.5), "half as high again as the limit"
    # each place tried in turn: 15, 40 and 65 % along at 1.5 times the limit, then at 2.5 times
    own = [one for one in SPEEDS if one < 400]
    assert slide.x == pytest.approx(own[int(0.15 * len(own))])
    marked = ((slide.x, slide.y),)
    assert notes(limits(3.0, parts=parts, marked=marked), 1)["slide chatters"].x > slide.x
    everywhere = tuple((x, 4.5) for x in SPEEDS)
    assert notes(limits(3.0, parts=parts, marked=everywhere), 1)[
        "slide chatters"
    ].y == pytest.approx(7.5)
    short = np.where(SPEEDS < 100, "slide", "crank")
    assert "slide chatters" not in notes(limits(3.0, parts=short), 1)


@pytest.mark.parametrize(("speed", "height", "clear"), [
    (201, 4.5, True), (199, 4.5, False), (39, 4.5, True), (41, 4.5, False),
    (80, 6.8, True), (80, 6.7, False), (80, 2.9, True), (80, 3.1, False),
])  # fmt: skip
def test_words_keep_off_points_around_them(speed, height, clear):
    """Words at 80 rpm and 4.5: nothing from half that speed to 2.5 times it, within half as high again."""
    assert chatter_picture._clear(80.0, 4.5, ((speed, height),)) == clear


def test_the_tool_in_the_chart_is_dragged_to_another_edge():
    drawn = chatter_picture.tool_points(400.0, 6.0, 3.0, False, False, True)
    full, relieved = points(drawn)
    assert (full.x, full.y, relieved.x, relieved.y) == (400, 6, 400, 3)
    assert (full.color, relieved.color) == (RUST, GRAY), "the chosen one chatters"
    for point in (full, relieved):
        speed, edge = point.grips
        assert (speed.control, speed.along, speed.factor, speed.offset) == ("speed", "x", 1, 0)
        assert (edge.control, edge.along) == ("edge", "y")
        assert edge.offset + edge.factor * point.y == pytest.approx(6), "the knob is the whole edge"
    line = lines(drawn)[0]
    assert line.points().tolist() == [[400, 3], [400, 6]]
    drawn = chatter_picture.tool_points(400.0, 6.0, 3.0, True, False, False)
    assert [one.color for one in points(drawn)] == [GRAY, GREEN]


@pytest.mark.parametrize(
    ("speed", "relieved", "under", "chatters", "full", "other"),
    [
        (400, False, False, True, "start", "start"),
        (400, False, False, False, "end", "start"),  # quiet: the curve may run to its right
        (160, False, True, False, "start", "start"),  # too far left for words there
        (161, False, True, False, "end", "end"),
        (400, True, True, True, "start", "end"),
        (899, True, False, True, "start", "start"),
        (900, True, False, True, "end", "end"),  # to its right they would leave the chart
    ],
)
def test_names_of_the_tools_edges_stand_on_the_free_side(
    speed, relieved, under, chatters, full, other
):
    drawn = chatter_picture.tool_points(float(speed), 6.0, 3.0, relieved, under, chatters)
    said = notes(drawn, 1)
    assert (said["full edge"].anchor, said["relieved"].anchor) == (full, other)
    for one, height in ((said["full edge"], 6), (said["relieved"], 3)):
        assert (one.x > speed) == (one.anchor == "start") and 0.8 < one.y / height < 1
    chosen, unused = ("relieved", "full edge")[:: 1 if relieved else -1]
    assert said[chosen].color == "#222222" and said[unused].color == GRAY


def test_waves_of_this_turn_and_the_last():
    """Half as high and a quarter ahead: two waves across, this one below; a higher one stops at 2.2 times."""
    drawn = chatter_picture.turn_items(0.5, np.pi / 2)
    chip, last, now = lines(drawn)
    x = 4 * np.pi * last.x
    assert (last.x[0], last.x[-1]) == (0, 1) and last.dash and not now.dash
    assert last.y - last.y.mean() == pytest.approx(0.32 * np.sin(x), abs=5e-3)
    assert now.y == pytest.approx(0.16 * np.cos(x), abs=1e-9) and now.color == GREEN
    edges = {tuple(place) for place in np.vstack([last.points(), now.points()]).round(9)}
    assert chip.fill and {tuple(place) for place in chip.points().round(9)} == edges
    assert "this turn, 0.5 times as high" in notes(drawn, 2)
    for growth, color, words in ((1.0, GREEN, "1 times"), (1.01, RUST, "1 times"), (99, RUST, "99 times"),
                                 (100, RUST, "far higher")):  # fmt: skip
        drawn = chatter_picture.turn_items(growth, 0.0)
        *_, now = lines(drawn)
        assert now.color == color and np.abs(now.y).max() == pytest.approx(
            0.32 * min(growth, 2.2), rel=1e-3
        )
        (text,) = (one for one in notes(drawn, 2).values() if "this turn" in one.text)
        assert words in text.text and text.color == color and text.anchor == "end"
        assert np.all(now.y < 0.75) and text.y > last.y.max()
    unknown = chatter_picture.turn_items(None, 0.0)
    assert len(lines(unknown)) == 1 and "this turn: beyond this sum" in notes(unknown, 2)


def test_a_guessed_width_is_a_line_across_the_chart():
    line, words = chatter_picture.guess_items(3.0)
    assert line.points().tolist() == [[60, 3], [2500, 3]] and line.color == words.color == PURPLE
    assert words.y == 3 and 60 < words.x < 80 and line.axes == words.axes == 1


@pytest.mark.parametrize(("unit", "low", "top"), [("mm", 0.1, 30.0), ("in", 0.003, 1.0)])
def test_the_chart_of_widths_is_numbered_within_its_ends(unit, low, top):
    gears = np.array([70.0, 200.0, 2000.0])
    figure = chatter_picture.chatter_paper(unit, low, top, gears)
    figure.canvas.draw()
    _, chart, turns = figure.axes
    ticks = [float(one.get_text()) for one in chart.get_yticklabels()]
    assert min(ticks) == low and low <= top / 3 <= max(ticks) <= top
    assert all(float(f"{one:.0e}"[0]) in (1, 3) for one in ticks)
    speeds = [float(one.get_text()) for one in chart.get_xticklabels()]
    assert speeds == chart.get_xticks().tolist() and min(speeds) >= 60 and max(speeds) <= 2500
    segments = chart.collections[0].get_segments()
    assert [one[0].tolist() for one in segments] == [[one, low] for one in gears]
    assert all(low < one[1][1] < 1.5 * low for one in segments)
    words = next(one for one in chart.texts if one.get_text() == "gear steps")
    assert low < words.xy[1] < 2 * low
    assert turns.get_ylim()[0] < -0.32 * 2.2 and turns.get_ylim()[1] > 1.55 + 1.2 * 0.32
    words_stand_apart(figure)


# lesson 09


def test_a_band_is_bounded_by_its_two_estimates():
    time, low, high = np.array([0.0, 1, 2]), np.array([0.0, 2, 3]), np.array([0.0, 4, 7])
    area, under, over = warm_crank.band(time, low, high, "#111111", "#eeeeee", "2 4", 1)
    assert under.points() == pytest.approx(np.column_stack([time, low]))
    assert over.points() == pytest.approx(np.column_stack([time, high]))
    assert area.points().tolist() == [*under.points().tolist(), *over.points()[::-1].tolist()]
    assert area.fill == area.color == "#eeeeee" and under.dash == over.dash == "2 4"
    assert over.width > under.width and {one.axes for one in (area, under, over)} == {1}


def test_temperatures_stand_at_the_rise_over_the_room():
    """Room 20, chart to 60 for 35 of rise: 40 degrees of height. 30 and 60 stand at a quarter and at the top."""
    time = np.array([0.0, 10.0])
    main, web = np.array([[0.0, 10.0], [0.0, 20.0]]), np.array([[0.0, 4.0], [0.0, 8.0]])
    drawn, full = warm_crank.warmth_items(time, main, web, 25.0, 35.0, "°C", 20.0)
    assert full == pytest.approx(55) and "75 °C" in notes(drawn)
    drawn, full = warm_crank.warmth_items(time, main, web, 25.0, 28.0, "°C", 20.0)
    assert full == pytest.approx(30)
    said = notes(drawn)
    levels = lines(drawn, color="#cccccc")
    assert [one.y[0] for one in levels] == pytest.approx([(25 - 20) / 30, 1.0])
    for words, level in (("25 °C", levels[0]), ("50 °C", levels[1])):
        assert level.points()[:, 0].tolist() == [0, 10] and np.ptp(level.y) == 0
        assert level.y[0] - 0.03 < said[words].y < level.y[0] and said[words].anchor == "end"
        assert 9 < said[words].x < 10
    hot = [one for one in lines(drawn, color=RUST) if not one.fill]
    assert [one.y[-1] for one in hot] == pytest.approx([10 / 30, 20 / 30])
    beside = lines(drawn, color=GREEN)
    assert [one.y[-1] for one in beside] == pytest.approx([4 / 30, 8 / 30])
    assert [one.width for one in beside] == [one.width for one in hot], "thick is the shear plane"
    (soft,) = lines(drawn, dash="12 6")
    assert soft.y.tolist() == pytest.approx([25 / 30] * 2) and soft.x.tolist() == [0, 10]


def test_thrust_of_each_kind_of_centers_with_its_name():
    """Nothing below half the chart's foot; a kind that never comes into the chart has no name."""
    time = np.linspace(0, 10, 11)
    rise = np.linspace(0, 1, 11)
    thrust = np.array([[40 * rise, 0.4 * rise, 0 * rise], [80 * rise, 0.9 * rise, rise]])
    kinds = ("solid", "live", "sprung")
    drawn = warm_crank.thrust_items(time, thrust, kinds, 1.0)
    low, high = (one for one in lines(drawn, color=warm_crank.INKS[0][0]) if not one.fill)
    assert low.y[0] == high.y[0] == 0.5 and (low.y[-1], high.y[-1]) == (40, 80)
    (words,) = (one for one in drawn if one.kind == "text")
    assert words.text == "solid centers" and words.color == warm_crank.INKS[0][0]
    assert 9.5 < words.x < 10 and words.anchor == "end" and words.y == 80 and words.axes == 1
    falling = thrust[..., ::-1]
    (words,) = (one for one in warm_crank.thrust_items(time, falling, kinds, 1.0)
                if one.kind == "text")  # fmt: skip
    assert words.y == pytest.approx(24), "above the curve from two thirds of the time on"


@pytest.mark.parametrize("name", ["pump", "organ"])
def test_the_warm_crank_is_drawn_to_one_scale_with_its_colors(name):
    """The pump, 140 long and 46 high, in a room of 0.32 by 0.105: 0.105 / 46 a millimeter."""
    crank = Crank.load(name)
    pieces = crank_drawing.shape(crank).sides
    low, high = min(one[2] for one in pieces), max(one[3] for one in pieces)
    scale = min(0.32 / pieces[-1][1], 0.105 / (high - low))
    shares = np.linspace(0, 1, len(pieces))
    drawn = warm_crank.crank_items(crank, shares)
    for curve, (start, end, foot, top), share in zip(lines(drawn), pieces, shares, strict=True):
        middle = (low + high) / 2
        wanted = (
            0.02 + scale * start,
            0.02 + scale * end,
            scale * (foot - middle),
            scale * (top - middle),
        )
        assert box(curve) == pytest.approx(wanted) and curve.fill == marks.warmth(share)
    (words,) = notes(drawn, 2).values()
    start, end, _, top = pieces[-1]
    assert words.text == "cut here" and words.y == pytest.approx(scale * (top - (low + high) / 2))
    assert words.x == pytest.approx(min(0.02 + scale * (start + end) / 2, 0.31))


def test_colors_of_the_scale_run_from_the_room_to_the_hottest():
    drawn = warm_crank.scale_items(20.0, 75.0, "°C")
    fields = lines(drawn)
    assert [one.fill for one in fields] == [marks.warmth(share / 5) for share in range(6)]
    ends = [(one.x.min(), one.x.max()) for one in fields]
    assert all(
        one[1] == pytest.approx(other[0]) for one, other in zip(ends, ends[1:], strict=False)
    )
    said = notes(drawn, 2)
    assert (said["20 °C"].x, said["20 °C"].anchor) == (pytest.approx(ends[0][0]), "start")
    assert (said["75 °C"].x, said["75 °C"].anchor) == (pytest.approx(ends[-1][1]), "end")
    assert all(one.y == pytest.approx(fields[0].y.max()) for one in said.values())


@pytest.mark.parametrize(
    ("time", "anchor"), [(1.4, "start"), (1.5, "middle"), (8.5, "middle"), (8.6, "end")]
)
def test_a_moment_is_marked_with_its_words_inside(time, anchor):
    line, words = warm_crank.mark(time, 10.0, (0.2, 0.7), "now")
    assert line.points().tolist() == [[time, 0.2], [time, 0.7]]
    assert (words.x, words.y, words.anchor) == (time, 0.7, anchor)


def test_the_paper_of_warmth_is_numbered_by_powers_of_ten():
    figure = warm_crank.warm_paper("60 °C", "N", (3.0, 4000.0), 40.0)
    figure.canvas.draw()
    heat, thrust, _ = figure.axes
    assert thrust.get_yticks().tolist() == [10, 100, 1000] and thrust.get_ylim() == (3, 4000)
    shown = [one.get_text() for one in thrust.get_yticklabels()]
    assert shown == ["10", "100", "1000"]
    assert heat.get_xticks().tolist() == [0, 10, 20, 30, 40] == thrust.get_xticks().tolist()
    assert heat.get_xlim() == (0, 40) and heat.get_ylim()[0] == 0 and 1 < heat.get_ylim()[1] < 1.1
    hall = warm_crank.warm_paper("60 °C", "N", (3.0, 4000.0), 40.0, True)
    assert hall.axes[0].get_xticks().tolist() == [0, 20, 40]
    words_stand_apart(figure)


def test_what_each_line_of_warmth_means_stands_beside_it():
    """Samples as the lines are drawn: same color, each with its words to the right at its height."""
    window = warm_crank.warm_paper("60 °C", "N", (3.0, 4000.0), 40.0).axes[2]
    rows = [one for one in window.texts if one.xy[0] == 0.42]
    assert [one.get_text() for one in rows] == [
        "main being cut",
        "web beside it",
        "softens adhesive: 60 °C",
    ]
    for line, words, color in zip(window.lines, rows, (RUST, GREEN, GRAY), strict=True):
        assert set(line.get_ydata()) == {words.xy[1]} and line.get_xdata().max() < words.xy[0]
        assert line.get_color() == words.get_color() == color
    assert all(-0.07 < one.xy[1] < 0.08 for one in window.texts)


# lesson 08


def chart(misfit=10.0, runout=6.0, allowed=5.0, most=11.0, flat=False):
    misfits = np.linspace(-40, 40, 9)
    runouts = np.full(9, runout) if flat else 2 + np.abs(misfits) / 4
    return squeezed_crank.runout_items(
        misfits, runouts, misfit, runout, allowed, most, "µm", "allowed", 0.001
    )


def test_runout_over_misfit_on_its_own_scale():
    """The chart holds 15 for 11; allowed 5 is a third of it; the knob stands at its misfit, given in mm."""
    drawn, full = chart()
    assert full == 15
    (curve,) = lines(drawn, color=BLUE)
    assert curve.y * 15 == pytest.approx(2 + np.abs(curve.x) / 4)
    (level,) = lines(drawn, color=GREEN)
    assert level.points() == pytest.approx(np.array([(-40, 1 / 3), (40, 1 / 3)])) and level.dash
    (point,) = points(drawn)
    assert (point.x, point.y) == (10, pytest.approx(0.4))
    (grip,) = point.grips
    assert grip.control == "misfit" and grip.offset + grip.factor * 10 == pytest.approx(0.01)
    said = notes(drawn, 1)
    assert said["allowed"].y == pytest.approx(1 / 3) and said["allowed"].anchor == "end"
    assert said["15 µm"].y == pytest.approx(0.975) and -40 < said["15 µm"].x < -36
    assert "7.5 µm" in said and 36 < said["allowed"].x < 40


@pytest.mark.parametrize(
    ("runout", "beneath"), [(5.0, False), (5.1, True), (7.4, True), (7.5, False), (4.0, False)]
)
def test_words_of_what_is_allowed_stay_clear_of_a_level_line(runout, beneath):
    """Without a spacer the curve is level: just above the line of what is allowed, the words go below it."""
    drawn, full = chart(runout=runout, flat=True)
    words = notes(drawn, 1)["allowed"]
    assert (words.y < 0.5 * 5 / full) == beneath and (words.y == pytest.approx(5 / full)) != beneath
    drawn, full = chart(runout=6.0)
    assert notes(drawn, 1)["allowed"].y == pytest.approx(5 / full), "a curve is not level"


def bent(name="pump", **motion):
    """Pieces of a crank whose axis moves: ``motion`` gives columns of x, y, rz over the place."""
    crank = Crank.load(name)
    places, starts = squeezed_crank._places(crank)
    moved = np.zeros((len(places), 6))
    for column, values in motion.items():
        moved[:, {"x": 0, "y": 1, "tilt": 5}[column]] = values(places)
    pieces = squeezed_crank.crank_pieces(crank.plain, moved, starts)
    return crank.segments, pieces, squeezed_crank.crank_pieces(crank.plain, 0 * moved, starts)


def test_a_crank_moved_as_one_is_drawn_moved_as_one():
    segments, pieces, free = bent(x=lambda at: 0 * at + 3.0, y=lambda at: 0 * at - 2.0)
    for _, (x, y), (x0, y0) in zip(segments, pieces, free, strict=True):
        assert x - x0 == pytest.approx(3.0) and y - y0 == pytest.approx(-2.0)


def test_webs_lean_as_their_ends_turn():
    """Turned by 0.02 about its main all along, a web leans by 0.02 a millimeter outward: it stays straight."""
    segments, pieces, free = bent(tilt=lambda at: 0 * at + 0.02, x=lambda at: 0 * at)
    for piece, (x, y), (x0, y0) in zip(segments, pieces, free, strict=True):
        if piece.kind == "web":
            at_main = np.isclose(y0, 0.0)
            assert (x - x0)[at_main] == pytest.approx(0)
            beyond = y0 < 0
            assert (x - x0)[beyond] == pytest.approx(-0.02 * y0[beyond])
            assert y == pytest.approx(y0)


def test_a_web_bends_between_its_ends_with_their_slopes():
    """Main at rest, pin moved 0.6 along without turning: a beam clamped at both ends, half of it at the middle."""
    crank = Crank.load("pump")
    web, throw = crank.segments[1], crank.plain.throws[0]
    still, moved = np.zeros(6), np.array([0.6, 0, 0, 0, 0, 0])
    x, y = squeezed_crank._web(web, throw, still, moved)
    half = len(x) // 2
    low, high = x[:half] - web.start, y[:half]
    assert low[high <= 0] == pytest.approx(0) and low[high >= 18] == pytest.approx(0.6)
    inside = (high > 0) & (high < 18)
    share = high[inside] / 18
    assert low[inside] == pytest.approx(0.6 * (3 * share**2 - 2 * share**3))
    assert x[half:][::-1] - web.end == pytest.approx(low), "as thick all along"
    tilted, _ = squeezed_crank._web(web, throw, np.array([0, 0, 0, 0, 0, 0.01]), still)
    low = tilted[:half] - web.start
    assert low[high < 0] == pytest.approx(-0.01 * high[high < 0])
    assert low[inside] == pytest.approx(-0.01 * 18 * (share**3 - 2 * share**2 + share))
    tilted, _ = squeezed_crank._web(web, throw, still, np.array([0, 0, 0, 0, 0, 0.01]))
    low = tilted[:half] - web.start
    assert low[high > 18] == pytest.approx(-0.01 * (high[high > 18] - 18))
    assert low[inside] == pytest.approx(-0.01 * 18 * (share**3 - share**2))
    rising, lifted = squeezed_crank._web(web, throw, still, np.array([0, 0.5, 0, 0, 0, 0]))
    assert rising[:half] == pytest.approx(web.start)
    assert (lifted - y)[:half] == pytest.approx(0.5 * np.clip(high / 18, 0, 1))


@pytest.mark.parametrize("name", ["pump", "compressor", "organ", "bellows"])
def test_both_views_of_the_crank_stand_whole_in_the_window(name):
    """One scale; the squeezed view's middle at 0.22, the released one's at -0.255, as wide as the window or 0.36 high."""
    crank = Crank.load(name)
    above, below = squeezed_crank._views(crank)
    sides = crank_drawing.shape(crank).sides
    low, high = min(one[2] for one in sides), max(one[3] for one in sides)
    reaches = (
        [t.web_reach for t in crank.plain.throws],
        [t.radius * np.cos(t.angle) for t in crank.plain.throws],
    )
    low = min(min(0, e) - r for r, e in zip(*reaches, strict=True))
    high = max(max(0, e) + r for r, e in zip(*reaches, strict=True))
    length = crank.length.m_as("mm")
    assert above.scale == below.scale == pytest.approx(max(length, (high - low) / 0.36))
    for view, middle in ((above, 0.22), (below, -0.255)):
        left, foot = view.place(0.0, low)
        right, top = view.place(length, high)
        assert (left + right) / 2 == pytest.approx(0.5) and (foot + top) / 2 == pytest.approx(
            middle
        )
        assert left >= -1e-12 and right <= 1 + 1e-12 and top - foot <= 0.36 + 1e-9


def test_a_loose_spacer_stands_off_the_right_web():
    """The pump's gap of 22 from 59 on: one that bears fills it, a loose one nine tenths; words below it."""
    crank = Crank.load("pump")
    pin = crank.plain.pins[0]
    still = SimpleNamespace(motion=lambda places: np.zeros((len(places), 6)))
    spacer = SimpleNamespace(throw=0, diameter=Quantity(10.0, "mm"))
    view = squeezed_crank._View(100.0, 0.1, 0.2)
    for bears, share, color in ((True, 1.0, GREEN), (False, 0.9, RUST)):
        area, words = squeezed_crank._spacer_items(crank, still, spacer, bears, "0 N", 1.0, view)
        length = pin.end - pin.start
        assert (area.x.min(), np.ptp(area.x)) == pytest.approx(
            (0.1 + pin.start / 100, share * length / 100)
        )
        assert (area.y.min(), area.y.max()) == pytest.approx((0.2 - 0.05, 0.2 + 0.05))
        assert words.x == pytest.approx(0.1 + (pin.start + share * length / 2) / 100)
        assert words.y == pytest.approx(0.15 - 0.065) and words.color == color
    moving = SimpleNamespace(
        motion=lambda places: np.tile([0.2, 0.4, 0, 0, 0, 0], (len(places), 1))
    )
    area, _ = squeezed_crank._spacer_items(crank, moving, spacer, True, "", 10.0, view)
    assert area.x.min() == pytest.approx(0.1 + (pin.start + 2) / 100), "it moves with the webs"
    assert (area.y.min(), area.y.max()) == pytest.approx((0.2 - 0.01, 0.2 + 0.09))


def test_centers_point_into_the_ends_and_press_inward():
    crank = Crank.load("pump")
    view = squeezed_crank._View(200.0, 0.1, 0.2)
    drawn = squeezed_crank._center_items(crank, view, "400 N")
    left, right = (one for one in lines(drawn) if one.color == GRAY)
    assert left.x.max() == pytest.approx(0.1 + 0.015) and left.x.min() == pytest.approx(0.1 - 0.06)
    assert right.x.min() == pytest.approx(0.8 - 0.015) and right.x.max() == pytest.approx(
        0.8 + 0.06
    )
    for cone in (left, right):
        assert (cone.y.min(), cone.y.max()) == pytest.approx((0.2 - 0.026, 0.2 + 0.026))
        tip = cone.points()[0]
        assert tip[1] == pytest.approx(0.2) and np.abs(np.diff(cone.points()[1:3, 1])) == 0
    pushed, pressed = lines(drawn, color=RUST)
    for arrow, tip, start in (
        (pushed, 0.1 - 0.065, 0.1 - 0.115),
        (pressed, 0.8 + 0.065, 0.8 + 0.115),
    ):
        assert arrow.points()[3] == pytest.approx((tip, 0.2))
        assert sorted((arrow.x.min(), arrow.x.max())) == pytest.approx(sorted((tip, start)))
    (words,) = (one for one in drawn if one.kind == "text")
    assert words.text == "400 N" and words.anchor == "end" and words.y > 0.2 + 0.02
    assert 0.8 + 0.115 <= words.x <= 1.11
    free = squeezed_crank._center_items(crank, view, "")
    assert len(free) == 2, "released, nothing presses"


def test_the_dial_stands_under_the_end_that_runs_out_most():
    """A result whose right main's inner end moves most: the plunger touches it there, the dial below in the window."""
    crank = Crank.load("pump")
    journal = crank.segments[-1]

    def motion(places):
        found = np.zeros((len(places), 6))
        found[:, 1] = np.where(np.isclose(places, journal.start, atol=0.1), -0.02, 0.001)
        return found

    view = squeezed_crank._View(140.0, 0.0, -0.3)
    drawn = squeezed_crank._dial_items(
        crank, SimpleNamespace(motion=motion), 100.0, view, "40 µm", 0.5, RUST
    )
    plunger, face, hand, words = drawn
    at = journal.start + min(0.1 * journal.length, 3.0)
    radius = journal.diameter / 2
    free = -0.3 - radius / 140
    assert plunger.x == pytest.approx(at / 140) and plunger.y[1] == pytest.approx(
        free + 100 * 0.02 / 140
    )
    middle = max(free - 0.05 - 0.05 - 0.01, -0.505)
    assert (face.y.max() + face.y.min()) / 2 == pytest.approx(middle)
    assert face.y.max() - face.y.min() == pytest.approx(0.1, rel=1e-3)
    turn = np.arctan2(np.diff(hand.y), np.diff(hand.x))[0]
    assert turn == pytest.approx(0), (
        "half of its three quarters of a turn: from up left to the right"
    )
    assert words.text == "40 µm" and words.color == RUST and words.x == pytest.approx(at / 140)
    assert -0.622 < words.y < middle - 0.05
    for share, angle in ((0.0, 135), (1.0, -135), (2.0, -135)):
        *_, hand, _ = squeezed_crank._dial_items(
            crank, SimpleNamespace(motion=motion), 100.0, view, "", share, RUST
        )
        turn = np.degrees(np.arctan2(np.diff(hand.y), np.diff(hand.x))[0])
        assert turn == pytest.approx(angle)


def test_the_chart_of_misfits_reaches_both_ways():
    figure = squeezed_crank.squeeze_paper("µm", 40.0)
    window, axes = figure.axes
    assert axes.get_xlim() == (-40, 40) and axes.get_ylim()[0] == 0 and 1 < axes.get_ylim()[1] < 1.1
    assert axes.get_yticks().tolist() == [0, 0.25, 0.5, 0.75, 1]
    assert [one.get_text() for one in axes.get_yticklabels()] == ["0", "", "", "", ""]
    assert "[µm]" in axes.get_xlabel()
    heights = {one.get_text(): one.xy[1] for one in window.texts}
    assert 0.22 < heights["squeezed: so it is cut"] < window.get_ylim()[1]
    assert -0.255 < heights["released, under a dial"] < 0.22
    words_stand_apart(figure)


# lesson 04


def test_gear_steps_are_lines_with_their_numbers_at_the_end():
    gears = np.array([60.0, 140.0, 320.0, 740.0, 1700.0])
    for projector in (False, True):
        figure = speed_picture.speed_paper(gears, "mm", 80.0, projector)
        figure.canvas.draw()
        axes, view = figure.axes
        segments = axes.collections[0].get_segments()
        assert [one.tolist() for one in segments] == [[[0, one], [80, one]] for one in gears]
        numbered = {one.get_text(): one.xy for one in axes.texts if one.get_text().isdigit()}
        shown = gears[:: 2 if projector else 1]
        assert numbered == {f"{one:.0f}": (80, one) for one in shown}
        assert axes.get_xlim() == (0, 80) and axes.get_ylim() == (40, 3000)
        ticks = [float(one.get_text()) for one in axes.get_yticklabels()]
        assert ticks == axes.get_yticks().tolist() == [50, 100, 200, 500, 1000, 2000]
        assert view.get_xlim() == view.get_ylim() == (-1.9, 1.9) and view.get_aspect() == 1


# lesson 05, in space


@pytest.mark.parametrize(("count", "at"), [(4, 0), (5, 2), (14, 13)])
def test_boxes_of_the_plan_fill_as_its_steps_are_done(count, at):
    drawn = work_in_space.strip_items(count, at)
    boxes, numbers = lines(drawn), [one for one in drawn if one.kind == "text"]
    for number, (one, words) in enumerate(zip(boxes, numbers, strict=True)):
        left, right, low, high = box(one)
        assert number / count < left < right < (number + 1) / count and 0 < low < high < 1
        assert (left + right) / 2 == pytest.approx(words.x) and words.text == str(number + 1)
        assert right - left > 0.85 / count and low < words.y < high and words.anchor == "middle"
    fills = [one.fill for one in boxes]
    assert len(set(fills[:at])) <= 1 and fills[at] not in fills[:at] + fills[at + 1 :]
    assert set(fills[at + 1 :]) <= {"#ffffff"} and "#ffffff" not in fills[: at + 1]


@pytest.mark.parametrize("angle", [0, 60, 85, 95, 120, 180, 265, 275])
def test_webs_reach_from_below_their_main_to_past_their_pin(angle):
    """Seen from the front a throw of 18 stands 18 cos up; 14 past either axis, and at least as far as both."""
    crank = Crank.load("pump").with_throw(0, angle=Quantity(angle, "deg"))
    places, starts = squeezed_crank._places(crank)
    pieces = squeezed_crank.crank_pieces(crank.plain, np.zeros((len(places), 6)), starts)
    up = 18 * np.cos(np.radians(angle))
    for piece, (x, y) in zip(crank.segments, pieces, strict=True):
        if piece.kind == "web":
            assert (y.min(), y.max()) == pytest.approx((min(up, 0) - 14, max(up, 0) + 14))
            assert (x.min(), x.max()) == pytest.approx((piece.start, piece.end))


def test_the_throw_on_the_section_turns_about_what_is_held():
    """Pump: the farthest corner reaches half of the radius; webs, pin and main to one scale; named a little beyond."""
    part = crank_drawing.shape(Crank.load("pump"))
    for held, axis, far in ((None, (0, 0), np.hypot(14, 32)), (0, (0, 18), np.hypot(14, 32))):
        drawn, scale = cut_profile.throw_items(part, held, 0.0), 0.5 / far
        web = lines(drawn, fill=crank_drawing.WEB)[0]
        wanted = scale * (np.array([(-14, -14), (14, 32)]) - axis)
        assert web.points().min(axis=0) == pytest.approx(wanted[0])
        assert web.points().max(axis=0) == pytest.approx(wanted[1])
        main = lines(drawn, fill=crank_drawing.ROUND)[0]
        pin = lines(drawn, dash="4 3")[0]
        at_main, at_pin = scale * -np.array(axis), scale * (np.array((0, 18)) - axis)
        assert np.hypot(*(main.points() - at_main).T) == pytest.approx(10 * scale)
        assert np.hypot(*(pin.points() - at_pin).T) == pytest.approx(9 * scale)
        arrow = lines(drawn, fill=GRAY)[0]
        assert arrow.points()[3] == pytest.approx(at_pin)
        words = drawn[-1]
        assert words.text == ("throw" if held is None else "main") and words.x == pytest.approx(0)
        assert words.y == pytest.approx((0.63 if held is None else -0.63) - 0.14)


def test_the_paper_of_a_cut_leaves_room_below_for_the_work():
    figure = cut_profile.profile_paper()
    view, axes = figure.axes
    assert (
        view.get_xlim() == (-1.75, 1.75)
        and view.get_ylim() == (-2.1, 2.2)
        and view.get_aspect() == 1
    )
    assert axes.get_xlim() == (0, 1) and axes.get_ylim()[0] == cut_profile.LOW
    assert [one.get_text() for one in axes.get_xticklabels()] == ["0", "1/4", "1/2", "3/4", "1"]
    assert [one.get_text() for one in axes.get_yticklabels()] == ["0", "", "", "", ""]
    assert axes.get_xticks().tolist() == axes.get_yticks().tolist() == [0, 0.25, 0.5, 0.75, 1]
    turning = next(one for one in view.texts if not one.get_text())
    assert turning.xyann[0] < turning.xy[0] and turning.xy[1] < -1, (
        "below it goes to the right: counterclockwise"
    )
    words_stand_apart(figure)


def test_at_the_bench_the_axes_are_shown_and_no_tool():
    shown = work_in_space.step_in_space(make_plan(Job.load("pump")), 0, 55.0, 6.0, "", ("",) * 3)
    assert not shown.words and len(shown.bodies) == 1
    assert {one.dash for one in shown.traces} == {"3 5"} and len(shown.traces) == 2


@pytest.mark.parametrize("step", ["rough_pin_1", "rough_mains", "finish_mains"])
def test_what_stands_beside_a_step(step):
    """The blade's edge 6 mm high below the axis at the cut's radius, its holder 16 mm of it beyond the reach; the carriage under all cuts and 20 mm more."""
    plan = make_plan(Job.load("pump"))
    number = [one.key for one in plan.steps].index(step)
    at, words = plan.steps[number], ("swing", "carriage", "blade")
    shown = work_in_space.step_in_space(plan, number, 55.0, 6.0, "said", words)
    named = {one.text: one.point for one in shown.words}
    (y, z), cut = at.axis, at.cuts[0]
    blade, holder, board = shown.bodies[-3:]
    reach, thick = at.tool["reach"], at.tool["thickness"]
    middle, edge = (cut.x0 + cut.x1) / 2, z + cut.radius
    corner = blade.prisms[0].vertices
    assert corner.min(axis=0) == pytest.approx((middle - thick / 2, y - 6, edge))
    assert corner.max(axis=0) == pytest.approx((middle + thick / 2, y, edge + reach))
    corner = holder.prisms[0].vertices
    assert corner.min(axis=0) == pytest.approx((middle - 2 * thick, y - 9, edge + reach))
    assert corner.max(axis=0) == pytest.approx((middle + 2 * thick, y + 3, edge + reach + 16))
    corner = board.prisms[0].vertices
    ends = min(one.x0 for one in at.cuts) - 20, max(one.x1 for one in at.cuts) + 20
    assert corner.min(axis=0) == pytest.approx((ends[0], y - 55 - 5, -34))
    assert corner.max(axis=0) == pytest.approx((ends[1], y - 55, 34))
    axis, swing = shown.traces[0].points, shown.traces[-1].points
    before = plan.works[number]
    assert axis == pytest.approx(np.array([(before.x0 - 14, y, z), (before.x1 + 14, y, z)]))
    radius = np.hypot(*(swing[:, 1:] - (y, z)).T)
    assert np.ptp(radius) < 1e-9
    assert named["swing"] == pytest.approx((swing[0, 0], y + radius[0] + 3, z))
    assert named["carriage"] == pytest.approx((ends[1], y - 55 - 4, 34))
    assert named["blade"] == pytest.approx((cut.x0, y - 24, edge + reach + 16))


def test_all_of_the_plan_fits_in_its_views():
    """The bar's ends, every swing and 6 mm for its words, and the carriage below the deepest axis."""
    plan = make_plan(Job.load("pump"))
    bar = plan.works[0]
    held = work_in_space.points_to_hold(plan, 55.0)
    axes = {one.axis for one in plan.steps if one.axis}
    assert (held[:, 0].min(), held[:, 0].max()) == pytest.approx((bar.x0, bar.x1))
    deepest = min(y - 55 - 5 for y, _ in axes)
    assert held[:, 1].min() == pytest.approx(
        min(deepest, *(y - bar.swing((y, z)) - 6 for y, z in axes)), abs=0.5
    )
    assert held[:, 1].max() == pytest.approx(
        max(y + bar.swing((y, z)) + 6 for y, z in axes), abs=0.5
    )
    board = held[-8:]
    third = (bar.x1 - bar.x0) / 3
    assert board.min(axis=0) == pytest.approx((bar.x0 + third, deepest, -34))
    assert board.max(axis=0) == pytest.approx((bar.x1 - third, deepest, 34))
