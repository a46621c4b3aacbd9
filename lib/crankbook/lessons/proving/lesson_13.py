"""Lesson 13, fit the bearings: its panel and its three questions."""

from typing import NamedTuple

import numpy as np

from crankmath import fits
from crankmath.crank import steels
from crankmath.fits import bearing_seats, press_fits
from crankmath.units import Quantity, as_text

from ...lesson import own
from ...lesson.exercise import Question, check, prediction
from ...lesson.panel import Choice, Control, Panel
from ...pictures.proving import fit_zones
from ...pictures.scene import add

HOLES = {
    "ball bearing, light series": "light",
    "ball bearing, medium series": "medium",
    "bronze bushing, bore F7": "F7",
    "bronze bushing, bore H7": "H7",
    "bronze bushing, bore E8": "E8",
    "steel hub, bore H7": "H7",
    "steel hub, bore N7": "N7",
}
SHAFTS = ("e8", "f7", "g6", "h6", "js6", "j6", "k5", "k6", "m6", "n6", "p6", "s6")
BRONZE_EXPANSION = Quantity(18e-6, "1/delta_degC")  # tin bronze: handbook value, from memory
STEEL_EXPANSION = Quantity(11.7e-6, "1/delta_degC")  # where the crank's steel is not in the table
ROOM = 20.0  # degC
HUB_SHARE = 2.0  # a hub's outside over its bore where none is drawn: common practice, no source
UNITS = {
    "mm": ("um", "mm", "N", "delta_degC", "°C"),
    "in": ("thousandth", "in", "lbf", "delta_degF", "°F"),
}
WARMER = Control(
    "warmer",
    "Ring, bushing or hub warmer by",
    ("delta_degC", -40, 120, 1),
    ("delta_degF", -72, 216, 2),
    Quantity(0.0, "delta_degC"),
)
PRESETS = {
    "Pushed on": {
        "hole": "ball bearing, medium series",
        "shaft": "j6",
        "warmer": Quantity(0.0, "delta_degC"),
    },
    "Turned for load": {
        "hole": "ball bearing, medium series",
        "shaft": "k6",
        "warmer": Quantity(0.0, "delta_degC"),
    },
    "Warm ring": {
        "hole": "ball bearing, medium series",
        "shaft": "k6",
        "warmer": Quantity(80.0, "delta_degC"),
    },
    "Bushing": {
        "hole": "bronze bushing, bore F7",
        "shaft": "h6",
        "warmer": Quantity(0.0, "delta_degC"),
    },
    "Crank runs hot": {
        "hole": "bronze bushing, bore H7",
        "shaft": "g6",
        "warmer": Quantity(-40.0, "delta_degC"),
    },
    "Flywheel": {
        "hole": "steel hub, bore H7",
        "shaft": "n6",
        "warmer": Quantity(0.0, "delta_degC"),
    },
}


class Seat(NamedTuple):
    """A place on a crank where something runs: its size, the fillet beside it, and whether a solid ring can get there."""

    crank: object
    diameter: Quantity
    length: Quantity
    fillet: Quantity
    kind: str
    at_end: bool


def seat_names(names=None):
    """Places on the cranks that a panel offers: end mains, center mains, pins.

    Parameters
    ----------
    names : sequence of str, optional
        Of cranks, as in ``own.names()``, which is used without it.

    Returns
    -------
    tuple of str
    """
    found = []
    for name in names or own.names():
        crank = own.load(name)
        journals, throws = crank.journals, crank.throws
        alike = (journals[0].diameter, journals[0].fillet) == (
            journals[-1].diameter,
            journals[-1].fillet,
        )
        found += [f"{name}, end mains"] if alike else [f"{name}, left main", f"{name}, right main"]
        for word, parts, diameter in (
            ("center main", journals[1:-1], "diameter"),
            ("pin", throws, "pin_diameter"),
        ):
            sizes = [(getattr(part, diameter), part.fillet) for part in parts]
            found += [f"{name}, {word}s"] * (len(set(sizes)) == 1) or [
                f"{name}, {word} {number}" for number in range(1, len(sizes) + 1)
            ]
    return tuple(found)


