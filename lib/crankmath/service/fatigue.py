"""How much alternating stress a steel bears for ever: criteria of mean stress, yielding.

Every result here is an estimate for learning, never a certificate: a part that
can hurt someone is judged under local codes and licensed practice.
"""

import numpy as np

from ..checks import takes
from ..units import Quantity
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


@takes(normal="MPa", shear="MPa", gives="MPa")
def von_mises(normal, shear):
    """Normal stress that does as much to a ductile steel, sqrt(sigma^2 + 3 tau^2).

    Basis: derived; distortion energy.
    """
    return np.hypot(normal, np.sqrt(3) * np.asarray(shear))


@takes(
    alternating="MPa >= 0",
    mean="MPa",
    endurance_limit="MPa > 0",
    ultimate_strength="MPa > 0",
    yield_strength="MPa > 0",
    criterion=CRITERIA,
)
def fatigue_safety(
    alternating, mean, endurance_limit, ultimate_strength, yield_strength=None, criterion="goodman"
):
    """Safety factor against a fatigue crack in endless service, load growing in proportion.

    Goodman: 1/n = sa/Se + sm/Su. Gerber: n sa/Se + (n sm/Su)^2 = 1.
    Elliptic: (n sa/Se)^2 + (n sm/Sy)^2 = 1. Soderberg: 1/n = sa/Se + sm/Sy.
    A compressive mean stress is not counted as a help: n = Se/sa. Infinite without any stress.

    - ``alternating``, ``mean``: Half the range, and the middle, of the (von Mises) stress, notch
      factors in.
    - ``yield_strength``: Needed by "elliptic" and "soderberg".
    - ``criterion``: One of ``fatigue.CRITERIA``.

    Basis: standard. Source: Shigley, 9th ed., eq. 6-45 to 6-48, p. 306 and p. 346. None of the four
    looks at yielding in the first turn: see ``yield_safety``. An estimate, never a certificate.
    """
    if criterion in YIELD_CRITERIA and yield_strength is None:
        raise ValueError(f"yield_strength is missing: the {criterion} criterion needs it")
    half, limit, ultimate = map(np.asarray, (alternating, endurance_limit, ultimate_strength))
    return safety_of_numbers(
        half, np.maximum(mean, 0.0), limit, ultimate, yield_strength, criterion
    )


def safety_of_numbers(half, middle, limit, ultimate, yielding, criterion):
    """``fatigue_safety`` on plain numbers of one unit, mean stress not below zero.

    Basis: standard; as ``fatigue_safety``; for sums over many sections.
    """
    first, second = half / limit, middle / (yielding if criterion in YIELD_CRITERIA else ultimate)
    with np.errstate(divide="ignore", invalid="ignore"):
        if criterion == "gerber":
            # the root of (second n)^2 + first n - 1 = 0; so a small mean stress costs no digits
            safety = 2 / (first + np.sqrt(first**2 + 4 * second**2))
        elif criterion == "elliptic":
            safety = 1 / np.hypot(first, second)
        else:
            safety = 1 / (first + second)
    return float(safety) if np.ndim(safety) == 0 else safety


@takes(alternating="MPa >= 0", mean="MPa", yield_strength="MPa > 0")
def yield_safety(alternating, mean, yield_strength):
    """Safety factor against yielding in the first turn, n = Sy / (sa + |sm|).

    Basis: standard. Source: Shigley, 9th ed., eq. 6-49 (Langer), p. 306.
    """
    with np.errstate(divide="ignore"):
        safety = np.asarray(yield_strength) / (np.asarray(alternating) + np.abs(mean))
    return float(safety) if safety.ndim == 0 else safety


@takes(
    safety="number > 0",
    bending_alternating="N*mm >= 0",
    bending_mean="N*mm >= 0",
    torque_alternating="N*mm >= 0",
    torque_mean="N*mm >= 0",
    bending_factor="number >= 1",
    torsion_factor="number >= 1",
    gives="mm",
)
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

    - ``bending_factor``, ``torsion_factor``: Kf and Kfs.
    - ``endurance_limit``, ``ultimate_strength``, ``yield_strength`` [MPa], ``criterion``: As for
      ``fatigue_safety``.

    Basis: standard. Source: Shigley, 9th ed., eq. 7-8 to 7-14. Check yielding afterward.
    """
    loads = (bending_alternating, torque_alternating), (bending_mean, torque_mean)
    stress = [
        16 / np.pi * np.sqrt(4 * (bending_factor * bent) ** 2 + 3 * (torsion_factor * twisted) ** 2)
        for bent, twisted in loads
    ]
    # safety goes with the third power of the diameter, so one evaluation at 1 mm is enough
    unit = fatigue_safety(
        *(Quantity(one, "MPa") for one in stress),
        endurance_limit,
        ultimate_strength,
        yield_strength,
        criterion,
    )
    return np.cbrt(safety / unit)
