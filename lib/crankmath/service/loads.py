"""What a running crank has to bear: forces on the pins, torque over a turn, bearing forces.

Axes as in ``frame``: x along the crank, y toward its angle zero, z 90 degrees
on; they turn with the crank. The crank turns from y toward z.

Turning parts and drives can hurt: guard what turns, and follow local codes and licensed practice.
"""

from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from ..checks import made, one_of, several, takes
from ..crank import Crank, motion
from ..units import Quantity, magnitude
from . import supports
from .pressures import engine_pressure, piston_force

NOTHING, NO_MASS, ZERO_ANGLE = Quantity(0.0, "mm"), Quantity(0.0, "kg"), Quantity(0.0, "deg")
BEARING_MODELS = ("adjacent", "continuous")
MOST_FIRED = 12  # cylinders whose firing orders are tried
STEPS = 720  # of an engine's cycle at which its pressure is worked out


@dataclass(frozen=True)
class Cylinder:
    """What works on one throw.

    ``push`` is the force on the piston toward the main axis, negative where it pulls: one value, or
    values at crank ``angle`` after the outer dead center, rising, within one turn, or two where
    ``turns`` is 2; between them it is interpolated. A cycle of two turns begins at the outer dead
    center in the crank's turn ``firing_turn``, 0 or 1.
    ``moving_mass`` is that of piston and the rod's reciprocating share, ``turning_mass`` the rod's
    share that turns with the pin. ``direction`` is that of the cylinder's line, from angle zero;
    ``offset`` as in ``motion.piston_motion``.
    """

    rod_length: Quantity
    push: Quantity
    angle: Quantity | None = None
    moving_mass: Quantity = NO_MASS
    turning_mass: Quantity = NO_MASS
    direction: Quantity = ZERO_ANGLE
    offset: Quantity = NOTHING
    turns: int = 1
    firing_turn: int = 0

    def begins(self, throw):
        """Turn of the crank, from angle zero, at which its cycle begins on a throw [deg].

        Basis: geometry; a throw within a millionth of a degree of its dead center is on it.
        """
        after = (self.direction - throw.angle).m_as("deg")
        return Quantity((after + 1e-6) % 360 - 1e-6 + 360 * self.firing_turn, "deg")


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
    """Forces over a turn, or two for a four-stroke engine.

    First axis throw, bearing or pull; last axis the crank angle.

    ``rod_force`` has a row a rod. ``tangential`` drives the crank where positive, ``radial``
    presses the pin toward the main axis, ``torque`` is the sum over the throws; the drive bears it.
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
        """Force [N] and moment [N mm] that the part left of a cut exerts on the part right of it.

        - ``point`` [mm]: Center of the cut, or rows of them: along the crank, toward angle zero, 90
          degrees on. Basis: derived; statics.
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


def engine_cylinder(
    throw,
    rod_length,
    bore,
    compression_ratio,
    peak_pressure,
    strokes=4,
    firing_turn=0,
    moving_mass=NO_MASS,
    turning_mass=NO_MASS,
    direction=ZERO_ANGLE,
    **more,
):
    """Cylinder of an engine that works on a throw; its pressure is that of ``engine_pressure``.

    - ``throw``, ``rod_length``, ``bore`` [mm], ``peak_pressure`` [MPa], ``compression_ratio``,
      ``strokes``, ``more``: As there.
    - ``firing_turn``, ``moving_mass``, ``turning_mass``, ``direction``: Of ``Cylinder``. A measured
      trace is a ``Cylinder`` with ``push=piston_force(trace, bore)`` and its angles.

    Basis: as ``engine_pressure``.
    """
    turned = Quantity(np.arange(STEPS) * 180.0 * one_of(strokes, (2, 4), "strokes") / STEPS, "deg")
    pressure = engine_pressure(
        turned, compression_ratio, peak_pressure, throw, rod_length, strokes, **more
    )
    return Cylinder(
        rod_length,
        piston_force(pressure, bore),
        turned,
        moving_mass,
        turning_mass,
        direction,
        turns=strokes // 2,
        firing_turn=firing_turn,
    )


