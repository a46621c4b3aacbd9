"""What a running crank has to bear: cylinder pressure, forces on the pins, torque over a turn, bearing forces.

Axes as in ``frame``: x along the crank, y toward its angle zero, z 90 degrees
on; they turn with the crank. The crank turns from y toward z.

Pressure, turning parts and drives can hurt: guard what turns, relieve what is
under pressure, and follow local codes and licensed practice.
"""

from dataclasses import dataclass

import numpy as np

from ..checks import made, several
from ..crank import Crank, motion
from ..units import Quantity, magnitude, number

NOTHING, NO_MASS, ZERO_ANGLE = Quantity(0.0, "mm"), Quantity(0.0, "kg"), Quantity(0.0, "deg")
ATMOSPHERE = Quantity(0.1013, "MPa")
BEARING_MODELS = ("adjacent", "continuous")


@dataclass(frozen=True)
class Cylinder:
    """What works on one throw.

    Parameters
    ----------
    rod_length : Quantity [length]
    push : Quantity, scalar or array [force]
        Force on the piston toward the main axis; negative where it pulls.
    angle : Quantity, array [angle], optional
        Crank angles after the outer dead center at which ``push`` is given,
        rising, within one turn; between them it is interpolated.
    moving_mass : Quantity [mass]
        Piston and the rod's share that goes to and fro.
    turning_mass : Quantity [mass]
        Rod's share that turns with the pin, and pin and webs reckoned at the pin.
    direction : Quantity [angle]
        Of the cylinder's line, from angle zero.
    offset : Quantity [length]
        As in ``motion.piston_motion``.

    Notes
    -----
    Basis: derived.
    """

    rod_length: Quantity
    push: Quantity
    angle: Quantity | None = None
    moving_mass: Quantity = NO_MASS
    turning_mass: Quantity = NO_MASS
    direction: Quantity = ZERO_ANGLE
    offset: Quantity = NOTHING


@dataclass(frozen=True)
class Pull:
    """A force on a main that keeps its direction in space: a belt's pull, a flywheel's weight.

    ``position`` is from the crank's left end, ``direction`` from angle zero.
    """

    position: Quantity
    force: Quantity
    direction: Quantity = ZERO_ANGLE


@dataclass(frozen=True)
class TurnLoads:
    """Forces over a turn. First axis throw, bearing or pull; last axis the crank angle.

    ``tangential`` drives the crank where positive, ``radial`` presses the pin
    toward the main axis, ``torque`` is the sum over the throws; the drive bears it.
    ``bearing_force`` is that of the bearings on the crank, along y and z.
    """

    angle: Quantity
    rod_force: Quantity
    tangential: Quantity
    radial: Quantity
    torque: Quantity
    mean_torque: Quantity
    bearing_position: Quantity
    bearing_force: Quantity
    output: str
    _places: np.ndarray
    _forces: np.ndarray

    @property
    def bearing_load(self):
        """Size of each bearing's force over the turn [N]."""
        return Quantity(np.linalg.norm(self.bearing_force.magnitude, axis=1), "N")

    def internal(self, point):
        """Force and moment that the part left of a cut exerts on the part right of it.

        Parameters
        ----------
        point : array of three, or of many rows of three [mm]
            Center of the cut: along the crank, toward angle zero, 90 degrees on.

        Returns
        -------
        ndarray (..., 3, angle) [N], ndarray (..., 3, angle) [N mm]

        Notes
        -----
        Basis: derived; statics.
        """
        point = np.asarray(point, float)
        left = (self._places[:, 0] < point[..., :1]).astype(float)
        force, moment = (
            np.tensordot(left, part, 1)
            for part in (self._forces, np.cross(self._places[:, :, None], self._forces, axis=1))
        )
        moment -= np.cross(point[..., None], force, axis=-2)
        if self.output == "left":
            moment[..., 0, :] -= 1000 * self.torque.m_as("N*m")
        return force, moment


