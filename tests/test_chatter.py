"""Chatter: the computed limit against a simulation in time, one mode and two; measuring; bad input."""

import numpy as np
import pint
import pytest
from crankmath import chatter, forces, steels
from crankmath.chatter import Mode
from crankmath.units import OutOfRangeWarning, Quantity
from scipy import signal

FORCE = Quantity(2000.0, "MPa")
ONE = (Mode(Quantity(100.0, "Hz"), Quantity(1e7, "N/m"), 0.05),)
TWO = (*ONE, Mode(Quantity(160.0, "Hz"), Quantity(1.4e7, "N/m"), 0.03))
CROSSED = (Mode(Quantity(100.0, "Hz"), Quantity(1e7, "N/m"), 0.05), Mode(Quantity(120.0, "Hz"), Quantity(2e7, "N/m"), 0.05, share=-0.4))
SPEEDS = (240.0, 655.0, 1250.0, 1900.0, 3990.0)


def growth(modes, speed, width, turns=260):
    """Swing at the end over swing in the middle of a simulated cut.

    The equations of motion of each mode, force K b (chip thickness now less a turn ago), are stepped in time; the last
    turn's movement is read off the record as straight lines between 120 points in the fastest wave.
    """
    force = FORCE.m_as("Pa") * width / 1000
    natural = 2 * np.pi * np.array([mode.frequency.m_as("Hz") for mode in modes])
    stiffness, damping = (np.array([getattr(value, "magnitude", value) for value in column])
                          for column in zip(*((mode.stiffness, mode.damping_ratio) for mode in modes), strict=True))  # fmt: skip
    share = np.array([mode.share for mode in modes])
    mass, count = stiffness / natural**2, len(modes)
    matrix = np.zeros((2 * count, 2 * count))
    matrix[:count, count:] = np.eye(count)
    matrix[count:, :count] = -np.diag(natural**2) - np.outer(force / mass, share)
    matrix[count:, count:] = -np.diag(2 * damping * natural)
    push = np.concatenate([np.zeros(count), force / mass])[:, None]
    read = np.concatenate([share, np.zeros(count)])[None, :]
    period = 60 / speed
    points = int(np.ceil(120 * natural.max() / (2 * np.pi) * period))
    *system, _ = signal.cont2discrete((matrix, push, read, np.zeros((1, 1))), period / points, method="foh")
    numerator, denominator = signal.ss2tf(*system)
    movement, state = np.random.default_rng(1).normal(size=points), np.zeros(2 * count)
    sizes = []
    for _ in range(turns):
        movement, state = signal.lfilter(numerator[0], denominator, movement, zi=state)
        sizes.append(np.sqrt(np.mean(movement**2)))
    return np.mean(sizes[-40:]) / np.mean(sizes[turns // 2 - 40 : turns // 2])


@pytest.mark.parametrize("modes", [ONE, TWO, CROSSED], ids=["one mode", "two modes", "crossed modes"])
@pytest.mark.parametrize("speed", SPEEDS)
def test_limit_in_a_simulated_cut(modes, speed):
    width = chatter.stability_lobes(modes, FORCE, Quantity(speed, "rpm")).width.m_as("mm")
    assert growth(modes, speed, 0.97 * width) < 1 < growth(modes, speed, 1.03 * width)


@pytest.mark.parametrize("modes", [ONE, TWO], ids=["one mode", "two modes"])
def test_critical_width_is_quiet_at_any_speed_and_no_wider_one_is(modes):
    critical = chatter.critical_width(modes, FORCE).width.m_as("mm")
    assert all(growth(modes, speed, 0.97 * critical) < 1 for speed in np.linspace(300, 3000, 8))
    waves = 6
    worst = chatter.lobe_curve(modes, FORCE, chatter.critical_width(modes, FORCE).frequency, waves)[0].m_as("rpm")
    assert growth(modes, worst, 1.03 * critical) > 1


def test_one_mode_three_ways():
    formula = chatter.limiting_width(ONE[0].stiffness, 0.05, FORCE).m_as("mm")
    assert chatter.critical_width(ONE, FORCE).width.m_as("mm") == pytest.approx(formula, rel=1e-9)
    lobes = chatter.stability_lobes(ONE, FORCE, Quantity(np.linspace(200, 3000, 500), "rpm"))
    assert lobes.width.m_as("mm").min() == pytest.approx(formula, rel=1e-3)
    assert np.all(lobes.gain > 0.999) and lobes.gain.max() > 2


@pytest.mark.parametrize("modes", [ONE, TWO, CROSSED])
def test_points_of_the_boundary_solve_the_equation(modes):
    """1 + b K (1 - exp(-j 2 pi f / n)) G(f) = 0 at every point, and the lobe is the whole waves in a turn."""
    lobes = chatter.stability_lobes(modes, FORCE, Quantity(np.linspace(150, 5000, 60), "rpm"))
    turns = lobes.frequency.m_as("Hz") * 60 / lobes.spindle_speed.m_as("rpm")
    gain = lobes.width.m_as("m") * FORCE.m_as("Pa") * chatter.receptance(modes, lobes.frequency).m_as("m/N")
    assert np.allclose(1 + gain * (1 - np.exp(-2j * np.pi * turns)), 0, atol=5e-3)
    assert np.array_equal(lobes.lobe, np.floor(turns))


def test_a_mode_far_off_adds_only_its_softness():
    far = Mode(Quantity(5000.0, "Hz"), Quantity(1e9, "N/m"), 0.05)
    alone, both = (chatter.critical_width(modes, FORCE).width.m_as("mm") for modes in (ONE, (*ONE, far)))
    assert both == pytest.approx(alone, rel=0.02) and both != alone


def test_equal_modes_share_the_stiffness():
    twice = (Mode(Quantity(100.0, "Hz"), Quantity(2e7, "N/m"), 0.05),) * 2
    assert chatter.critical_width(twice, FORCE).width.m_as("mm") == pytest.approx(chatter.critical_width(ONE, FORCE).width.m_as("mm"))


def test_receptance_at_rest_and_in_resonance():
    still, ringing = chatter.receptance(ONE, Quantity(np.array([0.0, 100.0]), "Hz")).m_as("m/N")
    assert still == pytest.approx(1e-7) and ringing == pytest.approx(-1j * 1e-6)


def test_scalar_speed_gives_a_scalar():
    assert np.shape(chatter.stability_lobes(ONE, FORCE, Quantity(500, "rpm")).width.magnitude) == ()


def test_bays_lie_at_whole_waves():
    bay = chatter.favorable_speed(Quantity(100, "Hz"), np.array([2, 3])).m_as("rpm")
    assert np.allclose(bay, [3000, 2000])
    between = bay * np.array([2, 3]) / np.array([2.8, 3.8])
    widths = chatter.stability_lobes(ONE, FORCE, Quantity(np.concatenate([bay, between]), "rpm")).width.m_as("mm")
    assert np.all(widths[:2] > 1.4 * widths[2:])


def test_marks_tell_the_frequency():
    # 25 m/min is 416.7 mm/s; marks 2 mm apart pass 208.3 times a second
    assert chatter.chatter_frequency(Quantity(2, "mm"), Quantity(25, "m/min")).m_as("Hz") == pytest.approx(208.33, abs=0.01)


@pytest.mark.parametrize("steel", steels.NAMES)
def test_dynamic_force_is_the_slope(steel):
    """Difference of two forces over the difference of their thicknesses."""
    slope = np.diff([forces.cutting_force(steel, Quantity(1, "mm"), Quantity(h, "mm")).m_as("N") for h in (0.1999, 0.2001)])[0] / 0.0002
    found = chatter.dynamic_force(steel, Quantity(0.2, "mm"), passive_share=0.4)
    assert found.m_as("MPa") == pytest.approx(0.4 * slope, rel=1e-6)
    plunge = chatter.dynamic_force(steel, Quantity(0.2, "mm"), operation="grooving")
    assert plunge.m_as("MPa") == pytest.approx(1.3 * np.hypot(0.5, 0.25) * slope, rel=1e-6)


def test_wide_edge_sings_and_two_narrow_ones_do_not():
    found = chatter.compare_tools(TWO, FORCE, Quantity(6, "mm"), Quantity(5.7, "mm"))
    assert found.wide_margin < 1 < found.relieved_margin and "sings" in str(found) and "quiet" in str(found)
    speed = 60 * 105 / 6.7
    assert growth(TWO, speed, 0.3) < 1 < growth(TWO, speed, 6.0, turns=120)
    just = chatter.compare_tools(TWO, FORCE, Quantity(6, "mm"), found.least_relief)
    assert just.relieved_margin == pytest.approx(1)
    with pytest.raises(ValueError, match="^relief_width"):
        chatter.compare_tools(TWO, FORCE, Quantity(6, "mm"), Quantity(6, "mm"))


@pytest.mark.parametrize(("frequency", "damping"), [(80.0, 0.01), (220.0, 0.03), (45.0, 0.1)])
def test_tap_is_read_back(frequency, damping):
    """Record made by integrating the equation of motion, with a wait before the tap, an offset and noise of one percent."""
    omega = 2 * np.pi * frequency
    time, swing = signal.impulse(([1.0], [1, 2 * damping * omega, omega**2]), T=np.linspace(0, 25 / frequency, 1500))
    record = np.concatenate([np.zeros(200), swing / swing.max()]) + 0.3
    record += 0.01 * np.random.default_rng(2).normal(size=record.size)
    found = chatter.read_decay(Quantity(np.arange(record.size) * time[1], "s"), record)
    assert found.frequency.m_as("Hz") == pytest.approx(frequency, rel=0.005)
    assert abs(found.damping_ratio - damping) < 5 * found.standard_error < 0.2 * damping


def test_two_peaks_of_a_decay():
    peaks = np.exp(-0.03 / np.sqrt(1 - 0.03**2) * 2 * np.pi * np.array([0, 5]))
    assert chatter.damping_from_decay(*peaks, 5) == pytest.approx(0.03)
    assert chatter.damping_from_decay(*Quantity(peaks, "thousandth"), 5) == pytest.approx(0.03)


def test_weights_and_dial():
    one = chatter.stiffness_from_weight(Quantity(2, "kg"), Quantity(4, "um"))
    assert one.stiffness.m_as("N/um") == pytest.approx(2 * 9.80665 / 4) and np.isnan(one.standard_error.magnitude)
    mass = np.array([1.0, 2, 3, 4])
    several = chatter.stiffness_from_weight(Quantity(mass, "kg"), Quantity(5 + 2 * mass + np.array([0.01, -0.01, -0.01, 0.01]), "um"))
    assert several.stiffness.m_as("N/um") == pytest.approx(9.80665 / 2)
    assert several.free_reading.m_as("um") == pytest.approx(5)
    # residuals 0.01 um each: s = 0.01 sqrt(4/2); over sqrt(5) kg; of a slope of 2 um/kg
    assert (several.standard_error / several.stiffness).magnitude == pytest.approx(0.01 * np.sqrt(2) / np.sqrt(5) / 2)


CALLS = [
    (chatter.limiting_width, {"stiffness": Quantity(1e7, "N/m"), "specific_force": FORCE}, {"damping_ratio": 0.05}),
    (chatter.receptance, {"frequency": Quantity(100.0, "Hz")}, {"modes": ONE}),
    (chatter.critical_width, {"specific_force": FORCE}, {"modes": ONE}),
    (chatter.stability_lobes, {"specific_force": FORCE, "spindle_speed": Quantity(300.0, "rpm")}, {"modes": ONE}),
    (chatter.lobe_curve, {"specific_force": FORCE, "frequency": Quantity(110.0, "Hz")}, {"modes": ONE, "waves": 3}),
    (chatter.favorable_speed, {"frequency": Quantity(110.0, "Hz")}, {"waves": 3}),
    (chatter.chatter_frequency, {"mark_spacing": Quantity(2.0, "mm"), "cutting_speed": Quantity(20.0, "m/min")}, {}),
    (chatter.compare_tools, {"specific_force": FORCE, "edge_width": Quantity(6.0, "mm"), "relief_width": Quantity(3.0, "mm")}, {"modes": ONE}),
    (chatter.stiffness_from_weight, {"mass": Quantity(2.0, "kg"), "reading": Quantity(4.0, "um")}, {}),
]  # fmt: skip


@pytest.mark.parametrize(("function", "arguments", "fixed", "name"),
                         [pytest.param(f, a, x, name, id=f"{f.__name__}-{name}") for f, a, x in CALLS for name in a])  # fmt: skip
@pytest.mark.parametrize(("factor", "kind"), [(None, TypeError), ("kind", pint.DimensionalityError), (-1, ValueError), (np.nan, ValueError)])
def test_bad_input_is_named(function, arguments, fixed, name, factor, kind):
    value = arguments[name]
    bad = value.magnitude if factor is None else Quantity(1, "candela") if factor == "kind" else factor * value
    with pytest.raises(kind, match=f"^{name}"):
        function(**fixed, **arguments | {name: bad})


@pytest.mark.parametrize(
    ("modes", "kind", "words"),
    [((), ValueError, "modes is empty"), ((3,), TypeError, r"modes\[0\]"), ((Mode(100, Quantity(1, "N/m"), 0.1),), TypeError, r"modes\[0\].frequency"),
     ((Mode(Quantity(100, "Hz"), Quantity(1, "N"), 0.1),), pint.DimensionalityError, r"modes\[0\].stiffness"),
     ((*ONE, Mode(Quantity(100, "Hz"), Quantity(1, "N/m"), 5)), ValueError, r"modes\[1\].damping_ratio must be below 1")],
)  # fmt: skip
def test_bad_modes_are_named(modes, kind, words):
    with pytest.raises(kind, match=words):
        chatter.critical_width(modes, FORCE)


@pytest.mark.parametrize(
    ("call", "words"),
    [(lambda: chatter.damping_from_decay(1, 2, 3), "^last"), (lambda: chatter.damping_from_decay(2, 1, 0), "^cycles"),
     (lambda: chatter.read_decay(Quantity(np.arange(5.0), "s"), np.ones(4)), "^movement"),
     (lambda: chatter.read_decay(Quantity(np.arange(5.0)[::-1], "s"), np.ones(5)), "^time"),
     (lambda: chatter.read_decay(Quantity(np.arange(50.0), "s"), np.random.default_rng(0).normal(size=50)), "^movement is not one dying swing"),
     (lambda: chatter.read_decay(Quantity(np.arange(5.0), "s"), np.ones(5)), "fewer than 12"),
     (lambda: chatter.stiffness_from_weight(Quantity([1, 1], "kg"), Quantity([1, 2], "um")), "^mass holds only one"),
     (lambda: chatter.stiffness_from_weight(Quantity([1, 2], "kg"), Quantity([2, 1], "um")), "^reading must grow"),
     (lambda: chatter.stability_lobes(ONE, FORCE, Quantity([[1, 2]], "rpm")), "^spindle_speed"),
     (lambda: chatter.stability_lobes(ONE, FORCE, Quantity(5, "Hz")), "^spindle_speed")],
)  # fmt: skip
def test_impossible_readings_are_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_heavy_damping_is_said():
    time = np.linspace(0, 3, 3000)
    with pytest.warns(OutOfRangeWarning, match="above 0.2"):
        chatter.read_decay(Quantity(time, "s"), np.exp(-0.22 * 2 * np.pi * time) * np.sin(2 * np.pi * np.sqrt(1 - 0.22**2) * time))


def test_nothing_moves_against_the_force():
    rigid = (Mode(Quantity(100.0, "Hz"), Quantity(1e7, "N/m"), 0.05, share=0.0),)
    found = chatter.critical_width(rigid, FORCE)
    assert np.isinf(found.width.magnitude) and np.isnan(found.frequency.magnitude)
    assert np.isinf(chatter.stability_lobes(rigid, FORCE, Quantity(300.0, "rpm")).width.magnitude)
