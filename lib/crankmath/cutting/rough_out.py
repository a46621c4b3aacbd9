"""What has to come off the bar, slice by slice, and what milling or chain drilling takes out first.

The webs are rectangles; fillets are counted, center holes and run-outs are not.
"""

from dataclasses import dataclass

import numpy as np

from ..blank import cross_section
from ..blank.bar import Bar, pin_places, smallest_bar, throw_direction, web_corners
from ..checks import counted, made, one_of, takes
from ..crank import Crank
from ..language import marked
from ..units import Quantity, as_text, magnitude

SHAPES = ("slot", "square")
MILLINGS = {  # what is milled first: shape in the gaps, shape at the mains
    marked("nothing"): (None, None),
    marked("slots in the gaps"): ("slot", None),
    marked("squares in the gaps"): ("square", None),
    marked("squares in gaps and at mains"): ("square", "square"),
}
MILLING_ALLOWANCE = Quantity(
    1.0, "mm"
)  # left beyond pin or main and on each web's face: common practice, no source
LIGAMENT = Quantity(
    0.5, "mm"
)  # least metal left between two holes of a chain: common practice, no source


@dataclass(frozen=True)
class Region:
    """A slice of the bar: what it holds, what stays, what comes off, and how much of that in blows.

    ``kind`` is "journal", "web" or "pin"; ``offset`` is the distance of the bar's middle from the
    axis this region is turned about, the pin's for a pin and the main axis otherwise; ``swing`` the
    farthest point of the bar from that axis; ``whole`` the radius inside which the bar is cut
    without a break.
    """

    kind: str
    index: int
    start: Quantity
    length: Quantity
    bar: Quantity
    kept: Quantity
    removed: Quantity
    interrupted: Quantity
    offset: Quantity
    swing: Quantity
    whole: Quantity


@dataclass(frozen=True)
class MilledBlock:
    """What is milled or drilled away before a pin or a main is turned, and what is left to turn.

    ``saved`` is the milled fraction of all that must leave this region; ``swing`` the farthest
    point left, from its turning axis; ``slot_width`` the milled width along the axis; ``floor`` the
    length through the bar at the slot's bottom.
    """

    milled: Quantity
    left: Quantity
    saved: float
    swing: Quantity
    slot_width: Quantity
    floor: Quantity


@dataclass(frozen=True)
class ChainOfHoles:
    """A row of holes along a slot's floor: number, pitch, length and volume drilled, teeth left.

    ``below_floor`` is how far the holes' centers lie from the slot's floor, away from the pin.
    """

    holes: int
    pitch: Quantity
    drilled_length: Quantity
    drilled_volume: Quantity
    teeth: Quantity
    below_floor: Quantity


def bar_section(crank, bar):
    """Section of a bar that holds a crank, from the main axis [mm].

    ``bar`` is from ``bar.smallest_bar`` or ``bar.stock_bar``, or the diameter [length] of a round
    bar in the middle of the webs; one that does not hold the crank is refused.
    Basis: derived. Webs hold the pins and mains standing on them, so their corners decide.
    """
    made(crank, Crank, "crank")
    if isinstance(bar, Bar):
        section = cross_section.of_bar(bar)
    else:
        radius = magnitude(bar, "mm", "bar", above=0, one=True) / 2
        least = smallest_bar(crank, "round", Quantity(0, "mm"), straightness=Quantity(0, "mm/m"))
        if radius < least.width.m_as("mm") / 2 * (1 - 1e-9):
            raise ValueError(
                "bar is too small: the crank needs at least "
                f"Ø{as_text(least.width.to(crank.units))}"
            )
        section = cross_section.disc([least.middle_x.m_as("mm"), least.middle_y.m_as("mm")], radius)
    if not np.all(cross_section.holds(section, web_corners(crank).m_as("mm"), 1e-6)):
        raise ValueError(
            "bar does not hold the crank: a corner of a web stands out of it; see bar.smallest_bar"
        )
    return section


def turning_axis(crank, kind, index):
    """Where the centers stand for a region, from the main axis [mm]."""
    return pin_places(crank).m_as("mm")[index] if kind == "pin" else np.zeros(2)


def regions(crank, bar):
    """Slices of the bar from left to right, with what stays and what comes off.

    A ring about the turning axis that lies wholly in the bar is cut without a break; in a round bar
    it ends at R - d, bar radius less offset. All beyond is cut in part of each turn; a web counts
    as interrupted throughout. ``crank`` and ``bar`` as in :func:`bar_section`.
    Basis: derived. Fillets run full round, also where a web is hardly wider than its journal.
    """
    section = bar_section(crank, bar)
    whole_area, found = cross_section.area(section), []
    for piece in crank.segments:
        axis = turning_axis(crank, piece.kind, piece.index)
        ring = cross_section.whole_ring(section, axis)
        kept = _kept(crank, piece)
        removed = whole_area * piece.length - kept
        steady = (
            0.0
            if piece.kind == "web"
            else min(max(np.pi * ring**2 * piece.length - kept, 0.0), removed)
        )
        lengths = piece.start, piece.length
        volumes = whole_area * piece.length, kept, removed, removed - steady
        radii = float(np.hypot(*(section.middle - axis))), cross_section.reach(section, axis), ring
        found.append(
            Region(
                piece.kind,
                piece.index,
                *(Quantity(value, "mm") for value in lengths),
                *(Quantity(value, "mm**3") for value in volumes),
                *(Quantity(value, "mm") for value in radii),
            )
        )
    return tuple(found)


