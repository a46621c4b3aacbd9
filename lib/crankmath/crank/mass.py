"""Mass, center, inertia and unbalance of a crank, by exact integration of its parts."""

import warnings
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

import numpy as np

from ..checks import made
from ..units import OutOfRangeWarning, Quantity, magnitude
from . import steels
from .crank import Crank


@dataclass(frozen=True)
class MassProperties:
    """Mass, center and inertia. x runs along the axis from the left end, y at 0 deg, z at 90 deg.

    ``inertia`` is about the mass center, ``axis_inertia`` about the main axis. ``unbalance`` is mass times offset
    as a vector (y, z); ``couple_unbalance`` the sum of mass, offset and distance along x from the mass center.
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


def mass_properties(crank, density=None, fillets=True):
    """Mass, mass center, inertia and unbalance of a crank by exact integration of its parts.

    Journals and pins are cylinders, webs blocks of thickness x width from ``web_reach`` beyond one axis to ``web_reach``
    beyond the other, fillets rings of circular section. Center holes and oil ways are left out.

    Parameters
    ----------
    crank : Crank
    density : Quantity, scalar, optional [mass/volume]
        That of the crank's steel without it.
    fillets : bool
        Count the rings of metal in the fillets.

    Returns
    -------
    MassProperties

    Raises
    ------
    TypeError
        The crank is something else, or the density has no unit.
    ValueError
        The steel is not known and no density is given.

    Warns
    -----
    OutOfRangeWarning
        A fillet's ring is wider than its web: the part that hangs over is counted though it is cut away; the message
        says how much that is at most.

    Notes
    -----
    Basis: derived. Cylinder and block in closed form, the fillet's ring by Gauss's rule of 24 points on its smooth form.
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
        _tell_of_overhang(crank, volume)
    return MassProperties(
        Quantity(float(mass), "kg"),
        Quantity(center, "mm"),
        Quantity(about_center * per_volume, "kg*mm**2"),
        Quantity(float(about_origin[0, 0] * per_volume), "kg*mm**2"),
        Quantity(mass * center[1:] * 1000, "g*mm"),
        Quantity(-about_center[0, 1:] * per_volume * 1000, "g*mm**2"),
    )


def throw_unbalance(crank, density=None, fillets=True):
    """Mass times radius of each throw, its two webs, its pin and the pin's fillets; it points at the pin.

    Parameters
    ----------
    crank : Crank
    density : Quantity, scalar, optional [mass/volume]
        That of the crank's steel without it.
    fillets : bool
        Count the rings of metal in the fillets.

    Returns
    -------
    Quantity, one a throw [g*mm]
        Acts in the middle of the pin.

    Raises
    ------
    TypeError, ValueError
        As ``mass_properties``.

    Notes
    -----
    Basis: derived; journals lie on the axis and add nothing.
    """
    per_volume = _per_volume(crank, density) * 1000
    return Quantity(
        np.array([per_volume * _throw_moment(throw, fillets) for throw in crank.throws]), "g*mm"
    )


def _throw_moment(throw, fillets):
    """Volume times distance from the main axis of a throw's webs, pin and pin's fillets [mm^4]."""
    offset, pin, long, arc, thick, wide, reach = (
        getattr(throw, name).m_as("mm")
        for name in (
            "radius",
            "pin_diameter",
            "pin_length",
            "fillet",
            "web_thickness",
            "web_width",
            "web_reach",
        )
    )
    rings = 2 * _ring(pin / 2, arc)[0] if fillets and arc > 0 else 0.0
    return (
        offset * (np.pi / 4 * pin**2 * long + rings) + thick * wide * (offset + 2 * reach) * offset
    )


def _per_volume(crank, density):
    """Density [kg/mm^3]; refuses what is no crank."""
    made(crank, Crank, "crank")
    return (
        magnitude(
            steels.find(crank.steel).density if density is None else density,
            "kg/m**3",
            "density",
            above=0,
            one=True,
        )
        * 1e-9
    )


