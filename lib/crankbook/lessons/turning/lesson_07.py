"""Lesson 07, stop the chatter: its panel and its three questions."""

import warnings
from dataclasses import replace
from functools import lru_cache, partial

import numpy as np

from crankmath import cutting, deflection
from crankmath.chatter import cut_in_time, limits, machine_setup, modes, tap_and_weight
from crankmath.lathe import load_lathe
from crankmath.units import OutOfRangeWarning, Quantity, as_text, magnitude

from ...lesson import own
from ...lesson.exercise import Question, check, prediction
from ...lesson.panel import Choice, Control, Panel
from ...pictures import scene
from ...pictures.turning import chatter_picture

LANDS = 0.1  # of a relieved edge's width, each of its two narrow edges
TOOLS = {"full edge": 1.0, "relieved": 2 * LANDS}
WIDTHS = {"mm": (0.03, 20.0), "in": (0.0012, 0.8)}  # of the chart
MOST_WAVES = 50  # in a turn, of the lobes drawn; above it they are too close to see
CONTROLS = (
    Control(
        "edge",
        "Edge of the tool",
        ("mm", 0.3, 12, 0.1),
        ("in", 0.012, 0.47, 0.004),
        Quantity(6.0, "mm"),
        ("cm",),
    ),
    Control(
        "damping",
        "Damping ratio ζ",
        ("percent", 0.5, 15, 0.1),
        ("percent", 0.5, 15, 0.1),
        Quantity(4.0, "percent"),
    ),
    Control(
        "speed",
        "Spindle speed",
        ("rpm", 60, 2500, 10),
        ("rpm", 60, 2500, 10),
        Quantity(400.0, "rpm"),
    ),
)
VOTE = "The same wide edge, its middle ground away:", ("quiet", "as loud", "louder")
PRESETS = {
    "Wide edge": {
        "edge": Quantity(6.0, "mm"),
        "damping": Quantity(4.0, "percent"),
        "speed": Quantity(400.0, "rpm"),
        "tool": "pump, full edge",
    },
    "Relieved": {
        "edge": Quantity(6.0, "mm"),
        "damping": Quantity(4.0, "percent"),
        "speed": Quantity(400.0, "rpm"),
        "tool": "pump, relieved",
    },
    "Slow down": {
        "edge": Quantity(6.0, "mm"),
        "speed": Quantity(70.0, "rpm"),
        "tool": "pump, full edge",
    },
    "More damping": {"damping": Quantity(12.0, "percent"), "speed": Quantity(400.0, "rpm")},
    "Slender crank": {
        "edge": Quantity(3.0, "mm"),
        "damping": Quantity(4.0, "percent"),
        "speed": Quantity(400.0, "rpm"),
        "tool": "organ, relieved",
    },
}


LATHE = load_lathe()
CHIP = Quantity(0.1, "mm")  # feed of the plunge in a turn: the thinnest chip of Kienzle's constants
FORCE_SPEED = Quantity(20.0, "m/min")  # at which the force is taken


def softest_pin(crank, lathe=LATHE):
    """Throw, counted from zero, whose pin bends most between its own centers, and its Setup."""
    setups = [machine_setup(lathe, number) for number in range(len(crank.throws))]
    gives = [
        deflection.radial_compliance(
            crank, ("pin", number), deflection.soft_direction(crank, ("pin", number), setup), setup
        )
        for number, setup in enumerate(setups)
    ]
    softest = int(np.argmax([give.m_as("um/N") for give in gives]))
    return softest, setups[softest]


@lru_cache(maxsize=32)
def _kept(name, stamp, lathe):
    crank = own.load(name)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        throw, setup = softest_pin(crank, lathe)
        force = limits.dynamic_force(
            crank.steel, CHIP, operation="grooving", cutting_speed=FORCE_SPEED
        )
        return crank, throw, modes.work_modes(crank, ("pin", throw), 0.04, setup=setup), force


