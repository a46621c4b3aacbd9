"""Mass, center and inertia of a crank, what it shakes, what balances it, and how well it has to be balanced."""

import csv
import warnings
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from . import steels
from .units import OutOfRangeWarning, Quantity, magnitude, number

# no crank of several throws is made exactly: below this share of one throw's unbalance it counts as balanced
BALANCED_SHARE = 0.02


@dataclass(frozen=True)
class MassProperties:
    """Mass, center and inertia. x runs along the axis from the left end, y at 0 deg, z at 90 deg.

    ``inertia`` is about the mass center, ``axis_inertia`` about the main axis. ``unbalance`` is mass times offset
    as a vector (y, z); ``couple_unbalance`` the sum of mass, offset and distance along x from the mass center.
    """

    mass: Quantity
    center: Quantity
    inertia: Quantity
    axis_inertia: Quantity
    unbalance: Quantity
    couple_unbalance: Quantity

    @property
    def unbalance_size(self):
        """Length of the unbalance vector [g*mm]."""
        return Quantity(float(np.hypot(*self.unbalance.m_as("g*mm"))), "g*mm")


@dataclass(frozen=True)
class Counterweight:
    """A sector on a web: half of its opening angle, its mass, the radius of its mass center."""

    half_angle: Quantity
    mass: Quantity
    center_radius: Quantity


@dataclass(frozen=True)
class ShakingForces:
    """Forces and couples of the reciprocating parts over a turn.

    Each of ``primary`` and ``secondary`` holds four complex plain numbers in N and N m: the part of the force that turns
    with the crank (or twice as fast), the part that turns against it, and the same of the couple.
    """

    primary: tuple
    secondary: tuple

    def force(self, crank_angle, order=None):
        """Force along 0 deg and across it at a crank angle; order 1 or 2 alone, or both.

        Parameters
        ----------
        crank_angle : Quantity, scalar or array [angle]
        order : 1, 2 or None

        Returns
        -------
        tuple of Quantity (along, across) [N]

        Notes
        -----
        Basis: derived.
        """
        return self._at(crank_angle, order, 0, "N")

    def couple(self, crank_angle, order=None):
        """Couple of the forces along 0 deg and of those across; as ``force``.

        Parameters
        ----------
        crank_angle : Quantity, scalar or array [angle]
        order : 1, 2 or None

        Returns
        -------
        tuple of Quantity (along, across) [N*m]

        Notes
        -----
        Basis: derived.
        """
        return self._at(crank_angle, order, 2, "N*m")

    def largest(self, order, kind="force"):
        """Largest force or couple of one order in a turn, whichever way it points.

        Parameters
        ----------
        order : 1 or 2
        kind : "force" or "couple"

        Returns
        -------
        Quantity [N or N*m]

        Notes
        -----
        Basis: derived; two vectors turning against each other meet twice a turn.
        """
        if kind not in ("force", "couple"):
            raise ValueError(f"kind must be force or couple, not {kind!r}")
        terms, first = self._terms(order)[0][0], 2 if kind == "couple" else 0
        return Quantity(float(abs(terms[first]) + abs(terms[first + 1])), "N*m" if first else "N")

    def _terms(self, order):
        if order not in (1, 2):
            raise ValueError(f"order must be 1 or 2, not {order!r}")
        return ((self.primary, 1),) if order == 1 else ((self.secondary, 2),)

    def _at(self, crank_angle, order, first, unit):
        turned = magnitude(crank_angle, "rad", "crank_angle")
        terms = ((self.primary, 1), (self.secondary, 2)) if order is None else self._terms(order)
        total = sum(part[first] * np.exp(1j * times * turned) + part[first + 1] * np.exp(-1j * times * turned) for part, times in terms)
        return Quantity(np.real(total)[()], unit), Quantity(np.imag(total)[()], unit)


