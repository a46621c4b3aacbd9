"""Will the crank last: stresses in pins, webs and mains over a turn, and the safety factor against a fatigue crack.

The result is an estimate with its range, for learning and for a first size. It
is never a certificate: pressure vessels, rotating machines and anything whose
break can hurt someone belong to local codes and licensed practice.
"""

import warnings
from dataclasses import dataclass

import numpy as np

from . import fatigue, fillets, steels
from .units import OutOfRangeWarning, Quantity, as_text, magnitude, number

NO_CERTIFICATE = "An estimate for learning, never a certificate: local codes and licensed practice go before."
AROUND = 24  # points looked at around a round section
# two standard deviations, as shares: of the load and of the stress concentration common practice, no source;
# of the endurance limit twice the 8 % that Marin's reliability factor rests on
LOAD_SPREAD, NOTCH_SPREAD, STRENGTH_SPREAD = 0.10, 0.10, 2 * fatigue.SCATTER


@dataclass(frozen=True)
class Place:
    """A section looked at: name, kind ("pin", "main" or "web"), its throw or journal, center in mm, its sizes and notch factors."""

    name: str
    kind: str
    index: int
    center: tuple
    sizes: tuple
    bending_factor: float
    torsion_factor: float


@dataclass(frozen=True)
class SectionSafety:
    """Stress and safety of one section at its worst point.

    ``bending_alternating`` and the like are nominal; ``alternating`` and ``mean``
    are von Mises with the notch factors in. ``low`` and ``high`` bound the safety factor by the
    spread of load, stress concentration and strength (two standard deviations).
    """

    place: Place
    bending_alternating: Quantity
    bending_mean: Quantity
    torsion_alternating: Quantity
    torsion_mean: Quantity
    alternating: Quantity
    mean: Quantity
    endurance_limit: Quantity
    safety: float
    low: float
    high: float
    yield_safety: float
    by_criterion: dict

    def __str__(self):
        return f"{self.place.name}: {self.safety:.2g} ({self.low:.2g} to {self.high:.2g}), yield {self.yield_safety:.2g}"


@dataclass(frozen=True)
class StrengthResult:
    """All sections, the weakest first."""

    sections: tuple
    criterion: str
    edition: str

    @property
    def weakest(self):
        """Section with the least safety factor."""
        return self.sections[0]

    def __str__(self):
        one = self.weakest
        if not np.isfinite(one.safety):
            return f"No load, no stress. {NO_CERTIFICATE}"
        word = "it may crack" if one.low < 1 else "it lasts"
        if one.yield_safety < 1:
            word = "it yields in the first turn"
        return (
            f"Weakest is the {one.place.name}: safety factor {one.safety:.2g}, by the spread of load, notch and strength "
            f"{one.low:.2g} to {one.high:.2g} ({self.criterion}, edition {self.edition}); against yielding {one.yield_safety:.2g}. "
            f"By this sum {word}. {NO_CERTIFICATE}"
        )


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
    normal = 32 * magnitude(bending, "N*mm", "bending") / (np.pi * size**3) + 4 * magnitude(axial, "N", "axial") / (np.pi * size**2)
    return Quantity(normal, "MPa"), Quantity(16 * magnitude(torque, "N*mm", "torque") / (np.pi * size**3), "MPa")


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
    thick, wide = magnitude(thickness, "mm", "thickness", above=0), magnitude(width, "mm", "width", above=0)
    force = magnitude(axial, "N", "axial") / (thick * wide)
    over_thickness = 6 * magnitude(bending_in_throw, "N*mm", "bending_in_throw") / (wide * thick**2)
    over_width = 6 * magnitude(bending_in_turning, "N*mm", "bending_in_turning") / (thick * wide**2)
    long, short = max(thick, wide), min(thick, wide)
    twist = magnitude(torque, "N*mm", "torque") * (3 + 1.8 * short / long) / (long * short**2)
    force, over_thickness, over_width, twist = np.broadcast_arrays(force, over_thickness, over_width, twist)
    corners = [(a, b) for a in (-1, 0, 1) for b in (-1, 0, 1) if a or b]
    normal = np.array([force + a * over_thickness + b * over_width for a, b in corners])
    shear = np.array([twist * (a == 0 or b == 0) for a, b in corners])
    return Quantity(normal, "MPa"), Quantity(shear, "MPa")


