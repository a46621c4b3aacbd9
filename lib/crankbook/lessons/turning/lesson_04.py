"""Lesson 04, choose a spindle speed: its panel and its three questions."""

import numpy as np

from crankmath import cutting
from crankmath.crank import Crank
from crankmath.cutting.shifts import BALANCE_SHARE
from crankmath.cutting.speeds import SCATTER
from crankmath.lathe import load_lathe
from crankmath.units import Quantity, as_text

from ...lesson.exercise import Question, check, prediction
from ...lesson.panel import Control, Panel
from ...pictures import scene

LATHE = load_lathe()
CRANK = Crank.load("pump")
CONTROLS = (
    Control(
        "cutting_speed",
        "Cutting speed v",
        ("m/min", 5, 60, 0.5),
        ("ft/min", 15, 200, 1),
        Quantity(25.0, "m/min"),
    ),
    Control(
        "diameter",
        "Diameter at the tool d",
        ("mm", 4, 90, 0.5),
        ("in", 0.15, 3.5, 0.02),
        Quantity(20.0, "mm"),
        ("cm",),
    ),
    Control(
        "throw",
        "Bar off axis by e",
        ("mm", 0, 40, 0.5),
        ("in", 0, 1.6, 0.02),
        Quantity(9.0, "mm"),
        ("cm",),
    ),
    Control(
        "mass",
        "Mass of the bar m",
        ("kg", 0.1, 6, 0.05),
        ("lb", 0.2, 13, 0.1),
        Quantity(3.6, "kg"),
        ("g", "oz"),
    ),
)
OFF = {"throw": Quantity(9.0, "mm"), "mass": Quantity(3.6, "kg")}  # the bar of lesson 03, Ø60
PRESETS = {
    "Pump pin, first pass": {"diameter": Quantity(78.0, "mm"), **OFF},
    "Pump pin, to size": {"diameter": CRANK.throws[0].pin_diameter, **OFF},
    "Pump journal": {"diameter": CRANK.journals[0].diameter, **OFF},
    "Pump web face": {"diameter": 2 * CRANK.swing_radius, **OFF},
}


def speeds(cutting_speed, diameter, throw, mass, lathe=LATHE):
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
    """What moves in the chart, and the sentence that states the finding."""
    by_cut, by_balance, gear = speeds(cutting_speed, diameter, throw, mass)
    unit, speed_unit = ("mm", "m/min") if units == "mm" else ("in", "ft/min")
    across = np.geomspace(0.02, 1, 200) * CONTROLS[1].scale(units)[2]
    curve = cutting.spindle_speed(cutting_speed, Quantity(across, unit)).m_as("rpm")
    at, rpm = diameter.m_as(unit), by_cut.m_as("rpm")
    drawn = [scene.Curve(across, curve, scene.BLUE), scene.Point(at, rpm, scene.BLUE)]
    surface = as_text(cutting_speed, speed_unit)
    sentence = f"At {as_text(diameter, unit)}, {surface} asks for {rpm:.0f} rpm."
    guess = prediction("04 spindle speed", ("rpm",))
    if guess is not None:
        drawn += [
            scene.Curve(across[[0, -1]], np.full(2, guess.m_as("rpm")), scene.PURPLE, 2, "3 4"),
            scene.Note(
                across[-1] * 0.5, guess.m_as("rpm"), "your prediction", scene.PURPLE, "middle"
            ),
        ]
    if by_balance is not None:
        limit = by_balance.m_as("rpm")
        drawn += [
            scene.Curve(across[[0, -1]], np.full(2, limit), scene.RUST, 2.5, "10 5"),
            scene.Note(
                across[-1] * 0.98, limit, f"out-of-balance limit {limit:.0f} rpm", scene.RUST, "end"
            ),
        ]
        sentence += f" The bar off its axis allows {limit:.0f} rpm."
    if gear is None:
        sentence += " That is below the slowest gear step: not on this lathe."
    else:
        step, binding = (
            gear.m_as("rpm"),
            "balance"
            if by_balance is not None and by_balance * BALANCE_SHARE**0.5 < by_cut
            else "cut",
        )
        actual = as_text(cutting.surface_speed(gear, diameter), speed_unit, 3)
        drawn.append(scene.Curve(across[[0, -1]], np.full(2, step), scene.GREEN, 3, ""))
        drawn.append(scene.Note(across[-1] * 0.02, step, f"use {step:.0f} rpm", scene.GREEN))
        sentence += f" Gear step: {step:.0f} rpm, which cuts at {actual}. The {binding} sets it."
        if by_balance is not None:
            share = 100 * (gear / by_balance).m_as("dimensionless") ** 2
            sentence += f" The bar then pulls with {share:.0f} % of what the lathe bears."
    return drawn, sentence


def paper(units, projector=False):
    """What does not move: axes and gear steps."""
    unit, _, largest, _ = CONTROLS[1].scale(units)
    return scene.speed_chart(LATHE.gear_table.m_as("rpm"), unit, largest, projector)


def panel(stage=False):
    """The live panel of the lesson; on a stage it fills a projector's screen."""
    return Panel(CONTROLS, items, paper, PRESETS, stage)


def picture(cutting_speed, diameter, throw, mass, units="mm"):
    """The same chart without widgets: (figure, sentence)."""
    drawn, sentence = items(units, cutting_speed, diameter, throw, mass)
    return scene.add(paper(units), drawn), sentence


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
    by_cut, by_balance, gear = speeds(*quantities)
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
    swing = Question(
        "swing radius",
        crank.swing_radius,
        ("in", "mm"),
        {
            "does the web end at the pin's axis? It reaches beyond.": crank.throws[0].radius,
            "how far out is the corner, not the middle of the web's end?": crank.throws[0].radius
            + crank.throws[0].web_reach,
        },
        (),
    )
    key = cutting.spindle_speed(Quantity(60, "ft/min"), 2 * crank.swing_radius)
    speed = Question("speed", key, ("rpm",), {"is the swing a radius or a diameter?": 2 * key}, ())
    print("Swing:", check(swing, my_swing))
    print("Speed:", check(speed, my_speed))
