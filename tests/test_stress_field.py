"""The live field against scikit-fem, against plain bars, over sliders, and with bad input. Stored values are in published/."""

import numpy as np
import pytest
import skfem
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import cKDTree
from skfem.helpers import ddot, eye, trace

from crankmath.stress_field import field as stress_field
from crankmath.stress_field import solve_fillet
from crankmath.stress_field.field import CELLS, LOADS, POISSON
from crankmath.stress_field.fillet_mesh import map_under, number_grid, place_nodes
from crankmath.units import Quantity

SHEAR = 1 / (2 * (1 + POISSON))  # modulus of elasticity 1
LAME = POISSON / ((1 + POISSON) * (1 - 2 * POISSON))
PARTS = {"tension": 2, "bending": 3, "torsion": 1}


def mm(value):
    return Quantity(value, "mm")


def solved(load, ratio, radius, detail="fast"):
    return solve_fillet(load, mm(ratio), mm(1.0), mm(radius), detail)


# ---- the second opinion: the same problem written out for scikit-fem; x[0] along the axis, x[1] from it
# unknowns: axial, radial and, in bending, radial + hoop (which is zero on the axis); in torsion the twist


def strain(u, x):
    """Strains of a displacement in the plane of bending; shears with the hoop direction across that plane."""
    slope, axial, radial, distance = u.grad, u[0], u[1], x[1]
    bent = len(slope) == 3
    both = u[2] if bent else radial
    shear = (slope[0][1] + slope[1][0]) / 2
    along = (slope[2][0] - slope[1][0] - axial / distance) / 2 if bent else 0 * distance
    across = (slope[2][1] - slope[1][1] - both / distance) / 2 if bent else 0 * distance
    return np.array(
        [
            [slope[0][0], shear, along],
            [shear, slope[1][1], across],
            [along, across, both / distance],
        ]
    )


def stress(u, x):
    part = strain(u, x)
    return LAME * eye(trace(part), 3) + 2 * SHEAR * part


def forms(load):
    nominal = {"tension": lambda y: 1.0, "bending": lambda y: 2 * y, "torsion": lambda y: 2 * y**2}[
        load
    ]
    if load == "torsion":
        matrix = skfem.BilinearForm(
            lambda u, v, w: SHEAR * (u.grad[0] * v.grad[0] + u.grad[1] * v.grad[1]) * w.x[1] ** 3
        )
        return matrix, skfem.LinearForm(lambda v, w: -nominal(w.x[1]) * v * w.x[1])
    matrix = skfem.BilinearForm(lambda u, v, w: ddot(stress(u, w.x), strain(v, w.x)) * w.x[1])
    return matrix, skfem.LinearForm(lambda v, w: -nominal(w.x[1]) * v[0] * w.x[1])


def solve_generally(mesh, element, load, order):
    """Displacement by scikit-fem; the load pulls at the leftmost line, the rightmost one is held."""
    element = element if load == "torsion" else skfem.ElementVector(element, PARTS[load])
    basis = skfem.Basis(mesh, element, intorder=order)
    places, tiny = basis.doflocs, 1e-9
    end = basis.boundary(
        mesh.facets_satisfying(lambda x: x[0] < places[0].min() + tiny, boundaries_only=True)
    )
    part = np.zeros(basis.N, int)
    for kind in (basis.nodal_dofs, basis.facet_dofs, basis.interior_dofs):
        for number in range(len(kind)):
            part[kind[number]] = number % PARTS[load]
    far, axis = places[0] > places[0].max() - tiny, places[1] < tiny
    held = {
        "tension": (far & (part == 0)) | (axis & (part == 1)),
        "bending": ((far | axis) & (part == 0)) | (axis & (part == 2)) | (far & axis),
        "torsion": far,
    }[load]
    matrix, force = forms(load)
    return basis, skfem.solve(
        *skfem.condense(matrix.assemble(basis), force.assemble(end), D=np.flatnonzero(held))
    )


