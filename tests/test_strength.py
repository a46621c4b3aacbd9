"""Stresses and safety of a crank: statics by hand, symmetry, the range. Checks against print are in published/."""

import dataclasses
import warnings

import numpy as np
import pytest

from crankmath import crank_corner, fillets, service
from crankmath.crank import EXAMPLES, Crank, steels
from crankmath.service import fatigue, strength
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
    assert np.abs(normal.m_as("MPa")[:, 0]).max() == pytest.approx(
        32 * 1500 * span / 4 / (np.pi * 18**3), rel=1e-6
    )
    assert np.abs(shear.m_as("MPa")[:, 0]).max() == pytest.approx(0, abs=1e-9)


def test_pin_a_quarter_turn_on_by_hand():
    """Throw across the cylinder's line: torque in the pin is half the tangential force times the throw, and the main
    behind it carries all of it."""
    crank, loads = steady(points=120)
    place = {one.name: one for one in strength.places(crank)}
    tangential = loads.tangential.m_as("N")[0, 30]
    for name, arm, size in (
        ("pin 1, middle", 9.0, 18.0),
        ("main 2, left fillet", 18.0, 20.0),
        ("main 1, right fillet", 0.0, 20.0),
    ):
        shear = strength.section_stress(crank, loads, place[name])[1].m_as("MPa")[0, 30]
        assert abs(shear) == pytest.approx(16 * tangential * arm / (np.pi * size**3), abs=1e-9)


def test_web_at_dead_center_by_hand():
    """Radial force on the pin: half of it presses through each web, and its bearing's force bends the web over its thickness."""
    crank, loads = steady()
    web = next(
        place for place in strength.places(crank) if place.name == "throw 1, left web at the pin"
    )
    normal, shear = (part.m_as("MPa")[:, 0] for part in strength.section_stress(crank, loads, web))
    half, arm = 750.0, 45 / 2 + 14 / 2
    bent, pressed = 6 * half * arm / (28 * 14**2), half / (14 * 28)
    assert sorted({round(abs(value), 6) for value in normal}) == pytest.approx(
        [pressed, bent - pressed, bent + pressed], rel=1e-5
    )
    assert shear == pytest.approx(0, abs=1e-9)


def test_webs_are_looked_at_where_main_and_pin_end():
    """The pump's main reaches to 10, its pin from 18 - 9 = 9 on: they overlap, the middle is 9.5. With
    a throw of 30 the main's edge is at 10, the pin's at 21. Webs of 14 from 45 and from 81 on.
    """
    for throw, main, pin in ((18, 9.5, 9.5), (30, 10.0, 21.0)):
        crank = Crank.load("pump").with_throw(radius=Quantity(throw, "mm"))
        found = {one.name: one for one in strength.places(crank)}
        for side, middle in (("left", 52.0), ("right", 88.0)):
            for where, at in (("main", main), ("pin", pin)):
                place = found[f"throw 1, {side} web at the {where}"]
                assert place.center == pytest.approx((middle, at, 0.0))
                assert place.sizes == (14, 28)


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
    assert first.weakest.low == min(one.low for one in first.sections)


def test_one_cylinder_is_the_same_from_both_sides():
    """Mirror the crank: output on the other end, sections change places."""
    crank, right = steady(output="right")
    left = service.turn_loads(
        crank, service.Cylinder(Quantity(90, "mm"), Quantity(1500, "N")), STILL, output="left"
    )
    ours, mirrored = (
        {one.place.name: one.safety for one in quietly(crank, loads).sections}
        for loads in (right, left)
    )
    assert mirrored["main 1, right fillet"] == pytest.approx(ours["main 2, left fillet"])
    assert mirrored["pin 1, left fillet"] == pytest.approx(ours["pin 1, right fillet"])


def test_the_range_joins_its_spreads():
    crank, loads = steady()

    def main(**spreads):
        none = dict.fromkeys(("load_spread", "strength_spread"), 0.0)
        return next(
            one
            for one in quietly(crank, loads, **none | spreads).sections
            if one.place.name == "main 1, right fillet"
        )

    plain, load_only, both = (
        main(),
        main(load_spread=0.1),
        main(load_spread=0.1, strength_spread=0.1),
    )
    # the solved corner's own uncertainty alone: a push that pulls as much has no mean stress
    notch = plain.place.corner.uncertainty
    assert 0.03 < notch < 0.06
    assert plain.low == pytest.approx(plain.safety / (1 + notch), rel=1e-6)
    assert plain.high == pytest.approx(plain.safety / (1 - notch), rel=1e-6)
    # causes as the root of the sum of squares of their logarithms
    assert np.log(load_only.safety / load_only.low) == pytest.approx(
        np.hypot(np.log(1 + notch), np.log(1.1))
    )
    assert np.log(both.safety / both.low) == pytest.approx(
        np.sqrt(np.log(1 + notch) ** 2 + np.log(1.1) ** 2 + np.log(0.9) ** 2)
    )
    # what print says stands beside it and is no part of it
    assert plain.crank_rule < plain.low < plain.high < plain.shoulder or (
        plain.low < plain.crank_rule < plain.shoulder
    )
    web = next(one for one in quietly(crank, loads).sections if one.place.kind == "web")
    assert web.crank_rule is None and web.shoulder is None and web.printed == ""


