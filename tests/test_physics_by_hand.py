"""Sums of physics that no printed case reaches, each worked by hand."""

from dataclasses import replace
from math import pi, sqrt

import numpy as np
import pytest

from crankmath.balance.static_balance import from_trial_weights
from crankmath.crank import Crank, steels
from crankmath.crank.mass import mass_properties
from crankmath.cutting.speeds import TAYLOR, tool_life
from crankmath.cutting.tool_form import BladeFit
from crankmath.fillets.crank_rule import crank_rule_factors, held_factors
from crankmath.fits.bearing_seats import seated_bearing
from crankmath.inspection import practice
from crankmath.inspection.pin_heights import phase_between, tilt_budgets
from crankmath.inspection.readings import finest_step
from crankmath.inspection.runout_fit import distinct_marks
from crankmath.job import Job
from crankmath.service import torsion
from crankmath.service.marin import size_factor
from crankmath.service.pressures import engine_pressure
from crankmath.units import OutOfRangeWarning, Quantity
from crankmath.workpiece import make_plan
from crankmath.workpiece.sections import disc

q = Quantity


def test_a_tool_on_the_rim_is_still_in_metal():
    assert disc((0.0, 0.0), 10.0).share((0.0, 0.0), 10.0) == 1.0
    assert disc((0.0, 0.0), 10.0).share((0.0, 0.0), 10.001) == 0.0


def test_scatter_of_trial_weights():
    """Eight points, 100 + 30 cos + 40 sin and a wave twice a turn of 2 g at 50 mm, which no offset
    takes up: s² = 8 · 100²/2 / (8 - 3), the offset's variance 2/8 of it, t = 2.571 for five (table).
    """
    turn = np.arange(8) * pi / 4
    moment = 100 * (50 + 15 * np.cos(turn) + 20 * np.sin(turn)) / 50 + 2 * np.cos(2 * turn)
    found = from_trial_weights(q(np.degrees(turn), "deg"), q(moment, "g"), q(50, "mm"))
    assert found.unbalance.m_as("g*mm") == pytest.approx(50 * 50)
    wave = 2 * 50
    by_hand = 2.571 * sqrt(8 * wave**2 / 2 / 5 * 2 / 8)
    assert found.expanded.m_as("g*mm") == pytest.approx(by_hand, rel=2e-4)


@pytest.mark.parametrize("method", ["carter", "ker wilson"])
def test_a_plain_shaft_as_soft_as_a_throw(method):
    """Pump: main Ø20 x 45, counted from its middle, pin Ø18 x 22, throw 18, web 14 x 28; half of the
    throw goes with either main: pi G D^4/(32 Le), G = E/(2 (1 + 0.29)).
    """
    crank = Crank.load("pump")
    shear = steels.find(crank.steel).elastic_modulus.m_as("MPa") / (2 * 1.29)
    equal = {
        "carter": (22.5 + 0.4 * 14) / 20**4 + 0.375 * 22 / 18**4 + 0.75 * 18 / (14 * 28**3),
        "ker wilson": (22.5 + 0.2 * 20) / 20**4
        + (11 + 0.2 * 18) / 18**4
        + (18 - 0.2 * (20 + 18)) / 2 / (14 * 28**3),
    }[method]
    found = torsion.section_stiffness(crank, method).m_as("N*m/rad")
    assert found == pytest.approx([pi * shear / 32 / equal / 1000] * 2, rel=1e-9)


def test_a_seat_at_its_middle_sizes():
    """ISO 492: bore 20 mm, 0 to -10 um; ISO 286: j6 of 18 to 30 mm, +9 to -4 um."""
    assert seated_bearing(q(20, "mm"), "j6").usual_grip.m_as("um") == pytest.approx(
        (9 + 5 + 5 - 4) / 2
    )


