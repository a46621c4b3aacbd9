"""Pictures of the blank and of the proof: each place by hand, from round numbers."""

import re
from types import SimpleNamespace

import numpy as np
import pytest
from helpers import words_stand_apart
from test_places_on_charts import box, lines, notes
from test_places_on_turning_charts import points

from crankbook.lessons.proving import lesson_11
from crankbook.pictures import crank_drawing, paper_drawing, scene
from crankbook.pictures.blank import bar_picture, center_picture, layout_sheet, piston_picture
from crankbook.pictures.proving import (
    fault_picture,
    runout_picture,
    solved_throw,
    stress_picture,
    turning_crank,
)
from crankbook.pictures.scene import BLUE, GRAY, GREEN, PURPLE, RUST
from crankmath.blank import bar, center_holes, layout
from crankmath.crank import Crank
from crankmath.units import Quantity


def mm(value):
    return Quantity(float(value), "mm")


def round_bar(wide=60.0, long=163.0):
    """The pump's bar by hand: its main 9 below the middle."""
    return SimpleNamespace(
        shape="round", width=mm(wide), height=mm(wide), length=mm(long),
        turn=Quantity(0.0, "rad"), middle_x=mm(0), middle_y=mm(9),
    )  # fmt: skip


def flat_bar(wide=40.0, high=60.0):
    return SimpleNamespace(
        shape="flat", width=mm(wide), height=mm(high), length=mm(163.0),
        turn=Quantity(0.0, "rad"), middle_x=mm(0), middle_y=mm(9),
    )  # fmt: skip


# lesson 02


def test_the_bar_and_what_stands_in_it_are_drawn_to_one_scale():
    """Ø60 fills 300: 5 a millimeter about (172, 222). Pump: webs 28 by 46, pin Ø18 9 up, main Ø20 9 down."""
    drawn = bar_picture.bar_items(
        Crank.load("pump"), round_bar(), round_bar(54.0), 0.0, ("needs", "smallest"), 50.0
    )
    middle = np.array([172.0, 222.0])
    outline, bare, guess = (
        next(one for one in lines(drawn) if one.color == color and one.dash == dash)
        for color, dash in ((bar_picture.INK, ""), (GREEN, "4 4"), (PURPLE, "2 4"))
    )
    for circle, wide in ((outline, 60), (bare, 54), (guess, 50)):
        assert np.hypot(*(circle.points() - middle).T) == pytest.approx(5 * wide / 2)
    webs = lines(drawn, fill=bar_picture.WEB)
    assert len(webs) == 1
    for web in webs:
        assert box(web) == pytest.approx((172 - 70, 172 + 70, 222 - 115, 222 + 115))
    main, pin = lines(drawn, fill=bar_picture.ROUND)
    assert np.hypot(*(main.points() - middle - (0, -45)).T) == pytest.approx(50)
    assert np.hypot(*(pin.points() - middle - (0, 45)).T) == pytest.approx(45)
    said = notes(drawn)
    assert said["needs"].x == said["smallest"].x == said["dotted: your prediction"].x == 172
    assert 0 < said["smallest"].y < said["needs"].y < 222 - 150 - 10
    assert 222 + 150 < said["dotted: your prediction"].y < 440 - 10
    assert said["smallest"].color == GREEN and said["dotted: your prediction"].color == PURPLE
    assert not [one for one in lines(drawn) if one.fill == bar_picture.CUT], "nothing cut"
    plain = bar_picture.bar_items(Crank.load("pump"), round_bar(), round_bar(54.0), 0.0, ("", ""))
    assert not lines(plain, color=PURPLE)


@pytest.mark.parametrize("depth", [6.0, 30.0, 40.0])
def test_the_flat_is_cut_off_the_top(depth):
    """Of Ø60 at 5 a millimeter: what lies higher than 30 less its depth, bounded by the circle and the chord."""
    drawn = bar_picture.bar_items(Crank.load("pump"), round_bar(), round_bar(54), depth, ("", ""))
    (flat,), (rim,) = lines(drawn, fill=bar_picture.CUT), lines(drawn, dash="6 3")
    assert flat.points() == pytest.approx(rim.points()) and rim.color == RUST
    y = (flat.y - 222) / 5
    assert (y.min(), y.max()) == pytest.approx((30 - depth, 30))
    half = np.sqrt(900 - (30 - depth) ** 2)
    x = (flat.x - 172) / 5
    assert (x[0], x[-2]) == pytest.approx((half, -half))
    assert flat.points()[0] == pytest.approx(flat.points()[-1])
    assert np.hypot(x, y) == pytest.approx(30)
    square = bar_picture.bar_items(Crank.load("pump"), flat_bar(), flat_bar(), depth, ("", ""))
    assert box(square[0]) == pytest.approx((172 - 100, 172 + 100, 222 - 150, 222 + 150))
    (flat,) = lines(square, fill=bar_picture.CUT)
    assert box(flat) == pytest.approx((172 - 100, 172 + 100, 222 + 150 - 5 * depth, 222 + 150))


def test_the_stress_stands_beside_its_place_in_the_bar():
    """Ø60 at 5 a millimeter: from 72 to 372; 6 mm cut away at the top are dashed and join what is left."""
    height = np.linspace(-30, 30, 61)
    profiles = np.array([height, 2 * height, 4 * height])
    drawn = bar_picture.stress_items(round_bar(), height, profiles, 6.0)
    band, left, gone = drawn
    place = 222 + 5 * height
    assert left.points() == pytest.approx(np.column_stack([2 * height, place])[:55])
    assert gone.points() == pytest.approx(np.column_stack([2 * height, place])[54:]) and gone.dash
    assert band.points()[:61] == pytest.approx(np.column_stack([height, place]))
    assert band.points()[61:] == pytest.approx(np.column_stack([4 * height, place])[::-1])
    assert {one.axes for one in drawn} == {1} and band.fill and left.color == RUST
    assert len(bar_picture.stress_items(round_bar(), height, profiles, 0.0)) == 2


def test_bow_over_the_cut_on_a_scale_of_its_own():
    """At least 50 um or 2 thousandths; 130 at most takes 200. The knob is the depth itself."""
    depths = np.array([0.0, 5.0, 10.0])
    bows = np.array([[0.0, 10, 20], [0.0, 40, 80], [0.0, 80, 130]])
    drawn = bar_picture.bow_items(depths, bows, 5.0, 40.0, "mm")
    band, usual = lines(drawn, fill=bar_picture.BAND)[0], lines(drawn, color=BLUE)[0]
    assert usual.points() == pytest.approx(np.column_stack([depths, bows[1] / 200]))
    assert band.points()[:3] == pytest.approx(np.column_stack([depths, bows[0] / 200]))
    assert band.points()[3:] == pytest.approx(np.column_stack([depths, bows[2] / 200])[::-1])
    (point,) = points(drawn)
    assert (point.x, point.y) == (5, pytest.approx(0.2))
    (grip,) = point.grips
    assert grip.control == "depth" and grip.offset + grip.factor * 5 == 5
    assert {"100 µm", "200 µm"} == set(notes(drawn, 2)) and notes(drawn, 2)["100 µm"].x == 0.2
    assert "50 µm" in notes(bar_picture.bow_items(depths, bows / 100, 5.0, 0.4, "mm"), 2)
    assert "2 thou" in notes(bar_picture.bow_items(depths, bows / 100, 5.0, 0.4, "in"), 2)


def test_the_trial_piece_bows_up_in_its_middle():
    """163 by 60 in a room of 0.66 by 0.2: 1/300 a millimeter. Bow 0.15 mm: enlarged 200 times it would be 0.1 high, 100 times 0.05."""
    drawn = bar_picture.piece_items(round_bar(), 6.0, 0.15)
    dashed, bent = lines(drawn)
    scale, foot = 0.2 / 60, -0.085
    half = 163 * scale / 2
    assert box(dashed) == pytest.approx((0.5 - half, 0.5 + half, foot, foot + 60 * scale))
    note = next(iter(notes(drawn, 3)))
    enlarged = float(note.split()[1])
    assert enlarged * 0.15 * scale <= 0.09 * (1 + 1e-9) < 2.5 * enlarged * 0.15 * scale
    low, top = bent.points()[:31], bent.points()[31:][::-1]
    assert low[[0, -1]] == pytest.approx(np.array([(0.5 - half, foot), (0.5 + half, foot)]))
    assert low[15] == pytest.approx((0.5, foot + enlarged * 0.15 * scale))
    quarter = np.interp(0.5 + half / 2, *low.T)
    assert quarter - foot == pytest.approx(0.75 * enlarged * 0.15 * scale, rel=0.01), "a parabola"
    assert top - low == pytest.approx(np.column_stack([np.zeros(31), np.full(31, 54 * scale)]))
    still = bar_picture.piece_items(round_bar(), 0.0, 0.0)
    assert "2,000 times" in next(iter(notes(still, 3))), "nothing to see is not enlarged further"
    long = lines(bar_picture.piece_items(round_bar(60, 660), 6.0, 0.0))[0]
    assert box(long)[:2] == pytest.approx((0.17, 0.83)), "a long one fills the room's width"


@pytest.mark.parametrize(("unit", "deepest", "ticks"), [("mm", 20.0, 500), ("in", 0.8, 517.1)])
def test_the_paper_of_the_bar_is_numbered(unit, deepest, ticks):
    """75 kpsi are 75 times 6.895 MPa. Stress lines stand at minus, none and plus, beside the whole bar."""
    figure = bar_picture.bar_paper(unit, deepest)
    face, stress, chart, side = figure.axes
    at = [line.get_xdata()[0] for line in stress.lines]
    assert at == pytest.approx([-ticks, 0, ticks], rel=1e-4)
    for line in stress.lines:
        low, high = line.get_ydata()
        assert low < 222 - 150 and high > 222 + 150
    number = "500" if unit == "mm" else "75"
    said = {one.get_text(): one.xy for one in stress.texts}
    for words, place in ((f"−{number}", -ticks), ("0", 0), (f"+{number}", ticks)):
        assert said[words][0] == pytest.approx(place, rel=1e-4) and said[words][1] < 72
    assert face.get_ylim() == stress.get_ylim() == (0, 440) and face.get_xlim() == (0, 350)
    assert face.get_position().height == stress.get_position().height == 1
    assert chart.get_xlim() == (0, deepest) and side.get_xlim() == (0, 1)
    wide, high = side.get_position().width * 9.0, side.get_position().height * 4.4
    assert np.ptp(side.get_ylim()) == pytest.approx(high / wide, rel=0.01), "as high as it is wide"
    words_stand_apart(figure)


