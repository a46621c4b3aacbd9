"""A crank as a frame of beams in space: its compliance at its centers, gaps and surfaces.

The workhorse of squeeze, deflection and chatter. Inside, plain numbers: mm, N, MPa, rad. Axes: x
along the crank from its left end, y toward angle zero, z toward 90 degrees. The crank stands
between dead centers: the left one holds x, y and z, the right one y and z, a driver the twist.
"""

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from ..checks import made, one_of
from ..crank import Crank, PlainCrank, steels
from ..units import magnitude
from . import beams
from .crank_beams import POISSON, Parts, lay_beams, say_range

# fitted likewise: fraction of a deep solid's dimple that the pin presses into the web beside it
DIMPLE = 0.529


@dataclass(frozen=True)
class Places:
    """Points on the frame: beam, distance along it, six motions for unit free motions of nodes."""

    beam: np.ndarray
    distance: np.ndarray
    rows: np.ndarray = field(repr=False)


@dataclass(frozen=True, eq=False)
class Frame:
    """A built frame; cached for each crank, so it is its own key.

    Beams are numbered; ``numbers`` finds those of a ("journal", "pin" or "web", index), webs
    counted from the left. ``lead`` is how far from its node a beam begins to bend, ``slack`` its
    compliance in shear over that in bending along its y and its z. ``compliance`` holds the free
    motions of the nodes for unit forces on them, ``thrust`` the forces of a unit thrust;
    ``center`` is where the centers stand, off the main axis; ``dimple`` what the pin presses into
    the faces of its gap [mm2/N].
    """

    plain: PlainCrank
    numbers: dict
    start: np.ndarray
    lead: np.ndarray
    length: np.ndarray
    rotation: np.ndarray
    motion: np.ndarray
    rigidity: np.ndarray
    shear_compliance: np.ndarray
    slack: np.ndarray
    directions: np.ndarray
    dimple: float
    center: np.ndarray
    free: np.ndarray
    stiffness: np.ndarray
    compliance: np.ndarray
    thrust: np.ndarray

    @property
    def segments(self):
        return self.plain.segments

    def places(self, position):
        """Points of the axis at distances from the left end [mm]: a pin's own, else the mains'.

        A point inside a web moves with the main that continues into it.
        """
        return self._places(np.atleast_1d(np.asarray(position, float)).tobytes())

    @lru_cache(maxsize=8)  # noqa: B019, the same places again and again while a slider moves
    def _places(self, position):
        position = np.frombuffer(position)
        starts = [segment.start for segment in self.segments]
        beam, distance = np.empty(position.shape, int), np.empty(position.shape)
        for number, order in enumerate(
            np.clip(np.searchsorted(starts, position, "right") - 1, 0, None)
        ):
            kind, index = self.segments[order].kind, self.segments[order].index
            if kind == "web":
                kind, index = "journal", index + (self.segments[order - 1].kind == "pin")
            pieces = self.numbers[kind, index]
            beam[number] = pieces[
                max(np.searchsorted(self.start[pieces, 0], position[number], "right") - 1, 0)
            ]
            distance[number] = position[number] - self.start[beam[number], 0]
        return self._moved(beam, distance)

    def _moved(self, beam, distance):
        """Places on beams; a distance off the bending length lies on the rigid end."""
        length = self.length[beam]
        bent = np.clip(distance, 0.0, length)
        share, beyond = bent / length, distance - bent
        local = np.zeros((len(beam), 6, 12))
        for part in (0, 3):
            local[:, part, part], local[:, part, part + 6] = 1 - share, share
        for part, turn, sign in ((1, 5, 1), (2, 4, -1)):
            value, slope = beams.shapes(share, length, self.slack[beam, part - 1])
            columns = [part, turn, part + 6, turn + 6]
            signs = np.array([1, sign, 1, sign])[:, None]
            local[:, part, columns] = ((value + slope * beyond) * signs).T
            local[:, turn, columns] = (sign * slope * signs).T
        turned = np.concatenate(
            [
                np.swapaxes(self.rotation, 1, 2)[beam] @ local[:, half]
                for half in (slice(0, 3), slice(3, 6))
            ],
            axis=1,
        )
        rows = np.zeros((len(beam), 6, len(self.stiffness)))
        np.put_along_axis(
            rows, self.directions[beam][:, None, :].repeat(6, 1), turned @ self.motion[beam], 2
        )
        return Places(beam, distance, rows[:, :, self.free])

    def response(self, places, load):
        """Motions of places, a row of six each [mm, rad], for forces on the nodes' free motions."""
        return places.rows @ (self.compliance @ load)

    def own_compliance(self, places):
        """Displacements of places for unit forces on themselves, 3 by 3 a place [mm/N].

        Exact inside a beam too: the motion of the nodes plus that of a beam clamped at both ends.
        """
        moved = places.rows[:, :3]
        own = moved @ self.compliance @ np.swapaxes(moved, 1, 2)
        stretch, _, bend_y, bend_z = self._clamped(places.beam, places.distance, places.distance)
        turn = self.rotation[places.beam]
        return (
            own
            + np.swapaxes(turn, 1, 2)
            * np.stack([stretch, bend_y, bend_z], axis=1)[:, None, :]
            @ turn
        )

    def _clamped(self, beam, one, other):
        return beams.clamped_compliance(
            self.length[beam], self.rigidity[beam], self.shear_compliance[beam], one, other
        )

    def gap_rows(self, throw, along=0.0, across=0.0):
        """Opening of a throw's gap for unit free motions, and the beams of its two webs.

        The place in the gap [mm]: along from the main axis toward the pin, across toward 90
        degrees after the throw.
        """
        webs = np.array([self.numbers["web", 2 * throw + side][0] for side in (0, 1)])
        outward = self.rotation[webs[0], 0, 1:]
        sideways = np.array([-outward[1], outward[0]])
        faces = self._moved(webs, along - self.lead[webs]).rows
        row = _axial(faces, across * sideways)
        opening = row[1] - row[0]
        pin = self.numbers["pin", throw]
        ends = self._moved(np.repeat(pin, 2), np.array([0.0, self.length[pin[0]]])).rows
        reach = along * outward + across * sideways - self.start[pin[0], 1:]
        distance = np.linalg.norm(reach)
        if self.dimple and distance > 0:
            strain = (ends[1] - ends[0]) / self.length[pin[0]]
            stretch, _, bend, _ = self.rigidity[pin[0]]
            tilt = _axial(strain, reach / distance) - strain[0]
            opening = opening - self.dimple * (
                stretch * strain[0] / distance + bend * tilt / distance**2
            )
        return opening, webs

    def gaps(self, places):
        """Openings of gaps at (throw, along, across) for unit free motions, and compliance.

        The second answer is place by place, for pairs of forces pressing the gaps open [mm/N].
        """
        found = [self.gap_rows(*place) for place in places]
        rows = np.array([row for row, _ in found]).reshape(len(places), len(self.free))
        compliance = rows @ self.compliance @ rows.T
        for i, (throw, along, across) in enumerate(places):
            for j, (other, along_j, across_j) in enumerate(places):
                if throw == other:
                    for beam in found[i][1]:
                        _, twist, bend, _ = self._clamped(
                            beam, along - self.lead[beam], along_j - self.lead[beam]
                        )
                        compliance[i, j] += bend + across * across_j * twist
        return rows, compliance


