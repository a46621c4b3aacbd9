"""Operations that turn a crank from its bar: passes, gear steps, minutes, what limits them."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from ..blank import cross_section
from ..blank.bar import Bar
from ..checks import made, one_of
from ..crank import Crank, steels
from ..forces import drive, edge
from ..language import marked
from ..lathe import Lathe, load_lathe
from ..units import Quantity, magnitude, number, ureg
from . import speeds as cutting
from .interrupted_cut import web_share
from .passes import pass_diameters
from .rough_out import MILLING_ALLOWANCE, bar_section, block_section, regions, turning_axis
from .shifts import BALANCE_SHARE
from .speeds import SCATTER

USUAL = {
    "rough_depth": 1.5,
    "rough_feed": 0.12,
    "finish_allowance": 0.25,
    "finish_feed": 0.06,
    "nose_radius": 0.8,
}  # mm; common practice, no source
LEAST_FEED_IN_BLOWS = 0.1  # mm a turn: less rubs between blows; common practice, no source
MILLINGS = {  # what is milled first: shape in the gaps, shape at the mains
    marked("nothing"): (None, None),
    marked("slots in the gaps"): ("slot", None),
    marked("squares in the gaps"): ("square", None),
    marked("squares in gaps and at mains"): ("square", "square"),
}
MILLIMETER, RPM, MINUTE = (ureg.Unit(unit) for unit in ("mm", "rpm", "min"))
STEPS = 100  # along a face, for its mean share


@dataclass(frozen=True)
class Operation:
    """One operation on the lathe: passes, depth, slowest and fastest gear step, time, limits.

    ``share`` is the fraction of a turn that the tool is in metal: of the first pass halfway down
    its depth, or of a face on the mean of its travel. ``limits`` holds "motor" where the depth was
    cut to what the motor drives, "unbalance" where the work off its axis sets the speed, "gears"
    where the slowest gear step is still too fast.
    """

    name: str
    passes: int
    depth: Quantity
    slowest: Quantity
    fastest: Quantity
    time: Quantity
    share: float
    limits: tuple


@dataclass(frozen=True)
class _Stage:
    """What an operation has to do, whatever the depth and feed; mm and rpm.

    ``work`` is "turn" a main or pin, "wall" left by the mill, or "face" of a web. ``reach`` is
    where it begins, ``final`` where it ends, from its turning axis; inside ``whole`` the cut is not
    interrupted.
    """

    name: str
    work: str
    section: cross_section.Section
    axis: np.ndarray | None  # that of a face is not asked for
    reach: float
    final: float
    whole: float
    travel: float
    share: float
    offset: float
    stock: float


def turning_operations(
    crank,
    bar,
    lathe=None,
    *,
    rough_depth=None,
    rough_feed=None,
    finish_allowance=None,
    finish_feed=None,
    nose_radius=None,
    approach_angle=None,
    milled="nothing",
    milling_allowance=MILLING_ALLOWANCE,
    efficiency=None,
    tool="HSS",
    hardness=None,
):
    """Operations of turning a crank from a bar on a lathe, with passes, gear steps and time.

    Each pass takes the cutting speed of the tables for its diameter, or what the bar's unbalance
    allows where that is slower, then a gear step; each depth is cut to what the motor drives.
    ``bar`` as in ``rough_out.bar_section``; ``lathe`` from ``load_lathe``, default the night
    school's; ``rough_depth`` 1.5 mm, ``rough_feed`` 0.12 mm a turn, ``finish_allowance`` 0.25 mm on
    the radius, ``finish_feed`` 0.06 mm a turn by default (common practice, no source), each
    [length]; ``nose_radius`` 0.8 mm and ``approach_angle`` 90 deg of the roughing tool, as in
    ``forces.edge``. ``milled`` is what is milled first, one of ``MILLINGS``, with
    ``milling_allowance`` [length] left: the walls that the mill leaves on the webs are then faced
    down before pin or main is turned. ``efficiency`` is the fraction of the motor's power that
    reaches the edge, default the lathe's; ``tool`` and ``hardness`` (Brinell) as in
    ``cutting.speed_for``.

    Mains and pins come first from left to right, then web faces at the gear step of their far end,
    one pass each; without setting, measuring and return, milling, and the webs' outlines.
    Basis: derived from ``cutting`` (handbook table) and ``forces`` (fitted data). The whole bar
    counts as unbalanced mass, which is safe; counterweights bolted on allow more.
    """
    made(crank, Crank, "crank")
    given = {
        "rough_depth": rough_depth,
        "rough_feed": rough_feed,
        "finish_allowance": finish_allowance,
        "finish_feed": finish_feed,
        "nose_radius": nose_radius,
    }
    depth, feed, allowance, fine, nose = (
        USUAL[name] if value is None else magnitude(value, "mm", name, above=0, one=True)
        for name, value in given.items()
    )
    approach = (
        None if approach_angle is None else magnitude(approach_angle, "deg", "approach_angle")
    )
    lathe = load_lathe() if lathe is None else made(lathe, Lathe, "lathe")
    speeds = _speeds(crank.steel, tool, hardness)
    if efficiency is not None:
        lathe = replace(lathe, efficiency=number(efficiency, "efficiency", above=0, most=1))
    asked = depth
    stages, mass = _stages(crank, bar, milled, milling_allowance)
    table, bears = np.sort(lathe.gear_table.m_as("rpm")), lathe.unbalance_force.m_as("N")
    found = []
    for stage in stages:
        swinging = mass * stage.offset / 1000  # kg m
        limit = np.inf
        if swinging > 1e-9:
            limit = np.sqrt(BALANCE_SHARE * bears / swinging) * 60 / (2 * np.pi)
        steady = speeds["roughing", False]
        most = _largest_force(lathe, steady, 2 * stage.reach, limit)
        depth = _deepest(crank.steel, most, asked, feed, nose, approach, steady, hardness)
        reasons = ("motor",) if depth < asked else ()

        def add(name, share, kind, diameters, cut, travel, step, more=(), stage=stage, limit=limit):
            broken = diameters / 2 > stage.whole * (1 + 1e-9)
            wanted = (
                1000
                * np.where(broken, speeds[kind, True], speeds[kind, False])
                / (np.pi * diameters)
            )
            more = (*more, "unbalance") if np.any(limit < wanted) else more
            if np.any(np.minimum(wanted * (1 + SCATTER), limit) < table[0]):
                more = (*more, "gears")
            scatter = SCATTER if kind == "finishing" else 0.0
            wanted = np.minimum(wanted * (1 + scatter), limit)
            gears = table[
                np.maximum(np.searchsorted(table, wanted * (1 + 1e-9), side="right") - 1, 0)
            ]
            found.append(
                Operation(
                    name,
                    len(diameters),
                    Quantity(float(cut), MILLIMETER),
                    Quantity(float(gears.min()), RPM),
                    Quantity(float(gears.max()), RPM),
                    Quantity(float((travel / (step * gears)).sum()), MINUTE),
                    float(share),
                    more,
                )
            )

        if stage.work == "turn":
            rough, _, cut, last = pass_diameters(2 * stage.reach, 2 * stage.final, depth, allowance)
            starts = np.concatenate([[2 * stage.reach], rough])
            if rough.size:
                share = cross_section.share(stage.section, stage.axis, stage.reach - cut / 2)[0]
                add(
                    f"rough {stage.name}",
                    share,
                    "roughing",
                    starts[:-1],
                    cut,
                    stage.travel,
                    feed,
                    reasons,
                )
            add(f"finish {stage.name}", 1.0, "finishing", starts[-1:], last, stage.travel, fine)
        elif stage.work == "wall" and stage.stock > allowance:
            count = int(np.ceil((stage.stock - allowance) / depth - 1e-9))
            cut = (stage.stock - allowance) / count
            add(
                f"rough {stage.name}",
                stage.share,
                "facing a web",
                np.full(count, 2 * stage.reach),
                cut,
                stage.travel,
                feed,
                reasons,
            )
        elif stage.work == "face":
            add(
                f"face {stage.name}",
                stage.share,
                "facing a web",
                np.array([2 * stage.reach]),
                allowance,
                stage.travel,
                max(fine, LEAST_FEED_IN_BLOWS) if stage.share < 1 else fine,
            )
    return tuple(found)


@lru_cache(maxsize=64)
def _speeds(steel, tool, hardness):
    """Cutting speeds [m/min] of a steel by kind of cut, whole or interrupted."""
    return {
        (kind, broken): cutting.speed_for(steel, tool, kind, hardness, broken).speed.m_as("m/min")
        for kind in cutting.OPERATIONS
        for broken in (False, True)
    }


def _largest_force(lathe, speed, diameter, limit):
    """Cutting force [N] that the drive of a lathe overcomes at a diameter [mm].

    ``speed`` is that of the tables [m/min]. Belt and gears at the tables' speed; an electronic
    drive by its torque at the step taken there.
    """
    if lathe.drive != "electronic":
        return float(lathe.efficiency * lathe.power.m_as("W") / (speed / 60))
    wanted = min(1000 * speed / (np.pi * diameter), limit)
    table = np.sort(lathe.gear_table.m_as("rpm"))
    step = table[max(np.searchsorted(table, wanted * (1 + 1e-9), side="right") - 1, 0)]
    return float(drive.largest_force.plain(lathe, step, diameter / 1000))


@lru_cache(maxsize=256)
def _deepest(steel, force, asked, feed, nose, approach, speed, hardness):
    """Depth [mm] of a roughing pass: that asked for, or the deepest that a force [N] drives."""
    return edge.deepest_cut(
        steel,
        Quantity(force, "N"),
        *(Quantity(size, "mm") for size in (asked, feed, nose)),
        None if approach is None else Quantity(approach, "deg"),
        cutting_speed=Quantity(speed, "m/min"),
        hardness=hardness,
    ).m_as("mm")


def _stages(crank, bar, milled, milling_allowance):
    """Stages of a crank from a bar, and the bar's mass [kg]; kept with the crank."""
    one_of(milled, MILLINGS, "milled")
    stock = magnitude(milling_allowance, "mm", "milling_allowance", least=0, one=True)
    sizes = (
        (bar.width, bar.height, bar.length, bar.middle_x, bar.middle_y)
        if isinstance(bar, Bar)
        else ()
    )
    key = (
        (*(size.m_as("mm") for size in sizes), bar.turn.m_as("rad"))
        if sizes
        else (magnitude(bar, "mm", "bar", above=0, one=True),)
    )
    kept = vars(crank).setdefault("_stages", {})
    if (key, milled, stock) not in kept:
        section = bar_section(crank, bar)
        length = (bar.length if sizes else crank.length).m_as("mm")
        mass = (
            steels.find(crank.steel).density.m_as("kg/mm**3") * cross_section.area(section) * length
        )
        kept[key, milled, stock] = tuple(_laid_out(crank, bar, section, milled, stock)), mass
    return kept[key, milled, stock]


