"""Squeeze and spacers: statics, limits, superposition, symmetry, bad input. Checks against 3-D solids are in published/."""

import warnings
from dataclasses import replace
from itertools import product

import numpy as np
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from crankmath import spacers
from crankmath.crank import EXAMPLES, Crank
from crankmath.frame import frame
from crankmath.spacers import (
    Spacer,
    misfit_limits,
    runout_for_misfit,
    squeeze,
    squeeze_pins,
)
from crankmath.spacers.misfits import first_past
from crankmath.units import OutOfRangeWarning, Quantity

PUMP, COMPRESSOR, ORGAN = (Crank.load(name) for name in ("pump", "compressor", "organ"))
HARD = {"modulus": Quantity(1e9, "GPa")}


def mm(value):
    return Quantity(value, "mm")


def um(value):
    return Quantity(value, "um")


def newton(value):
    return Quantity(value, "N")


def rod(misfit=0.0, throw=0, **changes):
    return Spacer(**{"throw": throw, "misfit": um(misfit), "diameter": mm(10.0)} | changes)


@pytest.mark.parametrize("name", EXAMPLES)
def test_nothing_pressed_nothing_moves(name):
    loose = squeeze(Crank.load(name), newton(0.0))
    for values in (loose.closure, loose.slope, loose.bow, loose.web_stress, loose.largest_runout):
        assert np.all(values.magnitude == 0)


def test_thrust_and_answer_are_in_proportion():
    one, three = squeeze(ORGAN, newton(200.0)), squeeze(ORGAN, newton(600.0))
    for name in ("closure", "slope", "bow", "web_stress", "pin_stress"):
        assert getattr(three, name).magnitude == pytest.approx(
            3 * getattr(one, name).magnitude, abs=1e-12
        )
    assert three.runout(mm(30.0)).m_as("um") == pytest.approx(3 * one.runout(mm(30.0)).m_as("um"))


def test_thrust_and_spacer_add_up():
    """While all spacers bear, thrust and misfits act each on its own."""
    pair = [rod(30.0), rod(20.0, throw=1)]
    both = squeeze(COMPRESSOR, newton(400.0), pair)
    thrust = squeeze(COMPRESSOR, newton(400.0), [rod(0.0), rod(0.0, throw=1)])
    misfit = squeeze(COMPRESSOR, newton(0.0), pair)
    assert both.closure.magnitude == pytest.approx(
        thrust.closure.magnitude + misfit.closure.magnitude
    )
    at = mm(np.linspace(0, 140, 15))
    assert both.offset(at).magnitude == pytest.approx(
        thrust.offset(at).magnitude + misfit.offset(at).magnitude, abs=1e-9
    )


def test_a_hard_spacer_sets_the_gap():
    """Infinitely stiff: the gap takes the spacer's length, whatever the thrust."""
    for thrust in (0.0, 300.0, 900.0):
        assert squeeze(PUMP, newton(thrust), rod(3.0, **HARD)).closure.m_as("um")[
            0
        ] == pytest.approx(-3.0, abs=1e-6)
    exact = squeeze(PUMP, newton(900.0), rod(0.0, diameter=mm(14.0), **HARD))
    assert exact.closure.m_as("um")[0] == pytest.approx(0, abs=1e-6)
    assert exact.spacer_force.m_as("N")[0] == pytest.approx(900, rel=0.05), (
        "nearly the whole thrust goes through it"
    )
    assert exact.largest_runout < 0.05 * squeeze(PUMP, newton(900.0)).largest_runout


def test_a_short_spacer_is_no_spacer():
    bare = squeeze(PUMP, newton(500.0))
    short = rod(-1.001 * bare.closure.m_as("um")[0])
    near = rod(-0.999 * bare.closure.m_as("um")[0])
    assert squeeze(PUMP, newton(500.0), short).spacer_force.m_as("N")[0] == 0
    assert squeeze(PUMP, newton(500.0), near).spacer_force.m_as("N")[0] > 0
    assert squeeze(PUMP, newton(500.0), short).closure.magnitude == pytest.approx(
        bare.closure.magnitude
    )


def test_thrust_stops_mattering_once_the_spacer_bears():
    """Common practice in print: a packing block in the crank's gap resists the pressure of the tailstock's center
    (Knight, The Mechanician, "Large Single Crank-Axles"). It says so in words only; a tenth is our measure of it."""
    bare = [squeeze(PUMP, newton(thrust)).largest_runout.m_as("um") for thrust in (500.0, 1000.0)]
    packed = [
        squeeze(PUMP, newton(thrust), rod(0.0, diameter=mm(14.0))).largest_runout.m_as("um")
        for thrust in (500.0, 1000.0)
    ]
    assert packed[1] - packed[0] < 0.1 * (bare[1] - bare[0])


@given(st.lists(st.floats(-40, 40), min_size=3, max_size=3), st.floats(0, 800))
@settings(max_examples=40, deadline=None)
def test_contacts_neither_pull_nor_overlap(misfits, thrust):
    """Each spacer bears or stands free: force >= 0, play >= 0, one of them zero."""
    given_ = [
        Spacer(throw, um(misfit), Quantity(0.3, "in")) for throw, misfit in enumerate(misfits)
    ]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        found = squeeze(ORGAN, newton(thrust), given_)
    force = found.spacer_force.m_as("N")
    room = 0.6 * 25.4
    per_newton = room / (
        206e3 * np.pi / 4 * (0.3 * 25.4) ** 2
    )  # the spacers alone: the contacts make it at least this
    play = -found.closure.m_as("um") - np.array(misfits)
    assert np.all(force >= 0)
    assert np.all(play[force == 0] > -1e-6), "a loose one has play"
    assert np.all(play[force > 0] < -0.999e3 * per_newton * force[force > 0] + 1e-6), (
        "one that bears is pressed shorter"
    )


