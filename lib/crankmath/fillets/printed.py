"""Stress concentration as books print it, and the fillet that a bearing's corner clears.

The live solution of the same corner is in ``stress_field``.
"""

import warnings
from functools import cache

import numpy as np
from numpy.polynomial.polynomial import polyval

from ..checks import takes
from ..tables import rows
from ..units import OutOfRangeWarning

LOADS = ("tension", "bending", "torsion")
TERMS = [f"c{term}{part}" for term in "1234" for part in "abc"]
# Tipton, Sorem and Rolovic 1996; coefficients seen in public programs of two universities, not in
# the paper itself; range from memory. The limit D/d -> 1 and the solved field bear out every sign.
# Kt = first + second (D/d)^third + (r/d)^fourth sqrt(top(x^2) / bottom(x^2)), x = D/d, polynomials
# in x^2 from the constant on
TIPTON = {
    "bending": (0.632, 0.377, -4.4, -0.5, (-0.14, -0.363, 0.503), (1.0, -2.39, 3.368)),
    "tension": (0.493, 0.48, -2.43, -0.48, (3.43, -3.41, -0.0232), (1.0, -8.85, -0.078)),
    "torsion": (0.78, 0.2, -10.0, -0.46, (0.002, -0.125, 0.123), (1.0, -2.75, 2.55)),
}
TIPTON_RATIO, TIPTON_RADIUS = (1.01, 6.0), (0.002, 0.3)


@cache
def _fits():
    """Coefficient rows by (shape, source, load), least step over radius first."""
    found = {}
    for row in rows("kt_coefficients"):
        limits = float(row["least_step_over_radius"]), float(row["most_step_over_radius"])
        table = np.array([float(row[term]) for term in TERMS]).reshape(4, 3)
        place = row["shape"], row["source"], row["load"]
        found.setdefault(place, []).append((*limits, table, row["origin"]))
    return found


def fit_range(load, source="pilkey", shape="shoulder"):
    """Range of step height over radius, t/r with t = (D - d)/2, in which a published fit holds.

    ``load``, ``source`` and ``shape`` are those of ``stress_concentration``, Tipton's left out.
    Basis: fitted data; the ranges printed with the coefficients in ``data/kt_coefficients.csv``.
    """
    fits = _fits_of(load, source, shape)
    return fits[0][0], fits[-1][1]


def _fits_of(load, source, shape):
    found = _fits().get((shape, source, load))
    if found is None:
        known = ", ".join(f"{kind} {name} {what}" for kind, name, what in _fits())
        raise ValueError(
            f"no fit for load {load!r}, source {source!r}, shape {shape!r}; there are {known}; "
            "source tipton has all loads of a shoulder"
        )
    return found


@takes(large_diameter="mm > 0", small_diameter="mm > 0", radius="mm > 0", shoulder_length="mm > 0")
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

    Kt = C1 + C2 x + C3 x^2 + C4 x^3 with x = 2t/D, t = (D - d)/2 and Ci = a + b sqrt(t/r) + c t/r.
    ``load`` is "tension", "bending" or "torsion"; ``source`` "pilkey", "roark" or "tipton", who
    fitted finite-element solutions, for a shoulder only; ``shape`` "shoulder" (round shaft),
    "groove" (a U, undercut) or "flat bar" (a web bent in its plane), whose two heights stand for
    the diameters. ``shoulder_length`` is that of the high part of a flat bar: a short one takes
    less stress than the fit says. The nominal stress is that of the small section: 4F/(pi d^2) in
    tension,
    32M/(pi d^3) in bending, 16T/(pi d^3) in torsion; 6M/(d^2 thickness) for a flat bar.

    Basis: fitted data. Sources: Pilkey, Peterson's Stress Concentration Factors, ch. 2 and 3 (minus
    signs of bending and torsion restored by the rule that Kt is 1 for a vanishing small section);
    Roark's Formulas, 7th ed., Table 17.1; Tipton, Sorem and Rolovic, J. Mech. Des. 118 (1996),
    coefficients seen in public programs, range D/d 1.01 to 6 and r/d 0.002 to 0.3 from memory.
    Beside the solved field, over all of their own range with D/d 1.02 to 6 and r/d from 0.01, the
    fits of Pilkey and Roark are up to 25 % too low in tension, 13 % in bending and 3 % in torsion,
    at most 8 % too high; Tipton's three fits agree within 3 %. Outside its range a fit warns; below
    1, which no notch has, it is refused at a sharp radius and held at 1 at a blunt one.
    """
    large, small, arc = np.asarray(large_diameter), small_diameter, np.asarray(radius)
    if np.any(large <= small):
        raise ValueError("large_diameter must be above small_diameter: are the two swapped?")
    if shoulder_length is not None:
        _check_shoulder(shape, shoulder_length, large, small, arc)
    if source == "tipton":
        return _one_at_least(
            _tipton(load, shape, large / small, arc / small), f"shoulder tipton {load}"
        )
    fits = _fits_of(load, source, shape)
    slenderness, depth = np.broadcast_arrays((large - small) / (2 * arc), 1 - small / large)
    name, sharpest = f"{shape} {source} {load}", fits[-1][1]
    warn_outside("step over radius, (D - d)/(2 r),", slenderness, fits[0][0], sharpest, name)
    kt = np.full(slenderness.shape, np.nan)
    for _, most, table, _ in fits:
        here = np.isnan(kt) & ((slenderness <= most) | (most == sharpest))
        kt = np.where(here, _fitted(table, slenderness, depth), kt)
    if np.any((kt < 1) & (slenderness > sharpest)):
        raise ValueError(
            f"radius is too small for the fit {name}: it says Kt {kt.min():.3g}, and no notch has "
            "less than 1; use stress_field.solve_fillet, "
            f"or a radius of at least (D - d)/{2 * sharpest:g}"
        )
    return _one_at_least(kt, name)


def _fitted(table, slenderness, depth):
    """Kt of a fit's twelve coefficients."""
    roots = np.stack([np.ones_like(slenderness), np.sqrt(slenderness), slenderness])
    terms = table @ roots.reshape(3, -1)
    powers = depth.reshape(1, -1) ** np.arange(4)[:, None]
    return np.einsum("ik,ik->k", terms, powers).reshape(slenderness.shape)


