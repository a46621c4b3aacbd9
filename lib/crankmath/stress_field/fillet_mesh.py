"""The mapped mesh of a shoulder fillet: numbered once, its points placed at each slider move."""

from dataclasses import dataclass
from functools import cache
from math import asin, exp, log, pi

import numpy as np

# in half small diameters (corner, first cell), whole ones (shaft), half large ones (far)
CORNER, FIRST_BEYOND, SHAFT, FAR = 1.2, 1.5, 1.0, 1.5
ARC_GROWTH = 3.0  # last arc cell over first: the peak sits near the small shaft


@dataclass(frozen=True, eq=False)
class Grid:
    """Numbering of the mesh: rows run from the surface inward, one by one along the surface.

    Rows up to the corner reach the axis; the later ones the far end of the large shaft.
    """

    shaft: int
    arc: int
    face: int
    depth: int
    beyond: int
    corner: int  # first row that goes on beyond the corner line
    offsets: np.ndarray
    elements: np.ndarray  # 9 nodes each, 3 * (along the surface) + inward
    triangles: np.ndarray
    surface: np.ndarray
    axis: np.ndarray
    end: np.ndarray  # of the small shaft
    far_end: np.ndarray
    edges: np.ndarray  # 3 nodes each, along the surface
    tangent: int  # where the arc begins


@cache
def number_grid(cells, has_face):
    """Grid of numbers of cells: shaft, arc (even), face, depth, beyond; a face only if has_face."""
    shaft, arc, face, depth, beyond = cells
    face *= has_face
    corner = 2 * (shaft + arc // 2)
    rows = 2 * (shaft + arc + face) + 1
    columns = np.where(np.arange(rows) < corner, 2 * depth + 1, 2 * (depth + beyond) + 1)
    offsets = np.r_[0, np.cumsum(columns)]
    elements = np.array(
        [
            [offsets[row + i] + column + j for i in range(3) for j in range(3)]
            for row in range(0, rows - 1, 2)
            for column in range(0, columns[row] - 1, 2)
        ]
    )
    quads = elements[:, [[0, 1, 4, 3], [1, 2, 5, 4], [3, 4, 7, 6], [4, 5, 8, 7]]].reshape(-1, 4)
    starts = offsets[:-1]
    onward = np.arange(offsets[corner] + 2 * depth + 1, offsets[corner + 1])
    return Grid(
        shaft,
        arc,
        face,
        depth,
        beyond,
        corner,
        offsets,
        elements,
        triangles=quads[:, [[0, 1, 2], [0, 2, 3]]].reshape(-1, 3),
        surface=np.r_[starts, np.arange(starts[-1] + 1, offsets[-1])],
        axis=np.r_[starts[: corner + 1] + 2 * depth, onward],
        end=np.arange(offsets[1]),
        far_end=offsets[corner + 1 :] - 1,
        edges=np.c_[starts[:-2:2], starts[1:-1:2], starts[2::2]],
        tangent=int(starts[2 * shaft]),
    )


def place_nodes(grid, ratio, arc):
    """Points of the mesh for small diameter 1: place from the arc's end, distance from axis."""
    inner, outer = 0.5, ratio / 2
    last = 0.0 if grid.face else asin(max(min((outer - inner - arc) / arc, 0.0), -1.0))
    angle = -pi / 2 + (last + pi / 2) * _halved(_growing(grid.arc, 1 / grid.arc, ARC_GROWTH))
    curve = np.c_[arc * (np.cos(angle) - np.cos(last)), inner + arc * (1 + np.sin(angle))]
    return map_under(grid, curve, inner, outer, SHAFT + 1.5 * arc)


def map_under(grid, curve, inner, outer, shaft_length):
    """Points of the mesh under a curve from the small shaft to the large one or its face."""
    first, last = (np.hypot(*(curve[end] - curve[start])) for start, end in ((0, 2), (-3, -1)))
    start, top = curve[0, 0], (curve[-1, 1] if grid.face else outer)
    corner = curve[-1, 0] + CORNER * inner
    far = corner + FAR * outer
    inward = _halved(_growing(grid.depth, first / inner))[:, None]
    onward = _halved(_growing(grid.beyond, FIRST_BEYOND * inner / (far - corner)))[1:, None]
    back = (
        start
        - (shaft_length + start)
        * _halved(_growing(grid.shaft, first / (shaft_length + start)))[:0:-1]
    )
    share = np.linspace(0, 2, 2 * grid.arc + 1)
    target = np.where(
        share[:, None] <= 1,
        np.c_[start + share * (corner - start), 0 * share],
        np.c_[0 * share + corner, (share - 1) * top],
    )
    rise = (
        top + (outer - top) * _halved(_growing(grid.face, last / max(outer - top, 1e-12)))[1:]
        if grid.face
        else np.empty(0)
    )
    surface = np.r_[np.c_[back, 0 * back + inner], curve, np.c_[0 * rise, rise]]
    target = np.r_[np.c_[back, 0 * back], target, np.c_[0 * rise + corner, rise]]
    points = np.empty((grid.offsets[-1], 2))
    rows = surface[:, None] + (target - surface)[:, None] * inward
    split = grid.offsets[grid.corner]
    points[:split] = rows[: grid.corner].reshape(-1, 2)
    later = points[split:].reshape(-1, 2 * (grid.depth + grid.beyond) + 1, 2)
    later[:, : 2 * grid.depth + 1] = rows[grid.corner :]
    later[:, 2 * grid.depth + 1 :] = target[grid.corner :, None] + onward * np.array(
        [far - corner, 0.0]
    )
    return points


def _growing(cells, first, growth=None):
    """Cell borders from 0 to 1, each cell a fixed factor longer, by first or last over first."""
    if growth is None:
        if cells < 2 or first * cells >= 1:
            return np.linspace(0, 1, cells + 1)
        from scipy.optimize import brentq

        factor = exp(
            brentq(
                lambda power: (exp(power) - 1) / (exp(cells * power) - 1) - first,
                1e-9,
                60 / cells,
                xtol=1e-6,
            )
        )
    else:
        factor = exp(log(growth) / (cells - 1))
    border = factor ** np.arange(cells + 1)
    return (border - 1) / (border[-1] - 1)


def _halved(border):
    """Borders with the middle of each cell between."""
    whole = np.empty(2 * len(border) - 1)
    whole[::2] = border
    whole[1::2] = (border[1:] + border[:-1]) / 2
    return whole
