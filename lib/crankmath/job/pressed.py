"""What the thrust does at every step between centers, with the spacers then fitted, how much the
step asks for, and how much its last pass adds by warming the work.
"""

from dataclasses import dataclass, replace
from itertools import product
from warnings import catch_warnings, simplefilter

import numpy as np

from ..crank import Crank
from ..cutting import speeds
from ..forces import drive
from ..heat import cooling, expansion, heat_input, warming
from ..language import _, marked, spoken
from ..spacers import center_thrust_limit, holding_thrust, squeeze
from ..spacers.misfits import first_past
from ..units import OutOfRangeWarning, Quantity
from ..wording import ERRORS, limits_shown, shown
from ..workpiece import Step
from ..workpiece.holding import borne, side_loads
from ..workpiece.passes import Passes

END = 19  # moment of the warming at which the pass ends
# finite volumes in each piece of the warmed crank: beside 48 of them its growth is within 0.2 %,
# the rise of a piece within 1 %
CELLS = 8
HASTY = Quantity(15.0, "s")  # nobody stops a lathe sooner to ease its tailstock: own choice


@dataclass(frozen=True)
class Pressed:
    """A step under the tailstock's thrust: what moves, what is allowed, the largest stress.

    ``thrust`` is the answer, or in roughing what holds the work where that is more. ``what`` names
    the movement under it that comes nearest its limit, ``moved`` of ``allowed`` [um]. ``most`` is
    the thrust that uses up the allowed movement, the yield strength or what the center bears, with
    the spacers as the sheet accepts them. ``least`` holds the work on its centers without friction,
    ``scant`` with the friction of a greased center, both at ``where``; None where the forces are
    not known. Least and most have two figures in the job's units, rounded to the safe side.
    """

    step: Step
    what: str
    moved: Quantity
    allowed: Quantity
    stress: Quantity
    most: Quantity
    bends: bool
    thrust: Quantity
    least: Quantity | None
    scant: Quantity | None
    where: str

    @property
    def share(self):
        """Moved over allowed."""
        return (self.moved / self.allowed).m_as("dimensionless")

    @property
    def rough(self):
        return self.step.key.startswith("rough")

    @property
    def room(self):
        """Thrust that warming may add [N], to that which holds the work at least."""
        set_to = self.thrust if self.least is None else max(self.thrust, self.least)
        return max((self.most - set_to).to("N"), Quantity(0.0, "N"))

    def ends(self, units):
        """Texts of the least and the most thrust, each on its side of the thrust that is set."""
        least = self.least or self.thrust
        low, high = limits_shown(least, self.most, "force", units)
        if least < self.thrust < self.most:
            low = limits_shown(least, self.thrust, "force", units)[0]
            high = limits_shown(self.thrust, self.most, "force", units)[1]
        return low, high

    def told(self, units):
        """Text of the thrust, as ``ends`` has it where it is the least that holds the work."""
        if self.thrust == self.least:
            return self.ends(units)[0]
        return shown(self.thrust, "force", units)

    @property
    def holds(self):
        """Whether any thrust holds the work and moves it no more than allowed."""
        return self.least is None or self.least <= self.most


def pressed_steps(work):
    """Every turning step of a job's plan under its thrust.

    A roughing step may move by what is left for finishing, a finished pin tilt over its length by
    the runout allowed and stand off by half of the throw's tolerance, finished mains run out as
    allowed. Basis: ``spacers.squeeze`` on the centers of the step, roughing as the finished crank,
    which is the safe side; stresses nominal; what holds by ``spacers.holding_thrust``.
    """
    return tuple(
        _pressed(work, step) for step in work.plan.steps if step.on == "centers" and step.cuts
    )


def _pressed(work, step):
    given = work.job["thrust"]
    least, scant, where = work.held[step.key]
    force = max(given, least) if least is not None and step.key.startswith("rough") else given
    packs = work.fitted_in(step)
    what, moved, allowed, stress = _moved(work, step, force, packs)
    most = _most(work, step, force, packs)
    if packs and least is not None:
        mains = step.key == "finish_mains"
        held_at = "main" if mains else _throw(step)
        grips = work.gripping_thrust(packs, max(most, least), held_at)
        lows = [(least, where), (grips, _("which grips the shortest spacer"))]
        if mains:
            told = _("below which spacers as accepted leave more runout than is allowed")
            lows.append((work.thrust_band[0], told))
        least, where = max(lows, key=lambda low: low[0])
    try:
        bears = center_thrust_limit(work.allowed_pressure, work.hole.mouth, work.hole.drill)
    except ERRORS:  # no hole has room and bears the thrust: the check of the centers says so
        bears = most
    bends = bool(stress > work.yield_strength)
    return Pressed(
        *(step, what, moved.to("um"), allowed.to("um"), stress, min(most, bears), bends),
        *(force, least, scant, where),
    )