def build(crank, *, held="main", driven="left", plain=False, modulus=None):
    """Frame of a crank between centers.

    A pin or journal bends on for 0.185 d - 0.40 r inside its web (d its diameter, r its
    fillet). A web, t thick and w wide, bends over what is left between two rigid ends of
    0.409 d + 0.40 r - 0.362 t - 0.072 (w - d); its twist is stiffened by ends that can hardly
    warp. Pins and journals yield in shear too; the web's shear is held in its length. The pin
    dimples the web's face beside it as a force and a moment do a deep solid,
    (1 - nu^2) / (pi E) (F / rho + M / rho^2), but 0.529 of that.

    ``held`` is "main", or the throw counted from zero on whose pin axis the centers stand;
    ``driven`` the end, "left" or "right", whose twist is held; ``plain`` the bare center-line
    frame, some 30 to 40 % too soft, for comparison with other programs; ``modulus`` [stress] the
    elastic one, default the steel's.

    Basis: fitted data; beams against 3-D solid finite elements made for this project, at their
    finest mesh (sharp corners still gain 1 % when that is extrapolated). Over 25 cranks closure
    lies within 1.4 %, slope within 1.7 %, radial compliance within 2.2 %. Range: throw from 0.4 of
    the mean diameter of pin and journal, web 0.35 to 1 of it thick and 1 to 2.2 wide; fillet to
    0.18 of the pin's diameter and pin from 0.7 of it long. It warns outside.
    """
    made(crank, Crank, "crank")
    one_of(driven, ("left", "right"), "driven")
    if held != "main" and (isinstance(held, bool) or held not in range(len(crank.throws))):
        raise ValueError(
            f"held must be main or a throw from 0 to {len(crank.throws) - 1}, "
            f"counted from zero, not {held!r}"
        )
    elastic = steels.find(crank.steel).elastic_modulus if modulus is None else modulus
    stiff = magnitude(elastic, "MPa", "modulus", above=0, one=True)
    if not plain:
        say_range(crank.plain)
    return _built(crank.plain, stiff, bool(plain), driven, held)


