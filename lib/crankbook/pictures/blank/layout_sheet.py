"""The marked-out end faces at true size on a page, with scale bars in both directions and a table
of coordinates.
"""

import numpy as np
from matplotlib import rc_context

from crankmath.language import _, spoken

from ..crank_drawing import INK, UNIT_WORDS, circle, size_text
from ..scene import blank

MARGIN, HEAD, BETWEEN = 12.0, 22.0, 12.0  # mm of the page: edges, title, between end faces
PAGES = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # mm, ISO 216 and ANSI/ASME Y14.1


def _mm(length):
    return float(length.m_as("mm"))


def _outline(bar, middle):
    """Outline of a bar's section, its middle at a place of the page [mm]."""
    if bar.shape == "round":
        turn = np.linspace(0, 2 * np.pi, 721)
        x, y = _mm(bar.width) / 2 * np.cos(turn), _mm(bar.width) / 2 * np.sin(turn)
    else:
        x, y = (
            np.array([-1, 1, 1, -1, -1]) * _mm(bar.width) / 2,
            np.array([-1, -1, 1, 1, -1]) * _mm(bar.height) / 2,
        )
    return middle[0] + x, middle[1] + y


def _places_on_page(layouts, width, height):
    """Middle of each end face on the page, side by side or one above the other, or an error."""
    sides = np.array([_mm(layouts[0].bar.width), _mm(layouts[0].bar.height)])
    room = np.array(
        [width - 2 * MARGIN - 8, height - 2 * MARGIN - HEAD - 8 * (len(layouts[0].points) + 2)]
    )
    number = len(layouts)
    for steps in ((number, 1), (1, number)):
        if np.all(sides * steps + BETWEEN * np.array(steps) <= room):
            cell = room / steps
            corner = np.array([MARGIN + 8, height - MARGIN - HEAD])
            return [
                corner + (cell[0] * (k % steps[0] + 0.5), -cell[1] * (k // steps[0] + 0.5))
                for k in range(number)
            ]
    raise ValueError(
        _(
            "layouts do not fit on the page at true size; print one end on a page, or take the "
            "larger page"
        )
    )


def layout_sheet(layouts, page="A4", unit="mm", hole=None, name=""):
    """End faces with their centers at true size on a page, with scale bars in both directions and a
    table.

    - ``layouts``: One end, or both; each is drawn as seen when looking at it.
    - ``page``: "A4" or "Letter", upright.
    - ``unit``: "mm" or "in" of the sizes written.
    - ``hole``: Its mouth is drawn around each center.
    - ``name``: Of the part, for the title.

    Returns a figure whose unit is a millimeter of paper: save it with :func:`save_true_size`.
    ValueError: Unknown page, or a bar too large for it.
    """
    if page not in PAGES:
        raise ValueError(
            _("page must be one of {pages}, not {page!r}").format(pages=", ".join(PAGES), page=page)
        )
    width, height = PAGES[page]
    places = _places_on_page(layouts, width, height)
    figure, axes = blank(False, width / 25.4, height / 25.4, ((0.0, 0.0, 1.0, 1.0),))
    axes.set(xlim=(0, width), ylim=(0, height), xticks=[], yticks=[])
    axes.spines[:].set_visible(False)
    top = height - MARGIN
    axes.text(
        MARGIN,
        top,
        _("{name}: centers at true size").format(name=spoken(name))
        if name
        else _("Centers at true size"),
        fontsize=14,
        va="top",
        color=INK,
        parse_math=False,
    )
    axes.text(
        MARGIN,
        top - 8,
        _(
            "Print at 100 %, not “fit to page”. Hold a rule against both bars before you use the "
            "sheet:\nthey have to be right within 0.1 mm (0.004 in). For checking and for "
            "scribing; drill by the numbers."
        ),
        fontsize=9,
        va="top",
        color=INK,
    )
    bar_length, label = (100.0, "100 mm") if unit == "mm" else (101.6, "4 in")
    start = np.array([MARGIN, top - 24])
    for name, end in (("across", start + (bar_length, 0)), ("up", start - (0, bar_length))):
        line = np.array([start, end])
        axes.plot(*line.T, color=INK, linewidth=1, gid=f"scale-bar-{name}", solid_capstyle="butt")
        for tick in np.linspace(start, end, 11 if unit == "mm" else 5):
            axes.plot(
                *(np.array([tick, tick + ((0, 2) if name == "across" else (-2, 0))])).T,
                color=INK,
                linewidth=0.6,
            )
    axes.text(
        start[0] + bar_length + 2,
        start[1],
        _("{label} across and down").format(label=label),
        fontsize=9,
        va="center",
        color=INK,
    )
    for layout, place in zip(layouts, places, strict=True):
        _end_face(axes, layout, place, hole)
    _table(axes, layouts, unit, hole)
    return figure


def _end_face(axes, layout, place, hole):
    bar = layout.bar
    axes.plot(*_outline(bar, place), color=INK, linewidth=0.8, gid=f"bar-{layout.end}")
    axes.text(
        place[0],
        place[1] + _mm(bar.height) / 2 + 4,
        _("{end} end, as you look at it").format(end=_(layout.end)),
        ha="center",
        fontsize=9,
        color=INK,
    )
    for point in layout.points:
        x, y = place + (_mm(point.from_middle_x), _mm(point.from_middle_y))
        for name, line in (("x", ((x - 4, x + 4), (y, y))), ("y", ((x, x), (y - 4, y + 4)))):
            axes.plot(
                *line,
                color=INK,
                linewidth=0.5,
                gid=f"center-{layout.end}-{point.name}-{name}".replace(" ", "-"),
            )
        if hole is not None:
            mouth = circle((x, y), _mm(hole.mouth), 0)
            axes.plot(mouth.x, mouth.y, color=INK, linewidth=0.6, linestyle=(0, (4, 3)))
        aside = 1 if hole is None else _mm(hole.mouth) / 2 + 1
        axes.text(x + aside, y, point.name, fontsize=8, va="center", color=INK)


def _table(axes, layouts, unit, hole):
    """Places of the centers from the left and bottom edges and from the middle."""
    rows = [("", "", _("from left"), _("from bottom"), _("from middle x"), _("from middle y"))]
    for layout in layouts:
        for point in layout.points:
            sizes = (point.from_left, point.from_bottom, point.from_middle_x, point.from_middle_y)
            rows.append(
                (
                    layout.end,
                    point.name,
                    *(f"{size.m_as(unit):.{3 if unit == 'mm' else 4}f}" for size in sizes),
                )
            )
    for number, row in enumerate(reversed(rows)):
        for column, text in enumerate(row):
            axes.text(
                MARGIN + (0, 22, 62, 92, 122, 156)[column],
                MARGIN + 4 * number,
                text,
                fontsize=8,
                color=INK,
            )
    bar = layouts[0].bar
    words = (
        f"Ø {size_text(_mm(bar.width), unit)}"
        if bar.shape == "round"
        else f"{size_text(_mm(bar.width), unit)} × {size_text(_mm(bar.height), unit)}"
    )
    drill = (
        ""
        if hole is None
        else _("; center holes {name}, drill {drill}, mouth {mouth}").format(
            name=hole.name,
            drill=size_text(_mm(hole.drill), unit),
            mouth=size_text(_mm(hole.mouth), unit),
        )
    )
    axes.text(
        MARGIN,
        MARGIN + 4 * len(rows) + 2,
        _("Bar {words} × {length} long; sizes in {unit_words}{drill}").format(
            words=words,
            length=size_text(_mm(bar.length), unit),
            unit_words=UNIT_WORDS[unit],
            drill=drill,
        ),
        fontsize=9,
        color=INK,
    )


def save_true_size(figure, path):
    """Save a sheet as SVG or PDF so that a millimeter of its axes is a millimeter of paper; the
    same sheet makes the same file.

    - ``path``: Ends in .svg or .pdf.

    ValueError: Another kind of file: a picture of dots has no size of its own.
    """
    kind = str(path).rpartition(".")[2].lower()
    if kind not in ("svg", "pdf"):
        raise ValueError(
            _("path has to end in .svg or .pdf to keep its size, not .{kind}").format(kind=kind)
        )
    with rc_context({"svg.hashsalt": "crankmath"}):
        figure.savefig(
            path,
            format=kind,
            bbox_inches=None,
            metadata={"Date": None} if kind == "svg" else {"CreationDate": None},
        )
