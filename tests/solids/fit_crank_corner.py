"""Fit the lengths of crank_corner's interpolation to its table, by greatest likelihood.

python tests/solids/fit_crank_corner.py   rewrites lib/crankmath/data/crank_corner_fit.csv and
prints the error of each factor with one row at a time left out. Needs numpy and scipy only.
"""

from pathlib import Path

import numpy as np
from scipy.linalg import LinAlgError, cho_factor, cho_solve
from scipy.optimize import minimize

from crankmath.crank_corner import solved as crank_corner
from crankmath.crank_corner.surrogate import LINEAR, Surrogate

TABLE = Path(__file__).parents[2] / "lib/crankmath/data/crank_corner.csv"
PLACE = TABLE.with_name("crank_corner_fit.csv")
COLUMNS = ["factor", "curved", "rough", "noise", *crank_corner.BOX, "web_reach", "web_corner"]
# logarithms: expected value and spread of curved, rough, noise and of each length
EXPECTED = np.log([0.03, 0.1, 1e-4, *[2.5] * 8])
SPREAD = np.array([2.0, 2.0, 1.0, *[1.0] * 8])


def misfit(logs, points, values):
    """Negative logarithm of the likelihood and of the priors, and its gradient."""
    curved, rough, noise, *lengths = np.exp(logs)
    lengths = np.array(lengths)
    product = points @ points.T
    apart = (points[:, None] - points[None]) ** 2 / lengths**2
    near = rough * np.exp(-apart.sum(axis=2) / 2)
    matrix = LINEAR * (1 + product) + curved * product**2 + near
    try:
        factored = cho_factor(matrix + noise * np.eye(len(values)), lower=True)
    except LinAlgError:
        return 1e6, np.zeros(len(logs))
    weights = cho_solve(factored, values)
    rest = cho_solve(factored, np.eye(len(values))) - np.outer(weights, weights)
    slope = [curved * (rest * product**2).sum(), (rest * near).sum(), noise * np.trace(rest)]
    slope = np.r_[slope, np.einsum("ij,ijk->k", rest * near, apart)] / 2
    off = (logs - EXPECTED) / SPREAD
    value = values @ weights / 2 + np.log(np.diag(factored[0])).sum() + off @ off / 2
    return value, slope + off / SPREAD


def fit(points, values):
    limits = [(-12, 3), (-12, 3), (np.log(2e-5), np.log(3e-3)), *[(-0.7, 3)] * 8]
    found = minimize(
        misfit, EXPECTED, args=(points, values), method="L-BFGS-B", jac=True, bounds=limits
    )
    return np.exp(found.x)


def _split(logs):
    curved, rough, noise, *lengths = np.exp(logs)
    return curved, rough, noise, np.array(lengths)


def main():
    points, logs = crank_corner.table()
    lines = [",".join(COLUMNS)]
    for name, values in logs.items():
        found = fit(points, values)
        off = Surrogate.through(points, values, *_split(np.log(found))).held_out
        print(
            f"{name:20s} rms {np.sqrt(np.mean(off**2)):.3f}, 95 % "
            f"{np.quantile(abs(off), 0.95):.3f}, largest {abs(off).max():.3f}; {len(off)} rows",
            flush=True,
        )
        worst = np.argsort(-abs(off))[:5]
        print("   farthest off, by line of the table:", *(worst + 2))
        lines.append(",".join([name, *(f"{value:.4g}" for value in found)]))
    PLACE.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
