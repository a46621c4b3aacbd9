"""Squeeze between centers, and the spacers that share it.

Thrust on the line of the centers closes each throw like a C. The work tilts, is cut true in that
state, and runs out when the centers let go.
"""

from dataclasses import dataclass, field

import numpy as np

from ..checks import takes
from ..crank import Crank
from ..units import Quantity, magnitude, ureg
from .spacer_plan import SAMPLES, Plan, listed, misfits_of, plan_for, say

MICROMETER, NEWTON, RADIAN, MEGAPASCAL = (ureg.Unit(unit) for unit in ("um", "N", "rad", "MPa"))


@dataclass(frozen=True)
class Squeezed:
    """A crank squeezed between centers, with one value per throw, turned piece or spacer.

    The turned pieces are the mains from left to right, or the one pin whose centers the crank
    stands on. ``closure`` is what each throw's gap closes on the main axis, between the faces
    there, dented where a spacer presses [um]. ``slope`` is the tilt of each turned piece while
    squeezed, toward 0 and toward 90 degrees [rad]; ``bow`` how far it then bends off its own
    straight line [um]. ``spacer_force`` is what each spacer bears [N]; ``gripped`` says which bears
    enough not to fly.
    ``largest_runout`` is the largest indicator reading of a turned piece about its centers after
    release [um]. ``web_stress`` and ``pin_stress`` are the nominal bending stresses of each throw,
    without the fillet's concentration [MPa].
    """

    thrust: Quantity
    closure: Quantity
    slope: Quantity
    bow: Quantity
    spacer_force: Quantity
    largest_runout: Quantity
    web_stress: Quantity
    pin_stress: Quantity
    _plan: Plan = field(repr=False)
    _load: np.ndarray = field(repr=False)

    def offset(self, position):
        """Axis of the work from the line of centers after release, toward 0 and 90 degrees [um].

        Work cut true while squeezed moves back by what the squeeze moved it. ``position`` [length]
        is from the crank's left end; along a pin the offset is that of the pin's axis, elsewhere
        that of the mains. Basis: derived.
        """
        place = magnitude(position, "mm", "position", least=0)
        total = self._plan.plain.length
        if np.any(place > total * (1 + 1e-9)):
            raise ValueError(
                f"position must be on the crank, at most {total:.6g} mm from its left end; "
                "write it in mm"
            )
        moved = self.motion(np.ravel(place))[:, 1:3]
        return Quantity(-1e3 * moved.reshape(np.shape(place) + (2,)), MICROMETER)

    def runout(self, position):
        """Total indicator reading left after release: twice the axis's offset at a position [um].

        Basis: derived; nothing but the squeeze is counted.
        """
        reading = 2 * np.linalg.norm(self.offset(position).magnitude, axis=-1)
        return Quantity(float(reading) if reading.ndim == 0 else reading, MICROMETER)

    @property
    def gripped(self):
        """Whether each spacer bears a tenth of what it would as long as its gap, own choice."""
        return self.spacer_force.m_as("N") >= self._plan.grip(self.thrust.m_as("N"))

    @property
    def middle_offset(self):
        """Offset of each turned piece's middle after release, toward 0 and 90 degrees [um]."""
        return self.offset(Quantity([piece.middle for piece in self._plan.turned], "mm"))

    @property
    def out_of_parallel(self):
        """Distance of each turned piece's ends from parallel to the centers after release [um]."""
        lengths = [piece.length for piece in self._plan.turned]
        tilt = np.linalg.norm(self.slope.m_as("rad"), axis=-1)
        return Quantity(1e3 * tilt * lengths, MICROMETER)

    def motion(self, position):
        """Motions of the axis while squeezed, for drawing: along x, y, z and about x, y, z.

        ``position`` [length] or plain numbers in mm from the crank's left end; one row of six each
        [mm and rad]. x runs along the crank, y toward angle zero. Basis: derived. Inside a web the
        motion is that of its end on the main axis.
        """
        if isinstance(position, Quantity):
            position = magnitude(position, "mm", "position")
        built = self._plan.frame
        return built.response(built.places(position), self._load)


