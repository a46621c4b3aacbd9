"""Measuring at home what a lathe and its work do: a tap, marks on the work, the speed at which singing stops, a weight and a dial."""

import warnings
import wave
from dataclasses import dataclass

import numpy as np

from ..units import OutOfRangeWarning, Quantity, magnitude, number
from .modes import checked_damping

STANDARD_GRAVITY = 9.80665  # m/s2
MOST_READ_DAMPING = 0.2  # a swing dies too soon above it to be read well
FEWEST = 12  # readings
LEAST_SWINGS = 1.5
NEAR = 4 / 3  # either way about the frequency listened for
LONGEST = 60.0  # s of a recording
NOT_ONE = "movement is not one dying swing: tap again, nearer to where the tool works, or name the frequency with near"


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
        raise ValueError(
            "last must be below first: the swing has to die away; check which peak is which"
        )
    decrement = np.log(np.asarray(high) / low) / number(cycles, "cycles", least=1)
    return number(decrement / np.sqrt(4 * np.pi**2 + decrement**2), "damping_ratio")


def read_recording(path):
    """A sound recording, as a phone makes it.

    Parameters
    ----------
    path : str or Path
        A .wav file without compression; other kinds: save as WAV in any sound editor.

    Returns
    -------
    Quantity [s], ndarray
        Time, and the sound from -1 to 1, channels averaged.

    Raises
    ------
    ValueError
        Not such a file, an empty one, or one longer than a minute.
    OSError
        It cannot be opened.

    Notes
    -----
    Basis: derived. A microphone hears what moves; it must not be overdriven, so keep it a hand's breadth away.
    """
    try:
        with wave.open(str(path)) as file:
            rate, channels, size, count = (
                file.getframerate(),
                file.getnchannels(),
                file.getsampwidth(),
                file.getnframes(),
            )
            if count > LONGEST * rate:
                raise ValueError(f"“{path}” is longer than {LONGEST:g} s: cut out one tap")
            raw = np.frombuffer(file.readframes(count), np.uint8).reshape(-1, size)
    except OSError as error:
        raise FileNotFoundError(
            f"no recording “{path}” ({error.strerror}); write the path of a WAV file"
        ) from None
    except (wave.Error, EOFError) as error:
        raise ValueError(
            f"“{path}” is not a plain WAV file ({error}): save it as WAV, 16 bit, in a sound editor"
        ) from None
    if not raw.size:
        raise ValueError(f"“{path}” holds no sound")
    if size == 1:  # one byte is unsigned, more are signed, lowest byte first
        level = raw[:, 0] / 127.5 - 1
    else:
        wide = np.zeros((len(raw), 4), np.uint8)
        wide[:, -min(size, 4) :] = raw[:, -4:]
        level = wide.view("<i4")[:, 0] / 2.0**31
    level = level.reshape(-1, channels).mean(axis=1)
    return Quantity(np.arange(level.size) / rate, "s"), level


def pitch(time, movement):
    """Frequency of the loudest tone in a record: which part sings is told by its pitch.

    Parameters
    ----------
    time : Quantity [time], array
    movement : array, plain or Quantity
        Of the same length.

    Returns
    -------
    Quantity [Hz]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        The time lacks its unit or does not rise, or the readings do not match it.

    Notes
    -----
    Basis: derived; the tallest line of the spectrum.
    """
    seconds, signal = _even(*_record(time, movement))
    return Quantity(_loudest(seconds[1], signal), "Hz")