def highest(basis, displacement, load, facets):
    """Largest principal stress, or shear stress in torsion, at the points of integration on the facets given."""
    edge = skfem.FacetBasis(basis.mesh, basis.elem, facets=facets, intorder=4)
    u, x = edge.interpolate(displacement), edge.global_coordinates()
    if load == "torsion":
        return SHEAR * float(np.max(x[1] * np.hypot(u.grad[0], u.grad[1])))
    whole = stress(u, x)
    (a, c), (_, b) = whole[0, :2], whole[1, :2]
    return float(np.max((a + b) / 2 + np.hypot((a - b) / 2, c)))


# ours to theirs: corners, middles of sides, middle, of an element numbered 3 * (along the surface) + inward
ORDER = [0, 6, 8, 2, 3, 7, 5, 1, 4]


def same_mesh(detail, ratio, radius):
    grid = number_grid(CELLS[detail], (ratio - 1) / 2 > radius)
    nodes = place_nodes(grid, ratio, radius)
    return grid, nodes, skfem.MeshQuad2(nodes.T, grid.elements[:, ORDER].T, sort_t=False)


def arc_of(ratio, radius):
    """Center of the arc and the angle where it ends, for small diameter 1."""
    last = 0.0 if (ratio - 1) / 2 > radius else np.arcsin(((ratio - 1) / 2 - radius) / radius)
    return np.array([-radius * np.cos(last), 0.5 + radius]), last


def arc_facets(mesh, ratio, radius):
    center, _ = arc_of(ratio, radius)
    outside = mesh.boundary_facets()
    ends = mesh.p[:, mesh.facets[:, outside]] - center[:, None, None]
    on_arc = np.abs(np.hypot(*ends) - radius) < 1e-7 * radius
    return outside[
        on_arc.all(axis=0) & (ends[0] > -1e-9).all(axis=0) & (ends[1].mean(axis=0) < 0.99 * radius)
    ]


def own_mesh(ratio, radius, pieces=80):
    """Curved triangles by a mesher, nothing of ours in them."""
    cytriangle = pytest.importorskip("cytriangle", reason="the mesher has no wheel for this Python")
    center, last = arc_of(ratio, radius)
    angle = np.linspace(-np.pi / 2, last, pieces + 1)
    arc = center + radius * np.c_[np.cos(angle), np.sin(angle)]
    corner = [[0.0, ratio / 2]] if last == 0 else []
    far = 2.0 * ratio
    outline = np.array(
        [
            [center[0] - 2.0, 0.0],
            [center[0] - 2.0, 0.5],
            *arc,
            *corner,
            [far, ratio / 2],
            [far, 0.0],
        ]
    )
    around = np.arange(len(outline))
    plain = cytriangle.triangulate(
        {"vertices": outline, "segments": np.c_[around, np.roll(around, -1)]},
        f"pq32a{0.004 * ratio}",
    )
    mesh = skfem.MeshTri2.from_mesh(
        skfem.MeshTri(np.array(plain["vertices"]).T, np.array(plain["triangles"]).T)
    )
    facets = arc_facets(mesh, ratio, radius)
    assert len(facets) == pieces
    middle = mesh.p[:, mesh.facets[:, facets]].mean(axis=1)
    places = mesh.doflocs.copy()
    moved = cKDTree(places.T).query(middle.T)[1]
    off = places[:, moved] - center[:, None]
    places[:, moved] = center[:, None] + radius * off / np.hypot(*off)
    return skfem.MeshTri2(places, mesh.t)


SHAPES = [(1.5, 0.1), (1.2, 0.3), (3.0, 0.03)]  # the second one an arc cut short


@pytest.mark.parametrize("load", LOADS)
@pytest.mark.parametrize(("ratio", "radius"), SHAPES)
def test_same_mesh_gives_the_same_displacements(load, ratio, radius):
    """scikit-fem with the same elements and points of integration: the equations, their solution and the load agree."""
    grid, nodes, mesh = same_mesh("fast", ratio, radius)
    basis, theirs = solve_generally(mesh, skfem.ElementQuad2(), load, 5)
    ours, _, _ = stress_field._solve(grid, nodes, load)
    if load == "bending":
        ours = ours.copy()
        ours[:, 2] += ours[:, 1]
    tree = cKDTree(nodes)
    for number in range(PARTS[load]):
        dofs = np.concatenate(
            [
                kind[number].ravel()
                for kind in (basis.nodal_dofs, basis.facet_dofs, basis.interior_dofs)
            ]
        )
        away, place = tree.query(basis.doflocs[:, dofs].T)
        assert away.max() < 1e-9
        np.testing.assert_allclose(
            theirs[dofs], ours[place, number], atol=1e-9 * np.abs(ours).max()
        )