@pytest.mark.parametrize(("steel", "share"), [("1144", 0.7), ("12L14", 0.7), ("C45", 1.0)])
def test_a_web_of_free_machining_bar_is_weaker_across_the_grain(steel, share):
    """From memory 0.7 to 0.85 of the limit along the bar: in the low end of fillets and webs, not of a pin's middle."""
    crank = dataclasses.replace(Crank.load("pump"), steel=steel)
    loads = service.turn_loads(
        crank, service.Cylinder(Quantity(90, "mm"), Quantity(1500, "N")), STILL
    )
    result = quietly(crank, loads, load_spread=0, strength_spread=0)
    found = {one.place.name: one for one in result.sections}
    for name, _unsure in (("throw 1, left web at the pin", 0.0), ("pin 1, middle", 0.0)):
        one = found[name]
        lowest = share if "web" in name else 1.0
        assert one.low == pytest.approx(one.safety * lowest, rel=1e-6)
        assert one.high == pytest.approx(one.safety)
    corner = found["pin 1, left fillet"]
    assert np.log(corner.safety / corner.low) == pytest.approx(
        np.hypot(np.log(1 + corner.place.corner.uncertainty), np.log(share)), rel=1e-6
    )
    assert ("across its sulfides" in str(result)) == (share < 1)


def test_shoulder_opinion_against_the_functions_it_is_made_of():
    """The pin's fillet worked again by hand from nominal stress, Kt, q and the Marin factors."""
    crank, loads = steady()
    one = next(
        item for item in quietly(crank, loads).sections if item.place.name == "pin 1, left fillet"
    )
    steel = steels.find("C45")
    kinds = {"bending": 0.0, "torsion": 0.0}
    diameter, fillet = Quantity(18, "mm"), Quantity(1.5, "mm")
    for load in kinds:
        kt = fillets.stress_concentration(load, 3 * diameter, diameter, fillet, "tipton")
        kinds[load] = fillets.fatigue_factor(kt, load, steel.tensile_strength, fillet)
    shear = [Quantity(stress, "MPa") for stress in one._nominal[2:4]]
    half = fatigue.von_mises(
        kinds["bending"] * one.bending_alternating, kinds["torsion"] * shear[0]
    )
    middle = fatigue.von_mises(kinds["bending"] * one.bending_mean, kinds["torsion"] * shear[1])
    limit = fatigue.endurance_limit(steel.tensile_strength, diameter).limit
    assert one.shoulder == pytest.approx(
        1 / float(half / limit + middle / steel.tensile_strength), rel=1e-9
    )
    assert one.by_criterion["goodman"] == pytest.approx(one.safety)
    assert (
        one.by_criterion["soderberg"] <= one.by_criterion["goodman"] <= one.by_criterion["gerber"]
    )


