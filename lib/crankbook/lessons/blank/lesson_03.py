"""Lesson 03, lay out the centers: its panel, its tables, its printed sheet and its three
questions."""

import numpy as np

from crankmath.blank import layout
from crankmath.blank.bar import SHAPES, section_axes, throw_direction
from crankmath.blank.center_holes import hole_room
from crankmath.files import make_folder
from crankmath.language import _, marked, spoken
from crankmath.units import Quantity, as_text
from crankmath.wording import capital

from ...lesson import own, progress
from ...lesson.exercise import Question, check, prediction
from ...lesson.finding import Finding, beside
from ...lesson.own_files import file_stem
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures.blank import center_picture, layout_sheet
from .marked_bar import bar_words, blank_for

SPARE = Quantity(
    10.0,
    "um",
    # clearance a plain bearing of this size can give up to a pin that stands askew; common
    # practice,
    # no source
)
AS_DRAWN = marked("as drawn")
SLANT = {"mm": _("mm per m"), "in": _("thou per inch")}  # the same number
WIDEST = {"mm": ("mm", 0.2), "in": ("thou", 8.0)}
PRESETS = {
    _("Both ends alike"): {"out": Quantity(0.0, "mm"), "turn": Quantity(0.0, "deg")},
    _("One center out"): {"out": Quantity(0.05, "mm"), "turn": Quantity(0.0, "deg")},
    _("Right end turned"): {"out": Quantity(0.0, "mm"), "turn": Quantity(0.1, "deg")},
}


def controls():
    """The panel's controls; the reader's own crank is offered first once it is saved."""
    names = own.names()
    return (
        Choice("crank", _("Crank"), names, names[0]),
        Choice("shape", _("Bar"), SHAPES, "round"),
        Control(
            "out",
            _("Pin 1 too far out, right end"),
            ("mm", -0.2, 0.2, 0.005),
            ("thousandth", -8, 8, 0.25),
            Quantity(0.0, "mm"),
            ("um", "in"),
        ),
        Control(
            "turn",
            _("Right end drilled turned by"),
            ("deg", -0.5, 0.5, 0.01),
            ("deg", -0.5, 0.5, 0.01),
            Quantity(0.0, "deg"),
        ),
    )


def pins(crank, bar, out, turn):
    """Where errors at the right-hand end put each pin's axis (``layout.PinAxis``); the left end has
    none.

    - ``out``: First pin's center too far from the main center.
    - ``turn``: The whole pattern turned, counterclockwise as you look at that end.
    """
    none = Quantity([0.0, 0.0], "mm")
    return [
        layout.pin_axis(
            crank,
            index,
            Quantity([out.m_as("mm"), 0.0], "mm") if index == 0 else none,
            none,
            bar.length,
            turn,
        )
        for index in range(len(crank.throws))
    ]


def items(units, crank, shape, out, turn):
    """What moves on end face, in space and on the chart, and the finding."""
    part = own.load(crank)
    blank = blank_for(part, shape)
    axes = pins(part, blank.bar, out, turn)
    guess = (
        prediction("03 main center", ("mm", "in")) if crank == "pump" and shape == "round" else None
    )
    drawn = center_picture.face_items(
        part, blank.right, blank.hole, units, None if guess is None else guess.m_as("mm")
    )
    length = blank.bar.length.m_as("mm")
    fine = 1.0 if units == "mm" else 1000 / 25.4
    reaches = [
        [slope.m_as("mm/m") / 1000 * length for slope in (one.tilt, one.skew)] for one in axes
    ]
    to_bar, offs = section_axes(blank.bar.turn.m_as("rad")), []
    for throw, (tilted, skewed) in zip(part.throws, reaches, strict=True):
        along, across = throw_direction(throw)
        offs.append(to_bar @ (tilted * along - skewed * across))
    if any(reaches[0]):
        words = _("error of pin 1's center, {ENLARGED} times enlarged").format(
            ENLARGED=center_picture.ENLARGED
        )
        drawn += center_picture.drilled(blank.right, offs[0], words)
    pin = part.plain.pins[0]
    stub = (length - part.length.m_as("mm")) / 2
    span = [stub + end for end in (pin.start, pin.end)]
    shares = [100 * end / length for end in span]
    drawn += center_picture.axis_items(shares, *((0.0, fine * end) for end in reaches[0]))
    finding = _finding(part, blank, axes, units, guess)
    main = _place(blank.right.find("main"))
    outward = [to_bar @ (one.radius.m_as("mm") * throw_direction(one)[0]) for one in part.throws]
    centers = np.array([main, *(main + out for out in outward)])
    said = _("Axes of {name} through both end faces. {headline}").format(
        name=part.name, headline=finding.headline
    )
    drawn.append(
        center_picture.axes_in_space(blank.bar, (length, *span), centers, np.array(offs), said)
    )
    return drawn, finding


def _place(point):
    """Place of a center as you look at the end, from the bar's middle [mm]."""
    return np.array([point.from_middle_x.m_as("mm"), point.from_middle_y.m_as("mm")])


