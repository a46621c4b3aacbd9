"""What checks of bar, centers, swing, cut, tool and strength say of numbers made up here: sentences
beside hand sums, verdicts at their limits. No job is planned, so these are quick.
"""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from helpers import said

from crankmath.crank import Crank
from crankmath.job import Job
from crankmath.job import pressed as pressed_of
from crankmath.job.checks import blank, cutting, squeeze, strength, tool
from crankmath.job.fields import BANKS
from crankmath.job.pressed import END, Pressed, Warmed
from crankmath.job.report import CHECKS, Report
from crankmath.job.spacer_fit import SpacerWorkings
from crankmath.job.variants import _differ
from crankmath.job.verdicts import Check, Number
from crankmath.job.workings import Cut, Workings
from crankmath.spacers import Spacer
from crankmath.units import Quantity

PUMP = Job.load("pump")
Stub, q = SimpleNamespace, Quantity


# force


def cut(share=0.5, depth=1.0, speed=20.0, force=300.0, passive=80.0, place="pin 1", **more):
    return Stub(
        share=share, depth=q(depth, "mm"), speed=q(speed, "m/min"), force=q(force, "N"),
        passive=q(passive, "N"), spindle_speed=q(100, "rpm"), diameter=q(60, "mm"),
        power=q(300 * share, "W"), left=q(300, "W"), torque=q(9, "N*m"), place=place,
        step=Stub(name="Rough the mains"), work="rough", least_force=q(force / 2, "N"),
        least_passive=q(passive / 2, "N"), **more,
    )  # fmt: skip


def forced(one, stress=34.0, job=PUMP, more=(), thinned=None):
    last = {"pin 1": cut(force=40.0, passive=30.0), "main 1": cut(force=50.0, passive=20.0)}
    job = job.typed("rough_depth", "1 mm")
    return cutting.check_force.look(Stub(
        job=job, units="mm", rough_cut=one, rough_cuts=(one, *more), last_cuts=last,
        pushed=((q(700, "N"), 0), (q(900, "N"), 1)), yield_strength=q(340, "MPa"), crank=job.crank,
        bent=(Stub(depth=q(1.0, "mm"), place="pin 1"), q(stress, "MPa")), thinned=thinned,
        steel=Stub(source=lambda name: f"{name} as printed"),
    ))  # fmt: skip


MORE_DRIVE = " Take gears or a belt, more power, a finer feed, or mill more away first."


@pytest.mark.parametrize(("share", "verdict"), [(0.85, "fine"), (0.86, "look"), (1.0, "look")])
def test_what_the_drive_leaves_is_used_by_a_share(share, verdict):
    """0.85 of it is fine; 34 of 340 MPa is a tenth."""
    found = forced(cut(share))
    assert found.verdict == verdict
    assert found.sentence.startswith("Roughing 1 mm deep pushes with 300 N and takes ")
    cure = "" if verdict == "fine" else MORE_DRIVE
    assert found.sentence.endswith(
        f", {100 * share:.0f} % of it is used. It stresses the crank to 10 % of its yield strength "
        f"at most.{cure}"
    )
    numbers = said(found)
    assert numbers["largest force on the dog's tail or the driving bolt"] == "900 N"
    assert numbers["cutting force, last cut"] == "50 N"
    assert numbers["force square to the work, last cut"] == "20 N"
    assert numbers["its share of the yield strength"] == "0.1"
    # 300 W at 100 rpm are 28.6 N m before the drive's losses
    assert (
        f"in “Rough the mains” the drive leaves 300 W and {numbers['torque that the drive leaves there']}"
        in found.sentence
    )


def test_a_cut_that_stalls():
    found = forced(cut(1.01))
    assert (
        found.verdict == "not fine"
        and f"a pass of 1 mm needs 303 W there: it stalls.{MORE_DRIVE}" in found.sentence
    )


@pytest.mark.parametrize(
    ("stress", "verdict", "words"),
    [
        (0.5, "fine", ""),
        (0.51, "look", "A roughing pass of 1 mm at pin 1 stresses the crank to 51 % of its yield "
                       "strength; a tool that grabs pushes twice as hard. Take a smaller feed,"),
        (1.0, "look", "to 100 % of its yield strength; a tool that grabs"),
        (1.01, "not fine", "to 101 % of its yield strength: it stays bent. Take a smaller feed,"),
    ],
)  # fmt: skip
def test_a_pass_that_bends_the_work(stress, verdict, words):
    found = forced(cut(0.5), stress=340 * stress)
    assert found.verdict == verdict and words in found.sentence


def test_what_sets_the_depth_of_a_pass_is_said():
    """Where passes are thinnest: more of half the yield strength spent, or of what the drive has."""
    thin = cut(0.5, depth=0.7, place="main 2")
    bends = forced(cut(0.8), thinned=(thin, q(0.3 * 340, "MPa")))
    assert bends.verdict == "look" and bends.sentence == (
        "Passes of 0.7 mm are all that the crank bears at main 2, where 1 mm was asked for: they "
        "stress it to 30 % of its yield strength. Take a smaller feed, or leave less to rough between "
        "centers."
    )
    drives = forced(cut(0.8), thinned=(cut(0.7, depth=0.7), q(0.3 * 340, "MPa")))
    assert drives.verdict == "look"
    assert drives.sentence.endswith(
        f": passes of 0.7 mm are all that it drives; 1 mm was asked for.{MORE_DRIVE}"
    )
    assert forced(cut(0.5), stress=0.3 * 340).verdict == "fine"


def test_a_force_beyond_the_speeds_of_its_source_is_counted_on_the_safe_side():
    """Kienzle's correction is known up to 100 m/min."""
    slow, fast = (forced(cut(0.5, speed=speed)).assumptions for speed in (100.0, 101.0))
    assert not any("counted as" in words for words in slow)
    assert any(
        "faster than 100 m/min, up to 101 m/min here: counted as at 100" in one for one in fast
    )


# roundness


