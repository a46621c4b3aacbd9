"""The one hand of the course's drawings: panes to scale, steel and tools in flat tones, names on thin lines, sizes, arrows.

Lengths are millimeters of a crank with the proportions of `pump`; nothing here is computed from physics.
"""

import numpy as np

from crankbook.pictures.scene import BLUE, GRAY, blank

INK, STEEL, PALE, TOOL, HELD, GROUND = (
    "#222222",
    "#dcdcdc",
    "#f4f4f4",
    "#dfe9f5",
    "#d8ead0",
    "#eeeeee",
)
CENTER_LINE = (0, (12, 3, 3, 3))
CUT = "//"  # hatch of a section
HIDDEN = (0, (4, 3))
THROW, REACH, MAIN, PIN, WIDE = (
    18.0,
    14.0,
    20.0,
    18.0,
    28.0,
)  # mm: throw, web beyond each axis, diameters, web's width
EDGES = (0.0, 45.0, 59.0, 81.0, 95.0, 140.0)  # mm along the crank: main, web, pin, web, main


def panes(width, height, places, projector=False):
    """A figure with empty panes to scale: their axes, lines and ticks hidden.

    Parameters
    ----------
    width, height : float [in]
    places : sequence of (left, bottom, width, height, xlim, ylim)
        Shares of the figure, and what each pane shows [mm].
    projector : bool

    Returns
    -------
    Figure, Axes, …
    """
    figure, *axes = blank(projector, width, height, tuple(place[:4] for place in places))
    for one, place in zip(axes, places, strict=True):
        one.set_position(place[:4])
        one.set(xlim=place[4], ylim=place[5], xticks=[], yticks=[], aspect="equal")
        one.spines[:].set_visible(False)
        one.patch.set_alpha(0)
    return figure, *axes


def size_of(axes):
    """Type size of names in a pane [pt]."""
    return axes.xaxis.label.get_size()


def area(axes, points, fill=STEEL, ink=INK, width=1.5, style="-", order=2, hatch=None):
    """A closed outline; ``hatch`` CUT where it is a section."""
    x, y = np.array(points, float).T
    looks = {"linewidth": width, "linestyle": style, "zorder": order, "hatch": hatch}
    axes.fill(x, y, facecolor=fill, edgecolor=ink, **looks)


def box(axes, left, right, low, high, fill=STEEL, **looks):
    """An upright rectangle."""
    area(axes, [(left, low), (right, low), (right, high), (left, high)], fill, **looks)


def disc(axes, middle, diameter, fill=PALE, **looks):
    """A circle."""
    turn = np.linspace(0, 2 * np.pi, 97)[:-1]
    area(
        axes,
        np.column_stack(
            [middle[0] + diameter / 2 * np.cos(turn), middle[1] + diameter / 2 * np.sin(turn)]
        ),
        fill,
        **looks,
    )


def line(axes, x, y, color=GRAY, width=1.0, style="-", order=3):
    """A line through points."""
    axes.plot(
        x, y, color=color, linewidth=width, linestyle=style, zorder=order, solid_capstyle="butt"
    )


def name(axes, text, place, points_at=None, color=INK, align="center"):
    """A text, with a thin line to the point it names where it stands apart."""
    thin = {"arrowstyle": "-", "color": color, "linewidth": 0.8, "shrinkA": 2, "shrinkB": 0}
    axes.annotate(
        text,
        place if points_at is None else points_at,
        place,
        fontsize=size_of(axes),
        color=color,
        ha=align,
        va="center",
        arrowprops=None if points_at is None else thin,
        zorder=6,
    )


def arrow(axes, start, end, color, width=2.2):
    """A push or a movement."""
    looks = {
        "arrowstyle": "-|>,head_width=0.35,head_length=0.7",
        "color": color,
        "linewidth": width,
        "shrinkA": 0,
        "shrinkB": 0,
    }
    axes.annotate("", end, start, arrowprops=looks, zorder=5)


