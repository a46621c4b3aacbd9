"""From bar to crank: what has to come off, what milling saves, passes, corner stock, time, finish.

Plain numbers inside are millimeters, in the frame of the main axis with x along the throw in question.
The webs are rectangles, the bar is round; fillets are counted, center holes and run-outs are not.
"""

import warnings
from dataclasses import dataclass

import numpy as np

from . import cutting, forces
from .bar import smallest_circle
from .units import OutOfRangeWarning, Quantity, as_text, magnitude, number

SHAPES = ("slot", "square")
USUAL = {"rough_depth": 1.5, "rough_feed": 0.12, "finish_allowance": 0.25, "finish_feed": 0.06}  # mm; common practice, no source


@dataclass(frozen=True)
class Region:
    """A slice of the bar: what it holds, what stays, what comes off, and how much of that in an interrupted cut.

    ``kind`` is "journal", "web" or "pin"; ``offset`` is the distance of the bar's axis from the axis this region is
    turned about (the main axis for a journal and a web, the pin's for a pin).
    """

    kind: str
    index: int
    start: Quantity
    length: Quantity
    bar: Quantity
    kept: Quantity
    removed: Quantity
    interrupted: Quantity
    offset: Quantity


@dataclass(frozen=True)
class GapBlock:
    """What is milled or drilled out of a gap before the pin is turned, and what is left to turn.

    ``saved`` is the milled share of all that must leave the gap; ``swing`` the farthest point left, from the pin's
    axis; ``slot_width`` the milled width along the axis; ``floor`` the slot's length through the bar at its bottom.
    """

    milled: Quantity
    left: Quantity
    saved: float
    swing: Quantity
    slot_width: Quantity
    floor: Quantity


@dataclass(frozen=True)
class ChainOfHoles:
    """A row of holes along the floor of a slot: number, pitch, length drilled, volume made into chips, teeth left."""

    holes: int
    pitch: Quantity
    drilled_length: Quantity
    drilled_volume: Quantity
    teeth: Quantity


@dataclass(frozen=True)
class PassPlan:
    """Diameters after each pass, roughing then finishing, and the depths on the radius."""

    roughing: Quantity
    finishing: Quantity
    rough_depth: Quantity
    finish_depth: Quantity

    @property
    def passes(self):
        """All passes."""
        return self.roughing.size + self.finishing.size


@dataclass(frozen=True)
class CornerStock:
    """Stock a roughing tool leaves for the fillet: on the walls, in the middle of the arc, and the section's area."""

    wall: Quantity
    middle: Quantity
    area: Quantity


@dataclass(frozen=True)
class Operation:
    """One operation on the lathe: passes, depth, slowest and fastest gear step, time in the cut, what set the limits.

    ``share`` is the part of a turn that the first pass is in the metal, halfway down its depth; 1 for a steady cut,
    None where a milled block is struck at its corners.
    """

    name: str
    passes: int
    depth: Quantity
    slowest: Quantity
    fastest: Quantity
    time: Quantity
    share: float | None
    limits: tuple


def regions(crank, bar_diameter, bar_center=None):
    r"""Every slice of the bar with what stays and what comes off.

    A ring about the turning axis that lies wholly in the bar is cut without a break; it ends at R - d, bar radius less
    offset. All beyond is cut in part of each turn.

    Parameters
    ----------
    crank : Crank
    bar_diameter : Quantity [length]
    bar_center : Quantity [length], two values, optional
        Where the bar's axis lies from the main axis, x along an angle of 0 deg; without it the middle of the
        smallest circle about all webs.

    Returns
    -------
    tuple of Region
        Left to right. A web is counted as interrupted throughout: it is milled, filed, or turned only at its ends.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit or is of the wrong kind; a bar that does not hold the crank.

    Notes
    -----
    Basis: derived. Fillets run full round, also where a web is hardly wider than its journal.
    """
    radius, middle = _bar(crank, bar_diameter, bar_center)
    found = []
    for piece in crank.segments():
        slice_volume = np.pi * radius**2 * piece.length
        offset = float(np.hypot(*(middle - _axis(crank, piece.kind, piece.index))))
        kept = _kept(crank, piece)
        removed = slice_volume - kept
        steady = 0.0 if piece.kind == "web" else min(max(np.pi * (radius - offset) ** 2 * piece.length - kept, 0.0), removed)
        found.append(Region(
            piece.kind, piece.index, *(Quantity(value, "mm") for value in (piece.start, piece.length)),
            *(Quantity(value, "mm**3") for value in (slice_volume, kept, removed, removed - steady)), Quantity(offset, "mm"),
        ))  # fmt: skip
    return tuple(found)