# lesson 03


def face(name="pump", wide=60.0, hole=True, guess=None):
    found = layout.center_layout(Crank.load(name), bar.smallest_bar(Crank.load(name)), "right")
    of = center_holes.center_hole(mm(wide)) if hole else None
    return found, of, center_picture.face_items(Crank.load(name), found, of, "mm", guess)


def test_centers_of_the_end_face_stand_at_their_coordinates():
    """256 across the bar, about (236, 236): each center's cross and its mouth there, its name above."""
    found, hole, drawn = face()
    scale = 256 / found.bar.width.m_as("mm")
    rings = [one for one in lines(drawn) if len(one.x) == len(crank_drawing.TURN)]
    assert len(rings) == len(found.points) == 2
    for point, ring in zip(found.points, rings, strict=True):
        at = 236 + scale * np.array(
            [one.m_as("mm") for one in (point.from_middle_x, point.from_middle_y)]
        )
        assert np.hypot(*(ring.points() - at).T) == pytest.approx(scale * hole.mouth.m_as("mm") / 2)
        crosses = [
            one for one in lines(drawn, color=bar_picture.INK, width=1.2)
            if len(one.x) == 2 and one.points().mean(axis=0) == pytest.approx(at)
        ]  # fmt: skip
        reach = scale * 0.6 * hole.mouth.m_as("mm")
        assert sorted(np.ptp(one.points(), axis=0).tolist() for one in crosses) == pytest.approx(
            np.array([[0, 2 * reach], [2 * reach, 0]])
        )
        name = notes(drawn)[point.name]
        assert name.x == pytest.approx(at[0]) and 0 < name.y - at[1] <= reach
    _, _, bare = face(hole=False)
    assert not [one for one in lines(bare) if len(one.x) == len(crank_drawing.TURN)]


def test_sizes_of_the_end_face_are_taken_from_its_edges():
    """Heights from below, the main's at the left and the pin's at the right; both lie on the middle line: one size across."""
    found, _, drawn = face()
    scale, half = 256 / found.bar.width.m_as("mm"), found.bar.width.m_as("mm") / 2
    main, pin = (float(one.from_bottom.m_as("mm")) for one in found.points)
    said = notes(drawn)
    for size, color, side in ((main, BLUE, -1), (pin, RUST, 1)):
        words = said[f"{size:.3f}".rstrip("0").rstrip(".")]
        assert words.color == color and words.anchor == ("end" if side < 0 else "start")
        out = 236 + side * (scale * half + 30)
        assert words.x == pytest.approx(out + 6 * side)
        assert words.y == pytest.approx(236 - scale * half + scale * size / 2 - 6)
        (line,) = (
            one for one in lines(drawn, color=color, width=1)
            if len(one.x) == 2 and one.x == pytest.approx([out, out])
        )  # fmt: skip
        assert sorted(line.y) == pytest.approx(
            [236 - scale * half, 236 - scale * half + scale * size]
        )
        (across,) = (
            one for one in lines(drawn, color=color, width=0.8) if np.ptp(one.y) == 0
        )  # fmt: skip
        assert across.x[0] == pytest.approx(236) and (across.x[1] - out) * side == pytest.approx(5)
    (drop,) = (one for one in lines(drawn, color=BLUE, width=0.8) if np.ptp(one.x) == 0)
    foot = 236 - scale * half - 30
    assert drop.points() == pytest.approx(
        np.array([(236, 236 - scale * half + scale * main), (236, foot - 5)])
    )
    middle = said[f"{half:.3f}".rstrip("0").rstrip(".")]
    assert middle.color == BLUE and middle.y == pytest.approx(236 - scale * half - 30)
    assert middle.x == pytest.approx(236 - scale * half / 2)
    _, _, organ = face("organ")
    both = [one for one in lines(organ, width=0.8) if np.ptp(one.x) == 0]
    assert len(both) == 1, "organ's first pin stands above its main"


@pytest.mark.parametrize(("length", "unit", "text"), [
    (30.0, "mm", "30"), (30.1234, "mm", "30.123"), (25.4, "in", "1"), (31.75, "in", "1.25"),
    (25.4127, "in", "1.0005"),
])  # fmt: skip
def test_coordinates_as_a_mill_takes_them(length, unit, text):
    assert center_picture.as_marked(length, unit) == text


def test_a_guessed_center_is_a_line_below_the_middle():
    found, _, drawn = face(guess=9.0)
    scale, half = 256 / found.bar.width.m_as("mm"), found.bar.width.m_as("mm") / 2
    (line,) = lines(drawn, color=PURPLE)
    assert line.y.tolist() == pytest.approx([236 - 9 * scale] * 2)
    assert line.x.tolist() == pytest.approx([236 - 0.9 * 128, 236 + 0.9 * 128])
    words = notes(drawn)["your prediction"]
    assert (words.x, words.y) == pytest.approx((236 - 0.9 * 128, 236 - 9 * scale)) and half > 20


def test_the_pins_axis_along_the_bar():
    """From nothing at the left to 0.2 outward and -0.1 across at the right; the pin from 40 to 60 %."""
    drawn = center_picture.axis_items((40.0, 60.0), (0.0, 0.2), (0.0, -0.1))
    for color, end in ((BLUE, 0.2), (GREEN, -0.1)):
        thin, thick = lines(drawn, color=color)
        assert thin.points() == pytest.approx(np.array([(0, 0), (100, end)]))
        assert thick.points() == pytest.approx(np.array([(40, 0.4 * end), (60, 0.6 * end)]))
        assert thick.width > 2 * thin.width
    (point,) = points(drawn)
    assert (point.x, point.y) == (100, 0.2) and point.grips[0].control == "out"
    assert [bool(one.dash) for one in lines(drawn)] == [False, False, True, False]


def in_space(centers=((0.0, -9.0), (0.0, 9.0)), offs=((0.04, 0.02),)):
    return center_picture.axes_in_space(
        round_bar(), (160.0, 70.0, 92.0), np.array(centers), np.array(offs), "said"
    )


def test_crosses_of_the_centers_stand_on_both_faces():
    """160 long; an error of 0.04 to the right and 0.02 up is 2 and 1 mm there; marks 0.045 of the bar to each side."""
    shown = in_space()
    crosses = [one.points for one in shown.traces if one.width == 1.5 and len(one.points) == 2
               and one.color == center_picture.INK]  # fmt: skip
    middles = [one.mean(axis=0) for one in crosses]
    wanted = [(0, -9, 0), (160, -9, 0), (0, 9, 0), (160, 9 + 1, -2)]
    assert middles == pytest.approx(np.repeat(np.array(wanted, float), 2, axis=0))
    for upright, level in zip(crosses[::2], crosses[1::2], strict=True):
        assert np.ptp(upright, axis=0) == pytest.approx((0, 5.4, 0))
        assert np.ptp(level, axis=0) == pytest.approx((0, 0, 5.4))
    faces = [one.points for one in shown.traces if len(one.points) > 100]
    assert [set(one[:, 0]) for one in faces] == [{0.0}, {160.0}]
    for one in faces:
        assert one[0] == pytest.approx(one[-1]) and np.hypot(*one[:, 1:].T) == pytest.approx(30)


def test_axes_are_named_at_their_ends():
    shown = in_space()
    said = {one.text: one for one in shown.words}
    assert said["main"].point == pytest.approx((-16 - 4.8, -9, 0)) and said["main"].anchor == "end"
    pin = said["pin 1"]
    assert pin.point == pytest.approx((176 + 4.8, 9 + 1.1, -2.2)) and pin.anchor == "start"
    assert said["left end"].point == pytest.approx((0, -30 - 9.6, 0))
    assert said["right end"].point == pytest.approx((160, -30 - 9.6, 0))
    planned = next(one for one in shown.traces if one.dash)
    assert planned.points == pytest.approx(np.array([(-16, 9, 0), (176, 9, 0.0)]))
    thick = next(one for one in shown.traces if one.width == 7)
    shares = np.array([70, 92]) / 160
    assert thick.points == pytest.approx(np.column_stack([(70, 92), 9 + shares, -2 * shares]))
    level = in_space(((0, -9), (0, 9), (5, 9.5), (0, -20)), ((0, 0),) * 3)
    assert [one.text for one in level.words if "pin" in one.text] == ["pins 1, 2", "pin 3"]
    assert level.holds[:, 0].max() == pytest.approx(160 + 4 * 16), "longer names need room"
    assert shown.holds[:, 0].min() == -16 and shown.holds[:, 0].max() == pytest.approx(160 + 2 * 16)


# lesson 01


def test_travel_of_each_piston_with_its_name_at_its_peak():
    """Two throws: 1 peaks at 180, 2 at 0; the present places on the curves; the lowest number drawn last, on top."""
    angles = np.linspace(0, 360, 73)
    shares = np.array([50 - 50 * np.cos(np.radians(angles)), 40 + 40 * np.cos(np.radians(angles))])
    drawn = piston_picture.travel_chart(angles, shares, shares[0] + 1, 90.0, (50.0, 40.0))
    harmonic, upright = lines(drawn, color=GRAY)
    assert harmonic.dash and harmonic.points() == pytest.approx(
        np.column_stack([angles, shares[0] + 1])
    )
    assert upright.points().tolist() == [[90, 0], [90, 118]]
    second, first = [one for one in lines(drawn) if one.width == 2.5]
    assert (first.color, second.color) == (BLUE, RUST)
    assert first.y == pytest.approx(shares[0]) and second.y == pytest.approx(shares[1])
    assert [(one.x, one.y, one.color) for one in points(drawn)] == [(90, 40, RUST), (90, 50, BLUE)]
    assert all(one.grips[0].control == "turn" for one in points(drawn))
    said = notes(drawn, 1)
    assert (said["throw 1"].x, said["throw 1"].y, said["throw 1"].anchor) == (180, 104, "middle")
    assert (said["throw 2"].x, said["throw 2"].y, said["throw 2"].anchor) == (4, 84, "start")


