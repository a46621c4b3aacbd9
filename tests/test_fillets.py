"""Published factors: ranges, limits, continuity, bad input. Checks against print are in published/."""

import warnings

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankmath import fillets
from crankmath.crank import EXAMPLES, Crank
from crankmath.fillets import crank_rule, printed
from crankmath.tables import rows
from crankmath.units import OutOfRangeWarning, Quantity

LOADS = printed.LOADS
FITS = list(printed._fits())
STEEL = Quantity(600, "MPa")


def mm(value):
    return Quantity(value, "mm")


def fitted(load, ratio, radius, source="pilkey", shape="shoulder"):
    return fillets.stress_concentration(load, mm(ratio), mm(1.0), mm(radius), source, shape)


def silent(function, *args, **named):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        return function(*args, **named)


CALLS = {
    "stress_concentration": (
        fillets.stress_concentration,
        ("bending",),
        {"large_diameter": mm(30), "small_diameter": mm(20), "radius": mm(2)},
    ),
    "tipton": (
        fillets.stress_concentration,
        ("bending",),
        {"large_diameter": mm(30), "small_diameter": mm(20), "radius": mm(2), "source": "tipton"},
    ),
    "flat bar": (
        fillets.stress_concentration,
        ("bending",),
        {
            "large_diameter": mm(30),
            "small_diameter": mm(20),
            "radius": mm(2),
            "source": "roark",
            "shape": "flat bar",
            "shoulder_length": mm(60),
        },
    ),
    "notch_length": (fillets.notch_length, ("bending",), {"ultimate_strength": STEEL}),
    "notch_sensitivity": (
        fillets.notch_sensitivity,
        ("bending",),
        {"ultimate_strength": STEEL, "radius": mm(2)},
    ),
    "fatigue_factor": (
        fillets.fatigue_factor,
        (1.8, "bending"),
        {"ultimate_strength": STEEL, "radius": mm(2)},
    ),
    "crank_rule_factors": (
        fillets.crank_rule_factors,
        (),
        {
            "pin_diameter": mm(50),
            "journal_diameter": mm(60),
            "throw": mm(50),
            "web_thickness": mm(20),
            "web_width": mm(75),
            "pin_fillet": mm(3),
            "journal_fillet": mm(3),
        },
    ),
    "largest_shaft_fillet": (fillets.largest_shaft_fillet, (), {"least_corner": mm(1)}),
}
EACH = [
    pytest.param(function, first, named, name, id=f"{label}-{name}")
    for label, (function, first, named) in CALLS.items()
    for name in named
    if isinstance(named[name], Quantity)
]


@pytest.mark.parametrize(("function", "first", "named", "name"), EACH)
@pytest.mark.parametrize(
    ("bad", "kind"),
    [(20, TypeError), ("20", TypeError), (Quantity(1, "candela"), pint.DimensionalityError)],
)
def test_units_are_asked_for(function, first, named, name, bad, kind):
    with pytest.raises(kind, match=f"^{name}"):
        function(*first, **named | {name: bad})


@pytest.mark.parametrize(("function", "first", "named", "name"), EACH)
@pytest.mark.parametrize("factor", [0, -1, np.nan, np.inf])
def test_impossible_sizes_name_the_argument(function, first, named, name, factor):
    with pytest.raises(ValueError, match=f"^{name}"), warnings.catch_warnings():
        warnings.simplefilter("error", RuntimeWarning)
        function(*first, **named | {name: Quantity(factor, named[name].units)})


@pytest.mark.parametrize("source", ["pilkey", "roark", "tipton"])
@pytest.mark.parametrize("sizes", [(20, 30), (20, 20)])
def test_swapped_diameters(source, sizes):
    with pytest.raises(ValueError, match="are the two swapped"):
        fillets.stress_concentration("bending", mm(sizes[0]), mm(sizes[1]), mm(2), source)


