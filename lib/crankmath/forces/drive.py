"""What carries the cut: the drive, torque of the spindle, dead center, force on the dog."""

import numpy as np

from ..checks import takes
from ..lathe import Lathe

BOLT_BEARS = 320.0  # MPa
ROOT = 0.75  # of a thread, over its diameter
GREASED = 0.15  # friction of a greased center: a chart prints 0.15 to 0.20 for greased iron


@takes(cutting_force="N >= 0", diameter="m > 0", gives="N*m")
def drive_torque(cutting_force, diameter):
    """Torque of the spindle for a cut at a diameter: T = Fc d/2.

    ``diameter`` is that at the edge about the axis of rotation; for a web's end twice its swing
    radius.
    Basis: derived.
    """
    return cutting_force * diameter / 2


@takes(
    thrust="N >= 0",
    large_diameter="m > 0",
    small_diameter="m >= 0",
    friction="number 0..2",
    included_angle="deg (0..180]",
    gives="N*m",
)
def center_friction_torque(
    thrust, large_diameter, small_diameter=None, friction=GREASED, included_angle=None
):
    """Torque of friction on a center: T = μ P / sin(θ/2) (D³ - d³)/(D² - d²)/3.

    What a dead center takes from the drive, or a driving one transmits without a dog. ``thrust`` is
    the axial force, with the feed force where it presses this way; ``large_diameter`` the mouth of
    the center hole, ``small_diameter`` its drilled hole, default none; ``friction`` 0.15 greased (a
    reference chart prints 0.15 to 0.20 for greased iron), 0.6 to 0.8 clean and dry;
    ``included_angle`` default 60 deg.
    Basis: derived, even pressure on the cone; a run-in center has up to a quarter less.
    """
    small = 0.0 if small_diameter is None else small_diameter
    half = np.pi / 6 if included_angle is None else included_angle / 2
    if np.any(np.asarray(small) >= large_diameter):
        raise ValueError(
            "small_diameter must be below large_diameter: the cone has to bear on something"
        )
    arm = (large_diameter**3 - small**3) / (large_diameter**2 - small**2) / 3
    return thrust * friction / np.sin(half) * arm


@takes(torque="N*m >= 0", radius="m > 0", friction_torque="N*m >= 0", gives="N")
def dog_force(torque, radius, friction_torque=None):
    """Force between the dog's tail and its driving pin: F = (T + Tcenter) / r.

    ``torque`` is that of the cut, from :func:`drive_torque`; ``radius`` runs to where pin and tail
    touch; ``friction_torque`` is that of the dead center, from :func:`center_friction_torque`. A
    dog with one tail pushes the work aside with this force too, turning with the work; two tails do
    not.
    Basis: derived.
    """
    return (torque + (0.0 if friction_torque is None else friction_torque)) / radius


@takes(force="N > 0", diameter="mm > 0", gives="mm")
def bolt_reach(force, diameter):
    """How far from the work's end face a driving bolt may be pushed: x = σ W / F, W = π d³/32.

    ``force`` is that of :func:`dog_force`, ``diameter`` the bolt's; d is that of its thread's root,
    three quarters of it (from memory: 0.73 to 0.82 of usual threads).
    Basis: derived; of a bolt of class 8.8, which yields at 640 MPa, half of that, since corners
    strike (own choice).
    """
    return BOLT_BEARS * np.pi * (ROOT * diameter) ** 3 / 32 / force


@takes(lathe=Lathe, spindle_speed="rpm > 0", gives="W")
def power_at_edge(lathe, spindle_speed):
    """Power left at the tool's edge at a spindle speed.

    Belt and gears hand on the motor's nameplate, η P; an electronic drive below its base speed has
    constant torque, η P n/n0.
    Basis: derived. Some electronic drives allow more for a minute: the maker's plate takes
    precedence.
    """
    watts = lathe.efficiency * lathe.power.m_as("W") * np.ones_like(spindle_speed)
    if lathe.drive == "electronic":
        watts = watts * np.minimum(1.0, spindle_speed / lathe.base_speed.m_as("rpm"))
    return float(watts) if np.ndim(watts) == 0 else watts


@takes(lathe=Lathe, spindle_speed="rpm > 0", gives="N*m")
def torque_at_spindle(lathe, spindle_speed):
    """Torque left at the spindle for the cut at a spindle speed: T = P / (2π n).

    Basis: derived; with an electronic drive below its base speed it is the same at every speed.
    """
    watts = power_at_edge.plain(lathe, spindle_speed)
    return watts / (2 * np.pi * spindle_speed / 60)


@takes(lathe=Lathe, spindle_speed="rpm > 0", diameter="m > 0", gives="N")
def largest_force(lathe, spindle_speed, diameter):
    """Largest cutting force that the drive overcomes at a diameter: F = 2 T / d.

    Basis: derived. A steady cut: at a blow belt and flywheel help, and the gears suffer.
    """
    return 2 * torque_at_spindle.plain(lathe, spindle_speed) / diameter
