"""The sections of a crank where it may break: their notch factors, their nominal stresses over a
turn."""

from dataclasses import dataclass

import numpy as np

from .. import fillets
from ..checks import made
from ..crank import Crank, steels
from ..units import Quantity, magnitude, ureg
from .corners import Notch, directions, notches
from .loads import TurnLoads

AROUND = 24  # points looked at around a round section
RIM = np.array(
    [(a, b) for a in (-1, 0, 1) for b in (-1, 0, 1) if a or b]
)  # of a web's section: over its thickness, over its width
MEGAPASCAL = ureg.Unit("MPa")
# diameters of the round shoulder that a web is taken for: so large that its size no longer counts,
# and a narrower web does not pass for a blunter notch
SHOULDER = 3.0


@dataclass(frozen=True)
class Place:
    """A section looked at: its name, kind, throw or journal, center [mm], sizes, notch factors.

    ``kind`` is "pin", "main" or "web". A fillet has a ``corner``, its notch as solved in the solid.
    What print says of it stands beside: ``rule``, by the crank rule, and ``bending_factor`` and
    ``torsion_factor``, as a round shoulder.
    """

    name: str
    kind: str
    index: int
    center: tuple
    sizes: tuple
    bending_factor: float
    torsion_factor: float
    corner: Notch | None = None
    rule: Notch | None = None

    @property
    def note(self):
        """What of a fillet's corner is held, in words; nothing where nothing is."""
        return self.corner.note if self.corner else ""


def round_stress(bending, torque, diameter, axial=Quantity(0.0, "N")):
    """Nominal stresses of a round section: 32 M/(pi d^3) + 4 F/(pi d^2), and 16 T/(pi d^3).

    Parameters
    ----------
    bending, torque : Quantity, scalars or arrays that broadcast [torque]
    diameter : Quantity [length]
    axial : Quantity [force]

    Returns
    -------
    (Quantity, Quantity) [MPa], normal and shear

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        No unit, the wrong kind, or a diameter not above zero.

    Notes
    -----
    Basis: derived; the shear of the cross force is left out, it is nothing where bending is most.
    """
    size = np.asarray(magnitude(diameter, "mm", "diameter", above=0))
    loads = (
        magnitude(bending, "N*mm", "bending"),
        magnitude(torque, "N*mm", "torque"),
        magnitude(axial, "N", "axial"),
    )
    return tuple(Quantity(part, MEGAPASCAL) for part in _round(*loads, size))


def _round(bending, torque, axial, size):
    return 32 * bending / (np.pi * size**3) + 4 * axial / (np.pi * size**2), 16 * torque / (
        np.pi * size**3
    )


def web_stress(axial, bending_in_throw, bending_in_turning, torque, thickness, width):
    """Nominal stresses of a web's section at eight points of its rim.

    Normal: F/(t w) + 6 Mt/(w t^2) + 6 Mr/(t w^2); shear at the middle of the
    sides T (3 + 1.8 s/l)/(l s^2), l the longer and s the shorter of t and w, none at the corners.

    Parameters
    ----------
    axial : Quantity [force]
        Along the web; scalars or arrays that broadcast, as the next three.
    bending_in_throw : Quantity [torque]
        Closing or opening the throw, over the web's thickness.
    bending_in_turning : Quantity [torque]
        In the plane of turning, over the web's width.
    torque : Quantity [torque]
        Twisting the web about its own length.
    thickness, width : Quantity, scalars [length]

    Returns
    -------
    (Quantity, Quantity) [MPa], normal and shear, first axis the eight points

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        No unit, the wrong kind, or a size not above zero.

    Notes
    -----
    Basis: derived; torsion of a rectangle within a few percent (Shigley, 9th ed., eq. 3-40), that
    of the long sides put on the short ones too, which is on the safe side.
    """
    thick, wide = (
        magnitude(thickness, "mm", "thickness", above=0),
        magnitude(width, "mm", "width", above=0),
    )
    loads = [
        magnitude(value, unit, name)
        for value, unit, name in (
            (axial, "N", "axial"),
            (bending_in_throw, "N*mm", "bending_in_throw"),
            (bending_in_turning, "N*mm", "bending_in_turning"),
            (torque, "N*mm", "torque"),
        )
    ]
    return tuple(
        Quantity(part, MEGAPASCAL) for part in _web(*np.broadcast_arrays(*loads), thick, wide)
    )


