"""Lesson 16 without a browser: panel, by-hand fit, practice readings, questions, own readings."""

import random
import re
from dataclasses import replace

import numpy as np
import pytest

from crankbook.forms import my_readings
from crankbook.forms.readings_form import ReadingsForm
from crankbook.lesson import own, predict
from crankbook.lesson.exercise import check, draw
from crankbook.lessons.proving import fault_fit, lesson_16
from crankbook.pictures.crank_drawing import CENTER_LINE
from crankbook.pictures.proving import fault_picture
from crankmath.crank import EXAMPLES, Crank
from crankmath.inspection.diagnosis import find_causes, making_of
from crankmath.inspection.diagnosis.signatures.stations import Stations
from crankmath.inspection.diagnosis.signatures.traces import Traces
from crankmath.inspection.diagnosis.simulate import Hidden
from crankmath.units import Quantity

MAKERS = (
    lesson_16.chip_under_a_center,
    lesson_16.spacer_from_a_turn,
    lesson_16.which_of_three,
)
AROUND = np.radians(lesson_16.MARKS)

pytestmark = pytest.mark.usefixtures("own_folder")


def um(value):
    return Quantity(float(value), "um")


def found(fault, size=16.0, toward=60.0, name="pump", units="mm"):
    return lesson_16.items(units, fault, um(size), Quantity(toward, "deg"), name)[1]


# signatures


@pytest.mark.parametrize("name", ["pump", "bellows"])
def test_a_spacer_opens_its_throw_like_a_hinge(name):
    """A kink of misfit over throw at the pin: x (L - a) / (L e), by hand, within 2 %."""
    crank = Crank.load(name)
    length, throw = crank.length.m_as("mm"), crank.throws[0].radius.m_as("mm")
    pin = next(one for one in crank.segments if one.kind == "pin")
    at, x = (pin.start + pin.end) / 2, fault_fit.mains_of(crank)
    hinge = np.where(x < at, x * (length - at), at * (length - x)) / (length * throw)
    found = lesson_16.signatures(crank)[lesson_16.SPACER]
    assert found == pytest.approx(hinge, rel=0.02)


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_spacer_bows_in_proportion_as_far_as_the_slider_goes(name):
    """The panel multiplies one signature; the frame is asked again at both ends of the slider."""
    crank = Crank.load(name)
    shape = lesson_16.signatures(crank)[lesson_16.SPACER]
    for size in (1.0, 20.0):
        assert fault_fit.bowed(crank, size) == pytest.approx(size * shape, abs=0.02 * size)


def test_signatures_are_those_of_the_diagnosis():
    crank = Crank.load("organ")
    rows = lesson_16.read_on_mains(crank, np.zeros((4, 12))).rows
    traces = Traces(crank, making_of(crank), Stations(crank, rows))
    shapes = lesson_16.signatures(crank)
    for end, name in (("left", lesson_16.LEFT), ("right", lesson_16.RIGHT)):
        read = traces.stations.matrix() @ traces.center_off(end, 10.0)
        assert read.reshape(4, 12)[:, 0] == pytest.approx(10 * shapes[name])


# fit by hand


def test_fit_is_that_of_a_general_solver():
    """numpy's least squares with the dials' zeros as unknowns, in place of means taken off."""
    random_ = np.random.default_rng(3)
    readings = 20 * random_.standard_normal((2, 12))
    share = np.array([0.84, 0.16])
    columns = [np.outer(share, wave(AROUND)).ravel() for wave in (np.cos, np.sin)]
    zeros = [np.repeat(row, 12) for row in np.eye(2)]
    solved, rest, *_ = np.linalg.lstsq(np.array(columns + zeros).T, readings.ravel(), rcond=None)
    size, _, left = lesson_16.fits({"left center": share}, readings)["left center"]
    assert [size.real, size.imag] == pytest.approx(solved[:2])
    assert left == pytest.approx(rest[0])


def test_odds_by_hand():
    """Sums left of 40 and 30, one and two numbers, 24 readings: (10 - ln 24) / 2 = 3.411."""
    fitted = {"spacer": (1, 0, 40.0), "left center": (1, 0, 30.0)}
    odds = lesson_16.odds(fitted, 24, scatter=1.0)
    assert odds["left center"] == 1
    assert odds["spacer"] == pytest.approx(np.exp(-3.411), rel=1e-3)


