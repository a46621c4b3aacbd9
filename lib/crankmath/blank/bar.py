"""The bar a crank is cut from: the smallest round, square or flat one that holds it.

Coordinates are those of a cross-section: x to the right, y up, seen from the right-hand (tailstock)
end, in mm. A throw of angle zero points up, angles count counterclockwise.
"""

from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations

import numpy as np

from ..checks import made, takes
from ..crank import Crank, Throw, steels
from ..language import marked
from ..tables import rows
from ..units import Quantity, as_text

SHAPES = (marked("round"), marked("square"), marked("flat"))
ALLOWANCE = Quantity(1.5, "mm")  # all around: common practice, no source
# full bar left at each end for the centers: common practice, no source
CENTER_END = Quantity(10.0, "mm")
BLACK = ("hot rolled", "normalized")  # conditions of bar that was not drawn
BLACK_STRAIGHTNESS = 4.0  # mm/m, EN 10060, from memory
BLACK_OFF = (  # round black bar up to this size may be off so much [mm]: EN 10060, from memory
    *((15.0, 0.4), (25.0, 0.5), (35.0, 0.6), (50.0, 0.8), (80.0, 1.0)),
    *((100.0, 1.3), (120.0, 1.5), (160.0, 2.0), (200.0, 2.5)),
)


@dataclass(frozen=True)
class Bar:
    """A bar around a crank.

    ``middle_x``, ``middle_y`` place its middle from the main axis; ``turn`` is the direction of its
    width against the crank's x. A round bar has its diameter in both ``width`` and ``height``.
    ``bow`` is the straightening allowance that is inside the sizes.
    """

    shape: str
    width: Quantity
    height: Quantity
    middle_x: Quantity
    middle_y: Quantity
    turn: Quantity
    length: Quantity
    bow: Quantity


@cache
def _stock(shape, quantity, unit):
    for row in rows("bar_stock"):
        if (row["shape"], row["quantity"], row["unit"]) == (shape, quantity, unit):
            return np.array([float(value) for value in row["values"].split()])
    raise ValueError(f'unit must be "mm" or "in", not {unit!r}')


def _straightness(shape, steel):
    """How far bar may be bent for its length [mm/m]; a steel that is not listed counts as drawn."""
    if steel in steels.NAMES and steels.find(steel).condition in BLACK:
        return BLACK_STRAIGHTNESS
    return _stock(shape, "straightness", "mm/m")[0]


def section_axes(turn):
    """Unit vectors of width and height of a bar turned by ``turn`` radians: rows x and y."""
    return np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])


@takes(throw=Throw)
def throw_direction(throw):
    """Unit vector of a throw on the end face, and the one across it, to its right.

    Basis: derived. A throw of angle zero points up.
    """
    angle = throw.angle.m_as("rad")
    along = np.array([-np.sin(angle), np.cos(angle)])
    return along, np.array([along[1], -along[0]])


def throw_numbers(crank, *names):
    """Sizes of all throws as plain arrays, one a name [mm, rad]."""
    throws = made(crank, Crank, "crank").plain.throws
    return [np.array([getattr(throw, name) for throw in throws], float) for name in names]


def throw_places(radius, angle):
    """Places at radii along directions on the end face, one row of x and y each [rad]."""
    return np.stack([-radius * np.sin(angle), radius * np.cos(angle)], axis=-1)


def corner_places(radius, angle, reach, width):
    """Corners of webs on the end face, shape (webs, 4, 2); plain numbers of one unit, and rad."""
    along, across = (
        throw_places(np.ones_like(angle), angle),
        throw_places(np.ones_like(angle), angle - np.pi / 2),
    )
    ends = np.stack([-reach, radius + reach, radius + reach, -reach], axis=-1)
    sides = width[:, None] / 2 * np.array([-1, -1, 1, 1])
    return ends[..., None] * along[:, None] + sides[..., None] * across[:, None]


@takes(crank=Crank, gives="mm")
def pin_places(crank):
    """Pin axes from the main axis on the end face, one row of x and y a throw.

    Basis: derived.
    """
    return throw_places(*throw_numbers(crank, "radius", "angle"))


@takes(crank=Crank, gives="mm")
def web_corners(crank):
    """Corners of the webs on the end face from the main axis, shape (throws, 4, 2).

    Basis: derived. Pins and mains stand on their webs all around (``crank.Crank`` refuses others),
    so the webs' corners bound the whole crank.
    """
    return corner_places(*throw_numbers(crank, "radius", "angle", "web_reach", "web_width"))


def _points(points):
    """Rows of x and y as numbers, or an error that says what to write."""
    try:
        found = np.unique(np.asarray(points, float), axis=0)
    except (TypeError, ValueError):
        found = np.empty(0)
    if found.ndim != 2 or len(found) < 2 or found.shape[1] != 2 or not np.all(np.isfinite(found)):
        raise ValueError(
            "points have to be two rows of x and y at least, apart from each other: "
            "write np.array([[0.0, 0.0], [3.0, 1.0]])"
        )
    return found


def _hull(points):
    """Corners of the convex hull of points, counterclockwise: only they can touch a bar."""
    chains = []
    for row in (points[np.lexsort(points.T[::-1])], points[np.lexsort(points.T[::-1])][::-1]):
        chain = []
        for point in row:
            while len(chain) > 1 and np.linalg.det([chain[-1] - chain[-2], point - chain[-1]]) <= 0:
                chain.pop()
            chain.append(point)
        chains += chain[:-1]
    return np.array(chains)


