"""What is decided of a job before its first cut: bar, layout, center hole, depth, spacers.

``job`` has a ``crank``, ``units``, the set ``given`` of typed answers, and ``job[key]``.
"""

from dataclasses import replace
from math import ceil, floor
from warnings import catch_warnings, simplefilter

import numpy as np

from ...balance.counterweights import counterweights_for
from ...blank import bar, center_holes, layout
from ...crank import steels
from ...crank.mass import throw_unbalance
from ...forces import drive, edge, kienzle
from ...language import _, spoken
from ...spacers import Spacer, largest_diameter
from ...spacers.spacer_plan import CLEARANCE
from ...units import OutOfRangeWarning, Quantity, as_text
from ...wording import least_shown, most_shown
from ..passes import DIALS, SLACK

BLADE_SPARE = {"mm": 3.0, "in": 25.4 / 8}  # mm, of a blade beyond what it needs: common practice,
# no source
SAWN = 25.4 / 16  # mm, to which a bar in inches is sawn longer
BEND_SHARE = 0.5  # of the yield strength that a roughing pass may ask: own choice
ONE_PERSON = Quantity(25.0, "kg")  # that one lifts alone: common practice, no source
LEAST_PASS = 0.1  # mm: a thinner roughing pass rubs, own choice
PIN_WALL = 1.0  # of a cross pin's diameter, from its hole to the end: common practice, no source
LEAST_SPACER = {"mm": 3.0, "in": 25.4 / 8}  # mm: a thinner one is no spacer
WHEELS = {"a key": "key", "a cross pin": "pin", "a tight hub or a taper": "hub"}  # by fixing
FITTED = {"none": 0, "in the first throw only": 1}  # spacers; else one in every throw


def smallest_bar(job):
    """Smallest bar of the wanted shape that holds the crank with its allowances.

    A square or flat bar lies with a side square to throw 1; one in inches is sawn to the next
    sixteenth. Basis: ``bar.smallest_bar``.
    """
    return _smallest_bar(job, turned=False)


def smallest_turned_bar(job):
    """The same where the bar may be turned about its axis."""
    return _smallest_bar(job, turned=True)


def _smallest_bar(job, turned):
    shape, allowance, end = job["bar_shape"], job["bar_allowance"], job["center_end"]
    found = bar.smallest_bar(job.crank, shape, allowance, end, turned=turned)
    if job.units == "mm":
        return found
    sixteenths = ceil(found.length.m_as("mm") / SAWN - 1e-6)
    return replace(found, length=Quantity(SAWN * sixteenths, "mm"))


def bar_for(job, least):
    """The bar at hand, or the next stock size, where the smallest bar is known."""
    own = job["bar_size"], job["bar_height"]
    if job["bar_shape"] != "flat":
        own = own[0], own[0]
    wanted = least.width, least.height
    sizes = [mine or usual for mine, usual in zip(own, wanted, strict=True)]
    if any(size < side * (1 - 1e-9) for size, side in zip(sizes, wanted, strict=True)):
        raise ValueError(_("the bar at hand is too small, see Bar"))
    stock = least if all(own) else bar.stock_bar(least, job.units)
    return replace(least, width=own[0] or stock.width, height=own[1] or stock.height)


def size_of_bar(one, units):
    """A bar's size in words: Ø50 mm, 50 × 30 mm."""
    if one.shape == "round":
        return f"Ø{as_text(one.width, units)}"
    return f"{as_text(one.width, units)} × {as_text(one.height, units)}"


def layouts(crank, stock):
    """Centers on the right-hand and on the left-hand end face of a bar."""
    return tuple(layout.center_layout(crank, stock, end) for end in layout.ENDS)


def allowed_pressure(job):
    """Pressure that the tailstock's center bears."""
    live = job["center"] == "turns with the work"
    return center_holes.LIVE_PRESSURE if live else center_holes.DEAD_PRESSURE


def center_hole(job, laid_out):
    """The usual center hole for the bar, smaller where it has no room."""
    return center_holes.hole_with_room(
        laid_out, job["thrust"], job["center_standard"], allowed_pressure(job)
    )


def feed(job, key):
    """Feed a turn: one of the lathe's, or as asked where its feeds are not given."""
    return job[key] if "feeds" not in job.given else job.lathe.feed_for(job[key])


def least_stub(hole):
    """Full bar that an end needs for its pin centers: the whole hole, and metal behind it."""
    return hole.least_depth + center_holes.LEAST_WALL


