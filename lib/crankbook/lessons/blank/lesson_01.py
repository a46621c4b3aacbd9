"""Lesson 01, draw the crank: its panel, its form and its three questions."""

from dataclasses import replace

import numpy as np

from crankmath.crank import motion
from crankmath.language import _, ngettext
from crankmath.units import Quantity, as_text
from crankmath.wording import capital
from crankmath.workpiece.placing import alone

from ...forms.crank_form import CrankForm
from ...forms.crank_words import described
from ...forms.crank_words import edited as edited  # notebooks call it lesson_01.edited
from ...lesson import own
from ...lesson.exercise import Question, check, prediction
from ...lesson.finding import Finding
from ...lesson.kept import once
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures import scene
from ...pictures.blank import piston_picture
from ...pictures.crank_drawing import crank_drawing

RODS = {
    "2.5 throws": 2.5,
    "3 throws": 3.0,
    "4 throws": 4.0,
    "5 throws": 5.0,
    "6 throws": 6.0,
    "endless": 1000.0,
}
WIDEST = {"mm": ("mm", 0.25), "in": ("thou", 10.0)}
ANGLES = np.linspace(0, 360, 145)
PRESETS = {
    _("Outer end"): {"turn": Quantity(0.0, "deg")},
    _("Quarter turn"): {"turn": Quantity(90.0, "deg")},
    _("Inner end"): {"turn": Quantity(180.0, "deg")},
    _("Short rod"): {"rod": "2.5 throws", "turn": Quantity(90.0, "deg")},
    _("Throw too long"): {"error": Quantity(0.1, "mm")},
}


def controls():
    """The panel's controls; the reader's own crank is offered first once it is saved."""
    names = own.names()
    return (
        Choice("crank", _("Crank"), names, names[0]),
        Control(
            "turn",
            _("Crank turned by"),
            ("deg", 0, 360, 1),
            ("deg", 0, 360, 1),
            Quantity(60.0, "deg"),
            plays=60,
        ),
        Choice("rod", _("Rod length"), tuple(RODS), "4 throws"),
        Control(
            "error",
            _("Throw 1 too long by"),
            ("mm", -0.2, 0.2, 0.01),
            ("thousandth", -8, 8, 0.5),
            Quantity(0.0, "mm"),
            ("um", "in"),
        ),
    )


def rod_length(crank, rod):
    """Length of a rod, counted in the crank's longest throws; ``rod`` is one of ``RODS``."""
    return Quantity(RODS[rod] * max(throw.radius.m_as("mm") for throw in crank.throws), "mm")


def _standing(part, wide):
    """What moves in space: the crank with pistons on rods of a length [mm], over a whole turn."""
    placed, turns = alone(part), np.radians(ANGLES[::2])
    travel = motion.travel_of_throws(part, Quantity(ANGLES[::2], "deg"), wide).magnitude
    radii = np.array([throw.radius.m_as("mm") for throw in part.throws])
    pins = [(*placed.span("pin", n), placed.rounds["pin", n][0]) for n in range(len(radii))]
    first = part.throws[0].angle.m_as("rad")
    heights = wide.magnitude + radii[:, None] - travel
    said = ngettext(
        "{name} in space, turning, with a rod and a piston above it.",
        "{name} in space, turning, with {count} rods and pistons above it.",
        len(radii),
    )
    return piston_picture.crank_in_space(
        placed.finished(),
        pins,
        list(zip(radii, placed.directions, strict=True)),
        wide.magnitude,
        turns + first,
        heights,
        said.format(name=part.name, count=len(radii)),
    )


