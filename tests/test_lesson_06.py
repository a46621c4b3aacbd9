"""Lesson 06: its panel without a browser, its pictures, its questions."""

import re
from dataclasses import replace

import numpy as np
import pytest

from crankbook.lesson import own, own_lathe, predict
from crankbook.lessons.turning import lesson_06, plan_in_space
from crankbook.pictures.scene import BLUE, GRAY
from crankmath import deflection
from crankmath.crank import EXAMPLES, Crank
from crankmath.forces import kienzle
from crankmath.job import Job
from crankmath.job.workings import Workings
from crankmath.units import Quantity

MAKERS = (lesson_06.main_force, lesson_06.motor_power, lesson_06.lobed_diameter)


def mm(value):
    return Quantity(value, "mm")


def trace(drawn):
    """The rim as cut so far, and where the work's axis stands beside its mean place."""
    rim = next(one for one in drawn if one.kind == "line" and one.axes == 0 and one.color == BLUE)
    mean = next(one for one in drawn if one.kind == "line" and one.dash == "5 4")
    return rim, (mean.x.max() + mean.x.min()) / 2


pytestmark = pytest.mark.usefixtures("own_folder")


@pytest.fixture
def panel():
    return lesson_06.panel()


def test_first_sentence_by_hand(panel):
    # C45: 2220 x 0.12^-0.14 = 2987 MPa, at 25.9 m/min times 2.023 x 25.9^-0.153 = 1.2296, on 0.12 mm2: 440.7 N; 25.9/60 m/s: 190 W
    # begun on Ø22: 25908/(π 22) = 375, so 310 rpm and 21.4 m/min. A nose of 0.8: edge 0.8 (π/2 + asin(0.06/0.8)) + 0.2 = 1.517,
    # chip 0.12/1.517 = 0.0791; above 0.1 mm straight on: 3064 (0.86 + 0.14 x 0.1/0.0791) = 3178 MPa x 2.023 x 21.4^-0.153 x 0.12
    # = 483 N, x 21.4/60 = 172 W, x 0.011 m = 5.3 N·m of 412.5/(2π 310/60) = 12.7
    # 3-D solids give 37.8 and 35.2 um/kN beside the web: (37.8 + 35.2) x 0.110 = 8.0; 2 x 2.6 x 0.454 = 2.4
    said = panel.frame["readout"]
    assert "drags the work up with 441 N, pushes it away with 110 N and along with 220 N." in said
    assert "1 mm deep at 0.12 mm a turn, from Ø22 mm." in said
    assert (
        "At 310 rpm a nose of 0.8 mm makes the drag 483 N: 172 W of 412 W left, 5.3 N·m of 13 N·m."
        in said
    )
    assert panel.sentence.headline == "It comes out 8 µm large and 2.3 µm out of round."


def test_a_drive_that_stalls_is_said_first(panel):
    panel.set(width=mm(6.0), feed=mm(0.3))
    assert panel.sentence.headline.startswith("The drive stalls")
    assert panel.sentence.verdict == "not fine"


def two_throws():
    """The crank of the bellows in inches with two throws, a quarter turn apart."""
    one = Crank.load("bellows")
    mains = (one.journals[0], replace(one.journals[0], length=inch(0.75)), one.journals[1])
    throw = replace(one.throws[0], radius=inch(7 / 16))
    throws = throw, replace(throw, angle=Quantity(90, "deg"))
    return replace(one, name="two throws", journals=mains, throws=throws)


def inch(value):
    return Quantity(value, "in")


@pytest.fixture
def small_lathe(own_folder):
    """A lathe of 370 W with no step between 300 and 520 rpm."""
    own_lathe.save(
        replace(
            own_lathe.SCHOOL,
            name="small",
            power=Quantity(370, "W"),
            center_height=mm(63.5),
            gear_table=Quantity(np.array([130.0, 200, 300, 520, 800, 1250]), "rpm"),
        )
    )