@pytest.mark.parametrize(
    ("load", "source", "shape"),
    [
        ("shear", "pilkey", "shoulder"),
        ("bending", "nobody", "shoulder"),
        ("bending", "pilkey", "keyway"),
        ("torsion", "roark", "flat bar"),
        ("bending", "tipton", "groove"),
        ("shear", "tipton", "shoulder"),
        ("tension", "roark", "groove"),
    ],
)
def test_a_fit_that_is_not_there_lists_those_that_are(load, source, shape):
    with pytest.raises(ValueError, match="shoulder"):
        fillets.stress_concentration(load, mm(30), mm(20), mm(2), source, shape)


@pytest.mark.parametrize("fit", FITS)
def test_range_is_guarded_at_both_ends(fit):
    shape, source, load = fit
    least, most = fillets.fit_range(load, source, shape)
    step = 0.25
    for slenderness, inside in (
        (least, True),
        (most, True),
        (least * 0.999, False),
        (most * 1.001, False),
    ):
        if inside:
            assert silent(fitted, load, 1 + 2 * step, step / slenderness, source, shape) >= 0.98
        else:
            with pytest.warns(OutOfRangeWarning, match=f"holds from {least:g} to {most:g}"):
                fitted(load, 1 + 2 * step, step / slenderness, source, shape)


@pytest.mark.parametrize("load", LOADS)
def test_tipton_range(load):
    silent(fitted, load, 6.0, 0.3, "tipton")
    silent(fitted, load, 1.01, 0.002, "tipton")
    for ratio, radius, words in (
        (6.01, 0.1, "D/d"),
        (1.009, 0.1, "D/d"),
        (2, 0.301, "r/d"),
        (2, 0.00199, "r/d"),
    ):
        with pytest.warns(OutOfRangeWarning, match=words):
            fitted(load, ratio, radius, "tipton")


def test_torsion_at_three_to_one_is_warned():
    with pytest.warns(OutOfRangeWarning, match="step over radius.*33.3.*from 0.25 to 4"):
        fitted("torsion", 3.0, 0.03)


def test_one_value_out_of_many_is_enough_to_warn():
    with pytest.warns(OutOfRangeWarning):
        fitted("torsion", 1.5, np.array([0.1, 0.2, 0.02]))


@pytest.mark.parametrize("fit", [fit for fit in FITS if len(printed._fits()[fit]) == 2])
@pytest.mark.parametrize("ratio", [1.1, 1.5, 3.0])
def test_the_two_halves_of_a_fit_meet(fit, ratio):
    """At t/r = 2 one set of coefficients follows the other: within 2 %, the grooves' within 5 %."""
    shape, source, load = fit
    radius = (ratio - 1) / 4
    below, above = (
        silent(fitted, load, ratio, radius * factor, source, shape)
        for factor in (1 + 1e-9, 1 - 1e-9)
    )
    assert below == pytest.approx(above, rel=0.05 if shape == "groove" else 0.02)


@pytest.mark.parametrize("fit", [*FITS, *(("shoulder", "tipton", load) for load in LOADS)])
@pytest.mark.parametrize("ratio", [1.1, 1.5, 2.0])
@pytest.mark.parametrize("half", [(0.3, 1.99), (2.01, 4.0)])
def test_a_smaller_radius_has_more_stress(fit, ratio, half):
    shape, source, load = fit
    radii = (ratio - 1) / 2 / np.linspace(*half, 40)
    if source == "tipton":
        radii = radii[radii < 0.3]
    assert (np.diff(silent(fitted, load, ratio, radii, source, shape)) > 0).all()


@given(st.sampled_from(FITS), st.floats(1.05, 4), st.floats(0.1, 0.9), st.floats(0.1, 1000))
def test_size_and_unit_do_not_matter(fit, ratio, share, size):
    shape, source, load = fit
    least, most = fillets.fit_range(load, source, shape)
    radius = (ratio - 1) / 2 / (least + share * (most - least))
    one = fitted(load, ratio, radius, source, shape)
    other = fillets.stress_concentration(
        load, mm(size * ratio), Quantity(size / 25.4, "in"), mm(size * radius), source, shape
    )
    assert other == pytest.approx(one, rel=1e-9)


