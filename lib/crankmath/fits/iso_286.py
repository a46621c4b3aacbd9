"""Limits and fits: ISO 286 from 1 to 120 mm, and what warmth does to a fit."""

import csv
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import NamedTuple

import numpy as np

from ..checks import made
from ..units import Quantity, as_text, magnitude

STEPS = (3, 6, 10, 18, 30, 40, 50, 65, 80, 100, 120)  # mm, up to and including
CLEARANCE_LETTERS, TIGHT_LETTERS = "cdefgh", "mnprs"
FINEST, COARSEST = 5, 11


class Limits(NamedTuple):
    """Upper and lower deviation from the nominal size."""

    upper: Quantity
    lower: Quantity


@dataclass(frozen=True)
class Fit:
    """A hole and a shaft together: clearance between loosest and tightest pair; below zero it is interference."""

    hole: Limits
    shaft: Limits
    loosest: Quantity
    tightest: Quantity

    @property
    def kind(self):
        """One of clearance, transition, interference."""
        if self.tightest.magnitude >= 0:
            return "clearance"
        return "interference" if self.loosest.magnitude <= 0 else "transition"

    def __str__(self):
        def told(value):
            word = "clearance" if value.magnitude >= 0 else "interference"
            return f"{as_text(abs(value), digits=3)} {word}"

        return f"{self.kind} fit: from {told(self.loosest)} to {told(self.tightest)}"


@cache
def rows_of(name):
    """Rows of a table in ``data``, one dict a row.

    Parameters
    ----------
    name : str
        File name, for example "iso286.csv".

    Returns
    -------
    tuple of dict

    Notes
    -----
    Basis: derived.
    """
    with (files("crankmath") / "data" / name).open(encoding="utf-8") as lines:
        return tuple(csv.DictReader(lines))


@cache
def _column(symbol):
    row = next(row for row in rows_of("iso286.csv") if row["symbol"] == symbol)
    return tuple(float(row[f"to_{step}_mm"]) for step in STEPS)


def in_workshop_unit(micrometers, size):
    """A small length in the unit that goes with a size: thousandths of an inch for inches, micrometers for the rest.

    Parameters
    ----------
    micrometers : float or array
    size : Quantity [length]

    Returns
    -------
    Quantity [um, or thousandth of an inch]

    Notes
    -----
    Basis: derived.
    """
    inches = size.units in (
        Quantity(1, "inch").units,
        Quantity(1, "thousandth").units,
        Quantity(1, "foot").units,
    )
    return Quantity(micrometers, "um").to("thousandth") if inches else Quantity(micrometers, "um")


def limits(size, code):
    """Upper and lower deviation of a tolerance class, for example k6 of a shaft or H7 of a hole.

    Parameters
    ----------
    size : Quantity, scalar [length]
        Nominal size, 1 to 120 mm. A size in inches gives deviations in thousandths of an inch.
    code : str
        Small letter for a shaft, capital for a hole, then the grade: c d e f g h js j k m n p r s with 5 to 11,
        where the standard has them.

    Returns
    -------
    Limits (upper, lower) [um, or thousandth of an inch]

    Raises
    ------
    TypeError, pint.DimensionalityError
        The size has no unit, or one of another kind.
    ValueError
        The size is outside 1 to 120 mm, or the class is not one of those here.

    Notes
    -----
    Basis: standard. Table values of ISO 286-1 and -2 as reproduced in textbooks and catalogs, each row of
    ``data/iso286.csv`` with its origin; the formulas of the standard round to other values in places (16 i is 14.4 um
    for 6 to 10 mm, the table has 15). Holes by the general rule EI = -es and, for K to N up to grade 8 and P to S up
    to grade 7, the special rule ES = -ei + (ITn - ITn-1). Range: 1 to 120 mm, refused outside.
    """
    nominal = magnitude(size, "mm", "size", above=0, one=True)
    if not 1 <= nominal <= 120 * (1 + 1e-9):
        raise ValueError(
            f"size must be from 1 to 120 mm here, not {as_text(size)}; larger sizes stand in ISO 286-2"
        )
    step = int(np.searchsorted(np.array(STEPS) * (1 + 1e-9), nominal))
    match = re.fullmatch(r"\s*(js|JS|[c-hjkmnprsC-HJKMNPRS])\s*(\d{1,2})\s*", str(code))
    if not match or not FINEST <= int(match[2]) <= COARSEST:
        raise ValueError(
            f'code {code!r} is not a class known here; write for example "k6" or "H7" '
            f"(letters c d e f g h js j k m n p r s, grades {FINEST} to {COARSEST})"
        )
    letter, grade = match[1], int(match[2])
    upper, lower = (_shaft if letter.islower() else _hole)(letter, grade, step)
    return Limits(in_workshop_unit(upper, size), in_workshop_unit(lower, size))


def _width(grade, step):
    return _column(f"IT{grade}")[step]


