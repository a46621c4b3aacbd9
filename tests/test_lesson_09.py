"""Lesson 09 without a browser: its panel against the library, its sentences, its exercises."""

import re

import numpy as np
import pytest

from crankbook.lesson import draw, own
from crankbook.lessons.turning import lesson_09, warm_course
from crankbook.pictures import scene
from crankmath import heat
from crankmath.crank import EXAMPLES, Crank
from crankmath.heat import expansion
from crankmath.spacers import Spacer, squeeze
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
    packs = warm_course.spacers_of(crank) if packed else ()
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
        for spacer, throw in zip(warm_course.spacers_of(crank), crank.throws, strict=True):
            assert spacer.diameter / 2 < throw.radius - throw.pin_diameter / 2
    assert isinstance(warm_course.spacers_of(Crank.load("organ"))[2], Spacer)


def rise_of_chart(drawn):
    """Rise that the height of the chart stands for: its upper number less the room's 20 °C."""
    numbers = [
        float(one.text.split()[0])
        for one in drawn
        if one.kind == "text" and one.axes == 0 and one.text.endswith("°C")
    ]
    return max(numbers) - 20


def test_sentence_is_the_drawing_in_words():
    """Minutes and temperatures of the finding read off the curves drawn."""
    drawn, finding = lesson_09.items("mm", **values(packing="pump, spacers"))
    said, full = str(finding), rise_of_chart(drawn)
    main = [
        item
        for item in drawn
        if item.kind == "line" and item.color == scene.RUST and item.axes == 0 and not item.fill
    ]
    hot = [round(full * item.y.max()) for item in main]
    low, high = (float(part) for part in re.search(r"gets (\S+) to (\S+) °C warmer", said).groups())
    assert hot == pytest.approx([low, high], rel=0.05)
    web = [
        item
        for item in drawn
        if item.kind == "line" and item.color == scene.GREEN and item.axes == 0
    ]
    passed = [
        float(item.x[np.argmax(full * item.y >= 25)]) if (full * item.y >= 25).any() else None
        for item in web
    ]
    assert passed[0] is None and "by rule of thumb never" in said
    assert float(re.search(r"passes 45 °C after (\S+) min", said)[1]) == pytest.approx(
        passed[1], abs=0.3
    )
    wait = [
        float(part) for part in re.search(r"within 2 µm after (\S+) to (\S+) min", said).groups()
    ]
    error = (
        11.5e-3
        * 20
        * (
            np.array(
                [
                    full * np.interp(5 + np.array(minutes), item.x, item.y)
                    for item, minutes in zip(main, wait, strict=True)
                ]
            )
        )
    )
    assert error == pytest.approx(2, rel=0.06)
    assert "hangs loose" in said


def test_inch_converts_and_never_relabels():
    metric = str(lesson_09.items("mm", **values())[1])
    drawn, inch = lesson_09.items("in", **values())
    inch = str(inch)
    grown = [
        float(re.search(rf"crank (\S+) to \S+ {unit} longer", said)[1])
        for unit, said in (("µm", metric), ("thou", inch))
    ]
    assert grown[1] * 25.4 == pytest.approx(grown[0], rel=0.05)
    assert "113 °F" in inch and "lbf" in inch and "°C" not in inch
    top = max(
        item.y.max()
        for item in drawn
        if item.kind == "line" and item.axes == 0 and item.color == scene.RUST and not item.fill
    )
    numbers = [float(one.text.split()[0]) for one in drawn if "°F" in getattr(one, "text", "")]
    assert sorted(numbers) == [68, 200, 400, 400], "round numbers beside the chart and the colors"
    assert top * (max(numbers) - 68) == pytest.approx(1.8 * 104, rel=0.02)
    assert " W" not in inch and " hp" in inch


def test_the_crank_is_colored_by_what_each_piece_has():
    """The main being cut is the warmest as the cut stops, the far main the coolest, by the library's own rises."""
    drawn, _ = lesson_09.items("mm", **values())
    pieces = [one for one in drawn if one.axes == 2 and getattr(one, "fill", "") and one.width == 1]
    heat_of = heat.warm(
        Crank.load("pump"),
        Quantity(46.0, "W"),
        Quantity([5.0], "min"),
        ("journal", 1),
        heat.coolant("still air").film,
    )
    kinds = [("journal", 0), ("web", 0), ("pin", 0), ("web", 1), ("journal", 1)]
    rises = [heat_of.rise_of(*kind).magnitude[0] for kind in kinds]
    darkness = [-sum(bytes.fromhex(one.fill[1:])) for one in pieces]
    assert np.argsort(darkness).tolist() == np.argsort(rises).tolist()


