"""Panels without a browser, the exercise checker, pictures, the progress file."""

import json
import random

import pytest
from jupyter_client.manager import start_new_kernel

from crankbook.lesson import (
    Choice,
    Control,
    Exercise,
    Finding,
    Panel,
    Question,
    Scene,
    check,
    check_gap,
    draw,
    pictures,
    predict,
    prediction,
    progress,
    slips,
)
from crankbook.lesson.pictures import png_address
from crankbook.lessons.proving import lesson_11, lesson_14
from crankbook.lessons.turning import lesson_04, lesson_06, lesson_07, lesson_08
from crankbook.pictures import scene
from crankmath.units import Quantity

MAKERS = (lesson_04.one_step, lesson_04.web_face, lesson_04.judgment)


pytestmark = pytest.mark.usefixtures("own_folder")


@pytest.fixture
def panel():
    return lesson_04.panel()


@pytest.mark.parametrize(
    ("lesson", "control", "chosen", "preset", "then"),
    [
        (lesson_07, "tool", "organ, full edge", "Relieved", "organ, relieved"),
        (lesson_07, "tool", "bellows, full edge", "Slender crank", "organ, relieved"),
        (lesson_08, "packing", "bellows, no spacer", "Fits", "bellows, spacer"),
        (lesson_08, "packing", "organ, no spacer", "Long", "organ, all throws"),
        (lesson_11, "machine", "organ, liquid pump", "Sharp corner", "organ, liquid pump"),
        (lesson_14, "crank", "organ, counterweights", "As drawn", "organ, no counterweights"),
        (lesson_14, "crank", "organ, counterweights", "Two throws", "compressor, counterweights"),
    ],
)
def test_a_preset_keeps_the_crank_chosen(lesson, control, chosen, preset, then):
    """But for one that is named after another crank."""
    panel = lesson.panel()
    panel.receive({"type": "set", "values": {control: chosen}})
    panel.receive({"type": "preset", "name": preset})
    assert panel.frame["values"][control]["value"] == then and not panel.frame["problem"]


def test_a_unit_is_offered_once():
    panel = lesson_11.panel()
    for text in ("300 Hz", "300 upm"):
        panel.receive({"type": "type", "name": "speed", "text": text})
        said = panel.frame["problem"]
        assert "rpm" in said and "rpm or rpm" not in said and "rpm, rpm" not in said


def test_panel_shows_the_hand_sum(panel):
    # by hand: 25000 / (pi 20) = 397.9 rpm
    assert "asks for 398 rpm" in panel.frame["readout"]


def test_typed_values_are_read_and_echoed(panel):
    panel.receive({"type": "type", "name": "diameter", "text": "3/4 in"})
    assert panel.frame["values"]["diameter"]["text"] == "19.05 mm"  # 25.4 x 3/4 by hand
    panel.receive({"type": "type", "name": "diameter", "text": "20,5 mm"})
    assert panel.frame["values"]["diameter"]["value"] == pytest.approx(20.5)


@pytest.mark.parametrize(
    "text",
    ["abc", "-5 mm", "1,234 mm", "20", "20 mm2", "", "500 mm", "nan mm", "<b>5</b> mm", "1/0 mm"],
)
def test_wrong_entry_is_said_and_the_old_value_stays(panel, text):
    before = panel.frame["values"]
    panel.receive({"type": "type", "name": "diameter", "text": text})
    assert panel.frame["problem"].startswith("Diameter at the tool")
    assert panel.frame["typed"] == "diameter" and panel.frame["values"] == before


def test_units_convert_and_never_relabel(panel):
    panel.receive({"type": "type", "name": "diameter", "text": "21 mm"})
    before = panel.values["diameter"]
    panel.receive({"type": "units"})
    assert panel.values["diameter"] == before
    assert panel.frame["values"]["diameter"]["text"] == "0.8268 in"  # 21 / 25.4
    assert progress.read()["units"] == "in"


def test_what_a_panel_offers_is_round_in_either_system():
    """Within 2 % a number of few digits on the slider's steps, else the nearest; worked-out ones stay."""
    panel = lesson_08.panel()  # 400 N = 89.92 lbf, by steps of 2; -0.02 mm = -0.787 thou, by 0.02
    panel.receive({"type": "units"})

    def shown():
        return [panel.frame["values"][name]["text"] for name in ("force", "misfit")]

    assert shown() == ["90 lbf", "0 thou"]
    panel.receive({"type": "preset", "name": "Short"})
    assert shown() == ["90 lbf", "−0.8 thou"]
    panel.receive({"type": "set", "values": {"force": 60}})
    panel.receive({"type": "units"})
    assert shown() == ["266.9 N", "−0.02 mm"]  # the hand's is converted: 60 x 4.44822
    opened = lesson_06.SCENE.picture(units="in")[1]  # 1 mm at 0.12 mm a turn
    assert "0.04 in deep at 0.0048 in a turn" in str(opened)
    worked_out, other = lesson_04.panel().controls["throw"], Quantity(7.324, "mm")
    assert worked_out.offered(other, "in") == other


