"""The printed sheet, measured in its SVG and PDF as they lie in the reader's folder."""

import itertools
import re
import xml.etree.ElementTree as ElementTree

import numpy as np
import pytest
from helpers import words_stand_apart
from matplotlib import rc_context
from test_layout import ALL, OWN

from crankbook.lessons.blank import lesson_03
from crankbook.pictures.blank import layout_sheet as sheets
from crankmath.blank import bar, center_holes, layout
from crankmath.crank import EXAMPLES, Crank
from crankmath.units import Quantity

POINT = 25.4 / 72  # mm


@pytest.fixture
def load(tmp_path, monkeypatch):
    monkeypatch.setenv("CRANKMATH_WORK", str(tmp_path / "work"))
    for name, text in OWN.items():
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    return lambda name: Crank.load(name if name in EXAMPLES else tmp_path / f"{name}.toml")


def sheet(crank, shape="round", page="A4", unit="mm", ends=layout.ENDS):
    found = bar.smallest_bar(crank, shape)
    layouts = [layout.center_layout(crank, found, end) for end in ends]
    return layouts, sheets.layout_sheet(
        layouts, page, unit, center_holes.center_hole(min(found.width, found.height))
    )


def svg_lines(path):
    """Points of every named line, and the size of the page, in millimeters of paper."""
    root = ElementTree.parse(path).getroot()
    across, up = (float(root.get(side).removesuffix("pt")) * POINT for side in ("width", "height"))
    assert [float(part) for part in root.get("viewBox").split()] == pytest.approx(
        [0, 0, across / POINT, up / POINT]
    )
    lines = {}
    for group in root.iter("{http://www.w3.org/2000/svg}g"):
        found = group.find("{http://www.w3.org/2000/svg}path")
        if found is not None and group.get("id"):
            assert "transform" not in group.attrib
            numbers = [
                float(part) for part in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", found.get("d"))
            ]
            lines[group.get("id")] = np.array(numbers).reshape(-1, 2) * (POINT, -POINT)
    return lines, (across, up)


def expected(one):
    """Places of the centers of a face from its left and bottom edges [mm]."""
    return {
        point.name: (point.from_left.m_as("mm"), point.from_bottom.m_as("mm"))
        for point in one.points
    }


@pytest.mark.parametrize(("name", "shape"), list(itertools.product(ALL, bar.SHAPES)))
def test_saved_svg_is_true_to_a_thousandth(load, name, shape):
    """Page, scale bars, bar and every center of both ends, on A4 and on Letter: measured in the file the reader prints."""
    crank = load(name)
    files = [file for file in lesson_03.save_sheets(crank, shape) if file.suffix == ".svg"]
    blank, seen, long = lesson_03.blank_for(crank, shape), [], 100 if crank.units == "mm" else 101.6
    for file in files:
        page = "A4" if "A4" in file.name else "Letter"
        lines, paper = svg_lines(file)
        assert paper == pytest.approx({"A4": (210, 297), "Letter": (215.9, 279.4)}[page], rel=1e-4)
        for direction, wanted in (("across", (long, 0)), ("up", (0, long))):
            np.testing.assert_allclose(
                np.ptp(lines[f"scale-bar-{direction}"], axis=0), wanted, atol=1e-4 * long
            )
        for one in (blank.right, blank.left):
            if f"bar-{one.end}" not in lines:
                continue
            seen.append((page, one.end))
            outline = lines[f"bar-{one.end}"]
            assert np.ptp(outline, axis=0) == pytest.approx(
                [side.m_as("mm") for side in (one.bar.width, one.bar.height)], rel=1e-3
            )
            low = outline.min(axis=0)
            assert (
                low[0] >= 0
                and outline[:, 0].max() <= paper[0]
                and -low[1] <= paper[1]
                and outline[:, 1].max() <= 0
            )
            for center, wanted in expected(one).items():
                for axis in "xy":
                    place = (
                        lines[f"center-{one.end}-{center}-{axis}".replace(" ", "-")].mean(axis=0)
                        - low
                    )
                    np.testing.assert_allclose(place, wanted, rtol=1e-3)
    assert sorted(seen) == sorted(itertools.product(sheets.PAGES, layout.ENDS))


