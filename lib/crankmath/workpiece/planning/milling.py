"""What is milled, drilled or sawn before the lathe: slots, squares, web outlines, each with the
numbers to work it from.
"""

from dataclasses import dataclass
from math import atan2, ceil, cos, degrees, floor, hypot, pi, sin, sqrt

from ...cutting.rough_out import LIGAMENT, MILLING_ALLOWANCE, chain_of_holes
from ...units import Quantity
from ..cuts import Outline, Plane, Turn
from ..sections import polygon

DRILL_STEPS = {"mm": 0.5, "in": 25.4 / 64}  # mm, of a set of drills: common practice, no source
STOCKS = {  # mm, left beyond a milled slot or square, and around a chain of holes and a saw cut:
    "mm": (MILLING_ALLOWANCE.m_as("mm"), 2.0),  # common practice, no source
    "in": (25.4 * 0.04, 25.4 * 0.08),
}
THOU = 0.0254  # mm
WALL = 0.5  # mm: what stands out less is no wall beside a cutter, own choice
LONG_REACH = 2.0  # depth over width of a slot from which a cutter is a long one: own choice
QUARTERS = tuple((cos(turn), sin(turn)) for turn in (pi, 0.0, pi / 2, -pi / 2))


@dataclass(frozen=True)
class Slot:
    """A slot or one flat of a square: where, from which side, how deep; the chain of holes along
    its floor.

    ``side`` [deg] is the direction it comes in from, from y toward z; ``depth`` is from the bar's
    skin on that side; ``begin`` and ``width`` lie along the bar, the first from the left faced end;
    ``floor`` is its length through the bar. ``drill_line`` is the depth of the holes' middles from
    the same skin, and ``drill_clear`` what stays between a hole and the finished pin; all None
    where no chain is drilled. Lengths mm.
    """

    place: str
    side: float
    depth: float
    begin: float
    width: float
    floor: float
    holes: int | None = None
    drill: float | None = None
    pitch: float | None = None
    first_hole: float | None = None
    drill_line: float | None = None
    drill_clear: float | None = None


def long_reach(slots):
    """Depth, width and place of the slot that is deepest for its width, where it asks for a long
    cutter; else None.
    """
    deep, wide, where = max(slots, key=lambda one: one[0] / one[1], default=(0.0, 1.0, ""))
    return (deep, wide, where) if deep > LONG_REACH * wide else None


def web_slots(work, cuts):
    """Depth, width and place of each side of the outlines that is cut between two walls."""
    found = []
    for cut in cuts:
        beside = work.at(cut.x0 - 1e-6), work.at(cut.x1 + 1e-6)
        for ny, nz, offset in polygon(cut.points).lines:
            walls = [section.support((ny, nz)) - offset for section in beside]
            if min(walls) > WALL:
                found.append((min(walls), cut.x1 - cut.x0, cut.place))
        work = cut.applied(work)
    return found


def held_on(placed, work, turned):
    """What is left to clamp on while the webs are cut, as ``plan_words.toml`` names it."""
    mains = [work.at((x0 + x1) / 2) for kind, _, x0, x1 in placed.segments if kind == "journal"]
    if placed.bar_section in mains:
        return "hold_bar"
    return "hold_round" if turned else "hold_square"


def stock_for(placed, kind, index, stock, finish):
    """Stock [mm] to leave on a round and its walls, as printed: a square inner corner has to stay
    out of the fillet's finishing stock.
    """
    fillet = placed.rounds[kind, index][1]
    return placed.roomy(max(stock, finish, fillet - max(fillet - finish, 0.0) / sqrt(2)))


def name_of(kind, index):
    """As the sheet calls a main or pin."""
    return f"{'pin' if kind == 'pin' else 'main'} {index + 1}"


def block(placed, work, kind, index, shape, stock, finish, drill=None):
    """Cuts of a slot down to a pin, or of a square about a pin or main, with their numbers; nothing
    where it has no room.
    """
    x0, x1 = placed.span(kind, index)
    radius, stock = placed.rounds[kind, index][0], stock_for(placed, kind, index, stock, finish)
    left, right = (stock * wall for wall in placed.walled(kind, index))
    name = name_of(kind, index)
    if x1 - x0 - left - right < 1.0:
        return (), ()
    begin, end = placed.fine(x0 + left), placed.fine(x1 - right)
    along = placed.directions[min(index, len(placed.directions) - 1)]
    cuts, slots = [], []
    for ny, nz in QUARTERS[: 4 if shape == "square" else 1]:
        normal = along[0] * ny - along[1] * nz, along[1] * ny + along[0] * nz
        normal = tuple(round(part, 6) + 0.0 for part in normal)
        cut = _flat(placed, kind, index, (begin, end), normal, radius, stock, name)
        if work.swing((0.0, 0.0), begin, end) and _takes(work, cut):
            cuts.append(cut)
            slots.append(_slot(placed, cut, drill))
    return tuple(cuts), tuple(slots)