def evenly_fired(crank, cylinders):
    """The cylinders with the firing turns that spread a four-stroke engine's firings most evenly.

    - ``crank``, ``cylinders``: As of ``turn_loads``; those whose cycle is one turn stay as they
      are.

    Basis: derived; of all orders that with the widest least gap between firings, then with the
    least sum of squared gaps.
    """
    made(crank, Crank, "crank")
    rods = _rods(crank, cylinders)
    fired = [number for number, (_, rod) in enumerate(rods) if _turns(rod) == 2]
    if len(fired) > MOST_FIRED:
        raise ValueError(f"cylinders: orders are tried for {MOST_FIRED} of four strokes at most")
    begins = np.array(
        [replace(rod, firing_turn=0).begins(crank.throws[place]).m_as("deg") for place, rod in rods]
    )

    def evenness(order):
        at = np.sort(begins[fired] + 360 * np.array(order))
        gaps = np.diff(at, append=at[0] + 720)
        return round(gaps.min(), 6), -round((gaps**2).sum(), 3)

    # the first of all fires in the first turn: an order begun a turn later is the same one
    orders = [(0, *rest) for rest in product((0, 1), repeat=max(0, len(fired) - 1))]
    turns = dict(zip(fired, max(orders, key=evenness), strict=True)) if fired else {}
    found = [[] for _ in crank.throws]
    for number, (place, rod) in enumerate(rods):
        found[place].append(replace(rod, firing_turn=turns[number]) if number in turns else rod)
    return tuple(tuple(row) for row in found)


@takes(push="N", gives=("N", "N", "N"))
def rod_forces(angle, push, throw, rod_length, offset=NOTHING):
    """Force along the rod (pressing positive), and its parts at the pin: tangential and radial.

    Fq = F / cos(phi); Ft = Fq sin(theta + phi); Fr = Fq cos(theta + phi), phi the rod's angle.

    - ``angle`` [deg], ``throw``, ``rod_length``, ``offset`` [mm]: As for ``motion.piston_motion``.
    - ``push``: Along the cylinder's line, toward the main axis.

    Basis: derived; no friction. Tangential in the sense of turning, radial toward the main axis.
    """
    theta = magnitude(angle, "rad", "angle")
    tilt = motion.piston_motion(angle, Quantity(0.0, "rpm"), throw, rod_length, offset)
    tilt = tilt.rod_angle.m_as("rad")
    along = push / np.cos(tilt)
    return along, along * np.sin(theta + tilt), along * np.cos(theta + tilt)


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
    unbalance=None,
):
    """Forces on a crank over one turn, over two where a cylinder's cycle is two turns long.

    - ``cylinders``: One a throw, left to right; where several rods share a pin a tuple of them.
    - ``speed`` [rpm]: Steady.
    - ``pulls``: None, one ``Pull`` or a row of them.
    - ``bearings`` [mm]: Middles of the bearings from the crank's left end; default the middle of
      each main.
    - ``output``: "left" or "right", the end at which the torque goes in or out.
    - ``model``: "adjacent", each throw on its two neighboring bearings as if hinged there, or
      "continuous", the whole crank's frame on rigid bearings. With two bearings they are the same;
      with more the truth lies between only while all stand in one line, within their clearances.
    - ``points``: Crank angles in a turn.
    - ``out_of_line`` [mm]: How far each bearing stands off the line of all, toward angle zero;
      needs the continuous model. Nobody knows to which side: try both signs and go by the worse.
    - ``not_touching``: Numbers of bearings, 1 at the left, so worn or low that they hold nothing.
    - ``unbalance`` [g mm]: Mass times radius of each throw's webs and pin, less its counterweights,
      as ``mass.throw_unbalance`` has it and the balance counts it; default left out.

    Basis: derived. Rod and bearing forces act in the middle of pin and bearing, which is on the
    safe side. The crank's own weight is not in it. Bearings out of line count as rigid and without
    clearance, the most that they can force.
    """
    made(crank, Crank, "crank")
    rods = _rods(crank, cylinders)
    one_of(output, ("left", "right"), "output")
    one_of(model, BEARING_MODELS, "model")
    if out_of_line is not None and model != "continuous":
        raise ValueError(
            'out_of_line bends the whole crank: write model="continuous"; adjacent ones are hinged'
        )
    pulls = several(pulls, Pull, "pulls")
    turning = magnitude(speed, "rpm", "speed", least=0, one=True) * np.pi / 30
    if isinstance(points, bool) or not isinstance(points, int) or not 24 <= points <= 100_000:
        raise ValueError(f"points must be a whole number from 24 to 100000, not {points!r}")
    turns = max(_turns(rod) for _, rod in rods)
    turned = np.arange(points * turns) * 2 * np.pi / points
    by_rod = np.array(
        [_one_rod(crank.throws[place], rod, turned, turning) for place, rod in rods]
    ).transpose(1, 0, 2)
    on_pin = np.array([[place == throw for place, _ in rods] for throw in range(len(crank.throws))])
    along, (tangential, radial) = by_rod[0], (on_pin @ part for part in by_rod[1:])
    arms = [throw.radius.m_as("m") for throw in crank.throws]
    torque = sum(arm * force for arm, force in zip(arms, tangential, strict=True))
    flung = _unbalances(crank, rods, unbalance) * turning**2
    places, forces = _loads(crank, flung, tangential, radial, pulls, turned)
    stands = supports.positions(crank, bearings)
    held = np.zeros((len(stands), 3, len(turned)))
    bear = supports.touching(stands, not_touching)
    if model == "adjacent":
        held[bear] = supports.adjacent(stands[bear], places, forces)
    else:
        held[bear] = supports.continuous(crank, stands[bear], places, forces, output)
    if out_of_line is not None:
        off = supports.off_line(stands, out_of_line)[bear]
        held[bear] += supports.forced(crank, stands[bear], off, turned, output)
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


