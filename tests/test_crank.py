"""The crank, its file, and the cranks that cannot be."""

import math
from pathlib import Path

import pytest
from crankmath.crank import EXAMPLES, Crank
from crankmath.units import Quantity

WORKBOOK = Path(__file__).parents[1] / "workbook"


@pytest.fixture
def tables():
    return Crank.load("pump").to_dict()


@pytest.mark.parametrize("name", EXAMPLES)
def test_examples_load_and_come_back_whole(name, tmp_path):
    crank = Crank.load(name)
    crank.save(tmp_path / "mine.toml")
    assert Crank.load(tmp_path / "mine.toml") == crank
    assert Crank.load(WORKBOOK / "cranks" / f"{name}.toml") == crank, "the workbook's file and the library's differ"


@pytest.mark.parametrize(
    ("name", "length", "throws"),
    [  # sums by hand from the drawing
        ("pump", Quantity(45 + 14 + 22 + 14 + 45, "mm"), [0]),
        ("bellows", Quantity(2 + 0.45 + 0.75 + 0.45 + 2, "in"), [0]),
        ("compressor", Quantity(40 + 36 + 20 + 36 + 40, "mm"), [0, 180]),
        ("organ", Quantity(1.5 + 1.3 + 0.6 + 1.3 + 0.6 + 1.3 + 1.5, "in"), [0, 120, 240]),
    ],
)
def test_lengths_and_angles(name, length, throws):
    crank = Crank.load(name)
    assert crank.length.m_as("mm") == pytest.approx(length.m_as("mm"))
    assert [throw.angle.m_as("deg") for throw in crank.throws] == throws


def test_segments_follow_each_other():
    pieces = Crank.load("compressor").segments()
    assert [piece.kind for piece in pieces] == ["journal", "web", "pin", "web"] * 2 + ["journal"]
    assert all(left.end == right.start for left, right in zip(pieces, pieces[1:], strict=False))


def test_swing_radius():
    # by hand: sqrt((18 + 14)^2 + 14^2)
    assert Crank.load("pump").swing_radius.m_as("mm") == pytest.approx(math.sqrt(32**2 + 14**2))


@pytest.mark.parametrize("name", ['a "quoted" one', "two\nlines", "back\\slash", "ümlaut", "tab\there", "\x7f"])
def test_any_name_survives_the_file(name, tables, tmp_path):
    crank = Crank.from_dict(tables | {"name": name})
    crank.save(tmp_path / "mine.toml")
    assert Crank.load(tmp_path / "mine.toml").name == name


def test_sizes_that_came_through_inches_print_as_typed(tmp_path):
    crank = Crank.load("pump").with_throw(radius=Quantity(18 / 25.4, "in"))
    crank.save(tmp_path / "mine.toml")
    assert "radius = 18.0\n" in (tmp_path / "mine.toml").read_text()


@pytest.mark.parametrize(
    ("group", "key", "value", "words"),
    [
        ("throws", "web_thickness", -1, r"throws\[1\].web_thickness"), ("throws", "web_thickness", 0, r"throws\[1\].web_thickness"),
        ("throws", "radius", 0, r"throws\[1\].radius"), ("throws", "pin_diameter", 40, r"throws\[1\].pin_diameter is larger"),
        ("throws", "web_reach", 5, "web_reach"), ("throws", "fillet", 12, r"throws\[1\].fillet"), ("throws", "fillet", -1, r"throws\[1\].fillet"),
        ("throws", "radius", "18", r"throws\[1\].radius has to be a number"), ("throws", "radius", True, "has to be a number"),
        ("throws", "radius", math.nan, "has to be a number"), ("throws", "colour", 1, "unknown key “colour”"),
        ("journals", "diameter", 0, r"journals\[1\].diameter"), ("journals", "diameter", 30, r"journals\[1\].diameter"),
        ("journals", "fillet", 50, r"journals\[1\].fillet"),
    ],
)  # fmt: skip
def test_impossible_sizes_name_the_key(tables, group, key, value, words):
    tables[group][0][key] = value
    with pytest.raises(ValueError, match=words):
        Crank.from_dict(tables)


@pytest.mark.parametrize("key", ["name", "units", "steel", "journals", "throws"])
def test_missing_keys_are_named(tables, key):
    del tables[key]
    with pytest.raises(ValueError, match=f"lacks the key “{key}”"):
        Crank.from_dict(tables)


def test_missing_key_of_a_throw(tables):
    del tables["throws"][0]["pin_length"]
    with pytest.raises(ValueError, match=r"throws\[1\] lacks the key “pin_length”"):
        Crank.from_dict(tables)


@pytest.mark.parametrize("change", [{"units": "cm"}, {"throws": []}, {"journals": []}, {"journals": 5}, {"throws": [1]}, {"name": ""}])
def test_wrong_tables_are_said(tables, change):
    with pytest.raises(ValueError, match=next(iter(change))):
        Crank.from_dict(tables | change)


def test_journals_that_do_not_meet(tables):
    tables["journals"].append(tables["journals"][0])
    with pytest.raises(ValueError, match="journals: 1 throws need 2 journals"):
        Crank.from_dict(tables)


@pytest.mark.parametrize("text", ["name = ", "\x00", "[" * 3000])
def test_files_that_are_no_toml(tmp_path, text):
    (tmp_path / "mine.toml").write_text(text)
    with pytest.raises(ValueError, match="not a TOML file"):
        Crank.load(tmp_path / "mine.toml")


def test_no_such_file():
    with pytest.raises(FileNotFoundError, match="pump, bellows"):
        Crank.load("nowhere")