def place_of(label):
    """Place on a crank by its name in ``seat_names()``.

    Parameters
    ----------
    label : str

    Returns
    -------
    Seat
    """
    name, part = label.rsplit(", ", 1)
    crank = own.load(name)
    word, _, number = (
        part.rpartition(" ") if part[-1].isdigit() else (part.removesuffix("s"), "", "1")
    )
    if word == "pin":
        throw = crank.throws[int(number) - 1]
        return Seat(crank, throw.pin_diameter, throw.pin_length, throw.fillet, "pin", False)
    place = {"end main": 0, "left main": 0, "right main": -1, "center main": int(number)}[word]
    journal = crank.journals[place]
    return Seat(
        crank, journal.diameter, journal.length, journal.fillet, "main", word != "center main"
    )


def controls(names=None):
    """The four controls; the list of seats is made when the panel is."""
    offered = seat_names(names)
    return (
        Choice("seat", "Seat on the crank", offered, offered[0]),
        Choice("hole", "What goes on it", tuple(HOLES), "ball bearing, medium series"),
        Choice("shaft", "Seat turned to", SHAFTS, "k6"),
        WARMER,
    )


def bearing_on(diameter, series):
    """Ball bearing of a series that goes on a diameter, another series where that has none, or None.

    Parameters
    ----------
    diameter : Quantity, scalar [length]
    series : "light" or "medium"

    Returns
    -------
    bearing_seats.BallBearing or None
    """
    found = bearing_seats.bearings_for(diameter)
    return next((one for one in found if one.series == series), found[0] if found else None)


def _expansion(crank):
    try:
        return steels.find(crank.steel).expansion
    except ValueError:
        return STEEL_EXPANSION


def fit_of(place, hole, shaft, warmer):
    """Fit at 20 degrees and with the outer part warmer than the crank.

    Parameters
    ----------
    place : Seat
    hole : one of ``HOLES``
    shaft : str
        Class of the seat.
    warmer : Quantity, scalar [temperature difference]
        The outer part above the crank; below zero the crank is the warmer one, and the part stays at 20 degrees.

    Returns
    -------
    cold, now : fits.Fit

    Notes
    -----
    Basis: standard, and derived growth.
    """
    size = place.diameter.to("in" if place.crank.units == "in" else "mm")
    ball = hole.startswith("ball")
    cold = bearing_seats.bearing_fit(size, shaft) if ball else fits.fit(size, HOLES[hole], shaft)
    grows = (
        bearing_seats.BEARING_EXPANSION
        if ball
        else BRONZE_EXPANSION
        if hole.startswith("bronze")
        else STEEL_EXPANSION
    )
    rise, none = warmer.to("delta_degC"), Quantity(0.0, "delta_degC")
    above = max(rise, none)
    return cold, fits.warmed(cold, size, grows, above, _expansion(place.crank), above - rise)


def items(units, seat, hole, shaft, warmer):
    """What moves in the zones and in the corner, and the sentence that states the finding."""
    small = UNITS[units][0]
    place = place_of(seat)
    cold, now = fit_of(place, hole, shaft, warmer)
    numbers = [
        np.array([end.m_as(small) for part in (one.hole, one.shaft) for end in part])
        for one in (now, cold)
    ]
    outer = hole.split(",")[0]
    name = {
        "ball bearing": "ring's bore",
        "bronze bushing": f"bushing {HOLES[hole]}",
        "steel hub": f"hub {HOLES[hole]}",
    }[outer]
    drawn, full = fit_zones.zone_items(
        *numbers, "µm" if units == "mm" else "thou", (name, f"{place.kind} {shaft}")
    )
    guess = prediction("13 tightest", ("um", "thousandth", "mm", "in"))
    if guess is not None:
        drawn += fit_zones.guess_items(guess.m_as(small), full)
    bearing = bearing_on(place.diameter, HOLES[hole]) if outer == "ball bearing" else None
    return drawn + _corner(units, place, outer, bearing), _sentence(
        units, seat, place, outer, bearing, (cold, now), (hole, shaft, warmer)
    )


def _corner(units, place, outer, bearing):
    """The fillet, and the ring, bushing or hub that meets it."""
    size, fillet = UNITS[units][1], place.fillet.m_as("mm")
    told = f"fillet {as_text(place.fillet, size, 3)}" if fillet else "no fillet"
    if bearing:
        corner = bearing.corner.m_as("mm")
        gap = bearing_seats.stand_off(place.fillet, bearing.corner).m_as("mm")
        high = (bearing.raceway - bearing.bore).m_as("mm") / 2
        short = f"{as_text(Quantity(gap, 'mm'), size, 2)} short of the web"
        return fit_zones.corner_items(
            fillet,
            (corner, "round", high, gap),
            (told, f"corner {as_text(bearing.corner, size, 2)}", short),
        )
    if outer == "ball bearing":
        return fit_zones.corner_items(fillet, None, (told,))
    return fit_zones.corner_items(
        fillet,
        (fillet, "chamfer", 0.2 * place.diameter.m_as("mm"), 0.0),
        (told, f"chamfer {as_text(place.fillet, size, 3)}" if fillet else ""),
    )


