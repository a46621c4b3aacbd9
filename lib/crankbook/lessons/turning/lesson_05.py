"""Lesson 05, plan the cuts: its panel, the plan in space and its three questions."""

from dataclasses import dataclass

import numpy as np

from crankmath.blank import bar
from crankmath.cutting import interrupted_cut, rough_out
from crankmath.job import Job
from crankmath.language import _, listed, marked, spoken
from crankmath.units import Quantity, as_text
from crankmath.wording import capital
from crankmath.wording import shown as in_words
from crankmath.workpiece import make_plan
from crankmath.workpiece.passes import Passes, parts_of
from crankmath.workpiece.planning.words import words

from ...lesson import own, own_lathe
from ...lesson.exercise import Question, check, prediction
from ...lesson.finding import Finding, answering
from ...lesson.kept import once
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures.space import ring
from ...pictures.turning import cut_profile, roughing
from ..blank.marked_bar import bar_words
from .cutting_questions import deepest_cut as deepest_cut
from .cutting_questions import roughing_minutes as roughing_minutes
from .cutting_questions import share_of_turn as share_of_turn
from .plan_in_space import job_of, stamp_of, steps_scene

PLACES = {marked("first main"): ("journal", 0), marked("first pin"): ("pin", 0)}
MILLINGS = tuple(rough_out.MILLINGS)
DEPTH, FEED = Quantity(1.5, "mm"), Quantity(0.12, "mm")  # of the panel as it opens
LIMITS = {
    "stalls": _("The drive stalls at some passes: they cannot be cut so."),
    "balanced": _("The work swings too hard even at the slowest speed: balance it first."),
    "depth": _("Drive or crank, not you, sets the depth of some passes."),
    "gears": _("The slowest gear is too fast somewhere: mill more of it away first."),
    "unbalance": _("The swinging work sets some speeds: balance it to go faster."),
}
VERDICTS = {"stalls": "not fine", "balanced": "not fine", "depth": "look", "gears": "look"}
PRESETS = {
    _("All turned"): {"milled": MILLINGS[0]},
    _("Gaps milled"): {"milled": MILLINGS[2]},
    _("Mains too"): {"milled": MILLINGS[3]},
    _("Timid"): {"depth": Quantity(0.5, "mm"), "feed": Quantity(0.06, "mm")},
    _("Too bold"): {"depth": Quantity(4.0, "mm"), "feed": Quantity(0.2, "mm")},
}


def controls():
    """The panel's controls; its list of work begins with the reader's own crank."""
    works = tuple(f"{name}, {place}" for name in own.names() for place in PLACES)
    first = works[list(PLACES).index("first pin")]
    return (
        Control(
            "depth",
            _("Depth of a roughing pass a"),
            ("mm", 0.25, 5, 0.05),
            ("in", 0.01, 0.2, 0.002),
            DEPTH,
            ("um",),
        ),
        Control(
            "feed",
            _("Roughing feed f a turn"),
            ("mm", 0.04, 0.3, 0.005),
            ("in", 0.0016, 0.012, 0.0002),
            FEED,
            ("um",),
        ),
        Choice("work", _("Crank and end view"), works, first),
        Choice("milled", _("Milled or sawn first"), MILLINGS, MILLINGS[0]),
    )


@dataclass(frozen=True)
class End:
    """What the end view shows: bar and work in outline, the web, radius of the finished round, arcs
    of the passes in metal, where the tool begins, radius that fills the window [mm]; roughing
    passes, and the share of a turn that the first is in metal.
    """

    outlines: tuple
    web: np.ndarray
    final: float
    arcs: list
    start: float
    scale: float
    rough: Passes | None
    share: float


def plan_of(name, **asked):
    """Plan of the job of an example or of the reader's own crank, with other answers to some of
    its questions; kept while sliders move.
    """
    key = "planned", name, stamp_of(name), *sorted((one, str(asked[one])) for one in asked)

    def planned():
        job = once(("job", name, stamp_of(name)), lambda: job_of(name))
        return make_plan(Job(job.crank, job.answers | asked, job.given | set(asked)))

    return once(key, planned)


