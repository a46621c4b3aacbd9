"""Chatter: how wide a cut a part of given stiffness and damping bears, at which speeds, and how to measure both.

A part and its lathe are given as a list of modes in the direction that changes the chip's thickness
(radial, in turning), each with its frequency, modal stiffness and damping ratio.
"""

import warnings
from dataclasses import dataclass

import numpy as np

from . import forces, steels
from .units import OutOfRangeWarning, Quantity, magnitude, number

STANDARD_GRAVITY = 9.80665  # m/s2
POINTS = 400  # of the frequency grid, for each mode: widths within 0.1 % of a grid twenty times as fine
MOST_READ_DAMPING = 0.2  # a swing dies too soon above it to be read well


@dataclass(frozen=True)
class Mode:
    """One way of swinging: frequency, modal stiffness and damping ratio in the direction of the chip's thickness.

    ``share`` is the product of the cosines between the mode's own direction and, first, the force, second, the
    chip's thickness; 1 where all three agree.
    """

    frequency: Quantity
    stiffness: Quantity
    damping_ratio: float
    share: float = 1.0


@dataclass(frozen=True)
class CriticalWidth:
    """The width that is stable at any speed, and the frequency at which a wider cut begins to sing."""

    width: Quantity
    frequency: Quantity


@dataclass(frozen=True)
class Lobes:
    """Limiting width over spindle speed, with the frequency and lobe (whole waves in a turn) that set it."""

    spindle_speed: Quantity
    width: Quantity
    frequency: Quantity
    lobe: np.ndarray
    critical: CriticalWidth

    @property
    def gain(self):
        """Limiting width over the one that is safe at any speed."""
        return (self.width / self.critical.width).m_as("dimensionless")


@dataclass(frozen=True)
class ToolComparison:
    """A wide edge beside the same edge relieved in its middle; margins are limit over width, above 1 is quiet."""

    limit: Quantity
    wide: Quantity
    relieved: Quantity
    wide_margin: float
    relieved_margin: float
    least_relief: Quantity

    def __str__(self):
        def words(margin):
            return "quiet" if margin > 1 else "sings"

        return (
            f"limit {self.limit.m_as('mm'):.2f} mm of edge; full edge {self.wide.m_as('mm'):.2f} mm: {words(self.wide_margin)}; "
            f"relieved, {self.relieved.m_as('mm'):.2f} mm in the cut: {words(self.relieved_margin)}"
        )


@dataclass(frozen=True)
class Decay:
    """Frequency and damping read from a tap's decay, with the standard error of the damping."""

    frequency: Quantity
    damping_ratio: float
    standard_error: float


@dataclass(frozen=True)
class StaticStiffness:
    """Stiffness from weights and dial readings, its standard error (nan for one weight), the reading at no load."""

    stiffness: Quantity
    standard_error: Quantity
    free_reading: Quantity


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
    Basis: derived (Tobias; Tlusty; formula from memory, checked against a simulation in time). The flank's rubbing
    damps the short waves of slow speeds, so that at a few turns a second more may be borne than this says.
    """
    k = magnitude(stiffness, "N/m", "stiffness", above=0)
    zeta = _damping(damping_ratio, "damping_ratio")
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
    Basis: derived from fitted data; the share is a rule of thumb. Taking k_c itself for the slope is 14 to 26 % high.
    """
    static = forces.specific_cutting_force(steel, chip_thickness, **corrections)
    one = forces.force_components(Quantity(1.0, "N"), corrections.get("operation", "turning"), passive_share=passive_share)
    return static * (1 - steels.find(steel).thickness_exponent) * one.passive.m_as("N")


def receptance(modes, frequency):
    r"""Movement over force at a frequency, as a complex number: real part in step with the force.

    .. math:: G = \sum_i \frac{s_i / k_i}{1 - r_i^2 + 2 j \zeta_i r_i}, \quad r_i = f/f_i

    Parameters
    ----------
    modes : sequence of Mode
    frequency : Quantity [1/time], scalar or array

    Returns
    -------
    Quantity [m/N], complex

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; no modes.

    Notes
    -----
    Basis: derived.
    """
    return Quantity(_receptance(_plain(modes), np.asarray(magnitude(frequency, "1/s", "frequency", least=0))), "m/N")


