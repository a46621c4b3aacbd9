"""Lesson 12, measure the runout: its panel, its worked measurements and its three questions."""

import warnings

import numpy as np

from crankmath import inspection
from crankmath.files import make_folder
from crankmath.inspection import pin_heights, practice, uncertainty, vee_blocks
from crankmath.language import _, marked
from crankmath.units import OutOfRangeWarning, Quantity, as_text

from ...lesson import progress
from ...lesson.exercise import Question, check_gap, prediction
from ...lesson.finding import Finding
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures import scene
from ...pictures.proving import runout_picture

# half width taken for a lever dial over so short a span; common practice, no source
INDICATOR = Quantity(1.0, "um")
BELLOWS_MOST = Quantity(0.627, "in")  # throw allowed at most: 0.625 in and 0.002 in; own choice
OFFSET_TOWARD, LOBE_TOP = 40.0, 20.0  # deg, of the part in the panel
STEADY, SHAKY = 0.5, 2.0  # um, standard deviation of one reading
JUDGED = {"in": "fine", "out": "not fine", "cannot tell": "cannot tell"}
MOST = {"mm": ("µm", 17.0), "in": ("thou", 0.68)}
SHAPES = (
    *(marked("2 lobes, on centers"), marked("3 lobes, on centers"), marked("5 lobes, on centers")),
    *(marked("2 lobes, 60° vee"), marked("3 lobes, 60° vee"), marked("5 lobes, 60° vee")),
    *(marked("2 lobes, 90° vee"), marked("3 lobes, 90° vee"), marked("5 lobes, 90° vee")),
)
NAMED = (
    marked("2 lobes"),
    marked("3 lobes"),
    marked("5 lobes"),
    marked("60° vee"),
    marked("90° vee"),
)
READINGS = (
    marked("4 readings"),
    "8 readings",
    "12 readings",
    "24 readings",
    marked("24 readings, shaky stand"),
)
CONTROLS = (
    Control(
        "offset",
        _("Offset of the axis e"),
        ("um", 0, 12, 0.1),
        ("thousandth", 0, 0.48, 0.005),
        Quantity(4.0, "um"),
        ("mm", "in"),
    ),
    Control(
        "height",
        _("Lobes, valley to top"),
        ("um", 0, 8, 0.1),
        ("thousandth", 0, 0.32, 0.005),
        Quantity(3.0, "um"),
        ("mm", "in"),
    ),
    Choice("shape", _("Lobes, and how it is held"), SHAPES, "3 lobes, on centers"),
    Choice("readings", _("Readings in a turn"), READINGS, "24 readings"),
)
PRESETS = {
    _("True and round"): {
        "offset": Quantity(0.0, "um"),
        "height": Quantity(0.0, "um"),
        "shape": "3 lobes, on centers",
    },
    _("Offset alone"): {
        "offset": Quantity(8.0, "um"),
        "height": Quantity(0.0, "um"),
        "shape": "3 lobes, on centers",
    },
    _("Three lobes, 60° vee"): {"height": Quantity(6.0, "um"), "shape": "3 lobes, 60° vee"},
    _("Five lobes, 60° vee"): {"height": Quantity(6.0, "um"), "shape": "5 lobes, 60° vee"},
    _("Four readings"): {
        "offset": Quantity(0.0, "um"),
        "height": Quantity(6.0, "um"),
        "shape": "3 lobes, on centers",
        "readings": "4 readings",
    },
}


