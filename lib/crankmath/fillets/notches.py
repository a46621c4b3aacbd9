"""How much of a stress concentration fatigue feels: notch sensitivity and the fatigue factor."""

import numpy as np
from numpy.polynomial.polynomial import polyroots, polyval

from ..checks import takes
from ..units import Quantity
from .printed import LOADS, warn_outside

# square root of Neuber's length by tensile strength: coefficients from the constant on, unit of
# strength, of the length, range
NEUBER = {
    ("neuber", "bending"): ((1.24, -2.25e-3, 1.60e-6, -4.11e-10), "MPa", "mm", (340, 1700)),
    ("neuber", "torsion"): ((0.958, -1.83e-3, 1.43e-6, -4.11e-10), "MPa", "mm", (340, 1700)),
    ("neuber inch", "bending"): ((0.246, -3.08e-3, 1.51e-5, -2.67e-8), "kpsi", "in", (50, 250)),
    ("neuber inch", "torsion"): ((0.190, -2.51e-3, 1.35e-5, -2.67e-8), "kpsi", "in", (50, 250)),
}
SOURCES = ("neuber", "neuber inch", "peterson")


@takes(load=LOADS, ultimate_strength="MPa > 0", source=SOURCES, gives="mm")
def notch_length(load, ultimate_strength, source="neuber"):
    """Material length a against which a radius is sharp or blunt.

    Neuber: sqrt(a) is a cubic in the tensile strength, in two forms that differ by up to 2.5 % in
    sqrt(a) below 1000 MPa, more above. Peterson: a = 0.0254 mm (2070 MPa / Su)^1.8, six tenths of
    it in torsion. Refused where Neuber's cubic is negative: in torsion from 1617 MPa (234 kpsi) on,
    inside its printed range.
    Basis: fitted data, steel only. Sources: Shigley, 9th ed., eq. 6-35 (inch form); the SI form of
    later editions, seen in course notes. Peterson: seen in public programs, not in the book; the
    torsion fraction and this range for it from memory. Range: 340 to 1700 MPa (50 to 250 kpsi).
    """
    if source == "peterson":
        warn_outside("ultimate_strength in MPa", ultimate_strength, 340, 1700, "peterson")
        return 0.0254 * (2070 / ultimate_strength) ** 1.8 * (0.6 if load == "torsion" else 1.0)
    cubic, unit, length, (least, most) = NEUBER[
        source, "torsion" if load == "torsion" else "bending"
    ]
    size = Quantity(ultimate_strength, "MPa").m_as(unit)
    warn_outside(f"ultimate_strength in {unit}", size, least, most, source)
    root = polyval(size, cubic)
    if np.any(root <= 0):
        end = min(end.real for end in polyroots(cubic) if abs(end.imag) < 1e-9)
        raise ValueError(
            f"ultimate_strength must be below {end:.4g} {unit}, where Neuber's cubic turns "
            "negative; use source peterson above"
        )
    return Quantity(root**2, length).m_as("mm")


@takes(load=LOADS, ultimate_strength="MPa > 0", radius="mm > 0", source=SOURCES)
def notch_sensitivity(load, ultimate_strength, radius, source="neuber"):
    """Notch sensitivity q: the fraction of the stress concentration that fatigue feels.

    Neuber: q = 1 / (1 + sqrt(a/r)). Peterson: q = 1 / (1 + a/r).
    Basis: fitted data, steel only. Source: Shigley, 9th ed., eq. 6-33 to 6-35; Peterson as in
    ``notch_length``.
    """
    relative = notch_length.plain(load, ultimate_strength, source) / np.asarray(radius)
    fraction = 1 / (1 + (relative if source == "peterson" else np.sqrt(relative)))
    return float(fraction) if np.ndim(fraction) == 0 else fraction


@takes(
    kt="number >= 1",
    load=LOADS,
    ultimate_strength="MPa > 0",
    radius="mm > 0",
    source=SOURCES,
    sensitivity="number 0..1",
)
def fatigue_factor(
    kt, load=None, ultimate_strength=None, radius=None, source="neuber", sensitivity=None
):
    """Fatigue stress concentration factor Kf = 1 + q (Kt - 1).

    ``sensitivity`` is q; by default it is that of ``notch_sensitivity`` for the other arguments.
    Basis: standard. Source: Shigley, 9th ed., eq. 6-32.
    """
    if sensitivity is None:
        if load is None or ultimate_strength is None or radius is None:
            raise ValueError(
                "sensitivity is missing: write it, or load, ultimate_strength and radius"
            )
        sensitivity = notch_sensitivity.plain(load, ultimate_strength, radius, source)
    return 1 + sensitivity * (kt - 1)
