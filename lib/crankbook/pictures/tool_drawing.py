"""Hand-ground tools and the interrupted cut, drawn: numbers in, figure out.

Views from the tailstock end have the tool at the left and the work turning counterclockwise, as on
a lathe whose operator stands at the front. Lengths are in one unit, whichever the caller has;
angles in degrees.
"""

import numpy as np

from crankmath.language import _

from .scene import BLUE, GRAY, GREEN, RUST, blank

STEEL, TOOL, PALE = "#dcdcdc", "#dfe9f5", "#f4f4f4"
EDGE = {"color": RUST, "linewidth": 4, "solid_capstyle": "round"}


def _pane(axes, x, y, title):
    """An empty window to scale with its title below."""
    axes.set(xlim=x, ylim=y, xticks=[], yticks=[], aspect="equal")
    axes.spines[:].set_visible(False)
    axes.set_title(title, fontsize=axes.xaxis.label.get_size(), y=-0.02, va="top")


def _area(axes, points, fill, ink=GRAY, **looks):
    """A closed outline."""
    x, y = np.array(points, float).T
    axes.fill(x, y, facecolor=fill, edgecolor=ink, linewidth=looks.pop("linewidth", 1.2), **looks)


def _label(axes, place, text, color=GRAY, at=None, align="center"):
    """A text, with a thin line to what it names where it stands apart."""
    size = axes.xaxis.label.get_size() * 0.9
    arrow = {"arrowstyle": "-", "color": color, "linewidth": 0.8, "shrinkA": 1, "shrinkB": 1}
    axes.annotate(
        text,
        at if at is not None else place,
        place,
        fontsize=size,
        color=color,
        ha=align,
        va="center",
        arrowprops=arrow if at is not None else None,
    )


def _arrow(axes, start, end, color, text="", place=None, align="center"):
    axes.annotate(
        "",
        end,
        start,
        arrowprops={
            "arrowstyle": "-|>",
            "color": color,
            "linewidth": 2,
            "shrinkA": 0,
            "shrinkB": 0,
        },
    )
    if text:
        _label(axes, place if place is not None else end, text, color, align=align)


def _angle(axes, vertex, first, last, radius, text, color=RUST, place=None, align="left"):
    """An angle between two directions [deg]: its arc, the line it is measured from, its text."""
    turn = np.radians(np.linspace(first, last, 30))
    vertex = np.array(vertex, float)
    axes.plot(
        vertex[0] + radius * np.cos(turn),
        vertex[1] + radius * np.sin(turn),
        color=color,
        linewidth=1.5,
    )
    for direction in (first, last):
        ray = np.radians(direction)
        axes.plot(
            vertex[0] + np.array([0, 1.25 * radius * np.cos(ray)]),
            vertex[1] + np.array([0, 1.25 * radius * np.sin(ray)]),
            color=color,
            linewidth=0.8,
            linestyle=(0, (4, 3)),
        )
    _label(axes, place, text, color, align=align)


def angles_figure(side_relief, end_relief, side_rake, back_rake, projector=False):
    """A right-hand turning tool in three views with the four angles that are ground on it.

    - ``side_relief``, ``end_relief``, ``side_rake``, ``back_rake`` [deg]
    """
    figure, top, front, side = blank(
        projector,
        9.0,
        3.6,
        ((0.0, 0.1, 0.3, 0.88), (0.3, 0.1, 0.35, 0.88), (0.65, 0.1, 0.35, 0.88)),
    )
    _pane(top, (-6, 10), (-14, 5), _("from above"))
    _area(top, [(0, -12), (8, -12), (8, -3), (3, 1.0), (1.2, 2.2), (0.4, 2.4), (0, 1.8)], TOOL)
    top.plot([0, 0, 0.4], [-3, 1.8, 2.4], **EDGE)
    _label(top, (-0.6, -0.5), _("edge"), RUST, align="right")
    _label(top, (4.5, 3.6), _("nose"), GRAY, at=(0.4, 2.4))
    _arrow(top, (-1.2, -7), (-5.4, -7), GREEN, _("feed"), (-3.3, -8.6))
    lean, fall = np.tan(np.radians(side_relief)), np.tan(np.radians(side_rake))
    _pane(front, (-5, 13), (-11, 7), _("cut across, seen from the front"))
    _area(front, [(0, 0), (8 * lean, -8), (8, -8), (8, -8 * fall)], TOOL, hatch="//")
    front.plot(0, 0, "o", color=RUST, markersize=7)
    _angle(
        front,
        (0, 0),
        -90,
        -90 + side_relief,
        7,
        _("side relief\n{side_relief:g}°").format(side_relief=side_relief),
        place=(-0.6, -6.2),
        align="right",
    )
    _angle(
        front,
        (0, 0),
        -side_rake,
        0,
        7,
        _("side rake {side_rake:g}°").format(side_rake=side_rake),
        place=(5.6, 1.6),
        align="left",
    )
    lean, fall = np.tan(np.radians(end_relief)), np.tan(np.radians(back_rake))
    _pane(side, (-13, 5), (-11, 7), _("from the tailstock end"))
    _area(side, [(0, 0), (-8 * lean, -8), (-12, -8), (-12, -12 * fall)], TOOL)
    side.plot(0, 0, "o", color=RUST, markersize=7)
    _angle(
        side,
        (0, 0),
        -90,
        -90 - end_relief,
        7,
        _("end relief\n{end_relief:g}°").format(end_relief=end_relief),
        place=(0.4, -6.2),
        align="left",
    )
    _angle(
        side,
        (0, 0),
        180,
        180 + back_rake,
        8.5,
        _("back rake {back_rake:g}°").format(back_rake=back_rake),
        place=(-5.2, 1.6),
        align="center",
    )
    return figure


