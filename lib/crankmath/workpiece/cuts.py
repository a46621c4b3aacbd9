"""The four cuts that make a crank of a bar. Each keeps what is inside and takes the rest, between
two places along the axis.

As they stand in the sheet's JSON: "turn" keeps what is inside a radius about an axis, with fillets
at its ends; "plane" what is on the near side of a flat; "outline" what is inside a convex polygon;
"end" what is left or right of a cut across. ``stock`` is what a cut leaves over the finished crank,
zero for a cut to size.
"""

from dataclasses import dataclass
from math import hypot

from ..language import _
from .work import Flare, Work


@dataclass(frozen=True)
class Turn:
    """Turn to a radius about an axis from ``x0`` to ``x1``; the metal of the fillets ``corners``
    (at x0, x1) stays.
    """

    x0: float
    x1: float
    axis: tuple
    radius: float
    corners: tuple = (0.0, 0.0)
    stock: float = 0.0
    place: str = ""

    @property
    def accepted(self):
        """Smallest and largest diameter to accept where stock stays: a fourth of it a side, own
        choice.
        """
        return tuple(2 * self.radius + off for off in (-self.stock / 2, self.stock / 2))

    def applied(self, work):
        """The work after the cut."""
        left, right = self.corners
        if left + right > self.x1 - self.x0 + 1e-6:
            raise ValueError(
                _("corners do not fit between x {x0:g} and {x1:g} mm").format(
                    x0=self.x0, x1=self.x1
                )
            )
        flat = self.x0 + left, self.x1 - right

        def change(piece):
            if piece.x1 < flat[0] + 1e-6 and left:
                return _flared(piece, Flare(*self.axis, self.radius, left, self.x0))
            if piece.x0 > flat[1] - 1e-6 and right:
                return _flared(piece, Flare(*self.axis, self.radius, right, self.x1))
            return piece.turned(self.axis, self.radius)

        return work.changed(self.x0, self.x1, change, flat)

    def as_dict(self):
        return {
            "kind": "turn",
            "x": [self.x0, self.x1],
            "axis": list(self.axis),
            "radius": self.radius,
            "corners": list(self.corners),
            "stock": self.stock,
            "place": self.place,
        }


def _flared(piece, flare):
    """A piece turned to a fillet."""
    widest = max(flare.at(piece.x0), flare.at(piece.x1))
    return piece.turned(flare[:2], widest, flare)


@dataclass(frozen=True)
class Plane:
    """A flat from ``x0`` to ``x1``: what has n . p <= offset stays."""

    x0: float
    x1: float
    normal: tuple
    offset: float
    stock: float = 0.0
    place: str = ""

    def applied(self, work):
        """The work after the cut."""
        size = hypot(*self.normal)
        normal = self.normal[0] / size, self.normal[1] / size

        def change(piece):
            section = piece.section.below_line(normal, self.offset / size)
            return _with(piece, section)

        return work.changed(self.x0, self.x1, change)

    def as_dict(self):
        return {
            "kind": "plane",
            "x": [self.x0, self.x1],
            "normal": list(self.normal),
            "offset": self.offset,
            "stock": self.stock,
            "place": self.place,
        }


@dataclass(frozen=True)
class Outline:
    """The outline of a web from ``x0`` to ``x1``: what is inside the convex polygon stays.

    ``walls`` is how far it runs past the web's two faces, where stock still stands on them.
    """

    x0: float
    x1: float
    points: tuple
    stock: float = 0.0
    place: str = ""
    walls: tuple = (0.0, 0.0)

    def applied(self, work):
        """The work after the cut."""
        return work.changed(
            self.x0,
            self.x1,
            lambda piece: _with(piece, piece.section.inside_polygon(self.points)),
        )

    def as_dict(self):
        return {
            "kind": "outline",
            "x": [self.x0, self.x1],
            "points": [list(point) for point in self.points],
            "stock": self.stock,
            "place": self.place,
            "walls": list(self.walls),
        }


@dataclass(frozen=True)
class End:
    """Part off or face at ``x``; ``keep`` is "left" or "right" of it."""

    x: float
    keep: str
    stock: float = 0.0
    place: str = ""

    def applied(self, work):
        """The work after the cut."""
        kept = (-1e9, self.x) if self.keep == "left" else (self.x, 1e9)
        return Work(work.between(*kept))

    def as_dict(self):
        return {
            "kind": "end",
            "x": self.x,
            "keep": self.keep,
            "stock": self.stock,
            "place": self.place,
        }


def _with(piece, section):
    """A piece with another section, or None where nothing is left."""
    if section is None or section is piece.section:
        return section and piece
    return type(piece)(piece.x0, piece.x1, section, piece.flares)


def read_cut(data):
    """Cut from its table in the sheet's JSON."""
    kind, more = data["kind"], {key: data[key] for key in ("stock", "place") if key in data}
    if kind == "turn":
        return Turn(
            *data["x"],
            tuple(data["axis"]),
            data["radius"],
            tuple(data.get("corners", (0.0, 0.0))),
            **more,
        )
    if kind == "plane":
        return Plane(*data["x"], tuple(data["normal"]), data["offset"], **more)
    if kind == "outline":
        walls = tuple(data.get("walls", (0.0, 0.0)))
        return Outline(*data["x"], tuple(map(tuple, data["points"])), **more, walls=walls)
    if kind == "end":
        return End(data["x"], data["keep"], **more)
    raise ValueError(
        _("kind of a cut must be turn, plane, outline or end, not {kind!r}").format(kind=kind)
    )
