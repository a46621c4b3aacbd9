"""Thrust between centers and the gap of a throw as the shop measures them, and what a center hole bears.

:mod:`spacers` offers these names too: they belong to fitting a spacer.
"""

import warnings
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from ..checks import counted, made
from ..crank import Crank
from ..frame import frame
from ..units import OutOfRangeWarning, Quantity, magnitude, number, ureg

NEWTON, MEGAPASCAL, MILLIMETER = (ureg.Unit(unit) for unit in ("N", "MPa", "mm"))
MOST_SHIMS = 16


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
    """Thrust of a tailstock screw turned with a torque.

    With an efficiency F = 2 pi eta T / l. With friction
    T = F d/2 (l + pi f d s) / (pi d - f l s) + F f_c d_c / 2, where
    s = 1/cos(thread_angle / 2).

    Parameters
    ----------
    torque : Quantity, scalar or array [torque]
        At the handwheel: force on its rim times its radius.
    lead : Quantity, scalar or array [length]
        Travel per turn.
    efficiency : float or array, optional
        From 0 to 1. Either this or ``friction``.
    friction : float or array, optional
        Of the thread; needs ``mean_diameter``.
    mean_diameter : Quantity, optional [length]
        Of the thread.
    thread_angle : Quantity, optional [angle]
        Angle between the flanks; zero, a square thread, without it.
    collar_friction : float
    collar_diameter : Quantity, optional [length]
        Mean diameter of the thrust collar.

    Returns
    -------
    Quantity [N]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        Bad values; neither or both of efficiency and friction.

    Notes
    -----
    Basis: derived; the power-screw relation of machine-design texts. Friction of
    a workshop screw is known to about a half: measure with a spring or dial where
    it matters. What the tailstock's own friction and the quill's clamp take is left out.
    """
    turning = magnitude(torque, "N*mm", "torque", least=0)
    travel = magnitude(lead, "mm", "lead", above=0)
    if (efficiency is None) == (friction is None):
        raise ValueError(
            "efficiency or friction, one of the two: write efficiency=0.3 or friction=0.15 with mean_diameter"
        )
    if efficiency is not None:
        return Quantity(
            2 * np.pi * number(efficiency, "efficiency", above=0, most=1) * turning / travel, NEWTON
        )
    rubbing = number(friction, "friction", least=0)
    diameter = magnitude(mean_diameter, "mm", "mean_diameter", above=0)
    angle = 0.0 if thread_angle is None else magnitude(thread_angle, "rad", "thread_angle", least=0)
    if np.any(angle >= np.pi):
        raise ValueError("thread_angle must be below 180 degrees; write for example 30 deg")
    flank = rubbing / np.cos(angle / 2)
    if np.any(np.pi * diameter <= flank * travel):
        raise ValueError(
            "friction is so large that the screw cannot be turned; write a smaller friction or lead"
        )
    per_force = (
        diameter / 2 * (travel + np.pi * flank * diameter) / (np.pi * diameter - flank * travel)
    )
    rub = number(collar_friction, "collar_friction", least=0)
    if np.any(np.asarray(rub) > 0):
        per_force = (
            per_force + rub * magnitude(collar_diameter, "mm", "collar_diameter", above=0) / 2
        )
    return Quantity(turning / per_force, NEWTON)


def spring_thrust(rate, compression):
    """Thrust read off a spring between tailstock and work: rate times compression.

    Parameters
    ----------
    rate : Quantity, scalar or array [force/length]
        Find it with a known weight.
    compression : Quantity, scalar or array [length]

    Returns
    -------
    Quantity [N]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        Bad values.

    Notes
    -----
    Basis: derived. A spring also keeps the thrust when the work grows warm.
    """
    return Quantity(
        magnitude(rate, "N/mm", "rate", above=0)
        * magnitude(compression, "mm", "compression", least=0),
        NEWTON,
    )


def closure_thrust(crank, closure, throw=0):
    """Thrust that closes a throw's empty gap by what an indicator in it reads: the crank as its own gauge.

    Parameters
    ----------
    crank : Crank
    closure : Quantity, scalar or array [length]
        Of the gap on the main axis, from just touching to pressed, no spacer in.
    throw : int
        Counts throws from zero.

    Returns
    -------
    Quantity [N]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        Bad values, or no such throw.

    Notes
    -----
    Basis: fitted data; as ``frame.build``, so about 5 %.
    """
    made(crank, Crank, "crank")
    throw = counted(throw, crank.throws, "throw")
    built = frame.build(crank)
    per_newton = -built.gap_rows(throw)[0] @ built.compliance @ built.thrust
    return Quantity(magnitude(closure, "mm", "closure", least=0) / per_newton, NEWTON)


def center_pressure(thrust, mouth_diameter, pilot_diameter):
    """Pressure of a center in its hole: thrust over the ring seen along the axis, 4 F / (pi (D^2 - d^2)).

    Parameters
    ----------
    thrust : Quantity, scalar or array [force]
    mouth_diameter, pilot_diameter : Quantity, scalar or array [length]
        Of the cone that touches, at its wide and its narrow end.

    Returns
    -------
    Quantity [MPa]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        Bad values; a mouth not wider than the pilot.

    Notes
    -----
    Basis: derived; full, even contact without friction, any cone angle. A hole
    that touches in a narrow ring bears that much more: use the ring's diameters.
    """
    return Quantity(
        magnitude(thrust, "N", "thrust", least=0) / _ring(mouth_diameter, pilot_diameter),
        MEGAPASCAL,
    )


