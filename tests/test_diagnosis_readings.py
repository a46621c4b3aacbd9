"""The table of readings of the diagnosis, and readings kept by lesson 12."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from crankbook import diagnose
from crankmath.crank import Crank
from crankmath.inspection.diagnosis import (
    chatter_marks,
    check_of,
    dial_readings,
    kept_readings,
    together,
)
from crankmath.inspection.diagnosis.diagnose import _sizes, find_causes
from crankmath.inspection.diagnosis.measured import Row, checked_row, place_named, support_named
from crankmath.inspection.diagnosis.reading_table import table_of_text
from crankmath.units import Quantity

PUMP = Crank.load("pump")
HEAD = "kind;place;at (mm);angle (deg);value (mm);supported on\n"


def test_a_table_with_semicolons_and_decimal_commas():
    read = table_of_text(
        HEAD
        + "dial;main 1;40;0;0,031;main centers\n"
        + "dial;main 1;40;90;-0,002;main centers\n"
        + "height;pin 1;63;0;118,02;vees 90\n"
        + "yield;main 1 left;;;0,009;\n"
        + "test bar;main 1;;;-0,02;\n",
        PUMP,
    )
    assert read.values.tolist() == pytest.approx([31.0, -2.0, 118020.0, 9.0, -20.0])
    assert read.rows[3].end == "left"
    assert read.rows[0].place == ("main", 0) and read.rows[2].on == ("vees", 90.0)
    assert not read.damaged


def test_a_table_with_commas_points_and_units_of_its_own():
    read = table_of_text(
        "kind,place,angle (deg),value (thou)\ndial,main 2,0,1.5\ndial,main 2,90,0.002 in\n", PUMP
    )
    assert read.values.tolist() == pytest.approx([38.1, 50.8])
    assert read.rows[0].at == pytest.approx(140 - 22.5)  # middle of the right-hand main


def test_a_table_without_kinds_holds_readings_of_a_dial():
    read = table_of_text("place;angle;reading (mm)\nmain 1;0;0,012\nmain 2;60;-0,02\n", PUMP)
    assert read.values.tolist() == pytest.approx([12.0, -20.0])
    assert [row.kind for row in read.rows] == ["dial", "dial"]


def test_headers_are_where_the_columns_are_named():
    """A note above them may speak of places; a sheet parted by semicolons needs no advice on commas."""
    notes = "Every place was wiped before\nread in the school's shop\n"
    read = table_of_text(notes + "place;angle;value (mm)\nmain 1;0;0,012\n", PUMP)
    assert read.values.tolist() == pytest.approx([12.0]) and not read.damaged
    good = "place{0}angle{0}value (mm)\nmain 1{0}0{0}0.01\n"
    for mark, advised in ((",", True), (";", False), ("\t", False)):
        (damage,) = table_of_text(good.format(mark) + mark.join("0123"), PUMP).damaged
        assert "4 cells under 3 headers" in damage
        assert ("separate columns by semicolons" in damage) == advised


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("dial;main 3;40;0;0,01;", "no main 3"),
        ("dial;main 1;90;0;0,01;", "not on main 1"),
        ("dial;main 1;40;0;much;", "no number"),
        ("dial;main 1;40;;0,01;", "mark it was taken at"),
        ("dial;main 1;40;0;;", "value is empty"),
        ("size;main 1;40;0;0,01;", "not known"),
        ("height;pin 1;;0;0,01;vees", "needs its place"),
        ("dial;pin 1;70;0;0,01;main centers", "goes round"),
        ("dial;main 1;40;0;0,01;pin 1 centers", "not a main"),
        ("dial;main 1;40;0;0,01;a wall", "no support"),
        ("hole;pin 1;;0;0,01;", "which end"),
        ("yield;main 1;;;0,01;", "which end"),
        ("dial;main 1;40;0;0,01;main centers;;7", "cells under"),
    ],
)
def test_a_damaged_line_is_named_and_the_others_are_read(line, said):
    read = table_of_text(HEAD + line + "\ndial;main 1;40;0;0,01;main centers\n", PUMP)
    assert len(read) == 1
    assert len(read.damaged) == 1 and "line 2" in read.damaged[0] and said in read.damaged[0]


def test_where_no_support_is_named_it_is_the_usual_one():
    """Heights in vees of 90 degrees, a pin's dial on its own centers, all else on the main centers."""
    lines = "dial;main 1;;0;1\ndial;pin 1;;0;1\nheight;pin 1;63;0;118\ndiameter;pin 1;;0;18\n"
    read = table_of_text("kind;place;at (mm);angle;value (mm)\n" + lines, PUMP)
    assert not read.damaged
    assert [row.on for row in read.rows] == [("main",), ("pin", 0), ("vees", 90.0), ("main",)]


