"""Stress of a cut in the work between centers, beside statics from the other end, by hand."""

from dataclasses import replace
from itertools import product
from math import hypot, pi, sqrt

import numpy as np
import pytest
from test_verdict_directions import random_job

from crankmath.crank import Crank, Journal, Throw
from crankmath.job import Job
from crankmath.job.report import check_job
from crankmath.job.workings import Workings
from crankmath.units import Quantity
from crankmath.workpiece import bending
from crankmath.workpiece.cuts import Turn
from crankmath.workpiece.planning.rules import BEND_SHARE


def mm(value):
    return Quantity(value, "mm")


def small(pin=6.0, web=4.0, steel="C45"):
    """A slender crank of a very small engine, not on the list of examples."""
    mains = Journal(mm(7), mm(18), mm(0.5)), Journal(mm(7), mm(30), mm(0.5))
    throw = Throw(mm(7), Quantity(0, "deg"), mm(pin), mm(8), mm(0.5), mm(web), mm(11), mm(5.5))
    return Crank("own", "mm", steel, mains, (throw,))


@pytest.fixture(scope="module")
def placed():
    return Workings(Job.load("pump")).plan.placed


def test_a_pin_alone_is_a_beam_between_centers(placed):
    """400 N along and 300 N into a pin of 18 mm: 500 N. The centers are 160 mm apart, the pin from
    69 to 91 mm of them: in its middle M = 500 · 80 · 80/160 = 20 N·m, T = 400 · 9 = 3.6 N·m;
    W = π 18³/32 = 572.6 mm³, so σ = 34.93 and τ = 3.14 MPa, together 35.35.
    """
    x_left, x_right = placed.faced
    assert x_right - x_left == pytest.approx(160)
    found = bending.cut_stress(placed, {("pin", 0): 9.0}, ("pin", 0), 400.0, 300.0)
    assert found == pytest.approx(35.35, rel=2e-3)


def test_a_cut_at_the_last_main_twists_and_bends_the_pin(placed):
    """A push P square to main 2 held by both centers: at the pin's right end, 91 mm from the left
    center, M = P (1 − s) 91 and, where it points across the throw of 18 mm, T = P (1 − s) 18.
    The push stands at s = 105/160, where main 2 begins. The web beside it, its middle 98 mm
    along: bent flat over 28 · 14²/6 mm³ by the part of the push along the throw, on edge over
    14 · 28²/6 and twisted, 28 · 14²/(3 + 1.8/2), by the part across it.
    """
    push, left = 1000.0, 1000.0 * (1 - 105 / 160)
    radii = {("pin", 0): 9.0, ("journal", 1): 500.0}
    found = bending.cut_stress(placed, radii, ("journal", 1), 0.0, push)
    of_pin = hypot(32 * left * 91, sqrt(3) * 16 * left * 18) / (pi * 18**3)
    way = np.linspace(0, 2 * pi, 720)
    bent = left * (98 * np.cos(way) * 6 / (28 * 14**2) + 18 * np.sin(way) * 6 / (14 * 28**2))
    twist = left * 98 * np.sin(way) * (3 + 1.8 / 2) / (28 * 14**2)
    of_web = np.hypot(bent, sqrt(3) * twist).max()
    assert found == pytest.approx(max(of_pin, of_web), rel=0.01)
    thick = bending.cut_stress(placed, radii | {("pin", 0): 500.0}, ("journal", 1), 0.0, push)
    assert thick == pytest.approx(of_web, rel=0.01)


def test_a_web_that_stands_across_the_axis_of_the_cut():
    """Pin 2 is cut, a quarter of a turn ahead of pin 1, whose web stands aslant to the line from
    axis to axis: there it matters which way the speed goes. From the headstock: its center pushes
    back with P (1 - s), its driver with 16 mm of the force along.
    """
    pump = Crank.load("pump")
    throws = tuple(
        replace(pump.throws[0], angle=Quantity(turn, "deg"), web_thickness=mm(thick))
        for turn, thick in ((0, 9), (90, 20))
    )
    mains = pump.journals[0], pump.journals[0], pump.journals[1]
    placed = Workings(Job(replace(pump, journals=mains, throws=throws))).plan.placed
    along, across, at = 800.0, 300.0, ("pin", 1)
    radii = {("pin", 0): 500.0, ("journal", 1): 500.0, at: 16.0}
    (x_left, x_right), axis = placed.faced, placed.pins[1]
    webs = [piece for piece in placed.segments if piece[0] == "web"][1:3]
    ahead = np.array([[0.0, -1.0], [1.0, 0.0]])  # a quarter of a turn
    begin, end = placed.span(*at)
    stresses = []
    for x_cut, turn in product((begin, (begin + end) / 2, end), np.linspace(0, 2 * pi, 720)):
        outward = np.array([np.cos(turn), np.sin(turn)])
        push = along * ahead @ outward - across * outward
        left = -push * (x_right - x_cut) / (x_right - x_left)
        for _, throw, x0, x1 in webs:
            thick, wide, out = x1 - x0, placed.webs[throw][2], np.array(placed.directions[throw])
            back = (x_left - (x0 + x1) / 2) * left
            for middle in (placed.main, placed.pins[throw]):
                arm = np.array(axis) - middle
                torque = arm[0] * left[1] - arm[1] * left[0] - 16.0 * along
                bent = 6 * abs(back @ out) / (wide * thick**2) + 6 * abs(torque) / (thick * wide**2)
                twist = abs(back @ ahead @ out) * (3 + 1.8 * thick / wide) / (wide * thick**2)
                stresses.append(hypot(bent, sqrt(3) * twist))
    found = bending.cut_stress(placed, radii, at, along, across)
    assert found == pytest.approx(max(stresses), rel=1e-3)


