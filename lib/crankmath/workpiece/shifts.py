"""Shift tables: at which diameter to shift to which speed while a place is turned down, slowest
first.
"""

from dataclasses import asdict, dataclass
from functools import lru_cache
from math import ceil, pi, sqrt

from .. import cutting
from ..cutting.shifts import BALANCE_SHARE
from ..cutting.speeds import SCATTER, TAYLOR
from .passes import Passes, last_depths, parts_of, rough_depths

SLACK = 1e-9
SHOWN = 0.005  # mm: walls that differ by less are printed, and faced, alike
MOST_OVER = 1.5  # times the tables' speed at the slowest step, where an edge soon fails: own choice


@dataclass(frozen=True)
class Shift:
    """From this diameter [mm] on turn at ``rpm``: surface speed there, the tables' [m/min], and
    what set the step.

    ``set_by`` is "cut", "unbalance" where a faster step would pull with more than ``BALANCE_SHARE``
    of what the stand bears, "balanced" where the slowest pulls with more than all of it, or "gears"
    where the slowest step is faster than the tables by more than ``speeds.SCATTER``.
    ``unbalance_share`` is the pull of the work at this speed over what the stand bears; ``depth``
    [mm] the deepest pass, or the last one.
    """

    place: str
    work: str
    diameter: float
    rpm: float
    surface_speed_m_min: float
    table_m_min: float
    interrupted: bool
    set_by: str
    unbalance_share: float
    depth: float

    @property
    def over(self):
        """Times the tables' speed, where the slowest step is faster; else 1."""
        return self.surface_speed_m_min / self.table_m_min if self.set_by == "gears" else 1.0

    @property
    def limit(self):
        """Speed [rpm] at which the work pulls with all that the stand bears."""
        return self.rpm / sqrt(self.unbalance_share) if self.unbalance_share else float("inf")

    def as_dict(self):
        return asdict(self)


@lru_cache(maxsize=256)
def table_speed(steel, tool, hardness, operation, interrupted):
    """Cutting speed of the tables [m/min]."""
    found = cutting.speed_for(steel, tool, operation, hardness, interrupted)
    return float(found.speed.m_as("m/min"))


def too_fast(work, axis, x0, x1, table, slowest):
    """Whether the slowest step [rpm] is faster than the tables for what swings there.

    ``table`` is :func:`table_speed` for a steel, a tool and a hardness.
    """
    swing = work.swing(axis, x0, x1)
    broken = swing > work.whole_ring(axis, x0, x1) * (1 + SLACK)
    return _faster(2 * pi * swing * slowest / 1000, table("roughing", broken))


def _faster(speed, allowed):
    """Whether a speed is above the tables' by more than they scatter."""
    return speed > allowed * (1 + SCATTER)


def wear(over, tool):
    """How many times as fast an edge wears at ``over`` times the tables' speed, by Taylor:
    over^(1/n).

    Basis: fitted data, the exponent of ``cutting.tool_life``.
    """
    return over ** (1 / TAYLOR[tool][1])


def balance_limit(unbalance, force):
    """Speed [rpm] that an unbalance [kg mm] allows where the stand bears a force [N]."""
    return sqrt(1000 * force / unbalance) * 60 / (2 * pi) if unbalance > 1e-9 else float("inf")


def spared(limit):
    """Speed [rpm] that uses ``BALANCE_SHARE`` of what the stand bears, from the speed that uses it
    all.
    """
    return limit * sqrt(BALANCE_SHARE)


def roughing(work, cut, table, depth, feed, gears, limit, dial):
    """Rows of a roughing cut, pass by pass, those of one step joined; and its passes, in whole
    divisions of a dial [mm].
    """
    walls, body = parts_of(work, cut)
    rows, found = _faced("walls", walls, cut, table, depth, feed, gears, limit, dial)
    depths, here = rough_depths(body.start - cut.radius, depth, dial), []
    for number, deep in enumerate(depths):
        radius = body.start - sum(depths[:number])
        high = [one for one in body.pieces if one.section.reach(cut.axis) > radius - deep + SLACK]
        broken = radius > min(one.section.whole_ring(cut.axis) for one in high) * (1 + SLACK)
        row = shift(cut.place, "rough", 2 * radius, table, "roughing", broken, gears, limit, depth)
        here.append((row, sum(one.length for one in high)))
    if here:
        found.append(_passes(cut, "rough", depths, depth, feed, here))
    steps = [row for row, _ in here]
    rows += [row for last, row in zip([None, *steps], steps, strict=False) if not alike(last, row)]
    return tuple(rows), tuple(found)


def finishing(work, cut, table, last, deepest, feed, gears, limit, dial):
    """Rows of a finishing cut, and its passes: the web faces at the swing of their corners, then
    the round.
    """
    walls, body = parts_of(work, cut)
    rows, found = _faced("face", walls, cut, table, deepest, feed, gears, limit, dial)
    depths = last_depths(body.start - cut.radius, last, deepest, dial)
    at = 2 * max(body.start, cut.radius)
    rows.append(shift(cut.place, "finish", at, table, "finishing", False, gears, limit, last))
    if depths:
        here = [(rows[-1], cut.x1 - cut.x0)] * len(depths)
        found.append(_passes(cut, "finish", depths, deepest, feed, here))
    return tuple(rows), tuple(found)


def _faced(kind, walls, cut, table, deepest, feed, gears, limit, dial):
    """Rows and passes of walls that are fed in on, from their swing to the fillet."""
    if not walls:
        return [], []
    found, thick, at = [], 0.0, max(wall.reach for wall in walls)
    row = shift(
        *(cut.place, kind, 2 * at, table, "facing a web", True, gears, limit),
        min(max(wall.thick for wall in walls), deepest),
    )
    for wall in sorted(walls, reverse=True):
        thick = thick if thick - wall.thick < SHOWN and thick else wall.thick
        depths = rough_depths(thick, deepest, dial)
        way = max(wall.reach - cut.radius - max(cut.corners), 0.0)
        found.append(_passes(cut, kind, depths, deepest, feed, [(row, way)] * len(depths)))
    return [row], joined(found)


def alike(row, other):
    """Whether two rows turn at one step."""
    return row is not None and row.rpm == other.rpm


def joined(passes):
    """Alike passes of one place as one."""
    found = []
    for one in passes:
        if found and (both := found[-1].joined(one)):
            found[-1] = both
        else:
            found.append(one)
    return found


def _passes(cut, work, depths, deepest, feed, here):
    runs = tuple((row.rpm, travel) for row, travel in here)
    set_by = tuple(sorted({row.set_by for row, _ in here}))
    return Passes(cut.place, work, depths, 1, deepest, feed, runs, set_by)


def shift(place, kind, diameter, table, operation, interrupted, gears, limit, depth):
    """One row: the fastest step that keeps to the tables and to what the stand bears at this
    diameter.
    """
    diameter = ceil(diameter * 100 - 1e-6) / 100
    allowed = table(operation, interrupted)
    by_cut = 1000 * allowed / (pi * diameter)
    most = spared(limit)
    set_by, wanted = ("cut", by_cut) if by_cut <= most else ("unbalance", most)
    if limit < gears[0]:
        set_by = "balanced"
    elif _faster(pi * diameter * gears[0] / 1000, allowed):
        set_by = "gears"
    rpm = max((step for step in gears if step <= wanted), default=gears[0])
    speed = pi * diameter * rpm / 1000
    share = (rpm / limit) ** 2
    return Shift(
        *(place, kind, diameter, rpm, speed, allowed, bool(interrupted), set_by, share, depth)
    )
