"""Locked-in stress of bar: how far a bar bows when metal is cut away on one side.

The stress is along the bar, the same on every section, and in balance. It is stated, not measured:
a parabola over the depth, tension at the skin, pressure in the core, its height a share of the
yield strength.
"""

from dataclasses import dataclass

import numpy as np

from ..checks import one_of, takes
from ..crank import steels
from ..tables import rows
from ..units import Quantity
from .bar import Bar

POINTS = 40  # of Gauss over the height: strips are true to 1e-12
# directions of a round left standing: in a square bar the kinks of the profile cost up to 1e-4
AROUND = 90
NOWHERE = Quantity(0.0, "mm")
SHARES = {row["condition"]: row for row in rows("locked_in_stress")}
CUT = {"flat_depth": "mm >= 0, one", "pin_diameter": "mm, one", "pin_x": "mm, one"}
CUT["pin_y"] = CUT["pin_x"]


@dataclass(frozen=True)
class Section:
    """Area, middle and second moments about it of what is left of a section.

    The middle counts from the bar's middle.
    """

    area: Quantity
    middle_x: Quantity
    middle_y: Quantity
    second_moment_x: Quantity
    second_moment_y: Quantity
    second_moment_xy: Quantity


@dataclass(frozen=True)
class Release:
    """What the cut sets free: curvature in the bar's y and x, and stretch of the bar.

    A curvature is positive where the ends bend toward plus.
    """

    curvature_y: Quantity
    curvature_x: Quantity
    strain: float
    section: Section


def surface_stress(steel, condition=None):
    """Stress at the skin of a bar, a share of the yield strength: low, usual and high [MPa].

    - ``steel``: A name of ``steels.NAMES``.
    - ``condition``: "cold drawn", "hot rolled", "normalized", "quenched and tempered" or "stress
      relieved"; default the steel's own.

    Basis: rule of thumb; the shares are assumed, from memory, and scatter widely with reduction,
    die and straightening. Light reductions can leave pressure at the skin instead. A saw cut along
    a test piece, its gap measured, tells more about your bar than any table.
    """
    record = steels.find(steel)
    row = SHARES[one_of(condition or record.condition, SHARES, "condition")]
    return tuple(record.yield_strength * float(row[key]) for key in ("low", "typical", "high"))


def _gauss(low, high, breaks=()):
    """Gauss points and weights from low to high, panels meeting at the breaks that lie between."""
    ends = np.array([low, *sorted({place for place in breaks if low < place < high}), high])
    points, weights = np.polynomial.legendre.leggauss(POINTS)
    middle, half = (ends[:-1] + ends[1:])[:, None] / 2, np.diff(ends)[:, None] / 2
    return (middle + half * points).ravel(), (half * weights).ravel()


def _strips(bar, top=np.inf):
    """Strips of a bar's section below a height: place, thickness, width, skin over the width
    [mm]."""
    half_x, half_y = bar.width.m_as("mm") / 2, bar.height.m_as("mm") / 2
    if bar.shape == "round":
        # y = R sin: smooth at the rim
        angle, share = _gauss(-np.pi / 2, np.arcsin(np.clip(top / half_x, -1, 1)))
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


@takes(bar=Bar, surface="MPa", x="mm", y="mm", gives="MPa")
def stress_profile(bar, surface, x, y):
    """Stress along the bar at a place of its section, in balance over the whole of it.

    sigma = sigma_s (q - mean of q) / (1 - mean of q), q = (1 - t)^2, t the depth under the nearest
    skin over the depth of the core; in a round bar that is sigma_s (2 rho^2/R^2 - 1).

    - ``surface``: Stress at the skin, tension positive.
    - ``x``, ``y``: From the bar's middle along its width and height.

    Basis: stated shape, no source; the balance is derived.
    """
    height = _skin(bar, x, y)
    beyond = [
        np.abs(place) > side.m_as("mm") / 2 + 1e-9
        for place, side in ((x, bar.width), (y, bar.height))
    ]
    if np.any(height > 1 + 1e-9 if bar.shape == "round" else beyond[0] | beyond[1]):
        raise ValueError("x and y lie outside the bar; write a place inside it")
    return surface * (height - _mean(bar)) / (1 - _mean(bar))


def _mean(bar):
    _, heights, width, over = _strips(bar)
    return float(heights @ over / (heights @ width))


def _left(bar, flat_depth, pin_diameter, pin_x, pin_y):
    """Section left after the one cut given [mm], and sums of the skin function over it.

    The sums are plain, times x and times y, these two from the section's own middle.
    """
    half_x, half_y = bar.width.m_as("mm") / 2, bar.height.m_as("mm") / 2
    if (flat_depth is None) == (pin_diameter is None):
        raise ValueError("flat_depth or pin_diameter: give one of the two")
    if flat_depth is not None:
        if flat_depth >= 2 * half_y:
            raise ValueError("flat_depth takes the whole bar away; write a smaller depth")
        y, heights, width, over = _strips(bar, half_y - flat_depth)
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
    diameter, x, y = pin_diameter, pin_x, pin_y
    room = (
        half_x - np.hypot(x, y) if bar.shape == "round" else min(half_x - abs(x), half_y - abs(y))
    )
    if not 0 < diameter / 2 <= room * (1 + 1e-9):
        raise ValueError(
            "pin_diameter has to be above zero and lie inside the bar; move the pin or take a "
            "larger bar"
        )
    across, up, area = _disc(diameter, x, y)
    skin, second = _skin(bar, across, up) * area, np.pi * diameter**4 / 64
    return (np.pi * diameter**2 / 4, x, y, second, second, 0.0), (
        skin.sum(),
        (skin * (across - x)).sum(),
        (skin * (up - y)).sum(),
    )


