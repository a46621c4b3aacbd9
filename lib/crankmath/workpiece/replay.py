"""Replay: cut the bar by the numbers of the sheet's JSON and by nothing else, and see whether it is
the crank.
"""

from dataclasses import dataclass
from itertools import pairwise
from math import cos, hypot, pi, radians, sqrt

from .cuts import read_cut
from .holding import Driven, room
from .sections import disc
from .work import Piece, Work, bar_section

SLIP = 0.02  # mm that a cut may miss the stock it is said to leave: rounding of printed sizes
CHAIN_SLIP = 0.052  # mm, of the places of a chain's holes: two whole thou in an inch job
SAMPLES = 8  # along a fillet
DEEP = 0.01  # mm: deeper is not the crank


@dataclass(frozen=True)
class Difference:
    """Metal of one work that the other lacks: volume [mm3], how deep at the worst place [mm], and
    that place along the axis.
    """

    volume: float
    depth: float
    x: float


@dataclass(frozen=True)
class Replayed:
    """What replay found: metal left over, metal missing, the crank's volume [mm3], and all that was
    struck or does not agree.
    """

    remaining: Difference
    missing: Difference
    volume: float
    collisions: tuple
    slips: tuple

    @property
    def passes(self):
        """Nothing struck, each stock as said, and metal left or missing under 0.1 % of the crank
        and nowhere deeper than 0.01 mm.
        """
        return (
            not self.collisions
            and not self.slips
            and all(
                one.volume < 1e-3 * self.volume and one.depth <= DEEP
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
        slips += misprinted(step, cuts, data, section)
        slips += fast(step, cuts, work)
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
    at = room(work, axis, cuts, driven, lathe)
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


def misprinted(step, cuts, data, section):
    """Numbers of a step's tables that differ from its cuts, and faces that are not where the sheet
    says, in words.
    """
    found, faced = [], data["crank"]["faced"]
    for cut in cuts:
        if hasattr(cut, "keep") and step["key"] == "face":
            wanted = faced[0] if cut.keep == "right" else faced[1]
            if abs(cut.x - wanted) > 1e-6:
                found.append(f"{step['name']}: {cut.place} at {cut.x:g} mm, not {wanted:g}")
    for slot, cut in zip(step["slots"], cuts if step["slots"] else (), strict=True):
        depth = section.support(cut.normal) - cut.offset
        begin, width, drill = cut.x0 - faced[0], cut.x1 - cut.x0, slot["drill"]
        wanted = {"depth": depth, "begin": begin, "width": width}
        if drill:
            several = slot["holes"] > 1
            wanted["drill_line"] = depth - drill / 2
            wanted["first_hole"] = begin + (drill / 2 if several else width / 2)
            wanted["pitch"] = (width - drill) / (slot["holes"] - 1) if several else 0.0
        for key, value in wanted.items():
            slip = SLIP if key in ("depth", "begin", "width") else CHAIN_SLIP
            if abs(slot[key] - value) > slip:
                found.append(f"{step['name']}, {cut.place}: {key} {slot[key]:g}, not {value:.3f}")
    return found


def fast(step, cuts, work):
    """Rows of a step's shift table that are faster than the tables, or begin below the swing of the
    work, in words.
    """
    found = []
    for row in step["speeds"]:
        speed = pi * row["diameter"] * row["rpm"] / 1000
        if abs(speed - row["surface_speed_m_min"]) > 0.05 or speed > row["table_m_min"] + 1e-9:
            found.append(f"{step['name']}: {speed:.1f} m/min at {row['place']}")
    for cut in cuts if step["speeds"] else ():
        rows = [row["diameter"] for row in step["speeds"] if row["place"] == cut.place]
        if rows and max(rows) < 2 * work.swing(cut.axis, cut.x0, cut.x1) - 1e-6:
            found.append(f"{step['name']}: {cut.place} swings wider than its shift table begins")
        work = cut.applied(work)
    return found


def slipped(step, cut, crank):
    """How a cut differs from the stock that it is said to leave over the crank, in words."""
    label, found = f"{step['name']}, {cut.place}", []
    if hasattr(cut, "walls"):
        for number, (x, way) in enumerate(((cut.x0, -1), (cut.x1, 1))):
            gap = min(abs(web[number] + way * cut.walls[number] - x) for web in crank.webs)
            if gap > SLIP:
                found.append(f"{label}: ends {gap:.3f} mm off its place at x {x:g}")
    if not cut.stock:
        return found
    rounds = [_round(piece) for piece in crank.between(cut.x0, cut.x1)]
    if hasattr(cut, "radius"):
        gap = cut.radius - max(one.reach(cut.axis) for one in rounds)
    else:
        gap = cut.offset - max(one.support(cut.normal) for one in rounds)
    if abs(gap - cut.stock) > SLIP:
        found.append(f"{label}: leaves {gap:.3f} mm on the round, not {cut.stock:g}")
    for x, way, corner in ((cut.x0, -1, 0), (cut.x1, 1, 1)):
        wall = _wall(crank, x, way)
        if wall is not None and abs(wall - cut.stock) > SLIP:
            found.append(f"{label}: leaves {wall:.3f} mm on a web face, not {cut.stock:g}")
        if hasattr(cut, "corners"):
            nose = (step["tool"] or {}).get("nose", 0.0)
            wanted = 0.0 if wall is None else max(_fillet(crank, x, way) - cut.stock, nose)
            if abs(cut.corners[corner] - wanted) > SLIP:
                found.append(f"{label}: a corner of {cut.corners[corner]:g} mm, not {wanted:g}")
    return found


def _round(piece):
    """Section of a main or pin without its fillets."""
    return disc(piece.flares[-1][:2], piece.flares[-1].radius) if piece.flares else piece.section


def _wall(crank, x, way):
    """Distance along the axis from the end of a cut to the web face beyond it; None at an end of
    the crank.
    """
    if abs((crank.x0 if way < 0 else crank.x1) - x) < SLIP:
        return None
    faces = [web[1] if way < 0 else web[0] for web in crank.webs]
    beyond = [(face - x) * way for face in (*faces, crank.x0, crank.x1)]
    return min(one for one in beyond if one > -1.0)


def _fillet(crank, x, way):
    """Fillet of the crank at a web face near the end of a cut."""
    for piece in crank.pieces:
        for flare in piece.flares:
            beyond, middle = (flare.wall - x) * way, (piece.x0 + piece.x1) / 2
            if -0.5 < beyond <= 5.0 and middle * way < flare.wall * way:
                return flare.corner
    return 0.0


def compared(work, crank):
    """Metal that the work has in excess, and metal that it lacks."""
    edges = sorted(
        {edge for one in (work, crank) for piece in one.pieces for edge in (piece.x0, piece.x1)}
    )
    sums = [_Tally(), _Tally()]
    for x0, x1 in pairwise(edges):
        if x1 - x0 < 1e-9:
            continue
        here, there = (_piece(one, (x0 + x1) / 2) for one in (work, crank))
        bent = (here and here.flares) or (there and there.flares)
        for x, width in _samples(x0, x1, SAMPLES if bent else 1):
            for tally, one, other in zip(sums, (here, there), (there, here), strict=True):
                tally.add(x, width, one, other)
    return tuple(tally.difference() for tally in sums)


def _piece(work, x):
    return next((piece for piece in work.pieces if piece.x0 <= x <= piece.x1), None)


def _samples(x0, x1, count):
    """Places between two ends and the widths that they stand for, dense toward the ends."""
    edges = [x0 + (x1 - x0) * (1 - cos(pi * number / count)) / 2 for number in range(count + 1)]
    return [((low + high) / 2, high - low) for low, high in pairwise(edges)]


class _Tally:
    """Sums what one work has beyond another, slab by slab; what is deep in its section is no deeper
    than it is long.
    """

    def __init__(self):
        self.volume, self.deepest, self.run = 0.0, (0.0, 0.0), (0.0, 0.0, 0.0)

    def add(self, x, width, one, other):
        """A slab so wide at a place."""
        area, depth = _beyond(x, one, other)
        self.volume += area * width
        if depth <= DEEP:
            self._close()
            self.deepest = max(self.deepest, (depth, x))
            return
        length, most, at = self.run
        self.run = length + width, max(most, depth), at if most >= depth else x

    def _close(self):
        length, most, place = self.run
        self.deepest = max(self.deepest, (min(length, most), place))
        self.run = 0.0, 0.0, 0.0

    def difference(self):
        """The sum so far."""
        self._close()
        return Difference(self.volume, *self.deepest)


def _beyond(x, one, other):
    """Area and depth of what a piece has beyond another at a place."""
    section, beside = one and one.at(x), other and other.at(x)
    if section is None:
        return 0.0, 0.0
    if beside is None:
        return section.area, 1e9
    if section == beside:
        return 0.0, 0.0
    if not section.lines + beside.lines and len(section.discs) == len(beside.discs) == 1:
        ((y, z, radius),), ((v, w, other_radius),) = section.discs, beside.discs
        if hypot(y - v, z - w) + radius <= other_radius:
            return 0.0, 0.0
    common = section.inside(beside)
    area = max(section.area - (common.area if common else 0.0), 0.0)
    depth = max((beside.away(point) for point in section.rim()), default=0.0)
    return area, depth * _slope(x, one, other)


def _slope(x, *pieces):
    """Share of a radial distance in a fillet that lies square to its surface."""
    flares = [flare for piece in pieces for flare in piece.flares]
    if not flares:
        return 1.0
    flare = flares[-1]
    into = flare.corner - min(abs(x - flare.wall), flare.corner)
    return max(sqrt(flare.corner**2 - into**2) / flare.corner, 1e-3)
