"""Lesson 16, find the fault: its panel, its practice readings and its three questions."""

import numpy as np

from crankmath.crank import Crank
from crankmath.inspection import find_causes
from crankmath.inspection.diagnosis import dial_readings, kept_readings, of_crank
from crankmath.inspection.diagnosis.remedies import remedies
from crankmath.language import _
from crankmath.units import Quantity, as_text

from ...forms import my_readings
from ...lesson import own
from ...lesson.exercise import Question, check_gap, prediction
from ...lesson.finding import Finding
from ...lesson.kept import once
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures.proving import fault_picture
from . import hidden_faults
from .fault_fit import (
    CAUSES,
    CLEAR,
    FAULTS,
    LEFT,
    MARKS,
    NO_FAULT,
    RIGHT,
    SCATTER,
    SPACER,
    UNITS,
    drawn_bars,
    drawn_crank,
    drawn_readings,
    fits,
    left_by,
    measured,
    odds,
    signatures,
)

LENGTHS = ("um", "mm", "thousandth", "in")
# read on a simulated bellows crank with a hidden fault; both its mains, in um
BELLOWS = (
    (34, 33, 34, 38, 30, 22, 23, 28, 31, 24, 24, 28),
    (62, 69, 76, 76, 67, 54, 43, 43, 42, 41, 39, 44),
)
PRESETS = {
    _("Spacer"): {"fault": FAULTS[0], "size": Quantity(16.0, "um")},
    _("Chip"): {"fault": FAULTS[1], "size": Quantity(20.0, "um"), "toward": Quantity(60.0, "deg")},
    _("Chip in the throw's plane"): {
        "fault": FAULTS[1],
        "size": Quantity(20.0, "um"),
        "toward": Quantity(0.0, "deg"),
    },
    _("Live center"): {
        "fault": FAULTS[3],
        "size": Quantity(20.0, "um"),
        "toward": Quantity(60.0, "deg"),
    },
    _("Pin's centers"): {"fault": FAULTS[4], "size": Quantity(20.0, "um")},
}


def controls():
    """Controls of the panel, the reader's own crank first in its list."""
    names = own.names()
    return (
        Choice("fault", _("Hidden fault"), FAULTS, FAULTS[0]),
        Control(
            "size",
            _("Its size"),
            ("um", 0, 20, 0.5),
            ("thousandth", 0, 0.8, 0.02),
            Quantity(16.0, "um"),
            ("mm", "in"),
        ),
        Control(
            "toward",
            _("Mark a center's fault points to"),
            ("deg", 0, 350, 10),
            ("deg", 0, 350, 10),
            Quantity(60.0, "deg"),
        ),
        Choice("name", _("Crank"), names, names[0] if own.is_own(names[0]) else "pump"),
    )


def items(units, fault, size, toward, name):
    """What moves in the crank's window, both charts and the bars, and the finding."""
    label, unit = UNITS[units]
    scale = Quantity(1.0, "um").m_as(unit)
    shapes, readings = measured(fault, size, toward, name)
    fitted = fits(shapes, readings)
    chance = odds(fitted, readings.size)
    best = max(chance, key=chance.get)
    drawn, left, full = drawn_readings(shapes, fitted, best, readings, scale)
    guess = prediction("16 chip", LENGTHS)
    if guess is not None:
        drawn += fault_picture.band_items(1, guess.m_as(unit) / 2, full)
    close = {one for one, share in chance.items() if share > 1 / CLEAR}
    drawn += drawn_bars(shapes, left, close, scale)
    lies = left_by(fault, size, toward, name)
    drawn += drawn_crank(lies, full, scale, label, size.m_as(unit))
    return drawn, _finding(fault, unit, label, fitted, left, close, best, shapes)