def piston_force(pressure, bore):
    """Force of a pressure on a piston, F = p pi B^2 / 4.

    Parameters
    ----------
    pressure : Quantity, scalar or array [pressure]
        Above the atmosphere; negative for suction.
    bore : Quantity [length]

    Returns
    -------
    Quantity [N]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        No unit, the wrong kind, or a bore not above zero.

    Notes
    -----
    Basis: derived.
    """
    return Quantity(
        magnitude(pressure, "MPa", "pressure")
        * np.pi
        / 4
        * np.asarray(magnitude(bore, "mm", "bore", above=0)) ** 2,
        "N",
    )


def pump_pressure(angle, delivery, suction=Quantity(0.0, "MPa")):
    """Pressure in a liquid pump's cylinder: suction on the way in, delivery on the way out.

    Parameters
    ----------
    angle : Quantity, scalar or array [angle]
        After the outer dead center.
    delivery, suction : Quantity, scalars [pressure]
        Above the atmosphere; valve losses included.

    Returns
    -------
    Quantity [MPa]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        No unit or the wrong kind.

    Notes
    -----
    Basis: derived; the liquid does not give, valves act at once. Water hammer is not in it.
    """
    turned = np.mod(magnitude(angle, "deg", "angle"), 360)
    high, low = magnitude(delivery, "MPa", "delivery"), magnitude(suction, "MPa", "suction")
    return Quantity(np.where(turned < 180, low, high), "MPa")


def compressor_pressure(
    angle, suction, delivery, clearance, throw, rod_length, exponent=1.3, atmosphere=ATMOSPHERE
):
    """Pressure in a single-acting air compressor's cylinder, p V^n constant between the valves' openings.

    Parameters
    ----------
    angle : Quantity, scalar or array [angle]
        After the outer dead center.
    suction, delivery : Quantity, scalars [pressure]
        Above the atmosphere.
    clearance : float
        Volume at the outer dead center over the swept volume.
    throw, rod_length : Quantity [length]
    exponent : float
        1 for slow and cool, 1.4 for no heat lost.
    atmosphere : Quantity [pressure]

    Returns
    -------
    Quantity [MPa], above the atmosphere

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity, delivery not above suction, or a vacuum below nothing.

    Notes
    -----
    Basis: derived; ideal valves, the indicator diagram of every textbook.
    """
    outside = magnitude(atmosphere, "MPa", "atmosphere", above=0)
    low = magnitude(suction, "MPa", "suction", above=-outside) + outside
    high = magnitude(delivery, "MPa", "delivery") + outside
    if high <= low:
        raise ValueError("delivery must be above suction; are the two swapped?")
    dead, power = number(clearance, "clearance", above=0), number(exponent, "exponent", least=1)
    travel = motion.piston_motion(angle, Quantity(0.0, "rpm"), throw, rod_length).travel
    share = (travel / (2 * throw)).m_as(
        "dimensionless"
    )  # of the stroke, which is two throws without offset
    turned = np.mod(magnitude(angle, "deg", "angle"), 360)
    expanding = np.maximum(high * (dead / (dead + share)) ** power, low)
    pressing = np.minimum(low * ((dead + 1) / (dead + share)) ** power, high)
    return Quantity(np.where(turned < 180, expanding, pressing) - outside, "MPa")


def rod_forces(angle, push, throw, rod_length, offset=NOTHING):
    """Force along the rod, and its parts at the pin: tangential and radial.

    Fq = F / cos(phi); Ft = Fq sin(theta + phi); Fr = Fq cos(theta + phi), phi the rod's lean.

    Parameters
    ----------
    angle : Quantity, scalar or array [angle]
        After the outer dead center.
    push : Quantity, scalar or array [force]
        Along the cylinder's line, toward the main axis.
    throw, rod_length, offset : Quantity [length]

    Returns
    -------
    (Quantity, Quantity, Quantity) [N]
        Along the rod (pressing positive), tangential in the sense of turning, radial toward the main axis.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As for ``motion.piston_motion``.

    Notes
    -----
    Basis: derived; no friction.
    """
    force = magnitude(push, "N", "push")
    theta = magnitude(angle, "rad", "angle")
    lean = motion.piston_motion(
        angle, Quantity(0.0, "rpm"), throw, rod_length, offset
    ).rod_angle.m_as("rad")
    along = force / np.cos(lean)
    return tuple(
        Quantity(along * part, "N") for part in (1.0, np.sin(theta + lean), np.cos(theta + lean))
    )


