"""The drawing: to scale in both views, readable, complete."""

import itertools
import re
import subprocess
import sys
from dataclasses import replace
from types import SimpleNamespace
from xml.etree import ElementTree

import numpy as np
import pytest
from helpers import words_stand_apart
from matplotlib.colors import to_rgb
from test_layout import ALL, OWN

from crankbook.pictures import crank_drawing as drawing
from crankbook.pictures import paper_drawing
from crankbook.pictures.scene import Curve, Note
from crankbook.sheet import page
from crankmath.blank import bar, center_holes, layout
from crankmath.crank import EXAMPLES, Crank
from crankmath.units import Quantity


@pytest.fixture(scope="module")
def load(tmp_path_factory):
    folder = tmp_path_factory.mktemp("cranks")
    for name, text in OWN.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return lambda name: Crank.load(name if name in EXAMPLES else folder / f"{name}.toml")


def filled(items, color, axes=0):
    return [
        item
        for item in items
        if isinstance(item, Curve) and item.fill == color and item.axes == axes
    ]


@pytest.mark.parametrize("projector", [False, True])
@pytest.mark.parametrize("name", ALL)
def test_both_views_to_one_scale(load, name, projector):
    """A millimeter is the same number of dots across and up, in the side view and in the end view."""
    figure = drawing.crank_drawing(load(name), projector=projector)
    dots = [np.diff(axes.transData.transform([(0, 0), (1, 1)]), axis=0)[0] for axes in figure.axes]
    np.testing.assert_allclose(dots, dots[0][0], rtol=1e-9)
    side, end = (axes.get_position() for axes in figure.axes)
    assert (side.x0, end.x1) == (0, 1) and side.x1 == pytest.approx(end.x0), "side by side"


@pytest.mark.parametrize("name", ALL)
def test_side_view_has_the_sizes_of_the_part(load, name):
    """Every journal, pin and web: its length and its height in the drawing, summed up from the crank's own tables."""
    crank = load(name)
    items, x = drawing.crank_items(crank), 0.0
    rounds, webs = filled(items, drawing.ROUND), filled(items, drawing.WEB)
    wanted_rounds, wanted_webs = [], []
    for index, journal in enumerate(crank.journals):
        wanted_rounds.append((x, journal.length.m_as("mm"), journal.diameter.m_as("mm"), 0.0))
        x += journal.length.m_as("mm")
        if index < len(crank.throws):
            throw = crank.throws[index]
            thick, height = (
                throw.web_thickness.m_as("mm"),
                throw.radius.m_as("mm") * np.cos(throw.angle.m_as("rad")),
            )
            wanted_webs += [(x, thick), (x + thick + throw.pin_length.m_as("mm"), thick)]
            wanted_rounds.append(
                (x + thick, throw.pin_length.m_as("mm"), throw.pin_diameter.m_as("mm"), height)
            )
            x += 2 * thick + throw.pin_length.m_as("mm")
    assert len(rounds) == len(wanted_rounds)
    assert len(webs) == len(wanted_webs)
    for item, (start, length, diameter, height) in zip(rounds, wanted_rounds, strict=True):
        assert (item.x.min(), np.ptp(item.x)) == pytest.approx((start, length))
        upper = item.y[item.y > height]
        assert upper.min() - height == pytest.approx(diameter / 2)
        assert (item.y.max() + item.y.min()) / 2 == pytest.approx(height, abs=1e-9)
    for item, (start, thick) in zip(webs, wanted_webs, strict=True):
        assert (item.x.min(), np.ptp(item.x)) == pytest.approx((start, thick))


@pytest.mark.parametrize("name", ALL)
def test_fillets_are_arcs_of_their_radius(load, name):
    """Points of the outline beyond the diameter lie on a circle of the fillet's radius, tangent to rod and web."""
    crank = load(name)
    item = filled(drawing.crank_items(crank), drawing.ROUND)[0]
    journal = crank.journals[0]
    fillet, half, end = (
        size.m_as("mm") for size in (journal.fillet, journal.diameter / 2, journal.length)
    )
    arc = (item.y > half + 1e-9) & (item.x > end - fillet - 1e-9)
    assert arc.sum() >= 8
    np.testing.assert_allclose(
        np.hypot(item.x[arc] - (end - fillet), item.y[arc] - (half + fillet)), fillet, rtol=1e-9
    )
    assert (item.x.max(), item.y.max()) == pytest.approx((end, half + fillet))
    assert abs(item.y[item.x < 1e-9]).max() == pytest.approx(half), "none at the free end"