def _sentence(units, label, place, outer, bearing, both, chosen):
    small, size, force, degree, degree_word = UNITS[units]
    now, (_, shaft, warmer) = both[1], chosen
    part = {
        "ball bearing": "a ball bearing",
        "bronze bushing": "a bronze bushing",
        "steel hub": "a steel hub",
    }[outer]
    rise = warmer.m_as(degree)
    warm = (
        ""
        if abs(rise) < 0.5
        else f", the {'outer part' if rise > 0 else 'crank'} {abs(rise):.0f} {degree_word} warmer"
    )
    told = f"{label}, Ø{as_text(place.diameter, size, 5 if size == 'mm' else 4)} {shaft} in {part}{warm}: {_range(now, small)}."
    if outer == "bronze bushing":
        return f"{told} {_running(place, now, small)}"
    told += _joining(place, outer, bearing, both, (force, degree, degree_word))
    return f"{told} {_seating(place, bearing, size)}" if outer == "ball bearing" else told


def _range(now, small):
    """Loosest and tightest pair, in words; where both are of one kind, the smaller first."""
    ends = [
        (
            abs(end.m_as(small)),
            as_text(abs(end), small, 2 if small == "um" else 3),
            "clearance" if end.magnitude >= 0 else "interference",
        )
        for end in (now.loosest, now.tightest)
    ]
    (_, loose, first), (_, tight, second) = ends
    if first != second:
        return f"from {loose} {first} to {tight} {second}"
    (_, least, _), (_, most, _) = sorted(ends)
    return f"{first} of {least} to {most}"


def _running(place, now, small):
    """A bushing's clearance beside common practice."""
    least, most = bearing_seats.running_clearance(
        place.diameter, "crank pin" if place.kind == "pin" else "turning"
    )
    wanted = f"common practice for a {place.kind} is {as_text(least, small, 2)} to {as_text(most, small, 2)}"
    if now.tightest.magnitude < 0:
        return f"NOT OK: the tightest pair seizes; {wanted}."
    if now.tightest < least:
        return f"TIGHT: the tightest pair leaves little room for oil; {wanted}."
    return f"{'LOOSE' if now.loosest > 1.5 * most else 'OK'}: {wanted}."


def _joining(place, outer, bearing, both, words):
    """How a ring or hub gets on: by hand, by warmth, by force."""
    cold, now = both
    if now.tightest.magnitude >= 0:
        return " Every pair slides on by hand."
    force, degree, degree_word = words
    tight, ball = abs(cold.tightest), outer == "ball bearing"
    rise = press_fits.shrink_rise(
        place.diameter, tight, bearing_seats.BEARING_EXPANSION if ball else STEEL_EXPANSION
    )
    pressed = as_text(press_fits.press_fit(*_joint(place, outer, bearing), tight).force, force, 2)
    slips = f"slips on {rise.m_as(degree):.0f} {degree_word} warmer"
    if ball and ROOM + rise.m_as("delta_degC") > press_fits.BEARING_HEAT:
        slips += " (more than a bearing bears)"
    return f" The tightest pair {slips}, or cold with {pressed}."


def _joint(place, outer, bearing):
    """Diameter, outside and length of what is pressed on."""
    if bearing:
        return place.diameter, bearing.raceway, bearing.width
    share = 1.25 if outer == "ball bearing" else HUB_SHARE
    return place.diameter, share * place.diameter, min(place.length, place.diameter)


def _seating(place, bearing, size):
    """Whether a ball bearing can get to its seat and sit against the web."""
    if not place.at_end:
        return "NOT OK: a solid ring cannot pass the webs to get here; use a split bushing."
    if bearing is None:
        bores = " and ".join(
            as_text(bore, size, 5)
            for bore in bearing_seats.nearest_bores(place.diameter)
            if bore is not None
        )
        return f"NOT OK: no standard ball bearing has this bore (nearest: {bores}); run it in a bushing, or change the drawing."
    fillet, corner = as_text(place.fillet, size, 3), as_text(bearing.corner, size, 2)
    if place.fillet <= bearing.largest_fillet * (1 + 1e-9):
        return f"Corner OK: the {bearing.name} bearing has {corner}, the fillet {fillet}."
    gap = bearing_seats.stand_off(place.fillet, bearing.corner)
    return f"Corner NOT OK: fillet {fillet}, the {bearing.name} bearing’s corner {corner}; it stops {as_text(gap, size, 2)} short of the web."


