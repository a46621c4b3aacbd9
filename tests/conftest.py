"""Shared set-up of the tests: the reader's own folder is a fresh one, pictures need no screen."""

import atexit
import os
import shutil
import tempfile

import pytest

os.environ["MPLBACKEND"] = "agg"
os.environ["CRANKMATH_WORK"] = tempfile.mkdtemp(prefix="crankmath-work-")
atexit.register(shutil.rmtree, os.environ["CRANKMATH_WORK"], ignore_errors=True)


def pytest_xdist_auto_num_workers():
    """One more than there are processors: a browser test mostly waits."""
    return (os.cpu_count() or 1) + 1


@pytest.fixture
def own_folder(tmp_path, monkeypatch):
    """The reader's own folder of one test."""
    monkeypatch.setenv("CRANKMATH_WORK", str(tmp_path))
    return tmp_path


@pytest.fixture
def choose(own_folder):
    """Name under which a panel finds a crank: its own, after one of ours was saved."""
    from test_layout import OWN

    from crankbook.lesson import own
    from crankmath.crank import Crank
    from crankmath.crank.crank import EXAMPLES

    def offered(name):
        if name in EXAMPLES:
            return name
        (own_folder / "other.toml").write_text(OWN[name], encoding="utf-8")
        own.save(Crank.load(own_folder / "other.toml"))
        return own.names()[0]

    return offered
