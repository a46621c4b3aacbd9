"""Endurance limit of a steel part: that of a polished specimen times Marin's factors.

Every result is an estimate for learning, never a certificate.
"""

import csv
import warnings
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from statistics import NormalDist

import numpy as np

from ..units import OutOfRangeWarning, Quantity, magnitude, number

EDITIONS = ("10", "11")
LOAD_FACTORS = {"bending": 1.0, "tension": 0.85, "torsion": 0.59}
SPECIMEN_SHARE, SPECIMEN_CEILING = (
    0.5,
    1400.0,
)  # of the tensile strength; above this strength the limit stays 700 MPa
SCATTER = 0.08  # standard deviation of the endurance limit, as a share of it
# temperature in degrees Fahrenheit, coefficients from the constant on
TEMPERATURE = (0.975, 0.432e-3, -0.115e-5, 0.104e-8, -0.595e-12)
TEMPERATURE_RANGE = (70.0, 1000.0)
SIZES = (2.79, 51.0, 254.0)  # mm: least, where the power law changes, most


@dataclass(frozen=True)
class EnduranceLimit:
    """An endurance limit and the Marin factors it was made from."""

    limit: Quantity
    specimen: Quantity
    surface: float
    size: float
    load: float
    temperature: float
    reliability: float
    miscellaneous: float
    edition: str
    source: str


@cache
def _surfaces():
    with (files("crankmath") / "data" / "marin_surface.csv").open(encoding="utf-8") as lines:
        return {
            (row["edition"], row["finish"]): (
                float(row["factor_mpa"]),
                float(row["exponent"]),
                row["source"],
            )
            for row in csv.DictReader(lines)
        }


FINISHES = tuple(dict.fromkeys(finish for _, finish in _surfaces()))


def surface_factor(ultimate_strength, finish="machined", edition="11"):
    """Marin's surface factor, k_a = a Su^b.

    Parameters
    ----------
    ultimate_strength : Quantity, scalar or array [stress]
    finish : one of ``fatigue.FINISHES``
        Cold-drawn counts as machined. A fillet filed by hand is machined at best.
    edition : "10" or "11"
        The 11th edition changed a and b; the 10th's are those of the 8th and 9th.

    Returns
    -------
    float or ndarray [no unit]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        No unit, the wrong kind, not above zero, or an unknown finish or edition.

    Warns
    -----
    OutOfRangeWarning
        The factor comes out above 1: the fit is not made for such a soft steel.

    Notes
    -----
    Basis: fitted data. Source: Shigley, 9th ed., eq. 6-19 and Table 6-2 (p. 345); 11th ed.,
    Table 6-2, at second hand; each row of ``data/marin_surface.csv`` carries its mark.
    """
    strength = magnitude(ultimate_strength, "MPa", "ultimate_strength", above=0)
    factor, exponent, _ = _surface(finish, edition)
    result = factor * np.asarray(strength) ** exponent
    if np.any(result > 1):
        warnings.warn(
            f"ultimate_strength is too low for the {finish} fit: its surface factor comes out "
            "above 1",
            OutOfRangeWarning,
            stacklevel=2,
        )
    return float(result) if result.ndim == 0 else result


def _surface(finish, edition):
    row = _surfaces().get((str(edition), finish))
    if row is None:
        raise ValueError(
            f"finish {finish!r} in edition {edition!r} is not known; write one of "
            f"{', '.join(FINISHES)} "
            f"and edition {' or '.join(EDITIONS)}"
        )
    return row


def size_factor(diameter):
    """Marin's size factor in bending and torsion of a turning shaft, k_b = (d / 7.62 mm)^-0.107.

    From 51 mm on 1.51 (d / 1 mm)^-0.157. In tension it is 1.

    Parameters
    ----------
    diameter : Quantity, scalar or array [length]

    Returns
    -------
    float or ndarray [no unit]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        No unit, the wrong kind, or not above zero.

    Warns
    -----
    OutOfRangeWarning
        Outside 2.79 to 254 mm.

    Notes
    -----
    Basis: fitted data. Source: Shigley, 9th ed., eq. 6-20, p. 288.
    """
    size = np.asarray(magnitude(diameter, "mm", "diameter", above=0))
    if np.any(size < SIZES[0] * 0.999) or np.any(size > SIZES[2] * 1.001):
        warnings.warn(
            f"diameter {size.min():.3g} mm is outside the fit of the size factor, {SIZES[0]} to "
            f"{SIZES[2]:g} mm",
            OutOfRangeWarning,
            stacklevel=2,
        )
    result = np.where(size <= SIZES[1], (size / 7.62) ** -0.107, 1.51 * size**-0.157)
    return float(result) if result.ndim == 0 else result


