"""Lesson 04, choose a spindle speed: its panel and its three questions."""

import numpy as np

from crankmath import cutting
from crankmath.cutting.shifts import BALANCE_SHARE
from crankmath.cutting.speeds import SCATTER
from crankmath.job import Job
from crankmath.language import _, marked
from crankmath.units import Quantity, as_text
from crankmath.wording import capital
from crankmath.workpiece import make_plan

from ...lesson import own, own_lathe
from ...lesson.exercise import Question, check_gap, prediction
from ...lesson.finding import Finding, answering
from ...lesson.kept import once
from ...lesson.own_files import MISTAKES
from ...lesson.panel import Control
from ...lesson.scene import Scene
from ...pictures import scene
from ...pictures.turning import speed_picture

LATHE = own_lathe.SCHOOL  # of the questions, alike for all who are asked
WIDEST, BEYOND = 90.0, 10  # mm that the chart shows at least; curves go on as many times farther
STEPS = {  # button, step of the plan, kinds of work: their widest row
    marked("pin, first pass"): ("rough_pin_1", ("walls", "rough")),
    marked("pin, to size"): ("finish_pin_1", ("finish",)),
    marked("main, to size"): ("finish_mains", ("finish",)),
    marked("web face"): ("finish_mains", ("face",)),
}


def settings(name):
    """Diameter, mass and offset of the work at each of ``STEPS`` of a crank, as its plan has it.

    Empty where no plan can be made, as for a crank larger than any bar.
    """

    def work():
        try:
            plan = make_plan(own_lathe.under(Job(own.load(name))))
        except MISTAKES:
            return {}
        return {
            button: found
            for button, (key, kinds) in STEPS.items()
            if (found := _turned(plan, plan.steps[plan.number(key)], kinds))
        }

    return once(("04 plan", name, own.stamp(name), own_lathe.chosen()), work)


def _turned(plan, step, kinds):
    """Settings for the widest row of some kinds of a step; None where there is no such row."""
    rows = [row for row in step.speeds if row.work in kinds]
    if not rows:
        return None
    row, mass = max(rows, key=lambda row: row.diameter), plan.mass(step).m_as("kg")
    return {
        "cutting_speed": Quantity(row.table_m_min, "m/min"),
        "diameter": Quantity(row.diameter, "mm"),
        "throw": Quantity(plan.unbalance(step)[0] / mass, "mm"),
        "mass": Quantity(mass, "kg"),
    }


def cranks():
    """Cranks whose work the buttons set: the reader's own that is first, and the pump."""
    first = own.names()[0]
    return (first, "pump") if own.is_own(first) else ("pump",)


def controls():
    """Sliders that begin at a main of the reader's own crank, and reach as far as its work does."""
    known = {name: found for name in cranks() if (found := settings(name))}
    first = next(iter(known), "pump")
    begin = known[first]["main, to size"]
    diameter, throw, mass = (
        max(
            least,
            *(1.1 * one[name].m_as(unit) for found in known.values() for one in found.values()),
        )
        for name, unit, least in (
            ("diameter", "mm", WIDEST),
            ("throw", "mm", 40),
            ("mass", "kg", 6),
        )
    )
    return (
        Control(
            "cutting_speed",
            _("Cutting speed v"),
            ("m/min", 5, 60, 0.5),
            ("ft/min", 15, 200, 1),
            Quantity(25.0, "m/min"),
        ),
        Control(
            "diameter",
            _("Diameter at the tool d"),
            ("mm", 4, round(diameter), 0.5),
            ("in", 0.15, round(diameter / 25.4, 1), 0.02),
            own.load(first).journals[0].diameter,
            ("cm",),
        ),
        Control(
            "throw",
            _("Bar off axis by e"),
            ("mm", 0, round(throw), 0.5),
            ("in", 0, round(throw / 25.4, 1), 0.02),
            begin["throw"],
            ("cm",),
        ),
        Control(
            "mass",
            _("Mass of the bar m"),
            ("kg", 0.1, round(mass), 0.05),
            ("lb", 0.2, round(2.2 * mass), 0.1),
            begin["mass"],
            ("g", "oz"),
        ),
    )


