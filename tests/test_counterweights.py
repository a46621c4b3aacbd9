"""Counterweights against sums over small pieces and a general geometry library. Checks against print are in published/."""

import numpy as np
import pint
import pytest
import shapely

from crankmath import balance
from crankmath.balance import counterweights
from crankmath.balance.shaking import crank_shaking
from crankmath.crank import EXAMPLES, Crank
from crankmath.crank.mass import mass_properties, throw_unbalance
from crankmath.units import Quantity

DENSITY = Quantity(7850, "kg/m**3")


def mm(value):
    return Quantity(value, "mm")


def gram(value):
    return Quantity(value, "g")


def test_counterweight_against_a_sum_over_small_pieces():
    found = counterweights.counterweight(Quantity(900, "g*mm"), mm(14), mm(32), mm(14), DENSITY)
    half = found.half_angle.m_as("rad")
    radius = np.linspace(14, 32, 4001)
    radius = (radius[1:] + radius[:-1]) / 2
    turn = np.linspace(-half, half, 401)
    turn = (turn[1:] + turn[:-1]) / 2
    piece = DENSITY.m_as("g/mm**3") * 14 * radius[:, None] * (18 / 4000) * (2 * half / 400)
    assert (piece * radius[:, None] * np.cos(turn)).sum() == pytest.approx(900, rel=1e-4)
    assert found.mass.m_as("g") == pytest.approx(float(piece.sum() * 400), rel=1e-4)
    assert (found.mass * found.center_radius).m_as("g*mm") == pytest.approx(900)
    with pytest.raises(ValueError, match="half ring"):
        counterweights.counterweight(Quantity(90000, "g*mm"), mm(14), mm(32), mm(14), DENSITY)


@pytest.mark.parametrize("name", ["pump", "bellows", "compressor", "organ"])
@pytest.mark.parametrize("share", [0.05, 0.5, 0.95])
def test_web_counterweight_against_polygons(name, share):
    """Second opinion: shapely cuts the web out of a sector of 4,000 sides and sums what is left."""
    crank = Crank.load(name)
    throw, outer = crank.throws[0], crank.swing_radius
    wanted = share * counterweights.largest_web_counterweight(throw, outer, DENSITY)
    found = counterweights.web_counterweight(throw, wanted, outer, DENSITY)
    half, reach, wide = (
        found.half_angle.m_as("rad"),
        throw.web_reach.m_as("mm"),
        throw.web_width.m_as("mm"),
    )
    turn = np.linspace(-half, half, 4001)
    sector = shapely.Polygon(
        [
            (0, 0),
            *zip(outer.m_as("mm") * np.sin(turn), -outer.m_as("mm") * np.cos(turn), strict=True),
        ]
    )
    left = sector.difference(
        shapely.box(-wide / 2, -reach, wide / 2, throw.radius.m_as("mm") + reach)
    )
    per_area = (DENSITY * throw.web_thickness).m_as("g/mm**2")
    assert -left.area * left.centroid.y * per_area == pytest.approx(wanted.m_as("g*mm"), rel=1e-4)
    assert found.mass.m_as("g") == pytest.approx(left.area * per_area, rel=1e-4)
    assert (found.mass * found.center_radius).m_as("g*mm") == pytest.approx(wanted.m_as("g*mm"))


def test_web_counterweight_that_cannot_be():
    pump = Crank.load("pump")
    most = counterweights.largest_web_counterweight(pump.throws[0], mm(34), DENSITY)
    with pytest.raises(ValueError, match="^unbalance: a half disk"):
        counterweights.web_counterweight(pump.throws[0], 1.01 * most, mm(34), DENSITY)
    with pytest.raises(ValueError, match="^outer_radius must be larger than the web's reach"):
        counterweights.web_counterweight(pump.throws[0], most, mm(14), DENSITY)
    doubled = counterweights.largest_web_counterweight(
        pump.throws[0], mm(34), DENSITY, thickness=mm(28)
    )
    assert doubled.m_as("g*mm") == pytest.approx(2 * most.m_as("g*mm"))


def test_counterweights_balance_the_pump():
    """Two equal sectors, one on each web, opposite the pin: what is left is nothing."""
    found = mass_properties(Crank.load("pump"))
    assert throw_unbalance(Crank.load("pump"))[0].m_as("g*mm") == pytest.approx(
        found.unbalance_size.m_as("g*mm")
    )
    each = found.unbalance_size / 2
    webs = [piece for piece in Crank.load("pump").segments if piece.kind == "web"]
    places = [piece.start + piece.length / 2 for piece in webs]
    weight, angle = balance.unbalance_in_planes(
        Quantity([found.unbalance_size.magnitude], "g*mm"),
        Quantity([0.0], "deg"),
        found.center[0:1],
        mm(places),
    )
    np.testing.assert_allclose(weight.m_as("g*mm"), each.m_as("g*mm"))
    np.testing.assert_allclose(angle.m_as("deg"), 180)


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_plan_leaves_only_the_moving_mass(name):
    """Fully balanced turning parts: what shakes is that of the moving mass alone, m e w^2 (cos + lambda cos 2), summed over the throws by hand."""
    crank = Crank.load(name)
    plan = counterweights.counterweights_for(crank, gram(20.0), gram(40.0), 0.0)
    assert plan.enough and np.all(plan.half_angle.m_as("deg") < 90)
    rod, omega = 4 * crank.throws[0].radius, 600 * np.pi / 30
    shaking = crank_shaking(crank, gram(20.0), gram(40.0), rod, Quantity(600, "rpm"), plan.given)
    theta = np.linspace(0, 2 * np.pi, 37)
    arm, turned = (
        crank.throws[0].radius.m_as("m"),
        np.array([throw.angle.m_as("rad") for throw in crank.throws]),
    )
    by_hand = sum(
        0.040 * arm * omega**2 * (np.cos(theta + turn) + 0.25 * np.cos(2 * (theta + turn)))
        for turn in turned
    )
    along, across = shaking.force(Quantity(theta, "rad"))
    np.testing.assert_allclose(along.m_as("N"), by_hand, atol=1e-6)
    np.testing.assert_allclose(across.m_as("N"), 0, atol=1e-6)