@pytest.mark.parametrize("source", ["pilkey", "roark", "tipton"])
def test_scalars_give_scalars_and_arrays_broadcast(source):
    radii, ratios = np.array([0.05, 0.1, 0.2]), np.array([[1.5], [1.8]])
    table = fitted("bending", ratios, radii, source)
    assert table.shape == (2, 3)
    assert isinstance(fitted("bending", 1.5, 0.1, source), float)
    assert table[1, 2] == pytest.approx(fitted("bending", 1.8, 0.2, source), rel=1e-12)


@pytest.mark.parametrize("load", LOADS)
def test_the_three_sources_agree_where_they_should(load):
    """Pilkey and Roark fit one chart: 3 % (as the reference notes them); Tipton's finite elements stand above it in tension."""
    pilkey, roark, tipton = (
        silent(fitted, load, 1.5, 0.1, source) for source in ("pilkey", "roark", "tipton")
    )
    assert pilkey == pytest.approx(roark, rel=0.03)
    assert tipton / pilkey == pytest.approx(
        {"tension": 1.13, "bending": 1.04, "torsion": 0.98}[load], abs=0.03
    )


def test_a_short_shoulder_of_a_flat_bar_is_said():
    sizes = mm(30), mm(20), mm(2)
    plain = silent(fillets.stress_concentration, "bending", *sizes, "roark", "flat bar")
    # 0.8 * 30 / (2/20)^(1/4) = 42.7 mm by hand
    assert (
        silent(fillets.stress_concentration, "bending", *sizes, "roark", "flat bar", mm(43))
        == plain
    )
    with pytest.warns(OutOfRangeWarning, match="42.7 mm"):
        fillets.stress_concentration("bending", *sizes, "roark", "flat bar", mm(42))


@pytest.mark.parametrize("source", ["pilkey", "roark", "tipton"])
def test_a_shoulder_length_of_a_round_shaft_is_refused(source):
    with pytest.raises(ValueError, match="belongs to a flat bar, not to a shoulder"):
        fillets.stress_concentration(
            "bending", mm(30), mm(20), mm(2), source, shoulder_length=mm(42)
        )


@pytest.mark.parametrize(
    ("source", "load", "ratio", "radius", "said"),
    [
        ("pilkey", "torsion", 1.02, 1.0, "pilkey torsion says Kt 0.9"),
        ("tipton", "torsion", 1.5, 3.0, "tipton torsion says Kt 0.9"),
        ("roark", "torsion", 1.256, 10.0, "roark torsion says Kt 0.9"),
    ],
)
@pytest.mark.filterwarnings("ignore:.*trust the solved field")
def test_a_blunt_radius_has_no_less_than_one_and_says_so(source, load, ratio, radius, said):
    with pytest.warns(OutOfRangeWarning, match=said):
        assert fitted(load, ratio, radius, source) == 1
    with pytest.warns(OutOfRangeWarning, match="1 is returned there"):
        several = fitted(load, ratio, np.array([radius, 0.2]), source)
    assert several[0] == 1 and several[1] > 1, "one value below leaves the others as they are"


@pytest.mark.parametrize(
    ("load", "shape"), [("tension", "shoulder"), ("torsion", "shoulder"), ("bending", "flat bar")]
)
@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
def test_a_sharp_radius_below_one_is_refused(load, shape):
    """Far outside the fit's range: a Kt of 1 would be believed where the corner is sharpest."""
    source = "roark" if shape == "flat bar" else "pilkey"
    ratio = 1.9 if shape == "flat bar" else 100.0
    with pytest.raises(
        ValueError, match="^radius is too small for the fit.*no notch has less than 1"
    ):
        fitted(load, ratio, 0.0005, source, shape)
    least = (ratio - 1) / (2 * fillets.fit_range(load, source, shape)[1])
    assert fitted(load, ratio, least * 1.0001, source, shape) >= 1, (
        "the radius named in the message is taken"
    )