@pytest.mark.parametrize(("peak", "x", "anchor"), [
    (35, 4, "start"), (40, 40, "middle"), (320, 320, "middle"), (325, 356, "end"),
])  # fmt: skip
def test_a_name_near_the_edge_stands_inside(peak, x, anchor):
    angles = np.arange(0, 361, 5.0)
    share = 50 + 50 * np.cos(np.radians(angles - peak))
    drawn = piston_picture.travel_chart(angles, np.array([share]), share, 90.0, (50.0,))
    words = notes(drawn, 1)["throw 1"]
    assert (words.x, words.anchor) == (x, anchor)


def test_throws_that_peak_together_are_named_together_and_many_by_numbers_alone():
    angles = np.arange(0, 361, 5.0)
    wave = 50 + 50 * np.cos(np.radians(angles - 180))
    drawn = piston_picture.travel_chart(angles, np.array([wave, wave]), wave, 90.0, (50.0, 50.0))
    assert "throw 1, 2" in notes(drawn, 1)
    many = np.array([np.roll(wave[:-1], 9 * row)[np.r_[0:72, 0]] for row in range(6)])
    drawn = piston_picture.travel_chart(angles, many, wave, 90.0, np.zeros(6))
    assert {"1", "2", "3", "4", "5", "6"} == set(notes(drawn, 1))
    curves = [one for one in lines(drawn) if one.width == 2.5][::-1]
    looks = [(one.color, one.dash) for one in curves]
    assert len(set(looks)) == 6 and looks[0][0] == looks[4][0] and looks[4][1] and not looks[0][1]


def test_a_rods_outline_joins_its_eyes():
    big, shank, small = piston_picture.rod_ring(72.0, 12.0, 5.0)
    assert np.hypot(*big.T) == pytest.approx(12) and np.hypot(
        *(small - (72, 0)).T
    ) == pytest.approx(5)
    assert shank == pytest.approx(np.array([(0, -6.6), (72, -4), (72, 4), (0, 6.6)]))


def test_pistons_move_in_cylinders_that_hold_them():
    """Throw 18 on a rod of 72: a piston of 0.9 throws radius and 1.1 high from 54 to 90; walls a little wider, open above its pin."""
    work = SimpleNamespace(pieces=(), x0=0.0, x1=140.0, swing=lambda axis: 32.0)
    turns = np.linspace(0, 2 * np.pi, 37)
    height = 18 * np.cos(turns) + np.sqrt(72**2 - (18 * np.sin(turns)) ** 2)
    shown = piston_picture.crank_in_space(
        work, ((59.0, 81.0, 9.0),), ((18.0, (1.0, 0.0)),), 72.0, turns, height[None], "said"
    )
    _, rod, piston, walls = shown.bodies
    (cylinder,), (wall,) = piston.prisms, walls.prisms
    assert (cylinder.low, cylinder.high) == pytest.approx((-9.9, 9.9))
    assert np.hypot(*(cylinder.ring - (0, 70)).T) == pytest.approx(16.2)
    assert piston.moves[:, 1] == pytest.approx(height) and not piston.moves[:, [0, 2]].any()
    assert np.hypot(*(wall.ring - (0, 70)).T).min() > 16.2
    assert wall.low == pytest.approx(54 - 9.9) and 90 + 9.9 < wall.high < 90 + 1.2 * 9.9
    assert walls.upright and piston.upright and walls.opacity < 0.5
    ends = [(59 + 2.64 * thin, 81 - 2.64 * thin) for thin in (1, 2.2, 2)]
    assert np.array([(one.low, one.high) for one in rod.prisms]) == pytest.approx(np.array(ends))
    assert rod.moves[:, 1] == pytest.approx(18 * np.cos(turns))
    assert rod.moves[:, 2] == pytest.approx(18 * np.sin(turns))
    least, most = shown.holds.min(axis=0), shown.holds.max(axis=0)
    assert least == pytest.approx((0, -32, -16.2))
    assert most == pytest.approx((140, 18 + 72 + 1.2 * 9.9, 16.2))
    long = piston_picture.crank_in_space(
        work, ((59.0, 81.0, 9.0),), ((18.0, (1.0, 0.0)),), 720.0, turns, height[None], "said"
    )
    assert long.holds[:, 1].max() == pytest.approx(18 + 6 * 18 + 1.2 * 9.9)
    near = piston_picture.crank_in_space(
        work, ((59.0, 81.0, 9.0), (69.0, 91.0, 9.0)), ((18.0, (1.0, 0.0)),) * 2, 72.0, turns,
        np.array([height, height]), "said",
    )  # fmt: skip
    ring = near.bodies[2].prisms[0].ring
    assert np.hypot(*(ring - (0, 70)).T) == pytest.approx(4.6), "two pistons never touch"


# lesson 12


def test_readings_hang_on_the_offsets_wave():
    """Mean 1, offset 3 toward 90 degrees: at 90 the wave is at 4, at 270 at -2; lines lead from it to each reading."""
    angle, reading = np.array([0.0, 90, 270]), np.array([2.0, 5, -3])
    curve = np.linspace(0, 1, 361)
    drawn = runout_picture.reading_items(curve, angle, reading, (1.0, 3.0, 90.0))
    *hung, wave, fitted = lines(drawn)
    assert [one.points().tolist() for one in hung] == pytest.approx(
        np.array([[(0, 1), (0, 2)], [(90, 4), (90, 5)], [(270, -2), (270, -3)]], float)
    )
    assert (
        wave.color == GREEN
        and wave.dash
        and wave.y[[0, 90, 180, 270]] == pytest.approx([1, 4, 1, -2])
    )
    assert fitted.color == BLUE and fitted.y.tolist() == curve.tolist()
    assert [(one.x, one.y) for one in points(drawn)] == list(zip(angle, reading, strict=True))
    assert all(one.color == RUST for one in points(drawn))


def section(offset=3.0, toward=90.0, out=0.0, most=10.0):
    around = np.arange(361.0)
    outline = offset * np.cos(np.radians(around - toward)) + out
    return runout_picture.section_items(outline, offset, toward, most)


def test_the_section_is_seen_from_the_end_with_marks_clockwise():
    """Radius 24 for readings of 10. High at 90: to the right. The axis has to move left; both words in that line."""
    drawn = section()
    part, circle, *_ = lines(drawn)
    assert np.hypot(part.x, part.y) == pytest.approx(
        24 + 3 * np.cos(np.radians(np.arange(361) - 90))
    )
    assert part.points()[90] == pytest.approx((27, 0)) and part.points()[0] == pytest.approx(
        (0, 24)
    )
    assert circle.points() == pytest.approx(part.points()) and circle.dash and circle.color == GREEN
    arrow = lines(drawn)[-1]
    start, tip, barb, again, other = arrow.points()
    assert start == pytest.approx((0, 0)) and tip == pytest.approx((-0.45 * 24, 0))
    assert again == pytest.approx(tip)
    assert (
        barb[1] == pytest.approx(-other[1])
        and barb[0] == pytest.approx(other[0])
        and abs(barb[0]) < abs(tip[0])
    )
    said = notes(drawn, 1)
    assert (said["high 90°"].x, said["move"].x) == pytest.approx((0.55 * 24, -0.66 * 24))
    assert [one.y for one in said.values()] == pytest.approx([-0.07 * 24] * 2)
    assert len(lines(section(offset=0.0))) == len(lines(drawn)) - 1 and not notes(section(0.0), 1)


@pytest.mark.parametrize(
    ("out", "turn"), [(0.0, 90), (10.0, -45), (-10.0, 225), (5.0, 22.5), (30.0, -45)]
)
def test_the_hand_shows_the_reading_under_the_dial(out, turn):
    """No reading: straight up; all of the paper's: three eighths of a turn clockwise, and no farther."""
    drawn = section(offset=0.0, out=out)
    plunger, face, hand = lines(drawn)[-3:]
    angle = np.degrees(np.arctan2(np.diff(hand.y), np.diff(hand.x))[0])
    assert (angle - turn + 180) % 360 - 180 == pytest.approx(0, abs=1e-6)
    assert plunger.y[1] == pytest.approx(24 + out), "on the part"
    assert (face.y.min() + face.y.max()) / 2 == pytest.approx(36)
    assert np.ptp(face.x) == pytest.approx(2 * 0.18 * 24, rel=0.01)


def test_lobes_are_bars_and_what_cannot_be_told_is_said():
    drawn = runout_picture.lobe_bars({1: 12.3, 2: 4.56, 3: None})
    offset, oval = lines(drawn)
    for one, place, high, color in ((offset, 1, 12.3, GREEN), (oval, 2, 4.56, BLUE)):
        assert (one.x.min(), one.x.max()) == pytest.approx((place - 0.14, place + 0.14))
        assert sorted(one.y) == pytest.approx([0, 0, high, high]) and one.fill == one.color == color
    said = {(one.text, one.x, one.y) for one in drawn if one.kind == "text"}
    assert said == {
        ("12", 1, 12.3),
        ("4.6", 2, 4.56),
        ("blind", 3, 0),
        ("unknown", 4, 0),
        ("unknown", 5, 0),
    }
    ten = runout_picture.lobe_bars({1: 10.0, 2: 9.96})
    assert {"10"} == {one.text for one in ten if one.kind == "text"} - {"unknown"}


