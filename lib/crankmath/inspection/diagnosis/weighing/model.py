"""The statistical model of one crank and one set of measurements: what is usual, and what each
cause adds.
"""

from dataclasses import dataclass

import numpy as np
from scipy.linalg import solve_triangular

from ..measured import Row
from ..signatures.background import Everyday, everyday_states, scatter, zero_columns
from ..signatures.causes import Catalog
from ..signatures.likelihoods import usual_table
from ..signatures.stations import Stations, nominal
from ..signatures.traces import HALF, TRUE, Traces

UNKNOWN_WAVES = (
    40.0,
    8.0,
    8.0,
    5.0,
    5.0,
)  # um of 1 to 5 lobes, of an error that is none of the causes
UNKNOWN = {"dial": 4.0, "height": 60.0, "diameter": 12.0}  # um of single readings, likewise
# scatters by which the waves through the others have to miss a reading that is misread: own choice
MISREAD = 6.0
UNKNOWN_OTHER = 3.0  # times the scatter, for direct checks


@dataclass(frozen=True)
class Gaussians:
    """Components as plain arrays: hypothesis, log weight, mean, first and last column in
    ``columns``.
    """

    hypothesis: np.ndarray
    weight: np.ndarray
    means: np.ndarray
    columns: np.ndarray
    start: np.ndarray
    stop: np.ndarray

    def lines(self, components):
        """Numbers of the columns of some components, one after the other."""
        spans = [np.arange(self.start[one], self.stop[one]) for one in components]
        return np.concatenate(spans) if spans else np.zeros(0, int)


class Model:
    """Model of rows on a crank made in a certain way; ``base`` and ``ordinary`` are mean and
    covariance without a fault.
    """

    def __init__(self, crank, making, rows, table=None, everyday=None, measured=None):
        self.crank, self.making, self.rows = crank, making, tuple(rows)
        self.table, self.everyday = table or usual_table(), everyday or Everyday()
        stations = Stations(crank, rows)
        self.traces = Traces(crank, making, stations)
        catalog = Catalog(self.traces, self.rows, self.table, measured)
        self.matrix = catalog.matrix
        self.hypotheses, self.components = catalog.hypotheses, catalog.components
        self.notice = catalog.notice
        thrust = making.thrust.m_as("N")
        usual = (
            self.traces.squeezed(thrust, {})
            + self.traces.yielding(HALF)
            + sum(
                self.traces.pin_squeezed(throw, making.pin_thrust.m_as("N"))
                for throw in range(len(crank.throws))
            )
        )
        self.base = self.matrix @ usual
        zeros, self.free = zero_columns(self.rows, crank)
        zeros[:, self.free :] *= self.everyday.mark
        states = np.array(list(everyday_states(self.traces, self.everyday).values())).T
        states = self.matrix @ states
        self.own = scatter(self.rows, self.everyday, thrust)
        self.ordinary = zeros @ zeros.T + states @ states.T + np.diag(self.own**2)
        self.nominal = nominal(crank, self.rows)
        self.gaussians = self._gaussians()

    def _gaussians(self):
        parts = self.components
        counts = np.array([part.columns.shape[1] for part in parts])
        stop = np.cumsum(counts)
        return Gaussians(
            np.array([part.hypothesis for part in parts]),
            np.log([part.weight for part in parts]),
            np.array([part.mean for part in parts]).T,
            np.concatenate([part.columns for part in parts], axis=1),
            stop - counts,
            stop,
        )

    def unknown(self):
        """Covariance of an error that is none of the causes."""
        found = np.zeros((len(self.rows),) * 2)
        for line, row in enumerate(self.rows):
            found[line, line] += UNKNOWN.get(row.kind, UNKNOWN_OTHER * self.own[line]) ** 2
        for lines in self._sets("dial"):
            turn = np.radians([self.rows[line].angle for line in lines])
            for order, size in enumerate(UNKNOWN_WAVES, 1):
                apart = turn[:, None] - turn[None, :]
                found[np.ix_(lines, lines)] += size**2 * np.cos(order * apart)
        return found

    def misplaced(self, values):
        """Covariance of marks that stood a little off under dial or micrometer, larger the more the
        reading changes there, and of readings that are plainly misread.
        """
        slope, missed = self._waves(values)
        found = np.diag((self.everyday.dial_mark * slope) ** 2 + missed**2)
        for lines in self._sets("dial"):
            here = np.ix_(lines, lines)
            found[here] += self.everyday.dial_zero_mark**2 * np.outer(slope[lines], slope[lines])
        return found

    def misread(self, values):
        """Rows whose readings are plainly misread: the waves through the others miss them by
        far."""
        _, missed = self._waves(values)
        return tuple(self.rows[line] for line in np.flatnonzero(missed))

    def _sets(self, kind):
        series = {}
        for line, row in enumerate(self.rows):
            if row.kind == kind:
                series.setdefault(row.series, []).append(line)
        return series.values()

    def _waves(self, values):
        """Slope of dial or micrometer at each row [um/deg], and by how much a misread dial is
        missed [um].
        """
        slope, missed = np.zeros(len(self.rows)), np.zeros(len(self.rows))
        for lines in self._sets("diameter"):
            turn = np.radians([self.rows[line].angle for line in lines])
            slope[lines] = _slope_of_two_lobes(turn, values[lines])
        for lines in self._sets("dial"):
            turn = np.radians([self.rows[line].angle for line in lines])
            slope[lines], away = _waves_of(turn, values[lines])
            limit = MISREAD * np.hypot(self.own[lines], self.everyday.dial_mark * slope[lines])
            missed[lines] = np.where(abs(away) > limit, away, 0.0)
        return slope, missed

    def zeroed(self, values):
        """Departures from the usual crank, each height set-up about its own mean so that its zero
        need not be known.
        """
        found = values - self.nominal - self.base
        setups = {}
        for line, row in enumerate(self.rows):
            if row.kind == "height":
                setups.setdefault((row.on, row.state), []).append(line)
            elif row.kind in ("dial", "center"):
                setups.setdefault(row.series, []).append(line)
        for lines in setups.values():
            kept = np.isfinite(found[lines])
            if kept.any():
                found[lines] -= np.mean(found[lines][kept])
        return found


