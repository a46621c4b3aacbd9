"""What is milled before turning, and the webs' outlines: at the mill or by saw and file."""

from ...cutting.rough_out import MILLINGS
from ...language import _, listed, marked, spoken
from ...wording import capital
from .. import shifts
from . import milling
from .ending import Ending
from .words import words


class Milling(Ending):
    """Adds the steps that take metal away off the lathe, before or between turning."""

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
            name=texts["name_chain" if self.chain else "name"],
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
