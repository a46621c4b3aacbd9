"""Files a reader names or keeps, cut short and spoiled in every way: a sentence says what is wrong, and no copy is lost."""

import json
import random
import tomllib
import traceback
from pathlib import Path

import pint
import pytest

import crankmath
from crankbook import csv_tables, workspace
from crankbook.classroom import marks, roll, sets
from crankbook.forms import my_readings
from crankbook.lesson import own, progress
from crankbook.sheet import command
from crankbook.sheet.sheet import Sheet
from crankmath.crank import Crank
from crankmath.job import Job
from crankmath.lathe import load_lathe

DATA = Path(crankmath.__file__).parent / "data"
LIBRARY = str(Path(crankmath.__file__).parents[1] / "crank")  # both packages
TOLD = (ValueError, TypeError, OSError, pint.DimensionalityError)
HOSTILE = [
    "<script>alert(1)</script>",
    "two\nlines",
    "\x07\x7f",
    "../../etc/passwd",
    "x" * 5000,
    '"><img src=x onerror=alert(1)>',
    "=cmd|' /C calc'!A1",
]

pytestmark = pytest.mark.usefixtures("own_folder")


def good_names(path):
    path.write_text("name,group\nAnna,a\nBob,b\n", encoding="utf-8")


def good_record(path):
    roll.save_class(
        roll.SchoolClass(
            "oak", ["Anna", "Bob"], {"08-1": {"Anna": "0" * 16}}, {"08": ["01-anna.html"]}
        ),
        path.parents[1],
    )


def good_lathe(path):
    path.write_bytes((DATA / "lathe.toml").read_bytes())


def write_progress(_):
    progress.write("answers", "01-1", {"answer": "5 mm", "right": False, "turn": 0})
    progress.write("predictions", "04 spindle speed", "300 rpm")


# files that a reader names: name, how a good one is made at a path, how it is read
NAMED = {
    "crank": ("crank.toml", lambda path: Crank.load("pump").save(path), Crank.load),
    "job": ("job.json", lambda path: Job.load("pump").save(path), Job.load),
    "sheet": (
        "pump-sheet.json",
        lambda path: Sheet(Job.load("pump"), ({"fillet": "2 mm"},)).write(path.parent, "pump"),
        Sheet.reopen,
    ),
    "lathe": ("lathe.toml", good_lathe, load_lathe),
    "class record": (
        "instructor-only/class.json",
        good_record,
        lambda path: roll.load_class(path.parents[1]),
    ),
    "class list": ("names.csv", good_names, roll.read_list),
}
# files kept in the reader's folder: how one is written, how it is read, what the reader is told then
KEPT = {
    "progress": ("progress.json", write_progress, lambda: progress.read()),
    "readings": (
        "my-readings.json",
        lambda text: my_readings.save("main 1", {**my_readings.FIELDS, "text": text}),
        lambda: print(my_readings.load()[2]),
    ),
    "own crank": (
        "my-cranks/my-pump.toml",
        lambda _: own.save(Crank.load("pump")),
        lambda: own.names(),
    ),
}
SPOILED = {
    "empty": lambda good: b"",
    "no text": lambda good: b"\xff\xfe\x00\x81" + good,
    "zeros": lambda good: bytes(len(good)),
    "deep": lambda good: b"[" * 100_000,
    "deep tables": lambda good: b'{"a":' * 100_000,
    "other": lambda good: b'{"version": 99, "format": "poem"}',
    "long number": lambda good: b'{"version": ' + b"9" * 5000 + b"}",
    "endless": lambda good: b'{"version": 1e400, "answers": NaN, "places": Infinity}',
    "list": lambda good: b"[1, 2]",
    "word": lambda good: b'"../../x"',
    "page": lambda good: b"<!DOCTYPE html><script>alert(1)</script>",
    "huge": lambda good: b" " * 21_000_000,
}


