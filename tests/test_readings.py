"""Readings as people type them: each line an answer, nothing lost, nothing guessed."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankmath.inspection import fit_runout, readings
from crankmath.inspection.readings import _closes, _misfit, _steps_close
from crankmath.units import Quantity

PASTED = """Angle (deg); reading (mm)
0; 0,012
30; -0,004

60; missed
bumped the table
90; 0.010; good
120; +0,5 thou
150; 1,234
abc; 0.1
180 0.02
210,0,03
240
"""


def kinds(text, **options):
    return [line.kind for line in readings.read_readings(text, **options).lines]


def one(text, **options):
    """The only line of a text."""
    (line,) = readings.read_readings(text, **options).lines
    return line


def test_header_comma_blank_and_word_each_get_their_answer():
    found = readings.read_readings(PASTED)
    assert found.text == PASTED
    assert [line.kind for line in found.lines] == [
        "header",
        "reading",
        "reading",
        "blank",
        "missing",
        "note",
        "reading",
        "reading",
        "refused",
        "refused",
        "reading",
        "refused",
        "missing",
        "blank",
    ]
    answers = {line.number: line.answer for line in found.lines}
    assert answers[1] == "taken as a header; readings in mm"
    assert answers[2] == "0.012 mm at 0 deg"
    assert answers[4].startswith("blank")
    assert answers[5] == "“missed” is not a reading at 60 deg; counted as missing"
    assert "bumped the table" in answers[6]
    assert "kept as a note: “good”" in answers[7]
    assert answers[9] == "reading: does “1,234” mean 1.234 or 1234? Write one of the two."
    assert "no number found in “abc”" in answers[10]
    assert "semicolon" in answers[12]
    np.testing.assert_allclose(found.angle.m_as("deg"), [0, 30, 60, 90, 120, 180, 240])
    np.testing.assert_allclose(
        found.reading.m_as("mm"), [0.012, -0.004, np.nan, 0.01, 0.0127, 0.02, np.nan]
    )
    assert len(found.refused) == 3
    assert found.report(only_trouble=True).count("\n") == 5
    assert found.report().endswith("5 readings taken, 2 missing, 3 lines to look at again")


@pytest.mark.parametrize(
    ("typed", "angle", "reading"),
    [
        ("45 0.012", 45, 0.012),
        ("45 0,012", 45, 0.012),
        ("45\t0,012", 45, 0.012),
        ("45;0,012", 45, 0.012),
        ("22,5, 0,012", 22.5, 0.012),
        ("45 , 0.012", 45, 0.012),
        ("45°, .012", 45, 0.012),
        ("45, 0.012", 45, 0.012),
        ("45,0.012", 45, 0.012),
        ("45,-0,012", 45, None),
        ("45 -.012", 45, -0.012),
        ("45 - 0.012", 45, -0.012),
        ("45 −0.012", 45, -0.012),
        ("45 +0.012", 45, 0.012),
        ("45° 0.012", 45, 0.012),
        ("45 deg 0.012 mm", 45, 0.012),
        ("0.125 turn 12 um", 45, 0.012),
        ("45 12 µm", 45, 0.012),
        ("270 1/64 in", 270, 0.396875),
        ("0 1-1/8 in", 0, 28.575),
        ('330 .002"', 330, 0.0508),
        ("315 3 thou left end", 315, 0.0762),
        ("-30 0.1", -30, 0.1),
        ("22,5 0,003", 22.5, 0.003),
        ("45: 0,012", 45, 0.012),
        ("45 = -3 um", 45, -0.003),
        ("60 1e-3", 60, 0.001),
        ('45,"0,012"', 45, 0.012),
        ("45,12", None, None),
        ("45,0,012", None, None),
        ("45 1,234", None, None),
        ("45 0.01 0.02", None, None),
        ("45", None, None),
        ("45 0.01 kg", None, None),
        ("45 0.01 furlongs", None, None),
        ("45 3/0", None, None),
        ("45 1e999", None, None),
        ("45 12 13 14", None, None),
    ],
)
def test_forms_people_type(typed, angle, reading):
    line = one(typed, unit="mm")
    assert line.text == typed
    if reading is None:
        assert line.kind == "refused" and len(line.answer) > 20
    else:
        assert line.kind == "reading", line.answer
        assert line.angle.m_as("deg") == pytest.approx(angle)
        assert line.reading.m_as("mm") == pytest.approx(reading)


def test_a_unit_is_asked_for_and_the_header_gives_one():
    assert (
        one("45 0.012").answer
        == "reading “0.012” has no unit: write for example 0.012 mm, or give the unit of all of them once"
    )
    inch = readings.read_readings("Pump crank, left main\nangle,thou\n0,1\n45,-2\n90,+1.5")
    assert [line.kind for line in inch.lines] == ["note", "header", "reading", "reading", "reading"]
    np.testing.assert_allclose(inch.reading.m_as("in"), [0.001, -0.002, 0.0015])
    assert inch.unit == "thousandth"


def test_named_columns_may_stand_in_any_order_with_others():
    found = readings.read_readings(
        "no;dial (in);angle;note\n1;0.001;0;ok 3\n2;-0.001;45;\n3;;90;lost"
    )
    np.testing.assert_allclose(found.reading.m_as("in"), [0.001, -0.001, np.nan])
    np.testing.assert_allclose(found.angle.m_as("deg"), [0, 45, 90])
    assert "“1 ok 3”" in found.lines[1].answer and "lost" in found.lines[3].answer
    assert kinds('angle,reading mm\n0,"0,01"\n45,0,01') == ["header", "reading", "refused"]


def test_equal_steps_and_a_dial_read_without_sign():
    found = readings.read_readings(
        "0,00\n0,01\n\n0,02\nx\n0,99\n", unit="mm", equal_steps=True, dial_turn=Quantity(1, "mm")
    )
    np.testing.assert_allclose(found.angle.m_as("deg"), np.arange(6) * 60)
    np.testing.assert_allclose(found.reading.m_as("mm"), [0, 0.01, np.nan, 0.02, np.nan, -0.01])
    assert [line.answer for line in found.lines if line.kind != "blank"] == [
        "0 mm at 0 deg",
        "0.01 mm at 60 deg",
        "blank; counted as a missing reading at 120 deg",
        "0.02 mm at 180 deg",
        "“x” is not a reading; counted as missing at 240 deg",
        "0.99 mm at 300 deg; with the dial's turn taken as −0.01 mm",
    ]
    assert found.lines[1].angle.m_as("deg") == 60
    for row in ("1 2 3", "1, 2.5, 3", "1\t2\t3"):
        assert "write one reading a line" in one(row, unit="mm", equal_steps=True).answer
    assert one("1 1/8 in", equal_steps=True).reading.m_as("in") == 1.125
    with pytest.raises(TypeError, match="^dial_turn"):
        readings.read_readings("0 1", unit="mm", dial_turn=1)


def test_a_line_not_understood_keeps_its_place_at_equal_steps():
    """Else every later reading would slip to another mark of the work."""
    found = readings.read_readings("1\n1,234\n3\n4", unit="um", equal_steps=True)
    np.testing.assert_allclose(found.angle.m_as("deg"), [0, 90, 180, 270])
    np.testing.assert_allclose(found.reading.m_as("um"), [1, np.nan, 3, 4])
    assert found.lines[1].kind == "refused" and found.lines[1].answer.endswith(
        "; until then its place at 90 deg counts as missing"
    )


def test_table_of_cells():
    found = readings.read_table(
        [("0", "0,01"), (45, -0.02), (None, None), ("90", ""), ("a b", "")], unit="mm"
    )
    assert [line.kind for line in found.lines] == ["reading", "reading", "blank", "missing", "note"]
    np.testing.assert_allclose(found.reading.m_as("mm"), [0.01, -0.02, np.nan])


def test_a_table_as_long_as_may_be_is_read_and_no_longer(monkeypatch):
    monkeypatch.setattr(readings, "MOST_LINES", 3)
    monkeypatch.setattr(readings, "MOST_CHARACTERS", 12)
    row = ("0", "0.1")  # four characters
    assert len(readings.read_table([row] * 3, unit="mm").reading) == 3
    for rows in ([("", "")] * 4, [row, row, ("0", "0.12")]):
        with pytest.raises(ValueError, match="^rows: at most 3 rows and 12 characters"):
            readings.read_table(rows, unit="mm")


def test_files(tmp_path):
    text = "angle;reading (um)\r\n0;1,5\r\n90;−2\r\n"
    for encoding in ("utf-8", "utf-8-sig", "utf-16"):
        place = tmp_path / f"{encoding}.csv"
        place.write_bytes(text.encode(encoding))
        np.testing.assert_allclose(readings.read_file(place).reading.m_as("um"), [1.5, -2])
    place.write_bytes("angle (°);reading (µm)\r\n0;1,5\r\n90;-2\r\n".encode("cp1252"))
    np.testing.assert_allclose(readings.read_file(place).reading.m_as("um"), [1.5, -2])
    place.write_bytes(b"0;\xff\x001")
    with pytest.raises(ValueError, match="UTF-8"):
        readings.read_file(place)
    with pytest.raises(FileNotFoundError, match="no file"):
        readings.read_file(tmp_path / "none.csv")
    with pytest.raises(TypeError, match="^path"):
        readings.read_file(3)


def test_what_was_read_can_be_fitted():
    theta = np.arange(0, 360, 30)
    text = "\n".join(
        f"{angle} {0.01 * np.cos(np.radians(angle - 40)):.6f}".replace(".", ",") for angle in theta
    )
    found = readings.read_readings(text + "\n45 missed", unit="mm")
    fit = fit_runout(found.angle, found.reading)
    assert fit.eccentricity.m_as("mm") == pytest.approx(0.01, rel=1e-3)
    assert fit.direction.m_as("deg") == pytest.approx(40, abs=0.01)
    assert fit.missing == (12,)


@given(st.text(max_size=200))
def test_any_text_is_answered_line_by_line_and_kept(text):
    for options in ({"unit": "mm"}, {"unit": "in", "equal_steps": True}, {}):
        found = readings.read_readings(text, **options)
        assert found.text == text
        kept = "".join(line.text for line in found.lines)
        assert kept == text.replace("\r", "").replace("\n", "")
        assert all(line.answer for line in found.lines)
        placed = (
            ("reading", "missing", "refused")
            if "equal_steps" in options
            else ("reading", "missing")
        )
        assert (
            len(found.angle)
            == len(found.reading)
            == sum(line.kind in placed for line in found.lines)
        )


LINE = st.tuples(
    st.integers(-720, 720),
    st.integers(-5000, 5000),
    st.sampled_from(["\t", ";", " ", "; "]),
    st.booleans(),
)


@given(st.lists(LINE, min_size=1, max_size=8))
def test_numbers_come_back_as_typed(lines):
    typed = [f"{angle}{mark}{size / 10000:.4f}" for angle, size, mark, _ in lines]
    typed = [
        line.replace(".", ",") if comma else line
        for line, (*_, comma) in zip(typed, lines, strict=True)
    ]
    found = readings.read_readings("\n".join(typed), unit="mm")
    np.testing.assert_allclose(found.angle.m_as("deg"), [angle for angle, *_ in lines])
    np.testing.assert_allclose(
        found.reading.m_as("mm"), [size / 10000 for _, size, *_ in lines], atol=1e-12
    )


def test_huge_text_is_refused_or_answered_at_once():
    assert kinds("1" * 900_000) == ["refused"]
    assert kinds("a" * 900_000) == ["refused"]
    for text in ("1 2\n" * 30_000, "1" * 1_000_001):
        with pytest.raises(ValueError, match="too long"):
            readings.read_readings(text)
    with pytest.raises(TypeError, match="^text"):
        readings.read_readings(b"1 2")
    with pytest.raises(ValueError, match="^unit must be one of"):
        readings.read_readings("1 2", unit="furlong")
    with pytest.raises(ValueError, match="^angle_unit"):
        readings.read_readings("1 2", angle_unit="mm")


def waves(count, closing=0, **lobes):
    """Readings at equal steps of a turn: an offset of 50, one wave of 10, and more by lobe."""
    turn = np.arange(count) * 2 * np.pi / (count - closing)
    found = 50 + 10 * np.cos(turn - 0.7)
    for name, size in lobes.items():
        found = found + size * np.cos(int(name[1:]) * turn + 0.4)
    return found


def test_what_offset_and_two_lobes_leave():
    """Three lobes of 4: over twelve steps of a whole turn 12 x 4^2/2 = 96 remain; at the wrong steps
    even plain waves leave some. A missing one counts nothing.
    """
    assert _misfit(waves(12, w2=3), 0) == pytest.approx(0, abs=1e-9)
    assert _misfit(waves(12, w3=4), 0) == pytest.approx(96)
    assert _misfit(waves(13, closing=1, w2=3), 1) == pytest.approx(0, abs=1e-9)
    assert _misfit(waves(13, closing=1, w2=3), 0) > 1
    missing = waves(12, w2=3)
    missing[4] = np.nan
    assert _misfit(missing, 0) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(("again", "closes"), [(24.9, True), (25.1, False)])
def test_a_reading_closes_the_turn_where_a_fourth_of_the_misfit_is_left(again, closes, monkeypatch):
    """Ten readings are whole degrees apart both ways: the waves decide."""
    monkeypatch.setattr(readings, "_misfit", lambda size, closing: (100.0, again)[closing])
    assert _closes(np.array([0.0, 3, 5, 7, 9, 9, 7, 5, 3, 0.1])) == closes


def test_steps_that_close_are_whole_or_half_degrees():
    """Seven readings close six steps of 60 degrees; 17 sixteen of 22.5, 12 none of whole halves."""
    closes = {count for count in range(2, 40) if _steps_close(count)}
    assert closes == {7, 9, 10, 11, 13, 16, 17, 19, 21, 25, 31, 37}


def test_the_last_of_equal_steps_is_the_first_read_again_where_size_and_waves_say_so():
    again = waves(13, closing=1, w2=3)
    assert _closes(again)
    assert not _closes(again[:12]), "eleven steps are no half degrees"
    off = again.copy()
    off[-1] += 0.5 * np.ptp(again)
    assert not _closes(off)
    lost = again.copy()
    lost[-1] = np.nan
    assert not _closes(lost)
    # ten equal steps of a whole turn, though nine of 40 degrees would be whole as well
    assert not _closes(waves(10, w1=0.0)) and _closes(waves(10, closing=1))


def test_readings_that_name_their_marks_are_not_asked_for_a_closing_one():
    typed = [f"{30 * place} {np.cos(np.radians(30 * place)):.2f}" for place in range(12)] + [
        "359 1"
    ]
    assert not readings.read_readings("\n".join(typed)).closing_likely