@pytest.mark.parametrize("load", LOADS)
@pytest.mark.parametrize(("ratio", "radius"), SHAPES)
def test_kt_against_a_mesh_of_curved_triangles(load, ratio, radius):
    """scikit-fem on a mesh by a mesher, quadratic triangles of a fiftieth of the radius: theirs is good to about 0.1 %."""
    mesh = own_mesh(ratio, radius)
    basis, displacement = solve_generally(mesh, skfem.ElementTriP2(), load, 4)
    theirs = highest(basis, displacement, load, arc_facets(mesh, ratio, radius))
    assert solved(load, ratio, radius).kt == pytest.approx(theirs, rel=0.005)
    assert solved(load, ratio, radius, "fine").kt == pytest.approx(theirs, rel=0.0015)


@pytest.mark.parametrize("load", LOADS)
@pytest.mark.parametrize("detail", CELLS)
def test_plain_bar(load, detail):
    """Without a step the mesh, fan and all, carries the bar's stress: exactly in tension and torsion, near it in bending."""
    grid = number_grid(CELLS[detail], False)
    length = 2 * grid.arc + 1
    nodes = map_under(
        grid, np.c_[np.linspace(-0.3, 0.0, length), np.full(length, 0.5)], 0.5, 0.5, 1.0
    )
    displacement, slopes, distance = stress_field._solve(grid, nodes, load)
    stresses = stress_field._stresses(grid, displacement, slopes, distance, load)
    expected = {
        "tension": 1.0 + 0 * nodes[:, 1],
        "bending": 2 * nodes[:, 1],
        "torsion": 2 * nodes[:, 1],
    }[load]
    tolerance = (
        2e-3 if load == "bending" else 1e-8
    )  # its displacements are no polynomials on bent elements
    for number, values in enumerate(stresses):
        np.testing.assert_allclose(values, expected if number == 0 else 0, atol=tolerance)
    _, _, along, _ = stress_field._gauges(grid, nodes, displacement, load)
    np.testing.assert_allclose(np.abs(along), 1, atol=tolerance)


@pytest.mark.parametrize("load", LOADS)
@pytest.mark.parametrize("ratio", [1.02, 1.1, 2.0, 6.0])
@pytest.mark.parametrize("radius", [0.01, 0.05, 0.3, 1.0])
def test_fast_against_fine_at_the_extremes(load, ratio, radius):
    assert solved(load, ratio, radius).kt == pytest.approx(
        solved(load, ratio, radius, "fine").kt, rel=0.005
    )


@pytest.mark.parametrize("load", LOADS)
@pytest.mark.parametrize("detail", CELLS)
@pytest.mark.parametrize("ratio", [1.1, 1.6])
def test_arc_cut_short_joins_the_whole_arc(load, detail, ratio):
    """Radius a hair below and above the step: another mesh, the same part."""
    step = (ratio - 1) / 2
    below, above = (solved(load, ratio, step * (1 + side), detail).kt for side in (-1e-4, 1e-4))
    assert below == pytest.approx(above, rel=5e-4)


@pytest.mark.parametrize("load", LOADS)
@pytest.mark.parametrize("ratio", [1.06, 4.0])
def test_a_slider_of_the_radius_runs_smoothly(load, ratio):
    """Kt falls with the radius, and its steps of up to 6 % change from one to the next by less than 0.1 %."""
    radii = np.geomspace(0.01, 1.0, 80)
    steps = np.diff(np.log([solved(load, ratio, radius).kt for radius in radii]))
    assert steps.max() < 0
    assert np.abs(np.diff(steps)).max() < 1e-3


