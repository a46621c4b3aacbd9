"""Lesson 07: its panel without a browser, its questions, its pictures."""

import re
from math import log, pi, sqrt

import numpy as np
import pytest
from helpers import words_stand_apart

from crankbook.lesson import draw, own, predict
from crankbook.lesson.pictures import png_address
from crankbook.lessons.turning import chatter_model, lesson_07
from crankbook.pictures import scene
from crankbook.pictures.turning import chatter_picture
from crankmath import chatter
from crankmath.chatter import cut_in_time, modes
from crankmath.crank import EXAMPLES, Crank
from crankmath.units import Quantity

ZETA, RPM = Quantity(4.0, "percent"), Quantity(400.0, "rpm")


pytestmark = pytest.mark.usefixtures("own_folder")


@pytest.fixture
def panel():
    return lesson_07.panel()


def said(**changes):
    usual = {"edge": Quantity(6.0, "mm"), "damping": ZETA, "speed": RPM, "tool": "pump, full edge"}
    return str(lesson_07.items("mm", **usual | changes)[1])


def test_wide_edge_chatters_and_the_relieved_one_is_quiet():
    # 22.6 m/min is pi x 18 mm x 400/min; marks v/f = 22.6/60/262 m = 1.4 mm
    assert said().startswith("It chatters: 3.5 times the limit, 1.7 mm. Not fine.")
    assert "400 rpm or 23 m/min" in said()
    assert "near 262 Hz and leaves marks 1.4 mm apart" in said()
    relieved = said(tool="pump, relieved")
    assert relieved.startswith("Quiet: 71 %") and "1.2 mm of an edge of 6 mm" in relieved


def test_each_cure_works():
    assert said(speed=Quantity(70.0, "rpm")).startswith("Quiet at any width. Fine.")
    assert "uiet" in said(damping=Quantity(12.0, "percent"))
    assert said(edge=Quantity(1.0, "mm")).startswith("Quiet: 59 %")


def test_no_verdict_improves_as_the_edge_grows():
    order = ("fine", "look", "not fine")
    for tool in ("pump, full edge", "organ, relieved"):
        for rpm in (160, 400, 1250):
            found = [
                lesson_07.items("mm", Quantity(size, "mm"), ZETA, Quantity(rpm, "rpm"), tool)[1]
                for size in np.linspace(0.3, 12, 9)
            ]
            places = [order.index(one.verdict) for one in found]
            assert places == sorted(places), (tool, rpm, places)


def test_the_waves_are_drawn_as_they_follow():
    """This turn's wave over the last one's, against the cut followed through time, turn by turn."""
    drawn, finding = lesson_07.items("mm", Quantity(3.0, "mm"), ZETA, RPM, "pump, full edge")
    last, now = (one for one in drawn if one.axes == 2 and one.kind == "line" and not one.fill)
    throw, swinging, force = lesson_07.swings("pump", ZETA)
    rubbing = lesson_07.LATHE.process_damping
    sizes = cut_in_time.turn_by_turn(
        swinging[:3], force, Quantity(3.0, "mm"), RPM, 40, rubbing, throw.pin_diameter
    )  # the two modes beyond 3 kHz only add compliance
    followed = (sizes[-1] / sizes[19]) ** (1 / 20)
    assert np.ptp(now.y) / np.ptp(last.y) == pytest.approx(followed, rel=0.02)
    assert finding.verdict == "not fine" and now.color == scene.RUST


def test_at_the_slowest_speed_of_one_mode_the_panel_agrees_with_the_closed_form():
    """`bellows` is all slide below 160 rpm with a stiff crank: v_q by hand for 250 Hz."""
    throw, swinging, force = lesson_07.swings("pump", ZETA)
    hand = 2 * pi * 250 * 1e5 / force.m_as("Pa") * (sqrt(1.04) + sqrt(0.04)) ** 2 * 60
    assert chatter.quiet_speed(
        Quantity(250, "Hz"), 0.04, force, lesson_07.LATHE.process_damping
    ).m_as("m/min") == pytest.approx(hand)
    alone = chatter.critical_width(
        swinging[:1], force, lesson_07.LATHE.process_damping, Quantity([0.99, 1.01], "m/min") * hand
    ).width.magnitude
    assert np.isinf(alone[0]) and np.isfinite(alone[1])


