"""A crank on vee blocks under a height gauge: throw, phase between throws, parallelism of a pin to
the mains.
"""

import warnings
from dataclasses import dataclass

import numpy as np

from ..units import OutOfRangeWarning, Quantity, magnitude
from . import uncertainty

# the value of GUM H.1 for steel gauges; carbon steels lie near it
STEEL_EXPANSION = Quantity(11.5e-6, "1/delta_degC")


@dataclass(frozen=True)
class Parallelism:
    """Tilt of a pin against the mains: ``bend`` in the plane of the throw, ``across`` square to it.

    Both as slope (rise over length). ``twist`` is the angle by which one web is turned against the
    other. ``setup`` is the slope that set-up and taper of the pin add to all readings; it cancels.
    """

    bend: float
    across: float
    twist: Quantity
    setup: tuple

    def over(self, length):
        """Out of parallel over a length, both planes together [unit of length]."""
        magnitude(length, "mm", "length", above=0, one=True)
        return float(np.hypot(self.bend, self.across)) * length


def throw_from_heights(top, bottom, pin_diameter=None, rise=None, expansion=None):
    """Throw from the height over a pin at top and at bottom.

    ``top`` and ``bottom`` [length] are the highest and the lowest place found by rocking the crank;
    ``pin_diameter`` where ``bottom`` was taken under the pin. ``rise`` of the work above 20 degC
    needs its ``expansion``; a steel gauge as warm as steel work has grown alike: leave both out.
    Basis: derived. Both heights over the pin: diameter, center height and the gauge's zero cancel.
    A crank d off the top loses e(1 - cos d): 0.06 % at 2 deg.
    """
    high, low = magnitude(top, "mm", "top"), magnitude(bottom, "mm", "bottom")
    size = 0.0 if pin_diameter is None else magnitude(pin_diameter, "mm", "pin_diameter", above=0)
    apart = high - low - size
    if np.any(apart <= 0):
        raise ValueError("top must be above bottom, and by more than a pin_diameter")
    if rise is not None and expansion is None:
        raise ValueError("rise needs expansion too, say Quantity(11.5e-6, '1/delta_degC')")
    warm = 0.0
    if rise is not None:
        warm = magnitude(rise, "delta_degC", "rise")
        warm = warm * magnitude(expansion, "1/delta_degC", "expansion", above=0)
    return Quantity(apart / 2 / (1 + warm), "mm").to(top.units)


def throw_budget(
    top,
    bottom,
    gauge="height gauge 0.02 mm",
    plate="surface plate",
    temperature="temperature of the work",
    expansion=STEEL_EXPANSION,
):
    """Throw from repeated heights over the pin, with its uncertainty.

    Scatter, gauge at both heights, plate, temperature; ``expansion`` [1/temperature] of the work.
    ``top`` and ``bottom`` [length] hold two heights or more, each set up from the start, the crank
    rocked to its highest and to its lowest; ``gauge``, ``plate`` and ``temperature`` are rows of
    ``data/measuring_sources.csv``. Basis: standard. GUM (JCGM 100) 4.2, 4.3 and 5.1; the gauge errs
    by itself at each height. Half widths of the tools are common practice, no source: the paper of
    your own instrument is better.
    """
    magnitude(expansion, "1/delta_degC", "expansion", above=0, one=True)
    parts = [_repeated("top", top), _repeated("bottom", bottom, top.units)]
    parts += [
        uncertainty.tool_source(gauge, "gauge_at_top"),
        uncertainty.tool_source(gauge, "gauge_at_bottom"),
        uncertainty.tool_source(plate, "plate"),
        uncertainty.tool_source(temperature, "rise"),
    ]

    def model(top, bottom, gauge_at_top, gauge_at_bottom, plate, rise):
        return throw_from_heights(
            top + gauge_at_top + plate, bottom + gauge_at_bottom, rise=rise, expansion=expansion
        )

    return uncertainty.combine(model, parts)


def _repeated(name, heights, unit=None):
    """Source of a height measured several times: mean, its standard deviation, its freedom."""
    found = np.atleast_1d(magnitude(heights, "mm", name))
    if found.size < 2:
        raise ValueError(
            f"{name}: measure two heights or more, each set up from the start, to know how they "
            f"scatter; there is {found.size}"
        )
    mean, spread = found.mean(), found.std(ddof=1) / np.sqrt(found.size)
    unit = heights.units if unit is None else unit
    return uncertainty.source(
        name,
        Quantity(float(mean), "mm").to(unit),
        standard=Quantity(float(spread), "mm").to(unit),
        degrees_of_freedom=found.size - 1,
    )


def phase_budget(
    first, second, throw, nominal, gauge="height gauge 0.02 mm", plate="surface plate"
):
    """Angle from one throw to another from repeated heights near level, with its uncertainty.

    ``first`` and ``second`` [length] hold two heights or more of the pins' centers over the main
    axis; ``throw`` is that of both, ``nominal`` the phase that was meant. ``gauge`` and ``plate``
    are rows of ``data/measuring_sources.csv``. Basis: standard. GUM (JCGM 100) 5.1 on
    ``phase_between``; the gauge errs at each height by itself.
    """
    magnitude(throw, "mm", "throw", above=0, one=True)
    parts = [
        _repeated("first", first),
        _repeated("second", second),
        uncertainty.tool_source(gauge, "gauge_at_first"),
        uncertainty.tool_source(gauge, "gauge_at_second"),
        uncertainty.tool_source(plate, "plate"),
    ]

    def model(first, second, gauge_at_first, gauge_at_second, plate):
        return phase_between(
            first + gauge_at_first, throw, second + gauge_at_second + plate, throw, nominal
        )

    return uncertainty.combine(model, parts)