def told(read, *given):
    """The sentence of a file that cannot be read, raised by our own code; None where it can be."""
    try:
        read(*given)
    except TOLD as error:
        last = traceback.extract_tb(error.__traceback__)[-1].filename
        assert last.startswith(LIBRARY), f"bare {type(error).__name__} from {last}: {error}"
        assert (
            10 < len(str(error)) < 2500 and "Errno" not in str(error) and "sys." not in str(error)
        )
        return str(error)
    return None


def cuts(size):
    """Every place to cut a short file, a hundred of a long one."""
    return range(size) if size < 1200 else sorted(random.Random(size).sample(range(size), 100))


@pytest.fixture(params=NAMED)
def named(request, tmp_path):
    name, make, read = NAMED[request.param]
    path = tmp_path / "files" / name
    path.parent.mkdir(parents=True)
    make(path)
    assert told(read, path) is None
    return path, read


def test_a_named_file_cut_short_is_never_taken_for_another(named):
    path, read = named
    whole, raw = repr(read(path)), path.read_bytes()
    for size in cuts(len(raw)):
        path.write_bytes(raw[:size])
        if told(read, path) is None and repr(read(path)) != whole:
            rest = raw[:size].rsplit(b"\n", 1)[
                -1
            ]  # a last number or name may lose its last letters and remain one
            assert (
                path.suffix == ".csv"
                or path.suffix == ".toml"
                and (tomllib.loads(rest.decode()) or getattr(read(path), "assumed", ()))
            ), raw[size - 20 : size]
        assert path.read_bytes() == raw[:size], "reading changes no file"


@pytest.mark.parametrize("kind", SPOILED)
def test_a_named_file_that_is_spoiled_is_told(named, kind, capsys):
    path, read = named
    raw = SPOILED[kind](path.read_bytes())
    path.write_bytes(raw)
    assert told(read, path) or path.suffix == ".csv" and "not UTF-8" in capsys.readouterr().out
    assert path.read_bytes() == raw


def test_a_mark_before_the_text_is_no_matter(named):
    path, read = named
    whole = repr(read(path))
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().removeprefix(b"\xef\xbb\xbf"))
    assert repr(read(path)) == whole


def test_names_of_no_file(named, tmp_path):
    path, read = named
    if path.name == "class.json":
        return  # found by its folder
    for wrong in (
        tmp_path,
        tmp_path / ("x" * 300 + path.suffix),
        tmp_path / f"none\0{path.suffix}",
        tmp_path / "loop.toml",
    ):
        assert told(read, wrong)
    if path.suffix != ".csv":
        for wrong in (None, 5, b"x", ["x"]):
            assert wrong is None and path.name == "lathe.toml" or "path of" in told(read, wrong)


def test_another_kind_at_every_key_is_told_or_read():
    """Wrong values at each key of a crank, a job, a record: a sentence of ours, or a value that can be."""
    bad = [
        None,
        True,
        -1,
        "",
        "x" * 5000,
        [],
        {},
        float("nan"),
        float("inf"),
        10**400,
        [10**400, "mm"],
        [1, ["mm"]],
        "\ud800",
        {"a": 1},
    ]

    def places(value, before=()):
        for key, inside in value.items() if isinstance(value, dict) else enumerate(value):
            yield (*before, key)
            if isinstance(inside, dict | list):
                yield from places(inside, (*before, key))

    for read, good in (
        (Crank.from_dict, Crank.load("bellows").to_dict()),
        (Job.from_dict, Job.load("bellows").to_dict()),
    ):
        for *way, last in places(good):
            for value in random.Random(str((way, last))).sample(bad, 4):
                data = json.loads(json.dumps(good))
                inside = data
                for key in way:
                    inside = inside[key]
                inside[last] = value
                try:
                    read(data)
                except TOLD as error:
                    assert traceback.extract_tb(error.__traceback__)[-1].filename.startswith(
                        LIBRARY
                    ), (way, last, value)


@pytest.fixture(params=KEPT)
def kept(request, own_folder):
    name, write, read = KEPT[request.param]
    write("0 0.01 mm")
    return own_folder / name, write, read