def swings(name, damping, lathe=LATHE):
    """Throw of the softest pin, modes of tool and work there, and K [MPa] of a plunged tool.

    name is one of ``own.names()``, damping [percent] that of tool and work alike.
    """
    return _swinging(
        name, own.stamp(name), magnitude(damping, "percent", "damping", above=0, one=True), lathe
    )


@lru_cache(maxsize=256)
def _swinging(name, stamp, percent, lathe):
    crank, throw, work, force = _kept(name, stamp, lathe)
    tool = modes.Mode(lathe.tool_frequency, lathe.tool_stiffness, percent / 100)
    return (
        crank.throws[throw],
        (tool, *(replace(mode, damping_ratio=percent / 100) for mode in work)),
        force,
    )


@lru_cache(maxsize=256)
def _charted(name, stamp, percent, lathe):
    """Speeds, limits with rubbing, what sings, lobes, width for any speed: rpm and mm."""
    throw, swinging, force = swings(name, Quantity(percent, "percent"), lathe)
    speeds = np.geomspace(*chatter_picture.SPEEDS, 48)
    limit = limits.critical_width(
        swinging,
        force,
        lathe.process_damping,
        cutting.surface_speed(Quantity(speeds, "rpm"), throw.pin_diameter),
    )
    parts = singing_part(swinging, limit.frequency.m_as("Hz"))
    plain = limits.critical_width(swinging, force)
    pitch, fastest = limit.frequency.m_as("Hz")[-1], chatter_picture.SPEEDS[1]
    if not np.isfinite(pitch):
        return speeds, limit.width.m_as("mm"), parts, (speeds, np.full(len(speeds), np.inf)), plain
    fewest = max(1, int(60 * pitch / fastest))
    waves = np.arange(fewest, max(fewest + 1, MOST_WAVES))
    swept = Quantity(pitch * np.geomspace(0.96, 1.35, 45)[:, None], "Hz")
    turning, width = (
        found.magnitude
        for found in limits.lobe_curve(
            swinging, force, swept, waves, lathe.process_damping, throw.pin_diameter
        )
    )
    dense = np.geomspace(min(60 * pitch / waves[-1], 0.9 * fastest), fastest, 400)
    lobes = [
        np.interp(dense, turning[:, number], width[:, number], np.inf, np.inf)
        for number in range(len(waves))
    ]
    return speeds, limit.width.m_as("mm"), parts, (dense, np.min(lobes, axis=0)), plain


def items(units, edge, damping, speed, tool, lathe=LATHE):
    """What moves on the pin and in the chart, and the sentence that states the finding."""
    name, kind = tool.rsplit(", ", 1)
    throw, swinging, force = swings(name, damping, lathe)
    if edge > throw.pin_length:
        raise ValueError(
            f"Edge of the tool: {as_text(edge, units, 3)} does not go between the webs of {name}, "
            f"{as_text(throw.pin_length, units, 3)} apart; choose a narrower tool"
        )
    speeds, limit, parts, scallops, plain = _charted(
        name, own.stamp(name), damping.m_as("percent"), lathe
    )
    around, width = cutting.surface_speed(speed, throw.pin_diameter), edge * TOOLS[kind]
    here = limits.critical_width(swinging, force, lathe.process_damping, around)
    verdict, pitch = "quiet", here.frequency
    if width > here.width:
        lobe = limits.stability_lobes(
            swinging, force, speed, lathe.process_damping, throw.pin_diameter
        )
        verdict = "quiet in a bay" if width < lobe.width else "sings"
    marks = tap_and_weight.mark_spacing(pitch, around).m_as("mm") if verdict == "sings" else None
    said = (
        f"{as_text(width, units, 2)} cuts",
        f"sings, {pitch.m_as('Hz'):.0f} Hz" if marks else verdict,
    )
    drawn = chatter_picture.plunge_items(
        throw.pin_length.m_as("mm"),
        throw.pin_diameter.m_as("mm"),
        throw.web_thickness.m_as("mm"),
        edge.m_as("mm"),
        0.0 if kind == "full edge" else LANDS * edge.m_as("mm"),
        marks,
        said,
    )
    (low, top), mm = WIDTHS[units], Quantity(1.0, "mm").m_as(units)
    drawn += chatter_picture.limit_items(
        speeds,
        limit * mm,
        parts,
        (scallops[0], scallops[1] * mm),
        plain.width.m_as(units),
        top,
        units,
    )
    under = 2 * LANDS * edge < here.width
    drawn += chatter_picture.tool_points(
        speed.m_as("rpm"), edge.m_as(units), 2 * LANDS * edge.m_as(units), kind == "relieved", under
    )
    guess = prediction("07 limiting width", ("mm", "in", "thousandth"))
    if guess is not None and low < guess.m_as(units) < top:
        drawn += chatter_picture.guess_items(guess.m_as(units))
    cuts = (
        f"full edge {as_text(edge, units, 2)}"
        if kind == "full edge"
        else f"{as_text(width, units, 2)} of a {as_text(edge, units, 2)} edge"
    )
    surface = as_text(around, "m/min" if units == "mm" else "ft/min", 2)
    begin = f"{name}, {cuts}, {speed.m_as('rpm'):.0f} rpm ({surface})"
    return drawn, f"{begin}: {_finding(units, width, here, verdict, swinging, marks)}"


