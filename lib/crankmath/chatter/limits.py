"""Chatter: how wide a cut a part, its lathe and its tool bear, at which speeds, and what slow cutting changes.

What swings is a list of ``Mode``: the work's own from ``modes.work_modes``, the tool's from a tap and a weight
(``tap_and_weight``), all in the direction that changes the chip's thickness.
"""

from dataclasses import dataclass

import numpy as np

from ..crank import steels
from ..forces import kienzle
from ..units import Quantity, magnitude, number
from .modes import Mode, checked_damping, plain_modes, plain_receptance, receptance

__all__ = [
    "CriticalWidth",
    "Lobes",
    "Mode",
    "critical_width",
    "dynamic_force",
    "favorable_speed",
    "limiting_width",
    "lobe_curve",
    "quiet_speed",
    "receptance",
    "stability_lobes",
]

POINTS = 240  # of the frequency grid, for each mode
ROUNDS = 12  # of speed and rubbing on a lobe; each brings a digit or more


@dataclass(frozen=True)
class CriticalWidth:
    """The width that is stable at any spindle speed, and the frequency at which a wider cut begins to sing."""

    width: Quantity
    frequency: Quantity


@dataclass(frozen=True)
class Lobes:
    """Limiting width over spindle speed, with the frequency and lobe (whole waves in a turn) that set it.

    ``critical`` is the width that is safe at any speed even without the flank's rubbing.
    """

    spindle_speed: Quantity
    width: Quantity
    frequency: Quantity
    lobe: np.ndarray
    critical: CriticalWidth

    @property
    def gain(self):
        """Limiting width over the one that is safe at any speed."""
        return (self.width / self.critical.width).m_as("dimensionless")


def limiting_width(stiffness, damping_ratio, specific_force):
    r"""Width of cut that one mode bears at any spindle speed.

    .. math:: b_{lim} = \frac{2 k \zeta (1 + \zeta)}{K}

    Parameters
    ----------
    stiffness : Quantity [force/length], scalar or array
        Modal stiffness k in the direction of the chip's thickness.
    damping_ratio : float or array
        zeta, above 0 and below 1; 0.02 to 0.05 is usual for a part between centers (from memory): measure it.
    specific_force : Quantity [stress]
        Slope K of the force in that direction on the layer's section: see :func:`dynamic_force`.

    Returns
    -------
    Quantity [mm]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived (Tobias; Tlusty; formula from memory, checked against a simulation in time). With the give of work,
    lathe and tool together for 1/k it is on the safe side: modes of the same damping but of different frequencies bear more. Slow cutting bears
    more still: see :func:`quiet_speed`.
    """
    k = magnitude(stiffness, "N/m", "stiffness", above=0)
    zeta = checked_damping(damping_ratio, "damping_ratio")
    force = magnitude(specific_force, "Pa", "specific_force", above=0)
    return Quantity(1000 * 2 * k * zeta * (1 + zeta) / force, "mm")


def dynamic_force(steel, chip_thickness, passive_share=None, **corrections):
    r"""Specific force that chatter feels: the slope of the force on the chip's thickness, square to the work.

    .. math:: K = \frac{F_p}{F_c}\,\frac{1}{b}\frac{dF_c}{dh} = \frac{F_p}{F_c}\,(1 - m_c)\,k_c(h)

    Parameters
    ----------
    steel : str
        A name of ``steels.NAMES``.
    chip_thickness : Quantity [length]
        The feed, for a square-on or a plunged edge.
    passive_share : float, optional
        Share of the cutting force that pushes square to the work; ``forces.force_components``' own without it.
    **corrections
        ``rake``, ``cutting_speed``, ``wear``, ``operation`` of ``forces.specific_cutting_force``.

    Returns
    -------
    Quantity [MPa]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As ``forces.specific_cutting_force``.

    Notes
    -----
    Basis: derived from fitted data; the share is a rule of thumb. Taking k_c itself for the slope is 1/(1 - m_c), some
    16 to 35 %, too high.
    """
    static = kienzle.specific_cutting_force(steel, chip_thickness, **corrections)
    one = kienzle.force_components(
        Quantity(1.0, "N"), corrections.get("operation", "turning"), passive_share=passive_share
    )
    return static * (1 - steels.find(steel).thickness_exponent) * one.passive.m_as("N")


