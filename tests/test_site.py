"""What a site is made of: a Pyodide release from anywhere, wheels, the lock file."""

import functools
import hashlib
import http.server
import io
import json
import tarfile
import threading
import zipfile

import pytest

from crankbook import workspace
from crankbook.editions import distribution, site
from crankbook.lesson import exercise, progress
from crankbook.lessons.blank import lesson_00
from crankmath import files

FONT_MANAGER = "class FontManager:\n    __version__ = 330\n"
INSTALLED = ("anywidget", "comm", "ipywidgets", "jinja2", "pint", "psygnal", "crankmath")


@pytest.fixture(scope="module")
def release(tmp_path_factory):
    """Folder shaped as a Pyodide release, with small files in place of the compiled packages."""
    folder = tmp_path_factory.mktemp("release") / "pyodide"
    folder.mkdir()
    for name in distribution.CORE:
        (folder / name).write_text(name)
    packages = {}
    compiled = ("numpy", "scipy", "matplotlib", "ipython", "micropip", "ssl", "sqlite3", "jedi")
    depends = {"matplotlib": ["numpy", "pillow"], "scipy": ["numpy", "openblas"]}
    others = ("pillow", "openblas", "pandas", "traitlets", "matplotlib-inline", "threadpoolctl")
    for name in (*compiled, *others):
        content = io.BytesIO()
        with zipfile.ZipFile(content, "w") as wheel:
            wheel.writestr(f"{name}/font_manager.py", FONT_MANAGER)
            wheel.writestr(f"{name}/fontlist.json", '{"_version": 390, "ttflist": ["a font"]}')
        (folder / f"{name}.whl").write_bytes(content.getvalue())
        packages[name] = {
            "name": name,
            "version": "1",
            "file_name": f"{name}.whl",
            "sha256": hashlib.sha256(content.getvalue()).hexdigest(),
            "depends": depends.get(name, []),
            "imports": [name],
        }
    info = {"python": "3.12.7", "version": "0.27.7"}
    lock = json.dumps({"info": info, "packages": packages})
    (folder / distribution.LOCK).write_text(lock)
    return folder


def archived(release, folder, kind):
    """The release as an archive."""
    path = folder / f"release.{kind}"
    if kind == "zip":
        with zipfile.ZipFile(path, "w") as archive:
            for file in release.iterdir():
                archive.write(file, f"some/where/{file.name}")
    else:
        with tarfile.open(path, "w:bz2") as archive:
            archive.add(release, "pyodide")
    return path


def served(release):
    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *_):
            pass

    handler = functools.partial(Quiet, directory=release)
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    return server


@pytest.mark.parametrize("kind", ["folder", "zip", "tar.bz2", "address"])
def test_release_is_read_out_of_anything(release, tmp_path, kind):
    server = served(release) if kind == "address" else None
    try:
        where = {
            "folder": lambda: release.parent,
            "address": lambda: f"http://127.0.0.1:{server.server_port}/",
        }.get(kind, lambda: archived(release, tmp_path, kind))()
        source = distribution.Source(where)
        assert source.read("pyodide.js") == b"pyodide.js"
        assert json.loads(source.read(distribution.LOCK))["info"]["version"] == "0.27.7"
        with pytest.raises(ValueError, match="missing.whl"):
            source.read("missing.whl")
    finally:
        if server:
            server.shutdown()


def test_lock_file_loads_everything_at_one_import(release, tmp_path):
    said = []
    made = distribution.write(distribution.Source(release), tmp_path / "made", said.append)
    assert made == "0.27.7"
    lock = json.loads((tmp_path / "made" / distribution.LOCK).read_text())["packages"]
    assert "pandas" not in lock and {"openblas", "pillow"} <= set(lock), "what is needed, no more"
    assert set(INSTALLED) <= set(lock)
    assert set(lock["crankmath"]["imports"]) == {"crankmath", "crankbook"}
    assert not set(distribution.LEFT_OUT) & set(lock["crankmath"]["depends"])
    for entry in lock.values():
        content = (tmp_path / "made" / entry["file_name"]).read_bytes()
        assert hashlib.sha256(content).hexdigest() == entry["sha256"]
        assert set(entry["depends"]) <= set(lock)
    assert any("scipy.whl" in line for line in said)
    with zipfile.ZipFile(tmp_path / "made" / lock["crankmath"]["file_name"]) as wheel:
        names = wheel.namelist()
        fonts = json.loads(wheel.read(distribution.FONTS))
    assert "crankbook/lesson/panel.js" in names and "crankmath/data/steels.csv" in names
    assert "crankbook/workbook/00-start-here.ipynb" in names, "lesson 00 lists the lessons"
    assert len(names) == len(set(names)) and not [name for name in names if name.endswith(".pyc")]
    assert fonts == {"_version": 330, "ttflist": ["a font"]}, "under the number asked for"


def test_damaged_file_is_refused(release, tmp_path):
    lock = json.loads((release / distribution.LOCK).read_text())
    with zipfile.ZipFile(tmp_path / "bad.zip", "w") as archive:
        for file in release.iterdir():
            archive.write(file, file.name) if file.name != "numpy.whl" else None
        archive.writestr("numpy.whl", "other bytes")
    assert "numpy" in lock["packages"]
    with pytest.raises(ValueError, match="numpy.whl .* is damaged"):
        distribution.write(distribution.Source(tmp_path / "bad.zip"), tmp_path / "made", str)


def test_a_folder_of_others_is_left_alone(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(site, "_absent", lambda name: False)
    (tmp_path / "mine.txt").write_text("mine")
    assert site.main([str(tmp_path), "--pyodide", "none"]) == 1
    assert "is not empty and is not a site made by this command" in capsys.readouterr().err
    assert (tmp_path / "mine.txt").read_text() == "mine"
    assert site.main([str(tmp_path / "new"), "--pyodide", str(tmp_path / "none")]) == 1
    assert "there is no folder or file" in capsys.readouterr().err


def test_a_missing_extra_is_named(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(site, "_absent", lambda name: True)
    assert site.main([str(tmp_path)]) == 1
    assert "--extra site" in capsys.readouterr().err


@pytest.mark.parametrize("kept", [True, False])
def test_in_a_browser_it_is_said_whether_anything_is_kept(tmp_path, capsys, monkeypatch, kept):
    """The reader's folder lies beside the lessons where the browser keeps it, or alone."""
    monkeypatch.setenv("CRANKMATH_WORK", str(tmp_path / "my-work"))
    monkeypatch.setattr(workspace, "BROWSER", True)
    monkeypatch.setattr(files, "BROWSER", True)
    if kept:
        (tmp_path / workspace.START).touch()
    lesson_00.self_test()
    exercise.predict("04", "100 rpm", ("rpm",))
    said = capsys.readouterr().out
    assert (lesson_00.LOST in said) is not kept
    assert ("All is well" in said) is kept
    assert ("Kept until this page is reloaded: 100 rpm" in said) is not kept
    assert progress.read()["predictions"] == {"04": "100 rpm"}
    names = sorted(path.name for path in (tmp_path / "my-work").iterdir())
    assert names == ["progress.json"], "no lock is left where the system knows none"
