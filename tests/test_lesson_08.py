"""Lesson 08 without a browser: its two views against the squeeze, its verdicts."""

import numpy as np
import pytest

from crankbook.lessons.turning import lesson_08
from crankbook.pictures import scene
from crankbook.pictures.turning import squeezed_crank
from crankmath import spacers
from crankmath.crank import Crank
from crankmath.units import Quantity

pytestmark = pytest.mark.usefixtures("own_folder")


def drawn(
    units="mm", force=Quantity(400.0, "N"), misfit=Quantity(0.0, "mm"), packing="pump, spacer"
):
    return lesson_08.items(units, force, misfit, packing)


def test_released_mains_stand_off_as_far_as_the_dial_reads():
    """No spacer, 400 N: the drawn left main's web end is half the reading off the center line, as enlarged."""
    items, finding = drawn(packing="pump, no spacer")
    said = next(one.text for one in items if getattr(one, "text", "").endswith("times enlarged"))
    enlarged = float(said.split()[1].replace(",", ""))
    main = next(
        one
        for one in items
        if one.kind == "line" and one.color == scene.RUST and one.fill == "#f3ddd5"
    )
    count = len(main.y) // 2
    axis = (main.y[:count] + main.y[count:][::-1]) / 2
    off = (axis[-1] - axis[0]) * 140 / enlarged  # mm; pump is 140 mm long and fills the view
    result = spacers.squeeze(Crank.load("pump"), Quantity(400.0, "N"))
    assert 2e3 * abs(off) == pytest.approx(result.largest_runout.m_as("um"), rel=1e-3)
    assert finding.headline == "The mains run out 12 µm after release."


def test_what_acts_is_drawn_in_the_units_of_the_display():
    items, finding = drawn("in", misfit=Quantity(8.0, "um"))
    words = [one.text for one in items if one.kind == "text"]
    assert "89.9 lbf" in words and not any(word.endswith((" N", "µm")) for word in words)
    assert "1050 N" not in str(finding) and finding.verdict == "not fine"


def test_a_loose_spacer_is_never_fine():
    """50 N press the pump's mains by less than is allowed, and a short spacer is a stone in a sling all the same."""
    _, loose = drawn(force=Quantity(50.0, "N"), misfit=Quantity(-20.0, "um"))
    assert loose.headline.startswith("The spacer is loose") and loose.verdict == "not fine"
    assert any("do not start" in line for line in loose.lines)
    assert drawn(force=Quantity(50.0, "N"), packing="pump, no spacer")[1].verdict == "fine"


def test_no_verdict_improves_as_the_tailstock_presses_harder():
    for packing in lesson_08.packings():
        verdicts = [
            drawn(force=Quantity(force, "N"), packing=packing)[1].verdict
            for force in np.linspace(100.0, 1500.0, 8)
        ]
        assert verdicts == sorted(verdicts), (packing, verdicts)  # "fine" before "not fine"


def test_paper_shows_every_word_that_the_page_shows():
    """Thrust and reading of the dial stand at the edge of their window."""
    figure, _ = lesson_08.picture()
    figure.canvas.draw()
    window, renderer = figure.axes[0], figure.canvas.get_renderer()
    shown = [text.get_text() for text in window.texts if text._check_xy(renderer)]
    assert "400 N" in shown and any(word.endswith(" µm") for word in shown)
    for text in window.texts:
        box = text.get_window_extent()
        assert box.y0 >= 0 and box.x0 >= 0 and box.x1 <= figure.bbox.x1, text.get_text()


def test_a_free_crank_is_drawn_to_size_seen_across_its_throw_of_angle_zero():
    """Pins of three throws stand at radius times the cosine of their angle; each web reaches from main to pin and beyond."""
    crank = Crank.load("organ").plain
    points, starts = squeezed_crank._places(Crank.load("organ"))
    drawn = squeezed_crank.crank_pieces(crank, np.zeros((len(points), 6)), starts)
    assert {round(np.cos(throw.angle), 3) for throw in crank.throws} == {1.0, -0.5}
    for piece, (x, y) in zip(Crank.load("organ").segments, drawn, strict=True):
        assert (x.min(), x.max()) == pytest.approx((piece.start, piece.end))
        if piece.kind != "web":
            ends = piece.axis[0] + np.array([-1, 1]) * piece.diameter / 2
        else:
            throw = crank.throws[piece.index]
            ends = sorted((0.0, throw.radius * np.cos(throw.angle)))
            ends = np.add(ends, [-throw.web_reach, throw.web_reach])
        assert (y.min(), y.max()) == pytest.approx(tuple(ends))
