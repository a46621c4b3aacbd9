"""Pressing and shrinking: pressure, force and torque of an interference fit, and the warmth that opens it."""

import warnings
from dataclasses import dataclass

import numpy as np

from ..units import OutOfRangeWarning, Quantity, magnitude, number

STEEL_MODULUS, STEEL_POISSON = 206e3, 0.3  # MPa; handbook values, from memory
BEARING_HEAT = 120.0  # degC; common practice: hotter, the ring's hardness and its seals suffer


@dataclass(frozen=True)
class PressFit:
    """Pressure in the joint, greatest hoop stress in the hub's bore, force to press on, torque it carries."""

    pressure: Quantity
    hub_stress: Quantity
    force: Quantity
    torque: Quantity


def press_fit(
    diameter,
    hub_diameter,
    length,
    interference,
    friction=0.12,
    shaft_bore=None,
    shaft_modulus=None,
    hub_modulus=None,
    shaft_poisson=STEEL_POISSON,
    hub_poisson=STEEL_POISSON,
):
    r"""Pressure of a shaft pressed into a hub, the hub's stress, the force, the torque.

    .. math:: p = \frac{\delta / d}{\frac{1}{E_h}\left(\frac{D^2 + d^2}{D^2 - d^2} + \nu_h\right)
              + \frac{1}{E_s}\left(\frac{d^2 + b^2}{d^2 - b^2} - \nu_s\right)}, \qquad F = \mu\, p\, \pi d L

    Parameters
    ----------
    diameter, hub_diameter, length : Quantity [length]
        Of the joint, outside of the hub, along the joint.
    interference : Quantity [length]
        On the diameter.
    friction : float
        0.12 for oiled steel is common practice, no source; it varies from 0.06 to 0.2.
    shaft_bore : Quantity, optional [length]
    shaft_modulus, hub_modulus : Quantity, optional [stress]
        Steel without them.
    shaft_poisson, hub_poisson : float

    Returns
    -------
    PressFit

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        The hub is not larger than the joint, or a size is impossible.

    Notes
    -----
    Basis: derived. Lame's thick rings, elastic, surfaces smooth; roughness takes some of the interference. Compare the
    hub's stress with its yield strength. A press holds stored force: guard it and stand aside.
    """
    joint, hub = (
        magnitude(diameter, "mm", "diameter", above=0),
        magnitude(hub_diameter, "mm", "hub_diameter", above=0),
    )
    long, tight = (
        magnitude(length, "mm", "length", above=0),
        magnitude(interference, "mm", "interference", least=0),
    )
    bore = 0.0 if shaft_bore is None else magnitude(shaft_bore, "mm", "shaft_bore", least=0)
    if np.any(hub <= joint):
        raise ValueError("hub_diameter must be larger than diameter")
    if np.any(bore >= joint):
        raise ValueError("shaft_bore must be smaller than diameter")
    shaft_e, hub_e = (
        STEEL_MODULUS if value is None else magnitude(value, "MPa", name, above=0)
        for value, name in ((shaft_modulus, "shaft_modulus"), (hub_modulus, "hub_modulus"))
    )
    rubbing = number(friction, "friction", above=0, most=1)
    ring = (hub**2 + joint**2) / (hub**2 - joint**2)
    core = (joint**2 + bore**2) / (joint**2 - bore**2)
    pressure = (
        tight
        / joint
        / (
            (ring + number(hub_poisson, "hub_poisson", least=0, most=0.5)) / hub_e
            + (core - number(shaft_poisson, "shaft_poisson", least=0, most=0.5)) / shaft_e
        )
    )
    force = rubbing * pressure * np.pi * joint * long
    return PressFit(
        Quantity(pressure, "MPa"),
        Quantity(pressure * ring, "MPa"),
        Quantity(force, "N"),
        Quantity(force * joint / 2000, "N*m"),
    )


def shrink_rise(diameter, interference, expansion, clearance=None, room=None, bearing=False):
    r"""Rise of temperature at which a hub or ring drops over its shaft.

    .. math:: \Delta T = (\delta + c) / (\alpha d)

    Parameters
    ----------
    diameter, interference : Quantity [length]
    expansion : Quantity [1/temperature]
        Of what is warmed.
    clearance : Quantity, optional [length]
        Wanted while joining; half a thousandth of the diameter without it (common practice, no source).
    room : Quantity, optional [temperature]
        20 degC without it; used for the warning only.
    bearing : bool
        A ball bearing is warmed: warned above 120 degC.

    Returns
    -------
    Quantity [delta_degC]

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        A size is impossible.

    Warns
    -----
    OutOfRangeWarning
        A bearing would be hotter than 120 degC.

    Notes
    -----
    Basis: derived; limit for bearings common practice, from memory. Hot parts burn: gloves, tongs, no flame on a bearing.
    """
    size, tight = (
        magnitude(diameter, "mm", "diameter", above=0),
        magnitude(interference, "mm", "interference", least=0),
    )
    room_for = (
        size / 2000 if clearance is None else magnitude(clearance, "mm", "clearance", least=0)
    )
    rise = (tight + room_for) / (size * magnitude(expansion, "1/delta_degC", "expansion", above=0))
    start = 20.0 if room is None else magnitude(room, "degC", "room")
    if bearing and np.any(start + rise > BEARING_HEAT):
        warnings.warn(
            f"shrink_rise: the bearing would be {np.max(start + rise):.0f} degC, above {BEARING_HEAT:.0f}; "
            "take a looser fit or chill the shaft",
            OutOfRangeWarning,
            stacklevel=2,
        )
    return Quantity(rise, "delta_degC")
