"""Solve the corners of many small cranks in the solid and store their factors.

python tests/solids/crank_corner_table.py [rows] [first]   appends to lib/crankmath/data/
crank_corner.csv; a row already there is not solved again, so it resumes where it stopped. Needs
gmsh, pypardiso, numpy and scipy; set OMP_NUM_THREADS and MKL_NUM_THREADS for fewer cores.

Shapes: corner_shapes.py. A throw stands alone between two bearings, pinned at their middles,
1.2 journal diameters from the web; its pin is 1.2 long.
"""

import csv
import multiprocessing
import sys
from pathlib import Path

import numpy as np
from corner_shapes import RATIOS, shape
from quarter_throw import Throw, peaks, solve

PLACE = Path(__file__).parents[2] / "lib/crankmath/data/crank_corner.csv"
PIN = 20.0  # mm; the factors do not depend on it
PIN_LENGTH, HALF_JOURNAL = 1.2, 1.2  # over the pin's and the journal's diameter
CASES = ("bending", "three_point", "tangential", "torsion")
FACTORS = [f"{place}_{case}" for case in CASES for place in ("pin", "journal")]
SECONDS = 1500  # after which a shape is given up


def throw_of(ratios, pin_length=PIN_LENGTH, half_journal=None):
    """The solid of those ratios; half_journal over the pin diameter."""
    r = ratios
    j = r["journal_diameter"]
    half = HALF_JOURNAL * j if half_journal is None else half_journal
    return Throw(
        *PIN * np.array([1.0, j, (1 + j) / 2 - r["overlap"], r["web_thickness"], r["web_width"]]),
        *PIN * np.array([r["pin_fillet"], r["journal_fillet"], r["web_reach"], r["web_corner"]]),
        PIN * pin_length,
        PIN * half,
    )


def factors(t, **fineness):
    """Factors of a throw by case and fillet.

    bending and three_point: greatest principal stress over M / (B W^2 / 6), M at the web's middle;
    tangential: over M / (pi d^3 / 32), d the fillet's own pin or journal, M at the web's middle;
    torsion: greatest shear over T / (pi d^3 / 16).
    """
    stresses, _ = solve(t, **fineness)
    arm = t.half_journal + t.web / 2
    web = 6 / (t.width * t.web**2)
    found = {}
    for i, (place, d) in enumerate((("pin", t.pin), ("journal", t.journal))):
        own = 32 / (np.pi * d**3)
        for case, name, nominal in (
            ("bending", "bending", web),
            ("three_point", "radial", web * arm / 2),
            ("tangential", "tangential", own * arm / 2),
            ("torsion", "torsion", own / 2),
        ):
            principal, _, shear, _ = peaks(stresses[name][i][0])
            found[f"{place}_{case}"] = (shear if case == "torsion" else principal) / nominal
    return found


def _solved(number, ratios, answers):
    found = factors(throw_of(ratios))
    answers.put(
        [number]
        + [f"{ratios[name]:.6g}" for name in RATIOS]
        + [f"{found[name]:.5g}" for name in FACTORS]
    )


def main(rows=1000, first=0):
    header = ["number", *RATIOS, *FACTORS]
    done = set()
    if PLACE.exists():
        with PLACE.open(encoding="utf-8") as lines:
            done = {int(row["number"]) for row in csv.DictReader(lines)}
    else:
        PLACE.write_text(",".join(header) + "\n", encoding="utf-8")
    for number in range(first, first + rows):
        ratios = None if number in done else shape(number)
        if ratios is None:
            continue
        answers = multiprocessing.Queue()
        work = multiprocessing.Process(target=_solved, args=(number, ratios, answers))
        work.start()
        work.join(SECONDS)
        if work.is_alive():
            work.terminate()
        if work.exitcode != 0:
            print(number, "failed", ratios, flush=True)
            continue
        row = answers.get()
        with PLACE.open("a", encoding="utf-8", newline="\n") as lines:
            lines.write(",".join(map(str, row)) + "\n")
        print(number, "of", first + rows, *row[1:], flush=True)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
