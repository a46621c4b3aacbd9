"""Lesson 05: its panel without a browser, its pictures, its questions."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import Point, Polygon

from crankbook.lesson import draw, own, predict
from crankbook.lessons.turning import lesson_05
from crankbook.pictures.turning import roughing, work_in_space
from crankmath.crank import EXAMPLES, Crank
from crankmath.cutting import operations
from crankmath.job import Job, check_job
from crankmath.units import Quantity
from crankmath.wording import shown as in_words

MAKERS = (lesson_05.share_of_turn, lesson_05.roughing_minutes, lesson_05.deepest_cut)


def mm(value):
    return Quantity(value, "mm")


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
    # Ø60 bar 9 off both axes: swing 39, pin at 9, 0.25 left: 29.75 in passes of at most 1.5 is 20
    # first pass, middle at 39 - 29.75/40 = 38.26: arccos((38.26^2 + 81 - 900)/(18 x 38.26))/pi = 0.113
    assert "bar of Ø60 mm" in panel.frame["readout"]
    assert (
        "Pin 1: 20 roughing passes of 1.49 mm, the first in metal 11 % of a turn"
        in panel.frame["readout"]
    )
    assert "The tool cuts for 204 min, 148 min of it roughing mains" in panel.frame["readout"]
    found = operations.turning_operations(Crank.load("pump"), mm(60))
    assert sum(
        one.time.m_as("min") for one in found if one.name.startswith("rough main")
    ) == pytest.approx(148, abs=0.5)


def test_too_bold_is_said(panel):
    panel.receive({"type": "preset", "name": "Too bold"})
    assert "The motor, not you" in panel.frame["readout"] and panel.sentence.verdict == "look"


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
def test_the_plan_of_the_job_stands_beside_the_sum(name, milled):
    """What the check of the passes says of the same crank, milled alike; and the sum with the job's own numbers."""
    job = Job.load(name).typed("milled", milled)
    check = check_job(job).find("passes").number("minutes in the cut")
    drawn, finding = lesson_05.items(
        "mm", job["rough_depth"], job["rough_feed"], f"{name}, first pin", milled
    )
    line = finding.lines[-1]
    assert f"takes {in_words(check, 'time', 'mm')}, milling" in line
    assert line.endswith(f"this sum {finding.headline.split(' for ')[1].split(',')[0]}.")


def test_a_bar_that_no_list_holds_has_no_plan_beside_it():
    own.save(replace(grown(Crank.load("pump"), 6.0), name="mine"))
    panel = lesson_05.panel()
    assert "The tool cuts for" in panel.frame["readout"] and "plan" not in panel.frame["readout"]


def test_groups_add_up():
    for name in EXAMPLES:
        sums = lesson_05.minutes(
            operations.turning_operations(
                Crank.load(name),
                lesson_05.round_bar(Crank.load(name)),
                milled=lesson_05.MILLINGS[3],
            )
        )
        assert (
            sums[0] == pytest.approx(sum(sums[1:]))
            and min(sums) > 0
            and len(sums) == len(roughing.GROUPS)
        )


def test_slices_say_what_stays():
    # pump: 28 x 46 x 14 twice is 36.06 cm3, pin 5.60, mains 28.27, fillets near 0.2: 70; bar 2.827 cm2 x 14.0 is 396 cm3
    _, sentence = lesson_05.slices_picture(
        Crank.load("pump"), lesson_05.round_bar(Crank.load("pump"))
    )
    assert "70 of 396 cm³ stay" in sentence


@pytest.mark.parametrize("times", [0.2, 1.3, 4.0])
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
    bellows = Crank.load("bellows")
    lesson_05.check_gaps(bellows, lesson_05.round_bar(bellows), "1.375 in", "12.3 percent")
    assert capsys.readouterr().out.count(" Right") == 2
    lesson_05.check_gaps(bellows, lesson_05.round_bar(bellows), "1.0625 in", "87.7 percent")
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
