"""A value exactly at the end of a range is in it, one a thousandth beyond is not."""

import warnings

import numpy as np
import pytest

from crankmath import cutting, deflection, typed
from crankmath.balance import counterweights, shaking
from crankmath.blank import bar, center_holes, locked_in_stress
from crankmath.chatter import limits
from crankmath.chatter.modes import Mode
from crankmath.crank import Crank
from crankmath.cutting import passes, rough_out, tool_form
from crankmath.fillets import crank_rule, notches, printed, risers
from crankmath.fits import bearing_seats, iso_286, press_fits
from crankmath.forces import drive, kienzle, power
from crankmath.lathe import load_lathe
from crankmath.service import bearings
from crankmath.stress_field import field, kt_table
from crankmath.units import Quantity

PUMP = Crank.load("pump")
BARS = {shape: bar.smallest_bar(PUMP, shape, Quantity(1.0, "mm")) for shape in ("round", "flat")}
BARE = bar.smallest_bar(
    PUMP, "round", Quantity(0, "mm"), straightness=Quantity(0, "mm/m")
).width.m_as("mm")


def mm(value):
    return Quantity(value, "mm")


def stepped(large, radius):
    return kt_table.solved_concentration("bending", mm(10 * large), mm(10.0), mm(10 * radius))


def rule(overlap=0.2, thick=0.4, wide=1.5, fillet=0.06):
    return crank_rule.factors_of_ratios(overlap, thick, wide, fillet, fillet, fillet)


def held(overlap=0.2, thick=0.4, wide=1.5, fillet=0.06):
    """What the rule held, for a pin and mains of 100 mm."""
    found = crank_rule.held_factors(
        "pin", 100.0, 100.0, 100 * (1 - overlap), 100 * thick, 100 * wide, 100 * fillet
    ).held
    if found:
        raise ValueError(found)


