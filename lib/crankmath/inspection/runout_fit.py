"""Least squares of readings over a turn in plain numbers: um, and radians of the mark."""

import warnings
from typing import NamedTuple

import numpy as np

from ..units import OutOfRangeWarning, number
from .plausible import around, harmonic_columns, least_squares, plausible, stays_under
from .uncertainty import CONFIDENCE, student_factor

MOST_LOBES = 5
WELL_SPREAD = 5.0  # condition number of the fit up to which another harmonic is taken: own choice
OUTLIER_RISK = 0.01  # chance that one of a set of good readings is named an outlier
SAME_MARK = np.radians(0.5)  # two angles so near are one mark read again
NO_SCATTER = 1e-9  # share of the readings below which a residual is what floating point leaves


class Sure(NamedTuple):
    """Swing and scatter [um], degrees of freedom, uncertainties in um and deg, drift [um]."""

    swing: float
    scatter: float | None
    freedom: float
    standard: float | None = None
    expanded: float | None = None
    direction: float | None = None
    swing_expanded: float | None = None
    drift: float | None = None
    drift_expanded: float | None = None


def elapsed_shares(turn, kept):
    """Share of the set at which each reading was taken, where the first mark is read again last."""
    if len(turn) < 4 or abs(np.angle(np.exp(1j * (turn[-1] - turn[0])))) > SAME_MARK:
        return None
    place = np.flatnonzero(kept).astype(float)
    return (place - place[0]) / (place[-1] - place[0])


def solve(turn, dial, lobes, known, division=None, elapsed=None):
    """Coefficients, residuals, uncertainties and outliers of readings in um at angles in radians.

    The coefficients are mean, cosine and sine of each harmonic, and with ``elapsed`` the drift.
    """
    distinct = len(np.unique(np.round(turn % (2 * np.pi), 6) % round(2 * np.pi, 6)))
    if len(dial) < 3 or distinct < 3:
        raise ValueError(
            f"reading: a circle needs three readings at three angles, "
            f"there are {len(dial)} at {distinct}"
        )
    drift = np.empty((len(dial), 0)) if elapsed is None else (elapsed - 0.5)[:, None]
    order = _highest(turn, distinct, lobes, drift.shape[1])
    design = np.hstack([harmonic_columns(turn, order), drift])
    if np.linalg.cond(design[:, :3]) > 100:
        raise ValueError(
            "angle: the readings lie on too small a part of the turn to tell an offset; "
            "take some on the far side"
        )
    if distinct <= 4:
        warnings.warn(
            f"fit_runout: with readings at {distinct} angles a three-lobed part passes for an "
            "eccentric one; take 8 or more",
            OutOfRangeWarning,
            stacklevel=3,
        )
    solution, left, inverse, spare = least_squares(design, dial)
    rounding = 0.0 if division is None else division / np.sqrt(12)
    if known is not None and spare:
        bound = _most(spare, np.inf) * (known**2 + rounding**2)
        known = known if left @ left <= bound else None  # the residuals refute it
    freedom = float(spare) if known is None else np.inf
    swing = float(np.ptp(around(order) @ solution[1 : 2 * order + 1]))
    sure = Sure(swing, _scatter(dial, left, spare, known, rounding), freedom)
    if elapsed is not None:
        sure = sure._replace(drift=float(solution[-1]))
    if sure.scatter is not None:
        kinds = [
            plausible(design, order, kept, dial, known, division)
            for kept in _kinds(solution, order, inverse * sure.scatter**2, freedom)
        ]
        sure = _with_uncertainty(sure, solution[1] + 1j * solution[2], inverse, kinds)
        if division is not None and np.ptp(dial) <= division * (1 + 1e-6):
            sure = sure._replace(
                expanded=max(sure.expanded, division / 2),
                direction=180.0,
                swing_expanded=max(sure.swing_expanded, 2 * division - swing),
            )
    return solution, left, sure, _outliers(turn, dial, {1, order}, drift)


def _scatter(dial, left, spare, known, rounding):
    """Standard deviation of a reading [um] with its rounding; None where nothing shows it."""
    if known is not None:
        return float(np.hypot(known, rounding))
    seen = float(np.sqrt(left @ left / spare)) if spare else 0.0
    if not spare or not rounding and seen <= NO_SCATTER * max(abs(dial).max(), np.ptp(dial)):
        return None  # readings that fit exactly do not show how they scatter
    return max(seen, rounding)