@pytest.mark.parametrize(
    ("lobes", "verdict", "said_so"),
    [
        (11 / 3, "fine", "3.7 µm at most, 1.8 µm at least,"),
        (3.8, "look", "3.8 µm at most, 1.9 µm at least,"),
        (11.0, "look", "11 µm at most, 5.5 µm at least,"),
        (11.2, "not fine", "11 µm at most, 5.6 µm at least,"),
    ],
)
def test_roundness_by_the_share_of_the_tolerance(lobes, verdict, said_so, monkeypatch):
    """h6 of the pin is 11 um, of the main 13: a third of it is fine. Half the push leaves half."""
    monkeypatch.setattr(
        cutting.deflection,
        "out_of_round",
        lambda crank, at, passive, force, setup: q(lobes * (at[0] == "pin"), "um"),
    )
    monkeypatch.setattr(cutting.deflection, "size_error", lambda *given: q(7, "um"))
    work = Stub(
        crank=PUMP.crank,
        job=PUMP,
        units="mm",
        last_cuts={"pin 1": cut(), "main 2": cut()},
        setup=lambda at: None,
    )
    found = cutting.check_roundness.look(work)
    assert found.verdict == verdict
    assert f"leaves pin 1 out of round by {said_so} where 11 µm is allowed," in found.sentence
    numbers = said(found)
    assert numbers["main 2: tolerance"] == "13 µm" and numbers["main 2: out of round by"] == "0 µm"
    assert numbers["pin 1: finished too large by, until the dial is reset"] == "7 µm"


# tool


def bladed(
    reach=30.0, needed=25.0, gap=10.0, thick="2 mm", dig=0.0, stress=100.0, monkeypatch=None
):
    steps = [
        Stub(name="Rough pin 1", key="rough_pin_1", tool={"reach": reach, "reach_needed": needed},
             cuts=[Stub(place="pin 1", x0=10.0, x1=10.0 + gap), Stub(place="web 1", x0=0, x1=1)]),
        Stub(name="Rough the mains", key="rough_mains", tool={"reach": 99.0, "reach_needed": 98.0},
             cuts=[Stub(place="main 1", x0=0, x1=2)]),
        Stub(name="Mill", key="mill", tool=None, cuts=[]),
    ]  # fmt: skip
    job = PUMP.typed("blade_thickness", thick).typed("edge_width", "2 mm")
    job = job.typed("finish_allowance", "0.25 mm")
    bent = Stub(down=q(3, "um"), dig_in=q(dig, "um"), stress=q(stress, "MPa"))
    monkeypatch.setattr(tool, "tool_bending", lambda section, force: bent)
    return tool.check_tool.look(
        Stub(job=job, units="mm", plan=Stub(steps=steps), rough_cuts=[cut()])
    )


@pytest.mark.parametrize(
    ("answers", "verdict", "words"),
    [
        ({}, "fine", "with 5 mm to spare, 4 mm from each web; roughing digs its edge in by 0 µm, "
                     "which does no harm."),
        ({"needed": 29.0}, "fine", "with 1 mm to spare"),
        ({"needed": 29.1}, "look", "with 0.9 mm to spare"),
        ({"needed": 30.0}, "look", "with 0 mm to spare"),
        ({"needed": 30.5}, "not fine", "blade is too short by 0.5 mm: the work would strike"),
        ({"gap": 2.0}, "not fine", "The pin tool's blade is as wide as the gap: the work would"),
        ({"dig": 25.0}, "fine", "in by 25 µm, which does no harm."),
        ({"dig": 26.0}, "look", "which is much of the finishing allowance: a higher or shorter"),
        ({"dig": 250.0}, "look", "which is much of the finishing allowance: a higher"),
        ({"dig": 251.0}, "not fine", "more than the 0.25 mm left for finishing: a higher or shorter "
                                     "blade, or lighter cuts."),
        ({"stress": 250.0}, "fine", "which does no harm."),
        ({"stress": 251.0}, "look", "no harm, and stresses the blade to 251 MPa, where it bears 500 "
                                    "MPa: a higher or shorter blade, or lighter cuts."),
        ({"stress": 501.0}, "not fine", "to 501 MPa, where it bears 500 MPa: a higher"),
    ],
)  # fmt: skip
def test_a_blade_in_its_gap(answers, verdict, words, monkeypatch):
    found = bladed(**answers, monkeypatch=monkeypatch)
    assert found.verdict == verdict and words in found.sentence
    assert said(found)["Rough the mains: reach needed"] == "98 mm"
    assert said(found)["reach needed"] == f"{answers.get('needed', 25.0):g} mm"


@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")  # the check says it
@pytest.mark.parametrize(
    ("nose", "verdict", "words"),
    [
        # of 0.25 mm all around a fillet of 1.5, a nose r leaves 0.25 x 1.414 - (1.5 - r) 0.414
        ("0.8 mm", "fine", "The roughing tool leaves 0.064 mm in the middle of the arc for the fillet"),
        ("0.64 mm", "look", "the roughing tool cuts 0.0027 mm into the fillet: stop short of the web, or "
                            "round its nose to 0.65 mm or more."),
    ],
)  # fmt: skip
def test_stock_in_the_corner(nose, verdict, words):
    """No stock is left by a nose of 1.5 - 0.25 x 1.414/0.414 = 0.646 mm."""
    job = PUMP.typed("rough_nose", nose).typed("finish_allowance", "0.25 mm")
    found = tool.check_corner.look(Stub(job=job, units="mm", crank=PUMP.crank))
    assert found.verdict == verdict and words in found.sentence
    numbers = said(found)
    assert numbers["least nose radius"] == "0.6464 mm" and numbers["largest fillet"] == "1.5 mm"
    # 1.5 - 0.28 x 3.4142 = 0.544 mm: a nose of 0.54 would still cut in
    more = job.typed("finish_allowance", "0.28 mm").typed("rough_nose", "0.5 mm")
    asked = Stub(job=more, units="mm", crank=PUMP.crank)
    assert tool.check_corner.look(asked).sentence.endswith("round its nose to 0.55 mm or more.")
    thick = PUMP.typed("finish_allowance", "1 mm")
    plenty = tool.check_corner.look(Stub(job=thick, units="mm", crank=PUMP.crank))
    assert said(plenty)["least nose radius"] == "0 mm"


