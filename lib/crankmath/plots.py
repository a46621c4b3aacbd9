"""Draws: numbers in, figure or moving items out. No physics.

One list of items (curves, points, notes) serves the live panel, where the browser
draws them, and the printed picture, where matplotlib does.
"""

from dataclasses import dataclass

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import NullFormatter, NullLocator

# each at least 4.5:1 on white, told apart by dashes and labels as well
BLUE, RUST, GREEN, PURPLE, GRAY = "#1f5fa8", "#a8370f", "#2f6b14", "#6a3d9a", "#555555"


@dataclass(frozen=True)
class Curve:
    """A line through data points; ``dash`` as lengths in pixels, for example "8 4"."""

    x: np.ndarray
    y: np.ndarray
    color: str
    width: float = 2.5
    dash: str = ""
    kind: str = "line"

    def points(self):
        return np.column_stack([np.broadcast_to(self.x, np.shape(self.y)), self.y]).astype(float)


@dataclass(frozen=True)
class Point:
    """A dot at a data point."""

    x: float
    y: float
    color: str
    kind: str = "marker"

    def points(self):
        return np.array([[self.x, self.y]], dtype=float)


@dataclass(frozen=True)
class Note:
    """A short text above a data point; ``anchor`` is start, middle or end."""

    x: float
    y: float
    text: str
    color: str
    anchor: str = "start"
    kind: str = "text"

    def points(self):
        return np.array([[self.x, self.y]], dtype=float)


def blank(projector=False, width=7.0, height=4.0):
    """An empty figure with one axes in the house look; larger type for a projector.

    Returns
    -------
    Figure, Axes
    """
    figure = Figure(figsize=(width, height) if not projector else (10.5, 6.0), dpi=100, facecolor="white")
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.12, 0.14, 0.76, 0.80) if not projector else (0.13, 0.17, 0.74, 0.77))
    size = 20 if projector else 11
    axes.tick_params(labelsize=size)
    axes.xaxis.label.set_size(size)
    axes.yaxis.label.set_size(size)
    axes.spines[["top", "right"]].set_visible(False)
    return figure, axes


def add(figure, items):
    """Draw moving items into a figure, for the printed or stored picture.

    Parameters
    ----------
    figure : Figure with one axes
    items : list of Curve, Point, Note

    Returns
    -------
    Figure
    """
    axes = figure.axes[0]
    for item in items:
        if item.kind == "line":
            style = (0, tuple(float(part) for part in item.dash.split())) if item.dash else "-"
            axes.plot(item.x, item.y, color=item.color, linewidth=item.width * 0.72, linestyle=style)
        elif item.kind == "marker":
            axes.plot([item.x], [item.y], "o", color=item.color, markersize=8, markeredgecolor="white")
        else:
            align = {"start": "left", "middle": "center", "end": "right"}[item.anchor]
            axes.annotate(item.text, (item.x, item.y), (0, 6), textcoords="offset points", ha=align,
                          color=item.color, fontsize=axes.xaxis.label.get_size() * 0.9)  # fmt: skip
    return figure


def speed_chart(gear_table, unit, largest, projector=False):
    """Paper of the spindle-speed chart: diameter across, speed up, one line a gear step.

    Parameters
    ----------
    gear_table : ndarray [rpm]
    unit : str
        "mm" or "in", the unit of the diameter axis.
    largest : float
        Right end of the diameter axis, in that unit.
    projector : bool

    Returns
    -------
    Figure
    """
    figure, axes = blank(projector)
    axes.set(xlim=(0, largest), ylim=(40, 3000), yscale="log", xlabel=f"Diameter at the tool [{unit}]",
             ylabel="Spindle speed [rpm]")  # fmt: skip
    ticks = [50, 100, 200, 500, 1000, 2000]
    axes.set_yticks(ticks, [str(tick) for tick in ticks])
    axes.yaxis.set_minor_locator(NullLocator())
    axes.yaxis.set_minor_formatter(NullFormatter())
    size = axes.xaxis.label.get_size()
    axes.hlines(gear_table, 0, largest, color="#999999", linewidth=0.8)
    for step in gear_table[:: 2 if projector else 1]:
        axes.annotate(f"{step:.0f}", (largest, step), (4, 0), textcoords="offset points", va="center",
                      fontsize=size * 0.8, color="#333333")  # fmt: skip
    axes.annotate("gear steps", (largest, 3000), (2, -4), textcoords="offset points", va="top", ha="left",
                  fontsize=size * 0.8, color="#333333", annotation_clip=False)  # fmt: skip
    return figure
