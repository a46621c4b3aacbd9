"""The class page of lesson 16: eight hidden faults, told by what is measured, uncovered last."""

from collections import Counter

import pytest

from crankbook.lessons.proving import fault_fit, hidden_faults, lesson_16
from crankbook.lessons.proving.fault_fit import FAULTS
from crankbook.lessons.proving.hidden_faults import BOTH, CONE, COVERED, NUMBERS, ONE, OPEN

pytestmark = pytest.mark.usefixtures("own_folder")


def said(crank, look, answer=COVERED):
    return hidden_faults.items("mm", crank, look, answer)[1]


def crank_lines(crank, look, answer):
    """What is drawn of the crank itself."""
    drawn = hidden_faults.items("mm", crank, look, answer)[0]
    return [item for item in drawn if item.axes == 3 and item.kind == "line"]


def test_every_fault_comes_twice():
    found = Counter(hidden_faults.hidden(crank)[0] for crank in NUMBERS)
    assert found == dict.fromkeys(FAULTS[:4], 2)


@pytest.mark.parametrize("crank", NUMBERS)
def test_the_cover_hides_the_fault_until_the_readings_tell_it(crank):
    """What is measured decides: both mains and the cone are enough for each of the eight."""
    fault, *_ = hidden_faults.hidden(crank)
    bar = fault_fit.SHOWS_ON_MAINS[fault]
    sure = str(said(crank, CONE))
    assert f"explain the readings: {bar}." in sure and "Hands up" in sure
    runs_out = "runs out 0" not in sure
    assert runs_out == (fault == FAULTS[3])
    for look in (ONE, BOTH, CONE):
        assert fault.capitalize() not in str(said(crank, look))
        assert not crank_lines(crank, look, COVERED)
    assert fault.capitalize() in str(said(crank, CONE, OPEN))
    assert crank_lines(crank, CONE, OPEN)


def test_main_1_alone_tells_less():
    undecided = [crank for crank in NUMBERS if "Not told apart" in str(said(crank, ONE))]
    decided = [crank for crank in NUMBERS if "Hands up" in str(said(crank, BOTH))]
    assert len(undecided) >= 4 and len(decided) >= 4


def test_stage_panel_is_the_hidden_one():
    panel = lesson_16.panel(stage=True)
    assert panel.spec["stage"] and list(panel.controls) == ["crank", "look", "answer"]
    assert panel.spec["vote"][0] == "What caused it?"
    assert "fault" in lesson_16.panel().controls
