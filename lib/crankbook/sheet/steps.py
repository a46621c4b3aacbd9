"""The steps of a job's plan as printed: cuts, shifts, limits, readings with accept windows."""

import warnings
from dataclasses import dataclass, replace

from crankmath.inspection.uncertainty import tool_division
from crankmath.units import Quantity, as_text
from crankmath.wording import ERRORS, said_of, shown
from crankmath.workpiece import Step
from crankmath.workpiece.planning.rules import fixing_reach

from .tables import CANNOT, depths, size_table, spacer_table, window

ANVIL = 6.5  # mm, across a micrometer's anvil: from memory
GENERAL = (  # up to this size may be off so much [mm]: ISO 2768-1 medium, from memory
    *((6.0, 0.1), (30.0, 0.2), (120.0, 0.3), (400.0, 0.5)),
    *((1000.0, 0.8), (2000.0, 1.2), (float("inf"), 2.0)),
)
PASSES_AT = {
    **{"rough": "", "finish": ""},
    **{"walls": "the walls left at ", "face": "the web faces of "},
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


def printed_steps(report):
    """All steps of a report's plan; none where no plan can be made, its checks say why."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # each check says its own
        try:
            plan = report.workings.plan
            teller = _Teller(report, plan)
            return tuple(teller.step(number, one) for number, one in enumerate(plan.steps, 1))
        except ERRORS:
            return ()


def why_no_plan(report):
    """Sentence that says why no plan can be made."""
    try:
        return f"No plan stands: {report.workings.plan and ''}"
    except ERRORS as error:
        return f"No plan can be made. {said_of(error)}"


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
            tuple(self.cuts(step, finish)),
            tuple(self.shifts(step)),
            tuple(self.readings(step, finish)),
        )

    def limits(self, step, turned):
        job, units = self.job, self.units
        if turned:
            yield self.chip(step)
            yield from self.thrust(self.pressed[step.key])
        if step.key.startswith("finish_pin"):
            yield f"throw within ±{shown(job['throw_tolerance'], 'length', units)}"
        if step.key == "finish_mains":
            yield f"runout at most {shown(job['allowed_runout'], 'fine', units)} after release"
        if step.key.startswith("spacer"):
            yield from _tried(lambda work: (spacer_table(work).note,), self.work)
        if step.key == "fillets":
            yield "radius as drawn, no undercut, no step where it meets pin or main"
        if step.key == "balance":
            yield self.report.find("balance").sentence

    def thrust(self, one):
        """Least and most thrust of a turning step, and what to set within them."""
        (least, most), used = one.ends(self.units), shown(one.thrust, "force", self.units)
        if not one.holds:
            return
        if one.thrust > one.most:
            used = f"{most}, not {used}"
        if one.least is not None:
            used = f"{used}, at least {least}" if one.thrust > one.least else f"at least {least}"
        yield f"thrust {used}, never above {most} in this step"
        if one.rough:
            yield "the most is worked for the finished crank, which is the safe side"
        yield "ease the thrust after each pass, never below what holds the work in its centers"

    def trouble(self, step):
        """What cannot be done at a step, as the plan has it and as the thrust has it."""
        yield from step.trouble
        one = self.pressed.get(step.key)
        if one and not one.holds:
            least, most = one.ends(self.units)
            yield (
                f"this cut throws the work out of its centers with less than {least} of thrust, "
                f"and the step bears no more than {most}: lighter cuts, stouter webs, or spacers"
            )

    def chip(self, step):
        """Feed, passes and their depth of a turning step."""
        alike = {}
        for one in step.passes:
            kind, number = one.place.split()
            of = f"{PASSES_AT[one.work]}{kind}", depths(one, self.units)
            alike.setdefault(of, []).append(number)
        counts = (f"{of} {', '.join(some)}: {words}" for (of, words), some in alike.items())
        return f"{self.length(step.feed)} a turn; passes at {'; at '.join(counts)}"

    def cuts(self, step, finish):
        last = None
        for cut in step.cuts:
            data = cut.as_dict()
            if data["kind"] == "end":
                yield cut.place, self.datum(cut.x), "", "face or saw square here"
            elif data["kind"] == "turn":
                size = f"Ø{self.length(2 * cut.radius, 'place')}"
                corners = [
                    f"R {self.length(corner, 'length', 3)} {side}"
                    for corner, side in zip(cut.corners, ("left", "right"), strict=True)
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
                words = f"corners, up and across: {corners}"
                words = "corners as above" if corners == last else words
                last = corners
                yield cut.place, self.datum(cut.x0), self.datum(cut.x1), words
        for one in step.slots:
            x0 = self.plan.placed.faced[0] + one.begin
            words = (
                f"from the side {one.side:g}° of throw 1, {self.length(one.depth, 'place')} deep "
                f"from the bar's skin, {self.length(one.width, 'place')} wide"
            )
            if one.holes:
                words += (
                    f"; {one.holes} holes of {self.length(one.drill)} every "
                    f"{self.length(one.pitch)}, the first {self.length(one.first_hole, 'place')} "
                    f"from the datum, middles {self.length(one.drill_line, 'place')} deep"
                )
            yield one.place, self.datum(x0), self.datum(x0 + one.width), words

    def shifts(self, step):
        rows = {}
        for row in step.speeds:
            words = f"Ø{self.length(row.diameter, 'length', 3)} {row.rpm:g} rpm"
            rows.setdefault((row.place, row.work), []).append(words)
        alike = {}
        for (place, work), words in rows.items():
            kind, number = place.split()
            alike.setdefault((kind, work, " → ".join(words)), []).append(number)
        for (kind, work, words), numbers in alike.items():
            yield f"{kind} {', '.join(numbers)}, {work}", words

    def readings(self, step, finish):
        crank, placed = self.work.crank, self.plan.placed
        if finish:
            for cut in step.cuts:
                if cut.place in self.sizes:
                    yield cut.place, _micrometer(cut), *self.sizes[cut.place][3:]
            yield from self.walls(step)
        elif step.key.startswith("rough"):
            for cut in step.cuts:
                if cut.stock:
                    low, high = (self.length(one, "place") for one in cut.accepted)
                    yield cut.place, _micrometer(cut), low, high
            for place in self.marked(step):
                yield place, "indicator, runs out now", "", ""
        elif step.key == "saw":
            for size in placed.bar["sizes"]:
                under, over = (Quantity(one, "mm") for one in self.plan.bar_off)
                size, words = Quantity(size, "mm"), "calipers, two ways"
                ends = window(size - under, size + over, self.units, False)
                yield shown(size, "length", self.units), words, *ends
        elif step.key == "centers":
            yield from self.centers()
        elif step.key == "face":
            yield "length", "calipers", *self.general(placed.faced[1] - placed.faced[0])
        elif step.key == "mill":
            for one in step.slots:
                words = f"depth from skin, {one.side:g}°"
                yield one.place, words, *self.general(one.depth)
            for place in self.marked(step):
                yield place, "indicator, before | after", "", ""
        elif step.key == "webs":
            lengths = {}
            for index in dict.fromkeys(int(cut.place.split()[1]) - 1 for cut in step.cuts):
                one = crank.throws[index]
                wide, long = one.web_width.m_as("mm"), (one.radius + 2 * one.web_reach).m_as("mm")
                yield f"web {index + 1}", "calipers over the width", *self.general(wide)
                lengths.setdefault(self.general(long), []).append(str(index + 1))
            for ends, some in lengths.items():
                yield f"web {', '.join(some)}", "calipers over the length", *ends
        elif step.key == "rest":
            roughed = (
                cut for one in self.plan.steps if one.key == "rough_mains" for cut in one.cuts
            )
            left = {cut.place: self.length(placed.least_left(cut)) for cut in roughed if cut.stock}
            for place in self.marked(step):
                words = "half of what it runs out now"
                yield place, words, "0", left.get(place.split(" at ")[0], "")
        elif step.key.startswith("spacer"):
            for row in _tried(lambda work: spacer_table(work).rows, self.work):
                if row[0].split()[-1] == step.key.split("_")[1]:
                    words = "gauge blocks or adjustable parallel, on the main axis"
                    yield f"gap of {row[0]}", words, "", ""
                    yield f"spacer of {row[0]}", "indicator, zero on that gauge", row[3], row[4]
        elif step.key == "inspect":
            yield from self.inspection()
        elif step.key == "ends":
            for number in (1, len(crank.journals)):
                long = crank.journals[number - 1].length.m_as("mm")
                yield f"main {number}", "calipers, from its web", *self.general(long)
            yield "length over all", "calipers", *self.general(crank.length.m_as("mm"))
        elif step.key == "wheel" and not step.trouble:
            reach = fixing_reach(self.job).m_as("mm")
            yield "inner edge", "calipers, from the right end", *self.general(reach)

    def marked(self, step):
        """Mains with the places of their marks: one blank for each."""
        by_main = {}
        for main, x in step.marks:
            by_main.setdefault(main, []).append(self.datum(x))
        return [f"{main} at {' | '.join(places)}" for main, places in by_main.items()]

    def centers(self):
        """Places of the centers on both ends, by the gauge that proves the throws."""
        proof = self.report.find("throw")
        doubt = difference_doubt(self.report)
        for one in self.plan.agreement if doubt is not None else ():
            pin = f"pin {one.throw + 1}"
            throw = _throw_windows(proof, self.units)[f"throw {one.throw + 1}"]
            words = "height gauge, throw up: its ball less the main's"
            yield f"{pin}, left | right end", words, *throw
            step = tool_division(self.job["height_gauge"])
            room = (Quantity(one.each, "mm") - doubt).m_as(step.units) // step.magnitude * step
            ends = window(-room, room, self.units) if room > 0 else CANNOT
            yield f"{pin}, ends' difference", "of both readings above", *ends
            words = "throw lying, left end set level: ball less main's"
            yield f"{pin}, across at right end", words, *ends

    def walls(self, step):
        """Lengths between two faces of which a finishing step cuts one, as they then stand: jaws
        reach a face that looks away from the datum, or that the stub hides.
        """
        steps, names = self.plan.steps, {"pin": "pin", "journal": "main"}
        turned = [one for one in steps[: self.plan.number(step) + 1] if one.on == "centers"]
        spans = {cut.place: (cut.x0, cut.x1) for one in turned for cut in one.cuts}
        pieces = [
            (f"{names.get(kind, kind)} {n + 1}", n) for kind, n, *_ in self.plan.placed.segments
        ]
        now, webs = {cut.place for cut in step.cuts}, {}
        for at, (name, index) in enumerate(pieces):
            beside = [one for one, _ in pieces[max(at - 1, 0) : at + 2] if one != name]
            if name in now:
                what = "gap" if len(beside) > 1 else "stub to web"
                x0, x1 = spans[name]
                yield f"{name}, {what}", "calipers, inside jaws", *self.general(x1 - x0)
            elif name.startswith("web") and now & set(beside) and set(beside) <= set(spans):
                side = "right" if beside[0].startswith("pin") else "left"
                thick = spans[beside[1]][0] - spans[beside[0]][1]
                webs.setdefault((index, self.general(thick)), []).append(side)
        for (index, ends), sides in webs.items():
            yield f"web {index + 1}, {' | '.join(sides)}", "calipers over the web", *ends

    def general(self, size):
        """Window of a length without a tolerance of its own."""
        off = next(some for most, some in GENERAL if size <= most)
        return window(Quantity(size - off, "mm"), Quantity(size + off, "mm"), self.units, False)

    def inspection(self):
        for check, label, words in (
            ("runout", "accept up to", "runout of each main, indicator between centers"),
            ("throw", "angle: accept up to, off either way", "angle between throws, height gauge"),
        ):
            for one in self.report.find(check).numbers:
                if one.label == label:
                    yield check, words, "", one.text(self.units)
        for name, ends in _throw_windows(self.report.find("throw"), self.units).items():
            yield name, "height gauge over the pin, top and bottom", *ends


def _micrometer(cut):
    """What reads the diameter of a cut: a plain anvil has to go in between its corners."""
    blade = cut.x1 - cut.x0 - sum(cut.corners) < ANVIL + 1.0
    return "blade micrometer, cold" if blade else "micrometer, cold"


def _throw_windows(proof, units):
    """Accept window of each throw by the check that proves it."""
    windows = {}
    for one in proof.numbers:
        if one.label.startswith("throw ") and "accept" in one.label:
            windows.setdefault(one.label.split(":")[0], []).append(one.text(units))
    return {name: (texts[0], "".join(texts[1:])) for name, texts in windows.items()}


def difference_doubt(report):
    """Doubt of a difference of two throws or of a pin's two ends; None where nobody knows."""
    label = "uncertainty of a difference of two heights"
    return next((one.value for one in report.find("throw").numbers if one.label == label), None)


def twist_limit(report):
    """How far a pin's axis may be askew over the pin's length, and whether the gauge can tell."""
    units, doubt, allowed = report.job.units, difference_doubt(report), report.workings.askew
    words = f"over the pin's whole length {shown(allowed, 'fine', units, 2)} are allowed"
    if doubt is None or doubt >= allowed:
        return f"{words}, which this gauge cannot tell: read it with a finer indicator"
    return f"{words}: accept up to {shown(allowed - doubt, 'fine', units, 2)}"


def _tried(make, work):
    """Rows of a table, or none where it cannot be made; its check says why."""
    try:
        found = make(work)
    except ERRORS:
        return ()
    return getattr(found, "rows", found)


def axial_table(work):
    """Every shoulder and web face from the datum: part, its begin, its end, its length."""
    placed, units, rows = work.plan.placed, work.units, []
    names = {"journal": "main", "pin": "pin", "web": "web of throw"}
    for kind, index, x0, x1 in placed.segments:
        rows.append(
            (
                f"{names[kind]} {index + 1}",
                *(
                    shown(Quantity(float(x - placed.faced[0]), "mm"), "place", units)
                    for x in (x0, x1)
                ),
                shown(Quantity(float(x1 - x0), "mm"), "place", units),
            )
        )
    return tuple(rows)


def center_places(work):
    """Centers in the frame of the traveler: (axis, toward throw 1, across)."""
    placed, units = work.plan.placed, work.units
    axes = [("main", placed.main)]
    axes += [(f"pin {number}", axis) for number, axis in enumerate(placed.pins, 1)]
    return tuple(
        (name, *(shown(Quantity(placed.fine(part), "mm"), "place", units) for part in axis))
        for name, axis in axes
    )


def phase_rows(work):
    """Rows to fill in for angle and twist: throws level, heights over each pin at both ends."""
    rows = []
    for number, throw in enumerate(work.crank.throws, 1):
        rows.append((f"pin {number}", as_text(throw.angle, "deg"), *("",) * 6))
    return tuple(rows)
