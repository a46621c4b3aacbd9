"""A hidden fault for a class: what is measured is shown, the class votes, then the cover comes
off."""

import random

from crankmath.language import _, marked
from crankmath.units import Quantity, as_text

from ...lesson.finding import Finding
from ...lesson.panel import Choice
from ...lesson.scene import Scene
from ...pictures.proving import fault_picture
from .fault_fit import (
    CAUSES,
    CLEAR,
    FAULTS,
    LEFT,
    NO_FAULT,
    UNITS,
    drawn_bars,
    drawn_crank,
    drawn_readings,
    fits,
    left_by,
    measured,
    odds,
)

CRANK = "pump"
NUMBERS = tuple(f"crank {number}" for number in range(1, 9))
ONE, BOTH, CONE = "main 1", marked("both mains"), marked("mains and the live center's cone")
COVERED, OPEN = "covered", "shown"
LIVE = FAULTS[3]
CONTROLS = (
    Choice("crank", _("Hidden fault of"), NUMBERS, NUMBERS[0]),
    Choice("look", _("Measured"), (ONE, BOTH, CONE), ONE),
    Choice("answer", _("The fault"), (COVERED, OPEN), COVERED),
)
PRESETS = {
    _("Main 1"): {"look": ONE, "answer": COVERED},
    _("Main 2 too"): {"look": BOTH, "answer": COVERED},
    _("The cone too"): {"look": CONE, "answer": COVERED},
    _("Cover off"): {"look": CONE, "answer": OPEN},
}
VOTE = _("What caused it?"), (_("a spacer"), _("left center"), _("right center"), _("live center"))


def hidden(crank):
    """Fault, size and mark of a numbered crank, the same each time; all four kinds come twice."""
    number = NUMBERS.index(crank)
    source = random.Random(1600 + number)
    order = random.Random(16).sample([*FAULTS[:4], *FAULTS[:4]], len(NUMBERS))
    size, toward = source.randrange(10, 21), source.choice((0, 30, 60, 120, 150, 210, 240, 300))
    return order[number], Quantity(float(size), "um"), Quantity(float(toward), "deg")


def items(units, crank, look, answer):
    """Dots of the mains that were measured, bars of what each cause leaves over, the finding; the
    crank as it lies once the cover is off.
    """
    label, unit = UNITS[units]
    scale = Quantity(1.0, "um").m_as(unit)
    fault, size, toward = hidden(crank)
    shapes, readings = measured(fault, size, toward, CRANK)
    whole, mains = shapes, 1 if look == ONE else len(readings)
    shapes, readings = {name: one[:mains] for name, one in shapes.items()}, readings[:mains]
    fitted = fits(shapes, readings)
    chance = odds(fitted, readings.size)
    close = [name for name in CAUSES if chance.get(name, 0.0) > 1 / CLEAR]
    best = max(chance, key=chance.get)
    drawn, left, full = drawn_readings(whole, fitted, best, readings, scale)
    drawn += drawn_bars(whole, left, close, scale)
    if answer == OPEN:
        drawn += drawn_crank(left_by(fault, size, toward, CRANK), full, scale, label)
        return drawn, _uncovered(fault, size, toward, unit)
    return [*drawn, *fault_picture.covered_items()], _covered(fault, size, close, look, unit)


def _covered(fault, size, close, look, unit):
    """What the class knows so far, and what is to be asked of it."""
    explain = _(" or ").join(map(_, close))
    if close == [NO_FAULT]:
        return Finding(
            _("The mains show no fault."), "cannot tell", (_("Measure something else."),)
        )
    lines = [_("Green bars explain the readings: {explain}.").format(explain=explain)]
    if look == CONE:
        shown = 2 * size if fault == LIVE else Quantity(0.0, "um")
        lines.append(
            _("The live center's cone runs out {shown}.").format(shown=as_text(shown, unit, 2))
        )
    elif close == [LEFT]:
        lines.append(_("A live center that runs out leaves the same trace. What would tell?"))
    if look != CONE and (len(close) > 1 or close == [LEFT]):
        return Finding(_("Not told apart yet: what next?"), "cannot tell", tuple(lines))
    lines[0] = _("One green bar is left to read.")  # its name would be the answer
    return Finding(_("Hands up: what caused it, and how much?"), "", tuple(lines))


def _uncovered(fault, size, toward, unit):
    """The hidden fault in words."""
    lines = [_("How near was the class, and what did the last measurement add?")]
    if fault != FAULTS[0]:
        lines.insert(0, _("It points to the {toward:.0f}° mark.").format(toward=toward.m_as("deg")))
    return Finding(f"{_(fault).capitalize()}, {as_text(size, unit, 2)}.", "", tuple(lines))


def paper(units, projector=False):
    """What does not move: charts of two mains and the bars."""
    return fault_picture.fault_paper(UNITS[units][0], CAUSES, projector)


SCENE = Scene(CONTROLS, items, paper, PRESETS, VOTE)
