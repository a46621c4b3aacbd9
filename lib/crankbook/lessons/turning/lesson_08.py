"""Lesson 08, fit the spacers: its panel and its three questions."""

import warnings

import numpy as np

from crankmath.spacers import Spacer, squeezed, thrust
from crankmath.units import OutOfRangeWarning, Quantity, as_text, magnitude

from ...lesson import own
from ...lesson.exercise import Question, check, prediction
from ...lesson.panel import Choice, Control, Panel
from ...pictures import scene
from ...pictures.turning import squeezed_crank

ALLOWED = Quantity(
    10.0, "um"
)  # runout a running fit of this size bears; common practice, no source
RODS = {
    "pump": 14.0,
    "bellows": 12.0,
    "compressor": 10.0,
    "organ": 8.0,
}  # mm, spacer diameters that clear the pin
WIDEST = {"mm": ("µm", 20.0, 40.0), "in": ("thou", 0.8, 1.6)}
CONTROLS = (
    Control(
        "force",
        "Thrust of the tailstock P",
        ("N", 0, 1500, 10),
        ("lbf", 0, 340, 2),
        Quantity(400.0, "N"),
        ("kN",),
    ),
    Control(
        "misfit",
        "Spacer too long by",
        ("mm", -0.02, 0.02, 0.0005),
        ("thousandth", -0.8, 0.8, 0.02),
        Quantity(0.0, "mm"),
        ("um", "in"),
    ),
)
VOTE = (
    "Ten micrometers too long, or as much too short: which is worse?",
    ("too long", "too short", "no difference"),
)
PRESETS = {
    "Short": {"misfit": Quantity(-0.02, "mm"), "packing": "pump, spacer"},
    "Fits": {"misfit": Quantity(0.0, "mm"), "packing": "pump, spacer"},
    "Long": {"misfit": Quantity(0.008, "mm"), "packing": "pump, spacer"},
    "One left out": {
        "misfit": Quantity(0.0, "mm"),
        "packing": "compressor, spacer in first throw only",
    },
}


def packings():
    """The choices of crank and spacers, the reader's own crank first.

    Returns
    -------
    tuple of str

    Notes
    -----
    Basis: derived. A crank whose pin leaves no room for a rod on the main axis is offered without spacers.
    """
    found = []
    for name in own.names():
        crank = own.load(name)
        kinds = ["no spacer"]
        if rod(name).magnitude > 0:
            kinds += (
                ["spacer"]
                if len(crank.throws) == 1
                else ["spacer in first throw only", "all throws"]
            )
        found += [f"{name}, {kind}" for kind in kinds]
    return tuple(found)


def rod(name):
    """Diameter of the spacer: the example's own, or for the reader's crank the largest that clears pin and fillet.

    Parameters
    ----------
    name : str
        One of ``own.names()``.

    Returns
    -------
    Quantity [mm]
        Zero where nothing fits.

    Notes
    -----
    Basis: derived; nine tenths of the room on the main axis, and no thicker than the thinnest main.
    """
    if name in RODS:
        return Quantity(RODS[name], "mm")
    crank = own.load(name)
    room = [
        2 * (throw.radius - throw.pin_diameter / 2 - throw.fillet).m_as("mm")
        for throw in crank.throws
    ]
    thinnest = min(journal.diameter.m_as("mm") for journal in crank.journals)
    return Quantity(max(0.0, 0.9 * min(*room, thinnest)), "mm")


def packed(packing, misfit, diameter=None):
    """Crank and spacers of a choice in the panel.

    Parameters
    ----------
    packing : str
        One of ``packings()``.
    misfit : Quantity, scalar [length]
    diameter : Quantity, optional [length]
        Of every spacer; ``rod`` of the crank without it.

    Returns
    -------
    Crank, tuple of spacers.Spacer
    """
    name, kind = packing.rsplit(", ", 1)
    crank = own.load(name)
    count = {
        "no spacer": 0,
        "spacer": 1,
        "spacer in first throw only": 1,
        "all throws": len(crank.throws),
    }[kind]
    size = diameter or rod(name)
    return crank, tuple(Spacer(number, misfit, size) for number in range(count))


