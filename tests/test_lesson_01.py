"""Lesson 01: panel, picture and questions, for the example cranks and three of another kind."""

import random

import numpy as np
import pytest
from test_layout import ALL

from crankbook.lesson import draw, own
from crankbook.lessons.blank import lesson_01
from crankbook.pictures import scene
from crankbook.pictures.blank import piston_picture
from crankbook.pictures.crank_drawing import shape
from crankmath.crank import EXAMPLES, motion
from crankmath.units import Quantity

ZERO = Quantity(0.0, "mm")


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("rod", list(lesson_01.RODS))
def test_each_crank_stays_on_the_paper_at_any_angle(choose, name, rod):
    """Crank, rod and piston lie inside the two windows; only an endless rod leaves through the top."""
    name = choose(name)
    for turn in (0, 37, 90, 180, 300, 360):
        items, sentence = lesson_01.items("mm", name, Quantity(turn, "deg"), rod, ZERO)
        assert sentence.endswith("The throw is to size.")
        for number, (width, height) in enumerate((piston_picture.END, piston_picture.SIDE)):
            for item in items:
                if item.axes != number or item.kind != "line" or item.color == scene.GRAY:
                    continue
                assert item.x.min() >= 0 and item.x.max() <= width and item.y.min() >= 0
                assert item.y.max() <= height or rod == "endless"


@pytest.mark.parametrize("name", ALL)
def test_both_views_have_one_scale_and_the_sizes_of_the_part(choose, name):
    """Length of the side view and distance of piston from pin, both over the scale of the paper."""
    crank = own.load(choose(name))
    items, _ = lesson_01.items("mm", choose(name), Quantity(50, "deg"), "4 throws", ZERO)
    scale = piston_picture.scale_of(shape(crank))
    side = [item for item in items if item.axes == 1 and item.kind == "line" and item.fill]
    assert max(item.x.max() for item in side) - min(item.x.min() for item in side) == pytest.approx(
        scale * crank.length.m_as("mm")
    )
    rods = [item for item in items if item.axes == 0 and item.kind == "line" and item.width == 4]
    assert len(rods) == len(crank.throws)
    longest = max(throw.radius.m_as("mm") for throw in crank.throws)
    for rod in rods:
        assert np.hypot(np.diff(rod.x), np.diff(rod.y))[0] == pytest.approx(4 * longest * scale)
        assert rod.x[1] == pytest.approx(piston_picture.MAIN[0])  # on the cylinder's line


def test_pump_at_a_quarter_turn_by_hand():
    """18 + 72 - sqrt(72^2 - 18^2) = 20.286 of 36 mm: 56 %."""
    _, sentence = lesson_01.picture("pump")
    assert (
        sentence
        == "pump turned 90° with a rod of 72 mm: piston 1 has come 20.3 mm of its 36 mm stroke, 56 %. The throw is to size."
    )


def test_the_error_of_a_throw_in_words():
    """0.05 mm at the outer end in full; at 90 degrees r dr / sqrt(l^2 - r^2) = 0.9 / 69.714 = 0.0129 mm too far from the head."""
    said = [
        lesson_01.picture("pump", Quantity(turn, "deg"), error=Quantity(0.05, "mm"))[1]
        for turn in (0, 90)
    ]
    assert said[0].endswith(
        "The throw is 0.05 mm too long: here the piston stands 0.05 mm too near the head."
    )
    assert said[1].endswith("here the piston stands 0.013 mm too far from the head.")
    short = lesson_01.picture(
        "pump", Quantity(180, "deg"), error=Quantity(-2, "thousandth"), units="in"
    )[1]
    assert short.endswith(
        "The throw is 2 thou too short: here the piston stands 2 thou too near the head."
    )