def kept_of_mains(hole, stub):
    """What stays of the main centers when the stubs are sawn off, "nothing", "pilot" or "cone", and
    how deep."""
    if stub >= hole.least_depth:
        return "nothing", 0 * stub
    if stub >= hole.cone_depth:
        return "pilot", hole.least_depth - stub
    return "cone", hole.cone_depth - stub


def rough_tool(job):
    """Feed, nose, approach angle and what else bears on the force of roughing."""
    return {
        "feed": feed(job, "rough_feed"),
        "nose_radius": job["rough_nose"],
        "approach_angle": job["approach_angle"],
        "wear": job["wear"],
        "hardness": job["hardness"],
    }


def fixing_reach(job):
    """How far keyseat, cross pin or hub reach from the right end; the main's diameter if blank."""
    main, given = job.crank.journals[-1], job["fixing_length"]
    reach = main.diameter if given is None else given
    if reach > main.length:
        raise ValueError(
            _(
                "Inner edge of keyseat, pin or hub from the right end, {reach}, is past the last "
                "main, {length} long; write less"
            ).format(reach=as_text(reach, job.units, 3), length=as_text(main.length, job.units, 3))
        )
    most = main.length - main.fillet
    if reach > most:
        raise ValueError(
            _(
                "Inner edge of keyseat, pin or hub from the right end, {reach}, is in the fillet "
                "of the last main: write {length} or less"
            ).format(
                reach=as_text(reach, job.units),
                length=most_shown(most, "length", job.units, 3),
            )
        )
    least = (1 + PIN_WALL) * job["fixing_hole"]
    if WHEELS.get(job["fixing"]) == "pin" and reach < least:
        raise ValueError(
            _(
                "Inner edge of the cross pin's hole from the right end, {reach}, leaves too little "
                "metal before the end: write {least} or more"
            ).format(
                reach=as_text(reach, job.units),
                least=least_shown(least, "length", job.units, 3),
            )
        )
    return reach


def straight(job, index):
    """What a bearing finds of a main: between its fillets, and beside the wheel where keyseat,
    cross pin or tight hub take some of the last.
    """
    mains = job.crank.journals
    last = len(mains) - 1
    wheel = index == last and job["fixing"] in WHEELS
    fillets = (1 if index in (0, last) else 2) * mains[index].fillet
    return mains[index].length - fillets - (fixing_reach(job) if wheel else 0 * fillets)


def counterweights(job):
    """Counterweights that the crank wants, with all rods on a pin."""
    turning, moving = held_on_pins(job)
    return counterweights_for(job.crank, turning, moving, job["balance_share"])


def stand_ins(job):
    """Weight on each pin with which the crank rests anywhere: what its counterweights, as they have
    room, balance beside the webs and the pin.
    """
    balanced = counterweights(job).given - throw_unbalance(job.crank)
    arms = Quantity(np.array([one.radius.m_as("mm") for one in job.crank.throws]), "mm")
    return np.maximum((balanced / arms).to("g"), Quantity(0.0, "g"))


def held_on_pins(job):
    """What turns with each pin and what moves along its strokes, of all its rods."""
    rods = 2 if job["banks"].startswith("two rods") else 1
    return rods * job["rotating_mass"], rods * job["moving_mass"]


def yield_strength(job):
    """Yield strength of the crank's steel: the answer given, or the table of steels."""
    return job["yield_strength"] or steels.find(job.crank.steel).yield_strength


def rough_depth(job, rows, stress=None):
    """Depth [mm] of a roughing pass: as deep as asked, or as the drive overcomes in every row and
    the work bears in the last: half of its yield strength, for a tool that grabs.

    Never thinner than what is left for finishing for the drive's sake, nor than LEAST_PASS for
    the work's: the check of the forces reports what stalls or bends there. ``rows`` are those of
    ``shifts.roughing``, stress(cutting, passive) [MPa] of forces [N] of ``bending.cut_stress``.
    """
    steel, asked, tool = job.crank.steel, job["rough_depth"], rough_tool(job)
    found = asked.m_as("mm")
    if not rows:
        return found
    least = min(asked, job["finish_allowance"]).m_as("mm")
    rpm, diameter, speed = _columns(rows)
    most = drive.largest_force(job.lathe, rpm, diameter)
    with catch_warnings():
        simplefilter("ignore", OutOfRangeWarning)  # the check of the forces says it
        force = edge.turning_forces(steel, asked, cutting_speed=speed, **tool).upper.cutting
        for place in (force > most).nonzero()[0]:
            deepest = edge.deepest_cut(
                steel, most[place], asked, cutting_speed=speed[place], **tool
            )
            found = min(found, deepest.m_as("mm"))
        step = DIALS[job.units]  # as the dial shows it where it is less than asked
        if found < asked.m_as("mm"):
            found = round(floor(found / step + SLACK) * step, 6)
        found = max(found, least)
        least = min(found, LEAST_PASS)
        bears = BEND_SHARE * yield_strength(job).m_as("MPa")
        while stress and found > least:
            last = edge.turning_forces(
                steel, Quantity(found, "mm"), cutting_speed=speed[-1], **tool
            ).upper
            if stress(last.cutting.m_as("N"), last.passive.m_as("N")) <= bears:
                break
            found = max(round((ceil(found / step - SLACK) - 1) * step, 6), least)
    return found