def critical_width(modes, specific_force, process_damping=None, cutting_speed=None):
    r"""Width of cut that several modes together bear at any spindle speed.

    .. math:: b_{lim} = \frac{-1}{2 K \min_f \mathrm{Re}\,G(f)}

    and, with the flank's rubbing, the least b over f that solves
    :math:`q^2 b^2 + 2 (q I + K R)\,b + R^2 + I^2 = 0`, :math:`R + jI = 1/G`, :math:`q = 2\pi f C/v`.

    Parameters
    ----------
    modes : sequence of Mode
    specific_force : Quantity [stress]
    process_damping : Quantity [force/length], optional
        C of a damping force C b (dy/dt)/v, the flank's rubbing on its own waves; none without it. Measure it with
        ``tap_and_weight.process_damping``.
    cutting_speed : Quantity [length/time], scalar or array of one row, optional
        Surface speed v at the tool; goes with ``process_damping``.

    Returns
    -------
    CriticalWidth
        An endless width, at a frequency of nan, where no frequency moves against the force or rubbing damps them all.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; no modes; one of the last two without the other.

    Notes
    -----
    Basis: derived, as :func:`limiting_width`; linear, the edge square to the feed and always in the cut. The damping
    force is that of Schmitz and Smith, Machining Dynamics, 2nd ed. (read in worked code, not in the book). C is 2e4 N/m
    in a problem of that book; 2.5e5 N/m for carbide in mild steel is from memory.
    """
    plain = plain_modes(modes)
    force = magnitude(specific_force, "Pa", "specific_force", above=0)
    grid, response = _against(plain)
    rubbing, speed = _rubbing(process_damping, cutting_speed, "cutting_speed", "m/s", row=True)
    rate = 2 * np.pi * grid * rubbing / np.reshape(speed, (-1, 1))
    width, frequency = _least(grid, _limits(response, force, rate)[0])
    shape = np.shape(speed)
    return CriticalWidth(_quantity(1000 * width, shape, "mm"), _quantity(frequency, shape, "Hz"))


def quiet_speed(frequency, damping_ratio, specific_force, process_damping):
    r"""Cutting speed below which rubbing keeps one mode quiet at any width.

    .. math:: v_q = \frac{2\pi f C}{K} \left(\sqrt{1 + \zeta} + \sqrt{\zeta}\right)^2

    Parameters
    ----------
    frequency : Quantity [1/time], scalar or array
        Of the mode.
    damping_ratio : float or array
    specific_force : Quantity [stress]
    process_damping : Quantity [force/length]
        As for :func:`critical_width`.

    Returns
    -------
    Quantity [m/min]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived; where the two widths of :func:`critical_width` meet. The stiffness drops out. Small waves only: once
    a wide cut sings loudly it may go on singing at a slower speed.
    """
    omega = 2 * np.pi * magnitude(frequency, "1/s", "frequency", above=0)
    zeta = checked_damping(damping_ratio, "damping_ratio")
    force = magnitude(specific_force, "Pa", "specific_force", above=0)
    rubbing = magnitude(process_damping, "N/m", "process_damping", above=0)
    return Quantity(
        60 * omega * rubbing / force * (np.sqrt(1 + zeta) + np.sqrt(zeta)) ** 2, "m/min"
    )


