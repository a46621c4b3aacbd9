"""A crank that warms while it is cut: colored by its temperature, the same over time, and the
thrust that its growth adds between three kinds of centers.
"""

import numpy as np
from matplotlib.ticker import FixedLocator, NullFormatter, NullLocator

from crankmath.language import _

from ..crank_drawing import shape
from ..marks import warmth
from ..scene import BLUE, FINER, GRAY, GREEN, RUST, Curve, Note, blank, full_scale

PLACES = ((0.05, 0.12, 0.42, 0.61), (0.575, 0.12, 0.41, 0.61), (0.02, 0.77, 0.96, 0.23))
CRANK = (0.32, 0.105)  # room of the crank's length and height, of the window's width
INKS = ((RUST, "#f3ddd5"), (BLUE, "#d8e4f1"), (GREEN, "#dcead6"))


def band(time, low, high, color, fill, dash="", axes=0):
    """Two curves and what lies between them: a value known to a range only."""
    return [
        Curve(np.r_[time, time[::-1]], np.r_[low, high[::-1]], fill, 0.5, "", fill, axes=axes),
        Curve(time, low, color, 1.5, dash, axes=axes),
        Curve(time, high, color, 2.5, dash, axes=axes),
    ]


def warmth_items(time, main, web, soft, most, unit, cold):
    """Moving items of the temperature over time, and the rise that the chart's height stands for.

    - ``main``, ``web``, ``soft``, ``most``: Rises of the main being cut and the web beside it by
      both estimates, the one that softens an adhesive, what the chart has to hold.
    - ``unit``, ``cold``: For the numbers, "°C" and the temperature of the room.
    """
    top = full_scale(cold + most, "warmth", FINER)
    full = top - cold
    drawn = [
        *_marks(
            time[[0, -1]],
            ((top / 2 - cold) / full, f"{top / 2:g} {unit}"),
            (1.0, f"{top:g} {unit}"),
        ),
        *band(time, *(main / full), RUST, "#f3ddd5"),
    ]
    drawn += [
        Curve(time, one / full, GREEN, width, "8 4")
        for one, width in zip(web, (1.5, 2.5), strict=True)
    ]
    level = Curve(time[[0, -1]], np.full(2, soft / full), GRAY, 1.5, "12 6")
    return [*drawn, level], full


def _marks(ends, *rows):
    """Lines across the chart at round temperatures, with their numbers."""
    for height, words in rows:
        yield Curve(ends, np.full(2, height), "#cccccc", 1)
        yield Note(0.99 * ends[1], height - 0.025, words, GRAY, "end")


def thrust_items(time, thrust, kinds, least):
    """Moving items of the thrust added over time.

    - ``thrust``: First axis the two estimates, second the kinds of centers.
    - ``least``: Foot of the chart.
    """
    drawn = []
    for number, (kind, (ink, fill)) in enumerate(zip(kinds, INKS, strict=True)):
        low, high = np.maximum(thrust[:, number], least / 2)
        drawn += band(time, low, high, ink, fill, axes=1)
        label = high[time > 0.66 * time[-1]].max()  # above the curve all along the words
        if label > least:
            drawn.append(
                Note(
                    time[-1] * 0.99,
                    label,
                    _("{kind} centers").format(kind=kind),
                    ink,
                    "end",
                    axes=1,
                )
            )
    return drawn


def crank_items(crank, shares):
    """The crank from the side, each piece in the color of its temperature.

    - ``shares``: Rise of each piece over the one that is drawn darkest.
    """
    pieces = shape(crank).sides
    low, high = min(row[2] for row in pieces), max(row[3] for row in pieces)
    scale = min(CRANK[0] / crank.length.m_as("mm"), CRANK[1] / (high - low))
    drawn = []
    for (start, end, bottom, top), share in zip(pieces, shares, strict=True):
        x = 0.02 + scale * np.array([start, end, end, start, start])
        y = scale * (np.array([bottom, bottom, top, top, bottom]) - (low + high) / 2)
        drawn.append(Curve(x, y, "#444444", 1, "", warmth(share), 2))
    middle = min(0.02 + scale * (pieces[-1][0] + pieces[-1][1]) / 2, 0.31)
    drawn.append(
        Note(middle, scale * (pieces[-1][3] - (low + high) / 2), _("cut here"), RUST, "middle", 2)
    )
    return drawn


