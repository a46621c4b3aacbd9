"""Checks of speeds, passes and minutes."""

from ...cutting.shifts import BALANCE_SHARE
from ...lathe import FEED_SCATTER
from ...units import Quantity
from ...workpiece import shifts
from ...workpiece.planning import rules
from ..verdicts import Found, Number, check, shown


@check("speeds")
def check_speeds(work):
    work.deepest_cuts  # noqa: B018 - says why no speed is known
    plan, units, job = work.plan, work.units, work.job
    numbers = [
        Number(
            f"{row.place}, {row.work} from Ø{shown(_mm(row.diameter), 'length', units)}",
            _rpm(row),
            "rpm",
        )
        for _, row in work.speeds
    ]
    turned = [step for step in plan.steps if step.speeds]
    shares = {step.key: max(row.unbalance_share for row in step.speeds) for step in turned}
    heavy = max(turned, key=lambda step: plan.counterweight(step))
    near = max(turned, key=lambda step: shares[step.key])
    weight = Quantity(plan.counterweight(heavy), "kg")
    numbers += [
        Number(
            "weight that balances the work, bolted on the driving plate, guarded",
            weight,
            "mass",
        ),
        Number("out-of-balance force, most", shares[near.key] * job["unbalance_force"], "force"),
    ]
    assumed = ()
    if "unbalance_force" not in job.given:
        force = shown(job["unbalance_force"], "force", units)
        assumed = (f"the stand bears {force} of out-of-balance force",)
    none = [(step, row) for step, row in work.speeds if row.set_by == "balanced"]
    if none:
        step, row = none[0]
        balanced = Quantity(plan.counterweight(step), "kg")
        return Found(
            "not fine",
            f"{step.name}: the swinging work allows "
            f"{shown(Quantity(plan.unbalance(step)[1], 'rpm'), 'rpm', units)}, below the slowest "
            f"gear step. Balance it with {shown(balanced, 'mass', units)} at "
            f"{shown(job['counterweight_radius'], 'length', units)}, bolted and guarded, "
            "or mill more away first.",
            tuple(numbers),
            assumed,
        )
    words = "; ".join(_shifts(work)) + "."
    close = shares[near.key] > BALANCE_SHARE
    if close:
        words += (
            f" In “{near.name}” the work pulls with {100 * shares[near.key]:.0f} % of what the "
            "stand "
            "bears: start slow, or balance it."
        )
    fast = max((row for _, row in work.speeds), key=lambda row: row.over)
    far = fast.over > shifts.MOST_OVER
    if fast.over > 1:
        worn = shifts.wear(fast.over, job["tool"])
        words += (
            f" At {fast.place} even the slowest step cuts {100 * (fast.over - 1):.0f} % faster "
            f"than the tables' {shown(Quantity(fast.table_m_min, 'm/min'), 'speed', units)}: "
            + (rules.slower(job, fast) if far else f"the edge wears {worn:.2g} times as fast")
            + "."
        )
    verdict = "not fine" if far else "look" if close or fast.over > 1 else "fine"
    return Found(verdict, words, tuple(numbers), assumed)


def _mm(size):
    return Quantity(size, "mm")


def _rpm(row):
    return Quantity(row.rpm, "rpm")


def _shifts(work):
    """For each place, what to begin with at which swing and what to end with; alike places once."""
    rows, found = {}, {}
    for _, row in work.speeds:
        rows.setdefault(row.place, []).append(row)
    for place, some in rows.items():
        first, last, slowest = some[0], some[-1], min(row.rpm for row in some)
        words = (
            f"from {first.rpm:g} rpm where Ø{shown(_mm(first.diameter), 'length', work.units, 3)} "
            f"swings to {shown(_rpm(last), 'rpm', work.units)} finished"
        )
        if slowest < first.rpm:
            words += f", its web faces at {slowest:g} rpm"
        found.setdefault((place.split()[0], words), []).append(place.split()[1])
    return [
        f"{'Turn ' if not number else ''}{kind} {', '.join(sorted(places))} {words}"
        for number, ((kind, words), places) in enumerate(found.items())
    ]


@check("passes")
def check_passes(work):
    work.deepest_cuts  # noqa: B018 - says why no speed is known
    done, units = work.passes, work.units
    last, left = work.job["last_cut"], work.job["finish_allowance"]
    if last > left * (1 + 1e-9):
        return Found(
            "not fine",
            f"The last cut of {shown(last, 'length', units)} is deeper than the "
            f"{shown(left, 'length', units)} left for finishing: leave more, or take less.",
            (Number("last cut", last, "length"), Number("left for finishing", left, "length")),
        )
    total = sum((one.time for one in done), Quantity(0.0, "min"))
    rough = sum((one.time for one in done if one.work in ("walls", "rough")), Quantity(0.0, "min"))
    numbers = [
        Number("minutes in the cut", total, "time"),
        Number("of these roughing", rough, "time"),
        Number("passes", sum(one.count for one in done), "plain"),
    ]
    milled, turned = (Quantity(work.plan.taken(on), "mm**3") for on in ("mill", "centers"))
    numbers += [
        Number("milled, sawn and filed away", milled, "volume"),
        Number("turned away", turned, "volume"),
    ]
    count, minutes = sum(one.count for one in done), shown(total, "time", units)
    words, verdict = f"Turning takes {count} passes, {minutes} in the cut.", "fine"
    for key, name in (("rough_feed", "roughing"), ("finish_feed", "finishing")):
        asked, taken = work.job[key], rules.feed(work.job, key)
        numbers.append(Number(f"feed taken, {name}", taken, "length"))
        if abs((taken / asked).m_as("dimensionless") - 1) > FEED_SCATTER:
            verdict = "look"
            words += (
                f" The lathe has no {name} feed of {shown(asked, 'length', units)}: "
                f"{shown(taken, 'length', units)} is taken."
            )
    limits = {limit for one in done for limit in one.set_by}
    if "gears" in limits:
        fast = next(one.name for one in done if "gears" in one.set_by)
        words += f" The slowest gear step is faster than the tables' speed for: {fast}."
        return Found("look", words, tuple(numbers))
    if "stalls" in limits:
        words += " The drive stalls at some: they cannot be cut so."
        return Found("look", words, tuple(numbers))
    if "depth" in limits:
        words += " Drive or crank, not the tool, set the depth."
        return Found("look", words, tuple(numbers))
    return Found(verdict, words, tuple(numbers))