def _web(axial, in_throw, in_turning, torque, thick, wide):
    long, short = max(thick, wide), min(thick, wide)
    twist = torque * (3 + 1.8 * short / long) / (long * short**2)
    over_thickness, over_width = (
        RIM[:, part].reshape(-1, *(1,) * np.ndim(axial)) for part in (0, 1)
    )
    normal = (
        axial / (thick * wide)
        + over_thickness * (6 * in_throw / (wide * thick**2))
        + over_width * (6 * in_turning / (thick * wide**2))
    )
    return normal, twist * (over_thickness * over_width == 0)


def places(crank, ultimate_strength=None, kt_source="tipton"):
    """Sections to look at: pin middles, all fillets, webs at both ends, middles of the bearings.

    Parameters
    ----------
    crank : Crank
    ultimate_strength : Quantity, scalar [stress], optional
        For the notch sensitivity; the crank's steel without it.
    kt_source : "tipton", "pilkey" or "roark"
        As for ``fillets.stress_concentration``; the two older fits lie up to 13 % below the solved
        field in bending.

    Returns
    -------
    tuple of Place

    Raises
    ------
    ValueError
        A fillet of zero: no fit tells its stress.

    Warns
    -----
    OutOfRangeWarning
        A fillet outside the range of the shoulder's fit. Where a web lies outside the shapes that
        the corner was solved for, or a shorter throw counts, ``Place.note`` says so.

    Notes
    -----
    Basis: fitted data. A fillet's factors are those of the crank's own corner,
    ``crank_corner.factors``, held so that a weaker web never scores higher, on the nominal
    stresses of IACS UR M53. Print stands beside them: a round shoulder three times
    as large, on the stress of the pin or main, and IACS UR M53's own factors, each ratio held where
    it leaves the rule's range (``crank_rule.held_factors``). All go through the same notch
    sensitivity, Kf = 1 + q (K - 1), a factor below 1 as it is and of a relief the share q.
    Oil holes, centers and keyways are not in it. A web's own notch is the fillet, so its factors
    are 1.
    """
    made(crank, Crank, "crank")
    strength = (
        steels.find(crank.steel).tensile_strength
        if ultimate_strength is None
        else ultimate_strength
    )
    sizes = crank.plain
    found, known = [], {}
    pieces = sizes.segments
    for kind, parts in (("main", sizes.journals), ("pin", sizes.throws)):
        for index, part in enumerate(parts):
            if part.fillet <= 0:
                raise ValueError(
                    f"the fillet of {kind} {index + 1} is zero: a sharp corner cracks and no fit "
                    "tells when; set a radius"
                )
    for order, piece in enumerate(pieces):
        if piece.kind == "web":
            found += _web_places(sizes, order)
            continue
        if piece.kind == "pin":
            part, who = sizes.throws[piece.index], f"pin {piece.index + 1}"
            diameter, axis = (
                part.pin_diameter,
                (float(part.radius * np.cos(part.angle)), float(part.radius * np.sin(part.angle))),
            )
        else:
            part, who, axis = sizes.journals[piece.index], f"main {piece.index + 1}", (0.0, 0.0)
            diameter = part.diameter
        kind = "pin" if piece.kind == "pin" else "main"
        # a hair right of the middle, where the point force acts: the moment is the same there
        found.append(
            Place(
                f"{who}, middle",
                kind,
                piece.index,
                (piece.start + piece.length / 2 + 1e-6, *axis),
                (diameter,),
                1.0,
                1.0,
            )
        )
        for side, web, x in (("left", order - 1, piece.start), ("right", order + 1, piece.end)):
            if not 0 <= web < len(pieces):
                continue
            throw = sizes.throws[pieces[web].index]
            name = f"{who}, {side} fillet"
            if (diameter, part.fillet) not in known:
                known[diameter, part.fillet] = _shoulder(diameter, part.fillet, strength, kt_source)
            right_web = pieces[web - 1].kind == "pin"
            main = sizes.journals[pieces[web].index + right_web]
            from_start = right_web == (kind == "pin")
            face, inward = (pieces[web].start, 1) if from_start else (pieces[web].end, -1)
            corner, rule = notches(kind, throw, main, strength, pieces[web].index, face, inward)
            factors = known[diameter, part.fillet]
            found.append(
                Place(name, kind, piece.index, (x, *axis), (diameter,), *factors, corner, rule)
            )
    return tuple(found)


