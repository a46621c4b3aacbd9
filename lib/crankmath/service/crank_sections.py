"""The sections of a crank where it may break: their notch factors by two models, their nominal stresses over a turn."""

from dataclasses import dataclass

import numpy as np

from .. import fillets
from ..checks import made
from ..crank import Crank, steels
from ..fillets.crank_rule import held_factors
from ..units import Quantity, magnitude, ureg
from .loads import TurnLoads

AROUND = 24  # points looked at around a round section
RIM = np.array(
    [(a, b) for a in (-1, 0, 1) for b in (-1, 0, 1) if a or b]
)  # of a web's section: over its thickness, over its width
MEGAPASCAL = ureg.Unit("MPa")
# diameters of the round shoulder that a web is taken for: so large that its size no longer counts,
# and a narrower web does not pass for a blunter notch
SHOULDER = 3.0
# peak stress of solid finite elements over the crank rule's, 19 shapes inside and outside its ranges
# (seven stand in tests/published/crank_corner_solid.csv): least, taken, most
SOLID_OVER_RULE = {"pin": (1.01, 1.25, 1.48), "main": (0.74, 1.0, 1.12)}


@dataclass(frozen=True)
class RuleNotch:
    """Fatigue factors of a fillet by the crank rule, and the web that they refer to.

    ``bending`` and ``radial`` each hold three: by the solids' least, taken and most share of the
    rule. The web: middle along the crank, throw, thickness and width that count, in mm.
    """

    bending: tuple
    radial: tuple
    torsion: float
    middle: float
    throw: int
    thickness: float
    width: float