def mass_properties(crank, density=None, fillets=True):
    """Mass, mass center, inertia and unbalance of a crank by exact integration of its parts.

    Journals and pins are cylinders, webs blocks of thickness x width from ``web_reach`` beyond one axis to ``web_reach``
    beyond the other, fillets rings of circular section. Center holes and oil ways are left out.

    Parameters
    ----------
    crank : Crank
    density : Quantity, scalar, optional [mass/volume]
        That of the crank's steel without it.
    fillets : bool
        Count the rings of metal in the fillets.

    Returns
    -------
    MassProperties

    Raises
    ------
    TypeError
        The density has no unit.
    ValueError
        The steel is not known and no density is given.

    Warns
    -----
    OutOfRangeWarning
        A fillet's ring is wider than its web: the part that hangs over is counted though it is cut away.

    Notes
    -----
    Basis: derived. Cylinder and block in closed form, the fillet's ring by Gauss's rule of 24 points on its smooth form.
    """
    per_volume = magnitude(steels.find(crank.steel).density if density is None else density, "kg/m**3", "density", above=0) * 1e-9
    parts = [_turned(*part) for part in _parts(crank, fillets)]
    volume = sum(part[0] for part in parts)
    center = sum(part[0] * part[1] for part in parts) / volume
    about_origin = sum(part[2] + part[0] * _spread(part[1]) for part in parts)
    about_center = about_origin - volume * _spread(center)
    mass = volume * per_volume
    return MassProperties(
        Quantity(float(mass), "kg"), Quantity(center, "mm"), Quantity(about_center * per_volume, "kg*mm**2"),
        Quantity(float(about_origin[0, 0] * per_volume), "kg*mm**2"), Quantity(mass * center[1:] * 1000, "g*mm"),
        Quantity(-about_center[0, 1:] * per_volume * 1000, "g*mm**2"),
    )  # fmt: skip


def _spread(vector):
    """Inertia tensor of a unit mass at a point."""
    return vector @ vector * np.eye(3) - np.outer(vector, vector)


def _parts(crank, fillets):
    """Volume, center, own inertia (unit density) in the throw's frame, and the throw's angle, of each part in mm."""
    pieces, parts, arcs = crank.segments(), [], []
    for place, piece in enumerate(pieces):
        if piece.kind == "web":
            throw = crank.throws[piece.index]
            reach, wide = throw.web_reach.m_as("mm"), throw.web_width.m_as("mm")
            offset, tall = throw.radius.m_as("mm"), throw.radius.m_as("mm") + 2 * reach
            volume = piece.length * wide * tall
            own = volume / 12 * np.array([wide**2 + tall**2, piece.length**2 + wide**2, piece.length**2 + tall**2])
            parts.append((volume, (piece.start + piece.length / 2, offset / 2), own, throw.angle.m_as("rad")))
            continue
        part = (crank.journals if piece.kind == "journal" else crank.throws)[piece.index]
        diameter = part.diameter if piece.kind == "journal" else part.pin_diameter
        offset, turn = (0.0, 0.0) if piece.kind == "journal" else (part.radius.m_as("mm"), part.angle.m_as("rad"))
        half, arc = diameter.m_as("mm") / 2, part.fillet.m_as("mm")
        volume = np.pi * half**2 * piece.length
        across = volume * (half**2 / 4 + piece.length**2 / 12)
        parts.append((volume, (piece.start + piece.length / 2, offset), np.array([volume * half**2 / 2, across, across]), turn))
        for web, face, way in ((place - 1, piece.start, 1), (place + 1, piece.end, -1)):
            if fillets and arc > 0 and 0 <= web < len(pieces):
                volume, along, own = _ring(half, arc)
                parts.append((volume, (face + way * along, offset), own, turn))
                throw = crank.throws[pieces[web].index]
                if half + arc > min(throw.web_reach.m_as("mm"), throw.web_width.m_as("mm") / 2) * (1 + 1e-9):
                    arcs.append(f"{piece.kind} {piece.index + 1}")
    if arcs:
        warnings.warn(f"the fillet of {', '.join(dict.fromkeys(arcs))} is wider than its web; mass_properties counts the part "
                      "that hangs over, at most a few tenths of a percent of the mass", OutOfRangeWarning, stacklevel=3)  # fmt: skip
    return parts


@cache
def _gauss():
    points, weights = np.polynomial.legendre.leggauss(24)
    return (points + 1) * np.pi / 4, weights * np.pi / 4


