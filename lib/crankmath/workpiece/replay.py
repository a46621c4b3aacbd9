"""Replay: cut the bar by the numbers of the sheet's JSON and by nothing else, and see whether it is the crank."""

from dataclasses import dataclass
from itertools import pairwise
from math import cos, hypot, pi, radians, sqrt

from .cuts import read_cut
from .holding import Driven, room
from .work import Piece, Work, bar_section

SLIP = 0.02  # mm that a cut may miss the stock it is said to leave: rounding of printed sizes
SAMPLES = 8  # along a fillet


@dataclass(frozen=True)
class Difference:
    """Metal of one work that the other has not: volume [mm3], how deep at the worst place [mm], and that place along the axis."""

    volume: float
    depth: float
    x: float


@dataclass(frozen=True)
class Replayed:
    """What replay found: metal left over, metal missing, the crank's volume [mm3], and all that was struck or does not agree."""

    remaining: Difference
    missing: Difference
    volume: float
    collisions: tuple
    slips: tuple

    @property
    def passes(self):
        """Nothing struck, each stock as said, and metal left or missing under 0.1 % of the crank and nowhere deeper than 0.01 mm."""
        return (
            not self.collisions
            and not self.slips
            and all(
                one.volume < 1e-3 * self.volume and one.depth <= 0.01
                for one in (self.remaining, self.missing)
            )
        )


def replay(data, crank):
    """Bar cut by a plan's JSON, beside the finished crank.

    Parameters
    ----------
    data : dict
        ``Plan.as_dict()``, also read back from JSON.
    crank : Work
        The finished crank in the frame of the work: ``Plan.crank``.

    Returns
    -------
    Replayed

    Notes
    -----
    Basis: derived; exact but for fillets, sampled along the axis.
    """
    bar, collisions, slips = data["bar"], [], []
    section = bar_section(bar["shape"], bar["sizes"], radians(bar.get("turn", 0.0)))
    work = Work((Piece(0.0, bar["length"], section),))
    for step in data["steps"]:
        cuts = [read_cut(one) for one in step["cuts"]]
        if step["held"]["on"] == "centers" and cuts:
            collisions += struck(work, step, cuts, data["lathe"])
        for cut in cuts:
            slips += slipped(step, cut, crank)
            try:
                after = cut.applied(work)
            except ValueError as error:
                slips.append(f"{step['name']}: {error}")
                continue
            collisions += broken(step, after)
            work = after
    return Replayed(*compared(work, crank), crank.volume(), tuple(collisions), tuple(slips))


def struck(work, step, cuts, lathe):
    """What tool, holder, bed, carriage or dog strikes while a step is done, in words."""
    axis, tool, name = tuple(step["held"]["axis"]), step["tool"], step["name"]
    driven = step.get("driven")
    driven = Driven(driven["by"], driven["x"] and tuple(driven["x"]), driven["swing"])
    at = room(work, axis, cuts, driven, lathe["center_height"], lathe["swing_over_carriage"] / 2)
    found = [
        f"{name}: strikes the {where}"
        for key, where in (("over_bed", "bed"), ("over_carriage", "carriage"))
        if at[key] < 0
    ]
    for end in (work.pieces[0], work.pieces[-1]):
        if not end.section.holds(axis):
            found.append(f"{name}: no metal is left around its center")
    for cut in cuts:
        needed = work.reach_needed(axis, cut.radius, cut.x0, cut.x1)
        if tool["reach"] < needed - 1e-6:
            found.append(f"{name}: the holder is struck at {cut.place}")
        if tool["thickness"] > cut.x1 - cut.x0:
            found.append(f"{name}: the blade is wider than the gap at {cut.place}")
        if driven.x and cut.x0 < driven.x[1] and driven.x[0] < cut.x1:
            found.append(f"{name}: the tool strikes the dog at {cut.place}")
        if hypot(cut.axis[0] - axis[0], cut.axis[1] - axis[1]) > 1e-9:
            found.append(f"{name}: {cut.place} is not on the centers that hold the work")
        work = cut.applied(work)
    return found


def broken(step, work):
    """Whether a cut left nothing, or took the work apart."""
    gaps = any(right.x0 - left.x1 > 1e-6 for left, right in pairwise(work.pieces))
    return [f"{step['name']}: cuts the work through"] if gaps or not work.pieces else []


