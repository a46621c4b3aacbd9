"""Lesson 13: every seat of every crank gets a verdict, and the picture follows the numbers."""

import re
import warnings
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from crankbook.lesson import own
from crankbook.lessons.proving import lesson_13
from crankbook.lessons.proving.seats import Seat
from crankmath.crank import EXAMPLES, Crank, Journal, steels
from crankmath.fits import bearing_seats
from crankmath.job.checks import bearings
from crankmath.job.verdicts import worst
from crankmath.units import Quantity

NONE = Quantity(0.0, "delta_degC")


def mm(value):
    return Quantity(value, "mm")


@pytest.fixture
def mine(tmp_path, monkeypatch):
    """A folder of the reader's own, and a way to save a crank there."""
    monkeypatch.setenv("CRANKMATH_WORK", str(tmp_path))
    return lambda crank: own.save(replace(crank, name="my crank"))


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("hole", lesson_13.HOLES)
def test_every_seat_gets_a_finding_and_points_that_can_be_drawn(mine, units, hole):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for label in lesson_13.seat_names(EXAMPLES):
            for shaft, warmer in (("e8", -40.0), ("k6", 0.0), ("s6", 120.0)):
                drawn, finding = lesson_13.items(
                    units, label, hole, shaft, Quantity(warmer, "delta_degC")
                )
                said = str(finding)
                assert finding.headline.startswith(f"Seat {shaft}: ")
                assert finding.lines[-1].casefold().startswith(f"{label}, Ø".casefold())
                assert all(np.all(np.isfinite(item.points())) for item in drawn)
                assert ("µm" in said) == (units == "mm") and ("thou" in said) == (units == "in")
                foreign = r"\d (in|thou|lbf|kpsi)\b" if units == "mm" else r"\d (mm|µm|k?N|MPa)\b"
                assert not re.search(foreign, said), said


def picture(*values, **named):
    """Finding of the plain-cell picture, and what it says."""
    finding = lesson_13.picture(*values, **named)[1]
    return finding, str(finding)


def test_no_bearing_is_told_as_of_another_series():
    """An inch bore has one series: neither word of the list is its own, so the finding says which
    it is. The R12 counts sixteenths of an inch; of 20 mm there are 6004 and 6204 (ISO 15).
    """
    for hole in (one for one in lesson_13.HOLES if one.startswith("ball bearing")):
        assert not re.search(r"\d", hole)
        inch = picture("bellows, end mains", hole, units="in")[1]
        assert ", Ø0.75 in, in the R12, the one series with this bore." in inch
        assert ", in a ball bearing." in picture("pump, end mains", hole)[1]


def test_words_of_the_pump():
    """20 k6 in a bearing is 2 to 25 um by a maker's table (published/).

    Fillet 1.5 less corner 1 leaves 0.5 mm; 25 um / (20 mm x 12.5e-6) is 100 degrees.
    """
    finding, said = picture("pump, end mains")
    assert finding.headline == "Seat k6: interference of 2 µm to 25 µm."
    # 2/25.4 and 25/25.4 thou, to a hundredth as an inch reader writes them
    inch = lesson_13.picture(units="in")[1].headline
    assert inch == "Seat k6: interference of 0.08 thou to 0.98 thou."
    assert finding.verdict == "not fine" and "stops 0.5 mm short of the web" in said
    hand = "Every pair slides on by hand"
    assert hand in picture("pump, end mains", warmer=Quantity(101, "delta_degC"))[1]
    assert hand not in picture("pump, end mains", warmer=Quantity(99, "delta_degC"))[1]
    for seat in ("pump, pins", "compressor, center mains"):
        finding, said = picture(seat)
        assert finding.verdict == "not fine" and "cannot pass the webs" in said
    finding, said = picture("compressor, end mains")
    assert finding.verdict == "not fine" and "nearest: 15.875 mm and 17 mm" in said
    assert "slips on" not in said
    bushing = "bronze bushing, bore H7", "g6", Quantity(-40.0, "delta_degC")
    assert picture("pump, pins", *bushing)[0].verdict != "fine"