def test_slide_and_crank_are_not_counted_on_to_hold_each_others_ring():
    """1.2 mm at 24 m/min was fine by both together; the job's check of the same cut goes by the one
    that bears less, and so does the panel. Followed through time the slide alone lets such a wave grow.
    """
    _drawn, finding = lesson_07.items("mm", Quantity(6.0, "mm"), ZETA, RPM, "pump, relieved")
    alone = float(re.search(r"Alone, the slide would chatter from ([\d.]+) mm", str(finding))[1])
    assert finding.verdict == "look" and alone < 1.2
    throw, swinging, force = lesson_07.swings("pump", ZETA)
    rubbing = lesson_07.LATHE.process_damping

    def grows(width):  # at the worst of the speeds about this one
        sizes = [
            cut_in_time.turn_by_turn(
                swinging[:1], force, Quantity(width, "mm"), rpm, 60, rubbing, throw.pin_diameter
            )[[30, -1]]
            for rpm in Quantity(np.linspace(390, 410, 9), "rpm")
        ]
        return any(later > earlier for earlier, later in sizes)

    assert grows(1.15 * alone) and not grows(0.85 * alone)
    narrow = lesson_07.items("mm", Quantity(2.0, "mm"), ZETA, RPM, "pump, relieved")[1]
    assert narrow.verdict == "fine"


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("kind", lesson_07.TOOLS)
def test_every_crank_and_tool_gets_a_sentence_and_a_picture(name, kind):
    for rpm in (60, 230, 1250, 2500):
        for zeta in (0.5, 15):
            figure, sentence = lesson_07.picture(
                Quantity(3.0, "mm"),
                Quantity(zeta, "percent"),
                Quantity(rpm, "rpm"),
                f"{name}, {kind}",
            )
            assert f"{name.capitalize()}, " in str(sentence)
            assert sentence.headline.startswith(("Quiet", "It chatters", "Above the limit"))
    assert png_address(figure).startswith("data:image/png")


def test_edge_wider_than_the_gap_is_refused_in_words(panel):
    crank = Crank.load("pump").with_throw(pin_length=Quantity(8.0, "mm"))
    own.save(crank)
    panel = lesson_07.panel()
    assert panel.controls["tool"].options[0] == f"{own.names()[0]}, full edge"
    panel.set(tool=f"{own.names()[0]}, full edge")
    assert not panel.frame["problem"]
    panel.set(edge="9 mm")
    assert (
        "does not go between the webs" in panel.frame["problem"]
        and "8 mm" in panel.frame["problem"]
    )


def test_units_convert_and_never_relabel(panel):
    panel.receive({"type": "set", "values": {"edge": 5.5}})
    panel.receive({"type": "units"})
    assert (
        "0.2165 in" in panel.frame["readout"] and "74 ft/min" in panel.frame["readout"]
    )  # 5.5/25.4; 22.6/0.3048


def test_reset(panel):
    panel.receive({"type": "preset", "name": next(iter(panel.presets))})
    panel.receive({"type": "reset"})
    assert panel.frame["values"]["speed"]["text"] == "400 rpm"


def test_items_depend_on_nothing_but_their_arguments():
    first, second = (
        lesson_07.items("in", Quantity(5.0, "mm"), ZETA, RPM, "organ, relieved") for _ in range(2)
    )
    assert first[1] == second[1] and len(first[0]) == len(second[0])
    for one, other in zip(first[0], second[0], strict=True):
        assert np.array_equal(one.points(), other.points(), equal_nan=True)
        assert np.all(np.isfinite(one.points()))


def test_prediction_is_drawn(capsys):
    before = lesson_07.items("mm", Quantity(6.0, "mm"), ZETA, RPM, "pump, full edge")[0]
    predict("07 limiting width", "3 mm", ("mm",))
    after = lesson_07.items("mm", Quantity(6.0, "mm"), ZETA, RPM, "pump, full edge")[0]
    assert (
        any(getattr(item, "text", "") == "your prediction" for item in after)
        and len(after) == len(before) + 2
    )