def _shaft(letter, grade, step):
    width = _width(grade, step)
    if letter in CLEARANCE_LETTERS:
        upper = 0.0 if letter == "h" else _column(letter)[step]
        return upper, upper - width
    if letter == "js":
        return width / 2, -width / 2
    if letter == "j":
        lower = _listed(f"j{grade}", step)
    elif letter == "k":
        lower = _column("k")[step] if grade <= 7 else 0.0
    else:
        lower = _column(letter)[step]
    return lower + width, lower


def _hole(letter, grade, step):
    width = _width(grade, step)
    if letter == "JS":
        return width / 2, -width / 2
    if letter == "J":
        upper = _listed(f"J{grade}", step)
        return upper, upper - width
    if letter.lower() in CLEARANCE_LETTERS:
        upper, lower = _shaft(letter.lower(), grade, step)
        return 0.0 - lower, 0.0 - upper
    small = STEPS[step] <= 3
    if letter == "K" and grade > 8 and not small:
        raise ValueError(f"code K{grade} does not exist above 3 mm; write K8 or finer")
    if letter == "N" and grade > 8 and not small:
        return 0.0, -width
    special = grade <= (8 if letter in "KMN" else 7) and not small
    shaft = 0.0 if letter == "K" and small else _column(letter.lower())[step]
    upper = -shaft + (width - _width_below(grade, step) if special else 0.0)
    return upper, upper - width


def _width_below(grade, step):
    # IT4, for holes of grade 5, is not a column of its own: ISO 286-1 Table 1, reproduction, seen
    return (3, 4, 4, 5, 6, 7, 7, 8, 8, 10, 10)[step] if grade == FINEST else _width(grade - 1, step)


def _listed(code, step):
    if not any(row["symbol"] == code for row in rows_of("iso286.csv")):
        raise ValueError(
            f"code {code} does not exist; j has grades 5 to 7, J 6 to 8, js and JS all"
        )
    return _column(code)[step]


def largest_and_smallest(size, code):
    """Largest and smallest size that a class allows.

    Parameters
    ----------
    size : Quantity, scalar [length]
    code : str

    Returns
    -------
    tuple of Quantity (largest, smallest) [unit of size]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As ``limits``.

    Notes
    -----
    Basis: standard, as ``limits``; in inches the millimeter table is converted, not rounded.
    """
    return tuple((size + deviation).to(size.units) for deviation in limits(size, code))


def fit(size, hole, shaft):
    """Clearance of a hole and a shaft of one nominal size.

    Parameters
    ----------
    size : Quantity, scalar [length]
    hole, shaft : str
        Classes, for example "H7" and "g6".

    Returns
    -------
    Fit

    Raises
    ------
    TypeError, pint.DimensionalityError
        The size has no unit, or one of another kind.
    ValueError
        As ``limits``, or hole and shaft are exchanged.

    Notes
    -----
    Basis: standard, as ``limits``.
    """
    if not str(hole).strip()[:1].isupper() or not str(shaft).strip()[:1].islower():
        raise ValueError(
            f"hole has a capital letter and shaft a small one, not {hole!r} and {shaft!r}"
        )
    return pair(limits(size, hole), limits(size, shaft))


def pair(hole, shaft):
    """Fit of two sets of limits of one nominal size.

    Parameters
    ----------
    hole, shaft : Limits

    Returns
    -------
    Fit [um]

    Raises
    ------
    TypeError
        Something else than Limits.

    Notes
    -----
    Basis: derived; loosest is the largest hole on the smallest shaft.
    """
    made(hole, Limits, "hole")
    made(shaft, Limits, "shaft")
    return Fit(hole, shaft, hole.upper - shaft.lower, hole.lower - shaft.upper)


def warmed(cold, size, hole_expansion, hole_rise, shaft_expansion, shaft_rise):
    r"""A fit when hole and shaft are warmer than where they were measured.

    .. math:: \Delta = d\, (\alpha_h \Delta T_h - \alpha_s \Delta T_s)

    Parameters
    ----------
    cold : Fit
        As the limits have it, at 20 degC.
    size : Quantity, scalar [length]
    hole_expansion, shaft_expansion : Quantity, scalar [1/temperature]
        Of the part that has the hole and of the shaft; ``steels.find(...).expansion`` for a steel.
    hole_rise, shaft_rise : Quantity, scalar [temperature difference]
        Above 20 degC; below zero where colder.

    Returns
    -------
    Fit

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        ``cold`` is no fit; a value has no unit, is of another kind or impossible.

    Notes
    -----
    Basis: derived. Each part evenly warm and free to grow: a bushing held in a housing of another metal grows with the housing.
    """
    made(cold, Fit, "cold")
    nominal = magnitude(size, "mm", "size", above=0, one=True)
    growth = [
        nominal
        * 1000
        * magnitude(expansion, "1/delta_degC", f"{name}_expansion", above=0)
        * magnitude(rise, "delta_degC", f"{name}_rise")
        for name, expansion, rise in (
            ("hole", hole_expansion, hole_rise),
            ("shaft", shaft_expansion, shaft_rise),
        )
    ]
    return pair(
        *(
            Limits(*(end + in_workshop_unit(more, size) for end in part))
            for part, more in zip((cold.hole, cold.shaft), growth, strict=True)
        )
    )