def turn_loads(
    crank,
    cylinders,
    speed,
    pulls=(),
    bearings=None,
    output="right",
    model="adjacent",
    points=120,
    out_of_line=None,
    not_touching=(),
):
    """Forces on a crank over one turn.

    Parameters
    ----------
    crank : Crank
    cylinders : Cylinder or sequence of them
        One a throw, left to right.
    speed : Quantity, scalar [rpm]
        Steady.
    pulls : Pull or sequence of Pull
    bearings : Quantity, array [length], optional
        Middles of the bearings from the crank's left end; the middle of each main without it.
    output : "left" or "right"
        End at which the torque goes in or out.
    model : "adjacent" or "continuous"
        Each throw on its two neighboring bearings as if hinged there, or the
        whole crank's frame on rigid bearings. With two bearings they are the same. With more the
        truth lies between only while all stand in one line, within their clearances.
    points : int
        Crank angles in the turn.
    out_of_line : Quantity, array [length], optional
        How far each bearing stands off the line of all, toward angle zero; default in line. Needs
        the continuous model. Two bearings force nothing; more bend the crank once a turn. Nobody
        knows to which side a bearing is off: try both signs and go by the worse.
    not_touching : sequence of int
        Numbers of bearings, 1 at the left, so worn or low that they hold nothing.

    Returns
    -------
    TurnLoads

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A bad quantity, a wrong number of cylinders or bearings, an unknown word.

    Notes
    -----
    Basis: derived. Rod force and bearing force act at a point in the middle of pin and bearing,
    which is on the safe side. The crank's own weight is not in it. Bearings out of line count as
    rigid and without clearance, the most that they can force.
    """
    made(crank, Crank, "crank")
    cylinders = several(cylinders, Cylinder, "cylinders")
    if len(cylinders) != len(crank.throws):
        raise ValueError(
            f"cylinders: this crank has {len(crank.throws)} throws, not {len(cylinders)}; give one Cylinder a throw"
        )
    if output not in ("left", "right") or model not in BEARING_MODELS:
        raise ValueError(
            f"output must be left or right, model {' or '.join(BEARING_MODELS)}; not {output!r}, {model!r}"
        )
    if out_of_line is not None and model != "continuous":
        raise ValueError(
            'out_of_line bends the whole crank: write model="continuous"; adjacent throws are hinged'
        )
    pulls = several(pulls, Pull, "pulls")
    turning = magnitude(speed, "rpm", "speed", least=0, one=True) * np.pi / 30
    if isinstance(points, bool) or not isinstance(points, int) or not 24 <= points <= 100_000:
        raise ValueError(f"points must be a whole number from 24 to 100000, not {points!r}")
    turned = np.arange(points) * 2 * np.pi / points
    thrown = [
        _one_throw(throw, cylinder, turned, turning)
        for throw, cylinder in zip(crank.throws, cylinders, strict=True)
    ]
    along, tangential, radial = (np.array([one[part] for one in thrown]) for part in range(3))
    torque = sum(
        throw.radius.m_as("m") * force
        for throw, force in zip(crank.throws, tangential, strict=True)
    )
    places, forces = _loads(crank, cylinders, tangential, radial, pulls, turned, turning)
    stands = _stands(crank, bearings)
    touching = _touching(stands, not_touching)
    found = (
        _adjacent(stands[touching], places, forces)
        if model == "adjacent"
        else _continuous(crank, stands[touching], places, forces, output)
    )
    if out_of_line is not None:
        off = _off(stands, out_of_line)[touching]
        found += _forced(crank, stands[touching], off, turned, output)
    held = np.zeros((len(stands), *found.shape[1:]))
    held[touching] = found
    stand_places = np.column_stack([stands, np.zeros((len(stands), 2))])
    return TurnLoads(
        Quantity(np.degrees(turned), "deg"),
        Quantity(along, "N"),
        Quantity(tangential, "N"),
        Quantity(radial, "N"),
        Quantity(torque, "N*m"),
        Quantity(float(torque.mean()), "N*m"),
        Quantity(stands, "mm"),
        Quantity(held[:, 1:], "N"),
        output,
        np.concatenate([places, stand_places]),
        np.concatenate([forces, held]),
    )


