"""Indicator readings on two mains, and what each cause leaves over of them."""

import numpy as np
from matplotlib.ticker import MaxNLocator

from ..scene import BLUE, GRAY, GREEN, PURPLE, RUST, Curve, Note, Point, blank

AROUND = np.linspace(0, 360, 73)


def trace_items(axes, marks, readings, explained, most):
    """Moving items of one main: readings, and what the best cause explains of them.

    marks, readings [deg, unit of the paper]
    explained: At every mark of ``AROUND``.
    most: Largest reading the paper holds; what lies beyond is drawn at its edge.
    """
    within = np.clip(readings, -most, most)
    items = [Curve(AROUND, np.clip(explained, -most, most), BLUE, 2, axes=axes)]
    return items + [
        Point(mark, size, RUST, axes=axes) for mark, size in zip(marks, within, strict=True)
    ]


def band_items(axes, half):
    """Moving items of a predicted swing of the dial, half of it up and half down."""
    lines = [
        Curve(np.array([0.0, 360.0]), np.full(2, side * half), PURPLE, 2, "2 4", axes=axes)
        for side in (1, -1)
    ]
    return [*lines, Note(358, half, "your prediction", PURPLE, "end", axes=axes)]


def left_over_items(left_over, most):
    """Moving items of the bars: what each cause leaves over, green where it explains the readings.

    left_over: Size [unit of the paper] and whether it explains, by place of the bar.
    most: Highest bar the paper holds; the number above a bar is its own.
    """
    items = []
    for place, (size, explains) in left_over.items():
        color, height = GREEN if explains else GRAY, min(size, 0.93 * most)
        sides = place + 0.3 * np.array([-1, 1, 1, -1])
        items += [
            Curve(sides, height * np.array([0, 0, 1, 1]), color, 1, "", color, axes=2),
            Note(place, height, f"{size:.2g}", color, "middle", axes=2),
        ]
    return items


def fault_paper(unit, most, causes, projector=False):
    """Paper for the readings of two mains, and for what the causes leave over.

    unit: Label of the readings, "µm" or "thou".
    most: Largest reading either way, in that unit.
    """
    figure, *charts, bars = blank(
        projector,
        9.0,
        5.2,
        ((0.085, 0.58, 0.45, 0.34), (0.085, 0.12, 0.45, 0.34), (0.64, 0.12, 0.35, 0.80)),
    )
    size = bars.xaxis.label.get_size()
    for number, chart in enumerate(charts, 1):
        chart.set(xlim=(0, 360), ylim=(-most, most), ylabel=f"Main {number} [{unit}]")
        chart.set_xticks(np.arange(0, 361, 90))
        chart.grid(color="#dddddd")
        chart.yaxis.set_major_locator(MaxNLocator(5))
        chart.axhline(0, color=GRAY, linewidth=1.4, linestyle=(0, (3, 5)))
    charts[1].set_xlabel("Mark of the work under the dial [°]")
    for place, words, color in (
        (0.0, "● reading", RUST),
        (0.28, "— best cause", BLUE),
        (0.63, "- - before release", GRAY),
    ):
        charts[0].annotate(
            words, (place, 1.06), xycoords="axes fraction", fontsize=size * 0.9, color=color
        )
    bars.set(xlim=(-0.6, len(causes) - 0.4), ylim=(0, most / 2), ylabel=f"Left over [{unit}]")
    bars.set_xticks(range(len(causes)), [name.replace(" ", "\n") for name in causes])
    bars.yaxis.set_major_locator(MaxNLocator(5))
    return figure