def critical_width(modes, specific_force):
    r"""Width of cut that several modes together bear at any spindle speed.

    .. math:: b_{lim} = \frac{-1}{2 K \min_f \mathrm{Re}\,G(f)}

    Parameters
    ----------
    modes : sequence of Mode
    specific_force : Quantity [stress]

    Returns
    -------
    CriticalWidth
        An endless width, at a frequency of nan, where no frequency moves against the force.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; no modes.

    Notes
    -----
    Basis: derived, as :func:`limiting_width`; linear, the edge square to the feed and always in the cut.
    """
    plain = _plain(modes)
    return _critical(plain, magnitude(specific_force, "Pa", "specific_force", above=0))


def stability_lobes(modes, specific_force, spindle_speed):
    r"""Limiting width of cut over spindle speed.

    At the limit a wave of frequency f fits :math:`N + \varepsilon/2\pi` times into a turn and
    :math:`1 + b K (1 - e^{-j\varepsilon}) G(f) = 0`: so :math:`b = -1/(2 K\,\mathrm{Re}\,G)`,
    :math:`\varepsilon = 3\pi + 2 \arg G`, :math:`n = f / (N + \varepsilon/2\pi)`. Of all waves that fit a speed the
    one with the least width counts.

    Parameters
    ----------
    modes : sequence of Mode
    specific_force : Quantity [stress]
    spindle_speed : Quantity [rpm], scalar or array of one row

    Returns
    -------
    Lobes

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; no modes.

    Notes
    -----
    Basis: derived, as :func:`critical_width`. The frequency grid follows each mode's width; between its points lines.
    """
    plain = _plain(modes)
    force = magnitude(specific_force, "Pa", "specific_force", above=0)
    speeds = np.atleast_1d(magnitude(spindle_speed, "rpm", "spindle_speed", above=0)) / 60
    if speeds.ndim > 1:
        raise ValueError("spindle_speed takes one value or one row of values; write it as a flat list in rpm")
    critical = _critical(plain, force)
    grid = _grid(plain)
    response = _receptance(plain, grid)
    width, phase = _width_and_phase(response, force)
    width_found, frequency, lobe = (np.full(speeds.shape, fill) for fill in (np.inf, np.nan, np.nan))
    for start, stop in _runs(response.real < 0):
        run = slice(start, stop)
        # a run of negative real part is one branch: its phase is made continuous before whole waves are counted
        turns = np.unwrap(phase[run]) / (2 * np.pi)
        waves = grid[run][None, :] / speeds[:, None] - turns[None, :]
        whole = np.floor(waves)
        row, place = np.nonzero(np.diff(whole, axis=1))
        if row.size == 0:
            continue
        left, right = waves[row, place], waves[row, place + 1]
        target = np.maximum(whole[row, place], whole[row, place + 1])
        part = (target - left) / (right - left)
        between = [values[place] + part * (values[place + 1] - values[place]) for values in (width[run], grid[run], turns)]
        order = np.argsort(-between[0], kind="stable")  # the least width is written last and stays
        better = order[between[0][order] < width_found[row[order]]]
        width_found[row[better]], frequency[row[better]] = between[0][better], between[1][better]
        lobe[row[better]] = np.floor(target[better] + between[2][better])
    shape = np.shape(spindle_speed.magnitude)
    return Lobes(
        Quantity((60 * speeds).reshape(shape), "rpm"), Quantity(1000 * width_found.reshape(shape), "mm"),
        Quantity(frequency.reshape(shape), "Hz"), lobe.reshape(shape), critical,
    )  # fmt: skip


