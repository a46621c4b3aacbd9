"""Stress factors of a crank web by the classification societies' common rule, IACS UR M53.

Its factors are made for forged engine cranks; a small long-throw crank soon leaves their ranges,
and the result then says which.
"""

import warnings
from dataclasses import dataclass

import numpy as np
from numpy.polynomial.polynomial import polyval

from ..units import OutOfRangeWarning, magnitude

# inside these the factors were fitted; ratios to the pin diameter
RANGES = {
    "overlap": (-np.inf, 0.5),
    "web_thickness": (0.2, 0.8),
    "web_width": (1.1, 2.2),
    "fillet": (0.03, 0.13),
    "bore": (0.0, 0.8),
    "recess": (0.0, 0.2),
}
SHEAR_ZERO = -0.601  # overlap ratio where the journal's shear factor changes sign
LEAST_OVERLAP = -0.5  # the rule holds two of its functions at this value below it
TORSION_CUBIC = {"printed": 0.85, "remembered": 0.857}
# the rule's functions of overlap: polynomials in w before 1, (1 - s) and (1 - s)^2
PIN_OVERLAP = (
    (-4.1883, 29.2004, -77.5925, 91.9454, -40.0416),
    (9.5440, -58.3480, 159.3415, -192.5846, 85.2916),
    (-3.8399, 25.0444, -70.5571, 87.0328, -39.1832),
)
JOURNAL_OVERLAP = (
    (-1.7625, 2.9821, -1.527),
    (5.1169, -5.8089, 3.1391),
    (-2.1567, 2.3297, -1.2952),
)
SHEAR_OVERLAP = ((0.4368,), (2.1630,), (-1.5212,))
# past these the printed stress hardly falls or rises as the web widens: of bending and radial
# force together, of torsion
WIDEST, TORSION_WIDEST = 1.8, 1.6275


@dataclass(frozen=True)
class CrankRuleFactors:
    """Five factors of a web's two fillets, and what is out of range.

    Bending refers to the web's section (M / (B W^2/6)), shear to the radial force over it (Q / (B
    W)), torsion to the section of the pin or journal. ``journal_shear`` is None where the rule's
    formula has no meaning.
    """

    pin_bending: float
    pin_torsion: float
    journal_bending: float
    journal_torsion: float
    journal_shear: float | None
    overlap: float
    out_of_range: tuple

    def __str__(self):
        shear = "no meaning here" if self.journal_shear is None else f"{self.journal_shear:.2f}"
        text = (
            f"pin fillet: bending {self.pin_bending:.2f}, torsion {self.pin_torsion:.2f}; journal "
            "fillet: "
            f"bending {self.journal_bending:.2f}, torsion {self.journal_torsion:.2f}, radial "
            f"force {shear}"
        )
        return text + (
            f". Outside the rule's ranges: {'; '.join(self.out_of_range)}."
            if self.out_of_range
            else "."
        )