def test_without_counterweights_the_crank_pulls_with_its_own_unbalance():
    """No moving parts at all: m r w^2 of the mass properties, which trimesh checks."""
    pump = Crank.load("pump")
    shaking = crank_shaking(pump, gram(0.0), gram(0.0), mm(72), Quantity(600, "rpm"))
    own = mass_properties(pump).unbalance_size.m_as("kg*m") * (600 * np.pi / 30) ** 2
    assert shaking.largest(1).m_as("N") == pytest.approx(own)
    assert shaking.largest(1, "couple").m_as("N*m") == pytest.approx(0, abs=1e-12)


def test_the_couple_of_two_throws_is_that_of_the_mass_properties():
    """compressor: forces cancel, the couple is the couple unbalance times w^2."""
    crank = Crank.load("compressor")
    shaking = crank_shaking(crank, gram(0.0), gram(0.0), mm(56), Quantity(600, "rpm"))
    couple = (
        np.hypot(*mass_properties(crank).couple_unbalance.m_as("kg*m**2")) * (600 * np.pi / 30) ** 2
    )
    assert shaking.largest(1).m_as("N") == pytest.approx(0, abs=1e-9)
    assert shaking.largest(1, "couple").m_as("N*m") == pytest.approx(couple)


def test_a_plan_without_room_gives_half_disks_and_says_so():
    pump = Crank.load("pump")
    plan = counterweights.counterweights_for(pump, gram(200.0), gram(400.0), 0.5)
    assert not plan.enough and plan.half_angle.m_as("deg")[0] == pytest.approx(90)
    assert plan.given[0].m_as("g*mm") == pytest.approx(
        2
        * counterweights.largest_web_counterweight(pump.throws[0], pump.swing_radius, DENSITY).m_as(
            "g*mm"
        )
    )
    assert plan.wanted[0].m_as("g*mm") == pytest.approx(
        throw_unbalance(pump)[0].m_as("g*mm") + (200 + 0.5 * 400) * 18
    )
    with pytest.raises(ValueError, match="one for each of the 1 throws"):
        counterweights.counterweights_for(pump, gram([1.0, 2.0]), gram(4.0), 0.5)
    with pytest.raises(ValueError, match="^share"):
        counterweights.counterweights_for(pump, gram(1.0), gram(4.0), 1.5)


GOOD = {
    "balance_mass": (
        counterweights.balance_mass,
        {
            "rotating_mass": Quantity(0.3, "kg"),
            "reciprocating_mass": Quantity(0.2, "kg"),
            "throw": mm(18),
            "balance_radius": mm(30),
        },
    ),
    "counterweight": (
        counterweights.counterweight,
        {
            "unbalance": Quantity(900, "g*mm"),
            "thickness": mm(14),
            "outer_radius": mm(32),
            "inner_radius": mm(14),
            "density": DENSITY,
        },
    ),
    "web_counterweight": (
        counterweights.web_counterweight,
        {"unbalance": Quantity(900, "g*mm"), "outer_radius": mm(34), "density": DENSITY},
    ),
    "counterweights_for": (
        counterweights.counterweights_for,
        {
            "turning_mass": gram(20),
            "moving_mass": gram(40),
            "outer_radius": mm(34),
            "density": DENSITY,
        },
    ),
}
PUMP = Crank.load("pump")
EXTRA = {
    "web_counterweight": {"throw": PUMP.throws[0]},
    "balance_mass": {"share": 0.5},
    "counterweights_for": {"crank": PUMP, "share": 0.5},
}


@pytest.mark.parametrize(
    ("call", "name"), [(call, name) for call, (_, given) in GOOD.items() for name in given]
)
@pytest.mark.parametrize(
    ("bad", "kind"),
    [(5, TypeError), (Quantity(1, "candela"), pint.DimensionalityError), (None, ValueError)],
)
def test_bad_arguments_are_named(call, name, bad, kind):
    function, given = GOOD[call]
    bad = Quantity(-1.0, given[name].units) if bad is None else bad
    with pytest.raises(kind, match=f"^{name}"):
        function(**given | EXTRA.get(call, {}) | {name: bad})