class _Part(NamedTuple):
    """Volume, center and own inertia of unit density in the frame of a throw [mm], the angle of that frame."""

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
    pieces, parts = crank.segments(), []
    for place, piece in enumerate(pieces):
        if piece.kind == "web":
            parts.append(_web(piece, crank.throws[piece.index]))
            continue
        pin = crank.throws[piece.index] if piece.kind == "pin" else None
        part = pin or crank.journals[piece.index]
        half, arc = (
            (pin.pin_diameter if pin else part.diameter).m_as("mm") / 2,
            part.fillet.m_as("mm"),
        )
        offset, turn = (pin.radius.m_as("mm"), pin.angle.m_as("rad")) if pin else (0.0, 0.0)
        volume = np.pi * half**2 * piece.length
        across = volume * (half**2 / 4 + piece.length**2 / 12)
        parts.append(
            _Part(
                volume,
                (piece.start + piece.length / 2, offset),
                np.array([volume * half**2 / 2, across, across]),
                turn,
            )
        )
        for web, face, way in ((place - 1, piece.start, 1), (place + 1, piece.end, -1)):
            if fillets and arc > 0 and 0 <= web < len(pieces):
                volume, along, own = _ring(half, arc)
                parts.append(_Part(volume, (face + way * along, offset), own, turn))
    return parts


def _web(piece, throw):
    reach, wide, offset = (
        throw.web_reach.m_as("mm"),
        throw.web_width.m_as("mm"),
        throw.radius.m_as("mm"),
    )
    tall = offset + 2 * reach
    volume = piece.length * wide * tall
    own = (
        volume
        / 12
        * np.array([wide**2 + tall**2, piece.length**2 + wide**2, piece.length**2 + tall**2])
    )
    return _Part(volume, (piece.start + piece.length / 2, offset / 2), own, throw.angle.m_as("rad"))


@cache
def _gauss():
    points, weights = np.polynomial.legendre.leggauss(24)
    return (points + 1) * np.pi / 4, weights * np.pi / 4


def _ring(half, arc):
    """Volume, distance from the web's face and own inertia of a fillet's ring about a round of radius ``half``."""
    turn, weight = _gauss()
    along, weight = arc * (1 - np.cos(turn)), weight * arc * np.sin(turn)
    outer = half + arc * (1 - np.sin(turn))
    area, polar = np.pi * (outer**2 - half**2), np.pi / 2 * (outer**4 - half**4)
    volume = weight @ area
    center = weight @ (area * along) / volume
    around, across = weight @ polar, weight @ (polar / 2 + area * (along - center) ** 2)
    return volume, center, np.array([around, across, across])


def _tell_of_overhang(crank, volume):
    """Warn of fillets wider than their web, with the most that the part beyond its edges can be of the whole volume."""
    pieces, names, outside = crank.segments(), [], 0.0
    for place, piece in enumerate(pieces):
        if piece.kind == "web":
            continue
        part = (crank.journals if piece.kind == "journal" else crank.throws)[piece.index]
        half, arc = (
            (part.diameter if piece.kind == "journal" else part.pin_diameter).m_as("mm") / 2,
            part.fillet.m_as("mm"),
        )
        for web in {place - 1, place + 1} & set(range(len(pieces))):
            throw = crank.throws[pieces[web].index]
            edges = (
                throw.web_reach.m_as("mm"),
                throw.web_width.m_as("mm") / 2,
                throw.web_width.m_as("mm") / 2,
            )
            if half + arc > min(edges) * (1 + 1e-9):
                names.append(f"{piece.kind} {piece.index + 1}")
                outside += sum(_beyond(half, arc, edge) for edge in edges)
    if names:
        warnings.warn(
            f"the fillet of {', '.join(dict.fromkeys(names))} is wider than its web; what hangs over is counted, "
            f"at most {100 * outside / volume:.2g} % of the mass",
            OutOfRangeWarning,
            stacklevel=3,
        )


def _beyond(half, arc, edge):
    """Volume of a fillet's ring beyond a straight edge of its web: circular segments, summed along the axis."""
    turn, weight = _gauss()
    outer = np.maximum(half + arc * (1 - np.sin(turn)), edge)
    return (
        weight
        * arc
        * np.sin(turn)
        @ (outer**2 * np.arccos(edge / outer) - edge * np.sqrt(outer**2 - edge**2))
    )
