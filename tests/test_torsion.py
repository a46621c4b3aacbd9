"""Twist and torsional frequencies: closed forms, another eigenvalue solver, Holzer's table. Checks against print are in published/."""

import numpy as np
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crankmath import service
from crankmath.crank import EXAMPLES, Crank, steels
from crankmath.service import torsion
from crankmath.units import Quantity


def train(disks, shafts):
    return Quantity(np.array(disks, float), "kg*m**2"), Quantity(np.array(shafts, float), "N*m/rad")


@given(st.floats(1e-4, 10), st.floats(1e-4, 10), st.floats(10, 1e6))
def test_two_disks_in_closed_form(first, second, shaft):
    modes = torsion.torsional_modes(*train([first, second], [shaft]))
    assert modes.first.m_as("Hz") == pytest.approx(
        np.sqrt(shaft * (first + second) / (first * second)) / (2 * np.pi)
    )
    # the node divides the shaft inversely as the inertias
    assert modes.shape[1, 0] / modes.shape[1, 1] == pytest.approx(-second / first, rel=1e-6)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(0.01, 5), min_size=3, max_size=7), st.data())
def test_against_a_general_eigenvalue_solver_and_holzer(disks, data):
    """scipy's eigenvalues of the unsymmetric J^-1 K, built another way; and Holzer's left-over torque, which is nothing at each."""
    from scipy.linalg import eig

    shafts = data.draw(
        st.lists(st.floats(100, 1e5), min_size=len(disks) - 1, max_size=len(disks) - 1)
    )
    modes = torsion.torsional_modes(*train(disks, shafts))
    matrix = np.zeros((len(disks), len(disks)))
    for index, shaft in enumerate(shafts):
        matrix[index : index + 2, index : index + 2] += shaft * np.array([[1, -1], [-1, 1]])
    squares = np.sort(eig(matrix / np.array(disks)[:, None])[0].real)
    ours = (2 * np.pi * modes.frequency.m_as("Hz")) ** 2
    assert ours == pytest.approx(squares, rel=1e-6, abs=1e-8 * squares[-1])
    frequency = modes.first
    swing, left = torsion.holzer(*train(disks, shafts), frequency)
    scale = ours[1] * np.abs(np.array(disks) * swing).max()
    assert abs(left.m_as("N*m")) < 1e-4 * scale
    shape = modes.shape[1] / modes.shape[1, 0]
    assert swing == pytest.approx(shape, rel=1e-3, abs=1e-3 * np.abs(shape).max())


def test_modes_are_orthogonal_and_scaled():
    modes = torsion.torsional_modes(*train([0.01, 0.002, 0.002, 0.05], [2e4, 1.5e4, 2e4]))
    product = modes.shape * modes.inertia.magnitude @ modes.shape.T
    assert product - np.diag(np.diag(product)) == pytest.approx(0, abs=1e-12)
    assert np.abs(modes.shape).max(axis=1) == pytest.approx(1)
    assert modes.frequency[0].magnitude == 0


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_ways_to_a_throws_stiffness_agree_as_stated(name):
    """Frame against two printed formulas (from memory): within the 25 % that the docstring gives."""
    crank = Crank.load(name)
    ways = [torsion.section_stiffness(crank, method).m_as("N*m/rad") for method in torsion.METHODS]
    assert np.max(ways, axis=0) / np.min(ways, axis=0) == pytest.approx(1.1, abs=0.15)
    modulus = steels.find(crank.steel).elastic_modulus.m_as("MPa") / 2.58
    size, length = crank.journals[0].diameter.m_as("mm"), crank.journals[0].length.m_as("mm")
    bare = np.pi * modulus * size**4 / 32 / (length / 2) / 1000
    assert (ways[0][[0, -1]] < bare).all()  # half a throw comes on top of half a main


def test_twist_is_torque_over_stiffness():
    crank = Crank.load("organ")
    found = torsion.twist(crank, Quantity(20, "N*m"))
    assert found.m_as("rad") == pytest.approx(20 / torsion.section_stiffness(crank).m_as("N*m/rad"))


def test_inertia_of_a_throw_by_small_pieces():
    """Webs and pin cut into small bricks and summed r^2 dm, for the pump; half of each main beside."""
    crank = Crank.load("pump")
    density = steels.find(crank.steel).density.m_as("kg/mm**3")
    y, z = np.meshgrid(
        np.linspace(-14, 32, 461)[:-1] + 0.05, np.linspace(-14, 14, 281)[:-1] + 0.05, indexing="ij"
    )
    web = density * 14 * 0.01 * np.sum(y**2 + z**2)
    around = np.hypot(y - 18, z) < 9
    pin = density * 22 * 0.01 * np.sum((y**2 + z**2)[around])
    mains = density * 45 * np.pi * 20**4 / 32
    expected = 2 * web + pin + mains
    assert torsion.throw_inertia(crank).m_as("kg*mm**2")[0] == pytest.approx(expected, rel=1e-3)
    rod = service.Cylinder(
        Quantity(90, "mm"),
        Quantity(1, "N"),
        moving_mass=Quantity(0.2, "kg"),
        turning_mass=Quantity(0.3, "kg"),
    )
    assert torsion.throw_inertia(crank, rod) == torsion.throw_inertia(crank, [rod])
    assert torsion.throw_inertia(crank, [rod]).m_as("kg*mm**2")[0] == pytest.approx(
        expected + 0.4 * 18**2, rel=1e-3
    )


