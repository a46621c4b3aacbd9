"""The edge in the cut of a real turning tool: nose, approach angle, and the direction of thickness.

The tool feeds along x (the axis, in turning along) with its tip at y = 0. An element of edge whose
tangent is κ off the feed has the chip's thickness along (sin κ, cos κ).
"""

import warnings
from dataclasses import dataclass

import numpy as np

from ..checks import takes
from ..units import OutOfRangeWarning, Quantity
from .kienzle import (
    CORRECTIONS,
    THICKNESS_RANGE,
    Components,
    force_components,
    specific_cutting_force,
    thin_chip_force,
)

GAUSS = np.polynomial.legendre.leggauss(16)


@dataclass(frozen=True)
class EdgeInCut:
    """Edge of a turning tool in the cut.

    ``length`` of edge and mean ``thickness`` of the undeformed chip; ``radial_length`` and
    ``axial_length``, what a movement square to the work and one along the feed meet of it;
    ``passive_share``, force square to the work over cutting force.
    """

    length: Quantity
    thickness: Quantity
    radial_length: Quantity
    axial_length: Quantity
    passive_share: float


@dataclass(frozen=True)
class TurningForces:
    """Force of a turning cut between two bounds, equal unless the chip is thin, and its edge."""

    lower: Components
    upper: Components
    edge: EdgeInCut


@dataclass(frozen=True)
class _Shape:
    """Nose radius, angles from tip to cusp and to the end of the arc, straight edge: mm and rad."""

    nose: float
    cusp: float
    end: float
    straight: float
    approach: float

    @property
    def length(self):
        """Edge in the cut [mm]."""
        return self.nose * (self.end + self.cusp) + self.straight


def _shape(depth, feed, nose, approach):
    """Shape of the edge in the cut, from plain mm and rad."""
    cusp = np.arcsin(min(feed / (2 * nose), 1.0)) if nose > 0 else 0.0
    corner = nose * (1 - np.cos(approach))
    if depth <= corner:
        return _Shape(nose, cusp, np.arccos(1 - depth / nose), 0.0, approach)
    return _Shape(nose, cusp, approach, (depth - corner) / np.sin(approach), approach)


def regenerating_edge(shape, depth, feed):
    """Edge that meets last turn's movement, and edge that meets only this turn's: plain mm.

    Matrices of force direction times movement, both (radial, axial): ∫ n n'ᵀ db along what last
    turn's edge left, n' its direction of thickness and n that of this turn's edge at the same
    place; and ∫ n yᵀ dx along the strip of the last pass's surface, a feed wide, that no turn has
    touched.
    """
    nose, last = shape.nose, np.array([np.cos(shape.approach), np.sin(shape.approach)])
    between, untouched = shape.straight * np.outer(last, last), np.zeros((2, 2))
    if shape.end > shape.cusp:
        places, weights = _along(shape.cusp, shape.end)
        then = np.array([np.cos(places), np.sin(places)])
        now = np.array([nose * then[0], nose * then[1] - feed])
        now = now / np.hypot(*now)
        between = between + nose * np.einsum("ip,jp,p->ij", now, then, weights)
    if shape.straight > 0:
        untouched[:, 0] = feed * last
    else:
        far = nose * np.sin(shape.end)
        places, weights = _along(max(far - feed, -feed / 2), far)
        now = np.array([np.full_like(places, nose - depth), places])
        untouched[:, 0] = now / np.hypot(*now) @ weights
    return between, untouched


def _along(start, end):
    """Places and weights of a sum from start to end."""
    places, weights = GAUSS
    return start + (end - start) * (places + 1) / 2, (end - start) / 2 * weights


