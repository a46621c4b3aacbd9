"""The stress field of a shoulder fillet in a round shaft, solved live on a mapped mesh.

One logical grid of nine-node quadrilaterals covers the half section: the small
shaft, a fan under the arc, the shoulder face and the large shaft. Only its
points move with a slider, so all numbering is done once and kept.
"""

from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
from scipy.linalg import solveh_banded

from ..checks import takes
from ..threads import one_thread
from ..units import Quantity, ureg
from .element import (
    EDGE_SHAPES,
    EDGE_SLOPES,
    EDGE_WEIGHTS,
    ENERGY,
    FROM_GAUGES,
    GAUGE_SHAPES,
    GAUGE_SLOPES,
    LOADS,
    PAIRS,
    PARTS,
    POISSON,
    SHAPES,
    SHEAR,
    SLOPES,
    STRESS,
    TO_NODES,
    WEIGHTS,
)
from .fillet_mesh import number_grid, place_nodes

MILLIMETER, DEGREE = ureg.Unit("mm"), ureg.Unit("deg")
# cells along the shaft, the arc, the face; from the surface inward; beyond the corner line
CELLS = {"fast": (5, 6, 5, 6, 2), "fine": (12, 18, 12, 16, 7)}
DIAMETER_RATIO, RADIUS_RATIO = (1.02, 6.0), (0.01, 1.0)


@dataclass(frozen=True)
class FilletField:
    """Stresses of a fillet, each divided by the nominal stress of the small section.

    ``nodes`` holds axial position and distance from the axis; the large shaft,
    or its shoulder face, begins at axial position zero. In bending the values
    are those of the plane of bending on the side in tension. ``peak_angle`` is
    zero where the arc leaves the small shaft. ``surface`` numbers the nodes
    along the outline, from the small shaft to the large one; ``elements`` nine
    nodes each, rows from the surface inward.
    """

    load: str
    detail: str
    kt: float
    peak_angle: Quantity
    nodes: Quantity
    triangles: np.ndarray
    elements: np.ndarray
    surface: np.ndarray
    axial: np.ndarray
    radial: np.ndarray
    hoop: np.ndarray
    shear: np.ndarray
    torsion_shear: np.ndarray

    @cached_property
    def von_mises(self):
        """Equivalent stress by von Mises over the nominal stress, at the nodes."""
        direct = (
            (self.axial - self.radial) ** 2
            + (self.radial - self.hoop) ** 2
            + (self.hoop - self.axial) ** 2
        )
        return np.sqrt(direct / 2 + 3 * (self.shear**2 + self.torsion_shear**2))

    @cached_property
    def surface_stress(self):
        """The stress that reaches Kt at the surface, over the nominal stress, at the nodes.

        The larger principal stress of the section plane; in torsion the shear stress.
        """
        return (
            (self.axial + self.radial) / 2
            + np.hypot((self.axial - self.radial) / 2, self.shear)
            + self.torsion_shear
        )

    @cached_property
    def principal_difference(self):
        """Difference of the principal stresses a polariscope counts as fringes, at the nodes.

        In tension and bending of the section plane; in torsion of the surface.
        """
        return np.hypot(self.axial - self.radial, 2 * self.shear) + 2 * self.torsion_shear


@takes(
    load=LOADS,
    large_diameter="mm > 0, one",
    small_diameter="mm > 0, one",
    radius="mm > 0, one",
    detail=tuple(CELLS),
)
def solve_fillet(load, large_diameter, small_diameter, radius, detail="fast"):
    """Solved stress field of a stepped round shaft with a shoulder fillet.

    The stress concentration factor Kt is the largest surface stress over the nominal stress of the
    small section: 4F/(pi d^2) in tension, 32M/(pi d^3) in bending, 16T/(pi d^3) in torsion. A
    radius larger than the step is an arc cut short by the large shaft. ``detail`` "fast" is the
    mesh for a slider, "fine" the one for a value to quote.

    Basis: finite elements, linear elastic, Poisson's ratio 0.3; axisymmetric displacements in
    tension, the first Fourier harmonic in bending, one twist in torsion. Derived here; compared in
    the tests with stored converged values and with scikit-fem. Range: D/d 1.02 to 6, r/d 0.01 to 1.
    """
    large, small, arc = large_diameter, small_diameter, radius
    if large <= small:
        raise ValueError("large_diameter must be above small_diameter: are the two swapped?")
    _check_ratio("large_diameter", "small_diameter", large / small, DIAMETER_RATIO)
    _check_ratio("radius", "small_diameter", arc / small, RADIUS_RATIO)
    ratio, relative_arc = large / small, arc / small
    has_face = (ratio - 1) / 2 > relative_arc * (1 + 1e-6)
    grid = number_grid(CELLS[detail], has_face)
    nodes = place_nodes(grid, ratio, relative_arc)
    displacement, slopes, distance = _solve(grid, nodes, load)
    stresses = _stresses(grid, displacement, slopes, distance, load)
    place, tangent, along, around = _gauges(grid, nodes, displacement, load)
    _put_gauges(grid, stresses, tangent, along, around, load)
    kt, angle = _peak(grid, relative_arc, nodes[grid.tangent], place, along)
    zero = np.zeros(len(nodes))
    stresses = [zero] * 4 + [np.hypot(*stresses)] if load == "torsion" else [*stresses, zero]
    for values in stresses:
        values.flags.writeable = False
    return FilletField(
        load,
        detail,
        kt,
        Quantity(float(np.degrees(max(angle, 0.0))), DEGREE),
        Quantity(nodes * small, MILLIMETER),
        grid.triangles,
        grid.elements,
        grid.surface,
        *stresses,
    )