def test_one_spacer_of_two_is_worse_than_none():
    """Design notes, two throws opposite: with one throw packed the mains run out more than with none."""
    thrust = newton(500.0)
    none = squeeze(COMPRESSOR, thrust)
    one = squeeze(COMPRESSOR, thrust, rod(0.0))
    both = squeeze(COMPRESSOR, thrust, [rod(0.0), rod(0.0, throw=1)])
    assert both.largest_runout < none.largest_runout < one.largest_runout


def test_mirror():
    """A symmetric crank leans alike to both sides, and stays in its plane."""
    found = squeeze(PUMP, newton(700.0), rod(4.0))
    total = PUMP.length.m_as("mm")
    at = np.linspace(0, 45, 7)
    assert found.offset(mm(at)).magnitude == pytest.approx(
        found.offset(mm(total - at)).magnitude, abs=1e-9
    )
    assert found.slope.magnitude[0] == pytest.approx(-found.slope.magnitude[1], abs=1e-15)
    assert np.abs(found.slope.magnitude[:, 1]).max() < 1e-15


def test_straight_end_mains_do_not_bow():
    """Thrust on its axis bends no end main; a main between two throws opposite carries their moments."""
    found = squeeze(COMPRESSOR, newton(500.0))
    assert found.bow.m_as("um")[[0, 2]] == pytest.approx(
        [0, 0], abs=1e-3 * found.largest_runout.m_as("um")
    )
    assert np.all(squeeze(PUMP, newton(500.0)).bow.m_as("um") < 1e-3)


def test_runout_is_twice_the_offset_and_grows_from_the_center():
    found = squeeze(PUMP, newton(1000.0))
    at = mm(np.array([0.0, 9.0, 18.0, 36.0]))
    assert found.runout(at).m_as("um") == pytest.approx(
        2 * np.linalg.norm(found.offset(at).m_as("um"), axis=-1)
    )
    assert found.runout(at).m_as("um") == pytest.approx(
        found.runout(mm(36.0)).m_as("um") * np.array([0, 0.25, 0.5, 1]), abs=1e-9
    )
    slope = abs(found.slope.m_as("rad")[0, 0])
    assert found.runout(mm(45.0)).m_as("mm") == pytest.approx(2 * slope * 45), (
        "runout at the web is twice slope times length"
    )


def test_motion_takes_any_unit_and_plain_millimeters():
    found = squeeze(PUMP, newton(1000.0))
    plain = found.motion(np.array([20.0, 70.0]))
    np.testing.assert_allclose(
        found.motion(Quantity(np.array([20.0, 70.0]) / 25.4, "in")), plain, rtol=1e-9
    )
    np.testing.assert_allclose(
        -1e3 * plain[:, 1:3], found.offset(mm(np.array([20.0, 70.0]))).m_as("um"), rtol=1e-9
    )
    with pytest.raises(pint.DimensionalityError, match="^position"):
        found.motion(newton(1.0))


def test_a_spacer_off_the_axis_tilts_sideways():
    """Sideways of the main axis the spacer twists the crank out of the throw's plane; mirrored, the other way."""
    up, down = (
        squeeze(PUMP, newton(800.0), rod(5.0, diameter=mm(6.0), across=mm(side)))
        for side in (6.0, -6.0)
    )
    assert up.offset(mm(40.0)).m_as("um")[1] == pytest.approx(-down.offset(mm(40.0)).m_as("um")[1])
    assert abs(up.offset(mm(40.0)).m_as("um")[1]) > 0.1
    assert up.offset(mm(40.0)).m_as("um")[0] == pytest.approx(down.offset(mm(40.0)).m_as("um")[0])


def test_two_wedges_beside_the_axis_share_like_one():
    """Two thin hard rods side by side, close to the axis, hold like one on it, but for their dents: 2 %."""
    one = squeeze(PUMP, newton(800.0), rod(2.0, **HARD))
    pair = [rod(2.0, diameter=mm(5.0), across=mm(side), **HARD) for side in (3.0, -3.0)]
    two = squeeze(PUMP, newton(800.0), pair)
    assert two.spacer_force.m_as("N")[0] == pytest.approx(two.spacer_force.m_as("N")[1])
    assert two.spacer_force.m_as("N").sum() == pytest.approx(
        one.spacer_force.m_as("N")[0], rel=0.02
    )


@pytest.mark.parametrize("crank", [PUMP, COMPRESSOR, ORGAN], ids=lambda crank: crank.name)
def test_limits_enclose_the_allowed_runout(crank):
    thrust, share = (
        newton(400.0),
        [rod(0.0, throw=throw, diameter=mm(7.0)) for throw in range(len(crank.throws))],
    )
    allowed = um(5.0)
    if squeeze(crank, thrust).largest_runout < allowed:
        pytest.skip("nothing to keep")
    shortest, longest = misfit_limits(crank, thrust, allowed, share)
    assert shortest < longest
    at_limits = runout_for_misfit(
        crank, thrust, share, Quantity(np.array([shortest.m_as("um"), longest.m_as("um")]), "um")
    )
    assert at_limits.m_as("um") == pytest.approx([5, 5], rel=1e-6)
    inside = Quantity(np.linspace(shortest.m_as("um"), longest.m_as("um"), 12)[1:-1], "um")
    outside = Quantity(np.array([shortest.m_as("um") - 1, longest.m_as("um") + 1]), "um")
    assert np.all(runout_for_misfit(crank, thrust, share, inside).m_as("um") < 5)
    assert np.all(runout_for_misfit(crank, thrust, share, outside).m_as("um") > 5)
    # the plain-cell twin: squeeze itself says the same
    for misfit in (shortest, longest):
        direct = squeeze(crank, thrust, [replace(spacer, misfit=misfit) for spacer in share])
        assert direct.largest_runout.m_as("um") == pytest.approx(5, rel=1e-6)


