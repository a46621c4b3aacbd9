"""Least squares of readings over a turn in plain numbers: um, and radians of the mark."""

import warnings
from functools import cache, lru_cache
from typing import NamedTuple

import numpy as np

from ..units import OutOfRangeWarning, number
from .uncertainty import CONFIDENCE, student_factor

MOST_LOBES = 5
FEW_MARKS = 4  # angles up to which three lobes pass for an offset
WELL_SPREAD = 5.0  # condition number of the fit up to which another harmonic is taken: own choice
OUTLIER_RISK = 0.01  # chance that one of a set of good readings is named an outlier
SAME_MARK = np.radians(0.5)  # two angles so near are one mark read again
ROUNDING_FACTOR = 2.1  # coverage factor of a division's rounding, simulated in tests/benchmarks
ROUNDED_DRIFT = 1.1  # likewise for a drift, beside that factor: rounding follows a slow ramp
NO_SCATTER = 1e-9  # share of the readings below which a residual is what floating point leaves
# a swing so many times what scatter alone makes has the uncertainty of its own two ends: own
# choice, simulated in the tests
CLEAR_SWING = 3.0
FULL_TURN = np.linspace(0, 2 * np.pi, 360, endpoint=False)


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


def distinct_marks(turn):
    """How many different marks the angles [rad] are."""
    return len(np.unique(np.round(turn % (2 * np.pi), 6) % round(2 * np.pi, 6)))


def solve(turn, dial, lobes, known, division=None, elapsed=None):
    """Coefficients, residuals, uncertainties and outliers of readings in um at angles in radians.

    The coefficients are mean, cosine and sine of each harmonic, and with ``elapsed`` the drift.
    """
    distinct = distinct_marks(turn)
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
    if distinct <= FEW_MARKS:
        warnings.warn(
            f"fit_runout: with readings at {distinct} angles a three-lobed part passes for an "
            "eccentric one; take 8 or more",
            OutOfRangeWarning,
            stacklevel=3,
        )
    solution, left, inverse, spare = _least_squares(design, dial)
    curve = _around(order) @ solution[1 : 2 * order + 1]
    sure = Sure(float(np.ptp(curve)), *_scatter(dial, left, spare, known, division))
    if elapsed is not None:
        sure = sure._replace(drift=float(solution[-1]))
    if sure.scatter is not None:
        sure = _with_uncertainty(sure, solution, curve, inverse, left, spare, division)
        if division is not None and np.ptp(dial) <= division * (1 + 1e-6):
            sure = sure._replace(
                expanded=max(sure.expanded, division / 2),
                direction=180.0,
                swing_expanded=max(sure.swing_expanded, 2 * division - sure.swing),
            )
    return solution, left, sure, _outliers(turn, dial, {1, order}, drift)


def _scatter(dial, left, spare, known, division):
    """Standard deviation of a reading [um] with its rounding, and its degrees of freedom.

    A known scatter that the residuals refute, by chi square, is not used.
    """
    from scipy.special import chdtri

    rounding = 0.0 if division is None else division / np.sqrt(12)
    if known is not None:
        stated = float(np.hypot(known, rounding))
        if not spare or left @ left <= stated**2 * chdtri(spare, 1 - CONFIDENCE):
            return stated, np.inf
    freedom = float(spare)
    if not spare:
        return None, freedom
    seen = float(np.sqrt(left @ left / spare))
    if not rounding and seen <= NO_SCATTER * max(abs(dial).max(), np.ptp(dial)):
        return None, freedom  # readings that fit exactly do not show how they scatter
    return max(seen, ROUNDING_FACTOR / student_factor(CONFIDENCE, freedom) * rounding), freedom