def presets():
    """Settings of each step, under the crank's name."""
    return {
        f"{capital(name)} {_(button)}": one
        for name in cranks()
        for button, one in settings(name).items()
    }


def speeds(cutting_speed, diameter, throw, mass, lathe):
    """Spindle speed by the cut, by the balance, and the gear step for both, each a Quantity [rpm].

    A step may lie ``SCATTER`` above the cut's speed; the bar may pull with ``BALANCE_SHARE`` of
    what the lathe bears. The balance speed is None for a bar on its own axis, the step None below
    the slowest.
    Basis: derived from ``cutting``.
    """
    by_cut, table = cutting.spindle_speed(cutting_speed, diameter), lathe.gear_table
    by_balance, bound = None, by_cut * (1 + SCATTER)
    if throw.magnitude > 0:
        by_balance = cutting.unbalanced_speed_limit(mass, throw, lathe.unbalance_force)
        bound = min(bound, by_balance * BALANCE_SHARE**0.5)
    return by_cut, by_balance, cutting.gear_speed(bound, table) if bound >= table.min() else None


def items(units, cutting_speed, diameter, throw, mass):
    """What moves in the chart and in the end view, and the finding."""
    lathe = own_lathe.chosen()
    by_cut, by_balance, gear = speeds(cutting_speed, diameter, throw, mass, lathe)
    unit = "mm" if units == "mm" else "in"
    shown = Quantity(WIDEST, "mm").m_as(unit)
    across = np.geomspace(0.02, BEYOND, 250) * shown
    curve = cutting.spindle_speed(cutting_speed, Quantity(across, unit)).m_as("rpm")
    ends = across[[0, -1]]
    drawn = [
        scene.Curve(across, curve, scene.BLUE),
        scene.Point(
            diameter.m_as(unit), by_cut.m_as("rpm"), scene.BLUE, grips=(scene.Grip("diameter"),)
        ),
    ]
    guess = prediction("04 spindle speed", ("rpm",))
    if guess is not None:
        level = guess.m_as("rpm")
        drawn += [
            scene.Curve(ends, np.full(2, level), scene.PURPLE, 2, "3 4"),
            scene.Note(shown * 0.5, level, _("your prediction"), scene.PURPLE, "middle"),
        ]
    if by_balance is not None:
        limit = by_balance.m_as("rpm")
        words = _("out-of-balance limit {by_balance}").format(
            by_balance=as_text(by_balance, "rpm", 3)
        )
        drawn += [
            scene.Curve(ends, np.full(2, limit), scene.RUST, 2.5, "10 5"),
            scene.Note(shown * 0.98, limit, words, scene.RUST, "end"),
        ]
    if gear is not None:
        step = gear.m_as("rpm")
        drawn += [
            scene.Curve(ends, np.full(2, step), scene.GREEN, 3, ""),
            _use(step, diameter.m_as(unit), shown),
        ]
    drawn += _end_view(units, cutting_speed, diameter, throw, mass, gear, lathe)
    finding = _finding(units, cutting_speed, diameter, by_cut, by_balance, gear, lathe)
    if guess is not None:
        finding = answering(finding, as_text(guess, "rpm", 3), as_text(by_cut, "rpm", 3))
    return drawn, own_lathe.marked(finding)


def _use(step, diameter, shown):
    """The step's name under its line, where the curve does not run: the limit lies above both."""
    x, anchor = (0.98, "end") if diameter < 0.6 * shown else (0.02, "start")
    return scene.Note(
        shown * x, step / 1.36, _("use {step:.0f} rpm").format(step=step), scene.GREEN, anchor
    )


def _end_view(units, cutting_speed, diameter, throw, mass, gear, lathe):
    """The work at the step in use; at the slowest where none is slow enough."""
    unit, speed_unit, force, weight = (
        ("mm", "m/min", "N", "kg") if units == "mm" else ("in", "ft/min", "lbf", "lb")
    )
    step = lathe.gear_table.min() if gear is None else gear
    pull = cutting.unbalance_pull(mass, throw, step)
    speed = cutting.surface_speed(step, diameter)
    return speed_picture.end_items(
        diameter.m_as(unit),
        throw.m_as(unit),
        (pull / lathe.unbalance_force).m_as("dimensionless"),
        (speed / cutting_speed).m_as("dimensionless"),
        (
            f"Ø{as_text(diameter, unit, 3)}",
            f"m {as_text(mass, weight, 3)}",
            as_text(step, "rpm") + _(", the slowest") * (gear is None),
            _("pulls with {pull}").format(pull=_of(pull, lathe.unbalance_force, force, 2)),
            _("cuts at {speed}").format(speed=_of(speed, cutting_speed, speed_unit, 3)),
        ),
    )


