"""Lesson 13, fit the bearings: its panel and its three questions."""

import numpy as np

from crankmath import fits
from crankmath.crank import steels
from crankmath.fits import bearing_seats, press_fits
from crankmath.job.verdicts import by_share, worst
from crankmath.units import Quantity, as_text
from crankmath.wording import capital

from ...lesson.exercise import Question, check_gap, prediction
from ...lesson.finding import Finding
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures import scene
from ...pictures.proving import fit_zones
from .seats import HOLES, STEEL_EXPANSION, bearing_on, fit_of, place_of, seat_names

SHAFTS = ("e8", "f7", "g6", "h6", "js6", "j6", "k5", "k6", "m6", "n6", "p6", "s6")
ROOM = 20.0  # degC
HUB_SHARE = 2.0  # a hub's outside over its bore where none is drawn: common practice, no source
UNITS = {
    "mm": ("um", "mm", "N", "MPa", "delta_degC", "°C"),
    "in": ("thousandth", "in", "lbf", "kpsi", "delta_degF", "°F"),
}
BORE_FIGURES = {"mm": 5, "in": 4}  # 15.875 mm is a size of a catalog
PARTS = {
    "ball bearing": ("a ball bearing", "ring's bore"),
    "bronze bushing": ("a bronze bushing", "bushing {}"),
    "steel hub": ("a steel hub", "hub {}"),
}
WARMER = Control(
    "warmer",
    "Ring, bushing or hub warmer by",
    ("delta_degC", -40, 120, 1),
    ("delta_degF", -72, 216, 2),
    Quantity(0.0, "delta_degC"),
)
MEDIUM, BUSHING, HUB = "ball bearing, series 62", "bronze bushing, bore {}", "steel hub, bore H7"
COLD, FAR = Quantity(0.0, "delta_degC"), Quantity(100.0, "delta_degC")
PRESETS = {
    "Pushed on": {"hole": MEDIUM, "shaft": "j6", "warmer": COLD},
    "Turned for load": {"hole": MEDIUM, "shaft": "k6", "warmer": COLD},
    "Warm ring": {"hole": MEDIUM, "shaft": "k6", "warmer": Quantity(80.0, "delta_degC")},
    "Bushing": {"hole": BUSHING.format("F7"), "shaft": "h6", "warmer": COLD},
    "Crank runs hot": {
        "hole": BUSHING.format("H7"),
        "shaft": "g6",
        "warmer": Quantity(-40.0, "delta_degC"),
    },
    "Flywheel": {"hole": HUB, "shaft": "n6", "warmer": COLD},
}
NEAR_YIELD = 0.8  # share of the yield up to which a hub's bore is fine: own choice


def controls():
    """The four controls; the list of seats is made when the panel is."""
    offered = seat_names()
    return (
        Choice("seat", "Seat on the crank", offered, offered[0]),
        Choice("hole", "What goes on it", tuple(HOLES), MEDIUM),
        Choice("shaft", "Seat turned to", SHAFTS, "k6"),
        WARMER,
    )


def items(units, seat, hole, shaft, warmer):
    """What moves in the zones and in the corner, and the finding."""
    small = UNITS[units][0]
    place = place_of(seat)
    cold, now = fit_of(place, hole, shaft, warmer)
    numbers = [
        np.array([end.m_as(small) for part in (one.hole, one.shaft) for end in part])
        for one in (now, cold)
    ]
    outer = hole.split(",")[0]
    named = PARTS[outer][1].format(HOLES[hole]), f"{place.kind} {shaft}"
    drawn, full = fit_zones.zone_items(*numbers, "µm" if units == "mm" else "thou", named)
    hot = fit_of(place, hole, shaft, FAR)[1].hole[0].m_as(small)
    grown = (hot - numbers[1][0]) / FAR.m_as(WARMER.scale(units)[0])
    grip = scene.Grip("warmer", "y", full / grown, -numbers[1][0] / grown)
    drawn.append(fit_zones.hole_point(numbers[0][0] / full, grip))
    guess = prediction("13 tightest", ("um", "thousandth", "mm", "in"))
    if guess is not None:
        drawn += fit_zones.guess_items(guess.m_as(small), full)
    bearing = bearing_on(place.diameter, HOLES[hole]) if outer == "ball bearing" else None
    said = [_where(units, seat, place, outer, warmer)]
    if guess is not None:
        said.append(
            f"You predicted {as_text(guess, small, 3)}; here the tightest pair has "
            f"{_one_end(now.tightest, small)}."
        )
    if outer == "bronze bushing":
        found = _running(place, now, small)
    elif outer == "steel hub":
        found = _gripping(place, cold, UNITS[units])
    else:
        found = _seating(place, bearing, shaft, UNITS[units])
    verdict = worst(*(word for word, _ in found))
    lines = [words for _, words in found]
    if outer == "steel hub" or bearing and place.at_end:
        lines.append(_joining(place, outer, bearing, (cold, now), UNITS[units]))
    headline = f"Seat {shaft}: {_range(now, small)}."
    return drawn + _corner(units, place, outer, bearing), Finding(
        headline, verdict, (*lines, *said)
    )