BOUNDS = {
    "feed of the power table, least": (lambda v: power.feed_factor(mm(v)), 0.02, -1),
    "feed of the power table, most": (lambda v: power.feed_factor(mm(v)), 1.0, 1),
    "load of a rolling bearing": (
        lambda v: bearings.rating_life(Quantity(1000.0, "N"), Quantity(1000 * v, "N"), Quantity(1000.0, "rpm")),
        0.5, 1),
    "thin chip": (lambda v: kienzle.thin_chip_force("C45", mm(v)), 0.1, 1),
    "hole over diameter": (lambda v: risers.cross_hole("bending", mm(10.0), mm(10 * v)), 0.3, 1),
    "bore over diameter": (
        lambda v: risers.cross_hole("bending", mm(10.0), mm(1.0), mm(10 * v)), 0.8, 1),
    "soft hub": (lambda v: risers.hub_edge("bending", Quantity(v, "MPa")), 400.0, -1),
    "hard hub": (lambda v: risers.hub_edge("bending", Quantity(v, "MPa")), 1200.0, 1),
    "corner of a keyseat": (lambda v: risers.keyseat("bending", mm(100.0), mm(v)), 2.0, -1),
    "large shaft": (lambda v: stepped(v, 0.1), 6.0, 1),
    "hardly a step": (lambda v: stepped(1 + v, 0.1), 0.02, -1),
    "sharp fillet": (lambda v: stepped(2.0, v), 0.01, -1),
    "round fillet": (lambda v: stepped(2.0, v), 1.0, 1),
    "range of a solved field, least": (lambda v: field._check_ratio("a", "b", v, (1.5, 6)), 1.5, -1),
    "range of a solved field, most": (lambda v: field._check_ratio("a", "b", v, (1.5, 6)), 6.0, 1),
    "overlap": (lambda v: rule(overlap=v), 0.5, 1),
    "thin web": (lambda v: rule(thick=v), 0.2, -1),
    "thick web": (lambda v: rule(thick=v), 0.8, 1),
    "narrow web": (lambda v: rule(wide=v), 1.1, -1),
    "wide web": (lambda v: rule(wide=v), 2.2, 1),
    "small fillet": (lambda v: rule(fillet=v), 0.03, -1),
    "large fillet": (lambda v: rule(fillet=v), 0.13, 1),
    "overlap held below": (lambda v: held(overlap=v), -0.5, -1),
    "overlap held": (lambda v: held(overlap=v), 0.5, 1),
    "thin web held": (lambda v: held(thick=v), 0.2, -1),
    "thick web held": (lambda v: held(thick=v), 0.8, 1),
    "narrow web held": (lambda v: held(wide=v), 1.1, -1),
    "wide web held": (lambda v: held(wide=v), 2.2, 1),
    "small fillet held": (lambda v: held(fillet=v), 0.03, -1),
    "large fillet held": (lambda v: held(fillet=v), 0.13, 1),
    "least size of ISO 286": (lambda v: iso_286.limits(mm(v), "h7"), 1.0, -1),
    "most size of ISO 286": (lambda v: iso_286.limits(mm(v), "h7"), 120.0, 1),
    "place on the crank": (lambda v: deflection._place(PUMP, mm(v)), 140.0, 1),
    "stock of the finishing passes": (
        lambda v: passes.pass_plan(mm(10.5), mm(10.0), mm(1.0), mm(v)), 0.25, 1),
    "height of a pass": (lambda v: passes.corner_stops(mm(v), mm(1.5), mm(0.25)), 0.25, -1),
    "bar for the crank": (lambda v: rough_out.bar_section(PUMP, mm(v)), BARE, -1),
    "place in a round bar": (
        lambda v: locked_in_stress.stress_profile(
            BARS["round"], Quantity(100, "MPa"), mm(0.0), mm(v)),
        BARS["round"].width.m_as("mm") / 2, 1),
    "place across a flat bar": (
        lambda v: locked_in_stress.stress_profile(
            BARS["flat"], Quantity(100, "MPa"), mm(v), mm(0.0)),
        BARS["flat"].width.m_as("mm") / 2, 1),
    "place up a flat bar": (
        lambda v: locked_in_stress.stress_profile(
            BARS["flat"], Quantity(100, "MPa"), mm(0.0), mm(v)),
        BARS["flat"].height.m_as("mm") / 2, 1),
    "pin as large as the bar": (
        lambda v: locked_in_stress.left_section(BARS["round"], pin_diameter=mm(v)),
        BARS["round"].width.m_as("mm"), 1),
    "cut at the end of the bar": (
        lambda v: locked_in_stress.bow(Quantity(1e-6, "1/mm"), mm(v), mm(100.0), mm(70.0)), 30.0, 1),
    "smallest work of center holes": (
        lambda v: center_holes.center_hole(mm(v), standard="ASME"), 25.4 * 0.1875, 1.001),
    "largest work of center holes": (lambda v: center_holes.center_hole(mm(v)), 300.0, 1),
    "half disk on a web": (
        lambda v: counterweights.web_counterweight(
            PUMP.throws[0], v, mm(45.0), Quantity(7.85e-3, "g/mm**3")),
        counterweights.largest_web_counterweight(
            PUMP.throws[0], mm(45.0), Quantity(7.85e-3, "g/mm**3")), 1),
    "strength of a notch, least": (
        lambda v: notches.notch_length("bending", Quantity(v, "MPa"), "peterson"), 340.0, -1),
    "strength of a notch, most": (
        lambda v: notches.notch_length("bending", Quantity(v, "MPa"), "peterson"), 1700.0, 1),
    "friction of a press fit": (
        lambda v: press_fits.press_fit(mm(20.0), mm(40.0), mm(20.0), Quantity(20, "um"), v), 1.0, 1),
    "a bearing as warm as it may be": (
        lambda v: press_fits.shrink_rise(
            mm(100.0), Quantity(50 * v, "um"), Quantity(1e-5, "1/delta_degC"), mm(0.05),
            bearing=True), 1.0, 1),
    "two values that are one size": (
        lambda v: typed.read_answer(f"100 N ({v} N)", ("N",)), 105.0, 1),
    "slowest gear step": (
        lambda v: cutting.gear_speed(Quantity(v, "rpm"), load_lathe().gear_table), 70.0, -1),
}  # fmt: skip


