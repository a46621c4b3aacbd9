"""Deflection under the cut: beams of the table, springs in series, symmetry, bad input. Checks against 3-D solids are in published/."""

import re
from dataclasses import replace

import numpy as np
import pint
import pytest
from printed import ROWS

from crankmath import deflection
from crankmath.crank import EXAMPLES, Crank
from crankmath.deflection import Setup, out_of_round, radial_compliance, size_error, soft_direction
from crankmath.frame import frame
from crankmath.spacers import Spacer
from crankmath.units import Quantity

PUMP, ORGAN = Crank.load("pump"), Crank.load("organ")


def mm(value):
    return Quantity(value, "mm")


def deg(value):
    return Quantity(value, "deg")


def newton(value):
    return Quantity(value, "N")


def test_two_end_springs_by_the_book():
    """BEAM-03: a shaft on springs of 1e4 and 5e3 N/mm, 200 N at 50 of 150 mm, 12 thick: the springs' share is
    F [(b/L)^2/k1 + (a/L)^2/k2] = 0.066582 less the shaft's own 0.0532487 (BEAM-02)."""
    share = float(ROWS["BEAM-03"]["expected"]) - float(ROWS["BEAM-02"]["expected"])
    a, whole = 50.0, 150.0
    crank = replace(
        PUMP, journals=tuple(replace(journal, length=mm(50.0)) for journal in PUMP.journals)
    )
    assert crank.length.m_as("mm") == pytest.approx(whole)
    springs = Setup(left_center=Quantity(1e4, "N/mm"), right_center=Quantity(5e3, "N/mm"))
    at = mm(a)
    more = size_error(crank, at, newton(200.0), springs) - size_error(crank, at, newton(200.0))
    assert more.m_as("mm") / 2 == pytest.approx(share, rel=1e-4)


def test_stepped_bar_by_the_book():
    """BEAM-04: 50 x 10 | 50 x 16 | 50 x 10, E 205 GPa, 200 N at the middle: 0.0564113 mm, by integration and by hand.

    The plain frame's beams, joined in line: a throw's parts cannot be one straight bar."""
    from crankmath.frame import beams

    diameters, length = np.array([10.0, 16.0, 16.0, 10.0]), np.array([50.0, 25.0, 25.0, 50.0])
    bend = 205e3 * np.pi * diameters**4 / 64
    parts = beams.stiffness(np.stack([bend, bend, bend, bend], axis=1), length, np.zeros((4, 2)))
    matrix = np.zeros((10, 10))
    for number in range(4):
        at = np.arange(4) + 2 * number
        matrix[np.ix_(at, at)] += parts[number][np.ix_([1, 5, 7, 11], [1, 5, 7, 11])]
    free = [1, 2, 3, 4, 5, 6, 7, 9]
    moved = np.linalg.solve(matrix[np.ix_(free, free)], np.eye(8)[3] * 200)
    assert moved[3] == pytest.approx(
        float(re.match(r"[\d.]+", ROWS["BEAM-04"]["expected"])[0]), rel=2e-5
    )


def test_tool_and_driver_springs():
    base = radial_compliance(PUMP, "pin", deg(90.0))
    tool = radial_compliance(PUMP, "pin", deg(90.0), Setup(tool=Quantity(25.0, "N/um")))
    assert (tool - base).m_as("um/N") == pytest.approx(1 / 25)
    # a push across the throw on the pin, 18 mm off the centers, twists the driver: 18^2 / k
    driver = radial_compliance(PUMP, "pin", deg(90.0), Setup(driver=Quantity(1e6, "N*mm/rad")))
    assert (driver - base).m_as("mm/N") == pytest.approx(18**2 / 1e6)
    for angle, setup in (
        (0.0, Setup(driver=Quantity(1e6, "N*mm/rad"))),
        (90.0, Setup(held=0, driver=Quantity(1e6, "N*mm/rad"))),
    ):
        rigid = radial_compliance(PUMP, "pin", deg(angle), replace(setup, driver=None))
        assert radial_compliance(PUMP, "pin", deg(angle), setup).magnitude == pytest.approx(
            rigid.magnitude
        )