def lobe_curve(modes, specific_force, frequency, waves):
    """One lobe of the stability chart: spindle speed and limiting width at given chatter frequencies.

    Parameters
    ----------
    modes : sequence of Mode
    specific_force : Quantity [stress]
    frequency : Quantity [1/time], scalar or array
        Where the real part of the receptance is negative; elsewhere the width is endless.
    waves : int or array; broadcasts
        Whole waves in a turn, N, 0 or more.

    Returns
    -------
    tuple of Quantity [rpm] and Quantity [mm]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; no modes.

    Notes
    -----
    Basis: derived; the formulas of :func:`stability_lobes`, which keeps only the lowest of all lobes.
    """
    hertz = np.asarray(magnitude(frequency, "1/s", "frequency", above=0))
    force = magnitude(specific_force, "Pa", "specific_force", above=0)
    width, phase = _width_and_phase(_receptance(_plain(modes), hertz), force)
    return Quantity(60 * hertz / (number(waves, "waves", least=0) + phase / (2 * np.pi)), "rpm"), Quantity(1000 * width, "mm")


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
    Basis: derived. At a lathe's speeds N is 20 to 100 and neighboring bays lie within a percent or two: nothing to aim at.
    """
    return Quantity(60 * magnitude(frequency, "1/s", "frequency", above=0) / number(waves, "waves", least=1), "rpm")


def chatter_frequency(mark_spacing, cutting_speed):
    r"""Frequency that left marks of a given spacing on the work.

    .. math:: f = v / \lambda

    Parameters
    ----------
    mark_spacing : Quantity [length]
        Along the surface, crest to crest.
    cutting_speed : Quantity [length/time]

    Returns
    -------
    Quantity [Hz]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived. Compare with the tap's frequency: the same part is swinging where they agree.
    """
    spacing = magnitude(mark_spacing, "m", "mark_spacing", above=0)
    return Quantity(magnitude(cutting_speed, "m/s", "cutting_speed", above=0) / spacing, "Hz")


def compare_tools(modes, specific_force, edge_width, relief_width):
    """A wide edge against the same edge relieved in its middle so that two narrow edges cut.

    Both narrow edges cut when the tool is plunged, so their sum counts; traversed along the pin, only the leading
    one does, and the middle goes with it.

    Parameters
    ----------
    modes : sequence of Mode
    specific_force : Quantity [stress]
    edge_width : Quantity [length]
        The whole edge.
    relief_width : Quantity [length]
        Ground away in the middle.

    Returns
    -------
    ToolComparison
        ``least_relief`` brings the plunged tool just to the limit.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; a relief as wide as the edge.

    Notes
    -----
    Basis: derived, as :func:`critical_width`: limits at any speed. Both edges are taken to move alike, which holds for a
    stiff short pin; one that tilts under the tool does not halve the trouble.
    """
    limit = critical_width(modes, specific_force).width.m_as("mm")
    whole, middle = magnitude(edge_width, "mm", "edge_width", above=0), magnitude(relief_width, "mm", "relief_width", least=0)
    if middle >= whole:
        raise ValueError("relief_width must be below edge_width: something has to be left to cut")
    left = whole - middle
    return ToolComparison(
        *(Quantity(value, "mm") for value in (limit, whole, left)), limit / whole, limit / left, Quantity(max(whole - limit, 0.0), "mm")
    )


def damping_from_decay(first, last, cycles):
    r"""Damping ratio from two peaks of a dying swing.

    .. math:: \delta = \frac{1}{n}\ln\frac{x_0}{x_n}, \quad \zeta = \frac{\delta}{\sqrt{4\pi^2 + \delta^2}}

    Parameters
    ----------
    first, last : Quantity [length], or two plain numbers
        Heights of two peaks; any one measure serves, as only their ratio counts.
    cycles : float
        Whole swings between the peaks, 1 or more.

    Returns
    -------
    float or ndarray [no unit]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input is impossible; the last peak is not below the first.

    Notes
    -----
    Basis: derived.
    """
    if isinstance(first, Quantity) or isinstance(last, Quantity):
        high, low = magnitude(first, "mm", "first", above=0), magnitude(last, "mm", "last", above=0)
    else:
        high, low = number(first, "first", above=0), number(last, "last", above=0)
    if np.any(np.asarray(low) >= high):
        raise ValueError("last must be below first: the swing has to die away; check which peak is which")
    decrement = np.log(np.asarray(high) / low) / number(cycles, "cycles", least=1)
    return number(decrement / np.sqrt(4 * np.pi**2 + decrement**2), "damping_ratio")


def read_decay(time, movement):
    r"""Frequency and damping from the record of a tap.

    From the greatest movement on, :math:`x = A e^{-\zeta\omega t}\cos(\omega t\sqrt{1 - \zeta^2} + \varphi) + x_0` is
    fitted by least squares.

    Parameters
    ----------
    time : Quantity [time], array
        Rising; ten readings or more in each swing serve well.
    movement : array, plain or Quantity
        Any measure that goes with the movement: dial, microphone, phone.

    Returns
    -------
    Decay
        ``frequency`` is the undamped one that a ``Mode`` asks for.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit or is impossible; fewer than two swings, or no single dying swing to be found.

    Notes
    -----
    Basis: derived; one mode. Above a damping of 0.2 an ``OutOfRangeWarning`` is given: too few swings to be read well.
    """
    from scipy.optimize import curve_fit

    seconds = np.atleast_1d(magnitude(time, "s", "time"))
    signal = np.asarray(getattr(movement, "magnitude", movement), dtype=float)
    if seconds.shape != signal.shape or seconds.ndim != 1 or not np.all(np.isfinite(signal)):
        raise ValueError("movement needs one finite reading for each time")
    if np.any(np.diff(seconds) <= 0):
        raise ValueError("time has to rise from reading to reading")
    start = int(np.argmax(np.abs(signal - np.median(signal))))
    seconds, signal = seconds[start:] - seconds[start], signal[start:]
    if seconds.size < 12:
        raise ValueError("movement holds fewer than 12 readings after its greatest: record longer, or more finely")

    def swing(t, cosine, sine, frequency, damping, rest):
        omega = 2 * np.pi * frequency
        turn = omega * t * np.sqrt(1 - damping**2)
        return np.exp(-damping * omega * t) * (cosine * np.cos(turn) + sine * np.sin(turn)) + rest

    size = np.ptp(signal) or 1.0
    rough = _loudest_frequency(seconds, signal)
    quiet = np.array([1e-6, 0.9])  # bounds of the damping ratio
    try:
        found, covariance = curve_fit(swing, seconds, signal / size, (1.0, 0.0, rough, 0.03, np.median(signal) / size),
                                      bounds=((-5, -5, 0.5 * rough, quiet[0], -np.inf), (5, 5, 2 * rough, quiet[1], np.inf)))  # fmt: skip
    except RuntimeError:
        raise ValueError("movement is not one dying swing: tap again, nearer to where the tool works") from None
    frequency, damping = float(found[2]), float(found[3])
    left = np.std(signal / size - swing(seconds, *found))
    if left > 0.5 * np.std(signal / size) or damping < 2 * quiet[0]:
        raise ValueError("movement is not one dying swing: tap again, nearer to where the tool works")
    if frequency * seconds[-1] < 2:
        raise ValueError("movement holds fewer than two swings: record longer")
    if damping > MOST_READ_DAMPING:
        warnings.warn("damping is above 0.2: too few swings to be read well", OutOfRangeWarning, stacklevel=2)
    return Decay(Quantity(frequency, "Hz"), damping, float(np.sqrt(covariance[3, 3])))


def stiffness_from_weight(mass, reading, gravity=None):
    r"""Stiffness from hanging weights and a dial.

    .. math:: k = m g / \delta

    and, for several weights, the least-squares slope of reading over load.

    Parameters
    ----------
    mass : Quantity [mass], scalar or array
        What hangs where the tool would push.
    reading : Quantity [length], same shape
        The dial at the same place. One weight: its movement. Several: the readings, any zero.
    gravity : Quantity [acceleration], optional
        9.80665 m/s2 without it.

    Returns
    -------
    StaticStiffness

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; readings that do not grow with the load.

    Notes
    -----
    Basis: derived. The stiffness at rest is that of all modes together, 1/k = sum of 1/k_i, so below that of any one.
    Load first past the play of centers and slides, then read.
    """
    load = np.atleast_1d(magnitude(mass, "kg", "mass", least=0)) * (
        STANDARD_GRAVITY if gravity is None else magnitude(gravity, "m/s**2", "gravity", above=0))  # fmt: skip
    moved = np.atleast_1d(magnitude(reading, "m", "reading"))
    if load.shape != moved.shape or load.ndim != 1:
        raise ValueError("reading needs one value for each mass")
    free, error = 0.0, np.nan
    if load.size == 1:
        slope = moved[0] / load[0] if load[0] > 0 else np.nan
    else:
        if np.ptp(load) == 0:
            raise ValueError("mass holds only one weight: hang at least two different ones")
        slope, free = np.polyfit(load, moved, 1)
        if load.size > 2:
            scatter = np.sqrt(np.sum((moved - free - slope * load) ** 2) / (load.size - 2))
            error = scatter / np.sqrt(np.sum((load - load.mean()) ** 2)) / slope**2
    if not slope > 0:
        raise ValueError("reading must grow with mass: check the dial's sign and that a weight hangs")
    return StaticStiffness(Quantity(1 / slope, "N/m"), Quantity(error, "N/m"), Quantity(free, "m").to("um"))


def _damping(value, name):
    plain = number(value, name, above=0)
    if np.any(np.asarray(plain) >= 1):
        raise ValueError(f"{name} must be below 1, not {np.max(plain):g}; write 0.03 for three percent of critical")
    return plain


def _plain(modes):
    """Modes as rows of frequency [Hz], stiffness [N/m], damping ratio and share, each checked."""
    modes = (modes,) if isinstance(modes, Mode) else tuple(modes)
    if not modes:
        raise ValueError("modes is empty: give at least one Mode")
    rows = []
    for place, mode in enumerate(modes):
        if not isinstance(mode, Mode):
            raise TypeError(f"modes[{place}] has to be a Mode(frequency, stiffness, damping_ratio), not {mode!r}")
        name = f"modes[{place}]"
        rows.append((
            magnitude(mode.frequency, "1/s", f"{name}.frequency", above=0), magnitude(mode.stiffness, "N/m", f"{name}.stiffness", above=0),
            _damping(mode.damping_ratio, f"{name}.damping_ratio"), number(mode.share, f"{name}.share", least=-1, most=1),
        ))  # fmt: skip
    return np.array(rows)


def _receptance(plain, frequency):
    natural, stiffness, damping, share = (plain[:, place].reshape((-1,) + (1,) * np.ndim(frequency)) for place in range(4))
    ratio = frequency / natural
    return np.sum(share / stiffness / (1 - ratio**2 + 2j * damping * ratio), axis=0)


def _grid(plain):
    """Frequencies [Hz] dense where a mode turns, thin elsewhere."""
    spread = np.linspace(-np.pi / 2, np.pi / 2, POINTS + 2)[1:-1]
    near = [natural * (1 + damping * np.tan(spread)) for natural, _, damping, _ in plain]
    wide = np.geomspace(plain[:, 0].min() / 20, 20 * plain[:, 0].max(), POINTS)
    grid = np.unique(np.concatenate([*near, wide]))
    return grid[(grid >= wide[0]) & (grid <= wide[-1])]


def _critical(plain, force):
    """Least width over all frequencies, its neighborhood searched to the last digits."""
    from scipy.optimize import minimize_scalar

    grid = _grid(plain)
    real = _receptance(plain, grid).real
    place = int(np.argmin(real))
    if real[place] >= 0:
        return CriticalWidth(Quantity(np.inf, "mm"), Quantity(np.nan, "Hz"))
    bounds = grid[max(place - 1, 0)], grid[min(place + 1, len(grid) - 1)]
    best = minimize_scalar(lambda f: _receptance(plain, f).real, bounds=bounds, method="bounded", options={"xatol": 1e-9 * bounds[1]})
    return CriticalWidth(Quantity(1000 * -1 / (2 * force * best.fun), "mm"), Quantity(float(best.x), "Hz"))


def _width_and_phase(response, force):
    """Width [m] at the limit and phase between this turn's wave and the last one's, in 0 to 2 pi."""
    against = np.minimum(response.real, 0.0)
    with np.errstate(divide="ignore"):
        width = np.where(against < 0, -1 / (2 * force * against), np.inf)
    return width, np.mod(3 * np.pi + 2 * np.angle(response), 2 * np.pi)


def _runs(inside):
    """Beginnings and ends of the stretches that are true."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], inside, [False]]).astype(int)))
    return edges.reshape(-1, 2)


def _loudest_frequency(seconds, signal):
    """Frequency [Hz] of the tallest line of the spectrum, zeros added for a fine scale."""
    even = np.linspace(seconds[0], seconds[-1], seconds.size)
    level = np.interp(even, seconds, signal) - signal.mean()
    spectrum = np.abs(np.fft.rfft(level, 8 * level.size))
    return np.fft.rfftfreq(8 * level.size, even[1])[int(np.argmax(spectrum[1:])) + 1]