def test_presets_reset_and_projector(panel):
    for preset in panel.presets:
        panel.receive({"type": "preset", "name": preset})
        assert not panel.frame["problem"]
    panel.receive({"type": "projector"})
    assert panel.spec["projector"]
    panel.receive({"type": "reset"})
    assert panel.frame["values"]["diameter"]["text"] == "20 mm"


def test_unknown_control_is_named(panel):
    with pytest.raises(ValueError, match="no control “speed”"):
        panel.set(speed=Quantity(1, "m/min"))


def test_moving_points_sit_where_matplotlib_puts_them(panel):
    # the browser's dot against matplotlib's own transform of a new figure
    figure = lesson_04.paper("mm")
    figure.canvas.draw()
    x, y = figure.axes[0].transData.transform((20.0, 25000 / (3.141592653589793 * 20)))
    dot = next(item for item in panel.frame["items"] if item["kind"] == "marker")
    assert dot["x"] == pytest.approx(x, abs=0.1) and dot["y"] == pytest.approx(400 - y, abs=0.1)


def test_checker_in_order():
    question = Question(
        "?", Quantity(250.0, "rpm"), ("rpm",), {"radius?": Quantity(500.0, "rpm")}, ()
    )
    assert check(question, None).startswith("Not answered yet")
    assert "no number" in check(question, "abc")
    assert "needs a unit" in check(question, "250")
    assert "another kind" in check(question, "250 mm")
    assert "a minus sign has no meaning" in check(question, "-250 rpm")
    assert "radius?" in check(question, "500 rpm")
    assert "rounded" in check(question, "256 rpm")
    assert "too large" in check(question, "900 rpm")
    assert "too small" in check(question, "90 rpm")
    assert "Read as 250 rpm. Right" in check(question, "250 rpm")
    assert "Right" in check(question, "250 rev/min")


def test_draw_is_seeded_and_refuses_what_cannot_be_told_apart():
    assert draw(lesson_04.one_step, 7) == draw(lesson_04.one_step, 7)
    with pytest.raises(ValueError, match="wider ranges"):
        draw(
            lambda source: Question(
                "?", Quantity(1.0, "mm"), ("mm",), {"same?": Quantity(1.01, "mm")}, ()
            ),
            1,
        )


def test_exercise_keeps_the_answer_and_never_prints_the_key(own_folder, capsys):
    exercise = Exercise("04-1", lesson_04.one_step)
    exercise.ask()
    exercise.check("1 rpm")
    shown = capsys.readouterr().out
    assert f"{exercise.question.key.magnitude:.0f} rpm" not in shown
    exercise.check(exercise.question.key)
    stored = json.loads((own_folder / "progress.json").read_text())
    assert stored["answers"]["04-1"]["right"] is True
    old = str(exercise.question.key)
    exercise.check(old)
    exercise.new_numbers()
    assert Exercise("04-1", lesson_04.one_step).question == exercise.question
    stored = progress.read()["answers"]["04-1"]
    kept = {"turn": 1, "right": True, "before": old}
    assert stored == kept, "new numbers take no credit back"
    capsys.readouterr()
    exercise.check(old)  # worked for the question before, not judged by the new one
    assert capsys.readouterr().out.startswith("This answer is of the numbers before")
    exercise.check("1 rpm")
    assert progress.read()["answers"]["04-1"]["right"] is True


def test_new_numbers_are_drawn_in_a_cell_of_their_own(own_folder, capsys, monkeypatch):
    """Left in the cell that asks, every run changed the question under the answer."""
    monkeypatch.setattr("crankbook.lesson.exercise._cell", lambda: 7)
    exercise = Exercise("04-1", lesson_04.one_step)
    first = exercise.question
    exercise.new_numbers()
    assert exercise.question == first and "in a cell of its own" in capsys.readouterr().out
    monkeypatch.setattr("crankbook.lesson.exercise._cell", lambda: 8)
    exercise.new_numbers()
    assert exercise.question != first


def test_prediction_is_kept_and_drawn():
    assert predict("04 spindle speed", "abc", ("rpm",)) is None
    predict("04 spindle speed", "300 rpm", ("rpm",))
    assert prediction("04 spindle speed", ("rpm",)).m_as("rpm") == 300
    drawn, _ = lesson_04.items("mm", **lesson_04.panel().values)
    assert any(getattr(item, "text", "") == "your prediction" for item in drawn)


