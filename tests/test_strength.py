"""Stresses and safety of a crank: statics by hand, symmetry, the range. Checks against print are in published/."""

import warnings

import numpy as np
import pytest
from crankmath import fatigue, fillets, service, steels, strength
from crankmath.crank import EXAMPLES, Crank
from crankmath.units import OutOfRangeWarning, Quantity

STILL = Quantity(0.0, "rpm")


def steady(name="pump", force=1500.0, **more):
    crank = Crank.load(name)
    cylinders = [service.Cylinder(Quantity(90, "mm"), Quantity(force, "N"))] * len(crank.throws)
    return crank, service.turn_loads(crank, cylinders, STILL, **more)


def quietly(crank, loads, **more):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)  # fillets at the rim of their fits
        return strength.check_strength(crank, loads, **more)


def test_pin_at_dead_center_by_hand():
    """Middle of the pin, crank at its outer dead center: M = F L / 4 between the bearings, no torque."""
    crank, loads = steady()
    middle = next(place for place in strength.places(crank) if place.name == "pin 1, middle")
    normal, shear = strength.section_stress(crank, loads, middle)
    span = 22 + 2 * 14 + 45  # middles of the bearings, mm
    assert np.abs(normal.m_as("MPa")[:, 0]).max() == pytest.approx(32 * 1500 * span / 4 / (np.pi * 18**3), rel=1e-6)
    assert np.abs(shear.m_as("MPa")[:, 0]).max() == pytest.approx(0, abs=1e-9)


def test_pin_a_quarter_turn_on_by_hand():
    """Throw across the cylinder's line: torque in the pin is half the tangential force times the throw, and the main
    behind it carries all of it."""
    crank, loads = steady(points=120)
    place = {one.name: one for one in strength.places(crank)}
    tangential = loads.tangential.m_as("N")[0, 30]
    for name, arm, size in (("pin 1, middle", 9.0, 18.0), ("main 2, left fillet", 18.0, 20.0), ("main 1, right fillet", 0.0, 20.0)):
        shear = strength.section_stress(crank, loads, place[name])[1].m_as("MPa")[0, 30]
        assert abs(shear) == pytest.approx(16 * tangential * arm / (np.pi * size**3), abs=1e-9)


def test_web_at_dead_center_by_hand():
    """Radial force on the pin: half of it presses through each web, and its bearing's force bends the web over its thickness."""
    crank, loads = steady()
    web = next(place for place in strength.places(crank) if place.name == "throw 1, left web at the pin")
    normal, shear = (part.m_as("MPa")[:, 0] for part in strength.section_stress(crank, loads, web))
    half, arm = 750.0, 45 / 2 + 14 / 2
    bent, pressed = 6 * half * arm / (28 * 14**2), half / (14 * 28)
    assert sorted({round(abs(value), 6) for value in normal}) == pytest.approx([pressed, bent - pressed, bent + pressed], rel=1e-5)
    assert shear == pytest.approx(0, abs=1e-9)


def test_moment_that_turns_the_crank_bends_the_web_in_its_plane():
    """Tangential force T on the pin, drive on the right: right web at the main bends with T e/2 + ... = all torque less half."""
    crank, loads = steady()
    found = {one.name: one for one in strength.places(crank)}
    tangential = loads.tangential.m_as("N")[0, 30]
    for side, full in (("left", 0.0), ("right", 1.0)):
        place = found[f"throw 1, {side} web at the main"]
        _, moment = loads.internal(place.center)
        at = place.center[1]
        held = -tangential / 2  # the left bearing's share, at no arm from the main axis
        expected = held * -at if not full else held * -at + tangential * (18 - at)
        assert abs(moment[0, 30]) == pytest.approx(abs(expected), rel=1e-9)


@pytest.mark.parametrize("name", EXAMPLES)
def test_safety_goes_down_with_the_load(name):
    (crank, once), (_, twice) = steady(name, 200.0), steady(name, 400.0)
    first, second = quietly(crank, once), quietly(crank, twice)
    for one in first.sections:
        other = next(item for item in second.sections if item.place.name == one.place.name)
        assert other.safety == pytest.approx(one.safety / 2, rel=1e-9)
        assert one.low <= one.safety <= one.high
    assert first.weakest.safety == min(one.safety for one in first.sections)


def test_one_cylinder_is_the_same_from_both_sides():
    """Mirror the crank: output on the other end, sections change places."""
    crank, right = steady(output="right")
    left = service.turn_loads(crank, service.Cylinder(Quantity(90, "mm"), Quantity(1500, "N")), STILL, output="left")
    ours, mirrored = (
        {one.place.name: one.safety for one in quietly(crank, loads).sections} for loads in (right, left)
    )
    assert mirrored["main 1, right fillet"] == pytest.approx(ours["main 2, left fillet"])
    assert mirrored["pin 1, left fillet"] == pytest.approx(ours["pin 1, right fillet"])


