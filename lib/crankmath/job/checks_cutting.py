"""Checks of the cutting: speeds, passes, force and power, roundness, chatter, the pin tool, the corner left for the fillet."""

import numpy as np

from .. import deflection
from ..chatter import limits as chatter
from ..cutting import passes
from ..cutting.blade import ToolSection, tool_bending
from ..cutting.tool_form import blade_fit
from ..fits import iso_286
from ..forces import drive, kienzle
from ..units import Quantity
from .verdicts import Found, Number, by_share, check, or_word, said_of, shown, worst

ROUND_SHARE = (
    1 / 3
)  # of a size's tolerance that out-of-roundness may take: common practice, no source
QUIET_SHARE = 2 / 3  # of the limiting width; the damping is known to a half: own choice
DIG_IN = 0.1  # of the finishing allowance: own choice


@check("speeds")
def check_speeds(work):
    numbers, units = [], work.units
    for row in work.speeds:
        numbers += [
            Number(f"{row.place}: by the cut", row.by_cut, "rpm"),
            or_word(f"{row.place}: by the swinging bar", row.by_balance, "rpm", "no limit"),
            or_word(f"{row.place}: gear step", row.gear, "rpm", "none"),
        ]
    heaviest = max(work.swung.values(), key=lambda one: one.offset)
    numbers.append(
        Number("weight on the driving plate that balances the bar", heaviest.counterweight, "mass")
    )
    assumed = (
        (
            f"the stand bears {shown(work.job['unbalance_force'], 'force', units)} of out-of-balance force",
        )
        if "unbalance_force" not in work.job.given
        else ()
    )
    steps = "; ".join(
        f"{row.place}: {'no step' if row.gear is None else shown(row.gear, 'rpm', units)}"
        for row in work.speeds
    )
    by = {
        word: [
            row
            for row in work.speeds
            if row.set_by == word and (word != "bar" or row.gear < row.alone)
        ]
        for word in ("none", "gears", "bar")
    }
    if by["none"]:
        row = by["none"][0]
        return Found(
            "not fine",
            f"{row.place[:1].upper()}{row.place[1:]}: the swinging bar allows {shown(row.by_balance, 'rpm', units)}, below the slowest "
            f"gear step. Balance it with {shown(heaviest.counterweight, 'mass', units)} at "
            f"{shown(work.job['counterweight_radius'], 'length', units)}, or mill more away first.",
            tuple(numbers),
            assumed,
        )
    words = f"Use {steps}."
    if by["bar"]:
        words += f" At {', '.join(row.place for row in by['bar'])} the swinging bar sets the speed, not the cut: start slow, or balance it."
    if by["gears"]:
        row = by["gears"][0]
        words += (
            f" At {row.place} even the slowest step cuts faster than the tables' {shown(row.cutting_speed, 'speed', units)}: "
            "mill or file there, or keep the cut light."
        )
    return Found("look" if by["bar"] or by["gears"] else "fine", words, tuple(numbers), assumed)


@check("passes")
def check_passes(work):
    done, units = work.operations, work.units
    total = sum((one.time for one in done), Quantity(0.0, "min"))
    rough = sum((one.time for one in done if one.name.startswith("rough")), Quantity(0.0, "min"))
    numbers = [
        Number("minutes in the cut", total, "time"),
        Number("of these roughing", rough, "time"),
        Number("passes", sum(one.passes for one in done), "plain"),
    ]
    if work.milled:
        numbers += [
            Number("milled away first", sum(one.milled for _, one in work.milled), "volume"),
            Number("left to turn there", sum(one.left for _, one in work.milled), "volume"),
        ]
    words = f"Turning takes {sum(one.passes for one in done)} passes, {shown(total, 'time', units)} in the cut."
    limits = {limit for one in done for limit in one.limits}
    if "gears" in limits:
        fast = next(one.name for one in done if "gears" in one.limits)
        return Found(
            "look",
            f"{words} The slowest gear step is faster than the tables' speed for: {fast}. Mill it, or keep that cut light.",
            tuple(numbers),
        )
    if "motor" in limits:
        return Found("look", f"{words} The motor, not the tool, sets the depth.", tuple(numbers))
    return Found("fine", words, tuple(numbers))


