"""Checks of what presses and warms the crank between its centers: squeeze, spacers, heat."""

import numpy as np

from ...heat import expansion, warming
from ...spacers import thrust
from ...units import Quantity
from ..verdicts import Found, Number, by_share, check, said_of, shown, worst
from ..workings import TIGHT

END = 19  # moment of the warming at which the pass ends
NEAR = 0.85  # of what a step may move; above it look: own choice


@check("squeeze")
def check_squeeze(work):
    units, job, stages = work.units, work.job, work.pressed
    thrust = job["thrust"]
    pressed = shown(thrust, "force", units)
    numbers = [
        Number("thrust", thrust, "force"),
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
    most = shown(least.most, "force", units, 2)
    bent = [one for one in stages if one.bends]
    if bent:
        one = max(bent, key=lambda one: one.stress)
        return Found(
            "not fine",
            f"Pressed with {pressed} the nominal stress in “{one.step.name}”, "
            f"{shown(one.stress, 'stress', units)}, passes the yield strength of "
            f"{shown(work.yield_strength, 'stress', units)}: the crank would stay bent. "
            f"Press no harder than {most}.",
            tuple(numbers),
            assumed,
        )
    spent = max(stages, key=lambda one: one.share)
    packed = "with spacers in" if spent.step.fitted else "with no spacer in"
    words = (
        f"Pressed with {pressed}, {packed}, “{spent.step.name}” leaves "
        f"{shown(spent.moved, 'fine', units, 2)} {spent.what}, "
        f"{shown(spent.allowed, 'fine', units, 2)} "
        "allowed"
    )
    verdict = by_share(spent.share, NEAR, 1.0)
    if verdict == "not fine":
        cure = "" if spent.step.fitted else ", or fit spacers before it"
        words += f": press no harder than {most} there{cure}"
    else:
        words += f"; at most {most} in “{least.step.name}”"
    return Found(verdict, f"{words}.", tuple(numbers), assumed)


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
    numbers += [
        Number("shortest misfit", shortest, "fine"),
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
    low = -np.inf if not np.isfinite(shortest.magnitude) else shortest.m_as("um")
    window, doubt = longest.m_as("um") - low, job["spacer_doubt"].m_as("um")
    budget = work.budget
    numbers += [
        Number("misfit to aim at", work.aimed_misfit, "fine"),
        Number("runout with each off by as much as not known", budget.misfit, "fine"),
        Number("each may be off its own way by", budget.misfit_left, "fine"),
    ]
    several, free = len(work.fitted) > 1, not np.isfinite(low)
    made = "The" if not several else "Each" if free else "Made alike, each"
    if not free:
        limits = f"from {_off(shortest, units)} to {_off(longest, units)}"
    elif longest.magnitude < 0:
        limits = f"{_off(longest, units)} or shorter"
    else:
        limits = f"any amount too short, or up to {_off(longest, units)}"
    sentence = (
        f"{made} spacer of Ø{shown(size, 'length', units)} may be {limits}"
        f"{', whatever the others are' if several and free else ''}; "
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
            f"{sentence}: the window is narrower than that. Measure better, press less, or allow "
            "more runout.",
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
            f"±{shown(budget.misfit_left, 'fine', units, 2)}, comparing them under one indicator",
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


@check("heat")
def check_heat(work):
    units, made, where, course = work.units, work.heat_made, work.hottest[1], work.warming
    even = expansion.growth(work.crank.length, Quantity(1.0, "delta_degC"), work.crank.steel).m_as(
        "um"
    )
    grown = course.growth.m_as("um") / even  # mean rise by which the crank grows as much
    by_rule = (made.rule_heat / made.shear_heat).m_as("dimensionless")  # rises go with the heat
    risen = [Quantity(float(grown[END] * share), "delta_degC") for share in (by_rule, 1.0)]
    added = [Quantity(float((work.thrust_per_degree * rise).m_as("N")), "N") for rise in risen]
    allowed = _allowed_rise(work)
    minutes = warming.time_reached(
        course.time, grown * work.thrust_per_degree.m_as("N/delta_degC"), allowed.m_as("N")
    )
    part = (
        work.crank.throws[where[1]].pin_diameter
        if where[0] == "pin"
        else work.crank.journals[where[1]].diameter
    )
    warmest = Quantity(float(course.rise_of(*where).m_as("delta_degC")[END]), "delta_degC")
    large = expansion.hot_measuring_error(part, work.crank.steel, warmest)
    beside = (
        min(where[1], len(work.crank.throws) - 1) * 2
        if where[0] == "pin"
        else min(max(2 * where[1] - 1, 0), 2 * len(work.crank.throws) - 1)
    )
    web = Quantity(float(course.rise_of("web", beside).m_as("delta_degC")[END]), "delta_degC")
    longest, minutes_of_pass = work.hottest[0], work.pass_minutes
    numbers = (
        Number("operation", longest.name, "word"),
        Number("minutes of its last pass", minutes_of_pass, "time"),
        Number("power of the cut", made.power, "power"),
        Number("heat into the work, rule", made.rule_heat, "power"),
        Number("heat into the work, formula", made.shear_heat, "power"),
        Number("thrust added by each degree", work.thrust_per_degree, "per degree"),
        Number("mean rise in one pass, rule", risen[0], "rise"),
        Number("mean rise in one pass, formula", risen[1], "rise"),
        Number("thrust added in one pass, rule", added[0], "force"),
        Number("thrust added in one pass, formula", added[1], "force"),
        Number("thrust that may be added", allowed, "force"),
        Number("minutes until then, formula", minutes, "time"),
        Number("rise where it is cut, formula", warmest, "rise"),
        Number("reads too large while that warm", large, "fine"),
        Number("rise of the web beside it, formula", web, "rise"),
    )
    words = (
        f"The last roughing pass ({longest.name}, {shown(minutes_of_pass, 'time', units, 2)}) "
        "warms the crank by "
        f"{shown(risen[0], 'rise', units, 2)} to {shown(risen[1], 'rise', units, 2)} and adds "
        f"{shown(added[0], 'force', units, 2)} to "
        f"{shown(added[1], 'force', units, 2)} of thrust between rigid centers"
    )
    cold = f"Measure cold: just cut it may read {shown(large, 'fine', units, 2)} too large."
    if added[1] <= allowed:
        return Found(
            "fine",
            f"{words}; {shown(allowed, 'force', units, 2)} may be added. Ease the tailstock "
            f"between passes. {cold}",
            numbers,
        )
    if allowed.magnitude == 0:
        return Found(
            "look",
            f"{words}; squeeze and what is not known of the spacers may have spent the runout "
            "already, or the thrust what the center bears: ease the tailstock all the time, or use "
            f"a spring-loaded center. {cold}",
            numbers,
        )
    return Found(
        "look",
        f"{words}; {shown(allowed, 'force', units, 2)} may be added, reached after "
        f"{shown(minutes, 'time', units, 2)} in the cut: stop the "
        f"spindle and ease the tailstock by then, or use a spring-loaded center. {cold}",
        numbers,
    )


def _allowed_rise(work):
    """Thrust that warming may add: what squeeze and spacers leave of the runout, and what the
    center bears."""
    hole = work.hole
    center = thrust.center_thrust_limit(work.allowed_pressure, hole.mouth, hole.drill)
    room = min(center - work.job["thrust"], work.budget.thrust_left)
    return max(room.to("N"), Quantity(0.0, "N"))