def _throw(step):
    """Throw whose pin a step turns."""
    return int(step.key.rsplit("_", 1)[1]) - 1


def _moved(work, step, force, packs):
    """What moves most beside what is allowed, both, and the largest stress, under a thrust."""
    job, bent = work.job, Quantity(0.0, "MPa")
    rough = step.key.startswith("rough")
    if step.key.endswith("mains"):
        found = squeeze(work.crank, force, packs)
        rows = [(_("runout of the mains"), found.largest_runout, job["allowed_runout"])]
        if rough:
            rows = [(_("offset of the mains"), found.largest_runout / 2, job["finish_allowance"])]
    else:
        throw = _throw(step)
        found = squeeze(work.crank, force, packs, held=throw)
        off = Quantity(float(np.linalg.norm(found.middle_offset.m_as("um"))), "um")
        tilt = found.out_of_parallel[0]
        bent = _mains_bent(work.crank, throw, force)
        rows = [(_("offset of the pin"), off, job["finish_allowance"])]
        if not rough:
            rows = [
                (_("tilt of the pin over its length"), tilt, job["allowed_runout"]),
                (_("offset of the pin"), off, job["throw_tolerance"] / 2),
            ]
    stress = max(found.web_stress.max(), found.pin_stress.max(), bent)
    return *max(rows, key=lambda row: (row[1] / row[2]).m_as("dimensionless")), stress


def _most(work, step, force, packs):
    """Thrust that spends what may move or the yield strength, whichever spacer is accepted."""
    given = Quantity(1.0, "N")  # as long as their gaps, all is in proportion to the thrust

    def spent(thrust, some):
        _unused, moved, allowed, stress = _moved(work, step, thrust, some)
        shares = moved / allowed, stress / work.yield_strength
        return max(one.m_as("dimensionless") for one in shares)

    most = given / max(spent(given, packs), 1e-12)
    if not packs or most <= force:
        return most
    if step.key == "finish_mains":
        return min(most, work.thrust_band[1])
    ways = [
        tuple(replace(one, misfit=each) for one, each in zip(packs, way, strict=True))
        for way in product(work.accepted_misfit, repeat=len(packs))
    ]

    def worst(more):
        return max(spent(force + Quantity(more, "N"), some) for some in ways)

    with catch_warnings():
        simplefilter("ignore", OutOfRangeWarning)  # of thrusts that are only tried
        return min(most, force + Quantity(first_past(worst, 1.0, 1.0, 1e9, 11), "N"))


def held(work, step):
    """Thrust that holds the work at a step without and with friction, and where it is asked for."""
    try:
        cuts = [cut for cut in work.deepest_cuts if cut.step is step]
    except ERRORS:  # no table for this steel and tool: its check says so
        cuts = []
    if not cuts:
        return None, None, ""
    plan, ends = work.plan, work.plan.placed.faced
    arm = Quantity(plan.arm(step), "mm")
    states = [
        borne(one, step.axis, ends, plan.density) for one in (plan.at(step), plan.after(step))
    ]
    found = []
    for cut in cuts:
        dog = drive.dog_force(cut.torque, arm).m_as("N")
        forces = [one.m_as("N") for one in (cut.force, cut.along, cut.passive)]
        spin = cut.spindle_speed.m_as("rad/s") ** 2 / 1000
        radius = cut.diameter.m_as("mm") / 2
        for x in {x for one in step.cuts if one.place == cut.place for x in (one.x0, one.x1)}:
            loads = side_loads(x, radius, ends, *forces, dog)
            for center, load in enumerate(loads):
                load += max(one[center][0] + one[center][1] * spin for one in states)
                found.append((load, forces[1], center, cut.place))
    lows, most = [], None
    for friction in (0.0, drive.GREASED):
        asked = [
            holding_thrust(Quantity(load, "N"), friction).m_as("N") + off
            for load, off, *_unused in found
        ]
        lows.append(Quantity(max(asked), "N"))
        most = most or found[int(np.argmax(asked))]
    center = (marked("headstock"), marked("tailstock"))[most[2]]
    return *lows, _("at the {center}'s center, cutting {most}").format(
        center=_(center), most=spoken(most[3])
    )