def _flat(placed, kind, index, ends, normal, radius, stock, name):
    axis, size = placed.axis(kind, index), hypot(*normal)
    middle = normal[0] * axis[0] + normal[1] * axis[1]
    exact = middle + (radius + stock) * size
    offset = placed.coarse(exact)
    if placed.units == "in":  # its depth from the skin is what a dial shows
        skin = placed.bar_section.support(normal)
        offset = round(skin - round((skin - exact) / THOU) * THOU, 6)
    return Plane(*ends, normal, offset, stock, name)


def _takes(work, cut):
    """Whether a flat takes metal anywhere."""
    return any(
        piece.section.support(cut.normal) > cut.offset + 1e-6
        for piece in work.between(cut.x0, cut.x1)
    )


def _slot(placed, cut, drill):
    section = placed.bar_section
    depth = section.support(cut.normal) - cut.offset
    ny, nz = cut.normal
    floor = section.chord((ny * cut.offset, nz * cut.offset), (-nz, ny))
    width, begin = cut.x1 - cut.x0, cut.x0 - placed.faced[0]
    side = round(degrees(atan2(nz, ny)), 3) % 360
    sizes = (depth, begin, width, floor)
    numbers = (cut.place, side, *(round(size, 4) for size in sizes))
    if drill is None or drill > width or floor <= 0:
        return Slot(*numbers)
    drill, chain = _chain(width, floor, drill, DRILL_STEPS[placed.units])
    return Slot(
        *numbers,
        chain.holes,
        drill,
        *_drilled(placed.units, chain, drill, depth, begin, width),
        cut.stock,
    )


def _drilled(units, chain, drill, depth, begin, width):
    """Pitch, place of the first hole, and depth of the middles of a chain; in inches to the
    thousandth, no deeper and inside the slot, where the metal between the holes allows it.
    """
    pitch, line, many = chain.pitch.m_as("mm"), depth - drill / 2, chain.holes > 1
    first = begin + (drill if many else width) / 2
    if units == "in":
        line, near = floor(line / THOU + 1e-6) * THOU, ceil(first / THOU - 1e-6) * THOU
        room = (begin + width - drill / 2 - near) / max(chain.holes - 1, 1)
        round_pitch = floor(room / THOU + 1e-6) * THOU if many else 0.0
        if not many or round_pitch - drill >= LIGAMENT.m_as("mm") - 1e-6:
            first, pitch = near, round_pitch
    return tuple(round(one, 4) for one in (pitch, first, line))


def _chain(width, floor, asked, step):
    """Drill [mm] and its chain of holes: the one asked for, or the next smaller down to its half
    that leaves little metal between the holes; else the one that leaves least.
    """
    found = []
    for smaller in range(int(asked / 2 / step) + 1):
        drill = asked - smaller * step
        chain = chain_of_holes(*(Quantity(size, "mm") for size in (width, floor, drill)), LIGAMENT)
        left = chain.pitch.m_as("mm") - drill if chain.holes > 1 else width - drill
        found.append((max(left, 2 * LIGAMENT.m_as("mm") + 1e-9), smaller, drill, chain))
    return min(found, key=lambda one: one[:2])[2:]


def outlines(placed, work, beyond):
    """Cuts of all webs' outlines; each runs so far [mm] beyond its web's faces as its walls still
    stand there.
    """
    if placed.outline == "left as the bar":
        return ()
    cuts, pieces = [], placed.segments
    for before, (kind, index, x0, x1), after in zip(pieces, pieces[1:], pieces[2:], strict=False):
        if kind != "web":
            continue
        points = tuple(
            tuple(placed.fine(part) for part in corner) for corner in placed.web_corners(index)
        )
        left, right = (_wall(placed, index, beyond, one) for one in (before, after))
        begin, end = placed.fine(x0 - left), placed.fine(x1 + right)
        name = f"web {index + 1}"
        cuts.append(Outline(begin, end, points, 0.0, name, (left, right)))
    return tuple(cuts)


def _wall(placed, throw, beyond, beside):
    """How far a web's outline may run past its face over the pin or main beside it: as the wall is
    thick, not at all where a fillet hangs over the web.
    """
    kind, index, y0, y1 = beside
    radius, fillet = placed.rounds[kind, index]
    _, reach, width = placed.webs[throw]
    room = min(reach, width / 2)
    stock = beyond(kind, index)
    return stock if radius + fillet <= room + 1e-9 and y1 - y0 > 2 * stock + 1.0 else 0.0


def rounded_ends(placed, kind, index):
    """Turning cuts that round the ends of the webs about a pin, or those of all throws about the
    mains.
    """
    if placed.outline != "rounded":
        return ()
    axis = tuple(placed.fine(part) for part in placed.axis(kind, index))
    return tuple(
        Turn(
            placed.fine(x0),
            placed.fine(x1),
            axis,
            placed.fine(placed.web_round(throw)),
            (0.0, 0.0),
            0.0,
            f"web {throw + 1}",
        )
        for one, throw, x0, x1 in placed.segments
        if one == "web" and (kind == "journal" or throw == index)
    )
