"""What a check says of numbers that are made up here: each sentence beside its hand sum, each
verdict at its limit and just past it. No job is planned, so these are quick.
"""

import warnings
from types import SimpleNamespace

import numpy as np
import pytest
from helpers import said

from crankmath.crank import Crank
from crankmath.job import Job
from crankmath.job.checks.balance import _plane_shares
from crankmath.job.checks.bearings import _fault_words, check_bearings, check_fits
from crankmath.job.checks.heat import check_heat
from crankmath.job.checks.motion import check_motion
from crankmath.job.checks.proof import check_runout, check_sizes
from crankmath.job.checks.speeds import check_passes, check_speeds
from crankmath.job.checks.squeeze import _off, check_hold, check_spacers, check_squeeze
from crankmath.job.fields import BY_KEY
from crankmath.job.pressed import END, _warmed
from crankmath.job.verdicts import Found, Kind, by_share, or_word, said_of, tidied, worst
from crankmath.job.workings import Workings
from crankmath.units import OutOfRangeWarning, Quantity, SafeSideWarning
from crankmath.wording import least_shown, limits_shown, most_shown, read_between, shown

PUMP, COMPRESSOR = Job.load("pump"), Job.load("compressor")
Stub, q = SimpleNamespace, Quantity


# verdicts


def test_worst_share_and_what_is_nothing():
    assert worst("fine", "look", "cannot tell", "fine") == "cannot tell"
    assert worst("cannot tell", "not fine") == "not fine" and worst("fine", "look") == "look"
    shares = [by_share(share, 0.5, 1.0) for share in (0.5, 0.51, 1.0, 1.01)]
    assert shares == ["fine", "look", "look", "not fine"]
    newton, zero = q(1.0, "N"), q(0.0, "N")
    assert tidied(1e-9 * newton, newton) == zero and tidied(-1e-9 * newton, -newton) == zero
    assert tidied(1.01e-9 * newton, newton) == 1.01e-9 * newton
    assert tidied(-1.01e-9 * newton, newton) == -1.01e-9 * newton


def test_an_error_says_an_argument_by_its_question_or_in_words():
    assert said_of(ValueError("rough_depth is too deep")) == (
        "Deepest roughing pass, on the radius is too deep."
    )
    assert said_of(ValueError("nose_of_tool fails")) == "Nose of tool fails."


def looked(verdict, *notes):
    """A check that answers so and leaves sources' ranges on the way."""

    def look(work):
        for kind, words in notes:
            warnings.warn(words, kind, stacklevel=1)
        if verdict == "refused":
            raise ValueError("pin_class is none")
        return Found(verdict, "All is said.", (1, 2), ("assumed so",))

    return Kind("key", "Title", "01", "formula", "source", "range", look).run(None)


def test_a_check_outside_a_source_s_range_is_not_fine():
    out, safe = (OutOfRangeWarning, "nose_radius is 9"), (SafeSideWarning, "safe")
    found = looked("fine", out, out, safe, (UserWarning, "other"))
    assert found.verdict == "look" and found.notes == ("nose radius is 9",)
    assert found.sentence == "All is said. Outside a source's range: nose radius is 9."
    assert (found.numbers, found.assumptions) == ((1, 2), ("assumed so",))
    assert (found.key, found.title, found.lesson) == ("key", "Title", "01")
    assert (found.formula, found.source, found.range) == ("formula", "source", "range")
    first = looked("fine", (OutOfRangeWarning, "one"), (OutOfRangeWarning, "two"))
    assert first.notes == ("one", "two") and first.sentence.endswith("range: one.")
    assert looked("fine", safe).verdict == "fine"
    assert looked("not fine", out).sentence == "All is said."
    refused = looked("refused")
    assert refused.verdict == "cannot tell" and refused.sentence.startswith(
        "Tolerance class of the pins is"
    )


def test_a_number_or_a_word_for_none():
    assert or_word("bow", None, "length", "none").text("mm") == "none"
    one = or_word("bow", q(25.4, "mm"), "length", "none")
    assert (one.label, one.text("mm"), one.text("in")) == ("bow", "25.4 mm", "1 in")


# motion


def motion(rod, machine="air compressor", units="mm"):
    work = Workings(PUMP.typed("machine", machine) if machine else PUMP)
    job = {"phase_tolerance": q(0.5, "deg"), "machine": work.job["machine"], "bore": q(25, "mm")}
    return check_motion.look(Stub(rod_length=q(rod, "mm"), units=units, crank=PUMP.crank, job=job))


def test_motion_of_the_pump_by_hand():
    """Throw 18, rod 90: a stroke of 36; half a degree from a quarter turn 18 sin 0.5 deg = 157 um,
    and the rod's slant, (18^2 - (18 cos 0.5 deg)^2)/2/88.2, nothing. Ø25 x 36 is 17.67 cm3.
    """
    found = motion(90.0, None)
    assert found.verdict == "fine"
    assert found.sentence == "Stroke 36 mm; the rod is 5 throws, long enough to run smoothly."
    assert said(found) == {
        "stroke of throw 1": "36 mm",
        "rod over throw": "5",
        "shift of the piston a quarter turn from dead center by the angle allowed": "157 µm",
        "swept volume, each throw": "17.67 cm³",
    }


