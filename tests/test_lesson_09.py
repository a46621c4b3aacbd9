"""Lesson 09 without a browser: its panel against the library, its sentences, its exercises."""

import re

import numpy as np
import pytest

from crankbook.lesson import draw, own
from crankbook.lessons.turning import lesson_09
from crankbook.pictures import scene
from crankmath import heat
from crankmath.crank import EXAMPLES, Crank
from crankmath.spacers import Spacer
from crankmath.units import Quantity

POWER, MINUTES = Quantity(100.0, "W"), Quantity(5.0, "min")


pytestmark = pytest.mark.usefixtures("own_folder")


def values(**changes):
    return {control.name: control.value for control in lesson_09.controls()} | changes


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("cooling", ["still air", "flood of oil"])
def test_the_panels_course_is_the_librarys(name, cooling):
    """Heat that stops is heat that goes on less the same begun later; ``heat.warm`` works the stop itself. Times on the panel's grid."""
    crank = Crank.load(name)
    found = lesson_09.courses(crank, False, POWER, MINUTES, cooling)
    last = len(crank.throws)
    for number, share in enumerate(found["heat"]):
        asked = heat.warm(
            crank,
            Quantity(float(share), "W"),
            Quantity(lesson_09.TIMES, "min"),
            ("journal", last),
            heat.coolant(cooling).film,
            MINUTES,
        )
        assert found["main"][number] == pytest.approx(
            asked.rise_of("journal", last).magnitude, abs=1e-6
        )
        assert found["web"][number] == pytest.approx(
            asked.rise_of("web", 2 * last - 1).magnitude, abs=1e-6
        )
        assert found["growth"][number] == pytest.approx(asked.growth.magnitude, abs=1e-6)


def test_heat_by_hand():
    """100 W: 10 W by the rule; by the shear plane 0.15 ln(27.5 / (R tan 22)), R = 7850 x 486 x (25/60) x 1e-4 / k."""
    heats = lesson_09.courses(Crank.load("pump"), False, POWER, MINUTES, "still air")["heat"]
    assert heats[0] == pytest.approx(10)
    assert heats[1] == pytest.approx(46, abs=1)


@pytest.mark.parametrize("packed", [False, True])
def test_thrust_is_growth_over_give(packed):
    """Evenly warm by a degree the pump grows 11.5e-6 x 140 mm; what the panel adds for that growth is the library's thrust per degree."""
    crank = Crank.load("pump")
    found = lesson_09.courses(crank, packed, POWER, MINUTES, "still air")
    packs = lesson_09.spacers_of(crank) if packed else ()
    for number, stiffness in enumerate(lesson_09.CENTERS.values()):
        per_degree = heat.thrust_per_degree(crank, packs, stiffness, lesson_09.COLD_THRUST).m_as(
            "N/delta_degC"
        )
        assert found["thrust"][1, number] == pytest.approx(
            found["growth"][1] / (11.5e-3 * 140) * per_degree
        )
    assert packed is (len(packs) == 1)


def test_spacers_clear_the_pins():
    for name in EXAMPLES:
        crank = Crank.load(name)
        for spacer, throw in zip(lesson_09.spacers_of(crank), crank.throws, strict=True):
            assert spacer.diameter / 2 < throw.radius - throw.pin_diameter / 2
    assert isinstance(lesson_09.spacers_of(Crank.load("organ"))[2], Spacer)


def test_sentence_is_the_drawing_in_words():
    """Minutes and temperatures of the sentence read off the curves drawn."""
    drawn, said = lesson_09.items("mm", **values(packing="pump, spacers"))
    main = [
        item
        for item in drawn
        if item.kind == "line" and item.color == scene.RUST and item.axes == 0
    ]
    hot = [round(item.y.max() - 20) for item in main]
    low, high = (float(part) for part in re.search(r"gets (\S+) to (\S+) °C warmer", said).groups())
    assert hot == pytest.approx([low, high], rel=0.05)
    web = [
        item
        for item in drawn
        if item.kind == "line" and item.color == scene.GREEN and item.axes == 0
    ]
    passed = [
        float(item.x[np.argmax(item.y >= 45)]) if (item.y >= 45).any() else None for item in web
    ]
    assert passed[0] is None and "not by the rule of thumb" in said
    assert float(re.search(r"passes 45 °C after (\S+) min", said)[1]) == pytest.approx(
        passed[1], abs=0.3
    )
    wait = [
        float(part)
        for part in re.search(r"within 2 µm after (\S+) to (\S+) min of waiting", said).groups()
    ]
    error = (
        11.5e-3
        * 20
        * (
            np.array(
                [
                    np.interp(5 + np.array(minutes), item.x, item.y)
                    for item, minutes in zip(main, wait, strict=True)
                ]
            )
            - 20
        )
    )
    assert error == pytest.approx(2, rel=0.06)
    assert "hangs loose" in said