def _one_at_least(kt, fit):
    """Kt of a blunt radius, where a fit may miss 1 by its own scatter."""
    if np.any(kt < 1):
        warnings.warn(
            f"the fit {fit} says Kt {np.min(kt):.3g}, and no notch has less than 1: "
            "1 is returned there",
            OutOfRangeWarning,
            stacklevel=4,
        )
        kt = np.maximum(kt, 1.0)
    return float(kt) if kt.ndim == 0 else kt


def warn_outside(what, value, least, most, fit):
    """Warn of a value outside the range of a fit."""
    if np.any(value < least * (1 - 1e-9)) or np.any(value > most * (1 + 1e-9)):
        worst = float(np.max(value) if np.any(value > most) else np.min(value))
        warnings.warn(
            f"{what} is {worst:.3g}; the fit {fit} holds from {least:g} to {most:g}: "
            "trust the solved field instead",
            OutOfRangeWarning,
            stacklevel=4,
        )


def _tipton(load, shape, ratio, relative):
    if shape != "shoulder" or load not in TIPTON:
        raise ValueError(
            f"source tipton has no fit for {shape} in {load}; "
            "use it for a shoulder in tension, bending or torsion"
        )
    ratio, relative = np.broadcast_arrays(ratio, relative)
    fit = f"shoulder tipton {load}"
    warn_outside("large over small diameter, D/d,", ratio, *TIPTON_RATIO, fit)
    warn_outside("radius over small diameter, r/d,", relative, *TIPTON_RADIUS, fit)
    first, second, third, fourth, top, bottom = TIPTON[load]
    root = np.sqrt(polyval(ratio**2, top) / polyval(ratio**2, bottom))
    return first + second * ratio**third + relative**fourth * root


def _check_shoulder(shape, length, large, small, arc):
    """Roark's condition of a long shoulder: L/D above 0.8 / (r/(D - 2h))^(1/4)."""
    if shape != "flat bar":
        raise ValueError(f"shoulder_length belongs to a flat bar, not to a {shape}; leave it out")
    wanted = np.max(0.8 * large / (arc / small) ** 0.25)
    if np.any(np.asarray(length) < wanted):
        warnings.warn(
            f"shoulder_length {np.min(length):.3g} mm is short of the {wanted:.3g} mm this fit "
            "is made for: it says too much stress",
            OutOfRangeWarning,
            stacklevel=4,
        )


@takes(least_corner="mm > 0, one", gives="mm")
def largest_shaft_fillet(least_corner):
    """Largest fillet of the shaft that a bearing's corner clears.

    ``least_corner`` is the bearing's smallest single corner dimension, rs min, from its maker's
    table.
    Basis: standard. Source: ISO 582 as bearing catalogs reproduce it; each row of
    ``data/bearing_corners.csv`` says whether it was seen or is from memory. The fillet allowed is
    often smaller than the one strength asks for: relieve the shoulder, or use a spacer ring.
    """
    known = {
        float(row["least_corner_mm"]): float(row["largest_fillet_mm"])
        for row in rows("bearing_corners")
    }
    for corner, fillet in known.items():
        if abs(corner - least_corner) < 1e-6:
            return fillet
    listed = ", ".join(f"{corner:g}" for corner in known)
    raise ValueError(
        f"least_corner {least_corner:g} mm is not a standard bearing corner; "
        f"write one of {listed} mm"
    )