def _kinds(solution, order, part, freedom):
    """Sets of harmonics that the part may have: all, those that stand out with the offset or not.

    A part without the lobes that do not stand out is as plausible as one with them.
    """
    every = tuple(range(1, order + 1))
    places = {n: slice(2 * n - 1, 2 * n + 1) for n in every}
    clear = tuple(
        n
        for n, at in places.items()
        if solution[at] @ np.linalg.pinv(part[at, at]) @ solution[at] > _most(2, freedom, order)
    )
    return dict.fromkeys((every, tuple(sorted({1, *clear})), clear))


def _most(count, freedom, tried=1):
    """What a sum of squares of scatter stays under in 95 %, in squares of what is stated.

    With several such sums ``tried`` all of them do (Bonferroni).
    """
    from scipy.special import fdtri

    return count * float(fdtri(count, min(freedom, 1e9), 1 - (1 - CONFIDENCE) / tried))


def _with_uncertainty(sure, found, inverse, kinds):
    """Uncertainties of offset, direction, swing and drift: what 95 % of plausible parts stay in.

    An offset no longer than what scatter alone makes of none, by the kind that makes most, reaches
    down to zero. So is the swing's the widest: scatter lifts tops, most where several are as high.
    """
    toward = found / abs(found) if found else 1.0
    along = np.array([np.real(toward), np.imag(toward)])
    free = [parts for parts in kinds if parts.offset.any()]
    plane = max(stays_under([parts], lambda parts: abs(parts.offset - found)) for parts in free)
    length = stays_under(free, lambda parts: abs(((parts.offset - found) / toward).real))
    return sure._replace(
        standard=float(sure.scatter * np.sqrt(along @ inverse[1:3, 1:3] @ along)),
        expanded=length if abs(found) > plane else max(length, abs(found)),
        direction=180.0
        if abs(found) <= plane
        else stays_under(free, lambda parts: abs(np.angle(parts.offset / toward, deg=True))),
        swing_expanded=max(
            stays_under([parts], lambda parts: abs(parts.swing - sure.swing)) for parts in kinds
        ),
        drift_expanded=None
        if sure.drift is None
        else stays_under(kinds, lambda parts: abs(parts.last - sure.drift)),
    )


def _highest(turn, distinct, lobes, extra=0):
    """Highest harmonic to fit: as asked, or as many as the readings tell apart."""
    possible = (distinct - 1) // 2
    if lobes is not None:
        asked = number(lobes, "lobes", least=1, one=True)
        if asked != int(asked) or asked > possible:
            raise ValueError(
                f"lobes must be a whole number up to {possible} with readings at {distinct} "
                f"angles, not {lobes}"
            )
        return int(asked)
    spare = max(3, -(-len(turn) // 3))
    order = max(1, min(MOST_LOBES, possible, (len(turn) - 1 - extra - spare) // 2))
    while order > 1 and np.linalg.cond(harmonic_columns(turn, order)) > WELL_SPREAD:
        order -= 1
    return order


def _outliers(turn, dial, tried, drift):
    """Which readings the fit to all others misses by more than chance explains, by order tried.

    A fit of the offset alone leaves more readings to spare, so that a slip stands out of a dozen;
    true lobes raise its scatter and raise no alarm.
    """
    strange = np.zeros(len(dial), dtype=bool)
    for lobes in tried:
        design = np.hstack([harmonic_columns(turn, lobes), drift])
        _, left, inverse, spare = least_squares(design, dial)
        lever = 1 - np.einsum("ij,jk,ik->i", design, inverse, design)
        fair = lever > 1e-9
        if spare < 2 or np.ptp(left) <= 1e-9 * max(1.0, np.ptp(dial)):
            continue
        others = (left @ left - left**2 / np.where(fair, lever, 1)) / (spare - 1)
        floor = 1e-24 * max(1.0, float(left @ left))
        apart = np.where(fair, abs(left) / np.sqrt(np.maximum(others * lever, floor)), 0)
        strange |= apart > student_factor(1 - OUTLIER_RISK / len(tried) / len(left), spare - 1)
    return strange
