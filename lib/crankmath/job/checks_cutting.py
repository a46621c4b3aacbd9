"""Checks of the cutting: speeds, passes, force and power, roundness, chatter, the pin tool, the corner left for the fillet."""

from dataclasses import replace

import numpy as np

from .. import deflection
from ..chatter import turning as chatter
from ..cutting import passes
from ..cutting.blade import ToolSection, tool_bending
from ..fits import iso_286
from ..forces import drive
from ..units import Quantity
from .verdicts import Found, Number, by_share, check, or_word, shown, worst

ROUND_SHARE = (
    1 / 3
)  # of a size's tolerance that out-of-roundness may take: common practice, no source
MOST_OVER = 1.5  # times the tables' speed at the slowest step, where an edge soon fails: own choice
UNBALANCE_SHARE = 0.85  # of what the stand bears; above it look: own choice
CLOSE = Quantity(1.0, "mm")  # between holder and swinging work: own choice
DIG_IN = 0.1  # of the finishing allowance: own choice


@check("speeds")
def check_speeds(work):
    plan, units, job = work.plan, work.units, work.job
    numbers = [
        Number(
            f"{row.place}, {row.work} from Ø{shown(_mm(row.diameter), 'length', units)}",
            _rpm(row),
            "rpm",
        )
        for _, row in work.speeds
    ]
    turned = [step for step in plan.steps if step.speeds]
    shares = {step.key: _unbalance_share(plan, step) for step in turned}
    heavy = max(turned, key=lambda step: plan.counterweight(step))
    near = max(turned, key=lambda step: shares[step.key])
    weight = Quantity(plan.counterweight(heavy), "kg")
    numbers += [
        Number("weight on the driving plate that balances the work", weight, "mass"),
        Number("out-of-balance force, most", shares[near.key] * job["unbalance_force"], "force"),
    ]
    assumed = ()
    if "unbalance_force" not in job.given:
        force = shown(job["unbalance_force"], "force", units)
        assumed = (f"the stand bears {force} of out-of-balance force",)
    none = [(step, row) for step, row in work.speeds if row.set_by == "balanced"]
    if none:
        step, row = none[0]
        balanced = Quantity(plan.counterweight(step), "kg")
        return Found(
            "not fine",
            f"{step.name}: the swinging work allows {shown(Quantity(plan.unbalance(step)[1], 'rpm'), 'rpm', units)}, "
            f"below the slowest gear step. Balance it with {shown(balanced, 'mass', units)} at "
            f"{shown(job['counterweight_radius'], 'length', units)}, or mill more away first.",
            tuple(numbers),
            assumed,
        )
    words = "; ".join(_shifts(work)) + "."
    close = shares[near.key] > UNBALANCE_SHARE
    if close:
        words += (
            f" In “{near.name}” the work pulls with {100 * shares[near.key]:.0f} % of what the stand "
            "bears: start slow, or balance it."
        )
    fast = [row for _, row in work.speeds if row.set_by == "gears"]
    over = max((row.surface_speed_m_min / row.table_m_min for row in fast), default=1.0)
    if fast:
        words += (
            f" At {fast[0].place} even the slowest step cuts faster than the tables' "
            f"{shown(Quantity(fast[0].table_m_min, 'm/min'), 'speed', units)}: mill or file there, "
            "or keep the cut light."
        )
    verdict = "not fine" if over > MOST_OVER else "look" if close or fast else "fine"
    return Found(verdict, words, tuple(numbers), assumed)


def _mm(size):
    return Quantity(size, "mm")


def _rpm(row):
    return Quantity(row.rpm, "rpm")


def _unbalance_share(plan, step):
    """Out-of-balance force at the fastest speed of a step over what the stand bears."""
    most = max(row.rpm for row in step.speeds)
    return (most / plan.unbalance(step)[1]) ** 2


