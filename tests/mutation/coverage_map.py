"""Which test runs which line, and how long it takes; kept as long as neither of them changes."""

import hashlib
import json
import subprocess
import sys
import tempfile
from collections import defaultdict
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


def _git(*words):
    return subprocess.run(
        ["git", *words], cwd=TOP, check=True, capture_output=True, text=True
    ).stdout.strip()


def place_of(path):
    """Where the record of a test file stands."""
    code = hashlib.sha1(_git("ls-files", "-s", "lib/*.py").encode()).hexdigest()
    return KEPT / code[:12] / f"{path.stem}-{_git('hash-object', path)[:8]}.json"


def record(path):
    """Run one test file and keep {test: {"seconds", "lines": {file: [...]}}}."""
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
    for path in test_files():
        place = place_of(path)
        if not place.exists():
            continue
        for test, what in json.loads(place.read_text()).items():
            if what["seconds"] > SLOW:
                continue
            seconds[test] = what["seconds"]
            for file, numbers in what["lines"].items():
                whole[file].add(test)
                for number in numbers:
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
    Path(place).write_text(json.dumps(found))


if __name__ == "__main__":
    _run(*sys.argv[1:3])
