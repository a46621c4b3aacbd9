"""What a model says of sizes, and of rows that were not measured, once the readings are in."""

from typing import NamedTuple

import numpy as np
from scipy.linalg import solve_triangular

from .evidence import NONE, NOTHING

MOST_PARTS = 40  # mixture parts looked at, the heaviest first
SHARE_KEPT = 0.995  # of their chance


class Part(NamedTuple):
    """A weighed part of the mixture: its hypothesis, its components, mean and covariance of their
    normal numbers.
    """

    chance: float
    hypothesis: tuple
    components: tuple
    mean: np.ndarray
    covariance: np.ndarray
    fit: float


class Future(NamedTuple):
    """Mean and covariance of rows under one part, readings known."""

    chance: float
    hypothesis: tuple
    mean: np.ndarray
    covariance: np.ndarray


def heaviest(weigher, weighed, among=None):
    """The parts that bear most of the chance, with what the readings say of their sizes."""
    hypothesis = weigher.model.gaussians.hypothesis
    order, found, total = np.argsort(-weighed.log_weights), [], 0.0
    gaussians, white = weigher.model.gaussians, weighed.white
    for number in order:
        chance = float(np.exp(weighed.log_weights[number]))
        if len(found) >= MOST_PARTS or total > SHARE_KEPT:
            break
        if number >= len(weighed.parts):
            name, components = (NOTHING, NONE)[number - len(weighed.parts)], ()
        else:
            components = weighed.parts[number]
            name = tuple(sorted(int(hypothesis[part]) for part in components))
        total += chance
        if among is not None and name not in among:
            continue
        lines = gaussians.lines(components)
        mean, inverse, fit = white.numbers(weighed.residual, components, lines)
        found.append(Part(chance, name, components, mean, inverse, fit))
    return found


def size_of(weigher, parts, number):
    """Size of one hypothesis over parts: complex mean, and variance along and across it.

    Along is the direction of the mean; a size without direction has its variance along.
    """
    gaussians = weigher.model.gaussians
    weights, means, spreads = [], [], []
    for part in parts:
        if number not in part.hypothesis:
            continue
        place = 0
        for one in part.components:
            count = gaussians.stop[one] - gaussians.start[one]
            component = weigher.model.components[one]
            if component.hypothesis == number:
                here = slice(place, place + count)
                turn = np.stack([component.size_columns.real, component.size_columns.imag])
                start = np.array([component.size.real, component.size.imag])
                weights.append(part.chance)
                means.append(start + turn @ part.mean[here])
                spreads.append(turn @ part.covariance[here, here] @ turn.T)
            place += count
    if not weights:
        return 0j, 0.0, 0.0
    share = np.array(weights) / np.sum(weights)
    means = np.array(means)
    mean = share @ means
    off = means - mean
    spread = np.einsum("p,pij->ij", share, np.array(spreads)) + (off * share[:, None]).T @ off
    toward = mean / max(np.hypot(*mean), 1e-12)
    across = np.array([-toward[1], toward[0]])
    return complex(*mean), float(toward @ spread @ toward), float(across @ spread @ across)


def futures(model, measured, wanted, values, parts, more):
    """Mean and covariance of the rows ``wanted`` for each part, the rows ``measured`` known.

    ``values`` are departures of the measured rows as the model's ``zeroed`` has them, ``more`` is
    their covariance beyond the ordinary one.
    """
    gaussians, ordinary = model.gaussians, model.ordinary
    crossed = ordinary[np.ix_(wanted, measured)]
    root = np.linalg.cholesky(ordinary[np.ix_(measured, measured)] + more)
    seen = solve_triangular(root, crossed.T, lower=True).T  # of the wanted rows, in the measured
    left_open = ordinary[np.ix_(wanted, wanted)] - seen @ seen.T
    found = []
    for part in parts:
        columns = gaussians.columns[:, gaussians.lines(part.components)]
        mean = gaussians.means[:, list(part.components)].sum(axis=1)
        away = solve_triangular(root, values - mean[measured], lower=True)
        before = solve_triangular(root, columns[measured], lower=True)
        covariance = np.linalg.inv(before.T @ before + np.eye(columns.shape[1]))
        ahead = columns[wanted] - seen @ before
        found.append(
            Future(
                part.chance,
                part.hypothesis,
                mean[wanted] + seen @ away + ahead @ (covariance @ (before.T @ away)),
                left_open + ahead @ covariance @ ahead.T,
            )
        )
    return found