def gap_block(crank, bar_diameter, throw=0, allowance=None, shape="slot", bar_center=None):
    """What milling or chain drilling takes out of a gap before the pin is turned.

    A "slot" goes in from the side of the main axis down to the pin; a "square" leaves a square prism about the pin.

    Parameters
    ----------
    crank : Crank
    bar_diameter : Quantity [length]
    throw : int
        Counts from zero, left to right.
    allowance : Quantity [length], optional
        Left beyond the pin's surface and on each web's face; 2 mm without it (common practice, no source).
    shape : str
        "slot" or "square".
    bar_center : Quantity [length], two values, optional
        As in :func:`regions`.

    Returns
    -------
    GapBlock

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit or is impossible; an allowance that leaves no slot.

    Notes
    -----
    Basis: derived. A gap opened first also lets locked-in stress out before anything is finished; and an open gap
    closes under the tailstock's thrust: see ``spacers``.
    """
    if throw not in range(len(crank.throws)):
        raise ValueError(f"throw must be from 0 to {len(crank.throws) - 1}, not {throw!r}")
    forces._word(shape, SHAPES, "shape")
    radius, middle = _bar(crank, bar_diameter, bar_center)
    part = crank.throws[throw]
    stock = 2.0 if allowance is None else magnitude(allowance, "mm", "allowance", least=0)
    width = part.pin_length.m_as("mm") - 2 * stock
    if width <= 0:
        raise ValueError(f"allowance leaves no slot in a gap of {as_text(part.pin_length)}; write a smaller one")
    half = part.pin_diameter.m_as("mm") / 2 + stock
    eccentricity = part.radius.m_as("mm")
    bar = _turned(middle, -part.angle.m_as("rad"))
    x, y = bar[0] - eccentricity, bar[1]  # the bar's axis from the pin's
    reach = radius + np.hypot(x, y) + 1.0
    low, high, side = (-half, half, half) if shape == "square" else (-half, reach, reach)
    block = _disc_in_rectangle(radius, low - x, high - x, -side - y, side - y)
    milled = (np.pi * radius**2 - block) * width
    length = part.pin_length.m_as("mm")
    kept = _kept(crank, next(piece for piece in crank.segments() if piece.kind == "pin" and piece.index == throw))
    removed = np.pi * radius**2 * length - kept
    return GapBlock(
        Quantity(milled, "mm**3"), Quantity(removed - milled, "mm**3"), milled / removed,
        Quantity(_farthest(radius, x, y, low, high, side), "mm"), Quantity(width, "mm"),
        Quantity(2 * np.sqrt(max(radius**2 - (low - x) ** 2, 0.0)), "mm"),
    )  # fmt: skip


def chain_of_holes(slot_width, floor, hole_diameter, ligament=None):
    """A row of holes across the floor of a slot, drilled through the bar, before the block is sawn out.

    Parameters
    ----------
    slot_width : Quantity [length]
        Along the axis, from :func:`gap_block`.
    floor : Quantity [length]
        Through the bar at the slot's bottom, from :func:`gap_block`.
    hole_diameter : Quantity [length]
    ligament : Quantity [length], optional
        Most that may stand between two holes; 0.5 mm without it (common practice, no source).

    Returns
    -------
    ChainOfHoles
        The first and last hole touch the slot's sides, the rest are spaced evenly; ``teeth`` stand between them, half
        a hole high, to be milled or filed off.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; a hole wider than the slot.

    Notes
    -----
    Basis: derived.
    """
    width, through = magnitude(slot_width, "mm", "slot_width", above=0), magnitude(floor, "mm", "floor", above=0)
    hole = magnitude(hole_diameter, "mm", "hole_diameter", above=0)
    wall = 0.5 if ligament is None else magnitude(ligament, "mm", "ligament", least=0)
    if hole > width:
        raise ValueError(f"hole_diameter is wider than the slot of {width:g} mm; write a smaller drill")
    count = int(np.ceil((width - hole) / (hole + wall) - 1e-9)) + 1
    pitch = (width - hole) / (count - 1) if count > 1 else 0.0
    length = count * through
    overlap = _lens(hole / 2, pitch) * (count - 1) if 0 < pitch < hole else 0.0
    return ChainOfHoles(count, Quantity(pitch, "mm"), Quantity(length, "mm"),
                        Quantity((count * np.pi * hole**2 / 4 - overlap) * through, "mm**3"), Quantity(hole / 2, "mm"))  # fmt: skip