def test_limits_with_other_throws_packed_or_empty():
    """One throw's spacer alone cannot hold a two-throw crank as tight as both can."""
    thrust, spacer = newton(500.0), rod(0.0, diameter=mm(8.0))
    packed = misfit_limits(
        COMPRESSOR, thrust, um(3.0), spacer, others=rod(0.5, throw=1, diameter=mm(8.0))
    )
    assert packed[0] < packed[1]
    with pytest.raises(ValueError, match="^allowed_runout"):
        misfit_limits(COMPRESSOR, thrust, um(3.0), spacer)


def test_a_wide_allowance_is_looked_for_far_enough():
    """Allowed 0.5 mm: the longest misfit lies beyond the first guess and reads just that."""
    pack = Spacer(0, mm(0.0), mm(14.0))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # bent for good, as is said
        longest = misfit_limits(PUMP, newton(400), mm(0.5), pack)[1]
        found = runout_for_misfit(PUMP, newton(400), pack, longest)
    assert found.m_as("mm") == pytest.approx(0.5, rel=1e-6)
    assert longest.m_as("mm") > 0.1


def test_no_lower_limit_where_no_spacer_is_needed():
    shortest, longest = misfit_limits(PUMP, newton(100.0), um(10.0), rod())
    assert shortest.m_as("um") == -np.inf and longest.m_as("um") > 0


def test_limits_at_no_thrust():
    shortest, longest = misfit_limits(PUMP, newton(0.0), um(5.0), rod())
    assert shortest.m_as("um") == -np.inf and longest.m_as("um") > 0
    assert squeeze(PUMP, newton(0.0), rod(longest.m_as("um"))).largest_runout.m_as(
        "um"
    ) == pytest.approx(5, rel=1e-6)


@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
def test_wedge_stress_by_hand():
    """Reference BEAM-08, BEAM-09: 500 N at an arm of 10 mm on a pin of 10 mm bends it to 4F/(pi d^2) + 32Fe/(pi d^3) = 57.30 MPa;
    a web of 16 x 5 to 75.0 MPa. The same force by an oversize spacer."""
    crank = PUMP.with_throw(
        0,
        radius=mm(10.0),
        pin_diameter=mm(10.0),
        web_thickness=mm(5.0),
        fillet=mm(0.0),
        web_width=mm(20.0),
        web_reach=mm(10.0),
    )
    pressed = squeeze(crank, newton(500.0))
    assert pressed.pin_stress.m_as("MPa")[0] == pytest.approx(
        500 * 4 / (np.pi * 100) + 500 * 10 * 32 / (np.pi * 1000)
    )
    assert pressed.pin_stress.m_as("MPa")[0] == pytest.approx(57.2958, rel=1e-5)
    assert pressed.web_stress.m_as("MPa")[0] == pytest.approx(75.0 * 16 / 20)
    wedge = squeeze(crank, newton(0.0), rod(10.0, diameter=mm(6.0)))
    force = wedge.spacer_force.m_as("N")[0]
    assert wedge.pin_stress.m_as("MPa")[0] == pytest.approx(57.2958 * force / 500, rel=1e-5)


@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
@pytest.mark.parametrize("aside", [3.0, -3.0])
def test_a_spacer_aside_bends_a_throw_pressed_on_another_s_centers_by_hand(aside):
    """Places across the crank as complex numbers: thrust on pin 1's centers, a spacer beside the main
    axis in throw 2. The pin bears the moment of both about its axis and what is left of the push;
    the web that part of it which turns toward the pin.
    """
    found = squeeze(ORGAN, newton(300.0), rod(5.0, 1, diameter=mm(6.0), across=mm(aside)), held=0)
    force, throw = found.spacer_force.m_as("N")[0], ORGAN.throws[1]
    assert force > 0
    first, way = (np.exp(1j * ORGAN.throws[index].angle.m_as("rad")) for index in (0, 1))
    radius, pin, width, thick = (
        size.m_as("mm")
        for size in (throw.radius, throw.pin_diameter, throw.web_width, throw.web_thickness)
    )
    center, spacer, axis = ORGAN.throws[0].radius.m_as("mm") * first, 1j * aside * way, radius * way
    moment = force * (spacer - axis) - 300 * (center - axis)
    assert found.pin_stress.m_as("MPa")[1] == pytest.approx(
        32 * abs(moment) / (np.pi * pin**3) + 4 * abs(300 - force) / (np.pi * pin**2)
    )
    assert found.web_stress.m_as("MPa")[1] == pytest.approx(
        6 * abs((moment / way).real) / (width * thick**2)
    )


def test_a_throw_bent_for_good_is_said():
    with pytest.warns(OutOfRangeWarning, match="yield strength"):
        squeeze(PUMP, newton(0.0), rod(500.0))


def test_a_spacer_in_the_fillet_or_past_the_web_is_said():
    with pytest.warns(OutOfRangeWarning, match="fillet"):
        squeeze(PUMP, newton(100.0), rod(diameter=mm(17.0)))
    with pytest.warns(OutOfRangeWarning, match="throw 1 stands out past the web"):
        squeeze(PUMP, newton(100.0), rod(diameter=mm(10.0), across=mm(10.0)))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"throw": 1}, "^throw must be from 0 to 0, counted from zero"),
        ({"throw": -1}, "^throw"),
        ({"throw": True}, "^throw"),
        ({"throw": "a"}, "^throw"),
        ({"diameter": mm(0.0)}, "^diameter"),
        ({"diameter": mm(19.0)}, "^diameter is too large"),
        ({"bore": mm(10.0)}, "^bore"),
        ({"modulus": Quantity(-1, "GPa")}, "^modulus"),
        ({"contact": Quantity(-1, "um/N")}, "^contact"),
        ({"across": mm(20.0)}, "^along and across"),
        ({"misfit": mm(np.nan)}, "^misfit"),
        ({"misfit": mm(np.zeros(2))}, "^misfit"),
        ({"along": mm(-15.0)}, "^along and across"),
    ],
)
def test_impossible_spacers_are_named(changes, words):
    with pytest.raises(ValueError, match=words):
        squeeze(PUMP, newton(100.0), rod(**changes))