# panel


def test_panel_names_what_was_hidden():
    assert found("spacer too long").headline == "A spacer 16 µm too long explains it."
    right = found("chip on right center", 16, 60)
    assert right.headline.startswith("Right center off by 16 µm") and right.verdict == ""
    left, live = found("chip on left center"), found("live center runs out")
    assert left == live and left.verdict == "cannot tell"
    unseen = found("pin's center holes misplaced", 20)
    assert unseen.headline == "The mains show no fault." and unseen.verdict == "cannot tell"


def test_two_mains_tell_a_spacer_from_a_chip_in_its_plane():
    assert found("chip on left center", 20, 0).headline.startswith("Left or live center")


@pytest.mark.parametrize("fault", lesson_16.FAULTS)
@pytest.mark.parametrize("name", EXAMPLES)
def test_a_fault_that_shows_is_never_taken_for_another(fault, name):
    cause = fault_fit.SHOWS_ON_MAINS.get(fault)
    if cause == fault_fit.LEFT:  # a live center leaves the same trace
        cause = "left or live center"
    for size in (8.0, 14.0, 20.0):
        for toward in (0.0, 90.0, 200.0):
            headline = found(fault, size, toward, name).headline.casefold()
            if cause is not None:
                assert cause in headline, (size, toward, headline)


def test_no_size_is_no_fault():
    for fault in lesson_16.FAULTS:
        assert found(fault, 0.0).headline.startswith("The mains show no fault")


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("name", EXAMPLES)
def test_the_charts_hold_every_fault_and_stand_still(name, units):
    """Whatever the sliders hide: no reading, bar or hand runs off, and no scale changes."""
    scales = set()
    for fault in lesson_16.FAULTS:
        for size, toward in ((0.0, 0.0), (20.0, 0.0), (20.0, 130.0), (9.0, 350.0)):
            drawn = lesson_16.items(units, fault, um(size), Quantity(toward, "deg"), name)[0]
            for item in drawn:
                if item.axes in (0, 1) and item.kind != "text":
                    assert np.abs(item.y).max() <= 1
                if item.axes == 2:
                    assert np.max(item.y) < 0.93
            texts = [item for item in drawn if item.kind == "text"]
            scales.add(tuple(one.text for one in texts if one.axes == 0))
            scales.add(next(one.text for one in texts if "enlarged" in one.text))
    assert len(scales) == 2, scales


def crank_seen(fault, size=16.0, toward=60.0, name="pump"):
    """What the crank's window draws: axis of the mains [um from true], swings under the dials [um],
    the readings of the first two mains [um], their places and the length [mm]."""
    crank = Crank.load(name)
    drawn = lesson_16.items("mm", fault, um(size), Quantity(toward, "deg"), name)[0]
    inside = [item for item in drawn if item.axes == 3]
    texts = [item for item in inside if item.kind == "text"]
    enlarged = next(one.text for one in texts if "enlarged" in one.text).split()[1]
    level = next(one for one in inside if getattr(one, "dash", "") == CENTER_LINE)
    axis = next(one for one in inside if one.kind == "line" and one.width == 2 and not one.dash)
    length = crank.length.m_as("mm")
    wide = length / (np.ptp(level.x) - 0.12)  # mm across the window's whole width
    begin = level.x[0] + 0.06
    x = (axis.x - begin) * wide
    off = 1e3 * wide * (axis.y - level.y[0]) / float(enlarged.replace(",", ""))
    swings = [float(one.text.split()[0]) for one in texts if one.text.endswith("µm")]
    full = float(next(one.text for one in drawn if one.kind == "text" and one.axes == 0))
    dots = [
        [full * item.y for item in drawn if item.kind == "marker" and item.axes == main]
        for main in (0, 1)
    ]
    return x, off, np.array(swings), np.array(dots), length


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_center_out_of_place_tilts_the_mains_about_the_other(name):
    """A straight line from its size to nothing, by hand; the dials swing twice that."""
    mains = fault_fit.mains_of(Crank.load(name))
    for fault, share in (
        ("chip on left center", lambda x, length: 1 - x / length),
        ("live center runs out", lambda x, length: 1 - x / length),
        ("chip on right center", lambda x, length: x / length),
    ):
        x, off, swings, dots, length = crank_seen(fault, 16, 130, name)
        assert off == pytest.approx(16 * share(x, length), abs=0.01)
        assert (x[0], x[-1]) == pytest.approx((0, length), abs=1e-6)
        assert swings == pytest.approx(32 * share(mains, length), rel=0.06)
        # the readings' swing by the first harmonic: a micrometer of scatter, twelve readings
        seen = 2 * np.hypot(*(dots @ np.column_stack([np.cos(AROUND), np.sin(AROUND)])).T / 6)
        assert seen == pytest.approx(swings[:2], abs=2.5)


