"""What the give of the work does to its shape: the cut profile seen from the end, and the diameters
along the work.
"""

import numpy as np

from crankmath.language import _

from ..crank_drawing import ROUND, WEB, circle
from ..marks import arrow
from ..scene import (
    BLUE,
    FINER,
    GRAY,
    GREEN,
    PURPLE,
    RUST,
    Curve,
    Grip,
    Note,
    Point,
    blank,
    full_scale,
    shared_scale,
)

ROOM = 0.5  # of the circle's radius: how deep the out-of-round of a heavy cut is drawn
AROUND = np.linspace(0, 2 * np.pi, 121)
FINE = np.radians(5.0)  # between points of the rim
TOOL = np.pi / 2  # where it stands, counterclockwise from above
LAYER = 0.3  # of the radius: how thick the layer to be cut is drawn, whatever its depth
INSIDE = 0.5  # of the radius: how far the crank drawn on the section reaches
LOW = -0.36  # of the chart: below the axis stands the work in outline


def round_scale(value):
    """The next of 1, 1.5, 2, 3, 4, 5, 7.5, 10, 15 … above a value, common to what is held."""
    return full_scale(value, "out-of-round", FINER)


def profile_items(swing, large, scale, diameter, turned, inside):
    """Moving items of the end view: the work at the tool, its rim as cut so far, the layer that is
    still to come off, its largest and smallest diameter once both their ends are cut.

    The tool stays where it is: the work gives way to it and turns.

    - ``swing``: Largest less smallest diameter.
    - ``large`` [rad]: Direction of the largest diameter from the throw's zero, counterclockwise.
    - ``scale``: Out-of-round that is drawn ``ROOM`` of the radius deep.
    - ``diameter``: Of the work; all in one unit.
    - ``turned`` [rad]: Of the work since the cut began, counterclockwise, at most one turn.
    - ``inside``: Items of ``throw_items``, drawn on the section.
    """
    deep = min(ROOM * swing / shared_scale(scale, "rim"), 0.9)

    def radius(place):
        return 1 + deep / 2 * np.cos(2 * (place - large))

    away = radius(TOOL - turned) - 1  # how far the work has given way

    def seen(size, past):  # a place that has gone so far past the tool
        return away - size * np.sin(TOOL + past), size * np.cos(TOOL + past)

    behind = np.linspace(0, turned, max(2, int(np.ceil(turned / FINE)) + 1))
    steps = int(np.ceil((2 * np.pi - turned) / FINE - 1e-9))
    before = np.linspace(turned, 2 * np.pi, steps + (steps > 0))
    cut = seen(radius(TOOL + behind - turned), behind)
    metal = (
        np.r_[one, rest]
        for one, rest in zip(cut, seen(1 + max(LAYER, 0.6 * deep), before), strict=True)
    )
    drawn = [Curve(*metal, GRAY, 1.2, fill="#f1f4f8"), *inside]
    drawn += [Curve(*seen(1.0, AROUND[::2]), GRAY, 1.2, "5 4"), Curve(*cut, BLUE, 3)]
    if swing > 0:  # drawn and true difference of diameters, each as a share of the diameter
        enlarged = float(f"{deep / (swing / diameter):.2g}")
        drawn.append(
            Note(
                0,
                -2.06,
                _("error {enlarged:,.0f} times enlarged").format(enlarged=enlarged),
                GRAY,
                "middle",
            )
        )
    if steps:
        drawn.append(Note(0, 1.62, _("outside: still to be cut, not to scale"), GRAY, "middle"))
    for place, size, color, dash, words in (
        (large, 1 + deep / 2, RUST, "", _("largest")),
        (large + np.pi / 2, 1 - deep / 2, GREEN, "6 4", _("smallest")),
    ):
        past = (place + turned - TOOL) % np.pi  # of the end that the tool met last
        if past + np.pi > turned + 1e-9:
            continue
        ends = seen(size, past + np.array([0, np.pi]))
        drawn.append(Curve(*ends, color, 2, dash))
        past += np.pi * (past > 0.75 * np.pi or past < 0.2 * np.pi)  # named away from the tool
        past += np.pi * (np.cos(TOOL + past) < -0.6)  # ... and from the words below
        x, y = seen(1.17 * max(size, 1.0), past)
        side = "end" if x < -0.3 else "start" if x > 0.3 else "middle"
        drawn.append(Note(x, y - 0.05, words, color, side))
    return drawn


def throw_items(part, held, turned):
    """Webs, pins and main from the tailstock, small on the section that is cut: how the throw
    stands while the work turns.

    - ``part``: A ``crank_drawing.Shape``.
    - ``held``: The throw whose pin the work turns on, or None for the mains.
    """
    reach = np.hypot(*(part.corners - _axis(part, held)).reshape(-1, 2).T).max()
    part = part.turned(turned)
    scale, middle = INSIDE / reach, _axis(part, held)
    drawn = [
        Curve(*(scale * (np.append(web, web[:1], axis=0) - middle)).T, GRAY, 1.2, fill=WEB)
        for web in part.corners
    ]
    main, *pins = scale * (np.vstack([np.zeros(2), part.places]) - middle)
    sizes = scale * np.array(part.throws["pin_diameter"])
    drawn.append(circle(main, scale * part.pieces[-1].diameter, 0, GRAY, 1.2, fill=ROUND))
    drawn += [circle(pin, size, 0, GRAY, 1.2, "4 3") for pin, size in zip(pins, sizes, strict=True)]
    pin = pins[held or 0]
    end, word = (pin, _("throw")) if held is None else (main, _("main"))
    x, y = end * (INSIDE + 0.13) / np.hypot(*end)
    return [*drawn, *arrow(main, pin, GRAY, head=0.05), Note(x, y - 0.14, word, GRAY, "middle")]


