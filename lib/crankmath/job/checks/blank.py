"""Checks of the blank: motion, bar, locked-in stress, centers, swing."""

from contextlib import suppress
from dataclasses import replace

from ...blank import bar, center_holes, layout
from ...crank import motion
from ...spacers import center_pressure
from ...units import Quantity
from ...wording import ERRORS, capital, figures, limits_shown
from ...workpiece.plan import least_left
from ...workpiece.planning import rules
from ...workpiece.planning.rules import size_of_bar, smallest_turned_bar
from ..fields import BY_KEY, CYLINDER
from ..verdicts import Found, Number, by_share, check, said_of, shown, worst

SHORTEST_ROD = 3.0  # throws; own choice: below it the harmonics left out pass 2 % of the force
CLEAR = Quantity(3.0, "mm")  # a hand's care between swinging bar and lathe: own choice


@check("motion")
def check_motion(work):
    rod, units = work.rod_length, work.units
    longest = max(throw.radius for throw in work.crank.throws)
    if rod <= longest:
        return Found(
            "not fine",
            f"A rod of {shown(rod, 'length', units)} is no longer than the throw of "
            f"{shown(longest, 'length', units)}: the crank cannot turn around.",
        )
    strokes = [motion.dead_centers(throw.radius, rod).stroke for throw in work.crank.throws]
    ratio = (rod / longest).m_as("dimensionless")
    late = motion.position_error(
        Quantity(90.0, "deg"), longest, rod, phase_error=work.job["phase_tolerance"]
    )
    numbers = [
        Number(f"stroke of throw {n}", stroke, "length") for n, stroke in enumerate(strokes, 1)
    ]
    numbers += [
        Number("rod over throw", ratio, "plain"),
        Number(
            "shift of the piston a quarter turn from dead center by the angle allowed",
            abs(late),
            "fine",
        ),
    ]
    if work.job["machine"] in CYLINDER[1]:
        numbers.append(
            Number(
                "swept volume, each throw",
                motion.swept_volume(work.job["bore"], longest, rod),
                "volume",
            )
        )
    short = ratio < SHORTEST_ROD
    words = (
        "a short rod: side force and second-order shaking are large"
        if short
        else "long enough to run smoothly"
    )
    return Found(
        "look" if short else "fine",
        f"Stroke {shown(max(strokes), 'length', units)}; the rod is {figures(ratio)} throws, "
        f"{words}.",
        tuple(numbers),
    )


@check("bar")
def check_bar(work):
    least, units = work.smallest_bar, work.units
    need = (
        f"The crank needs a {least.shape} bar of {size_of_bar(least, units)} × "
        f"{shown(least.length, 'length', units)}"
    )
    numbers = [
        Number("least width", least.width, "length"),
        Number("least height", least.height, "length"),
        Number("length", least.length, "length"),
        Number("bow of the bar inside these", least.bow, "length"),
    ]
    own = work.job["bar_size"] is not None
    try:
        one = work.bar
    except ValueError as error:
        told = _larger(work) if own else said_of(error)
        return Found("not fine" if own else "cannot tell", f"{need}. {told}", tuple(numbers))
    spare = min((one.width - least.width) / 2, (one.height - least.height) / 2)
    mass = work.swung["main"].mass
    numbers += [
        Number("width of the bar", one.width, "length"),
        Number("height of the bar", one.height, "length"),
        Number("spare all around", spare, "length"),
        Number("mass of the bar", mass, "mass"),
    ]
    heavy = ": lift it with a hoist or a second person" if mass > rules.ONE_PERSON else ""
    kept = "Yours" if own else "The next usual size,"
    turned = smallest_turned_bar(work.job)
    saved = ""
    if turned.width * turned.height < 0.99 * least.width * least.height:
        saved = (
            f" Turned about its axis a bar of {size_of_bar(turned, units)} would hold it; the plan "
            "keeps a side square to throw 1, to lay out from."
        )
    measured = _measured(work, numbers)
    return Found(
        "fine",
        f"{need}. {kept} {size_of_bar(one, units)} leaves {shown(spare, 'length', units, 2)} more "
        "all around and weighs "
        f"{shown(mass, 'mass', units)}{heavy}.{saved}{measured}",
        tuple(numbers),
        () if own else (f"the bar is in stock as {size_of_bar(one, units)}: sizes from memory",),
    )


