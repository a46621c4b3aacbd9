"""Second opinion on a plan: cut the bar again slice by slice, compare with the finished crank.

Takes the plan as the sheet's JSON carries it, and a crank's sizes; no other part of the library.

Frame, in mm: x from the left end of the sawn bar, origin on the bar's own axis, y toward
throw 1, z to make it right-handed. The bar's axis is cut wherever anything changes and in fine
steps inside fillets; each slice is a polygon. Every circle, of the work and of the crank, is a
polygon of the same directions, so equal circles differ by nothing; circles that only touch differ
by at most ``chord``.
"""

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely

SAME = 1e-7  # mm; places nearer than this are one place
NO_AREA = 1e-7  # mm^2; what rounding leaves between two equal polygons


@dataclass(frozen=True)
class Round:
    """A cylinder from x0 to x1 with the fillets at its two faces; ``axis`` is (y, z)."""

    x0: float
    x1: float
    radius: float
    axis: tuple = (0.0, 0.0)
    corners: tuple = (0.0, 0.0)


@dataclass(frozen=True)
class Block:
    """A plate from x0 to x1 with the corners (y, z) of its outline."""

    x0: float
    x1: float
    points: tuple


@dataclass(frozen=True)
class Depth:
    """How far metal is from where it should be, and the place [mm]."""

    depth: float = 0.0
    x: float = math.nan
    y: float = math.nan
    z: float = math.nan


@dataclass(frozen=True)
class Replay:
    """Volumes in mm^3, shares of the finished volume, depths in mm.

    ``too_proud`` is the farthest remaining metal from the finished part, ``too_deep`` the farthest
    missing metal from the work. ``removed`` has (name, volume) of each step. ``x`` and ``axis``
    are where the finished part's left end and main axis were placed.
    """

    finished: float
    remaining: float
    missing: float
    too_proud: Depth
    too_deep: Depth
    removed: tuple
    x: float
    axis: tuple
    chord: float

    @property
    def remaining_share(self):
        return self.remaining / self.finished

    @property
    def missing_share(self):
        return self.missing / self.finished

    @property
    def deepest(self):
        """The larger of the two depths."""
        return max(self.too_proud, self.too_deep, key=lambda found: found.depth)

    def is_finished(self, within=1e-3):
        """True if no error is deeper than ``within`` mm and the error of the polygons."""
        return self.deepest.depth <= within + self.chord


def replay(plan, finished, place=None, vertices=720, steps=24):
    """Result of cutting the bar by the plan, beside the finished part.

    Parameters
    ----------
    plan : dict
        The plan, or a sheet that holds one under "plan".
    finished : Crank, or list of Round and Block from left to right in the part's own frame
    place : dict, optional
        {"x": left end, "axis": [y, z]} of the part in the plan's frame; else the plan's key
        "place"; else worked out from the cuts, see ``placed_by_cuts``.
    vertices, steps : int
        Corners of a circle, slices of a fillet.
    """
    plan = plan.get("plan", plan)
    pieces = finished if isinstance(finished, list) else pieces_of(finished)
    cuts = [_checked(cut) for step in plan["steps"] for cut in step["cuts"]]
    place = place or plan.get("place") or placed_by_cuts(cuts, pieces)
    pieces = [_moved(piece, place["x"], place["axis"]) for piece in pieces]
    bar, length = _bar(plan["bar"], vertices)
    turned = [(*cut["x"], cut["corners"]) for cut in cuts if cut["kind"] == "turn"]
    rounds = [(one.x0, one.x1, one.corners) for one in pieces if isinstance(one, Round)]
    marks = _marks(cuts, pieces, turned + rounds, length, steps)

    slices, after_step = [], np.zeros(len(plan["steps"]) + 1)
    for x0, x1 in pairwise(marks):
        if x1 - x0 < SAME:
            continue
        x = (x0 + x1) / 2
        work = bar if 0 < x < length else shapely.Polygon()
        after_step[0] += work.area * (x1 - x0)
        for number, step in enumerate(plan["steps"], 1):
            for cut in step["cuts"]:
                work = _cut(work, cut, x, vertices)
            after_step[number] += work.area * (x1 - x0)
        part = _section(pieces, x, vertices)
        slices.append((x0, x1, (_in_fillet(x, turned), work), (_in_fillet(x, rounds), part)))

    remaining, too_proud = _beyond(slices)
    missing, too_deep = _beyond([(x0, x1, part, work) for x0, x1, work, part in slices])
    widest = max(math.hypot(*corner) for corner in shapely.get_coordinates(bar))
    return Replay(
        float(sum((x1 - x0) * part.area for x0, x1, _, (_, part) in slices)),
        float(remaining),
        float(missing),
        too_proud,
        too_deep,
        tuple(
            (step.get("name", ""), float(volume))
            for step, volume in zip(plan["steps"], -np.diff(after_step), strict=True)
        ),
        place["x"],
        tuple(place["axis"]),
        widest * (1 - math.cos(math.pi / vertices)),
    )


