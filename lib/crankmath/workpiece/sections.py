"""Exact cross-sections of the work: what lies inside some discs and on the near side of some
straight lines.

Every cut keeps what is inside a disc or beyond no line, so each section is convex, bounded by arcs
and lines. Plain numbers, millimeters and radians, in the frame of the work: y and z from the bar's
own axis.
"""

from dataclasses import dataclass
from functools import cached_property
from math import acos, atan2, cos, hypot, pi, sin, sqrt

SAME = 1e-9  # mm: a cut that takes off less takes nothing
TURN = 2 * pi
EIGHT = (  # Gauss points of an arc up to a quarter turn: its sums are true to 1e-13
    (-0.9602898564975363, 0.10122853629037626),
    (-0.7966664774136267, 0.22238103445337448),
    (-0.525532409916329, 0.31370664587788727),
    (-0.1834346424956498, 0.362683783378362),
    (0.1834346424956498, 0.362683783378362),
    (0.525532409916329, 0.31370664587788727),
    (0.7966664774136267, 0.22238103445337448),
    (0.9602898564975363, 0.10122853629037626),
)
TWO = ((-0.5773502691896258, 1.0), (0.5773502691896258, 1.0))  # exact for a straight side


@dataclass(frozen=True)
class Section:
    """What lies inside all ``discs`` (y, z, radius) and has n_y y + n_z z <= d for all ``lines``
    (n_y, n_z, d).
    """

    discs: tuple = ()
    lines: tuple = ()

    @cached_property
    def sides(self):
        """Straight parts of the boundary (y, z, y, z), the metal on the left."""
        found = []
        for number, (ny, nz, d) in enumerate(self.lines):
            others = self.lines[:number] + self.lines[number + 1 :]
            low, high = _through((ny * d, nz * d), (-nz, ny), others, self.discs)
            if high - low > SAME:
                found.append(
                    (
                        ny * d - nz * low,
                        nz * d + ny * low,
                        ny * d - nz * high,
                        nz * d + ny * high,
                    )
                )
        return tuple(found)

    @cached_property
    def arcs(self):
        """Round parts of the boundary (y, z, radius, from, to), counterclockwise from y to z."""
        found = []
        for number, (y, z, radius) in enumerate(self.discs):
            others = self.discs[:number] + self.discs[number + 1 :]
            found += [(y, z, radius, *span) for span in _around((y, z), radius, self.lines, others)]
        return tuple(found)

    @property
    def empty(self):
        """Whether nothing is left."""
        return not self.sides and not self.arcs

    @cached_property
    def firsts(self):
        """Area and first moments of y and z about the bar's axis, by Green's theorem in closed
        form.
        """
        area = first_y = first_z = 0.0
        for y, z, v, w in self.sides:
            area += (y * w - z * v) / 2
            first_y += (w - z) * (y * y + y * v + v * v) / 6
            first_z -= (v - y) * (z * z + z * w + w * w) / 6
        for y, z, radius, begin, end in self.arcs:
            c1, s1, c2, s2, span = cos(begin), sin(begin), cos(end), sin(end), end - begin
            out, up, mixed = s2 - s1, c1 - c2, (s2 * c2 - s1 * c1) / 2
            area += radius * (radius * span + y * out + z * up) / 2
            cubes = out - (s2**3 - s1**3) / 3, up - (c1**3 - c2**3) / 3
            first_y += (
                radius
                * (y * y * out + 2 * y * radius * (span / 2 + mixed) + radius**2 * cubes[0])
                / 2
            )
            first_z += (
                radius
                * (z * z * up + 2 * z * radius * (span / 2 - mixed) + radius**2 * cubes[1])
                / 2
            )
        return area, first_y, first_z

    @cached_property
    def seconds(self):
        """Second moments y y, z z and y z about the bar's axis, by Green's theorem."""
        sums = [0.0] * 3
        for y, z, to_y, to_z in self.sides:
            half_y, half_z = (to_y - y) / 2, (to_z - z) / 2
            for place, weight in TWO:
                at = y + half_y * (1 + place), z + half_z * (1 + place)
                _add(sums, *at, weight * half_y, weight * half_z)
        for y, z, radius, begin, end in self.arcs:
            parts = int((end - begin) / (pi / 2) - 1e-9) + 1
            half = (end - begin) / parts / 2
            for part in range(parts):
                for place, weight in EIGHT:
                    turn = begin + half * (2 * part + 1 + place)
                    out_y, out_z = radius * cos(turn), radius * sin(turn)
                    _add(sums, y + out_y, z + out_z, -weight * half * out_z, weight * half * out_y)
        return tuple(sums)

    @property
    def area(self):
        """Area [mm2]."""
        return self.firsts[0]

    @property
    def centroid(self):
        """Its middle (y, z)."""
        area, first_y, first_z = self.firsts
        return first_y / area, first_z / area

    @property
    def second_moments(self):
        """Integrals of y y, z z and y z over the area, about its own centroid [mm4]."""
        (area, first_y, first_z), (yy, zz, yz) = self.firsts, self.seconds
        return yy - first_y**2 / area, zz - first_z**2 / area, yz - first_y * first_z / area

    def support(self, normal):
        """Farthest place along a direction of length one."""
        ny, nz = normal
        places = [max(ny * y + nz * z, ny * v + nz * w) for y, z, v, w in self.sides]
        turn = atan2(nz, ny)
        for y, z, radius, begin, end in self.arcs:
            for at in (begin, end, turn):
                if at != turn or _within(turn, begin, end):
                    places.append(ny * (y + radius * cos(at)) + nz * (z + radius * sin(at)))
        return max(places)

    def reach(self, axis):
        """Distance of the farthest point from an axis: what the section swings."""
        a, b = axis
        places = [max(hypot(y - a, z - b), hypot(v - a, w - b)) for y, z, v, w in self.sides]
        for y, z, radius, begin, end in self.arcs:
            off = hypot(y - a, z - b)
            if off < SAME or _within(atan2(z - b, y - a), begin, end):
                places.append(off + radius)
                continue
            for at in (begin, end):
                places.append(hypot(y + radius * cos(at) - a, z + radius * sin(at) - b))
        return max(places)

    def whole_ring(self, axis):
        """Radius of the largest circle about an axis that lies wholly in metal; zero for an axis
        outside.
        """
        a, b = axis
        rooms = [d - ny * a - nz * b for ny, nz, d in self.lines]
        rooms += [radius - hypot(a - y, b - z) for y, z, radius in self.discs]
        return max(min(rooms), 0.0)

    def share(self, axis, radius):
        """Share of a turn that a circle about an axis runs in metal."""
        return sum(end - begin for begin, end in self.in_metal(axis, radius)) / TURN

    def in_metal(self, axis, radius):
        """Arcs (from, to) of a circle about an axis that run in metal, from y to z."""
        return _around(axis, radius, self.lines, self.discs)

    def chord(self, point, direction):
        """Length in metal of a straight line through a point."""
        low, high = _through(point, direction, self.lines, self.discs)
        return max(high - low, 0.0)

    def holds(self, point, slack=SAME):
        """Whether a point lies inside."""
        a, b = point
        return all(ny * a + nz * b <= d + slack for ny, nz, d in self.lines) and all(
            hypot(a - y, b - z) <= radius + slack for y, z, radius in self.discs
        )

    def away(self, point):
        """Distance of a point from the metal; zero inside."""
        if self.holds(point):
            return 0.0
        a, b = point
        found = []
        for y, z, v, w in self.sides:
            square = (v - y) ** 2 + (w - z) ** 2
            share = min(max(((a - y) * (v - y) + (b - z) * (w - z)) / square, 0.0), 1.0)
            found.append(hypot(y + share * (v - y) - a, z + share * (w - z) - b))
        for y, z, radius, begin, end in self.arcs:
            turn = atan2(b - z, a - y)
            if _within(turn, begin, end):
                found.append(abs(hypot(a - y, b - z) - radius))
            else:
                found += [
                    hypot(y + radius * cos(at) - a, z + radius * sin(at) - b) for at in (begin, end)
                ]
        return min(found)

    def rim(self, step=0.2):
        """Points around the section: its corners, and arcs in steps of ``step`` radians."""
        found = [side[:2] for side in self.sides]
        for y, z, radius, begin, end in self.arcs:
            parts = int((end - begin) / step) + 1
            for number in range(parts + 1):
                at = begin + (end - begin) * number / parts
                found.append((y + radius * cos(at), z + radius * sin(at)))
        return found

    def inside_disc(self, axis, radius):
        """What is left inside a radius about an axis; the same section where nothing is beyond."""
        if self.reach(axis) <= radius + SAME:
            return self
        return Section((*self.discs, (*axis, radius)), self.lines)._tidied()

    def below_line(self, normal, offset):
        """What is left of n . p <= offset; the same section where nothing is beyond."""
        if self.support(normal) <= offset + SAME:
            return self
        return Section(self.discs, (*self.lines, (*normal, offset)))._tidied()

    def inside_polygon(self, corners):
        """What is left inside a convex polygon, its corners in turn, either way around."""
        left = self
        for line in polygon(corners).lines:
            if left is None:
                return None
            left = left.below_line(line[:2], line[2])
        return left

    def inside(self, other):
        """What two sections have in common, or None."""
        left = self
        for y, z, radius in other.discs:
            left = left and left.inside_disc((y, z), radius)
        for ny, nz, d in other.lines:
            left = left and left.below_line((ny, nz), d)
        return left

    def _tidied(self):
        """The section without the bounds that no longer touch it, or None where nothing is left."""
        if self.empty:
            return None
        round_ = {arc[:3] for arc in self.arcs}
        discs = tuple(disc for disc in self.discs if disc in round_)
        straight = []
        for ny, nz, d in self.lines:
            low, high = _through(
                (ny * d, nz * d),
                (-nz, ny),
                [line for line in self.lines if line != (ny, nz, d)],
                self.discs,
            )
            if high - low > SAME:
                straight.append((ny, nz, d))
        return Section(discs, tuple(straight))


