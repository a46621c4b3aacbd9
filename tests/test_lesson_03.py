"""Lesson 03: marked-out bars, errors of centers, sheets and questions, for the example cranks and three of another kind."""

import numpy as np
import pytest
from helpers import words_stand_apart
from test_layout import ALL

from crankbook.lesson import draw, own, progress
from crankbook.lessons.blank import lesson_03
from crankbook.pictures import scene
from crankbook.pictures.blank import center_picture
from crankmath import cutting
from crankmath.blank import bar, center_holes, layout
from crankmath.crank import Crank, steels
from crankmath.units import Quantity

NONE, STILL = Quantity(0.0, "mm"), Quantity(0.0, "deg")


@pytest.mark.parametrize("shape", bar.SHAPES)
@pytest.mark.parametrize("name", ALL)
def test_every_crank_goes_through_the_lesson(choose, name, shape):
    """Picture and hole each have an answer or a sentence, in both units."""
    name = choose(name)
    crank = own.load(name)
    for units in ("mm", "in"):
        items, finding = lesson_03.items(
            units, name, shape, Quantity(0.05, "mm"), Quantity(-0.2, "deg")
        )
        assert f"{crank.name[:1].upper()}{crank.name[1:]}, {shape} bar" in str(finding)
        assert finding.headline.endswith("of its bearing's clearance.")
        if units == "in":
            assert " mm" not in str(finding) and "µm" not in str(finding)
        for item in items:
            if item.kind == "space":
                continue
            assert np.isfinite(item.points()).all()
            if item.axes == 0 and item.kind == "line":
                assert item.x.min() >= 0 and item.x.max() <= center_picture.FACE[0]
                assert item.y.min() >= 0 and item.y.max() <= center_picture.FACE[1]
    assert "hole" in lesson_03.hole_text(crank, shape)


@pytest.mark.parametrize("name", ALL)
def test_coordinates_of_the_table_by_a_second_way(choose, name):
    """Flat bar: each center turned by complex numbers, its distance from the two edges of the bar."""
    crank = own.load(choose(name))
    for end, mirror in (("right", 1), ("left", -1)):
        blank = lesson_03.blank_for(crank, "flat")
        points = (blank.right if end == "right" else blank.left).points
        middle = complex(blank.bar.middle_x.m_as(crank.units), blank.bar.middle_y.m_as(crank.units))
        axes = {0j: "main"} | {
            throw.radius.m_as(crank.units) * 1j * np.exp(1j * throw.angle.m_as("rad")): None
            for throw in crank.throws
        }
        found = [
            (point.from_left.m_as(crank.units), point.from_bottom.m_as(crank.units))
            for point in points
        ]
        for place in axes:
            turned = (place - middle) * np.exp(-1j * blank.bar.turn.m_as("rad"))
            wanted = (
                mirror * turned.real + blank.bar.width.m_as(crank.units) / 2,
                turned.imag + blank.bar.height.m_as(crank.units) / 2,
            )
            assert min(np.hypot(*np.subtract(wanted, one)) for one in found) < 1e-9, (end, place)


def test_pump_by_hand():
    """Ø60, throw 18: main 30 - 9 = 21 mm up, pin 39; on a pin center 30 + 9 = 39 mm swing: 90 - 39 = 51 over the bed, 55 - 39 = 16."""
    pump = Crank.load("pump")
    finding = lesson_03.picture()[1]
    assert finding.headline == "Both ends alike: every pin lies true." and finding.verdict == "fine"
    assert finding.lines == (
        "Pump, round bar Ø60 mm.",
        "Main 30 mm from the left, 21 mm up.",
        "Pin 1 30 mm from the left, 39 mm up.",
    )
    # 30, 21 and 39 over 25.4, to the tenth of a thousandth that is marked out
    assert lesson_03.picture(units="in")[1].lines[1:] == (
        "Main 1.1811 in from the left, 0.8268 in up.",
        "Pin 1 1.1811 in from the left, 1.5354 in up.",
    )
    face = lesson_03.blank_for(pump).right
    widest = max(layout.swing_check(face), key=lambda one: one.swing)
    sizes = widest.swing, widest.over_bed, widest.over_carriage
    assert [size.m_as("mm") for size in sizes] == pytest.approx([39, 51, 16])
    # 7850 kg/m3 of Ø60 by 163: 3.618 kg, 9 mm off: 0.543 kg at 60 mm; 60 N at sqrt(60 / (3.618 * 0.009)) = 42.93 rad/s = 410 rpm
    density, arm = steels.find("C45").density, Quantity(60, "mm")
    weighed = layout.turning_balance(face, "pin 1", density, arm)
    assert weighed.mass.m_as("kg") == pytest.approx(3.618, abs=1e-3)
    assert weighed.counterweight.m_as("kg") == pytest.approx(0.543, abs=1e-3)
    pull = cutting.unbalanced_speed_limit(weighed.mass, weighed.offset, Quantity(60, "N"))
    assert pull.m_as("rpm") == pytest.approx(410, abs=0.5)


