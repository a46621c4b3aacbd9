r"""Slider-crank: where the piston is, how fast it goes, and what an error of the crank does to it.

Angles are turned from the cylinder's line, zero where throw and cylinder line up with the
piston outward. Travel counts from the outermost point toward the main axis, so
velocity is positive on the way in and acceleration at the outer end is positive.
"""

from dataclasses import dataclass

import numpy as np

from ..checks import made
from ..units import Quantity, magnitude
from .crank import Crank

NO_LENGTH, NO_ANGLE = Quantity(0.0, "mm"), Quantity(0.0, "deg")
STEPS = (
    7200  # points in a turn for the extremes of several pistons: 0.05 degrees, volume true to 2e-7
)


@dataclass(frozen=True)
class PistonMotion:
    """Travel [mm] from the outermost point, velocity [m/s], acceleration [m/s**2], lean of the rod [deg]."""

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
    """Swept volume, clearance volume, their ratio, and how far the outermost piston rose by the errors."""

    swept: Quantity
    clearance: Quantity
    ratio: float
    rise: Quantity


def _sizes(throw, rod_length, offset, throw_error=NO_LENGTH, rod_error=NO_LENGTH):
    """Throw, rod and offset in millimeters, errors added, or an error that says which does not fit."""
    radius = magnitude(throw, "mm", "throw", above=0) + magnitude(throw_error, "mm", "throw_error")
    rod = magnitude(rod_length, "mm", "rod_length", above=0) + magnitude(
        rod_error, "mm", "rod_error"
    )
    side = magnitude(offset, "mm", "offset")
    if np.any(np.asarray(radius) <= 0):
        raise ValueError("throw_error takes the whole throw away; write a smaller throw_error")
    if np.any(radius + np.abs(side) >= np.asarray(rod)):
        raise ValueError(
            "rod_length has to be longer than throw and offset together, or the crank cannot turn; write a longer rod_length"
        )
    return radius, rod, side


def _height(theta, radius, rod, side):
    """Piston pin above the main axis, along the cylinder [mm]."""
    return radius * np.cos(theta) + np.sqrt(rod**2 - (radius * np.sin(theta) - side) ** 2)


def _dead_centers(radius, rod, side):
    """Heights of the outermost and innermost piston [mm]: rod and throw in one line."""
    return np.sqrt((rod + radius) ** 2 - side**2), np.sqrt((rod - radius) ** 2 - side**2)


def piston_motion(angle, speed, throw, rod_length, offset=NO_LENGTH):
    r"""Travel, velocity and acceleration of the piston at a steady speed.

    .. math:: x = r\cos\theta + l\cos\phi, \quad l\sin\phi = r\sin\theta - e, \quad
        v = r\omega\frac{\sin(\theta + \phi)}{\cos\phi}, \quad
        a = r\omega^2\left[\frac{\cos(\theta + \phi)}{\cos\phi} + \frac{r\cos^2\theta}{l\cos^3\phi}\right]

    Parameters
    ----------
    angle : Quantity [angle], scalar or array
    speed : Quantity [rpm]
        Of the crank.
    throw, rod_length : Quantity [length]; broadcast
    offset : Quantity [length]
        The cylinder's line passes the main axis at this distance, on the side the pin goes to first.

    Returns
    -------
    PistonMotion

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind or not above zero; a rod too short to let the crank turn.

    Notes
    -----
    Basis: derived, exact for rigid parts. Textbooks often print v = r w (sin t + sin 2t / 2n), a = r w^2 (cos t + cos 2t / n):
    for n = l/r = 4 that velocity is right within 0.3 % of r w, that acceleration within 0.9 % of r w^2.
    """
    theta = magnitude(angle, "deg", "angle") * np.pi / 180
    turning = magnitude(speed, "rpm", "speed", least=0) * np.pi / 30
    radius, rod, side = _sizes(throw, rod_length, offset)
    sine = (radius * np.sin(theta) - side) / rod
    cosine = np.sqrt(1 - sine**2)
    top, _ = _dead_centers(radius, rod, side)
    travel = top - _height(theta, radius, rod, side)
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
    lean = np.degrees(np.arcsin(sine)) + 0 * travel
    return PistonMotion(
        Quantity(travel, "mm"),
        Quantity(velocity / 1000, "m/s"),
        Quantity(acceleration / 1000, "m/s**2"),
        Quantity(lean, "deg"),
    )