def minutes(plan):
    """Minutes in the cut in the groups of ``roughing.GROUPS``: all of them first."""
    sums = dict.fromkeys(roughing.GROUPS, 0.0)
    for step in plan.steps:
        for one in step.passes:
            what, group = one.place.split()[0], "walls, faces"
            if one.work == "finish":
                group = "finish"
            elif one.work == "rough" and what in ("main", "pin"):
                group = f"rough {what}s"
            for name in ("all", group):
                sums[name] += one.time.m_as("min")
    return list(sums.values())


def _end_view(plan, kind, index, place):
    """What the end view shows of a place as it is first turned, seen from the tailstock about the
    axis that it turns on.
    """
    turned = [step for step in plan.steps if step.on == "centers"]
    step, cut = next((one, cut) for one in turned for cut in one.cuts if cut.place == place)
    rough = [one for one in step.passes if (one.place, one.work) == (place, "rough")]
    body, bar = parts_of(plan.at(step), cut)[1], plan.placed.bar_section
    section = max((one.section for one in body.pieces), key=lambda one: one.reach(cut.axis))
    depths = np.array(rough[0].depths if rough else ())
    radii = body.start - np.cumsum(depths) + depths / 2
    radii = radii[:: max(len(radii) // roughing.MOST_PASSES, 1)]
    web = plan.placed.web_corners(min(index, len(plan.placed.webs) - 1))
    return End(
        tuple(_seen(ring(one), cut.axis) for one in (bar, section)),
        _seen(np.array(web), cut.axis),
        plan.placed.rounds[kind, index][0],
        [
            (radius, begin + np.pi / 2, end + np.pi / 2)
            for radius in radii
            for begin, end in section.in_metal(cut.axis, radius)
        ],
        body.start,
        bar.reach(cut.axis),
        rough[0] if rough else None,
        section.share(cut.axis, radii[0]) if rough else 0.0,
    )


def _seen(points, axis):
    """Points (y, z) of the work from the tailstock, about an axis: throw 1 up, z to the left."""
    return np.column_stack([axis[1] - points[:, 1], points[:, 0] - axis[0]])


def items(units, depth, feed, work, milled):
    """What moves in end view and chart, and the finding."""
    name, where = work.split(", ", 1)
    kind, index = PLACES[where]
    place = f"{'main' if kind == 'journal' else 'pin'} {index + 1}"
    plan = plan_of(name, rough_depth=depth, rough_feed=feed, milled=milled)
    end = _end_view(plan, kind, index, place)
    drawn = roughing.end_items(end.outlines, end.web, end.final, end.arcs, end.start, end.scale)
    if end.rough:
        drawn.append(
            roughing.depth_point(
                end.start, depth.m_as("mm"), end.scale, Quantity(1, "mm").m_as(units)
            )
        )
    spent = minutes(plan)
    total = Quantity(spent[0], "min")
    usual = plan_of(name, rough_depth=DEPTH, rough_feed=FEED, milled=MILLINGS[0])
    scale = cut_profile.round_scale(max(1.15 * minutes(usual)[0], spent[0]))
    drawn += roughing.minutes_items(spent, scale, "min")
    finding = _finding(plan, place, depth, feed, milled, end, spent, units)
    guess = prediction("05 minutes", ("min", "hour"))
    if guess is not None:
        drawn += roughing.guess_items(guess.m_as("min"), scale)
        both = (in_words(one, "time", units) for one in (guess, total))
        finding = answering(finding, *both, plan.placed.crank.name)
    return drawn, own_lathe.marked(finding)


def _finding(plan, place, depth, feed, milled, end, spent, units):
    length = "mm" if units == "mm" else "in"
    first = _("{place}: no stock to rough.").format(place=capital(spoken(place)))
    if end.rough:
        first = _(
            "{place}: {passes} roughing passes of {depth}, the first in metal {share:.0f} % of a "
            "turn."
        ).format(
            place=capital(spoken(place)),
            passes=end.rough.count,
            depth=as_text(Quantity(end.rough.depths[0], "mm"), length, 3),
            share=100 * end.share,
        )
    reasons = {reason for step in plan.steps for one in step.passes for reason in one.set_by}
    mill = next((step for step in plan.steps if step.key == "mill"), None)
    more = mill and mill.why != words()["mill"]["why"]  # than was asked for: the step says why
    lines = [
        _("{name} from a {bar}, {milled} milled first.").format(
            name=capital(plan.placed.crank.name),
            bar=bar_words(plan.stock, length),
            milled=listed(milled),
        ),
        *((f"{mill.name}.", mill.why) if more else ()),
        _("Asked: {depth} deep, {feed} a turn.").format(
            depth=as_text(depth, length, 3), feed=as_text(feed, length, 3)
        ),
        first,
        *(told for reason, told in LIMITS.items() if reason in reasons),
    ]
    total, mains = (in_words(Quantity(one, "min"), "time", units) for one in spent[:2])
    headline = _("The tool cuts for {total}, {mains} of it roughing mains.").format(
        total=total, mains=mains
    )
    verdicts = [verdict for reason, verdict in VERDICTS.items() if reason in reasons]
    return Finding(headline, next(iter(verdicts), ""), tuple(lines))


def paper(units, projector=False):
    """What does not move: end view and chart."""
    return roughing.plan_paper(projector)


SCENE = Scene(controls, items, paper, PRESETS)
panel, picture = SCENE.panel, SCENE.picture
STEPS = steps_scene()
steps, step_picture = STEPS.panel, STEPS.picture


def slices_picture(crank, stock):
    """The bar's slices from the side, with what comes off each: (figure, sentence)."""
    unit, volume = (crank.units, "cm³" if crank.units == "mm" else "in³")
    high, pins = stock.height.m_as(unit) / 2, bar.pin_places(crank).m_as(unit)[:, 1]
    middle, rows, found = stock.middle_y.m_as(unit), [], rough_out.regions(crank, stock)
    for region in found:
        if region.kind == "web":
            corners = bar.web_corners(crank).m_as(unit)[region.index][:, 1]
            place, ends, name, ring = 0.0, (corners.min(), corners.max()), "web", 0.0
        else:
            part = (
                crank.journals[region.index].diameter
                if region.kind == "journal"
                else crank.throws[region.index].pin_diameter
            )
            place = pins[region.index] if region.kind == "pin" else 0.0
            ends = place - part.m_as(unit) / 2, place + part.m_as(unit) / 2
            name, ring = (
                f"{'main' if region.kind == 'journal' else 'pin'} {region.index + 1}",
                region.whole.m_as(unit),
            )
        rows.append(
            (
                region.start.m_as(unit),
                region.length.m_as(unit),
                (middle - high, middle + high),
                ends,
                (place - ring, place + ring),
                name,
                region.removed.m_as("cm**3" if crank.units == "mm" else "in**3"),
            )
        )
    whole, left = (
        sum(getattr(region, name) for region in found).m_as(
            "cm**3" if crank.units == "mm" else "in**3"
        )
        for name in ("bar", "kept")
    )
    mains = sum(row[-1] for row in rows if row[5].startswith("main"))
    sentence = _(
        "{name} from a bar of Ø{width}: {left:.0f} of {whole:.0f} {volume} stay. Of the rest "
        "{mains:.0f} {volume} come off the mains."
    ).format(
        name=crank.name,
        width=as_text(stock.width, unit),
        left=left,
        whole=whole,
        volume=volume,
        mains=mains,
    )
    return roughing.regions_figure(rows, unit, volume), sentence


def check_gaps(crank, stock, my_swing, my_share):
    """Check the gaps: the bar's swing about the first pin, the share of a turn 0.75 mm in."""
    region = next(region for region in rough_out.regions(crank, stock) if region.kind == "pin")
    share = 100 * interrupted_cut.bar_share(
        region.swing - Quantity(0.75, "mm"), stock.width, region.offset
    )
    print(
        "Swing:",
        check(
            Question(
                "swing",
                region.swing,
                ("in", "mm"),
                {
                    "that is the bar's radius: how far off its middle does it turn?": stock.width
                    / 2,
                    "is the swing a radius or a diameter?": 2 * region.swing,
                },
                (),
            ),
            my_swing,
        ),
    )
    print(
        "Share:",
        check(
            Question(
                "share",
                Quantity(share, "percent"),
                ("percent",),
                {
                    "is that the share in air?": Quantity(100 - share, "percent"),
                    "did you count one side only?": Quantity(share / 2, "percent"),
                },
                (),
                0.03,
            ),
            my_share,
        ),
    )