@pytest.mark.parametrize("load", LOADS)
def test_a_slider_of_the_large_diameter_runs_smoothly(load):
    ratios = 1 + np.geomspace(0.02, 5, 80)
    steps = np.diff(np.log([solved(load, ratio, 0.05).kt for ratio in ratios]))
    assert steps.min() > 0
    assert np.abs(np.diff(steps)).max() < 6e-4


@pytest.mark.parametrize("load", LOADS)
def test_size_and_unit_do_not_matter(load):
    small = solve_fillet(load, mm(30), mm(20), mm(1.5))
    large = solve_fillet(load, Quantity(300 / 25.4, "in"), Quantity(20, "cm"), mm(15))
    assert small.kt == pytest.approx(large.kt, rel=1e-9)
    np.testing.assert_allclose(
        small.nodes.m_as("mm") * 10, large.nodes.m_as("mm"), rtol=1e-9, atol=1e-9
    )
    np.testing.assert_allclose(small.von_mises, large.von_mises, rtol=1e-9, atol=1e-9)


@pytest.mark.parametrize("load", LOADS)
@pytest.mark.parametrize(("ratio", "radius"), SHAPES)
def test_the_field_holds_together(load, ratio, radius):
    field = solved(load, ratio, radius, "fine")
    nodes = field.nodes.m_as("mm")
    along, out = nodes.T
    surface = field.surface
    arc = surface[(out[surface] > 0.5 + 1e-9) & (along[surface] < -1e-9)]
    assert field.surface_stress[arc].max() == pytest.approx(field.kt, rel=0.005)
    assert 0 <= field.peak_angle.m_as("deg") <= 90
    end = along < along.min() + 1e-9
    nominal = 1.0 if load == "tension" else 2 * out[end]
    np.testing.assert_allclose(
        (field.torsion_shear if load == "torsion" else field.axial)[end], nominal, atol=0.01
    )
    far = np.argmax(along + out)  # outermost point of the large shaft's end
    share = {"tension": 2, "bending": 3, "torsion": 3}[load]
    assert (field.torsion_shear if load == "torsion" else field.axial)[far] == pytest.approx(
        ratio**-share, abs=0.02
    )
    if load == "torsion":
        assert not field.axial.any()
        assert field.von_mises == pytest.approx(np.sqrt(3) * field.torsion_shear)
    for values in (field.axial, field.radial, field.hoop, field.shear, field.torsion_shear):
        assert values.shape == (len(nodes),)
        with pytest.raises(ValueError, match="read-only"):
            values[0] = 0
    assert field.triangles.max() == field.elements.max() == len(nodes) - 1
    corner = nodes[field.triangles]
    one, two = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    area = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
    assert (area > 0).all() or (area < 0).all(), "no triangle is folded"


@given(st.sampled_from(LOADS), st.floats(1.02, 6), st.floats(0.01, 1))
@settings(deadline=None, max_examples=40)
def test_any_shape_has_a_factor(load, ratio, radius):
    assert 1 <= solved(load, ratio, radius).kt < 7


SIZES = {"large_diameter": mm(30), "small_diameter": mm(20), "radius": mm(2)}


@pytest.mark.parametrize(
    ("load", "sizes", "detail", "words"),
    [
        ("shear", (30, 20, 2), "fast", "load must be one of tension, bending, torsion"),
        ("bending", (30, 20, 2), "fair", "detail must be one of fast, fine"),
        ("bending", (20, 30, 2), "fast", "are the two swapped"),
        ("bending", (20, 20, 2), "fast", "are the two swapped"),
        ("bending", (20.2, 20, 2), "fast", "large_diameter must be 1.02 to 6 times"),
        ("bending", (130, 20, 2), "fast", "large_diameter must be 1.02 to 6 times"),
        ("torsion", (30, 20, 0.1), "fast", "radius must be 0.01 to 1 times"),
        ("torsion", (30, 20, 21), "fast", "radius must be 0.01 to 1 times"),
    ],
)
def test_impossible_shapes_get_a_sentence(load, sizes, detail, words):
    with pytest.raises(ValueError, match=words):
        solve_fillet(load, *(mm(size) for size in sizes), detail)