# strength


def strong(low, yielding, printed=True, torque=(10.0, -30.0), mean=-2.0, job=PUMP):
    one = Stub(
        place=Stub(name="pin 1"), safety=3.0, low=low, high=4.0, shoulder=2.7, crank_rule=2.8,
        printed=printed, alternating=q(50, "MPa"), mean=q(9, "MPa"), endurance_limit=q(150, "MPa"),
        ranged="3 (2 to 4)",
    )  # fmt: skip
    loads = Stub(
        rod_force=q(np.array([[100.0, -600.0]]), "N"), mean_torque=q(mean, "N*m"),
        torque=q(np.array(torque), "N*m"),
    )  # fmt: skip
    result = Stub(
        weakest=one, sections=[Stub(yield_safety=yielding), Stub(yield_safety=9.0)], grain=""
    )
    steel = Stub(tensile_strength=q(630, "MPa"), source=lambda name: f"{name}, from memory")
    return strength.check_strength.look(Stub(
        job=job.typed("machine", "liquid pump"), steel=steel, yield_strength=q(340, "MPa"), units="mm",
        crank=job.crank, strength=result, loads=loads,
    ))  # fmt: skip


@pytest.mark.parametrize(
    ("low", "yielding", "verdict", "words"),
    [
        (1.5, 1.5, "fine", "1.5 against yielding: by this sum it lasts. An estimate,"),
        (1.49, 1.5, "look", "1.5 against yielding: little margin for what was not measured."),
        (1.5, 1.4, "look", "1.4 against yielding: little margin"),
        (1.0, 2.0, "look", "little margin"),
        (0.99, 2.0, "not fine", "2 against yielding: it may crack: larger fillets, thicker webs,"),
        (2.0, 0.99, "not fine", "it may crack"),
    ],
)
def test_strength_is_fine_from_one_and_a_half(low, yielding, verdict, words):
    found = strong(low, yielding)
    assert found.verdict == verdict and words in found.sentence
    assert found.sentence.startswith("Weakest is pin 1: safety factor 3 (2 to 4), ")


def test_numbers_of_the_strength():
    """A torque of a thousandth of a millionth of 600 N on 18 mm is none."""
    numbers = said(strong(2.0, 2.0))
    assert numbers["largest force on a rod"] == "600 N" and numbers["largest torque"] == "30 N·m"
    assert numbers["mean torque, minus where it is driven"] == "−2 N·m"
    assert numbers["in print, as a round shoulder"] == "2.7"
    assert numbers["safety against yielding"] == "2" and numbers["low end"] == "2"
    assert "in print, as a round shoulder" not in said(strong(2.0, 2.0, printed=False))
    none, some = (said(strong(2, 2, mean=one)) for one in (1e-8, 1.1e-8))
    assert none["mean torque, minus where it is driven"] == "0 N·m"
    assert some["mean torque, minus where it is driven"] != "0 N·m"
    assert strong(2, 2).assumptions[0] == ("tensile strength of C45: tensile_strength, from memory")


# blank


def held(most=500.0, bears=15.0, stub=12.0, wanted=10.0, fits=(True, True), reach=None, known=True):
    hole = Stub(standard="DIN 332", name="A4", drill=q(4, "mm"), mouth=q(8.5, "mm"),
                least_depth=q(9, "mm"), cone_depth=q(5, "mm"))  # fmt: skip
    rooms = [Stub(name=name, fits=fit, to_edge=q(16.75, "mm"), to_next=q(9.5, "mm"))
             for name, fit in zip(("main", "pin 1"), fits, strict=True)]  # fmt: skip
    blank_rooms = {"hole_room": lambda layout, hole: rooms}
    work = Stub(
        units="mm", hole=hole, layouts=(None,), most_thrust=q(most, "N") if known else None,
        job=PUMP.typed("center_end", f"{stub} mm").typed("thrust", "400 N"),
        allowed_pressure=q(bears, "MPa"), bolt_reach=reach and q(reach, "mm"),
    )  # fmt: skip
    return work, blank_rooms, wanted


@pytest.mark.parametrize(
    ("answers", "verdict", "words"),
    [
        # 500 N on a ring of 8.5 outside and 4 inside: 500/(pi/4 (8.5^2 - 4^2)) = 11.3 MPa
        ({}, "fine", "Both centers have room on both ends; DIN 332 A4 holes, 8.5 mm across, bear the "
                     "500 N of the step that needs most at 11.3 MPa."),
        ({"bears": 11.2}, "not fine", "at 11.3 MPa, and 11.2 MPa is the most allowed: press less,"),
        ({"known": False}, "cannot tell", "bear the 400 N that was answered (what the cuts need is not known) at"),
        ({"fits": (True, False)}, "not fine", "The center hole of pin 1 has no room on the end face "
                                              "(17 mm to the edge, 9.5 mm to the next): take a larger"),
        ({"stub": 10.0}, "fine", "Both centers have room"),
        ({"stub": 9.9}, "not fine", "A pin center's hole is 9 mm deep and its stub 9.9 mm long: when "
                                    "the main is turned it comes out behind, and the thrust may break "
                                    "what is left. Leave 10 mm of full bar at each end."),
        ({"stub": 4.9}, "not fine", "it comes out behind, its cone cut short, and the thrust"),
        ({"reach": 10.0}, "fine", "at 11.3 MPa."),
        ({"reach": 9.0}, "look", "bears its push no farther than 9 mm from the end face: leave a stub"),
        ({"reach": 5.0}, "look", "no farther than 5 mm from the end face"),
        ({"reach": 4.9}, "not fine", "no farther than 4.9 mm from the end face"),
    ],
)  # fmt: skip
def test_centers_bear_their_thrust(answers, verdict, words, monkeypatch):
    work, rooms, wanted = held(**answers)
    monkeypatch.setattr(blank.center_holes, "hole_room", rooms["hole_room"])
    monkeypatch.setattr(blank.rules, "least_stub", lambda hole: q(wanted, "mm"))
    found = blank.check_centers.look(work)
    assert found.verdict == verdict and words in found.sentence
    assert said(found)["metal to the bar's edge"] == "16.75 mm"
    assert said(found)["metal to the next hole"] == "9.5 mm"


