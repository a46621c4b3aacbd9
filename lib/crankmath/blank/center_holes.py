"""Center holes by work diameter and thrust, their room on the end face, and throw plates where the bar has none."""

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from ..checks import made
from ..crank import Crank
from ..units import Quantity, as_text, magnitude
from .layout import CenterLayout

STANDARDS = ("ISO", "ASME")
LIVE_PRESSURE = Quantity(100.0, "MPa")  # center that turns with the work: assumed, no source
DEAD_PRESSURE = Quantity(
    20.0, "MPa"
)  # center that stands still, well greased, slow: assumed, no source


@dataclass(frozen=True)
class CenterHole:
    """A 60 degree center hole: pilot drill, mouth, least depth, pressure of the thrust on its cone, source."""

    name: str
    standard: str
    drill: Quantity
    mouth: Quantity
    least_depth: Quantity
    pressure: Quantity
    source: str


@dataclass(frozen=True)
class HoleRoom:
    """Metal left between a hole's mouth and the bar's edge, and between it and the next mouth; negative where they cut."""

    name: str
    to_edge: Quantity
    to_next: Quantity
    fits: bool


@dataclass(frozen=True)
class ThrowPlate:
    """Least sizes of a plate that carries the pin centers: round about the bore, or a lug for one throw."""

    diameter: Quantity
    lug_length: Quantity
    lug_width: Quantity
    thickness: Quantity


@cache
def _table(standard):
    if standard not in STANDARDS:
        raise ValueError(f"standard must be one of {', '.join(STANDARDS)}, not {standard!r}")
    with (files("crankmath") / "data" / "center_holes.csv").open(encoding="utf-8") as lines:
        return tuple(row for row in csv.DictReader(lines) if row["standard"] == standard)


def _hole(row, standard, force):
    """Hole of a row of the table, and the pressure of a thrust [N] on the ring between mouth and drill."""
    lengths = [Quantity(float(row[key]), row["unit"]) for key in ("drill", "mouth", "least_depth")]
    drill, mouth = (length.m_as("mm") for length in lengths[:2])
    return CenterHole(
        row["name"],
        standard,
        *lengths,
        Quantity(force / (np.pi / 4 * (mouth**2 - drill**2)), "MPa"),
        row["source"],
    )


def center_hole(
    work_diameter, thrust=Quantity(0.0, "N"), standard="ISO", allowed_pressure=LIVE_PRESSURE
):
    r"""Center hole for a work diameter, made larger where the thrust asks for it.

    .. math:: p = \frac{P}{\tfrac{\pi}{4}(D^2 - d^2)}

    Parameters
    ----------
    work_diameter : Quantity [length]
        Of the bar, or the smallest side of a square or flat one.
    thrust : Quantity [force]
        Of the tailstock.
    standard : str
        "ISO" (metric, type A) or "ASME" (inch, plain type).
    allowed_pressure : Quantity [stress]
        ``LIVE_PRESSURE`` or ``DEAD_PRESSURE``, or your own.

    Returns
    -------
    CenterHole

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind or below zero; unknown standard; work outside the table;
        a thrust that no hole of the table bears.

    Notes
    -----
    Basis: handbook table for the diameter (each row names its source; the ASME rows are from memory); pressure derived:
    on a cone its axial part acts on the ring between mouth and drill. Allowed pressures are assumed, no source.
    """
    work, force = (
        magnitude(work_diameter, "mm", "work_diameter", above=0, one=True),
        magnitude(thrust, "N", "thrust", least=0, one=True),
    )
    most = magnitude(allowed_pressure, "MPa", "allowed_pressure", above=0, one=True)
    rows = _table(standard)
    scale = 25.4 if standard == "ASME" else 1.0
    low, high = float(rows[0]["work_over"]) * scale, float(rows[-1]["work_to"]) * scale
    if not low < work <= high:
        raise ValueError(
            f"work_diameter must lie in the table of center holes, {low:g} to {high:g} mm, not {work:g} mm"
        )
    for row in rows:
        hole = _hole(row, standard, force)
        if work <= float(row["work_to"]) * scale * (1 + 1e-9) and hole.pressure.magnitude <= most:
            return hole
    raise ValueError(
        f"thrust of {as_text(thrust, 'N')} is more than any center hole of the table bears; write less thrust"
    )