def items(units, crank, turn, rod, error):
    """What moves in space and in the charts, and the finding."""
    part = own.load(crank)
    wide = rod_length(part, rod)
    angles = Quantity(np.append(ANGLES, turn.m_as("deg")), "deg")
    travel = motion.travel_of_throws(part, angles, wide).magnitude
    radii = np.array([throw.radius.m_as("mm") for throw in part.throws])
    stroke = 2 * radii.max()
    lead = np.radians(ANGLES + part.throws[0].angle.m_as("deg"))
    turning = once(("01 in space", crank, own.stamp(crank), rod), lambda: _standing(part, wide))
    drawn = [replace(turning, at=turn.m_as("turn"))]
    shares = 100 * travel / stroke
    drawn += piston_picture.travel_chart(
        ANGLES,
        shares[:, :-1],
        100 * radii[0] * (1 - np.cos(lead)) / stroke,
        turn.m_as("deg"),
        shares[:, -1],
    )
    shift = motion.position_error(angles + part.throws[0].angle, part.throws[0].radius, wide, error)
    unit, widest = WIDEST[units]
    off = shift.m_as("thousandth" if units == "in" else "mm")
    drawn += [
        scene.Curve(ANGLES, off[:-1], scene.BLUE, axes=2),
        scene.Curve(
            np.full(2, turn.m_as("deg")), np.array([-widest, widest]), scene.GRAY, 1, axes=2
        ),
        scene.Point(turn.m_as("deg"), off[-1], scene.BLUE, 2, (scene.Grip("turn"),)),
    ]
    # the throw as it is made: its stroke is longer by twice the error
    angle, made = angles[-1] + part.throws[0].angle, part.throws[0].radius + error
    come = motion.piston_motion(angle, Quantity(0.0, "rpm"), made, wide).travel
    share = 100 * (come / (2 * made)).m_as("dimensionless")
    lines = _lines(part, turn, rod, wide, error, share, shift[-1], units)
    guess = prediction("01 quarter turn", ("mm", "in"))
    if guess is not None and crank == "pump":
        height = 100 * guess.m_as("mm") / stroke
        drawn += [
            scene.Point(90.0, height, scene.PURPLE, axes=1),
            scene.Note(95.0, height - 8, _("your prediction"), scene.PURPLE, axes=1),
        ]
        quarter = travel[0, np.searchsorted(ANGLES, 90.0)]
        lines.append(
            _("At a quarter turn you predicted {guess}; with this rod it is {quarter}.").format(
                guess=as_text(guess, units, 3), quarter=as_text(Quantity(quarter, "mm"), units, 3)
            )
        )
    come, whole = as_text(come, units, 3), as_text(2 * made, units, 3)
    headline = _("Piston 1 has come {come} of its {whole} stroke.").format(come=come, whole=whole)
    return drawn, Finding(headline, "", tuple(lines))


def _lines(crank, turn, rod, wide, error, share, off, units):
    long = (
        _("an endless rod")
        if rod == "endless"
        else _("a rod of {wide}").format(wide=as_text(wide, units, 3))
    )
    degrees = as_text(turn, "deg", 4).split()[0]
    name = capital(crank.name)
    lines = [
        _("{name} turned {degrees}° with {long}: {share:.0f} % of the stroke.").format(
            name=name, degrees=degrees, long=long, share=share
        )
    ]
    if error.magnitude:
        fine = "mm" if units == "mm" else "thousandth"
        side = _("too long") if error.magnitude > 0 else _("too short")
        shift = as_text(abs(off), fine, 2)
        where = (
            _("where it should be")
            if shift.startswith("0 ")
            else _("{shift} too {words} the head").format(
                shift=shift, words=_("near") if off.magnitude > 0 else _("far from")
            )
        )
        size = as_text(abs(error), fine, 2)
        lines.append(
            _("The throw is {size} {side}: here the piston stands {where}.").format(
                size=size, side=side, where=where
            )
        )
    return lines


def paper(units, projector=False):
    """What does not move: room for the view in space, and two charts."""
    return piston_picture.piston_paper(*WIDEST[units], projector)


SCENE = Scene(controls, items, paper, PRESETS)
panel, picture = SCENE.panel, SCENE.picture


def drawing(crank, units=None):
    """The drawing with its sizes: (figure, sentence)."""
    return crank_drawing(crank, units), described(crank, units)


def form():
    """The form in which readers make a crank of their own."""
    return CrankForm()


def travel_by_hand(radius, rod, angle):
    """Travel from the outer end by two right triangles, in the unit of the lengths; radians."""
    return radius + rod - radius * np.cos(angle) - np.sqrt(rod**2 - (radius * np.sin(angle)) ** 2)


