"""Lesson 07, stop the chatter: its panel and its three questions."""

from dataclasses import replace
from functools import partial

import numpy as np

from crankmath import cutting
from crankmath.chatter import cut_in_time, limits, tap_and_weight
from crankmath.chatter.growth import lasting_wave
from crankmath.chatter.modes import bodies
from crankmath.chatter.turning import QUIET_SHARE
from crankmath.job.verdicts import by_share, worst
from crankmath.language import _, marked
from crankmath.units import Quantity, as_text
from crankmath.wording import capital

from ...lesson import own, own_lathe
from ...lesson.exercise import check_gap, prediction
from ...lesson.finding import Finding, answering
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures import scene
from ...pictures.turning import chatter_picture
from .chatter_model import LATHE, charted, chattering_part, slide_limit, swings
from .cutting_questions import damping_by_ear as damping_by_ear
from .cutting_questions import who_sings as who_sings
from .cutting_questions import width_by_formula as width_by_formula

LANDS = 0.1  # of a relieved edge's width, each of its two narrow edges
TOOLS = {marked("full edge"): 1.0, marked("relieved"): 2 * LANDS}
WIDTHS = {"mm": (0.03, 20.0), "in": (0.0012, 0.8)}  # of the chart
CONTROLS = (
    Control(
        "edge",
        _("Edge of the tool"),
        ("mm", 0.3, 12, 0.1),
        ("in", 0.012, 0.47, 0.004),
        Quantity(6.0, "mm"),
        ("cm",),
    ),
    Control(
        "damping",
        _("Damping ratio ζ"),
        ("percent", 0.5, 15, 0.1),
        ("percent", 0.5, 15, 0.1),
        Quantity(4.0, "percent"),
    ),
    Control(
        "speed",
        _("Spindle speed"),
        ("rpm", 60, 2500, 10),
        ("rpm", 60, 2500, 10),
        Quantity(400.0, "rpm"),
    ),
)
VOTE = _("The same wide edge, its middle ground away:"), (_("quiet"), _("as loud"), _("louder"))