def pass_plan(start_diameter, final_diameter, rough_depth, finish_allowance, finish_passes=1):
    """Passes from a diameter down to another: equal roughing passes, then finishing ones.

    Parameters
    ----------
    start_diameter, final_diameter : Quantity [length]
        For an eccentric start, twice the farthest point's distance from the turning axis.
    rough_depth : Quantity [length]
        Deepest roughing pass, on the radius.
    finish_allowance : Quantity [length]
        Left on the radius for finishing.
    finish_passes : int
        They share the allowance evenly.

    Returns
    -------
    PassPlan

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; a start not above the end.

    Notes
    -----
    Basis: derived. Two equal last passes are common practice, no source: the work then springs the same each time and
    the first shows how far off the last will be.
    """
    start, final = magnitude(start_diameter, "mm", "start_diameter", above=0), magnitude(final_diameter, "mm", "final_diameter", above=0)
    deepest = magnitude(rough_depth, "mm", "rough_depth", above=0)
    allowance = magnitude(finish_allowance, "mm", "finish_allowance", above=0)
    last = int(number(finish_passes, "finish_passes", least=1))
    if last != finish_passes:
        raise ValueError(f"finish_passes has to be a whole number, not {finish_passes!r}")
    if start <= final:
        raise ValueError("start_diameter must be above final_diameter: there is nothing to turn off")
    stock = (start - final) / 2 - allowance
    if stock < -1e-9:
        warnings.warn("finish_allowance is more than all the stock: it is turned off by finishing passes alone",
                      OutOfRangeWarning, stacklevel=2)  # fmt: skip
        stock, allowance = 0.0, (start - final) / 2
    count = int(np.ceil(stock / deepest - 1e-9))
    roughing = start - 2 * stock * np.arange(1, count + 1) / max(count, 1)
    finishing = final + 2 * allowance * (1 - np.arange(1, last + 1) / last)
    return PassPlan(*(Quantity(value, "mm") for value in (roughing, finishing, stock / max(count, 1), allowance / last)))


def corner_stops(height, fillet, allowance):
    r"""How far from the web's finished face each roughing pass has to stop, so that the fillet keeps its stock.

    .. math:: x = r - \sqrt{(r - a)^2 - (r - y)^2}

    Parameters
    ----------
    height : Quantity [length], scalar or array
        Height y of the pass above the finished pin, on the radius; not below the allowance.
    fillet : Quantity [length]
        Fillet radius r.
    allowance : Quantity [length]
        Stock a, the same on pin, face and fillet; below the fillet radius.

    Returns
    -------
    Quantity [mm]
        Above the fillet the allowance itself.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived, for a tool with a sharp corner; a nose radius leaves more.
    """
    above, radius = np.asarray(magnitude(height, "mm", "height", least=0)), magnitude(fillet, "mm", "fillet", above=0)
    stock = magnitude(allowance, "mm", "allowance", least=0)
    if np.any(np.asarray(stock) >= radius):
        raise ValueError("allowance must be below fillet: write a smaller allowance, or turn the corner square")
    if np.any(above < stock - 1e-9):
        raise ValueError("height must not be below allowance: that pass would cut into the finishing stock")
    inside = np.clip(radius - above, 0, radius - stock)
    return Quantity(radius - np.sqrt((radius - stock) ** 2 - inside**2), "mm")


