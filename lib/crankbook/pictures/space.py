"""A view in space: convex prisms, lines and words, which the reader turns; numbers in, no physics.

The frame is that of the work: x along the axis, y toward throw 1, z to make it right-handed; mm.
The page draws a :class:`Space` itself; the printed picture is drawn by ``space_still``.
"""

from dataclasses import dataclass, field
from functools import cached_property
from itertools import product
from math import acos, cos, radians, sin

import numpy as np

STEEL, GONE, CUT = "#9db0c5", "#d08a62", "#6f9bd0"
ARC = 0.5  # rad between two points of an arc of radius 1 mm; a wider one has more
SLICES = 4  # prisms of a fillet
SHARP = 0.45  # rad between two sides whose common edge shows
NEAR = -32.0, 22.0  # deg around the upright and up from the axis: the right-hand end is seen


@dataclass(frozen=True, eq=False)
class Prism:
    """From ``low`` to ``high`` over a convex ring of (y, z), counterclockwise from y to z.

    ``edges`` says whether the outlines of its two ends show.
    """

    low: float
    high: float
    ring: np.ndarray
    edges: tuple = (True, True)

    @property
    def vertices(self):
        """Corners (2 n, 3) of the low and then of the high end."""
        ends = np.repeat([self.low, self.high], len(self.ring))
        return np.column_stack([ends, np.vstack([self.ring, self.ring])])


@dataclass(frozen=True, eq=False)
class Body:
    """Prisms of one color; below an ``opacity`` of one what lies behind shows through.

    An ``upright`` body has its prisms along y and rings of (z, x). ``moves`` are rows of a turn
    about x [rad], then y and z [mm], evenly over the range of the control that drives the view.
    """

    prisms: tuple
    color: str = STEEL
    opacity: float = 1.0
    upright: bool = False
    moves: np.ndarray | None = None


@dataclass(frozen=True, eq=False)
class Trace:
    """A line through points (n, 3); faint and broken where it runs behind a body."""

    points: np.ndarray
    color: str
    width: float = 2.0
    dash: str = ""


@dataclass(frozen=True)
class Word:
    """A short text at a point."""

    point: tuple
    text: str
    color: str
    anchor: str = "middle"


@dataclass(frozen=True, eq=False)
class Space:
    """All that stands in one view; ``said`` says it in words, ``holds`` are points that have to
    fit.

    ``turned`` is how the view begins [deg]. ``driver`` names the control that moves bodies,
    ``over`` its range; ``at`` is the share of it that paper shows.
    """

    bodies: tuple
    said: str
    holds: np.ndarray
    traces: tuple = ()
    words: tuple = ()
    turned: tuple = NEAR
    driver: str = ""
    over: tuple = (0.0, 0.0)
    at: float = 0.0
    axes: int = 0
    kind: str = field(default="space", repr=False)

    @cached_property
    def middle(self):
        """Point about which the view turns: where it begins all that has to fit lies around it."""
        rows = sight(self.turned)
        seen = self.holds @ rows.T
        return (seen.min(axis=0) + seen.max(axis=0)) / 2 @ rows


def pale(color, share=0.4):
    """A color mixed with so much white."""
    parts = (int(color[at : at + 2], 16) for at in (1, 3, 5))
    return "#" + "".join(f"{round(part + share * (255 - part)):02x}" for part in parts)


def ring(section):
    """Points around an exact section, all of them on its outline, counterclockwise (n, 2)."""
    wide = max((arc[2] for arc in section.arcs), default=1.0)
    points = np.array(section.rim(arc_step(wide)))
    y, z = section.centroid
    order = np.argsort(np.arctan2(points[:, 1] - z, points[:, 0] - y), kind="stable")
    points = points[order]
    apart = np.hypot(*(points - np.roll(points, 1, axis=0)).T) > 1e-6
    return points[apart]


def arc_step(radius):
    """Radians between two points of an arc: alike on the page for small and wide ones."""
    return min(max(ARC / radius**0.5, 0.06), 0.3)


def circle(axis, radius, step=None):
    """Points of a circle about (y, z), counterclockwise (n, 2)."""
    turn = np.linspace(0, 2 * np.pi, int(2 * np.pi / (step or arc_step(radius))) + 1)[:-1]
    return np.column_stack([axis[0] + radius * np.cos(turn), axis[1] + radius * np.sin(turn)])


def block(x, y, z):
    """A box as a prism; each side as (least, most)."""
    return Prism(*x, np.array([(y[0], z[0]), (y[1], z[0]), (y[1], z[1]), (y[0], z[1])]))


def hoop(x, axis, radius):
    """Points (n, 3) of a whole circle across the axis, closed."""
    around = circle(axis, radius, 0.07)
    around = np.vstack([around, around[:1]])
    return np.column_stack([np.full(len(around), x), around])


def straight(start, end):
    """Both ends of a line, as points of a trace."""
    return np.array([start, end], dtype=float)


