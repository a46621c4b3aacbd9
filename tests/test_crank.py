"""The crank, its file, and the cranks that cannot be."""

import math
from dataclasses import replace
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
    assert Crank.load(WORKBOOK / "cranks" / f"{name}.toml") == crank, (
        "the workbook's file and the library's differ"
    )


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


# DESIGN's own table: name, units, steel, mains, pins, webs (thickness, width, reach), throw, fillets
SIZES = {
    "pump": ("mm", "C45", [(20, 45)] * 2, (18, 22), (14, 28, 14), 18, 1.5),
    "bellows": ("in", "1144", [(0.75, 2)] * 2, (0.625, 0.75), (0.45, 1, 0.5), 0.625, 1 / 16),
    "compressor": (
        "mm",
        "42CrMo4",
        [(16, 40), (16, 20), (16, 40)],
        (14, 16),
        (10, 24, 12),
        14,
        1.2,
    ),
    "organ": (
        "in",
        "12L14",
        [(0.625, 1.5), (0.625, 0.6), (0.625, 0.6), (0.625, 1.5)],
        (0.5, 0.6),
        (0.35, 0.9, None),
        0.5,
        0.05,
    ),
}


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_size_of_the_examples(name):
    units, steel, mains, pin, web, throw, fillet = SIZES[name]
    crank = Crank.load(name).to_dict()
    assert (crank["units"], crank["steel"]) == (units, steel)
    assert [(part["diameter"], part["length"]) for part in crank["journals"]] == mains
    for part in crank["throws"]:
        assert (part["pin_diameter"], part["pin_length"]) == pin
        assert (part["web_thickness"], part["web_width"]) == web[:2]
        assert web[2] is None or part["web_reach"] == web[2]
        assert part["radius"] == throw
    assert {part["fillet"] for part in crank["journals"] + crank["throws"]} == {fillet}


def test_segments_follow_each_other():
    pieces = Crank.load("compressor").segments
    assert [piece.kind for piece in pieces] == ["journal", "web", "pin", "web"] * 2 + ["journal"]
    assert all(left.end == right.start for left, right in zip(pieces, pieces[1:], strict=False))


def test_swing_radius():
    # by hand: sqrt((18 + 14)^2 + 14^2)
    assert Crank.load("pump").swing_radius.m_as("mm") == pytest.approx(math.sqrt(32**2 + 14**2))


@pytest.mark.parametrize(
    "name", ['a "quoted" one', "two\nlines", "back\\slash", "ümlaut", "tab\there", "\x7f"]
)
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
        ("throws", "web_thickness", -1, r"throws\[1\].web_thickness"),
        ("throws", "web_thickness", 0, r"throws\[1\].web_thickness"),
        ("throws", "radius", 0, r"throws\[1\].radius"),
        ("throws", "pin_diameter", 40, r"throws\[1\].pin_diameter is larger"),
        ("throws", "web_reach", 5, "web_reach"),
        ("throws", "fillet", 12, r"throws\[1\].fillet .* write at most 11 mm"),
        ("throws", "fillet", -1, r"throws\[1\].fillet"),
        ("throws", "radius", "18", r"radius has to be a number, not 18; write 18, in mm"),
        ("throws", "radius", "5/8 in", "write 15.875, in mm and without quotes"),
        ("throws", "radius", "half", "has to be a number, not half$"),
        ("throws", "radius", True, "has to be a number"),
        ("throws", "radius", math.nan, "has to be a number"),
        ("throws", "colour", 1, "unknown key “colour”"),
        ("journals", "diameter", 0, r"journals\[1\].diameter"),
        ("journals", "diameter", 30, r"journals\[1\].diameter"),
        ("journals", "fillet", 50, r"journals\[1\].fillet"),
    ],
)
def test_impossible_sizes_name_the_key(tables, group, key, value, words):
    tables[group][0][key] = value
    with pytest.raises(ValueError, match=words):
        Crank.from_dict(tables)


@pytest.mark.parametrize("key", ["name", "units", "steel", "journals", "throws"])
def test_missing_keys_are_named(tables, key):
    del tables[key]
    with pytest.raises(ValueError, match=f"lacks the key “{key}”"):
        Crank.from_dict(tables)


@pytest.mark.parametrize(
    ("key", "instead", "words"),
    [
        ("pin_length", None, "lacks the key “pin_length”$"),
        ("pin_length", "pinlength", "lacks the key “pin_length”; is “pinlength” meant"),
        ("radius", "stroke", "lacks the key “radius”: the throw's radius is half the stroke"),
    ],
)
def test_missing_key_of_a_throw(tables, key, instead, words):
    value = tables["throws"][0].pop(key)
    if instead:
        tables["throws"][0][instead] = value
    with pytest.raises(ValueError, match=words):
        Crank.from_dict(tables)


