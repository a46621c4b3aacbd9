"""A crank turning: it, its rods and pistons in space, the charts of piston travel and of what a
throw error does to it.
"""

import numpy as np

from crankmath.language import _

from ..scene import BLUE, GRAY, GREEN, PURPLE, RUST, Curve, Grip, Note, Point, blank
from ..space import Body, Prism, Space, box_corners, circle, pale, prisms

COLORS, DASHES = (
    (BLUE, RUST, GREEN, PURPLE),
    ("", "9 4", "3 3"),
)  # a throw's color, and its dash from the fifth on
LONGEST_ROD = 6.0  # throws: a longer one leaves the picture
WIDE, HIGH = 0.9, 1.1  # throws: radius and height of a piston
CYLINDER = "#8a8f96"


def piston_paper(unit, widest, projector=False):
    """Paper of the lesson: room for the view in space, chart of travel, chart of the piston's
    error.

    - ``unit``: Of the error, "mm" or "thou".
    - ``widest``: Largest error drawn either way, in that unit.
    """
    places = ((0.0, 0.0, 0.5, 1.0), (0.6, 0.6, 0.37, 0.33), (0.6, 0.11, 0.37, 0.33))
    figure, view, travel, error = blank(projector, 9.0, 5.4, places)
    view.set_position(places[0])
    view.set(xticks=[], yticks=[])
    view.spines[:].set_visible(False)
    view.patch.set_alpha(0)
    for chart in (travel, error):
        chart.set(xlim=(0, 360), xticks=(0, 90, 180, 270, 360))
        chart.grid(color="#dddddd")
    error.set_xlabel(_("Crank turned by [°]"))
    travel.set_xticklabels([])
    travel.set(
        ylim=(0, 118), yticks=(0, 25, 50, 75, 100), ylabel=_("Piston has come\n[% of stroke]")
    )
    error.set(
        ylim=(-widest, widest), ylabel=_("Piston 1 too far\nout by [{unit}]").format(unit=unit)
    )
    error.axhline(0, color="#999999", linewidth=0.8)
    travel.annotate(
        _("dashed: throw 1 on an endless rod"),
        (0.5, 1),
        (0, 6),
        xycoords="axes fraction",
        textcoords="offset points",
        ha="center",
        fontsize=travel.xaxis.label.get_size() * 0.85,
        color="#444444",
    )
    return figure


def rod_ring(length, big, small):
    """Outlines of a rod's two eyes and of its shank, from the big eye toward y."""
    shank = np.array([(0.0, -0.55 * big), (length, -0.8 * small), (length, 0.8 * small),
                      (0.0, 0.55 * big)])  # fmt: skip
    return circle((0.0, 0.0), big), shank, circle((length, 0.0), small)


def crank_in_space(work, pins, throws, rod, turns, heights, said):
    """The crank with its rods and pistons, moved by the control ``turn`` over a whole turn.

    - ``work``: The finished crank as pieces, its main axis the origin, throw 1 up at no turn.
    - ``pins``: (least x, most x, radius) of each pin.
    - ``throws``: Radius and direction (y, z) of each throw.
    - ``rod``: Length of the rods.
    - ``turns`` [rad]: Even steps over the turn; heights: of each piston's pin at them, one row a
      piston.
    """
    shaft = np.column_stack([turns, 0 * turns, 0 * turns])
    bodies, clear, longest = (
        [Body(prisms(work.pieces), moves=shaft)],
        [],
        max(e for e, _unused in throws),
    )
    apart = np.diff([(low + high) / 2 for low, high, _unused in pins])
    wide = min([WIDE * longest, *(0.46 * apart)])
    high = HIGH * longest / 2
    for number, ((low, up, radius), (e, (u, v))) in enumerate(zip(pins, throws, strict=True)):
        y, z = (
            e * (np.cos(turns) * u - np.sin(turns) * v),
            e * (np.sin(turns) * u + np.cos(turns) * v),
        )
        height, middle, gap = heights[number], (low + up) / 2, 0.12 * (up - low)
        lean = np.arctan2(-z, height - y)
        rings = rod_ring(rod, 1.35 * radius, 0.3 * longest)
        rods = tuple(
            Prism(low + gap * thin, up - gap * thin, ring)
            for thin, ring in zip((1, 2.2, 2), rings, strict=True)
        )
        color = pale(COLORS[number % 4])
        bodies.append(Body(rods, color, moves=np.column_stack([lean, y, z])))
        around = circle((0.0, middle), wide)
        rising = np.column_stack([0 * turns, height, 0 * turns])
        bodies.append(Body((Prism(-high, high, around),), color, upright=True, moves=rising))
        walls = Prism(
            height.min() - high, height.max() + 1.15 * high, circle((0.0, middle), 1.04 * wide)
        )
        clear.append(Body((walls,), CYLINDER, 0.22, upright=True))
    swing = work.swing((0.0, 0.0))
    top = longest + min(rod, LONGEST_ROD * longest) + 1.2 * high
    reach = max(swing / 2, wide)  # the webs' corners are never up front and down at once
    holds = box_corners((work.x0, -swing, -reach), (work.x1, top, reach))
    return Space((*bodies, *clear), said, holds, driver="turn", over=(0.0, 360.0))


def travel_chart(angles, shares, harmonic, turn, now):
    """Curves of the chart of travel, in percent of the longest stroke, with the present place of
    each piston.

    - ``angles`` [deg]
    - ``shares`` [percent]
    - ``harmonic`` [percent]: Of piston 1 on an endless rod.
    - ``turn`` [deg]
    - ``now`` [percent]
    """
    drawn = [
        Curve(angles, harmonic, GRAY, 1.5, "4 4", axes=1),
        Curve(np.full(2, turn), np.array([0.0, 118.0]), GRAY, 1, axes=1),
    ]
    named = {}
    for number in reversed(range(len(shares))):  # the first on top
        share = shares[number]
        color, dash = COLORS[number % 4], DASHES[number // 4 % 3]
        drawn += [
            Curve(angles, share, color, 2.5, dash, axes=1),
            Point(turn, now[number], color, 1, (Grip("turn"),)),
        ]
        named.setdefault(round(float(angles[share.argmax()]) % 360), []).insert(0, number)
    for peak, numbers in named.items():
        words = ", ".join(str(number + 1) for number in numbers)
        place = peak if 40 <= peak <= 320 else 4 if peak < 40 else 356
        anchor = "middle" if place == peak else "start" if place == 4 else "end"
        drawn.append(
            Note(
                place,
                shares[numbers[0]].max() + 4,  # clear of the point's ring
                words if len(shares) > 3 else _("throw {words}").format(words=words),
                COLORS[numbers[0] % 4],
                anchor,
                1,
            )
        )
    return drawn
