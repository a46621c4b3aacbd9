"""Slider-crank: a second derivative taken numerically, geometry drawn by hand, errors worked by hand, bad input."""

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankmath.crank import EXAMPLES, Crank, motion
from crankmath.units import Quantity

THROW, ROD, SPEED = Quantity(18.0, "mm"), Quantity(80.0, "mm"), Quantity(300, "rpm")
TURN = Quantity(np.linspace(0, 360, 73), "deg")
CALLS = {
    "piston_motion": (
        motion.piston_motion,
        {"angle": TURN, "speed": SPEED, "throw": THROW, "rod_length": ROD},
    ),
    "dead_centers": (
        motion.dead_centers,
        {"throw": THROW, "rod_length": ROD, "offset": Quantity(3, "mm")},
    ),
    "swept_volume": (
        motion.swept_volume,
        {"bore": Quantity(30, "mm"), "throw": THROW, "rod_length": ROD},
    ),
    "position_error": (
        motion.position_error,
        {
            "angle": TURN,
            "throw": THROW,
            "rod_length": ROD,
            "throw_error": Quantity(0.05, "mm"),
            "rod_error": Quantity(0.1, "mm"),
            "phase_error": Quantity(0.1, "deg"),
        },
    ),
    "compression": (
        motion.compression,
        {
            "bore": Quantity(30, "mm"),
            "throw": THROW,
            "rod_length": ROD,
            "clearance_volume": Quantity(5, "cm**3"),
        },
    ),
}
EACH = [
    pytest.param(function, given_, name, id=f"{label}-{name}")
    for label, (function, given_) in CALLS.items()
    for name in given_
]


def loop(theta, radius, rod, side):
    """Travel from the two circles' meeting point, by complex numbers: a second way to the position."""
    pin = radius * np.exp(1j * np.asarray(theta, dtype=complex))
    along = pin.real + np.sqrt(rod**2 - (pin.imag - side) ** 2)
    return np.sqrt((rod + radius) ** 2 - side**2) - along


@pytest.mark.parametrize("offset", [0.0, 5.0, -5.0])
def test_derivatives_against_differences(offset):
    """Central differences over 0.01 degrees: error of the order of the step squared, 1e-7 of the value."""
    omega, step = 300 * np.pi / 30, np.radians(0.01)
    theta = np.radians(TURN.magnitude)
    found = motion.piston_motion(TURN, SPEED, THROW, ROD, Quantity(offset, "mm"))
    ahead, here, behind = (loop(theta + shift, 18.0, 80.0, offset) for shift in (step, 0, -step))
    np.testing.assert_allclose(found.travel.m_as("mm"), here, atol=1e-9)
    np.testing.assert_allclose(
        found.velocity.m_as("mm/s"), (ahead - behind) / (2 * step) * omega, atol=1e-3
    )
    np.testing.assert_allclose(
        found.acceleration.m_as("mm/s**2"),
        (ahead - 2 * here + behind) / step**2 * omega**2,
        atol=0.1,
    )


@given(st.floats(1, 50), st.floats(1.5, 10), st.floats(0, 0.4))
def test_dead_centers_are_the_extremes(radius, ratio, share):
    rod, side = radius * ratio, share * (ratio - 1) * radius
    found = motion.dead_centers(*(Quantity(size, "mm") for size in (radius, rod, side)))
    travel = loop(np.radians(np.arange(0, 360, 0.2)), radius, rod, side)
    assert found.stroke.m_as("mm") == pytest.approx(np.ptp(travel), rel=1e-5)
    assert abs(loop(np.radians(found.outer_angle.m_as("deg")), radius, rod, side)) < 1e-9 * rod
    assert loop(np.radians(found.inner_angle.m_as("deg")), radius, rod, side) == pytest.approx(
        found.stroke.m_as("mm")
    )


def test_stroke_is_twice_the_throw_without_offset():
    assert motion.dead_centers(THROW, ROD).stroke.m_as("mm") == pytest.approx(36)


def test_long_rod_gives_harmonic_motion():
    found = motion.piston_motion(TURN, SPEED, THROW, Quantity(1e6, "mm"))
    np.testing.assert_allclose(
        found.travel.m_as("mm"), 18 * (1 - np.cos(np.radians(TURN.magnitude))), atol=2e-4
    )


