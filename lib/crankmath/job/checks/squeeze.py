"""Checks of what presses the crank between its centers: hold, squeeze, spacers."""

import numpy as np

from ...forces.drive import GREASED
from ...heat import expansion
from ...language import _
from ...units import Quantity
from ...wording import OFF, read_between
from ..verdicts import Found, Number, by_share, check, said_of, shown, worst
from ..workings import TIGHT

NEAR = 0.85  # of what a step may move; above it look: own choice


@check("squeeze")
def check_squeeze(work):
    units, job, stages = work.units, work.job, work.pressed
    pressed = shown(job["thrust"], "force", units)
    numbers = [
        Number(_("thrust"), job["thrust"], "force"),
        Number(_("runout after release, no spacer"), work.empty_squeeze.largest_runout, "fine"),
        Number(_("runout allowed"), job["allowed_runout"], "fine"),
    ]
    for one in stages:
        numbers += [
            Number(f"{one.step.name}: {one.what}", one.moved, "fine"),
            Number(_("{name}: allowed").format(name=one.step.name), one.allowed, "fine"),
            Number(_("{name}: thrust at most").format(name=one.step.name), one.most, "force"),
        ]
    assumed = (
        ()
        if "thrust" in job.given
        else (_("thrust of the tailstock {pressed}, assumed").format(pressed=pressed),)
    )
    least = min(stages, key=lambda one: one.most)
    most = least.ends(units)[1]
    bent = [one for one in stages if one.bends]
    if bent:
        one = max(bent, key=lambda one: one.stress)
        return Found(
            "not fine",
            _(
                "Pressed with {thrust} the nominal stress in “{name}”, {stress}, passes the yield "
                "strength of {yield_strength}: the crank would stay bent. Press no harder than "
                "{most}."
            ).format(
                thrust=one.told(units),
                name=one.step.name,
                stress=shown(one.stress, "stress", units),
                yield_strength=shown(work.yield_strength, "stress", units),
                most=most,
            ),
            tuple(numbers),
            assumed,
        )
    spent, *others = sorted(stages, key=lambda one: -one.share)
    packed = _("with spacers in") if spent.step.fitted else _("with no spacer in")
    words = _("Pressed with {thrust}, {packed}, {spent}").format(
        thrust=spent.told(units), packed=packed, spent=_leaves(spent, units)
    )
    verdict = by_share(spent.share, NEAR, 1.0)
    if verdict == "not fine":
        cure = "" if spent.step.fitted else _(", or fit spacers before it")
        words += _(": press no harder than {ends} there{cure}").format(
            ends=spent.ends(units)[1], cure=cure
        )
        for one in others:
            if one.share > 1:
                words += _("; {size}: no harder than {ends} there").format(
                    size=_leaves(one, units), ends=one.ends(units)[1]
                )
    else:
        words += _("; at most {most} in “{name}”").format(most=most, name=least.step.name)
    return Found(verdict, f"{words}.", tuple(numbers), assumed)


def _leaves(one, units):
    """What a step under its thrust leaves, in words."""
    return _("“{name}” leaves {moved} {what}, {allowed} allowed").format(
        name=one.step.name,
        moved=shown(one.moved, "fine", units, 2),
        what=one.what,
        allowed=shown(one.allowed, "fine", units, 2),
    )


