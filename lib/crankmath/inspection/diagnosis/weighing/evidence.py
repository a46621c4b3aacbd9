"""How well each cause, and each two together, explain the readings: evidence of Gaussian
components.
"""

from dataclasses import dataclass
from itertools import combinations_with_replacement
from typing import NamedTuple

import numpy as np
from scipy.linalg import solve_triangular
from scipy.special import logsumexp

from ..signatures.causes import SECOND_FAULT, Hypothesis, marks_weight
from ..signatures.noticed import DRAWN, drawn
from .model import Model, Whitened

NOTHING_CHANCE = 20.0  # of nothing out of the ordinary, beside the chances of the table
NONE_CHANCE = 1.5  # of an error that is none of the causes, likewise
TEMPER = 0.85  # power of the evidence: the model is not exact; chosen so that stated chances hold
# what is left open of sizes, by the model, against what the trial shows: its errors are not all of
# those of the true crank
WIDENED = 1.25
NOTHING, NONE = (), (-1,)  # hypotheses that are no cause
LEADING = 8  # causes, the best alone, of which every pair weighed has one
LIGHT = 8.0  # below the heaviest, in logarithms: parts left as they are
# columns of two components together beyond which the pair is left out: chatter, a column for each
# reading, with a live center has 41 on three throws; with itself elsewhere it is left out
LONGEST = 50


@dataclass(frozen=True)
class Weighed:
    """Chances of hypotheses (tuples of their numbers), and of the components behind them.

    ``parts`` holds components (one or two numbers), ``log_weights`` their weights, normalized;
    ``white`` and ``residual`` are model and readings as seen through their ordinary scatter.
    """

    chances: dict
    parts: tuple
    log_weights: np.ndarray
    residual: np.ndarray
    white: Whitened


def _possible(one, two):
    """Whether two hypotheses can both be: not one spacer too long and loose, nor centers firm and
    soft at the same cut.
    """
    if {one.cause, two.cause} == {"spacer too long", "spacer loose"}:
        return one.where != two.where
    return one != two and {one.cause, two.cause} != {"push-off barrel", "push-off hourglass"}


def _second(model, possible, second):
    """Log of what the chances of two causes are multiplied by, so that all pairs together have the
    stated chance of a second fault.
    """
    gaussians = model.gaussians
    chances = np.array([one.chance for one in model.hypotheses])
    weight = np.bincount(gaussians.hypothesis, np.exp(gaussians.weight), len(chances)) * chances
    pairs = weight @ possible @ weight / 2
    with np.errstate(divide="ignore"):
        return np.log(second / (1 - second) * weight.sum() / pairs) if pairs else -np.inf


def _groups(model, possible):
    """Pairs of components of different hypotheses, by their numbers of columns."""
    gaussians = model.gaussians
    ranks = gaussians.stop - gaussians.start
    order = {rank: np.flatnonzero(ranks == rank) for rank in np.unique(ranks)}
    for first, second in combinations_with_replacement(sorted(order), 2):
        if first + second > LONGEST:
            continue
        one, two = (
            part.ravel() for part in np.meshgrid(order[first], order[second], indexing="ij")
        )
        kept = possible[gaussians.hypothesis[one], gaussians.hypothesis[two]]
        if first == second:
            kept &= one < two
        one, two = one[kept], two[kept]
        if len(one):
            lines = np.concatenate(
                [
                    gaussians.start[one][:, None] + np.arange(first),
                    gaussians.start[two][:, None] + np.arange(second),
                ],
                axis=1,
            )
            yield one, two, lines