def _axial(rows, reach):
    """Motion along the crank of points off an axis, from the six motions of the axis."""
    return rows[..., 0, :] + rows[..., 4, :] * reach[1] - rows[..., 5, :] * reach[0]


@lru_cache(maxsize=32)
def _built(plain, modulus, bare, driven, held):
    parts, center = Parts(), (0.0, 0.0) if held == "main" else plain.throws[held].pin_axis
    end_nodes, driver = lay_beams(parts, plain, center, bare, driven)
    return _assemble(parts, plain, modulus, end_nodes, driver, bare)


def _assemble(parts, plain, modulus, end_nodes, driver, bare):
    nodes, pairs = np.array(parts.nodes, float), np.array(parts.pairs)
    spans, sections = np.array(parts.spans, float), np.array(parts.sections)
    shift = spans - nodes[pairs]
    along = spans[:, 1] - spans[:, 0]
    length = np.linalg.norm(along, axis=1)
    along = along / length[:, None]
    # a web's own y is the crank's x, so that its first second moment bends in the throw's plane
    hint = np.where(np.abs(along[:, :1]) > 0.5, [[0.0, 1.0, 0.0]], [[1.0, 0.0, 0.0]])
    third = np.cross(along, hint)
    rotation = np.stack([along, np.cross(third, along), third], axis=1)
    area, bend_y, bend_z, torsion, slide = sections.T
    dimple = 0.0 if bare else 2 * DIMPLE * (1 - POISSON**2) / (np.pi * modulus)
    shear_modulus = modulus / (2 * (1 + POISSON))
    # bend_y bends along the beam's y, bend_z along its z
    rigidity = np.stack(
        [modulus * area, shear_modulus * torsion, modulus * bend_y, modulus * bend_z], axis=1
    )
    shear_compliance = slide / (shear_modulus * area)
    slack = 12 * rigidity[:, 2:] * shear_compliance[:, None] / length[:, None] ** 2
    motion = beams.end_motion(rotation, shift)
    local = beams.stiffness(rigidity, length, slack)
    matrices = np.swapaxes(motion, 1, 2) @ local @ motion
    directions = (6 * pairs[:, :, None] + np.arange(6)).reshape(len(pairs), 12)
    size = 6 * len(nodes)
    stiffness = np.zeros((size, size))
    np.add.at(stiffness, (directions[:, :, None], directions[:, None, :]), matrices)
    left, right = (6 * node for node in end_nodes)
    free = np.setdiff1d(
        np.arange(size), [left, left + 1, left + 2, right + 1, right + 2, 6 * driver + 3]
    )
    thrust = np.zeros(size)
    thrust[right] = -1.0
    numbers = {}
    for number, name in enumerate(parts.names):
        numbers.setdefault(name, []).append(number)
    arrays = (
        spans[:, 0],
        np.einsum("bi,bi->b", shift[:, 0], along),
        length,
        rotation,
        motion,
        rigidity,
        shear_compliance,
        slack,
        directions,
        dimple,
        nodes[end_nodes[0], 1:],
        free,
        stiffness,
        np.linalg.inv(stiffness[np.ix_(free, free)]),
        thrust[free],
    )
    for array in arrays:
        if isinstance(array, np.ndarray):
            array.flags.writeable = False
    return Frame(plain, {name: np.array(own) for name, own in numbers.items()}, *arrays)
