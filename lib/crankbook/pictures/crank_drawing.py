"""The crank drawn to scale in two views.

Everything is dark on white, and its parts can be distinguished without color. Side view from the
front, end view from the right-hand end beside it; a throw of angle zero points up in both.
Coordinates are millimeters.
"""

from dataclasses import dataclass, replace

import numpy as np

from crankmath.blank.bar import corner_places, throw_numbers, throw_places
from crankmath.language import _

from .scene import BLUE, GRAY, Curve, Note, add, blank

INK, WEB, ROUND = "#222222", "#dcdcdc", "#f4f4f4"
CENTER_LINE, HIDDEN = "14 4 3 4", "5 4"
LARGEST, ROW = (6.0, 4.2), 24.0  # inches of the side view, most; points a row of sizes takes
SIZES = (
    "radius",
    "angle",
    "pin_diameter",
    "pin_length",
    "fillet",
    "web_thickness",
    "web_width",
    "web_reach",
)
UNIT_WORDS = {"mm": "mm", "in": _("inches")}
TURN = np.linspace(0, 2 * np.pi, 73)
ARC = np.linspace(0, np.pi / 2, 9)


def size_text(length, unit):
    """A size in millimeters as it stands on a drawing: no unit, and no zero before the point of an
    inch size.
    """
    text = f"{length / (1 if unit == 'mm' else 25.4):.5g}"
    return text.removeprefix("0") if unit == "in" and text.startswith("0.") else text


@dataclass(frozen=True, eq=False)
class Shape:
    """A crank as the drawing needs it: its pieces along the axis, and its throws on the end face.

    ``throws`` is a table of their sizes in mm and rad; ``places`` and ``corners`` are those of pins
    and webs on the end face.
    """

    pieces: tuple
    throws: dict
    places: np.ndarray
    corners: np.ndarray

    @property
    def length(self):
        return self.pieces[-1].end

    @property
    def window(self):
        """Room a drawing has to hold: length, below and above the main axis, to either side of
        it."""
        return (
            self.length,
            float(-self.corners[..., 1].min()),
            float(self.corners[..., 1].max()),
            float(np.abs(self.corners[..., 0]).max()),
        )

    def height(self, piece):
        """Height of a main's or pin's axis on the side view [mm]."""
        return self.places[piece.index][1] if piece.kind == "pin" else 0.0

    @property
    def sides(self):
        """Pieces seen from the side: ends along the crank, lower and upper edge [mm]."""
        found = []
        for piece in self.pieces:
            if piece.kind == "web":
                edges = self.corners[piece.index][:, 1]
                low, high = edges.min(), edges.max()
            else:
                low, high = self.height(piece) + piece.diameter / 2 * np.array([-1, 1])
            found.append((piece.start, piece.end, float(low), float(high)))
        return found

    def turned(self, angle):
        """The same crank turned counterclockwise, seen from the right, by an angle in radians."""
        throws = {**self.throws, "angle": self.throws["angle"] + angle}
        return Shape(self.pieces, throws, *_end_places(throws))


def _end_places(throws):
    return throw_places(throws["radius"], throws["angle"]), corner_places(
        *(throws[name] for name in ("radius", "angle", "web_reach", "web_width"))
    )


def shape(crank):
    """Shape of a crank for drawing."""
    throws = dict(zip(SIZES, throw_numbers(crank, *SIZES), strict=True))
    return Shape(crank.segments, throws, *_end_places(throws))


def window(crank):
    """Room that a drawing has to hold: length, below and above the main axis, to either side of it
    [mm].
    """
    return shape(crank).window


def _scale(length, below, above):
    """Inches of paper per millimeter, and the height of a row of sizes [mm]."""
    scale = min(LARGEST[0] / length, LARGEST[1] / (below + above))
    return scale, ROW / 72 / scale


def drawing_paper(length, below, above, aside, projector=False):
    """Paper of the two views, both to one scale: what does not move.

    - ``length``, ``below``, ``above``, ``aside`` [mm]: What :func:`window` gives, or larger to
      leave room for edits.

    The figure's first axes hold the side view, the second the end view.
    """
    scale, row = _scale(length, below, above)
    low, high, side, end = (
        -below - 3.3 * row,
        above + 1.7 * row,
        length + 1.5 * row,
        2 * aside + 6 * row,
    )
    share = side / (side + end)
    places = ((0.0, 0.0, share, 1.0), (share, 0.0, 1 - share, 1.0))
    figure, *axes = blank(projector, (side + end) * scale, (high - low) * scale, places)
    limits = ((-0.75 * row, length + 0.75 * row), (-end / 2, end / 2))
    for one, place, limit in zip(axes, places, limits, strict=True):
        one.set_position(place)  # without the room that larger type asks for: the scale has to stay
        one.set(xlim=limit, ylim=(low, high), xticks=[], yticks=[])
        one.spines[:].set_visible(False)
        one.patch.set_alpha(0)  # texts of one view may reach over the edge of the other
    return figure