def _corner(units, place, outer, bearing):
    """The fillet, and the ring, bushing or hub that meets it."""
    size, fillet = UNITS[units][1], place.fillet.m_as("mm")
    named = f"fillet {as_text(place.fillet, size, 3)}" if fillet else "no fillet"
    if bearing:
        corner = bearing.corner.m_as("mm")
        gap = bearing_seats.stand_off(place.fillet, bearing.corner).m_as("mm")
        high = (bearing.raceway - bearing.bore).m_as("mm") / 2
        short = f"{as_text(Quantity(gap, 'mm'), size, 2)} short of the web"
        return fit_zones.corner_items(
            place.kind,
            fillet,
            (corner, "round", high, gap),
            (named, f"corner {as_text(bearing.corner, size, 2)}", short),
        )
    if outer == "ball bearing":
        return fit_zones.corner_items(place.kind, fillet, None, (named,))
    chamfer = f"chamfer {as_text(place.fillet, size, 3)}" if fillet else ""
    ring = fillet, "chamfer", 0.2 * place.diameter.m_as("mm"), 0.0
    return fit_zones.corner_items(place.kind, fillet, ring, (named, chamfer))


def _where(units, label, place, outer, warmer):
    """Seat, its size and what goes on it."""
    _, size, *_, degree, degree_word = UNITS[units]
    rise = warmer.m_as(degree)
    which = "outer part" if rise > 0 else "crank"
    warm = "" if abs(rise) < 0.5 else f", the {which} {abs(rise):.0f} {degree_word} warmer"
    diameter = as_text(place.diameter, size, BORE_FIGURES[size])
    return f"{capital(label)}, Ø{diameter}, in {PARTS[outer][0]}{warm}."


def _one_end(end, small):
    """Clearance or interference of one pair, in words."""
    kind = "clearance" if end.magnitude >= 0 else "interference"
    size = abs(end)
    if small != "um":
        size = Quantity(round(size.m_as(small), 2), small)
    return f"{as_text(size, small, 2 if small == 'um' else 3)} {kind}"


def _range(now, small):
    """Loosest and tightest pair, in words; where both are of one kind, the smaller first."""
    ends = sorted((now.loosest, now.tightest), key=abs)
    if (ends[0].magnitude >= 0) != (ends[1].magnitude >= 0):
        return f"from {_one_end(now.loosest, small)} to {_one_end(now.tightest, small)}"
    (least, kind), (most, _) = (_one_end(end, small).rsplit(" ", 1) for end in ends)
    return f"{kind} of {least} to {most}"


def _running(place, now, small):
    """A bushing's clearance beside common practice."""
    duty = "crank pin" if place.kind == "pin" else "turning"
    least, most = bearing_seats.running_clearance(place.diameter, duty)
    ends = as_text(least, small, 2), as_text(most, small, 2)
    wanted = f"common practice for a {place.kind} is {ends[0]} to {ends[1]}."
    found = []
    if now.tightest.magnitude < 0:
        found.append(("not fine", f"The tightest pair seizes; {wanted}"))
    elif now.tightest < least:
        found.append(("look", f"The tightest pair leaves little room for oil; {wanted}"))
    if now.loosest > most:
        found.append(("look", f"The loosest pair is looser than usual; {wanted}"))
    return found or [("fine", f"Every pair has a usual clearance; {wanted}")]


