"""What the crank runs in: pressure and pv of bushings, rating life of rolling bearings."""

import csv
import warnings
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from ..units import OutOfRangeWarning, Quantity, as_text, magnitude

LIFE_EXPONENTS = {"ball": 3.0, "roller": 10.0 / 3.0}
HEAVIEST = 0.5  # of the dynamic load rating: above it the life law is not vouched for


@dataclass(frozen=True)
class BushingCheck:
    """Pressure, sliding speed and their product, and the limits of the material.

    A limit that nobody printed is None. ``safety`` is the least of limit over value.
    """

    pressure: Quantity
    speed: Quantity
    pressure_speed: Quantity
    pressure_limit: Quantity
    speed_limit: Quantity | None
    pressure_speed_limit: Quantity | None
    safety: float
    source: str

    def __str__(self):
        word = "within" if self.safety >= 1 else "NOT within"
        return (
            f"at most {as_text(self.pressure, 'MPa', 3)}, at {as_text(self.speed, 'm/s', 3)}, pv of the mean load {as_text(self.pressure_speed, 'MPa*m/s', 3)}: "
            f"{word} the limits ({self.source}). A first guess, no certificate: the maker's data take precedence."
        )


@dataclass(frozen=True)
class RatingLife:
    """Basic rating life: what nine of ten like bearings reach before flaking."""

    turns: Quantity
    hours: Quantity
    load: Quantity


def bearing_pressure(force, diameter, length):
    """Mean pressure on a bearing's projected area, p = F / (d L).

    Parameters
    ----------
    force : Quantity, scalar or array [force]
    diameter, length : Quantity [length]

    Returns
    -------
    Quantity [MPa]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        No unit, the wrong kind, or a size not above zero.

    Notes
    -----
    Basis: derived. Take the fillets off the length: they bear nothing.
    """
    area = np.asarray(magnitude(diameter, "mm", "diameter", above=0)) * magnitude(
        length, "mm", "length", above=0
    )
    return Quantity(magnitude(force, "N", "force", least=0) / area, "MPa")


def sliding_speed(diameter, speed):
    """Speed of the shaft's surface in its bushing, v = pi d n.

    Parameters
    ----------
    diameter : Quantity [length]
    speed : Quantity [rpm]
        Of the shaft against the bushing; a rod's swing adds to that of its pin.

    Returns
    -------
    Quantity [m/s]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        No unit, the wrong kind, or below zero.

    Notes
    -----
    Basis: derived.
    """
    turns = magnitude(speed, "rpm", "speed", least=0)
    return Quantity(
        np.pi * np.asarray(magnitude(diameter, "mm", "diameter", above=0)) * turns / 60000, "m/s"
    )


@cache
def _limits():
    with (files("crankmath") / "data" / "bushing_limits.csv").open(encoding="utf-8") as lines:
        return {row["material"]: row for row in csv.DictReader(lines)}


BUSHING_MATERIALS = tuple(_limits())


def check_bushing(force, diameter, length, speed, material, peak_force=None):
    """Pressure and pv of a bushing beside what its material is said to bear.

    Parameters
    ----------
    force : Quantity, scalar or array [force]
        Over a turn; its mean makes the heat, so it goes into pv.
    diameter, length : Quantity, scalars [length]
    speed : Quantity, scalar [rpm]
    material : one of ``bearings.BUSHING_MATERIALS``
    peak_force : Quantity, scalar [force], optional
        For the pressure; the largest of ``force`` without it.

    Returns
    -------
    BushingCheck

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity or an unknown material.

    Notes
    -----
    Basis: handbook table, ``data/bushing_limits.csv``, each row with its source. Limits differ
    between makers by a factor of two and hold for a straight, hard, well-oiled shaft.
    """
    row = _limits().get(material)
    if row is None:
        raise ValueError(
            f"material {material!r} is not known; write one of {', '.join(BUSHING_MATERIALS)}"
        )
    load = magnitude(force, "N", "force", least=0)
    peak = np.max(load) if peak_force is None else magnitude(peak_force, "N", "peak_force", least=0)
    pressure = bearing_pressure(Quantity(float(peak), "N"), diameter, length)
    sliding = sliding_speed(diameter, speed)
    product = (
        bearing_pressure(Quantity(float(np.mean(load)), "N"), diameter, length) * sliding
    ).to("MPa*m/s")
    limits = [
        Quantity(float(row[key]), unit) if row[key] else None
        for key, unit in (
            ("pressure_mpa", "MPa"),
            ("speed_m_s", "m/s"),
            ("pressure_speed_mpa_m_s", "MPa*m/s"),
        )
    ]
    shares = [
        (value / limit).m_as("dimensionless")
        for value, limit in zip((pressure, sliding, product), limits, strict=True)
        if limit is not None
    ]
    safety = 1 / max(shares) if max(shares) > 0 else np.inf
    return BushingCheck(pressure, sliding, product, *limits, float(safety), row["source"])


def equivalent_load(force, kind="ball"):
    """Steady load that wears a rolling bearing as one does that varies over the turn.

    P = (mean of F^p)^(1/p), p = 3 for balls, 10/3 for rollers.

    Parameters
    ----------
    force : Quantity, array [force]
        At even steps of the turn.
    kind : "ball" or "roller"

    Returns
    -------
    Quantity [N]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity or an unknown kind.

    Notes
    -----
    Basis: standard; the life law of ISO 281 summed over the turn (linear damage), purely radial load.
    """
    power = _exponent(kind)
    return Quantity(
        float(np.mean(np.asarray(magnitude(force, "N", "force", least=0)) ** power) ** (1 / power)),
        "N",
    )


def _exponent(kind):
    if kind not in LIFE_EXPONENTS:
        raise ValueError(f"kind must be ball or roller, not {kind!r}")
    return LIFE_EXPONENTS[kind]


def rating_life(dynamic_rating, load, speed, kind="ball"):
    """Basic rating life of a rolling bearing, L10 = (C/P)^p million turns.

    Parameters
    ----------
    dynamic_rating : Quantity [force]
        C, from the maker's table.
    load : Quantity [force]
        P, the equivalent load; for a purely radial load on a deep-groove bearing the load itself.
    speed : Quantity [rpm]
    kind : "ball" or "roller"

    Returns
    -------
    RatingLife

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity or an unknown kind.

    Warns
    -----
    OutOfRangeWarning
        The load passes half the rating.

    Notes
    -----
    Basis: standard. Source: ISO 281, basic rating life at 90 % reliability, as bearing makers print it;
    the limit P <= C/2 is from memory. Nothing here about dirt, oil, a bent seat or a load that reverses.
    """
    power = _exponent(kind)
    rating = np.asarray(magnitude(dynamic_rating, "N", "dynamic_rating", above=0))
    carried = np.asarray(magnitude(load, "N", "load", above=0))
    if np.any(carried > HEAVIEST * rating * (1 + 1e-9)):
        warnings.warn(
            "load passes half the dynamic rating: the life law is not made for that, take a larger bearing",
            OutOfRangeWarning,
            stacklevel=2,
        )
    turns = 1e6 * (rating / carried) ** power
    hours = turns / (60 * np.asarray(magnitude(speed, "rpm", "speed", above=0)))
    return RatingLife(
        Quantity(turns[()], "turn"), Quantity(hours[()], "hour"), Quantity(carried[()], "N")
    )
