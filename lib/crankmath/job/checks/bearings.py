"""Checks of the bearings: fits and corners, load."""

from dataclasses import replace

import numpy as np

from ...fits import bearing_seats, iso_286
from ...language import _, listed, spoken
from ...service import bearings
from ...units import Quantity
from ...wording import capital
from ...workpiece.planning import rules
from ..verdicts import Found, Number, by_share, check, shown, worst

HOURS = 1000.0  # of a ball bearing's life that are fine for a fair machine: own choice
SHORT = 10.0  # times less pass, with a look; shorter does not: own choice
LONG_LIFE = 1e6  # h, above it the number says nothing


@check("fits")
def check_fits(work):
    job, crank, balls = work.job, work.crank, work.job["main_bearing"] == "ball bearing"
    ends = (crank.journals[0], crank.journals[-1]) if balls else ()
    inner = crank.journals[1:-1] if balls else crank.journals
    seats = [_ball_seat(work, main.diameter, main.fillet) for main in _unlike(ends)]
    for name, sizes, code, duty in (
        ("main", [main.diameter for main in inner], job["main_class"], "turning"),
        ("pin", [throw.pin_diameter for throw in crank.throws], job["pin_class"], "crank pin"),
    ):
        seats += [_bushing_seat(work, name, size, code, duty) for size in dict.fromkeys(sizes)]
    seats += [Found("not fine", told) for told in _too_wide(work, balls)]
    words = [seat.sentence for seat in seats if seat.sentence]
    if inner and balls:
        words.append(
            _("no ball bearing goes over the webs to an inner main: that runs split bushings")
        )
    of = _("pins and inner mains") if len(crank.journals) > 2 and not balls else _("pins")
    words.append(
        _("split the bushings of the {part}: no whole one goes over the webs").format(part=of)
    )
    if not balls:
        largest = max(part.fillet for part in (*crank.journals, *crank.throws))
        room = shown(largest, "length", work.units)
        words.append(
            _("chamfer every bushing more than {room}, so that it clears the fillets").format(
                room=room
            )
        )
    sentence = "; ".join(words)
    return Found(
        worst("look" if inner and balls else "fine", *(seat.verdict for seat in seats)),
        f"{capital(sentence)}.",
        tuple(number for seat in seats for number in seat.numbers),
    )


def _too_wide(work, balls):
    """Mains that have no room for their bearing, beside the wheel where one sits on the last."""
    job, crank = work.job, work.crank
    for at, main in enumerate(crank.journals):
        wide = job["bushing_length"]
        if balls and at in (0, len(crank.journals) - 1):
            seated = bearing_seats.seated_bearing(
                main.diameter, job["main_class"], job["bearing_series"], job["bearing_play"]
            )
            wide = seated and seated.bearing.width
        if wide is not None and wide > (room := rules.straight(job, at)):
            room = max(room, 0 * room)
            yield (
                _("main {at} has {room} for a bearing {wide} wide").format(
                    at=at + 1,
                    room=shown(room, "length", work.units),
                    wide=shown(wide, "length", work.units),
                )
            )


def _unlike(mains):
    """Mains, those alike in diameter and fillet only once."""
    return dict.fromkeys(replace(main, length=mains[0].length) for main in mains)


def _seat(work, name, diameter, code):
    """Label of a seat and the two sizes it is turned between."""
    upper, lower = iso_286.limits(diameter, code)
    label = f"{_(name)} Ø{shown(diameter, 'length', work.units)} {code}"
    return label, [
        Number(_("{label}: largest").format(label=label), diameter + upper, "place"),
        Number(_("{label}: smallest").format(label=label), diameter + lower, "place"),
    ]


def _bushing_seat(work, name, diameter, code, duty):
    """Bore of a bushing for a journal; “cannot tell” where no one bore fits every journal of the
    class.
    """
    label, numbers = _seat(work, name, diameter, code)
    upper, lower = iso_286.limits(diameter, code)
    low, high = bearing_seats.running_clearance(diameter, duty)
    least, most = diameter + upper + low, diameter + lower + high
    numbers += [
        Number(_("{label}: clearance, least").format(label=label), low, "fine"),
        Number(_("{label}: clearance, most").format(label=label), high, "fine"),
    ]
    if least > most:
        return Found(
            "cannot tell",
            _(
                "the tolerance of {label} is wider than the clearance may vary: no one bore fits "
                "it; measure the journal and bore its bushing to it"
            ).format(label=label),
            numbers,
        )
    window = [
        Number(_("{label}: bore from").format(label=label), least, "place"),
        Number(_("{label}: bore to").format(label=label), most, "place"),
    ]
    return Found("fine", "", numbers + window)


