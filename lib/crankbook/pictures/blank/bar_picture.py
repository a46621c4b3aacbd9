"""A bar around a crank with a flat cut off it, the stress locked in along its height, and the bow
the cut sets free: as a trial piece from the side, and over the depth of the cut.
"""

import numpy as np

from crankmath.blank.bar import section_axes
from crankmath.language import _

from ..crank_drawing import HIDDEN, INK, ROUND, WEB, circle, placed, shape
from ..marks import ruler
from ..scene import BLUE, GRAY, GREEN, PURPLE, RUST, Curve, Grip, Note, Point, blank, full_scale
from .center_picture import bar_outline

FACE = (350.0, 440.0)  # room of the end view, hundredths of an inch at desk size
MIDDLE, ROOM = (172.0, 222.0), 300.0  # middle of the bar, its largest side
MOST_STRESS = 600.0  # MPa either way
BAND, CUT = "#f3ded2", "#fbeee6"
STRESSES = {"mm": ("MPa", 500, 1.0), "in": ("kpsi", 75, 6.894757)}  # unit, tick, MPa a unit
LEAST = {"mm": 50.0, "in": 2.0}  # bow that the chart shows at least [um, thousandth]
TALL = 0.38  # of the trial piece's window, over its width
PIECE, BENT, MOST_ENLARGED = (0.66, 0.2), 0.09, 2000  # room of the piece, of its bow


def bar_paper(unit, deepest, projector=False):
    """Paper of the lesson: end view, stress over the height beside it, the trial piece from the
    side, chart of bow over the depth of the cut.

    - ``unit``, ``deepest``: Of the flat, and its largest depth drawn, in that unit.
    """
    places = (
        (0.0, 0.0, FACE[0] / 900, 1.0),
        (0.40, 0.0, 0.17, 1.0),
        (0.675, 0.15, 0.31, 0.46),
        (0.675, 0.74, 0.31, 0.24),
    )
    stress_unit, tick, size_of_unit = STRESSES[unit]
    figure, face, stress, chart, side = blank(projector, 9.0, 4.4, places)
    size = chart.xaxis.label.get_size() * 0.9
    for one, place, width in (
        (face, places[0], (0, FACE[0])),
        (stress, places[1], (-MOST_STRESS, MOST_STRESS)),
    ):
        one.set_position(
            place
        )  # one height for both: the stress stands beside its place in the bar
        one.set(xlim=width, ylim=(0, FACE[1]), xticks=[], yticks=[])
        one.spines[:].set_visible(False)
        one.patch.set_alpha(0)
    low, high = MIDDLE[1] - ROOM / 2, MIDDLE[1] + ROOM / 2
    for level in (-tick, 0, tick):
        at = level * size_of_unit
        stress.plot(
            [at, at],
            [low - 6, high + 6],
            color="#777777" if level == 0 else "#dddddd",
            linewidth=0.8,
        )
        stress.annotate(
            f"{level:+d}".replace("+0", "0").replace("-", "−"),
            (at, low - 8),
            ha="center",
            va="top",
            fontsize=size,
            color=INK,
        )
    stress.annotate(
        _("stress along\nthe bar [{stress_unit}]").format(stress_unit=stress_unit),
        (0, high + 26),
        ha="center",
        va="bottom",
        fontsize=size * 0.9,
        color=INK,
    )
    stress.annotate(
        _("− pressed   pulled +"),
        (0, high + 8),
        ha="center",
        va="bottom",
        fontsize=size * 0.9,
        color=INK,
    )
    side.set(xlim=(0, 1), ylim=(-TALL / 2, TALL / 2), xticks=[], yticks=[])
    side.spines[:].set_visible(False)
    chart.set(
        xlim=(0, deepest),
        ylim=(0, 1.06),
        yticks=[0, 0.25, 0.5, 0.75, 1],
        yticklabels=["0", "", "", "", ""],
        xlabel=_("Flat cut away [{unit}]").format(unit=unit),
        ylabel=_("Bow of the whole bar"),
    )
    chart.annotate(
        _("band: scatter of the stress"),
        (0.5, 1),
        (0, 1.1 * size),
        xycoords="axes fraction",
        textcoords="offset points",
        ha="center",
        fontsize=size,
        color=INK,
    )
    chart.grid(color="#dddddd")
    return figure


def _flat(bar, x, y, top):
    """Outline of what lies above a height of the section [mm]."""
    if bar.shape != "round":
        return np.array([x.min(), x.max(), x.max(), x.min(), x.min()]), np.array(
            [top, top, y.max(), y.max(), top]
        )
    start = np.arcsin(np.clip(top / y.max(), -1, 1))
    turn = np.linspace(start, np.pi - start, 73)
    return y.max() * np.append(np.cos(turn), np.cos(start)), y.max() * np.append(
        np.sin(turn), np.sin(start)
    )