def dead_centers(throw, rod_length, offset=NO_LENGTH):
    r"""Crank angles of the two dead centers and the stroke.

    .. math:: s = \sqrt{(l+r)^2 - e^2} - \sqrt{(l-r)^2 - e^2}

    Parameters
    ----------
    throw, rod_length, offset : Quantity [length]

    Returns
    -------
    DeadCenters

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As :func:`piston_motion`.

    Notes
    -----
    Basis: derived. Without offset the stroke is twice the throw, whatever the rod.
    """
    radius, rod, side = _sizes(throw, rod_length, offset)
    top, bottom = _dead_centers(radius, rod, side)
    outer, inner = (
        np.degrees(np.arcsin(side / (rod + radius))),
        180 + np.degrees(np.arcsin(side / (rod - radius))),
    )
    return DeadCenters(Quantity(outer, "deg"), Quantity(inner, "deg"), Quantity(top - bottom, "mm"))


def swept_volume(bore, throw, rod_length, offset=NO_LENGTH):
    r"""Volume a piston sweeps in a stroke.

    .. math:: V = \tfrac{\pi}{4} B^2 s

    Parameters
    ----------
    bore, throw, rod_length, offset : Quantity [length]

    Returns
    -------
    Quantity [cm**3]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As :func:`piston_motion`.

    Notes
    -----
    Basis: derived.
    """
    stroke = dead_centers(throw, rod_length, offset).stroke.m_as("mm")
    return Quantity(
        np.pi / 4 * magnitude(bore, "mm", "bore", above=0) ** 2 * stroke / 1000, "cm**3"
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
    r"""How far errors of the crank shift the piston outward at a crank angle.

    .. math:: \Delta x = x(\theta + \Delta\theta, r + \Delta r, l + \Delta l) - x(\theta, r, l)

    Parameters
    ----------
    angle : Quantity [angle], scalar or array
    throw, rod_length : Quantity [length]
    throw_error, rod_error : Quantity [length]
        Actual size less wanted size.
    phase_error : Quantity [angle]
        This throw ahead of where it should be, against the throw the crank is timed by.
    offset : Quantity [length]

    Returns
    -------
    Quantity [mm]
        Positive where the piston stands farther out, nearer its head.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As :func:`piston_motion`; an error that takes the throw away.

    Notes
    -----
    Basis: derived, exact difference of two positions, not a slope.
    """
    theta = magnitude(angle, "deg", "angle") * np.pi / 180
    shift = magnitude(phase_error, "deg", "phase_error") * np.pi / 180
    actual = _height(theta + shift, *_sizes(throw, rod_length, offset, throw_error, rod_error))
    return Quantity(actual - _height(theta, *_sizes(throw, rod_length, offset)), "mm")


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

    .. math:: \varepsilon = \frac{V_c + V_s}{V_c}, \quad V_c = V_{c0} - \tfrac{\pi}{4} B^2 \Delta x_{top}

    Parameters
    ----------
    bore, throw, rod_length : Quantity [length]
    clearance_volume : Quantity [volume]
        Space left at the outer dead center with everything to size.
    throw_error, rod_error : Quantity [length]
        Actual size less wanted size.
    offset : Quantity [length]

    Returns
    -------
    Compression

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As :func:`piston_motion`; errors that leave no clearance: the piston would strike the head.

    Notes
    -----
    Basis: derived. The head stays where the sizes wanted put it. A phase error moves the moment, not the ratio, of a
    cylinder that works alone; for cylinders on one space see :func:`shared_compression`. This is a ratio of
    volumes: the pressure also depends on valves, leakage and heat. Whether the piston clears the head depends on
    the gap, not on the volume: hold ``rise`` against the gap you measure.
    """
    area = np.pi / 4 * magnitude(bore, "mm", "bore", above=0) ** 2
    top, _ = _dead_centers(*_sizes(throw, rod_length, offset))
    actual_top, actual_bottom = _dead_centers(
        *_sizes(throw, rod_length, offset, throw_error, rod_error)
    )
    space = magnitude(clearance_volume, "mm**3", "clearance_volume", above=0) - area * (
        actual_top - top
    )
    if np.any(np.asarray(space) <= 0):
        raise ValueError(
            "clearance_volume is used up by the errors: the piston strikes the head; write smaller errors or more clearance"
        )
    swept = area * (actual_top - actual_bottom)
    return Compression(
        Quantity(swept / 1000, "cm**3"),
        Quantity(space / 1000, "cm**3"),
        1 + swept / space,
        Quantity(actual_top - top, "mm"),
    )


def _each_throw(crank, values, unit, name):
    """One number a throw, from one for all or a list of them."""
    numbers = np.atleast_1d(magnitude(values, unit, name))
    if numbers.ndim > 1 or numbers.size not in (1, len(crank.throws)):
        raise ValueError(
            f"{name} takes one value, or one for each of the {len(crank.throws)} throws, not {numbers.size}"
        )
    return np.broadcast_to(numbers, len(crank.throws))


def _heights(crank, theta, rod_length, cylinder_angles, throw_errors, phase_errors, offset):
    """Throws, sides and heights of all pistons: one row a throw [mm]."""
    lead = np.radians(
        np.array([throw.angle.m_as("deg") for throw in made(crank, Crank, "crank").throws])
        + _each_throw(crank, phase_errors, "deg", "phase_errors")
        - _each_throw(crank, cylinder_angles, "deg", "cylinder_angles")
    )
    shape = (-1,) + (1,) * np.ndim(theta)
    radius = Quantity(
        np.array([throw.radius.m_as("mm") for throw in crank.throws]).reshape(shape), "mm"
    )
    errors = Quantity(_each_throw(crank, throw_errors, "mm", "throw_errors").reshape(shape), "mm")
    return _height(lead.reshape(shape) + theta, *_sizes(radius, rod_length, offset, errors))


def travel_of_throws(
    crank,
    angle,
    rod_length,
    cylinder_angles=NO_ANGLE,
    throw_errors=NO_LENGTH,
    phase_errors=NO_ANGLE,
    offset=NO_LENGTH,
):
    """Travel of the piston on every throw, all counted from where the sizes wanted put the outermost point.

    Parameters
    ----------
    crank : crank.Crank
        Its throws' angles are used as they stand.
    angle : Quantity [angle], scalar or array
        How far the crank has turned.
    rod_length : Quantity [length]
    cylinder_angles : Quantity [angle], scalar or one a throw
        Direction of each cylinder; zero for cylinders in line.
    throw_errors : Quantity [length], scalar or one a throw
    phase_errors : Quantity [angle], scalar or one a throw
    offset : Quantity [length]

    Returns
    -------
    Quantity [mm]
        First axis counts throws. Negative where an error lifts the piston beyond its place.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As :func:`piston_motion`; as many values as throws are needed, or one.

    Notes
    -----
    Basis: derived.
    """
    theta = magnitude(angle, "deg", "angle") * np.pi / 180
    height = _heights(crank, theta, rod_length, cylinder_angles, throw_errors, phase_errors, offset)
    radius = np.array([throw.radius.m_as("mm") for throw in crank.throws]).reshape(
        (-1,) + (1,) * np.ndim(theta)
    )
    top, _ = _dead_centers(*_sizes(Quantity(radius, "mm"), rod_length, offset))
    return Quantity(top - height, "mm")


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
    r"""Compression of cylinders that all open into one space, where the phase between throws does count.

    .. math:: \varepsilon = \frac{\max_\theta V}{\min_\theta V}, \quad V = V_c + \tfrac{\pi}{4}B^2 \sum_i s_i(\theta)

    Parameters
    ----------
    crank : crank.Crank
    bore, rod_length : Quantity [length]
    clearance_volume : Quantity [volume]
        Space that is left when every piston stands at its outermost point, all throws together.
    cylinder_angles, throw_errors, phase_errors, offset : Quantity
        As :func:`travel_of_throws`.

    Returns
    -------
    Compression
        ``swept`` is largest less smallest volume, ``clearance`` the smallest; ``rise`` the most any piston rose.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As :func:`travel_of_throws`; errors that leave no clearance.

    Notes
    -----
    Basis: derived; extremes taken from 7200 points a turn.
    """
    angle = Quantity(np.linspace(0, 360, STEPS, endpoint=False), "deg")
    travel = travel_of_throws(
        crank, angle, rod_length, cylinder_angles, throw_errors, phase_errors, offset
    ).magnitude
    area = np.pi / 4 * magnitude(bore, "mm", "bore", above=0) ** 2
    volume = magnitude(clearance_volume, "mm**3", "clearance_volume", above=0) + area * travel.sum(
        axis=0
    )
    least, most = float(volume.min()), float(volume.max())
    if least <= 0:
        raise ValueError(
            "clearance_volume is used up by the errors; write smaller errors or more clearance"
        )
    rise = max(0.0, float(-travel.min()))
    return Compression(
        Quantity((most - least) / 1000, "cm**3"),
        Quantity(least / 1000, "cm**3"),
        most / least,
        Quantity(rise, "mm"),
    )
