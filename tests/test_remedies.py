"""How to save a crank whose axes are known: each way by hand, on the pump (mains of 20 mm, a pin of
18 mm and 22 mm long, 140 mm over all); and what is said of causes whose chances are known.
"""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from crankmath.crank import Crank
from crankmath.inspection.diagnosis import diagnose, making_of
from crankmath.inspection.diagnosis.diagnose import FoundCause
from crankmath.inspection.diagnosis.remedies import (
    Bench,
    _left,
    _moved,
    _nearest_line,
    _pins,
    _pressed,
    _turned,
    remedies,
)
from crankmath.inspection.diagnosis.weighing.evidence import NONE, NOTHING
from crankmath.units import Quantity

PUMP = Crank.load("pump")


def bench(axes, causes=(), sizes=(), sure=0.9, crank=PUMP):
    """Six hundred times the same crank, its axis off by ``axes(share of the length, pin)`` um."""
    made, draws = object.__new__(Bench), 600
    made.crank, made.making, made.random = crank, making_of(crank), np.random.default_rng(1)
    places = ("throw 1",) * len(causes)
    first = SimpleNamespace(causes=causes, places=places, sizes=sizes, chance=sure)
    named = (first,) if causes else ()
    made.found = SimpleNamespace(
        first=first if causes else None, causes=named, at_work=[(causes, sure)]
    )
    pieces = [piece for piece in crank.segments if piece.kind != "web"]
    made.main = np.repeat([piece.kind != "pin" for piece in pieces], 3)
    made.pin = np.repeat([piece.index if piece.kind == "pin" else -1 for piece in pieces], 3)
    x = np.concatenate([[one.start, one.start + one.length / 2, one.end] for one in pieces])
    made.share = x / crank.segments[-1].end
    made.axes = np.tile(axes(made.share, made.pin >= 0) + 0j, (draws, 1))
    made.fresh = 0 * made.axes
    return made


def only(ways):
    (found,) = ways
    return found


def test_nearest_line_halves_a_bow():
    """0, 10, 0: no line is nearer than 5 to all three; a slope is a line itself."""
    ends = _nearest_line(np.array([0, 0.5, 1]), np.array([0, 10 + 4j, 0]))
    assert ends == pytest.approx([5 + 2j, 5 + 2j])
    slope = _nearest_line(np.array([0.2, 0.5, 0.9]), np.array([1.4, 2, 2.8]) * (1 - 2j))
    assert slope == pytest.approx([1 - 2j, 3 - 6j])


def test_centers_are_moved_onto_the_line_of_the_mains():
    """30 um toward 0 at the left end, 20 toward 90 at the right. A center moved true within 4 um
    each way leaves twice the larger of two ends: by Rayleigh's distribution 12.5 um in the middle,
    21.7 at most, and within 10 um 0.294 of the time.
    """
    found = only(_moved(bench(lambda share, pin: (1 - share) * 30 + share * 20j)))
    assert found.words.startswith(
        "Move the main centers by scraping or lapping, the left one by 30 µm toward the 0 deg "
        "mark and the right one by 20 µm toward the 90 deg mark. Then expect 12 µm of runout, at "
        "most 22 µm (95 %); it keeps within 10 µm with a chance of 29 %."
    )
    assert found.action[1:] == pytest.approx((30, 20j))
    assert found.runout.m_as("um") == pytest.approx(12.5, rel=0.03)
    assert found.at_most.m_as("um") == pytest.approx(21.7, rel=0.03)
    assert found.chance == pytest.approx(0.294, abs=0.02)
    left = only(_moved(bench(lambda share, pin: 30 * (1 - share))))
    assert "the left one by 30 µm toward the 0 deg mark. Then" in left.words


def test_centers_stay_where_moving_them_gains_nothing():
    assert not list(_moved(bench(lambda share, pin: 1.9 + 0 * share)))  # 3.8 um of runout
    assert list(_moved(bench(lambda share, pin: 10.0 + 0 * share)))
    # up and down by 40 um, and 12 um off: of 104 um of runout more than 80 % is left
    wave = 40 * np.array([1, -1, 1, 0, 0, 0, -1, 1, -1])
    assert not list(_moved(bench(lambda share, pin: 12 + wave)))
    assert list(_moved(bench(lambda share, pin: 22 + wave)))