def corner_stock(fillet, nose_radius, allowance):
    r"""Stock that a roughing tool leaves in a corner it is fed right into, for the fillet tool.

    In the middle of the arc :math:`a\sqrt2 - (r - r_n)(\sqrt2 - 1)`.

    Parameters
    ----------
    fillet : Quantity [length]
        Finished radius r.
    nose_radius : Quantity [length]
        Of the roughing tool, r_n; zero for a sharp corner.
    allowance : Quantity [length]
        Left on pin and face, a.

    Returns
    -------
    CornerStock
        With too sharp a nose ``middle`` is below zero, the fillet is spoiled, and an ``OutOfRangeWarning`` is given.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived; the area counts the fillet's square corner, r + a wide.
    """
    final, nose = magnitude(fillet, "mm", "fillet", above=0), magnitude(nose_radius, "mm", "nose_radius", least=0)
    stock = magnitude(allowance, "mm", "allowance", least=0)
    middle = stock * np.sqrt(2) - (final - nose) * (np.sqrt(2) - 1)
    if np.any(np.asarray(middle) < 0):
        warnings.warn("nose_radius is too small: the roughing tool cuts into the fillet; stop short (corner_stops), leave more, or round the nose",
                      OutOfRangeWarning, stacklevel=2)  # fmt: skip
    square = (final + stock) ** 2 - final**2
    return CornerStock(Quantity(stock, "mm"), Quantity(middle, "mm"), Quantity(square + (1 - np.pi / 4) * (nose**2 - final**2), "mm**2"))


