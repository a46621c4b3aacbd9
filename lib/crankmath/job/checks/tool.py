"""Checks of the tools: the pin tool's blade, the stock left in the corner."""

import numpy as np

from ...cutting import passes
from ...cutting.blade import ToolSection, tool_bending
from ...language import _
from ...units import Quantity
from ...wording import least_shown
from ..verdicts import Found, Number, by_share, check, shown, worst

CLOSE = Quantity(1.0, "mm")  # between holder and swinging work: own choice
DIG_IN = 0.1  # of the finishing allowance: own choice
# half of what a shank or blade of tool steel yields at, since corners strike it: from memory
BLADE_BEARS = Quantity(500.0, "MPa")


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
        Number(
            _("{name}: reach needed").format(name=step.name),
            Quantity(step.tool["reach_needed"], "mm"),
            "length",
        )
        for step in plan.steps
        if step.tool
    ]
    numbers += [
        Number(_("blade stands out"), reach, "length"),
        Number(_("reach needed"), needed, "length"),
        Number(_("reach to spare"), spare, "room"),
        Number(_("room to each web"), side, "room"),
        Number(_("edge sinks while roughing"), bent.down, "fine"),
        Number(_("edge digs into the work"), bent.dig_in, "fine"),
        Number(_("stress in the blade"), bent.stress, "stress"),
        Number(_("stress that it bears"), BLADE_BEARS, "stress"),
    ]
    if spare.magnitude < 0 or side.magnitude <= 0:
        bad = (
            _("as wide as the gap")
            if spare.magnitude >= 0
            else (_("too short by ") + shown(-spare, "length", units, 2))
        )
        return Found(
            "not fine",
            _(
                "The pin tool's blade is {bad}: the work would strike the holder or the blade."
            ).format(bad=bad),
            tuple(numbers),
        )
    left = job["finish_allowance"]
    deep = by_share((bent.dig_in / left).m_as("dimensionless"), DIG_IN, 1.0)
    strained = by_share((bent.stress / BLADE_BEARS).m_as("dimensionless"), 0.5, 1.0)
    words = {
        "fine": _("which does no harm"),
        "look": _("which is much of the finishing allowance"),
        "not fine": _("more than the {left} left for finishing").format(
            left=shown(left, "length", units)
        ),
    }[deep]
    if strained != "fine":
        words += _(", and stresses the blade to {stress}, where it bears {bears}").format(
            stress=shown(bent.stress, "stress", units), bears=shown(BLADE_BEARS, "stress", units)
        )
    if worst(deep, strained) != "fine":
        words += _(": a higher or shorter blade, or lighter cuts")
    return Found(
        worst(deep, strained, "look" if spare < CLOSE else "fine"),
        _(
            "The blade clears the work as it then stands with {spare} to spare, {side} from each "
            "web; roughing digs its edge in by {dig_in}, {words}."
        ).format(
            spare=shown(spare, "length", units, 2),
            side=shown(side, "length", units, 2),
            dig_in=shown(bent.dig_in, "fine", units, 2),
            words=words,
        ),
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
        return Found("not fine", _("A fillet is zero: a sharp corner cracks; give it a radius."))
    left = [
        passes.corner_stock(Quantity(arc, "mm"), job["rough_nose"], job["finish_allowance"])
        for arc in arcs
    ]
    least = min((one.middle for one in left), key=lambda one: one.magnitude)
    needed = max(
        arc - job["finish_allowance"].m_as("mm") * np.sqrt(2) / (np.sqrt(2) - 1) for arc in arcs
    )
    numbers = (
        Number(_("largest fillet"), Quantity(arcs[-1], "mm"), "length"),
        Number(_("nose radius of the roughing tool"), job["rough_nose"], "length"),
        Number(_("stock in the middle of the arc"), least, "length"),
        Number(_("least nose radius"), Quantity(max(needed, 0.0), "mm"), "length"),
    )
    if least.magnitude < 0:
        return Found(
            "look",
            _(
                "Fed right into the corner, the roughing tool cuts {least} into the fillet: stop "
                "short of the web, or round its nose to {needed} or more."
            ).format(
                least=shown(abs(least), "length", units, 2),
                needed=least_shown(Quantity(needed, "mm"), "length", units),
            ),
            numbers,
        )
    return Found(
        "fine",
        _("The roughing tool leaves {least} in the middle of the arc for the fillet tool.").format(
            least=shown(least, "length", units, 2)
        ),
        numbers,
    )