def test_locked_in_stress_names_the_first_step_that_bows_nearly_most(monkeypatch):
    """Of 0.2, 0.298 and 0.3 mm the second is within 1 % of the largest."""
    steps = [Stub(name=name) for name in ("Saw", "Mill", "Rough the mains")]
    monkeypatch.setattr(blank, "least_left", lambda placed, steps, stock: 0.3)

    def found(most, left=0.3):
        monkeypatch.setattr(blank, "least_left", lambda placed, steps, stock: left)
        bows = [(0.01, 0.1, 0.2), (0.02, 0.149, 0.298), (0.03, 0.15, most)]
        plan = Stub(steps=steps, placed=None, bows=lambda: bows)
        steel = Stub(condition="normalized")
        return blank.check_locked_in.look(Stub(plan=plan, units="mm", job=PUMP, steel=steel))

    assert found(0.3).verdict == "fine" and found(0.3, 0.299).verdict == "look"
    assert found(0.3).sentence.startswith(
        "All that is cut away until “Mill” usually bows the work 150 µm, less than what is left"
    )
    assert (
        "“Rough the mains” usually bows the work 150 µm, and at worst 310 µm,"
        in found(0.31).sentence
    )
    assert said(found(0.3))["bow, low"] == "30 µm" and said(found(0.3))["bow, high"] == "300 µm"


def swung(bed=20.0, carriage=10.0, hand=30.0, length=150.0, crank=PUMP.crank):
    steps = [
        Stub(name="Rough the mains", on="centers", cuts=(1,)),
        Stub(name="Mill", on="mill", cuts=(1,)),
    ]
    room = {"swing": 39.0, "over_bed": bed, "over_carriage": carriage}
    lathe = Stub(center_height=q(90, "mm"), between_centers=q(350, "mm"), name="old iron")
    return Stub(
        units="mm", job=Stub(lathe=lathe, __getitem__=None), crank=crank, layouts=(None,),
        bar=Stub(length=q(length, "mm")), plan=Stub(steps=steps, room=lambda step: room),
    ), [Stub(name="main", swing=q(39, "mm"), over_bed=q(hand, "mm"))]  # fmt: skip


@pytest.mark.parametrize(
    ("answers", "verdict", "words"),
    [
        ({}, "fine", "The work and its dog swing clear: 20 mm over the bed and 10 mm over the carriage."),
        ({"hand": 15.0}, "fine", "15 mm over the bed and 10 mm over"),
        ({"bed": 3.0}, "fine", "swing clear: 3 mm over the bed"),
        ({"bed": 2.9}, "look", "swing clear: 2.9 mm over the bed"),
        ({"bed": 0.0}, "look", "swing clear: 0 mm over the bed"),
        ({"bed": -0.1}, "not fine", "In “Rough the mains” the work strikes the bed: 0.1 mm too wide."),
        ({"carriage": -0.4}, "not fine", "In “Rough the mains” the work strikes the carriage: 0.4 mm"),
        ({"bed": 0.0, "carriage": -0.4}, "not fine", "the work strikes the carriage: 0.4 mm too wide"),
        ({"hand": -3.0}, "not fine", "The bar turned on the center of main strikes the bed: 3 mm too"),
        ({"length": 350.0}, "fine", "swing clear"),
        ({"length": 351.0}, "not fine", "The bar of 351 mm is longer than the 350 mm between centers of "
                                        "the old iron."),
    ],
)  # fmt: skip
def test_what_swings_over_bed_and_carriage(answers, verdict, words, monkeypatch):
    work, by_hand = swung(**answers)

    class Answers(dict):
        lathe = work.job.lathe

    work.job = Answers(swing_over_carriage=None)
    monkeypatch.setattr(blank.layout, "swing_check", lambda *given: by_hand)
    found = blank.check_swing.look(work)
    assert found.verdict == verdict and words in found.sentence
    if "length" not in answers or answers["length"] == 350.0:
        left = 350 - answers.get("length", 150.0)
        assert said(found)["room along the bed"] == f"{left:g} mm"


@pytest.mark.parametrize(("height", "verdict"), [(1.0, "not fine"), (1.01, "fine")])
def test_webs_that_swing_as_wide_as_the_lathe_strike_it(height, verdict, monkeypatch):
    """Throw 18 and reach 14, 28 wide: hypot(32, 14) = 34.93 mm."""
    work, by_hand = swung()
    lathe = Stub(**vars(work.job.lathe) | {"center_height": height * PUMP.crank.swing_radius})

    class Answers(dict):
        pass

    work.job = Answers(swing_over_carriage=None)
    work.job.lathe = lathe
    monkeypatch.setattr(blank.layout, "swing_check", lambda *given: by_hand)
    found = blank.check_swing.look(work)
    assert found.verdict == verdict
    assert (verdict == "fine") != found.sentence.startswith(
        "The finished webs swing 34.93 mm about the mains and the old iron clears 34.93 mm: is every"
    )


# pressed, warmed, spacers


def pressed(thrust=400.0, least=300.0, most=500.0):
    units = (q(thrust, "N"), None if least is None else q(least, "N"), None, "")
    return Pressed(Stub(key="rough_mains"), "runout", q(8, "um"), q(10, "um"), q(1, "MPa"),
                   q(most, "N"), False, *units)  # fmt: skip


