"""Squeeze between centers, and the spacers that share it: what the thrust closes and what misfit costs.

Thrust on the main axis closes each throw like a C. The mains tilt, are cut true
in that state, and run out when the centers let go.
"""

from dataclasses import dataclass, field

import numpy as np

from ..crank import steels
from ..frame import frame
from ..units import Quantity, as_text, magnitude, ureg
from .spacer_plan import SAMPLES, listed, main_samples, plan_for, say

SCANNED = 41  # misfits tried before a limit is refined
MICROMETER, NEWTON, RADIAN, MEGAPASCAL = (ureg.Unit(unit) for unit in ("um", "N", "rad", "MPa"))


@dataclass(frozen=True)
class Squeezed:
    """A crank squeezed between centers, with one value per throw, journal or spacer, from left to right.

    ``closure`` is what each throw's gap closes on the main axis, between the
    faces there, dented where a spacer presses [um].
    ``slope`` is the tilt of each main while squeezed, toward 0 and toward 90
    degrees [rad]; ``bow`` how far each main then bends off its own straight
    line [um]. ``spacer_force`` is what each spacer bears [N]; zero is a loose
    one. ``web_stress`` and ``pin_stress`` are the nominal bending stresses of
    each throw, without the fillet's concentration [MPa].
    """

    thrust: Quantity
    closure: Quantity
    slope: Quantity
    bow: Quantity
    spacer_force: Quantity
    largest_runout: Quantity
    web_stress: Quantity
    pin_stress: Quantity
    _frame: frame.Frame = field(repr=False)
    _load: np.ndarray = field(repr=False)

    def offset(self, position):
        """Axis of the work from the line of centers after release, toward 0 and toward 90 degrees.

        Work cut true while squeezed moves back by what the squeeze moved it.

        Parameters
        ----------
        position : Quantity, scalar or array [length]
            From the crank's left end. Along a pin the pin's axis is meant, by
            how much it comes to stand wrong; elsewhere the mains.

        Returns
        -------
        Quantity [um], with a last axis of two

        Raises
        ------
        TypeError, pint.DimensionalityError, ValueError
            A bad position, or one off the crank.

        Notes
        -----
        Basis: derived.
        """
        place = magnitude(position, "mm", "position", least=0)
        total = self._frame.segments[-1].end
        if np.any(place > total * (1 + 1e-9)):
            raise ValueError(
                f"position must be on the crank, at most {total:.6g} mm from its left end; write it in mm"
            )
        moved = self._frame.response(self._frame.places(np.ravel(place)), self._load)[:, 1:3]
        return Quantity(-1e3 * moved.reshape(np.shape(place) + (2,)), MICROMETER)

    def runout(self, position):
        """Total indicator reading left after release: twice the axis's offset.

        Parameters
        ----------
        position : Quantity, scalar or array [length]
            From the crank's left end.

        Returns
        -------
        Quantity [um]

        Raises
        ------
        TypeError, pint.DimensionalityError, ValueError
            As for ``offset``.

        Notes
        -----
        Basis: derived; nothing but the squeeze is counted.
        """
        reading = 2 * np.linalg.norm(self.offset(position).magnitude, axis=-1)
        return Quantity(float(reading) if reading.ndim == 0 else reading, MICROMETER)

    def motion(self, position):
        """Motions of the axis while squeezed, for drawing: along x, y, z and about x, y, z.

        Parameters
        ----------
        position : Quantity [length], or plain numbers in mm
            From the crank's left end; x runs along the crank, y toward angle zero.

        Returns
        -------
        ndarray [mm and rad], one row of six a position

        Raises
        ------
        pint.DimensionalityError, ValueError
            A position of another kind, or none at all.

        Notes
        -----
        Basis: derived. Inside a web the motion is that of its end on the main axis.
        """
        place = (
            magnitude(position, "mm", "position") if isinstance(position, Quantity) else position
        )
        return self._frame.response(self._frame.places(place), self._load)