@pytest.mark.usefixtures("small_lathe")
def test_roughing_turns_at_the_speed_of_its_plan():
    """Begun on 0.75 + 2 x 0.06 = 0.87 in, in blows: 70 ft/min x 12/(π 0.87) = 307, so 300 rpm. The finished main
    would bear 100 x 12/(π 0.75) = 509, and so the step of 520, within the tables' scatter."""
    own.save(two_throws())
    panel = lesson_06.panel()
    panel.receive({"type": "units", "units": "in"})
    panel.receive({"type": "preset", "name": "Roughing"})
    name = panel.values["work"].split(",")[0]
    plan = plan_in_space.workings_of(name).plan
    roughing = next(one for one in plan.steps if one.key == "rough_mains")
    assert [row.rpm for row in roughing.speeds if row.place == "main 1"][-1] == 300
    said = panel.frame["readout"]
    assert "from Ø0.87 in." in said and "At 300 rpm a nose" in said
    assert panel.sentence.verdict == "" and "stalls" not in said


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("where", lesson_06.PLACES)
@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
def test_the_drive_is_asked_what_the_check_of_the_force_asks(name, where):
    """The last roughing row of the place, the same depth and feed: force by v^-0.153 alone, where the blows are alike."""
    work = Workings(Job.load(name))
    place = {"main beside the web": "main 1", "first pin": "pin 1"}[where]
    cuts = [one for one in work.rough_cuts if (one.place, one.work) == (place, "rough")]
    crank, last = work.crank, cuts[-1]
    ours = lesson_06.planned(
        name,
        where,
        last.depth,
        last.feed,
        "sharp, fed along",
        lesson_06.cut_forces(crank.steel, last.depth, last.feed),
    )
    begun = lesson_06.place_diameter(crank, where) + 2 * last.depth
    assert ours.diameter.m_as("mm") == pytest.approx(begun.m_as("mm"), abs=0.011)
    speed = (np.pi * begun * ours.step / (2 * np.pi * Quantity(1, "rad"))).m_as("m/min")
    slower = (speed / last.speed.m_as("m/min")) ** -0.153
    assert ours.force.m_as("N") == pytest.approx(slower * last.force.m_as("N"), rel=2e-3)
    assert ours.needed.m_as("W") == pytest.approx(ours.force.m_as("N") * speed / 60, rel=2e-3)


def test_a_crank_without_a_plan_still_bends():
    """No bar of the list holds ten pumps in one: nothing is known of its speed, so nothing of a stall either."""
    pump = Crank.load("pump")
    long = replace(
        pump.throws[0], radius=10 * pump.throws[0].radius, web_reach=10 * pump.throws[0].web_reach
    )
    own.save(replace(pump, name="mine", throws=(long,)))
    panel = lesson_06.panel()
    assert "Its plan has no speed for this cut." in panel.frame["readout"]
    assert panel.sentence.headline.startswith("It comes out")


def test_arrows_are_as_long_as_the_forces(panel):
    drawn = panel.answer("mm", **panel.values)[0]
    push, drag = (
        max(np.ptp(one.x), np.ptp(one.y))
        for one in drawn
        if one.kind == "line" and one.axes == 0 and one.fill == one.color != GRAY
    )
    assert drag / push == pytest.approx(440.7 / 110.2, rel=0.01)  # a quarter squarely away


def test_form_tool_is_said(panel):
    panel.receive({"type": "preset", "name": "Form tool"})
    assert (
        "upper bounds" in panel.frame["readout"] and "along the work" not in panel.frame["readout"]
    )


@pytest.mark.parametrize("work", lesson_06.PLACES)
@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
def test_the_picture_says_what_the_library_says(name, work):
    """The panel's quick sums against deflection's own functions; and the profile it draws against them."""
    crank, place = Crank.load(name), lesson_06.PLACES[work]
    parts = lesson_06.cut_forces(crank.steel, mm(0.8), mm(0.15), "worn, fed along")
    mean, swing, large = lesson_06.shape_errors(crank, place, parts)
    drawn, sentence = lesson_06.items("mm", mm(0.8), mm(0.15), f"{name}, {work}", "worn, fed along")
    turned, to = (large.m_as("deg") + 90) % 180 - 90, "ahead of"  # counted as the work turns
    to = to if turned > 0 else "behind"
    assert f"lies {abs(turned):.0f}° {to} the throw as it turns" in str(sentence)
    points = [item for item in drawn if item.kind == "marker" and item.axes == 1]
    scale = float(
        next(
            item.text for item in drawn if item.kind == "text" and item.y > 0.97 and item.axes == 1
        ).split()[0]
    )
    high, low = (scale * point.y for point in points)
    assert high - low == pytest.approx(swing.m_as("um"), rel=1e-6) and (
        high + low
    ) / 2 == pytest.approx(mean.m_as("um"), rel=1e-6)
    rim, axis = trace(drawn)
    far = np.argmax(np.hypot(rim.x - axis, rim.y))
    toward = np.arctan2(axis - rim.x[far], rim.y[far])
    assert np.cos(2 * (toward - large.m_as("rad"))) == pytest.approx(1, abs=0.01)