def test_a_rod_is_short_below_three_throws_and_none_at_one():
    assert motion(54.0, None).verdict == "fine"
    short = motion(53.9, None)
    assert short.verdict == "look" and short.sentence == (
        "Stroke 36 mm; the rod is 3 throws, a short rod: side force and second-order shaking are "
        "large."
    )
    assert motion(18.1, None).verdict == "look"
    assert motion(18.0, None).verdict == "not fine"
    assert motion(18.0, None).sentence == (
        "A rod of 18 mm is not longer than the throw of 18 mm: the crank cannot turn around."
    )


# heat


def warmed(name, piece, added, room, asks, fitted=(0,)):
    """A last pass of two minutes that warms by 4 and 6 degrees; rises 1, 2, 3 ... along the crank."""
    stage = Stub(room=q(room, "N"), step=Stub(fitted=fitted), ends=lambda units: ("50 N", "400 N"))
    made = Stub(power=q(100, "W"), rule_heat=q(10, "W"), shear_heat=q(15, "W"))
    rises = {("journal", 0): 1, ("web", 0): 2, ("pin", 0): 3, ("web", 1): 4, ("journal", 1): 5,
             ("web", 2): 6, ("pin", 1): 7, ("web", 3): 8, ("journal", 2): 9}  # fmt: skip

    def rise_of(kind, index):
        return q(np.where(np.arange(60) == END, rises[kind, index], 99.0), "delta_degC")

    return Stub(
        share=added[1] / room if room else np.inf, stage=stage, piece=piece, asks=asks,
        risen=[q(4.0, "delta_degC"), q(6.0, "delta_degC")], added=[q(one, "N") for one in added],
        course=Stub(rise_of=rise_of), passes=Stub(name=name), minutes=q(2.0, "min"), made=made,
        per_degree=q(20.0, "N/delta_degC"), until=q(1.5, "min"),
    )  # fmt: skip


def heat(*passes, crank=COMPRESSOR.crank):
    return check_heat.look(Stub(warmed=passes, units="mm", crank=crank))


def test_heat_of_a_pass_that_adds_just_what_may_be_added():
    """A pin of 14 mm of 42CrMo4 at 3 degrees: 14 x 12.3e-6 x 3 is 0.52 um too large."""
    found = heat(
        warmed("Finish pin 1", ("pin", 0), (80, 120), 120, "nothing"),
        warmed("Finish the mains", ("journal", 2), (70, 110), 200, "nothing"),
    )
    assert found.verdict == "fine"
    assert found.sentence == (
        "The last pass of “Finish pin 1”, with its spacers in, 2 min long, warms the crank by "
        "4 °C to 6 °C and adds 80 N to 120 N of thrust between rigid centers; 120 N may be added. "
        "Ease the tailstock between passes, never below 50 N. Measure cold: just cut it may read "
        "0.52 µm too large."
    )
    numbers = said(found)
    assert numbers["rise where it is cut, formula"] == "3 °C"
    assert numbers["rise of the web beside it, formula"] == "2 °C"
    assert numbers["Finish the mains: thrust added in one pass"] == "110 N"
    assert numbers["Finish the mains: thrust that may be added"] == "200 N"
    assert numbers["heat into the work, rule"] == "10 W"
    assert numbers["thrust added in one pass, rule"] == "80 N"
    assert numbers["mean rise in one pass, rule"] == "4 °C"


def test_heat_that_is_too_much_says_what_helps_and_where_else():
    """The worst by its share of what may be added comes first, whatever the order."""
    other = warmed("Finish the mains", ("journal", 1), (70, 121), 110, "stop")
    quiet = warmed("Finish pin 2", ("pin", 1), (7, 10), 100, "nothing")
    stop = warmed("Rough the mains", ("journal", 0), (80, 121), 100, "stop", fitted=())
    found = heat(quiet, other, stop)
    assert found.verdict == "look"
    assert "“Rough the mains”, with no spacer in, 2 min" in found.sentence
    assert found.sentence.partition(" of thrust between rigid centers")[2] == (
        ", and too much in “Finish the mains” as well; 100 N may be added, reached after 1.5 min "
        "in the cut: stop the spindle and ease the tailstock by then, never below 50 N, or use a "
        "spring-loaded center. Measure cold: just cut it may read 0.2 µm too large."
    )
    hasty = heat(warmed("Rough the mains", ("journal", 0), (80, 121), 100, "all"))
    assert (
        "; 100 N may be added, too little to stop for: ease the tailstock all the time, never "
        "below 50 N, or use a spring-loaded center." in hasty.sentence
    )


@pytest.mark.parametrize(
    ("piece", "web"),
    [
        (("journal", 0), 2),
        (("pin", 0), 2),
        (("journal", 1), 4),
        (("pin", 1), 6),
        (("journal", 2), 8),
    ],
)
def test_the_web_beside_a_piece_is_the_one_before_it(piece, web):
    """Along a crank of two throws: main 1, web, pin, web, main, web, pin, web, main 3."""
    found = heat(warmed("a pass", piece, (1, 2), 100, "nothing"))
    assert said(found)["rise of the web beside it, formula"] == f"{web} °C"


