"""Thrust between centers as the shop finds it, and what a center hole bears."""

import numpy as np

from ..checks import counted, takes
from ..crank import Crank
from ..frame import frame


@takes(
    torque="N*mm >= 0",
    lead="mm > 0",
    efficiency="number 0..1",
    friction="number >= 0",
    mean_diameter="mm > 0",
    thread_angle="rad >= 0",
    collar_friction="number >= 0",
    collar_diameter="mm > 0",
    gives="N",
)
def screw_thrust(
    torque,
    lead,
    *,
    efficiency=None,
    friction=None,
    mean_diameter=None,
    thread_angle=None,
    collar_friction=0.0,
    collar_diameter=None,
):
    """Thrust of a tailstock screw turned with a torque: force on its handwheel times radius.

    With an efficiency F = 2 pi eta T / l. With friction of the thread, which needs its
    ``mean_diameter``, T = F d/2 (l + pi f d s) / (pi d - f l s) + F f_c d_c / 2, s = 1/cos(a / 2);
    a is the ``thread_angle`` between the flanks, by default that of a square thread, zero.
    Basis: derived; the power-screw relation of machine-design texts. Friction of a workshop screw
    is known to about a half: measure with a spring or dial where it matters. What the tailstock's
    own friction and the quill's clamp take is left out.
    """
    if (efficiency is None) == (friction is None):
        raise ValueError(
            "efficiency or friction, one of the two: "
            "write efficiency=0.3 or friction=0.15 with mean_diameter"
        )
    if efficiency is not None:
        if np.any(np.asarray(efficiency) <= 0):
            raise ValueError("efficiency must be above 0; write for example 0.3")
        return 2 * np.pi * efficiency * torque / lead
    if mean_diameter is None:
        raise TypeError("mean_diameter is missing: write that of the thread, such as 14 mm")
    angle = 0.0 if thread_angle is None else thread_angle
    if np.any(angle >= np.pi):
        raise ValueError("thread_angle must be below 180 degrees; write for example 30 deg")
    flank = friction / np.cos(angle / 2)
    if np.any(np.pi * mean_diameter <= flank * lead):
        raise ValueError(
            "friction is so large that the screw cannot be turned; write a smaller friction or lead"
        )
    per_force = (
        mean_diameter
        / 2
        * (lead + np.pi * flank * mean_diameter)
        / (np.pi * mean_diameter - flank * lead)
    )
    if np.any(np.asarray(collar_friction) > 0):
        if collar_diameter is None:
            raise TypeError("collar_diameter is missing: write the mean one, such as 20 mm")
        per_force = per_force + collar_friction * collar_diameter / 2
    return torque / per_force


@takes(rate="N/mm > 0", compression="mm >= 0", gives="N")
def spring_thrust(rate, compression):
    """Thrust read off a spring between tailstock and work: rate times compression.

    Basis: derived. Find the rate with a known weight. A spring also keeps the thrust when the work
    grows warm.
    """
    return rate * compression


@takes(crank=Crank, closure="mm >= 0", gives="N")
def closure_thrust(crank, closure, throw=0):
    """Thrust that closes a throw's empty gap by what an indicator in it reads.

    The crank is its own gauge. ``closure`` is that on the main axis, from just touching to pressed,
    no spacer in; ``throw`` counts from zero. Basis: fitted data; as ``frame.build``.
    """
    throw = counted(throw, crank.throws, "throw")
    built = frame.build(crank)
    return closure / float(-built.gap_rows(throw)[0] @ built.compliance @ built.thrust)


@takes(thrust="N >= 0", mouth_diameter="mm > 0", pilot_diameter="mm >= 0", gives="MPa")
def center_pressure(thrust, mouth_diameter, pilot_diameter):
    """Pressure of a center in its hole: 4 F / (pi (D^2 - d^2)).

    The thrust over the ring seen along the axis, of the cone that touches, from its wide to its
    narrow end. Basis: derived; full, even contact without friction, any cone angle. A hole that
    touches in a narrow ring bears that much more: use the ring's diameters.
    """
    return thrust / _ring(mouth_diameter, pilot_diameter)


@takes(allowed_pressure="MPa > 0", mouth_diameter="mm > 0", pilot_diameter="mm >= 0", gives="N")
def center_thrust_limit(allowed_pressure, mouth_diameter, pilot_diameter):
    """Thrust at which a center reaches an allowed pressure in its hole.

    For a dead center the ``allowed_pressure`` is what its grease bears while the work turns on it;
    for a live one what the hole bears without being set, a fraction of the yield strength.
    Basis: derived; as ``center_pressure``. The allowed pressure is the reader's: no published value
    was found.
    """
    return allowed_pressure * _ring(mouth_diameter, pilot_diameter)


@takes(radial_load="N >= 0", friction="number 0..0.5", gives="N")
def holding_thrust(radial_load, friction=0.0):
    """Least thrust that keeps a 60 degree center in its hole: F = R tan(30° − arctan f).

    ``radial_load`` is what pushes the work aside at that center; ``friction`` that between center
    and hole. Do not count on it: the work slides around a dead center, which leaves it little along
    the cone, and each turn of the load lets a live one creep out. A force along the work that takes
    thrust off the center comes on top.
    Basis: derived; statics, the load on one side of the cone. Friction of a greased center 0.15,
    from memory.
    """
    return radial_load * np.tan(np.pi / 6 - np.arctan(friction))


def _ring(mouth, pilot):
    if np.any(np.asarray(mouth) <= pilot):
        raise ValueError("mouth_diameter must be above pilot_diameter: are the two swapped?")
    return np.pi / 4 * (mouth**2 - pilot**2)
