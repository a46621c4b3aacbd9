"""What pictures are made of, and how matplotlib draws it.

One list of items (curves, points, notes, shadings, a view in space) serves the live panel, where
the browser draws them, and the printed picture, where matplotlib does. Each item names the axes it
belongs to by number.
"""

from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

import numpy as np
from matplotlib import colormaps
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import ListedColormap
from matplotlib.figure import Figure

from . import space_still

# each at least 4.5:1 on white, with dashes and labels to distinguish them
BLUE, RUST, GREEN, PURPLE, GRAY = "#1f5fa8", "#a8370f", "#2f6b14", "#6a3d9a", "#555555"
# of an area whose outline has the color
PALE = {BLUE: "#dfe9f5", RUST: "#f6e3dc", GREEN: "#d8ead0", PURPLE: "#e6ddf0"}


@dataclass(frozen=True)
class Curve:
    """A line through data points, or with ``fill`` a closed area; ``dash`` as lengths in pixels,
    for example "8 4". A ``sample`` of a color in space keeps it where the page is dark.
    """

    x: np.ndarray
    y: np.ndarray
    color: str
    width: float = 2.5
    dash: str = ""
    fill: str = ""
    axes: int = 0
    sample: bool = False
    kind: str = "line"

    def points(self):
        found = np.empty((np.size(self.y), 2))
        found[:, 0], found[:, 1] = self.x, self.y
        return found


@dataclass(frozen=True)
class Grip:
    """A control that a point moves when it is dragged ``along`` "x" or "y" of its axes.

    The control, in the unit its slider shows, is ``offset`` plus ``factor`` times the place there.
    """

    control: str
    along: str = "x"
    factor: float = 1.0
    offset: float = 0.0


@dataclass(frozen=True)
class Point:
    """A dot at a data point; with ``grips`` the reader drags it, and the controls follow."""

    x: float
    y: float
    color: str
    axes: int = 0
    grips: tuple = ()
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
    axes: int = 0
    kind: str = "text"

    def points(self):
        return np.array([[self.x, self.y]], dtype=float)


@dataclass(frozen=True)
class Tone:
    """What the picture sounds like, played on wish only; 0 Hz where it is quiet."""

    hertz: float
    axes: int = 0
    kind: str = "tone"

    def points(self):
        return np.empty((0, 2))


@dataclass(frozen=True, eq=False)
class Shading:
    """A field over triangles, light to dark from ``low`` to ``high``, or as light and dark fringes.

    ``fringe`` is the value per fringe, zero for plain shading. ``mirror`` is the height in the axes
    about which the picture is repeated downward; a held picture takes that lower half.
    ``lens`` draws the field once more, enlarged, in axes from 0 to 1: their number, then left, foot
    and side of the square that the lens shows.
    """

    x: np.ndarray
    y: np.ndarray
    value: np.ndarray
    triangles: np.ndarray
    low: float
    high: float
    fringe: float = 0.0
    mirror: float = 0.0
    axes: int = 0
    lens: tuple = ()
    kind: str = "shading"

    def points(self):
        return np.column_stack([self.x, self.y]).astype(float)


_scales = ContextVar("scales", default=None)


@contextmanager
def common_scales(scales):
    """Inside, pictures side by side choose common scales: none below that of its name in
    ``scales``.

    ``scales`` is a dict and takes up what is chosen.
    """
    token = _scales.set(scales)
    try:
        yield
    finally:
        _scales.reset(token)


FINER = (1, 1.5, 2, 3, 4, 5, 7.5)  # steps of a scale that follows its largest value closely


def full_scale(largest, name, steps=(1, 2, 5)):
    """Round number at or above a value: one of ``steps`` times a power of ten.

    A picture that chooses its own scale asks here by a name of that scale, so that what is held
    beside it is drawn to the same one.
    """
    power = 10.0 ** np.floor(np.log10(max(largest, 1e-9)))
    full = next(
        float(step * power) for step in (*steps, 10) if step * power >= largest * (1 - 1e-9)
    )
    return shared_scale(full, name)


