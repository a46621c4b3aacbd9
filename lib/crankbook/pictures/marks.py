"""Small parts that several pictures need: arrows, the ruler of a chart that scales itself,
warmth."""

import numpy as np

from .scene import GRAY, Curve, Note

COOL, WARM, HOT = (np.array(one) for one in ((232, 236, 240), (246, 178, 107), (168, 30, 15)))


def arrow(start, end, color, axes=0, head=0.035):
    """An arrow as a filled outline from a place to another; ``head`` is its half width there."""
    start, end = np.asarray(start, float), np.asarray(end, float)
    length = float(np.hypot(*(end - start)))
    if length == 0:
        return []
    along = (end - start) / length
    across = np.array([-along[1], along[0]])
    neck = end - along * min(2 * head, length)
    shaft = head / 3 * across
    outline = np.array(
        [
            start + shaft,
            neck + shaft,
            neck + head * across,
            end,
            neck - head * across,
            neck - shaft,
            start - shaft,
        ]
    )
    return [Curve(outline[:, 0], outline[:, 1], color, 1, "", color, axes)]


def dial(foot, middle, radius, turn, color, axes=0):
    """A dial whose plunger reaches from its face to a place above or below.

    - ``foot``: Height of the plunger's end.
    - ``middle``: Of the face, (x, y).
    - ``turn`` [rad]: Of its hand, from the right counterclockwise.
    """
    (x, y), around = middle, np.linspace(0, 2 * np.pi, 37)
    rim = y + radius if foot > y else y - radius
    hand = 0.8 * radius * np.array([0, np.cos(turn)]), 0.8 * radius * np.array([0, np.sin(turn)])
    return [
        Curve(np.array([x, x]), np.array([rim, foot]), "#222222", 2, axes=axes),
        Curve(
            x + radius * np.cos(around),
            y + radius * np.sin(around),
            color,
            2,
            "",
            "#ffffff",
            axes=axes,
        ),
        Curve(x + hand[0], y + hand[1], color, 2, axes=axes),
    ]


def ruler(full, unit, left, axes=0, start=0.0, anchor="start"):
    """Numbers of a chart whose height of one stands for ``full``, which the picture chose itself.

    - ``left``: Where the numbers stand across the chart.
    - ``start``: What the foot of the chart stands for.
    """
    return [
        Note(left, height - 0.025, f"{start + full * height:.4g} {unit}", GRAY, anchor, axes)
        for height in (0.5, 1.0)
    ]


def warmth(share):
    """Color of a temperature between cold, 0, and the hottest shown, 1."""
    share = min(max(float(share), 0.0), 1.0)
    low, high, part = (COOL, WARM, 2 * share) if share < 0.5 else (WARM, HOT, 2 * share - 1)
    return "#{:02x}{:02x}{:02x}".format(*(low + part * (high - low)).round().astype(int))
