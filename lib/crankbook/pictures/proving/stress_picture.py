"""The stepped shaft under load: its shaded or fringed section, its outline, and the chart of Kt
beside it.
"""

from functools import cache

import numpy as np
from matplotlib.ticker import FixedLocator, NullFormatter, NullLocator

from crankmath.language import _

from ..marks import arrow
from ..scene import BLUE, FINER, GREEN, RUST, Curve, Note, Shading, blank, full_scale, shades

PARTS = 4  # a nine-node cell is drawn as so many by so many
MOST = 3.0  # stress over nominal at the dark end of the shading
FRINGE = 0.25  # stress over nominal per fringe
AROUND, ENDS = 1.12, (-1.02, 1.25)  # half height and ends of what is shown, in small diameters
COVER = 1.2 * AROUND * np.array([-1, 1, 1, -1])  # what is solved beyond the ends is covered
BEYOND = ((-1.6, -1.6, ENDS[0], ENDS[0]), (ENDS[1], ENDS[1], 1.8, 1.8))
LENS, LENS_LEFT, LENS_FOOT = (
    3,
    0.66,
    0.34,
)  # axes of the lens; share of it before and below the corner
PLACES = (
    (0.005, 0.545, 0.395, 0.45),
    (0.405, 0.06, 0.018, 0.37),
    (0.585, 0.13, 0.40, 0.82),
    (0.085, 0.03, 0.28, 0.494),
)
LOADS = {"bending": _("bending moment"), "torsion": _("torque"), "tension": _("pull")}


@cache
def _parts():
    """Shape functions of a nine-node cell at the corners of its parts, and the parts as
    triangles."""
    place = np.linspace(-1, 1, PARTS + 1)
    line = np.stack([place * (place - 1) / 2, 1 - place**2, place * (place + 1) / 2], axis=1)
    shape = np.einsum("pi,qj->pqij", line, line).reshape(-1, 9)
    corner = np.arange((PARTS + 1) * PARTS).reshape(PARTS, PARTS + 1)[:, :-1].ravel()
    quads = np.stack([corner, corner + 1, corner + PARTS + 2, corner + PARTS + 1], axis=1)
    return shape, quads[:, [[0, 1, 2], [0, 2, 3]]].reshape(-1, 3)


def section(field, small_diameter, arc, kind, load, sizes):
    """Moving items of the section: the field on both sides of the axis, the outline, the load, the
    sizes, and the corner once more under a lens with its peak.

    - ``small_diameter`` [mm]: Lengths are drawn in small diameters.
    - ``arc``: Fillet radius over the small diameter.
    - ``kind``: "fringes", as a polariscope shows it; otherwise shaded light to dark.
    - ``sizes``: Small and large diameter and fillet radius as text.
    """
    nodes = field.nodes.magnitude / small_diameter
    shape, parts = _parts()
    points = shape @ nodes[field.elements]
    fringes = kind == "fringes"
    value = (
        shape
        @ (field.principal_difference if fringes else field.surface_stress)[field.elements][
            ..., None
        ]
    )
    triangles = (parts + np.arange(len(points))[:, None, None] * len(shape)).reshape(-1, 3)
    x, y = points.reshape(-1, 2).T
    outline = nodes[field.surface]
    side = full_scale(min(5 * arc, 1.5), "lens", FINER)  # more than that would show it smaller
    window = (-LENS_LEFT * side, 0.5 - LENS_FOOT * side, side)
    fringe = FRINGE if fringes else 0.0
    seen = np.clip(outline[:, 0], *ENDS), outline[:, 1]
    return [
        Shading(x, y, value.ravel(), triangles, 0.0, MOST, fringe, lens=(LENS, *window)),
        *(Curve(np.array(end), COVER, "white", 1, "", "white") for end in BEYOND),
        Curve(seen[0], seen[1], "#222222", 1.5),
        Curve(seen[0], -seen[1], "#222222", 1.5),
        Curve(np.array(ENDS), np.zeros(2), "#1f5fa8", 1, "14 4 3 4"),
        *_load_arrows(load),
        *_sizes(float(outline[:, 1].max()), sizes),
        *_under_lens(field, outline, window, arc, sizes[2]),
        *(_bands() if fringes else ()),
    ]


def _load_arrows(load):
    """The load at both ends: moments that turn them, a torque about the axis, or a pull."""
    drawn = []
    for end, way in ((ENDS[0], -1), (ENDS[1], 1)):
        if load == "tension":
            drawn += arrow((end + 0.06 * way, 0), (end + 0.4 * way, 0), RUST, head=0.09)
            continue
        around = np.linspace(-1.1, 1.1, 15)
        wide = 0.34 if load == "bending" else 0.16
        x, y = end + way * (wide * np.cos(around) - 0.02), 0.5 * np.sin(around)
        turn = 1 if load == "bending" or way > 0 else -1  # a torque turns the ends apart
        x, y = x[::turn], y[::turn]
        drawn += [
            Curve(x, y, RUST, 3),
            *arrow((x[-2], y[-2]), (x[-1] + x[-1] - x[-2], 2 * y[-1] - y[-2]), RUST, head=0.09),
        ]
    return [*drawn, Note(-1.5, -AROUND - 0.02, LOADS[load], RUST)]


