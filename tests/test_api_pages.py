"""The pages of functions that DEVELOPERS names: made from the docstrings without a warning."""

import importlib
import os
import pkgutil
import subprocess
import sys

import pytest

import crankbook
import crankmath


def listed(package):
    """Names of a package and of the modules that it makes public: all where it has no list."""
    yield package.__name__
    face = getattr(package, "__all__", None)
    for found in pkgutil.iter_modules(package.__path__, f"{package.__name__}."):
        name = found.name.rpartition(".")[2]
        if name.startswith("_") or (face is not None and name not in face):
            continue
        if found.ispkg:
            yield from listed(importlib.import_module(found.name))
        else:
            yield found.name


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
    names = [name for package in packages for name in listed(package)]
    for module in list(map(importlib.import_module, names)):
        page = tmp_path / f"{module.__name__.replace('.', '/')}.html"
        assert page.is_file(), module.__name__
        for name in getattr(module, "__all__", ()):
            own = f"{module.__name__}.{name}" not in sys.modules  # a module has a page of its own
            assert not own or f'id="{name}"' in page.read_text(encoding="utf-8"), (module, name)
