"""Small parts of pictures against plane geometry: arrows, dials, scales, colors, and what paper draws of them."""

import itertools

import numpy as np
import pytest
from matplotlib.colors import to_hex, to_rgb

from crankbook.pictures import marks, scene
from crankbook.pictures.on_page import Places
from crankbook.pictures.scene import Curve, Note, Point, Shading


@pytest.mark.parametrize(
    ("start", "end", "head"),
    [((0, 0), (3, 4), 0.5), ((1, 1), (1, -1), 0.2), ((2, 0), (1.7, 0), 0.3)],
)
def test_an_arrow_points_where_it_is_sent(start, end, head):
    """Along its line: a shaft a third as wide as the head, the head twice as long as half its width, the tip at the end."""
    (drawn,) = marks.arrow(start, end, "#123456", 2, head)
    assert (drawn.color, drawn.fill, drawn.axes) == ("#123456", "#123456", 2)
    start, end = np.array(start, float), np.array(end, float)
    length = np.hypot(*(end - start))
    along, across = (end - start) / length, np.array([[0, -1], [1, 0]]) @ (end - start) / length
    places = (drawn.points() - start) @ np.column_stack([along, across])
    neck = max(length - 2 * head, 0.0)
    wanted = [(0, head / 3), (neck, head / 3), (neck, head), (length, 0)]
    wanted += [(x, -y) for x, y in wanted[2::-1]]
    assert places == pytest.approx(np.array(wanted), abs=1e-12)


def test_no_force_no_arrow():
    assert marks.arrow((1, 2), (1, 2), "#123456") == []


@pytest.mark.parametrize(("foot", "rim"), [(5.0, 3.5), (-5.0, 0.5)])
def test_a_dials_plunger_reaches_from_its_rim_to_the_work(foot, rim):
    """A face of 1.5 about (1, 2): above it the plunger leaves at 3.5, below at 0.5; the hand turns from the right."""
    plunger, face, hand = marks.dial(foot, (1.0, 2.0), 1.5, np.pi / 6, "#123456", 3)
    assert plunger.points().tolist() == [[1, rim], [1, foot]]
    assert np.hypot(face.x - 1, face.y - 2) == pytest.approx(1.5)
    assert face.points()[0] == pytest.approx(face.points()[-1]) and face.fill == "#ffffff"
    assert hand.points() == pytest.approx(
        np.array([(1, 2), (1 + 1.2 * np.cos(np.pi / 6), 2 + 0.6)])
    )
    assert {one.axes for one in (plunger, face, hand)} == {3}
    assert face.color == hand.color == "#123456"
    # nothing of the hand is hidden under the plunger, nor the hand under the face
    assert [np.ptp(one.x) > 0 for one in (plunger, face, hand)] == [False, True, True]


def test_numbers_of_a_chart_stand_at_half_and_all_of_its_height():
    half, whole = marks.ruler(40.0, "µm", 0.1, 1, 20.0, "end")
    assert (half.text, whole.text) == ("40 µm", "60 µm")
    assert half.y + 0.5 == pytest.approx(whole.y) and 0.95 < whole.y < 1.0, "just below its line"
    assert all((one.x, one.axes, one.anchor) == (0.1, 1, "end") for one in (half, whole))
    assert [one.text for one in marks.ruler(3.0, "thou", 0.0)] == ["1.5 thou", "3 thou"]


def test_warmer_is_redder_and_darker():
    """Gray-blue at room temperature, orange halfway, dark red at the hottest; nothing beyond either end."""
    assert marks.warmth(0) == marks.warmth(-3) == to_hex(np.array([232, 236, 240]) / 255)
    assert marks.warmth(0.5) == to_hex(np.array([246, 178, 107]) / 255)
    assert marks.warmth(1) == marks.warmth(7) == to_hex(np.array([168, 30, 15]) / 255)
    quarter = np.array([(232 + 246) / 2, (236 + 178) / 2, (240 + 107) / 2])
    assert 255 * np.array(to_rgb(marks.warmth(0.25))) == pytest.approx(quarter, abs=0.51)
    greens = [to_rgb(marks.warmth(share))[1] for share in np.linspace(0, 1, 41)]
    assert np.all(np.diff(greens) < 0)