def _mains_bent(crank, throw, force):
    """Nominal bending stress of the thinnest main while the thrust acts on a pin's axis: F e /
    W."""
    thinnest = min(main.diameter for main in crank.plain.mains)
    arm = crank.plain.throws[throw].radius
    return Quantity(32 * force.m_as("N") * arm / (np.pi * thinnest**3), "MPa")


@dataclass(frozen=True)
class Warmed:
    """A last pass that warms the finished crank: its step under the thrust, its minutes, the
    ``piece`` that it cuts, the heat that it makes; the crank warmed by it, heat by formula, and by
    one ten times as long; the thrust that a degree adds with the spacers of its step.

    The pass ends at the twentieth moment.
    """

    crank: Crank
    stage: Pressed
    passes: Passes
    minutes: Quantity
    piece: tuple
    made: heat_input.CuttingHeat
    course: warming.Warming
    per_degree: Quantity

    @property
    def grown(self):
        """Mean rise [K] by which the crank would grow as much, at each moment."""
        crank, degree = self.crank, Quantity(1.0, "delta_degC")
        even = expansion.growth(crank.length, degree, crank.steel)
        return self.course.growth.m_as("um") / even.m_as("um")

    @property
    def risen(self):
        """Mean rises at the end of the pass, by rule and by formula."""
        by_rule = (self.made.rule_heat / self.made.shear_heat).m_as("dimensionless")
        return [Quantity(float(self.grown[END] * one), "delta_degC") for one in (by_rule, 1.0)]

    @property
    def added(self):
        """Thrust that they add, by rule and by formula."""
        return [Quantity(float((self.per_degree * one).m_as("N")), "N") for one in self.risen]

    @property
    def until(self):
        """Time in the cut until as much is added as may be, by formula; inf where it never is."""
        added = self.grown * self.per_degree.m_as("N/delta_degC")
        return warming.time_reached(self.course.time, added, self.stage.room.m_as("N"))

    @property
    def asks(self):
        """What the tailstock asks for in this pass: "nothing", a "stop" to ease it, or "all" along,
        since there is no time to stop.
        """
        if self.share <= 1:
            return "nothing"
        return "all" if self.stage.room.magnitude == 0 or self.until < HASTY else "stop"

    @property
    def share(self):
        """Thrust added over what may be added."""
        room = self.stage.room.m_as("N")
        return self.added[1].m_as("N") / room if room else np.inf


def warmed_steps(work):
    """Every turning step of a job's plan that has such a pass, warmed by the longest."""
    film = cooling.coolant(work.job["cooling"]).film
    found = (_warmed(work, stage, film) for stage in work.pressed if work.deepest_cuts)
    return tuple(one for one in found if one)


def _warmed(work, stage, film):
    lasting = []
    for one in stage.step.passes:
        if one.work not in ("rough", "finish"):
            continue
        name, number = one.place.split()[-2:]
        piece = "journal" if name == "main" else "pin", int(number) - 1
        parts, size = ("journals", "length") if name == "main" else ("throws", "pin_length")
        long = getattr(getattr(work.crank, parts)[piece[1]], size)
        minutes = speeds.cutting_time(long, Quantity(one.feed, "mm"), one.speeds[1])
        lasting.append((minutes, one, piece))
    if not lasting:
        return None
    minutes, longest, piece = max(lasting, key=lambda one: one[0])
    cuts = work.rough_cuts if stage.rough else work.last_cuts.values()
    cut = max(
        (one for one in cuts if (one.step, one.place) == (stage.step, longest.place)),
        key=lambda one: one.power,
    )
    made = heat_input.cutting_heat(cut.force, cut.speed, cut.layer, work.crank.steel)
    ends = np.append(np.arange(1, END + 2) / (END + 1), np.linspace(1.2, 10, 45))
    moments = Quantity(ends * minutes.m_as("min"), "min")
    course = warming.warm(work.crank, made.shear_heat, moments, piece, film, cells=CELLS)
    packs = work.fitted_in(stage.step)
    per_degree = expansion.thrust_per_degree(work.crank, packs, thrust=stage.thrust)
    return Warmed(work.crank, stage, longest, minutes, piece, made, course, per_degree)
