"""The stepped shaft under load: its shaded or fringed section, its outline, and the chart of Kt
beside it.
"""

from functools import cache

import numpy as np
from matplotlib.ticker import FixedLocator, NullFormatter, NullLocator

from ..scene import BLUE, Curve, Shading, blank, shades

PARTS = 4  # a nine-node cell is drawn as so many by so many
MOST = 3.0  # stress over nominal at the dark end of the shading
FRINGE = 0.25  # stress over nominal per fringe
AROUND, ALONG = 1.2, (-1.1, 1.3)  # window of the picture, in small diameters


@cache
def _parts():
    """Shape functions of a nine-node cell at the corners of its parts, and the parts as triangles."""
    place = np.linspace(-1, 1, PARTS + 1)
    line = np.stack([place * (place - 1) / 2, 1 - place**2, place * (place + 1) / 2], axis=1)
    shape = np.einsum("pi,qj->pqij", line, line).reshape(-1, 9)
    corner = np.arange((PARTS + 1) * PARTS).reshape(PARTS, PARTS + 1)[:, :-1].ravel()
    quads = np.stack([corner, corner + 1, corner + PARTS + 2, corner + PARTS + 1], axis=1)
    return shape, quads[:, [[0, 1, 2], [0, 2, 3]]].reshape(-1, 3)


def section(field, small_diameter, fringes):
    """Moving items of the section: the field on both sides of the axis, and the outline.

    small_diameter [mm]: Lengths are drawn in small diameters.
    fringes: As a polariscope shows it; otherwise shaded light to dark.
    """
    nodes = field.nodes.magnitude / small_diameter
    shape, parts = _parts()
    points = shape @ nodes[field.elements]
    value = (
        shape
        @ (field.principal_difference if fringes else field.surface_stress)[field.elements][
            ..., None
        ]
    )
    triangles = (parts + np.arange(len(points))[:, None, None] * len(shape)).reshape(-1, 3)
    x, y = points.reshape(-1, 2).T
    outline = nodes[field.surface]
    return [
        Shading(x, y, value.ravel(), triangles, 0.0, MOST, FRINGE if fringes else 0.0),
        Curve(outline[:, 0], outline[:, 1], "#222222", 1.5),
        Curve(outline[:, 0], -outline[:, 1], "#222222", 1.5),
        Curve(np.array(ALONG), np.zeros(2), "#1f5fa8", 1, "14 4 3 4"),
    ]


def stress_paper(projector=False):
    """Paper of the lesson: the window on the shoulder, its scale, and the chart of Kt against r/d."""
    figure, window, scale, chart = blank(
        projector,
        9.0,
        4.3,
        ((0.01, 0.04, 0.43, 0.92), (0.46, 0.10, 0.018, 0.70), (0.62, 0.15, 0.365, 0.80)),
    )
    window.set(xlim=ALONG, ylim=(-AROUND, AROUND), aspect="equal", xticks=[], yticks=[])
    window.set_anchor("W")
    window.spines[:].set_visible(False)
    scale.imshow(shades()[:, None], aspect="auto", origin="lower", extent=(0, 1, 0, MOST))
    scale.set(xticks=[], yticks=[0, 1, 2, 3])
    scale.yaxis.tick_right()
    scale.set_yticklabels(["0", "1", "2", "3 +"])
    scale.set_title(
        "Stress /\nnominal",
        fontsize=scale.xaxis.label.get_size() * 0.9,
        loc="left",
        pad=scale.xaxis.label.get_size(),
    )
    chart.set(
        xlim=(0.01, 1),
        ylim=(1, 8),
        xscale="log",
        yscale="log",
        xlabel="Fillet radius / small diameter, r/d",
        ylabel="Stress concentration factor Kt",
    )
    for axis, ticks in (
        (chart.xaxis, [0.01, 0.03, 0.1, 0.3, 1]),
        (chart.yaxis, [1, 1.5, 2, 3, 4, 6, 8]),
    ):
        axis.set_major_locator(FixedLocator(ticks))
        axis.set_minor_locator(NullLocator())
        axis.set_minor_formatter(NullFormatter())
        axis.set_major_formatter(lambda tick, _: f"{tick:g}")
    chart.grid(color="#dddddd")
    if projector:
        chart.tick_params(axis="x", pad=9)  # larger type: the corner's two numbers would touch
    return figure


def kt_curve(relative_radius, kt, color=BLUE, dash="", width=2.5):
    """One curve of the chart; numbers that are not finite are left out.

    relative_radius, kt [no unit]
    """
    known = np.isfinite(kt)
    return Curve(relative_radius[known], kt[known], color, width, dash, axes=2)
