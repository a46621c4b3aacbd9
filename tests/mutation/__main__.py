"""Draw mutants, run the tests that reach them, keep and print what was noticed."""

import argparse
import collections
import contextlib
import importlib
import json
import os
import shutil
import signal
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import pytest

from . import coverage_map
from .mutants import AREAS, TOP, draw, run_by_import

MOST_SECONDS = 60.0  # of chosen tests, as they ran when recorded; the quickest first
COPIED = ("lib", "tests", "workbook", "figures", "README.md", "DEVELOPERS.md", ".pytest.ini")


def chosen(mutant, lines, whole, seconds):
    """Tests that reach a mutant, quickest first, as many as fit."""
    if mutant.area == "data":
        first = [t for t in seconds if t.startswith("tests/test_data.py")]
        reached = [t for t in seconds if t.startswith("tests/published/")]
    else:
        first = []
        text = (TOP / mutant.file).read_text(encoding="utf-8")
        known = not run_by_import(text, mutant.line) and lines.get((mutant.file, mutant.line))
        reached = known or whole.get(mutant.file, ())
    picked, spent = list(first), 0.0
    for test in sorted(set(reached) - set(first), key=lambda t: (seconds[t], t)):
        spent += seconds[test]
        if spent > MOST_SECONDS:
            break
        picked.append(test)
    return picked


def warmed():
    """What every test imports besides the library: imported once, inherited by each attempt."""
    for name in ("hypothesis", "matplotlib.pyplot", "numpy", "pint", "scipy.optimize", "scipy.linalg",
                 "scipy.interpolate", "scipy.stats", "ipywidgets", "jinja2", "nbformat"):  # fmt: skip
        with contextlib.suppress(ImportError):
            importlib.import_module(name)
    assert not any(name.startswith(("crankmath", "crankbook")) for name in sys.modules)


def attempt(mutant, tests, tree):
    """killed, survived, timeout or no tests."""
    if not tests:
        return "no tests"
    path = tree / mutant.file
    kept = path.read_text(encoding="utf-8")
    path.write_text(mutant.applied(kept), encoding="utf-8")
    child = os.fork()
    if child == 0:
        _run_tests(tests, tree)
    ends = time.time() + 60 + 4 * MOST_SECONDS
    try:
        while time.time() < ends:
            done, status = os.waitpid(child, os.WNOHANG)
            if done:
                return "survived" if status == 0 else "killed"
            time.sleep(0.05)
        os.killpg(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return "timeout"
    finally:
        path.write_text(kept, encoding="utf-8")


def passes_unchanged(mutant, tests, tree):
    """Whether the chosen tests pass while the place is as it was."""
    return attempt(replace(mutant, new=mutant.old), tests, tree) in ("survived", "no tests")


def _run_tests(tests, tree):
    """In a process of its own: the tests of the mutated tree, up to the first that fails."""
    code = 1
    try:
        os.setsid()
        os.chdir(tree)
        nowhere = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(nowhere, stream)
        sys.dont_write_bytecode = True
        os.environ |= {"PYTHONPATH": str(tree / "lib"), "PYTHONDONTWRITEBYTECODE": "1"}
        sys.path[:] = [str(tree / "lib")] + [
            one for one in sys.path if Path(one or ".").resolve() not in (TOP, TOP / "lib")
        ]
        code = pytest.main(["-x", "-q", "-n", "0", "-p", "no:cacheprovider", "--no-header", *tests])
    finally:
        os._exit(int(code))


def main(words=None):
    asked = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    asked.add_argument("--area", action="append", choices=[*AREAS], help="all if not named")
    asked.add_argument("--number", type=int, default=100, help="mutants of each area")
    asked.add_argument("--seed", default=str(time.time_ns()), help="choose it without looking")
    asked.add_argument("--results", type=Path, help="JSON lines; a run goes on where it stopped")
    asked.add_argument("--record", action="store_true", help="record the coverage map and stop")
    asked.add_argument("--tests", default="", help="record test files whose name holds this word")
    given = asked.parse_args(words)
    for path in coverage_map.test_files():
        if given.tests in path.name:
            coverage_map.record(path)
    if given.record:
        return
    place = given.results or coverage_map.KEPT / f"mutants-{given.seed}.jsonl"
    place.parent.mkdir(exist_ok=True)
    done = {}
    if place.exists():
        for line in place.read_text(encoding="utf-8").splitlines():
            done[json.loads(line)["name"]] = json.loads(line)
    known = coverage_map.load()
    warmed()
    with tempfile.TemporaryDirectory(prefix="crankmath-mutants-") as folder:
        tree = Path(folder)
        for name in COPIED:
            copy = shutil.copytree if (TOP / name).is_dir() else shutil.copy
            copy(TOP / name, tree / name)
        for area in given.area or AREAS:
            drawn = [one for one in draw(area, given.number, given.seed) if one.name not in done]
            if drawn and not passes_unchanged(drawn[0], chosen(drawn[0], *known), tree):
                raise SystemExit(f"{area}: the tests fail before anything is changed")
            for mutant in drawn:
                tests, started = chosen(mutant, *known), time.time()
                one = {
                    "name": mutant.name,
                    "area": area,
                    "kind": mutant.kind,
                    "result": attempt(mutant, tests, tree),
                    "tests": len(tests),
                    "seconds": round(time.time() - started, 1),
                }
                done[mutant.name] = one
                with place.open("a", encoding="utf-8") as lines:
                    lines.write(json.dumps(one, ensure_ascii=False) + "\n")
                print(one["result"], one["tests"], one["seconds"], mutant.name, flush=True)
    report(done.values())


def report(results):
    """Kill rate by area, and the survivors."""
    by_area = collections.defaultdict(list)
    for one in results:
        by_area[one["area"]].append(one)
    for area, ones in by_area.items():
        # a test that runs for ever has noticed
        killed = sum(one["result"] in ("killed", "timeout") for one in ones)
        print(f"{area}: {killed} of {len(ones)} killed, {100 * killed / len(ones):.0f} %")
        for one in ones:
            if one["result"] not in ("killed", "timeout"):
                print("   ", one["result"], one["kind"], one["name"])


if __name__ == "__main__":
    main()
