"""The traveler of a job: a few pages for the lathe, one row a step, to tick off and fill in."""

import re

from markupsafe import Markup

from crankmath.language import _, spoken
from crankmath.units import Quantity, as_text
from crankmath.wording import shown
from crankmath.workpiece.planning.rules import size_of_bar
from crankmath.workpiece.planning.words import words

from ..pages import rendered
from .steps import steps_or_why
from .windows import difference_doubt, twist_limit
from .work_picture import section_view, side_view

SEE_ABOVE = _("It swings: heed the caution on the first page.")
PICTURED = ("mill", "webs", "ends")
LONG = 80  # letters, from which words are not said twice


def traveler(report, caution):
    """HTML of the traveler: caution, bar, tables of places, the steps, phase and twist readings."""
    job, work, (steps, why) = report.job, report.workings, steps_or_why(report)
    if not steps:
        return Markup("<h2>{}</h2>\n<p>{}</p>").format(_("Traveler"), why)
    plan, units = work.plan, job.units
    rows, said, swinging = [], {}, words()["swinging"]["words"]
    for one in steps:
        drawn = one.step.on == "centers" and one.step.cuts or one.step.key in PICTURED
        number, do = one.number - 1, _but_place(one.step)
        rows.append(
            {
                "of": one,
                "caution": one.step.caution.replace(swinging, SEE_ABOVE).strip(),
                "do": _as_before(do, said) or one.step.do,
                "limits": _limits(one, said),
                "left": one.step.key.startswith(("finish", "rough_pin", "mill")),
                "side": side_view(plan, number, units) if drawn else "",
                "section": section_view(plan, number) if drawn else "",
            }
        )
        said.setdefault(do, one.number)
    throw = report.find("throw")
    labels = (
        *(_("uncertainty of the throw"), _("uncertainty of a difference of two throws")),
        _("uncertainty of an angle"),
    )
    known = [(one.label, one.text(units)) for one in throw.numbers if one.label in labels]
    twist = difference_doubt(report)
    known += [(_("uncertainty of the twist"), shown(twist, "fine", units, 2))] if twist else []
    return rendered(
        "traveler.html",
        name=job.crank.name,
        caution=caution,
        bar=_("{shape} bar {bar}, {steel}").format(
            shape=_(work.bar.shape), bar=size_of_bar(work.bar, units), steel=job.crank.steel
        ),
        length=shown(Quantity(plan.bar["length"], "mm"), "place", units),
        lathe=job["lathe_name"],
        summary=report.summary,
        rows=rows,
        axial=axial_table(work),
        centers=center_places(work),
        phase=phase_rows(work),
        known=known,
        twist=twist_limit(report),
        several=len(job.crank.throws) > 1,
        units_in_words={"mm": _("millimeters"), "in": _("inches")}[units],
    )


def _but_place(step):
    """What is done at a step, the same for every pin."""
    pins = [cut.place for cut in step.cuts if cut.place.startswith("pin ")]
    return step.do.replace(spoken(pins[0]), "…") if pins else step.do


def _as_before(words, said):
    """Which earlier step says these long words; nothing where none does."""
    known = len(words) > LONG and words in said
    return _("As in step {said}.").format(said=said[words]) if known else ""


def _limits(one, said):
    """Limits of a step and its numbers; what an earlier step said at length is named after it."""
    numbers = [] if one.step.key == "centers" else one.step.numbers
    more = [f"{label} {text}" for label, text in numbers]
    found = []
    for text in (*one.limits, *more):
        if one.step.on == "centers" and _("drive it with") in text and text in said:
            text = _("drive it as in step {said}").format(said=said[text])
        elif text in said and (len(text) > LONG or not re.search(r"\d", text)):
            text = _("{text} as in step {said}").format(
                text=" ".join(text.split()[:3]), said=said[text]
            )
        else:
            said.setdefault(text, one.number)
        found.append(text.rstrip("."))
    return found


def axial_table(work):
    """Every shoulder and web face from the datum: part, its begin, its end, its length."""
    placed, units, rows = work.plan.placed, work.units, []
    names = {"journal": "main", "pin": "pin", "web": _("web of throw")}
    for kind, index, x0, x1 in placed.segments:
        rows.append(
            (
                spoken(f"{names[kind]} {index + 1}"),
                *(
                    shown(Quantity(float(x - placed.faced[0]), "mm"), "place", units)
                    for x in (x0, x1)
                ),
                shown(Quantity(float(x1 - x0), "mm"), "place", units),
            )
        )
    return tuple(rows)


def center_places(work):
    """Centers in the frame of the traveler: (axis, toward throw 1, across)."""
    placed, units = work.plan.placed, work.units
    axes = [("main", placed.main)]
    axes += [(f"pin {number}", axis) for number, axis in enumerate(placed.pins, 1)]
    return tuple(
        (spoken(name), *(shown(Quantity(placed.fine(part), "mm"), "place", units) for part in axis))
        for name, axis in axes
    )


def phase_rows(work):
    """Rows to fill in for angle and twist: throws level, heights over each pin at both ends."""
    rows = []
    for number, throw in enumerate(work.crank.throws, 1):
        rows.append((spoken(f"pin {number}"), as_text(throw.angle, "deg"), *("",) * 6))
    return tuple(rows)