def bar_share(radius, bar_diameter, offset):
    r"""Share of each turn that the tool is in an eccentric round bar.

    .. math:: \frac{1}{\pi}\arccos\frac{r^2 + d^2 - R^2}{2 r d}

    Parameters
    ----------
    radius : Quantity [length], scalar or array
        Distance r of the edge from the axis of rotation.
    bar_diameter : Quantity [length]
        Twice R.
    offset : Quantity [length]
        Distance d of the bar's axis from the axis of rotation.

    Returns
    -------
    float or ndarray [no unit]
        1 inside R - d, 0 beyond R + d; one blow a turn between. For a web's ends see ``cutting.interrupted_share``.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived.
    """
    edge, bar = np.asarray(magnitude(radius, "mm", "radius", above=0)), magnitude(bar_diameter, "mm", "bar_diameter", above=0) / 2
    away = magnitude(offset, "mm", "offset", least=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        cosine = np.where(np.asarray(away) > 0, (edge**2 + away**2 - bar**2) / (2 * edge * away), np.sign(edge - bar))
    return number(np.arccos(np.clip(cosine, -1, 1)) / np.pi, "share")


def operations(
    crank, bar_diameter, lathe=None, *, rough_depth=None, rough_feed=None, finish_allowance=None, finish_feed=None,
    milled=None, milling_allowance=None, efficiency=0.75, bar_center=None,
):  # fmt: skip
    """Operations of turning the crank from the bar on a lathe, with passes, gear steps and time in the cut.

    Each pass takes the cutting speed of the tables for its diameter, or what the bar's unbalance bears where that is
    slower, then the next slower gear step; each depth is cut to what the motor drives.

    Parameters
    ----------
    crank : Crank
    bar_diameter : Quantity [length]
    lathe : Lathe, optional
        From ``cutting.load_lathe``; the night school's without it.
    rough_depth, rough_feed, finish_allowance, finish_feed : Quantity [length], optional
        1.5 mm, 0.12 mm a turn, 0.25 mm on the radius, 0.06 mm a turn without them (common practice, no source).
    milled : str, optional
        "slot" or "square": the gaps are milled first, see :func:`gap_block`.
    milling_allowance : Quantity [length], optional
        As there.
    efficiency : float
        Share of the motor's power that reaches the edge.
    bar_center : Quantity [length], two values, optional
        As in :func:`regions`.

    Returns
    -------
    tuple of Operation
        Mains and pins from left to right, then web faces at the gear step of their far end, one pass each. Without
        setting, measuring and return.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived from ``cutting`` (handbook table) and ``forces`` (fitted data). The whole bar counts as unbalanced
    mass, which is safe; counterweights bolted on allow more.
    """
    lathe = cutting.load_lathe() if lathe is None else lathe
    given = {"rough_depth": rough_depth, "rough_feed": rough_feed, "finish_allowance": finish_allowance, "finish_feed": finish_feed}
    given = {name: Quantity(USUAL[name], "mm") if value is None else value for name, value in given.items()}
    for name, value in given.items():
        magnitude(value, "mm", name, above=0)
    speed = cutting.speed_for(crank.steel, operation="roughing").speed
    bearable = forces.power_limited_width(lathe.power, crank.steel, given["rough_feed"], speed, efficiency)
    deepest, motor = min(given["rough_depth"], bearable), ("motor",) if bearable < given["rough_depth"] else ()
    slices = regions(crank, bar_diameter, bar_center)
    mass = cutting.bar_mass(bar_diameter, crank.length, crank.steel)
    limits, todo = {}, []
    for region in slices:
        if region.kind == "web":
            continue
        main = region.kind == "journal"
        final = crank.journals[region.index].diameter if main else crank.throws[region.index].pin_diameter
        swing, steady = bar_diameter / 2 + region.offset, bar_diameter / 2 - region.offset
        if milled is not None and not main:
            swing = gap_block(crank, bar_diameter, region.index, milling_allowance, milled, bar_center).swing
            steady = min(steady, final / 2 + (Quantity(2.0, "mm") if milling_allowance is None else milling_allowance))
        limit = limits[region.kind, region.index] = _unbalance_limit(mass, region.offset, lathe)
        plan = pass_plan(2 * swing, final, deepest, given["finish_allowance"])
        where = f"{'main' if main else 'pin'} {region.index + 1}"
        starts = np.concatenate([[2 * swing.m_as("mm")], plan.roughing.m_as("mm")])
        if plan.roughing.size:
            share = None if milled is not None and not main else bar_share(swing - plan.rough_depth / 2, bar_diameter, region.offset)
            todo.append(_operation(f"rough {where}", share, crank.steel, "roughing", starts[:-1], plan.rough_depth, region.length,
                                   given["rough_feed"], limit, lathe, steady.m_as("mm"), motor))  # fmt: skip
        todo.append(_operation(f"finish {where}", 1.0, crank.steel, "finishing", starts[-1:], plan.finish_depth, region.length,
                               given["finish_feed"], limit, lathe, np.inf, ()))  # fmt: skip
    for index, throw in enumerate(crank.throws):
        swing = ((throw.radius + throw.web_reach) ** 2 + (throw.web_width / 2) ** 2) ** 0.5
        for side, journal in (("left", index), ("right", index + 1)):
            for kind, at, inner in (("journal", journal, crank.journals[journal].diameter), ("pin", index, throw.pin_diameter)):
                name = f"face {side} web of throw {index + 1} at {'main' if kind == 'journal' else 'pin'} {at + 1}"
                share = cutting.interrupted_share(throw.web_width, swing, ends=1)
                todo.append(_operation(name, share, crank.steel, "facing a web", np.array([2 * swing.m_as("mm")]), given["finish_allowance"],
                                       swing - inner / 2, given["finish_feed"], limits[kind, at], lathe, 0.0, ()))  # fmt: skip
    return tuple(todo)


def wide_tool_roughness(feed, tilt, edge_width):
    r"""Finish left by a straight edge wider than the feed, set out of parallel with the work: Rt and Ra.

    .. math:: R_t = f \tan\delta, \quad R_a = R_t / 4

    Parameters
    ----------
    feed : Quantity [length], per turn
    tilt : Quantity [angle], scalar or array
        delta, between the edge and the finished surface; zero leaves the edge's own grinding marks only.
    edge_width : Quantity [length]
        Straight length of the edge.

    Returns
    -------
    tuple of Quantity [um]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; a feed above the edge's width, which leaves a ridge.

    Notes
    -----
    Basis: derived (a saw-tooth's mean is a quarter of its height; Boothroyd prints the same, from memory). A plunged
    wide edge copies itself: its tilt becomes taper, its nicks become rings. Watch the width against ``chatter``.
    """
    step, width = magnitude(feed, "mm", "feed", above=0), magnitude(edge_width, "mm", "edge_width", above=0)
    angle = np.abs(forces._angle(tilt, "tilt", -45, 45))
    if np.any(np.asarray(step) > np.asarray(width) * np.cos(angle)):
        raise ValueError("feed is above edge_width: a ridge is left between turns; feed less")
    height = 1000 * step * np.tan(angle)
    return Quantity(height, "um"), Quantity(height / 4, "um")


def feed_for_roughness(mean_roughness, nose_radius):
    r"""Feed that gives a wanted ideal Ra, the inverse of ``cutting.ideal_roughness``.

    .. math:: f = \sqrt{18\sqrt{3}\, r\, R_a}

    Parameters
    ----------
    mean_roughness : Quantity [length]
        Ra, often in um.
    nose_radius : Quantity [length]

    Returns
    -------
    Quantity [mm]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is not above zero.

    Notes
    -----
    Basis: derived. The finish on the part is rougher: up to twice this at slow speeds in soft steel (from memory).
    """
    wanted, nose = magnitude(mean_roughness, "mm", "mean_roughness", above=0), magnitude(nose_radius, "mm", "nose_radius", above=0)
    feed = Quantity(np.sqrt(18 * np.sqrt(3) * nose * wanted), "mm")
    cutting.ideal_roughness(feed, nose_radius)  # says where the feed passes the nose
    return feed


def _operation(name, share, steel, kind, diameters, depth, travel, feed, limit, lathe, steady, reasons):
    """Gear step and time of passes that begin at given diameters [mm]; beyond the radius ``steady`` [mm] the cut is interrupted."""
    broken = diameters / 2 > steady * (1 + 1e-9)
    whole, slowed = (cutting.speed_for(steel, operation=kind, interrupted=flag).speed.m_as("m/min") for flag in (False, True))
    wanted = cutting.spindle_speed(Quantity(np.where(broken, slowed, whole), "m/min"), Quantity(diameters, "mm")).m_as("rpm")
    if np.any(limit < wanted):
        reasons = (*reasons, "unbalance")
    steps = cutting.gear_speed(Quantity(np.minimum(wanted, limit), "rpm"), lathe.gear_table)
    time = cutting.cutting_time(travel, feed, steps).m_as("min").sum()
    return Operation(name, len(diameters), depth, steps.min(), steps.max(), Quantity(float(time), "min"), share, reasons)


def _unbalance_limit(mass, offset, lathe):
    """Spindle speed [rpm] that the swinging bar allows."""
    if offset.m_as("mm") < 1e-6:
        return np.inf
    return cutting.unbalanced_speed_limit(mass, offset, lathe.unbalance_force).m_as("rpm")


def _bar(crank, bar_diameter, bar_center):
    """Radius and center of the bar; refuses one that does not hold the crank."""
    radius = magnitude(bar_diameter, "mm", "bar_diameter", above=0) / 2
    corners = _web_corners(crank)
    if bar_center is None:
        middle, _ = smallest_circle(corners)
    else:
        middle = np.atleast_1d(magnitude(bar_center, "mm", "bar_center"))
        if middle.shape != (2,):
            raise ValueError("bar_center takes two lengths, x and y; write Quantity([9, 0], 'mm')")
    needed = max(np.linalg.norm(corners - middle, axis=1).max(),
                 max(journal.diameter.m_as("mm") / 2 for journal in crank.journals) + np.hypot(*middle))  # fmt: skip
    if radius < needed * (1 - 1e-9):
        raise ValueError(f"bar_diameter is too small: the crank needs at least {as_text(Quantity(2 * needed, 'mm').to(crank.units))} here")
    return radius, middle


def _web_corners(crank):
    """Corners of all webs across the main axis [mm]."""
    found = []
    for throw in crank.throws:
        reach, along, half = (value.m_as("mm") for value in (throw.web_reach, throw.radius, throw.web_width / 2))
        square = np.array([[x, y] for x in (-reach, along + reach) for y in (-half, half)])
        found.append(_turned(square, throw.angle.m_as("rad")))
    return np.concatenate(found)


def _turned(points, angle):
    cosine, sine = np.cos(angle), np.sin(angle)
    return points @ np.array([[cosine, sine], [-sine, cosine]])


def _axis(crank, kind, index):
    """The turning axis of a piece, from the main axis."""
    if kind != "pin":
        return np.zeros(2)
    throw = crank.throws[index]
    return _turned(np.array([throw.radius.m_as("mm"), 0.0]), throw.angle.m_as("rad"))


def _kept(crank, piece):
    """Volume of the finished piece [mm3], fillets with the pin or journal they run into."""
    if piece.kind == "web":
        throw = crank.throws[piece.index]
        return (throw.radius + 2 * throw.web_reach).m_as("mm") * throw.web_width.m_as("mm") * piece.length
    part = crank.journals[piece.index] if piece.kind == "journal" else crank.throws[piece.index]
    diameter = (part.diameter if piece.kind == "journal" else part.pin_diameter).m_as("mm")
    fillet = part.fillet.m_as("mm")
    at_end = piece.kind == "journal" and piece.index in (0, len(crank.journals) - 1)
    # section of a concave fillet (1 - pi/4) r^2, its middle (10 - 3 pi)/(12 - 3 pi) r beyond the pin's surface
    ring = 2 * np.pi * (diameter / 2 + (10 - 3 * np.pi) / (12 - 3 * np.pi) * fillet) * (1 - np.pi / 4) * fillet**2
    return np.pi * diameter**2 / 4 * piece.length + ring * (1 if at_end else 2)


def _disc_in_rectangle(radius, left, right, bottom, top):
    """Area of a disc about the origin inside a rectangle, by the chord's integral between the points where its form changes."""
    def half_chord_integral(x):
        x = np.clip(x, -radius, radius)
        return 0.5 * (x * np.sqrt(radius**2 - x**2) + radius**2 * np.arcsin(x / radius))

    left, right = max(left, -radius), min(right, radius)
    if right <= left:
        return 0.0
    turns = [sign * np.sqrt(radius**2 - edge**2) for edge in (bottom, top) if abs(edge) < radius for sign in (-1, 1)]
    cuts = np.array([left, *sorted(x for x in turns if left < x < right), right])
    area = 0.0
    for begin, end in zip(cuts[:-1], cuts[1:], strict=True):
        half = np.sqrt(max(radius**2 - ((begin + end) / 2) ** 2, 0.0))
        if min(top, half) <= max(bottom, -half):
            continue
        arc = half_chord_integral(end) - half_chord_integral(begin)
        area += (arc if half < top else top * (end - begin)) - (-arc if -half > bottom else bottom * (end - begin))
    return float(area)


def _farthest(radius, x, y, low, high, side):
    """Farthest point of a disc about (x, y) inside low..high by -side..side, from the origin."""
    distance = np.hypot(x, y)
    points = [(a, b) for a in (low, high) for b in (-side, side)]
    for edge in (low, high):
        if abs(edge - x) < radius:
            points += [(edge, y + sign * np.sqrt(radius**2 - (edge - x) ** 2)) for sign in (-1, 1)]
    for edge in (-side, side):
        if abs(edge - y) < radius:
            points += [(x + sign * np.sqrt(radius**2 - (edge - y) ** 2), edge) for sign in (-1, 1)]
    away = np.array([x, y]) / distance if distance > 0 else np.array([1.0, 0.0])
    points.append(tuple(np.array([x, y]) + radius * away))
    slack = 1e-9 * radius
    return max(np.hypot(a, b) for a, b in points if low - slack <= a <= high + slack and abs(b) <= side + slack
               and np.hypot(a - x, b - y) <= radius + slack)  # fmt: skip


def _lens(radius, pitch):
    """Area two equal discs share, their centers a pitch apart."""
    return 2 * radius**2 * np.arccos(pitch / (2 * radius)) - pitch / 2 * np.sqrt(4 * radius**2 - pitch**2)
