"""Lesson 05, plan the cuts: its panel, the plan in space and its three questions."""

import warnings

import numpy as np

from crankmath.blank import bar, cross_section
from crankmath.cutting import interrupted_cut, operations, rough_out
from crankmath.job.workings import Workings
from crankmath.language import _, listed, marked, spoken
from crankmath.units import OutOfRangeWarning, Quantity, as_text
from crankmath.wording import ERRORS, capital
from crankmath.wording import shown as in_words
from crankmath.workpiece.planning import rules

from ...lesson import own, own_lathe
from ...lesson.exercise import Question, check, prediction
from ...lesson.finding import Finding, answering
from ...lesson.kept import once
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures.turning import cut_profile, roughing
from .cutting_questions import deepest_cut as deepest_cut
from .cutting_questions import roughing_minutes as roughing_minutes
from .cutting_questions import share_of_turn as share_of_turn
from .plan_in_space import job_of, stamp_of, steps_scene

PLACES = {marked("first main"): ("journal", 0), marked("first pin"): ("pin", 0)}
MILLINGS = tuple(operations.MILLINGS)
LIMITS = {
    "motor": _("The motor, not you, sets the depth of some passes."),
    "gears": _("The slowest gear is too fast somewhere: mill more of it away first."),
    "unbalance": _("The swinging bar sets some speeds: balance it to go faster."),
}
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
            Quantity(1.5, "mm"),
            ("um",),
        ),
        Control(
            "feed",
            _("Roughing feed f a turn"),
            ("mm", 0.04, 0.3, 0.005),
            ("in", 0.0016, 0.012, 0.0002),
            Quantity(0.12, "mm"),
            ("um",),
        ),
        Choice("work", _("Crank and end view"), works, first),
        Choice("milled", _("Milled or sawn first"), MILLINGS, MILLINGS[0]),
    )


def round_bar(crank):
    """Round bar off the shelf that a crank is cut from; the smallest where the shelf ends."""
    least = bar.smallest_bar(crank, "round")
    try:
        return bar.stock_bar(least, crank.units)
    except ValueError:
        return least


def _cut_by(name):
    """What an example's or own crank's job says of its cuts, as ``turning_operations`` takes it."""

    def found():
        job = job_of(name)
        return {
            "rough_depth": job["rough_depth"],
            "rough_feed": rules.feed(job, "rough_feed"),
            "finish_allowance": job["finish_allowance"],
            "finish_feed": rules.feed(job, "finish_feed"),
            "nose_radius": job["rough_nose"],
            "approach_angle": job["approach_angle"],
        }

    return once(("cut by", name, stamp_of(name)), found)


def _kept(crank, lathe):
    """Bar, its section, and what the chart has to hold by the usual plan; kept with the crank."""
    kept = vars(crank).setdefault("_plans", {})
    if lathe not in kept:
        stock = round_bar(crank)
        usual = minutes(operations.turning_operations(crank, stock, lathe))[0]
        kept[lathe] = (
            stock,
            rough_out.bar_section(crank, stock),
            1.15 * usual,
        )
    return kept[lathe]


def _end_view(crank, stock, section, kind, index, shape):
    """End view without depth and feed, from the turning axis [mm]; kept with the crank."""
    kept = vars(crank).setdefault("_end_views", {})
    if (kind, index, shape) not in kept:
        block = (
            section
            if shape is None
            else rough_out.block_section(crank, stock, kind, index, shape=shape)
        )
        axis = rough_out.turning_axis(crank, kind, index)
        final = (
            crank.journals[index].diameter
            if kind == "journal"
            else crank.throws[index].pin_diameter
        ).m_as("mm") / 2
        outlines = [cross_section.outline(one, axis, 72) - axis for one in (section, block)]
        web = bar.web_corners(crank).m_as("mm")[min(index, len(crank.throws) - 1)] - axis
        kept[kind, index, shape] = (
            block,
            axis,
            outlines,
            web,
            final,
            cross_section.reach(block, axis),
            cross_section.reach(section, axis),
        )
    return kept[kind, index, shape]


def minutes(found):
    """Minutes of operations in the groups of ``roughing.GROUPS``: all of them first."""
    sums = dict.fromkeys(roughing.GROUPS, 0.0)
    for one in found:
        verb, what = one.name.split()[0], one.name.split()[1]
        group = (
            "finish"
            if verb == "finish"
            else "walls, faces"
            if verb == "face" or "wall" in one.name
            else f"rough {what}s"
        )
        for name in ("all", group):
            sums[name] += one.time.magnitude
    return list(sums.values())


