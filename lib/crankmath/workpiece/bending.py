"""Stress that a cut leaves in the work between its centers, and how deep a roughing pass may be."""

from functools import partial
from math import pi

import numpy as np

AROUND = np.linspace(0.0, 2 * pi, 24, endpoint=False)  # directions from which the tool pushes


def stress_under(placed, cuts):
    """Function of the last cut's forces, (cutting, passive) [N] to stress [MPa], with all the cuts
    made; None where it is no main or pin.
    """
    radii = {}
    for cut in cuts:
        kind, _, number = cut.place.partition(" ")
        at = ("pin" if kind == "pin" else "journal", int(number) - 1)
        if kind != "web":
            radii[at] = cut.radius
    return None if kind == "web" else partial(cut_stress, placed, radii, at)


def cut_stress(placed, radii, at, cutting, passive):
    """Largest nominal stress [MPa] in mains, pins and webs while a tool cuts one of them.

    ``placed`` is the crank in its bar, ``radii`` those of mains and pins as they are, ``at`` the
    (kind, index) cut, cutting and passive the forces [N] along and square to the surface. A web
    counts where main and pin on both its sides are turned; all else is still thick.
    Basis: statics between two centers that hold no moment, the torque taken at the headstock end;
    bending and torsion of rounds and rectangles (textbook), added after von Mises; the feed force
    is left out. The tool pushes from everywhere around, at both ends and the middle of its cut.
    """
    axis, (x_left, x_right) = placed.axis(*at), placed.faced
    begin, end = placed.span(*at)
    x_cut = np.array([begin, (begin + end) / 2, end])
    zero = np.zeros_like(AROUND)
    out, along = (
        np.stack(one, -1)
        for one in (
            (zero, np.cos(AROUND), np.sin(AROUND)),
            (zero, -np.sin(AROUND), np.cos(AROUND)),
        )
    )
    push = np.broadcast_to(cutting * along - passive * out, (3, *out.shape))
    tool = np.array([0.0, *axis]) + radii[at] * out + x_cut[:, None, None] * [1.0, 0.0, 0.0]
    held = -((x_cut - x_left) / (x_right - x_left))[:, None, None] * push
    center = np.array([x_right, *axis])

    def moments(x, middle):
        """Of all forces on the tailstock's side of a section, about its middle: x, y, z."""
        about = np.array([x, *middle])
        beyond = (x_cut >= x - 1e-9)[:, None, None]
        found = np.cross(center - about, held) + beyond * np.cross(tool - about, push)
        return np.moveaxis(found, -1, 0)

    worst = 0.0
    for (kind, index), radius in radii.items():
        places = placed.span(kind, index)
        for x in x_cut if (kind, index) == at else places:
            torque, *bending = moments(x, placed.axis(kind, index))
            cube = pi * (2 * radius) ** 3
            worst = max(worst, _largest(32 * np.hypot(*bending) / cube, 16 * torque / cube))
    for index, x0, x1 in _free_webs(placed, radii):
        _, _, width = placed.webs[index]
        thick, (u, v) = x1 - x0, placed.directions[index]
        for middle in (placed.main, placed.pins[index]):
            torque, y, z = moments((x0 + x1) / 2, middle)
            flat = np.abs(z * u - y * v) * 6 / (width * thick**2) + np.abs(torque) * 6 / (
                thick * width**2
            )
            narrow, wide = sorted((thick, width))
            twist = (y * u + z * v) * (3 + 1.8 * narrow / wide) / (wide * narrow**2)
            worst = max(worst, _largest(flat, twist))
    return worst


def _free_webs(placed, radii):
    """Webs with a turned main or pin on both sides: (throw, x0, x1)."""
    pieces = placed.segments
    for (one, first, *_), (kind, index, x0, x1), (other, second, *_) in zip(
        pieces, pieces[1:], pieces[2:], strict=False
    ):
        if kind == "web" and (one, first) in radii and (other, second) in radii:
            yield index, x0, x1


def _largest(normal, shear):
    return float(np.sqrt(normal**2 + 3 * shear**2).max())
