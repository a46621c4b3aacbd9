"""All tests collected once; each test that is recorded and each mutant that is tried has a fork.

What is recorded is kept by the test file's content; of a file of the library that has changed
since, no line is known.
"""

import fcntl
import functools
import gc
import hashlib
import json
import math
import os
import resource
import shutil
import signal
import sys
import time
from collections import defaultdict
from pathlib import Path
from types import CodeType, FunctionType

from .mutants import TOP

KEPT = TOP / ".mutation"
LONGEST = 10.0  # s of the processor, a test that takes longer is left out
IMPORTED = 10.0  # s of the processor, what importing and collecting may take besides
MEMORY = 6 << 30  # bytes of address space
# need a browser, an install, or say nothing about numbers
APART = {"test_site.py", "test_wheel.py", "test_plain_english.py", "test_project.py"}


def test_files():
    """Test files that a mutant may meet."""
    found = [*(TOP / "tests").glob("test_*.py"), *(TOP / "tests/published").glob("test_*.py")]
    return sorted(path for path in found if path.name not in APART)


@functools.cache
def digest(path):
    return hashlib.sha1(Path(path).read_bytes()).hexdigest()[:12] if path.exists() else ""


def place_of(path):
    """Where the record of a test file stands."""
    return KEPT / "map" / f"{path.stem}-{digest(path)}.json"


def load():
    """Tests by (file, line), tests by file, and seconds by test, of all that was recorded."""
    lines, whole, seconds = defaultdict(set), defaultdict(set), {}
    for path in test_files():
        if not place_of(path).exists():
            continue
        kept = json.loads(place_of(path).read_text())
        same = {name for name, known in kept["digests"].items() if known == digest(TOP / name)}
        for test, what in kept["tests"].items():
            seconds[test] = what["seconds"]
            for file, numbers in what["lines"].items():
                whole[file].add(test)
                for number in numbers if file in same else ():
                    lines[file, number].add(test)
    return lines, whole, seconds


def forked(work, most):
    """Exit code of work done in a process of its own, or the signal that ended it, negative."""
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    code = 1
    try:
        nowhere = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(nowhere, stream)
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        signal.signal(signal.SIGALRM, signal.SIG_DFL)
        signal.alarm(int(most) + 1)
        code = work()
    finally:
        os._exit(int(code))


def told(code):
    """killed, survived or timeout, of a process that ran tests."""
    return {0: "survived", -signal.SIGALRM: "timeout"}.get(code, "killed")