def items(units, force, misfit, packing):
    """What moves in drawing and chart, and the sentence that states the finding."""
    label, widest, _ = WIDEST[units]
    unit = "um" if units == "mm" else "thousandth"
    crank, packs = packed(packing, misfit)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        result = squeezed.squeeze(crank, force, packs)
        drawn = squeezed_crank.squeezed_items(crank, result, packs, crank.length.m_as("mm"))
        reading = result.largest_runout
        if packs:
            tried = (
                widest * np.linspace(-1, 1, 41) * np.abs(np.linspace(-1, 1, 41))
            )  # close together where the curve bends
            runout = squeezed.runout_for_misfit(crank, force, packs, Quantity(tried, unit)).m_as(
                unit
            )
        else:
            tried, runout = np.array([-widest, widest]), np.full(2, reading.m_as(unit))
    beneath = (
        0.65 if not packs and 1 < (reading / ALLOWED).m_as("dimensionless") < 1.5 else 1
    )  # words stay clear of a level line
    drawn += [
        scene.Curve(tried, runout, scene.BLUE, axes=1),
        scene.Curve(
            np.array([-widest, widest]),
            np.full(2, ALLOWED.m_as(unit)),
            scene.GREEN,
            2,
            "10 5",
            axes=1,
        ),
        scene.Note(
            widest * 0.98,
            beneath * ALLOWED.m_as(unit),
            f"allowed {as_text(ALLOWED.to(unit), digits=2)}",
            scene.GREEN,
            "end",
            axes=1,
        ),
        scene.Point(misfit.m_as(unit) if packs else 0.0, reading.m_as(unit), scene.BLUE, axes=1),
    ]
    guess = prediction("08 misfit runout", ("um", "thousandth", "mm", "in"))
    if guess is not None:
        drawn += [
            scene.Curve(
                np.array([-widest, widest]),
                np.full(2, guess.m_as(unit)),
                scene.PURPLE,
                2,
                "2 4",
                axes=1,
            ),
            scene.Note(
                widest * 0.98, guess.m_as(unit), "your prediction", scene.PURPLE, "end", axes=1
            ),
        ]
    return drawn, _sentence(crank, force, misfit, packs, result, units)


def _sentence(crank, force, misfit, packs, result, units):
    unit = "um" if units == "mm" else "thousandth"
    reading = as_text(result.largest_runout, unit, 2)
    pressed = as_text(force, "N" if units == "mm" else "lbf", 3)
    if not packs:
        return f"{crank.name} pressed with {pressed}, no spacer: its mains run out {reading} after release."
    short = misfit.magnitude < 0
    fit = (
        "as long as the gap"
        if misfit.magnitude == 0
        else f"{as_text(abs(misfit), unit, 2)} too {'short' if short else 'long'}"
    )
    bears = ", ".join(f"{force:.0f} N" for force in np.atleast_1d(result.spacer_force.magnitude))
    left = (
        f" Throws left without: {len(crank.throws) - len(packs)}."
        if len(packs) < len(crank.throws)
        else ""
    )
    verdict = "within" if result.largest_runout <= ALLOWED else "more than"
    return (
        f"{crank.name} pressed with {pressed}, spacer {fit}: it bears {bears}, and the mains run out {reading}, "
        f"{verdict} the {as_text(ALLOWED, unit, 2)} allowed.{left}"
    )


def paper(units, projector=False):
    """What does not move: window and chart."""
    return squeezed_crank.squeeze_paper(*WIDEST[units], projector)


def panel(stage=False):
    """The live panel of the lesson; on a stage it fills a projector's screen."""
    choices = packings()
    first = choices[min(1, len(choices) - 1)] if own.is_own(own.names()[0]) else "pump, spacer"
    return Panel(
        (*CONTROLS, Choice("packing", "Crank and spacers", choices, first)),
        items,
        paper,
        PRESETS,
        stage,
        VOTE,
    )


def picture(force, misfit, packing="pump, spacer", units="mm"):
    """The same picture without widgets: (figure, sentence)."""
    drawn, sentence = items(units, force, misfit, packing)
    return scene.add(paper(units), drawn), sentence


def limits_text(crank, force, allowed, diameter):
    """Sentence with the shortest and longest spacer, in hundredths of a millimeter and thousandths of an inch.

    Parameters
    ----------
    crank : Crank
    force, allowed, diameter : Quantity, scalar [force, length, length]

    Returns
    -------
    str

    Notes
    -----
    Basis: ``spacers.misfit_limits`` with equal spacers in every throw.
    """
    packs = tuple(
        Spacer(number, Quantity(0.0, "mm"), diameter) for number in range(len(crank.throws))
    )
    shortest, longest = squeezed.misfit_limits(crank, force, allowed, packs)
    gap = crank.throws[0].pin_length
    ends = [
        f"{end.m_as('mm') * 100:+.1f} hundredths of a mm ({end.m_as('thousandth'):+.2f} thou)"
        if np.isfinite(end.magnitude)
        else "any amount short"
        for end in (shortest, longest)
    ]
    return f"{crank.name}, gap {as_text(gap)}, {as_text(force)}, runout {as_text(allowed)}: from {ends[0]} to {ends[1]}."


