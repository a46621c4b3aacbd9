"""Modes of a crank between its centers from its own frame, and the movement several modes make.

A mode has a frequency, a stiffness and a damping ratio in one direction: that which changes the
undeformed chip's thickness, radial for a plunged tool.
"""

from dataclasses import dataclass
from functools import lru_cache, partial

import numpy as np

from .. import deflection
from ..checks import several
from ..crank import steels
from ..frame import frame
from ..spacers.spacer_plan import bearing_gaps
from ..units import Quantity, magnitude, number

SMALLEST_SHARE = 0.01  # of the compliance under the tool; smaller modes go into one for the rest
REST = 10.0  # times the highest frequency kept: there the compliance of all others is put


@dataclass(frozen=True)
class Mode:
    """One mode: frequency, modal stiffness, damping ratio in the direction of the chip's thickness.

    ``share`` is the product of the cosines between the mode's own direction and, first, the force,
    second, the chip's thickness; 1 where all three agree.
    """

    frequency: Quantity
    stiffness: Quantity
    damping_ratio: float
    share: float = 1.0


def work_modes(crank, where, damping_ratio, angle=None, setup=deflection.RIGID, axial=False):
    """Modes of a crank between its centers, in one direction at the place where the tool works.

    Kinetic energy from the mass of journals, pins and webs as they move with the frame; K φ = ω² M
    φ gives the frequencies, k = ω²/(φ d)² the stiffness toward the tool with φ' M φ = 1. ``where``
    is one place as for ``deflection.radial_compliance``; ``damping_ratio`` is ζ of every mode,
    since a frame knows no damping; ``angle`` [angle] is the direction of the push, default the
    softest, and ``axial`` pushes along the axis instead; ``setup`` brings springs of centers and
    driver: its ``tool`` has no mass here, so give the tool a Mode of its own. Softest first; their
    compliances 1/k add up to ``deflection.radial_compliance``.
    Basis: fitted data for the stiffness (``frame.build``), derived for the mass, consistent with
    the beams' bending, rotary inertia included. The first two frequencies of the four example
    cranks lie within 4 % of solid finite elements made for this project, twisting ones within 15 %.
    At rest: no gyroscopic moment, negligible at a lathe's speeds.
    """
    if setup.tool is not None:
        raise ValueError(
            "setup.tool has no mass here: leave it out and add "
            "Mode(frequency, stiffness, damping_ratio) for the tool"
        )
    zeta = checked_damping(damping_ratio, "damping_ratio")
    if axial:
        return _of_parts(*_compliances(crank, where, None, setup), None, zeta)
    direction = magnitude(
        deflection.soft_direction(crank, where, setup) if angle is None else angle,
        "rad",
        "angle",
        one=True,
    )
    compliance = magnitude(
        deflection.radial_compliance(crank, where, Quantity(direction, "rad"), setup),
        "m/N",
        "where",
        one=True,
    )
    return _of_parts(*_compliances(crank, where, direction, setup), compliance, zeta)


def _of_parts(hertz, parts, compliance, zeta):
    """Modes of frequencies [Hz] and compliances [m/N], small ones in one that keeps the sum."""
    compliance = parts.sum() if compliance is None else compliance
    kept = parts > SMALLEST_SHARE * compliance
    rest = compliance - parts[kept].sum()
    found = [
        Mode(Quantity(f, "Hz"), Quantity(1 / c, "N/m"), zeta)
        for f, c in zip(hertz[kept], parts[kept], strict=True)
    ]
    if rest > 1e-6 * compliance:
        found.append(
            Mode(Quantity(REST * hertz[kept].max(), "Hz"), Quantity(1 / rest, "N/m"), zeta)
        )
    return tuple(sorted(found, key=lambda mode: mode.stiffness.magnitude))


@lru_cache(maxsize=64)
def _compliances(crank, where, direction, setup):
    """Frequencies [Hz] and compliances [m/N] at the tool, at an angle or along the axis (None)."""
    from scipy.linalg import eigh

    built = frame.build(crank, held=setup.held, driven=setup.driven)
    elastic = np.linalg.inv(built.compliance)
    if setup.spacers:
        rows, soft = bearing_gaps(crank, setup.spacers, built)
        elastic = elastic + rows.T @ np.linalg.inv(soft - rows @ built.compliance @ rows.T) @ rows
    springs, rigid = _supports(built, setup)
    stiffness = np.zeros((len(elastic) + len(springs),) * 2)
    stiffness[: len(elastic), : len(elastic)] = elastic
    stiffness[len(elastic) :, len(elastic) :] = np.diag(springs)
    moves, masses = _masses(crank, built, rigid)
    inertia = (moves * masses[:, None]).T @ moves
    # unit strain energy: 1/omega^2 comes out in kg mm/N, a thousandth of s^2
    inverse, shapes = eigh(inertia, stiffness)
    inverse, shapes = inverse[::-1], shapes[:, ::-1]
    alive = inverse > 1e-9 * inverse[0]
    tool = _move(built, rigid, np.array([deflection._place(crank, where)]))[0, :3]
    way = (1.0, 0.0, 0.0) if direction is None else (0.0, np.cos(direction), np.sin(direction))
    toward = np.array(way) @ tool @ shapes[:, alive]
    return 1 / (2 * np.pi * np.sqrt(1e-3 * inverse[alive])), 1e-3 * toward**2


