"""Bushings and rolling bearings: limits and bad input. Checks against print are in published/."""

import re
from dataclasses import replace

import numpy as np
import pint
import pytest
from scipy.optimize import brentq

from crankmath.crank import Crank
from crankmath.job import Job
from crankmath.job.report import check_job
from crankmath.service import bearings
from crankmath.units import OutOfRangeWarning, Quantity
from crankmath.workpiece import make_plan


def newton(value):
    return Quantity(value, "N")


def test_pressure_and_speed():
    assert bearings.bearing_pressure(newton(1200.0), Quantity(20, "mm"), Quantity(30, "mm")).m_as(
        "MPa"
    ) == pytest.approx(2)
    # 20 mm at 300 turns a minute: 0.0628 m a turn, five turns a second
    assert bearings.sliding_speed(Quantity(20, "mm"), Quantity(300, "rpm")).m_as(
        "m/s"
    ) == pytest.approx(0.31416, rel=1e-4)


def test_check_takes_peak_for_pressure_and_mean_for_heat():
    found = bearings.check_bushing(
        newton(np.array([0.0, 1200.0])),
        Quantity(20, "mm"),
        Quantity(30, "mm"),
        Quantity(300, "rpm"),
        "tin bronze",
    )
    assert found.pressure.m_as("MPa") == pytest.approx(2)
    assert found.pressure_speed.m_as("MPa*m/s") == pytest.approx(0.31416, rel=1e-4)
    assert found.safety == pytest.approx(1 / 0.31416, rel=1e-4)  # the speed, whose limit is 1 m/s
    assert "no certificate" in str(found)
    worse = bearings.check_bushing(
        newton(40000.0), Quantity(20, "mm"), Quantity(30, "mm"), Quantity(300, "rpm"), "tin bronze"
    )
    assert worse.safety < 1 and "NOT within" in str(worse)


@pytest.mark.parametrize("material", bearings.BUSHING_MATERIALS)
def test_every_material_has_a_source_and_a_pressure(material):
    found = bearings.check_bushing(
        newton(100.0), Quantity(20, "mm"), Quantity(30, "mm"), Quantity(100, "rpm"), material
    )
    assert found.source and found.pressure_limit.m_as("MPa") > 0


def test_equivalent_load():
    assert bearings.equivalent_load(newton(np.full(10, 250.0))).m_as("N") == pytest.approx(250)
    half_on = bearings.equivalent_load(newton(np.array([0.0, 800.0]))).m_as("N")
    assert half_on == pytest.approx(800 * 0.5 ** (1 / 3))


def test_life_falls_with_the_cube_of_the_load():
    once, twice = (
        bearings.rating_life(newton(1e4), newton(load), Quantity(500, "rpm"))
        for load in (1000.0, 2000.0)
    )
    assert (once.turns / twice.turns).m_as("dimensionless") == pytest.approx(8)
    rollers = bearings.rating_life(newton(1e4), newton(1000.0), Quantity(500, "rpm"), "roller")
    assert rollers.turns.m_as("turn") == pytest.approx(1e6 * 10 ** (10 / 3))
    assert bearings.rating_life(
        newton(1e4), newton(np.array([1e3, 2e3])), Quantity(500, "rpm")
    ).hours.shape == (2,)


def test_heavy_load_says_so():
    with pytest.warns(OutOfRangeWarning, match="half"):
        bearings.rating_life(newton(1e4), newton(6000.0), Quantity(500, "rpm"))


@pytest.mark.parametrize(
    ("call", "kind", "words"),
    [
        (
            lambda: bearings.bearing_pressure(5, Quantity(1, "mm"), Quantity(1, "mm")),
            TypeError,
            "force",
        ),
        (
            lambda: bearings.bearing_pressure(newton(5.0), Quantity(1, "kg"), Quantity(1, "mm")),
            pint.DimensionalityError,
            "diameter",
        ),
        (lambda: bearings.sliding_speed(Quantity(1, "mm"), Quantity(3, "Hz")), ValueError, "speed"),
        (
            lambda: bearings.check_bushing(
                newton(5.0), Quantity(1, "mm"), Quantity(1, "mm"), Quantity(3, "rpm"), "oak"
            ),
            ValueError,
            "material",
        ),
        (
            lambda: bearings.rating_life(newton(5.0), newton(0.0), Quantity(3, "rpm")),
            ValueError,
            "load",
        ),
        (lambda: bearings.equivalent_load(newton(np.ones(3)), "plain"), ValueError, "kind"),
    ],
)
def test_bad_input_names_the_argument(call, kind, words):
    with pytest.raises(kind, match=words):
        call()


