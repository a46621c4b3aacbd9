"""Writing for a reader: whole or not at all on a full disk, beside folders and read-only marks, and with other windows at work."""

import json
import random
import subprocess
import sys
import textwrap
from dataclasses import replace
from pathlib import Path

import pytest

from crankbook import csv_tables, workspace
from crankbook.classroom import roll
from crankbook.classroom.results.kept import keep_marks
from crankbook.forms import job_form, my_readings
from crankbook.lesson import own, own_lathe, progress
from crankbook.lesson.exercise import Verdict
from crankbook.sheet.sheet import Sheet
from crankmath import files
from crankmath.crank import Crank
from crankmath.job import Job
from crankmath.lathe import load_lathe
from crankmath.units import Quantity

pytestmark = pytest.mark.usefixtures("own_folder")


def every_write(folder):
    """Each kind of file, by its path: how it is written, and how the writer tells that it could not be."""
    form = job_form.JobForm()

    def said(act):
        return lambda: print(act())

    return {
        "progress.json": lambda: progress.write("units", None, "in"),
        "my-readings.json": said(lambda: my_readings.save("main 1", my_readings.FIELDS)),
        "my-cranks/my-organ.toml": lambda: own.save(Crank.load("organ")),
        "my-lathes/old-iron.toml": lambda: own_lathe.save(
            replace(load_lathe(), name="old iron", efficiency=random.uniform(0.5, 0.9))
        ),
        "my-job.json": said(
            lambda: form.set("thrust", f"{random.random() * 100:.6f} N") and form.status
        ),
        "crank.toml": lambda: Crank.load("organ").save(folder / "crank.toml"),
        "job.json": lambda: Job.load("organ").save(folder / "job.json"),
        "pump-sheet.html": lambda: Sheet(Job.load("pump")).write(folder, "pump"),
        "answers.csv": lambda: csv_tables.write_table(
            folder / "answers.csv", ["name"], [["Bob"]] * 50
        ),
        "instructor-only/class.json": lambda: roll.save_class(
            roll.SchoolClass("oak", ["Bob"] * 50), folder
        ),
        "instructor-only/marks.json": lambda: keep_marks(
            folder,
            roll.SchoolClass("oak", ["Bob"]),
            [("Bob", "Bob", {"08-1": ("5 um", Verdict("right", "Right."))})],
        ),
        "work/00-start-here.ipynb": lambda: workspace.copy_lessons(
            workspace.find_workbook(), folder / "work"
        ),
    }


def attempt(act):
    """What a writer says, printed or raised."""
    try:
        act()
    except OSError as error:
        print(error)


@pytest.mark.parametrize("hindrance", ["marked read-only", "a folder in the way", "no move"])
def test_what_cannot_be_written_is_told_and_what_stood_there_stays(
    hindrance, own_folder, capsys, monkeypatch
):
    writers = every_write(own_folder)
    for name, act in writers.items():
        path = own_folder / name
        path.parent.mkdir(exist_ok=True)
        if hindrance == "a folder in the way":
            path.unlink(missing_ok=True)
            path.mkdir()
        else:
            act()
        if hindrance == "marked read-only":
            path.chmod(0o444)
        before = None if path.is_dir() else path.read_bytes()
        if name.startswith("work/"):
            (path.parent / ".lessons.json").unlink(missing_ok=True)
        with monkeypatch.context() as change:
            if hindrance == "no move":
                change.setattr(
                    files,
                    "_move",
                    lambda *_: (_ for _ in ()).throw(OSError(28, "No space left on device")),
                )
            capsys.readouterr()
            attempt(act)
        said = capsys.readouterr().out
        assert name.startswith("work/") and hindrance != "no move" or "cannot be" in said, (
            name,
            said,
        )
        if name.startswith(("my-cranks/", "my-lathes/")) and before is None:
            # the folder is set aside, as a damaged file is, and crank or lathe is saved
            assert path.with_name(f"{path.stem}.damaged-1.toml").is_dir() and path.is_file()
            continue
        assert path.is_dir() if before is None else path.read_bytes() == before, name
    assert not list(own_folder.rglob(".*.part"))


def test_a_disk_that_fills_half_way(own_folder):
    """A real end of room: in another process no file may grow past 60 bytes."""
    pytest.importorskip("resource")
    for act in every_write(own_folder).values():
        act()
    (own_folder / "work" / ".lessons.json").write_text("{}")
    before = {path: path.read_bytes() for path in own_folder.rglob("*") if path.is_file()}
    full = window("""
        import resource, test_whole_file as tests
        from pathlib import Path
        writers = tests.every_write(Path(os.environ["CRANKMATH_WORK"]))
        resource.setrlimit(resource.RLIMIT_FSIZE, (60, 60))
        for name, act in writers.items():
            print("<<" + name); tests.attempt(act)
    """)
    said, problem = full.communicate(timeout=300)
    assert full.returncode == 0, problem[-2000:]
    parts = said.split("<<")[1:]
    assert len(parts) == len(every_write(own_folder))
    for part in parts:
        assert "cannot be written (File too large)" in part or part.startswith("work/"), part
    assert {path: path.read_bytes() for path in own_folder.rglob("*") if path.is_file()} == before