def _supports(built, setup):
    """Stiffnesses of the supports [N/mm, N mm], and motions of points for a unit of each."""
    total, springs, shapes = built.segments[-1].end, [], []
    for name, at_start, slope in (
        ("left_center", 1.0, -1 / total),
        ("right_center", 0.0, 1 / total),
    ):
        if (stiffness := getattr(setup, name)) is not None:
            for axis, turn, sign in ((1, 5, 1), (2, 4, -1)):
                springs.append(magnitude(stiffness, "N/mm", name, above=0, one=True))
                shapes.append(partial(_tilted, axis, turn, at_start, slope, sign))
    if setup.driver is not None:
        springs.append(magnitude(setup.driver, "N*mm/rad", "driver", above=0, one=True))
        shapes.append(_twisted)
    return np.array(springs), shapes


def _tilted(axis, turn, at_start, slope, sign, x, arm):
    """Six motions of points while one center gives way."""
    moved = np.zeros((len(x), 6))
    moved[:, axis], moved[:, turn] = at_start + slope * x, sign * slope
    return moved


def _twisted(x, arm):
    """Six motions of points, off the line of centers by ``arm``, while the driver gives way."""
    moved = np.zeros((len(x), 6))
    moved[:, 1], moved[:, 2], moved[:, 3] = -arm[:, 1], arm[:, 0], 1.0
    return moved


def _move(built, rigid, position):
    """Six motions of points of the axis for unit free motions of the frame and of its supports."""
    points = built.places(position)
    arm = built.start[points.beam, 1:] - built.center
    return np.concatenate(
        [points.rows, *(shape(position, arm)[:, :, None] for shape in rigid)], axis=2
    )


def _masses(crank, built, rigid):
    """Motion of each mass for unit free motions, and its mass or moment of inertia."""
    density = steels.find(crank.steel).density.m_as("kg/mm**3")
    moves, masses, segments = [], [], crank.segments
    for order, piece in enumerate(segments):
        if piece.kind == "web":
            ends = np.array(
                [piece.start - 1e-9, piece.end]
            )  # the pieces on its left and on its right
            main, pin = _move(
                built, rigid, ends if segments[order - 1].kind == "journal" else ends[::-1]
            )
            rows, weights = _web(crank.throws[piece.index], density, main, pin)
        else:
            diameter = (
                crank.throws[piece.index].pin_diameter
                if piece.kind == "pin"
                else crank.journals[piece.index].diameter
            ).m_as("mm")
            rows, weights = _rod(
                piece, density, diameter, lambda position: _move(built, rigid, position)
            )
        moves.append(rows)
        masses.append(weights)
    return np.concatenate(moves), np.concatenate(masses)


def _rod(piece, density, diameter, move):
    """Three slices of a journal or pin, each with its mass and its own turning."""
    places, weights = np.polynomial.legendre.leggauss(3)
    slices = move(piece.start + piece.length * (places + 1) / 2)
    mass = density * np.pi * diameter**2 / 4 * piece.length * weights / 2
    own = np.array([1, 1, 1, diameter**2 / 8, diameter**2 / 16, diameter**2 / 16])
    return slices.reshape(-1, slices.shape[2]), np.outer(mass, own).ravel()


def _web(throw, density, main, pin):
    """Two points with a web's mass, middle and length, and its rotary inertia."""
    arm, width, thickness = (
        throw.radius.m_as("mm"),
        throw.web_width.m_as("mm"),
        throw.web_thickness.m_as("mm"),
    )
    length, angle = arm + 2 * throw.web_reach.m_as("mm"), throw.angle.m_as("rad")
    mass = density * thickness * length * width
    along = arm / 2 + length / np.sqrt(12) * np.array([-1, 1])
    points = np.concatenate([main[:3] + share * (pin - main)[:3] for share in along / arm])
    turn = (main[3:] + pin[3:]) / 2
    turns = np.stack(
        [
            turn[0],
            np.cos(angle) * turn[1] + np.sin(angle) * turn[2],
            np.cos(angle) * turn[2] - np.sin(angle) * turn[1],
        ]
    )
    own = np.array([width**2, width**2 + thickness**2, thickness**2]) / 12
    return np.concatenate([points, turns]), np.concatenate([np.full(6, mass / 2), mass * own])


def bodies(modes):
    """Modes of tool and work together, of the tool alone, the first mode, and of the work alone.

    A cut is to be quiet with each: what one yields may hold against the other's ring, and a softer
    center is no reason to call a cut quieter.
    """
    return modes, modes[:1], modes[1:]


def checked_damping(value, name):
    """A damping ratio as plain number, or an error that says what to write."""
    plain = number(value, name, above=0)
    if np.any(np.asarray(plain) >= 1):
        raise ValueError(
            f"{name} must be below 1, not {np.max(plain):g}; "
            "write 0.03 for three percent of critical"
        )
    return plain


def plain_modes(modes):
    """Modes as rows of frequency [Hz], stiffness [N/m], damping ratio and share, each checked."""
    modes = several(modes, Mode, "modes")
    if not modes:
        raise ValueError("modes is empty: give at least one Mode")
    rows = []
    for place, mode in enumerate(modes):
        if "row" not in mode.__dict__:  # a mode never changes, so it is checked and converted once
            name = f"modes[{place}]"
            mode.__dict__["row"] = (
                magnitude(mode.frequency, "1/s", f"{name}.frequency", above=0, one=True),
                magnitude(mode.stiffness, "N/m", f"{name}.stiffness", above=0, one=True),
                checked_damping(mode.damping_ratio, f"{name}.damping_ratio"),
                number(mode.share, f"{name}.share", least=-1, most=1),
            )
        rows.append(mode.__dict__["row"])
    return np.array(rows, float)


def plain_receptance(plain, frequency):
    """Receptance [m/N] of rows of ``plain_modes`` at frequencies [Hz]."""
    natural, stiffness, damping, share = (
        plain[:, place].reshape((-1,) + (1,) * np.ndim(frequency)) for place in range(4)
    )
    ratio = frequency / natural
    return np.sum(share / stiffness / (1 - ratio**2 + 2j * damping * ratio), axis=0)