def crank_rule_factors(
    pin_diameter,
    journal_diameter,
    throw,
    web_thickness,
    web_width,
    pin_fillet,
    journal_fillet,
    pin_bore=None,
    journal_bore=None,
    pin_recess=None,
    journal_recess=None,
    torsion_cubic="printed",
):
    """Stress factors of a crank web's fillets by IACS UR M53.

    Overlap s = ((D + DG)/2 - E) / D; w = W/D, b = B/D, r = R/D, bores and recesses over D, with
    pin diameter D, journal diameter DG, throw E, web thickness W, web width B. Each factor is a
    product of fitted functions of these.

    Parameters
    ----------
    pin_diameter, journal_diameter, throw, web_thickness, web_width : Quantity, scalar [length]
    pin_fillet, journal_fillet : Quantity, scalar [length]
    pin_bore, journal_bore, pin_recess, journal_recess : Quantity, scalar, optional [length]
        Diameters of axial bores, depths of the fillets' recesses into the web; none without them.
    torsion_cubic : "printed" or "remembered"
        Coefficient of b^3 in the torsion factor: 0.85 in the printed copy seen, 0.857 from memory.
        Unresolved; it moves the factor by 0.6 % at b = 1.1 and by 5.8 % at 2.2.

    Returns
    -------
    CrankRuleFactors

    Raises
    ------
    TypeError
        A length has no unit.
    pint.DimensionalityError
        A length is of another kind.
    ValueError
        A length is impossible.

    Warns
    -----
    OutOfRangeWarning
        A ratio is outside the rule's range; each is named in ``out_of_range``.

    Notes
    -----
    Basis: standard, fitted data. Source: IACS UR M53 as printed in a society's Guidance, Annex 5-3,
    RA-05-E, 2025 (seen in full once; the limit of the recesses is from memory). Range: s up to 0.5,
    w 0.2 to 0.8, b 1.1 to 2.2, r 0.03 to 0.13, bores up to 0.8, recesses up to 0.2. Below s = -0.5
    the rule holds f(s, w) and f(r, s) at their value there, but not the shear function, which turns
    negative at s = -0.601: below that ``journal_shear`` is None.
    """
    sizes = {
        "pin_diameter": pin_diameter,
        "journal_diameter": journal_diameter,
        "throw": throw,
        "web_thickness": web_thickness,
        "web_width": web_width,
        "pin_fillet": pin_fillet,
        "journal_fillet": journal_fillet,
    }
    pin, journal, offset, thick, wide, pin_arc, journal_arc = (
        magnitude(value, "mm", name, above=0, one=True) for name, value in sizes.items()
    )
    extras = {
        "pin_bore": pin_bore,
        "journal_bore": journal_bore,
        "pin_recess": pin_recess,
        "journal_recess": journal_recess,
    }
    hollow, journal_hollow, sunk, journal_sunk = (
        0.0 if value is None else magnitude(value, "mm", name, least=0, one=True) / pin
        for name, value in extras.items()
    )
    if max(pin, journal, offset, thick, wide) > 1e3 * min(pin, journal) or min(
        pin_arc, journal_arc
    ) < 1e-4 * min(pin, journal):
        raise ValueError(
            "pin_diameter, journal_diameter, throw, web_thickness, web_width and fillets do not "
            "make one crank: their sizes lie too far apart; check the units"
        )
    if torsion_cubic not in TORSION_CUBIC:
        raise ValueError(f"torsion_cubic must be printed or remembered, not {torsion_cubic!r}")
    return factors_of_ratios(
        ((pin + journal) / 2 - offset) / pin,
        thick / pin,
        wide / pin,
        pin_arc / pin,
        journal_arc / pin,
        journal_arc / journal,
        hollow,
        journal_hollow,
        sunk,
        journal_sunk,
        same=pin == journal and pin_arc == journal_arc,
        cubic=TORSION_CUBIC[torsion_cubic],
    )


def _over_overlap(terms, w, p):
    return sum(p**power * polyval(w, term) for power, term in enumerate(terms))


def factors_of_ratios(
    s,
    w,
    b,
    pin_r,
    journal_r,
    own_r,
    hollow=0.0,
    journal_hollow=0.0,
    sunk=0.0,
    journal_sunk=0.0,
    same=True,
    cubic=0.85,
):
    """The rule's functions by their ratios; ``own_r`` is the journal's fillet over its own
    diameter."""
    held = max(s, LEAST_OVERLAP)
    q, p = 1 - s, 1 - held
    recess = max(1.0, 1 + (sunk + journal_sunk) * (1.8 + 3.2 * s))
    pin_bending = (
        2.6914
        * _over_overlap(PIN_OVERLAP, w, p)
        * 2.1790
        * w**0.7171
        * polyval(b, (0.6840, -0.0077, 0.1473))
        * 0.2081
        * pin_r**-0.5231
        * polyval(journal_hollow, (0.9993, 0.27, -1.0211, 0.5306))
        * polyval(hollow, (0.9978, 0.3145, -1.5241, 2.4147))
        * recess
    )
    journal_bending = (
        2.7146
        * _over_overlap(JOURNAL_OVERLAP, w, p)
        * 2.2422
        * w**0.7548
        * polyval(b, (0.5616, 0.1197, 0.1176))
        * 0.1908
        * journal_r**-0.5568
        * polyval(journal_hollow, (1.0012, -0.6441, 1.2265))
        * polyval(hollow, (1.0022, -0.1903, 0.0073))
        * recess
    )
    shear = (
        3.0128
        * _over_overlap(SHEAR_OVERLAP, w, q)
        * w
        / (0.0637 + 0.9369 * w)
        * (b - 0.5)
        * 0.5331
        * journal_r**-0.2038
        * polyval(hollow, (0.9937, -1.1949, 1.7373))
        * recess
    )

    def torsion(r):
        return (
            0.8
            * r ** (-0.322 + 0.1015 * p)
            * polyval(b, (7.8955, -10.654, 5.3482, -cubic))
            * w**-0.145
        )

    checks = [
        ("overlap s", s, "overlap"),
        ("web thickness w", w, "web_thickness"),
        ("web width b", b, "web_width"),
        ("pin fillet r", pin_r, "fillet"),
        ("journal fillet r", journal_r, "fillet"),
        ("pin bore", hollow, "bore"),
        ("journal bore", journal_hollow, "bore"),
        ("pin recess", sunk, "recess"),
        ("journal recess", journal_sunk, "recess"),
    ]
    outside = [
        f"{name} is {value:.3g}, the rule has "
        f"{'up' if np.isinf(RANGES[kind][0]) else f'{RANGES[kind][0]:g}'} to {RANGES[kind][1]:g}"
        for name, value, kind in checks
        if not RANGES[kind][0] - 1e-9 <= value <= RANGES[kind][1] + 1e-9
    ]
    if s < LEAST_OVERLAP:
        outside.append(
            f"overlap s is {s:.3g}: the rule takes bending and torsion as at {LEAST_OVERLAP}"
        )
    if s < SHEAR_ZERO:
        outside.append(
            "journal radial force factor refused, its formula turns negative below s = "
            f"{SHEAR_ZERO}"
        )
    if outside:
        warnings.warn("; ".join(outside), OutOfRangeWarning, stacklevel=3)
    return CrankRuleFactors(
        float(pin_bending),
        float(torsion(pin_r)),
        float(journal_bending),
        float(torsion(pin_r if same else own_r)),
        None if s < SHEAR_ZERO else float(shear),
        float(s),
        tuple(outside),
    )