def hole_room(layout, hole, least_wall=Quantity(1.0, "mm")):
    """Whether the center holes have room on the end face.

    Parameters
    ----------
    layout : layout.CenterLayout
    hole : CenterHole
    least_wall : Quantity [length]
        Metal wanted around a mouth: common practice, no source.

    Returns
    -------
    tuple of HoleRoom

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        The wall lacks its unit, is of the wrong kind or below zero.

    Notes
    -----
    Basis: derived. Two mouths that cut into each other (a throw shorter than mouth and wall) guide neither center.
    """
    wall, mouth = (
        magnitude(least_wall, "mm", "least_wall", least=0, one=True),
        made(hole, CenterHole, "hole").mouth.m_as("mm"),
    )
    places = np.array(
        [
            [point.from_middle_x.m_as("mm"), point.from_middle_y.m_as("mm")]
            for point in made(layout, CenterLayout, "layout").points
        ]
    )
    gaps = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1)) + np.diag(
        np.full(len(places), np.inf)
    )
    rooms = []
    for point, gap in zip(layout.points, gaps.min(axis=1) - mouth, strict=True):
        edge = point.clear.m_as("mm") - mouth / 2
        rooms.append(
            HoleRoom(
                point.name,
                Quantity(edge, "mm"),
                Quantity(float(gap), "mm"),
                bool(edge >= wall and gap >= wall),
            )
        )
    return tuple(rooms)


def hole_with_room(
    layout,
    thrust=Quantity(0.0, "N"),
    standard="ISO",
    allowed_pressure=LIVE_PRESSURE,
    least_wall=Quantity(1.0, "mm"),
):
    """The center hole for a bar, or the largest smaller one whose mouths leave metal between them and to the edge.

    Parameters
    ----------
    layout : layout.CenterLayout
    thrust : Quantity [force]
        Of the tailstock.
    standard : str
        "ISO" or "ASME".
    allowed_pressure : Quantity [stress]
    least_wall : Quantity [length]

    Returns
    -------
    CenterHole

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As :func:`center_hole` and :func:`hole_room`; no hole of the table has room and bears the thrust.

    Notes
    -----
    Basis: handbook table by :func:`center_hole`, room by :func:`hole_room`.
    """
    side = min(made(layout, CenterLayout, "layout").bar.width, layout.bar.height)
    first = center_hole(side, thrust, standard, allowed_pressure)
    smaller = [row for row in _table(standard) if float(row["drill"]) <= first.drill.magnitude]
    for row in reversed(smaller):
        hole = _hole(row, standard, magnitude(thrust, "N", "thrust", least=0))
        if hole.pressure <= allowed_pressure and all(
            room.fits for room in hole_room(layout, hole, least_wall)
        ):
            return hole
    raise ValueError(
        "layout has no room for center holes that bear the thrust: a center lies too near another or the edge; take throw plates or a larger bar"
    )


def throw_plate(crank, hole, bore, wall=Quantity(5.0, "mm")):
    r"""Least plate or lug that carries the pin centers on a turned end, where the bar itself is too small.

    .. math:: D = 2\max(r + \tfrac{m}{2} + w, \tfrac{B}{2} + w)

    Parameters
    ----------
    crank : crank.Crank
    hole : CenterHole
    bore : Quantity [length]
        Diameter of the turned end the plate sits on.
    wall : Quantity [length]
        Metal around bore and mouth: common practice, no source.

    Returns
    -------
    ThrowPlate

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind or not above zero; a bore that reaches into a center hole.

    Notes
    -----
    Basis: derived for the sizes; plates on the ends are old practice (Rose, Modern Machine-Shop Practice: throw pieces, their edges
    sighted for twist, broadened opposite the throw as a counterweight). Both plates have to be keyed or pinned: one that
    slips under the cut spoils the crank and may throw it out of the lathe.
    """
    inner, metal = (
        magnitude(bore, "mm", "bore", above=0, one=True),
        magnitude(wall, "mm", "wall", above=0, one=True),
    )
    mouth, radii = (
        made(hole, CenterHole, "hole").mouth.m_as("mm"),
        [throw.radius.m_as("mm") for throw in made(crank, Crank, "crank").throws],
    )
    if min(radii) - mouth / 2 < inner / 2:
        raise ValueError(
            "bore reaches into the mouth of a center hole; turn the end smaller or use a smaller center hole"
        )
    far = max(radii)
    sizes = (
        2 * max(far + mouth / 2 + metal, inner / 2 + metal),
        far + (inner + mouth) / 2 + 2 * metal,
        max(inner, mouth) + 2 * metal,
        hole.least_depth.m_as("mm") + metal,
    )
    return ThrowPlate(*(Quantity(size, "mm") for size in sizes))
