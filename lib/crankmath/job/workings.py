"""What several checks of a job share, each worked out once: bar, centers, speeds, cuts, forces, squeeze, heat, loads."""

import warnings
from dataclasses import dataclass

import numpy as np

from .. import deflection
from ..blank import layout
from ..crank import steels
from ..crank.mass import mass_properties
from ..cutting import rough_out
from ..cutting import speeds as cutting
from ..cutting.operations import MILLINGS, turning_operations
from ..forces import kienzle
from ..heat import cooling, expansion, heat_input, warming
from ..service import loads as service
from ..service import strength
from ..spacers import misfit_limits, squeeze
from ..units import OutOfRangeWarning, Quantity
from ..wording import ERRORS
from ..workpiece import make_plan, rules
from .pressed import pressed_steps

RODS = 5.0  # throws: length of a rod that was not given, common practice
POINTS = 120  # crank angles in a turn
CELLS = 8  # finite volumes in each piece of the warmed crank: beside 48 its growth is within 0.2 %, the rise of a piece within 1 %


class worked:  # noqa: N801 - stands above functions like a word of the language
    """A value of a job that is worked out once; its warnings and its error come back each time it is asked for."""

    def __init__(self, function):
        self.function, self.name, self.__doc__ = function, function.__name__, function.__doc__

    def __get__(self, work, owner=None):
        if work is None:
            return self
        if self.name not in work.kept:
            value, problem = None, None
            with warnings.catch_warnings(record=True) as said:
                warnings.simplefilter("always", OutOfRangeWarning)
                try:
                    value = self.function(work)
                except ERRORS as error:
                    problem = error
            words = tuple(
                dict.fromkeys(
                    str(one.message) for one in said if issubclass(one.category, OutOfRangeWarning)
                )
            )
            work.kept[self.name] = value, problem, words
        value, problem, words = work.kept[self.name]
        for sentence in words:
            warnings.warn(sentence, OutOfRangeWarning, stacklevel=2)
        if problem is not None:
            raise problem
        return value


@dataclass(frozen=True)
class Cut:
    """One cut: depth, feed, thickness of the layer, speed, force along the speed and square to the work, power at the edge."""

    depth: Quantity
    feed: Quantity
    layer: Quantity
    speed: Quantity
    force: Quantity
    passive: Quantity
    power: Quantity


