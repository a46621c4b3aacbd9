"""Checks of the finished part: fillets, strength, bearings and their fits, balance."""

import warnings
from dataclasses import replace

import numpy as np

from .. import crank_corner, fillets
from ..balance import counterweights, grades, shaking
from ..crank.mass import throw_unbalance
from ..fits import bearing_seats, iso_286
from ..service import bearings
from ..stress_field.field import solve_fillet
from ..units import OutOfRangeWarning, Quantity
from .fields import BANKS
from .verdicts import Found, Number, by_share, check, shown, tidied, worst

LEAST_RELATIVE = 0.03  # r/d: the crank rule's lower end
SAFE = 1.5  # what the low end of a safety factor has to reach to be fine: own choice
COARSER = 2.5  # ISO 21940-11 puts a softly mounted crank drive at G 630, a bolted one at G 250
HOURS = 1000.0  # of a ball bearing's life that are fine for a fair machine: own choice


@check("fillets")
def check_fillets(work):
    units, strength, seen, numbers, worst_kt, bad = (
        work.units,
        work.job["tensile_strength"] or work.steel.tensile_strength,
        set(),
        [],
        None,
        [],
    )
    corners = tuple(_corners(work.crank))
    for name, _, fillet, *_ in corners:
        if fillet.magnitude == 0:
            return Found(
                "not fine",
                f"The fillet of {name} is zero: a sharp corner cracks and no fit tells when. "
                "Give it a radius.",
            )
    for name, diameter, fillet, throw, webs in corners:
        shoulder = min(throw.web_width, 2 * throw.web_reach)
        sizes = tuple(round(size.m_as("mm"), 9) for size in (shoulder, diameter, fillet))
        if (name.split()[0], sizes) in seen:
            continue
        seen.add((name.split()[0], sizes))
        if shoulder <= diameter * 1.01:
            numbers.append(Number(f"{name}: no step", "the web is hardly larger", "word"))
            continue
        solved = solve_fillet("bending", shoulder, diameter, fillet).kt
        printed = {
            source: fillets.stress_concentration("bending", shoulder, diameter, fillet, source)
            for source in ("pilkey", "tipton")
        }
        twist = solve_fillet("torsion", shoulder, diameter, fillet).kt
        kt = max(solved, *printed.values())
        kf = fillets.fatigue_factor(kt, "bending", strength, fillet)
        relative = (fillet / diameter).m_as("dimensionless")
        on_web = _on_web(work.crank, name, webs)
        numbers += [
            Number(f"{name}: bending on its web, solved in the solid", on_web, "plain"),
            Number(f"{name}: fillet", fillet, "length"),
            Number(f"{name}: r/d", relative, "plain"),
            Number(f"{name}: Kt bending, solved", solved, "plain"),
            Number(f"{name}: Kt bending, Pilkey", printed["pilkey"], "plain"),
            Number(f"{name}: Kt bending, Tipton", printed["tipton"], "plain"),
            Number(f"{name}: Kt torsion, solved", twist, "plain"),
            Number(f"{name}: Kf bending, of the largest", kf, "plain"),
        ]
        bad += [name] if relative < LEAST_RELATIVE else []
        if worst_kt is None or kt > worst_kt[0]:
            worst_kt = kt, name, fillet, kf, on_web
    if worst_kt is None:
        return Found(
            "fine",
            "The webs are hardly larger than mains and pins: there is no corner to speak of.",
            tuple(numbers),
        )
    kt, name, fillet, kf, on_web = worst_kt
    words = f"The sharpest corner, {name} with R {shown(fillet, 'length', units)}, raises bending stress {kt:.2f} times as a stepped shaft; fatigue feels {kf:.2f} times. As the corner of its web, solved in the solid, it raises the same stress {on_web:.2f} times."
    if bad:
        return Found(
            "look",
            f"{words} Below r/d {LEAST_RELATIVE:g} at {', '.join(bad)}: a larger radius costs little and helps most there.",
            tuple(numbers),
        )
    return Found("fine", words, tuple(numbers))