def _check_ratio(name, base, ratio, limits):
    low, high = limits
    if not low * (1 - 1e-9) <= ratio <= high * (1 + 1e-9):
        raise ValueError(f"{name} must be {low:g} to {high:g} times {base}, not {ratio:.4g} times")


@dataclass(frozen=True, eq=False)
class _Equations:
    """Places of the element matrices in the equations, whose lower band is stored by diagonals."""

    unknown: np.ndarray  # of each node and part; -1 where held
    sign: np.ndarray  # -1 where a part is another one turned about
    used: np.ndarray  # entries of the element matrices
    signs: np.ndarray
    place: np.ndarray  # where they go
    shape: tuple  # diagonals, unknowns


@cache
def _equations(grid, load):
    unknown = np.ones((grid.offsets[-1], PARTS[load].shape[2]), int)
    unknown[grid.far_end, 0] = 0
    if load == "tension":
        unknown[grid.axis, 1] = 0
    if load == "bending":
        unknown[grid.axis, 0] = unknown[grid.axis, 2] = 0
        unknown[grid.far_end[0], 1] = 0
    count = int(unknown.sum())
    unknown = np.where(unknown, unknown.cumsum().reshape(unknown.shape) - 1, -1)
    sign = np.ones(unknown.shape)
    if load == "bending":  # the axis moves sideways as one point: hoop part = -radial part
        unknown[grid.axis, 2] = unknown[grid.axis, 1]
        sign[grid.axis, 2] = -1
    one, two = np.triu_indices(9)
    column, row = unknown[grid.elements[:, one]], unknown[grid.elements[:, two]]
    column, row = (
        part.ravel() for part in np.broadcast_arrays(column[..., None], row[..., None, :])
    )
    used = np.flatnonzero((column >= 0) & (row >= column))
    row, column = row[used], column[used]
    one, two = (sign[grid.elements[:, part]] for part in (one, two))
    signs = (one[..., None] * two[..., None, :]).ravel()[used]
    place = (row - column) * count + column
    return _Equations(unknown, sign, used, signs, place, (int((row - column).max()) + 1, count))


def _solve(grid, nodes, load):
    """Displacement parts at the nodes, slopes of the shapes, distance of their points."""
    equations = _equations(grid, load)
    slopes, weight, distance = _slopes(nodes[grid.elements], load)
    count, _, kinds, _ = slopes.shape
    root = (slopes * np.sqrt(weight)[:, :, None, None]).reshape(count, 9, kinds * 9)
    products = (root.transpose(0, 2, 1) @ root).reshape(count, -1)[:, PAIRS[kinds]]
    entries = (products @ ENERGY[load]).ravel()[equations.used]
    band = np.bincount(
        equations.place, weights=entries * equations.signs, minlength=np.prod(equations.shape)
    )
    unknown = equations.unknown[grid.end, 0]
    push = np.zeros(equations.shape[1])
    push[unknown[unknown >= 0]] = _end_force(nodes[grid.end, 1], load)[unknown >= 0]
    with one_thread():
        solution = solveh_banded(
            band.reshape(equations.shape), push, lower=True, overwrite_ab=True, check_finite=False
        )
    return np.append(solution, 0.0)[equations.unknown] * equations.sign, slopes, distance


def _slopes(corners, load):
    """Slopes of the shapes at each element's nine points, volume and distance of those."""
    jacobian = (SLOPES.reshape(18, 9) @ corners).reshape(-1, 9, 2, 2)
    area = jacobian[..., 0, 0] * jacobian[..., 1, 1] - jacobian[..., 0, 1] * jacobian[..., 1, 0]
    inverse = np.empty_like(jacobian)
    inverse[..., 0, 0], inverse[..., 1, 1] = jacobian[..., 1, 1], jacobian[..., 0, 0]
    inverse[..., 0, 1], inverse[..., 1, 0] = -jacobian[..., 0, 1], -jacobian[..., 1, 0]
    inverse /= area[..., None, None]
    distance = corners[..., 1] @ SHAPES.T
    slopes = np.empty((len(corners), 9, PARTS[load].shape[1], 9))
    np.matmul(inverse, SLOPES, out=slopes[:, :, :2])
    if load != "torsion":
        slopes[:, :, 2] = SHAPES / distance[..., None]
    return slopes, WEIGHTS * np.abs(area) * distance ** (3 if load == "torsion" else 1), distance


