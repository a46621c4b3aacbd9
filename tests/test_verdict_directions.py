"""What makes a job worse never improves a verdict: sharper corner, thinner web, higher thrust, ...

``JOBS=500 LOOKS=99`` before pytest tries as many random jobs, a row of WORSE for every check of each;
else a handful of checks each. A look that is only a source's range being left is no verdict on the
job: it may turn fine inside it.
"""

import os
from dataclasses import dataclass, replace
from functools import partial
from random import Random

import pytest

from crankmath.crank import EXAMPLES, Crank
from crankmath.job import Job
from crankmath.job.fields import BY_KEY
from crankmath.job.report import CHECKS
from crankmath.job.workings import Workings
from crankmath.units import Quantity

pytestmark = pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
JOBS = int(os.environ.get("JOBS", "4"))
LOOKS = int(os.environ.get("LOOKS", "8"))  # checks of each job, one row of WORSE for each
KINDS = {kind.key: kind for kind in CHECKS}
RANK = {"not fine": 0, "look": 1, "fine": 2}
INDICATORS = ("lever indicator 0.002 mm", "lever indicator 0.0001 in", "lever indicator 0.0005 in",
              "dial indicator 0.01 mm")  # fmt: skip


@dataclass(frozen=True)
class Worse:
    """A change of a job that may not improve one check."""

    check: str
    what: str
    change: object  # of (job, share), share below 1

    def __str__(self):
        return f"{self.check}: {self.what}"


def scaled(job, key, factor):
    """The job with one answer times a factor, or nothing where it has none."""
    value = job[key]
    return None if value is None else Job(job.crank, job.answers | {key: factor * value}, job.given)


def more(check, *keys):
    return [
        Worse(check, f"more {key}", lambda job, share, key=key: scaled(job, key, 1 / share))
        for key in keys
    ]


def less(check, *keys):
    return [
        Worse(check, f"less {key}", lambda job, share, key=key: scaled(job, key, share))
        for key in keys
    ]


def later(check, key, *words):
    """A choice that goes from better to worse by its words."""

    def change(job, share):
        place = words.index(job[key]) if job[key] in words else len(words)
        if place + 1 >= len(words):
            return None
        return Job(job.crank, job.answers | {key: words[place + 1]}, job.given)

    return [Worse(check, f"{key} later in {', '.join(words)}", change)]


def resized(check, part, name, up=False):
    """All throws or journals with one size smaller, or larger."""

    def change(job, share):
        sizes = job.crank.to_dict()
        for one in sizes[part]:
            one[name] *= 1 / share if up else share
        return job.with_crank(Crank.from_dict(sizes), edited=True)

    return [Worse(check, f"{'larger' if up else 'smaller'} {name} of {part}", change)]


def where(said, words, check, rows):
    """Rows tried only where a check of the job says these words, or only where it does not."""

    def kept(row):
        def change(job, share):
            found = words in KINDS[check].run(Workings(job)).sentence
            return row.change(job, share) if found == said else None

        return replace(row, change=change)

    return map(kept, rows)


# a fillet over its web's edge is cured by a smaller one, a spacer that is not gripped by more thrust
within = partial(where, False, "over the edge", "fillets")
gripped = partial(where, False, "is not gripped", "spacers")


def asked_depths(job):
    """How deep a pass of each step may be; nothing where no plan can be made."""
    try:
        return [[one.asked for one in step.passes] for step in Workings(job).plan.steps]
    except ValueError:
        return []


def fed_faster(job, share):
    """More feed, tried only where the drive does not ask for thinner passes with it."""
    other = scaled(job, "rough_feed", 1 / share)
    return other if asked_depths(other) == asked_depths(job) else None


