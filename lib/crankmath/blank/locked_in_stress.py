r"""Locked-in stress of bar: how far a bar bows when metal is cut away on one side.

The stress is along the bar, the same on every section, and in balance. It is stated, not measured: a
parabola over the depth, tension at the skin, pressure in the core, its height a share of the yield strength.
"""

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from ..checks import made
from ..crank import steels
from ..units import Quantity, magnitude
from .bar import Bar

POINTS = 40  # of Gauss over the height: strips are true to 1e-12
AROUND = 90  # directions of a round left standing: in a square bar the kinks of the profile cost up to 1e-4
NOWHERE = Quantity(0.0, "mm")


@dataclass(frozen=True)
class Section:
    """Area, middle (from the bar's middle) and second moments about that middle of what is left of a section."""

    area: Quantity
    middle_x: Quantity
    middle_y: Quantity
    second_moment_x: Quantity
    second_moment_y: Quantity
    second_moment_xy: Quantity


@dataclass(frozen=True)
class Release:
    """What the cut sets free: curvature in the bar's y and x (positive: ends bend toward plus), stretch of the bar."""

    curvature_y: Quantity
    curvature_x: Quantity
    strain: float
    section: Section


@cache
def _shares():
    with (files("crankmath") / "data" / "locked_in_stress.csv").open(encoding="utf-8") as lines:
        return {row["condition"]: row for row in csv.DictReader(lines)}


def surface_stress(steel, condition=None):
    r"""Stress at the skin of a bar: low, usual and high.

    .. math:: \sigma_s = k\,R_e

    Parameters
    ----------
    steel : str
        A name of ``steels.NAMES``.
    condition : str, optional
        "cold drawn", "hot rolled", "normalized", "quenched and tempered" or "stress relieved"; the steel's own without it.

    Returns
    -------
    tuple of Quantity [MPa]

    Raises
    ------
    ValueError
        Unknown steel or condition.

    Notes
    -----
    Basis: rule of thumb; the shares of yield strength are assumed, from memory, and scatter widely with reduction,
    die and straightening. Light reductions can leave pressure at the skin instead. A saw cut along a test piece, its gap
    measured, tells more about your bar than any table.
    """
    record = steels.find(steel)
    name = record.condition if condition is None else condition
    if name not in _shares():
        raise ValueError(f"condition must be one of {', '.join(_shares())}, not {name!r}")
    return tuple(
        record.yield_strength * float(_shares()[name][key]) for key in ("low", "typical", "high")
    )


def _gauss(low, high, breaks=()):
    """Gauss points and weights from low to high, panels meeting at the breaks that lie between."""
    ends = np.array([low, *sorted({place for place in breaks if low < place < high}), high])
    points, weights = np.polynomial.legendre.leggauss(POINTS)
    middle, half = (ends[:-1] + ends[1:])[:, None] / 2, np.diff(ends)[:, None] / 2
    return (middle + half * points).ravel(), (half * weights).ravel()


def _strips(bar, top=np.inf):
    """Strips of a bar's section below the height ``top``: place, thickness, width, and the skin function summed over the width [mm]."""
    half_x, half_y = bar.width.m_as("mm") / 2, bar.height.m_as("mm") / 2
    if bar.shape == "round":
        angle, share = _gauss(
            -np.pi / 2, np.arcsin(np.clip(top / half_x, -1, 1))
        )  # y = R sin: smooth at the rim
        y, chord = half_x * np.sin(angle), half_x * np.cos(angle)
        return y, share * chord, 2 * chord, 2 * (chord**3 / 3 + y**2 * chord) / half_x**2
    core = min(half_x, half_y)
    y, heights = _gauss(-half_y, min(top, half_y), (0.0, half_x - half_y, half_y - half_x))
    depth = half_y - np.abs(y)
    beside = np.minimum(depth, half_x)  # the side skin is nearer there
    over = 2 * (half_x - beside) * (1 - np.minimum(depth, core) / core) ** 2 + 2 * core / 3 * (
        1 - (1 - beside / core) ** 3
    )
    return y, heights, np.full_like(y, 2 * half_x), over


def _disc(diameter, x, y):
    """Points and areas of a round that is left around a place of the section [mm, mm**2]."""
    distance, lengths = _gauss(0, diameter / 2)
    angle = np.arange(AROUND) * 2 * np.pi / AROUND
    area = np.broadcast_to(
        (distance * lengths)[:, None] * 2 * np.pi / AROUND, (distance.size, AROUND)
    )
    return x + distance[:, None] * np.cos(angle), y + distance[:, None] * np.sin(angle), area


def _skin(bar, x, y):
    """One at the skin, zero in the core, a parabola over the depth between."""
    half_x, half_y = bar.width.m_as("mm") / 2, bar.height.m_as("mm") / 2
    if bar.shape == "round":
        return (x**2 + y**2) / half_x**2
    depth = np.minimum(half_x - np.abs(x), half_y - np.abs(y))
    return (1 - depth / min(half_x, half_y)) ** 2


