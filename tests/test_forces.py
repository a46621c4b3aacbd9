"""Cutting force, power, shear plane and drive: limits, symmetry, bad input. Checks against print are in published/."""

import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import dblquad
from scipy.optimize import minimize_scalar

from crankmath import cutting
from crankmath.crank import steels
from crankmath.forces import drive, kienzle, power, shear_plane
from crankmath.tables import rows
from crankmath.units import OutOfRangeWarning, Quantity, SafeSideWarning

MM, DEG = Quantity(1.0, "mm"), Quantity(1.0, "deg")
CHIP, SPEED, FORCE = 0.2 * MM, Quantity(25.0, "m/min"), Quantity(400.0, "N")


def test_arrays_broadcast_and_scalars_stay_scalar():
    found = kienzle.cutting_force(
        "C45",
        Quantity(np.array([1.0, 2.0])[:, None], "mm"),
        Quantity(np.array([0.1, 0.2, 0.4]), "mm"),
    )
    assert found.shape == (2, 3) and np.allclose(found[1].magnitude, 2 * found[0].magnitude)
    assert np.isscalar(kienzle.cutting_force("C45", MM, CHIP).magnitude)


@given(st.floats(0.1, 0.5), st.floats(0.01, 0.1))
def test_force_over_chip_is_the_specific_force(thickness, width):
    """Twice the thickness costs less than twice the force, by exactly 2^-m."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        one, two = (
            kienzle.cutting_force("4140", Quantity(width, "in"), Quantity(h, "mm")).m_as("lbf")
            for h in (thickness, 2 * thickness)
        )
    assert two / one == pytest.approx(2 ** (1 - steels.find("4140").thickness_exponent))


def test_corrections_multiply():
    plain = kienzle.specific_cutting_force("C45", CHIP)
    alone = [
        {"rake": 20 * DEG},
        {"cutting_speed": SPEED},
        {"wear": "worn"},
        {"operation": "grooving"},
    ]
    product = np.prod(
        [(kienzle.specific_cutting_force("C45", CHIP, **one) / plain).magnitude for one in alone]
    )
    together = kienzle.specific_cutting_force(
        "C45", CHIP, **{key: value for one in alone for key, value in one.items()}
    )
    assert (together / plain).magnitude == pytest.approx(product)
    for one, greater in zip(alone, (False, True, True, True), strict=True):
        assert (kienzle.specific_cutting_force("C45", CHIP, **one) > plain) == greater


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: kienzle.specific_cutting_force("C45", 0.05 * MM), "chip_thickness is outside"),
        (lambda: kienzle.specific_cutting_force("C45", 0.7 * MM), "chip_thickness is outside"),
        (lambda: kienzle.specific_cutting_force("C45", CHIP, rake=35 * DEG), "rake is outside"),
        (
            lambda: kienzle.specific_cutting_force("C45", CHIP, cutting_speed=SPEED / 4),
            "cutting_speed is below 10",
        ),
        (lambda: kienzle.thin_chip_force("C45", 0.008 * MM), "chip_thickness is below edge_radius"),
        (
            lambda: shear_plane.measured_shear_angle(10 * DEG, CHIP, CHIP / 2),
            "chip_thickness is below layer_thickness",
        ),
    ],
)
def test_outside_a_range_is_said(call, words):
    with pytest.warns(OutOfRangeWarning, match=words):
        call()


def test_a_cut_faster_than_the_correction_knows_is_counted_on_the_safe_side():
    """The constants belong to about 100 m/min, and the force falls with speed: no less is taken."""
    plain = kienzle.specific_cutting_force("C45", CHIP)
    for speed in (101.0, 150.0, 1000.0):
        with pytest.warns(SafeSideWarning, match="above 100 m/min"):
            fast = kienzle.specific_cutting_force(
                "C45", CHIP, cutting_speed=Quantity(speed, "m/min")
            )
        assert fast.m_as("MPa") == pytest.approx(plain.m_as("MPa"), rel=1e-3)


def test_range_ends_are_inside():
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        kienzle.specific_cutting_force(
            "C45",
            Quantity(np.array([0.1, 0.63]), "mm"),
            rake=Quantity(np.array([-20.0, 30]), "deg"),
            cutting_speed=Quantity(np.array([20.0, 100]), "m/min"),
        )


@pytest.mark.parametrize("steel", steels.NAMES)
def test_thin_chips_meet_the_law_and_keep_an_edge_force(steel):
    low, high = kienzle.thin_chip_force(steel, 0.1 * MM)
    law = kienzle.specific_cutting_force(steel, 0.1 * MM)
    assert low.m_as("MPa") == high.m_as("MPa") == pytest.approx(law.m_as("MPa"))
    step = 1e-5  # the upper one leaves 0.1 mm with the law's own slope of force
    force = [
        h * k
        for h, k in zip(
            (0.1 - step, 0.1),
            (kienzle.thin_chip_force(steel, (0.1 - step) * MM)[1].m_as("MPa"), law.m_as("MPa")),
            strict=True,
        )
    ]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        onward = kienzle.cutting_force(steel, MM, (0.1 + step) * MM).m_as("N")
    assert force[1] - force[0] == pytest.approx(onward - force[1], rel=1e-3)
    corrected = kienzle.thin_chip_force(
        steel, 0.1 * MM, rake=16 * DEG, wear="worn", operation="grooving"
    )
    for value in corrected:  # nine tenths for the rake, 1.3 worn, 1.3 between walls
        assert value.m_as("MPa") == pytest.approx(0.9 * 1.3 * 1.3 * law.m_as("MPa"))
    thin = Quantity(np.array([0.02, 0.05, 0.08]), "mm")
    low, high = kienzle.thin_chip_force(steel, thin)
    assert np.all(high > low) and np.all(np.diff(high.magnitude) < 0)


@pytest.mark.parametrize(("thickness", "words"), [(0.002, "rubs"), (0.11, "at most 0.1 mm")])
def test_thin_chip_refusals(thickness, words):
    with pytest.raises(ValueError, match=words):
        kienzle.thin_chip_force("C45", thickness * MM)


def force_on_a_plane(rake, friction, plane, stress=400, width=2, layer=0.2):
    """Forces [N] along and across the speed by Merchant's circle: a force tau b h / sin(plane) along it."""
    tilt, plane = np.radians(friction - rake), np.radians(plane)
    resultant = stress * width * layer / np.sin(plane) / np.cos(plane + tilt)
    return resultant * np.cos(tilt), resultant * np.sin(tilt)