@pytest.mark.parametrize(
    "text",
    ["{", "[]", '{"version": 99}', '{"version": 1, "units": 5, "answers": []}', "[" * 10_000],
)
def test_damaged_progress_loses_nothing(own_folder, text):
    (own_folder / "progress.json").write_text(text)
    assert progress.read()["units"] == "mm"
    kept = list(own_folder.glob("progress*.json"))
    assert any(path.read_text() == text for path in kept)
    progress.write("answers", "x", {"right": True})
    assert progress.read()["answers"]["x"] == {"right": True}


def test_alt_text_is_literal_and_required(capsys):
    figure, _ = scene.blank()
    with pytest.raises(ValueError, match="alt is empty"):
        pictures.show(figure, " ")
    assert png_address(figure).startswith("data:image/png;base64,")


def test_numbers_of_a_picture_stand_folded_below_it(monkeypatch):
    """A table on wish: named columns and rows, every text escaped."""
    figure, shown = scene.blank()[0], []
    monkeypatch.setattr(pictures, "display", lambda html: shown.append(html.data))
    pictures.show(figure, "It grows.", (("turn", "size < 2"), [("1", "1.5"), ("2", "1.8")]))
    pictures.show(figure, "It grows.")
    table = shown[0].partition("<details><summary>The numbers as a table</summary>")[2]
    assert table.count('<th scope="col">') == 2 == table.count('<th scope="row">')
    assert "size &lt; 2" in table and "<td>1.8</td>" in table
    assert "<details>" not in shown[1]