def bar_items(crank, bar, bare, depth, words, guess=None):
    """The end view: bar, smallest circle or box around the webs, webs and mains, the flat cut off
    the top.

    - ``bar``, ``bare``: From the shelf, and the smallest without any allowance.
    - ``depth`` [mm]
    - ``words``: Below and above the view.
    - ``guess`` [mm]: A predicted diameter.
    """
    part, (x, y) = shape(crank), bar_outline(bar)
    scale, top = ROOM / max(np.ptp(x), np.ptp(y)), y.max() - depth
    axes, middle = (
        section_axes(bar.turn.m_as("rad")),
        np.array([bar.middle_x.m_as("mm"), bar.middle_y.m_as("mm")]),
    )
    drawn, cut = [Curve(x, y, INK, 2, fill="#ffffff")], []
    if depth > 0:
        cut = [_flat(bar, x, y, top)]
        drawn.append(Curve(*cut[0], CUT, 1, fill=CUT))
    for corners in part.corners:
        drawn.append(
            Curve(
                *((np.append(corners, corners[:1], axis=0) - middle) @ axes.T).T, INK, 1.4, fill=WEB
            )
        )
    for place, diameter in [
        ((0.0, 0.0), max(piece.diameter for piece in part.pieces[::4])),
        *zip(part.places, part.throws["pin_diameter"], strict=True),
    ]:
        drawn.append(
            circle((np.array(place) - middle) @ axes.T, diameter, 0, INK, 1.2, HIDDEN, ROUND)
        )
    drawn += [
        Curve(*bar_outline(bare), GREEN, 1.5, "4 4"),
        *(Curve(*outline, RUST, 2, "6 3") for outline in cut),
    ]
    if guess is not None:
        drawn.append(circle((0.0, 0.0), guess, 0, PURPLE, 2, "2 4"))
    moved = placed(drawn, scale, MIDDLE)
    moved += [
        Note(MIDDLE[0], 28, words[0], INK, "middle"),
        Note(MIDDLE[0], 4, words[1], GREEN, "middle"),
    ]
    if guess is not None:
        moved.append(Note(MIDDLE[0], FACE[1] - 24, _("dotted: your prediction"), PURPLE, "middle"))
    return moved


def stress_items(bar, height, profiles, depth):
    """Stress over the height of the bar, usual with its band; dashed where the metal is cut away.

    - ``height`` [mm]: From the bar's middle.
    - ``profiles`` [MPa]: Low, usual and high.
    - ``depth`` [mm]
    """
    low, usual, high = profiles
    x, y = bar_outline(bar)
    place, top = MIDDLE[1] + height * ROOM / max(np.ptp(x), np.ptp(y)), y.max() - depth
    left = height <= top + 1e-9
    drawn = [
        Curve(np.r_[low, high[::-1]], np.r_[place, place[::-1]], "#d9a58c", 0.5, fill=BAND, axes=1),
        Curve(usual[left], place[left], RUST, 2.5, axes=1),
    ]
    if (~left).any():
        gone = np.r_[np.flatnonzero(left)[-1:], np.flatnonzero(~left)]
        drawn.append(Curve(usual[gone], place[gone], GRAY, 1.5, "3 3", axes=1))
    return drawn


def bow_items(depths, bows, depth, bow, units):
    """Bow over the depth of the cut: usual, its band, and the present cut.

    - ``bows``: Low, usual and high, in um or thousandths.
    """
    full = full_scale(max(LEAST[units], *bows[2]), "bow chart")
    low, usual, high = (one / full for one in bows)
    return [
        *ruler(full, "µm" if units == "mm" else "thou", 0.02 * depths[-1], 2),
        Curve(
            np.r_[depths, depths[::-1]], np.r_[low, high[::-1]], "#d9a58c", 0.5, fill=BAND, axes=2
        ),
        Curve(depths, usual, BLUE, 2.5, axes=2),
        Point(depth, bow / full, BLUE, 2, (Grip("depth"),)),
    ]


def piece_items(bar, depth, bow):
    """The trial piece from the side: straight before the flat is cut off its top, and as it bows.

    - ``depth``, ``bow`` [mm]
    """
    length, height = bar.length.m_as("mm"), bar.height.m_as("mm")
    scale = min(PIECE[0] / length, PIECE[1] / height)
    enlarged = 1 / full_scale(max(bow * scale / BENT, 1 / MOST_ENLARGED), "bowed piece")
    along = np.linspace(-0.5, 0.5, 31)
    x, rise = 0.5 + along * length * scale, enlarged * bow * scale * (1 - 4 * along**2)
    foot = -0.085
    low, top, cut = foot + rise, foot + rise + (height - depth) * scale, foot + height * scale
    ends = x[[0, -1, -1, 0, 0]]
    return [
        Curve(ends, np.array([foot, foot, cut, cut, foot]), RUST, 1.2, "5 4", axes=3),
        Curve(np.r_[x, x[::-1]], np.r_[low, top[::-1]], INK, 1.6, fill="#e9edf2", axes=3),
        Note(
            0.5,
            -TALL / 2 + 0.005,
            _("bow {enlarged:,.0f} times enlarged").format(enlarged=enlarged),
            GRAY,
            "middle",
            3,
        ),
    ]
