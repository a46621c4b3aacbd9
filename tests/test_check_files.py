"""The check without a notebook: verdicts, sheets, exit codes, a folder with its progress."""

import re
import shutil
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest

from crankbook.lesson import own_lathe
from crankbook.sheet import command
from crankmath.crank import Crank
from crankmath.job import Job
from crankmath.lathe import load_lathe
from crankmath.units import Quantity


@pytest.fixture
def cranks(tmp_path):
    folder = tmp_path / "cranks"
    folder.mkdir()
    for name in ("pump", "bellows"):
        Crank.load(name).save(folder / f"{name}.toml")
    return folder


def test_one_file_prints_verdicts_and_writes_the_sheet(cranks, capsys):
    assert command.main([str(cranks / "pump.toml")]) == 0
    said = capsys.readouterr().out
    assert (
        said.startswith("pump: of 24 checks")
        and "FINE         Bar:" in said
        and "[lesson 08]" in said
        and said.count("Job sheet to print: ") == 1
    )
    assert sorted(path.name for path in cranks.iterdir()) == [
        "bellows.toml",
        "pump-sheet.csv",
        "pump-sheet.html",
        "pump-sheet.json",
        "pump.toml",
    ]


def test_failure_is_in_the_exit_code(cranks, tmp_path, capsys):
    job = Job.load("pump").typed("spacers", "none")
    job.save(tmp_path / "open.json")
    assert command.main([str(tmp_path / "open.json"), "--no-sheet"]) == 1
    assert "NOT FINE     Squeeze at every step" in capsys.readouterr().out
    assert (
        command.main(
            [str(cranks / "pump.toml"), "--job", str(tmp_path / "open.json"), "--no-sheet"]
        )
        == 1
    )
    assert not list(cranks.glob("*sheet*"))


def test_what_nobody_typed_does_not_travel_to_another_crank(cranks, tmp_path, capsys):
    """A pump's job with its power typed made another crank's strength fine, from the pump's bore."""
    Job.load("pump").typed("power", "300 W").save(tmp_path / "open.json")
    text = (cranks / "pump.toml").read_text("utf-8").replace('"pump"', '"other"')
    (cranks / "other.toml").write_text(text)
    command.main([str(cranks / "other.toml"), "--job", str(tmp_path / "open.json"), "--no-sheet"])
    assert "CANNOT TELL  Strength in service" in capsys.readouterr().out
    command.main([str(cranks / "bellows.toml"), "--job", str(tmp_path / "open.json")])
    kept = Job.load(next(cranks.glob("bellows-sheet.json")))
    assert kept.given == {"power"} and f"{kept['dog_width'].units:~}" == "in"


def test_sheets_of_one_name_are_numbered(tmp_path):
    used = set()
    stems = [command._free_stem("pump", tmp_path, used) for _ in range(3)]
    assert stems == ["pump", "pump-2", "pump-3"]
    assert command._free_stem("pump", tmp_path / "other", used) == "pump"


def test_a_folder_is_checked_to_its_end_and_what_cannot_be_read_is_named(cranks, tmp_path, capsys):
    (cranks / "broken.toml").write_text('name = "x"')
    out = tmp_path / "sheets"
    assert command.main([str(cranks), "--out", str(out)]) == 2
    said = capsys.readouterr()
    assert said.err == ""
    assert "broken.toml: cannot be checked: the crank lacks the key “units”" in said.out
    assert (
        "3 checked: 2 with nothing past a limit, 0 with something not fine, 1 not readable."
        in said.out
    )
    assert len(list(out.iterdir())) == 6
    assert command.main([str(cranks), "--no-sheet"]) == 2


def test_sheets_of_a_run_do_not_overwrite_each_other(cranks, tmp_path):
    other = tmp_path / "other"
    other.mkdir()
    shutil.copy(cranks / "pump.toml", other / "pump.toml")
    out = tmp_path / "sheets"
    assert (
        command.main([str(cranks / "pump.toml"), str(other / "pump.toml"), "--out", str(out)]) == 0
    )
    assert sorted(path.name for path in out.glob("*.html")) == [
        "pump-2-sheet.html",
        "pump-sheet.html",
    ]
    assert command.main([str(out), "--no-sheet"]) == 2  # sheets are no jobs to check again


