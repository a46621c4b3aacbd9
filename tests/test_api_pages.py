"""The pages of functions that DEVELOPERS names: made from the docstrings without a warning."""

import os
import pkgutil
import subprocess
import sys

import pytest

import crankbook
import crankmath


def test_pages_of_functions_are_made_without_a_warning(tmp_path):
    """Half a minute, and only where the group “docs” is installed."""
    pytest.importorskip("pdoc", reason="pdoc is not installed (group docs)")
    command = [sys.executable, "-W", "error", "-m", "pdoc", "-o", tmp_path]
    packages = (crankmath, crankbook)
    done = subprocess.run(
        [*command, *(package.__name__ for package in packages)],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert done.returncode == 0 and not done.stderr, done.stderr[-2000:]
    for package in packages:
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if not any(part.startswith("_") for part in found.name.split(".")):
                assert (tmp_path / f"{found.name.replace('.', '/')}.html").is_file(), found.name