@check("force")
def check_force(work):
    cut, job, units = work.rough_cut, work.job, work.units
    share = (cut.power / (job["power"] * job["efficiency"])).m_as("dimensionless")
    swing = max(2 * point.swing for point in work.layouts[0].points)
    torque = drive.drive_torque(cut.force, swing)
    finish = work.last_cut
    numbers = (
        Number("roughing depth", cut.depth, "length"),
        Number("cutting force, roughing", cut.force, "force"),
        Number("passive force, roughing", cut.passive, "force"),
        Number("power at the edge", cut.power, "power"),
        Number("share of what the motor gives", share, "plain"),
        Number("torque at the bar's farthest corner", torque, "torque"),
        Number(
            "force on the dog's pin at the plate's slot",
            drive.dog_force(torque, job["counterweight_radius"]),
            "force",
        ),
        Number("cutting force, last cut", finish.force, "force"),
        Number("force square to the work, last cut", finish.passive, "force"),
    )
    assumed = (f"cutting force of {work.crank.steel}: {work.steel.source('specific_force')}",)
    words = (
        f"Roughing {shown(cut.depth, 'length', units)} deep pushes with {shown(cut.force, 'force', units)} "
        f"and takes {shown(cut.power, 'power', units)}"
    )
    if cut.depth < job["rough_depth"] * (1 - 1e-9):
        return Found(
            "look",
            f"{words}: all the motor gives. A depth of {shown(job['rough_depth'], 'length', units)} is more than it drives.",
            numbers,
            assumed,
        )
    return Found(
        by_share(share, 0.85, 1.0),
        f"{words}, {100 * share:.0f} % of what the motor gives.",
        numbers,
        assumed,
    )


@check("roundness")
def check_roundness(work):
    cut, units, found = work.last_cut, work.units, []
    for kind, parts, code in (
        ("pin", work.crank.throws, "pin_class"),
        ("journal", work.crank.journals, "main_class"),
    ):
        for index, part in enumerate(parts):
            setup = work.setup(index) if kind == "pin" else work.setup("main")
            lobes = deflection.out_of_round(
                work.crank, (kind, index), cut.passive, cut.force, setup
            )
            upper, lower = iso_286.limits(
                part.pin_diameter if kind == "pin" else part.diameter, work.job[code]
            )
            found.append(
                (lobes, upper - lower, f"{'pin' if kind == 'pin' else 'main'} {index + 1}")
            )
    lobes, tolerance, place = max(found, key=lambda one: (one[0] / one[1]).m_as("dimensionless"))
    numbers = [Number(f"{name}: out of round by", out, "fine") for out, _, name in found]
    numbers += [Number(f"{name}: tolerance", width, "fine") for _, width, name in found]
    large = deflection.size_error(work.crank, ("pin", 0), cut.passive, work.setup(0))
    numbers += [Number("pin 1: finished too large by, until the dial is reset", large, "fine")]
    share = (lobes / tolerance).m_as("dimensionless")
    words = {
        "fine": "which its tolerance bears",
        "look": "much of its tolerance: take lighter last cuts with a keen edge",
        "not fine": "more than its whole tolerance: a lighter last cut, a keener edge, or a wider class",
    }
    verdict = by_share(share, ROUND_SHARE, 1.0)
    return Found(
        verdict,
        f"The last cut leaves {place} out of round by {shown(lobes, 'fine', units, 2)} where {shown(tolerance, 'fine', units, 2)} "
        f"are allowed, {words[verdict]}.",
        tuple(numbers),
        _stiffness_assumed(work),
    )


def _stiffness_assumed(work):
    names = (
        ("center_stiffness", "stiffness of the centers"),
        ("tool_stiffness", "stiffness of post and slides"),
    )
    return tuple(
        f"{words}: {shown(work.job[key], 'stiffness', work.units)}, assumed"
        for key, words in names
        if key not in work.job.given
    )


@check("chatter")
def check_chatter(work):
    job, units, steel = work.job, work.units, work.crank.steel
    around, gives = Quantity(np.arange(180.0), "deg"), []
    for kind, parts in (("pin", work.crank.throws), ("journal", work.crank.journals)):
        for index in range(len(parts)):
            held = work.setup(index if kind == "pin" else "main")
            gives.append(
                deflection.radial_compliance(work.crank, (kind, index), around, held)
                .m_as("um/N")
                .max()
            )
    softest = Quantity(float(max(gives)), "um/N")
    stiffness, thick = (1 / softest).to("N/um"), Quantity(kienzle.THICKNESS_RANGE[0], "mm")
    all_thrust = kienzle.force_components(Quantity(1.0, "N"), "grooving").passive.m_as("N")
    slopes = [
        chatter.dynamic_force(steel, max(job["rough_feed"], thick), wear=job["wear"]),
        chatter.dynamic_force(steel, max(job["finish_feed"], thick), all_thrust, wear=job["wear"]),
        chatter.dynamic_force(
            steel, max(job["finish_feed"], thick), wear=job["wear"], operation="grooving"
        ),
    ]
    rough, finish, plunged = (
        chatter.limiting_width(stiffness, job["damping_ratio"], slope) for slope in slopes
    )
    depth, last, edge = work.rough_cut.depth, job["last_cut"], job["edge_width"]
    numbers = (
        Number("stiffness where the work is softest", stiffness, "stiffness"),
        Number("deepest last cut that stays quiet", finish, "length"),
        Number("last cut", last, "length"),
        Number("deepest roughing that stays quiet at the end", rough, "length"),
        Number("roughing depth", depth, "length"),
        Number("widest plunged edge that stays quiet", plunged, "length"),
        Number("edge of the pin tool", edge, "length"),
    )
    assumed = _stiffness_assumed(work) + (
        (f"damping ratio {job['damping_ratio']:g}, assumed",)
        if "damping_ratio" not in job.given
        else ()
    )
    verdict = by_share((last / finish).m_as("dimensionless"), QUIET_SHARE, 1.0)
    words = {
        "fine": "quiet",
        "look": "close to it",
        "not fine": "past it: take less, a keener edge, a stiffer set-up",
    }[verdict]
    sentence = (
        f"On the finished shape a last cut stays quiet up to {shown(finish, 'length', units, 2)} deep; "
        f"{shown(last, 'length', units)} is {words}."
    )
    if depth > rough:
        verdict = worst(verdict, "look")
        sentence += (
            f" Let roughing end with passes of {shown(rough, 'length', units, 2)}: "
            f"{shown(depth, 'length', units)} may sing once the crank is slender."
        )
    if edge > plunged:
        verdict = worst(verdict, "look")
        sentence += (
            f" Plunged with its whole {shown(edge, 'length', units)} edge the pin tool sings past {shown(plunged, 'length', units, 2)}: "
            "feed it along, or relieve its middle."
        )
    return Found(verdict, sentence, numbers, assumed)