@pytest.mark.parametrize(
    ("call", "kind", "words"),
    [
        (lambda: squeeze(PUMP, newton(np.ones(2))), ValueError, "^thrust"),
        (lambda: squeeze(PUMP, newton(1), "rod"), TypeError, "^spacers"),
        (lambda: squeeze(PUMP, newton(1), rod(diameter=5)), TypeError, "^diameter"),
        (lambda: squeeze(PUMP, newton(1)).runout(mm(141)), ValueError, "^position"),
        (lambda: squeeze(PUMP, newton(1)).runout(5), TypeError, "^position"),
        (lambda: misfit_limits(PUMP, newton(1), um(0), rod()), ValueError, "^allowed_runout"),
        (lambda: misfit_limits(PUMP, newton(1), um(5), ()), ValueError, "^spacer"),
    ],
)
def test_bad_input_is_named(call, kind, words):
    with pytest.raises(kind, match=words):
        call()


def test_shapes():
    found = squeeze(ORGAN, newton(300.0), rod(0.0, diameter=mm(5.0)))
    assert (
        found.closure.shape == (3,)
        and found.slope.shape == (4, 2)
        and found.bow.shape == (4,)
        and found.spacer_force.shape == (1,)
    )
    assert np.ndim(found.runout(mm(30.0)).magnitude) == 0
    assert found.runout(mm(np.zeros((2, 3)))).shape == (2, 3) and found.offset(
        mm(np.zeros((2, 3)))
    ).shape == (2, 3, 2)


# ---- thrust, center holes, gaps


def test_screw_thrust():
    """Power-screw text example, from memory (Shigley, double square thread 32 x 4): 6.4 kN needs 26.18 N m with its collar,
    15.94 without. The torque is printed to 4 digits."""
    screw = {"lead": mm(8.0), "friction": 0.08, "mean_diameter": mm(30.0)}
    collar = {"collar_friction": 0.08, "collar_diameter": mm(40.0)}
    assert spacers.screw_thrust(Quantity(26.18, "N*m"), **screw, **collar).m_as(
        "kN"
    ) == pytest.approx(6.4, rel=5e-4)
    assert spacers.screw_thrust(Quantity(15.94, "N*m"), **screw).m_as("kN") == pytest.approx(
        6.4, rel=5e-4
    )


def test_frictionless_screw_is_all_efficiency():
    turning = Quantity(2.0, "N*m")
    smooth = spacers.screw_thrust(
        turning, mm(2.5), friction=0.0, mean_diameter=mm(14.0), thread_angle=Quantity(30, "deg")
    )
    assert smooth.m_as("N") == pytest.approx(
        spacers.screw_thrust(turning, mm(2.5), efficiency=1.0).m_as("N")
    )
    assert smooth.m_as("N") == pytest.approx(2 * np.pi * 2000 / 2.5)


def test_the_crank_is_its_own_gauge():
    for throw in range(3):
        closure = squeeze(ORGAN, newton(350.0)).closure[throw]
        assert spacers.closure_thrust(ORGAN, closure, throw).m_as("N") == pytest.approx(350)
    assert spacers.spring_thrust(Quantity(80, "N/mm"), mm(5.0)).m_as("N") == 400


def test_thrust_that_keeps_a_center_in_its_hole():
    """Half of 22.9 kg, 112 N, on a cone of 30 degrees: 112/sqrt(3) = 64.7 N, with a friction of 0.15
    112 tan(30 - 8.53 degrees) = 44.0 N. A linear program over 360 places around the cone, each
    pressing square to it as hard as it likes, finds no less.
    """
    hold = spacers.holding_thrust
    assert hold(newton(112.0)).m_as("N") == pytest.approx(64.66, abs=0.01)
    assert hold(newton(112.0), 0.15).m_as("N") == pytest.approx(44.04, abs=0.02)
    around = np.radians(np.arange(360))
    for friction in (0.0, 0.15):
        out = np.cos(np.pi / 6) + friction * np.sin(np.pi / 6)  # outward and along, per pressure
        along = np.sin(np.pi / 6) - friction * np.cos(np.pi / 6)
        rows = out * np.array([np.cos(around), np.sin(around)])
        found = linprog(np.full(360, along), A_eq=rows, b_eq=[112.0, 0.0])
        assert hold(newton(112.0), friction).m_as("N") == pytest.approx(found.fun, rel=1e-6)


def test_center_hole_by_hand():
    # ring from 2 to 5 mm seen along the axis: pi/4 (25 - 4) = 16.493 mm2; 500 N on it 30.315 MPa
    assert spacers.center_pressure(newton(500.0), mm(5.0), mm(2.0)).m_as("MPa") == pytest.approx(
        30.315, rel=1e-4
    )
    assert spacers.center_thrust_limit(Quantity(30.315, "MPa"), mm(5.0), mm(2.0)).m_as(
        "N"
    ) == pytest.approx(500, rel=1e-4)


def test_gap_between_go_and_stop():
    felt = spacers.felt_gap(mm(21.98), mm(22.0))
    assert felt.gap.m_as("mm") == pytest.approx(21.99) and felt.uncertainty.m_as(
        "um"
    ) == pytest.approx(10)


