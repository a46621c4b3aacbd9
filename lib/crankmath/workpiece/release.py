"""Bow of the work by release of locked-in stress, all its pieces together, at every stage."""

from math import pi

import numpy as np

from ..blank.locked_in_stress import _mean, _skin

AROUND, DEEP, STEPS = 180, 8, 16


def curvature(section, bar, turn, skin, mean):
    """Curvature (y, z) [1/mm] that a section of the work has for a stress at the skin of one
    modulus of elasticity.

    Moments of the stress about the section's own middle over its second moments; positive where the
    ends bend toward plus.
    """
    (y, z), (yy, zz, yz) = section.centroid, section.second_moments
    around = np.arange(AROUND) * 2 * pi / AROUND
    ray = np.column_stack([np.cos(around), np.sin(around)])
    rim = np.full(AROUND, np.inf)
    for ny, nz, d in section.lines:
        slope = ray @ (ny, nz)
        with np.errstate(divide="ignore"):
            rim = np.minimum(rim, np.where(slope > 1e-12, (d - ny * y - nz * z) / slope, np.inf))
    for middle_y, middle_z, radius in section.discs:
        away = np.array([y - middle_y, z - middle_z])
        along = ray @ away
        rim = np.minimum(rim, np.sqrt(along**2 + radius**2 - away @ away) - along)
    places, weights = np.polynomial.legendre.leggauss(DEEP)
    distance = rim * (places[:, None] + 1) / 2
    area = distance * rim / 2 * weights[:, None] * 2 * pi / AROUND
    out_y, out_z = distance * ray[:, 0], distance * ray[:, 1]
    at_y, at_z = y + out_y, z + out_z
    first, second = (
        at_y * np.cos(turn) + at_z * np.sin(turn),
        at_z * np.cos(turn) - at_y * np.sin(turn),
    )
    stress = (skin(first, second) - mean) / (1 - mean) * area
    moments = np.array([(stress * out_y).sum(), (stress * out_z).sum()])
    return np.linalg.solve([[yy, yz], [yz, zz]], moments)


def deflections(pieces, curvatures):
    """Places x and deflections (y, z) from the line between the ends, for pieces (x0, x1) of a
    curvature each.
    """
    x = [pieces[0][0]]
    slope, height = np.zeros(2), np.zeros(2)
    heights = [height]
    for (x0, x1), bent in zip(pieces, curvatures, strict=True):
        for step in range(1, STEPS + 1):
            run = (x1 - x0) * step / STEPS
            x.append(x0 + run)
            heights.append(height + slope * run + bent * run**2 / 2)
        slope, height = slope + bent * (x1 - x0), heights[-1]
    x, heights = np.array(x), np.array(heights)
    share = (x - x[0]) / (x[-1] - x[0])
    return x, heights - share[:, None] * heights[-1]


def bow(work, bar, turn, modulus, known=None):
    """Largest distance [mm] of the bent work from the line between its ends, for 1 MPa at the skin,
    and its place.

    Parameters
    ----------
    work : Work
    bar : bar.Bar
        The bar whose stress it is; only its shape and its sides count.
    turn : float [rad]
        From y to its width.
    modulus : float [MPa]
    known : dict, optional
        Curvatures by section, kept from one stage of the work to the next.
    """
    mean, known = _mean(bar), {} if known is None else known
    spans, bent = [], []
    for piece in work.pieces:
        section = piece.at((piece.x0 + piece.x1) / 2) if piece.flares else piece.section
        if section not in known:
            known[section] = (
                curvature(section, bar, turn, lambda y, z: _skin(bar, y, z), mean) / modulus
            )
        spans.append((piece.x0, piece.x1))
        bent.append(known[section])
    x, heights = deflections(spans, bent)
    off = np.hypot(*heights.T)
    most = int(np.argmax(off))
    return float(off[most]), float(x[most])