def block_section(crank, bar, kind="pin", index=0, allowance=MILLING_ALLOWANCE, shape="square"):
    """Section of a gap, or of the bar at a main, after milling and before it is turned.

    The arguments are those of :func:`milled_block`.
    Basis: derived.
    """
    section = bar_section(crank, bar)
    parts = {"pin": crank.throws, "journal": crank.journals}
    index = counted(index, parts[one_of(kind, parts, "kind")], "index")
    one_of(shape, SHAPES, "shape")
    if kind == "journal" and shape != "square":
        raise ValueError('shape must be "square" at a main: a slot goes down to a pin')
    part = parts[kind][index]
    stock = magnitude(allowance, "mm", "allowance", least=0, one=True)
    half = (part.pin_diameter if kind == "pin" else part.diameter).m_as("mm") / 2 + stock
    # a main has no direction of its own: its square stands as the next throw does
    along, across = throw_direction(crank.throws[min(index, len(crank.throws) - 1)])
    axis, left = turning_axis(crank, kind, index), section
    for outward in (-along, along, across, -across) if shape == "square" else (-along,):
        left = cross_section.cut(left, axis + half * outward, outward)
    return left


def milled_block(crank, bar, kind="pin", index=0, allowance=MILLING_ALLOWANCE, shape="square"):
    """What milling or chain drilling takes away before a pin or a main is turned.

    In a gap a "slot" goes in from the side of the main axis down to the pin, as wide as the bar; a
    "square" leaves a square prism about the pin, or about a main (kind "journal"). ``index`` counts
    from zero, left to right; ``allowance`` [length] is left beyond the finished surface and on each
    web's face, default 1 mm, and 2 mm suit chain drilling and the hacksaw (common practice, no
    source). ``crank`` and ``bar`` as in :func:`bar_section`, ``shape`` one of ``SHAPES``.
    Basis: derived. A gap opened first lets locked-in stress out before anything is finished; and an
    open gap closes under the tailstock's thrust: see ``spacers``.
    """
    block, section = (
        block_section(crank, bar, kind, index, allowance, shape),
        bar_section(crank, bar),
    )
    stock = magnitude(allowance, "mm", "allowance")
    piece = next(piece for piece in crank.segments if (piece.kind, piece.index) == (kind, index))
    walls = 1 if kind == "journal" and index in (0, len(crank.journals) - 1) else 2
    width = piece.length - walls * stock
    if width <= 0:
        raise ValueError(
            f"allowance leaves nothing to mill over {piece.length:g} mm; write a smaller one"
        )
    whole = cross_section.area(section)
    milled, removed = (
        (whole - cross_section.area(block)) * width,
        whole * piece.length - _kept(crank, piece),
    )
    axis = turning_axis(crank, kind, index)
    along, across = throw_direction(crank.throws[min(index, len(crank.throws) - 1)])
    part = crank.throws[index].pin_diameter if kind == "pin" else crank.journals[index].diameter
    floor = axis - (part.m_as("mm") / 2 + stock) * along
    return MilledBlock(
        Quantity(milled, "mm**3"),
        Quantity(removed - milled, "mm**3"),
        milled / removed,
        Quantity(cross_section.reach(block, axis), "mm"),
        Quantity(width, "mm"),
        Quantity(cross_section.chord(section, floor, across), "mm"),
    )


@takes(
    slot_width="mm > 0, one",
    floor="mm > 0, one",
    hole_diameter="mm > 0, one",
    ligament="mm >= 0, one",
)
def chain_of_holes(slot_width, floor, hole_diameter, ligament=LIGAMENT):
    """Holes across the floor of a slot, drilled through the bar, before the block is sawn out.

    ``slot_width`` along the axis and ``floor`` through the bar come from :func:`milled_block`;
    ``ligament`` is the least that stands between two holes, default 0.5 mm (common practice, no
    source): a twist drill wanders into a hole that is closer. The first and last hole touch the
    slot's sides, all touch its floor; ``teeth`` stand between them, half a hole high, to be milled
    or filed off.
    Basis: derived.
    """
    width, through, hole, wall = slot_width, floor, hole_diameter, ligament
    if hole > width:
        raise ValueError(
            f"hole_diameter is wider than the slot of {width:g} mm; write a smaller drill"
        )
    count = int((width - hole) / (hole + wall) + 1e-9) + 1
    pitch = (width - hole) / (count - 1) if count > 1 else 0.0
    length = count * through
    return ChainOfHoles(
        count,
        Quantity(pitch, "mm"),
        Quantity(length, "mm"),
        Quantity(count * np.pi * hole**2 / 4 * through, "mm**3"),
        Quantity(hole / 2, "mm"),
        Quantity(hole / 2, "mm"),
    )


def _kept(crank, piece):
    """Volume of the finished piece [mm3], fillets with the pin or journal they run into."""
    if piece.kind == "web":
        throw = crank.throws[piece.index]
        return (
            (throw.radius + 2 * throw.web_reach).m_as("mm")
            * throw.web_width.m_as("mm")
            * piece.length
        )
    part = crank.journals[piece.index] if piece.kind == "journal" else crank.throws[piece.index]
    diameter = (part.diameter if piece.kind == "journal" else part.pin_diameter).m_as("mm")
    fillet = part.fillet.m_as("mm")
    at_end = piece.kind == "journal" and piece.index in (0, len(crank.journals) - 1)
    # section of a concave fillet (1 - pi/4) r^2, its middle (10 - 3 pi)/(12 - 3 pi) r beyond the
    # pin's surface
    ring = (
        2
        * np.pi
        * (diameter / 2 + (10 - 3 * np.pi) / (12 - 3 * np.pi) * fillet)
        * (1 - np.pi / 4)
        * fillet**2
    )
    return np.pi * diameter**2 / 4 * piece.length + ring * (1 if at_end else 2)