def test_a_bend_from_two_positions_is_half_of_what_they_differ_by():
    """Right end 12 um higher with the throw up, 4 um lower with it down: 16/2 over 40 mm."""
    level = [q([50.0, 50.0], "mm")] * 2
    up = [q([50.0, 50.0], "mm"), q([50.012, 50.012], "mm")]
    down = [q([50.0, 50.0], "mm"), q([49.996, 49.996], "mm")]
    bend, twist = tilt_budgets(up, down, up, down, q(40, "mm"), q(18, "mm"))
    assert bend.value.m_as("um/mm") == pytest.approx(8 / 40)
    assert twist.value.m_as("deg") == pytest.approx(np.degrees(0.008 / 18))
    assert tilt_budgets(level, level, level, level, q(40, "mm"), q(18, "mm"))[0].value.m == 0


@pytest.mark.parametrize("room", [0.0, -0.1])
def test_a_blade_that_touches_does_not_clear(room):
    some, none = q(1.0, "mm"), q(room, "mm")
    assert BladeFit(some, some, some, q(1, "deg")).clears
    assert not BladeFit(some, some, none, q(1, "deg")).clears
    assert not BladeFit(some, none, some, q(1, "deg")).clears


def test_the_last_digit_of_readings():
    assert finest_step(q([0.02, 0.05, 0.11], "mm")) == q(0.01, "mm")
    assert finest_step(q([20.0, 50.0, 110.0], "um")) == q(10.0, "um")


def test_a_mark_read_again_after_a_turn_is_one_mark():
    assert distinct_marks(np.radians([0.0, 90.0, 180.0, 360.0, 450.0, 360 - 1e-9])) == 3


@pytest.mark.parametrize("name", practice.dial_names())
def test_practice_readings_hold_no_minus_zero(name):
    assert "-0\n" not in practice.pasted(name) + "\n"


def test_no_cylinder_is_below_a_vacuum():
    """Nor at one: p V^n of nothing stays nothing."""
    engine = q(0.0, "deg"), 8.0, q(3, "MPa"), q(18, "mm"), q(90, "mm")
    low = q(-0.1, "MPa")
    with pytest.raises(ValueError, match="a vacuum"):
        engine_pressure(*engine, inlet=low, atmosphere=q(0.1, "MPa"))
    engine_pressure(*engine, inlet=low, atmosphere=q(0.1001, "MPa"))


def test_a_dial_reads_a_main_a_millimeter_and_more_beside_its_fillet():
    """Pump with fillets of 2 mm: 3 mm from the web; with 1.5 mm 3 mm as well, the next whole one."""
    job = Job.load("pump")
    for fillet in (2.0, 1.5):
        crank = replace(
            job.crank,
            journals=tuple(replace(one, fillet=q(fillet, "mm")) for one in job.crank.journals),
        )
        plan = make_plan(job.with_crank(crank))
        spans = {
            index: (x0, x1) for kind, index, x0, x1 in plan.placed.segments if kind == "journal"
        }
        marks = dict(next(step.marks for step in plan.steps if step.key == "rough_mains"))
        assert marks["main 1"] == pytest.approx(spans[0][1] - 3)
        assert marks["main 2"] == pytest.approx(spans[1][0] + 3)


@pytest.mark.parametrize(
    ("pin", "main"), [(0.3, 0.0), (0.6, 0.0), (0.0, 0.3), (0.0, 0.6), (0.8, 0.8)]
)
def test_bores_of_the_rule_as_printed(pin, main):
    """IACS UR M53, the factors of pin and main bore alone: f(dH) and f(dG) over those of none."""

    def polynomial(x, *terms):
        return sum(term * x**power for power, term in enumerate(terms)) / terms[0]

    sizes = [q(one, "mm") for one in (50, 50, 30, 20, 75, 2.5, 2.5)]
    plain = crank_rule_factors(*sizes)
    bored = crank_rule_factors(*sizes, pin_bore=q(50 * pin, "mm"), journal_bore=q(50 * main, "mm"))
    assert bored.pin_bending / plain.pin_bending == pytest.approx(
        polynomial(main, 0.9993, 0.27, -1.0211, 0.5306)
        * polynomial(pin, 0.9978, 0.3145, -1.5241, 2.4147)
    )
    assert bored.journal_bending / plain.journal_bending == pytest.approx(
        polynomial(main, 1.0012, -0.6441, 1.2265) * polynomial(pin, 1.0022, -0.1903, 0.0073)
    )
    assert bored.journal_shear / plain.journal_shear == pytest.approx(
        polynomial(pin, 0.9937, -1.1949, 1.7373)
    )
    assert bored.journal_torsion == plain.journal_torsion


