"""Where the crank lies in its bar, in the frame of the work, and the finished crank as pieces along
the axis.
"""

from dataclasses import dataclass
from functools import cached_property
from math import ceil, copysign, cos, floor, pi, radians, sin

from ..crank import Crank
from ..language import marked
from .sections import disc, polygon
from .work import Flare, Piece, Work, bar_section

OUTLINES = (
    *(marked("milled square"), marked("sawn and filed")),
    *(marked("rounded"), marked("left as the bar")),
)
GRIDS = {
    "mm": (0.001, 0.01, 0.01),
    "in": (25.4e-4, 25.4e-3 / 2, 25.4e-3 * 5),
}  # mm: finished sizes, those left for finishing, and what is left before turning or stands out


@dataclass(frozen=True)
class Placed:
    """The crank in its bar: ``x0`` its left end, axes (y, z) of mains and pins, ``directions`` of
    the throws.

    ``bar`` is the bar as the sheet's JSON holds it, ``faced`` the two faces that carry the centers.
    ``outline`` is one of ``OUTLINES``, ``units`` those of printed sizes.
    """

    crank: Crank
    bar: dict
    faced: tuple
    x0: float
    main: tuple
    pins: tuple
    directions: tuple
    outline: str
    units: str

    @cached_property
    def bar_section(self):
        """Section of the bar."""
        return bar_section(self.bar["shape"], self.bar["sizes"], radians(self.bar["turn"]))

    @cached_property
    def segments(self):
        """(kind, index, x0, x1) of the crank's pieces in the frame of the work."""
        return [
            (piece.kind, piece.index, self.x0 + piece.start, self.x0 + piece.end)
            for piece in self.crank.segments
        ]

    @property
    def x1(self):
        """Its right end."""
        return self.segments[-1][3]

    def fine(self, size):
        """A size as it is printed, for what is cut to size."""
        return _rounded(size, GRIDS[self.units][0])

    def coarse(self, size):
        """A size as it is printed, for what is left for finishing."""
        return _rounded(size, GRIDS[self.units][1])

    def roomy(self, size):
        """A size as it is printed, not below what is asked for."""
        step = GRIDS[self.units][2]
        return _rounded(ceil(size / step - 1e-6) * step, step)

    def axis(self, kind, index):
        """Exact axis of a main or pin."""
        return self.pins[index] if kind == "pin" else self.main

    @cached_property
    def rounds(self):
        """Radius and fillet of each main and pin, by (kind, index)."""
        parts = [("journal", index, one) for index, one in enumerate(self.crank.journals)]
        parts += [("pin", index, one) for index, one in enumerate(self.crank.throws)]
        return {
            (kind, index): (
                (one.pin_diameter if kind == "pin" else one.diameter).m_as("mm") / 2,
                one.fillet.m_as("mm"),
            )
            for kind, index, one in parts
        }

    def least_left(self, cut):
        """Metal a side that the smallest accepted diameter of a roughing cut leaves, as printed."""
        kind, number = cut.place.split()
        radius, _unused = self.rounds["pin" if kind == "pin" else "journal", int(number) - 1]
        step = GRIDS[self.units][0]
        return _rounded(floor((cut.accepted[0] / 2 - radius) / step + 1e-6) * step, step)

    def span(self, kind, index):
        """Both ends of a main or pin along the axis."""
        return next(
            (x0, x1) for one, number, x0, x1 in self.segments if (one, number) == (kind, index)
        )

    def walled(self, kind, index):
        """Whether a web stands at the left and at the right end of a main or pin."""
        return (
            kind == "pin" or index > 0,
            kind == "pin" or index < len(self.crank.journals) - 1,
        )

    @cached_property
    def webs(self):
        """Throw radius, reach and width of the webs of each throw."""
        return tuple(
            tuple(getattr(one, name).m_as("mm") for name in ("radius", "web_reach", "web_width"))
            for one in self.crank.throws
        )

    def web_corners(self, index):
        """Corners of a web as drawn."""
        radius, reach, width = self.webs[index]
        far, near, half = radius + reach, -reach, width / 2
        (u, v), (y, z) = self.directions[index], self.main
        return tuple(
            (y + out * u - side * v, z + out * v + side * u)
            for out, side in ((near, -half), (far, -half), (far, half), (near, half))
        )

    def web_round(self, index):
        """Radius about main and pin to which the ends of a rounded web are turned."""
        return sum(self.webs[index][:2])

    def web_section(self, index):
        """Section of a finished web."""
        if self.outline == "left as the bar":
            return self.bar_section
        section = polygon(self.web_corners(index))
        if self.outline == "rounded":
            for axis in (self.main, self.pins[index]):
                section = section.inside_disc(axis, self.web_round(index))
        return section

    def finished(self):
        """The finished crank, exact."""
        pieces = []
        for kind, index, x0, x1 in self.segments:
            if kind == "web":
                pieces.append(Piece(x0, x1, self.web_section(index)))
                continue
            axis, (radius, fillet) = self.axis(kind, index), self.rounds[kind, index]
            left, right = (fillet * wall for wall in self.walled(kind, index))
            if left:
                flare = Flare(*axis, radius, fillet, x0)
                pieces.append(Piece(x0, x0 + left, disc(axis, radius + fillet), (flare,)))
            pieces.append(Piece(x0 + left, x1 - right, disc(axis, radius)))
            if right:
                flare = Flare(*axis, radius, fillet, x1)
                pieces.append(Piece(x1 - right, x1, disc(axis, radius + fillet), (flare,)))
        webs = tuple((x0, x1) for kind, _unused, x0, x1 in self.segments if kind == "web")
        return Work(tuple(piece for piece in pieces if piece.length > 1e-9), webs)