@dataclass(frozen=True)
class HeldFactors:
    """The rule's factors of one fillet where no ratio improves by leaving its range.

    ``thickness``, ``width`` and ``fillet`` are the sizes of web and corner that count, in mm;
    ``held`` says in words which ratio is out of range.
    """

    bending: float
    radial: float
    torsion: float
    thickness: float
    width: float
    fillet: float
    held: tuple


def held_factors(kind, pin, journal, throw, thick, wide, fillet):
    """The rule's factors of one fillet, each ratio held at the limit that it leaves.

    Parameters
    ----------
    kind : "pin" or "main"
    pin, journal, throw, thick, wide, fillet : float [mm]
        Diameters, throw, the web's thickness and width, the radius of this fillet.

    Notes
    -----
    Basis: IACS UR M53, and own choice of what holds, so that a sharper corner, a thinner or
    narrower web or a longer throw never lowers the stress. Fillet: below 0.03 the rule's power law
    is carried on; above 0.13 the radius counts as 0.13. Thickness: below 0.2 the factors stay, on
    the stress of the real web; above 0.8 the web counts as 0.8 thick. Width: below 1.1 as for
    thickness; above 1.8 the web counts as 1.8 wide, for there the printed stress has nearly its
    least. The torsion factor stays at its least, at 1.6275. Overlap: above 0.5 as 0.5; downward
    each factor stays at its largest, which the rule has between 0.29 (radial force) and -0.5, where
    print holds it.
    """
    ratios = {
        "overlap s": ((pin + journal) / 2 - throw) / pin,
        "web thickness w": thick / pin,
        "web width b": wide / pin,
        f"{kind} fillet r": fillet / pin,
    }
    s, w, b, r = ratios.values()
    (least_w, most_w), (least_b, _), (_, most_r) = (
        RANGES[name] for name in ("web_thickness", "web_width", "fillet")
    )
    w, b, r = min(w, most_w), min(b, WIDEST), min(r, most_r)
    factor_w, factor_b = max(w, least_w), max(b, least_b)

    def at(overlap, width):
        own_r = r * pin / (pin if kind == "pin" else journal)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OutOfRangeWarning)
            return factors_of_ratios(overlap, factor_w, width, r, r, own_r, same=kind == "pin")

    def at_worst(terms):
        _, slope, bend = (polyval(factor_w, term) for term in terms)
        return min(max(s, 1 + slope / (2 * bend), LEAST_OVERLAP), RANGES["overlap"][1])

    torsion = at(min(s, RANGES["overlap"][1]), min(factor_b, TORSION_WIDEST))
    if kind == "pin":
        bending, radial = at(at_worst(PIN_OVERLAP), factor_b).pin_bending, 0.0
    else:
        bending = at(at_worst(JOURNAL_OVERLAP), factor_b).journal_bending
        radial = at(at_worst(SHEAR_OVERLAP), factor_b).journal_shear
    limits = ((LEAST_OVERLAP, 0.5), *(RANGES[name] for name in ("web_thickness", "web_width")))
    held = tuple(
        f"{name} is {value:.3g}, the rule has {least:g} to {most:g}"
        for (name, value), (least, most) in zip(
            ratios.items(), (*limits, RANGES["fillet"]), strict=True
        )
        if not least - 1e-9 <= value <= most + 1e-9
    )
    return HeldFactors(
        bending,
        radial,
        torsion.pin_torsion if kind == "pin" else torsion.journal_torsion,
        w * pin,
        b * pin,
        r * pin,
        held,
    )