def piston_travel(source):
    """How far a piston has come at a crank angle."""
    radius, ratio, degrees = (
        source.randrange(12, 46),
        source.choice((3, 3.5, 4, 4.5)),
        source.randrange(40, 81, 5),
    )
    rod, angle = radius * ratio, np.radians(degrees)
    key = travel_by_hand(radius, rod, angle)
    return Question(
        f"A throw of {radius} mm drives a piston by a rod of {rod:g} mm, the cylinder's line "
        "through the main axis. How far has the piston come from its outer end "
        f"when the crank has turned {degrees}°?",
        Quantity(key, "mm"),
        ("mm", "in", "cm"),
        {
            "does the rod stand at an angle now? Its lean pulls the piston further in": Quantity(
                radius * (1 - np.cos(angle)), "mm"
            ),
            "is that counted from the inner end?": Quantity(2 * radius - key, "mm"),
            "did you take the stroke for the throw?": Quantity(
                travel_by_hand(2 * radius, rod, angle), "mm"
            ),
            "is that the height above the main axis?": Quantity(radius + rod - key, "mm"),
            "which side of the triangle is r cos, which r sin?": Quantity(
                travel_by_hand(radius, rod, np.pi / 2 - angle), "mm"
            ),
        },
        (
            "Two right triangles share the height of the pin beside the cylinder's line, r "
            "sin(angle).",
            "x = r + l - r cos(angle) - sqrt(l^2 - r^2 sin^2(angle))",
        ),
    )


def swept(source):
    """Swept volume of the pistons of a crank."""
    bore, radius, number = (
        source.randrange(20, 61),
        source.randrange(12, 41),
        source.choice((2, 3, 4)),
    )
    one = np.pi / 4 * bore**2 * 2 * radius / 1000
    return Question(
        f"{number} pistons of {bore} mm bore run on throws of {radius} mm. What volume do they "
        "sweep together in a turn, each on its way out?",
        Quantity(number * one, "cm**3"),
        ("cm**3", "mm**3", "liter", "in**3"),
        {
            "is the stroke the throw, or twice the throw?": Quantity(number * one / 2, "cm**3"),
            "is that one piston?": Quantity(one, "cm**3"),
            "did you take the bore for the radius of the piston?": Quantity(
                4 * number * one, "cm**3"
            ),
        },
        ("Area of the bore times stroke, for every piston.", "V = z (pi/4) B^2 2 r"),
    )


def phase_shift(source):
    """Piston shift that a phase error between throws makes at a quarter turn."""
    radius, minutes = source.randrange(15, 61), source.randrange(5, 31)
    shift = np.radians(minutes / 60)
    return Question(
        f"The second throw of a crank, {radius} mm, stands {minutes / 60:.3g}° ahead of where it "
        "should be. The rod is long. How far off is its piston when it is in mid-stroke?",
        Quantity(radius * shift, "mm"),
        ("mm", "um", "thousandth", "in"),
        {
            "are those degrees? Multiply by pi/180": Quantity(radius * minutes / 60, "mm"),
            "did you take the stroke for the throw?": Quantity(2 * radius * shift, "mm"),
            "is the pin in mid-stroke at 45° or at 90°?": Quantity(
                radius * shift * np.sqrt(0.5), "mm"
            ),
        },
        (
            "In mid-stroke the pin moves straight along the cylinder.",
            "shift = r times the angle in radians",
        ),
        tolerance=0.02,
    )


def check_gaps(my_travel, my_shift):
    """Check the two gaps: bellows, rod 2.5 in, turned 60°: travel, and piston shift for a throw 2
    thou long at the inner end."""
    radius, rod = 0.625, 2.5
    come = Quantity(travel_by_hand(radius, rod, np.radians(60)), "in")
    slips = {"does the rod lean? Take its triangle as well": Quantity(radius * 0.5, "in")}
    print(
        "Travel:",
        check(Question("travel", come, ("in", "mm", "thousandth"), slips, (), 0.01), my_travel),
    )
    off = Quantity(2.0, "thousandth")
    twice = {"is that the change of the stroke? One end has half of it": 2 * off}
    print(
        "Shift:",
        check(Question("shift", off, ("thousandth", "in", "mm", "um"), twice, (), 0.02), my_shift),
    )
