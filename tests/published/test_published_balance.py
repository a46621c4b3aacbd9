"""Balance and shaking forces against print; each check carries its source and why its tolerance."""

import re

import numpy as np
import pytest
from printed import expected, rows

from crankmath import balance
from crankmath.balance.counterweights import balance_mass
from crankmath.balance.shaking import shaking_forces
from crankmath.units import Quantity


@pytest.mark.parametrize("row", rows("BAL", range(1, 4)))
def test_permissible_unbalance(row):
    """ISO 21940-11, U = G m / omega."""
    grade, mass, speed = (float(part) for part in re.findall(r"=([\d.]+)", row["inputs"]))
    found = balance.permissible_unbalance(Quantity(mass, "kg"), Quantity(speed, "rpm"), grade)
    assert found.m_as("g*mm") == pytest.approx(float(row["expected"]), rel=1e-4)


def test_permissible_offset():
    """BAL-04: the unbalance of 1 kg over its mass."""
    found = balance.permissible_unbalance(Quantity(1, "kg"), Quantity(3000, "rpm"), 6.3)
    assert (found / Quantity(1, "kg")).m_as("um") == pytest.approx(expected("BAL-04"), rel=1e-4)


@pytest.mark.parametrize(
    ("machine", "grade"),
    [
        ("crank drive, inherently unbalanced, on springs", 630),
        ("crank drive, inherently unbalanced, bolted down", 250),
        ("crank drive, inherently balanced, on springs", 40),
        ("crank drive, inherently balanced, bolted down", 16),
        ("general machinery", 6.3),
    ],
)
def test_grades(machine, grade):
    """ISO 21940-11 Table 1, reproduction seen."""
    assert balance.balance_grade(machine) == grade


def test_single_cylinder_with_two_thirds_balanced():
    """BAL-05 to BAL-08: 240 rpm, stroke 0.2 m, 120 kg reciprocating, 80 kg revolving, balanced at 0.15 m; at 30 degrees.

    The problem leaves secondary forces out, so order 1 is compared. Answers computed when the reference was made.
    """
    revolving, moving, throw = Quantity(80, "kg"), Quantity(120, "kg"), Quantity(0.1, "m")
    weight = balance_mass(revolving, moving, 2 / 3, throw, Quantity(0.15, "m"))
    assert weight.m_as("kg") == pytest.approx(expected("BAL-05"), rel=1e-3)
    shaking = shaking_forces(moving, throw, Quantity(1, "m"), Quantity(240, "rpm"), share=2 / 3)
    along, across = (part.m_as("N") for part in shaking.force(Quantity(30, "deg"), 1))
    assert abs(along) == pytest.approx(expected("BAL-06"), rel=1e-3)
    assert abs(across) == pytest.approx(expected("BAL-07"), rel=1e-3)
    assert np.hypot(along, across) == pytest.approx(expected("BAL-08"), rel=1e-3)


@pytest.mark.parametrize("row", rows("BAL", range(9, 12)))
def test_reciprocating_force(row):
    angle = float(re.search(r"t=(\d+) deg", row["inputs"])[1])
    shaking = shaking_forces(
        Quantity(0.05, "kg"), Quantity(10, "mm"), Quantity(40, "mm"), Quantity(3000, "rpm")
    )
    assert shaking.force(Quantity(angle, "deg"))[0].m_as("N") == pytest.approx(
        float(row["expected"]), rel=1e-3
    )


def test_four_cylinders_at_right_angles():
    """Textbook problem (statement seen): cranks 50 mm, rods 200 mm, 2000 rpm, 0.2 m apart, order 1-4-2-3 by 90 degrees, 2 kg each.

    By hand: forces of both orders cancel. Primary couple 0.2 sqrt(2) x 4386.5 N = 1240.7 N m;
    secondary couple 0.8 x 4386.5 / 4 = 877.3 N m, about the middle.
    """
    shaking = shaking_forces(
        Quantity(2, "kg"),
        Quantity(50, "mm"),
        Quantity(200, "mm"),
        Quantity(2000, "rpm"),
        Quantity([0.0, 180.0, 270.0, 90.0], "deg"),
        Quantity([-0.3, -0.1, 0.1, 0.3], "m"),
    )
    assert shaking.largest(1).m_as("N") == pytest.approx(0, abs=1e-6)
    assert shaking.largest(2).m_as("N") == pytest.approx(0, abs=1e-6)
    assert shaking.largest(1, "couple").m_as("N*m") == pytest.approx(1240.7, rel=1e-3)
    assert shaking.largest(2, "couple").m_as("N*m") == pytest.approx(877.3, rel=1e-3)


