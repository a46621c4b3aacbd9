"""Hand-ground tools: their angles, and whether the blade clears the webs."""

from dataclasses import dataclass

import numpy as np

from ..blank.bar import pin_places, web_corners
from ..checks import counted, takes
from ..crank import Crank, steels
from ..tables import rows
from ..units import Quantity

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
    """Whether the blade reaches the pin and clears the webs; room is below zero where it fouls.

    ``reach_needed`` from the blade's edge back to whatever is wider than the gap; ``side_room`` the
    least room between blade and finished web on either side.
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
            else f"is {abs(reach):.1f} mm too short"
        )
        second = (
            f"clears the webs by {side:.2f} mm a side"
            if side > 0
            else f"fouls a web by {abs(side):.2f} mm"
        )
        return f"The blade {first} and {second}."


def tool_angles(steel, interrupted=False):
    """Angles [deg] of a hand-ground high-speed-steel tool by name, each an :class:`AngleRange`.

    ``steel`` is a name of ``steels.NAMES``; ``interrupted`` adds the relief asked for where the cut
    comes in blows.
    Basis: handbook table (``data/tool_angles.csv``); angles as they stand to the work, not as
    ground into a tilted holder. Printed tables differ by a few degrees; any of them cuts steel.
    """
    record, table = steels.find(steel), rows("tool_angles")
    blows = next(float(row["low"]) for row in table if row["angle"] == "side_relief_for_blows")
    found = {}
    for name in ANGLES:
        first, *rest = (
            row
            for row in table
            if row["angle"] == name and row["speed_group"] == record.speed_group
        )
        more = blows if interrupted and name == "side_relief" else 0.0
        low, high = (Quantity(float(first[end]) + more, "deg") for end in ("low", "high"))
        others = tuple(f"{row['low']} to {row['high']} deg: {row['source']}" for row in rest)
        found[name] = AngleRange(low, high, first["source"], others)
    return found


@takes(
    back_rake="deg (-60..60)",
    side_rake="deg (-60..60)",
    approach_angle="deg [0..90]",
    gives="deg",
)
def rake_across_edge(back_rake, side_rake, approach_angle=None):
    """Rake in the plane across the cutting edge: tan γ = tan γs sin κ + tan γb cos κ.

    It is the rake that force formulas mean. ``approach_angle`` is κ between edge and feed along the
    axis, default 90 deg, a square shoulder; 0 deg for a plunged form tool.
    Basis: derived (geometry of a plane face).
    """
    approach = np.pi / 2 if approach_angle is None else approach_angle
    slope = np.tan(side_rake) * np.sin(approach) + np.tan(back_rake) * np.cos(approach)
    return np.degrees(np.arctan(slope))


@takes(height="mm", diameter="mm > 0", gives="deg")
def height_effect(height, diameter):
    """Angle by which rake grows and end relief shrinks with the edge above the axis: arcsin(2h/d).

    ``height`` is that of the edge above the axis of rotation, below zero for an edge set low.
    Basis: derived. The same slip of height matters twice as much on half the diameter.
    """
    offset = np.asarray(height)
    if np.any(np.abs(offset) >= np.asarray(diameter) / 2):
        raise ValueError("height must be below half of diameter: the edge would miss the work")
    return np.degrees(np.arcsin(2 * offset / diameter))


@takes(
    side_relief="deg [0..60)",
    depth_below="mm >= 0",
    feed="mm > 0",
    radius="mm > 0",
    gives="um",
)
def flank_gap(side_relief, depth_below, feed, radius):
    """Gap between a side-cutting tool's flank and the web's face, some way below the edge.

    g = y tan α - f/2π arcsin(y/r), with the relief α as ground, the height y below the edge, the
    feed f a turn toward the web, and the radius r of the point of the web that passes, not below y.
    Below zero the heel strikes the web.
    Basis: derived: the face is a screw of pitch f; the point at y passed the edge arcsin(y/r) of a
    turn ago.
    """
    below, away = np.asarray(depth_below), np.asarray(radius)
    if np.any(below > away):
        raise ValueError(
            "depth_below must not be above radius: that point of the web passes no lower than its "
            "radius"
        )
    turn = np.arcsin(below / away) / (2 * np.pi)
    return 1000 * (below * np.tan(side_relief) - feed * turn)


@takes(crank=Crank, about=("main", "pin"), gives="mm")
def web_swing(crank, about="main", throw=0):
    """Largest radius that any web sweeps about the main axis or about the axis of a throw's pin.

    ``throw`` counts from zero. Whatever is wider than the gap it works in has to stay outside this.
    Basis: derived, for the finished webs; an unmilled bar swings farther.
    """
    throw = counted(throw, crank.throws, "throw")
    axis = pin_places(crank).m_as("mm")[throw] if about == "pin" else np.zeros(2)
    return float(np.linalg.norm(web_corners(crank).m_as("mm") - axis, axis=-1).max())


@takes(
    crank=Crank,
    thickness="mm > 0",
    reach="mm > 0",
    skew="deg (-45..45)",
    edge_width="mm > 0",
    bar_diameter="mm > 0",
    bar_offset="mm >= 0",
)
def blade_fit(
    crank, thickness, reach, throw=0, skew=None, edge_width=None, bar_diameter=None, bar_offset=None
):
    """Whether a blade reaches down to a throw's pin, and clears the webs on both sides.

    ``thickness`` is that of the blade behind its edge, ``reach`` what stands out of the holder,
    ``throw`` counts from zero, ``skew`` is how far the blade stands out of square with the axis,
    ``edge_width`` the edge where it is wider than the blade. For an unmilled blank the bar counts
    where it swings farther than the finished webs, by its ``bar_diameter`` and by ``bar_offset``,
    the distance of its axis from the pin's (``rough_out.regions``). ``most_skew`` brings the blade
    just to both webs, working in the middle of the gap.
    Basis: derived. The holder must not stand above the edge inside the swing either: the webs come
    down on it. Turn the work by hand through a whole turn, tool at full depth, before switching on.
    """
    angle = 0.0 if skew is None else abs(skew)
    edge = thickness if edge_width is None else edge_width
    swing = web_swing(crank, "pin", throw).m_as("mm")
    if (bar_diameter is None) != (bar_offset is None):
        raise ValueError(
            "bar_diameter and bar_offset go together: give both for a blank, neither for finished "
            "webs"
        )
    if bar_diameter is not None:
        swing = max(swing, bar_diameter / 2 + bar_offset)
    part = crank.throws[throw]
    gap, needed = part.pin_length.m_as("mm"), swing - part.pin_diameter.m_as("mm") / 2
    if max(edge, thickness) > gap:
        raise ValueError(
            f"edge_width must not be above the gap of {gap:g} mm between the webs; "
            "grind a narrower tool"
        )
    # at the swing radius the blade's middle is needed * tan(angle) aside, its side half a
    # thickness more
    half = max(edge / 2 * np.cos(angle), needed * np.tan(angle) + thickness / 2 / np.cos(angle))
    most = np.arccos(thickness / 2 / np.hypot(gap / 2, needed)) - np.arctan2(needed, gap / 2)
    return BladeFit(
        *(Quantity(value, "mm") for value in (needed, reach - needed, gap / 2 - half)),
        Quantity(np.degrees(most), "deg"),
    )