def stress_profile(bar, surface, x, y):
    r"""Stress along the bar at a place of its section, in balance over the whole of it.

    .. math:: \sigma = \sigma_s \frac{q - \bar q}{1 - \bar q}, \quad q = (1 - t)^2

    with t the depth under the nearest skin over the depth of the core; in a round bar that is :math:`\sigma_s(2\rho^2/R^2 - 1)`.

    Parameters
    ----------
    bar : bar.Bar
    surface : Quantity [stress]
        At the skin, tension positive.
    x, y : Quantity [length], scalar or array
        From the bar's middle along its width and height.

    Returns
    -------
    Quantity [MPa]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit or is of the wrong kind; a place outside the bar.

    Notes
    -----
    Basis: stated shape, no source; the balance is derived.
    """
    across, up = magnitude(x, "mm", "x"), magnitude(y, "mm", "y")
    height = _skin(made(bar, Bar, "bar"), across, up)
    beyond = [
        np.abs(place) > side.m_as("mm") / 2 + 1e-9
        for place, side in ((across, bar.width), (up, bar.height))
    ]
    if np.any(height > 1 + 1e-9 if bar.shape == "round" else beyond[0] | beyond[1]):
        raise ValueError("x and y lie outside the bar; write a place inside it")
    return Quantity(
        magnitude(surface, "MPa", "surface") * (height - _mean(bar)) / (1 - _mean(bar)), "MPa"
    )


def _mean(bar):
    _, heights, width, over = _strips(bar)
    return float(heights @ over / (heights @ width))


def _left(bar, flat_depth, pin_diameter, pin_x, pin_y):
    """Section left after the one cut that is given, and three sums of the skin function over it: plain, times x, times y.

    The last two count from the section's own middle.
    """
    half_x, half_y = made(bar, Bar, "bar").width.m_as("mm") / 2, bar.height.m_as("mm") / 2
    if (flat_depth is None) == (pin_diameter is None):
        raise ValueError("flat_depth or pin_diameter: give one of the two")
    if flat_depth is not None:
        depth = magnitude(flat_depth, "mm", "flat_depth", least=0, one=True)
        if depth >= 2 * half_y:
            raise ValueError("flat_depth takes the whole bar away; write a smaller depth")
        y, heights, width, over = _strips(bar, half_y - depth)
        area = heights @ width
        middle = heights @ (width * y) / area
        section = (
            area,
            0.0,
            middle,
            heights @ (width * (y - middle) ** 2),
            heights @ width**3 / 12,
            0.0,
        )
        return section, (heights @ over, 0.0, heights @ (over * (y - middle)))
    diameter, x, y = (
        magnitude(value, "mm", name, one=True)
        for value, name in ((pin_diameter, "pin_diameter"), (pin_x, "pin_x"), (pin_y, "pin_y"))
    )
    room = (
        half_x - np.hypot(x, y) if bar.shape == "round" else min(half_x - abs(x), half_y - abs(y))
    )
    if not 0 < diameter / 2 <= room * (1 + 1e-9):
        raise ValueError(
            "pin_diameter has to be above zero and lie inside the bar; move the pin or take a larger bar"
        )
    across, up, area = _disc(diameter, x, y)
    skin, second = _skin(bar, across, up) * area, np.pi * diameter**4 / 64
    return (np.pi * diameter**2 / 4, x, y, second, second, 0.0), (
        skin.sum(),
        (skin * (across - x)).sum(),
        (skin * (up - y)).sum(),
    )


def left_section(bar, flat_depth=None, pin_diameter=None, pin_x=NOWHERE, pin_y=NOWHERE):
    """Section properties of what is left after a flat is cut at the top, or a round left standing.

    Parameters
    ----------
    bar : bar.Bar
    flat_depth : Quantity [length], optional
        Metal taken off the top, along the whole width.
    pin_diameter : Quantity [length], optional
        Everything is taken off but a round, as beside a pin.
    pin_x, pin_y : Quantity [length]
        Its middle from the bar's middle.

    Returns
    -------
    Section

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit or is of the wrong kind; both cuts or none; nothing left; a pin outside the bar.

    Notes
    -----
    Basis: derived.
    """
    section, _ = _left(bar, flat_depth, pin_diameter, pin_x, pin_y)
    return _section(section)


def _section(numbers):
    units = ("mm**2", "mm", "mm", "mm**4", "mm**4", "mm**4")
    return Section(
        *(Quantity(float(number), unit) for number, unit in zip(numbers, units, strict=True))
    )


