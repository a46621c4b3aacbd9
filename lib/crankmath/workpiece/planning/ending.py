"""The last steps of a plan: fillets, inspection, ends, wheel, balance; and steps off the lathe."""

from dataclasses import replace

from ...fillets import risers
from ...wording import ERRORS, said_of, shown
from ..cuts import End
from . import rules
from .turning import Turning
from .words import words

WHEELS = {"a key": "key", "a cross pin": "pin", "a tight hub or a taper": "hub"}  # by fixing
CHAMFER = {"mm": "0.5 mm", "in": "1/64 in"}  # of both ends: common practice, no source


class Ending(Turning):
    """Adds the steps off the lathe, and those after the last cut between centers."""

    def _end(self):
        self._plain("fillets")
        on_centers = self.job["supports"] == "between centers"
        self._plain(
            "inspect",
            supports="between centers" + ("" if on_centers else ", never in the vees they lie in"),
        )
        left, right = self.placed.x0, self.placed.fine(self.placed.x1)
        self._plain(
            "ends",
            cuts=(End(left, "right", 0.0, "left end"), End(right, "left", 0.0, "right end")),
            left=self.datum(left),
            right=self.datum(right),
            length=shown(self.crank.length, "length", self.units),
            chamfer=CHAMFER[self.units],
        )
        self._wheel()
        if self.job["counterweights"] != "none":
            rods = 2 if self.job["banks"].startswith("two rods") else 1
            held = self.job["rotating_mass"] + self.job["balance_share"] * self.job["moving_mass"]
            self._plain("balance", stand_in=shown(rods * held, "mass", self.units))

    def _plain(self, of, key=None, on="bench", cuts=(), **more):
        """A step off the lathe."""
        known = {"limits", "numbers", "trouble", "slots", "marks"}
        kept = {name: value for name, value in more.items() if name in known}
        put_in = {name: value for name, value in more.items() if name not in known}
        for cut in cuts:
            self.work = cut.applied(self.work)
        step = self.said(of, **put_in)
        fitted = () if of in ("fillets", "inspect", "ends", "wheel", "balance") else self.fitted
        self.steps.append(replace(step, key=key or of, on=on, cuts=cuts, fitted=fitted, **kept))

    def _seat(self):
        """Words for the seat of a tight hub, none without one."""
        if WHEELS.get(self.job["fixing"]) != "hub":
            return ""
        try:
            reach = shown(rules.fixing_reach(self.job), "length", self.units)
        except ERRORS:
            return ""
        return words()["finish_mains"]["seat"].format(reach=reach, main=len(self.crank.journals))

    def _wheel(self):
        """How the wheel on the right end is held, where that cuts into the main or sits tight."""
        kind = WHEELS.get(self.job["fixing"])
        if kind is None:
            return
        main, trouble = self.crank.journals[-1], ()
        try:
            reach = rules.fixing_reach(self.job)
        except ERRORS as error:
            reach, trouble = main.length, (said_of(error).rstrip("."),)
        hole = self.job["fixing_hole"]
        self._plain(
            "wheel",
            trouble=trouble,
            **words()["wheel"][kind],
            main=len(self.crank.journals),
            reach=shown(reach, "length", self.units),
            hole=shown(hole, "length", self.units),
            middle=shown(reach - hole / 2, "length", self.units),
            floor=shown(risers.FLOOR * main.diameter, "length", self.units, 1),
        )