@pytest.mark.parametrize("name", BOUNDS)
def test_the_end_of_a_range_is_in_it(name):
    call, end, way = BOUNDS[name]
    if way == 1.001:  # open at this end: the end itself is out
        with pytest.raises(ValueError, match="work_diameter must lie"):
            call(end)
        call(end * way)
        return
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        call(end)
        with pytest.raises((ValueError, Warning)):
            call(end + way * 1e-3 * abs(end))


def test_a_size_at_the_end_of_a_row_is_in_that_row():
    """ISO 492, normal class: bores over 18 to 30 mm 0 to -10 um, to 50 mm -12; ISO 286: k6 +18 +2
    to 50 mm, +21 +2 above; ISO 6411: A4 to 80 mm, A6.3 above.
    """
    assert bearing_seats._banded("bore", 30.0, "size") == (-10, 0)
    assert bearing_seats._banded("bore", 30.01, "size") == (-12, 0)
    for size, wanted in ((50.0, (18, 2)), (50.01, (21, 2))):
        found = iso_286.limits(mm(size), "k6")
        assert (found.upper.m_as("um"), found.lower.m_as("um")) == wanted
    assert center_holes.center_hole(mm(80.0)).name == "A4/8.5"
    assert center_holes.center_hole(mm(80.1)).name == "A6.3/13.2"


def test_a_gear_step_asked_for_is_taken():
    gears = load_lathe().gear_table
    assert [cutting.gear_speed(step, gears) for step in gears] == list(gears)


@pytest.mark.parametrize(
    ("width", "hole", "ligament", "count"),
    [(18.0, 5.0, 1.5, 3), (17.99, 5.0, 1.5, 2), (0.7, 0.1, 0.1, 4), (5.0, 5.0, 0.5, 1)],
)
def test_as_many_holes_as_stand_in_a_slot(width, hole, ligament, count):
    """18 wide: 5, 1.5, 5, 1.5, 5."""
    found = rough_out.chain_of_holes(mm(width), mm(10.0), mm(hole), mm(ligament))
    assert found.holes == count


def test_a_weight_as_large_as_wanted_is_enough():
    """What is given counts in every throw."""
    for given, enough in (([10.0, 20.0], True), ([10.0, 19.9], False), ([11.0, 20.0], True)):
        plan = counterweights.CounterweightPlan(
            Quantity([10.0, 20.0], "g*mm"), Quantity(given, "g*mm"), None, None
        )
        assert plan.enough is enough


def test_stress_at_the_skin_of_a_round_bar_is_the_skin_s():
    """sigma (2 rho^2/R^2 - 1): 100 at the skin, -100 in the middle, none at R/sqrt 2."""
    half = BARS["round"].width.m_as("mm") / 2
    found = locked_in_stress.stress_profile(
        BARS["round"], Quantity(100, "MPa"), mm(np.array([half, 0.0, 0.0])),
        mm(np.array([0.0, 0.0, half / np.sqrt(2)])),
    )  # fmt: skip
    assert found.m_as("MPa") == pytest.approx([100, -100, 0], abs=1e-6)


def test_a_small_hole_is_in_the_range_of_its_source():
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert risers.cross_hole("bending", mm(100.0), mm(1.0)) == pytest.approx(3, rel=0.03)
        assert printed.stress_concentration("bending", mm(30.0), mm(20.0), mm(2.0)) > 1


