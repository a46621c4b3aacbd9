"""A crank pressed between centers and let go again, drawn from its computed motions many times
enlarged; the chart of runout beside it.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from crankmath.language import _

from ..marks import arrow, dial, ruler
from ..scene import (
    BLUE,
    FINER,
    GRAY,
    GREEN,
    PALE,
    RUST,
    Curve,
    Grip,
    Note,
    Point,
    blank,
    full_scale,
)

ENLARGED = 500  # motions over sizes, at most
FARTHEST = 0.05  # of the window's width: how far the largest motion is drawn
ALONG = 12  # points along an edge
SQUEEZED, RELEASED = 0.22, -0.255  # heights of the two views' middles in the window
HIGHEST = 0.36  # of a view
DIAL, LOWEST = 0.05, -0.505  # radius of the dial, its lowest middle in the window


def _outline(x, low, high):
    """Closed outline of a piece from its lower and upper edges."""
    return np.concatenate([x[0], x[1][::-1]]), np.concatenate([low, high[::-1]])


def _places(crank):
    """Points of the axis whose motions draw a crank [mm], and where each piece's points begin."""
    points, starts = [], [0]
    for number, piece in enumerate(segments := crank.segments):
        if piece.kind == "web":
            inner = piece.start if segments[number - 1].kind == "pin" else piece.end
            toward = -1e-6 if inner == piece.start else 1e-6
            points.append(np.array([piece.middle, inner + toward]))
        else:
            points.append(np.linspace(piece.start + 1e-6, piece.end - 1e-6, ALONG))
        starts.append(starts[-1] + len(points[-1]))
    return np.concatenate(points), starts


def crank_pieces(crank, moved, starts):
    """Outlines of a plain crank's pieces seen across the plane of angle zero.

    - ``moved`` [mm and rad]: Motions of the axis at ``_places``, already enlarged; zeros draw the
      free shape.

    Returns a list of (x, y) [mm].
    """
    pieces = []
    for piece, first, last in zip(crank.segments, starts, starts[1:], strict=False):
        here = moved[first:last]
        if piece.kind == "web":
            pieces.append(_web(piece, crank.throws[piece.index], *here))
            continue
        radius, middle = piece.diameter / 2, here[:, 1] + piece.axis[0]
        x = np.linspace(piece.start, piece.end, ALONG) + here[:, 0]
        pieces.append(_outline((x, x), middle - radius, middle + radius))
    return pieces


@lru_cache(maxsize=16)
def _free_pieces(plain):
    """Outlines of a crank's pieces, pressed by nothing."""
    points, starts = _places(plain)
    return crank_pieces(plain, np.zeros((len(points), 6)), starts)


def _web(piece, throw, at_main, at_pin):
    """A web: straight beyond its two axes, bent between them as its ends turn."""
    arm, angle, reach = throw.radius, throw.angle, throw.web_reach
    side = 1 if np.cos(angle) >= 0 else -1
    tilt = [m[4] * np.sin(angle) - m[5] * np.cos(angle) for m in (at_main, at_pin)]
    out = np.linspace(-reach, arm + reach, 2 * ALONG)
    share = np.clip(out / arm, 0, 1)
    bent = (
        (2 * share**3 - 3 * share**2 + 1) * at_main[0]
        + (3 * share**2 - 2 * share**3) * at_pin[0]
        + arm * ((share**3 - 2 * share**2 + share) * tilt[0] + (share**3 - share**2) * tilt[1])
    )
    bent += np.where(out < 0, out * tilt[0], 0) + np.where(out > arm, (out - arm) * tilt[1], 0)
    rise = at_main[1] + (at_pin[1] - at_main[1]) * share
    height = np.where(
        out < 0,
        side * out,
        np.where(out > arm, arm * np.cos(angle) + side * (out - arm), share * arm * np.cos(angle)),
    )
    return _outline((piece.start + bent, piece.end + bent), height + rise, height + rise)


