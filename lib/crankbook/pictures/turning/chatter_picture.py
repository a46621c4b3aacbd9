"""A plunged tool on a pin with the marks it leaves, the chart of limiting width over speed, and the
waves behind both.
"""

import numpy as np
from matplotlib.ticker import NullFormatter, NullLocator

from crankmath.language import _

from ..scene import BLUE, GRAY, GREEN, PURPLE, RUST, Curve, Grip, Note, Point, blank

INK, STEEL, TOOL = "#222222", "#f4f4f4", "#dfe3e8"
SPEEDS = (60.0, 2500.0)  # rpm across the chart
MOST_MARKS = 40  # lines drawn on the pin; closer ones would be a gray patch
WAVE, MOST_GROWTH = 0.32, 2.2  # height of the last turn's wave, most drawn of this turn's over it
NOTCH = 0.07  # depth of the relief, of the window's width
EDGE_LINE, BLADE_END, HIGHEST = (
    -0.30,
    -0.80,
    0.42,
)  # of the tool, of its end and of the webs, of the window's width


def _box(left, right, low, high, color=INK, width=1.5, fill=""):
    return Curve(
        np.array([left, right, right, left, left]),
        np.array([low, low, high, high, low]),
        color,
        width,
        "",
        fill,
    )


def plunge_items(pin_length, pin_diameter, web_thickness, edge, lands, spacing, words):
    """A tool plunged into a pin between its webs, seen from above, to scale.

    - ``pin_length``, ``pin_diameter``, ``web_thickness`` [mm]
    - ``edge`` [mm]: Whole width of the tool.
    - ``lands`` [mm]: Width of each of two narrow edges, or zero for a full edge.
    - ``spacing`` [mm]: Of the chatter marks around the pin; none where the cut is quiet.
    - ``words``: What stands on the tool, and on the pin.
    """
    scale = pin_length + 2 * web_thickness
    half, radius = pin_length / 2 / scale, pin_diameter / 2 / scale
    shift = EDGE_LINE + radius  # the pin's front stands where the tool cuts
    drawn = [_box(-half, half, shift - radius, shift + radius, fill=STEEL)]
    for side in (-1, 1):
        ends = sorted((side * half, side * 0.5))
        drawn.append(
            _box(*ends, shift - radius - 0.12, min(shift + radius + 0.25, HIGHEST), fill="#dcdcdc")
        )
    wide = edge / 2 / scale
    cuts = (
        [(-wide, wide)]
        if not lands
        else [(-wide, -wide + lands / scale), (wide - lands / scale, wide)]
    )
    if lands:  # the middle is left standing
        drawn.append(_box(cuts[0][1], cuts[1][0], EDGE_LINE, EDGE_LINE + 0.025, GRAY, 1, "#bbbbbb"))
    if spacing:
        steps = int(min(np.pi * pin_diameter / 2 / spacing, MOST_MARKS) / 2)
        heights = shift - radius * np.cos(np.arange(steps) * spacing / (pin_diameter / 2))
        for left, right in cuts:
            drawn += [
                Curve(np.array([left, right]), np.full(2, height), RUST, 1.2)
                for height in heights
                if height < shift + radius
            ]
    return [
        *drawn,
        _tool(wide, cuts),
        Curve(np.array([-0.55, 0.55]), np.full(2, shift), GRAY, 1, "14 4 3 4"),
        Note(wide + 0.03, BLADE_END + 0.22, words[0], BLUE),
        Note(0, shift + radius - 0.10, words[1], RUST if spacing else GREEN, "middle"),
    ]


def _tool(wide, cuts):
    """Outline of the blade, with its notch if there are two edges."""
    x, y = [-wide, -wide], [BLADE_END, EDGE_LINE]
    if len(cuts) == 2:
        x += [cuts[0][1], cuts[0][1], cuts[1][0], cuts[1][0]]
        y += [EDGE_LINE, EDGE_LINE - NOTCH, EDGE_LINE - NOTCH, EDGE_LINE]
    x, y = np.array([*x, wide, wide, -wide]), np.array([*y, EDGE_LINE, BLADE_END, BLADE_END])
    return Curve(x, y, BLUE, 2, "", TOOL)