def test_colors_stand_out_on_white():
    # WCAG 2.2, 1.4.3: relative luminance contrast at least 4.5 to 1
    for color in (scene.BLUE, scene.RUST, scene.GREEN, scene.PURPLE, scene.GRAY):
        parts = [int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [
            part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
        ]
        luminance = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
        assert 1.05 / (luminance + 0.05) >= 4.5, color


def test_random_bursts_leave_the_last_value(panel):
    source = random.Random(4)
    for _ in range(200):
        name = source.choice(list(panel.controls))
        _, low, high, _ = panel.controls[name].scale("mm")
        value = source.uniform(low, high)
        panel.receive({"type": "set", "values": {name: value}})
        assert panel.frame["values"][name]["value"] == pytest.approx(value)


@pytest.mark.parametrize(
    ("line", "wanted"),
    [
        ("my_answer = 5 um", 'my_answer = "5 um"'),
        ("  my_force=120N  # a guess", 'my_force = "120N"'),
        ("my_answer = “5 um”", 'my_answer = "5 um"'),
        ('my_answer = "5 um', 'my_answer = "5 um"'),
        ("my_answer =", 'my_answer = "5 mm"'),
        ("crank = 5 um", ""),
        (None, ""),
    ],
)
def test_a_value_without_quotes_gets_the_line_to_type(line, wanted):
    assert slips.advice(line).endswith(wanted) and bool(slips.advice(line)) == bool(wanted)


def test_the_advice_stands_under_the_error_of_a_real_kernel():
    manager, client = start_new_kernel()
    try:
        said = {}
        for source in (
            "from crankbook import lesson",
            "my_answer = 5 um",
            "my_answer = um",
            "my_force = '12 N",
            "1 +",
            "my_answer = '5 um'",
            "print(my_answer)",
        ):
            heard = said.setdefault(source, [])
            client.execute_interactive(
                source,
                timeout=60,
                output_hook=lambda one, heard=heard: heard.append(
                    (one["msg_type"], one["content"])
                ),
            )
        for source, kind, line in (
            ("my_answer = 5 um", "SyntaxError", '"5 um"'),
            ("my_answer = um", "NameError", '"um"'),
            ("my_force = '12 N", "SyntaxError", '"12 N"'),
        ):
            errors = [content["ename"] for name, content in said[source] if name == "error"]
            words = "".join(content["text"] for name, content in said[source] if name == "stream")
            assert errors == [kind] and words.strip().endswith(line), said[source]
        assert [name for name, _ in said["1 +"] if name in ("error", "stream")] == ["error"]
        assert [
            content["text"] for name, content in said["print(my_answer)"] if name == "stream"
        ] == ["5 um\n"]
    finally:
        client.stop_channels()
        manager.shutdown_kernel(now=True)


def bars(units, height, kind):
    """A picture that chooses its own scale: one line at its height in parts of the scale."""
    full = scene.full_scale(height.m_as("mm"), "height")
    line = scene.Curve([0.0, 1.0], [height.m_as("mm") / full] * 2, scene.BLUE)
    return [line], Finding(f"It stands {height.m_as('mm'):g} mm high.", "look", (f"Of {kind}.",))


def unit_paper(units, projector=False):
    figure, axes = scene.blank(projector)
    axes.set(xlim=(0, 1), ylim=(0, 1))
    return figure


SCENE = Scene(
    (
        Control("height", "Height", ("mm", 0, 50, 1), ("in", 0, 2, 0.1), Quantity(2.0, "mm")),
        Choice("kind", "Kind", ("oak", "ash"), "oak"),
    ),
    bars,
    unit_paper,
    {"Tall": {"height": Quantity(40.0, "mm")}},
)


def ends(page):
    return [item["points"].split(" ") for item in page["items"] if item["kind"] == "line"]


def height_drawn(page):
    """Share of the window's height at which the one line is drawn; figure 400 high, axes 0.80 of it from 0.14."""
    y = float(ends(page)[0][0].split(",")[1])
    return (400 - y - 0.14 * 400) / (0.80 * 400)


def test_what_is_held_is_drawn_to_the_scale_of_what_follows():
    panel = SCENE.panel()
    assert height_drawn(panel.frame) == pytest.approx(1.0, abs=1e-3)  # 2 of 2 mm
    panel.receive({"type": "hold"})
    assert panel.held["text"] == "It stands 2 mm high. △ look"
    panel.receive({"type": "preset", "name": "Tall"})
    assert height_drawn(panel.frame) == pytest.approx(0.8, abs=1e-3)  # 40 of 50 mm
    assert height_drawn(panel.held) == pytest.approx(2 / 50, abs=1e-3)
    panel.receive({"type": "set", "values": {"height": 1.0}})
    assert height_drawn(panel.held) == pytest.approx(1.0, abs=1e-3)
    assert height_drawn(panel.frame) == pytest.approx(0.5, abs=1e-3), "the larger scale of the two"
    panel.receive({"type": "ahead", "key": "k", "values": {"height": 30.0}})
    assert panel.ahead["items"] is None, "the held picture would not be true beside it"
    panel.receive({"type": "release"})
    assert panel.held == {} and height_drawn(panel.frame) == pytest.approx(1.0, abs=1e-3)


def test_a_finding_has_a_headline_a_verdict_and_lines():
    page = SCENE.panel().frame
    assert page["finding"] == {
        "headline": "It stands 2 mm high.",
        "verdict": "△ look",
        "lines": ["Of oak."],
    }
    assert page["readout"] == str(SCENE.picture()[1]) == "It stands 2 mm high. Look. Of oak."
    assert str(SCENE.picture(Quantity(3.0, "mm"), "ash")[1]).endswith("Of ash.")
    with pytest.raises(TypeError, match="a picture takes height, kind and units"):
        SCENE.picture(width=3)
    with pytest.raises(ValueError, match="more than 12 words"):
        Finding("one two three four five six seven eight nine ten eleven twelve thirteen")
    with pytest.raises(ValueError, match="verdict must be one of fine, look"):
        Finding("It holds.", "good")


def test_a_panel_takes_a_plain_sentence_too():
    panel = Panel((), lambda units: ([], "A sentence."), unit_paper)
    assert panel.frame["finding"] == {"headline": "A sentence.", "verdict": "", "lines": []}


def test_a_gap_is_asked_for_by_its_name_and_in_a_size_it_takes(capsys):
    throw = Quantity(0.625, "in")
    check_gap("Throw", throw, ("in", "mm"), None, name="my_throw")
    assert 'my_throw = "1 in"' in capsys.readouterr().out
    check_gap("Throw", throw, ("in", "mm"), "15.875 mm", name="my_throw")  # 0.625 x 25.4
    assert "Right" in capsys.readouterr().out


def test_three_figures_are_enough_unless_a_slip_lies_nearer():
    # 1.7834 in to three figures is 1.78 in, 0.19 % off, where 0.1 % is asked
    key = Quantity(1.7834, "in")
    question = Question("?", key, ("mm", "in"), {}, (), 0.001)
    assert " Right" in check(question, "1.78 in") and " Right" in check(question, "45.3 mm")
    assert " Right" in check(question, "1.781 in"), "nearer than 1.78 in, so it cannot be worse"
    assert " Right" not in check(question, "1.77 in")
    slip = {"is that the radius?": Quantity(1.7795, "in")}
    assert "radius?" in check(Question("?", key, ("in",), slip, (), 0.001), "1.78 in")


def test_answers_in_any_unit_of_the_kind_are_marked():
    question = Question("?", Quantity(1.397, "um"), ("um", "mm"), {}, ())
    assert " Right" in check(question, "0.000055 in")  # 1.397 µm by 25.4 mm an inch
    assert " Right" in check(question, "≈ 1.4 microns")
