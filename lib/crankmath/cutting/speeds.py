"""Cutting speed, spindle speed, time, removal rate, tool life; with the lathe and the ideal finish from their own modules."""

import csv
import warnings
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from ..checks import takes
from ..crank import steels
from ..lathe import Lathe as Lathe
from ..lathe import load_lathe as load_lathe
from ..units import OutOfRangeWarning, Quantity, magnitude, number
from .finish import ideal_roughness as ideal_roughness  # these names are part of cutting

INTERRUPTED_FACTOR = 0.7  # common practice, no source
OPERATIONS = ("roughing", "finishing", "facing a web")


@dataclass(frozen=True)
class TableSpeed:
    """A cutting speed from tables, with everything it depends on; ``depth`` and ``feed`` are None where the table names none."""

    speed: Quantity
    low: Quantity
    high: Quantity
    hardness: str
    depth: Quantity | None
    feed: Quantity | None
    source: str


@takes(cutting_speed="m/min > 0", diameter="mm > 0", gives="rpm")
def spindle_speed(cutting_speed, diameter):
    """Spindle speed for a cutting speed at a diameter: n = v / (π d).

    diameter is that at the tool's edge; for a web twice its swing radius.
    Basis: derived. One turn carries the surface π d; a turn stays a turn.
    """
    return 1000 * cutting_speed / (np.pi * diameter)


@takes(spindle_speed="rpm >= 0", diameter="mm > 0", gives="m/min")
def surface_speed(spindle_speed, diameter):
    """Surface speed at a diameter for a spindle speed: v = π d n.

    Basis: derived; the inverse of :func:`spindle_speed`.
    """
    return np.pi * diameter * spindle_speed / 1000


def gear_speed(spindle_speed, gear_table):
    """The lathe's next slower gear step, or the step itself where it fits.

    Parameters
    ----------
    spindle_speed : Quantity [rpm], scalar or array
    gear_table : Quantity [rpm], array

    Returns
    -------
    Quantity [rpm]
        Below the slowest step the slowest is returned with an ``OutOfRangeWarning``.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is not above zero.

    Notes
    -----
    Basis: rule of thumb, US Army OD1645 p. 52: if the speed is not to be had, take the next slower.
    """
    wanted = magnitude(spindle_speed, "rpm", "spindle_speed", above=0)
    table = np.sort(np.atleast_1d(magnitude(gear_table, "rpm", "gear_table", above=0)))
    place = np.searchsorted(table, np.asarray(wanted) * (1 + 1e-9), side="right") - 1
    if np.any(place < 0):
        warnings.warn(
            f"spindle_speed is below the slowest gear step, {table[0]:.0f} rpm; that step is too fast",
            OutOfRangeWarning,
            stacklevel=2,
        )
    return Quantity(table[np.maximum(place, 0)], "rpm")


def unbalanced_speed_limit(mass, offset, force):
    r"""Spindle speed at which a bar swung off its axis pulls with a given force.

    .. math:: n = \frac{1}{2\pi}\sqrt{\frac{F}{m e}}

    Parameters
    ----------
    mass : Quantity [mass]
        All that swings off the axis.
    offset : Quantity [length]
        Distance of its center of mass from the axis of rotation.
    force : Quantity [force]
        What the lathe bears without moving.

    Returns
    -------
    Quantity [rpm]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is not above zero.

    Notes
    -----
    Basis: derived, F = m e omega^2. The force a lathe bears is common practice, no source: try it.
    """
    kilograms = magnitude(mass, "kg", "mass", above=0)
    meters = magnitude(offset, "m", "offset", above=0)
    newtons = magnitude(force, "N", "force", above=0)
    return Quantity(np.sqrt(newtons / (kilograms * meters)) * 60 / (2 * np.pi), "rpm")


def bar_mass(diameter, length, steel):
    r"""Mass of a round bar.

    .. math:: m = \rho \pi d^2 L / 4

    Parameters
    ----------
    diameter, length : Quantity [length]
    steel : str
        A name of ``steels.NAMES``.

    Returns
    -------
    Quantity [kg]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is not above zero; an unknown steel.

    Notes
    -----
    Basis: derived; density from ``steels``.
    """
    across = magnitude(diameter, "m", "diameter", above=0)
    along = magnitude(length, "m", "length", above=0)
    density = steels.find(steel).density.m_as("kg/m**3")
    return Quantity(density * np.pi * across**2 / 4 * along, "kg")


def cutting_time(length, feed, spindle_speed, passes=1):
    r"""Time the tool is in feed over a length.

    .. math:: t = \frac{L\,i}{f n}

    Parameters
    ----------
    length : Quantity [length]
    feed : Quantity [length], per turn
    spindle_speed : Quantity [rpm]
    passes : float
        Number of passes i.

    Returns
    -------
    Quantity [min]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is not above zero.

    Notes
    -----
    Basis: derived; without run-in, return and measuring.
    """
    travel = magnitude(length, "mm", "length", above=0) * number(passes, "passes", above=0)
    rate = magnitude(feed, "mm", "feed", above=0) * magnitude(
        spindle_speed, "rpm", "spindle_speed", above=0
    )
    return Quantity(travel / rate, "min")


def removal_rate(cutting_speed, feed, depth):
    r"""Volume cut away per time.

    .. math:: Q = v f a

    Parameters
    ----------
    cutting_speed : Quantity [length/time]
    feed : Quantity [length], per turn
    depth : Quantity [length]

    Returns
    -------
    Quantity [cm^3/min]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is not above zero.

    Notes
    -----
    Basis: derived; depth small against the diameter.
    """
    speed = magnitude(cutting_speed, "m/min", "cutting_speed", above=0)
    return Quantity(
        speed * magnitude(feed, "mm", "feed", above=0) * magnitude(depth, "mm", "depth", above=0),
        "cm**3/min",
    )