def test_the_paper_of_readings_holds_the_section_and_its_dial():
    figure = runout_picture.runout_paper("µm", 10.0)
    chart, part, bars = figure.axes
    assert chart.get_ylim() == (-10, 10) and chart.get_xlim() == (0, 360)
    assert chart.get_xticks().tolist() == list(range(0, 361, 45))
    (nominal,) = part.lines
    assert np.hypot(*nominal.get_xydata().T) == pytest.approx(24)
    (left, right), (low, high) = part.get_xlim(), part.get_ylim()
    assert left == -right and right > 24 + 12 and low < -34 * 1.05
    assert high > 36 + 0.18 * 24, "the dial's rim"
    marks = {one.get_text(): one.xy for one in part.texts}
    for text, way in (("90°", (1, 0)), ("180°", (0, -1)), ("270°", (-1, 0))):
        assert np.array(marks[text]) / 24 / 1.44 == pytest.approx(way, abs=1e-9)
    assert bars.get_ylim() == (0, 24) and bars.get_xticks().tolist() == [1, 2, 3, 4, 5]
    legend = [(one.get_text(), one.get_color()) for one in chart.texts]
    assert legend == [("● reading", RUST), ("— fit", BLUE), ("- - offset's part", GREEN)]
    true = runout_picture.runout_paper("µm", 10.0, True, True).axes[0]
    assert "— no scatter" in [one.get_text() for one in true.texts]
    assert true.get_xticks().tolist() == [0, 90, 180, 270, 360]
    words_stand_apart(figure)


# lesson 11


def test_triangles_are_cut_into_smaller_ones_that_fill_them():
    """By areas: n by n of them, each of the same size, and values that grow evenly stay so."""
    corners = np.array([[(0.0, 0, 0, 1), (6, 0, 0, 7), (0, 6, 3, 1)]])

    def area(some):
        sides = some[:, 1:, :3] - some[:, :1, :3]
        return np.linalg.norm(np.cross(sides[:, 0], sides[:, 1]), axis=1) / 2

    for count in (1, 2, 3, 5):
        cut = solved_throw._cut(corners, count)
        assert len(cut) == count**2 and area(cut) == pytest.approx(area(corners)[0] / count**2)
        assert cut[..., 3] == pytest.approx(1 + cut[..., 0]) and cut[..., 2] == pytest.approx(
            cut[..., 1] / 2
        )
        middles = {tuple(one) for one in cut[..., :2].mean(axis=1).round(9)}
        assert len(middles) == count**2, "none lies on another"


def test_the_solved_throw_is_seen_with_its_arrows_and_peaks():
    """Straight from the front: the push comes down on the pin, half of it up at each main; peaks stand in their corners."""
    figure = solved_throw.solved_throw(
        1000.0, "1000 N", ("pin 60 MPa", "main 40 MPa"), 50.0, 0.0, 0.0
    )
    window, scale = figure.axes
    corners, stress = solved_throw._solved()
    (faces,) = window.collections
    outline = np.vstack([path.vertices for path in faces.get_paths()])
    assert (outline.min(axis=0), outline.max(axis=0)) == (
        pytest.approx(corners[..., :2].min(axis=(0, 1))), pytest.approx(corners[..., :2].max(axis=(0, 1)))
    )  # fmt: skip
    pushes = [(one.xyann, one.xy) for one in window.texts if not one.get_text()]
    # from where it comes to where it acts, as matplotlib draws an arrow: from the words to the place
    assert pushes == [((0, 43), (0, 27)), ((-47.5, -22), (-47.5, -10)), ((47.5, -22), (47.5, -10))]
    said = {one.get_text(): one for one in window.texts if one.get_text()}
    assert said["1000 N"].xy == (0, 44.5) and said["1000 N"].get_color() == BLUE
    assert said["pin 60 MPa"].xy == (-10.25, 8.8) and said["main 40 MPa"].xy == (25.25, 10.6)
    for words in ("pin 60 MPa", "main 40 MPa"):
        near = np.hypot(*(corners[..., :2].mean(axis=1) - said[words].xy).T) < 1.5
        assert near.any(), "on the metal"
    assert scale.get_ylim() == (0, 50) and "MPa" in scale.get_ylabel()
    for axes in (window, scale):
        left, foot, wide, high = axes.get_position(original=True).bounds
        assert min(left, foot) >= 0 and left + wide <= 1 and foot + high <= 1
    assert window.get_position(original=True).x1 < scale.get_position().x0, "side by side"
    (left, right), (low, high) = window.get_xlim(), window.get_ylim()
    assert left < outline[:, 0].min() and right > outline[:, 0].max() and low < -22 and high > 44.5


def test_the_colors_of_the_solved_throw_are_its_stress():
    """Nearest faces last; a face square to the light is as bright as its shade, one along it three quarters."""
    figure = solved_throw.solved_throw(1000.0, "", ("", ""), 50.0, 0.0, 0.0)
    corners, stress = solved_throw._solved()
    order = np.argsort(corners[..., 2].mean(axis=1))
    colors = figure.axes[0].collections[0].get_facecolor()[:, :3]
    sides = corners[:, 1:] - corners[:, :1]
    normal = np.cross(sides[:, 0], sides[:, 1])
    light = np.array([0.3, 0.6, 0.74]) / np.sqrt(0.3**2 + 0.6**2 + 0.74**2)
    bright = 0.75 + 0.25 * np.abs(normal @ light) / np.maximum(
        np.linalg.norm(normal, axis=1), 1e-12
    )
    shades = scene.shades()[(255 * np.clip(stress / 50, 0, 1)).astype(int)] / 255
    assert colors == pytest.approx((shades * bright[:, None])[order], abs=1e-6)
    inch = solved_throw.solved_throw(1000.0, "", ("", ""), 7.2519, 0.0, 0.0, "in")
    assert np.abs(inch.axes[0].collections[0].get_facecolor()[:, :3] - colors).max() < 0.02
    assert "kpsi" in inch.axes[1].get_ylabel()


def test_a_safety_is_a_dot_on_its_range_with_its_number_at_the_free_end():
    (line, dot, words) = turning_crank.safety_row(2, [("pin", 2.0, 1.5, 3.0)])
    assert line.points().tolist() == [[1.5, 2], [3.0, 2]] and (dot.x, dot.y) == (2, 2)
    assert words.text == "pin 2" and words.anchor == "start" and 3 < words.x < 3.6
    assert 2 < words.y < 2.5 and line.color == dot.color == words.color == BLUE
    for high, anchor in (
        (4.4, "start"),
        (4.5, "end"),
    ):  # farther right the words would leave the chart
        *_, words = turning_crank.safety_row(0, [("", 2.0, 1.5, high)])
        assert words.anchor == anchor and words.text == "2"
        assert words.x == pytest.approx(4.4 * 1.12 if anchor == "start" else 1.5 / 1.12)
    line, dot, words = turning_crank.safety_row(0, [("", 0.1, 0.05, 30.0)])
    assert line.x.tolist() == [0.2, 20] and dot.x == 0.2, "as far as the chart"
    assert words.x == pytest.approx(0.4 / 1.12) and words.text == "0.1"
    assert turning_crank.safety_row(0, [("", 20.0, 9, 20)])[2].text == "20"
    assert turning_crank.safety_row(0, [("", 20.1, 9, 20)])[2].text == "over 20"
    two = turning_crank.safety_row(1, [("own", 2.0, 1.5, 3.0), ("print", 2.5, 2.0, 3.0)])
    assert [one.y for one in points(two)] == pytest.approx([0.78, 1.22])
    assert [one.color for one in points(two)] == [BLUE, PURPLE]


def test_samples_of_the_legend_stand_before_their_words():
    figure = turning_crank.turning_paper("N·m", (-10, 30), "MPa", (-80, 80))
    view, safety = figure.axes[3], figure.axes[2]
    fields = turning_crank.samples()
    words = [one for one in view.texts if one.get_text() != "lowest safety:"]
    assert [one.get_text() for one in words] == ["under 1", "to 1.5", "to 3", "over 3"]
    for field, text, low in zip(fields, words, (0.5, 1.2, 2, 5), strict=True):
        left, right, foot, top = box(field)
        assert 0 < text.xy[0] - right < 0.03 and foot < text.xy[1] + 0.03 < top + 0.03
        assert field.fill == turning_crank.color_of(low) and field.sample and right - left < 0.03
        assert foot >= 0.01 - 1e-9 and (foot + top) / 2 == pytest.approx(0.04)
    assert safety.get_xlim() == (0.2, 20) and safety.get_ylim() == (4.5, -0.5), (
        "the first row on top"
    )
    shaded = safety.patches[0].get_extents().transformed(safety.transData.inverted())
    assert (shaded.x0, shaded.x1) == pytest.approx((0.2, 1)), "under one it may crack"
    assert [one.get_xdata()[0] for one in safety.lines][:1] == [1]
    between = [one.get_ydata()[0] for one in safety.lines[1:]]
    assert between == [0.5, 1.5, 2.5, 3.5]
    figure.canvas.draw()
    assert [one.get_text() for one in safety.get_xticklabels()] == [
        "0.2",
        "0.5",
        "1",
        "2",
        "5",
        "10",
        "20",
    ]
    hall = turning_crank.turning_paper("N·m", (-10, 30), "MPa", (-80, 80), True)
    hall.canvas.draw()
    assert [one.get_text() for one in hall.axes[2].get_xticklabels()] == ["0.2", "1", "5", "20"]
    for axes, limits in zip(figure.axes, ((-10, 30), (-80, 80)), strict=False):
        assert axes.get_ylim() == limits and axes.get_xticks().tolist() == [0, 90, 180, 270, 360]
        assert axes.get_xlim() == (0, 360) and axes.lines[0].get_ydata() == [0, 0]


def test_the_weakest_place_is_pointed_at_from_above_the_webs():
    """Its words stand 1.3 times the swing above the axis; farther right, by a quarter of the way past the left main, higher."""
    drawn, _ = lesson_11.items("mm", **{one.name: one.value for one in lesson_11.controls()})
    shown = next(one for one in drawn if one.kind == "space")
    *rings, pointer = shown.traces
    (words,) = shown.words
    start, top = pointer.points
    assert top == pytest.approx(words.point) and start[0] == top[0] and start[2] == top[2]
    swing = np.hypot(*shown.holds[:-1, 1:].T).max()
    left = (
        min(one.prisms[0].low for one in shown.bodies),
        min(one.prisms[0].high for one in shown.bodies),
    )
    assert top[1] == pytest.approx(1.3 * swing + 0.25 * max(0.0, top[0] - left[1]))
    assert shown.holds[-1] == pytest.approx((top[0], 1.25 * top[1], top[2]))
    assert swing == pytest.approx(np.hypot(14, 32)), "of the pump's web, its corner"
    for one in rings:
        away = np.hypot(*(one.points[:, 1:] - one.points[:-1, 1:].mean(axis=0)).T)
        assert np.ptp(one.points[:, 0]) == 0 and np.ptp(away) < 1e-6 and one.width == 3


