"""Limits and fits: ISO 286 from 1 to 120 mm, and what warmth does to a fit."""

import re
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

import numpy as np

from ..checks import takes
from ..tables import rows
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
    """A hole and a shaft: clearance of the loosest and the tightest pair; negative, it grips."""

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
        ends = [
            f"{as_text(abs(end), digits=3)} {'clearance' if end.magnitude >= 0 else 'interference'}"
            for end in (self.loosest, self.tightest)
        ]
        return f"{self.kind} fit: from {ends[0]} to {ends[1]}"


@cache
def _column(symbol):
    row = next(row for row in rows("iso286") if row["symbol"] == symbol)
    return tuple(float(row[f"to_{step}_mm"]) for step in STEPS)


def in_workshop_unit(micrometers, size):
    """A small length in the unit that goes with a size: thousandths of an inch for inches, else um.

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

    - ``size`` [mm]: Nominal, 1 to 120 mm; in inches the deviations are in thousandths of an inch.
    - ``code``: Small letter for a shaft, capital for a hole, then the grade: c d e f g h js j k m n
      p r s with 5 to 11, where the standard has them.

    Basis: standard. Table values of ISO 286-1 and -2 as reproduced in textbooks and catalogs, each
    row of ``data/iso286.csv`` with its origin; the formulas of the standard round to other values
    in places (16 i is 14.4 um for 6 to 10 mm, the table has 15). Holes by the general rule EI = -es
    and, for K to N up to grade 8 and P to S up to grade 7, the special rule
    ES = -ei + (ITn - ITn-1). Range: 1 to 120 mm, refused outside.
    """
    nominal = magnitude(size, "mm", "size", above=0, one=True)
    if not 1 <= nominal <= 120 * (1 + 1e-9):
        raise ValueError(
            f"size must be from 1 to 120 mm here, not {as_text(size)}; ISO 286-2 has larger ones"
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
    if not any(row["symbol"] == code for row in rows("iso286")):
        raise ValueError(
            f"code {code} does not exist; j has grades 5 to 7, J 6 to 8, js and JS all"
        )
    return _column(code)[step]


def largest_and_smallest(size, code):
    """Largest and smallest size that a class allows, in the unit of the nominal size.

    - ``size`` [mm], ``code``: As for ``limits``.

    Basis: standard, as ``limits``; in inches the millimeter table is converted, not rounded.
    """
    return tuple((size + deviation).to(size.units) for deviation in limits(size, code))


def fit(size, hole, shaft):
    """Clearance of a hole and a shaft of one nominal size.

    - ``size`` [mm]: As for ``limits``.
    - ``hole``, ``shaft``: Classes, for example "H7" and "g6".

    Basis: standard, as ``limits``.
    """
    if not str(hole).strip()[:1].isupper() or not str(shaft).strip()[:1].islower():
        raise ValueError(
            f"hole has a capital letter and shaft a small one, not {hole!r} and {shaft!r}"
        )
    return pair(limits(size, hole), limits(size, shaft))


@takes(hole=Limits, shaft=Limits)
def pair(hole, shaft):
    """Fit of two sets of limits of one nominal size.

    Basis: derived; loosest is the largest hole on the smallest shaft.
    """
    return Fit(hole, shaft, hole.upper - shaft.lower, hole.lower - shaft.upper)


@takes(
    cold=Fit,
    hole_expansion="1/delta_degC > 0",
    hole_rise="delta_degC",
    shaft_expansion="1/delta_degC > 0",
    shaft_rise="delta_degC",
)
def warmed(cold, size, hole_expansion, hole_rise, shaft_expansion, shaft_rise):
    """A fit when hole and shaft are warmer than where they were measured.

    Its clearance is d (a_h T_h - a_s T_s) more.

    - ``cold``: At 20 degC, as the limits have it.
    - ``size`` [mm]: Nominal.
    - ``hole_expansion``, ``shaft_expansion``: Of the part that has the hole, of the shaft.
    - ``hole_rise``, ``shaft_rise``: Above 20 degC; below zero where colder.

    Basis: derived. Each part evenly warm and free to grow: a bushing held in a housing of another
    metal grows with the housing.
    """
    nominal = magnitude(size, "mm", "size", above=0, one=True) * 1000
    growth = nominal * hole_expansion * hole_rise, nominal * shaft_expansion * shaft_rise
    return pair(
        *(
            Limits(*(end + in_workshop_unit(more, size) for end in part))
            for part, more in zip((cold.hole, cold.shaft), growth, strict=True)
        )
    )
