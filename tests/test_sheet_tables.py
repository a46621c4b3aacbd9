"""Tables of the sheet, cell by cell: against sums by hand, and rows made up to stand at a bound."""

from math import inf, pi
from types import SimpleNamespace

import pytest
from helpers import checked

from crankbook.sheet.tables import (
    center_table,
    depths,
    handwheel_table,
    height_table,
    job_tables,
    pass_table,
    reading_table,
    size_table,
    spacer_table,
    speed_table,
)
from crankmath.units import Quantity
from crankmath.workpiece.passes import Passes


def made(size, unit="mm"):
    return Quantity(size, unit)


def test_centers_of_the_pump_and_of_the_organ_as_an_end_is_looked_at():
    """Ø60 mm: its middle 30 mm from the tangents, 9 mm either way to main and pin. Ø2.25 in: throws
    of 0.5 in at 0°, 120° and 240°; angles go to the left from the right end, so pin 2 lies
    0.5 sin 120° = 0.433 to the left and 0.25 down, and on the other end to the right.
    """
    table = center_table(checked("pump").workings)
    places = [("main", "30.000", "21.000", "0.000", "−9.000")]
    places += [("pin 1", "30.000", "39.000", "0.000", "9.000")]
    ends = "right end", "left end"
    assert list(table.rows) == [(end, *place) for end in ends for place in places]
    rows = {row[:2]: row[2:] for row in center_table(checked("organ").workings).rows}
    assert rows["right end", "pin 1"] == ("1.1250", "1.6250", "0.0000", "0.5000")
    left, right = (
        ("0.6920", "0.8750", "−0.4330", "−0.2500"),
        ("1.5580", "0.8750", "0.4330", "−0.2500"),
    )
    assert rows["right end", "pin 2"] == rows["left end", "pin 3"] == left
    assert rows["right end", "pin 3"] == rows["left end", "pin 2"] == right


def test_handwheels_turn_to_their_places_from_below():
    """2 mm a turn: 30 mm are 15 turns, 21 mm 10 turns and 1 mm, 39 mm 19 turns and 1 mm. 0.1 in a
    turn: 1.0625 in are 10 turns and 0.0625.
    """
    rows = handwheel_table(checked("pump").workings).rows
    assert [(row[0], row[1], *row[3:]) for row in rows[:2]] == [
        ("right end", "main", "30.000, 21.000", "15 turns + 0.000", "10 turns + 1.000"),
        ("right end", "pin 1", "30.000, 39.000", "15 turns + 0.000", "19 turns + 1.000"),
    ]
    (_, _, first, *_), (_, _, second, *_) = rows[:2]
    x, y = map(float, first.split(", "))
    assert x < 30 - 0.2 and y < 21 - 0.2, "past the lost motion of 0.2 mm"
    x, y = map(float, second.split(", "))
    assert x == 30 and 21 < y < 39 - 0.2, "across it stays"
    row = handwheel_table(checked("bellows").workings).rows[0]
    assert row[3:] == ("1.0625, 0.7500", "10 turns + 0.0625", "7 turns + 0.0500")
    note = handwheel_table(checked("pump").workings).note
    assert note.startswith("For a handwheel of 2 mm a turn with 0.2 mm lost motion.")


def test_a_row_of_the_shift_table_says_where_how_fast_and_why():
    """As the plan has it; a row told twice stands once. 25.4 mm at 600 rpm run at π · 1 in · 600 / 12."""
    row = SimpleNamespace(
        place="pin 1", work="rough", diameter=25.4, rpm=600.0, surface_speed_m_min=47.88,
        table_m_min=54.86, set_by="unbalance",
    )  # fmt: skip
    work = SimpleNamespace(
        units="in", speeds=[(0, row), (1, row)], job={"unbalance_force": made(60.0, "N")}
    )
    table = speed_table(work)
    feet = round(pi * 600 / 12)
    assert table.rows == (
        ("pin 1", "rough", "Ø1 in", "600 rpm", f"{feet} ft/min", "180 ft/min", "the swinging work"),
    )
    assert "bear 13.5 lbf of" in table.note  # 60 N / 4.448


@pytest.mark.parametrize("name", ["pump", "organ"])
def test_speed_there_is_the_circumference_times_the_turns(name):
    metric = name == "pump"
    for row in speed_table(checked(name).workings).rows:
        diameter, rpm, there = (
            float(text.strip("Ø").split()[0]) for text in (row[2], row[3], row[4])
        )
        assert there == pytest.approx(pi * diameter * rpm / (1000 if metric else 12), rel=0.006)


