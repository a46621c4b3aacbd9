"""The work as it stands: pieces along the axis, each with an exact cross-section; what is asked of
it.

The frame: x along the axis from the left end of the sawn bar, origin on the bar's own axis, y
toward throw 1, z to make it right-handed. Plain numbers, mm.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from math import acos, cos, pi, sin, sqrt
from typing import NamedTuple

from .sections import Section, disc

THIN = 1e-7  # mm: a thinner piece is no piece
EIGHT = (  # Gauss points: a fillet's ring is true to 1e-9 of its volume
    (0.01985507175123188, 0.05061426814518813),
    (0.10166676129318664, 0.11119051722668724),
    (0.2372337950418355, 0.15685332293894363),
    (0.40828267875217505, 0.18134189168918100),
    (0.591717321247825, 0.18134189168918100),
    (0.7627662049581645, 0.15685332293894363),
    (0.8983332387068134, 0.11119051722668724),
    (0.9801449282487681, 0.05061426814518813),
)


class Flare(NamedTuple):
    """A fillet left about an axis: a round of radius ``radius`` that widens by ``corner`` toward
    its wall at ``wall``.
    """

    y: float
    z: float
    radius: float
    corner: float
    wall: float

    def at(self, x):
        """Radius at a place along the axis."""
        into = self.corner - min(abs(x - self.wall), self.corner)
        return self.radius + self.corner - sqrt(self.corner**2 - into**2)


@dataclass(frozen=True)
class Piece:
    """A piece of the work from ``x0`` to ``x1``: its section, and the fillets that narrow it along
    the way.
    """

    x0: float
    x1: float
    section: Section
    flares: tuple = ()

    @property
    def length(self):
        return self.x1 - self.x0

    def at(self, x):
        """Exact section at a place along the axis; the piece's own is the widest of them."""
        section = self.section
        for flare in self.flares:
            if section is not None:
                section = section.inside_disc(flare[:2], flare.at(x))
        return section

    @cached_property
    def moments(self):
        """Volume, and volume times x, y, z [mm3, mm4]."""
        if not self.flares:
            area, first_y, first_z = self.section.firsts
            middle = (self.x0 + self.x1) / 2
            return tuple(self.length * one for one in (area, area * middle, first_y, first_z))
        flare, sums = self.flares[-1], [0.0] * 4
        round_ = len(self.flares) == len(self.section.discs) == 1 and not self.section.lines
        round_ = round_ and self.section.discs[0][:2] == flare[:2]
        ends = [acos(1 - min(abs(x - flare.wall) / flare.corner, 1.0)) for x in (self.x0, self.x1)]
        way = 1 if self.x0 + self.x1 > 2 * flare.wall else -1
        for share, weight in EIGHT:
            turn = ends[0] + share * (ends[1] - ends[0])
            x = flare.wall + way * flare.corner * (1 - cos(turn))
            width = weight * abs(ends[1] - ends[0]) * flare.corner * sin(turn)
            section = None if round_ else self.at(x)
            if round_ or section is not None:
                area = pi * flare.at(x) ** 2
                firsts = (area, area * flare.y, area * flare.z) if round_ else section.firsts
                area, first_y, first_z = firsts
                for number, value in enumerate((area, area * x, first_y, first_z)):
                    sums[number] += width * value
        return tuple(sums)

    def between(self, x0, x1):
        """The part of the piece between two places."""
        return self if (x0, x1) == (self.x0, self.x1) else replace(self, x0=x0, x1=x1)

    def turned(self, axis, radius, flare=None):
        """The piece turned down about an axis, or None where nothing is left."""
        section = self.section.inside_disc(axis, radius)
        if section is None:
            return None
        flares = self.flares
        if flare is not None:
            flares = (*(one for one in flares if not self._covers(one, flare)), flare)
        else:
            flares = tuple(
                one
                for one in flares
                if one[:2] != tuple(axis) or min(one.at(self.x0), one.at(self.x1)) < radius
            )
        if section is self.section and flares == self.flares:
            return self
        return Piece(self.x0, self.x1, section, flares)

    def _covers(self, one, other):
        """Whether a fillet is nowhere narrower than another about the same axis."""
        places = self.x0, (self.x0 + self.x1) / 2, self.x1
        return one[:2] == other[:2] and all(one.at(x) >= other.at(x) for x in places)


