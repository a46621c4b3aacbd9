"""Chatter limits: width of cut that work, lathe and tool allow at which speeds, with rubbing.

The vibrating parts are a list of ``Mode``: the work's own from ``modes.work_modes``, the tool's
from a tap and a weight (``tap_and_weight``), all in the direction that changes the undeformed
chip's thickness. A real turning tool, with a nose, has ``turning.turning_limit``.
"""

from dataclasses import dataclass

import numpy as np

from ..checks import takes
from ..crank import steels
from ..forces import kienzle
from ..units import Quantity, magnitude, number
from .modes import checked_damping, plain_modes, plain_receptance

POINTS = 240  # of the frequency grid, for each mode
STEEP = 2.0  # times the lowest width that a neighbor may be before no parabola runs through them
ROUNDS = 12  # of speed and rubbing on a lobe; each brings a digit or more


@dataclass(frozen=True)
class CriticalWidth:
    """Width stable at any spindle speed, and the frequency at which a wider cut chatters."""

    width: Quantity
    frequency: Quantity


@dataclass(frozen=True)
class Lobes:
    """Limiting width over spindle speed, with the frequency and lobe (waves in a turn) that set it.

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


@takes(stiffness="N/m > 0", specific_force="Pa > 0", gives="mm")
def limiting_width(stiffness, damping_ratio, specific_force):
    """Width of cut that one mode allows at any spindle speed: b = 2 k ζ (1 + ζ) / K.

    ``stiffness`` is the modal k in the direction of the chip's thickness; ``damping_ratio`` ζ is
    above 0 and below 1, 0.02 to 0.05 usual for a part between centers (from memory): measure it;
    ``specific_force`` is the slope K of :func:`dynamic_force`.
    Basis: derived (Tobias; Tlusty; formula from memory, checked against a simulation in time). With
    the compliance of work, lathe and tool together for 1/k it is on the safe side: modes of the
    same damping but of different frequencies allow more. Slow cutting allows more still:
    :func:`quiet_speed`.
    """
    zeta = checked_damping(damping_ratio, "damping_ratio")
    return 1000 * 2 * stiffness * zeta * (1 + zeta) / specific_force


@takes(gives="MPa")
def dynamic_force(steel, chip_thickness, passive_share=None, **corrections):
    """Slope of the force on the chip's thickness, square to the work: K = Fp/Fc (1 - mc) kc(h).

    ``chip_thickness`` [length] is the feed, for a square-on or a plunged edge; ``passive_share``
    the fraction of the cutting force that pushes square to the work, default that of
    ``forces.force_components``; ``steel`` and ``corrections`` (rake, cutting_speed, wear,
    operation) as in ``forces.specific_cutting_force``.
    Basis: derived from fitted data; the fraction is a rule of thumb. Taking kc itself for the slope
    is 1/(1 - mc), some 16 to 35 %, too high.
    """
    static = kienzle.specific_cutting_force(steel, chip_thickness, **corrections).m_as("MPa")
    thrust = kienzle.force_components(
        Quantity(1.0, "N"), corrections.get("operation", "turning"), passive_share=passive_share
    )
    return static * (1 - steels.find(steel).thickness_exponent) * thrust.passive.m_as("N")


def critical_width(modes, specific_force, process_damping=None, cutting_speed=None):
    """Width of cut that several modes together allow at any spindle speed: b = -1 / (2 K min Re G).

    With the flank's rubbing it is the least b over frequency that solves q² b² + 2 (q I + K R) b +
    R² + I² = 0, where R + jI = 1/G and q = 2π f C/v. ``modes`` is a sequence of Mode,
    ``specific_force`` [stress] K; ``process_damping`` is C of a damping force C b (dy/dt)/v,
    default none, measured with ``tap_and_weight.process_damping``; ``cutting_speed`` v at the tool
    goes with it, scalar or one row. The width is infinite, at a frequency of nan, where nothing
    moves against the force or rubbing damps all.
    Basis: derived, as :func:`limiting_width`; linear, the edge always in the cut. The damping force
    is that of Schmitz and Smith, Machining Dynamics, 2nd ed. (read in worked code, not in the
    book). C is 2e4 N/m in a problem of that book; 2.5e5 N/m for carbide in mild steel is from
    memory.
    """
    plain = plain_modes(modes)
    force = magnitude(specific_force, "Pa", "specific_force", above=0)
    grid, response = _against(plain)
    rubbing, speed = _rubbing(process_damping, cutting_speed, "cutting_speed", "m/s", row=True)
    rate = 2 * np.pi * grid * rubbing / np.reshape(speed, (-1, 1))
    width, frequency = _least(grid, _limits(response, force, rate)[0])
    shape = np.shape(speed)
    return CriticalWidth(_quantity(1000 * width, shape, "mm"), _quantity(frequency, shape, "Hz"))


@takes(frequency="1/s > 0", specific_force="Pa > 0", process_damping="N/m > 0", gives="m/min")
def quiet_speed(frequency, damping_ratio, specific_force, process_damping):
    """Cutting speed below which rubbing quiets one mode at any width: 2π f C/K (√(1 + ζ) + √ζ)².

    ``frequency`` and ``damping_ratio`` are the mode's, ``specific_force`` K, ``process_damping`` C
    as for :func:`critical_width`.
    Basis: derived; where the two widths of :func:`critical_width` meet. The stiffness drops out.
    Small waves only: once a wide cut chatters loudly it may go on at a slower speed.
    """
    omega, zeta = 2 * np.pi * frequency, checked_damping(damping_ratio, "damping_ratio")
    spread = (np.sqrt(1 + zeta) + np.sqrt(zeta)) ** 2
    return 60 * omega * process_damping / specific_force * spread


def stability_lobes(modes, specific_force, spindle_speed, process_damping=None, diameter=None):
    """Limiting width of cut over spindle speed.

    At the limit a wave of frequency f fits N + ε/2π times into a turn and 1/G + b (K (1 - e^-jε) +
    jq) = 0. Without rubbing that is b = -1/(2 K Re G), ε = 3π + 2 arg G, n = f / (N + ε/2π). Of all
    waves that fit a speed the one with the least width counts; infinite where none does. Without
    rubbing a speed beyond every lobe is refused. ``spindle_speed`` is a scalar or one row;
    ``modes``, ``specific_force`` [stress] and ``process_damping`` as for :func:`critical_width`;
    ``diameter`` at the tool goes with the damping, for the cutting speed.
    Basis: derived, as :func:`critical_width`. The frequency grid follows each mode's width; between
    its points the limit is a straight line.
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
    for branch in _limits(response, force, rate, joined=True)[: 2 if rubbing else 1]:
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
    """Spindle speed [rpm] and width [mm] of one lobe, from the frequency at the limit.

    ``frequency`` and ``waves`` (N, whole waves in a turn) broadcast; ``modes``, ``specific_force``,
    ``process_damping``, ``diameter`` as for :func:`stability_lobes`; infinite where a frequency
    cannot chatter.
    Basis: derived; the formulas of :func:`stability_lobes`, which keeps only the lowest of all
    lobes. With rubbing the speed is found by iteration: it sets the damping, and the damping shifts
    it a little.
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


@dataclass(frozen=True)
class ToolComparison:
    """A wide edge beside the same edge relieved; margins are limit over width, quiet above 1."""

    limit: Quantity
    wide: Quantity
    relieved: Quantity
    wide_margin: float
    relieved_margin: float
    least_relief: Quantity

    def __str__(self):
        wide, relieved = (
            "quiet" if margin > 1 else "chatters"
            for margin in (self.wide_margin, self.relieved_margin)
        )
        limit, full, left = (
            f"{size.m_as('mm'):.2f} mm" for size in (self.limit, self.wide, self.relieved)
        )
        return (
            f"limit {limit} of edge; full edge {full}: {wide}; "
            f"relieved, {left} in the cut: {relieved}"
        )


@takes(edge_width="mm > 0, one", relief_width="mm >= 0, one")
def compare_tools(
    modes, specific_force, edge_width, relief_width, process_damping=None, cutting_speed=None
):
    """A wide edge against the same edge relieved in its middle so that two narrow edges cut.

    Both narrow edges cut when the tool is plunged, so their sum counts; fed along the pin, only the
    leading one does. ``edge_width`` is the whole edge, ``relief_width`` what is ground away in the
    middle, below ``edge_width``; ``modes``, ``specific_force`` [stress], ``process_damping`` and
    ``cutting_speed`` as for :func:`critical_width`. ``least_relief`` brings the plunged tool just
    to the limit; margins are infinite where nothing chatters.
    Basis: derived, as :func:`critical_width`: limits at any spindle speed. Both edges are taken to
    move alike, which holds for a stiff short pin; one that tilts under the tool does not halve the
    trouble.
    """
    found = critical_width(modes, specific_force, process_damping, cutting_speed)
    limit, left = found.width.m_as("mm"), edge_width - relief_width
    if left <= 0:
        raise ValueError("relief_width must be below edge_width: something has to be left to cut")
    return ToolComparison(
        *(Quantity(value, "mm") for value in (limit, edge_width, left)),
        limit / edge_width,
        limit / left,
        Quantity(max(edge_width - limit, 0.0), "mm"),
    )


def _quantity(values, shape, unit):
    """Values of one row in the shape that was asked for; a plain number for one value."""
    return Quantity(np.reshape(values, shape) if shape else float(np.ravel(values)[0]), unit)


def _rubbing(process_damping, motion, name, unit, row=False):
    """C [N/m] and the speed or diameter it goes with; 0 and 1 where both are left out."""
    if (process_damping is None) != (motion is None):
        raise ValueError(
            f"process_damping and {name} go together: give both, or neither to leave the flank's "
            "rubbing out"
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
    """Frequencies [Hz] at which something moves against the force, and the receptance there."""
    grid = _grid(plain)
    response = plain_receptance(plain, grid)
    against = np.flatnonzero(response.real < 0)
    if not against.size:
        return grid, response
    span = slice(max(against[0] - 1, 0), against[-1] + 2)
    return grid[span], response[span]


def _limits(response, force, rate, joined=False):
    """Widths [m] at which chatter begins and, by rubbing that grows, ends; infinite if never.

    With ``joined`` the first frequency on either side of those that chatter gets the one width at
    which both meet, so that the lines between frequencies close.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        inverse = 1 / response  # endless where nothing moves
        size, drive = np.abs(inverse) ** 2, -(inverse.real * force + inverse.imag * rate)
        square = drive**2 - rate**2 * size
        sings = (drive > 0) & (square >= 0)
        if joined:
            beside = sings.copy()
            beside[:, 1:] |= sings[:, :-1]
            beside[:, :-1] |= sings[:, 1:]
            sings = beside & (drive > 0)
        root = np.sqrt(np.maximum(square, 0))
        return tuple(np.where(sings, size / (drive + way * root), np.inf) for way in (1, -1))


