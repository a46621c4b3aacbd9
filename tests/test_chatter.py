"""Chatter: the computed limit against a simulation in time, with and without rubbing; the relieved tool; bad input."""

import numpy as np
import pint
import pytest

from crankmath import chatter, forces
from crankmath.chatter import Mode, cut_in_time, modes
from crankmath.chatter.growth import lasting_wave
from crankmath.chatter.modes import plain_modes, plain_receptance
from crankmath.crank import Crank, steels
from crankmath.deflection import Setup
from crankmath.units import Quantity

FORCE = Quantity(2000.0, "MPa")
ONE = (Mode(Quantity(100.0, "Hz"), Quantity(1e7, "N/m"), 0.05),)
TWO = (*ONE, Mode(Quantity(160.0, "Hz"), Quantity(1.4e7, "N/m"), 0.03))
CROSSED = (
    Mode(Quantity(100.0, "Hz"), Quantity(1e7, "N/m"), 0.05),
    Mode(Quantity(120.0, "Hz"), Quantity(2e7, "N/m"), 0.05, share=-0.4),
)
SPEEDS = (240.0, 655.0, 1250.0, 1900.0, 3990.0)


RUBBING, DIAMETER = Quantity(1e5, "N/m"), Quantity(40.0, "mm")


def growth(modes, speed, width, turns=260, rubbing=None, points_a_wave=120):
    """Swing at the end over swing in the middle of a simulated cut (``cut_in_time``, tested by itself)."""
    damper = {} if rubbing is None else {"process_damping": rubbing, "diameter": DIAMETER}
    sizes = cut_in_time.turn_by_turn(
        modes,
        FORCE,
        Quantity(width, "mm"),
        Quantity(speed, "rpm"),
        turns,
        points_a_wave=points_a_wave,
        **damper,
    )
    return np.mean(sizes[-40:]) / np.mean(sizes[turns // 2 - 40 : turns // 2])


@pytest.mark.parametrize(
    "modes", [ONE, TWO, CROSSED], ids=["one mode", "two modes", "crossed modes"]
)
@pytest.mark.parametrize("speed", SPEEDS)
def test_limit_in_a_simulated_cut(modes, speed):
    width = chatter.stability_lobes(modes, FORCE, Quantity(speed, "rpm")).width.m_as("mm")
    assert growth(modes, speed, 0.97 * width) < 1 < growth(modes, speed, 1.03 * width)


@pytest.mark.parametrize("modes", [ONE, TWO], ids=["one mode", "two modes"])
@pytest.mark.parametrize("speed", (110.0, 240.0, 655.0, 1250.0))
def test_limit_with_rubbing_in_a_simulated_cut(modes, speed):
    plain = chatter.stability_lobes(modes, FORCE, Quantity(speed, "rpm")).width.m_as("mm")
    width = chatter.stability_lobes(
        modes, FORCE, Quantity(speed, "rpm"), RUBBING, DIAMETER
    ).width.m_as("mm")
    assert (
        growth(modes, speed, 0.97 * width, rubbing=RUBBING)
        < 1
        < growth(modes, speed, 1.03 * width, rubbing=RUBBING)
    )
    assert width > plain


@pytest.mark.parametrize("speed", (230.0, 700.0))
def test_limit_of_a_crank_in_a_simulated_cut(speed):
    """A tool on its slide and the first two modes of `pump` from its frame, its pin being turned: 3 % either way."""
    work = modes.work_modes(Crank.load("pump"), ("pin", 0), 0.04, setup=Setup(held=0))[:2]
    both = (Mode(Quantity(250.0, "Hz"), Quantity(2.5e7, "N/m"), 0.04), *work)
    width = chatter.stability_lobes(
        both, FORCE, Quantity(speed, "rpm"), RUBBING, DIAMETER
    ).width.m_as("mm")
    settings = {"turns": 160, "rubbing": RUBBING, "points_a_wave": 60}
    assert (
        growth(both, speed, 0.97 * width, **settings)
        < 1
        < growth(both, speed, 1.03 * width, **settings)
    )


@pytest.mark.parametrize(
    ("modes", "times", "speed"),
    [
        (TWO, 30, 1060.0),
        (TWO, 30, 1069.3),
        (TWO, 30, 1071.3),
        (ONE, 40, 938.2),
        (TWO, 40, 1726.378),
    ],
)
def test_no_island_of_chatter_is_passed_over(modes, times, speed):
    """Much rubbing leaves a band of widths that chatters, quiet ones above it and a second band: at
    some speed a band begins to be, at nearly one width.
    """
    cut, much = Quantity(speed, "rpm"), times * RUBBING
    width = chatter.stability_lobes(modes, FORCE, cut, much, DIAMETER).width
    below, above = (
        lasting_wave(modes, FORCE, part * width, cut, much, DIAMETER).growth
        for part in (0.95, 1.03)
    )
    assert below < 1 < above


def test_slow_cutting_is_quiet_at_any_width():
    quiet = chatter.quiet_speed(ONE[0].frequency, 0.05, FORCE, RUBBING)
    speed = (quiet / (np.pi * DIAMETER)).m_as("1/min")
    assert all(
        growth(ONE, 0.95 * speed, width, turns=120, rubbing=RUBBING) < 1
        for width in (0.3, 1, 3, 10, 30)
    )
    assert np.isinf(chatter.critical_width(ONE, FORCE, RUBBING, 0.999 * quiet).width.magnitude)
    just_above = chatter.critical_width(ONE, FORCE, RUBBING, 1.001 * quiet)
    assert growth(ONE, 1.05 * speed, just_above.width.m_as("mm"), rubbing=RUBBING) > 1


@pytest.mark.parametrize("speed", (25.0, 40.0, 120.0))
def test_width_with_rubbing_solves_the_quadratic_of_one_mode(speed):
    """With zeta_e = zeta + a b, a = omega C / (2 k v): b K / (2 k) = zeta_e (1 + zeta_e), the lesser root."""
    k, force, zeta = 1e7, FORCE.m_as("Pa"), 0.05
    a = 2 * np.pi * 100 * RUBBING.m_as("N/m") / (2 * k * speed / 60)
    by_hand = np.roots([a**2, a * (1 + 2 * zeta) - force / (2 * k), zeta * (1 + zeta)]).min()
    found = chatter.critical_width(ONE, FORCE, RUBBING, Quantity(np.array([speed]), "m/min"))
    assert found.width.m_as("m") == pytest.approx([by_hand], rel=1e-5)


def test_rubbing_that_does_nothing_changes_nothing():
    none = Quantity(0.0, "N/m")
    plain = chatter.stability_lobes(TWO, FORCE, Quantity(SPEEDS, "rpm"))
    zero = chatter.stability_lobes(TWO, FORCE, Quantity(SPEEDS, "rpm"), none, DIAMETER)
    assert np.allclose(plain.width.magnitude, zero.width.magnitude)
    speed, width = chatter.lobe_curve(ONE, FORCE, Quantity([105.0, 110.0], "Hz"), 3, none, DIAMETER)
    assert np.allclose(
        chatter.stability_lobes(ONE, FORCE, speed).width.magnitude, width.magnitude, rtol=0.003
    )


def test_lobe_with_rubbing_lies_on_the_boundary():
    speed, width = chatter.lobe_curve(
        ONE, FORCE, Quantity(np.linspace(103, 115, 9), "Hz"), 4, RUBBING, DIAMETER
    )
    assert np.allclose(
        chatter.stability_lobes(ONE, FORCE, speed, RUBBING, DIAMETER).width.magnitude,
        width.magnitude,
        rtol=0.003,
    )


@pytest.mark.parametrize("seed", range(20))
def test_one_mode_with_all_the_give_is_on_the_safe_side(seed):
    """limiting_width of the stiffness at rest never says more than the modes it is made of bear."""
    source = np.random.default_rng(seed)
    several = tuple(
        Mode(Quantity(f, "Hz"), Quantity(k, "N/m"), 0.03)
        for f, k in zip(source.uniform(100, 900, 4), source.uniform(1e7, 9e7, 4), strict=True)
    )
    at_rest = 1 / plain_receptance(plain_modes(several), 0.0).real
    assert (
        chatter.limiting_width(Quantity(at_rest, "N/m"), 0.03, FORCE)
        < chatter.critical_width(several, FORCE).width
    )


@pytest.mark.parametrize("modes", [ONE, TWO], ids=["one mode", "two modes"])
def test_critical_width_is_quiet_at_any_speed_and_no_wider_one_is(modes):
    critical = chatter.critical_width(modes, FORCE).width.m_as("mm")
    assert all(growth(modes, speed, 0.97 * critical) < 1 for speed in np.linspace(300, 3000, 8))
    waves = 6
    worst = chatter.lobe_curve(modes, FORCE, chatter.critical_width(modes, FORCE).frequency, waves)[
        0
    ].m_as("rpm")
    assert growth(modes, worst, 1.03 * critical) > 1


def test_one_mode_three_ways():
    formula = chatter.limiting_width(ONE[0].stiffness, 0.05, FORCE).m_as("mm")
    assert chatter.critical_width(ONE, FORCE).width.m_as("mm") == pytest.approx(formula, rel=5e-6)
    assert chatter.critical_width(ONE, FORCE).frequency.m_as("Hz") == pytest.approx(
        100 * np.sqrt(1.1), rel=1e-4
    )
    lobes = chatter.stability_lobes(ONE, FORCE, Quantity(np.linspace(200, 3000, 500), "rpm"))
    assert lobes.width.m_as("mm").min() == pytest.approx(formula, rel=1e-3)
    assert np.all(lobes.gain > 0.999) and lobes.gain.max() > 2


@pytest.mark.parametrize("modes", [ONE, TWO, CROSSED])
def test_points_of_the_boundary_solve_the_equation(modes):
    """1 + b K (1 - exp(-j 2 pi f / n)) G(f) = 0 at every point, and the lobe is the whole waves in a turn."""
    lobes = chatter.stability_lobes(modes, FORCE, Quantity(np.linspace(150, 5000, 60), "rpm"))
    turns = lobes.frequency.m_as("Hz") * 60 / lobes.spindle_speed.m_as("rpm")
    gain = (
        lobes.width.m_as("m")
        * FORCE.m_as("Pa")
        * plain_receptance(plain_modes(modes), lobes.frequency.m_as("Hz"))
    )
    assert np.allclose(1 + gain * (1 - np.exp(-2j * np.pi * turns)), 0, atol=5e-3)
    assert np.array_equal(lobes.lobe, np.floor(turns))


def test_a_mode_far_off_adds_only_its_softness():
    far = Mode(Quantity(5000.0, "Hz"), Quantity(1e9, "N/m"), 0.05)
    alone, both = (
        chatter.critical_width(modes, FORCE).width.m_as("mm") for modes in (ONE, (*ONE, far))
    )
    assert both == pytest.approx(alone, rel=0.02) and both != alone


def test_equal_modes_share_the_stiffness():
    twice = (Mode(Quantity(100.0, "Hz"), Quantity(2e7, "N/m"), 0.05),) * 2
    assert chatter.critical_width(twice, FORCE).width.m_as("mm") == pytest.approx(
        chatter.critical_width(ONE, FORCE).width.m_as("mm")
    )


def test_receptance_at_rest_and_in_resonance():
    still, ringing = plain_receptance(plain_modes(ONE), np.array([0.0, 100.0]))
    assert still == pytest.approx(1e-7) and ringing == pytest.approx(-1j * 1e-6)


def test_scalar_speed_gives_a_scalar():
    assert np.shape(chatter.stability_lobes(ONE, FORCE, Quantity(500, "rpm")).width.magnitude) == ()


def test_bays_lie_at_whole_waves():
    bay = 60 * 100 / np.array([2, 3])  # rpm at which two and three waves of 100 Hz fit a turn
    between = bay * np.array([2, 3]) / np.array([2.8, 3.8])
    widths = chatter.stability_lobes(
        ONE, FORCE, Quantity(np.concatenate([bay, between]), "rpm")
    ).width.m_as("mm")
    assert np.all(widths[:2] > 1.4 * widths[2:])


@pytest.mark.parametrize("steel", steels.NAMES)
def test_dynamic_force_is_the_slope(steel):
    """Difference of two forces over the difference of their thicknesses."""
    slope = (
        np.diff(
            [
                forces.cutting_force(steel, Quantity(1, "mm"), Quantity(h, "mm")).m_as("N")
                for h in (0.1999, 0.2001)
            ]
        )[0]
        / 0.0002
    )
    found = chatter.dynamic_force(steel, Quantity(0.2, "mm"), passive_share=0.4)
    assert found.m_as("MPa") == pytest.approx(0.4 * slope, rel=1e-6)
    plunge = chatter.dynamic_force(steel, Quantity(0.2, "mm"), operation="grooving")
    assert plunge.m_as("MPa") == pytest.approx(1.3 * np.hypot(0.5, 0.25) * slope, rel=1e-6)


def test_wide_edge_sings_and_two_narrow_ones_do_not():
    found = chatter.compare_tools(TWO, FORCE, Quantity(6, "mm"), Quantity(5.7, "mm"))
    assert (
        found.wide_margin < 1 < found.relieved_margin
        and "chatters" in str(found)
        and "quiet" in str(found)
    )
    speed = 60 * 105 / 6.7
    assert growth(TWO, speed, 0.3) < 1 < growth(TWO, speed, 6.0, turns=120)
    just = chatter.compare_tools(TWO, FORCE, Quantity(6, "mm"), found.least_relief)
    assert just.relieved_margin == pytest.approx(1)
    with pytest.raises(ValueError, match="^relief_width"):
        chatter.compare_tools(TWO, FORCE, Quantity(6, "mm"), Quantity(6, "mm"))


@pytest.mark.parametrize(
    ("modes", "kind", "words"),
    [
        ((), ValueError, "modes is empty"),
        ((3,), TypeError, r"modes\[0\]"),
        ((Mode(100, Quantity(1, "N/m"), 0.1),), TypeError, r"modes\[0\].frequency"),
        (
            (Mode(Quantity(100, "Hz"), Quantity(1, "N"), 0.1),),
            pint.DimensionalityError,
            r"modes\[0\].stiffness",
        ),
        (
            (*ONE, Mode(Quantity(100, "Hz"), Quantity(1, "N/m"), 5)),
            ValueError,
            r"modes\[1\].damping_ratio must be below 1",
        ),
    ],
)
def test_bad_modes_are_named(modes, kind, words):
    with pytest.raises(kind, match=words):
        chatter.critical_width(modes, FORCE)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: chatter.stability_lobes(ONE, FORCE, Quantity([[1, 2]], "rpm")), "^spindle_speed"),
        (lambda: chatter.stability_lobes(ONE, FORCE, Quantity(5, "Hz")), "^spindle_speed"),
        (
            lambda: chatter.stability_lobes(ONE, FORCE, Quantity(300, "rpm"), RUBBING),
            "^process_damping and diameter go together",
        ),
        (
            lambda: chatter.stability_lobes(
                ONE, FORCE, Quantity(300, "rpm"), RUBBING, Quantity([10, 20], "mm")
            ),
            "^diameter takes one value",
        ),
        (
            lambda: chatter.critical_width(ONE, FORCE, cutting_speed=Quantity(20, "m/min")),
            "^process_damping and cutting_speed go together",
        ),
        (
            lambda: chatter.critical_width(ONE, FORCE, RUBBING, Quantity([[20]], "m/min")),
            "^cutting_speed takes one value or one row",
        ),
    ],
)
def test_what_does_not_go_together_is_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_nothing_moves_against_the_force():
    rigid = (Mode(Quantity(100.0, "Hz"), Quantity(1e7, "N/m"), 0.05, share=0.0),)
    found = chatter.critical_width(rigid, FORCE)
    assert np.isinf(found.width.magnitude) and np.isnan(found.frequency.magnitude)
    assert np.isinf(chatter.stability_lobes(rigid, FORCE, Quantity(300.0, "rpm")).width.magnitude)