def test_scallops_stand_on_the_envelope():
    """The boundary with its lobes touches the limit of each speed from above, and a lobe's computed width lies on it."""
    speeds, limit, parts, (dense, scallops), plain = chatter_model.charted(
        "organ", None, 4.0, lesson_07.LATHE
    )
    below = np.interp(dense, speeds, limit)
    assert np.all(scallops >= 0.985 * below) and np.min(scallops / below) < 1.02
    throw, swinging, force = lesson_07.swings("organ", ZETA)
    exact = chatter.stability_lobes(
        swinging,
        force,
        Quantity(dense[::23], "rpm"),
        lesson_07.LATHE.process_damping,
        throw.pin_diameter,
    )
    assert np.allclose(exact.width.m_as("mm"), scallops[::23], rtol=0.02)
    assert set(parts) <= {"slide", "crank"} and plain.width.m_as("mm") < limit[-1]


def test_pitch_tells_which_part_chatters():
    slide, crank = (modes.Mode(Quantity(f, "Hz"), Quantity(2e7, "N/m"), 0.04) for f in (250, 900))
    assert (
        chatter_model.chattering_part((slide, crank), 260.0) == "slide"
        and chatter_model.chattering_part((slide, crank), 930.0) == "crank"
    )


def test_static_pictures_state_their_finding():
    sentence = lesson_07.growth_picture(ZETA, RPM)[1]
    factors = [float(part.split()[-4]) for part in sentence.rstrip(".").split(", ")[-3:]]
    assert factors[0] > 1.02 > factors[1] > 0.98 > factors[2]
    for figure, words, *_ in (lesson_07.wave_picture(), lesson_07.lobe_picture(ZETA)):
        assert png_address(figure) and words.endswith(".")


def test_tables_of_pictures_hold_the_curves_that_are_drawn():
    figure, _, (heads, rows) = lesson_07.growth_picture(ZETA, RPM)
    curves = [line for line in figure.axes[0].lines if len(line.get_xdata()) == 60]
    assert len(curves) == len(heads) - 1 == 3
    for turn, *sizes in rows:
        for size, curve in zip(sizes, curves, strict=True):
            assert float(size) == pytest.approx(curve.get_ydata()[turn], rel=5e-3)
    figure, _, (_, rows) = lesson_07.lobe_picture(ZETA)
    drawn = max(figure.axes[0].lines, key=lambda line: len(line.get_xdata()))
    for speed, width in rows:
        near = np.interp(float(speed), drawn.get_xdata(), drawn.get_ydata())
        assert float(width) == pytest.approx(near, rel=0.05)


def test_waves_run_as_far_apart_as_they_are_said_to():
    """Phase and height of each drawn wave, read from its line over whole waves; the chip lies between the two."""
    lags = (0.0, 0.9, -1.7)
    for axes, lag in zip(chatter_picture.wave_figure(lags, "abc").axes, lags, strict=True):
        x, waves = axes.lines[0].get_xdata(), [line.get_ydata() for line in axes.lines]
        sums = [np.trapezoid(wave * np.exp(-1j * x), x) / x[-1] * 2j for wave in waves]
        assert np.angle(sums) == pytest.approx([0, lag], abs=1e-3)
        assert abs(sums[0]) == pytest.approx(abs(sums[1]))
        assert x[-1] / (2 * pi) == pytest.approx(3) and axes.get_xlim() == (x[0], x[-1])
        edges = axes.collections[0].get_paths()[0].vertices[:, 1]
        assert (edges.min(), edges.max()) == (waves[1].min(), waves[0].max())
        assert waves[0].min() > waves[1].max(), "this turn's metal lies below the last one's"
        (words,) = [one for one in axes.texts if one.get_text() in "abc"]
        assert waves[0].max() < words.xy[1] < axes.get_ylim()[1], "its label stands above it"