def _finding(fault, unit, label, fitted, left, close, best, shapes):
    """The finding, as one who has only the readings would state it."""
    alone = as_text(Quantity(SCATTER, "um"), unit, 2)
    rest = _("It leaves {left:.2g} {label} over; the dial's own scatter is {alone}.").format(
        left=left[best], label=label, alone=alone
    )
    size, off, _unused = fitted[best]
    swing = as_text(Quantity(2 * float(abs(off).max()), "um"), unit, 2)
    runs = _("The mains run out up to {swing} after release; before, the dial stood still.").format(
        swing=swing
    )
    if fault == FAULTS[0] and SPACER not in shapes:
        return Finding(
            _("The first throw takes no spacer."), "", (_("Choose another crank or fault."),)
        )
    if best == NO_FAULT:
        unseen = _("Diameters and the pin's height, not the mains, show what else may be wrong.")
        return Finding(_("The mains show no fault."), "cannot tell", (rest, unseen))
    if len(close) > 1:
        named = _(" or ").join(map(_, sorted(close)))
        return Finding(
            _("Cannot tell apart: {named}.").format(named=named), "cannot tell", (runs, rest)
        )
    amount = as_text(Quantity(float(abs(size)), "um"), unit, 2)
    if best == SPACER:
        how = _("too long") if size.real > 0 else _("too short")
        return Finding(
            _("A spacer {amount} {how} explains it.").format(amount=amount, how=how),
            "",
            (runs, rest, _("Warm work, squeezed as it is measured, bows alike: feel it first.")),
        )
    mark = _("{angle:.0f}° mark").format(angle=np.degrees(np.angle(size)) % 360)
    lines = [runs, rest]
    if best == LEFT:
        lines.append(
            _("A live center that runs out leaves just this: read its cone, then say which.")
        )
    named = _("Left or live center") if best == LEFT else _(best).capitalize()
    return Finding(
        _("{named} off by {amount} toward the {mark}.").format(
            named=named, amount=amount, mark=mark
        ),
        "cannot tell" if best == LEFT else "",
        tuple(lines),
    )


def paper(units, projector=False):
    """What does not move: the crank's window, both charts and the bars."""
    return fault_picture.fault_paper(UNITS[units][0], CAUSES, projector)


SCENE = Scene(controls, items, paper, PRESETS)
picture = SCENE.picture


def panel(stage=False):
    """The live panel of the lesson; on a stage a class measures a hidden fault."""
    return (hidden_faults.SCENE if stage else SCENE).panel(stage)


def read_on_mains(crank, readings):
    """Measured of one turn on each main, in twelve steps [um]."""
    return sum(
        (
            dial_readings(crank, f"main {main}", Quantity(MARKS, "deg"), Quantity(row, "um"))
            for main, row in enumerate(readings[1:], 2)
        ),
        dial_readings(crank, "main 1", Quantity(MARKS, "deg"), Quantity(readings[0], "um")),
    )


def print_remedies(found):
    """Print what can be done about a diagnosis, best first."""
    for way in remedies(found):
        print(f"- {way.words}")


def my_own_readings(name=None):
    """Print and return the causes of the readings that lesson 12's form keeps of a crank, or None.

    Without a name it is the reader's own crank, or the first example. None where fewer than three
    readings are kept; places that hold no reading of this crank are named.
    """
    name = my_readings.chosen()[1] if name is None else name
    crank = own.load(name)
    try:
        places, older = of_crank(my_readings.FILE.found()[0]["places"], name)
    except OSError as error:
        print(_("Your readings cannot be opened: {error}").format(error=error))
        return None
    taken = kept_readings(places, crank, my_readings.path().parent)
    if len(taken) < 3:
        print(
            _(
                "No readings of {name} are kept yet: take a turn on each main, type them into the "
                "form of lesson 12 under “main 1 of {name}”, “main 2 of {name}” and so on, and run "
                "this cell again."
            ).format(name=name)
        )
        for sentence in taken.damaged:
            print(_("Not read: {sentence}").format(sentence=sentence))
        return None
    found = find_causes(crank, taken)
    print(_("Readings of {name}:").format(name=name))
    if older:
        print(
            _("(Kept without a crank's name, taken as of {name}: {older}.)").format(
                name=name, older=", ".join(older)
            )
        )
    print(found)
    return found


def chip_under_a_center(source):
    """Size of a chip, from the runout of both mains."""
    length, left, right = (source.randrange(*span) for span in ((120, 241, 10), (18, 41), (18, 41)))
    end, off = source.choice(("left", "right")), source.randrange(8, 41)
    share = np.array([left, length - right]) / length
    share = 1 - share if end == "left" else share
    runout = np.round(2 * off * share, 1)
    key = float(share @ runout / 2 / (share @ share))
    return Question(
        f"A crank {length} mm long lies between its centers again. Main 1, read {left} mm from the "
        f"left end, runs out {runout[0]:g} µm; main 2, read {right} mm from the right end, runs "
        f"out {runout[1]:g} µm, both high toward the same mark. While the mains were turned, one "
        "center sat on a chip. At which end, and how far off was the center there? Answer the "
        "distance.",
        Quantity(key, "um"),
        LENGTHS,
        {
            "the dial shows the offset on one side, then on the other: was it halved?": Quantity(
                2 * key, "um"
            ),
            "that is the main's offset. What is it at the end?": Quantity(runout.max() / 2, "um"),
            "at which end do the readings grow?": Quantity(
                float((1 - share) @ runout / 2 / ((1 - share) @ (1 - share))), "um"
            ),
        },
        (
            "A straight crank on a center out of place: the offset falls in a straight line to "
            "nothing at the other end.",
            "offset = size × (distance from the true end) / length, runout = 2 × offset",
        ),
        tolerance=0.02,
    )