def stability_lobes(modes, specific_force, spindle_speed, process_damping=None, diameter=None):
    r"""Limiting width of cut over spindle speed.

    At the limit a wave of frequency f fits :math:`N + \varepsilon/2\pi` times into a turn and
    :math:`1/G + b\,(K (1 - e^{-j\varepsilon}) + j q) = 0`. Without rubbing that is :math:`b = -1/(2 K\,\mathrm{Re}\,G)`,
    :math:`\varepsilon = 3\pi + 2 \arg G`, :math:`n = f / (N + \varepsilon/2\pi)`. Of all waves that fit a speed the
    one with the least width counts.

    Parameters
    ----------
    modes : sequence of Mode
    specific_force : Quantity [stress]
    spindle_speed : Quantity [rpm], scalar or array of one row
    process_damping : Quantity [force/length], optional
        As for :func:`critical_width`.
    diameter : Quantity [length], optional
        At the tool; goes with ``process_damping``, for the cutting speed.

    Returns
    -------
    Lobes

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; no modes; one of the last two without the other.

    Notes
    -----
    Basis: derived, as :func:`critical_width`. The frequency grid follows each mode's width; between its points lines.
    """
    plain = plain_modes(modes)
    force = magnitude(specific_force, "Pa", "specific_force", above=0)
    turns = np.asarray(magnitude(spindle_speed, "rpm", "spindle_speed", above=0)) / 60
    if turns.ndim > 1:
        raise ValueError(
            "spindle_speed takes one value or one row of values; write it as a flat list in rpm"
        )
    rubbing, around = _rubbing(process_damping, diameter, "diameter", "m")
    grid, response = _against(plain)
    rows = turns.reshape(-1, 1)
    rate = 2 * np.pi * grid * rubbing / (np.pi * around * rows)
    width, frequency = np.full(rows.size, np.inf), np.full(rows.size, np.nan)
    for branch in _limits(response, force, rate)[: 2 if rubbing else 1]:
        lag = _lag(response, force, rate, branch) / (2 * np.pi)
        phase = grid / rows - lag  # whole where a wave of this frequency fits the turn
        step = np.diff(grid) / rows - (np.diff(lag) + 0.5) % 1 + 0.5
        whole = np.floor(np.maximum(phase[:, :-1], phase[:, :-1] + step))
        with np.errstate(divide="ignore", invalid="ignore"):
            part = (whole - phase[:, :-1]) / step
            between = branch[:, :-1] + part * np.diff(branch)
        between = np.where((part >= 0) & (part <= 1) & np.isfinite(between), between, np.inf)
        place = np.argmin(between, axis=1)
        row = np.arange(rows.size)
        better = between[row, place] < width
        width = np.where(better, between[row, place], width)
        frequency = np.where(
            better, grid[place] + part[row, place] * np.diff(grid)[place], frequency
        )
    critical = critical_width(modes, specific_force)
    if not rubbing and np.isfinite(critical.width.magnitude) and not np.all(np.isfinite(width)):
        raise ValueError("spindle_speed is beyond every lobe of these modes: write a lower speed")
    return Lobes(
        _quantity(60 * turns, turns.shape, "rpm"),
        _quantity(1000 * width, turns.shape, "mm"),
        _quantity(frequency, turns.shape, "Hz"),
        np.floor(frequency / rows[:, 0]).reshape(turns.shape),
        critical,
    )


def lobe_curve(modes, specific_force, frequency, waves, process_damping=None, diameter=None):
    """One lobe of the stability chart: spindle speed and limiting width at given chatter frequencies.

    Parameters
    ----------
    modes : sequence of Mode
    specific_force : Quantity [stress]
    frequency : Quantity [1/time], scalar or array
        Where the real part of the receptance is negative; elsewhere the width is inf: no limit.
    waves : int or array; broadcasts
        Whole waves in a turn, N, 0 or more.
    process_damping, diameter : Quantity, scalar, optional
        As for :func:`stability_lobes`.

    Returns
    -------
    tuple of Quantity [rpm] and Quantity [mm]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; no modes; one of the last two without the other.

    Notes
    -----
    Basis: derived; the formulas of :func:`stability_lobes`, which keeps only the lowest of all lobes. With rubbing the
    speed is found by going round: it sets the damping, and the damping shifts it a little.
    """
    hertz = np.asarray(magnitude(frequency, "1/s", "frequency", above=0))
    force = magnitude(specific_force, "Pa", "specific_force", above=0)
    whole = number(waves, "waves", least=0)
    rubbing, around = _rubbing(process_damping, diameter, "diameter", "m")
    response, rate = plain_receptance(plain_modes(modes), hertz), np.zeros_like(hertz)
    for _ in range(ROUNDS if rubbing else 1):
        width = _limits(response, force, rate)[0]
        turns = hertz / (whole + _lag(response, force, rate, width) / (2 * np.pi))
        rate = 2 * hertz * rubbing / (around * turns)
    return Quantity(60 * turns, "rpm"), Quantity(1000 * width, "mm")