def test_a_pass_ends_at_the_moment_that_is_read():
    """Twenty moments up to the end of the pass, then on to ten times as long."""
    work = Workings(PUMP)
    stage = next(one for one in work.pressed if one.step.key == "finish_mains")
    made = _warmed(work, stage, q(20.0, "W/(m**2*K)"))
    time = made.course.time.m_as("min") / made.minutes.m_as("min")
    assert time[: END + 1] == pytest.approx(np.arange(1, 21) / 20)
    assert time[-1] == pytest.approx(10) and np.all(np.diff(time) > 0)


# speeds and passes


def row(place, diameter, rpm, over=0.5, work="rough", set_by="table", share=0.2):
    return Stub(place=place, diameter=diameter, rpm=rpm, over=over, work=work, set_by=set_by,
                unbalance_share=share, table_m_min=20.0)  # fmt: skip


def speeds(rows, job=PUMP, weights=(1.0, 3.0)):
    """Rows in two steps, the first that pulls hardest, the second that takes the larger weight."""
    steps = [
        Stub(key="rough_mains", name="Rough the mains", speeds=rows),
        Stub(key="finish_mains", name="Finish the mains",
             speeds=[row("main 1", 30.0, 100.0, share=0.1)]),
    ]  # fmt: skip
    plan = Stub(
        steps=[*steps, Stub(key="mill", name="Mill", speeds=[])],
        counterweight=lambda step: weights[steps.index(step)],
        unbalance=lambda step: (1.0, 55.0),
    )
    return check_speeds.look(
        Stub(
            deepest_cuts=(),
            milling_balances=False,
            plan=plan,
            units="mm",
            job=job,
            speeds=[(steps[0], one) for one in rows],
        )
    )


def test_speeds_say_each_place_once_and_its_web_faces():
    found = speeds([
        row("main 1", 78.0, 70.0), row("main 1", 21.0, 210.0),
        row("main 2", 78.0, 70.0), row("main 2", 21.0, 210.0),
        row("pin 1", 70.0, 90.0), row("pin 1", 60.0, 70.0), row("pin 1", 18.5, 200.0),
    ])  # fmt: skip
    assert found.verdict == "fine"
    assert found.sentence == (
        "Turn main 1, 2 from 70 rpm where Ø78 mm swings to 210 rpm finished; pin 1 from 90 rpm "
        "where Ø70 mm swings to 200 rpm finished, its web faces at 70 rpm."
    )
    numbers = said(found)
    assert numbers["pin 1, rough from Ø18.5 mm"] == "200 rpm"
    assert numbers["weight that balances the work, bolted on the driving plate, guarded"] == "3 kg"
    assert found.assumptions == ("the stand bears 60 N of out-of-balance force",)
    assert numbers["out-of-balance force, most"] == "12 N"


@pytest.mark.parametrize(("share", "close"), [(0.85, False), (0.86, True)])
def test_work_that_pulls_with_more_than_its_share_of_what_is_borne_is_said(share, close):
    found = speeds([row("main 1", 78.0, 70.0, share=share)])
    assert found.verdict == ("look" if close else "fine")
    assert close == (
        f" In “Rough the mains” the work pulls with {100 * share:.0f} % of what the stand bears: "
        "start slow, or balance it." in found.sentence
    )


@pytest.mark.parametrize(
    ("over", "verdict", "words"),
    [
        (1.0, "fine", ""),
        (1.2, "look", " At main 1 even the slowest step cuts 20 % faster than the tables' 20 m/min: "
                      "the edge wears 4.3 times as fast."),  # 1.2^8 of high-speed steel
        (1.5, "look", " At main 1 even the slowest step cuts 50 % faster than the tables' 20 m/min: "
                      "the edge wears 26 times as fast."),  # 1.5^8 = 25.6
        (1.51, "not fine", " At main 1 even the slowest step cuts 51 % faster than the tables' "
                           "20 m/min: saw, mill or file there first."),
    ],
)  # fmt: skip
def test_a_slowest_step_that_is_too_fast(over, verdict, words):
    found = speeds([row("main 1", 78.0, 70.0, over=over), row("pin 1", 70.0, 70.0, over=0.9)])
    assert found.verdict == verdict
    assert found.sentence.partition("finished.")[2] == words


def test_work_that_the_stand_does_not_bear_is_balanced():
    found = speeds([row("main 1", 78.0, 70.0, set_by="balanced")], weights=(2.0, 1.0))
    assert found.verdict == "not fine" and found.sentence.startswith(
        "Rough the mains: the swinging work allows 55 rpm, below the slowest gear step. Balance it "
        "with 2 kg at "
    )


def passes(done, job=PUMP):
    plan = Stub(taken=lambda on: {"mill": 12_000.0, "centers": 34_000.0}[on])
    return check_passes.look(Stub(deepest_cuts=(), passes=done, units="mm", plan=plan, job=job))


def one_pass(work, minutes, count, *set_by, name="Rough the mains"):
    return Stub(work=work, time=q(minutes, "min"), count=count, set_by=set_by, name=name)


