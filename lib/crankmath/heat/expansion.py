"""Growth of the warm work: thrust added, time left, when it measures true.

A temperature difference here carries ``delta_degC``.
"""

import warnings

import numpy as np

from ..checks import counted, made, takes
from ..crank import Crank, steels
from ..frame import frame
from ..spacers.spacer_plan import Spacer
from ..spacers.squeezed import squeeze
from ..units import OutOfRangeWarning, Quantity, magnitude
from .warming import Warming, time_reached

CENTER_SHARE = 0.25  # mouth of a center hole over the diameter of its main
ADHESIVE_SOFT = (
    Quantity(45.0, "degC"),
    Quantity(65.0, "degC"),
)  # room-temperature epoxy, from memory
GAUGE_EXPANSION = Quantity(11.5e-6, "1/delta_degC")  # a steel micrometer


@takes(length="mm >= 0", rise="delta_degC", gives="um")
def growth(length, rise, steel):
    """Growth of a length that warms: ΔL = α L ΔT.

    ``steel`` is a name or a record.
    Basis: derived; expansion of the steel near room temperature.
    """
    return 1000 * _expansion(steel) * length * rise


def _expansion(steel):
    record = steels.record_of(steel)
    return record.expansion.m_as("1/delta_degC")


def _end_compliance(crank, fitted, thrust, center_diameter):
    """Shortening of the crank between its centers for one more newton [mm/N], with its spacers."""
    built = frame.build(crank)
    alone = float(built.thrust @ built.compliance @ built.thrust) + sum(
        _center_compliance(crank, end, center_diameter) for end in (0, -1)
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


def _center_compliance(crank, end, center_diameter):
    """Depth a center sinks into the end of its main for one newton [mm/N]: a disc."""
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
            f"center_diameter is over 0.4 of the main's {main:g} mm: what the end gives is not "
            "fitted there",
            OutOfRangeWarning,
            stacklevel=4,
        )
    modulus = steels.find(crank.steel).elastic_modulus.m_as("MPa")
    # half-space under even pressure, mean over the disc; the bracket for a bar of the main's
    # diameter was fitted to
    # axisymmetric finite elements (within 1.5 % from a tenth to four tenths)
    half_space = 16 * (1 - frame.POISSON**2) / (3 * np.pi**2 * modulus * mouth / 2)
    return half_space * (1 - 1.21 * mouth / main)


def thrust_per_degree(
    crank, spacers=None, machine_stiffness=None, thrust=Quantity(500.0, "N"), center_diameter=None
):
    """Thrust that each degree of warming adds: α L / (compliances of crank and machine).

    ``spacers`` (a Spacer or several) warm with the crank; one too short to bear at the cold thrust
    does nothing. ``machine_stiffness`` [force/length] is that of both centers, tailstock and bed
    together (:func:`series_stiffness`), default rigid; for a spring-loaded center the rate of its
    spring. ``center_diameter`` is the mouth of the center holes, default a quarter of the end main.
    Basis: derived on the frame of ``frame.build``, fitted to 3-D solid finite elements, and on the
    ends' compliance under the centers; the whole crank evenly warm, the lathe not. A plain bar as
    long, and as thick as the mains, would add 6 to 10 times as much on the example cranks, twice as
    much where every throw holds a spacer.
    """
    made(crank, Crank, "crank")
    fitted = (spacers,) if isinstance(spacers, Spacer) else tuple(spacers or ())
    compliance = _end_compliance(
        crank, fitted, magnitude(thrust, "N", "thrust", least=0), center_diameter
    )
    if machine_stiffness is not None:
        compliance += 1 / magnitude(machine_stiffness, "N/mm", "machine_stiffness", above=0)
    return Quantity(_expansion(crank.steel) * crank.length.m_as("mm") / compliance, "N/delta_degC")


def series_stiffness(*parts):
    """Stiffness of springs one behind the other: 1/k = Σ 1/ki: live center, quill, tailstock, bed.

    ``parts`` are stiffnesses [force/length].
    Basis: derived. Measure yours: push the tailstock with a known thrust, an indicator between
    center and headstock.
    """
    if not parts:
        raise ValueError("parts is empty: give at least one stiffness, in N/um")
    return Quantity(
        1 / sum(1 / magnitude(part, "N/um", "parts", above=0) for part in parts), "N/um"
    )


