"""Pressing and shrinking against a second route."""

import numpy as np
import pytest

from crankmath.fits import press_fits
from crankmath.units import OutOfRangeWarning, Quantity


def mm(value):
    return Quantity(value, "mm")


def two_rings(joint, hub, bore, tight, shaft, hub_steel):
    """Lame's rings solved as one linear system of radial displacements A r + B / r in both; (modulus, Poisson) of each."""

    def row(radius, material):  # stress per unit A and B, plane stress
        modulus, poisson = material
        return modulus / (1 - poisson), -modulus / (1 + poisson) / radius**2

    a, c, b = bore / 2, joint / 2, hub / 2
    system = np.zeros((4, 4))
    system[0, :2] = row(a, shaft) if bore else (0, 1)  # free bore; a solid core has no B
    system[1, 2:] = row(b, hub_steel)  # free outside
    system[2, :2], system[2, 2:] = row(c, shaft), [-value for value in row(c, hub_steel)]
    system[3] = [-c, -1 / c, c, 1 / c]
    found = np.linalg.solve(system, [0, 0, 0, tight / 2])
    return -float(np.dot(row(c, shaft), found[:2]))


@pytest.mark.parametrize("bore", [0.0, 8.0])
@pytest.mark.parametrize(("hub_modulus", "hub_poisson"), [(206, 0.3), (105, 0.34)])
def test_press_fit_against_a_linear_system(bore, hub_modulus, hub_poisson):
    """Second route: the boundary conditions of both rings solved together, not the closed formula."""
    found = press_fits.press_fit(
        mm(20),
        mm(35),
        mm(24),
        mm(0.02),
        0.12,
        mm(bore),
        hub_modulus=Quantity(hub_modulus, "GPa"),
        hub_poisson=hub_poisson,
    )
    pressure = two_rings(20, 35, bore, 0.02, (206e3, 0.3), (hub_modulus * 1e3, hub_poisson))
    assert found.pressure.m_as("MPa") == pytest.approx(pressure, rel=1e-9)
    assert found.force.m_as("N") == pytest.approx(0.12 * pressure * np.pi * 20 * 24)
    assert found.torque.m_as("N*m") == pytest.approx(found.force.m_as("N") * 0.010)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"hub_diameter": mm(20)}, "hub_diameter"),
        ({"shaft_bore": mm(20)}, "shaft_bore"),
        ({"friction": 0}, "friction"),
        ({"length": 24}, "length"),
        ({"interference": mm(-1)}, "interference"),
    ],
)
def test_impossible_press_fits_are_named(change, name):
    good = {"diameter": mm(20), "hub_diameter": mm(35), "length": mm(24), "interference": mm(0.02)}
    with pytest.raises((ValueError, TypeError), match=f"^{name}"):
        press_fits.press_fit(**good | change)


def test_shrink_rise_opens_the_bore_by_just_enough():
    grow = Quantity(11.7e-6, "1/delta_degC")
    rise = press_fits.shrink_rise(mm(40), Quantity(30, "um"), grow, clearance=Quantity(20, "um"))
    assert (mm(40) * grow * rise).m_as("um") == pytest.approx(50)
    assert rise.units == Quantity(1, "delta_degC").units
    with pytest.warns(OutOfRangeWarning, match="bearing"):
        press_fits.shrink_rise(mm(20), Quantity(25, "um"), grow, bearing=True)