def forces_figure(cutting, feed, passive, unit="N", projector=False):
    """The force of a turning tool on the work in its three parts, from above and from the tailstock
    end.

    - ``cutting``, ``feed``, ``passive`` [force]
    - ``unit``: Written behind the numbers.
    """
    figure, above, end = blank(
        projector, 9.0, 3.8, ((0.0, 0.08, 0.56, 0.9), (0.56, 0.08, 0.44, 0.9))
    )
    longest = max(cutting, feed, passive)
    _pane(above, (-15, 15), (-10, 8.5), _("forces on the work, from above"))
    _area(above, [(-14, -1.5), (-1, -1.5), (-1, 8), (-14, 8)], STEEL)
    _area(above, [(-1, 0.5), (14, 0.5), (14, 6), (-1, 6)], PALE)
    above.plot([-14, 14], [3.25, 3.25], color=GRAY, linewidth=0.8, dashes=(12, 3, 3, 3))
    _area(
        above,
        [(-1, -2.5), (-1, 0.1), (-0.6, 0.5), (0.2, 0.3), (4, -3), (4, -9.6), (-1, -9.6)],
        TOOL,
    )
    above.plot([-1, -1, -0.6], [-1.5, 0.1, 0.5], **EDGE)
    _label(above, (-9.5, 6.3), _("still to cut"), GRAY)
    _label(above, (10, 1.8), _("cut"), GRAY)
    tip = np.array([-1.0, -0.5])
    _arrow(
        above,
        tip,
        tip - [9 * feed / longest, 0],
        GREEN,
        _("feed force\n{feed:.0f} {unit}").format(feed=feed, unit=unit),
        (-2.0, -4.3),
        "right",
    )
    _arrow(
        above,
        tip,
        tip + [0, 9 * passive / longest],
        BLUE,
        _("passive force\n{passive:.0f} {unit}").format(passive=passive, unit=unit),
        (0.2, 4.6),
        "left",
    )
    _pane(end, (-11, 9), (-8, 10), _("on the work, from the tailstock end"))
    turn = np.linspace(0, 2 * np.pi, 100)
    end.fill(5 * np.cos(turn), 5 * np.sin(turn), facecolor=STEEL, edgecolor=GRAY)
    end.plot(0, 0, "+", color=GRAY, markersize=10)
    arc = np.radians(np.linspace(20, 80, 20))
    end.plot(6 * np.cos(arc), 6 * np.sin(arc), color=GRAY, linewidth=1.2)
    _arrow(end, *((6 * np.cos(one), 6 * np.sin(one)) for one in arc[-2:]), GRAY)
    _area(end, [(-5, 0), (-5.4, -3), (-11, -3), (-11, -0.5)], TOOL)
    _arrow(
        end,
        (-5, 0),
        (-5, 9 * cutting / longest),
        RUST,
        _("cutting force\n{cutting:.0f} {unit}").format(cutting=cutting, unit=unit),
        (-5.4, 6.5),
        "right",
    )
    _arrow(end, (-5, 0), (-5 + 9 * passive / longest, 0), BLUE, _("passive"), (-4.2, -1.5), "left")
    return figure


