"""Tables of a job for paper: speeds, passes, centers, handwheel moves, spacers, sizes, readings to
fill in by hand.
"""

import warnings
from dataclasses import dataclass
from functools import reduce
from itertools import groupby

import numpy as np

from crankmath import fits
from crankmath.blank import layout
from crankmath.job.checks.proof import DRAWN, diameter_doubt
from crankmath.language import _, listed, spoken
from crankmath.units import Quantity, as_text
from crankmath.wording import ERRORS, READS, shown
from crankmath.workpiece.planning import rules

from .windows import CANNOT, between_gap, from_gap, misfits, signed, window

READINGS = 12  # round a turn
BLANK = ""
LOOSE = _("One that is not gripped flies: wire or tape it to the throw before the spindle turns.")
SET_BY = {
    "cut": _("the cut"),
    "depth": _("what drive and crank bear"),
    "stalls": _("the drive, which stalls"),
    "unbalance": _("the swinging work"),
    "balanced": _("the swinging work: balance it first"),
    "gears": _("slowest step, too fast"),
}


@dataclass(frozen=True)
class Table:
    """A table: its key, caption, heads and rows of text; empty cells are for the pencil. ``note``
    stands under it.
    """

    key: str
    caption: str
    head: tuple
    rows: tuple
    note: str = ""


def speed_table(work):
    """At which diameter to shift to which speed, place by place, roughing first."""
    units = work.units
    rows = [
        (
            spoken(row.place),
            _(row.work),
            f"Ø{shown(Quantity(row.diameter, 'mm'), 'length', units)}",
            f"{row.rpm:g} rpm",
            shown(Quantity(row.surface_speed_m_min, "m/min"), "speed", units),
            shown(Quantity(row.table_m_min, "m/min"), "speed", units),
            SET_BY[row.set_by],
        )
        for _unused, row in work.speeds
    ]
    return Table(
        "speeds",
        _("Shift table"),
        (_("place"), _("cut"), _("from"), _("turn at"), _("speed there"), _("tables"), _("set by")),
        tuple(dict.fromkeys(rows)),
        _(
            "The stand is taken to bear {unbalance_force} of out-of-balance force. Shift up only "
            "when the work has come down to the next diameter."
        ).format(unbalance_force=shown(work.job["unbalance_force"], "force", units)),
    )


def pass_table(work):
    """Operations with their passes."""
    units = work.units
    rows = [
        (
            one.name,
            str(one.count),
            depths(one, units),
            _("{first:g} to {last}").format(
                first=one.speeds[0].m_as("rpm"), last=shown(one.speeds[1], "rpm", units)
            )
            if one.speeds[0] < one.speeds[1]
            else shown(one.speeds[0], "rpm", units),
            shown(one.time, "time", units),
            ", ".join(SET_BY[limit] for limit in sorted(one.set_by)),
            BLANK,
        )
        for one in work.passes
    ]
    total = sum((one.time for one in work.passes), Quantity(0.0, "min"))
    feeds = _("Feed {roughing} a turn roughing, {finishing} finishing.").format(
        roughing=shown(rules.feed(work.job, "rough_feed"), "length", units),
        finishing=shown(rules.feed(work.job, "finish_feed"), "length", units),
    )
    return Table(
        "passes",
        _("Passes"),
        (
            *(_("passes at"), _("passes"), _("depth"), _("speed")),
            *(_("in the cut"), _("set by"), _("done")),
        ),
        tuple(rows),
        _("{feeds} Together {total} in the cut.").format(
            feeds=feeds, total=shown(total, "time", units)
        ),
    )


def depths(passes, units):
    """Depths of the passes of one place, one after another, in words."""
    sizes = (round(Quantity(one, "mm").m_as(units), READS[units]) for one in passes.depths)
    texts = (as_text(Quantity(one, units)) for one in sizes)
    told = [
        _("{count} of {last}").format(count=count, last=text) if count > 1 else text
        for text, some in groupby(texts)
        if (count := len(list(some)))
    ]
    words = reduce(
        lambda first, last: _("{first}, then {last}").format(first=first, last=last), told
    )
    return _("{words} each").format(words=words) if passes.sides > 1 else words