def test_torsion_of_a_main_goes_by_its_own_diameter():
    """M53 where pin and main differ: r = RG/DG = 1.2/24, s = 0.2, w = 0.4, b = 1.5."""
    found = held_factors("main", 20.0, 24.0, 18.0, 8.0, 30.0, 1.2).torsion
    b = 7.8955 - 10.654 * 1.5 + 5.3482 * 1.5**2 - 0.85 * 1.5**3
    assert found == pytest.approx(0.8 * 0.05 ** (-0.322 + 0.1015 * 0.8) * b * 0.4**-0.145)


def test_a_wire_has_a_size_factor_too():
    """(d/7.62)^-0.107, Shigley eq. 6-20, far below its range."""
    with pytest.warns(OutOfRangeWarning):
        assert size_factor(q(0.05, "mm")) == pytest.approx((0.05 / 7.62) ** -0.107, rel=1e-3)


@pytest.mark.parametrize(
    ("tool", "constant", "exponent"),
    [("HSS", 70, 0.125), ("uncoated carbide", 500, 0.25), ("coated carbide", 700, 0.25)],
)
def test_life_at_half_of_a_minute_s_speed(tool, constant, exponent):
    """v T^n = C, the steel cutting row of Groover's table, from memory: 2^(1/n) minutes at C/2."""
    c, n = TAYLOR[tool]
    life = tool_life(q(constant / 2, "m/min"), q(c, "m/min"), n).m_as("min")
    assert life == pytest.approx(2 ** (1 / exponent))


def test_a_fillet_lies_on_the_main_s_side_of_its_web():
    """Pump with a fillet of 4 mm at the left main's web and 0.5 mm at the right one's: rings of
    radius R + r - sqrt(r² - (r - t)²) at t from the web's face, summed in thin slices.
    """
    crank = Crank.load("pump")
    mains = zip(crank.journals, (4.0, 0.5), strict=True)
    mains = tuple(replace(one, fillet=q(r, "mm")) for one, r in mains)
    crank = replace(crank, journals=mains)

    def moments(r):
        t = (np.arange(20_000) + 0.5) * r / 20_000
        ring = pi * ((10 + r - np.sqrt(r**2 - (r - t) ** 2)) ** 2 - 10**2) * r / 20_000
        return ring.sum(), (ring * t).sum()

    (left, left_first), (right, right_first) = moments(4.0), moments(0.5)
    pin = 2 * pi * (9 + (10 - 3 * pi) / (12 - 3 * pi) * 1.5) * (1 - pi / 4) * 1.5**2
    bare = pi * 100 * 90 + pi * 81 * 22 + 2 * 14 * 28 * (18 + 2 * 14)
    middle = 45 + 14 + 11  # of the crank and of all its parts but the rings
    first = left * 45 - left_first + right * (45 + 50) + right_first + (bare + 2 * pin) * middle
    found = mass_properties(crank).center[0].m_as("mm")
    assert found == pytest.approx(first / (bare + 2 * pin + left + right), abs=1e-6)
    assert abs(found - middle) > 0.05


def test_which_way_the_first_throw_leans_is_asked():
    """Throws of 18 mm at 140 and 230 deg from level: 90 apart, and 190 if the first stood at 40."""
    first, second = (q(18 * np.sin(np.radians(turn)), "mm") for turn in (140, 230))
    throw, ninety = q(18, "mm"), q(90, "deg")
    near = phase_between(first, throw, second, throw, ninety, first_near=q(150, "deg"))
    assert near.m_as("deg") == pytest.approx(90)
    level = phase_between(first, throw, second, throw, q(200, "deg"))
    assert level.m_as("deg") == pytest.approx(190)
