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
from ..fits.iso_286 import in_workshop_unit
from ..units import OutOfRangeWarning, Quantity, magnitude, number, ureg
from . import uncertainty
from .uncertainty import CONFIDENCE, student_factor
from .vee_blocks import vee_factor

__all__ = [
    "Runout",
    "bend_of_mains",
    "expected_budget",
    "fit_runout",
    "runout_budget",
    "telling_division",
    "vee_factor",
]
MOST_LOBES = 5
WELL_SPREAD = 5.0  # condition number of the fit up to which another harmonic is taken: own choice
OUTLIER_RISK = 0.01  # chance that one of a set of good readings is named an outlier
SAME_MARK = np.radians(0.5)  # two angles so near are one mark read again
ROUNDING_FACTOR = 2.1  # coverage factor of a division's rounding, simulated in tests/benchmarks
NO_SCATTER = 1e-9  # share of the readings below which a residual is what floating point leaves
CLEAR_SWING = 3.0  # a swing so many times what scatter alone makes has the uncertainty of its own two ends: own choice, simulated in the tests
FULL_TURN = np.linspace(0, 2 * np.pi, 360, endpoint=False)


@dataclass(frozen=True)
class Runout:
    """A least-squares fit of readings over a turn.

    ``direction`` is the high spot. ``tir`` is twice the eccentricity, what the offset alone makes
    the dial show. ``swing`` is largest less smallest of the fitted curve, offset and lobes: the
    circular run-out of ISO 1101. ``full_reading`` is largest less smallest reading as taken.
    ``form_error`` is the spread of the readings about the fitted off-center circle. ``harmonics``
    holds (amplitude, angle of a lobe's top) by number of lobes, as seen by the indicator.
    ``outliers`` and ``missing`` count readings from zero. ``drift`` is the dial's change from first
    to last reading, None where the first mark was not read again. Expanded uncertainties are for
    95 %, of the readings alone; None where nothing is left to show their scatter.
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
    drift: Quantity | None = None
    drift_expanded: Quantity | None = None
    division: Quantity | None = None

    @property
    def within_division(self):
        """Whether all readings lie within one division of the dial: it then shows no offset."""
        return self.division is not None and bool(
            self.full_reading.m_as("um") <= self.division.m_as("um") * (1 + 1e-6)
        )

    @property
    def tir(self):
        """Runout that the offset alone makes the indicator show, 2e."""
        return 2 * self.eccentricity

    @property
    def correction(self):
        """Mark toward which the part itself moves by one eccentricity: opposite the high spot."""
        return Quantity((self.direction.m_as("deg") + 180) % 360, "deg")

    @property
    def found(self):
        """Whether the offset stands out of the scatter; None where that cannot be told."""
        return (
            None
            if self.eccentricity_expanded is None
            else bool(self.eccentricity > self.eccentricity_expanded)
        )


def fit_runout(angle, reading, lobes=None, repeatability=None, division=None):
    r"""Eccentricity, high spot, form and residuals of indicator readings over a turn.

    .. math:: y_i = \bar y + \sum_{n=1}^{N} a_n \cos n\theta_i + b_n \sin n\theta_i + d\,t_i, \qquad
        e = \sqrt{a_1^2 + b_1^2}

    Parameters
    ----------
    angle : Quantity, array [angle]
        Mark of the work under the indicator, in the order taken. Where the last mark is the first
        again (0 to 360 deg), that closing reading shows the drift d.
    reading : Quantity, array [length]
        nan where none was taken.
    lobes : int, optional
        Highest harmonic N; by default as many, up to 5, as the readings tell apart with a third of
        them, at least 3, to spare.
    repeatability : Quantity, scalar, optional [length]
        Standard deviation known beforehand; by default that of the residuals.
    division : Quantity, scalar, optional [length]
        Step to which the dial was read; by default no rounding is counted.

    Returns
    -------
    Runout
        Degrees of freedom are inf with a known repeatability.

    Raises
    ------
    ValueError
        Fewer than three readings, or readings on too small a part of the turn.

    Warns
    -----
    OutOfRangeWarning
        Four angles or fewer: three lobes then pass for eccentricity, whatever the sum says.

    Notes
    -----
    Basis: derived; least squares, Student's factor; a division as a rectangular part of
    division/sqrt(12) (GUM F.2.2.1). Residuals larger than that hold the rounding already; smaller
    ones do not set the uncertainty, the division does. Readings within one division leave the offset
    half a division and the swing two divisions unknown. Residuals of exactly zero prove no lack of
    scatter: no uncertainty is stated then. A reading is named an outlier, and kept, when the fit to
    all others misses it by more than chance explains (studentized residual, 1 % over the set).
    At k equal steps k - 1 and k + 1 lobes pass for eccentricity and k/2 lobes may hide: take 12 steps
    or more. Range: offset small against the radius, stiff indicator, square to the work.
    """
    turn, dial, kept, per_unit = _pairs(angle, reading)
    known = (
        None
        if repeatability is None
        else magnitude(repeatability, "um", "repeatability", above=0, one=True)
    )
    step = None if division is None else magnitude(division, "um", "division", above=0, one=True)
    solution, left, sure, strange = _solve(turn, dial, lobes, known, step, _elapsed(turn, kept))
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
            for n in range(1, (len(solution) + 1) // 2)
        },
        tuple(int(place) for place in np.flatnonzero(kept)[strange]),
        tuple(int(place) for place in np.flatnonzero(~kept)),
        told(sure.scatter),
        sure.freedom,
        told(sure.standard),
        told(sure.expanded),
        None if sure.direction is None else Quantity(sure.direction, "deg"),
        told(sure.swing_expanded),
        told(sure.drift),
        told(sure.drift_expanded),
        None if division is None else told(step),
    )


class _Sure(NamedTuple):
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


def _elapsed(turn, kept):
    """Share of the set at which each reading was taken, where the first mark is read again last."""
    if len(turn) < 4 or abs(np.angle(np.exp(1j * (turn[-1] - turn[0])))) > SAME_MARK:
        return None
    place = np.flatnonzero(kept).astype(float)
    return (place - place[0]) / (place[-1] - place[0])


def _solve(turn, dial, lobes, known, division=None, elapsed=None):
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
    design = np.hstack([_harmonic_columns(turn, order), drift])
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
    solution, left, inverse, spare = _least_squares(design, dial)
    curve = _around(order) @ solution[1 : 2 * order + 1]
    sure = _Sure(float(np.ptp(curve)), *_scatter(dial, left, spare, known, division))
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
    """Standard deviation of a reading [um] with its rounding, and its degrees of freedom."""
    freedom = np.inf if known is not None else float(spare)
    rounding = 0.0 if division is None else division / np.sqrt(12)
    if known is not None:
        return float(np.hypot(known, rounding)), freedom
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
    unseen = 0.0
    if division is not None and seen < 1.5 * division / np.sqrt(12):  # rounding, hardly scatter
        unseen = _rounding_of_offset(np.hypot(*solution[1:3]), division)
    both = _offset_uncertainty(*solution[1:3], sure.scatter, sure.freedom, inverse, unseen)
    harmonics = slice(1, 1 + 2 * ((len(solution) - 1) // 2))
    drift = student_factor(CONFIDENCE, sure.freedom) * sure.scatter * np.sqrt(inverse[-1, -1])
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


def _highest(turn, distinct, lobes, extra=0):
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
    order = max(1, min(MOST_LOBES, possible, (len(turn) - 1 - extra - spare) // 2))
    while order > 1 and np.linalg.cond(_harmonic_columns(turn, order)) > WELL_SPREAD:
        order -= 1
    return order


def _rounding_of_offset(size, division):
    """What rounding makes of an offset at most [um], however many readings are taken.

    Basis: derived. A cosine of amplitude A read to a division d without scatter has its first
    harmonic off by up to (2 d/pi) J1(2 pi A/d), whose envelope is 0.23 d sqrt(d/A); with the higher
    terms and few readings 0.3, at most 0.4 d, by simulation.
    """
    return division * min(0.4, 0.3 / np.sqrt(max(size / division, 1e-9)))


def _offset_uncertainty(a, b, scatter, freedom, inverse, unseen=0.0):
    """Standard and expanded uncertainty of the eccentricity [um], expanded one of its direction [deg].

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