# lesson 10


def test_a_curve_of_factors_leaves_out_what_is_not_known():
    curve = stress_picture.kt_curve(
        np.array([0.1, 0.2, 0.3]), np.array([2.0, np.nan, 1.5]), RUST, "2 4", 1.0
    )
    assert curve.points().tolist() == [[0.1, 2], [0.3, 1.5]] and curve.axes == 2
    assert (curve.color, curve.dash, curve.width) == (RUST, "2 4", 1.0)


@pytest.mark.parametrize("load", ["bending", "torsion", "tension"])
def test_what_loads_the_shoulder_acts_at_both_its_ends(load):
    """A pull away from the part at both; moments turn its ends against each other, a torque as well."""
    drawn = stress_picture._load_arrows(load)
    left, right = -1.02, 1.25
    heads = lines(drawn, fill=RUST)
    assert len(heads) == 2 and {
        "bending": "bending moment",
        "torsion": "torque",
        "tension": "pull",
    }[load] in notes(drawn)
    tips = [one.points()[3] for one in heads]
    if load == "tension":
        assert tips == pytest.approx(np.array([(left - 0.4, 0), (right + 0.4, 0)]))
        assert [one.points()[0][0] for one in heads] == pytest.approx([left - 0.06, right + 0.06])
        return
    bows = [one for one in lines(drawn, color=RUST) if not one.fill]
    wide = 0.34 if load == "bending" else 0.16
    for bow, head, end, way in zip(bows, heads, (left, right), (-1, 1), strict=True):
        assert (bow.x * way).max() == pytest.approx(end * way + wide - 0.02)
        assert np.abs(bow.y).max() == pytest.approx(0.5 * np.sin(1.1))
        middle = (head.points()[0] + head.points()[-1]) / 2
        assert middle == pytest.approx(bow.points()[-2]), "the head goes on where the bow ends"
    up = [np.sign(tip[1]) for tip in tips]
    assert up == ([1, 1] if load == "bending" else [-1, 1])


def test_both_diameters_are_measured_across_their_part():
    drawn = stress_picture._sizes(0.8, ("Ø20", "Ø32"))
    tips = sorted(tuple(one.points()[3].round(9)) for one in lines(drawn))
    assert tips == [(-0.93, -0.5), (-0.93, 0.5), (0.3, -0.8), (0.3, 0.8)]
    said = notes(drawn)
    assert said["Ø20"].x == pytest.approx(-0.87) and said["Ø32"].x == pytest.approx(0.36)
    high = lines(stress_picture._sizes(3.0, ("", "")))
    assert max(one.y.max() for one in high) == pytest.approx(stress_picture.AROUND), (
        "as far as is shown"
    )


def test_the_scale_of_fringes_is_dark_at_each_of_them():
    """A quarter of the nominal stress a fringe, to three times it: thirteen dark bands, half of a fringe wide."""
    ground, *bands = stress_picture._bands()
    assert (ground.y.min(), ground.y.max(), ground.fill) == (0, 3, "#ffffff")
    edges = [(one.y.min(), one.y.max()) for one in bands]
    wanted = [(max(0, at - 0.0625), min(3, at + 0.0625)) for at in np.arange(13) / 4]
    assert edges == pytest.approx(np.array(wanted)) and {one.fill for one in bands} == {"#000000"}
    assert {(one.x.min(), one.x.max(), one.axes) for one in (ground, *bands)} == {(0, 1, 1)}


def test_parts_of_a_cell_take_the_values_between_its_nodes():
    """Shape functions add up to one, are one at their own node; 25 corners, 32 triangles of one size."""
    shape, triangles = stress_picture._parts()
    assert shape.sum(axis=1) == pytest.approx(1) and shape.shape == (25, 9)
    place = np.linspace(-1, 1, 5)
    nodes = np.array([(p, q) for p in (-1, 0, 1) for q in (-1, 0, 1)], float)
    at = shape @ nodes
    assert at == pytest.approx(np.array([(p, q) for p in place for q in place]))
    curved = nodes[:, 0] ** 2 * nodes[:, 1] - nodes[:, 1] ** 2
    assert shape @ curved == pytest.approx(at[:, 0] ** 2 * at[:, 1] - at[:, 1] ** 2)
    assert len(triangles) == 32
    sides = at[triangles][:, 1:] - at[triangles][:, :1]
    assert np.abs(np.linalg.det(sides)) / 2 == pytest.approx(0.125)
    middles = at[triangles].mean(axis=1).round(9)
    assert len({tuple(one) for one in middles}) == 32


# drawings


def test_a_size_is_a_line_with_heads_at_its_ends():
    """From (1, 2) to (5, 5): heads of 1.5, a third of it to each side; its text over the middle."""
    line, first, second, words = crank_drawing.dimension((1, 2), (5, 5), "5", 1.5, 1)
    assert line.points().tolist() == [[1, 2], [5, 5]]
    along, across = np.array([0.8, 0.6]), np.array([-0.6, 0.8])
    for head, tip, way in ((first, (1, 2), along), (second, (5, 5), -along)):
        wanted = [tip, tip + 1.5 * way + 0.5 * across, tip + 1.5 * way - 0.5 * across, tip]
        assert head.points() == pytest.approx(np.array(wanted)) and head.fill == head.color
    assert (words.x, words.y, words.text, words.anchor) == (3, 3.5, "5", "middle")
    assert len(crank_drawing.dimension((0, 0), (1, 0), "", 0.2, 0)) == 3


@pytest.mark.parametrize("name", ["pump", "organ", "compressor"])
def test_sizes_of_the_drawing_stand_at_what_they_measure(name):
    """Below the side view: lengths in one row, webs in the next, the whole in a third, each from end to end."""
    crank = Crank.load(name)
    drawn, part = crank_drawing.crank_items(crank, "mm"), crank_drawing.shape(crank)
    length, below, above, _ = part.window
    row = 24 / 72 / min(6.0 / length, 4.2 / (below + above))
    measured = [one for one in lines(drawn, axes=0, color=BLUE, width=1) if len(one.x) == 2]
    rows = {"journal": 1.0, "pin": 1.0, "web": 1.8}
    places = {(round(one.x[0], 6), round(one.x[1], 6), round(one.y[0], 6)) for one in measured}
    assert (0.0, round(length, 6), round(-below - 2.7 * row, 6)) in places
    seen = set()
    for piece in part.pieces:
        key = (piece.kind, crank_drawing.size_text(piece.length, "mm"))
        at = (round(piece.start, 6), round(piece.end, 6), round(-below - rows[piece.kind] * row, 6))
        assert (at in places) == (piece.kind == "journal" or key not in seen), piece
        seen.add(key)
    assert all(one.y[0] == one.y[1] for one in measured)
    heads = [one for one in lines(drawn, axes=0, color=BLUE) if one.fill]
    assert all(np.ptp(one.x) <= row / 4 + 1e-9 for one in heads)
    for piece in part.pieces[::2]:
        words = f"Ø{crank_drawing.size_text(piece.diameter, 'mm')}"
        tops = [(one.x, one.y) for one in drawn if one.kind == "text" and one.text == words]
        assert tops, words
    first = part.pieces[0]
    top = notes(drawn)[f"Ø{crank_drawing.size_text(first.diameter, 'mm')}"]
    assert (top.x, top.y) == pytest.approx((first.middle, first.diameter / 2))
    caption = next(one for one in drawn if one.kind == "text" and one.text.startswith(f"{name}, "))
    assert (caption.x, caption.y) == (0, pytest.approx(above + 0.7 * row))


def test_the_throw_is_measured_beside_the_end_view():
    """Pump: 18 from the axis up, beside its web; 28 across below it; nothing aslant to tell."""
    drawn, part = (
        crank_drawing.crank_items(Crank.load("pump"), "mm"),
        crank_drawing.shape(Crank.load("pump")),
    )
    length, below, above, aside = part.window
    row = 24 / 72 / min(6.0 / length, 4.2 / (below + above))
    measured = [one for one in lines(drawn, axes=1, color=BLUE, width=1) if len(one.x) == 2]
    up, across = sorted(measured, key=lambda one: np.ptp(one.x))
    out = aside + 0.6 * row
    assert sorted(up.y) == pytest.approx([0, 18]) and up.x == pytest.approx([out, out])
    assert sorted(across.x) == pytest.approx([-14, 14]) and across.y == pytest.approx(
        [-below - row] * 2
    )
    said = notes(drawn, 1)
    assert set(said) == {"18", "28"}
    assert said["18"].x > out and said["18"].anchor == "start" and 0 < said["18"].y < 9
    helpers = lines(drawn, axes=1, width=0.6)
    assert sorted(one.y[0] for one in helpers) == pytest.approx([0, 18])
    assert all(one.x.tolist() == pytest.approx([0, out + row / 4]) for one in helpers)


def test_throws_aslant_are_told_by_their_angle():
    """Organ: 120 and 240 degrees, down left and down right of the middle, outside of their webs; its throws are alike."""
    crank = Crank.load("organ")
    drawn, part = crank_drawing.crank_items(crank), crank_drawing.shape(crank)
    said = notes(drawn, 1)
    for words, side in (("120°", -1), ("240°", 1)):
        one = said[words]
        assert one.x * side > 0 and one.anchor == ("end" if side < 0 else "start") and one.y < 0
        far = np.hypot(*part.places[1]) + part.throws["web_reach"][1]
        assert np.hypot(one.x, one.y) > far
    flat = crank_drawing.crank_items(Crank.load("compressor"))
    down, part = notes(flat, 1)["180°"], crank_drawing.shape(Crank.load("compressor"))
    length, below, above, _ = part.window
    row = 24 / 72 / min(6.0 / length, 4.2 / (below + above))
    aside = part.throws["web_width"][1] / 2 + 0.6 * row
    assert abs(down.x) == pytest.approx(aside), "straight down: beside its web"
    assert down.y == pytest.approx(part.places[1][1] - 0.5 * row)
    turned = Crank.load("pump").with_throw(0, angle=Quantity(90, "deg"))
    assert "90°, 18" in notes(crank_drawing.crank_items(turned, "mm"), 1)


