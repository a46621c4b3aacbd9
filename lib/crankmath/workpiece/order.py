"""The order of work: how a job becomes a plan, step by step, each number worked out for the work as it then stands."""

import tomllib
from dataclasses import replace
from functools import cache
from importlib.resources import files
from math import hypot

from .. import center_holes
from ..job_check import said_of, shown
from ..job_workings import BLADE_SPARE, ERRORS, Workings, size_of_bar
from ..operations import MILLINGS
from ..rough_out import MILLING_ALLOWANCE
from ..units import Quantity
from . import milling, shifts
from .cuts import End, Turn
from .holding import BOLT_ROOM, agreement, driver, room
from .placing import place
from .plan import Plan, Step, sawn_bar

ANSWERS = {  # what a job cannot say yet, and what is taken for it: common practice, no source
    "web_outline": "milled square",  # one of placing.OUTLINES
    "slot_method": "milled",  # or "chain drilled and sawn"
    "chain_drill": Quantity(6.0, "mm"),
    "dog_width": Quantity(12.0, "mm"),
    "dog_wall": Quantity(10.0, "mm"),
    "dog_screw": Quantity(25.0, "mm"),
    "counterweights": "none",  # or "bolted to the webs"
}
SAWN_STOCK = Quantity(
    2.0, "mm"
)  # left around a chain of holes and a saw cut: common practice, no source


@cache
def _words():
    return tomllib.loads(
        (files("crankmath") / "data" / "plan_words.toml").read_text(encoding="utf-8")
    )


def make_plan(job, **answers):
    """Plan of a job: its bar and its steps in order, from the saw to the inspected crank.

    Parameters
    ----------
    job : job.Job
    **answers
        Any of ``ANSWERS``, where they differ from what is taken for them.

    Returns
    -------
    Plan

    Raises
    ------
    ValueError
        The bar is too small or no size of the list, no stub is left for the pin centers, or an unknown answer.

    Notes
    -----
    Basis: derived; speeds by ``cutting.speed_for`` and the job's gear table. The order is common practice, no source, each
    reason beside its step.
    """
    return _Order(job, answers).plan()