def wide_tools_figure(width, land, gap, unit="mm", projector=False):
    """A wide tool and one relieved in the middle, on a pin between its webs, from above.

    - ``width``: Of the whole edge.
    - ``land``: Of each of the two edges that are left.
    - ``gap``: Between the webs.
    - ``unit``: Of all three.
    """
    figure, *panes = blank(projector, 9.0, 3.6, ((0.0, 0.1, 0.5, 0.88), (0.5, 0.1, 0.5, 0.88)))
    high = 0.75 * gap
    for axes, edges, name in zip(
        panes,
        (
            ((-width / 2, width / 2),),
            ((-width / 2, -width / 2 + land), (width / 2 - land, width / 2)),
        ),
        (
            _("wide: one edge of {width:g} {unit}").format(width=width, unit=unit),
            _("relieved in the middle: two of {land:g} {unit}").format(land=land, unit=unit),
        ),
        strict=True,
    ):
        _pane(axes, (-1.1 * gap, 1.1 * gap), (-1.08 * high, 0.85 * gap), name)
        for side in (-1, 1):
            _area(
                axes,
                side
                * np.array(
                    [
                        (gap / 2, -0.45 * gap),
                        (0.95 * gap, -0.45 * gap),
                        (0.95 * gap, 0.8 * gap),
                        (gap / 2, 0.8 * gap),
                    ]
                )
                * [1, side],
                STEEL,
            )
        _area(
            axes, [(-gap / 2, 0), (gap / 2, 0), (gap / 2, 0.55 * gap), (-gap / 2, 0.55 * gap)], PALE
        )
        middle = 0.04 * gap if len(edges) > 1 else 0.0
        tip = [
            (-width / 2, 0),
            *(
                [
                    (edges[0][1], 0),
                    (edges[0][1] + middle, -middle),
                    (edges[1][0] - middle, -middle),
                    (edges[1][0], 0),
                ]
                if middle
                else []
            ),
            (width / 2, 0),
            (0.42 * width, -high),
            (-0.42 * width, -high),
        ]
        _area(axes, tip, TOOL)
        for begin, end in edges:
            axes.plot([begin, end], [0, 0], **EDGE)
        _label(axes, (0, 0.3 * gap), _("pin"), GRAY)
        _label(axes, (0.73 * gap, 0.25 * gap), _("web"), GRAY)
        _label(axes, (-0.73 * gap, 0.25 * gap), _("web"), GRAY)
    return figure


def web_facing_figure(side_relief, depth_below, gap, units="mm", projector=False):
    """A side-cutting tool against a web's face: from the front, along the shank, and from above.

    - ``side_relief`` [deg]
    - ``depth_below``: Height of the tool's flank below its edge.
    - ``gap``: Between flank and web at the tool's foot, in the same unit.
    - ``units``: Written behind the lengths.
    """
    figure, front, above = blank(
        projector, 9.0, 3.8, ((0.0, 0.1, 0.5, 0.88), (0.5, 0.1, 0.5, 0.88))
    )
    lean = np.tan(np.radians(side_relief))
    _pane(front, (-9, 13), (-10.5, 7), _("from the front, along the shank"))
    _area(front, [(-8.5, -9.5), (0, -9.5), (0, 5.5), (-8.5, 5.5)], STEEL)
    _area(front, [(0, 0), (8 * lean, -8), (6, -8), (6, -6 * np.tan(np.radians(12)))], TOOL)
    front.plot(0, 0, "o", color=RUST, markersize=7)
    _label(front, (-4.3, 3.6), _("web,\ncoming down"), GRAY)
    _arrow(front, (-4.3, 1.8), (-4.3, -2.1), GRAY)
    front.plot([0, 8 * lean], [-8.4, -8.4], color=RUST, linewidth=2)
    _label(
        front,
        (12.5, 4.6),
        _("gap {gap:.2g} {units} at the foot,\n{depth_below:g} {units} below the edge").format(
            gap=gap, units=units, depth_below=depth_below
        ),
        RUST,
        at=(4 * lean, -8.4),
        align="right",
    )
    _angle(
        front,
        (0, 0),
        -90,
        -90 + side_relief,
        6,
        _("side relief {side_relief:g}°").format(side_relief=side_relief),
        place=(-0.6, -6.8),
        align="right",
    )
    _pane(above, (-11, 11), (-10.5, 7), _("from above"))
    _area(above, [(-10, -4), (0, -4), (0, 6.5), (-10, 6.5)], STEEL)
    _area(above, [(0, 1.5), (10, 1.5), (10, 6.5), (0, 6.5)], PALE)
    _area(above, [(0, 0.6), (0.25, -4), (0.6, -10), (4.5, -10), (4.5, -2), (1.4, 0.2)], TOOL)
    above.plot([0, 0.05], [0.6, -0.9], **EDGE)
    _label(above, (-5, 4.5), _("web"), GRAY)
    _label(above, (5.5, 4.0), _("main or pin"), GRAY)
    _arrow(above, (8.2, -6.5), (8.2, -2.0), GREEN, _("fed in"), (8.2, -7.6))
    _label(above, (-5.2, -6.6), _("only the tip cuts:\nflank eased back 2°"), RUST, at=(0.1, -1.8))
    return figure