def test_shim_pack_by_hand():
    # 22.00 - 21.50 = 0.50: from 0.05, 0.10, 0.15, 0.20, 0.30 the two-shim pack 0.30 + 0.20
    pack = spacers.shim_pack(mm(22.0), mm(21.5), mm(np.array([0.05, 0.1, 0.15, 0.2, 0.3])))
    assert pack.shims.m_as("mm") == pytest.approx([0.3, 0.2]) and pack.misfit.m_as(
        "um"
    ) == pytest.approx(0, abs=1e-9)
    assert pack.length.m_as("mm") == pytest.approx(22)
    with pytest.warns(OutOfRangeWarning, match="shortest"):
        spacers.shim_pack(
            mm(22.0), mm(21.5), mm(np.array([0.1])), shortest=um(-5.0), longest=um(5.0)
        )


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: spacers.screw_thrust(Quantity(1, "N*m"), mm(2)), "^efficiency"),
        (lambda: spacers.screw_thrust(Quantity(1, "N*m"), mm(2), efficiency=1.2), "^efficiency"),
        (
            lambda: spacers.screw_thrust(
                Quantity(1, "N*m"), mm(20), friction=4, mean_diameter=mm(10)
            ),
            "^friction",
        ),
        (lambda: spacers.closure_thrust(PUMP, um(5), 1), "^throw"),
        (lambda: spacers.center_pressure(newton(1), mm(2), mm(5)), "^mouth_diameter"),
        (lambda: spacers.felt_gap(mm(5), mm(4)), "^stops"),
        (lambda: spacers.felt_gap(mm([4, 5]), mm(5)), "^stops"),
        (lambda: spacers.shim_pack(mm(5), mm(4), mm(np.ones(17))), "^shims"),
    ],
)
def test_impossible_measures_are_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_frame_is_shared():
    assert squeeze(PUMP, newton(1.0))._plan.frame is frame.build(PUMP)


# ---- on the pins' own centers


def test_squeeze_on_a_pin_beside_solids():
    """3-D solid finite elements made apart from the library: pin 2 of the compressor, gaps open, 400 N
    on its centers, comes to stand 36 um off and 7.2 um out of parallel over its 16 mm."""
    found = squeeze(COMPRESSOR, newton(400.0), held=1)
    off = np.linalg.norm(found.middle_offset.m_as("um"))
    assert off == pytest.approx(36.0, rel=0.03)
    assert found.out_of_parallel.m_as("um") == pytest.approx([7.2], rel=0.03)
    assert 2 * off < found.largest_runout.m_as("um") < 2 * (off + 7.2)


def test_a_pin_alone_on_its_centers_bends_no_pin():
    """Thrust along the pin's own axis: the pin carries F / A and no moment, the web's gap is a C the other way."""
    found = squeeze(PUMP, newton(1000.0), held=0)
    area = np.pi / 4 * 18**2
    assert found.pin_stress.m_as("MPa") == pytest.approx([1000 / area], rel=1e-9)
    assert found.web_stress.m_as("MPa") == pytest.approx([0.0], abs=1e-9)
    # the other throw of two: its arm is the distance between the pins, 14 + 14
    other = squeeze(COMPRESSOR, newton(400.0), held=1)
    assert other.web_stress.m_as("MPa")[0] == pytest.approx(6 * 400 * 28 / (24 * 10**2))


@pytest.mark.parametrize("crank", [COMPRESSOR, ORGAN], ids=lambda crank: crank.name)
def test_throws_to_come_are_solid_and_finished_ones_are_better_packed(crank):
    packs = tuple(rod(0.0, throw=throw, diameter=mm(7.0)) for throw in range(len(crank.throws)))
    bare, packed = (squeeze_pins(crank, newton(300.0), some) for some in ((), packs))
    for index, (one, other) in enumerate(zip(bare, packed, strict=True)):
        assert len(other.spacer_force) == index
        assert np.abs(one.closure.m_as("um")[index + 1 :]).max(initial=0.0) < 1e-3
        if index:
            assert other.out_of_parallel < 0.8 * one.out_of_parallel
            assert other.largest_runout < 0.85 * one.largest_runout
    whole = squeeze(crank, newton(300.0), held=0)
    assert bare[0].out_of_parallel < whole.out_of_parallel
    with pytest.raises(ValueError, match="^solid: throw 2 has no gap"):
        squeeze(crank, newton(300.0), packs[1], solid=(1,))


# ---- one budget


def test_budget_is_the_worst_of_all_at_once():
    """A pump's spacer known to 3.5 um, 4000 N more by warming: each alone within 12 um, together 20."""
    fitted = rod(0.0, diameter=mm(14.0))
    found = spacers.squeeze_budget(PUMP, newton(400.0), um(10.0), fitted, um(3.5), newton(4000.0))
    short = squeeze(PUMP, newton(4400.0), replace(fitted, misfit=um(-3.5)))
    assert found.together.m_as("um") == pytest.approx(short.largest_runout.m_as("um"))
    assert found.squeeze < found.misfit < um(10.0) and found.together > um(20.0)
    assert not found.within and found.left.m_as("um") == pytest.approx(
        10 - found.together.m_as("um")
    )


@pytest.mark.parametrize("crank", [PUMP, COMPRESSOR], ids=lambda crank: crank.name)
def test_less_is_left_as_the_spacers_are_known_less_well(crank):
    packs = tuple(rod(0.0, throw=throw) for throw in range(len(crank.throws)))
    rest = []
    for known in (0.0, 1.0, 2.0, 3.0, 20.0):
        found = spacers.squeeze_budget(crank, newton(400.0), um(10.0), packs, um(known))
        more = found.thrust_left
        rest.append(more.m_as("N"))
        if more.magnitude:
            at = spacers.squeeze_budget(crank, newton(400.0), um(10.0), packs, um(known), more)
            assert at.together.m_as("um") == pytest.approx(10.0, rel=1e-6)
    assert rest == sorted(rest, reverse=True) and rest[-1] == 0 < rest[0]


@pytest.mark.parametrize("aim", [0.0, 1.0])
@pytest.mark.parametrize("crank", [PUMP, COMPRESSOR], ids=lambda crank: crank.name)
def test_spacers_may_be_off_their_own_way_by_what_is_left(crank, aim):
    """Each long or short by it: no more than allowed; a twentieth more: too much, one way or other."""
    packs = tuple(rod(aim, throw=throw) for throw in range(len(crank.throws)))
    left = spacers.squeeze_budget(crank, newton(400.0), um(10.0), packs).misfit_left.m_as("um")
    for share, within in ((1.0, True), (1.05, False)):
        worst = max(
            squeeze(
                crank,
                newton(400.0),
                [
                    replace(one, misfit=um(aim + way * share * left))
                    for one, way in zip(packs, ways, strict=True)
                ],
            ).largest_runout.m_as("um")
            for ways in product((-1, 0, 1), repeat=len(packs))
        )
        assert (worst <= 10 * (1 + 1e-6)) == within


