"""How well a film of air or coolant carries heat off, and the rise of a part taken as one lump.

A temperature difference here carries ``delta_degC``.
"""

import warnings
from dataclasses import dataclass

import numpy as np

from ..checks import takes
from ..tables import rows
from ..units import OutOfRangeWarning, Quantity

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


COOLANTS = tuple(row["cooling"] for row in rows("film_coefficients"))


def coolant(name):
    """Film coefficient of a way of cooling, one of ``cooling.COOLANTS``, by its name.

    Basis: rule of thumb, from memory; measure by letting a warm part cool and timing it.
    """
    for row in rows("film_coefficients"):
        if row["cooling"] == name:
            return Cooling(
                *(
                    Quantity(float(row[key]), "W/(m**2*K)")
                    for key in ("film_w_m2_k", "low", "high")
                ),
                row["source"],
            )
    raise ValueError(f"name must be one of {', '.join(COOLANTS)}, not {name!r}")


@takes(
    diameter="m > 0, one",
    rise="delta_degC > 0, one",
    speed="rpm >= 0, one",
    surroundings="degC, one",
    emissivity="number 0..1",
    gives="W/(m**2*K)",
)
def film_in_air(
    diameter, rise, speed=Quantity(0.0, "rpm"), surroundings=Quantity(20.0, "degC"), emissivity=0.3
):
    """Film coefficient of a horizontal round bar in air: rising air or turning, and radiation.

    Churchill and Chu: Nu = (0.60 + 0.387 Ra^(1/6) / (1 + (0.559/Pr)^(9/16))^(8/27))². Turning: Nu =
    0.133 Re^(2/3) Pr^(1/3), Re = π n d²/ν. The larger of the two. ``emissivity`` is 0.1 bright, 0.3
    turned, 0.8 oiled or scaled; ``surroundings`` the room.
    Basis: fitted data. Churchill and Chu's formula and the values of air seen on a question page;
    the turning bar's formula and the emissivities from memory. A mean air temperature outside 20 to
    80 degC gets an OutOfRangeWarning.
    """
    turning, cold = speed * np.pi / 30, surroundings
    mean = cold + rise / 2
    table = np.array([[float(row[key]) for key in AIR_COLUMNS] for row in rows("air")])
    if not table[0, 0] - 10 <= mean <= table[-1, 0] + 10:
        warnings.warn(
            f"the air's mean temperature, {mean:.0f} degC, is outside 20 to 80 degC, where its "
            "values are known",
            OutOfRangeWarning,
            stacklevel=2,
        )
    conductivity, viscosity, prandtl = (
        np.interp(mean, table[:, 0], column) for column in table.T[1:]
    )
    rayleigh = GRAVITY * rise * diameter**3 / ((mean + 273.15) * viscosity**2) * prandtl
    rising = (
        0.60 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)
    ) ** 2
    stirred = 0.133 * (turning * diameter**2 / (2 * viscosity)) ** (2 / 3) * prandtl ** (1 / 3)
    hot, cool = mean + rise / 2 + 273.15, mean - rise / 2 + 273.15
    radiated = emissivity * STEFAN_BOLTZMANN * (hot**2 + cool**2) * (hot + cool)
    return float(max(rising, stirred) * conductivity / diameter + radiated)


@takes(
    heat="W >= 0",
    time="s >= 0",
    mass="kg > 0",
    specific_heat="J/(kg*K) > 0",
    film="W/(m**2*K) > 0",
    area="m**2 > 0",
    gives="delta_degC",
)
def lumped_rise(heat, time, mass, specific_heat, film=None, area=None):
    """Temperature rise of a part as one lump, heated steadily: Q/(h A) (1 - exp(-h A t / (m c))).

    Without a film Q t / (m c); ``film`` and ``area`` of the surface go together.
    Basis: derived; good where the part is even in temperature, Biot number h L / k below 0.1. A
    crank cut on one main is not even along its length: see ``warm``.
    """
    capacity = np.asarray(mass) * specific_heat
    if (film is None) != (area is None):
        raise ValueError("film and area belong together: give both or neither")
    if film is None:
        return heat * np.asarray(time) / capacity
    loss = np.asarray(film) * area
    return -heat / loss * np.expm1(-loss * np.asarray(time) / capacity)