class _Order:
    """Builds the steps, and keeps the work as it stands."""

    def __init__(self, job, answers):
        if unknown := set(answers) - set(ANSWERS):
            raise ValueError(
                f"there is no answer “{min(unknown)}” in a plan; there are {', '.join(ANSWERS)}"
            )
        self.job, self.known, self.workings = job, ANSWERS | answers, Workings(job)
        self.crank, self.units, self.steps = job.crank, job.units, []
        stub = job["center_end"].m_as("mm")
        if stub <= 0:
            raise ValueError(
                "Full bar left at each end must be above zero: the pin centers stand in it; write for example 10 mm"
            )
        self.placed = place(
            self.crank,
            self.workings.bar,
            job["bar_allowance"].m_as("mm"),
            stub,
            self.known["web_outline"],
        )
        self.gears = sorted(job["gear_table"])
        self.finish = job["finish_allowance"].m_as("mm")
        self.chain = self.known["slot_method"] != "milled"
        self.stock = (SAWN_STOCK if self.chain else MILLING_ALLOWANCE).m_as("mm")
        self.work, self.fitted, self.blocked = sawn_bar(self.placed), (), {}
        self.density = self.workings.steel.density.m_as("kg/mm**3")
        self.lathe = {
            "center_height": job["center_height"].m_as("mm"),
            "between_centers": job["between_centers"].m_as("mm"),
            "swing_over_carriage": job["swing_over_carriage"].m_as("mm"),
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
        for index in pins:
            self._turn(f"rough_pin_{index + 1}", "rough_pin", [("pin", index)], rough=True)
        mains = [("journal", index) for index in range(len(self.crank.journals))][::-1]
        self._turn("rough_mains", "rough_mains", mains, rough=True)
        if not early:
            self._webs()
        self._rest()
        packed = self._packed()
        for index in pins:
            pack = (
                " Pack the finished gap with its spacer before the next pin."
                if index in packed and index
                else ""
            )
            self._turn(f"finish_pin_{index + 1}", "finish_pin", [("pin", index)], pack=pack)
            if index in packed:
                self._plain(
                    "spacer",
                    key=f"spacer_{index + 1}",
                    place=f"pin {index + 1}",
                    half=shown(self.job["allowed_runout"] / 2, "fine", self.units, 2),
                )
                self.fitted = tuple(sorted((*self.fitted, index)))
        self._turn(
            "finish_mains", "finish_mains", mains, packed="spacers in, " if self.fitted else ""
        )
        self.fitted = ()
        self._end()
        return Plan(
            self.workings.bar,
            self.placed,
            tuple(self.steps),
            self.lathe,
            self.agreed,
            self.job["counterweight_radius"].m_as("mm"),
        )

    # steps on bench and mill

    def _begin(self):
        placed, job = self.placed, self.job
        self._plain(
            "saw",
            bar=size_of_bar(self.workings.bar, self.units),
            steel=self.crank.steel,
            length=self._length(placed.bar["length"]),
            mass=shown(Quantity(self.work.mass(self.density), "kg"), "mass", self.units),
            trouble=tuple(self._unfit()),
        )
        left, right = placed.faced
        cuts = (
            (End(left, "right", 0.0, "left face"), End(right, "left", 0.0, "right face"))
            if left > 0
            else ()
        )
        self._plain("face", on="mill", cuts=cuts, length=self._length(right - left))
        self.agreed = agreement(
            placed, job["allowed_runout"].m_as("mm"), job["phase_tolerance"].m_as("deg")
        )
        self._centers()

    def _unfit(self):
        """What the bar cannot give: it is too long for the lathe, or a fillet wider than its web stands out of it."""
        placed = self.placed
        for (kind, index), (radius, fillet) in placed.rounds.items():
            if radius + fillet > placed.bar_section.whole_ring(placed.axis(kind, index)) + 1e-6:
                name = f"{'pin' if kind == 'pin' else 'main'} {index + 1}"
                yield f"the fillet of {name} is wider than its web and stands out of the bar: take a larger bar"
        if self.placed.faced[1] - self.placed.faced[0] <= self.lathe["between_centers"]:
            return
        most = shown(self.job["between_centers"], "length", self.units)
        yield f"the bar is longer than the {most} between the lathe's centers"

    def _centers(self):
        tight = min(self.agreed, key=lambda one: one.together)
        strip = min(one.strip for one in self.agreed)
        allowed, phases = self.job["throw_tolerance"], [one.across for one in self.agreed]
        limits = (
            f"each pin center from its main center within ±{shown(allowed, 'length', self.units)}",
            f"the errors of both ends differ by at most {self._fine(tight.together)}, "
            + f"along the throw and across it by at most {self._fine(tight.each)} each",
            f"over 100 mm of a strip or side the indicator changes by at most {self._fine(strip)}",
        )
        if phases[0] is not None:
            limits += (
                f"off across its throw by at most {self._fine(min(phases))}, the mean of both ends",
            )
        axes = {"main": self.placed.main} | {
            f"pin {number}": axis for number, axis in enumerate(self.placed.pins, 1)
        }
        numbers = tuple(
            (name, ", ".join(f"{self.placed.fine(part):g}" for part in axis) + " mm (y, z)")
            for name, axis in axes.items()
        )
        words = _words()["centers"]
        shape = "angle_round" if self.placed.bar["shape"] == "round" else "angle_flat"
        try:
            one = center_holes.hole_with_room(
                self.workings.layouts[0],
                self.job["thrust"],
                self.job["center_standard"],
                self.workings.allowed_pressure,
            )
            hole, trouble = f"{one.standard} {one.name}", ()
        except ERRORS as error:
            hole, trouble = "the", (said_of(error),)
        self._plain(
            "centers",
            on="mill",
            limits=limits,
            numbers=numbers,
            trouble=trouble,
            hole=hole,
            angle=words[shape],
        )

    def _shapes(self):
        """What is milled at each place before turning, and whether the webs are outlined before it.

        A place that would swing too wide for the slowest step of the lathe is milled square, whatever the job says.
        """
        gap, main = MILLINGS[self.job["milled"]]
        shapes = {("pin", index): gap for index in range(len(self.crank.throws)) if gap}
        shapes |= {("journal", index): main for index in range(len(self.crank.journals)) if main}
        early, self.fast = bool(gap), set()
        most, inner = self._widest(), self.stock * 1.01
        while True:
            self.milled = self._milled(self.work, shapes, early)
            fast = {
                (kind, index)
                for kind, index, x0, x1 in self.placed.segments
                if kind != "web"
                and shapes.get((kind, index)) != "square"
                and x1 - x0 > 2 * inner
                and self.milled.swing(self.placed.axis(kind, index), x0 + inner, x1 - inner) > most
            }
            if not fast:
                return shapes, early
            shapes |= dict.fromkeys(fast, "square")
            early, self.fast = True, self.fast | fast

    def _widest(self):
        try:
            return shifts.widest(self.crank.steel, self.gears[0])
        except ValueError:
            return float("inf")

    def _milled(self, work, shapes, early):
        for place_, shape in shapes.items():
            for cut in self._block(work, place_, shape)[0]:
                work = cut.applied(work)
        self.walls = dict(shapes)
        for cut in milling.outlines(self.placed, work, self._wall) if early else ():
            work = cut.applied(work)
        return work

    def _block(self, work, place_, shape):
        drill = self.known["chain_drill"].m_as("mm") if self.chain else None
        return milling.block(self.placed, work, *place_, shape, self.stock, self.finish, drill)

    def _wall(self, kind, index):
        """Stock that stands on the walls of a place when the webs are outlined."""
        fillet = self.placed.rounds[kind, index][1]
        if (kind, index) in self.walls:
            return milling.stock_for(fillet, self.stock, self.finish)
        return self.finish

    def _mill(self, shapes):
        cuts, slots = [], []
        for place_, shape in shapes.items():  # places do not meet: each is cut from the bar
            some, numbers = self._block(self.work, place_, shape)
            cuts += some
            slots += numbers
        if not cuts:
            return
        what = self.job["milled"] if self.job["milled"] != "nothing" else "squares"
        words = _words()["mill"]
        section = self.placed.bar_section
        marks = [
            self._datum((x0 + x1) / 2)
            for kind, _, x0, x1 in self.placed.segments
            if kind == "journal" and self.milled.at((x0 + x1) / 2) == section
        ]
        self._plain(
            "mill",
            on="mill",
            cuts=tuple(cuts),
            slots=tuple(slots),
            do=words["do_chain" if self.chain else "do"],
            check=words["check"] if marks else "Let the bar rest overnight before it is turned.",
            why=words["why_fast"] if self.fast else words["why"],
            what=what,
            what_big=what[:1].upper() + what[1:],
            marks=f"{', '.join(marks)} from the datum" if marks else "",
            rpm=f"{self.gears[0]:g} rpm",
        )

    def _webs(self):
        cuts = milling.outlines(self.placed, self.work, self._wall)
        if not cuts:
            return
        bench = self.known["web_outline"] == "sawn and filed"
        words = _words()["webs"]
        self._plain(
            "webs",
            on="bench" if bench else "mill",
            cuts=cuts,
            name=words["name_bench" if bench else "name"],
            do=words["do_bench" if bench else "do"],
        )

    def _rest(self):
        marks = ", ".join(
            self._datum(x)
            for kind, index, x0, x1 in self.placed.segments
            if kind == "journal"
            for x, wall in zip((x0 + 2, x1 - 2), self.placed.walled(kind, index), strict=True)
            if wall
        )
        self._plain(
            "rest",
            on="centers",
            marks=f"{marks} from the datum",
            left=self._fine(self.finish),
        )
        self.steps[-1] = replace(
            self.steps[-1], axis=tuple(map(self.placed.fine, self.placed.main))
        )

    def _packed(self):
        try:
            return {one.throw for one in self.workings.fitted}
        except ERRORS:  # the check of the spacers says why
            return set()

    def _end(self):
        self._plain("fillets")
        self._plain("inspect", supports=self.job["supports"])
        left, right = self.placed.x0, self.placed.fine(self.placed.x1)
        self._plain(
            "ends",
            cuts=(End(left, "right", 0.0, "left end"), End(right, "left", 0.0, "right end")),
            left=self._datum(left),
            right=self._datum(right),
            length=shown(self.crank.length, "length", self.units),
        )
        if self.known["counterweights"] != "none":
            self._plain("balance")

    # steps between centers

    def _turn(self, key, words, places, rough=False, **put_in):
        """A step between centers: the cuts of some places on one axis."""
        kind, index = places[0]
        axis = tuple(self.placed.fine(part) for part in self.placed.axis(kind, index))
        works, cuts, speeds, passes, trouble = [self.work], [], [], {}, []
        wanted = list(milling.rounded_ends(self.placed, kind, index)) if rough else []
        wanted += [self._cut(one, axis, rough) for one in places]
        for cut in wanted:
            if cut is None or self.work.swing(axis, cut.x0, cut.x1) <= cut.radius:
                continue
            after = cut.applied(self.work)
            try:
                rows, count = self._speeds(cut, after, rough)
            except ValueError as error:
                rows, count, trouble = (), 0, [said_of(error)]
            cuts.append(cut)
            speeds += rows
            passes[cut.place] = passes.get(cut.place, 0) + count
            works.append(after)
            self.work = after
        if not cuts:
            return
        before = works[0]
        dog = [self.known[one].m_as("mm") for one in ("dog_width", "dog_wall", "dog_screw")]
        height, carriage = self.lathe["center_height"], self.lathe["swing_over_carriage"] / 2
        driven = driver(self.placed, before, cuts, axis, dog, height, carriage)
        tool, short = self._tool(works, cuts)
        at = room(before, axis, cuts, driven, height, carriage)
        trouble += [*short, *self._struck(at), *self._too_fast(speeds, before, axis)]
        name = "the mains" if kind == "journal" else f"pin {index + 1}"
        depth = self._depth() if rough else self.job["last_cut"].m_as("mm")
        self.steps.append(
            replace(
                self._said(words, place=name, **put_in),
                key=key,
                on="centers",
                axis=axis,
                cuts=tuple(cuts),
                tool=tool,
                driven=driven,
                speeds=tuple(speeds),
                feed=self.job["rough_feed" if rough else "finish_feed"].m_as("mm"),
                depth=depth,
                passes=passes,
                limits=tuple(self._limits(driven, rough)),
                numbers=(
                    ("swings", self._length(at["swing"])),
                    ("room over the bed", self._length(at["over_bed"])),
                    ("room over the carriage", self._length(at["over_carriage"])),
                    ("thrust", shown(self.job["thrust"], "force", self.units)),
                ),
                fitted=self.fitted,
                trouble=tuple(trouble),
            )
        )

    def _cut(self, place_, axis, rough):
        """Turning cut of a main or pin, to size or so that the finishing stock stays; None where it has no room."""
        kind, index = place_
        x0, x1 = self.placed.span(kind, index)
        radius, fillet = self.placed.rounds[place_]
        stock = self.finish if rough else 0.0
        walls = self.placed.walled(kind, index)
        corner = max(fillet - stock, 0.0)
        fine, coarse = self.placed.fine, self.placed.coarse
        x0, x1 = fine(x0 + stock * walls[0]), fine(x1 - stock * walls[1])
        if x1 - x0 <= 2 * corner + 1e-6 and rough:
            return None
        corners = tuple(fine(corner) * wall for wall in walls)
        if (
            sum(corners) > x1 - x0
        ):  # as long as its two fillets: rounding must not make them overlap
            corners = tuple((x1 - x0) / 2 * wall for wall in walls)
        radius = coarse(radius + stock) if rough else fine(radius)
        name = f"{'pin' if kind == 'pin' else 'main'} {index + 1}"
        return Turn(x0, x1, axis, radius, corners, stock, name)

    def _depth(self):
        try:
            return self.workings.rough_cut.depth.m_as("mm")
        except ERRORS:
            return self.job["rough_depth"].m_as("mm")

    def _speeds(self, cut, after, rough):
        """Shift rows of a cut and its passes, for the heavier of the work before and after it."""
        most = max(hypot(*work.unbalance(cut.axis, self.density)) for work in (self.work, after))
        limit = shifts.balance_limit(most, self.lathe["unbalance_force"])
        steel = self.crank.steel
        if rough:
            return shifts.roughing(self.work, cut, steel, self._depth(), self.gears, limit)
        rows = shifts.finishing(self.work, cut, steel, self.finish, self.gears, limit)
        return rows, 1 if self.job["last_cut"].m_as("mm") >= self.finish * (1 - 1e-9) else 2

    def _tool(self, works, cuts):
        """Blade of a step: as long as the farthest of its cuts asks, or as given; and what is wrong with it."""
        needed = max(
            work.reach_needed(cut.axis, cut.radius, cut.x0, cut.x1)
            for work, cut in zip(works[:-1], cuts, strict=True)
        )
        given, thick = self.job["blade_reach"], self.job["blade_thickness"].m_as("mm")
        reach = (
            self.placed.coarse(needed + BLADE_SPARE.m_as("mm") + 0.0064)
            if given is None
            else given.m_as("mm")
        )
        trouble = []
        if reach < needed:
            trouble.append(
                f"the blade stands out {self._length(reach)}, {self._length(needed)} are needed to clear the work beside the cut"
            )
        narrow = min(cut.x1 - cut.x0 for cut in cuts)
        if thick > narrow:
            trouble.append(
                f"the blade is {self._length(thick)} thick, the gap {self._length(narrow)} wide"
            )
        return {"reach": reach, "reach_needed": needed, "thickness": thick}, trouble

    def _struck(self, at):
        return [
            f"the work strikes the {where}: {self._length(-at[key])} too wide"
            for key, where in (("over_bed", "bed"), ("over_carriage", "carriage"))
            if at[key] < 0
        ]

    def _too_fast(self, speeds, work, axis):
        found = []
        if fast := [row for row in speeds if row.set_by == "gears"]:
            found.append(
                f"even the slowest step, {fast[0].rpm:g} rpm, cuts faster than the tables at "
                f"{fast[0].place}: saw, mill or file there"
            )
        if any(row.set_by == "balanced" for row in speeds):
            most = hypot(*work.unbalance(axis, self.density))
            weight = Quantity(most, "kg*mm") / self.job["counterweight_radius"]
            found.append(
                f"the stand does not bear the swinging work even at {self.gears[0]:g} rpm: balance it with "
                f"{shown(weight, 'mass', self.units)} on the driving plate, opposite its heavy side"
            )
        return found

    def _limits(self, driven, rough):
        if rough:
            yield f"leave {self._fine(self.finish)} on the round, the web faces and the fillets"
        else:
            yield f"last cut {self._fine(self.job['last_cut'].m_as('mm'))} on the radius"
        words, left = _words()["drive"], self.placed.faced[0]
        stub = self.placed.x0 - left
        width = self.known["dog_width"].m_as("mm")
        if driven.by == "dog":
            yield words["dog"].format(x0=self._datum(driven.x[0]), x1=self._datum(driven.x[1]))
        elif driven.strikes:
            yield words["strikes"]
        else:
            yield words["bolt"].format(
                stub=self._length(stub),
                width=self._length(width),
                longer=self._length(max(width + BOLT_ROOM - stub, 0.0)),
            )

    # words

    def _plain(self, words, key=None, on="bench", cuts=(), **more):
        """A step off the lathe."""
        known = {"limits", "numbers", "trouble", "slots"}
        kept = {name: value for name, value in more.items() if name in known}
        put_in = {name: value for name, value in more.items() if name not in known}
        for cut in cuts:
            self.work = cut.applied(self.work)
        step = self._said(words, **put_in)
        fitted = () if words in ("fillets", "inspect", "ends", "balance") else self.fitted
        self.steps.append(replace(step, key=key or words, on=on, cuts=cuts, fitted=fitted, **kept))

    def _said(self, words, **put_in):
        """A step of its words alone, what belongs into them put in."""
        table = _words()[words] | {
            key: put_in.pop(key) for key in ("name", "do", "check", "why") if key in put_in
        }
        put_in.setdefault("swinging", _words()["swinging"]["words"])
        name, do, check, caution, why = (
            table.get(part, "").format(**put_in)
            for part in ("name", "do", "check", "caution", "why")
        )
        return Step(words, name, "bench", do=do, check=check, caution=caution, why=why)

    def _length(self, size):
        return shown(Quantity(float(size), "mm"), "length", self.units)

    def _fine(self, size):
        return shown(Quantity(float(size), "mm"), "length", self.units, 2)

    def _datum(self, x):
        """A place along the bar as it is read from the left faced end."""
        return shown(Quantity(float(x - self.placed.faced[0]), "mm"), "place", self.units)
