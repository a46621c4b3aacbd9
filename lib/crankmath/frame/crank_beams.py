"""The beams that stand for a crank: which pieces bend, over what length, with what section.

Plain numbers: mm, rad. See ``frame.build`` for what the corrections mean.
"""

import warnings
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from ..units import OutOfRangeWarning

POISSON = 0.29
DRIVER_GRIP = 0.15  # where the driver grips, as a share of the end journal's length
# Where beams end inside solids, fitted to 3-D solid finite elements of 25 cranks made for this project.
EMBEDMENT, FILLET_STIFFENING = (
    0.185,
    0.40,
)  # a pin or journal bends on inside its web: of its diameter, less of its fillet
# the web is rigid beside a pin or journal: of its diameter, and of its fillet, less of the web's thickness, less of its excess width
RIGID_DIAMETER, RIGID_FILLET, RIGID_THICKNESS, RIGID_WIDTH = 0.409, 0.40, 0.362, 0.072
WARPING_HELD = 0.376  # share to which pin and journal keep the web's ends from warping, which stiffens its twist
RANGES = {  # shapes of those cranks, a little widened
    "radius": (0.4, np.inf, "the mean diameter of pin and journal"),
    "web_thickness": (0.35, 1.0, "the mean diameter of pin and journal"),
    "web_width": (1.0, 2.2, "the mean diameter of pin and journal"),
    "fillet": (0.0, 0.18, "the pin's diameter"),
    "pin_length": (0.7, np.inf, "the pin's diameter"),
}


class PlainJournal(NamedTuple):
    """A journal in plain mm."""

    diameter: float
    fillet: float


class PlainThrow(NamedTuple):
    """A throw in plain mm and rad."""

    radius: float
    angle: float
    pin_diameter: float
    pin_length: float
    fillet: float
    web_thickness: float
    web_width: float
    web_reach: float


class PlainSizes(NamedTuple):
    """A crank in plain mm and rad."""

    segments: tuple
    journals: tuple
    throws: tuple


def plain_sizes(crank):
    """Sizes of a crank in plain mm and rad. They stay with the crank: hashing its quantities costs more than reading them.

    Parameters
    ----------
    crank : Crank

    Returns
    -------
    PlainSizes

    Notes
    -----
    Basis: derived.
    """
    kept = vars(crank)
    if "_plain_sizes" not in kept:
        journals, throws = (
            tuple(
                kind(
                    *(
                        getattr(part, name).m_as("rad" if name == "angle" else "mm")
                        for name in kind._fields
                    )
                )
                for part in parts
            )
            for kind, parts in ((PlainJournal, crank.journals), (PlainThrow, crank.throws))
        )
        kept["_plain_sizes"] = PlainSizes(tuple(crank.segments()), journals, throws)
    return kept["_plain_sizes"]


def say_range(sizes):
    """Warn of throws unlike those the corrections were fitted to."""
    for index, throw in enumerate(sizes.throws):
        mean = (
            throw.pin_diameter
            + (sizes.journals[index].diameter + sizes.journals[index + 1].diameter) / 2
        ) / 2
        for name, (low, high, base) in RANGES.items():
            share = getattr(throw, name) / (throw.pin_diameter if "pin's" in base else mean)
            if not low <= share <= high:
                limit = f"at least {low:g}" if share < low else f"at most {high:g}"
                words = f"throw {index + 1}: {name} is {share:.3g} of {base}; stiffness was fitted for {limit}"
                warnings.warn(words, OutOfRangeWarning, stacklevel=5)


@dataclass
class Parts:
    """Nodes and beams as they are laid out."""

    nodes: list = field(default_factory=list)
    names: list = field(default_factory=list)
    pairs: list = field(default_factory=list)
    spans: list = field(default_factory=list)
    sections: list = field(default_factory=list)

    def node(self, *place):
        self.nodes.append(place)
        return len(self.nodes) - 1

    def beam(self, name, pair, span, section):
        """A beam between two nodes that bends over a span of points.

        Section: area, both second moments, torsion constant, factor on the area's shear strain.
        """
        self.names.append(name)
        self.pairs.append(pair)
        self.spans.append(span)
        self.sections.append(section)


def _round(diameter, plain):
    """Section of a pin or journal. Shear: Cowper's coefficient for a round bar."""
    second = np.pi * diameter**4 / 64
    return (
        np.pi * diameter**2 / 4,
        second,
        second,
        2 * second,
        0.0 if plain else (7 + 6 * POISSON) / (6 * (1 + POISSON)),
    )


