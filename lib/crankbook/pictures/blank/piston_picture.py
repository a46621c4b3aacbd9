"""A crank turning: its two views with rods and pistons, the charts of piston travel and of what a
throw error does to it.
"""

import numpy as np

from ..crank_drawing import CENTER_LINE, INK, circle, end_view, placed, shape, side_view
from ..scene import BLUE, GRAY, GREEN, PURPLE, RUST, Curve, Note, Point, blank

COLORS, DASHES = (
    (BLUE, RUST, GREEN, PURPLE),
    ("", "9 4", "3 3"),
)  # a throw's color, and its dash from the fifth on
END, SIDE = (
    (240.0, 600.0),
    (660.0, 250.0),
)  # room of the two views, hundredths of an inch at desk size
MAIN, MIDDLE = (120.0, 125.0), (330.0, 122.0)  # main axis in the end view, middle of the side view
LONGEST_ROD = 6.0  # throws: a longer one leaves the picture


def piston_paper(unit, widest, projector=False):
    """Paper of the lesson: end view with piston, side view, chart of travel, chart of the piston's
    error.

    unit: Of the error, "mm" or "thou".
    widest: Largest error drawn either way, in that unit.
    """
    places = (
        (0.0, 0.0, END[0] / 900, 1.0),
        (END[0] / 900, 0.58, SIDE[0] / 900, SIDE[1] / 600),
        (0.355, 0.11, 0.27, 0.39),
        (0.73, 0.11, 0.255, 0.39),
    )
    figure, end, side, travel, error = blank(projector, 9.0, 6.0, places)
    for one, place, room in ((end, places[0], END), (side, places[1], SIDE)):
        one.set_position(
            place
        )  # without the room that larger type asks for: both views keep one scale
        one.set(xlim=(0, room[0]), ylim=(0, room[1]), xticks=[], yticks=[])
        one.spines[:].set_visible(False)
        one.patch.set_alpha(0)
    for chart in (travel, error):
        chart.set(xlim=(0, 360), xticks=(0, 90, 180, 270, 360), xlabel="Crank turned by [°]")
        chart.grid(color="#dddddd")
    travel.set(ylim=(0, 118), yticks=(0, 25, 50, 75, 100), ylabel="Piston has come [% of stroke]")
    error.set(ylim=(-widest, widest), ylabel=f"Piston 1 too far out by [{unit}]")
    error.axhline(0, color="#999999", linewidth=0.8)
    travel.annotate(
        "dashed: throw 1 on an endless rod",
        (0.5, 1),
        (0, 6),
        xycoords="axes fraction",
        textcoords="offset points",
        ha="center",
        fontsize=travel.xaxis.label.get_size() * 0.85,
        color="#444444",
    )
    return figure


def scale_of(part):
    """Hundredths of an inch of paper per millimeter of a crank, so that both views stay on the
    paper at any angle and rod.
    """
    swing = np.hypot(*part.corners.reshape(-1, 2).T).max()
    throw = part.throws["radius"].max()
    height = MAIN[1] - 10
    return min(
        height / swing,
        (END[1] - MAIN[1] - 10) / max(swing, (2 + LONGEST_ROD) * throw),
        (END[0] / 2 - 6) / swing,
        (SIDE[1] / 2 - 8) / swing,
        (SIDE[0] - 30) / part.length,
    )


def crank_and_pistons(crank, turn, heights, sizes):
    """Both views of a crank turned by an angle, its rods and pistons on the cylinder's line.

    turn [rad]: Counterclockwise as seen from the right.
    heights [mm]: Of each piston's pin above the main axis.
    sizes: Words below the end view.
    """
    still = shape(crank)
    part, scale = still.turned(turn), scale_of(still)
    throw, drawn = still.throws["radius"].max(), end_view(part, axes=0)
    drawn += [
        circle((0, 0), 2 * radius, 0, GRAY, 1, "2 4")
        for radius in sorted(set(part.throws["radius"]))
    ]
    wide, high = 0.9 * throw, 0.55 * throw
    for number in reversed(range(len(heights))):
        color, dash = COLORS[number % 4], DASHES[number // 4 % 3]
        (x, y), pin = part.places[number], heights[number]
        box = np.array([[-wide, -high], [wide, -high], [wide, high], [-wide, high], [-wide, -high]])
        drawn += [
            Curve(np.array([x, 0.0]), np.array([y, pin]), color, 4, dash, axes=0),
            Curve(box[:, 0], pin + box[:, 1], color, 2, dash, axes=0),
            circle((0, pin), 0.3 * throw, 0, color, 2, fill="#ffffff"),
        ]
    top = (END[1] - MAIN[1]) / scale
    drawn.append(
        Curve(np.zeros(2), np.array([-MAIN[1] / scale, top]), GRAY, 1, CENTER_LINE, axes=0)
    )
    drawn += side_view(part, axes=1)
    moved = placed(drawn, scale, MAIN, (MIDDLE[0] - scale * still.length / 2, MIDDLE[1]))
    return [*moved, Note(6, 2, sizes, INK, "start", 0)]


def travel_chart(angles, shares, harmonic, turn, now):
    """Curves of the chart of travel, in percent of the longest stroke, with the present place of
    each
    piston.

    angles [deg]
    shares [percent]
    harmonic [percent]: Of piston 1 on an endless rod.
    turn [deg]
    now [percent]
    """
    drawn = [
        Curve(angles, harmonic, GRAY, 1.5, "4 4", axes=2),
        Curve(np.full(2, turn), np.array([0.0, 118.0]), GRAY, 1, axes=2),
    ]
    told = {}
    for number in reversed(range(len(shares))):  # the first on top
        share = shares[number]
        color, dash = COLORS[number % 4], DASHES[number // 4 % 3]
        drawn += [
            Curve(angles, share, color, 2.5, dash, axes=2),
            Point(turn, now[number], color, axes=2),
        ]
        told.setdefault(round(float(angles[share.argmax()]) % 360), []).insert(0, number)
    for peak, numbers in told.items():
        words = ", ".join(str(number + 1) for number in numbers)
        place = peak if 40 <= peak <= 320 else 4 if peak < 40 else 356
        anchor = "middle" if place == peak else "start" if place == 4 else "end"
        drawn.append(
            Note(
                place,
                shares[numbers[0]].max(),
                words if len(shares) > 3 else f"throw {words}",
                COLORS[numbers[0] % 4],
                anchor,
                2,
            )
        )
    return drawn
