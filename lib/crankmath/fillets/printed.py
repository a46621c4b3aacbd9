"""What a corner radius buys: published stress concentration, notch sensitivity, crank-web factors, bearing corners.

The live solution of the same corner is in ``stress_field``; here are the fits that books print.
"""

import csv
import warnings
from functools import cache
from importlib.resources import files

import numpy as np

from ..units import OutOfRangeWarning, Quantity, magnitude, number
from .crank_rule import CrankRuleFactors, crank_rule_factors

__all__ = [
    "CrankRuleFactors",
    "crank_rule_factors",
    "fatigue_factor",
    "fit_range",
    "largest_shaft_fillet",
    "notch_length",
    "notch_sensitivity",
    "stress_concentration",
]
LOADS = ("tension", "bending", "torsion")
TERMS = [f"c{term}{part}" for term in "1234" for part in "abc"]
# Tipton, Sorem and Rolovic 1996; coefficients seen in public programs of two universities, not in the paper itself;
# range from memory. The limit D/d -> 1 and the solved field bear out every sign.
# Kt = first + second (D/d)^third + (r/d)^fourth sqrt(top(x^2) / bottom(x^2)), x = D/d, polynomials in x^2 from the constant on
TIPTON = {
    "bending": (0.632, 0.377, -4.4, -0.5, (-0.14, -0.363, 0.503), (1.0, -2.39, 3.368)),
    "tension": (0.493, 0.48, -2.43, -0.48, (3.43, -3.41, -0.0232), (1.0, -8.85, -0.078)),
    "torsion": (0.78, 0.2, -10.0, -0.46, (0.002, -0.125, 0.123), (1.0, -2.75, 2.55)),
}
TIPTON_RATIO, TIPTON_RADIUS = (1.01, 6.0), (0.002, 0.3)
# square root of Neuber's length by tensile strength: coefficients from the constant on, unit of strength, of the length, range
NEUBER = {
    ("neuber", "bending"): ((1.24, -2.25e-3, 1.60e-6, -4.11e-10), "MPa", "mm", (340, 1700)),
    ("neuber", "torsion"): ((0.958, -1.83e-3, 1.43e-6, -4.11e-10), "MPa", "mm", (340, 1700)),
    ("neuber inch", "bending"): ((0.246, -3.08e-3, 1.51e-5, -2.67e-8), "kpsi", "in", (50, 250)),
    ("neuber inch", "torsion"): ((0.190, -2.51e-3, 1.35e-5, -2.67e-8), "kpsi", "in", (50, 250)),
}


@cache
def _fits():
    """Coefficient rows by (shape, source, load), least step over radius first."""
    found = {}
    with (files("crankmath") / "data" / "kt_coefficients.csv").open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            limits = float(row["least_step_over_radius"]), float(row["most_step_over_radius"])
            table = np.array([float(row[term]) for term in TERMS]).reshape(4, 3)
            found.setdefault((row["shape"], row["source"], row["load"]), []).append(
                (*limits, table, row["origin"])
            )
    return found


def fit_range(load, source="pilkey", shape="shoulder"):
    """Range of step height over radius, t/r with t = (D - d)/2, in which a published fit holds.

    Parameters
    ----------
    load : "tension", "bending" or "torsion"
    source : "pilkey" or "roark"
    shape : "shoulder", "flat bar" or "groove"

    Returns
    -------
    tuple of float (least, most) [no unit]

    Raises
    ------
    ValueError
        There is no such fit; the message lists those there are.

    Notes
    -----
    Basis: fitted data; the ranges printed with the coefficients in ``data/kt_coefficients.csv``.
    """
    rows = _rows(load, source, shape)
    return rows[0][0], rows[-1][1]


def _rows(load, source, shape):
    rows = _fits().get((shape, source, load))
    if rows is None:
        known = ", ".join(f"{kind} {name} {what}" for kind, name, what in _fits())
        raise ValueError(
            f"no fit for load {load!r}, source {source!r}, shape {shape!r}; there are {known}; source tipton has all loads of a shoulder"
        )
    return rows