def test_thin_chips_take_the_upper_bound():
    step = kienzle.THICKNESS_RANGE[0]
    under, over = (
        lesson_06.cut_forces("C45", mm(1.0), mm(step * factor)).cutting.m_as("N")
        for factor in (0.9999, 1.0001)
    )
    assert under == pytest.approx(over, rel=1e-3)
    plain = 0.02 * 2220 * 0.02**-0.14 * 2.023 * lesson_06.table_speed("C45").m_as("m/min") ** -0.153
    assert lesson_06.cut_forces("C45", mm(1.0), mm(0.02)).cutting.m_as("N") > 1.15 * plain


def test_handbook_lines():
    # Machinery's Handbook, 31st ed., table 1b: 2.24 for 1045 at 180 to 200 HB, 1.50 for 1144 at 200 to 220, both at 0.30 mm
    assert "handbook 2.24" in lesson_06.beside_handbook(
        "C45"
    ) and "+17 %" in lesson_06.beside_handbook("C45")
    assert "handbook 1.50" in lesson_06.beside_handbook(
        "1144"
    ) and "+73 %" in lesson_06.beside_handbook("1144")


@pytest.mark.parametrize("length", [0.6, 3.0])
def test_own_crank_comes_first_and_is_answered(length):
    pump = Crank.load("pump")
    own.save(
        replace(
            pump,
            name="mine",
            journals=tuple(replace(one, length=length * one.length) for one in pump.journals),
        )
    )
    panel = lesson_06.panel()
    work = panel.controls["work"].options[0]
    assert work.startswith(own.names()[0])
    for tool in lesson_06.TOOLS:
        panel.receive({"type": "set", "values": {"work": work, "tool": tool}})
        assert "Mine, " in panel.frame["readout"] and not panel.frame["problem"]


def test_prediction_is_drawn(panel):
    before = len(lesson_06.items("mm", **panel.values)[0])
    predict("06 out of round", "6 um", ("um", "thousandth", "mm", "in"))
    drawn = lesson_06.items("mm", **panel.values)[0]
    scale = float(
        next(
            item.text for item in drawn if item.kind == "text" and item.y > 0.97 and item.axes == 1
        ).split()[0]
    )
    assert len(drawn) == before + 2 and scale * np.ptp(drawn[-2].y) == pytest.approx(6)


def test_gaps_take_the_right_answers(capsys):
    bellows = Crank.load("bellows")
    lesson_06.check_gaps(bellows, "97.9 lbf", "0.226 thou")
    assert capsys.readouterr().out.count(" Right") == 2
    radial = deflection.out_of_round(
        bellows, "journal", lesson_06.cut_forces("1144", mm(1), mm(0.12)).passive
    )
    lesson_06.check_gaps(bellows, "109 N", radial)
    shown = capsys.readouterr().out
    assert "pushes the work away" in shown and "only the push away" in shown


def test_the_tool_stands_at_the_front_and_forces_act_on_the_work(panel):
    """Seen from the tailstock the front is left and the work turns counterclockwise there: down at the
    tool, which pushes it to the right and drags it up."""
    drawn = panel.answer("mm", **panel.values)[0]
    tool = next(item for item in drawn if getattr(item, "fill", "") == "#dfe3e8")
    assert tool.x.max() < -1
    push, drag = (
        item
        for item in drawn
        if item.kind == "line" and item.axes == 0 and item.fill == item.color != GRAY
    )
    assert push.x.min() == -1 and push.x.max() > -1 and drag.y.min() == 0 and drag.y.max() > 0
    grip = next(item for item in drawn if item.kind == "marker" and item.grips)
    (held,) = grip.grips
    assert held.offset + held.factor * grip.x == pytest.approx(1.0)  # mm, where the slider stands


def at(work, turn):
    """What is drawn at a turn [deg], with the force of the cut [N] and the crank."""
    crank = Crank.load(work.split(",")[0])
    parts = lesson_06.cut_forces(crank.steel, mm(1.0), mm(0.12))
    drawn, finding = lesson_06.items(
        "mm", mm(1.0), mm(0.12), work, "sharp, fed along", Quantity(turn, "deg")
    )
    return crank, parts, drawn, finding


def given_way(crank, place, parts, marks):
    """How far the work yields where a mark [rad] meets the tool [um], from the compliance in three
    directions: its part along the push under the push, and across it under the drag."""
    up, aside, slant = (
        deflection.radial_compliance(crank, place, Quantity(angle, "deg"), lesson_06.setup(place))
        for angle in (0, 90, 45)
    )
    up, aside, slant = (one.m_as("um/N") for one in (up, aside, slant))
    tensor = np.array([[up, slant - (up + aside) / 2], [slant - (up + aside) / 2, aside]])
    out = np.array([np.cos(marks), np.sin(marks)])
    along = np.array([-out[1], out[0]])  # as the work turns, counterclockwise
    pull = parts.passive.m_as("N") * out + parts.cutting.m_as("N") * along
    return np.einsum("in,ij,jn->n", out, tensor, pull)


