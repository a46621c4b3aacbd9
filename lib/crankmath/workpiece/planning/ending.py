"""The last steps of a plan: fillets, inspection, ends, wheel, balance; and steps off the lathe."""

from dataclasses import replace
from functools import cached_property
from math import ceil, dist

from ...fillets import risers
from ...language import _
from ...wording import ERRORS, least_shown, said_of, shown
from ..cuts import End
from ..holding import BOLT_ROOM
from . import rules
from .turning import Turning
from .words import words

STUB_STEP = {"mm": 1.0, "in": 25.4 / 16}  # mm: to which a stub is rounded up
BOLTS = {  # mm
    "mm": ((10.0, "M10"), (8.0, "M8"), (6.0, "M6"), (5.0, "M5"), (4.0, "M4")),
    "in": (
        (9.525, "3/8 in"),
        (7.9375, "5/16 in"),
        (6.35, "1/4 in"),
        (4.7625, "3/16 in"),
        (4.1656, "No. 8"),
    ),
}
LAST = ("fillets", "inspect", "ends", "wheel", "counterweights", "balance")
BOLT_WALL = 2.0  # mm of metal around its hole: own choice
CHAMFER = {"mm": "0.5 mm", "in": "1/64 in"}  # of both ends: common practice, no source


class Ending(Turning):
    """Adds the steps off the lathe, and those after the last cut between centers."""

    def _end(self):
        self._plain("fillets")
        on_centers = self.job["supports"] == "between centers"
        self._plain(
            "inspect",
            supports="between centers"
            + ("" if on_centers else _(", never in the vees they lie in")),
        )
        left, right = self.placed.x0, self.placed.fine(self.placed.x1)
        self._plain(
            "ends",
            cuts=(End(left, "right", 0.0, _("left end")), End(right, "left", 0.0, _("right end"))),
            left=self.datum(left),
            right=self.datum(right),
            length=shown(self.crank.length, "place", self.units),
            chamfer=CHAMFER[self.units],
            hold=self._hold(),
            kept=self._kept(),
        )
        self._wheel()
        if self.job["counterweights"] != "none":
            self._weights()
            stands = [shown(one, "mass", self.units) for one in rules.stand_ins(self.job)]
            each = (
                _("{stands} each").format(stands=stands[0])
                if len(set(stands)) == 1
                else ", ".join(stands)
            )
            self._plain("balance", stand_in=each)

    @cached_property
    def center_hole(self):
        """The hole of all centers; an error where none has room or bears the thrust."""
        return rules.center_hole(self.job, rules.layouts(self.crank, self.stock_bar)[0])

    def _hold(self):
        """How the crank is held while its ends are faced: jaws hold a main by its diameter or more
        of straight length.
        """
        texts, mains = words()["ends"], self.crank.journals
        faces = {
            0: _("the right end"),
            len(mains) - 1: _("the left end"),
        }  # by the main in the jaws
        short = [at for at in faces if mains[at].length - mains[at].fillet < mains[at].diameter]
        if not short:
            return texts["hold_both"]
        both, at = len(short) == 2, short[0]
        return texts["hold_none" if both else "hold_one"].format(
            short=at + 1,
            held=len(mains) - at,
            deep=shown(mains[at].diameter, "length", self.units),
            mill=texts["hold_mill"].format(what=_("both ends") if both else faces[at]),
        )

    def _kept(self):
        """What becomes of the main centers when the stubs go."""
        try:
            hole = self.center_hole
        except ERRORS:  # the step of the centers says why
            return words()["ends"]["kept_nothing"]
        what, deep = rules.kept_of_mains(hole, self.job["center_end"])
        sizes = {"deep": deep, "drill": hole.drill}
        shows = {name: shown(size, "length", self.units, 2) for name, size in sizes.items()}
        return words()["ends"][f"kept_{what}"].format(**shows)

    def _plain(self, of, key=None, on="bench", cuts=(), **more):
        """A step off the lathe."""
        known = {"limits", "numbers", "trouble", "slots", "marks"}
        kept = {name: value for name, value in more.items() if name in known}
        put_in = {name: value for name, value in more.items() if name not in known}
        for cut in cuts:
            self.work = cut.applied(self.work)
        step = self.said(of, **put_in)
        fitted = () if of in LAST else self.fitted
        self.steps.append(replace(step, key=key or of, on=on, cuts=cuts, fitted=fitted, **kept))

    def _weights(self):
        """The counterweights of each throw, a sector on either web."""
        found, sizes = rules.counterweights(self.job), {}
        for at, throw in enumerate(self.crank.throws):
            text = words()["counterweights"]["size"].format(
                angle=shown(found.half_angle[at], "angle", self.units, 3),
                thick=shown(throw.web_thickness, "length", self.units),
                mass=shown(found.mass[at] / 2, "mass", self.units),
            )
            sizes.setdefault(text, []).append(str(at + 1))
        self._plain(
            "counterweights",
            outer=shown(self.crank.swing_radius, "length", self.units),
            numbers=tuple(
                (_("throw {places}:").format(places=", ".join(some)), text)
                for text, some in sizes.items()
            ),
        )

    def _seat(self):
        """Words for the seat of a tight hub, none without one."""
        if rules.WHEELS.get(self.job["fixing"]) != "hub":
            return ""
        try:
            reach = shown(rules.fixing_reach(self.job), "length", self.units)
        except ERRORS:
            return ""
        return words()["finish_mains"]["seat"].format(reach=reach, main=len(self.crank.journals))

    def _wheel(self):
        """How the wheel on the right end is held, where that cuts into the main or sits tight."""
        kind = rules.WHEELS.get(self.job["fixing"])
        if kind is None:
            return
        texts = words()["wheel"][kind]
        try:
            reach = rules.fixing_reach(self.job)
        except ERRORS as error:
            told = _("Not until its place is answered again and the sheet made again.")
            trouble = (said_of(error).rstrip("."),)
            self._plain("wheel", trouble=trouble, **texts | {"do": told})
            return
        hole, floor = self.job["fixing_hole"], risers.FLOOR * self.crank.journals[-1].diameter
        self._plain(
            "wheel",
            **texts,
            main=len(self.crank.journals),
            reach=shown(reach, "length", self.units),
            hole=shown(hole, "length", self.units),
            middle=shown(reach - hole / 2, "length", self.units),
            floor=least_shown(floor, "length", self.units),
        )

    def _bolted(self):
        """A hole for the bolt that drives where a dog cannot, stated before the bar is sawn and its
        ends are drilled.
        """
        bolted = [one for one in self.steps if one.driven and one.driven.by == "bolt"]
        if not bolted:
            return
        texts, at = words()["drive"], [one.key for one in self.steps].index("centers")
        short = [one for one in bolted if not one.driven.strikes]
        stub, width = self.placed.x0 - self.placed.faced[0], self.job["dog_width"].m_as("mm")
        if short:
            step = STUB_STEP[self.units]
            least = ceil((width + BOLT_ROOM) / step - 1e-6) * step
            told = texts["stub"].format(
                stub=self.length(stub),
                width=self.length(width),
                least=self.length(least),
                first=short[0].name,
            )
            self.steps[0] = replace(self.steps[0], limits=(*self.steps[0].limits, told))
        bolt, self.bolt, self.bolt_size = self._bolt({one.axis for one in bolted})
        one = self.steps[at]
        if self.bolt is None:
            self.steps[at] = replace(one, trouble=(*one.trouble, texts["no_hole"]))
            return
        up, across = map(self.place, self.bolt)
        told = texts["hole"].format(bolt=bolt, deep=self.length(stub), up=up, across=across)
        self.steps[at] = replace(one, do=f"{one.do} {told}")

    def _bolt(self, axes):
        """The largest bolt that the end face has room for clear of its edge and of the centers, and
        where its arm about the axes that it drives is longest; no place where none has room.
        """
        section, step = self.placed.bar_section, STUB_STEP[self.units]
        try:
            mouth = self.center_hole.mouth.m_as("mm")
        except ERRORS:  # the step of the centers says why
            mouth = 0.0
        reach = section.reach((0.0, 0.0))
        step *= max(round(reach / 12 / step), 1)
        count = int(reach / step)
        places = [round(step * number, 4) for number in range(-count, count + 1)]

        def clear(point):
            centers = (self.placed.main, *self.placed.pins)
            away = min(dist(point, one) for one in centers) - mouth / 2
            return min(away, section.whole_ring(point))

        found = {(y, z): clear((y, z)) for y in places for z in places}
        for size, name in BOLTS[self.units]:
            if fits := [one for one, room in found.items() if room >= size / 2 + BOLT_WALL]:
                place = max(
                    fits, key=lambda one: (min(dist(one, axis) for axis in axes), found[one])
                )
                return name, place, size
        return "", None, 0.0