@dataclass(frozen=True)
class _View:
    """Where a view of the crank stands: its scale [mm], and the window's place of the main axis."""

    scale: float
    left: float
    axis: float

    def place(self, x, y):
        return self.left + np.asarray(x) / self.scale, self.axis + np.asarray(y) / self.scale

    def curve(self, x, y, *looks):
        return Curve(*self.place(x, y), *looks)


def _views(crank):
    """The squeezed view and the released one: one scale, whole in the window."""
    reach = [
        (sign * throw.web_reach + share * throw.radius * np.cos(throw.angle))
        for throw in crank.plain.throws
        for sign in (-1, 1)
        for share in (0, 1)
    ]
    low, high, length = min(reach), max(reach), crank.plain.length
    scale = max(length, (high - low) / HIGHEST)
    left = 0.5 - length / scale / 2
    return [_View(scale, left, at - (low + high) / 2 / scale) for at in (SQUEEZED, RELEASED)]


def squeezed_items(crank, result, spacers, thrust, loads, reading, share, color):
    """Moving items of both views: squeezed between its centers, and released under a dial.

    The free shape is gray, the squeezed one blue, spacers green. Released, the mains that were cut
    true stand as far off the other way.

    - ``thrust``, ``loads``, ``reading``: In words: the thrust, what each spacer bears, the largest
      runout.
    - ``share``, ``color``: Of its full turn, what the dial's hand shows.
    """
    points, starts = _places(crank)
    motion = result.motion(points)
    above, below = _views(crank)
    most = float(np.abs(motion[:, :2]).max()) / above.scale
    enlarged = 1 / full_scale(max(most / FARTHEST, 1 / ENLARGED), "motions")
    moved, free = motion * enlarged, _free_pieces(crank.plain)
    back = -moved * [0, 1, 1, 0, 1, 1]  # along the axis the work springs back as it was
    items = []
    bent, back = (crank_pieces(crank.plain, shape, starts) for shape in (moved, back))
    for pieces, looks in ((bent, (BLUE, 1.2, "", PALE[BLUE])), (free, (GRAY, 1, "4 3"))):
        items += [above.curve(*piece, *looks) for piece in pieces]
    for spacer, force, words in zip(
        spacers, np.atleast_1d(result.spacer_force.magnitude), loads, strict=True
    ):
        items += _spacer_items(crank, result, spacer, force > 0, words, enlarged, above)
    items += _center_items(crank, above, thrust)
    for pieces, looks, mains in (
        (free, (GRAY, 1.2, "", "#eeeeee"), False),
        (back, (RUST, 1.2, "", "#f3ddd5"), True),
    ):
        items += [
            below.curve(*outline, *looks)
            for outline, piece in zip(pieces, crank.segments, strict=True)
            if (piece.kind == "journal") is mains
        ]
    items += _center_items(crank, below, "")
    items += _dial_items(crank, result, enlarged, below, reading, share, color)
    return [
        *items,
        Note(
            1.11,
            0.43,
            _("motions {times} times enlarged").format(times=f"{enlarged:,.0f}"),
            GRAY,
            "end",
        ),
    ]


def _spacer_items(crank, result, spacer, bears, words, enlarged, view):
    """A spacer in its gap with what it bears; a loose one stands away from the right web."""
    pin = crank.plain.pins[spacer.throw]
    ends = result.motion(np.array([pin.start - 1e-3, pin.end + 1e-3])) * enlarged
    left, right = np.array([pin.start, pin.end]) + ends[:, 0]
    right = right if bears else left + (right - left) * 0.9
    radius, middle = spacer.diameter.m_as("mm") / 2, ends[:, 1].mean()
    x, y = np.array([left, right, right, left]), middle + np.array([-1, -1, 1, 1]) * radius
    at = view.place((left + right) / 2, middle - radius)
    return [
        view.curve(x, y, GREEN, 2, "", PALE[GREEN]),
        Note(at[0], at[1] - 0.065, words, GREEN if bears else RUST, "middle"),
    ]


