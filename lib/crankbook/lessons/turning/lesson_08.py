"""Lesson 08, fit the spacers: its panel and its three questions."""

import warnings

import numpy as np

from crankmath import spacers
from crankmath.inspection import usual_runout
from crankmath.language import _, marked, ngettext
from crankmath.spacers import Spacer, largest_diameter
from crankmath.units import OutOfRangeWarning, Quantity, as_text
from crankmath.wording import capital

from ...lesson import own
from ...lesson.exercise import Question, check_gap, prediction
from ...lesson.finding import Finding, answering
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures import scene
from ...pictures.turning import squeezed_crank

WIDEST = {"mm": ("µm", 20.0), "in": ("thou", 0.8)}  # misfit of the chart, either way
SPREAD = np.linspace(-1, 1, 41)


def sliders():
    """Thrust and misfit."""
    return (
        Control(
            "force",
            _("Thrust of the tailstock P"),
            ("N", 0, 1500, 10),
            ("lbf", 0, 340, 2),
            Quantity(400.0, "N"),
            ("kN",),
        ),
        Control(
            "misfit",
            _("Spacer too long by"),
            ("mm", -0.02, 0.02, 0.0005),
            ("thousandth", -0.8, 0.8, 0.02),
            Quantity(0.0, "mm"),
            ("um", "in"),
        ),
    )


def vote():
    """The question to a class, and what it may answer."""
    return (
        _("A spacer 8 µm too long, or one 20 µm too short: which is worse?"),
        (_("too long"), _("too short"), _("no difference")),
    )


def packings():
    """The choices of crank and spacers, the reader's own crank first.

    A crank whose pin leaves no room for a spacer on the main axis is offered without.
    """
    found = []
    for name in own.names():
        crank = own.load(name)
        kinds = [marked("no spacer")]
        if largest_diameter(crank).magnitude > 0:
            kinds += (
                [marked("spacer")]
                if len(crank.throws) == 1
                else [marked("spacer in first throw only"), marked("all throws")]
            )
        found += [f"{name}, {kind}" for kind in kinds]
    return tuple(found)


def packed(packing, misfit):
    """Crank and spacers of a choice in the panel, each as wide as the crank has room for."""
    name, kind = packing.rsplit(", ", 1)
    crank = own.load(name)
    count = {marked("no spacer"): 0, marked("all throws"): len(crank.throws)}.get(kind, 1)
    size = largest_diameter(crank)
    return crank, tuple(Spacer(number, misfit, size) for number in range(count))


def items(units, force, misfit, packing):
    """What moves in both views and the chart, and the finding."""
    label, widest = WIDEST[units]
    unit, load = ("um", "N") if units == "mm" else ("thousandth", "lbf")
    crank, packs = packed(packing, misfit)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        result = spacers.squeeze(crank, force, packs)
        reading = result.largest_runout.m_as(unit)
        tried = widest * SPREAD * np.abs(SPREAD)  # close together where the curve bends
        runout = np.full(tried.size, reading)
        if packs:
            runout = spacers.runout_for_misfit(crank, force, packs, Quantity(tried, unit))
            runout = runout.m_as(unit)
    usual = usual_runout(units)
    allowed, shown = usual.m_as(unit), as_text(result.largest_runout, unit, 2)
    at, words = misfit.m_as(unit) if packs else 0.0, _("allowed {runout}")
    words = words.format(runout=as_text(usual, unit, 2))
    most = max(4 * allowed, reading, float(runout[0]))
    per_unit = Quantity(1.0, unit).m_as(sliders()[1].scale(units)[0])
    chart, full = squeezed_crank.runout_items(
        tried, runout, at, reading, allowed, most, label, words, per_unit
    )
    loads = [
        as_text(one, load, 3) if one.magnitude > 0 else _("loose")
        for one in np.atleast_1d(result.spacer_force)
    ]
    color = scene.GREEN if reading <= allowed else scene.RUST
    drawn = squeezed_crank.squeezed_items(
        crank, result, packs, as_text(force, load, 3), loads, shown, reading / full, color
    )
    drawn += chart
    guess = prediction("08 misfit runout", ("um", "thousandth", "mm", "in"))
    if guess is not None:
        ends, height = np.array([-widest, widest]), guess.m_as(unit) / full
        drawn += [
            scene.Curve(ends, np.full(2, height), scene.PURPLE, 2, "2 4", axes=1),
            scene.Note(0.98 * widest, height, _("your prediction"), scene.PURPLE, "end", axes=1),
        ]
    finding = _finding(crank, force, misfit, packs, result, loads, shown, usual, units)
    if guess is not None:
        said = (as_text(one, unit, 2) for one in (guess, Quantity(reading, unit)))
        finding = answering(finding, *said, crank.name)
    return drawn, finding