def places(crank, ultimate_strength=None, kt_source="pilkey"):
    """Sections to look at: pin middles, all fillets, webs at both ends, mains in the middle of their bearing.

    Parameters
    ----------
    crank : Crank
    ultimate_strength : Quantity, scalar [stress], optional
        For the notch sensitivity; the crank's steel without it.
    kt_source : "pilkey" or "roark"

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
        A fillet outside the range of the fit.

    Notes
    -----
    Basis: fitted data. A fillet counts as that of a round shoulder as large as the smaller of the web's width and
    twice its reach; the web is no round, and this is the largest doubt in the result. Oil holes, centers
    and keyways are not in it. A web's own notch is the fillet, so its factors are 1.
    """
    strength = steels.find(crank.steel).tensile_strength if ultimate_strength is None else ultimate_strength
    found, known = [], {}
    pieces = crank.segments()
    for order, piece in enumerate(pieces):
        if piece.kind == "web":
            found += _web_places(crank, pieces, order)
            continue
        if piece.kind == "pin":
            throw = crank.throws[piece.index]
            diameter, fillet, who = throw.pin_diameter, throw.fillet, f"pin {piece.index + 1}"
            angle, radius = throw.angle.m_as("rad"), throw.radius.m_as("mm")
            axis = (float(radius * np.cos(angle)), float(radius * np.sin(angle)))
        else:
            journal = crank.journals[piece.index]
            diameter, fillet, who, axis = journal.diameter, journal.fillet, f"main {piece.index + 1}", (0.0, 0.0)
        kind, size = ("pin" if piece.kind == "pin" else "main"), (diameter.m_as("mm"),)
        # a hair right of the middle, where the point force acts: the moment is the same there
        found.append(Place(f"{who}, middle", kind, piece.index, (piece.start + piece.length / 2 + 1e-6, *axis), size, 1.0, 1.0))
        for side, web_order, x in (("left", order - 1, piece.start), ("right", order + 1, piece.end)):
            if not 0 <= web_order < len(pieces):
                continue
            shoulder = min(crank.throws[pieces[web_order].index].web_width, 2 * crank.throws[pieces[web_order].index].web_reach)
            sizes = tuple(length.m_as("mm") for length in (shoulder, diameter, fillet))
            if sizes not in known:
                known[sizes] = _notch(shoulder, diameter, fillet, strength, kt_source, f"{who}, {side} fillet")
            found.append(Place(f"{who}, {side} fillet", kind, piece.index, (x, *axis), size, *known[sizes]))
    return tuple(found)


def _notch(shoulder, diameter, fillet, strength, source, name):
    """Kf in bending and in torsion of a pin's or main's fillet on a web."""
    if fillet.magnitude <= 0:
        raise ValueError(f"the fillet of {name} is zero: a sharp corner cracks and no fit tells when; give it a radius")
    factors = []
    for load in ("bending", "torsion"):
        if shoulder <= diameter * 1.001:
            factors.append(1.0)
            warnings.warn(f"{name}: the web is no larger than the diameter, its fillet is counted as no notch", OutOfRangeWarning, stacklevel=3)
            continue
        kt = fillets.stress_concentration(load, shoulder, diameter, fillet, source)
        factors.append(float(fillets.fatigue_factor(max(kt, 1.0), load, strength, fillet)))
    return factors


