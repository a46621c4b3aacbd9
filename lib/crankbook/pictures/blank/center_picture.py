"""An end face with its centers and their coordinates, the pins' axes through both end faces in
space, and the chart of where center errors put a pin's axis along the bar.
"""

import numpy as np

from crankmath.blank.bar import section_axes
from crankmath.language import _, ngettext, spoken

from ..crank_drawing import CENTER_LINE, HIDDEN, INK, circle, dimension, placed, shape
from ..scene import BLUE, GRAY, GREEN, PURPLE, RUST, Curve, Grip, Note, Point, blank
from ..space import Body, Prism, Space, Trace, Word, straight

FACE = (470.0, 440.0)  # room of the end face, hundredths of an inch at desk size
HIGH = 500.0  # of the whole picture
MIDDLE, ROOM = (236.0, 236.0), 256.0  # middle of the bar, its largest side
ENLARGED = 50  # center errors over sizes
STEEL = "#f4f4f4"


def center_paper(unit, widest, projector=False):
    """Paper of the lesson: the right-hand end face, the chart along the bar, room for the view.

    - ``unit``: Of the chart, "mm" or "thou".
    - ``widest``: Largest distance drawn either way, in that unit.
    """
    places = (
        (0.0, 0.0, FACE[0] / 900, FACE[1] / HIGH),
        (0.61, 0.125, 0.375, 0.32),
        (FACE[0] / 900, 0.47, 1 - FACE[0] / 900, 0.53),
    )
    figure, face, chart, view = blank(projector, 9.0, HIGH / 100, places)
    for axes, place in ((face, places[0]), (view, places[2])):
        axes.set_position(place)
    view.set(xticks=[], yticks=[])
    view.spines[:].set_visible(False)
    view.patch.set_alpha(0)
    face.set(xlim=(0, FACE[0]), ylim=(0, FACE[1]), xticks=[], yticks=[])
    face.spines[:].set_visible(False)
    size = chart.xaxis.label.get_size() * 0.9
    face.annotate(
        _("right end, as you look at it; {words}").format(
            words="mm" if unit == "mm" else _("inches")
        ),
        (MIDDLE[0], FACE[1] - 16),
        ha="center",
        fontsize=size,
        color=INK,
    )
    chart.set(
        xlim=(0, 100),
        ylim=(-widest, widest),
        xlabel=_("Along the bar [% from the left]"),
        ylabel=_("Pin 1 off by [{unit}]").format(unit=unit),
    )
    view.annotate(
        _("axes of the pins, errors {enlarged} times enlarged").format(enlarged=ENLARGED),
        (0.5, 0.99),
        xycoords="axes fraction",
        ha="center",
        va="top",
        fontsize=size,
        color=INK,
    )
    for share, words, color in (
        (0.985, _("solid: outward"), BLUE),
        (0.86, _("dashed: across the throw"), GREEN),
        (0.03, _("thick: where the pin is"), INK),
    ):
        chart.annotate(
            words,
            (0.02, share),
            xycoords="axes fraction",
            va="top" if share > 0.5 else "bottom",
            fontsize=size,
            color=color,
        )
    chart.grid(color="#dddddd")
    chart.axhline(0, color="#777777", linewidth=0.8, dashes=(12, 3, 3, 3))
    return figure


def as_marked(length, unit):
    """A coordinate as a mill takes it: thousandths of a millimeter, ten-thousandths of an inch."""
    text = f"{length:.3f}" if unit == "mm" else f"{length / 25.4:.4f}"
    return text.rstrip("0").rstrip(".")


def bar_outline(bar):
    """Outline of a bar's section about its middle, in its own axes [mm]."""
    half = np.array([bar.width.m_as("mm"), bar.height.m_as("mm")]) / 2
    if bar.shape == "round":
        turn = np.linspace(0, 2 * np.pi, 145)
        return half[0] * np.cos(turn), half[0] * np.sin(turn)
    return half[0] * np.array([-1, 1, 1, -1, -1]), half[1] * np.array([-1, -1, 1, 1, -1])


