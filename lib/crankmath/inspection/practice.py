"""Practice readings of the night school's cranks: a stated part and a stated scatter, drawn, always the same numbers.

``data/practice_dials.csv`` and ``data/practice_heights.csv`` say what is true of each part; nothing else goes in.
"""

import csv
from functools import cache
from importlib.resources import files

import numpy as np

from ..units import Quantity, magnitude, number
from .vee_blocks import vee_factor


@cache
def _rows(table):
    with (files("crankmath") / "data" / f"practice_{table}.csv").open(encoding="utf-8") as lines:
        return {row["name"]: row for row in csv.DictReader(lines)}


def _row(table, name):
    if name not in _rows(table):
        raise ValueError(f"name must be one of: {'; '.join(_rows(table))}; not {name!r}")
    return _rows(table)[name]


@cache
def unit_scatter(count, seed):
    """Normal numbers of mean zero and deviation one, the same for the same seed on every machine.

    Parameters
    ----------
    count, seed : int

    Returns
    -------
    ndarray [no unit]

    Raises
    ------
    ValueError
        A count below one, or a seed below zero.

    Notes
    -----
    Basis: derived; numpy's legacy generator, whose numbers are promised never to change.
    """
    size, start = (
        number(count, "count", least=1, most=1e6, one=True),
        number(seed, "seed", least=0, most=2**32 - 1, one=True),
    )
    drawn = np.random.RandomState(int(start)).standard_normal(int(size))
    drawn.flags.writeable = False
    return drawn


def dial(angle, eccentricity, direction, lobes=(), vee_angle=None):
    r"""What an indicator shows, without scatter, of a part off center and out of round.

    .. math:: y = e \cos(\theta - \theta_0) + \sum_n F_n h_n \cos n(\theta - \theta_n)

    Parameters
    ----------
    angle : Quantity, scalar or array [angle]
        Mark under the indicator.
    eccentricity : Quantity, scalar [length]
    direction : Quantity, scalar [angle]
        High spot of the offset.
    lobes : sequence of (number, amplitude, angle of a top)
        Amplitude is half of valley to top [length], angle [angle].
    vee_angle : Quantity, scalar, optional [angle]
        Full angle of the vee block the part lies in, indicator on the bisector; on centers without it.

    Returns
    -------
    Quantity [unit of the eccentricity]

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind; lobes is no list.
    ValueError
        Lobes that are not whole; otherwise as ``vee_blocks.vee_factor``.

    Notes
    -----
    Basis: derived. F is 1 on centers and the vee's factor in a vee, where the offset does not show. Range: offset and
    lobes small against the radius.
    """
    turn = magnitude(angle, "rad", "angle")
    offset = magnitude(eccentricity, "um", "eccentricity", least=0, one=True)
    toward = magnitude(direction, "rad", "direction", one=True)
    shown = (offset if vee_angle is None else 0.0) * np.cos(turn - toward)
    if not isinstance(lobes, list | tuple) or any(
        not isinstance(lobe, list | tuple) or len(lobe) != 3 for lobe in lobes
    ):
        raise TypeError(
            f"lobes has to be a list of (number, amplitude, angle), for example [(3, Quantity(1, 'um'), Quantity(0, 'deg'))], not {str(lobes)[:60]}"
        )
    for count, amplitude, top in lobes:
        factor = 1.0 if vee_angle is None else vee_factor(count, vee_angle, signed=True)
        waves = number(count, "lobes", least=1, one=True)
        if waves != int(waves):
            raise ValueError(
                f"lobes come in whole numbers, not {count}: a part closes on itself after a turn"
            )
        shown = shown + factor * magnitude(amplitude, "um", "lobes", least=0, one=True) * np.cos(
            waves * (turn - magnitude(top, "rad", "lobes", one=True))
        )
    return Quantity(shown, "um").to(eccentricity.units)