def center_table(work):
    """Where the centers go on both ends."""
    rows = []
    for one in work.layouts:
        for point in one.points:
            places = (point.from_left, point.from_bottom, point.from_middle_x, point.from_middle_y)
            rows.append(
                (
                    _("{end} end").format(end=_(one.end)),
                    spoken(point.name),
                    *(_place(place, work.units) for place in places),
                )
            )
    return Table(
        "centers",
        _("Centers, as you look at each end"),
        (
            *(_("end"), _("center"), _("from left"), _("from bottom")),
            *(_("from middle, to the right"), _("from middle, up")),
        ),
        tuple(rows),
        _(
            "The left-hand end is the mirror of the right-hand end. On a round bar left edge and "
            "bottom are its tangents."
        ),
    )


def handwheel_table(work):
    """Order of the mill's handwheels at both ends, from the edges."""
    rows = []
    for one in work.layouts:
        for move in layout.handwheel_moves(
            one, "edges", work.job["handwheel_lead"], work.job["backlash"]
        ):
            rows.append(
                (
                    _("{end} end").format(end=_(one.end)),
                    spoken(move.name),
                    f"{_place(move.approach_x, work.units)}, {_place(move.approach_y, work.units)}",
                    f"{_place(move.x, work.units)}, {_place(move.y, work.units)}",
                    _("{turns_x} turns + {rest_x}").format(
                        turns_x=move.turns_x, rest_x=_place(move.rest_x, work.units)
                    ),
                    _("{turns_y} turns + {rest_y}").format(
                        turns_y=move.turns_y, rest_y=_place(move.rest_y, work.units)
                    ),
                )
            )
    return Table(
        "handwheels",
        _("Handwheel moves, zero at left and bottom edge"),
        (_("end"), _("center"), _("come from"), _("stop at"), _("across"), _("up")),
        tuple(rows),
        _(
            "For a handwheel of {handwheel_lead} a turn with {backlash} lost motion. Come from "
            "below each time."
        ).format(
            handwheel_lead=shown(work.job["handwheel_lead"], "length", work.units),
            backlash=shown(work.job["backlash"], "length", work.units),
        ),
    )


def _place(length, units):
    return f"{length.m_as(units):.{3 if units == 'mm' else 4}f}".replace("-", "−")


def _fixed(length, units):
    """A size with its last digits, as a micrometer shows them."""
    return f"{length.m_as(units):.{4 if units == 'mm' else 5}f} {units}"


def spacer_table(work):
    """Limits of each spacer's misfit, with room for gap and spacer as measured."""
    units, (shortest, longest) = work.units, work.misfit_limits
    free = not np.isfinite(shortest.magnitude)
    several, alike, read = len(work.fitted) > 1, "", work.read_misfit
    ends = CANNOT if read is None else misfits(*read, units)
    if several and not free:
        given = shown(work.spacer_thrust, "force", units)
        both = between_gap(misfits(max(shortest, work.gripped_misfit), longest, units))
        alike = _("; all alike, and with no more than {given}: {both}").format(
            given=given, both=both
        )
    least, most = next(one.ends(units) for one in work.pressed if one.step.key == "finish_mains")
    low, high = map(from_gap, ends)
    rows = []
    for one in work.fitted:
        gap, size = work.crank.throws[one.throw].pin_length, shown(one.diameter, "length", units)
        of = f"throw {one.throw + 1}"
        rows.append((of, f"Ø{size}", _fixed(gap, units), low, high, *(BLANK,) * 4))
    return Table(
        "spacers",
        _("Spacers"),
        (
            *(_("gap"), _("diameter"), _("gap as drawn"), _("shortest"), _("longest")),
            *(_("gap as measured"), _("accept from"), _("accept to"), _("spacer as made")),
        ),
        tuple(rows),
        _(
            "From the gap as measured{words}: {ends}, with {least} to {most} of thrust while the "
            "mains are finished{alike}; {allowed_runout} of runout. Measure without thrust, crank "
            "and spacer equally cold. {loose}"
        ).format(
            words=_(", whatever the others are") if several else "",
            ends=_read(work, ends),
            least=least,
            most=most,
            alike=alike,
            allowed_runout=shown(work.job["allowed_runout"], "fine", units),
            loose=LOOSE,
        ),
    )


