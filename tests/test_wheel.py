"""The built wheel, installed away from the tree, opens a lesson and checks a crank."""

import os
import subprocess
import sys
import sysconfig
import tarfile
import venv
import zipfile
from pathlib import Path

import pytest

LIB = Path(__file__).parents[1] / "lib"
WORKBOOK = LIB.parent / "workbook"
OPEN_LESSON = """
import sys, nbformat
from pathlib import Path
from nbclient import NotebookClient
from crankbook import workspace
own = workspace.prepare()
assert own == Path.home() / "crankmath-work", own
lesson = nbformat.read(own / "08-fit-the-spacers.ipynb", 4)
code = [cell for cell in lesson.cells if cell.cell_type == "code"][:4]
lesson.cells = code + [nbformat.v4.new_code_cell("import crankbook; print(crankbook.__file__)")]
NotebookClient(lesson, kernel_name="python3", timeout=300).execute(cwd=str(own))
print(lesson.cells[-1].outputs[0].text)
"""


def run(*command, folder):
    environment = {
        name: value
        for name, value in os.environ.items()
        if name not in ("PYTHONPATH", "CRANKMATH_WORK", "PYTHONDONTWRITEBYTECODE")
    }
    environment |= {"HOME": str(folder), "USERPROFILE": str(folder)}
    return subprocess.run(
        [str(word) for word in command],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        timeout=600,
    )


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """Folder with the wheel, which was built from the source archive beside it."""
    if not os.environ.get("CI"):
        pytest.importorskip("build", reason="the package build is not installed (group test)")
    folder = tmp_path_factory.mktemp("built")
    done = run(
        *(sys.executable, "-m", "build", "--no-isolation", "--outdir", folder, LIB), folder=folder
    )
    assert done.returncode == 0, done.stderr[-2000:]
    said = done.stdout + done.stderr
    assert "warning" not in said.lower(), said[-3000:]
    return folder


@pytest.fixture(scope="module")
def installed(built, tmp_path_factory):
    """Python of an environment with the wheel; what that needs is read where this test runs."""
    folder = tmp_path_factory.mktemp("away")
    venv.create(folder / "venv", symlinks=os.name != "nt")
    scheme = {"base": str(folder / "venv"), "platbase": str(folder / "venv")}
    place = Path(sysconfig.get_path("purelib", scheme="venv", vars=scheme))
    with zipfile.ZipFile(next(built.glob("*.whl"))) as wheel:
        wheel.extractall(place)
    others = [entry for entry in sys.path if Path(entry).name in ("site-packages", "dist-packages")]
    (place / "others.pth").write_text("\n".join(others), encoding="utf-8")
    return Path(sysconfig.get_path("scripts", scheme="venv", vars=scheme)) / "python"


def test_wheel_and_source_archive_hold_every_lesson(built):
    lessons = {
        f"crankbook/workbook/{path.relative_to(WORKBOOK).as_posix()}"
        for pattern in ("**/*.ipynb", "cranks/*.toml", "pictures/*.*")
        for path in WORKBOOK.glob(pattern)
        if ".ipynb_checkpoints" not in path.parts
    }
    with zipfile.ZipFile(next(built.glob("*.whl"))) as wheel:
        names = set(wheel.namelist())
        metadata = wheel.read(next(name for name in names if name.endswith("/METADATA"))).decode()
    assert lessons <= names
    assert {name.rpartition("/")[2] for name in names} >= {"CITATION.cff", "LICENSE-content"}
    for field in ("Summary", "Author", "License-Expression", "Keywords", "Classifier"):
        assert f"\n{field}: " in metadata
    with tarfile.open(next(built.glob("*.tar.gz"))) as archive:
        assert lessons <= {name.partition("/")[2] for name in archive.getnames()}


def test_lesson_opens_away_from_the_tree(installed, tmp_path):
    done = run(installed, "-c", OPEN_LESSON, folder=tmp_path)
    assert done.returncode == 0, done.stderr[-2000:]
    assert str(installed.parents[1]) in done.stdout, "another crankbook was imported"
    assert (tmp_path / "crankmath-work" / "cranks" / "organ.toml").is_file()


def test_crank_is_checked_away_from_the_tree(installed, tmp_path):
    done = run(installed, "-m", "crankbook", "check", "pump", folder=tmp_path)
    assert done.returncode in (0, 1), done.stderr[-2000:]
    assert "pump" in done.stdout