def test_scales_of_a_drawing_for_paper():
    """178 mm of page: 356 just fits at one half; 1 to 1 at most unless the crank is small."""
    assert paper_drawing.fitting_scale(178.0) == 1 and paper_drawing.fitting_scale(179.0) == 0.5
    assert paper_drawing.fitting_scale(356.0) == 0.5 and paper_drawing.fitting_scale(357.0) == 0.4
    assert (
        paper_drawing.fitting_scale(89.0, 2.0) == 2 and paper_drawing.fitting_scale(90.0, 2.0) == 1
    )
    assert paper_drawing.fitting_scale(1e6) == 0.01
    assert [paper_drawing.scale_word(one) for one in (2.0, 1.0, 0.5, 0.4)] == [
        "2 : 1",
        "1 : 1",
        "1 : 2",
        "1 : 2.5",
    ]


def test_an_inline_drawing_puts_each_item_at_its_place():
    """Box from (-10, -5) to (30, 15) at one half: 20 by 10 mm; (10, 5) lies at its middle, y downward."""
    items = [
        scene.Curve(np.array([10.0, 30]), np.array([5.0, 15]), "#222222", 2.0, "5 4"),
        scene.Curve(np.array([10.0, 30]), np.array([5.0, 15]), "#222222", 1.0, "", "#dcdcdc"),
        scene.Curve(np.array([10.0, 30]), np.array([5.0, 15]), "#222222", 1.0, "", "#1f5fa8"),
        scene.Point(10.0, 5.0, "#222222"),
        scene.Note(10.0, 5.0, "a < b", "#222222", "end"),
        scene.Note(10.0, 5.0, "other", "#222222", axes=1),
    ]
    drawn = paper_drawing.svg(items, (-10.0, 30.0, -5.0, 15.0), 0.5, "said & done")
    assert 'width="20.00mm" height="10.00mm" viewBox="0 0 20.00 10.00"' in drawn
    assert drawn.count('points="10.00,5.00 20.00,0.00"') == 3
    assert re.findall('polyline [^>]*fill="([^"]+)"', drawn) == ["none", "#dcdcdc", "#000"]
    point = 25.4 / 72
    dash = re.search('stroke-dasharray="([^"]+)"', drawn)[1].split()
    assert [float(one) for one in dash] == pytest.approx([2.5 * point, 2 * point], abs=0.01)
    widths = [float(one) for one in re.findall('stroke-width="([^"]+)"', drawn)]
    assert widths[0] == pytest.approx(2 * widths[1], abs=0.011) and 0.2 < widths[0] < 0.4
    assert '<circle cx="10.00" cy="5.00"' in drawn
    assert '<text x="10.00" y="4.00" text-anchor="end"' in drawn and "a &lt; b" in drawn
    assert "other" not in drawn and 'aria-label="said &amp; done"' in drawn
    assert "other" in paper_drawing.svg(items, (-10.0, 30.0, -5.0, 15.0), 0.5, "", 1)


# the sheet of the layout


def page(name="pump", shape="round", paper="A4", unit="mm", hole=True, ends=layout.ENDS, title=""):
    crank = Crank.load(name)
    found = bar.smallest_bar(crank, shape)
    layouts = [layout.center_layout(crank, found, end) for end in ends]
    of = center_holes.center_hole(min(found.width, found.height)) if hole else None
    return layouts, of, layout_sheet.layout_sheet(layouts, paper, unit, of, title)


@pytest.mark.parametrize("hole", [True, False])
def test_each_center_is_named_beside_its_mouth(hole):
    layouts, of, figure = page("organ", hole=hole)
    (axes,) = figure.axes
    lines_of = {line.get_gid(): line.get_xydata() for line in axes.lines}
    beside = of.mouth.m_as("mm") / 2 + 1 if hole else 1
    mouths = [line for line in axes.lines if len(line.get_xdata()) == len(crank_drawing.TURN)]
    assert len(mouths) == (sum(len(one.points) for one in layouts) if hole else 0)
    for one in layouts:
        for point in one.points:
            cross = lines_of[f"center-{one.end}-{point.name}-x".replace(" ", "-")].mean(axis=0)
            places = [text.get_position() for text in axes.texts if text.get_text() == point.name]
            assert any(place == pytest.approx(cross + (beside, 0)) for place in places)
        outline = lines_of[f"bar-{one.end}"]
        (words,) = (text for text in axes.texts if text.get_text().startswith(f"{one.end} end"))
        x, y = words.get_position()
        assert x == pytest.approx((outline[:, 0].min() + outline[:, 0].max()) / 2)
        assert 2 < y - outline[:, 1].max() < 6


def test_end_faces_stand_clear_of_each_other_and_of_the_bars():
    """Within the margins, 12 mm apart at least; right of the scale bar that goes down, below the one that goes across."""
    for name, shape in (("pump", "round"), ("organ", "flat"), ("compressor", "square")):
        for paper in layout_sheet.PAGES:
            _, _, figure = page(name, shape, paper)
            (axes,), (wide, _) = figure.axes, layout_sheet.PAGES[paper]
            found = {line.get_gid(): line.get_xydata() for line in axes.lines if line.get_gid()}
            boxes = [
                (found[f"bar-{end}"].min(axis=0), found[f"bar-{end}"].max(axis=0))
                for end in layout.ENDS
            ]
            down, across = found["scale-bar-up"], found["scale-bar-across"]
            for end in layout.ENDS if shape != "round" else ():
                corners = {tuple(one) for one in found[f"bar-{end}"].round(6)}
                low, high = (
                    found[f"bar-{end}"].round(6).min(axis=0),
                    found[f"bar-{end}"].round(6).max(axis=0),
                )
                assert corners == {(x, y) for x in (low[0], high[0]) for y in (low[1], high[1])}
            for low, high in boxes:
                assert low[0] > down[:, 0].max() + 5 and high[0] <= wide - 12
                assert high[1] < across[:, 1].min() - 5
            (low, high), (least, most) = boxes
            assert max(*(least - high), *(low - most)) >= 12
            words_stand_apart(figure)


def test_the_table_lists_each_center_under_its_heads():
    """A row each from the foot up, the heads on top; columns start where their heads do."""
    layouts, _, figure = page("organ", unit="mm")
    texts = [(text.get_text(), *text.get_position()) for text in figure.axes[0].texts]
    heads = {word: next((x, y) for text, x, y in texts if text == word)
             for word in ("from left", "from bottom", "from middle x", "from middle y")}  # fmt: skip
    rows = [(one.end, point) for one in layouts for point in one.points]
    top = heads["from left"][1]
    for number, (end, point) in enumerate(rows, 1):
        sizes = (point.from_left, point.from_bottom, point.from_middle_x, point.from_middle_y)
        for size, (x, _) in zip(sizes, heads.values(), strict=True):
            assert any(
                text == f"{size.m_as('mm'):.3f}" and (at, y) == (x, top - 4 * number)
                for text, at, y in texts
            ), (end, point.name, size)
        for words in (end, point.name):
            assert any(
                text == words and x < heads["from left"][0] and y == top - 4 * number
                for text, x, y in texts
            )
    assert min(y for *_, y in texts) == 12, "the last row at the margin"
    (title,) = (one for one in texts if one[0].startswith("Bar Ø"))
    assert top < title[2] < top + 8 and "; sizes in mm; center holes" in title[0]
    assert title[1] == 12


def test_the_head_of_the_sheet():
    _, _, figure = page(title="my pump")
    first, second, *_ = figure.axes[0].texts
    assert first.get_text() == "my pump: centers at true size" and first.get_position() == (12, 285)
    assert second.get_text().startswith("Print at 100 %") and second.get_position() == (12, 277)
    assert page()[2].axes[0].texts[0].get_text() == "Centers at true size"
    label = next(one for one in figure.axes[0].texts if one.get_text() == "100 mm across and down")
    bar_line = next(one for one in figure.axes[0].lines if one.get_gid() == "scale-bar-across")
    x, y = label.get_position()
    assert 0 < x - bar_line.get_xdata().max() < 5 and y == bar_line.get_ydata()[0]
    assert np.ptp(bar_line.get_xdata()) == 100
    ticks = [line.get_xydata() for line in figure.axes[0].lines if line.get_linewidth() == 0.6]
    ticks = [one for one in ticks if len(one) == 2]
    up, aside = ([one for one in ticks if np.ptp(one[:, at]) > 1] for at in (1, 0))
    assert len(up) == len(aside) == 11
    for number, (one, other) in enumerate(zip(up, aside, strict=True)):
        assert one.tolist() == [[12 + 10 * number, 261], [12 + 10 * number, 263]]
        assert other.tolist() == [[12, 261 - 10 * number], [10, 261 - 10 * number]]


def test_a_bar_that_just_fits_is_taken():
    """A4, two faces of two centers one above the other: 297 - 24 - 22 - 32 = 219 high, 178 wide, 12 left for each."""

    def places(wide, high):
        layouts = [SimpleNamespace(bar=flat_bar(wide, high), points=(0, 0))] * 2
        return layout_sheet._places_on_page(layouts, 210.0, 297.0)

    side = places(77.0, 200.0)
    assert [one.tolist() for one in side] == [[20 + 44.5, 263 - 109.5], [20 + 133.5, 263 - 109.5]]
    stacked = places(166.0, 97.5)
    assert [one.tolist() for one in stacked] == [[20 + 89, 263 - 54.75], [20 + 89, 263 - 164.25]]
    for wide, high in ((77.1, 200), (77, 207.1), (166.1, 97.5), (166, 97.6)):
        with pytest.raises(ValueError, match="do not fit"):
            places(wide, high)


# lesson 16


def left(off=((0.01, 0.02), (0.0, 0.0)), pin=0j, up=0.0, most=0.02):
    """The pump after a fault: offsets [mm] at the ends of each main, evenly between."""
    part = crank_drawing.shape(Crank.load("pump"))
    mains = [one for one in part.pieces if one.kind == "journal"]
    x = np.array([np.linspace(one.start, one.end, fault_picture.ALONG) for one in mains])
    moved = np.array([np.linspace(*ends, fault_picture.ALONG) for ends in off])
    return fault_picture.Left(part, x, moved.astype(complex), pin, up, most)