def _clear(x, y, points):
    """Whether words that begin there keep off the points and the words to the right of them."""
    return not any(
        x / 2 < speed < 2.5 * x and y / 1.5 < height < 1.5 * y for speed, height in points
    )


def limit_items(speeds, limit, parts, scallops, at_any_speed, top, unit, points=()):
    """Limiting width over spindle speed: the envelope, the lobes above it, and what is safe at any
    speed.

    - ``speeds``, ``limit`` [rpm, mm or in]: Endless widths are where the cut is quiet at any width.
    - ``parts``: What chatters at each speed.
    - ``scallops``: The boundary with its lobes.
    - ``top``: Upper end of the chart.
    - ``points``: What else is marked there, (speed, width) each.
    """
    drawn, shown = [], np.isfinite(scallops[1]) & (scallops[1] < top)
    if shown.any():
        drawn.append(Curve(scallops[0][shown], scallops[1][shown], BLUE, 1, axes=1))
    loud = np.flatnonzero(np.isfinite(limit) & (limit < top))
    if loud.size:
        x, y = speeds[loud], limit[loud]
        if (
            loud[0] > 0
        ):  # it leaves the chart upward, or ends where slow cutting is quiet at any width
            if x[0] > 130:
                words = _("any width quiet") if x[0] > 220 else _("all quiet")
                drawn.append(Note(x[0] / 1.06, top / 1.45, words, GREEN, "end", axes=1))
            x, y = np.r_[x[0], x], np.r_[top, y]
        drawn.append(Curve(x, y, BLUE, 3, axes=1))
        for part in dict.fromkeys(parts[place] for place in loud):
            own = [place for place in loud if parts[place] == part]
            if np.log10(speeds[own[-1]] / speeds[own[0]]) > 0.25:
                places = [
                    (speeds[place], limit[place] * over)
                    for over in (1.5, 2.5)
                    for place in (own[int(share * len(own))] for share in (0.15, 0.4, 0.65))
                ]
                x, y = next((spot for spot in places if _clear(*spot, points)), places[0])
                drawn.append(Note(x, y, _("{part} chatters").format(part=_(part)), RUST, axes=1))
    words = _("any speed: {at_any_speed:.2g} {unit}").format(at_any_speed=at_any_speed, unit=unit)
    return drawn + [
        Curve(np.array(SPEEDS), np.full(2, at_any_speed), GREEN, 2, "10 5", axes=1),
        Note(SPEEDS[1] * 0.93, at_any_speed / 1.75, words, GREEN, "end", axes=1),
    ]


def tool_points(speed, full, cutting, relieved, under, chatters):
    """The tool in the chart: its full edge, and what of it cuts if its middle is ground away.

    - ``speed`` [rpm]
    - ``full``, ``cutting`` [mm or in]
    - ``relieved``: Whether the relieved tool is the chosen one.
    - ``under``: Whether its point lies under the curve, which then runs to its right.
    - ``chatters``: Whether the chosen one does.
    """
    drawn = [Curve(np.array([speed, speed]), np.array([cutting, full]), GRAY, 1, "3 4", axes=1)]
    right, left = ("start", 1.13), ("end", 1 / 1.13)
    beyond = speed >= 900  # words to its right would leave the chart
    quiet = not (relieved or chatters)  # the curve may then run to the right of the full edge too
    for height, words, chosen, on_left in (
        (full, _("full edge"), not relieved, beyond or (quiet and speed > 160)),
        (cutting, _("relieved"), relieved, beyond or (under and speed > 160)),
    ):
        anchor, shift = left if on_left else right
        drawn += [
            Point(
                speed,
                height,
                (RUST if chatters else GREEN) if chosen else GRAY,
                1,
                (Grip("speed"), Grip("edge", "y", full / height)),
            ),
            Note(speed * shift, height / 1.12, words, INK if chosen else GRAY, anchor, axes=1),
        ]
    return drawn


