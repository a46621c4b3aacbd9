"""Checks of the measuring: can the gear at hand prove runout, throw, phase and size?"""

import numpy as np

from ...fits import iso_286
from ...inspection import expected_budget, telling_division, uncertainty
from ...inspection.pin_heights import throw_budget
from ...units import Quantity
from ...wording import READS, read_between
from ..verdicts import Found, Number, check, shown, worst

DRAWN = 6  # figures of a diameter as drawn: 14.2875 mm, not Ø14.29 of h6
FIGURES = 2  # of an uncertainty: GUM 7.2.6
GOOD_SHARE = (
    1 / 4
)  # of the tolerance (either side) that the uncertainty may take: common practice, no source


def _judged(spread, allowed):
    """Verdict of an uncertainty beside what may be off, either way."""
    share = (spread / allowed).m_as("dimensionless")
    return "fine" if share <= GOOD_SHARE else "look" if share < 1 else "cannot tell"


def _words(verdict):
    return {
        "fine": "enough to tell good from bad",
        "look": "a large part of it: aim inside",
        "cannot tell": "so nothing could be proved: measure with something finer",
    }[verdict]


@check("runout")
def check_runout(work):
    job, units = work.job, work.units
    allowed, tool = job["allowed_runout"], job["indicator"]
    numbers = [Number("runout allowed", allowed, "fine")]
    if job["supports"] != "between centers":
        return Found(
            "cannot tell",
            f"{_in_the_vees(work.crank)} lie in the vees and turn about themselves there: a vee "
            "shows "
            "nothing of their offset, so it proves no runout. Measure between centers; for form, "
            "a 90° "
            "and a 120° vee together show 2 to 9 lobes.",
            tuple(numbers),
        )
    budget = expected_budget(uncertainty.tool_division(tool), uncertainty.tool_half_width(tool))
    spread = budget.expanded.to("um")
    verdict, pass_below = _judged(spread, allowed), allowed - spread
    numbers.append(Number("uncertainty of a reading", spread, "fine", FIGURES))
    words = (
        f"With a {tool} between centers a runout is known to ±{shown(spread, 'fine', units, 2)} "
        f"of {shown(allowed, 'fine', units, 2)} allowed, {_words(verdict)}"
    )
    if verdict == "cannot tell":
        finer = telling_division(allowed.to("thousandth" if units == "in" else "um"))
        words += f", with divisions of {shown(finer, 'fine', units, 2)} or less"
    else:
        numbers += [
            Number("accept up to", pass_below.to("um"), "fine"),
            Number("reject above", (allowed + spread).to("um"), "fine"),
        ]
    if verdict == "look":
        words += f": accept readings up to {shown(pass_below, 'fine', units, 2)}"
    return Found(verdict, f"{words}.", tuple(numbers), _assumed(work, tool))


def _in_the_vees(crank):
    """Names of the two end mains, which lie in the vees."""
    return f"Main 1 and main {len(crank.journals)}"


