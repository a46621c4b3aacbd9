"""The drawing: to scale in both views, readable, complete; the printed sheet measured in its SVG and PDF."""

import itertools
import re
import subprocess
import sys
import xml.etree.ElementTree as ElementTree

import numpy as np
import pytest
from crankmath import bar, center_holes, layout
from crankmath.crank import EXAMPLES, Crank
from crankmath.plots import Curve, Note
from crankmath.plots import crank_drawing as drawing
from crankmath.units import Quantity
from matplotlib import rc_context
from matplotlib.colors import to_rgb

from test_layout import ALL, OWN

POINT = 25.4 / 72  # mm


@pytest.fixture(scope="module")
def load(tmp_path_factory):
    folder = tmp_path_factory.mktemp("cranks")
    for name, text in OWN.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return lambda name: Crank.load(name if name in EXAMPLES else folder / f"{name}.toml")


def filled(items, color, axes=0):
    return [item for item in items if isinstance(item, Curve) and item.fill == color and item.axes == axes]


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
            thick, height = throw.web_thickness.m_as("mm"), throw.radius.m_as("mm") * np.cos(throw.angle.m_as("rad"))
            wanted_webs += [(x, thick), (x + thick + throw.pin_length.m_as("mm"), thick)]
            wanted_rounds.append((x + thick, throw.pin_length.m_as("mm"), throw.pin_diameter.m_as("mm"), height))
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
    fillet, half, end = (size.m_as("mm") for size in (journal.fillet, journal.diameter / 2, journal.length))
    arc = (item.y > half + 1e-9) & (item.x > end - fillet - 1e-9)
    assert arc.sum() >= 8
    np.testing.assert_allclose(np.hypot(item.x[arc] - (end - fillet), item.y[arc] - (half + fillet)), fillet, rtol=1e-9)
    assert (item.x.max(), item.y.max()) == pytest.approx((end, half + fillet))


def test_end_view_puts_throws_where_they_point():
    """Organ from the right: 120 degrees counterclockwise from the top is down to the left."""
    dashed = [item for item in drawing.crank_items(Crank.load("organ")) if isinstance(item, Curve) and item.dash == drawing.HIDDEN]
    middles = [(item.x[:-1].mean(), item.y[:-1].mean()) for item in dashed]
    np.testing.assert_allclose(middles, [(0, 12.7), (-10.9985, -6.35), (10.9985, -6.35)], atol=1e-3)


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_every_size_is_written(load, name, unit):
    crank = load(name)
    words = " ".join(item.text for item in drawing.crank_items(crank, unit) if isinstance(item, Note))
    numbers = [float(part) for part in re.findall(r"\d*\.?\d+", words)]
    for part, fields in [(journal, ("diameter", "length", "fillet")) for journal in crank.journals] + [
        (throw, ("radius", "pin_diameter", "pin_length", "fillet", "web_thickness", "web_width", "web_reach")) for throw in crank.throws
    ]:
        for field in fields:
            size = getattr(part, field).m_as(unit)
            assert any(abs(size - number) <= 1e-4 * size for number in numbers), (field, size, words)
    assert any(abs(crank.length.m_as(unit) - number) <= 1e-4 * number for number in numbers if number)


@pytest.mark.parametrize(("name", "projector"), [*((name, False) for name in ALL), ("organ", True), ("compressor", True), ("fan", True), ("well bucket", True)])
def test_texts_do_not_cover_each_other_or_leave_the_paper(load, name, projector):
    figure = drawing.crank_drawing(load(name), projector=projector)
    figure.canvas.draw()
    renderer, boxes = figure.canvas.get_renderer(), []
    for text in (text for axes in figure.axes for text in axes.texts):
        box = text.get_window_extent(renderer)
        assert box.x0 >= 0 and box.y0 >= 0 and box.x1 <= figure.bbox.x1 and box.y1 <= figure.bbox.y1, text.get_text()
        boxes.append((text.get_text(), box))
    for (one, first), (other, second) in itertools.combinations(boxes, 2):
        assert not first.padded(-1).overlaps(second.padded(-1)), (one, other)


def luminance(color):
    return np.dot([c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(color)], [0.2126, 0.7152, 0.0722])


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
    code = "import sys, crankmath.plots.crank_drawing; sys.exit('matplotlib.pyplot' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_without_sizes_only_the_caption():
    notes = [item for item in drawing.crank_items(Crank.load("pump"), dimensions=False) if isinstance(item, Note)]
    assert [note.text.split(",")[0] for note in notes] == ["pump"]


def sheet(crank, shape="round", page="A4", unit="mm", ends=layout.ENDS):
    found = bar.smallest_bar(crank, shape)
    layouts = [layout.center_layout(crank, found, end) for end in ends]
    return layouts, drawing.layout_sheet(layouts, page, unit, center_holes.center_hole(min(found.width, found.height)))