def test_every_pin_of_a_crank_is_told_its_place():
    """`compressor`, throws of 14 mm either way, sits in the middle of a bar of Ø65: 32.5 ± 14 mm."""
    lines = lesson_03.picture("compressor")[1].lines
    assert lines[1:4] == (
        "Main 32.5 mm from the left, 32.5 mm up.",
        "Pin 1 32.5 mm from the left, 46.5 mm up.",
        "Pin 2 32.5 mm from the left, 18.5 mm up.",
    )


def test_five_hundredths_and_a_tenth_of_a_degree_in_words():
    """0.05/163*22 = 6.7 um and 25 um of throw; 18 mm * 0.1 deg = 0.0314 mm, /163*22 = 4.2 um and 0.05 deg: sums by hand."""
    out = lesson_03.picture(out=Quantity(0.05, "mm"))[1]
    assert out.headline == "Pin 1 takes 6.7 µm of its bearing's clearance."
    assert out.verdict == "fine" and out.lines[:2] == (
        "Throw +25 µm, phase as drawn, askew 0.31 mm per m.",
        "It can spare 10 µm.",
    )
    turned = lesson_03.picture(turn=Quantity(0.1, "deg"))[1]
    assert turned.headline == "Pin 1 takes 4.2 µm of its bearing's clearance."
    assert turned.lines[0] == "Throw as drawn, phase +0.05°, askew 0.19 mm per m."
    assert lesson_03.picture(turn=Quantity(0.3, "deg"))[1].verdict == "not fine"


def test_the_axes_in_space_go_through_the_centers_of_both_ends():
    """Pump, Ø60, 163 long: main 9 below the middle, pin 9 above. 0.05 mm too far out at the right end is 2.5 mm up
    when it is 50 times enlarged; 0.1 deg is 18 x 0.001745 x 50 = 1.571 mm to the left as you look at that end,
    toward z. The left end stays. Between the ends the line is straight."""
    for out, turn, wanted in ((0.05, 0.0, (2.5, 0.0)), (0.0, 0.1, (0.0, 1.571))):
        items, _ = lesson_03.items(
            "mm", "pump", "round", Quantity(out, "mm"), Quantity(turn, "deg")
        )
        shown = items[-1]
        bar = shown.bodies[0].prisms[0]
        assert (bar.low, bar.high) == (0.0, 163.0)
        assert np.hypot(*bar.ring.T) == pytest.approx(30)
        lines = [
            trace.points
            for trace in shown.traces
            if trace.width == 2.5 and trace.color in (scene.BLUE, scene.RUST)
        ]
        for line, left, right in (
            (lines[0], (-9, 0), (-9, 0)),
            (lines[1], (9, 0), (9 + wanted[0], wanted[1])),
        ):
            ends = line[0] + (line[1] - line[0]) * np.array([[0.1], [1.1]]) / 1.2
            assert ends[:, 0] == pytest.approx([0, 163])
            assert ends[0, 1:] == pytest.approx(left, abs=1e-9)
            assert ends[1, 1:] == pytest.approx(right, abs=2e-3)
    thick = next(trace for trace in shown.traces if trace.width == 7).points
    assert thick[1, 0] - thick[0, 0] == pytest.approx(22) and thick[:, 0].mean() == pytest.approx(
        81.5
    )