def center_thrust_limit(allowed_pressure, mouth_diameter, pilot_diameter):
    """Thrust at which a center reaches an allowed pressure in its hole.

    Parameters
    ----------
    allowed_pressure : Quantity, scalar or array [stress]
        For a dead center what its grease bears while the work turns on it; for a
        live one what the hole bears without being set, a share of the yield strength.
    mouth_diameter, pilot_diameter : Quantity, scalar or array [length]

    Returns
    -------
    Quantity [N]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        Bad values; a mouth not wider than the pilot.

    Notes
    -----
    Basis: derived; as ``center_pressure``. The allowed pressure is the
    reader's: no published value was found.
    """
    return Quantity(
        magnitude(allowed_pressure, "MPa", "allowed_pressure", above=0)
        * _ring(mouth_diameter, pilot_diameter),
        NEWTON,
    )


def _ring(mouth_diameter, pilot_diameter):
    mouth, pilot = (
        magnitude(mouth_diameter, "mm", "mouth_diameter", above=0),
        magnitude(pilot_diameter, "mm", "pilot_diameter", least=0),
    )
    if np.any(mouth <= pilot):
        raise ValueError("mouth_diameter must be above pilot_diameter: are the two swapped?")
    return np.pi / 4 * (mouth**2 - pilot**2)


@dataclass(frozen=True)
class FeltGap:
    """A gap between what goes in and what does not: its middle and how far it may be off either way."""

    gap: Quantity
    doubt: Quantity


def felt_gap(goes, stops):
    """Gap measured by a rod and shims, turned-to-length rods or gauge blocks: the longest that goes in, the shortest that stops.

    Parameters
    ----------
    goes, stops : Quantity, scalar [length]
        Total lengths.

    Returns
    -------
    FeltGap [mm]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        Bad values; a length that stops and is not longer than the one that goes.

    Notes
    -----
    Basis: derived. Measure with the crank free of thrust; feel and temperature add their own doubt.
    """
    short, long = magnitude(goes, "mm", "goes", above=0), magnitude(stops, "mm", "stops", above=0)
    if np.any(long <= short):
        raise ValueError("stops must be longer than goes: are the two swapped?")
    return FeltGap(
        Quantity((short + long) / 2, MILLIMETER), Quantity((long - short) / 2, MILLIMETER)
    )


@dataclass(frozen=True)
class Pack:
    """Shims chosen for a gap: their thicknesses, the pack's length, and its misfit (negative: short)."""

    shims: Quantity
    length: Quantity
    misfit: Quantity


def shim_pack(gap, base_length, shims, shortest=None, longest=None):
    """Shims that bring a base spacer nearest to a gap.

    Of packs equally near the one with the fewest shims is taken: each joint
    adds give.

    Parameters
    ----------
    gap, base_length : Quantity, scalar [length]
    shims : Quantity, array [length]
        The thicknesses in the drawer, one entry for each shim.
    shortest, longest : Quantity, optional [length]
        Limits of misfit, as from ``spacers.misfit_limits``; warns outside them.

    Returns
    -------
    Pack [mm]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        Bad values, or more than 16 shims.

    Notes
    -----
    Basis: derived; every combination is tried.
    """
    wanted = magnitude(gap, "mm", "gap", above=0) - magnitude(
        base_length, "mm", "base_length", above=0
    )
    drawer = np.atleast_1d(magnitude(shims, "mm", "shims", above=0))
    if drawer.size > MOST_SHIMS:
        raise ValueError(
            f"shims takes at most {MOST_SHIMS} shims, not {drawer.size}; leave out those that cannot help"
        )
    choices = [
        choice
        for count in range(drawer.size + 1)
        for choice in combinations(range(drawer.size), count)
    ]
    misfits = np.array([drawer[list(choice)].sum() for choice in choices]) - wanted
    best = int(np.argmin(np.abs(misfits).round(9)))
    misfit, chosen = misfits[best], drawer[list(choices[best])]
    for limit, name, sign in ((shortest, "shortest", -1), (longest, "longest", 1)):
        endless = np.array_equal(
            getattr(limit, "magnitude", 0), sign * np.inf
        )  # what misfit_limits says where any misfit will do
        if (
            limit is not None
            and not endless
            and sign * misfit > sign * magnitude(limit, "mm", name, one=True)
        ):
            words = f"the nearest pack misses by {misfit:.4g} mm, past the {name} misfit allowed: turn a new spacer"
            warnings.warn(words, OutOfRangeWarning, stacklevel=2)
    length = magnitude(base_length, "mm", "base_length") + chosen.sum()
    return Pack(
        *(
            Quantity(value, MILLIMETER)
            for value in (np.sort(chosen)[::-1], float(length), float(misfit))
        )
    )