def portal_closure(source):
    """Closure of a throw by the plain frame drawn on center lines."""
    force, arm, length = (
        source.randrange(2, 8) * 100,
        source.randrange(10, 21),
        source.randrange(12, 26),
    )
    pin, thick, wide = source.randrange(10, 19), source.randrange(9, 16), source.randrange(20, 31)
    parts = closure_parts(
        *(
            Quantity(size, unit)
            for size, unit in (
                (force, "N"),
                (arm, "mm"),
                (pin, "mm"),
                (length, "mm"),
                (thick, "mm"),
                (wide, "mm"),
            )
        )
    )
    webs, bent, pressed = (part.m_as("um") for part in parts)
    key = Quantity(webs + bent + pressed, "um")
    return Question(
        f"A throw of {arm} mm has a pin of Ø{pin} mm × {length} mm and webs {thick} mm thick, {wide} mm wide. Reckon it as a plain frame on "
        f"center lines, E = 206 GPa, the pin from the middle of one web to the middle of the other. How much does {force} N between centers close the gap, no spacer? (The real throw is stiffer.)",
        key,
        ("um", "mm", "thousandth"),
        {
            "there are two webs: were both counted?": Quantity(webs / 2 + bent + pressed, "um"),
            "is the pin reckoned from web middle to web middle, or only where it is bare?": Quantity(
                webs + (bent + pressed) * length / (length + thick), "um"
            ),
            "does the pin bend as well?": Quantity(webs + pressed, "um"),
            "is the web bent about its thickness or its width?": Quantity(
                webs * (thick / wide) ** 2 + bent + pressed, "um"
            ),
            "is the pin's I pi d^4 / 64 or / 32?": Quantity(webs + bent / 2 + pressed, "um"),
        },
        (
            "The C closes by three things: both webs bend, the pin bends, the pin is pressed shorter.",
            "closure = 2 P e^3 / (3 E I_web) + P e^2 L / (E I_pin) + P L / (E A_pin), L = bare pin + one web thickness",
        ),
    )


def handwheel_thrust(source):
    """Thrust of a tailstock from the torque on its handwheel."""
    torque, lead = source.randrange(4, 16) / 10, source.choice((2.0, 2.5, 3.0))
    share = source.randrange(25, 41) / 100
    key = thrust.screw_thrust(Quantity(torque, "N*m"), Quantity(lead, "mm"), efficiency=share)
    perfect = 2 * np.pi * torque / (lead / 1000)
    return Question(
        f"You turn the tailstock's handwheel with {torque:g} N·m. Its screw advances {lead:g} mm a turn and hands on {100 * share:.0f} % of the work. "
        "How hard does the center press?",
        key.to("N"),
        ("N", "kN", "lbf"),
        {
            "does the screw hand on all the work?": Quantity(perfect, "N"),
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
    shortest, longest = squeezed.misfit_limits(
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
        f"`{name}` is turned with {force} N and a spacer of Ø{packs[0].diameter.magnitude:g} mm. The mains may run out {allowed} µm. How much too long may "
        "the spacer be? Use the library; answer within 5 %.",
        longest,
        ("um", "mm", "thousandth", "in"),
        slips,
        (
            "The runout climbs on both sides of the best length. The longer side is the steep one.",
            "spacers.misfit_limits(crank, thrust, allowed_runout, spacer) gives shortest and longest.",
        ),
        tolerance=0.05,
    )


def check_gaps(crank, my_bare, my_packed):
    """Check the two gaps of the worked example: largest runout at 300 N without and with a spacer that fits."""
    force = Quantity(300.0, "N")
    bare = squeezed.squeeze(crank, force).largest_runout
    full = squeezed.squeeze(
        crank, force, packed(f"{crank.name}, spacer", Quantity(0.0, "mm"))[1]
    ).largest_runout
    radius = {"is that the axis's offset? A turn of the dial shows twice that.": bare / 2}
    print(
        "No spacer:",
        check(Question("bare", bare, ("um", "thousandth", "mm"), radius, (), 0.03), my_bare),
    )
    print(
        "With spacer:",
        check(Question("packed", full, ("um", "thousandth", "mm"), {}, (), 0.03), my_packed),
    )


def closure_parts(force, arm, pin_diameter, pin_length, web_thickness, web_width):
    """What closes a throw, reckoned by hand as a plain frame on center lines.

    Formula: both webs bend 2 P e^3 / (3 E I_web), the pin bends P e^2 L / (E I_pin) and is pressed
    shorter P L / (E A_pin), E = 206 GPa, L from the middle of one web to the middle of the other.

    Parameters
    ----------
    force : Quantity [force]
    arm, pin_diameter, pin_length, web_thickness, web_width : Quantity [length]

    Returns
    -------
    (Quantity, Quantity, Quantity) [um]
        Webs, pin bent, pin pressed.

    Notes
    -----
    Basis: derived; beam theory. About a third more than a real throw closes: webs are not lines.
    """
    load = magnitude(force, "N", "force", least=0) / 206_000
    e, d, length, thick, wide = (
        magnitude(value, "mm", name, above=0)
        for name, value in (
            ("arm", arm),
            ("pin_diameter", pin_diameter),
            ("pin_length", pin_length),
            ("web_thickness", web_thickness),
            ("web_width", web_width),
        )
    )
    between = length + thick
    parts = (
        8 * e**3 / (wide * thick**3),
        64 * e**2 * between / (np.pi * d**4),
        4 * between / (np.pi * d**2),
    )
    return tuple(Quantity(load * part * 1e3, "um") for part in parts)
