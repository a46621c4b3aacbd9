"""Squeeze between centers, and the spacers that share it: what the thrust closes and what misfit costs.

Thrust on the main axis closes each throw like a C. The mains tilt, are cut true
in that state, and run out when the centers let go.
"""

import warnings
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from . import frame, steels
from .thrust import center_pressure, center_thrust_limit, closure_thrust, felt_gap, screw_thrust, shim_pack, spring_thrust
from .units import OutOfRangeWarning, Quantity, as_text, magnitude, ureg

MICROMETER, NEWTON, RADIAN, MEGAPASCAL = (ureg.Unit(unit) for unit in ("um", "N", "rad", "MPa"))
SAMPLES = 9  # places along a main where its runout is looked for
# Give of a web's face under a spacer, beyond the web's bending: near it, less what the web behind holds. Fitted to 3-D solid finite elements.
FACE_NEAR, FACE_BEHIND = 0.46, 0.25
NOTHING = Quantity(0.0, "mm")


@dataclass(frozen=True)
class Spacer:
    """A round spacer in the gap of a throw.

    Parameters
    ----------
    throw : int
        Counts throws from zero, left to right.
    misfit : Quantity [length]
        How much longer than the free gap; negative when it is shorter.
    diameter : Quantity [length]
    bore : Quantity [length]
        Zero for a solid spacer.
    along, across : Quantity [length]
        Where its axis stands: from the main axis toward the pin, and sideways
        toward 90 degrees after the throw.
    modulus : Quantity [stress]
        Modulus of elasticity of the spacer; steel without it.
    contact : Quantity [length/force]
        Give of joints, shims and rough faces together, beside the dents in the
        webs' faces, which are reckoned in any case.

    Notes
    -----
    Basis: derived; the dents fitted to 3-D solid finite elements.
    """

    throw: int
    misfit: Quantity
    diameter: Quantity
    bore: Quantity = NOTHING
    along: Quantity = NOTHING
    across: Quantity = NOTHING
    modulus: Quantity = field(default=Quantity(206.0, "GPa"))
    contact: Quantity = field(default=Quantity(0.0, "mm/N"))


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
            raise ValueError(f"position must be on the crank, at most {total:.6g} mm from its left end; write it in mm")
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
        position : ndarray [mm]
            From the crank's left end; x runs along the crank, y toward angle zero.

        Returns
        -------
        ndarray [mm and rad], one row of six a position

        Notes
        -----
        Basis: derived. Inside a web the motion is that of its end on the main axis.
        """
        return self._frame.response(self._frame.places(position), self._load)


@dataclass(frozen=True)
class _Plan:
    """What squeeze needs of a crank with spacers in it, misfit and thrust apart (mm, N)."""

    frame: frame.Frame
    gap_rows: np.ndarray  # openings at the spacers, then on the main axis in every throw
    give: np.ndarray  # spacer, spacer
    closing: np.ndarray  # of those gaps by a unit thrust
    arms: tuple  # throw, along and across of every spacer
    dents: np.ndarray  # throw, spacer: in the faces on the main axis, per force
    per_thrust: np.ndarray  # motion of the mains: place, direction
    per_force: np.ndarray  # spacer, place, direction

    def forces(self, thrust, misfits):
        """Force in every spacer: none pulls, and one that bears makes up misfit and closure."""
        wanted = misfits + self.closing[: len(misfits)] * thrust
        if len(misfits) < 2:
            return np.maximum(wanted / np.diag(self.give), 0.0)
        from scipy.optimize import nnls

        lower = np.linalg.cholesky(self.give)
        return nnls(lower.T, np.linalg.solve(lower, wanted))[0]

    def reading(self, thrust, forces):
        """Largest indicator reading of any main after release [mm]."""
        moved = self.per_thrust * thrust + np.tensordot(forces, self.per_force, 1)
        return 2 * float(np.linalg.norm(moved, axis=-1).max())


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
    force = _scalar(thrust, "N", "thrust", least=0)
    spacers = _listed(spacers)
    plan = _plan(crank, spacers)
    forces = plan.forces(force, np.array([_scalar(spacer.misfit, "mm", "misfit") for spacer in spacers]))
    built = plan.frame
    load = force * built.thrust + forces @ plan.gap_rows[: len(forces)]
    mains = built.places(_samples(built.segments).ravel())
    moved = built.response(mains, load)[:, 1:3].reshape(-1, SAMPLES, 2)
    chord = moved[:, -1] - moved[:, 0]
    lengths = np.array([piece.length for piece in built.segments if piece.kind == "journal"])
    straight = moved[:, :1] + chord[:, None] * np.linspace(0, 1, SAMPLES)[:, None]
    web, pin = _stresses(crank, plan.arms, force, forces)
    return Squeezed(
        thrust=Quantity(force, NEWTON),
        closure=Quantity(-1e3 * (plan.gap_rows[len(forces):] @ (built.compliance @ load) + plan.dents @ forces), MICROMETER),
        slope=Quantity(chord / lengths[:, None], RADIAN),
        bow=Quantity(1e3 * np.linalg.norm(moved - straight, axis=-1).max(axis=-1), MICROMETER),
        spacer_force=Quantity(forces, NEWTON),
        largest_runout=Quantity(1e3 * plan.reading(force, forces), MICROMETER),
        web_stress=Quantity(web, MEGAPASCAL),
        pin_stress=Quantity(pin, MEGAPASCAL),
        _frame=built,
        _load=load,
    )  # fmt: skip


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
        crank stays within the runout with no spacer.

    Raises
    ------
    ValueError
        No misfit keeps within the runout; the message tells the least that
        can be had. Otherwise as for ``squeeze``.

    Notes
    -----
    Basis: fitted data; as ``squeeze``. The reading falls, then rises with the
    misfit, so the limits enclose one range.
    """
    from scipy.optimize import brentq, minimize_scalar

    allowed = _scalar(allowed_runout, "mm", "allowed_runout", above=0)
    reading, touch, scale = _reading_of_misfit(crank, thrust, spacer, others)
    loose = reading(touch)
    low, high = touch - 2 * scale, touch + scale
    while reading(high) <= max(allowed, loose):
        high = touch + 2 * (high - touch)
    best = minimize_scalar(reading, bounds=(low, high), method="bounded", options={"xatol": 1e-9 * (high - low)})
    least = min(float(best.fun), loose)
    if least > allowed:
        raise ValueError(
            f"allowed_runout of {as_text(Quantity(1e3 * allowed, 'um'))} cannot be kept with any misfit: "
            f"the least is {as_text(Quantity(1e3 * least, 'um'))}; allow more, press less, or pack the other throws"
        )
    bottom = float(best.x) if best.fun <= loose else touch
    longest = brentq(lambda value: reading(value) - allowed, bottom, high, xtol=1e-12)
    shortest = -np.inf if reading(low) <= allowed else brentq(lambda value: reading(value) - allowed, low, bottom, xtol=1e-12)
    return Quantity(1e3 * shortest, MICROMETER), Quantity(1e3 * longest, MICROMETER)


