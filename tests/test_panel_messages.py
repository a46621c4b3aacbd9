"""What a panel tells its page: places, scales, counts, what is taken and what is not; and the checker at its limits."""

import re
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.text import Text

from crankbook.classroom import course
from crankbook.lesson import (
    Control,
    Exercise,
    Question,
    check,
    draw,
    exercise,
    prediction,
    progress,
)
from crankbook.lesson.panel import LETTERS, Choice, Count, Panel
from crankbook.lesson.scene import Scene
from crankbook.pictures import scene
from crankmath.units import Quantity

pytestmark = pytest.mark.usefixtures("own_folder")

HEIGHT = Control(
    "height", "Height h", ("mm", 1, 40, 0.5), ("in", 0.04, 1.6, 0.02), Quantity(10.0, "mm"), ("cm",)
)
COUNT = Count("count", "Count", ("dimensionless", 1, 9, 1), ("dimensionless", 1, 9, 1),
              Quantity(3.0, "dimensionless"))  # fmt: skip
KIND = Choice("kind", "Kind", ("round", "square"), "round")


def paper(units, projector=False):
    figure, axes, other = scene.blank(
        projector, 8.0, 4.0, ((0.1, 0.2, 0.5, 0.7), (0.7, 0.2, 0.25, 0.7))
    )
    axes.set(xlim=(0, 50), ylim=(1, 1000), yscale="log")
    other.set(xlim=(1, 10), ylim=(-1, 1), xscale="log", title="small")
    return figure


def items(units, height, count, kind):
    size = height.m_as(units)
    if kind == "square" and size > 20:
        raise ValueError("a square is at most 20 high")
    full = scene.full_scale(size, "height")
    return [scene.Point(size / full, 10.0, scene.BLUE)], f"{size:g} of {full:g}."


def panel(**changes):
    return Panel(
        (HEIGHT, COUNT, KIND), items, paper, {"High": {"height": Quantity(30.0, "mm")}}, **changes
    )


def test_the_page_is_told_where_the_axes_stand_and_how_they_are_divided():
    """Paper of 800 by 400: the first axes from 80 to 480 across and 40 to 320 down; its height is logarithmic."""
    told = panel().background
    assert (told["width"], told["height"]) == (800, 400)
    first, second = told["inside"]
    assert first == pytest.approx({"x": 80, "y": 40, "width": 400, "height": 280})
    assert second == pytest.approx({"x": 560, "y": 40, "width": 200, "height": 280})
    assert told["scales"][0] == {"x": [0, 50, False], "y": [1, 1000, True]}
    assert told["scales"][1] == {"x": [1, 10, True], "y": [-1, 1, False]}
    assert told["address"].startswith("data:image/png")


@pytest.mark.parametrize("projector", [False, True])
def test_letters_of_the_paper_are_never_too_small_to_read(monkeypatch, projector):
    drawn = []
    one = panel(stage=projector)
    one.paper = lambda *asked: drawn.append(paper(*asked)) or drawn[-1]
    one._lay_out()
    sizes = [text.get_fontsize() for text in drawn[-1].findobj(Text)]
    assert min(sizes) == pytest.approx(0.72 * LETTERS[projector]) and max(sizes) >= min(sizes)
    assert one.spec["letters"] == LETTERS[projector] and one.spec["stage"] is projector
    dot = one.frame["items"][0]
    assert dot["size"] == pytest.approx(6 * (1.7 if projector else 1.0))


def test_each_picture_has_its_own_number_and_says_whether_it_rests():
    one = panel()
    counts = [one.frame["count"]]
    for message, settled in (
        ({"type": "set", "values": {"height": 12}}, False),
        ({"type": "type", "name": "height", "text": "14 mm"}, True),
        ({"type": "preset", "name": "High"}, True),
        ({"type": "reset"}, True),
    ):
        one.receive(message)
        assert (
            one.frame["settled"] is settled and one.frame["typed"] == "" and not one.frame["stale"]
        )
        counts.append(one.frame["count"])
    assert len(set(counts)) == len(counts)


