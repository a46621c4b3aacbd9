"""Straight beams in space, many at once: stiffness, shape, compliance between clamped ends.

Plain numbers: mm, N, MPa, rad. ``slack`` is 12 E I / (k G A L^2), the compliance in shear over
that in bending; zero makes an Euler beam, else it is Timoshenko's.
"""

import numpy as np


def end_motion(rotation, shift):
    """Motions of the bending length's ends in the beam's axes, for those of its two nodes."""
    motion = np.zeros((len(rotation), 12, 12))
    for end in (0, 1):
        x, y, z = shift[:, end].T
        zero = np.zeros_like(x)
        arm = np.array([[zero, z, -y], [-z, zero, x], [y, -x, zero]]).transpose(2, 0, 1)
        at = 6 * end
        motion[:, at : at + 3, at : at + 3] = motion[:, at + 3 : at + 6, at + 3 : at + 6] = rotation
        motion[:, at : at + 3, at + 3 : at + 6] = rotation @ arm
    return motion


def shapes(share, length, slack):
    """Deflection and turn along beams for those of their ends, a row each."""
    rest, full = 1 - share, 1 + slack
    value = [
        rest * (rest * (1 + 2 * share) + slack),
        length * share * rest * (rest + slack / 2),
        share * (share * (3 - 2 * share) + slack),
        -length * share * rest * (share + slack / 2),
    ]
    turn = [
        -6 * share * rest / length,
        rest * (1 - 3 * share + slack),
        6 * share * rest / length,
        share * (3 * share - 2 + slack),
    ]
    return np.array(value) / full, np.array(turn) / full


def stiffness(rigidity, length, slack):
    """Stiffness of beams, 12 by 12 each, in their own axes; Euler's where slack is zero."""
    matrices = np.zeros((len(length), 12, 12))
    for part, stiff in ((0, rigidity[:, 0] / length), (3, rigidity[:, 1] / length)):
        matrices[:, part, part] = matrices[:, part + 6, part + 6] = stiff
        matrices[:, part, part + 6] = matrices[:, part + 6, part] = -stiff
    for part, turn, sign in ((1, 5, 1), (2, 4, -1)):
        shear = slack[:, part - 1]
        size = rigidity[:, part + 1] / (length**3 * (1 + shear))
        push, tilt, own, other = (
            12 * size,
            6 * sign * length * size,
            (4 + shear) * length**2 * size,
            (2 - shear) * length**2 * size,
        )
        columns = np.array([part, turn, part + 6, turn + 6])
        block = np.array(
            [
                [push, tilt, -push, tilt],
                [tilt, own, -tilt, other],
                [-push, -tilt, push, -tilt],
                [tilt, other, -tilt, own],
            ]
        )
        matrices[:, columns[:, None], columns] = block.transpose(2, 0, 1)
    return matrices


def clamped_compliance(length, rigidity, shear_compliance, one, other):
    """Compliance at one distance for a unit load at another, of beams clamped at both ends.

    Stretching, twisting, bending along the beam's y and its z [mm/N, 1/(N mm)]. In bending:
    that of the beam clamped at its start alone, less what holding its other end takes back.
    """
    near, far = (
        np.clip(np.minimum(one, other), 0.0, length),
        np.clip(np.maximum(one, other), 0.0, length),
    )
    stretch, twist, *bends = np.moveaxis(rigidity, -1, 0)
    found = [near * (length - far) / (length * stiff) for stiff in (stretch, twist)]
    for bend in bends:
        # tip of the beam clamped at its start: what a force and a moment there move and turn,
        # and what forces at the two places do
        move, both, turn = (
            length**3 / (3 * bend) + length * shear_compliance,
            length**2 / (2 * bend),
            length / bend,
        )
        (near_move, near_turn), (far_move, far_turn) = (
            (at**2 * (3 * length - at) / (6 * bend) + at * shear_compliance, at**2 / (2 * bend))
            for at in (near, far)
        )
        taken = near_move * (turn * far_move - both * far_turn) + near_turn * (
            move * far_turn - both * far_move
        )
        taken = taken / (move * turn - both**2)
        found.append(near**2 * (3 * far - near) / (6 * bend) + near * shear_compliance - taken)
    return np.array(found)
