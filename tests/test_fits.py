"""Limits and fits: rules that hold between classes, inch working, bad input. Table values are in published/."""

import numpy as np
import pint
import pytest
from crankmath import fits
from crankmath.units import OutOfRangeWarning, Quantity
from hypothesis import given
from hypothesis import strategies as st

SIZES = st.floats(1, 120)
SHAFTS = [f"{letter}{grade}" for letter in ("c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s") for grade in range(5, 12)]


def mm(value):
    return Quantity(value, "mm")


@given(SIZES, st.sampled_from(SHAFTS))
def test_width_is_the_grade_whatever_the_letter(size, code):
    """ISO 286: all letters of one grade are equally wide, hole and shaft alike."""
    upper, lower = fits.limits(mm(size), code)
    h_upper, h_lower = fits.limits(mm(size), "h" + code.lstrip("cdefghjskmnpr"))
    assert (upper - lower).m_as("um") == pytest.approx((h_upper - h_lower).m_as("um"))
    if code[0] not in "k" or int(code[1:]) <= 8:
        hole = fits.limits(mm(size), code.upper())
        assert (hole.upper - hole.lower).m_as("um") == pytest.approx((upper - lower).m_as("um"))


@given(SIZES, st.sampled_from([code for code in SHAFTS if code[0] in "cdefgh"]))
def test_clearance_holes_mirror_their_shafts(size, code):
    shaft, hole = fits.limits(mm(size), code), fits.limits(mm(size), code.upper())
    assert (hole.lower + shaft.upper).m_as("um") == pytest.approx(0)
    assert (hole.upper + shaft.lower).m_as("um") == pytest.approx(0)


@given(st.floats(3.01, 120), st.sampled_from("knprs"), st.integers(6, 7))
def test_hole_and_shaft_systems_give_the_same_fit(size, letter, grade):
    """The special rule of ISO 286-1: H7/p6 and P7/h6 have the same clearances."""
    coarse, fine = grade, grade - 1
    hole_basis = fits.fit(mm(size), f"H{coarse}", f"{letter}{fine}")
    shaft_basis = fits.fit(mm(size), f"{letter.upper()}{coarse}", f"h{fine}")
    assert hole_basis.loosest.m_as("um") == pytest.approx(shaft_basis.loosest.m_as("um"))
    assert hole_basis.tightest.m_as("um") == pytest.approx(shaft_basis.tightest.m_as("um"))


def test_steps_include_their_upper_end():
    assert fits.limits(mm(18), "k6") == fits.limits(mm(10.01), "k6")
    assert fits.limits(mm(18.001), "k6") != fits.limits(mm(18), "k6")
    assert fits.limits(mm(18.0), "k6").upper.m_as("um") == 12
    assert fits.limits(Quantity(30 / 25.4, "in"), "k6").upper.m_as("um") == 15  # 30 mm as a fraction of an inch stays in its step


def test_inch_working_converts_and_never_relabels():
    metric, inch = fits.limits(mm(19.05), "g6"), fits.limits(Quantity(0.75, "in"), "g6")
    assert str(inch.upper.units) == "thousandth"
    assert inch.upper.m_as("um") == pytest.approx(metric.upper.m_as("um"))
    largest, smallest = fits.largest_and_smallest(Quantity(0.75, "in"), "g6")
    assert largest.m_as("in") == pytest.approx(0.75 - 0.007 / 25.4)
    assert smallest.m_as("in") == pytest.approx(0.75 - 0.020 / 25.4)


@pytest.mark.parametrize("size", [0.9, 121, 1000])
def test_sizes_outside_the_tables_are_refused(size):
    with pytest.raises(ValueError, match="^size must be from 1 to 120 mm"):
        fits.limits(mm(size), "k6")


@pytest.mark.parametrize("code", ["", "k", "6", "k4", "k12", "z6", "kk6", "k6.5", "Js7", "j8", "J5", "K9", None, "k6/H7"])
def test_codes_that_do_not_exist_are_refused(code):
    with pytest.raises(ValueError, match="^code"):
        fits.limits(mm(20), code)


@pytest.mark.parametrize(("bad", "kind"), [(20, TypeError), (Quantity(1, "kg"), pint.DimensionalityError), (mm(0), ValueError), (mm([20, 30]), ValueError)])
def test_bad_sizes_are_named(bad, kind):
    for call in (lambda: fits.limits(bad, "k6"), lambda: fits.fit(bad, "H7", "k6"), lambda: fits.bearing_fit(bad, "k6")):
        with pytest.raises(kind, match="^size"):
            call()


