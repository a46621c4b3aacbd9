"""Cross-sections of bars and webs: area, reach from an axis, where a circle about it runs in metal.

Plain numbers, mm and rad, in the coordinates of ``bar``: seen from the tailstock end, a throw of
angle zero up.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np


@dataclass(frozen=True, eq=False)
class Section:
    """The inside of a convex polygon and of a disc; either may be so large that it does not count.

    ``corners`` run counterclockwise.
    """

    corners: np.ndarray
    middle: np.ndarray
    radius: float

    @cached_property
    def sides(self):
        """Outward normals of the polygon's sides, of length one, and their distances from the
        origin."""
        along = np.roll(self.corners, -1, axis=0) - self.corners
        length = np.linalg.norm(along, axis=1)
        along = along[length > 1e-9] / length[length > 1e-9, None]
        normal = np.column_stack([along[:, 1], -along[:, 0]])
        return normal, np.einsum("ij,ij->i", normal, self.corners[length > 1e-9])


def of_bar(bar):
    """Section of a ``bar.Bar``."""
    wide, high, turn = bar.width.m_as("mm") / 2, bar.height.m_as("mm") / 2, bar.turn.m_as("rad")
    middle = np.array([bar.middle_x.m_as("mm"), bar.middle_y.m_as("mm")])
    if bar.shape == "round":
        return disc(middle, wide)
    cosine, sine = np.cos(turn), np.sin(turn)
    signs = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    return polygon(middle + signs * [wide, high] @ np.array([[cosine, sine], [-sine, cosine]]))


def disc(middle, radius):
    """Section of a round bar."""
    square = 2 * radius * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    return Section(np.asarray(middle, float) + square, np.asarray(middle, float), float(radius))


def polygon(corners):
    """Section with straight sides only; corners in turn, either way around."""
    corners = np.asarray(corners, float)
    middle = corners.mean(axis=0)
    if _cross(corners - middle, np.roll(corners, -1, axis=0) - middle).sum() < 0:
        corners = corners[::-1]
    return Section(corners, middle, 2 * float(np.linalg.norm(corners - middle, axis=1).max()))


def cut(section, point, outward):
    """What is left of a section when all beyond a straight line is taken away.

    ``point`` lies on the line, ``outward`` points to what goes.
    """
    heights = (section.corners - point) @ np.asarray(outward, float)
    kept = []
    for number, corner in enumerate(section.corners):
        here, there = heights[number], heights[number - 1]
        if here * there < 0:
            before = section.corners[number - 1]
            kept.append(before + (corner - before) * there / (there - here))
        if here <= 0:
            kept.append(corner)
    if len(kept) < 3:
        raise ValueError("nothing is left of the section beyond that line")
    return replace(section, corners=np.array(kept))


def area(section):
    """Area of a section.

    The polygon is taken apart into triangles at the disc's middle; of each, what lies beyond the
    disc counts as a sector.
    """
    begin = section.corners - section.middle
    end, limit = np.roll(begin, -1, axis=0), section.radius
    along = end - begin
    square = np.einsum("ij,ij->i", along, along)
    inward = -np.einsum("ij,ij->i", begin, along) / square
    half = np.sqrt(
        np.maximum(inward**2 - (np.einsum("ij,ij->i", begin, begin) - limit**2) / square, 0.0)
    )
    first, last = (begin + np.clip(inward + sign * half, 0, 1)[:, None] * along for sign in (-1, 1))

    def sector(one, other):
        return limit**2 / 2 * np.arctan2(_cross(one, other), np.einsum("ij,ij->i", one, other))

    return float((sector(begin, first) + _cross(first, last) / 2 + sector(last, end)).sum())


def _cross(one, other):
    return one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]


def holds(section, points, slack=1e-9):
    """Which points lie inside; ``slack`` is a share of the section's size."""
    points, room = np.asarray(points, float), slack * section.radius
    normal, distance = section.sides
    return np.all(points @ normal.T <= distance + room, axis=-1) & (
        np.linalg.norm(points - section.middle, axis=-1) <= section.radius + room
    )


