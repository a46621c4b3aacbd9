"""Solving the fillet once a slider has moved: our live solution beside scikit-fem on the same mesh, in one run.

Both start from the numbering of the mesh, which stays, and end with Kt: ours from the public
function, units and all fields for drawing included; scikit-fem from placed points, with the same
elements, points of integration, supports and load, and Kt only. Processor time, every thread counted.

Run as: python tests/benchmarks/benchmark_fillet.py
"""

import statistics
import sys
import time
from pathlib import Path

import numpy as np
import skfem

sys.path.insert(0, str(Path(__file__).parents[1]))
from test_stress_field import LOADS, ORDER, arc_facets, highest, same_mesh, solve_generally, solved

RATIO = 1.5
MOVES = {"fast": 60, "fine": 8}


def general(grid, nodes, load, radius):
    mesh = skfem.MeshQuad2(nodes.T, grid.elements[:, ORDER].T, sort_t=False)
    basis, displacement = solve_generally(mesh, skfem.ElementQuad2(), load, 5)
    return highest(basis, displacement, load, arc_facets(mesh, RATIO, radius))


def measure(ours, theirs, radii):
    """Median processor and wall time of each [ms], taken in turn so that a busy machine slows both."""
    times = {ours: [], theirs: []}
    for radius in radii:
        for call, taken in times.items():
            wall, processor = time.perf_counter(), time.process_time()
            call(radius)
            taken.append(
                (1e3 * (time.process_time() - processor), 1e3 * (time.perf_counter() - wall))
            )
    return [
        [statistics.median(column) for column in zip(*taken[2:], strict=True)]
        for taken in times.values()
    ]


def main():
    print("median of a solve [ms]      unknowns   crankmath        scikit-fem       ratio")
    print(
        "                                       CPU     wall     CPU     wall     CPU     Kt apart"
    )
    for detail, moves in MOVES.items():
        radii = np.linspace(0.05, 0.15, moves + 2)  # the first two warm up
        for load in LOADS:
            meshes = {radius: same_mesh(detail, RATIO, radius)[:2] for radius in radii}
            ours, theirs = measure(
                lambda radius, load=load, detail=detail: solved(load, RATIO, radius, detail),
                lambda radius, load=load, meshes=meshes: general(*meshes[radius], load, radius),
                radii,
            )
            last = radii[-1]
            apart = general(*meshes[last], load, last) / solved(load, RATIO, last, detail).kt - 1
            unknowns = len(meshes[last][1]) * {"tension": 2, "bending": 3, "torsion": 1}[load]
            print(
                f"{detail:<6}{load:<20}{unknowns:10d}{ours[0]:8.1f}{ours[1]:9.1f}"
                f"{theirs[0]:8.1f}{theirs[1]:9.1f}{theirs[0] / ours[0]:8.1f}{apart:11.2%}"
            )


if __name__ == "__main__":
    main()
