"""Sums of cutting: limits, symmetry, bad input. Checks against print are in published/."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankmath.crank import steels
from crankmath.cutting import inserts, speeds
from crankmath.lathe import load_lathe
from crankmath.units import OutOfRangeWarning, Quantity

SPEED, DIAMETER = Quantity(20, "m/min"), Quantity(25, "mm")
TABLE = load_lathe().gear_table


@given(st.floats(1, 100), st.floats(1, 500))
def test_there_and_back(speed, diameter):
    there = speeds.spindle_speed(Quantity(speed, "m/min"), Quantity(diameter, "mm"))
    assert speeds.surface_speed(there, Quantity(diameter, "mm")).m_as("m/min") == pytest.approx(
        speed
    )


@given(st.floats(1, 100), st.floats(1, 500))
def test_inches_give_the_same_as_millimeters(speed, diameter):
    metric = speeds.spindle_speed(Quantity(speed, "m/min"), Quantity(diameter, "mm"))
    inch = speeds.spindle_speed(Quantity(speed / 0.3048, "ft/min"), Quantity(diameter / 25.4, "in"))
    assert inch.m_as("rpm") == pytest.approx(metric.m_as("rpm"))


def test_arrays_broadcast():
    result = speeds.spindle_speed(
        Quantity(np.array([10.0, 20.0])[:, None], "m/min"),
        Quantity(np.array([10.0, 20.0, 40.0]), "mm"),
    )
    assert result.shape == (2, 3)
    assert result[0, 0].m_as("rpm") == pytest.approx(result[1, 1].m_as("rpm"))


@pytest.mark.parametrize(
    ("wanted", "step"), [(254.6, 230), (230, 230), (229.9, 160), (5000, 2000), (70, 70)]
)
def test_next_slower_gear_step(wanted, step):
    # read off the gear table of the example lathe by eye
    assert speeds.gear_speed(Quantity(wanted, "rpm"), TABLE).m_as("rpm") == step


def test_below_the_slowest_step_is_said():
    with pytest.warns(OutOfRangeWarning, match="slowest gear step, 70 rpm"):
        assert speeds.gear_speed(Quantity(50, "rpm"), TABLE).m_as("rpm") == 70


def test_balance_by_hand():
    # sqrt(60 / (2 x 0.018)) = 40.825 rad/s = 389.85 rpm
    limit = speeds.unbalanced_speed_limit(Quantity(2, "kg"), Quantity(18, "mm"), Quantity(60, "N"))
    assert limit.m_as("rpm") == pytest.approx(389.85, abs=0.01)


def test_time_by_hand():
    # 45 mm at 0.1 mm a turn is 450 turns; at 225 rpm 2 min, three passes 6 min
    time = speeds.cutting_time(
        Quantity(45, "mm"), Quantity(0.1, "mm"), Quantity(225, "rpm"), passes=3
    )
    assert time.m_as("min") == pytest.approx(6)


def test_feed_above_the_nose_is_said():
    with pytest.warns(OutOfRangeWarning, match="feed is above nose_radius"):
        speeds.ideal_roughness(Quantity(0.5, "mm"), Quantity(0.4, "mm"))


def test_life_outside_the_line_is_said():
    with pytest.warns(OutOfRangeWarning, match="1 to 2400 min"):
        speeds.tool_life(Quantity(80, "m/min"))


def test_equal_lives_draw_no_line():
    with pytest.raises(ValueError, match="life_2 equals life_1"):
        speeds.taylor_fit(SPEED, Quantity(5, "min"), 2 * SPEED, Quantity(5, "min"))


@pytest.mark.parametrize("name", steels.NAMES)
@pytest.mark.parametrize("operation", speeds.OPERATIONS)
def test_every_steel_has_a_speed_with_its_source(name, operation):
    found = speeds.speed_for(name, operation=operation)
    assert found.low <= found.speed <= found.high and found.source and found.hardness
    assert ("common practice, no source" in found.source) == (operation == "facing a web")
    assert (found.depth is None) == (found.feed is None)
    if found.depth is not None:
        assert 0 < found.depth.m_as("in") < 0.5 and 0 < found.feed.m_as("in") < 0.05


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"tool": "carbide"}, "^tool"),
        ({"operation": "boring"}, "^operation"),
        ({"hardness": 600}, "^hardness"),
        ({"steel": "oak"}, "^steel"),
    ],
)
def test_unknown_words_are_named(arguments, words):
    with pytest.raises(ValueError, match=words):
        speeds.speed_for(**{"steel": "C45"} | arguments)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("name = 1", "lacks the key “center_height_mm”; write for example center_height_mm = 90"),
        ("= 1", "not a TOML file"),
        ("name = my lathe", 'write name = "my lathe"'),
        ("power_w = 350 W", "write power_w = 350$"),
        (
            'name = "x"\ncenter_height_mm = 0\nbetween_centers_mm = 1\npower_w = 1\ngear_table_rpm = [1]\nunbalance_force_n = 1',
            "center_height must be above",
        ),
        (
            'name = "x"\ncenter_height_mm = 1\nbetween_centers_mm = 1\npower_w = 1\ngear_table_rpm = []\nunbalance_force_n = 1',
            r"gear_table_rpm has to be a row of numbers in brackets, not \[\]",
        ),
    ],
)
def test_wrong_lathe_file(tmp_path, text, words):
    (tmp_path / "lathe.toml").write_text(text)
    with pytest.raises(ValueError, match=words):
        load_lathe(tmp_path / "lathe.toml")


def test_inserts_are_named_by_their_sizes():
    """ISO 1832: the last two figures of a code are the nose radius in tenths of a millimeter."""
    for one in inserts.usual_inserts():
        assert one.nose_radius.m_as("mm") == pytest.approx(int(one.code.split()[-1]) / 10)
        assert 0 < one.approach_angle.m_as("deg") < 100 and isinstance(one.use, str)
