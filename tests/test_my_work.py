"""Own files out and in: what goes out comes back, nothing here is lost without a question."""

import base64
import io
import zipfile

import pytest

from crankbook.forms import my_work
from crankbook.lesson import own, progress
from crankmath import Crank


@pytest.fixture
def filled(own_folder):
    """A reader's folder with progress, a crank, and what must stay at home."""
    progress.write("answers", "04-1", {"text": "250 rpm"})
    own.save(Crank.load("pump"))
    (own_folder / "my-readings.json").write_text("{}")
    (own_folder / "progress.before-1.json").write_text("{}")
    (own_folder / "04-choose-a-spindle-speed.ipynb").write_text("lesson")
    return own_folder


def packed(files):
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w") as store:
        for name, text in files.items():
            store.writestr(name, text)
    return content.getvalue()


def brought(form, content):
    form.receive({"type": "bring", "data": base64.b64encode(content).decode()})
    return form.status["text"]


def test_what_goes_out_comes_back(filled, tmp_path_factory, monkeypatch):
    content = my_work.archive()
    before = {name: path.read_bytes() for name, path in my_work.own_files()}
    assert {"progress.json", "my-readings.json"} < set(before)
    assert any(name.endswith(".toml") for name in before)
    assert not [name for name in before if "before" in name or name.endswith(".ipynb")]
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    monkeypatch.setenv("CRANKMATH_WORK", str(elsewhere))
    assert "Brought in: " in brought(my_work.MyWork(), content)
    assert {name: path.read_bytes() for name, path in my_work.own_files()} == before
    assert progress.read()["answers"]["04-1"] == {"text": "250 rpm"}


@pytest.mark.parametrize("answer", ["replace", "keep"])
def test_a_question_comes_before_anything_is_replaced(filled, answer):
    mine, theirs = (filled / "progress.json").read_bytes(), b'{"version": 1, "units": "in"}'
    form = my_work.MyWork()
    said = brought(form, packed({"progress.json": theirs, "new.toml": "x = 1"}))
    assert form.status["question"] and "progress.json" in said
    assert (filled / "progress.json").read_bytes() == mine and not (filled / "new.toml").exists()
    form.receive({"type": answer})
    assert not form.status["question"] and (filled / "new.toml").read_text() == "x = 1"
    if answer == "keep":
        assert (filled / "progress.json").read_bytes() == mine
    else:
        assert progress.read()["units"] == "in"
        assert (filled / "progress.before-2.json").read_bytes() == mine, "before-1 was there"


@pytest.mark.parametrize(
    "content, said",
    [
        (b"no archive", "cannot be read"),
        (packed({}), "it is empty"),
        (packed({"../evil.json": "{}"}), "not an archive made by the workbook"),
        (packed({"my-cranks/../../evil.toml": "{}"}), "not an archive made by the workbook"),
        (packed({"/etc/evil.json": "{}"}), "not an archive made by the workbook"),
        (packed({"kernel.py": "print()"}), "not an archive made by the workbook"),
        (packed({"big.json": b"0" * 6_000_000}), "too large"),
        (packed({f"f{number}.json": "" for number in range(501)}), "too large"),
    ],
)
def test_a_wrong_archive_is_refused_in_words(filled, content, said):
    before = sorted(filled.rglob("*"))
    assert said in brought(my_work.MyWork(), content)
    assert sorted(filled.rglob("*")) == before


def test_nothing_to_take_is_said(own_folder):
    form = my_work.MyWork()
    form.receive({"type": "take"})
    assert form.status["text"].startswith("Nothing of your own is here yet")


@pytest.mark.parametrize("count", [8, 9])
def test_at_most_eight_files_are_named(filled, count):
    for number in range(count):
        (filled / f"old-{number}.json").write_text("mine")
    form = my_work.MyWork()
    said = brought(form, packed({f"old-{number}.json": "theirs" for number in range(count)}))
    assert said.count("old-") == 8 and (" …. Which" in said) == (count > 8)
    assert form.status["question"]


def test_the_page_is_told_how_many_files_go_and_stay(filled):
    assert (
        my_work.MyWork().status["text"] == f"{len(my_work.own_files())} of your own files are here."
    )
    form, sent = my_work.MyWork(), []
    form.send = lambda content, buffers: sent.append((content, buffers))
    form.receive({"type": "take"})
    (content, (archive,)) = sent[0]
    assert f"holds {len(my_work.own_files())} files" in form.status["text"]
    assert content["name"] in form.status["text"]
    assert my_work.read_archive(archive) == {
        name: path.read_bytes() for name, path in my_work.own_files()
    }
    files = {"progress.json": b"{}", "my-readings.json": b"[]", "new.toml": b"x = 1"}
    form.receive({"type": "bring", "data": base64.b64encode(packed(files)).decode()})
    form.receive({"type": "keep"})
    assert form.status["text"].startswith("Brought in: new.toml. 2 stay as they are here.")
    form.receive({"type": "bring", "data": "no base64!"})
    assert "did not arrive whole" in form.status["text"]


def test_limits_of_an_archive_are_taken_exactly(filled):
    """500 files of together 5 MB pass, one file or one byte more does not."""
    fine = packed({f"f{number}.json": b"0" * 10_000 for number in range(500)})
    assert len(my_work.read_archive(fine)) == 500
    more = packed({f"f{number}.json": b"0" * (10_000 + (number == 0)) for number in range(500)})
    with pytest.raises(ValueError, match="at most 500 files and 5 MB"):
        my_work.read_archive(more)