def _coordinate(length, units):
    return f"{center_picture.as_marked(length.m_as('mm'), units)} {units}"


def _finding(crank, blank, axes, units, guess):
    """What the errors of the centers take of a bearing's clearance, and where the centers are."""
    places = (
        _("{name} {from_left} from the left, {from_bottom} up").format(
            name=spoken(point.name),
            from_left=_coordinate(point.from_left, units),
            from_bottom=_coordinate(point.from_bottom, units),
        )
        for point in blank.right.points
    )
    name = capital(crank.name)
    lines = [f"{name}, {bar_words(blank.bar, units)}.", *(f"{capital(one)}." for one in places)]
    worst = max(range(len(axes)), key=lambda index: axes[index].takes_clearance.magnitude)
    one, fine = axes[worst], "um" if units == "mm" else "thousandth"
    if one.takes_clearance.magnitude:
        taken, spare = (as_text(size, fine, 2) for size in (one.takes_clearance, SPARE))
        headline = _("Pin {worst} takes {taken} of its bearing's clearance.").format(
            worst=worst + 1, taken=taken
        )
        verdict = "fine" if one.takes_clearance <= SPARE else "not fine"
        slant = f"{one.misalignment.m_as('mm/m'):.2f} {SLANT[units]}"
        phase = f"{one.phase_error.m_as('deg'):+.2f}°"
        phase = _(AS_DRAWN) if float(phase[:-1]) == 0 else phase
        errors = _("Throw {throw_error}, phase {phase}, askew {slant}.").format(
            throw_error=_signed(one.throw_error, fine), phase=phase, slant=slant
        )
        lines[:0] = [errors.replace("-", "−"), _("It can spare {spare}.").format(spare=spare)]
    else:
        headline, verdict = _("Both ends alike: every pin lies true."), "fine"
    if guess is not None:
        main = as_text(abs(blank.right.find("main").from_middle_y), units, 3)
        guessed = _("{guess} below the middle").format(guess=as_text(guess, units, 3))
        lines.append(beside(guessed, main, crank.name))
    if blank.problem:
        lines.append(f"{capital(blank.problem)}.")
    return Finding(headline, verdict, tuple(lines))


def _signed(length, unit):
    if abs(length.m_as("um")) < 0.05:
        return _(AS_DRAWN)
    text = as_text(length, unit, 2)
    return text if text.startswith("−") else f"+{text}"


def paper(units, projector=False):
    """What does not move: windows and chart."""
    return center_picture.center_paper(*WIDEST[units], projector)


SCENE = Scene(controls, items, paper, PRESETS)
panel, picture = SCENE.panel, SCENE.picture


def hole_text(crank, shape="round"):
    """Sentence on the center hole and the metal around its mouths."""
    blank, unit = blank_for(crank, shape), crank.units
    if blank.hole is None:
        return f"{crank.name}: {blank.problem}."
    rooms = hole_room(blank.right, blank.hole)
    edge, between = min(room.to_edge for room in rooms), min(room.to_next for room in rooms)
    return _(
        "{name}, {bar_words}: hole {hole_name}, drill {drill}, mouth {mouth}, at least "
        "{least_depth} deep; {edge} to the edge, {between} between mouths."
    ).format(
        name=crank.name,
        bar_words=bar_words(blank.bar, unit),
        hole_name=blank.hole.name,
        drill=as_text(blank.hole.drill, unit, 3),
        mouth=as_text(blank.hole.mouth, unit, 3),
        least_depth=as_text(blank.hole.least_depth, unit, 3),
        edge=as_text(edge, unit, 3),
        between=as_text(between, unit, 3),
    ) + (_(" The table row is from memory.") if "memory" in blank.hole.source else "")


def sheet(crank, shape="round", page="A4", ends=layout.ENDS):
    """Both end faces at true size on a page, or one of them."""
    blank = blank_for(crank, shape)
    faces = [blank.right if end == "right" else blank.left for end in ends]
    return layout_sheet.layout_sheet(faces, page, crank.units, blank.hole, crank.name)


def sheet_picture(crank, shape="round", page="A4"):
    """The sheet and what it shows in words: (figure, sentence)."""
    places = "; ".join(
        _("{name} {from_left} from the left, {from_bottom} up").format(
            name=spoken(point.name),
            from_left=_coordinate(point.from_left, crank.units),
            from_bottom=_coordinate(point.from_bottom, crank.units),
        )
        for point in blank_for(crank, shape).right.points
    )
    bar = bar_words(blank_for(crank, shape).bar, crank.units)
    return (
        sheet(crank, shape, page),
        _(
            "Both end faces of {name} at true size on a page of {page}, {bar}. Right-hand end: "
            "{places}. Scale bars across and down."
        ).format(name=crank.name, page=page, bar=bar, places=places),
    )