def _read(work, ends):
    """What a spacer has to read, in words: its limits less the uncertainty of its length; or, where
    these leave nothing, how well the length has to be known.
    """
    units, (low, high) = work.units, work.accepted_misfit
    known = shown(work.job["spacer_doubt"], "fine", units, 2)
    if ends == CANNOT:
        return _(
            "as it is known only to ±{known}, no reading shows that it is within its limits; "
            "compare it until you know it to ±{each}, and lap it to {aim}"
        ).format(
            known=known,
            each=shown((high - low) / 2, "fine", units, 2),
            aim=from_gap(signed(work.aimed_misfit, units)),
        )
    return _("accept {ends}, the uncertainty of ±{known} taken off").format(
        ends=between_gap(ends), known=known
    )


def size_table(work):
    """Sizes to prove, with the limits that a micrometer of this uncertainty has to read."""
    units, doubt, rows = work.units, diameter_doubt(work.job), []
    for name, parts, size, code in (
        ("main", work.crank.journals, "diameter", "main_class"),
        ("pin", work.crank.throws, "pin_diameter", "pin_class"),
    ):
        for number, part in enumerate(parts, 1):
            diameter = getattr(part, size)
            upper, lower = fits.limits(diameter, work.job[code])
            rows.append(
                (
                    spoken(f"{name} {number}"),
                    f"Ø{shown(diameter, 'length', units, DRAWN)} {work.job[code]}",
                    *(_fixed(diameter + one, units) for one in (lower, upper)),
                    *window(diameter + lower + doubt, diameter + upper - doubt, units),
                    BLANK,
                    BLANK,
                    BLANK,
                )
            )
    return Table(
        "sizes",
        _("Sizes"),
        (
            _("place"),
            _("size"),
            _("smallest"),
            _("largest"),
            _("accept from"),
            _("accept to"),
            *(_("left"), _("middle"), _("right")),
        ),
        tuple(rows),
        _(
            "Accept limits leave {uncertainty} for the micrometer's uncertainty. Measure cold, in "
            "two directions."
        ).format(uncertainty=shown(doubt, "fine", units, 2)),
    )


def reading_table(work):
    """Indicator readings of every main round a turn, to fill in."""
    step = 360 // READINGS
    rows = [
        (spoken(f"main {number}"), *(BLANK for _unused in range(READINGS + 1)), BLANK)
        for number in range(1, len(work.crank.journals) + 1)
    ]
    told = _(
        "Mark the angles on the work; read where the mark stands under the indicator, the first "
        "mark again at the end: the dial's drift. Lesson 12 fits them; where a main runs out too "
        "far, lesson 16 (16-find-the-fault) looks for the cause and for the next thing to measure."
    )
    if work.job["supports"] != "between centers":
        told += _(
            " In vee blocks these readings show form alone: no offset, so no runout of these mains."
        )
    return Table(
        "readings",
        _("Indicator readings, crank {supports}").format(supports=listed(work.job["supports"])),
        (_("place"), *(f"{angle}°" for angle in range(0, 361, step)), _("most − least")),
        tuple(rows),
        told,
    )


def height_table(work):
    """Heights over the pins, for throw and angle, to fill in."""
    rows = [
        (
            spoken(f"pin {number}"),
            shown(throw.radius, "place", work.units),
            as_text(throw.angle, "deg"),
            BLANK,
            BLANK,
            BLANK,
            BLANK,
            BLANK,
        )
        for number, throw in enumerate(work.crank.throws, 1)
    ]
    return Table(
        "heights",
        _("Heights over the pins"),
        (
            _("pin"),
            _("throw wanted"),
            _("angle wanted"),
            _("top, left"),
            _("top, right"),
            _("bottom, left"),
            _("bottom, right"),
            _("throw found"),
        ),
        tuple(rows),
        _(
            "Throw = (top − bottom)/2, tolerance ±{throw_tolerance}. A step from left to right is "
            "a tilted pin."
        ).format(throw_tolerance=shown(work.job["throw_tolerance"], "length", work.units)),
    )


TABLES = (
    center_table,
    handwheel_table,
    speed_table,
    pass_table,
    spacer_table,
    size_table,
    reading_table,
    height_table,
)


def job_tables(work):
    """All tables that this job has; one that cannot be made is left out, and its check says why.
    Every number is that of the check beside it.
    """
    found = []
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for make in TABLES:
            try:
                one = make(work)
            except ERRORS:
                continue
            if one.rows:
                found.append(one)
    return tuple(found)