def _shifts(work):
    """For each place, what to begin with at which swing and what to end with; alike places once."""
    rows, found = {}, {}
    for _, row in work.speeds:
        rows.setdefault(row.place, []).append(row)
    for place, some in rows.items():
        first, last, slowest = some[0], some[-1], min(row.rpm for row in some)
        words = (
            f"from {first.rpm:g} rpm where Ø{shown(_mm(first.diameter), 'length', work.units, 3)} "
            f"swings to {shown(_rpm(last), 'rpm', work.units)} finished"
        )
        if slowest < first.rpm:
            words += f", its web faces at {slowest:g} rpm"
        found.setdefault((place.split()[0], words), []).append(place.split()[1])
    return [
        f"{'Turn ' if not number else ''}{kind} {', '.join(sorted(places))} {words}"
        for number, ((kind, words), places) in enumerate(found.items())
    ]


@check("passes")
def check_passes(work):
    done, units = work.operations, work.units
    last, left = work.job["last_cut"], work.job["finish_allowance"]
    if last > left * (1 + 1e-9):
        return Found(
            "not fine",
            f"The last cut of {shown(last, 'length', units)} is deeper than the "
            f"{shown(left, 'length', units)} left for finishing: leave more, or take less.",
            (Number("last cut", last, "length"), Number("left for finishing", left, "length")),
        )
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
    where, held, stiffness = _softest(work)
    lathe = replace(
        job.lathe,
        headstock_stiffness=job["center_stiffness"],
        tailstock_stiffness=job["center_stiffness"],
        tool_stiffness=job["tool_stiffness"],
        damping_ratio=job["damping_ratio"],
    )
    packs = work.setup(held).spacers
    modes = chatter.machine_modes(work.crank, where, lathe, held, packs)

    def limit(operation, depth, feed, cut):
        return chatter.turning_limit(
            steel,
            operation,
            depth,
            feed,
            *modes,
            nose_radius=job["nose_radius"],
            cutting_speed=cut.speed,
            process_damping=lathe.process_damping,
            wear=job["wear"],
        )

    rough_cut, last_cut, edge = work.rough_cut, work.last_cut, job["edge_width"]
    finish = limit("along", last_cut.depth, last_cut.feed, last_cut)
    rough = limit("along", rough_cut.depth, rough_cut.feed, rough_cut)
    plunged = limit("plunging", edge, last_cut.feed, rough_cut)
    numbers = (
        Number("stiffness where the work is softest", stiffness, "stiffness"),
        Number("nose radius", job["nose_radius"], "length"),
        Number("edge in the last cut", finish.edge.length, "length"),
        or_word("deepest last cut that stays quiet", finish.deepest, "length", "any"),
        Number("last cut", last_cut.depth, "length"),
        or_word("deepest roughing that stays quiet at the end", rough.deepest, "length", "any"),
        Number("roughing depth", rough_cut.depth, "length"),
        or_word("widest plunged edge that stays quiet", plunged.deepest, "length", "any"),
        Number("edge of the pin tool", edge, "length"),
    )
    assumed = _stiffness_assumed(work) + (
        (f"damping ratio {job['damping_ratio']:g}, assumed",)
        if "damping_ratio" not in job.given
        else ()
    )
    verdict = by_share(finish.share, chatter.QUIET_SHARE, 1.0)
    depth, nose = (shown(size, "length", units) for size in (last_cut.depth, job["nose_radius"]))
    sentence = {
        "fine": f"On the finished shape a last cut {depth} deep with a nose of {nose} is quiet",
        "look": f"A last cut {depth} deep with a nose of {nose} is close to chatter",
        "not fine": f"A last cut {depth} deep with a nose of {nose} chatters on the finished shape",
    }[verdict] + (f": {_remedies(finish, units)}." if verdict != "fine" else ".")
    if rough.share > 1:
        verdict = worst(verdict, "look")
        sentence += (
            f" Roughing {shown(rough_cut.depth, 'length', units)} deep may chatter once the crank "
            f"is slender: {_remedies(rough, units)}."
        )
    if plunged.share > 1:
        verdict = worst(verdict, "look")
        sentence += (
            f" Plunged with its whole {shown(edge, 'length', units)} edge the pin tool chatters: "
            f"feed it along, or {_remedies(plunged, units)}."
        )
    return Found(verdict, sentence, numbers, assumed)