@pytest.mark.parametrize("load", LOADS)
@pytest.mark.parametrize("source", ["neuber", "neuber inch", "peterson"])
def test_sensitivity_rises_with_strength_and_radius(load, source):
    strengths, radii = Quantity(np.linspace(360, 1600, 30), "MPa"), mm(np.geomspace(0.05, 50, 30))
    along_strength = fillets.notch_sensitivity(load, strengths, mm(1), source)
    along_radius = fillets.notch_sensitivity(load, STEEL, radii, source)
    for values in (along_strength, along_radius):
        assert (np.diff(values) > 0).all() and values.min() > 0 and values.max() < 1
    factor = fillets.fatigue_factor(2.2, load, STEEL, radii, source)
    assert (factor > 1).all() and (factor < 2.2).all()


@pytest.mark.parametrize("load", ["bending", "torsion"])
def test_the_two_forms_of_neuber_agree(load):
    strength = Quantity(
        np.linspace(350, 1000, 40), "MPa"
    )  # above, both are small differences of large terms
    metric, inch = (
        np.sqrt(fillets.notch_length(load, strength, source).m_as("mm"))
        for source in ("neuber", "neuber inch")
    )
    np.testing.assert_allclose(metric, inch, rtol=0.025)


def test_peterson_at_its_own_point():
    """2070 MPa is 300 ksi, where the length is one thousandth of an inch; beyond the strength of the fit's steels."""
    with pytest.warns(OutOfRangeWarning, match="ultimate_strength"):
        length = fillets.notch_length("bending", Quantity(2070, "MPa"), "peterson")
    assert length.m_as("thousandth") == pytest.approx(1)
    bending, torsion = (
        fillets.notch_length(load, STEEL, "peterson").m_as("mm") for load in ("bending", "torsion")
    )
    assert torsion / bending == pytest.approx(0.6)


@pytest.mark.parametrize("strength", [300, 1740])
@pytest.mark.parametrize("source", ["neuber", "neuber inch", "peterson"])
def test_strength_outside_the_fit_is_warned(strength, source):
    with pytest.warns(OutOfRangeWarning, match="ultimate_strength"):
        fillets.notch_sensitivity("bending", Quantity(strength, "MPa"), mm(1), source)


@pytest.mark.parametrize(
    ("source", "least", "most"),
    [
        ("neuber", "340 MPa", "1700 MPa"),
        ("neuber inch", "50 kpsi", "250 kpsi"),
        ("peterson", "340 MPa", "1700 MPa"),
    ],
)
def test_strength_at_the_ends_of_the_printed_range_is_inside_it(source, least, most):
    for end, beyond in ((Quantity(least), 0.999), (Quantity(most), 1.001)):
        silent(fillets.notch_length, "bending", end, source)
        with pytest.warns(OutOfRangeWarning, match="ultimate_strength"):
            fillets.notch_length("bending", beyond * end, source)


