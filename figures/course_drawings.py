"""The drawings of the course: a crank's parts and centers, what the tailstock does to it, corners, balance, tools; with their alt texts.

Every drawing takes ``projector`` and returns a figure; ``DRAWINGS`` lists them all for figures/ and the lessons.
"""

from functools import partial

import measuring_drawings
import numpy as np
from drawing_hand import (
    CENTER_LINE,
    CUT,
    EDGES,
    HELD,
    HIDDEN,
    INK,
    MAIN,
    PALE,
    PIN,
    REACH,
    STEEL,
    THROW,
    WIDE,
    area,
    arrow,
    box,
    center,
    crank,
    disc,
    line,
    name,
    panes,
    rod,
    size,
    turning,
)
from matplotlib.tri import LinearTriInterpolator, Triangulation

from crankbook.pictures import tool_drawing
from crankbook.pictures.scene import BLUE, GRAY, GREEN, RUST
from crankmath import Quantity
from crankmath.stress_field import solve_fillet


def parts_figure(projector=False):
    """A one-throw crank from the side and from its end, every part named.

    Parameters
    ----------
    projector : bool

    Returns
    -------
    Figure
    """
    figure, side, end = panes(
        9.0,
        4.4,
        (
            (0.0, 0.0, 0.64, 1.0, (-12, 152), (-50, 68)),
            (0.64, 0.0, 0.36, 1.0, (-46, 46), (-50, 68)),
        ),
        projector,
    )
    crank(side)
    line(side, [-8, 148], [0, 0], style=CENTER_LINE)
    line(side, [52, 88], [THROW, THROW], style=CENTER_LINE)
    for x in (0, 140):
        side.plot(
            [x + (2.5 if x == 0 else -2.5), x],
            [0, 0],
            color=INK,
            linewidth=4,
            solid_capstyle="butt",
            zorder=4,
        )
    name(side, "pin", (70, 45), (70, THROW + PIN / 2))
    name(side, "web", (30, 45), (50, 30))
    name(side, "web", (110, 45), (90, 30))
    name(side, "main", (22, -26), (22, -MAIN / 2))
    name(side, "main", (118, -26), (118, -MAIN / 2))
    name(side, "fillet", (70, -26), (EDGES[4] + 0.6, -MAIN / 2 - 0.8))
    name(side, "center hole", (4, 26), (1.5, 1.0), align="center")
    size(side, (63, 0), (63, THROW), "throw", (65, 4.5))
    size(side, (0, -38), (45, -38), "length of a main", (22.5, -43.5), align="center")
    size(side, (59, -38), (81, -38), "pin", (70, -43.5), align="center")
    name(side, "from the side", (70, 62), color=GRAY)
    box(end, -WIDE / 2, WIDE / 2, -REACH, THROW + REACH)
    disc(end, (0, 0), MAIN, PALE)
    disc(end, (0, THROW), PIN, "none", style=HIDDEN, width=1.2)
    disc(
        end,
        (0, 0),
        2 * np.hypot(THROW + REACH, WIDE / 2),
        "none",
        ink=GRAY,
        style=HIDDEN,
        width=1.0,
        order=1,
    )
    for height in (0, THROW):
        line(end, [-20, 20], [height, height], style=CENTER_LINE)
    line(end, [0, 0], [-20, 40], style=CENTER_LINE)
    size(
        end,
        (0, 0),
        np.hypot(THROW + REACH, WIDE / 2) * np.array([-np.sin(0.9), -np.cos(0.9)]),
        "swing radius",
        (0, -44),
        align="center",
    )
    name(end, "from the end", (0, 62), color=GRAY)
    name(end, "stroke = 2 × throw", (0, 47), color=BLUE)
    return figure