def _center_items(crank, view, thrust):
    """Both centers in their holes, and where the work is pressed an arrow at each."""
    items, length = [], crank.plain.length
    for end, out in ((0.0, -1), (length, 1)):
        x, y = view.place(end, 0.0)
        cone = x + out * np.array([-0.015, 0.03, 0.06, 0.06, 0.03])
        items.append(
            Curve(cone, y + np.array([0, 0.026, 0.026, -0.026, -0.026]), GRAY, 1, "", "#bbbbbb")
        )
        if thrust:
            items += arrow((x + out * 0.115, y), (x + out * 0.065, y), RUST, head=0.02)
    if thrust:
        items.append(Note(x + 0.12, y + 0.035, thrust, RUST, "end"))
    return items


def _dial_items(crank, result, enlarged, view, reading, share, color):
    """A dial under the main's end that runs out most; it stands still as its plunger moves."""
    ends = [
        (place, piece)
        for piece in crank.segments
        if piece.kind == "journal"
        for place in (piece.start + 1e-6, piece.end - 1e-6)
    ]
    away = -result.motion(np.array([place for place, _piece in ends]))[:, 1:3]
    worst = int(np.argmax(np.hypot(*away.T)))
    place, piece = ends[worst]
    inward = 1 if place < piece.middle else -1
    x, free = view.place(place + inward * min(0.1 * piece.length, 3.0), -piece.diameter / 2)
    foot = free + enlarged * away[worst, 0] / view.scale
    middle = max(free - FARTHEST - DIAL - 0.01, LOWEST)
    hand = np.pi * (0.75 - 1.5 * min(share, 1.0))
    return [
        *dial(foot, (x, middle), DIAL, hand, color),
        Note(x, middle - DIAL - 0.06, reading, color, "middle"),  # below: webs hang at both sides
    ]


def runout_items(misfits, runouts, misfit, runout, allowed, most, unit, words, per_unit):
    """Moving items of the chart: runout over misfit, what is allowed, and where the knobs stand.

    - ``misfits``, ``runouts``, ``misfit``, ``runout``, ``allowed`` [unit]
    - ``most``: What the chart has to hold.
    - ``words``: What stands at the line of what is allowed.
    - ``per_unit``: The chart's unit in that of the slider.
    """
    widest, full = misfits[-1], full_scale(most, "runout", FINER)
    level = runouts[0] == runouts[-1] == runout
    beneath = level and 1 < runout / allowed < 1.5  # words stay clear of a level line
    ends = np.array([-widest, widest])
    return [
        *ruler(full, unit, -0.97 * widest, 1),
        Curve(misfits, runouts / full, BLUE, axes=1),
        Curve(ends, np.full(2, allowed / full), GREEN, 2, "10 5", axes=1),
        Note(widest * 0.98, allowed / full * (0.45 if beneath else 1), words, GREEN, "end", axes=1),
        Point(misfit, runout / full, BLUE, 1, (Grip("misfit", "x", per_unit),)),
    ], full


def squeeze_paper(unit, widest, projector=False):
    """Paper of the lesson: a window for the crank, and the chart of runout against misfit.

    - ``unit``: Label of the misfit, "µm" or "thou".
    - ``widest``: Largest misfit either way, in that unit.
    """
    figure, window, chart = blank(
        projector, 9.0, 4.5, ((0.0, 0.0, 0.57, 1.0), (0.63, 0.14, 0.355, 0.81))
    )
    window.set(xlim=(-0.12, 1.12), ylim=(-0.622, 0.482), xticks=[], yticks=[])
    window.spines[:].set_visible(False)
    size = window.xaxis.label.get_size() * 0.9
    for height, words in (
        (0.43, _("squeezed: so it is cut")),
        (-0.035, _("released, under a dial")),
    ):
        window.annotate(words, (-0.11, height), fontsize=size, color="#333333")
    chart.set(
        xlim=(-widest, widest),
        ylim=(0, 1.06),
        yticks=[0, 0.25, 0.5, 0.75, 1],
        yticklabels=["0", "", "", "", ""],
        xlabel=_("Spacer misfit, − short, + long [{unit}]").format(unit=unit),
        ylabel=_("Runout of the mains, TIR"),
    )
    chart.axvline(0, color="#999999", linewidth=0.8)
    chart.grid(color="#dddddd")
    return figure
