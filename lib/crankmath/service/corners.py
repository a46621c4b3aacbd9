"""A web's two fillets in service: fatigue factors, solved in the solid and by print, and
stresses."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from .. import fillets
from ..crank_corner.held import LOADS, held_corners
from ..fillets.crank_rule import held_factors
from ..units import Quantity

AROUND = 12  # points looked at around half a fillet; the other half swings as much


@dataclass(frozen=True)
class Notch:
    """Fatigue factors of a web's fillet, and the web that their nominal stresses refer to.

    ``uncertainty``: of the factors, relative, two standard deviations. ``middle``: along the crank,
    where the web's moments count. ``side``: 1 for a web right of its pin, -1 left of it. Lengths in
    mm; ``diameter`` is the pin's or main's own.
    ``note`` says in words what is held: a ratio out of range, a longer throw's relief.
    """

    bending: float
    radial: float
    tangential: float
    torsion: float
    uncertainty: float
    middle: float
    throw: int
    side: int
    thickness: float
    width: float
    diameter: float
    note: str = ""


def _felt(factor, share):
    """1 + q (K - 1) above 1, K itself below; of a relief, below 0, only the share q."""
    if factor > 1:
        return float(1 + share * (factor - 1))
    return float(factor * (share if factor < 0 else 1))


def notches(kind, throw, main, strength, index, face, inward):
    """The notch of a web's fillet as solved in the solid, and by the crank rule.

    - ``kind``: "pin" or "main", whose fillet it is.
    - ``throw``, ``main``: Plain sizes of the crank.
    - ``index``: Of the throw.
    - ``strength``: Tensile, a Quantity.
    - ``face``, ``inward``: The web's face at this fillet along the crank [mm], and +1 or -1.
    """
    diameter, side = (throw.pin_diameter, inward) if kind == "pin" else (main.diameter, -inward)
    sizes = throw.pin_diameter, main.diameter, throw.radius, throw.web_thickness, throw.web_width
    # more than half the width beyond an axis does not stiffen the corner: solved shapes end there
    sizes += throw.fillet, main.fillet, min(throw.web_reach, throw.web_width / 2), main.length / 2
    steel = strength.m_as("MPa")
    return tuple(
        Notch(*factors, face + inward * thick / 2, index, side, thick, wide, diameter, note)
        for *factors, thick, wide, note in (
            _as_solved(0 if kind == "pin" else 1, sizes, steel),
            _by_rule(kind, sizes[:5], sizes[5] if kind == "pin" else sizes[6], steel),
        )
    )


def _as_solved(which, sizes, strength):
    """Four factors as felt, uncertainty, web that counts and note."""
    own = held_corners(*sizes)[which]
    felt = _felt_factors(own[:4], strength, own.fillet)
    return *felt, 2 * own.uncertainty, own.thickness, own.width, own.note


@lru_cache(maxsize=512)
def _by_rule(kind, sizes, arc, strength):
    """The same by the crank rule."""
    rule = held_factors(kind, *sizes, arc)
    factors = rule.bending, rule.radial, 0.0, rule.torsion
    felt = _felt_factors(factors, strength, rule.fillet)
    return *felt, 0.0, rule.thickness, rule.width, "; ".join(rule.held)


def _felt_factors(factors, strength, arc):
    bent, twisted = _shares(strength, arc)
    return [
        _felt(factor, twisted if load == "torsion" else bent)
        for load, factor in zip(LOADS, factors, strict=True)
    ]


@lru_cache(maxsize=512)
def _shares(strength, arc):
    """Notch sensitivity in bending and in torsion."""
    return tuple(
        fillets.notch_sensitivity(load, Quantity(strength, "MPa"), Quantity(arc, "mm"))
        for load in ("bending", "torsion")
    )


def stress_of_notches(crank, loads, notched, centers):
    """Normal and shear stress around fillets over the turn, factors in.

    - ``crank``: a Crank; loads: service.TurnLoads; notched: sequence of Notch; centers: of their
      fillets [mm]. Returns two arrays [MPa], axes (fillet, point around it, crank angle).

    Basis: derived. Bending and radial force act in the throw's plane and the tangential load
    across it, taken to fall off around the fillet as the cosine and the sine of the angle. All of
    the torque in the pin or main counts beside it: what the tangential factor holds of a main's
    torque counts twice, which is on the safe side.
    """
    force, moment = loads.internal(np.array([(one.middle, 0.0, 0.0) for one in notched]))
    _, passed = loads.internal(np.array(centers))
    outward, onward = (
        np.array(ways)
        for ways in zip(*(directions(crank, one.throw) for one in notched), strict=True)
    )

    def along(way, load):
        return np.einsum("ij,ijk->ik", way, load)

    def column(name):
        return np.array([getattr(one, name) for one in notched])[:, None]

    thick, wide, size = (column(name) for name in ("thickness", "width", "diameter"))
    in_plane = column("bending") * along(onward, moment) * 6 / (wide * thick**2)
    # right of a pin the part left of the cut pulls the way its bearing bends, left of it against
    in_plane += column("radial") * column("side") * along(outward, force) / (wide * thick)
    across = column("tangential") * along(outward, moment) * 32 / (np.pi * size**3)
    shear = column("torsion") * passed[:, 0] * 16 / (np.pi * size**3)
    around = np.arange(AROUND)[:, None] * np.pi / AROUND
    normal = np.cos(around) * in_plane[:, None] + np.sin(around) * across[:, None]
    return normal, shear[:, None]


def directions(crank, throw):
    """Unit vectors from the main axis toward a throw's pin, and a quarter turn on."""
    angle = crank.plain.throws[throw].angle
    return np.array([0, np.cos(angle), np.sin(angle)]), np.array([0, -np.sin(angle), np.cos(angle)])