@dataclass(frozen=True)
class Place:
    """A section looked at: name, kind ("pin", "main" or "web"), its throw or journal, center in mm, its sizes and notch factors.

    ``bending_factor`` and ``torsion_factor`` take a fillet as that of a round shoulder. ``rule`` holds the
    crank rule's factors of the same fillet, or is None; ``note`` says in words what a model cannot tell.
    """

    name: str
    kind: str
    index: int
    center: tuple
    sizes: tuple
    bending_factor: float
    torsion_factor: float
    rule: RuleNotch | None = None
    note: str = ""


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
    Basis: derived; torsion of a rectangle within a few percent (Shigley, 9th ed., eq. 3-40), that of
    the long sides put on the short ones too, which is on the safe side.
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
    """Sections to look at: pin middles, all fillets, webs at both ends, mains in the middle of their bearing.

    Parameters
    ----------
    crank : Crank
    ultimate_strength : Quantity, scalar [stress], optional
        For the notch sensitivity; the crank's steel without it.
    kt_source : "tipton", "pilkey" or "roark"
        As for ``fillets.stress_concentration``; the two older fits lie up to 13 % below the solved field in bending.

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
        A fillet outside the range of the shoulder's fit. Where the crank rule is held,
        ``Place.note`` says so.

    Notes
    -----
    Basis: fitted data. A fillet is looked at twice. As that of a round shoulder three times as
    large, on the stress of the pin or main: a web is no round. And by the crank rule, IACS UR M53, on the stress of the web, each ratio held where it
    leaves the rule's range (``crank_rule.held_factors``); both through the same notch sensitivity,
    Kf = 1 + q (factor - 1), a factor below 1 as it is. Solid finite elements of small cranks stand
    1.01 to 1.48 times above the rule at the pin, so its bending is raised 1.25 times there, and
    0.74 to 1.12 times at the main. They stand 1.1 to 2.3 (pin) and 1.8 to 5.9 (main) times above
    the round shoulder.
    Oil holes, centers and keyways are not in it. A web's own notch is the fillet, so its factors are 1.
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
            if part.fillet <= 0:
                raise ValueError(
                    f"the fillet of {name} is zero: a sharp corner cracks and no fit tells when; give it a radius"
                )
            if (diameter, part.fillet) not in known:
                known[diameter, part.fillet] = _shoulder(diameter, part.fillet, strength, kt_source)
            right_web = pieces[web - 1].kind == "pin"
            main = sizes.journals[pieces[web].index + right_web]
            key = kind, throw.radius, throw[2:], main
            if key not in known:
                known[key] = corner_factors(kind, throw, main, strength)
            bent, pushed, twisted, thickness, width, note = known[key]
            # where not all of a thick web counts, the part beside this fillet does
            from_start = right_web == (kind == "pin")
            face, inward = (pieces[web].start, 1) if from_start else (pieces[web].end, -1)
            rule = RuleNotch(
                bent,
                pushed,
                twisted,
                face + inward * thickness / 2,
                pieces[web].index,
                thickness,
                width,
            )
            bending, torsion = known[diameter, part.fillet]
            found.append(
                Place(
                    name,
                    kind,
                    piece.index,
                    (x, *axis),
                    (diameter,),
                    bending,
                    torsion,
                    rule,
                    note,
                )
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


def corner_factors(kind, throw, main, strength):
    """Kf of a web's fillet with its range, the web's thickness and width that count, and a note.

    Bending and radial force: three each, by the solids' least, taken and most share of the crank
    rule; torsion: one.
    """
    arc = throw.fillet if kind == "pin" else main.fillet
    found = held_factors(
        kind,
        throw.pin_diameter,
        main.diameter,
        throw.radius,
        throw.web_thickness,
        throw.web_width,
        arc,
    )
    shares = {
        load: fillets.notch_sensitivity(load, strength, Quantity(found.fillet, "mm"))
        for load in ("bending", "torsion")
    }

    def felt(load, factor):
        return float(1 + shares[load] * (factor - 1)) if factor > 1 else factor

    bending, radial = (
        tuple(felt("bending", share * factor) for share in SOLID_OVER_RULE[kind])
        for factor in (found.bending, found.radial)
    )
    note = "; ".join(found.held)
    return (
        bending,
        radial,
        felt("torsion", found.torsion),
        found.thickness,
        found.width,
        note and f"past the crank rule's range, held so as never to improve: {note}",
    )


def _web_places(sizes, order):
    """A web at the edge of its main and at the edge of its pin; at the middle between the axes where these overlap."""
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
            f"place is on throw {place.index + 1}, and this crank has {len(crank.throws)}; take it from places(crank)"
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
            outward, onward = _directions(crank, place.index)
            found.append(_web(outward @ push, onward @ turn, turn[0], outward @ turn, *place.sizes))
        return tuple(np.array(part) for part in zip(*found, strict=True))
    around = np.arange(AROUND)[:, None] * 2 * np.pi / AROUND
    bending = np.sin(around) * moment[:, 1:2] - np.cos(around) * moment[:, 2:3]
    size = np.array([place.sizes[0] for place in looked_at])[:, None, None]
    normal, shear = _round(bending, moment[:, :1], force[:, :1], size)
    return normal, np.broadcast_to(shear, normal.shape)


def rule_stress_of_places(crank, loads, looked_at):
    """Nominal stresses that the crank rule's factors refer to, for fillets that have them.

    The web's bending in the plane of the throw over B W^2/6 and the radial force over B W, both at the web's
    middle; the torsion of the pin or main itself.

    Parameters
    ----------
    crank : Crank
    loads : service.TurnLoads
    looked_at : sequence of Place

    Returns
    -------
    (ndarray, ndarray, ndarray) [MPa], bending, radial and torsion, axes (place, crank angle)

    Notes
    -----
    Basis: standard; IACS UR M53. The rule leaves the bending in the plane of turning out: the shoulder model has it.
    """
    rules = [place.rule for place in looked_at]
    force, moment = loads.internal(np.array([(rule.middle, 0.0, 0.0) for rule in rules]))
    _, passed = loads.internal(np.array([place.center for place in looked_at]))
    ways = [_directions(crank, rule.throw) for rule in rules]
    thick, wide, size = (
        np.array(column)[:, None]
        for column in (
            [rule.thickness for rule in rules],
            [rule.width for rule in rules],
            [place.sizes[0] for place in looked_at],
        )
    )
    bent = np.array([onward @ turn for (_, onward), turn in zip(ways, moment, strict=True)])
    pushed = np.array([outward @ push for (outward, _), push in zip(ways, force, strict=True)])
    return (
        6 * bent / (wide * thick**2),
        pushed / (wide * thick),
        16 * passed[:, 0] / (np.pi * size**3),
    )


def _directions(crank, throw):
    """Unit vectors from the main axis toward a throw's pin, and a quarter turn on."""
    angle = crank.plain.throws[throw].angle
    return np.array([0, np.cos(angle), np.sin(angle)]), np.array([0, -np.sin(angle), np.cos(angle)])