def _ball_seat(work, diameter, fillet):
    """Ball bearing for an end main: its bore, its ring's grip, the internal clearance left in it,
    its corner."""
    job, units, code = work.job, work.units, work.job["main_class"]
    label, numbers = _seat(work, "main", diameter, code)
    seated = bearing_seats.seated_bearing(
        diameter, code, job["bearing_series"], job["bearing_play"]
    )
    if seated is None:
        bores = filter(None, bearing_seats.nearest_bores(diameter))
        nearest = _(" and ").join(shown(bore, "place", units) for bore in bores)
        told = _("no standard ball bearing goes on {label} (nearest bores {nearest})").format(
            label=label, nearest=nearest
        )
        return Found(
            "not fine",
            _("{told}: change the drawing, or run the main in a bushing").format(told=told),
            numbers,
        )
    one, ring = seated.bearing, seated.ring
    corner = job["bearing_corner"] or one.corner
    cleared = bearing_seats.cleared_fillet(corner)
    numbers += [
        Number(_("{label}: ball bearing").format(label=label), one.name, "word"),
        Number(_("{label}: loosest on the ring").format(label=label), ring.loosest, "fine"),
        Number(_("{label}: tightest on the ring").format(label=label), ring.tightest, "fine"),
        Number(
            _("{label}: internal clearance of {bearing_play} left, tightest pair").format(
                label=label, bearing_play=job["bearing_play"]
            ),
            seated.least,
            "fine",
        ),
        Number(
            _("{label}: internal clearance left in 95 % of pairs, at least").format(label=label),
            seated.low,
            "fine",
        ),
        Number(
            _("{label}: internal clearance left, loosest pair").format(label=label),
            seated.most,
            "fine",
        ),
        Number(
            _("{label}: fillet that the bearing's corner clears").format(label=label),
            cleared,
            "length",
        ),
        Number(
            _("{label}: ring stops short of the web by").format(label=label),
            bearing_seats.stand_off(fillet, corner),
            "length",
        ),
    ]
    said = _fault_words(seated, label, job["bearing_play"], units)
    found = [(bearing_seats.FAULTS[fault], said[fault]) for fault in seated.faults]
    if not bearing_seats.clears(fillet, corner):
        found.append(
            (
                "not fine",
                _(
                    "the corner of the {name} clears a fillet of {cleared}, {label} has {fillet}: "
                    "put a chamfered ring between, or take a bearing with a larger corner"
                ).format(
                    name=one.name,
                    cleared=shown(cleared, "length", units),
                    label=label,
                    fillet=shown(fillet, "length", units),
                ),
            )
        )
    return Found(
        worst("fine", *(verdict for verdict, _unused in found)),
        "; ".join(words for _unused, words in found)
        or _("a {name} grips {label} and keeps {low} of internal clearance").format(
            name=one.name, label=label, low=shown(seated.low, "fine", units, 2)
        ),
        numbers,
    )


def _fault_words(seated, label, group, units):
    """What each fault of a seated bearing means here, and what helps."""
    name = seated.bearing.name
    loosest = shown(seated.ring.loosest, "fine", units)
    squeezed = shown(-seated.usual, "fine", units)
    more = (
        _("measure ring and seat")
        if group == "C3"
        else _("order it with more internal clearance, C3")
    )
    return {
        "loose": _(
            "the ring of the {name} is loose on {label}, by up to {loosest}: it creeps under a "
            "load that stands still; turn the main to k5 or k6"
        ).format(name=spoken(name), label=label, loosest=loosest),
        "may be loose": _(
            "the ring of the {name} may be loose on {label} by up to {loosest}: measure ring and "
            "seat"
        ).format(name=spoken(name), label=label, loosest=loosest),
        "squeezed": _(
            "{label} is too tight for the {name}: at middle sizes its balls are squeezed by "
            "{squeezed}; take a looser class or more internal clearance"
        ).format(label=label, name=spoken(name), squeezed=squeezed),
        "may be squeezed": _(
            "on {label} tight pairs squeeze the balls of the {name}: {more}"
        ).format(label=label, name=spoken(name), more=more),
    }