def test_limits_written_down_lie_inside():
    low, high = misfit_limits(PUMP, newton(400.0), um(10.0), rod(diameter=mm(14.0)))
    for step in (um(1.0), Quantity(0.05, "thousandth"), um(0.3)):
        for written, end in zip(spacers.whole_steps(low, high, step), (low, high), strict=True):
            assert abs(written) <= abs(end) and abs(end - written) < step
            some = rod(written.m_as("um"), diameter=mm(14.0))
            assert squeeze(PUMP, newton(400.0), some).largest_runout <= um(10.0)
    # by hand: -3.62 and 4.47 in whole micrometers
    assert [end.m_as("um") for end in spacers.whole_steps(um(-3.62), um(4.47), um(1.0))] == [-3, 4]
    assert spacers.whole_steps(um(-np.inf), um(4.47), um(1.0))[0].magnitude == -np.inf
    with pytest.raises(ValueError, match="finer step"):
        spacers.whole_steps(um(1.2), um(1.8), um(1.0))


# ---- the one rule of the spacer's diameter


@pytest.mark.parametrize(
    ("name", "size"),
    [  # by hand: 2 (e - r - 0.5) - d, down to a whole millimeter or sixteenth
        ("pump", mm(14)),  # 2 (18 - 1.5 - 0.5) - 18 = 14
        ("compressor", mm(10)),  # 2 (14 - 1.2 - 0.5) - 14 = 10.6
        ("bellows", Quantity(7 / 16, "in")),  # 2 (0.625 - 0.0625) - 0.625 - 0.0394 = 0.461
        ("organ", Quantity(5 / 16, "in")),  # 2 (0.5 - 0.05) - 0.5 - 0.0394 = 0.361
    ],
)
def test_largest_spacer(name, size):
    crank = Crank.load(name)
    found = spacers.largest_diameter(crank)
    assert found.m_as("mm") == pytest.approx(size.m_as("mm"))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        squeeze(crank, newton(100.0), rod(diameter=found))


def test_no_spacer_beside_a_pin_that_crosses_the_axis():
    assert spacers.largest_diameter(PUMP.with_throw(radius=mm(8.0))).magnitude == 0
    slim = PUMP.with_throw(radius=mm(60.0))  # the mains behind it limit it, Ø20
    assert spacers.largest_diameter(slim).m_as("mm") == 20


def test_a_trapezoidal_thread_rubs_more_than_a_square_one():
    """Text relation T = F d/2 (l + pi f d sec a) / (pi d - f l sec a), a half of the angle between flanks: 14.5 deg."""
    force, lead, friction, mean = 1000.0, 3.0, 0.15, 14.0
    rub = friction / np.cos(np.radians(14.5))
    torque = force * mean / 2 * (lead + np.pi * rub * mean) / (np.pi * mean - rub * lead)
    found = spacers.screw_thrust(
        Quantity(torque, "N*mm"),
        mm(lead),
        friction=friction,
        mean_diameter=mm(mean),
        thread_angle=Quantity(29, "deg"),
    )
    assert found.m_as("N") == pytest.approx(force)


def test_a_spacer_that_touches_softly_bears_less():
    """Its force with contacts that give 1/k each newton: gap closed freely over all gives in a row, so 1/F grows linearly."""
    soft = [0.0, 1e-5, 2e-5]
    forces = [
        spacers.squeeze(
            Crank.load("pump"),
            Quantity(400, "N"),
            (spacers.Spacer(0, mm(0.0), mm(14), contact=Quantity(give, "mm/N")),),
        ).spacer_force.m_as("N")
        for give in soft
    ]
    inverse = [1 / float(np.ravel(force)[0]) for force in forces]
    assert inverse[0] < inverse[1] < inverse[2]
    assert inverse[2] - inverse[1] == pytest.approx(inverse[1] - inverse[0], rel=1e-6)


def test_a_spacer_beside_a_pin_bends_it_to_an_arc():
    """A spacer on the main axis wedges the throw open about its pin: a moment of its force times the
    throw, alike all along the pin, so that its middle stands M l^2 / (8 E I) off the line between
    its ends. Turned on its own centers the pin leans to neither side.
    """
    found = squeeze(PUMP, newton(0.0), rod(5.0), held=0)
    moment = found.spacer_force.m_as("N")[0] * 18.0
    arc = moment * 22.0**2 / (8 * 206e3 * np.pi / 64 * 18.0**4)
    assert found.bow.m_as("mm") == pytest.approx([arc], rel=0.02)
    assert found.slope.m_as("rad")[0] == pytest.approx([0, 0], abs=1e-12)


def test_a_slope_is_the_rise_of_a_main_over_its_length():
    """Pressed, the pump's throw closes and its webs lean: the left main rises toward the pin as it
    nears it, the right one falls; both by what the middle rises, over 45 mm.
    """
    found = squeeze(PUMP, newton(700.0))
    rise = found.motion(np.array([45.0]))[0, 1]
    assert rise > 0
    assert found.slope.m_as("rad")[:, 0] == pytest.approx([rise / 45, -rise / 45])
    # let go, its middle comes back by half of that, and its ends stand as far out of parallel
    assert found.middle_offset.m_as("mm") == pytest.approx(np.array([[-rise / 2, 0]] * 2))
    assert found.out_of_parallel.m_as("mm") == pytest.approx([rise, rise])