MODES = (Mode(Quantity(250, "Hz"), Quantity(20, "N/um"), 0.04),)
DENSITY = Quantity(7.85e-3, "g/mm**3")
STRICT = {
    "start of the passes": (lambda v: passes.pass_plan(mm(v), mm(10.0), mm(1.0), mm(0.1)), 10.0, 1),
    "swing of the work": (lambda v: cutting.shift_table("C45", mm(v), mm(10.0), load_lathe()), 10.0, 1),
    "height of the edge": (lambda v: tool_form.height_effect(mm(v), mm(20.0)), 10.0, -1),
    "height of a low edge": (lambda v: tool_form.height_effect(mm(v), mm(20.0)), -10.0, 1),
    "stock in a corner": (lambda v: passes.corner_stops(mm(2.0), mm(1.5), mm(v)), 1.5, -1),
    "inside of a ring": (
        lambda v: counterweights.counterweight(
            Quantity(1.0, "g*mm"), mm(10.0), mm(40.0), mm(v), DENSITY), 40.0, -1),
    "sector past its web": (
        lambda v: counterweights.largest_web_counterweight(PUMP.throws[0], mm(v), DENSITY), 14.0, 1),
    "step of a shaft": (lambda v: kt_table.solved_concentration(
        "bending", mm(v), mm(10.0), mm(1.0)), 10.0, 1),
    "step of a field": (lambda v: field.solve_fillet("bending", mm(v), mm(10.0), mm(1.0)), 10.0, 1),
    "relief of an edge": (
        lambda v: limits.compare_tools(MODES, Quantity(2000, "MPa"), mm(10.0), mm(v)), 10.0, -1),
    "hole of a center": (
        lambda v: drive.center_friction_torque(Quantity(100, "N"), mm(4.0), mm(v)), 4.0, -1),
    "hub of a press fit": (
        lambda v: press_fits.press_fit(mm(20.0), mm(v), mm(20.0), Quantity(20, "um")), 20.0, 1),
    "bore of a press fit": (
        lambda v: press_fits.press_fit(
            mm(20.0), mm(40.0), mm(20.0), Quantity(20, "um"), shaft_bore=mm(v)), 20.0, -1),
    "flat of a bar": (
        lambda v: locked_in_stress.left_section(BARS["round"], flat_depth=mm(v)),
        BARS["round"].height.m_as("mm"), -1),
    "rod of a throw": (lambda v: shaking.least_shaking_share(mm(20.0), mm(v)), 20.0, 1),
}  # fmt: skip


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", STRICT)
def test_what_has_to_be_beyond_a_size_is_not_that_size(name):
    call, end, way = STRICT[name]
    with pytest.raises(ValueError):  # noqa: PT011 - each names its own argument
        call(end)
    call(end + way * 0.05 * abs(end))


def test_a_half_ring_by_hand():
    """2/3 x 7.85e-3 x 10 (64000 - 8000) = 2930.7 g mm; half of it is 30 degrees each way, of 49.32 g
    at 29.71 mm.
    """

    def ring(share):
        return counterweights.counterweight(
            Quantity(share * 2 / 3 * 7.85e-3 * 10 * 56000, "g*mm"),
            mm(10.0),
            mm(40.0),
            mm(20.0),
            DENSITY,
        )

    half = ring(0.5)
    assert half.half_angle.m_as("deg") == pytest.approx(30)
    assert half.mass.m_as("g") == pytest.approx(49.32, abs=0.01)
    assert half.center_radius.m_as("mm") == pytest.approx(29.71, abs=0.01)
    assert ring(0.999999).half_angle.m_as("deg") == pytest.approx(90, abs=0.1)
    with pytest.raises(ValueError, match="has 2931 g mm, 2934 g mm are wanted"):
        ring(1.001)


def test_a_text_of_sixty_letters_is_read_and_a_longer_one_is_not():
    assert typed.read_quantity("0" * 55 + "18 mm", "mm") == mm(18.0)
    with pytest.raises(ValueError, match="is too long for one size"):
        typed.read_quantity("0" * 56 + "18 mm", "mm")