@takes(bar=Bar, **CUT)
def left_section(bar, flat_depth=None, pin_diameter=None, pin_x=NOWHERE, pin_y=NOWHERE):
    """Section properties of what is left after a flat is cut at the top, or a round left standing.

    - ``flat_depth``: Metal taken off the top, along the whole width.
    - ``pin_diameter``: Everything is taken off but a round, as beside a pin; give one of the two.
    - ``pin_x``, ``pin_y``: Its middle from the bar's middle.

    Basis: derived.
    """
    section, _ = _left(bar, flat_depth, pin_diameter, pin_x, pin_y)
    return _section(section)


def _section(numbers):
    units = ("mm**2", "mm", "mm", "mm**4", "mm**4", "mm**4")
    return Section(
        *(Quantity(float(number), unit) for number, unit in zip(numbers, units, strict=True))
    )


@takes(bar=Bar, surface="MPa, one", elastic_modulus="MPa > 0, one", **CUT)
def release(
    bar, surface, elastic_modulus, flat_depth=None, pin_diameter=None, pin_x=NOWHERE, pin_y=NOWHERE
):
    """Curvature that a one-sided cut sets free, by beam theory.

    N and M are the sums of the stress, and of the stress times the distance from the middle, over
    what is left; strain -N / (E A), curvature M / (E I). For a pin left at a distance c from the
    middle of a round bar the curvature is 4 c sigma_s / (E R^2). A flat cut into tension turns the
    ends away from the cut.

    - ``surface``: Of :func:`surface_stress`, or your own.
    - ``flat_depth``, ``pin_diameter``, ``pin_x``, ``pin_y``: As :func:`left_section`.

    Basis: derived from the stated profile; elastic, far from the ends of the cut. The stress in the
    skin of a real bar also differs around it, so even an even cut all around can bow a bar: not in
    here.
    """
    section, (whole, first_x, first_y) = _left(bar, flat_depth, pin_diameter, pin_x, pin_y)
    area, _, _, second_x, second_y, mixed = section
    mean = _mean(bar)
    stress, modulus = surface / (1 - mean), elastic_modulus
    # moments count from the section's own middle, so the even part of the stress drops out of them
    curvature = np.linalg.solve(
        modulus * np.array([[second_x, mixed], [mixed, second_y]]),
        stress * np.array([first_y, first_x]),
    )
    strain = float(-stress * (whole - mean * area) / (modulus * area))
    return Release(
        *(Quantity(float(value), "1/mm") for value in curvature), strain, _section(section)
    )


@takes(curvature="1/mm", cut_length="mm > 0", bar_length="mm > 0", from_left="mm >= 0", gives="mm")
def bow(curvature, cut_length, bar_length=None, from_left=None):
    """How far the middle of the cut moves off the line between the bar's ends.

    With the cut of length c from a, its middle at m, in a bar of length L:
    f = kappa [(L - m)/L (m^2 - a^2)/2 + m/L ((L - m)^2 - (L - a - c)^2)/2]; kappa L^2/8 for a cut
    over the whole bar. Positive where the ends bend toward plus, the middle of the cut toward
    minus.

    - ``curvature``: One of :func:`release`.
    - ``bar_length``: Between the centers; default the cut's own length.
    - ``from_left``: Where the cut begins; default in the middle of the bar.

    Basis: derived.
    """
    cut, length = cut_length, cut_length if bar_length is None else bar_length
    start = (length - cut) / 2 if from_left is None else from_left
    if np.any(start < -1e-9) or np.any(start + cut > length * (1 + 1e-9)):
        raise ValueError(
            "cut_length does not fit into bar_length; write a shorter cut or another from_left"
        )
    here, end = start + cut / 2, start + cut
    left = (length - here) / length * (here**2 - start**2) / 2
    right = here / length * ((length - here) ** 2 - (length - end) ** 2) / 2
    return curvature * (left + right)


def bow_with_scatter(
    bar, steel, cut_length, bar_length=None, from_left=None, condition=None, **cut
):
    """Bow of a bar of a steel after a one-sided cut: low, usual and high [mm], without sign.

    - ``bar``, ``steel``, ``condition``: As :func:`surface_stress`.
    - ``cut_length``, ``bar_length``, ``from_left``: As :func:`bow`.
    - ``cut``: As :func:`left_section`.

    Basis: rule of thumb for the stress, derived from there; the spread is that of the stress at the
    skin, the two directions taken together.
    """
    unit = release(bar, Quantity(1.0, "MPa"), steels.find(steel).elastic_modulus, **cut)
    per_megapascal = Quantity(
        float(np.hypot(unit.curvature_y.magnitude, unit.curvature_x.magnitude)), "1/mm"
    )
    off = bow(per_megapascal, cut_length, bar_length, from_left)
    return tuple(abs(off) * stress.m_as("MPa") for stress in surface_stress(steel, condition))