def pieces_of(crank):
    """Pieces of a finished crank, x from its left end, y toward throw 1, main axis at the origin.

    A web is a plate with square ends: ``web_width`` across, from ``web_reach`` beyond the main
    axis to ``web_reach`` beyond the pin's. A fillet stands at every face of a web.
    """
    pieces, segments = [], crank.segments
    first = crank.throws[0].angle.m_as("rad")
    for place, segment in enumerate(segments):
        if segment.kind == "journal":
            journal = crank.journals[segment.index]
            half, fillet, axis = journal.diameter.m_as("mm") / 2, journal.fillet.m_as("mm"), (0, 0)
        else:
            throw = crank.throws[segment.index]
            offset = throw.radius.m_as("mm")
            angle = throw.angle.m_as("rad") - first
            half, fillet = throw.pin_diameter.m_as("mm") / 2, throw.fillet.m_as("mm")
            along = np.array([math.cos(angle), math.sin(angle)])
            axis = tuple(offset * along)
        if segment.kind == "web":
            across = np.array([-along[1], along[0]]) * throw.web_width.m_as("mm") / 2
            reach = throw.web_reach.m_as("mm")
            ends = (-reach * along, (offset + reach) * along)
            points = (ends[0] - across, ends[1] - across, ends[1] + across, ends[0] + across)
            pieces.append(Block(segment.start, segment.end, tuple(map(tuple, points))))
        else:
            corners = (fillet if place else 0.0, fillet if place + 1 < len(segments) else 0.0)
            pieces.append(Round(segment.start, segment.end, half, axis, corners))
    return pieces


def placed_by_cuts(cuts, pieces):
    """Left end and main axis of the part in the plan's frame, from the plan's own cuts.

    The left end is the farthest "end" cut that keeps the right side (0 if there is no such cut).
    The main axis is that of the smallest "turn" over the middle of the first journal, the later
    of two equal ones; the bar's own axis if it is never turned.
    """
    left = [cut["x"] for cut in cuts if cut["kind"] == "end" and cut["keep"] == "right"]
    x = max(left, default=0)
    middle = x + (pieces[0].x0 + pieces[0].x1) / 2
    over = [cut for cut in cuts if cut["kind"] == "turn" and cut["x"][0] < middle < cut["x"][1]]
    last = min(reversed(over), key=lambda cut: cut["radius"], default={"axis": (0.0, 0.0)})
    return {"x": float(x), "axis": tuple(last["axis"])}


def _checked(cut):
    """The cut, if section 3 of the plan's format knows it."""
    kind = cut["kind"]
    if kind not in ("turn", "plane", "outline", "end"):
        raise ValueError(f"a cut's kind is turn, plane, outline or end, not “{kind}”")
    if kind == "end" and cut["keep"] not in ("left", "right"):
        raise ValueError(f'an end keeps "left" or "right", not “{cut["keep"]}”')
    if kind != "end" and not cut["x"][0] < cut["x"][1]:
        raise ValueError(f"a {kind} runs from the smaller x to the larger, not {cut['x']}")
    if kind == "turn" and not (cut["radius"] > 0 and min(cut["corners"]) >= 0):
        raise ValueError("a turn needs a radius above zero and corners not below zero")
    if kind == "plane" and not math.isclose(math.hypot(*cut["normal"]), 1, abs_tol=1e-6):
        raise ValueError(f"a plane's normal has length 1, not {math.hypot(*cut['normal']):.6g}")
    if kind == "outline":
        outline = shapely.Polygon(cut["points"])
        if not math.isclose(outline.area, outline.convex_hull.area, rel_tol=1e-9):
            raise ValueError("an outline has to be a convex polygon, corners in order")
    return cut


