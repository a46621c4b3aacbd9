"""The steps of a job's plan as printed: cuts, shifts, limits, readings with accept windows."""

import warnings
from dataclasses import dataclass, replace

from crankmath.inspection.uncertainty import tool_division
from crankmath.language import _, spoken
from crankmath.units import Quantity
from crankmath.wording import ERRORS, most_shown, said_of, shown
from crankmath.workpiece import Step
from crankmath.workpiece.planning.rules import fixing_reach

from .tables import depths, size_table, spacer_table
from .windows import (
    arm_window,
    difference_doubt,
    general,
    lines_between,
    micrometer,
    throw_windows,
    window,
)

PASSES_AT = {
    **{"rough": "", "finish": ""},
    **{"walls": _("the walls left at "), "face": _("the web faces of ")},
}


@dataclass(frozen=True)
class Printed:
    """A step of the plan in words.

    ``cuts`` are rows of place, from and to along the bar from its left face, and size; ``shifts``
    rows of place and speeds; ``readings`` rows of place, what is read, from, to.
    """

    number: int
    step: Step
    limits: tuple
    cuts: tuple = ()
    shifts: tuple = ()
    readings: tuple = ()


def steps_or_why(report):
    """All steps of a report's plan and no word; or none and the sentence that says why."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # each check says its own
        try:
            plan = report.workings.plan
            teller = _Teller(report, plan)
            return tuple(teller.step(number, one) for number, one in enumerate(plan.steps, 1)), ""
        except ERRORS as error:
            return (), _("No plan can be made. {error}").format(error=said_of(error))


def printed_steps(report):
    """All steps of a report's plan; none where no plan can be made, its checks say why."""
    return steps_or_why(report)[0]