def test_inch_converts_and_never_relabels():
    _, metric = lesson_09.items("mm", **values())
    drawn, inch = lesson_09.items("in", **values())
    grown = [
        float(re.search(rf"grows (\S+) to \S+ {unit}", said)[1])
        for unit, said in (("µm", metric), ("thou", inch))
    ]
    assert grown[1] * 25.4 == pytest.approx(grown[0], rel=0.05)
    assert "113 °F" in inch and "lbf" in inch and "°C" not in inch
    assert max(
        item.y.max() for item in drawn if item.kind == "line" and item.axes == 0
    ) == pytest.approx(20 * 1.8 + 32 + 1.8 * 104, rel=0.02)


def test_nothing_cut_nothing_warm():
    drawn, said = lesson_09.items("mm", **values(cutting=Quantity(0.0, "min")))
    assert said.endswith("nothing is cut, nothing warms.")
    assert all(np.isfinite(item.points()).all() for item in drawn)


def test_own_crank_is_offered_first_and_a_covered_axis_has_no_spacer():
    own.save(
        Crank.load("bellows").with_throw(radius=Quantity(0.3, "in"))
    )  # the pin covers the main axis
    packings = lesson_09.controls()[3].options
    assert (
        packings[0] == f"{own.names()[0]}, no spacer"
        and f"{own.names()[0]}, spacers" not in packings
    )
    panel = lesson_09.panel()
    panel.receive({"type": "set", "values": {"packing": packings[0]}})
    assert (
        panel.frame["readout"].startswith(f"{own.names()[0]}, 5 min") and not panel.frame["problem"]
    )


def test_keys_by_hand():
    """Read from the words alone: P = alpha L dT / (c + 1/k), error = alpha d (T - 20), t = m c / (h A) ln(alpha d dT / allowed)."""
    question = draw(lesson_09.trapped_growth, 3)
    length, give, stiffness, rise = (
        float(re.search(form, question.words)[1])
        for form in (r"of (\d+) mm", r"gives (\d+) µm", r"have (\d+) N", r"by (\d+) °C")
    )
    assert question.key.m_as("N") == pytest.approx(
        0.0115 * length * rise / (give / 1000 + 1 / stiffness)
    )
    question = draw(lesson_09.hot_reading, 3)
    diameter, warm = (
        float(re.search(form, question.words)[1]) for form in (r"Ø(\d+) mm", r"has (\d+) °C")
    )
    assert question.key.m_as("um") == pytest.approx(0.0115 * diameter * (warm - 20))
    question = draw(lesson_09.wait_for_it, 3)
    mass, skin, film, rise, diameter, allowed = (
        float(re.search(form, question.words)[1])
        for form in (
            r"of (\S+) kg",
            r"with (\d+) cm²",
            r"air, (\d+) W",
            r"is (\d+) °C",
            r"Ø(\d+) mm",
            r"within (\d+) µm",
        )
    )
    expected = mass * 486 / (film * skin * 1e-4) / 60 * np.log(0.0115 * diameter * rise / allowed)
    assert question.key.m_as("min") == pytest.approx(expected)


def test_gaps(capsys):
    crank = Crank.load("bellows")
    lesson_09.check_gaps(crank, "24.8 um", "377 N")
    assert capsys.readouterr().out.count("Right") == 2
    lesson_09.check_gaps(
        crank, "1.65 um", heat.thrust_per_degree(crank) * Quantity(15, "delta_degC")
    )
    said = capsys.readouterr().out
    assert "for one degree" in said and "no lathe is rigid" in said