def test_the_drilled_center_is_drawn_to_the_side_it_went():
    """Turned counterclockwise a pin above its main goes to the left; outward it goes up. Fifty times enlarged."""
    for out, turn, wanted in ((0.05, 0.0, (0, 0.05)), (0.0, 0.1, (-0.0314, 0))):
        items, _ = lesson_03.items(
            "mm", "pump", "round", Quantity(out, "mm"), Quantity(turn, "deg")
        )
        line = next(
            item
            for item in items
            if item.axes == 0
            and item.kind == "line"
            and item.color == scene.RUST
            and item.width == 2
        )
        moved = np.array([np.diff(line.x)[0], np.diff(line.y)[0]]) * 60 / center_picture.ROOM / 50
        np.testing.assert_allclose(moved, wanted, atol=1e-4)


def test_lines_of_the_chart_are_those_of_the_axis(choose):
    """Organ: pin 2 is moved by the turn alone; its axis at mid pin has the phase the library gives."""
    items, _ = lesson_03.items("mm", "organ", "round", NONE, Quantity(0.2, "deg"))
    across = next(
        item
        for item in items
        if item.axes == 1 and item.kind == "line" and item.color == scene.GREEN and item.width == 2
    )
    assert across.y[-1] == pytest.approx(12.7 * np.sin(np.radians(0.2)), rel=1e-6)
    thick = next(
        item
        for item in items
        if item.axes == 1 and item.kind == "line" and item.color == scene.GREEN and item.width == 7
    )
    phase = layout.pin_axis(
        Crank.load("organ"),
        0,
        Quantity([0, 0], "mm"),
        Quantity([0, 0], "mm"),
        lesson_03.blank_for(own.load("organ")).bar.length,
        Quantity(0.2, "deg"),
    ).phase_error
    assert thick.y.mean() == pytest.approx(12.7 * phase.m_as("rad"), rel=1e-4)


def test_a_prediction_is_drawn_where_it_was_made(choose):
    progress.write("predictions", "03 main center", "9 mm")
    items, _ = lesson_03.items("mm", "pump", "round", NONE, STILL)
    flat = [item for item in items if item.kind != "space"]
    line = next(item for item in flat if item.color == scene.PURPLE and item.kind == "line")
    main = center_picture.MIDDLE[1] - 9 * center_picture.ROOM / 60
    np.testing.assert_allclose(line.y, main)
    assert not [
        item
        for item in lesson_03.items("mm", "organ", "round", NONE, STILL)[0]
        if item.kind != "space" and item.color == scene.PURPLE
    ]


def test_a_crank_too_large_for_the_shelf_still_gets_its_coordinates():
    big = Crank.load("pump").with_throw(radius=Quantity(130, "mm"))
    assert lesson_03.blank_for(big).problem.startswith("larger than any size of the list")
    face = lesson_03.blank_for(big).right
    assert [point.name for point in face.points] == ["main", "pin 1"]
    assert max(layout.swing_check(face), key=lambda one: one.swing).over_bed.magnitude < 0
    long = Crank.load("pump").with_throw(pin_length=Quantity(300, "mm"))
    with pytest.raises(ValueError, match="longer than the 350 mm between centers"):
        layout.swing_check(lesson_03.blank_for(long).right)


def test_a_smaller_hole_where_the_bars_own_has_no_room():
    """Throw 7 in Ø45 or so: mouths of 8.5 would cut into each other; 5.3 leaves 1.7 mm, 6.7 only 0.3."""
    short = Crank.load("pump").with_throw(radius=Quantity(7, "mm"))
    sheet = layout.center_layout(short, bar.smallest_bar(short))
    assert center_holes.center_hole(sheet.bar.width).name == "A4/8.5"
    assert center_holes.hole_with_room(sheet).name == "A2.5/5.3"
    assert center_holes.hole_with_room(sheet, standard="ASME").name == "No. 3"
    with pytest.raises(ValueError, match="^layout has no room for center holes"):
        center_holes.hole_with_room(
            sheet, Quantity(4000, "N")
        )  # 5.3 bears pi/4 (5.3^2 - 2.5^2) 100 = 1715 N
    tiny = Crank.load("pump").with_throw(radius=Quantity(2, "mm"))
    assert (
        lesson_03.hole_text(tiny)
        == "pump: layout has no room for center holes that bear the thrust."
    )


@pytest.mark.parametrize("projector", [False, True])
@pytest.mark.parametrize(
    ("name", "shape"), [("pump", "round"), ("compressor", "flat"), ("bellows", "square")]
)
def test_notes_do_not_cover_each_other(choose, name, shape, projector):
    items, _ = lesson_03.items("in", name, shape, Quantity(0.05, "mm"), Quantity(0.1, "deg"))
    words_stand_apart(scene.add(lesson_03.paper("in", projector), items), over=1.0, beyond=0.0)


