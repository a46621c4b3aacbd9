"""How well each cause, and each two together, explain the readings: evidence of Gaussian components."""

from dataclasses import dataclass
from itertools import combinations_with_replacement

import numpy as np
from scipy.linalg import solve_triangular
from scipy.special import logsumexp

from .causes import SECOND_FAULT, marks_weight
from .model import Model

NOTHING_CHANCE = 8.0  # of nothing out of the ordinary, beside the chances of the table
NONE_CHANCE = 4.0  # of an error that is none of the causes, likewise
TEMPER = 0.8  # power of the evidence: the model is not exact; chosen so that stated chances hold
SHOWS = 9.0  # square of a component's readings over their ordinary scatter from which it shows
HIDDEN = 0.02  # share of the chance left to a component that does not
NOTHING, NONE = (), (-1,)  # hypotheses that are no cause
MOST_KEPT = 4_000_000  # numbers kept of inverses between sets of readings
LONGEST = 40  # columns of two components together beyond which the pair is left out


@dataclass(frozen=True)
class Weighed:
    """Chances of hypotheses (tuples of their numbers), and of the components behind them.

    ``parts`` holds components (one or two numbers), ``log_weights`` their weights, normalized.
    """

    chances: dict
    parts: tuple
    log_weights: np.ndarray
    residual: np.ndarray


def _groups(model):
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
        kept = gaussians.hypothesis[one] != gaussians.hypothesis[two]
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


def _inverse(white, lines):
    """Inverse and log determinant of I + F'F for the columns in each line."""
    blocks = white.gram[lines[:, :, None], lines[:, None, :]] + np.eye(lines.shape[1])
    return np.linalg.inv(blocks), np.linalg.slogdet(blocks)[1]


class Weigher:
    """Weighs readings against one model; what does not depend on the readings is kept."""

    def __init__(self, model, white, pairs=True):
        self.model, self.white, self.pairs = model, white, pairs
        self.kept, self.room = {}, MOST_KEPT
        self.shown = self._shown()
        self.single = self._singles()

    def _shown(self):
        """Log share of each component's chance that counts: what would hardly show is no cause of what was measured."""
        white, gaussians = self.white, self.model.gaussians
        square = np.diag(white.means_gram) + np.add.reduceat(
            np.diag(white.gram), gaussians.start
        )
        chatter = [self.model.hypotheses[one].cause == "chatter" for one in gaussians.hypothesis]
        return np.where((square > SHOWS) | chatter, 0.0, np.log(HIDDEN))

    def _singles(self):
        gaussians = self.model.gaussians
        ranks = gaussians.stop - gaussians.start
        found = []
        for rank in np.unique(ranks):
            one = np.flatnonzero(ranks == rank)
            lines = gaussians.start[one][:, None] + np.arange(rank)
            found.append((one, lines, *_inverse(self.white, lines)))
        return found

    def weigh(self, values):
        """Chances of all hypotheses for the values of the model's rows (nan where not measured)."""
        model, white, gaussians = self.model, self.white, self.model.gaussians
        seen = solve_triangular(white.root, model.zeroed(values)[white.chosen], lower=True)
        toward, own = white.columns.T @ seen, seen @ seen
        along = white.means.T @ seen
        marks = np.array([marks_weight(one, *self._marks(values)) for one in model.hypotheses])
        plain = marks_weight(_NoCause, *self._marks(values))
        chances = np.array([one.chance for one in model.hypotheses])
        with np.errstate(divide="ignore"):
            prior = np.log(chances)
        parts, weights, own_weight = [], [], gaussians.weight + self.shown
        for one, lines, inverse, size in self.single:
            pull = toward[lines] - white.crossed[lines, one[:, None]]
            square = own - 2 * along[one] + white.means_gram[one, one]
            fit = -0.5 * (square - np.einsum("pi,pij,pj->p", pull, inverse, pull) + size)
            hypothesis = gaussians.hypothesis[one]
            parts += [(int(part),) for part in one]
            weights.append(
                TEMPER * (fit + marks[hypothesis]) + prior[hypothesis] + own_weight[one]
            )
        if self.pairs:
            self._weigh_pairs(toward, own, along, marks, prior, parts, weights, chances, plain)
        weights = np.concatenate(weights)
        ordinary = TEMPER * (-0.5 * own + plain) + np.log(NOTHING_CHANCE)
        broad = solve_triangular(
            white.unknown_root, model.zeroed(values)[white.chosen], lower=True
        )
        unknown = TEMPER * (
            -0.5 * broad @ broad + white.unknown_constant - white.constant + plain
        ) + np.log(NONE_CHANCE)
        whole = np.concatenate([weights, [ordinary, unknown]])
        whole = whole - logsumexp(whole)
        return Weighed(
            _summed(parts, whole, gaussians.hypothesis), tuple(parts), whole, seen
        )

    def _weigh_pairs(self, toward, own, along, marks, prior, parts, weights, chances, plain):
        white, gaussians = self.white, self.model.gaussians
        own_weight = gaussians.weight + self.shown
        second = np.log(SECOND_FAULT) - np.log(chances.sum())
        for number, (one, two, lines) in enumerate(self._pair_groups()):
            inverse, size = self._pair_inverse(number, lines)
            pull = (
                toward[lines]
                - white.crossed[lines, one[:, None]]
                - white.crossed[lines, two[:, None]]
            )
            square = (
                own
                - 2 * (along[one] + along[two])
                + white.means_gram[one, one]
                + white.means_gram[two, two]
                + 2 * white.means_gram[one, two]
            )
            fit = -0.5 * (square - np.einsum("pi,pij,pj->p", pull, inverse, pull) + size)
            first, other = gaussians.hypothesis[one], gaussians.hypothesis[two]
            seen = np.maximum(marks[first], marks[other])
            parts += list(zip(one.tolist(), two.tolist(), strict=True))
            weights.append(
                TEMPER * (fit + seen)
                + prior[first]
                + prior[other]
                + second
                + own_weight[one]
                + own_weight[two]
            )

    def _pair_groups(self):
        if "groups" not in self.kept:
            self.kept["groups"] = list(_groups(self.model))
        return self.kept["groups"]

    def _pair_inverse(self, number, lines):
        if number in self.kept:
            return self.kept[number]
        found = _inverse(self.white, lines)
        if found[0].size < self.room:
            self.room -= found[0].size
            self.kept[number] = found
        return found

    def wider(self, rows):
        """Model of more rows, the measured ones first; the last one is kept."""
        if self.kept.get("wide", (None,))[0] != rows:
            model = self.model
            self.kept["wide"] = (
                rows,
                Model(
                    model.crank, model.making, rows, model.table, model.everyday, len(model.rows)
                ),
            )
        return self.kept["wide"][1]

    def _marks(self, values):
        chosen = [line for line, row in enumerate(self.model.rows) if row.kind == "marks"]
        chosen = [line for line in chosen if np.isfinite(values[line])]
        return [self.model.rows[line] for line in chosen], values[chosen]


class _NoCause:
    """Stands for no cause where chatter marks are weighed."""

    cause, detail = "", ()


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