def stress_concentration(
    load,
    large_diameter,
    small_diameter,
    radius,
    source="pilkey",
    shape="shoulder",
    shoulder_length=None,
):
    """Published stress concentration factor Kt of a step or groove.

    Kt = C1 + C2 x + C3 x^2 + C4 x^3 with x = 2t/D, t = (D - d)/2 and
    Ci = a + b sqrt(t/r) + c (t/r). The nominal stress is that of the small
    section: 4F/(pi d^2) in tension, 32M/(pi d^3) in bending, 16T/(pi d^3) in
    torsion; 6M/(d^2 thickness) for a flat bar.

    Parameters
    ----------
    load : "tension", "bending" or "torsion"
    large_diameter, small_diameter, radius : Quantity, scalars or arrays that broadcast [length]
        For a flat bar its two heights.
    source : "pilkey", "roark" or "tipton"
        Tipton fitted finite-element solutions, for a shoulder only.
    shape : "shoulder" (round shaft), "flat bar" (a web bent in its plane) or "groove" (U-groove, undercut)
    shoulder_length : Quantity, optional [length]
        Length of the high part of a flat bar, for no other shape. A short one takes less stress than the fit says.

    Returns
    -------
    float or ndarray [no unit], 1 or above

    Raises
    ------
    TypeError
        A length has no unit.
    pint.DimensionalityError
        A length is of another kind.
    ValueError
        No such fit, the large diameter is not above the small one, a shoulder length of a round shape, or a radius so
        sharp that the fit falls below 1, which no notch has.

    Warns
    -----
    OutOfRangeWarning
        The step over radius, the ratio of diameters or a short flat shoulder is outside the range of the fit; or the fit
        falls a little below 1 at a blunt radius, where 1 is returned.

    Notes
    -----
    Basis: fitted data. Sources: Pilkey, Peterson's Stress Concentration Factors, ch. 2 and 3
    (minus signs of bending and torsion restored by the rule that Kt is 1 for a vanishing
    small section); Roark's Formulas, 7th ed., Table 17.1; Tipton, Sorem and Rolovic,
    J. Mech. Des. 118 (1996), coefficients seen in public programs, range D/d 1.01 to 6 and
    r/d 0.002 to 0.3 from memory. Beside the solved field, over all of their own range with D/d 1.02 to 6
    and r/d from 0.01, the fits of Pilkey and Roark are up to 25 % too low in tension, 13 % in bending and
    3 % in torsion, at most 8 % too high; Tipton's three fits agree within 3 %.
    """
    large = magnitude(large_diameter, "mm", "large_diameter", above=0)
    small = magnitude(small_diameter, "mm", "small_diameter", above=0)
    arc = magnitude(radius, "mm", "radius", above=0)
    if np.any(np.asarray(large) <= small):
        raise ValueError("large_diameter must be above small_diameter: are the two swapped?")
    if shoulder_length is not None:
        _check_shoulder(
            shape,
            magnitude(shoulder_length, "mm", "shoulder_length", above=0),
            np.asarray(large),
            small,
            arc,
        )
    if source == "tipton":
        return _one_at_least(
            _tipton(load, shape, np.asarray(large) / small, np.asarray(arc) / small),
            f"shoulder tipton {load}",
        )
    rows = _rows(load, source, shape)
    slenderness, share = np.broadcast_arrays(
        (np.asarray(large) - small) / (2 * np.asarray(arc)), 1 - small / np.asarray(large)
    )
    fit, least, sharpest = f"{shape} {source} {load}", rows[0][0], rows[-1][1]
    _warn_outside("step over radius, (D - d)/(2 r),", slenderness, least, sharpest, fit)
    kt = np.full(slenderness.shape, np.nan)
    for number_of_row, (_, most, table, _) in enumerate(rows):
        here = np.isnan(kt) & ((slenderness <= most) | (number_of_row == len(rows) - 1))
        terms = table @ np.stack(
            [np.ones_like(slenderness), np.sqrt(slenderness), slenderness]
        ).reshape(3, -1)
        value = np.einsum("ik,ik->k", terms, share.reshape(1, -1) ** np.arange(4)[:, None]).reshape(
            slenderness.shape
        )
        kt = np.where(here, value, kt)
    if np.any((kt < 1) & (slenderness > sharpest)):
        raise ValueError(
            f"radius is too small for the fit {fit}: it gives Kt {kt.min():.3g}, and no notch has less than 1; use stress_field.solve_fillet, "
            f"or a radius of at least (D - d)/{2 * sharpest:g}"
        )
    return _one_at_least(kt, fit)


def _one_at_least(kt, fit):
    """Kt of a blunt radius, where a fit may miss 1 by its own scatter."""
    if np.any(kt < 1):
        warnings.warn(
            f"the fit {fit} gives Kt {np.min(kt):.3g}, and no notch has less than 1: 1 is returned there",
            OutOfRangeWarning,
            stacklevel=3,
        )
        kt = np.maximum(kt, 1.0)
    return float(kt) if kt.ndim == 0 else kt


