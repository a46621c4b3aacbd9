"""What the motor can drive, and the power that handbooks work with."""

import numpy as np

from ..checks import takes
from ..tables import rows
from ..units import Quantity, number
from .hardness import power_constant
from .kienzle import cutting_force, cutting_power


@takes(power="W > 0", gives="mm")
def power_limited_width(
    power, steel, chip_thickness, cutting_speed, efficiency=0.75, **corrections
):
    """Widest cut a motor drives: b = η P / (v h kc(h)); with a square-on edge the depth of cut.

    ``power`` is the motor's nameplate; ``steel``, ``chip_thickness`` [length], ``cutting_speed``
    [length/time] and ``corrections`` as in ``forces.specific_cutting_force``; ``efficiency`` is the
    fraction that reaches the edge, 0.75 for a geared head (from memory; a public program quotes
    0.8).
    Basis: derived, with Kienzle's force. A steady cut, belts or gears: an electronic drive below
    its base speed has less, see ``drive.power_at_edge``.
    """
    watts = power * number(efficiency, "efficiency", above=0, most=1)
    one_millimeter = cutting_force(
        steel, Quantity(1.0, "mm"), chip_thickness, cutting_speed=cutting_speed, **corrections
    )
    return watts / cutting_power(one_millimeter, cutting_speed).m_as("W")


@takes(feed="mm > 0")
def feed_factor(feed):
    """Factor of the handbook's power constant for a feed a turn; 1 at 0.30 mm.

    Basis: handbook table, Machinery's Handbook, feed factors for power constants, FROM MEMORY;
    straight between rows, refused outside 0.02 to 1.0 mm.
    """
    table = rows("feed_factors")
    feeds, factors = (np.array([float(row[key]) for row in table]) for key in ("feed", "value"))
    if np.any(np.asarray(feed) < feeds[0] * (1 - 1e-9)) or np.any(
        np.asarray(feed) > feeds[-1] * (1 + 1e-9)
    ):
        raise ValueError(
            f"feed must lie between {feeds[0]:g} and {feeds[-1]:g} mm, where the table ends"
        )
    return number(np.interp(feed, feeds, factors), "feed_factor")


@takes(removal_rate="cm**3/s >= 0", gives="W")
def handbook_power(steel, removal_rate, feed, hardness=None, wear_factor=1.3):
    """Power at the tool's edge by the handbook's constants: P = Kp C W Q.

    ``removal_rate`` is from ``cutting.removal_rate``, ``feed`` [length] a turn, ``hardness``
    Brinell, default the steel's own; ``wear_factor`` W 1.1 finishing, 1.3 usual roughing, 1.6 to 2
    heavy roughing (from memory), 1 for a sharp tool.
    Basis: handbook table, as ``hardness.power_constant`` and :func:`feed_factor`.
    """
    constant = power_constant(steel, hardness).value.m_as("W*s/cm**3")
    wear = number(wear_factor, "wear_factor", least=1)
    return constant * feed_factor(feed) * wear * removal_rate