@takes(
    depth="mm > 0, one",
    feed="mm > 0, one",
    nose_radius="mm >= 0, one",
    approach_angle="deg (0..100]",
)
def edge_in_cut(depth, feed, nose_radius, approach_angle=None):
    """Edge in the cut of a turning tool with a nose, by its depth on the radius and feed a turn.

    A movement square to the work meets √(2 r a - a²) + f/2 of edge in a cut shallower than the
    nose: the arc down to the last turn's ridge. ``approach_angle`` is κ between the straight edge
    and the feed, 90 deg less the lead angle, default 90 deg. For facing, depth lies along the axis
    and the feed across it: read radial for along the depth.
    Basis: derived, for a sharp corner, or a feed up to twice the nose; above it an
    OutOfRangeWarning. ``passive_share`` turns the thrust of ``forces.force_components`` to the mean
    direction of thickness, and keeps at least that rule's quarter.
    """
    if 0 < nose_radius < feed / 2:
        warnings.warn(
            "feed is above twice nose_radius: the end of the edge cuts too; feed less",
            OutOfRangeWarning,
            stacklevel=3,
        )
    approach = np.pi / 2 if approach_angle is None else float(approach_angle)
    shape = _shape(depth, feed, nose_radius, approach)
    length = shape.length
    radial = nose_radius * (np.sin(shape.end) + np.sin(shape.cusp))
    radial += shape.straight * abs(np.cos(approach))
    # the chip is f sin κ thick: its thrust square to the work, and along the feed
    bent = nose_radius / 2 * np.sin(shape.end) ** 2
    bent += shape.straight * np.sin(approach) * np.cos(approach)
    pushed = nose_radius / 2 * (shape.end - np.sin(shape.end) * np.cos(shape.end))
    pushed += shape.straight * np.sin(approach) ** 2
    thrust = np.hypot(CORRECTIONS["feed_share"], CORRECTIONS["passive_share"])
    passive = max(thrust * bent / np.hypot(bent, pushed), CORRECTIONS["passive_share"])
    return EdgeInCut(
        *(Quantity(float(size), "mm") for size in (length, depth * feed / length, radial, depth)),
        float(passive),
    )


def turning_forces(steel, depth, feed, nose_radius, approach_angle=None, **corrections):
    """Forces of a turning cut by Kienzle, with the nose and approach angle of the tool.

    ``depth`` on the radius and ``feed`` a turn [length]; ``nose_radius`` [length] and
    ``approach_angle`` [angle] as in :func:`edge_in_cut`; ``steel`` and ``corrections`` (rake,
    cutting_speed, wear, hardness) as in ``forces.specific_cutting_force``. Where the mean chip is
    thinner than 0.1 mm the two bounds of ``forces.thin_chip_force`` are apart.
    Basis: fitted data on the chip's mean thickness, direction derived.
    """
    edge = edge_in_cut(depth, feed, nose_radius, approach_angle)
    if edge.thickness.m_as("mm") < THICKNESS_RANGE[0]:
        pressures = thin_chip_force(steel, edge.thickness, **corrections)
    else:
        pressures = (specific_cutting_force(steel, edge.thickness, **corrections),) * 2
    thrust = np.hypot(CORRECTIONS["feed_share"], CORRECTIONS["passive_share"])
    along = float(np.sqrt(thrust**2 - edge.passive_share**2))
    return TurningForces(
        *(
            force_components(
                (pressure * depth * feed).to("N"),
                feed_share=along,
                passive_share=edge.passive_share,
            )
            for pressure in pressures
        ),
        edge,
    )


@takes(force="N > 0, one", most="mm > 0, one", gives="mm")
def deepest_cut(steel, force, most, feed, nose_radius, approach_angle=None, **corrections):
    """Deepest turning cut whose cutting force stays within a limit, at most a depth asked for.

    ``force`` is the limit, for example ``drive.largest_force``; ``most`` the depth asked for;
    ``feed`` a turn and ``nose_radius`` [length], ``approach_angle`` [angle], ``steel`` and
    ``corrections`` as in :func:`turning_forces`, of which the upper bound counts.
    Basis: derived; along the power law through the last two trials, or halved where that leads
    astray, until the force is within 0.1 % below the limit.
    """

    def force_at(depth):
        found = turning_forces(
            steel, Quantity(depth, "mm"), feed, nose_radius, approach_angle, **corrections
        )
        return found.upper.cutting.m_as("N")

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)  # of depths that are only tried
        asked = force_at(most)
        if asked <= force:
            return most
        low, high, power, aim = most * 1e-4, most, 1.0, force * 0.9995
        before, depth = (most, asked), most * aim / asked
        while high / low > 1.001:
            if not low < depth < high:
                depth = float(np.sqrt(low * high))
            try:
                now = depth, force_at(depth)
            except ValueError:  # too thin for a chip: the edge rubs
                low, depth = depth, high
                continue
            if 0.999 * force <= now[1] <= force:
                return float(depth)
            low, high = (depth, high) if now[1] <= force else (low, depth)
            if now[1] != before[1]:
                power = np.log(now[1] / before[1]) / np.log(now[0] / before[0])
            before, depth = now, float(depth * (aim / now[1]) ** (1 / power))
    return float(low)