def face_items(crank, layout, hole, unit, guess=None):
    """The end face: bar, webs inside it, centers with their mouths, coordinates of main and first
    pin from the edges.

    - ``unit``: "mm" or "in" of the sizes written.
    - ``guess`` [mm]: A predicted distance of the main center below the bar's middle.
    """
    part, bar = shape(crank), layout.bar
    x, y = bar_outline(bar)
    scale = ROOM / max(np.ptp(x), np.ptp(y))
    axes = section_axes(bar.turn.m_as("rad"))
    middle = np.array([bar.middle_x.m_as("mm"), bar.middle_y.m_as("mm")])
    drawn = [Curve(x, y, INK, 2, fill=STEEL)]
    for corners in part.corners:
        turned = (np.append(corners, corners[:1], axis=0) - middle) @ axes.T
        drawn.append(Curve(*turned.T, GRAY, 1.2, HIDDEN))
    points = {
        point.name: np.array([point.from_middle_x.m_as("mm"), point.from_middle_y.m_as("mm")])
        for point in layout.points
    }
    reach = 0.6 * hole.mouth.m_as("mm") if hole else 10 / scale
    for place in points.values():
        for across in (np.array([reach, 0]), np.array([0, reach])):
            drawn.append(Curve(*np.array([place - across, place + across]).T, INK, 1.2))
        if hole:
            drawn.append(circle(place, hole.mouth.m_as("mm"), 0, INK, 1.2))
    left, bottom = x.min(), y.min()
    head, first = 9 / scale, points["pin 1"]
    for number, (_unused, place) in enumerate((("main", points["main"]), ("pin 1", first))):
        color, side = (BLUE, RUST)[number], (-1, 1)[number]
        out = side * (abs(left) + 30 / scale)
        drawn.append(
            Curve(np.array([place[0], out + side * 5 / scale]), np.full(2, place[1]), color, 0.8)
        )
        drawn += dimension((out, bottom), (out, place[1]), "", head, 0, color)
        drawn.append(
            Note(
                out + side * 6 / scale,
                (bottom + place[1]) / 2 - 6 / scale,
                as_marked(place[1] - bottom, unit),
                color,
                ("end", "start")[number],
            )
        )
        if number == 0 or abs(first[0] - points["main"][0]) > 1e-6:
            low = bottom - (30, 62)[number] / scale
            drawn.append(
                Curve(np.full(2, place[0]), np.array([place[1], low - 5 / scale]), color, 0.8)
            )
            drawn += dimension(
                (left, low), (place[0], low), as_marked(place[0] - left, unit), head, 0, color
            )
    for name, place in points.items():
        drawn.append(Note(place[0], place[1] + reach - 4 / scale, spoken(name), INK, "middle"))
    drawn.append(Curve(np.array([1.06 * left, -1.06 * left]), np.zeros(2), GRAY, 1, CENTER_LINE))
    if guess is not None:
        drawn += [
            Curve(0.9 * np.array([left, -left]), np.full(2, -guess), PURPLE, 2, "2 4"),
            Note(0.9 * left, -guess, _("your prediction"), PURPLE),
        ]
    return placed(drawn, scale, MIDDLE)


def drilled(layout, off, scale_words):
    """Where pin 1 was really drilled, its error enlarged; ``off`` in the bar's axes [mm]."""
    x, y = bar_outline(layout.bar)
    scale, pin = ROOM / max(np.ptp(x), np.ptp(y)), layout.find("pin 1")
    start = np.array(
        [
            MIDDLE[0] + scale * pin.from_middle_x.m_as("mm"),
            MIDDLE[1] + scale * pin.from_middle_y.m_as("mm"),
        ]
    )
    end = start + ENLARGED * scale * np.asarray(off)
    return [
        Curve(*np.array([start, end]).T, RUST, 2),
        Point(*end, RUST),
        Note(MIDDLE[0], 2, scale_words, RUST, "middle"),
    ]