@pytest.mark.parametrize(
    ("given", "told"), [(300.0, "380 lbf"), (371.2, "380 lbf"), (400.0, "400 lbf")]
)
def test_a_thrust_is_one_number_in_hold_and_squeeze(given, told):
    """A step that asks for 371.2 lbf where less is given is pressed with that, and two figures of it
    on the safe side are 380, whichever check says so. More that is given is said as it is.
    """
    least = q(371.2, "lbf")
    one = Pressed(
        Stub(key="rough_mains", name="Rough the mains", fitted=()), "runout of the mains",
        q(8, "um"), q(10, "um"), q(1, "MPa"), q(900, "lbf"), False, max(q(given, "lbf"), least),
        least, q(300, "lbf"), "at main 1",
    )  # fmt: skip
    finish = replace(one, step=Stub(key="finish_mains", name="Finish the mains", fitted=()),
                     moved=q(1, "um"), thrust=q(given, "lbf"), least=q(200, "lbf"))  # fmt: skip
    work = Stub(
        units="in", job=Job.load("bellows").typed("thrust", f"{given} lbf"), pressed=(one, finish),
        deepest_cuts=(), empty_squeeze=Stub(largest_runout=q(7, "um")), yield_strength=q(340, "MPa"),
        held={},
    )  # fmt: skip
    assert f"Pressed with {told}, with no spacer in" in squeeze.check_squeeze.look(work).sentence
    assert "at least 380 lbf in “Rough the mains”" in squeeze.check_hold.look(work).sentence


def test_room_for_warming_is_what_the_step_bears_beyond_what_it_is_set_to():
    assert pressed().room == q(100, "N") and pressed(thrust=200.0).room == q(200, "N")
    assert pressed(least=None).room == q(100, "N") and pressed(most=350.0).room == q(0, "N")
    assert pressed().share == pytest.approx(0.8) and pressed().rough
    assert (
        pressed(least=500.0).holds and not pressed(least=501.0).holds and pressed(least=None).holds
    )


def test_ends_stand_on_their_sides_of_the_thrust_that_is_set():
    """In two figures 304 to 296 would turn around: as many figures as keep them apart."""
    assert pressed().ends("mm") == ("300 N", "500 N")
    assert pressed(least=303.0, most=506.0).ends("mm") == ("310 N", "500 N")
    assert pressed(thrust=304.0, least=303.0, most=506.0).ends("mm") == ("303 N", "500 N")
    assert pressed(thrust=505.0, least=303.0, most=506.0).ends("mm") == ("310 N", "506 N")
    assert pressed(least=None).ends("mm") == ("400 N", "500 N")


def heated(room, growth=2.0, per_degree=10.0):
    """A crank of 140 mm of C45 that grows by ``growth`` um at the end of a pass of 20 minutes, evenly
    in time: 140 x 11.5e-3 = 1.61 um a degree.
    """
    time = np.arange(1, 41) * 1.0
    course = Stub(growth=q(growth * time / time[END], "um"), time=q(time, "min"))
    made = Stub(rule_heat=q(5, "W"), shear_heat=q(10, "W"))
    stage = Stub(room=q(room, "N"))
    return Warmed(Crank.load("pump"), stage, None, q(20, "min"), ("pin", 0), made, course,
                  q(per_degree, "N/delta_degC"))  # fmt: skip


def test_thrust_that_a_warm_crank_adds():
    rise = 2.0 / 1.61
    one = heated(room=20.0)
    assert [each.magnitude for each in one.risen] == pytest.approx([rise / 2, rise])
    assert [each.m_as("N") for each in one.added] == pytest.approx([5 * rise, 10 * rise])
    assert one.share == pytest.approx(10 * rise / 20) and one.asks == "nothing"
    half = heated(room=5 * rise)
    assert half.share == pytest.approx(2) and half.asks == "stop"
    assert half.until.m_as("min") == pytest.approx(10, rel=0.02)
    assert (
        heated(room=10 * rise * 1.001).asks == "nothing" and heated(room=9.9 * rise).asks == "stop"
    )
    assert heated(room=0.0).asks == "all" and heated(room=0.0).share == np.inf
    # nobody stops a lathe within 15 s: of 20 minutes the eightieth part
    assert heated(room=10 * rise / 100).asks == "all" and heated(room=10 * rise / 40).asks == "stop"


def fitted(doubt=3.0, left=10.0, aimed=1.0, gripped=-9.0):
    made = object.__new__(SpacerWorkings)
    made.kept = {
        name: (value, None, ())
        for name, value in {
            "aimed_misfit": q(aimed, "um"), "gripped_misfit": q(gripped, "um"),
            "budget": Stub(misfit_left=q(left, "um")),
        }.items()
    }  # fmt: skip
    made.job = {"spacer_doubt": q(doubt, "um")}
    return made


def ends(pair):
    return [one.m_as("um") for one in pair]


def test_a_spacer_is_accepted_about_the_one_to_aim_at():
    """What is not known of it, 3 um, and 1 um of lapping; or 85 % of what the runout leaves."""
    assert ends(fitted().accepted_misfit) == pytest.approx([-3, 5])
    assert ends(fitted().read_misfit) == pytest.approx([0, 2])
    assert ends(fitted(left=4.0).accepted_misfit) == pytest.approx([1 - 3.4, 1 + 3.4])
    assert fitted(left=3.5).read_misfit is None
    assert ends(fitted(gripped=-2.0).accepted_misfit) == pytest.approx([-2, 5])
    assert ends(fitted(gripped=-1.0).read_misfit) == pytest.approx([2, 2])
    assert fitted(gripped=-0.9).read_misfit is None


# variants


@pytest.mark.parametrize(
    ("one", "other", "told"),
    [(100.0, 98.01, False), (100.0, 97.9, True), (-100.0, -97.9, True), (np.inf, np.inf, False),
     (np.inf, 5.0, True), (0.0, 0.0, False)],
)  # fmt: skip
def test_numbers_that_differ_by_two_percent_are_told(one, other, told):
    for pair in (
        [Number("a", one, "plain"), Number("a", other, "plain")],
        [Number("a", q(one, "mm"), "length"), Number("a", q(other / 25.4, "in"), "length")],
    ):
        assert _differ(pair) == told
    assert _differ([Number("a", one, "plain"), None])
    assert _differ([Number("a", "dog", "word"), Number("a", "bolt", "word")])
    assert not _differ([Number("a", "dog", "word"), Number("a", "dog", "word")])


