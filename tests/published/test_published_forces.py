"""Cutting force, shear plane, power constants, chatter and tool angles against print; each check names its row or source."""

import re
import warnings

import numpy as np
import pytest
from printed import ROWS, agree

from crankmath import chatter, forces
from crankmath.chatter import tap_and_weight
from crankmath.chatter.modes import plain_modes, plain_receptance
from crankmath.cutting import speeds as finish
from crankmath.cutting import tool_form
from crankmath.forces import power, shear_plane
from crankmath.tables import rows
from crankmath.units import Quantity

DEGREES = {
    "rake": Quantity(10, "deg"),
    "friction_angle": Quantity(np.degrees(np.arctan(0.5)), "deg"),
}  # Ghosh and Mallik, Ex. 4.3, 4.4


def row(number, prefix="CUT"):
    return ROWS[f"{prefix}-{number:02d}"]


def inputs(one):
    return [float(part) for part in re.findall(r"=([\d.e+-]+)", one["inputs"])]


@pytest.mark.parametrize(
    ("number", "steel"),
    [(1, "S275"), (2, "S355"), (4, "42CrMo4"), (5, "S275"), (6, "S355"), (8, "42CrMo4")],
)
def test_kienzle_table(number, steel):
    """Printed k_c at 0.1 and 0.63 mm, German encyclopedia article; printed to three digits, so within 0.3 %. S355 carries E335's row."""
    one = row(number)
    agree(
        forces.specific_cutting_force(steel, Quantity(inputs(one)[2], "mm")).m_as("N/mm**2"),
        one,
        rel=0.003,
    )


def test_kienzle_force():
    one = row(9)
    agree(forces.cutting_force("S275", Quantity(1, "mm"), Quantity(0.1, "mm")).m_as("N"), one)


def test_rake_correction_as_quoted():
    """Dietrich/Tschaetsch, 11th ed.: 1 - (rake - 6)/100 for steel; at 16 deg nine tenths."""
    plain, raked = (
        forces.specific_cutting_force("C45", Quantity(0.2, "mm"), rake=angle)
        for angle in (None, Quantity(16, "deg"))
    )
    assert (raked / plain).m_as("dimensionless") == pytest.approx(0.9)


def test_speed_correction_as_quoted():
    """The 11th ed. is quoted with 1.2 for high-speed steel; our curve, from memory, passes within 4 % at 25 to 40 m/min."""
    speeds = Quantity(np.array([25.0, 30.0, 40.0]), "m/min")
    plain = forces.specific_cutting_force("C45", Quantity(0.2, "mm"))
    factor = (
        forces.specific_cutting_force("C45", Quantity(0.2, "mm"), cutting_speed=speeds) / plain
    ).m_as("dimensionless")
    assert np.allclose(factor, 1.2, rtol=0.045)
    assert factor[1] == pytest.approx(1.2, rel=0.005)


@pytest.mark.parametrize(
    ("number", "steel", "hardness"),
    [
        (10, "C45", 190),
        (12, "1045", 170),
        (14, "1018", 110),
        (16, "12L14", 170),
        (18, "1144", 210),
        (20, "4140", 210),
        (22, "42CrMo4", 270),
    ],
)
def test_power_constants(number, steel, hardness):
    """Machinery's Handbook, 31st ed., p. 1147, table 1b: the SI value, and the inch value with the printed conversion beside it."""
    found = power.power_constant(steel, hardness)
    assert found.value.m_as("kW*s/cm**3") == pytest.approx(float(row(number)["expected"]))
    assert found.inch_value.magnitude == pytest.approx(inputs(row(number))[0])
    agree(found.inch_value.m_as("kW*s/cm**3"), row(number + 1))


def test_every_row_of_the_power_table_converts():
    """Both printed columns agree to a last digit of the SI one."""
    for line in rows("power_constants"):
        inch = Quantity(float(line["inch_value"]), "hp*min/in**3").m_as("kW*s/cm**3")
        assert inch == pytest.approx(float(line["value"]), abs=0.006), line


@pytest.mark.parametrize(
    ("steel", "low", "high"),
    [
        ("S275", 0.8, 1.35),
        ("C45", 0.8, 1.35),
        ("42CrMo4", 0.8, 1.6),
        ("1144", 0.8, 1.85),
        ("12L14", 0.8, 1.85),
    ],
)
def test_kienzle_beside_the_handbook(steel, low, high):
    """Two independent tables at a feed of 0.30 mm with a sharp tool. Plain steels within 35 %; free-machining ones are
    67 to 73 % apart because our k_c1.1 is taken from a plain steel, 42CrMo4 49 %."""
    ours = forces.specific_cutting_force(steel, Quantity(0.3, "mm")).m_as("GPa")
    assert low < ours / power.power_constant(steel).value.m_as("kW*s/cm**3") < high


def test_shear_angle_from_chip():
    measured = shear_plane.measured_shear_angle(
        Quantity(10, "deg"), Quantity(0.15, "mm"), Quantity(0.4, "mm")
    )
    agree(measured.m_as("deg"), row(24))