def disc(axis, radius):
    """Section of a round."""
    return Section(((*axis, radius),))


def polygon(corners):
    """Section with straight sides; corners in turn, either way around."""
    corners = [tuple(map(float, corner)) for corner in corners]
    ends = corners[1:] + corners[:1]
    turn = sum(y * w - z * v for (y, z), (v, w) in zip(corners, ends, strict=True))
    lines = []
    for (y, z), (v, w) in zip(corners, ends, strict=True):
        length = hypot(v - y, w - z)
        if length > SAME:
            sign = 1 if turn > 0 else -1
            normal = sign * (w - z) / length, -sign * (v - y) / length
            lines.append((*normal, normal[0] * y + normal[1] * z))
    return Section((), tuple(lines))


def _add(sums, y, z, dy, dz):
    """One piece of boundary (dy, dz) at a place, into the three sums of Green's theorem."""
    sums[0] += y**3 * dz / 3
    sums[1] -= z**3 * dy / 3
    sums[2] += y * y * z * dz / 2


def _within(turn, begin, end):
    """Whether a direction lies in an arc."""
    return (turn - begin) % TURN <= end - begin + 1e-12


def _through(point, direction, lines, discs):
    """Begin and end of a straight line inside bounds, from a point on it; the end below the begin
    where it is outside.
    """
    (a, b), (u, v) = point, direction
    low, high = -1e9, 1e9
    for ny, nz, d in lines:
        slope, room = ny * u + nz * v, d - ny * a - nz * b
        if abs(slope) < 1e-12:
            if room < -SAME:
                return 0.0, -1.0
        elif slope > 0:
            high = min(high, room / slope)
        else:
            low = max(low, room / slope)
    for y, z, radius in discs:
        middle = (y - a) * u + (z - b) * v
        square = radius**2 - (y - a) ** 2 - (z - b) ** 2 + middle**2
        if square <= 0:
            return 0.0, -1.0
        low, high = max(low, middle - sqrt(square)), min(high, middle + sqrt(square))
    return low, high


def _around(axis, radius, lines, discs):
    """Arcs of a circle about an axis inside bounds; each bound reads cos(turn - direction) <=
    limit.
    """
    a, b = axis
    limits = [(atan2(nz, ny), (d - ny * a - nz * b) / radius) for ny, nz, d in lines]
    for y, z, other in discs:
        off = hypot(a - y, b - z)
        if off < SAME:
            if radius > other + SAME:
                return []
            continue
        limits.append((atan2(b - z, a - y), (other**2 - off**2 - radius**2) / (2 * radius * off)))
    limits = [one for one in limits if one[1] < 1 - 1e-14]
    if not limits:
        return [(0.0, TURN)]
    edges = []
    for direction, limit in limits:
        if limit <= -1:
            return []
        half = acos(limit)
        edges += [(direction + half) % TURN, (direction - half) % TURN]
    edges.sort()
    found = []
    for begin, end in zip(edges, [*edges[1:], edges[0] + TURN], strict=True):
        middle = (begin + end) / 2
        if end - begin > 1e-12 and all(
            cos(middle - direction) <= limit for direction, limit in limits
        ):
            if found and found[-1][1] == begin:
                found[-1] = found[-1][0], end
            else:
                found.append((begin, end))
    return found
