"""Limits and fits: ISO 286 from 1 to 120 mm, ball bearings, bronze bushings, pressing and shrinking."""

import csv
import re
import warnings
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import NamedTuple

import numpy as np

from .units import OutOfRangeWarning, Quantity, as_text, magnitude, number

STEPS = (3, 6, 10, 18, 30, 40, 50, 65, 80, 100, 120)  # mm, up to and including
CLEARANCE_LETTERS, TIGHT_LETTERS = "cdefgh", "mnprs"
FINEST, COARSEST = 5, 11
STEEL_MODULUS, STEEL_POISSON = 206e3, 0.3  # MPa; handbook values, from memory
BEARING_HEAT = 120.0  # degC; common practice: hotter, the ring's hardness and its seals suffer
RING_SHARE = 0.8  # of an interference, by which the raceway widens: common practice 0.7 to 0.9, no source


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


@dataclass(frozen=True)
class PressFit:
    """Pressure in the joint, greatest hoop stress in the hub's bore, force to press on, torque it carries."""

    pressure: Quantity
    hub_stress: Quantity
    force: Quantity
    torque: Quantity


@cache
def _rows(name):
    with (files("crankmath") / "data" / name).open(encoding="utf-8") as lines:
        return tuple(csv.DictReader(lines))


@cache
def _column(symbol):
    row = next(row for row in _rows("iso286.csv") if row["symbol"] == symbol)
    return tuple(float(row[f"to_{step}_mm"]) for step in STEPS)


def _inch(size):
    """Whether a person works in inches, by the unit of the size."""
    return size.units in (Quantity(1, "inch").units, Quantity(1, "thousandth").units, Quantity(1, "foot").units)


def _worked(value_um, size):
    return Quantity(value_um, "um").to("thousandth") if _inch(size) else Quantity(value_um, "um")


