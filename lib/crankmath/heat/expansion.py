"""Heat of the cut in the work: how much goes in, what it grows, what it adds to the thrust, how long one may go on.

A temperature difference here carries ``delta_degC``.
"""

import warnings

import numpy as np

from ..checks import counted, made
from ..crank import Crank, steels
from ..frame import frame
from ..spacers.spacer_plan import Spacer
from ..spacers.squeezed import squeeze
from ..units import OutOfRangeWarning, Quantity, magnitude
from .cooling import COOLANTS, coolant, film_in_air, lumped_rise
from .heat_input import CuttingHeat, cutting_heat, primary_share
from .warming import Warming, first_time, warm

__all__ = [
    "COOLANTS",
    "CuttingHeat",
    "Warming",
    "coolant",
    "cutting_heat",
    "film_in_air",
    "growth",
    "hot_measuring_error",
    "lumped_rise",
    "minutes_until_loose",
    "minutes_until_soft",
    "minutes_until_thrust",
    "misfit_lost_per_degree",
    "primary_share",
    "series_stiffness",
    "thrust_per_degree",
    "waiting_time",
    "warm",
]
CENTER_SHARE = 0.25  # mouth of a center hole over the diameter of its main
ADHESIVE_SOFT = (
    Quantity(45.0, "degC"),
    Quantity(65.0, "degC"),
)  # room-temperature epoxy, from memory
GAUGE_EXPANSION = Quantity(11.5e-6, "1/delta_degC")  # a steel micrometer


def growth(length, rise, steel):
    """Growth of a length that warms, dL = alpha L dT.

    Parameters
    ----------
    length : Quantity [length]
    rise : Quantity [temperature difference]
    steel : str or Steel

    Returns
    -------
    Quantity [um]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity or an unknown steel.

    Notes
    -----
    Basis: derived; expansion of the steel near room temperature.
    """
    return Quantity(
        1000
        * _expansion(steel)
        * magnitude(length, "mm", "length", least=0)
        * magnitude(rise, "delta_degC", "rise"),
        "um",
    )


def _expansion(steel):
    record = steels.record_of(steel)
    return record.expansion.m_as("1/delta_degC")


def _end_give(crank, fitted, thrust, center_diameter):
    """What the crank shortens between its centers for one more newton [mm/N], spacers that bear at this thrust bearing."""
    built = frame.build(crank)
    alone = float(built.thrust @ built.compliance @ built.thrust) + sum(
        _center_give(crank, end, center_diameter) for end in (0, -1)
    )
    if not fitted:
        return alone
    # by reciprocity a spacer's force holds the centers apart as much as the thrust closes its gap
    places = [(one.throw, one.along.m_as("mm"), one.across.m_as("mm")) for one in fitted]
    closing = -built.gaps(places)[0] @ (built.compliance @ built.thrust)
    step = max(0.01 * thrust, 1.0)
    low, high = (
        squeeze(crank, Quantity(force, "N"), fitted).spacer_force.m_as("N")
        for force in (thrust, thrust + step)
    )
    return alone - float(closing @ (high - low)) / step


def _center_give(crank, end, center_diameter):
    """How far a center sinks into the end of its main for one newton [mm/N]: a disc of the center hole's mouth."""
    main = crank.journals[end].diameter.m_as("mm")
    mouth = (
        CENTER_SHARE * main
        if center_diameter is None
        else magnitude(center_diameter, "mm", "center_diameter", above=0)
    )
    if mouth >= main:
        raise ValueError(
            f"center_diameter must be below the main's {main:g} mm; write a smaller one in mm"
        )
    if mouth > 0.4 * main:
        warnings.warn(
            f"center_diameter is over 0.4 of the main's {main:g} mm: what the end gives is not fitted there",
            OutOfRangeWarning,
            stacklevel=4,
        )
    modulus = steels.find(crank.steel).elastic_modulus.m_as("MPa")
    # half-space under even pressure, mean over the disc; the bracket for a bar of the main's diameter was fitted to
    # axisymmetric finite elements (within 1.5 % from a tenth to four tenths)
    half_space = 16 * (1 - frame.POISSON**2) / (3 * np.pi**2 * modulus * mouth / 2)
    return half_space * (1 - 1.21 * mouth / main)


