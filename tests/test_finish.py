"""Finish from the tool's form: profiles drawn point by point, inverses, bad input. Checks against print are in published/."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankmath.cutting import speeds as finish
from crankmath.units import Quantity

MM = Quantity(1.0, "mm")


@pytest.mark.parametrize("tilt", [0.2, -0.2, 1.0])
def test_wide_edge_leaves_a_saw_tooth(tilt):
    """Profile drawn point by point; mean height over its middle line is Ra."""
    place = np.linspace(0, 0.5, 100001)
    profile = 1000 * place * np.tan(np.radians(abs(tilt)))
    peak, mean = finish.wide_tool_roughness(0.5 * MM, Quantity(tilt, "deg"), 3 * MM)
    assert peak.m_as("um") == pytest.approx(np.ptp(profile)) and mean.m_as("um") == pytest.approx(
        np.mean(abs(profile - profile.mean())), rel=1e-4
    )


@given(st.floats(0.1, 5), st.floats(0.2, 2))
def test_feed_and_finish_are_inverse(mean, nose):
    feed = finish.feed_for_roughness(Quantity(mean, "um"), nose * MM)
    assert finish.ideal_roughness(feed, nose * MM)[1].m_as("um") == pytest.approx(mean)


def test_a_ridge_is_refused():
    with pytest.raises(ValueError, match="^feed"):
        finish.wide_tool_roughness(4 * MM, Quantity(1, "deg"), 3 * MM)