def scale_items(cold, hot, unit):
    """The colors from the room's temperature to the highest of the chart, with its numbers."""
    drawn, left, wide = [], 0.69, 0.05
    for number in range(6):
        x = left + wide * (number + np.array([0, 1, 1, 0]))
        y = np.array([-0.02, -0.02, 0.02, 0.02])
        drawn.append(Curve(x, y, "#444444", 0.5, "", warmth(number / 5), 2))
    return [
        *drawn,
        Note(left, 0.02, f"{cold:.0f} {unit}", GRAY, "start", 2),
        Note(left + 6 * wide, 0.02, f"{hot:.0f} {unit}", GRAY, "end", 2),
    ]


def warm_paper(limit, force_unit, forces, longest, projector=False):
    """Paper of the lesson: the crank, its temperature over time, thrust added over time.

    - ``limit``: Temperature from which an adhesive softens, in words.
    - ``force_unit``, ``forces``: For the label, "N" or "lbf", and the ends of the axis.
    - ``longest``: Minutes shown.
    """
    figure, heat, thrust, window = blank(projector, 9.0, 5.1, PLACES)
    size = heat.xaxis.label.get_size()
    for axes in (heat, thrust):
        axes.set(
            xlim=(0, longest),
            xlabel=_("Time since the cut began [min]"),
            xticks=np.arange(0, longest + 1, 20 if projector else 10),
        )
        axes.grid(color="#dddddd")
    heat.set(ylim=(0, 1.06), yticks=[], ylabel=_("Temperature"))
    rows = (
        (_("main being cut"), RUST, 2.5, (1, 0)),
        (_("web beside it"), GREEN, 2.5, (4, 2)),
        (_("softens adhesive: {limit}").format(limit=limit), GRAY, 1.2, (8, 4)),
    )
    for row, (words, color, width, dash) in enumerate(rows):
        height = 0.045 - 0.04 * row  # beside the crank, where no curve comes
        window.plot([0.37, 0.41], [height, height], color=color, linewidth=width, dashes=dash)
        window.annotate(
            words,
            (0.42, height),
            va="center",
            fontsize=size * (0.75 if projector else 0.85),
            color=color,
        )
    window.set(xlim=(0, 1), ylim=(-0.07, 0.08), xticks=[], yticks=[])
    window.spines[:].set_visible(False)
    window.annotate(
        _("as the cut stops, by the shear plane"), (0.69, -0.062), fontsize=size * 0.85, color=GRAY
    )
    thrust.set(
        ylim=forces,
        yscale="log",
        ylabel=_("Thrust added [{force_unit}]").format(force_unit=force_unit),
    )
    first, last = np.ceil(np.log10(forces[0])), np.floor(np.log10(forces[1]))
    thrust.yaxis.set_major_locator(FixedLocator(10.0 ** np.arange(first, last + 1)))
    thrust.yaxis.set_minor_locator(NullLocator())
    thrust.yaxis.set_minor_formatter(NullFormatter())
    thrust.yaxis.set_major_formatter(lambda tick, _unused: f"{tick:g}")
    return figure


def mark(time, longest, height, words):
    """A short line that says when, with its words above it and inside the chart.

    - ``time``, ``longest``: When, and what the chart shows.
    - ``height``: From and to, on the axes.
    """
    share = time / longest
    anchor = "end" if share > 0.85 else "start" if share < 0.15 else "middle"
    return [
        Curve(np.full(2, time), np.array(height), GRAY, 2, "2 4"),
        Note(time, height[1], words, GRAY, anchor),
    ]