def centers_figure(projector=False):
    """A bar's end face with its centers, and the bar turning on the pin's pair of them.

    Parameters
    ----------
    projector : bool

    Returns
    -------
    Figure
    """
    figure, face, side = panes(
        9.0,
        4.2,
        (
            (0.0, 0.0, 0.40, 1.0, (-44, 44), (-46, 54)),
            (0.40, 0.0, 0.60, 1.0, (-46, 200), (-84, 84)),
        ),
        projector,
    )
    bar, low = 72.0, -9.0  # mm: its diameter; where the main axis stands below its middle
    disc(face, (0, 0), bar, PALE)
    area(
        face,
        [
            (-WIDE / 2, low - REACH),
            (WIDE / 2, low - REACH),
            (WIDE / 2, low + THROW + REACH),
            (-WIDE / 2, low + THROW + REACH),
        ],
        "none",
        ink=GRAY,
        width=1,
        style=HIDDEN,
    )
    for height, words, color in ((low, "main\ncenter", BLUE), (low + THROW, "pin\ncenter", RUST)):
        line(face, [-6, 6], [height, height], color, 1.4)
        line(face, [0, 0], [height - 6, height + 6], color, 1.4)
        disc(face, (0, height), 4, "none", ink=color, width=1.4, order=4)
        name(face, words, (-25, height), (-5, height), color)
    size(face, (20, low), (20, low + THROW), "throw", (22, 0))
    name(face, "end of the bar; the crank dashed in it", (0, 48), color=GRAY)
    name(face, "same two centers at both ends", (0, -43), color=GRAY)
    shift = -THROW - low  # the pin's centers stand on the line of centers
    box(side, 0, 140, shift - bar / 2, shift + bar / 2, PALE)
    side.fill(
        [EDGES[2], EDGES[3], EDGES[3], EDGES[2]],
        [-PIN / 2, -PIN / 2, PIN / 2, PIN / 2],
        facecolor=STEEL,
        edgecolor=INK,
        linestyle="--",
        zorder=3,
    )
    for tip, way in (((0, 0), -1), ((140, 0), 1)):
        center(side, tip, way)
    line(side, [-30, 170], [0, 0], RUST, 1.2, CENTER_LINE)
    line(side, [-12, 152], [-THROW, -THROW], BLUE, 1.0, CENTER_LINE)
    line(side, [0, 140], np.full(2, -shift + bar / 2), GRAY, 1, HIDDEN)
    name(side, "line of centers = axis of the pin", (70, 20), color=RUST)
    name(side, "main axis", (146, -THROW - 9), color=BLUE, align="left")
    name(
        side,
        "half a turn later the bar stands here: clear the carriage",
        (70, 60),
        (70, -shift + bar / 2),
        GRAY,
    )
    name(side, "turning the pin: the bar swings off its middle", (70, -70), color=GRAY)
    turning(side, (180, 0), 14, -60, 60)
    return figure


def _closed_crank(axes, lean):
    """A crank that its centers press, much exaggerated: its webs lean in by an angle [rad] and its mains tilt with them."""
    middle, half = (EDGES[2] + EDGES[3]) / 2, (EDGES[3] - EDGES[2]) / 2
    inner, outer, tip = (edge - middle for edge in EDGES[3:6])
    spin = np.array([[np.cos(lean), np.sin(lean)], [-np.sin(lean), np.cos(lean)]])
    pivot = np.array([half, THROW])
    lift = -((np.array([tip, 0.0]) - pivot) @ spin.T + pivot)[
        1
    ]  # the ends stay on the line of centers

    def moved(points, way):
        turned = (np.array(points, float) - pivot) @ spin.T + pivot + [0, lift]
        return turned * [way, 1] + [middle, 0]

    for way in (-1, 1):
        area(
            axes,
            moved(
                [(inner, -REACH), (outer, -REACH), (outer, THROW + REACH), (inner, THROW + REACH)],
                way,
            ),
        )
        area(axes, moved(rod(outer, tip, 0.0, MAIN, 1.5, True, False), way), PALE)
        end = moved([(tip, 0.0)], way)[0]
        line(axes, *moved([(outer - 8, 0), (tip + 12, 0)], way).T, BLUE, 1.2, CENTER_LINE)
        center(axes, tuple(end), way)
        arrow(axes, end + [48 * way, 0], end + [26 * way, 0], RUST)
    bow = np.linspace(-1, 1, 25)
    x, y = middle + bow * half, THROW + lift + lean * half / 2 * (1 - bow**2)
    area(
        axes,
        np.concatenate(
            [np.column_stack([x, y + PIN / 2]), np.column_stack([x, y - PIN / 2])[::-1]]
        ),
        PALE,
    )
    gap = moved([(inner, -REACH)], 1)[0]
    return 2 * middle - gap[0], gap[0], gap[1]


