"""Cutting speed, spindle speed, gear step, time, removal rate, tool life, finish."""

import warnings
from dataclasses import dataclass

import numpy as np

from ..checks import one_of, takes
from ..crank import steels
from ..language import marked
from ..tables import rows
from ..units import OutOfRangeWarning, Quantity, number

INTERRUPTED_FACTOR = 0.7  # common practice, no source
OPERATIONS = ("roughing", "finishing", "facing a web")
TOOLS = ("HSS", marked("coated carbide"), marked("uncoated carbide"))
UNCOATED_SHARE = 0.6  # of a coated insert's speed: from memory
LIGHT_CUT = 0.05  # in: the tables' row of light cuts
SCATTER = 0.05  # a gear step this much above the sum is taken: tables themselves differ by half
TAYLOR = {  # C [m/min] and n: Groover, 5th ed., table 22.2, from memory
    "HSS": (70.0, 0.125),
    "uncoated carbide": (500.0, 0.25),
    "coated carbide": (700.0, 0.25),
}


@dataclass(frozen=True)
class TableSpeed:
    """A cutting speed from tables, with everything it depends on.

    ``depth`` and ``feed`` are None where the table names none; ``tool`` says where a row was
    printed for a tool better than a plain high-speed-steel bit.
    """

    speed: Quantity
    low: Quantity
    high: Quantity
    hardness: str
    depth: Quantity | None
    feed: Quantity | None
    source: str
    tool: str = "HSS"


@takes(cutting_speed="m/min > 0", diameter="mm > 0", gives="rpm")
def spindle_speed(cutting_speed, diameter):
    """Spindle speed for a cutting speed at a diameter: n = v / (π d).

    ``diameter`` is that at the tool's edge; for a web twice its swing radius.
    Basis: derived. One turn carries the surface π d; a turn stays a turn.
    """
    return 1000 * cutting_speed / (np.pi * diameter)


@takes(spindle_speed="rpm >= 0", diameter="mm > 0", gives="m/min")
def surface_speed(spindle_speed, diameter):
    """Surface speed at a diameter for a spindle speed: v = π d n.

    Basis: derived; the inverse of :func:`spindle_speed`.
    """
    return np.pi * diameter * spindle_speed / 1000


@takes(spindle_speed="rpm > 0", gear_table="rpm > 0", scatter="number 0..0.5", gives="rpm")
def gear_speed(spindle_speed, gear_table, scatter=0.0):
    """Gear step of the lathe for a spindle speed: the next slower one, or the step itself.

    - ``scatter``: a step up to this share above the speed is taken too, :data:`SCATTER` for a speed
      out of tables; 0 for a limit. Below the slowest step the slowest comes back with an
      OutOfRangeWarning.

    Basis: rule of thumb, US Army OD1645 p. 52: the next slower; the scatter is our own choice.
    """
    table = np.sort(np.atleast_1d(gear_table))
    bound = np.asarray(spindle_speed) * (1 + scatter + 1e-9)
    place = np.searchsorted(table, bound, side="right") - 1
    if np.any(place < 0):
        warnings.warn(
            f"spindle_speed is below the slowest gear step, {table[0]:.0f} rpm: "
            "that step is too fast",
            OutOfRangeWarning,
            stacklevel=3,
        )
    return table[np.maximum(place, 0)]


@takes(mass="kg > 0", offset="m > 0", force="N > 0", gives="rpm")
def unbalanced_speed_limit(mass, offset, force):
    """Spindle speed at which work off its axis pulls with a force: n = sqrt(F / (m e)) / 2π.

    ``mass`` is all that turns, ``offset`` the distance of its center of mass from the axis,
    ``force`` what the lathe bears without moving.
    Basis: derived, F = m e ω². The force a lathe bears is common practice, no source: try it.
    """
    return np.sqrt(force / (mass * offset)) * 60 / (2 * np.pi)


@takes(mass="kg > 0", offset="m >= 0", spindle_speed="rpm >= 0", gives="N")
def unbalance_pull(mass, offset, spindle_speed):
    """Force with which work off its axis pulls at a spindle speed: F = m e ω².

    Basis: derived; over the lathe's own limit it is the share of that limit that is used.
    """
    return mass * offset * (2 * np.pi * spindle_speed / 60) ** 2


