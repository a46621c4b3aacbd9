"""Run the tests with the oldest and the newest versions we allow, on every Python we claim; and an install the way conda does it.

Run as: python tests/try_versions.py [--python 3.11 3.12 3.13 3.14] [--only lowest-direct highest conda] [-- pytest arguments]
Needs uv and a network. Environments are made in a temporary folder and removed. Prints one line for each.
"""

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[1]
LIB = ROOT / "lib"
COMPILED = ("numpy", "scipy", "matplotlib", "shapely", "contourpy", "pillow")


def uv(*arguments, **environment):
    return subprocess.run(
        ["uv", *map(str, arguments)],
        cwd=ROOT,
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
    )


def install(folder, way):
    """Fill an environment: a resolution of uv over all we name, or conda's list first and its pip section after."""
    group = ["--group", f"{LIB / 'pyproject.toml'}:test"]
    if way != "conda":
        wheels = [
            word for name in COMPILED for word in ("--only-binary", name)
        ]  # the oldest that this Python has a wheel of
        return uv(
            "pip",
            "install",
            "--resolution",
            way,
            *wheels,
            "-e",
            f"{LIB}[class]",
            *group,
            VIRTUAL_ENV=str(folder),
        )
    listed = re.findall(
        r"^  - ([^\s:]+)$", (ROOT / "environment.yml").read_text(encoding="utf-8"), re.MULTILINE
    )
    names = [
        entry.replace("matplotlib-base", "matplotlib")
        for entry in listed
        if not re.match(r"conda-forge|python\b", entry)
    ]
    first = uv("pip", "install", *names, VIRTUAL_ENV=str(folder))
    if first.returncode:
        return first
    pip = re.findall(
        r"^      - (.+)$", (ROOT / "environment.yml").read_text(encoding="utf-8"), re.MULTILINE
    )
    python = folder / ("Scripts" if os.name == "nt" else "bin") / "python"
    for line in pip:
        done = subprocess.run(
            [python, "-m", "pip", "install", *line.split()],
            cwd=ROOT,
            capture_output=True,
            text=True,
        )
        if done.returncode:
            return done
    return uv("pip", "install", *group, VIRTUAL_ENV=str(folder))  # what the tests need besides


def attempt(python, way, tests):
    """One line: the Python, the way, and what pytest said last."""
    folder = Path(tempfile.mkdtemp(prefix="crankmath-versions-"))
    try:
        for done in (uv("venv", "--python", python, "--clear", folder), install(folder, way)):
            if done.returncode:
                return (
                    f"not installed: {done.stderr.strip().splitlines()[-1] if done.stderr.strip() else done.stdout[-300:]}",
                    False,
                )
        python = folder / ("Scripts" if os.name == "nt" else "bin") / "python"
        path = os.pathsep.join([str(python.parent), os.environ["PATH"]])
        done = subprocess.run(
            [python, "-m", "pytest", "-q", *tests],
            cwd=ROOT,
            env={**os.environ, "PATH": path},
            capture_output=True,
            text=True,
        )
        failed = [line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
        return "\n    ".join(
            [done.stdout.strip().splitlines()[-1], *failed[:20]]
        ), done.returncode == 0
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--python", nargs="+", default=["3.11", "3.12", "3.13", "3.14"])
    parser.add_argument("--only", nargs="+", default=["lowest-direct", "highest", "conda"])
    parser.add_argument("tests", nargs="*", help="arguments of pytest, after --")
    given = parser.parse_args()
    good = True
    for python in given.python:
        for way in given.only:
            said, passed = attempt(python, way, given.tests)
            good &= passed
            print(f"Python {python}, {way}: {said}", flush=True)
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
