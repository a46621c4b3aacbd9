"""Lesson 02: bars, stress and bow, steels and questions, for the example cranks and three of another kind."""

import numpy as np
import pytest
from helpers import words_stand_apart
from scipy.integrate import trapezoid
from test_layout import ALL

from crankbook.lesson import draw, own, progress
from crankbook.lessons.blank import lesson_02
from crankbook.pictures import scene
from crankbook.pictures.blank import bar_picture
from crankmath.blank import bar, locked_in_stress
from crankmath.crank import EXAMPLES, Crank
from crankmath.job import Job, check_job
from crankmath.units import Quantity

NONE = Quantity(0.0, "mm")


@pytest.mark.parametrize("shape", bar.SHAPES)
@pytest.mark.parametrize("name", ALL)
def test_every_crank_goes_through_the_lesson(choose, name, shape):
    name = choose(name)
    for units in ("mm", "in"):
        for steel in (lesson_02.AS_DRAWN, "1144, cold drawn"):
            items, sentence = lesson_02.items(units, name, shape, steel, Quantity(6, "mm"))
            assert sentence.headline.startswith(f"Take a {shape} bar")
            assert "bows a trial piece of that length by" in str(sentence)
            for item in items:
                assert np.isfinite(item.points()).all()
                if item.axes == 0 and item.kind == "line":
                    assert (
                        item.x.min() >= 0
                        and item.x.max() <= bar_picture.FACE[0]
                        and item.y.max() <= bar_picture.FACE[1]
                    )


@pytest.mark.parametrize("name", ALL)
def test_the_dashed_outline_touches_the_webs_and_holds_them(choose, name):
    """Round bar: every corner of the drawn webs lies on or inside the drawn smallest circle, two at least on it."""
    items, _ = lesson_02.items("mm", choose(name), "round", lesson_02.AS_DRAWN, NONE)
    webs = np.concatenate(
        [
            item.points()[:-1]
            for item in items
            if item.kind == "line" and item.fill == bar_picture.WEB
        ]
    )
    ring = next(item for item in items if item.kind == "line" and item.color == scene.GREEN)
    radius = (ring.x.max() - ring.x.min()) / 2
    far = np.hypot(webs[:, 0] - bar_picture.MIDDLE[0], webs[:, 1] - bar_picture.MIDDLE[1])
    assert far.max() <= radius * (1 + 1e-6)
    assert (far > radius * (1 - 1e-6)).sum() >= 2


def test_pump_by_hand():
    """Diagonal of 46 by 28: 53.852; plus 2 (1.5 + 4 mm/m of 163 mm) = 58.156, as normalized C45 is black bar."""
    _, sentence = lesson_02.picture("pump", depth=NONE)
    assert sentence.headline == "Take a round bar Ø60 mm, 163 mm long."
    assert sentence.lines == (
        "Pump, C45 normalized: it needs Ø58.16 mm, 1.5 mm to machine and 0.65 mm to straighten included.",
        "Uncut, the stresses in the bar balance.",
    )


@pytest.mark.parametrize("name", EXAMPLES)
def test_lesson_and_job_ask_one_rule_for_the_bar(name):
    job = Job.load(name)
    assert lesson_02.stressed(job.crank, "round").needs == check_job(job).workings.smallest_bar


def test_a_bar_in_inches_is_as_long_as_the_sheet_saws_it():
    """5.65 in, 0.059 at each face and 0.4 at each end are 6.568: sawn to the next sixteenth."""
    headline = lesson_02.picture("bellows", units="in")[1].headline
    assert headline.endswith("6.625 in long.")
    drawn = lesson_02.picture("pump", steel="1144, cold drawn")[1]
    assert "needs Ø57.34 mm" in drawn.lines[0]  # 1.5 mm/m of 163 mm: EN 10278
    assert lesson_02.picture("pump", units="in")[1].lines[-1] == (
        "The shelf has it in millimeters: Ø60."
    )
    soft = lesson_02.picture("bellows", steel="4140 annealed")[1]
    assert "Bellows, 4140 annealed: it needs" in str(soft) and "in inches: Ø2.125." in str(soft)


