"""How much alternating stress a steel bears for ever: criteria of mean stress, yielding, turns to failure.

Every result here is an estimate for learning, never a certificate: a part that
can hurt someone is judged under local codes and licensed practice.
"""

import numpy as np

from ..units import Quantity, magnitude, number
from .marin import (
    EDITIONS,
    FINISHES,
    SCATTER,
    EnduranceLimit,
    endurance_limit,
    size_factor,
    surface_factor,
)

__all__ = [
    "CRITERIA",
    "EDITIONS",
    "FINISHES",
    "SCATTER",
    "EnduranceLimit",
    "endurance_limit",
    "fatigue_safety",
    "safety_of_numbers",
    "shaft_diameter",
    "size_factor",
    "surface_factor",
    "von_mises",
    "yield_safety",
]
CRITERIA = ("goodman", "gerber", "elliptic", "soderberg")
YIELD_CRITERIA = ("elliptic", "soderberg")  # these set the mean stress against the yield strength


def von_mises(normal, shear):
    """Normal stress that does as much to a ductile steel: sqrt(sigma^2 + 3 tau^2).

    Parameters
    ----------
    normal, shear : Quantity, scalars or arrays that broadcast [stress]

    Returns
    -------
    Quantity [MPa]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        No unit, the wrong kind, or not finite.

    Notes
    -----
    Basis: derived; distortion energy.
    """
    return Quantity(
        np.hypot(
            magnitude(normal, "MPa", "normal"),
            np.sqrt(3) * np.asarray(magnitude(shear, "MPa", "shear")),
        ),
        "MPa",
    )


def fatigue_safety(
    alternating, mean, endurance_limit, ultimate_strength, yield_strength=None, criterion="goodman"
):
    """Safety factor against a fatigue crack in endless service, load growing in proportion.

    Goodman: 1/n = sa/Se + sm/Su. Gerber: n sa/Se + (n sm/Su)^2 = 1.
    Elliptic: (n sa/Se)^2 + (n sm/Sy)^2 = 1. Soderberg: 1/n = sa/Se + sm/Sy.
    A compressive mean stress is not counted as a help: n = Se/sa.

    Parameters
    ----------
    alternating, mean : Quantity, scalars or arrays that broadcast [stress]
        Half the range, and the middle, of the (von Mises) stress, notch factors in.
    endurance_limit, ultimate_strength : Quantity [stress]
    yield_strength : Quantity, optional [stress]
        Needed by "elliptic" and "soderberg".
    criterion : one of ``fatigue.CRITERIA``

    Returns
    -------
    float or ndarray [no unit]
        Infinite where there is no stress at all. An estimate, never a certificate.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity, an unknown criterion, or no yield strength where one is needed.

    Notes
    -----
    Basis: standard. Source: Shigley, 9th ed., eq. 6-45 to 6-48, p. 306 and p. 346. None of the four
    looks at yielding in the first turn: see ``yield_safety``.
    """
    half = np.asarray(magnitude(alternating, "MPa", "alternating", least=0))
    middle = np.maximum(magnitude(mean, "MPa", "mean"), 0.0)
    limit = np.asarray(magnitude(endurance_limit, "MPa", "endurance_limit", above=0))
    ultimate = np.asarray(magnitude(ultimate_strength, "MPa", "ultimate_strength", above=0))
    if criterion not in CRITERIA:
        raise ValueError(f"criterion must be one of {', '.join(CRITERIA)}, not {criterion!r}")
    if criterion in YIELD_CRITERIA and yield_strength is None:
        raise ValueError(f"yield_strength is missing: the {criterion} criterion needs it")
    yielding = (
        None
        if yield_strength is None
        else np.asarray(magnitude(yield_strength, "MPa", "yield_strength", above=0))
    )
    return safety_of_numbers(half, middle, limit, ultimate, yielding, criterion)


def safety_of_numbers(half, middle, limit, ultimate, yielding, criterion):
    """``fatigue_safety`` on plain numbers of one unit, mean stress not below zero; for sums over many sections.

    Returns
    -------
    float or ndarray [no unit]

    Notes
    -----
    Basis: standard; as ``fatigue_safety``.
    """
    first, second = half / limit, middle / (yielding if criterion in YIELD_CRITERIA else ultimate)
    with np.errstate(divide="ignore", invalid="ignore"):
        if criterion == "gerber":
            # the root of (second n)^2 + first n - 1 = 0, written so that a small mean stress costs no digits
            safety = 2 / (first + np.sqrt(first**2 + 4 * second**2))
        elif criterion == "elliptic":
            safety = 1 / np.hypot(first, second)
        else:
            safety = 1 / (first + second)
    return float(safety) if np.ndim(safety) == 0 else safety


def yield_safety(alternating, mean, yield_strength):
    """Safety factor against yielding in the first turn, n = Sy / (sa + |sm|).

    Parameters
    ----------
    alternating, mean : Quantity, scalars or arrays that broadcast [stress]
    yield_strength : Quantity [stress]

    Returns
    -------
    float or ndarray [no unit]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity.

    Notes
    -----
    Basis: standard. Source: Shigley, 9th ed., eq. 6-49 (Langer), p. 306.
    """
    half = np.asarray(magnitude(alternating, "MPa", "alternating", least=0))
    middle = np.abs(magnitude(mean, "MPa", "mean"))
    with np.errstate(divide="ignore"):
        safety = np.asarray(magnitude(yield_strength, "MPa", "yield_strength", above=0)) / (
            half + middle
        )
    return float(safety) if safety.ndim == 0 else safety


def shaft_diameter(
    safety,
    bending_alternating,
    bending_mean,
    torque_alternating,
    torque_mean,
    bending_factor,
    torsion_factor,
    endurance_limit,
    ultimate_strength,
    yield_strength=None,
    criterion="goodman",
):
    """Least diameter of a solid shaft under bending and torsion.

    With A = sqrt(4 (Kf Ma)^2 + 3 (Kfs Ta)^2) and B the same of the mean values, the
    von Mises stresses are 16 A / (pi d^3) and 16 B / (pi d^3); the criterion gives d.

    Parameters
    ----------
    safety : float
    bending_alternating, bending_mean, torque_alternating, torque_mean : Quantity, scalars [torque]
    bending_factor, torsion_factor : float
        Kf and Kfs.
    endurance_limit, ultimate_strength, yield_strength, criterion
        As for ``fatigue_safety``.

    Returns
    -------
    Quantity [mm]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity, or a factor below 1.

    Notes
    -----
    Basis: standard. Source: Shigley, 9th ed., eq. 7-8 to 7-14. Check yielding afterwards.
    """
    wanted = number(safety, "safety", above=0)
    kf, kfs = (
        number(bending_factor, "bending_factor", least=1),
        number(torsion_factor, "torsion_factor", least=1),
    )
    loads = [
        magnitude(value, "N*mm", name, least=0)
        for name, value in (
            ("bending_alternating", bending_alternating),
            ("bending_mean", bending_mean),
            ("torque_alternating", torque_alternating),
            ("torque_mean", torque_mean),
        )
    ]
    stress = [
        Quantity(16 / np.pi * np.sqrt(4 * (kf * bending) ** 2 + 3 * (kfs * torque) ** 2), "MPa")
        for bending, torque in ((loads[0], loads[2]), (loads[1], loads[3]))
    ]
    # safety goes with the third power of the diameter, so one evaluation at 1 mm is enough
    unit = fatigue_safety(*stress, endurance_limit, ultimate_strength, yield_strength, criterion)
    return Quantity(np.cbrt(wanted / unit), "mm")