def test_both_waves_are_named_over_their_own_at_the_end():
    first, *rest = chatter_picture.wave_figure((0.0, 0.9), "ab").axes
    names = {one.get_text(): one for one in first.texts}
    assert not {"last turn", "this turn"} & {one.get_text() for one in rest[0].texts}
    for words, line in zip(("last turn", "this turn"), first.lines, strict=True):
        middle = (line.get_ydata().max() + line.get_ydata().min()) / 2
        assert names[words].get_color() == line.get_color() and names[words].get_ha() == "right"
        assert names[words].xy[1] - middle == pytest.approx(0.62, abs=1e-3), "over its crests"
        assert 0 < first.get_xlim()[1] - names[words].xy[0] < 0.5
    assert names["a"].xy == (0.1, 2.45)
    boxes = [one.get_position() for one in (first, *rest)]
    assert all(one.x0 >= 0 and one.x1 <= 1 and one.y0 >= 0 and one.y1 <= 1 for one in boxes)
    assert boxes[0].y0 >= boxes[1].y1 and boxes[0].height == pytest.approx(boxes[1].height)
    assert boxes[1].y0 < 0.05 and boxes[0].y1 > 0.9, "they share the paper"


def test_charts_of_the_lesson_reach_as_far_as_they_say():
    growth, lobes = lesson_07.growth_picture(ZETA, RPM)[0], lesson_07.lobe_picture(ZETA)[0]
    (axes,), (chart,), limit = growth.axes, lobes.axes, lesson_07.slide_limit(ZETA)[2].m_as("mm")
    assert axes.get_xlim() == (0, 59) and axes.get_yscale() == "log"
    for line in axes.lines:
        assert line.get_xdata().tolist() == list(range(60)) and line.get_ydata()[0] > 0
    curve = next(line for line in chart.lines if len(line.get_xdata()) > 2)
    assert chart.get_ylim() == (0, pytest.approx(6 * limit))
    assert chart.get_xlim() == (0, curve.get_xdata()[-1])
    assert set(np.diff(chart.get_xticks())) == {4000} and chart.get_xticks()[0] == 0
    shaded = chart.collections[0].get_paths()[0].vertices
    assert np.isclose(shaded[:, 1], 6 * limit).sum() >= 400, "up to the top: there it chatters"
    assert shaded[:, 1].min() == pytest.approx(curve.get_ydata().min())


def test_words_stand_at_what_they_name():
    growth, lobes = lesson_07.growth_picture(ZETA, RPM)[0], lesson_07.lobe_picture(ZETA)[0]
    for line, words in zip(growth.axes[0].lines, growth.axes[0].texts, strict=True):
        assert words.xy == (line.get_xdata()[-1], line.get_ydata()[-1])
        assert words.get_color() == line.get_color()
    (axes,), limit = lobes.axes, lesson_07.slide_limit(ZETA)[2].m_as("mm")
    curve = next(line for line in axes.lines if len(line.get_xdata()) > 2)
    level = next(line for line in axes.lines if len(line.get_xdata()) == 2)
    assert set(level.get_ydata()) == {limit} and curve.get_ydata().min() >= limit
    reach = axes.patches[0].get_extents().transformed(axes.transData.inverted())
    assert (reach.x0, reach.x1) == pytest.approx(
        tuple(lesson_07.LATHE.gear_table.m_as("rpm")[[0, -1]])
    )
    words = {one.get_text(): one for one in axes.texts}
    low = [words[text].xy[1] for text in ("our lathe", "quiet at any speed")]
    assert max(low) < limit / 2 and words["our lathe"].xy[0] > reach.x1
    assert (
        axes.transAxes.transform(words["chatters"].xy)[1] > axes.transData.transform((0, limit))[1]
    )
    words_stand_apart(growth), words_stand_apart(lobes)


@pytest.mark.parametrize("seed", range(50))
def test_questions_keep_their_wrong_paths_apart(seed):
    for maker in (lesson_07.width_by_formula, lesson_07.damping_by_ear, lesson_07.who_sings):
        question = draw(maker, seed)
        assert len(question.slips) >= 4 and len(question.hints) == 2