def test_passes_add_up():
    done = [one_pass("walls", 2.0, 3), one_pass("rough", 5.0, 7), one_pass("finish", 4.0, 2)]
    found = passes(done)
    assert found.verdict == "fine"
    assert found.sentence == "Turning takes 12 passes, 11 min in the cut."
    numbers = said(found)
    assert numbers["minutes in the cut"] == "11 min" and numbers["of these roughing"] == "7 min"
    assert numbers["milled, sawn and filed away"] == "12 cm³"
    assert numbers["turned away"] == "34 cm³"


@pytest.mark.parametrize(
    ("limit", "words"),
    [
        ("gears", " The slowest gear step is faster than the tables' speed for: Finish pin 1."),
        ("stalls", " The drive stalls at some: they cannot be cut so."),
        ("depth", " Drive or crank, not the tool, set the depth."),
    ],
)
def test_what_limits_the_passes_is_said(limit, words):
    done = [one_pass("rough", 5.0, 7), one_pass("finish", 4.0, 2, limit, name="Finish pin 1")]
    found = passes(done)
    assert found.verdict == "look" and found.sentence.endswith(words)


def test_a_feed_that_the_lathe_has_not_is_said():
    """Asked 0.1 mm of a table of 0.05 and 0.2: the next finer one is taken."""
    job = PUMP.typed("feeds", "0.05 0.2 mm").typed("rough_feed", "0.1 mm")
    found = passes([one_pass("rough", 5.0, 7)], job.typed("finish_feed", "0.05 mm"))
    assert found.verdict == "look"
    assert " The lathe has no roughing feed of 0.1 mm: 0.05 mm is taken." in found.sentence
    assert "finishing feed of" not in found.sentence
    assert said(found)["feed taken, finishing"] == "0.05 mm"


@pytest.mark.parametrize(("last", "verdict"), [("0.25 mm", "fine"), ("0.26 mm", "not fine")])
def test_a_last_cut_as_deep_as_what_is_left_is_none_too_deep(last, verdict):
    job = PUMP.typed("finish_allowance", "0.25 mm").typed("last_cut", last)
    assert passes([one_pass("rough", 5.0, 7)], job).verdict == verdict


# bearings


def borne(job, mains, pins=(100.0, 100.0), banks=1, **answers):
    """A crank whose mains and pins bear so many newtons, steadily."""
    for key, text in answers.items():
        job = job.typed(key, text)
    steady = [[q(0.0, "N").magnitude + load] * 4 for load in mains], [[load] * 4 for load in pins]
    loads = Stub(bearing_load=q(np.array(steady[0]), "N"), rod_force=-q(np.array(steady[1]), "N"))
    work = Stub(
        job=job, units="mm", crank=job.crank, loads=loads, banks_of=lambda throw: [0] * banks
    )
    return check_bearings.look(work)


def test_a_bushing_bears_and_rubs_by_hand():
    """Compressor at 300 rpm in tin bronze (25 MPa, 1 m/s, 1.75 MPa m/s): main 2, Ø16 with 17.6 mm
    straight, under 1500 N, 5.33 MPa at 16 pi 300/60000 = 0.2513 m/s, 1.339 MPa m/s, 76.5 % of 1.75;
    pin 1, Ø14 with 13.6 mm, under 300 N, 1.58 MPa, at 0.22 m/s 22 % of 1.
    """
    found = borne(COMPRESSOR, (10, 1500, 20), (300, 200), crank_speed="300 rpm",
                  machine="air compressor", bushing_length="")  # fmt: skip
    numbers = said(found)
    assert numbers["main 2: straight length"] == "17.6 mm"
    assert numbers["main 2: pressure"] == "5.33 MPa"
    assert numbers["main 2: rubbing speed"] == "15.1 m/min"
    assert numbers["pin 1: straight length"] == "13.6 mm"
    assert numbers["pin 1: pressure"] == "1.58 MPa"
    assert numbers["pin 1: rubbing speed"] == "13.2 m/min"
    assert (
        numbers["main 2: limit over load"] == "1.31" and numbers["pin 1: limit over load"] == "4.55"
    )
    assert not any(label.startswith(("main 1", "main 3", "pin 2")) for label in numbers)
    assert found.verdict == "look" and found.sentence == (
        "Main 2 in tin bronze bears and rubs 76 % of its limit; pin 1 in tin bronze rubs at 22 % of "
        "its limit."
    )
    shorter = said(borne(COMPRESSOR, (10, 1500, 20), (300, 200), crank_speed="300 rpm",
                         machine="air compressor", bushing_length="10 mm"))  # fmt: skip
    assert shorter["main 2: straight length"] == "10 mm"
    side = said(borne(COMPRESSOR, (10, 1500, 20), (1, 2, 300, 200), banks=2, crank_speed="300 rpm",
                      machine="air compressor"))  # fmt: skip
    assert side["pin 2: straight length"] == "6.8 mm" and side["pin 2: pressure"] == "3.15 MPa"


def test_end_mains_in_ball_bearings_are_no_bushings():
    """Rating 2 kN under 200 N: (10)^3 million turns, 33 h at 500 000 rpm ... at 500 rpm 33 333 h."""
    found = borne(COMPRESSOR, (50, 10, 200), crank_speed="500 rpm", machine="air compressor",
                  main_bearing="ball bearing", dynamic_rating="2000 N")  # fmt: skip
    numbers = said(found)
    assert numbers["main 3: equivalent load"] == "200 N"
    assert numbers["main 3: rating life"] == "33300 h"
    assert "Main 3" not in found.sentence and found.sentence.startswith(
        "The ball bearing of main 3 lasts 33000 h by its rating; main 2 in "
    )
    assert numbers["main 2: straight length"] == "17.6 mm"
    assert not any("main 1" in label for label in numbers)


