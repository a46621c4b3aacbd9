"""Where the crank lies in its bar, sizes as they are printed, passes of a cut: by hand."""

import json
from dataclasses import replace
from math import acos, cos, pi, radians, sin, sqrt
from types import SimpleNamespace

import pytest

from crankmath.crank import Crank
from crankmath.units import Quantity
from crankmath.workpiece.cuts import End, Outline, Plane, Turn, read_cut
from crankmath.workpiece.passes import Passes
from crankmath.workpiece.placing import _bar_table, _rounded, alone, place
from crankmath.workpiece.sections import disc
from crankmath.workpiece.work import Piece, Work

PUMP, ORGAN = Crank.load("pump"), Crank.load("organ")


def mm(value):
    return Quantity(value, "mm")


def test_sizes_are_rounded_to_a_step_halves_away_from_zero():
    sizes = [_rounded(one, 0.01) for one in (1.004, 1.005, 1.0149, -1.005, -1.004, -0.001)]
    assert sizes == [1.0, 1.01, 1.01, -1.01, -1.0, 0.0]


def test_nothing_is_printed_as_less_than_nothing():
    """A hair under zero prints as 0, not as -0."""
    turned = _bar_table(barred("flat", 50.0, 30.0, 90 - 1e-9), 0.0, 163.0)["turn"]
    for size in (_rounded(-0.001, 0.01), _rounded(-0.0, 0.01), turned):
        assert str(size) == "0.0"


def test_sizes_as_they_are_printed():
    """12.3457 mm: a micrometer, then ten, then up. It is 0.486051 in: to a tenth of a thousandth of
    an inch, half a thousandth, and up to five thousandths 0.49.
    """
    for crank, fine, coarse, roomy in (
        (PUMP, 12.346, 12.35, 12.35),
        (ORGAN, 0.4861 * 25.4, 0.486 * 25.4, 0.49 * 25.4),
    ):
        made = alone(crank)
        assert made.fine(12.3457) == pytest.approx(fine, abs=1e-6)
        assert made.coarse(12.3457) == pytest.approx(coarse, abs=1e-6)
        assert made.roomy(12.3457) == pytest.approx(roomy, abs=1e-6)
        assert made.roomy(roomy) == pytest.approx(roomy), "what is round already stays"


def test_a_crank_alone_begins_at_nothing():
    """Mains of 45, webs of 14, a pin of 22: webs from 45 and from 81 to 95; throw 18, reach 14."""
    made = alone(PUMP)
    assert made.faced == (0.0, 140.0) and made.main == (0.0, 0.0) and made.x1 == 140.0
    assert made.pins == ((18.0, 0.0),) and made.directions == ((1.0, 0.0),)
    assert made.span("pin", 0) == (59.0, 81.0) and made.span("journal", 1) == (95.0, 140.0)
    assert made.axis("pin", 0) == (18.0, 0.0) and made.axis("journal", 1) == (0.0, 0.0)
    assert made.rounds["pin", 0] == (9.0, 1.5) and made.rounds["journal", 0] == (10.0, 1.5)
    assert [made.walled("journal", one) for one in (0, 1)] == [(False, True), (True, False)]
    assert made.walled("pin", 0) == (True, True)
    assert made.webs == ((18.0, 14.0, 28.0),) and made.web_round(0) == 32.0
    corners = {(-14.0, 14.0), (32.0, 14.0), (32.0, -14.0), (-14.0, -14.0)}
    assert set(made.web_corners(0)) == corners


def test_throws_turn_from_the_first():
    """The organ's throws stand at 0, 120 and 240 degrees, 12.7 mm out."""
    made = alone(ORGAN)
    for (y, z), (u, v), angle in zip(made.pins, made.directions, (0, 120, 240), strict=True):
        assert (u, v) == pytest.approx((cos(radians(angle)), sin(radians(angle))))
        assert (y, z) == pytest.approx((12.7 * u, 12.7 * v))


def barred(shape="round", width=60.0, height=60.0, turn=90.0, x=0.0, y=9.0, long=0.0):
    return SimpleNamespace(
        shape=shape, width=mm(width), height=mm(height), turn=Quantity(turn, "deg"),
        middle_x=mm(x), middle_y=mm(y), length=mm(long),
    )  # fmt: skip


def test_a_crank_in_its_bar_stands_behind_what_is_faced_and_its_stub():
    """1.5 mm to face, 10 of stub: 11.5, then 140, 10 and 1.5 again. The bar's middle lies 9 above the
    main's axis and 2 to the right.
    """
    made = place(PUMP, barred(x=2.0), 1.5, 10.0)
    assert made.x0 == 11.5 and made.x1 == 151.5 and made.faced == (1.5, 161.5)
    assert made.bar == {"shape": "round", "sizes": [60.0], "length": 163.0, "turn": 0.0}
    assert made.main == pytest.approx((-9.0, 2.0)) and made.pins[0] == pytest.approx((9.0, 2.0))
    assert place(PUMP, barred(long=200.0), 1.5, 10.0).bar["length"] == 200.0


@pytest.mark.parametrize(
    ("shape", "turn", "sizes", "said"),
    [
        ("flat", 90.0, [50.0, 30.0], 0.0), ("flat", 0.0, [30.0, 50.0], 0.0),
        ("flat", 110.0, [50.0, 30.0], 20.0), ("flat", 135.0, [50.0, 30.0], 45.0),
        ("flat", 136.0, [30.0, 50.0], -44.0), ("square", 80.0, [50.0], -10.0),
        ("round", 37.0, [50.0], 0.0),
    ],
)  # fmt: skip
def test_a_bar_s_first_side_is_the_one_nearer_to_the_throw(shape, turn, sizes, said):
    found = _bar_table(barred(shape, 50.0, 30.0, turn), 0.0, 163.0)
    assert found == {"shape": shape, "sizes": sizes, "length": 163.0, "turn": pytest.approx(said)}


