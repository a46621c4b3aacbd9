"""What carries the cut: torque of the spindle, friction of the dead center, force on the dog."""

import numpy as np

from ..checks import takes


@takes(cutting_force="N >= 0", diameter="m > 0", gives="N*m")
def drive_torque(cutting_force, diameter):
    """Torque of the spindle for a cut at a diameter: T = Fc d/2.

    diameter is that at the edge about the axis of rotation; for a web's end twice its swing radius.
    Basis: derived.
    """
    return cutting_force * diameter / 2


@takes(
    thrust="N >= 0",
    large_diameter="m > 0",
    small_diameter="m >= 0",
    friction="number 0..2",
    included_angle="deg 0..180.0001",
    gives="N*m",
)
def center_friction_torque(
    thrust, large_diameter, small_diameter=None, friction=0.15, included_angle=None
):
    """Torque of friction on a center: T = μ P / sin(θ/2) (D³ - d³)/(D² - d²)/3.

    What a dead center takes from the drive, or a driving one transmits without a dog. thrust is the
    axial force, with the feed force where it presses this way; large_diameter the mouth of the
    center hole, small_diameter its drilled hole, default none; friction 0.15 greased (a reference
    chart prints 0.15 to 0.20 for greased iron), 0.6 to 0.8 clean and dry; included_angle default 60
    deg.
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

    torque is that of the cut, from :func:`drive_torque`; radius runs to where pin and tail touch;
    friction_torque is that of the dead center, from :func:`center_friction_torque`. A dog with one
    tail pushes the work aside with this force too, turning with the work; two tails do not.
    Basis: derived.
    """
    return (torque + (0.0 if friction_torque is None else friction_torque)) / radius
