"""What a tap, marks, the speed where singing stops, and a weight with a dial tell."""

import wave

import numpy as np
import pytest
from scipy import signal

from crankmath import chatter
from crankmath.chatter import tap_and_weight
from crankmath.units import OutOfRangeWarning, Quantity

FORCE = Quantity(2000.0, "MPa")


def test_marks_tell_the_frequency():
    # 25 m/min is 416.7 mm/s; marks 2 mm apart pass 208.3 times a second
    assert tap_and_weight.chatter_frequency(Quantity(2, "mm"), Quantity(25, "m/min")).m_as(
        "Hz"
    ) == pytest.approx(208.33, abs=0.01)


@pytest.mark.parametrize(("frequency", "damping"), [(80.0, 0.01), (220.0, 0.03), (45.0, 0.1)])
def test_tap_is_read_back(frequency, damping):
    """Record made by integrating the equation of motion, with a wait before the tap, an offset and noise of one percent."""
    omega = 2 * np.pi * frequency
    time, swing = signal.impulse(
        ([1.0], [1, 2 * damping * omega, omega**2]), T=np.linspace(0, 25 / frequency, 1500)
    )
    record = np.concatenate([np.zeros(200), swing / swing.max()]) + 0.3
    record += 0.01 * np.random.default_rng(2).normal(size=record.size)
    found = tap_and_weight.read_decay(Quantity(np.arange(record.size) * time[1], "s"), record)
    assert found.frequency.m_as("Hz") == pytest.approx(frequency, rel=0.005)
    assert abs(found.damping_ratio - damping) < 5 * found.standard_error < 0.2 * damping


def tap_record(tones, rate=44100, before=0.4, after=1.6, noise=0.02):
    """A tap as a microphone hears it: quiet, several rings at once, quiet again; noise all along."""
    time = np.arange(int(rate * (before + after))) / rate
    late = np.clip(time - before, 0, None)
    rings = sum(
        size
        * np.exp(-zeta * 2 * np.pi * f * late)
        * np.sin(2 * np.pi * f * np.sqrt(1 - zeta**2) * late)
        for f, zeta, size in tones
    )
    return Quantity(time, "s"), rings + noise * np.random.default_rng(5).normal(size=time.size)


@pytest.mark.parametrize(("frequency", "damping"), [(250.0, 0.04), (1100.0, 0.02), (180.0, 0.09)])
def test_tap_on_a_long_noisy_recording(frequency, damping):
    found = tap_and_weight.read_decay(*tap_record([(frequency, damping, 1.0)]))
    assert found.frequency.m_as("Hz") == pytest.approx(frequency, rel=0.01)
    assert found.damping_ratio == pytest.approx(damping, rel=0.1)


@pytest.mark.parametrize(("near", "damping"), [(240.0, 0.04), (1150.0, 0.02)])
def test_two_parts_ringing_at_once_are_told_apart(near, damping):
    record = tap_record([(250.0, 0.04, 1.0), (1100.0, 0.02, 0.7)])
    found = tap_and_weight.read_decay(*record, near=Quantity(near, "Hz"))
    assert found.frequency.m_as("Hz") == pytest.approx({240.0: 250, 1150.0: 1100}[near], rel=0.02)
    assert found.damping_ratio == pytest.approx(damping, rel=0.15)


def test_pitch_of_a_squeal():
    assert tap_and_weight.pitch(*tap_record([(412.0, 1e-5, 0.3)])).m_as("Hz") == pytest.approx(
        412, abs=0.5
    )


@pytest.mark.parametrize(("width", "channels"), [(1, 1), (2, 1), (2, 2), (3, 1), (4, 2)])
def test_recording_is_read(tmp_path, width, channels):
    """A tone written with the standard library in each common form comes back as it was."""
    tone = 0.5 * np.sin(2 * np.pi * 250 * np.arange(800) / 8000)
    if width == 1:
        raw = np.round((tone + 1) * 127.5).astype(np.uint8).repeat(channels).tobytes()
    else:
        whole = np.round(tone * (2 ** (8 * width - 1) - 1)).astype("<i4").repeat(channels)
        raw = whole.view(np.uint8).reshape(-1, 4)[:, :width].tobytes()
    with wave.open(str(tmp_path / "tap.wav"), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(width)
        file.setframerate(8000)
        file.writeframes(raw)
    time, level = tap_and_weight.read_recording(tmp_path / "tap.wav")
    assert time.m_as("s")[-1] == pytest.approx(799 / 8000)
    assert np.allclose(level, tone, atol=0.01 if width == 1 else 1e-4)


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"no sound at all", "is not a plain WAV file"), (b"", "is not a plain WAV file")],
)
def test_what_is_no_recording_is_said(tmp_path, content, words):
    (tmp_path / "tap.wav").write_bytes(content)
    with pytest.raises(ValueError, match=words):
        tap_and_weight.read_recording(tmp_path / "tap.wav")