def _one_throw(throw, cylinder, turned, turning):
    """Force along the rod, tangential and radial force of one throw [N]."""
    theta = Quantity(turned, "rad") + throw.angle - cylinder.direction
    push = magnitude(cylinder.push, "N", "push")
    if cylinder.angle is not None:
        given = np.atleast_1d(magnitude(cylinder.angle, "rad", "angle"))
        if (
            given.shape != np.shape(push)
            or np.any(np.diff(given) <= 0)
            or given[-1] - given[0] > 2 * np.pi * (1 + 1e-9)
        ):
            raise ValueError("angle must rise within one turn and have one value for each push")
        push = np.interp(theta.m_as("rad"), given, push, period=2 * np.pi)
    elif not isinstance(push, float):
        raise ValueError("angle is missing: say at which crank angles the pushes act")
    moved = motion.piston_motion(
        theta, Quantity(turning, "rad/s"), throw.radius, cylinder.rod_length, cylinder.offset
    )
    inertia = magnitude(
        cylinder.moving_mass, "kg", "moving_mass", least=0
    ) * moved.acceleration.m_as("m/s**2")
    parts = rod_forces(
        theta, Quantity(push - inertia, "N"), throw.radius, cylinder.rod_length, cylinder.offset
    )
    return [part.m_as("N") for part in parts]


def _loads(crank, cylinders, tangential, radial, pulls, turned, turning):
    """Places [mm] and forces [N] on pins and by pulls, in the axes that turn with the crank."""
    places, forces = [], []
    pins = [segment for segment in crank.segments if segment.kind == "pin"]
    for pin, throw, cylinder, push, press in zip(
        pins, crank.throws, cylinders, tangential, radial, strict=True
    ):
        angle, radius = throw.angle.m_as("rad"), throw.radius.m_as("mm")
        outward, onward = (
            np.array([0, np.cos(angle), np.sin(angle)]),
            np.array([0, -np.sin(angle), np.cos(angle)]),
        )
        flung = (
            magnitude(cylinder.turning_mass, "kg", "turning_mass", least=0)
            * turning**2
            * radius
            / 1000
        )
        places.append([pin.start + pin.length / 2, *(radius * outward[1:])])
        forces.append(np.outer(outward, flung - press) + np.outer(onward, push))
    for pull in pulls:
        place = magnitude(pull.position, "mm", "position", least=0)
        if not any(
            main.kind == "journal" and main.start <= place <= main.end * (1 + 1e-9)
            for main in crank.segments
        ):
            raise ValueError(
                f"position of a pull, {place:.4g} mm, is on no main; measure it from the crank's left end"
            )
        seen = magnitude(pull.direction, "rad", "direction") - turned
        places.append([place, 0, 0])
        forces.append(
            magnitude(pull.force, "N", "force") * np.array([0 * seen, np.cos(seen), np.sin(seen)])
        )
    return np.array(places, float), np.array(forces, float)


def _stands(crank, bearings):
    """Middles of the bearings [mm], one a main."""
    mains = [segment for segment in crank.segments if segment.kind == "journal"]
    if bearings is None:
        return np.array([main.start + main.length / 2 for main in mains])
    stands = np.atleast_1d(magnitude(bearings, "mm", "bearings", least=0))
    if len(stands) != len(mains) or any(
        not main.start <= x <= main.end for main, x in zip(mains, stands, strict=True)
    ):
        raise ValueError(
            f"bearings must be {len(mains)} positions from the left end, one on each main"
        )
    return stands