def _sizes(half, sizes):
    """Both diameters, each across its part."""
    drawn = []
    for x, reach, words in ((-0.93, 0.5, sizes[0]), (0.3, min(half, AROUND), sizes[1])):
        for way in (-1, 1):
            drawn += arrow((x, 0), (x, way * reach), "#222222", head=0.045)
        drawn.append(Note(x + 0.06, 0.06, words, "#222222"))
    return drawn


def _under_lens(field, outline, window, arc, radius):
    """The corner's outline under the lens, its radius, and where the stress is greatest."""
    left, foot, side = window
    frame = np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]])
    whole = frame * side + (left, foot)
    near = np.clip((outline - (left, foot)) / side, -0.5, 1.5)
    angle = field.peak_angle.m_as("rad")
    stress = np.asarray(field.surface_stress)[field.surface]
    peak = (outline[int(np.argmax(stress))] - (left, foot)) / side
    middle = peak + arc / side * np.array([-np.sin(angle), np.cos(angle)])
    rim = middle + arc / side * np.array([np.sin(1.2), -np.cos(1.2)])
    return [
        *((Curve(whole[:, 0], whole[:, 1], GREEN, 1.5),) if side < 0.8 else ()),
        Curve(frame[:, 0], frame[:, 1], GREEN, 2, axes=LENS),
        Curve(near[:, 0], near[:, 1], "#222222", 2, axes=LENS),
        *arrow(middle, rim, "#222222", LENS, head=0.016),
        Note(middle[0], max(middle[1] + 0.06, peak[1] + 0.17), radius, "#222222", "middle", LENS),
        *arrow((peak[0] - 0.2, peak[1] + 0.1), peak, RUST, LENS, head=0.03),
        Note(
            0.03, peak[1] + 0.09, _("{kt:.2f} × nominal").format(kt=field.kt), RUST, "start", LENS
        ),
    ]


def _bands():
    """The scale as the bands of a polariscope, a dark one each ``FRINGE``."""
    across = np.array([0, 1, 1, 0])
    drawn = [Curve(across, np.array([0, 0, MOST, MOST]), "#ffffff", 0, "", "#ffffff", axes=1)]
    for dark in np.arange(0, MOST + FRINGE / 2, FRINGE):
        low, high = np.clip((dark - FRINGE / 4, dark + FRINGE / 4), 0, MOST)
        ends = np.array([low, low, high, high])
        drawn.append(Curve(across, ends, "#000000", 0, "", "#000000", axes=1))
    return drawn


def stress_paper(projector=False):
    """Paper of the lesson: the loaded shoulder, the corner under a lens, their scale, and the chart
    of Kt against r/d.
    """
    figure, window, scale, chart, lens = blank(projector, 9.0, 5.1, PLACES)
    for axes, place in ((window, PLACES[0]), (lens, PLACES[3])):
        axes.set_position(place)  # without the room that larger type asks for
    window.set(xlim=(-1.55, 1.75), ylim=(-AROUND, AROUND), xticks=[], yticks=[])
    lens.set(xlim=(0, 1), ylim=(0, 1), xticks=[], yticks=[])
    for axes in (window, lens):
        axes.spines[:].set_visible(False)
    size = scale.xaxis.label.get_size() * 0.9
    lens.annotate(_("corner, enlarged"), (0.03, 0.92), fontsize=size, color=GREEN)
    scale.imshow(shades()[:, None], aspect="auto", origin="lower", extent=(0, 1, 0, MOST))
    scale.set(xticks=[], yticks=[0, 1, 2, 3])
    scale.yaxis.tick_right()
    scale.set_yticklabels(["0", "1", "2", "3 +"])
    scale.set_title(
        _("Stress /\nnominal"),
        fontsize=size,
        loc="left",
        pad=scale.xaxis.label.get_size(),
    )
    chart.set(
        xlim=(0.01, 1),
        ylim=(1, 8),
        xscale="log",
        yscale="log",
        xlabel=_("Fillet radius / small diameter, r/d"),
        ylabel=_("Stress concentration factor Kt"),
    )
    for axis, ticks in (
        (chart.xaxis, [0.01, 0.03, 0.1, 0.3, 1]),
        (chart.yaxis, [1, 1.5, 2, 3, 4, 6, 8]),
    ):
        axis.set_major_locator(FixedLocator(ticks))
        axis.set_minor_locator(NullLocator())
        axis.set_minor_formatter(NullFormatter())
        axis.set_major_formatter(lambda tick, _unused: f"{tick:g}")
    chart.grid(color="#dddddd")
    if projector:
        chart.tick_params(axis="x", pad=9)  # larger type: the corner's two numbers would touch
    return figure


def kt_curve(relative_radius, kt, color=BLUE, dash="", width=2.5):
    """One curve of the chart; numbers that are not finite are left out."""
    known = np.isfinite(kt)
    return Curve(relative_radius[known], kt[known], color, width, dash, axes=2)