def read_decay(time, movement, near=None):
    r"""Frequency and damping from the record of a tap.

    From the greatest movement until the ring has sunk into the noise, :math:`x = A e^{-\zeta\omega t}
    \cos(\omega t\sqrt{1 - \zeta^2} + \varphi) + x_0` is fitted by least squares.

    Parameters
    ----------
    time : Quantity [time], array
        Rising; ten readings or more in each swing serve well.
    movement : array, plain or Quantity
        Any measure that goes with the movement: dial, microphone, phone.
    near : Quantity [1/time], optional
        Listen only within a third of this frequency either way, where a tap wakes several parts at once.

    Returns
    -------
    Decay
        ``frequency`` is the undamped one that a ``Mode`` asks for.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit or is impossible; too few swings, or no single dying swing to be found.

    Notes
    -----
    Basis: derived; one mode. Above a damping of 0.2 an ``OutOfRangeWarning`` is given: too few swings to be read well.
    """
    from scipy.optimize import curve_fit

    seconds, signal = _ringing(*_record(time, movement), near)

    def swing(t, cosine, sine, frequency, damping, rest):
        omega = 2 * np.pi * frequency
        turn = omega * t * np.sqrt(1 - damping**2)
        return np.exp(-damping * omega * t) * (cosine * np.cos(turn) + sine * np.sin(turn)) + rest

    rough, least, most = _loudest(seconds[1], signal), 1e-6, 0.9  # of the damping ratio
    try:
        found, covariance = curve_fit(
            swing,
            seconds,
            signal,
            (1.0, 0.0, rough, 0.03, 0.0),
            bounds=((-5, -5, 0.5 * rough, least, -np.inf), (5, 5, 2 * rough, most, np.inf)),
        )
    except RuntimeError:
        raise ValueError(NOT_ONE) from None
    frequency, damping = float(found[2]), float(found[3])
    if np.std(signal - swing(seconds, *found)) > 0.5 * np.std(signal) or damping < 2 * least:
        raise ValueError(NOT_ONE)
    if frequency * seconds[-1] < LEAST_SWINGS:
        raise ValueError(
            "movement holds fewer than one and a half swings before it dies: record longer, or tap harder"
        )
    if damping > MOST_READ_DAMPING:
        warnings.warn(
            "damping is above 0.2: too few swings to be read well", OutOfRangeWarning, stacklevel=2
        )
    return Decay(Quantity(frequency, "Hz"), damping, float(np.sqrt(covariance[3, 3])))


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


def mark_spacing(frequency, cutting_speed):
    r"""Spacing of the marks that a frequency leaves, crest to crest along the surface.

    .. math:: \lambda = v / f

    Parameters
    ----------
    frequency : Quantity [1/time]
    cutting_speed : Quantity [length/time]

    Returns
    -------
    Quantity [mm]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived; :func:`chatter_frequency` the other way round.
    """
    speed = magnitude(cutting_speed, "mm/s", "cutting_speed", above=0)
    return Quantity(speed / magnitude(frequency, "1/s", "frequency", above=0), "mm")


def process_damping(quiet_speed, frequency, damping_ratio, specific_force):
    r"""How much the flank's rubbing damps, from the cutting speed below which even a wide cut stops singing.

    .. math:: C = \frac{K\,v_q}{2\pi f\,(\sqrt{1 + \zeta} + \sqrt{\zeta})^2}

    Plunge a wide tool into a bar at a steady spindle speed: as the diameter shrinks the cutting speed falls, and the
    singing stops. The surface speed at that diameter is v_q.

    Parameters
    ----------
    quiet_speed : Quantity [length/time], scalar or array
    frequency : Quantity [1/time]
        Of the singing, or of the mode from a tap.
    damping_ratio : float
    specific_force : Quantity [stress]
        As for ``chatter.limiting_width``.

    Returns
    -------
    Quantity [N/m]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived; ``chatter.quiet_speed`` solved for C. Plunging down to the speed where singing stops is how Kurata,
    Merdol, Altintas, Suzuki and Shamoto measured it (J. Adv. Mech. Des. Syst. Manuf. 4, 2010). One edge, one steel: a
    fresh grind changes it.
    """
    speed = magnitude(quiet_speed, "m/s", "quiet_speed", above=0)
    omega = 2 * np.pi * magnitude(frequency, "1/s", "frequency", above=0)
    zeta = checked_damping(damping_ratio, "damping_ratio")
    force = magnitude(specific_force, "Pa", "specific_force", above=0)
    return Quantity(force * speed / (omega * (np.sqrt(1 + zeta) + np.sqrt(zeta)) ** 2), "N/m")