def _warn_outside(what, value, least, most, fit):
    if np.any(value < least * (1 - 1e-9)) or np.any(value > most * (1 + 1e-9)):
        worst = float(np.max(value) if np.any(value > most) else np.min(value))
        warnings.warn(
            f"{what} is {worst:.3g}; the fit {fit} holds from {least:g} to {most:g}: trust the solved field instead",
            OutOfRangeWarning,
            stacklevel=3,
        )


def _tipton(load, shape, ratio, relative):
    if shape != "shoulder" or load not in TIPTON:
        raise ValueError(
            f"source tipton has no fit for {shape} in {load}; use it for a shoulder in tension, bending or torsion"
        )
    ratio, relative = np.broadcast_arrays(ratio, relative)
    _warn_outside(
        "large over small diameter, D/d,", ratio, *TIPTON_RATIO, f"shoulder tipton {load}"
    )
    _warn_outside(
        "radius over small diameter, r/d,", relative, *TIPTON_RADIUS, f"shoulder tipton {load}"
    )
    first, second, third, fourth, top, bottom = TIPTON[load]
    square = ratio**2
    root = np.sqrt(
        np.polynomial.polynomial.polyval(square, top)
        / np.polynomial.polynomial.polyval(square, bottom)
    )
    return first + second * ratio**third + relative**fourth * root


def _check_shoulder(shape, length, large, small, arc):
    """Roark's condition of a long shoulder: L/D above 0.8 / (r/(D - 2h))^(1/4)."""
    if shape != "flat bar":
        raise ValueError(f"shoulder_length belongs to a flat bar, not to a {shape}; leave it out")
    wanted = np.max(0.8 * large / (np.asarray(arc) / small) ** 0.25)
    if np.any(np.asarray(length) < wanted):
        warnings.warn(
            f"shoulder_length {np.min(length):.3g} mm is short of the {wanted:.3g} mm this fit is made for: it says too much stress",
            OutOfRangeWarning,
            stacklevel=3,
        )


def notch_length(load, ultimate_strength, source="neuber"):
    """Material length a against which a radius is sharp or blunt.

    Neuber: sqrt(a) is a cubic in the tensile strength. Peterson: a = 0.0254 mm (2070 MPa / Su)^1.8,
    six tenths of it in torsion.

    Parameters
    ----------
    load : "tension", "bending" or "torsion"
    ultimate_strength : Quantity, scalar or array [stress]
    source : "neuber", "neuber inch" or "peterson"
        The two forms of Neuber's cubic differ by up to 2.5 % in sqrt(a) below 1000 MPa, more above.

    Returns
    -------
    Quantity [mm]

    Raises
    ------
    TypeError
        The strength has no unit.
    pint.DimensionalityError
        The strength is of another kind.
    ValueError
        Unknown load or source, or a strength not above zero, or one where Neuber's cubic is
        negative: in torsion from 1617 MPa (234 kpsi) on, inside its printed range.

    Warns
    -----
    OutOfRangeWarning
        Outside 340 to 1700 MPa (inch form 50 to 250 kpsi).

    Notes
    -----
    Basis: fitted data, steel only. Sources: Shigley, 9th ed., eq. 6-35 (inch form); the SI form
    of later editions, seen in course notes. Peterson: seen in public programs, not in the book;
    the torsion share and this range for it from memory.
    """
    if load not in LOADS:
        raise ValueError(f"load must be one of {', '.join(LOADS)}, not {load!r}")
    strength = magnitude(ultimate_strength, "MPa", "ultimate_strength", above=0)
    if source == "peterson":
        _warn_outside("ultimate_strength in MPa", np.asarray(strength), 340, 1700, "peterson")
        return Quantity(
            0.0254 * (2070 / strength) ** 1.8 * (0.6 if load == "torsion" else 1.0), "mm"
        )
    if (source, "bending") not in NEUBER:
        raise ValueError(f"source must be neuber, neuber inch or peterson, not {source!r}")
    cubic, unit, length, (least, most) = NEUBER[
        source, "torsion" if load == "torsion" else "bending"
    ]
    size = magnitude(ultimate_strength, unit, "ultimate_strength")
    _warn_outside(f"ultimate_strength in {unit}", np.asarray(size), least, most, source)
    root = np.polynomial.polynomial.polyval(size, cubic)
    if np.any(root <= 0):
        end = min(
            end.real for end in np.polynomial.polynomial.polyroots(cubic) if abs(end.imag) < 1e-9
        )
        raise ValueError(
            f"ultimate_strength must be below {end:.4g} {unit}, where Neuber's cubic turns negative; use source peterson above"
        )
    return Quantity(root**2, length).to("mm")


