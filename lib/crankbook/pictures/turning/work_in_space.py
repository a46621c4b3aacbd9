"""The work at a step of its plan, in space: what stays, what comes off, what swings, what stands
beside it.
"""

from itertools import pairwise

import numpy as np

from ..scene import BLUE, GRAY, RUST, Curve, Note, blank
from ..space import (
    CUT,
    GONE,
    Body,
    Prism,
    Space,
    Trace,
    Word,
    block,
    box_corners,
    circle,
    hoop,
    prisms,
    ring,
)
from ..space import straight as line

HOLDER, BOARD, SPACER = "#6d7580", "#9aa0a6", "#5f9a4a"
BLADE = 3.0  # mm: half the height of the blade drawn
HOLDER_DRAWN = 16.0  # mm of it
LETTERS = 6.0  # mm around the swing for its size
CARRIAGE = 5.0, 34.0  # mm: thickness drawn, and half its width
PAST = 14.0  # mm that an axis is drawn past the work's ends


def work_paper(projector=False):
    """Paper of the plan: room for the view in space, and a box for each step below it."""
    places = ((0.0, 0.1, 1.0, 0.9), (0.02, 0.01, 0.96, 0.08))
    figure, view, strip = blank(projector, 9.0, 4.9, places)
    for axes, place in zip((view, strip), places, strict=True):
        axes.set_position(place)
        axes.set(xticks=[], yticks=[])
        axes.spines[:].set_visible(False)
        axes.patch.set_alpha(0)
    strip.set(xlim=(0, 1), ylim=(0, 1))
    return figure


def strip_items(count, at):
    """Boxes of a plan's steps, the present one filled; ``at`` counts from 0."""
    drawn, wide = [], 1 / count
    for number in range(count):
        x = wide * (number + np.array([0.06, 0.94, 0.94, 0.06, 0.06]))
        fill = "#c9daee" if number < at else CUT if number == at else "#ffffff"
        drawn.append(Curve(x, np.array([0.05, 0.05, 0.95, 0.95, 0.05]), GRAY, 1, fill=fill, axes=1))
        middle = wide * (number + 0.5)
        drawn.append(Note(middle, 0.3, f"{number + 1}", "#222222",
                          "middle", 1))  # fmt: skip
    return drawn


def points_to_hold(plan, carriage):
    """What has to fit in all views of a plan: the bar, its swing about each center, the
    carriage."""
    bar = plan.works[0]
    found = [(x, y, z) for x in (bar.x0, bar.x1) for y, z in ring(bar.pieces[0].section)[::4]]
    low = 0.0
    for axis in {step.axis for step in plan.steps if step.axis}:
        for share in (0.2, 0.8):
            place = bar.x0 + share * (bar.x1 - bar.x0)
            found += hoop(place, axis, bar.swing(axis) + LETTERS)[::4].tolist()
        low = min(low, axis[0] - carriage - CARRIAGE[0])
    third = (bar.x1 - bar.x0) / 3
    board = box_corners((bar.x0 + third, low, -CARRIAGE[1]), (bar.x1 - third, low, CARRIAGE[1]))
    return np.vstack([found, board])


def _changed(before, after):
    """Parts of the work before a step that the step takes something off."""
    found = []
    for piece in before.pieces:
        left = after.between(piece.x0, piece.x1)
        edges = sorted({piece.x0, piece.x1, *(x for one in left for x in (one.x0, one.x1))})
        for low, high in pairwise(edges):
            there = after.between(low, high)
            same = there and (there[0].section, there[0].flares) == (piece.section, piece.flares)
            if not same and high - low > 1e-6:
                found.append(piece.between(low, high))
    return found


def _fitted(step):
    """Throws with a spacer in their gap at a step, the one that the step fits among them."""
    now = (int(step.key.split("_")[1]) - 1,) if step.key.startswith("spacer_") else ()
    return sorted({*step.fitted, *now})


def step_in_space(plan, number, carriage, spacer, said, words):
    """The work at a step as a view in space.

    - ``plan``: With ``steps``, ``works`` and ``room``.
    - ``carriage`` [mm]: Radius that passes over the carriage.
    - ``spacer`` [mm]: Radius of a spacer.
    - ``words``: Texts of the swing and of what stands beside: swing, carriage, blade.
    """
    step, before, after = plan.steps[number], plan.works[number], plan.works[number + 1]
    bodies, traces, named = [Body(prisms(after.pieces))], [], []
    gone = _changed(before, after)
    if gone:
        bodies.append(Body(prisms(gone), GONE, 0.4))
    for throw in _fitted(step):
        fitted = Prism(*plan.placed.span("pin", throw), circle(plan.placed.main, spacer))
        bodies.append(Body((fitted,), SPACER))
    if step.axis is not None:
        y, z = step.axis
        ends = (before.x0 - PAST, y, z), (before.x1 + PAST, y, z)
        traces.append(Trace(line(*ends), BLUE, 2, "14 4 3 4"))
    if step.axis is not None and step.cuts:
        bodies += _beside(step, before, plan.room(number), carriage)
        axis, at = step.axis, step.cuts[0]
        swing, x = before.first_contact(axis, before.x0, before.x1)
        traces.append(Trace(hoop(x, axis, swing), RUST, 2.5, "9 5"))
        named.append(Word((x, axis[0] + swing + 3, axis[1]), words[0], RUST))
        long = max(cut.x1 for cut in step.cuts) + 20
        named.append(Word((long, axis[0] - carriage - 4, CARRIAGE[1]), words[1], GRAY, "start"))
        back = axis[1] + at.radius + step.tool["reach"] + HOLDER_DRAWN
        named.append(Word((at.x0, axis[0] - 8 * BLADE, back), words[2], BLUE))
    else:
        for axis in {plan.placed.main, *plan.placed.pins}:
            ends = (before.x0 - PAST, *axis), (before.x1 + PAST, *axis)
            traces.append(Trace(line(*ends), GRAY, 1.5, "3 5"))
    holds = points_to_hold(plan, carriage)
    return Space(tuple(bodies), said, holds, tuple(traces), tuple(named))


def _beside(step, before, free, carriage):
    """Blade and holder at the step's first cut, drawn in to its radius, and the carriage."""
    (y, z), cut, tool = step.axis, step.cuts[0], step.tool
    reach, wide = tool["reach"], tool["thickness"]
    struck = before.reach_needed(step.axis, cut.radius, cut.x0, cut.x1) > reach + 1e-6
    edge, middle = z + cut.radius, (cut.x0 + cut.x1) / 2
    blade = block((middle - wide / 2, middle + wide / 2), (y - 2 * BLADE, y), (edge, edge + reach))
    holder = block((middle - 2 * wide, middle + 2 * wide), (y - 3 * BLADE, y + BLADE),
                   (edge + reach, edge + reach + HOLDER_DRAWN))  # fmt: skip
    top = y - carriage
    long = min(cut.x0 for cut in step.cuts) - 20, max(cut.x1 for cut in step.cuts) + 20
    board = block(long, (top - CARRIAGE[0], top), (-CARRIAGE[1], CARRIAGE[1]))
    hit = free["over_carriage"] < 0
    return [
        Body((blade,), CUT),
        Body((holder,), RUST if struck else HOLDER),
        Body((board,), RUST if hit else BOARD, 0.999 if hit else 0.55),
    ]