def test_merchant_example():
    """Ghosh and Mallik, Ex. 4.3; the shear plane's angle."""
    plane = shear_plane.shear_angle(**DEGREES)
    agree(plane.m_as("deg"), row(26))


def test_lee_and_shaffer():
    """Ghosh and Mallik, Ex. 4.4: the plane's angle."""
    agree(shear_plane.shear_angle(**DEGREES, model="lee-shaffer").m_as("deg"), row(31))


@pytest.mark.parametrize("number", [1, 4, 7])
def test_limiting_width(number):
    """Tlusty's formula against the width found by searching the receptance (how_obtained of the row)."""
    stiffness, damping, force = inputs(row(number, "CHAT"))
    agree(
        chatter.limiting_width(Quantity(stiffness, "N/m"), damping, Quantity(force, "N/m**2")).m_as(
            "mm"
        ),
        row(number, "CHAT"),
    )
    mode = chatter.Mode(Quantity(100, "Hz"), Quantity(stiffness, "N/m"), damping)
    found = chatter.critical_width([mode], Quantity(force, "N/m**2"))
    agree(found.width.m_as("mm"), row(number, "CHAT"))
    agree(found.frequency.m_as("Hz") / 100, row(number + 1, "CHAT"))
    agree(
        plain_receptance(plain_modes([mode]), found.frequency.m_as("Hz")).real,
        row(number + 2, "CHAT"),
    )


@pytest.mark.parametrize(("number", "waves"), [(10, 1), (11, 5), (12, 20)])
def test_points_on_lobes(number, waves):
    mode = chatter.Mode(Quantity(100, "Hz"), Quantity(1e7, "N/m"), 0.05)
    speed, width = chatter.lobe_curve([mode], Quantity(2e9, "Pa"), Quantity(110, "Hz"), waves)
    agree(speed.m_as("rpm"), row(number, "CHAT"))
    assert width.m_as("mm") == pytest.approx(0.6690, rel=2e-4)  # printed in the row's note
    lowest = chatter.stability_lobes([mode], Quantity(2e9, "Pa"), speed)
    assert (
        lowest.width.m_as("mm") == pytest.approx(0.669, rel=2e-3)
        if waves < 20
        else lowest.width < width
    )


@pytest.mark.parametrize(
    ("first", "last", "cycles", "damping"),
    [(120, 96, 1, 0.0357), (20, 2, 100, 0.023 / (2 * np.pi))],
)
def test_decay_examples(first, last, cycles, damping):
    """Two public question-and-answer pages: swings of 120 and 96 give 0.0357 (its decrement rounded up to 0.225, hence 1 %);
    20 cm to 2 cm in 100 swings a decrement of 0.023."""
    assert tap_and_weight.damping_from_decay(first, last, cycles) == pytest.approx(
        damping, rel=0.01
    )


def test_feed_and_passive_force():
    """Cutting Tool Engineering prints feed force 0.50 and radial force 0.25 of the main one."""
    parts = forces.force_components(Quantity(1000, "N"))
    assert (parts.feed.m_as("N"), parts.passive.m_as("N")) == (500, 250)


@pytest.mark.parametrize("steel", ["1018", "C45", "1144", "12L14", "S355"])
def test_tool_angles_of_machine_steel(steel):
    """Machine Shop Essentials, table A-1, machine steel: side relief 10 to 12, front relief 8, side rake 12 to 18, back rake 8 to 15;
    Jones, p. 37, soft and medium steel: back 8, side 14 to 20, inside or above."""
    found = {
        name: (span.low.m_as("deg"), span.high.m_as("deg"))
        for name, span in tool_form.tool_angles(steel).items()
    }
    assert found == {
        "side_relief": (10, 12),
        "end_relief": (8, 8),
        "side_rake": (12, 18),
        "back_rake": (8, 15),
    }
    assert "14 to 20" in tool_form.tool_angles(steel)["side_rake"].others[0]


def test_tool_angles_of_tough_steel_and_blows():
    """Same table, tool steel unhardened: 10, 8, 12, 8. Sharpening handbook page: 2 deg more side relief for high-impact cuts."""
    found = tool_form.tool_angles("42CrMo4", interrupted=True)
    assert [found[name].low.m_as("deg") for name in tool_form.ANGLES] == [12, 8, 12, 8]


@pytest.mark.parametrize("number", [2, 5, 8, 11])
def test_feed_back_from_printed_finish(number):
    """Rt = f^2/(8 r) of the row, turned into Ra with the exact parabola's 0.2566 (ROUGH-13), gives the row's feed again."""
    feed, nose = (float(part) for part in re.findall(r"=([\d.]+)", row(number, "ROUGH")["inputs"]))
    mean = float(row(number, "ROUGH")["expected"]) * float(row(13, "ROUGH")["expected"])
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert finish.feed_for_roughness(Quantity(mean, "um"), Quantity(nose, "mm")).m_as(
            "mm"
        ) == pytest.approx(feed, rel=1e-3)
