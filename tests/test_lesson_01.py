"""Lesson 01: panel, picture and questions, for the example cranks and three of another kind."""

import random

import numpy as np
import pytest
from helpers import words_stand_apart
from test_layout import ALL

from crankbook.lesson import draw, own, progress
from crankbook.lessons.blank import lesson_01
from crankbook.pictures import scene, space
from crankmath.crank import EXAMPLES, motion
from crankmath.units import Quantity

ZERO = Quantity(0.0, "mm")


QUARTER = Quantity(90.0, "deg")


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("rod", ["2.5 throws", "6 throws"])
def test_each_rod_joins_its_pin_and_its_piston_at_any_angle(choose, name, rod):
    """The big eye lies on the pin's axis, as far from the main axis as the throw; the small eye, one rod
    away, lies on the cylinder's line in its piston; both turn with the crank."""
    name = choose(name)
    crank = own.load(name)
    items, _ = lesson_01.items("mm", name, QUARTER, rod, ZERO)
    shown = items[0]
    throws, wide = crank.throws, lesson_01.rod_length(crank, rod).m_as("mm")
    rods, pistons = (
        shown.bodies[1 : 1 + 2 * len(throws) : 2],
        shown.bodies[2 : 2 + 2 * len(throws) : 2],
    )
    for throw, pin, rod_body, piston in zip(throws, crank.plain.pins, rods, pistons, strict=True):
        assert pin.start < rod_body.prisms[0].low < rod_body.prisms[0].high < pin.end
        for number, turn in enumerate(lesson_01.ANGLES[::2]):
            ends = np.array([(0.0, 0.0, 0.0), (0.0, wide, 0.0)])
            big, small = space.moved(ends, rod_body.moves[number])
            angle = np.radians(turn) + throw.angle.m_as("rad")
            radius = throw.radius.m_as("mm")
            assert big[1:] == pytest.approx(
                [radius * np.cos(angle), radius * np.sin(angle)], abs=1e-9
            )
            assert small[2] == pytest.approx(0, abs=1e-6)  # on the cylinder's line
            assert small[1] == pytest.approx(piston.moves[number][1])
            assert small[1] < shown.holds[:, 1].max()
        assert shown.driver == "turn" and shown.over == (0.0, 360.0)


def test_pump_at_a_quarter_turn_by_hand():
    """18 + 72 - sqrt(72^2 - 18^2) = 20.286 of 36 mm: 56 %."""
    _, finding = lesson_01.picture("pump", QUARTER)
    assert finding.headline == "Piston 1 has come 20.3 mm of its 36 mm stroke."
    assert finding.lines == ("Pump turned 90° with a rod of 72 mm: 56 % of the stroke.",)
    # a throw of 18.1 mm: 90.1 - sqrt(72^2 - 18.1^2) = 20.412 of 36.2 mm
    long = lesson_01.picture("pump", QUARTER, error=Quantity(0.1, "mm"))[1]
    assert long.headline == "Piston 1 has come 20.4 mm of its 36.2 mm stroke."


def test_the_error_of_a_throw_in_words():
    """0.05 mm at the outer end in full; at 90 degrees r dr / sqrt(l^2 - r^2) = 0.9 / 69.714 = 0.0129 mm too far from the head."""
    said = [
        lesson_01.picture("pump", Quantity(turn, "deg"), error=Quantity(0.05, "mm"))[1].lines[-1]
        for turn in (0, 90)
    ]
    assert (
        said[0]
        == "The throw is 0.05 mm too long: here the piston stands 0.05 mm too near the head."
    )
    assert said[1].endswith("here the piston stands 0.013 mm too far from the head.")
    short = lesson_01.picture(
        "pump", Quantity(180, "deg"), error=Quantity(-2, "thousandth"), units="in"
    )[1]
    assert short.lines[-1] == (
        "The throw is 2 thou too short: here the piston stands 2 thou too near the head."
    )


def test_a_prediction_is_answered_in_words(choose):
    """Half of 36 mm guessed; 20.286 mm by the hand sum above."""
    progress.write("predictions", "01 quarter turn", "18 mm")
    said = lesson_01.picture("pump", QUARTER)[1].lines[-1]
    assert said == "At a quarter turn you predicted 18 mm; with this rod it is 20.3 mm."


def test_curves_of_all_throws_against_the_library(choose):
    """Points of the chart are the travel that motion computes for each throw, in percent of the longest stroke."""
    crank = own.load(choose("fan"))
    items, _ = lesson_01.items("in", choose("fan"), Quantity(10, "deg"), "3 throws", ZERO)
    curves = [
        item for item in items if item.axes == 1 and item.kind == "line" and item.width == 2.5
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
    words = [item for item in items if item.kind != "space"]
    words_stand_apart(scene.add(lesson_01.paper("in", projector), words), over=1.0, beyond=0.0)


def test_panel_and_plain_cell_say_the_same(choose):
    panel = lesson_01.panel()
    panel.receive({"type": "preset", "name": "Short rod"})
    assert panel.sentence == lesson_01.picture("pump", QUARTER, "2.5 throws")[1]
    panel.set(error=Quantity(0.3, "mm"))
    assert "outside this panel" in panel.problem


def test_own_crank_is_offered_first(choose):
    assert lesson_01.controls()[0].options == EXAMPLES
    choose("fan")
    assert lesson_01.controls()[0].options == (own.names()[0], *EXAMPLES)
    assert lesson_01.panel().sentence.lines[0].startswith("Fan turned 60°")


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
