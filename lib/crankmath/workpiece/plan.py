"""A plan: the bar and its steps in order, and the work at every one of them."""

from dataclasses import asdict, dataclass, field
from functools import cached_property
from math import dist, hypot, pi, sqrt

from ..blank import locked_in_stress
from ..blank.bar import Bar
from ..crank import steels
from ..language import _
from ..units import Quantity
from . import release
from .holding import Driven, room
from .placing import Placed
from .shifts import balance_limit
from .work import Piece, Work

BAR_SHARE = 0.5  # of the least stock that a bar off its size may spend; depths and centers need
# the rest: own choice


@dataclass(frozen=True)
class Step:
    """A step: a named group of cuts, how the work is held, and all that is needed to do it.

    ``on`` is "centers", "mill" or "bench", ``axis`` the centers (y, z) it turns on. ``numbers`` are
    rows of label and text, ``passes`` are those of every cut. ``fitted`` names the throws whose
    spacers stand in their gaps, ``trouble`` what cannot be done as the job stands, ``marks`` places
    along the bar to read with an indicator, each by the name of its main.
    """

    key: str
    name: str
    on: str
    axis: tuple | None = None
    cuts: tuple = ()
    tool: dict | None = None
    driven: Driven | None = None
    speeds: tuple = ()
    feed: float | None = None
    passes: tuple = ()
    do: str = ""
    limits: tuple = ()
    check: str = ""
    caution: str = ""
    why: str = ""
    numbers: tuple = ()
    slots: tuple = ()
    fitted: tuple = ()
    trouble: tuple = ()
    marks: tuple = ()

    def as_dict(self):
        """The step as the sheet's JSON holds it."""
        return {
            "name": self.name,
            "key": self.key,
            "held": {"on": self.on, "axis": self.axis and list(self.axis)},
            "cuts": [cut.as_dict() for cut in self.cuts],
            "speeds": [row.as_dict() for row in self.speeds],
            "tool": self.tool,
            "driven": self.driven and self.driven.as_dict(),
            "feed": self.feed,
            "passes": [one.as_dict() for one in self.passes],
            "do": self.do,
            "limits": list(self.limits),
            "check": self.check,
            "caution": self.caution,
            "why": self.why,
            "numbers": [list(row) for row in self.numbers],
            "slots": [asdict(one) for one in self.slots],
            "spacers": list(self.fitted),
            "trouble": list(self.trouble),
            "marks": [list(mark) for mark in self.marks],
        }