@dataclass(frozen=True)
class Work:
    """The work: its pieces from left to right; ``webs`` of a finished crank are where they begin
    and end.
    """

    pieces: tuple
    webs: tuple = ()

    @property
    def x0(self):
        """Its left end."""
        return self.pieces[0].x0

    @property
    def x1(self):
        """Its right end."""
        return self.pieces[-1].x1

    def between(self, x0, x1):
        """Pieces, or parts of them, between two places along the axis."""
        return tuple(
            piece.between(max(piece.x0, x0), min(piece.x1, x1))
            for piece in self.pieces
            if min(piece.x1, x1) - max(piece.x0, x0) > THIN
        )

    def beside(self, x0, x1):
        """Pieces, or parts of them, that lie outside two places along the axis."""
        return self.between(-1e9, x0) + self.between(x1, 1e9)

    def at(self, x):
        """Exact section at a place, or None where there is no metal."""
        found = next((piece for piece in self.pieces if piece.x0 <= x <= piece.x1), None)
        return found and found.at(x)

    def changed(self, x0, x1, change, places=()):
        """The work with its pieces between two places changed; ``change`` returns a piece or None.
        Cut at ``places`` too.
        """
        edges, pieces = sorted({x0, x1, *places}), []
        for piece in self.pieces:
            inner = [edge for edge in edges if piece.x0 + THIN < edge < piece.x1 - THIN]
            ends = [piece.x0, *inner, piece.x1]
            for low, high in pairwise(ends):
                part = piece.between(low, high)
                if x0 - THIN < low and high < x1 + THIN:
                    part = change(part)
                if part is not None:
                    pieces.append(part)
        return Work(_joined(pieces))

    def volume(self):
        """Volume [mm3]."""
        return sum(piece.moments[0] for piece in self.pieces)

    def center(self):
        """Center of mass (x, y, z)."""
        sums = [sum(piece.moments[number] for piece in self.pieces) for number in range(4)]
        return tuple(one / sums[0] for one in sums[1:])

    def mass(self, density):
        """Mass [kg] for a density [kg/mm3]."""
        return density * self.volume()

    def unbalance(self, axis, density):
        """Mass times offset (y, z) about an axis that it turns on [kg mm]."""
        volume, (_, y, z) = self.volume(), self.center()
        return density * volume * (y - axis[0]), density * volume * (z - axis[1])

    def swing(self, axis, x0=None, x1=None):
        """Farthest point from an axis, of all the work or between two places; zero where there is
        no metal.
        """
        pieces = self.pieces if x0 is None else self.between(x0, x1)
        return max((piece.section.reach(axis) for piece in pieces), default=0.0)

    def whole_ring(self, axis, x0, x1):
        """Radius below which a tool between two places cuts without a break."""
        return min((piece.section.whole_ring(axis) for piece in self.between(x0, x1)), default=0.0)

    def share(self, axis, radius, x):
        """Share of a turn that a tool at a radius and a place is in metal."""
        section = self.at(x)
        return 0.0 if section is None else section.share(axis, radius)

    def first_contact(self, axis, x0, x1):
        """Radius at which a tool fed in between two places first meets metal, and the place along
        the axis.
        """
        pieces = self.between(x0, x1)
        if not pieces:
            return 0.0, x0
        piece = max(pieces, key=lambda one: one.section.reach(axis))
        return piece.section.reach(axis), (piece.x0 + piece.x1) / 2

    def reach_needed(self, axis, radius, x0, x1):
        """How far a blade has to stand out of its holder to cut down to a radius between two
        places.

        Whatever is wider than the gap stays outside the swing of all the metal beside it.
        """
        beside = max((piece.section.reach(axis) for piece in self.beside(x0, x1)), default=0.0)
        return beside - radius

    def sections(self):
        """For a frame: begin, end, area, centroid (y, z), second moments y y, z z, y z about it,
        one row a piece.
        """
        rows = []
        for piece in self.pieces:
            section = piece.at((piece.x0 + piece.x1) / 2) if piece.flares else piece.section
            rows.append(
                (
                    piece.x0,
                    piece.x1,
                    section.area,
                    *section.centroid,
                    *section.second_moments,
                )
            )
        return tuple(rows)


def _joined(pieces):
    """Neighbors of one section as one piece."""
    found = []
    for piece in pieces:
        last = found[-1] if found else None
        alike = (
            last is not None
            and abs(last.x1 - piece.x0) < THIN
            and last.flares == piece.flares
            and (last.section is piece.section or last.section == piece.section)
        )
        if alike:
            found[-1] = last.between(last.x0, piece.x1)
        else:
            found.append(piece)
    return tuple(found)


def bar_section(shape, sizes, turn=0.0):
    """Section of a bar about its own axis; ``turn`` [rad] from y to its first side."""
    if shape == "round":
        return disc((0.0, 0.0), sizes[0] / 2)
    wide, high = (sizes[0], sizes[-1]) if shape == "flat" else (sizes[0], sizes[0])
    return Section(
        (),
        tuple(
            (
                cos(turn + quarter * 1.5707963267948966),
                sin(turn + quarter * 1.5707963267948966),
                side / 2,
            )
            for quarter, side in enumerate((wide, high, wide, high))
        ),
    )
