"""The simulated cut against one stepped by hand, and against what is known without a cut."""

import numpy as np
import pytest

from crankmath.chatter import cut_in_time, stability_lobes
from crankmath.chatter.growth import lasting_wave
from crankmath.chatter.modes import Mode
from crankmath.units import Quantity

FORCE, DIAMETER = Quantity(2000.0, "MPa"), Quantity(40.0, "mm")
TWO = (
    Mode(Quantity(100.0, "Hz"), Quantity(1e7, "N/m"), 0.05),
    Mode(Quantity(160.0, "Hz"), Quantity(1.4e7, "N/m"), 0.03),
)


def stepped(width, speed, turns, rubbing, steps=4000):
    """Runge-Kutta of fourth order in small equal steps, the movement a turn ago read off as it was; SI units."""
    natural, stiffness, zeta = (
        2 * np.pi * np.array([100.0, 160.0]),
        np.array([1e7, 1.4e7]),
        np.array([0.05, 0.03]),
    )
    period, mass = 60 / speed, stiffness / natural**2
    force, damper = 2e9 * width, rubbing * width * period / (np.pi * 0.04)
    last = np.interp(
        np.linspace(0, 1, steps + 1), np.linspace(0, 1, 60), np.sin(np.linspace(0, 40, 60))
    )
    place, velocity, step, sizes = np.zeros(2), np.zeros(2), period / steps, []
    for _ in range(turns):
        now = [place.sum()]
        for number in range(steps):

            def rates(x, v, share, number=number):
                before = last[number] + share * (last[number + 1] - last[number])
                return v, (
                    force * (before - x.sum()) - damper * v.sum()
                ) / mass - natural**2 * x - 2 * zeta * natural * v

            a = rates(place, velocity, 0)
            b = rates(place + step / 2 * a[0], velocity + step / 2 * a[1], 0.5)
            c = rates(place + step / 2 * b[0], velocity + step / 2 * b[1], 0.5)
            d = rates(place + step * c[0], velocity + step * c[1], 1)
            place = place + step / 6 * (a[0] + 2 * b[0] + 2 * c[0] + d[0])
            velocity = velocity + step / 6 * (a[1] + 2 * b[1] + 2 * c[1] + d[1])
            now.append(place.sum())
        last = np.array(now)
        sizes.append(np.sqrt(np.mean(last**2)))
    return np.array(sizes)


@pytest.mark.parametrize(("width", "rubbing"), [(0.0004, 0.0), (0.0008, 0.0), (0.0008, 1e5)])
def test_growth_from_turn_to_turn_is_that_of_a_cut_stepped_by_hand(width, rubbing):
    """The first waves differ, so the growth is compared once the fastest growing one rules."""
    by_hand = stepped(width, 1250.0, 24, rubbing, steps=600)
    ours = cut_in_time.turn_by_turn(
        TWO,
        FORCE,
        Quantity(width, "m"),
        Quantity(1250, "rpm"),
        60,
        Quantity(rubbing, "N/m"),
        DIAMETER,
    )
    assert (by_hand[-1] / by_hand[-13]) ** (1 / 12) == pytest.approx(
        (ours[-1] / ours[-25]) ** (1 / 24), rel=0.03
    )


def test_hardly_a_cut_rings_out():
    """With next to no width the work swings free: each turn falls to exp(-zeta omega T) of the last."""
    mode, speed = Mode(Quantity(100.0, "Hz"), Quantity(1e7, "N/m"), 0.01), 3000.0
    sizes = cut_in_time.turn_by_turn(mode, FORCE, Quantity(1e-9, "mm"), Quantity(speed, "rpm"), 6)
    assert sizes[4] / sizes[3] == pytest.approx(
        np.exp(-0.01 * 2 * np.pi * 100 * 60 / speed), rel=0.02
    )
    assert sizes[0] == 1


@pytest.mark.parametrize(
    ("change", "kind", "words"),
    [
        ({"width": Quantity(0, "mm")}, ValueError, "^width"),
        ({"spindle_speed": Quantity(5, "Hz")}, ValueError, "^spindle_speed"),
        ({"turns": 1}, ValueError, "^turns"),
        ({"process_damping": Quantity(1e5, "N/m")}, ValueError, "^process_damping and diameter"),
        ({"specific_force": 2000}, TypeError, "^specific_force"),
        ({"points_a_wave": 2}, ValueError, "^points_a_wave"),
        ({"modes": ()}, ValueError, "^modes"),
    ],
)
def test_bad_input_is_named(change, kind, words):
    usual = {
        "modes": TWO,
        "specific_force": FORCE,
        "width": Quantity(1, "mm"),
        "spindle_speed": Quantity(600, "rpm"),
        "turns": 3,
    }
    with pytest.raises(kind, match=words):
        cut_in_time.turn_by_turn(**usual | change)


@pytest.mark.parametrize("rubbing", [None, Quantity(5e4, "N/m")])
@pytest.mark.parametrize("width", [0.5, 1.5, 4.0])
def test_the_lasting_wave_is_what_the_followed_cut_settles_to(width, rubbing):
    """The root of the characteristic equation against the equations of motion stepped in time."""
    cut = TWO, FORCE, Quantity(width, "mm"), Quantity(420.0, "rpm")
    along = (rubbing, DIAMETER) if rubbing is not None else ()
    sizes = cut_in_time.turn_by_turn(*cut, 120, *along)
    followed = (sizes[-1] / sizes[59]) ** (1 / 60)
    assert lasting_wave(*cut, *along).growth == pytest.approx(followed, rel=5e-3)


def test_the_lasting_wave_neither_grows_nor_dies_at_the_limit():
    speed = Quantity(420.0, "rpm")
    lobes = stability_lobes(TWO, FORCE, speed)
    wave = lasting_wave(TWO, FORCE, lobes.width, speed)
    assert wave.growth == pytest.approx(1, abs=1e-3)
    assert wave.frequency.m_as("Hz") == pytest.approx(lobes.frequency.m_as("Hz"), rel=1e-3)
