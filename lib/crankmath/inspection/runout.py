"""What indicator readings over a turn say: offset and its direction, form by lobes, runout, and how sure they are.

Angles are marks on the work: the reading at 90 deg is taken with the 90 deg mark under the indicator. A reading grows
as metal pushes the plunger in. Plane vectors are complex numbers, 0 deg along the real axis.
"""

import warnings
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import NamedTuple

import numpy as np

from ..checks import made, several
from ..units import OutOfRangeWarning, Quantity, magnitude, number, ureg
from . import uncertainty
from .uncertainty import CONFIDENCE, student_factor
from .vee_blocks import vee_factor

__all__ = ["Runout", "bend_of_mains", "fit_runout", "runout_budget", "vee_factor"]
MOST_LOBES = 5
WELL_SPREAD = 5.0  # condition number of the fit up to which another harmonic is taken: own choice
OUTLIER_RISK = 0.01  # chance that one of a set of good readings is named an outlier
CLEAR_SWING = 3.0  # a swing so many times what scatter alone makes has the uncertainty of its own two ends: own choice, simulated in the tests
FULL_TURN = np.linspace(0, 2 * np.pi, 360, endpoint=False)


@dataclass(frozen=True)
class Runout:
    """A least-squares fit of readings over a turn.

    ``direction`` is the high spot. ``tir`` is twice the eccentricity, what the offset alone makes the dial show. ``swing``
    is largest less smallest of the fitted curve, offset and lobes: the circular run-out of ISO 1101. ``full_reading`` is
    largest less smallest reading as taken; scatter makes it too large, steps between readings too small.
    ``form_error`` is the spread of the readings about the fitted off-center circle. ``harmonics`` holds (amplitude, angle
    of a lobe's top) by number of lobes, as seen by the indicator. ``outliers`` and ``missing`` count readings from zero.
    Expanded uncertainties are for 95 %, from the scatter of the readings alone; None where nothing is left to tell it.
    """

    eccentricity: Quantity
    direction: Quantity
    form_error: Quantity
    residuals: Quantity
    mean: Quantity
    full_reading: Quantity
    swing: Quantity
    harmonics: dict
    outliers: tuple
    missing: tuple
    scatter: Quantity | None
    degrees_of_freedom: float
    eccentricity_uncertainty: Quantity | None
    eccentricity_expanded: Quantity | None
    direction_expanded: Quantity | None
    swing_expanded: Quantity | None

    @property
    def tir(self):
        """Runout that the offset alone makes the indicator show, 2e."""
        return 2 * self.eccentricity

    @property
    def correction(self):
        """Where to move the axis by one eccentricity: opposite the high spot."""
        return Quantity((self.direction.m_as("deg") + 180) % 360, "deg")

    @property
    def found(self):
        """Whether the offset stands out of the scatter; None where that cannot be told."""
        return (
            None
            if self.eccentricity_expanded is None
            else bool(self.eccentricity > self.eccentricity_expanded)
        )


