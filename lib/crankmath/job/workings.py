"""What several checks of a job share, each worked out once: from its bar to its loads."""

from dataclasses import dataclass
from functools import partial

import numpy as np

from .. import chatter, service
from ..blank import layout
from ..crank import steels
from ..crank.mass import throw_unbalance
from ..cutting import speeds as cutting
from ..cutting.rough_out import MILLINGS
from ..forces import drive, edge, kienzle
from ..language import _
from ..service import strength
from ..units import Quantity
from ..wording import ERRORS
from ..workpiece import Step, bending, make_plan, shifts
from ..workpiece.passes import DIALS
from ..workpiece.planning import rules
from . import machine
from .fields import BANKS
from .once import worked
from .pressed import held, pressed_steps, warmed_steps
from .spacer_fit import SpacerWorkings

RODS = 5.0  # throws: length of a rod that was not given, common practice
TIGHT = 2.0  # least window of misfit over the uncertainty of a length: own choice
POINTS = 120  # crank angles in a turn


@dataclass(frozen=True)
class Cut:
    """A turning cut at a step of the plan, with the nose and edge of its tool.

    ``diameter`` is where it begins, ``least_force`` and ``force`` along the speed and
    ``least_passive`` and ``passive`` square to the work are apart where the chip is thin; ``along``
    is the larger of feed and passive force, which lies along the work at a web's face; ``left`` is
    the power that the drive leaves at the edge.
    """

    step: Step
    work: str
    place: str
    depth: Quantity
    feed: Quantity
    nose: Quantity
    layer: Quantity
    diameter: Quantity
    spindle_speed: Quantity
    speed: Quantity
    force: Quantity
    passive: Quantity
    least_force: Quantity
    least_passive: Quantity
    along: Quantity
    left: Quantity

    @property
    def power(self):
        """Power that the cut asks at the edge."""
        return kienzle.cutting_power(self.force, self.speed)

    @property
    def share(self):
        """Power asked over power left; torques are in the same proportion."""
        return (self.power / self.left).m_as("dimensionless")

    @property
    def torque(self):
        """Torque that the cut asks of the spindle."""
        return drive.drive_torque(self.force, self.diameter)


