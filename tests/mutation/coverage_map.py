"""Which test runs which line, and how long it takes.

Kept by the test file's content; of a file of the library that has changed since, no line is known.
"""

import hashlib
import json
import subprocess
import sys
import tempfile
from collections import defaultdict
from functools import cache
from pathlib import Path

from .mutants import TOP

KEPT = TOP / ".mutation"
SLOW = 60.0  # s, a test that nobody waits for
# need a browser, an install, or say nothing about numbers
APART = {"test_site.py", "test_wheel.py", "test_plain_english.py", "test_project.py"}


def test_files():
    """Test files that a mutant may meet."""
    found = [*(TOP / "tests").glob("test_*.py"), *(TOP / "tests/published").glob("test_*.py")]
    return sorted(path for path in found if path.name not in APART)


def digest(path):
    return hashlib.sha1(Path(path).read_bytes()).hexdigest()[:12]


def place_of(path):
    """Where the record of a test file stands."""
    return KEPT / "map" / f"{path.stem}-{digest(path)}.json"


def record(path):
    """Run one test file; keep digests of the library and {test: {"seconds", "lines": {file: …}}}."""
    place = place_of(path)
    if place.exists():
        return
    place.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(
            [
                sys.executable,
                "-m",
                "tests.mutation.coverage_map",
                str(path),
                f"{folder}/found.json",
            ],
            cwd=TOP,
            check=True,
            timeout=1800,
        )
        place.write_text(Path(folder, "found.json").read_text())


def load():
    """Tests by (file, line), tests by file, and seconds by test, of all that was recorded."""
    lines, whole, seconds = defaultdict(set), defaultdict(set), {}
    now = cache(lambda name: digest(TOP / name) if (TOP / name).exists() else "")
    for path in test_files():
        place = place_of(path)
        if not place.exists():
            continue
        kept = json.loads(place.read_text())
        same = {name for name, known in kept["digests"].items() if known == now(name)}
        for test, what in kept["tests"].items():
            if what["seconds"] > SLOW:
                continue
            seconds[test] = what["seconds"]
            for file, numbers in what["lines"].items():
                whole[file].add(test)
                for number in numbers if file in same else ():
                    lines[file, number].add(test)
    return lines, whole, seconds


class _Contexts:
    """A plugin that names each test to the coverage under way."""

    def __init__(self, cov):
        self.cov, self.seconds = cov, defaultdict(float)

    def pytest_runtest_logreport(self, report):
        self.seconds[report.nodeid] += report.duration

    def pytest_runtest_logstart(self, nodeid, location):
        self.cov.switch_context(nodeid)

    def pytest_runtest_logfinish(self, nodeid, location):
        self.cov.switch_context("between")


def _run(path, place):
    import coverage
    import pytest

    cov = coverage.Coverage(
        data_file=None, source=[str(TOP / "lib")], config_file=False, messages=False
    )
    cov.start()
    plugin = _Contexts(cov)
    pytest.main(["-q", "-n", "0", "-p", "no:cacheprovider", path], plugins=[plugin])
    cov.stop()
    data = cov.get_data()
    found = {test: {"seconds": round(s, 3), "lines": {}} for test, s in plugin.seconds.items()}
    for file in data.measured_files():
        name = str(Path(file).relative_to(TOP))
        for line, tests in data.contexts_by_lineno(file).items():
            for test in tests:
                if test in found:
                    found[test]["lines"].setdefault(name, []).append(line)
    digests = {name: digest(TOP / name) for what in found.values() for name in what["lines"]}
    Path(place).write_text(json.dumps({"digests": digests, "tests": found}))


if __name__ == "__main__":
    _run(*sys.argv[1:3])