@pytest.mark.parametrize(
    ("load", "verdict", "words"),
    [
        (643.0, "fine", "lasts 1000 h by its rating;"),  # (2000/643)^3 million turns at 500 rpm
        (645.0, "look", "lasts 990 h by its rating;"),
        (1385.0, "look", "lasts 100 h by its rating;"),
        (1390.0, "not fine", "lasts 99 h by its rating: take one of a higher rating;"),
        (60.0, "fine", "lasts more than a million hours by its rating;"),
    ],
)
@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")  # so heavy a load
def test_a_ball_bearing_lasts_a_thousand_hours(load, verdict, words):
    found = borne(COMPRESSOR, (load, 1, 1), (1.0, 1.0), crank_speed="500 rpm",
                  machine="air compressor", main_bearing="ball bearing", dynamic_rating="2000 N")  # fmt: skip
    assert found.verdict == verdict
    assert f"The ball bearing of main 1 {words}" in found.sentence


def test_tight_pairs_are_measured_where_no_more_clearance_can_be_had():
    seated = Stub(bearing=Stub(name="6004"), ring=Stub(loosest=q(4.0, "um")), usual=q(-3.0, "um"))
    usual, more = (_fault_words(seated, "main Ø20 mm k6", group, "mm") for group in ("CN", "C3"))
    assert more["may be squeezed"] == (
        "on main Ø20 mm k6 tight pairs squeeze the balls of the 6004: measure ring and seat"
    )
    assert usual["may be squeezed"].endswith("order it with more internal clearance, C3")
    assert "are squeezed by 3 µm; take a looser class" in usual["squeezed"]
    assert "is loose on main Ø20 mm k6, by up to 4 µm: it creeps" in usual["loose"]
    assert "may be loose on main Ø20 mm k6 by up to 4 µm: measure" in usual["may be loose"]


def test_bushings_alone_are_chamfered():
    """1.5 mm is the pump's largest fillet."""
    plain, balls = (
        check_fits.look(Stub(job=job, crank=PUMP.crank, units="mm")).sentence
        for job in (
            PUMP.typed("main_bearing", "bushing"),
            PUMP.typed("main_bearing", "ball bearing"),
        )
    )
    chamfer = "hamfer every bushing more than 1.5 mm, so that it clears the fillets"
    assert chamfer in plain and chamfer not in balls


def test_planes_share_by_the_lever():
    """The pump's end mains are 45 mm of 140 mm: their middles at 22.5 and 117.5. A crank whose middle
    of mass lies at 41.5, a fifth of the way, leaves four fifths to the left one.
    """
    shares = _plane_shares(Crank.load("pump"), Stub(center=(q(41.5, "mm"),)))
    assert shares == pytest.approx([0.8, 0.2])
    uneven = PUMP.crank.with_throw(0)  # as it is
    assert _plane_shares(uneven, Stub(center=(q(117.5, "mm"),))) == pytest.approx([0, 1])


# answers


def test_a_row_is_shown_in_either_system():
    feeds = BY_KEY["feeds"]
    assert feeds.shown((0.0508, 0.127), "in") == "0.002 0.005 in"
    assert feeds.shown((0.05, 0.1), "mm") == "0.05 0.1 mm"
    assert BY_KEY["gear_table"].shown((70.0, 130.0), "in") == "70 130 rpm"


# squeeze and hold


def stage(name, moved, allowed, most, least=50.0, scant=40.0, **more):
    one = Stub(
        step=Stub(key=name, name=name, fitted=more.get("fitted", ())), what="runout of the mains",
        moved=q(moved, "um"), allowed=q(allowed, "um"), share=moved / allowed,
        most=q(most, "N"), bends=more.get("bends", False), stress=q(more.get("stress", 10.0), "MPa"),
        thrust=q(more.get("thrust", 400.0), "N"), least=q(least, "N"), scant=q(scant, "N"),
        rough=name.startswith("Rough"), where=f"cutting {name[-6:]}",
    )  # fmt: skip
    one.ends = lambda units: (f"{least:g} N", f"{most:g} N")
    one.told = lambda units: f"{more.get('thrust', 400.0):g} N"
    one.holds, one.cut_asks = least <= most, q(more.get("cut_asks", least), "N")
    return one


def squeezed(*stages, look="squeeze", job=PUMP, thrust="400 N"):
    work = Stub(
        units="mm", job=job.typed("thrust", thrust), pressed=stages, deepest_cuts=(),
        empty_squeeze=Stub(largest_runout=q(47.0, "um")), yield_strength=q(340, "MPa"),
        held={one.step.key: (one.cut_asks,) for one in stages},
    )  # fmt: skip
    return {"squeeze": check_squeeze, "hold": check_hold}[look].look(work)


