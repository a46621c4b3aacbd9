"""Smooth regression through a stored table: a Gaussian process over scaled ratios."""

from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_solve, cholesky, solve_triangular

LINEAR = 4.0  # variance of the constant and the straight slopes: wide, so the table decides
BANDS = 4  # of a triangle, each stored without the zeros right of it


def covariance(x, z, curved, rough, lengths):
    """Covariance of two sets of points: straight, quadratic and rough part."""
    product = x @ z.T
    a, b = x / lengths, z / lengths
    near = (a**2).sum(axis=1)[:, None] + (b**2).sum(axis=1) - 2 * a @ b.T
    return LINEAR * (1 + product) + curved * product**2 + rough * np.exp(-near / 2)


@dataclass(frozen=True)
class Surrogate:
    """Logarithm of one factor over scaled ratios (points, ratios), and what it leaves open."""

    points: np.ndarray
    curved: float
    rough: float
    lengths: np.ndarray
    weights: np.ndarray
    factor: np.ndarray  # lower triangle of the rows' covariance

    @classmethod
    def through(cls, points, values, curved, rough, noise, lengths):
        lengths = np.asarray(lengths)
        matrix = covariance(points, points, curved, rough, lengths)
        matrix[np.diag_indices(len(points))] += noise
        factor = cholesky(matrix, lower=True)
        weights = cho_solve((factor, True), values)
        return cls(points, curved, rough, lengths, weights, factor)

    @property
    def held_out(self):
        """Logarithm of the factor predicted without each row, less the row."""
        return -self.weights / np.diag(cho_solve((self.factor, True), np.eye(len(self.points))))

    def value_and_spread(self, x):
        """Value and its standard deviation, without the rows' own noise."""
        alone = Together([self])
        values, near = alone.values(x)
        return values[0], alone.spreads(x, near)[0]


class Together:
    """Several surrogates through the same rows, asked at once; first axis of all the factor.

    The straight and the quadratic part are summed over the rows beforehand.
    """

    def __init__(self, members):
        self.rows = members[0].points
        self.lengths = np.array([one.lengths for one in members])[:, None]
        self.curved, self.rough = (
            np.array([getattr(one, name) for one in members])[:, None, None]
            for name in ("curved", "rough")
        )
        weights = np.array([one.weights for one in members])
        self.weights = self.rough[:, 0] * weights
        self.level = LINEAR * weights.sum(axis=1)[:, None]
        self.line = LINEAR * weights @ self.rows
        self.bend = self.curved * np.einsum("fi,ij,ik->fjk", weights, self.rows, self.rows)
        self.scaled = self.rows / self.lengths
        self.square = (self.scaled**2).sum(axis=2)[:, None]
        one = np.eye(len(self.rows))
        whitening = np.array([solve_triangular(each.factor, one, lower=True) for each in members])
        ends = np.linspace(0, len(self.rows), BANDS + 1).astype(int)
        self.whitening = [
            np.ascontiguousarray(whitening[:, first:end, :end])
            for first, end in zip(ends[:-1], ends[1:], strict=True)
        ]

    def values(self, x):
        """Logarithms of the factors, (factors, points), and how near each point is to each row."""
        here = x / self.lengths
        near = (here**2).sum(axis=2)[:, :, None] + self.square
        near = np.exp(here @ self.scaled.transpose(0, 2, 1) - near / 2)
        rough = (near @ self.weights[:, :, None])[:, :, 0]
        return self.level + self.line @ x.T + ((x @ self.bend) * x).sum(axis=2) + rough, near

    def spreads(self, x, near):
        """Standard deviations of the values, without the rows' own noise."""
        product = x @ self.rows.T
        cross = LINEAR * (1 + product) + self.curved * product**2 + self.rough * near
        square = (x**2).sum(axis=1)
        own = LINEAR * (1 + square) + self.curved[:, 0] * square**2 + self.rough[:, 0]
        cross = cross.transpose(0, 2, 1)
        for band in self.whitening:
            own = own - ((band @ cross[:, : band.shape[2]]) ** 2).sum(axis=1)
        return np.sqrt(np.maximum(own, 0.0))

    def slopes(self, x, near):
        """Derivatives of the values to the scaled ratios, (factors, points, ratios)."""
        felt = near * self.weights[:, None]
        pull = (felt @ self.rows - felt.sum(axis=2)[:, :, None] * x) / self.lengths**2
        return self.line[:, None] + 2 * x @ self.bend + pull
