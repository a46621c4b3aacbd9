"""Mass properties against a general geometry library and closed forms."""

from dataclasses import replace

import numpy as np
import pytest
import trimesh
from scipy.integrate import dblquad

from crankmath.crank import EXAMPLES, Crank, mass
from crankmath.units import OutOfRangeWarning, Quantity

DENSITY = Quantity(7850, "kg/m**3")
SECTIONS = 240  # an inscribed polygon of so many sides has 0.011 % less area than its circle


def mm(value):
    return Quantity(value, "mm")


def turned_solid(diameter, length, arc_left, arc_right):
    """A journal or pin with its fillets, from x = 0, as a mesh."""
    half, sweep = diameter / 2, np.linspace(0, np.pi / 2, 16)
    left = (
        [(half + arc_left - arc_left * np.sin(t), arc_left - arc_left * np.cos(t)) for t in sweep]
        if arc_left
        else [(half, 0.0)]
    )
    right = (
        [
            (half + arc_right - arc_right * np.sin(t), length - arc_right + arc_right * np.cos(t))
            for t in sweep[::-1]
        ]
        if arc_right
        else [(half, length)]
    )
    outline = [(0.0, 0.0), *left, *right, (0.0, length)]
    solid = trimesh.creation.revolve(outline, sections=SECTIONS)
    solid.apply_transform(np.array([[0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 0, 1.0]]))
    if solid.volume < 0:
        solid.invert()
    return solid


def crank_mesh(crank, fillets):
    solids = []
    pieces = crank.segments
    for place, piece in enumerate(pieces):
        if piece.kind == "web":
            throw = crank.throws[piece.index]
            tall = (throw.radius + 2 * throw.web_reach).m_as("mm")
            solid = trimesh.creation.box((piece.length, tall, throw.web_width.m_as("mm")))
            solid.apply_translation(
                (piece.start + piece.length / 2, throw.radius.m_as("mm") / 2, 0)
            )
        else:
            part = (crank.journals if piece.kind == "journal" else crank.throws)[piece.index]
            diameter = part.diameter if piece.kind == "journal" else part.pin_diameter
            arc = part.fillet.m_as("mm") if fillets else 0.0
            solid = turned_solid(
                diameter.m_as("mm"),
                piece.length,
                arc if place else 0.0,
                arc if place + 1 < len(pieces) else 0.0,
            )
            solid.apply_translation(
                (piece.start, part.radius.m_as("mm") if piece.kind == "pin" else 0.0, 0)
            )
        if piece.kind != "journal":
            solid.apply_transform(
                trimesh.transformations.rotation_matrix(
                    crank.throws[piece.index].angle.m_as("rad"), (1, 0, 0)
                )
            )
        solids.append(solid)
    return trimesh.util.concatenate(solids)


def skewed():
    """A crank without any symmetry."""
    crank = Crank.load("organ")
    return crank.with_throw(0, radius=Quantity(0.7, "in"), angle=Quantity(20, "deg")).with_throw(
        1, web_thickness=Quantity(0.5, "in"), pin_length=Quantity(0.8, "in")
    )


@pytest.mark.parametrize("fillets", [True, False])
@pytest.mark.parametrize("crank", [*map(Crank.load, EXAMPLES), skewed()], ids=[*EXAMPLES, "skewed"])
def test_mass_properties_against_trimesh(crank, fillets):
    """Second opinion: trimesh integrates a closed mesh of the same shape; issue asks 0.1 %."""
    ours, mesh = mass.mass_properties(crank, DENSITY, fillets=fillets), crank_mesh(crank, fillets)
    per_volume = DENSITY.m_as("kg/mm**3")
    assert ours.mass.m_as("kg") == pytest.approx(mesh.volume * per_volume, rel=1e-3)
    reach = crank.swing_radius.m_as("mm")
    np.testing.assert_allclose(ours.center.m_as("mm"), mesh.center_mass, atol=1e-3 * reach)
    theirs = mesh.moment_inertia * per_volume
    np.testing.assert_allclose(
        ours.inertia.m_as("kg*mm**2"), theirs, rtol=1e-3, atol=1e-3 * theirs[0, 0]
    )
    offset = mesh.center_mass[1:] * mesh.volume * per_volume * 1000
    np.testing.assert_allclose(
        ours.unbalance.m_as("g*mm"), offset, atol=1e-3 * ours.mass.m_as("g") * reach
    )
    axis = theirs[0, 0] + mesh.volume * per_volume * mesh.center_mass[1:] @ mesh.center_mass[1:]
    assert ours.axis_inertia.m_as("kg*mm**2") == pytest.approx(axis, rel=1e-3)
    np.testing.assert_allclose(
        ours.couple_unbalance.m_as("g*mm**2"),
        -theirs[0, 1:] * 1000,
        rtol=1e-3,
        atol=0.02 * theirs[0, 0],
    )


