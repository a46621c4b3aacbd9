"""Checks of the bearings: fits and corners, load."""

from dataclasses import replace

import numpy as np

from ...fits import bearing_seats, iso_286
from ...service import bearings
from ...units import Quantity
from ...wording import capital
from ...workpiece.planning import rules
from ..verdicts import Found, Number, by_share, check, shown, worst

HOURS = 1000.0  # of a ball bearing's life that are fine for a fair machine: own choice
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
            "no ball bearing goes over the webs to an inner main: that runs split bushings"
        )
    of = "pins and inner mains" if len(crank.journals) > 2 and not balls else "pins"
    words.append(f"split the bushings of the {of}: no whole one goes over the webs")
    if not balls:
        largest = max(part.fillet for part in (*crank.journals, *crank.throws))
        room = shown(largest, "length", work.units)
        words.append(f"chamfer every bushing more than {room}, so that it clears the fillets")
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
                f"main {at + 1} has {shown(room, 'length', work.units)} for a bearing "
                f"{shown(wide, 'length', work.units)} wide"
            )


def _unlike(mains):
    """Mains of one diameter and fillet once each."""
    return dict.fromkeys(replace(main, length=mains[0].length) for main in mains)


def _seat(work, name, diameter, code):
    """Label of a seat and the two sizes it is turned between."""
    upper, lower = iso_286.limits(diameter, code)
    label = f"{name} Ø{shown(diameter, 'length', work.units)} {code}"
    return label, [
        Number(f"{label}: largest", diameter + upper, "place"),
        Number(f"{label}: smallest", diameter + lower, "place"),
    ]