# chatter


def remedy(change, value, unit="mm", share=0.9):
    return Stub(change=change, value=q(value, unit), share=share)


@pytest.mark.parametrize(
    ("remedies", "work", "words"),
    [
        ((remedy("smaller nose", 0.2), remedy("less depth", 0.15)), "rough",
         "a nose of 0.2 mm, or no more than 0.15 mm"),
        ((remedy("smaller nose", 0.2), remedy("nose at most", 0.3)), "rough", "a nose of 0.2 mm"),
        ((remedy("nose at most", 0.3), remedy("smaller nose", 0.2, share=1.1)), "rough",
         "a stiffer set-up"),  # a smaller nose is known, and is not enough
        ((remedy("nose at most", 0.3),), "rough", "a nose of at most 0.3 mm"),
        ((remedy("relieved edge", 0.3),), "rough", "an edge relieved to 0.3 mm"),
        ((remedy("relieved edge", 0.29),), "rough", "a stiffer set-up"),
        ((remedy("less depth", 0.001),), "rough", "a stiffer set-up"),
        ((remedy("less depth", 0.001),), "finish", "no more than 0.001 mm"),
        # 20 m/min at Ø60 mm are 106 rpm; the slowest step is 70
        ((remedy("slower", 20.0, "m/min"),), "rough", "slower than 100 rpm"),
        ((remedy("slower", 13.0, "m/min"),), "rough", "a stiffer set-up"),
        ((remedy("less depth", 0.5, share=1.0), remedy("other", 1.0)), "rough", "no more than 0.5 mm"),
        # just quiet at 0.187 mm: at 0.19 it chatters
        ((remedy("less depth", 0.187, share=1.0),), "rough", "no more than 0.18 mm"),
        ((remedy("nose at most", 0.456),), "rough", "a nose of at most 0.45 mm"),
    ],
)  # fmt: skip
def test_remedies_of_chatter_that_can_be_done(remedies, work, words):
    job = PUMP.typed("gear_table", "70 130 200 rpm")
    one = cut()
    one.work = work
    assert cutting._remedies(Stub(remedies=remedies), one, job) == words


def limit(share, deepest=0.4):
    return Stub(share=share, deepest=q(deepest, "mm"), edge=Stub(length=q(0.6, "mm")),
                remedies=(remedy("less depth", deepest),))  # fmt: skip


class Spot:
    """A place whose last cut, roughing and plunging come so near to chatter."""

    def __init__(self, place, last, rough=None, plunge=None, between=True):
        self.place, self.stiffness, self.between_webs = place, q(12, "N/um"), between
        self.last, self.rough = cut(depth=0.25), rough and cut(depth=1.5)
        self.shares = {"last": last, "rough": rough, "plunge": plunge}

    def along(self, one, nose):
        return limit(self.shares["last" if one is self.last else "rough"], 0.2)

    def plunged(self, edge):
        assert edge == q(2, "mm")
        return limit(self.shares["plunge"], 1.2)


def chattering(monkeypatch, *spots):
    monkeypatch.setattr(cutting, "_softest", lambda work: [(one,) for one in spots])
    monkeypatch.setattr(cutting, "_Spot", lambda work, one: one)
    job = (
        PUMP.typed("last_cut", "0.25 mm").typed("nose_radius", "0.4 mm").typed("edge_width", "2 mm")
    )
    return cutting.check_chatter.look(Stub(job=job, units="mm"))


@pytest.mark.parametrize(
    ("last", "verdict", "words"),
    [
        (2 / 3, "fine", "On the finished shape a last cut 0.25 mm deep with a nose of 0.4 mm is quiet."),
        (0.67, "look", "A last cut 0.25 mm deep with a nose of 0.4 mm is close to chatter at pin 1: no "
                       "more than 0.2 mm."),
        (1.0, "look", "is close to chatter at pin 1:"),
        (1.01, "not fine", "A last cut 0.25 mm deep with a nose of 0.4 mm chatters on the finished "
                           "shape, at pin 1: no more than 0.2 mm."),
    ],
)  # fmt: skip
def test_a_last_cut_is_quiet_up_to_two_thirds(last, verdict, words, monkeypatch):
    found = chattering(monkeypatch, Spot("main 1", 0.1), Spot("pin 1", last))
    assert found.verdict == verdict and words in found.sentence
    numbers = said(found)
    assert numbers["stiffness at pin 1"] == "12 N/µm" and numbers["last cut"] == "0.25 mm"
    assert numbers["deepest last cut that stays quiet"] == "0.2 mm"
    assert "deepest roughing that stays quiet at the end" not in numbers
    assert numbers["edge in the last cut"] == "0.6 mm" and numbers["nose radius"] == "0.4 mm"


@pytest.mark.parametrize(
    ("rough", "plunge", "words"),
    [
        (1.0, 1.0, ""),
        (1.01, 1.0, " Roughing main 2 1.5 mm deep may chatter once the crank is slender: no more than "
                    "0.2 mm."),
        (1.0, 1.01, " Plunged at pin 1 with its whole 2 mm edge the pin tool chatters: feed it along, "
                    "or no more than 1.2 mm."),
    ],
)  # fmt: skip
def test_roughing_and_plunging_that_chatter_are_looked_at(rough, plunge, words, monkeypatch):
    found = chattering(
        monkeypatch, Spot("main 2", 0.2, rough, 9.0, between=False), Spot("pin 1", 0.1, 0.5, plunge)
    )
    assert found.verdict == ("look" if words else "fine")
    assert found.sentence.partition("quiet.")[2] == words
    numbers = said(found)
    assert numbers["roughing depth"] == "1.5 mm" and numbers["edge of the pin tool"] == "2 mm"
    assert numbers["widest plunged edge that stays quiet"] == "1.2 mm"