def _web(width, thickness, bending_length, plain):
    """Section of a web; bending in the throw's plane first. Torsion constant: Roark's form for a rectangle.

    Ends that cannot warp stiffen the twist by 1 / (1 - tanh(u) / u), u = k L / 2,
    k^2 = G J / (E C), C = (width thickness)^3 / 144.
    """
    long, short = max(width, thickness), min(width, thickness)
    torsion = long * short**3 * (1 / 3 - 0.21 * short / long * (1 - short**4 / (12 * long**4)))
    if not plain:
        half = (
            6 * bending_length * np.sqrt(torsion / (2 * (1 + POISSON) * (width * thickness) ** 3))
        )
        torsion /= 1 - WARPING_HELD * np.tanh(half) / half
    return width * thickness, width * thickness**3 / 12, thickness * width**3 / 12, torsion, 0.0


def _embedded(journal, throw, plain):
    """How far a pin or journal bends on beyond the face of its web."""
    return (
        throw.web_thickness / 2
        if plain
        else EMBEDMENT * journal.diameter - FILLET_STIFFENING * journal.fillet
    )


def _rigid_ends(journal, throw):
    """Lengths of a web that do not bend, beside the main axis and beside the pin's."""
    ends = [
        RIGID_DIAMETER * diameter
        + RIGID_FILLET * fillet
        - RIGID_THICKNESS * throw.web_thickness
        - RIGID_WIDTH * (throw.web_width - diameter)
        for diameter, fillet in (journal, (throw.pin_diameter, throw.fillet))
    ]
    # where pin and journal overlap next to nothing is left to bend; say_range has said so
    return [end * min(1.0, 0.9 * throw.radius / max(sum(ends), 1e-9)) for end in ends]


def lay_beams(parts, sizes, center, plain, driven):
    """Lay out the beams from left to right; nodes of the two ends and of the driver."""
    segments, journals, throws = sizes
    web_nodes = []  # of every web: on the main axis, on the pin's axis
    for index, throw in enumerate(throws):
        outward = np.array([0.0, np.cos(throw.angle), np.sin(throw.angle)])
        for side in (0, 1):
            middle = np.array(
                [segments[4 * index + 1 + 2 * side].start + throw.web_thickness / 2, 0.0, 0.0]
            )
            pair = parts.node(*middle), parts.node(*(middle + throw.radius * outward))
            near, far = (0.0, 0.0) if plain else _rigid_ends(journals[index + side], throw)
            parts.beam(
                ("web", 2 * index + side),
                pair,
                (middle + near * outward, middle + (throw.radius - far) * outward),
                _web(throw.web_width, throw.web_thickness, throw.radius - near - far, plain),
            )
            web_nodes.append(pair)
    end_nodes, driver = [], None
    for index, journal in enumerate(journals):
        segment = segments[4 * index]
        first, last = index == 0, index == len(throws)
        begin = segment.start - (0 if first else _embedded(journal, throws[index - 1], plain))
        finish = segment.end + (0 if last else _embedded(journal, throws[index], plain))
        left = parts.node(begin, *center) if first else web_nodes[2 * index - 1][0]
        right = parts.node(finish, *center) if last else web_nodes[2 * index][0]
        stops = [(left, begin), (right, finish)]
        if (first and driven == "left") or (last and driven == "right"):
            grip = segment.start + (DRIVER_GRIP if first else 1 - DRIVER_GRIP) * segment.length
            driver = parts.node(grip, 0, 0)
            stops.insert(1, (driver, grip))
        for (node_a, x_a), (node_b, x_b) in zip(stops, stops[1:], strict=False):
            parts.beam(
                ("journal", index),
                (node_a, node_b),
                ((x_a, 0, 0), (x_b, 0, 0)),
                _round(journal.diameter, plain),
            )
        end_nodes += [left] * first + [right] * last
    for index, throw in enumerate(throws):
        segment = segments[4 * index + 2]
        more = _embedded(PlainJournal(throw.pin_diameter, throw.fillet), throw, plain)
        across = (throw.radius * np.cos(throw.angle), throw.radius * np.sin(throw.angle))
        parts.beam(
            ("pin", index),
            (web_nodes[2 * index][1], web_nodes[2 * index + 1][1]),
            ((segment.start - more, *across), (segment.end + more, *across)),
            _round(throw.pin_diameter, plain),
        )
    return end_nodes, driver