def limits(size, code):
    """Upper and lower deviation of a tolerance class, for example k6 of a shaft or H7 of a hole.

    Parameters
    ----------
    size : Quantity, scalar [length]
        Nominal size, over 1 and up to 120 mm. A size in inches gives deviations in thousandths of an inch.
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
    nominal = number(magnitude(size, "mm", "size", above=0), "size")
    if not np.isscalar(nominal):
        raise ValueError("size takes one nominal size")
    if not 1 <= nominal <= 120 * (1 + 1e-9):
        raise ValueError(f"size must be from 1 to 120 mm here, not {as_text(size)}; larger sizes stand in ISO 286-2")
    step = int(np.searchsorted(np.array(STEPS) * (1 + 1e-9), nominal))
    match = re.fullmatch(r"\s*(js|JS|[c-hjkmnprsC-HJKMNPRS])\s*(\d{1,2})\s*", str(code))
    if not match or not FINEST <= int(match[2]) <= COARSEST:
        raise ValueError(f"code {code!r} is not a class known here; write for example \"k6\" or \"H7\" "
                         f"(letters c d e f g h js j k m n p r s, grades {FINEST} to {COARSEST})")  # fmt: skip
    letter, grade = match[1], int(match[2])
    upper, lower = (_shaft if letter.islower() else _hole)(letter, grade, step)
    return Limits(_worked(upper, size), _worked(lower, size))


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
    if not any(row["symbol"] == code for row in _rows("iso286.csv")):
        raise ValueError(f"code {code} does not exist; j has grades 5 to 7, J 6 to 8, js and JS all")
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
        raise ValueError(f"hole has a capital letter and shaft a small one, not {hole!r} and {shaft!r}")
    return _pair(limits(size, hole), limits(size, shaft))


def _pair(hole, shaft):
    return Fit(hole, shaft, hole.upper - shaft.lower, hole.lower - shaft.upper)


def _banded(table, millimeters, name):
    """Row of a bearing table for a size, as (low, high) in um."""
    found = [row for row in _rows("bearing_tolerances.csv") if row["table"] == table]
    for row in found:
        if float(row["over_mm"]) < millimeters <= float(row["up_to_mm"]) * (1 + 1e-9):
            return float(row["low_um"]), float(row["high_um"])
    raise ValueError(f"{name} must be over 0 and up to {found[-1]['up_to_mm']} mm here; see the maker's table")


def bearing_fit(size, code):
    """Fit of a ball bearing's ring on a shaft (small letter) or in a housing (capital letter).

    Parameters
    ----------
    size : Quantity, scalar [length]
        Bore of the bearing for a shaft, outside diameter for a housing.
    code : str
        Class of the seat: k6 turns with the load, H7 stands still, for example.

    Returns
    -------
    Fit
        Below zero is interference.

    Raises
    ------
    TypeError, pint.DimensionalityError
        The size has no unit, or one of another kind.
    ValueError
        The size or class is outside the tables.

    Notes
    -----
    Basis: standard. Rings of ISO 492 normal class (``data/bearing_tolerances.csv``): bore and outside always minus, so a
    shaft k6 that would be a transition fit in an H7 hole is tight in a bearing. Range: bearings of normal class.
    """
    seat = limits(size, code)
    inner = str(code).strip()[0].islower()
    low, high = _banded("bore" if inner else "outside", magnitude(size, "mm", "size"), "size")
    ring = Limits(_worked(high, size), _worked(low, size))
    return _pair(ring, seat) if inner else _pair(seat, ring)


def bearing_clearance(bore, interference, group="CN"):
    """Radial clearance left inside a ball bearing whose inner ring sits tight on its shaft.

    Parameters
    ----------
    bore : Quantity, scalar [length]
    interference : Quantity, scalar [length]
        Of ring and shaft, on the diameter; a clearance fit is zero.
    group : "C2", "CN" or "C3"

    Returns
    -------
    tuple of Quantity (least, greatest) [um]
        Below zero the balls are squeezed: take a looser fit or C3.

    Raises
    ------
    TypeError, pint.DimensionalityError
        A length has no unit, or one of another kind.
    ValueError
        The bore is outside the table or the group is not known.

    Notes
    -----
    Basis: standard (ISO 5753-1 clearances, reproductions seen) with a rule of thumb: the ring widens by 0.8 of the
    interference (common practice 0.7 to 0.9, no source). Warming of the inner ring takes more.
    """
    if group not in ("C2", "CN", "C3"):
        raise ValueError(f"group must be C2, CN or C3, not {group!r}")
    low, high = _banded(group, magnitude(bore, "mm", "bore", above=0), "bore")
    lost = RING_SHARE * magnitude(interference, "um", "interference", least=0)
    return Quantity(low - lost, "um"), Quantity(high - lost, "um")


def running_clearance(diameter, duty="turning"):
    """Clearance on the diameter of an oiled bronze bushing or split bearing, as shops choose it.

    Parameters
    ----------
    diameter : Quantity, scalar or array [length]
    duty : "turning", "rocking", "crank pin" or "hot or dirty"

    Returns
    -------
    tuple of Quantity (least, greatest) [um, or thousandth of an inch]

    Raises
    ------
    TypeError, pint.DimensionalityError
        The diameter has no unit, or one of another kind.
    ValueError
        The diameter is zero or less, or the duty is not known.

    Notes
    -----
    Basis: rule of thumb. Common practice: about a thousandth of the diameter, more for heat; each row of
    ``data/running_clearances.csv`` says where it comes from. A maker's sheet for the very bushing goes before it.
    """
    rows = {row["duty"]: row for row in _rows("running_clearances.csv")}
    if duty not in rows:
        raise ValueError(f"duty must be one of {', '.join(rows)}, not {duty!r}")
    row, size = rows[duty], magnitude(diameter, "mm", "diameter", above=0)
    floor = float(row["least_mm"])
    return tuple(_worked(np.maximum(size * float(row[key]), floor * times)[()] * 1000, diameter)
                 for key, times in (("low_share", 1), ("high_share", 2)))  # fmt: skip


def bushing_bore(bore, interference, closing=(0.7, 1.0)):
    """Bore of a bronze bushing after it is pressed into its housing.

    Parameters
    ----------
    bore : Quantity, scalar [length]
        Before pressing.
    interference : Quantity, scalar [length]
        Of bushing and housing, on the diameter.
    closing : tuple of float
        Least and greatest part of the interference by which the bore closes.

    Returns
    -------
    tuple of Quantity (largest, smallest) [unit of bore]

    Raises
    ------
    TypeError, pint.DimensionalityError
        A length has no unit, or one of another kind.
    ValueError
        A length is impossible.

    Notes
    -----
    Basis: rule of thumb. Common practice, no source: a thin bushing in a stout housing closes by nearly the whole
    interference. Ream after pressing, or measure one first.
    """
    size = magnitude(bore, "mm", "bore", above=0)
    tight = magnitude(interference, "mm", "interference", least=0)
    low, high = number(closing, "closing", least=0, most=1)
    return tuple(Quantity(size - share * tight, "mm").to(bore.units) for share in (low, high))


def press_fit(
    diameter, hub_diameter, length, interference, friction=0.12, shaft_bore=None,
    shaft_modulus=None, hub_modulus=None, shaft_poisson=STEEL_POISSON, hub_poisson=STEEL_POISSON,
):  # fmt: skip
    r"""Pressure of a shaft pressed into a hub, the hub's stress, the force, the torque.

    .. math:: p = \frac{\delta / d}{\frac{1}{E_h}\left(\frac{D^2 + d^2}{D^2 - d^2} + \nu_h\right)
              + \frac{1}{E_s}\left(\frac{d^2 + b^2}{d^2 - b^2} - \nu_s\right)}, \qquad F = \mu\, p\, \pi d L

    Parameters
    ----------
    diameter, hub_diameter, length : Quantity [length]
        Of the joint, outside of the hub, along the joint.
    interference : Quantity [length]
        On the diameter.
    friction : float
        0.12 for oiled steel is common practice, no source; it varies from 0.06 to 0.2.
    shaft_bore : Quantity, optional [length]
    shaft_modulus, hub_modulus : Quantity, optional [stress]
        Steel without them.
    shaft_poisson, hub_poisson : float

    Returns
    -------
    PressFit

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        The hub is not larger than the joint, or a size is impossible.

    Notes
    -----
    Basis: derived. Lame's thick rings, elastic, surfaces smooth; roughness takes some of the interference. Compare the
    hub's stress with its yield strength. A press holds stored force: guard it and stand aside.
    """
    joint, hub = magnitude(diameter, "mm", "diameter", above=0), magnitude(hub_diameter, "mm", "hub_diameter", above=0)
    long, tight = magnitude(length, "mm", "length", above=0), magnitude(interference, "mm", "interference", least=0)
    bore = 0.0 if shaft_bore is None else magnitude(shaft_bore, "mm", "shaft_bore", least=0)
    if np.any(hub <= joint):
        raise ValueError("hub_diameter must be larger than diameter")
    if np.any(bore >= joint):
        raise ValueError("shaft_bore must be smaller than diameter")
    shaft_e, hub_e = (STEEL_MODULUS if value is None else magnitude(value, "MPa", name, above=0)
                      for value, name in ((shaft_modulus, "shaft_modulus"), (hub_modulus, "hub_modulus")))  # fmt: skip
    rubbing = number(friction, "friction", above=0, most=1)
    ring = (hub**2 + joint**2) / (hub**2 - joint**2)
    core = (joint**2 + bore**2) / (joint**2 - bore**2)
    pressure = tight / joint / ((ring + number(hub_poisson, "hub_poisson", least=0, most=0.5)) / hub_e
                                + (core - number(shaft_poisson, "shaft_poisson", least=0, most=0.5)) / shaft_e)  # fmt: skip
    force = rubbing * pressure * np.pi * joint * long
    return PressFit(Quantity(pressure, "MPa"), Quantity(pressure * ring, "MPa"), Quantity(force, "N"), Quantity(force * joint / 2000, "N*m"))


def shrink_rise(diameter, interference, expansion, clearance=None, room=None, bearing=False):
    r"""Rise of temperature at which a hub or ring drops over its shaft.

    .. math:: \Delta T = (\delta + c) / (\alpha d)

    Parameters
    ----------
    diameter, interference : Quantity [length]
    expansion : Quantity [1/temperature]
        Of what is warmed.
    clearance : Quantity, optional [length]
        Wanted while joining; half a thousandth of the diameter without it (common practice, no source).
    room : Quantity, optional [temperature]
        20 degC without it; used for the warning only.
    bearing : bool
        A ball bearing is warmed: warned above 120 degC.

    Returns
    -------
    Quantity [delta_degC]

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        A size is impossible.

    Warns
    -----
    OutOfRangeWarning
        A bearing would be hotter than 120 degC.

    Notes
    -----
    Basis: derived; limit for bearings common practice, from memory. Hot parts burn: gloves, tongs, no flame on a bearing.
    """
    size, tight = magnitude(diameter, "mm", "diameter", above=0), magnitude(interference, "mm", "interference", least=0)
    room_for = size / 2000 if clearance is None else magnitude(clearance, "mm", "clearance", least=0)
    rise = (tight + room_for) / (size * magnitude(expansion, "1/delta_degC", "expansion", above=0))
    start = 20.0 if room is None else magnitude(room, "degC", "room")
    if bearing and np.any(start + rise > BEARING_HEAT):
        warnings.warn(f"shrink_rise: the bearing would be {np.max(start + rise):.0f} degC, above {BEARING_HEAT:.0f}; "
                      "take a looser fit or chill the shaft", OutOfRangeWarning, stacklevel=2)  # fmt: skip
    return Quantity(rise, "delta_degC")