@pytest.mark.parametrize(
    "change",
    [
        {"units": "cm"},
        {"throws": []},
        {"journals": []},
        {"journals": 5},
        {"throws": [1]},
        {"name": ""},
    ],
)
def test_wrong_tables_are_said(tables, change):
    with pytest.raises(ValueError, match=next(iter(change))):
        Crank.from_dict(tables | change)


def test_journals_that_do_not_meet(tables):
    tables["journals"].append(tables["journals"][0])
    with pytest.raises(ValueError, match="journals: 1 throw needs 2 journals.* are 3$"):
        Crank.from_dict(tables)
    tables["journals"] = tables["journals"][:1]
    with pytest.raises(
        ValueError, match="is 1; a crank with its pin at its end.* cannot be worked"
    ):
        Crank.from_dict(tables)


def test_a_size_that_no_decimal_hits_comes_back_exactly(tmp_path):
    crank = Crank.load("pump").with_throw(radius=Quantity(55 / 3, "mm"))
    crank.save(tmp_path / "mine.toml")
    assert Crank.load(tmp_path / "mine.toml") == crank


def test_a_mark_before_the_text_is_no_matter(tmp_path):
    Crank.load("pump").save(tmp_path / "mine.toml")
    (tmp_path / "mine.toml").write_bytes(b"\xef\xbb\xbf" + (tmp_path / "mine.toml").read_bytes())
    assert Crank.load(tmp_path / "mine.toml") == Crank.load("pump")


@pytest.mark.parametrize(
    ("digits", "words"),
    [(401, r"throws\[1\].radius has to be a number"), (5000, "not a TOML file")],
)
def test_endless_integers(tmp_path, digits, words):
    Crank.load("pump").save(tmp_path / "mine.toml")
    text = (tmp_path / "mine.toml").read_text().replace("radius = 18.0", "radius = " + "1" * digits)
    (tmp_path / "mine.toml").write_text(text)
    with pytest.raises(ValueError, match=words):
        Crank.load(tmp_path / "mine.toml")


@pytest.mark.parametrize("change", [{"name": "\ud800"}, {"name": " "}, {"steel": ""}, {"steel": 5}])
def test_what_a_file_cannot_hold_is_refused_when_made(change, tmp_path):
    with pytest.raises(ValueError, match=next(iter(change))):
        replace(Crank.load("pump"), **change).save(tmp_path / "mine.toml")
    assert not list(tmp_path.iterdir())


def test_slips_of_the_unit_and_of_the_count():
    pump = Crank.load("pump")
    with pytest.raises(ValueError, match=r"throws\[1\].radius is larger than 10 m"):
        pump.with_throw(radius=Quantity(1e12, "mm"))
    with pytest.raises(ValueError, match="index must be from 0 to 0"):
        pump.with_throw(5, radius=Quantity(18, "mm"))
    with pytest.raises(ValueError, match="takes one size"):
        pump.with_throw(radius=Quantity([18, 19], "mm"))


@pytest.mark.parametrize("text", ["name = ", "\x00", "[" * 3000])
def test_files_that_are_no_toml(tmp_path, text):
    (tmp_path / "mine.toml").write_text(text)
    with pytest.raises(ValueError, match="not a TOML file"):
        Crank.load(tmp_path / "mine.toml")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("radius = 15,5", "line 4 reads “radius = 15,5”; write radius = 15.5$"),
        ("radius = 5/8", "write radius = 0.625$"),
        ("radius = 1 1/8 # the stroke is twice", "write radius = 1.125$"),
        ("radius = .625", "write radius = 0.625$"),
        ("radius = 016", "write radius = 16$"),
        ("radius = 16 mm", "write radius = 16$"),
        ("radius = 5/8 in", "write one plain number"),  # the file's unit is mm
        ("radius = 1/0", "write one plain number|line 4 reads"),
        ("steel = mild steel", 'write steel = "mild steel"$'),
        ('steel = my "old" one', "line 4 reads “steel = my .old. one”: "),  # nothing plain to write
    ],
)
def test_slip_of_the_pen_in_a_crank_file(tmp_path, line, words):
    text = f'name = "mine"\nunits = "mm"\n[[throws]]\n{line}\n'
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ValueError, match=words):
        Crank.load(tmp_path / "mine.toml")


def test_no_such_file():
    with pytest.raises(FileNotFoundError, match="pump, bellows"):
        Crank.load("nowhere")
