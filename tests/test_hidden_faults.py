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
    assert "One green bar is left" in sure and "Hands up" in sure and bar not in sure.lower()
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


def test_the_cone_runs_out_twice_its_offset_only_where_the_live_center_is_at_fault():
    for crank in hidden_faults.NUMBERS:
        fault, size, toward = hidden_faults.hidden(crank)
        said = str(hidden_faults.items("mm", crank, hidden_faults.CONE, hidden_faults.COVERED)[1])
        shown = 2 * size.m_as("um") if fault == hidden_faults.LIVE else 0
        assert f"cone runs out {shown:g} µm" in said and said.startswith("Hands up")
        shown = str(hidden_faults.items("mm", crank, hidden_faults.CONE, hidden_faults.OPEN)[1])
        assert f", {size.m_as('um'):g} µm." in shown
        assert (f"points to the {toward.m_as('deg'):.0f}° mark" in shown) == (
            fault != hidden_faults.FAULTS[0]
        )


def test_one_main_alone_is_measured_first():
    for crank in hidden_faults.NUMBERS:
        one, both = (
            hidden_faults.items("mm", crank, look, hidden_faults.COVERED)
            for look in (hidden_faults.ONE, hidden_faults.BOTH)
        )
        dots = [{item.axes for item in drawn if item.kind == "marker"} for drawn, _ in (one, both)]
        assert dots == [{0}, {0, 1}]
        assert (
            one[1].headline == "Not told apart yet: what next?" and one[1].verdict == "cannot tell"
        )