class Weigher:
    """Weighs readings against one model of their rows."""

    def __init__(self, model, second=SECOND_FAULT):
        self.model, self.wide = model, (None, None)
        self.chosen = np.array(
            [line for line, row in enumerate(model.rows) if row.kind != "marks"], int
        )
        several = model.hypotheses
        possible = np.array([[_possible(one, two) for two in several] for one in several])
        self.groups = list(_groups(model, possible)) if second else []
        self.second = _second(model, possible, second)

    def weigh(self, values):
        """Chances of all hypotheses for the values of the model's rows."""
        model, gaussians = self.model, self.model.gaussians
        away = model.zeroed(values)[self.chosen]
        white = Whitened.of(model, self.chosen, model.misplaced(values))
        seen = solve_triangular(white.root, away, lower=True)
        readings = _Readings(white, white.columns.T @ seen, seen @ seen, white.means.T @ seen)
        marks = np.array([marks_weight(one, *self._marks(values)) for one in model.hypotheses])
        plain = marks_weight(NO_CAUSE, *self._marks(values))
        with np.errstate(divide="ignore"):
            prior = np.log([one.chance for one in model.hypotheses])
        own, hypothesis = gaussians.weight, gaussians.hypothesis
        parts, weights = [], []
        for one, lines in _alone(gaussians):
            first = hypothesis[one]
            parts += [(part,) for part in one.tolist()]
            fit = readings.fit(lines, one)
            weights.append(TEMPER * (fit + marks[first]) + prior[first] + own[one])
        leading = _leading(np.concatenate(weights), parts, hypothesis) if self.groups else None
        for group in self.groups:
            kept = leading[hypothesis[group[0]]] | leading[hypothesis[group[1]]]
            one, two, lines = (part[kept] for part in group)
            first, other = hypothesis[one], hypothesis[two]
            parts += list(zip(one.tolist(), two.tolist(), strict=True))
            fit = readings.fit(lines, one, two) + np.maximum(marks[first], marks[other])
            chance = prior[first] + prior[other] + self.second + own[one] + own[two]
            weights.append(TEMPER * fit + chance)
        broad = solve_triangular(white.unknown_root, away, lower=True)
        spread = np.log(np.diag(white.root) / np.diag(white.unknown_root)).sum()
        ordinary = TEMPER * (-0.5 * readings.square + plain) + np.log(NOTHING_CHANCE)
        unknown = TEMPER * (-0.5 * broad @ broad + spread + plain) + np.log(NONE_CHANCE)
        whole = np.concatenate([*weights, [ordinary, unknown]])
        whole[:-2] += self._noticed(white, seen, parts, whole)
        whole = whole - logsumexp(whole)
        return Weighed(_summed(parts, whole, hypothesis), tuple(parts), whole, seen, white)

    def _noticed(self, white, seen, parts, weights):
        """Log of how much likelier each of the heavy parts would be noticed now that the readings
        say of what size it is: the chances are those of faults that were.
        """
        found, model = np.zeros(len(parts)), self.model
        for number in np.flatnonzero(weights[:-2] > weights.max() - LIGHT):
            components = parts[number]
            lines = model.gaussians.lines(components)
            mean, covariance, _ = white.numbers(seen, components, lines)
            numbers = mean[:, None] + WIDENED * np.linalg.cholesky(covariance) @ drawn(len(lines))
            kept, before, place = True, 1.0, 0
            for one in (model.components[name] for name in components):
                count = one.columns.shape[1]
                kept = kept & model.notice.of_sizes(one, numbers[place : place + count])
                before, place = before * one.share, place + count
            found[number] = np.log((kept.sum() / before + 1) / (DRAWN + 1))
        return found

    def wider(self, rows):
        """Model of more rows, the measured ones first; the last one is kept."""
        if self.wide[0] != rows:
            model = self.model
            self.wide = (
                rows,
                Model(
                    model.crank, model.making, rows, model.table, model.everyday, len(model.rows)
                ),
            )
        return self.wide[1]

    def _marks(self, values):
        chosen = [line for line, row in enumerate(self.model.rows) if row.kind == "marks"]
        return [self.model.rows[line] for line in chosen], values[chosen]


class _Readings(NamedTuple):
    """Readings seen through their scatter: onto columns and means, and their own square."""

    white: Whitened
    columns: np.ndarray
    square: float
    means: np.ndarray

    def fit(self, lines, one, two=None):
        """Log of the density of components (or of two together) against that of the ordinary
        crank's scale.
        """
        white = self.white
        pull = self.columns[lines] - white.crossed[lines, one[:, None]]
        square = self.square - 2 * self.means[one] + white.means_gram[one, one]
        if two is not None:
            pull = pull - white.crossed[lines, two[:, None]]
            square = square - 2 * self.means[two] + white.means_gram[two, two]
            square = square + 2 * white.means_gram[one, two]
        blocks = white.gram[lines[:, :, None], lines[:, None, :]] + np.eye(lines.shape[1])
        best = np.linalg.solve(blocks, pull[:, :, None])[:, :, 0]
        size = np.linalg.slogdet(blocks)[1]
        return -0.5 * (square - np.einsum("pi,pi->p", pull, best) + size)


def _leading(log_weights, parts, hypothesis):
    """Which hypotheses stand among the first alone; each pair weighed has one of them."""
    best = np.full(int(hypothesis.max()) + 1, -np.inf)
    np.maximum.at(best, hypothesis[[part[0] for part in parts]], log_weights)
    return best >= np.sort(best)[-min(LEADING, len(best))]


def _alone(gaussians):
    """Components by their numbers of columns."""
    ranks = gaussians.stop - gaussians.start
    for rank in np.unique(ranks):
        one = np.flatnonzero(ranks == rank)
        yield one, gaussians.start[one][:, None] + np.arange(rank)


NO_CAUSE = Hypothesis("", "", "", 0.0, "")


def _summed(parts, log_weights, hypothesis):
    """Chance of each hypothesis or pair of hypotheses."""
    weights = np.exp(log_weights)
    count = int(hypothesis.max()) + 1
    single = np.array([len(part) == 1 for part in parts])
    first = np.array([part[0] for part in parts])
    last = np.array([part[-1] for part in parts])
    low = np.minimum(hypothesis[first], hypothesis[last])
    high = np.maximum(hypothesis[first], hypothesis[last])
    key = np.where(single, low * (count + 1) + count, low * (count + 1) + high)
    names, inverse = np.unique(key, return_inverse=True)
    sums = np.bincount(inverse, weights[: len(parts)])
    found = {}
    for name, chance in zip(names.tolist(), sums.tolist(), strict=True):
        one, two = divmod(name, count + 1)
        found[(one,) if two == count else (one, two)] = chance
    found[NOTHING], found[NONE] = float(weights[-2]), float(weights[-1])
    return dict(sorted(found.items(), key=lambda item: -item[1]))
