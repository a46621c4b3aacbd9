"""The tree, the guides and the two lists of packages agree."""

import ast
import re
import subprocess
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest
import yaml
from packaging.requirements import Requirement

ROOT = Path(__file__).parents[1]
VISIBLE = {"README.md", "DEVELOPERS.md", "environment.yml", "workbook", "lib", "tests", "figures"}


def tracked():
    listing = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True)
    if listing.returncode:
        pytest.skip("not a git checkout")
    return listing.stdout.split("\n")[:-1]


def test_top_level():
    assert {name.split("/")[0] for name in tracked() if name[0] != "."} == VISIBLE


def test_environment_and_pyproject_agree():
    project = tomllib.loads((ROOT / "lib" / "pyproject.toml").read_text())["project"]
    listed = re.findall(r"^  - ([^\s:]+)$", (ROOT / "environment.yml").read_text(), re.MULTILINE)
    conda = {entry.replace("matplotlib-base", "matplotlib") for entry in listed} - {
        "conda-forge",
        "pip",
    }
    assert conda == {*project["dependencies"], "python" + project["requires-python"]}


def test_a_public_builder_can_read_the_environment():
    """What such a builder of hosted notebooks asks of environment.yml: it parses, each entry is a
    package with versions, and the pip section installs the library from its place in the tree.
    """
    stored = yaml.safe_load((ROOT / "environment.yml").read_text(encoding="utf-8"))
    assert set(stored) == {"name", "channels", "dependencies"}
    *packages, last = stored["dependencies"]
    for entry in packages:
        Requirement(entry)
    assert "pip" in packages and list(last) == ["pip"]
    for entry in last["pip"]:
        flag, place = entry.split()
        assert flag == "-e" and (ROOT / place / "pyproject.toml").is_file()
    python = next(Requirement(one) for one in packages if one.startswith("python"))
    assert all(version in python.specifier for version in ("3.11", "3.12", "3.13"))


def test_versions_agree():
    import crankmath

    assert (
        tomllib.loads((ROOT / "lib" / "pyproject.toml").read_text())["project"]["version"]
        == crankmath.__version__
    )


@pytest.mark.parametrize("guide", ["README.md", "DEVELOPERS.md"])
def test_links_open(guide):
    for link in re.findall(r"\]\(([^)#:]+)\)", (ROOT / guide).read_text()):
        assert (ROOT / link).exists(), link


def test_no_machine_paths_or_package_hosts():
    found = re.compile(
        "|".join(
            [
                "/" + "root/",
                "/" + "work/",
                "/" + "home/",
                "/" + "Users/",
                "py" + r"pi\.org",
                "python" + r"hosted\.org",
                r"registry\.npm" + "js",
            ]
        )
    )
    for name in tracked():
        if (
            Path(name).suffix in (".png", ".svg", ".wav", ".mo", ".npz")
            or not (ROOT / name).is_file()
        ):
            continue
        hit = found.search((ROOT / name).read_text(encoding="utf-8"))
        assert hit is None, (name, hit)


def imported(folder):
    """Top names of what the modules of a folder import, wherever in the module it stands."""
    found = set()
    for path in (ROOT / "lib" / folder).rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                found |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and not node.level:
                found.add(node.module.partition(".")[0])
    return found - set(sys.stdlib_module_names)


def test_the_sums_need_no_notebook():
    """crankmath imports the standard library, numpy, scipy and pint; threadpoolctl steadies scipy's solver."""
    assert imported("crankmath") <= {
        "filelock",
        "numpy",
        "scipy",
        "pint",
        "threadpoolctl",
    }
    blocked = ["matplotlib", "IPython", "ipywidgets", "anywidget", "jupyterlab", "traitlets"]
    code = (
        f"import sys; sys.modules.update(dict.fromkeys({blocked}))\n"
        "import importlib, pkgutil, crankmath\n"
        "for found in pkgutil.walk_packages(crankmath.__path__, 'crankmath.'):\n"
        "    importlib.import_module(found.name)\n"
        "import crankbook.diagnose"  # a command of sums alone starts without them too
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_every_import_is_declared():
    project = tomllib.loads((ROOT / "lib" / "pyproject.toml").read_text())["project"]
    listed = project["dependencies"] + sum(project["optional-dependencies"].values(), [])
    declared = {re.match(r"[\w-]+", entry)[0].lower() for entry in listed}
    declared |= {"jupyterhub", "crankmath"}  # the hub starts our module from its own environment
    owners = packages_distributions()
    for name in imported("crankbook") | imported("crankmath"):
        assert {owner.lower() for owner in owners.get(name, [name])} & declared, (
            f"{name} is imported but not declared in lib/pyproject.toml"
        )


def test_arrows_point_one_way():
    """No module of a lower floor imports one of an upper floor, and packages make no circle."""
    floors = {}
    for path in (ROOT / "lib").glob("crank*/**/*.py"):
        parts = path.relative_to(ROOT / "lib").with_suffix("").parts
        here = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom):
                base = ".".join(parts[: len(parts) - node.level]) if node.level else ""
                target = ".".join(filter(None, [base, node.module or ""]))
                if target.startswith("crank"):
                    floors.setdefault(_room(here), set()).add(_room(target))
                assert "__main__" not in target and all(
                    alias.name != "__main__" for alias in node.names
                ), f"{here} imports __main__"
    for room in floors:
        floors[room] -= {room}
    while floors:  # take away rooms that nothing left points out of
        done = {room for room, targets in floors.items() if not targets & set(floors)}
        assert done, f"these import each other in a circle: {sorted(floors)}"
        for room in done:
            del floors[room]


def _room(name):
    """Package of a module; what stands in a top package by itself is a room of its own."""
    parts = name.split(".")
    return ".".join(parts[:2])
