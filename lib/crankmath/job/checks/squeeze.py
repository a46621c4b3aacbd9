"""Checks of what presses the crank between its centers: hold, squeeze, spacers."""

import numpy as np

from ...forces.drive import GREASED
from ...heat import expansion
from ...units import Quantity
from ..verdicts import Found, Number, by_share, check, said_of, shown, worst
from ..workings import TIGHT

NEAR = 0.85  # of what a step may move; above it look: own choice


@check("squeeze")
def check_squeeze(work):
    units, job, stages = work.units, work.job, work.pressed
    pressed = shown(job["thrust"], "force", units)
    numbers = [
        Number("thrust", job["thrust"], "force"),
        Number("runout after release, no spacer", work.empty_squeeze.largest_runout, "fine"),
        Number("runout allowed", job["allowed_runout"], "fine"),
    ]
    for one in stages:
        numbers += [
            Number(f"{one.step.name}: {one.what}", one.moved, "fine"),
            Number(f"{one.step.name}: allowed", one.allowed, "fine"),
            Number(f"{one.step.name}: thrust at most", one.most, "force"),
        ]
    assumed = () if "thrust" in job.given else (f"thrust of the tailstock {pressed}, assumed",)
    least = min(stages, key=lambda one: one.most)
    most = least.ends(units)[1]
    bent = [one for one in stages if one.bends]
    if bent:
        one = max(bent, key=lambda one: one.stress)
        return Found(
            "not fine",
            f"Pressed with {shown(one.thrust, 'force', units)} the nominal stress in "
            f"“{one.step.name}”, "
            f"{shown(one.stress, 'stress', units)}, passes the yield strength of "
            f"{shown(work.yield_strength, 'stress', units)}: the crank would stay bent. "
            f"Press no harder than {most}.",
            tuple(numbers),
            assumed,
        )
    spent, *others = sorted(stages, key=lambda one: -one.share)
    packed = "with spacers in" if spent.step.fitted else "with no spacer in"
    words = f"Pressed with {shown(spent.thrust, 'force', units)}, {packed}, {_leaves(spent, units)}"
    verdict = by_share(spent.share, NEAR, 1.0)
    if verdict == "not fine":
        cure = "" if spent.step.fitted else ", or fit spacers before it"
        words += f": press no harder than {spent.ends(units)[1]} there{cure}"
        for one in others:
            if one.share > 1:
                words += f"; {_leaves(one, units)}: no harder than {one.ends(units)[1]} there"
    else:
        words += f"; at most {most} in “{least.step.name}”"
    return Found(verdict, f"{words}.", tuple(numbers), assumed)


def _leaves(one, units):
    """What a step under its thrust leaves, in words."""
    return (
        f"“{one.step.name}” leaves {shown(one.moved, 'fine', units, 2)} {one.what}, "
        f"{shown(one.allowed, 'fine', units, 2)} allowed"
    )


@check("hold")
def check_hold(work):
    units, stages, given = work.units, work.pressed, work.job["thrust"]
    if any(one.least is None for one in stages):
        work.deepest_cuts  # noqa: B018 - says why no force is known
    numbers = [Number("thrust", given, "force")]
    for one in stages:
        numbers += [
            Number(f"{one.step.name}: thrust at least", one.least, "force"),
            Number(f"{one.step.name}: with a greased center's friction", one.scant, "force"),
            Number(f"{one.step.name}: thrust at most", one.most, "force"),
        ]
    assumed = (
        f"a greased center has a friction of {GREASED:g}; no cut is counted on to keep it",
        "the dog has one tail, at the radius of a weight on the driving plate",
    )
    pressed = shown(given, "force", units)

    def asked(one):
        return f"at least {one.ends(units)[0]} in “{one.step.name}”, {one.where}"

    if bad := [one for one in stages if not one.holds]:
        one = max(bad, key=lambda one: (one.least / one.most).m_as("dimensionless"))
        return Found(
            "not fine",
            f"The cut would throw the work out of its centers: {asked(one)}, and "
            f"{one.ends(units)[1]} is the most that the step bears. Take lighter "
            "cuts, stouter webs, or fit spacers.",
            tuple(numbers),
            assumed,
        )
    hardest = max(stages, key=lambda one: one.least)
    finish = max((one for one in stages if not one.rough), key=lambda one: one.least)
    if given < finish.least:
        left = max(one.scant for one in stages if not one.rough)
        lost = given < left
        return Found(
            "not fine" if lost else "look",
            f"Pressed with {pressed} the cut {'throws' if lost else 'may throw'} the work out of "
            f"its centers: {asked(finish)}, {shown(left, 'force', units, 2)} if a greased center's "
            "friction is counted on. Press harder.",
            tuple(numbers),
            assumed,
        )
    if given < hardest.least:
        return Found(
            "look",
            f"Pressed with {pressed} the work holds for finishing, {asked(finish)}, but not for "
            f"roughing, {asked(hardest)}. Set the thrust that each step names.",
            tuple(numbers),
            assumed,
        )
    return Found(
        "fine",
        f"Pressed with {pressed} the work stays in its centers: {asked(hardest)}. Ease the "
        "tailstock no further than that.",
        tuple(numbers),
        assumed,
    )


