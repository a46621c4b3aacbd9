r"""Slider-crank: where the piston is, how fast it goes, and what an error of the crank does to it.

Angles are turned from the cylinder's line, zero where throw and cylinder line up with the
piston outward. Travel counts from the outermost point toward the main axis, so
velocity is positive on the way in and acceleration at the outer end is positive.
"""

from dataclasses import dataclass

import numpy as np

from ..checks import takes
from ..units import Quantity
from .crank import Crank

NO_LENGTH, NO_ANGLE = Quantity(0.0, "mm"), Quantity(0.0, "deg")
STEPS = 7200  # points in a turn for the extremes of several pistons: volume true to 2e-7


@dataclass(frozen=True)
class PistonMotion:
    """Travel [mm] from the outermost point, velocity [m/s], acceleration [m/s**2], rod angle."""

    travel: Quantity
    velocity: Quantity
    acceleration: Quantity
    rod_angle: Quantity


@dataclass(frozen=True)
class DeadCenters:
    """Crank angles of the outermost and innermost piston, and the stroke between them."""

    outer_angle: Quantity
    inner_angle: Quantity
    stroke: Quantity


@dataclass(frozen=True)
class Compression:
    """Swept and clearance volume, their ratio, rise of the outermost piston by the errors."""

    swept: Quantity
    clearance: Quantity
    ratio: float
    rise: Quantity


def _fitting(radius, rod, side, radius_error=0.0, rod_error=0.0):
    """Throw, rod and offset [mm] with their errors added; refused where the crank cannot turn."""
    radius, rod = radius + radius_error, rod + rod_error
    if np.any(np.asarray(radius) <= 0):
        raise ValueError("throw_error takes the whole throw away; write a smaller throw_error")
    if np.any(radius + np.abs(side) >= np.asarray(rod)):
        raise ValueError(
            "rod_length has to be longer than throw and offset together, "
            "or the crank cannot turn; write a longer rod_length"
        )
    return radius, rod, side


def _height(theta, radius, rod, side):
    """Piston pin above the main axis, along the cylinder [mm]."""
    return radius * np.cos(theta) + np.sqrt(rod**2 - (radius * np.sin(theta) - side) ** 2)


def _dead_centers(radius, rod, side):
    """Heights of the outermost and innermost piston [mm]: rod and throw in one line."""
    return np.sqrt((rod + radius) ** 2 - side**2), np.sqrt((rod - radius) ** 2 - side**2)


@takes(angle="deg", speed="rpm >= 0", throw="mm > 0", rod_length="mm > 0", offset="mm")
def piston_motion(angle, speed, throw, rod_length, offset=NO_LENGTH):
    r"""Travel, velocity and acceleration of the piston at a steady speed of the crank.

    .. math:: x = r\cos\theta + l\cos\phi, \quad l\sin\phi = r\sin\theta - e, \quad
        v = r\omega\frac{\sin(\theta + \phi)}{\cos\phi}, \quad
        a = r\omega^2\left[\frac{\cos(\theta + \phi)}{\cos\phi}
            + \frac{r\cos^2\theta}{l\cos^3\phi}\right]

    ``offset`` e is how far the cylinder's line passes the main axis, on the side the pin goes to
    first.
    Basis: derived, exact for rigid parts. Textbooks often print v = r w (sin t + sin 2t / 2n),
    a = r w^2 (cos t + cos 2t / n): for n = l/r = 4 that velocity is right within 0.3 % of r w,
    that acceleration within 0.9 % of r w^2.
    """
    theta, turning = angle * np.pi / 180, speed * np.pi / 30
    radius, rod, side = _fitting(throw, rod_length, offset)
    sine = (radius * np.sin(theta) - side) / rod
    cosine = np.sqrt(1 - sine**2)
    travel = _dead_centers(radius, rod, side)[0] - _height(theta, radius, rod, side)
    velocity = radius * turning * (np.sin(theta) + np.cos(theta) * sine / cosine)
    acceleration = (
        radius
        * turning**2
        * (
            np.cos(theta)
            - np.sin(theta) * sine / cosine
            + radius * np.cos(theta) ** 2 / (rod * cosine**3)
        )
    )
    return PistonMotion(
        Quantity(travel, "mm"),
        Quantity(velocity / 1000, "m/s"),
        Quantity(acceleration / 1000, "m/s**2"),
        Quantity(np.degrees(np.arcsin(sine)) + 0 * travel, "deg"),
    )


