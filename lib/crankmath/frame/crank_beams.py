"""The beams that stand for a crank: which pieces bend, over what length, with what section.

Plain numbers: mm, rad. See ``frame.build`` for what the corrections mean.
"""

import warnings
from dataclasses import dataclass, field

import numpy as np

from ..units import OutOfRangeWarning

POISSON = 0.29
DRIVER_GRIP = 0.15  # where the driver grips, as a fraction of the end journal's length
# Where beams end inside solids, fitted to 3-D solid finite elements of 25 cranks made for
# this project. A pin or journal bends on inside its web: of its diameter, less of its fillet.
EMBEDMENT, FILLET_STIFFENING = 0.185, 0.40
# The web is rigid beside a pin or journal: of its diameter, and of its fillet, less of the web's
# thickness, less of its excess width.
RIGID_DIAMETER, RIGID_FILLET, RIGID_THICKNESS, RIGID_WIDTH = 0.409, 0.40, 0.362, 0.072
WARPING_HELD = 0.376  # fraction to which pin and journal keep a web's ends from warping in twist
RANGES = {  # shapes of those cranks, a little widened
    "radius": (0.4, np.inf, "the mean diameter of pin and journal"),
    "web_thickness": (0.35, 1.0, "the mean diameter of pin and journal"),
    "web_width": (1.0, 2.2, "the mean diameter of pin and journal"),
    "fillet": (0.0, 0.18, "the pin's diameter"),
    "pin_length": (0.7, np.inf, "the pin's diameter"),
}


def say_range(plain):
    """Warn of throws unlike those the corrections were fitted to."""
    for index, throw in enumerate(plain.throws):
        mains = plain.mains[index].diameter + plain.mains[index + 1].diameter
        mean = (throw.pin_diameter + mains / 2) / 2
        for name, (low, high, base) in RANGES.items():
            ratio = getattr(throw, name) / (throw.pin_diameter if "pin's" in base else mean)
            if not low <= ratio <= high:
                limit = f"at least {low:g}" if ratio < low else f"at most {high:g}"
                words = (
                    f"throw {index + 1}: {name} is {ratio:.3g} of {base}; "
                    f"stiffness was fitted for {limit}"
                )
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


def _round(diameter, bare):
    """Section of a pin or journal. Shear: Cowper's coefficient for a round bar."""
    second = np.pi * diameter**4 / 64
    shear = 0.0 if bare else (7 + 6 * POISSON) / (6 * (1 + POISSON))
    return np.pi * diameter**2 / 4, second, second, 2 * second, shear


def _web(width, thickness, bending_length, bare):
    """Section of a web, bending in the throw's plane first; torsion constant by Roark's rectangle.

    Ends that cannot warp stiffen the twist by 1 / (1 - tanh(u) / u), u = k L / 2,
    k^2 = G J / (E C), C = (width thickness)^3 / 144.
    """
    long, short = max(width, thickness), min(width, thickness)
    torsion = long * short**3 * (1 / 3 - 0.21 * short / long * (1 - short**4 / (12 * long**4)))
    if not bare:
        half = (
            6 * bending_length * np.sqrt(torsion / (2 * (1 + POISSON) * (width * thickness) ** 3))
        )
        torsion /= 1 - WARPING_HELD * np.tanh(half) / half
    return width * thickness, width * thickness**3 / 12, thickness * width**3 / 12, torsion, 0.0


def _embedded(piece, throw, bare):
    """How far a pin or journal bends on beyond the face of its web."""
    if bare:
        return throw.web_thickness / 2
    return EMBEDMENT * piece.diameter - FILLET_STIFFENING * piece.fillet


def _rigid_ends(main, pin, throw):
    """Lengths of a web that do not bend, beside the main axis and beside the pin's."""
    ends = [
        RIGID_DIAMETER * piece.diameter
        + RIGID_FILLET * piece.fillet
        - RIGID_THICKNESS * throw.web_thickness
        - RIGID_WIDTH * (throw.web_width - piece.diameter)
        for piece in (main, pin)
    ]
    # where pin and journal overlap next to nothing is left to bend; say_range has said so
    return [end * min(1.0, 0.9 * throw.radius / max(sum(ends), 1e-9)) for end in ends]


def lay_beams(parts, plain, center, bare, driven):
    """Lay out the beams of a plain crank; nodes of the two ends and of the driver."""
    web_nodes = _lay_webs(parts, plain, bare)
    ends = _lay_mains(parts, plain, center, bare, driven, web_nodes)
    for index, (pin, throw) in enumerate(zip(plain.pins, plain.throws, strict=True)):
        more = _embedded(pin, throw, bare)
        parts.beam(
            ("pin", index),
            (web_nodes[2 * index][1], web_nodes[2 * index + 1][1]),
            ((pin.start - more, *pin.axis), (pin.end + more, *pin.axis)),
            _round(pin.diameter, bare),
        )
    return ends


def _lay_webs(parts, plain, bare):
    """Nodes of every web: on the main axis, on the pin's axis."""
    nodes = []
    for order, web in enumerate(plain.webs):
        index, throw = order // 2, plain.throws[order // 2]
        outward = np.array([0.0, np.cos(throw.angle), np.sin(throw.angle)])
        middle = np.array([web.start + throw.web_thickness / 2, 0.0, 0.0])
        pair = parts.node(*middle), parts.node(*(middle + throw.radius * outward))
        near, far = (
            (0.0, 0.0)
            if bare
            else _rigid_ends(plain.mains[index + order % 2], plain.pins[index], throw)
        )
        parts.beam(
            ("web", order),
            pair,
            (middle + near * outward, middle + (throw.radius - far) * outward),
            _web(throw.web_width, throw.web_thickness, throw.radius - near - far, bare),
        )
        nodes.append(pair)
    return nodes


def _lay_mains(parts, plain, center, bare, driven, web_nodes):
    """Nodes of the two ends, and the driver's."""
    throws, end_nodes, driver = plain.throws, [], None
    for index, main in enumerate(plain.mains):
        first, last = index == 0, index == len(throws)
        begin = main.start - (0 if first else _embedded(main, throws[index - 1], bare))
        finish = main.end + (0 if last else _embedded(main, throws[index], bare))
        left = parts.node(begin, *center) if first else web_nodes[2 * index - 1][0]
        right = parts.node(finish, *center) if last else web_nodes[2 * index][0]
        stops = [(left, begin), (right, finish)]
        if (first and driven == "left") or (last and driven == "right"):
            grip = main.start + (DRIVER_GRIP if first else 1 - DRIVER_GRIP) * main.length
            driver = parts.node(grip, 0, 0)
            stops.insert(1, (driver, grip))
        for (node_a, x_a), (node_b, x_b) in zip(stops, stops[1:], strict=False):
            parts.beam(
                ("journal", index),
                (node_a, node_b),
                ((x_a, 0, 0), (x_b, 0, 0)),
                _round(main.diameter, bare),
            )
        end_nodes += [left] * first + [right] * last
    return end_nodes, driver
