"""Stress risers on a plain shaft beside its fillets: keyseat, cross hole, edge of a hub.

All factors count on the stress of the whole, undisturbed section.
"""

import warnings

import numpy as np
from numpy.polynomial.polynomial import polyval

from ..checks import takes
from ..units import OutOfRangeWarning

LOADS = ("bending", "torsion")
KEYSEAT = {"bending": 2.14, "torsion": 3.0}  # at FLOOR, torsion with the key in its seat
FLOOR = 0.02  # radius of a keyseat's floor over the shaft's diameter
# Kt over powers of hole over diameter, of each a polynomial in bore over diameter
HOLE = {
    "bending": (
        (3.000, 0.0, 0.0),
        (-6.690, -1.620, 4.432),
        (44.739, 10.724, -19.927),
        (-53.307, -25.998, 43.258),
    ),
    "torsion": (
        (4.000, 0.0, 0.0),
        (-6.793, 1.133, -0.126),
        (38.382, -7.242, 6.495),
        (-44.576, -7.428, 58.656),
    ),
}
HUB, HUB_POWER, HUB_TORSION = 2.7, 0.43, 0.65


@takes(load=LOADS, diameter="mm > 0", radius="mm > 0")
def keyseat(load, diameter, radius=None):
    """Stress concentration factor of an end-milled keyseat, its key in place.

    - ``radius``: Of the corner at the seat's floor; default 0.02 of the shaft's diameter. A larger
      one counts as that, on the safe side; a smaller one by the root of the radius, and warns.

    Basis: fitted data. Source: Shigley, 9th ed., p. 373: 2.14 and 3.0 at r/d 0.02. Below, derived:
    nothing grows faster with its sharpness than a slit.
    """
    relative = FLOOR if radius is None else np.asarray(radius) / diameter
    _warn_outside("radius over diameter", relative, FLOOR, np.inf)
    return 1 + (KEYSEAT[load] - 1) * np.sqrt(np.maximum(FLOOR / relative, 1.0))


@takes(load=LOADS, diameter="mm > 0", hole="mm > 0", bore="mm >= 0")
def cross_hole(load, diameter, hole, bore=None):
    """Stress concentration factor of a hole across a shaft, an oil hole or that of a pin.

    In torsion the hole's edge is in plain tension: the factor is that tension over the shear.

    - ``hole``, ``bore``: Diameters, of the hole across and of one along the shaft (default 0).

    Basis: fitted data. Source: Roark, 7th ed., table 17.1, coefficients from memory. Range: hole up
    to 0.3, bore up to 0.8 of the diameter.
    """
    relative, hollow = np.asarray(hole) / diameter, (0.0 if bore is None else bore) / diameter
    _warn_outside("hole over diameter", relative, 0.0, 0.3)
    _warn_outside("bore over diameter", hollow, 0.0, 0.8)
    parts = [polyval(hollow, row) for row in HOLE[load]]
    return sum(part * relative**power for power, part in enumerate(parts))


@takes(load=LOADS, ultimate_strength="MPa > 0")
def hub_edge(load, ultimate_strength):
    """Fatigue factor at the edge of a hub that grips: pressed, shrunk or drawn up on a taper.

    Basis: fitted data, from memory of DIN 743-2: 2.7 (Su / 1000 MPa)^0.43 in bending, 0.65 of it in
    torsion, at 40 mm; rubbing is in it. Range: 400 to 1200 MPa.
    """
    _warn_outside("ultimate_strength in MPa", ultimate_strength, 400, 1200)
    factor = HUB * (np.asarray(ultimate_strength) / 1000) ** HUB_POWER
    return factor * (HUB_TORSION if load == "torsion" else 1.0)


def _warn_outside(what, value, least, most):
    """Warn of a value outside a source's range."""
    if np.any(value < least * (1 - 1e-9)) or np.any(value > most * (1 + 1e-9)):
        worst = float(np.max(value) if np.any(value > most) else np.min(value))
        warnings.warn(
            f"{what} is {worst:.3g}; the source reaches from {least:g} to {most:g}",
            OutOfRangeWarning,
            stacklevel=4,
        )