def dial_names():
    """Names of the practice parts with indicator readings.

    Returns
    -------
    tuple of str

    Notes
    -----
    Basis: derived.
    """
    return tuple(_rows("dials"))


def held(name):
    """How a practice part was held: "centers", or the angle of its vee in degrees as a word.

    Parameters
    ----------
    name : str
        One of ``dial_names()``.

    Returns
    -------
    str

    Raises
    ------
    ValueError
        No such part.

    Notes
    -----
    Basis: derived.
    """
    return _row("dials", name)["held"]


def division(name):
    """Division of the dial under which a practice part was read [unit of the dial].

    ``name`` as ``dial_readings``. Basis: derived; read from ``data/practice_dials.csv``.
    """
    return Quantity(float(_row("dials", name)["division"]), _row("dials", name)["unit"])


def dial_readings(name):
    """Simulated indicator readings of one practice part, rounded to the dial's division.

    Parameters
    ----------
    name : str
        For example "pump, left main"; the error message lists all.

    Returns
    -------
    tuple of Quantity (angle, reading) [deg, unit of the dial]

    Raises
    ------
    ValueError
        No such part.

    Notes
    -----
    Basis: derived; ``dial`` with the part's scatter on every reading, and a slip where the table names one.
    """
    row = _row("dials", name)
    steps, division, unit = int(row["steps"]), float(row["division"]), row["unit"]
    angle = Quantity(np.arange(steps) * 360.0 / steps, "deg")
    vee = None if row["held"] == "centers" else Quantity(float(row["held"]), "deg")
    size = dial(angle, *true_offset(name), _lobes(row), vee).m_as(unit) + float(
        row["scatter"]
    ) * unit_scatter(steps, int(row["seed"]))
    if row["slip"]:
        place, slip = row["slip"].split(":")
        size[int(place)] += float(slip)
    return angle, Quantity(np.round(size / division) * division, unit)


def true_offset(name):
    """Eccentricity and its direction that a practice part was made with.

    Parameters
    ----------
    name : str
        As ``dial_readings``.

    Returns
    -------
    tuple of Quantity (eccentricity, direction) [unit of the dial, deg]

    Raises
    ------
    ValueError
        No such part.

    Notes
    -----
    Basis: derived; read from ``data/practice_dials.csv``.
    """
    row = _row("dials", name)
    return Quantity(float(row["offset"]), row["unit"]), Quantity(float(row["direction"]), "deg")


def _lobes(row):
    parts = [lobe.split(":") for lobe in row["lobes"].split()]
    return [
        (int(count), Quantity(float(height), row["unit"]), Quantity(float(top), "deg"))
        for count, height, top in parts
    ]


def pasted(name):
    """Readings of a practice part as a person would paste them, one pair a line under a header.

    Parameters
    ----------
    name : str
        As ``dial_readings``.

    Returns
    -------
    str

    Raises
    ------
    ValueError
        No such part.

    Notes
    -----
    Basis: derived.
    """
    angle, reading = dial_readings(name)
    unit = "thou" if str(reading.units) == "thousandth" else f"{reading.units:~}"
    lines = [
        f"{mark:g}; {size:g}"
        for mark, size in zip(angle.magnitude, np.round(reading.magnitude, 9) + 0.0, strict=True)
    ]
    return "\n".join([f"angle (deg); reading ({unit})", *lines])


def heights(name):
    """Simulated repeated readings of a height, rounded to the gauge's division.

    Parameters
    ----------
    name : str
        For example "pump, over the pin, throw up"; the error message lists all.

    Returns
    -------
    Quantity, array [unit of the gauge]

    Raises
    ------
    ValueError
        No such height.

    Notes
    -----
    Basis: derived; truth and scatter stand in ``data/practice_heights.csv``.
    """
    row = _row("heights", name)
    division = float(row["division"])
    size = float(row["true"]) + float(row["scatter"]) * unit_scatter(
        int(row["readings"]), int(row["seed"])
    )
    return Quantity(np.round(size / division) * division, row["unit"])
