"""A crank pressed between centers, drawn from its computed motions many times enlarged; the chart
of runout beside it.
"""

import numpy as np

from ..scene import BLUE, GRAY, GREEN, Curve, Note, blank

ENLARGED = 500  # motions over sizes
ALONG = 12  # points along an edge


def _outline(x, low, high):
    """Closed outline of a piece from its lower and upper edges."""
    return np.r_[x[0], x[1][::-1]], np.r_[low, high[::-1]]


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
    """Outlines of a crank's pieces seen across the plane of angle zero.

    moved [mm and rad]: Motions of the axis at ``_places``, already enlarged; zeros draw the free
      shape.
    Returns list of (x, y) [mm]
    """
    pieces = []
    for piece, first, last in zip(crank.segments, starts, starts[1:], strict=False):
        here = moved[first:last]
        if piece.kind == "web":
            pieces.append(_web(piece, crank.plain.throws[piece.index], *here))
            continue
        radius, middle = piece.diameter / 2, here[:, 1] + piece.axis[0]
        x = np.linspace(piece.start, piece.end, ALONG) + here[:, 0]
        pieces.append(_outline((x, x), middle - radius, middle + radius))
    return pieces


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


def squeezed_items(crank, result, spacers, scale):
    """Moving items of the drawing: the free shape in gray, the squeezed one in blue, spacers in
    green.

    scale [mm]: Length drawn as one; the crank's length fills the window.
    """
    items = []
    points, starts = _places(crank)
    moved = result.motion(points) * ENLARGED
    for motion, looks in ((moved, (BLUE, 1.2, "", "#dfe9f5")), (0 * moved, (GRAY, 1, "4 3", ""))):
        items += [
            Curve(x / scale, y / scale, *looks) for x, y in crank_pieces(crank, motion, starts)
        ]
    for spacer, force in zip(spacers, np.atleast_1d(result.spacer_force.magnitude), strict=True):
        pin = crank.plain.pins[spacer.throw]
        x = np.array([pin.start, pin.end])
        ends = result.motion(np.array([pin.start - 1e-3, pin.end + 1e-3])) * ENLARGED
        left, right = x + ends[:, 0]
        if force <= 0:  # a loose spacer stands away from the right web
            right = left + (right - left) * 0.9
        radius, middle = spacer.diameter.m_as("mm") / 2, ends[:, 1].mean()
        items.append(
            Curve(
                np.array([left, right, right, left]) / scale,
                (middle + np.array([-1, -1, 1, 1]) * radius) / scale,
                GREEN,
                2,
                "",
                "#d8ead0",
            )
        )
        words = f"{force:.0f} N" if force > 0 else "loose"
        items.append(
            Note(
                (left + right) / 2 / scale,
                (middle - radius) / scale - 0.065,
                words,
                GREEN,
                "middle",
            )
        )
    return items


def squeeze_paper(unit, widest, most, projector=False):
    """Paper of the lesson: a window for the crank, and the chart of runout against misfit.

    unit: Label of misfit and runout, "µm" or "thou".
    widest, most: Largest misfit either way and largest runout drawn, in that unit.
    """
    figure, window, chart = blank(
        projector, 9.0, 4.3, ((0.0, 0.02, 0.52, 0.96), (0.62, 0.15, 0.365, 0.80))
    )
    window.set(xlim=(-0.04, 1.04), ylim=(-0.5, 0.5), xticks=[], yticks=[])
    window.spines[:].set_visible(False)
    window.plot(
        [-0.04, 1.04], [0, 0], color="#777777", linewidth=0.8, dashes=(12, 3, 3, 3), zorder=0
    )
    size = window.xaxis.label.get_size() * 0.9
    window.annotate(
        f"motions {ENLARGED} times enlarged",
        (0.5, -0.47),
        ha="center",
        fontsize=size,
        color="#333333",
    )
    chart.set(
        xlim=(-widest, widest),
        ylim=(0, most),
        xlabel=f"Spacer misfit, − short, + long [{unit}]",
        ylabel=f"Runout of the mains, TIR [{unit}]",
    )
    chart.axvline(0, color="#999999", linewidth=0.8)
    chart.grid(color="#dddddd")
    return figure
