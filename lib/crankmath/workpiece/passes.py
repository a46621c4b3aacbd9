"""Passes of a turning cut, for the work as it stands before it: walls that are faced, and the rest
that is turned along.
"""

from dataclasses import asdict, dataclass
from math import ceil
from typing import NamedTuple

from ..language import _, spoken
from ..units import Quantity

SLACK = 1e-9
DIALS = {"mm": 0.05, "in": 25.4 * 0.002}  # mm, division of the cross slide's dial on the radius:
# own choice, since a coarser dial may be between two of its lines


@dataclass(frozen=True)
class Passes:
    """Passes at a place: the depth of each on the radius or off a face [mm], and where they
    run.

    ``work`` is "walls" or "rough", "face" or "finish"; ``sides`` counts the faces that are each cut
    so, 1 along a round; ``asked`` is the deepest that a pass may be, ``runs`` holds (spindle speed
    [rpm], travel in metal [mm]) of every pass and ``set_by`` what set the speeds, and "depth" where
    drive or crank bear less than was asked for.
    """

    place: str
    work: str
    depths: tuple
    sides: int
    asked: float
    feed: float
    runs: tuple
    set_by: tuple

    @property
    def name(self):
        """As the sheet calls them."""
        words = {
            **{"walls": _("rough walls at {place}"), "face": _("face webs at {place}")},
            **{"rough": _("rough {place}"), "finish": _("finish {place}")},
        }
        return words[self.work].format(place=spoken(self.place))

    @property
    def count(self):
        """Number of all passes."""
        return len(self.depths) * self.sides

    @property
    def time(self):
        """Time in the cut. Basis: derived, travel over feed and speed."""
        return Quantity(sum(travel / rpm for rpm, travel in self.runs) / self.feed, "min")

    @property
    def speeds(self):
        """Slowest and fastest gear step."""
        steps = [rpm for rpm, _unused in self.runs]
        return tuple(Quantity(float(one), "rpm") for one in (min(steps), max(steps)))

    def joined(self, other):
        """With alike passes of another cut of the same place; None where they differ."""
        same = ("place", "work", "depths", "asked")
        if any(getattr(self, one) != getattr(other, one) for one in same):
            return None
        both = {key: getattr(self, key) + getattr(other, key) for key in ("sides", "runs")}
        set_by = tuple(sorted({*self.set_by, *other.set_by}))
        return Passes(**{**vars(self), **both, "set_by": set_by})

    def as_dict(self):
        return asdict(self)


class Wall(NamedTuple):
    """What stands on a web's face: its thickness, and how far it swings [mm]."""

    thick: float
    reach: float


class Body(NamedTuple):
    """What a cut turns along the work: its pieces, and the radius at which it begins."""

    pieces: tuple
    start: float


def parts_of(work, cut):
    """Walls at the ends of a cut that are faced off, and the body that is turned along.

    An end is a wall where it is thinner than it stands out above the longest piece: so facing it is
    the shorter way. Fillets that an earlier cut left run down with the body.
    Basis: derived; own choice which of both ways.
    """
    pieces = list(work.between(cut.x0, cut.x1))
    if not pieces:
        return (), Body((), cut.radius)

    def reach(piece):
        return piece.section.reach(cut.axis)

    level, walls = reach(max(pieces, key=lambda one: one.length)), []
    for end in (0, -1):
        thick = highest = 0.0
        while len(pieces) > 1:
            piece = pieces[end]
            if _fillet(piece, cut) or thick + piece.length >= reach(piece) - level:
                break
            thick, highest = thick + piece.length, max(highest, reach(piece))
            pieces.pop(end)
        if thick:
            walls.append(Wall(thick, highest))
    plain = [reach(one) for one in pieces if not _fillet(one, cut)] or [reach(pieces[0])]
    return tuple(walls), Body(tuple(pieces), max(plain))


def _fillet(piece, cut):
    return any(flare[:2] == tuple(cut.axis) for flare in piece.flares)


def rough_depths(stock, deepest, dial):
    """Depths of passes in whole divisions of a dial, or the deepest where the next division is
    deeper; the last takes what is left, and the one before leaves it two divisions or more where it
    can.
    """
    count = ceil(stock / deepest - SLACK) if stock > SLACK else 0
    if count < 2:
        return (stock,) * count
    each = round(min(ceil(stock / count / dial - SLACK) * dial, deepest), 9)
    before, left = each, stock - (count - 1) * each
    short = ceil((2 * dial - left) / dial - SLACK) * dial
    if short > 0 and each - short >= 2 * dial - SLACK:  # thinner it would rub
        before, left = round(each - short, 9), left + short
    return (*(each,) * (count - 2), before, left)


def last_depths(stock, last, deepest, dial):
    """Depths of finishing passes: the last as asked, what is more before it as in roughing."""
    if stock <= last * (1 + SLACK):
        return (stock,) if stock > SLACK else ()
    return (*rough_depths(stock - last, deepest, dial), last)