def size(axes, start, end, text, place, color=BLUE, align="left"):
    """A dimension line with both heads and its text."""
    looks = {
        "arrowstyle": "<|-|>,head_width=0.25,head_length=0.5",
        "color": color,
        "linewidth": 1.0,
        "shrinkA": 0,
        "shrinkB": 0,
    }
    axes.annotate("", end, start, arrowprops=looks, zorder=5)
    name(axes, text, place, color=color, align=align)


def crank(axes, fill=STEEL, round_fill=PALE, fillet=1.5, order=2):
    """A one-throw crank from the side, its throw up, fillets drawn."""
    for left, right in (EDGES[1:3], EDGES[3:5]):
        box(axes, left, right, -REACH, THROW + REACH, fill, order=order)
    for (left, right), height, diameter, webs in (
        (EDGES[0:2], 0.0, MAIN, (0, 1)),
        (EDGES[2:4], THROW, PIN, (1, 1)),
        (EDGES[4:6], 0.0, MAIN, (1, 0)),
    ):
        area(axes, rod(left, right, height, diameter, fillet, *webs), round_fill, order=order + 0.1)


def rod(left, right, height, diameter, fillet, at_left, at_right):
    """Outline of a main or pin, its fillets drawn where a web stands."""
    arc = np.linspace(0, np.pi / 2, 9) if fillet else np.zeros(1)
    flare = np.column_stack([fillet * np.sin(arc), fillet * (1 - np.cos(arc))])
    top = []
    top += (
        [(left + fillet - x, diameter / 2 + y) for x, y in flare[::-1]]
        if at_left
        else [(left, diameter / 2)]
    )
    top += (
        [(right - fillet + x, diameter / 2 + y) for x, y in flare]
        if at_right
        else [(right, diameter / 2)]
    )
    upper = np.array(top)
    return np.concatenate([upper + [0, height], upper[::-1] * [1, -1] + [0, height]])


def center(axes, tip, side, length=16.0, half=6.0):
    """A lathe center with its point at a place; ``side`` is -1 for one that stands at the left."""
    area(
        axes,
        [
            tip,
            (tip[0] + side * length, tip[1] + half),
            (tip[0] + 1.5 * side * length, tip[1] + half),
            (tip[0] + 1.5 * side * length, tip[1] - half),
            (tip[0] + side * length, tip[1] - half),
        ],
        TOOL,
    )


def dial(axes, tip, height=24.0, radius=7.0):
    """A dial indicator that stands on a surface with its plunger down."""
    x, y = tip
    line(axes, [x, x], [y + 1.5, y + height - radius], INK, 2.5, order=4)
    disc(axes, (x, y + 1.5), 3.0, INK, order=4)
    disc(axes, (x, y + height), 2 * radius, "white", order=4)
    line(axes, [x, x + 0.6 * radius], [y + height, y + height + 0.5 * radius], INK, 1.5, order=5)
    for turn in np.radians(np.arange(0, 360, 45)):
        ring = np.array([0.75, 0.92]) * radius
        line(axes, x + ring * np.cos(turn), y + height + ring * np.sin(turn), INK, 0.8, order=5)


def vee_block(axes, middle, top, bottom, angle, diameter, width=30.0):
    """A vee block from its end, its vee under a shaft of a diameter whose axis stands at ``middle``."""
    half = np.radians(angle) / 2
    floor = middle[1] - diameter / 2 / np.sin(half)  # where the two faces would meet
    reach = (top - floor) * np.tan(half)
    area(
        axes,
        [
            (middle[0] - width / 2, bottom),
            (middle[0] + width / 2, bottom),
            (middle[0] + width / 2, top),
            (middle[0] + reach, top),
            (middle[0], floor),
            (middle[0] - reach, top),
            (middle[0] - width / 2, top),
        ],
        HELD,
    )


def turning(axes, middle, radius, first, last, color=GRAY):
    """An arc with a head: turning from one angle to another [deg]."""
    turn = np.radians(np.linspace(first, last, 30))
    x, y = middle[0] + radius * np.cos(turn), middle[1] + radius * np.sin(turn)
    line(axes, x[:-1], y[:-1], color, 1.4)
    arrow(axes, (x[-2], y[-2]), (x[-1], y[-1]), color, 1.4)