@pytest.mark.parametrize(("moved", "verdict"), [(8.5, "fine"), (8.6, "look"), (10.0, "look")])
def test_a_squeeze_within_what_is_allowed(moved, verdict):
    """Up to 85 % of it is fine; the step that bears least thrust is named with its most."""
    found = squeezed(
        stage("Rough the mains", 100.0, 250.0, 350.0), stage("Finish the mains", moved, 10.0, 470.0)
    )
    assert found.verdict == verdict
    assert found.sentence == (
        f"Pressed with 400 N, with no spacer in, “Finish the mains” leaves {moved:g} µm runout of "
        "the mains, 10 µm allowed; at most 350 N in “Rough the mains”."
    )
    assert found.assumptions == () and said(found)["runout after release, no spacer"] == "47 µm"
    assert said(found)["Finish the mains: thrust at most"] == "470 N"


def test_a_squeeze_that_is_too_much_says_where_and_what_helps():
    rough, finish = (
        stage("Rough the mains", 300.0, 250.0, 333.0), stage("Finish the mains", 13.0, 10.0, 310.0)
    )  # fmt: skip
    found = squeezed(rough, finish)
    assert found.verdict == "not fine" and found.sentence == (
        "Pressed with 400 N, with no spacer in, “Finish the mains” leaves 13 µm runout of the mains, "
        "10 µm allowed: press no harder than 310 N there, or fit spacers before it; “Rough the "
        "mains” leaves 300 µm runout of the mains, 250 µm allowed: no harder than 333 N there."
    )
    fitted = stage("Finish the mains", 13.0, 10.0, 310.0, fitted=(0,))
    found = squeezed(fitted, stage("Rough the mains", 250.0, 250.0, 400.0))
    assert found.sentence.startswith(
        "Pressed with 400 N, with spacers in, “Finish the mains” leaves"
    )
    assert found.sentence.endswith("10 µm allowed: press no harder than 310 N there.")


def test_a_squeeze_that_bends_the_crank_for_good():
    found = squeezed(
        stage("Rough the mains", 1.0, 250.0, 390.0, bends=True, stress=350.0),
        stage("Rough pin 1", 1.0, 250.0, 380.0, bends=True, stress=360.0, thrust=410.0),
        stage("Finish the mains", 1.0, 10.0, 370.0, stress=400.0),
    )
    assert found.verdict == "not fine" and found.sentence == (
        "Pressed with 410 N the nominal stress in “Rough pin 1”, 360 MPa, passes the yield strength "
        "of 340 MPa: the crank would stay bent. Press no harder than 370 N."
    )


def test_work_that_any_thrust_throws_or_bends():
    found = squeezed(
        stage("Rough the mains", 1, 10, 100, least=110.0), stage("Rough pin 1", 1, 10, 90, least=120.0),
        stage("Finish the mains", 1, 10, 500), look="hold",
    )  # fmt: skip
    assert found.verdict == "not fine" and found.sentence == (
        "The cut would throw the work out of its centers: at least 120 N in “Rough pin 1”, cutting "
        " pin 1, and 90 N is the most that the step bears. Take lighter cuts, stouter webs, or fit "
        "spacers."
    )


@pytest.mark.parametrize(("cut_asks", "spacers"), [(90.0, True), (90.1, False)])
def test_it_is_the_cut_or_the_spacers_that_ask_for_too_much(cut_asks, spacers):
    found = squeezed(
        stage("Finish the mains", 1, 10, 90, least=120.0, cut_asks=cut_asks), look="hold"
    )
    assert found.verdict == "not fine" and found.sentence.startswith(
        "No thrust is right with the spacers that are accepted for 400 N: at least 120 N in"
        if spacers else "The cut would throw the work out of its centers: at least 120 N in"
    )  # fmt: skip
    assert ("Answer with less thrust" in found.sentence) == spacers


@pytest.mark.parametrize(
    ("thrust", "verdict", "words"),
    [
        ("300 N", "fine", "Pressed with 300 N the work stays in its centers: at least 300 N in "
                          "“Rough the mains”, cutting  mains. Ease the tailstock no further than that."),
        ("299 N", "look", "Pressed with 299 N the work holds for finishing, at least 200 N in “Finish "
                          "the mains”, cutting  mains, but not for roughing, at least 300 N in “Rough "
                          "the mains”, cutting  mains. Set the thrust that each step names."),
        ("200 N", "look", "Pressed with 200 N the work holds for finishing,"),
        ("199 N", "look", "Pressed with 199 N the cut may throw the work out of its centers: at least "
                          "200 N in “Finish the mains”, cutting  mains, 150 N if a greased center's "
                          "friction is counted on. Press harder."),
        ("150 N", "look", "Pressed with 150 N the cut may throw"),
        ("149 N", "not fine", "Pressed with 149 N the cut throws the work out of its centers: at least"),
    ],
)  # fmt: skip
def test_a_thrust_that_holds_for_some_steps(thrust, verdict, words):
    found = squeezed(
        stage("Rough the mains", 1, 10, 900, least=300.0, scant=280.0),
        stage("Finish the mains", 1, 10, 900, least=200.0, scant=150.0),
        stage("Finish pin 1", 1, 10, 900, least=190.0, scant=140.0),
        look="hold", thrust=thrust,
    )  # fmt: skip
    assert found.verdict == verdict and found.sentence.startswith(words)
    assert said(found)["Rough the mains: with a greased center's friction"] == "280 N"
    assert said(found)["Finish pin 1: thrust at least"] == "190 N"
    assert said(found)["thrust"] == thrust