def smallest_circle(points):
    """Middle and radius of the smallest circle around points: through two of them or three.

    ``points`` are rows of x and y in one unit, two at least; so is the answer. Basis: derived.
    """
    points, best = _hull(_points(points)), None
    for number in (2, 3):
        for some in combinations(points, number):
            first, *others = some
            chords = np.array(others) - first
            if number == 2:
                middle = first + chords[0] / 2
            elif abs(np.linalg.det(chords)) > 1e-9 * np.abs(chords).max() ** 2:
                middle = first + np.linalg.solve(2 * chords, (chords**2).sum(axis=1))
            else:
                continue
            radius = np.hypot(*(points - middle).T).max()
            if best is None or radius < best[1]:
                best = middle, radius
    return best


def _extents(points, turn):
    """Lowest and highest place of points along directions turned from x and from y."""
    axes = section_axes(turn)
    along = points @ axes.T
    return along.min(axis=0), along.max(axis=0), axes


def _smallest_rectangle(points, square):
    """Turn of the smallest square or rectangle around points.

    Between two turns at which a side lies along an edge of the hull, width and height are arcs of
    sines, so both are hollow downward: the least area, and the least of the larger side, lie at
    such a turn or where width equals height.
    """
    edges = [
        np.arctan2(*(b - a)[::-1]) % (np.pi / 2)
        for a, b in combinations(points, 2)
        if np.hypot(*(b - a)) > 1e-9
    ]
    turns = np.unique(np.round(np.append(edges, [0, np.pi / 2]), 12))
    if square:
        middles = (turns[:-1] + turns[1:]) / 2
        for low, high, middle in zip(turns[:-1], turns[1:], middles, strict=True):
            axes = _extents(points, middle)[2]
            spans = [
                points[np.argmax(points @ axis)] - points[np.argmin(points @ axis)] for axis in axes
            ]
            # width = height: spans[0] . (c, s) = spans[1] . (-s, c)
            equal = np.arctan2(spans[1][1] - spans[0][0], spans[0][1] + spans[1][0]) % np.pi
            if low < equal < high:
                turns = np.append(turns, equal)

    def size(turn):
        low, high, _ = _extents(points, turn)
        return (high - low).max() if square else (high - low).prod()

    sizes = np.array([size(turn) for turn in turns])
    return float(turns[sizes <= sizes.min() * (1 + 1e-9)][0])  # the least turn among equals


@takes(
    crank=Crank,
    shape=SHAPES,
    allowance="mm >= 0, one",
    center_end="mm >= 0, one",
    straightness="mm/m >= 0, one",
)
def smallest_bar(
    crank,
    shape="round",
    allowance=ALLOWANCE,
    center_end=CENTER_END,
    straightness=None,
    turned=True,
):
    r"""Smallest round, square or flat bar that holds the crank with its allowances.

    .. math:: D = 2(R_{min} + a + b), \quad b = s L

    A flat bar is a rectangle of least area. The bow b is added all around.

    - ``allowance``: Metal a to machine away all around and at each end face.
    - ``center_end``: Full bar left at each end to carry the centers, cut off last.
    - ``straightness``: How far s the bar may be bent for its length; default EN 10278 for the
      shape, or EN 10060 where the crank's steel comes as black bar, hot rolled or normalized.
    - ``turned``: Whether a square or flat bar may be turned about its axis; else a side lies square
      to throw 1.

    Basis: derived; exact for webs with square corners. Straightness of bright bar: EN 10278,
    suppliers' copies seen; of black bar: EN 10060, from memory. The bar's middle is not the main
    axis: a one-throw crank sits with both axes off the middle.
    """
    length = crank.length.m_as("mm") + 2 * (allowance + center_end)
    bent = _straightness(shape, crank.steel) if straightness is None else straightness
    bow = bent * length / 1000
    points = _hull(np.unique(np.round(web_corners.plain(crank).reshape(-1, 2), 9), axis=0))
    if shape == "round":
        middle, radius = smallest_circle(points)
        turn, sides = 0.0, np.full(2, 2 * radius)
    else:
        first = crank.throws[0].angle.m_as("rad") % (np.pi / 2)
        turn = _smallest_rectangle(points, shape == "square") if turned else first
        low, high, axes = _extents(points, turn)
        middle, sides = (low + high) / 2 @ axes, high - low
        sides = np.full(2, sides.max()) if shape == "square" else sides
    sides = sides + 2 * (allowance + bow)
    return Bar(
        shape,
        *(Quantity(float(part), "mm") for part in (*sides, *middle)),
        Quantity(np.degrees(turn), "deg"),
        Quantity(length, "mm"),
        Quantity(bow, "mm"),
    )


@takes(bar=Bar)
def stock_bar(bar, unit="mm"):
    """The bar in the next size up that is usually on the shelf, in sizes of a unit, mm or in.

    Refused where it is larger than any size of the list.
    Basis: usual stock sizes, from memory; ask your supplier.
    """
    sizes, found = _stock(bar.shape, "size", unit), []
    for side in (bar.width, bar.height):
        fitting = sizes[sizes >= side.m_as(unit) * (1 - 1e-9)]
        if not fitting.size:
            raise ValueError(
                f"bar of {as_text(side, unit)} is larger than the sizes listed, "
                f"up to {sizes[-1]:g} {unit}: are all sizes in the right unit, and is every "
                "radius of a throw half its stroke?"
            )
        found.append(Quantity(float(fitting[0]), unit))
    return replace(bar, width=found[0], height=found[1])