def test_a_great_flywheel_leaves_the_throw_on_one_spring():
    crank = Crank.load("pump")
    modes = torsion.crank_modes(crank, right_inertia=Quantity(1e3, "kg*m**2"))
    alone = np.sqrt(torsion.section_stiffness(crank)[1] / torsion.throw_inertia(crank)[0]).m_as(
        "rad/s"
    ) / (2 * np.pi)
    assert modes.first.m_as("Hz") == pytest.approx(alone, rel=1e-5)


def test_harmonics_of_a_half_wave():
    """Rectified half wave, the textbook series: 1/2 sin x, then 2/(pi (n^2 - 1)) for even n, nothing for odd n above 1."""
    turned = np.arange(720) * 2 * np.pi / 720
    found = torsion.torque_harmonics(Quantity(np.maximum(np.sin(turned), 0), "N*m"), 6).m_as("N*m")
    assert found == pytest.approx(
        [0.5, 2 / (3 * np.pi), 0, 2 / (15 * np.pi), 0, 2 / (35 * np.pi)], abs=1e-4
    )


def test_one_harmonic_may_be_asked_for_and_needs_three_values():
    """A third of a turn apart 2, -1, -1: a cosine of 2. Two values tell no cosine from a constant."""
    torque = Quantity([2.0, -1.0, -1.0], "N*m")
    assert torsion.torque_harmonics(torque, 1).m_as("N*m") == pytest.approx([2.0])
    with pytest.raises(ValueError, match="has 2 values; 1 harmonics need at least 3"):
        torsion.torque_harmonics(torque[:2], 1)
    modes = torsion.torsional_modes(*train([0.01, 0.02], [5000]))
    with pytest.warns(torsion.ResonanceWarning, match="harmonic 1 meets mode 1"):
        torsion.resonances(modes, Quantity(60 * modes.first.m_as("Hz"), "rpm"), orders=1)
    with pytest.raises(ValueError, match="^orders"):
        torsion.resonances(modes, Quantity(60, "rpm"), orders=0)


def test_a_harmonic_that_is_not_in_the_torque_does_no_harm():
    modes = torsion.torsional_modes(*train([0.01, 0.02], [5000]))
    turned = np.arange(120) * 2 * np.pi / 120
    speed = Quantity(60 * modes.first.m_as("Hz") / 4, "rpm")
    assert (
        torsion.resonances(
            modes, speed, torque=Quantity(np.cos(turned) + 0.02 * np.cos(4 * turned), "N*m")
        )
        == []
    )
    with pytest.warns(torsion.ResonanceWarning, match="harmonic 4"):
        torsion.resonances(
            modes, speed, torque=Quantity(np.cos(turned) + 0.2 * np.cos(4 * turned), "N*m")
        )
    assert torsion.resonances(modes, speed, torque=Quantity(np.zeros(120), "N*m")) == []


def test_resonance_warns_and_names_the_harmonic():
    modes = torsion.torsional_modes(*train([0.01, 0.02], [5000]))
    frequency = modes.first.m_as("Hz")
    with pytest.warns(torsion.ResonanceWarning, match="harmonic 4"):
        found = torsion.resonances(modes, Quantity(60 * frequency / 4 * 1.03, "rpm"))
    assert (found[0].order, found[0].mode) == (4, 1)
    assert found[0].margin == pytest.approx(0.03)
    assert torsion.resonances(modes, Quantity(60 * frequency / 40, "rpm")) == []


@pytest.mark.parametrize(
    ("call", "kind", "words"),
    [
        (lambda: torsion.torsional_modes(*train([1, 2], [1, 2])), ValueError, "stiffness"),
        (lambda: torsion.torsional_modes(*train([1, -2], [1])), ValueError, "inertia"),
        (
            lambda: torsion.torsional_modes(Quantity(1, "kg"), Quantity(1, "N*m/rad")),
            pint.DimensionalityError,
            "inertia",
        ),
        (lambda: torsion.holzer(*train([1, 2], [1]), Quantity(3, "rad/s")), ValueError, "hertz"),
        (lambda: torsion.holzer(*train([1, 2], [1]), Quantity(3, "rpm")), ValueError, "hertz"),
        (lambda: torsion.crank_modes(Crank.load("pump")), ValueError, "left_inertia"),
        (lambda: torsion.section_stiffness(Crank.load("pump"), "guess"), ValueError, "method"),
        (lambda: torsion.throw_inertia(Crank.load("pump"), []), ValueError, "cylinders"),
        (lambda: torsion.torque_harmonics(Quantity(np.ones(20), "N*m")), ValueError, "torque"),
    ],
)
def test_bad_input_names_the_argument(call, kind, words):
    with pytest.raises(kind, match=words):
        call()