def measured(offset, height, shape, readings):
    """What the dial shows at every degree of the panel's part, then marks, readings, and their fit.

    - ``shape``: One of ``SHAPES``.
    - ``readings``: One of ``READINGS``.
    """
    lobes, held = shape.split(" lobes, ")
    vee = None if held == "on centers" else Quantity(float(held.split("°")[0]), "deg")
    part = (
        offset,
        Quantity(OFFSET_TOWARD, "deg"),
        [(int(lobes), height / 2, Quantity(LOBE_TOP, "deg"))],
        vee,
    )
    steps = int(readings.split()[0])
    marks = Quantity(np.arange(steps) * 360.0 / steps, "deg")
    scatter = Quantity(
        (SHAKY if "shaky" in readings else STEADY) * practice.unit_scatter(steps, 12), "um"
    )
    curve, dial = (
        practice.dial(Quantity(runout_picture.AROUND, "deg"), *part),
        practice.dial(marks, *part) + scatter,
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        return curve, marks, dial, inspection.fit_runout(marks, dial)


def items(units, offset, height, shape, readings):
    """What moves in chart, section and bars, and the finding."""
    _unused, most = MOST[units]
    unit = "um" if units == "mm" else "thousandth"
    curve, marks, dial, fit = measured(offset, height, shape, readings)
    mean, found, toward = (
        fit.mean.m_as(unit),
        fit.eccentricity.m_as(unit),
        fit.direction.m_as("deg"),
    )
    drawn = runout_picture.reading_items(
        curve.m_as(unit), marks.m_as("deg"), dial.m_as(unit), (mean, found, toward)
    )
    if shape.endswith("centers"):
        height_now = offset.m_as(unit)
        grip = scene.Grip("offset", "y")
        drawn.append(scene.Point(OFFSET_TOWARD, height_now, scene.GREEN, 0, (grip,)))
    outline, vee = _outline(offset, height, shape)
    moving = found if vee is None and fit.found else 0.0
    drawn += runout_picture.section_items(outline.m_as(unit), moving, toward, most)
    drawn += [] if vee is None else runout_picture.vee_items(vee, most)
    drawn += runout_picture.lobe_bars(
        {lobes: 2 * size.m_as(unit) for lobes, (size, _unused) in fit.harmonics.items()}
    )
    guess = prediction("12 vee reading", ("um", "thousandth", "mm", "in"))
    if guess is not None:
        half = guess.m_as(unit) / 2
        drawn += [
            scene.Curve(np.array([0.0, 360.0]), np.full(2, side * half), scene.PURPLE, 2, "2 4")
            for side in (1, -1)
        ]
        drawn.append(scene.Note(356, half, _("your prediction"), scene.PURPLE, "end"))
    return drawn, _finding(fit, height, shape, readings, units, unit, guess)


def _outline(offset, height, shape):
    """The part's outline about its axis or as it lies in its vee, and the vee's degrees or None."""
    lobes, held = shape.split(" lobes, ")
    vee = None if held == "on centers" else float(held.split("°")[0])
    around = Quantity(runout_picture.AROUND, "deg")
    form = [(int(lobes), height / 2, Quantity(LOBE_TOP, "deg"))]
    if vee is None:
        return practice.dial(around, offset, Quantity(OFFSET_TOWARD, "deg"), form), None
    outline = practice.dial(around, 0 * offset, Quantity(OFFSET_TOWARD, "deg"), form)
    return vee_blocks.outline_at_rest(outline, Quantity(vee, "deg")), vee


def _finding(fit, height, shape, readings, units, unit, guess):
    """The finding, as one who has only the readings would state it."""
    lobes, held = shape.split(", ")
    whole = inspection.runout_budget(fit, INDICATOR)
    runout = uncertainty.with_uncertainty(whole.value, whole.expanded, unit)
    from_ = _("From {readings}.").format(readings=_(readings))
    answered = ()
    if guess is not None:
        answered = (
            _("You predicted {guess}; here the dial moves {runout}.").format(
                guess=as_text(guess, unit, 3), runout=runout
            ),
        )
    if held != "on centers":
        vee = Quantity(float(held.split("°")[0]), "deg")
        factor = vee_blocks.vee_factor(int(lobes.split()[0]), vee)
        high = as_text(height, unit, 3)
        times = "" if abs(factor - 1) < 0.005 else _("{factor:.3g} times ").format(factor=factor)
        seen = (
            _("It is blind to {lobes}, {high} here.").format(lobes=_(lobes), high=high)
            if factor < vee_blocks.BLIND
            else _("It shows {lobes} {times}as high as they are, {high} here.").format(
                lobes=_(lobes), times=times, high=high
            )
        )
        blind = _("It shows nothing of the offset: prove that on centers.")
        return Finding(
            _("In a {held} the dial moves {runout}.").format(held=_(held), runout=runout),
            "cannot tell",
            (seen, blind, from_, *answered),
        )
    most = inspection.usual_runout(units)
    judged = JUDGED[uncertainty.verdict(whole.value, whole.expanded, upper=most).word]
    moved = _("No offset stands out from the scatter: leave the centers where they are.")
    if fit.found:
        offset = uncertainty.with_uncertainty(fit.eccentricity, fit.eccentricity_expanded, unit)
        moved = _(
            "Move the centers {offset} toward the {direction:.0f}° mark, or the part toward the "
            "{correction:.0f}° mark."
        ).format(
            offset=offset,
            direction=fit.direction.m_as("deg"),
            correction=fit.correction.m_as("deg"),
        )
    headline = _("Runout {runout}, {allowed} allowed.").format(
        runout=runout, allowed=as_text(most, unit, 3)
    )
    return Finding(headline, judged, (moved, from_, *answered))


def paper(units, projector=False):
    """What does not move: chart, section, bars."""
    return runout_picture.runout_paper(*MOST[units], projector, true=True)


SCENE = Scene(CONTROLS, items, paper, PRESETS)
panel, picture = SCENE.panel, SCENE.picture


def end_gauge(route=uncertainty.combine):
    """Budget of the end gauge of GUM (JCGM 100:2008) Annex H.1, for 99 %.

    A 50 mm gauge compared with a standard: l = l_s + d - l_s (d_alpha theta + alpha_s d_theta).
    Basis: standard; inputs as printed there.
    """

    def length(
        standard,
        difference,
        expansion,
        warmth,
        swing,
        warmth_difference,
        expansion_difference,
        read,
        comparator,
        drift,
    ):
        return (
            standard
            + difference
            + read
            + comparator
            + drift
            - standard * (expansion_difference * (warmth + swing) + expansion * warmth_difference)
        )

    def given(name, value, unit, **spread):
        plain = spread.pop("degrees_of_freedom", np.inf)
        shape = spread.pop("shape", None)
        return uncertainty.source(
            name,
            Quantity(value, unit),
            shape=shape,
            degrees_of_freedom=plain,
            **{key: Quantity(size, unit) for key, size in spread.items()},
        )

    return route(
        length,
        [
            given("standard", 50_000_623.0, "nm", standard=25.0, degrees_of_freedom=18),
            given("difference", 215.0, "nm", standard=0.0),
            given("read", 0.0, "nm", standard=5.8, degrees_of_freedom=24),
            given("comparator", 0.0, "nm", standard=3.9, degrees_of_freedom=5),
            given("drift", 0.0, "nm", standard=6.7, degrees_of_freedom=8),
            given("expansion", 11.5e-6, "1/delta_degC", half_width=2e-6),
            given("warmth", -0.1, "delta_degC", standard=0.2),
            given("swing", 0.0, "delta_degC", half_width=0.5, shape="arcsine"),
            given("warmth_difference", 0.0, "delta_degC", half_width=0.05, degrees_of_freedom=2),
            given(
                "expansion_difference", 0.0, "1/delta_degC", half_width=1e-6, degrees_of_freedom=50
            ),
        ],
        confidence=0.99,
    )


def shares_text(budget):
    """Shares of the variance in percent, largest first, as one line."""
    named = sorted(budget.shares.items(), key=lambda pair: -pair[1])
    return ", ".join(
        f"{name.replace('_', ' ')} {100 * share:.0f} %" for name, share in named if share >= 0.005
    )


def opposite_readings(source):
    """Offset of a round part from its largest and smallest reading."""
    high, low, mark = source.randrange(8, 40), source.randrange(3, 30), source.randrange(0, 12) * 15
    key = Quantity((high + low) / 2, "um")
    return Question(
        f"A round journal turns between centers. The dial reads +{high} µm at the {mark}° mark, "
        f"its largest, and −{low} µm at the {mark + 180}° mark, its smallest. "
        "How far must the centers move?",
        key,
        ("um", "mm", "thousandth", "in"),
        {
            "that is how far the dial swings: do the centers move as far?": 2 * key,
            "was the minus sign of the second reading read?": Quantity(abs(high - low) / 2, "um"),
            "is zero of the dial the middle of its swing?": Quantity(float(high), "um"),
        },
        (
            "The dial sees the main's axis on one side, then on the other.",
            "e = (largest − smallest) / 2, the smallest with its sign.",
        ),
    )


def round_in_a_vee(source):
    """Height of lobes from the swing in a vee."""
    lobes, vee = source.choice(((3, 60), (3, 90), (5, 90), (5, 108), (5, 120), (7, 120)))
    swing = source.randrange(8, 40)
    factor = vee_blocks.vee_factor(lobes, Quantity(float(vee), "deg"))
    key = Quantity(swing / factor, "um")
    return Question(
        f"A journal with {lobes} lobes lies in a {vee}° vee, the dial above it, in line with the "
        f"middle of the vee. In one turn the dial swings {swing} µm. "
        "How high are the lobes, valley to top?",
        key,
        ("um", "mm", "thousandth", "in"),
        {
            "does a vee show lobes as high as they are?": Quantity(float(swing), "um"),
            "does the factor multiply or divide?": Quantity(swing * factor, "um"),
            "valley to top, or half of it?": key / 2,
        },
        (
            "The part rises and sinks in the vee as its lobes pass the flanks; the dial adds that "
            "to the lobe under it.",
            "swing = F × height, F = |1 + (−1)^n cos n(90° − vee/2) / sin(vee/2)|.",
        ),
    )


def largest_sure(source):
    """Largest reading that still proves a runout inside its limit."""
    allowed, scatter, indicator = (
        source.randrange(12, 31),
        source.randrange(5, 26) / 10,
        source.randrange(1, 7),
    )
    spread = np.hypot(scatter, indicator / np.sqrt(3))
    key = Quantity(allowed - 2 * spread, "um")
    return Question(
        f"A runout of {allowed} µm is allowed. Your readings leave it a standard uncertainty of "
        f"{scatter:g} µm, and the indicator may be off by ±{indicator} µm, any value in between as "
        "likely. Up to which runout may you say “in”? Take k = 2.",
        key,
        ("um", "mm", "thousandth", "in"),
        {
            "where did k = 2 go?": Quantity(allowed - spread, "um"),
            "is ±a a standard uncertainty, or a half width?": Quantity(
                allowed - 2 * np.hypot(scatter, indicator), "um"
            ),
            "do independent uncertainties add straight, or as squares?": Quantity(
                allowed - 2 * (scatter + indicator / np.sqrt(3)), "um"
            ),
            "on which side of the limit is uncertainty kept to prove “in”?": Quantity(
                allowed + 2 * spread, "um"
            ),
        },
        (
            "Whoever claims “in” keeps the uncertainty on the inside of the limit.",
            "u² = s² + a²/3, U = 2u, “in” up to the limit less U.",
        ),
        tolerance=0.005,
    )


def check_gaps(my_throw, my_largest):
    """Check the gaps of the worked example: the bellows' throw from its heights, and the largest
    throw that proves it good.
    """
    pin = "bellows, over the pin, throw "
    found = pin_heights.throw_budget(*(practice.heights(pin + way) for way in ("up", "down")))
    units, close = ("in", "mm", "thousandth"), 0.0003
    slips = {
        "the pin goes up one throw and down one: was the difference halved?": 2 * found.value,
    }
    check_gap("Throw", found.value, units, my_throw, slips, close, "my_throw")
    slips = {
        "on which side of the limit is the uncertainty kept?": BELLOWS_MOST + found.expanded,
        "where did the uncertainty go?": BELLOWS_MOST,
    }
    largest = BELLOWS_MOST - found.expanded
    check_gap("Largest", largest, units, my_largest, slips, close, "my_largest")


def practice_file():
    """Name of the pump's left main as a CSV file, written into the reader's own folder.

    It is there to try the form's file field with.
    """
    file = progress.folder() / "practice-left-main.csv"
    make_folder(file.parent)
    file.write_text(practice.pasted("pump, left main") + "\n", encoding="utf-8")
    return file.name