def _ring(half, arc):
    """Volume, distance from the web's face and own inertia of a fillet's ring about a round of radius ``half``."""
    turn, weight = _gauss()
    along, weight = arc * (1 - np.cos(turn)), weight * arc * np.sin(turn)
    outer = half + arc * (1 - np.sin(turn))
    area, polar = np.pi * (outer**2 - half**2), np.pi / 2 * (outer**4 - half**4)
    volume = weight @ area
    center = weight @ (area * along) / volume
    around, across = weight @ polar, weight @ (polar / 2 + area * (along - center) ** 2)
    return volume, center, np.array([around, across, across])


def _turned(volume, place, own, angle):
    """A part of the throw's frame, turned into the crank's: volume, center, inertia tensor."""
    cos, sin = np.cos(angle), np.sin(angle)
    turn = np.array([[1, 0, 0], [0, cos, -sin], [0, sin, cos]])
    return volume, turn @ np.array([place[0], place[1], 0.0]), turn @ np.diag(own) @ turn.T


def unbalance_in_planes(unbalances, angles, positions, planes):
    """Two masses times radii that balance given ones, each in its own plane along the shaft.

    Parameters
    ----------
    unbalances : Quantity, array [mass*length]
        Mass times radius of each.
    angles : Quantity, array [angle]
    positions : Quantity, array [length]
        Along the shaft.
    planes : Quantity, two values [length]
        Where the balance weights go.

    Returns
    -------
    tuple of Quantity (sizes [g*mm], angles [deg])
        Two values each; the angle is where the weight is put.

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        The two planes are one, or lengths of the lists differ.

    Notes
    -----
    Basis: derived; forces and moments about each plane are zero.
    """
    size = np.atleast_1d(magnitude(unbalances, "g*mm", "unbalances"))
    turn = np.atleast_1d(magnitude(angles, "rad", "angles"))
    along = np.atleast_1d(magnitude(positions, "mm", "positions"))
    places = np.atleast_1d(magnitude(planes, "mm", "planes"))
    if not size.shape == turn.shape == along.shape:
        raise ValueError(f"unbalances, angles and positions need equally many values, not {size.size}, {turn.size} and {along.size}")
    if places.shape != (2,) or np.isclose(*places):
        raise ValueError(f"planes needs two different places along the shaft, not {places}")
    vectors = size * np.exp(1j * turn)
    right = -(vectors * (along - places[0])).sum() / (places[1] - places[0])
    needed = np.array([-vectors.sum() - right, right])
    return Quantity(abs(needed), "g*mm"), Quantity(np.degrees(np.angle(needed)) % 360, "deg")


def counterweight(unbalance, thickness, outer_radius, inner_radius, density):
    r"""Sector of a ring that has a wanted mass times radius.

    .. math:: U = \tfrac{2}{3} \rho\, t\, (R_o^3 - R_i^3) \sin\alpha

    Parameters
    ----------
    unbalance : Quantity, scalar [mass*length]
        Wanted mass times radius of this one sector.
    thickness, outer_radius, inner_radius : Quantity, scalar [length]
    density : Quantity, scalar [mass/volume]

    Returns
    -------
    Counterweight

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        Not even a half ring is enough, or the inner radius is not the smaller one.

    Notes
    -----
    Basis: derived. A sector wider than a half ring loses unbalance again, so 90 deg each way is the most.
    """
    wanted = magnitude(unbalance, "kg*m", "unbalance", above=0)
    thick, outer = magnitude(thickness, "m", "thickness", above=0), magnitude(outer_radius, "m", "outer_radius", above=0)
    inner, per_volume = magnitude(inner_radius, "m", "inner_radius", least=0), magnitude(density, "kg/m**3", "density", above=0)
    if inner >= outer:
        raise ValueError(f"inner_radius must be smaller than outer_radius, not {inner * 1000:g} and {outer * 1000:g} mm")
    most = 2 / 3 * per_volume * thick * (outer**3 - inner**3)
    if wanted > most:
        raise ValueError(f"unbalance: a half ring of these sizes has {most * 1e6:.0f} g mm, {wanted * 1e6:.0f} g mm are wanted; "
                         "make the sector thicker, larger outside, or of heavier metal")  # fmt: skip
    half = np.arcsin(wanted / most)
    mass = per_volume * thick * half * (outer**2 - inner**2)
    return Counterweight(Quantity(float(np.degrees(half)), "deg"), Quantity(float(mass), "kg"), Quantity(float(wanted / mass * 1000), "mm"))