def axis_items(span, outward, across):
    """Lines of the chart: how far the pin's axis lies off along the bar, thick where the pin is.

    - ``span``: Ends of the pin, percent of the bar.
    - ``outward``, ``across``: At the left and the right end of the bar, in the unit of the chart.
    """
    drawn, here = [], np.array(span)
    for ends, color, dash in ((outward, BLUE, ""), (across, GREEN, "9 5")):
        drawn += [
            Curve(np.array([0.0, 100.0]), np.array(ends), color, 2, dash, axes=1),
            Curve(here, np.interp(here, (0, 100), ends), color, 7, axes=1),
        ]
    return [*drawn, Point(100.0, outward[1], BLUE, 1, (Grip("out", "y"),))]


def axes_in_space(bar, span, centers, offs, said):
    """Axes of main and pins through both end faces of the bar, the errors enlarged.

    - ``span`` [mm]: Length of the bar, begin and end of the first pin along it.
    - ``centers``: Places (n, 2) of main and pins as you look at the right-hand end [mm], the main
      first.
    - ``offs``: Errors (n, 2) of the pins' centers at the right-hand end; the left end has none.
    """
    length, *pin = span
    across, up = bar_outline(bar)
    ring = np.column_stack([up, -across])[:-1]
    shape = Prism(0.0, length, ring)
    closed = np.vstack([ring, ring[:1]])
    faces = [np.column_stack([np.full(len(closed), x), closed]) for x in (0.0, length)]
    reach, mark = 0.1 * length, 0.045 * np.ptp(up)
    clear = np.array([0.03 * length, 0.0, 0.0])  # words of the axes' ends
    traces = [Trace(face, INK, 1.5) for face in faces]
    words = [
        Word((x, up.min() - 0.16 * np.ptp(up), 0.0), _("{end} end").format(end=_(end)), INK)
        for x, end in ((0.0, "left"), (length, "right"))
    ]
    places = np.column_stack([centers[:, 1], -centers[:, 0]])
    moved = ENLARGED * np.column_stack([offs[:, 1], -offs[:, 0]])
    for number, (y, z) in enumerate(places):
        dy, dz = moved[number - 1] if number else (0.0, 0.0)
        ends = [(x, y + dy * x / length, z + dz * x / length) for x in (-reach, length + reach)]
        for x, right, above in ((0.0, z, y), (length, z + dz, y + dy)):
            traces += [
                Trace(straight((x, above - mark, right), (x, above + mark, right)), INK, 1.5),
                Trace(straight((x, above, right - mark), (x, above, right + mark)), INK, 1.5),
            ]
        if number:
            planned = straight((-reach, y, z), (length + reach, y, z))
            traces.append(Trace(planned, GRAY, 1.5, "5 5"))
        color = RUST if number else BLUE
        traces.append(Trace(straight(*ends), color, 2.5))
        # pins at one height lie behind one another, and near the main, which is named at the left
        level = 1 + np.flatnonzero(np.abs(places[1:, 0] - y) < 1)
        if not number:
            words.append(Word(ends[0] - clear, _("main"), color, "end"))
        elif number == level[-1]:
            name = ngettext("pin {numbers}", "pins {numbers}", len(level))
            name = name.format(numbers=", ".join(map(str, level)))
            words.append(Word(ends[1] + clear, name, color, "start"))
        if number == 1:
            here = [(x, y + dy * x / length, z + dz * x / length) for x in pin]
            traces.append(Trace(straight(*here), color, 7))
    room = 2 * reach if len(centers) < 4 else 4 * reach  # names of more pins are longer
    holds = np.vstack([*faces, [(x, *1.25 * ring.min(axis=0)) for x in (-reach, length + room)]])
    body = Body((shape,), opacity=0.3)
    return Space((body,), said, holds, tuple(traces), tuple(words), axes=2)