def test_a_folder_of_spoiled_files_is_checked_to_its_end(tmp_path, capsys):
    folder = tmp_path / "cranks"
    folder.mkdir()
    names = [f"{kind.replace(' ', '-')}{end}" for kind in SPOILED for end in command.KINDS]
    for name in names:
        (folder / name).write_bytes(
            SPOILED[name.rsplit(".", 1)[0].replace("-", " ")](b"name = 1\n")
        )
    (folder / "folder.json").mkdir()
    (folder / "nowhere.toml").symlink_to(tmp_path / "gone.toml")
    Job.load("pump").save(folder / "zoo.json")
    for name in (
        "progress.json",
        "my-readings.json",
        "my-job.damaged-1.json",
        "my-job.other-2.json",
        "my-crank.before.toml",
        "my-job.before-1.json",
        "my-crank-draft.json",
        ".hidden.json",
    ):
        (folder / name).write_text("{")  # the reader's own folder holds these beside jobs
    assert command.main([str(folder), "--no-sheet"]) == command.UNREADABLE
    said = capsys.readouterr().out
    assert all(
        f"{folder / name}: cannot be checked: " in said
        for name in (*names, "folder.json", "nowhere.toml")
    )
    assert (
        f"{len(names) + 3} checked: 1 with nothing past a limit, 0 with something not fine, {len(names) + 2} not readable."
        in said
    )
    for kind in SPOILED:
        (tmp_path / "spoiled").write_bytes(SPOILED[kind](b"name = 1\n"))
        for option in ("--job", "--lathe"):
            assert (
                command.main(["pump", option, str(tmp_path / "spoiled"), "--no-sheet"])
                == command.UNREADABLE
            ), (kind, option)
            assert "Nothing was checked: " in capsys.readouterr().err


@pytest.mark.parametrize("kind", SPOILED)
def test_spoiled_answers_of_a_class_are_told_and_stay(kind, tmp_path, capsys):
    good_record(tmp_path / "instructor-only" / "class.json")
    path = tmp_path / "instructor-only" / "answers.csv"
    raw = SPOILED[kind](b"name,08-1\nAnna,5 um\n")
    path.write_bytes(raw)
    assert (
        marks.main([str(path)]) == 1
        and sets.main(["--class", str(path), "--lesson", "8", "--out", str(tmp_path)]) == 1
    )
    said = capsys.readouterr().err
    assert (
        "Nothing was marked. " in said
        and "No sheets were made. " in said
        and said.count("answers.csv") >= 2
    )
    assert path.read_bytes() == raw and roll.load_class(tmp_path).word == "oak"


def survives(raw, folder):
    return any(path.is_file() and path.read_bytes() == raw for path in folder.rglob("*"))


@pytest.mark.parametrize("kind", SPOILED)
def test_a_spoiled_kept_file_is_named_and_survives_the_next_write(kept, kind, own_folder, capsys):
    path, write, read = kept
    raw = SPOILED[kind](path.read_bytes())
    path.write_bytes(raw)
    read()
    assert path.name in (said := capsys.readouterr().out) or "progress file" in said
    assert survives(raw, own_folder)
    write("anew"), write("again")
    assert survives(raw, own_folder), "the only copy was written over"
    capsys.readouterr()
    read()
    assert capsys.readouterr().out.strip() == "", "once mended, nothing more is said"


def test_a_kept_file_cut_short_survives(kept, own_folder, capsys):
    path, write, read = kept
    raw = path.read_bytes()
    for size in list(cuts(len(raw)))[::3]:
        path.write_bytes(raw[:size])
        read()
        write(f"{size}")
        assert (
            path.name == "my-pump.toml"
            and size > len(raw) - 6
            or survives(raw[:size], own_folder)
            or json.loads(raw[:size])
        )
        for other in own_folder.rglob("*damaged*"):
            other.unlink()


