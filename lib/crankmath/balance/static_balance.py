"""Proving balance at rest: a crank on two level knife edges, trial weights, and the time of a swing."""

from dataclasses import dataclass

import numpy as np

from ..inspection.uncertainty import CONFIDENCE, student_factor
from ..units import Quantity, magnitude

GRAVITY = 9.80665  # m/s^2, standard value
ROLLING_ARM = Quantity(
    0.01, "mm"
)  # hard steel rolling on hard edges: from memory; find your own with trial weights


@dataclass(frozen=True)
class TrialBalance:
    """Unbalance by trial weights, direction of the heavy side, what rolling takes (mass times length).

    ``expanded`` is the uncertainty of the unbalance for 95 %, by the scatter about the fit and
    Student's factor; None where three readings leave no scatter.
    """

    unbalance: Quantity
    heavy_side: Quantity
    rolling: Quantity
    expanded: Quantity | None


def least_found_unbalance(mass, rolling_arm=ROLLING_ARM):
    """Smallest unbalance that makes a crank roll by itself on knife edges.

    Formula: U = m f. The weight acts a rolling arm f ahead of the line of contact before the crank moves.

    Parameters
    ----------
    mass : Quantity [mass]
        Of all that rolls, stand-in weights included.
    rolling_arm : Quantity [length]
        0.01 mm is from memory, for clean hardened steel; soft or dirty edges have ten times as much.

    Returns
    -------
    Quantity [g*mm]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        No unit, the wrong kind, or not above zero.

    Notes
    -----
    Basis: derived. Below it, a crank that stays where it is put proves nothing.
    """
    return Quantity(
        magnitude(mass, "g", "mass", above=0)
        * magnitude(rolling_arm, "mm", "rolling_arm", above=0),
        "g*mm",
    )


def from_trial_weights(angles, weights, radius):
    r"""Unbalance from the weights that just start a crank rolling, at points around it.

    .. math:: w r = F - U \cos(\alpha - \beta)

    Bring each point of the crank level with the axis, always on the same side, and add weight there until it just starts to sink.

    Parameters
    ----------
    angles : Quantity, array [angle]
        Of each point, on the crank, from its angle zero.
    weights : Quantity, array [mass]
        Leave out a point that sinks by itself.
    radius : Quantity, scalar [length]
        At which they hang.

    Returns
    -------
    TrialBalance
        Put the correction opposite its ``heavy_side``.

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        Fewer than three points, points that do not go around, or unequally many.

    Notes
    -----
    Basis: derived; least squares of one turn's cosine. Rolling takes the same F at every point if edges and journals are clean.
    """
    turn = np.atleast_1d(magnitude(angles, "rad", "angles"))
    moment = np.atleast_1d(magnitude(weights, "g", "weights", least=0)) * magnitude(
        radius, "mm", "radius", above=0, one=True
    )
    if turn.shape != moment.shape:
        raise ValueError(
            f"angles and weights need equally many values, not {turn.size} and {moment.size}"
        )
    terms = np.column_stack([np.ones_like(turn), np.cos(turn), np.sin(turn)])
    if np.linalg.matrix_rank(terms, tol=1e-6) < 3:
        raise ValueError(
            "angles needs at least three points that go around the crank; eight, 45 deg apart, are better"
        )
    (rolling, along, across), *_ = np.linalg.lstsq(terms, moment, rcond=None)
    size = np.hypot(along, across)
    expanded = None
    if turn.size > 3:
        spread = (
            np.linalg.inv(terms.T @ terms)
            * ((moment - terms @ (rolling, along, across)) ** 2).sum()
            / (turn.size - 3)
        )
        toward = np.array([along, across]) / size if size else np.array([1.0, 0.0])
        factor = student_factor(CONFIDENCE, turn.size - 3)
        expanded = Quantity(float(factor * np.sqrt(toward @ spread[1:, 1:] @ toward)), "g*mm")
    return TrialBalance(
        Quantity(float(size), "g*mm"),
        Quantity(float(np.degrees(np.arctan2(-across, -along)) % 360), "deg"),
        Quantity(float(rolling), "g*mm"),
        expanded,
    )


def swing_period(unbalance, mass, axis_inertia, journal_diameter):
    r"""Time of a small swing to and fro of a crank that rolls on knife edges, heavy side down.

    .. math:: T = 2\pi \sqrt{\frac{I + m a^2 - 2 a U}{g U}}

    Parameters
    ----------
    unbalance : Quantity [mass*length]
    mass : Quantity [mass]
    axis_inertia : Quantity [mass*length**2]
        About the main axis, ``mass.mass_properties(crank).axis_inertia``; add that of what is bolted on.
    journal_diameter : Quantity [length]
        Of the journals that roll, 2 a.

    Returns
    -------
    Quantity [s]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        No unit, the wrong kind, not above zero, or an unbalance that no body of this mass and inertia has.

    Notes
    -----
    Basis: derived; energy of a rolling body, small swings, no friction.
    """
    heavy = magnitude(unbalance, "kg*m", "unbalance", above=0)
    still, half = _rolling_inertia(mass, axis_inertia, journal_diameter)
    about = still - 2 * half * heavy
    if np.any(about <= 0):
        raise ValueError(
            "unbalance is more than a body of this mass and axis_inertia can have; write a smaller unbalance, or look at their units"
        )
    return Quantity(2 * np.pi * np.sqrt(about / (GRAVITY * heavy)), "s")


def unbalance_of_swing(period, mass, axis_inertia, journal_diameter):
    r"""Unbalance of a crank from the time of its swing on knife edges.

    .. math:: U = \frac{I + m a^2}{g\,(T / 2\pi)^2 + 2 a}

    Parameters
    ----------
    period : Quantity [time]
        There and back again; take it from several swings.
    mass, axis_inertia, journal_diameter : Quantity
        As ``swing_period``.

    Returns
    -------
    Quantity [g*mm]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        No unit, the wrong kind, or not above zero.

    Notes
    -----
    Basis: derived, as ``swing_period``. Rolling friction stops small swings but hardly changes their time.
    """
    still, half = _rolling_inertia(mass, axis_inertia, journal_diameter)
    turned = magnitude(period, "s", "period", above=0) / (2 * np.pi)
    return Quantity(still / (GRAVITY * turned**2 + 2 * half) * 1e6, "g*mm")


def _rolling_inertia(mass, axis_inertia, journal_diameter):
    """Inertia about the line of contact of a crank without unbalance [kg m^2], and half the journal's diameter [m]."""
    half = magnitude(journal_diameter, "m", "journal_diameter", above=0) / 2
    return magnitude(axis_inertia, "kg*m**2", "axis_inertia", above=0) + magnitude(
        mass, "kg", "mass", above=0
    ) * half**2, half