def _larger(work):
    """What helps where the bar at hand is too small: a larger one, or less to machine away."""
    job, least, units = work.job, work.smallest_bar, work.units
    own = job["bar_size"], (job["bar_height"] if least.shape == "flat" else job["bar_size"])
    short = max(
        wanted - (mine or wanted)
        for wanted, mine in zip((least.width, least.height), own, strict=True)
    )
    ways, room = [], job["bar_allowance"] - short / 2
    with suppress(ValueError):  # none on the list is as large
        ways.append(f"take {size_of_bar(bar.stock_bar(least, units), units)}")
    if room > 0 * room:
        most = limits_shown(0 * room, room, "length", units)[1]
        label = BY_KEY["bar_allowance"].label
        ways.append(f"answer “{label}” with {most} or less, where the skin allows it")
    size = size_of_bar(
        replace(least, width=own[0] or least.width, height=own[1] or least.height), units
    )
    return f"Yours, {size}, is too small: {', or '.join(ways) or 'take a larger one'}."


def _measured(work, numbers):
    """What the bar may measure for the plan made, added to the numbers too; nothing without one."""
    units, one = work.units, work.bar
    try:
        under, over = (Quantity(off, "mm") for off in work.plan.bar_off)
    except ERRORS:  # the checks of what stands in its way say why
        return ""
    numbers += [
        Number("bar may measure under its size by", under, "length"),
        Number("bar may measure over its size by", over, "length"),
    ]
    least, most = (limits_shown(0 * off, off, "length", units)[1] for off in (under, over))
    black = next((off for size, off in bar.BLACK_OFF if one.width.m_as("mm") <= size), None)
    rolled = ""
    if one.shape == "round" and black is not None:
        numbers.append(Number("black bar may be off by", Quantity(black, "mm"), "length"))
        if black > under.m_as("mm"):
            rolled = f"; black bar may be {shown(Quantity(black, 'mm'), 'length', units, 2)} off"
    return (
        f" Measure it before sawing: the plan holds up to {least} under and {most} over that "
        f"size{rolled}."
    )


@check("locked_in")
def check_locked_in(work):
    plan, units = work.plan, work.units
    stock = work.job["finish_allowance"].m_as("mm")
    allowed = Quantity(least_left(plan.placed, plan.steps, stock), "mm")
    bows = plan.bows()
    largest = max(bows, key=lambda one: one[2])
    stage = next(number for number, one in enumerate(bows) if one[2] >= 0.99 * largest[2])
    low, usual, high = (Quantity(size, "mm") for size in largest)
    words = "less than what is left for finishing even where the stress is high"
    if high > allowed:
        words = (
            f"and at worst {shown(high, 'fine', units, 2)}, more than is left for finishing: let "
            "it rest after roughing, look for bow, true the centers, then finish"
        )
    return Found(
        "look" if high > allowed else "fine",
        f"All that is cut away until “{plan.steps[stage].name}” usually bows the work "
        f"{shown(usual, 'fine', units, 2)}, {words}.",
        (
            Number("largest after", plan.steps[stage].name, "word"),
            Number("bow, low", low, "fine"),
            Number("bow, usual", usual, "fine"),
            Number("bow, high", high, "fine"),
            Number("left for finishing", allowed, "length"),
        ),
        (
            f"stress locked in {work.steel.condition} bar: shares of the yield strength, "
            "from memory",
        ),
    )