def _off(misfit, units):
    """A spacer's misfit in words."""
    return (
        f"{shown(abs(misfit), 'fine', units, 2)} too {'short' if misfit < 0 * misfit else 'long'}"
    )


@check("spacers")
def check_spacers(work):
    job, units = work.job, work.units
    if job["spacers"] == "none":
        good = work.empty_squeeze.largest_runout <= job["allowed_runout"]
        return Found(
            "fine" if good else "not fine",
            "No spacers are fitted"
            + (", and none are needed at this thrust." if good else ": the thrust asks for them."),
        )
    try:
        size = work.spacer_diameter
        full = work.packed_squeeze
    except ValueError as error:
        if (
            "spacers" not in job.given
            and work.empty_squeeze.largest_runout <= job["allowed_runout"]
        ):
            return Found("fine", f"{said_of(error)} None is needed at this thrust.")
        return Found("not fine", said_of(error))
    bears = float(full.spacer_force.m_as("N").max())
    numbers = [
        Number("diameter", size, "length"),
        Number("runout with spacers as long as their gaps", full.largest_runout, "fine"),
        Number("most that a spacer bears", Quantity(bears, "N"), "force"),
    ]
    try:
        shortest, longest = work.misfit_limits
    except ValueError as error:
        return Found("not fine", said_of(error), tuple(numbers))
    gripped, free = work.gripped_misfit, not np.isfinite(shortest.magnitude)
    numbers += [
        Number("shortest misfit", shortest, "fine"),
        Number("shortest that the thrust grips", gripped, "fine"),
        Number("longest misfit", longest, "fine"),
        Number("length known beside its gap to", job["spacer_doubt"], "fine"),
    ]
    lost = expansion.misfit_lost_per_degree(work.crank)
    numbers.append(
        Number(
            "misfit lost for each degree the crank is warmer",
            Quantity(lost.m_as("um/delta_degC"), "um"),
            "fine",
        )
    )
    shortest = max(shortest, gripped)
    window, doubt = (longest - shortest).m_as("um"), job["spacer_doubt"].m_as("um")
    budget = work.budget
    numbers += [
        Number("misfit to aim at", work.aimed_misfit, "fine"),
        Number("runout with each off by as much as not known", budget.misfit, "fine"),
        Number("each may be off its own way by", budget.misfit_left, "fine"),
    ]
    several = len(work.fitted) > 1
    made = "Made alike, each" if several else "The"
    limits = f"from {_off(shortest, units)} to {_off(longest, units)}"
    if shortest == gripped:
        limits += ", a shorter one is not gripped and flies"
    if free:
        limits += f"; with no more than {shown(work.spacer_thrust, 'force', units)} none is needed"
    sentence = (
        f"{made} spacer of Ø{shown(size, 'length', units)} may be {limits}; "
        f"you hold it to its gap within ±{shown(job['spacer_doubt'], 'fine', units, 2)}"
    )
    assumed = tuple(
        words
        for key, words in (
            ("thrust", "thrust of the tailstock, assumed"),
            ("spacer_doubt", "how well a spacer is known beside its gap, assumed"),
        )
        if key not in job.given
    )
    if window < TIGHT * doubt:
        return Found(
            "not fine",
            f"{sentence}: the window is narrower than that. Measure better, "
            f"{'press harder, or fit none' if free else 'press less, or allow more runout'}.",
            tuple(numbers),
            assumed,
        )
    verdict = "fine" if window >= 2 * TIGHT * doubt else "look"
    if several and not budget.within:
        verdict, sentence = (
            "look",
            f"{sentence}, but one long and another short by it may leave "
            f"{shown(budget.misfit, 'fine', units, 2)}, "
            f"{shown(job['allowed_runout'], 'fine', units, 2)} allowed: hold each to "
            f"±{shown(budget.misfit_left, 'fine', units, 2)}, comparing them under one indicator"
            f"{', or leave all of them out' if free else ''}",
        )
    if job["spacers"] != "in every throw" and len(work.crank.throws) > 1:
        verdict, sentence = (
            worst(verdict, "look"),
            sentence + ", with gaps left open that still close",
        )
    return Found(
        verdict,
        f"{sentence}{', which is enough' if verdict == 'fine' else ''}.",
        tuple(numbers),
        assumed,
    )