def closure_figure(projector=False):
    """What the tailstock's push does to a throw, much exaggerated, beside the free crank.

    Parameters
    ----------
    projector : bool

    Returns
    -------
    Figure
    """
    window = ((-54, 194), (-54, 64))
    figure, free, pressed = panes(
        9.0, 2.6, ((0.0, 0.0, 0.5, 1.0, *window), (0.5, 0.0, 0.5, 1.0, *window)), projector
    )
    crank(free)
    line(free, [-12, 152], [0, 0], BLUE, 1.2, CENTER_LINE)
    for tip, way in (((-2, 0), -1), ((142, 0), 1)):
        center(free, tip, way)
    size(free, (59, -22), (81, -22), "gap", (70, -29), align="center")
    name(free, "free: a C that stands open", (70, 56))
    left, right, low = _closed_crank(pressed, 0.13)
    line(pressed, [-30, 170], [0, 0], GRAY, 1.0, CENTER_LINE)
    size(
        pressed,
        (left, low - 7),
        (right, low - 7),
        "gap smaller",
        ((left + right) / 2, low - 15),
        align="center",
    )
    name(pressed, "thrust", (-40, 12), color=RUST)
    name(pressed, "pressed, much exaggerated: the C closes", (70, 56))
    name(pressed, "mains tilt, are cut so, run out when released", (70, -46), color=BLUE)
    return figure


def spacer_figure(projector=False):
    """A spacer in the gap of a throw, where it belongs, and how it is kept there.

    Parameters
    ----------
    projector : bool

    Returns
    -------
    Figure
    """
    figure, side, end = panes(
        9.0,
        3.6,
        (
            (0.0, 0.0, 0.66, 1.0, (-54, 194), (-58, 68)),
            (0.66, 0.0, 0.34, 1.0, (-60, 60), (-58, 68)),
        ),
        projector,
    )
    crank(side)
    box(side, EDGES[2], EDGES[3], -7, 7, HELD, ink=GREEN, width=2)
    for tip, way in (((0, 0), -1), ((140, 0), 1)):
        center(side, tip, way)
        arrow(side, (tip[0] + 48 * way, 0), (tip[0] + 26 * way, 0), RUST)
    line(side, [-26, 166], [0, 0], style=CENTER_LINE)
    for x in (64, 76):
        line(side, [x, x], [-8.5, THROW + PIN / 2 + 1.5], RUST, 2)
    name(side, "spacer, on the main axis", (70, -34), (70, -7), GREEN)
    name(
        side,
        "wire around spacer and pin:\nit must not leave a turning crank",
        (70, 58),
        (76, 28),
        RUST,
    )
    name(side, "thrust", (-40, 12), color=RUST)
    name(side, "bears on the faces, clear of the fillets", (70, -50), color=GRAY)
    box(end, -WIDE / 2, WIDE / 2, -REACH, THROW + REACH)
    disc(end, (0, THROW), PIN, PALE, hatch=CUT)
    disc(end, (0, 0), 14, HELD, ink=GREEN, width=2, hatch=CUT)
    turn = np.linspace(0, np.pi, 30)
    wire = np.concatenate(
        [
            np.column_stack([-8.5 * np.cos(turn), -8.5 * np.sin(turn)]),
            np.column_stack([10.5 * np.cos(turn), THROW + 10.5 * np.sin(turn)]),
        ]
    )
    line(end, *np.concatenate([wire, wire[:1]]).T, RUST, 2, order=4)
    name(end, "pin", (40, THROW), (9, THROW))
    name(end, "spacer", (42, -8), (7, -2), GREEN)
    name(end, "cut through the gap", (0, 58), color=GRAY)
    return figure


def _force_lines(field, shares):
    """Lines through a solved shaft in tension, each with a fixed share of the pull inside it.

    shares: Of the radius, where the stress is even. Gives the outline and (x, radius) of each line,
    the large part to the left.
    """
    nodes = field.nodes.m_as("mm")
    outline = nodes[field.surface]
    stress = LinearTriInterpolator(Triangulation(*nodes.T, field.triangles), field.axial)
    x = np.linspace(max(outline[0, 0] + 0.01, -28), 26, 240)
    lines = []
    for place in x:
        face = outline[:, 0].searchsorted(place, "right")
        (before, low), (after, high) = outline[face - 1], outline[face]
        top = low + (high - low) * (place - before) / (after - before) if after > before else low
        radius = np.linspace(0, top, 400)
        pull = np.ma.filled(stress(np.full(400, place), radius), 0.0) * radius
        inside = np.r_[0, np.cumsum(pull[1:] + pull[:-1])]
        lines.append(np.interp(shares**2, np.maximum.accumulate(inside / inside[-1]), radius))
    return outline * [-1, 1], -x, np.transpose(lines)


