"""Passes from one diameter to another, and what they leave in the corner for the fillet tool."""

import warnings
from dataclasses import dataclass

import numpy as np

from ..checks import takes
from ..units import OutOfRangeWarning, Quantity, number

MOST_PASSES = 10_000  # more is a slip of the unit or of the finger


@dataclass(frozen=True)
class PassPlan:
    """Diameters after each pass, roughing then finishing, and the depths on the radius."""

    roughing: Quantity
    finishing: Quantity
    rough_depth: Quantity
    finish_depth: Quantity

    @property
    def passes(self):
        """Number of all passes."""
        return self.roughing.size + self.finishing.size


@dataclass(frozen=True)
class CornerStock:
    """Stock left for the fillet: on the walls, in the middle of the arc, and its section's area."""

    wall: Quantity
    middle: Quantity
    area: Quantity


@takes(
    start_diameter="mm > 0, one",
    final_diameter="mm > 0, one",
    rough_depth="mm > 0, one",
    finish_allowance="mm > 0, one",
)
def pass_plan(start_diameter, final_diameter, rough_depth, finish_allowance, finish_passes=1):
    """Passes from a diameter down to another: equal roughing passes, then finishing ones.

    For an eccentric start the diameter is twice the farthest point's distance from the turning
    axis. ``rough_depth`` is the deepest roughing pass and ``finish_allowance`` what is left, both
    on the radius; ``finish_passes``, a whole number, share the allowance evenly. An
    OutOfRangeWarning says where the allowance is more than all the stock.
    Basis: derived. Two equal last passes are common practice, no source: the work springs the same
    each time, and the first shows how far off the last will be.
    """
    last = int(number(finish_passes, "finish_passes", least=1, one=True))
    if last != finish_passes:
        raise ValueError(f"finish_passes has to be a whole number, not {finish_passes!r}")
    if start_diameter <= final_diameter:
        raise ValueError(
            "start_diameter must be above final_diameter: there is nothing to turn off"
        )
    if (start_diameter - final_diameter) / 2 < finish_allowance - 1e-9:
        warnings.warn(
            "finish_allowance is more than all the stock: finishing passes alone turn it off",
            OutOfRangeWarning,
            stacklevel=3,
        )
    found = pass_diameters(start_diameter, final_diameter, rough_depth, finish_allowance, last)
    return PassPlan(*(Quantity(value, "mm") for value in found))


def pass_diameters(start, final, deepest, allowance, last=1):
    """Diameters after roughing and finishing passes, and the depths on the radius: plain mm."""
    allowance = min(allowance, (start - final) / 2)
    stock = (start - final) / 2 - allowance
    count = int(np.ceil(stock / deepest - 1e-9))
    if count + last > MOST_PASSES:
        raise ValueError(
            f"rough_depth of {deepest:.3g} mm and finish_passes of {last} make more than "
            f"{MOST_PASSES} passes; take fewer and deeper ones"
        )
    roughing = start - 2 * stock * np.arange(1, count + 1) / max(count, 1)
    finishing = final + 2 * allowance * (1 - np.arange(1, last + 1) / last)
    return roughing, finishing, stock / max(count, 1), allowance / last


@takes(height="mm >= 0", fillet="mm > 0", allowance="mm >= 0", gives="mm")
def corner_stops(height, fillet, allowance):
    """Distance from the finished web at which a roughing pass stops: r - sqrt((r-a)² - (r-y)²).

    ``height`` is y of the pass above the finished pin, on the radius and not below the allowance;
    ``fillet`` the radius r; ``allowance`` the stock a, the same on pin, face and fillet, below the
    fillet radius. Above the fillet the allowance itself comes back.
    Basis: derived, for a tool with a sharp corner; a nose radius leaves more.
    """
    above = np.asarray(height)
    if np.any(np.asarray(allowance) >= fillet):
        raise ValueError(
            "allowance must be below fillet: write a smaller allowance, or turn the corner square"
        )
    if np.any(above < allowance - 1e-9):
        raise ValueError(
            "height must not be below allowance: that pass would cut into the finishing stock"
        )
    inside = np.clip(fillet - above, 0, fillet - allowance)
    return fillet - np.sqrt((fillet - allowance) ** 2 - inside**2)


@takes(fillet="mm > 0", nose_radius="mm >= 0", allowance="mm >= 0")
def corner_stock(fillet, nose_radius, allowance):
    """Stock that a roughing tool fed right into a corner leaves there for the fillet tool.

    In the middle of the arc a √2 - (r - rn)(√2 - 1), with the finished radius r, the roughing
    tool's nose rn (zero for a sharp corner) and the allowance a on pin and face. With too sharp a
    nose ``middle`` is below zero, the fillet is spoiled, and an OutOfRangeWarning is given.
    Basis: derived; the area counts the fillet's square corner, r + a wide.
    """
    middle = allowance * np.sqrt(2) - (fillet - nose_radius) * (np.sqrt(2) - 1)
    if np.any(np.asarray(middle) < 0):
        warnings.warn(
            "nose_radius is too small: the roughing tool cuts into the fillet; stop short "
            "(corner_stops), leave more, or round the nose",
            OutOfRangeWarning,
            stacklevel=3,
        )
    square = (fillet + allowance) ** 2 - fillet**2
    area = square + (1 - np.pi / 4) * (nose_radius**2 - fillet**2)
    return CornerStock(Quantity(allowance, "mm"), Quantity(middle, "mm"), Quantity(area, "mm**2"))
