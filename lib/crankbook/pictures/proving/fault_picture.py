"""A crank as a fault left it, under dials; readings of two mains, and what each cause leaves over
of them.
"""

from dataclasses import dataclass

import numpy as np

from crankmath.language import _

from ..crank_drawing import CENTER_LINE, Shape
from ..marks import dial
from ..scene import (
    BLUE,
    FINER,
    GRAY,
    GREEN,
    PURPLE,
    RUST,
    Curve,
    Grip,
    Note,
    Point,
    blank,
    full_scale,
)

AROUND = np.linspace(0, 360, 73)
CRANK = 3  # axes of the crank's window
ALONG = 5  # places along a main
ENLARGED = 1000  # offsets over sizes, at most
MOVED = RUST, 1.2, "", "#f3ddd5"  # looks of what a fault moved
FARTHEST = 0.08  # of the window: how far the largest offset is drawn
TALL, HIGH, MIDDLE, DIAL = (
    0.53,
    0.33,
    0.225,
    0.042,
)  # of the window: its height, crank, axis, a dial


@dataclass(frozen=True, eq=False)
class Left:
    """How a fault left a crank between true centers; all in mm.

    ``part`` is the crank's shape, ``x`` and ``off`` have a row a main: places along it and its
    offsets there, toward 0 and 90 degrees as complex numbers; ``pin`` is the first pin's offset.
    ``up`` [rad] is the mark that is turned up, ``most`` the largest offset a slider can reach.
    """

    part: Shape
    x: np.ndarray
    off: np.ndarray
    pin: complex
    up: float
    most: float