@takes(throw="mm > 0", rod_length="mm > 0", offset="mm")
def dead_centers(throw, rod_length, offset=NO_LENGTH):
    r"""Crank angles of the two dead centers, and the stroke s.

    .. math:: s = \sqrt{(l+r)^2 - e^2} - \sqrt{(l-r)^2 - e^2}

    Basis: derived. Without offset the stroke is twice the throw, whatever the rod.
    """
    radius, rod, side = _fitting(throw, rod_length, offset)
    top, bottom = _dead_centers(radius, rod, side)
    outer = np.degrees(np.arcsin(side / (rod + radius)))
    inner = 180 + np.degrees(np.arcsin(side / (rod - radius)))
    return DeadCenters(Quantity(outer, "deg"), Quantity(inner, "deg"), Quantity(top - bottom, "mm"))


@takes(bore="mm > 0", throw="mm > 0", rod_length="mm > 0", offset="mm", gives="cm**3")
def swept_volume(bore, throw, rod_length, offset=NO_LENGTH):
    """Volume a piston sweeps in a stroke: V = π B² s / 4.

    Basis: derived.
    """
    top, bottom = _dead_centers(*_fitting(throw, rod_length, offset))
    return np.pi / 4 * bore**2 * (top - bottom) / 1000


@takes(
    angle="deg",
    throw="mm > 0",
    rod_length="mm > 0",
    throw_error="mm",
    rod_error="mm",
    phase_error="deg",
    offset="mm",
    gives="mm",
)
def position_error(
    angle,
    throw,
    rod_length,
    throw_error=NO_LENGTH,
    rod_error=NO_LENGTH,
    phase_error=NO_ANGLE,
    offset=NO_LENGTH,
):
    """How far errors of the crank shift the piston outward, nearer its head, at a crank angle.

    An error is the actual size less the wanted one; ``phase_error`` how far this throw is ahead of
    where it should be, against the throw the crank is timed by.
    Basis: derived, exact difference of two positions, not a slope.
    """
    theta, shift = angle * np.pi / 180, phase_error * np.pi / 180
    actual = _height(theta + shift, *_fitting(throw, rod_length, offset, throw_error, rod_error))
    return actual - _height(theta, *_fitting(throw, rod_length, offset))


@takes(
    bore="mm > 0",
    throw="mm > 0",
    rod_length="mm > 0",
    clearance_volume="mm**3 > 0",
    throw_error="mm",
    rod_error="mm",
    offset="mm",
)
def compression(
    bore,
    throw,
    rod_length,
    clearance_volume,
    throw_error=NO_LENGTH,
    rod_error=NO_LENGTH,
    offset=NO_LENGTH,
):
    r"""Compression ratio of one cylinder, and what errors of throw and rod make of it.

    .. math:: \varepsilon = \frac{V_c + V_s}{V_c}, \quad
        V_c = V_{c0} - \tfrac{\pi}{4} B^2 \Delta x_{top}

    ``clearance_volume`` is left at the outer dead center with everything to size.
    Basis: derived. The head stays where the sizes wanted put it. A phase error moves the moment,
    not the ratio, of a cylinder that works alone; for cylinders on one space see
    :func:`shared_compression`. A ratio of volumes: the pressure also depends on valves, leakage and
    heat. Whether the piston clears the head depends on the gap: compare ``rise`` with the gap as
    measured.
    """
    area = np.pi / 4 * bore**2
    top, _ = _dead_centers(*_fitting(throw, rod_length, offset))
    sizes = _fitting(throw, rod_length, offset, throw_error, rod_error)
    actual_top, actual_bottom = _dead_centers(*sizes)
    space = clearance_volume - area * (actual_top - top)
    if np.any(np.asarray(space) <= 0):
        raise ValueError(
            "clearance_volume is used up by the errors: the piston strikes the head; "
            "write smaller errors or more clearance"
        )
    swept = area * (actual_top - actual_bottom)
    return Compression(
        Quantity(swept / 1000, "cm**3"),
        Quantity(space / 1000, "cm**3"),
        1 + swept / space,
        Quantity(actual_top - top, "mm"),
    )