def test_kinds_of_fit():
    assert [fits.fit(mm(20), "H7", shaft).kind for shaft in ("g6", "h6", "k6", "p6")] == ["clearance", "clearance", "transition", "interference"]
    assert str(fits.fit(mm(20), "H7", "k6")) == "transition fit: from 19 µm clearance to 15 µm interference"
    with pytest.raises(ValueError, match="^hole has a capital"):
        fits.fit(mm(20), "k6", "H7")


def test_bearing_on_its_shaft_is_tighter_than_a_hole_of_the_standard():
    """A ring's bore lies below nominal where an H hole lies above."""
    bearing, hole = fits.bearing_fit(mm(20), "k6"), fits.fit(mm(20), "H6", "k6")
    assert bearing.kind == "interference" and hole.kind == "transition"
    assert fits.bearing_fit(mm(42), "H7").kind == "clearance"
    low, high = fits.bearing_clearance(mm(20), Quantity(10, "um"))
    assert (low.m_as("um"), high.m_as("um")) == (5 - 8, 20 - 8)
    loose = fits.bearing_clearance(mm(20), Quantity(10, "um"), "C3")
    assert loose[0] > low and loose[1] > high
    for call in (lambda: fits.bearing_clearance(mm(20), Quantity(1, "um"), "C9"), lambda: fits.bearing_clearance(mm(500), Quantity(1, "um"))):
        with pytest.raises(ValueError, match="^(group|bore)"):
            call()


@given(st.floats(2, 100), st.sampled_from(["turning", "rocking", "crank pin", "hot or dirty"]))
def test_running_clearances_are_ordered_and_sane(diameter, duty):
    low, high = fits.running_clearance(mm(diameter), duty)
    assert 0.01 <= low.m_as("mm") <= high.m_as("mm") <= max(0.004 * diameter, 0.06)


def test_running_clearance_arrays_and_bad_duty():
    low, _ = fits.running_clearance(Quantity([0.5, 0.75], "in"))
    assert low.shape == (2,)
    with pytest.raises(ValueError, match="^duty must be one of"):
        fits.running_clearance(mm(20), "flying")


def test_bushing_closes_as_it_is_pressed():
    largest, smallest = fits.bushing_bore(Quantity(0.75, "in"), Quantity(1.5, "thousandth"))
    assert smallest.m_as("in") == pytest.approx(0.7485) and smallest < largest < Quantity(0.75, "in")


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
    found = fits.press_fit(mm(20), mm(35), mm(24), mm(0.02), 0.12, mm(bore), hub_modulus=Quantity(hub_modulus, "GPa"), hub_poisson=hub_poisson)
    pressure = two_rings(20, 35, bore, 0.02, (206e3, 0.3), (hub_modulus * 1e3, hub_poisson))
    assert found.pressure.m_as("MPa") == pytest.approx(pressure, rel=1e-9)
    assert found.force.m_as("N") == pytest.approx(0.12 * pressure * np.pi * 20 * 24)
    assert found.torque.m_as("N*m") == pytest.approx(found.force.m_as("N") * 0.010)


@pytest.mark.parametrize(("change", "name"), [({"hub_diameter": mm(20)}, "hub_diameter"), ({"shaft_bore": mm(20)}, "shaft_bore"), ({"friction": 0}, "friction"),
                                              ({"length": 24}, "length"), ({"interference": mm(-1)}, "interference")])  # fmt: skip
def test_impossible_press_fits_are_named(change, name):
    good = {"diameter": mm(20), "hub_diameter": mm(35), "length": mm(24), "interference": mm(0.02)}
    with pytest.raises((ValueError, TypeError), match=f"^{name}"):
        fits.press_fit(**good | change)


def test_shrink_rise_opens_the_bore_by_just_enough():
    grow = Quantity(11.7e-6, "1/delta_degC")
    rise = fits.shrink_rise(mm(40), Quantity(30, "um"), grow, clearance=Quantity(20, "um"))
    assert (mm(40) * grow * rise).m_as("um") == pytest.approx(50)
    assert rise.units == Quantity(1, "delta_degC").units
    with pytest.warns(OutOfRangeWarning, match="bearing"):
        fits.shrink_rise(mm(20), Quantity(25, "um"), grow, bearing=True)