def _finding(units, width, here, verdict, swinging, marks):
    """How the cut stands, in words."""
    if not np.isfinite(here.width.magnitude):
        return "quiet at any width; rubbing flank and damping together kill every wave."
    part, tone = (
        singing_part(swinging, here.frequency.m_as("Hz")),
        f"near {here.frequency.m_as('Hz'):.0f} Hz",
    )
    share, limit = (
        (width / here.width).m_as("dimensionless"),
        f"the limit {as_text(here.width, units, 2)}",
    )
    if verdict == "quiet":
        return f"quiet, {100 * share:.0f} % of {limit}. Wider, the {part} would sing {tone}."
    if verdict == "quiet in a bay":
        return (
            f"above {limit}, yet quiet in a bay between two lobes; "
            f"a few percent more or less speed, and the {part} sings."
        )
    apart = as_text(Quantity(marks, "mm"), units, 2)
    return f"sings, {share:.1f} times {limit}; {part} {tone}, marks {apart} apart."


def singing_part(swinging, hertz):
    """Part, slide or crank, that moves more against the force at a frequency.

    swinging holds the tool's mode first; where hertz is not a number nothing chatters.
    """
    plain, hertz = modes.plain_modes(swinging), np.where(np.isfinite(hertz), hertz, 1.0)
    tool, work = (modes.plain_receptance(part, hertz).real for part in (plain[:1], plain[1:]))
    words = np.where(tool < work, "slide", "crank")
    return str(words) if np.ndim(words) == 0 else words


def paper(units, projector=False):
    """What does not move: window and chart."""
    return chatter_picture.chatter_paper(
        units, *WIDTHS[units], LATHE.gear_table.m_as("rpm"), projector
    )


def controls():
    """Sliders, and the reader's own crank first in the list."""
    options = tuple(f"{name}, {kind}" for name in own.names() for kind in TOOLS)
    return (*CONTROLS, Choice("tool", "Crank and tool", options, "pump, full edge"))


def panel(lathe=LATHE, stage=False):
    """The live panel of the lesson; on a stage it fills a projector's screen."""
    return Panel(controls(), partial(items, lathe=lathe), paper, PRESETS, stage, VOTE)


def picture(edge, damping, speed, tool="pump, full edge", units="mm", lathe=LATHE):
    """The same picture without widgets: (figure, sentence)."""
    drawn, sentence = items(units, edge, damping, speed, tool, lathe)
    return scene.add(paper(units), drawn), sentence