def test_what_does_not_go_together_leaves_the_last_picture_and_says_so():
    one = panel()
    one.receive({"type": "set", "values": {"kind": "square"}})
    before = one.frame["items"]
    one.receive({"type": "set", "values": {"height": 30}})
    assert one.frame["stale"] and one.frame["problem"] == "a square is at most 20 high"
    assert one.frame["items"] == before and one.frame["values"]["height"]["value"] == 30
    one.receive({"type": "type", "name": "height", "text": "high"})
    assert not one.frame["stale"] and one.frame["typed"] == "height"
    one.receive({"type": "ahead", "values": {"height": 31}, "key": "height 31"})
    assert one.ahead["items"] is None and one.ahead["key"] == "height 31"
    one.receive({"type": "ahead", "values": {"height": 20}, "key": "height 20"})
    assert one.ahead["readout"] == "20 of 20." and one.frame["values"]["height"]["value"] == 30
    assert one.ahead["count"] > one.frame["count"] and one.ahead["problem"] == ""


def test_what_is_held_is_drawn_to_the_larger_scale():
    """10 of 10; then 30 needs 50, and what is held is drawn to 50 too, until it is let go of."""
    one = panel()
    x = [one.frame["items"][0]["x"]]
    assert not one.held
    one.receive({"type": "hold"})
    assert one.held["items"][0]["x"] == x[0] and one.held["text"] == "10 of 10."
    one.receive({"type": "ahead", "values": {"height": 30}, "key": "a"})
    assert one.ahead["items"] is None, "the held one would change with it"
    one.receive({"type": "ahead", "values": {"height": 9}, "key": "b"})
    assert one.ahead["readout"] == "9 of 10."
    one.receive({"type": "preset", "name": "High"})
    assert one.frame["readout"] == "30 of 50."
    places = [np.array([item["x"] for item in some["items"]]) for some in (one.held, one.frame)]
    assert (places[1] - 80) / (places[0] - 80) == pytest.approx(3, rel=0.05)
    one.receive({"type": "reset"})
    assert one.frame["readout"] == "10 of 10." and one.held["items"][0]["x"] == pytest.approx(x[0])
    one.receive({"type": "release"})
    assert one.held == {}


@pytest.mark.parametrize(
    ("text", "taken"),
    [
        ("1 mm", 1),
        ("40 mm", 40),
        ("0.9 mm", None),
        ("40.1 mm", None),
        ("0.5 in", 12.7),
        ("2 cm", 20),
    ],
)
def test_a_typed_value_is_taken_up_to_the_ends_of_the_slider(text, taken):
    one = panel()
    one.receive({"type": "type", "name": "height", "text": text})
    if taken is None:
        assert (
            one.frame["problem"].startswith("Height h: ")
            and "from 1 mm to 40 mm" in one.frame["problem"]
        )
        assert one.frame["values"]["height"]["value"] == 10
    else:
        assert (
            one.frame["values"]["height"]["value"] == pytest.approx(taken)
            and not one.frame["problem"]
        )


def test_a_count_is_a_whole_number_without_a_unit():
    one = panel()
    for text, taken in (("7", 7), ("4.4", 4), ("9", 9)):
        one.receive({"type": "type", "name": "count", "text": text})
        assert one.frame["values"]["count"]["value"] == taken and not one.frame["problem"]
    for text in ("0", "10", "many", "3 mm"):
        one.receive({"type": "type", "name": "count", "text": text})
        assert one.frame["problem"] and "dimensionless" not in one.frame["problem"]
        assert one.frame["values"]["count"]["value"] == 9


@pytest.mark.parametrize(
    ("value", "offered"),
    [
        (10.0, 0.4),  # 0.3937 in: 0.4 lies within 2 %
        (10.5, 0.42),  # 0.4134: 0.42 is 1.6 % off
        (1.0, 0.04),  # 0.03937
        (13.0, 0.52),  # 0.5118: 0.5 is 2.3 % off, 0.52 1.6 %
        (12.9999, 12.9999 / 25.4),  # no step of the metric slider: worked out
        (1.5, 0.06),  # 0.05906: 1.6 % off
        (2.0, 0.08),  # 0.07874
        (4.5, 0.18),  # 0.1772: 1.6 % off
        (3.0, 0.12),
        (20.0, 0.8),  # of 0.78 and 0.8 the one of fewest digits
    ],
)
def test_what_is_offered_in_inches_is_round(value, offered):
    assert HEIGHT.offered(Quantity(value, "mm"), "in").m_as("in") == pytest.approx(offered)
    assert HEIGHT.offered(Quantity(value, "mm"), "mm") == Quantity(value, "mm")