@pytest.mark.parametrize("steps", [(1, 2, 5), scene.FINER])
def test_a_scale_is_the_next_round_number(steps):
    """Found by trying every step of every power of ten."""
    every = sorted(step * 10.0**power for power in range(-7, 6) for step in steps)
    for largest in [*np.geomspace(3e-6, 4e4, 301), 1.0, 2.0, 5.0, 7.5, 10.0, 200.0, 0.05]:
        wanted = next(one for one in every if one >= largest * (1 - 1e-9))
        assert scene.full_scale(largest, "x", steps) == pytest.approx(wanted, rel=1e-12)
    assert scene.full_scale(0.0, "x") > 0


def test_pictures_held_beside_each_other_take_the_larger_scale():
    kept = {}
    with scene.common_scales(kept):
        assert scene.full_scale(3, "force") == 5
        assert scene.full_scale(30, "force") == 50 and scene.full_scale(3, "force") == 50
        assert scene.full_scale(3, "couple") == 5
    assert kept == {"force": 50, "couple": 5}
    assert scene.full_scale(3, "force") == 5, "alone again"


def test_paper_draws_what_the_page_draws():
    """Places, colors, dashes and anchors of each item; a line as wide on paper, 72 points in 100 dots, as on the page."""
    figure, axes, other = scene.blank(places=((0.1, 0.1, 0.4, 0.8), (0.6, 0.1, 0.3, 0.8)))
    for one in (axes, other):
        one.set(xlim=(-1, 3), ylim=(-2, 5))
    x, y = np.array([0.0, 1.0, 2.0]), np.array([0.0, 30.0, 1.0])
    scene.add(
        figure,
        [
            Curve(x, y, "#123456", 2.5, "8 4"),
            Curve(x, y, "#654321", 1.0, "", "#abcdef", axes=1),
            Point(1.5, -1.0, "#112233", 1),
            Note(0.5, 4.0, "5 $x$", "#332211", "end", axes=1),
            scene.Tone(440.0),
        ],
    )
    (line,), (area,), (dot,), (word,) = axes.lines, other.patches, other.lines, other.texts
    assert line.get_xydata().tolist() == np.column_stack([x, y]).tolist()
    assert (line.get_color(), line.get_linewidth()) == ("#123456", pytest.approx(1.8))
    assert line._unscaled_dash_pattern == (0, (8, 4))
    assert area.get_xy()[:3].tolist() == np.column_stack([x, y]).tolist()
    assert to_hex(area.get_facecolor()) == "#abcdef" and to_hex(area.get_edgecolor()) == "#654321"
    assert area.get_linewidth() == pytest.approx(0.72)
    assert dot.get_xydata().tolist() == [[1.5, -1]] and dot.get_color() == "#112233"
    assert (word.xy, word.get_text(), word.get_ha()) == ((0.5, 4.0), "5 $x$", "right")
    assert word.get_color() == "#332211" and not word.get_parse_math()
    letters = axes.xaxis.label.get_size()
    assert 0.5 * letters < word.xyann[1] < letters and word.xyann[0] == 0, "above its point"
    assert 0.8 * letters < word.get_fontsize() <= letters
    for one in (axes, other):
        assert (one.get_xlim(), one.get_ylim()) == ((-1, 3), (-2, 5)), "what moves stretches none"


def test_a_projector_gets_larger_paper_and_letters_on_it():
    """Half as large again, letters nearly twice; axes give way at their left and foot, where the numbers stand."""
    places = ((0.12, 0.14, 0.76, 0.80), (0.0, 0.0, 0.1, 0.2))
    desk, *small = scene.blank(False, 7.0, 4.0, places)
    hall, *large = scene.blank(True, 7.0, 4.0, places)
    assert desk.get_size_inches().tolist() == [7, 4]
    assert hall.get_size_inches().tolist() == [10.5, 6]
    for one, other, place in zip(small, large, places, strict=True):
        assert one.get_position().bounds == pytest.approx(place)
        left, foot, wide, high = other.get_position().bounds
        assert foot + high == pytest.approx(place[1] + place[3]), "the top stays"
        assert (left + wide / 2) == pytest.approx(place[0] + place[2] / 2), "and the middle"
        room = foot - place[1]
        assert wide == pytest.approx(place[2] - room) and 0 < room <= min(0.03, place[2] / 10)
        for axis in (other.xaxis, other.yaxis):
            assert axis.label.get_size() / one.xaxis.label.get_size() == pytest.approx(20 / 11)
            sizes = [tick.label1.get_size() for tick in axis.get_major_ticks()]
            assert set(sizes) == {axis.label.get_size()}
        assert not any(one.spines[side].get_visible() for side in ("top", "right"))