def thrust_per_degree(
    crank, spacers=None, machine_stiffness=None, thrust=Quantity(500.0, "N"), center_diameter=None
):
    """Thrust that each degree of warming adds between the centers.

    dP/dT = alpha L / (give of the crank + 1 / machine stiffness).

    Parameters
    ----------
    crank : Crank
    spacers : Spacer or sequence of Spacer, optional
        They warm with the crank. One too short to bear at ``thrust`` does nothing.
    machine_stiffness : Quantity, scalar [force/length], optional
        Of both centers, tailstock and bed together (``series_stiffness``); rigid without it. For
        a spring-loaded center the rate of its spring.
    thrust : Quantity, scalar [force]
        Of the tailstock when cold; it matters only for whether the spacers bear.
    center_diameter : Quantity, scalar [length], optional
        Mouth of the center holes; a quarter of the end main without it.

    Returns
    -------
    Quantity [N/delta_degC]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity; spacers as for ``spacers.squeeze``.

    Notes
    -----
    Basis: derived on the frame of ``frame.build``, fitted to 3-D solid finite elements, and on what the ends
    give under the centers; the whole crank evenly warm, the lathe not. A plain bar of the same length would add 2 to 7 times as much.
    """
    made(crank, Crank, "crank")
    fitted = (spacers,) if isinstance(spacers, Spacer) else tuple(spacers or ())
    give = _end_give(crank, fitted, magnitude(thrust, "N", "thrust", least=0), center_diameter)
    if machine_stiffness is not None:
        give += 1 / magnitude(machine_stiffness, "N/mm", "machine_stiffness", above=0)
    return Quantity(_expansion(crank.steel) * crank.length.m_as("mm") / give, "N/delta_degC")


def series_stiffness(*parts):
    """Stiffness of springs one behind the other, 1/k = sum of 1/k_i: live center, quill, tailstock, bed.

    Parameters
    ----------
    *parts : Quantity, scalars [force/length]

    Returns
    -------
    Quantity [N/um]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity, or none.

    Notes
    -----
    Basis: derived. Measure yours: push the tailstock with a known thrust, an indicator between center and headstock.
    """
    if not parts:
        raise ValueError("parts is empty: give at least one stiffness, in N/um")
    return Quantity(
        1 / sum(1 / magnitude(part, "N/um", "parts", above=0) for part in parts), "N/um"
    )


def minutes_until_thrust(
    warming, crank, allowed_rise, spacers=None, machine_stiffness=None, thrust=Quantity(500.0, "N")
):
    """Minutes until warming has added so much thrust, counted from cold centers set once.

    Parameters
    ----------
    warming : Warming
        Of this crank.
    crank : Crank
    allowed_rise : Quantity, scalar [force]
        For example what ``spacers.misfit_limits`` still forgives, or the center's oil film.
    spacers, machine_stiffness, thrust
        As for ``thrust_per_degree``.

    Returns
    -------
    Quantity [min], infinite when it is not reached in the time worked out

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As for ``thrust_per_degree``.

    Notes
    -----
    Basis: derived; growth piece by piece over the give of the crank. Easing the tailstock starts the clock anew.
    """
    made(warming, Warming, "warming")
    made(crank, Crank, "crank")
    per_degree = thrust_per_degree(crank, spacers, machine_stiffness, thrust).m_as("N/delta_degC")
    even = _expansion(crank.steel) * crank.length.m_as("um")
    added = warming.growth.m_as("um") / even * per_degree
    return first_time(warming.time, added, magnitude(allowed_rise, "N", "allowed_rise", above=0))


def minutes_until_soft(
    warming, surroundings=Quantity(20.0, "degC"), kind="web", index=0, limit=ADHESIVE_SOFT[0]
):
    """Minutes until an adhesive on a piece is in doubt.

    Parameters
    ----------
    warming : Warming
    surroundings, limit : Quantity, scalars [degC]
        Room, and the temperature from which the adhesive is not trusted; its data sheet goes before.
    kind, index
        Piece that it sticks to, as for ``Warming.rise_of``.

    Returns
    -------
    Quantity [min], infinite when it is not reached in the time worked out

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity, or a limit below the room.

    Notes
    -----
    Basis: rule of thumb. Room-temperature epoxies soften between 45 and 65 degrees (from memory; strength falls
    from 20 degrees on: studies of cured epoxies), some stand 120: read the data sheet.
    """
    made(warming, Warming, "warming")
    room, soft = magnitude(surroundings, "degC", "surroundings"), magnitude(limit, "degC", "limit")
    if soft <= room:
        raise ValueError(
            f"limit must be above the surroundings of {room:g} degC; the adhesive is soft already"
        )
    return warming.time_until(Quantity(soft - room, "delta_degC"), kind, index)