@check("hold")
def check_hold(work):
    units, stages, given = work.units, work.pressed, work.job["thrust"]
    if any(one.least is None for one in stages):
        work.deepest_cuts  # noqa: B018 - says why no force is known
    numbers = [Number(_("thrust"), given, "force")]
    for one in stages:
        numbers += [
            Number(_("{name}: thrust at least").format(name=one.step.name), one.least, "force"),
            Number(
                _("{name}: with a greased center's friction").format(name=one.step.name),
                one.scant,
                "force",
            ),
            Number(_("{name}: thrust at most").format(name=one.step.name), one.most, "force"),
        ]
    assumed = (
        _("a greased center has a friction of {greased:g}; no cut is counted on to keep it").format(
            greased=GREASED
        ),
        _("the dog has one tail, at the radius of a weight on the driving plate"),
    )
    pressed = shown(given, "force", units)

    def asked(one):
        return _("at least {ends} in “{name}”, {where}").format(
            ends=one.ends(units)[0], name=one.step.name, where=one.where
        )

    if bad := [one for one in stages if not one.holds]:
        one = max(bad, key=lambda one: (one.least / one.most).m_as("dimensionless"))
        if work.held[one.step.key][0] <= one.most:  # it is the spacers that ask for more
            words = _(
                "No thrust is right with the spacers that are accepted for {pressed}: {asked}, and "
                "{ends} is the most that the step bears. Answer with less thrust, for which other "
                "spacers are accepted."
            )
        else:
            words = _(
                "The cut would throw the work out of its centers: {asked}, and {ends} is the most "
                "that the step bears. Take lighter cuts, stouter webs, or fit spacers."
            )
        told = words.format(pressed=pressed, asked=asked(one), ends=one.ends(units)[1])
        return Found("not fine", told, tuple(numbers), assumed)
    hardest = max(stages, key=lambda one: one.least)
    finish = max((one for one in stages if not one.rough), key=lambda one: one.least)
    if given < finish.least:
        left = max(one.scant for one in stages if not one.rough)
        lost = given < left
        return Found(
            "not fine" if lost else "look",
            _(
                "Pressed with {pressed} the cut {words} the work out of its centers: {asked}, "
                "{left} if a greased center's friction is counted on. Press harder."
            ).format(
                pressed=pressed,
                words=_("throws") if lost else _("may throw"),
                asked=asked(finish),
                left=shown(left, "force", units, 2),
            ),
            tuple(numbers),
            assumed,
        )
    if given < hardest.least:
        return Found(
            "look",
            _(
                "Pressed with {pressed} the work holds for finishing, {asked}, but not for "
                "roughing, {roughing}. Set the thrust that each step names."
            ).format(pressed=pressed, asked=asked(finish), roughing=asked(hardest)),
            tuple(numbers),
            assumed,
        )
    return Found(
        "fine",
        _(
            "Pressed with {pressed} the work stays in its centers: {asked}. Ease the tailstock no "
            "further than that."
        ).format(pressed=pressed, asked=asked(hardest)),
        tuple(numbers),
        assumed,
    )


def _off(misfit, units):
    """A spacer's misfit in words."""
    size = shown(abs(misfit), "fine", units, 2)
    if not float(size.split()[0]):
        return _("as long as its gap")
    return _("{misfit} too {words}").format(
        misfit=size, words=_("short") if misfit < 0 * misfit else _("long")
    )