class Workings(SpacerWorkings):
    """What the checks of one job are made of; each part is worked out when first asked for.

    Every value is that of the library's function named in the check that shows it.
    """

    def __init__(self, job):
        self.job, self.crank, self.units, self.kept = job, job.crank, job.units, {}
        self.steel = steels.find(job.crank.steel)

    @worked
    def smallest_bar(self):
        """Smallest bar of the wanted shape that holds the crank with its allowances."""
        return rules.smallest_bar(self.job)

    @worked
    def bar(self):
        """The bar at hand, or the next stock size."""
        return rules.bar_for(self.job, self.smallest_bar)

    @worked
    def layouts(self):
        """Centers on the right-hand and on the left-hand end face."""
        return rules.layouts(self.crank, self.bar)

    @worked
    def hole(self):
        """Center hole for the bar and the thrust."""
        return rules.center_hole(self.job, self.layouts[0])

    @worked
    def plan(self):
        """The order of work, every step for the work as it then stands."""
        return make_plan(self.job)

    @worked
    def milling_balances(self):
        """Whether the stand bears the work at every step once all is milled that may be."""
        milled = make_plan(self.job.typed("milled", tuple(MILLINGS)[-1]))
        return all(row.set_by != "balanced" for step in milled.steps for row in step.speeds)

    @property
    def allowed_pressure(self):
        """Pressure that the tailstock's center bears."""
        return rules.allowed_pressure(self.job)

    @worked
    def swung(self):
        """The bar off each center, by the center's name: mass, offset, weight that balances it."""
        right, radius = self.layouts[0], self.job["counterweight_radius"]
        return {
            point.name: layout.turning_balance(right, point.name, self.steel.density, radius)
            for point in right.points
        }

    @worked
    def speeds(self):
        """Shift rows of every turning step, in working order: (step, row)."""
        return tuple((step, row) for step in self.plan.steps for row in step.speeds)

    @worked
    def passes(self):
        """Passes, gear steps and minutes of the plan's turning."""
        return tuple(one for step in self.plan.steps for one in step.passes)

    @worked
    def rough_cuts(self):
        """Roughing cuts of the plan, a row of its shift tables each, in working order."""
        return self._cuts(("walls", "rough"), rules.rough_tool(self.job))

    @worked
    def rough_cut(self):
        """The roughing cut that is hardest on the drive."""
        return max(self.rough_cuts, key=lambda cut: cut.share)

    @worked
    def pushed(self):
        """Force on the dog's tail or the driving bolt, and the roughing cut, for each of these."""
        arms = [Quantity(self.plan.arm(cut.step), "mm") for cut in self.rough_cuts]
        return tuple(
            (drive.dog_force(cut.torque, arm), cut)
            for cut, arm in zip(self.rough_cuts, arms, strict=True)
        )

    @worked
    def bolt_reach(self):
        """How far from the end face the driving bolt may be pushed; None where none drives, or the
        force is unknown.
        """
        try:
            forces = [force for force, cut in self.pushed if cut.step.driven.by == "bolt"]
            return drive.bolt_reach(max(forces), Quantity(self.plan.bolt_size, "mm"))
        except ERRORS:
            return None

    @worked
    def bending_cuts(self):
        """Last roughing cut of each place, with the largest nominal stress in the work then."""
        done, found = [], []
        for step in self.plan.steps:
            for cut in step.cuts if step.on == "centers" else ():
                done.append(cut)
                stress = bending.stress_under(self.plan.placed, done)
                rows = self._rough_rows(step, cut.place)
                if stress and rows:
                    forces = rows[-1].force.m_as("N"), rows[-1].passive.m_as("N")
                    found.append((rows[-1], Quantity(stress(*forces), "MPa")))
        return found

    @property
    def bent(self):
        """The roughing cut that bends the work most, with the stress in it."""
        nothing = self.rough_cut, Quantity(0.0, "MPa")
        return max([nothing, *self.bending_cuts], key=lambda one: one[1])

    @property
    def thinned(self):
        """Where roughing passes are thinnest, if thinner than asked: the cut that is hardest on the
        drive there, and the stress in the work; else None.
        """
        passes = (one for one in self.rough_cuts if one.work == "rough")  # a wall may be thinner
        thin = min(passes, key=lambda one: one.depth)
        if thin.depth >= self.job["rough_depth"] * (1 - 1e-9):
            return None
        here = self._rough_rows(thin.step, thin.place)
        stresses = [stress for one, stress in self.bending_cuts if one in here]
        return max(here, key=lambda one: one.share), *(stresses or [Quantity(0.0, "MPa")])

    def _rough_rows(self, step, place):
        return [one for one in self.rough_cuts if (one.step, one.place) == (step, place)]

    @property
    def yield_strength(self):
        """Of the crank's steel, as given or of the table."""
        return rules.yield_strength(self.job)

    @worked
    def last_cuts(self):
        """The last cut at each main and pin, by the name of its place."""
        return {cut.place: cut for cut in self._cuts(("finish",), self._finishing)}

    @worked
    def deepest_cuts(self):
        """Cuts of all shift rows, those of finishing as deep as the deepest pass there."""
        try:
            roughing = self.rough_cuts
        except ERRORS:  # nothing to rough: no cut of finishing says why as well
            roughing = ()

        def depth_of(step, row):
            passes = (one for one in step.passes if (one.place, one.work) == (row.place, row.work))
            return max((deep for one in passes for deep in one.depths), default=row.depth)

        return *roughing, *self._cuts(("face", "finish"), self._finishing, depth_of)

    @property
    def _finishing(self):
        sharp = {
            "feed": rules.feed(self.job, "finish_feed"),
            "nose_radius": self.job["nose_radius"],
        }
        return rules.rough_tool(self.job) | sharp

    def cut_to_size(self, place, depth, **tool):
        """Cut that brings a main or pin to size in one pass of a depth, with the tool of the plan
        for such a pass: that of finishing where no more is left for it, to half a division of the
        dial.

        ``tool`` takes the place of what the job answers.
        """
        half = Quantity(DIALS[self.units] / 2, "mm")
        last = depth <= self.job["finish_allowance"] + half
        usual = self._finishing if last else rules.rough_tool(self.job)
        row = self.row_to_size(place, depth, "finish" if last else "rough")
        return self._made([row], depth, usual | tool)[0]

    def row_to_size(self, place, depth, work):
        """Step of the plan that does this "rough" or "finish" work at a main or pin, and the shift
        row of a pass of a depth there that leaves it to size.

        The spindle speed is that of ``shifts.shift`` for the diameter where the pass begins, under
        the blows and the unbalance of the plan's row that holds there.
        """
        kind, number = place.split()
        part = (
            self.crank.journals[int(number) - 1].diameter
            if kind == "main"
            else self.crank.throws[int(number) - 1].pin_diameter
        )
        begun, job = (part + 2 * depth).m_as("mm"), self.job
        rows = [one for one in self.speeds if (one[1].place, one[1].work) == (place, work)]
        if not rows:
            raise ValueError(_("the plan has no such cut: there is nothing to turn off"))
        held = [one for one in rows if one[1].diameter >= begun * (1 - 1e-9)]
        step, row = held[-1] if held else rows[0]
        table = partial(shifts.table_speed, self.crank.steel, job["tool"], job["hardness"])
        operation = {"rough": "roughing", "finish": "finishing"}[work]
        return step, shifts.shift(
            *(place, work, begun, table, operation, row.interrupted),
            *(sorted(job["gear_table"]), row.limit, depth.m_as("mm")),
        )

    def _cuts(self, kinds, tool, depth_of=lambda _unused, row: row.depth):
        """Cuts of the shift rows of some kinds of work."""
        found, rows_of = [], {}
        for step in self.plan.steps:
            for row in step.speeds:
                if row.work in kinds:
                    of = step.key, depth_of(step, row)
                    rows_of.setdefault(of, []).append((step, row))
        for (_unused, deep), rows in rows_of.items():
            found += self._made(rows, Quantity(deep, "mm"), tool)
        if not found:  # no table for this steel and tool: in the words of the tables
            cutting.speed_for(self.crank.steel, self.job["tool"], hardness=self.job["hardness"])
            raise ValueError(_("the plan has no such cut: there is nothing to turn off"))
        return tuple(found)

    def _made(self, rows, depth, tool):
        """Cuts of one depth, for shift rows with their steps."""
        rpm, diameter, speed = (
            Quantity(np.array([getattr(row, name) for _unused, row in rows]), unit)
            for name, unit in (
                ("rpm", "rpm"),
                ("diameter", "mm"),
                ("surface_speed_m_min", "m/min"),
            )
        )
        made = edge.turning_forces(self.crank.steel, depth, cutting_speed=speed, **tool)
        left = drive.power_at_edge(self.job.lathe, rpm)
        columns = (
            *(diameter, rpm, speed, made.upper.cutting, made.upper.passive),
            *(made.lower.cutting, made.lower.passive),
            *(np.maximum(made.upper.feed, made.upper.passive), left),
        )
        sizes = depth, tool["feed"].to("mm"), tool["nose_radius"], made.edge.thickness.to("mm")
        return [
            Cut(step, row.work, row.place, *sizes, *(one[place] for one in columns))
            for place, (step, row) in enumerate(rows)
        ]

    def setup(self, held):
        """How the work is held for finishing the mains ("main") or a throw's pin, with the spacers
        that then stand in their gaps.
        """
        key = "finish_mains" if held == "main" else f"finish_pin_{held + 1}"
        try:
            step = next(one for one in self.plan.steps if one.key == key)
            fitted = self.fitted_in(step)
        except (*ERRORS, StopIteration):
            fitted = ()
        return chatter.machine_setup(self.job.lathe, held, fitted, tool=True)

    @worked
    def held(self):
        """Thrust that holds each turning step, as ``pressed.held``, by its key."""
        return {
            step.key: held(self, step)
            for step in self.plan.steps
            if step.on == "centers" and step.cuts
        }

    @worked
    def pressed(self):
        """Every turning step under the thrust, with the spacers then fitted."""
        return pressed_steps(self)

    @worked
    def warmed(self):
        """How the last pass of every turning step warms the work."""
        return warmed_steps(self)

    @property
    def most_thrust(self):
        """Thrust of the step that is pressed most; None where what the cuts ask is unknown."""
        try:
            return max(one.thrust for one in self.pressed if self.deepest_cuts)
        except ERRORS:
            return None

    @property
    def askew(self):
        """How far a pin's axis may be askew over its length, either way."""
        return self.job["allowed_runout"] / 2**0.5

    @worked
    def rod_length(self):
        """Rod as given, or five of the longest throw."""
        return (
            RODS * max(one.radius for one in self.crank.throws)
            if self.job["rod_length"] is None
            else self.job["rod_length"]
        )

    @worked
    def cylinders(self):
        """Rods that work on each throw, in their banks, or an error where the loads are unknown."""
        lines = [
            [bank * self.job["bank_angle"] for bank in self.banks_of(place)]
            for place in range(len(self.crank.throws))
        ]
        return machine.cylinders(self.job, self.crank, self.rod_length, lines, POINTS)

    def banks_of(self, place):
        """Bank, 0 or 1, of each rod on a throw."""
        return {BANKS[0]: (0,), BANKS[1]: (place % 2,), BANKS[2]: (0, 1)}[self.job["banks"]]

    @worked
    def counterweights(self):
        """Counterweights that the crank wants, with all rods on a pin."""
        return rules.counterweights(self.job)

    @worked
    def loads(self):
        """Forces over a turn, with what turns and the counterweights where they are fitted."""
        own = throw_unbalance(self.crank)
        if self.job["counterweights"] != "none":
            own = own - self.counterweights.given
        return service.turn_loads(
            self.crank, self.cylinders, self.job["crank_speed"], points=POINTS, unbalance=own
        )

    @worked
    def strength(self):
        """Safety factors of every section."""
        held = machine.fixing(self.job, self.crank)
        whole = strength.places(self.crank, self.job["tensile_strength"]) if held else ()
        return strength.check_strength(
            self.crank,
            self.loads,
            looked_at=(*whole, *held) or None,
            finish=self.job["finish"],
            reliability=self.job["reliability"],
            ultimate_strength=self.job["tensile_strength"],
            yield_strength=self.job["yield_strength"],
        )