def _corners(crank):
    """Name, diameter, fillet, throw and webs of every pin and of every main beside a web."""
    count = 2 * len(crank.throws)
    for index, throw in enumerate(crank.throws):
        webs = (2 * index + 1, 2 * index + 2)
        yield f"pin {index + 1}", throw.pin_diameter, throw.fillet, throw, webs
    for index, main in enumerate(crank.journals):
        throw = crank.throws[min(index, len(crank.throws) - 1)]
        webs = [web for web in (2 * index, 2 * index + 1) if 1 <= web <= count]
        yield f"main {index + 1}", main.diameter, main.fillet, throw, webs


def _on_web(crank, name, webs):
    """The solved corner's bending, the largest of the webs, over that of the bar itself."""
    where = "pin" if name.startswith("pin") else "journal"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)  # the strength check says it
        return max(crank_corner.bending_on_bar(crank, where, web) for web in webs)


@check("strength")
def check_strength(work):
    if work.job["machine"] == "not known":
        return Found(
            "cannot tell",
            "What the crank drives was not given: choose a machine, then bore and pressure, or a force.",
        )
    result, loads = work.strength, work.loads
    one = result.weakest
    yielding = min(part.yield_safety for part in result.sections)
    peak = Quantity(float(np.abs(loads.rod_force.m_as("N")).max()), "N")
    numbers = [
        Number("largest force on a rod", peak, "force"),
        Number(
            "mean torque, minus where it is driven",
            tidied(loads.mean_torque, peak * work.crank.throws[0].radius),
            "torque",
        ),
        Number(
            "largest torque",
            Quantity(float(np.abs(loads.torque.m_as("N*m")).max()), "N*m"),
            "torque",
        ),
        Number("weakest section", one.place.name, "word"),
        Number("its safety factor", one.safety, "plain"),
        Number("low end", one.low, "plain"),
        Number("high end", one.high, "plain"),
        *(
            (
                Number("in print, as a round shoulder", one.shoulder, "plain"),
                Number("in print, by the crank rule", one.crank_rule, "plain"),
            )
            if one.printed
            else ()
        ),
        Number("alternating stress there", one.alternating, "stress"),
        Number("mean stress there", one.mean, "stress"),
        Number("endurance limit", one.endurance_limit, "stress"),
        Number("safety against yielding", yielding, "plain"),
    ]
    assumed = tuple(
        f"{name.replace('_', ' ')} of {work.crank.steel}: {work.steel.source(name)}"
        for name in ("tensile_strength", "yield_strength")
        if work.job[name] is None and "memory" in work.steel.source(name)
    )
    least = min(one.low, yielding)
    verdict = "not fine" if least < 1 else "look" if least < SAFE else "fine"
    words = {
        "not fine": "it may crack: larger fillets, thicker webs, another steel, less load",
        "look": "little to spare for what nobody measured",
        "fine": "by this sum it lasts",
    }[verdict]
    return Found(
        verdict,
        f"Weakest is the {one.place.name}: safety factor {one.safety:.2g} ({one.low:.2g} to {one.high:.2g}), "
        f"{yielding:.2g} against yielding: {words}. {result.grain}{' ' if result.grain else ''}An estimate, never a certificate.",
        tuple(numbers),
        assumed,
    )


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
    words = [seat.sentence for seat in seats if seat.sentence]
    if inner and balls:
        words.append(
            "no ball bearing goes over the webs to an inner main: that runs split bushings"
        )
    elif not balls:
        largest = max(part.fillet for part in (*crank.journals, *crank.throws))
        room = shown(largest, "length", work.units)
        words.append(f"chamfer every bushing more than {room}, so that it clears the fillets")
    sentence = "; ".join(words) or "seats and corners fit"
    return Found(
        worst("look" if inner and balls else "fine", *(seat.verdict for seat in seats)),
        f"{sentence[:1].upper()}{sentence[1:]}.",
        tuple(number for seat in seats for number in seat.numbers),
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
    """Ball bearing for an end main: its bore, its ring's grip, the play left in it, its corner."""
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
    cleared = fillets.largest_shaft_fillet(corner) if job["bearing_corner"] else one.largest_fillet
    numbers += [
        Number(f"{label}: ball bearing", one.name, "word"),
        Number(f"{label}: loosest on the ring", ring.loosest, "fine"),
        Number(f"{label}: tightest on the ring", ring.tightest, "fine"),
        Number(f"{label}: play of {job['bearing_play']} left, tightest pair", seated.least, "fine"),
        Number(f"{label}: play left in 95 % of pairs, at least", seated.low, "fine"),
        Number(f"{label}: play left, loosest pair", seated.most, "fine"),
        Number(f"{label}: fillet that the bearing's corner clears", cleared, "length"),
        Number(
            f"{label}: ring stops short of the web by",
            bearing_seats.stand_off(fillet, corner),
            "length",
        ),
    ]
    found = [*_grip(seated, label, units), *_play(seated, label, job["bearing_play"], units)]
    if fillet > cleared:
        found.append(
            (
                "not fine",
                f"the corner of the {one.name} clears a fillet of {shown(cleared, 'length', units)}, "
                f"{label} has {shown(fillet, 'length', units)}: put a chamfered ring between, or take "
                "a bearing with a larger corner",
            )
        )
    return Found(
        worst("fine", *(verdict for verdict, _ in found)),
        "; ".join(words for _, words in found)
        or f"a {one.name} grips {label} and keeps {shown(seated.low, 'fine', units, 2)} of play",
        numbers,
    )


def _grip(seated, label, units):
    """Verdict and words where a ring may be loose on its seat."""
    loosest = shown(seated.ring.loosest, "fine", units)
    if seated.usual_grip.magnitude <= 0:
        yield (
            "not fine",
            f"the ring of the {seated.bearing.name} is loose on {label}, by up to {loosest}: it "
            "creeps under a load that stands still; turn the main to k5 or k6",
        )
    elif seated.ring.loosest.magnitude > 0:
        yield (
            "look",
            f"the ring of the {seated.bearing.name} may be loose on {label} by up to {loosest}: "
            "measure ring and seat",
        )


def _play(seated, label, group, units):
    """Verdict and words where a gripped ring leaves the balls no play."""
    if seated.usual.magnitude <= 0:
        yield (
            "not fine",
            f"{label} is too tight for the {seated.bearing.name}: at middle sizes its balls are "
            f"squeezed by {shown(-seated.usual, 'fine', units)}; take a looser class or more play",
        )
    elif seated.low.magnitude < 0:
        more = "measure ring and seat" if group == "C3" else "order it with more play, C3"
        yield (
            "look",
            f"on {label} tight pairs squeeze the balls of the {seated.bearing.name}: {more}",
        )


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
            words.append(
                f"the ball bearing of main {place + 1} lasts {shown(life, 'hours', units, 2)} by its rating"
            )
    places = [
        (f"main {one + 1}", pressed[one], crank.journals[one].diameter, _straight(job, crank, one))
        for one in range(last + 1)
        if not (ends and one in (0, last))
    ]
    rods = np.abs(loads.rod_force.m_as("N"))
    pins = [
        (f"pin {one + 1}", rods[one], throw.pin_diameter, throw.pin_length - 2 * throw.fillet)
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
                [*words, f"{name} has no straight length between its fillets"],
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
    return Found(worst(*verdicts), f"{sentence[:1].upper()}{sentence[1:]}.", tuple(numbers))


def _straight(job, crank, index):
    """Length of a main's bushing: as given, or what is straight between its fillets."""
    main = crank.journals[index]
    return (
        job["bushing_length"]
        or main.length - (1 if index in (0, len(crank.journals) - 1) else 2) * main.fillet
    )


@check("balance")
def check_balance(work):
    job, units, crank, masses = work.job, work.units, work.crank, work.masses
    rods = 2 if job["banks"] == BANKS[2] else 1
    turning, moving = rods * job["rotating_mass"], rods * job["moving_mass"]
    arms = _each([throw.radius.m_as("mm") for throw in crank.throws], "mm")
    own = throw_unbalance(crank)
    with_rods = own + (turning * arms).to("g*mm")
    plan = counterweights.counterweights_for(crank, turning, moving, job["balance_share"])
    fitted = job["counterweights"] != "none"
    # a share of the moving mass is meant to be left; the grade is asked of what is left beside it
    left = plan.wanted - plan.given if fitted else with_rods
    at_mains, _ = grades.unbalance_at_mains(crank, left)
    even = grades.inherently_balanced(crank)
    kind = f"crank drive, inherently {'balanced' if even else 'unbalanced'}, {job['mounting']}"
    grade = grades.balance_grade(kind)
    allowed = grades.permissible_unbalance(masses.mass, job["crank_speed"], grade)
    ratio = float((at_mains / (allowed * _plane_shares(crank, masses))).m_as("dimensionless").max())
    shakes = _shakes(work, with_rods - plan.given if fitted else with_rods, rods)
    rotating, wanted = own.max(), plan.wanted.max()
    most = _spun(with_rods.max() + (moving * arms).max(), job["crank_speed"])
    pair = tuple(tidied(size, rotating) for size in at_mains)
    which = "with counterweights" if fitted else "no counterweights"
    numbers = [
        Number("mass of the crank", masses.mass, "mass"),
        Number("unbalance of one throw, as drawn", rotating, "unbalance"),
        Number(
            "unbalance of the whole crank", tidied(masses.unbalance_size, rotating), "unbalance"
        ),
        Number("grade G for it", grade, "plain"),
        Number("unbalance that grade leaves", allowed, "unbalance"),
        Number(f"unbalance at the left main, {which}", pair[0], "unbalance"),
        Number(f"unbalance at the right main, {which}", pair[1], "unbalance"),
        Number("counterweight's mass times radius, each throw", wanted, "unbalance"),
        Number(f"shaking force, once a turn, {which}", tidied(shakes.largest(1), most), "force"),
        Number("shaking force, twice a turn", tidied(shakes.largest(2), most), "force"),
        Number(
            f"shaking couple, once a turn, {which}",
            tidied(shakes.largest(1, "couple"), most * crank.length),
            "torque",
        ),
    ]
    verdict = by_share(ratio, 1.0, COARSER)
    ends = " and ".join(shown(size, "unbalance", units) for size in pair)
    told = f"{ends} at the two end mains, {100 * ratio:.0f} % of what G {grade:g} leaves there"
    if fitted:
        words = (
            f"Counterweights of {shown(wanted, 'unbalance', units)} opposite each throw balance what "
            f"turns and {job['balance_share']:.0%} of the moving mass; beside that are left {told}"
        )
        if not plan.enough:
            verdict = worst(verdict, "look")
            words += "; half disks within the webs' swing have no room for more: make them thicker"
    else:
        words = f"As drawn, with the rods' big ends: {told}"
        if ratio > 1:
            words += (
                f"; counterweights of {shown(wanted, 'unbalance', units)} opposite each throw balance "
                f"that and {job['balance_share']:.0%} of the moving mass"
            )
    assumed = [
        words_of
        for key, words_of in (
            ("moving_mass", "mass that moves along the stroke, assumed"),
            ("rotating_mass", "mass of a rod that turns with its pin, assumed"),
        )
        if key not in job.given
    ]
    if job["banks"] != BANKS[0]:
        assumed.append("strength and bearing loads take all strokes in line")
    return Found(verdict, f"{words}.", tuple(numbers), tuple(assumed))


def _plane_shares(crank, masses):
    """Share of the permissible unbalance in the plane of each end main, by its distance (ISO 21940-11)."""
    long = crank.length
    first, last = crank.journals[0].length / 2, long - crank.journals[-1].length / 2
    left = ((last - masses.center[0]) / (last - first)).m_as("dimensionless")
    return np.array([left, 1 - left])


def _shakes(work, left, rods):
    """Shaking forces and couples of all cylinders, each in its bank; about the middle of the pins."""
    job, throws = work.job, work.crank.throws
    pins = [piece for piece in work.crank.segments if piece.kind == "pin"]
    along = np.array([piece.start + piece.length / 2 for piece in pins])
    of = np.repeat(np.arange(len(throws)), rods)
    bank = np.arange(len(of)) % 2 * (0.0 if job["banks"] == BANKS[0] else 1.0)
    return shaking.shaking_forces(
        job["moving_mass"],
        _each([throw.radius.m_as("mm") for throw in throws], "mm")[of],
        work.rod_length,
        job["crank_speed"],
        _each([throw.angle.m_as("deg") for throw in throws], "deg")[of],
        _each(along - (along[0] + along[-1]) / 2, "mm")[of],
        bank * job["bank_angle"],
        turning_unbalance=left[of] / rods,
    )


def _spun(unbalance, speed):
    """Force of an unbalance at a speed, U omega squared."""
    return (unbalance * Quantity(speed.m_as("rpm") * np.pi / 30, "1/s") ** 2).to("N")


def _each(values, unit):
    return Quantity(np.array(values), unit)


PART = (check_fillets, check_strength, check_fits, check_bearings, check_balance)
