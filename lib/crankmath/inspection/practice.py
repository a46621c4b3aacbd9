"""Practice readings of the night school's cranks: a stated part and a stated scatter, drawn, always
the same numbers.

``data/practice_dials.csv`` and ``data/practice_heights.csv`` say what is true of each part.
"""

from functools import cache

import numpy as np

from ..tables import rows
from ..units import Quantity, magnitude, number
from .vee_blocks import vee_factor


@cache
def _rows(table):
    return {row["name"]: row for row in rows(f"practice_{table}")}


def _row(table, name):
    if name not in _rows(table):
        raise ValueError(f"name must be one of: {'; '.join(_rows(table))}; not {name!r}")
    return _rows(table)[name]


@cache
def unit_scatter(count, seed):
    """Normal numbers of mean zero and deviation one, the same for the same ``seed`` on every
    machine.

    ``count`` is how many. Basis: derived; numpy's legacy generator, whose numbers are promised
    never to change.
    """
    size, start = (
        number(count, "count", least=1, most=1e6, one=True),
        number(seed, "seed", least=0, most=2**32 - 1, one=True),
    )
    drawn = np.random.RandomState(int(start)).standard_normal(int(size))
    drawn.flags.writeable = False
    return drawn


def dial(angle, eccentricity, direction, lobes=(), vee_angle=None):
    """What an indicator shows, without scatter, of a part off center and out of round.

    ``angle`` [angle] is the mark under the indicator, ``direction`` the high spot of the offset,
    ``eccentricity`` [length]. ``lobes`` are triples of number, amplitude (half of valley to top)
    and angle of a top. ``vee_angle`` is that of the vee block the part lies in, indicator on the
    bisector; by default it is on centers.
    Basis: derived; e cos(t - t0) + sum F h cos n(t - tn), F 1 on centers and the vee's factor in a
    vee, where the offset does not show. Range: offset and lobes small against the radius.
    """
    turn = magnitude(angle, "rad", "angle")
    offset = magnitude(eccentricity, "um", "eccentricity", least=0, one=True)
    toward = magnitude(direction, "rad", "direction", one=True)
    shown = (offset if vee_angle is None else 0.0) * np.cos(turn - toward)
    if not isinstance(lobes, list | tuple) or any(
        not isinstance(lobe, list | tuple) or len(lobe) != 3 for lobe in lobes
    ):
        raise TypeError(
            "lobes has to be a list of (number, amplitude, angle), for example "
            f"[(3, Quantity(1, 'um'), Quantity(0, 'deg'))], not {str(lobes)[:60]}"
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

    Basis: derived.
    """
    return tuple(_rows("dials"))


def held(name):
    """How a practice part was held: "centers", or the angle of its vee in degrees as a word.

    ``name`` is one of ``dial_names()``. Basis: derived.
    """
    return _row("dials", name)["held"]


def division(name):
    """Division of the dial under which a practice part was read [unit of the dial].

    ``name`` as ``dial_readings``. Basis: derived; read from ``data/practice_dials.csv``.
    """
    return Quantity(float(_row("dials", name)["division"]), _row("dials", name)["unit"])


def dial_readings(name):
    """Simulated indicator readings of one practice part, rounded to the dial's division.

    ``name`` is for example "pump, left main"; the error message lists all. Returns angle [deg] and
    reading [unit of the dial]. Basis: derived; ``dial`` with the part's scatter on every reading,
    and a slip where the table names one.
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
    """Eccentricity and its direction of a practice part; ``name`` as ``dial_readings``.

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

    ``name`` as ``dial_readings``. Basis: derived.
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

    ``name`` is for example "pump, over the pin, throw up"; the error message lists all.
    Basis: derived; truth and scatter stand in ``data/practice_heights.csv``.
    """
    row = _row("heights", name)
    division = float(row["division"])
    size = float(row["true"]) + float(row["scatter"]) * unit_scatter(
        int(row["readings"]), int(row["seed"])
    )
    return Quantity(np.round(size / division) * division, row["unit"])
