"""How well a film of air or coolant carries heat off, and what a part taken as one lump comes to.

A temperature difference here carries ``delta_degC``.
"""

import csv
import warnings
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from ..units import OutOfRangeWarning, Quantity, magnitude, number

GRAVITY = 9.81
STEFAN_BOLTZMANN = 5.670e-8
AIR_COLUMNS = ("temperature_degc", "conductivity_w_m_k", "viscosity_m2_s", "prandtl")


@dataclass(frozen=True)
class Cooling:
    """A film coefficient with its range and where it comes from."""

    film: Quantity
    low: Quantity
    high: Quantity
    source: str


@cache
def _rows(name):
    with (files("crankmath") / "data" / f"{name}.csv").open(encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


COOLANTS = tuple(row["cooling"] for row in _rows("film_coefficients"))


def coolant(name):
    """Film coefficient of a way of cooling.

    Parameters
    ----------
    name : one of ``cooling.COOLANTS``

    Returns
    -------
    Cooling

    Raises
    ------
    ValueError
        Unknown name.

    Notes
    -----
    Basis: rule of thumb, from memory; measure by letting a warm part cool and timing it.
    """
    for row in _rows("film_coefficients"):
        if row["cooling"] == name:
            return Cooling(
                *(
                    Quantity(float(row[key]), "W/(m**2*K)")
                    for key in ("film_w_m2_k", "low", "high")
                ),
                row["source"],
            )
    raise ValueError(f"name must be one of {', '.join(COOLANTS)}, not {name!r}")


def film_in_air(
    diameter, rise, speed=Quantity(0.0, "rpm"), surroundings=Quantity(20.0, "degC"), emissivity=0.3
):
    """Film coefficient of a horizontal round bar in air: rising air or turning, and radiation.

    Churchill and Chu: Nu = (0.60 + 0.387 Ra^(1/6) / (1 + (0.559/Pr)^(9/16))^(8/27))^2.
    Turning: Nu = 0.133 Re^(2/3) Pr^(1/3), Re = pi n d^2 / nu. The larger of the two.

    Parameters
    ----------
    diameter : Quantity, scalar [length]
    rise : Quantity, scalar [temperature difference]
    speed : Quantity, scalar [rpm]
    surroundings : Quantity, scalar [degC]
    emissivity : float
        0.1 bright, 0.3 turned, 0.8 oiled or scaled.

    Returns
    -------
    Quantity [W/(m**2*K)]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        No unit, the wrong kind, or not above zero.

    Warns
    -----
    OutOfRangeWarning
        Mean air temperature outside 30 to 70 degC, where the air's values are tabled, by more than 10.

    Notes
    -----
    Basis: fitted data. Churchill and Chu's formula and the values of air seen on a question page; the turning
    bar's formula and the emissivities from memory.
    """
    size = magnitude(diameter, "m", "diameter", above=0)
    warmer = magnitude(rise, "delta_degC", "rise", above=0)
    turning = magnitude(speed, "rpm", "speed", least=0) * np.pi / 30
    cold = magnitude(surroundings, "degC", "surroundings")
    mean = cold + warmer / 2
    table = np.array([[float(row[key]) for key in AIR_COLUMNS] for row in _rows("air")])
    if not table[0, 0] - 10 <= mean <= table[-1, 0] + 10:
        warnings.warn(
            f"the air's mean temperature, {mean:.0f} degC, is outside 20 to 80 degC, where its values are known",
            OutOfRangeWarning,
            stacklevel=2,
        )
    conductivity, viscosity, prandtl = (
        np.interp(mean, table[:, 0], column) for column in table.T[1:]
    )
    rayleigh = GRAVITY * warmer * size**3 / ((mean + 273.15) * viscosity**2) * prandtl
    rising = (
        0.60 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)
    ) ** 2
    stirred = 0.133 * (turning * size**2 / (2 * viscosity)) ** (2 / 3) * prandtl ** (1 / 3)
    hot, cool = mean + warmer / 2 + 273.15, mean - warmer / 2 + 273.15
    radiated = (
        number(emissivity, "emissivity", least=0, most=1)
        * STEFAN_BOLTZMANN
        * (hot**2 + cool**2)
        * (hot + cool)
    )
    return Quantity(float(max(rising, stirred) * conductivity / size + radiated), "W/(m**2*K)")


def lumped_rise(heat, time, mass, specific_heat, film=None, area=None):
    """Temperature rise of a part taken as one lump, heated steadily.

    rise = Q/(h A) (1 - exp(-h A t / (m c))); without a film Q t / (m c).

    Parameters
    ----------
    heat : Quantity [power]
        Into the part.
    time : Quantity, scalar or array [time]
    mass : Quantity [mass]
    specific_heat : Quantity [energy / mass / temperature]
    film : Quantity, optional [W/(m**2*K)]
    area : Quantity, optional [area]

    Returns
    -------
    Quantity [delta_degC]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity, or a film without its area.

    Notes
    -----
    Basis: derived; good where the part is even in temperature, Biot number h L / k below 0.1. A crank cut on
    one main is not even along its length: see ``warm``.
    """
    power = magnitude(heat, "W", "heat", least=0)
    seconds = np.asarray(magnitude(time, "s", "time", least=0))
    capacity = np.asarray(magnitude(mass, "kg", "mass", above=0)) * magnitude(
        specific_heat, "J/(kg*K)", "specific_heat", above=0
    )
    if (film is None) != (area is None):
        raise ValueError("film and area belong together: give both or neither")
    if film is None:
        return Quantity(power * seconds / capacity, "delta_degC")
    loss = np.asarray(magnitude(film, "W/(m**2*K)", "film", above=0)) * magnitude(
        area, "m**2", "area", above=0
    )
    return Quantity(-power / loss * np.expm1(-loss * seconds / capacity), "delta_degC")
