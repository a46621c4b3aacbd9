"""How often the cause of a measured error is found: simulated cranks with one hidden fault or two.

Every crank is made and measured by the full models at once with errors wider than the diagnosis
assumes (``crankmath.inspection.diagnosis.simulate``). Run: ``python
tests/benchmarks/benchmark_diagnosis.py --count 1000``.
"""

import argparse
import time
from collections import Counter

import numpy as np
from drawn_faults import drawn_fault, places_of, where_named

from crankmath.crank import EXAMPLES, Crank
from crankmath.inspection.diagnosis import find_causes, making_of, usual_table, weigher_of
from crankmath.inspection.diagnosis.measured import Row, middle_of
from crankmath.inspection.diagnosis.remedies import remedies
from crankmath.inspection.diagnosis.signatures.causes import MARKS_ELSEWHERE, SECOND_FAULT
from crankmath.inspection.diagnosis.signatures.noticed import CHATTER_NOTICED, Notice
from crankmath.inspection.diagnosis.simulate import Hidden
from crankmath.inspection.diagnosis.weighing.model import axis_rows
from crankmath.units import Quantity

# all of them, and without one of the three groups that are not the dial on the mains
KINDS = (
    ("dial", "diameter", "height", "pin"),
    ("dial", "diameter", "pin"),
    ("dial", "diameter", "height"),
)
WAYS = ((400.0, True), (700.0, True), (500.0, False))  # thrust, with spacers
TRIES = 60
# everyday errors of a crank that are of a cause's kind; of those in ONE_WAY only more of it is one
KIN = {
    "thrust": "thrust too high",
    "pin thrust": "pin thrust too high",
    "misfit": "spacer too long",
    "bow": "stress released",
    "cut on": "center worn at cut",
    "read on": "center worn now",
    "hole": "center out of place",
    "ends turned": "ends turned",
    "set over": "tailstock set over",
    "warm when cut": "warm when cut",
    "warm when measured": "warm when measured",
    "force": "push-off barrel",
    "force on soft centers": "push-off hourglass",
}
ONE_WAY = ("thrust", "pin thrust", "misfit", "warm", "force")
BEYOND = 3.0  # deviations, as the diagnosis assumes them, from which such an error is truly there


def usual_rows(crank, kinds):
    """The usual measurements: dial near both ends of the mains and of the pins, diameters, heights
    over the pins.

    Known anyhow: whether chatter marks are seen, and how warm the work was, by thermometer now and
    by hand at the cut.
    """
    rows, turns = [], [float(turn) for turn in range(0, 360, 30)]
    for piece in crank.segments:
        if piece.kind == "web":
            continue
        place = ("main" if piece.kind == "journal" else "pin", piece.index)
        room = min(4.0, piece.length / 5)
        ends = piece.start + room, piece.end - room
        if place[0] == "main" and "dial" in kinds:
            rows += [Row("dial", place, x, turn) for x in ends for turn in turns]
        if place[0] == "main":
            rows.append(Row("marks", place, middle_of(crank, place)))
        if place[0] == "pin" and "pin" in kinds:
            on = ("pin", piece.index)
            rows += [Row("dial", place, x, turn, on) for x in ends for turn in turns]
        if "diameter" in kinds:
            along = (ends[0], middle_of(crank, place), ends[1])
            rows += [Row("diameter", place, x, turn) for x in along for turn in (0.0, 60.0, 120.0)]
        if place[0] == "pin" and "height" in kinds:
            own = crank.throws[piece.index].angle.m_as("deg")
            rows += [
                Row("height", place, x, own + turn, ("vees", 90.0))
                for x in ends
                for turn in (0.0, 90.0, 180.0, 270.0)
            ]
    rows += [Row("warmth", ("main", 0)), Row("warmth at cut", ("main", 0))]
    return tuple(rows)


def setups():
    """Cranks, ways of making and sets of measurements of the trial."""
    for name in EXAMPLES:
        crank = Crank.load(name)
        for thrust, packed in WAYS:
            changes = {} if packed else {"spacers": ()}
            force = Quantity(thrust, "N")
            making = making_of(
                crank,
                thrust=force,
                pin_thrust=force,
                dog_angle=Quantity(180.0, "deg"),
                **changes,
            )
            for kinds in KINDS:
                yield crank, making, usual_rows(crank, kinds)


