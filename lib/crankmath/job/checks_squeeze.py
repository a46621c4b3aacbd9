"""Checks of what presses and warms the crank between its centers: squeeze, spacers, heat."""

import numpy as np

from ..heat import expansion, warming
from ..spacers import thrust
from ..units import Quantity
from .verdicts import Found, Number, check, said_of, shown, worst

EASE_SHARE = 0.25  # of the thrust that warming may add before the tailstock is eased, where nothing else limits it: own choice
END = 19  # moment of the warming at which the pass ends
TIGHT = 2.0  # times the doubt of a spacer's length: a window less wide than this has no room to spare; own choice


@check("squeeze")
def check_squeeze(work):
    found, allowed, units, pressed = (
        work.empty_squeeze,
        work.job["allowed_runout"],
        work.units,
        work.job["thrust"],
    )
    share = (found.largest_runout / allowed).m_as("dimensionless")
    most = pressed / share if share > 0 else Quantity(np.inf, "N")
    numbers = (
        Number("thrust", pressed, "force"),
        Number("runout after release", found.largest_runout, "fine"),
        Number("runout allowed", allowed, "fine"),
        Number("thrust that spends it", most, "force"),
        Number(
            "closure of a gap, most", Quantity(float(found.closure.m_as("um").max()), "um"), "fine"
        ),
    )
    assumed = (
        ()
        if "thrust" in work.job.given
        else (f"thrust of the tailstock {shown(pressed, 'force', units)}, assumed",)
    )
    words = (
        f"Pressed with {shown(pressed, 'force', units)} and no spacer the mains run out "
        f"{shown(found.largest_runout, 'fine', units, 2)} after release"
    )
    if share <= 1:
        return Found(
            "fine",
            f"{words}, within the {shown(allowed, 'fine', units, 2)} allowed: spacers are not needed for it.",
            numbers,
            assumed,
        )
    if work.job["spacers"] == "none":
        return Found(
            "not fine",
            f"{words}, more than the {shown(allowed, 'fine', units, 2)} allowed: press no harder than {shown(most, 'force', units, 2)}, or "
            "fit spacers.",
            numbers,
            assumed,
        )
    every = work.job["spacers"] == "in every throw"
    cure = (
        "the spacers in every throw are there for that; without them"
        if every
        else "fit a spacer in every throw, or"
    )
    return Found(
        "fine" if every else "look",
        f"{words}, more than the {shown(allowed, 'fine', units, 2)} allowed: {cure} press no harder than {shown(most, 'force', units, 2)}.",
        numbers,
        assumed,
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
        Number("length known to", job["spacer_doubt"], "fine"),
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
    aim = Quantity(
        (low + longest.m_as("um")) / 2
        if np.isfinite(low)
        else min(0.0, longest.m_as("um") - TIGHT * doubt),
        "um",
    )
    numbers.append(Number("misfit to aim at", aim, "fine"))
    words = (
        "any amount short"
        if not np.isfinite(low)
        else f"{shown(abs(shortest), 'fine', units, 2)} {'short' if low < 0 else 'long'}"
    )
    sentence = (
        f"Each spacer of Ø{shown(size, 'length', units)} may be from {words} to {shown(longest, 'fine', units, 2)} too long; "
        f"you hold its length to ±{shown(job['spacer_doubt'], 'fine', units, 2)}"
    )
    assumed = tuple(
        words
        for key, words in (
            ("thrust", "thrust of the tailstock, assumed"),
            ("spacer_doubt", "how well the length of a spacer is known, assumed"),
        )
        if key not in job.given
    )
    if window < TIGHT * doubt:
        return Found(
            "not fine",
            f"{sentence}: the window is narrower than that. Measure better, press less, or allow more runout.",
            tuple(numbers),
            assumed,
        )
    verdict = "fine" if window >= 2 * TIGHT * doubt else "look"
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
        f"The last roughing pass ({longest.name}, {shown(minutes_of_pass, 'time', units, 2)}) warms the crank by "
        f"{shown(risen[0], 'rise', units, 2)} to {shown(risen[1], 'rise', units, 2)} and adds {shown(added[0], 'force', units, 2)} to "
        f"{shown(added[1], 'force', units, 2)} of thrust between rigid centers"
    )
    cold = f"Measure cold: just cut it may read {shown(large, 'fine', units, 2)} too large."
    if added[1] <= allowed:
        return Found(
            "fine",
            f"{words}; {shown(allowed, 'force', units, 2)} may be added. Ease the tailstock between passes. {cold}",
            numbers,
        )
    return Found(
        "look",
        f"{words}; {shown(allowed, 'force', units, 2)} may be added, reached after {shown(minutes, 'time', units, 2)} in the cut: stop the "
        f"spindle and ease the tailstock by then, or use a spring-loaded center. {cold}",
        numbers,
    )


def _allowed_rise(work):
    """Thrust that warming may add: what the runout still forgives, what the center bears, but at least a share of the thrust."""
    pressed = work.job["thrust"].m_as("N")
    room = [
        thrust.center_thrust_limit(work.allowed_pressure, work.hole.mouth, work.hole.drill).m_as(
            "N"
        )
        - pressed
    ]
    now = work.packed_squeeze.largest_runout
    if (
        pressed > 0 and now.magnitude > 0
    ):  # with spacers as long as their gaps the runout grows with the thrust too
        room.append(pressed * (work.job["allowed_runout"] / now).m_as("dimensionless") - pressed)
    return Quantity(max(min(room), EASE_SHARE * pressed, 1.0), "N")


SQUEEZE = (check_squeeze, check_spacers, check_heat)