def release(
    bar, surface, elastic_modulus, flat_depth=None, pin_diameter=None, pin_x=NOWHERE, pin_y=NOWHERE
):
    r"""Curvature that a one-sided cut sets free, by beam theory.

    .. math:: N = \int_A \sigma\,dA, \quad M = \int_A \sigma\,\eta\,dA, \quad \varepsilon = -\frac{N}{EA}, \quad \kappa = \frac{M}{EI}

    over what is left; for a pin left at a distance c from the middle of a round bar :math:`\kappa = 4 c\,\sigma_s/(E R^2)`.

    Parameters
    ----------
    bar : bar.Bar
    surface : Quantity [stress]
        Of :func:`surface_stress`, or your own.
    elastic_modulus : Quantity [stress]
    flat_depth, pin_diameter, pin_x, pin_y : Quantity [length]
        As :func:`left_section`.

    Returns
    -------
    Release
        ``curvature_y`` positive: the ends bend toward plus y. A flat cut into tension turns the ends away from the cut.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As :func:`left_section`.

    Notes
    -----
    Basis: derived from the stated profile; elastic, far from the ends of the cut. The stress in the skin of a real bar also
    differs around it, so even an even cut all around can bow a bar: not in here.
    """
    section, (whole, first_x, first_y) = _left(bar, flat_depth, pin_diameter, pin_x, pin_y)
    area, _, _, second_x, second_y, mixed = section
    mean = _mean(bar)
    stress, modulus = (
        magnitude(surface, "MPa", "surface") / (1 - mean),
        magnitude(elastic_modulus, "MPa", "elastic_modulus", above=0),
    )
    # moments count from the section's own middle, so the even part of the stress drops out of them
    curvature = np.linalg.solve(
        modulus * np.array([[second_x, mixed], [mixed, second_y]]),
        stress * np.array([first_y, first_x]),
    )
    strain = float(-stress * (whole - mean * area) / (modulus * area))
    return Release(
        *(Quantity(float(value), "1/mm") for value in curvature), strain, _section(section)
    )


def bow(curvature, cut_length, bar_length=None, from_left=None):
    r"""How far the middle of the cut moves off the line between the bar's ends.

    .. math:: f = \kappa\left[\frac{L - m}{L}\cdot\frac{m^2 - a^2}{2} + \frac{m}{L}\cdot\frac{(L-m)^2 - (L-a-c)^2}{2}\right]

    with the cut of length c from a, its middle at m; for a cut over the whole bar this is :math:`\kappa L^2/8`.

    Parameters
    ----------
    curvature : Quantity [1/length]
        One of :func:`release`.
    cut_length : Quantity [length]
        Of the cut along the bar.
    bar_length : Quantity [length], optional
        Between the centers; the cut's own length without it.
    from_left : Quantity [length], optional
        Where the cut begins; in the middle of the bar without it.

    Returns
    -------
    Quantity [mm]
        Positive where the ends bend toward plus and the middle of the cut toward minus.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit or is of the wrong kind; a cut that sticks out of the bar.

    Notes
    -----
    Basis: derived.
    """
    bent, cut = (
        magnitude(curvature, "1/mm", "curvature"),
        magnitude(cut_length, "mm", "cut_length", above=0),
    )
    length = cut if bar_length is None else magnitude(bar_length, "mm", "bar_length", above=0)
    start = (
        (length - cut) / 2
        if from_left is None
        else magnitude(from_left, "mm", "from_left", least=0)
    )
    if np.any(start < -1e-9) or np.any(start + cut > length * (1 + 1e-9)):
        raise ValueError(
            "cut_length does not fit into bar_length; write a shorter cut or another from_left"
        )
    here, end = start + cut / 2, start + cut
    left = (length - here) / length * (here**2 - start**2) / 2
    right = here / length * ((length - here) ** 2 - (length - end) ** 2) / 2
    return Quantity(bent * (left + right), "mm")


def bow_with_scatter(
    bar, steel, cut_length, bar_length=None, from_left=None, condition=None, **cut
):
    """Bow of a bar of a steel after a one-sided cut: low, usual and high.

    Parameters
    ----------
    bar : bar.Bar
    steel : str
    cut_length, bar_length, from_left : Quantity [length]
        As :func:`bow`.
    condition : str, optional
        As :func:`surface_stress`.
    **cut : Quantity
        ``flat_depth``, or ``pin_diameter``, ``pin_x`` and ``pin_y``, as :func:`left_section`.

    Returns
    -------
    tuple of Quantity [mm]
        Without sign, the two directions together.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As the functions it joins.

    Notes
    -----
    Basis: rule of thumb for the stress, derived from there; the spread is that of the stress at the skin.
    """
    unit = release(bar, Quantity(1.0, "MPa"), steels.find(steel).elastic_modulus, **cut)
    per_megapascal = Quantity(
        float(np.hypot(unit.curvature_y.magnitude, unit.curvature_x.magnitude)), "1/mm"
    )
    off = bow(per_megapascal, cut_length, bar_length, from_left)
    return tuple(abs(off) * stress.m_as("MPa") for stress in surface_stress(steel, condition))