def test_which_mains_a_tool_is_plunged_between():
    """Of a crank with two throws the second main stands between webs, the ends do not, pins do."""
    job = Job.load("compressor")

    def between(kind, index):
        spot = object.__new__(cutting._Spot)
        work = Stub(
            crank=job.crank, job=job, setup=lambda held: Stub(spacers=()), rough_cuts=(),
            last_cuts={f"{'pin' if kind == 'pin' else 'main'} {index + 1}": cut()},
        )  # fmt: skip
        held = index if kind == "pin" else "main"
        spot.__init__(work, q(1, "N/um"), kind, index, held)
        return spot.between_webs, spot.place, spot.rough

    assert [between("journal", index)[0] for index in range(3)] == [False, True, False]
    assert between("pin", 0) == (True, "pin 1", None) and between("journal", 2)[1] == "main 3"


# bar


def barred(width=62.0, height=62.0, size="62 mm", mass=10.0, turned=60.0, shape="round"):
    least = Stub(
        width=q(60, "mm"), height=q(60, "mm"), length=q(163, "mm"), bow=q(0.65, "mm"), shape=shape
    )
    bar = Stub(width=q(width, "mm"), height=q(height, "mm"), shape=shape)
    job = PUMP.typed("bar_size", size)
    return Stub(
        units="mm", job=job, smallest_bar=least, bar=bar, swung={"main": Stub(mass=q(mass, "kg"))},
        plan=Stub(bar_off=(0.9, 1.4)),
    ), Stub(width=q(turned, "mm"), height=q(60, "mm"), shape=shape)  # fmt: skip


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ({}, "The crank needs a round bar of Ø60 mm × 163 mm. Yours, Ø62 mm, leaves 1 mm more all around "
             "and weighs 10 kg. Measure it before sawing: the plan holds up to 0.9 mm under and 1.4 mm "
             "over that size, with more passes the more it is over; black bar may be 1 mm off."),
        ({"height": 61.0}, "leaves 0.5 mm more all around"),
        ({"width": 60.5}, "leaves 0.25 mm more all around"),
        ({"size": ""}, ". The next usual size, Ø62 mm, leaves 1 mm"),
        ({"mass": 25.0}, "weighs 25 kg. Measure"),
        ({"mass": 25.1}, "weighs 25.1 kg: lift it with a hoist or a second person. Measure"),
        ({"turned": 59.4}, "weighs 10 kg. Measure"),
        ({"turned": 59.3}, "weighs 10 kg. Turned about its axis a bar of Ø59.3 mm would hold it;"),
        ({"width": 50.0}, "the more it is over."),
        ({"width": 81.0}, "; black bar may be 1.3 mm off."),
        ({"width": 201.0}, "the more it is over."),
        ({"shape": "square", "width": 62.0}, "the more it is over."),
    ],
)  # fmt: skip
def test_a_bar_and_what_it_may_measure(answers, words, monkeypatch):
    work, turned = barred(**answers)
    monkeypatch.setattr(blank, "smallest_turned_bar", lambda job: turned)
    found = blank.check_bar.look(work)
    assert found.verdict == "fine" and words in found.sentence
    assert (found.assumptions == ()) == (answers.get("size") != "")
    assert said(found)["bar may measure under its size by"] == "0.9 mm"
    assert said(found)["bow of the bar inside these"] == "0.65 mm"


# report


def reported(**verdicts):
    """A report whose checks are all fine but for those named."""
    report = Report(PUMP, None)
    for number, kind in enumerate(CHECKS):
        verdict = verdicts.get(kind.key, "fine")
        report._found[kind.key] = Check(
            kind.key, f"Title {number}", "07-x", "", "", "", verdict, "Said.", (), (), ("assumed",)
        )
    return report


def test_a_report_counts_and_sorts():
    count, (first, second, third, *_rest) = len(CHECKS), [kind.key for kind in CHECKS]
    fine = reported()
    assert fine.summary == f"pump: of {count} checks {count} fine. Nothing is past a limit."
    assert not fine.failed and fine.assumptions == ("assumed",)
    bad = reported(**{second: "not fine", first: "look", third: "cannot tell"})
    assert bad.summary == (
        f"pump: of {count} checks 1 not fine, 1 cannot tell, 1 look, {count - 3} fine. Not fine: title "
        "1. Change something before cutting. Cannot tell: title 2."
    )
    assert bad.failed and [one.title for one in bad.worst_first[:4]] == [
        "Title 1", "Title 2", "Title 0", "Title 3",
    ]  # fmt: skip
    unknown = reported(**{third: "cannot tell"})
    assert unknown.summary.endswith("Cannot tell: title 2. Nothing else is past a limit.")
    assert bad.lines()[1] == "On the lathe named night school lathe."
    assert bad.lines()[2] == "NOT FINE     Title 1: Said. [lesson 07]"
    assert bad.changed_since(unknown) == "Title 0: fine, now look; Title 1: fine, now not fine."
    assert bad.changed_since(bad) == "No verdict changes."


# what checks share


def shared(job=PUMP, **known):
    """Workings of which some are known already."""
    work = Workings(job)
    work.kept.update({name: (value, None, ()) for name, value in known.items()})
    return work


def test_a_cut_asks_power_and_torque():
    """300 N at 20 m/min are 100 W, of 200 W the half; on Ø60 mm 300 x 30 mm = 9 N m."""
    sizes = dict.fromkeys(Cut.__dataclass_fields__)
    sizes |= {
        "force": q(300, "N"),
        "speed": q(20, "m/min"),
        "diameter": q(60, "mm"),
        "left": q(200, "W"),
    }
    made = Cut(**sizes)
    assert made.power.m_as("W") == pytest.approx(100) and made.share == pytest.approx(0.5)
    assert made.torque.m_as("N*m") == pytest.approx(9)


