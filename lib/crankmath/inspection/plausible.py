"""Parts that readings leave plausible: drawn about their fit, weighted by what a dial's step hides.

Plain numbers: um, radians.
"""

from functools import cache
from typing import NamedTuple

import numpy as np

from ..threads import one_thread
from .uncertainty import CONFIDENCE

DRAWS, LEVELS = 1024, 256  # parts drawn, and scatters among them
LEAST_SCATTER = 0.1  # of a division, about where a dial is too coarse to show it: own choice
FULL_TURN = np.linspace(0, 2 * np.pi, 360, endpoint=False)


class Parts(NamedTuple):
    """Plausible parts by weight: offset's vector, swing, last coefficient (a drift)."""

    weight: np.ndarray
    offset: np.ndarray
    swing: np.ndarray
    last: np.ndarray


def harmonic_columns(turn, order):
    columns = [np.ones_like(turn)]
    for n in range(1, order + 1):
        columns += [np.cos(n * turn), np.sin(n * turn)]
    return np.stack(columns, axis=1)


@cache
def around(order):
    """Columns of the harmonics at many angles of a turn, without the mean."""
    return harmonic_columns(FULL_TURN, order)[:, 1:]


def least_squares(design, dial):
    """Coefficients, residuals, inverse of the normal matrix, and how many readings are to spare."""
    solution = np.linalg.lstsq(design, dial, rcond=None)[0]
    return (
        solution,
        dial - design @ solution,
        np.linalg.pinv(design.T @ design),
        len(dial) - design.shape[1],
    )


@cache
def _points(dimensions):
    """Evenly spread points of a normal distribution, one a column; always the same.

    Basis: derived. Multiples of powers of the root of x^(d+1) = x + 1, the golden ratio for one
    dimension: they stay apart.
    """
    from scipy.special import ndtri

    root = 2.0
    for _ in range(60):
        root = (1 + root) ** (1 / (dimensions + 1))
    return ndtri((0.5 + np.outer(root ** -np.arange(1.0, dimensions + 1), np.arange(DRAWS))) % 1)


def plausible(design, order, kept, dial, known, division):
    """Parts that the readings leave plausible if they have the ``kept`` of a design's harmonics.

    Basis: derived. Drawn as if a division's rounding were normal too, S^2 = s^2 + division^2 / 12:
    then the part is Student's, S^2 the residuals' squares over chi square. Each is weighted by what
    its readings' rounded values say, Phi((y + d/2 - m) / s) - Phi((y - d/2 - m) / s), over the
    normal density it was drawn from. Even in every coefficient; the scatter even in its logarithm,
    less and less below a tenth of a division.
    """
    from scipy.special import chdtr, gammaincinv

    count = design.shape[1]
    places = [n for n in range(count) if not 0 < n <= 2 * order or (n + 1) // 2 in kept]
    found, left, inverse, spare = least_squares(design[:, places], dial)
    rounding = 0.0 if division is None else division**2 / 12
    if known is not None:
        square = np.full(DRAWS, known**2 + rounding)
    else:
        squares = max(float(left @ left), 0.02 * len(dial) * rounding)
        under = chdtr(spare, squares / rounding) if rounding else 1.0
        even = (np.arange(LEVELS) + 0.5) / LEVELS
        square = np.repeat(squares / (2 * gammaincinv(spare / 2, under * even)), DRAWS // LEVELS)
    values, vectors = np.linalg.eigh(inverse)
    solution, shift = np.zeros(count), np.zeros((count, DRAWS))
    solution[places] = found
    with one_thread():
        spread = vectors * np.sqrt(np.maximum(values, 0))
        shift[places] = np.sqrt(square) * (spread @ _points(len(places)))
        away = abs(left[:, None] - design @ shift)
        curve = around(order) @ solution[1 : 2 * order + 1]
        moved = around(order)[::5] @ shift[1 : 2 * order + 1]
    part = solution[:, None] + shift
    # between the angles looked at a part's curve rises as the fitted one does
    swing = np.ptp(curve) + np.ptp(curve[::5, None] + moved, axis=0) - np.ptp(curve[::5])
    return Parts(
        _weights(away, square, rounding, division, known), part[1] + 1j * part[2], swing, part[-1]
    )


def _weights(away, square, rounding, division, known):
    """Weights of parts whose readings lie so far ``away`` [um], a row each reading."""
    from scipy.special import ndtr

    if division is None:
        return np.full(DRAWS, 1 / DRAWS)
    scatter = np.sqrt(np.maximum(square - rounding, 1e-12 * rounding))
    chance = ndtr((division / 2 - away) / scatter) - ndtr((-division / 2 - away) / scatter)
    weight = (
        np.log(np.maximum(chance, 1e-300)).sum(axis=0)
        + (len(away) * np.log(square) + (away**2).sum(axis=0) / square) / 2
    )
    if known is None:
        weight += np.log(square / (scatter**2 + (LEAST_SCATTER * division) ** 2))
    weight = np.exp(weight - weight.max())
    return weight / weight.sum()


def stays_under(kinds, measure):
    """What ``measure`` [um or deg] stays under in 95 % of the parts, each kind as likely."""
    sizes = np.concatenate([measure(parts) for parts in kinds])
    weight = np.concatenate([parts.weight for parts in kinds])
    places = np.argsort(sizes)
    total = np.cumsum(weight[places])
    return float(sizes[places][np.searchsorted(total, CONFIDENCE * total[-1])])