def crank_items(left, full, words, size=0.0):
    """Moving items of the crank: as drawn in gray, what the fault moved in rust, under its dials.

    - ``full`` [mm]: Offset that turns a dial's hand all the way.
    - ``words``: Swing of each dial over a turn.
    - ``size``: Of the fault as its slider shows it; dragging the place moved most changes it.
    """
    part, toward = left.part.turned(-left.up), np.exp(-1j * left.up)
    reach = 2 * np.hypot(part.corners[..., 0], part.corners[..., 1]).max()
    scale = max(part.length, reach / HIGH)
    begin = (1 - part.length / scale) / 2
    enlarged = 1 / full_scale(max(left.most / scale / FARTHEST, 1 / ENLARGED), "offsets")
    rise, pin = np.real(left.off * toward), enlarged * np.real(left.pin * toward)

    def curve(x, y, *looks):
        return Curve(begin + np.asarray(x) / scale, MIDDLE + np.asarray(y) / scale, *looks, CRANK)

    items, mains = [], iter(zip(left.x, enlarged * rise, strict=True))
    for piece, (start, end, low, high) in zip(part.pieces, part.sides, strict=True):
        x, y = np.array([start, end, end, start, start]), np.array([low, low, high, high, low])
        if _is_main(piece):
            along, up = next(mains)
            items += [
                curve(np.r_[along, along[::-1]], np.r_[low + up, high + up[::-1]], *MOVED),
                curve(x, y, GRAY, 1, "4 3", ""),
            ]
        elif _is_pin(piece) and pin:
            items += [curve(x, y + pin, *MOVED), curve(x, y, GRAY, 1, "4 3", "")]
        else:
            items.append(curve(x, y, GRAY, 1.2, "", "#eeeeee"))
    ends = np.array([-0.06, part.length / scale + 0.06]) * scale
    items += [
        curve(ends, np.zeros(2), GRAY, 1, CENTER_LINE, ""),
        curve(left.x.ravel(), enlarged * rise.ravel(), RUST, 2, "", ""),
    ]
    for end, out in ((0.0, -scale), (part.length, scale)):
        cone = end + out * np.array([-0.015, 0.03, 0.06, 0.06, 0.03])
        up = scale * np.array([0, 0.026, 0.026, -0.026, -0.026])
        items.append(curve(cone, up, GRAY, 1, "", "#bbbbbb"))
    mains = [side for piece, side in zip(part.pieces, part.sides, strict=True) if _is_main(piece)]
    for x, up, (*_unused, high), said in zip(left.x, rise, mains, words, strict=False):
        at = begin + x[ALONG // 2] / scale
        foot = MIDDLE + (high + enlarged * up[ALONG // 2]) / scale
        hand = np.pi * (0.5 - 0.75 * np.clip(up[ALONG // 2] / full, -1, 1))
        items += dial(foot, (at, TALL - 0.1), DIAL, hand, RUST, CRANK)
        items.append(Note(at, TALL - 0.055, said, RUST, "middle", CRANK))
    farthest = np.argmax(np.abs(rise))
    x, y = (left.x.ravel()[farthest], enlarged * rise.ravel()[farthest])
    if pin:
        x, y = next((one.middle, part.height(one) + pin) for one in part.pieces if _is_pin(one))
    moved = (pin or y) / scale
    if size and moved:
        factor, y = size / moved, MIDDLE + y / scale
        grip = Grip("size", "y", factor, size - factor * y)
        items.append(Point(begin + x / scale, y, RUST, CRANK, (grip,)))
    mark = _("{up:.0f}° mark up").format(up=np.degrees(left.up) % 360)
    return [
        *items,
        Note(-0.11, -0.01, mark, GRAY, "start", CRANK),
        Note(
            1.11,
            -0.01,
            _("offsets {enlarged:,.0f} times enlarged").format(enlarged=enlarged),
            GRAY,
            "end",
            CRANK,
        ),
    ]


def covered_items():
    """Moving items in place of a crank that a class is not to see yet."""
    return [Note(0.5, MIDDLE, _("the crank, under its cover"), GRAY, "middle", CRANK)]


def _is_main(piece):
    return piece.kind == "journal"


def _is_pin(piece):
    return piece.kind == "pin" and piece.index == 0


def reading_scale(largest):
    """Reading at the top of both charts, where the largest that may come is so large."""
    return full_scale(largest, "readings", FINER)


def trace_items(axes, marks, readings, explained, full):
    """Moving items of one main: readings, and what the best cause explains of them.

    - ``marks``, ``readings`` [deg, any unit]
    - ``explained``: At every mark of ``AROUND``.
    - ``full``: Reading at the top of the chart.
    """
    items = [Curve(AROUND, explained / full, BLUE, 2, axes=axes)]
    items += [
        Point(mark, size, RUST, axes=axes)
        for mark, size in zip(marks, readings / full, strict=True)
    ]
    scale = ((1, f"{full:g}"), (-1, f"−{full:g}"))
    return items + [Note(-14, at - 0.07, said, GRAY, "end", axes) for at, said in scale]


def band_items(axes, half, full):
    """Moving items of a predicted swing of the dial, half of it up and half down."""
    lines = [
        Curve(np.array([0.0, 360.0]), np.full(2, side * half / full), PURPLE, 2, "2 4", axes=axes)
        for side in (1, -1)
    ]
    return [*lines, Note(358, half / full, _("your prediction"), PURPLE, "end", axes=axes)]


def left_over_items(left_over, full):
    """Moving items of the bars: what each cause leaves over, green where it explains the readings.

    - ``left_over``: Size and whether it explains, by place of the bar.
    - ``full``: Size of the highest bar that may come.
    """
    items = []
    for place, (size, explains) in left_over.items():
        color, height = GREEN if explains else GRAY, 0.92 * size / full
        sides = place + 0.3 * np.array([-1, 1, 1, -1])
        items += [
            Curve(sides, height * np.array([0, 0, 1, 1]), color, 1, "", color, axes=2),
            Note(place, height, f"{size:.2g}", color, "middle", axes=2),
        ]
    return items


def fault_paper(unit, causes, projector=False):
    """Paper for the crank, the readings of two mains, and what the causes leave over.

    - ``unit``: Label of the readings, "µm" or "thou".
    """
    figure, *charts, bars, window = blank(
        projector,
        9.0,
        5.2,
        (
            (0.06, 0.11, 0.245, 0.29),
            (0.365, 0.11, 0.245, 0.29),
            (0.65, 0.12, 0.345, 0.80),
            (0.0, 0.515, 0.61, 0.44),
        ),
    )
    size = bars.xaxis.label.get_size()
    for number, chart in enumerate(charts, 1):
        chart.set(xlim=(0, 360), ylim=(-1, 1), yticks=[-1, -0.5, 0, 0.5, 1])
        chart.set_xticks(np.arange(0, 361, 90))
        chart.set_yticklabels(["", "", "0", "", ""])
        chart.grid(color="#dddddd")
        chart.axhline(0, color=GRAY, linewidth=1.4, linestyle=(0, (3, 5)))
        chart.set_title(
            _("main {number} [{unit}]").format(number=number, unit=unit),
            fontsize=size * 0.9,
            color="#333333",
        )
    charts[0].set_xlabel(_("Mark under the dial [°]"))
    for place, words, color in (
        (0.02, _("● reading"), RUST),
        (0.17, _("— best cause"), BLUE),
        (0.36, _("- - before release"), GRAY),
    ):
        figure.text(place, 0.475, words, fontsize=size * 0.9, color=color)
    window.set(xlim=(-0.12, 1.12), ylim=(0, TALL), xticks=[], yticks=[], aspect="equal")
    window.spines[:].set_visible(False)
    window.set_title(
        _("released: mains under dials, swing a turn"), fontsize=size * 0.9, color="#333333"
    )
    bars.set(xlim=(-0.6, len(causes) - 0.4), ylim=(0, 1), yticks=[])
    bars.set_title(_("left over [{unit}]").format(unit=unit), fontsize=size * 0.9, color="#333333")
    bars.set_xticks(range(len(causes)), [_(name).replace(" ", "\n") for name in causes])
    return figure