@given(st.floats(-15, 25), st.floats(10, 50))
def test_merchant_angle_costs_least(rake, friction):
    """Merchant's angle is where the force is least: found anew by search."""
    highest = min(89.0, 89.0 - friction + rake)
    found = minimize_scalar(
        lambda angle: force_on_a_plane(rake, friction, angle)[0],
        bounds=(1, highest),
        method="bounded",
        options={"xatol": 1e-9},
    )
    assert shear_plane.shear_angle(rake * DEG, friction * DEG).m_as("deg") == pytest.approx(
        found.x, abs=1e-3
    )


def test_no_shear_plane_is_refused():
    with pytest.raises(ValueError, match="^friction_angle"):
        shear_plane.shear_angle(-20 * DEG, 80 * DEG, model="lee-shaffer")


@pytest.mark.parametrize("feed", [0.1, 0.2])
def test_widest_cut_uses_up_the_motor(feed):
    width = power.power_limited_width(
        Quantity(550, "W"), "C45", feed * MM, SPEED, efficiency=0.75, wear="worn"
    )
    force = kienzle.cutting_force("C45", width, feed * MM, cutting_speed=SPEED, wear="worn")
    assert kienzle.cutting_power(force, SPEED).m_as("W") == pytest.approx(0.75 * 550)


def test_handbook_power_by_hand():
    # C45 at 190 HB: 2.24 kW s/cm3, feed 0.3 mm 1.00, W 1.3, 6 cm3/min = 0.1 cm3/s: 291.2 W
    rate = cutting.removal_rate(Quantity(20, "m/min"), 0.3 * MM, MM)
    assert rate.m_as("cm**3/min") == pytest.approx(6)
    assert power.handbook_power("C45", rate, 0.3 * MM).m_as("W") == pytest.approx(291.2)


