"""Balance at rest, on two level knife edges: trial weights, and the time of a swing."""

from dataclasses import dataclass

import numpy as np

from ..checks import takes
from ..inspection.uncertainty import CONFIDENCE, student_factor
from ..units import Quantity

GRAVITY = 9.80665  # m/s^2, standard value
# hard steel rolling on hard edges: from memory; find your own with trial weights
ROLLING_ARM = Quantity(0.01, "mm")


@dataclass(frozen=True)
class TrialBalance:
    """Unbalance by trial weights, direction of the heavy side, what rolling takes.

    ``expanded`` is the uncertainty of the unbalance for 95 %, by the scatter about the fit and
    Student's factor; None where three readings leave no scatter.
    """

    unbalance: Quantity
    heavy_side: Quantity
    rolling: Quantity
    expanded: Quantity | None


@takes(mass="g > 0", rolling_arm="mm > 0", gives="g*mm")
def least_found_unbalance(mass, rolling_arm=ROLLING_ARM):
    """Smallest unbalance that makes a crank roll by itself on knife edges, U = m f.

    - ``mass``: Of all that rolls, stand-in weights included.
    - ``rolling_arm``: How far the weight acts ahead of the line of contact before the crank moves;
      0.01 mm is from memory, for clean hardened steel; soft or dirty edges have ten times as much.

    Basis: derived. Below it, a crank that stays where it is put proves nothing.
    """
    return np.asarray(mass)[()] * rolling_arm


@takes(angles="rad", weights="g >= 0", radius="mm > 0, one")
def from_trial_weights(angles, weights, radius):
    """Unbalance from the weights that just start a crank rolling, w r = F - U cos(a - b).

    Bring each point of the crank level with the axis, always on the same side, and add weight there
    until it just starts to sink. Put the correction opposite the heavy side.

    - ``angles``: Of each point, on the crank, from its angle zero.
    - ``weights``: One a point; leave out a point that sinks by itself.
    - ``radius``: At which they hang.

    Basis: derived; least squares of one turn's cosine. Rolling takes the same F at every point if
    edges and journals are clean.
    """
    turn, moment = np.atleast_1d(angles), np.atleast_1d(weights) * radius
    if turn.shape != moment.shape:
        raise ValueError(
            f"angles and weights need equally many values, not {turn.size} and {moment.size}"
        )
    terms = np.column_stack([np.ones_like(turn), np.cos(turn), np.sin(turn)])
    if np.linalg.matrix_rank(terms, tol=1e-6) < 3:
        raise ValueError(
            "angles needs at least three points that go around the crank; eight, 45 deg apart, are "
            "better"
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


@takes(
    unbalance="kg*m > 0",
    mass="kg > 0",
    axis_inertia="kg*m**2 > 0",
    journal_diameter="m > 0",
    gives="s",
)
def swing_period(unbalance, mass, axis_inertia, journal_diameter):
    """Time of a small swing of a crank that rolls on knife edges, heavy side down, there and back.

    T = 2 pi sqrt((I + m a^2 - 2 a U) / (g U))

    - ``axis_inertia``: About the main axis, ``mass.mass_properties(crank).axis_inertia``; add that
      of what is bolted on, as to the mass.
    - ``journal_diameter``: Of the journals that roll, 2 a.

    Basis: derived; energy of a rolling body, small swings, no friction.
    """
    still, half = _rolling_inertia(mass, axis_inertia, journal_diameter)
    about = still - 2 * half * unbalance
    if np.any(about <= 0):
        raise ValueError(
            "unbalance is more than a body of this mass and axis_inertia can have; write a smaller "
            "unbalance, or look at their units"
        )
    return 2 * np.pi * np.sqrt(about / (GRAVITY * unbalance))


@takes(
    period="s > 0",
    mass="kg > 0",
    axis_inertia="kg*m**2 > 0",
    journal_diameter="m > 0",
    gives="g*mm",
)
def unbalance_of_swing(period, mass, axis_inertia, journal_diameter):
    """Unbalance of a crank from the time of its swing, U = (I + m a^2) / (g (T / 2 pi)^2 + 2 a).

    - ``period``: There and back again; take it from several swings.
    - ``mass``, ``axis_inertia``, ``journal_diameter``: As for ``swing_period``.

    Basis: derived, as ``swing_period``. Rolling friction stops small swings but hardly changes
    their time.
    """
    still, half = _rolling_inertia(mass, axis_inertia, journal_diameter)
    turned = np.asarray(period) / (2 * np.pi)
    return still / (GRAVITY * turned**2 + 2 * half) * 1e6


def _rolling_inertia(mass, axis_inertia, journal_diameter):
    """Inertia about the line of contact without unbalance [kg m^2], half the journal [m]."""
    half = np.asarray(journal_diameter)[()] / 2
    return axis_inertia + mass * half**2, half
