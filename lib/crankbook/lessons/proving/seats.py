"""Lesson 13: places on a crank where a bearing, a bushing or a hub runs, and its questions."""

from typing import NamedTuple

import numpy as np

from crankmath import fits
from crankmath.crank import Crank, steels
from crankmath.fits import bearing_seats, press_fits
from crankmath.language import marked
from crankmath.units import Quantity

from ...lesson import own
from ...lesson.exercise import Question

HOLES = {
    marked("ball bearing, light series"): "light",
    marked("ball bearing, medium series"): "medium",
    marked("bronze bushing, bore F7"): "F7",
    marked("bronze bushing, bore H7"): "H7",
    marked("bronze bushing, bore E8"): "E8",
    marked("steel hub, bore H7"): "H7",
    marked("steel hub, bore N7"): "N7",
}
BRONZE_EXPANSION = Quantity(18e-6, "1/delta_degC")  # tin bronze: handbook value, from memory
STEEL_EXPANSION = Quantity(11.7e-6, "1/delta_degC")  # where the crank's steel is not in the table
# what stands behind a crank's name, beside the ends
END_MAINS, *_MORE = (
    marked("end mains"),
    marked("center mains"),
    marked("center main"),
    marked("pins"),
)
ENDS = {marked("end main"): 0, marked("left main"): 0, marked("right main"): -1}


class Seat(NamedTuple):
    """A main or a pin; ``at_end`` where a solid ring can get there."""

    crank: Crank
    diameter: Quantity
    length: Quantity
    fillet: Quantity
    kind: str
    at_end: bool


def seat_names(names=None):
    """Places on cranks that a panel offers: end mains, center mains, pins.

    ``names`` are of cranks; the default is what every list offers.
    """
    found = []
    for name in names or own.names():
        crank = own.load(name)
        mains = [(main.diameter, main.fillet) for main in crank.journals]
        pins = [(throw.pin_diameter, throw.fillet) for throw in crank.throws]
        alike = mains[0] == mains[-1]
        found += (
            [f"{name}, {END_MAINS}"]
            if alike
            else [f"{name}, {word}" for word in ENDS if word != "end main"]
        )
        for word, sizes in (("center main", mains[1:-1]), ("pin", pins)):
            found += [f"{name}, {word}s"] * (len(set(sizes)) == 1) or [
                f"{name}, {word} {number}" for number in range(1, len(sizes) + 1)
            ]
    return tuple(found)


def place_of(label):
    """Seat of a name in :func:`seat_names`."""
    name, part = label.rsplit(", ", 1)
    crank = own.load(name)
    word, _unused, number = (
        part.rpartition(" ") if part[-1].isdigit() else (part.removesuffix("s"), "", 1)
    )
    if word == "pin":
        throw = crank.throws[int(number) - 1]
        return Seat(crank, throw.pin_diameter, throw.pin_length, throw.fillet, "pin", False)
    main = crank.journals[ENDS.get(word, int(number))]
    return Seat(crank, main.diameter, main.length, main.fillet, "main", word in ENDS)


def bearing_on(diameter, series):
    """Ball bearing of a series that goes on a diameter, else of another series, or None."""
    found = bearing_seats.bearings_for(diameter)
    return next((one for one in found if one.series == series), found[0] if found else None)


def fit_of(place, hole, shaft, warmer):
    """Fit at 20 degrees, and with the outer part warmer than the crank.

    - ``hole``: One of ``HOLES``.
    - ``shaft``: Class of the seat.
    - ``warmer``: Below zero the crank is the warmer one, and the outer part stays at 20 degrees.

    Basis: standard, and derived growth.
    """
    size = place.diameter.to("in" if place.crank.units == "in" else "mm")
    ball = hole.startswith("ball")
    cold = bearing_seats.bearing_fit(size, shaft) if ball else fits.fit(size, HOLES[hole], shaft)
    bronze = BRONZE_EXPANSION if hole.startswith("bronze") else STEEL_EXPANSION
    grows = bearing_seats.BEARING_EXPANSION if ball else bronze
    rise, zero = warmer.to("delta_degC"), Quantity(0.0, "delta_degC")
    above = max(rise, zero)
    return cold, fits.warmed(cold, size, grows, above, _expansion(place.crank), above - rise)


def _expansion(crank):
    try:
        return steels.find(crank.steel).expansion
    except ValueError:
        return STEEL_EXPANSION


