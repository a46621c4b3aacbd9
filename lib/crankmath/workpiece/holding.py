"""How the work is held between centers: dog, room over bed and carriage, and what the two ends'
centers must agree within.
"""

from dataclasses import dataclass
from math import hypot, radians, sqrt, tan

BOLT_ROOM = 2.0  # mm between dog and tool: own choice
CLEAR = 3.0  # mm, between what swings and the lathe: own choice


@dataclass(frozen=True)
class Driven:
    """What drives the work, "dog" or "bolt": its place along the axis [mm] and how far it swings; a
    bolt needs neither.

    ``strikes`` says of a bolt that a dog would have room on the bar, but none over bed or carriage.
    """

    by: str
    x: tuple | None = None
    swing: float = 0.0
    strikes: bool = False

    def as_dict(self):
        return {"by": self.by, "x": self.x and list(self.x), "swing": self.swing}


@dataclass(frozen=True)
class Agreement:
    """Limits of the centers of both ends against each other [mm], from the allowed error and the
    pin's place.

    ``together`` bounds the difference of the two ends' errors as a whole, ``each`` the same along
    the throw and across it; ``across`` bounds the mean error across at the pin where other throws
    stand at an angle to it, else None; ``strip`` is what an indicator along 100 mm of a straight
    strip may change when the bar is turned end for end.
    """

    throw: int
    together: float
    each: float
    across: float | None
    strip: float


def borne(work, axis, ends, density):
    """What each center bears of the work, headstock's first: its weight [N], and its mass times
    offset from the axis [kg mm], which pulls as it turns.
    """
    weights, pulls = [0.0, 0.0], [0j, 0j]
    for piece in work.pieces:
        volume, along, y, z = piece.moments
        off = density * complex(y - volume * axis[0], z - volume * axis[1])
        share = (along / volume - ends[0]) / (ends[1] - ends[0])
        for center, part in enumerate((1 - share, share)):
            weights[center] += 9.81 * density * volume * part
            pulls[center] += off * part
    return tuple(zip(weights, map(abs, pulls), strict=True))


def side_loads(x, radius, ends, cutting, along, passive, dog):
    """Forces of a cut at a place that push the work aside at both centers [N], headstock's first.

    ``cutting``, ``along`` and ``passive`` are those of the edge, ``dog`` that of a dog with one
    tail.
    Basis: statics; the force along the work acts at the radius of the cut, the dog's turns with the
    work and so adds to the others once a turn, at the headstock alone.
    """
    length = ends[1] - ends[0]
    share, tips = (x - ends[0]) / length, along * radius / length
    return tuple(
        hypot(cutting * part, passive * part + tips) + more
        for part, more in ((1 - share, dog), (share, 0.0))
    )


def driver(placed, work, cuts, axis, dog, lathe):
    """A dog on the full bar at the headstock end, or a bolt in the end face where a dog has no
    room.

    ``dog`` holds its width, the wall of its ring and its screw's length, ``lathe`` the plan's: mm.
    """
    width, wall, screw = dog
    x = placed.faced[0], placed.faced[0] + width
    section = placed.bar_section
    full = all(piece.section == section for piece in work.between(*x))
    first = min((cut.x0 for cut in cuts), default=1e9)
    if not full or first < x[1] + BOLT_ROOM:
        return Driven("bolt")
    off = hypot(*axis)
    near = section.support((-axis[0] / off, -axis[1] / off)) - off if off > 1e-9 else 0.0
    screwed = near if off > 1e-9 else section.reach(axis)
    swing = max(section.reach(axis) + wall, screwed + screw)
    beside = first < x[1] + lathe["slide_reach"]
    bed, carriage = lathe["center_height"], lathe["swing_over_carriage"] / 2
    if swing + CLEAR > bed or (beside and swing + CLEAR > carriage):
        return Driven("bolt", strikes=True)
    return Driven("dog", x, swing)


def room(work, axis, cuts, driven, lathe):
    """Swing of the work and of what drives it [mm], and room left over bed and carriage; negative
    where it strikes. Over the carriage swings what its slide comes beside at these cuts.
    """
    swing, reach = work.swing(axis), lathe["slide_reach"]
    first, last = min(cut.x0 for cut in cuts) - reach, max(cut.x1 for cut in cuts) + reach
    beside = work.swing(axis, first, last)
    if driven.x is not None and first < driven.x[1]:
        beside = max(beside, driven.swing)
    return {
        "swing": swing,
        "over_bed": lathe["center_height"] - max(swing, driven.swing),
        "over_carriage": lathe["swing_over_carriage"] / 2 - beside,
    }


def agreement(placed, allowed, phase):
    """What the centers of both ends must agree within for each throw.

    Parameters
    ----------
    placed : Placed
    allowed : float [mm]
        How far a pin may run out of line over its own length.
    phase : float [deg]
        How far the angle between throws may be off.
    """
    length, found = placed.faced[1] - placed.faced[0], []
    for index, throw in enumerate(placed.crank.throws):
        together = allowed * length / throw.pin_length.m_as("mm")
        radius = throw.radius.m_as("mm")
        across = radius * tan(radians(phase)) if len(placed.pins) > 1 else None
        each = together / sqrt(2)
        found.append(Agreement(index, together, each, across, 100 * each / radius))
    return tuple(found)
