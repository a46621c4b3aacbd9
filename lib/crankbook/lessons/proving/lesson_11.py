"""Lesson 11, check the strength: its panel."""

import warnings
from dataclasses import replace

import numpy as np

from crankmath import crank_corner, service
from crankmath.crank import Crank, steels
from crankmath.job.checks.strength import SAFE
from crankmath.job.fields import ENGINES
from crankmath.language import _, spoken
from crankmath.service import fatigue, strength, torsion
from crankmath.units import OutOfRangeWarning, Quantity, as_text
from crankmath.wording import capital
from crankmath.workpiece.placing import alone

from ...lesson import own
from ...lesson.exercise import prediction
from ...lesson.finding import Finding
from ...lesson.kept import once
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures import scene
from ...pictures.proving import solved_throw, turning_crank
from ...pictures.proving.turning_crank import crank_in_space
from .driven_crank import (
    LARGEST,
    MACHINES,
    POINTS,
    bore_of,
    cylinders,
    flywheel,
    modes,
    not_in_line,
    run,
    with_fillets,
)
from .strength_questions import alternating_allowed, check_gaps, critical_speed, torque_at

__all__ = [
    "MACHINES",
    "alternating_allowed",
    "check_gaps",
    "critical_speed",
    "cylinders",
    "judged",
    "modes",
    "not_in_line",
    "panel",
    "picture",
    "run",
    "solved_corners",
    "steel_line",
    "torque_at",
    "with_fillets",
]
SHOWN = {
    "mm": ("N*m", "N·m", (-30.0, 75.0), "MPa", "MPa", (-150.0, 150.0)),
    "in": ("ft*lbf", "lbf·ft", (-22.0, 55.0), "kpsi", "kpsi", (-22.0, 22.0)),
}
PUSHED = {"mm": ("N", "MPa"), "in": ("lbf", "kpsi")}
PRESETS = {
    name: {
        "pressure": Quantity(pressure, "MPa"),
        "speed": Quantity(speed, "rpm"),
        "fillet": Quantity(fillet, "mm"),
        "machine": machine,
    }
    for name, pressure, speed, fillet, machine in (
        (_("Pump"), 1.0, 300.0, 1.5, "pump, liquid pump"),
        (_("Two throws"), 0.8, 900.0, 1.2, "compressor, air compressor"),
        (_("Small engine"), 3.0, 1200.0, 1.2, "compressor, four-stroke engine"),
        (_("Pump humming"), 0.5, 2300.0, 1.5, "pump, liquid pump"),
    )
} | {_("Sharp corner"): {"fillet": Quantity(0.4, "mm")}}  # of the crank and machine chosen


def controls():
    """Sliders and lists of the panel; the list offers the reader's own crank."""
    names = own.names()
    machines = tuple(f"{name}, {machine}" for name in names for machine in MACHINES)
    fillet = Quantity(1.5, "mm")
    if own.is_own(names[0]):  # as it is drawn: another may not fit
        drawn = own.load(names[0])
        fillet = min(piece.fillet for piece in (*drawn.journals, *drawn.throws)).to("mm")
    return (
        Control(
            "pressure",
            _("Pressure in the cylinder p"),
            ("MPa", 0.05, 4, 0.01),
            ("psi", 8, 580, 1),
            Quantity(1.0, "MPa"),
            ("bar", "kPa", "kpsi"),
        ),
        Control(
            "speed",
            _("Speed of the crank n"),
            ("rpm", 30, 3000, 10),
            ("rpm", 30, 3000, 10),
            Quantity(300.0, "rpm"),
        ),
        Control(
            "fillet",
            _("All fillets r"),
            ("mm", 0.2, 5, 0.05),
            ("in", 0.008, 0.2, 0.002),
            fillet,
            ("cm",),
        ),
        Choice("machine", _("Crank and machine"), machines, f"{names[0]}, liquid pump"),
    )


