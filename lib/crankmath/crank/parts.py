"""The parts of a crank: journals and throws as quantities, and the same in plain mm and rad."""

from dataclasses import dataclass
from functools import cached_property
from math import cos, sin
from typing import NamedTuple

from ..units import Quantity


@dataclass(frozen=True)
class Journal:
    """A main: diameter, length between webs (or to the end), fillet at the web."""

    diameter: Quantity
    length: Quantity
    fillet: Quantity


@dataclass(frozen=True)
class Throw:
    """A pin between two webs.

    ``radius`` is the throw (half the stroke), ``angle`` its direction about the main axis. The
    web is ``web_thickness`` along the axis and reaches ``web_reach`` beyond each axis.
    """

    radius: Quantity
    angle: Quantity
    pin_diameter: Quantity
    pin_length: Quantity
    fillet: Quantity
    web_thickness: Quantity
    web_width: Quantity
    web_reach: Quantity


@dataclass(frozen=True)
class Segment:
    """One piece of a crank along its axis, in mm from the left end.

    ``kind`` is "journal", "web" or "pin"; ``index`` counts journals or throws from zero.
    ``axis`` is where its own axis stands beside the main axis: toward 0 and toward 90 degrees.
    A web has no diameter, fillet or axis of its own.
    """

    kind: str
    index: int
    start: float
    length: float
    name: str
    diameter: float | None = None
    fillet: float | None = None
    axis: tuple[float, float] | None = None

    @property
    def end(self):
        return self.start + self.length

    @property
    def middle(self):
        return self.start + self.length / 2


class PlainJournal(NamedTuple):
    """A journal in mm."""

    diameter: float
    length: float
    fillet: float


class PlainThrow(NamedTuple):
    """A throw in mm and rad."""

    radius: float
    angle: float
    pin_diameter: float
    pin_length: float
    fillet: float
    web_thickness: float
    web_width: float
    web_reach: float

    @property
    def pin_axis(self):
        """Pin axis beside the main axis, toward 0 and toward 90 degrees [mm]."""
        return self.radius * cos(self.angle), self.radius * sin(self.angle)


@dataclass(frozen=True)
class PlainCrank:
    """Sizes of a crank in mm and rad; cranks of the same sizes are equal."""

    journals: tuple[PlainJournal, ...]
    throws: tuple[PlainThrow, ...]

    @classmethod
    def of(cls, crank):
        """Plain sizes of a crank."""
        return cls(
            tuple(_plain(PlainJournal, journal) for journal in crank.journals),
            tuple(_plain(PlainThrow, throw) for throw in crank.throws),
        )

    @cached_property
    def segments(self):
        """Every piece from left to right."""
        pieces, x = [], 0.0
        for index, journal in enumerate(self.journals):
            run = [("journal", journal.length)]
            if index < len(self.throws):
                web = "web", self.throws[index].web_thickness
                run += [web, ("pin", self.throws[index].pin_length), web]
            for kind, length in run:
                pieces.append(self._segment(kind, index, x, length, len(pieces)))
                x += length
        return tuple(pieces)

    def _segment(self, kind, index, start, length, place):
        if kind == "web":
            return Segment(kind, index, start, length, f"web {place // 2 + 1}")
        if kind == "journal":
            own, name, axis = self.journals[index], f"main {index + 1}", (0.0, 0.0)
            return Segment(kind, index, start, length, name, own.diameter, own.fillet, axis)
        own, name = self.throws[index], f"pin {index + 1}"
        return Segment(kind, index, start, length, name, own.pin_diameter, own.fillet, own.pin_axis)

    @cached_property
    def rounds(self):
        """Mains and pins from left to right."""
        return self.segments[::2]

    @cached_property
    def mains(self):
        return self.segments[::4]

    @cached_property
    def pins(self):
        return self.segments[2::4]

    @cached_property
    def webs(self):
        return self.segments[1::2]

    @property
    def length(self):
        return self.segments[-1].end


def _plain(kind, part):
    return kind(
        *(getattr(part, name).m_as("rad" if name == "angle" else "mm") for name in kind._fields)
    )