def balance_mass(rotating_mass, reciprocating_mass, share, throw, balance_radius):
    r"""Mass opposite the crank that balances all rotating and a share of reciprocating mass.

    .. math:: m_b = (m_r + c\, m_o)\, e / r_b

    Parameters
    ----------
    rotating_mass, reciprocating_mass : Quantity [mass]
        At the pin's radius; a connecting rod counts partly with each.
    share : float
        Part c of the reciprocating mass, 0 to 1; 1/2 to 2/3 is common practice, no source.
    throw, balance_radius : Quantity [length]

    Returns
    -------
    Quantity [kg]

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        A mass or radius is impossible, or the share is not 0 to 1.

    Notes
    -----
    Basis: derived. What the share takes from the force along the stroke it adds across it.
    """
    rotating = magnitude(rotating_mass, "kg", "rotating_mass", least=0)
    moving = magnitude(reciprocating_mass, "kg", "reciprocating_mass", least=0)
    part = number(share, "share", least=0, most=1)
    return Quantity((rotating + part * moving) * magnitude(throw, "mm", "throw", above=0)
                    / magnitude(balance_radius, "mm", "balance_radius", above=0), "kg")  # fmt: skip


def shaking_forces(reciprocating_mass, throw, rod_length, speed, angles=None, positions=None, bank_angles=None, share=0.0):
    r"""Primary and secondary shaking forces and couples of any row of throws.

    .. math:: F = m\, e\, \omega^2 (\cos\theta + \lambda \cos 2\theta), \quad \lambda = e / l

    Rotating masses are taken as balanced; ``share`` of the reciprocating mass is balanced opposite each throw.

    Parameters
    ----------
    reciprocating_mass : Quantity, scalar or one a cylinder [mass]
    throw, rod_length : Quantity, scalar or one a cylinder [length]
    speed : Quantity, scalar [rev/time]
    angles : Quantity, one a cylinder, optional [angle]
        Where each throw stands; all at zero without it.
    positions : Quantity, one a cylinder, optional [length]
        Along the shaft, from the place the couple is reckoned about.
    bank_angles : Quantity, one a cylinder, optional [angle]
        Line of each stroke; all at zero (in line) without it.
    share : float
        Part of the reciprocating mass balanced opposite each throw.

    Returns
    -------
    ShakingForces

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        A size is impossible, the rod shorter than the throw, or lengths of the lists differ.

    Warns
    -----
    OutOfRangeWarning
        A rod shorter than three throws: the higher terms left out, about lambda^3 / 2, reach 2 % of the primary force.

    Notes
    -----
    Basis: derived, the slider's acceleration to the second order; the form stands in every text on machine dynamics.
    """
    mass, radius = magnitude(reciprocating_mass, "kg", "reciprocating_mass", least=0), magnitude(throw, "m", "throw", above=0)
    rod, turning = magnitude(rod_length, "m", "rod_length", above=0), magnitude(speed, "rpm", "speed", above=0) * np.pi / 30
    turn, bank = (0.0 if value is None else magnitude(value, "rad", name) for value, name in ((angles, "angles"), (bank_angles, "bank_angles")))
    along = 0.0 if positions is None else magnitude(positions, "m", "positions")
    part = number(share, "share", least=0, most=1)
    try:
        mass, radius, rod, turn, bank, along, part = np.broadcast_arrays(mass, radius, rod, turn, bank, along, part)
    except ValueError:
        raise ValueError("angles, positions, bank_angles and masses need equally many values, one a cylinder, or one for all") from None
    ratio = radius / rod
    if np.any(ratio >= 1):
        raise ValueError(f"rod_length must be longer than the throw, not {1 / ratio.max():.3g} throws")
    if np.any(ratio > 1 / 3):
        warnings.warn(f"rod_length is only {1 / ratio.max():.3g} throws: the terms left out reach {50 * ratio.max() ** 3:.0f} % of the primary force",
                      OutOfRangeWarning, stacklevel=2)  # fmt: skip
    size = mass * radius * turning**2
    # a force along a fixed line is two vectors of half its size that turn against each other
    with_crank, against = size * (0.5 - part) * np.exp(1j * turn), size / 2 * np.exp(1j * (2 * bank - turn))
    twice, twice_against = (size * ratio / 2 * np.exp(1j * (2 * turn - bank)), size * ratio / 2 * np.exp(1j * (3 * bank - 2 * turn)))

    def summed(*vectors):
        return tuple(complex((vector * arm).sum()) for arm in (1.0, along) for vector in vectors)

    return ShakingForces(summed(with_crank, against), summed(twice, twice_against))


