"""The stress field of a shoulder fillet in a round shaft, solved live on a mapped mesh.

One logical grid of nine-node quadrilaterals covers the half section: the small
shaft, a fan under the arc, the shoulder face and the large shaft. Only its
points move with a slider, so all numbering is done once and kept.
"""

from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from ..units import Quantity, magnitude, ureg
from .block_cholesky import eliminate
from .fillet_mesh import number_grid, place_nodes

LOADS = ("tension", "bending", "torsion")
POISSON = 0.3
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


def solve_fillet(load, large_diameter, small_diameter, radius, detail="fast"):
    """Solved stress field of a stepped round shaft with a shoulder fillet.

    The stress concentration factor Kt is the largest surface stress over the
    nominal stress of the small section: 4F/(pi d^2) in tension,
    32M/(pi d^3) in bending, 16T/(pi d^3) in torsion.

    Parameters
    ----------
    load : "tension", "bending" or "torsion"
    large_diameter, small_diameter : Quantity, scalar [length]
        Their ratio lies from 1.02 to 6.
    radius : Quantity, scalar [length]
        Fillet radius, from 0.01 to 1 small diameter. A radius larger than the
        step is an arc cut short by the large shaft.
    detail : "fast" or "fine"
        Mesh for a slider, or for a value to quote.

    Returns
    -------
    FilletField [stresses over nominal stress, lengths in mm]

    Raises
    ------
    TypeError
        A length has no unit.
    pint.DimensionalityError
        A length is of another kind.
    ValueError
        Unknown load or detail, swapped diameters, or a shape outside the ranges.

    Notes
    -----
    Basis: finite elements, linear elastic, Poisson's ratio 0.3; axisymmetric
    displacements in tension, the first Fourier harmonic in bending, one twist
    in torsion. Source: derived here; compared in the tests with stored
    converged values and with scikit-fem. Range: D/d 1.02 to 6, r/d 0.01 to 1.
    """
    if load not in LOADS:
        raise ValueError(f"load must be one of {', '.join(LOADS)}, not {load!r}")
    if detail not in CELLS:
        raise ValueError(f"detail must be fast or fine, not {detail!r}")
    large = _length(large_diameter, "large_diameter")
    small = _length(small_diameter, "small_diameter")
    arc = _length(radius, "radius")
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
    none = np.zeros(len(nodes))
    stresses = [none] * 4 + [np.hypot(*stresses)] if load == "torsion" else [*stresses, none]
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


def _length(value, name):
    length = magnitude(value, "mm", name, above=0)
    if not isinstance(length, float):
        raise ValueError(f"{name} takes one length at a time, not {length.size}")
    return length


def _check_ratio(name, base, ratio, limits):
    low, high = limits
    if not low * (1 - 1e-9) <= ratio <= high * (1 + 1e-9):
        raise ValueError(f"{name} must be {low:g} to {high:g} times {base}, not {ratio:.4g} times")


# ---- the reference element


def _shape(x):
    return np.array([x * (x - 1) / 2, 1 - x * x, x * (x + 1) / 2])


def _slope(x):
    return np.array([x - 0.5, -2 * x, x + 0.5])


_POINT, _WEIGHT = np.polynomial.legendre.leggauss(3)
_PLACES = [(x, y) for x in _POINT for y in _POINT]
WEIGHTS = np.outer(_WEIGHT, _WEIGHT).ravel()
SHAPES = np.array([np.outer(_shape(x), _shape(y)).ravel() for x, y in _PLACES])
SLOPES = np.array(
    [
        [np.outer(_slope(x), _shape(y)).ravel(), np.outer(_shape(x), _slope(y)).ravel()]
        for x, y in _PLACES
    ]
)
_BILINEAR = np.array([[1, x, y, x * y] for x, y in _PLACES])
# least-squares bilinear stress of an element, carried to its nodes
_CORNERS = np.array([[1, x, y, x * y] for x in (-1, 0, 1) for y in (-1, 0, 1)])
TO_NODES = _CORNERS @ np.linalg.solve(_BILINEAR.T * WEIGHTS @ _BILINEAR, _BILINEAR.T * WEIGHTS)
EDGE_WEIGHTS = _WEIGHT
EDGE_SHAPES, EDGE_SLOPES = (np.array([form(x) for x in _POINT]) for form in (_shape, _slope))
GAUGE = 1 / np.sqrt(3)
GAUGE_SHAPES, GAUGE_SLOPES = (np.array([form(-GAUGE), form(GAUGE)]) for form in (_shape, _slope))
FROM_GAUGES = np.array([[(1 - x / GAUGE) / 2, (1 + x / GAUGE) / 2] for x in (-1, 0, 1)])

# strain = sum of PARTS[strain, slope, part] * slope of a displacement part, for the slopes
# (axial, radial, value over distance from the axis) and the parts (axial, radial, hoop);
# strains: axial, radial, hoop, shear in the section, shear radial-hoop, shear axial-hoop
PARTS = {
    load: np.zeros(shape)
    for load, shape in (("tension", (4, 3, 2)), ("bending", (6, 3, 3)), ("torsion", (2, 2, 1)))
}
for _load in ("tension", "bending"):
    for _strain, _slope_of, _part in ((0, 0, 0), (1, 1, 1), (2, 2, 1), (3, 1, 0), (3, 0, 1)):
        PARTS[_load][_strain, _slope_of, _part] = 1
for _strain, _slope_of, _part, _sign in (
    (2, 2, 2, 1),
    (4, 1, 2, 1),
    (4, 2, 2, -1),
    (4, 2, 1, -1),
    (5, 0, 2, 1),
    (5, 2, 0, -1),
):
    PARTS["bending"][_strain, _slope_of, _part] = _sign
