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
        (packed({"../evil.json": "{}"}), "no archive of the workbook's"),
        (packed({"my-cranks/../../evil.toml": "{}"}), "no archive of the workbook's"),
        (packed({"/etc/evil.json": "{}"}), "no archive of the workbook's"),
        (packed({"kernel.py": "print()"}), "no archive of the workbook's"),
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
