"""Accept windows of the sheet: in what an instrument reads, never wider than the limits."""

from math import ceil, floor

from crankmath.job.checks.proof import window_labels
from crankmath.language import _, spoken
from crankmath.units import Quantity
from crankmath.wording import OFF, READS, most_shown, read_between, shown

CANNOT = (_("cannot"), _("tell"))
ANVIL = 6.5  # mm, across a micrometer's anvil: from memory
GENERAL = (  # up to this size may be off so much [mm]: ISO 2768-1 medium, from memory
    *((6.0, 0.1), (30.0, 0.2), (120.0, 0.3), (400.0, 0.5)),
    *((1000.0, 0.8), (2000.0, 1.2), (float("inf"), 2.0)),
)


def window(low, high, units, with_micrometer=True):
    """Texts of the ends of a window as micrometer or calipers read them."""
    digits = READS[units] - (not with_micrometer)
    ends = read_between(low, high, units, digits)
    if ends is None:
        return CANNOT
    return tuple(f"{one:.{digits}f} {units}".replace("-", "−") for one in ends)


def lines_between(low, high, division):
    """Texts of the ends of a window in whole divisions of an instrument and the unit that it shows,
    rounded inward.
    """
    step, unit = round(division.magnitude, 9), f"{division.units:~}"
    first = ceil(low.m_as(unit) / step - 1e-6)
    last = floor(high.m_as(unit) / step + 1e-6)
    if first >= last:
        return CANNOT
    decimals = len(f"{step:.9f}".rstrip("0").partition(".")[2])
    texts = (f"{one * step + 0.0:.{decimals}f} {unit}" for one in (first, last))
    return tuple(text.replace("-", "−") for text in texts)


def micrometer(cut):
    """Instrument for the diameter of a cut: a plain anvil has to fit between its corners."""
    blade = cut.x1 - cut.x0 - sum(cut.corners) < ANVIL + 1.0
    return _("blade micrometer, cold") if blade else _("micrometer, cold")


def general(size, units):
    """Window of a length [mm] without a tolerance of its own."""
    off = next(some for most, some in GENERAL if size <= most)
    return window(Quantity(size - off, "mm"), Quantity(size + off, "mm"), units, False)


def throw_windows(report, division):
    """Accept window of each throw by the check that proves it, in whole divisions.

    It is half of a difference of two heights; ``arm_window`` is that of a difference itself.
    """
    told = {one.label: one.value for one in report.find("throw").numbers}
    windows = {}
    for number in range(1, len(report.job.crank.throws) + 1):
        low, high, _none = (told.get(label) for label in window_labels(spoken(f"throw {number}")))
        known = low is not None
        windows[f"throw {number}"] = lines_between(low, high, division) if known else CANNOT
    return windows


def arm_window(report, throw, division):
    """Accept window of a throw read as one height less another, in whole divisions: doubted twice
    as much as half of a difference.
    """
    known = _known(report, _("uncertainty of the throw"))
    if known is None:
        return CANNOT
    room = report.job["throw_tolerance"] - 2 * known
    radius = report.job.crank.throws[throw].radius
    return lines_between(radius - room, radius + room, division)


def difference_doubt(report):
    """Uncertainty of a difference of two throws or of a pin's two ends; None where unknown."""
    return _known(report, _("uncertainty of a difference of two throws"))


def _known(report, label):
    """A number of the check of the throw by its label; None where it could not be told."""
    return next((one.value for one in report.find("throw").numbers if one.label == label), None)


def twist_limit(report):
    """How far a pin's axis may be askew over the pin's length, and whether the gauge can tell."""
    units, doubt, allowed = report.job.units, difference_doubt(report), report.workings.askew
    most = shown(allowed, "fine", units, 2)
    words = _("over the pin's whole length {most} is allowed").format(most=most)
    if doubt is None or doubt >= allowed:
        return _("{words}, which this gauge cannot tell: read it with a finer indicator").format(
            words=words
        )
    return _("{words}: accept up to {allowed}").format(
        words=words, allowed=most_shown(allowed - doubt, "fine", units)
    )


def misfits(shortest, longest, units):
    """Texts of the limits of a spacer's misfit, rounded inward."""
    unit, digits, _unused = OFF[units]
    ends = read_between(shortest, longest, unit, digits)
    if ends is None:
        return CANNOT
    return tuple(signed(Quantity(one, unit), units) for one in ends)


def signed(misfit, units):
    """A spacer's misfit as text, always with its sign."""
    unit, digits, name = OFF[units]
    return f"{misfit.m_as(unit):+.{digits}f} {name}".replace("-", "−")


def from_gap(text):
    """A limit of misfit in words, counted from the gap."""
    words = {"−": _("gap less "), "+": _("gap plus ")}
    if text[0] not in words:
        return text
    off = text[1:]
    return words[text[0]] + off if float(off.split()[0]) else _("the gap itself")


def between_gap(ends):
    """Both limits of misfit in words, from the texts of ``misfits``."""
    if ends == CANNOT:
        return " ".join(ends)
    low, high = map(from_gap, ends)
    return _("{low} to {high}").format(low=low, high=high)