@pytest.mark.parametrize("held", ["main", 0])
def test_how_a_pin_is_held_by_energy(held):
    """Castigliano on the center lines of pump, a push F across the throw at the middle of its pin, R = F/2 at each center.

    Centers on the pin's axis: mains carry R x and the torque R e, webs R (e - y) and the torque R a, the pin R x. Centers on the
    main axis: mains R x, webs R y and the torque R a; the driver at the left grip gives F e, so the left main beyond it carries
    that torque, the left web F e - R y, and each half of the pin R e.
    """
    young, rigid = 206e3, 206e3 / 2.58
    throw, journal = PUMP.throws[0], PUMP.journals[0]
    e, wide, thick = (
        value.m_as("mm") for value in (throw.radius, throw.web_width, throw.web_thickness)
    )
    long = journal.length.m_as("mm")
    a, half = long + thick / 2, (throw.pin_length.m_as("mm") + thick) / 2
    main, pin = (
        np.pi * diameter.m_as("mm") ** 4 / 64 for diameter in (journal.diameter, throw.pin_diameter)
    )
    across = thick * wide**3 / 12
    twist = wide * thick**3 * (1 / 3 - 0.21 * thick / wide * (1 - thick**4 / (12 * wide**4)))
    r = 0.5  # F = 1
    energy = 2 * (
        r**2 * a**3 / 3 / young / main
        + r**2 * a**2 * e / rigid / twist
        + r**2 * ((a + half) ** 3 - a**3) / 3 / young / pin
    )
    if held == 0:
        energy += 2 * ((r * e) ** 2 * a / rigid / (2 * main) + r**2 * e**3 / 3 / young / across)
    else:
        # left web at y from the main axis: bending r y from the center and the driver's torque e, against each other; right web r y
        grip = 0.15 * long
        energy += e**2 * (a - grip) / rigid / (2 * main)
        energy += (
            e**3 - r * e**3 + r**2 * e**3 / 3
        ) / young / across + r**2 * e**3 / 3 / young / across
        energy += 2 * (r * e) ** 2 * half / rigid / (2 * pin)
    built = frame.build(PUMP, held=held, plain=True)
    assert built.own_compliance(built.places([long + thick + throw.pin_length.m_as("mm") / 2]))[
        0, 2, 2
    ] == pytest.approx(energy, rel=1e-6)


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_bearing_spacer_only_stiffens(name):
    crank = Crank.load(name)
    packed = Setup(
        spacers=tuple(
            Spacer(throw, mm(0.0), Quantity(0.2, "in")) for throw in range(len(crank.throws))
        )
    )
    at, turn = (
        mm(np.linspace(2, crank.length.m_as("mm") - 2, 25))[:, None],
        deg(np.arange(0, 180, 15)),
    )
    bare = np.array([radial_compliance(crank, at[:, 0], angle).m_as("um/N") for angle in turn])
    held = np.array(
        [radial_compliance(crank, at[:, 0], angle, packed).m_as("um/N") for angle in turn]
    )
    assert np.all(held <= bare * (1 + 1e-9)) and held.min() > 0
    assert held.sum() < 0.95 * bare.sum()


def test_a_turn_swings_twice():
    """c(angle) = mean + half range x cos 2(angle - soft): what makes two lobes."""
    turn = np.arange(0, 360, 5.0)
    give = radial_compliance(ORGAN, "pin", deg(turn)).m_as("um/N")
    soft = soft_direction(ORGAN, "pin").m_as("deg")
    reading = out_of_round(ORGAN, "pin", newton(1.0)).m_as("um")
    mean = size_error(ORGAN, "pin", newton(1.0)).m_as("um") / 2
    assert give == pytest.approx(mean + reading / 4 * np.cos(2 * np.radians(turn - soft)), rel=1e-9)


def test_a_tangential_force_counts_like_a_radial_one():
    """Walk the turn: radial displacement under both forces, by its own sum from compliances at three angles."""
    radial, tangential = 60.0, 150.0
    c_y, c_z, c_d = (
        radial_compliance(ORGAN, ("pin", 1), deg(angle)).m_as("um/N") for angle in (0.0, 90.0, 45.0)
    )
    tensor = np.array([[c_y, c_d - (c_y + c_z) / 2], [c_d - (c_y + c_z) / 2, c_z]])
    turn = np.radians(np.arange(0, 360, 0.05))
    normal, along = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    moved = np.einsum("it,ij,jt->t", normal, tensor, radial * normal + tangential * along)
    found = out_of_round(ORGAN, ("pin", 1), newton(radial), newton(tangential)).m_as("um")
    assert found == pytest.approx(2 * (moved.max() - moved.min()), rel=1e-6)
    # the work turns counterclockwise past the tool, which holds it back: the force on it points against the turning and away
    # from the tool, and what moves away stays on
    large = deflection.large_direction(ORGAN, ("pin", 1), newton(radial), newton(tangential)).m_as(
        "deg"
    )
    assert large == pytest.approx(np.degrees(turn[moved.argmax()]) % 180, abs=0.06)
    against = np.einsum("it,ij,jt->t", normal, tensor, radial * normal - tangential * along)
    back = deflection.large_direction(
        ORGAN, ("pin", 1), newton(radial), newton(tangential), turning="reverse"
    ).m_as("deg")
    assert back == pytest.approx(np.degrees(turn[against.argmax()]) % 180, abs=0.06)
    assert deflection.large_direction(ORGAN, ("pin", 1), newton(radial)).m_as(
        "deg"
    ) == pytest.approx(soft_direction(ORGAN, ("pin", 1)).m_as("deg"))