def seen(one, **changes):
    drawn = fault_picture.crank_items(one, 0.05, ("24 µm", "0 µm"), **changes)
    assert {item.axes for item in drawn} == {3}
    return drawn


def scale_of(part):
    """Millimeters over the window's width, by hand: the length, or the height in a third of it."""
    reach = 2 * np.hypot(part.corners[..., 0], part.corners[..., 1]).max()
    return max(part.length, reach / 0.33), reach


def test_mains_are_drawn_off_their_places_as_far_as_they_are_enlarged():
    """0.02 mm at most, a window of 212 mm: 500 times enlarged it is 0.047 of it, 1,000 times more than 0.08."""
    one = left()
    drawn = seen(one)
    scale, _ = scale_of(one.part)
    said = next(item.text for item in drawn if item.kind == "text" and "enlarged" in item.text)
    enlarged = float(said.split()[1].replace(",", ""))
    assert enlarged * 0.02 / scale <= 0.08 * (1 + 1e-9) < 2 * enlarged * 0.02 / scale
    begin = (1 - 140 / scale) / 2
    solid, dashed = lines(drawn, fill="#f3ddd5"), lines(drawn, dash="4 3")
    assert len(solid) == len(dashed) == 2, "the mains"
    for main, (start, end) in enumerate(((0, 45), (95, 140))):
        x, y = dashed[main].x, dashed[main].y
        assert (x.min(), x.max()) == pytest.approx((begin + start / scale, begin + end / scale))
        assert (y.min(), y.max()) == pytest.approx((0.225 - 10 / scale, 0.225 + 10 / scale))
        rise = np.array([0.01, 0.02] if main == 0 else [0, 0]) * enlarged / scale
        corner = solid[main].points()
        assert corner[[0, 4], 1] == pytest.approx(0.225 - 10 / scale + rise)
        assert corner[[9, 5], 1] == pytest.approx(0.225 + 10 / scale + rise)
        assert corner[[0, 4], 0] == pytest.approx([x.min(), x.max()])
    axis = next(item for item in lines(drawn, color=RUST) if not item.fill and len(item.x) == 10)
    assert axis.points()[0] == pytest.approx((begin, 0.225 + 0.01 * enlarged / scale))
    level = lines(drawn, dash=crank_drawing.CENTER_LINE)[0]
    assert level.y.tolist() == [0.225, 0.225] and level.x == pytest.approx(
        [begin - 0.06, 1 - begin + 0.06]
    )


def test_dials_over_the_mains_show_their_offset():
    """0.015 at the first main's middle, of 0.05 a full hand: 0.3 of three eighths of a turn off the top, clockwise."""
    one = left()
    drawn, (scale, _) = seen(one), scale_of(one.part)
    begin = (1 - 140 / scale) / 2
    enlarged = float(
        next(i.text for i in drawn if i.kind == "text" and "enl" in i.text)
        .split()[1]
        .replace(",", "")
    )
    faces = [item for item in lines(drawn, color=RUST) if item.fill == "#ffffff"]
    plungers = [item for item in lines(drawn, color="#222222") if len(item.x) == 2]
    hands = [
        item for item in lines(drawn, color=RUST, width=2) if not item.fill and len(item.x) == 2
    ]
    words = [item for item in drawn if item.kind == "text" and item.text.endswith("µm")]
    for main, (at, off, said) in enumerate(((22.5, 0.015, "24 µm"), (117.5, 0.0, "0 µm"))):
        x = begin + at / scale
        assert plungers[main].x == pytest.approx([x, x])
        assert plungers[main].y[1] == pytest.approx(0.225 + (10 + enlarged * off) / scale)
        assert (faces[main].y.max() + faces[main].y.min()) / 2 == pytest.approx(0.43)
        assert np.ptp(faces[main].x) == pytest.approx(2 * 0.042, rel=0.01)
        hand = hands[main]
        turn = np.degrees(np.arctan2(np.diff(hand.y), np.diff(hand.x))[0])
        assert turn == pytest.approx(90 - 135 * off / 0.05)
        assert (words[main].x, words[main].text) == (pytest.approx(x), said)
        assert 0.43 + 0.042 < words[main].y < 0.53
    for far, turn in ((0.2, -45), (-0.2, -135)):
        drawn = seen(left(((far, far), (0, 0)), most=0.2))
        hand = [
            item for item in lines(drawn, color=RUST, width=2) if not item.fill and len(item.x) == 2
        ][0]
        found = np.degrees(np.arctan2(np.diff(hand.y), np.diff(hand.x))[0]) % 360
        assert found == pytest.approx(turn % 360), "no farther than three eighths either way"


@pytest.mark.parametrize("up", [0.0, np.pi / 2, np.pi])
def test_the_mark_that_is_up_turns_the_crank_and_its_offsets(up):
    """Toward 90 degrees nothing is seen with 0 up, all of it with 90 up."""
    one = left(((0.02j, 0.02j), (0.0, 0.0)), up=up)
    drawn, (scale, _) = seen(one), scale_of(one.part)
    enlarged = float(
        next(i.text for i in drawn if i.kind == "text" and "enl" in i.text)
        .split()[1]
        .replace(",", "")
    )
    axis = next(item for item in lines(drawn, color=RUST) if not item.fill and len(item.x) == 10)
    assert axis.y[0] - 0.225 == pytest.approx(0.02 * np.sin(up) * enlarged / scale, abs=1e-12)
    said = [item.text for item in drawn if item.kind == "text"]
    assert f"{np.degrees(up):.0f}° mark up" in said
    webs = [
        item for item in lines(drawn, fill="#eeeeee") if np.ptp(item.x) == pytest.approx(14 / scale)
    ]
    high = max(item.y.max() for item in webs) - 0.225
    assert high * scale == pytest.approx({0.0: 32, np.pi / 2: 14, np.pi: 14}[up])


def test_misplaced_holes_move_the_first_pin():
    """0.02 toward the throw: the pin up, in rust, its place dashed; the mains as they are."""
    one = left(((0, 0), (0, 0)), pin=0.02 + 0j)
    drawn, (scale, _) = seen(one, size=20.0), scale_of(one.part)
    enlarged = float(
        next(i.text for i in drawn if i.kind == "text" and "enl" in i.text)
        .split()[1]
        .replace(",", "")
    )
    moved = next(
        item for item in lines(drawn, fill="#f3ddd5") if np.ptp(item.x) == pytest.approx(22 / scale)
    )
    middle = (moved.y.min() + moved.y.max()) / 2
    assert middle == pytest.approx(0.225 + (18 + 0.02 * enlarged) / scale)
    (point,) = points(drawn)
    assert point.y == pytest.approx(middle) and point.x == pytest.approx(0.5)
    (grip,) = point.grips
    assert (grip.control, grip.along) == ("size", "y")
    assert grip.offset + grip.factor * point.y == pytest.approx(20)
    assert grip.offset + grip.factor * (point.y + 0.02 * enlarged / scale) == pytest.approx(40)


def test_the_place_moved_most_is_dragged():
    """The first main's right end, 0.02 up; without a size, or with nothing moved, nothing is dragged."""
    one = left()
    drawn, (scale, _) = seen(one, size=20.0), scale_of(one.part)
    (point,) = points(drawn)
    assert point.x == pytest.approx((1 - 140 / scale) / 2 + 45 / scale)
    (grip,) = point.grips
    assert grip.offset + grip.factor * point.y == pytest.approx(20)
    assert grip.offset + grip.factor * 0.225 == pytest.approx(0)
    assert not points(seen(one)) and not points(seen(left(((0, 0), (0, 0))), size=20.0))


def test_readings_of_a_main_over_what_explains_them():
    """At the chart's top stands 40: readings of 20 and -10 at a half and minus a quarter."""
    explained = 30 * np.cos(np.radians(fault_picture.AROUND))
    drawn = fault_picture.trace_items(
        1, np.array([0.0, 90.0]), np.array([20.0, -10.0]), explained, 40.0
    )
    (line,) = lines(drawn, color=BLUE)
    assert line.x.tolist() == np.linspace(0, 360, 73).tolist() and line.y == pytest.approx(
        explained / 40
    )
    assert [(one.x, one.y, one.axes) for one in points(drawn)] == [(0, 0.5, 1), (90, -0.25, 1)]
    said = {one.text: one for one in drawn if one.kind == "text"}
    assert (said["40"].y, said["−40"].y) == pytest.approx((0.93, -1.07))
    assert all(one.x == -14 and one.anchor == "end" for one in said.values())
    assert fault_picture.reading_scale(31) == 40 and fault_picture.reading_scale(40) == 40


def test_a_predicted_swing_is_half_up_and_half_down():
    upper, lower, words = fault_picture.band_items(1, 10.0, 40.0)
    assert upper.points().tolist() == [[0, 0.25], [360, 0.25]] and lower.y.tolist() == [
        -0.25,
        -0.25,
    ]
    assert (
        words.y == 0.25 and words.anchor == "end" and 350 < words.x <= 360 and words.color == PURPLE
    )


def test_what_each_cause_leaves_over_is_a_bar_in_its_place():
    drawn = fault_picture.left_over_items({0: (2.0, True), 3: (8.04, False)}, 10.0)
    for one, place, size, color in zip(
        lines(drawn), (0, 3), (2.0, 8.04), (GREEN, GRAY), strict=True
    ):
        assert (one.x.min(), one.x.max()) == pytest.approx((place - 0.3, place + 0.3))
        assert sorted(one.y) == pytest.approx([0, 0, 0.092 * size, 0.092 * size])
        assert one.color == one.fill == color
    said = [(one.text, one.x, one.color) for one in drawn if one.kind == "text"]
    assert said == [("2", 0, GREEN), ("8", 3, GRAY)]
    assert [one.y for one in drawn if one.kind == "text"] == pytest.approx([0.184, 0.092 * 8.04])


