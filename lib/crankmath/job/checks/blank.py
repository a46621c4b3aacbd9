"""Checks of the blank: bar, locked-in stress, centers, swing."""

from contextlib import suppress
from dataclasses import replace

from ...blank import bar, center_holes, layout
from ...language import _, listed, spoken
from ...spacers import center_pressure
from ...units import Quantity
from ...wording import ERRORS, capital, least_shown, most_shown
from ...workpiece.holding import CLEAR
from ...workpiece.plan import least_left
from ...workpiece.planning import rules
from ...workpiece.planning.rules import size_of_bar, smallest_turned_bar
from ..fields import BY_KEY
from ..verdicts import Found, Number, by_share, check, said_of, shown, worst

BOLT_NEAR = Quantity(10.0, "mm")  # what a driving plate comes near to the work: own choice


@check("bar")
def check_bar(work):
    least, units = work.smallest_bar, work.units
    need = _("The crank needs a {shape} bar of {least} × {length}").format(
        shape=_(least.shape),
        least=size_of_bar(least, units),
        length=shown(least.length, "place", units),
    )
    numbers = [
        Number(_("least width"), least.width, "length"),
        Number(_("least height"), least.height, "length"),
        Number(_("length"), least.length, "place"),
        Number(_("bow of the bar inside these"), least.bow, "length"),
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
        Number(_("width of the bar"), one.width, "length"),
        Number(_("height of the bar"), one.height, "length"),
        Number(_("spare all around"), spare, "length"),
        Number(_("mass of the bar"), mass, "mass"),
    ]
    heavy = _(": lift it with a hoist or a second person") if mass > rules.ONE_PERSON else ""
    kept = _("Yours,") if own else _("The next usual size,")
    turned = smallest_turned_bar(work.job)
    saved = ""
    if turned.width * turned.height < 0.99 * least.width * least.height:
        saved = _(
            " Turned about its axis a bar of {turned} would hold it; the plan keeps a side square "
            "to throw 1, to lay out from."
        ).format(turned=size_of_bar(turned, units))
    measured = _measured(work, numbers)
    return Found(
        "fine",
        _(
            "{need}. {kept} {size}, leaves {spare} more all around and weighs "
            "{mass}{heavy}.{saved}{measured}"
        ).format(
            need=need,
            kept=kept,
            size=size_of_bar(one, units),
            spare=shown(spare, "length", units, 2),
            mass=shown(mass, "mass", units),
            heavy=heavy,
            saved=saved,
            measured=measured,
        ),
        tuple(numbers),
        ()
        if own
        else (
            _("the bar is in stock as {size}: sizes from memory").format(
                size=size_of_bar(one, units)
            ),
        ),
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
        ways.append(
            _("take {stock_bar}").format(stock_bar=size_of_bar(bar.stock_bar(least, units), units))
        )
    if room > 0 * room:
        most = most_shown(room, "length", units)
        label = BY_KEY["bar_allowance"].label
        ways.append(
            _("answer “{label}” with {most} or less, where the skin allows it").format(
                label=label, most=most
            )
        )
    size = size_of_bar(
        replace(least, width=own[0] or least.width, height=own[1] or least.height), units
    )
    return _("Yours, {size}, is too small: {ways}.").format(
        size=size, ways=", or ".join(ways) or _("take a larger one")
    )


def _measured(work, numbers):
    """What the bar may measure for the plan made, added to the numbers too; nothing without one."""
    units, one = work.units, work.bar
    try:
        under, over = (Quantity(off, "mm") for off in work.plan.bar_off)
    except ERRORS:  # the checks of what stands in its way say why
        return ""
    numbers += [
        Number(_("bar may measure under its size by"), under, "length"),
        Number(_("bar may measure over its size by"), over, "length"),
    ]
    least, most = (most_shown(off, "length", units) for off in (under, over))
    black = next((off for size, off in bar.BLACK_OFF if one.width.m_as("mm") <= size), None)
    rolled = ""
    if one.shape == "round" and black is not None:
        numbers.append(
            Number(_("size tolerance of black bar, either way"), Quantity(black, "mm"), "length")
        )
        if black > under.m_as("mm"):
            rolled = _("; black bar may be {black} off").format(
                black=shown(Quantity(black, "mm"), "length", units, 2)
            )
    return _(
        " Measure it before sawing: the plan holds up to {least} under and {most} over that size, "
        "with more passes the more it is over{rolled}."
    ).format(least=least, most=most, rolled=rolled)


@check("locked_in")
def check_locked_in(work):
    plan, units = work.plan, work.units
    stock = work.job["finish_allowance"].m_as("mm")
    allowed = Quantity(least_left(plan.placed, plan.steps, stock), "mm")
    bows = plan.bows()
    largest = max(bows, key=lambda one: one[2])
    stage = next(number for number, one in enumerate(bows) if one[2] >= 0.99 * largest[2])
    low, usual, high = (Quantity(size, "mm") for size in largest)
    words = _("less than what is left for finishing even where the stress is high")
    if high > allowed:
        words = _(
            "and at worst {high}, more than is left for finishing: let it rest after roughing, "
            "look for bow, true the centers, then finish"
        ).format(high=shown(high, "fine", units, 2))
    return Found(
        "look" if high > allowed else "fine",
        _("All that is cut away until “{name}” usually bows the work {usual}, {words}.").format(
            name=plan.steps[stage].name, usual=shown(usual, "fine", units, 2), words=words
        ),
        (
            Number(_("largest after"), plan.steps[stage].name, "word"),
            Number(_("bow, low"), low, "fine"),
            Number(_("bow, usual"), usual, "fine"),
            Number(_("bow, high"), high, "fine"),
            Number(_("left for finishing"), allowed, "length"),
        ),
        (
            _("stress locked in {condition} bar: shares of the yield strength, from memory").format(
                condition=_(work.steel.condition)
            ),
        ),
    )


@check("centers")
def check_centers(work):
    units = work.units
    try:
        hole = work.hole
    except ValueError as error:
        return Found("not fine" if "thrust" in str(error) else "cannot tell", said_of(error))
    rooms = center_holes.hole_room(work.layouts[0], hole)
    known = work.most_thrust is not None
    most = work.most_thrust if known else work.job["thrust"]
    stub, wanted = work.job["center_end"], rules.least_stub(hole)
    pressure, bears = center_pressure(most, hole.mouth, hole.drill), work.allowed_pressure
    edge, beside = min(one.to_edge for one in rooms), min(one.to_next for one in rooms)
    numbers = (
        Number(_("center hole"), f"{hole.standard} {hole.name}", "word"),
        Number(_("pilot drill"), hole.drill, "length"),
        Number(_("mouth"), hole.mouth, "length"),
        Number(_("least depth"), hole.least_depth, "length"),
        Number(_("most thrust of any step") if known else _("thrust answered"), most, "force"),
        Number(_("pressure on the cone"), pressure, "stress"),
        Number(_("allowed pressure"), bears, "stress"),
        Number(_("full bar at each end"), stub, "length"),
        Number(_("full bar that the pin centers ask for"), wanted, "length"),
        Number(_("metal to the bar's edge"), edge, "length"),
        Number(_("metal to the next hole"), beside, "length"),
    )
    assumed = (
        _("a center that {center} bears {bears}: assumed, no source").format(
            center=listed(work.job["center"]), bears=shown(bears, "stress", units)
        ),
    )
    bad = [one.name for one in rooms if not one.fits]
    if bad:
        return Found(
            "not fine",
            _(
                "The center hole of {bad} has no room on the end face ({edge} to the edge, "
                "{beside} to the next): take a larger bar, smaller centers, or throw plates on the "
                "ends."
            ).format(
                bad=", ".join(bad),
                edge=shown(edge, "length", units, 2),
                beside=shown(beside, "length", units, 2),
            ),
            numbers,
            assumed,
        )
    if stub < wanted:
        cut = _(", its cone cut short") if stub < hole.cone_depth else ""
        return Found(
            "not fine",
            _(
                "A pin center's hole is {least_depth} deep and its stub {stub} long: when the main "
                "is turned it comes out behind{cut}, and the thrust may break what is left. Leave "
                "{wanted} of full bar at each end."
            ).format(
                least_depth=shown(hole.least_depth, "length", units),
                stub=shown(stub, "length", units),
                cut=cut,
                wanted=shown(wanted, "length", units),
            ),
            numbers,
            assumed,
        )
    asked = shown(most, "force", units)
    if most > work.job["thrust"]:  # as the step says it
        asked = least_shown(most, "force", units)
    of = (
        _("{most} of the step that needs most")
        if known
        else _("{most} that was answered (what the cuts need is not known)")
    )
    told = _(
        "{words} centers have room on both ends; {standard} {name} holes, {mouth} across, bear the "
        "{asked} at {pressure}"
    ).format(
        words=_("Both") if len(rooms) == 2 else _("All {count}").format(count=len(rooms)),
        standard=hole.standard,
        name=hole.name,
        mouth=shown(hole.mouth, "length", units),
        asked=of.format(most=asked),
        pressure=shown(pressure, "stress", units),
    )
    if pressure > bears:
        return Found(
            "not fine",
            _(
                "{told}, and {bears} is the most allowed: press less, take lighter cuts, or a "
                "center that turns with the work."
            ).format(told=told, bears=shown(bears, "stress", units)),
            numbers,
            assumed,
        )
    verdict, reach = "fine" if known else "cannot tell", work.bolt_reach
    if reach is not None:
        numbers += (Number(_("driving bolt may be pushed from the end face by"), reach, "length"),)
        if reach < BOLT_NEAR:
            verdict = "not fine" if reach < BOLT_NEAR / 2 else "look"
            told = _(
                "{told}; the driving bolt bears its push no farther than {reach} from the end "
                "face: leave a stub that takes a dog, or take lighter cuts"
            ).format(told=told, reach=most_shown(reach, "length", units))
    return Found(
        verdict,
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
            _(
                "The finished webs swing {swing_radius} about the mains and the {name} clears "
                "{center_height}: is every radius of a throw half its stroke, and in the right "
                "unit?"
            ).format(
                swing_radius=shown(work.crank.swing_radius, "length", units),
                name=lathe.name,
                center_height=shown(lathe.center_height, "length", units),
            ),
        )
    if work.bar.length > lathe.between_centers:
        long = (
            Number(_("bar's length"), work.bar.length, "length"),
            Number(_("most between centers"), lathe.between_centers, "length"),
        )
        return Found(
            "not fine",
            _(
                "The bar of {length} is longer than the {between_centers} between centers of the "
                "{name}."
            ).format(
                length=shown(work.bar.length, "length", units),
                between_centers=shown(lathe.between_centers, "length", units),
                name=lathe.name,
            ),
            long,
        )
    by_hand = layout.swing_check(work.layouts[0], lathe, work.job["swing_over_carriage"])
    rooms = [
        (step, work.plan.room(step))
        for step in work.plan.steps
        if step.on == "centers" and step.cuts
    ]
    numbers = [
        Number(
            _("swing of the bar about {name}").format(name=spoken(one.name)), one.swing, "length"
        )
        for one in by_hand
    ]
    for step, room in rooms:
        for label, key, kind in (
            (_("swing"), "swing", "length"),
            (_("room over the bed"), "over_bed", "room"),
            (_("room over the carriage"), "over_carriage", "room"),
        ):
            numbers.append(Number(f"{step.name}: {label}", Quantity(room[key], "mm"), kind))
    along = lathe.between_centers - work.bar.length
    numbers.append(Number(_("room along the bed"), along, "room"))
    beds = [
        (_("the bar turned on the center of {name}").format(name=spoken(one.name)), one.over_bed)
        for one in by_hand
    ]
    beds += [
        (_("in “{name}” the work").format(name=step.name), Quantity(room["over_bed"], "mm"))
        for step, room in rooms
    ]
    carriages = [
        (_("in “{name}” the work").format(name=step.name), Quantity(room["over_carriage"], "mm"))
        for step, room in rooms
    ]
    (bed_of, bed), (carriage_of, carriage) = (
        min(some, key=lambda one: one[1]) for some in (beds, carriages)
    )
    verdict = worst(*(by_share(-room.m_as("mm"), -CLEAR, 0.0) for room in (bed, carriage)))
    if verdict == "not fine":
        who, on, room = (
            (bed_of, _("bed"), bed) if bed.magnitude < 0 else (carriage_of, _("carriage"), carriage)
        )
        return Found(
            verdict,
            _("{who} strikes the {on}: {room} too wide.").format(
                who=capital(who), on=on, room=shown(-room, "length", units, 2)
            ),
            tuple(numbers),
        )
    return Found(
        verdict,
        _(
            "The work and its dog swing clear: {bed} over the bed and {carriage} over the "
            "carriage. Turn it once by hand all the same."
        ).format(bed=shown(bed, "room", units), carriage=shown(carriage, "room", units)),
        tuple(numbers),
    )
