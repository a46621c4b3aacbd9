"""A window killed in the middle of a save, a folder that cannot be written: nothing typed is lost.

The files are those of test_whole_file.every_write; that they are all, the library's own text shows.
"""

import ast
import os
import shutil
import signal
import tempfile
from pathlib import Path

import pytest
from helpers import LIBRARY
from test_whole_file import attempt, every_write

from crankbook.forms import my_work
from crankmath import files

pytestmark = [
    pytest.mark.usefixtures("own_folder"),
    pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork on this system"),
]
MODULES = sorted(
    path for package in ("crankmath", "crankbook") for path in (LIBRARY / package).rglob("*.py")
)
# what the project's authors write, in folders of their own, or a command makes again
AUTHORS = {"editions/site.py", "editions/pages.py", "classroom/results/export.py"}
# modules that write a reader's or an instructor's file, and which of every_write goes through them
WRITERS = {
    "crankmath/files.py": "progress.json",
    "crankmath/crank/crank.py": "crank.toml",
    "crankmath/job/job.py": "job.json",
    "crankbook/lesson/progress.py": "progress.json",
    "crankbook/lesson/own_files.py": "my-cranks/my-organ.toml",
    "crankbook/lesson/own_lathe.py": "my-lathes/old-iron.toml",
    "crankmath/lathe.py": "my-lathes/old-iron.toml",
    "crankbook/forms/my_readings.py": "my-readings.json",
    "crankbook/forms/draft.py": "my-job.json",
    "crankbook/forms/my_work.py": "archive",
    "crankbook/sheet/sheet.py": "pump-sheet.html",
    "crankbook/csv_tables.py": "answers.csv",
    "crankbook/classroom/roll.py": "instructor-only/class.json",
    "crankbook/classroom/results/kept.py": "instructor-only/marks.json",
    "crankbook/classroom/sets.py": "instructor-only/class.json",
    "crankbook/workspace.py": "work/00-start-here.ipynb",
}
BARE = {
    "crankmath/files.py",  # write_whole itself
    "crankmath/stress_field/kt_table.py",  # the maker of a table
    "crankbook/editions/distribution.py",  # the site's wheel
    "crankbook/classroom/paper/handouts.py",
    "crankbook/classroom/paper/slides.py",
    "crankbook/classroom/results/feedback.py",
    "crankbook/classroom/results/summary.py",
    "crankbook/classroom/sets.py",  # question sheets and keys; the record goes through roll
    "crankbook/classroom/paper/stills.py",  # a folder of one moment
    "crankbook/lessons/blank/lesson_00.py",  # a probe whether the folder takes files
    "crankbook/lessons/proving/lesson_12.py",  # practice readings, where there is no such file
}
STAGES = ("write", "move", "moved")


def writers(folder):
    made = every_write(folder)
    made["archive"] = lambda: my_work.bring_in({"my-cranks/brought.toml": b"new" * 99}, True)
    return made


def calls(path):
    """Names that a module calls, and whether it opens a file to write or writes text at a path."""
    names, bare = set(), False
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            names.add(name)
            bare |= name in ("write_text", "write_bytes")
            if name == "open":
                modes = [one.value for one in node.args if isinstance(one, ast.Constant)]
                bare |= any(isinstance(mode, str) and set(mode) & set("wax") and len(mode) < 4
                            for mode in modes)  # fmt: skip
    return names, bare


def test_every_writer_of_a_readers_file_is_tried_here():
    """A module that begins to write files shows up here, and has to do it whole or not at all."""
    found = set()
    for path in MODULES:
        name = str(path.relative_to(LIBRARY)).replace(os.sep, "/")
        names, _ = calls(path)
        if names & {"write_whole", "KeptFile", "set_aside"} and name[10:] not in AUTHORS:
            found.add(name)
    assert found == set(WRITERS)
    assert set(WRITERS.values()) <= set(writers(Path("x")))


def test_nobody_writes_a_readers_file_in_another_way():
    """Bare writes that remain hold nothing that anybody typed: a command makes each of them again."""
    bare = set()
    for path in MODULES:
        if calls(path)[1]:
            bare.add(str(path.relative_to(LIBRARY)).replace(os.sep, "/"))
    assert bare == BARE


def killed(stage, act):
    """Run a save in another process that dies, as by kill -9, at a stage of it."""
    child = os.fork()
    if child == 0:
        try:
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)

            def die(*_):
                os.kill(os.getpid(), signal.SIGKILL)

            real, put = open, files._move

            def half(path, mode="r", **more):
                store = real(path, mode, **more)
                if "w" in mode:
                    store.write = lambda raw, write=store.write: (
                        write(raw[: len(raw) // 2]), store.flush(), die())  # fmt: skip
                return store

            if stage == "write":
                files.open = half
            elif stage == "move":
                files._move = die
            else:
                files._move = lambda *names: (put(*names), die())
            attempt(act)
        finally:
            os._exit(0)
    return os.waitpid(child, 0)[1]


@pytest.mark.parametrize("stage", STAGES)
def test_a_window_killed_in_the_middle_of_a_save(stage, own_folder):
    """What stood there stands, or the new file whole; and the next save goes through."""
    for name, act in writers(own_folder).items():
        path = own_folder / (name if name != "archive" else "my-cranks/brought.toml")
        if name == "archive":
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(b"old" * 50)
        else:
            attempt(act)
        before = path.read_bytes()
        if name.startswith("work/"):
            path.write_bytes(b"{}")  # an old lesson, which is renewed
            before = b"{}"
            (path.parent / ".lessons.json").unlink(missing_ok=True)
        status = killed(stage, act)
        kept = [one.read_bytes() for one in path.parent.glob(f"{path.stem}*") if one.is_file()]
        assert before in kept or stage == "moved", (name, stage)
        if not os.WIFSIGNALED(status):  # nothing to write: the file is as it was
            assert path.read_bytes() == before, name
        attempt(act)
        assert path.is_file() and path.read_bytes(), (name, stage)


def test_a_folder_that_cannot_be_written(capfd):
    """Really read-only, also for a superuser, who gives his rights up first: a sentence says it."""
    folder = Path(tempfile.mkdtemp(prefix="crankmath-read-only-"))
    try:
        with pytest.MonkeyPatch.context() as change:
            change.setenv("CRANKMATH_WORK", str(folder))
            for act in writers(folder).values():
                attempt(act)
            for path in [folder, *folder.rglob("*")]:
                path.chmod(0o555 if path.is_dir() else 0o444)
            before = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
            child = os.fork()
            if child == 0:
                try:
                    if os.geteuid() == 0:
                        os.seteuid(65534)
                    for name, act in writers(folder).items():
                        print(f"<<{name}", flush=True)
                        attempt(act)
                except BaseException as error:
                    print(f"bare {type(error).__name__}: {error}", flush=True)
                finally:
                    os._exit(0)
            os.waitpid(child, 0)
        said = capfd.readouterr().out.split("<<")[1:]
        assert len(said) == len(writers(folder))
        for part in said:
            assert "bare" not in part and "Errno" not in part and "Traceback" not in part, part
            assert "cannot be" in part or part.startswith(("work/", "archive")), part
        assert {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()} == before
    finally:
        for path in [folder, *folder.rglob("*")]:
            path.chmod(0o755)
        shutil.rmtree(folder, ignore_errors=True)