def _bushing_seat(work, name, diameter, code, duty):
    """Bore of a bushing for a journal; a bore that fits no journal of the class cannot be told."""
    label, numbers = _seat(work, name, diameter, code)
    upper, lower = iso_286.limits(diameter, code)
    low, high = bearing_seats.running_clearance(diameter, duty)
    least, most = diameter + upper + low, diameter + lower + high
    numbers += [
        Number(f"{label}: clearance, least", low, "fine"),
        Number(f"{label}: clearance, most", high, "fine"),
    ]
    if least > most:
        return Found(
            "cannot tell",
            f"the tolerance of {label} is wider than the clearance may vary: no one bore fits it; "
            "measure the journal and bore its bushing to it",
            numbers,
        )
    window = [
        Number(f"{label}: bore from", least, "place"),
        Number(f"{label}: bore to", most, "place"),
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
        nearest = " and ".join(shown(bore, "place", units) for bore in bores)
        told = f"no standard ball bearing goes on {label} (nearest bores {nearest})"
        return Found(
            "not fine", f"{told}: change the drawing, or run the main in a bushing", numbers
        )
    one, ring = seated.bearing, seated.ring
    corner = job["bearing_corner"] or one.corner
    cleared = bearing_seats.cleared_fillet(corner)
    numbers += [
        Number(f"{label}: ball bearing", one.name, "word"),
        Number(f"{label}: loosest on the ring", ring.loosest, "fine"),
        Number(f"{label}: tightest on the ring", ring.tightest, "fine"),
        Number(
            f"{label}: internal clearance of {job['bearing_play']} left, tightest pair",
            seated.least,
            "fine",
        ),
        Number(f"{label}: internal clearance left in 95 % of pairs, at least", seated.low, "fine"),
        Number(f"{label}: internal clearance left, loosest pair", seated.most, "fine"),
        Number(f"{label}: fillet that the bearing's corner clears", cleared, "length"),
        Number(
            f"{label}: ring stops short of the web by",
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
                f"the corner of the {one.name} clears a fillet of "
                f"{shown(cleared, 'length', units)}, "
                f"{label} has {shown(fillet, 'length', units)}: put a chamfered ring between, or "
                "take "
                "a bearing with a larger corner",
            )
        )
    return Found(
        worst("fine", *(verdict for verdict, _ in found)),
        "; ".join(words for _, words in found)
        or f"a {one.name} grips {label} and keeps {shown(seated.low, 'fine', units, 2)} of "
        "internal clearance",
        numbers,
    )


def _fault_words(seated, label, group, units):
    """What each fault of a seated bearing means here, and what helps."""
    name = seated.bearing.name
    loosest = shown(seated.ring.loosest, "fine", units)
    squeezed = shown(-seated.usual, "fine", units)
    more = "measure ring and seat" if group == "C3" else "order it with more internal clearance, C3"
    return {
        "loose": f"the ring of the {name} is loose on {label}, by up to {loosest}: it creeps under "
        "a load that stands still; turn the main to k5 or k6",
        "may be loose": f"the ring of the {name} may be loose on {label} by up to {loosest}: "
        "measure ring and seat",
        "squeezed": f"{label} is too tight for the {name}: at middle sizes its balls are squeezed "
        f"by {squeezed}; take a looser class or more internal clearance",
        "may be squeezed": f"on {label} tight pairs squeeze the balls of the {name}: {more}",
    }


@check("bearings")
def check_bearings(work):
    job, units = work.job, work.units
    if job["machine"] == "not known":
        return Found(
            "cannot tell",
            "What the crank drives was not given, so nobody knows what its bearings bear.",
        )
    loads, numbers, verdicts, words = work.loads, [], ["fine"], []
    pressed, crank = loads.bearing_load.m_as("N"), work.crank
    ends, last = job["main_bearing"] == "ball bearing", len(crank.journals) - 1
    if ends:
        place = max((0, last), key=lambda one: pressed[one].max())
        load = bearings.equivalent_load(Quantity(pressed[place], "N"))
        numbers.append(Number(f"main {place + 1}: equivalent load", load, "force"))
        if job["dynamic_rating"] is None:
            verdicts, words = (
                [*verdicts, "cannot tell"],
                ["the ball bearing's dynamic rating was not given"],
            )
        else:
            life = bearings.rating_life(job["dynamic_rating"], load, job["crank_speed"]).hours
            numbers.append(Number(f"main {place + 1}: rating life", life, "hours"))
            verdicts.append("fine" if life.m_as("hour") >= HOURS else "look")
            long = life.m_as("hour") > LONG_LIFE
            lasts = "more than a million hours" if long else shown(life, "hours", units, 2)
            words.append(f"the ball bearing of main {place + 1} lasts {lasts} by its rating")
    places = [
        (f"main {one + 1}", pressed[one], crank.journals[one].diameter, _bushing(job, one))
        for one in range(last + 1)
        if not (ends and one in (0, last))
    ]
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
        name, force, diameter, length = max(
            group,
            key=lambda one: (
                one[1].max() / (one[2] * one[3]).m_as("mm**2") if one[3].magnitude > 0 else np.inf
            ),
        )
        if length.magnitude <= 0:
            verdicts, words = (
                [*verdicts, "not fine"],
                [*words, f"{name} has no straight length between its fillets, or beside the wheel"],
            )
            continue
        found = bearings.check_bushing(
            Quantity(force, "N"), diameter, length, job["crank_speed"], job["bushing_material"]
        )
        numbers += [
            Number(f"{name}: straight length", length, "length"),
            Number(f"{name}: pressure", found.pressure, "stress"),
            Number(f"{name}: pressure times speed", found.pressure_speed, "pressure speed"),
            Number(f"{name}: limit over load", found.safety, "plain"),
        ]
        verdicts.append(by_share(1 / found.safety, 0.5, 1.0))
        words.append(
            f"{name} in {job['bushing_material']} bears {100 / found.safety:.0f} % of its limit"
        )
    sentence = "; ".join(words)
    return Found(worst(*verdicts), f"{capital(sentence)}.", tuple(numbers))


def _bushing(job, index):
    """Length of a main's bushing: as given, or as much as the main has straight for it."""
    most = rules.straight(job, index)
    return min(job["bushing_length"] or most, most)