def test_the_range_joins_its_spreads():
    crank, loads = steady()
    plain = quietly(crank, loads, load_spread=0.0, notch_spread=0.0, strength_spread=0.0).weakest
    assert plain.low == plain.high == plain.safety
    load_only = quietly(crank, loads, load_spread=0.1, notch_spread=0.0, strength_spread=0.0).weakest
    assert load_only.low == pytest.approx(plain.safety / 1.1)
    assert load_only.high == pytest.approx(plain.safety / 0.9)
    both = quietly(crank, loads, load_spread=0.1, notch_spread=0.1, strength_spread=0.16).weakest
    assert both.low < load_only.low


def test_safety_against_the_functions_it_is_made_of():
    """The weakest fillet worked again by hand from nominal stress, Kt, q and the Marin factors."""
    crank, loads = steady()
    one = quietly(crank, loads).weakest
    steel = steels.find("C45")
    kinds = {"bending": 0.0, "torsion": 0.0}
    diameter = Quantity(one.place.sizes[0], "mm")
    fillet = crank.throws[0].fillet if one.place.kind == "pin" else crank.journals[0].fillet
    for load in kinds:
        kt = fillets.stress_concentration(load, Quantity(28, "mm"), diameter, fillet)
        kinds[load] = fillets.fatigue_factor(kt, load, steel.tensile_strength, fillet)
    half = fatigue.von_mises(kinds["bending"] * one.bending_alternating, kinds["torsion"] * one.torsion_alternating)
    middle = fatigue.von_mises(kinds["bending"] * one.bending_mean, kinds["torsion"] * one.torsion_mean)
    limit = fatigue.endurance_limit(steel.tensile_strength, diameter).limit
    assert one.safety == pytest.approx(1 / float(half / limit + middle / steel.tensile_strength), rel=1e-9)
    assert one.by_criterion["goodman"] == pytest.approx(one.safety)
    assert one.by_criterion["soderberg"] <= one.by_criterion["goodman"] <= one.by_criterion["gerber"]


def test_result_says_it_is_no_certificate():
    crank, loads = steady()
    text = str(quietly(crank, loads))
    assert "never a certificate" in text and "licensed practice" in text
    assert "never a certificate" in str(quietly(*steady(force=0.0)))
    assert "may crack" in str(quietly(*steady(force=8000.0)))
    assert "yields" in str(quietly(*steady(force=40000.0)))
    assert strength.summary(quietly(crank, loads), 3).count("\n") == 3


def test_belt_pull_makes_the_main_beside_it_the_place_to_look():
    crank, loads = steady(force=10.0, pulls=service.Pull(Quantity(145 - 5, "mm"), Quantity(400, "N")))
    found = {one.place.name: one for one in quietly(crank, loads).sections}
    # a force fixed in space is alternating to a turning shaft
    assert found["main 2, middle"].bending_alternating.m_as("MPa") == pytest.approx(32 * 400 * (140 - 117.5) / (np.pi * 20**3), rel=0.02)
    assert abs(found["main 2, middle"].bending_mean.m_as("MPa")) < 0.5


def test_round_and_web_stress_take_arrays():
    normal, shear = strength.round_stress(Quantity(np.array([10.0, 20.0]), "N*m"), Quantity(5, "N*m"), Quantity(20, "mm"))
    assert normal.shape == (2,)
    assert shear.m_as("MPa") == pytest.approx(16 * 5000 / (np.pi * 8000))
    normal, shear = strength.web_stress(Quantity(np.zeros(3), "N"), Quantity(1, "N*m"), Quantity(2, "N*m"), Quantity(3, "N*m"),
                                        Quantity(5, "mm"), Quantity(16, "mm"))  # fmt: skip
    assert normal.shape == shear.shape == (8, 3)
    assert np.abs(shear.magnitude).max() == pytest.approx(3000 * (3 + 1.8 * 5 / 16) / (16 * 25))


@pytest.mark.parametrize(
    ("change", "words"),
    [({"criterion": "hope"}, "criterion"), ({"finish": "rough"}, "finish"), ({"edition": "3"}, "edition"), ({"load_spread": 1.5}, "load_spread"),
     ({"notch_spread": -0.1}, "notch_spread")],
)  # fmt: skip
def test_bad_input_names_the_argument(change, words):
    crank, loads = steady()
    with pytest.raises(ValueError, match=words):
        quietly(crank, loads, **change)


def test_sharp_corner_is_refused():
    crank = Crank.load("pump").with_throw(fillet=Quantity(0.0, "mm"))
    with pytest.raises(ValueError, match="pin 1, left fillet"):
        strength.places(crank)