def spacer_from_a_turn(source):
    """How much too long a spacer was, from one main's readings."""
    throw, length = source.randrange(10, 26), source.randrange(120, 241, 10)
    at, hinge = source.randrange(16, 31), length // 2 - source.randrange(0, 25)
    misfit, zero = source.randrange(6, 31), source.randrange(-60, 61)
    leaves = at * (length - hinge) / (length * throw)
    high, low = (round(zero + side * misfit * leaves) for side in (1, -1))
    key = (high - low) / 2 / leaves
    return Question(
        f"A crank of one throw, {throw} mm, is {length} mm long between centers; its pin's middle "
        f"is {hinge} mm from the left end. The spacer stood on the main axis while the mains were "
        f"turned. {at} mm from the left end the dial reads {high} µm at the 0° mark, toward the "
        f"throw, and {low} µm at the 180° mark. How much too long was the spacer?",
        Quantity(key, "um"),
        LENGTHS,
        {
            "the dial shows the offset on both sides: was it halved?": Quantity(2 * key, "um"),
            "is that the main's offset, or the spacer's misfit?": Quantity((high - low) / 2, "um"),
            "the kink is not at the other center: which share of the length lies beyond it?": (
                Quantity((high - low) / 2 * throw / at, "um")
            ),
        },
        (
            "The spacer opens the throw like a hinge at its pin, one throw away.",
            "offset = misfit × x (L − a) / (L e), with x from the near end and a to the pin",
        ),
        tolerance=0.02,
        directed=True,
    )


def which_of_three(source):
    """Size of the cause that explains two turns of readings on the pump."""
    crank = own.load("pump")
    shapes = once(("16 signatures", "pump"), lambda: signatures(crank))
    while True:
        name = source.choice((SPACER, LEFT, RIGHT))
        toward = 0.0 if name == SPACER else source.choice((30, 60, 120, 150, 210, 240, 300, 330))
        size = source.randrange(10, 25) * np.exp(1j * np.radians(toward))
        wave = np.real(size * shapes[name][:, None] * np.exp(-1j * np.radians(MARKS)))
        zero = np.array([[source.randrange(-30, 31)] for _unused in wave])
        scatter = [[source.gauss(0, SCATTER) for _unused in row] for row in wave]
        readings = np.round(wave + zero + scatter)
        fitted = fits(shapes, readings)
        chance = odds(fitted, readings.size)
        if max(share for one, share in chance.items() if one != name) < 1e-4:
            break
    rows = "; ".join(
        f"main_{main} = [{', '.join(f'{one:.0f}' for one in row)}]"
        for main, row in enumerate(readings, 1)
    )
    key = Quantity(float(abs(fitted[name][0])), "um")
    slips = {
        f"does a fault of the {one} leave the least over?": Quantity(
            max(float(abs(fitted[one][0])), 0.1), "um"
        )
        for one in shapes
        if one != name
    }
    return Question(
        f"A hidden fault on `pump`: a spacer too long, or a chip on the left or right center. "
        f"Readings every 30° in µm: {rows}. Copy them into the cells of the derivation, fit all "
        "three, and answer the size of the one that leaves the least over, within 3 %.",
        key,
        LENGTHS,
        slips,
        (
            "Fit each cause to both mains at once and square up what it leaves over.",
            "size = Σ s y / Σ s²; a center needs it twice, for cosine and sine: √(a² + b²)",
        ),
        tolerance=0.03,
    )


def check_gaps(my_size, my_left_over):
    """Check the gaps of the worked example: the bellows' center, and what it leaves over."""
    crank = Crank.load("bellows")
    size, _unused, left = fits(signatures(crank), np.array(BELLOWS, float))[RIGHT]
    key = Quantity(float(abs(size)), "um")
    rest = Quantity(float(np.sqrt(left / (24 - 4))), "um")
    slips = {"that is the swing of the dial, not the offset": 2 * key}
    check_gap("Center", key, LENGTHS, my_size, slips, 0.02, "my_size")
    beside = {
        "24 readings, but four numbers were fitted": rest * np.sqrt(20 / 24),
    }
    check_gap("Left over", rest, LENGTHS, my_left_over, beside, 0.02, "my_left_over")
