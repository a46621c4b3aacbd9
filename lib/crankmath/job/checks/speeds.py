"""Checks of speeds, passes and minutes."""

from ...cutting.shifts import BALANCE_SHARE
from ...language import _, spoken
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
            _("{place}, {work} from Ø{diameter}").format(
                place=spoken(row.place),
                work=_(row.work),
                diameter=shown(_mm(row.diameter), "length", units),
            ),
            _rpm(row),
            "rpm",
        )
        for _unused, row in work.speeds
    ]
    turned = [step for step in plan.steps if step.speeds]
    shares = {step.key: max(row.unbalance_share for row in step.speeds) for step in turned}
    heavy = max(turned, key=lambda step: plan.counterweight(step))
    near = max(turned, key=lambda step: shares[step.key])
    weight = Quantity(plan.counterweight(heavy), "kg")
    numbers += [
        Number(
            _("weight that balances the work, bolted on the driving plate, guarded"),
            weight,
            "mass",
        ),
        Number(_("out-of-balance force, most"), shares[near.key] * job["unbalance_force"], "force"),
    ]
    assumed = ()
    if "unbalance_force" not in job.given:
        force = shown(job["unbalance_force"], "force", units)
        assumed = (_("the stand bears {force} of out-of-balance force").format(force=force),)
    none = [(step, row) for step, row in work.speeds if row.set_by == "balanced"]
    if none:
        step, row = none[0]
        balanced = Quantity(plan.counterweight(step), "kg")
        return Found(
            "not fine",
            _(
                "{name}: the swinging work allows {unbalance}, below the slowest gear step. "
                "Balance it with {balanced} at {counterweight_radius}, bolted and guarded{milled}."
            ).format(
                name=step.name,
                unbalance=shown(Quantity(plan.unbalance(step)[1], "rpm"), "rpm", units),
                balanced=shown(balanced, "mass", units),
                counterweight_radius=shown(job["counterweight_radius"], "length", units),
                milled=_(", or mill more away first") if work.milling_balances else "",
            ),
            tuple(numbers),
            assumed,
        )
    words = "; ".join(_shifts(work)) + "."
    close = shares[near.key] > BALANCE_SHARE
    if close:
        words += _(
            " In “{name}” the work pulls with {shares:.0f} % of what the stand bears: start slow, "
            "or balance it."
        ).format(name=near.name, shares=100 * shares[near.key])
    fast = max((row for _unused, row in work.speeds), key=lambda row: row.over)
    far = fast.over > shifts.MOST_OVER
    if fast.over > 1:
        worn = shifts.wear(fast.over, job["tool"])
        words += (
            _(
                " At {place} even the slowest step cuts {over:.0f} % faster than the tables' "
                "{table_m_min}: "
            ).format(
                place=spoken(fast.place),
                over=100 * (fast.over - 1),
                table_m_min=shown(Quantity(fast.table_m_min, "m/min"), "speed", units),
            )
            + (
                rules.slower(job, fast)
                if far
                else _("the edge wears {worn:.2g} times as fast").format(worn=worn)
            )
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
    for _unused, row in work.speeds:
        rows.setdefault(row.place, []).append(row)
    for place, some in rows.items():
        first, last, slowest = some[0], some[-1], min(row.rpm for row in some)
        words = _("from {rpm:g} rpm where Ø{diameter} swings to {last} finished").format(
            rpm=first.rpm,
            diameter=shown(_mm(first.diameter), "length", work.units, 3),
            last=shown(_rpm(last), "rpm", work.units),
        )
        if slowest < first.rpm:
            words += _(", its web faces at {slowest:g} rpm").format(slowest=slowest)
        found.setdefault((place.split()[0], words), []).append(place.split()[1])
    told = [
        f"{_(kind)} {', '.join(sorted(places))} {words}" for (kind, words), places in found.items()
    ]
    return [_("Turn {first}").format(first=told[0]), *told[1:]]


@check("passes")
def check_passes(work):
    work.deepest_cuts  # noqa: B018 - says why no speed is known
    done, units = work.passes, work.units
    last, left = work.job["last_cut"], work.job["finish_allowance"]
    if last > left * (1 + 1e-9):
        return Found(
            "not fine",
            _(
                "The last cut of {last} is deeper than the {left} left for finishing: leave more, "
                "or take less."
            ).format(last=shown(last, "length", units), left=shown(left, "length", units)),
            (
                Number(_("last cut"), last, "length"),
                Number(_("left for finishing"), left, "length"),
            ),
        )
    total = sum((one.time for one in done), Quantity(0.0, "min"))
    rough = sum((one.time for one in done if one.work in ("walls", "rough")), Quantity(0.0, "min"))
    numbers = [
        Number(_("minutes in the cut"), total, "time"),
        Number(_("of these roughing"), rough, "time"),
        Number(_("passes"), sum(one.count for one in done), "plain"),
    ]
    milled, turned = (Quantity(work.plan.taken(on), "mm**3") for on in ("mill", "centers"))
    numbers += [
        Number(_("milled, sawn and filed away"), milled, "volume"),
        Number(_("turned away"), turned, "volume"),
    ]
    count, minutes = sum(one.count for one in done), shown(total, "time", units)
    words, verdict = (
        _("Turning takes {count} passes, {minutes} in the cut.").format(
            count=count, minutes=minutes
        ),
        "fine",
    )
    for key, name in (("rough_feed", _("roughing")), ("finish_feed", _("finishing"))):
        asked, taken = work.job[key], rules.feed(work.job, key)
        numbers.append(Number(_("feed taken, {name}").format(name=name), taken, "length"))
        if abs((taken / asked).m_as("dimensionless") - 1) > FEED_SCATTER:
            verdict = "look"
            words += _(" The lathe has no {name} feed of {asked}: {taken} is taken.").format(
                name=name, asked=shown(asked, "length", units), taken=shown(taken, "length", units)
            )
    limits = {limit for one in done for limit in one.set_by}
    if "gears" in limits:
        fast = next(one.name for one in done if "gears" in one.set_by)
        words += _(" The slowest gear step is faster than the tables' speed for: {fast}.").format(
            fast=fast
        )
        return Found("look", words, tuple(numbers))
    if "stalls" in limits:
        words += _(" The drive stalls at some: they cannot be cut so.")
        return Found("look", words, tuple(numbers))
    if "depth" in limits:
        words += _(" Drive or crank, not the tool, set the depth.")
        return Found("look", words, tuple(numbers))
    return Found(verdict, words, tuple(numbers))