def test_fillet_ring_against_pappus():
    """Area r^2 (1 - pi/4), its center (10 - 3 pi)/(12 - 3 pi) r from either face: Pappus's rule, closed form."""
    half, arc = 9.0, 1.5
    volume, along, _ = mass._ring(half, arc)
    lever = (10 - 3 * np.pi) / (12 - 3 * np.pi) * arc
    assert volume == pytest.approx(arc**2 * (1 - np.pi / 4) * 2 * np.pi * (half + lever), rel=1e-12)
    assert 0 < along < arc


def test_fillet_ring_by_integration():
    """Rings 2 pi r dr dx between the round and the quarter circle: r^2 about the axis, r^2/2 + x^2
    across it, x from the ring's own center.
    """
    half, arc = 9.0, 2.0
    volume, center, (around, across, _) = mass._ring(half, arc)

    def over(moment):
        edge = lambda x: half + arc - np.sqrt(arc**2 - (arc - x) ** 2)  # noqa: E731
        return dblquad(lambda r, x: 2 * np.pi * r * moment(r, x), 0, arc, half, edge)[0]

    assert volume == pytest.approx(over(lambda r, x: 1.0), rel=1e-6)
    assert volume * center == pytest.approx(over(lambda r, x: x), rel=1e-6)
    assert around == pytest.approx(over(lambda r, x: r**2), rel=1e-6)
    assert across == pytest.approx(over(lambda r, x: r**2 / 2 + (x - center) ** 2), rel=1e-6)


def test_a_round_by_its_textbook_formula():
    """m r^2 / 2 about its axis, m (3 r^2 + l^2) / 12 across it."""
    crank = Crank.load("pump")
    parts = mass._parts(crank, fillets=False)[-len(crank.rounds) :]
    for piece, part in zip(crank.rounds, parts, strict=True):
        r, length = piece.diameter / 2, piece.length
        across = part.volume * (3 * r**2 + length**2) / 12
        assert part.own == pytest.approx([part.volume * r**2 / 2, across, across])


def test_density_and_steel():
    pump = Crank.load("pump")
    given = mass.mass_properties(pump, Quantity(7.85, "g/cm**3")).mass.m_as("kg")
    assert mass.mass_properties(pump).mass.m_as("kg") == pytest.approx(
        given, rel=0.01
    )  # steels differ by less
    with pytest.raises(ValueError, match="steel"):
        mass.mass_properties(replace(pump, steel="cheese"))
    with pytest.raises(TypeError, match="^density"):
        mass.mass_properties(pump, 7850)


def test_a_fillet_over_the_edge_of_its_web_is_told():
    tight = Crank.load("pump").with_throw(0, web_reach=mm(10.2))
    with pytest.warns(OutOfRangeWarning, match="wider than its web"):
        mass.mass_properties(tight)


def test_overhang_is_told_by_its_share():
    """A ring beyond a straight edge, summed over small squares of its section seen along the axis."""
    half, arc, edge = 9.0, 3.0, 10.0
    step = 0.01
    y, z = np.meshgrid(
        np.arange(edge, half + arc, step) + step / 2, np.arange(-7, 7, step) + step / 2
    )
    out = np.hypot(y, z)
    turn = np.arcsin(np.clip(1 - (out - half) / arc, 0, 1))  # the arc's height at this radius
    summed = (np.where(out < half + arc, arc * (1 - np.cos(turn)), 0) * step**2).sum()
    assert mass._beyond(half, arc, edge) == pytest.approx(summed, rel=5e-3)


def test_throws_add_up_to_the_unbalance():
    """Vectors of all throws, each at its angle, are the whole crank's."""
    crank = skewed()
    each, turn = (
        mass.throw_unbalance(crank).m_as("g*mm"),
        np.array([throw.angle.m_as("rad") for throw in crank.throws]),
    )
    total = mass.mass_properties(crank).unbalance.m_as("g*mm")
    np.testing.assert_allclose([(each * np.cos(turn)).sum(), (each * np.sin(turn)).sum()], total)
    assert mass.throw_unbalance(crank, DENSITY, fillets=False).m_as("g*mm") == pytest.approx(
        [
            7.85e-3
            * throw.radius.m_as("mm")
            * (
                np.pi / 4 * throw.pin_diameter**2 * throw.pin_length
                + throw.web_thickness * throw.web_width * (throw.radius + 2 * throw.web_reach)
            ).m_as("mm**3")
            for throw in crank.throws
        ]
    )
