"""What the motor can drive, and the power that handbooks reckon with."""

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from ..crank import steels
from ..units import Quantity, magnitude, number
from .kienzle import cutting_force, cutting_power


@dataclass(frozen=True)
class PowerConstant:
    """A handbook's power for a rate of removal, with the row it comes from."""

    value: Quantity
    inch_value: Quantity
    material: str
    hardness: str
    source: str


@cache
def _table(name):
    with (files("crankmath") / "data" / f"{name}.csv").open(encoding="utf-8") as lines:
        return tuple(csv.DictReader(lines))


def power_limited_width(
    power, steel, chip_thickness, cutting_speed, efficiency=0.75, **corrections
):
    r"""Widest cut a motor drives.

    .. math:: b = \frac{\eta P}{v\,h\,k_c(h)}

    Parameters
    ----------
    power : Quantity [power]
        What the motor's plate gives.
    steel : str
    chip_thickness : Quantity [length]
    cutting_speed : Quantity [length/time]
        Also corrects the force, as in ``forces.specific_cutting_force``.
    efficiency : float
        Share of the motor's power that reaches the edge; 0.75 for a geared head (from memory; a public program quotes 0.8).
    **corrections
        ``rake``, ``wear``, ``operation`` of ``forces.specific_cutting_force``.

    Returns
    -------
    Quantity [mm]
        Length of edge; with a square-on edge the depth of cut.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As ``forces.specific_cutting_force``; efficiency above 1.

    Notes
    -----
    Basis: derived, with Kienzle's force. A steady cut: at a blow the belt and the flywheel help, the gears suffer.
    """
    watts = magnitude(power, "W", "power", above=0) * number(
        efficiency, "efficiency", above=0, most=1
    )
    one_millimeter = cutting_force(
        steel, Quantity(1.0, "mm"), chip_thickness, cutting_speed=cutting_speed, **corrections
    )
    return Quantity(watts / cutting_power(one_millimeter, cutting_speed).m_as("W"), "mm")


def power_constant(steel, hardness=None):
    """The handbook's power constant of a steel: power for a rate of removal with a sharp tool.

    Parameters
    ----------
    steel : str
        A name of ``steels.NAMES``.
    hardness : float, optional
        Brinell hardness; the steel's own without it.

    Returns
    -------
    PowerConstant

    Raises
    ------
    ValueError
        Unknown steel, or a hardness no row of the table holds.

    Notes
    -----
    Basis: handbook table; Machinery's Handbook, 31st ed., p. 1147, table 1b. 1 kW s/cm3 equals 1000 N/mm2 of specific
    cutting force at a feed of 0.30 mm (see :func:`feed_factor`).
    """
    record = steels.find(steel)
    brinell = number(record.hardness if hardness is None else hardness, "hardness", above=0)
    for row in _table("power_constants"):
        low, high = float(row["hardness_low"]), float(row["hardness_high"])
        if record.speed_group in row["speed_groups"].split() and low <= brinell <= high:
            return PowerConstant(
                Quantity(float(row["value"]), "kW*s/cm**3"),
                Quantity(float(row["inch_value"]), "hp*min/in**3"),
                row["material"],
                f"{low:g} to {high:g} HB",
                row["source"],
            )
    raise ValueError(
        f"hardness {brinell:g} HB is outside the power table for {steel}; write a value the table holds"
    )


def feed_factor(feed):
    """Factor of the handbook's power constant for a feed; 1 at 0.30 mm a turn.

    Parameters
    ----------
    feed : Quantity [length], per turn, scalar or array

    Returns
    -------
    float or ndarray [no unit]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        The feed lacks its unit, is of the wrong kind, or lies outside the table's 0.02 to 1.0 mm.

    Notes
    -----
    Basis: handbook table, Machinery's Handbook, feed factors for power constants, FROM MEMORY; straight between rows.
    """
    step = magnitude(feed, "mm", "feed", above=0)
    feeds, factors = (
        np.array([float(row[key]) for row in _table("feed_factors")]) for key in ("feed", "value")
    )
    if np.any(np.asarray(step) < feeds[0] * (1 - 1e-9)) or np.any(
        np.asarray(step) > feeds[-1] * (1 + 1e-9)
    ):
        raise ValueError(
            f"feed must lie between {feeds[0]:g} and {feeds[-1]:g} mm, where the table ends"
        )
    return number(np.interp(step, feeds, factors), "feed_factor")


def handbook_power(steel, removal_rate, feed, hardness=None, wear_factor=1.3):
    r"""Power at the tool's edge by the handbook's constants.

    .. math:: P = K_p\,C\,W\,Q

    Parameters
    ----------
    steel : str
    removal_rate : Quantity [length^3/time]
        From ``cutting.removal_rate``.
    feed : Quantity [length], per turn
    hardness : float, optional
        Brinell hardness; the steel's own without it.
    wear_factor : float
        W; 1.1 finishing, 1.3 usual roughing, 1.6 to 2 heavy roughing (from memory); 1 for a sharp tool.

    Returns
    -------
    Quantity [W]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is outside the tables.

    Notes
    -----
    Basis: handbook table, as :func:`power_constant` and :func:`feed_factor`.
    """
    rate = magnitude(removal_rate, "cm**3/s", "removal_rate", least=0)
    constant = power_constant(steel, hardness).value.m_as("W*s/cm**3")
    return Quantity(
        constant * feed_factor(feed) * number(wear_factor, "wear_factor", least=1) * rate, "W"
    )
