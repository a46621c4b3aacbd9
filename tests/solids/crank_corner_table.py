"""Solve the corners of many small cranks in the solid and store their factors.

python tests/solids/crank_corner_table.py [rows] [first]   appends to lib/crankmath/data/
crank_corner.csv; a row already there is not solved again, so it resumes where it stopped. Needs
gmsh, pypardiso, numpy and scipy; set OMP_NUM_THREADS and MKL_NUM_THREADS for fewer cores.

Shapes: Sobol points over the box BOX of ratios to the pin diameter; half of the webs square at
their ends, the others rounded, up to the half circle and the disc. A throw stands alone between
two bearings, pinned at their middles, 1.2 journal diameters from the web; its pin is 1.2 long.
"""

import csv
import multiprocessing
import sys
import time
from pathlib import Path

import numpy as np
from quarter_throw import Throw, peaks, solve
from scipy.stats import qmc

PLACE = Path(__file__).parents[2] / "lib/crankmath/data/crank_corner.csv"
# a little wider than what the library answers for, so that its edge is not the table's edge
BOX = {
    "overlap": (-1.25, 0.53),
    "web_thickness": (0.33, 1.15),
    "web_width": (1.08, 3.1),
    "pin_fillet": (0.019, 0.148),
    "journal_fillet": (0.019, 0.148),
    "journal_diameter": (0.77, 1.85),
}
RATIOS = [*BOX, "web_reach", "web_corner"]
PIN = 20.0  # mm; the factors do not depend on it
PIN_LENGTH, HALF_JOURNAL = 1.2, 1.2  # over the pin's and the journal's diameter
COVER = 0.02  # of the pin diameter: least metal beyond a fillet
CASES = ("bending", "three_point", "tangential", "sideways", "torsion")
FACTORS = [f"{place}_{case}" for case in CASES for place in ("pin", "journal")]
TURNS = [f"{name}_turn" for name in FACTORS]
SECONDS = 1500  # after which a shape is given up


def shape(number):
    """Ratios of the Sobol point of that number: RATIOS in order, or None where no web fits."""
    u = _points(number)
    low, high = np.array(list(BOX.values())).T
    values = low + (high - low) * u[:6]
    values[3:5] = low[3:5] * (high[3:5] / low[3:5]) ** u[3:5]
    s, w, _, rp, rj, j = values
    need = max(0.5 + rp, j / 2 + rj) + COVER
    least = max(BOX["web_width"][0], 2 * need)
    if least > BOX["web_width"][1] or w < 0.6 * (rp + rj) + 0.1:
        return None
    b = least + (BOX["web_width"][1] - least) * u[2]
    reach = need + (b / 2 - need) * min(1.0, 1.5 * u[6])
    corner = 0.0 if u[7] < 0.5 else 2 * (u[7] - 0.5) * b / 2
    values[2] = b
    throw = (1 + j) / 2 - s
    if u[7] > 0.85 and b > throw + 2 * need:  # a disc about the middle of the web
        reach, corner = (b - throw) / 2, b / 2
    while corner > 0 and not _covers(throw, b, reach, corner, need):
        corner = 0.0 if corner < 0.05 * b else 0.9 * corner
    return dict(zip(RATIOS, [*values, reach, corner], strict=False))


def _points(number):
    return qmc.Sobol(8, seed=23).random(number + 1)[-1]


def _covers(throw, width, reach, corner, need):
    """Whether the rounded web has metal all round both fillets."""
    corner = min(corner, (throw + 2 * reach) / 2)
    turn = np.linspace(0, np.pi, 181)
    for axis in (0.0, throw):
        y, z = axis + need * np.cos(turn), need * np.sin(turn)
        beyond = np.maximum(0, np.maximum(-reach + corner - y, y - throw - reach + corner))
        out = np.maximum(0, z - width / 2 + corner)
        if np.any(np.hypot(beyond, out) > corner + 1e-9):
            return False
    return True


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
    """Factors of a throw by case and fillet, the places of their peaks, and about the mesh.

    bending and three_point: greatest principal stress over M / (B W^2 / 6), M at the web's middle;
    tangential and sideways (pure bending across the throw): over M / (pi d^3 / 32), d the fillet's
    own pin or journal, M at the web's middle; torsion: greatest shear over T / (pi d^3 / 16).
    """
    stresses, about = solve(t, **fineness)
    arm = t.half_journal + t.web / 2
    web = 6 / (t.width * t.web**2)
    found = {}
    for i, (place, d) in enumerate((("pin", t.pin), ("journal", t.journal))):
        own = 32 / (np.pi * d**3)
        for case, name, nominal in (
            ("bending", "bending", web),
            ("three_point", "radial", web * arm / 2),
            ("tangential", "tangential", own * arm / 2),
            ("sideways", "sideways", own),
            ("torsion", "torsion", own / 2),
        ):
            principal, (_, turn), shear, _ = peaks(stresses[name][i][0])
            found[f"{place}_{case}"] = (shear if case == "torsion" else principal) / nominal
            found[f"{place}_{case}_turn"] = turn
    return found, about


def _solved(number, ratios, answers):
    started = time.time()
    found, about = factors(throw_of(ratios))
    answers.put(
        [number]
        + [f"{ratios[name]:.6g}" for name in RATIOS]
        + [f"{found[name]:.5g}" for name in FACTORS]
        + [f"{found[name]:.0f}" for name in TURNS]
        + [about["nodes"], f"{time.time() - started:.0f}"]
    )


def main(rows=1000, first=0):
    header = ["number", *RATIOS, *FACTORS, *TURNS, "nodes", "seconds"]
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
        print(number, "of", first + rows, *row[1:19], row[-1], "s", flush=True)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
