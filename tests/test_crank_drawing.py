"""The drawing: to scale in both views, readable, complete."""

import itertools
import re
import subprocess
import sys

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from test_layout import ALL, OWN

from crankbook.pictures import crank_drawing as drawing
from crankbook.pictures.scene import Curve, Note
from crankmath.crank import EXAMPLES, Crank


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
    figure = drawing.crank_drawing(load(name), projector=projector)
    figure.canvas.draw()
    renderer, boxes = figure.canvas.get_renderer(), []
    for text in (text for axes in figure.axes for text in axes.texts):
        box = text.get_window_extent(renderer)
        assert (
            box.x0 >= 0 and box.y0 >= 0 and box.x1 <= figure.bbox.x1 and box.y1 <= figure.bbox.y1
        ), text.get_text()
        boxes.append((text.get_text(), box))
    for (one, first), (other, second) in itertools.combinations(boxes, 2):
        assert not first.padded(-1).overlaps(second.padded(-1)), (one, other)


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