def _axis(part, held):
    """Place of the axis that the work turns on, across the main axis [mm]."""
    return np.zeros(2) if held is None else np.asarray(part.places[held])


def force_items(push, drag, away, up, width):
    """Moving items of the tool, at the front of the lathe, and what it does to the work: pushes it
    away and drags it up, against its turning.

    - ``push``, ``drag``: Shares of the longest arrow.
    - ``away``, ``up``: The same forces in words.
    - ``width``: Of the cut as its slider shows it; dragging the arrow's tip changes it.
    """
    tool = Curve(
        -np.array([1.05, 1.3, 1.62, 1.62, 1.05]),
        np.array([0.0, 0.06, 0.06, -0.22, 0.0]),
        GRAY,
        1.5,
        fill="#dfe3e8",
    )
    wide, drawn = width / (0.9 * push), 0.9 * min(drag, 1.2)
    tip = Point(0.9 * min(push, 1.2) - 1.0, 0.0, RUST, 0, (Grip("width", "x", wide, wide),))
    return [
        tool,
        *arrow((-1.0, 0.0), (tip.x, 0.0), RUST, head=0.07),
        tip,
        *arrow((-1.0, 0.0), (-1.0, drawn), PURPLE, head=0.07),
        Note(-1.08, -0.5, away, RUST, "end"),
        Note(-1.08, min(drawn / 2, 0.3), up, PURPLE, "end"),
    ]


def along_items(pieces, outline, scale, unit, place):
    """Moving items of the chart along the work.

    - ``pieces``: Each main or pin: places as shares of the length, smallest and largest error in
      diameter there.
    - ``outline``: The work's pieces: shares of its length, heights as shares of its largest.
    - ``scale``: Error at the top of the chart.
    - ``place``: The place chosen.
    """
    drawn = [
        Note(0.012, height - 0.02, f"{scale * height:g} {unit}", GRAY) for height in (0.5, 1.0)
    ]
    middle, tall = 0.54 * LOW, -0.62 * LOW
    for begin, end, bottom, top in outline:
        x = np.array([begin, end, end, begin, begin])
        drawn.append(
            Curve(
                x,
                middle + tall * (np.array([bottom, bottom, top, top, bottom]) - 0.5),
                GRAY,
                1,
                fill="#eeeeee",
                axes=1,
            )
        )
    for x, low, high in pieces:
        drawn += [
            Curve(
                np.r_[x, x[::-1]], np.r_[low, high[::-1]] / scale, BLUE, 0.5, fill="#c9daee", axes=1
            ),
            Curve(x, high / scale, RUST, 2.5, axes=1),
            Curve(x, low / scale, GREEN, 2.5, "6 4", axes=1),
        ]
    x, low, high = place
    drawn += [Point(x, high / scale, RUST, axes=1), Point(x, low / scale, GREEN, axes=1)]
    if high > scale:
        drawn.append(
            Note(
                0.5,
                0.03,
                _("off the chart: {high:.3g} {unit}").format(high=high, unit=unit),
                RUST,
                "middle",
                axes=1,
            )
        )
    return [
        Note(item.x, item.y, item.text, item.color, item.anchor, 1) if item.kind == "text" else item
        for item in drawn
    ]


def prediction_items(guess, mean, scale, x):
    """A guessed out-of-round as a bar about the mean, at a place along the work."""
    ends = (mean + guess / 2 * np.array([-1, 1])) / scale
    return [
        Curve(np.array([x, x]), ends, PURPLE, 4, "3 3", axes=1),
        Note(0.5, 0.14, _("bar: your prediction"), PURPLE, "middle", axes=1),
    ]


def profile_paper(projector=False):
    """Paper of the lesson: end view and chart along the work."""
    figure, view, chart = blank(
        projector, 9.0, 4.3, ((0.0, 0.02, 0.4, 0.96), (0.47, 0.15, 0.51, 0.78))
    )
    size = view.xaxis.label.get_size() * 0.9
    view.set(xlim=(-1.75, 1.75), ylim=(-2.1, 2.2), xticks=[], yticks=[])
    view.spines[:].set_visible(False)
    view.set_aspect("equal")
    turning = {"arrowstyle": "-|>", "color": GRAY, "connectionstyle": "arc3,rad=0.3"}
    view.annotate("", (0.6, -1.55), (-0.6, -1.55), arrowprops=turning)
    view.annotate(
        _("from the tailstock; dashed: mean size"),
        (0, 1.98),
        ha="center",
        va="bottom",
        fontsize=size,
        color="#333333",
    )
    chart.set(
        xlim=(0, 1),
        ylim=(LOW, 1.04),
        yticks=[0, 0.25, 0.5, 0.75, 1.0],
        xticks=[0, 0.25, 0.5, 0.75, 1],
        xlabel=_("Place along the work, from the headstock"),
        ylabel=_("Diameter too large by"),
    )
    chart.set_yticklabels(["0", "", "", "", ""])
    chart.set_xticklabels(["0", "1/4", "1/2", "3/4", "1"])
    chart.grid(axis="y", color="#dddddd")
    chart.set_title(_("solid: largest, dashed: smallest"), fontsize=size, color="#333333")
    return figure