@pytest.mark.parametrize("name", ["pump", "bellows"])
def test_a_spacer_bends_the_axis_of_the_mains_at_its_throw(name):
    """The kink of misfit over throw, by hand as for the signature, all along both mains."""
    crank = Crank.load(name)
    throw, pin = crank.throws[0].radius.m_as("mm"), crank.plain.pins[0]
    x, off, swings, dots, length = crank_seen("spacer too long", 16, 60, name)
    at = (pin.start + pin.end) / 2
    hinge = np.where(x < at, x * (length - at), at * (length - x)) / (length * throw)
    assert off == pytest.approx(16 * hinge, abs=0.03 * 16 * hinge.max())
    assert swings == pytest.approx(np.ptp(dots, axis=1), abs=4)


def test_misplaced_center_holes_move_the_pin_and_no_main():
    x, off, swings, _, _ = crank_seen("pin's center holes misplaced", 20, 60)
    assert np.abs(off).max() < 1e-9 and not swings.any()
    fault, mark = "pin's center holes misplaced", Quantity(60, "deg")
    drawn = lesson_16.items("mm", fault, um(20), mark, "pump")[0]
    moved = [one for one in drawn if one.kind == "line" and one.fill == "#f3ddd5"]
    true = [one for one in drawn if one.kind == "line" and one.axes == 3 and one.dash == "4 3"]
    crank = Crank.load("pump")
    wide = crank.journals[0].diameter.m_as("mm") / np.ptp(true[0].y)  # mm in the window
    middles = [[(one.y.max() + one.y.min()) / 2 for one in row] for row in (moved, true)]
    main, pin, other = 1e3 * wide * np.subtract(*middles) / 500  # as many times enlarged
    assert pin == pytest.approx(20, abs=0.01) and (main, other) == pytest.approx((0, 0), abs=1e-6)


@pytest.mark.parametrize("units, shown", [("mm", 12.0), ("in", 12 / 25.4)])
@pytest.mark.parametrize("fault", lesson_16.FAULTS)
def test_what_a_fault_moved_is_dragged_to_another_size(fault, units, shown):
    """The grip says the size where it stands, and twice it when it is drawn as for twice it."""

    def place(size):
        drawn = lesson_16.items(units, fault, um(size), Quantity(30, "deg"), "pump")[0]
        return next(item for item in drawn if getattr(item, "grips", ()))

    once, twice = place(6.0), place(12.0)
    (grip,) = once.grips
    assert grip.control == "size" and once.x == pytest.approx(twice.x)
    assert grip.offset + grip.factor * once.y == pytest.approx(shown / 2)
    assert grip.offset + grip.factor * twice.y == pytest.approx(shown)


def test_inch_and_a_prediction(own_folder):
    predict("16 chip", "6.4 um", lesson_16.LENGTHS)
    drawn, finding = lesson_16.items("in", "spacer too long", um(16), Quantity(0, "deg"), "pump")
    assert "thou" in str(finding)
    assert any(getattr(item, "text", "") == "your prediction" for item in drawn)


def test_a_crank_without_room_for_a_spacer_says_so(choose, monkeypatch):
    monkeypatch.setattr(
        fault_fit, "signatures", lambda crank, at=(0, 0): {"left center": np.ones(len(at))}
    )
    monkeypatch.setattr(fault_fit, "once", lambda key, work: work())
    assert found("spacer too long").headline == "The first throw takes no spacer."


def test_panel_moves():
    panel = lesson_16.SCENE.panel()
    for preset in lesson_16.PRESETS.values():
        panel.set(
            **{
                key: value if isinstance(value, str) else f"{value:~}"
                for key, value in preset.items()
            }
        )


# practice readings