@pytest.mark.parametrize(
    ("off", "said"),
    [
        # twice the offset and 5 um to clean up; 13 um are left of the size
        (3.0, "take 5.5 µm from the radius; of the 13 µm of diameter that size and tolerance "
              "leave, 2 µm stay."),
        (4.0, "take 6.5 µm from the radius; of the 13 µm of diameter that size and tolerance "
              "leave, 0 µm stay."),
        (4.1, ": 6.6 µm from the radius is more than their tolerance holds, so turn them to the "
              "next usual undersize, 19.75 mm,"),
        (122.5, ": 120 µm from the radius is more than their tolerance holds, so turn them to the "
                "next usual undersize, 19.75 mm,"),
        (122.6, "the next usual undersize, 19.5 mm,"),
        (497.0, "the next usual undersize, 19 mm,"),
    ],
)  # fmt: skip
def test_mains_are_turned_again_by_what_their_axis_is_off(off, said):
    found = only(_turned(bench(lambda share, pin: off + 0 * share)))
    assert said in found.words
    assert found.words.startswith("Find what caused it and put that right; then turn the mains")
    assert found.words.endswith(
        "Then expect 0 µm of runout, at most 0 µm (95 %); it keeps within 10 µm with a chance of "
        "100 %."
    )


@pytest.mark.parametrize("off", [0.0, 2.0, 498.0])
def test_mains_so_true_or_so_far_off_are_not_turned_again(off):
    """4 um of runout at 2 um; at 498 more than the largest usual undersize."""
    assert not list(_turned(bench(lambda share, pin: off + 0 * share)))


@pytest.mark.parametrize(
    ("cause", "size", "said"),
    [
        ("spacer too long", 20, "Shorten the spacer of throw 1 by 20 µm, to its free gap (22 mm"),
        ("spacer loose", 20, "Fit a spacer in throw 1 as long as its free gap (22 mm by the"),
        ("tailstock set over", 30, "Set the tailstock back by 30 µm, away from the tool; then"),
        ("tailstock set over", -30, "Set the tailstock back by 30 µm, toward the tool; then"),
        ("dog pulls", 1, "Drive with a two-tailed dog, and take a lighter last cut; then turn"),
        ("dial slip", 1, "Turn the mains again"),
    ],
)
def test_the_cause_is_put_right_first(cause, size, said):
    def words(sure):
        made = bench(lambda share, pin: 4 + 0 * share, (cause,), (Quantity(size, "um"),), sure)
        return only(_turned(made)).words

    assert words(0.5).startswith(said)
    assert words(0.49).startswith("Find what caused it")


@pytest.mark.parametrize(
    ("causes", "sure", "said"),
    [
        (
            (),
            0.95,
            "Leave the part as it is. Then expect 12 µm of runout, at most 12 µm (95 %); it keeps",
        ),
        (("spacer loose",), 0.95, "Leave the part as it is."),
        (("dial slip", "spacer loose"), 0.95, "Leave the part as it is."),
        (("dial slip",), 0.95, "Leave the part: the error was in the measuring; put that right"),
        (("seat or vee", "warm when measured"), 0.95, "Leave the part: the error was in the measu"),
        (("dial slip",), 0.94, "Leave the part until it is measured again: the error may lie in the "
                               "measuring (94 %)."),
        (("dial slip",), 0.5, "Leave the part until it is measured again"),
        (("dial slip",), 0.49, "Leave the part as it is."),
    ],
)  # fmt: skip
def test_an_error_of_the_measuring_alone_leaves_the_part(causes, sure, said):
    made = bench(lambda share, pin: np.where(pin, 50, 6) + 0 * share, causes, causes, sure)
    assert only(_left(made)).words.startswith(said)


def test_a_pin_askew_is_turned_to_the_next_undersize():
    """From +10 to -10 um along the pin, and 3 um off as a whole: 2 x 10 um and 5 to clean up."""
    found = only(_pins(bench(lambda share, pin: pin * (10 * (0.5 - share) * 140 / 11 + 3j))))
    assert found.words.startswith(
        "Pin 1 stands askew by 20 µm over its length: correct its centers and turn it true to the "
        "mains, to the next usual undersize, 17.75 mm (it takes 25 µm of diameter); its throw "
        "stays 3 µm off toward the 90 deg mark."
    )
    assert found.action == ("turn pin", 0)
    askew = [list(_pins(bench(lambda share, pin, one=one: pin * one * (0.5 - share) * 140 / 11)))
             for one in (7.9, 8.1, 122.0, 123.0, 497.0, 498.0)]  # fmt: skip
    assert [len(one) for one in askew] == [0, 1, 1, 1, 1, 0]
    assert "17.75 mm" in askew[2][0].words and "17.5 mm" in askew[3][0].words


