"""Bending of blades and form tools against integration and closed forms; bad input."""

import numpy as np
import pytest
from scipy.integrate import quad

from crankmath.cutting import blade
from crankmath.cutting.blade import ToolSection
from crankmath.units import Quantity

MM = Quantity(1.0, "mm")
BLADE = ToolSection(30 * MM, 3 * MM, 12 * MM)
YOUNG, RIGID = 210e3, 210e3 / 2.58


def test_slender_blade_is_the_cantilever_of_the_books():
    """F L^3/(3 E I) both ways, 6 F L/(t h^2), F L^2/(2 E I) times half the height: shear below one percent at this length."""
    long = ToolSection(200 * MM, 4 * MM, 6 * MM)
    found = blade.tool_bending(long, Quantity(10, "N"))
    inertia = 4 * 6**3 / 12
    assert found.down.m_as("mm") == pytest.approx(10 * 200**3 / (3 * YOUNG * inertia), rel=0.01)
    assert found.stress.m_as("MPa") == pytest.approx(6 * 10 * 200 / (4 * 36))
    assert found.dig_in.m_as("mm") == pytest.approx(10 * 200**2 / (2 * YOUNG * inertia) * 3)
    assert (
        found.stiffness_down.m_as("N/mm") == pytest.approx(10 / found.down.m_as("mm"))
        and found.aside.magnitude == 0
    )


def test_form_tool_against_integration():
    """Castigliano's integrals of moment, shear and torque along three pieces, by quadrature."""
    pieces = [(6.0, 14.0, 8.0), (12.0, 6.0, 10.0), (15.0, 10.0, 12.0)]
    force, side, arm = 500.0, 120.0, 5.0
    found = blade.tool_bending(
        [ToolSection(*(value * MM for value in piece)) for piece in pieces],
        Quantity(force, "N"),
        Quantity(side, "N"),
        arm * MM,
    )
    ends = np.cumsum([0.0] + [piece[0] for piece in pieces])

    def size(x):
        return pieces[min(int(np.searchsorted(ends[1:], x)), 2)][1:]

    def total(integrand):
        return sum(quad(integrand, a, b)[0] for a, b in zip(ends[:-1], ends[1:], strict=True))

    down = total(
        lambda x: (
            force * x**2 * 12 / (YOUNG * size(x)[0] * size(x)[1] ** 3)
            + force * 1.2 / (RIGID * np.prod(size(x)))
        )
    )
    aside = total(
        lambda x: (
            side * x**2 * 12 / (YOUNG * size(x)[1] * size(x)[0] ** 3)
            + side * 1.2 / (RIGID * np.prod(size(x)))
        )
    )
    twist = (force * arm + side * 4.0) * total(lambda x: 1 / (RIGID * torsion_series(*size(x))))
    assert found.down.m_as("mm") == pytest.approx(down + twist * arm, rel=2e-3)
    assert found.aside.m_as("mm") == pytest.approx(aside + twist * 4.0, rel=2e-3)
    assert found.twist.m_as("rad") == pytest.approx(twist, rel=5e-3)


def torsion_series(thickness, height):
    """Saint-Venant's series for a rectangle, as in books of elasticity."""
    long, short = max(thickness, height), min(thickness, height)
    odd = np.arange(1, 40, 2)
    return (
        long
        * short**3
        * (
            1 / 3
            - 64
            * short
            / (np.pi**5 * long)
            * np.sum(np.tanh(odd * np.pi * long / (2 * short)) / odd**5)
        )
    )


@pytest.mark.parametrize(("thickness", "height"), [(3, 12), (12, 3), (6, 6), (10, 12)])
def test_torsion_constant_against_the_series(thickness, height):
    assert blade._torsion_constant(thickness, height) == pytest.approx(
        torsion_series(thickness, height), rel=5e-3
    )


def test_pieces_joined_are_one_blade():
    halves = [ToolSection(length * MM, 3 * MM, 12 * MM) for length in (10, 20)]
    one, two = (
        blade.tool_bending(tool, Quantity(400, "N"), Quantity(90, "N"), MM)
        for tool in (BLADE, halves)
    )
    for name in ("down", "aside", "dig_in", "twist", "stress", "stiffness_aside"):
        assert getattr(one, name).magnitude == pytest.approx(getattr(two, name).magnitude)


def test_blade_by_hand():
    # 100 N at 30 mm on 3 x 16: I = 1024, 4/(E t h^3) form: 100 x 27000 / (3 x 210000 x 1024) = 4.185 um;
    # shear 100 x 30 x 2.58 / (5/6 x 48 x 210000) = 0.921 um
    found = blade.tool_bending(
        ToolSection(30 * MM, 3 * MM, 16 * MM), Quantity(100.0, "N")
    ).down.m_as("um")
    assert found == pytest.approx(4.185 + 0.921, abs=0.001)


def test_tool_in_series():
    shape = ToolSection(30 * MM, 3 * MM, 16 * MM)
    shank = blade.tool_stiffness(shape).m_as("N/um")
    assert shank == pytest.approx(100 / (4.185 + 0.921), rel=1e-3)
    whole = blade.tool_stiffness(
        shape, post=Quantity(20.0, "N/um"), post_tilt=Quantity(1e7, "N*mm/rad")
    )
    assert 1 / whole.m_as("N/um") == pytest.approx(1 / shank + 1 / 20 + 1e3 * 30**2 / 1e7)
    assert blade.tool_stiffness(
        [ToolSection(10 * MM, 3 * MM, 16 * MM), ToolSection(20 * MM, 3 * MM, 16 * MM)]
    ).m_as("N/um") == pytest.approx(shank)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: blade.tool_bending((), Quantity(1, "N")), "^sections is empty"),
        (
            lambda: blade.tool_bending(ToolSection(MM, 0 * MM, MM), Quantity(1, "N")),
            r"^sections\[0\].thickness",
        ),
        (lambda: blade.tool_stiffness(BLADE, post=Quantity(-1, "N/um")), "^post"),
    ],
)
def test_what_cannot_be_is_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()