def test_the_finished_crank_is_its_pieces():
    """Rounds between fillets of 1.5 at the webs, faces flat at both ends."""
    made = alone(PUMP).finished()
    ends = [(piece.x0, piece.x1) for piece in made.pieces]
    assert ends == [(0, 43.5), (43.5, 45), (45, 59), (59, 60.5), (60.5, 79.5), (79.5, 81), (81, 95),
                    (95, 96.5), (96.5, 140)]  # fmt: skip
    assert made.webs == ((45, 59), (81, 95))
    assert made.at(20.0).area == pytest.approx(pi * 100) and made.at(70.0).area == pytest.approx(
        pi * 81
    )
    assert made.at(50.0).area == pytest.approx(46 * 28)


def test_roughing_leaves_at_least_what_its_smallest_diameter_does():
    """0.25 a side on a pin of 18, accepted from 18.375: 0.187 mm, rounded down."""
    cut = Turn(60.0, 80.0, (18.0, 0.0), 9.25, (1.0, 1.0), 0.25, "pin 1")
    assert cut.accepted == (18.375, 18.625)
    assert alone(PUMP).least_left(cut) == pytest.approx(0.187)


def test_corners_have_to_fit_between_the_ends_of_a_cut():
    work = Work((Piece(0.0, 30.0, disc((0.0, 0.0), 20.0)),), ())
    assert Turn(10.0, 20.0, (0.0, 0.0), 15.0, (5.0, 5.0)).applied(work).at(15.0).area < 15.5**2 * pi
    with pytest.raises(ValueError, match="corners do not fit between x 10 and 20 mm"):
        Turn(10.0, 20.0, (0.0, 0.0), 15.0, (5.0, 5.01)).applied(work)


def test_a_cut_is_read_back_from_its_table():
    """All of it; and what a table leaves out is nothing: no stock, no fillets, no walls."""
    cuts = (
        Turn(10.0, 20.0, (1.0, 2.0), 15.0, (5.0, 0.5), 0.25, "pin 1"),
        Plane(10.0, 20.0, (0.6, 0.8), 7.0, 1.0, "main 1"),
        Outline(9.0, 21.0, ((0.0, 0.0), (3.0, 0.0), (0.0, 4.0)), 0.5, "web 1", (1.0, 2.0)),
        End(11.5, "right", 0.5, "left end"),
    )
    for cut in cuts:
        told = json.loads(json.dumps(cut.as_dict()))
        assert read_cut(told) == cut
        bare = {key: told[key] for key in told if key not in ("stock", "place", "corners", "walls")}
        plain = {"stock": 0.0, "place": ""}
        plain |= {key: (0.0, 0.0) for key in ("corners", "walls") if hasattr(cut, key)}
        assert read_cut(bare) == replace(cut, **plain)
    with pytest.raises(ValueError, match="kind of a cut"):
        read_cut({"kind": "bore"})


def test_a_flat_s_normal_may_have_any_length():
    """2 (0.6, 0.8) and 14: 7 from the axis of a round of 20, a chord of 2 sqrt(400 - 49)."""
    work = Work((Piece(0.0, 30.0, disc((0.0, 0.0), 20.0)),), ())
    left = Plane(10.0, 20.0, (1.2, 1.6), 14.0).applied(work).at(15.0)
    assert left.support((0.6, 0.8)) == pytest.approx(7.0)
    cap = 400 * acos(7 / 20) - 7 * sqrt(400 - 49)
    assert left.area == pytest.approx(400 * pi - cap)
    assert Plane(10.0, 20.0, (1.2, 1.6), -41.0).applied(work).at(15.0) is None


# passes


def passes(**changed):
    given = {"place": "pin 1", "work": "rough", "depths": (1.0, 0.5), "sides": 1, "asked": 1.0,
             "feed": 0.1, "runs": ((100.0, 20.0), (200.0, 20.0)), "set_by": ("cut",)}  # fmt: skip
    return Passes(**given | changed)


def test_minutes_and_speeds_of_passes():
    """20 mm at 100 rpm and 0.1 mm a turn are 2 min, at 200 rpm 1 min more."""
    one = passes()
    assert one.time.m_as("min") == pytest.approx(3)
    assert [speed.m_as("rpm") for speed in one.speeds] == [100, 200]
    assert one.count == 2 and passes(sides=2).count == 4 and one.name == "rough pin 1"
    names = [passes(work=work).name for work in ("walls", "face", "finish")]
    assert names == ["rough walls at pin 1", "face webs at pin 1", "finish pin 1"]


def test_alike_passes_are_joined():
    both = passes().joined(passes(sides=2, runs=((50.0, 5.0),), set_by=("gears", "cut")))
    assert (both.sides, both.runs) == (3, ((100.0, 20.0), (200.0, 20.0), (50.0, 5.0)))
    assert both.set_by == ("cut", "gears") and both.depths == (1.0, 0.5)
    for change in ({"place": "pin 2"}, {"work": "walls"}, {"depths": (1.0,)}, {"asked": 0.9}):
        assert passes().joined(passes(**change)) is None