def _web_places(crank, pieces, order):
    """A web at the edge of its main and at the edge of its pin; at the middle between the axes where these overlap."""
    piece = pieces[order]
    throw = crank.throws[piece.index]
    right = pieces[order - 1].kind == "pin"
    main = crank.journals[piece.index + right].diameter.m_as("mm") / 2
    radius, angle = throw.radius.m_as("mm"), throw.angle.m_as("rad")
    inner, outer = main, radius - throw.pin_diameter.m_as("mm") / 2
    if inner > outer:
        inner = outer = (inner + outer) / 2
    x = piece.start + piece.length / 2
    sizes = (throw.web_thickness.m_as("mm"), throw.web_width.m_as("mm"))
    side = "right" if right else "left"
    return [Place(f"throw {piece.index + 1}, {side} web at the {where}", "web", piece.index,
                  (x, float(at * np.cos(angle)), float(at * np.sin(angle))), sizes, 1.0, 1.0)
            for where, at in (("main", inner), ("pin", outer))]  # fmt: skip


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

    Notes
    -----
    Basis: derived; statics on ``TurnLoads.internal``.
    """
    force, moment = loads.internal(place.center)
    if place.kind == "web":
        angle = crank.throws[place.index].angle.m_as("rad")
        outward, onward = np.array([0, np.cos(angle), np.sin(angle)]), np.array([0, -np.sin(angle), np.cos(angle)])
        thickness, width = (Quantity(size, "mm") for size in place.sizes)
        return web_stress(Quantity(outward @ force, "N"), Quantity(onward @ moment, "N*mm"), Quantity(moment[0], "N*mm"),
                          Quantity(outward @ moment, "N*mm"), thickness, width)  # fmt: skip
    around = np.arange(AROUND) * 2 * np.pi / AROUND
    bending = np.outer(np.sin(around), moment[1]) - np.outer(np.cos(around), moment[2])
    normal, shear = round_stress(Quantity(bending, "N*mm"), Quantity(moment[0], "N*mm"), Quantity(place.sizes[0], "mm"),
                                 Quantity(force[0], "N"))  # fmt: skip
    return normal, np.broadcast_to(shear.magnitude, normal.shape) * shear.units


def check_strength(crank, loads, criterion="goodman", finish="machined", edition="11", reliability=0.5, temperature=None,
                   ultimate_strength=None, yield_strength=None, kt_source="pilkey", load_spread=LOAD_SPREAD,
                   notch_spread=NOTCH_SPREAD, strength_spread=STRENGTH_SPREAD):  # fmt: skip
    """Safety factor of every section against a fatigue crack, with its range, and against yielding.

    At each point of a section the bending and the shear stress have a half range and a mean over the
    turn; Kf and Kfs multiply both, von Mises joins them, the criterion judges. The worst point counts.

    Parameters
    ----------
    crank : Crank
    loads : service.TurnLoads
    criterion : one of ``fatigue.CRITERIA``
    finish, edition, reliability, temperature
        As for ``fatigue.endurance_limit``.
    ultimate_strength, yield_strength : Quantity, scalars [stress], optional
        Of the crank's steel without them.
    kt_source : "pilkey" or "roark"
    load_spread, notch_spread, strength_spread : float
        Two standard deviations of the load, of Kt - 1 and of the endurance limit, as shares.

    Returns
    -------
    StrengthResult

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity, share or word.

    Warns
    -----
    OutOfRangeWarning
        A fillet, size or strength outside the range of its fit.

    Notes
    -----
    Basis: standard. Source: Shigley, 9th ed., sec. 6-14 (combined loading: Kf on mean stress too, load
    factor of bending) on nominal stresses by statics. Half ranges of bending and shear count as if they
    came together, which is on the safe side. The range joins the three spreads as the root of
    the sum of squares, each felt by working the whole sum anew; the model's own error is not in it.
    """
    steel = steels.find(crank.steel)
    ultimate = steel.tensile_strength if ultimate_strength is None else ultimate_strength
    strong = steel.yield_strength if yield_strength is None else yield_strength
    spreads = [number(value, name, least=0) for name, value in
               (("load_spread", load_spread), ("notch_spread", notch_spread), ("strength_spread", strength_spread))]  # fmt: skip
    if max(spreads) >= 1:
        raise ValueError("load_spread, notch_spread and strength_spread are shares below 1; write 0.1 for ten percent")
    if criterion not in fatigue.CRITERIA:
        raise ValueError(f"criterion must be one of {', '.join(fatigue.CRITERIA)}, not {criterion!r}")
    plain = magnitude(ultimate, "MPa", "ultimate_strength", above=0), magnitude(strong, "MPa", "yield_strength", above=0)
    sections = []
    for place in places(crank, ultimate, kt_source):
        limit = fatigue.endurance_limit(ultimate, Quantity(_effective_diameter(place), "mm"), "bending", finish, reliability, temperature,
                                        edition=edition).limit.m_as("MPa")  # fmt: skip
        stress = [part.magnitude for part in section_stress(crank, loads, place)]
        sections.append(_judge(place, stress, (limit, *plain), criterion, spreads))
    return StrengthResult(tuple(sorted(sections, key=lambda one: one.safety)), criterion, str(edition))


def _effective_diameter(place):
    """Diameter for the size factor; a rectangle's is that of equal highly stressed area, 0.808 sqrt(t w)."""
    return place.sizes[0] if len(place.sizes) == 1 else 0.808 * np.sqrt(place.sizes[0] * place.sizes[1])