class Workings:
    """What the checks of one job are made of; each part is worked out when first asked for.

    Parameters
    ----------
    job : job.Job

    Notes
    -----
    Basis: derived; every value is that of the library's function named in the check that shows it.
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

    @property
    def allowed_pressure(self):
        """Pressure that the tailstock's center bears."""
        return rules.allowed_pressure(self.job)

    @worked
    def swung(self):
        """The bar off each center, by the center's name: mass, offset, weight that balances it on the driving plate."""
        right, radius = self.layouts[0], self.job["counterweight_radius"]
        return {
            point.name: layout.turning_balance(right, point.name, self.steel.density, radius)
            for point in right.points
        }

    @worked
    def center_of_pin(self):
        """Name of the center that each throw's pin is turned on."""
        named = {throw: point.name for point in self.layouts[0].points for throw in point.throws}
        return [named[throw] for throw in range(len(self.crank.throws))]

    @worked
    def speeds(self):
        """Shift rows of every turning step, in working order: (step, row)."""
        return tuple((step, row) for step in self.plan.steps for row in step.speeds)

    @worked
    def operations(self):
        """Passes, gear steps and minutes of turning."""
        job = self.job
        return turning_operations(
            self.crank,
            self.bar,
            job.lathe,
            rough_depth=job["rough_depth"],
            rough_feed=job["rough_feed"],
            finish_allowance=job["finish_allowance"],
            finish_feed=job["finish_feed"],
            milled=job["milled"],
            efficiency=job["efficiency"],
        )

    @worked
    def milled(self):
        """What is milled away before turning: (name of the place, block)."""
        gap, main = MILLINGS[self.job["milled"]]
        places = (
            [("gap", "pin", throw, gap) for throw in range(len(self.crank.throws))] if gap else []
        )
        places += (
            [("main", "journal", index, main) for index in range(len(self.crank.journals))]
            if main
            else []
        )
        return tuple(
            (
                f"{word} {index + 1}",
                rough_out.milled_block(self.crank, self.bar, kind, index, shape=shape),
            )
            for word, kind, index, shape in places
        )

    @worked
    def rough_cut(self):
        """Roughing: depth as deep as asked or as the motor drives."""
        job, speed = self.job, cutting.speed_for(self.crank.steel, operation="roughing").speed
        return self._cut(rules.rough_depth(job), job["rough_feed"], speed, "turning")

    @worked
    def last_cut(self):
        """The last cut: all of the thrust pushes square to the work, since the nose is rounder than the cut is deep."""
        return self._cut(
            self.job["last_cut"],
            self.job["finish_feed"],
            cutting.speed_for(self.crank.steel, operation="finishing").speed,
            "grooving",
        )

    def _cut(self, depth, feed, speed, thrust):
        steel, (width, layer) = self.crank.steel, kienzle.chip_section(depth, feed)
        nose = self.job["nose_radius"]
        if (
            depth < nose
        ):  # the arc of the nose cuts: a longer edge, a thinner layer, the same section
            arc = nose * float(np.arccos(1 - (depth / nose).m_as("dimensionless")))
            width, layer = arc, width * layer / arc
        corrections, thinnest = (
            {"cutting_speed": speed, "wear": self.job["wear"]},
            Quantity(kienzle.THICKNESS_RANGE[0], "mm"),
        )
        if layer < thinnest:  # the upper bound for thin chips, corrected as a thicker one would be
            corrected, plain = (
                kienzle.specific_cutting_force(steel, thinnest, **some)
                for some in (corrections, {})
            )
            force = (
                kienzle.thin_chip_force(steel, layer)[1] * width * layer * (corrected / plain)
            ).to("N")
        else:
            force = kienzle.cutting_force(steel, width, layer, **corrections)
        passive = kienzle.force_components(force, thrust).passive
        return Cut(
            depth.to("mm"),
            feed.to("mm"),
            layer.to("mm"),
            speed,
            force,
            passive,
            kienzle.cutting_power(force, speed),
        )

    def setup(self, held):
        """How the work is held for turning the mains ("main") or a throw's pin: spacers stand in every gap that is not being turned."""
        stiff = self.job["center_stiffness"]
        try:
            fitted = tuple(one for one in self.fitted if one.throw != held)
        except ERRORS:
            fitted = ()
        return deflection.Setup(
            held=held,
            left_center=stiff,
            right_center=stiff,
            tool=self.job["tool_stiffness"],
            spacers=fitted,
        )

    @worked
    def spacer_diameter(self):
        """Diameter asked for, or the largest whole one that has room."""
        return rules.spacer_diameter(self.job)

    @worked
    def fitted(self):
        """Spacers as long as their gaps."""
        return rules.spacers(self.job)

    @worked
    def empty_squeeze(self):
        """Squeeze between centers without spacers."""
        return squeeze(self.crank, self.job["thrust"])

    @worked
    def packed_squeeze(self):
        """Squeeze with the spacers as long as their gaps."""
        return squeeze(self.crank, self.job["thrust"], self.fitted)

    @worked
    def pressed(self):
        """Every turning step under the thrust, with the spacers then fitted."""
        return pressed_steps(self)

    @worked
    def misfit_limits(self):
        """Shortest and longest misfit, all spacers alike."""
        return misfit_limits(
            self.crank, self.job["thrust"], self.job["allowed_runout"], self.fitted
        )

    @worked
    def hottest(self):
        """The roughing operation that lasts longest, and the piece that it cuts."""
        rough = [
            one
            for one in self.operations
            if one.name.split()[0] == "rough" and one.name.split()[1] in ("main", "pin")
        ] or list(self.operations)[:1]
        longest = max(rough, key=lambda one: one.time)
        kind, number = longest.name.split()[1:3]
        return longest, ("journal" if kind == "main" else "pin", int(number) - 1)

    @worked
    def heat_made(self):
        """Power of roughing and what of it goes into the work, by rule and by formula."""
        cut = self.rough_cut
        return heat_input.cutting_heat(cut.force, cut.speed, cut.layer, self.crank.steel)

    @worked
    def pass_minutes(self):
        """Minutes of that operation's last pass, when the crank is as slender as it gets."""
        longest, (kind, index) = self.hottest
        length = (
            self.crank.journals[index].length
            if kind == "journal"
            else self.crank.throws[index].pin_length
        )
        return cutting.cutting_time(length, self.job["rough_feed"], longest.fastest)

    @worked
    def warming(self):
        """The finished crank warmed by that pass, heat by formula, and by one ten times as long; the pass ends at the twentieth moment."""
        moments = Quantity(
            np.append(np.arange(1, 21) / 20, np.linspace(1.2, 10, 45))
            * self.pass_minutes.m_as("min"),
            "min",
        )
        return warming.warm(
            self.crank,
            self.heat_made.shear_heat,
            moments,
            self.hottest[1],
            cooling.coolant(self.job["cooling"]).film,
            cells=CELLS,
        )

    @worked
    def thrust_per_degree(self):
        """Thrust that a degree adds between rigid centers."""
        return expansion.thrust_per_degree(self.crank, self.fitted, thrust=self.job["thrust"])

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
        """What works on each throw, or an error that says that nobody knows."""
        job, turned = self.job, Quantity(np.arange(POINTS) * 360.0 / POINTS, "deg")
        if job["machine"] == "not known":
            raise LoadUnknown(
                "what the crank drives was not given: choose a machine, then bore and pressure, or a force"
            )
        found = []
        for throw in self.crank.throws:
            if job["machine"] == "steady force":
                push, angle = job["push"].to("N"), None
            else:
                angle = turned
                if job["machine"] == "liquid pump":
                    pressure = service.pump_pressure(turned, job["pressure"])
                else:
                    pressure = service.compressor_pressure(
                        turned,
                        Quantity(0.0, "MPa"),
                        job["pressure"],
                        job["clearance_share"],
                        throw.radius,
                        self.rod_length,
                    )
                push = service.piston_force(pressure, job["bore"])
            found.append(service.Cylinder(self.rod_length, push, angle, job["moving_mass"]))
        return tuple(found)

    @worked
    def loads(self):
        """Forces over a turn."""
        return service.turn_loads(
            self.crank, self.cylinders, self.job["crank_speed"], points=POINTS
        )

    @worked
    def strength(self):
        """Safety factors of every section."""
        return strength.check_strength(
            self.crank,
            self.loads,
            finish=self.job["finish"],
            reliability=self.job["reliability"],
            ultimate_strength=self.job["tensile_strength"],
            yield_strength=self.job["yield_strength"],
        )

    @worked
    def masses(self):
        """Mass, center, inertia and unbalance of the finished crank."""
        return mass_properties(self.crank)


class LoadUnknown(ValueError):
    """The job does not say what the crank has to bear."""