class _Teller:
    def __init__(self, report, plan):
        self.report, self.work, self.plan = report, report.workings, plan
        self.job, self.units = report.job, report.job.units
        self.sizes = {row[0]: row[1:6] for row in _tried(size_table, self.work)}
        self.pressed = {one.step.key: one for one in self.work.pressed}

    def length(self, size, kind="length", digits=None):
        return shown(Quantity(float(size), "mm"), kind, self.units, digits)

    def datum(self, x):
        return self.length(x - self.plan.placed.faced[0], "place")

    def step(self, number, step):
        turned = step.on == "centers" and step.cuts
        finish = turned and not step.key.startswith("rough")
        return Printed(
            number,
            replace(step, trouble=tuple(self.trouble(step))),
            (*step.limits, *self.limits(step, turned)),
            tuple((spoken(name), *rest) for name, *rest in self.cuts(step, finish)),
            tuple(self.shifts(step)),
            tuple((spoken(name), *rest) for name, *rest in self.readings(step, finish)),
        )

    def limits(self, step, turned):
        job, units = self.job, self.units
        if turned:
            yield self.chip(step)
            yield from self.thrust(self.pressed[step.key])
            reach = self.work.bolt_reach if step.driven.by == "bolt" else None
            if reach is not None:
                yield _("let the plate push the bolt within {most} of the end face").format(
                    most=most_shown(reach, "length", units)
                )
        if step.key.startswith("finish_pin"):
            yield _("throw within ±{off}").format(
                off=shown(job["throw_tolerance"], "length", units)
            )
        if step.key == "finish_mains":
            runout = shown(job["allowed_runout"], "fine", units)
            yield _("runout at most {runout} after release").format(runout=runout)
        if step.key.startswith("spacer"):
            yield from _tried(lambda work: (spacer_table(work).note,), self.work)
        if step.key == "fillets":
            yield _("radius as drawn, no undercut, no step where it meets pin or main")
        if step.key == "balance":
            yield self.report.find("balance").sentence

    def thrust(self, one):
        """Least and most thrust of a turning step, and what to set within them."""
        (least, most), used = one.ends(self.units), shown(one.thrust, "force", self.units)
        if not one.holds:
            return
        if one.thrust > one.most:
            used = _("{most}, not {used}").format(most=most, used=used)
        if one.least is not None:
            used = (
                _("{used}, at least {least}").format(used=used, least=least)
                if one.thrust > one.least
                else _("at least {least}").format(least=least)
            )
        yield _("thrust {used}, never above {most} in this step").format(used=used, most=most)
        if one.rough:
            yield _("the upper limit is worked out for the finished crank, which is the safe side")
        yield _("{ease}, never below what holds the work in its centers").format(
            ease=self._eased(one.step)
        )

    def _eased(self, step):
        """When the thrust of a step is eased, as its longest pass warms the work."""
        warmed = _tried(lambda work: work.warmed, self.work)
        one = next((one for one in warmed if one.stage.step is step), None)
        if one is None or one.asks == "nothing":
            return _("ease the thrust after each pass")
        if one.asks == "stop":
            return _("stop and ease the thrust after {until} in the cut").format(
                until=shown(one.until, "time", self.units, 2)
            )
        return _("ease the thrust all the time, or use a spring-loaded center")

    def trouble(self, step):
        """What cannot be done at a step, as the plan has it and as the thrust has it."""
        yield from step.trouble
        if step.key.startswith("spacer"):
            try:
                spacer_table(self.work)
            except ERRORS as error:
                yield said_of(error).rstrip(".")
        one = self.pressed.get(step.key)
        if one and not one.holds:
            least, most = one.ends(self.units)
            yield (
                _(
                    "this cut throws the work out of its centers with less than {least} of thrust, "
                    "and the step bears no more than {most}: lighter cuts, stouter webs, or spacers"
                ).format(least=least, most=most)
            )

    def chip(self, step):
        """Feed, passes and their depth of a turning step."""
        alike = {}
        for one in step.passes:
            kind, number = one.place.split()
            of = f"{PASSES_AT[one.work]}{_(kind)}", depths(one, self.units)
            alike.setdefault(of, []).append(number)
        counts = (f"{of} {', '.join(some)}: {words}" for (of, words), some in alike.items())
        return _("{feed} a turn; passes at {counts}").format(
            feed=self.length(step.feed), counts=_("; at ").join(counts)
        )

    def cuts(self, step, finish):
        last = None
        for cut in step.cuts:
            data = cut.as_dict()
            if data["kind"] == "end":
                yield cut.place, self.datum(cut.x), "", _("face or saw square here")
            elif data["kind"] == "turn":
                size = f"Ø{self.length(2 * cut.radius, 'place')}"
                corners = [
                    f"R {self.length(corner, 'length', 3)} {side}"
                    for corner, side in zip(cut.corners, (_("left"), _("right")), strict=True)
                    if corner
                ]
                if finish and cut.place in self.sizes:
                    size = self.sizes[cut.place][0]
                yield cut.place, self.datum(cut.x0), self.datum(cut.x1), ", ".join([size, *corners])
            elif data["kind"] == "outline":
                corners = "; ".join(
                    f"{self.length(y, 'place').split()[0]}, {self.length(z, 'place').split()[0]}"
                    for y, z in cut.points
                )
                words = _("corners, up and across: {corners}").format(corners=corners)
                words = _("corners as above") if corners == last else words
                last = corners
                yield cut.place, self.datum(cut.x0), self.datum(cut.x1), words
        for one in step.slots:
            x0 = self.plan.placed.faced[0] + one.begin
            words = _(
                "from the side {side:g}° of throw 1, {depth} deep from the bar's skin, {width} wide"
            ).format(
                side=one.side,
                depth=self.length(one.depth, "place"),
                width=self.length(one.width, "place"),
            )
            if one.holes:
                words += _(
                    "; {holes} holes of {drill} every {pitch}, the first {first_hole} from the "
                    "datum, middles {drill_line} deep"
                ).format(
                    holes=one.holes,
                    drill=self.length(one.drill),
                    pitch=self.length(one.pitch),
                    first_hole=self.length(one.first_hole, "place"),
                    drill_line=self.length(one.drill_line, "place"),
                )
            yield one.place, self.datum(x0), self.datum(x0 + one.width), words

    def shifts(self, step):
        rows, last = {}, None
        for row in step.speeds:
            cuts = rows.setdefault((row.place, row.work), [])
            if not (cuts and last.place == row.place and row.diameter < last.diameter):
                cuts.append([])  # an arrow shifts up; what begins again is another cut
            cuts[-1].append(f"Ø{self.length(row.diameter, 'length', 3)} {row.rpm:g} rpm")
            last = row
        alike = {}
        for (place, work), cuts in rows.items():
            kind, number = place.split()
            words = ", ".join(dict.fromkeys(map(" → ".join, cuts)))
            alike.setdefault((kind, work, words), []).append(number)
        for (kind, work, words), numbers in alike.items():
            yield f"{_(kind)} {', '.join(numbers)}, {_(work)}", words

    def readings(self, step, finish):
        crank, placed = self.work.crank, self.plan.placed
        if finish:
            for cut in step.cuts:
                if cut.place in self.sizes:
                    yield cut.place, micrometer(cut), *self.sizes[cut.place][3:]
            yield from self.walls(step)
        elif step.key.startswith("rough"):
            for cut in step.cuts:
                if cut.stock:
                    low, high = (self.length(one, "place") for one in cut.accepted)
                    yield cut.place, micrometer(cut), low, high
            for place in self.marked(step).values():
                yield place, _("indicator, runs out now"), "", ""
        elif step.key == "saw":
            for size in placed.bar["sizes"]:
                under, over = (Quantity(one, "mm") for one in self.plan.bar_off)
                size, words = Quantity(size, "mm"), _("calipers, two ways")
                ends = window(size - under, size + over, self.units, False)
                yield shown(size, "length", self.units), words, *ends
        elif step.key == "centers":
            yield from self.centers()
        elif step.key == "face":
            yield (
                _("length"),
                _("calipers"),
                *general(placed.faced[1] - placed.faced[0], self.units),
            )
        elif step.key == "mill":
            for one in step.slots:
                words = _("depth from skin, {side:g}°").format(side=one.side)
                yield one.place, words, *general(one.depth, self.units)
            for place in self.marked(step).values():
                yield place, _("indicator, before | after"), "", ""
        elif step.key == "webs":
            lengths = {}
            for index in dict.fromkeys(int(cut.place.split()[1]) - 1 for cut in step.cuts):
                one = crank.throws[index]
                wide, long = one.web_width.m_as("mm"), (one.radius + 2 * one.web_reach).m_as("mm")
                yield f"web {index + 1}", _("calipers over the width"), *general(wide, self.units)
                lengths.setdefault(general(long, self.units), []).append(str(index + 1))
            for ends, some in lengths.items():
                yield f"{spoken('web')} {', '.join(some)}", _("calipers over the length"), *ends
        elif step.key == "rest":
            roughed = (
                cut for one in self.plan.steps if one.key == "rough_mains" for cut in one.cuts
            )
            left = {cut.place: self.length(placed.least_left(cut)) for cut in roughed if cut.stock}
            for main, place in self.marked(step).items():
                yield place, _("half of what it runs out now"), "0", left.get(main, "")
        elif step.key.startswith("spacer"):
            for row in _tried(lambda work: spacer_table(work).rows, self.work):
                if row[0] == step.key.replace("spacer_", "throw "):
                    words = _("gauge blocks or adjustable parallel, on the main axis")
                    yield _("gap of {row}").format(row=row[0]), words, "", ""
                    yield (
                        _("spacer of {row}").format(row=row[0]),
                        _("indicator, zero on that gauge"),
                        row[3],
                        row[4],
                    )
        elif step.key == "inspect":
            yield from self.inspection()
        elif step.key == "ends":
            for number in (1, len(crank.journals)):
                long = crank.journals[number - 1].length.m_as("mm")
                yield f"main {number}", _("calipers, from its web"), *general(long, self.units)
            yield _("length over all"), _("calipers"), *general(crank.length.m_as("mm"), self.units)
        elif step.key == "wheel" and not step.trouble:
            reach = fixing_reach(self.job).m_as("mm")
            yield _("inner edge"), _("calipers, from the right end"), *general(reach, self.units)

    def marked(self, step):
        """Mains with the places of their marks, by main: one blank for each."""
        by_main = {}
        for main, x in step.marks:
            by_main.setdefault(main, []).append(self.datum(x))
        return {
            main: _("{main} at {places}").format(main=spoken(main), places=" | ".join(places))
            for main, places in by_main.items()
        }

    def centers(self):
        """Places of the centers on both ends, by the gauge that proves the throws."""
        doubt = difference_doubt(self.report)
        for one in self.plan.agreement if doubt is not None else ():
            pin = f"pin {one.throw + 1}"
            step = tool_division(self.job["height_gauge"])
            throw = arm_window(self.report, one.throw, step)
            words = _("height gauge, throw up: its ball less the main's")
            yield _("{pin}, left | right end").format(pin=spoken(pin)), words, *throw
            # each end is one height less another, not half of it as a throw is
            room = Quantity(one.each, "mm") - 2 * doubt
            ends = lines_between(-room, room, step)
            yield (
                _("{pin}, ends' difference").format(pin=spoken(pin)),
                _("of both readings above"),
                *ends,
            )
            words = _("throw lying, left end set level: ball less main's")
            yield _("{pin}, across at right end").format(pin=spoken(pin)), words, *ends

    def walls(self, step):
        """Lengths between two faces of which a finishing step cuts one, as they then stand: jaws
        reach a face that looks away from the datum, or that the stub hides.
        """
        steps, names = self.plan.steps, {"pin": "pin", "journal": "main"}
        turned = [one for one in steps[: self.plan.number(step) + 1] if one.on == "centers"]
        spans = {cut.place: (cut.x0, cut.x1) for one in turned for cut in one.cuts}
        pieces = [
            (f"{names.get(kind, kind)} {n + 1}", n)
            for kind, n, *_unused in self.plan.placed.segments
        ]
        now, webs = {cut.place for cut in step.cuts}, {}
        for at, (name, index) in enumerate(pieces):
            beside = [one for one, _unused in pieces[max(at - 1, 0) : at + 2] if one != name]
            if name in now:
                what = _("gap") if len(beside) > 1 else _("stub to web")
                x0, x1 = spans[name]
                yield (
                    f"{spoken(name)}, {what}",
                    _("calipers, inside jaws"),
                    *general(x1 - x0, self.units),
                )
            elif name.startswith("web") and now & set(beside) and set(beside) <= set(spans):
                side = _("right") if beside[0].startswith("pin") else _("left")
                thick = spans[beside[1]][0] - spans[beside[0]][1]
                webs.setdefault((index, general(thick, self.units)), []).append(side)
        for (index, ends), sides in webs.items():
            yield (
                _("web {index}, {sides}").format(index=index + 1, sides=" | ".join(sides)),
                _("calipers over the web"),
                *ends,
            )

    def inspection(self):
        found = {
            one.label: one.value
            for of in ("runout", "throw")
            for one in self.report.find(of).numbers
        }
        runout = found.get(_("accept up to"))
        angle = found.get(_("angle: accept up to, either way"))
        if runout is not None:
            most = lines_between(0 * runout, runout, tool_division(self.job["indicator"]))[1]
            yield "runout", _("runout of each main, indicator between centers"), "", most
        if angle is not None:
            most = most_shown(angle, "angle", self.units)
            yield "throw", _("angle between throws, error either way, height gauge"), "", most
        half = tool_division(self.job["height_gauge"]) / 2
        for name, ends in throw_windows(self.report, half).items():
            yield name, _("height gauge over the pin, half of top less bottom"), *ends


def _tried(make, work):
    """Rows of a table, or none where it cannot be made; its check says why."""
    try:
        found = make(work)
    except ERRORS:
        return ()
    return getattr(found, "rows", found)