@pytest.mark.parametrize(("size", "ways"), [(10.0, 1), (9.99, 0), (9.2, 0)])
def test_no_more_than_a_tenth_is_turned_off(size, ways):
    """An axis askew by 995 um takes the largest undersize, 1 mm: a tenth of 10 mm, more of less."""
    thin, size = PUMP.with_throw(pin_diameter=Quantity(size, "mm")), Quantity(size, "mm")
    askew = bench(lambda share, pin: pin * 497 * (0.5 - share) * 140 / 11, crank=thin)
    assert len(list(_pins(askew))) == ways
    one, other = PUMP.journals
    thin = replace(PUMP, journals=(one, replace(other, diameter=size)))
    off = bench(lambda share, pin: 497.0 * ~pin * np.sign(share - 0.5), crank=thin)
    assert len(list(_turned(off))) == ways
    if ways:
        assert "9 mm" in only(_pins(askew)).words and "9 mm" in only(_turned(off)).words


def test_a_bow_is_pressed_out_the_other_way():
    """Ends on blocks 140 mm apart, the press in the middle: the pin of 18 mm yields where
    F 70 70/140 = 340 MPa x 572.6 mm3, at 5.56 kN. A third of the bow may be missed either way:
    of 15 um at the mains' inner ends a median of 0.6745 x 0.35, at most 1.96 x 0.35 of 30 um.
    """
    made = bench(lambda share, pin: 15.0 + 0 * share, ("stress released",), (Quantity(1, "um"),))
    found = only(_pressed(made))
    assert "press the pin toward the 180 deg mark. It begins to yield near 5600 N" in found.words
    assert "until it keeps a set of 15 µm when let go" in found.words
    assert found.action == ("press", pytest.approx(15))
    assert found.runout.m_as("um") == pytest.approx(30 * 0.35 * 0.6745, rel=0.07)
    assert found.at_most.m_as("um") == pytest.approx(30 * 0.35 * 1.96, rel=0.07)
    # a bow of 15 um where it is highest, less toward the ends: all of it by the same share
    made = bench(lambda share, pin: 15.0 * np.sin(np.pi * share) ** 2, ("stress released",), (1,))
    shaped, most = only(_pressed(made)), 15 * np.sin(np.pi * 45 / 140) ** 2  # at the inner ends
    assert shaped.action == ("press", pytest.approx(most))
    assert shaped.runout.m_as("um") == pytest.approx(2 * most * 0.35 * 0.6745, rel=0.07)
    assert not list(_pressed(bench(lambda share, pin: 15.0 + 0 * share, ("dog pulls",), (1,))))
    assert not list(_pressed(bench(lambda share, pin: 3.9 + 0 * share, ("thrust too high",), (1,))))
    # a bow of more than 0.3 of the way to yield is not pressed out: at 290 um, one of 90
    assert not list(_pressed(bench(lambda share, pin: 90 + 0 * share, ("thrust too high",), (1,))))
    assert list(_pressed(bench(lambda share, pin: 84 + 0 * share, ("thrust too high",), (1,))))


def test_readings_of_no_cause_have_no_remedy():
    part = SimpleNamespace(hypothesis=NONE, chance=1.0)
    assert remedies(SimpleNamespace(parts=[part])) == ()


# what is said of the causes


def cause(label, chance, **more):
    size = more.get("size", Quantity(20, "um"))
    return FoundCause(
        (more.get("cause", label),), ("",), label, chance, (size,), (Quantity(4, "um"),),
        (more.get("toward"),), more.get("numbers", (0,)),
    )  # fmt: skip


def diagnosed(monkeypatch, chances, nothing=0.0, none=0.0, fit=0.0):
    """A diagnosis of causes with these chances, by their numbers, and of a residual."""
    weighed = SimpleNamespace(chances={**chances, NOTHING: nothing, NONE: none})
    weigher = SimpleNamespace(chosen=range(12), model=SimpleNamespace(free=2))
    parts = [SimpleNamespace(hypothesis=(0,), fit=fit), SimpleNamespace(hypothesis=NONE, fit=0.0)]
    monkeypatch.setattr(diagnose, "heaviest", lambda weigher, weighed: parts)
    monkeypatch.setattr(
        diagnose,
        "_found",
        lambda weigher, parts, name, chance: cause(str(name), chance, numbers=name),
    )
    return diagnose._diagnosis(PUMP, None, weigher, weighed)