def beside_plan(name, milled):
    """Depth, feed, time of the job's plan and of the panel's sum with these; None without a plan.

    The panel's sum is quick enough for a slider: it takes the whole bar as swinging at every step.
    The plan takes the work as each step leaves it, faces what the mill left, cuts a last time, and
    mills what the slowest gear is too fast for. Kept with crank and lathe.
    """
    return once(("beside plan", name, stamp_of(name), milled), lambda: _beside_plan(name, milled))


def _beside_plan(name, milled):
    try:
        work = Workings(job_of(name).typed("milled", milled))
        planned = sum((one.time for one in work.passes), Quantity(0.0, "min"))
        stock = work.bar
    except ERRORS:
        return None
    cut = _cut_by(name)
    found = operations.turning_operations(work.crank, stock, work.job.lathe, milled=milled, **cut)
    return cut["rough_depth"], cut["rough_feed"], planned, sum(one.time for one in found)


def items(units, depth, feed, work, milled):
    """What moves in end view and chart, and the finding."""
    name, where = work.split(", ", 1)
    crank, (kind, index) = own.load(name), PLACES[where]
    lathe = own_lathe.chosen()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        stock, section, usual = _kept(crank, lathe)
        asked = _cut_by(name) | {"rough_depth": depth, "rough_feed": feed}
        found = operations.turning_operations(crank, stock, lathe, milled=milled, **asked)
    block, axis, outlines, web, final, swing, reach = _end_view(
        crank, stock, section, kind, index, operations.MILLINGS[milled][kind == "journal"]
    )
    place = f"{'main' if kind == 'journal' else 'pin'} {index + 1}"
    rough = next((one for one in found if one.name == f"rough {place}"), None)
    radii = (
        swing - rough.depth.magnitude * (np.arange(rough.passes) + 0.5)
        if rough
        else np.array([swing])
    )
    shown = radii[:: max(len(radii) // roughing.MOST_PASSES, 1)]
    arcs = [
        (radius, begin, end)
        for radius, some in zip(shown, cross_section.arcs(block, axis, shown), strict=True)
        for begin, end in some
    ]
    drawn = roughing.end_items(outlines, web, final, arcs, swing, reach)
    if rough:
        drawn.append(
            roughing.depth_point(swing, depth.m_as("mm"), reach, Quantity(1, "mm").m_as(units))
        )
    spent = minutes(found)
    total = Quantity(spent[0], "min")
    scale = cut_profile.round_scale(max(usual, spent[0]))
    drawn += roughing.minutes_items(spent, scale, "min")
    plan = beside_plan(name, milled)
    finding = _finding(crank, stock, place, depth, feed, milled, found, rough, spent, plan, units)
    guess = prediction("05 minutes", ("min", "hour"))
    if guess is not None:
        drawn += roughing.guess_items(guess.m_as("min"), scale)
        both = (in_words(one, "time", units) for one in (guess, total))
        finding = answering(finding, *both, crank.name)
    return drawn, own_lathe.marked(finding)


def _finding(crank, stock, place, depth, feed, milled, found, rough, spent, plan, units):
    length = "mm" if units == "mm" else "in"
    first = _("{place}: no stock to rough.").format(place=capital(spoken(place)))
    if rough is not None:
        first = _(
            "{place}: {passes} roughing passes of {depth}, the first in metal {share:.0f} % of a "
            "turn."
        ).format(
            place=capital(spoken(place)),
            passes=rough.passes,
            depth=as_text(rough.depth, length, 3),
            share=100 * rough.share,
        )
    reasons = {reason for one in found for reason in one.limits}
    lines = [
        _("{name} from a bar of Ø{width}, {milled} milled first.").format(
            name=capital(crank.name),
            width=as_text(stock.width, length),
            milled=listed(milled),
        ),
        _("Asked: {depth} deep, {feed} a turn.").format(
            depth=as_text(depth, length, 3), feed=as_text(feed, length, 3)
        ),
        first,
        *(words for reason, words in LIMITS.items() if reason in reasons),
    ]
    if plan:
        lines.append(_planned(*plan, units))
    total, mains = (in_words(Quantity(one, "min"), "time", units) for one in spent[:2])
    headline = _("The tool cuts for {total}, {mains} of it roughing mains.").format(
        total=total, mains=mains
    )
    return Finding(headline, "look" if reasons & {"motor", "gears"} else "", tuple(lines))


def _planned(depth, feed, planned, here, units):
    """What the plan of the job takes beside the panel's sum, in words."""
    length = "mm" if units == "mm" else "in"
    said = _(
        "The job's plan, {depth} at {feed} a turn, takes {planned}, milling where it must, "
        "following the work; this sum {here}."
    )
    return said.format(
        depth=as_text(depth, length, 3),
        feed=as_text(feed, length, 3),
        planned=in_words(planned, "time", units),
        here=in_words(here, "time", units),
    )


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