def shows(hidden, rows):
    """Whether a fault would be noticed in these rows: by its own readings or by the marks of
    chatter.
    """
    if any(cause == "chatter" and size > CHATTER_NOTICED for cause, _, size in hidden.faults):
        return True
    traces, _ = hidden.traces(rows)
    plain = hidden.state(rows, (), ordinary=False)
    found = traces.stations.matrix() @ (hidden.state(rows, ordinary=False) - plain)
    found = found + hidden._spoiled(rows)
    notice = Notice(rows, hidden.making.allowed_runout.m_as("um"))
    return notice.of(found[:, None])[0]


def hidden_crank(crank, making, rows, causes, random, kept):
    """A crank with these faults, each of which would be noticed in the rows; None where none could
    be.
    """
    faults = []
    if set(causes) == {"push-off barrel", "push-off hourglass"}:  # firm and soft centers at once
        return None
    for cause in causes:
        if not places_of(cause, crank, making, rows):
            return None
        for _ in range(TRIES):
            fault = drawn_fault(cause, crank, making, rows, random)
            if shows(Hidden(crank, making, (fault,), {}, random, kept), rows):
                break
        else:
            return None
        faults.append(fault)
    if set(causes) == {"spacer too long", "spacer loose"} and faults[0][1] == faults[1][1]:
        return None
    return Hidden(crank, making, tuple(faults), {}, random, kept)


def names_of(hidden):
    """Faults as the diagnosis names them, in any order."""
    last = f"main {len(hidden.crank.journals)}"
    return {
        (cause, where_named(cause, where).replace("main last", last))
        for cause, where, _ in hidden.faults
    }


def out_of_the_ordinary(hidden):
    """Everyday errors of a crank that are of a cause's kind and far larger than usual, as the
    diagnosis names them.
    """
    found = set()
    for name, size in hidden.latent.items():
        kin = max((one for one in KIN if f"{name} ".startswith(f"{one} ")), key=len, default=None)
        if kin is None or not (size if kin.startswith(ONE_WAY) else abs(size)) >= BEYOND:
            continue
        rest = name[len(kin) :].split()
        if kin == "hole":
            place = f"{f'pin {int(rest[1]) + 1}' if rest[0] == 'pin' else 'the mains'} {rest[2]}"
        elif kin in ("cut on", "read on"):
            place = rest[0]
        else:
            place = f"{'pin' if 'pin' in kin else 'throw'} {int(rest[0]) + 1}" if rest else ""
        found.add((KIN[kin], place))
    return found