def _touching(stands, not_touching):
    """Which bearings hold, a mask."""
    numbers = [not_touching] if isinstance(not_touching, int) else list(not_touching)
    known = range(1, len(stands) + 1)
    if any(isinstance(one, bool) or one not in known for one in numbers):
        raise ValueError(
            f"not_touching must hold numbers of bearings, 1 to {len(stands)} from the left; "
            f"not {not_touching!r}"
        )
    touching = np.array([number not in numbers for number in known])
    if touching.sum() < 2:
        raise ValueError("not_touching leaves fewer than two bearings: a crank needs two to stand")
    return touching


def _off(stands, out_of_line):
    """Heights of the bearings [mm], one each."""
    off = np.atleast_1d(magnitude(out_of_line, "mm", "out_of_line"))
    if off.shape != stands.shape:
        raise ValueError(f"out_of_line must be {len(stands)} heights, one for each bearing")
    return off


def _adjacent(stands, places, forces):
    """Bearing forces with every load on the two bearings next to it; an overhung one on the last two."""
    held = np.zeros((len(stands), *forces.shape[1:]))
    for place, force in zip(places[:, 0], forces, strict=True):
        span = int(np.clip(np.searchsorted(stands, place) - 1, 0, len(stands) - 2))
        share = (place - stands[span]) / (stands[span + 1] - stands[span])
        held[span] -= (1 - share) * force
        held[span + 1] -= share * force
    return held


def _continuous(crank, stands, places, forces, output):
    """Bearing forces of the crank's frame on rigid bearings in one line: nothing at the centers."""
    from ..frame import frame

    built = frame.build(crank, driven=output)
    at, pressed = built.places(stands), built.places(places[:, 0])
    sideways = forces[:, 1:].reshape(2 * len(places), -1)
    balance = np.concatenate([np.kron(np.eye(2), [1.0, x]) for x in places[:, 0]])
    moved = _give(built, at, pressed) @ sideways
    return _held(stands, _give(built, at, at), -moved, -balance.T @ sideways)


def _forced(crank, stands, off, turned, output):
    """Bearing forces of bearings out of line alone; seen from the crank they turn backward."""
    from ..frame import frame

    built = frame.build(crank, driven=output)
    at = built.places(stands)
    seen = off[:, None, None] * np.array([np.cos(turned), -np.sin(turned)])
    balance = np.zeros((4, len(turned)))
    return _held(stands, _give(built, at, at), seen.reshape(2 * len(stands), -1), balance)


def _held(stands, give, wanted, balance):
    """Forces at bearings that move them as wanted, in balance; axes (bearing, three ways, angle).

    Unknown: the forces, and the rigid motion by which the line of centers leaves that of bearings.
    """
    line = np.concatenate([np.kron(np.eye(2), [1.0, x]) for x in stands])
    matrix = np.block([[give, line], [line.T, np.zeros((4, 4))]])
    found = np.linalg.solve(matrix, np.concatenate([wanted, balance]))[: 2 * len(stands)]
    forces = found.reshape(len(stands), 2, -1)
    return np.concatenate([np.zeros((len(stands), 1, forces.shape[-1])), forces], axis=1)


def _give(built, response, load):
    """Displacements along y and z of places for unit forces at others, on mains and pins [mm/N]."""
    from ..frame import beams

    forced, moved = (
        places.rows[:, 1:3].reshape(-1, places.rows.shape[-1]) for places in (load, response)
    )
    give = moved @ built.compliance @ forced.T
    for a, b in zip(*np.nonzero(response.beam[:, None] == load.beam[None, :]), strict=True):
        beam = response.beam[a]
        # inside one beam its own bending comes on top of the motion of its ends
        own = beams.clamped_compliance(
            built.length[beam],
            built.rigidity[beam],
            built.shear_compliance[beam],
            response.distance[a],
            load.distance[b],
        )
        give[2 * a : 2 * a + 2, 2 * b : 2 * b + 2] += own[2] * np.eye(2)
    return give