def test_two_peaks_of_a_decay():
    peaks = np.exp(-0.03 / np.sqrt(1 - 0.03**2) * 2 * np.pi * np.array([0, 5]))
    assert tap_and_weight.damping_from_decay(*peaks, 5) == pytest.approx(0.03)
    assert tap_and_weight.damping_from_decay(*Quantity(peaks, "thousandth"), 5) == pytest.approx(
        0.03
    )


def test_weights_and_dial():
    one = tap_and_weight.stiffness_from_weight(Quantity(2, "kg"), Quantity(4, "um"))
    assert one.stiffness.m_as("N/um") == pytest.approx(2 * 9.80665 / 4) and np.isnan(
        one.standard_error.magnitude
    )
    mass = np.array([1.0, 2, 3, 4])
    several = tap_and_weight.stiffness_from_weight(
        Quantity(mass, "kg"), Quantity(5 + 2 * mass + np.array([0.01, -0.01, -0.01, 0.01]), "um")
    )
    assert several.stiffness.m_as("N/um") == pytest.approx(9.80665 / 2)
    assert several.free_reading.m_as("um") == pytest.approx(5)
    # residuals 0.01 um each: s = 0.01 sqrt(4/2); over sqrt(5) kg; of a slope of 2 um/kg
    assert (several.standard_error / several.stiffness).magnitude == pytest.approx(
        0.01 * np.sqrt(2) / np.sqrt(5) / 2
    )


def test_heavy_damping_is_said():
    time = np.linspace(0, 3, 3000)
    with pytest.warns(OutOfRangeWarning, match="above 0.2"):
        tap_and_weight.read_decay(
            Quantity(time, "s"),
            np.exp(-0.22 * 2 * np.pi * time) * np.sin(2 * np.pi * np.sqrt(1 - 0.22**2) * time),
        )


@pytest.mark.parametrize("damping", [0.02, 0.08])
def test_speed_where_singing_stops_gives_the_damping_back(damping):
    """Searched in the charts of critical width: the slowest speed that still has a limit."""
    rubbing, mode = (
        Quantity(8e4, "N/m"),
        chatter.Mode(Quantity(220.0, "Hz"), Quantity(2e7, "N/m"), damping),
    )
    speeds = Quantity(np.linspace(1, 15, 2000), "m/min")
    singing = np.isfinite(chatter.critical_width(mode, FORCE, rubbing, speeds).width.magnitude)
    found = tap_and_weight.process_damping(
        speeds[np.argmax(singing)], mode.frequency, damping, FORCE
    )
    assert found.m_as("N/m") == pytest.approx(8e4, rel=0.005)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: tap_and_weight.damping_from_decay(1, 2, 3), "^last"),
        (lambda: tap_and_weight.damping_from_decay(2, 1, 0), "^cycles"),
        (lambda: tap_and_weight.read_decay(Quantity(np.arange(5.0), "s"), np.ones(4)), "^movement"),
        (
            lambda: tap_and_weight.read_decay(Quantity(np.arange(5.0)[::-1], "s"), np.ones(5)),
            "^time",
        ),
        (
            lambda: tap_and_weight.read_decay(
                Quantity(np.arange(50.0), "s"), np.random.default_rng(0).normal(size=50)
            ),
            "^movement is not one dying vibration",
        ),
        (
            lambda: tap_and_weight.read_decay(Quantity(np.arange(5.0), "s"), np.ones(5)),
            "fewer than 12",
        ),
        (
            lambda: tap_and_weight.read_decay(
                Quantity(np.arange(50.0), "s"), np.ones(50), near=Quantity(0.45, "Hz")
            ),
            "^near is too high",
        ),
        (
            lambda: tap_and_weight.stiffness_from_weight(
                Quantity([1, 1], "kg"), Quantity([1, 2], "um")
            ),
            "^mass holds only one",
        ),
        (
            lambda: tap_and_weight.stiffness_from_weight(
                Quantity([1, 2], "kg"), Quantity([2, 1], "um")
            ),
            "^reading must grow",
        ),
    ],
)
def test_impossible_readings_are_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()


@pytest.mark.parametrize(("count", "few"), [(11, True), (12, False)])
def test_a_swing_of_a_dozen_readings_may_be_enough(count, few):
    """Own choice: fewer are refused before anything is fitted."""
    time = np.linspace(0, 0.03, count)
    signal = np.exp(-0.05 * 2 * np.pi * 100 * time) * np.cos(2 * np.pi * 100 * time)
    try:
        tap_and_weight.read_decay(Quantity(time, "s"), Quantity(signal, "mm"))
    except ValueError as error:
        assert ("fewer than 12 readings:" in str(error)) == few
    else:
        assert not few
