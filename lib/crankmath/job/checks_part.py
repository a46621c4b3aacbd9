"""Checks of the finished part: fillets, strength, bearings and their fits, balance."""

import numpy as np

from .. import fillets
from ..balance import grades, shaking
from ..crank.mass import throw_unbalance
from ..fits import bearing_seats, iso_286
from ..service import bearings
from ..stress_field.field import solve_fillet
from ..units import Quantity
from .verdicts import Found, Number, by_share, check, shown, tidied, worst

LEAST_RELATIVE = 0.03  # r/d: the crank rule's lower end
SAFE = 1.5  # what the low end of a safety factor has to reach to be fine: own choice
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
    for name, diameter, fillet, throw in _corners(work.crank):
        shoulder = min(throw.web_width, 2 * throw.web_reach)
        sizes = tuple(round(size.m_as("mm"), 9) for size in (shoulder, diameter, fillet))
        if (name.split()[0], sizes) in seen:
            continue
        seen.add((name.split()[0], sizes))
        if fillet.magnitude == 0:
            return Found(
                "not fine",
                f"The fillet of {name} is zero: a sharp corner cracks and no fit tells when. Give it a radius.",
            )
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
        numbers += [
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
            worst_kt = kt, name, fillet, kf
    if worst_kt is None:
        return Found(
            "fine",
            "The webs are hardly larger than mains and pins: there is no corner to speak of.",
            tuple(numbers),
        )
    kt, name, fillet, kf = worst_kt
    words = f"The sharpest corner, {name} with R {shown(fillet, 'length', units)}, raises bending stress {kt:.2f} times; fatigue feels {kf:.2f} times."
    if bad:
        return Found(
            "look",
            f"{words} Below r/d {LEAST_RELATIVE:g} at {', '.join(bad)}: a larger radius costs little and helps most there.",
            tuple(numbers),
        )
    return Found("fine", words, tuple(numbers))


def _corners(crank):
    """Name, diameter, fillet and throw of every pin and of every main beside a web."""
    for index, throw in enumerate(crank.throws):
        yield f"pin {index + 1}", throw.pin_diameter, throw.fillet, throw
    for index, main in enumerate(crank.journals):
        yield (
            f"main {index + 1}",
            main.diameter,
            main.fillet,
            crank.throws[min(index, len(crank.throws) - 1)],
        )


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
        f"Weakest is the {one.place.name}: safety factor {one.safety:.2g} ({one.low:.2g} to {one.high:.2g}), {yielding:.2g} "
        f"against yielding: {words}. An estimate, never a certificate.",
        tuple(numbers),
        assumed,
    )