def slipped(step, cut, crank):
    """How a roughing cut differs from the stock that it is said to leave over the crank, in words."""
    if not cut.stock:
        return []
    label, found = f"{step['name']}, {cut.place}", []
    pieces = crank.between(cut.x0, cut.x1)
    inner = [piece for piece in pieces if not piece.flares] or pieces
    if hasattr(cut, "radius"):
        gap = cut.radius - max(piece.section.reach(cut.axis) for piece in inner)
    elif hasattr(cut, "normal"):
        size = hypot(*cut.normal)
        normal = cut.normal[0] / size, cut.normal[1] / size
        gap = cut.offset / size - max(piece.section.support(normal) for piece in inner)
    else:
        gap = cut.stock
    if abs(gap - cut.stock) > SLIP:
        found.append(f"{label}: leaves {gap:.3f} mm on the round, not {cut.stock:g}")
    for x, way, corner in ((cut.x0, -1, 0), (cut.x1, 1, 1)):
        wall = _wall(crank, cut, x, way)
        if wall is None:
            continue
        if abs(wall - cut.stock) > SLIP:
            found.append(f"{label}: leaves {wall:.3f} mm on a web face, not {cut.stock:g}")
        if hasattr(cut, "corners"):
            fillet = _fillet(crank, x, way)
            if abs(cut.corners[corner] - max(fillet - cut.stock, 0.0)) > SLIP:
                found.append(
                    f"{label}: the corner of {cut.corners[corner]:g} mm does not suit the fillet"
                )
    return found


def _wall(crank, cut, x, way):
    """Distance along the axis from the end of a cut to the web face beyond it, None where the end of the crank lies there."""
    faces = [piece.x1 if way < 0 else piece.x0 for piece in crank.pieces if _web(piece)]
    beyond = [(face - x) * way for face in faces if (face - x) * way > -1.0]
    ends = crank.x0 if way < 0 else crank.x1
    if abs(ends - x) < 1e-3 or not beyond:
        return None if abs(ends - x) < 1e-3 else (ends - x) * way
    return min(beyond)


def _web(piece):
    """Whether a piece of the finished crank is a web: no round of its own."""
    return len(piece.section.discs) != 1 or bool(piece.section.lines)


def _fillet(crank, x, way):
    """Fillet of the crank at a web face near the end of a cut."""
    for piece in crank.pieces:
        for flare in piece.flares:
            beyond, middle = (flare.wall - x) * way, (piece.x0 + piece.x1) / 2
            if -0.5 < beyond <= 5.0 and middle * way < flare.wall * way:
                return flare.corner
    return 0.0


def compared(work, crank):
    """Metal that the work has too much, and metal that it lacks."""
    edges = sorted(
        {edge for one in (work, crank) for piece in one.pieces for edge in (piece.x0, piece.x1)}
    )
    sums = [_Tally(), _Tally()]
    for x0, x1 in pairwise(edges):
        if x1 - x0 < 1e-9:
            continue
        here, there = (_piece(one, (x0 + x1) / 2) for one in (work, crank))
        for tally, (one, other) in zip(sums, ((here, there), (there, here)), strict=True):
            tally.add(x0, x1, one, other)
    return tuple(tally.difference() for tally in sums)


def _piece(work, x):
    return next((piece for piece in work.pieces if piece.x0 <= x <= piece.x1), None)


class _Tally:
    """Sums what one work has beyond another, slab by slab."""

    def __init__(self):
        self.volume, self.deepest, self.run = 0.0, (0.0, 0.0), None

    def add(self, x0, x1, one, other):
        """A slab between two places; a run of slabs is no deeper than it is long."""
        volume, depth, place = _beyond(x0, x1, one, other)
        self.volume += volume
        if depth <= 1e-6:
            self._close()
            return
        if depth > 0.01 or self.run:
            length, most, at = self.run or (0.0, 0.0, place)
            self.run = length + x1 - x0, max(most, depth), at if most >= depth else place
        else:
            self.deepest = max(self.deepest, (depth, place))
            self._close()

    def _close(self):
        if self.run:
            length, most, place = self.run
            self.deepest = max(self.deepest, (min(length, most), place))
        self.run = None

    def difference(self):
        self._close()
        return Difference(self.volume, *self.deepest)


def _beyond(x0, x1, one, other):
    """Volume and depth of what a piece has beyond another between two places, and where it is deepest."""
    if one is None:
        return 0.0, 0.0, x0
    if not one.flares and not (other and other.flares):
        places = [((x0 + x1) / 2, x1 - x0)]
    else:
        places = [
            (
                x0 + (x1 - x0) * (1 - cos(pi * (number + 0.5) / SAMPLES)) / 2,
                (x1 - x0) * (cos(pi * number / SAMPLES) - cos(pi * (number + 1) / SAMPLES)) / 2,
            )
            for number in range(SAMPLES)
        ]
    volume, deepest = 0.0, (0.0, x0)
    for x, width in places:
        section, beside = one.at(x), other and other.at(x)
        if section is None:
            continue
        if beside is None:
            volume += section.area * width
            deepest = max(deepest, (1e9, x))
            continue
        common = section.inside(beside)
        volume += max(section.area - (common.area if common else 0.0), 0.0) * width
        depth = max((beside.away(point) for point in section.rim()), default=0.0)
        deepest = max(deepest, (depth * _slope(x, one, other), x))
    return volume, *deepest


def _slope(x, *pieces):
    """Share of a radial distance in a fillet that lies square to its surface."""
    flares = [flare for piece in pieces for flare in piece.flares]
    if not flares:
        return 1.0
    flare = flares[-1]
    into = flare.corner - min(abs(x - flare.wall), flare.corner)
    return max(sqrt(flare.corner**2 - into**2) / flare.corner, 1e-3)