def judged(crank, machine, pressure, speed, fillet):
    """Everything the panel shows of a crank in a machine: the crank with its fillets, loads,
    strength, modes of twist, resonances.
    """
    sizes, at = (
        (crank.plain, crank.steel),
        (fillet.m_as("mm"), pressure.m_as("MPa"), speed.m_as("rpm")),
    )
    rounded, looked_at = once(("sections", *sizes, at[0]), lambda: _sections(crank, fillet))
    loads = once(("loads", *sizes, machine, at[1:]), lambda: run(crank, machine, pressure, speed))
    twisting = once(("modes", *sizes, machine), lambda: modes(crank, machine))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # what they say stands in the sentence
        result = strength.check_strength(rounded, loads, looked_at=looked_at)
        near = torsion.resonances(twisting, speed, torque=loads.torque, turns=turns_of(loads))
    return rounded, loads, result, twisting, near


def _sections(crank, fillet):
    rounded = with_fillets(crank, fillet)
    return rounded, strength.places(rounded)


def turns_of(loads):
    """Turns of the loads' cycle: two with a four-stroke engine."""
    return len(loads.angle) // POINTS


def _scale(crank, machine, pressure):
    """How many times enlarged torque is drawn for a crank and machine; 1 for the pumps."""
    most = sum(
        (
            service.piston_force(max(LARGEST[machine], pressure), bore_of(throw, machine))
            * throw.radius
        ).m_as("N*m")
        for throw in crank.throws
    )
    return _times(most, 75.0) if not 7.5 < most <= 75.0 else 1.0


def _times(most, room):
    """Largest of 1, 2, 5, 10 … or 0.5, 0.2, 0.1 … by which a size still finds room."""
    power = 10.0 ** np.floor(np.log10(room / most))
    return power * max(step for step in (1, 2, 5) if step * power <= room / most)


def _torque(loads, machine):
    """Torque that an engine delivers, or that a pump's drive has to."""
    return loads.torque if machine in ENGINES else -loads.torque


def _over_the_turn(loads, values, color, width=2.5, dash="", axes=0):
    """A course over the turn as curves, one a turn, the second thinner."""
    turned = np.append(loads.angle.m_as("deg")[:POINTS], 360.0)
    courses = np.reshape(values, (-1, POINTS))
    return [
        scene.Curve(
            turned, np.append(course, following[0]), color, width / (1 + turn), dash, axes=axes
        )
        for turn, (course, following) in enumerate(
            zip(courses, np.roll(courses, -1, axis=0), strict=True)
        )
    ]


