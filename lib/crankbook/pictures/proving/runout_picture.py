"""Indicator readings over a turn, the section that makes them, many times enlarged, and its form by
lobes.
"""

import numpy as np
from matplotlib.ticker import MaxNLocator

from crankmath.language import _

from ..marks import dial
from ..scene import BLUE, GRAY, GREEN, PALE, RUST, Curve, Note, Point, blank

ROUND = 2.4  # radius of the section drawn, over the largest reading the paper holds
MOST_LOBES = 5
AROUND = np.linspace(0, 360, 361)


def _on_section(angle, radius):
    """Points of the section: 0 deg at the top under the dial, marks counted clockwise."""
    turn = np.radians(angle)
    return radius * np.sin(turn), radius * np.cos(turn)


def reading_items(curve, angle, reading, center):
    """Moving items of the chart: what the dial shows, the readings, the offset's part and what it
    leaves of each reading.

    - ``curve``: The fitted curve, or what the dial would show without scatter, at every degree of
      ``AROUND``.
    - ``angle``, ``reading`` [deg, unit of the paper]
    """
    mean, offset, toward = center
    at_marks = mean + offset * np.cos(np.radians(angle - toward))
    items = [
        Curve(np.full(2, mark), np.array([low, high]), GRAY, 1.5)
        for mark, low, high in zip(angle, at_marks, reading, strict=True)
    ]
    items.append(
        Curve(AROUND, mean + offset * np.cos(np.radians(AROUND - toward)), GREEN, 2, "10 5")
    )
    items.append(Curve(AROUND, curve, BLUE, 2))
    return items + [Point(mark, size, RUST) for mark, size in zip(angle, reading, strict=True)]


def section_items(outline, offset, toward, most):
    """Moving items of the section: its outline, the circle that fits it, and which way its axis has
    to move.

    - ``outline`` [unit of the paper]: Departure from round, about the axis of turning, at every
      degree of ``AROUND``.
    - ``offset``, ``toward`` [unit of the paper, deg]: Of the fitted circle; an offset of zero draws
      no arrow.
    - ``most`` [unit of the paper]: Largest reading the paper holds.
    """
    radius = ROUND * most
    x, y = _on_section(AROUND, radius + outline)
    circle_x, circle_y = _on_section(AROUND, radius + offset * np.cos(np.radians(AROUND - toward)))
    tip = radius + outline[0]
    hand = np.pi * (0.5 - 0.75 * np.clip(outline[0] / most, -1, 1))  # zero stands on top
    items = [
        Curve(x, y, BLUE, 2, "", PALE[BLUE], axes=1),
        Curve(circle_x, circle_y, GREEN, 2, "10 5", axes=1),
        Point(0.0, 0.0, GRAY, axes=1),
        *dial(tip, (0.0, 1.5 * radius), 0.18 * radius, hand, RUST, 1),
    ]
    if offset > 0:
        away, reach = toward + 180, 0.45 * radius
        head = [
            _on_section(away + turn, size)
            for turn, size in ((-8, 0.82 * reach), (0, reach), (8, 0.82 * reach))
        ]
        arrow = np.array([(0.0, 0.0), head[1], head[0], head[1], head[2]])
        items.append(Curve(arrow[:, 0], arrow[:, 1], GREEN, 3, axes=1))
        for words, mark, far in (
            (_("high {toward:.0f}°").format(toward=toward), toward, 0.55),
            (_("move"), away, 0.66),
        ):
            spot_x, spot_y = _on_section(mark, far * radius)
            items.append(Note(spot_x, spot_y - 0.07 * radius, words, GREEN, "middle", axes=1))
    return items


