"""Lesson 04: the end view beside its chart, drawn from the numbers. Its questions: test_lesson.py."""

import re

import numpy as np
import pytest

from crankbook.lessons.turning import lesson_04
from crankbook.pictures.scene import BLUE, GRAY, RUST
from crankmath.units import Quantity

pytestmark = pytest.mark.usefixtures("own_folder")


def end_view(units="mm", v=25.0, d=20.0, e=10.0, m=2.0):
    """What stands in the end view at m/min, mm, mm and kg, and the finding."""
    drawn, finding = lesson_04.items(
        units, Quantity(v, "m/min"), Quantity(d, "mm"), Quantity(e, "mm"), Quantity(m, "kg")
    )
    return [item for item in drawn if item.axes == 1], finding


def rings(seen):
    """Radii of the surface and of the path of the center of mass, about the axis."""
    curves = [one for one in seen if one.kind == "line" and len(one.x) > 60]
    return {one.color: float(np.hypot(one.x, one.y).max()) for one in curves}


def shares(seen, color):
    """Way of an arrow from its foot to its tip, and its length over that to the bar across."""
    arrow = next(one for one in seen if one.kind == "line" and one.fill == color)
    foot, tip = (
        np.array([(arrow.x[0] + arrow.x[-1]) / 2, (arrow.y[0] + arrow.y[-1]) / 2]),
        np.array([arrow.x[3], arrow.y[3]]),
    )
    dashed = next(one for one in seen if one.kind == "line" and one.color == color and one.dash)
    full = np.array([dashed.x[1] - dashed.x[0], dashed.y[1] - dashed.y[0]])
    assert np.array([dashed.x[0], dashed.y[0]]) == pytest.approx(foot)
    return tip - foot, np.hypot(*(tip - foot)) / np.hypot(*full)


@pytest.mark.parametrize(("v", "d", "e", "m"), [(25, 20, 10, 2), (18, 70, 8, 3), (60, 18, 40, 6)])
def test_the_end_view_is_drawn_from_the_numbers(v, d, e, m):
    """By hand: m e (2 pi n / 60)^2 of the 60 N the school's lathe is said to bear; pi d n of v."""
    seen, finding = end_view("mm", v, d, e, m)
    n = float(re.search(r"Use (\S+) rpm", finding.headline)[1])
    found = rings(seen)
    assert found[GRAY] / found[BLUE] == pytest.approx(e / (d / 2))
    middle = next(one for one in seen if one.kind == "marker")
    assert np.hypot(middle.x, middle.y) == pytest.approx(found[GRAY])
    pull, part = m * e / 1000 * (2 * np.pi * n / 60) ** 2, np.pi * d / 1000 * n / v
    way, share = shares(seen, RUST)
    assert share == pytest.approx(pull / 60) and way[0] * middle.y == pytest.approx(
        way[1] * middle.x
    )
    # at the front, left of the axis, the surface goes down: the top comes toward who stands there
    way, share = shares(seen, BLUE)
    assert share == pytest.approx(part) and way[0] == pytest.approx(0) and way[1] < 0
    tool = next(one for one in seen if one.kind == "line" and one.fill and one.color == GRAY)
    assert tool.x.max() == pytest.approx(-found[BLUE])
    words = " ".join(one.text for one in seen if one.kind == "text")
    said = float(re.search(r"pulls with (\S+) of 60 N", words)[1])
    assert said == pytest.approx(pull, rel=0.05) and f"{n:.0f} rpm" in words


def test_where_no_step_is_slow_enough_the_slowest_is_drawn():
    """90 mm at 70 rpm are 19.8 m/min where 5 are asked for; 6 kg 40 mm off pull with 12.9 N."""
    seen, finding = end_view("mm", 5.0, 90.0, 40.0, 6.0)
    assert finding.verdict == "not fine"
    words = [one.text for one in seen if one.kind == "text"]
    assert "70 rpm, the slowest" in words and "cuts at 19.8 of 5 m/min" in words
    assert "pulls with 13 of 60 N" in words
    assert shares(seen, BLUE)[1] > 1  # beyond the bar across


def test_a_bar_on_its_axis_pulls_with_nothing():
    seen, _ = end_view(e=0.0)
    assert "pulls with 0 of 60 N" in [one.text for one in seen if one.kind == "text"]
    assert not any(one.kind == "line" and one.fill == RUST for one in seen)


def test_inch_converts_and_never_relabels():
    """2 kg are 4.41 lb, 20 mm 0.787 in, 60 N 13.5 lbf, 25 m/min 82 ft/min; the drawing is alike."""
    metric, inch = end_view()[0], end_view("in")[0]
    words = " ".join(one.text for one in inch if one.kind == "text")
    assert all(word in words for word in ("m 4.41 lb", "Ø0.787 in", "of 13.5 lbf", "of 82 ft/min"))
    assert shares(inch, RUST)[1] == pytest.approx(shares(metric, RUST)[1])
    ratio = [found[GRAY] / found[BLUE] for found in map(rings, (metric, inch))]
    assert ratio[0] == pytest.approx(ratio[1])
