"""Primary and secondary shaking forces and couples: of any row of throws, and of a crank with its counterweights."""

import warnings
from dataclasses import dataclass

import numpy as np

from ..checks import made
from ..crank import Crank
from ..crank.mass import throw_unbalance
from ..units import OutOfRangeWarning, Quantity, magnitude, number


@dataclass(frozen=True)
class ShakingForces:
    """Forces and couples over a turn of the parts that go to and fro, and of what turns unbalanced.

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
        total = sum(
            part[first] * np.exp(1j * times * turned)
            + part[first + 1] * np.exp(-1j * times * turned)
            for part, times in terms
        )
        return Quantity(np.real(total)[()], unit), Quantity(np.imag(total)[()], unit)


def shaking_forces(
    reciprocating_mass,
    throw,
    rod_length,
    speed,
    angles=None,
    positions=None,
    bank_angles=None,
    share=0.0,
    turning_unbalance=None,
):
    r"""Primary and secondary shaking forces and couples of any row of throws.

    .. math:: F = m\, e\, \omega^2 (\cos\theta + \lambda \cos 2\theta), \quad \lambda = e / l

    What turns is taken as balanced but for ``turning_unbalance``; ``share`` of the reciprocating mass is balanced opposite each throw.

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
    turning_unbalance : Quantity, scalar or one a cylinder, optional [mass*length]
        Mass times radius of what turns with each throw, less its counterweights; it points at the pin, or away from it where negative.

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
    mass, radius = (
        magnitude(reciprocating_mass, "kg", "reciprocating_mass", least=0),
        magnitude(throw, "m", "throw", above=0),
    )
    rod, turning = (
        magnitude(rod_length, "m", "rod_length", above=0),
        magnitude(speed, "rpm", "speed", above=0) * np.pi / 30,
    )
    turn, bank = (
        0.0 if value is None else magnitude(value, "rad", name)
        for value, name in ((angles, "angles"), (bank_angles, "bank_angles"))
    )
    along = 0.0 if positions is None else magnitude(positions, "m", "positions")
    part = number(share, "share", least=0, most=1)
    left = (
        0.0
        if turning_unbalance is None
        else magnitude(turning_unbalance, "kg*m", "turning_unbalance")
    )
    try:
        mass, radius, rod, turn, bank, along, part, left = np.broadcast_arrays(
            mass, radius, rod, turn, bank, along, part, left
        )
    except ValueError:
        raise ValueError(
            "angles, positions, bank_angles, masses and unbalances need equally many values, one a cylinder, or one for all"
        ) from None
    ratio = radius / rod
    _check_rod(ratio)
    size = mass * radius * turning**2
    # a force along a fixed line is two vectors of half its size that turn against each other
    with_crank, against = (
        (size * (0.5 - part) + left * turning**2) * np.exp(1j * turn),
        size / 2 * np.exp(1j * (2 * bank - turn)),
    )
    twice, twice_against = (
        size * ratio / 2 * np.exp(1j * (2 * turn - bank)),
        size * ratio / 2 * np.exp(1j * (3 * bank - 2 * turn)),
    )

    def summed(*vectors):
        return tuple(complex((vector * arm).sum()) for arm in (1.0, along) for vector in vectors)

    return ShakingForces(summed(with_crank, against), summed(twice, twice_against))


def _check_rod(ratio):
    """Refuse a rod shorter than its throw, warn of a short one; called by a public function."""
    if np.any(ratio >= 1):
        raise ValueError(
            f"rod_length must be longer than the throw, not {1 / ratio.max():.3g} throws"
        )
    if np.any(ratio > 1 / 3):
        warnings.warn(
            f"rod_length is only {1 / ratio.max():.3g} throws: the terms left out reach {50 * ratio.max() ** 3:.0f} % of the primary force",
            OutOfRangeWarning,
            stacklevel=3,
        )


def crank_shaking(
    crank, turning_mass, moving_mass, rod_length, speed, counterweights=None, density=None
):
    """Shaking forces and couples of a crank in line with its cylinders, its own unbalance included.

    Parameters
    ----------
    crank : Crank
        All strokes lie along its angle zero.
    turning_mass, moving_mass : Quantity, scalar or one a throw [mass]
        Big end of the rod, at the pin's radius; piston and small end.
    rod_length : Quantity, scalar or one a throw [length]
    speed : Quantity, scalar [rev/time]
    counterweights : Quantity, one a throw, optional [mass*length]
        Mass times radius opposite each pin; none without it.
    density : Quantity, scalar, optional [mass/volume]
        That of the crank's steel without it.

    Returns
    -------
    ShakingForces
        Couples are about the middle of the row of pins.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As ``shaking_forces``, or the steel is not known and no density is given.

    Warns
    -----
    OutOfRangeWarning
        As ``shaking_forces``.

    Notes
    -----
    Basis: derived. A throw's unbalance and its counterweights act in the middle of its pin, which is so where its two webs and
    sectors are alike. The rod's two ends stand for the rod; as it rocks it also twists the frame about the crank's axis, which is
    not counted here.
    """
    made(crank, Crank, "crank")
    arms = Quantity(np.array([throw.radius.m_as("mm") for throw in crank.throws]), "mm")
    moving = Quantity(magnitude(moving_mass, "kg", "moving_mass", least=0), "kg")
    pins = np.array(
        [piece.start + piece.length / 2 for piece in crank.segments if piece.kind == "pin"]
    )
    left = (
        throw_unbalance(crank, density)
        + Quantity(magnitude(turning_mass, "g", "turning_mass", least=0), "g") * arms
    )
    if counterweights is not None:
        left = left - Quantity(magnitude(counterweights, "g*mm", "counterweights", least=0), "g*mm")
    return shaking_forces(
        moving,
        arms,
        rod_length,
        speed,
        Quantity(np.array([throw.angle.m_as("deg") for throw in crank.throws]), "deg"),
        Quantity(pins - (pins[0] + pins[-1]) / 2, "mm"),
        turning_unbalance=left,
    )


def least_shaking_share(throw, rod_length):
    r"""Share of the reciprocating mass whose balancing leaves the smallest largest force in a turn, one cylinder.

    .. math:: \min_c \max_\theta \left| (1 - c)\cos\theta + \lambda\cos 2\theta - i\,c\sin\theta \right|

    Parameters
    ----------
    throw, rod_length : Quantity, scalar [length]

    Returns
    -------
    float

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        A size is impossible, or the rod shorter than the throw.

    Warns
    -----
    OutOfRangeWarning
        A rod shorter than three throws, as ``shaking_forces``.

    Notes
    -----
    Basis: derived. One half for an endless rod; the secondary force, which helps the primary one at the outer end, moves it to 0.6 for a
    rod of four throws: between the 1/2 and 2/3 of common practice. A frame that is softer one way wants another share.
    """
    radius, rod = (
        magnitude(throw, "mm", "throw", above=0, one=True),
        magnitude(rod_length, "mm", "rod_length", above=0, one=True),
    )
    _check_rod(np.asarray(radius / rod))
    turn = np.linspace(0, np.pi, 721)  # the other half mirrors it

    def largest(share):
        return np.hypot(
            (1 - share) * np.cos(turn) + radius / rod * np.cos(2 * turn), share * np.sin(turn)
        ).max()

    from scipy.optimize import minimize_scalar

    return float(
        minimize_scalar(largest, bounds=(0.0, 1.0), method="bounded", options={"xatol": 1e-6}).x
    )
