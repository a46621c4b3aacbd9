"""The solids' own assembly against scikit-fem, on one curved mesh; loads in balance."""

import numpy as np
import pytest
import scipy.sparse as sp

pytest.importorskip("gmsh")
pytest.importorskip("pypardiso")
skfem = pytest.importorskip("skfem")

import quarter_throw as solids  # noqa: E402
from skfem.models.elasticity import lame_parameters, linear_elasticity  # noqa: E402

PUMP = solids.Throw(18, 20, 18, 14, 28, 1.5, 1.5, 14, 0, 22, 22.5)
COARSE = {"arc": 3, "deep": 1, "coarse": 0.5, "growth": 1.0, "around": 0.4}


@pytest.fixture(scope="module")
def meshed():
    return solids.mesh(PUMP, **COARSE)[:2]


def test_stiffness_is_that_of_scikit_fem(meshed):
    """Strain energy of a random and of a smooth motion, by the same four points and by eleven."""
    xyz, elements = meshed
    upper, worst = solids.stiffness(xyz, elements)
    own = upper + sp.triu(upper, 1).T
    assert worst > 0
    corners = np.unique(elements[:, :4])
    place = np.zeros(len(xyz), int)
    place[corners] = np.arange(len(corners))
    straight = skfem.MeshTet(xyz[corners].T, place[elements[:, :4]].T.copy())
    middle = {}
    for k, (i, j) in enumerate(solids.EDGES, start=4):
        ends = np.sort(place[elements[:, [i, j]]], axis=1)
        middle.update(zip(map(tuple, ends), elements[:, k], strict=False))
    order = np.r_[corners, [middle[tuple(sorted(edge))] for edge in straight.edges.T]]
    curved = skfem.MeshTet2(xyz[order].T.copy(), skfem.MeshTet2.from_mesh(straight).t)
    draw = np.random.default_rng(1)
    motions = draw.normal(size=xyz.shape), np.sin(xyz / 9) @ draw.normal(size=(3, 3))
    for rule, tolerance in ((2, 1e-12), (4, 5e-3)):
        basis = skfem.Basis(curved, skfem.ElementVector(skfem.ElementTetP2()), intorder=rule)
        other = linear_elasticity(*lame_parameters(solids.E, solids.NU)).assemble(basis)
        freedoms = np.zeros(xyz.shape, int)
        freedoms[order[: len(corners)]] = basis.nodal_dofs.T
        freedoms[order[len(corners) :]] = basis.edge_dofs.T
        for motion in motions:
            theirs = np.zeros(basis.N)
            theirs[freedoms.ravel()] = motion.ravel()
            energy = motion.ravel() @ own @ motion.ravel()
            assert energy == pytest.approx(theirs @ other @ theirs, rel=tolerance)


def test_loads_are_in_balance(meshed):
    """No force along the free directions, and the moments by hand: 1 N on the pin and 1 N mm."""
    xyz, elements = meshed
    cases = {
        name: force.reshape(-1, 3)
        for name, (force, _) in solids.load_cases(PUMP, xyz, elements).items()
    }
    assert cases["radial"].sum(axis=0) == pytest.approx([0, 0, 0], abs=1e-9)
    assert cases["tangential"][:, 2].sum() == pytest.approx(0, abs=1e-9)
    about_z = np.cross(xyz, cases["bending"])[:, 2].sum()
    assert abs(about_z) == pytest.approx(0.5, rel=0.01)  # half of the section above z = 0
    twist = np.cross(xyz, cases["torsion"])[:, 0].sum()
    assert twist == pytest.approx(0.5, rel=0.01)
    assert np.cross(xyz, cases["tangential"])[:, 0].sum() == pytest.approx(0, abs=1e-6)