def test_panel_and_plain_cell_say_the_same(choose):
    panel = lesson_03.panel()
    panel.receive({"type": "preset", "name": "Right end turned"})
    assert panel.sentence == lesson_03.picture(turn=Quantity(0.1, "deg"))[1]
    choose("fan")
    assert lesson_03.panel().sentence.lines[0].startswith("Fan, round bar")


def test_sheets_that_cannot_be_written_are_told(choose, tmp_path, capsys):
    (tmp_path / "layout-pump-A4.pdf").mkdir()
    assert lesson_03.save_sheets(Crank.load("pump")) == []
    assert capsys.readouterr().out.startswith(
        f"The sheets were not written: {tmp_path} cannot be written ("
    )
    huge = Crank.load("pump").with_throw(radius=Quantity(200, "mm"))
    assert lesson_03.save_sheets(huge) == []
    assert "layouts do not fit on the page" in capsys.readouterr().out


def test_names_of_sheets_are_safe_file_names(choose, tmp_path):
    from dataclasses import replace

    files = lesson_03.save_sheets(replace(Crank.load("pump"), name="../my pump: №1?"))
    assert {file.parent for file in files} == {tmp_path}
    assert all(file.stem.replace("-", "").isalnum() and file.is_file() for file in files)


@pytest.mark.parametrize(
    "maker", [lesson_03.center_place, lesson_03.clearance_taken, lesson_03.counterweight]
)
def test_questions_can_be_drawn(maker):
    for seed in range(50):
        assert len(draw(maker, seed).hints) == 2


def test_keys_by_the_library():
    """The exercises' short sums against the modules that do them in full."""
    question = draw(lesson_03.center_place, 3)
    throw, size = (
        float(word.strip("Ø")) for word in question.words.split() if word.strip("Ø").isdigit()
    )
    crank = Crank.load("pump").with_throw(radius=Quantity(throw, "mm"))
    found = layout.center_layout(crank, bar.smallest_bar(crank)).find("pin 1")
    assert question.key.m_as("mm") == pytest.approx(size / 2 + found.from_middle_y.m_as("mm"))
    question = draw(lesson_03.clearance_taken, 3)
    numbers = [
        float(word.strip("°.,"))
        for word in question.words.split()
        if word.strip("°.,").replace(".", "", 1).isdigit()
    ]
    length, turn, throw, pin = numbers
    crank = Crank.load("pump").with_throw(
        radius=Quantity(throw, "mm"), pin_length=Quantity(pin, "mm")
    )
    none = Quantity([0, 0], "mm")
    exact = layout.pin_axis(
        crank, 0, none, none, max(Quantity(length, "mm"), crank.length), Quantity(turn, "deg")
    )
    assert question.key.m_as("um") * length / max(length, crank.length.m_as("mm")) == pytest.approx(
        exact.takes_clearance.m_as("um"), rel=0.01
    )


def test_gaps_accept_the_right_answer(choose, capsys):
    """2.125/2 + 0.625/2 = 1.375 in; 625 thou * 0.2 deg = 2.18 thou."""
    lesson_03.check_gaps("1.375 in", "2.18 thou")
    assert capsys.readouterr().out.count("Right") == 2
    lesson_03.check_gaps("0.75 in", "125 thou")
    assert (
        "is that the main center" in (said := capsys.readouterr().out)
        and "Multiply by pi/180" in said
    )


def test_each_check_stands_behind_its_name(choose, capsys):
    lesson_03.check_gaps("1.375 in", "125 thou")
    height, shift = capsys.readouterr().out.splitlines()[:2]
    assert height.startswith("Height:") and "Right" in height
    assert shift.startswith("Shift:") and "Right" not in shift


def test_the_chart_of_an_inch_reader_is_in_thousandths(choose):
    """0.05 mm outward at the right end is 1.969 thousandths of an inch there, nothing at the left."""
    items, _ = lesson_03.items("in", "pump", "round", Quantity(0.05, "mm"), STILL)
    line = next(one for one in items if one.axes == 1 and one.kind == "line" and one.width == 2)
    assert line.y == pytest.approx([0, 50 / 25.4], abs=1e-6)