def test_nobody_cuts_so_long():
    said = lesson_09.items(
        "mm", **values(power=Quantity(550.0, "W"), cutting=Quantity(30.0, "min"))
    )[1]
    assert said.headline.startswith("Nobody cuts that long") and said.verdict == "not fine"


def test_no_verdict_improves_as_it_gets_warmer():
    order = ("fine", "look", "not fine")
    for packing in ("pump, no spacer", "organ, spacers"):
        for name, unit, most in (("power", "W", 550), ("cutting", "min", 30)):
            found = [
                lesson_09.items("mm", **values(packing=packing, **{name: Quantity(size, unit)}))[1]
                for size in np.linspace(5, most, 8)
            ]
            places = [order.index(one.verdict) for one in found]
            assert places == sorted(places), (packing, name, places)


def test_nothing_cut_nothing_warm():
    drawn, said = lesson_09.items("mm", **values(cutting=Quantity(0.0, "min")))
    assert said.headline == "Nothing is cut, nothing warms."
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
    grown = lesson_09.courses(own.load(own.names()[0]), False, POWER, MINUTES, "still air")[
        "growth"
    ]
    said = re.search(r"the crank (\S+) to", panel.frame["readout"])[1]
    assert float(said) == pytest.approx(grown.max(axis=1)[0], rel=0.05)
    assert not panel.frame["problem"]


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


def test_a_cold_spacer_hangs_loose_where_400_newtons_closed_the_throw():
    """The lesson's tailstock is set to 400 N cold: as much closure as the pin's rise takes back, a degree at a time."""
    for name in ("pump", "organ"):
        crank = Crank.load(name)
        found = lesson_09.courses(crank, True, POWER, MINUTES, "still air")["loose"]
        lost = expansion.misfit_lost_per_degree(crank, len(crank.throws) - 1).m_as("um/delta_degC")
        closed = squeeze(crank, Quantity(400.0, "N")).closure[-1].m_as("um")
        assert found == pytest.approx(closed / lost, rel=1e-6)


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        ((np.inf, np.inf), "It never passes 45."),
        ((np.inf, 3.21), "It passes 45 after 3.2 min; by rule of thumb never."),
        ((12.3, 3.21), "It passes 45 after 3.2 to 12 min."),
    ],
)
def test_when_a_limit_is_passed_the_shear_plane_comes_first(minutes, said):
    assert lesson_09._passed(minutes, "It", "passes 45") == said


@pytest.mark.parametrize(
    ("wait", "said"),
    [
        ((0.0, 0.0), "cool at once"),
        ((0.2, 0.4), "cool after less than 1 min"),
        ((0.2, 3.4), "cool after less than 4 min"),
        ((1.0, 3.4), "cool after 1 to 3 min"),
        ((7.0, 3.0), "cool after 3 to 7 min"),
        ((5.2, 5.4), "cool after 5 min"),
        ((5.4, 5.6), "cool after 5 to 6 min"),
        ((4.0, np.inf), "cool after 4 min by rule of thumb, not after 180 by the shear plane"),
        ((np.inf, np.inf), "not cool even after 180 min"),
    ],
)
def test_how_long_to_wait_in_words(wait, said):
    assert lesson_09._after(wait, "cool") == said


def test_a_span_is_written_once_where_both_ends_round_alike():
    assert lesson_09._span((64.2, 14.1), "delta_degC") == "14 to 64 °C"
    assert lesson_09._span((14.1, 14.2), "delta_degC") == "14 °C"


def test_what_is_marked_in_the_pictures_of_warmth():
    """The cut's end stands on the mean of both estimates; ready to measure where the wait ends, if it is shown."""
    drawn, _ = lesson_09.items("mm", **values())
    point = next(one for one in drawn if one.kind == "marker")
    hot = [one for one in drawn if one.kind == "line" and one.axes == 0
           and one.color == scene.RUST and not one.fill]  # fmt: skip
    assert point.x == 5 and point.grips[0].control == "cutting"
    assert point.y == pytest.approx(np.mean([np.interp(5, one.x, one.y) for one in hot]))
    full = rise_of_chart(drawn)
    scale = [one.text for one in drawn if one.kind == "text" and one.axes == 2 and "°C" in one.text]
    assert scale == ["20 °C", f"{20 + full:.0f} °C"]
    level = next(one for one in drawn if one.kind == "line" and one.dash == "12 6")
    assert level.y * full == pytest.approx(25), "45 °C, where an adhesive softens"
    ready = [one for one in drawn if getattr(one, "text", "") == "measure"]
    crank = Crank.load("pump")
    found = lesson_09.courses(crank, False, POWER, MINUTES, "still air")
    wait = max(lesson_09.waits(crank, found, MINUTES, lesson_09.ALLOWED["mm"]))
    assert [one.x for one in ready] == (
        [pytest.approx(5 + wait)] if 5 + wait <= lesson_09.LONGEST else []
    )
