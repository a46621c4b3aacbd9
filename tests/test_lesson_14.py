"""Lesson 14: every crank gets a finding, and the pictures agree with sums made apart."""

import re
import warnings
from dataclasses import replace

import numpy as np
import pytest

from crankbook.lesson import own, predict
from crankbook.lessons.proving import lesson_14
from crankbook.pictures import scene
from crankmath.crank import EXAMPLES, Crank
from crankmath.crank.mass import mass_properties
from crankmath.units import Quantity


def gram(value):
    return Quantity(float(value), "g")


def percent(value):
    return Quantity(float(value), "percent")


def rpm(value):
    return Quantity(float(value), "rpm")


@pytest.fixture
def mine(tmp_path, monkeypatch):
    """A folder of the reader's own, and a way to save a crank there."""
    monkeypatch.setenv("CRANKMATH_WORK", str(tmp_path))
    return lambda crank: own.save(replace(crank, name="my crank"))


def curves(drawn, axes, color):
    return [
        item
        for item in drawn
        if item.axes == axes and item.kind == "line" and item.color == color and not item.fill
    ]


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("kind", [lesson_14.WITH, lesson_14.WITHOUT])
@pytest.mark.parametrize("name", EXAMPLES)
def test_every_crank_gets_a_finding_and_points_that_can_be_drawn(mine, name, kind, units):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for moving, share, speed in ((0, 0, 60), (150, 50, 600), (1000, 100, 3000)):
            drawn, finding = lesson_14.items(
                units, f"{name}, {kind}", gram(moving), percent(share), rpm(speed)
            )
            assert f"{name.capitalize()} at {speed} rpm" in str(finding)
            assert finding.headline.startswith(("It shakes with", "The forces cancel"))
            assert all(np.all(np.isfinite(item.points())) for item in drawn)
            assert not re.search(r" (N|N·m)\b" if units == "in" else r" lbf", str(finding))


def test_pump_by_hand():
    """m e w^2 of 100 g on 18 mm at 600 rpm is 7.106 N: half balanced, 0.75 along, half across.

    Without counterweights the crank's 3347 g mm and the rod's 50 g turn as well:
    (3347 + 900) w^2 = 16.8 N more.
    """
    half = lesson_14.picture("pump, counterweights")[1]
    assert half.headline == "It shakes with 5.3 N along the stroke, 3.6 N across."
    assert "Primary 3.6 N, secondary 1.8 N; no couple." in half.lines and half.verdict == ""
    bare = lesson_14.picture("pump, no counterweights")[1]
    assert bare.headline == "It shakes with 26 N along the stroke, 17 N across."
    assert "Primary 24 N, secondary 1.8 N" in str(bare)


def test_verdict_never_improves_as_more_is_to_be_balanced():
    """Room for counterweights runs out at some share, and stays out."""
    for mass in (150, 300, 600):
        verdicts = [
            lesson_14.picture("pump, counterweights", gram(mass), percent(share))[1].verdict
            for share in range(0, 101, 10)
        ]
        assert verdicts == sorted(verdicts) and verdicts[-1] == "look"
    said = str(lesson_14.picture("pump, counterweights", share=percent(100))[1])
    assert "half disks as wide as the webs turn hold 93 %" in said


def test_throws_that_cancel_say_so():
    organ = lesson_14.picture("organ, counterweights", share=percent(0))[1]
    assert organ.headline.startswith("The forces cancel; a couple of up to")
    compressor = lesson_14.picture("compressor, counterweights", share=percent(0))[1]
    assert "Primary 0 N," in str(compressor)


def test_share_typed_in_percent_is_taken(mine):
    panel = lesson_14.panel()
    panel.type_in("share", "60 percent")
    assert not panel.problem and "60 % of what reciprocates" in str(panel.sentence)


def test_path_is_drawn_as_the_force_points():
    """At the outer end (angle zero) the tip is straight above; the sum of primary and secondary is the path called both."""
    drawn, _ = lesson_14.items("mm", "pump, counterweights", gram(150), percent(50), rpm(600))
    (both,), (primary,), (secondary,) = (
        curves(drawn, 1, scene.BLUE),
        curves(drawn, 1, scene.GREEN),
        curves(drawn, 1, scene.RUST),
    )
    assert both.x[0] == pytest.approx(0, abs=1e-9) and both.y[0] == pytest.approx(
        0.75 * 7.106 / 10, rel=1e-3
    )  # the ring is 10 N
    np.testing.assert_allclose(primary.x + secondary.x, both.x, atol=1e-12)
    np.testing.assert_allclose(primary.y + secondary.y, both.y, atol=1e-12)


def test_a_throw_at_90_degrees_lies_left_as_its_force_does(mine):
    """Seen from the right-hand end, as the crank's drawings are: angle 90 points left, in the end view and in the path."""
    mine(Crank.load("pump").with_throw(0, angle=Quantity(90, "deg")))
    drawn, _ = lesson_14.items("mm", "my crank, no counterweights", gram(0), percent(0), rpm(600))
    arrow = next(item for item in drawn if item.kind == "line" and item.color == scene.RUST)
    tip = int(arrow.x.argmin())
    (both,) = curves(drawn, 1, scene.BLUE)
    assert arrow.x[tip] < -0.3 and abs(arrow.y[tip]) < 1e-9
    assert both.x[0] < -0.3 and abs(both.y[0]) < 1e-9