# spacers


def spacers(doubt, window, read=(1.0, 2.0), spacers="in every throw", job=PUMP, **more):
    """Spacers whose misfit may run from -5 um over a window; known to ``doubt`` um."""
    low = q(more.get("low", -5.0), "um")
    high = q(window - 5.0, "um")
    answers = (
        job.typed("spacers", spacers).typed("spacer_doubt", f"{doubt} um").typed("thrust", "400 N")
    )
    return check_spacers.look(Stub(
        units="mm", job=answers, crank=job.crank, spacer_diameter=q(15, "mm"),
        packed_squeeze=Stub(spacer_force=q(np.array([[100.0, 250.0]]), "N"), largest_runout=q(2, "um")),
        misfit_limits=(low, high), gripped_misfit=q(more.get("gripped", -7.0), "um"),
        empty_squeeze=Stub(largest_runout=q(more.get("empty", 47.0), "um")), aimed_misfit=q(0.5, "um"),
        budget=Stub(misfit=q(9.0, "um"), misfit_left=q(4.0, "um")), fitted=job.crank.throws,
        read_misfit=read and tuple(q(one, "um") for one in read), spacer_thrust=q(450, "N"),
        accepted_misfit=(q(-2.0, "um"), q(5.0, "um")), needless=more.get("needless", False),
    ))  # fmt: skip


def test_spacers_by_how_well_their_length_is_known():
    """A window of twice what is not known passes, of four times it is fine."""
    verdicts = [spacers(2.0, window).verdict for window in (3.99, 4.0, 7.99, 8.0)]
    assert verdicts == ["not fine", "look", "look", "fine"]
    found = spacers(1.0, 11.0)
    assert found.sentence == (
        "The spacer of Ø15 mm may be from 5 µm too short to 6 µm too long; you know its length "
        "against the gap to ±1 µm, which is enough."
    )
    numbers = said(found)
    assert (
        numbers["most that a spacer bears"] == "250 N" and numbers["misfit to aim at"] == "0.5 µm"
    )
    assert numbers["shortest misfit"] == "−5 µm" and numbers["longest misfit"] == "6 µm"
    assert numbers["tolerance of each, in its own direction"] == "4 µm"
    tight = spacers(10.0, 11.0).sentence
    assert tight.endswith(
        "±10 µm: the window is narrower than that. Measure better, or allow more runout."
    )
    spared = spacers(10.0, 11.0, needless=True).sentence
    assert spared.endswith("Measure better, press less and fit none, or allow more runout.")
    loose = spacers(100.0, 11.0, low=-np.inf).sentence
    assert loose.endswith("Measure better, press harder, or fit none.")


def test_spacers_that_are_not_gripped_fly():
    found = spacers(0.5, 11.0, gripped=-3.0)
    assert (
        "from 3 µm too short to 6 µm too long, a shorter one is not gripped and flies;"
        in found.sentence
    )
    free = spacers(0.5, 11.0, low=-np.inf)
    assert "; with no more than 450 N none is needed" in free.sentence


def test_spacers_each_off_its_own_way():
    found = spacers(0.5, 11.0, read=None, job=COMPRESSOR)
    assert found.verdict == "look" and found.sentence.startswith(
        "Made alike, each spacer of Ø15 mm may be from"
    )
    assert found.sentence.endswith(
        "to ±0.5 µm; errors of that size, each in its own direction, may leave 9 µm of runout, 10 µm "
        "allowed: know each to ±3.5 µm, comparing it under one indicator."
    )
    assert spacers(0.5, 11.0, read=None, job=COMPRESSOR, low=-np.inf).sentence.endswith(
        "under one indicator, or leave all of them out."
    )


def test_gaps_that_are_left_open_still_close():
    some = "in the first throw only"
    found = spacers(0.5, 11.0, job=COMPRESSOR, spacers=some)
    assert found.verdict == "look" and found.sentence.endswith(
        "±0.5 µm, with gaps left open that still close."
    )
    assert spacers(0.5, 11.0, job=PUMP, spacers=some).verdict == "fine"


def test_no_spacers():
    fine, bad = (spacers(1.0, 11.0, spacers="none", empty=empty) for empty in (10.0, 10.1))
    assert fine.verdict == "fine" and "none are needed at this thrust." in fine.sentence
    assert bad.verdict == "not fine" and bad.sentence == (
        "No spacers are fitted: the thrust asks for them."
    )


# measuring