def minutes_until_thrust(
    warming, crank, allowed_rise, spacers=None, machine_stiffness=None, thrust=Quantity(500.0, "N")
):
    """Minutes until warming has added a thrust, from cold centers set once; infinite if never.

    ``warming`` is that of this crank; ``allowed_rise`` for example what ``spacers.misfit_limits``
    still forgives, or the center's oil film; ``spacers``, ``machine_stiffness``, ``thrust`` [force]
    as for :func:`thrust_per_degree`.
    Basis: derived; growth piece by piece over the compliance. Easing the tailstock starts the clock
    again.
    """
    made(warming, Warming, "warming")
    made(crank, Crank, "crank")
    per_degree = thrust_per_degree(crank, spacers, machine_stiffness, thrust).m_as("N/delta_degC")
    even = _expansion(crank.steel) * crank.length.m_as("um")
    added = warming.growth.m_as("um") / even * per_degree
    return time_reached(warming.time, added, magnitude(allowed_rise, "N", "allowed_rise", above=0))


def minutes_until_soft(
    warming, surroundings=Quantity(20.0, "degC"), kind="web", index=0, limit=ADHESIVE_SOFT[0]
):
    """Minutes until an adhesive on a piece is no longer to be trusted; infinite if never.

    ``warming`` is that of the crank, ``surroundings`` [degC] the room, ``limit`` the temperature at
    which the adhesive softens, by its data sheet, above that of the room; ``kind`` and ``index``
    name the piece that it sticks to, as for ``Warming.rise_of``.
    Basis: rule of thumb. Room-temperature epoxies soften between 45 and 65 degrees (from memory;
    strength falls from 20 degrees on: studies of cured epoxies), some stand 120: read the data
    sheet.
    """
    made(warming, Warming, "warming")
    room, soft = magnitude(surroundings, "degC", "surroundings"), magnitude(limit, "degC", "limit")
    if soft <= room:
        raise ValueError(
            f"limit must be above the surroundings of {room:g} degC; the adhesive is soft already"
        )
    return warming.time_until(Quantity(soft - room, "delta_degC"), kind, index)


def minutes_until_loose(warming, crank, spacer, thrust=Quantity(500.0, "N")):
    """Minutes until a spacer that stays cold hangs loose in its warming throw; infinite if never.

    It is loose when the gap has grown by all that was pressed shut: misfit plus the empty throw's
    closure. ``warming`` is that of this crank, ``thrust`` [force] is held, as by a spring-loaded
    center.
    Basis: derived; the gap as warm as its pin, the spacer at the room's temperature, which is on
    the safe side: it warms through its faces. Between stiff centers the thrust grows and holds it
    longer.
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


@takes(crank=Crank, gives="um/delta_degC")
def misfit_lost_per_degree(crank, throw=0):
    """Length lost by a spacer for each degree that the crank is warmer: α times a throw's gap.

    Basis: derived. A spacer put into a warm crank is too long when both are cold.
    """
    throw = counted(throw, crank.throws, "throw")
    return 1000 * _expansion(crank.steel) * crank.throws[throw].pin_length.m_as("mm")


@takes(
    length="mm >= 0",
    rise="delta_degC",
    allowed_error="um > 0",
    time_constant="min > 0",
    gives="min",
)
def waiting_time(length, rise, allowed_error, steel, time_constant):
    """Time a warm part cools until it measures true: t = τ ln(α L ΔT / error), or zero.

    ``rise`` is that above the gauge, now; ``steel`` a name or a record; ``time_constant`` the time
    in which the part loses 63 % of its rise: m c / (h A), or timed with a thermometer.
    Basis: derived; the part cools as one lump.
    """
    excess = growth.plain(length, rise, steel) / np.asarray(allowed_error)
    return time_constant * np.log(np.maximum(excess, 1.0))


@takes(
    length="mm > 0",
    rise="delta_degC",
    gauge_rise="delta_degC",
    gauge_expansion="1/delta_degC >= 0",
    gives="um",
)
def hot_measuring_error(
    length,
    steel,
    rise=Quantity(1.0, "delta_degC"),
    gauge_rise=Quantity(0.0, "delta_degC"),
    gauge_expansion=GAUGE_EXPANSION,
):
    """Error of a warm part's reading, too large: L (α ΔT - αgauge ΔTgauge), per degree by default.

    ``steel`` is a name or a record; ``rise`` and ``gauge_rise`` those of part and gauge above 20
    degC.
    Basis: derived; sizes on a drawing hold at 20 degC (ISO 1). The gauge's expansion is from
    memory.
    """
    grown = _expansion(steel) * np.asarray(rise) - gauge_expansion * np.asarray(gauge_rise)
    error = 1000 * np.asarray(length) * grown
    return float(error) if np.ndim(error) == 0 else error
