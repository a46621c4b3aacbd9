"""Passes from one diameter to another, and what they leave in the corner for the fillet tool."""

import warnings
from dataclasses import dataclass

import numpy as np

from ..units import OutOfRangeWarning, Quantity, magnitude, number

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
        """All passes."""
        return self.roughing.size + self.finishing.size


@dataclass(frozen=True)
class CornerStock:
    """Stock a roughing tool leaves for the fillet: on the walls, in the middle of the arc, and the section's area."""

    wall: Quantity
    middle: Quantity
    area: Quantity


def pass_plan(start_diameter, final_diameter, rough_depth, finish_allowance, finish_passes=1):
    """Passes from a diameter down to another: equal roughing passes, then finishing ones.

    Parameters
    ----------
    start_diameter, final_diameter : Quantity [length]
        For an eccentric start, twice the farthest point's distance from the turning axis.
    rough_depth : Quantity [length]
        Deepest roughing pass, on the radius.
    finish_allowance : Quantity [length]
        Left on the radius for finishing.
    finish_passes : int
        They share the allowance evenly.

    Returns
    -------
    PassPlan

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; a start not above the end.

    Notes
    -----
    Basis: derived. Two equal last passes are common practice, no source: the work then springs the same each time and
    the first shows how far off the last will be.
    """
    start, final, deepest, allowance = (
        magnitude(value, "mm", name, above=0, one=True)
        for name, value in (
            ("start_diameter", start_diameter),
            ("final_diameter", final_diameter),
            ("rough_depth", rough_depth),
            ("finish_allowance", finish_allowance),
        )
    )
    last = int(number(finish_passes, "finish_passes", least=1, one=True))
    if last != finish_passes:
        raise ValueError(f"finish_passes has to be a whole number, not {finish_passes!r}")
    if start <= final:
        raise ValueError(
            "start_diameter must be above final_diameter: there is nothing to turn off"
        )
    if (start - final) / 2 < allowance - 1e-9:
        warnings.warn(
            "finish_allowance is more than all the stock: it is turned off by finishing passes alone",
            OutOfRangeWarning,
            stacklevel=2,
        )
    return PassPlan(
        *(Quantity(value, "mm") for value in passes(start, final, deepest, allowance, last))
    )


def passes(start, final, deepest, allowance, last=1):
    """The same in plain mm: diameters after roughing and finishing passes, and the depths on the radius."""
    allowance = min(allowance, (start - final) / 2)
    stock = (start - final) / 2 - allowance
    count = int(np.ceil(stock / deepest - 1e-9))
    if count + last > MOST_PASSES:
        raise ValueError(
            f"rough_depth of {deepest:.3g} mm and finish_passes of {last} make more than {MOST_PASSES} passes; take fewer and deeper ones"
        )
    roughing = start - 2 * stock * np.arange(1, count + 1) / max(count, 1)
    finishing = final + 2 * allowance * (1 - np.arange(1, last + 1) / last)
    return roughing, finishing, stock / max(count, 1), allowance / last


def corner_stops(height, fillet, allowance):
    r"""How far from the web's finished face each roughing pass has to stop, so that the fillet keeps its stock.

    .. math:: x = r - \sqrt{(r - a)^2 - (r - y)^2}

    Parameters
    ----------
    height : Quantity [length], scalar or array
        Height y of the pass above the finished pin, on the radius; not below the allowance.
    fillet : Quantity [length]
        Fillet radius r.
    allowance : Quantity [length]
        Stock a, the same on pin, face and fillet; below the fillet radius.

    Returns
    -------
    Quantity [mm]
        Above the fillet the allowance itself.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived, for a tool with a sharp corner; a nose radius leaves more.
    """
    above, radius = (
        np.asarray(magnitude(height, "mm", "height", least=0)),
        magnitude(fillet, "mm", "fillet", above=0),
    )
    stock = magnitude(allowance, "mm", "allowance", least=0)
    if np.any(np.asarray(stock) >= radius):
        raise ValueError(
            "allowance must be below fillet: write a smaller allowance, or turn the corner square"
        )
    if np.any(above < stock - 1e-9):
        raise ValueError(
            "height must not be below allowance: that pass would cut into the finishing stock"
        )
    inside = np.clip(radius - above, 0, radius - stock)
    return Quantity(radius - np.sqrt((radius - stock) ** 2 - inside**2), "mm")


def corner_stock(fillet, nose_radius, allowance):
    r"""Stock that a roughing tool leaves in a corner it is fed right into, for the fillet tool.

    In the middle of the arc :math:`a\sqrt2 - (r - r_n)(\sqrt2 - 1)`.

    Parameters
    ----------
    fillet : Quantity [length]
        Finished radius r.
    nose_radius : Quantity [length]
        Of the roughing tool, r_n; zero for a sharp corner.
    allowance : Quantity [length]
        Left on pin and face, a.

    Returns
    -------
    CornerStock
        With too sharp a nose ``middle`` is below zero, the fillet is spoiled, and an ``OutOfRangeWarning`` is given.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived; the area counts the fillet's square corner, r + a wide.
    """
    final, nose = (
        magnitude(fillet, "mm", "fillet", above=0),
        magnitude(nose_radius, "mm", "nose_radius", least=0),
    )
    stock = magnitude(allowance, "mm", "allowance", least=0)
    middle = stock * np.sqrt(2) - (final - nose) * (np.sqrt(2) - 1)
    if np.any(np.asarray(middle) < 0):
        warnings.warn(
            "nose_radius is too small: the roughing tool cuts into the fillet; stop short (corner_stops), leave more, or round the nose",
            OutOfRangeWarning,
            stacklevel=2,
        )
    square = (final + stock) ** 2 - final**2
    return CornerStock(
        Quantity(stock, "mm"),
        Quantity(middle, "mm"),
        Quantity(square + (1 - np.pi / 4) * (nose**2 - final**2), "mm**2"),
    )
