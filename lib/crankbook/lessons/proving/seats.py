"""Seats that lesson 13 offers: places on a crank where a bearing, a bushing or a hub runs."""

from typing import NamedTuple

from crankmath import fits
from crankmath.crank import Crank, steels
from crankmath.fits import bearing_seats
from crankmath.units import Quantity

from ...lesson import own

HOLES = {
    "ball bearing, series 60": "light",
    "ball bearing, series 62": "medium",
    "bronze bushing, bore F7": "F7",
    "bronze bushing, bore H7": "H7",
    "bronze bushing, bore E8": "E8",
    "steel hub, bore H7": "H7",
    "steel hub, bore N7": "N7",
}
BRONZE_EXPANSION = Quantity(18e-6, "1/delta_degC")  # tin bronze: handbook value, from memory
STEEL_EXPANSION = Quantity(11.7e-6, "1/delta_degC")  # where the crank's steel is not in the table
ENDS = {"end main": 0, "left main": 0, "right main": -1}


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
        found += [f"{name}, end mains"] if alike else [f"{name}, left main", f"{name}, right main"]
        for word, sizes in (("center main", mains[1:-1]), ("pin", pins)):
            found += [f"{name}, {word}s"] * (len(set(sizes)) == 1) or [
                f"{name}, {word} {number}" for number in range(1, len(sizes) + 1)
            ]
    return tuple(found)


def place_of(label):
    """Seat of a name in :func:`seat_names`."""
    name, part = label.rsplit(", ", 1)
    crank = own.load(name)
    word, _, number = (
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

    hole: One of ``HOLES``.
    shaft: Class of the seat.
    warmer: Below zero the crank is the warmer one, and the outer part stays at 20 degrees.
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