def endurance_limit(
    ultimate_strength,
    diameter=None,
    load="bending",
    finish="machined",
    reliability=0.5,
    temperature=None,
    miscellaneous=1.0,
    edition="11",
):
    """Endurance limit of a part, S_e = k_a k_b k_c k_d k_e k_f 0.5 Su.

    Parameters
    ----------
    ultimate_strength : Quantity, scalar [stress]
    diameter : Quantity, scalar [length], optional
        Of the turning section; without it, and in tension, the size factor is 1.
    load : "bending", "tension" or "torsion"
        For bending and torsion together use "bending" and the von Mises stress.
    finish : one of ``fatigue.FINISHES``
    reliability : float
        Share of parts that reach the limit; one half is the mean.
    temperature : Quantity, scalar [degC], optional
        Of the running part; the factor is 1 without it.
    miscellaneous : float
        Anything else, for example 0.5 to 0.9 where a fit frets or the surface rusts.
    edition : "10" or "11"

    Returns
    -------
    EnduranceLimit

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity, an unknown word, or a share outside 0 to 1.

    Warns
    -----
    OutOfRangeWarning
        Strength above 1400 MPa (limit held at 700 MPa), size or temperature outside the fit.

    Notes
    -----
    Basis: fitted data; steel. Source: Shigley, 9th ed., eq. 6-8 and 6-18 to 6-29, pp. 287 to 293;
    k_e = 1 - 0.08 z, the endurance limit scattering by 8 %. The temperature factor is that of
    the 9th and 10th editions for either edition.
    """
    strength = magnitude(ultimate_strength, "MPa", "ultimate_strength", above=0, one=True)
    if diameter is not None:
        magnitude(diameter, "mm", "diameter", above=0, one=True)
    if load not in LOAD_FACTORS:
        raise ValueError(f"load must be one of {', '.join(LOAD_FACTORS)}, not {load!r}")
    share = number(reliability, "reliability", above=0)
    if share >= 1:
        raise ValueError(f"reliability must be below 1, not {share:g}; write for example 0.99")
    if strength > SPECIMEN_CEILING:
        warnings.warn(
            f"ultimate_strength {strength:.4g} MPa is above {SPECIMEN_CEILING:g} MPa: the "
            "specimen's limit is held at 700 MPa",
            OutOfRangeWarning,
            stacklevel=2,
        )
    specimen = SPECIMEN_SHARE * min(strength, SPECIMEN_CEILING)
    surface = surface_factor(ultimate_strength, finish, edition)
    size = 1.0 if diameter is None or load == "tension" else size_factor(diameter)
    factors = (
        surface,
        size,
        LOAD_FACTORS[load],
        _temperature_factor(temperature),
        1 - SCATTER * NormalDist().inv_cdf(share),
        number(miscellaneous, "miscellaneous", above=0),
    )
    return EnduranceLimit(
        Quantity(specimen * float(np.prod(factors)), "MPa"),
        Quantity(specimen, "MPa"),
        *factors,
        str(edition),
        _surface(finish, edition)[2],
    )


def _temperature_factor(temperature):
    if temperature is None:
        return 1.0
    hot = 32 + 1.8 * magnitude(temperature, "degC", "temperature")
    least, most = TEMPERATURE_RANGE
    if not least <= hot <= most:
        warnings.warn(
            f"temperature is outside {least:g} to {most:g} degrees Fahrenheit (21 to 538 degrees "
            "Celsius), the range of its factor",
            OutOfRangeWarning,
            stacklevel=3,
        )
    return float(np.polynomial.polynomial.polyval(hot, TEMPERATURE))