def _bar(bar, vertices):
    """Outline of the sawn bar about its own axis, and its length."""
    sizes = bar["sizes"]
    if bar["shape"] == "round":
        return _disc((0.0, 0.0), sizes[0] / 2, vertices), bar["length"]
    if bar["shape"] not in ("square", "flat"):
        raise ValueError(f"a bar is round, square or flat, not “{bar['shape']}”")
    half_y, half_z = sizes[0] / 2, sizes[-1] / 2
    return shapely.box(-half_y, -half_z, half_y, half_z), bar["length"]


def _moved(piece, x, axis):
    """The piece shifted by x and by the axis (y, z)."""
    place = "axis" if isinstance(piece, Round) else "points"
    shifted = {place: np.add(getattr(piece, place), axis)}
    return replace(piece, x0=piece.x0 + x, x1=piece.x1 + x, **shifted)


def _marks(cuts, pieces, rounds, length, steps):
    """Every x where a section changes, with fine steps in the fillets of (x0, x1, corners)."""
    marks = [0.0, length]
    for x0, x1, (left, right) in rounds:
        for face, way, fillet in ((x0, 1, left), (x1, -1, right)):
            turn = np.linspace(0, math.pi / 2, steps + 1 if fillet else 1)
            marks += list(face + way * fillet * (1 - np.cos(turn)))
    marks += [x for one in pieces if isinstance(one, Block) for x in (one.x0, one.x1)]
    marks += [x for cut in cuts if cut["kind"] != "turn" for x in np.atleast_1d(cut["x"])]
    return np.unique(marks)


def _in_fillet(x, rounds):
    """True if x is in a fillet of one of (x0, x1, corners)."""
    return any(
        x0 < x < x1 and (x < x0 + left or x > x1 - right) for x0, x1, (left, right) in rounds
    )


def _disc(center, radius, vertices):
    """Polygon inscribed in a circle; its corners lie in the same directions for every circle."""
    turn = np.arange(vertices) * (2 * math.pi / vertices)
    return shapely.Polygon(
        np.column_stack([center[0] + radius * np.cos(turn), center[1] + radius * np.sin(turn)])
    )


def _radius_at(x, x0, x1, radius, corners):
    """Radius of a turned piece at x: that of the cylinder, more in the two fillets."""
    rise = 0.0
    for depth, fillet in ((x - x0, corners[0]), (x1 - x, corners[1])):
        if depth < fillet:
            rise = max(rise, fillet - math.sqrt(fillet**2 - (fillet - depth) ** 2))
    return radius + rise


def _cut(work, cut, x, vertices):
    """The slice of the work at x after one cut."""
    if cut["kind"] == "end":
        kept = x < cut["x"] if cut["keep"] == "left" else x > cut["x"]
        return work if kept else shapely.Polygon()
    x0, x1 = cut["x"]
    if work.is_empty or not x0 < x < x1:
        return work
    corners = shapely.get_coordinates(work)
    if cut["kind"] == "turn":
        radius = _radius_at(x, x0, x1, cut["radius"], cut["corners"])
        if np.hypot(*(corners - cut["axis"]).T).max() <= radius:
            return work
        return work & _disc(cut["axis"], radius, vertices)
    if cut["kind"] == "outline":
        return work & shapely.Polygon(cut["points"])
    normal = np.array(cut["normal"], float)
    if (corners @ normal).max() <= cut["offset"]:
        return work
    far = 4 * (np.abs(corners).max() + abs(cut["offset"]))
    along, edge = far * np.array([-normal[1], normal[0]]), cut["offset"] * normal
    back = edge - far * normal
    return work & shapely.Polygon([edge - along, edge + along, back + along, back - along])