def test_end_view_puts_throws_where_they_point():
    """Organ from the right: 120 degrees counterclockwise from the top is down to the left."""
    dashed = [
        item
        for item in drawing.crank_items(Crank.load("organ"))
        if isinstance(item, Curve) and item.dash == drawing.HIDDEN
    ]
    middles = [(item.x[:-1].mean(), item.y[:-1].mean()) for item in dashed]
    np.testing.assert_allclose(middles, [(0, 12.7), (-10.9985, -6.35), (10.9985, -6.35)], atol=1e-3)


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_every_size_is_written(load, name, unit):
    crank = load(name)
    words = " ".join(
        item.text for item in drawing.crank_items(crank, unit) if isinstance(item, Note)
    )
    numbers = [float(part) for part in re.findall(r"\d*\.?\d+", words)]
    for part, fields in [
        (journal, ("diameter", "length", "fillet")) for journal in crank.journals
    ] + [
        (
            throw,
            (
                "radius",
                "pin_diameter",
                "pin_length",
                "fillet",
                "web_thickness",
                "web_width",
                "web_reach",
            ),
        )
        for throw in crank.throws
    ]:
        for field in fields:
            size = getattr(part, field).m_as(unit)
            assert any(abs(size - number) <= 1e-4 * size for number in numbers), (
                field,
                size,
                words,
            )
    assert any(
        abs(crank.length.m_as(unit) - number) <= 1e-4 * number for number in numbers if number
    )


@pytest.mark.parametrize(
    ("name", "projector"),
    [
        *((name, False) for name in ALL),
        ("organ", True),
        ("compressor", True),
        ("fan", True),
        ("well bucket", True),
    ],
)
def test_texts_do_not_cover_each_other_or_leave_the_paper(load, name, projector):
    words_stand_apart(drawing.crank_drawing(load(name), projector=projector), 1.0, 0.0)


def luminance(color):
    return np.dot(
        [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(color)],
        [0.2126, 0.7152, 0.0722],
    )


@pytest.mark.parametrize("name", ALL)
def test_reads_in_black_and_white(load, name):
    """Every line and text 4.5:1 against the darkest filling it can lie on, by lightness alone; center lines dashed."""
    for item in drawing.crank_items(load(name)):
        assert (luminance(drawing.WEB) + 0.05) / (luminance(item.color) + 0.05) >= 4.5, item.color
    dashes = {item.dash for item in drawing.crank_items(load(name)) if isinstance(item, Curve)}
    assert {"", drawing.CENTER_LINE, drawing.HIDDEN} == dashes