def _finding(crank, force, misfit, packs, result, loads, shown, usual, units):
    unit, load = ("um", "N") if units == "mm" else ("thousandth", "lbf")
    good = result.largest_runout <= usual
    pressed = _("{crank} is pressed with {thrust}.")
    lines = [pressed.format(crank=capital(crank.name), thrust=as_text(force, load, 4))]
    loose = not all(result.gripped)
    if packs:
        way = _("{size} too short") if misfit.magnitude < 0 else _("{size} too long")
        fit = way.format(size=as_text(abs(misfit), unit, 3))
        fit, bears = fit if misfit.magnitude else _("fits its gap"), ", ".join(loads)
        free = bears == _("loose")
        line = _("Spacer {fit}: it is loose.") if free else _("Spacer {fit}: it bears {force}.")
        lines.append(line.format(fit=fit, force=bears))
        if loose:
            lines.append(_("A loose spacer flies out of a turning crank: do not start."))
        open_throws = len(crank.throws) - len(packs)
        if open_throws:
            line = ngettext(
                "Left without a spacer: {count} throw. All or none.",
                "Left without a spacer: {count} throws. All or none.",
                open_throws,
            )
            lines.append(line.format(count=open_throws))
    else:
        several = len(crank.throws) > 1
        lines.append(_("No spacer stands in its gaps.") if several else _("No spacer."))
    allowed = _("{runout} is allowed, as for a usual running fit.")
    lines.append(allowed.format(runout=as_text(usual, unit, 2)))
    head = _("The mains run out {runout} after release.")
    if loose:
        head = _("The spacer is loose, and the mains run out {runout}.")
    return Finding(
        head.format(runout=shown), "fine" if good and not loose else "not fine", tuple(lines)
    )


def paper(units, projector=False):
    """What does not move: window and chart."""
    return squeezed_crank.squeeze_paper(*WIDEST[units], projector)


def controls():
    """Sliders and the list of packings, which begins with the reader's own crank."""
    choices = packings()
    name = own.names()[0]
    wanted = [one for one in choices if one.rpartition(", ")[0] == name]
    first = wanted[-1] if own.is_own(name) else "pump, spacer"
    return (
        *sliders(),
        Choice("packing", _("Crank and spacers"), choices, first, of_crank=True),
    )


def presets():
    """Settings for the crank that the list begins with; two throws need the compressor."""
    packing = controls()[-1].value
    return {
        _("Short"): {"misfit": Quantity(-0.02, "mm"), "packing": packing},
        _("Fits"): {"misfit": Quantity(0.0, "mm"), "packing": packing},
        _("Long"): {"misfit": Quantity(0.008, "mm"), "packing": packing},
        _("One left out"): {
            "misfit": Quantity(0.0, "mm"),
            "packing": "compressor, spacer in first throw only",
        },
    }


SCENE = Scene(controls, items, paper, presets, vote)
panel, picture = SCENE.panel, SCENE.picture