def test_the_paper_of_faults_names_its_charts_and_causes():
    causes = ("spacer", "left center", "right center", "no fault")
    figure = fault_picture.fault_paper("µm", causes)
    first, second, bars, window = figure.axes
    assert [one.get_title() for one in (first, second)] == ["main 1 [µm]", "main 2 [µm]"]
    for chart in (first, second):
        assert chart.get_xlim() == (0, 360) and chart.get_ylim() == (-1, 1)
        assert chart.get_xticks().tolist() == [0, 90, 180, 270, 360]
        assert [one.get_text() for one in chart.get_yticklabels()] == ["", "", "0", "", ""]
        (still,) = chart.lines
        assert set(still.get_ydata()) == {0} and still.get_color() == GRAY
    assert [one.get_text() for one in bars.get_xticklabels()] == [
        one.replace(" ", "\n") for one in causes
    ]
    low, high = bars.get_xlim()
    assert (
        low < -0.3
        and 3.3 < high < 4
        and bars.get_ylim() == (0, 1)
        and bars.get_title() == "left over [µm]"
    )
    assert window.get_xlim() == (-0.12, 1.12)
    wide = window.get_position().width * 9.0 / 1.24  # inches of one on both its axes
    assert window.get_position().height * 5.2 / np.ptp(window.get_ylim()) == pytest.approx(
        wide, rel=0.03
    )
    legend = [(one.get_text(), one.get_color()) for one in figure.texts]
    assert legend == [("● reading", RUST), ("— best cause", BLUE), ("- - before release", GRAY)]
    words_stand_apart(figure)


# lesson 10, the section


def solved(kind="shaded", load="bending", arc=0.05):
    """A shoulder 20 to 30 of one nine-node cell, stress growing with the height, its surface the upper edge."""
    x, y = np.meshgrid(np.linspace(-1.5, 1.5, 3) * 20, np.linspace(0, 0.75, 3) * 20, indexing="ij")
    value = np.array([0.1, 1.0, 2.0] * 3)
    surface = np.array([2, 5, 8])
    value[5] = 2.5
    field = SimpleNamespace(
        nodes=mm(1) * np.column_stack([x.ravel(), y.ravel()]),
        elements=np.arange(9)[None],
        principal_difference=2 * value,
        surface_stress=value,
        surface=surface,
        peak_angle=Quantity(30.0, "deg"),
        kt=2.5,
    )
    return stress_picture.section(field, 20.0, arc, kind, load, ("Ø20", "Ø30", "R 1"))


def test_the_section_is_drawn_in_small_diameters_on_both_sides():
    drawn = solved()
    (field,) = (one for one in drawn if one.kind == "shading")
    assert (field.x.min(), field.x.max(), field.y.min(), field.y.max()) == pytest.approx(
        (-1.5, 1.5, 0, 0.75)
    )
    assert field.mirror == 0 and (field.low, field.high, field.fringe) == (0, 3, 0)
    at = np.argmin(np.hypot(field.x, field.y - 0.75))
    assert field.value[at] == pytest.approx(2.5) and field.value.min() == pytest.approx(
        0.1, abs=0.05
    )
    fringes = next(one for one in solved("fringes") if one.kind == "shading")
    assert fringes.fringe == 0.25 and fringes.value[at] == pytest.approx(5.0)
    upper, lower = [one for one in lines(drawn, color="#222222", width=1.5) if len(one.x) == 3]
    assert upper.points() == pytest.approx(np.array([(-1.02, 0.75), (0, 0.75), (1.25, 0.75)]))
    assert lower.y == pytest.approx(-upper.y)
    covers = lines(drawn, color="white")
    assert [(one.x.min(), one.x.max()) for one in covers] == [(-1.6, -1.02), (1.25, 1.8)]
    assert all(one.y.max() > 1.12 and one.y.min() < -1.12 for one in covers)
    axis = lines(drawn, dash="14 4 3 4")[0]
    assert axis.x.tolist() == [-1.02, 1.25] and set(axis.y) == {0}
    bands = [one for one in solved("fringes") if one.axes == 1]
    assert len(bands) == 14 and not [one for one in drawn if one.axes == 1]


@pytest.mark.parametrize(("arc", "side"), [(0.05, 0.3), (0.02, 0.1), (0.5, 1.5)])
def test_the_lens_shows_the_corner_and_its_radius(arc, side):
    """Five radii round up to 0.3, 0.1, at most 1.5; the corner two thirds across and a third up."""
    drawn = solved(arc=arc)
    number, left, foot, wide = next(one for one in drawn if one.kind == "shading").lens
    assert (number, wide) == (3, pytest.approx(side))
    assert (left, foot) == pytest.approx((-0.66 * side, 0.5 - 0.34 * side))
    frames = lines(drawn, color=GREEN)
    assert len(frames) == (2 if side < 0.8 else 1)
    assert box(frames[-1]) == (0, 1, 0, 1) and frames[-1].axes == 3
    if side < 0.8:
        assert box(frames[0]) == pytest.approx((left, left + side, foot, foot + side))
    peak = np.clip((np.array([0.0, 0.75]) - (left, foot)) / side, -9, 9)
    radius, pointer = lines(drawn, fill="#222222", axes=3)[0], lines(drawn, fill=RUST, axes=3)[0]
    assert pointer.points()[3] == pytest.approx(peak)
    middle = peak + arc / side * np.array([-0.5, np.sqrt(0.75)])
    start = (radius.points()[0] + radius.points()[-1]) / 2
    assert start == pytest.approx(middle)
    assert np.hypot(*(radius.points()[3] - middle)) == pytest.approx(arc / side)
    said = {one.text: one for one in drawn if one.kind == "text" and one.axes == 3}
    assert said["2.50 × nominal"].y == pytest.approx(peak[1] + 0.09)
    assert said["R 1"].x == pytest.approx(middle[0]) and said["R 1"].y > peak[1]
    assert said["R 1"].y == pytest.approx(max(middle[1] + 0.06, peak[1] + 0.17))


def test_the_papers_charts_are_numbered_and_hold_what_is_drawn():
    figure = stress_picture.stress_paper()
    figure.canvas.draw()
    window, scale, chart, lens = figure.axes
    assert window.get_xlim()[0] < -1.02 - 0.4 and window.get_xlim()[1] > 1.25 + 0.4
    assert window.get_ylim() == (-1.12, 1.12) and lens.get_xlim() == lens.get_ylim() == (0, 1)
    wide, high = window.get_position().width * 9.0, window.get_position().height * 5.1
    assert np.ptp(window.get_ylim()) / np.ptp(window.get_xlim()) == pytest.approx(
        high / wide, rel=0.08
    )
    wide, high = lens.get_position().width * 9.0, lens.get_position().height * 5.1
    assert wide == pytest.approx(high, rel=0.01), "a square is square under the lens"
    assert [one.get_text() for one in scale.get_yticklabels()] == ["0", "1", "2", "3 +"]
    assert scale.get_yticks().tolist() == [0, 1, 2, 3] and scale.images[0].get_extent() == [
        0,
        1,
        0,
        3,
    ]
    assert [one.get_text() for one in chart.get_xticklabels()] == [
        "0.01",
        "0.03",
        "0.1",
        "0.3",
        "1",
    ]
    assert [one.get_text() for one in chart.get_yticklabels()] == [
        "1",
        "1.5",
        "2",
        "3",
        "4",
        "6",
        "8",
    ]
    assert chart.get_xlim() == (0.01, 1) and chart.get_ylim() == (1, 8)
    words_stand_apart(figure)


# lesson 01 and 03, papers


def test_charts_of_the_pistons_paper():
    figure = piston_picture.piston_paper("mm", 0.4)
    view, travel, error = figure.axes
    assert travel.get_xlim() == error.get_xlim() == (0, 360) and travel.get_ylim() == (0, 118)
    assert travel.get_xticks().tolist() == [0, 90, 180, 270, 360] and error.get_ylim() == (
        -0.4,
        0.4,
    )
    assert travel.get_yticks().tolist() == [0, 25, 50, 75, 100] and "[mm]" in error.get_ylabel()
    assert error.lines[0].get_ydata() == [0, 0] and view.get_position().bounds == (0, 0, 0.5, 1)
    words_stand_apart(figure)


@pytest.mark.parametrize(("unit", "words"), [("mm", "mm"), ("thou", "inches")])
def test_charts_of_the_centers_paper(unit, words):
    figure = center_picture.center_paper(unit, 0.25)
    end, chart, view = figure.axes
    assert end.get_xlim() == (0, 470) and end.get_ylim() == (0, 440)
    wide, high = end.get_position().width * 900, end.get_position().height * 500
    assert (wide, high) == pytest.approx((470, 440)), "hundredths of an inch"
    assert (
        chart.get_xlim() == (0, 100)
        and chart.get_ylim() == (-0.25, 0.25)
        and f"[{unit}]" in chart.get_ylabel()
    )
    (head,) = end.texts
    assert (
        head.get_text().endswith(words) and 236 + 128 + 30 < head.xy[1] < 440 and head.xy[0] == 236
    )
    colors = {one.get_text().split(":")[0]: one.get_color() for one in chart.texts}
    assert (colors["solid"], colors["dashed"]) == (BLUE, GREEN)
    high, low, foot = (one.xy[1] for one in chart.texts)
    assert 1 > high > low > 0.5 > foot > 0 and len({one.xy[0] for one in chart.texts}) == 1
    assert "50 times enlarged" in view.texts[0].get_text()
    words_stand_apart(figure)


def test_the_drilled_center_is_off_as_far_as_it_is_enlarged():
    """0.02 to the left and 0.04 up, fifty times, at 256 across Ø60."""
    found = layout.center_layout(Crank.load("pump"), bar.smallest_bar(Crank.load("pump")), "right")
    line, point, words = center_picture.drilled(found, (-0.02, 0.04), "words")
    pin, scale = found.find("pin 1"), 256 / found.bar.width.m_as("mm")
    at = 236 + scale * np.array([pin.from_middle_x.m_as("mm"), pin.from_middle_y.m_as("mm")])
    assert line.points()[0] == pytest.approx(at)
    assert line.points()[1] - at == pytest.approx(50 * scale * np.array([-0.02, 0.04]))
    assert (point.x, point.y) == pytest.approx(tuple(line.points()[1])) and point.color == RUST
    assert words.x == 236 and 0 <= words.y < 236 - 128 - 62
