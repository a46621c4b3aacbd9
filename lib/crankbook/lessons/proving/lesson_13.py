"""Lesson 13, fit the bearings: its panel and its three questions."""

import numpy as np

from crankmath import fits
from crankmath.crank import steels
from crankmath.fits import bearing_seats, press_fits
from crankmath.job.verdicts import by_share, worst
from crankmath.language import _, listed, marked
from crankmath.units import Quantity, as_text
from crankmath.wording import capital

from ...lesson.exercise import check_gap, prediction
from ...lesson.finding import Finding
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures import scene
from ...pictures.proving import fit_zones
from .seats import HOLES, STEEL_EXPANSION, bearing_on, fit_of, place_of, seat_names
from .seats import press_on as press_on
from .seats import ring_rise as ring_rise
from .seats import tightest_fit as tightest_fit

SHAFTS = ("e8", "f7", "g6", "h6", "js6", "j6", "k5", "k6", "m6", "n6", "p6", "s6")
ROOM = 20.0  # degC
HUB_SHARE = 2.0  # a hub's outside over its bore where none is drawn: common practice, no source
UNITS = {
    "mm": ("um", "mm", "N", "MPa", "delta_degC", "°C"),
    "in": ("thousandth", "in", "lbf", "kpsi", "delta_degF", "°F"),
}
BORE_FIGURES = {"mm": 5, "in": 4}  # 15.875 mm is a size of a catalog
PARTS = {
    marked("ball bearing"): (_("a ball bearing"), _("ring's bore")),
    marked("bronze bushing"): (_("a bronze bushing"), _("bushing {}")),
    marked("steel hub"): (_("a steel hub"), _("hub {}")),
}
WARMER = Control(
    "warmer",
    _("Ring, bushing or hub warmer by"),
    ("delta_degC", -40, 120, 1),
    ("delta_degF", -72, 216, 2),
    Quantity(0.0, "delta_degC"),
)
MEDIUM, BUSHING, HUB = (
    marked("ball bearing, medium series"),
    marked("bronze bushing, bore {}"),
    marked("steel hub, bore H7"),
)
COLD, FAR = Quantity(0.0, "delta_degC"), Quantity(100.0, "delta_degC")
PRESETS = {
    _("Pushed on"): {"hole": MEDIUM, "shaft": "j6", "warmer": COLD},
    _("Turned for load"): {"hole": MEDIUM, "shaft": "k6", "warmer": COLD},
    _("Warm ring"): {"hole": MEDIUM, "shaft": "k6", "warmer": Quantity(80.0, "delta_degC")},
    _("Bushing"): {"hole": BUSHING.format("F7"), "shaft": "h6", "warmer": COLD},
    _("Crank runs hot"): {
        "hole": BUSHING.format("H7"),
        "shaft": "g6",
        "warmer": Quantity(-40.0, "delta_degC"),
    },
    _("Flywheel"): {"hole": HUB, "shaft": "n6", "warmer": COLD},
}
NEAR_YIELD = 0.8  # share of the yield up to which a hub's bore is fine: own choice