def squeeze(crank, thrust, spacers=None):
    """Closure, tilt, runout and spacer force of a crank pressed between centers.

    Each spacer bears what makes up its misfit and the closure, through the
    stiffness of throws, spacers and contacts; it never pulls.

    Parameters
    ----------
    crank : Crank
    thrust : Quantity, scalar [force]
        Of the tailstock; zero or above.
    spacers : Spacer or sequence of Spacer, optional
        None, one, or several, in some or all throws.

    Returns
    -------
    Squeezed

    Raises
    ------
    TypeError, pint.DimensionalityError
        A size has no unit, or is of another kind.
    ValueError
        A negative thrust, a throw that is not there, a spacer that does not
        fit beside the pin, an unknown steel.

    Notes
    -----
    Basis: fitted data; the corrected beam frame of ``frame.build``, whose
    range it has. Warns where the nominal stress passes the steel's yield
    strength: such a throw stays bent.
    """
    force = magnitude(thrust, "N", "thrust", least=0, one=True)
    spacers = listed(spacers)
    plan = plan_for(crank, spacers)
    forces = plan.forces(
        force, np.array([magnitude(spacer.misfit, "mm", "misfit", one=True) for spacer in spacers])
    )
    built = plan.frame
    load = force * built.thrust + forces @ plan.gap_rows[: len(forces)]
    mains = built.places(main_samples(built.segments).ravel())
    moved = built.response(mains, load)[:, 1:3].reshape(-1, SAMPLES, 2)
    chord = moved[:, -1] - moved[:, 0]
    lengths = np.array([piece.length for piece in built.segments if piece.kind == "journal"])
    straight = moved[:, :1] + chord[:, None] * np.linspace(0, 1, SAMPLES)[:, None]
    web, pin = _stresses(crank, plan.arms, force, forces)
    return Squeezed(
        thrust=Quantity(force, NEWTON),
        closure=Quantity(
            -1e3 * (plan.gap_rows[len(forces) :] @ (built.compliance @ load) + plan.dents @ forces),
            MICROMETER,
        ),
        slope=Quantity(chord / lengths[:, None], RADIAN),
        bow=Quantity(1e3 * np.linalg.norm(moved - straight, axis=-1).max(axis=-1), MICROMETER),
        spacer_force=Quantity(forces, NEWTON),
        largest_runout=Quantity(1e3 * plan.reading(force, forces), MICROMETER),
        web_stress=Quantity(web, MEGAPASCAL),
        pin_stress=Quantity(pin, MEGAPASCAL),
        _frame=built,
        _load=load,
    )


def runout_for_misfit(crank, thrust, spacer, misfit, others=()):
    """Largest runout of any main after release, for each misfit of a spacer.

    Parameters
    ----------
    crank : Crank
    thrust : Quantity, scalar [force]
    spacer : Spacer, or sequence of Spacer that share the misfit
        Its own misfit is not used.
    misfit : Quantity, scalar or array [length]
    others : Spacer or sequence of Spacer, optional
        Spacers that keep their own misfit.

    Returns
    -------
    Quantity [um]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As for ``squeeze``.

    Notes
    -----
    Basis: fitted data; as ``squeeze``.
    """
    tried = magnitude(misfit, "mm", "misfit")
    reading = _reading_of_misfit(crank, thrust, spacer, others)[0]
    found = np.array([1e3 * reading(value) for value in np.ravel(tried)]).reshape(np.shape(tried))
    return Quantity(float(found) if found.ndim == 0 else found, MICROMETER)


