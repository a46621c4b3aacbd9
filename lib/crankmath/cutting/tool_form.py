"""Hand-ground tools: their angles, and whether the blade clears the webs."""

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from ..blank.bar import pin_places, web_corners
from ..checks import counted, made, radians_within
from ..crank import Crank, steels
from ..units import Quantity, magnitude

ANGLES = ("side_relief", "end_relief", "side_rake", "back_rake")


@dataclass(frozen=True)
class AngleRange:
    """An angle to grind, from least to most, with its source and what other sources print."""

    low: Quantity
    high: Quantity
    source: str
    others: tuple


@dataclass(frozen=True)
class BladeFit:
    """Does the blade reach the pin and clear the webs; room is below zero where it fouls.

    ``reach_needed`` from the blade's edge back to whatever is wider than the gap; ``side_room`` the least room
    between blade and finished web on either side.
    """

    reach_needed: Quantity
    reach_room: Quantity
    side_room: Quantity
    most_skew: Quantity

    @property
    def clears(self):
        """Whether both rooms are above zero."""
        return bool(self.reach_room.magnitude > 0 and self.side_room.magnitude > 0)

    def __str__(self):
        reach, side = self.reach_room.m_as("mm"), self.side_room.m_as("mm")
        first = (
            f"reaches the pin with {reach:.1f} mm to spare"
            if reach > 0
            else f"is {-reach:.1f} mm too short"
        )
        second = (
            f"clears the webs by {side:.2f} mm a side"
            if side > 0
            else f"fouls a web by {-side:.2f} mm"
        )
        return f"The blade {first} and {second}."


@cache
def _angle_table():
    with (files("crankmath") / "data" / "tool_angles.csv").open(encoding="utf-8") as lines:
        return tuple(csv.DictReader(lines))


def tool_angles(steel, interrupted=False):
    """Angles of a hand-ground high-speed-steel tool for a steel.

    Parameters
    ----------
    steel : str
        A name of ``steels.NAMES``.
    interrupted : bool
        Add the relief asked for where the cut comes in blows.

    Returns
    -------
    dict of str to AngleRange
        ``side_relief``, ``end_relief``, ``side_rake``, ``back_rake``, each [deg].

    Raises
    ------
    ValueError
        Unknown steel.

    Notes
    -----
    Basis: handbook table (``data/tool_angles.csv``); angles as they stand to the work, not as ground into a tilted
    holder. Printed tables differ by a few degrees; for steel the tool cuts with any of them.
    """
    record = steels.find(steel)
    table = _angle_table()
    extra = (
        next(float(row["low"]) for row in table if row["angle"] == "side_relief_for_blows")
        if interrupted
        else 0.0
    )
    found = {}
    for name in ANGLES:
        rows = [
            row
            for row in table
            if row["angle"] == name and row["speed_group"] == record.speed_group
        ]
        more = extra if name == "side_relief" else 0.0
        others = tuple(f"{row['low']} to {row['high']} deg: {row['source']}" for row in rows[1:])
        found[name] = AngleRange(
            *(Quantity(float(rows[0][end]) + more, "deg") for end in ("low", "high")),
            rows[0]["source"],
            others,
        )
    return found


def rake_across_edge(back_rake, side_rake, approach_angle=None):
    r"""Rake in the plane across the cutting edge, which is the one force formulas mean.

    .. math:: \tan\gamma = \tan\gamma_s \sin\kappa + \tan\gamma_b \cos\kappa

    Parameters
    ----------
    back_rake, side_rake : Quantity [angle]
    approach_angle : Quantity [angle], optional
        kappa between edge and feed along the axis, 0 to 90 deg; 90 deg (a square shoulder) without it; 0 deg for a
        plunged form tool.

    Returns
    -------
    Quantity [deg]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived (geometry of a plane face).
    """
    back, side = (
        radians_within(back_rake, "back_rake", -60, 60),
        radians_within(side_rake, "side_rake", -60, 60),
    )
    approach = (
        np.pi / 2
        if approach_angle is None
        else radians_within(approach_angle, "approach_angle", -1e-9, 90 + 1e-9)
    )
    return Quantity(
        np.degrees(np.arctan(np.tan(side) * np.sin(approach) + np.tan(back) * np.cos(approach))),
        "deg",
    )


def height_effect(height, diameter):
    r"""Angle by which rake grows and end relief shrinks when the edge stands above the axis.

    .. math:: \Delta = \arcsin\frac{2h}{d}

    Parameters
    ----------
    height : Quantity [length]
        Of the edge above the axis of rotation; below zero for an edge set low.
    diameter : Quantity [length]
        Being turned.

    Returns
    -------
    Quantity [deg]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; an edge above the work.

    Notes
    -----
    Basis: derived. The same slip of height matters twice as much on half the diameter.
    """
    offset, across = (
        np.asarray(magnitude(height, "mm", "height")),
        magnitude(diameter, "mm", "diameter", above=0),
    )
    if np.any(np.abs(offset) >= np.asarray(across) / 2):
        raise ValueError("height must be below half of diameter: the edge would miss the work")
    return Quantity(np.degrees(np.arcsin(2 * offset / across)), "deg")