def plate(fringe=0.0, low=0.0, high=2.0, mirror=0.0, lens=()):
    """A square from (0, 0) to (1, 1) whose value rises from 0 at the left to 2 at the right."""
    x, y = (part.ravel() for part in np.meshgrid(np.linspace(0, 1, 11), np.linspace(0, 1, 3)))
    at = np.arange(22).reshape(2, 11)[:, :-1].ravel()
    triangles = np.vstack(
        [np.column_stack([at, at + 1, at + 12]), np.column_stack([at, at + 12, at + 11])]
    )
    return Shading(x, y, 2 * x, triangles, low, high, fringe, mirror, lens=lens)


def pixels(item, places=((0, 0, 1, 1),), **limits):
    figure, *axes = scene.blank(width=4, height=4, places=places)
    for one in axes:
        one.set(xlim=(0, 1), ylim=(-1, 1), xticks=[], yticks=[], **limits)
        one.spines[:].set_visible(False)
    scene.add(figure, [item])
    figure.canvas.draw()
    return np.asarray(figure.canvas.buffer_rgba())[:, :, :3].astype(float)


def test_a_field_goes_from_light_to_dark_and_is_mirrored_below():
    image = pixels(plate())
    shades = scene.shades()
    for share in (0.1, 0.5, 0.9):
        for row in (100, 300):  # the plate above its foot, its mirror image below
            wanted = shades[int(255 * share)].astype(float)
            assert image[row, int(400 * share)] == pytest.approx(wanted, abs=8)
    gray = shades.astype(float) @ (0.3, 0.6, 0.1)
    assert np.all(np.diff(gray) < 0.5) and gray[0] > 240 and gray[-1] < 60
    image = pixels(plate(low=0.5, high=1.5))
    assert image[100, 50] == pytest.approx(shades[0].astype(float), abs=3), "below the low end"
    assert image[100, 350] == pytest.approx(shades[255].astype(float), abs=3), "above the high one"
    assert image[100, 200] == pytest.approx(shades[127].astype(float), abs=8)


def test_a_fringe_is_dark_at_each_whole_number_and_light_between():
    """0.5 a fringe: values of 0, 0.5, 1, 1.5 are dark, those halfway light, as the sine's square."""
    image = pixels(plate(fringe=0.5))[100, :, 0]
    for value in (0.5, 1.0, 1.5):
        assert image[int(200 * value) - 3 : int(200 * value) + 4].max() < 40, value
    for value in (0.25, 0.75, 1.25, 1.75):
        assert image[int(200 * value) - 3 : int(200 * value) + 4].min() > 225, value
    between = image[int(200 * 0.625) - 8 : int(200 * 0.625) + 8].mean()
    assert between == pytest.approx(255 / 2, abs=25)


def test_a_lens_shows_its_square_enlarged():
    """The square from (0.5, 0) of side 0.25 fills its axes: values of 1 at its left end, 1.5 at its right."""
    figure, axes, lens = scene.blank(width=8, height=4, places=((0, 0, 0.5, 1), (0.5, 0, 0.5, 1)))
    for one in (axes, lens):
        one.set(xlim=(0, 1), ylim=(0, 1), xticks=[], yticks=[])
        one.spines[:].set_visible(False)
    scene.add(figure, [plate(lens=(1, 0.5, 0.0, 0.25))])
    figure.canvas.draw()
    image = np.asarray(figure.canvas.buffer_rgba())[200, :, :3].astype(float)
    shades = scene.shades().astype(float)
    for at, value in ((402, 1.0), (600, 1.25), (797, 1.5)):
        assert image[at] == pytest.approx(shades[int(255 * value / 2)], abs=8), value


