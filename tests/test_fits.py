"""Limits and fits: rules that hold between classes, inch working, bad input. Table values are in published/."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankmath import fits
from crankmath.units import Quantity

SIZES = st.floats(1, 120)
SHAFTS = [
    f"{letter}{grade}"
    for letter in ("c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s")
    for grade in range(5, 12)
]


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
    assert (
        fits.limits(Quantity(30 / 25.4, "in"), "k6").upper.m_as("um") == 15
    )  # 30 mm as a fraction of an inch stays in its step


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


@pytest.mark.parametrize(
    "code", ["", "k", "6", "k4", "k12", "z6", "kk6", "k6.5", "Js7", "j8", "J5", "K9", None, "k6/H7"]
)
def test_codes_that_do_not_exist_are_refused(code):
    with pytest.raises(ValueError, match="^code"):
        fits.limits(mm(20), code)


@pytest.mark.parametrize(
    ("bad", "kind"),
    [
        (20, TypeError),
        (Quantity(1, "kg"), pint.DimensionalityError),
        (mm(0), ValueError),
        (mm([20, 30]), ValueError),
    ],
)
def test_bad_sizes_are_named(bad, kind):
    for call in (lambda: fits.limits(bad, "k6"), lambda: fits.fit(bad, "H7", "k6")):
        with pytest.raises(kind, match="^size"):
            call()


def test_kinds_of_fit():
    assert [fits.fit(mm(20), "H7", shaft).kind for shaft in ("g6", "h6", "k6", "p6")] == [
        "clearance",
        "clearance",
        "transition",
        "interference",
    ]
    assert (
        str(fits.fit(mm(20), "H7", "k6"))
        == "transition fit: from 19 µm clearance to 15 µm interference"
    )
    with pytest.raises(ValueError, match="^hole has a capital"):
        fits.fit(mm(20), "k6", "H7")


@given(SIZES, st.sampled_from(["k6", "g6", "p6"]), st.floats(-40, 120), st.floats(-40, 120))
def test_warmth_moves_hole_and_shaft_each_by_its_own_growth(size, code, hole_rise, shaft_rise):
    """By hand: a bore of 50 mm in bronze (18e-6) and a steel shaft (11.5e-6), any rises."""
    cold = fits.fit(mm(size), "H7", code)
    warm = fits.warmed(
        cold,
        mm(size),
        Quantity(18e-6, "1/delta_degC"),
        Quantity(hole_rise, "delta_degC"),
        Quantity(11.5e-6, "1/delta_degC"),
        Quantity(shaft_rise, "delta_degC"),
    )
    opened = size * 1000 * (18e-6 * hole_rise - 11.5e-6 * shaft_rise)
    assert (warm.loosest - cold.loosest).m_as("um") == pytest.approx(opened, abs=1e-9)
    assert (warm.tightest - cold.tightest).m_as("um") == pytest.approx(opened, abs=1e-9)
    assert warm.hole.upper.m_as("um") - cold.hole.upper.m_as("um") == pytest.approx(
        size * 1000 * 18e-6 * hole_rise, abs=1e-9
    )


def test_warmth_in_inches_and_fahrenheit():
    """0.75 in, hub 90 degF warmer (50 K): 0.75 x 12.5e-6 x 50 = 0.46875 thou wider."""
    cold = fits.fit(Quantity(0.75, "in"), "H7", "k6")
    grow = Quantity(12.5e-6, "1/delta_degC")
    warm = fits.warmed(
        cold,
        Quantity(0.75, "in"),
        grow,
        Quantity(90, "delta_degF"),
        grow,
        Quantity(0, "delta_degF"),
    )
    assert str(warm.loosest.units) == "thousandth"
    assert (warm.loosest - cold.loosest).m_as("thousandth") == pytest.approx(0.46875)
    with pytest.raises(pint.DimensionalityError, match="^hole_rise"):
        fits.warmed(cold, mm(20), grow, mm(1), grow, Quantity(0, "delta_degC"))


@pytest.mark.parametrize(
    ("size", "upper", "lower"),
    [
        *((5, 0, -5), (8, 1, -5), (14, 2, -6), (24, 1, -8), (35, 2, -9)),
        *((45, 2, -9), (60, 3, -10), (70, 3, -10), (90, 2, -13), (110, 2, -13)),
    ],
)
def test_holes_of_grade_5(size, upper, lower):
    """K5 of ISO 286-2, from memory: their limits need IT4, which no other class asks for."""
    found = [one.m_as("um") for one in fits.limits(mm(size), "K5")]
    assert found == pytest.approx([upper, lower])


@pytest.mark.parametrize(("code", "low", "high"), [("k7", 2, 23), ("k8", 0, 33)])
def test_k_leaves_the_line_only_up_to_grade_7(code, low, high):
    """ISO 286-2 at 25 mm, from memory: k7 +23 to +2 um, k8 +33 to 0."""
    found = fits.limits(Quantity(25, "mm"), code)
    assert [found.lower.m_as("um"), found.upper.m_as("um")] == pytest.approx([low, high], abs=1e-6)