def _rod(start, end, height, diameter, fillet, at_start, at_end):
    """Outline of a journal or pin between its webs, arcs of the fillets where a web stands."""
    half = diameter / 2
    x, y = [np.array([start, end])], [np.array([half, half])]
    if at_end and fillet:
        x[0][1], arc = (
            end - fillet,
            (end - fillet + fillet * np.sin(ARC), half + fillet - fillet * np.cos(ARC)),
        )
        x, y = [*x, arc[0]], [*y, arc[1]]
    if at_start and fillet:
        x[0][0], arc = (
            start + fillet,
            (
                start + fillet - fillet * np.sin(ARC[::-1]),
                half + fillet - fillet * np.cos(ARC[::-1]),
            ),
        )
        x, y = [arc[0], *x], [arc[1], *y]
    x, y = np.concatenate(x), np.concatenate(y)
    return np.concatenate([x, x[::-1], x[:1]]), height + np.concatenate([y, -y[::-1], y[:1]])


def dimension(start, end, text, head, axes, color=BLUE):
    """A size: line from start to end with filled heads, its text above the middle."""
    start, end = np.array(start, float), np.array(end, float)
    along = (end - start) / np.hypot(*(end - start))
    across, drawn = (
        np.array([-along[1], along[0]]) * head / 3,
        [Curve(*np.array([start, end]).T, color, 1, axes=axes)],
    )
    for tip, back in ((start, along), (end, -along)):
        points = np.array([tip, tip + head * back + across, tip + head * back - across, tip])
        drawn.append(Curve(points[:, 0], points[:, 1], color, 0.5, fill=color, axes=axes))
    middle = (start + end) / 2
    return drawn + ([Note(middle[0], middle[1], text, color, "middle", axes)] if text else [])


def placed(items, scale, *middles):
    """Items in millimeters enlarged and moved to where a paper of other units wants them; a place
    of zero for each axes.
    """
    moved = []
    for item in items:
        x, y = middles[item.axes]
        moved.append(replace(item, x=x + scale * item.x, y=y + scale * item.y))
    return moved


def side_view(part, axes=0):
    """Webs, journals and pins of a Shape seen from the front [mm]."""
    drawn, length = [], part.length
    for web in part.pieces[1::2]:
        corners = part.corners[web.index]
        low, high, ends = corners[:, 1].min(), corners[:, 1].max(), (web.start, web.end)
        x, y = np.array(ends)[[0, 1, 1, 0, 0]], np.array([low, low, high, high, low])
        drawn.append(Curve(x, y, INK, 1.8, fill=WEB, axes=axes))
        middle = corners[:, 0].mean()
        for x, y in corners:  # edges that show: corners on the near side, between top and bottom
            if x < middle - 1e-6 and low + 1e-6 < y < high - 1e-6:
                drawn.append(Curve(np.array(ends), np.array([y, y]), INK, 1, axes=axes))
    for piece in part.pieces[::2]:
        height, webs = part.height(piece), (piece.start > 0, piece.end < length)
        outline = _rod(piece.start, piece.end, height, piece.diameter, piece.fillet, *webs)
        drawn.append(Curve(*outline, INK, 1.8, fill=ROUND, axes=axes))
        if piece.kind == "pin":
            x = np.array([piece.start - 3, piece.end + 3])
            drawn.append(Curve(x, np.full(2, height), GRAY, 1, CENTER_LINE, axes=axes))
    x = np.array([-4.0, length + 4])
    return [*drawn, Curve(x, np.zeros(2), GRAY, 1, CENTER_LINE, axes=axes)]


def circle(middle, diameter, axes, color=INK, width=1.8, dash="", fill=""):
    """A circle as a Curve."""
    return Curve(
        middle[0] + diameter / 2 * np.cos(TURN),
        middle[1] + diameter / 2 * np.sin(TURN),
        color,
        width,
        dash,
        fill,
        axes,
    )


def _cross(middle, reach, axes):
    x, y = middle
    return [
        Curve(np.array([x - reach, x + reach]), np.array([y, y]), GRAY, 1, CENTER_LINE, axes=axes),
        Curve(np.array([x, x]), np.array([y - reach, y + reach]), GRAY, 1, CENTER_LINE, axes=axes),
    ]


def end_view(part, axes=1):
    """Webs and the end journal of a Shape seen from the right, near parts over far ones; hidden
    pins dashed [mm].
    """
    drawn = [
        Curve(*np.append(one, one[:1], axis=0).T, INK, 1.8, fill=WEB, axes=axes)
        for one in part.corners
    ]
    diameter = part.pieces[-1].diameter
    drawn.append(circle((0, 0), diameter, axes, fill=ROUND))
    for place, pin in zip(part.places, part.throws["pin_diameter"], strict=True):
        drawn += [
            circle(place, pin, axes, width=1.2, dash=HIDDEN),
            *_cross(place, 0.65 * pin, axes),
        ]
    return drawn + _cross((0, 0), 0.75 * diameter, axes)