def test_a_small_fillet_lets_the_ring_sit_where_it_grips(mine):
    """h6 in a ring of 20 mm: 13 um clearance to 10 um grip (ISO 286, ISO 492), loose mostly."""
    pump = Crank.load("pump")
    fine = tuple(replace(journal, fillet=mm(0.8)) for journal in pump.journals)
    mine(replace(pump, journals=fine))
    assert "short of the web" not in picture("my crank, end mains")[1]
    assert picture("my crank, end mains")[0].verdict == "look"  # tight pairs take all of CN's play
    verdicts = {
        shaft: picture("my crank, end mains", lesson_13.MEDIUM, shaft)[0].verdict
        for shaft in lesson_13.SHAFTS
    }
    assert verdicts["h6"] == verdicts["g6"] == "not fine" and verdicts["s6"] == "not fine"
    assert verdicts["j6"] == "look"


def test_lesson_and_job_judge_a_seat_alike():
    """Every bore on every class, with a fillet that the corner just clears and with a larger one.

    In inches the fillet that just clears is off by its last digits, once upward.
    """
    seen = set()
    for one in {one.bore.m: one for one in bearing_seats.ball_bearings()}.values():
        just = one.largest_fillet.m_as("in")
        cases = [(np.nextafter(just, 1), shaft) for shaft in lesson_13.SHAFTS]
        for fillet, shaft in (*cases, (1.01 * just, "k5")):
            seat = Seat(None, one.bore, mm(30), Quantity(fillet, "in"), "main", True)
            told = lesson_13._seating(seat, one, shaft, lesson_13.UNITS["mm"])
            answers = {"main_class": shaft, "bearing_series": one.series, "bearing_play": "CN"}
            work = SimpleNamespace(job=answers | {"bearing_corner": None}, units="mm")
            found = bearings._ball_seat(work, seat.diameter, seat.fillet)
            lesson = worst(*(word for word, _ in told))
            assert lesson == found.verdict, (one.name, shaft, fillet, told, found)
            seen.add((fillet > 1.001 * just, lesson))
    assert seen >= {(True, "not fine"), (False, "not fine"), (False, "look")}


def test_a_hub_never_reads_better_as_it_grips_more():
    """Hub twice its bore: p = 3/8 E i/d, hoop 5/3 p (Lame); both together E i/d, E = 206 GPa."""
    pump = Crank.load("pump")
    seat = lesson_13.place_of("pump, end mains")
    limit = 20 * steels.find(pump.steel).yield_strength.m_as("MPa") / 206e3  # mm

    def verdict(tight, seat=seat):
        cold = SimpleNamespace(loosest=mm(-tight / 2), tightest=mm(-tight))
        return worst(*(word for word, _ in lesson_13._gripping(seat, cold, lesson_13.UNITS["mm"])))

    shares = (0.01, 0.79, 0.81, 0.99, 1.01, 3)
    verdicts = [verdict(share * limit) for share in shares]
    assert verdicts == ["fine", "fine", "look", "look", "not fine", "not fine"]
    unknown = seat._replace(crank=replace(pump, steel="village iron"))
    assert {verdict(share * limit, unknown) for share in shares} == {"cannot tell"}


@pytest.mark.parametrize("hole", ["bronze bushing, bore F7", "bronze bushing, bore H7"])
def test_a_bushing_never_reads_better_as_the_crank_runs_hotter(hole):
    worst = 0
    rank = {"fine": 0, "look": 1, "not fine": 2}
    for warmer in (-20.0, -40.0, -80.0, -120.0):  # below the middle of what is usual
        finding = lesson_13.items(
            "mm", "pump, pins", hole, "h6", Quantity(min(warmer, 0.0), "delta_degC")
        )[1]
        assert rank[finding.verdict] >= worst or "looser" in str(finding)
        worst = rank[finding.verdict]
    assert worst == 2


