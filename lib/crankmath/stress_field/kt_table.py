"""Solved stress concentration of a shoulder fillet as a table, for whole curves at once.

The table is made by ``python -m crankmath.stress_field.kt_table`` from the live solution;
the tests compare it with fresh solutions between its points.
"""

from functools import cache
from itertools import product

import numpy as np

from ..checks import takes
from ..tables import DATA, rows
from ..units import Quantity
from .element import LOADS

# even steps in the logarithms, in which Kt is nearly straight
STEPS = np.geomspace(0.02, 5.0, 23)  # D/d - 1
RADII = np.geomspace(0.01, 1.0, 25)  # r/d


@takes(load=LOADS, large_diameter="mm > 0", small_diameter="mm > 0", radius="mm > 0")
def solved_concentration(load, large_diameter, small_diameter, radius):
    """Stress concentration factor of a stepped round shaft, from a table of solved fields.

    Kt refers to the nominal stress of the small section, as in ``stress_field.solve_fillet``.
    Basis: cubic interpolation of log Kt over log(D/d - 1) and log(r/d) between finite-element
    solutions of this library; within 0.02 % of a fresh one of detail "fine". Range: D/d 1.02 to 6,
    r/d 0.01 to 1.
    """
    small = small_diameter
    if np.any(np.asarray(large_diameter) <= small):
        raise ValueError("large_diameter must be above small_diameter: are the two swapped?")
    step, relative = np.broadcast_arrays(
        np.asarray(large_diameter) / small - 1, np.asarray(radius) / small
    )
    for name, value, known, more in (
        ("large_diameter", step, STEPS, 1),
        ("radius", relative, RADII, 0),
    ):
        if np.any(value < known[0] * (1 - 1e-9)) or np.any(value > known[-1] * (1 + 1e-9)):
            raise ValueError(
                f"{name} must be {known[0] + more:g} to {known[-1] + more:g} times small_diameter "
                "for the solved table"
            )
    kt = np.exp(_surface(load).ev(np.log(step), np.log(relative)))
    return float(kt) if kt.ndim == 0 else kt


@cache
def _surface(load):
    from scipy.interpolate import RectBivariateSpline

    table = np.array([float(row["kt"]) for row in rows("kt_solved") if row["load"] == load])
    table = table.reshape(len(STEPS), len(RADII))
    return RectBivariateSpline(np.log(STEPS), np.log(RADII), np.log(table))


def _solved(load, step, relative):
    """Row of the table: a fillet solved on the fine mesh."""
    from .field import solve_fillet

    sizes = (Quantity(size, "mm") for size in (1 + step, 1.0, relative))
    return f"{load},{step:.6g},{relative:.6g},{solve_fillet(load, *sizes, 'fine').kt:.5f}\n"


def _make():
    with (DATA / "kt_solved.csv").open("w", encoding="utf-8", newline="\n") as lines:
        lines.write(
            "# solved by crankmath.stress_field, detail fine; "
            "made by python -m crankmath.stress_field.kt_table\n"
        )
        lines.write("load,step_ratio,radius_ratio,kt\n")
        for case in product(LOADS, STEPS, RADII):
            lines.write(_solved(*case))


if __name__ == "__main__":
    _make()