def phase_between(first_height, first_throw, second_height, second_throw, nominal, first_near=None):
    """Angle from one throw to another, from heights of their pins' centers over the main axis.

    ``first_height`` and ``second_height`` [length] are minus below the axis, ``first_throw`` and
    ``second_throw`` [length] the throws' own. ``nominal`` is the phase that was meant; it tells
    which of two answers is the true one. ``first_near`` is about where the first throw stands, from
    level, by default level. Warns within 20 deg of upright, where a height says little of its
    angle. Basis: derived; angle = asin(height / throw) or 180 deg less that.
    """
    near = 0.0 if first_near is None else magnitude(first_near, "rad", "first_near")
    first = _stands_at(first_height, first_throw, near, "first_height")
    second = _stands_at(
        second_height, second_throw, first + magnitude(nominal, "rad", "nominal"), "second_height"
    )
    return Quantity(np.degrees(second - first), "deg")


def _stands_at(height, throw, near, name):
    sine = magnitude(height, "mm", name) / magnitude(
        throw, "mm", name.replace("height", "throw"), above=0
    )
    if np.any(abs(sine) > 1):
        raise ValueError(
            f"{name} is larger than its throw; measure to the pin's center, from the main axis"
        )
    if np.any(abs(sine) > np.cos(np.radians(20))):
        warnings.warn(
            f"{name}: the throw stands within 20 deg of upright, its height says little of its "
            "angle; turn the crank",
            OutOfRangeWarning,
            stacklevel=3,
        )
    both = np.array([np.arcsin(sine), np.pi - np.arcsin(sine)])
    both = both + 2 * np.pi * np.round((near - both) / (2 * np.pi))
    return np.where(abs(both[0] - near) <= abs(both[1] - near), both[0], both[1])[()]


def pin_parallelism(top, bottom, front, back, distance, throw):
    """Tilt of a pin to the mains in two planes, from heights at both its ends in four positions.

    ``top``, ``bottom``, ``front`` and ``back`` [length] are pairs, left and right end, with the
    throw up, down, level toward you, level away; ``distance`` is between the two places on the pin,
    ``throw`` the crank's own.
    Basis: derived; reversal: slope = ((right - left) one way - (right - left) the other) / 2 L. The
    pin's taper, the table's slope and unequal heights of the mains cancel. A tilt in the throw's
    plane is a bend; one across it is a twist of the webs by distance x slope / throw.
    """
    ends = {
        name: np.atleast_1d(magnitude(value, "mm", name))
        for name, value in (("top", top), ("bottom", bottom), ("front", front), ("back", back))
    }
    for name, pair in ends.items():
        if pair.shape != (2,):
            raise ValueError(f"{name} needs two heights, left and right end, not {pair.size}")
    long, arm = (
        magnitude(distance, "mm", "distance", above=0, one=True),
        magnitude(throw, "mm", "throw", above=0, one=True),
    )
    steps = {name: pair[1] - pair[0] for name, pair in ends.items()}
    bend, across = (
        (steps[one] - steps[other]) / (2 * long)
        for one, other in (("top", "bottom"), ("front", "back"))
    )
    setup = tuple(
        float((steps[one] + steps[other]) / (2 * long))
        for one, other in (("top", "bottom"), ("front", "back"))
    )
    return Parallelism(
        float(bend), float(across), Quantity(float(np.degrees(across * long / arm)), "deg"), setup
    )


def tilt_budgets(top, bottom, front, back, distance, throw, gauge="lever indicator 0.002 mm"):
    """Bend [um/mm] and twist [deg] of a pin, with their uncertainty, from repeated heights.

    ``top``, ``bottom``, ``front`` and ``back`` are pairs of two heights or more, at both its ends;
    they, ``distance`` and ``throw`` as for ``pin_parallelism``; ``gauge`` is a row of
    ``data/measuring_sources.csv`` and errs by itself between the two ends of each pair. Basis:
    standard. GUM (JCGM 100) 5.1 on ``pin_parallelism``.
    """
    long = magnitude(distance, "mm", "distance", above=0, one=True)
    arm = magnitude(throw, "mm", "throw", above=0, one=True)

    for name, pair in (("top", top), ("bottom", bottom), ("front", front), ("back", back)):
        if not isinstance(pair, list | tuple) or len(pair) != 2:
            raise ValueError(f"{name}: write a pair of heights, at the left and at the right end")

    def heights_of(one, other):
        """Sources of four heights and of the gauge in either position."""
        parts = []
        for name, pair in (("one", one), ("other", other)):
            parts += [_repeated(f"{name}_left", pair[0]), _repeated(f"{name}_right", pair[1])]
            parts.append(uncertainty.tool_source(gauge, f"{name}_gauge"))
        return parts

    def rise(one_left, one_right, one_gauge, other_left, other_right, other_gauge):
        apart = one_right - one_left + one_gauge - (other_right - other_left + other_gauge)
        return apart.to("um") / 2

    bend = uncertainty.combine(
        lambda **heights: rise(**heights) / Quantity(long, "mm"), heights_of(top, bottom)
    )
    twist = uncertainty.combine(
        lambda **heights: Quantity(np.degrees(rise(**heights).m_as("mm") / arm), "deg"),
        heights_of(front, back),
    )
    return bend, twist