def working_side_relief(side_relief, feed, radius):
    r"""Side relief left under way: the surface just cut leans toward the flank by the feed's slope.

    .. math:: \alpha_w = \alpha - \arctan\frac{f}{2\pi r}

    Parameters
    ----------
    side_relief : Quantity [angle]
        As ground.
    feed : Quantity [length], per turn
        Toward the side that cuts.
    radius : Quantity [length], scalar or array
        From the axis of rotation, for example the web's swing radius; smallest relief is at the smallest radius.

    Returns
    -------
    Quantity [deg]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived. Below zero the heel rubs and the tool cannot be fed at this rate.
    """
    ground = radians_within(side_relief, "side_relief", -1e-9, 60)
    slope = magnitude(feed, "mm", "feed", above=0) / (
        2 * np.pi * np.asarray(magnitude(radius, "mm", "radius", above=0))
    )
    return Quantity(np.degrees(ground - np.arctan(slope)), "deg")


def flank_gap(side_relief, depth_below, feed, radius):
    r"""Gap between a side-cutting tool's flank and the web's face, some way below the edge.

    .. math:: g = y\,\tan\alpha - \frac{f}{2\pi}\arcsin\frac{y}{r}

    Parameters
    ----------
    side_relief : Quantity [angle]
        As ground.
    depth_below : Quantity [length], scalar or array
        Height y below the edge, up to the tool's foot.
    feed : Quantity [length], per turn
        Toward the web.
    radius : Quantity [length], scalar or array; broadcasts
        Of the point of the web that passes, up to its swing radius; not below y.

    Returns
    -------
    Quantity [um]
        Below zero the heel strikes the web.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived: the face is a screw of pitch f; the point at y passed the edge arcsin(y/r) of a turn ago.
    """
    ground = radians_within(side_relief, "side_relief", -1e-9, 60)
    below, away = (
        np.asarray(magnitude(depth_below, "mm", "depth_below", least=0)),
        np.asarray(magnitude(radius, "mm", "radius", above=0)),
    )
    if np.any(below > away):
        raise ValueError(
            "depth_below must not be above radius: that point of the web passes no lower than its radius"
        )
    turn = np.arcsin(below / away) / (2 * np.pi)
    return Quantity(
        1000 * (below * np.tan(ground) - magnitude(feed, "mm", "feed", above=0) * turn), "um"
    )


def web_swing(crank, about="main", throw=0):
    """Largest radius that any web sweeps about the main axis or about a pin's axis.

    Parameters
    ----------
    crank : Crank
    about : str
        "main" or "pin".
    throw : int
        Which pin, from zero.

    Returns
    -------
    Quantity [mm]
        Whatever is wider than the gap it works in has to stay outside this.

    Raises
    ------
    ValueError
        Unknown axis or throw.

    Notes
    -----
    Basis: derived, for the finished webs; an unmilled bar swings farther.
    """
    made(crank, Crank, "crank")
    if about not in ("main", "pin"):
        raise ValueError(f'about must be "main" or "pin", not {about!r}')
    throw = counted(throw, crank.throws, "throw")
    axis = pin_places(crank).m_as("mm")[throw] if about == "pin" else np.zeros(2)
    return Quantity(
        float(np.linalg.norm(web_corners(crank).m_as("mm") - axis, axis=-1).max()), "mm"
    )


def blade_fit(
    crank, thickness, reach, throw=0, skew=None, edge_width=None, bar_diameter=None, bar_offset=None
):
    r"""Whether a blade reaches down to the pin between the webs, and clears them on both sides.

    Parameters
    ----------
    crank : Crank
    thickness : Quantity [length]
        Of the blade behind its edge.
    reach : Quantity [length]
        Blade standing out of the holder.
    throw : int
        Which pin, from zero.
    skew : Quantity [angle], optional
        How far the blade stands out of square with the axis; square without it.
    edge_width : Quantity [length], optional
        Width of the edge, where it is wider than the blade behind it.
    bar_diameter, bar_offset : Quantity [length], optional
        For an unmilled blank: bar, and distance of the bar's axis from the pin's (``rough_out.regions`` gives it).
        The finished webs without them.

    Returns
    -------
    BladeFit
        ``most_skew`` brings the blade just to both webs, working in the middle of the gap.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; an edge wider than the gap.

    Notes
    -----
    Basis: derived. The holder must not stand above the edge inside the swing either: the webs come down on it. Turn the
    work by hand through a whole turn, with the tool at full depth, before switching on.
    """
    body, out = (
        magnitude(thickness, "mm", "thickness", above=0),
        magnitude(reach, "mm", "reach", above=0),
    )
    lean = 0.0 if skew is None else abs(radians_within(skew, "skew", -45, 45))
    edge = body if edge_width is None else magnitude(edge_width, "mm", "edge_width", above=0)
    swing = web_swing(crank, "pin", throw).m_as("mm")
    if (bar_diameter is None) != (bar_offset is None):
        raise ValueError(
            "bar_diameter and bar_offset go together: give both for a blank, neither for finished webs"
        )
    if bar_diameter is not None:
        bar = magnitude(bar_diameter, "mm", "bar_diameter", above=0) / 2
        swing = max(swing, bar + magnitude(bar_offset, "mm", "bar_offset", least=0))
    part = crank.throws[throw]
    gap, needed = part.pin_length.m_as("mm"), swing - part.pin_diameter.m_as("mm") / 2
    if max(edge, body) > gap:
        raise ValueError(
            f"edge_width must not be above the gap of {gap:g} mm between the webs; grind a narrower tool"
        )
    # at the swing radius the blade's middle has gone aside by needed * tan(lean), its side by half a thickness more
    half = max(edge / 2 * np.cos(lean), needed * np.tan(lean) + body / 2 / np.cos(lean))
    most = np.arccos(body / 2 / np.hypot(gap / 2, needed)) - np.arctan2(needed, gap / 2)
    return BladeFit(
        *(Quantity(value, "mm") for value in (needed, out - needed, gap / 2 - half)),
        Quantity(np.degrees(most), "deg"),
    )