PARTS["torsion"][0, 0, 0] = PARTS["torsion"][1, 1, 0] = (
    1  # twist: shear over distance from the axis
)
_SHEAR = 0.5 / (1 + POISSON)  # modulus of elasticity 1
_LAME = POISSON / ((1 + POISSON) * (1 - 2 * POISSON))
ELASTIC = {load: _SHEAR * np.eye(len(parts)) for load, parts in PARTS.items()}
for _load in ("tension", "bending"):
    ELASTIC[_load][:3, :3] = _LAME + 2 * _SHEAR * np.eye(3)
STRESS = {
    load: np.einsum("ts,spc->pct", ELASTIC[load], PARTS[load]).reshape(-1, len(PARTS[load]))
    for load in LOADS
}
ENERGY = {
    load: np.einsum("spc,st,tqd->pqcd", PARTS[load], ELASTIC[load], PARTS[load]).reshape(
        len(PARTS[load][0]) ** 2, -1
    )
    for load in LOADS
}

# where the products of all slopes of two shapes stand in an element's product matrix, for each pair of shapes
PAIRS = {
    kinds: np.arange(81 * kinds**2)
    .reshape(kinds, 9, kinds, 9)
    .transpose(1, 3, 0, 2)[np.triu_indices(9)]
    .reshape(45, -1)
    for kinds in (2, 3)
}


# ---- the solution


@dataclass(frozen=True, eq=False)
class _Equations:
    """Places of the element matrices in the equations, which stand in blocks: one per row of nodes.

    A block holds, turned over, the columns of its own unknowns: the square part,
    the coupling to the next two rows (to one, from a row of middle nodes), the load.
    """

    unknown: np.ndarray  # of each node and part; -1 where held
    sign: np.ndarray  # -1 where a part is another one turned about
    used: np.ndarray  # entries of the element matrices
    signs: np.ndarray
    place: np.ndarray  # where they go
    first: np.ndarray  # unknown of each row of nodes
    start: np.ndarray  # of each block
    loads: np.ndarray  # places of the loads on the end of the shaft


@cache
def _equations(grid, load):
    unknown = np.ones((grid.offsets[-1], PARTS[load].shape[2]), int)
    unknown[grid.far_end, 0] = 0
    if load == "tension":
        unknown[grid.axis, 1] = 0
    if load == "bending":
        unknown[grid.axis, 0] = unknown[grid.axis, 2] = 0
        unknown[grid.far_end[0], 1] = 0
    count = np.r_[0, unknown.sum(axis=1).cumsum()]
    first = count[grid.offsets]
    unknown = np.where(unknown, unknown.cumsum().reshape(unknown.shape) - 1, -1)
    sign = np.ones(unknown.shape)
    if load == "bending":  # the axis moves sideways as one point: hoop part = -radial part
        unknown[grid.axis, 2] = unknown[grid.axis, 1]
        sign[grid.axis, 2] = -1
    size = np.diff(first)
    reach = np.minimum(np.arange(len(size)) + 3 - np.arange(len(size)) % 2, len(size))
    width = first[reach] - first[:-1] + 1
    start = np.r_[0, (width * size).cumsum()]
    one, two = np.triu_indices(9)
    column, row = (unknown[grid.elements[:, part]] for part in (one, two))
    column, row = (
        part.ravel() for part in np.broadcast_arrays(column[..., None], row[..., None, :])
    )
    used = np.flatnonzero((row >= 0) & (column >= 0))
    row, column = row[used], column[used]
    block = np.searchsorted(first, column, side="right") - 1
    one, two = (sign[grid.elements[:, part]] for part in (one, two))
    signs = (one[..., None] * two[..., None, :]).ravel()[used]
    place = start[block] + (row - first[block]) * size[block] + column - first[block]
    return _Equations(
        unknown,
        sign,
        used,
        signs,
        place,
        first,
        start,
        (width[0] - 1) * size[0] + unknown[grid.end, 0],
    )


def _solve(grid, nodes, load):
    """Displacement parts at the nodes, the slopes of the shapes, and the distance of their points from the axis."""
    equations = _equations(grid, load)
    slopes, weight, distance = _slopes(nodes[grid.elements], load)
    count, _, kinds, _ = slopes.shape
    root = (slopes * np.sqrt(weight)[:, :, None, None]).reshape(count, 9, kinds * 9)
    products = (root.transpose(0, 2, 1) @ root).reshape(count, -1)[:, PAIRS[kinds]]
    entries = (products @ ENERGY[load]).ravel()[
        equations.used
    ]  # by element: one large product would wake threads
    entries *= equations.signs
    blocks = np.bincount(equations.place, weights=entries, minlength=equations.start[-1])
    held = equations.unknown[grid.end, 0] < 0
    blocks[equations.loads[~held]] = _end_force(nodes[grid.end, 1], load)[~held]
    solution = eliminate(blocks, equations.start, equations.first)
    return np.append(solution, 0.0)[equations.unknown] * equations.sign, slopes, distance


def _slopes(corners, load):
    """Slopes of the nine shapes at the nine points of each element, the volume of each point, its distance from the axis."""
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
    """Strain gauges on the free surface, two to an edge: their place, the direction, stress along it and around."""
    points, moves = nodes[grid.edges], displacement[grid.edges]
    place, tangent = GAUGE_SHAPES @ points, GAUGE_SLOPES @ points
    length = np.hypot(tangent[..., 0], tangent[..., 1])[..., None]
    tangent /= length
    stretch, move = GAUGE_SLOPES @ moves / length, GAUGE_SHAPES @ moves
    if load == "torsion":
        along = _SHEAR * place[..., 1] * stretch[..., 0]
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
