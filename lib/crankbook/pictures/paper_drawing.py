"""Drawings for the printed job sheet as inline SVG, true to a scale that is a whole step, black on
white.
"""

import textwrap
from dataclasses import replace
from html import escape

import numpy as np

from crankmath.language import _

from .crank_drawing import CENTER_LINE, INK, crank_items, drawing_paper, window
from .scene import GRAY, Curve, Note

SCALES = (
    2.0,
    1.0,
    0.5,
    0.4,
    0.2,
    0.1,
    0.05,
    0.02,
    0.01,
)  # millimeters of paper per millimeter of crank
WIDTH = 178.0  # mm that a page of A4 or Letter holds between its margins
AROUND = 8.0  # mm of paper around an end face
TEXT, POINT = 3.0, 25.4 / 72  # mm: height of a letter, a point
LETTER, LINE = 0.6 * TEXT, 1.4 * TEXT  # mm: width of a letter at most, from line to line


def scale_word(scale):
    """A scale as it stands on a drawing: 1 : 2."""
    return f"1 : {1 / scale:g}" if scale < 1 else f"{scale:g} : 1"


def fitting_scale(width, most=1.0, beside=0.0):
    """Largest usual scale at which a width in millimeters fits on the page, ``beside`` millimeters
    of paper that no scale changes.
    """
    room = WIDTH - beside
    return next((scale for scale in SCALES if scale <= most and width * scale <= room), SCALES[-1])


def svg(items, box, scale, words, axes=0):
    """Items of one axes as an inline SVG, ``scale`` millimeters of paper for one of the drawing.

    - ``items``: In millimeters, y upward.
    - ``box`` [mm]
    - ``words``: What the drawing shows, for whoever cannot see it.
    - ``axes``: The axes whose items are drawn.
    """
    left, right, bottom, top = box
    wide, high = (right - left) * scale, (top - bottom) * scale

    def place(x, y):
        return (x - left) * scale, (top - y) * scale

    drawn = []
    for item in items:
        if item.axes != axes:
            continue
        if item.kind == "text":
            x, y = place(item.x, item.y)
            anchor = {"start": "start", "middle": "middle", "end": "end"}[item.anchor]
            drawn.append(
                f'<text x="{x:.2f}" y="{y - 1:.2f}" text-anchor="{anchor}" '
                f'font-size="{TEXT}">{escape(item.text)}</text>'
            )
        elif item.kind == "marker":
            x, y = place(item.x, item.y)
            drawn.append(f'<circle cx="{x:.2f}" cy="{y:.2f}" r="0.6"/>')
        else:
            points = " ".join(
                f"{x:.2f},{y:.2f}" for x, y in (place(*point) for point in item.points())
            )
            lengths = " ".join(f"{float(part) * POINT / 2:.2f}" for part in item.dash.split())
            dash = f' stroke-dasharray="{lengths}"' if lengths else ""
            # fills of the drawing are light grays, or arrow heads in the color of their line
            fill = (
                "none"
                if not item.fill
                else item.fill
                if item.fill.startswith(("#d", "#e", "#f"))
                else "#000"
            )
            drawn.append(
                f'<polyline points="{points}" fill="{fill}" stroke="#000" '
                f'stroke-width="{item.width * POINT * 0.4:.2f}"{dash}/>'
            )
    return (
        f'<svg role="img" aria-label="{escape(words)}" xmlns="http://www.w3.org/2000/svg" '
        f'width="{wide:.2f}mm" height="{high:.2f}mm" '
        f'viewBox="0 0 {wide:.2f} {high:.2f}" '
        f'font-family="sans-serif"><title>{escape(words)}</title>{"".join(drawn)}</svg>'
    )


