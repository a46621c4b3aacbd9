"""What lesson 07 follows of a plunged cut: modes of slide and crank, limits, lobes over speed."""

import warnings
from dataclasses import replace
from functools import lru_cache

import numpy as np

from crankmath import cutting, deflection
from crankmath.chatter import limits, machine_setup, modes
from crankmath.language import marked
from crankmath.units import OutOfRangeWarning, Quantity, magnitude

from ...lesson import own, own_lathe
from ...pictures.turning import chatter_picture

MOST_WAVES = 50  # in a turn, of the lobes drawn; above it they are too close to see
LATHE = own_lathe.SCHOOL  # of worked examples and questions, alike for all
CHIP = Quantity(0.1, "mm")  # feed of the plunge in a turn: the thinnest chip of Kienzle's constants
FORCE_SPEED = Quantity(20.0, "m/min")  # at which the force is taken


def softest_pin(crank, lathe=LATHE):
    """Throw, counted from zero, whose pin bends most between its own centers, and its Setup."""
    setups = [machine_setup(lathe, number) for number in range(len(crank.throws))]
    compliances = [
        deflection.radial_compliance(
            crank, ("pin", number), deflection.soft_direction(crank, ("pin", number), setup), setup
        )
        for number, setup in enumerate(setups)
    ]
    softest = int(np.argmax([one.m_as("um/N") for one in compliances]))
    return softest, setups[softest]


@lru_cache(maxsize=32)
def _kept(name, stamp, lathe):
    crank = own.load(name)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        throw, setup = softest_pin(crank, lathe)
        force = limits.dynamic_force(
            crank.steel, CHIP, operation="grooving", cutting_speed=FORCE_SPEED
        )
        return crank, throw, modes.work_modes(crank, ("pin", throw), 0.04, setup=setup), force


def swings(name, damping, lathe=LATHE):
    """Throw of the softest pin, modes of tool and work there, and K [MPa] of a plunged tool.

    ``name`` is one of ``own.names()``, ``damping`` [percent] that of tool and work alike.
    """
    return _swinging(
        name, own.stamp(name), magnitude(damping, "percent", "damping", above=0, one=True), lathe
    )


@lru_cache(maxsize=256)
def _swinging(name, stamp, percent, lathe):
    crank, throw, work, force = _kept(name, stamp, lathe)
    tool = modes.Mode(lathe.tool_frequency, lathe.tool_stiffness, percent / 100)
    return (
        crank.throws[throw],
        (tool, *(replace(mode, damping_ratio=percent / 100) for mode in work)),
        force,
    )


@lru_cache(maxsize=256)
def charted(name, stamp, percent, lathe):
    """Speeds, limits with rubbing, what chatters, lobes, width for any speed: rpm and mm."""
    throw, swinging, force = swings(name, Quantity(percent, "percent"), lathe)
    speeds = np.geomspace(*chatter_picture.SPEEDS, 48)
    limit = limits.critical_width(
        swinging,
        force,
        lathe.process_damping,
        cutting.surface_speed(Quantity(speeds, "rpm"), throw.pin_diameter),
    )
    parts = chattering_part(swinging, limit.frequency.m_as("Hz"))
    plain = limits.critical_width(swinging, force)
    pitch, fastest = limit.frequency.m_as("Hz")[-1], chatter_picture.SPEEDS[1]
    if not np.isfinite(pitch):
        return speeds, limit.width.m_as("mm"), parts, (speeds, np.full(len(speeds), np.inf)), plain
    fewest = max(1, int(60 * pitch / fastest))
    waves = np.arange(fewest, max(fewest + 1, MOST_WAVES))
    swept = Quantity(pitch * np.geomspace(0.96, 1.35, 45)[:, None], "Hz")
    turning, width = (
        found.magnitude
        for found in limits.lobe_curve(
            swinging, force, swept, waves, lathe.process_damping, throw.pin_diameter
        )
    )
    dense = np.geomspace(min(60 * pitch / waves[-1], 0.9 * fastest), fastest, 400)
    lobes = [
        np.interp(dense, turning[:, number], width[:, number], np.inf, np.inf)
        for number in range(len(waves))
    ]
    return speeds, limit.width.m_as("mm"), parts, (dense, np.min(lobes, axis=0)), plain


def chattering_part(swinging, hertz):
    """Part, slide or crank, that moves more against the force at a frequency.

    ``swinging`` holds the tool's mode first; where hertz is not a number nothing chatters.
    """
    plain, hertz = modes.plain_modes(swinging), np.where(np.isfinite(hertz), hertz, 1.0)
    _together, *either = modes.bodies(plain)
    tool, work = (modes.plain_receptance(part, hertz).real for part in either)
    words = np.where(tool < work, marked("slide"), marked("crank"))
    return str(words) if np.ndim(words) == 0 else words


def slide_limit(damping, lathe=LATHE, steel="C45"):
    """The slide's mode, K [MPa], and its own limit [mm] by the formula."""
    mode = modes.Mode(lathe.tool_frequency, lathe.tool_stiffness, damping.m_as("dimensionless"))
    force = limits.dynamic_force(steel, CHIP, operation="grooving", cutting_speed=FORCE_SPEED)
    return mode, force, limits.limiting_width(mode.stiffness, mode.damping_ratio, force)
