"""The gap of a throw as the shop measures it, and the shims that fill it."""

import warnings
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from ..checks import takes
from ..units import OutOfRangeWarning, Quantity, magnitude, ureg

MILLIMETER = ureg.Unit("mm")
MOST_SHIMS = 16


@dataclass(frozen=True)
class FeltGap:
    """A gap between what goes in and what does not: its middle, and its uncertainty either way."""

    gap: Quantity
    uncertainty: Quantity


@takes(goes="mm > 0", stops="mm > 0")
def felt_gap(goes, stops):
    """Gap between the longest total length that goes in and the shortest that stops.

    Of a rod and shims, rods turned to length, or gauge blocks.
    Basis: derived. Measure with the crank free of thrust; feel and temperature add uncertainty.
    """
    if np.any(stops <= np.asarray(goes)):
        raise ValueError("stops must be longer than goes: are the two swapped?")
    return FeltGap(
        Quantity((goes + stops) / 2, MILLIMETER), Quantity((stops - goes) / 2, MILLIMETER)
    )


@dataclass(frozen=True)
class Pack:
    """Shims chosen for a gap: thicknesses, the pack's length, its misfit (negative: short)."""

    shims: Quantity
    length: Quantity
    misfit: Quantity


@takes(gap="mm > 0", base_length="mm > 0", shims="mm > 0")
def shim_pack(gap, base_length, shims, shortest=None, longest=None):
    """Shims that bring a base spacer nearest to a gap.

    ``shims`` are the thicknesses in the drawer, one entry for each; of packs equally near the one
    with the fewest is taken: each joint adds compliance. ``shortest`` and ``longest`` [length] are
    limits of misfit, as from ``spacers.misfit_limits``; warns outside them.
    Basis: derived; every combination of at most 16 shims is tried.
    """
    wanted, drawer = gap - base_length, np.atleast_1d(shims)
    if drawer.size > MOST_SHIMS:
        raise ValueError(
            f"shims takes at most {MOST_SHIMS} shims, not {drawer.size}; "
            "leave out those that cannot help"
        )
    choices = [
        list(choice)
        for count in range(drawer.size + 1)
        for choice in combinations(range(drawer.size), count)
    ]
    misfits = np.array([drawer[choice].sum() for choice in choices]) - wanted
    best = int(np.argmin(np.abs(misfits).round(9)))
    misfit, chosen = float(misfits[best]), drawer[choices[best]]
    for limit, name, sign in ((shortest, "shortest", -1), (longest, "longest", 1)):
        if limit is None or np.array_equal(getattr(limit, "magnitude", 0), sign * np.inf):
            continue  # infinite: any misfit will do
        if sign * misfit > sign * magnitude(limit, "mm", name, one=True):
            warnings.warn(
                f"the nearest pack misses by {misfit:.4g} mm, past the {name} misfit allowed: "
                "turn a new spacer",
                OutOfRangeWarning,
                stacklevel=3,
            )
    return Pack(
        Quantity(np.sort(chosen)[::-1], MILLIMETER),
        Quantity(float(base_length + chosen.sum()), MILLIMETER),
        Quantity(misfit, MILLIMETER),
    )