def test_bow_of_the_gap_by_hand():
    """1144: 0.4 * 620.5 = 248.2 MPa; 4*9*248.2/(206000*900) = 4.819e-5; times 163*22/4 - 22^2/8 = 836: 40.3 um; a quarter and twice."""
    crank = Crank.load("pump")
    stock = bar.stock_bar(bar.smallest_bar(crank))
    throw = crank.throws[0]
    found = locked_in_stress.bow_with_scatter(
        stock,
        "1144",
        throw.pin_length,
        stock.length,
        pin_diameter=throw.pin_diameter,
        pin_y=throw.radius - stock.middle_y,
    )
    assert [one.m_as("um") for one in found] == pytest.approx([10.07, 40.29, 80.57], rel=1e-3)


def chart_scale(items):
    """What the chart's height stands for: its upper number."""
    return max(float(one.text.split()[0]) for one in items if one.kind == "text" and one.axes == 2)


def test_the_trial_piece_bows_as_far_as_the_finding_says(choose):
    """Its ends turn away from the cut: the middle stands higher by the usual bow, as enlarged."""
    items, _ = lesson_02.items("mm", "organ", "flat", lesson_02.AS_DRAWN, Quantity(10, "mm"))
    blank = lesson_02.stressed(own.load("organ"), "flat").bar
    usual = locked_in_stress.bow_with_scatter(
        blank, "12L14", blank.length, flat_depth=Quantity(10, "mm")
    )[1]
    piece = next(one for one in items if one.axes == 3 and getattr(one, "fill", ""))
    note = next(one.text for one in items if one.axes == 3 and one.kind == "text")
    enlarged, low = float(note.split()[1].replace(",", "")), piece.y[:31]
    scale = np.ptp(piece.x) / blank.length.m_as("mm")
    drawn = (low[15] - low[0]) / scale / enlarged
    assert drawn == pytest.approx(usual.m_as("mm"), rel=1e-6) and drawn > 0


def test_curve_and_point_agree_with_the_module(choose):
    """The chart's point is the usual bow of the module, at the slider's depth and on the curve."""
    items, _ = lesson_02.items("mm", "bellows", "flat", "1045, cold drawn", Quantity(12.5, "mm"))
    blank = lesson_02.stressed(own.load("bellows"), "flat").bar
    wanted = locked_in_stress.bow_with_scatter(
        blank, "1045", blank.length, flat_depth=Quantity(12.5, "mm")
    )
    point = next(item for item in items if item.kind == "marker")
    full = chart_scale(items)
    assert (point.x, full * point.y) == pytest.approx((12.5, wanted[1].m_as("um")), rel=1e-9)
    curve = next(item for item in items if item.kind == "line" and item.axes == 2 and not item.fill)
    assert np.interp(12.5, curve.x, curve.y) == pytest.approx(point.y, rel=1e-3)
    band = next(item for item in items if item.kind == "line" and item.axes == 2 and item.fill)
    assert full * np.interp(12.5, band.x[:25], band.y[:25]) == pytest.approx(
        wanted[0].m_as("um"), rel=1e-3
    )


def test_the_stress_drawn_is_in_balance(choose):
    """Round bar: the drawn profile, weighted with the ring it stands for, sums to nothing."""
    items, _ = lesson_02.items("mm", "pump", "round", "1144, cold drawn", NONE)
    line = next(item for item in items if item.kind == "line" and item.axes == 1 and not item.fill)
    place = (line.y - bar_picture.MIDDLE[1]) / (bar_picture.ROOM / 2)
    ring = np.abs(place)
    assert abs(trapezoid(line.x * ring, place)) < 5e-3 * trapezoid(
        np.abs(line.x) * ring, place
    )  # 31 places a side
    assert line.x[-1] == pytest.approx(0.4 * 620.5)


def test_a_prediction_is_drawn_as_a_circle_of_its_size(choose):
    progress.write("predictions", "02 smallest bar", "46 mm")
    ring = next(
        item
        for item in lesson_02.items("mm", "pump", "round", lesson_02.AS_DRAWN, NONE)[0]
        if item.kind == "line" and item.color == scene.PURPLE
    )
    assert np.ptp(ring.x) == pytest.approx(46 * bar_picture.ROOM / 60)
    assert not [
        item
        for item in lesson_02.items("mm", "pump", "flat", lesson_02.AS_DRAWN, NONE)[0]
        if item.color == scene.PURPLE
    ]


