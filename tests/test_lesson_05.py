"""Lesson 05: its panel without a browser, its pictures, its questions."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import Point, Polygon

from crankbook.lesson import draw, own, own_lathe, predict
from crankbook.lessons.turning import lesson_05
from crankbook.pictures.turning import roughing, work_in_space
from crankmath.crank import EXAMPLES, Crank
from crankmath.job import Job, check_job
from crankmath.lathe import load_lathe
from crankmath.units import Quantity
from crankmath.wording import shown as in_words

MAKERS = (lesson_05.share_of_turn, lesson_05.roughing_minutes, lesson_05.deepest_cut)


def mm(value):
    return Quantity(value, "mm")


def asked(depth, feed, milled=lesson_05.MILLINGS[0]):
    return {"rough_depth": mm(depth), "rough_feed": mm(feed), "milled": milled}


pytestmark = pytest.mark.usefixtures("own_folder")


@pytest.fixture
def panel():
    return lesson_05.panel()


def grown(crank, times):
    """The crank with every length multiplied."""
    lengths = {
        "throw": (
            "radius",
            "pin_diameter",
            "pin_length",
            "fillet",
            "web_thickness",
            "web_width",
            "web_reach",
        ),
        "journal": ("diameter", "length", "fillet"),
    }
    return replace(
        crank,
        journals=tuple(
            replace(one, **{name: times * getattr(one, name) for name in lengths["journal"]})
            for one in crank.journals
        ),
        throws=tuple(
            replace(one, **{name: times * getattr(one, name) for name in lengths["throw"]})
            for one in crank.throws
        ),
    )


def test_first_sentence_by_hand(panel):
    """Ø60 bar 9 off both axes: swing 39, whole to 21, pin to 9, main to 10, 0.25 left. Pin: 29.75 mm
    in 20 passes of 1.5, the first with its middle at 38.25: arccos((38.25² + 81 - 900)/(18 x 38.25))/pi
    = 0.114. Main: 28.75 mm in whole 0.05 mm of the dial, 19 passes of 1.45 and one of 1.2, 44.75 mm
    along, each at the fastest step that 26 m/min, in blows 0.7 of it, allows at its diameter: 73.4 min.
    """
    assert panel.frame["readout"].startswith("The tool cuts for 214 min, 147 min of it")
    assert "Pump from a round bar Ø60 mm" in panel.frame["readout"]
    assert (
        "Pin 1: 20 roughing passes of 1.5 mm, the first in metal 11 % of a turn"
        in panel.frame["readout"]
    )
    steps, radius, spent = load_lathe().gear_table.m_as("rpm"), 39.0, 0.0
    for depth in (*[1.45] * 19, 1.2):
        speed = 1000 * (85 * 0.3048) * (0.7 if radius > 21 else 1.0)  # mm/min
        spent += 44.75 / (0.12 * max(steps[steps <= speed / (2 * np.pi * radius)]))
        radius -= depth
    assert 2 * spent == pytest.approx(147, abs=0.5)
    mains = lesson_05.minutes(lesson_05.plan_of("pump", **asked(1.5, 0.12)))[1]
    assert mains == pytest.approx(2 * spent, rel=1e-6)


def test_too_bold_is_said(panel):
    panel.receive({"type": "preset", "name": "Too bold"})
    assert "Drive or crank, not you" in panel.frame["readout"]
    assert panel.sentence.verdict == "look"


def on_a_lathe(**changes):
    """The pump's finding, 3 mm deep and 0.2 mm a turn, on the school's lathe but for some of it."""
    own_lathe.save(replace(load_lathe(), name="Weak", **changes))
    return lesson_05.items("mm", mm(3.0), mm(0.2), "pump, first pin", lesson_05.MILLINGS[0])[1]


def test_a_drive_that_stalls_is_not_fine():
    finding = on_a_lathe(power=Quantity(20, "W"))
    assert finding.verdict == "not fine"
    assert any(line.startswith("The drive stalls") for line in finding.lines)


def test_what_swings_too_hard_even_milled_is_not_fine():
    finding = on_a_lathe(unbalance_force=Quantity(0.1, "N"))
    assert finding.verdict == "not fine"
    assert any(line.startswith("The work swings too hard") for line in finding.lines)


def test_what_the_plan_mills_unasked_is_told():
    """A slowest step of 300 rpm: at the swing of 39 mm it runs at 73 m/min, where 18 are allowed."""
    gears = Quantity(np.array([300.0, 600.0]), "rpm")
    lines = on_a_lathe(gear_table=gears).lines
    assert "nothing milled first" in lines[0] and lines[1].startswith("Mill s")
    assert "because the slowest step of the lathe, 300 rpm, is too fast" in lines[2]


def test_the_same_plan_in_inches_is_the_same_plan():
    metric, inch = (
        lesson_05.items(units, mm(1.5), mm(0.12), "bellows, first pin", lesson_05.MILLINGS[0])[1]
        for units in ("mm", "in")
    )
    assert metric.headline == inch.headline
    assert "mm" not in str(inch) and " in a turn" in str(inch)


@pytest.mark.parametrize("milled", lesson_05.MILLINGS)
@pytest.mark.parametrize("name", EXAMPLES)
def test_passes_drawn_lie_in_the_bar(name, milled):
    """Every arc's middle lies inside the drawn block; its ends lie on the block's rim, unless it runs all around."""
    drawn, _ = lesson_05.items("mm", mm(1.5), mm(0.12), f"{name}, first pin", milled)
    curves = [item for item in drawn if item.kind == "line" and item.axes == 0]
    block, arcs = Polygon(curves[1].points()), curves[3:-2]
    assert arcs
    for arc in arcs:
        points = arc.points()
        assert block.buffer(3e-3).contains(
            Point(points[len(points) // 2])
        )  # the rim is drawn in 72 chords
        if np.hypot(*(points[0] - points[-1])) > 1e-9:
            assert (
                block.exterior.distance(Point(points[0])) < 5e-3
                and block.exterior.distance(Point(points[-1])) < 5e-3
            )


@pytest.mark.parametrize("milled", lesson_05.MILLINGS)
@pytest.mark.parametrize("name", EXAMPLES)
def test_panel_and_check_count_the_same_minutes(name, milled):
    job = Job.load(name).typed("milled", milled)
    check = check_job(job).find("passes").number("minutes in the cut")
    headline = lesson_05.items(
        "mm", job["rough_depth"], job["rough_feed"], f"{name}, first pin", milled
    )[1].headline
    assert headline.startswith(f"The tool cuts for {in_words(check, 'time', 'mm')}, ")


def test_a_bar_that_no_list_holds_is_told():
    own.save(replace(grown(Crank.load("pump"), 6.0), name="mine"))
    assert "is larger than the sizes listed" in lesson_05.panel().frame["problem"]


@pytest.mark.parametrize("name", EXAMPLES)
def test_groups_add_up(name):
    sums = lesson_05.minutes(lesson_05.plan_of(name, milled=lesson_05.MILLINGS[3]))
    assert sums[0] == pytest.approx(sum(sums[1:]))
    assert min(sums) > 0 and len(sums) == len(roughing.GROUPS)


def test_milling_saves_time_and_a_slow_feed_costs_it():
    spent = [
        lesson_05.minutes(lesson_05.plan_of("pump", milled=one))[0] for one in lesson_05.MILLINGS
    ]
    assert spent == sorted(spent, reverse=True) and spent[0] > 2 * spent[3]
    slow, fast = (
        lesson_05.minutes(lesson_05.plan_of("pump", **asked(1.0, f)))[1] for f in (0.1, 0.2)
    )
    assert slow == pytest.approx(2 * fast)


def test_slices_say_what_stays():
    # pump: 28 x 46 x 14 twice is 36.06 cm3, pin 5.60, mains 28.27, fillets near 0.2: 70; bar 2.827 cm2 x 14.0 is 396 cm3
    _, sentence = lesson_05.slices_picture(Crank.load("pump"), lesson_05.plan_of("pump").stock)
    assert "70 of 396 cm³ stay" in sentence


@pytest.mark.parametrize("times", [0.2, 1.3, 2.4])
def test_own_crank_comes_first_and_is_planned(times):
    own.save(replace(grown(Crank.load("organ"), times), name="mine"))
    panel = lesson_05.panel()
    work = panel.controls["work"].options[0]
    assert work.startswith(own.names()[0])
    for milled in lesson_05.MILLINGS:
        panel.receive({"type": "set", "values": {"work": work, "milled": milled}})
        assert panel.sentence.lines[0].startswith("Mine") and not panel.frame["problem"]


def test_prediction_is_drawn(panel):
    before = len(lesson_05.items("mm", **panel.values)[0])
    predict("05 minutes", "2 hour", ("min", "hour"))
    drawn = lesson_05.items("mm", **panel.values)[0]
    assert len(drawn) == before + 2 and drawn[-2].x[0] == pytest.approx(120 / 300)
    finding = lesson_05.items("mm", **panel.values)[1]
    came = finding.headline.partition(" for ")[2].partition(",")[0]
    assert finding.lines[-1] == f"You predicted 120 min; here it is {came}."


def test_keys_by_other_means():
    """Counting points around the circle; walking the passes."""
    for seed in range(10):
        words = draw(lesson_05.share_of_turn, seed)
        diameter, offset, radius = (
            float(words.words.split(mark)[1].split(" mm")[0]) for mark in ("Ø", "turns ", "stands ")
        )
        turn = np.linspace(0, 2 * np.pi, 100001)
        inside = np.hypot(radius * np.cos(turn) - offset, radius * np.sin(turn)) < diameter / 2
        assert words.key.m_as("deg") == pytest.approx(360 * inside.mean(), abs=0.03)


def test_gaps_take_the_right_answers(capsys):
    bellows, stock = Crank.load("bellows"), lesson_05.plan_of("bellows").stock
    lesson_05.check_gaps(bellows, stock, "1.375 in", "12.3 percent")
    assert capsys.readouterr().out.count(" Right") == 2
    lesson_05.check_gaps(bellows, stock, "1.0625 in", "87.7 percent")
    shown = capsys.readouterr().out
    assert "off its middle" in shown and "in air" in shown


def at_step(number, name="pump", units="mm"):
    return lesson_05.STEPS.items(units, name, Quantity(float(number), "dimensionless"))


def test_a_step_in_space_by_hand():
    """Ø60 bar, throw 18, so each axis is 9 off the middle: swing 39. Pin 1 roughed to Ø18.5: its gap is 22 long,
    its slot is milled before; the blade's edge stands at the pin's radius, its holder beyond the swing."""
    drawn, finding = at_step(6)
    assert finding.headline == "Rough pin 1: swings Ø78 mm, begin at 70 rpm."
    assert (
        finding.verdict == "fine"
        and finding.lines[0] == "Step 6 of 14, between the centers of pin 1."
    )
    shown = drawn[0]
    kept, gone, blade, holder, board = shown.bodies
    vertices = np.vstack([prism.vertices for prism in kept.prisms])
    assert np.ptp(vertices[:, 0]) == pytest.approx(160) and np.ptp(vertices[:, 1]) == pytest.approx(
        60, abs=0.1
    )
    swing = next(trace for trace in shown.traces if trace.color == "#a8370f")
    assert np.hypot(*(swing.points[:, 1:] - (9, 0)).T) == pytest.approx(39)
    edge = blade.prisms[0].vertices[:, 2].min()
    cut = next(prism for prism in kept.prisms if prism.low < 81.5 < prism.high)
    assert edge == pytest.approx(np.hypot(*(cut.ring - (9, 0)).T).max(), abs=1e-3)
    assert holder.prisms[0].vertices[:, 2].min() == pytest.approx(edge + 32.75)
    assert board.prisms[0].vertices[:, 1].max() == pytest.approx(9 - 55)
    assert min(prism.low for prism in gone.prisms) >= 70.5 - 1e-6  # the pin is 22 long
    assert max(prism.high for prism in gone.prisms) <= 92.5 + 1e-6


def test_spacers_stand_on_the_main_axis_once_they_are_fitted():
    for number in (10, 11):
        fitted = [one for one in at_step(number)[0][0].bodies if one.color == work_in_space.SPACER]
        ring = fitted[0].prisms[0].ring
        assert ring.mean(axis=0) == pytest.approx([-9, 0], abs=0.01) and len(fitted) == 1
    assert not [one for one in at_step(9)[0][0].bodies if one.color == work_in_space.SPACER]


def test_what_is_struck_is_said():
    """A bar too wide for the school's lathe: all sizes grown 2.2 times."""
    own.save(replace(grown(Crank.load("pump"), 2.2), name="mine"))
    finding = at_step(6, own.names()[0])[1]
    assert finding.verdict == "not fine"
    assert any("strikes the carriage" in line for line in finding.lines)
    assert not any("Nothing is struck" in line for line in finding.lines)


def test_past_the_last_step_the_last_is_shown():
    drawn, finding = at_step(20)
    assert finding.lines[0] == "This plan has 14 steps: here is the last."
    assert finding.headline == "Cut off the ends." and drawn[0].bodies
    panel = lesson_05.steps()
    panel.receive({"type": "type", "name": "step", "text": "7"})
    assert panel.sentence.headline.startswith("Rough the mains: swings Ø78 mm")
    panel.receive({"type": "type", "name": "step", "text": "40"})
    assert panel.frame["problem"].endswith("write a value from 1 to 20")


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_step_of_every_plan_has_a_headline_and_a_picture(name):
    for number in range(1, 21):
        drawn, finding = at_step(number, name, "in")
        assert len(finding.headline.split()) <= 12 and "mm" not in str(finding)
        assert drawn[0].kind == "space" and drawn[0].bodies[0].prisms
