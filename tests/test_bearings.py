"""Bushings and rolling bearings: limits and bad input. Checks against print are in published/."""

import numpy as np
import pint
import pytest

from crankmath.service import bearings
from crankmath.units import OutOfRangeWarning, Quantity


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
