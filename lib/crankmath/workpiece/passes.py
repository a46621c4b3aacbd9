"""Passes and minutes in the cut of a plan's turning steps, by their shift tables."""

from dataclasses import dataclass

from ..units import Quantity


@dataclass(frozen=True)
class Passes:
    """Alike passes at a place: their depth, the slowest and fastest gear step, time in the cut.

    ``name`` begins with "rough", "face" or "finish", ``set_by`` holds what set the speeds, and
    "depth" where drive or crank bear less than the depth asked for.
    """

    name: str
    place: str
    count: int
    depth: Quantity
    slowest: Quantity
    fastest: Quantity
    time: Quantity
    set_by: frozenset


def passes_of(plan, rough_depth, last_cut):
    """Passes of every turning step in working order; depths in mm.

    Each roughing pass turns at the step of its own diameter over the whole cut; both web faces of a
    finished place are fed in once.
    Basis: derived, time is travel over feed and speed.
    """
    found = []
    for step in plan.steps:
        for place in dict.fromkeys(cut.place for cut in step.cuts if step.on == "centers"):
            cuts = [cut for cut in step.cuts if cut.place == place]
            by_work = {}
            for row in step.speeds:
                if row.place == place:
                    by_work.setdefault(row.work, {})[row.diameter] = row
            for work, rows in by_work.items():
                many = step.passes[place] // len(cuts)
                runs = [
                    run for cut in cuts for run in _runs(plan, cut, work, list(rows.values()), many)
                ]
                count = sum(one[0] for one in runs)
                if not count:
                    continue
                depth = runs[0][3] if work == "rough" else last_cut
                less = work == "rough" and step.depth < rough_depth * (1 - 1e-9)
                speeds = [rpm for _, _, rpm, _ in runs]
                found.append(
                    Passes(
                        f"face webs at {place}" if work == "face" else f"{work} {place}",
                        place,
                        count,
                        Quantity(depth, "mm"),
                        Quantity(min(speeds), "rpm"),
                        Quantity(max(speeds), "rpm"),
                        Quantity(sum(n * way / step.feed / rpm for n, way, rpm, _ in runs), "min"),
                        frozenset([row.set_by for row in rows.values()] + ["depth"] * less),
                    )
                )
    return tuple(found)


def _runs(plan, cut, work, rows, count):
    """(how many, travel [mm], rpm, depth [mm]) of the passes of one cut."""
    length = cut.x1 - cut.x0
    if work == "rough":
        start = rows[0].diameter / 2
        depth = (start - cut.radius) / count
        for number in range(count):
            outside = 2 * (start - depth * number)
            rpm = next(row.rpm for row in rows[::-1] if row.diameter >= outside - 0.02)
            yield 1, length, rpm, depth
    elif work == "face":
        kind, number = cut.place.split()
        walls = sum(plan.placed.walled("pin" if kind == "pin" else "journal", int(number) - 1))
        yield walls, rows[0].diameter / 2 - cut.radius - max(cut.corners), rows[0].rpm, 0.0
    else:
        yield count, length, rows[-1].rpm, 0.0