def favorable_speed(frequency, waves):
    r"""Spindle speed at which a whole number of waves fits a turn: the bay between two lobes.

    .. math:: n = f / N

    Parameters
    ----------
    frequency : Quantity [1/time]
        Of the mode, from a tap.
    waves : int or array
        N, 1 or more.

    Returns
    -------
    Quantity [rpm]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived. At a lathe's speeds N is 20 to 100 and neighboring bays lie within a few percent: nothing to aim at.
    """
    return Quantity(
        60 * magnitude(frequency, "1/s", "frequency", above=0) / number(waves, "waves", least=1),
        "rpm",
    )


def _quantity(values, shape, unit):
    """Values of one row in the shape that was asked for; a plain number for one value."""
    return Quantity(np.reshape(values, shape) if shape else float(np.ravel(values)[0]), unit)


def _rubbing(process_damping, motion, name, unit, row=False):
    """C [N/m] and the speed or diameter it goes with; none of it, and a harmless 1, where both are left out."""
    if (process_damping is None) != (motion is None):
        raise ValueError(
            f"process_damping and {name} go together: give both, or neither to leave the flank's rubbing out"
        )
    if process_damping is None:
        return 0.0, 1.0
    found = magnitude(motion, unit, name, above=0)
    if np.ndim(found) > row:
        raise ValueError(f"{name} takes one value{' or one row of values' if row else ''} here")
    return magnitude(process_damping, "N/m", "process_damping", least=0, one=True), found


def _grid(plain):
    """Frequencies [Hz] dense where a mode turns, thin elsewhere."""
    spread = np.linspace(-np.pi / 2, np.pi / 2, POINTS + 2)[1:-1]
    near = [natural * (1 + damping * np.tan(spread)) for natural, _, damping, _ in plain]
    wide = np.geomspace(plain[:, 0].min() / 20, 20 * plain[:, 0].max(), POINTS)
    grid = np.unique(np.concatenate([*near, wide]))
    return grid[(grid >= wide[0]) & (grid <= wide[-1])]


def _against(plain):
    """The frequencies [Hz] between which something moves against the force, and the receptance there: only there can it sing."""
    grid = _grid(plain)
    response = plain_receptance(plain, grid)
    against = np.flatnonzero(response.real < 0)
    if not against.size:
        return grid, response
    span = slice(max(against[0] - 1, 0), against[-1] + 2)
    return grid[span], response[span]


def _limits(response, force, rate):
    """Widths [m] at which singing begins and, where rubbing grows with the width, ends; endless where it never begins."""
    with np.errstate(divide="ignore", invalid="ignore"):
        inverse = 1 / response  # endless where nothing moves
        size, drive = np.abs(inverse) ** 2, -(inverse.real * force + inverse.imag * rate)
        root = np.sqrt(drive**2 - rate**2 * size)
        sings = (drive > 0) & ~np.isnan(root)
        return np.where(sings, size / (drive + root), np.inf), np.where(
            sings, size / (drive - root), np.inf
        )


def _lag(response, force, rate, width):
    """Phase between this turn's wave and the last one's at the limit, in 0 to 2 pi."""
    with np.errstate(divide="ignore", invalid="ignore"):
        inverse = 1 / response
        return np.mod(
            np.arctan2(-(inverse.imag / width + rate), force + inverse.real / width), 2 * np.pi
        )


def _least(grid, width):
    """Least width of each row and its frequency, by a parabola through the three lowest points."""
    place = np.clip(np.argmin(width, axis=1), 1, len(grid) - 2)
    row = np.arange(len(width))
    left, middle, right = (width[row, place + step] for step in (-1, 0, 1))
    with np.errstate(invalid="ignore", divide="ignore"):
        before, after = grid[place] - grid[place - 1], grid[place + 1] - grid[place]
        slope, other = (middle - left) / before, (right - middle) / after
        bend = (other - slope) / (before + after)
        rise = slope + bend * before  # slope of the parabola in the middle
        shift = -rise / (2 * bend)
        best, where = middle - rise**2 / (4 * bend), grid[place] + shift
    smooth = np.isfinite(best) & (bend > 0)
    lowest, frequency = np.min(width, axis=1), grid[np.argmin(width, axis=1)]
    least = np.where(smooth, best, lowest)
    return least, np.where(np.isfinite(least), np.where(smooth, where, frequency), np.nan)