def _laid_out(crank, bar, section, milled, stock):
    found, offsets = [], {}
    last = len(crank.journals) - 1
    for region in regions(crank, bar):
        if region.kind == "web":
            continue
        axis, main = turning_axis(crank, region.kind, region.index), region.kind == "journal"
        final = (
            crank.journals[region.index].diameter
            if main
            else crank.throws[region.index].pin_diameter
        ).m_as("mm") / 2
        offset, length = (value.m_as("mm") for value in (region.offset, region.length))
        offsets[region.kind, region.index] = offset
        name, shape, left = (
            f"{'main' if main else 'pin'} {region.index + 1}",
            MILLINGS[milled][main],
            section,
        )
        if shape is not None:
            left = block_section(
                crank, bar, region.kind, region.index, Quantity(stock, "mm"), shape
            )
            reach = cross_section.reach(section, axis)
            share = _mean_share(
                lambda radii, axis=axis: cross_section.share(section, axis, radii), final, reach
            )
            sides = (
                ("left", "right")[: 1 + (not main or region.index not in (0, last))]
                if region.index or not main
                else ("right",)
            )
            found += [
                _Stage(
                    f"{side} wall at {name}",
                    "wall",
                    section,
                    axis,
                    reach,
                    final,
                    0.0,
                    reach - final,
                    share,
                    offset,
                    stock,
                )
                for side in sides
            ]
        found.append(
            _Stage(
                name,
                "turn",
                left,
                axis,
                cross_section.reach(left, axis),
                final,
                cross_section.whole_ring(left, axis),
                length,
                1.0,
                offset,
                0.0,
            )
        )
    for index, throw in enumerate(crank.throws):
        reach = float(
            np.hypot((throw.radius + throw.web_reach).m_as("mm"), throw.web_width.m_as("mm") / 2)
        )
        for side, journal in (("left", index), ("right", index + 1)):
            for kind, at, size in (
                ("journal", journal, crank.journals[journal].diameter),
                ("pin", index, throw.pin_diameter),
            ):
                about, final = "main" if kind == "journal" else "pin", size.m_as("mm") / 2
                share = _mean_share(
                    lambda radii, index=index, about=about: web_share(
                        crank, Quantity(radii, "mm"), index, about
                    ),
                    final,
                    reach,
                )
                found.append(
                    _Stage(
                        f"{side} web of throw {index + 1} at {about} {at + 1}",
                        "face",
                        section,
                        None,
                        reach,
                        final,
                        0.0,
                        reach - final,
                        share,
                        offsets[kind, at],
                        0.0,
                    )
                )
    return found


def _mean_share(share, inner, outer):
    edges = np.linspace(inner, outer, STEPS + 1)
    return float(np.mean(share((edges[1:] + edges[:-1]) / 2)))