@pytest.mark.parametrize("turn", [36.0, 150.0, 360.0])
@pytest.mark.parametrize(
    "work", ["pump, main beside the web", "compressor, first pin", "organ, main beside the web"]
)
@pytest.mark.filterwarnings("ignore::crankmath.units.OutOfRangeWarning")
def test_the_rim_behind_the_tool_is_what_the_work_gave_way_by(work, turn):
    crank, parts, drawn, finding = at(work, turn)
    place = lesson_06.PLACES[work.split(", ")[1]]
    rim, axis = trace(drawn)
    assert (rim.x[0], rim.y[0]) == pytest.approx((-1, 0), abs=1e-12)  # the tool's edge
    across, up = rim.x - axis, rim.y
    past = np.unwrap(np.arctan2(up, across)) - np.pi  # left is where the tool stands
    past -= past[0]
    assert past[-1] == pytest.approx(np.radians(turn))  # counterclockwise, as far as it turned
    marks = np.pi / 2 + past - np.radians(turn)  # from the throw's zero
    true = given_way(crank, place, parts, marks)
    whole = given_way(crank, place, parts, np.linspace(0, 2 * np.pi, 721))
    note = next(one.text for one in drawn if one.kind == "text" and "times enlarged" in one.text)
    enlarged = float(note.split()[1].replace(",", ""))
    half = lesson_06.place_diameter(crank, work.split(", ")[1]).m_as("um") / 2
    shown = (np.hypot(across, up) - 1) * half / enlarged
    assert shown == pytest.approx(true - whole.mean(), abs=0.03 * np.ptp(whole))
    assert np.ptp(whole) / 2 > 0.3  # something is to be seen
    said = f"gives way by {true[0]:.3g} µm; over a turn by {whole.min():.3g} to {whole.max():.3g}."
    assert turn == 360 or said in str(finding)


def test_what_is_not_cut_yet_is_the_layer_and_no_diameter_is_named(panel):
    for turn, named in ((0.0, 0), (90.0, 0), (170.0, 0), (352.0, 2), (360.0, 2)):
        drawn = at("pump, main beside the web", turn)[2]
        rim, axis = trace(drawn)
        metal = drawn[0]
        outside = np.hypot(metal.x - axis, metal.y)[len(rim.x) :]
        assert (len(outside) == 0) == (turn == 360)
        assert np.ptp(outside) < 1e-9 if len(outside) else True
        if 0 < turn < 360:
            assert outside[0] > np.hypot(rim.x - axis, rim.y).max()
        words = [one.text for one in drawn if one.kind == "text"]
        assert sum(word in ("largest", "smallest") for word in words) == named
    assert panel.values["turn"] == lesson_06.WHOLE_TURN  # it rests with all of it cut
    assert all("turn" not in preset for preset in lesson_06.PRESETS.values())
    assert "Turned by" not in panel.frame["readout"]


@pytest.mark.parametrize("work", ["pump, main beside the web", "pump, first pin"])
def test_the_throw_turns_with_the_work(work):
    for turn in (0.0, 90.0, 210.0):
        drawn = at(work, turn)[2]
        mark = next(one for one in drawn if one.kind == "line" and one.fill == GRAY)
        start = np.array([(mark.x[0] + mark.x[-1]) / 2, (mark.y[0] + mark.y[-1]) / 2])
        way = np.array([mark.x[3], mark.y[3]]) - start
        assert np.arctan2(-way[0], way[1]) % (2 * np.pi) == pytest.approx(np.radians(turn))
        held = start if work.endswith("web") else start + way
        assert held == pytest.approx([0, 0], abs=1e-12)  # the axis it turns on stays


def test_another_feed_is_compared_at_its_own_factor():
    """At 0.15 mm the handbook's feed factor is 1.15 (from memory): 2.24 becomes 2.58; Kienzle 2220 x 0.15^-0.14 = 2895 MPa, sharp."""
    said = lesson_06.beside_handbook("C45", mm(0.15))
    assert "handbook 2.58" in said
    ours, printed = (float(part) for part in re.findall(r"[\d.]+(?= kW|,)", said))
    assert said.endswith(f"{100 * (ours / printed - 1):+.0f} %")
    assert ours / 2.62 == pytest.approx(0.15**-0.14 / 0.3**-0.14, rel=5e-3)


def test_gaps_know_half_of_the_difference(capsys):
    lesson_06.check_gaps(Crank.load("bellows"), "97.9 lbf", "0.113 thou")
    assert "difference of radii" in capsys.readouterr().out