def without_slow_steps(job, share):
    """The gear table without its slowest third."""
    steps = sorted(job["gear_table"])
    kept = tuple(steps[max(1, len(steps) // 3) :])
    return Job(job.crank, job.answers | {"gear_table": kept}, job.given) if kept else None


WORSE = [
    *less("motion", "rod_length"),
    *less("bar", "bar_size"),
    *more("bar", "bar_allowance"),
    *more("centers", "thrust"),
    *less("centers", "center_end"),
    *less("swing", "center_height", "between_centers", "swing_over_carriage"),
    *more("swing", "dog_screw", "dog_wall"),
    *less("speeds", "unbalance_force"),
    Worse("speeds", "no slow steps", without_slow_steps),
    *less("passes", "power", "efficiency"),
    *less("force", "power", "efficiency"),
    *more("force", "rough_depth"),
    Worse("force", "more rough_feed", fed_faster),
    *less("force", "yield_strength"),
    *resized("force", "throws", "web_thickness"),
    *later("force", "wear", "sharp", "worn", "blunt"),
    *more("roundness", "last_cut", "finish_feed"),
    *less("roundness", "headstock_stiffness", "tailstock_stiffness", "allowed_runout"),
    *later("roundness", "wear", "sharp", "worn", "blunt"),
    *more("chatter", "last_cut", "nose_radius"),
    *less("chatter", "damping_ratio", "headstock_stiffness", "tailstock_stiffness"),
    *less("chatter", "tool_stiffness", "axial_stiffness", "tool_axial_stiffness"),
    *more("tool", "edge_width"),
    *less("tool", "blade_height", "blade_thickness"),
    # a longer blade clears more and bends more
    *where(False, "shorter blade", "tool", less("tool", "blade_reach")),
    *where(True, "shorter blade", "tool", more("tool", "blade_reach")),
    # where the spacers accepted for much thrust leave none that is right, less is the cure
    *where(False, "No thrust is right", "hold", less("hold", "thrust")),
    Worse("hold", "more rough_feed", fed_faster),
    *later("hold", "wear", "sharp", "worn", "blunt"),
    *more("squeeze", "thrust"),
    *less("squeeze", "allowed_runout"),
    *resized("squeeze", "throws", "web_thickness"),
    *resized("squeeze", "throws", "web_width"),
    *later("squeeze", "spacers", "in every throw", "in the first throw only", "none"),
    *gripped(more("spacers", "thrust")),
    *more("spacers", "spacer_doubt"),
    *less("spacers", "allowed_runout"),
    *more("heat", "thrust", "headstock_stiffness", "tailstock_stiffness"),
    *less("heat", "allowed_runout"),
    *later("heat", "cooling", "flood of emulsion", "flood of oil", "dripped oil", "still air"),
    *within(resized("fillets", "throws", "fillet")),
    *within(resized("fillets", "journals", "fillet")),
    *resized("strength", "throws", "web_thickness"),
    *resized("strength", "throws", "web_width"),
    *more("strength", "pressure", "peak_pressure", "push", "reliability"),
    *less("strength", "tensile_strength", "yield_strength"),
    *later("strength", "fixing", "a clamp, the main stays whole", "a key"),
    *later("strength", "finish", "ground", "machined", "hot rolled", "forged"),
    *later("fits", "main_class", "k5", "h6", "g6", "f7"),
    *more("bearings", "pressure", "peak_pressure", "push", "crank_speed"),
    *less("bearings", "bushing_length", "dynamic_rating"),
    *more("balance", "crank_speed", "rotating_mass"),
    *later("runout", "indicator", *INDICATORS),
    *less("runout", "allowed_runout"),
    *less("throw", "throw_tolerance", "phase_tolerance"),
    *more("sizes", "micrometer_doubt"),
]


def random_job(seed):
    """An example with every size and many answers drawn anew around it."""
    draw = Random(seed)
    name = draw.choice(list(EXAMPLES))
    sizes = Crank.load(name).to_dict()
    for part in ("journals", "throws"):
        factors = {k: draw.uniform(0.75, 1.35) for k in sizes[part][0] if k != "angle_deg"}
        for one in sizes[part]:
            for key, factor in factors.items():
                one[key] *= factor
    job = Job.load(name)
    job = Job(Crank.from_dict(sizes), job.answers, job.given)
    answers = dict(job.answers)
    for key, field in BY_KEY.items():
        value = answers[key]
        if isinstance(value, Quantity) and draw.random() < 0.5:
            answers[key] = value * draw.choice((0.3, 0.6, 0.8, 1.25, 1.6, 3.0))
        elif field.kind == "choice" and field.options and draw.random() < 0.3:
            answers[key] = draw.choice(field.options)
    for key, unit, low, high in (("bar_size", "mm", 40, 90), ("blade_reach", "mm", 15, 60),
                                 ("bushing_length", "mm", 8, 40), ("rod_length", "mm", 30, 200),
                                 ("tensile_strength", "MPa", 500, 900),
                                 ("yield_strength", "MPa", 300, 490)):  # fmt: skip
        if draw.random() < 0.6:
            answers[key] = Quantity(draw.uniform(low, high), unit)
    if answers["main_bearing"] == "ball bearing":
        answers["main_class"] = draw.choice(("k5", "h6", "g6"))
        answers["dynamic_rating"] = Quantity(draw.uniform(2, 10), "kN")
    return Job(job.crank, answers, job.given)


def jobs(count):
    """Jobs whose answers the library takes."""
    seed = found = 0
    while found < count:
        seed += 1
        try:
            job = random_job(seed)
        except ValueError:
            continue
        found += 1
        yield pytest.param(seed, job, id=f"job {seed}")


def improved(before, after):
    """Whether a verdict is better than one before; one that could not tell may not turn to fine."""
    if after.verdict == "cannot tell" or set(before.notes) - set(after.notes):
        return False
    if before.verdict == "cannot tell":
        return after.verdict == "fine"
    return RANK[after.verdict] > RANK[before.verdict]


def failures(seed, job):
    """What improved one job's verdicts, as text."""
    draw, work = Random(seed), Workings(job)
    checks = sorted({row.check for row in WORSE})
    for check in draw.sample(checks, min(LOOKS, len(checks))):
        row = draw.choice([row for row in WORSE if row.check == check])
        share = draw.uniform(0.4, 0.97)
        try:
            other = row.change(job, share)
        except ValueError:  # an answer the library does not take
            continue
        if other is None:
            continue
        before, after = KINDS[check].run(work), KINDS[check].run(Workings(other))
        if improved(before, after):
            yield (
                f"job {seed} ({job.crank.name}), {row} by {share:.3f}\n"
                f"  {before.verdict}: {before.sentence}\n  {after.verdict}: {after.sentence}"
            )


@pytest.mark.parametrize(("seed", "job"), list(jobs(JOBS)))
def test_nothing_worse_improves_a_verdict(seed, job):
    wrong = list(failures(seed, job))
    assert not wrong, "\n".join(wrong)