def items(units, pressure, speed, fillet, machine):
    """What moves in the three charts and in space, and the finding."""
    name, kind = machine.rsplit(", ", 1)
    crank, loads, result, twisting, near = judged(own.load(name), kind, pressure, speed, fillet)
    torque_unit, _unused, (bottom, top), stress_unit, _unused, (_unused, most) = SHOWN[units]
    scale = _scale(crank, kind, pressure)
    given = scale * _torque(loads, kind).m_as(torque_unit)
    drawn = [
        *_over_the_turn(loads, given, scene.BLUE),
        scene.Curve(np.array([0, 360.0]), np.full(2, given.mean()), scene.GRAY, 1.5, "10 5"),
        scene.Note(
            6,
            top * 0.86,
            (_("engine") if kind in ENGINES else _("drive"))
            + _(", mean dashed")
            + (_(", second turn thin") if turns_of(loads) == 2 else "")
            + ("" if scale == 1 else _(", drawn times {scale:g}").format(scale=scale)),
            scene.BLUE,
        ),
    ]
    finding = _finding(crank, kind, loads, result, twisting, near, pressure, speed, units)
    guess = prediction("11 torque", ("N*m", "ft*lbf", "in*lbf"))
    if guess is not None:
        height = guess.m_as(torque_unit) * scale
        drawn += [
            scene.Curve(np.array([0, 360.0]), np.full(2, height), scene.PURPLE, 2, "2 4"),
            scene.Note(354, height, _("your prediction"), scene.PURPLE, "end"),
        ]
        words = _("You predicted {guess:.3g} {unit} for the pump's drive.").format(
            guess=guess.m_as(torque_unit), unit=SHOWN[units][1]
        )
        finding = replace(finding, lines=(*finding.lines, words))
    if near:
        drawn.append(
            scene.Note(
                6,
                bottom * 0.85,
                _("resonance at {critical_speed}").format(
                    critical_speed=as_text(near[0].critical_speed, "rpm", 3)
                ),
                scene.RUST,
            )
        )
    weak = result.weakest
    normal, shear = (
        part.m_as(stress_unit) for part in strength.section_stress(crank, loads, weak.place)
    )
    bending, twist = (part[int(np.ptp(part, axis=1).argmax())] for part in (normal, shear))
    shrunk = min(_times(max(abs(bending).max(), abs(twist).max(), 1e-9), most), 1.0)
    drawn += _over_the_turn(loads, shrunk * bending, scene.RUST, axes=1)
    drawn += _over_the_turn(loads, shrunk * twist, scene.GREEN, dash="8 4", axes=1)
    smaller = "" if shrunk == 1 else _(", drawn times {shrunk:g}").format(shrunk=shrunk)
    drawn += [
        scene.Note(
            6,
            most * 0.76,
            _("{name}: bending{smaller}").format(name=spoken(weak.place.name), smaller=smaller),
            scene.RUST,
            axes=1,
        ),
        scene.Note(354, -most * 0.92, _("torsion, dashed"), scene.GREEN, "end", axes=1),
    ]
    for row, words in enumerate(turning_crank.ROWS):
        kind_of, fillets_too = words.split()[0], words.endswith("fillet")
        one = next(
            section
            for section in result.sections
            if section.place.kind == kind_of
            and section.place.name.endswith("fillet") == fillets_too
        )
        models = [(_("solved") if fillets_too else "", one.safety, one.low, one.high)]
        if fillets_too:
            print_says = one.crank_rule, one.shoulder
            models.append((_("print"), one.crank_rule, min(print_says), max(print_says)))
        drawn += turning_crank.safety_row(row, models)
    key = ("11 in space", crank.plain, crank.steel)
    solids = once(key, lambda: turning_crank.solids(alone(crank).finished().pieces))
    corners = {round(one.place.center[0], 6): one for one in result.sections if one.place.corner}
    words = f"{spoken(weak.place.name)}: {weak.safety:.2g}"
    drawn += turning_crank.samples()
    drawn.append(
        crank_in_space(solids, {x: one.low for x, one in corners.items()}, weak.place.center, words)
    )
    return drawn, finding


def _finding(crank, kind, loads, result, twisting, near, pressure, speed, units):
    """The weakest place with its range, what drives the crank, and what it meets in twist."""
    torque_unit, torque_words, *_unused = SHOWN[units]
    force, length, power_unit = ("N", "mm", "kW") if units == "mm" else ("lbf", "in", "hp")
    bore = max(bore_of(throw, kind) for throw in crank.throws)
    torque, side = _torque(loads, kind), _("engine gives") if kind in ENGINES else _("drive needs")
    turning = torque.m_as(torque_unit)
    power = Quantity(torque.m_as("N*m").mean() * speed.m_as("rpm") * np.pi / 30, "W")
    weak = result.weakest
    least = min(weak.low, *(one.yield_safety for one in result.sections))
    verdict = "not fine" if least < 1 else "look" if least < SAFE else "fine"
    pushed = as_text(service.piston_force(pressure, bore), force, 3)
    wide, thick, _unused = flywheel(crank)
    lines = [
        *((_twist(twisting, near),) if near else ()),
        result.verdict,
        _(
            "The piston pushes with {pushed}; the {side} {power}, its torque up to {torque:.3g} "
            "{torque_words}."
        ).format(
            pushed=pushed,
            side=side,
            power=as_text(power, power_unit, 2),
            torque=turning.max(),
            torque_words=torque_words,
        ),
        *(f"{capital(words)}." for words in (weak.printed, weak.place.note) if words),
        *((result.grain,) if result.grain else ()),
        *(() if near else (_twist(twisting, near),)),
        _(
            "Assumed: bore {bore}, cast-iron flywheels Ø{wide} × {thick}. An estimate, never a "
            "certificate."
        ).format(
            bore=as_text(bore, length, 3),
            wide=as_text(wide, length, 3),
            thick=as_text(thick, length, 3),
        ),
    ]
    if near and verdict == "fine":
        verdict = "look"
    return Finding(
        _("Weakest: {name}, safety factor {ranged}.").format(
            name=spoken(weak.place.name), ranged=weak.ranged
        ),
        verdict,
        tuple(lines),
    )