def test_the_bellows_readings_are_of_the_crank_they_say():
    """Read again from the same hidden fault: nothing in the lesson is made up."""
    crank = Crank.load("bellows")
    fault = ("center worn at cut", "right", 22 * np.exp(1j * np.radians(75)))
    hidden = Hidden(crank, making_of(crank), (fault,), {}, np.random.default_rng(11))
    rows = lesson_16.read_on_mains(crank, np.zeros((2, 12))).rows
    again = hidden.measure(rows).values.reshape(2, 12)
    assert np.abs(again - np.array(lesson_16.BELLOWS)).max() <= 1  # a rounding on another machine


def test_the_library_finds_the_bellows_center_too():
    crank = Crank.load("bellows")
    causes = find_causes(crank, lesson_16.read_on_mains(crank, lesson_16.BELLOWS))
    first = causes.first
    assert first.causes[0].startswith("center worn") and first.places == ("right",)
    by_hand = lesson_16.fits(lesson_16.signatures(crank), np.array(lesson_16.BELLOWS, float))
    away = abs(abs(by_hand[lesson_16.RIGHT][0]) - first.sizes[0].m_as("um"))
    assert away < first.uncertainties[0].m_as("um")


def test_gaps(capsys):
    lesson_16.check_gaps("22.9 um", "4.26 um")
    assert capsys.readouterr().out.count("Right") == 2
    lesson_16.check_gaps("45.8 um", None)
    assert "swing of the dial" in capsys.readouterr().out


# questions


@pytest.mark.parametrize("maker", MAKERS)
def test_questions_can_be_answered_and_slips_are_named(maker):
    for seed in range(6):
        question = draw(maker, seed)
        assert "Right" in check(question, f"{question.key.m_as('um'):.5f} um")
        for ask, value in question.slips.items():
            assert ask in check(question, f"{value.m_as('um'):.6f} um")


def test_the_drawn_fault_is_the_one_that_leaves_least():
    """From the question's own words: fit all three by numpy, the smallest rest has the key."""
    crank = Crank.load("pump")
    share = fault_fit.mains_of(crank) / 140
    for seed in range(6):
        question = lesson_16.which_of_three(random.Random(seed))
        rows = [
            [float(one) for one in part.split("]")[0].split(",")]
            for part in question.words.split("= [")[1:]
        ]
        y = np.concatenate([np.array(row) - np.mean(row) for row in rows])
        rests = []
        for shape, waves in (
            ([0.625, 0.625], (np.cos,)),
            (1 - share, (np.cos, np.sin)),
            (share, (np.cos, np.sin)),
        ):
            columns = np.array([np.outer(shape, wave(AROUND)).ravel() for wave in waves]).T
            size, rest, *_ = np.linalg.lstsq(columns, y, rcond=None)
            rests.append((rest[0], np.hypot(*size) if len(size) == 2 else abs(size[0])))
        assert min(rests)[1] == pytest.approx(question.key.m_as("um"), rel=0.01)


# own readings


def test_own_readings_are_taken_from_the_form(capsys):
    assert lesson_16.my_own_readings("pump") is None
    assert "No readings of pump are kept yet" in capsys.readouterr().out
    for main, offset in (("main 1", 18.0), ("main 2", 3.0)):
        form = ReadingsForm(main)
        form.set(
            "text",
            "\n".join(
                f"{mark:g} {offset * np.cos(np.radians(mark - 60)) / 1000:.4f}"
                for mark in lesson_16.MARKS
            ),
        )
    causes = lesson_16.my_own_readings()
    said = capsys.readouterr().out
    assert said.startswith("Readings of pump:\n(Kept without a crank's name, taken as of pump: ")
    mine = replace(Crank.load("bellows"), name="yard bellows")
    own.save(mine)
    assert ReadingsForm("main 1 of pump").spec["places"][0] == "main 1 of yard bellows"
    for main in ("main 1", "main 2"):
        text = my_readings.load(main)[1]["text"]
        ReadingsForm(f"{main} of pump").set("text", text.replace("180 ", "181 "))
    lesson_16.my_own_readings("pump")
    assert capsys.readouterr().out.startswith("Readings of pump:\nVerdict")
    lesson_16.my_own_readings()  # the own crank's by default: what names no crank, not the pump's
    assert capsys.readouterr().out.startswith("Readings of yard bellows:\n(Kept without")
    causes = lesson_16.my_own_readings("pump")
    assert causes.first.causes[0] in ("live center", "center worn at cut", "center worn now")
    assert "Verdict" in capsys.readouterr().out