def pdf_lines(path):
    """Straight lines of two points in an uncompressed PDF page, and its paper, in millimeters."""
    text = path.read_bytes().decode("latin-1")
    paper = [
        float(part) * POINT for part in re.search(r"/MediaBox \[ ?([\d. ]+?) ?\]", text)[1].split()
    ]
    for scale in re.findall(
        r"^([-\d. ]+) [-\d.]+ [-\d.]+ cm$", text, re.MULTILINE
    ):  # texts are moved, nothing is scaled
        assert [float(part) for part in scale.split()] == [1, 0, 0, 1]
    pairs = re.findall(r"^(-?[\d.]+) (-?[\d.]+) m\n(-?[\d.]+) (-?[\d.]+) l\n+S", text, re.MULTILINE)
    return np.array(pairs, float).reshape(-1, 2, 2) * POINT, paper


@pytest.mark.parametrize("name", ALL)
def test_saved_pdf_is_true_to_a_thousandth(load, name):
    """Scale bars and crosses of the centers are found by their length among the lines of the page; crosses are 8 mm."""
    crank = load(name)
    with rc_context({"pdf.compression": 0}):
        files = [file for file in lesson_03.save_sheets(crank) if file.suffix == ".pdf"]
    assert {page for page in sheets.PAGES if any(page in file.name for file in files)} == set(
        sheets.PAGES
    )
    blank, long = lesson_03.blank_for(crank), 100 if crank.units == "mm" else 101.6
    for file in files:
        lines, paper = pdf_lines(file)
        assert paper == pytest.approx(
            [0, 0, *sheets.PAGES["A4" if "A4" in file.name else "Letter"]], abs=0.02
        )
        spans = np.ptp(lines, axis=1)
        for wanted in ((long, 0), (0, long)):
            assert (np.abs(spans - wanted).max(axis=1) < 1e-4 * long).sum() == 1
        crosses = lines[np.abs(spans - (8, 0)).max(axis=1) < 0.008].mean(axis=1)
        faces = [
            one
            for one in (blank.right, blank.left)
            if f"-{one.end}-" in file.name or len(files) == 2
        ]
        assert len(crosses) == sum(len(one.points) for one in faces)
        found = (
            crosses[:, None] - crosses[None]
        )  # every distance between two centers of one face is there
        for one in faces:
            places = np.array(list(expected(one).values()))
            for apart in (places - places[0])[1:]:
                assert np.abs(found - apart).max(axis=-1).min() <= 1e-3 * np.hypot(*apart)


@pytest.mark.parametrize("kind", ["svg", "pdf"])
def test_the_same_sheet_gives_the_same_file(kind, tmp_path):
    for number in (1, 2):
        sheets.save_true_size(sheet(Crank.load("pump"))[1], tmp_path / f"{number}.{kind}")
    assert (tmp_path / f"1.{kind}").read_bytes() == (tmp_path / f"2.{kind}").read_bytes()


@pytest.mark.parametrize("page", sheets.PAGES)
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_nothing_leaves_the_page_or_stands_on_another_word(load, page, unit):
    """A printer leaves 5 mm at the edges; the bars of the scale are ticked each centimeter or inch."""
    _, figure = sheet(load("pump"), "round", page, unit)
    (axes,), size = figure.axes, np.array(sheets.PAGES[page])
    for line in axes.lines:
        assert (line.get_xydata() >= 5).all() and (line.get_xydata() <= size - 5).all()
    words_stand_apart(figure)
    for way, across in (("across", 0), ("up", 1)):
        bar_line = next(line for line in axes.lines if line.get_gid() == f"scale-bar-{way}")
        begin, end = bar_line.get_xydata()
        ticks = [line.get_xydata() for line in axes.lines if not line.get_gid()]
        ticks = [one for one in ticks if len(one) == 2 and np.ptp(one[:, 1 - across]) == 2]
        here = sorted(abs(one[0, across] - begin[across]) for one in ticks)
        each = 10.0 if unit == "mm" else 25.4
        assert here == pytest.approx(np.arange(0, abs(end - begin)[across] + 1, each))


def test_table_of_the_sheet_gives_the_coordinates():
    layouts, figure = sheet(Crank.load("organ"), "flat", unit="in")
    words = [text.get_text() for text in figure.axes[0].texts]
    for one in layouts:
        for point in one.points:
            for size in (
                point.from_left,
                point.from_bottom,
                point.from_middle_x,
                point.from_middle_y,
            ):
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
        sheets.save_true_size(sheet(Crank.load("pump"))[1], tmp_path / "sheet.png")