def test_textbook_series_is_as_close_as_the_docstring_says():
    """n = 4: velocity within 0.3 % of r w, acceleration within 0.9 % of r w^2."""
    theta = np.radians(TURN.magnitude)
    found = motion.piston_motion(
        TURN, Quantity(30 / np.pi, "rpm"), Quantity(1, "m"), Quantity(4, "m")
    )
    assert (
        0.002
        < np.abs(found.velocity.m_as("m/s") - np.sin(theta) - np.sin(2 * theta) / 8).max()
        < 0.003
    )
    assert (
        0.007
        < np.abs(found.acceleration.m_as("m/s**2") - np.cos(theta) - np.cos(2 * theta) / 4).max()
        < 0.009
    )


def test_throw_error_of_five_hundredths_by_hand():
    """Outer dead center 0.05 mm up, inner 0.05 down; at 90 degrees the pin goes sideways: -r dr / sqrt(l^2 - r^2).

    18 * 0.05 / sqrt(80^2 - 18^2) = 0.9 / 77.949 = 0.01155 mm down; the square term 0.05^2/2/78 is 0.00002.
    """
    shift = motion.position_error(
        Quantity([0.0, 90.0, 180.0], "deg"), THROW, ROD, Quantity(0.05, "mm")
    ).m_as("mm")
    np.testing.assert_allclose(shift, [0.05, -0.01155, -0.05], atol=3e-5)


def test_phase_error_of_a_tenth_of_a_degree_by_hand():
    """0.1 degrees is 0.0017453 rad; at 90 degrees the piston moves with the pin: 18 mm * 0.0017453 = 0.03142 mm inward."""
    shift = motion.position_error(
        Quantity([0.0, 90.0], "deg"), THROW, ROD, phase_error=Quantity(0.1, "deg")
    ).m_as("mm")
    np.testing.assert_allclose(shift, [0.0, -0.03142], atol=4e-5)


def test_rod_error_shifts_the_piston_at_both_ends():
    shift = motion.position_error(
        Quantity([0.0, 180.0], "deg"), THROW, ROD, rod_error=Quantity(0.2, "mm")
    ).m_as("mm")
    np.testing.assert_allclose(shift, [0.2, 0.2], atol=1e-12)


def test_compression_with_a_throw_error_by_hand():
    """Bore 30: area 706.858 mm2. To size: swept 706.858*36 = 25446.9, clearance 5000, ratio 6.08938.

    Throw 0.05 long: clearance 5000 - 35.343 = 4964.657, swept 706.858*36.1 = 25517.6, ratio 6.13986.
    """
    right = motion.compression(Quantity(30, "mm"), THROW, ROD, Quantity(5, "cm**3"))
    long = motion.compression(
        Quantity(30, "mm"), THROW, ROD, Quantity(5, "cm**3"), Quantity(0.05, "mm")
    )
    assert right.ratio == pytest.approx(6.08938, rel=1e-5)
    assert long.ratio == pytest.approx(6.13986, rel=1e-5)
    assert long.rise.m_as("mm") == pytest.approx(0.05)


def test_no_clearance_left_is_refused():
    with pytest.raises(ValueError, match="^clearance_volume.*strikes the head"):
        motion.compression(
            Quantity(30, "mm"), THROW, ROD, Quantity(0.1, "cm**3"), rod_error=Quantity(0.2, "mm")
        )


def test_the_last_of_the_clearance_is_still_one():
    """Bore 20: a throw 0.5 long takes 314.159 x 0.5 mm3; half a cubic millimeter more is left of that,
    1 + 314.159 x 37/0.5; of just that much nothing is left.
    """
    area = np.pi / 4 * 20.0**2
    long = {"throw_error": Quantity(0.5, "mm")}
    sizes = Quantity(20, "mm"), THROW, ROD
    left = motion.compression(*sizes, Quantity(area * 0.5 + 0.5, "mm**3"), **long)
    assert left.clearance.m_as("mm**3") == pytest.approx(0.5)
    assert left.ratio == pytest.approx(1 + area * 37 / 0.5)
    with pytest.raises(ValueError, match="strikes the head"):
        motion.compression(*sizes, Quantity(area * 0.5, "mm**3"), **long)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_throw_of_the_examples(name):
    """Each throw moves as a crank of its own, turned by its angle."""
    part, rod = Crank.load(name), Quantity(4, "in")
    all_ = motion.travel_of_throws(part, TURN, rod).m_as("mm")
    assert all_.shape == (len(part.throws), 73)
    for row, throw in zip(all_, part.throws, strict=True):
        radius, ahead = throw.radius.m_as("mm"), throw.angle.m_as("rad")
        np.testing.assert_allclose(
            row, loop(np.radians(TURN.magnitude) + ahead, radius, 101.6, 0.0), atol=1e-9
        )


