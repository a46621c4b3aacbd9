"""The pages of functions that DEVELOPERS names: made from the docstrings without a warning."""

import ast
import importlib
import os
import pkgutil
import re
import subprocess
import sys
from pathlib import Path

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


@pytest.mark.parametrize("package", [crankmath, crankbook])
def test_what_is_said_of_an_argument_is_an_item_of_a_list(package):
    """Lines “name: …” one below the other run together on the page; “- ``name``: …” do not."""
    wrong = []
    for path in Path(package.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef):
                every = node.args.posonlyargs + node.args.args + node.args.kwonlyargs
                names = {one.arg for one in every}
                lines = re.findall(
                    r"^(\w+)(?:, \w+)*(?: \[.*\])?: ", ast.get_docstring(node) or "", re.M
                )
                wrong += [f"{path.name}, {node.name}: {name}" for name in names & set(lines)]
    assert not wrong, "\n".join(sorted(wrong))


def test_pages_of_functions_are_made_without_a_warning(tmp_path):
    """Half a minute, and only where the group “docs” is installed."""
    pytest.importorskip("pdoc", reason="pdoc is not installed (group docs)")
    command = [sys.executable, "-W", "error", "-m", "pdoc", "--math", "-o", tmp_path]
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