def test_a_spacer_as_long_as_its_gap_grips_from_the_least_thrust_on():
    """Nothing presses, nothing grips; a thousandth of a newton on the spacer is held for a grip, and
    what it bears grows with the thrust.
    """
    pack = (rod(0.0, diameter=mm(14.0)),)
    share = squeeze(PUMP, newton(100.0), pack).spacer_force.m_as("N")[0] / 100
    zero = um(0.0)
    found = spacers.gripping_thrust(PUMP, pack, zero, zero, newton(400.0))
    assert found.m_as("N") == pytest.approx(1e-3 / share, rel=1e-6)
    long = spacers.gripping_thrust(PUMP, pack, um(1.0), um(1.0), newton(400.0))
    assert long.m_as("N") == 0, "wedged in, it is gripped without thrust"
    short = spacers.gripping_thrust(PUMP, pack, um(-900.0), um(-900.0), newton(400.0))
    assert short.m_as("N") == 400, "the most that is looked at"


def test_thrust_that_may_be_taken_off_a_spacer_that_is_long():
    """4 um too long it opens the throw more as the thrust falls: evenly, so by three readings."""
    long = rod(4.0, diameter=mm(14.0))
    at = {
        force: squeeze(PUMP, newton(force), long).largest_runout.m_as("um") for force in (200, 400)
    }
    per_newton = (at[200] - at[400]) / 200
    assert per_newton > 0
    for less in (300, 100):  # a search in steps of 1, 2, 4 .. 256 N found all of 400 for 300
        allowed = um(at[400] + less * per_newton)
        found = spacers.squeeze_budget(PUMP, newton(400.0), allowed, long)
        assert found.thrust_eased.m_as("N") == pytest.approx(less)
    # what is left to add reaches the same reading on the other side, past zero
    other = squeeze(PUMP, newton(400.0) + found.thrust_left, long).largest_runout
    assert other.m_as("um") == pytest.approx(at[400] + 100 * per_newton, rel=1e-6)
    # all may be taken off where no thrust at all still keeps within
    wide = spacers.squeeze_budget(PUMP, newton(400.0), um(at[400] + 500 * per_newton), long)
    assert wide.thrust_eased.m_as("N") == 400


def test_a_budget_that_is_just_kept_is_kept():
    """A reading as large as its size: past 1 from 1 on, whatever step comes to stand on the bound."""
    for step in (0.25, 1.0, 0.7):
        assert first_past(lambda size: size, 1.0, step, 8.0, 2) == pytest.approx(1.0)
    assert first_past(lambda size: size, 8.0, 1.0, 8.0, 2) == np.inf, "beyond what is looked at"
    assert first_past(lambda size: size + 2, 1.0, 1.0, 8.0, 2) == 0
    for most in (8.0, 5.5):
        assert first_past(lambda size: size, 5.0, 1.0, most, 2) == pytest.approx(5)
    kept = first_past(lambda size: 1 + max(size - 3, 0), 1.0, 1.0, 8.0, 11)
    assert 2.5 < kept <= 3, "just kept at nothing, and as far as it does not grow"
    # 2 sin(90 degrees x) passes 1 at a third, and again at 4 1/3: the first is meant
    waves = first_past(lambda size: 2 * np.sin(np.pi / 2 * size), 1.0, 5.0, 8.0, 11)
    assert waves == pytest.approx(1 / 3)


def test_a_thread_whose_flanks_are_flat_is_refused():
    with pytest.raises(ValueError, match="^thread_angle must be below 180"):
        spacers.screw_thrust(
            Quantity(2.0, "N*m"),
            mm(2.5),
            friction=0.1,
            mean_diameter=mm(14.0),
            thread_angle=Quantity(180, "deg"),
        )


@pytest.mark.parametrize("crank", [PUMP, COMPRESSOR], ids=lambda crank: crank.name)
def test_a_spacer_is_gripped_from_a_tenth_of_what_a_full_one_bears(crank):
    """One after another the shortest, the others longest: none bears less than a tenth of what it does
    as long as its gap, and one just that; a lone one lacks nine tenths of the bare closure then.
    """
    thrust, packs = newton(400.0), [rod(0.0, throw=throw) for throw in range(len(crank.throws))]
    long = 0.5 if len(packs) > 1 else 0.0
    full = squeeze(crank, thrust, packs).spacer_force.m_as("N")
    short = spacers.gripped_misfit(crank, thrust, packs, um(long)).m_as("um")
    if len(packs) == 1:
        assert short == pytest.approx(-0.9 * squeeze(crank, thrust).closure.m_as("um")[0], rel=1e-4)
    over, bears = [], []
    for one in range(len(packs)):
        for misfit in (short, short + 0.01, short - 0.01):
            some = [rod(misfit if at == one else long, throw=at) for at in range(len(packs))]
            found = squeeze(crank, thrust, some)
            over.append(found.spacer_force.m_as("N")[one] / full[one])
            bears.append(bool(found.gripped[one]))
    worst = 3 * int(np.argmin(over[::3]))
    assert bears[1::3] == [True] * len(packs) and not bears[worst + 2]
    over = over[::3]
    assert min(over) == pytest.approx(0.1, rel=1e-3)
    # from the thrust that grips it so on
    least = spacers.gripping_thrust(crank, packs, um(short), um(long), newton(4000.0))
    assert least.m_as("N") == pytest.approx(400, rel=1e-3)


def test_a_budget_spent_to_the_last_is_within():
    spent = [um(value) for value in (10.0, 5.0, 6.0, 7.0)]
    for together, within in ((10.0, True), (10.001, False)):
        rest = newton(0.0), newton(0.0), um(0.0)
        found = spacers.SqueezeBudget(*spent, um(together), *rest)
        assert found.within is within
        assert found.left.m_as("um") == pytest.approx(10 - together)