def _section(pieces, x, vertices):
    """The finished part's slice at x. A fillet ends at the outline of what it stands on."""
    for place, piece in enumerate(pieces):
        if not piece.x0 < x < piece.x1:
            continue
        if isinstance(piece, Block):
            return shapely.Polygon(piece.points)
        plain = _disc(piece.axis, piece.radius, vertices)
        radius = _radius_at(x, piece.x0, piece.x1, piece.radius, piece.corners)
        if radius == piece.radius:
            return plain
        web = pieces[place + (-1 if x - piece.x0 < piece.x1 - x else 1)]
        face = _section([web], (web.x0 + web.x1) / 2, vertices)
        return plain | (_disc(piece.axis, radius, vertices) & face)
    return shapely.Polygon()


def _beyond(slices):
    """Volume of the first shape outside the second, and its farthest point from the second.

    ``slices`` holds x0, x1 and two pairs: whether the shape is in a fillet there, its polygon.
    Places are tried from the one with most room for a deep error, until none can hold a deeper one.
    """
    volume, found = 0.0, []
    for number, (x0, x1, (bent, first), (_, second)) in enumerate(slices):
        if shapely.equals_exact(first, second, SAME, normalize=True):
            continue
        outside = first - second
        if outside.area < NO_AREA:
            continue
        volume += outside.area * (x1 - x0)
        points = _few(outside, second)
        room = np.inf if second.is_empty else _distance(points, second).max() + (x1 - x0) / 2
        for x in [(x0 + x1) / 2] if bent else np.linspace(x0, x1, 5):
            found.append((room, number, x, points))
    deepest, memory = Depth(), {}
    for room, number, x, points in sorted(found, key=lambda one: -one[0]):
        if room <= deepest.depth * (1 + 1e-6):
            break
        depth = _depth(slices, number, x, points, memory)
        worst = int(depth.argmax())
        if depth[worst] > deepest.depth:
            deepest = Depth(float(depth[worst]), float(x), *map(float, points[worst]))
    return volume, deepest


def _few(outside, second, even=64, far=16):
    """Corners of a region: those evenly along its edge and those farthest from the second shape."""
    points = shapely.get_coordinates(outside)
    if len(points) <= even + far:
        return points
    chosen = np.linspace(0, len(points) - 1, even).astype(int)
    if not second.is_empty:
        chosen = np.union1d(chosen, np.argsort(_distance(points, second))[-far:])
    return points[chosen]


def _distance(points, shape):
    """Distance of points from a polygon, below zero inside."""
    points = shapely.points(points)
    distance = shapely.distance(points, shape)
    inside = distance == 0
    distance[inside] = -shapely.distance(points[inside], shape.boundary)
    return distance


def _depth(slices, number, x, points, memory):
    """Distance in space of points at x, in slice ``number``, from the second shape.

    Along x the distance across is known at both ends of a plain slice and in the middle of a slice
    of a fillet; straight lines join what is known.
    """
    depth = np.full(len(points), np.inf)
    for way in (-1, 1):
        before, place = None, number
        while 0 <= place < len(slices):
            x0, x1, _, (bent, second) = slices[place]
            nearest = before[0] if before else min(max(x, x0), x1)
            if way * (nearest - x) >= depth.max():
                break
            if second.is_empty:
                before = None
            else:
                if (number, place) not in memory:
                    memory[number, place] = _distance(points, second)
                across = memory[number, place]
                for end in [(x0 + x1) / 2] if bent else [x0, x1][::way]:
                    start = before or (end, across)
                    depth = np.minimum(depth, _from_line(x, *start, end, across))
                    before = (end, across)
            place += way
    return depth


def _from_line(x, x0, across0, x1, across1):
    """Distance from (x, 0) to what lies on or under the line from (x0, across0) to (x1, across1).

    The line is cut where it dips below zero: there the point itself would be inside the shape.
    """
    low, high = np.minimum(across0, across1), np.maximum(across0, across1)
    dips = (low < 0) & (high > 0)
    crossing = x0 + (x1 - x0) * across0 / np.where(dips, across0 - across1, 1.0)
    x0 = np.where(dips & (across0 < 0), crossing, x0)
    x1 = np.where(dips & (across1 < 0), crossing, x1)
    across0, across1 = np.maximum(across0, 0), np.maximum(across1, 0)
    run, rise = x1 - x0, across1 - across0
    square = run**2 + rise**2
    share = np.clip(((x - x0) * run - across0 * rise) / np.where(square > 0, square, 1.0), 0, 1)
    return np.hypot(x0 + share * run - x, across0 + share * rise)
