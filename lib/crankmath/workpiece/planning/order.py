"""The order of work: how a job becomes a plan, step by step, each number worked out for the work as
it then stands.
"""

from dataclasses import replace
from functools import partial
from math import ceil, dist

from ...crank import steels
from ...cutting.operations import MILLINGS
from ...language import _, listed, marked, spoken
from ...units import Quantity
from ...wording import ERRORS, capital, said_of, shown
from .. import shifts
from ..cuts import End
from ..holding import agreement
from ..placing import place
from ..plan import Plan, least_left, sawn_bar
from . import milling, rules
from .ending import Ending
from .words import words

# least arm of a thrust on a pin's axis about another pin, over that pin's throw, that grips its
# spacer: own choice; the job asks how much thrust that takes
GRIPPED = 0.5


def make_plan(job):
    """Plan of a job: its bar and its steps in order, from the saw to the inspected crank.

    Parameters
    ----------
    job : job.Job

    Returns
    -------
    Plan

    Raises
    ------
    ValueError
        The bar is too small or no size of the list, or no stub is left for the pin centers.

    Notes
    -----
    Basis: derived; speeds by ``cutting.speed_for`` and the job's gear table. The order is common
    practice, no source, each reason beside its step.
    """
    if not hasattr(job, "answers"):
        raise TypeError(f"job has to be a Job, not {str(job)[:60]!r}; see job.Job.load")
    return _Order(job).plan()