def items(units, edge, damping, speed, tool, lathe=None):
    """What moves on the pin, between two turns and in the chart, and the finding."""
    given, lathe = lathe, lathe or own_lathe.chosen()
    name, kind = tool.rsplit(", ", 1)
    throw, swinging, force = swings(name, damping, lathe)
    if edge > throw.pin_length:
        raise ValueError(
            _(
                "Edge of the tool: {edge} does not go between the webs of {name}, {pin_length} "
                "apart; choose a narrower tool"
            ).format(
                edge=as_text(edge, units, 3),
                name=name,
                pin_length=as_text(throw.pin_length, units, 3),
            )
        )
    stamp, rubbing = own.stamp(name), lathe.process_damping
    speeds, limit, parts, scallops, plain = charted(name, stamp, damping.m_as("percent"), lathe)
    around, width = cutting.surface_speed(speed, throw.pin_diameter), edge * TOOLS[kind]
    here = limits.critical_width(swinging, force, rubbing, around)
    share = (width / here.width).m_as("dimensionless")
    bay = False
    if share > 1:
        lobe = limits.stability_lobes(swinging, force, speed, rubbing, throw.pin_diameter)
        bay = width < lobe.width
    chatters = share > 1 and not bay
    wave = lasting_wave(swinging, force, width, speed, rubbing, throw.pin_diameter)
    marks = tap_and_weight.mark_spacing(here.frequency, around).m_as("mm") if chatters else None
    said = (
        _("{width} cuts").format(width=as_text(width, units, 2)),
        _("chatters") if chatters else _("quiet"),
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
    drawn.append(scene.Tone(float(here.frequency.m_as("Hz")) if chatters else 0.0))
    # far above the limit a wide flank's rubbing kills the wave of this linear sum, not of the work
    growth = None if chatters and wave.growth < 1 else wave.growth
    drawn += chatter_picture.turn_items(growth, 2 * np.pi * wave.lead)
    (low, top), mm = WIDTHS[units], Quantity(1.0, "mm").m_as(units)
    drawn += chatter_picture.limit_items(
        speeds,
        limit * mm,
        parts,
        (scallops[0], scallops[1] * mm),
        plain.width.m_as(units),
        top,
        units,
        [(speed.m_as("rpm"), size.m_as(units)) for size in (edge, 2 * LANDS * edge)],
    )
    under = 2 * LANDS * edge < here.width
    drawn += chatter_picture.tool_points(
        speed.m_as("rpm"),
        edge.m_as(units),
        2 * LANDS * edge.m_as(units),
        kind == "relieved",
        under,
        chatters,
    )
    guess = prediction("07 limiting width", ("mm", "in", "thousandth"))
    if guess is not None and low < guess.m_as(units) < top:
        drawn += chatter_picture.guess_items(guess.m_as(units))
    cuts = _("a full edge of {edge}").format(edge=as_text(edge, units))
    if kind != "full edge":
        cuts = _("{width} of an edge of {edge}").format(
            width=as_text(width, units, 2), edge=as_text(edge, units)
        )
    surface = as_text(around, "m/min" if units == "mm" else "ft/min", 2)
    begin = _("{name}, {cuts}, {speed} or {surface}.").format(
        name=capital(name), cuts=cuts, speed=as_text(speed, "rpm"), surface=surface
    )
    part = chattering_part(swinging, here.frequency.m_as("Hz"))
    finding = _finding(units, begin, share, bay, here, part, growth, marks)
    if share <= 1:
        _together, *either = bodies(swinging)
        alone = min(
            (limits.critical_width(part, force, rubbing, around) for part in either),
            key=lambda one: one.width,
        )
        if alone.width < here.width:
            finding = _not_counted_on(finding, units, swinging, width, alone)
    if guess is not None and np.isfinite(here.width.magnitude):
        finding = answering(finding, as_text(guess, units, 2), as_text(here.width, units, 2), name)
    return drawn, finding if given else own_lathe.marked(finding)


def _finding(units, begin, share, bay, here, part, growth, marks):
    """How the cut stands: a share of the limiting width, at most ``QUIET_SHARE`` of it quiet."""
    if share == 0:
        words = _("Rubbing flank and damping together kill every wave.")
        return Finding(_("Quiet at any width."), "fine", (begin, words))
    limit, tone = (
        as_text(here.width, units, 2),
        _("near {frequency:.0f} Hz").format(frequency=here.frequency.m_as("Hz")),
    )
    follows = _("So far above the limit this sum cannot follow the wave.")
    if growth is not None:
        follows = _("Each turn's wave is {growth:.3g} times the last one's.").format(growth=growth)
    if share <= 1:
        lines = (
            begin,
            _("Wider than {limit}, the {part} would chatter {tone}.").format(
                limit=limit, part=_(part), tone=tone
            ),
            follows,
        )
        verdict = by_share(share, QUIET_SHARE, 1.0)
        return Finding(
            _("Quiet: {share:.0f} % of the limit, {limit}.").format(share=100 * share, limit=limit),
            verdict,
            lines,
        )
    if bay:
        words = _("A few percent more or less speed, and the {part} chatters.").format(part=_(part))
        head = _("Above the limit, {limit}, yet quiet in a bay between lobes.").format(limit=limit)
        return Finding(head, "look", (begin, words, follows))
    apart = as_text(Quantity(marks, "mm"), units, 2)
    words = _("The {part} chatters {tone} and leaves marks {apart} apart.").format(
        part=_(part), tone=tone, apart=apart
    )
    return Finding(
        _("It chatters: {share:.1f} times the limit, {limit}.").format(share=share, limit=limit),
        "not fine",
        (
            begin,
            words,
            follows,
            _("Slower, a narrower or a relieved edge, more damping: try each."),
        ),
    )


def _not_counted_on(finding, units, swinging, width, alone):
    """The finding where slide and crank hold each other's ring: another center or a longer tool
    undoes that, so the limit of one alone counts, as in the job's check.
    """
    line = _("Alone, the {part} would chatter from {limit} on: do not count on more.").format(
        part=_(chattering_part(swinging, alone.frequency.m_as("Hz"))),
        limit=as_text(alone.width, units, 2),
    )
    share = (width / alone.width).m_as("dimensionless")
    verdict = finding.verdict if share <= QUIET_SHARE else worst(finding.verdict, "look")
    return replace(finding, verdict=verdict, lines=(*finding.lines, line))


def paper(units, projector=False):
    """What does not move: window and chart."""
    return chatter_picture.chatter_paper(
        units, *WIDTHS[units], own_lathe.chosen().gear_table.m_as("rpm"), projector
    )


def controls():
    """Sliders, and the list of cranks and tools, which begins with the reader's own crank."""
    names = own.names()
    options = tuple(f"{name}, {kind}" for name in names for kind in TOOLS)
    first = options[0] if own.is_own(names[0]) else "pump, full edge"
    return (*CONTROLS, Choice("tool", _("Crank and tool"), options, first, of_crank=True))


def presets():
    """Settings for the crank that the list begins with; the slender crank is the organ's."""
    crank = controls()[-1].value.rpartition(", ")[0]
    usual = {"damping": Quantity(4.0, "percent"), "speed": Quantity(400.0, "rpm")}
    wide = usual | {"edge": Quantity(6.0, "mm")}
    return {
        _("Wide edge"): wide | {"tool": f"{crank}, full edge"},
        _("Relieved"): wide | {"tool": f"{crank}, relieved"},
        _("Slow down"): wide | {"speed": Quantity(70.0, "rpm"), "tool": f"{crank}, full edge"},
        _("More damping"): wide | {"damping": Quantity(12.0, "percent")},
        _("Slender crank"): usual | {"edge": Quantity(3.0, "mm"), "tool": "organ, relieved"},
    }


def scene_for(lathe=None):
    """The lesson's picture for a lathe, the chosen one by default."""
    return Scene(controls, partial(items, lathe=lathe), paper, presets, VOTE)


SCENE = scene_for()
picture = SCENE.picture


def panel(lathe=None, stage=False):
    """The live panel for a lathe, the chosen one by default."""
    return scene_for(lathe).panel(stage)


def wave_picture():
    """What a lag between two turns does to the chip: (figure, sentence)."""
    labels = (
        _("in step: an even chip, nothing drives"),
        _("a quarter wave ahead: the chip swings, the work is braked"),
        _("a quarter wave behind: thick where the tool goes away, the work is pushed on"),
    )
    return chatter_picture.wave_figure((0.0, np.pi / 2, -np.pi / 2), labels), (
        _(
            "Three pairs of waves, this turn's below the last one's. In step the chip between them "
            "is even; a quarter wave ahead or behind it is thick and thin in turn, and behind it "
            "pushes the work on."
        )
    )


def growth_picture(damping, speed, shares=(1.1, 1.0, 0.9), turns=60):
    """The slide's waves through time, at shares of the limit at a speed: (figure, sentence,
    table)."""
    mode, force, _unused = slide_limit(damping)
    limit = limits.stability_lobes(mode, force, speed).width
    sizes = [cut_in_time.turn_by_turn(mode, force, share * limit, speed, turns) for share in shares]
    factors = [(row[-1] / row[turns // 2]) ** (1 / (turns - 1 - turns // 2)) for row in sizes]
    labels = [
        _("at the limit") if share == 1 else _("{share:g} of the limit").format(share=share)
        for share in shares
    ]
    said = ", ".join(
        _("{label} each turn's wave is {factor:.2f} of the last").format(label=label, factor=factor)
        for label, factor in zip(labels, factors, strict=True)
    )
    rows = [(turn, *(f"{row[turn]:.3g}" for row in sizes)) for turn in range(0, turns, 10)]
    return (
        chatter_picture.growth_figure(sizes, labels),
        _("Limit {limit} at {speed:.0f} rpm: {said}.").format(
            limit=as_text(limit, "mm", 3), speed=speed.m_as("rpm"), said=said
        ),
        (
            (
                _("turn"),
                *(
                    _("swing over the first turn's, {label}").format(label=label)
                    for label in labels
                ),
            ),
            rows,
        ),
    )


def lobe_picture(damping):
    """The stability chart of the slide as books draw it: (figure, sentence, table)."""
    mode, force, limit = slide_limit(damping)
    speed = Quantity(np.linspace(100, 16000, 1600), "rpm")
    width = limits.stability_lobes(mode, force, speed).width.m_as("mm")
    gears = LATHE.gear_table.m_as("rpm")
    waves = [60 * mode.frequency.m_as("Hz") / gears[end] for end in (0, -1)]
    figure = chatter_picture.lobe_figure(
        speed.m_as("rpm"), width, limit.m_as("mm"), (gears[0], gears[-1]), "mm"
    )
    asked = Quantity([100.0, 500, 1000, 2000, 4000, 6000, 8000, 12000, 16000], "rpm")
    widest = limits.stability_lobes(mode, force, asked).width.m_as("mm")
    rows = [
        (f"{one:.0f}", f"{most:.3g}" if np.isfinite(most) else _("any"))
        for one, most in zip(asked.m_as("rpm"), widest, strict=True)
    ]
    return (
        figure,
        _(
            "One mode, {frequency}: {limit} at any speed; the bays are wide only above 3000 rpm. "
            "At {slowest:.0f} to {fastest:.0f} rpm {first_waves:.0f} to {last_waves:.0f} waves fit "
            "a turn, and neighboring bays run together."
        ).format(
            frequency=as_text(mode.frequency, "Hz"),
            limit=as_text(limit, "mm", 2),
            slowest=gears[0],
            fastest=gears[-1],
            first_waves=waves[0],
            last_waves=waves[1],
        ),
        (("speed [rpm]", _("widest quiet edge [mm]")), rows),
    )


def check_gaps(name, my_limit, my_relief):
    """Check the gaps: the limit at 400 rpm, the least to grind out of 5 mm, damping 4 %."""
    throw, swinging, force = swings(name, Quantity(4.0, "percent"))
    around = cutting.surface_speed(Quantity(400.0, "rpm"), throw.pin_diameter)
    found = limits.compare_tools(
        swinging, force, Quantity(5.0, "mm"), Quantity(0.0, "mm"), LATHE.process_damping, around
    )
    still = limits.critical_width(swinging, force).width
    units = ("mm", "thousandth", "in")
    slips = {"is that the width for any speed? Slow cutting bears more.": still}
    check_gap("Limit", found.limit, units, my_limit, slips, 0.03, "my_limit")
    slips = {"is that what is left to cut, or what is ground away?": found.limit}
    check_gap("Relief", found.least_relief, units, my_relief, slips, 0.03, "my_relief")
