"""The chip as a layer sheared on one plane: shear angle foretold or measured, strain, forces."""

import warnings

import numpy as np

from ..checks import radians_within
from ..units import OutOfRangeWarning, Quantity, magnitude, number

MODELS = ("merchant", "lee-shaffer")


def shear_angle(rake, friction_angle, model="merchant", machining_constant=None):
    r"""Angle of the plane on which the chip shears, foretold from friction.

    Merchant: :math:`\phi = (C + \alpha - \lambda)/2` with C = 90 deg; Lee and Shaffer: :math:`\phi = 45° + \alpha - \lambda`.

    Parameters
    ----------
    rake : Quantity [angle]
    friction_angle : Quantity [angle]
        lambda, whose tangent is the coefficient of friction of chip on tool.
    model : str
        "merchant" or "lee-shaffer".
    machining_constant : Quantity [angle], optional
        C of Merchant's second solution, a property of the steel (about 70 deg); 90 deg without it.

    Returns
    -------
    Quantity [deg]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or leaves no shear plane.

    Notes
    -----
    Basis: derived. Ghosh and Mallik, Manufacturing Science, Ex. 4.3 and 4.4, work it. Tests on steel scatter by 5 to 10 deg.
    """
    slope, friction = (
        radians_within(rake, "rake", -45, 60),
        radians_within(friction_angle, "friction_angle", 0, 90),
    )
    if model not in MODELS:
        raise ValueError(f"model must be one of {', '.join(MODELS)}, not {model!r}")
    if model == "merchant":
        constant = (
            np.pi / 2
            if machining_constant is None
            else radians_within(machining_constant, "machining_constant", 0, 180)
        )
        plane = (constant + slope - friction) / 2
    else:
        plane = np.pi / 4 + slope - friction
    if np.any(np.asarray(plane) <= 0):
        raise ValueError(
            "friction_angle is so large that this model finds no shear plane; write a smaller one or more rake"
        )
    return Quantity(np.degrees(plane), "deg")


def measured_shear_angle(rake, layer_thickness, chip_thickness):
    r"""Shear angle from a chip measured with the micrometer.

    .. math:: \tan\phi = \frac{r\cos\alpha}{1 - r\sin\alpha}, \quad r = h/h_{chip}

    Parameters
    ----------
    rake : Quantity [angle]
    layer_thickness, chip_thickness : Quantity [length]
        Before cutting (the feed, with a square-on edge) and of the chip.

    Returns
    -------
    Quantity [deg]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived; Ghosh and Mallik, Ex. 4.1. A chip thinner than its layer is told with an ``OutOfRangeWarning``.
    """
    slope = radians_within(rake, "rake", -45, 60)
    ratio = np.asarray(magnitude(layer_thickness, "mm", "layer_thickness", above=0)) / magnitude(
        chip_thickness, "mm", "chip_thickness", above=0
    )
    if np.any(ratio > 1):
        warnings.warn(
            "chip_thickness is below layer_thickness: steel is not known to do that; measure again",
            OutOfRangeWarning,
            stacklevel=2,
        )
    return Quantity(np.degrees(np.arctan2(ratio * np.cos(slope), 1 - ratio * np.sin(slope))), "deg")


def shear_strain(rake, shear_angle):
    r"""Shear strain of the chip.

    .. math:: \gamma = \cot\phi + \tan(\phi - \alpha)

    Parameters
    ----------
    rake, shear_angle : Quantity [angle]

    Returns
    -------
    float or ndarray [no unit]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived; Ghosh and Mallik, Ex. 4.1.
    """
    slope, plane = (
        radians_within(rake, "rake", -45, 60),
        radians_within(shear_angle, "shear_angle", 0, 90),
    )
    return number(1 / np.tan(plane) + np.tan(plane - slope), "shear_strain")


def shear_plane_force(shear_strength, width, chip_thickness, rake, friction_angle, shear_angle):
    r"""Cutting and thrust force of a chip sheared on one plane.

    .. math:: F_c = \frac{\tau b h \cos(\lambda-\alpha)}{\sin\phi\cos(\phi+\lambda-\alpha)}, \quad F_t = F_c\tan(\lambda-\alpha)

    Parameters
    ----------
    shear_strength : Quantity [stress]
        Of the steel as it is being sheared, about its ultimate shear strength.
    width, chip_thickness : Quantity [length]
        Of the layer cut.
    rake, friction_angle, shear_angle : Quantity [angle]

    Returns
    -------
    tuple of Quantity [N]
        Along the speed, and square to it pressing the tool away.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived (Merchant's circle); Ghosh and Mallik, Ex. 4.3 and 4.4. The edge's own force is left out: see ``forces.thin_chip_force``.
    """
    stress = magnitude(shear_strength, "MPa", "shear_strength", above=0)
    area = magnitude(width, "mm", "width", above=0) * magnitude(
        chip_thickness, "mm", "chip_thickness", above=0
    )
    tilt = radians_within(friction_angle, "friction_angle", 0, 90) - radians_within(
        rake, "rake", -45, 60
    )
    plane = radians_within(shear_angle, "shear_angle", 0, 90)
    if np.any(np.cos(plane + tilt) <= 0):
        raise ValueError(
            "shear_angle, friction_angle and rake together leave no resultant that shears the chip; check them"
        )
    resultant = stress * area / np.sin(plane) / np.cos(plane + tilt)
    return Quantity(resultant * np.cos(tilt), "N"), Quantity(resultant * np.sin(tilt), "N")