def test_curves_of_all_throws_against_the_library(choose):
    """Points of the chart are the travel that motion computes for each throw, in percent of the longest stroke."""
    crank = own.load(choose("fan"))
    items, _ = lesson_01.items("in", choose("fan"), Quantity(10, "deg"), "3 throws", ZERO)
    curves = [
        item for item in items if item.axes == 2 and item.kind == "line" and item.width == 2.5
    ][::-1]
    for throw, curve in zip(crank.throws, curves, strict=True):
        longest = max(one.radius for one in crank.throws)
        found = motion.piston_motion(
            Quantity(lesson_01.ANGLES, "deg") + throw.angle,
            Quantity(1, "rpm"),
            throw.radius,
            3 * longest,
        )
        np.testing.assert_allclose(
            curve.y, 100 * (found.travel / (2 * longest)).m_as("dimensionless"), atol=1e-9
        )


@pytest.mark.parametrize("projector", [False, True])
@pytest.mark.parametrize("name", ["pump", "organ", "four hammers"])
def test_notes_do_not_cover_each_other(choose, name, projector):
    items, _ = lesson_01.items("in", choose(name), Quantity(30, "deg"), "4 throws", ZERO)
    figure = scene.add(lesson_01.paper("in", projector), items)
    figure.canvas.draw()
    boxes = [
        text.get_window_extent()
        for axes in figure.axes
        for text in (*axes.texts, axes.xaxis.label, axes.yaxis.label)
        if text.get_text()
    ]
    for number, box in enumerate(boxes):
        assert box.x0 >= 0 and box.x1 <= figure.bbox.x1 and box.y0 >= 0 and box.y1 <= figure.bbox.y1
        assert not any(box.padded(-1).overlaps(other.padded(-1)) for other in boxes[:number])


def test_panel_and_plain_cell_say_the_same(choose):
    panel = lesson_01.panel()
    panel.receive({"type": "preset", "name": "Short rod"})
    assert panel.sentence == lesson_01.picture("pump", rod="2.5 throws")[1]
    panel.set(error=Quantity(0.3, "mm"))
    assert "outside this panel" in panel.problem


def test_own_crank_is_offered_first(choose):
    assert lesson_01.controls()[0].options == EXAMPLES
    choose("fan")
    assert lesson_01.controls()[0].options == (own.names()[0], *EXAMPLES)
    assert lesson_01.panel().sentence.startswith("fan turned 90°")


@pytest.mark.parametrize("maker", [lesson_01.piston_travel, lesson_01.swept, lesson_01.phase_shift])
def test_questions_can_be_drawn_and_their_keys_are_right(maker):
    """Fifty draws; the key by a second way from the numbers in the words."""
    for seed in range(50):
        question = draw(maker, seed)
        assert len(question.hints) == 2
    rng = random.Random(7)
    question = maker(rng)
    numbers = [
        float(part.strip("°.,?"))
        for part in question.words.split()
        if part.strip("°.,?").replace(".", "", 1).isdigit()
    ]
    if maker is lesson_01.piston_travel:
        radius, rod, angle = numbers
        pin = radius * np.exp(1j * np.radians(angle))
        assert question.key.m_as("mm") == pytest.approx(
            radius + rod - pin.real - np.sqrt(rod**2 - pin.imag**2)
        )
    elif maker is lesson_01.swept:
        count, bore, radius = numbers
        rod = Quantity(10 * radius, "mm")
        assert question.key.m_as("cm**3") == pytest.approx(
            count
            * motion.swept_volume(Quantity(bore, "mm"), Quantity(radius, "mm"), rod).m_as("cm**3")
        )
    else:
        radius, degrees = numbers
        exact = motion.position_error(
            Quantity(90, "deg"),
            Quantity(radius, "mm"),
            Quantity(100 * radius, "mm"),
            phase_error=Quantity(degrees, "deg"),
        )
        assert question.key.m_as("mm") == pytest.approx(abs(exact.m_as("mm")), rel=0.01)


def test_gaps_accept_the_right_answer(capsys):
    lesson_01.check_gaps("0.372 in", "2 thou")
    assert capsys.readouterr().out.count("Right") == 2
    lesson_01.check_gaps("0.3125 in", "4 thou")
    assert (
        "does the rod lean" in (said := capsys.readouterr().out)
        and "One end has half of it" in said
    )