def test_counterweights_are_drawn_opposite_and_as_wide_as_planned():
    drawn, _ = lesson_14.items("mm", "pump, counterweights", gram(150), percent(50), rpm(600))
    sector = next(item for item in drawn if item.fill == scene.PALE[scene.GREEN])
    half = (
        lesson_14.planned(Crank.load("pump"), lesson_14.WITH, gram(150), percent(50))
        .half_angle[0]
        .m_as("rad")
    )
    assert np.arctan2(abs(sector.x[1]), -sector.y[1]) == pytest.approx(half)
    assert sector.y.max() <= 1e-12


def test_own_crank_comes_first_and_its_steel_need_not_be_known(mine):
    pump = Crank.load("pump")
    mine(replace(pump, steel="village iron"))
    choice = lesson_14.controls()[0]
    assert (
        choice.options[:2] == ("my crank, counterweights", "my crank, no counterweights")
        and choice.value == "my crank, counterweights"
    )
    mine_, pumps = (
        lesson_14.picture(f"{name}, no counterweights")[1] for name in ("my crank", "pump")
    )
    assert mine_.headline == pumps.headline  # both are reckoned at 7850 kg/m^3


def test_a_changed_own_crank_is_seen(mine):
    mine(Crank.load("pump"))
    before = lesson_14.picture("my crank, no counterweights")[1]
    mine(Crank.load("pump").with_throw(0, radius=Quantity(25, "mm")))
    assert lesson_14.picture("my crank, no counterweights")[1] != before


def test_many_throws_all_unlike(mine):
    organ = Crank.load("organ")
    throws = tuple(
        replace(
            organ.throws[number % 3],
            radius=Quantity(0.4 + 0.03 * number, "in"),
            angle=Quantity(37.0 * number, "deg"),
        )
        for number in range(8)
    )
    mine(
        replace(
            organ,
            throws=throws,
            journals=(organ.journals[0], *[organ.journals[1]] * 7, organ.journals[-1]),
        )
    )
    drawn, finding = lesson_14.items(
        "in", "my crank, counterweights", gram(100), percent(50), rpm(600)
    )
    assert "a couple of up to" in str(finding) and all(
        np.all(np.isfinite(item.points())) for item in drawn
    )


@pytest.mark.parametrize("guess", ["12 N", "30 N"])
def test_a_guess_beyond_the_ring_is_drawn_and_answered(mine, guess):
    predict("14 shaking force", guess, ("N",))
    drawn, finding = lesson_14.items("mm", "pump, counterweights", gram(150), percent(50), rpm(600))
    if guess == "12 N":
        assert any(getattr(item, "text", "") == "your prediction" for item in drawn)
    assert f"You predicted {guess}; here it is 5.3 N." in finding.lines


def test_prediction_is_drawn(mine):
    before = len(lesson_14.items("mm", "pump, counterweights", gram(150), percent(50), rpm(600))[0])
    predict("14 shaking force", "6 N", ("N",))
    drawn = lesson_14.items("mm", "pump, counterweights", gram(150), percent(50), rpm(600))[0]
    assert len(drawn) == before + 2 and any(
        getattr(item, "text", "") == "your prediction" for item in drawn
    )


def test_gaps_know_each_slip(capsys):
    """By hand: 1970 + (40 + 40) 15.875 = 3240 g mm; 0.08 x 0.015875 x 41.89^2 x 0.75 = 1.671 N along, half of 2.23 N across."""
    bellows = Crank.load("bellows")
    assert mass_properties(bellows).unbalance_size.m_as("g*mm") == pytest.approx(1970, abs=1)
    lesson_14.check_gaps(bellows, "3240 g*mm", "1.671 N")
    assert capsys.readouterr().out.count("Right") == 2
    lesson_14.check_gaps(bellows, "2605 g*mm", "1.114 N")
    told = capsys.readouterr().out
    assert "share of what reciprocates" in told and "Not yet" in told.splitlines()[1]
    lesson_14.check_gaps(bellows, "1620 g*mm", "0.376 lbf")
    told = capsys.readouterr().out
    assert "one web's half" in told and "Right" in told.splitlines()[1]


def test_arrows_of_opposed_throws_do_not_hide_each_other():
    panel = lesson_14.panel()
    panel.receive({"type": "preset", "name": "Two throws"})
    arrows = [
        item
        for item in panel.items
        if item.kind == "line" and item.axes == 0 and item.fill == item.color
    ]
    assert len(arrows) == 4
    for one in arrows:
        for other in arrows:
            if one is not other and np.sign(one.y.mean()) == np.sign(other.y.mean()):
                assert abs(one.x.mean() - other.x.mean()) > 0.1