@pytest.mark.parametrize("text", ["", "0;1;2\n", HEAD, "kind;place;worth\ndial;main 1;3\n"])
def test_a_table_that_holds_nothing_says_what_to_write(text):
    with pytest.raises(ValueError, match="begin it with|is not a column"):
        table_of_text(text, PUMP)


def test_lengths_without_a_unit_are_asked_back():
    read = table_of_text(
        "kind;place;angle (deg);value\ndial;main 1;0;0,03\ndial;main 1;0;0,03 mm\n", PUMP
    )
    assert read.values.tolist() == pytest.approx([30.0])
    assert "has no unit" in read.damaged[0]


def test_spacing_of_chatter_marks_counts_them():
    # 20 mm of diameter, marks 3.1416 mm apart: 20 in a turn
    marks = chatter_marks(PUMP, "main 1", None, spacing=Quantity(np.pi, "mm"))
    assert marks.values[0] == pytest.approx(20)
    read = table_of_text(HEAD + f"spacing;main 1;;;{np.pi:.6f};\n", PUMP)
    assert read.values[0] == pytest.approx(20, rel=1e-5)
    for apart, count in (("0.8", 25 * np.pi), ("1", 20 * np.pi)):  # by hand 20 pi/0.8
        read = table_of_text(HEAD + f"spacing;main 1;;;{apart};\n", PUMP)
        assert read.values == pytest.approx([count]), read.damaged
    none = table_of_text(HEAD + "dial;main 1;0;20;0,01\nspacing;main 1;;;0;\n", PUMP)
    assert "a spacing is above zero" in none.damaged[0]


def test_readings_of_lesson_12_as_they_are_kept():
    entry = {"text": "0; 0,01\n90; 0,02\n180; 0,03\n270; 0,02", "unit": "mm", "layout": "pairs"}
    kept = kept_readings(
        {
            "main 1": {**entry, "held": "centers"},
            "main 2": {**entry, "held": "90"},
            "pin 1": {**entry, "held": "centers"},
            "practice: pulley": {**entry, "held": "centers"},
            "main 7": entry,
        },
        PUMP,
    )
    assert len(kept) == 12
    assert [row.on for row in kept.rows[::4]] == [("main",), ("vees", 90.0), ("pin", 0)]
    assert len(kept.damaged) == 2


def test_a_closing_reading_a_file_and_a_dial_without_sign_are_read_as_the_form_reads_them(tmp_path):
    """The last reading stood at 288 deg for 0, a named file was an empty text, two below zero was 98 over the two after it."""
    (tmp_path / "main-2.csv").write_text("0; 0,01\n90; 0,02\n180; 0,03\n270; 0,02\n")
    kept = kept_readings(
        {
            "main 1": {"text": "0.01\n0.02\n0.03\n0.02\n0.01", "unit": "mm", "layout": "closing"},
            "main 2": {"source": "file", "file": "main-2.csv", "text": "", "unit": "mm"},
            "pin 1": {"text": "0 0.98\n90 0.02\n180 0.04", "unit": "mm", "dial_turn": "1 mm"},
        },
        PUMP,
        tmp_path,
    )
    assert not kept.damaged and len(kept) == 12
    assert [row.angle for row in kept.rows[:5]] == pytest.approx([0, 90, 180, 270, 360])
    assert kept.values[5:9] == pytest.approx([10, 20, 30, 20])
    assert kept.values[9:] - kept.values[9] == pytest.approx([0, 40, 60])