def _all(sizes, unit):
    """Different sizes, as text."""
    return ", ".join(sorted({size_text(size, unit) for size in sizes}, key=float))


def _caption(crank, part, unit):
    fillets = _all([piece.fillet for piece in part.pieces[::2]], unit)
    wide, reach = (_all(part.throws[name], unit) for name in ("web_width", "web_reach"))
    return _(
        "{name}, {steel}; sizes in {unit_words}; fillets R {fillets}; webs {wide} wide, {reach} "
        "past each axis"
    ).format(
        name=crank.name,
        steel=crank.steel,
        unit_words=UNIT_WORDS[unit],
        fillets=fillets,
        wide=wide,
        reach=reach,
    )


def _side_sizes(part, unit, low, row):
    """Lengths below the side view, diameters on it; a size that repeats one is left out."""
    drawn, shown = [], set()
    for piece in part.pieces:
        kind, start, end = piece.kind, piece.start, piece.end
        text = size_text(piece.length, unit)
        if kind == "journal" or (kind, text) not in shown:
            height = low - (1.8 if kind == "web" else 1.0) * row
            head = min(row / 4, piece.length / 4)
            drawn += dimension((start, height), (end, height), text, head, 0)
        shown.add((kind, text))
        if kind != "web":
            top, text = (
                part.height(piece) + piece.diameter / 2,
                f"Ø{size_text(piece.diameter, unit)}",
            )
            if (kind, text) not in shown:
                drawn.append(Note(piece.middle, top, text, BLUE, "middle"))
            shown.add((kind, text))
    height = low - 2.7 * row
    return drawn + dimension(
        (0, height), (part.length, height), size_text(part.length, unit), row / 4, 0
    )


def _end_sizes(part, unit, low, aside, row):
    """Throw, width of the web and directions of the throws on the end view."""
    drawn, told, places = [], set(), part.places
    text, width, upright = (
        size_text(part.throws["radius"][0], unit),
        part.throws["web_width"][0] / 2,
        abs(places[0][0]) < 1e-9 * places[0][1],
    )
    if upright:  # sizes beside and below the view; words describe a throw that stands at an angle
        out = aside + 0.6 * row
        for height in (0.0, places[0][1]):
            drawn.append(Curve(np.array([0, out + row / 4]), np.full(2, height), BLUE, 0.6, axes=1))
        drawn += dimension((out, 0), (out, places[0][1]), "", row / 4, 1)
        drawn.append(Note(out + row / 5, places[0][1] / 2 - row / 2.5, text, BLUE, "start", 1))
        drawn += dimension(
            (-width, low - row),
            (width, low - row),
            size_text(part.throws["web_width"][0], unit),
            row / 4,
            1,
        )
        told.add((0.0, text))
    for number, (x, y) in enumerate(places):
        angle, radius = (
            round(np.degrees(part.throws["angle"][number]) % 360, 6),
            size_text(part.throws["radius"][number], unit),
        )
        if (angle, radius) in told:
            continue
        told.add((angle, radius))
        out, words = np.hypot(x, y) + part.throws["web_reach"][number] + 0.4 * row, f"{angle:g}°"
        if not upright or radius != text:
            words += f", {radius}"
        place = np.array([x, y]) / np.hypot(x, y) * out
        if abs(x) < 0.3 * abs(y):  # beside the web, away from the sizes below it
            place = np.array(
                [np.copysign(part.throws["web_width"][number] / 2 + 0.6 * row, x or -1), y]
            )
        drawn.append(
            Note(place[0], place[1] - 0.5 * row, words, BLUE, "end" if place[0] < 0 else "start", 1)
        )
    return drawn


def crank_items(crank, unit=None, dimensions=True):
    """Moving items of the two views, for :func:`drawing_paper`.

    - ``unit``: "mm" or "in" of the sizes; the crank's own without it.
    """
    part, unit = shape(crank), unit or crank.units
    length, below, above, aside = part.window
    drawn, (_unused, row) = side_view(part) + end_view(part), _scale(length, below, above)
    if dimensions:
        drawn += _side_sizes(part, unit, -below, row) + _end_sizes(part, unit, -below, aside, row)
    return [*drawn, Note(0.0, above + 0.7 * row, _caption(crank, part, unit), INK)]


def crank_drawing(crank, unit=None, projector=False, dimensions=True):
    """The crank to scale, side view and end view, with center lines, fillets and sizes."""
    return add(drawing_paper(*window(crank), projector), crank_items(crank, unit, dimensions))
