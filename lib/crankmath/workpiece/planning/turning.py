"""Steps between centers: cuts of pins and mains, speeds, tool, drive, what is struck."""

from dataclasses import replace
from math import hypot

from ...language import _, spoken
from ...units import Quantity
from ...wording import said_of, shown
from .. import bending, shifts
from ..cuts import Turn
from ..holding import driver, room
from ..passes import DIALS
from . import milling, rules
from .words import Told, words

SLACK = 1e-9


class Turning(Told):
    """Adds turning steps to a plan, each for the work as it then stands."""

    def turn(self, key, of, places, rough=False, **put_in):
        """A step between centers: the cuts of some places on one axis."""
        kind, index = places[0]
        axis = tuple(self.placed.fine(part) for part in self.placed.axis(kind, index))
        works, cuts, speeds, passes, trouble = [self.work], [], [], [], []
        wanted = list(milling.rounded_ends(self.placed, kind, index)) if rough else []
        wanted += [self._cut(one, axis, rough) for one in places]
        for cut in wanted:
            if cut is None or self.work.swing(axis, cut.x0, cut.x1) <= cut.radius:
                continue
            after = cut.applied(self.work)
            try:
                rows, found = self._speeds(cut, after, rough, cuts)
            except ValueError as error:
                rows, found, trouble = (), (), [said_of(error)]
            cuts.append(cut)
            speeds += rows
            passes += found
            works.append(after)
            self.work = after
        if not cuts:
            return
        before = works[0]
        dog = [self.job[one].m_as("mm") for one in ("dog_width", "dog_wall", "dog_screw")]
        driven = driver(self.placed, before, cuts, axis, dog, self.lathe)
        tool, short = self._tool(works, cuts)
        at = room(before, axis, cuts, driven, self.lathe)
        trouble += [*short, *self._struck(at), *self._too_fast(speeds, before, axis)]
        if rough and (stalled := rules.stalled(self.job, speeds)):
            row, asked, left = stalled
            trouble.append(
                _("the drive stalls: at {rpm:g} rpm a pass of {depth} at ").format(
                    rpm=row.rpm, depth=self.length(row.depth)
                )
                + _("{place} needs {asked}, it leaves ").format(
                    place=spoken(row.place), asked=shown(asked, "power", self.units)
                )
                + f"{shown(left, 'power', self.units)}: {rules.more_drive(row.work)}"
            )
        name = _("the mains") if kind == "journal" else f"pin {index + 1}"
        self.steps.append(
            replace(
                self.said(of, place=name, **put_in),
                key=key,
                on="centers",
                axis=axis,
                cuts=tuple(cuts),
                tool=tool | {"nose": self._nose(rough)},
                driven=driven,
                speeds=tuple(speeds),
                feed=rules.feed(self.job, "rough_feed" if rough else "finish_feed").m_as("mm"),
                passes=tuple(shifts.joined(passes)),
                limits=tuple(self._limits(driven, rough, speeds)),
                numbers=(
                    (_("swings"), f"Ø{self.length(2 * at['swing'])}"),
                    (_("room over the bed"), self.room(at["over_bed"])),
                    (_("room over the carriage"), self.room(at["over_carriage"])),
                ),
                fitted=self.fitted,
                trouble=tuple(trouble),
            )
        )

    def _cut(self, place_, axis, rough):
        """Turning cut of a main or pin, to size or so that the finishing stock stays; None where it
        has no room.
        """
        kind, index = place_
        x0, x1 = self.placed.span(kind, index)
        radius, fillet = self.placed.rounds[place_]
        stock = self.finish if rough else 0.0
        walls = self.placed.walled(kind, index)
        corner = max(fillet - stock, self._nose(rough))
        fine, coarse = self.placed.fine, self.placed.coarse
        x0, x1 = fine(x0 + stock * walls[0]), fine(x1 - stock * walls[1])
        if x1 - x0 <= 2 * corner + 1e-6 and rough:
            return None
        corners = tuple(fine(corner) * wall for wall in walls)
        if sum(corners) > x1 - x0:  # all fillet: rounding must not make its two overlap
            corners = tuple((x1 - x0) / 2 * wall for wall in walls)
        radius = coarse(radius + stock) if rough else fine(2 * radius) / 2
        name = f"{'pin' if kind == 'pin' else 'main'} {index + 1}"
        return Turn(x0, x1, axis, radius, corners, stock, name)

    def _nose(self, rough):
        """Nose of the roughing tool [mm]: no corner that it leaves is smaller."""
        return self.job["rough_nose"].m_as("mm") if rough else 0.0

    def _speeds(self, cut, after, rough, earlier):
        """Shift rows of a cut and its passes, for the heavier of the work before and after it and
        for the earlier cuts of its step.
        """
        limit = min(self._limit(work, cut.axis) for work in (self.work, after))
        given, lathe = (cut, self.table), (self.gears, limit, DIALS[self.units])
        feed = rules.feed(self.job, "rough_feed" if rough else "finish_feed").m_as("mm")
        asked, last = (self.job[key].m_as("mm") for key in ("rough_depth", "last_cut"))
        if not rough:
            deepest = self.borne.get(cut.place, asked)
            return shifts.finishing(self.work, *given, last, deepest, feed, *lathe)
        done = [one for step in self.steps for one in step.cuts if step.on == "centers"]
        stress, depth = bending.stress_under(self.placed, [*done, *earlier, cut]), asked
        while True:  # finer passes begin on other diameters: again, until the drive bears them all
            rows, passes = shifts.roughing(self.work, *given, depth, feed, *lathe)
            deepest = rules.rough_depth(self.job, rows, stress)
            if deepest >= depth * (1 - SLACK):
                break
            depth = deepest
        self.borne[cut.place] = depth
        stalled = rules.stalled(self.job, rows)
        for reason in ("stalls",) if stalled else ("depth",) * (depth < asked * (1 - SLACK)):
            passes = [replace(one, set_by=(*one.set_by, reason)) for one in passes]
        return rows, tuple(passes)

    def _limit(self, work, axis):
        """Speed [rpm] that the stand bears with work as it is on an axis."""
        most = hypot(*work.unbalance(axis, self.density))
        return shifts.balance_limit(most, self.lathe["unbalance_force"])

    def _tool(self, works, cuts):
        """Blade of a step: as long as the farthest of its cuts asks, or as given; and what is wrong
        with it.
        """
        needed = max(
            work.reach_needed(cut.axis, cut.radius, cut.x0, cut.x1)
            for work, cut in zip(works[:-1], cuts, strict=True)
        )
        given, thick = self.job["blade_reach"], self.job["blade_thickness"].m_as("mm")
        reach = (
            self.placed.roomy(needed + rules.BLADE_SPARE[self.units])
            if given is None
            else given.m_as("mm")
        )
        trouble = []
        if reach < needed:
            trouble.append(
                _("the blade stands out {reach}, {needed} is needed ").format(
                    reach=self.length(reach), needed=self.length(needed)
                )
                + _("to clear the work beside the cut")
            )
        narrow = min(cut.x1 - cut.x0 for cut in cuts)
        if thick > narrow:
            trouble.append(
                _("the blade is {thick} thick, the gap {narrow} wide").format(
                    thick=self.length(thick), narrow=self.length(narrow)
                )
            )
        return {"reach": reach, "reach_needed": needed, "thickness": thick}, trouble

    def _struck(self, at):
        return [
            _("the work strikes the {where}: {at} too wide").format(
                where=where, at=self.length(-at[key])
            )
            for key, where in (("over_bed", _("bed")), ("over_carriage", _("carriage")))
            if at[key] < 0
        ]

    def _too_fast(self, speeds, work, axis):
        found = []
        fast = max(speeds, key=lambda row: row.over, default=None)
        if fast and fast.over > shifts.MOST_OVER:
            found.append(self._over(fast) + f": {rules.slower(self.job, fast)}")
        if any(row.set_by == "balanced" for row in speeds):
            most = hypot(*work.unbalance(axis, self.density))
            weight = Quantity(most, "kg*mm") / self.job["counterweight_radius"]
            found.append(
                _(
                    "the stand does not bear the work even at {gears:g} rpm: balance it with "
                ).format(gears=self.gears[0])
                + _("{weight} on the driving plate, opposite it, ").format(
                    weight=shown(weight, "mass", self.units)
                )
                + _("bolted through and behind a guard")
            )
        return found

    def _over(self, row):
        return _("at {place} even the slowest step, {rpm:g} rpm, cuts ").format(
            place=spoken(row.place), rpm=row.rpm
        ) + _("{over:.0f} % faster than the tables").format(over=100 * (row.over - 1))

    def _limits(self, driven, rough, speeds):
        if rough:
            yield _("leave {finish} on the round, the web faces and the fillets").format(
                finish=self.fine(self.finish)
            )
        else:
            yield _("last cut {last_cut} on the radius").format(
                last_cut=self.fine(self.job["last_cut"].m_as("mm"))
            )
        fast = max(speeds, key=lambda row: row.over, default=None)
        if fast and 1 < fast.over <= shifts.MOST_OVER:
            worn = shifts.wear(fast.over, self.job["tool"])
            yield _("{fast}: the edge wears {worn:.2g} times as fast, keep it sharp").format(
                fast=self._over(fast), worn=worn
            )
        texts, left = words()["drive"], self.placed.faced[0]
        if driven.by == "dog":
            x0, x1 = (self.length(x - left) for x in driven.x)
            yield texts["dog"].format(x0=x0, x1=x1)
        else:
            yield texts["strikes" if driven.strikes else "bolt"]
