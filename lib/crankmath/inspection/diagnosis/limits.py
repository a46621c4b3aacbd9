"""Places of a crank against the runout that is allowed there."""

import warnings
from dataclasses import dataclass, replace

import numpy as np

from ...language import _, spoken
from ...units import OutOfRangeWarning, Quantity, as_text
from ..readings import finest_step
from ..runout import fit_runout
from ..runout_budgets import runout_budget, runout_verdict
from ..uncertainty import Budget, with_uncertainty
from .measured import Dial

WORST = ("out", "cannot tell", "in")  # of several sets of readings of a place the worst counts


@dataclass(frozen=True)
class PlaceRunout:
    """Runout of a main or pin on what is allowed there: ``verdict`` is "in", "out" or "cannot
    tell", ``why`` says why it cannot be told.

    ``whole`` is the runout with its whole uncertainty, None where the readings leave none;
    ``indicator`` the indicator's error in it, None where it is not known.
    """

    place: tuple
    verdict: str
    whole: Budget | None
    allowed: Quantity
    indicator: Quantity | None
    why: str = ""

    @property
    def name(self):
        """Such as “main 2”."""
        return spoken(f"{self.place[0]} {self.place[1] + 1}")

    def words(self, units):
        """Place, runout with its uncertainty and what is allowed, in the crank's workshop unit."""
        if self.whole is None:
            return self.name
        unit = "um" if units == "mm" else "thousandth"
        counted = (
            _("the indicator's own error not counted")
            if self.indicator is None
            else _("an indicator's error of {size} counted").format(
                size=as_text(self.indicator, unit, 2)
            )
        )
        return _("{place}, runout {runout} ({counted}), {allowed} allowed").format(
            place=self.name,
            runout=with_uncertainty(self.whole.value, self.whole.expanded, unit),
            counted=counted,
            allowed=as_text(self.allowed, unit, 2),
        )


def place_runouts(measured, making):
    """Every main read with the dial, and every pin with a limit, on what is allowed.

    A pin's limit is its own in the form, or a job's: that of the mains, as far as the pin may stand
    askew over its length. Past that it is over what is allowed where its throw is too, else it
    cannot be told.

    What was read after something was done (cold, cleaned, again) counts in place of what was read
    before, and readings on centers in place of those in vees. A table names no dial: the step of
    its readings and the indicator of the making stand for it.
    Basis: derived; ``runout_verdict``, by the whole reading as the form of lesson 12 has it.
    """
    sets = {}
    for row, value in zip(measured.rows, measured.values, strict=True):
        if row.kind == "dial":
            sets.setdefault(row.series, []).append((row.angle, value))
    read_again = {(place, at, on) for _kind, place, at, on, state in sets if state}
    centered = {place for _kind, place, _at, on, _state in sets if on[0] != "vees"}
    usual = Dial(division=_step(measured) or making.division, indicator=making.indicator)
    found = {}
    for (_kind, place, at, on, state), pairs in sets.items():
        if (on[0] == "vees" and place in centered) or (not state and (place, at, on) in read_again):
            continue
        dial = measured.dials.get(place, usual)
        allowed = most = dial.allowed or making.allowed_runout
        if place[0] == "pin" and dial.allowed is None:
            most = making.pin_runout
        if most is None:
            continue
        one = _judged(place, pairs, dial, min(allowed, most), on[0] == "vees")
        if one.verdict == "out" and most > allowed:
            off = _judged(place, pairs, dial, most, on[0] == "vees")
            askew = _("it may stand askew, or be no farther off than its throw may be")
            one = off if off.verdict == "out" else replace(one, verdict="cannot tell", why=askew)
        found.setdefault(place, []).append(one)
    return tuple(min(several, key=_badness) for several in found.values())


def _badness(one):
    value = 0.0 if one.whole is None else one.whole.value.m_as("um")
    return WORST.index(one.verdict), -value


def _judged(place, pairs, dial, allowed, in_vee):
    angle, reading = np.array(pairs, float).T
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OutOfRangeWarning)  # said by the verdict
            fit = fit_runout(
                Quantity(angle, "deg"),
                Quantity(reading, "um"),
                repeatability=dial.repeatability,
                division=dial.division,
            )
    except ValueError:  # fewer than three marks, or all on a small part of the turn
        why = _("its readings do not go around")
        return PlaceRunout(place, "cannot tell", None, allowed, dial.indicator, why)
    found = runout_verdict(fit, allowed, dial.indicator, dial.support, in_vee)
    whole, why = None, found.sentence
    if not in_vee and fit.swing_expanded is not None:
        whole = runout_budget(fit, dial.indicator, dial.support)
        if not fit.few_marks:
            why = _("its uncertainty reaches over the limit")
    return PlaceRunout(place, found.word, whole, allowed, dial.indicator, why)


def _step(measured):
    """Step to which the dial was read, of whole micrometers or thou and their tenths, or None."""
    sizes = [
        value for row, value in zip(measured.rows, measured.values, strict=True)
        if row.kind == "dial"
    ]  # fmt: skip
    if not sizes:
        return None
    read = Quantity(np.array(sizes, float), "um")
    steps = [finest_step(read.to(unit)) for unit in ("um", "thousandth")]
    return max((one for one in steps if one is not None), default=None)