def notch_sensitivity(load, ultimate_strength, radius, source="neuber"):
    """Notch sensitivity q: the share of the stress concentration that fatigue feels.

    Neuber: q = 1 / (1 + sqrt(a/r)). Peterson: q = 1 / (1 + a/r).

    Parameters
    ----------
    load : "tension", "bending" or "torsion"
    ultimate_strength : Quantity, scalar or array [stress]
    radius : Quantity, scalar or array [length]
    source : "neuber", "neuber inch" or "peterson"

    Returns
    -------
    float or ndarray [no unit], from 0 to 1

    Raises
    ------
    TypeError
        An input has no unit.
    pint.DimensionalityError
        An input is of another kind.
    ValueError
        Unknown load or source, or a value not above zero.

    Warns
    -----
    OutOfRangeWarning
        The strength is outside the range of the fit.

    Notes
    -----
    Basis: fitted data, steel only. Source: Shigley, 9th ed., eq. 6-33 to 6-35; Peterson as in ``notch_length``.
    """
    arc = magnitude(radius, "mm", "radius", above=0)
    relative = notch_length(load, ultimate_strength, source).m_as("mm") / np.asarray(arc)
    share = 1 / (1 + (relative if source == "peterson" else np.sqrt(relative)))
    return float(share) if np.ndim(share) == 0 else share


def fatigue_factor(
    kt, load=None, ultimate_strength=None, radius=None, source="neuber", sensitivity=None
):
    """Fatigue stress concentration factor Kf = 1 + q (Kt - 1).

    Parameters
    ----------
    kt : float or array
    load, ultimate_strength, radius, source
        As for ``notch_sensitivity``; not needed when ``sensitivity`` is given.
    sensitivity : float or array, optional
        q, from 0 to 1.

    Returns
    -------
    float or ndarray [no unit]

    Raises
    ------
    ValueError
        Kt below 1, q outside 0 to 1, or neither q nor what it is made from.
    TypeError, pint.DimensionalityError
        As for ``notch_sensitivity``.

    Notes
    -----
    Basis: standard. Source: Shigley, 9th ed., eq. 6-32.
    """
    factor = number(kt, "kt", least=1)
    if sensitivity is None:
        if load is None or ultimate_strength is None or radius is None:
            raise ValueError(
                "sensitivity is missing: give it, or load, ultimate_strength and radius"
            )
        share = notch_sensitivity(load, ultimate_strength, radius, source)
    else:
        share = number(sensitivity, "sensitivity", least=0, most=1)
    return 1 + share * (factor - 1)


@cache
def _corners():
    with (files("crankmath") / "data" / "bearing_corners.csv").open(encoding="utf-8") as lines:
        return [
            {key: float(value) for key, value in row.items() if key != "source"}
            for row in csv.DictReader(lines)
        ]


def largest_shaft_fillet(least_corner):
    """Largest fillet of the shaft that a bearing's corner clears.

    Parameters
    ----------
    least_corner : Quantity, scalar [length]
        Smallest single corner dimension of the bearing, rs min, from its maker's table.

    Returns
    -------
    Quantity [mm]

    Raises
    ------
    TypeError
        The length has no unit.
    pint.DimensionalityError
        It is of another kind.
    ValueError
        The corner is not one of the standard ones.

    Notes
    -----
    Basis: standard. Source: ISO 582 as bearing catalogues reproduce it; each row of
    ``data/bearing_corners.csv`` says whether it was seen or is from memory. The fillet allowed
    is often smaller than the one strength asks for: relieve the shoulder, or use a spacer ring.
    """
    corner = magnitude(least_corner, "mm", "least_corner", above=0)
    for row in _corners():
        if abs(row["least_corner_mm"] - corner) < 1e-6:
            return Quantity(row["largest_fillet_mm"], "mm")
    known = ", ".join(f"{row['least_corner_mm']:g}" for row in _corners())
    raise ValueError(
        f"least_corner {corner:g} mm is not a standard bearing corner; write one of {known} mm"
    )