def _rounded(size, step):
    """To a step, halves away from zero, on either side alike."""
    return copysign(round(floor(abs(size) / step + 0.5 + 1e-6) * step, 6), size) + 0.0


def place(crank, bar, allowance, stub, outline="milled square"):
    """The crank laid in its bar: so much to face off and so much stub at each end [mm].

    Parameters
    ----------
    crank : Crank
    bar : bar.Bar
    allowance, stub : float [mm]
    outline : str
        One of ``OUTLINES``.
    """
    units, first = crank.units, crank.throws[0].angle.m_as("rad")
    # bar.py looks from the right-hand end, x to the right, y up; here up is y, left is z
    up, left = -bar.middle_y.m_as("mm"), bar.middle_x.m_as("mm")
    main = up * cos(first) + left * sin(first), left * cos(first) - up * sin(first)
    facing = _rounded(allowance, GRIDS[units][0])
    x0 = _rounded(facing + stub, GRIDS[units][0])
    right = x0 + crank.length.m_as("mm") + stub
    length = max(right + facing, bar.length.m_as("mm"))
    table = _bar_table(bar, first, _rounded(length, GRIDS[units][0]))
    faced = facing, _rounded(right, GRIDS[units][0])
    return Placed(crank, table, faced, x0, main, *_throws(crank, main), outline, units)


def alone(crank):
    """The crank without a bar: its left end at x 0, its main axis the origin."""
    main, faced = (0.0, 0.0), (0.0, crank.length.m_as("mm"))
    axes = _throws(crank, main)
    return Placed(crank, {}, faced, 0.0, main, *axes, "milled square", crank.units)


def _throws(crank, main):
    """Axes (y, z) of the pins, and directions of the throws, the first along y."""
    first = crank.throws[0].angle.m_as("rad")
    angles = [throw.angle.m_as("rad") - first for throw in crank.throws]
    directions = tuple((cos(angle), sin(angle)) for angle in angles)
    radii = [throw.radius.m_as("mm") for throw in crank.throws]
    pins = tuple(
        (main[0] + radius * u, main[1] + radius * v)
        for radius, (u, v) in zip(radii, directions, strict=True)
    )
    return pins, directions


def _bar_table(bar, first, length):
    """The bar as the sheet's JSON holds it; ``turn`` [deg] is its first side's direction from y
    toward z.
    """
    sizes, turn = [round(side.m_as("mm"), 6) for side in (bar.width, bar.height)], 0.0
    if bar.shape != "round":
        turn = (bar.turn.m_as("rad") - pi / 2 - first + pi / 4) % pi - pi / 4
        if turn > pi / 4 + 1e-9:  # the first size is the one nearer to y
            turn, sizes = turn - pi / 2, sizes[::-1]
    if bar.shape != "flat":
        sizes = sizes[:1]
    return {
        "shape": bar.shape,
        "sizes": sizes,
        "length": length,
        "turn": round(turn * 180 / pi, 6) + 0.0,
    }
