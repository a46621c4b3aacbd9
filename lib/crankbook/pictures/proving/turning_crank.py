"""A crank in service: its torque and the stress of its weakest section over the turn, and the
safety factors with their ranges.
"""

import numpy as np
from matplotlib.ticker import FixedLocator, NullFormatter, NullLocator

from ..scene import BLUE, PURPLE, RUST, Curve, Note, Point, blank

PLACES = ((0.085, 0.585, 0.40, 0.385), (0.085, 0.13, 0.40, 0.385), (0.62, 0.13, 0.365, 0.84))
SAFETIES = (0.2, 20.0)
ROWS = ("pin fillet", "main fillet", "web", "pin middle", "main middle")
TICKS = (0.2, 0.5, 1, 2, 5, 10, 20)


def turning_paper(torque_unit, torques, stress_unit, stresses, projector=False):
    """Paper of the lesson: torque over the turn, stress over the turn, a row of safety factors for
    each kind of section.
    """
    figure, torque, stress, safety = blank(projector, 9.6, 5.2, PLACES)
    for axes, limits in ((torque, torques), (stress, stresses)):
        axes.set(xlim=(0, 360), ylim=limits, xticks=np.arange(0, 361, 90))
        axes.grid(color="#dddddd")
        axes.axhline(0, color="#777777", linewidth=0.8)
    torque.set_xticklabels([])
    torque.set_ylabel(f"Torque [{torque_unit}]")
    stress.set(xlabel="Crank angle [deg]", ylabel=f"Stress [{stress_unit}]")
    safety.set(
        xlim=SAFETIES,
        ylim=(len(ROWS) - 0.5, -0.5),
        xscale="log",
        xlabel="Safety factor against a crack",
        yticks=range(len(ROWS)),
    )
    safety.set_yticklabels([row.replace(" ", "\n") for row in ROWS])
    safety.axvspan(SAFETIES[0], 1, color="#f3ddd5", linewidth=0)
    safety.axvline(1, color=RUST, linewidth=1.5)
    for line in np.arange(0.5, len(ROWS) - 1):
        safety.axhline(line, color="#cccccc", linewidth=0.8)
    ticks = TICKS[::2] if projector else TICKS
    safety.xaxis.set_major_locator(FixedLocator(ticks))
    safety.xaxis.set_minor_locator(NullLocator())
    safety.xaxis.set_minor_formatter(NullFormatter())
    safety.xaxis.set_major_formatter(lambda tick, _: f"{tick:g}")
    size = safety.xaxis.label.get_size() * 0.85
    safety.annotate(
        "may\ncrack", (SAFETIES[0] * 1.12, len(ROWS) - 0.62), fontsize=size, color=RUST, va="bottom"
    )
    return figure


def safety_row(row, opinions):
    """A row of the safety chart: for each model its range as a line, its value as a dot, its words
    above.

    opinions: One, or two models.
    """
    drawn = []
    shifts, colors = ((0.0,), (BLUE,)) if len(opinions) == 1 else ((-0.22, 0.22), (BLUE, PURPLE))
    for shift, color, (words, value, low, high) in zip(shifts, colors, opinions, strict=True):
        ends, at = np.clip([low, high], *SAFETIES), float(np.clip(value, *SAFETIES))
        height = row + shift
        drawn += [
            Curve(ends, np.full(2, height), color, 3, axes=2),
            Point(at, height, color, axes=2),
        ]
        shown = f"over {SAFETIES[1]:g}" if value > SAFETIES[1] else f"{value:.2g}"
        words = f"{words} {shown}" if words else shown
        beside = (ends[1] * 1.12, "start") if ends[1] < 4.5 else (max(ends[0], 0.4) / 1.12, "end")
        drawn.append(Note(float(beside[0]), height + 0.16, words, color, beside[1], axes=2))
    return drawn
