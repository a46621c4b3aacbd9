"""Measuring at home what a lathe and its work do: a tap, marks on the work, a weight and a dial."""

import warnings
from dataclasses import dataclass

import numpy as np

from ..checks import takes
from ..units import OutOfRangeWarning, Quantity, magnitude, number
from .modes import checked_damping

STANDARD_GRAVITY = 9.80665  # m/s2
MOST_READ_DAMPING = 0.2  # a swing dies too soon above it to be read well
FEWEST = 12  # readings
LEAST_SWINGS = 1.5
NEAR = 4 / 3  # either way about the frequency listened for
LONGEST = 60.0  # s of a recording
NOT_ONE = (
    "movement is not one dying vibration: tap again, nearer to where the tool works, "
    "or name the frequency with near"
)


@dataclass(frozen=True)
class Decay:
    """Frequency and damping read from a tap's decay, with the standard error of the damping."""

    frequency: Quantity
    damping_ratio: float
    standard_error: float


@dataclass(frozen=True)
class StaticStiffness:
    """Stiffness from weights and a dial, its standard error (nan for one), the free reading."""

    stiffness: Quantity
    standard_error: Quantity
    free_reading: Quantity


def damping_from_decay(first, last, cycles):
    """Damping ratio from two peaks of a dying vibration: δ = ln(x0/xn)/n, ζ = δ / sqrt(4π² + δ²).

    ``first`` and ``last`` are heights of two peaks, each [length] or a plain number, as only their
    ratio counts; ``cycles`` are the whole periods between them, 1 or more.
    Basis: derived.
    """
    if isinstance(first, Quantity) or isinstance(last, Quantity):
        high, low = magnitude(first, "mm", "first", above=0), magnitude(last, "mm", "last", above=0)
    else:
        high, low = number(first, "first", above=0), number(last, "last", above=0)
    if np.any(np.asarray(low) >= high):
        raise ValueError(
            "last must be below first: the vibration has to die away; check which peak is which"
        )
    decrement = np.log(np.asarray(high) / low) / number(cycles, "cycles", least=1)
    return number(decrement / np.sqrt(4 * np.pi**2 + decrement**2), "damping_ratio")


def read_recording(path):
    """Time and sound of a recording, as a phone makes it: Quantity [s], and numbers from -1 to 1.

    ``path`` is a .wav file; other kinds: save as WAV in any sound editor. Channels are averaged.
    Basis: derived. A microphone hears what moves; it must not be overdriven, so keep it a hand's
    breadth away.
    """
    from scipy.io import wavfile

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", wavfile.WavFileWarning)  # chunks that hold no sound
            rate, level = wavfile.read(str(path))
    except OSError as error:
        raise FileNotFoundError(
            f"no recording “{path}” ({error.strerror}); write the path of a WAV file"
        ) from None
    except Exception as error:  # a damaged file fails in many ways inside the reader
        raise ValueError(
            f"“{path}” is not a plain WAV file ({error}): save it as WAV, 16 bit, in a sound editor"
        ) from None
    if not level.size:
        raise ValueError(f"“{path}” holds no sound")
    if len(level) > LONGEST * rate:
        raise ValueError(f"“{path}” is longer than {LONGEST:g} s: cut out one tap")
    if level.dtype == np.uint8:  # one byte is unsigned, more are signed
        level = level / 127.5 - 1
    elif level.dtype.kind == "i":
        level = level / 2.0 ** (8 * level.dtype.itemsize - 1)
    level = level.reshape(len(level), -1).mean(axis=1)
    return Quantity(np.arange(level.size) / rate, "s"), level


def pitch(time, movement):
    """Frequency of the loudest tone in a record: its pitch tells which part chatters.

    ``time`` [time] rises; ``movement`` is an array of the same length, plain or Quantity.
    Basis: derived; the tallest line of the spectrum.
    """
    seconds, signal = _even(*_record(time, movement))
    return Quantity(_loudest(seconds[1], signal), "Hz")


