"""Tolerance zones of a hole and a shaft with the fit between them, and a ring's corner against the
fillet of its seat.
"""

import numpy as np

from crankmath.language import _

from ..scene import (
    BLUE,
    GRAY,
    GREEN,
    PALE,
    PURPLE,
    RUST,
    Curve,
    Note,
    Point,
    blank,
    full_scale,
    shared_scale,
)

COLUMNS = {"hole": 0.85, "shaft": 1.85, "fit": 2.85}
HALF = 0.22  # of a bar's width
BELOW = 0.13  # a text's height in the chart, which stands above its place
WEB, MAIN = (
    0.2,
    0.22,
)  # of the corner's window: the web's face from the left, the main's surface from below


def _bar(column, low, high, color, dash="", fill=True):
    x = COLUMNS[column] + np.array([-HALF, HALF, HALF, -HALF, -HALF])
    return Curve(
        x, np.array([low, low, high, high, low]), color, 2, dash, PALE[color] if fill else ""
    )


def zone_items(now, cold, unit, names):
    """Bars of hole, shaft and fit with their ends, the cold hole dashed where it has moved, and the
    marks of the scale.

    - ``now``, ``cold``: Upper and lower deviation of the hole, then of the shaft, as they are and
      at 20 degrees.
    - ``unit``: Of these numbers.
    - ``names``: Of the hole and of the shaft.
    """
    loosest, tightest = now[0] - now[3], now[1] - now[2]
    largest = max(*np.abs(now), *np.abs(cold), abs(loosest), abs(tightest))
    full = full_scale(1.15 * largest, "deviations")
    drawn = [
        Note(0.42, mark - 0.03, _signed(mark * full), GRAY, "end") for mark in (-1, -0.5, 0.5, 1)
    ]
    drawn.append(Note(0.42, -0.03, f"0 {unit}", GRAY, "end"))
    for column, color, (high, low), name in (
        ("hole", BLUE, now[:2], names[0]),
        ("shaft", RUST, now[2:], names[1]),
    ):
        drawn += [
            _bar(column, low / full, high / full, color),
            Note(COLUMNS[column], 1.16, name, color, "middle"),
            Note(COLUMNS[column], _over(high / full), _signed(high), color, "middle"),
            Note(COLUMNS[column], _under(low / full), _signed(low), color, "middle"),
        ]
    if not np.allclose(now[:2], cold[:2]):
        drawn.append(_bar("hole", cold[1] / full, cold[0] / full, GRAY, "5 4", fill=False))
    if loosest > 0:
        drawn.append(_bar("fit", max(tightest, 0.0) / full, loosest / full, GREEN))
    if tightest < 0:
        drawn.append(_bar("fit", tightest / full, min(loosest, 0.0) / full, PURPLE))
    for end, place in ((loosest, _over(loosest / full)), (tightest, _under(tightest / full))):
        word, color = (
            (_("clearance"), GREEN)
            if end > 0
            else (_("interference"), PURPLE)
            if end < 0
            else (_("touching"), GRAY)
        )
        drawn.append(Note(COLUMNS["fit"], place, f"{word} {_plain(abs(end))}", color, "middle"))
    return drawn, full


def corner_point(part, height, grip):
    """A corner of the hole's bar or the shaft's, to be dragged, clear of the words above."""
    color = BLUE if part == "hole" else RUST
    return Point(COLUMNS[part] + HALF, height, color, 0, (grip,))


def guess_items(interference, full):
    """A predicted interference, drawn across the fit's column.

    - ``interference``, ``full``: In the chart's unit: the guess, and the chart's half height.
    """
    height = -interference / full
    if abs(height) > 1.1:
        return []
    across = COLUMNS["fit"] + np.array([-0.45, 0.45])
    return [
        Curve(across, np.full(2, height), PURPLE, 2, "2 4"),
        Note(across[0] - 0.03, height - 0.03, _("your prediction"), PURPLE, "end"),
    ]