def save_sheets(crank, shape="round"):
    """Write the sheet for A4 and Letter, as PDF and SVG, into the reader's folder; the paths.

    Where both ends do not fit on a page, each gets its own. What was written, or why nothing was,
    is printed.
    """
    folder, written = progress.folder(), []
    stem = file_stem(crank.name)
    try:
        make_folder(folder)
        for page in layout_sheet.PAGES:
            for part, ends in _split(crank, shape, page):
                for kind in ("pdf", "svg"):
                    written.append(folder / f"layout-{stem}{part}-{page}.{kind}")
                    layout_sheet.save_true_size(sheet(crank, shape, page, ends), written[-1])
    except OSError as error:
        print(
            _("The sheets were not written: {folder} cannot be written ({strerror}).").format(
                folder=folder, strerror=error.strerror
            )
        )
        return []
    except ValueError as error:
        print(f"{crank.name}: {error}.")
        return []
    print(_("In your own folder: ") + ", ".join(file.name for file in written))
    return written


def _split(crank, shape, page):
    """Both ends on one sheet, or a sheet for each."""
    try:
        sheet(crank, shape, page)
        return [("", layout.ENDS)]
    except ValueError:
        return [(f"-{end}", (end,)) for end in layout.ENDS]


def center_place(source):
    """Height of the pin center over the bottom of a round bar."""
    throw, size = source.randrange(10, 31), source.randrange(50, 91, 5)
    key = size / 2 + throw / 2
    return Question(
        f"A one-throw crank with a throw of {throw} mm sits in the middle of a round bar of "
        f"Ø{size} mm, its pin above its main. How high above the bar's lowest point does the "
        "pin's center go?",
        Quantity(key, "mm"),
        ("mm", "in", "cm"),
        {
            "is that the main center?": Quantity(size / 2 - throw / 2, "mm"),
            "does the main center go into the middle of the bar?": Quantity(size / 2 + throw, "mm"),
            "did you take the diameter for the radius of the bar?": Quantity(
                size + throw / 2, "mm"
            ),
        },
        (
            "The crank sits in the middle of the bar, so the bar's middle lies half-way between "
            "both centers.",
            "y = D/2 + e/2",
        ),
    )


def clearance_taken(source):
    """Bearing clearance that a turned end takes over the length of a pin."""
    throw, length, pin, minutes = (
        source.randrange(10, 41),
        source.randrange(120, 301, 10),
        source.randrange(14, 31),
        source.randrange(6, 31),
    )
    shift = 1000 * throw * np.radians(minutes / 60)
    return Question(
        f"The right end of a bar {length} mm long was drilled turned by {minutes / 60:.3g}° "
        f"against the left. The throw is {throw} mm, the pin {pin} mm long. "
        "How much of its bearing's clearance does the slant take over the length of the pin?",
        Quantity(shift * pin / length, "um"),
        ("um", "mm", "thousandth"),
        {
            "are those degrees? Multiply by pi/180": Quantity(
                1000 * throw * minutes / 60 * pin / length, "um"
            ),
            "that is the shift of the center at the end face: "
            "how much of it falls on the pin?": Quantity(shift, "um"),
            "that is the shift at the middle of the bar: what is the slant over the pin?": Quantity(
                shift / 2, "um"
            ),
            "did you take the stroke for the throw?": Quantity(2 * shift * pin / length, "um"),
        },
        (
            "The center moves by throw times angle, in radians, at the right end and not at the "
            "left. That is a slope along the bar.",
            "taken = e (angle) L_pin / L_bar",
        ),
        tolerance=0.02,
    )


def counterweight(source):
    """Weight that balances the bar while a pin is turned."""
    tenths, throw, reach = (
        source.randrange(15, 61),
        source.randrange(12, 41),
        source.randrange(50, 91, 5),
    )
    mass, offset = tenths / 10, throw / 2
    return Question(
        f"A bar of {mass:g} kg for a one-throw crank turns on its pin center. The throw is "
        f"{throw} mm; main and pin lie evenly about the bar's middle. "
        f"What mass, bolted on at a radius of {reach} mm opposite the bar's middle, balances it?",
        Quantity(mass * offset / reach, "kg"),
        ("kg", "g", "lb"),
        {
            "how far is the bar's middle from the pin center: the throw, or half of it?": Quantity(
                mass * throw / reach, "kg"
            ),
            "which way does the lever law divide?": Quantity(mass * reach / offset, "kg"),
            "did you count the radius from one side to the other?": Quantity(
                mass * offset / (2 * reach), "kg"
            ),
        },
        ("Mass times distance has to be the same on both sides.", "m_c = m (e/2) / R"),
    )


def check_gaps(my_height, my_shift):
    """Check the two gaps: bellows in its round bar, height of the pin center; across-shift of that
    center for 0.2 degrees."""
    pin = blank_for(own.load("bellows")).right.find("pin 1")
    slips = {
        "is that the main center?": blank_for(own.load("bellows")).right.find("main").from_bottom
    }
    print(
        "Height:",
        check(Question("height", pin.from_bottom, ("in", "mm"), slips, (), 0.003), my_height),
    )
    shift = Quantity(625 * np.radians(0.2), "thousandth")
    degrees = {"are those degrees? Multiply by pi/180": Quantity(125.0, "thousandth")}
    print(
        "Shift:",
        check(
            Question("shift", shift, ("thousandth", "in", "mm", "um"), degrees, (), 0.02), my_shift
        ),
    )