def test_colors_of_lines_are_told_apart():
    """Every two differ by a quarter of full white in at least one part."""
    for one, other in itertools.combinations(scene.PALE, 2):
        assert np.abs(np.subtract(to_rgb(one), to_rgb(other))).max() > 0.2
    for dark, light in scene.PALE.items():
        assert np.all(np.subtract(to_rgb(light), to_rgb(dark)) > 0)


def test_the_page_gets_places_in_hundredths_of_an_inch():
    """Paper of 8 by 4 inches: axes from 10 to 50 % across and 10 to 90 % up, 4 and 7 wide; down is plus."""
    figure, axes, _ = scene.blank(
        width=8, height=4, places=((0.1, 0.1, 0.4, 0.8), (0.6, 0.1, 0.3, 0.8))
    )
    axes.set(xlim=(-1, 3), ylim=(-2, 5))
    for grown in (1.0, 1.5):
        page = Places(figure, 14.5, grown)
        line = page.drawn(
            Curve(np.array([-1.0, 3.0]), np.array([-2.0, 1.5]), "#123456", 2.0, "8 4", "#fff")
        )
        assert line["points"] == "80.0,360.0 400.0,200.0" and line["width"] == 2 * grown
        assert (line["color"], line["dash"], line["fill"]) == ("#123456", "8 4", "#fff")
        assert "sample" not in line
        dot = page.drawn(Point(1.0, 5.0, "#654321", grips=(scene.Grip("speed", "y", 2.0, 3.0),)))
        assert (dot["x"], dot["y"], dot["size"]) == (240, 40, 6 * grown)
        assert dot["grips"] == [["speed", "y", 2.0, 3.0]]
        assert "grips" not in page.drawn(Point(1.0, 5.0, "#654321"))
        word = page.drawn(Note(1.0, 1.5, "here", "#222222", "end"))
        assert (word["x"], word["y"], word["text"], word["anchor"]) == (240, 192, "here", "end")
        assert word["size"] == 14.5 and word["axes"] == 0
    assert page.drawn(scene.Tone(440.0)) == {"kind": "tone", "hertz": 440.0}
    assert page.drawn(Curve(np.zeros(2), np.zeros(2), "#123456", sample=True))["sample"] is True


def test_the_page_gets_the_lens_as_a_stretch_and_a_shift():
    """Whatever lies in the lens' square, stretched and shifted, lies where the lens' axes show it."""
    places = ((0.0, 0.0, 0.4, 1.0), (0.5, 0.25, 0.25, 0.5))
    figure, axes, lens = scene.blank(width=8, height=4, places=places)
    axes.set(xlim=(-1, 1), ylim=(-0.5, 2))
    lens.set(xlim=(0, 1), ylim=(0, 1))
    field = plate(mirror=0.25, lens=(1, 0.5, 0.2, 0.25))
    page = Places(figure, 14.5, 1.0)
    sent = page.drawn(field)
    assert sent["lens"]["axes"] == 1
    for share in ((0.0, 0.0), (1.0, 1.0), (0.3, 0.8)):
        seen = page.at(0, np.array([(0.5 + 0.25 * share[0], 0.2 + 0.25 * share[1])]))[0]
        shown = page.at(1, np.array([share]))[0]
        assert np.array(sent["lens"]["scale"]) * seen + sent["lens"]["shift"] == pytest.approx(
            shown
        )
    assert sent["mirror"] == pytest.approx(page.at(0, np.array([(0.0, 0.25)]))[0, 1])
    at = np.frombuffer(sent["points"], np.float32).reshape(-1, 2)
    assert at == pytest.approx(page.at(0, np.column_stack([field.x, field.y])), rel=1e-6)
    assert np.frombuffer(sent["value"], np.float32) == pytest.approx(field.value)
    assert np.frombuffer(sent["triangles"], np.uint16).tolist() == field.triangles.ravel().tolist()
    assert (sent["low"], sent["high"], sent["fringe"]) == (0, 2, 0)
    assert page.drawn(plate())["lens"] is None
