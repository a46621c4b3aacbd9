"""Checks of the tools: the pin tool's blade, the stock left in the corner."""

import numpy as np

from ...cutting import passes
from ...cutting.blade import ToolSection, tool_bending
from ...units import Quantity
from ..verdicts import Found, Number, check, shown

CLOSE = Quantity(1.0, "mm")  # between holder and swinging work: own choice
DIG_IN = 0.1  # of the finishing allowance: own choice


@check("tool")
def check_tool(work):
    job, units, plan = work.job, work.units, work.plan
    steps = [step for step in plan.steps if step.tool and "_pin_" in step.key]
    reach, needed = (
        Quantity(max(step.tool[key] for step in steps), "mm") for key in ("reach", "reach_needed")
    )
    thick, gap = max(job["blade_thickness"], job["edge_width"]), _narrowest_gap(work)
    spare, side = reach - needed, (gap - thick) / 2
    bent = tool_bending(
        ToolSection(reach, job["blade_thickness"], job["blade_height"]),
        max(cut.force for cut in work.rough_cuts),
    )
    numbers = [
        Number(f"{step.name}: reach needed", Quantity(step.tool["reach_needed"], "mm"), "length")
        for step in plan.steps
        if step.tool
    ]
    numbers += [
        Number("blade stands out", reach, "length"),
        Number("reach needed", needed, "length"),
        Number("reach to spare", spare, "room"),
        Number("room to each web", side, "room"),
        Number("edge sinks while roughing", bent.down, "fine"),
        Number("edge digs into the work", bent.dig_in, "fine"),
        Number("stress in the blade", bent.stress, "stress"),
    ]
    if spare.magnitude <= 0 or side.magnitude <= 0:
        bad = (
            "as wide as the gap"
            if spare.magnitude > 0
            else ("too short by " + shown(-spare, "length", units, 2))
        )
        return Found(
            "not fine",
            f"The pin tool's blade is {bad}: the work would strike the holder or the blade.",
            tuple(numbers),
        )
    close, deep = spare < CLOSE, bent.dig_in > DIG_IN * job["finish_allowance"]
    words = (
        "which is much of the finishing allowance: a higher or shorter blade, or lighter cuts"
        if deep
        else "which does no harm"
    )
    return Found(
        "look" if deep or close else "fine",
        f"The blade clears the work as it then stands with {shown(spare, 'length', units, 2)} to "
        f"spare, {shown(side, 'length', units, 2)} from each web; roughing digs its edge in by "
        f"{shown(bent.dig_in, 'fine', units, 2)}, {words}.",
        tuple(numbers),
    )


def _narrowest_gap(work):
    """Narrowest gap that a pin is roughed in, with the stock on its walls."""
    cuts = [
        cut
        for step in work.plan.steps
        if step.tool and "_pin_" in step.key
        for cut in step.cuts
        if cut.place.startswith("pin")
    ]
    return Quantity(min(cut.x1 - cut.x0 for cut in cuts), "mm")


@check("corner")
def check_corner(work):
    job, units = work.job, work.units
    arcs = sorted(
        {round(part.fillet.m_as("mm"), 9) for part in (*work.crank.journals, *work.crank.throws)}
    )
    if arcs[0] == 0:
        return Found("not fine", "A fillet is zero: a sharp corner cracks; give it a radius.")
    left = [
        passes.corner_stock(Quantity(arc, "mm"), job["rough_nose"], job["finish_allowance"])
        for arc in arcs
    ]
    least = min((one.middle for one in left), key=lambda one: one.magnitude)
    needed = max(
        arc - job["finish_allowance"].m_as("mm") * np.sqrt(2) / (np.sqrt(2) - 1) for arc in arcs
    )
    numbers = (
        Number("largest fillet", Quantity(arcs[-1], "mm"), "length"),
        Number("nose radius of the roughing tool", job["rough_nose"], "length"),
        Number("stock in the middle of the arc", least, "length"),
        Number("least nose radius", Quantity(max(needed, 0.0), "mm"), "length"),
    )
    if least.magnitude < 0:
        return Found(
            "look",
            "Fed right into the corner, the roughing tool cuts "
            f"{shown(abs(least), 'length', units, 2)} into the fillet: stop short of the web, or "
            f"round its nose to {shown(Quantity(needed, 'mm'), 'length', units, 2)} or more.",
            numbers,
        )
    return Found(
        "fine",
        f"The roughing tool leaves {shown(least, 'length', units, 2)} in the middle of the arc for "
        "the fillet tool.",
        numbers,
    )
