"""Mass, center, inertia and unbalance of a crank, by exact integration of its parts."""

import warnings
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

import numpy as np

from ..checks import takes
from ..units import OutOfRangeWarning, Quantity
from . import steels
from .crank import Crank


@dataclass(frozen=True)
class MassProperties:
    """Mass, center and inertia. x runs along the axis from the left end, y at 0 deg, z at 90 deg.

    ``inertia`` is about the mass center, ``axis_inertia`` about the main axis. ``unbalance`` is
    mass times offset as a vector (y, z); ``couple_unbalance`` the sum of mass, offset and distance
    along x from the mass center.
    """

    mass: Quantity
    center: Quantity
    inertia: Quantity
    axis_inertia: Quantity
    unbalance: Quantity
    couple_unbalance: Quantity

    @property
    def unbalance_size(self):
        """Length of the unbalance vector [g*mm]."""
        return Quantity(float(np.hypot(*self.unbalance.m_as("g*mm"))), "g*mm")


@takes(crank=Crank, density="kg/m**3 > 0, one")
def mass_properties(crank, density=None, fillets=True):
    """Mass, mass center, inertia and unbalance of a crank, center holes and oil ways left out.

    Journals and pins are cylinders, webs blocks of thickness x width from ``web_reach`` beyond one
    axis to ``web_reach`` beyond the other, fillets rings of circular section; ``fillets`` says
    whether they count. ``density`` is by default that of the crank's steel.
    Basis: derived. Cylinder and block in closed form, the ring by Gauss's rule of 24 points on its
    smooth form. An ``OutOfRangeWarning`` says how much of a ring hangs over its web, at most: that
    is counted though it is cut away.
    """
    per_volume = _per_volume(crank, density)
    parts = _parts(crank, fillets)
    placed = [(part.volume, *part.turned()) for part in parts]
    volume = sum(size for size, _, _ in placed)
    center = sum(size * place for size, place, _ in placed) / volume
    about_origin = sum(own + size * _spread(place) for size, place, own in placed)
    about_center = about_origin - volume * _spread(center)
    mass = volume * per_volume
    if fillets:
        _warn_of_overhang(crank, volume)
    return MassProperties(
        Quantity(float(mass), "kg"),
        Quantity(center, "mm"),
        Quantity(about_center * per_volume, "kg*mm**2"),
        Quantity(float(about_origin[0, 0] * per_volume), "kg*mm**2"),
        Quantity(mass * center[1:] * 1000, "g*mm"),
        Quantity(-about_center[0, 1:] * per_volume * 1000, "g*mm**2"),
    )


@takes(crank=Crank, density="kg/m**3 > 0, one", gives="g*mm")
def throw_unbalance(crank, density=None, fillets=True):
    """Mass times radius of each throw: its two webs, its pin and, if fillets, the pin's fillets.

    It points at the pin and acts in the pin's middle. ``density`` is by default that of the steel.
    Basis: derived; journals lie on the axis and add nothing.
    """
    per_volume = _per_volume(crank, density) * 1000
    return np.array([per_volume * _throw_moment(throw, fillets) for throw in crank.plain.throws])


def _throw_moment(throw, fillets):
    """Volume times distance from the main axis of a throw's webs, pin and pin's fillets [mm^4]."""
    rings = 2 * _ring(throw.pin_diameter / 2, throw.fillet)[0] if fillets and throw.fillet else 0.0
    pin = np.pi / 4 * throw.pin_diameter**2 * throw.pin_length + rings
    webs = throw.web_thickness * throw.web_width * (throw.radius + 2 * throw.web_reach)
    return throw.radius * pin + webs * throw.radius


def _per_volume(crank, density):
    """Density [kg/mm^3]."""
    if density is None:
        density = steels.find(crank.steel).density.m_as("kg/m**3")
    return density * 1e-9