def _with_uncertainty(sure, solution, curve, inverse, left, spare, division):
    """Uncertainties of offset, direction, swing and drift from the scatter of a reading."""
    # lobes beyond the fit are in what was seen, not in what was known beforehand
    seen = float(np.sqrt(left @ left / spare)) if spare else 0.0
    unseen, ramp = 0.0, 1.0
    if division is not None and seen < 1.5 * division / np.sqrt(12):  # rounding, hardly scatter
        unseen = _rounding_of_offset(np.hypot(*solution[1:3]), division)
        ramp = ROUNDED_DRIFT
    both = _offset_uncertainty(*solution[1:3], sure.scatter, sure.freedom, inverse, unseen)
    harmonics = slice(1, 1 + 2 * ((len(solution) - 1) // 2))
    drift = student_factor(CONFIDENCE, sure.freedom) * sure.scatter * np.sqrt(inverse[-1, -1])
    drift *= ramp
    return sure._replace(
        standard=both[0],
        expanded=both[1],
        direction=both[2],
        swing_expanded=_swing_uncertainty(
            curve, max(sure.scatter, seen), sure.freedom, inverse[harmonics, harmonics]
        ),
        drift_expanded=None if sure.drift is None else float(drift),
    )


def _least_squares(design, dial):
    """Coefficients, residuals, inverse of the normal matrix, and how many readings are to spare."""
    solution = np.linalg.lstsq(design, dial, rcond=None)[0]
    return (
        solution,
        dial - design @ solution,
        np.linalg.pinv(design.T @ design),
        len(dial) - design.shape[1],
    )


def harmonic_columns(turn, order):
    columns = [np.ones_like(turn)]
    for n in range(1, order + 1):
        columns += [np.cos(n * turn), np.sin(n * turn)]
    return np.stack(columns, axis=1)


@cache
def _around(order):
    """Columns of the harmonics at many angles of a turn, without the mean."""
    return harmonic_columns(FULL_TURN, order)[:, 1:]


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


def _rounding_of_offset(size, division):
    """What rounding makes of an offset [um], however many readings are taken.

    Basis: derived. A cosine of amplitude A read to a division d without scatter has its first
    harmonic off by (2 d/pi) times the sum of J1(2 pi k A/d)/k, signs by where its mean lies between
    two lines: at worst 0.37 d sqrt(d/A); 0.3 holds for 99 of 100 offsets above half a division, by
    simulation.
    """
    return division * min(0.4, 0.3 / np.sqrt(max(size / division, 1e-9)))


def _offset_uncertainty(a, b, scatter, freedom, inverse, unseen=0.0):
    """Standard and expanded uncertainty of the eccentricity [um], expanded one of its direction
    [deg].

    It is at least ``unseen`` [um], what the rounding alone may make of it.
    """
    from scipy.special import fdtri

    size, part = np.hypot(a, b), scatter**2 * inverse[1:3, 1:3]
    toward = np.array([a, b]) / size if size else np.array([1.0, 0.0])
    across = np.array([-toward[1], toward[0]])
    standard = float(np.sqrt(toward @ part @ toward))
    plane = np.sqrt(2 * fdtri(2, min(freedom, 1e9), CONFIDENCE)) * np.sqrt(
        np.linalg.eigvalsh(part)[-1]
    )
    plane = max(plane, unseen)
    factor = student_factor(CONFIDENCE, freedom)
    if size <= plane:
        return standard, float(plane), 180.0
    return (
        standard,
        max(factor * standard, unseen),
        float(np.degrees(min(np.pi, factor * np.sqrt(across @ part @ across) / size))),
    )


def _swing_uncertainty(curve, scatter, freedom, inverse):
    """Expanded uncertainty of the fitted curve's largest less smallest [um].

    A clear swing has that of the difference of its two ends; with several tops or valleys about as
    high the factor is that of the most extreme of the pairs (Bonferroni). Scatter lifts tops and
    deepens valleys: a swing hardly above what scatter alone would make has that amount.
    """
    swing, around = np.ptp(curve), _around(len(inverse) // 2)
    alone = scatter * _swing_of_scatter(inverse.tobytes(), len(inverse), freedom)
    if swing < CLEAR_SWING * alone:
        return float(alone)
    ends = around[curve.argmax()] - around[curve.argmin()]
    standard = scatter * np.sqrt(ends @ inverse @ ends)
    near = student_factor(CONFIDENCE, freedom) * standard
    pairs = _tops(curve, near) * _tops(-curve, near)
    return float(student_factor(1 - (1 - CONFIDENCE) / pairs, freedom) * standard)


def _tops(curve, near):
    """How many tops of a closed curve come near the highest."""
    return max(
        1,
        int(
            np.sum(
                (curve >= np.roll(curve, 1))
                & (curve > np.roll(curve, -1))
                & (curve > curve.max() - near)
            )
        ),
    )


@lru_cache(maxsize=64)
def _swing_of_scatter(inverse, size, freedom):
    """Swing that a fit to unit scatter alone stays under in 95 %; drawn, always the same."""
    random = np.random.RandomState(12)  # the one generator whose numbers never change
    matrix = np.frombuffer(inverse).reshape(size, size)
    values, vectors = np.linalg.eigh(matrix)
    drawn = random.standard_normal((2000, size)) * np.sqrt(np.maximum(values, 0)) @ vectors.T
    swings = np.ptp(drawn @ _around(size // 2)[::4].T, axis=1)
    if np.isfinite(freedom):
        swings = swings / np.sqrt(random.chisquare(freedom, len(swings)) / freedom)
    return float(np.quantile(swings, CONFIDENCE))


def _outliers(turn, dial, tried, drift):
    """Which readings the fit to all others misses by more than chance explains, by order tried.

    A fit of the offset alone leaves more readings to spare, so that a slip stands out of a dozen;
    true lobes raise its scatter and raise no alarm.
    """
    strange = np.zeros(len(dial), dtype=bool)
    for lobes in tried:
        design = np.hstack([harmonic_columns(turn, lobes), drift])
        _, left, inverse, spare = _least_squares(design, dial)
        lever = 1 - np.einsum("ij,jk,ik->i", design, inverse, design)
        fair = lever > 1e-9
        if spare < 2 or np.ptp(left) <= 1e-9 * max(1.0, np.ptp(dial)):
            continue
        others = (left @ left - left**2 / np.where(fair, lever, 1)) / (spare - 1)
        floor = 1e-24 * max(1.0, float(left @ left))
        apart = np.where(fair, abs(left) / np.sqrt(np.maximum(others * lever, floor)), 0)
        strange |= apart > student_factor(1 - OUTLIER_RISK / len(tried) / len(left), spare - 1)
    return strange
