"""What carries the cut: torque of the spindle, friction of the dead center, force on the dog."""

import numpy as np

from ..checks import radians_within
from ..units import Quantity, magnitude, number


def drive_torque(cutting_force, diameter):
    r"""Torque the spindle gives to a cut at a diameter.

    .. math:: T = F_c\,d/2

    Parameters
    ----------
    cutting_force : Quantity [force]
    diameter : Quantity [length]
        At the edge, about the axis of rotation; for the end of a web twice its swing radius.

    Returns
    -------
    Quantity [N m]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived.
    """
    return Quantity(
        magnitude(cutting_force, "N", "cutting_force", least=0)
        * magnitude(diameter, "m", "diameter", above=0)
        / 2,
        "N*m",
    )


def center_friction_torque(
    thrust, large_diameter, small_diameter=None, friction=0.15, included_angle=None
):
    r"""Torque of friction on a center: what a dead center takes from the drive, or a driving one gives without a dog.

    .. math:: T = \frac{\mu P}{\sin(\theta/2)}\,\frac{1}{3}\,\frac{D^3 - d^3}{D^2 - d^2}

    Parameters
    ----------
    thrust : Quantity [force]
        Axial force between the centers, with the feed force where it presses this way.
    large_diameter, small_diameter : Quantity [length]
        Mouth of the center hole, and its drilled hole (zero without it).
    friction : float
        Coefficient: 0.15 greased (a reference chart prints 0.15 to 0.20 for greased iron), 0.6 to 0.8 clean and dry.
    included_angle : Quantity [angle], optional
        Of the center; 60 deg without it.

    Returns
    -------
    Quantity [N m]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived, even pressure on the cone; a run-in center has up to a quarter less.
    """
    push = magnitude(thrust, "N", "thrust", least=0) * number(friction, "friction", least=0, most=2)
    large = magnitude(large_diameter, "m", "large_diameter", above=0)
    small = (
        0.0 if small_diameter is None else magnitude(small_diameter, "m", "small_diameter", least=0)
    )
    half = (
        np.pi / 6
        if included_angle is None
        else radians_within(included_angle, "included_angle", 0, 180.0001) / 2
    )
    if np.any(np.asarray(small) >= large):
        raise ValueError(
            "small_diameter must be below large_diameter: the cone has to bear on something"
        )
    return Quantity(push / np.sin(half) * (large**3 - small**3) / (large**2 - small**2) / 3, "N*m")


def dog_force(torque, radius, friction_torque=None):
    r"""Force between the dog's tail and its driving pin.

    .. math:: F = (T + T_{center}) / r

    Parameters
    ----------
    torque : Quantity [torque]
        Of the cut, from :func:`drive_torque`.
    radius : Quantity [length]
        From the axis to where pin and tail touch.
    friction_torque : Quantity [torque], optional
        Of the dead center at the other end, from :func:`center_friction_torque`.

    Returns
    -------
    Quantity [N]
        A dog with one tail pushes the work aside with this force too, and the direction turns with the work; two
        tails on an evening driver do not.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived.
    """
    total = magnitude(torque, "N*m", "torque", least=0)
    total = total + (
        0.0
        if friction_torque is None
        else magnitude(friction_torque, "N*m", "friction_torque", least=0)
    )
    return Quantity(total / magnitude(radius, "m", "radius", above=0), "N")