@check("throw")
def check_throw(work):
    job, units, gauge = work.job, work.units, work.job["height_gauge"]
    # the same height found twice leaves what gauge, plate and temperature do
    heights = (
        Quantity([float(size.m_as("mm"))] * 2, "mm")
        for size in (3 * work.crank.throws[0].radius, work.crank.throws[0].radius)
    )
    spread = throw_budget(*heights, gauge=gauge, expansion=work.steel.expansion).expanded.to("um")
    tolerance = job["throw_tolerance"]
    verdict = _judged(spread, tolerance)
    numbers = [
        Number("throw may be off, either way", tolerance, "length"),
        Number("uncertainty of the throw", spread.to("um"), "fine", FIGURES),
    ]
    for index, throw in enumerate(work.crank.throws, 1):
        numbers += _window(
            f"throw {index}", throw.radius - tolerance, throw.radius + tolerance, spread, units
        )
    ends, askew = 2**0.5 * spread, work.askew
    numbers += [
        Number("uncertainty of a difference of two heights", ends, "fine", FIGURES),
        Number("a pin's axis may be askew over its length", askew, "fine"),
    ]
    words = (
        f"With a {gauge} a throw is known to ±{shown(spread, 'fine', units, 2)} of "
        f"±{shown(tolerance, 'length', units)}, {_words(verdict)}"
    )
    if len(work.crank.throws) > 1:
        shortest = min(throw.radius for throw in work.crank.throws)
        heights = [
            uncertainty.tool_source(gauge, "first"),
            uncertainty.tool_source(gauge, "second"),
            uncertainty.tool_source("surface plate", "plate"),
        ]
        apart = uncertainty.combine(
            lambda first, second, plate: first - second + plate, heights
        ).expanded
        angle = Quantity(float(np.degrees((apart / shortest).m_as("dimensionless"))), "deg")
        of_angle = _judged(angle, job["phase_tolerance"])
        verdict = worst(verdict, of_angle)
        numbers += [
            Number("angle may be off, either way", job["phase_tolerance"], "angle"),
            Number("uncertainty of an angle", angle, "angle", FIGURES),
        ]
        if of_angle != "cannot tell":
            room = job["phase_tolerance"] - angle
            numbers.append(Number("angle: accept up to, off either way", room, "angle"))
        words += (
            f"; an angle to ±{shown(angle, 'angle', units, 2)} of "
            f"±{shown(job['phase_tolerance'], 'angle', units, 2)}, {_words(of_angle)}"
        )
    if ends >= askew:
        verdict = worst(verdict, "look")
        words += (
            f". Whether a pin stands askew, {shown(askew, 'fine', units, 2)} over its length "
            f"allowed, it does not tell, by ±{shown(ends, 'fine', units, 2)}: read that with a "
            "finer indicator"
        )
    return Found(verdict, f"{words}.", tuple(numbers), _assumed(work, gauge))


@check("sizes")
def check_sizes(work):
    job, units, verdict, numbers, told = work.job, work.units, "fine", [], []
    spread = diameter_doubt(job)
    numbers.append(Number("uncertainty of a diameter", spread, "fine", FIGURES))
    for name, parts, size, code in (
        ("main", work.crank.journals, "diameter", "main_class"),
        ("pin", work.crank.throws, "pin_diameter", "pin_class"),
    ):
        for diameter in dict.fromkeys(getattr(part, size) for part in parts):
            upper, lower = iso_286.limits(diameter, job[code])
            label = f"{name} Ø{shown(diameter, 'length', units, DRAWN)} {job[code]}"
            window = _window(label, diameter + lower, diameter + upper, spread, units)
            numbers += window
            found = "cannot tell" if len(window) < 2 else _judged(spread, (upper - lower) / 2)
            told.append((found, label, upper - lower))
            verdict = worst(verdict, found)
    found, label, width = next(one for one in told if one[0] == verdict)
    return Found(
        verdict,
        f"The micrometer knows a diameter to ±{shown(spread, 'fine', units, 2)}; {label} is "
        f"{shown(width, 'fine', units, 2)} wide, "
        f"{_words(found)}.",
        tuple(numbers),
        () if "micrometer_doubt" in job.given else ("how far the micrometer may be off, assumed",),
    )


def _window(label, smallest, largest, spread, units):
    """Between which sizes to accept; none where the uncertainty turns the window around."""
    low, high = smallest + spread, largest - spread
    if read_between(low, high, units, READS[units]) is None:
        return [Number(f"{label}: accept", "cannot be told", "word")]
    return [
        Number(f"{label}: accept from", low, "place"),
        Number(f"{label}: accept to", high, "place"),
    ]


def diameter_doubt(job):
    """Expanded uncertainty of a diameter by the micrometer alone."""
    one = uncertainty.source(
        "size", Quantity(0.0, "um"), half_width=job["micrometer_doubt"].to("um")
    )
    return uncertainty.combine(lambda size: size, [one]).expanded


def _assumed(work, tool):
    return (f"how far a {tool} may be off: common practice, no source",)
