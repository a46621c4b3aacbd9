"""Shift tables: at which diameter to shift to which speed while a place is turned down, slowest
first.
"""

from dataclasses import asdict, dataclass
from functools import lru_cache
from math import ceil, pi, sqrt

from .. import cutting
from ..cutting.shifts import BALANCE_SHARE

SLACK = 1e-9


@dataclass(frozen=True)
class Shift:
    """From this diameter [mm] on turn at ``rpm``: surface speed there, the tables' [m/min], and
    what set the step.

    ``set_by`` is "cut", "unbalance" where a faster step would pull with more than ``BALANCE_SHARE``
    of what the stand bears, "balanced" where the slowest pulls with more than all of it, or "gears"
    where the slowest step is faster than the tables. ``unbalance_share`` is the pull of the work at
    this speed over what the stand bears.
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

    def as_dict(self):
        return asdict(self)


@lru_cache(maxsize=256)
def table_speed(steel, tool, hardness, operation, interrupted):
    """Cutting speed of the tables [m/min]."""
    found = cutting.speed_for(steel, tool, operation, hardness, interrupted)
    return float(found.speed.m_as("m/min"))


def too_fast(work, axis, x0, x1, table, slowest):
    """Whether the slowest step [rpm] is faster than the tables for what swings there.

    table is :func:`table_speed` for a steel, a tool and a hardness.
    """
    swing = work.swing(axis, x0, x1)
    broken = swing > work.whole_ring(axis, x0, x1) * (1 + SLACK)
    return 2 * pi * swing * slowest / 1000 > table("roughing", broken)


def balance_limit(unbalance, force):
    """Speed [rpm] that an unbalance [kg mm] allows where the stand bears a force [N]."""
    return sqrt(1000 * force / unbalance) * 60 / (2 * pi) if unbalance > 1e-9 else float("inf")


def spared(limit):
    """Speed [rpm] at which ``BALANCE_SHARE`` of what the stand bears is used, of that for all."""
    return limit * sqrt(BALANCE_SHARE)


def pass_count(start, final, depth):
    """Roughing passes from a radius to another."""
    return max(ceil((start - final) / depth - 1e-9), 0)


def roughing(work, cut, table, depth, gears, limit):
    """Rows of a roughing cut, pass by pass, those of one step joined; and the number of passes."""
    start = work.swing(cut.axis, cut.x0, cut.x1)
    count = pass_count(start, cut.radius, depth)
    whole = work.whole_ring(cut.axis, cut.x0, cut.x1)
    rows = []
    for number in range(count):
        radius = start - (start - cut.radius) * number / count
        broken = radius > whole * (1 + SLACK)
        rows.append(shift(cut.place, "rough", 2 * radius, table, "roughing", broken, gears, limit))
    return tuple(
        row for number, row in enumerate(rows) if not number or row.rpm != rows[number - 1].rpm
    ), count


def finishing(work, cut, table, stock, gears, limit):
    """Rows of a finishing cut: the web faces at the swing of their corners, then the round."""
    start, rows = work.swing(cut.axis, cut.x0, cut.x1), []
    if start > cut.radius + stock + SLACK:
        rows.append(shift(cut.place, "face", 2 * start, table, "facing a web", True, gears, limit))
    at = 2 * min(cut.radius + stock, start)
    rows.append(shift(cut.place, "finish", at, table, "finishing", False, gears, limit))
    return tuple(rows)


def shift(place, kind, diameter, table, operation, interrupted, gears, limit):
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
    elif by_cut < gears[0]:
        set_by = "gears"
    rpm = max((step for step in gears if step <= wanted), default=gears[0])
    speed = pi * diameter * rpm / 1000
    share = (rpm / limit) ** 2
    return Shift(place, kind, diameter, rpm, speed, allowed, bool(interrupted), set_by, share)
