"""The pump's throw as solved in the solid, cut open and seen in space, colored by stress."""

from functools import cache
from pathlib import Path

import numpy as np
from matplotlib.cm import ScalarMappable
from matplotlib.collections import PolyCollection
from matplotlib.colors import ListedColormap, Normalize

from crankmath.language import _

from ..scene import BLUE, RUST, blank, shades
from ..space import sight
from ..space_still import LIGHT

STORED = Path(__file__).parents[2] / "data" / "solved_throw.npz"
FINE = 1.2  # mm, longest side of a drawn triangle
DARK = 0.75  # brightness of a face turned from the light


@cache
def _solved():
    """Corners (n, 3, 3) [mm] and stress [MPa for 1 kN] of the drawn triangles of a whole throw.

    The stored quarter, made by ``tests/solids/solved_throw.py``, and its twin beyond the pin's
    middle; its largest triangles are cut smaller, so that none hides a nearer one.
    """
    with np.load(STORED) as kept:
        points, faces, stress = kept["points"] / 100, kept["faces"], kept["stress"]
    corners = np.concatenate([points, stress[:, None].astype(float)], axis=1)[faces]
    longest = np.linalg.norm(corners[:, :, :3] - np.roll(corners[:, :, :3], 1, axis=1), axis=2)
    parts = np.ceil(longest.max(axis=1) / FINE).astype(int)
    cut = np.concatenate([_cut(corners[parts == count], count) for count in np.unique(parts)])
    whole = np.concatenate([cut, cut * (-1, 1, 1, 1)]) * (1, 1, -1, 1)  # open toward the eye
    return whole[:, :, :3], whole[:, :, 3].mean(axis=1)


def _cut(corners, count):
    """Triangles (n, 3, 4) cut into count by count."""
    found = []
    for i in range(count):
        for j in range(count - i):
            found.append(((i, j), (i + 1, j), (i, j + 1)))
            if i + j < count - 1:
                found.append(((i + 1, j), (i + 1, j + 1), (i, j + 1)))
    place = np.array(found) / count
    share = np.concatenate([place, 1 - place.sum(axis=2, keepdims=True)], axis=2)
    return np.einsum("pks,nsv->npkv", share, corners).reshape(-1, 3, corners.shape[2])


def solved_throw(force, shown, peaks, most, turned, tilted, units="mm"):
    """Figure of the throw under a force on its pin.

    - ``force`` [N]: along the pin, toward the mains' axis; ``shown`` is its text, half stands at
      each end.
    - ``peaks``: stress of the pin's and the main's fillet as text, written at its place; ``most``
      is where the colors end, in the unit.
    - ``turned``, ``tilted`` [deg]: about the upright, and toward the reader.
    """
    unit = "MPa" if units == "mm" else "kpsi"
    corners, stress = _solved()
    values = stress * force / 1e3 * (1.0 if unit == "MPa" else 0.145038)
    view = sight((-turned, tilted)).T
    seen = corners @ view
    normal = np.cross(seen[:, 1] - seen[:, 0], seen[:, 2] - seen[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-12)[:, None]
    order = np.argsort(seen[:, :, 2].mean(axis=1))
    bright = DARK + (1 - DARK) * np.abs(normal @ LIGHT)
    scale = Normalize(0, most, clip=True)
    colors = shades()[(255 * scale(values)).astype(int)] / 255 * bright[:, None]
    figure, window = blank(False, 7.0, 4.2, ((0.02, 0.02, 0.82, 0.96),))
    window.add_collection(
        PolyCollection(seen[order][:, :, :2], facecolors=colors[order], edgecolors="face", lw=0.3)
    )
    for text, at, reach, away in (
        (peaks[0], (-10.25, 8.8, 0.0), (-26.0, 3.0), "right"),
        (peaks[1], (25.25, 10.6, 0.0), (16.0, 15.0), "left"),
    ):
        spot = np.array(at) @ view
        window.annotate(
            text,
            spot[:2],
            spot[:2] + reach,
            ha=away,
            color=RUST,
            arrowprops={"arrowstyle": "->", "color": RUST, "lw": 1.5},
        )
    for at, length in (((0, 27, 0), 16), ((-47.5, -10, 0), -12), ((47.5, -10, 0), -12)):
        tip, end = (np.array(at) @ view)[:2], (np.array(at) + (0, length, 0)) @ view
        window.annotate(
            "", tip, end[:2], arrowprops={"arrowstyle": "-|>", "color": BLUE, "lw": 2.5}
        )
    window.annotate(shown, ((0, 44.5, 0) @ view)[:2], ha="center", color=BLUE)
    window.set(xlim=(-58, 56), ylim=(-34, 46), aspect="equal", xticks=[], yticks=[])
    window.spines[:].set_visible(False)
    bar = figure.colorbar(
        ScalarMappable(scale, ListedColormap(shades() / 255)),
        cax=figure.add_axes((0.86, 0.14, 0.025, 0.72)),
    )
    bar.set_label(_("Principal stress [{unit}]").format(unit=unit))
    return figure