def passing(depths, runs, *, sides=1, work="rough", feed=0.1, set_by=("cut",)):
    return Passes("pin 1", work, depths, sides, 1.0, feed, runs, set_by)


class Asked(dict):
    """A job's answers where no feeds of the lathe were given."""

    given = ()


def test_a_row_of_the_passes_counts_them_and_their_minutes():
    """1000 mm at 100 rpm and as much at 200, 0.1 mm a turn: 100 + 50 min; two walls 4 mm of 80 rpm."""
    work = SimpleNamespace(
        units="mm",
        job=Asked(rough_feed=made(0.12), finish_feed=made(0.06)),
        passes=(
            passing((1.0, 1.0, 0.5), ((100, 1000), (200, 1000)), set_by=("unbalance", "cut")),
            passing((0.25,), ((80, 4), (80, 4)), sides=2, work="face"),
        ),
    )
    table = pass_table(work)
    assert table.rows == (
        (
            *("rough pin 1", "3", "2 of 1 mm, then 0.5 mm", "100 to 200 rpm", "150 min"),
            *("the cut, the swinging work", ""),
        ),
        ("face webs at pin 1", "2", "0.25 mm each", "80 rpm", "1 min", "the cut", ""),
    )
    assert table.note == (
        "Feed 0.12 mm a turn roughing, 0.06 mm finishing. Together 151 min in the cut."
    )
    work.passes = work.passes[1:]
    assert pass_table(work).note.endswith("Together 1 min in the cut.")


def test_depths_alike_as_they_are_read_are_counted_together():
    assert depths(passing((0.5,), ()), "mm") == "0.5 mm"
    assert depths(passing((1.0, 1.0002, 0.25), (), sides=2), "mm") == "2 of 1 mm, then 0.25 mm each"
    assert depths(passing((1.0, 0.5, 1.0), ()), "mm") == "1 mm, then 0.5 mm, then 1 mm"
    assert depths(passing((1.016, 1.016), ()), "in") == "2 of 0.04 in"


def um(size):
    return made(float(size), "um")


def spaced(*, throws=1, read=(-1.04, 2.06), shortest=-9.0, gripped=-5.0):
    """Work with spacers of Ø12 mm in gaps of 20 mm."""
    ends = {"finish_mains": ("180 N", "850 N"), "finish_pin_1": ("1 N", "2 N")}
    stages = [
        SimpleNamespace(step=SimpleNamespace(key=key), ends=lambda _units, said=said: said)
        for key, said in ends.items()
    ]
    return SimpleNamespace(
        units="mm", misfit_limits=(um(shortest), um(7.0)), spacer_thrust=made(300.0, "N"),
        fitted=[SimpleNamespace(throw=one, diameter=made(12.0)) for one in range(throws)],
        read_misfit=read and tuple(map(um, read)), gripped_misfit=um(gripped),
        accepted_misfit=(um(-3.0), um(4.2)), aimed_misfit=um(0.6), pressed=stages[::-1],
        crank=SimpleNamespace(throws=[SimpleNamespace(pin_length=made(20.0))] * throws),
        job={"spacer_doubt": um(2.0), "allowed_runout": um(10.0)},
    )  # fmt: skip


def test_a_spacers_row_and_note_say_what_it_may_read():
    table = spacer_table(spaced())
    blanks = ("",) * 4
    assert table.rows == (
        ("throw 1", "Ø12 mm", "20.0000 mm", "gap less 1.0 µm", "gap plus 2.0 µm", *blanks),
    )
    assert table.note.startswith(
        "From the gap as measured: accept gap less 1.0 µm to gap plus 2.0 µm, the uncertainty of ±2 "
        "µm taken off, with 180 N to 850 N of thrust while the mains are finished; "
        "10 µm of runout. Measure"
    )


def test_spacers_alike_are_told_too_where_there_are_several_and_a_shortest():
    """No shorter than the thrust grips."""
    several = spacer_table(spaced(throws=2))
    assert "measured, whatever the others are: accept" in several.note
    assert (
        "; all alike, and with no more than 300 N: gap less 5.0 µm to gap plus 7.0 µm; 10 µm"
        in several.note
    )
    assert [row[0] for row in several.rows] == ["throw 1", "throw 2"]
    shorter = spacer_table(spaced(throws=2, shortest=-4.0)).note
    assert "no more than 300 N: gap less 4.0 µm to gap plus 7.0 µm" in shorter
    for other in (spaced(), spaced(throws=2, shortest=-inf)):
        assert "all alike" not in spacer_table(other).note


