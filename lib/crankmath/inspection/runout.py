"""What indicator readings over a turn say: offset and its direction, form by lobes, runout, and how
sure they are.

Angles are marks on the work: the reading at 90 deg is taken with the 90 deg mark under the
indicator. A reading grows as metal pushes the plunger in. Plane vectors are complex numbers, 0 deg
along the real axis.
"""

from dataclasses import dataclass

import numpy as np

from ..checks import several
from ..units import Quantity, magnitude, ureg
from .runout_fit import FEW_MARKS, distinct_marks, elapsed_shares, harmonic_columns, solve


@dataclass(frozen=True)
class Runout:
    """A least-squares fit of readings over a turn.

    ``direction`` is the high spot. ``tir`` is twice the eccentricity, what the offset alone makes
    the dial show. ``swing`` is largest less smallest of the fitted curve, offset and lobes: the
    circular run-out of ISO 1101. ``full_reading`` is largest less smallest reading as taken.
    ``form_error`` is the spread of the readings about the fitted off-center circle. ``harmonics``
    holds (amplitude, angle of a lobe's top) by number of lobes, as seen by the indicator.
    ``outliers`` and ``missing`` count readings from zero. ``drift`` is the dial's change from first
    to last reading, None where the first mark was not read again. Expanded uncertainties are for 95
    %, of the readings alone; None where nothing is left to show their scatter. ``few_marks``: lobes
    may hide between so few.
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
    few_marks: bool = False

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
        """Whether the offset stands out from the scatter; None where no scatter is known."""
        return (
            None
            if self.eccentricity_expanded is None
            else bool(self.eccentricity > self.eccentricity_expanded)
        )


def fit_runout(angle, reading, lobes=None, repeatability=None, division=None):
    """Eccentricity, high spot, form and residuals of indicator readings over a turn.

    ``angle`` [angle] is the mark under the indicator, in the order taken; where the last mark is
    the first again, that closing reading shows the dial's drift. A ``reading`` [length] of nan was
    not taken. ``lobes`` is the highest harmonic; by default as many, up to 5, as the readings tell
    apart with a third of them, at least 3, to spare. ``repeatability`` is a standard deviation
    known beforehand; by default that of the residuals. ``division`` is the step to which the dial
    was read; by default no rounding is counted. Degrees of freedom are inf with a known
    repeatability; one that the residuals refute (chi square, 95 %) is not used.

    Raises ValueError for fewer than three readings or too small a part of the turn; warns of four
    angles or fewer: three lobes then pass for eccentricity, whatever the sum says.

    Basis: derived; least squares, Student's factor; a division as a rectangular part of
    division/sqrt(12) (GUM F.2.2.1). Residuals larger than that hold the rounding already; smaller
    ones do not set the uncertainty, the division does. Readings within one division leave the
    offset half a division and the swing two divisions unknown. Residuals of exactly zero prove no
    lack of scatter: no uncertainty is stated then. A reading is named an outlier, and kept, when
    the fit to all others misses it by more than chance explains (studentized residual, 1 % over the
    set). At k equal steps k - 1 and k + 1 lobes pass for eccentricity and k/2 lobes may hide: take
    12 steps or more. Range: offset small against the radius, stiff indicator, square to the work.
    """
    turn, dial, kept, per_unit = _pairs(angle, reading)
    known = (
        None
        if repeatability is None
        else magnitude(repeatability, "um", "repeatability", above=0, one=True)
    )
    step = None if division is None else magnitude(division, "um", "division", above=0, one=True)
    solution, left, sure, strange = solve(
        turn, dial, lobes, known, step, elapsed_shares(turn, kept)
    )
    residuals = np.full(kept.shape, np.nan)
    residuals[kept] = left
    first = harmonic_columns(turn, 1)

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
        distinct_marks(turn) <= FEW_MARKS,
    )


def _pairs(angle, reading):
    """Angles in radians and readings in um that were taken, which they are, um per unit as read."""
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
        raise ValueError("reading holds no reading at all; write three or more")
    turn = np.atleast_1d(magnitude(angle, "rad", "angle"))
    if turn.shape != raw.shape or raw.ndim != 1:
        raise ValueError(
            f"angle and reading need equally many values, not {turn.size} and {raw.size}"
        )
    return turn[kept], raw[kept] * per_unit, kept, per_unit


def bend_of_mains(positions, runouts):
    """How far the mains' centers lie off the straight line through the outer two, and where to.

    ``positions`` along the shaft, one a measured place; all ``runouts`` are read from the same
    mark. Returns offsets and directions [unit of the readings, deg], zero at the outer two.
    Basis: derived. Runout of a straight shaft on poor centers grows in a straight line; what is
    left of that is bend.
    """
    along, runouts = (
        np.atleast_1d(magnitude(positions, "mm", "positions")),
        several(runouts, Runout, "runouts"),
    )
    if len(along) != len(runouts) or len(along) < 3 or len(np.unique(along)) < len(along):
        raise ValueError(
            "positions: write three or more different places with one runout each, "
            f"not {len(along)} and {len(runouts)}"
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