def shared_scale(full, name):
    """A scale, or the larger one of that name that a picture beside it needs."""
    scales = _scales.get()
    if scales is None:
        return full
    scales[name] = max(full, scales.get(name, 0.0))
    return scales[name]


def shades():
    """The 256 colors of a shading, light to dark with steadily falling lightness."""
    return (
        (colormaps["magma_r"](np.linspace(0.02, 0.95, 256))[:, :3] * 255).round().astype(np.uint8)
    )


def blank(projector=False, width=7.0, height=4.0, places=((0.12, 0.14, 0.76, 0.80),)):
    """An empty figure in the house look; larger type for a projector.

    - ``width``, ``height``: Inches at desk size.
    - ``places``: One axes each, as shares of the figure.
    """
    grown = 1.5 if projector else 1.0
    figure = Figure(figsize=(width * grown, height * grown), dpi=100, facecolor="white")
    FigureCanvasAgg(figure)
    size = 20 if projector else 11
    for left, bottom, wide, high in places:
        room = (
            min(0.03, wide / 10) if projector else 0.0
        )  # larger type needs it at the left and below
        axes = figure.add_axes((left + room / 2, bottom + room, wide - room, high - room))
        axes.tick_params(labelsize=size)
        axes.xaxis.label.set_size(size)
        axes.yaxis.label.set_size(size)
        axes.spines[["top", "right"]].set_visible(False)
    return figure, *figure.axes


def add(figure, items):
    """Draw moving items into a figure, for the printed or stored picture; its axes keep their
    limits, as the page's do.
    """
    for axes in figure.axes:
        axes.set(xlim=axes.get_xlim(), ylim=axes.get_ylim())
    for item in items:
        axes = figure.axes[item.axes]
        if item.kind == "line":
            style = (0, tuple(float(part) for part in item.dash.split())) if item.dash else "-"
            drawn = axes.fill if item.fill else axes.plot
            looks = (
                {"facecolor": item.fill, "edgecolor": item.color}
                if item.fill
                else {"color": item.color}
            )
            drawn(item.x, item.y, linewidth=item.width * 0.72, linestyle=style, **looks)
        elif item.kind == "marker":
            axes.plot(
                [item.x], [item.y], "o", color=item.color, markersize=8, markeredgecolor="white"
            )
        elif item.kind == "tone":
            continue  # nothing to be seen
        elif item.kind == "space":
            space_still.add(axes, item)
        elif item.kind == "shading":
            for height in (item.y, 2 * item.mirror - item.y):
                _shade(axes, item, item.x, height)
            if item.lens:
                number, left, foot, side = item.lens
                _shade(figure.axes[number], item, (item.x - left) / side, (item.y - foot) / side)
        else:
            align = {"start": "left", "middle": "center", "end": "right"}[item.anchor]
            axes.annotate(
                item.text,
                (item.x, item.y),
                (0, 6),
                textcoords="offset points",
                ha=align,
                color=item.color,
                fontsize=axes.xaxis.label.get_size() * 0.9,
                parse_math=False,
                annotation_clip=False,  # the page does not clip words either
            )
    return figure


def _shade(axes, item, across, height):
    """A shading once; fringes go dark, light, dark once per fringe, as a polariscope shows them."""
    colors, value = (
        ListedColormap(shades() / 255),
        np.clip((item.value - item.low) / (item.high - item.low), 0, 1),
    )
    if item.fringe:
        levels = np.arange(0, item.value.max() / item.fringe + 0.125, 0.125)
        gray = [str(light) for light in np.sin(np.pi * (levels[:-1] + 0.0625)) ** 2]
        axes.tricontourf(
            across, height, item.triangles, item.value / item.fringe, levels=levels, colors=gray
        )
    else:
        axes.tripcolor(
            across, height, item.triangles, value, shading="gouraud", cmap=colors, vmin=0, vmax=1
        )