@dataclass(frozen=True)
class Plan:
    """The bar and its steps in order; ``at(step)`` is the work before a step, ``finished`` the work
    after all of them.

    A step is named by its place in ``steps``, by its name, by its key where only one has it, or is
    the step itself. ``stock`` is the bar that was chosen, ``placed`` the crank in it;
    ``bolt`` the place of a driving bolt in the left end face, ``bolt_size`` its diameter [mm].
    """

    stock: Bar
    placed: Placed
    steps: tuple
    lathe: dict
    agreement: tuple = ()
    counterweight_radius: float = field(default=60.0, repr=False)
    bolt: tuple | None = None
    bolt_size: float = 0.0

    @property
    def bar(self):
        """The bar as the sheet's JSON holds it: shape, sizes, length [mm], turn [deg]."""
        return self.placed.bar

    @cached_property
    def works(self):
        """The work before each step, and after the last."""
        found = [sawn_bar(self.placed)]
        for step in self.steps:
            work = found[-1]
            for cut in step.cuts:
                work = cut.applied(work)
            found.append(work)
        return tuple(found)

    @property
    def finished(self):
        """The work after the last step."""
        return self.works[-1]

    @cached_property
    def bar_off(self):
        """How far [mm] the sizes of the bar may measure under and over those of this plan.

        Basis: derived. Centers are set from two tangents or sides, depths from the skin across from
        them: in a bar that is 1 under, that skin is 1 nearer, and a round one's 1.2 on the slant.
        Over it is held by the room in the lathe and the reach of the blades.
        """
        placed, round_bar = self.placed, self.bar["shape"] == "round"
        corners = (one for throw in range(len(placed.webs)) for one in placed.web_corners(throw))
        ring = min(map(placed.bar_section.whole_ring, corners)) - self.stock.bow.m_as("mm")
        spares = [ring / ((1 + sqrt(2)) / 2 if round_bar else 1.0)]
        for cut in (cut for step in self.steps if step.slots for cut in step.cuts):
            slant = sum(map(abs, cut.normal))
            spares.append(cut.stock / (((1 if round_bar else slant) + slant) / 2))
        rooms = []
        for step in (step for step in self.steps if self.room(step)):
            rooms += [self.room(step)[one] for one in ("over_bed", "over_carriage")]
            rooms.append(step.tool["reach"] - step.tool["reach_needed"])
        over = min(rooms, default=0.0) / ((1 + sqrt(2)) / 2 if round_bar else sqrt(2))
        return max(BAR_SHARE * min(spares), 0.0), max(over, 0.0)

    @cached_property
    def crank(self):
        """The crank as drawn, in the frame of the work, exact."""
        return self.placed.finished()

    def number(self, step):
        """Place of a step in the plan."""
        if isinstance(step, int) and not isinstance(step, bool):
            if not 0 <= step < len(self.steps):
                raise ValueError(
                    _("step must be from 0 to {count}, not {step}").format(
                        count=len(self.steps) - 1, step=step
                    )
                )
            return step
        for field_name in ("", "name", "key"):
            found = [
                number
                for number, one in enumerate(self.steps)
                if (one if not field_name else getattr(one, field_name)) == step
            ]
            if found:
                return found[0]
        names = ", ".join(one.key for one in self.steps)
        raise ValueError(
            _("step must be one of {names}, not {step!r}").format(names=names, step=str(step)[:60])
        )

    def at(self, step):
        """The work before a step."""
        return self.works[self.number(step)]

    def after(self, step):
        """The work after a step."""
        return self.works[self.number(step) + 1]

    @property
    def density(self):
        """Of its steel [kg/mm3]."""
        return steels.find(self.placed.crank.steel).density.m_as("kg/mm**3")

    def unbalance(self, step):
        """Most mass times offset [kg mm] about the axis of a step, before and after it; and the
        speed [rpm] that it allows.
        """
        one = self.steps[self.number(step)]
        if one.axis is None:
            return 0.0, float("inf")
        most = max(
            hypot(*work.unbalance(one.axis, self.density))
            for work in (self.at(step), self.after(step))
        )
        return most, balance_limit(most, self.lathe["unbalance_force"])

    def counterweight(self, step):
        """Mass [kg] on the driving plate that balances the work at a step."""
        return self.unbalance(step)[0] / self.counterweight_radius

    def arm(self, step):
        """How far from the axis of a step what drives it pushes [mm]: a dog's tail in the slot that
        takes the counterweight too, a bolt where it stands.
        """
        one = self.steps[self.number(step)]
        bolted = self.bolt and one.driven.by == "bolt"
        return dist(self.bolt, one.axis) if bolted else self.counterweight_radius

    def room(self, step):
        """Swing of the work about the axis of a step, and room over bed and carriage [mm]; None
        where nothing turns.
        """
        one = self.steps[self.number(step)]
        if one.axis is None or not one.cuts:
            return None
        return room(self.at(step), one.axis, one.cuts, one.driven, self.lathe)

    def reaches(self, step):
        """How far the blade has to stand out for each turning cut of a step [mm], by the cut's
        place.
        """
        work, found = self.at(step), {}
        for cut in self.steps[self.number(step)].cuts:
            if hasattr(cut, "radius"):
                needed = work.reach_needed(cut.axis, cut.radius, cut.x0, cut.x1)
                found[cut.place] = max(needed, found.get(cut.place, 0.0))
            work = cut.applied(work)
        return found

    def taken(self, on):
        """Volume [mm3] cut away between "centers", or on the "mill" or by hand once they are
        drilled; the ends are not counted.
        """
        off = {"face", "ends"}
        return sum(
            before.volume() - after.volume()
            for step, before, after in zip(self.steps, self.works, self.works[1:], strict=False)
            if step.key not in off and (step.on == "centers") == (on == "centers")
        )

    def contacts(self, step):
        """First contact of each turning cut of a step: radius, place along the axis, and the share
        of a turn in metal once the first pass is half its depth in, by the cut's place.
        """
        work, found, one = self.at(step), {}, self.steps[self.number(step)]
        deep = {row.place: row.depth for row in one.speeds}
        for cut in one.cuts:
            if hasattr(cut, "radius"):
                radius, x = work.first_contact(cut.axis, cut.x0, cut.x1)
                inner = max(radius - deep.get(cut.place, 0.0) / 2, cut.radius)
                found.setdefault(cut.place, (radius, x, work.share(cut.axis, inner, x)))
            work = cut.applied(work)
        return found

    def bows(self, condition=None):
        """Bow after each step by release of the stress of all pieces released so far: (low, usual,
        high) [mm], one a step.

        The bar is taken straight before the first cut; what later cuts turn true again is not
        subtracted. The last steps have no bar left between centers and repeat the last that has.
        """
        steel = steels.find(self.placed.crank.steel)
        stresses = [
            one.m_as("MPa") for one in locked_in_stress.surface_stress(steel.name, condition)
        ]
        modulus = steel.elastic_modulus.m_as("MPa")
        turn = self.stock.turn.m_as("rad") - pi / 2 - self.placed.crank.throws[0].angle.m_as("rad")
        found, last, known = [], 0.0, {}
        for before, work in zip(self.works[:-1], self.works[1:], strict=True):
            cut_off = work.x1 - work.x0 < self.placed.faced[1] - self.placed.faced[0] - 1e-6
            if work is not before and not cut_off:
                last = release.bow(work, self.stock, turn, modulus, known)[0]
            found.append(tuple(last * stress for stress in stresses))
        return tuple(found)

    def skin(self, step):
        """Where the bar's skin is still there before a step: (x0, x1) along the axis."""
        section, found = self.placed.bar_section, []
        for piece in self.at(step).pieces:
            left = any(disc in piece.section.discs for disc in section.discs) or any(
                line in piece.section.lines for line in section.lines
            )
            if left and found and abs(found[-1][1] - piece.x0) < 1e-9:
                found[-1] = found[-1][0], piece.x1
            elif left:
                found.append((piece.x0, piece.x1))
        return tuple(found)

    def mass(self, step):
        """Mass of the work before a step."""
        return Quantity(self.at(step).mass(self.density), "kg")

    def as_dict(self):
        """The plan as the sheet's JSON holds it; all lengths mm.

        Beside what a replay needs, ``crank`` says where the finished crank lies: its left end and
        its main axis.
        """
        return {
            "bar": dict(self.bar),
            "crank": {
                "x": self.placed.x0,
                "axis": [self.placed.fine(part) for part in self.placed.main],
                "faced": list(self.placed.faced),
            },
            "lathe": dict(self.lathe),
            "steps": [step.as_dict() for step in self.steps],
        }


def least_left(placed, steps, stock):
    """Metal a side [mm] that the smallest accepted diameters of the roughed mains leave; the stock
    where none is roughed.
    """
    cuts = [cut for step in steps if step.key == "rough_mains" for cut in step.cuts]
    mains = (placed.least_left(cut) for cut in cuts if cut.place.startswith("main"))
    return min(mains, default=stock)


def sawn_bar(placed):
    """The work before the first step."""
    return Work((Piece(0.0, placed.bar["length"], placed.bar_section),))