def _waves_of(turn, dial):
    """Slope of up to three waves through a dial's readings [um/deg], and by how much the waves
    through the others miss each reading, zero where the others scatter as widely [um].
    """
    order = min(3, max(1, (len(turn) - 2) // 3))
    counts = np.arange(1, order + 1)
    waves = counts * turn[:, None]
    columns = np.hstack([np.ones_like(turn)[:, None], np.cos(waves), np.sin(waves)])
    inverse = np.linalg.pinv(columns)
    solution = inverse @ dial
    along, across = np.split(solution[1:], 2)
    slope = np.cos(waves) @ (counts * across) - np.sin(waves) @ (counts * along)
    left, free = dial - columns @ solution, 1 - np.sum(columns * inverse.T, axis=1)
    spare = len(turn) - columns.shape[1] - 1
    if spare < 2 or free.min() < 0.05:
        return np.radians(slope), np.zeros(len(turn))
    others = np.sqrt(np.maximum(left @ left - left**2 / free, 0.0) / spare)
    missed = left / free
    return np.radians(slope), np.where(abs(missed) > MISREAD * others, missed, 0.0)


def _slope_of_two_lobes(turn, sizes):
    """Change of diameters around a place [um/deg]; zero where fewer than three tell of it."""
    columns = np.stack([np.ones_like(turn), np.cos(2 * turn), np.sin(2 * turn)], axis=1)
    if np.linalg.matrix_rank(columns, tol=0.1) < 3:
        return np.zeros(len(turn))
    _, along, across = np.linalg.lstsq(columns, sizes - sizes.mean(), rcond=None)[0]
    return np.radians(2 * (across * np.cos(2 * turn) - along * np.sin(2 * turn)))


@dataclass(frozen=True)
class Whitened:
    """A model seen through the inverse root of its ordinary covariance, for the rows that were
    measured.
    """

    chosen: np.ndarray
    root: np.ndarray
    means: np.ndarray
    columns: np.ndarray
    gram: np.ndarray
    crossed: np.ndarray
    means_gram: np.ndarray
    unknown_root: np.ndarray

    @classmethod
    def of(cls, model, chosen, more):
        """Whitened rows ``chosen`` (all but the counted marks), ``more`` added to the ordinary
        covariance.
        """
        covariance = (model.ordinary + more)[np.ix_(chosen, chosen)]
        root = np.linalg.cholesky(covariance)
        means, columns = (
            solve_triangular(root, block[chosen], lower=True)
            for block in (model.gaussians.means, model.gaussians.columns)
        )
        broad = np.linalg.cholesky(covariance + model.unknown()[np.ix_(chosen, chosen)])
        return cls(
            chosen,
            root,
            means,
            columns,
            columns.T @ columns,
            columns.T @ means,
            means.T @ means,
            broad,
        )

    def numbers(self, residual, components, lines):
        """Mean and covariance of the normal numbers of components, columns ``lines``, and the
        square that is left over.
        """
        left = residual - self.means[:, list(components)].sum(axis=1)
        pull = self.columns[:, lines].T @ left
        covariance = np.linalg.inv(self.gram[np.ix_(lines, lines)] + np.eye(len(lines)))
        mean = covariance @ pull
        return mean, covariance, float(left @ left - pull @ mean)


def axis_rows(crank):
    """Rows for the axis itself at both ends and the middle of every main and pin, toward 0 and 90
    degrees.
    """
    return tuple(
        Row(
            "axis", ("main" if piece.kind == "journal" else "pin", piece.index), x, turn, state=TRUE
        )
        for piece in crank.segments
        if piece.kind != "web"
        for x in (piece.start, piece.start + piece.length / 2, piece.end)
        for turn in (0.0, 90.0)
    )
