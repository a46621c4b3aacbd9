"""The tree, the guides and the two lists of packages agree."""

import re
import subprocess
import tomllib
from pathlib import Path

import pytest

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
        if Path(name).suffix in (".png", ".svg", ".wav") or not (ROOT / name).is_file():
            continue
        hit = found.search((ROOT / name).read_text(encoding="utf-8"))
        assert hit is None, (name, hit)