def _columns(rows):
    """Spindle speed, diameter and surface speed of shift rows, an array each."""
    return tuple(
        Quantity(np.array([getattr(row, name) for row in rows]), unit)
        for name, unit in (("rpm", "rpm"), ("diameter", "mm"), ("surface_speed_m_min", "m/min"))
    )


def stalled(job, rows):
    """Row of roughing that stalls the drive most, the power it asks and what is left there; None
    where none does.

    ``rows`` are those of ``shifts.roughing``, each with its depth.
    """
    found, tool, alike = [], rough_tool(job), {}
    for row in rows:
        alike.setdefault(row.depth, []).append(row)
    for depth, some in alike.items():
        rpm, _unused, speed = _columns(some)
        with catch_warnings():
            simplefilter("ignore", OutOfRangeWarning)  # the check of the forces says it
            force = edge.turning_forces(
                job.crank.steel, Quantity(depth, "mm"), cutting_speed=speed, **tool
            ).upper.cutting
        asked, left = kienzle.cutting_power(force, speed), drive.power_at_edge(job.lathe, rpm)
        shares = (asked / left).m_as("dimensionless")
        most = shares.argmax()
        found.append((shares[most], some[most], asked[most], left[most]))
    worst = max(found, key=lambda one: one[0], default=(0.0,))
    return worst[1:] if worst[0] > 1 + 1e-6 else None


def more_drive(work):
    """What helps where the drive stalls at some kind of work."""
    mill = _("a finer feed, or mill more away first") if work == "rough" else _("or a finer feed")
    return _("take gears or a belt, more power, {mill}").format(mill=mill)


def slower(job, row):
    """What helps where the slowest step is far too fast: nothing is sawn that is cut to size."""
    if row.work in ("rough", "walls"):
        return _("saw, mill or file there first")
    if job["tool"] == "HSS":
        return _("take a carbide tool, or a slower lathe")
    return _("take a slower lathe")


def spacer_diameter(job):
    """Diameter asked for, or the largest that stands in every throw."""
    if job["spacer_diameter"] is not None:
        return job["spacer_diameter"]
    size = largest_diameter(job.crank).to(job.units)
    if size.m_as("mm") < LEAST_SPACER[job.units] - 1e-9:
        raise ValueError(_no_spacer(job.crank))
    return size


def _no_spacer(crank):
    """What stands in the way of the least spacer: throw, else fillet, else a thin web or main."""
    least = Quantity(LEAST_SPACER[crank.units], "mm")
    told = _("no spacer of {least} or more stands on the main axis beside the pin: ").format(
        least=as_text(least, crank.units, 3)
    )
    rooms = {
        number: one.radius - Quantity(CLEARANCE, "mm") - (one.pin_diameter + least) / 2
        for number, one in enumerate(crank.throws, 1)
    }
    if min(rooms.values()).m_as("mm") <= 0:
        return told + _("the throw is too short for one there")
    for number, most in rooms.items():
        if (fillet := crank.throws[number - 1].fillet) > most:
            return told + _(
                "the fillet of {pin}, R {fillet}, is in the way; R {most} or less leaves it room"
            ).format(
                pin=spoken(f"pin {number}"),
                fillet=as_text(fillet, crank.units),
                most=most_shown(most, "length", crank.units),
            )
    return told + _("a web or a main is too thin to carry one")


def spacers(job):
    """Spacers as long as their gaps; none where they were not asked for and have no room."""
    count = FITTED.get(job["spacers"], len(job.crank.throws))
    try:
        return tuple(
            Spacer(throw, Quantity(0.0, "mm"), spacer_diameter(job)) for throw in range(count)
        )
    except ValueError:
        if "spacers" in job.given:
            raise
        return ()