def stiffness_from_weight(mass, reading, gravity=None):
    r"""Stiffness from hanging weights and a dial.

    .. math:: k = m g / \delta

    and, for several weights, the least-squares slope of reading over load.

    Parameters
    ----------
    mass : Quantity [mass], scalar or array
        What hangs, over a pulley: the cord has to pull the way the tool pushes.
    reading : Quantity [length], same shape
        The dial at the same place, along the cord. One weight: its movement. Several: the readings, any zero.
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
        STANDARD_GRAVITY if gravity is None else magnitude(gravity, "m/s**2", "gravity", above=0)
    )
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
        raise ValueError(
            "reading must grow with mass: check the dial's sign and that a weight hangs"
        )
    return StaticStiffness(
        Quantity(1 / slope, "N/m"), Quantity(error, "N/m"), Quantity(free, "m").to("um")
    )


def _record(time, movement):
    """Time [s] and readings of one record, checked."""
    seconds = np.atleast_1d(magnitude(time, "s", "time"))
    signal = np.asarray(getattr(movement, "magnitude", movement), dtype=float)
    if seconds.shape != signal.shape or seconds.ndim != 1 or not np.all(np.isfinite(signal)):
        raise ValueError("movement needs one finite reading for each time")
    if np.any(np.diff(seconds) <= 0):
        raise ValueError("time has to rise from reading to reading")
    if seconds.size < FEWEST:
        raise ValueError(
            f"movement holds fewer than {FEWEST} readings: record longer, or more finely"
        )
    return seconds, signal - np.median(signal)


def _even(seconds, signal):
    """The record from zero on, at even times."""
    even = np.linspace(0, seconds[-1] - seconds[0], seconds.size)
    return even, np.interp(even, seconds - seconds[0], signal)


def _ringing(seconds, signal, near):
    """The stretch from the greatest movement until the ring has sunk, as even times from zero and movement of size about one."""
    from scipy.signal import butter, hilbert, sosfiltfilt

    even, signal = _even(seconds, signal)
    if near is not None:
        middle = magnitude(near, "1/s", "near", above=0, one=True)
        if middle * NEAR >= 0.5 / even[1]:
            raise ValueError(
                f"near is too high for a record of {1 / even[1]:.0f} readings a second; it has to lie below a third of that"
            )
        signal = sosfiltfilt(
            butter(2, (middle / NEAR, middle * NEAR), "bandpass", fs=1 / even[1], output="sos"),
            signal,
        )
    start = int(np.argmax(np.abs(signal)))
    wave_length = (
        max(int(1 / (_loudest(even[1], signal[start:]) * even[1])), 1)
        if signal.size - start >= FEWEST
        else 1
    )
    size = np.convolve(np.abs(hilbert(signal)), np.ones(wave_length) / wave_length, "same")
    # noise is what is left where the record is quietest; a record that is all ring has no such place
    loud = size[start:].max()
    floor = min(max(0.01 * loud, 2 * np.percentile(size, 10)), 0.2 * loud)
    sunk = np.flatnonzero(size[start + wave_length :] < floor)
    end = start + wave_length + sunk[0] if sunk.size else signal.size
    if near is not None:
        start += wave_length  # the filter needs a swing to follow
    if end - start < FEWEST:
        raise ValueError(
            f"movement holds fewer than {FEWEST} readings after its greatest: record longer, or more finely"
        )
    return even[: end - start], signal[start:end] / (np.ptp(signal[start:end]) or 1.0)


def _loudest(step, signal):
    """Frequency [Hz] of the tallest line of the spectrum, zeros added for a fine scale."""
    spectrum = np.abs(np.fft.rfft(signal - signal.mean(), 8 * signal.size))
    return np.fft.rfftfreq(8 * signal.size, step)[int(np.argmax(spectrum[1:])) + 1]