def trial(count, seed=1, pairs=False, follow=0, only=None, second=SECOND_FAULT):
    """Results of a trial: one row a crank with truth, chance of the first, whether first and
    within, and the rest, after up to ``follow`` advised measurements too; ``second`` is the chance
    of two causes that the diagnosis is told.
    """
    random, results, skipped = np.random.default_rng(seed), [], Counter()
    table = usual_table()
    chances = np.array([row.chance for row in table.values()])
    every = [one for number, one in enumerate(setups()) if only is None or number in only]
    shares = np.full(len(every), count // len(every))
    shares[: count % len(every)] += 1
    for (crank, making, rows), share in zip(every, shares, strict=True):
        weigher, kept, done, weighers = weigher_of(crank, making, rows, second=second), {}, 0, {}
        while done < share:
            causes = random.choice(
                list(table), 1 + pairs, replace=False, p=chances / chances.sum()
            ).tolist()
            hidden = hidden_crank(crank, making, rows, causes, random, kept)
            if hidden is None:
                skipped[" + ".join(sorted(causes))] += 1
                continue
            done += 1
            results.append(judged(hidden, rows, weigher, follow, weighers, second))
            kept_rows = {rows: kept[rows]} if rows in kept else {}
            kept.clear()
            kept.update(kept_rows)
    return results, skipped


def judged(hidden, rows, weigher, follow, weighers, second):
    """What the diagnosis said of a hidden crank, beside the truth."""
    measured = hidden.measure(rows)
    found = find_causes(hidden.crank, measured, weigher=weigher)
    truth, beside = names_of(hidden), out_of_the_ordinary(hidden)
    result = {
        "truth": " + ".join(sorted(cause for cause, _ in truth)),
        "faults": hidden.faults,
        "crank": hidden.crank.name,
        "kinds": {row.kind for row in rows},
        "at work": [(chance, name in truth) for name, chance in _at_work(found)],
        **_compared(found, truth, beside, ""),
    }
    for step in range(1, follow + 1):
        if not found.settled and found.next_measurement:
            measured = measured + hidden.measure(found.next_measurement.rows)
            result.setdefault("advised", []).append(found.next_measurement.words)
            more = measured.rows
            if more not in weighers:
                weighers[more] = weigher_of(hidden.crank, hidden.making, more, second=second)
            found = find_causes(hidden.crank, measured, weigher=weighers[more])
        result.update(_compared(found, truth, beside, f"after {step} "))
    return result


def mended(count, seed=1, only=None):
    """How many of the runouts that remedies promise hold on the true crank, and how many were made,
    by kind of remedy.
    """
    random, held, made = np.random.default_rng(seed), Counter(), Counter()
    table = usual_table()
    chances = np.array([row.chance for row in table.values()])
    every = [one for number, one in enumerate(setups()) if only is None or number in only]
    for number, (crank, making, rows) in enumerate(every):
        weigher, kept, done = weigher_of(crank, making, rows), {}, 0
        axis = axis_rows(crank)
        while done < count // len(every) + (number < count % len(every)):
            cause = random.choice(list(table), p=chances / chances.sum())
            hidden = hidden_crank(crank, making, rows, [cause], random, kept)
            if hidden is None:
                continue
            done += 1
            found = find_causes(crank, hidden.measure(rows), weigher=weigher)
            for way in remedies(found):
                after = runout_after(way, hidden, axis, random)
                if after is not None:
                    made[way.action[0]] += 1
                    held[way.action[0]] += after <= way.at_most.m_as("um")
    return held, made


def runout_after(way, hidden, rows, random):
    """Runout of the true crank once a remedy is made [um]; None for one that changes no main."""
    if way.action[0] in ("scrap", "turn pin"):
        return None
    if way.action[0] == "turn again":  # the cause put right: a cut as any other of this shop
        hidden = Hidden(hidden.crank, hidden.making, (), {}, random)
    values = hidden.traces(rows)[0].stations.matrix() @ hidden.state(rows)
    axes = values[0::2] + 1j * values[1::2]
    share = np.array([row.at for row in rows[::2]]) / hidden.crank.length.m_as("mm")
    main = np.array([row.place[0] == "main" for row in rows[::2]])
    if way.action[0] == "move centers":
        moves = np.array(way.action[1:])
        moves = moves + 4 * (random.standard_normal(2) + 1j * random.standard_normal(2))
        axes = axes - moves @ np.stack([1 - share, share])
    elif way.action[0] == "press":
        traces = hidden.traces(rows)[0]
        bent = traces.stations.matrix() @ traces.bowed(0, 1.0)
        shape = bent[0::2] + 1j * bent[1::2]
        here = np.abs(shape[main]).max()
        axes = axes - way.action[1] / here * (1 + 0.35 * random.standard_normal()) * shape
    return 2 * np.abs(axes[main]).max()


def _compared(found, truth, beside, name):
    def named(one):
        return set(zip(one.causes, one.places, strict=True))

    within = [named(one) for one in found.not_told_apart]
    first = found.first
    return {
        f"{name}verdict": found.verdict,
        f"{name}first": first is not None and named(first) == truth,
        f"{name}beside": first is not None and truth <= named(first) <= truth | beside,
        f"{name}within": truth in within,
        f"{name}chance": first.chance if first else 0.0,
        f"{name}named": first.label if first else "",
        f"{name}cause": " + ".join(sorted(first.causes)) if first else "",
        f"{name}sure": found.verdict == "found",
        f"{name}wrong": found.verdict == "found" and not named(first) <= truth,
        f"{name}more": found.verdict == "found" and named(first) < truth,
        f"{name}size": len(within),
    }


def _at_work(found):
    """Each cause, as ``names_of`` has it, with its chance to be at work."""
    named = [(one.cause, one.where) for one in found.weigher.model.hypotheses]
    labels = {
        one.label: name for one, name in zip(found.weigher.model.hypotheses, named, strict=True)
    }
    return [(labels[label], chance) for label, chance in found.at_work]


def share_of(results, key):
    return sum(bool(one[key]) for one in results) / max(len(results), 1)


def printed(results, name=""):
    """The figures of a trial as text."""
    verdicts = Counter(one[f"{name}verdict"] for one in results)
    return (
        f"{len(results)} cranks: true cause first {100 * share_of(results, name + 'first'):.1f} % "
        f"({100 * share_of(results, name + 'beside'):.1f} with those beside which an everyday error "
        "is named that is truly out of the ordinary), "
        f"among those not told apart {100 * share_of(results, name + 'within'):.1f} % "
        f"(on average {np.mean([one[name + 'size'] for one in results]):.1f} of them), "
        f"sure {100 * share_of(results, name + 'sure'):.1f} %, of what was not at work "
        f"{100 * share_of(results, name + 'wrong'):.1f} %, with another unfound "
        f"{100 * share_of(results, name + 'more'):.1f} %; {dict(verdicts)}"
    )


def calibration(results):
    """Printed chance of the first cause against how often it was the true one."""
    lines = ["chance printed   cranks   true"]
    for low, high in ((0, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.85), (0.85, 0.95), (0.95, 1.01)):
        inside = [one for one in results if low <= one["chance"] < high]
        if inside:
            mean = np.mean([one["chance"] for one in inside])
            lines.append(
                f"{100 * low:3.0f} to {min(100 * high, 100):3.0f} % (mean {100 * mean:4.1f})"
                f"  {len(inside):5d}   {100 * share_of(inside, 'first'):5.1f} %"
            )
    return "\n".join(lines)


def at_work(results):
    """Chance of a cause to be at work, alone or with another, against how often it was."""
    lines, every = (
        ["chance at work   causes   true"],
        [pair for one in results for pair in one["at work"]],
    )
    for low, high in ((0.1, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.85), (0.85, 0.95), (0.95, 1.01)):
        inside = [true for chance, true in every if low <= chance < high]
        if inside:
            share = 100 * np.mean(inside)
            lines.append(
                f"{100 * low:3.0f} to {min(100 * high, 100):3.0f} %  {len(inside):5d}   {share:5.1f} %"
            )
    return "\n".join(lines)


def confusion(results):
    """For each true cause, how often it and the others stood first."""
    lines = []
    for truth in sorted({one["truth"] for one in results}):
        own = [one for one in results if one["truth"] == truth]
        named = Counter(one["cause"] for one in own).most_common(5)
        lines.append(
            f"{truth} ({len(own)}; first {100 * share_of(own, 'first'):.0f} %, within "
            f"{100 * share_of(own, 'within'):.0f} %): "
            + ", ".join(f"{cause} {count}" for cause, count in named)
        )
    return "\n".join(lines)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--pairs", action="store_true", help="two faults at once")
    parser.add_argument(
        "--second", type=float, default=SECOND_FAULT, help="chance of two that is told"
    )
    parser.add_argument(
        "--follow", type=int, default=0, help="how many advised measurements are made too"
    )
    parser.add_argument("--mend", action="store_true", help="make the remedies on the true crank")
    parser.add_argument("--only", type=int, nargs="*", help="numbers of the set-ups")
    parser.add_argument("--sure-wrong", action="store_true", help="list what was sure and wrong")
    given = parser.parse_args()
    started = time.time()
    if given.mend:
        held, made = mended(given.count, given.seed, given.only)
        share = 100 * held.total() / made.total()
        print(f"{made.total()} remedies made: the promised runout held in {share:.1f} %")
        print({action: f"{held[action]} of {made[action]}" for action in made})
        return
    results, skipped = trial(
        given.count, given.seed, given.pairs, given.follow, given.only, given.second
    )
    print(printed(results))
    for step in range(1, given.follow + 1):
        print(f"after {step} of the advised measurements:", printed(results, f"after {step} "))
    if given.follow:
        advised = Counter(one.get("advised", ["(none needed)"])[0] for one in results)
        print(advised.most_common(30))
    print(calibration(results), at_work(results), sep="\n")
    print(confusion(results) if not given.pairs else "")
    if given.sure_wrong:
        for one in results:
            if one["wrong"]:
                print(one["crank"], one["faults"], one["named"], round(one["chance"], 3))
    print("could not be noticed and drawn again:", dict(skipped.most_common(20)))
    print(f"{time.time() - started:.0f} s; marks seen by chance in {100 * MARKS_ELSEWHERE:.0f} %")


if __name__ == "__main__":
    main()