def _each_throw(crank, values, name):
    """One number a throw, from one for all or a list of them."""
    numbers, count = np.atleast_1d(values), len(crank.throws)
    if numbers.ndim > 1 or numbers.size not in (1, count):
        raise ValueError(
            f"{name} takes one value, or one for each of the {count} throws, not {numbers.size}"
        )
    return np.broadcast_to(numbers, count)


OF_THROWS = {
    "crank": Crank,
    "rod_length": "mm > 0",
    "cylinder_angles": "deg",
    "throw_errors": "mm",
    "phase_errors": "deg",
    "offset": "mm",
}


@takes(**OF_THROWS, angle="deg", gives="mm")
def travel_of_throws(
    crank,
    angle,
    rod_length,
    cylinder_angles=NO_ANGLE,
    throw_errors=NO_LENGTH,
    phase_errors=NO_ANGLE,
    offset=NO_LENGTH,
):
    """Travel of the piston on every throw, from where the sizes wanted put the outermost point.

    The first axis counts throws, whose angles are used as they stand; negative where an error
    lifts the piston beyond its place. ``angle`` is how far the crank has turned;
    ``cylinder_angles`` the direction of each cylinder, errors those of each throw: one value, or
    one a throw.
    Basis: derived.
    """
    theta, shape = angle * np.pi / 180, (-1,) + (1,) * np.ndim(angle)
    lead = np.radians(
        np.array([throw.angle.m_as("deg") for throw in crank.throws])
        + _each_throw(crank, phase_errors, "phase_errors")
        - _each_throw(crank, cylinder_angles, "cylinder_angles")
    ).reshape(shape)
    radius = np.array([throw.radius for throw in crank.plain.throws]).reshape(shape)
    errors = _each_throw(crank, throw_errors, "throw_errors").reshape(shape)
    top, _ = _dead_centers(*_fitting(radius, rod_length, offset))
    return top - _height(lead + theta, *_fitting(radius, rod_length, offset, errors))


@takes(**OF_THROWS, bore="mm > 0", clearance_volume="mm**3 > 0")
def shared_compression(
    crank,
    bore,
    rod_length,
    clearance_volume,
    cylinder_angles=NO_ANGLE,
    throw_errors=NO_LENGTH,
    phase_errors=NO_ANGLE,
    offset=NO_LENGTH,
):
    r"""Compression of cylinders that all open into one space, where throws' phase counts.

    .. math:: \varepsilon = \frac{\max_\theta V}{\min_\theta V}, \quad
        V = V_c + \tfrac{\pi}{4}B^2 \sum_i s_i(\theta)

    ``clearance_volume`` is left when every piston stands at its outermost point, all throws
    together; the errors are those of :func:`travel_of_throws`. ``swept`` is the largest less the
    smallest volume, ``clearance`` the smallest, ``rise`` the most any piston rose.
    Basis: derived; extremes taken from 7200 points a turn.
    """
    travel = travel_of_throws.plain(
        crank,
        np.linspace(0, 360, STEPS, endpoint=False),
        rod_length,
        cylinder_angles,
        throw_errors,
        phase_errors,
        offset,
    )
    volume = clearance_volume + np.pi / 4 * bore**2 * travel.sum(axis=0)
    least, most = float(volume.min()), float(volume.max())
    if least <= 0:
        raise ValueError(
            "clearance_volume is used up by the errors; write smaller errors or more clearance"
        )
    return Compression(
        Quantity((most - least) / 1000, "cm**3"),
        Quantity(least / 1000, "cm**3"),
        most / least,
        Quantity(max(0.0, float(-travel.min())), "mm"),
    )