def test_opposed_cylinders_on_one_throw_angle():
    """Two throws at 180 degrees with cylinders facing apart move as one."""
    travel = motion.travel_of_throws(
        Crank.load("compressor"), TURN, ROD, cylinder_angles=Quantity([0.0, 180.0], "deg")
    ).magnitude
    np.testing.assert_allclose(travel[0], travel[1], atol=1e-9)


def test_phase_between_throws_counts_where_the_space_is_shared():
    """Pistons that move as one: a phase error d lowers the extremes as cos(d/2) would, to second order."""
    part, bore, space = Crank.load("compressor"), Quantity(20, "mm"), Quantity(2, "cm**3")
    apart = {"cylinder_angles": Quantity([0.0, 180.0], "deg")}
    exact = motion.shared_compression(part, bore, Quantity(1e5, "mm"), space, **apart)
    off = motion.shared_compression(
        part, bore, Quantity(1e5, "mm"), space, phase_errors=Quantity([0.0, 10.0], "deg"), **apart
    )
    area, stroke = np.pi / 4 * 400, 28.0
    assert exact.ratio == pytest.approx(1 + 2 * area * stroke / 2000, rel=1e-5)
    assert exact.rise.m_as("mm") == pytest.approx(0, abs=1e-9)
    least = 2000 + area * stroke * (
        1 - np.cos(np.radians(5))
    )  # r = 14, long rod: 2 r (1 - cos 5 deg)
    most = 2000 + area * stroke * (1 + np.cos(np.radians(5)))
    assert off.ratio == pytest.approx(most / least, rel=1e-4)


def test_a_space_of_next_to_nothing_is_still_one():
    """A tenth of a cubic millimeter left: (0.1 + A s)/0.1; errors that take more are refused."""
    pump = Crank.load("pump")
    sizes = pump, Quantity(20, "mm"), Quantity(90, "mm")
    found = motion.shared_compression(*sizes, Quantity(0.05, "mm**3"))
    assert found.ratio == pytest.approx(1 + np.pi / 4 * 400 * 36 / 0.05, rel=1e-4)
    with pytest.raises(ValueError, match="used up by the errors"):
        motion.shared_compression(*sizes, Quantity(3, "mm**3"), throw_errors=Quantity([0.01], "mm"))


def test_throw_errors_lift_the_shared_extremes():
    found = motion.shared_compression(
        Crank.load("organ"),
        Quantity(1, "in"),
        Quantity(3, "in"),
        Quantity(20, "cm**3"),
        throw_errors=Quantity([0.0, 0.05, 0.0], "mm"),
    )
    assert found.rise.m_as("mm") == pytest.approx(0.05, abs=1e-4)


def test_wrong_number_of_errors_is_named():
    with pytest.raises(ValueError, match="^phase_errors.*3 throws, not 2"):
        motion.travel_of_throws(
            Crank.load("organ"), TURN, ROD, phase_errors=Quantity([0.0, 1.0], "deg")
        )


def test_inches_give_the_same_and_arrays_broadcast():
    metric = motion.piston_motion(TURN, SPEED, THROW, ROD)
    inch = motion.piston_motion(TURN, SPEED, THROW.to("in"), ROD.to("in"))
    np.testing.assert_allclose(metric.velocity.m_as("m/s"), inch.velocity.m_as("m/s"), atol=1e-12)
    rods = Quantity(np.array([[60.0], [80.0]]), "mm")
    assert motion.piston_motion(TURN, SPEED, THROW, rods).acceleration.shape == (2, 73)
    assert isinstance(
        motion.piston_motion(Quantity(10, "deg"), SPEED, THROW, ROD).travel.magnitude, float
    )


@pytest.mark.parametrize(("function", "arguments", "name"), EACH)
@pytest.mark.parametrize(
    ("bad", "kind"),
    [
        (25, TypeError),
        (Quantity(1, "candela"), pint.DimensionalityError),
        (Quantity(np.nan, "mm"), (ValueError, pint.DimensionalityError)),
    ],
)
def test_units_are_asked_for(function, arguments, name, bad, kind):
    with pytest.raises(kind, match=f"^{name}"):
        function(**arguments | {name: bad})


@pytest.mark.parametrize("name", ["throw", "rod_length", "bore"])
def test_sizes_above_zero(name):
    with pytest.raises(ValueError, match=f"^{name}"):
        motion.swept_volume(**CALLS["swept_volume"][1] | {name: Quantity(0, "mm")})


def test_a_rod_too_short_is_refused():
    with pytest.raises(ValueError, match="^rod_length has to be longer"):
        motion.dead_centers(THROW, Quantity(18, "mm"))
    with pytest.raises(ValueError, match="^throw_error"):
        motion.position_error(TURN, THROW, ROD, throw_error=Quantity(-18, "mm"))