def _shoulder(diameter, fillet, strength, source):
    """Kf in bending and in torsion of a round shoulder's fillet."""
    factors = []
    for load in ("bending", "torsion"):
        sizes = (Quantity(size, "mm") for size in (SHOULDER * diameter, diameter, fillet))
        kt = fillets.stress_concentration(load, *sizes, source)
        factors.append(float(fillets.fatigue_factor(kt, load, strength, Quantity(fillet, "mm"))))
    return tuple(factors)


def _web_places(sizes, order):
    """A web at the edge of its main and at the edge of its pin; at the middle between the axes
    where these overlap."""
    piece = sizes.segments[order]
    throw = sizes.throws[piece.index]
    right = sizes.segments[order - 1].kind == "pin"
    inner, outer = (
        sizes.journals[piece.index + right].diameter / 2,
        throw.radius - throw.pin_diameter / 2,
    )
    if inner > outer:
        inner = outer = (inner + outer) / 2
    x, side = piece.start + piece.length / 2, "right" if right else "left"
    return [
        Place(
            f"throw {piece.index + 1}, {side} web at the {where}",
            "web",
            piece.index,
            (x, float(at * np.cos(throw.angle)), float(at * np.sin(throw.angle))),
            (throw.web_thickness, throw.web_width),
            1.0,
            1.0,
        )
        for where, at in (("main", inner), ("pin", outer))
    ]


def section_stress(crank, loads, place):
    """Nominal normal and shear stress around a section over the turn.

    Parameters
    ----------
    crank : Crank
    loads : service.TurnLoads
    place : Place

    Returns
    -------
    (Quantity, Quantity) [MPa], normal and shear, axes (point of the rim, crank angle)

    Raises
    ------
    ValueError
        The place belongs to a longer crank.

    Notes
    -----
    Basis: derived; statics on ``TurnLoads.internal``.
    """
    made(crank, Crank, "crank")
    made(loads, TurnLoads, "loads")
    made(place, Place, "place")
    if place.kind != "main" and place.index >= len(crank.throws):
        raise ValueError(
            f"place is on throw {place.index + 1}, and this crank has {len(crank.throws)}; take "
            "it from places(crank)"
        )
    return tuple(Quantity(part[0], MEGAPASCAL) for part in stress_of_places(crank, loads, (place,)))


def stress_of_places(crank, loads, looked_at):
    """As ``section_stress``, of several places of one kind of section (round, or web) at once.

    Parameters
    ----------
    crank : Crank
    loads : service.TurnLoads
    looked_at : sequence of Place

    Returns
    -------
    (ndarray, ndarray) [MPa], normal and shear, axes (place, point of the rim, crank angle)

    Notes
    -----
    Basis: derived.
    """
    force, moment = loads.internal(np.array([place.center for place in looked_at]))
    if looked_at[0].kind == "web":
        found = []
        for place, push, turn in zip(looked_at, force, moment, strict=True):
            outward, onward = directions(crank, place.index)
            found.append(_web(outward @ push, onward @ turn, turn[0], outward @ turn, *place.sizes))
        return tuple(np.array(part) for part in zip(*found, strict=True))
    around = np.arange(AROUND)[:, None] * 2 * np.pi / AROUND
    bending = np.sin(around) * moment[:, 1:2] - np.cos(around) * moment[:, 2:3]
    size = np.array([place.sizes[0] for place in looked_at])[:, None, None]
    normal, shear = _round(bending, moment[:, :1], force[:, :1], size)
    return normal, np.broadcast_to(shear, normal.shape)