@pytest.mark.parametrize(
    ("name", "size", "torque_arm"),
    [
        ("pin 1, left fillet", 18.0, 9.0),
        ("main 2, left fillet", 20.0, 18.0),
        ("main 1, right fillet", 20.0, 0.0),
    ],
)
def test_crank_rule_by_hand(name, size, torque_arm):
    """A steady push of 1500 N: the radial force swings between plus and minus 1500 N, half of it on each bearing. Web's middle 29.5 mm from its
    bearing's: M = 750 x 29.5 N mm on 28 x 14^2 / 6, Q = 750 N on 14 x 28; torsion of the section itself. Factors through q of 1.5 mm.
    The radial factor taken at its largest over the overlap, at q = 2.163/(2 x 1.5212)."""
    crank, loads = steady()
    one = next(item for item in quietly(crank, loads).sections if item.place.name == name)
    rule = fillets.crank_rule_factors(
        *(Quantity(length, "mm") for length in (18, 20, 18, 14, 28, 1.5, 1.5))
    )
    shares = [
        fillets.notch_sensitivity(load, steels.find("C45").tensile_strength, Quantity(1.5, "mm"))
        for load in ("bending", "torsion")
    ]
    pin = name.startswith("pin")
    bent, twisted = (
        1 + share * (factor - 1)
        for share, factor in zip(
            shares,
            (rule.pin_bending, rule.pin_torsion)
            if pin
            else (rule.journal_bending, rule.journal_torsion),
            strict=True,
        )
    )
    at, top = 1 - 1 / 18, 2.163 / (2 * 1.5212)  # overlap (19 - 18) / 18
    raised = [0.4368 + 2.163 * q - 1.5212 * q**2 for q in (top, at)]
    pushed = 0.0 if pin else 1 + shares[0] * (rule.journal_shear * raised[0] / raised[1] - 1)
    tangential = loads.tangential.m_as("N")[0]
    half_torque = torque_arm * (tangential.max() - tangential.min()) / 2
    normal = bent * 750 * 29.5 * 6 / (28 * 14**2) + pushed * 750 / (14 * 28)
    stress = np.hypot(normal, np.sqrt(3) * twisted * 16 * half_torque / (np.pi * size**3))
    limit = fatigue.endurance_limit(
        steels.find("C45").tensile_strength, Quantity(size, "mm")
    ).limit.m_as("MPa")
    # the mean torque of a steady push is nothing
    assert one.crank_rule == pytest.approx(limit / stress, rel=1e-3)
    assert f"{one.crank_rule:.2g} by the crank rule" in str(one)


@pytest.mark.parametrize("name", ["pin 1, left fillet", "main 2, left fillet"])
def test_solved_corner_by_hand(name):
    """The same push: stress in the throw's plane at its dead centers, across it a quarter turn on, and between them no more than
    both together; the corner's own factors, each through q."""
    crank, loads = steady(points=720)
    one = next(item for item in quietly(crank, loads).sections if item.place.name == name)
    lengths = (18, 20, 18, 14, 28, 1.5, 1.5)
    found = crank_corner.factors(*(Quantity(length, "mm") for length in lengths))
    q, twisting = (
        fillets.notch_sensitivity(load, steels.find("C45").tensile_strength, Quantity(1.5, "mm"))
        for load in ("bending", "torsion")
    )
    where, size, arm = ("pin", 18, 9) if name.startswith("pin") else ("journal", 20, 18)
    bending, radial, across, torsion = (
        getattr(found, f"{where}_{load}") for load in ("bending", "radial", "tangential", "torsion")
    )
    felt = radial * q if radial < 0 else 1 + q * (radial - 1)
    tangential = loads.tangential.m_as("N")[0]
    most = (tangential.max() - tangential.min()) / 2
    in_plane = (1 + q * (bending - 1)) * 750 * 29.5 * 6 / (28 * 14**2) + felt * 750 / (14 * 28)
    sideways = (1 + q * (across - 1)) * most / 2 * 29.5 * 32 / (np.pi * size**3)
    sheared = (1 + twisting * (torsion - 1)) * most * arm * 16 / (np.pi * size**3)
    least = np.hypot(in_plane, np.sqrt(3) * sheared)
    largest = np.hypot(np.hypot(in_plane, sideways), np.sqrt(3) * sheared)
    assert 0.999 * least < one.alternating.m_as("MPa") < 1.1 * largest


def test_outside_the_solved_shapes_and_the_rule_it_says_so():
    """Overlap (19 - 45) / 18 = -1.44; the rule ends at -0.5."""
    crank = Crank.load("pump").with_throw(radius=Quantity(45, "mm"))
    loads = service.turn_loads(
        crank, service.Cylinder(Quantity(200, "mm"), Quantity(800, "N")), STILL
    )
    found = {one.place.name: one for one in quietly(crank, loads).sections}
    for name in ("pin 1, left fillet", "main 2, left fillet"):
        one = found[name]
        assert "overlap is -1.44, solved -1.2 to 0.5" in str(one)
        assert "by the crank rule held at its range" in str(one)
        assert one.place.rule.note == "overlap s is -1.44, the rule has -0.5 to 0.5"
    assert found["pin 1, middle"].printed == ""


def test_inside_the_ranges_a_fillet_has_nothing_to_say():
    assert not any(place.note for place in strength.places(Crank.load("pump")))


def test_inner_fillets_go_by_their_own_web():
    """Two unequal throws: each fillet of the main between them by the web it stands on."""
    crank = Crank.load("compressor").with_throw(1, web_thickness=Quantity(8, "mm"))
    found = {place.name: place for place in strength.places(crank)}
    assert (
        found["main 2, left fillet"].rule.thickness,
        found["main 2, right fillet"].rule.thickness,
    ) == (10, 8)
    assert found["main 2, left fillet"].rule.bending != found["main 2, right fillet"].rule.bending
    assert found["pin 2, left fillet"].rule.middle == pytest.approx(40 + 10 + 16 + 10 + 20 + 4)