def test_three_cylinder_radial():
    """Textbook problem (statement seen): three cylinders at 120 degrees on one crank, stroke 120, rod 240 mm, 1 kg, 2400 rpm.

    Textbook result (from memory): primary 3/2 m e w^2 turns with the crank, secondary 3/2 m e w^2 / n at twice the speed against it.
    """
    shaking = shaking_forces(
        Quantity(1, "kg"),
        Quantity(60, "mm"),
        Quantity(240, "mm"),
        Quantity(2400, "rpm"),
        bank_angles=Quantity([0.0, 120.0, 240.0], "deg"),
    )
    each = 0.06 * (2400 * np.pi / 30) ** 2
    turned = np.linspace(0, 2 * np.pi, 9)
    for order, size, way in ((1, 1.5 * each, 1), (2, 1.5 * each / 4, -2)):
        along, across = (part.m_as("N") for part in shaking.force(Quantity(turned, "rad"), order))
        np.testing.assert_allclose(
            along + 1j * across, size * np.exp(1j * way * turned), atol=1e-6 * each
        )


def test_three_masses_in_one_plane():
    """A textbook's graphical answer: 100, 200, 150 N at 0.3, 0.15, 0.25 m and 0, 45, 120 degrees want 315 N at 0.2 m, resultant at 60.

    Read off a drawing, hence 1 % and 2 degrees; weights in N stand for masses.
    """
    products, angles = (
        Quantity([100 * 0.3, 200 * 0.15, 150 * 0.25], "kg*m"),
        Quantity([0.0, 45.0, 120.0], "deg"),
    )
    size, toward = balance.unbalance_in_planes(
        products, angles, Quantity([0.0, 0.0, 0.0], "mm"), Quantity([0.0, 1.0], "mm")
    )
    assert size[0].m_as("kg*m") / 0.2 == pytest.approx(315, rel=0.01)
    assert size[1].m_as("kg*m") == pytest.approx(0, abs=1e-9)
    assert toward[0].m_as("deg") - 180 == pytest.approx(60, abs=2)


def test_four_masses_in_four_planes():
    """From memory, a classic of the textbooks: 200, 300, 400, 200 kg at 80, 70, 60, 80 mm; 45, 70, 120 degrees between; planes at
    0, 300, 400, 700 mm; balanced at 100 and 500 mm and 100 mm radius: 355 kg at 145 and 182.5 kg at 12 degrees,
    both reckoned the other way round than the masses; read off drawings, hence 1 % and 2 degrees."""
    size, toward = balance.unbalance_in_planes(
        Quantity([200 * 80, 300 * 70, 400 * 60, 200 * 80], "kg*mm"),
        Quantity([0, 45, 115, 235], "deg"),
        Quantity([0, 300, 400, 700], "mm"),
        Quantity([100, 500], "mm"),
    )
    np.testing.assert_allclose(size.m_as("kg*mm") / 100, [355, 182.5], rtol=0.01)
    assert abs((toward.m_as("deg") + np.array([145, 12]) + 180) % 360 - 180) == pytest.approx(
        [0, 0], abs=2
    )


@pytest.mark.parametrize(
    ("speed", "stroke", "moving", "turning", "radius", "angle", "mass", "force", "rel"),
    [
        (
            250,
            180,
            120,
            70,
            0.15,
            30,
            90.0,
            3263.97,
            1e-3,
        ),  # worked in public programs to a textbook's page 310, both answers seen; pi cut to 3.141 there
        (
            240,
            300,
            50,
            37,
            0.4,
            60,
            26.38,
            2849,
            2e-3,
        ),  # problem and mass seen with a textbook's solution, force from memory of the same book
    ],
)
def test_single_cylinders_of_textbooks(
    speed, stroke, moving, turning, radius, angle, mass, force, rel
):
    """All that turns and 2/3 of what goes to and fro balanced; obliquity neglected, so order 1 is compared."""
    weights, throw = (Quantity(turning, "kg"), Quantity(moving, "kg")), Quantity(stroke / 2, "mm")
    assert balance_mass(*weights, 2 / 3, throw, Quantity(radius, "m")).m_as("kg") == pytest.approx(
        mass, rel=5e-4
    )
    found = shaking_forces(
        weights[1], throw, Quantity(10, "m"), Quantity(speed, "rpm"), share=2 / 3
    )
    along, across = found.force(Quantity(angle, "deg"), 1)
    assert np.hypot(along.m_as("N"), across.m_as("N")) == pytest.approx(force, rel=rel)


def test_permissible_unbalance_in_inches():
    """From memory, balancing trade: U [oz in] = 6.015 G W / n with W in lb."""
    found = balance.permissible_unbalance(Quantity(1, "lb"), Quantity(1000, "rpm"), 6.3)
    assert found.m_as("oz*in") == pytest.approx(6.015 * 6.3 / 1000, rel=1e-3)
