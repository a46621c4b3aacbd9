"""The spindle-speed chart, and beside it the work in the lathe seen from its end, at one moment."""

import numpy as np
from matplotlib.ticker import NullFormatter, NullLocator

from crankmath.language import _

from ..marks import arrow
from ..scene import BLUE, FINER, GRAY, GREEN, RUST, Curve, Note, Point, blank, full_scale

WIDE, HIGH = 1.9, 1.9  # of the end view to each side; one is the round size chosen for the work
ALL, OVER = 1.0, 1.2  # arrow of all the lathe bears, or of the speed asked for; most times that
HEAVY = np.array([1.0, 1.0]) / 2**0.5  # way from the axis to the center of mass
TOOL = np.array([(0, 0), (-0.3, 0.1), (-2 * WIDE, 0.1), (-2 * WIDE, -0.3), (-0.3, -0.3), (0, 0)])
AROUND = np.linspace(0, 2 * np.pi, 121)


def end_items(diameter, throw, pull, cut, words):
    """Moving items of the end view: spindle axis, surface at the tool, path of the bar's center of
    mass, and the two arrows, each with a bar across where all of it is used.

    - ``diameter``, ``throw``: At the tool, and of the center of mass off the axis, in one unit.
    - ``pull``, ``cut``: Shares of what the lathe bears and of the cutting speed asked for.
    - ``words``: For diameter, mass, spindle speed, pull and cutting speed.
    """
    size, mass, step, pulled, speed = words
    reach = full_scale(max(diameter / 2, throw), "work", FINER)
    surface, swing = diameter / 2 / reach, throw / reach
    edge, middle = np.array([-surface, 0.0]), swing * HEAVY
    drawn = [
        Curve(*(surface * _ring()), BLUE, 2.5, fill="#eef2f7", axes=1),
        Curve(*(edge + TOOL).T, GRAY, 1.5, fill="#dfe3e8", axes=1),
        Curve(*(swing * _ring()), GRAY, 1.5, "5 4", axes=1),
        Curve(np.array([-0.1, 0.1]), np.zeros(2), GRAY, 1.5, axes=1),
        Curve(np.zeros(2), np.array([-0.1, 0.1]), GRAY, 1.5, axes=1),
        Point(*middle, RUST, axes=1),
        *_share(middle, HEAVY, pull, RUST),
        *_share(edge, np.array([0.0, -1.0]), cut, BLUE),
    ]
    aside = np.array([-0.12, -0.24]) if swing > 0.6 else np.array([0.05, 0.06])  # off the path
    return [
        *drawn,
        Note(0.0, -surface - 0.28, size, BLUE, "middle", 1),
        Note(*(middle + aside), mass, RUST, "end", 1),
        Note(WIDE, 1.62, pulled, RUST, "end", 1),
        Note(-WIDE, -1.82, speed, BLUE, "start", 1),
        Note(WIDE, -1.82, step, GREEN, "end", 1),
    ]


def _ring():
    return np.array([np.cos(AROUND), np.sin(AROUND)])


def _share(start, way, share, color):
    """An arrow as long as its share, and a dashed line to the bar across at all of it."""
    full, across = start + ALL * way, 0.12 * np.array([-way[1], way[0]])
    return [
        Curve(*np.array([start, full]).T, color, 1.5, "3 4", axes=1),
        Curve(*np.array([full - across, full + across]).T, color, 2.5, axes=1),
        *arrow(start, start + ALL * min(share, OVER) * way, color, 1, 0.07),
    ]


def speed_paper(gear_table, unit, largest, projector=False):
    """Paper of the lesson: the chart, one line a gear step, and room for the end view.

    - ``gear_table`` [rpm]
    - ``unit``: "mm" or "in", the unit of the diameter axis.
    - ``largest``: Right end of the diameter axis, in that unit.
    """
    figure, axes, view = blank(
        projector, 9.0, 4.0, ((0.495, 0.14, 0.415, 0.80), (0.0, 0.01, 0.41, 0.98))
    )
    axes.set(
        xlim=(0, largest),
        ylim=(40, 3000),
        yscale="log",
        xlabel=_("Diameter at the tool [{unit}]").format(unit=unit),
        ylabel=_("Spindle speed [rpm]"),
    )
    ticks = [50, 100, 200, 500, 1000, 2000]
    axes.set_yticks(ticks, [str(tick) for tick in ticks])
    axes.yaxis.set_minor_locator(NullLocator())
    axes.yaxis.set_minor_formatter(NullFormatter())
    size = axes.xaxis.label.get_size()
    axes.hlines(gear_table, 0, largest, color="#999999", linewidth=0.8)
    look = {"textcoords": "offset points", "color": "#333333", "fontsize": size * 0.8}
    for step in gear_table[:: 2 if projector else 1]:
        axes.annotate(f"{step:.0f}", (largest, step), (4, 0), va="center", **look)
    axes.annotate(
        _("gear steps"), (largest, 3000), (2, -4), va="top", annotation_clip=False, **look
    )
    view.set(xlim=(-WIDE, WIDE), ylim=(-HIGH, HIGH), xticks=[], yticks=[])
    view.set_aspect("equal")
    view.spines[:].set_visible(False)
    view.annotate(_("from the tailstock"), (-WIDE, HIGH), (2, -2), va="top", **look)
    turning = {"arrowstyle": "-|>", "color": GREEN, "connectionstyle": "arc3,rad=0.3"}
    view.annotate("", (1.6, -0.7), (0.75, -1.5), arrowprops=turning)
    return figure
