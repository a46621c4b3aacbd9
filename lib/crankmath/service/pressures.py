"""Pressure in a cylinder over its cycle: liquid pump, air compressor, four- and two-stroke engine.

Angles count from the outer dead center, pressures above the atmosphere. What is under pressure can
hurt: relieve it before you open it, and follow local codes and licensed practice.
"""

import numpy as np

from ..checks import takes
from ..crank import motion
from ..units import Quantity

ATMOSPHERE = Quantity(0.1013, "MPa")
STANDING = Quantity(0.0, "rpm")


@takes(pressure="MPa", bore="mm > 0", gives="N")
def piston_force(pressure, bore):
    """Force of a pressure on a piston, F = p pi B^2 / 4.

    - ``pressure``: Above the atmosphere; negative for suction.

    Basis: derived.
    """
    return pressure * np.pi / 4 * np.asarray(bore) ** 2


@takes(angle="deg", delivery="MPa", suction="MPa", gives="MPa")
def pump_pressure(angle, delivery, suction=Quantity(0.0, "MPa")):
    """Pressure in a liquid pump's cylinder: suction on the way in, delivery on the way out.

    - ``delivery``, ``suction``: Above the atmosphere; valve losses included.

    Basis: derived; the liquid is rigid, valves act at once. Water hammer is not in it.
    """
    return np.where(np.mod(angle, 360) < 180, suction, delivery)


@takes(
    suction="MPa, one",
    delivery="MPa, one",
    clearance="number > 0",
    exponent="number 1..2",
    atmosphere="MPa > 0, one",
    gives="MPa",
)
def compressor_pressure(
    angle, suction, delivery, clearance, throw, rod_length, exponent=1.3, atmosphere=ATMOSPHERE
):
    """Pressure in a single-acting air compressor's cylinder, p V^n constant with all valves shut.

    - ``angle`` [deg], ``throw``, ``rod_length`` [mm]: As for ``motion.piston_motion``.
    - ``suction``, ``delivery``: Above the atmosphere.
    - ``clearance``: Volume at the outer dead center over the swept volume.
    - ``exponent``: 1 for slow and cool, 1.4 for no heat lost; no gas has more than 1.67.

    Basis: derived; ideal valves, the indicator diagram of every textbook.
    """
    if suction <= -atmosphere:
        raise ValueError(f"suction must be above {-atmosphere:.4g} MPa, the empty cylinder")
    low, high = suction + atmosphere, delivery + atmosphere
    if high <= low:
        raise ValueError("delivery must be above suction; are the two swapped?")
    share = _share(angle, throw, rod_length)
    expanding = np.maximum(high * (clearance / (clearance + share)) ** exponent, low)
    pressing = np.minimum(low * ((clearance + 1) / (clearance + share)) ** exponent, high)
    outward = np.mod(angle.m_as("deg"), 360) < 180
    return np.where(outward, expanding, pressing) - atmosphere


@takes(
    angle="deg",
    compression_ratio="number > 1",
    peak_pressure="MPa > 0, one",
    strokes=(2, 4),
    exponent="number 1..2",
    peak_angle="deg >= 0, one",
    port_angle="deg > 0, one",
    inlet="MPa, one",
    exhaust="MPa, one",
    atmosphere="MPa > 0, one",
    gives="MPa",
)
def engine_pressure(
    angle,
    compression_ratio,
    peak_pressure,
    throw,
    rod_length,
    strokes=4,
    exponent=1.3,
    peak_angle=Quantity(15.0, "deg"),
    port_angle=Quantity(110.0, "deg"),
    inlet=Quantity(0.0, "MPa"),
    exhaust=Quantity(0.0, "MPa"),
    atmosphere=ATMOSPHERE,
):
    """Pressure in an engine's cylinder over its cycle, p V^n constant as it compresses and expands.

    Its charge fires at angle 0; a four-stroke cycle is two turns, a two-stroke one turn long.

    - ``angle``, ``throw``, ``rod_length`` [mm]: As for ``motion.piston_motion``.
    - ``compression_ratio``: Largest over smallest volume.
    - ``peak_pressure``, ``inlet``, ``exhaust``: Above the atmosphere.
    - ``peak_angle``: At which the pressure peaks; it rises evenly to it from the outer dead center.
    - ``port_angle``: At which a two-stroke's ports open, and before 360 deg shut.

    Basis: rule of thumb. Source: Heywood, Internal Combustion Engine Fundamentals, from memory:
    exponent about 1.3 both ways, peak some 15 deg after the dead center. Valves act at once at the
    dead centers, ports of 110 deg are common practice, no source.
    """
    if not peak_angle < port_angle < 180:
        raise ValueError(
            f"port_angle must lie between peak_angle, {peak_angle:.4g} deg, and 180 deg, not "
            f"{port_angle:.4g} deg"
        )
    if min(inlet, exhaust) <= -atmosphere:
        raise ValueError(f"inlet and exhaust must be above {-atmosphere:.4g} MPa, a vacuum")
    if strokes == 4:
        opens, shuts = 180.0, 540.0
    else:
        opens, shuts = port_angle, 360.0 - port_angle
    cycle = 180.0 * strokes
    turned = np.mod(angle, cycle)
    volume = _volume(turned, compression_ratio, throw, rod_length)
    at = {
        place: float(_volume(place, compression_ratio, throw, rod_length))
        for place in (0.0, peak_angle, shuts)
    }
    low, high = inlet + atmosphere, peak_pressure + atmosphere
    pressed = low * (at[shuts] / at[0.0]) ** exponent
    if high < pressed:
        raise ValueError(
            f"peak_pressure must be above that of compression alone, {pressed - atmosphere:.4g} MPa"
        )
    expanding = high * (at[peak_angle] / volume) ** exponent
    rising = pressed + (high - pressed) * turned / (peak_angle or 1.0)
    compressing = low * (at[shuts] / volume) ** exponent
    scavenged = np.where(turned < 360.0, exhaust, inlet) if strokes == 4 else inlet
    absolute = np.select(
        [turned < peak_angle, turned < opens, turned < shuts],
        [rising, expanding, scavenged + atmosphere],
        compressing,
    )
    return absolute - atmosphere


def _volume(turned, compression_ratio, throw, rod_length):
    """Volume over the swept volume."""
    return 1 / (compression_ratio - 1) + _share(Quantity(turned, "deg"), throw, rod_length)


def _share(angle, throw, rod_length):
    """Travel over the stroke, which is two throws without offset."""
    travel = motion.piston_motion(angle, STANDING, throw, rod_length).travel
    return (travel / (2 * throw)).m_as("dimensionless")