def tightest_fit(source):
    """Interference of the tightest pair from the deviations of a table."""
    size, hole, shaft = (
        source.randrange(6, 81),
        source.choice(("H7", "H8", "K7")),
        source.choice(("k6", "m6", "n6", "p6", "s6")),
    )
    found = fits.fit(Quantity(size, "mm"), hole, shaft)
    top, bottom, high, low = (end.m_as("um") for part in (found.hole, found.shaft) for end in part)
    return Question(
        f"Nominal size Ø{size} mm. The table gives {_ends(top, bottom)} µm for the hole {hole} "
        f"and {_ends(high, low)} µm for the shaft {shaft}. How much "
        "interference has the tightest pair they allow?",
        -found.tightest,
        ("um", "thousandth", "mm", "in"),
        {
            "is the largest shaft in the largest hole the tightest pair?": Quantity(
                abs(high - top), "um"
            ),
            "is the smallest shaft in the smallest hole the tightest pair?": Quantity(
                abs(low - bottom), "um"
            ),
            "that is the loosest pair": Quantity(abs(top - low), "um"),
            "is the hole's zone added or taken away?": Quantity(high + top, "um"),
        },
        (
            "Tightest: as much shaft as allowed, as little hole as allowed.",
            "interference = es - EI: the shaft's upper deviation less the hole's lower.",
        ),
        directed=True,
    )


def _ends(upper, lower):
    return " and ".join(f"{end:+g}".replace("-", "−") if end else "0" for end in (upper, lower))


def ring_rise(source):
    """How much warmer a ring has to be to slip over its seat."""
    bore, tight, clearance = (
        source.choice((12, 15, 17, 20, 25, 30)),
        source.randrange(6, 19),
        source.randrange(4, 11),
    )
    size, rise = Quantity(bore, "mm"), press_fits.shrink_rise
    key = rise(
        size, Quantity(tight, "um"), bearing_seats.BEARING_EXPANSION, Quantity(clearance, "um")
    )
    bare = rise(size, Quantity(tight, "um"), bearing_seats.BEARING_EXPANSION, Quantity(0, "um"))
    return Question(
        f"A ball bearing's ring of Ø{bore} mm measures {tight} µm smaller than its main. To slip "
        f"on it needs {clearance} µm of clearance as well. Bearing steel grows "
        "12.5e-6 per °C. How much warmer than the main must the ring be?",
        key,
        ("delta_degC", "delta_degF"),
        {
            "does it slip on without clearance?": bare,
            "does the bore grow by its diameter or by its radius?": 2 * key,
            "is that the ring's temperature, or how much warmer it is?": key
            + Quantity(20, "delta_degC"),
            "interference was measured on the diameter: was it taken twice?": 2 * key
            - (key - bare),
        },
        (
            "The bore has to grow by the interference and the clearance together.",
            "rise = (interference + clearance) / (12.5e-6 times the diameter)",
        ),
        directed=True,
    )


def press_on(source):
    """Force that presses a hub on."""
    bore, tight, long = (
        source.choice((12, 16, 18, 20, 25)),
        source.randrange(6, 16),
        source.randrange(12, 31),
    )
    outside, rubbing = (
        round(bore * source.choice((1.8, 2.0, 2.5))),
        source.choice((0.1, 0.12, 0.15)),
    )
    joint = Quantity(bore, "mm"), Quantity(outside, "mm"), Quantity(long, "mm")
    key = press_fits.press_fit(*joint, Quantity(tight, "um"), rubbing).force.to("kN")
    rigid = Quantity(rubbing * press_fits.STEEL_MODULUS * tight * 1e-3 * np.pi * long / 1000, "kN")
    return Question(
        f"A steel hub of Ø{outside} mm outside is pressed on Ø{bore} mm over {long} mm, "
        f"interference {tight} µm on the diameter, friction {rubbing:g}. What force does it take "
        "at the end? Use the library, or the formula with E = 206 GPa.",
        key,
        ("kN", "N", "lbf"),
        {
            "where did friction go? Pressure alone does not resist sliding": key / rubbing,
            "is the interference on the diameter or on the radius?": 2 * key,
            "is the joint's surface pi d L, or half of it?": key / 2,
            "does the hub stretch as well as the shaft?": rigid,
        },
        (
            "Interference makes a pressure, the pressure a friction over the joint's surface.",
            "p = E (tight / d) (1 - (d / D)^2) / 2 for steel on steel, "
            "F = friction times p times pi d L.",
        ),
    )