def _seating(place, bearing, shaft, words):
    """Whether a ball bearing can get to its seat, sit against the web, grip and turn freely."""
    small, size = words[:2]
    if not place.at_end:
        passes = "A solid ring cannot pass the webs to get here: take a split bushing."
        return [("not fine", passes)]
    if bearing is None:
        bores = filter(None, bearing_seats.nearest_bores(place.diameter))
        nearest = " and ".join(as_text(bore, size, BORE_FIGURES[size]) for bore in bores)
        return [
            ("not fine", f"No ball bearing in our table has this bore (nearest: {nearest})."),
            ("not fine", "Run it in a bushing, or change the drawing."),
        ]
    found = []
    fillet, corner = as_text(place.fillet, size, 3), as_text(bearing.corner, size, 2)
    if not bearing_seats.clears(place.fillet, bearing.corner):
        gap = as_text(bearing_seats.stand_off(place.fillet, bearing.corner), size, 2)
        found.append(
            (
                "not fine",
                f"The {bearing.name} stops {gap} short of the web: its corner {corner}, the fillet "
                f"{fillet}.",
            )
        )
    seated = bearing_seats.seated_bearing(place.diameter, shaft, bearing.series)
    loose, squeezed = (as_text(end, small, 2) for end in (seated.ring.loosest, -seated.usual))
    said = {
        "loose": f"Its ring is loose, by up to {loose}, and creeps under load.",
        "may be loose": f"A pair may be loose by {loose}: measure ring and seat.",
        "squeezed": f"At middle sizes the balls are squeezed by {squeezed}.",
        "may be squeezed": "Tight pairs squeeze the balls: order more clearance, C3.",
    }
    found += [(bearing_seats.FAULTS[fault], said[fault]) for fault in seated.faults]
    return found or [("fine", f"The {bearing.name} clears the fillet, grips and runs free.")]


def _gripping(place, cold, words):
    """Whether a hub of the crank's steel grips, and how near its bore comes to yielding.

    Basis: derived. Tresca: hoop stress and pressure in the bore together against the yield
    strength.
    """
    found = []
    if cold.loosest.magnitude >= 0:
        slides = "Some pairs slide on and grip nothing: a key or a pin has to hold it."
        found.append(("look", slides))
    if cold.tightest.magnitude >= 0:
        return found
    joint = press_fits.press_fit(*_joint(place, "steel hub", None), abs(cold.tightest))
    stress = joint.hub_stress + joint.pressure
    told = f"The tightest pair stresses the hub's bore to {as_text(stress, words[3], 2)}"
    try:
        strength = steels.find(place.crank.steel).yield_strength
    except ValueError:
        unknown = f"{told}: look up its yield, {place.crank.steel} is not in our table."
        return [*found, ("cannot tell", unknown)]
    share = (stress / strength).m_as("dimensionless")
    of = f"{100 * share:.0f} % of the yield of {place.crank.steel}"
    return [*found, (by_share(share, NEAR_YIELD, 1.0), f"{told}, {of}.")]


def _joining(place, outer, bearing, both, words):
    """How a ring or hub gets on: by hand, by warmth, by force."""
    cold, now = both
    if now.tightest.magnitude >= 0:
        return "Every pair slides on by hand."
    _, _, force, _, degree, degree_word = words
    tight, ball = abs(cold.tightest), outer == "ball bearing"
    expansion = bearing_seats.BEARING_EXPANSION if ball else STEEL_EXPANSION
    rise = press_fits.shrink_rise(place.diameter, tight, expansion)
    pressed = as_text(press_fits.press_fit(*_joint(place, outer, bearing), tight).force, force, 2)
    slips = f"slips on {rise.m_as(degree):.0f} {degree_word} warmer"
    if ball and ROOM + rise.m_as("delta_degC") > press_fits.BEARING_HEAT:
        slips += " (more than a bearing bears)"
    return f"The tightest pair {slips}, or cold with {pressed}."


def _joint(place, outer, bearing):
    """Diameter, outside and length of what is pressed on."""
    if bearing:
        return place.diameter, bearing.raceway, bearing.width
    share = 1.25 if outer == "ball bearing" else HUB_SHARE
    return place.diameter, share * place.diameter, min(place.length, place.diameter)


def paper(units, projector=False):
    """What does not move: the chart's lines, the corner's window."""
    return fit_zones.fit_paper(projector)


SCENE = Scene(controls, items, paper, PRESETS)
panel, picture = SCENE.panel, SCENE.picture


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


def check_gaps(crank, my_largest, my_smallest):
    """Check the gaps of the worked example: sizes of the crank's left main turned to k6."""
    diameter = crank.journals[0].diameter
    largest, smallest = fits.largest_and_smallest(diameter, "k6")
    close = 0.00008  # of the size: a k6 zone is some 0.0007 of it wide
    for word, key, other, answer, name in (
        ("Largest", largest, smallest, my_largest, "my_largest"),
        ("Smallest", smallest, largest, my_smallest, "my_smallest"),
    ):
        slips = {
            "that is the other end of the zone": other,
            "k6 lies above the nominal size: by how much?": diameter,
            "is k6 above or below the nominal size?": 2 * diameter - key,
        }
        check_gap(word, key, ("in", "mm"), answer, slips, close, name)
