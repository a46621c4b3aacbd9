"""A web's two fillets in service: fatigue factors, solved in the solid and by print, and
stresses."""

import warnings
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from .. import crank_corner, fillets
from ..fillets.crank_rule import held_factors
from ..units import OutOfRangeWarning, Quantity

AROUND = 12  # points looked at around half a fillet; the other half swings as much
SHORTER = np.linspace(0.5, -1.2, 6)  # overlaps at which shorter throws are looked at
LOADS = ("bending", "radial", "tangential", "torsion")
SIZES = (
    "pin_diameter",
    "journal_diameter",
    "throw",
    "web_thickness",
    "web_width",
    "pin_fillet",
    "journal_fillet",
    "web_reach",
)


@dataclass(frozen=True)
class Notch:
    """Fatigue factors of a web's fillet, and the web that their nominal stresses refer to.

    ``uncertainty``: of the factors, relative, two standard deviations. ``middle``: along the crank,
    where the web's moments count. ``side``: 1 for a web right of its pin, -1 left of it. Lengths in
    mm; ``diameter`` is the pin's or main's own.
    ``note`` says in words which ratio is out of range.
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

    kind: "pin" or "main", whose fillet it is; throw, main: a crank's plain sizes, index the
    throw's; strength: tensile, a Quantity; face, inward: the web's face at this fillet along the
    crank [mm], and +1 or -1.
    """
    diameter, side = (throw.pin_diameter, inward) if kind == "pin" else (main.diameter, -inward)
    sizes = throw.pin_diameter, main.diameter, throw.radius, throw.web_thickness, throw.web_width
    # more than half the width beyond an axis does not stiffen the corner: solved shapes end there
    sizes += throw.fillet, main.fillet, min(throw.web_reach, throw.web_width / 2)
    return tuple(
        Notch(*factors, face + inward * thick / 2, index, side, thick, wide, diameter, note)
        for *factors, thick, wide, note in _factors(kind, sizes, strength.m_as("MPa"))
    )


@lru_cache(maxsize=1024)
def _factors(kind, sizes, strength):
    """Four factors as felt, uncertainty, web that counts and note: solved, and by the rule."""
    where, arc = ("pin", sizes[5]) if kind == "pin" else ("journal", sizes[6])
    factors, unsure, outside = _solved(*sizes)[where]
    rule = held_factors(kind, *sizes[:5], arc)
    return (
        (
            *_felt_factors(factors, strength, arc),
            unsure,
            *sizes[3:5],
            outside and f"outside the solved shapes, held so as not to improve: {outside}",
        ),
        (
            *_felt_factors((rule.bending, rule.radial, 0.0, rule.torsion), strength, rule.fillet),
            0.0,
            rule.thickness,
            rule.width,
            "; ".join(rule.held),
        ),
    )


@lru_cache(maxsize=512)
def _solved(*sizes):
    """Four factors, uncertainty and what is out of range of a web's two fillets; lengths in mm.

    A longer throw at times relieves a corner by a few percent, and nobody designs by that: the
    factors are the largest of all shorter throws down to the least that the solids have.
    """
    pin, journal, throw, thick = sizes[:4]
    shorter = (pin + journal) / 2 - pin * SHORTER
    throws = np.append(throw, shorter[shorter < throw])
    given = dict(zip(SIZES, sizes, strict=True)) | {"throw": throws}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)  # the notch's note says it
        found = crank_corner.factors(**{name: Quantity(size, "mm") for name, size in given.items()})
    arm = 6 * (crank_corner.HALF_JOURNAL * journal + thick / 2) / thick
    answer = {}
    for where in ("pin", "journal"):
        bending, radial, tangential, torsion = (getattr(found, f"{where}_{load}") for load in LOADS)
        most = np.argmax(bending * arm + radial)
        factors = bending[most], radial[most], tangential.max(), torsion.max()
        unsure = max(found.uncertainty[f"{where}_{load}"][0] for load in LOADS)
        outside = "; ".join(found.out_of_range)
        answer[where] = tuple(float(factor) for factor in factors), 2 * float(unsure), outside
    return answer


def _felt_factors(factors, strength, arc):
    bent, twisted = (
        fillets.notch_sensitivity(load, Quantity(strength, "MPa"), Quantity(arc, "mm"))
        for load in ("bending", "torsion")
    )
    return [
        _felt(factor, twisted if load == "torsion" else bent)
        for load, factor in zip(LOADS, factors, strict=True)
    ]


def stress_of_notches(crank, loads, notched, centers):
    """Normal and shear stress around fillets over the turn, factors in.

    crank: a Crank; loads: service.TurnLoads; notched: sequence of Notch; centers: of their
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