def test_a_window_narrower_than_a_printed_step_cannot_be_told():
    """From 0.02 to 0.07 µm stands no tenth."""
    narrow = spacer_table(spaced(throws=2, read=(0.02, 0.07)))
    assert narrow.rows[0][3:5] == ("cannot", "tell")
    assert (
        ": as it is known only to ±2 µm, no reading shows that it is within its limits"
        in narrow.note
    )
    alike = spaced(throws=2)
    alike.misfit_limits = um(0.02), um(0.07)
    assert "with no more than 300 N: cannot tell; 10 µm" in spacer_table(alike).note


def test_a_spacer_that_cannot_be_told_says_how_well_it_has_to_be_known():
    """Accepted from −3.0 to 4.2 µm: half of 7.2 either way."""
    table = spacer_table(spaced(read=None))
    assert table.rows[0][3:5] == ("cannot", "tell")
    assert (
        "known only to ±2 µm, no reading shows that it is within its limits; compare it until you "
        "know it to ±3.6 µm, and lap it to gap plus 0.6 µm, with 180 N" in table.note
    )


def test_sizes_are_those_of_the_fit_and_accepted_within_the_micrometers_doubt():
    """ISO 286 h6: 0 to −13 µm from 18 to 30 mm, −11 µm above 10. 3 µm of doubt, evenly spread, are
    3.4 µm for 95 %: 1.96 · 3/√3.
    """
    table = size_table(checked("pump").workings)
    blanks = ("",) * 3
    main = ("Ø20 mm h6", "19.9870 mm", "20.0000 mm", "19.991 mm", "19.996 mm", *blanks)
    pin = ("Ø18 mm h6", "17.9890 mm", "18.0000 mm", "17.993 mm", "17.996 mm", *blanks)
    assert table.rows == (("main 1", *main), ("main 2", *main), ("pin 1", *pin))
    assert table.note.startswith("Accept limits leave 3.4 µm for")
    row = size_table(checked("pump", pin_class="k6").workings).rows[-1]  # +1 to +12 µm
    assert row[2:6] == ("18.0010 mm", "18.0120 mm", "18.005 mm", "18.008 mm")
    row = size_table(checked("bellows").workings).rows[0]  # 13 µm are 0.00051 in
    assert row[1:4] == ("Ø0.75 in h6", "0.74949 in", "0.75000 in")


@pytest.mark.parametrize(("supports", "alone"), [("between centers", False), ("vee blocks", True)])
def test_readings_in_vee_blocks_are_said_to_show_form_alone(supports, alone):
    work = SimpleNamespace(
        crank=SimpleNamespace(journals=(1, 2)), job={"supports": supports}, units="mm"
    )
    table = reading_table(work)
    assert ("form alone" in table.note) == alone and table.caption.endswith(f"crank {supports}")
    assert table.rows == (("main 1", *("",) * 14), ("main 2", *("",) * 14))
    assert table.head == ("place", *(f"{30 * one}°" for one in range(13)), "most − least")


def test_heights_name_throw_and_angle_wanted():
    rows = height_table(checked("organ").workings).rows
    angles = enumerate(("0 deg", "120 deg", "240 deg"), 1)
    assert rows == tuple((f"pin {one}", "0.5 in", angle, *("",) * 5) for one, angle in angles)
    assert ", tolerance ±0.1 mm" in height_table(checked("pump").workings).note


def test_every_table_has_its_caption():
    told = {one.key: one.caption for one in job_tables(checked("pump").workings)}
    assert told == {
        "centers": "Centers, as you look at each end",
        "handwheels": "Handwheel moves, zero at left and bottom edge",
        "speeds": "Shift table",
        "passes": "Passes",
        "spacers": "Spacers",
        "sizes": "Sizes",
        "readings": "Indicator readings, crank between centers",
        "heights": "Heights over the pins",
    }


def test_a_table_that_cannot_be_made_or_has_no_row_is_left_out():
    keys = [one.key for one in job_tables(checked("pump", bar_size="20 mm").workings)]
    assert keys == ["sizes", "readings", "heights"]
    keys = [one.key for one in job_tables(checked("pump", spacers="none").workings)]
    assert "spacers" not in keys and "passes" in keys