@takes(length="mm > 0", feed="mm > 0", spindle_speed="rpm > 0", passes="number > 0", gives="min")
def cutting_time(length, feed, spindle_speed, passes=1):
    """Time in the cut along a length, feed a turn: t = i L / (f n).

    Basis: derived; without run-in, return and measuring.
    """
    return length * passes / (feed * spindle_speed)


@takes(cutting_speed="m/min > 0", feed="mm > 0", depth="mm > 0", gives="cm**3/min")
def removal_rate(cutting_speed, feed, depth):
    """Volume cut away in a time, feed a turn: Q = v f a.

    Basis: derived; ``depth`` small against the diameter.
    """
    return cutting_speed * feed * depth


@takes(cutting_speed="m/min > 0", constant="m/min > 0", tool=TOOLS, gives="min")
def tool_life(cutting_speed, constant=None, exponent=None, tool="HSS"):
    """Life of an edge at a cutting speed, by Taylor: T = (C / v)^(1/n).

    ``constant`` is C, the speed for a life of one minute, and ``exponent`` n, from 0.01 to 1: on
    steel 70 m/min and 0.125 for high-speed steel, 500 and 0.25 for carbide, 700 and 0.25 for coated
    carbide.
    Basis: fitted data, Groover, 5th ed., table 22.2, from memory. Below one minute or beyond a week
    of cutting, 2400 min, an OutOfRangeWarning; in blows an edge chips long before.
    """
    usual_constant, usual_exponent = TAYLOR[tool]
    one_minute = usual_constant if constant is None else constant
    slope = number(usual_exponent if exponent is None else exponent, "exponent", least=0.01, most=1)
    life = (one_minute / np.asarray(cutting_speed)) ** (1 / slope)
    if np.any(life < 1) or np.any(life > 2400):
        warnings.warn(
            "tool_life is outside 1 to 2400 min, where Taylor's line was not measured",
            OutOfRangeWarning,
            stacklevel=3,
        )
    return life


@takes(speed_1="m/min > 0", life_1="min > 0", speed_2="m/min > 0", life_2="min > 0")
def taylor_fit(speed_1, life_1, speed_2, life_2):
    """Taylor's exponent and constant [m/min] from two measured lives: n = ln(v1/v2) / ln(T2/T1).

    Basis: derived, C = v1 T1^n. Groover, 5th ed., Ex. 22.1 works it with numbers.
    """
    if life_1 == life_2:
        raise ValueError(
            "life_2 equals life_1: two different lives are needed to draw Taylor's line"
        )
    slope = float(np.log(speed_1 / speed_2) / np.log(life_2 / life_1))
    return slope, Quantity(speed_1 * life_1**slope, "m/min")


