"""The plan of a job, step by step in space: lesson 05 shows it for a crank, lesson 15 for a job."""

from math import dist

from crankmath.job import Job
from crankmath.job.verdicts import by_share, worst
from crankmath.job.workings import Workings
from crankmath.language import _, spoken
from crankmath.units import Quantity, as_text
from crankmath.wording import capital, shown
from crankmath.workpiece.holding import CLEAR
from crankmath.workpiece.replay import struck

from ...lesson import own, own_lathe
from ...lesson.finding import Finding
from ...lesson.kept import once
from ...lesson.panel import Choice, Count
from ...lesson.scene import Scene
from ...pictures.turning import work_in_space

HELD = {"mill": _("held in the mill"), "bench": _("done at the bench")}
FIXED, A_THROW = 11, 3  # steps of a plan, and those that each throw adds
THROWS = 3  # of the examples, most
SLOW = 0.6  # steps a second when it plays


def job_of(name):
    """The job of an example or of the reader's own crank, on the lathe chosen."""
    return own_lathe.under(Job(own.load(name)) if own.is_own(name) else Job.load(name))


def stamp_of(name):
    """What changes when crank or lathe does."""
    return own.stamp(name), own_lathe.chosen()


def steps_scene(names=own.names, job_of=job_of, stamp=stamp_of):
    """The plan in space of what is chosen by name.

    - ``names``: Makes the list of names.
    - ``job_of``: The job of a name; stamp: what tells its versions apart.
    """

    def controls():
        listed = tuple(names())
        throws = max(len(job_of(name).crank.throws) for name in listed)
        last = FIXED + A_THROW * max(throws, THROWS)
        scale = ("dimensionless", 1, last, 1)
        first = Quantity(6.0, "dimensionless")
        return (
            Choice("name", _("Crank"), listed, listed[0]),
            Count("step", _("Step of the plan"), scale, scale, first, plays=SLOW),
        )

    def items(units, name, step):
        key = name, stamp(name)
        work = once(("plan in space", *key), lambda: _worked_out(job_of(name)))
        number = min(round(step.m_as("dimensionless")), len(work.plan.steps)) - 1
        found = once(("step in space", *key, number, units), lambda: _at(work, number, units))
        if round(step.m_as("dimensionless")) > len(work.plan.steps):
            last = _("This plan has {number} steps: here is the last.").format(number=number + 1)
            finding = found[1]
            return found[0], Finding(finding.headline, finding.verdict, (last, *finding.lines))
        return found

    def paper(units, projector=False):
        return work_in_space.work_paper(projector)

    return Scene(controls, items, paper)


def workings_of(name):
    """What the checks share about an example or the reader's own crank, kept while sliders move."""
    return once(("plan in space", name, stamp_of(name)), lambda: _worked_out(job_of(name)))


def _worked_out(job):
    """What the checks share about a job, its plan worked out."""
    work = Workings(job)
    assert work.plan.works  # so that a slider does not wait for it
    return work


def _at(work, number, units):
    """What moves at a step, and the finding."""
    plan, job = work.plan, work.job
    carriage = job["swing_over_carriage"].m_as("mm") / 2
    free = plan.room(number)
    words = ("", "", "")
    if free:
        swing = as_text(Quantity(2 * free["swing"], "mm"), units, 3)
        words = _("swings Ø{swing}").format(swing=swing), _("carriage"), _("blade, in to its depth")
    try:
        spacer = work.spacer_diameter.m_as("mm") / 2
    except ValueError:  # no room for one: none is fitted either
        spacer = 0.0
    finding = _finding(plan, number, free, units)
    drawn = work_in_space.step_in_space(plan, number, carriage, spacer, finding.headline, words)
    return [drawn, *work_in_space.strip_items(len(plan.steps), number)], finding


def _finding(plan, number, free, units):
    """What a step turns, how fast it may, and what it strikes."""
    step = plan.steps[number]
    lines = [
        _("Step {number} of {count}, {plan}.").format(
            number=number + 1, count=len(plan.steps), plan=_held(plan, step)
        )
    ]
    if not free:
        lines += [_sentence(one) for one in step.trouble]
        return Finding(f"{step.name}.", "not fine" if step.trouble else "", tuple(lines))
    swing = as_text(Quantity(2 * free["swing"], "mm"), units, 3)
    rpm = min(row.rpm for row in step.speeds)
    lines += _shifts(step, units)
    hits = struck(plan.at(number), step.as_dict(), step.cuts, plan.lathe)
    lines += [_sentence(one) for one in (*dict.fromkeys(hits), *step.trouble)]
    if not hits:
        bed, carriage = (
            as_text(Quantity(free[key], "mm"), units, 2) for key in ("over_bed", "over_carriage")
        )
        lines.append(
            _("Nothing is struck: {carriage} clear of the carriage, {bed} of the bed.").format(
                carriage=carriage, bed=bed
            )
        )
    reach = as_text(Quantity(step.tool["reach"], "mm"), units, 3)
    lines.append(_("The blade stands {reach} out of its holder.").format(reach=reach))
    if any(row.set_by == "balanced" for row in step.speeds):
        lines.append(_("Balance it first: it swings too hard even at the slowest speed."))
    verdict = "not fine" if hits or step.trouble else _clear(free)
    return Finding(
        _("{name}: swings Ø{swing}, begin at {rpm:g} rpm.").format(
            name=step.name, swing=swing, rpm=rpm
        ),
        verdict,
        tuple(lines),
    )


def _clear(free):
    """Whether work and dog have the room that the job's own check asks for."""
    rooms = (free["over_bed"], free["over_carriage"])
    return worst(*(by_share(-room, -CLEAR, 0.0) for room in rooms))


def _held(plan, step):
    if step.axis is None:
        return HELD[step.on]
    pins = [
        f"pin {number}"
        for number, axis in enumerate(plan.placed.pins, 1)
        if dist(axis, step.axis) < 0.01
    ]
    return _("between the centers of {pins}").format(
        pins=spoken(pins[0] if pins else _("the mains"))
    )


def _shifts(step, units):
    """Speeds of each place as it gets thinner, places alike together."""
    alike = {}
    for place in dict.fromkeys(row.place for row in step.speeds):
        sizes = {}  # where a wall and the round beside it turn at one step, the wider is named
        for row in step.speeds:
            if row.place == place:
                sizes.setdefault(row.rpm, row.diameter)
        alike.setdefault(tuple((size, rpm) for rpm, size in sizes.items()), []).append(place)
    for rows, places in alike.items():
        parts = [
            _("Ø{size} at {rpm:g}").format(
                size=shown(Quantity(size, "mm"), "length", units), rpm=rpm
            )
            for size, rpm in rows
        ]
        yield _("{places} in rpm, by diameter: {parts}.").format(
            places=_sentence(_(" and ").join(places))[:-1], parts=", ".join(parts)
        )


def _sentence(words):
    words = words.strip()
    return capital(words) + ("" if words.endswith(".") else ".")