def vee_items(vee_angle, most):
    """Moving items of the section: the flanks of a vee block under the part.

    - ``vee_angle`` [deg]: Full angle.
    - ``most`` [unit of the paper]
    """
    radius, half = ROUND * most, np.radians(vee_angle / 2)
    touch, along = (
        radius * np.array([np.cos(half), -np.sin(half)]),
        radius * np.array([np.sin(half), np.cos(half)]),
    )
    ends = np.array([touch - 0.35 * along, touch + 0.55 * along])
    return [
        *(Curve(side * ends[:, 0], ends[:, 1], RUST, 4, axes=1) for side in (-1, 1)),
        Note(
            0.0,
            -1.34 * radius,
            _("{vee_angle:.0f}° vee").format(vee_angle=vee_angle),
            RUST,
            "middle",
            axes=1,
        ),
    ]


def lobe_bars(heights):
    """Moving items of the bars: valley to top by number of lobes, 1 the offset.

    - ``heights``: Number of lobes to height [unit of the paper], or to None where the set-up is
      blind to it; a missing number is marked as unknown.
    """
    items = []
    for lobes in range(1, MOST_LOBES + 1):
        color, height = GREEN if lobes == 1 else BLUE, heights.get(lobes)
        if height is None:
            items.append(
                Note(
                    lobes,
                    0,
                    _("blind") if lobes in heights else _("unknown"),
                    RUST,
                    "middle",
                    axes=2,
                )
            )
            continue
        sides = lobes + 0.14 * np.array([-1, 1, 1, -1])
        items += [
            Curve(sides, height * np.array([0, 0, 1, 1]), color, 1, "", color, axes=2),
            Note(
                lobes,
                height,
                f"{height:.0f}" if height >= 10 else f"{height:.2g}",
                color,
                "middle",
                axes=2,
            ),
        ]
    return items


def runout_paper(unit, most, projector=False, true=False):
    """Paper for readings, section and bars.

    - ``unit``: Label of the readings, "µm" or "thou".
    - ``most``: Largest reading either way, in that unit.
    - ``true``: The curve is what the dial would show without scatter, not a fit.
    """
    figure, chart, section, bars = blank(
        projector,
        9.0,
        5.2,
        ((0.085, 0.54, 0.475, 0.38), (0.605, 0.15, 0.395, 0.684), (0.085, 0.12, 0.475, 0.25)),
    )
    size = chart.xaxis.label.get_size()
    chart.set(
        xlim=(0, 360),
        ylim=(-most, most),
        xlabel=_("Mark of the work under the dial [°]"),
        ylabel=_("Reading [{unit}]").format(unit=unit),
    )
    chart.set_xticks(np.arange(0, 361, 90 if projector else 45))
    chart.grid(color="#dddddd")
    chart.axhline(0, color="#999999", linewidth=0.8)
    chart.yaxis.set_major_locator(MaxNLocator(5))
    wide = 1.6 * ROUND * most
    section.set(xlim=(-wide, wide), ylim=(-0.94 * wide, 1.06 * wide), xticks=[], yticks=[])
    section.spines[:].set_visible(False)
    section.plot(*_on_section(AROUND, ROUND * most), color="#999999", linewidth=0.8)
    for place, words, color in (
        (0.0, _("● reading"), RUST),
        (0.30, _("— no scatter") if true else "— fit", BLUE),
        (0.62, _("- - offset's part"), GREEN),
    ):
        chart.annotate(
            words, (place, 1.06), xycoords="axes fraction", fontsize=size * 0.9, color=color
        )
    for mark in (90, 180, 270):
        x, y = _on_section(mark, 1.44 * ROUND * most)
        section.annotate(
            f"{mark}°", (x, y), ha="center", va="center", fontsize=size * 0.9, color="#333333"
        )
    bars.set(
        xlim=(0.4, 5.6),
        ylim=(0, 2.4 * most),
        ylabel=_("Height [{unit}]").format(unit=unit),
        xlabel=_("Lobes (1 is the offset), valley to top"),
    )
    bars.set_xticks([1, 2, 3, 4, 5])
    bars.yaxis.set_major_locator(MaxNLocator(3))
    return figure