def interrupted_figure(web_width, near, far, tool_radius, share, front_angle, projector=False):
    """A web striking the tool once a turn, seen from the tailstock end, and which part of a face
    tool's edge it meets first.

    - ``web_width``, ``near``, ``far``, ``tool_radius``: Web's width, how far it reaches to either
      side of the main axis, and the tool's place, one unit.
    - ``share``: Of the turn in metal.
    - ``front_angle`` [deg]: Between the web's flat side and the tool's face as they meet.
    """
    figure, end, edges = blank(projector, 9.0, 4.2, ((0.0, 0.08, 0.5, 0.9), (0.5, 0.08, 0.5, 0.9)))
    half, swing = web_width / 2, np.hypot(far, web_width / 2)
    # a moment before the blow: the leading side comes down on the tool
    turn = np.pi - np.radians(front_angle) - 0.35
    along = np.array([np.cos(turn), np.sin(turn)])
    across = np.array([-along[1], along[0]])
    _pane(
        end, (-1.75 * swing, 1.15 * swing), (-1.3 * swing, 1.3 * swing), _("from the tailstock end")
    )
    web = [
        a * along + b * across
        for a, b in ((-near, -half), (far, -half), (far, half), (-near, half))
    ]
    _area(end, web, STEEL)
    circle = np.linspace(0, 2 * np.pi, 200)
    path = tool_radius * np.cos(circle), tool_radius * np.sin(circle)
    end.plot(*path, color=GRAY, linewidth=0.8, linestyle=(0, (4, 3)))
    lead = np.arcsin(half / tool_radius)
    struck = np.linspace(turn - lead, turn + lead, 50)
    end.plot(tool_radius * np.cos(struck), tool_radius * np.sin(struck), color=BLUE, linewidth=4)
    end.plot(0, 0, "+", color=GRAY, markersize=12)
    _area(
        end,
        [
            (-tool_radius, 0),
            (-tool_radius - 0.06 * swing, -0.3 * swing),
            (-1.7 * swing, -0.3 * swing),
            (-1.7 * swing, 0),
        ],
        TOOL,
    )
    arc = np.radians(np.linspace(-70, -20, 20))
    end.plot(1.12 * swing * np.cos(arc), 1.12 * swing * np.sin(arc), color=GRAY, linewidth=1.2)
    _arrow(end, *(1.12 * swing * np.array([np.cos(one), np.sin(one)]) for one in arc[-2:]), GRAY)
    words = _("in metal {share:.0f} % of a turn").format(share=100 * share)
    _label(end, (0.35 * swing, 1.12 * swing), words, BLUE)
    _pane(edges, (-6.5, 12.5), (-10, 8), _("face tool from the front: what is struck first"))
    rows = (
        (4.5, 0.0, _("level: all of the edge at once")),
        (-1.0, 8.0, _("rising to the tip: the tip first")),
        (-6.5, -8.0, _("falling to the tip: its back first")),
    )
    for height, rise, words in rows:
        tilt = np.tan(np.radians(rise))
        tip, back = height + 2.5 * tilt, height - 2.5 * tilt
        _area(edges, [(-5, tip), (0, back), (0, height - 2.2), (-5 + 0.3, height - 2.2)], TOOL)
        edges.plot([-5, 0], [tip, back], **EDGE)
        front = max(tip, back) + 0.35
        edges.plot([-6, 1], [front, front], color=BLUE, linewidth=2.5)
        first = [-5] if rise > 0 else [0] if rise < 0 else [-5, -2.5, 0]
        edges.plot(first, [front] * len(first), "v", color=BLUE, markersize=8)
        _label(edges, (1.6, height - 0.4), words, RUST if rise > 0 else GRAY, align="left")
    _label(edges, (-6.3, 6.6), _("web's side, coming down"), BLUE, align="left")
    return figure