def speed_for(steel, tool="HSS", operation="roughing", hardness=None, interrupted=False):
    """Cutting speed for a steel from printed tables, with what each value depends on.

    ``steel`` is a name of ``steels.NAMES``, ``tool`` one of :data:`TOOLS`, ``operation``
    "roughing", "finishing" or "facing a web" (in blows), ``hardness`` Brinell, default the steel's
    own, refused where no row holds it; ``interrupted`` takes 0.7 of the table (common practice, no
    source). ``speed`` is the slowest table value that applies, since a small lathe begins there;
    ``low`` to ``high`` is the spread of all rows.
    Basis: handbook table, an HSS table by AISI grade and hardness and The Ferrous Metals Data Book,
    ch. 9, tables 9-1, 9-2, 9-3, 9-6; published tables differ by up to half. Finishing takes the
    rows of light cuts and those that name no depth. Uncoated carbide is 0.6 of coated, from memory.
    """
    record = steels.find(steel)
    one_of(tool, TOOLS, "tool")
    one_of(operation, OPERATIONS, "operation")
    brinell = number(record.hardness if hardness is None else hardness, "hardness", above=0)
    family = "HSS" if tool == "HSS" else "coated carbide"
    some = [
        row
        for row in rows("cutting_speeds")
        if row["group"] == record.speed_group and row["tool"].startswith(family)
    ]
    held = [
        row for row in some if float(row["hardness_low"]) <= brinell <= float(row["hardness_high"])
    ]
    light = operation == "finishing"
    suiting = [
        row for row in held if not row["depth_in"] or (float(row["depth_in"]) <= LIGHT_CUT) == light
    ] or held
    if not suiting:
        raise ValueError(
            f"hardness {brinell:g} HB is outside the speed tables for {steel} and {tool}; write "
            f"one from {min(float(row['hardness_low']) for row in some):g} to "
            f"{max(float(row['hardness_high']) for row in some):g} HB, or another tool"
        )
    factor, notes = 1.0, ""
    if interrupted or operation == "facing a web":
        factor = INTERRUPTED_FACTOR
        notes += f"; times {factor} for the interrupted cut (common practice, no source)"
    if tool == "uncoated carbide":
        factor *= UNCOATED_SHARE
        notes += f"; times {UNCOATED_SHARE} for an uncoated insert (from memory)"
    slowest = min(suiting, key=lambda row: float(row["speed_ft_min"]))
    printed = [float(row["speed_ft_min"]) for row in held]
    speed, low, high = (
        Quantity(factor * value, "ft/min").to("m/min")
        for value in (float(slowest["speed_ft_min"]), min(printed), max(printed))
    )
    depth, feed = (
        Quantity(float(slowest[key]), "in") if slowest[key] else None
        for key in ("depth_in", "feed_in")
    )
    words = f"{slowest['hardness_low']} to {slowest['hardness_high']} HB"
    shown = slowest["tool"] if tool != "uncoated carbide" else tool
    return TableSpeed(speed, low, high, words, depth, feed, slowest["source"] + notes, shown)


@takes(feed="mm > 0", nose_radius="mm > 0", gives=("um", "um"))
def ideal_roughness(feed, nose_radius):
    """Finish left by the feed a turn and the nose alone: Rt = f²/(8 r), Ra = f²/(18 √3 r).

    Rt is peak to valley, Ra the mean. With a feed above the nose radius the straight edge cuts too,
    and an OutOfRangeWarning is given.
    Basis: derived, arcs as parabolas. Groover, 5th ed., Eq. 23.1 prints f²/(32 r) for Ra, 2.6 %
    low.
    """
    if np.any(np.asarray(feed) > nose_radius):
        warnings.warn(
            "feed is above nose_radius: the straight edge cuts as well and the formula does not "
            "hold",
            OutOfRangeWarning,
            stacklevel=3,
        )
    size = 1000 * feed**2 / nose_radius
    return size / 8, size / (18 * np.sqrt(3))


@takes(feed="mm > 0", tilt="deg (-45..45)", edge_width="mm > 0", gives=("um", "um"))
def wide_tool_roughness(feed, tilt, edge_width):
    """Finish left by a straight edge wider than the feed: Rt = f tan δ, Ra = Rt / 4.

    ``tilt`` is δ, between edge and finished surface; zero leaves the edge's own grinding marks. A
    feed above ``edge_width`` cos δ is refused: it leaves a ridge.
    Basis: derived (a saw-tooth's mean is a quarter of its height; Boothroyd prints the same, from
    memory). A plunged wide edge copies itself: its tilt becomes taper, its nicks become rings.
    """
    angle = np.abs(tilt)
    if np.any(np.asarray(feed) > np.asarray(edge_width) * np.cos(angle)):
        raise ValueError("feed is above edge_width: a ridge is left between turns; feed less")
    height = 1000 * feed * np.tan(angle)
    return height, height / 4


@takes(mean_roughness="mm > 0", nose_radius="mm > 0", gives="mm")
def feed_for_roughness(mean_roughness, nose_radius):
    """Feed a turn for a wanted ideal Ra, the inverse of :func:`ideal_roughness`.

    Basis: derived. The finish on the part is rougher: up to twice this at slow speeds in soft steel
    (from memory).
    """
    feed = np.sqrt(18 * np.sqrt(3) * nose_radius * mean_roughness)
    ideal_roughness(Quantity(feed, "mm"), Quantity(nose_radius, "mm"))  # warns beyond the nose
    return feed