def _rods(crank, cylinders):
    """Each rod as the number of its throw, from zero, and its cylinder."""
    rows = cylinders if isinstance(cylinders, (list, tuple)) else (cylinders,)
    if len(rows) != len(crank.throws):
        raise ValueError(
            f"cylinders: this crank has {len(crank.throws)} throws, not {len(rows)}; "
            "write one Cylinder a throw"
        )
    return [
        (place, rod)
        for place, row in enumerate(rows)
        for rod in several(row, Cylinder, f"cylinders[{place}]")
    ]


def _turns(rod):
    """Turns of a cylinder's cycle, checked."""
    if rod.turns not in (1, 2) or rod.firing_turn not in range(rod.turns):
        raise ValueError(
            f"turns must be 1 or 2 and firing_turn below it, not {rod.turns} and {rod.firing_turn}"
        )
    return rod.turns


def _one_rod(throw, cylinder, turned, turning):
    """Force along the rod, tangential and radial force of one rod [N]."""
    theta = Quantity(turned, "rad") + throw.angle - cylinder.direction
    push = magnitude(cylinder.push, "N", "push")
    if cylinder.angle is not None:
        cycle = 2 * np.pi * cylinder.turns
        known = np.atleast_1d(magnitude(cylinder.angle, "rad", "angle"))
        if (
            known.shape != np.shape(push)
            or np.any(np.diff(known) <= 0)
            or known[-1] - known[0] > cycle * (1 + 1e-9)
        ):
            raise ValueError(
                f"angle must rise within {cylinder.turns} turn(s) and have one value for each push"
            )
        push = np.interp(turned - cylinder.begins(throw).m_as("rad"), known, push, period=cycle)
    elif not isinstance(push, float):
        raise ValueError("angle is missing: say at which crank angles the pushes act")
    moved = motion.piston_motion(
        theta, Quantity(turning, "rad/s"), throw.radius, cylinder.rod_length, cylinder.offset
    )
    mass = magnitude(cylinder.moving_mass, "kg", "moving_mass", least=0)
    force = Quantity(push - mass * moved.acceleration.m_as("m/s**2"), "N")
    parts = rod_forces(theta, force, throw.radius, cylinder.rod_length, cylinder.offset)
    return [part.m_as("N") for part in parts]


def _unbalances(crank, rods, unbalance):
    """Mass times radius that turns with each pin [kg m]."""
    found = np.zeros(len(crank.throws))
    for place, rod in rods:
        mass = magnitude(rod.turning_mass, "kg", "turning_mass", least=0)
        found[place] += mass * crank.throws[place].radius.m_as("m")
    if unbalance is None:
        return found
    own = np.atleast_1d(magnitude(unbalance, "kg*m", "unbalance"))
    if own.shape != found.shape:
        raise ValueError(f"unbalance must have {len(found)} values, one a throw")
    return found + own


def _loads(crank, flung, tangential, radial, pulls, turned):
    """Places [mm] and forces [N] on pins and by pulls, in the axes that turn with the crank."""
    places, forces = [], []
    pins = [segment for segment in crank.segments if segment.kind == "pin"]
    for pin, throw, out, push, press in zip(
        pins, crank.throws, flung, tangential, radial, strict=True
    ):
        angle, radius = throw.angle.m_as("rad"), throw.radius.m_as("mm")
        outward = np.array([0, np.cos(angle), np.sin(angle)])
        onward = np.array([0, -np.sin(angle), np.cos(angle)])
        places.append([pin.start + pin.length / 2, *(radius * outward[1:])])
        forces.append(np.outer(outward, out - press) + np.outer(onward, push))
    for pull in pulls:
        place = magnitude(pull.position, "mm", "position", least=0)
        if not any(
            main.kind == "journal" and main.start <= place <= main.end * (1 + 1e-9)
            for main in crank.segments
        ):
            raise ValueError(
                f"position of a pull, {place:.4g} mm, is on no main; measure it from the crank's "
                "left end"
            )
        seen = magnitude(pull.direction, "rad", "direction") - turned
        places.append([place, 0, 0])
        forces.append(
            magnitude(pull.force, "N", "force") * np.array([0 * seen, np.cos(seen), np.sin(seen)])
        )
    return np.array(places, float), np.array(forces, float)