class _Part(NamedTuple):
    """Volume, center and own inertia of unit density in a throw's frame [mm], and its angle."""

    volume: float
    place: tuple
    own: np.ndarray
    turn: float

    def turned(self):
        """Center and inertia tensor in the crank's frame."""
        cos, sin = np.cos(self.turn), np.sin(self.turn)
        turn = np.array([[1, 0, 0], [0, cos, -sin], [0, sin, cos]])
        return turn @ np.array([*self.place, 0.0]), turn @ np.diag(self.own) @ turn.T


def _spread(vector):
    """Inertia tensor of a unit mass at a point."""
    return vector @ vector * np.eye(3) - np.outer(vector, vector)


def _parts(crank, fillets):
    """Webs, rounds and rings of fillets of a crank, each a ``_Part``."""
    throws, parts = crank.plain.throws, []
    for web in crank.plain.webs:
        parts.append(_web(web, throws[web.index]))
    for piece in crank.rounds:
        offset = float(np.hypot(*piece.axis))
        turn = throws[piece.index].angle if offset else 0.0
        half, volume = piece.diameter / 2, np.pi * (piece.diameter / 2) ** 2 * piece.length
        across = volume * (half**2 / 4 + piece.length**2 / 12)
        own = np.array([volume * half**2 / 2, across, across])
        parts.append(_Part(volume, (piece.middle, offset), own, turn))
        if fillets and piece.fillet > 0:
            volume, along, own = _ring(half, piece.fillet)
            parts += [
                _Part(volume, (face + way * along, offset), own, turn)
                for face, way in ((piece.start, 1), (piece.end, -1))
                if 0 < face < crank.plain.length
            ]
    return parts


def _web(piece, throw):
    wide, tall = throw.web_width, throw.radius + 2 * throw.web_reach
    volume = piece.length * wide * tall
    squares = [wide**2 + tall**2, piece.length**2 + wide**2, piece.length**2 + tall**2]
    own = volume / 12 * np.array(squares)
    return _Part(volume, (piece.middle, throw.radius / 2), own, throw.angle)


@cache
def _gauss():
    points, weights = np.polynomial.legendre.leggauss(24)
    return (points + 1) * np.pi / 4, weights * np.pi / 4


def _ring(half, arc):
    """Volume, distance from the web's face and own inertia of a fillet's ring about a round."""
    turn, weight = _gauss()
    along, weight = arc * (1 - np.cos(turn)), weight * arc * np.sin(turn)
    outer = half + arc * (1 - np.sin(turn))
    area, polar = np.pi * (outer**2 - half**2), np.pi / 2 * (outer**4 - half**4)
    volume = weight @ area
    center = weight @ (area * along) / volume
    around, across = weight @ polar, weight @ (polar / 2 + area * (along - center) ** 2)
    return volume, center, np.array([around, across, across])


def _warn_of_overhang(crank, volume):
    """Warn of fillets wider than their web, and of the most their part beyond its edges can be."""
    pieces, names, outside = crank.segments, [], 0.0
    for place, piece in enumerate(pieces):
        if piece.kind == "web":
            continue
        half, arc = piece.diameter / 2, piece.fillet
        for web in {place - 1, place + 1} & set(range(len(pieces))):
            throw = crank.plain.throws[pieces[web].index]
            edges = throw.web_reach, throw.web_width / 2, throw.web_width / 2
            if half + arc > min(edges) * (1 + 1e-9):
                names.append(piece.name)
                outside += sum(_beyond(half, arc, edge) for edge in edges)
    if names:
        warnings.warn(
            f"the fillet of {', '.join(dict.fromkeys(names))} is wider than its web; what hangs "
            f"over is counted, at most {100 * outside / volume:.2g} % of the mass",
            OutOfRangeWarning,
            stacklevel=4,
        )


def _beyond(half, arc, edge):
    """Volume of a fillet's ring beyond a straight edge of its web: segments summed along x."""
    turn, weight = _gauss()
    outer = np.maximum(half + arc * (1 - np.sin(turn)), edge)
    segment = outer**2 * np.arccos(edge / outer) - edge * np.sqrt(outer**2 - edge**2)
    return weight * arc * np.sin(turn) @ segment
