"""Lesson 08, fit the spacers: its panel and its three questions."""

import warnings

import numpy as np

from crankmath import spacers
from crankmath.spacers import Spacer, largest_diameter
from crankmath.units import OutOfRangeWarning, Quantity, as_text

from ...lesson import own
from ...lesson.exercise import Question, check, prediction
from ...lesson.panel import Choice, Control, Panel
from ...pictures import scene
from ...pictures.turning import squeezed_crank

# runout a running fit of this size bears; common practice, no source
ALLOWED = Quantity(10.0, "um")
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
    "A spacer 8 µm too long, or one 20 µm too short: which is worse?",
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

    A crank whose pin leaves no room for a spacer on the main axis is offered without.
    """
    found = []
    for name in own.names():
        crank = own.load(name)
        kinds = ["no spacer"]
        if largest_diameter(crank).magnitude > 0:
            kinds += (
                ["spacer"]
                if len(crank.throws) == 1
                else ["spacer in first throw only", "all throws"]
            )
        found += [f"{name}, {kind}" for kind in kinds]
    return tuple(found)


def packed(packing, misfit):
    """Crank and spacers of a choice in the panel, each as wide as the crank has room for."""
    name, kind = packing.rsplit(", ", 1)
    crank = own.load(name)
    count = {"no spacer": 0, "all throws": len(crank.throws)}.get(kind, 1)
    size = largest_diameter(crank)
    return crank, tuple(Spacer(number, misfit, size) for number in range(count))


def items(units, force, misfit, packing):
    """What moves in drawing and chart, and the sentence that states the finding."""
    label, widest, _ = WIDEST[units]
    unit = "um" if units == "mm" else "thousandth"
    crank, packs = packed(packing, misfit)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        result = spacers.squeeze(crank, force, packs)
        drawn = squeezed_crank.squeezed_items(crank, result, packs, crank.length.m_as("mm"))
        reading = result.largest_runout
        if packs:
            share = np.linspace(-1, 1, 41)
            tried = widest * share * np.abs(share)  # close together where the curve bends
            misfits = Quantity(tried, unit)
            runout = spacers.runout_for_misfit(crank, force, packs, misfits).m_as(unit)
        else:
            tried, runout = np.array([-widest, widest]), np.full(2, reading.m_as(unit))
    # words stay clear of a level line
    beneath = 0.65 if not packs and 1 < (reading / ALLOWED).m_as("dimensionless") < 1.5 else 1
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
        return (
            f"{crank.name} pressed with {pressed}, no spacer: "
            f"its mains run out {reading} after release."
        )
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
        f"{crank.name} pressed with {pressed}, spacer {fit}: it bears {bears}, "
        f"and the mains run out {reading}, {verdict} the {as_text(ALLOWED, unit, 2)} allowed.{left}"
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
        f"{wide} mm wide. Reckon it as a plain frame on center lines, E = 206 GPa, the pin from the "
        f"middle of one web to the middle of the other. How much does {force} N between centers "
        "close the gap, no spacer? (The real throw is stiffer.)",
        key,
        ("um", "mm", "thousandth"),
        {
            "there are two webs: were both counted?": Quantity(webs / 2 + bent + pressed, "um"),
            "is the pin reckoned from web middle to web middle, or only where it is bare?": Quantity(
                webs + (bent + pressed) * length / between, "um"
            ),
            "does the pin bend as well?": Quantity(webs + pressed, "um"),
            "is the web bent about its thickness or its width?": Quantity(
                webs * (thick / wide) ** 2 + bent + pressed, "um"
            ),
            "is the pin's I pi d^4 / 64 or / 32?": Quantity(webs + bent / 2 + pressed, "um"),
        },
        (
            "The C closes by three things: both webs bend, the pin bends, the pin is pressed shorter.",
            "closure = 2 P e^3 / (3 E I_web) + P e^2 L / (E I_pin) + P L / (E A_pin), "
            "L = bare pin + one web thickness",
        ),
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
        f"`{name}` is turned with {force} N and a spacer of Ø{packs[0].diameter.m_as('mm'):.4g} mm. "
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
    )


def check_gaps(crank, my_bare, my_packed):
    """Check the gaps of the worked example: runout at 300 N without and with a fitted spacer."""
    force = Quantity(300.0, "N")
    bare = spacers.squeeze(crank, force).largest_runout
    full = spacers.squeeze(
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
