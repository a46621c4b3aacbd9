"""Smooth regression through a stored table: a Gaussian process over scaled ratios."""

from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_solve, cholesky, solve_triangular

LINEAR = 4.0  # variance of the constant and the straight slopes: wide, so the table decides


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
        cross = covariance(x, self.points, self.curved, self.rough, self.lengths)
        square = (x**2).sum(axis=1)
        own = LINEAR * (1 + square) + self.curved * square**2 + self.rough
        explained = (solve_triangular(self.factor, cross.T, lower=True) ** 2).sum(axis=0)
        return cross @ self.weights, np.sqrt(np.maximum(own - explained, 0.0))

    def slope(self, x):
        """Derivatives to the scaled ratios, (points, ratios)."""
        product = x @ self.points.T
        apart = x[:, None] - self.points[None]
        near = self.rough * np.exp(-((apart / self.lengths) ** 2).sum(axis=2) / 2)
        straight = (LINEAR + 2 * self.curved * product) * self.weights
        rough = np.einsum("ij,ijk->ik", near * self.weights, apart / self.lengths**2)
        return straight @ self.points - rough
