"""What indicator readings say: runout, form, throw, phase, parallelism, and how sure they are.

Angles are marks on the work: the reading at 90 deg is taken with the 90 deg mark under the indicator. A reading grows
as metal pushes the plunger in. Plane vectors are complex numbers, 0 deg along the real axis.
"""

import csv
import inspect
import warnings
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import NamedTuple

import numpy as np

from .units import OutOfRangeWarning, Quantity, as_text, magnitude, number, ureg

CONFIDENCE = 0.95
MOST_LOBES = 5
WELL_SPREAD = 5.0  # condition number of the fit up to which another harmonic is taken: own choice
OUTLIER_RISK = 0.01  # chance that one of a set of good readings is named an outlier
SHAPES = {"rectangular": 3.0, "triangular": 6.0, "arcsine": 2.0}  # variance is half width squared over this; GUM 4.3, F.2.3


@dataclass(frozen=True)
class Runout:
    """A least-squares fit of readings over a turn.

    ``direction`` is the high spot. ``tir`` is twice the eccentricity; ``full_reading`` is largest less smallest reading.
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
    harmonics: dict
    outliers: tuple
    missing: tuple
    scatter: Quantity | None
    degrees_of_freedom: float
    eccentricity_uncertainty: Quantity | None
    eccentricity_expanded: Quantity | None
    direction_expanded: Quantity | None

    @property
    def tir(self):
        """Runout that the offset alone makes the indicator show, 2e."""
        return 2 * self.eccentricity

    @property
    def correction(self):
        """Where to push the work by one eccentricity: opposite the high spot."""
        return Quantity((self.direction.m_as("deg") + 180) % 360, "deg")

    @property
    def found(self):
        """Whether the offset stands out of the scatter; None where that cannot be told."""
        return None if self.eccentricity_expanded is None else bool(self.eccentricity > self.eccentricity_expanded)


@dataclass(frozen=True)
class Parallelism:
    """Tilt of a pin against the mains: ``bend`` in the plane of the throw, ``across`` at right angles to it.

    Both as slope (rise over length). ``twist`` is the angle by which one web is turned against the other.
    ``setup`` is the slope that the set-up and the pin's taper add to all readings; it cancels.
    """

    bend: float
    across: float
    twist: Quantity
    setup: tuple

    def over(self, length):
        """Out of parallel over a length, both planes together [unit of length]."""
        magnitude(length, "mm", "length", above=0)
        return float(np.hypot(self.bend, self.across)) * length


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
        Highest harmonic N. Without it as many, up to 5, as the readings tell apart with 3 to spare.
    repeatability : Quantity, scalar, optional [length]
        Standard deviation of repeated readings, known beforehand; without it the scatter about the fit is used.

    Returns
    -------
    Runout

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
    is used, so that it still holds in 95 % of cases. Range: offset small against the radius, stiff indicator, square to the work.
    """
    turn, dial, kept, per_unit = _pairs(angle, reading)
    known = None if repeatability is None else magnitude(repeatability, "um", "repeatability", above=0)
    solution, left, sure, strange = _solve(turn, dial, lobes, known)
    residuals = np.full(kept.shape, np.nan)
    residuals[kept] = left
    first = _harmonic_columns(turn, 1)

    def told(micrometers):
        return None if micrometers is None else Quantity(micrometers / per_unit, reading.units)

    def top(n):
        return Quantity(float(np.degrees(np.arctan2(solution[2 * n], solution[2 * n - 1])) / n % (360 / n)), "deg")

    return Runout(
        told(float(np.hypot(*solution[1:3]))), top(1), told(float(np.ptp(dial - first @ solution[:3]))), told(residuals),
        told(float(solution[0])), told(float(np.ptp(dial))),
        {n: (told(float(np.hypot(*solution[2 * n - 1 : 2 * n + 1]))), top(n)) for n in range(1, len(solution) // 2 + 1)},
        tuple(int(place) for place in np.flatnonzero(kept)[strange]), tuple(int(place) for place in np.flatnonzero(~kept)),
        told(sure.scatter), sure.freedom, told(sure.standard), told(sure.expanded),
        None if sure.direction is None else Quantity(sure.direction, "deg"),
    )  # fmt: skip


class _Sure(NamedTuple):
    """Scatter, its degrees of freedom, uncertainties of the eccentricity [um] and of its direction [deg]."""

    scatter: float | None
    freedom: float
    standard: float | None = None
    expanded: float | None = None
    direction: float | None = None


def _solve(turn, dial, lobes, known):
    """Coefficients, residuals, uncertainties and outliers of readings in um at angles in radians."""
    distinct = len(np.unique(np.round(turn % (2 * np.pi), 6) % round(2 * np.pi, 6)))
    if len(dial) < 3 or distinct < 3:
        raise ValueError(f"reading: a circle needs three readings at three angles, there are {len(dial)} at {distinct}")
    design = _harmonic_columns(turn, _highest(turn, distinct, lobes))
    if np.linalg.cond(design[:, :3]) > 100:
        raise ValueError("angle: the readings lie on too small a part of the turn to tell an offset; take some on the far side")
    if distinct <= 4:
        warnings.warn(f"fit_runout: with readings at {distinct} angles a three-lobed part passes for an eccentric one; take 8 or more",
                      OutOfRangeWarning, stacklevel=3)  # fmt: skip
    solution = np.linalg.lstsq(design, dial, rcond=None)[0]
    left = dial - design @ solution
    spare = len(dial) - design.shape[1]
    inverse = np.linalg.pinv(design.T @ design)
    scatter = known if known is not None else float(np.sqrt(left @ left / spare)) if spare else None
    sure = _Sure(scatter, np.inf if known is not None else float(spare))
    if scatter is not None:
        sure = _Sure(scatter, sure.freedom, *_offset_uncertainty(*solution[1:3], scatter, sure.freedom, inverse))
    return solution, left, sure, _outliers(design, left, inverse, spare)


def _pairs(angle, reading):
    """Angles in radians and readings in um that were taken, which those are, and um per unit of the readings."""
    if not isinstance(reading, ureg.Quantity):
        magnitude(reading, "mm", "reading")
    per_unit = magnitude(Quantity(1.0, reading.units), "um", "reading")
    raw = np.atleast_1d(np.asarray(reading.magnitude, dtype=float))  # magnitude() would refuse the nan of a missing reading
    kept = np.isfinite(raw)
    if np.any(np.isinf(raw)):
        raise ValueError("reading has to be finite; write nan where none was taken")
    if not kept.any():
        raise ValueError("reading holds no reading at all")
    turn = np.atleast_1d(magnitude(angle, "rad", "angle"))
    if turn.shape != raw.shape or raw.ndim != 1:
        raise ValueError(f"angle and reading need equally many values, not {turn.size} and {raw.size}")
    return turn[kept], raw[kept] * per_unit, kept, per_unit


def _harmonic_columns(turn, order):
    columns = [np.ones_like(turn)]
    for n in range(1, order + 1):
        columns += [np.cos(n * turn), np.sin(n * turn)]
    return np.stack(columns, axis=1)


def _highest(turn, distinct, lobes):
    """Highest harmonic to fit: as asked, or as many as the readings tell apart."""
    possible = (distinct - 1) // 2
    if lobes is not None:
        asked = number(lobes, "lobes", least=1)
        if asked != int(asked) or asked > possible:
            raise ValueError(f"lobes must be a whole number up to {possible} with readings at {distinct} angles, not {lobes}")
        return int(asked)
    order = max(1, min(MOST_LOBES, possible, (len(turn) - 4) // 2))
    while order > 1 and np.linalg.cond(_harmonic_columns(turn, order)) > WELL_SPREAD:
        order -= 1
    return order


def _student(confidence, freedom):
    from scipy.special import ndtri, stdtrit

    return float(ndtri(0.5 + confidence / 2) if np.isinf(freedom) else stdtrit(freedom, 0.5 + confidence / 2))


def _offset_uncertainty(a, b, scatter, freedom, inverse):
    """Standard and expanded uncertainty of the eccentricity [um], expanded uncertainty of its direction [deg]."""
    from scipy.special import fdtri

    size, part = np.hypot(a, b), scatter**2 * inverse[1:3, 1:3]
    toward = np.array([a, b]) / size if size else np.array([1.0, 0.0])
    across = np.array([-toward[1], toward[0]])
    standard = float(np.sqrt(toward @ part @ toward))
    plane = np.sqrt(2 * fdtri(2, min(freedom, 1e9), CONFIDENCE)) * np.sqrt(np.linalg.eigvalsh(part)[-1])
    factor = _student(CONFIDENCE, freedom)
    if size <= plane:
        return standard, float(plane), 180.0
    return standard, factor * standard, float(np.degrees(min(np.pi, factor * np.sqrt(across @ part @ across) / size)))


def _outliers(design, left, inverse, spare):
    """Which readings the fit to all others misses by more than chance explains."""
    if spare < 2 or not np.any(left):
        return np.zeros(len(left), dtype=bool)
    lever = 1 - np.einsum("ij,jk,ik->i", design, inverse, design)
    fair = lever > 1e-9
    others = (left @ left - left**2 / np.where(fair, lever, 1)) / (spare - 1)
    floor = 1e-24 * max(1.0, float(left @ left))
    apart = np.where(fair, abs(left) / np.sqrt(np.maximum(others * lever, floor)), 0)
    return apart > _student(1 - OUTLIER_RISK / len(left), spare - 1)


def _vee_response(lobes, vee_angle, indicator_angle=0.0):
    """Signed answer of an indicator over a vee to one lobe term, complex where the indicator is off the bisector."""
    lobes, half = np.asarray(lobes, dtype=float), vee_angle / 2
    lean, toward = np.pi / 2 - half, indicator_angle
    # the two flanks touch at pi -/+ lean from the bisector's top; the work settles until both are touched
    left, right = np.exp(1j * lobes * (np.pi - lean)), np.exp(1j * lobes * (np.pi + lean))
    up = (left + right) / (2 * np.cos(lean))
    side = (right - left) / (2 * np.sin(lean)) if np.sin(lean) > 1e-12 else np.zeros_like(left)
    return np.exp(1j * lobes * toward) + up * np.cos(toward) + side * np.sin(toward)


def vee_factor(lobes, vee_angle, indicator_angle=None):
    r"""Indicator swing over a vee block for one unit of out-of-roundness.

    .. math:: F = \left| 1 + (-1)^n \frac{\cos n(90° - \alpha/2)}{\sin(\alpha/2)} \right|

    Parameters
    ----------
    lobes : int or array
        1 is an off-center circle: a vee does not see it at all.
    vee_angle : Quantity, scalar [angle]
        Full angle of the vee, 30 to 170 deg.
    indicator_angle : Quantity, scalar, optional [angle]
        From the bisector of the vee; on it without.

    Returns
    -------
    float or array [no unit]

    Raises
    ------
    TypeError, pint.DimensionalityError
        An angle has no unit, or one of another kind.
    ValueError
        Lobes are not whole, or the vee is outside 30 to 170 deg.

    Notes
    -----
    Basis: derived, as the summit method of ISO 4292 and ISO/TS 12181 has it (their table not seen). Range: few lobes of small
    height, touched at points. A 60 deg vee is blind to 2, 4, 5 and 7 lobes and triples 3.
    """
    count = number(lobes, "lobes", least=1)
    if np.any(count != np.round(count)):
        raise ValueError(f"lobes must be whole numbers, not {lobes}")
    vee = magnitude(vee_angle, "deg", "vee_angle", above=0)
    if not 30 <= vee <= 170:
        raise ValueError(f"vee_angle must be from 30 to 170 deg, not {vee:g} deg")
    toward = 0.0 if indicator_angle is None else magnitude(indicator_angle, "rad", "indicator_angle")
    return abs(_vee_response(count, np.radians(vee), toward))[()]


def reading_on_vees(runout, vee_angle):
    """Indicator swing to expect when a journal measured on centers is turned in a vee under the same indicator.

    Parameters
    ----------
    runout : Runout
        Measured on centers.
    vee_angle : Quantity, scalar [angle]

    Returns
    -------
    Quantity [unit of the readings]
        Largest less smallest, of the fitted lobes alone.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As ``vee_factor``.

    Notes
    -----
    Basis: derived. On centers an indicator sees offset and form; in a vee the journal is its own axis: the offset is gone
    and each lobe counts by its factor.
    """
    vee_factor(2, vee_angle)
    turn = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    unit = runout.eccentricity.units
    swing = sum(
        size.m_as(unit) * np.real(_vee_response(n, magnitude(vee_angle, "rad", "vee_angle"))) * np.cos(n * (turn - top.m_as("rad")))
        for n, (size, top) in runout.harmonics.items()
    )
    return Quantity(float(np.ptp(swing)), unit)


def form_from_vee(runout, vee_angle):
    """Lobe heights of a journal from readings taken in a vee.

    Parameters
    ----------
    runout : Runout
        Fit of readings taken in the vee, indicator on the bisector.
    vee_angle : Quantity, scalar [angle]

    Returns
    -------
    dict
        Number of lobes to amplitude, or to None where the vee is (nearly) blind, factor below 0.2.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As ``vee_factor``.

    Notes
    -----
    Basis: derived. None does not mean round: take a vee of another angle.
    """
    factors = {n: vee_factor(n, vee_angle) for n in runout.harmonics if n > 1}
    return {n: runout.harmonics[n][0] / factor if factor >= 0.2 else None for n, factor in factors.items()}


def throw_from_heights(top, bottom, pin_diameter=None, rise=None, expansion=None):
    r"""Throw from the height over a pin at top and at bottom.

    .. math:: e = \frac{H_\text{top} - H_\text{bottom}}{2\,(1 + \alpha\,\Delta T)}

    Parameters
    ----------
    top, bottom : Quantity [length]
        Heights over the pin, at the highest and the lowest place found by rocking the crank.
    pin_diameter : Quantity, optional [length]
        Given where ``bottom`` was taken under the pin.
    rise : Quantity, optional [temperature difference]
        Work above 20 degC.
    expansion : Quantity, optional [1/temperature]
        Of the work; needed with a rise.

    Returns
    -------
    Quantity [unit of top]

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        The top is not above the bottom, or a rise is given without expansion.

    Notes
    -----
    Basis: derived. Both heights over the pin: diameter, center height and the gauge's zero cancel. A crank d off the top
    loses e(1 - cos d): 0.06 % at 2 deg.
    """
    high, low = magnitude(top, "mm", "top"), magnitude(bottom, "mm", "bottom")
    apart = high - low - (0.0 if pin_diameter is None else magnitude(pin_diameter, "mm", "pin_diameter", above=0))
    if np.any(apart <= 0):
        raise ValueError("top must be above bottom (and by more than pin_diameter where that is given)")
    if rise is not None and expansion is None:
        raise ValueError("rise needs expansion too, for example Quantity(11.5e-6, '1/delta_degC')")
    warm = 0.0 if rise is None else magnitude(rise, "delta_degC", "rise") * magnitude(expansion, "1/delta_degC", "expansion", above=0)
    return Quantity(apart / 2 / (1 + warm), "mm").to(top.units)


def phase_between(first_height, first_throw, second_height, second_throw, nominal, first_near=None):
    """Angle from one throw to another, from the heights of their pins' centers over the main axis.

    Parameters
    ----------
    first_height, second_height : Quantity [length]
        Pin center above (below: minus) the main axis.
    first_throw, second_throw : Quantity [length]
    nominal : Quantity [angle]
        Phase that was meant; tells which of two answers is the true one.
    first_near : Quantity, optional [angle]
        About where the first throw stands, from level; level without it.

    Returns
    -------
    Quantity [deg]

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        A height is larger than its throw.

    Warns
    -----
    OutOfRangeWarning
        A throw stands within 20 deg of upright, where its height says little of its angle.

    Notes
    -----
    Basis: derived; angle = asin(height / throw) or 180 deg less that.
    """
    near = 0.0 if first_near is None else magnitude(first_near, "rad", "first_near")
    first = _stands_at(first_height, first_throw, near, "first_height")
    second = _stands_at(second_height, second_throw, first + magnitude(nominal, "rad", "nominal"), "second_height")
    return Quantity(np.degrees(second - first), "deg")


def _stands_at(height, throw, near, name):
    sine = magnitude(height, "mm", name) / magnitude(throw, "mm", name.replace("height", "throw"), above=0)
    if np.any(abs(sine) > 1):
        raise ValueError(f"{name} is larger than its throw; measure to the pin's center, from the main axis")
    if np.any(abs(sine) > np.cos(np.radians(20))):
        warnings.warn(f"{name}: the throw stands within 20 deg of upright, its height says little of its angle; turn the crank",
                      OutOfRangeWarning, stacklevel=3)  # fmt: skip
    both = np.array([np.arcsin(sine), np.pi - np.arcsin(sine)])
    both = both + 2 * np.pi * np.round((near - both) / (2 * np.pi))
    return np.where(abs(both[0] - near) <= abs(both[1] - near), both[0], both[1])[()]


def pin_parallelism(top, bottom, front, back, distance, throw):
    r"""Tilt of a pin to the mains in two planes, from heights at both its ends in four positions of the crank.

    .. math:: s = \frac{(r - l)_\text{one way} - (r - l)_\text{other way}}{2 L}

    Parameters
    ----------
    top, bottom, front, back : Quantity, two values [length]
        Height over the pin at its left and right end with the throw up, down, level towards you, level away.
    distance : Quantity, scalar [length]
        Between the two places on the pin.
    throw : Quantity, scalar [length]

    Returns
    -------
    Parallelism

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        Not two heights, or a size is impossible.

    Notes
    -----
    Basis: derived; reversal. The pin's taper, the table's slope and unequal heights of the mains cancel. A tilt in the
    throw's plane is a bend; one across it is a twist of the webs by distance x slope / throw.
    """
    ends = {name: np.atleast_1d(magnitude(value, "mm", name)) for name, value in
            (("top", top), ("bottom", bottom), ("front", front), ("back", back))}  # fmt: skip
    for name, pair in ends.items():
        if pair.shape != (2,):
            raise ValueError(f"{name} needs two heights, left and right end, not {pair.size}")
    long, arm = magnitude(distance, "mm", "distance", above=0), magnitude(throw, "mm", "throw", above=0)
    steps = {name: pair[1] - pair[0] for name, pair in ends.items()}
    bend, across = ((steps[one] - steps[other]) / (2 * long) for one, other in (("top", "bottom"), ("front", "back")))
    setup = tuple(float((steps[one] + steps[other]) / (2 * long)) for one, other in (("top", "bottom"), ("front", "back")))
    return Parallelism(float(bend), float(across), Quantity(float(np.degrees(across * long / arm)), "deg"), setup)


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
        The positions have no unit, or one of another kind.
    ValueError
        Fewer than three places, or two at one position.

    Notes
    -----
    Basis: derived. Runout of a straight shaft on poor centers grows in a straight line; what is left of that is bend.
    """
    along = np.atleast_1d(magnitude(positions, "mm", "positions"))
    if len(along) != len(runouts) or len(along) < 3 or len(np.unique(along)) < len(along):
        raise ValueError(f"positions: give three or more different places with one runout each, not {len(along)} and {len(runouts)}")
    unit = runouts[0].eccentricity.units
    centers = np.array([fit.eccentricity.m_as(unit) * np.exp(1j * fit.direction.m_as("rad")) for fit in runouts])
    first, last = np.argmin(along), np.argmax(along)
    line = centers[first] + (centers[last] - centers[first]) * (along - along[first]) / (along[last] - along[first])
    off = centers - line
    return Quantity(abs(off), unit), Quantity(np.degrees(np.angle(off)) % 360, "deg")


@dataclass(frozen=True)
class Source:
    """One source of uncertainty: estimate, standard uncertainty, shape, degrees of freedom."""

    name: str
    value: Quantity
    standard: Quantity
    shape: str = "normal"
    degrees_of_freedom: float = np.inf


@dataclass(frozen=True)
class Budget:
    """A combined result: value, standard and expanded uncertainty, and each source's share of the variance."""

    value: Quantity
    standard: Quantity
    expanded: Quantity
    coverage_factor: float
    degrees_of_freedom: float
    shares: dict
    components: dict = field(repr=False)


@dataclass(frozen=True)
class Draws:
    """A Monte Carlo result: mean, standard deviation, ends of the interval that holds the wanted share."""

    value: Quantity
    standard: Quantity
    low: Quantity
    high: Quantity


@dataclass(frozen=True)
class Verdict:
    """A word, "in", "out" or "cannot tell", and the sentence that goes with it."""

    word: str
    sentence: str

    def __str__(self):
        return f"{self.word}: {self.sentence}"


def source(name, value, half_width=None, standard=None, shape=None, degrees_of_freedom=np.inf):
    """A source of uncertainty, from a half width (what a maker's paper gives) or a standard uncertainty.

    Parameters
    ----------
    name : str
        Name of the argument of the sum that it belongs to.
    value : Quantity, scalar
        Best estimate.
    half_width, standard : Quantity, scalar
        One of the two, of the kind of the value.
    shape : "rectangular", "triangular", "arcsine" or "normal", optional
        Rectangular with a half width, normal with a standard uncertainty.
    degrees_of_freedom : float
        Readings less one behind a standard uncertainty; endless where it was not measured.

    Returns
    -------
    Source

    Raises
    ------
    TypeError, pint.DimensionalityError
        A value has no unit, or one of another kind.
    ValueError
        Both or neither of half width and standard, or an unknown shape.

    Notes
    -----
    Basis: standard. GUM (JCGM 100) 4.2 and 4.3.
    """
    if (half_width is None) == (standard is None):
        raise ValueError(f"{name}: give either half_width or standard")
    shape = shape or ("rectangular" if standard is None else "normal")
    if shape not in (*SHAPES, "normal") or (standard is None) != (shape in SHAPES):
        raise ValueError(f"{name}: shape must be {', '.join(SHAPES)} with a half width, normal with a standard uncertainty; not {shape!r}")
    if not isinstance(value, ureg.Quantity):
        magnitude(value, "mm", name)
    magnitude(value, f"{value.units:D}", name)
    spread = ureg.Unit(_difference_unit(value.units))
    given, width = ("half_width", half_width) if standard is None else ("standard", standard)
    size = magnitude(width, f"{spread:D}", f"{name}.{given}", least=0)
    freedom = number(degrees_of_freedom, "degrees_of_freedom", above=0) if np.isfinite(degrees_of_freedom) else np.inf
    return Source(name, value, Quantity(size / np.sqrt(SHAPES.get(shape, 1.0)), spread), shape, freedom)


@cache
def _tool_rows():
    with (files("crankmath") / "data" / "measuring_sources.csv").open(encoding="utf-8") as lines:
        return {row["name"]: row for row in csv.DictReader(lines)}


def tool_source(tool, name):
    """A usual source of uncertainty of the shop: indicator, height gauge, vees, temperature; estimate zero.

    Parameters
    ----------
    tool : str
        For example "height gauge 0.02 mm"; the error message lists all.
    name : str
        Argument of the sum that it belongs to.

    Returns
    -------
    Source

    Raises
    ------
    ValueError
        No such tool.

    Notes
    -----
    Basis: rule of thumb. Common practice, no source (``data/measuring_sources.csv``): your own instrument's paper goes before it.
    """
    if tool not in _tool_rows():
        raise ValueError(f"tool must be one of {', '.join(_tool_rows())}; not {tool!r}")
    row = _tool_rows()[tool]
    return source(name, Quantity(0.0, row["unit"]), half_width=Quantity(float(row["half_width"]), row["unit"]), shape=row["shape"])


def combine(model, sources, confidence=CONFIDENCE):
    r"""Uncertainty of a sum by the law of propagation.

    .. math:: u^2 = \sum c_i^2 u_i^2, \quad U = t(\nu)\, u, \quad \nu = u^4 / \sum (c_i u_i)^4 / \nu_i

    Parameters
    ----------
    model : function
        Takes quantities by the sources' names, gives a quantity.
    sources : sequence of Source
        Independent of each other.
    confidence : float
        Share of cases that the expanded uncertainty shall hold.

    Returns
    -------
    Budget

    Raises
    ------
    ValueError
        Names are missing or doubled, or the confidence is not between 0 and 1.

    Notes
    -----
    Basis: standard. GUM (JCGM 100) 5.1, G.4 (degrees of freedom cut to a whole number); first order, so a source that the result does not feel at its estimate
    counts nothing: compare ``monte_carlo``. Slopes by a step of one standard uncertainty (GUM 5.1.3), summed by the
    uncertainties library.
    """
    import uncertainties

    share = _checked_model(model, sources, confidence)
    unit = model(**{part.name: part.value for part in sources}).units
    steps = [part.standard.magnitude for part in sources]

    def plain(*values):
        return model(**{part.name: Quantity(value, part.value.units) for part, value in zip(sources, values, strict=True)}).m_as(unit)

    def slope(place):
        def along(*values):
            step = steps[place]
            moved = [[value + sign * step * (here == place) for here, value in enumerate(values)] for sign in (1, -1)]
            return (plain(*moved[0]) - plain(*moved[1])) / (2 * step)

        return along

    inputs = [uncertainties.ufloat(part.value.magnitude, step, part.name) if step else part.value.magnitude
              for part, step in zip(sources, steps, strict=True)]  # fmt: skip
    if not any(steps):
        raise ValueError("sources: at least one needs an uncertainty above zero")
    result = uncertainties.wrap(plain, [slope(place) for place in range(len(inputs))])(*inputs)
    components = {part.tag: abs(size) for part, size in result.error_components().items()}
    standard = result.std_dev
    weight = sum(components.get(part.name, 0.0) ** 4 / part.degrees_of_freedom for part in sources)
    freedom = standard**4 / weight if weight else np.inf
    factor = _student(share, max(1.0, np.floor(freedom)))
    spread = _difference_unit(unit)
    return Budget(
        Quantity(result.nominal_value, unit), Quantity(standard, spread), Quantity(factor * standard, spread), factor, float(freedom),
        {part.name: float(components.get(part.name, 0.0) ** 2 / standard**2) if standard else 0.0 for part in sources},
        {name: Quantity(size, spread) for name, size in components.items()},
    )  # fmt: skip


def _difference_unit(unit):
    return "delta_degC" if unit == ureg.degC else unit


def _checked_model(model, sources, confidence):
    names = [part.name for part in sources]
    if len(set(names)) < len(names) or not names:
        raise ValueError(f"sources need names that differ, not {', '.join(names) or 'none'}")
    try:
        inspect.signature(model).bind(**dict.fromkeys(names))
    except TypeError as error:
        raise ValueError(f"model does not take the sources {', '.join(names)}: {error}") from None
    share = number(confidence, "confidence", above=0)
    if share >= 1:
        raise ValueError(f"confidence must be below 1, not {share:g}")
    return share


def monte_carlo(model, sources, confidence=CONFIDENCE, draws=100_000, seed=1):
    """Uncertainty of a sum by drawing every source many times.

    Parameters
    ----------
    model : function
        As for ``combine``; has to take arrays.
    sources : sequence of Source
    confidence : float
    draws : int
        1,000 to 10 million.
    seed : int
        The same seed draws the same numbers.

    Returns
    -------
    Draws

    Raises
    ------
    ValueError
        As ``combine``, or a number of draws out of range.

    Notes
    -----
    Basis: standard. JCGM 101: rectangular, triangular and arcsine shapes as named; a normal source with few degrees of
    freedom is drawn from Student's distribution of its scale, so its spread is larger than its standard uncertainty.
    """
    share = _checked_model(model, sources, confidence)
    count = int(number(draws, "draws", least=1000, most=1e7))
    random = np.random.default_rng(seed)
    drawn = {}
    for part in sources:
        size = part.standard.magnitude
        width = size * np.sqrt(SHAPES.get(part.shape, 1.0))
        raw = {
            "rectangular": lambda: width * random.uniform(-1, 1, count),
            "triangular": lambda: width * (random.uniform(-0.5, 0.5, count) + random.uniform(-0.5, 0.5, count)),
            "arcsine": lambda: width * np.sin(random.uniform(0, 2 * np.pi, count)),
            "normal": lambda: size * (random.standard_normal(count) if np.isinf(part.degrees_of_freedom)
                                      else random.standard_t(part.degrees_of_freedom, count)),
        }[part.shape]()  # fmt: skip
        drawn[part.name] = Quantity(part.value.magnitude + raw, part.value.units)
    result = model(**drawn)
    values = np.broadcast_to(result.magnitude, (count,))
    low, high = np.quantile(values, [(1 - share) / 2, (1 + share) / 2])
    return Draws(Quantity(float(values.mean()), result.units), Quantity(float(values.std(ddof=1)), _difference_unit(result.units)),
                 Quantity(float(low), result.units), Quantity(float(high), result.units))  # fmt: skip


def verdict(value, expanded, lower=None, upper=None):
    """Whether a measured value is in tolerance, out of it, or cannot be told.

    In when lower + U <= value <= upper - U, out when value < lower - U or value > upper + U, else it cannot be told.

    Parameters
    ----------
    value, expanded : Quantity, scalar
        Measured value and its expanded uncertainty U (95 %, or k = 2).
    lower, upper : Quantity, scalar, optional
        Limits; at least one.

    Returns
    -------
    Verdict

    Raises
    ------
    TypeError, pint.DimensionalityError
        A value has no unit, or one of another kind.
    ValueError
        No limit, limits exchanged, or an uncertainty below zero.

    Notes
    -----
    Basis: standard. ISO 14253-1: uncertainty counts against whoever has to prove (descriptions seen, the standard not). Its
    2017 edition lets 1.65 standard uncertainties do at one limit of a wide tolerance (from memory): give that as ``expanded``.
    """
    if not isinstance(value, ureg.Quantity):
        magnitude(value, "mm", "value")
    unit = f"{value.units:D}"
    found, guard = magnitude(value, unit, "value"), magnitude(expanded, unit, "expanded", least=0)
    low = -np.inf if lower is None else magnitude(lower, unit, "lower")
    high = np.inf if upper is None else magnitude(upper, unit, "upper")
    if np.isinf(low) and np.isinf(high):
        raise ValueError("verdict needs a limit: give lower, upper or both")
    if low > high:
        raise ValueError("lower must not be above upper")
    shown = f"{as_text(value)} ± {as_text(expanded, value.units, 2)}"
    limit = " and ".join(f"{word} {as_text(edge, value.units)}" for word, edge in (("not below", lower), ("not above", upper)) if edge is not None)
    if low + guard <= found <= high - guard:
        return Verdict("in", f"{shown} lies wholly inside the tolerance ({limit})")
    if found < low - guard or found > high + guard:
        return Verdict("out", f"{shown} lies wholly outside the tolerance ({limit})")
    hint = "no value could pass with this uncertainty, measure better" if high - low < 2 * guard else "measure better or move the part further in"
    return Verdict("cannot tell", f"{shown} reaches over a limit ({limit}); {hint}")