def _over(height):
    """Place of a text above a bar's end, clear of the zero line."""
    return 0.0 if -BELOW < height < 0 else height


def _under(height):
    """Place of a text below a bar's end, clear of the zero line."""
    return -BELOW if 0 < height < BELOW else height - BELOW


def _plain(value):
    return f"{round(value, 2):.3g}"


def _signed(value):
    value = round(value, 2)
    return f"{value:+.3g}".replace("-", "−") if value else "0"


def corner_items(seat, fillet, ring, texts):
    """The web, the seat and its fillet in section, and a ring pushed as far as its corner lets it.

    - ``seat``: "main" or "pin".
    - ``fillet`` [mm]
    - ``ring``: Corner [mm], its shape "round" or "chamfer", height of the ring [mm], how far it
      stands off the web [mm].
    - ``texts``: For the fillet, for the ring, for the gap.
    """
    scale = 0.36 / shared_scale(max(fillet, ring[0] if ring else 0.0, 0.2), "corner")
    arc, turn = fillet * scale, np.linspace(0, np.pi / 2, 25)
    x = np.r_[0, 0, WEB, WEB, WEB + arc - arc * np.cos(turn), 1, 1, 0]
    y = np.r_[0, 1, 1, MAIN + arc, MAIN + arc - arc * np.sin(turn), MAIN, 0, 0]
    drawn = [
        Curve(x, y, GRAY, 1.8, fill="#e4e4e4", axes=1),
        Note(WEB / 2, 0.9, _("web"), GRAY, "middle", 1),
        Note(0.75, 0.03, _(seat), GRAY, "middle", 1),
    ]
    if ring:
        corner, shape, high, gap = ring
        low, left, top = MAIN, WEB + gap * scale, min(MAIN + high * scale, 0.72)
        leg = min(corner * scale, top - low)
        bend = (
            (leg - leg * np.sin(turn), leg - leg * np.cos(turn))
            if shape == "round"
            else (np.array([leg, 0.0]), np.array([0.0, leg]))
        )
        color = RUST if gap > 0 else GREEN
        drawn.append(
            Curve(
                np.r_[1, left + bend[0], left, 1, 1],
                np.r_[low, low + bend[1], top, top, low],
                color,
                2,
                fill=PALE[color],
                axes=1,
            )
        )
        drawn.append(Note((left + 1) / 2, (low + top) / 2 + 0.02, texts[1], color, "middle", 1))
        if gap > 0:
            drawn += [
                Curve(np.array([WEB, left, left]), np.array([0.76, 0.76, top]), RUST, 2, axes=1),
                Note(WEB + 0.03, 0.77, texts[2], RUST, "start", 1),
            ]
    return [*drawn, Note(WEB + 0.03, 0.9, texts[0], GRAY, "start", 1)]


def fit_paper(projector=False):
    """Paper of the panel: a window for the zones, one for the corner."""
    figure, zones, corner = blank(
        projector, 9.0, 4.4, ((0.0, 0.02, 0.62, 0.96), (0.66, 0.10, 0.33, 0.80))
    )
    zones.set(xlim=(0, 3.4), ylim=(-1.2, 1.32), xticks=[], yticks=[])
    corner.set(xlim=(0, 1), ylim=(0, 1), xticks=[], yticks=[])
    for axes in (zones, corner):
        axes.spines[:].set_visible(False)
    zones.hlines((-1, -0.5, 0.5, 1), 0.45, 3.35, color="#dddddd", linewidth=0.8)
    zones.hlines(0, 0.45, 3.35, color="#555555", linewidth=1.2)
    size = zones.xaxis.label.get_size() * 0.9
    zones.annotate(_("from the nominal size"), (0.02, -1.18), fontsize=size, color=GRAY)
    zones.annotate(_("fit"), (COLUMNS["fit"], 1.2), fontsize=size, color=GRAY, ha="center")
    return figure