def fillet_figure(projector=False):
    """Lines of force through a shoulder: crowded at a sharp corner, eased by a fillet."""
    window = ((-30, 32), (-27, 34))
    figure, *three = panes(
        9.0, 3.1, tuple((number / 3, 0.0, 1 / 3, 1.0, *window) for number in range(3)), projector
    )
    large, small, end = 20.0, 11.0, 28
    for axes, radius, words in zip(
        three, (0.22, 1.5, 6.0), ("sharp corner", "small fillet", "generous fillet"), strict=True
    ):
        sizes = (Quantity(one, "mm") for one in (2 * large, 2 * small, radius))
        field = solve_fillet("tension", *sizes, "fine")
        outline, x, lines = _force_lines(field, np.linspace(0.2, 0.9, 5))
        upper = outline[outline[:, 0] > -26]
        upper = np.array([(end, small), *upper[upper[:, 0] < end], (-26, large)])
        area(axes, np.concatenate([upper, upper[::-1] * [1, -1]]), PALE)
        for radii in lines:
            for side in (-1, 1):
                line(axes, np.r_[end, x], side * np.r_[radii[0], radii], BLUE, 1.0)
        for side in (-1, 1):
            place = (0.3 * radius, side * (small + 0.3 * radius))
            disc(axes, place, 7 - 0.7 * radius, "none", ink=RUST, width=2.2, order=5)
        name(axes, f"{words}, R {radius:g} mm", (1, 29))
        name(axes, f"peak {field.kt:.1f} times", (14, 17), color=RUST)
        arrow(axes, (-25.5, 0), (-29.5, 0), RUST)
        arrow(axes, (end - 0.5, 0), (end + 3.5, 0), RUST)
    name(three[0], "pulled at both ends", (1, -24.5), color=RUST)
    name(three[2], "same pull between lines", (1, -24.5), color=BLUE)
    return figure


def balance_figure(projector=False):
    """A crank with its two balance planes, what pulls outward and what is set against it.

    Parameters
    ----------
    projector : bool

    Returns
    -------
    Figure
    """
    figure, side, end = panes(
        9.0,
        4.6,
        (
            (0.0, 0.0, 0.62, 1.0, (-14, 154), (-62, 76)),
            (0.62, 0.0, 0.38, 1.0, (-51, 51), (-62, 76)),
        ),
        projector,
    )
    crank(side)
    line(side, [-8, 148], [0, 0], style=CENTER_LINE)
    for left, right, plane in ((EDGES[1], EDGES[2], "I"), (EDGES[3], EDGES[4], "II")):
        x = (left + right) / 2
        box(side, left, right, -REACH - 16, -REACH, HELD, ink=GREEN, width=2)
        line(side, [x, x], [-44, 58], BLUE, 1.2, HIDDEN)
        name(side, f"plane {plane}", (x, 64), color=BLUE)
        arrow(side, (x, -REACH - 16), (x, -44), GREEN)
    arrow(side, (70, THROW + PIN / 2), (70, 54), RUST)
    name(side, "pull of pin, rod end and webs", (70, 72), color=RUST)
    name(side, "counterweights, one in each plane", (70, -54), color=GREEN)
    swing = np.hypot(THROW + REACH, WIDE / 2)
    sector = np.radians(np.linspace(-150, -30, 40))
    area(
        end,
        [
            *np.column_stack([swing * np.cos(sector), swing * np.sin(sector)]),
            (WIDE / 2, -6),
            (-WIDE / 2, -6),
        ],
        HELD,
        ink=GREEN,
        width=2,
    )
    box(end, -WIDE / 2, WIDE / 2, -REACH, THROW + REACH)
    disc(end, (0, 0), MAIN, PALE)
    disc(end, (0, THROW), PIN, "none", style=HIDDEN, width=1.2)
    arrow(end, (0, THROW), (0, 60), RUST)
    arrow(end, (0, -20), (0, -54), GREEN)
    turning(end, (0, 0), 46, 20, 60)
    name(end, "from the end", (0, 70), color=GRAY)
    return figure