def _vertices(section):
    """Corners of a section: those of its polygon that lie in the disc, and where sides and disc
    cross."""
    begin = section.corners
    along = np.roll(begin, -1, axis=0) - begin
    from_middle = begin - section.middle
    square, slope = (along**2).sum(axis=1), (from_middle * along).sum(axis=1)
    root = slope**2 - square * ((from_middle**2).sum(axis=1) - section.radius**2)
    points = [begin]
    for sign in (-1, 1):
        crossing = (root >= 0) & (square > 0)
        share = (-slope + sign * np.sqrt(np.where(crossing, root, 0.0))) / np.where(
            square > 0, square, 1.0
        )
        met = crossing & (share >= 0) & (share <= 1)
        points.append(begin[met] + share[met, None] * along[met])
    points = np.concatenate(points)
    return points[holds(section, points)]


def reach(section, axis):
    """Distance of the farthest point from an axis."""
    away = section.middle - np.asarray(axis, float)
    size = np.hypot(*away)
    points = np.array(
        [section.middle + section.radius * (away / size if size > 0 else np.array([1.0, 0.0]))]
    )
    points = np.concatenate([points[holds(section, points)], _vertices(section)])
    return float(np.linalg.norm(points - axis, axis=1).max())


def whole_ring(section, axis):
    """Radius of the largest circle about an axis that lies wholly inside; zero where the axis lies
    outside."""
    normal, distance = section.sides
    return float(
        max(
            min(
                (distance - normal @ axis).min(),
                section.radius - np.linalg.norm(axis - section.middle),
            ),
            0.0,
        )
    )


def chord(section, point, direction):
    """Length of a straight line through a section."""
    direction = np.asarray(direction, float) / np.linalg.norm(direction)
    normal, distance = section.sides
    slope, room = normal @ direction, distance - normal @ np.asarray(point, float)
    ends = room / np.where(np.abs(slope) < 1e-12, 1.0, slope)
    if np.any((np.abs(slope) < 1e-12) & (room < -1e-9)):
        return 0.0
    low = max(ends[slope < -1e-12], default=-np.inf)
    high = min(ends[slope > 1e-12], default=np.inf)
    from_middle = np.asarray(point, float) - section.middle
    middle = -from_middle @ direction
    half = np.sqrt(max(section.radius**2 - from_middle @ from_middle + middle**2, 0.0))
    return float(max(min(high, middle + half) - max(low, middle - half), 0.0))


def share(section, axis, radii):
    """Share of a turn that circles about an axis run inside a section, one for each radius [mm]."""
    edges, inside = _pieces(*_bounds(section, axis, np.atleast_1d(np.asarray(radii, float))))
    spans = np.diff(edges, axis=1, append=edges[:, :1] + 2 * np.pi)
    return (spans * inside).sum(axis=1) / (2 * np.pi)


def _bounds(section, axis, radii):
    """Directions of a section's bounds from an axis, and for each radius the largest cosine they
    leave."""
    normal, distance = section.sides
    away = np.asarray(axis, float) - section.middle
    offset = max(np.hypot(*away), 1e-12)
    directions = np.append(np.arctan2(normal[:, 1], normal[:, 0]), np.arctan2(away[1], away[0]))
    straight = (distance - normal @ np.asarray(axis, float))[None, :] / radii[:, None]
    bent = (section.radius**2 - radii**2 - offset**2) / (2 * radii * offset)
    return directions, np.column_stack([straight, bent])


def _pieces(directions, limits):
    """Turns cut at every crossing: begins of the pieces [rad], and which of them lie inside."""
    half = np.arccos(np.clip(limits, -1, 1))
    edges = np.sort(
        np.concatenate([directions + half, directions - half], axis=1) % (2 * np.pi), axis=1
    )
    middles = edges + np.diff(edges, axis=1, append=edges[:, :1] + 2 * np.pi) / 2
    return edges, np.all(np.cos(middles[:, :, None] - directions) <= limits[:, None, :], axis=2)