class Collected:
    """A plugin of pytest: when all is collected, ``use(self)`` is called in place of the tests."""

    def __init__(self, tree, use):
        import coverage

        self.tree, self.use, self.by_import = tree, use, set()
        self.coverage = lambda: coverage.Coverage(
            data_file=None, source=[str(tree / "lib")], config_file=False, messages=False
        )
        self.collecting = self.coverage()
        self.collecting.start()

    def pytest_runtestloop(self, session):
        self.collecting.stop()
        self.by_import = {
            (file, line) for file, lines in self._seen(self.collecting).items() for line in lines
        }
        if session.testsfailed:
            raise SystemExit("tests cannot be collected; run them first")
        self.session, self.items = session, {item.nodeid: item for item in session.items}
        self.functions, self.caches = defaultdict(list), []
        ours = str(self.tree / "lib")
        for one in gc.get_objects():
            if isinstance(one, FunctionType) and one.__code__.co_filename.startswith(ours):
                self.functions[one.__code__.co_filename].append(one)
            elif isinstance(one, functools._lru_cache_wrapper):
                code = getattr(one.__wrapped__, "__code__", None)
                if code and code.co_filename.startswith(ours):
                    self.caches.append(one)
        gc.freeze()
        self.use(self)
        return True

    def _seen(self, cov):
        """Lines by file of the library that ran."""
        data = cov.get_data()
        return {
            str(Path(file).relative_to(self.tree)): data.lines(file)
            for file in data.measured_files()
            if data.lines(file)
        }

    def run(self, tests, most=math.inf):
        """In a fork: whether a test fails, up to the first that does or ``most`` seconds of the processor."""
        for cache in self.caches:
            cache.cache_clear()
        items = [self.items[test] for test in tests]
        for item, after in zip(items, [*items[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
            if self.session.testsfailed:
                return 1
            if time.process_time() > most:  # a fork begins at zero
                break
        return 0

    def swept(self):
        """Leave nothing of a fork's folders."""
        for one in self.session.config._tmp_path_factory.getbasetemp().iterdir():
            shutil.rmtree(one, ignore_errors=True)

    def record(self, path):
        """Run the tests of a file, each function's by themselves; keep seconds and lines of what passes."""
        place, name, found, left_out = place_of(path), str(path.relative_to(TOP)), {}, []
        if place.exists():
            return
        place.parent.mkdir(parents=True, exist_ok=True)
        note = place.with_suffix(".part")
        held = note.open("a")
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:  # another run records this one
            return

        def alone(tests):
            cov = self.coverage()
            for test in tests:
                started = time.process_time()
                signal.setitimer(signal.ITIMER_PROF, LONGEST)
                cov.erase()
                cov.start()
                failed = self.run([test])
                cov.stop()
                seconds = round(time.process_time() - started, 3)
                if failed:
                    return 1
                with note.open("a") as notes:
                    notes.write(
                        json.dumps([test, {"seconds": seconds, "lines": self._seen(cov)}]) + "\n"
                    )
            return 0

        by_function = defaultdict(list)
        for test in self.items:
            if test.split("::")[0] == name:
                by_function[test.split("[")[0]].append(test)
        for function, tests in by_function.items():
            note.write_text("")
            code = forked(lambda tests=tests: alone(tests), 600)
            found |= dict(map(json.loads, note.read_text().splitlines()))
            if code:
                left_out.append(f"{function} {code}")
            self.swept()
        note.unlink(missing_ok=True)
        files = {file for what in found.values() for file in what["lines"]}
        digests = {file: digest(TOP / file) for file in files}
        place.write_text(json.dumps({"digests": digests, "tests": found}))
        print(name, len(found), "recorded", *left_out and ("without", *left_out), flush=True)

    def attempt(self, mutant, tests, seconds, most):
        """Tests of the library with a function changed where it stands.

        ``seconds`` of the processor at most, ``most`` of the clock.
        """

        def changed():
            file = str(self.tree / mutant.file)
            text = Path(file).read_text(encoding="utf-8")
            old, new = (
                _codes(compile(text, file, "exec")),
                _codes(compile(mutant.applied(text), file, "exec")),
            )
            other = {a: b for a, b in zip(old, new, strict=True) if a != b}
            for one in self.functions[file]:
                if one.__code__ in other:
                    one.__code__ = other[one.__code__]
            return self.run([test for test in tests if test in self.items], seconds)

        code = forked(changed, most)
        self.swept()
        return told(code)


def _codes(code):
    """A code and all within it, in order."""
    inner = [found for one in code.co_consts if isinstance(one, CodeType) for found in _codes(one)]
    return [code, *inner]


def collect(tree, use):
    """In a fork: collect all tests of a tree and hand them to ``use``."""
    import pytest

    entered(tree)
    files = [str(path.relative_to(TOP)) for path in test_files()]
    return pytest.main([*QUIET, "-s", *files], plugins=[Collected(tree, use)])


QUIET = ["-q", "-o", "addopts=", "-p", "no:nbval", "-p", "no:cacheprovider",
         "--disable-warnings", "--no-header", "--no-summary"]  # fmt: skip


def entered(tree):
    """Stand in a tree and import from it."""
    os.chdir(tree)
    os.environ["PYTHONPATH"] = str(tree / "lib")
    sys.path[:] = [str(tree / "lib")] + [
        one for one in sys.path if Path(one or ".").resolve() not in (TOP, TOP / "lib")
    ]


class Ends:
    """A plugin of pytest: when the seconds of the processor are spent, what is left is not run."""

    def __init__(self, seconds):
        self.seconds = seconds

    def pytest_runtest_protocol(self, item):
        return time.process_time() > self.seconds or None  # a fork begins at zero


def attempt_by_import(mutant, tests, tree, seconds, most):
    """Tests of the library imported anew from a tree with one file changed."""
    import pytest

    def imported():
        entered(tree)
        sys.dont_write_bytecode = True
        return pytest.main([*QUIET, "-x", *tests], plugins=[Ends(seconds + IMPORTED)])

    path = tree / mutant.file
    kept = path.read_text(encoding="utf-8")
    path.write_text(mutant.applied(kept), encoding="utf-8")
    try:
        return told(forked(imported, most))
    finally:
        path.write_text(kept, encoding="utf-8")