def portal_closure(source):
    """Closure of a throw by the plain frame drawn on center lines."""
    force, arm, length = (
        source.randrange(2, 8) * 100,
        source.randrange(10, 21),
        source.randrange(12, 26),
    )
    pin, thick, wide = source.randrange(10, 19), source.randrange(9, 16), source.randrange(20, 31)
    load, between = 1e3 * force / 206_000, length + thick
    webs = load * 8 * arm**3 / (wide * thick**3)
    bent = load * 64 * arm**2 * between / (np.pi * pin**4)
    pressed = load * 4 * between / (np.pi * pin**2)
    key = Quantity(webs + bent + pressed, "um")
    return Question(
        f"A throw of {arm} mm has a pin of Ø{pin} mm × {length} mm and webs {thick} mm thick, "
        f"{wide} mm wide. Take it as a plain frame on center lines, E = 206 GPa, the pin from the "
        f"middle of one web to the middle of the other. How much does {force} N between centers "
        "close the gap, no spacer? (The real throw is stiffer.)",
        key,
        ("um", "mm", "thousandth"),
        {
            "there are two webs: were both counted?": Quantity(webs / 2 + bent + pressed, "um"),
            "is the pin counted from web middle to web middle, or only where it is bare?": Quantity(
                webs + (bent + pressed) * length / between, "um"
            ),
            "does the pin bend as well?": Quantity(webs + pressed, "um"),
            "is the web bent about its thickness or its width?": Quantity(
                webs * (thick / wide) ** 2 + bent + pressed, "um"
            ),
            "is the pin's I pi d^4 / 64 or / 32?": Quantity(webs + bent / 2 + pressed, "um"),
        },
        (
            "The C closes by three things: both webs bend, the pin bends, the pin is pressed "
            "shorter.",
            "closure = 2 P e^3 / (3 E I_web) + P e^2 L / (E I_pin) + P L / (E A_pin), "
            "L = bare pin + one web thickness",
        ),
        directed=True,
    )


def handwheel_thrust(source):
    """Thrust of a tailstock from the torque on its handwheel."""
    torque, lead = source.randrange(4, 16) / 10, source.choice((2.0, 2.5, 3.0))
    share = source.randrange(25, 41) / 100
    key = spacers.screw_thrust(Quantity(torque, "N*m"), Quantity(lead, "mm"), efficiency=share)
    perfect = 2 * np.pi * torque / (lead / 1000)
    return Question(
        f"You turn the tailstock's handwheel with {torque:g} N·m. Its screw advances {lead:g} mm a "
        f"turn and transmits {100 * share:.0f} % of the work. How hard does the center press?",
        key.to("N"),
        ("N", "kN", "lbf"),
        {
            "does the screw transmit all the work?": Quantity(perfect, "N"),
            "is one turn 2 pi or pi?": key.to("N") / 2,
            "one turn is 2 pi radians: where did it go?": key.to("N") / (2 * np.pi),
            "does friction help you push?": Quantity(perfect / share, "N"),
        },
        (
            "Work in, work out: one turn of the wheel against one lead of the screw.",
            "P = 2 pi T efficiency / lead",
        ),
    )


def longest_spacer(source):
    """How much too long a spacer may be on an example crank."""
    name, force, allowed = (
        source.choice(("pump", "bellows")),
        source.randrange(2, 9) * 100,
        source.randrange(6, 16),
    )
    crank, packs = packed(f"{name}, spacer", Quantity(0.0, "mm"))
    shortest, longest = spacers.misfit_limits(
        crank, Quantity(force, "N"), Quantity(allowed, "um"), packs[0]
    )
    slips = {
        "that is the runout allowed, not the misfit: read across the chart": Quantity(
            float(allowed), "um"
        )
    }
    if np.isfinite(shortest.magnitude) and shortest.magnitude < 0:
        slips["is that the short side? A spacer too long is asked for"] = abs(shortest)
    return Question(
        f"`{name}` is turned with {force} N and a spacer of Ø{packs[0].diameter.m_as('mm'):.4g} "
        "mm. "
        f"The mains may run out {allowed} µm. How much too long may the spacer be? "
        "Use the library; answer within 5 %.",
        longest,
        ("um", "mm", "thousandth", "in"),
        slips,
        (
            "The runout climbs on both sides of the best length. The longer side is the steep one.",
            "spacers.misfit_limits(crank, thrust, allowed_runout, spacer): shortest and longest.",
        ),
        tolerance=0.05,
        directed=True,
    )


def check_gaps(crank, my_bare, my_packed):
    """Check the gaps of the worked example: runout at 300 N without and with a fitted spacer."""
    force = Quantity(300.0, "N")
    bare = spacers.squeeze(crank, force).largest_runout
    full = spacers.squeeze(
        crank, force, packed(f"{crank.name}, spacer", Quantity(0.0, "mm"))[1]
    ).largest_runout
    radius = {"is that the axis's offset? A turn of the dial shows twice that.": bare / 2}
    units = ("um", "thousandth", "mm")
    check_gap("No spacer", bare, units, my_bare, radius, 0.03, "my_bare")
    check_gap("With spacer", full, units, my_packed, None, 0.03, "my_packed")