def fit_runout(angle, reading, lobes=None, repeatability=None):
    r"""Eccentricity, high spot, form and residuals of indicator readings over a turn.

    .. math:: y_i = \bar y + \sum_{n=1}^{N} a_n \cos n\theta_i + b_n \sin n\theta_i, \qquad e = \sqrt{a_1^2 + b_1^2}

    Parameters
    ----------
    angle : Quantity, array [angle]
        Mark of the work under the indicator; any steps, any order, more than one turn if wished.
    reading : Quantity, array [length]
        nan where none was taken.
    lobes : int, optional
        Highest harmonic N. Without it as many, up to 5, as the readings tell apart with a third of them, at least 3, to spare.
    repeatability : Quantity, scalar, optional [length]
        Standard deviation of repeated readings, known beforehand; without it the scatter about the fit is used.

    Returns
    -------
    Runout
        Degrees of freedom are inf with a known repeatability.

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        Fewer than three readings, or readings on too small a part of the turn.

    Warns
    -----
    OutOfRangeWarning
        Four angles or fewer: three lobes then pass for eccentricity, whatever the sum says.

    Notes
    -----
    Basis: derived; least squares, Student's factor. A reading is named an outlier, and kept, when the fit without it misses
    it by more than chance explains (externally studentized residual, 1 % over the whole set). Where the
    eccentricity does not stand out of the scatter its interval starts at zero and the factor for a vector in the plane
    is used, so that it still holds in 95 % of cases. The swing's interval holds in 95 % where the swing is well above the
    scatter, in more below. At k equal steps k - 1 and k + 1 lobes pass for eccentricity and k/2 lobes may hide: take 12
    steps or more. Range: offset small against the radius, stiff indicator, square to the work.
    """
    turn, dial, kept, per_unit = _pairs(angle, reading)
    known = (
        None
        if repeatability is None
        else magnitude(repeatability, "um", "repeatability", above=0, one=True)
    )
    solution, left, sure, strange = _solve(turn, dial, lobes, known)
    residuals = np.full(kept.shape, np.nan)
    residuals[kept] = left
    first = _harmonic_columns(turn, 1)

    def told(micrometers):
        return None if micrometers is None else Quantity(micrometers / per_unit, reading.units)

    def top(n):
        return Quantity(
            float(np.degrees(np.arctan2(solution[2 * n], solution[2 * n - 1])) / n % (360 / n)),
            "deg",
        )

    return Runout(
        told(float(np.hypot(*solution[1:3]))),
        top(1),
        told(float(np.ptp(dial - first @ solution[:3]))),
        told(residuals),
        told(float(solution[0])),
        told(float(np.ptp(dial))),
        told(sure.swing),
        {
            n: (told(float(np.hypot(*solution[2 * n - 1 : 2 * n + 1]))), top(n))
            for n in range(1, len(solution) // 2 + 1)
        },
        tuple(int(place) for place in np.flatnonzero(kept)[strange]),
        tuple(int(place) for place in np.flatnonzero(~kept)),
        told(sure.scatter),
        sure.freedom,
        told(sure.standard),
        told(sure.expanded),
        None if sure.direction is None else Quantity(sure.direction, "deg"),
        told(sure.swing_expanded),
    )


class _Sure(NamedTuple):
    """Swing [um], scatter [um], its degrees of freedom; uncertainties of eccentricity [um], direction [deg] and swing [um]."""

    swing: float
    scatter: float | None
    freedom: float
    standard: float | None = None
    expanded: float | None = None
    direction: float | None = None
    swing_expanded: float | None = None


def _solve(turn, dial, lobes, known):
    """Coefficients, residuals, uncertainties and outliers of readings in um at angles in radians."""
    distinct = len(np.unique(np.round(turn % (2 * np.pi), 6) % round(2 * np.pi, 6)))
    if len(dial) < 3 or distinct < 3:
        raise ValueError(
            f"reading: a circle needs three readings at three angles, there are {len(dial)} at {distinct}"
        )
    design = _harmonic_columns(turn, _highest(turn, distinct, lobes))
    if np.linalg.cond(design[:, :3]) > 100:
        raise ValueError(
            "angle: the readings lie on too small a part of the turn to tell an offset; take some on the far side"
        )
    if distinct <= 4:
        warnings.warn(
            f"fit_runout: with readings at {distinct} angles a three-lobed part passes for an eccentric one; take 8 or more",
            OutOfRangeWarning,
            stacklevel=3,
        )
    solution, left, inverse, spare = _least_squares(design, dial)
    curve = _around(len(solution) // 2) @ solution[1:]
    seen = float(np.sqrt(left @ left / spare)) if spare else None
    scatter = seen if known is None else known
    sure = _Sure(float(np.ptp(curve)), scatter, np.inf if known is not None else float(spare))
    if scatter is not None:
        both = _offset_uncertainty(*solution[1:3], scatter, sure.freedom, inverse)
        unseen = (
            scatter if seen is None else max(scatter, seen)
        )  # lobes beyond the fit are in what was seen, not in what was known
        sure = sure._replace(
            standard=both[0],
            expanded=both[1],
            direction=both[2],
            swing_expanded=_swing_uncertainty(curve, unseen, sure.freedom, inverse[1:, 1:]),
        )
    return solution, left, sure, _outliers(turn, dial, design.shape[1] // 2)


def _least_squares(design, dial):
    """Coefficients, residuals, inverse of the normal matrix, and how many readings are to spare."""
    solution = np.linalg.lstsq(design, dial, rcond=None)[0]
    return (
        solution,
        dial - design @ solution,
        np.linalg.pinv(design.T @ design),
        len(dial) - design.shape[1],
    )


def _pairs(angle, reading):
    """Angles in radians and readings in um that were taken, which those are, and um per unit of the readings."""
    if not isinstance(reading, ureg.Quantity):
        magnitude(reading, "mm", "reading")
    per_unit = magnitude(Quantity(1.0, reading.units), "um", "reading")
    raw = np.atleast_1d(
        np.asarray(reading.magnitude, dtype=float)
    )  # magnitude() would refuse the nan of a missing reading
    kept = np.isfinite(raw)
    if np.any(np.isinf(raw)):
        raise ValueError("reading has to be finite; write nan where none was taken")
    if not kept.any():
        raise ValueError("reading holds no reading at all; give three or more")
    turn = np.atleast_1d(magnitude(angle, "rad", "angle"))
    if turn.shape != raw.shape or raw.ndim != 1:
        raise ValueError(
            f"angle and reading need equally many values, not {turn.size} and {raw.size}"
        )
    return turn[kept], raw[kept] * per_unit, kept, per_unit


def _harmonic_columns(turn, order):
    columns = [np.ones_like(turn)]
    for n in range(1, order + 1):
        columns += [np.cos(n * turn), np.sin(n * turn)]
    return np.stack(columns, axis=1)


@cache
def _around(order):
    """Columns of the harmonics at many angles of a turn, without the mean."""
    return _harmonic_columns(FULL_TURN, order)[:, 1:]


def _highest(turn, distinct, lobes):
    """Highest harmonic to fit: as asked, or as many as the readings tell apart."""
    possible = (distinct - 1) // 2
    if lobes is not None:
        asked = number(lobes, "lobes", least=1, one=True)
        if asked != int(asked) or asked > possible:
            raise ValueError(
                f"lobes must be a whole number up to {possible} with readings at {distinct} angles, not {lobes}"
            )
        return int(asked)
    spare = max(3, -(-len(turn) // 3))
    order = max(1, min(MOST_LOBES, possible, (len(turn) - 1 - spare) // 2))
    while order > 1 and np.linalg.cond(_harmonic_columns(turn, order)) > WELL_SPREAD:
        order -= 1
    return order


def _offset_uncertainty(a, b, scatter, freedom, inverse):
    """Standard and expanded uncertainty of the eccentricity [um], expanded uncertainty of its direction [deg]."""
    from scipy.special import fdtri

    size, part = np.hypot(a, b), scatter**2 * inverse[1:3, 1:3]
    toward = np.array([a, b]) / size if size else np.array([1.0, 0.0])
    across = np.array([-toward[1], toward[0]])
    standard = float(np.sqrt(toward @ part @ toward))
    plane = np.sqrt(2 * fdtri(2, min(freedom, 1e9), CONFIDENCE)) * np.sqrt(
        np.linalg.eigvalsh(part)[-1]
    )
    factor = student_factor(CONFIDENCE, freedom)
    if size <= plane:
        return standard, float(plane), 180.0
    return (
        standard,
        factor * standard,
        float(np.degrees(min(np.pi, factor * np.sqrt(across @ part @ across) / size))),
    )


def _swing_uncertainty(curve, scatter, freedom, inverse):
    """Expanded uncertainty of the fitted curve's largest less smallest [um].

    A clear swing has that of the difference of its two ends; with several tops or valleys about as high the factor is that
    of the most extreme of so many pairs (Bonferroni). Scatter lifts tops and deepens valleys, so a swing hardly above what
    scatter alone would make is given that amount.
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
    """Swing that a fit to readings of unit scatter and nothing else stays under in 95 % of cases; drawn, always the same."""
    random = np.random.RandomState(12)  # the one generator whose numbers never change
    matrix = np.frombuffer(inverse).reshape(size, size)
    values, vectors = np.linalg.eigh(matrix)
    drawn = random.standard_normal((2000, size)) * np.sqrt(np.maximum(values, 0)) @ vectors.T
    swings = np.ptp(drawn @ _around(size // 2)[::4].T, axis=1)
    if np.isfinite(freedom):
        swings = swings / np.sqrt(random.chisquare(freedom, len(swings)) / freedom)
    return float(np.quantile(swings, CONFIDENCE))


def _outliers(turn, dial, order):
    """Which readings the fit to all others misses by more than chance explains, with all lobes or with the offset alone.

    The second fit leaves more readings to spare, so that a slip stands out of a dozen; true lobes raise its scatter and raise no alarm.
    """
    strange = np.zeros(len(dial), dtype=bool)
    tried = {1, order}
    for lobes in tried:
        design = _harmonic_columns(turn, lobes)
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


def runout_budget(runout, indicator=None, support=None, of="swing"):
    """Runout with its whole uncertainty: scatter of the readings, the indicator, and what carries the work.

    Parameters
    ----------
    runout : Runout
    indicator : Quantity, scalar, optional [length]
        Largest error of the indicator between two of its readings, either way.
    support : Quantity, scalar, optional [length]
        Largest error of centers, center holes or vees in the reading, either way.
    of : "swing" or "offset"
        The whole reading, or twice the eccentricity.

    Returns
    -------
    uncertainty.Budget
        Degrees of freedom are inf where nothing in it was told by few readings.

    Raises
    ------
    TypeError, pint.DimensionalityError
        The runout is none, or a half width has no unit, or one of another kind.
    ValueError
        ``of`` is unknown, a half width is below zero, or the readings leave nothing to tell their scatter.

    Notes
    -----
    Basis: standard. GUM (JCGM 100): the three parts add; half widths are taken as rectangular.
    """
    made(runout, Runout, "runout")
    if of not in ("swing", "offset"):
        raise ValueError(f'of must be "swing" or "offset", not {of!r}')
    if runout.swing_expanded is None:
        raise ValueError(
            "runout: as many readings as unknowns leave nothing to tell their scatter; take more readings, or fit with a known repeatability"
        )
    value, expanded = (
        (runout.swing, runout.swing_expanded)
        if of == "swing"
        else (runout.tir, 2 * runout.eccentricity_expanded)
    )
    factor = student_factor(CONFIDENCE, runout.degrees_of_freedom)
    parts = [
        uncertainty.source(
            "readings",
            value,
            standard=expanded / factor,
            degrees_of_freedom=runout.degrees_of_freedom,
        )
    ]
    parts += [
        uncertainty.source(name, 0 * value, half_width=width)
        for name, width in (("indicator", indicator), ("support", support))
        if width is not None
    ]
    if all(
        part.standard.magnitude == 0 for part in parts
    ):  # readings without any scatter, nothing else named
        nothing = 0 * value
        return uncertainty.Budget(
            value,
            nothing,
            nothing,
            factor,
            runout.degrees_of_freedom,
            {part.name: 0.0 for part in parts},
            {},
        )
    return uncertainty.combine(lambda readings, **others: readings + sum(others.values()), parts)


def bend_of_mains(positions, runouts):
    """How far the mains' centers lie off the straight line through the outer two.

    Parameters
    ----------
    positions : Quantity, array [length]
        Along the shaft, one a measured place.
    runouts : sequence of Runout
        One a place, all read from the same mark.

    Returns
    -------
    tuple of Quantity (offsets, directions) [unit of the readings, deg]
        One a place; zero at the outer two.

    Raises
    ------
    TypeError, pint.DimensionalityError
        The positions have no unit, or one of another kind, or a runout is none.
    ValueError
        Fewer than three places, or two at one position.

    Notes
    -----
    Basis: derived. Runout of a straight shaft on poor centers grows in a straight line; what is left of that is bend.
    """
    along, runouts = (
        np.atleast_1d(magnitude(positions, "mm", "positions")),
        several(runouts, Runout, "runouts"),
    )
    if len(along) != len(runouts) or len(along) < 3 or len(np.unique(along)) < len(along):
        raise ValueError(
            f"positions: give three or more different places with one runout each, not {len(along)} and {len(runouts)}"
        )
    unit = runouts[0].eccentricity.units
    centers = np.array(
        [fit.eccentricity.m_as(unit) * np.exp(1j * fit.direction.m_as("rad")) for fit in runouts]
    )
    first, last = np.argmin(along), np.argmax(along)
    line = centers[first] + (centers[last] - centers[first]) * (along - along[first]) / (
        along[last] - along[first]
    )
    off = centers - line
    return Quantity(abs(off), unit), Quantity(np.degrees(np.angle(off)) % 360, "deg")
