"""The machine around a job's crank: the rods on each throw and what presses on them."""

import numpy as np

from .. import service
from ..language import _
from ..service import weak_spots
from ..units import Quantity
from ..workpiece.planning.rules import fixing_reach
from .fields import ENGINES, FIXINGS, STROKES


class LoadUnknown(ValueError):
    """The job does not say what the crank has to bear."""


def cylinders(job, crank, rod_length, lines, points):
    """Cylinders of each throw, one on each line, as ``service.turn_loads`` takes them.

    - ``lines``: Angles of the cylinders' lines, a list of quantities a throw.
    - ``points``: Crank angles in a turn at which a pump's pressure is worked out.

    Basis: derived of the answers; a four-stroke engine fires as evenly as its throws let it.
    """
    if job["machine"] == "not known":
        raise LoadUnknown(
            _(
                "what the crank drives was not given: choose a machine, then bore and pressure, or "
                "a force"
            )
        )
    masses = {"moving_mass": job["moving_mass"], "turning_mass": job["rotating_mass"]}
    found = []
    for throw, angles in zip(crank.throws, lines, strict=True):
        pressed = _pressed(job, throw.radius, rod_length, points)
        found.append(tuple(pressed(direction=angle, **masses) for angle in angles))
    return service.evenly_fired(crank, found)


def _pressed(job, throw, rod_length, points):
    """What makes a cylinder on a throw, given its masses and its line."""
    if job["machine"] in ENGINES:
        sizes = job["bore"], job["compression_ratio"], job["peak_pressure"]
        strokes = STROKES[job["machine"]]
        return lambda **more: service.engine_cylinder(throw, rod_length, *sizes, strokes, **more)
    if job["machine"] == "steady force":
        push = job["push"].to("N")
        return lambda **more: service.Cylinder(rod_length, push, **more)
    turned = Quantity(np.arange(points) * 360.0 / points, "deg")
    if job["machine"] == "liquid pump":
        pressure = service.pump_pressure(turned, job["pressure"])
    else:
        outside, dead = Quantity(0.0, "MPa"), job["clearance_share"]
        pressure = service.compressor_pressure(
            turned, outside, job["pressure"], dead, throw, rod_length
        )
    push = service.piston_force(pressure, job["bore"])
    return lambda **more: service.Cylinder(rod_length, push, turned, **more)


def fixing(job, crank):
    """Places that the wheel on the right end weakens: none, or one."""
    if job["fixing"] == FIXINGS[0]:
        return ()
    strong = {"ultimate_strength": job["tensile_strength"]}
    at = len(crank.journals) - 1, crank.length - fixing_reach(job)
    if job["fixing"] == FIXINGS[1]:
        return (weak_spots.keyseat(crank, *at, **strong),)
    if job["fixing"] == FIXINGS[2]:
        return (weak_spots.cross_hole(crank, *at, job["fixing_hole"], **strong),)
    return (weak_spots.hub_edge(crank, *at, **strong),)