class _Order(Ending):
    """Builds the steps, and keeps the work as it stands."""

    def __init__(self, job):
        self.job, self.crank, self.units, self.steps = job, job.crank, job.units, []
        self.bolt = None
        self.stock_bar = rules.bar_for(job, rules.smallest_bar(job))
        stub = job["center_end"].m_as("mm")
        if stub <= 0:
            raise ValueError(
                _(
                    "Full bar left at each end must be above zero, since the pin centers stand in "
                    "it: write for example 10 mm"
                )
            )
        self.placed = place(
            self.crank,
            self.stock_bar,
            job["bar_allowance"].m_as("mm"),
            stub,
            job["web_outline"],
        )
        self.gears = sorted(job["gear_table"])
        self.table = partial(shifts.table_speed, self.crank.steel, job["tool"], job["hardness"])
        self.finish = job["finish_allowance"].m_as("mm")
        self.chain = job["slot_method"] != "milled"
        self.stock = milling.STOCKS[self.units][self.chain]
        self.work, self.fitted = sawn_bar(self.placed), ()
        self.borne = {}  # depth [mm] of roughing that drive and crank bear, by place
        self.density = steels.find(self.crank.steel).density.m_as("kg/mm**3")
        self.lathe = {
            "center_height": job["center_height"].m_as("mm"),
            "between_centers": job["between_centers"].m_as("mm"),
            "swing_over_carriage": job["swing_over_carriage"].m_as("mm"),
            "slide_reach": job["slide_reach"].m_as("mm"),
            "unbalance_force": job["unbalance_force"].m_as("N"),
        }

    def plan(self):
        """All steps, one after another."""
        self._begin()
        shapes, early = self._shapes()
        if shapes:
            self._mill(shapes)
        if early:
            self._webs()
        pins = list(range(len(self.crank.throws)))[::-1]  # from the tailstock end
        square = any(kind == "journal" for kind, _unused in shapes)
        why = words()["rough_pin"]["why_milled" if square else "why"]
        for index in pins:
            self.turn(f"rough_pin_{index + 1}", "rough_pin", [("pin", index)], rough=True, why=why)
        mains = [("journal", index) for index in range(len(self.crank.journals))][::-1]
        self.turn("rough_mains", "rough_mains", mains, rough=True)
        if self.steps[-1].key == "rough_mains":
            self.steps[-1] = replace(self.steps[-1], marks=self._beside_webs())
        if not early:
            self._webs()
        self._rest()
        packed, made = self._packed(), ()
        for index in pins:
            self.fitted = tuple(one for one in made if self._aside(one, index))
            idle = [one for one in made if one not in self.fitted]
            pack = ""
            if idle:
                pack = _(
                    " Leave out the spacer of {places}: in line with this pin the thrust does not "
                    "grip it."
                ).format(places=", ".join(spoken(f"pin {one + 1}") for one in idle))
            if index in packed and index and self._aside(index, index - 1):
                pack += _(" Pack the finished gap with its spacer before the next pin.")
            self.turn(f"finish_pin_{index + 1}", "finish_pin", [("pin", index)], pack=pack)
            if index in packed:
                self._plain(
                    "spacer",
                    key=f"spacer_{index + 1}",
                    place=f"pin {index + 1}",
                    diameter=shown(rules.spacer_diameter(self.job), "length", self.units),
                    half=shown(self.job["allowed_runout"] / 2, "fine", self.units, 2),
                )
                made = tuple(sorted((*made, index)))
        self.fitted = made
        self.turn(
            "finish_mains",
            "finish_mains",
            mains,
            packed=_("spacers in, ") if self.fitted else "",
            unpacked=_(", take the spacers out, each marked for its throw") if self.fitted else "",
            seat=self._seat(),
        )
        self.fitted = ()
        self._end()
        self._bolted()
        weight, steps = self.job["counterweight_radius"].m_as("mm"), tuple(self.steps)
        return Plan(
            *(self.stock_bar, self.placed, steps, self.lathe, self.agreed, weight, self.bolt)
        )

    def _aside(self, throw, turned):
        """Whether the thrust on a pin's axis closes another throw's gap and so grips its spacer."""
        arm = dist(self.placed.pins[throw], self.placed.pins[turned])
        return arm >= GRIPPED * dist(self.placed.pins[throw], self.placed.main)

    def _begin(self):
        placed, job = self.placed, self.job
        mass = Quantity(self.work.mass(self.density), "kg")
        self._plain(
            "saw",
            bar=rules.size_of_bar(self.stock_bar, self.units),
            steel=self.crank.steel,
            length=self.size(placed.bar["length"]),
            mass=shown(mass, "mass", self.units),
            lift=words()["saw"]["hoist" if mass > rules.ONE_PERSON else "lift"],
            trouble=tuple(self._unfit()),
        )
        left, right = placed.faced
        cuts = (
            (End(left, "right", 0.0, _("left face")), End(right, "left", 0.0, _("right face")))
            if left > 0
            else ()
        )
        self._plain("face", on="mill", cuts=cuts, length=self.size(right - left))
        self.agreed = agreement(
            placed, job["allowed_runout"].m_as("mm"), job["phase_tolerance"].m_as("deg")
        )
        self._centers()

    def _unfit(self):
        """What the bar cannot give: it is too long for the lathe, or a fillet wider than its web
        stands out of it.
        """
        placed = self.placed
        for (kind, index), (radius, fillet) in placed.rounds.items():
            if radius + fillet > placed.bar_section.whole_ring(placed.axis(kind, index)) + 1e-6:
                told = _("the fillet of {name} stands out of the bar: take a larger bar")
                yield told.format(name=spoken(milling.name_of(kind, index)))
        if self.placed.faced[1] - self.placed.faced[0] <= self.lathe["between_centers"]:
            return
        most = shown(self.job["between_centers"], "length", self.units)
        yield _("the bar is longer than the {most} between the lathe's centers").format(most=most)

    def _centers(self):
        tight = min(self.agreed, key=lambda one: one.together)
        span = "100 mm" if self.units == "mm" else "4 in"
        strip = min(one.strip for one in self.agreed) * (1 if self.units == "mm" else 1.016)
        allowed, phases = self.job["throw_tolerance"], [one.across for one in self.agreed]
        limits = (
            _("each pin center from its main center within ±{allowed}").format(
                allowed=shown(allowed, "length", self.units)
            ),
            _(
                "the errors of both ends differ by at most {together}, along the throw and across "
                "it by at most {each} each"
            ).format(together=self.fine(tight.together), each=self.fine(tight.each)),
            _("over {span} of a strip or side the indicator changes by at most {strip}").format(
                span=span, strip=self.fine(strip)
            ),
        )
        if phases[0] is not None:
            limits += (
                _("off across its throw by at most {phases}, the mean of both ends").format(
                    phases=self.fine(min(phases))
                ),
            )
        axes = {"main": self.placed.main} | {
            f"pin {number}": axis for number, axis in enumerate(self.placed.pins, 1)
        }
        numbers = tuple(
            (name, ", ".join(self.place(part) for part in axis)) for name, axis in axes.items()
        )
        texts = words()["centers"]
        shape = "angle_round" if self.placed.bar["shape"] == "round" else "angle_flat"
        try:
            one = self.center_hole
            hole, trouble, stub = f"{one.standard} {one.name}", (), self.job["center_end"]
            mouth, depth = (
                shown(size, "length", self.units) for size in (one.mouth, one.least_depth)
            )
            deep = _(", until the mouth is Ø{mouth} and the hole {depth} deep or more,").format(
                mouth=mouth, depth=depth
            )
            if (least := rules.least_stub(one)) > stub:
                long = self.length(stub.m_as("mm"))
                trouble = (
                    _(
                        "the pin centers' holes, {depth} deep, come out of stubs {stub} long: "
                        "leave {least} of full bar at each end"
                    ).format(depth=depth, stub=long, least=shown(least, "length", self.units)),
                )
        except ERRORS as error:
            hole, deep, trouble = _("the"), "", (said_of(error),)
        self._plain(
            "centers",
            on="mill",
            limits=limits,
            numbers=numbers,
            trouble=trouble,
            hole=hole,
            deep=deep,
            angle=texts[shape],
        )

    def _shapes(self):
        """What is milled at each place before turning, and whether the webs are outlined before it.

        A place that would swing too wide for the slowest step of the lathe, or pull there with
        nearly all that the stand bears, is milled whatever the job says: a gap slotted, and square
        where that is not enough, a main square.
        """
        gap, main = MILLINGS[self.job["milled"]]
        shapes = {("pin", index): gap for index in range(len(self.crank.throws)) if gap}
        shapes |= {("journal", index): main for index in range(len(self.crank.journals)) if main}
        early, self.fast = bool(gap), []
        while True:
            self.milled = self._milled(self.work, shapes, early)
            fast = [place_ for place_ in self._fast() if shapes.get(place_) != "square"]
            if not fast:
                return shapes, early
            for one in fast:
                slot = one[0] == "pin" and one not in shapes
                shapes[one] = marked("slot") if slot else marked("square")
            early, self.fast = True, [*self.fast, *fast]

    def _fast(self):
        """Mains and pins that the slowest step is still too fast for, as the milled work swings."""
        inner = self.stock * 1.01
        for kind, index, x0, x1 in self.placed.segments:
            if kind == "web" or x1 - x0 <= 2 * inner:
                continue
            axis, ends = self.placed.axis(kind, index), (x0 + inner, x1 - inner)
            if shifts.spared(self._limit(self.milled, axis)) < self.gears[0]:
                yield kind, index
                continue
            try:
                if shifts.too_fast(self.milled, axis, *ends, self.table, self.gears[0]):
                    yield kind, index
            except ValueError:  # no table for this steel: the turning steps say so
                return

    def _milled(self, work, shapes, early):
        for place_, shape in shapes.items():
            for cut in self._block(work, place_, shape)[0]:
                work = cut.applied(work)
        self.walls = dict(shapes)
        for cut in milling.outlines(self.placed, work, self._wall) if early else ():
            work = cut.applied(work)
        return work

    def _block(self, work, place_, shape):
        drill = self.job["chain_drill"].m_as("mm") if self.chain else None
        return milling.block(self.placed, work, *place_, shape, self.stock, self.finish, drill)

    def _wall(self, kind, index):
        """Stock that stands on the walls of a place when the webs are outlined."""
        if (kind, index) in self.walls:
            return milling.stock_for(self.placed, kind, index, self.stock, self.finish)
        return self.finish

    def _mill(self, shapes):
        cuts, slots = [], []
        for place_, shape in shapes.items():  # places do not meet: each is cut from the bar
            some, numbers = self._block(self.work, place_, shape)
            cuts += some
            slots += numbers
        if not cuts:
            return
        what, texts = listed(self.job["milled"]), words()["mill"]
        cut_at = dict.fromkeys(cut.place for cut in cuts)
        named = {one: milling.name_of(*one) for one in shapes}
        more = [named[one] for one in dict.fromkeys(self.fast) if named[one] in cut_at]
        if more:
            what = ", ".join(
                _("{shape}s at {places}").format(
                    shape=_(shape), places=", ".join(map(spoken, some))
                )
                for shape in ("slot", "square")
                if (some := [named[one] for one in shapes if shapes[one] == shape])
            )
        section = self.placed.bar_section
        marks = [
            (f"main {index + 1}", (x0 + x1) / 2)
            for kind, index, x0, x1 in self.placed.segments
            if kind == "journal" and self.milled.at((x0 + x1) / 2) == section
        ]
        self._plain(
            "mill",
            on="mill",
            cuts=tuple(cuts),
            slots=tuple(slots),
            marks=tuple(marks),
            do=texts["do_chain" if self.chain else "do"],
            check=texts["check"] if marks else _("Let the bar rest overnight before it is turned."),
            why=texts["why_fast"] if more else texts["why"],
            asked=self.job["milled"],
            more=", ".join(more),
            what=what,
            what_big=capital(what),
            places=", ".join(self.datum(x) for _unused, x in marks),
            angle=texts["angle"],
            reach=self._reach((one.depth, one.width, one.place) for one in slots),
            rpm=f"{self.gears[0]:g} rpm",
        )

    def _reach(self, slots):
        """Words for the slot that asks for a long cutter, none without one."""
        deep, wide, where = milling.long_reach(slots) or (0.0, 0.0, "")
        told = words()["mill"]["reach"] if deep else ""
        return told.format(deep=self.length(deep), wide=self.length(wide), where=where)

    def _webs(self):
        cuts = milling.outlines(self.placed, self.work, self._wall)
        if not cuts:
            return
        bench = self.job["web_outline"] == "sawn and filed"
        done = [step.key for step in self.steps]
        texts = words()["webs"]
        self._plain(
            "webs",
            on="bench" if bench else "mill",
            cuts=cuts,
            name=texts["name_bench" if bench else "name"],
            do=texts["do_bench" if bench else "do"],
            hold=texts[milling.held_on(self.placed, self.work, "rough_mains" in done)],
            angle="" if "mill" in done else f" {words()['mill']['angle']}",
            reach=self._reach(milling.web_slots(self.work, cuts)),
        )

    def _rest(self):
        marks = self._beside_webs()
        self._plain(
            "rest",
            on="centers",
            marks=marks,
            places=", ".join(self.datum(x) for _unused, x in marks),
            left=self.length(least_left(self.placed, self.steps, self.finish)),
        )
        self.steps[-1] = replace(
            self.steps[-1], axis=tuple(map(self.placed.fine, self.placed.main))
        )

    def _beside_webs(self):
        """Where an indicator reads a main beside a web: clear of the fillet, by name and place."""
        least, step = (1.0, 1.0) if self.units == "mm" else (1.27, 1.27)
        found = []
        for kind, index, x0, x1 in self.placed.segments:
            if kind == "journal":
                clear = ceil((self.placed.rounds[kind, index][1] + least) / step) * step
                at = min(clear, (x1 - x0) / 2)
                walls = self.placed.walled(kind, index)
                places = [x for x, wall in zip((x0 + at, x1 - at), walls, strict=True) if wall]
                found += [(f"main {index + 1}", x) for x in dict.fromkeys(places)]
        return tuple(found)

    def _packed(self):
        try:
            return {one.throw for one in rules.spacers(self.job)}
        except ERRORS:  # the check of the spacers says why
            return set()