def test_measurements_join_and_keep_their_order():
    turns = Quantity([0, 90, 180], "deg")
    one = dial_readings(PUMP, "main 1", turns, Quantity([1, 2, 3], "um"))
    two = dial_readings(PUMP, "main 2", turns, Quantity([4, 5, 6], "um"))
    assert together([one, two]).values.tolist() == [1, 2, 3, 4, 5, 6]
    with pytest.raises(ValueError, match="one each"):
        dial_readings(PUMP, "main 1", turns, Quantity([1, 2], "um"))
    with pytest.raises(TypeError):
        dial_readings(PUMP, "main 1", turns, [1, 2, 3])


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (Row("dial", ("main", 0), 20.0, 0.0, state="warm"), "after: “warm” is not known"),
        (
            Row("dial", ("throw", 0), 20.0, 0.0),
            "a dial is taken on a main or a pin, not on a throw",
        ),
        (
            Row("dial", ("main", 0), 45.1, 0.0),
            "45.1 mm is not on main 1, which lies from 0 to 45 mm",
        ),
        (
            Row("diameter", ("pin", 0), 58.9, 0.0),
            "58.9 mm is not on pin 1, which lies from 59 to 81 mm",
        ),
        (Row("height", ("main", 0), 20.0, 0.0), "heights are taken over a pin"),
        (Row("height", ("pin", 0), 70.0, 0.0, ("pin", 0)), "heights are taken over a pin"),
        (Row("dial", ("pin", 0), 70.0, 0.0), "on main centers or vees a pin goes round"),
        (Row("dial", ("pin", 0), 70.0, 0.0, ("vees", 90.0)), "on main centers or vees a pin goes"),
        (Row("dial", ("main", 0), 20.0, 0.0, ("pin", 0)), "on a pin's centers read the pins"),
    ],
)
def test_a_row_that_cannot_be_is_refused(row, words):
    with pytest.raises(ValueError, match=words):
        checked_row(row, PUMP)


def test_an_inch_cranks_places_and_warmth_are_told_in_its_units():
    """The first main of `bellows` is 2 in long; 55.88 mm are 2.2 in, 10 °C of rise 18 °F."""
    words = "2.2 in is not on main 1, which lies from 0 to 2 in from"
    with pytest.raises(ValueError, match=words):
        checked_row(Row("dial", ("main", 0), 55.88, 0.0), Crank.load("bellows"))
    rise = Quantity(10.0, "delta_degC")
    warm = SimpleNamespace(
        causes=("warm now",), sizes=(rise,), uncertainties=(rise / 2,), directions=(None,)
    )
    told = [_sizes(warm, units) for units in ("mm", "in")]
    assert told == [" (10 °C ± 5 °C)", " (18 °F ± 9 °F)"]


def test_a_table_of_too_few_readings_says_which_line_was_not_read():
    text = "place;angle;value (mm)\nmain 1;0;0,012\nmain 9;30;0,012\n"
    read = table_of_text(text, PUMP)
    with pytest.raises(ValueError, match=r"not 1 \(line 3: .*no main 9; this crank has 2\)"):
        find_causes(PUMP, read)


@pytest.mark.parametrize(
    "row",
    [
        Row("dial", ("main", 0), 0.0, 0.0), Row("dial", ("main", 0), 45.0, 0.0, ("vees", 90.0)),
        Row("diameter", ("pin", 0), 59.0, 0.0), Row("diameter", ("pin", 0), 81.0, 0.0),
        Row("height", ("pin", 0), 70.0, 0.0), Row("height", ("pin", 0), 70.0, 0.0, ("vees", 90.0)),
        Row("dial", ("pin", 0), 70.0, 0.0, ("pin", 0)), Row("thrust", ("throw", 0)),
    ],
)  # fmt: skip
def test_a_row_that_can_be_is_kept(row):
    assert checked_row(row, PUMP) is row


def test_pins_in_one_line_stand_on_each_other_s_centers_and_others_do_not():
    with pytest.raises(ValueError, match="pin 1 does not stand on the centers of pin 2"):
        checked_row(Row("dial", ("pin", 0), 54.0, 0.0, ("pin", 1)), Crank.load("organ"))
    line = replace(Crank.load("organ"), throws=(Crank.load("organ").throws[0],) * 3)
    checked_row(Row("dial", ("pin", 0), 54.0, 0.0, ("pin", 1)), line)