@pytest.mark.parametrize("key", [*progress.EMPTY])
def test_what_can_be_read_of_progress_goes_on(key, own_folder, capsys):
    good = {
        **progress.EMPTY,
        "predictions": {"a": "1 mm"},
        "answers": {"b": {"right": True}},
        "later": [1],
    }
    for bad in (None, 5, "x", [1], {"z": 1}, 1e400, "\ud800"):
        raw = json.dumps({**good, key: bad}).encode()
        (own_folder / "progress.json").write_bytes(raw)
        found = progress.read()
        assert (
            key in ("version", "predictions", "answers")
            or found["answers"] == good["answers"]
            and found["later"] == [1]
        )
        progress.write("answers", "c", {"right": False})
        assert progress.read()["answers"]["c"] == {"right": False} and progress.read()["units"] in (
            "mm",
            "in",
        )
        sound = isinstance(bad, dict) or key in ("crank", "lathe") and isinstance(bad, str)
        assert survives(raw, own_folder) or sound
        for path in own_folder.glob("progress*"):
            path.unlink()


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_texts_come_back_as_typed_and_name_no_other_file(text, own_folder):
    progress.write("answers", text, {"answer": text})
    my_readings.save(text, {**my_readings.FIELDS, "text": text})
    crank = Crank.from_dict(Crank.load("pump").to_dict() | {"name": text})
    own.save(crank)
    Sheet(Job(crank)).write(own_folder)
    assert (
        progress.read()["answers"][text] == {"answer": text}
        and my_readings.load(text)[1]["text"] == text
        and own.load(own.names()[0]) == crank
    )
    for path in filter(Path.is_file, own_folder.rglob("*")):
        assert len(path.name) < 60 and path.name.isascii()
    assert sets.file_name(1, text).removesuffix(".html").replace("-", "").isalnum()


def test_typed_answers_of_a_class_are_never_written_over(tmp_path):
    path = tmp_path / "answers-08.csv"
    for name in ("answers-08", "answers-08-new"):
        csv_tables.write_table(tmp_path / f"{name}.csv", ["name", "08-1"], [["Anna", "5 um"]])
    before = {file: file.read_bytes() for file in tmp_path.iterdir()}
    sets._table_to_type(path, ["Zoe"], ["08-1"], [""], ",", "utf-8-sig")
    assert {file: file.read_bytes() for file in before} == before and (
        tmp_path / "answers-08-new-2.csv"
    ).is_file()


def test_a_lesson_put_beside_and_changed_is_kept(tmp_path):
    workbook, mine = tmp_path / "workbook", tmp_path / "own"
    workbook.mkdir()
    for text in ("first", "second", "third"):
        (workbook / "00-start-here.ipynb").write_text(text)
        beside = workspace.copy_lessons(workbook, mine)
        for path in mine.glob("*.ipynb"):
            path.write_text(
                path.read_text() + ", my notes"
            ) if "notes" not in path.read_text() else None
    assert beside == ["00-start-here-new-2.ipynb"]
    assert sorted(path.read_text() for path in mine.glob("*.ipynb")) == [
        "first, my notes",
        "second, my notes",
        "third, my notes",
    ]


@pytest.mark.parametrize(
    "record", ["[]", "5", "[" * 100_000, '{"00-start-here.ipynb": [1]}', "\udcff"]
)
def test_a_spoiled_record_of_lessons(tmp_path, record):
    (tmp_path / ".lessons.json").write_bytes(record.encode("utf-8", "surrogateescape"))
    (tmp_path / "00-start-here.ipynb").write_text("mine")
    assert "00-start-here-new.ipynb" in workspace.copy_lessons(workspace.find_workbook(), tmp_path)
    assert (tmp_path / "00-start-here.ipynb").read_text() == "mine"


def test_an_unknown_word_of_a_throw_lists_the_known():
    with pytest.raises(ValueError, match="no size “diameter”; it has radius, angle, pin_diameter"):
        Crank.load("pump").with_throw(diameter=5)
    for index in (0.0, None, "0", True):
        with (
            pytest.raises(ValueError, match="index must be")
            if index is not True
            else pytest.raises(ValueError, match="0 to 0")
        ):
            Crank.load("pump").with_throw(index)
