"""The crank drawn to scale in two views, and the marked-out end faces at true size on paper.

Everything is dark on white and tells its parts apart without color. Side view from the front, end view
from the right-hand end beside it; a throw of angle zero points up in both. Coordinates are millimeters.
"""

import numpy as np
from matplotlib import rc_context

from ..bar import pin_places, web_corners
from ..units import as_text
from . import BLUE, GRAY, Curve, Note, add, blank

INK, WEB, ROUND = "#222222", "#dcdcdc", "#f4f4f4"
CENTER_LINE, HIDDEN = "14 4 3 4", "5 4"
LARGEST, ROW = (6.0, 4.2), 24.0  # inches of the side view, most; points a row of sizes takes
LENGTHS = {"journal": "length", "pin": "pin_length", "web": "web_thickness"}
MARGIN, HEAD, BETWEEN = 12.0, 22.0, 12.0  # mm of the page: edges, title, between end faces
PAGES = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # mm, ISO 216 and ANSI/ASME Y14.1


def _size(length, unit):
    """Size as it stands on a drawing: no unit, and no zero before the point of an inch size."""
    text = as_text(length, unit, 5).split()[0]
    return text.removeprefix("0") if unit == "in" and text.startswith("0.") else text


def _unit_word(unit):
    return "mm" if unit == "mm" else "inches"


def _mm(length):
    return float(length.m_as("mm"))


def window(crank):
    """Room that a drawing has to hold: length, below and above the main axis, to either side of it [mm].

    Parameters
    ----------
    crank : crank.Crank

    Returns
    -------
    tuple of float
    """
    corners = web_corners(crank).magnitude.reshape(-1, 2)
    return _mm(crank.length), float(-corners[:, 1].min()), float(corners[:, 1].max()), float(np.abs(corners[:, 0]).max())


def _scale(length, below, above):
    """Inches of paper per millimeter, and the height of a row of sizes [mm]."""
    scale = min(LARGEST[0] / length, LARGEST[1] / (below + above))
    return scale, ROW / 72 / scale


def drawing_paper(length, below, above, aside, projector=False):
    """Paper of the two views, both to one scale: what does not move.

    Parameters
    ----------
    length, below, above, aside : float [mm]
        What :func:`window` gives, or larger to leave room for edits.
    projector : bool

    Returns
    -------
    Figure
        Side view first, end view second.
    """
    scale, row = _scale(length, below, above)
    low, high, side, end = -below - 3.3 * row, above + 1.7 * row, length + 1.5 * row, 2 * aside + 6 * row
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
    turn, half = np.linspace(0, np.pi / 2, 9), diameter / 2
    x, y = [np.array([start, end])], [np.array([half, half])]
    if at_end and fillet:
        x[0][1], arc = end - fillet, (end - fillet + fillet * np.sin(turn), half + fillet - fillet * np.cos(turn))
        x, y = [*x, arc[0]], [*y, arc[1]]
    if at_start and fillet:
        x[0][0], arc = start + fillet, (start + fillet - fillet * np.sin(turn[::-1]), half + fillet - fillet * np.cos(turn[::-1]))
        x, y = [arc[0], *x], [arc[1], *y]
    x, y = np.concatenate(x), np.concatenate(y)
    return np.concatenate([x, x[::-1], x[:1]]), height + np.concatenate([y, -y[::-1], y[:1]])


def _dimension(start, end, text, head, axes, color=BLUE):
    """A size: line from start to end with filled heads, its text above the middle."""
    start, end = np.array(start, float), np.array(end, float)
    along = (end - start) / np.hypot(*(end - start))
    across, drawn = np.array([-along[1], along[0]]) * head / 3, [Curve(*np.array([start, end]).T, color, 1, axes=axes)]
    for tip, back in ((start, along), (end, -along)):
        points = np.array([tip, tip + head * back + across, tip + head * back - across, tip])
        drawn.append(Curve(points[:, 0], points[:, 1], color, 0.5, fill=color, axes=axes))
    middle = (start + end) / 2
    return drawn + ([Note(middle[0], middle[1], text, color, "middle", axes)] if text else [])