def _twist(twisting, near):
    """Which harmonic meets which frequency of twist, or that none is near."""
    if not near:
        first = f"{twisting.first.m_as('Hz'):.0f} Hz"
        return _("It twists at {first} first; no strong harmonic is near.").format(first=first)
    one = near[0]
    met = _("{frequency:.0f} Hz of twist").format(frequency=twisting.frequency[one.mode].m_as("Hz"))
    at = as_text(one.critical_speed, "rpm", 3)
    return _(
        "Resonance: harmonic {order:g} meets {met} at {at}; change speed or flywheels."
    ).format(order=one.order, met=met, at=at)


def paper(units, projector=False):
    """What does not move: the three charts, and the legend of the view in space."""
    _unused, torque_words, torques, _unused, stress_words, stresses = SHOWN[units]
    return turning_crank.turning_paper(torque_words, torques, stress_words, stresses, projector)


SCENE = Scene(controls, items, paper, PRESETS)
panel, picture = SCENE.panel, SCENE.picture


def solved_corners(pressure, turned=-35.0, tilted=25.0, units="mm"):
    """Figure of the pump's throw as solved in the solid, and its finding in one sentence.

    The piston pushes straight along the throw, the rest is as in the panel; ``turned`` and
    ``tilted`` [deg] turn the view. Peaks are the stored factors times their nominal stresses; the
    colors stop some percent short of them, since they are read at the mesh's corners.
    """
    crank, (push_unit, stress) = Crank.load("pump"), PUSHED[units]
    throw, main = crank.throws[0], crank.journals[0]
    push = service.piston_force(pressure, bore_of(throw, "liquid pump"))
    wide, thick = throw.web_width, throw.web_thickness
    moment = push / 2 * (main.length / 2 + thick / 2)  # at the web's middle
    bent, cut = 6 * moment / (wide * thick**2), push / 2 / (wide * thick)
    corner = crank_corner.factors(
        throw.pin_diameter, main.diameter, throw.radius, thick, wide, throw.fillet, main.fillet
    )
    found = [
        corner.pin_bending * bent + corner.pin_radial * cut,
        corner.journal_bending * bent + corner.journal_radial * cut,
    ]
    peaks, force = [as_text(one, stress, 3) for one in found], as_text(push, push_unit, 3)
    figure = solved_throw.solved_throw(
        push.m_as("N"), force, peaks, max(found).m_as(stress), turned, tilted, units
    )
    return figure, (
        _(
            "The pump's throw cut open in its plane, {force} on the pin: the stress gathers in the "
            "corners that face the other axis, {at_pin} at the pin's and {at_main} at the "
            "main's; the web bends with {bent}, and most of it is nearly idle."
        ).format(force=force, at_pin=peaks[0], at_main=peaks[1], bent=as_text(bent, stress, 3))
    )


def steel_line(steel, finish="machined"):
    """One line with a steel's endurance limit and the factors that made it, for a section of 20 mm.

    - ``finish``: One of ``fatigue.FINISHES``.
    """
    ultimate = steels.find(steel).tensile_strength
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        found = fatigue.endurance_limit(ultimate, Quantity(20.0, "mm"), finish=finish)
    return _(
        "{steel}, {ultimate}: half of it is {specimen:.0f}; surface ({finish}) {surface:.2f}, size "
        "{size:.2f}: endurance limit {limit:.0f} MPa"
    ).format(
        steel=steel,
        ultimate=as_text(ultimate, "MPa", 3),
        specimen=found.specimen.magnitude,
        finish=_(finish),
        surface=found.surface,
        size=found.size,
        limit=found.limit.magnitude,
    )