DRAWINGS = {
    "parts-of-a-crank": (
        parts_figure,
        "A one-throw crank from the side and from its end. Named: two mains, two webs, the pin between them, a fillet, a center hole. "
        "The throw is the distance between the main axis and the pin's axis; the stroke is twice the throw; the swing radius reaches to"
        " the web's farthest corner.",
    ),
    "offset-centers": (
        centers_figure,
        "Left, the end face of a round bar: the main center and the pin center lie one throw apart, the crank dashed inside the bar. "
        "Right, the bar between lathe centers that stand in its pin centers: it swings off its middle, and half a turn later its far "
        "side stands well above the line of centers.",
    ),
    "closing-c": (
        closure_figure,
        "Left, a free crank between centers with an open gap. Right, much exaggerated: thrust from both centers closes the gap, the "
        "webs lean toward each other and both mains tilt.",
    ),
    "spacer-in-place": (
        spacer_figure,
        "A round spacer fills the gap between the webs on the main axis and takes the thrust. A wire around spacer and pin keeps it "
        "from leaving the turning crank.",
    ),
    "stress-riser": (
        fillet_figure,
        "Lines of force through a shaft of 40 mm stepped to 22 mm, pulled at both ends, as solved. At a corner of R 0.22 mm they crowd "
        "together and the stress peaks at 5.4 times the even one of the small part; R 1.5 mm eases it to 2.5 times, R 6 mm to 1.6.",
    ),
    "dial-on-centers": (
        measuring_drawings.on_centers_figure,
        "A crank between bench centers with a dial indicator on a main. One turn by hand: the largest less the smallest reading is the "
        "runout; the axis is off by half of it.",
    ),
    "dial-on-vee-blocks": (
        measuring_drawings.on_vee_blocks_figure,
        "Left, a crank whose mains rest in two vee blocks, a dial over a main. Right, a shaft with three high places in a vee of 90 "
        "degrees and in one of 60: the dial reads the lobes twice over through the first and three times over through the second.",
    ),
    "throw-over-a-pin": (
        measuring_drawings.throw_figure,
        "A crank in vee blocks on a plate, its pin once up and once down, a height gauge over the pin both times. Half the difference "
        "of the two heights is the throw; the pin's diameter drops out.",
    ),
    "balance-planes": (
        balance_figure,
        "A crank from the side with two balance planes through its webs. Pin, rod end and webs pull outward in the middle; "
        "counterweights in both planes pull the other way.",
    ),
    "wide-and-relieved-tool": (
        partial(tool_drawing.wide_tools_figure, 6.0, 0.6, 22.0),
        "A tool 6 mm wide plunged into a pin 22 mm long: left with its full edge in the cut, right relieved in the middle so that two "
        "edges of 0.6 mm cut.",
    ),
    "tool-angles": (
        partial(tool_drawing.angles_figure, 10.0, 8.0, 12.0, 8.0),
        "A right-hand turning tool in three views with side relief 10 degrees, end relief 8, side rake 12 and back rake 8 degrees.",
    ),
    "web-facing-tool": (
        partial(tool_drawing.web_facing_figure, 8.0, 8.0, 8.0 * np.tan(np.radians(8.0))),
        "A side-cutting tool against a web's face, from the front and from above: side relief of 8 degrees keeps the flank 1.1 mm clear"
        " of the web 8 mm below the edge, and only the tip cuts.",
    ),
    "cutting-forces": (
        partial(tool_drawing.forces_figure, 1000.0, 500.0, 250.0),
        "A turning tool from above and from the tailstock end with the three parts of a force, by the rule of thumb: 1000 N cutting "
        "force along the speed, 500 N feed force along the feed, 250 N passive force square to the finished surface.",
    ),
    "interrupted-cut": (
        partial(tool_drawing.interrupted_figure, 28.0, 14.0, 32.0, 24.0, 0.2, 20.0),
        "Left, a web that comes down on the tool once a turn and is in metal for a fifth of it. Right, three ways a face tool's edge "
        "can meet it: level, tip first, back first.",
    ),
}
