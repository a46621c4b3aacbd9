"""Shaking forces against exact sliders. Checks against print are in published/."""

import numpy as np
import pint
import pytest

from crankmath.balance.shaking import least_shaking_share, shaking_forces
from crankmath.units import OutOfRangeWarning, Quantity


def mm(value):
    return Quantity(value, "mm")


GOOD = {
    "reciprocating_mass": Quantity(0.3, "kg"),
    "throw": mm(18),
    "rod_length": mm(72),
    "speed": Quantity(600, "rpm"),
}


def exact_force(theta, mass, throw, rod, omega):
    """Inertia force of a slider by finite differences of its exact travel."""

    def travel(t):
        return throw * np.cos(t) + np.sqrt(rod**2 - (throw * np.sin(t)) ** 2)

    step = 1e-4
    return (
        -mass
        * omega**2
        * (travel(theta + step) - 2 * travel(theta) + travel(theta - step))
        / step**2
    )


def test_one_cylinder_against_the_exact_slider():
    """A slider's exact travel, differentiated: the two orders leave out about lambda^3 / 2, 0.8 % of m e w^2 at l = 4 e."""
    theta = np.linspace(0, 2 * np.pi, 73)
    found = shaking_forces(Quantity(0.3, "kg"), mm(18), mm(72), Quantity(600, "rpm")).force(
        Quantity(theta, "rad")
    )
    exact = exact_force(theta, 0.3, 0.018, 0.072, 600 * np.pi / 30)
    np.testing.assert_allclose(
        found[0].m_as("N"), exact, atol=0.0085 * 0.3 * 0.018 * (600 * np.pi / 30) ** 2
    )
    np.testing.assert_allclose(found[1].m_as("N"), 0, atol=1e-9)


def test_banked_cylinders_against_a_sum_of_exact_sliders():
    angles, banks, along = (
        np.radians([0, 90, 200]),
        np.radians([45, -45, 10]),
        np.array([-50.0, 0.0, 80.0]),
    )
    masses = np.array([0.3, 0.4, 0.2])
    shaking = shaking_forces(
        Quantity(masses, "kg"),
        mm(18),
        mm(90),
        Quantity(600, "rpm"),
        Quantity(angles, "rad"),
        mm(along),
        Quantity(banks, "rad"),
    )
    theta = np.linspace(0, 2 * np.pi, 50)
    each = np.array(
        [
            exact_force(theta + a - b, m, 0.018, 0.09, 600 * np.pi / 30) * np.exp(1j * b)
            for a, b, m in zip(angles, banks, masses, strict=True)
        ]
    )
    force, couple = shaking.force(Quantity(theta, "rad")), shaking.couple(Quantity(theta, "rad"))
    scale = abs(each).max()
    for part, exact in (
        (force, each.sum(axis=0)),
        (couple, (each * along[:, None] / 1000).sum(axis=0)),
    ):
        ours = part[0].magnitude + 1j * part[1].magnitude
        np.testing.assert_allclose(ours, exact, atol=0.01 * scale * (1 if part is force else 0.13))
    largest = abs(force[0].magnitude + 1j * force[1].magnitude).max()
    assert largest <= (shaking.largest(1) + shaking.largest(2)).m_as("N") * (1 + 1e-9)


def test_orders_add_up_and_bad_orders_are_refused():
    shaking = shaking_forces(Quantity(0.3, "kg"), mm(18), mm(72), Quantity(600, "rpm"))
    at = Quantity(25, "deg")
    both = shaking.force(at)[0]
    assert (shaking.force(at, 1)[0] + shaking.force(at, 2)[0]).m_as("N") == pytest.approx(
        both.m_as("N")
    )
    assert isinstance(both.magnitude, float)
    with pytest.raises(ValueError, match="^order"):
        shaking.force(at, 3)


def test_rod_and_lists():
    given = GOOD
    with pytest.raises(ValueError, match="^rod_length must be longer"):
        shaking_forces(**given | {"rod_length": mm(17)})
    with pytest.warns(OutOfRangeWarning, match="^rod_length is only"):
        shaking_forces(**given | {"rod_length": mm(40)})
    with pytest.raises(ValueError, match="equally many"):
        shaking_forces(**given, angles=Quantity([0.0, 120.0], "deg"), positions=mm([0.0, 1.0, 2.0]))


def test_what_turns_unbalanced_pulls_toward_its_pin():
    """m r w^2 along the throw: 2000 g mm at 600 rpm is 2e-3 x 62.83^2 = 7.896 N."""
    alone = GOOD | {"reciprocating_mass": Quantity(0.0, "kg")}
    turning = shaking_forces(
        **alone,
        angles=Quantity([30.0], "deg"),
        positions=mm([50.0]),
        turning_unbalance=Quantity([2000.0], "g*mm"),
    )
    along, across = (part.m_as("N") for part in turning.force(Quantity(10, "deg")))
    assert np.hypot(along, across) == pytest.approx(7.8957, rel=1e-4)
    assert np.degrees(np.arctan2(across, along)) == pytest.approx(40)
    assert turning.largest(1, "couple").m_as("N*m") == pytest.approx(7.8957 * 0.05, rel=1e-4)
    assert turning.largest(2).m_as("N") == 0
    balanced = shaking_forces(**GOOD, share=0.5)
    same = shaking_forces(
        **GOOD, turning_unbalance=-0.5 * GOOD["reciprocating_mass"] * GOOD["throw"]
    )  # a counterweight is just that
    assert balanced.primary == pytest.approx(same.primary)


@pytest.mark.parametrize("name", [*GOOD, "turning_unbalance"])
@pytest.mark.parametrize(
    ("bad", "kind"), [(5, TypeError), (Quantity(1, "candela"), pint.DimensionalityError)]
)
def test_bad_arguments_are_named(name, bad, kind):
    with pytest.raises(kind, match=f"^{name}"):
        shaking_forces(**GOOD | {name: bad})


@pytest.mark.parametrize("name", GOOD)
def test_sizes_below_zero_are_named(name):
    with pytest.raises(ValueError, match=f"^{name}"):
        shaking_forces(**GOOD | {name: Quantity(-1.0, GOOD[name].units)})


@pytest.mark.parametrize(
    ("throws", "wanted"), [(3.5, 0.61), (4.0, 0.60), (6.0, 0.57), (1000.0, 0.5)]
)
def test_least_shaking_share_against_exact_sliders(throws, wanted):
    """Second route: exact sliders with every share from 0.40 to 0.75 in steps of 0.01, the one with the smallest largest force."""
    theta, tried = np.linspace(0, 2 * np.pi, 1441), np.arange(0.40, 0.75, 0.01)
    along, turning = exact_force(theta, 1.0, 1.0, throws, 1.0), np.exp(1j * theta)
    best = tried[np.argmin([abs(along - share * turning).max() for share in tried])]
    found = least_shaking_share(mm(1.0), mm(throws))
    assert found == pytest.approx(best, abs=0.011)
    assert found == pytest.approx(wanted, abs=0.015)
    with pytest.raises(ValueError, match="^rod_length must be longer"):
        least_shaking_share(mm(10), mm(9))