@pytest.mark.parametrize(
    ("chances", "more", "verdict", "together"),
    [
        ({(0,): 0.97, (1,): 0.03}, {}, "found", 1),
        ({(0,): 0.969, (1,): 0.031}, {}, "not told apart", 2),
        ({(0,): 0.6, (1,): 0.375, (2,): 0.025}, {}, "not told apart", 2),  # 0.97 together
        ({(0,): 0.6, (1,): 0.0101}, {}, "not told apart", 2),
        ({(0,): 0.6, (1,): 0.0099}, {}, "not told apart", 1),  # less than a sixtieth of the first
        ({(0,): 0.4}, {"nothing": 0.49}, "not told apart", 1),  # not a quarter likelier
        ({(0,): 0.4}, {"nothing": 0.51}, "nothing out of the ordinary", None),
        ({(0,): 0.6, (1,): 0.3, (2,): 0.1}, {}, "not told apart", 3),
        ({(0,): 0.5, (1,): 0.1}, {"none": 0.51}, "none of these", None),
        ({(0,): 0.6}, {"none": 0.4}, "not told apart", 1),
        ({(0,): 0.1}, {"nothing": 0.9}, "nothing out of the ordinary", None),
        ({}, {"nothing": 1.0}, "nothing out of the ordinary", 0),
        # a residual whose square has a chance of a hundred thousandth with ten degrees of freedom
        ({(0,): 0.99}, {"fit": 41.5}, "none of these", None),
        ({(0,): 0.99}, {"fit": 41.1}, "found", None),
        # one cause alone or with either of two others is at work all the same
        ({(0,): 0.5, (0, 1): 0.3, (0, 2): 0.2}, {}, "found", 3),
    ],
)
def test_verdict_of_a_diagnosis(chances, more, verdict, together, monkeypatch):
    found = diagnosed(monkeypatch, chances, **more)
    assert found.verdict == verdict
    if together is not None:
        assert len(found.not_told_apart) == together
    assert found.first is (found.causes[0] if chances else None)


def test_what_hardly_could_be_is_not_named(monkeypatch):
    found = diagnosed(monkeypatch, {(0,): 0.9, (1,): 1.1e-4, (2,): 1e-4})
    assert [one.label for one in found.causes] == ["(0,)", "(1,)"]


def reported(verdict, causes, **more):
    return SimpleNamespace(
        measured=SimpleNamespace(damaged=more.get("damaged", ())), verdict=verdict, causes=causes,
        crank=PUMP, chance_nothing=0.123, chance_none=0.045, at_work=more.get("at_work", ()),
        not_told_apart=more.get("apart", causes), settled=more.get("settled", True),
        next_measurement=more.get("next"), misread=more.get("misread", ()), runouts=(),
    )  # fmt: skip


def test_a_report_of_a_diagnosis():
    """Chances of half a percent and more; directions by their mark; slips of the pen by their place."""
    causes = (
        cause("center worn now, left", 0.612, toward=Quantity(90, "deg")),
        cause("chatter, main 1", 0.2, cause="chatter"), cause("dog pulls", 0.005), cause("ends turned", 0.0049),
    )  # fmt: skip
    row = SimpleNamespace(place=("main", 0), angle=60.0, at=22.5)
    proposal = SimpleNamespace(words="read it again", expected=0.87, written="kind dial")
    lines = diagnose.report(
        reported("not told apart", causes, damaged=("line 3",), settled=False, next=proposal,
                 at_work=(("center worn now, left", 0.7), ("chatter, main 1", 0.3)), misread=(row,))
    ).splitlines()  # fmt: skip
    assert lines[0] == "Not read: line 3" and lines[1] == "Verdict: not told apart."
    assert lines[2].startswith(" 61.2 %  center worn now, left") and "90" in lines[2]
    assert "20 µm" in lines[2] and "4 µm" in lines[2]
    assert lines[3] == " 20.0 %  chatter, main 1" and lines[4].startswith("  0.5 %  dog pulls")
    assert lines[5:7] == [" 12.3 %  ordinary errors alone", "  4.5 %  none of these"]
    assert lines[7] == (
        "At work, alone or with another: center worn now, left 70 %; chatter, main 1 30 %."
    )
    assert lines[8].startswith("These readings cannot tell apart: center worn now, left; chatter,")
    assert lines[9] == (
        "Measure next: read it again (the true cause then stands first with a chance of 87 %). In the "
        "table: kind dial."
    )
    assert lines[10] == (
        "Taken as misread, to judge by its neighbors: main 1 at the 60 deg mark, 22.5 mm from the "
        "left end. Read it again."
    )
    none = diagnose.report(reported("none of these", (), settled=True, next=proposal))
    assert none.endswith("look for a wrong unit, a slip of the pen, a wrong place or mark.")
    assert "Measure next" not in none
    one = diagnose.report(reported("not told apart", causes[:1]))
    assert "cannot tell apart" not in one
