"""Checks of the cut: force and power, roundness, chatter."""

from dataclasses import replace

import numpy as np

from ... import deflection
from ...chatter import turning as chatter
from ...fits import iso_286
from ...forces import drive
from ...units import Quantity
from ..verdicts import Found, Number, by_share, check, or_word, shown, worst

# of a size's tolerance that out-of-roundness may take: common practice, no source
ROUND_SHARE = 1 / 3


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