def minutes_until_loose(warming, crank, spacer, thrust=Quantity(500.0, "N")):
    """Minutes until a spacer that stays cold hangs loose in its warming throw.

    It is loose when the gap has grown by all that was pressed shut: misfit plus the empty throw's closure.

    Parameters
    ----------
    warming : Warming
        Of this crank.
    crank : Crank
    spacer : Spacer
    thrust : Quantity, scalar [force]
        Held, as by a spring-loaded center.

    Returns
    -------
    Quantity [min], infinite when it is not reached in the time worked out, zero when it is loose from the start

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity or throw.

    Notes
    -----
    Basis: derived; the gap as warm as its pin, the spacer at the room's temperature, which is on the safe side: it
    warms through its faces. Between stiff centers the thrust grows and holds it longer.
    """
    made(warming, Warming, "warming")
    made(crank, Crank, "crank")
    made(spacer, Spacer, "spacer")
    lost = misfit_lost_per_degree(crank, spacer.throw)
    pressed = (
        squeeze(crank, Quantity(magnitude(thrust, "N", "thrust", least=0), "N")).closure[
            spacer.throw
        ]
        + spacer.misfit
    )
    if pressed.magnitude <= 0:
        return Quantity(0.0, "min")
    return warming.time_until((pressed / lost).to("delta_degC"), "pin", spacer.throw)


def misfit_lost_per_degree(crank, throw=0):
    """What a spacer gets too short for each degree that the crank is warmer than the spacer, alpha times the gap.

    Parameters
    ----------
    crank : Crank
    throw : int

    Returns
    -------
    Quantity [um/delta_degC]

    Raises
    ------
    ValueError
        There is no such throw.

    Notes
    -----
    Basis: derived. A spacer put into a warm crank is too long when both are cold.
    """
    made(crank, Crank, "crank")
    throw = counted(throw, crank.throws, "throw")
    return Quantity(
        1000 * _expansion(crank.steel) * crank.throws[throw].pin_length.m_as("mm"), "um/delta_degC"
    )


def waiting_time(length, rise, allowed_error, steel, time_constant):
    """How long a warm part cools until it measures true, t = tau ln(alpha L dT / error).

    Parameters
    ----------
    length : Quantity [length]
        The size measured.
    rise : Quantity [temperature difference]
        Above the gauge, now.
    allowed_error : Quantity [length]
    steel : str or Steel
    time_constant : Quantity [time]
        Time in which the part loses 63 % of its rise: m c / (h A), or timed with a thermometer.

    Returns
    -------
    Quantity [min], zero when it measures true already

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity.

    Notes
    -----
    Basis: derived; the part cools as one lump.
    """
    excess = growth(length, rise, steel).m_as("um") / np.asarray(
        magnitude(allowed_error, "um", "allowed_error", above=0)
    )
    minutes = magnitude(time_constant, "min", "time_constant", above=0) * np.log(
        np.maximum(excess, 1.0)
    )
    return Quantity(minutes, "min")


def hot_measuring_error(
    length,
    steel,
    rise=Quantity(1.0, "delta_degC"),
    gauge_rise=Quantity(0.0, "delta_degC"),
    gauge_expansion=GAUGE_EXPANSION,
):
    """How much too large a warm part reads, L (alpha dT - alpha_gauge dT_gauge); per degree as it stands.

    Parameters
    ----------
    length : Quantity [length]
    steel : str or Steel
    rise, gauge_rise : Quantity [temperature difference]
        Of part and gauge above 20 degC.
    gauge_expansion : Quantity [1/temperature]

    Returns
    -------
    Quantity [um]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity.

    Notes
    -----
    Basis: derived; sizes on a drawing hold at 20 degC (ISO 1). The gauge's expansion is from memory.
    """
    size = 1000 * np.asarray(magnitude(length, "mm", "length", above=0))
    part = _expansion(steel) * magnitude(rise, "delta_degC", "rise")
    gauge = magnitude(gauge_expansion, "1/delta_degC", "gauge_expansion", least=0) * magnitude(
        gauge_rise, "delta_degC", "gauge_rise"
    )
    error = size * (part - gauge)
    return Quantity(float(error) if np.ndim(error) == 0 else error, "um")
