"""Draw mutants, run the tests that reach them, keep and print what was noticed."""

import argparse
import collections
import compileall
import contextlib
import csv
import importlib
import json
import os
import py_compile
import shutil
import sys
import tempfile
import time
from pathlib import Path

from . import collected
from .mutants import AREAS, TOP, candidates, draw, run_by_import, statement

RECORDED = 5.0  # times slower a test is alone and recorded than after others
COPIED = ("lib", "tests", "workbook", "figures", "README.md", "DEVELOPERS.md", ".pytest.ini")


def chosen(reached, seconds, most):
    """Tests that reach a mutant, as many as fit into ``most`` seconds, and their seconds.

    One of each function first, quickest first: the next set of arguments seldom says more.
    """
    place, had = {}, collections.Counter()
    for test in sorted(reached, key=lambda t: (seconds[t], t)):
        place[test] = had[test.split("[")[0]]
        had[test.split("[")[0]] += 1
    picked, spent = [], 0.0
    for test in sorted(place, key=place.get):  # of equal places, the quicker is first
        if picked and spent + seconds[test] > RECORDED * most:
            break
        picked.append(test)
        spent += seconds[test]
    return picked, spent


def naming(mutant, seconds):
    """Tests of the files that name a mutant's module, which may run it in another process."""
    stem = Path(mutant.file).stem
    files = {test.split("::")[0] for test in seconds}
    files = {one for one in files if stem in (TOP / one).read_text(encoding="utf-8")}
    return [test for test in seconds if test.split("::")[0] in files]


def warmed():
    """What every test imports besides the library: imported once, inherited by each fork."""
    for name in ("pytest", "matplotlib.pyplot", "numpy", "pint", "scipy.optimize", "scipy.linalg",
                 "scipy.interpolate", "scipy.stats", "ipywidgets", "jinja2", "nbformat"):  # fmt: skip
        with contextlib.suppress(ImportError):
            importlib.import_module(name)
    assert not any(name.startswith(("crankmath", "crankbook")) for name in sys.modules)


def equivalent():
    """Changes that nobody can see: (file, line as written, old, new)."""
    with (Path(__file__).parent / "equivalent.csv").open(encoding="utf-8", newline="") as rows:
        return {(r["file"], r["line"], r["old"], r["new"]) for r in csv.DictReader(rows)}


def written(mutant):
    """The line that a mutant changes, as it is written."""
    text = (TOP / mutant.file).read_text(encoding="utf-8")
    return text.splitlines()[mutant.line - 1].strip()


class Results:
    """JSON lines, one a mutant; a run goes on where it stopped."""

    def __init__(self, place):
        self.place = place
        place.parent.mkdir(exist_ok=True)
        self.known = {}
        if place.exists():
            for line in place.read_text(encoding="utf-8").splitlines():
                self.known[json.loads(line)["name"]] = json.loads(line)

    def lived(self):
        """(file, line, old, new, result) of what no test noticed."""
        for one in self.known.values():
            if one["result"] not in ("killed", "timeout"):
                yield tuple(one[key] for key in ("file", "line", "old", "new", "result"))

    def add(self, mutant, result, tests, started):
        one = {"name": mutant.name, "area": mutant.area, "kind": mutant.kind, "result": result,
               "tests": len(tests), "seconds": round(time.time() - started, 1), "file": mutant.file,
               "line": written(mutant), "old": mutant.old, "new": mutant.new}  # fmt: skip
        self.known[mutant.name] = one
        with self.place.open("a", encoding="utf-8") as lines:
            lines.write(json.dumps(one, ensure_ascii=False) + "\n")
        print(result, len(tests), one["seconds"], mutant.name, flush=True)

    def report(self):
        """Kill rate by area, and the survivors."""
        by_area, unseen = collections.defaultdict(list), equivalent()
        for one in self.known.values():
            by_area[one["area"]].append(one)
        for area, ones in by_area.items():
            lived = [one for one in ones if one["result"] not in ("killed", "timeout")]
            told = [one for one in lived if tuple(one[k] for k in ("file", "line", "old", "new")) not in unseen]  # fmt: skip
            killed, counted = len(ones) - len(lived), len(ones) - len(lived) + len(told)
            print(f"{area}: {killed} of {counted} killed, {100 * killed / counted:.0f} %,",
                  f"{len(lived) - len(told)} more change nothing that can be seen")  # fmt: skip
            for one in told:
                print("   ", one["result"], one["kind"], one["name"])