def test_own_crank_comes_first_with_each_different_place_by_name(mine):
    crank = Crank.load("organ")
    ends = (Journal(mm(17), mm(40), mm(0)), *crank.journals[1:-1], Journal(mm(15), mm(40), mm(0.3)))
    mine(
        replace(crank, journals=ends, steel="village iron").with_throw(
            1, pin_diameter=Quantity(0.45, "in")
        )
    )
    names = lesson_13.seat_names()
    assert names[:6] == (
        "my crank, left main",
        "my crank, right main",
        "my crank, center mains",
        "my crank, pin 1",
        "my crank, pin 2",
        "my crank, pin 3",
    )
    assert lesson_13.place_of("my crank, right main").diameter.m_as("mm") == pytest.approx(15)
    assert lesson_13.place_of("my crank, pin 2").diameter.m_as("in") == pytest.approx(0.45)
    assert lesson_13.place_of("my crank, center mains").diameter == crank.journals[1].diameter
    assert lesson_13.controls()[0].value == names[0]
    for name in names:
        lesson_13.items("mm", name, "steel hub, bore N7", "p6", NONE)


def test_a_crank_too_large_for_the_tables_gets_a_sentence(mine):
    crank = Crank.load("pump")
    thick = tuple(replace(journal, diameter=mm(130)) for journal in crank.journals)
    mine(
        replace(
            crank,
            journals=thick,
            throws=(replace(crank.throws[0], web_width=mm(140), web_reach=mm(70)),),
        )
    )
    panel = lesson_13.panel()
    assert "1 to 120 mm" in panel.problem
    panel.type_in("seat", "pump, end mains")
    assert not panel.problem and str(panel.sentence).startswith("Seat k6")


def test_prediction_is_drawn(mine):
    from crankbook.lesson import predict

    before = len(lesson_13.items("mm", "pump, end mains", lesson_13.MEDIUM, "k6", NONE)[0])
    predict("13 tightest", "12 um", ("um",))
    drawn = lesson_13.items("mm", "pump, end mains", lesson_13.MEDIUM, "k6", NONE)[0]
    assert len(drawn) == before + 2 and any(
        getattr(item, "text", "") == "your prediction" for item in drawn
    )


def test_gaps_know_each_slip(capsys):
    """0.75 in k6: +15 and +2 um (ISO 286-2 table) are 0.75059 and 0.75008 in."""
    lesson_13.check_gaps(Crank.load("bellows"), "0.7506 in", "0.7501 in")
    assert capsys.readouterr().out.count("Right") == 2
    lesson_13.check_gaps(Crank.load("bellows"), "0.7501 in", "0.7494 in")
    told = capsys.readouterr().out
    assert "other end" in told
    lesson_13.check_gaps(Crank.load("bellows"), "0.75 in", "0.7499 in")
    told = capsys.readouterr().out
    assert "above the nominal size" in told and "above or below" in told


def test_the_corner_names_its_own_seat():
    for seat, kind in (("pump, pins", "pin"), ("pump, end mains", "main")):
        drawn, _ = lesson_13.items(
            "mm", seat, "steel hub, bore H7", "n6", Quantity(0, "delta_degC")
        )
        words = [item.text for item in drawn if item.kind == "text" and item.axes == 1]
        assert {"pin", "main"} & set(words) == {kind}


def test_places_of_a_crank_are_those_of_its_drawing(mine):
    """Compressor: end mains alike, one center main, two pins alike; sizes by the part's file."""
    crank = Crank.load("compressor")
    for label, size, kind, at_end in (
        ("end mains", crank.journals[0], "main", True),
        ("center mains", crank.journals[1], "main", False),
    ):
        if f"compressor, {label}" not in lesson_13.seat_names(("compressor",)):
            label = label.removesuffix("s")
        seat = lesson_13.place_of(f"compressor, {label}")
        assert (seat.diameter, seat.length, seat.fillet) == (
            size.diameter,
            size.length,
            size.fillet,
        )
        assert (seat.kind, seat.at_end) == (kind, at_end)
    pin = lesson_13.place_of("compressor, pins")
    assert pin.diameter == crank.throws[0].pin_diameter and pin.length == crank.throws[0].pin_length
    assert (pin.kind, pin.at_end) == ("pin", False)
    left, right = Crank.load("organ").journals[0], Crank.load("organ").journals[-1]
    mine(replace(Crank.load("organ"), journals=(replace(left, diameter=1.2 * left.diameter),
                                                *Crank.load("organ").journals[1:])))  # fmt: skip
    assert lesson_13.place_of("my crank, left main").diameter == 1.2 * left.diameter
    assert lesson_13.place_of("my crank, right main").diameter == right.diameter
    assert lesson_13.place_of("my crank, left main").at_end
