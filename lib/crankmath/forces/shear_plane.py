"""The chip as a layer sheared on one plane: its shear angle, predicted or measured."""

import warnings

import numpy as np

from ..checks import takes
from ..units import OutOfRangeWarning

MODELS = ("merchant", "lee-shaffer")


@takes(
    rake="deg (-45..60)",
    friction_angle="deg (0..90)",
    model=MODELS,
    machining_constant="deg (0..180)",
    gives="deg",
)
def shear_angle(rake, friction_angle, model="merchant", machining_constant=None):
    """Angle of the plane on which the chip shears, predicted from friction.

    Merchant: φ = (C + α - λ)/2 with C = 90 deg; Lee and Shaffer: φ = 45° + α - λ.
    ``friction_angle`` is λ, whose tangent is the coefficient of friction of chip on tool;
    ``machining_constant`` is C of Merchant's second solution, a property of the steel, about 70
    deg.
    Basis: derived. Ghosh and Mallik, Manufacturing Science, Ex. 4.3 and 4.4, work it. Tests on
    steel scatter by 5 to 10 deg.
    """
    if model == "merchant":
        constant = np.pi / 2 if machining_constant is None else machining_constant
        plane = (constant + rake - friction_angle) / 2
    else:
        plane = np.pi / 4 + rake - friction_angle
    if np.any(np.asarray(plane) <= 0):
        raise ValueError(
            "friction_angle is so large that this model finds no shear plane; "
            "write a smaller one or more rake"
        )
    return np.degrees(plane)


@takes(rake="deg (-45..60)", layer_thickness="mm > 0", chip_thickness="mm > 0", gives="deg")
def measured_shear_angle(rake, layer_thickness, chip_thickness):
    """Shear angle from a chip measured with the micrometer: tan φ = r cos α / (1 - r sin α).

    r = ``layer_thickness`` / ``chip_thickness``, the thickness before cutting (the feed, with a
    square-on edge) and that of the chip; a chip thinner than its layer gets an OutOfRangeWarning.
    Basis: derived; Ghosh and Mallik, Ex. 4.1.
    """
    ratio = np.asarray(layer_thickness) / chip_thickness
    if np.any(ratio > 1):
        warnings.warn(
            "chip_thickness is below layer_thickness: steel is not known to do that; measure again",
            OutOfRangeWarning,
            stacklevel=3,
        )
    return np.degrees(np.arctan2(ratio * np.cos(rake), 1 - ratio * np.sin(rake)))