def _end_force(distance, load):
    """Nodal forces of the nominal stress on the end of the small shaft."""
    edge = np.lib.stride_tricks.sliding_window_view(distance, 3)[::2]
    place, width = edge @ EDGE_SHAPES.T, np.abs(edge @ EDGE_SLOPES.T) * EDGE_WEIGHTS
    pull = (
        {"tension": -place, "bending": -2 * place**2, "torsion": -2 * place**3}[load]
        * width
        @ EDGE_SHAPES
    )
    force = np.zeros(len(distance))
    force[:-1:2], force[1::2] = pull[:, 0], pull[:, 1]
    force[2::2] += pull[:, 2]
    return force


def _stresses(grid, displacement, slopes, distance, load):
    """Stress arrays at the nodes: the mean of the elements around each."""
    values = displacement[grid.elements]
    gradient = slopes @ values[:, None]
    stress = gradient.reshape(len(values), 9, -1) @ STRESS[load]
    if load == "torsion":
        stress *= distance[..., None]
    at_nodes = TO_NODES @ stress
    where, share = grid.elements.ravel(), 1 / np.bincount(grid.elements.ravel())
    return [
        share * np.bincount(where, weights=at_nodes[..., part].ravel())
        for part in range(min(4, stress.shape[2]))
    ]


def _gauges(grid, nodes, displacement, load):
    """Strain gauges on the free surface, two to an edge: place, direction, stress along, around."""
    points, moves = nodes[grid.edges], displacement[grid.edges]
    place, tangent = GAUGE_SHAPES @ points, GAUGE_SLOPES @ points
    length = np.hypot(tangent[..., 0], tangent[..., 1])[..., None]
    tangent /= length
    stretch, move = GAUGE_SLOPES @ moves / length, GAUGE_SHAPES @ moves
    if load == "torsion":
        along = SHEAR * place[..., 1] * stretch[..., 0]
        return place, tangent, along, 0 * along
    along = (stretch[..., :2] * tangent).sum(axis=2)
    around = move[..., 1:].sum(axis=2) / place[..., 1]
    factor = 1 / (1 - POISSON**2)
    return place, tangent, factor * (along + POISSON * around), factor * (around + POISSON * along)


def _put_gauges(grid, stresses, tangent, along, around, load):
    """Surface nodes take the gauges' stresses, which no averaging has blunted."""
    axial, radial = tangent[..., 0], tangent[..., 1]
    parts = (
        [along * axial, along * radial]
        if load == "torsion"
        else [along * axial**2, along * radial**2, around, along * axial * radial]
    )
    for stress, part in zip(stresses, parts, strict=True):
        ends = part @ FROM_GAUGES.T
        on_surface = np.append(ends[:, :2].ravel(), ends[-1, 2])
        on_surface[2:-1:2] = (ends[1:, 0] + ends[:-1, 2]) / 2
        stress[np.append(grid.edges[:, :2].ravel(), grid.edges[-1, 2])] = on_surface


def _peak(grid, arc, tangent_point, place, along):
    """Largest stress on the arc or just before it, and its angle on the arc.

    Between two gauges the stress is a cubic through those two and their neighbors, so that
    the peak wanders from one pair to the next without a jump.
    """
    near = slice(grid.shaft - 2, grid.shaft + grid.arc)
    axial, radial = (place[near] - tangent_point).reshape(-1, 2).T / arc
    angle = np.where(axial < 0, axial, np.arctan2(axial, 1 - radial))
    stress = np.abs(along[near]).ravel()
    highest = int(stress.argmax())
    peak, place_of_peak = stress[highest], angle[highest]
    for left in range(max(highest - 1, 0), min(highest + 1, len(angle) - 1)):
        first = min(max(left - 1, 0), len(angle) - 4)
        here = slice(first, first + 4)
        level, slope, bend, twist = np.linalg.solve(
            np.vander(angle[here] - angle[left], increasing=True), stress[here]
        )
        root = bend**2 - 3 * twist * slope
        top = (
            slope / (np.sqrt(root) - bend) if root > 0 and bend < np.sqrt(root) else -1.0
        )  # where the slope ends
        value = level + top * (slope + top * (bend + top * twist))
        if 0 <= top <= angle[left + 1] - angle[left] and value > peak:
            peak, place_of_peak = value, angle[left] + top
    return float(peak), float(place_of_peak)
