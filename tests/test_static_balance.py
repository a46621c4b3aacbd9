"""Balance at rest against simulated trials and an integrated swing."""

import numpy as np
import pint
import pytest
from scipy.integrate import solve_ivp

from crankmath.balance import static_balance
from crankmath.crank import Crank
from crankmath.crank.mass import mass_properties
from crankmath.units import Quantity


def test_least_found_unbalance_by_hand():
    """0.8 kg with its weight 0.01 mm ahead of the contact: 8 g mm."""
    assert static_balance.least_found_unbalance(Quantity(0.8, "kg")).m_as("g*mm") == pytest.approx(
        8
    )


def test_trial_weights_of_a_stated_crank():
    """Unbalance 300 g mm at 70 deg, rolling takes 400 g mm: at each point the weight that just tips the sum of moments, at 40 mm."""
    turn = np.arange(0, 360, 45.0)
    weights = (400 - 300 * np.cos(np.radians(turn - 70))) / 40
    found = static_balance.from_trial_weights(
        Quantity(turn, "deg"), Quantity(weights, "g"), Quantity(40, "mm")
    )
    assert found.unbalance.m_as("g*mm") == pytest.approx(300)
    assert found.heavy_side.m_as("deg") == pytest.approx(70)
    assert found.rolling.m_as("g*mm") == pytest.approx(400)
    assert found.expanded.m_as("g*mm") == pytest.approx(0, abs=1e-6)


def test_stated_uncertainty_holds_in_95_of_100():
    """Weights scatter by 0.5 g, 400 trials of eight points; one standard uncertainty held 2 in 3."""
    random, turn = np.random.default_rng(5), np.arange(0, 360, 45.0)
    found = [
        static_balance.from_trial_weights(
            Quantity(turn, "deg"),
            Quantity(20 - 7.5 * np.cos(np.radians(turn - 70)) + random.normal(0, 0.5, 8), "g"),
            Quantity(40, "mm"),
        )
        for _ in range(400)
    ]
    size, wide = (
        np.array([getattr(one, name).m_as("g*mm") for one in found])
        for name in ("unbalance", "expanded")
    )
    assert np.mean(abs(size - 7.5 * 40) <= wide) == pytest.approx(0.95, abs=0.035)


def test_three_points_have_no_uncertainty_to_tell_and_two_are_too_few():
    three = Quantity([0.0, 120.0, 240.0], "deg")
    assert (
        static_balance.from_trial_weights(
            three, Quantity([5.0, 6.0, 7.0], "g"), Quantity(40, "mm")
        ).expanded
        is None
    )
    with pytest.raises(ValueError, match="^angles needs at least three points"):
        static_balance.from_trial_weights(three[:2], Quantity([5.0, 6.0], "g"), Quantity(40, "mm"))
    with pytest.raises(ValueError, match="^angles needs at least three points"):
        static_balance.from_trial_weights(
            Quantity([0.0, 180.0, 360.0], "deg"), Quantity([5.0, 6.0, 5.0], "g"), Quantity(40, "mm")
        )
    with pytest.raises(ValueError, match="equally many"):
        static_balance.from_trial_weights(three, Quantity([5.0, 6.0], "g"), Quantity(40, "mm"))


@pytest.mark.parametrize("unbalance", [100.0, 1000.0, 3347.0])
def test_swing_against_an_integrated_roll(unbalance):
    """Second route: Lagrange's equation of a rolling cylinder with its mass center off its axis, integrated from 1 degree."""
    found = mass_properties(Crank.load("pump"))
    mass, inertia, half, moment = (
        found.mass.m_as("kg"),
        found.axis_inertia.m_as("kg*m**2"),
        0.010,
        unbalance * 1e-6,
    )

    def fall(_, state):
        turned, speed = state
        about = inertia + mass * half**2 - 2 * half * moment * np.cos(turned)
        return speed, -(moment * 9.80665 + half * moment * speed**2) * np.sin(turned) / about

    def middle(_, state):
        return state[0]

    middle.direction = -1
    roll = solve_ivp(
        fall, (0, 60), (np.radians(1.0), 0.0), events=middle, rtol=1e-9, atol=1e-11, max_step=0.05
    )
    period = roll.t_events[0][1] - roll.t_events[0][0]
    weight = Quantity(unbalance, "g*mm")
    ours = static_balance.swing_period(weight, found.mass, found.axis_inertia, Quantity(20, "mm"))
    assert ours.m_as("s") == pytest.approx(period, rel=1e-4)
    back = static_balance.unbalance_of_swing(
        ours, found.mass, found.axis_inertia, Quantity(20, "mm")
    )
    assert back.m_as("g*mm") == pytest.approx(unbalance)


@pytest.mark.parametrize(
    ("call", "kind", "name"),
    [
        (lambda: static_balance.least_found_unbalance(0.8), TypeError, "mass"),
        (
            lambda: static_balance.from_trial_weights(
                Quantity([0.0, 120, 240], "deg"), Quantity([5.0, 6, -7], "g"), Quantity(40, "mm")
            ),
            ValueError,
            "weights",
        ),
        (
            lambda: static_balance.swing_period(
                Quantity(5, "g"), Quantity(1, "kg"), Quantity(1, "kg*mm**2"), Quantity(20, "mm")
            ),
            pint.DimensionalityError,
            "unbalance",
        ),
        (
            lambda: static_balance.unbalance_of_swing(
                Quantity(0, "s"), Quantity(1, "kg"), Quantity(1, "kg*mm**2"), Quantity(20, "mm")
            ),
            ValueError,
            "period",
        ),
    ],
)
def test_bad_input_is_named(call, kind, name):
    with pytest.raises(kind, match=f"^{name}"):
        call()