def _reading_of_misfit(crank, thrust, spacer, others):
    """Reading [mm] as a function of the shared misfit [mm], the misfit where the first spacer touches, and a scale."""
    force = _scalar(thrust, "N", "thrust", least=0)
    moving, fixed = _listed(spacer), _listed(others)
    if not moving:
        raise ValueError("spacer is empty: give at least one Spacer")
    plan = _plan(crank, moving + fixed)
    kept = np.array([_scalar(other.misfit, "mm", "misfit") for other in fixed])
    closing = plan.closing[: len(moving)]

    def reading(value):
        return plan.reading(force, plan.forces(force, np.concatenate([np.full(len(moving), value), kept])))

    # no moving spacer bears yet where its misfit and the closure by thrust and fixed spacers come to zero
    alone = plan.forces(force, np.concatenate([np.full(len(moving), -1e3), kept]))
    touch = float(np.min(plan.give[: len(moving), len(moving):] @ alone[len(moving):] - closing * force))
    return reading, touch, float(np.abs(closing).max()) * max(force, 1.0)


def _scalar(value, unit, name, **bounds):
    found = magnitude(value, unit, name, **bounds)
    if not isinstance(found, float):
        raise ValueError(f"{name} takes one value at a time, not {found.size}")
    return found


def _listed(spacers):
    if spacers is None:
        return ()
    spacers = (spacers,) if isinstance(spacers, Spacer) else tuple(spacers)
    for spacer in spacers:
        if not isinstance(spacer, Spacer):
            raise TypeError(f"spacers takes Spacer(...) values, not {spacer!r}")
    return spacers


def bearing_gaps(crank, spacers, built):
    """Openings at spacers for unit free motions of a frame, and the give of gaps, spacers and contacts for unit forces in them.

    Parameters
    ----------
    crank : Crank
    spacers : sequence of Spacer
    built : frame.Frame

    Returns
    -------
    ndarray, ndarray [mm/N]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A spacer that does not fit.

    Notes
    -----
    Basis: fitted data; as ``squeeze``.
    """
    plan = _planned(built, tuple(_plain(crank, spacer) for spacer in _listed(spacers)), len(crank.throws))
    return plan.gap_rows[: len(plan.arms)], plan.give


def _plan(crank, spacers):
    return _planned(frame.build(crank), tuple(_plain(crank, spacer) for spacer in spacers), len(crank.throws))


