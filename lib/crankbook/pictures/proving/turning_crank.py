"""A crank in service: its torque and the stress of its weakest section over the turn, and the
safety factors with their ranges.
"""

import numpy as np
from matplotlib.ticker import FixedLocator, NullFormatter, NullLocator

from crankmath.language import _, marked

from ..scene import BLUE, PURPLE, RUST, Curve, Note, Point, blank
from ..space import Body, Space, Trace, Word, hoop, prisms_by_piece, straight

PLACES = (
    (0.085, 0.58, 0.37, 0.39),
    (0.085, 0.11, 0.37, 0.39),
    (0.62, 0.11, 0.365, 0.44),
    (0.47, 0.6, 0.53, 0.4),
)
SAFE = ((1.0, "#c62828", _("under 1")), (1.5, "#e08a1e", _("to 1.5")), (3.0, "#e6cf3c", _("to 3")),
        (np.inf, "#2f6fb5", _("over 3")))  # fmt: skip

SAFETIES = (0.2, 20.0)
ROWS = (
    *(marked("pin fillet"), marked("main fillet"), marked("web")),
    *(marked("pin middle"), marked("main middle")),
)
TICKS = (0.2, 0.5, 1, 2, 5, 10, 20)


def turning_paper(torque_unit, torques, stress_unit, stresses, projector=False):
    """Paper of the lesson: torque over the turn, stress over the turn, a row of safety factors for
    each kind of section.
    """
    figure, torque, stress, safety, view = blank(projector, 9.0, 5.5, PLACES)
    view.set_position(PLACES[3])
    view.set(xticks=[], yticks=[])
    view.spines[:].set_visible(False)
    view.patch.set_alpha(0)
    for axes, limits in ((torque, torques), (stress, stresses)):
        axes.set(xlim=(0, 360), ylim=limits, xticks=np.arange(0, 361, 90))
        axes.grid(color="#dddddd")
        axes.axhline(0, color="#777777", linewidth=0.8)
    torque.set_xticklabels([])
    torque.set_ylabel(_("Torque [{torque_unit}]").format(torque_unit=torque_unit))
    stress.set(
        xlabel=_("Crank angle [deg]"),
        ylabel=_("Stress [{stress_unit}]").format(stress_unit=stress_unit),
    )
    safety.set(
        xlim=SAFETIES,
        ylim=(len(ROWS) - 0.5, -0.5),
        xscale="log",
        xlabel=_("Safety factor against a crack"),
        yticks=range(len(ROWS)),
    )
    safety.set_yticklabels([_(row).replace(" ", "\n") for row in ROWS])
    safety.axvspan(SAFETIES[0], 1, color="#f3ddd5", linewidth=0)
    safety.axvline(1, color=RUST, linewidth=1.5)
    for line in np.arange(0.5, len(ROWS) - 1):
        safety.axhline(line, color="#cccccc", linewidth=0.8)
    ticks = TICKS[::2] if projector else TICKS
    safety.xaxis.set_major_locator(FixedLocator(ticks))
    safety.xaxis.set_minor_locator(NullLocator())
    safety.xaxis.set_minor_formatter(NullFormatter())
    safety.xaxis.set_major_formatter(lambda tick, _unused: f"{tick:g}")
    size = safety.xaxis.label.get_size() * 0.85
    safety.annotate(
        _("may\ncrack"),
        (SAFETIES[0] * 1.12, len(ROWS) - 0.62),
        fontsize=size,
        color=RUST,
        va="bottom",
    )
    _legend(view, size)
    return figure


def _legend(view, size):
    """Colors of the corners in space, in words."""
    view.annotate(_("lowest safety:"), (0.0, 0.02), xycoords="axes fraction", fontsize=size)
    for number, (*_unused, words) in enumerate(SAFE):
        x = 0.27 + 0.187 * number
        view.annotate(words, (x + 0.035, 0.02), xycoords="axes fraction", fontsize=size)


def samples():
    """Moving items of the legend: the colors as they are in space."""
    x, y = 0.015 + 0.012 * np.array([-1, 1, 1, -1, -1]), 0.04 + 0.03 * np.array([-1, -1, 1, 1, -1])
    return [
        Curve(0.26 + 0.187 * number + x, y, "#222222", 1, "", color, 3, sample=True)
        for number, (_unused, color, _unused) in enumerate(SAFE)
    ]


def color_of(safety):
    """Color of a corner by the low end of its range."""
    return next((color for limit, color, _unused in SAFE if safety < limit), SAFE[-1][1])


def solids(pieces):
    """Pieces of a finished crank, each with its prisms."""
    return list(zip(pieces, prisms_by_piece(pieces), strict=True))


def crank_in_space(solids, corners, weakest, words):
    """The crank with its corners colored by the low end of their ranges.

    - ``solids``: Of the finished crank.
    - ``corners``: Low end by the place of the corner's wall along the axis.
    - ``weakest``: Place (x, y, z) of the weakest section, and its words.
    """
    bodies, rings = [], []
    for piece, solid in solids:
        if not piece.flares:
            bodies.append(Body(tuple(solid)))
            continue
        flare = piece.flares[-1]
        color = color_of(corners[round(flare.wall, 6)])
        bodies.append(Body(tuple(solid), color))
        around = hoop(flare.wall, flare[:2], flare.radius + flare.corner)
        rings.append(Trace(around, color, 3))
    x, y, z = weakest
    pieces = [piece for piece, _solid in solids]
    swing = max(one.section.reach((0.0, 0.0)) for one in pieces)
    # above the webs on the left too, which stand higher as the crank is seen
    top = 1.3 * swing + 0.25 * max(0.0, x - pieces[0].x1)
    pointer = Trace(straight((x, y, z), (x, top, z)), "#222222", 1.5)
    named = Word((x, top, z), words, "#222222")
    ends = pieces[0].x0, pieces[-1].x1
    holds = np.vstack([hoop(end, (0.0, 0.0), swing)[::4] for end in ends])
    holds = np.vstack([holds, (x, 1.25 * top, z)])
    said = _("Crank in space, its corners colored by safety; weakest is the {words}.").format(
        words=words
    )
    return Space(tuple(bodies), said, holds, (*rings, pointer), (named,), axes=3)


def safety_row(row, opinions):
    """A row of the safety chart: a range as a line, its value as a dot, its words above.

    - ``opinions``: the section's own, and of a fillet a second line for what print says.
    """
    drawn = []
    shifts, colors = ((0.0,), (BLUE,)) if len(opinions) == 1 else ((-0.22, 0.22), (BLUE, PURPLE))
    for shift, color, (words, value, low, high) in zip(shifts, colors, opinions, strict=True):
        ends, at = np.clip([low, high], *SAFETIES), float(np.clip(value, *SAFETIES))
        height = row + shift
        drawn += [
            Curve(ends, np.full(2, height), color, 3, axes=2),
            Point(at, height, color, axes=2),
        ]
        shown = (
            _("over {safeties:g}").format(safeties=SAFETIES[1])
            if value > SAFETIES[1]
            else f"{value:.2g}"
        )
        words = f"{words} {shown}" if words else shown
        beside = (ends[1] * 1.12, "start") if ends[1] < 4.5 else (max(ends[0], 0.4) / 1.12, "end")
        drawn.append(Note(float(beside[0]), height + 0.16, words, color, beside[1], axes=2))
    return drawn