@pytest.mark.parametrize("toward", [60.0, 200.0])
@pytest.mark.parametrize("side", ["left", "right"])
def test_a_chip_is_found_at_the_mark_that_it_points_to(side, toward):
    """Readings of the main beside it are highest near that mark, and the finding names it."""
    values = {one.name: one.value for one in lesson_16.controls()}
    values |= {"fault": f"chip on {side} center", "toward": Quantity(toward, "deg")}
    items, finding = lesson_16.items("mm", **values | {"size": Quantity(10.0, "um")})
    found = float(re.search(r"toward the (\d+)° mark", finding.headline)[1])
    assert found == pytest.approx(toward, abs=6)
    main = 0 if side == "left" else 1
    dots = np.array([(one.x, one.y) for one in items if one.kind == "marker" and one.axes == main])
    high = np.angle((dots[:, 1] * np.exp(1j * np.radians(dots[:, 0]))).sum(), deg=True) % 360
    assert high == pytest.approx(toward, abs=6)


def test_the_line_of_the_best_cause_runs_through_the_readings():
    """A chip toward 130 degrees: every reading within a few scatters of the line drawn under it."""
    values = {one.name: one.value for one in lesson_16.controls()}
    values |= {"fault": "chip on left center", "toward": Quantity(130, "deg"), "size": um(20)}
    drawn = lesson_16.items("mm", **values)[0]
    full = float(next(one.text for one in drawn if one.kind == "text" and one.axes == 0))
    for main in (0, 1):
        line = next(one for one in drawn if one.kind == "line" and one.axes == main)
        dots = np.array(
            [(one.x, one.y) for one in drawn if one.kind == "marker" and one.axes == main]
        )
        off = full * (dots[:, 1] - np.interp(dots[:, 0], line.x, line.y))
        assert np.abs(off).max() < 3.5 * fault_fit.SCATTER


def test_a_live_center_is_thought_of_at_the_left_alone():
    left, right = found("chip on left center"), found("chip on right center")
    assert left.headline.startswith("Left or live center") and left.verdict == "cannot tell"
    assert any("read its cone" in line for line in left.lines)
    assert right.headline.startswith("Right center") and right.verdict == ""
    assert not any("read its cone" in line for line in right.lines)
    short = found("spacer too long")
    assert any("Warm work" in line for line in short.lines) and "too long" in short.headline


def test_a_spacer_too_short_is_named_so():
    shapes = lesson_16.signatures(Crank.load("pump"))
    fitted = {lesson_16.SPACER: (-12.0 + 0j, -12.0 * shapes[lesson_16.SPACER], 24.0)}
    said = lesson_16._finding(
        "x",
        "um",
        "µm",
        fitted,
        {lesson_16.SPACER: 1.0},
        {lesson_16.SPACER},
        lesson_16.SPACER,
        shapes,
    )
    assert said.headline == "A spacer 12 µm too short explains it."


@pytest.mark.parametrize(("count", "enough"), [(2, False), (3, True)])
def test_three_readings_are_looked_at(capsys, count, enough):
    ReadingsForm("main 1 of pump").set(
        "text", "\n".join(f"{90 * step} {0.01 * (step % 2):.3f}" for step in range(count))
    )
    assert (lesson_16.my_own_readings("pump") is not None) == enough
    assert ("No readings of pump are kept yet" in capsys.readouterr().out) != enough


@pytest.mark.parametrize("projector", [False, True])
def test_the_crank_is_drawn_to_one_scale(projector):
    """As far along as across, in dots: a circle of a dial was an ellipse, 2.5 and 4.6 % off."""
    figure = lesson_16.paper("mm", projector)
    figure.draw_without_rendering()
    window = figure.axes[fault_picture.CRANK]
    begin, along, across = window.transData.transform([(0, 0), (1, 0), (0, 1)])
    assert along[0] - begin[0] == pytest.approx(across[1] - begin[1], rel=1e-6)
    assert (window.get_xlim(), window.get_ylim()[0]) == ((-0.12, 1.12), 0)