@cache
def _grade_table():
    with (files("crankmath") / "data" / "balance_grades.csv").open(encoding="utf-8") as lines:
        return {row["machine"]: float(row["grade_mm_s"]) for row in csv.DictReader(lines)}


def balance_grade(machine):
    """Balance quality grade that the standard proposes for a kind of machine.

    Parameters
    ----------
    machine : str
        For example "general machinery"; the error message lists all.

    Returns
    -------
    float [mm/s]

    Raises
    ------
    ValueError
        No such machine.

    Notes
    -----
    Basis: standard. ISO 21940-11 Table 1 (a reproduction seen), rows in ``data/balance_grades.csv``.
    """
    if machine not in _grade_table():
        raise ValueError(f"machine must be one of {'; '.join(_grade_table())}; not {machine!r}")
    return _grade_table()[machine]


def inherently_balanced(crank):
    """Whether the throws of a crank cancel each other, in force and in couple.

    Parameters
    ----------
    crank : Crank

    Returns
    -------
    bool

    Notes
    -----
    Basis: derived; webs and pins are summed as made, limit 2 % of one throw's unbalance, own choice.
    """
    found = mass_properties(crank, density=Quantity(1, "kg/m**3"), fillets=False)
    parts = [_turned(*part) for part in _parts(crank, False)]
    one = max(part[0] * np.hypot(*part[1][1:]) for part in parts) * 1e-6
    span = crank.length.m_as("mm")
    return bool(found.unbalance_size.m_as("g*mm") < BALANCED_SHARE * one
                and np.hypot(*found.couple_unbalance.m_as("g*mm**2")) < BALANCED_SHARE * one * span)  # fmt: skip


def permissible_unbalance(mass, speed, grade, crank=None):
    r"""Residual unbalance that a balance quality grade allows.

    .. math:: U_{per} = G\, m / \omega

    Parameters
    ----------
    mass : Quantity, scalar or array [mass]
        Of the whole rotor.
    speed : Quantity, scalar or array [rev/time]
        Highest service speed.
    grade : float
        G in mm/s, for example 6.3; see ``balance_grade``.
    crank : Crank, optional
        The rotor. A crank whose throws do not cancel is then warned about.

    Returns
    -------
    Quantity [g*mm]
        To be shared between two planes; half each where the mass center lies midway.

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        A value is zero or negative.

    Warns
    -----
    OutOfRangeWarning
        A grade finer than the standard proposes for the given crank.

    Notes
    -----
    Basis: standard. ISO 21940-11; the grade is the speed of the mass center. The standard puts an inherently unbalanced
    crank drive at G 250 (bolted down) or G 630 (on springs): **G 6.3 of general machinery does not apply to a single crank**,
    whose balance is a choice of counterweight, not of a residual.
    """
    quality = number(grade, "grade", above=0)
    allowed = quality * magnitude(mass, "kg", "mass", above=0) / (magnitude(speed, "rpm", "speed", above=0) * np.pi / 30) * 1000
    if crank is not None and not inherently_balanced(crank):
        proposed = balance_grade("crank drive, inherently unbalanced, bolted down")
        if np.any(quality < proposed):
            warnings.warn(f"the throws of “{crank.name}” do not cancel: an inherently unbalanced crank drive is G {proposed:g} or coarser "
                          f"in ISO 21940-11; a grade of {np.min(quality):g} asks for what no counterweight alone can give",
                          OutOfRangeWarning, stacklevel=2)  # fmt: skip
    return Quantity(allowed, "g*mm")