@check("spacers")
def check_spacers(work):
    job, units = work.job, work.units
    if job["spacers"] == "none":
        good = work.empty_squeeze.largest_runout <= job["allowed_runout"]
        return Found(
            "fine" if good else "not fine",
            _("No spacers are fitted")
            + (
                _(", and none are needed at this thrust.")
                if good
                else _(": the thrust asks for them.")
            ),
        )
    try:
        size = work.spacer_diameter
        full = work.packed_squeeze
    except ValueError as error:
        if (
            "spacers" not in job.given
            and job["spacer_diameter"] is None
            and work.empty_squeeze.largest_runout <= job["allowed_runout"]
        ):
            return Found(
                "fine", _("{error} None is needed at this thrust.").format(error=said_of(error))
            )
        return Found("not fine", said_of(error))
    bears = float(full.spacer_force.m_as("N").max())
    numbers = [
        Number(_("diameter"), size, "length"),
        Number(_("runout with spacers as long as their gaps"), full.largest_runout, "fine"),
        Number(_("most that a spacer bears"), Quantity(bears, "N"), "force"),
    ]
    try:
        shortest, longest = work.misfit_limits
    except ValueError as error:
        return Found("not fine", said_of(error), tuple(numbers))
    gripped, free = work.gripped_misfit, not np.isfinite(shortest.magnitude)
    numbers += [
        Number(_("shortest misfit"), shortest, "fine"),
        Number(_("shortest that the thrust grips"), gripped, "fine"),
        Number(_("longest misfit"), longest, "fine"),
        Number(_("uncertainty of its length against its gap"), job["spacer_doubt"], "fine"),
    ]
    lost = expansion.misfit_lost_per_degree(work.crank)
    numbers.append(
        Number(
            _("misfit lost for each degree the crank is warmer"),
            Quantity(lost.m_as("um/delta_degC"), "um"),
            "fine",
        )
    )
    shortest = max(shortest, gripped)
    window, doubt = (longest - shortest).m_as("um"), job["spacer_doubt"].m_as("um")
    budget = work.budget
    numbers += [
        Number(_("misfit to aim at"), work.aimed_misfit, "fine"),
        Number(_("runout with each off by its uncertainty"), budget.misfit, "fine"),
        Number(_("tolerance of each, in its own direction"), budget.misfit_left, "fine"),
    ]
    several = len(work.fitted) > 1
    made = _("Made alike, each") if several else _("The")
    unit, digits, _unused = OFF[units]
    read = None if free else read_between(shortest, longest, unit, digits)
    ends = (Quantity(one, unit) for one in read) if read else (shortest, longest)
    limits = _("from {shortest} to {longest}").format(
        **{name: _off(end, units) for name, end in zip(("shortest", "longest"), ends, strict=True)}
    )
    if shortest == gripped:
        limits += _(", a shorter one is not gripped and flies")
    if free:
        limits += _("; with no more than {spacer_thrust} none is needed").format(
            spacer_thrust=shown(work.spacer_thrust, "force", units)
        )
    sentence = _(
        "{made} spacer of Ø{size} may be {limits}; you know its length against the gap to "
        "±{spacer_doubt}"
    ).format(
        made=made,
        size=shown(size, "length", units),
        limits=limits,
        spacer_doubt=shown(job["spacer_doubt"], "fine", units, 2),
    )
    assumed = tuple(
        words
        for key, words in (
            ("thrust", _("thrust of the tailstock, assumed")),
            ("spacer_doubt", _("uncertainty of a spacer's length against its gap, assumed")),
        )
        if key not in job.given
    )
    if window < TIGHT * doubt:
        words = _("press harder, or fit none") if free else _("or allow more runout")
        if not free and work.needless:  # less thrust alone leaves the window as narrow
            words = _("press less and fit none, or allow more runout")
        return Found(
            "not fine",
            _("{sentence}: the window is narrower than that. Measure better, {words}.").format(
                sentence=sentence,
                words=words,
            ),
            tuple(numbers),
            assumed,
        )
    verdict = "fine" if window >= 2 * TIGHT * doubt else "look"
    if work.read_misfit is None:
        low, high = work.accepted_misfit
        verdict, sentence = (
            "look",
            _(
                "{sentence}; errors of that size, each in its own direction, may leave {misfit} "
                "of runout, {allowed_runout} allowed: know each to ±{each}, comparing it under "
                "one indicator{words}"
            ).format(
                sentence=sentence,
                misfit=shown(budget.misfit, "fine", units, 2),
                allowed_runout=shown(job["allowed_runout"], "fine", units, 2),
                each=shown((high - low) / 2, "fine", units, 2),
                words=_(", or leave all of them out") if several and free else "",
            ),
        )
    if job["spacers"] != "in every throw" and len(work.crank.throws) > 1:
        verdict, sentence = (
            worst(verdict, "look"),
            sentence + _(", with gaps left open that still close"),
        )
    return Found(
        verdict,
        _("{sentence}{words}.").format(
            sentence=sentence, words=_(", which is enough") if verdict == "fine" else ""
        ),
        tuple(numbers),
        assumed,
    )