def turn_items(growth, lead):
    """This turn's wave under the last one's and the chip between them, as high as it has become.

    - ``growth``: Height of this turn's wave over that of the last; None where it is not known.
    - ``lead`` [rad]: By how much it runs ahead.
    """
    x = np.linspace(0, 4 * np.pi, 161)
    across, last = x / (4 * np.pi), 1.55 + WAVE * np.sin(x)
    drawn = [
        Curve(across, last, GRAY, 2, "6 4", axes=2),
        Note(0.01, 1.55 + 1.2 * WAVE, _("last turn"), GRAY, "start", 2),
    ]
    if growth is None:
        return [*drawn, Note(0.5, 0.3, _("this turn: beyond this sum"), RUST, "middle", 2)]
    now = WAVE * min(growth, MOST_GROWTH) * np.sin(x + lead)
    much = (
        _("{growth:.2g} times as high").format(growth=growth) if growth < 100 else _("far higher")
    )
    color = RUST if growth > 1 else GREEN
    return [
        Curve(np.r_[across, across[::-1]], np.r_[now, last[::-1]], TOOL, 0.5, fill=TOOL, axes=2),
        *drawn,
        Curve(across, now, color, 2.5, axes=2),
        Note(0.99, 1.55 + 1.2 * WAVE, _("this turn, {much}").format(much=much), color, "end", 2),
    ]


def guess_items(width):
    """The reader's prediction as a line across the chart."""
    return [
        Curve(np.array(SPEEDS), np.full(2, width), PURPLE, 2, "2 4", axes=1),
        Note(SPEEDS[0] * 1.08, width, _("your prediction"), PURPLE, axes=1),
    ]


def chatter_paper(unit, low, top, gear_table, projector=False):
    """Paper of the lesson: a window for the tool on the pin, and the chart of width over speed.

    - ``unit``: "mm" or "in" of the width.
    - ``low``, ``top``: Ends of the width axis, in that unit.
    - ``gear_table`` [rpm]
    """
    figure, window, chart, turns = blank(
        projector,
        9.0,
        5.4,
        ((0.0, 0.225, 0.40, 0.765), (0.50, 0.12, 0.485, 0.84), (0.01, 0.02, 0.40, 0.19)),
    )
    turns.set(xlim=(0, 1), ylim=(-0.75, 2.75), xticks=[], yticks=[])
    turns.spines[:].set_visible(False)
    window.set(xlim=(-0.58, 0.58), ylim=(-0.82, 0.51), xticks=[], yticks=[])
    window.spines[:].set_visible(False)
    size = chart.xaxis.label.get_size() * 0.85
    window.annotate(
        _("pin and webs from above, to scale"),
        (0, 0.46),
        ha="center",
        fontsize=size,
        color="#333333",
    )
    chart.set(
        xlim=SPEEDS,
        ylim=(low, top),
        xscale="log",
        yscale="log",
        xlabel=_("Spindle speed [rpm]"),
        ylabel=_("Edge in the cut [{unit}]").format(unit=unit),
    )
    widths = [tick for tick in (0.001, 0.003, 0.01, 0.03, 0.1, 0.3, 1, 3, 10) if low <= tick <= top]
    chart.set_xticks([70, 160, 400, 1000, 2000], ["70", "160", "400", "1000", "2000"])
    chart.set_yticks(widths, [f"{tick:g}" for tick in widths])
    for axis in (chart.xaxis, chart.yaxis):
        axis.set_minor_locator(NullLocator())
        axis.set_minor_formatter(NullFormatter())
    chart.vlines(gear_table, low, low * 1.25, color="#777777", linewidth=1)
    chart.annotate(_("gear steps"), (75, low * 1.3), fontsize=size, color="#333333")
    chart.grid(color="#dddddd")
    return figure