def test_a_value_between_two_coarse_steps_keeps_its_size():
    """Steps of an inch slider so coarse that the nearest is more than 4 % off: what was set stays."""
    coarse = Control("x", "x", ("mm", 0, 100, 1), ("in", 0, 4, 0.2), Quantity(10.0, "mm"))
    for value, offered in (
        (10, 0.4),
        (28, 28 / 25.4),
        (31, 1.2),
        (24, 24 / 25.4),
        (99, 3.8),
        (0, 0),
    ):
        assert coarse.offered(Quantity(float(value), "mm"), "in").m_as("in") == pytest.approx(
            offered
        )


def test_a_picture_in_a_plain_cell_takes_what_the_panel_has():
    plain = Scene((HEIGHT, COUNT, KIND), items, paper)
    assert plain.picture(Quantity(12.0, "mm"))[1] == "12 of 20."
    assert plain.picture(kind="square")[1] == "10 of 10."
    assert plain.picture(units="in")[1] == "0.4 of 0.5."
    with pytest.raises(TypeError, match=r"takes height, count, kind and units, not \['wide'\]"):
        plain.picture(wide=3)
    with pytest.raises(TypeError, match="takes height, count, kind and units, not "):
        plain.picture(Quantity(12.0, "mm"), 1, "round", "more")


# the checker


def asked(key=100.0, tolerance=0.01, **slips):
    return Question("?", Quantity(key, "rpm"), ("rpm",), {f"{name}?": Quantity(value, "rpm") for name, value in slips.items()}, (), tolerance)  # fmt: skip


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ("101", "Right"), ("99", "Right"), ("101.01", "rounded"), ("98.99", "rounded"),
        ("103.99", "rounded"), ("96.01", "rounded"), ("104.01", "too large"), ("95.99", "too small"),
        ("-100", "a minus sign has no meaning here"), ("-101.1", "too small"),
        ("1e5", "factor of 1000"), ("1.0099e5", "factor of 1000"), ("0.1", "factor of 1000"),
        ("1.02e5", "too large"), ("0.102", "too small"), ("-1e5", "too small"), ("1e8", "too large"),
        ("2540", "inches"), ("3.937", "inches"), ("2600", "too large"), ("4", "too small"),
        ("198.01", "twice?"), ("201.99", "twice?"), ("202.1", "too large"), ("197.9", "too large"),
    ],
)  # fmt: skip
def test_answers_at_the_limits_of_the_tolerance(answer, said):
    """1 % of the key is right, 4 % were rounded; a known slip, the other sign and a prefix are named within 1 %."""
    assert said in check(asked(twice=200.0), f"{answer} rpm")


def test_a_slip_of_the_question_s_own_is_named_before_a_prefix():
    assert "was the lead in meters?" in check(asked(**{"was the lead in meters": 0.1}), "0.1 rpm")


@pytest.mark.parametrize(
    ("answer", "said"), [("-100", "Which way"), ("-100.99", "Which way"), ("-101.1", "too small")]
)
def test_only_what_has_a_direction_is_asked_for_it(answer, said):
    """By a question that says so, or by a key that is itself negative."""
    assert said in check(replace(asked(), directed=True), f"{answer} rpm")
    assert "Which way" in check(asked(-100.0), "100 rpm")


def test_every_exercise_says_whether_its_answer_has_a_direction():
    """Read off the questions: how much grown, closed, too long, too small, warmer, tight can be the other way; a diameter cannot."""
    every = {n: m for one in course.lessons() for n, m in course.exercises(one).items()}
    directed = {name for name, maker in every.items() if draw(maker, 1).directed}
    assert directed == {"08-1", "08-3", "09-1", "09-2", "13-1", "13-2", "16-2"}
    question = draw(every["04-1"], 1)
    assert "no meaning" in check(question, f"{-question.key.m_as('rpm'):.5g} rpm")


@pytest.mark.parametrize(
    ("answer", "right"),
    [("12.35", True), ("12.3", True), ("12.2", False), ("12.39", True), ("12.45", False)],
)
def test_three_figures_are_enough_where_the_tolerance_is_finer(answer, right):
    """Key 12.348 asked to 0.01 %: half of its third figure, 0.05, is allowed."""
    assert ("Right" in check(asked(12.348, 0.0001), f"{answer} rpm")) == right