def _judge(place, stress, strengths, criterion, spreads):
    """Safety of a section from its nominal stresses and the strengths (endurance, ultimate, yield) [MPa]."""
    half = [(part.max(axis=1) - part.min(axis=1)) / 2 for part in stress]
    middle = [(part.max(axis=1) + part.min(axis=1)) / 2 for part in stress]

    def joined(parts, notch=1.0):
        kf, kfs = 1 + notch * (place.bending_factor - 1), 1 + notch * (place.torsion_factor - 1)
        return np.hypot(kf * parts[0], np.sqrt(3) * kfs * parts[1])

    def safety(rule, load=1.0, notch=1.0, strength=1.0):
        return fatigue.safety_of_numbers(load * joined(half, notch), load * joined(middle, notch), strength * strengths[0], *strengths[1:], rule)

    every = safety(criterion)
    worst = int(every.argmin())
    value, low, high = float(every[worst]), np.inf, np.inf
    if np.isfinite(value):
        felt = [np.log([float(safety(criterion, **{name: 1 + sign * spread}).min()) / value for sign in (1, -1)])
                for name, spread in zip(("load", "notch", "strength"), spreads, strict=True)]  # fmt: skip
        low = value * float(np.exp(-np.sqrt(sum(min(pair.min(), 0) ** 2 for pair in felt))))
        high = value * float(np.exp(np.sqrt(sum(max(pair.max(), 0) ** 2 for pair in felt))))
    with np.errstate(divide="ignore"):
        yielding = float((strengths[2] / (joined(half, 0.0) + joined(middle, 0.0))).min())
    shown = [half[0][worst], middle[0][worst], half[1][worst], middle[1][worst], joined(half)[worst], joined(middle)[worst], strengths[0]]
    return SectionSafety(place, *(Quantity(float(one), "MPa") for one in shown), value, low, high, yielding,
                         {rule: float(safety(rule).min()) for rule in fatigue.CRITERIA})  # fmt: skip


def summary(result, count=5):
    """The weakest sections as lines of text, the verdict first.

    Parameters
    ----------
    result : StrengthResult
    count : int

    Returns
    -------
    str

    Notes
    -----
    Basis: derived.
    """
    lines = [str(result)]
    for one in result.sections[:count]:
        lines.append(f"{one}; alternating {as_text(one.alternating, 'MPa', 3)}, mean {as_text(one.mean, 'MPa', 3)}")
    return "\n".join(lines)