def test_opaque_white_and_without_pyplot():
    figure = drawing.crank_drawing(Crank.load("pump"))
    figure.canvas.draw()
    pixels = np.asarray(figure.canvas.buffer_rgba())
    assert (pixels[..., 3] == 255).all()
    assert (pixels[0, 0] == 255).all()
    code = (
        "import sys, crankbook.pictures.crank_drawing; sys.exit('matplotlib.pyplot' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_without_sizes_only_the_caption():
    notes = [
        item
        for item in drawing.crank_items(Crank.load("pump"), dimensions=False)
        if isinstance(item, Note)
    ]
    assert [note.text.split(",")[0] for note in notes] == ["pump"]


def drawn_on_paper(text):
    """(width, height), polylines as points, and words with their places, of a drawing for paper [mm]."""
    root = ElementTree.fromstring(text)
    size = [float(root.attrib[side].removesuffix("mm")) for side in ("width", "height")]
    assert root.attrib["viewBox"] == f"0 0 {size[0]:.2f} {size[1]:.2f}"
    lines = [
        np.array([point.split(",") for point in one.attrib["points"].split()], float)
        for one in root.findall(".//{*}polyline")
    ]
    words = [
        (one.text, *(float(one.attrib[key]) for key in "xy")) for one in root.findall(".//{*}text")
    ]
    return np.array(size), lines, words


@pytest.mark.parametrize(
    ("name", "unit"), list(zip(ALL, itertools.cycle(("mm", "in")), strict=False))
)
def test_on_paper_nothing_is_cut_off_and_the_scale_bar_is_true(load, name, unit):
    crank = load(name)
    (side, end), scale = paper_drawing.crank_svg(crank, unit)
    for text in (side, end):
        size, lines, words = drawn_on_paper(text)
        places = np.vstack([*lines, [place for _, *place in words]])
        assert (places >= 0).all() and (places <= size).all() and size[0] <= 178
    size, lines, words = drawn_on_paper(side)
    *_, bar = (one for one in lines if len(one) == 6)  # its ends turned up
    said, x, y = next(one for one in words if one[0].endswith(" of the crank"))
    long = float(said.split()[0]) * (1 if unit == "mm" else 25.4) * scale
    assert np.ptp(bar[:, 0]) == pytest.approx(long, abs=0.02)
    assert said.split()[0].strip("0.") in ("1", "2", "5"), "a length that the eye divides"
    assert long <= size[0] / 3 or said.startswith("0.5 ")
    assert 2.5 * long > size[0] / 3 or said.startswith("200 "), "no longer one would do"
    assert bar[-1, 0] < x < bar[-1, 0] + 3 and abs(y - bar[:, 1].max()) < 2, "its words beside it"
    ends = np.ptp(bar[:, 1])
    assert 1 <= ends <= 2 and bar[0, 1] == bar[-1, 1] == bar[:, 1].min(), "ticks stand up"
    assert size[1] - bar[:, 1].max() < 3, "at the foot"
    larger = [one for one in paper_drawing.SCALES if one > scale]
    wide = max(drawn_on_paper(one)[0][0] for one in (side, end)) / scale
    assert not larger or wide * min(larger) > 178 or scale in (1.0, 2.0)
    assert scale == 2 or wide > 60, "a small crank is drawn twice its size"


@pytest.mark.parametrize("shape", bar.SHAPES)
def test_end_faces_on_paper_hold_their_centers(load, shape):
    found = bar.smallest_bar(load("compressor"), shape)
    hole = center_holes.center_hole(min(found.width, found.height))
    for one in (layout.center_layout(load("compressor"), found, end) for end in layout.ENDS):
        size, lines, words = drawn_on_paper(paper_drawing.end_face_svg(one, hole, "mm", 0.5))
        outline, mouths = lines[0], [line for line in lines[1:] if len(line) > 100]
        middle = (outline.max(axis=0) + outline.min(axis=0)) / 2
        wide = (found.width.m_as("mm") / 2, found.height.m_as("mm") / 2)
        assert np.ptp(outline, axis=0) == pytest.approx(wide, abs=0.02)
        crosses = [line for line in lines[1:] if len(line) == 2]
        assert len(mouths) == len(one.points) and len(crosses) == 2 * len(one.points) + 2
        for point, ring, number in zip(one.points, mouths, range(99), strict=False):
            at = middle + np.array(
                [point.from_middle_x.m_as("mm") / 2, -point.from_middle_y.m_as("mm") / 2]
            )
            assert np.hypot(*(ring - at).T) == pytest.approx(hole.mouth.m_as("mm") / 4, abs=0.02)
            for cross in crosses[2 * number : 2 * number + 2]:
                assert cross.mean(axis=0) == pytest.approx(at, abs=0.02)
                assert np.hypot(*np.ptp(cross, axis=0)) == pytest.approx(7, abs=0.02)
            _, x, y = next(said for said in words if said[0] == point.name)
            assert 0 < x - ring[:, 0].max() < 4 and abs(y - at[1]) < 2, "its name beside it"
        for axis in crosses[-2:]:
            assert axis.mean(axis=0) == pytest.approx(middle, abs=0.02)
            assert (
                np.ptp(axis, axis=0).max() - np.ptp(outline, axis=0).max()
                == pytest.approx(6, abs=0.02)
                or shape == "flat"
            )
        places = np.vstack([*lines, [place for _, *place in words]])
        assert (places >= 0).all() and (places <= size).all()


@pytest.mark.parametrize(
    ("width", "scale"), [(162, "1 : 1"), (163, "1 : 2"), (324, "1 : 2"), (330, "1 : 2.5")]
)
def test_end_faces_fill_the_page_and_do_not_pass_it(load, width, scale):
    """178 mm of page less 8 mm of paper on either side leave 162 for the bar, at every scale: 24 mm
    were added to the bar, so that one of 330 mm was drawn 181 mm wide, and one of 162 half as large.
    """
    crank = load("compressor")
    size = Quantity(width, "mm")
    wide = replace(bar.smallest_bar(crank, "round"), width=size, height=size)
    ends = [layout.center_layout(crank, wide, end) for end in layout.ENDS]
    drawn = page._end_faces(SimpleNamespace(layouts=ends, hole=None, units="mm"))
    across = [float(one) for one in re.findall(r'<svg[^>]* width="([\d.]+)mm"', drawn)]
    assert len(across) == 2 and max(across) <= 178 and scale in drawn