@pytest.mark.parametrize(
    ("load", "source", "last", "first"),
    [
        ("bending", "neuber", "1749 MPa", "1751 MPa"),
        ("torsion", "neuber", "1617 MPa", "1618 MPa"),
        ("bending", "neuber inch", "254 kpsi", "255 kpsi"),
        ("torsion", "neuber inch", "233 kpsi", "234 kpsi"),
    ],
)
@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
def test_neuber_is_refused_where_his_cubic_turns_negative(load, source, last, first):
    """In torsion that is inside the range printed with it; roots by hand from the printed coefficients."""
    assert fillets.notch_sensitivity(load, Quantity(last), mm(1), source) < 1
    with pytest.raises(ValueError, match="ultimate_strength.*turns negative"):
        fillets.notch_sensitivity(load, Quantity(first), mm(1), source)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: fillets.notch_length("shear", STEEL), "load must be one of"),
        (lambda: fillets.notch_length("bending", STEEL, "someone"), "source must be"),
        (lambda: fillets.fatigue_factor(0.9, sensitivity=1), "kt must be at least 1"),
        (lambda: fillets.fatigue_factor(2, sensitivity=1.1), "sensitivity must be at most 1"),
        (lambda: fillets.fatigue_factor(2, sensitivity=-0.1), "sensitivity must be at least 0"),
        (lambda: fillets.fatigue_factor(2, "bending", STEEL), "sensitivity is missing"),
        (lambda: fillets.largest_shaft_fillet(mm(1.7)), "not a standard bearing corner"),
        (
            lambda: fillets.crank_rule_factors(*[mm(10)] * 7, torsion_cubic="both"),
            "torsion_cubic must be",
        ),
        (
            lambda: fillets.crank_rule_factors(mm([50, 60]), *[mm(10)] * 6),
            "pin_diameter takes one value",
        ),
    ],
)
def test_other_bad_input_gets_a_sentence(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_fatigue_factor_between_its_ends():
    assert fillets.fatigue_factor(2.5, sensitivity=0) == 1
    assert fillets.fatigue_factor(2.5, sensitivity=1) == 2.5
    np.testing.assert_allclose(
        fillets.fatigue_factor(np.array([1.0, 2.0]), sensitivity=0.5), [1, 1.5]
    )


# ---- crank rule

WEB = CALLS["crank_rule_factors"][2]


def test_a_web_inside_the_rule_is_silent():
    found = silent(fillets.crank_rule_factors, **WEB)
    assert found.out_of_range == () and found.journal_shear > 0
    assert found.overlap == pytest.approx(0.1)  # (25 + 30 - 50) / 50
    assert str(found).endswith(".") and "Outside" not in str(found)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"throw": mm(20)}, "overlap s"),
        ({"web_thickness": mm(9)}, "web thickness w"),
        ({"web_thickness": mm(41)}, "web thickness w"),
        ({"web_width": mm(54)}, "web width b"),
        ({"web_width": mm(111)}, "web width b"),
        ({"pin_fillet": mm(1.4)}, "pin fillet r"),
        ({"pin_fillet": mm(6.6)}, "pin fillet r"),
        ({"journal_fillet": mm(1.4)}, "journal fillet r"),
        ({"journal_fillet": mm(6.6)}, "journal fillet r"),
        ({"pin_bore": mm(41)}, "pin bore"),
        ({"journal_bore": mm(41)}, "journal bore"),
        ({"pin_recess": mm(11)}, "pin recess"),
        ({"journal_recess": mm(11)}, "journal recess"),
        ({"throw": mm(82)}, "as at -0.5"),
    ],
)
def test_each_range_is_flagged_by_name(change, words):
    with pytest.warns(OutOfRangeWarning, match=words):
        found = fillets.crank_rule_factors(**WEB | change)
    assert len(found.out_of_range) == 1 and words in found.out_of_range[0] and words in str(found)


def test_recesses_sharpen_bending_by_the_rule():
    """fREC = 1 + (t1 + t2)(1.8 + 3.2 s), here at an overlap s of 0.1 and recesses of 2 and 1 mm under
    a pin of 50: 1 + 0.06 x 2.12. A negative sum counts as none.
    """
    plain = silent(fillets.crank_rule_factors, **WEB)
    sunk = silent(
        fillets.crank_rule_factors, **WEB | {"pin_recess": mm(2), "journal_recess": mm(1)}
    )
    for name in ("pin_bending", "journal_bending"):
        rise = getattr(sunk, name) / getattr(plain, name)
        assert rise == pytest.approx(1 + (0.04 + 0.02) * (1.8 + 0.32)), name
    assert sunk.pin_torsion == plain.pin_torsion


