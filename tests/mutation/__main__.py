"""Draw mutants, run the tests that reach them, keep and print what was noticed."""

import argparse
import collections
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from . import coverage_map
from .mutants import AREAS, TOP, draw

MOST_SECONDS = 60.0  # of chosen tests, as they ran when recorded; the quickest first
COPIED = ("lib", "tests", "workbook", "figures", "README.md", "DEVELOPERS.md", ".pytest.ini")


def chosen(mutant, lines, whole, seconds):
    """Tests that reach a mutant, quickest first, as many as fit."""
    if mutant.area == "data":
        first = [t for t in seconds if t.startswith("tests/test_data.py")]
        reached = [t for t in seconds if t.startswith("tests/published/")]
    else:
        first = []
        reached = lines.get((mutant.file, mutant.line)) or whole.get(mutant.file, ())
    picked, spent = list(first), 0.0
    for test in sorted(set(reached) - set(first), key=lambda t: (seconds[t], t)):
        spent += seconds[test]
        if spent > MOST_SECONDS:
            break
        picked.append(test)
    return picked


def attempt(mutant, tests, tree):
    """killed, survived, timeout or no tests."""
    if not tests:
        return "no tests"
    path = tree / mutant.file
    kept = path.read_text(encoding="utf-8")
    path.write_text(mutant.applied(kept), encoding="utf-8")
    names = tree / "chosen.txt"
    names.write_text("\n".join(tests))
    run = subprocess.Popen(
        [sys.executable, "-B", "-m", "pytest", "-x", "-q", "-n", "0", "-p", "no:cacheprovider"]
        + ["--no-header", f"@{names}"],
        cwd=tree,
        env={**os.environ, "PYTHONPATH": str(tree / "lib"), "PYTHONDONTWRITEBYTECODE": "1"},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        return "survived" if run.wait(60 + 4 * MOST_SECONDS) == 0 else "killed"
    except subprocess.TimeoutExpired:
        os.killpg(run.pid, signal.SIGKILL)
        run.wait()
        return "timeout"
    finally:
        path.write_text(kept, encoding="utf-8")


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
    with tempfile.TemporaryDirectory(prefix="crankmath-mutants-") as folder:
        tree = Path(folder)
        for name in COPIED:
            copy = shutil.copytree if (TOP / name).is_dir() else shutil.copy
            copy(TOP / name, tree / name)
        for area in given.area or AREAS:
            for mutant in draw(area, given.number, given.seed):
                if mutant.name in done:
                    continue
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