def paper(units, projector=False):
    """What does not move: the chart's lines, the corner's window."""
    return fit_zones.fit_paper(projector)


def panel(stage=False):
    """The live panel of the lesson; on a stage it fills a projector's screen."""
    return Panel(controls(), items, paper, PRESETS, stage)


def picture(
    seat,
    hole="ball bearing, medium series",
    shaft="k6",
    warmer=Quantity(0.0, "delta_degC"),
    units="mm",
):
    """The same picture without widgets: (figure, sentence)."""
    drawn, sentence = items(units, seat, hole, shaft, warmer)
    return add(paper(units), drawn), sentence


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
        f"Nominal size Ø{size} mm. The table gives {_ends(top, bottom)} µm for the hole {hole} and {_ends(high, low)} µm for the shaft {shaft}. "
        "How much interference has the tightest pair they allow?",
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
    )


def _ends(upper, lower):
    return " and ".join(f"{end:+g}".replace("-", "−") if end else "0" for end in (upper, lower))


def ring_rise(source):
    """How much warmer a ring has to be to slip over its seat."""
    bore, tight, play = (
        source.choice((12, 15, 17, 20, 25, 30)),
        source.randrange(6, 19),
        source.randrange(4, 11),
    )
    size, rise = Quantity(bore, "mm"), press_fits.shrink_rise
    key = rise(size, Quantity(tight, "um"), bearing_seats.BEARING_EXPANSION, Quantity(play, "um"))
    bare = rise(size, Quantity(tight, "um"), bearing_seats.BEARING_EXPANSION, Quantity(0, "um"))
    return Question(
        f"A ball bearing's ring of Ø{bore} mm measures {tight} µm smaller than its main. To slip on it needs {play} µm of play as well. "
        "Bearing steel grows 12.5e-6 per °C. How much warmer than the main must the ring be?",
        key,
        ("delta_degC", "delta_degF"),
        {
            "does it slip on without play?": bare,
            "does the bore grow by its diameter or by its radius?": 2 * key,
            "is that the ring's temperature, or how much warmer it is?": key
            + Quantity(20, "delta_degC"),
            "interference was measured on the diameter: was it taken twice?": 2 * key
            - (key - bare),
        },
        (
            "The bore has to grow by the interference and the play together.",
            "rise = (interference + play) / (12.5e-6 times the diameter)",
        ),
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
        f"A steel hub of Ø{outside} mm outside is pressed on Ø{bore} mm over {long} mm, interference {tight} µm on the diameter, friction {rubbing:g}. "
        "What force does it take at the end? Use the library, or the formula with E = 206 GPa.",
        key,
        ("kN", "N", "lbf"),
        {
            "where did friction go? Pressure alone does not resist sliding": key / rubbing,
            "is the interference on the diameter or on the radius?": 2 * key,
            "is the joint's surface pi d L, or half of it?": key / 2,
            "does the hub give way as well as the shaft?": rigid,
        },
        (
            "Interference makes a pressure, the pressure a friction over the joint's surface.",
            "p = E (tight / d) (1 - (d / D)^2) / 2 for steel on steel, F = friction times p times pi d L.",
        ),
    )


def check_gaps(crank, my_largest, my_smallest):
    """Check the two gaps of the worked example: largest and smallest size of the crank's left main turned to k6."""
    diameter = crank.journals[0].diameter
    ends = fits.largest_and_smallest(diameter, "k6")
    close = 0.00008  # of the size: a k6 zone is some 0.0007 of it wide
    for word, key, other, given in (
        ("Largest", *ends, my_largest),
        ("Smallest", *ends[::-1], my_smallest),
    ):
        slips = {
            "that is the other end of the zone": other,
            "k6 lies above the nominal size: by how much?": diameter,
            "is k6 above or below the nominal size?": 2 * diameter - key,
        }
        print(f"{word}:", check(Question(word, key, ("in", "mm"), slips, (), close), given))