def test_a_rod_not_given_is_five_throws_long():
    assert shared(PUMP.typed("rod_length", "")).rod_length.m_as("mm") == pytest.approx(5 * 18)
    assert shared(PUMP.typed("rod_length", "80 mm")).rod_length.m_as("mm") == pytest.approx(80)


def test_rods_stand_in_their_banks():
    job = Job.load("compressor")
    banks = [
        [shared(job.typed("banks", one)).banks_of(place) for place in range(3)] for one in BANKS
    ]
    assert banks == [[(0,)] * 3, [(0,), (1,), (0,)], [(0, 1)] * 3]


def test_what_checks_share_of_the_plan():
    """9 N m at an arm of 45 mm push with 200 N; the step that is pressed most with 450."""
    one, other = cut(0.4), cut(0.9)
    one.step, other.step = (
        Stub(driven=Stub(by="bolt"), key="a"),
        Stub(driven=Stub(by="dog"), key="b"),
    )
    arms = {"a": 45.0, "b": 30.0}
    plan = Stub(arm=lambda step: arms[step.key], bolt_size=10.0)
    work = shared(rough_cuts=(one, other), plan=plan)
    assert [force.m_as("N") for force, _cut in work.pushed] == pytest.approx([200, 300])
    assert work.rough_cut is other
    pressed = (Stub(thrust=q(400, "N")), Stub(thrust=q(450, "N")))
    assert shared(pressed=pressed, deepest_cuts=(one,)).most_thrust == q(450, "N")
    assert shared(pressed=pressed).kept.get("deepest_cuts") is None
    assert shared(PUMP.typed("allowed_runout", "10 um")).askew.m_as("um") == pytest.approx(
        7.07, abs=0.01
    )


def test_turning_power_fails_where_the_plan_turns_nothing():
    with pytest.raises(ValueError, match="nothing to turn off"):
        shared(plan=Stub(steps=()))._cuts(("rough",), {})


# what a thrust moves


def moving(monkeypatch, key, tilt=2.0, off=(3.0, 4.0), runout=12.0, **stress):
    """What moves at a step, of a squeeze that is known; 0.25 mm are left for finishing."""
    found = Stub(
        largest_runout=q(runout, "um"), middle_offset=q(np.array(off), "um"),
        out_of_parallel=q(np.array([tilt, 99.0]), "um"),
        web_stress=q(np.array([1.0, stress.get("web", 5.0)]), "MPa"),
        pin_stress=q(np.array([stress.get("pin", 4.0)]), "MPa"),
    )  # fmt: skip
    asked = []
    monkeypatch.setattr(
        pressed_of, "squeeze", lambda crank, force, packs, **how: asked.append(how) or found
    )
    job = PUMP.typed("allowed_runout", "10 um").typed("finish_allowance", "0.25 mm")
    work = Stub(job=job.typed("throw_tolerance", "0.05 mm"), crank=PUMP.crank)
    what, moved, allowed, most = pressed_of._moved(work, Stub(key=key), q(400, "N"), ())
    held = asked[0].get("held")
    return what, moved.m_as("um"), allowed.m_as("um"), most.m_as("MPa"), held


def test_what_a_step_may_move_by(monkeypatch):
    """Roughed mains stand off by half their runout, of what is left for finishing; a finished pin by
    half of the throw's tolerance or tilts by the runout: whichever spends more. The thrust on the
    pin's axis bends a main of 20 mm with 400 x 18 N mm: 32 x 7200/(pi 20^3) = 9.17 MPa.
    """
    rough = moving(monkeypatch, "rough_mains")
    assert rough == ("offset of the mains", 6, 250, 5, None)
    assert moving(monkeypatch, "finish_mains") == ("runout of the mains", 12, 10, 5, None)
    what, moved, allowed, stress, held = moving(monkeypatch, "rough_pin_1")
    assert (what, moved, allowed, held) == ("offset of the pin", pytest.approx(5), 250, 0)
    assert stress == pytest.approx(32 * 7200 / (np.pi * 20**3))
    assert moving(monkeypatch, "finish_pin_1")[:3] == ("tilt of the pin over its length", 2, 10)
    off = moving(monkeypatch, "finish_pin_1", tilt=1.9)
    assert off[:3] == ("offset of the pin", pytest.approx(5), 25)
    assert moving(monkeypatch, "finish_mains", web=20.0)[3] == 20
    assert moving(monkeypatch, "finish_mains", pin=21.0)[3] == 21
    assert pressed_of._throw(Stub(key="finish_pin_12")) == 11


def test_the_most_thrust_spends_the_movement_or_the_yield_strength(monkeypatch):
    """0.02 um of 10 for a newton: 500 N; 0.5 MPa of 340: 680 N. Spacers as they are accepted may
    leave 2 um from the beginning: 400 N.
    """

    def most(yields=340.0, packs=(), key="rough_mains", force=100.0, misfit=0.0):
        def moved(work, step, thrust, some):
            size = 0.02 * thrust.m_as("N") + sum(abs(one.misfit.m_as("um")) for one in some)
            return "runout", q(size, "um"), q(10, "um"), 0.5 * thrust.m_as("N") * q(1, "MPa")

        monkeypatch.setattr(pressed_of, "_moved", moved)
        work = Stub(
            yield_strength=q(yields, "MPa"), thrust_band=(q(90, "N"), q(450, "N")),
            accepted_misfit=(q(-misfit, "um"), q(misfit / 2, "um")),
        )  # fmt: skip
        return pressed_of._most(work, Stub(key=key), q(force, "N"), packs).m_as("N")

    spacer = Spacer(0, q(0, "um"), q(15, "mm"))
    assert most() == pytest.approx(500) and most(yields=200.0) == pytest.approx(400)
    assert most(packs=(spacer,), misfit=2.0) == pytest.approx(400, rel=1e-3)
    assert most(packs=(spacer,), key="finish_mains") == pytest.approx(450)
    assert most(packs=(spacer,), key="finish_mains", yields=200.0) == pytest.approx(400)
    assert most(packs=(spacer,), force=600.0, misfit=2.0) == pytest.approx(500)