def _softest(work):
    """Place where the finished crank yields most while it is turned, how it is held, stiffness."""
    around, found = Quantity(np.arange(0.0, 180.0, 5.0), "deg"), []
    for piece in work.crank.rounds:
        held = piece.index if piece.kind == "pin" else "main"
        where = (piece.kind, piece.index)
        soft = deflection.radial_compliance(work.crank, where, around, work.setup(held))
        found.append((soft.m_as("um/N").max(), where, held))
    most, where, held = max(found, key=lambda row: row[0])
    return where, held, Quantity(1 / most, "N/um")


def _remedies(limit, units):
    """What brings a cut below its chatter limit, in words; the first home remedies first."""
    words = {
        "smaller nose": "a nose of {}",
        "nose at most": "a nose of at most {}",
        "less depth": "no more than {}",
        "relieved edge": "an edge relieved to {}",
        "slower": "slower than {}",
    }
    kinds = [each.change for each in limit.remedies]
    said = [
        words[each.change].format(
            shown(each.value, "speed" if each.change == "slower" else "length", units, 2)
        )
        for each in limit.remedies
        if each.change in words
        and each.share <= 1 + 1e-9
        and not (each.change == "nose at most" and "smaller nose" in kinds)
    ]
    return ", or ".join(said) if said else "a stiffer set-up"


@check("tool")
def check_tool(work):
    job, units, plan = work.job, work.units, work.plan
    steps = [step for step in plan.steps if step.tool and "_pin_" in step.key]
    reach, needed = (
        Quantity(max(step.tool[key] for step in steps), "mm") for key in ("reach", "reach_needed")
    )
    thick, gap = max(job["blade_thickness"], job["edge_width"]), _narrowest_gap(work)
    spare, side = reach - needed, (gap - thick) / 2
    bent = tool_bending(
        ToolSection(reach, job["blade_thickness"], job["blade_height"]), work.rough_cut.force
    )
    numbers = [
        Number(f"{step.name}: reach needed", Quantity(step.tool["reach_needed"], "mm"), "length")
        for step in plan.steps
        if step.tool
    ]
    numbers += [
        Number("blade stands out", reach, "length"),
        Number("reach needed", needed, "length"),
        Number("reach to spare", spare, "length"),
        Number("room to each web", side, "length"),
        Number("edge sinks while roughing", bent.down, "fine"),
        Number("edge digs into the work", bent.dig_in, "fine"),
        Number("stress in the blade", bent.stress, "stress"),
    ]
    if spare.magnitude <= 0 or side.magnitude <= 0:
        bad = (
            "as wide as the gap"
            if spare.magnitude > 0
            else ("too short by " + shown(-spare, "length", units, 2))
        )
        return Found(
            "not fine",
            f"The pin tool's blade is {bad}: the work would strike the holder or the blade.",
            tuple(numbers),
        )
    close, deep = spare < CLOSE, bent.dig_in > DIG_IN * job["finish_allowance"]
    words = (
        "which is much of the finishing allowance: a higher or shorter blade, or lighter cuts"
        if deep
        else "which does no harm"
    )
    return Found(
        "look" if deep or close else "fine",
        f"The blade clears the work as it then stands with {shown(spare, 'length', units, 2)} to "
        f"spare, {shown(side, 'length', units, 2)} from each web; roughing digs its edge in by "
        f"{shown(bent.dig_in, 'fine', units, 2)}, {words}.",
        tuple(numbers),
    )


def _narrowest_gap(work):
    """Narrowest gap that a pin is roughed in, with the stock on its walls."""
    cuts = [
        cut
        for step in work.plan.steps
        if step.tool and "_pin_" in step.key
        for cut in step.cuts
        if cut.place.startswith("pin")
    ]
    return Quantity(min(cut.x1 - cut.x0 for cut in cuts), "mm")


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
