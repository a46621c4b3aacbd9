"""Forces of the bearings on a crank: each throw hinged on its two, or the whole frame on all.

Plain numbers: mm, N; forces by place, way (along, toward angle zero, 90 degrees on), crank angle.
"""

import numpy as np

from ..frame import beams, frame
from ..units import magnitude


def positions(crank, bearings):
    """Middles of the bearings [mm], one a main."""
    mains = [segment for segment in crank.segments if segment.kind == "journal"]
    if bearings is None:
        return np.array([main.start + main.length / 2 for main in mains])
    stands = np.atleast_1d(magnitude(bearings, "mm", "bearings", least=0))
    if len(stands) != len(mains) or any(
        not main.start <= x <= main.end for main, x in zip(mains, stands, strict=True)
    ):
        raise ValueError(
            f"bearings must be {len(mains)} positions from the left end, one on each main"
        )
    return stands


def touching(stands, not_touching):
    """Which bearings hold, a mask."""
    numbers = [not_touching] if isinstance(not_touching, int) else list(not_touching)
    known = range(1, len(stands) + 1)
    if any(isinstance(one, bool) or one not in known for one in numbers):
        raise ValueError(
            f"not_touching must hold numbers of bearings, 1 to {len(stands)} from the left; "
            f"not {not_touching!r}"
        )
    held = np.array([number not in numbers for number in known])
    if held.sum() < 2:
        raise ValueError("not_touching leaves fewer than two bearings: a crank needs two to stand")
    return held


def off_line(stands, out_of_line):
    """Heights of the bearings [mm], one each."""
    off = np.atleast_1d(magnitude(out_of_line, "mm", "out_of_line"))
    if off.shape != stands.shape:
        raise ValueError(f"out_of_line must be {len(stands)} heights, one for each bearing")
    return off


def adjacent(stands, places, forces):
    """Bearing forces with each load on the two bearings beside it, overhung on the last two."""
    held = np.zeros((len(stands), *forces.shape[1:]))
    for place, force in zip(places[:, 0], forces, strict=True):
        span = int(np.clip(np.searchsorted(stands, place) - 1, 0, len(stands) - 2))
        share = (place - stands[span]) / (stands[span + 1] - stands[span])
        held[span] -= (1 - share) * force
        held[span + 1] -= share * force
    return held


def continuous(crank, stands, places, forces, output):
    """Bearing forces of the crank's frame on rigid bearings in one line, free at its ends."""
    built = frame.build(crank, driven=output)
    at, pressed = built.places(stands), built.places(places[:, 0])
    sideways = forces[:, 1:].reshape(2 * len(places), -1)
    balance = np.concatenate([np.kron(np.eye(2), [1.0, x]) for x in places[:, 0]])
    moved = _compliance(built, at, pressed) @ sideways
    return _held(stands, _compliance(built, at, at), -moved, -balance.T @ sideways)


def forced(crank, stands, off, turned, output):
    """Bearing forces of bearings out of line alone; seen from the crank they turn backward."""
    built = frame.build(crank, driven=output)
    at = built.places(stands)
    seen = off[:, None, None] * np.array([np.cos(turned), -np.sin(turned)])
    balance = np.zeros((4, len(turned)))
    return _held(stands, _compliance(built, at, at), seen.reshape(2 * len(stands), -1), balance)


def _held(stands, compliance, wanted, balance):
    """Forces at bearings that move them as wanted, in balance; axes (bearing, three ways, angle).

    Unknown: the forces, and the rigid motion by which the line of centers leaves that of bearings.
    """
    line = np.concatenate([np.kron(np.eye(2), [1.0, x]) for x in stands])
    matrix = np.block([[compliance, line], [line.T, np.zeros((4, 4))]])
    found = np.linalg.solve(matrix, np.concatenate([wanted, balance]))[: 2 * len(stands)]
    forces = found.reshape(len(stands), 2, -1)
    return np.concatenate([np.zeros((len(stands), 1, forces.shape[-1])), forces], axis=1)


def _compliance(built, response, load):
    """Displacements along y and z of places for unit forces at others, on mains and pins [mm/N]."""
    pressed, moved = (
        places.rows[:, 1:3].reshape(-1, places.rows.shape[-1]) for places in (load, response)
    )
    found = moved @ built.compliance @ pressed.T
    for a, b in zip(*np.nonzero(response.beam[:, None] == load.beam[None, :]), strict=True):
        beam = response.beam[a]
        # inside one beam its own bending comes on top of the motion of its ends
        own = beams.clamped_compliance(
            built.length[beam],
            built.rigidity[beam],
            built.shear_compliance[beam],
            response.distance[a],
            load.distance[b],
        )
        found[2 * a : 2 * a + 2, 2 * b : 2 * b + 2] += own[2] * np.eye(2)
    return found