def numbers(text):
    import re

    return [float(part) for part in re.findall(r"(?<![A-Za-z])\d+(?:\.\d+)?", text)]


def test_keys_follow_from_the_words():
    """Each key reckoned anew from the numbers in the question's own words."""
    stiffness, percent, force = numbers(draw(lesson_07.width_by_formula, 3).words)
    assert draw(lesson_07.width_by_formula, 3).key.m_as("mm") == pytest.approx(
        2 * stiffness * 1e3 * percent / 100 * (1 + percent / 100) / force
    )
    first, count, last = numbers(draw(lesson_07.damping_by_ear, 3).words)
    decrement = log(first / last) / count
    assert draw(lesson_07.damping_by_ear, 3).key.m_as("percent") == pytest.approx(
        100 * decrement / sqrt(4 * pi**2 + decrement**2)
    )
    diameter, turns, ten_marks = numbers(draw(lesson_07.who_sings, 3).words)
    assert draw(lesson_07.who_sings, 3).key.m_as("Hz") == pytest.approx(
        pi * diameter * turns / 60 / (ten_marks / 10)
    )


def test_gaps_are_checked(capsys):
    lesson_07.check_gaps("bellows", "2.74 mm", "2.26 mm")
    assert capsys.readouterr().out.count("Right") == 2
    lesson_07.check_gaps("bellows", "2.74 mm", "2.74 mm")
    assert "what is left to cut, or what is ground away" in capsys.readouterr().out


def test_stage_panel_draws_large():
    panel = lesson_07.panel(stage=True)
    assert panel.spec["stage"] and panel.spec["projector"] and panel.background["width"] > 1200


def test_labels_of_the_default_picture_do_not_touch():
    """Boxes of all texts of the stored picture, in both sizes."""
    for units in ("mm", "in"):
        for kind in lesson_07.TOOLS:
            drawn, _ = lesson_07.items(units, Quantity(6.0, "mm"), ZETA, RPM, f"pump, {kind}")
            figure = scene.add(lesson_07.paper(units), drawn)
            figure.canvas.draw()
            boxes = [
                text.get_window_extent()
                for axes in figure.axes
                for text in axes.texts
                if text.get_text()
            ]
            for number, box in enumerate(boxes):
                assert not any(box.overlaps(other) for other in boxes[number + 1 :])


@pytest.mark.parametrize("tool", ["organ, full edge", "organ, relieved", "pump, full edge"])
def test_what_chatters_never_shows_a_wave_that_dies(tool):
    """Far above the limit a wide flank's rubbing kills the linear sum's wave: then no growth is told."""
    edge, calm = Quantity(6.0, "mm"), Quantity(4.0, "percent")
    drawn, finding = lesson_07.items("mm", edge, calm, Quantity(400.0, "rpm"), tool)
    told = re.search(r"wave is (\S+) times", str(finding))
    assert finding.verdict == "not fine"
    assert float(told[1]) > 1 if told else "cannot follow the wave" in str(finding)
    words = [item.text for item in drawn if item.kind == "text" and item.axes == 2]
    assert any("beyond this sum" in one for one in words) == (told is None)
    assert (told is None) == (tool == "organ, full edge")


def test_any_damping_above_nothing_is_taken():
    with pytest.raises(ValueError, match="^damping must be"):
        lesson_07.swings("pump", Quantity(0.0, "percent"))
    modes_ = lesson_07.swings("pump", Quantity(0.05, "percent"))[1]
    assert {one.damping_ratio for one in modes_} == {0.0005}


def test_a_guess_outside_the_chart_is_not_drawn():
    low, top = lesson_07.WIDTHS["mm"]
    for guess, drawn in (
        (0.9 * low, False),
        (1.1 * low, True),
        (0.9 * top, True),
        (1.1 * top, False),
    ):
        predict("07 limiting width", f"{guess} mm", ("mm",))
        items = lesson_07.items("mm", Quantity(6.0, "mm"), ZETA, RPM, "pump, full edge")[0]
        assert any(getattr(one, "text", "") == "your prediction" for one in items) == drawn, guess