@check("centers")
def check_centers(work):
    units = work.units
    try:
        hole = work.hole
    except ValueError as error:
        return Found("not fine" if "thrust" in str(error) else "cannot tell", said_of(error))
    rooms, most = center_holes.hole_room(work.layouts[0], hole), work.most_thrust
    stub, wanted = work.job["center_end"], rules.least_stub(hole)
    pressure, bears = center_pressure(most, hole.mouth, hole.drill), work.allowed_pressure
    edge, beside = min(one.to_edge for one in rooms), min(one.to_next for one in rooms)
    numbers = (
        Number("center hole", f"{hole.standard} {hole.name}", "word"),
        Number("pilot drill", hole.drill, "length"),
        Number("mouth", hole.mouth, "length"),
        Number("least depth", hole.least_depth, "length"),
        Number("most thrust of any step", most, "force"),
        Number("pressure on the cone", pressure, "stress"),
        Number("allowed pressure", bears, "stress"),
        Number("full bar at each end", stub, "length"),
        Number("full bar that the pin centers ask for", wanted, "length"),
        Number("metal to the bar's edge", edge, "length"),
        Number("metal to the next hole", beside, "length"),
    )
    assumed = (
        f"a center that {work.job['center']} bears "
        f"{shown(bears, 'stress', units)}: assumed, no source",
    )
    bad = [one.name for one in rooms if not one.fits]
    if bad:
        return Found(
            "not fine",
            f"The center hole of {', '.join(bad)} has no room on the end face "
            f"({shown(edge, 'length', units, 2)} to the edge, "
            f"{shown(beside, 'length', units, 2)} to the next): take a larger bar, smaller "
            "centers, or throw plates on the ends.",
            numbers,
            assumed,
        )
    if stub < wanted:
        cut = ", its cone cut short" if stub < hole.cone_depth else ""
        return Found(
            "not fine",
            f"A pin center's hole is {shown(hole.least_depth, 'length', units)} deep and its stub "
            f"{shown(stub, 'length', units)} long: when the main is turned it comes out behind"
            f"{cut}, and the thrust may break what is left. Leave "
            f"{shown(wanted, 'length', units)} of full bar at each end.",
            numbers,
            assumed,
        )
    told = (
        f"{'Both' if len(rooms) == 2 else f'All {len(rooms)}'} centers have room on both ends; "
        f"{hole.standard} {hole.name} holes, {shown(hole.mouth, 'length', units)} across, bear the "
        f"{shown(most, 'force', units, 2)} of the step that asks for most at "
        f"{shown(pressure, 'stress', units)}"
    )
    if pressure > bears:
        return Found(
            "not fine",
            f"{told}, and {shown(bears, 'stress', units)} is all that they may: press less, take "
            "lighter cuts, or a center that turns with the work.",
            numbers,
            assumed,
        )
    return Found(
        "fine",
        f"{told}.",
        numbers,
        assumed,
    )


@check("swing")
def check_swing(work):
    units, lathe = work.units, work.job.lathe
    if work.crank.swing_radius >= lathe.center_height:  # whatever the bar
        return Found(
            "not fine",
            f"The finished webs swing {shown(work.crank.swing_radius, 'length', units)} about the "
            f"mains and the {lathe.name} clears {shown(lathe.center_height, 'length', units)}: is "
            "every radius of a throw half its stroke, and in the right unit?",
        )
    if work.bar.length > lathe.between_centers:
        long = (
            Number("bar's length", work.bar.length, "length"),
            Number("most between centers", lathe.between_centers, "length"),
        )
        return Found(
            "not fine",
            f"The bar of {shown(work.bar.length, 'length', units)} is longer than the "
            f"{shown(lathe.between_centers, 'length', units)} "
            f"between centers of the {lathe.name}.",
            long,
        )
    by_hand = layout.swing_check(work.layouts[0], lathe, work.job["swing_over_carriage"])
    rooms = [
        (step, work.plan.room(step))
        for step in work.plan.steps
        if step.on == "centers" and step.cuts
    ]
    numbers = [Number(f"swing of the bar about {one.name}", one.swing, "length") for one in by_hand]
    for step, room in rooms:
        for label, key, kind in (
            ("swing", "swing", "length"),
            ("room over the bed", "over_bed", "room"),
            ("room over the carriage", "over_carriage", "room"),
        ):
            numbers.append(Number(f"{step.name}: {label}", Quantity(room[key], "mm"), kind))
    along = lathe.between_centers - work.bar.length
    numbers.append(Number("room along the bed", along, "room"))
    beds = [(f"the bar turned on the center of {one.name}", one.over_bed) for one in by_hand]
    beds += [
        (f"in “{step.name}” the work", Quantity(room["over_bed"], "mm")) for step, room in rooms
    ]
    carriages = [
        (f"in “{step.name}” the work", Quantity(room["over_carriage"], "mm"))
        for step, room in rooms
    ]
    (bed_of, bed), (carriage_of, carriage) = (
        min(some, key=lambda one: one[1]) for some in (beds, carriages)
    )
    verdict = worst(
        *(by_share(-room.m_as("mm"), -CLEAR.m_as("mm"), 0.0) for room in (bed, carriage))
    )
    if verdict == "not fine":
        who, on, room = (
            (bed_of, "bed", bed) if bed.magnitude < 0 else (carriage_of, "carriage", carriage)
        )
        return Found(
            verdict,
            f"{capital(who)} strikes the {on}: {shown(-room, 'length', units, 2)} too wide.",
            tuple(numbers),
        )
    return Found(
        verdict,
        f"The work and its dog swing clear: {shown(bed, 'room', units)} over the bed and "
        f"{shown(carriage, 'room', units)} over the carriage. Turn it once by hand all the "
        "same.",
        tuple(numbers),
    )