# what a main of the job has left for its bearing


def test_the_wheel_takes_its_part_of_the_last_main():
    """Main 2 of `pump`, 45 mm and a fillet of 1.5 at its web: a key to 38 mm leaves 5.5 mm."""
    job = Job.load("pump").typed("fixing", "a key").typed("fixing_length", "38 mm")
    found, free = (check_job(one).find("bearings") for one in (job, Job.load("pump")))
    assert found.number("main 2: straight length").m_as("mm") == pytest.approx(5.5)
    pressed, alone = (
        one.number(f"main {at}: pressure").m_as("MPa") for at, one in ((2, found), (1, free))
    )
    assert pressed == pytest.approx(alone * 43.5 / 5.5, rel=1e-6)  # the crank is alike both ways
    full = check_job(job.typed("fixing_length", "43.5 mm")).find("bearings")
    assert full.verdict == "not fine" and "beside the wheel" in full.sentence


def test_no_bearing_is_wider_than_its_main():
    """Mains of 45 mm, a fillet of 1.5; a ball bearing of Ø20 of the light series is 12 mm wide."""
    job = Job.load("pump").typed("bushing_length", "60 mm")
    found = check_job(job)
    assert found.find("fits").verdict == "not fine"
    assert "main 1 has 43.5 mm for a bearing 60 mm wide" in found.find("fits").sentence.lower()
    straight = found.find("bearings").number("main 1: straight length")
    assert straight.m_as("mm") == pytest.approx(43.5)
    ball = Job.load("pump").typed("main_bearing", "ball bearing").typed("main_class", "k5")
    keyed = ball.typed("fixing", "a key").typed("fixing_length", "40 mm")
    assert "has 3.5 mm for a bearing 12 mm wide" in check_job(keyed).find("fits").sentence
    assert "for a bearing" not in check_job(ball).find("fits").sentence


@pytest.mark.parametrize(
    ("fixing", "reach", "told"),
    [("a key", "44 mm", "in the fillet of the last main: write 43.5 mm or less"),
     ("a tight hub or a taper", "45 mm", "in the fillet of the last main"),
     ("a cross pin", "7.9 mm", "too little metal before the end: write 8 mm or more"),
     ("a cross pin", "8 mm", ""), ("a key", "43.5 mm", "")],
)  # fmt: skip
def test_the_wheel_stays_clear_of_fillet_and_end(fixing, reach, told):
    """A pin's hole of Ø4 keeps 4 mm of metal before the end; the fillet of 1.5 mm begins at 43.5
    of 45 mm.
    """
    job = Job.load("pump").typed("fixing", fixing).typed("fixing_length", reach)
    assert (told in check_job(job).find("strength").sentence) == bool(told) or not told
    wheel = next(one for one in make_plan(job).steps if one.key == "wheel")
    assert bool(wheel.trouble) == bool(told)


def test_a_keyseats_floor_is_never_sharper_than_counted():
    """0.02 of Ø0.75 in is R 0.015 in; one figure made it 0.01."""
    crank = Crank.load("pump")
    mains = tuple(replace(one, diameter=Quantity(0.75, "in")) for one in crank.journals)
    job = Job(replace(crank, journals=mains, units="in")).typed("fixing", "a key")
    do = next(one.do for one in make_plan(job).steps if one.key == "wheel")
    assert float(re.search(r"no sharper than R ([\d.]+) in", do)[1]) >= 0.015
    assert "Chamfer the key" in do


@pytest.mark.parametrize(("name", "of"), [("pump", "pins"), ("compressor", "pins and inner mains")])
def test_bushings_between_webs_are_split(name, of):
    assert f"plit the bushings of the {of}:" in check_job(Job.load(name)).find("fits").sentence


def test_a_bushing_a_little_past_its_limit_is_not_within_it():
    def checked(force):
        size = Quantity(20, "mm"), Quantity(30, "mm")
        return bearings.check_bushing(Quantity(force, "N"), *size, Quantity(100, "rpm"), "nylon")

    most = brentq(lambda force: checked(force).safety - 1, 10, 1e5)
    assert ": within" in str(checked(0.97 * most)) and "NOT within" in str(checked(1.03 * most))