def test_a_runout_is_known_to_what_the_dial_says():
    """Divisions of 2 um, off by 3: 1.96 sqrt((2 sqrt(2/12) 2/sqrt 12)^2 + 3) is 3.5 um; of 10 um
    6.5 are left, three lines of 2.
    """
    job = PUMP.typed("allowed_runout", "10 um")
    found = check_runout.look(
        Stub(job=job.typed("indicator", "lever indicator 0.002 mm"), units="mm", crank=PUMP.crank)
    )
    assert found.verdict == "look"
    assert (
        "between centers a runout is known to ±3.5 µm where 10 µm is allowed, a large part of it, "
        "so aim well inside: accept readings up to 6 µm."
    ) in found.sentence
    assert said(found)["accept up to"] == "6 µm" and said(found)["reject above"] == "13.5 µm"
    wide = check_runout.look(
        Stub(job=job.typed("allowed_runout", "14.1 um"), units="mm", crank=PUMP.crank)
    )
    assert wide.verdict == "fine" and wide.sentence.endswith("enough to tell good from bad.")
    blind = check_runout.look(
        Stub(job=job.typed("allowed_runout", "3.5 um"), units="mm", crank=PUMP.crank)
    )
    assert blind.verdict == "cannot tell" and blind.sentence.endswith(
        "measure with something finer, with divisions of 0.5 µm or less."
    )
    vees = job.typed("supports", next(o for o in BY_KEY["supports"].options if "centers" not in o))
    lying = check_runout.look(Stub(job=vees, units="mm", crank=COMPRESSOR.crank))
    assert lying.verdict == "cannot tell"
    assert lying.sentence.startswith("Main 1 and main 3 lie in the vees")


def test_a_size_is_known_to_what_the_micrometer_says():
    """Off by 3 um: 1.96 x 3/sqrt 3 = 3.39 um; of 13 um on the main 6.5 either way, of 11 on the pin."""
    found = check_sizes.look(
        Stub(job=PUMP.typed("micrometer_doubt", "3 um"), units="mm", crank=PUMP.crank)
    )
    assert found.verdict == "look" and found.assumptions == ()
    assert found.sentence == (
        "With the micrometer a diameter is known to ±3.4 µm where main Ø20 mm h6 has 13 µm of "
        "tolerance, a large part of it, so aim well inside."
    )
    blunt = check_sizes.look(
        Stub(job=PUMP.typed("micrometer_doubt", "5 um"), units="mm", crank=PUMP.crank)
    )
    assert (
        blunt.verdict == "cannot tell"
        and "pin Ø18 mm h6 has 11 µm of tolerance, so nothing" in blunt.sentence
    )
    assert said(blunt)["pin Ø18 mm h6: accept"] == "cannot tell"


# words


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (0.0, 0.0456, ("0 mm", "0.045 mm")), (0.0411, 1.239, ("0.042 mm", "1.2 mm")),
        (-0.0411, 12.39, ("−0.041 mm", "12 mm")), (123.0, 123.9, ("123 mm", "123 mm")),
        (5.0, 4.0, ("5 mm", "4 mm")), (1.0, np.inf, ("1 mm", "no limit")),
    ],
)  # fmt: skip
def test_a_least_and_a_most_are_never_laxer_for_their_rounding(low, high, said):
    """Two figures, the least up and the most down, or as many as keep them apart."""
    assert limits_shown(q(low, "mm"), q(high, "mm"), "length", "mm") == said
    finer = limits_shown(q(0.04114, "mm"), q(1.2399, "mm"), "length", "mm", 3)
    assert finer == ("0.0412 mm", "1.23 mm")


def test_one_limit_alone_is_never_laxer_for_its_rounding():
    """Two figures of 1.2399 and 0.04114 mm, three of them; what needs no rounding stays."""
    assert most_shown(q(1.2399, "mm"), "length", "mm") == "1.2 mm"
    assert most_shown(q(1.2399, "mm"), "length", "mm", 3) == "1.23 mm"
    assert least_shown(q(0.04114, "mm"), "length", "mm") == "0.042 mm"
    assert least_shown(q(0.04114, "mm"), "length", "mm", 3) == "0.0412 mm"
    assert least_shown(q(0.0254, "mm"), "length", "mm", 3) == "0.0254 mm"


def test_a_window_is_read_in_an_instrument_s_last_digit():
    """19.9911 to 19.9986 mm in thousandths: 19.992 to 19.998; one digit alone is no window."""
    assert read_between(q(19.9911, "mm"), q(19.9986, "mm"), "mm", 3) == (19.992, 19.998)
    assert read_between(q(19.991, "mm"), q(19.992, "mm"), "mm", 3) == (19.991, 19.992)
    assert read_between(q(19.9911, "mm"), q(19.9929, "mm"), "mm", 3) is None
    assert read_between(q(25.4, "um"), q(76.3, "um"), "thousandth", 2) == (1.0, 3.0)


def test_times_and_no_limit_in_words():
    """Below a minute in seconds, from five hours in hours."""
    minutes = (0.0, 0.99, 1.0, 299.0, 300.0, np.inf)
    told = [shown(q(one, "min"), "time", "mm") for one in minutes]
    assert told == ["0 min", "59.4 s", "1 min", "299 min", "5 h", "no limit"]
    assert shown(q(-np.inf, "um"), "fine", "mm") == "any"
    assert shown(np.inf, "plain", "mm") == "no limit" and shown(0.66666, "plain", "mm") == "0.667"
    assert shown(q(1, "N"), "force", "in") == "0.225 lbf"


def test_a_spacer_as_long_as_its_gap_is_told_so():
    """“From 0 µm too long to 11 µm too long” was told of one."""
    assert _off(Quantity(0.0, "um"), "mm") == "as long as its gap"
    assert _off(Quantity(-3.0, "um"), "mm") == "3 µm too short"