def test_round_where_stiffness_is_even():
    """At the center nothing gives, so nothing is out of round."""
    assert out_of_round(PUMP, mm(0.0), newton(100.0)).m_as("um") == pytest.approx(0, abs=1e-9)
    assert size_error(PUMP, mm(np.array([0.0, 140.0])), newton(100.0)).m_as("um") == pytest.approx(
        [0, 0], abs=1e-9
    )


def test_throw_angle_turns_the_soft_direction():
    base = soft_direction(PUMP, "pin").m_as("deg")
    turned = PUMP.with_throw(0, angle=deg(25.0))
    assert soft_direction(turned, "pin").m_as("deg") == pytest.approx((base + 25) % 180)
    assert out_of_round(turned, "pin", newton(80.0)).magnitude == pytest.approx(
        out_of_round(PUMP, "pin", newton(80.0)).magnitude
    )


def test_words_and_distances_name_the_same_place():
    assert (
        radial_compliance(PUMP, "journal", deg(0.0)).magnitude
        == radial_compliance(PUMP, mm(45.0), deg(0.0)).magnitude
    )
    assert (
        radial_compliance(PUMP, "pin", deg(0.0)).magnitude
        == radial_compliance(PUMP, mm(70.0), deg(0.0)).magnitude
    )
    assert radial_compliance(PUMP, ("journal", 1), deg(0.0)).magnitude == pytest.approx(
        radial_compliance(PUMP, mm(95.0), deg(0.0)).magnitude
    )
    assert radial_compliance(ORGAN, Quantity(1.0, "in"), deg(30.0)).magnitude == pytest.approx(
        radial_compliance(ORGAN, mm(25.4), deg(30.0)).magnitude
    )


def test_longer_mains_give_more():
    longer = replace(
        PUMP, journals=tuple(replace(journal, length=mm(60.0)) for journal in PUMP.journals)
    )
    for angle in (0.0, 90.0):
        assert radial_compliance(longer, "pin", deg(angle)) > radial_compliance(
            PUMP, "pin", deg(angle)
        )


def test_repeated_passes():
    # k 10000, k_c 5000 N/mm: a third is left by each pass; 90 um after two passes 10 um
    left = deflection.repeated_pass_error(
        Quantity(90, "um"), Quantity(1e4, "N/mm"), Quantity(5e3, "N/mm"), np.array([0, 1, 2])
    )
    assert left.m_as("um") == pytest.approx([90, 30, 10])


def test_center_line_beams_mislead_at_the_journal():
    """Design notes: Euler beams on center lines call the main beside the web softer across the throw; 3-D says in its plane."""
    for name in ("pump", "bellows"):
        crank = Crank.load(name)
        built, plain = frame.build(crank), frame.build(crank, plain=True)
        at = [0.96 * built.segments[0].length]
        corrected, bare = (one.own_compliance(one.places(at))[0] for one in (built, plain))
        assert corrected[1, 1] > corrected[2, 2]
        if name == "pump":
            assert bare[1, 1] < bare[2, 2]


@pytest.mark.parametrize(
    ("call", "kind", "words"),
    [
        (lambda: radial_compliance(PUMP, 45, deg(0)), TypeError, "^where"),
        (lambda: radial_compliance(PUMP, "web", deg(0)), ValueError, "^where"),
        (lambda: radial_compliance(PUMP, ("pin", 1), deg(0)), ValueError, "^where"),
        (lambda: radial_compliance(PUMP, mm(141), deg(0)), ValueError, "^where"),
        (lambda: radial_compliance(PUMP, mm(-1), deg(0)), ValueError, "^where"),
        (lambda: radial_compliance(PUMP, "pin", mm(1)), pint.DimensionalityError, "^angle"),
        (lambda: out_of_round(PUMP, "pin", newton(-1)), ValueError, "^force"),
        (
            lambda: deflection.large_direction(PUMP, "pin", newton(1), turning="left"),
            ValueError,
            "^turning",
        ),
        (lambda: out_of_round(PUMP, "pin", 100), TypeError, "^force"),
        (
            lambda: size_error(PUMP, "pin", newton(1), Setup(tool=Quantity(0, "N/mm"))),
            ValueError,
            "^tool",
        ),
        (
            lambda: size_error(PUMP, "pin", newton(1), Setup(left_center=5)),
            TypeError,
            "^left_center",
        ),
        (lambda: size_error(PUMP, "pin", newton(1), Setup(held=3)), ValueError, "^held"),
        (
            lambda: deflection.repeated_pass_error(
                mm(1), Quantity(0, "N/mm"), Quantity(1, "N/mm"), 1
            ),
            ValueError,
            "^work_stiffness",
        ),
    ],
)
def test_bad_input_is_named(call, kind, words):
    with pytest.raises(kind, match=words):
        call()