def controls():
    """The four controls; the list of seats is made when the panel is."""
    offered = seat_names()
    return (
        Choice("seat", _("Seat on the crank"), offered, offered[0]),
        Choice("hole", _("What goes on it"), tuple(HOLES), MEDIUM),
        Choice("shaft", _("Seat turned to"), SHAFTS, "k6"),
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
    named = PARTS[outer][1].format(HOLES[hole]), f"{_(place.kind)} {shaft}"
    drawn, full = fit_zones.zone_items(*numbers, "µm" if units == "mm" else "thou", named)
    part, far, end = ("shaft", -FAR, 2) if warmer < COLD else ("hole", FAR, 0)  # what is warmer
    hot = getattr(fit_of(place, hole, shaft, far)[1], part)[0].m_as(small)
    grown = (hot - numbers[1][end]) / far.m_as(WARMER.scale(units)[0])
    grip = scene.Grip("warmer", "y", full / grown, -numbers[1][end] / grown)
    drawn.append(fit_zones.corner_point(part, numbers[0][end] / full, grip))
    guess = prediction("13 tightest", ("um", "thousandth", "mm", "in"))
    if guess is not None:
        drawn += fit_zones.guess_items(guess.m_as(small), full)
    bearing = bearing_on(place.diameter, HOLES[hole]) if outer == "ball bearing" else None
    part = PARTS[outer][0]
    if bearing and bearing.series != HOLES[hole]:
        part = _("the {name}, the one series with this bore").format(name=bearing.name)
    said = [_where(units, seat, place, part, warmer)]
    if guess is not None:
        said.append(
            _("You predicted {guess}; here the tightest pair has {tightest}.").format(
                guess=as_text(guess, small, 3), tightest=_one_end(now.tightest, small)
            )
        )
    if outer == "bronze bushing":
        found = _running(place, now, small)
    elif outer == "steel hub":
        found = _gripping(place, cold, UNITS[units])
    else:
        found = _seating(place, bearing, shaft, UNITS[units])
    verdict = worst(*(word for word, _unused in found))
    lines = [words for _unused, words in found]
    if outer == "steel hub" or bearing and place.at_end:
        lines.append(_joining(place, outer, bearing, (cold, now), UNITS[units]))
    headline = _("Seat {shaft}: {now}.").format(shaft=shaft, now=_range(now, small))
    return drawn + _corner(units, place, outer, bearing), Finding(
        headline, verdict, (*lines, *said)
    )


def _corner(units, place, outer, bearing):
    """The fillet, and the ring, bushing or hub that meets it."""
    size, fillet = UNITS[units][1], place.fillet.m_as("mm")
    named = (
        _("fillet {fillet}").format(fillet=as_text(place.fillet, size, 3))
        if fillet
        else _("no fillet")
    )
    if bearing:
        corner = bearing.corner.m_as("mm")
        gap = bearing_seats.stand_off(place.fillet, bearing.corner).m_as("mm")
        high = (bearing.raceway - bearing.bore).m_as("mm") / 2
        short = _("{gap} short of the web").format(gap=as_text(Quantity(gap, "mm"), size, 2))
        return fit_zones.corner_items(
            place.kind,
            fillet,
            (corner, "round", high, gap),
            (named, _("corner {corner}").format(corner=as_text(bearing.corner, size, 2)), short),
        )
    if outer == "ball bearing":
        return fit_zones.corner_items(place.kind, fillet, None, (named,))
    chamfer = _("chamfer {fillet}").format(fillet=as_text(place.fillet, size, 3)) if fillet else ""
    ring = fillet, "chamfer", 0.2 * place.diameter.m_as("mm"), 0.0
    return fit_zones.corner_items(place.kind, fillet, ring, (named, chamfer))


def _where(units, label, place, part, warmer):
    """Seat, its size and what goes on it."""
    _unused, size, *_unused, degree, degree_word = UNITS[units]
    rise = warmer.m_as(degree)
    which = _("outer part") if rise > 0 else _("crank")
    warm = (
        ""
        if abs(rise) < 0.5
        else _(", the {which} {rise:.0f} {degree_word} warmer").format(
            which=which, rise=abs(rise), degree_word=degree_word
        )
    )
    diameter = as_text(place.diameter, size, BORE_FIGURES[size])
    return _("{label}, Ø{diameter}, in {part}{warm}.").format(
        label=capital(listed(label)), diameter=diameter, part=part, warm=warm
    )


def _one_end(end, small):
    """Clearance or interference of one pair, in words."""
    kind = _("clearance") if end.magnitude >= 0 else _("interference")
    size = abs(end)
    if small != "um":
        size = Quantity(round(size.m_as(small), 2), small)
    return f"{as_text(size, small, 2 if small == 'um' else 3)} {kind}"


def _range(now, small):
    """Loosest and tightest pair, in words; where both are of one kind, the smaller first."""
    ends = sorted((now.loosest, now.tightest), key=abs)
    if (ends[0].magnitude >= 0) != (ends[1].magnitude >= 0):
        return _("from {loosest} to {tightest}").format(
            loosest=_one_end(now.loosest, small), tightest=_one_end(now.tightest, small)
        )
    (least, kind), (most, _unused) = (_one_end(end, small).rsplit(" ", 1) for end in ends)
    return _("{kind} of {least} to {most}").format(kind=kind, least=least, most=most)


def _running(place, now, small):
    """A bushing's clearance beside common practice."""
    duty = "crank pin" if place.kind == "pin" else "turning"
    least, most = bearing_seats.running_clearance(place.diameter, duty)
    ends = as_text(least, small, 2), as_text(most, small, 2)
    wanted = _("common practice for a {kind} is {least} to {most}.").format(
        kind=_(place.kind), least=ends[0], most=ends[1]
    )
    found = []
    if now.tightest.magnitude < 0:
        found.append(("not fine", _("The tightest pair seizes; {wanted}").format(wanted=wanted)))
    elif now.tightest < least:
        found.append(
            (
                "look",
                _("The tightest pair leaves little room for oil; {wanted}").format(wanted=wanted),
            )
        )
    if now.loosest > most:
        found.append(
            ("look", _("The loosest pair is looser than usual; {wanted}").format(wanted=wanted))
        )
    return found or [
        ("fine", _("Every pair has a usual clearance; {wanted}").format(wanted=wanted))
    ]


def _seating(place, bearing, shaft, words):
    """Whether a ball bearing can get to its seat, sit against the web, grip and turn freely."""
    small, size = words[:2]
    if not place.at_end:
        passes = _("A solid ring cannot pass the webs to get here: take a split bushing.")
        return [("not fine", passes)]
    if bearing is None:
        bores = filter(None, bearing_seats.nearest_bores(place.diameter))
        nearest = _(" and ").join(as_text(bore, size, BORE_FIGURES[size]) for bore in bores)
        return [
            (
                "not fine",
                _("No ball bearing in our table has this bore (nearest: {nearest}).").format(
                    nearest=nearest
                ),
            ),
            ("not fine", _("Run it in a bushing, or change the drawing.")),
        ]
    found = []
    fillet, corner = as_text(place.fillet, size, 3), as_text(bearing.corner, size, 2)
    if not bearing_seats.clears(place.fillet, bearing.corner):
        gap = as_text(bearing_seats.stand_off(place.fillet, bearing.corner), size, 2)
        found.append(
            (
                "not fine",
                _(
                    "The {name} stops {gap} short of the web: its corner {corner}, the fillet "
                    "{fillet}."
                ).format(name=bearing.name, gap=gap, corner=corner, fillet=fillet),
            )
        )
    seated = bearing_seats.seated_bearing(place.diameter, shaft, bearing.series)
    loose, squeezed = (as_text(end, small, 2) for end in (seated.ring.loosest, -seated.usual))
    said = {
        "loose": _("Its ring is loose, by up to {loose}, and creeps under load.").format(
            loose=loose
        ),
        marked("may be loose"): _("A pair may be loose by {loose}: measure ring and seat.").format(
            loose=loose
        ),
        "squeezed": _("At middle sizes the balls are squeezed by {squeezed}.").format(
            squeezed=squeezed
        ),
        marked("may be squeezed"): _("Tight pairs squeeze the balls: order more clearance, C3."),
    }
    found += [(bearing_seats.FAULTS[fault], said[fault]) for fault in seated.faults]
    return found or [
        ("fine", _("The {name} clears the fillet, grips and runs free.").format(name=bearing.name))
    ]


def _gripping(place, cold, words):
    """Whether a hub of the crank's steel grips, and how near its bore comes to yielding.

    Basis: derived. Tresca: hoop stress and pressure in the bore together against the yield
    strength.
    """
    found = []
    if cold.loosest.magnitude >= 0:
        slides = _("Some pairs slide on and grip nothing: a key or a pin has to hold it.")
        found.append(("look", slides))
    if cold.tightest.magnitude >= 0:
        return found
    joint = press_fits.press_fit(*_joint(place, "steel hub", None), abs(cold.tightest))
    stress = joint.hub_stress + joint.pressure
    told = _("The tightest pair stresses the hub's bore to {stress}").format(
        stress=as_text(stress, words[3], 2)
    )
    try:
        strength = steels.find(place.crank.steel).yield_strength
    except ValueError:
        unknown = _("{told}: look up its yield, {steel} is not in our table.").format(
            told=told, steel=place.crank.steel
        )
        return [*found, ("cannot tell", unknown)]
    share = (stress / strength).m_as("dimensionless")
    of = _("{share:.0f} % of the yield of {steel}").format(
        share=100 * share, steel=place.crank.steel
    )
    return [*found, (by_share(share, NEAR_YIELD, 1.0), f"{told}, {of}.")]


def _joining(place, outer, bearing, both, words):
    """How a ring or hub gets on: by hand, by warmth, by force."""
    cold, now = both
    if now.tightest.magnitude >= 0:
        return _("Every pair slides on by hand.")
    _unused, _unused, force, _unused, degree, degree_word = words
    tight, ball = abs(cold.tightest), outer == "ball bearing"
    expansion = bearing_seats.BEARING_EXPANSION if ball else STEEL_EXPANSION
    rise = press_fits.shrink_rise(place.diameter, tight, expansion)
    pressed = as_text(press_fits.press_fit(*_joint(place, outer, bearing), tight).force, force, 2)
    slips = _("slips on {rise:.0f} {degree_word} warmer").format(
        rise=rise.m_as(degree), degree_word=degree_word
    )
    if ball and ROOM + rise.m_as("delta_degC") > press_fits.BEARING_HEAT:
        slips += _(" (more than a bearing bears)")
    return _("The tightest pair {slips}, or cold with {pressed}.").format(
        slips=slips, pressed=pressed
    )


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