def wave_picture():
    """What a lag between two turns does to the chip: (figure, sentence)."""
    labels = (
        "in step: an even chip, nothing drives",
        "a quarter wave ahead: the chip swings, the work is braked",
        "a quarter wave behind: thick where the tool goes away, the work is pushed on",
    )
    return chatter_picture.wave_figure((0.0, np.pi / 2, -np.pi / 2), labels), (
        "Three pairs of waves, this turn's below the last one's. In step the chip between them is "
        "even; a quarter wave ahead or behind it "
        "is thick and thin in turn, and behind it pushes the work on."
    )


def slide_limit(damping, lathe=LATHE, steel="C45"):
    """The slide's mode, K [MPa], and its own limit [mm] by the formula."""
    mode = modes.Mode(lathe.tool_frequency, lathe.tool_stiffness, damping.m_as("dimensionless"))
    force = limits.dynamic_force(steel, CHIP, operation="grooving", cutting_speed=FORCE_SPEED)
    return mode, force, limits.limiting_width(mode.stiffness, mode.damping_ratio, force)


def growth_picture(damping, speed, shares=(1.1, 1.0, 0.9), turns=60):
    """The slide's waves through time, at shares of the limit at a speed: (figure, sentence)."""
    mode, force, _ = slide_limit(damping)
    limit = limits.stability_lobes(mode, force, speed).width
    sizes = [cut_in_time.turn_by_turn(mode, force, share * limit, speed, turns) for share in shares]
    factors = [(row[-1] / row[turns // 2]) ** (1 / (turns - 1 - turns // 2)) for row in sizes]
    labels = ["at the limit" if share == 1 else f"{share:g} of the limit" for share in shares]
    said = ", ".join(
        f"{label} each turn's wave is {factor:.2f} of the last"
        for label, factor in zip(labels, factors, strict=True)
    )
    return chatter_picture.growth_figure(
        sizes, labels
    ), f"Limit {as_text(limit, 'mm', 3)} at {speed.m_as('rpm'):.0f} rpm: {said}."


def lobe_picture(damping):
    """The stability chart of the slide as books draw it: (figure, sentence)."""
    mode, force, limit = slide_limit(damping)
    speed = Quantity(np.linspace(100, 16000, 1600), "rpm")
    width = limits.stability_lobes(mode, force, speed).width.m_as("mm")
    gears = LATHE.gear_table.m_as("rpm")
    waves = [60 * mode.frequency.m_as("Hz") / gears[end] for end in (0, -1)]
    return chatter_picture.lobe_figure(
        speed.m_as("rpm"), width, limit.m_as("mm"), (gears[0], gears[-1]), "mm"
    ), (
        f"One mode, {as_text(mode.frequency, 'Hz')}: {as_text(limit, 'mm', 2)} at any speed; the "
        "bays are wide only above 3000 rpm. "
        f"At {gears[0]:.0f} to {gears[-1]:.0f} rpm {waves[0]:.0f} to {waves[1]:.0f} waves fit a "
        "turn, and neighboring bays run together."
    )


def width_by_formula(source):
    """Limiting width of one mode by hand."""
    stiffness, percent, force = (
        source.randrange(6, 41),
        source.randrange(40, 90) / 10,
        source.randrange(15, 32) * 100,
    )
    key = limits.limiting_width(Quantity(stiffness, "N/um"), percent / 100, Quantity(force, "MPa"))
    return Question(
        f"Hung weights say {stiffness} N/µm, a tap says ζ = {percent:g} %, and the plunged cut "
        f"has K = {force} N/mm². How wide an edge may cut at any speed?",
        key,
        ("mm", "um", "thousandth", "in"),
        {
            "there is a two in front: where did it go?": key / 2,
            "is that only the first term? (1 + ζ) belongs to it": key / (1 + percent / 100),
            "is the damping a share or a percentage?": key
            * 100
            * (1 + percent)
            / (1 + percent / 100),
            "does the width go with the stiffness or with its root?": key / np.sqrt(stiffness),
            "N/µm is a thousand N/mm: which does K, in N/mm², ask for?": key / 1000,
        },
        (
            "The stiffness and the damping hold the wave down, the cut drives it: put them over "
            "each other.",
            "b = 2 k ζ (1 + ζ) / K, k in N/mm, K in N/mm².",
        ),
    )


def damping_by_ear(source):
    """Damping ratio from two peaks of a recorded tap."""
    first, swings_between = source.randrange(40, 96), source.randrange(4, 12)
    percent = source.randrange(20, 75) / 1000
    last = round(first * np.exp(-2 * np.pi * percent * swings_between), 1)
    found = tap_and_weight.damping_from_decay(first, max(last, 0.5), swings_between)
    decrement = np.log(first / max(last, 0.5)) / swings_between
    return Question(
        f"A phone recorded a tap on the tool. On the screen a peak is {first} mm high, and the "
        f"one {swings_between} swings later {max(last, 0.5):g} mm. "
        "What is the damping ratio, in percent?",
        Quantity(100 * found, "percent"),
        ("percent",),
        {
            "that is the decrement: what does it have to be divided by?": Quantity(
                100 * decrement, "percent"
            ),
            "how many swings lie between the two peaks?": Quantity(
                100 * decrement * swings_between / (2 * np.pi), "percent"
            ),
            "natural logarithm or the one to base ten?": Quantity(
                100 * found / np.log(10), "percent"
            ),
            "is a swing pi or 2 pi?": Quantity(200 * found, "percent"),
        },
        (
            "Each swing leaves the same share of the last one; the logarithm of that share is the "
            "decrement.",
            "δ = ln(x0 / xn) / n, ζ = δ / 2π.",
        ),
        tolerance=0.02,
    )


def who_sings(source):
    """Frequency from the marks on the work."""
    diameter, turns, tenths = (
        source.randrange(14, 41),
        source.choice((160, 230, 310, 400, 520)),
        source.randrange(6, 30),
    )
    speed = cutting.surface_speed(Quantity(turns, "rpm"), Quantity(diameter, "mm"))
    key = tap_and_weight.chatter_frequency(Quantity(tenths / 10, "mm"), speed)
    return Question(
        f"A pin of Ø{diameter} mm was plunged at {turns} rpm. Ten marks along its surface take "
        f"{tenths} mm. At what frequency did it sing?",
        key,
        ("Hz", "kHz"),
        {
            "the spacing is one tenth of that: did you divide by ten?": key / 10,
            "turns a minute or turns a second?": key * 60,
            "circumference is pi d, or pi r?": key / 2,
            "where did pi go?": key / np.pi,
        },
        (
            "The surface runs past the tool; each mark is one swing.",
            "f = v / λ with v = π d n, n in turns a second.",
        ),
    )


def check_gaps(name, my_limit, my_relief):
    """Check the gaps: the limit at 400 rpm, the least to grind out of 5 mm, damping 4 %."""
    throw, swinging, force = swings(name, Quantity(4.0, "percent"))
    around = cutting.surface_speed(Quantity(400.0, "rpm"), throw.pin_diameter)
    found = limits.compare_tools(
        swinging, force, Quantity(5.0, "mm"), Quantity(0.0, "mm"), LATHE.process_damping, around
    )
    still = limits.critical_width(swinging, force).width
    limit = Question(
        "limit",
        found.limit,
        ("mm", "thousandth", "in"),
        {"is that the width for any speed? Slow cutting bears more.": still},
        (),
        0.03,
    )
    relief = Question(
        "relief",
        found.least_relief,
        ("mm", "thousandth", "in"),
        {"is that what is left to cut, or what is ground away?": found.limit},
        (),
        0.03,
    )
    print("Limit:", check(limit, my_limit))
    print("Relief:", check(relief, my_relief))