def test_stress_is_in_proportion_and_grows_with_every_place_turned(placed):
    at, one = ("journal", 1), {("journal", 1): 10.0}
    alone = bending.cut_stress(placed, one, at, 300.0, 100.0)
    assert bending.cut_stress(placed, one, at, 600.0, 200.0) == pytest.approx(2 * alone)
    assert bending.cut_stress(placed, one, at, 3e-4, 1e-4) == pytest.approx(1e-6 * alone)
    for more in ({("pin", 0): 9.0}, {("pin", 0): 9.0, ("journal", 0): 10.0}):
        assert bending.cut_stress(placed, one | more, at, 300.0, 100.0) >= alone


def test_the_last_cut_is_judged_with_all_before_it_made(placed):
    """Pin 1 roughed to 9.25, then main 2 to 10.25; ends of webs bear on nothing and are not asked."""

    def cut(place, radius):
        return Turn(0.0, 1.0, (0.0, 0.0), radius, place=place)

    cuts = [cut("pin 1", 12.0), cut("web 1", 32.0), cut("pin 1", 9.25), cut("main 2", 10.25)]
    radii, at = {("pin", 0): 9.25, ("journal", 1): 10.25}, ("journal", 1)
    found = bending.stress_under(placed, cuts)(300.0, 100.0)
    assert found == bending.cut_stress(placed, radii, at, 300.0, 100.0)
    assert bending.stress_under(placed, cuts[:2]) is None


def test_a_slender_crank_is_roughed_in_lighter_passes():
    """One millimeter deep a Ø6.5 pin in C45 would be bent for good: 405 MPa beside 340."""
    work = Workings(Job(small()))
    cut, stress = work.bent
    assert cut.depth < mm(0.6) and stress <= BEND_SHARE * work.yield_strength * (1 + 1e-6)
    asked = work.job["rough_depth"]
    assert all(one.asked < asked.m_as("mm") for one in work.passes if one.work == "rough")


@pytest.mark.parametrize(
    "job", [Job.load("pump"), Job(small()), Job(small(6.5, web=9.0)), random_job(64)]
)
def test_the_thinnest_passes_are_told_wherever_the_stress_is_largest(job):
    """Thinned at a pin the work may be bent most at a main, cut as deep as asked."""
    work = Workings(job)
    depths = [one.asked for step in work.plan.steps for one in step.passes if one.work == "rough"]
    asked = job["rough_depth"].m_as("mm")
    if min(depths) >= asked:
        assert work.thinned is None
    else:
        row, stress = work.thinned
        assert row.depth.m_as("mm") == pytest.approx(min(depths))
        assert stress <= BEND_SHARE * work.yield_strength
        assert check_job(job).find("force").verdict == "look"


def test_thinner_and_softer_is_never_cut_deeper():
    def depth(job):
        return Workings(job).bent[0].depth.m_as("mm")

    pins = [depth(Job(small(pin))) for pin in (8.0, 7.0, 6.0, 5.0)]
    assert pins == sorted(pins, reverse=True)
    webs = [depth(Job(small(web=web))) for web in (5.0, 4.0, 3.0, 2.5)]
    assert webs == sorted(webs, reverse=True)
    hard, soft = (Job(small()).typed("yield_strength", f"{one} MPa") for one in (600, 250))
    assert depth(soft) < depth(hard)


def test_what_no_pass_can_spare_is_said():
    crank = small(pin=4.0, web=2.0)
    found = check_job(Job(crank)).find("force")
    assert found.verdict != "fine" and "yield strength" in found.sentence