def wave_figure(lags, labels, projector=False):
    """This turn's wave over the last one's, and the chip between them, for several lags.

    - ``lags`` [rad]: By how much this turn's wave trails the last one's.
    """
    count = len(lags)
    places = tuple(
        (0.02, 0.98 - (row + 1) * 0.97 / count, 0.96, 0.88 / count) for row in range(count)
    )
    figure, *rows = blank(projector, 7.0, 1.35 * count, places)
    x = np.linspace(0, 6 * np.pi, 400)
    for axes, lag, label in zip(rows, lags, labels, strict=True):
        last, now = 1.6 + 0.45 * np.sin(x), 0.45 * np.sin(x + lag)
        axes.fill_between(x, now, last, color="#dfe3e8")
        axes.plot(x, last, color=GRAY, linewidth=2, dashes=(5, 3))
        axes.plot(x, now, color=BLUE, linewidth=2.5)
        axes.set(xlim=(0, 6 * np.pi), ylim=(-0.7, 3.3), xticks=[], yticks=[])
        axes.spines[:].set_visible(False)
        size = axes.xaxis.label.get_size()
        axes.annotate(label, (0.1, 2.45), fontsize=size, color=INK)
    for words, height, color in ((_("last turn"), 1.6, GRAY), (_("this turn"), 0.0, BLUE)):
        rows[0].annotate(
            words, (6 * np.pi - 0.1, height + 0.62), ha="right", fontsize=size, color=color
        )
    return figure


def growth_figure(sizes, labels, projector=False):
    """How a wave grows or dies from turn to turn.

    - ``sizes``: Swing of each turn over that of the first.
    """
    figure, axes = blank(projector, 7.0, 3.4, ((0.12, 0.17, 0.60, 0.78),))
    for row, color, dash, label in zip(
        sizes, (RUST, GRAY, GREEN), ((), (6, 3), (2, 2)), labels, strict=True
    ):
        axes.plot(np.arange(len(row)), row, color=color, linewidth=2.5, dashes=dash)
        axes.annotate(
            label,
            (len(row) - 1, row[-1]),
            (6, -4),
            textcoords="offset points",
            fontsize=axes.xaxis.label.get_size(),
            color=color,
        )
    axes.set(
        yscale="log",
        xlim=(0, len(sizes[0]) - 1),
        xlabel=_("Turn"),
        ylabel=_("Swing over the first turn's"),
    )
    axes.yaxis.set_minor_locator(NullLocator())
    axes.grid(color="#dddddd")
    return figure


def lobe_figure(speed, width, at_any_speed, reach, unit, projector=False):
    """The stability chart as books print it, and how little of it a light lathe reaches.

    - ``speed``, ``width`` [rpm, unit]
    - ``at_any_speed`` [unit]
    - ``reach`` [rpm]: Slowest and fastest speed of the lathe.
    """
    figure, axes = blank(projector, 7.0, 3.4, ((0.10, 0.17, 0.87, 0.78),))
    top = 6 * at_any_speed
    axes.fill_between(speed, width, top, color="#f3d9cf")
    axes.plot(speed, width, color=BLUE, linewidth=2)
    axes.axhline(at_any_speed, color=GREEN, linewidth=1.6, dashes=(7, 4))
    axes.axvspan(*reach, color="#b9c7dd", alpha=0.6)
    size = axes.xaxis.label.get_size()
    axes.annotate(_("our lathe"), (reach[1] * 1.02, 0.25 * at_any_speed), fontsize=size, color=BLUE)
    axes.annotate(_("chatters"), (0.62, 0.80), xycoords="axes fraction", fontsize=size, color=RUST)
    axes.annotate(
        _("quiet at any speed"),
        (0.99, 0.3 * at_any_speed),
        xycoords=("axes fraction", "data"),
        ha="right",
        fontsize=size,
        color=GREEN,
    )
    axes.set(
        xlim=(0, speed[-1]),
        ylim=(0, top),
        xticks=np.arange(0, speed[-1], 4000),
        xlabel=_("Spindle speed [rpm]"),
        ylabel=_("Limiting width [{unit}]").format(unit=unit),
    )
    return figure