def svg_lines(path):
    """Points of every named line, and the size of the page, in millimeters of paper."""
    root = ElementTree.parse(path).getroot()
    across, up = (float(root.get(side).removesuffix("pt")) * POINT for side in ("width", "height"))
    assert [float(part) for part in root.get("viewBox").split()] == pytest.approx([0, 0, across / POINT, up / POINT])
    lines = {}
    for group in root.iter("{http://www.w3.org/2000/svg}g"):
        found = group.find("{http://www.w3.org/2000/svg}path")
        if found is not None and group.get("id"):
            assert "transform" not in group.attrib
            numbers = [float(part) for part in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", found.get("d"))]
            lines[group.get("id")] = np.array(numbers).reshape(-1, 2) * (POINT, -POINT)
    return lines, (across, up)


@pytest.mark.parametrize(("name", "page"), [*((name, "A4") for name in ALL), ("pump", "Letter"), ("organ", "Letter")])
def test_svg_is_true_to_a_thousandth(load, name, page, tmp_path):
    layouts, figure = sheet(load(name), page=page)
    drawing.save_true_size(figure, tmp_path / "sheet.svg")
    lines, paper = svg_lines(tmp_path / "sheet.svg")
    assert paper == pytest.approx({"A4": (210, 297), "Letter": (215.9, 279.4)}[page], rel=1e-4)
    for direction, (x, y) in (("across", (100, 0)), ("up", (0, 100))):
        assert np.ptp(lines[f"scale-bar-{direction}"], axis=0) == pytest.approx((x, y), abs=0.01)
    for one in layouts:
        outline = lines[f"bar-{one.end}"]
        assert np.ptp(outline, axis=0) == pytest.approx([side.m_as("mm") for side in (one.bar.width, one.bar.height)], rel=1e-3)
        low = outline.min(axis=0)
        assert low.min() >= -297 and outline.max() <= max(paper)
        for point in one.points:
            places = [lines[f"center-{one.end}-{point.name}-{axis}".replace(" ", "-")].mean(axis=0) - low for axis in "xy"]
            wanted = [point.from_left.m_as("mm"), point.from_bottom.m_as("mm")]
            np.testing.assert_allclose(places, [wanted, wanted], rtol=1e-3)


def pdf_lines(path):
    """Straight lines of two points in an uncompressed PDF page, and its paper, in millimeters."""
    text = path.read_bytes().decode("latin-1")
    paper = [float(part) * POINT for part in re.search(r"/MediaBox \[ ?([\d. ]+?) ?\]", text)[1].split()]
    for scale in re.findall(r"^([-\d. ]+) [-\d.]+ [-\d.]+ cm$", text, re.MULTILINE):  # texts are moved, nothing is scaled
        assert [float(part) for part in scale.split()] == [1, 0, 0, 1]
    pairs = re.findall(r"^(-?[\d.]+) (-?[\d.]+) m\n(-?[\d.]+) (-?[\d.]+) l\n+S", text, re.MULTILINE)
    return np.array(pairs, float).reshape(-1, 2, 2) * POINT, paper


@pytest.mark.parametrize(("page", "unit"), list(itertools.product(drawing.PAGES, ("mm", "in"))))
def test_pdf_is_true_to_a_thousandth(page, unit, tmp_path):
    """The two scale bars and the crosses of the centers are found by their length among the lines of the page."""
    layouts, figure = sheet(Crank.load("compressor"), page=page, unit=unit, ends=("right",))
    with rc_context({"pdf.compression": 0}):
        drawing.save_true_size(figure, tmp_path / "sheet.pdf")
    lines, paper = pdf_lines(tmp_path / "sheet.pdf")
    assert paper == pytest.approx([0, 0, *drawing.PAGES[page]], abs=0.02)
    spans = np.ptp(lines, axis=1)
    wanted = 100 if unit == "mm" else 101.6
    assert (np.abs(spans - (wanted, 0)).max(axis=1) < 1e-3 * wanted).any()
    assert (np.abs(spans - (0, wanted)).max(axis=1) < 1e-3 * wanted).any()
    crosses = lines[np.abs(spans - (8, 0)).max(axis=1) < 0.008].mean(axis=1)
    heights = np.sort(crosses[:, 1])
    np.testing.assert_allclose(np.diff(heights), [14, 14], rtol=1e-3)  # pin 2, main, pin 1 of the compressor
    assert [point.name for point in layouts[0].points] == ["main", "pin 1", "pin 2"]


@pytest.mark.parametrize("kind", ["svg", "pdf"])
def test_the_same_sheet_gives_the_same_file(kind, tmp_path):
    for number in (1, 2):
        drawing.save_true_size(sheet(Crank.load("pump"))[1], tmp_path / f"{number}.{kind}")
    assert (tmp_path / f"1.{kind}").read_bytes() == (tmp_path / f"2.{kind}").read_bytes()


def test_table_of_the_sheet_gives_the_coordinates():
    layouts, figure = sheet(Crank.load("organ"), "flat", unit="in")
    words = [text.get_text() for text in figure.axes[0].texts]
    for one in layouts:
        for point in one.points:
            for size in (point.from_left, point.from_bottom, point.from_middle_x, point.from_middle_y):
                assert f"{size.m_as('in'):.4f}" in words
    assert "-0.0000" not in words


def test_what_does_not_fit_is_refused(tmp_path):
    big = Crank.load("pump").with_throw(0, radius=Quantity(90, "mm"))
    with pytest.raises(ValueError, match="^layouts do not fit"):
        sheet(big)
    assert sheet(big, ends=("right",))[1]  # alone it does
    with pytest.raises(ValueError, match="^page must be one of A4, Letter"):
        sheet(Crank.load("pump"), page="A5")
    with pytest.raises(ValueError, match="^path has to end in .svg or .pdf"):
        drawing.save_true_size(sheet(Crank.load("pump"))[1], tmp_path / "sheet.png")