def prisms(pieces):
    """Prisms of the work's pieces, in their order: plain ones exact, a fillet in thin slices."""
    return tuple(prism for some in prisms_by_piece(pieces) for prism in some)


def prisms_by_piece(pieces):
    """Prisms of each of the work's pieces; a slice of a fillet has the exact section at its
    middle."""
    found = []
    for number, piece in enumerate(pieces):
        if piece.flares:
            sections = [(ends, piece.at(sum(ends) / 2)) for ends in _slices(piece)]
            found.append([Prism(*ends, ring(one), (False, False)) for ends, one in sections if one])
            continue
        beside = pieces[max(number - 1, 0)], pieces[min(number + 1, len(pieces) - 1)]
        edges = tuple(
            not runs_into(other, x) for other, x in zip(beside, (piece.x0, piece.x1), strict=True)
        )
        found.append([Prism(piece.x0, piece.x1, ring(piece.section), edges)])
    return found


def runs_into(piece, x):
    """Whether a piece is a fillet that begins at a place without a step."""
    return bool(piece.flares) and all(abs(flare.wall - x) > 1e-6 for flare in piece.flares)


def _slices(piece):
    """(low, high) of a fillet's slices, thin where it rises steeply."""
    flare = piece.flares[-1]
    ends = [acos(1 - min(abs(x - flare.wall) / flare.corner, 1.0)) for x in (piece.x0, piece.x1)]
    way = 1 if piece.x0 + piece.x1 > 2 * flare.wall else -1
    turns = np.linspace(*ends, SLICES + 1)
    places = flare.wall + way * flare.corner * (1 - np.cos(turns))
    return list(zip(places[:-1], places[1:], strict=True))


def box_corners(low, high):
    """The eight corners of a box between two points (8, 3)."""
    return np.array(list(product(*zip(low, high, strict=True))), dtype=float)


def sight(turned):
    """Rows right, up and toward the eye of a view turned around the upright and up [deg]."""
    a, e = (radians(angle) for angle in turned)
    return np.array(
        [
            (cos(a), 0.0, sin(a)),
            (sin(a) * sin(e), cos(e), -cos(a) * sin(e)),
            (-sin(a) * cos(e), sin(e), cos(a) * cos(e)),
        ]
    )


def scale_of(space, turned, width, height):
    """Pixels a millimeter, so that all fits at this view and is not larger than at first."""
    fits = []
    for view in (space.turned, turned):
        wide, high = 2 * np.abs((space.holds - space.middle) @ sight(view)[:2].T).max(axis=0)
        fits.append(min(width / wide, height / high))
    return 0.95 * min(fits)


def moved(points, move):
    """Points (n, 3) turned about x and shifted by a row of ``moves``."""
    turn, y, z = move
    c, s = cos(turn), sin(turn)
    found = np.array(points, dtype=float)
    found[:, 1] = points[:, 1] * c - points[:, 2] * s + y
    found[:, 2] = points[:, 1] * s + points[:, 2] * c + z
    return found


def move_at(body, share):
    """Row of ``moves`` at a share of the driving control's range; none of it for a body at rest."""
    if body.moves is None:
        return 0.0, 0.0, 0.0
    place = min(max(share, 0.0), 1.0) * (len(body.moves) - 1)
    return tuple(np.array([np.interp(place, range(len(row)), row) for row in body.moves.T]))


def on_page(space):
    """What the browser draws: rings one after another, a row of numbers a prism, all as bytes."""
    every = [(body, prism) for body in space.bodies for prism in body.prisms]
    rows = [
        (prism.low, prism.high, len(prism.ring), prism.edges[0] + 2 * prism.edges[1])
        for _, prism in every
    ]
    return {
        "kind": "space",
        "axes": space.axes,
        "said": space.said,
        "turned": list(space.turned),
        "holds": np.round(space.holds, 2).ravel().tolist(),
        "middle": space.middle.tolist(),
        "driver": space.driver,
        "over": list(space.over),
        "rings": np.concatenate([prism.ring for _, prism in every]).astype(np.float32).tobytes(),
        "rows": np.array(rows, dtype=np.float32).tobytes(),
        "bodies": [
            {
                "prisms": len(body.prisms),
                "color": body.color,
                "opacity": body.opacity,
                "upright": body.upright,
                "moves": [] if body.moves is None else body.moves.round(5).ravel().tolist(),
            }
            for body in space.bodies
        ],
        "traces": [
            {
                "points": np.round(trace.points, 3).ravel().tolist(),
                "color": trace.color,
                "width": trace.width,
                "dash": trace.dash,
            }
            for trace in space.traces
        ],
        "words": [
            {
                "point": list(map(float, one.point)),
                "text": one.text,
                "color": one.color,
                "anchor": one.anchor,
            }
            for one in space.words
        ],  # fmt: skip
    }
