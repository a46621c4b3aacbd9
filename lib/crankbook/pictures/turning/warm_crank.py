"""A crank that warms while it is cut: its temperature over time, and the thrust that its growth
adds between three kinds of centers.
"""

import numpy as np
from matplotlib.ticker import FixedLocator, NullFormatter, NullLocator

from ..scene import GRAY, GREEN, RUST, Curve, Note, blank

PLACES = ((0.085, 0.15, 0.385, 0.80), (0.60, 0.15, 0.385, 0.80))


def band(time, low, high, color, fill, dash="", axes=0):
    """Two curves and what lies between them: a value known to a range only."""
    return [
        Curve(np.r_[time, time[::-1]], np.r_[low, high[::-1]], fill, 0.5, "", fill, axes=axes),
        Curve(time, low, color, 1.5, dash, axes=axes),
        Curve(time, high, color, 2.5, dash, axes=axes),
    ]


def warm_paper(unit, temperatures, limit, force_unit, forces, longest, projector=False):
    """Paper of the lesson: temperature over time, thrust added over time.

    unit, force_unit: For the labels, "°C" and "N" or "°F" and "lbf".
    limit: Temperature from which an adhesive is in doubt.
    longest: Minutes shown.
    """
    figure, warmth, thrust = blank(projector, 9.6, 4.4, PLACES)
    size = warmth.xaxis.label.get_size()
    for axes in (warmth, thrust):
        axes.set(
            xlim=(0, longest),
            xlabel="Time since the cut began [min]",
            xticks=np.arange(0, longest + 1, 20 if projector else 10),
        )
        axes.grid(color="#dddddd")
    warmth.set(ylim=temperatures, ylabel=f"Temperature [{unit}]")
    top, step = temperatures[1], (temperatures[1] - temperatures[0]) * (0.1 if projector else 0.075)
    rows = (
        ("main being cut", RUST, 2.5, (1, 0)),
        ("web beside it", GREEN, 2.5, (4, 2)),
        (f"adhesive in doubt, {limit:.0f} {unit}", GRAY, 1.2, (8, 4)),
    )
    for row, (words, color, width, dash) in enumerate(rows):
        height, left = top - (row + 0.6) * step, longest * (0.3 if projector else 0.4)
        warmth.plot(
            [left, left + longest * 0.1],
            [height, height],
            color=color,
            linewidth=width,
            dashes=dash,
        )
        warmth.annotate(
            words,
            (left + longest * 0.12, height),
            va="center",
            fontsize=size * (0.8 if projector else 0.85),
            color=color,
        )
    thrust.set(ylim=forces, yscale="log", ylabel=f"Thrust added [{force_unit}]")
    ticks = [
        10.0**power
        for power in range(
            int(np.ceil(np.log10(forces[0]))), int(np.floor(np.log10(forces[1]))) + 1
        )
    ]
    thrust.yaxis.set_major_locator(FixedLocator(ticks))
    thrust.yaxis.set_minor_locator(NullLocator())
    thrust.yaxis.set_minor_formatter(NullFormatter())
    thrust.yaxis.set_major_formatter(lambda tick, _: f"{tick:g}")
    return figure


def mark(minutes, height, words, color=GRAY, anchor="start", axes=0):
    """A short line that says when, with its words above.

    height: From and to, on the axes.
    """
    return [
        Curve(np.full(2, minutes), np.array(height), color, 2, "2 4", axes=axes),
        Note(minutes, height[1], words, color, anchor, axes=axes),
    ]