def crank_svg(crank, unit):
    """Side view and end view of a crank to one scale, with sizes and a scale bar.

    Returns a list of both drawings, as SVG, and their scale.
    """
    figure, items = drawing_paper(*window(crank)), crank_items(crank, unit)
    boxes = [
        (*axes.get_xlim(), *axes.get_ylim()) for axes in figure.axes
    ]  # left, right, bottom, top
    scale = fitting_scale(
        max(box[1] - box[0] for box in boxes), most=2.0 if window(crank)[0] < 60 else 1.0
    )
    words = (
        _("{name}, seen from the front, {scale_word}").format(
            name=crank.name, scale_word=scale_word(scale)
        ),
        _("{name}, seen from the right-hand end, {scale_word}").format(
            name=crank.name, scale_word=scale_word(scale)
        ),
    )
    foot = 6 / scale  # room for the scale bar
    *drawn, caption = items
    lines = textwrap.wrap(caption.text, int((boxes[0][1] - caption.x) * scale / LETTER))
    items = [
        *drawn,
        *(
            replace(caption, y=caption.y + row * LINE / scale, text=line)
            for row, line in enumerate(reversed(lines))
        ),
    ]
    head = (len(lines) - 1) * LINE / scale
    boxes = [(left, right, bottom - foot, top + head) for left, right, bottom, top in boxes]
    return [
        svg(
            [*items, *_bar(box, scale, unit, number)] if number == 0 else items,
            box,
            scale,
            told,
            number,
        )
        for number, (box, told) in enumerate(zip(boxes, words, strict=True))
    ], scale


def _bar(box, scale, unit, axes):
    """A scale bar at the foot of a drawing: 50 mm or 2 in of crank, less where the drawing is
    narrow.
    """
    step, word = (1.0, "mm") if unit == "mm" else (25.4, "in")
    room = (box[1] - box[0]) / 3 / step
    length = max(
        (size for size in (0.5, 1, 2, 5, 10, 20, 50, 100, 200) if size <= room), default=0.5
    )
    x, y, tick = box[0] + 2 / scale, box[2] + 2 / scale, 1.5 / scale
    ends = np.array([0, 0, 0, 1, 1, 1]) * length * step + x
    heights = y + np.array([tick, 0, 0, 0, 0, tick])
    return [
        Curve(ends, heights, INK, 1.2, axes=axes),
        Note(
            x + length * step + 2 / scale,
            y - 0.5 / scale,
            _("{length:g} {word} of the crank").format(length=length, word=word),
            INK,
            axes=axes,
        ),
    ]


def end_face_svg(layout, hole, unit, scale):
    """One end of the bar with its centers, as you look at it."""
    half = np.array([layout.bar.width.m_as("mm"), layout.bar.height.m_as("mm")]) / 2
    room = AROUND / scale
    turn = np.linspace(0, 2 * np.pi, 121)
    if layout.bar.shape == "round":
        items = [Curve(half[0] * np.cos(turn), half[0] * np.sin(turn), INK, 1.8)]
    else:
        items = [
            Curve(
                half[0] * np.array([-1, 1, 1, -1, -1]),
                half[1] * np.array([-1, -1, 1, 1, -1]),
                INK,
                1.8,
            )
        ]
    reach = 3.5 / scale
    for point in layout.points:
        x, y = point.from_middle_x.m_as("mm"), point.from_middle_y.m_as("mm")
        items += [
            Curve(np.array([x - reach, x + reach]), np.full(2, y), INK, 0.9),
            Curve(np.full(2, x), np.array([y - reach, y + reach]), INK, 0.9),
        ]
        if hole is not None:
            mouth = hole.mouth.m_as("mm") / 2
            items.append(
                Curve(x + mouth * np.cos(turn), y + mouth * np.sin(turn), GRAY, 0.9, "4 3")
            )
        items.append(
            Note(
                x
                + (reach if hole is None else max(reach, hole.mouth.m_as("mm") / 2))
                + 0.8 / scale,
                y - 1.5 / scale,
                point.name,
                INK,
            )
        )
    items += [
        Curve(
            np.array([-half[0] - 3 / scale, half[0] + 3 / scale]),
            np.zeros(2),
            GRAY,
            0.7,
            CENTER_LINE,
        ),
        Curve(
            np.zeros(2),
            np.array([-half[1] - 3 / scale, half[1] + 3 / scale]),
            GRAY,
            0.7,
            CENTER_LINE,
        ),
    ]
    items.append(
        Note(
            0.0,
            half[1] + 3.5 / scale,
            _("{end} end, {scale_word}").format(end=_(layout.end), scale_word=scale_word(scale)),
            INK,
            "middle",
        )
    )
    box = (-half[0] - room, half[0] + room, -half[1] - room, half[1] + room + 2 / scale)
    return svg(
        items,
        box,
        scale,
        _("{end} end of the bar with its centers: {name}, {scale_word}").format(
            end=_(layout.end),
            name=", ".join(point.name for point in layout.points),
            scale_word=scale_word(scale),
        ),
    )