def main(words=None):
    asked = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    asked.add_argument("--area", action="append", choices=[*AREAS], help="all if not named")
    asked.add_argument("--number", type=int, default=100, help="mutants of each area")
    asked.add_argument("--seed", default=str(time.time_ns()), help="choose it without looking")
    asked.add_argument("--results", type=Path, help="JSON lines; a run goes on where it stopped")
    asked.add_argument("--again", type=Path, help="in place of a draw: what lived in these results")
    asked.add_argument(
        "--seconds", type=float, default=20.0, help="of the processor, for one mutant"
    )
    asked.add_argument("--under", default="", help="draw in files of this folder alone, lib/...")
    asked.add_argument("--record", action="store_true", help="record what is new and stop")
    given = asked.parse_args(words)
    place = given.results or collected.KEPT / f"mutants-{given.seed}.jsonl"
    place = place.resolve()
    results = Results(place)
    areas = given.area or AREAS
    drawn = [one for area in areas for one in draw(area, given.number, given.seed, given.under)]
    if given.again:
        lived = {one[:4] for one in Results(given.again).lived()}
        every = {one for area in areas for one in candidates(area)}
        drawn = [one for one in every if (one.file, written(one), one.old, one.new) in lived]
    drawn = [one for one in drawn if one.name not in results.known]
    os.environ |= {"CI": "true", "MPLBACKEND": "agg", "OPENBLAS_NUM_THREADS": "1"}
    warmed()

    def by_function(tests):
        for path in collected.test_files():
            tests.record(path)
        if given.record:
            return
        lines, _, seconds = collected.load()
        for mutant in drawn:
            text = (TOP / mutant.file).read_text(encoding="utf-8")
            places = {(mutant.file, line) for line in statement(text, mutant.line)}
            if run_by_import(text, mutant.line) or places & tests.by_import:
                continue
            picked, spent = chosen(
                set().union(*(lines[one] for one in places)), seconds, given.seconds
            )
            started = time.time()
            if picked:
                found = tests.attempt(mutant, picked, given.seconds, 30 + 4 * spent)
                results.add(mutant, found, picked, started)

    with tempfile.TemporaryDirectory(prefix="crankmath-mutants-") as folder:
        tree, rest = Path(folder, "tree"), Path(folder, "rest")
        rest.mkdir()
        os.environ["TMPDIR"] = tempfile.tempdir = str(rest)
        for name in COPIED:
            copy = shutil.copytree if (TOP / name).is_dir() else shutil.copy
            (tree / name).parent.mkdir(exist_ok=True)
            copy(TOP / name, tree / name)
        compileall.compile_dir(
            tree / "lib", quiet=2, invalidation_mode=py_compile.PycInvalidationMode.CHECKED_HASH
        )
        child = os.fork()
        if child == 0:
            try:
                collected.collect(tree, by_function)
            finally:
                os._exit(0)
        os.waitpid(child, 0)
        if given.record:
            return
        results = Results(place)
        _, whole, seconds = collected.load()
        for mutant in drawn:
            if mutant.name in results.known:
                continue
            picked, spent = chosen(
                whole[mutant.file] or naming(mutant, seconds), seconds, given.seconds
            )
            started, most = time.time(), 60 + 4 * spent
            found = "no tests"
            if picked:
                found = collected.attempt_by_import(mutant, picked, tree, given.seconds, most)
            results.add(mutant, found, picked, started)
            for one in rest.iterdir():
                shutil.rmtree(one, ignore_errors=True)
    results.report()


if __name__ == "__main__":
    main()