def test_places_worked_out_before_give_the_same():
    crank, loads = steady()
    assert quietly(crank, loads, looked_at=strength.places(crank)) == quietly(crank, loads)


def test_result_says_it_is_no_certificate():
    crank, loads = steady()
    text = str(quietly(crank, loads))
    assert "never a certificate" in text and "licensed practice" in text
    assert "never a certificate" in str(quietly(*steady(force=0.0)))
    assert "may crack" in str(quietly(*steady(force=5000.0)))
    assert "yields" in str(quietly(*steady(force=40000.0)))
    assert "every range lies above 1" in str(quietly(*steady(force=1000.0)))
    bent = quietly(
        *steady(force=8000.0)
    )  # the pin's middle yields first, and is not the weakest against a crack
    assert bent.weakest.yield_safety > 1 and "yields" in str(bent)
    assert strength.summary(quietly(crank, loads), 3).count("\n") == 3


def test_belt_pull_makes_the_main_beside_it_the_place_to_look():
    crank, loads = steady(
        force=10.0, pulls=service.Pull(Quantity(145 - 5, "mm"), Quantity(400, "N"))
    )
    found = {one.place.name: one for one in quietly(crank, loads).sections}
    # a force fixed in space is alternating to a turning shaft
    assert found["main 2, middle"].bending_alternating.m_as("MPa") == pytest.approx(
        32 * 400 * (140 - 117.5) / (np.pi * 20**3), rel=0.02
    )
    assert abs(found["main 2, middle"].bending_mean.m_as("MPa")) < 0.5


def test_round_and_web_stress_take_arrays():
    normal, shear = strength.round_stress(
        Quantity(np.array([10.0, 20.0]), "N*m"), Quantity(5, "N*m"), Quantity(20, "mm")
    )
    assert normal.shape == (2,)
    assert shear.m_as("MPa") == pytest.approx(16 * 5000 / (np.pi * 8000))
    normal, shear = strength.web_stress(
        Quantity(np.zeros(3), "N"),
        Quantity(1, "N*m"),
        Quantity(2, "N*m"),
        Quantity(3, "N*m"),
        Quantity(5, "mm"),
        Quantity(16, "mm"),
    )
    assert normal.shape == shear.shape == (8, 3)
    assert np.abs(shear.magnitude).max() == pytest.approx(3000 * (3 + 1.8 * 5 / 16) / (16 * 25))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"criterion": "hope"}, "criterion"),
        ({"finish": "rough"}, "finish"),
        ({"edition": "3"}, "edition"),
        ({"load_spread": 1.5}, "load_spread"),
        ({"strength_spread": -0.1}, "strength_spread"),
    ],
)
def test_bad_input_names_the_argument(change, words):
    crank, loads = steady()
    with pytest.raises(ValueError, match=words):
        quietly(crank, loads, **change)


def test_a_web_of_foil_is_still_one():
    """10 N along a strip of 0.05 x 0.08 mm: 2500 MPa everywhere; twisted by 1 N um, 1e-3 N mm x
    (3 + 1.8 x 5/8)/(0.08 x 0.05^2) at the sides' middles.
    """
    none = Quantity(0.0, "N*mm")
    sizes = Quantity(0.05, "mm"), Quantity(0.08, "mm")
    for thick, wide in (sizes, sizes[::-1]):
        normal, shear = strength.web_stress(
            Quantity(10.0, "N"), none, none, Quantity(1e-3, "N*mm"), thick, wide
        )
        assert normal.m_as("MPa") == pytest.approx([2500.0] * 8)
        assert sorted(abs(shear.m_as("MPa"))) == pytest.approx([0] * 4 + [20.625] * 4)


def test_place_of_another_crank_is_refused():
    crank, loads = steady()
    with pytest.raises(ValueError, match="place is on throw 2"):
        strength.section_stress(crank, loads, strength.places(Crank.load("compressor"))[-5])
    found = quietly(crank, loads)
    said = strength.summary(found, 1).splitlines()
    assert said[0] == str(found) and len(said) == 2 and said[1].startswith(str(found.sections[0]))
    with pytest.raises(ValueError, match="count"):
        strength.summary(found, 0)


def test_sharp_corner_is_refused():
    crank = Crank.load("pump").with_throw(fillet=Quantity(0.0, "mm"))
    with pytest.raises(ValueError, match="fillet of pin 1 is zero"):
        strength.places(crank)
