"""Solved stress concentration of a shoulder fillet as a table, for whole curves at once.

The table is made by ``python -m crankmath.stress_field.kt_table`` from the live solution;
the tests compare it with fresh solutions between its points.
"""

from functools import cache
from pathlib import Path

import numpy as np

from ..units import Quantity, magnitude

PLACE = Path(__file__).parents[1] / "data" / "kt_solved.csv"
# even steps in the logarithms, in which Kt is nearly straight
STEPS = np.geomspace(0.02, 5.0, 23)  # D/d - 1
RADII = np.geomspace(0.01, 1.0, 25)  # r/d


def solved_concentration(load, large_diameter, small_diameter, radius):
    """Stress concentration factor of a stepped round shaft, interpolated in a table of solved fields.

    Kt refers to the nominal stress of the small section, as in ``stress_field.solve_fillet``.

    Parameters
    ----------
    load : "tension", "bending" or "torsion"
    large_diameter, small_diameter, radius : Quantity, scalars or arrays that broadcast [length]

    Returns
    -------
    float or ndarray [no unit]

    Raises
    ------
    TypeError
        A length has no unit.
    pint.DimensionalityError
        A length is of another kind.
    ValueError
        Unknown load, swapped diameters, or a shape outside D/d 1.02 to 6, r/d 0.01 to 1.

    Notes
    -----
    Basis: cubic interpolation of log Kt over log(D/d - 1) and log(r/d) between
    finite-element solutions of this library; within 0.02 % of a fresh one of detail "fine".
    """
    if load not in ("tension", "bending", "torsion"):
        raise ValueError(f"load must be tension, bending or torsion, not {load!r}")
    large = magnitude(large_diameter, "mm", "large_diameter", above=0)
    small = magnitude(small_diameter, "mm", "small_diameter", above=0)
    arc = magnitude(radius, "mm", "radius", above=0)
    if np.any(np.asarray(large) <= small):
        raise ValueError("large_diameter must be above small_diameter: are the two swapped?")
    step, relative = np.broadcast_arrays(np.asarray(large) / small - 1, np.asarray(arc) / small)
    for name, value, known in (("large_diameter", step, STEPS), ("radius", relative, RADII)):
        if np.any(value < known[0] * (1 - 1e-9)) or np.any(value > known[-1] * (1 + 1e-9)):
            limits = (known[0] + 1, known[-1] + 1) if known is STEPS else (known[0], known[-1])
            raise ValueError(
                f"{name} must be {limits[0]:g} to {limits[1]:g} times small_diameter for the solved table"
            )
    kt = np.exp(_surface(load).ev(np.log(step), np.log(relative)))
    return float(kt) if kt.ndim == 0 else kt


@cache
def _surface(load):
    from scipy.interpolate import RectBivariateSpline

    with PLACE.open(encoding="utf-8") as lines:
        rows = [line.split(",") for line in lines if line.startswith(load)]
    table = np.array([float(row[3]) for row in rows]).reshape(len(STEPS), len(RADII))
    return RectBivariateSpline(np.log(STEPS), np.log(RADII), np.log(table))


def _make():
    from .field import LOADS, solve_fillet

    with PLACE.open("w", encoding="utf-8", newline="\n") as lines:
        lines.write(
            "# solved by crankmath.stress_field, detail fine; made by python -m crankmath.stress_field.kt_table\n"
        )
        lines.write("load,step_ratio,radius_ratio,kt\n")
        for load in LOADS:
            for step in STEPS:
                for relative in RADII:
                    kt = solve_fillet(
                        load,
                        Quantity(1 + step, "mm"),
                        Quantity(1.0, "mm"),
                        Quantity(relative, "mm"),
                        "fine",
                    ).kt
                    lines.write(f"{load},{step:.6g},{relative:.6g},{kt:.5f}\n")


if __name__ == "__main__":
    _make()
