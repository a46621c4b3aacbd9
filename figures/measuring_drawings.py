"""Set-ups for measuring a crank, drawn: dial on centers, dial on vee blocks, height gauge over a pin."""

import numpy as np
from drawing_hand import (
    CENTER_LINE,
    GROUND,
    HELD,
    HIDDEN,
    MAIN,
    PALE,
    PIN,
    REACH,
    THROW,
    TOOL,
    WIDE,
    area,
    box,
    center,
    crank,
    dial,
    disc,
    line,
    name,
    panes,
    size,
    turning,
    vee_block,
)

from crankbook.pictures.scene import BLUE, GRAY, GREEN, RUST

SIDE = ((-46, 186), (-66, 78))


def on_centers_figure(projector=False):
    """A crank between bench centers with a dial on a main.

    Parameters
    ----------
    projector : bool

    Returns
    -------
    Figure
    """
    figure, side, end = panes(
        9.0,
        3.9,
        ((0.0, 0.0, 0.66, 1.0, *SIDE), (0.66, 0.0, 0.34, 1.0, (-60, 60), (-66, 78))),
        projector,
    )
    box(side, -40, 180, -60, -52, GROUND)
    crank(side)
    for tip, way in (((0, 0), -1), ((140, 0), 1)):
        center(side, tip, way)
        box(side, *sorted((tip[0] + 16 * way, tip[0] + 30 * way)), -52, 10, TOOL)
    line(side, [-36, 176], [0, 0], style=CENTER_LINE)
    dial(side, (22, MAIN / 2))
    name(side, "dial on a main", (22, 52))
    name(side, "bench centers in the crank's own holes", (70, -38), color=GRAY)
    name(side, "turn by hand, one turn", (118, 52), color=GRAY)
    wobble = np.array([3.0, 2.0])
    disc(end, wobble, 44, PALE)
    disc(end, (0, 0), 44 + 2 * np.hypot(*wobble), "none", ink=GRAY, style=HIDDEN, width=1)
    line(end, [-8, 8], [0, 0], BLUE, 1.2)
    line(end, [0, 0], [-8, 8], BLUE, 1.2)
    line(end, wobble[0] + np.array([-5, 5]), np.full(2, wobble[1]), RUST, 1.2)
    line(end, np.full(2, wobble[0]), wobble[1] + np.array([-5, 5]), RUST, 1.2)
    dial(end, (0, 23.9))
    turning(end, (0, 0), 34, -150, -100)
    name(end, "center", (-36, -12), (0, 0), BLUE)
    name(end, "axis of the main", (14, -40), tuple(wobble), RUST)
    name(end, "runout = 2 × offset", (0, -58), color=RUST)
    name(end, "what the surface sweeps", (0, 68), color=GRAY)
    line(end, [14, 19], [63, 19], GRAY, 0.8)
    return figure


def _lobed_in_vee(axes, angle, words):
    """A shaft with three high places, one of them up, as it stands in a vee of an angle [deg]."""
    half, mean, high = np.radians(angle) / 2, 18.0, 1.2
    face = np.pi + half  # where a flank touches, from the right and counterclockwise
    rise = high * np.cos(3 * (face - np.pi / 2)) / np.sin(half)
    turn = np.linspace(0, 2 * np.pi, 181)[:-1]
    radius = mean + high * np.cos(3 * (turn - np.pi / 2))
    vee_block(axes, (0, 4), -4, -52, angle, 2 * mean, 56)
    area(
        axes,
        np.column_stack([radius * np.cos(turn), 4 + rise + radius * np.sin(turn)]),
        PALE,
        order=3,
    )
    disc(axes, (0, 4), 2 * mean, "none", ink=GRAY, style=HIDDEN, width=1, order=4)
    dial(axes, (0, 4 + rise + mean + high))
    turning(axes, (0, 4), 25, 15, 55)
    name(axes, f"{angle}° vee", (0, 70), color=GREEN)
    name(axes, words, (0, -62), color=RUST)


def on_vee_blocks_figure(projector=False):
    """A crank whose mains rest in vee blocks, a dial over a main, and what two vee angles make of three lobes.

    Parameters
    ----------
    projector : bool

    Returns
    -------
    Figure
    """
    pane = (1.0, (-39, 39), (-70, 78))
    figure, side, right, sharp = panes(
        9.0,
        3.9,
        (
            (0.0, 0.0, 0.56, 1.0, (-30, 170), (-70, 78)),
            (0.56, 0.0, 0.22, *pane),
            (0.78, 0.0, 0.22, *pane),
        ),
        projector,
    )
    box(side, -24, 164, -60, -52, GROUND)
    crank(side)
    for left, edge in (
        (12, 32),
        (108, 108),
    ):  # the near cheek of the block hides the main's lower half
        box(side, left, left + 20, -52, -4, HELD, order=3)
        line(side, [edge, 70 + 16 * np.sign(edge - 70)], [-24, -30], GREEN, 0.8)
    line(side, [-10, 150], [0, 0], style=CENTER_LINE)
    dial(side, (22, MAIN / 2))
    name(side, "vee block", (70, -30), color=GREEN)
    name(side, "dial over a main", (22, 52))
    name(side, "plate", (70, -46), color=GRAY)
    name(side, "dashed: the round shaft of the same size", (70, 70), color=GRAY)
    _lobed_in_vee(right, 90, "three lobes\nread twice")
    _lobed_in_vee(sharp, 60, "three lobes read\nthree times")
    return figure


def throw_figure(projector=False):
    """A height gauge over the pin, once up and once down: half the difference is the throw.

    Parameters
    ----------
    projector : bool

    Returns
    -------
    Figure
    """
    window = ((-62, 74), (-70, 62))
    figure, *two = panes(
        9.0, 4.4, ((0.0, 0.0, 0.5, 1.0, *window), (0.5, 0.0, 0.5, 1.0, *window)), projector
    )
    for axes, way, words in zip(two, (1, -1), ("up", "down"), strict=True):
        box(axes, -58, 70, -60, -54, GROUND)
        low, high = sorted((-way * REACH, way * (THROW + REACH)))
        box(axes, -WIDE / 2, WIDE / 2, low, high, order=1)
        disc(axes, (0, way * THROW), PIN, PALE, order=1.5)
        vee_block(axes, (0, 0), -6, -54, 90, MAIN, 34)
        box(
            axes, -WIDE / 2, WIDE / 2, low, high, "none", width=1, style=HIDDEN, order=3
        )  # what stands behind block and main
        disc(axes, (0, way * THROW), PIN, "none", width=1, style=HIDDEN, order=3)
        disc(axes, (0, 0), MAIN, PALE, order=4)
        top = way * THROW + PIN / 2
        box(axes, 46, 66, -54, -46, TOOL, order=4)
        box(axes, 53, 59, -46, 50, TOOL, order=4)
        box(axes, 2, 63, top, top + 4, TOOL, order=4.5)
        line(axes, [-40, 2], [top, top], GRAY, 0.8)
        size(axes, (-36, -54), (-36, top), f"height\n{words}", (-39, (top - 54) / 2), align="right")
        for height, color in ((0.0, BLUE), (way * THROW, RUST)):
            line(axes, [-13, 13], [height, height], color, 1.2, CENTER_LINE, order=5)
        name(axes, f"pin {words}", (0, 54))
    name(two[0], "main in a vee block, gauge over the pin", (6, -66), color=GRAY)
    name(two[1], "throw = (height up − height down) / 2", (6, -66), color=RUST)
    return figure