def test_where_a_spacer_stands_is_told_in_its_numbers():
    """The pump's pin of Ø18 stands 18 out on webs 28 wide that reach 14 beyond main and pin, its
    fillet 1.5.
    """
    for changes, said in (
        ({"diameter": mm(10.0), "across": mm(10.0)}, "past the web by 1 mm"),  # 5 + 10 - 14
        ({"diameter": mm(10.0), "across": mm(-10.0)}, "past the web by 1 mm"),
        ({"diameter": mm(10.0), "along": mm(-12.0)}, "past the web by 3 mm"),  # 5 + 12 - 14
        ({"diameter": mm(4.0), "along": mm(31.0)}, "past the web by 1 mm"),  # 2 + 31 - 32
        ({"diameter": mm(15.2)}, "chamfer its edges by 0.1 mm"),  # 18 - 9 - 7.6 = 1.4 of 1.5
    ):
        with pytest.warns(OutOfRangeWarning, match=said) as told:
            squeeze(PUMP, newton(1.0), rod(**changes))
        assert len(told) == 1
    with warnings.catch_warnings():  # 18 - 9 - 7.5 = 1.5; 5 + 9, 5 + 9 and 1 + 31 just stand
        warnings.simplefilter("error")
        squeeze(PUMP, newton(1.0), rod(diameter=mm(15.0)))
        squeeze(PUMP, newton(1.0), rod(across=mm(9.0)))
        squeeze(PUMP, newton(1.0), rod(along=mm(-9.0)))
        squeeze(PUMP, newton(1.0), rod(along=mm(31.0), diameter=mm(2.0)))
    for changes, said in (
        ({"diameter": mm(19.0)}, "runs into the pin by 0.5 mm"),
        ({"along": mm(-14.0)}, "off the web"), ({"along": mm(32.0), "diameter": mm(1.0)}, "off the web"),
        ({"across": mm(14.0)}, "off the web"), ({"across": mm(-14.0)}, "off the web"),
    ):  # fmt: skip
        with pytest.raises(ValueError, match=said):
            squeeze(PUMP, newton(1.0), rod(**changes))


def test_measures_on_their_bounds():
    """A gap that just goes and stops alike tells nothing; a drawer of 16 shims is tried, and a pack
    just at a limit is within it; a screw that turns for nothing, or a cone without a ring, is none.
    """
    with pytest.raises(ValueError, match="^stops"):
        spacers.felt_gap(mm(22.0), mm(22.0))
    with pytest.raises(ValueError, match="^mouth_diameter"):
        spacers.center_pressure(newton(1.0), mm(2.0), mm(2.0))
    turning, lead = Quantity(1.0, "N*m"), mm(2.0)
    with pytest.raises(ValueError, match="^efficiency must be above 0"):
        spacers.screw_thrust(turning, lead, efficiency=0.0)
    with pytest.raises(ValueError, match="^efficiency or friction"):
        spacers.screw_thrust(turning, lead, efficiency=0.3, friction=0.1, mean_diameter=mm(14.0))
    with pytest.raises(TypeError, match="^mean_diameter"):
        spacers.screw_thrust(turning, lead, friction=0.1)
    with pytest.raises(TypeError, match="^collar_diameter"):
        spacers.screw_thrust(
            turning, lead, friction=0.1, mean_diameter=mm(14.0), collar_friction=0.1
        )
    # 0.5 wanted, 0.25 and 0.125 in the drawer, all of them whole parts of two: 0.125 short
    drawer = mm(np.array([0.25, 0.125]))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        pack = spacers.shim_pack(mm(22.0), mm(21.5), drawer, shortest=mm(-0.125), longest=mm(0.0))
    assert pack.misfit.m_as("mm") == -0.125 and pack.length.m_as("mm") == 21.875
    with pytest.warns(OutOfRangeWarning, match="past the shortest misfit"):
        spacers.shim_pack(mm(22.0), mm(21.5), drawer, shortest=mm(-0.124))
    with pytest.warns(OutOfRangeWarning, match="past the longest misfit"):
        spacers.shim_pack(mm(22.0), mm(22.5), drawer, longest=mm(0.4))
    full = spacers.shim_pack(mm(22.0), mm(21.0), mm(np.full(16, 0.0625)))
    assert full.misfit.magnitude == 0 and len(full.shims) == 16


def test_gives_of_spacer_and_joints_add_up_in_a_row():
    """As long as its gap a spacer bears F = c/(g + s + j): c what the bare gap closes by, g the give of
    crank and dents, s = l/(E A) its own, j that of its joints. So 1/F grows by (s + j)/c, here of a
    tube of 10 with a bore of 6, 22 long, and of 2 um/N in its joints.
    """
    thrust, bore = newton(400.0), {"diameter": mm(10.0), "bore": mm(6.0)}
    closure = squeeze(PUMP, thrust).closure.m_as("mm")[0]

    def inverse(**changes):
        return 1 / squeeze(PUMP, thrust, rod(**bore | changes)).spacer_force.m_as("N")[0]

    hard = inverse(**HARD)
    own = 22 / (70e3 * np.pi / 4 * (10**2 - 6**2))
    soft = {"modulus": Quantity(70, "GPa")}
    assert inverse(**soft) - hard == pytest.approx(own / closure, rel=1e-6)
    both = inverse(**soft, contact=Quantity(2, "um/N"))
    assert both - hard == pytest.approx((own + 2e-3) / closure, rel=1e-6)


def test_a_slim_hard_spacer_dents_both_faces_as_a_half_space():
    """A rigid disc of radius a sinks (1 - nu^2)/(2 a E) into a half space for each newton (Boussinesq):
    a spacer of 0.5 gives that much more than one of 1, in either face, within 3 %.
    """
    closure = squeeze(PUMP, newton(1.0)).closure.m_as("mm")[0]
    gives = [
        closure
        / squeeze(PUMP, newton(1.0), rod(diameter=mm(size), **HARD)).spacer_force.m_as("N")[0]
        for size in (0.5, 1.0)
    ]
    sunk = 2 * (1 - 0.3**2) / (2 * 206e3) * (1 / 0.25 - 1 / 0.5)
    assert gives[0] - gives[1] == pytest.approx(sunk, rel=0.03)