def read_decay(time, movement, near=None):
    """Frequency and damping from the record of a tap.

    From the greatest movement until the ring has sunk into the noise, x = A e^(-ζωt) cos(ωt √(1 -
    ζ²) + φ) + x0 is fitted by least squares. ``time`` [time] rises, ten readings or more in each
    period; ``movement`` is any measure that goes with it: dial, microphone, phone; ``near``
    [1/time] listens only from three fourths to four thirds of this frequency, where a tap wakes
    several parts at once. ``frequency`` is the undamped one that a Mode asks for.
    Basis: derived; one mode. Above a damping of 0.2 an OutOfRangeWarning: too few periods to be
    read well. A record that is not one dying vibration is refused.
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
            "movement holds fewer than one and a half periods before it dies: record longer, "
            "or tap harder"
        )
    if damping > MOST_READ_DAMPING:
        warnings.warn(
            "damping is above 0.2: too few periods to be read well", OutOfRangeWarning, stacklevel=2
        )
    return Decay(Quantity(frequency, "Hz"), damping, float(np.sqrt(covariance[3, 3])))


@takes(mark_spacing="m > 0", cutting_speed="m/s > 0", gives="Hz")
def chatter_frequency(mark_spacing, cutting_speed):
    """Frequency that left marks of a given spacing on the work: f = v / λ.

    ``mark_spacing`` runs along the surface, crest to crest; ``cutting_speed`` is that of the
    surface.
    Basis: derived. Compare with the tap's frequency: the same part vibrates where they agree.
    """
    return cutting_speed / mark_spacing


@takes(frequency="1/s > 0", cutting_speed="mm/s > 0", gives="mm")
def mark_spacing(frequency, cutting_speed):
    """Spacing of the marks that a frequency leaves, crest to crest along the surface: λ = v / f.

    Basis: derived; :func:`chatter_frequency` the other way round.
    """
    return cutting_speed / frequency


@takes(quiet_speed="m/s > 0", frequency="1/s > 0", specific_force="Pa > 0", gives="N/m")
def process_damping(quiet_speed, frequency, damping_ratio, specific_force):
    """Damping C by the flank's rubbing, from the speed below which a wide cut stops chattering.

    C = K v / (2π f (√(1 + ζ) + √ζ)²). Plunge a wide tool into a bar at a steady spindle speed: as
    the diameter shrinks the cutting speed falls, and the chatter stops; the surface speed there is
    ``quiet_speed``. ``frequency`` is that of the chatter, or of the mode from a tap,
    ``damping_ratio`` its ζ; ``specific_force`` K as for ``chatter.limiting_width``.
    Basis: derived; ``chatter.quiet_speed`` solved for C. Plunging down to the speed where chatter
    stops is how Kurata, Merdol, Altintas, Suzuki and Shamoto measured it (J. Adv. Mech. Des. Syst.
    Manuf. 4, 2010). One edge, one steel: a fresh grind changes it.
    """
    zeta = checked_damping(damping_ratio, "damping_ratio")
    spread = (np.sqrt(1 + zeta) + np.sqrt(zeta)) ** 2
    return specific_force * quiet_speed / (2 * np.pi * frequency * spread)


def stiffness_from_weight(mass, reading, gravity=None):
    """Stiffness from hanging weights and a dial: k = m g / δ, for several the least-squares slope.

    ``mass`` [mass] hangs over a pulley: the cord has to pull the way the tool pushes; ``reading``
    [length], one for each mass, is the dial at the same place along the cord, for one weight its
    movement; ``gravity`` [acceleration] default 9.80665 m/s2.
    Basis: derived. The stiffness at rest is that of all modes together, 1/k = sum of 1/ki, so below
    that of any one. Load first past the play of centers and slides, then read.
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
    """Record from the greatest movement until it has sunk, at even times, of size one."""
    from scipy.signal import butter, hilbert, sosfiltfilt

    even, signal = _even(seconds, signal)
    if near is not None:
        middle = magnitude(near, "1/s", "near", above=0, one=True)
        if middle * NEAR >= 0.5 / even[1]:
            raise ValueError(
                f"near is too high for a record of {1 / even[1]:.0f} readings a second; "
                "it has to lie below a third of that"
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
    # noise is what is left where the record is quietest; a record that is all ring has no such
    # place
    loud = size[start:].max()
    floor = min(max(0.01 * loud, 2 * np.percentile(size, 10)), 0.2 * loud)
    sunk = np.flatnonzero(size[start + wave_length :] < floor)
    end = start + wave_length + sunk[0] if sunk.size else signal.size
    if near is not None:
        start += wave_length  # the filter needs a swing to follow
    if end - start < FEWEST:
        raise ValueError(
            f"movement holds fewer than {FEWEST} readings after its greatest: record longer, "
            "or more finely"
        )
    return even[: end - start], signal[start:end] / (np.ptp(signal[start:end]) or 1.0)


def _loudest(step, signal):
    """Frequency [Hz] of the tallest line of the spectrum, zeros added for a fine scale."""
    spectrum = np.abs(np.fft.rfft(signal - signal.mean(), 8 * signal.size))
    return np.fft.rfftfreq(8 * signal.size, step)[int(np.argmax(spectrum[1:])) + 1]