def _side_view(crank):
    """Webs, journals and pins seen from the front."""
    drawn, places, last = [], pin_places(crank).magnitude, len(crank.throws)
    for piece, corners in ((piece, web_corners(crank).magnitude[piece.index]) for piece in crank.segments() if piece.kind == "web"):
        low, high = corners[:, 1].min(), corners[:, 1].max()
        ends = np.array([piece.start, piece.end, piece.end, piece.start, piece.start])
        drawn.append(Curve(ends, np.array([low, low, high, high, low]), INK, 1.8, fill=WEB))
        middle = corners.mean(axis=0)
        for x, y in corners:  # edges that show: corners on the near side, between top and bottom
            if x < middle[0] - 1e-6 and low + 1e-6 < y < high - 1e-6:
                drawn.append(Curve(np.array([piece.start, piece.end]), np.array([y, y]), INK, 1))
    for piece in crank.segments():
        if piece.kind == "journal":
            part, height, webs = crank.journals[piece.index], 0.0, (piece.index > 0, piece.index < last)
            diameter = part.diameter
        elif piece.kind == "pin":
            part, height, webs = crank.throws[piece.index], places[piece.index][1], (True, True)
            diameter = part.pin_diameter
        else:
            continue
        drawn.append(Curve(*_rod(piece.start, piece.end, height, _mm(diameter), _mm(part.fillet), *webs), INK, 1.8, fill=ROUND))
        if piece.kind == "pin":
            drawn.append(Curve(np.array([piece.start - 3, piece.end + 3]), np.full(2, height), GRAY, 1, CENTER_LINE))
    return [*drawn, Curve(np.array([-4.0, _mm(crank.length) + 4]), np.zeros(2), GRAY, 1, CENTER_LINE)]


def _circle(middle, diameter, axes, color=INK, width=1.8, dash="", fill=""):
    turn = np.linspace(0, 2 * np.pi, 73)
    return Curve(middle[0] + diameter / 2 * np.cos(turn), middle[1] + diameter / 2 * np.sin(turn), color, width, dash, fill, axes)


def _cross(middle, reach, axes):
    x, y = middle
    return [Curve(np.array([x - reach, x + reach]), np.array([y, y]), GRAY, 1, CENTER_LINE, axes=axes),
            Curve(np.array([x, x]), np.array([y - reach, y + reach]), GRAY, 1, CENTER_LINE, axes=axes)]  # fmt: skip


def _end_view(crank):
    """Webs and the end journal seen from the right, near parts over far ones; hidden pins dashed."""
    drawn, places, corners = [], pin_places(crank).magnitude, web_corners(crank).magnitude
    for one in corners:
        drawn.append(Curve(*np.append(one, one[:1], axis=0).T, INK, 1.8, fill=WEB, axes=1))
    diameter = _mm(crank.journals[-1].diameter)
    drawn.append(_circle((0, 0), diameter, 1, fill=ROUND))
    for place, throw in zip(places, crank.throws, strict=True):
        drawn += [_circle(place, _mm(throw.pin_diameter), 1, width=1.2, dash=HIDDEN), *_cross(place, 0.65 * _mm(throw.pin_diameter), 1)]
    return drawn + _cross((0, 0), 0.75 * diameter, 1)


def _all(parts, field, unit):
    """Different sizes of a field, as text."""
    return ", ".join(sorted({_size(getattr(part, field), unit) for part in parts}, key=float))


def _caption(crank, unit):
    throws = crank.throws
    return (f"{crank.name}, {crank.steel}; sizes in {_unit_word(unit)}; fillets R {_all((*crank.journals, *throws), 'fillet', unit)}; "
            f"webs {_all(throws, 'web_width', unit)} wide, {_all(throws, 'web_reach', unit)} past each axis")  # fmt: skip


def _side_sizes(crank, unit, low, row):
    """Lengths below the side view, diameters on it; a size that repeats one already given is left out."""
    drawn, given, places = [], set(), pin_places(crank).magnitude
    for piece in crank.segments():
        part = crank.journals[piece.index] if piece.kind == "journal" else crank.throws[piece.index]
        text = _size(getattr(part, LENGTHS[piece.kind]), unit)
        if piece.kind == "journal" or (piece.kind, text) not in given:
            height = low - (1.8 if piece.kind == "web" else 1.0) * row
            drawn += _dimension((piece.start, height), (piece.end, height), text, min(row / 4, piece.length / 4), 0)
        given.add((piece.kind, text))
        if piece.kind != "web":
            diameter, height = (part.diameter, 0.0) if piece.kind == "journal" else (part.pin_diameter, places[piece.index][1])
            text = f"Ø{_size(diameter, unit)}"
            if (piece.kind, text) not in given:
                drawn.append(Note((piece.start + piece.end) / 2, height + _mm(diameter) / 2, text, BLUE, "middle"))
            given.add((piece.kind, text))
    height = low - 2.7 * row
    return drawn + _dimension((0, height), (_mm(crank.length), height), _size(crank.length, unit), row / 4, 0)