LIMITED = {  # what limits a bushing, and what helps
    "pressure": (
        _("{name} in {bushing_material} bears {share:.0f} % of its limit"),
        _(": take it longer or larger"),
    ),
    "speed": (
        _("{name} in {bushing_material} rubs at {share:.0f} % of its limit"),
        _(": turn slower, or take it smaller"),
    ),
    "pressure times speed": (
        _("{name} in {bushing_material} bears and rubs {share:.0f} % of its limit"),
        _(": take it longer, or turn slower"),
    ),
}


@check("bearings")
def check_bearings(work):
    job, units = work.job, work.units
    if job["machine"] == "not known":
        return Found(
            "cannot tell",
            _("What the crank drives was not given, so the load on its bearings is not known."),
        )
    loads, numbers, verdicts, words = work.loads, [], ["fine"], []
    pressed, crank = loads.bearing_load.m_as("N"), work.crank
    ends, last = job["main_bearing"] == "ball bearing", len(crank.journals) - 1
    if ends:
        place = max((0, last), key=lambda one: pressed[one].max())
        load = bearings.equivalent_load(Quantity(pressed[place], "N"))
        numbers.append(
            Number(_("main {place}: equivalent load").format(place=place + 1), load, "force")
        )
        if job["dynamic_rating"] is None:
            verdicts, words = (
                [*verdicts, "cannot tell"],
                [_("the ball bearing's dynamic rating was not given")],
            )
        else:
            life = bearings.rating_life(job["dynamic_rating"], load, job["crank_speed"]).hours
            numbers.append(
                Number(_("main {place}: rating life").format(place=place + 1), life, "hours")
            )
            verdicts.append(by_share(HOURS / life.m_as("hour"), 1.0, SHORT))
            long = life.m_as("hour") > LONG_LIFE
            lasts = _("more than a million hours") if long else shown(life, "hours", units, 2)
            words.append(
                _("the ball bearing of main {place} lasts {lasts} by its rating").format(
                    place=place + 1, lasts=lasts
                )
                + (_(": take one of a higher rating") if verdicts[-1] == "not fine" else "")
            )
    places = [
        (f"main {one + 1}", pressed[one], crank.journals[one].diameter, _bushing(job, one))
        for one in range(last + 1)
        if not (ends and one in (0, last))
    ]
    at = job["crank_speed"], job["bushing_material"]
    side = len(work.banks_of(0))  # rods that stand side by side on a pin
    rods = np.abs(loads.rod_force.m_as("N"))
    pins = [
        (
            f"pin {one + 1}",
            rods[side * one : side * (one + 1)].max(axis=0),
            throw.pin_diameter,
            (throw.pin_length - 2 * throw.fillet) / side,
        )
        for one, throw in enumerate(crank.throws)
    ]
    for group in filter(None, (places, pins)):
        if short := [name for name, _force, _size, long in group if long.magnitude <= 0]:
            verdicts.append("not fine")
            words.append(
                _("{name} has no straight length between its fillets, or beside the wheel").format(
                    name=spoken(short[0])
                )
            )
            continue
        found = [
            (one, bearings.check_bushing(Quantity(one[1], "N"), *one[2:], *at)) for one in group
        ]
        (name, _force, _size, length), worse = min(
            found, key=lambda one: (one[1].safety, -one[1].pressure.m_as("MPa"))
        )
        numbers += [
            Number(_("{name}: straight length").format(name=spoken(name)), length, "length"),
            Number(_("{name}: pressure").format(name=spoken(name)), worse.pressure, "stress"),
            Number(_("{name}: rubbing speed").format(name=spoken(name)), worse.speed, "speed"),
            Number(
                _("{name}: pressure times speed").format(name=spoken(name)),
                worse.pressure_speed,
                "pressure speed",
            ),
            Number(_("{name}: limit over load").format(name=spoken(name)), worse.safety, "plain"),
        ]
        verdicts.append(by_share(1 / worse.safety, 0.5, 1.0))
        told, cure = LIMITED[worse.limited_by]
        words.append(
            told.format(
                name=spoken(name),
                bushing_material=listed(job["bushing_material"]),
                share=100 / worse.safety,
            )
            + (cure if worse.safety < 1 else "")
        )
    sentence = "; ".join(words)
    return Found(worst(*verdicts), f"{capital(sentence)}.", tuple(numbers))


def _bushing(job, index):
    """Length of a main's bushing: as given, or as much as the main has straight for it."""
    most = rules.straight(job, index)
    return min(job["bushing_length"] or most, most)