def _outliers(turn, dial, tried, drift):
    """Which readings the fit to all others misses by more than chance explains, for each order tried.

    A fit of the offset alone leaves more readings to spare, so that a slip stands out of a dozen;
    true lobes raise its scatter and raise no alarm.
    """
    strange = np.zeros(len(dial), dtype=bool)
    for lobes in tried:
        design = np.hstack([_harmonic_columns(turn, lobes), drift])
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
            "runout: these readings leave nothing to tell their scatter; "
            "take more readings, or fit with the dial's division or a known repeatability"
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
    return _with_tools(parts, indicator, support)


def telling_division(limit):
    """Coarsest usual division of a dial that can tell a runout of this limit.

    Parameters
    ----------
    limit : Quantity, scalar [length]

    Returns
    -------
    Quantity [um, or thousandth of an inch]

    Notes
    -----
    Basis: common practice, no source: a tenth to a fourth of the limit; here at most a fifth of it,
    of the divisions 1, 2 and 5 times a power of ten.
    """
    unit = str(in_workshop_unit(1.0, limit).units)
    fifth = magnitude(limit, unit, "limit", above=0, one=True) / 5 * (1 + 1e-9)
    power = 10.0 ** np.floor(np.log10(fifth))
    return Quantity(float(max(step * power for step in (1, 2, 5) if step * power <= fifth)), unit)


def expected_budget(division, indicator, support=None, readings=12):
    r"""Uncertainty that a runout will have, before it is measured: rounding, indicator, support.

    .. math:: u = 2 \sqrt{2/N}\; \delta / \sqrt{12}

    Parameters
    ----------
    division : Quantity, scalar [length]
        Step to which the dial is read.
    indicator, support : Quantity, scalar [length]
        As ``runout_budget``.
    readings : int
        Equal steps in the turn.

    Returns
    -------
    uncertainty.Budget
        Of a value of zero; the scatter of the hand, not yet known, comes on top.

    Notes
    -----
    Basis: standard. GUM F.2.2.1 for the rounding of a reading; the parts of ``runout_budget``.
    """
    count = number(readings, "readings", least=3, one=True)
    rounding = magnitude(division, "um", "division", above=0, one=True) / np.sqrt(12)
    parts = [
        uncertainty.source(
            "readings",
            Quantity(0.0, "um"),
            standard=Quantity(float(2 * np.sqrt(2 / count) * rounding), "um"),
        )
    ]
    return _with_tools(parts, indicator, support)


def _with_tools(parts, indicator, support):
    """Budget of readings, indicator and support, whichever are named."""
    value = 0 * parts[0].value
    parts += [
        uncertainty.source(name, value, half_width=width)
        for name, width in (("indicator", indicator), ("support", support))
        if width is not None
    ]
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
