"""Primary and secondary shaking forces and couples, of any row of throws or of a crank."""

import warnings
from dataclasses import dataclass

import numpy as np

from ..checks import one_of, takes
from ..crank import Crank
from ..crank.mass import throw_unbalance
from ..units import OutOfRangeWarning, Quantity, magnitude


@dataclass(frozen=True)
class ShakingForces:
    """Forces and couples over a turn of what reciprocates and of what turns unbalanced.

    Each of ``primary`` and ``secondary`` holds four complex plain numbers in N and N m: the part of
    the force that turns with the crank (or twice as fast), the part that turns against it, and the
    same of the couple.
    """

    primary: tuple
    secondary: tuple

    def force(self, crank_angle, order=None):
        """Force along 0 deg and across it at a crank angle; order 1 or 2 alone, or both."""
        return self._at(crank_angle, order, 0, "N")

    def couple(self, crank_angle, order=None):
        """Couple of the forces along 0 deg and of those across; as ``force``."""
        return self._at(crank_angle, order, 2, "N*m")

    def largest(self, order, kind="force"):
        """Largest force or couple of one order in a turn, whichever way it points.

        Basis: derived; two vectors turning against each other meet twice a turn.
        """
        one_of(kind, ("force", "couple"), "kind")
        terms, first = self._terms(order)[0][0], 2 if kind == "couple" else 0
        return Quantity(float(abs(terms[first]) + abs(terms[first + 1])), "N*m" if first else "N")

    def _terms(self, order):
        one_of(order, (1, 2), "order")
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


@takes(
    reciprocating_mass="kg >= 0",
    throw="m > 0",
    rod_length="m > 0",
    speed="rpm > 0",
    angles="rad",
    positions="m",
    bank_angles="rad",
    share="number 0..1",
    turning_unbalance="kg*m",
)
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
    """Primary and secondary shaking forces and couples of any row of throws.

    F = m e w^2 (cos(theta) + l cos(2 theta)), l = e / rod. What turns is taken as balanced but for
    ``turning_unbalance``. Each value is one for all or one a cylinder.

    - ``angles``: Where each throw stands; default all at zero.
    - ``positions``: Along the shaft, from the place the couple is taken about.
    - ``bank_angles``: Line of each stroke; default all at zero, in line.
    - ``share``: Part of the reciprocating mass balanced opposite each throw.
    - ``turning_unbalance``: Mass times radius of what turns with each throw, less its
      counterweights; it points at the pin, or away from it where negative.

    Basis: derived, the slider's acceleration to the second order; the form stands in every text on
    machine dynamics. Warns of a rod shorter than three throws: the higher terms left out, about
    l^3 / 2, reach 2 % of the primary force.
    """
    turning = np.asarray(speed)[()] * np.pi / 30
    turn, along, bank, left = (
        0.0 if value is None else value
        for value in (angles, positions, bank_angles, turning_unbalance)
    )
    try:
        mass, radius, rod, turn, bank, along, part, left = np.broadcast_arrays(
            reciprocating_mass, throw, rod_length, turn, bank, along, share, left
        )
    except ValueError:
        raise ValueError(
            "angles, positions, bank_angles, masses and unbalances need equally many values, one a "
            "cylinder, or one for all"
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
            f"rod_length is only {1 / ratio.max():.3g} throws: the terms left out reach "
            f"{50 * ratio.max() ** 3:.0f} % of the primary force",
            OutOfRangeWarning,
            stacklevel=4,
        )


@takes(crank=Crank)
def crank_shaking(
    crank, turning_mass, moving_mass, rod_length, speed, counterweights=None, density=None
):
    """Shaking forces and couples of a crank in line with its cylinders, its own unbalance included.

    All strokes lie along its angle zero; couples are about the middle of the row of pins.

    - ``turning_mass`` [g], ``moving_mass`` [kg]: Big end of the rod, at the pin's radius; piston
      and small end; one for all or one a throw.
    - ``rod_length`` [mm], ``speed`` [rpm]: As for ``shaking_forces``.
    - ``counterweights`` [g mm]: Mass times radius opposite each pin; default 0.
    - ``density`` [kg/m^3]: Default that of the crank's steel.

    Basis: derived. A throw's unbalance and its counterweights act in the middle of its pin, which
    is so where its two webs and sectors are alike. The rod's two ends stand for the rod; as it
    rocks it also twists the frame about the crank's axis, which is not counted here.
    """
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


@takes(throw="mm > 0, one", rod_length="mm > 0, one")
def least_shaking_share(throw, rod_length):
    """Share of the reciprocating mass to balance for the least peak force of one cylinder.

    The peak is the largest |(1 - c) cos(theta) + l cos(2 theta) - i c sin(theta)| in a turn.

    - ``throw``, ``rod_length``: l is their ratio.

    Basis: derived. One half for an endless rod; the secondary force, which helps the primary one at
    the outer end, moves it to 0.6 for a rod of four throws: between the 1/2 and 2/3 of common
    practice. A frame that is softer one way wants another share.
    """
    ratio = throw / rod_length
    _check_rod(np.asarray(ratio))
    turn = np.linspace(0, np.pi, 721)  # the other half mirrors it

    def largest(share):
        return np.hypot(
            (1 - share) * np.cos(turn) + ratio * np.cos(2 * turn), share * np.sin(turn)
        ).max()

    from scipy.optimize import minimize_scalar

    return float(
        minimize_scalar(largest, bounds=(0.0, 1.0), method="bounded", options={"xatol": 1e-6}).x
    )