def test_a_steel_that_is_not_in_the_list_is_told(choose, tmp_path):
    from dataclasses import replace

    own.save(replace(Crank.load("pump"), steel="river iron"))
    panel = lesson_02.panel()
    assert "steel 'river iron' is not known" in panel.problem
    panel.set(steel="C45, normalized")
    assert panel.problem == "" and "C45 normalized" in str(panel.sentence)


def test_a_cut_through_the_whole_bar_is_told(choose):
    panel = lesson_02.panel()
    panel.set(crank="compressor", shape="flat")
    small = Crank.load("pump").with_throw(radius=Quantity(2, "mm"), web_reach=Quantity(10, "mm"))
    own.save(small)
    panel = lesson_02.panel()
    panel.set(depth=Quantity(30, "mm"), shape="flat")
    assert panel.problem.startswith("flat_depth takes the whole bar away")


@pytest.mark.parametrize("projector", [False, True])
@pytest.mark.parametrize(("name", "shape"), [("pump", "round"), ("organ", "flat")])
def test_notes_do_not_cover_each_other(choose, name, shape, projector):
    progress.write("predictions", "02 smallest bar", "46 mm")
    items, _ = lesson_02.items("in", name, shape, "1144, cold drawn", Quantity(10, "mm"))
    words_stand_apart(scene.add(lesson_02.paper("in", projector), items), over=1.0, beyond=0.0)


def test_panel_and_plain_cell_say_the_same(choose):
    panel = lesson_02.panel()
    panel.receive({"type": "preset", "name": "Cold drawn 1144"})
    assert panel.sentence == lesson_02.picture(steel="1144, cold drawn")[1]
    choose("well bucket")
    assert lesson_02.panel().sentence.lines[0].startswith("Well bucket, ")


@pytest.mark.parametrize(
    "maker", [lesson_02.web_diagonal, lesson_02.allowances, lesson_02.arc_height]
)
def test_questions_can_be_drawn(maker):
    for seed in range(50):
        assert len(draw(maker, seed).hints) == 2


def test_keys_by_the_library():
    """The exercises' short sums against the modules that do them in full."""
    question = draw(lesson_02.web_diagonal, 5)
    width, reach, throw = (float(word) for word in question.words.split() if word.isdigit())
    crank = Crank.load("pump").with_throw(
        radius=Quantity(throw, "mm"),
        web_reach=Quantity(reach, "mm"),
        web_width=Quantity(width, "mm"),
        pin_diameter=Quantity(8, "mm"),
    )
    assert question.key.m_as("mm") == pytest.approx(lesson_02.bare_bar(crank).width.m_as("mm"))
    question = draw(lesson_02.arc_height, 5)
    size, stress, length, off = (
        float(word.strip("Ø.,"))
        for word in question.words.split()
        if word.strip("Ø.,").isdigit() and word != "206"
    )
    blank = bar.Bar(
        "round",
        *(Quantity(value, "mm") for value in (size, size, 0, 0)),
        Quantity(0, "deg"),
        Quantity(length, "mm"),
        NONE,
    )
    free = locked_in_stress.release(
        blank,
        Quantity(stress, "MPa"),
        Quantity(206, "GPa"),
        pin_diameter=Quantity(size / 3, "mm"),
        pin_y=Quantity(off, "mm"),
    )
    assert question.key.m_as("mm") == pytest.approx(
        locked_in_stress.bow(free.curvature_y, Quantity(length, "mm")).m_as("mm"), rel=1e-6
    )


def test_gaps_accept_the_right_answer(choose, capsys):
    """Diagonal of 1.625 by 1: 1.908 in."""
    lesson_02.check_gaps("1.908 in", "2.125 in")
    assert capsys.readouterr().out.count("Right") == 2
    lesson_02.check_gaps("1.625 in", "2 in")
    assert (
        "corners stick out" in (said := capsys.readouterr().out)
        and "leave metal all around" in said
    )