def _lag(response, force, rate, width):
    """Phase between this turn's wave and the last one's at the limit, in 0 to 2 pi."""
    with np.errstate(divide="ignore", invalid="ignore"):
        inverse = 1 / response
        return np.mod(
            np.arctan2(-(inverse.imag / width + rate), force + inverse.real / width), 2 * np.pi
        )


def _vertex(grid, place, three):
    """Lowest value of the parabola through three neighbors, where it lies, and its bend."""
    left, middle, right = three
    before, after = grid[place] - grid[place - 1], grid[place + 1] - grid[place]
    slope, other = (middle - left) / before, (right - middle) / after
    bend = (other - slope) / (before + after)
    rise = slope + bend * before  # slope of the parabola in the middle
    return middle - rise**2 / (4 * bend), grid[place] - rise / (2 * bend), bend


def _least(grid, width):
    """Least width of each row and its frequency, by a parabola through the three lowest points, or
    through their reciprocals where the width grows manifold beside the lowest.
    """
    place = np.clip(np.argmin(width, axis=1), 1, len(grid) - 2)
    row = np.arange(len(width))
    three = np.stack([width[row, place + step] for step in (-1, 0, 1)])
    with np.errstate(invalid="ignore", divide="ignore"):
        best, where, bend = _vertex(grid, place, three)
        steep = ~(np.max(three, axis=0) < STEEP * three[1])
        top, at, hollow = _vertex(grid, place, -1 / three)
        best, where = np.where(steep, -1 / top, best), np.where(steep, at, where)
        smooth = np.isfinite(best) & (np.where(steep, hollow, bend) > 0)
    lowest, frequency = np.min(width, axis=1), grid[np.argmin(width, axis=1)]
    least = np.where(smooth, best, lowest)
    return least, np.where(np.isfinite(least), np.where(smooth, where, frequency), np.nan)