def _of(part, whole, unit, digits):
    """Two values in one unit: “13 of 60 N”."""
    return _("{part} of {whole}").format(
        part=as_text(part, unit, digits).split()[0], whole=as_text(whole, unit, 3)
    )


def _finding(units, cutting_speed, diameter, by_cut, by_balance, gear, lathe):
    unit, speed_unit = ("mm", "m/min") if units == "mm" else ("in", "ft/min")
    balanced = by_balance is not None and by_balance * BALANCE_SHARE**0.5 < by_cut
    lines = [
        _("At {diameter}, {cutting_speed} asks for {by_cut}.").format(
            diameter=as_text(diameter, unit),
            cutting_speed=as_text(cutting_speed, speed_unit),
            by_cut=as_text(by_cut, "rpm", 3),
        )
    ]
    if by_balance is not None:
        lines.append(
            _(
                "The bar off its axis allows {by_balance}, or {balance_share} with something to "
                "spare."
            ).format(
                by_balance=as_text(by_balance, "rpm", 3),
                balance_share=as_text(by_balance * BALANCE_SHARE**0.5, "rpm", 3),
            )
        )
    if gear is None:
        why = _("the bar off its axis") if balanced else _("the cut")
        slowest = as_text(lathe.gear_table.min(), "rpm", 3)
        lines.append(
            _("The slowest gear step is {slowest}: balance the bar, or mill it away.").format(
                slowest=slowest
            )
        )
        if not balanced:
            lines[-1] = _("The slowest gear step is {slowest}: mill or file here.").format(
                slowest=slowest
            )
        return Finding(
            _("No gear step is slow enough for {why}.").format(why=why), "not fine", tuple(lines)
        )
    actual = as_text(cutting.surface_speed(gear, diameter), speed_unit, 3)
    over = (gear / by_cut).m_as("dimensionless") - 1
    if over > 1e-6:
        more = _("{gear} is {over:.2g} % above that").format(
            gear=as_text(gear, "rpm", 3), over=100 * over
        )
        lines.insert(1, _("{more}, near enough; a plan stays below.").format(more=more))
    pull = ""
    if by_balance is not None:
        share = 100 * (gear / by_balance).m_as("dimensionless") ** 2
        pull = _(", and the bar pulls with {share:.0f} % of what the lathe bears").format(
            share=share
        )
    lines.append(_("That step cuts at {actual}{pull}.").format(actual=actual, pull=pull))
    by = _("the bar off its axis") if balanced else _("the cut")
    return Finding(
        _("Use {gear}: {by} sets it.").format(gear=as_text(gear, "rpm", 3), by=by), "", tuple(lines)
    )


def paper(units, projector=False):
    """What does not move: axes, gear steps, and what names the end view."""
    unit, _unused, largest, _unused = controls()[1].scale(units)
    steps = own_lathe.chosen().gear_table.m_as("rpm")
    return speed_picture.speed_paper(steps, unit, largest, projector)


SCENE = Scene(controls, items, paper, presets)
panel, picture = SCENE.panel, SCENE.picture


def one_step(source):
    """Spindle speed from cutting speed and diameter."""
    speed, diameter = source.randrange(12, 36), source.randrange(8, 48)
    key = cutting.spindle_speed(Quantity(speed, "m/min"), Quantity(diameter, "mm"))
    return Question(
        f"A journal of Ø{diameter} mm is to be cut at {speed} m/min. What spindle speed is that? "
        "Give the exact sum, not the gear step.",
        key,
        ("rpm",),
        {
            "is it the radius or the diameter that goes around?": key * 2,
            "did 2 pi and the diameter meet? The circumference is pi times the diameter.": key / 2,
            "where did pi go?": key * np.pi,
            "did a 2 pi slip in? One turn carries the surface pi times d.": key / (2 * np.pi),
            "per minute or per second?": key / 60,
        },
        (
            "One turn carries the surface past the tool by one circumference.",
            "n = v / (pi d), with v and d in the same length unit.",
        ),
    )