@takes(crank=Crank, thrust="N >= 0, one")
def squeeze(crank, thrust, spacers=None, held="main", solid=()):
    """Closure, tilt, runout and spacer force of a crank pressed between centers.

    Each spacer bears what makes up its misfit and the closure, through the stiffness of throws,
    spacers and contacts; it never pulls. ``spacers`` is none, one or several, in some or all
    throws. ``held`` is "main", or the throw counted from zero on whose pin's centers the crank
    stands; ``solid`` names throws whose gap is not cut yet, so that their webs move as one block.

    Basis: fitted data; the corrected beam frame of ``frame.build``, whose range it has. Warns where
    the nominal stress passes the steel's yield strength: such a throw stays bent.
    """
    spacers = listed(spacers)
    plan = plan_for(crank, spacers, held, solid)
    forces = plan.forces(thrust, misfits_of(spacers))
    load, moved = plan.load(thrust, forces), plan.moved(thrust, forces)
    chord = moved[:, -1] - moved[:, 0]
    straight = moved[:, :1] + chord[:, None] * np.linspace(0, 1, SAMPLES)[:, None]
    lengths = np.array([piece.length for piece in plan.turned])
    opening = plan.gap_rows[len(forces) :] @ (plan.frame.compliance @ load)
    web, pin = _stresses(plan, thrust, forces)
    return Squeezed(
        thrust=Quantity(thrust, NEWTON),
        closure=Quantity(-1e3 * (opening + plan.dents @ forces), MICROMETER),
        slope=Quantity(chord / lengths[:, None], RADIAN),
        bow=Quantity(1e3 * np.linalg.norm(moved - straight, axis=-1).max(axis=-1), MICROMETER),
        spacer_force=Quantity(forces, NEWTON),
        largest_runout=Quantity(1e3 * plan.reading(thrust, forces), MICROMETER),
        web_stress=Quantity(web, MEGAPASCAL),
        pin_stress=Quantity(pin, MEGAPASCAL),
        _plan=plan,
        _load=load,
    )


@takes(crank=Crank, thrust="N >= 0, one")
def squeeze_pins(crank, thrust, spacers=None):
    """Squeeze of a crank on its pins' own centers, one a throw, turned from left to right.

    While a pin is turned the throws before it are finished and carry those spacers that belong to
    them; the throws after it are solid. So the gaps of finished throws close like C's whose arm is
    the distance to the pin being turned: pack a finished throw before the next pin.
    Basis: fitted data; as :func:`squeeze`.
    """
    spacers, count, force = listed(spacers), len(crank.throws), Quantity(thrust, NEWTON)
    return tuple(
        squeeze(
            crank,
            force,
            tuple(spacer for spacer in spacers if spacer.throw < index),
            held=index,
            solid=range(index + 1, count),
        )
        for index in range(count)
    )


def _stresses(plan, thrust, forces):
    """Nominal stresses in web and pin of every throw [MPa]: the moment at the pin's axis there.

    A throw that is still solid has none.
    """
    throws = plan.plain.throws
    web, pin = np.zeros(len(throws)), np.zeros(len(throws))
    for index, throw in enumerate(throws):
        if index in plan.solid:
            continue
        own = [
            (force, throw.radius - along, across)
            for (place, along, across), force in zip(plan.arms, forces, strict=True)
            if place == index
        ]
        outward = np.array([np.cos(throw.angle), np.sin(throw.angle)])
        along, across = plan.frame.center @ outward, plan.frame.center @ (-outward[1], outward[0])
        moment = thrust * (throw.radius - along) - sum(force * arm for force, arm, _ in own)
        sideways = sum(force * side for force, _, side in own) - thrust * across
        pull = abs(sum(force for force, _, _ in own) - thrust)
        web[index] = 6 * abs(moment) / (throw.web_width * throw.web_thickness**2)
        pin[index] = 32 * np.hypot(moment, sideways) / (
            np.pi * throw.pin_diameter**3
        ) + 4 * pull / (np.pi * throw.pin_diameter**2)
    limit = plan.steel.yield_strength.m_as("MPa")
    worst = max(web.max(), pin.max())
    if worst > limit:
        say(
            f"the nominal stress of {worst:.3g} MPa passes the yield strength of "
            f"{plan.steel.name}, {limit:.3g} MPa: the throw would stay bent"
        )
    return web, pin