@pytest.mark.parametrize("steel", steels.NAMES)
def test_every_steel_has_a_power_constant(steel):
    found = power.power_constant(steel)
    assert 1 < found.value.m_as("kW*s/cm**3") < 3.2 and found.source and "HB" in found.hardness


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: power.power_constant("C45", 600), "^hardness"),
        (lambda: power.feed_factor(2 * MM), "^feed"),
        (lambda: kienzle.cutting_force("oak", MM, CHIP), "^steel"),
        (lambda: kienzle.specific_cutting_force("C45", CHIP, wear="so-so"), "^wear"),
        (lambda: kienzle.force_components(FORCE, "boring"), "^operation"),
        (lambda: shear_plane.shear_angle(DEG, DEG, model="guess"), "^model"),
        (
            lambda: power.handbook_power("C45", Quantity(1, "cm**3/s"), CHIP, wear_factor=0.9),
            "^wear_factor",
        ),
        (
            lambda: power.power_limited_width(
                Quantity(550, "W"), "C45", CHIP, SPEED, efficiency=1.1
            ),
            "^efficiency",
        ),
        (lambda: kienzle.specific_cutting_force("C45", CHIP, rake=Quantity(90, "deg")), "^rake"),
        (lambda: drive.center_friction_torque(FORCE, 2 * MM, 2 * MM), "^small_diameter"),
    ],
)
def test_words_and_bounds_are_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_plunge_turns_all_thrust_on_the_work():
    turning, plunge = (
        kienzle.force_components(FORCE, operation) for operation in kienzle.OPERATIONS
    )
    assert plunge.feed.m_as("N") == 0
    assert plunge.resultant.m_as("N") == pytest.approx(turning.resultant.m_as("N"))
    assert kienzle.force_components(FORCE, passive_share=1.0).passive == FORCE


def test_square_section_is_the_same_area():
    width, thickness = kienzle.chip_section(2 * MM, CHIP, 45 * DEG)
    assert (width * thickness).m_as("mm**2") == pytest.approx(0.4) and width.m_as(
        "mm"
    ) == pytest.approx(2 * np.sqrt(2))
    with pytest.raises(ValueError, match="^approach_angle"):
        kienzle.chip_section(2 * MM, CHIP, 100 * DEG)


@pytest.mark.parametrize("angle", [60.0, 90.0, 180.0])
def test_center_friction_against_integration(angle):
    """Even pressure p on the cone, thrust = p times the ring's area; friction mu p integrated over the cone's surface."""
    large, small, thrust, friction = 3.0, 1.0, 400.0, 0.15
    pressure = thrust / (np.pi * (large**2 - small**2))
    torque, _ = dblquad(
        lambda r, _: friction * pressure * r * r / np.sin(np.radians(angle / 2)),
        0,
        2 * np.pi,
        small,
        large,
    )
    found = drive.center_friction_torque(FORCE, 6 * MM, 2 * MM, friction, angle * DEG)
    assert found.m_as("N*mm") == pytest.approx(torque)


def test_center_friction_takes_what_centers_usually_are():
    """Without more said: 60 degrees, greased at 0.15, no pilot hole: 0.15 · 400 · 2 · 6/3 N mm."""
    found = drive.center_friction_torque(FORCE, 6 * MM).m_as("N*mm")
    assert found == pytest.approx(0.15 * 400 / 0.5 * 6 / 3)


def test_drive_by_hand():
    # 400 N at Ø20 is 4 N m; with 0.2 N m at the dead center 4.2 N m, at 30 mm 140 N
    torque = drive.drive_torque(FORCE, 20 * MM)
    assert torque.m_as("N*m") == pytest.approx(4)
    assert drive.dog_force(torque, 30 * MM, Quantity(0.2, "N*m")).m_as("N") == pytest.approx(140)
    assert drive.dog_force(torque, 30 * MM).m_as("N") == pytest.approx(400 / 3)


def test_a_driving_bolt_bears_its_push_near_the_end_face():
    """M10, class 8.8, 800 N: π 7.5³/32 = 41.4 mm³ at 320 MPa are 13.3 N·m, 16.6 mm. The root of the
    standard thread, 10 - 1.2269 x 1.5 = 8.16 mm, bears more."""
    reach = drive.bolt_reach(Quantity(800.0, "N"), Quantity(10.0, "mm")).m_as("mm")
    assert reach == pytest.approx(16.57, abs=0.01)
    assert reach < 320 * np.pi * 8.16**3 / 32 / 800


def test_the_ends_of_a_row_of_the_power_table_are_in_it():
    for row in rows("power_constants"):
        steel = next(
            one
            for one in steels.NAMES
            if steels.find(one).speed_group in row["speed_groups"].split()
        )
        for end in ("hardness_low", "hardness_high"):
            power.power_constant(steel, float(row[end]))