@check("tool")
def check_tool(work):
    job, units, reach = work.job, work.units, work.blade_reach
    try:
        fitted = [
            blade_fit(
                work.crank, job["blade_thickness"], reach, throw, edge_width=job["edge_width"]
            )
            for throw in range(len(work.crank.throws))
        ]
    except ValueError as error:
        return Found("not fine", said_of(error))
    reaching, side = (
        min(fitted, key=lambda one: one.reach_room),
        min(fitted, key=lambda one: one.side_room),
    )
    bent = tool_bending(
        ToolSection(reach, job["blade_thickness"], job["blade_height"]), work.rough_cut.force
    )
    numbers = (
        Number("blade stands out", reach, "length"),
        Number("reach needed", max(one.reach_needed for one in fitted), "length"),
        Number("reach to spare", reaching.reach_room, "length"),
        Number("room to each web", side.side_room, "length"),
        Number("edge sinks while roughing", bent.down, "fine"),
        Number("edge digs into the work", bent.dig_in, "fine"),
        Number("stress in the blade", bent.stress, "stress"),
    )
    if not all(one.clears for one in fitted):
        bad = (
            "too short by " + shown(-reaching.reach_room, "length", units, 2)
            if reaching.reach_room.magnitude <= 0
            else "as wide as the gap"
        )
        return Found(
            "not fine",
            f"The pin tool's blade is {bad}: the webs would strike the holder or the blade.",
            numbers,
        )
    deep = bent.dig_in > DIG_IN * job["finish_allowance"]
    words = (
        "which is much of the finishing allowance: a higher or shorter blade, or lighter cuts"
        if deep
        else "which does no harm"
    )
    return Found(
        "look" if deep else "fine",
        f"The blade reaches the pin with {shown(reaching.reach_room, 'length', units, 2)} to spare, "
        f"{shown(side.side_room, 'length', units, 2)} from each web; roughing digs its edge in by {shown(bent.dig_in, 'fine', units, 2)}, "
        f"{words}.",
        numbers,
    )


@check("corner")
def check_corner(work):
    job, units = work.job, work.units
    arcs = sorted(
        {round(part.fillet.m_as("mm"), 9) for part in (*work.crank.journals, *work.crank.throws)}
    )
    if arcs[0] == 0:
        return Found("not fine", "A fillet is zero: a sharp corner cracks; give it a radius.")
    left = [
        passes.corner_stock(Quantity(arc, "mm"), job["nose_radius"], job["finish_allowance"])
        for arc in arcs
    ]
    least = min((one.middle for one in left), key=lambda one: one.magnitude)
    needed = max(
        arc - job["finish_allowance"].m_as("mm") * np.sqrt(2) / (np.sqrt(2) - 1) for arc in arcs
    )
    numbers = (
        Number("largest fillet", Quantity(arcs[-1], "mm"), "length"),
        Number("nose radius of the roughing tool", job["nose_radius"], "length"),
        Number("stock in the middle of the arc", least, "length"),
        Number("least nose radius", Quantity(max(needed, 0.0), "mm"), "length"),
    )
    if least.magnitude < 0:
        return Found(
            "look",
            f"Fed right into the corner, the roughing tool cuts {shown(abs(least), 'length', units, 2)} into the fillet: stop short of the "
            f"web, or round its nose to {shown(Quantity(needed, 'mm'), 'length', units, 2)} or more.",
            numbers,
        )
    return Found(
        "fine",
        f"The roughing tool leaves {shown(least, 'length', units, 2)} in the middle of the arc for the fillet tool.",
        numbers,
    )


CUTTING = (
    check_speeds,
    check_passes,
    check_force,
    check_roundness,
    check_chatter,
    check_tool,
    check_corner,
)