def _end_sizes(crank, unit, low, aside, row):
    """Throw, width of the web and directions of the throws on the end view."""
    drawn, told, places, first = [], set(), pin_places(crank).magnitude, crank.throws[0]
    text, width, upright = _size(first.radius, unit), _mm(first.web_width) / 2, abs(places[0][0]) < 1e-9 * places[0][1]
    if upright:  # sizes beside and below the view; a throw that stands aslant is told in words
        out = aside + 0.6 * row
        for height in (0.0, places[0][1]):
            drawn.append(Curve(np.array([0, out + row / 4]), np.full(2, height), BLUE, 0.6, axes=1))
        drawn += _dimension((out, 0), (out, places[0][1]), "", row / 4, 1)
        drawn.append(Note(out + row / 5, places[0][1] / 2 - row / 2.5, text, BLUE, "start", 1))
        drawn += _dimension((-width, low - row), (width, low - row), _size(first.web_width, unit), row / 4, 1)
        told.add((0.0, text))
    for (x, y), throw in zip(places, crank.throws, strict=True):
        angle, radius = round(throw.angle.m_as("deg") % 360, 6), _size(throw.radius, unit)
        if (angle, radius) in told:
            continue
        told.add((angle, radius))
        out, words = np.hypot(x, y) + _mm(throw.web_reach) + 0.4 * row, f"{angle:g}°"
        if not upright or radius != text:
            words += f", {radius}"
        place = np.array([x, y]) / np.hypot(x, y) * out
        if abs(x) < 0.3 * abs(y):  # beside the web, away from the sizes below it
            place = np.array([np.copysign(_mm(throw.web_width) / 2 + 0.6 * row, x or -1), y])
        drawn.append(Note(place[0], place[1] - 0.5 * row, words, BLUE, "end" if place[0] < 0 else "start", 1))
    return drawn


def crank_items(crank, unit=None, dimensions=True):
    """Moving items of the two views, for :func:`drawing_paper`.

    Parameters
    ----------
    crank : crank.Crank
    unit : str, optional
        "mm" or "in" of the sizes; the crank's own without it.
    dimensions : bool

    Returns
    -------
    list of Curve, Note
    """
    length, below, above, aside = window(crank)
    drawn, unit, (_, row) = _side_view(crank) + _end_view(crank), unit or crank.units, _scale(length, below, above)
    if dimensions:
        drawn += _side_sizes(crank, unit, -below, row) + _end_sizes(crank, unit, -below, aside, row)
    return [*drawn, Note(0.0, above + 0.7 * row, _caption(crank, unit), INK)]


def crank_drawing(crank, unit=None, projector=False, dimensions=True):
    """The crank to scale, side view and end view, with center lines, fillets and sizes.

    Parameters
    ----------
    crank : crank.Crank
    unit : str, optional
    projector, dimensions : bool

    Returns
    -------
    Figure
    """
    return add(drawing_paper(*window(crank), projector), crank_items(crank, unit, dimensions))


def _outline(bar, middle):
    """Outline of a bar's section, its middle at a place of the page [mm]."""
    if bar.shape == "round":
        turn = np.linspace(0, 2 * np.pi, 721)
        x, y = _mm(bar.width) / 2 * np.cos(turn), _mm(bar.width) / 2 * np.sin(turn)
    else:
        x, y = np.array([-1, 1, 1, -1, -1]) * _mm(bar.width) / 2, np.array([-1, -1, 1, 1, -1]) * _mm(bar.height) / 2
    return middle[0] + x, middle[1] + y