@lru_cache(maxsize=64)
def _planned(built, spacers, throws):
    """Plan for spacers given as (throw, along, across, radius, give of spacer and joints, give of the faces it dents)."""
    arms, count = tuple(spacer[:3] for spacer in spacers), len(spacers)
    rows, compliance = built.gaps(arms + tuple((throw, 0.0, 0.0) for throw in range(throws)))
    give = compliance[:count, :count] + np.diag([own + dent for *_, own, dent in spacers])
    dents = np.zeros((throws, count))
    for number, (throw, along, across, radius, _, dent) in enumerate(spacers):
        dents[throw, number] = dent * (np.hypot(along, across) < radius)
    moves = built.compliance @ np.column_stack([built.thrust, rows[:count].T])
    places = built.places(_samples(built.segments).ravel())
    sampled = np.einsum("pdn,nk->kpd", places.rows[:, 1:3], moves)
    return _Plan(built, rows, give, -rows @ moves[:, 0], arms, dents, sampled[0], sampled[1:])


@lru_cache(maxsize=32)
def _samples(segments):
    """Places along each main, one row each [mm]."""
    return np.array([np.linspace(piece.start, piece.end, SAMPLES) for piece in segments if piece.kind == "journal"])


def _plain(crank, spacer):
    """Throw, along, across, radius [mm], give of spacer and joints, give of the faces it dents [mm/N], of a spacer that fits."""
    if isinstance(spacer.throw, bool) or spacer.throw not in range(len(crank.throws)):
        raise ValueError(f"throw must be from 0 to {len(crank.throws) - 1}: this crank has {len(crank.throws)} throws, not {spacer.throw!r}")
    throw = crank.throws[spacer.throw]
    diameter, bore = _scalar(spacer.diameter, "mm", "diameter", above=0), _scalar(spacer.bore, "mm", "bore", least=0)
    along, across = _scalar(spacer.along, "mm", "along"), _scalar(spacer.across, "mm", "across")
    modulus = _scalar(spacer.modulus, "MPa", "modulus", above=0)
    if bore >= diameter:
        raise ValueError("bore must be smaller than diameter; make the wall thicker")
    radius, pin, gap = (part.m_as("mm") for part in (throw.radius, throw.pin_diameter, throw.pin_length))
    width, reach, fillet = (part.m_as("mm") for part in (throw.web_width, throw.web_reach, throw.fillet))
    room = np.hypot(radius - along, across) - (diameter + pin) / 2
    if room < -1e-9 * diameter:
        raise ValueError(f"diameter is too large: the spacer in throw {spacer.throw} runs into the pin by {-room:.3g} mm; make it smaller or move it along")
    if abs(across) >= width / 2 or not -reach < along < radius + reach:
        raise ValueError(f"along and across put the spacer in throw {spacer.throw} off the web; stand it on the web")
    over = max(abs(across) + diameter / 2 - width / 2, diameter / 2 - along - reach, along + diameter / 2 - radius - reach)
    if over > 1e-9 * diameter:
        _say(f"the spacer in throw {spacer.throw} stands out past the web by {over:.3g} mm: its contact is softer than reckoned")
    if room < fillet * (1 - 1e-9):
        _say(f"the spacer in throw {spacer.throw} reaches into the pin's fillet: chamfer its edges by {fillet - room:.3g} mm")
    area = np.pi / 4 * (diameter**2 - bore**2)
    web = steels.find(crank.steel).elastic_modulus.m_as("MPa")
    dent = 0.0
    for journal in crank.journals[spacer.throw : spacer.throw + 2]:
        behind = np.sqrt(journal.diameter.m_as("mm") * throw.web_thickness.m_as("mm"))
        dent += max(FACE_NEAR / np.sqrt(area / np.pi) - FACE_BEHIND / behind, 0.0) / web
    contact = _scalar(spacer.contact, "mm/N", "contact", least=0)
    return spacer.throw, along, across, diameter / 2, gap / (modulus * area) + contact, dent


def _say(words):
    warnings.warn(words, OutOfRangeWarning, stacklevel=4)


def _stresses(crank, arms, thrust, forces):
    """Nominal stresses in web and pin of every throw [MPa], at the pin's axis: the moment of thrust and spacers there."""
    web, pin = np.zeros(len(crank.throws)), np.zeros(len(crank.throws))
    for index, throw in enumerate(crank.throws):
        radius, diameter, thickness, width = (
            part.m_as("mm") for part in (throw.radius, throw.pin_diameter, throw.web_thickness, throw.web_width)
        )
        own = [(force, radius - along, across) for (place, along, across), force in zip(arms, forces, strict=True) if place == index]
        moment = thrust * radius - sum(force * arm for force, arm, _ in own)
        sideways = sum(force * across for force, _, across in own)
        pull = abs(sum(force for force, _, _ in own) - thrust)
        web[index] = 6 * abs(moment) / (width * thickness**2)
        pin[index] = 32 * np.hypot(moment, sideways) / (np.pi * diameter**3) + 4 * pull / (np.pi * diameter**2)
    limit = steels.find(crank.steel).yield_strength.m_as("MPa")
    worst = max(web.max(), pin.max())
    if worst > limit:
        _say(f"the nominal stress of {worst:.3g} MPa passes the yield strength of {crank.steel}, {limit:.3g} MPa: the throw would stay bent")
    return web, pin