@pytest.mark.parametrize(
    ("throw", "refused"), [(85.0, False), (85.05, False), (85.1, True), (120.0, True)]
)
def test_radial_force_factor_is_refused_where_its_formula_turns_negative(throw, refused):
    """s = (55 - throw) / 50 = -0.601 at a throw of 85.05 mm."""
    with pytest.warns(OutOfRangeWarning):
        found = fillets.crank_rule_factors(**WEB | {"throw": mm(throw)})
    assert (found.journal_shear is None) == refused
    assert (
        refused
        == ("no meaning here" in str(found))
        == any("refused" in words for words in found.out_of_range)
    )
    if not refused:
        assert 0 <= found.journal_shear < 0.05


def test_the_sign_changes_where_the_constant_says():
    """The root of the printed quadratic, by the usual formula."""
    below = (2.1630 + np.sqrt(2.1630**2 + 4 * 1.5212 * 0.4368)) / (2 * 1.5212)
    assert pytest.approx(1 - below, abs=5e-4) == crank_rule.SHEAR_ZERO
    assert 1 - below < crank_rule.SHEAR_ZERO, "refused a hair before the root, never after"


@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
def test_below_minus_a_half_bending_and_torsion_stand_still():
    one, other = (fillets.crank_rule_factors(**WEB | {"throw": mm(throw)}) for throw in (80, 95))
    for name in ("pin_bending", "pin_torsion", "journal_bending", "journal_torsion"):
        assert getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-12)


def test_the_unresolved_coefficient_moves_torsion_by_one_to_four_percent():
    printed, remembered = (
        fillets.crank_rule_factors(**WEB, torsion_cubic=choice)
        for choice in ("printed", "remembered")
    )
    assert 0.01 < printed.pin_torsion / remembered.pin_torsion - 1 < 0.04
    assert (
        printed.pin_bending == remembered.pin_bending
        and printed.journal_shear == remembered.journal_shear
    )


def test_journal_torsion_refers_to_its_own_diameter():
    """Equal pin and journal: one factor; else the journal's own radius over its own diameter (60 mm, not 50)."""
    equal = fillets.crank_rule_factors(**WEB | {"journal_diameter": mm(50), "throw": mm(45)})
    assert equal.journal_torsion == equal.pin_torsion
    unequal = fillets.crank_rule_factors(**WEB)
    exponent = -0.322 + 0.1015 * (1 - unequal.overlap)
    assert unequal.journal_torsion / unequal.pin_torsion == pytest.approx(
        (50 / 60) ** exponent, rel=1e-12
    )


@pytest.mark.parametrize(
    "name", ["pin_bending", "pin_torsion", "journal_bending", "journal_torsion", "journal_shear"]
)
def test_a_larger_fillet_lowers_every_factor(name):
    small, large = (
        fillets.crank_rule_factors(**WEB | {"pin_fillet": mm(r), "journal_fillet": mm(r)})
        for r in (2, 5)
    )
    assert getattr(large, name) < getattr(small, name)


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
def test_the_example_cranks(name):
    crank = Crank.load(name)
    throw, journal = crank.throws[0], crank.journals[0]
    found = fillets.crank_rule_factors(
        throw.pin_diameter,
        journal.diameter,
        throw.radius,
        throw.web_thickness,
        throw.web_width,
        throw.fillet,
        journal.fillet,
    )
    assert 1 < found.pin_torsion < 4 and found.pin_bending > 1
    expected = ((throw.pin_diameter + journal.diameter) / 2 - throw.radius) / throw.pin_diameter
    assert found.overlap == pytest.approx(expected.m_as("dimensionless"))


# ---- bearing corners


def test_no_fillet_is_larger_than_the_smallest_corner():
    """What rs min means, by its definition: so a remembered row can be too careful, not unsafe."""
    for row in rows("bearing_corners"):
        assert 0 < float(row["largest_fillet_mm"]) <= float(row["least_corner_mm"])


def test_corners_in_inches():
    assert fillets.largest_shaft_fillet(Quantity(1 / 25.4, "in")).m_as("mm") == 1
