"""Interference fits: pressure, force and torque, and the warmth that opens them."""

import warnings
from dataclasses import dataclass

import numpy as np

from ..checks import takes
from ..units import OutOfRangeWarning, Quantity

STEEL_MODULUS, STEEL_POISSON = 206e3, 0.3  # MPa; handbook values, from memory
BEARING_HEAT = 120.0  # degC; common practice: hotter, the ring's hardness and its seals suffer


@dataclass(frozen=True)
class PressFit:
    """Pressure of the joint, hoop stress in the hub's bore, force to press on, torque carried."""

    pressure: Quantity
    hub_stress: Quantity
    force: Quantity
    torque: Quantity


@takes(
    diameter="mm > 0",
    hub_diameter="mm > 0",
    length="mm > 0",
    interference="mm >= 0",
    friction="number > 0",
    shaft_bore="mm >= 0",
    shaft_modulus="MPa > 0",
    hub_modulus="MPa > 0",
    shaft_poisson="number 0..0.5",
    hub_poisson="number 0..0.5",
)
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
    """Pressure of a shaft pressed into a hub, the hub's stress, the force, the torque.

    p = (i/d) / (((D^2 + d^2)/(D^2 - d^2) + nu_h)/E_h + ((d^2 + b^2)/(d^2 - b^2) - nu_s)/E_s),
    F = f p pi d L.

    - ``diameter``, ``hub_diameter``, ``length``: Of the joint, outside of the hub, along the joint.
    - ``interference``: On the diameter.
    - ``friction``: 0.12 for oiled steel is common practice, no source; it varies from 0.06 to 0.2.
    - ``shaft_modulus``, ``hub_modulus``: Default steel.
    - ``shaft_bore``: Default a solid shaft.

    Basis: derived. Lame's thick rings, elastic, surfaces smooth; roughness takes some of the
    interference. Compare the hub's stress with its yield strength. A press holds stored force:
    guard it and stand aside.
    """
    if np.any(np.asarray(friction) > 1):
        raise ValueError(
            f"friction must be at most 1, not {np.max(friction):g}; write for example 0.12"
        )
    bore = 0.0 if shaft_bore is None else np.asarray(shaft_bore)
    joint, hub = np.asarray(diameter), np.asarray(hub_diameter)
    if np.any(hub <= joint):
        raise ValueError("hub_diameter must be larger than diameter")
    if np.any(bore >= joint):
        raise ValueError("shaft_bore must be smaller than diameter")
    shaft_e, hub_e = (STEEL_MODULUS if e is None else e for e in (shaft_modulus, hub_modulus))
    ring = (hub**2 + joint**2) / (hub**2 - joint**2)
    core = (joint**2 + bore**2) / (joint**2 - bore**2)
    pressure = (
        interference / joint / ((ring + hub_poisson) / hub_e + (core - shaft_poisson) / shaft_e)
    )
    force = friction * pressure * np.pi * joint * length
    return PressFit(
        Quantity(pressure, "MPa"),
        Quantity(pressure * ring, "MPa"),
        Quantity(force, "N"),
        Quantity(force * joint / 2000, "N*m"),
    )


@takes(
    diameter="mm > 0",
    interference="mm >= 0",
    expansion="1/delta_degC > 0",
    clearance="mm >= 0",
    room="degC",
    gives="delta_degC",
)
def shrink_rise(diameter, interference, expansion, clearance=None, room=None, bearing=False):
    """Rise of temperature at which a hub or ring drops over its shaft, (i + c) / (alpha d).

    - ``expansion``: Of what is warmed.
    - ``clearance``: Wanted while joining; default half a thousandth of the diameter (common
      practice, no source).
    - ``room``: Default 20 degC; for the warning only.
    - ``bearing``: A ball bearing is warmed: warned above 120 degC.

    Basis: derived; limit for bearings common practice, from memory. Hot parts burn: gloves, tongs,
    no flame on a bearing.
    """
    wanted = np.asarray(diameter) / 2000 if clearance is None else clearance
    rise = (interference + wanted) / (np.asarray(diameter) * expansion)
    start = 20.0 if room is None else room
    if bearing and np.any(start + rise > BEARING_HEAT):
        warnings.warn(
            f"shrink_rise: the bearing would be {np.max(start + rise):.0f} degC, above "
            f"{BEARING_HEAT:.0f}; take a looser fit or chill the shaft",
            OutOfRangeWarning,
            stacklevel=3,
        )
    return rise
