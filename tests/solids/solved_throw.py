"""Solve the pump's throw, pushed on its pin, and store the stress on its surface.

python tests/solids/solved_throw.py   writes lib/crankbook/data/solved_throw.npz, the picture of
lesson 11. Needs gmsh, pypardiso, numpy and scipy.
"""

from pathlib import Path

import numpy as np
from quarter_throw import AT_NODES, ELASTIC, _strain_rows, load_cases, solve, summed
from test_quarter_throw import PUMP

PLACE = Path(__file__).parents[2] / "lib/crankbook/data/solved_throw.npz"
FACES = np.array([[0, 1, 2], [0, 1, 3], [0, 2, 3], [1, 2, 3]])


class Outside:
    """The surface of a quarter throw by its corner nodes, cut open in the throw's plane."""

    def __init__(self, xyz, elements):
        faces = np.sort(elements[:, FACES].reshape(-1, 3), axis=1)
        faces, count = np.unique(faces, axis=0, return_counts=True)
        faces = faces[count == 1]
        tiny = 1e-6 * PUMP.pin
        inner = (abs(xyz[faces, 0]) < tiny).all(axis=1)  # the pin's middle: its twin goes on there
        used, places = np.unique(faces[~inner], return_inverse=True)
        self.xyz, self.faces, self.at = xyz[used], places.reshape(-1, 3), used
        wanted = np.zeros(len(xyz), bool)
        wanted[used] = True
        self.part, self.size = elements[wanted[elements].any(axis=1)], len(xyz)
        rows, _ = _strain_rows(xyz, self.part, AT_NODES)
        self.rows = ELASTIC @ rows
        self.count = np.bincount(self.part.ravel(), minlength=self.size)[used, None]

    def stress(self, motion, _antisymmetric):
        """Largest principal stress at the surface's nodes, as a size."""
        total = summed(self.rows, self.part, motion, self.size)
        xx, yy, zz, xy, yz, xz = (total[self.at] / self.count).T
        tensor = np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]]).transpose(2, 0, 1)
        return abs(np.linalg.eigvalsh(tensor)).max(axis=1), self


def radial(t, xyz, elements):
    return {"radial": load_cases(t, xyz, elements)["radial"]}


def main():
    (((stress, outside),),), about = (
        list(one.values()) if isinstance(one, dict) else one
        for one in solve(PUMP, loads=radial, read=Outside, coarse=0.12)
    )
    np.savez_compressed(
        PLACE,
        points=np.round(outside.xyz * 100).astype(np.int16),  # hundredths of a millimeter
        faces=outside.faces.astype(np.uint16),
        stress=(1e3 * stress).astype(np.float16),  # MPa for 1 kN on the pin
    )
    print(about, len(outside.xyz), "points", len(outside.faces), "triangles", PLACE.stat().st_size)


if __name__ == "__main__":
    main()