def window(code, *more):
    """Another process, started with the same reader's folder."""
    start = f"import os, sys\nsys.path.insert(0, {str(Path(__file__).parent)!r})\n"
    return subprocess.Popen(
        [sys.executable, "-c", start + textwrap.dedent(code), *more],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def test_two_windows_lose_nothing(own_folder):
    code = """
        from crankbook.forms import my_readings
        from crankbook.lesson import progress
        for number in range(10):
            progress.write("answers", f"{sys.argv[1]}-{number}", {"turn": number})
            assert my_readings.save(f"{sys.argv[1]} {number}", {"text": "0 1"}) == ""
    """
    windows = [window(code, name) for name in ("left", "right", "third")]
    assert [one.communicate(timeout=300) for one in windows] == [("", "")] * 3
    assert (
        len(progress.read()["answers"]) == 30 and len(my_readings.FILE.found()[0]["places"]) == 30
    )


def test_a_window_that_died_or_hangs(own_folder, capsys, monkeypatch):
    window(f"""
        from crankmath import files; from pathlib import Path
        with files.alone(Path({str(own_folder / "progress.json")!r})): os._exit(1)
    """).wait()
    progress.write("units", None, "in")
    assert progress.read()["units"] == "in" and capsys.readouterr().out == ""
    monkeypatch.setattr(files, "LONGEST_WAIT", 0.05)
    with files.alone(own_folder / "progress.json"):
        progress.write("units", None, "mm")
    assert (
        "not saved" in (said := capsys.readouterr().out) and "another window is writing it" in said
    )


def test_two_windows_with_one_job_keep_both(own_folder):
    left, right = job_form.JobForm(), job_form.JobForm()
    left.set("thrust", "111 N")
    right.set("bore", "44 mm")
    assert (
        "my-job.other-1.json" in right.status
        and Job.load(own_folder / "my-job.other-1.json")["thrust"].magnitude == 111
    )
    assert Job.load(own_folder / "my-job.json")["bore"].magnitude == 44


def test_a_file_that_goes_while_it_is_mended(own_folder, capsys, monkeypatch):
    (own_folder / "progress.json").write_text("{")
    aside = files.set_aside
    monkeypatch.setattr(files, "set_aside", lambda path: path.unlink() or aside(path))
    assert progress.read()["units"] == "mm" and "left as it is" in capsys.readouterr().out
    own.save(Crank.load("pump"))
    own.load(own.names()[0])
    own.path_of("my pump").unlink()
    with pytest.raises(ValueError, match="my pump, is gone"):
        own.load("my pump")


def test_a_link_is_followed(own_folder, tmp_path_factory):
    elsewhere = tmp_path_factory.mktemp("cloud") / "mine.json"
    try:
        (own_folder / "progress.json").symlink_to(elsewhere)
    except OSError:
        pytest.skip("this account may make no links")
    progress.write("units", None, "in")
    assert (own_folder / "progress.json").is_symlink() and json.loads(elsewhere.read_text())[
        "units"
    ] == "in"


def test_cranks_of_several_names_are_kept_side_by_side(own_folder):
    pump, organ = (replace(Crank.load(name), name=f"my {name}") for name in ("pump", "organ"))
    own.save(pump), own.save(organ)
    assert own.own_names() == ("my organ", "my pump"), "the one saved last heads the list"
    assert own.load("my pump") == pump and own.load("my organ") == organ
    own.choose("my pump")
    assert own.names()[:2] == ("my pump", "my organ")


def test_versions_of_one_name_can_be_brought_back(own_folder):
    pump = replace(Crank.load("pump"), name="garden pump")
    longer = pump.with_throw(radius=Quantity(20.0, "mm"))
    own.save(pump), own.save(longer), own.save(longer)
    (old,) = own.earlier().values()
    assert Crank.load(old) == pump and own.load("garden pump") == longer
    assert own.load("garden pump") is own.load("garden pump"), "read once while its file stays"
    own.save(replace(longer, name="yard pump"), instead_of="garden pump")
    assert own.own_names() == ("yard pump",)
    assert sorted(Crank.load(path).name for path in own.earlier().values()) == ["garden pump"] * 2
    with pytest.raises(ValueError, match="another crank named “yard pump”"):
        own.save(pump), own.save(replace(pump, name="yard pump"), instead_of="garden pump")
    own.put_away("yard pump")
    assert own.own_names() == ("garden pump",)


def test_a_crank_file_of_the_first_edition_is_still_offered(own_folder):
    replace(Crank.load("pump"), name="old friend").save(own_folder / "my-crank.toml")
    assert own.own_names() == ("old friend",) and own.load("old friend").name == "old friend"
