"""A crank seen from its end with what is unbalanced and what balances it, and the paths of shaking
force and couple over a turn.
"""

import numpy as np

from crankmath.language import _, marked

from ..marks import arrow
from ..scene import (
    BLUE,
    GRAY,
    GREEN,
    PALE,
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

WEB, ROUND = "#e4e4e4", "#f4f4f4"
REACH = 1.25  # of each window, to either side
INKS = {"primary": (GREEN, "9 5"), "secondary": (RUST, "2 4"), "both": (BLUE, "")}


def _circle(middle, radius, color, width=1.5, dash="", fill="", axes=0):
    turn = np.linspace(0, 2 * np.pi, 61)
    return Curve(
        middle[0] + radius * np.cos(turn),
        middle[1] + radius * np.sin(turn),
        color,
        width,
        dash,
        fill,
        axes,
    )


def end_items(corners, pins, diameters, sectors, arrows, texts):
    """Webs, pins, counterweights and arrows, seen along the crank with its angle zero up.

    - ``corners`` [mm]: Of the webs, across and up.
    - ``pins`` [mm]
    - ``diameters`` [mm]: Of the pins, and of the main.
    - ``sectors``: Outer radius [mm] and half angles [rad], one a throw; zero for none.
    - ``arrows``: Mass times radius toward each pin, and of the counterweights away from it, in one
      unit.
    - ``texts``: Below the drawing, for each of the two.
    """
    outer, halves = sectors
    widest = max(outer, np.hypot(corners[..., 0], corners[..., 1]).max())
    scale = 0.98 / shared_scale(widest, "crank")
    drawn, toward = [], pins / np.hypot(pins[:, 0], pins[:, 1])[:, None]
    for way, half in zip(toward, halves, strict=True):
        if half > 0:
            turn, side = np.linspace(-half, half, 41), np.array([-way[1], way[0]])
            rim = outer * scale * (-np.cos(turn)[:, None] * way + np.sin(turn)[:, None] * side)
            drawn.append(
                Curve(np.r_[0, rim[:, 0], 0], np.r_[0, rim[:, 1], 0], GREEN, 1.8, fill=PALE[GREEN])
            )
    drawn += [
        Curve(*(scale * np.append(one, one[:1], axis=0)).T, GRAY, 1.5, fill=WEB) for one in corners
    ]
    drawn += [_circle(scale * place, scale * diameters[0] / 2, GRAY, 1.2, "5 4") for place in pins]
    drawn.append(_circle((0, 0), scale * diameters[1] / 2, GRAY, 1.5, fill=ROUND))
    longest = shared_scale(max(np.max(np.abs(size)) for size in arrows), "arrows")
    opposed = (toward @ toward.T).min() < -0.99  # one throw's arrow would hide the other's
    for sizes, sign, color in ((arrows[0], 1, RUST), (arrows[1], -1, GREEN)):
        for way, size in zip(toward, sizes, strict=True):
            aside = 0.06 * opposed * np.array([-way[1], way[0]])
            tip = sign * 0.8 * size / longest * way if longest > 0 else np.zeros(2)
            drawn += arrow(aside, aside + tip, color, head=0.055)
    return [*drawn, Note(-REACH, 1.05, texts[0], RUST), Note(-REACH, -REACH, texts[1], GREEN)]


def path_items(parts, unit, axes, guess, speed):
    """Paths of a vector over a turn: primary, secondary and both, with the size of the outer ring.

    - ``parts``: Arrays in the unit, for "primary", "secondary" and "both".
    - ``guess``: A predicted size, drawn as a circle, or None.
    - ``speed`` [rpm]: Dragging the path's top changes it.
    """
    largest = max(np.max(np.hypot(*path)) for path in parts.values())
    if largest < 1e-9:
        return [Note(0, -0.06, _("none"), GRAY, "middle", axes)]
    seen = 0.0 if guess is None else min(guess / 1.15, 4 * largest)  # one far off shrinks nothing
    full = full_scale(max(1.02 * largest, seen), f"axes {axes}")
    drawn = [
        Curve(
            across / full,
            along / full,
            *INKS[name][:1],
            3 if name == "both" else 2,
            INKS[name][1],
            axes=axes,
        )
        for name, (across, along) in parts.items()
    ]
    drawn += [Note(0.74, 0.72, f"{full:g} {unit}", GRAY, "start", axes)]
    across, along = (one / full for one in parts["both"])
    top = int(np.argmax(along))
    if along[top] > 0.02:  # the force goes with the square of the speed
        grip = Grip("speed", "y", speed / (2 * along[top]), speed / 2)
        drawn.append(Point(across[top], along[top], BLUE, axes, (grip,)))
    if guess is not None and guess < 1.15 * full:
        drawn += [
            _circle((0, 0), guess / full, PURPLE, 2, "2 4", axes=axes),
            Note(0, -guess / full - 0.13, _("your prediction"), PURPLE, "middle", axes),
        ]
    return drawn


def balance_paper(projector=False):
    """Paper of the panel: a window for the crank, one for the force, one for the couple."""
    figure, crank, force, couple = blank(
        projector, 9.0, 3.6, tuple((left, 0.0, 0.33, 0.9) for left in (0.0, 0.335, 0.67))
    )
    size = crank.xaxis.label.get_size() * 0.9
    ring = np.linspace(0, 2 * np.pi, 121)
    for axes, title in (
        (crank, _("crank, angle zero up")),
        (force, _("shaking force, stroke up")),
        (couple, _("shaking couple")),
    ):
        axes.set(xlim=(-REACH, REACH), ylim=(-1.3, 1.3), xticks=[], yticks=[])
        axes.set_aspect("equal")
        axes.spines[:].set_visible(False)
        axes.set_title(title, fontsize=size, color="#333333")
    for axes in (force, couple):
        for radius in (0.5, 1.0):
            axes.plot(radius * np.cos(ring), radius * np.sin(ring), color="#cccccc", linewidth=0.9)
        axes.plot([-1, 1], [0, 0], color="#cccccc", linewidth=0.9)
        axes.plot([0, 0], [-1, 1], color="#cccccc", linewidth=0.9)
    for axes, names in (
        (force, (marked("primary"), marked("secondary"))),
        (couple, (marked("both"),)),
    ):
        for place, name in zip((-1.2, 0.05), names, strict=False):
            color, dash = INKS[name]
            style = (
                (0, tuple(float(part) / 2 for part in dash.split())) if dash else "-"
            )  # matplotlib counts dashes in line widths
            axes.plot(
                [place, place + 0.25], [-1.2, -1.2], color=color, linewidth=2, linestyle=style
            )
            axes.annotate(_(name), (place + 0.3, -1.25), fontsize=size, color=color)
    return figure
