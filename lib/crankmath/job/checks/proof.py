"""Checks of the measuring: can the gear at hand prove runout, throw, phase and size?"""

from math import floor

import numpy as np

from ...fits import iso_286
from ...inspection import expected_budget, telling_division, uncertainty
from ...inspection.pin_heights import throw_budget
from ...language import _, listed, spoken
from ...units import Quantity
from ...wording import READS, read_between
from ..verdicts import Found, Number, check, shown, worst

DRAWN = 6  # figures of a diameter as drawn: 14.2875 mm, not Ø14.29 of h6
FIGURES = 2  # of an uncertainty: GUM 7.2.6
GOOD_SHARE = (
    1 / 4
)  # of the tolerance (either side) that the uncertainty may take: common practice, no source


def _judged(spread, allowed):
    """Verdict on an uncertainty beside the error allowed either way."""
    share = (spread / allowed).m_as("dimensionless")
    return "fine" if share <= GOOD_SHARE else "look" if share < 1 else "cannot tell"


def _words(verdict):
    return {
        "fine": _("enough to tell good from bad"),
        "look": _("a large part of it, so aim well inside"),
        "cannot tell": _("so nothing could be proved: measure with something finer"),
    }[verdict]


@check("runout")
def check_runout(work):
    job, units = work.job, work.units
    allowed, tool = job["allowed_runout"], job["indicator"]
    numbers = [Number(_("runout allowed"), allowed, "fine")]
    if job["supports"] != "between centers":
        return Found(
            "cannot tell",
            _(
                "{crank} lie in the vees and turn about themselves there: a vee shows nothing of "
                "their offset, so it proves no runout. Measure between centers; for form, a 90° "
                "and a 120° vee together show 2 to 9 lobes."
            ).format(crank=_in_the_vees(work.crank)),
            tuple(numbers),
        )
    division = uncertainty.tool_division(tool)
    spread = expected_budget(division, uncertainty.tool_half_width(tool)).expanded.to("um")
    lines = floor(((allowed - spread) / division).m_as("dimensionless") + 1e-6)
    verdict = _judged(spread, allowed) if lines > 0 else "cannot tell"
    numbers.append(Number(_("uncertainty of a reading"), spread, "fine", FIGURES))
    words = _(
        "With a {tool} between centers a runout is known to ±{spread} where {allowed} is allowed, "
        "{verdict}"
    ).format(
        tool=listed(tool),
        spread=shown(spread, "fine", units, 2),
        allowed=shown(allowed, "fine", units, 2),
        verdict=_words(verdict),
    )
    if verdict == "cannot tell":
        finer = telling_division(allowed.to("thousandth" if units == "in" else "um"))
        words += _(", with divisions of {finer} or less").format(
            finer=shown(finer, "fine", units, 2)
        )
    else:
        numbers += [
            Number(_("accept up to"), (lines * division).to("um"), "fine"),
            Number(_("reject above"), (allowed + spread).to("um"), "fine"),
        ]
    if verdict == "look":
        words += _(": accept readings up to {line}").format(
            line=shown(lines * division, "fine", units)
        )
    return Found(verdict, f"{words}.", tuple(numbers), _assumed(work, tool))


def _in_the_vees(crank):
    """Names of the two end mains, which lie in the vees."""
    return _("Main 1 and main {count}").format(count=len(crank.journals))


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
        Number(_("throw tolerance, either way"), tolerance, "length"),
        Number(_("uncertainty of the throw"), spread.to("um"), "fine", FIGURES),
    ]
    for index, throw in enumerate(work.crank.throws, 1):
        numbers += _window(
            spoken(f"throw {index}"),
            throw.radius - tolerance,
            throw.radius + tolerance,
            spread,
            units,
        )
    ends, askew = 2**0.5 * spread, work.askew
    numbers += [
        Number(_("uncertainty of a difference of two throws"), ends, "fine", FIGURES),
        Number(_("a pin's axis may be askew over its length"), askew, "fine"),
    ]
    words = _(
        "With a {gauge} a throw is known to ±{spread} where ±{tolerance} is allowed, {verdict}"
    ).format(
        gauge=listed(gauge),
        spread=shown(spread, "fine", units, 2),
        tolerance=shown(tolerance, "length", units),
        verdict=_words(verdict),
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
            Number(_("angle tolerance, either way"), job["phase_tolerance"], "angle"),
            Number(_("uncertainty of an angle"), angle, "angle", FIGURES),
        ]
        if of_angle != "cannot tell":
            room = job["phase_tolerance"] - angle
            numbers.append(Number(_("angle: accept up to, either way"), room, "angle"))
        words += _("; an angle to ±{angle} where ±{phase_tolerance} is allowed, {of_angle}").format(
            angle=shown(angle, "angle", units, 2),
            phase_tolerance=shown(job["phase_tolerance"], "angle", units, 2),
            of_angle=_words(of_angle),
        )
    if ends >= askew:
        verdict = worst(verdict, "look")
        words += _(
            ". Known to ±{ends}, a difference of two heights does not show whether a pin stands "
            "askew by more than the {askew} allowed over its length: read that with a finer "
            "indicator"
        ).format(askew=shown(askew, "fine", units, 2), ends=shown(ends, "fine", units, 2))
    return Found(verdict, f"{words}.", tuple(numbers), _assumed(work, gauge))


@check("sizes")
def check_sizes(work):
    job, units, verdict, numbers, told = work.job, work.units, "fine", [], []
    spread = diameter_doubt(job)
    numbers.append(Number(_("uncertainty of a diameter"), spread, "fine", FIGURES))
    for name, parts, size, code in (
        (_("main"), work.crank.journals, "diameter", "main_class"),
        (_("pin"), work.crank.throws, "pin_diameter", "pin_class"),
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
        _(
            "With the micrometer a diameter is known to ±{spread} where {label} has {width} of "
            "tolerance, {found}."
        ).format(
            spread=shown(spread, "fine", units, 2),
            label=label,
            width=shown(width, "fine", units, 2),
            found=_words(found),
        ),
        tuple(numbers),
        () if "micrometer_doubt" in job.given else (_("error of the micrometer, assumed"),),
    )


def window_labels(label):
    """What the ends of an accept window are called, and what stands where there is none."""
    ends = _("{label}: accept from"), _("{label}: accept to"), _("{label}: accept")
    return tuple(words.format(label=label) for words in ends)


def _window(label, smallest, largest, spread, units):
    """Between which sizes to accept; none where the uncertainty turns the window around."""
    low, high = smallest + spread, largest - spread
    first, last, none = window_labels(label)
    if read_between(low, high, units, READS[units]) is None:
        return [Number(none, _("cannot tell"), "word")]
    return [Number(first, low, "size"), Number(last, high, "size")]


def diameter_doubt(job):
    """Expanded uncertainty of a diameter by the micrometer alone."""
    one = uncertainty.source(
        "size", Quantity(0.0, "um"), half_width=job["micrometer_doubt"].to("um")
    )
    return uncertainty.combine(lambda size: size, [one]).expanded


def _assumed(work, tool):
    return (_("error of a {tool}: common practice, no source").format(tool=listed(tool)),)