def test_an_example_and_a_lathe_of_ones_own(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    text = (
        (files("crankmath") / "data" / "lathe.toml")
        .read_text(encoding="utf-8")
        .replace("center_height_mm = 90", "center_height_mm = 35")
        .replace("center_height_over_carriage_mm = 55", "center_height_over_carriage_mm = 30")
    )
    (tmp_path / "small.toml").write_text(text, encoding="utf-8")
    assert command.main(["pump", "--lathe", "small.toml"]) == 1
    assert "strikes the bed" in capsys.readouterr().out and (tmp_path / "pump-sheet.html").is_file()


def test_a_lathe_carries_its_carriage_and_no_unknown_key(tmp_path, monkeypatch, capsys):
    """A lathe with 165 mm of center height was judged by the school's 110 mm over the carriage."""
    monkeypatch.chdir(tmp_path)
    text = (files("crankmath") / "data" / "lathe.toml").read_text(encoding="utf-8")
    narrow = text.replace("over_carriage_mm = 55", "over_carriage_mm = 35")
    Path("narrow.toml").write_text(narrow, encoding="utf-8")
    assert command.main(["pump", "--lathe", "narrow.toml", "--no-sheet"]) == 1
    assert "strikes the carriage" in capsys.readouterr().out
    Path("odd.toml").write_text("swing_over_carrage_mm = 70\n" + text, encoding="utf-8")
    assert command.main(["pump", "--lathe", "odd.toml", "--no-sheet"]) == 2
    assert "swing_over_carrage_mm" in capsys.readouterr().err


def test_an_impossible_job_fails(tmp_path):
    job = Job.load("pump").typed("rod_length", "17 mm")
    job.save(tmp_path / "rod.json")
    assert command.main([str(tmp_path / "rod.json"), "--no-sheet"]) == 1


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["nothing.toml"], "no file, folder or example “nothing.toml”"),
        ([], "required: what"),
        (["pump", "--luck"], "unrecognized arguments"),
        (["pump", "--lathe", "none.toml"], "Nothing was checked"),
        (["pump", "--job", "none.json"], "Nothing was checked"),
        (["pump", "--job", "pump.toml"], "--job takes a job's .json file"),
    ],
)
def test_wrong_words_are_told(arguments, words, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert command.main(arguments) == 2
    assert words in capsys.readouterr().err


def test_an_empty_folder_is_told(tmp_path, capsys):
    (tmp_path / "empty").mkdir()
    assert (
        command.main([str(tmp_path / "empty")]) == 2
        and "holds no .toml or .json file" in capsys.readouterr().err
    )


def test_help_tells_the_exit_codes(capsys):
    assert command.main(["--help"]) == 0
    assert "something is not fine" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize("what", [["pump"], ["pump", "organ"]])
def test_a_sheet_that_cannot_be_written_is_told_after_the_verdicts(what, tmp_path, capsys):
    (tmp_path / "file").write_text("in the way")
    assert command.main([*what, "--out", str(tmp_path / "file" / "deep")]) == command.UNREADABLE
    said = "".join(capsys.readouterr())
    assert (
        f"the folder “{tmp_path / 'file' / 'deep'}” cannot be made" in said
        and all(f"{name}: its sheet was not written" in said for name in what)
        and "Errno" not in said
    )


def test_jobs_of_a_folder_are_its_files_but_for_sheets_and_hidden_ones(cranks):
    names = ("notes.txt", "pump-sheet.json", ".hidden.toml", "progress.json", "job.JSON")
    for name in names:
        (cranks / name).write_text("", encoding="utf-8")
    wanted = [cranks / name for name in ("bellows.toml", "job.JSON", "pump.toml")]
    assert command._sources([str(cranks)]) == (wanted, True)
    assert command._sources(["pump"]) == (["pump"], False)
    assert command._sources(["pump", str(cranks / "pump.toml")]) == (["pump", wanted[-1]], True)


def test_an_overview_counts_what_passed_failed_and_was_not_read(capsys):
    command._overview([("", code, "") for code in (0, 1, 2, 0, 1, 0, 0)])
    assert capsys.readouterr().out == (
        "7 checked: 4 with nothing past a limit, 2 with something not fine, 1 not readable.\n"
    )


def test_what_went_wrong_is_said_at_once_unless_it_is_one_of_several(capsys):
    result = ("pump", command.UNREADABLE, "pump: cannot be read")
    assert command._stopped("pump", "cannot be read", True) == result
    assert not "".join(capsys.readouterr())
    assert command._stopped("pump", "cannot be read", False) == result
    assert capsys.readouterr() == ("", "pump: cannot be read\n")


def test_verdicts_say_for_which_lathe_they_hold(own_folder, capsys):
    """The chosen lathe is the command's too, as it is every panel's: 950 rpm of the school's were read
    as one's own. A job that was kept holds its own lathe.
    """
    lathe = replace(load_lathe(), name="bench lathe", gear_table=Quantity([55.0, 300.0], "rpm"))
    other = str(own_folder / "other.toml")
    replace(lathe, name="other lathe").save(other)

    def named(*words):
        command.main([*words, "--no-sheet"])
        return re.search(r"^On the lathe named (.*)\.$", capsys.readouterr().out, re.M)[1]

    assert named("pump") == "night school lathe"
    own_lathe.save(lathe)
    kept = own_folder / "kept.json"
    Job.load("pump").save(kept)
    assert named("pump") == "bench lathe" and named(str(kept)) == "night school lathe"
    assert named("pump", "--job", str(kept)) == "night school lathe"
    assert named("pump", "--lathe", other) == "other lathe"