def misfit_limits(crank, thrust, allowed_runout, spacer, others=()):
    """How much shorter or longer than the free gap a spacer may be.

    Parameters
    ----------
    crank : Crank
    thrust : Quantity, scalar [force]
    allowed_runout : Quantity, scalar [length]
        Total indicator reading allowed on any main after release.
    spacer : Spacer, or sequence of Spacer that share the misfit
        Its own misfit is not used.
    others : Spacer or sequence of Spacer, optional
        Spacers that keep their own misfit.

    Returns
    -------
    (Quantity, Quantity) [um]
        Shortest and longest misfit. The shortest is minus infinity where the
        crank stays within the runout with this spacer left out.

    Raises
    ------
    ValueError
        No misfit keeps within the runout; the message tells the least that
        can be had. Otherwise as for ``squeeze``.

    Notes
    -----
    Basis: fitted data; as ``squeeze``. The range about the least reading is
    given; the reading is looked at in 41 steps before it is refined.
    """
    from scipy.optimize import brentq, minimize_scalar

    allowed = magnitude(allowed_runout, "mm", "allowed_runout", above=0, one=True)
    reading, touch, scale = _reading_of_misfit(crank, thrust, spacer, others)
    loose, high = reading(touch), touch + scale
    while reading(high) <= max(allowed, loose):
        high = touch + 2 * (high - touch)
    tried = np.linspace(touch, high, SCANNED)
    readings = np.array([reading(misfit) for misfit in tried])
    lowest = int(readings.argmin())
    beside = (tried[max(lowest - 1, 0)], tried[lowest + 1])
    best = minimize_scalar(
        reading, bounds=beside, method="bounded", options={"xatol": 1e-9 * (high - touch)}
    )
    bottom, least = (
        (float(best.x), float(best.fun))
        if best.fun < readings[lowest]
        else (tried[lowest], readings[lowest])
    )
    if least > allowed:
        raise ValueError(
            f"allowed_runout of {as_text(Quantity(1e3 * allowed, 'um'))} cannot be kept with any misfit: "
            f"the least is {as_text(Quantity(1e3 * least, 'um'))}; allow more, press less, or pack the other throws"
        )

    def crossing(outside):
        return brentq(lambda misfit: reading(misfit) - allowed, bottom, outside, xtol=1e-12)

    longest = crossing(tried[lowest + 1 :][readings[lowest + 1 :] > allowed][0])
    too_short = tried[:lowest][readings[:lowest] > allowed]
    shortest = crossing(too_short[-1]) if too_short.size else -np.inf
    return Quantity(1e3 * shortest, MICROMETER), Quantity(1e3 * longest, MICROMETER)


def _reading_of_misfit(crank, thrust, spacer, others):
    """Reading [mm] as a function of the shared misfit [mm], the misfit where the first spacer touches, and a scale."""
    force = magnitude(thrust, "N", "thrust", least=0, one=True)
    moving, fixed = listed(spacer), listed(others)
    if not moving:
        raise ValueError("spacer is empty: give at least one Spacer")
    plan = plan_for(crank, moving + fixed)
    kept = np.array([magnitude(other.misfit, "mm", "misfit", one=True) for other in fixed])
    closing = plan.closing[: len(moving)]

    def reading(value):
        return plan.reading(
            force, plan.forces(force, np.concatenate([np.full(len(moving), value), kept]))
        )

    # no moving spacer bears yet where its misfit and the closure by thrust and fixed spacers come to zero
    alone = plan.forces(force, np.concatenate([np.full(len(moving), -1e3), kept]))
    touch = float(
        np.min(plan.give[: len(moving), len(moving) :] @ alone[len(moving) :] - closing * force)
    )
    return reading, touch, float(np.abs(closing).max()) * max(force, 1.0)


def _stresses(crank, arms, thrust, forces):
    """Nominal stresses in web and pin of every throw [MPa], at the pin's axis: the moment of thrust and spacers there."""
    web, pin = np.zeros(len(crank.throws)), np.zeros(len(crank.throws))
    for index, throw in enumerate(crank.plain.throws):
        own = [
            (force, throw.radius - along, across)
            for (place, along, across), force in zip(arms, forces, strict=True)
            if place == index
        ]
        moment = thrust * throw.radius - sum(force * arm for force, arm, _ in own)
        sideways = sum(force * across for force, _, across in own)
        pull = abs(sum(force for force, _, _ in own) - thrust)
        web[index] = 6 * abs(moment) / (throw.web_width * throw.web_thickness**2)
        pin[index] = 32 * np.hypot(moment, sideways) / (
            np.pi * throw.pin_diameter**3
        ) + 4 * pull / (np.pi * throw.pin_diameter**2)
    limit = steels.find(crank.steel).yield_strength.m_as("MPa")
    worst = max(web.max(), pin.max())
    if worst > limit:
        say(
            f"the nominal stress of {worst:.3g} MPa passes the yield strength of {crank.steel}, {limit:.3g} MPa: the throw would stay bent"
        )
    return web, pin
