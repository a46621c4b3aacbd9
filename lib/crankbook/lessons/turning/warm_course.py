"""What lesson 09 follows while a crank is cut: temperatures, growth and thrust over time."""

from functools import cache
from itertools import count

import numpy as np

from crankmath.heat import cooling as coolants
from crankmath.heat import expansion, heat_input, warming
from crankmath.language import marked
from crankmath.spacers import Spacer, largest_diameter, squeeze
from crankmath.units import Quantity

from ...lesson.kept import once

ROOM, SOFT = 20.0, expansion.ADHESIVE_SOFT[0].m_as("degC")
COLD_THRUST = Quantity(400.0, "N")  # set once, with everything cold
# of center, quill and bed together: assumed, from memory; of a sprung center assumed
CENTERS = {
    **{marked("rigid"): None, marked("real"): Quantity(20.0, "N/um")},
    marked("sprung"): Quantity(100.0, "N/mm"),
}
CUT = Quantity(25.0, "m/min"), Quantity(0.1, "mm")  # speed and chip of the shear-plane share
TIMES = np.arange(0.0, 180.1, 0.25)  # minutes


def spacers_of(crank):
    """A spacer that fits for each throw of a crank."""
    return tuple(
        Spacer(number, Quantity(0.0, "mm"), largest_diameter(crank))
        for number in range(len(crank.throws))
    )


def _per_watt(crank, cooling):
    """Rises [degC/W] of the last main, web and pin, of every piece, and growth [um/W] of a steady
    cut."""
    last = len(crank.throws)
    found = warming.warm(
        crank,
        Quantity(1.0, "W"),
        Quantity(TIMES, "min"),
        ("journal", last),
        coolants.coolant(cooling).film,
    )
    webs = count()  # a crank's segments name a web by its throw, the heat counts them one by one
    pieces = [
        found.rise_of(one.kind, next(webs) if one.kind == "web" else one.index).magnitude
        for one in crank.segments
    ]
    rises = [
        found.rise_of(*piece).magnitude
        for piece in (("journal", last), ("web", 2 * last - 1), ("pin", last - 1))
    ]
    return np.array([*rises, found.growth.magnitude, *pieces])


def _per_growth(crank, packed):
    """Thrust for each um of growth by kind of center [N/um]; rise that loosens a cold spacer."""
    packs = spacers_of(crank) if packed else ()
    even = expansion.growth(crank.length, Quantity(1.0, "delta_degC"), crank.steel).m_as("um")
    added = [
        expansion.thrust_per_degree(crank, packs, stiffness, COLD_THRUST).m_as("N/delta_degC")
        / even
        for stiffness in CENTERS.values()
    ]
    loose = squeeze(crank, COLD_THRUST).closure[-1] / expansion.misfit_lost_per_degree(
        crank, len(crank.throws) - 1
    )
    return np.array(added), float(loose.m_as("delta_degC"))


@cache
def _shares(steel):
    """Shares of the cut's power that go into the work: rule of thumb, shear plane."""
    made = heat_input.cutting_heat(Quantity(1.0, "N"), *CUT, steel)
    return np.array([made.rule_share, made.shear_share])


def courses(crank, packed, power, cutting, cooling):
    """What the panel draws, by the rule of thumb and by the shear plane (first axis).

    - ``packed``: Whether a spacer is in every throw.
    - ``power``, ``cutting`` [power, time]: Of the cut.
    - ``cooling``: One of ``heat.COOLANTS``.

    Answers by name: "heat" [W]; "main", "web", "pin" [delta_degC] and "growth" [um] at ``TIMES``;
    "pieces" [delta_degC], first axis the crank's segments; "thrust" [N], second axis the kinds of
    centers; "loose" [delta_degC], the pin's rise at which a cold spacer hangs loose.
    Basis: ``heat.warm`` for one watt without end, less the same from when the cut stops: the sum is
    linear in the heat.
    """
    key = crank.plain, crank.steel
    going_on = once(("per watt", *key, cooling), lambda: _per_watt(crank, cooling))
    per_growth, loose = once(("per growth", *key, packed), lambda: _per_growth(crank, packed))
    stop = cutting.m_as("min")
    pulse = going_on - np.array([np.interp(TIMES - stop, TIMES, one, left=0.0) for one in going_on])
    heats = _shares(crank.steel) * power.m_as("W")
    main, web, pin, grown, *pieces = (heats[:, None] * one for one in pulse)
    return {
        "heat": heats,
        "main": main,
        "web": web,
        "pin": pin,
        "growth": grown,
        "pieces": np.array(pieces),
        "thrust": grown[:, None] * per_growth[:, None],
        "loose": loose,
    }


def waits(crank, found, cutting, allowed):
    """Minutes after the cut until the last main reads true within what is allowed."""
    diameter = crank.journals[-1].diameter
    errors = found["main"] * expansion.hot_measuring_error(diameter, crank.steel).m_as(
        allowed.units
    )
    after = cutting.m_as("min") <= TIMES
    found = []
    for one in errors:
        true = np.nonzero(after & (one <= allowed.magnitude))[0]
        found.append(float(TIMES[true[0]] - cutting.m_as("min")) if len(true) else np.inf)
    return found