def tool_life(cutting_speed, constant=None, exponent=0.125):
    r"""Minutes an edge lasts at a cutting speed.

    .. math:: T = (C / v)^{1/n}

    Parameters
    ----------
    cutting_speed : Quantity [length/time]
    constant : Quantity [length/time], optional
        Speed for a life of one minute, C; 70 m/min without it.
    exponent : float
        n; 0.125 for high-speed steel.

    Returns
    -------
    Quantity [min]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is not above zero; exponent above 1.

    Notes
    -----
    Basis: fitted data (Taylor). Constants of high-speed steel on steel: Groover, 5th ed., table 22.2, from memory.
    Above C, or beyond a working week of cutting (2400 min), an ``OutOfRangeWarning`` is given.
    """
    speed = magnitude(cutting_speed, "m/min", "cutting_speed", above=0)
    one_minute = magnitude(
        Quantity(70.0, "m/min") if constant is None else constant, "m/min", "constant", above=0
    )
    slope = number(exponent, "exponent", least=0.01, most=1)
    life = (one_minute / np.asarray(speed)) ** (1 / slope)
    if np.any(life < 1) or np.any(life > 2400):
        warnings.warn(
            "tool_life is outside 1 to 2400 min, where Taylor's line was not measured",
            OutOfRangeWarning,
            stacklevel=2,
        )
    return Quantity(life, "min")


def taylor_fit(speed_1, life_1, speed_2, life_2):
    r"""Taylor's exponent and constant from two measured lives.

    .. math:: n = \frac{\ln(v_1/v_2)}{\ln(T_2/T_1)}, \quad C = v_1 T_1^n

    Parameters
    ----------
    speed_1, speed_2 : Quantity [length/time]
    life_1, life_2 : Quantity [time]

    Returns
    -------
    tuple of float and Quantity [m/min]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is not above zero; two equal lives.

    Notes
    -----
    Basis: derived. Groover, 5th ed., Ex. 22.1 works it with numbers.
    """
    v_1, v_2 = (
        magnitude(speed, "m/min", name, above=0)
        for speed, name in ((speed_1, "speed_1"), (speed_2, "speed_2"))
    )
    t_1, t_2 = (
        magnitude(life, "min", name, above=0)
        for life, name in ((life_1, "life_1"), (life_2, "life_2"))
    )
    if t_1 == t_2:
        raise ValueError(
            "life_2 equals life_1: two different lives are needed to draw Taylor's line"
        )
    slope = float(np.log(v_1 / v_2) / np.log(t_2 / t_1))
    return slope, Quantity(v_1 * t_1**slope, "m/min")


@cache
def _speed_table():
    with (files("crankmath") / "data" / "cutting_speeds.csv").open(encoding="utf-8") as lines:
        return tuple(csv.DictReader(lines))


def speed_for(steel, tool="HSS", operation="roughing", hardness=None, interrupted=False):
    """Cutting speed for a steel from printed tables, with what each value depends on.

    Parameters
    ----------
    steel : str
        A name of ``steels.NAMES``.
    tool : str
        "HSS", high-speed steel; no other tool material is in the tables.
    operation : str
        "roughing", "finishing" or "facing a web" (an interrupted cut).
    hardness : float, optional
        Brinell hardness; the steel's own without it.
    interrupted : bool
        Reduce to 0.7 of the table: common practice, no source.

    Returns
    -------
    TableSpeed
        ``speed`` is the slowest table value that applies (a small lathe begins there), ``low`` to ``high`` the spread of tables.

    Raises
    ------
    ValueError
        Unknown steel, tool or operation, or no table row at this hardness.

    Notes
    -----
    Basis: handbook table. HSS table by AISI grade and hardness (as in Machinery's Handbook, web copy) and The Ferrous
    Metals Data Book ch. 9; published tables differ by up to half. Finishing rows are the light cuts.
    """
    record = steels.find(steel)
    if tool != "HSS":
        raise ValueError(f'tool must be "HSS": no table for {tool!r} is held here')
    if operation not in OPERATIONS:
        raise ValueError(f"operation must be one of {', '.join(OPERATIONS)}, not {operation!r}")
    brinell = number(record.hardness if hardness is None else hardness, "hardness", above=0)
    rows = [
        row
        for row in _speed_table()
        if row["group"] == record.speed_group
        and float(row["hardness_low"]) <= brinell <= float(row["hardness_high"])
    ]
    light = operation == "finishing"
    suiting = [row for row in rows if (float(row["depth_in"] or 0.1) <= 0.05) == light] or rows
    if not suiting:
        raise ValueError(
            f"hardness {brinell:g} HB is outside the speed tables for {steel}; write a value the tables hold"
        )
    factor = INTERRUPTED_FACTOR if interrupted or operation == "facing a web" else 1.0
    slowest = min(suiting, key=lambda row: float(row["speed_ft_min"]))
    values = [float(row["speed_ft_min"]) for row in rows]
    note = (
        f"; times {INTERRUPTED_FACTOR} for the interrupted cut (common practice, no source)"
        if factor < 1
        else ""
    )
    return TableSpeed(
        *(
            Quantity(factor * value, "ft/min").to("m/min")
            for value in (float(slowest["speed_ft_min"]), min(values), max(values))
        ),
        f"{slowest['hardness_low']} to {slowest['hardness_high']} HB",
        *(
            Quantity(float(slowest[key]), "in") if slowest[key] else None
            for key in ("depth_in", "feed_in")
        ),
        slowest["source"] + note,
    )
