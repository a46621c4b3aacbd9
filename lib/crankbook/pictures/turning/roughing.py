"""From bar to crank, drawn: what comes off each slice, the passes seen from the end, the minutes
they take.
"""

import numpy as np

from crankmath.language import _, marked

from ..scene import BLUE, GRAY, GREEN, PALE, PURPLE, RUST, Curve, Grip, Note, Point, blank

KEPT, WHOLE, BROKEN = "#c8c8c8", "#d6e4f2", "#f0d2c4"
GROUPS = (
    marked("all"),
    marked("rough mains"),
    marked("rough pins"),
    marked("walls, faces"),
    marked("finish"),
)
MOST_PASSES = 24  # drawn


def regions_figure(slices, length_unit, volume_unit, projector=False):
    """Slices of the bar from the side: what stays, what is cut without a break, what in blows.

    - ``slices``: Lengths in one unit, ``removed`` in ``volume_unit``.
    """
    figure, axes = blank(projector, 9.0, 4.0, ((0.08, 0.14, 0.9, 0.78),))
    size = axes.xaxis.label.get_size() * 0.85
    for start, length, (low, high), stays, whole, name, removed in slices:
        for (bottom, top), fill, ink in (
            ((low, high), BROKEN, "white"),
            (whole, WHOLE, "none"),
            (stays, KEPT, GRAY),
        ):
            axes.fill_between(
                [start, start + length],
                bottom,
                top,
                facecolor=fill,
                edgecolor=ink,
                linewidth=1,
                hatch="//" if fill == BROKEN else None,
            )
        axes.annotate(
            f"{name}\n{removed:.0f} {volume_unit}"
            if removed >= 10
            else f"{name}\n{removed:.1f} {volume_unit}",
            (start + length / 2, high),
            (0, 4),
            textcoords="offset points",
            ha="center",
            va="bottom",
            fontsize=size,
            color="#333333",
        )
    low, high = min(row[2][0] for row in slices), max(row[2][1] for row in slices)
    axes.set(
        xlim=(slices[0][0], slices[-1][0] + slices[-1][1]),
        ylim=(low - 0.02 * (high - low), high + 0.25 * (high - low)),
        yticks=[],
        xlabel=_("Along the bar [{length_unit}]").format(length_unit=length_unit),
    )
    axes.spines["left"].set_visible(False)
    return figure


def end_items(outlines, web, final, arcs, tool, scale):
    """Moving items of the end view: bar, what the mill left, the web, the finished round, arcs of
    the passes in metal.

    - ``outlines``: Points (n, 2) from the turning axis.
    - ``final``: Radius of the finished pin or main.
    - ``arcs``: First pass first; angles [rad].
    - ``tool``: Radius at which the tool begins.
    - ``scale``: Radius that fills the window.
    """
    bar, block = (points / scale for points in outlines)
    drawn = [
        Curve(*_closed(bar), GRAY, 1, fill=BROKEN),
        Curve(*_closed(block), GRAY, 1.5, fill=KEPT),
        Curve(*_closed(web / scale), GRAY, 1.2, "6 4"),
    ]
    for _number, (radius, begin, end) in enumerate(arcs):
        turn = np.linspace(begin, end, max(int(12 * (end - begin)), 4))
        first = radius == arcs[0][0]
        drawn.append(
            Curve(
                radius / scale * np.cos(turn),
                radius / scale * np.sin(turn),
                BLUE,
                4 if first else 1.2,
            )
        )
    turn = np.linspace(0, 2 * np.pi, 49)
    drawn.append(
        Curve(
            final / scale * np.cos(turn), final / scale * np.sin(turn), GREEN, 2, fill=PALE[GREEN]
        )
    )
    tip = -tool / scale
    drawn.append(
        Curve(
            np.array([tip, tip - 0.04, tip - 0.5, tip - 0.5, tip]),
            np.array([0, -0.16, -0.16, -0.02, 0]),
            GRAY,
            1.2,
            fill=PALE[BLUE],
        )
    )
    return drawn


def depth_point(tool, depth, scale, unit):
    """Where the first pass ends, to be dragged; ``unit`` is a millimeter in the slider's unit."""
    grip = Grip("depth", "x", unit * scale, unit * tool)
    return Point((depth - tool) / scale, 0.0, BLUE, 0, (grip,))


def _closed(points):
    return np.r_[points[:, 0], points[:1, 0]], np.r_[points[:, 1], points[:1, 1]]


def minutes_items(minutes, scale, words):
    """Moving items of the chart: one bar a group of ``GROUPS``, its minutes behind it.

    - ``scale``: Minutes at the chart's right end.
    - ``words``: Unit of the marks along the axis.
    """
    drawn = [
        Note(0.005, -0.66, "0", GRAY, "start", 1),
        Note(0.5, -0.66, f"{scale / 2:g}", GRAY, "middle", 1),
    ] + [Note(1.0, -0.66, f"{scale:g} {words}", GRAY, "end", 1)]
    for row, value in enumerate(minutes):
        x, y = value / scale, len(GROUPS) - 1 - row
        color, fill = (RUST, "#e9c9ba") if row == 0 else (BLUE, "#c9daee")
        drawn.append(
            Curve(
                np.array([0, x, x, 0, 0]),
                y + np.array([-0.3, -0.3, 0.3, 0.3, -0.3]),
                color,
                1.2,
                fill=fill,
                axes=1,
            )
        )
        inside = x > 0.8
        drawn.append(
            Note(
                min(x, 1.0) - 0.015 if inside else x + 0.015,
                y - 0.2,
                f"{value:.0f}",
                color,
                "end" if inside else "start",
                axes=1,
            )
        )
    return drawn


def guess_items(guess, scale):
    """A guessed total as a line over the top bar."""
    return [
        Curve(np.full(2, guess / scale), np.array([3.55, 4.45]), PURPLE, 3, "4 3", axes=1),
        Note(
            min(guess / scale, 0.97) + 0.01,
            4.42,
            _("your prediction"),
            PURPLE,
            "start" if guess / scale < 0.6 else "end",
            axes=1,
        ),
    ]


def plan_paper(projector=False):
    """Paper of the lesson: end view and minutes."""
    figure, view, chart = blank(
        projector, 9.0, 4.3, ((0.0, 0.02, 0.45, 0.96), (0.6, 0.12, 0.38, 0.8))
    )
    size = view.xaxis.label.get_size() * 0.9
    view.set(xlim=(-1.5, 1.1), ylim=(-1.35, 1.2), xticks=[], yticks=[])
    view.spines[:].set_visible(False)
    view.set_aspect("equal")
    view.annotate(
        _(
            "from the tailstock; thick: the first pass in\nmetal; green: what stays; dashed: the "
            "web"
        ),
        (-0.2, -1.33),
        ha="center",
        fontsize=size,
        color="#333333",
    )
    chart.set(
        xlim=(0, 1),
        ylim=(-0.75, len(GROUPS) - 0.4),
        xticks=[0, 0.25, 0.5, 0.75, 1.0],
        yticks=range(len(GROUPS)),
        xlabel=_("Minutes in the cut"),
    )
    chart.set_yticklabels([_(group) for group in GROUPS[::-1]])
    chart.set_xticklabels([])
    chart.tick_params(axis="y", length=0)
    chart.grid(axis="x", color="#dddddd")
    return figure