def web_face(source):
    """Spindle speed for facing a web, at the farthest corner it swings."""
    speed, throw = source.randrange(12, 30), source.randrange(12, 26)
    reach, width = source.randrange(9, 16), 2 * source.randrange(11, 18)
    swing = Quantity(float(np.hypot(throw + reach, width / 2)), "mm")
    key = cutting.spindle_speed(Quantity(speed, "m/min"), 2 * swing)
    return Question(
        f"The throw is {throw} mm, the web reaches {reach} mm beyond the pin's axis and is "
        f"{width} mm wide. "
        "It is faced between centers on the main axis. What spindle speed keeps its farthest "
        f"corner at {speed} m/min?",
        key,
        ("rpm",),
        {
            "is the swing a radius or a diameter?": key * 2,
            "how far out is the corner, not the middle of the web's end?": cutting.spindle_speed(
                Quantity(speed, "m/min"), Quantity(2 * (throw + reach), "mm")
            ),
            "does the web end at the pin's axis?": cutting.spindle_speed(
                Quantity(speed, "m/min"), Quantity(2 * float(np.hypot(throw, width / 2)), "mm")
            ),
            "where did pi go?": key * np.pi,
        },
        (
            "The speed is set where the web swings widest. Find that corner's distance from the "
            "main axis.",
            "R = sqrt((throw + reach)^2 + (width / 2)^2), then n = v / (2 pi R).",
        ),
    )


def judgment(source):
    """The gear step, when both the cut and the balance have a say."""
    speed, diameter = source.randrange(15, 31), source.randrange(10, 25)
    throw, mass = source.randrange(8, 26), source.randrange(8, 31) / 10
    quantities = (
        Quantity(speed, "m/min"),
        Quantity(diameter, "mm"),
        Quantity(throw, "mm"),
        Quantity(mass, "kg"),
    )
    by_cut, by_balance, gear = speeds(*quantities, LATHE)
    table = LATHE.gear_table.m_as("rpm")
    slips = {}
    if gear is None or gear.m_as("rpm") >= table.max():
        return judgment(source)
    above = table[table > gear.m_as("rpm")].min()
    slips["is that step below both limits? Take the next slower one."] = Quantity(above, "rpm")
    by_cut_alone = cutting.gear_speed(by_cut, LATHE.gear_table, SCATTER)
    if by_cut_alone.m_as("rpm") not in (gear.m_as("rpm"), above):
        slips["what does the bar, swung off its axis, do to the lathe?"] = by_cut_alone
    steps = ", ".join(f"{step:.0f}" for step in table)
    return Question(
        f"A pin of Ø{diameter} mm is turned at {speed} m/min at most. The bar, {mass} kg, swings "
        f"{throw} mm off its axis, and "
        f"the lathe bears {as_text(LATHE.unbalance_force, 'N')} of out-of-balance force, of which "
        f"{100 * BALANCE_SHARE:.0f} % are to be used. Its gear steps are {steps} rpm; one up to "
        f"{100 * SCATTER:.0f} % above the cut's speed will do. Which step do you use?",
        gear,
        ("rpm",),
        slips,
        (
            "There are two limits. The slower one binds, and the gear step keeps to it.",
            "Cut: n = v / (pi d). Balance: omega = sqrt(0.85 F / (m e)), n = omega / (2 pi).",
        ),
    )


def check_gaps(crank, my_swing, my_speed):
    """Check the two gaps of the worked example: swing radius, then the speed at 60 ft/min."""
    swing, throw = crank.swing_radius, crank.throws[0]
    slips = {
        "does the web end at the pin's axis? It reaches beyond.": throw.radius,
        "how far out is the corner, not the middle of the web's end?": throw.radius
        + throw.web_reach,
    }
    check_gap("Swing", swing, ("in", "mm"), my_swing, slips, name="my_swing")
    key = cutting.spindle_speed(Quantity(60, "ft/min"), 2 * swing)
    slips = {"is the swing a radius or a diameter?": 2 * key}
    check_gap("Speed", key, ("rpm",), my_speed, slips, name="my_speed")
