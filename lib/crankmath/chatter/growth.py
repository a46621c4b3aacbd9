"""How the wave of each turn follows that of the last: growing where the cut chatters."""

from dataclasses import dataclass

import numpy as np

from ..units import Quantity, magnitude
from .modes import plain_modes, plain_receptance

REACH = (0.7, 1.6)  # of a mode's frequency, where the waves it carries lie
STARTS, STEPS = 80, 12  # tried a mode, and steps of Newton's method
MOST = 4  # of the waves found that are tried again, and of the neighbors on either side
LONGEST_FALL = 60.0  # exponent of a wave's fall in a turn that is followed


@dataclass(frozen=True)
class Wave:
    """The wave that is left after many turns.

    ``growth`` is its height over that of the last turn, ``frequency`` [Hz], ``lead`` the share of a
    wave by which it runs ahead of the last turn's.
    """

    growth: float
    frequency: Quantity
    lead: float


def lasting_wave(modes, specific_force, width, spindle_speed, process_damping=None, diameter=None):
    r"""Wave that is left after many turns of a cut that begins on a rough surface.

    .. math:: 1 + G(s)\,b\,(K (1 - e^{-sT}) + C s/v) = 0

    Of all waves :math:`e^{st}` the one that falls slowest or grows fastest. ``width`` is that of
    edge in the cut; ``modes``, ``specific_force`` [stress], ``spindle_speed``, ``process_damping``
    [force/length] and the diameter [length] at the tool as for ``stability_lobes``, one value each.
    Basis: derived; linear, the tool always in the cut.
    """
    plain = plain_modes(modes)
    edge = magnitude(width, "m", "width", above=0, one=True)
    force = magnitude(specific_force, "Pa", "specific_force", above=0, one=True)
    period = 60 / magnitude(spindle_speed, "rpm", "spindle_speed", above=0, one=True)
    if (process_damping is None) != (diameter is None):
        raise ValueError(
            "process_damping and diameter go together: give both, or neither to leave the flank's "
            "rubbing out"
        )
    rubbing = 0.0
    if diameter is not None:
        around = np.pi * magnitude(diameter, "m", "diameter", above=0, one=True) / period
        rubbing = magnitude(process_damping, "N/m", "process_damping", least=0, one=True) / around

    def off(rate):
        fall = np.exp(-np.maximum(rate.real, -LONGEST_FALL / period) * period)
        last = fall * np.exp(-1j * rate.imag * period)
        response = plain_receptance(plain, rate / (2j * np.pi))
        return 1 + response * edge * (force * (1 - last) + rubbing * rate)

    def settled(rate):
        with np.errstate(all="ignore"):
            for _ in range(STEPS):
                step = 1e-7 * np.abs(rate)
                value = off(rate)
                rate = rate - value * step / (off(rate + step) - value)
            good = np.isfinite(rate) & (np.abs(off(rate)) < 1e-6) & (rate.imag > 0)
        return rate[good]

    first = settled(2j * np.pi * np.outer(plain[:, 0], np.linspace(*REACH, STARTS)).ravel())
    if not first.size:
        raise ValueError("no wave was found for this cut: write a width nearer to the limiting one")
    first = np.unique(np.round(first, 2))  # many come to one wave
    best = first[np.argsort(first.real)[-MOST:]]
    beside = 2j * np.pi / period * np.arange(-MOST, MOST + 1)  # one wave more or less in a turn
    found = settled((best[:, None] + beside).ravel())
    found = found[np.argmax(found.real)]
    waves = found.imag * period / (2 * np.pi)
    return Wave(
        float(np.exp(found.real * period)),
        Quantity(float(found.imag / (2 * np.pi)), "Hz"),
        float(waves % 1),
    )
