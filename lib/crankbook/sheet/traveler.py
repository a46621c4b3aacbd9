"""The traveler of a job: a few pages for the lathe, one row a step, to tick off and fill in."""

import re

from markupsafe import Markup

from crankmath.units import Quantity
from crankmath.wording import shown
from crankmath.workpiece.planning.rules import size_of_bar
from crankmath.workpiece.planning.words import words

from ..pages import rendered
from .steps import (
    axial_table,
    center_places,
    difference_doubt,
    phase_rows,
    printed_steps,
    twist_limit,
    why_no_plan,
)
from .work_picture import section_view, side_view

SEE_ABOVE = "It swings: heed the caution on the first page."
PICTURED = ("mill", "webs", "ends")


def traveler(report, caution):
    """HTML of the traveler: caution, bar, tables of places, the steps, phase and twist readings."""
    job, work, steps = report.job, report.workings, printed_steps(report)
    if not steps:
        return Markup("<h2>Traveler</h2>\n<p>") + why_no_plan(report) + Markup("</p>")
    plan, units = work.plan, job.units
    rows, said, swinging = [], {}, words()["swinging"]["words"]
    for one in steps:
        drawn = one.step.on == "centers" and one.step.cuts or one.step.key in PICTURED
        number = one.number - 1
        rows.append(
            {
                "of": one,
                "caution": one.step.caution.replace(swinging, SEE_ABOVE).strip(),
                "do": f"As in step {said[one.step.do]}." if one.step.do in said else one.step.do,
                "limits": _limits(one, said),
                "left": one.step.key.startswith(("finish", "rough_pin", "mill")),
                "side": side_view(plan, number, units) if drawn else "",
                "section": section_view(plan, number) if drawn and one.step.key != "ends" else "",
            }
        )
        said.setdefault(one.step.do, one.number)
    throw = report.find("throw")
    known = [
        (one.label, one.text(units)) for one in throw.numbers if one.label.startswith("uncertainty")
    ]
    twist = difference_doubt(report)
    known += [("uncertainty of the twist", shown(twist, "fine", units, 2))] if twist else []
    return rendered(
        "traveler.html",
        name=job.crank.name,
        caution=caution,
        bar=f"{work.bar.shape} bar {size_of_bar(work.bar, units)}, {job.crank.steel}",
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
        units_in_words={"mm": "millimeters", "in": "inches"}[units],
    )


def _limits(one, said):
    """Limits of a step and its numbers; what an earlier step said at length is named after it."""
    numbers = [] if one.step.key == "centers" else one.step.numbers
    more = [f"{label} {text}" for label, text in numbers]
    found = []
    for text in (*one.limits, *more):
        if one.step.on == "centers" and "drive it with" in text and text in said:
            text = f"drive it as in step {said[text]}"
        elif one.step.on == "centers" and text in said and not re.search(r"\d", text):
            text = f"{' '.join(text.split()[:3])} as in step {said[text]}"
        else:
            said.setdefault(text, one.number)
        found.append(text.rstrip("."))
    return found