def test_the_nearer_of_key_and_slip_wins():
    """Key 100, slip 101 at a tolerance of 2 %: as many percent from both lies 2/(1/100 + 1/101) = 100.4975."""
    for answer, right in (("100.49", True), ("100.51", False), ("98", True), ("97.9", False)):
        assert ("Right" in check(asked(tolerance=0.02, near=101.0), f"{answer} rpm")) == right
    for answer, right in (("99.51", True), ("99.49", False), ("102", True)):
        assert ("Right" in check(asked(tolerance=0.02, near=99.0), f"{answer} rpm")) == right
    assert "Right" in check(asked(tolerance=0.02, other=-99.0), "98.1 rpm"), "the other sign is far"


@pytest.mark.parametrize(
    ("key", "example"),
    [(250.0, "1000 rpm"), (0.3, "1 rpm"), (1000.0, "1000 rpm"), (30.0, "100 rpm")],
)
def test_an_example_of_an_answer_is_the_next_power_of_ten(key, example):
    assert f'my_answer = "{example}"' in check(asked(key), None)


def test_numbers_are_drawn_until_wrong_paths_lie_apart():
    """Three tolerances of 1 %: a slip of 103.01 tells itself from 100, one of 102.99 does not."""
    assert draw(lambda source: asked(slip=103.01), 1).key.m_as("rpm") == 100
    with pytest.raises(ValueError, match="wider ranges"):
        draw(lambda source: asked(slip=102.99), 1)
    with pytest.raises(ValueError, match="wider ranges"):
        draw(lambda source: asked(slip=0.0), 1)


def test_a_right_answer_stays_right_and_old_numbers_are_recognized(capsys, monkeypatch):
    def maker(source):
        return asked(float(source.randrange(100, 900)))

    one = Exercise("x-1", maker)
    key = one.question.key.m_as("rpm")
    one.check("1 rpm")
    assert progress.read()["answers"]["x-1"]["right"] is False
    one.check(f"{key} rpm")
    one.check("1 rpm")
    kept = progress.read()["answers"]["x-1"]
    assert kept == {"answer": f"{key} rpm", "right": True, "turn": 0}
    assert (
        exercise.is_right(kept)
        and not exercise.is_right({"right": False})
        and not exercise.is_right("right")
    )
    one.new_numbers()
    assert one.turn == 1 and one.question.key.m_as("rpm") != key
    capsys.readouterr()
    one.check(f"{key} rpm")
    assert "of the numbers before" in capsys.readouterr().out
    kept = progress.read()["answers"]["x-1"]
    assert kept["turn"] == 1 and kept["right"] is True and Exercise("x-1", maker).turn == 1
    one.check("x" * 300)
    assert "right" in progress.read()["answers"]["x-1"]
    monkeypatch.setenv("CRANKMATH_STUDENT", "ada")
    hers = Exercise("x-2", maker)
    assert hers.question != Exercise("x-1", maker).question
    hers.check("x" * 300)
    kept = progress.read()["answers"]["x-2"]
    assert kept["student"] == "ada" and len(kept["answer"]) == 100


def test_hints_are_numbered_and_the_last_has_other_numbers(monkeypatch):
    shown = []
    monkeypatch.setattr(exercise, "display", lambda page: shown.append(page.data))

    def maker(source):
        size = float(source.randrange(100, 900))
        return Question(
            f"Size {size:.0f}?", Quantity(size, "rpm"), ("rpm",), {}, ("idea", "formula")
        )

    one = Exercise("x-3", maker)
    one.ask()
    assert re.findall(r"Hint (\d)", shown[0]) == ["1", "2", "3"]
    twin = re.search(r"other numbers: Size (\d+)\? Answer: (\d+) rpm", shown[0])
    assert twin[1] == twin[2] != f"{one.question.key.m_as('rpm'):.0f}"
    assert shown[0].index("idea") < shown[0].index("formula") < shown[0].index("other numbers")


def test_a_prediction_that_cannot_be_read_is_none():
    progress.write("predictions", "x", "3 mm")
    progress.write("predictions", "y", "soon")
    assert prediction("x", ("mm",)).m_as("mm") == 3
    assert (
        prediction("y", ("mm",)) is None
        and prediction("x", ("N",)) is None
        and prediction("z", ("mm",)) is None
    )