def test_marks_are_counted_by_their_spacing():
    """Ø20: 62.83 mm around, 5 mm apart are 12.57; on the pin of 18 mm 56.55, 11.3."""
    for place, count in (("main 1", 12.566), ("pin 1", 11.310)):
        read = chatter_marks(PUMP, place, None, Quantity(5, "mm"))
        assert read.values == pytest.approx([count], abs=1e-3)
        assert (read.rows[0].kind, read.rows[0].at) == ("marks", 22.5 if place == "main 1" else 70)
    assert chatter_marks(PUMP, "main 1", 0).values.tolist() == [0]
    for count in (-1, np.inf):
        with pytest.raises(ValueError, match="0 or more marks"):
            chatter_marks(PUMP, "main 1", count)


def test_places_and_supports_by_name():
    assert place_named("main 2", PUMP) == (("main", 1), "")
    assert place_named("pin left", PUMP) == (("pin", 0), "left")
    assert place_named("Throw 1", PUMP) == (("throw", 0), "")
    with pytest.raises(ValueError, match="there is no main 3; this crank has 2"):
        place_named("main 3", PUMP)
    with pytest.raises(ValueError, match="there is no pin 2; this crank has 1"):
        place_named("pin 2", PUMP)
    with pytest.raises(ValueError, match="there is no main 0"):
        place_named("main 0", PUMP)
    assert support_named("vees 30", PUMP) == ("vees", 30.0)
    assert support_named("vees 170", PUMP) == ("vees", 170.0)
    assert support_named("vees 59,5", PUMP) == ("vees", 59.5)
    with pytest.raises(ValueError, match="30 to 170"):
        support_named("vees 171", PUMP)
    with pytest.raises(ValueError, match="30 to 170"):
        support_named("vees 29", PUMP)


def test_a_look_at_a_cause_names_its_end():
    read = check_of(PUMP, "hole", "pin 1 left", Quantity([3, 4], "um"), Quantity([0, 90], "deg"))
    assert [(row.kind, row.place, row.angle, row.end) for row in read.rows] == [
        ("hole", ("pin", 0), 0.0, "left"), ("hole", ("pin", 0), 90.0, "left"),
    ]  # fmt: skip
    assert read.values.tolist() == [3, 4]
    with pytest.raises(ValueError, match="say which end the hole is of, for example pin 1 left"):
        check_of(PUMP, "hole", "pin 1", Quantity(3, "um"))
    with pytest.raises(ValueError, match="kind must be one of"):
        check_of(PUMP, "dial", "main 1", Quantity(3, "um"))


def test_supports():
    assert support_named("main centers", PUMP) == ("main",)
    assert support_named("pin 1 centers", PUMP) == ("pin", 0)
    assert support_named("vees 60", PUMP) == ("vees", 60.0)
    assert support_named("Vee blocks", PUMP) == ("vees", 90.0)
    with pytest.raises(ValueError, match="30 to 170"):
        support_named("vees 10", PUMP)


def test_the_command_takes_the_chance_of_two_causes(tmp_path, capsys):
    """A swing of 40 um on both mains of the pump, and 20 um of taper on the second."""
    lines = [
        f"dial;main {main};;{turn};{0.02 * np.cos(np.radians(turn)):.3f};"
        for main in (1, 2)
        for turn in range(0, 360, 30)
    ]
    lines += [f"diameter;main 2;{at};0;{20 + size};" for at, size in ((100, 0), (135, 0.02))]
    table = tmp_path / "readings.csv"
    table.write_text(HEAD + "\n".join(lines) + "\n", encoding="utf-8")
    two = []
    for told in ("0", "0.2", "0.95"):
        assert diagnose.main([str(table), "--second", told]) in (diagnose.FOUND, diagnose.OPEN)
        ranked = [line for line in capsys.readouterr().out.splitlines() if " %  " in line]
        two.append(sum(float(line.split("%")[0]) for line in ranked if ", and " in line))
    assert two[0] == 0 < two[1] < two[2] - 10
    assert diagnose.main([str(table), "--second", "1"]) == diagnose.UNREADABLE
    assert "second: a chance from 0 to below 1" in capsys.readouterr().err
