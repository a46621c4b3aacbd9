"""A cut followed through time, turn by turn: a second opinion on the limits."""

import numpy as np

from ..units import magnitude, number
from .modes import plain_modes

FIRST_WAVE = 1  # seed of the roughness that the first turn leaves


def turn_by_turn(
    modes,
    specific_force,
    width,
    spindle_speed,
    turns,
    process_damping=None,
    diameter=None,
    points_a_wave=120,
):
    """Vibration in each turn of a cut that begins on a rough surface, over that of the first turn.

    The equations of motion of all modes under F = K b (y last turn - y) - C b (dy/dt)/v are stepped
    exactly in time, last turn's movement taken as straight lines between its points. modes: the
    fastest sets the step, so leave out those that only add compliance; ``width`` is that of edge in
    the cut; ``turns`` the number followed; ``process_damping`` [force/length] C and the diameter
    [length] at the tool go together; ``points_a_wave`` are the steps in a wave of the fastest mode;
    ``specific_force`` and ``spindle_speed`` as for ``stability_lobes``. The answer is the root mean
    square of each turn over that of the first; it grows where the cut chatters.
    Basis: derived; linear, the tool always in the cut. A real tool jumps out when the waves are as
    high as the feed, so the growth ends there.
    """
    from scipy import signal

    plain = plain_modes(modes)
    edge = magnitude(width, "m", "width", above=0, one=True)
    force = magnitude(specific_force, "Pa", "specific_force", above=0, one=True) * edge
    period = 60 / magnitude(spindle_speed, "rpm", "spindle_speed", above=0, one=True)
    if (process_damping is None) != (diameter is None):
        raise ValueError(
            "process_damping and diameter go together: give both, or neither to leave the flank's "
            "rubbing out"
        )
    damper = 0.0
    if diameter is not None:
        rubbing = magnitude(process_damping, "N/m", "process_damping", least=0, one=True)
        damper = (
            rubbing
            * edge
            * period
            / (np.pi * magnitude(diameter, "m", "diameter", above=0, one=True))
        )
    frequency, stiffness, damping, share = plain.T
    natural = 2 * np.pi * frequency
    mass, count = stiffness / natural**2, len(plain)
    matrix = np.zeros((2 * count, 2 * count))
    matrix[:count, count:] = np.eye(count)
    matrix[count:, :count] = -np.diag(natural**2) - np.outer(force / mass, share)
    matrix[count:, count:] = -np.diag(2 * damping * natural) - np.outer(damper / mass, share)
    push = np.concatenate([np.zeros(count), force / mass])[:, None]
    read = np.concatenate([share, np.zeros(count)])[None, :]
    points = int(
        np.ceil(number(points_a_wave, "points_a_wave", least=10) * plain[:, 0].max() * period)
    )
    *system, _ = signal.cont2discrete(
        (matrix, push, read, np.zeros((1, 1))), period / points, method="foh"
    )
    numerator, denominator = signal.ss2tf(*system)
    movement, state, sizes = (
        np.random.default_rng(FIRST_WAVE).normal(size=points),
        np.zeros(2 * count),
        [],
    )
    for _ in range(int(number(turns, "turns", least=2))):
        movement, state = signal.lfilter(numerator[0], denominator, movement, zi=state)
        sizes.append(np.sqrt(np.mean(movement**2)))
    return np.array(sizes) / sizes[0]