def _places_on_page(layouts, width, height):
    """Middle of each end face on the page, side by side or one above the other, or an error."""
    sides = np.array([_mm(layouts[0].bar.width), _mm(layouts[0].bar.height)])
    room = np.array([width - 2 * MARGIN - 8, height - 2 * MARGIN - HEAD - 8 * (len(layouts[0].points) + 2)])
    number = len(layouts)
    for steps in ((number, 1), (1, number)):
        if np.all(sides * steps + BETWEEN * np.array(steps) <= room):
            cell = room / steps
            corner = np.array([MARGIN + 8, height - MARGIN - HEAD])
            return [corner + (cell[0] * (k % steps[0] + 0.5), -cell[1] * (k // steps[0] + 0.5)) for k in range(number)]
    raise ValueError("layouts do not fit on the page at true size; print one end on a page, or take the larger page")


def layout_sheet(layouts, page="A4", unit="mm", hole=None):
    """End faces with their centers at true size on a page, with scale bars in both directions and a table.

    Parameters
    ----------
    layouts : sequence of layout.CenterLayout
        One end, or both; each is drawn as seen when looking at it.
    page : str
        "A4" or "Letter", upright.
    unit : str
        "mm" or "in" of the sizes written.
    hole : center_holes.CenterHole, optional
        Its mouth is drawn around each center.

    Returns
    -------
    Figure
        One unit of its axes is a millimeter of paper. Save it with :func:`save_true_size`.

    Raises
    ------
    ValueError
        Unknown page, or a bar too large for it.
    """
    if page not in PAGES:
        raise ValueError(f"page must be one of {', '.join(PAGES)}, not {page!r}")
    width, height = PAGES[page]
    places = _places_on_page(layouts, width, height)
    figure, axes = blank(False, width / 25.4, height / 25.4, ((0.0, 0.0, 1.0, 1.0),))
    axes.set(xlim=(0, width), ylim=(0, height), xticks=[], yticks=[])
    axes.spines[:].set_visible(False)
    top = height - MARGIN
    axes.text(MARGIN, top, "Centers at true size", fontsize=14, va="top", color=INK)
    axes.text(MARGIN, top - 8, "Print at 100 %, not “fit to page”. Hold a rule against both bars before you use the sheet:\n"
              "they have to be right within 0.1 mm (0.004 in). For checking and for scribing; drill by the numbers.", fontsize=9, va="top", color=INK)  # fmt: skip
    bar_length, label = (100.0, "100 mm") if unit == "mm" else (101.6, "4 in")
    start = np.array([MARGIN, top - 24])
    for name, end in (("across", start + (bar_length, 0)), ("up", start - (0, bar_length))):
        line = np.array([start, end])
        axes.plot(*line.T, color=INK, linewidth=1, gid=f"scale-bar-{name}", solid_capstyle="butt")
        for tick in np.linspace(start, end, 11 if unit == "mm" else 5):
            axes.plot(*(np.array([tick, tick + ((0, 2) if name == "across" else (-2, 0))])).T, color=INK, linewidth=0.6)
    axes.text(start[0] + bar_length + 2, start[1], f"{label} across and down", fontsize=9, va="center", color=INK)
    for layout, place in zip(layouts, places, strict=True):
        _end_face(axes, layout, place, hole)
    _table(axes, layouts, unit)
    return figure


def _end_face(axes, layout, place, hole):
    bar = layout.bar
    axes.plot(*_outline(bar, place), color=INK, linewidth=0.8, gid=f"bar-{layout.end}")
    axes.text(place[0], place[1] + _mm(bar.height) / 2 + 4, f"{layout.end} end, as you look at it",
              ha="center", fontsize=9, color=INK)  # fmt: skip
    for point in layout.points:
        x, y = place + (_mm(point.from_middle_x), _mm(point.from_middle_y))
        for name, line in (("x", ((x - 4, x + 4), (y, y))), ("y", ((x, x), (y - 4, y + 4)))):
            axes.plot(*line, color=INK, linewidth=0.5, gid=f"center-{layout.end}-{point.name}-{name}".replace(" ", "-"))
        if hole is not None:
            mouth = _circle((x, y), _mm(hole.mouth), 0)
            axes.plot(mouth.x, mouth.y, color=INK, linewidth=0.6, linestyle=(0, (4, 3)))
        axes.text(x + 1, y + 1, point.name, fontsize=8, color=INK)


def _table(axes, layouts, unit):
    """Places of the centers from the left and bottom edges and from the middle."""
    rows = [("", "", "from left", "from bottom", "from middle x", "from middle y")]
    for layout in layouts:
        for point in layout.points:
            sizes = (point.from_left, point.from_bottom, point.from_middle_x, point.from_middle_y)
            rows.append((layout.end, point.name, *(f"{size.m_as(unit):.{3 if unit == 'mm' else 4}f}" for size in sizes)))
    for number, row in enumerate(reversed(rows)):
        for column, text in enumerate(row):
            axes.text(MARGIN + (0, 22, 62, 92, 122, 156)[column], MARGIN + 4 * number, text, fontsize=8, color=INK)
    bar = layouts[0].bar
    words = f"Ø {_size(bar.width, unit)}" if bar.shape == "round" else f"{_size(bar.width, unit)} × {_size(bar.height, unit)}"
    axes.text(MARGIN, MARGIN + 4 * len(rows) + 2, f"Bar {words} × {_size(bar.length, unit)} long; sizes in {_unit_word(unit)}",
              fontsize=9, color=INK)  # fmt: skip


def save_true_size(figure, path):
    """Save a sheet as SVG or PDF so that a millimeter of its axes is a millimeter of paper; the same sheet gives the same file.

    Parameters
    ----------
    figure : Figure
    path : str or Path
        Ends in .svg or .pdf.

    Raises
    ------
    ValueError
        Another kind of file: a picture of dots has no size of its own.
    """
    kind = str(path).rpartition(".")[2].lower()
    if kind not in ("svg", "pdf"):
        raise ValueError(f"path has to end in .svg or .pdf to keep its size, not .{kind}")
    with rc_context({"svg.hashsalt": "crankmath"}):
        figure.savefig(path, format=kind, bbox_inches=None, metadata={"Date": None} if kind == "svg" else {"CreationDate": None})