@check("fits")
def check_fits(work):
    job, units, numbers, verdicts, words = work.job, work.units, [], ["fine"], []
    balls = job["main_bearing"] == "ball bearing"
    for name, parts, size, code, duty in (
        ("main", work.crank.journals, "diameter", "main_class", "turning"),
        ("pin", work.crank.throws, "pin_diameter", "pin_class", "crank pin"),
    ):
        for diameter in dict.fromkeys(getattr(part, size) for part in parts):
            upper, lower = iso_286.limits(diameter, job[code])
            label = f"{name} Ø{shown(diameter, 'length', units)} {job[code]}"
            numbers += [
                Number(f"{label}: largest", diameter + upper, "place"),
                Number(f"{label}: smallest", diameter + lower, "place"),
            ]
            if balls and name == "main":
                ring = bearing_seats.bearing_fit(diameter, job[code])
                numbers += [
                    Number(f"{label}: loosest on the ring", ring.loosest, "fine"),
                    Number(f"{label}: tightest on the ring", ring.tightest, "fine"),
                ]
                if ring.kind == "clearance":
                    verdicts.append("look")
                    words.append(f"the ring is loose on {label} and may creep under a turning load")
                continue
            low, high = bearing_seats.running_clearance(diameter, duty)
            least, most = diameter + upper + low, diameter + lower + high
            numbers += [
                Number(f"{label}: clearance, least", low, "fine"),
                Number(f"{label}: clearance, most", high, "fine"),
                Number(f"{label}: bore from", least, "place"),
                Number(f"{label}: bore to", most, "place"),
            ]
            if least > most:
                verdicts.append("look")
                words.append(
                    f"the tolerance of {label} is wider than the clearance may vary: match the bushing to the journal"
                )
    if balls:
        allowed = fillets.largest_shaft_fillet(job["bearing_corner"])
        ends = max(work.crank.journals[0].fillet, work.crank.journals[-1].fillet)
        numbers += [
            Number("fillet that the bearing's corner clears", allowed, "length"),
            Number(
                "ring stops short of the web by",
                bearing_seats.stand_off(ends, job["bearing_corner"]),
                "length",
            ),
        ]
        if ends > allowed:
            verdicts.append("not fine")
            words.append(
                f"the bearing's corner clears a fillet of {shown(allowed, 'length', units)}, the main has {shown(ends, 'length', units)}: "
                "put a chamfered ring between, or take a bearing with a larger corner"
            )
        if len(work.crank.throws) > 1:
            verdicts.append("look")
            words.append(
                "no ball bearing goes over the webs to an inner main: give those split bushings"
            )
    else:
        largest = max(part.fillet for part in (*work.crank.journals, *work.crank.throws))
        words.append(
            f"chamfer every bushing more than {shown(largest, 'length', units)}, so that it clears the fillets"
        )
    sentence = "; ".join(words) or "seats and corners fit"
    return Found(worst(*verdicts), f"{sentence[:1].upper()}{sentence[1:]}.", tuple(numbers))


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
    even = grades.inherently_balanced(crank)
    kind = f"crank drive, inherently {'balanced' if even else 'unbalanced'}, {job['mounting']}"
    grade = grades.balance_grade(kind)
    allowed = grades.permissible_unbalance(masses.mass, job["crank_speed"], grade)
    own = throw_unbalance(crank)
    rotating = Quantity(float(own.m_as("g*mm").max()), "g*mm")
    pins = [piece for piece in crank.segments if piece.kind == "pin"]
    shakes = shaking.shaking_forces(
        job["moving_mass"],
        _each([throw.radius.m_as("mm") for throw in crank.throws], "mm"),
        work.rod_length,
        job["crank_speed"],
        _each([throw.angle.m_as("deg") for throw in crank.throws], "deg"),
        _each([piece.start + piece.length / 2 for piece in pins], "mm"),
        share=0.0,
        turning_unbalance=own,
    )
    longest = max(throw.radius for throw in crank.throws)
    whole, once = (
        tidied(masses.unbalance_size, rotating),
        _spun(rotating + job["moving_mass"] * longest, job["crank_speed"]),
    )
    wanted = Quantity(
        float((rotating + job["balance_share"] * job["moving_mass"] * longest).m_as("g*mm")), "g*mm"
    )
    numbers = [
        Number("mass of the crank", masses.mass, "mass"),
        Number("unbalance of one throw, as drawn", rotating, "unbalance"),
        Number("unbalance of the whole crank", whole, "unbalance"),
        Number("grade G for it", grade, "plain"),
        Number("unbalance that grade leaves", allowed, "unbalance"),
        Number("counterweight's mass times radius, each throw", wanted, "unbalance"),
        Number(
            "shaking force, once a turn, no counterweights",
            tidied(shakes.largest(1), once),
            "force",
        ),
        Number("shaking force, twice a turn", tidied(shakes.largest(2), once), "force"),
    ]
    words = f"As drawn each throw is {shown(rotating, 'unbalance', units, 3)} out of balance"
    assumed = () if "moving_mass" in job.given else ("mass that goes to and fro, assumed",)
    if whole <= allowed:
        return Found(
            "fine",
            f"{words}; the whole crank {shown(whole, 'unbalance', units, 3)}, within the {shown(allowed, 'unbalance', units, 3)} "
            f"that G {grade:g} leaves at this speed.",
            tuple(numbers),
            assumed,
        )
    return Found(
        "look",
        f"{words}; G {grade:g} leaves {shown(allowed, 'unbalance', units, 3)}: counterweights of {shown(wanted, 'unbalance', units, 3)} "
        f"opposite each throw balance it and {job['balance_share']:.0%} of the moving mass.",
        tuple(numbers),
        assumed,
    )


def _spun(unbalance, speed):
    """Force of an unbalance at a speed, U omega squared."""
    return (unbalance * Quantity(speed.m_as("rpm") * np.pi / 30, "1/s") ** 2).to("N")


def _each(values, unit):
    return Quantity(np.array(values), unit)


PART = (check_fillets, check_strength, check_fits, check_bearings, check_balance)
