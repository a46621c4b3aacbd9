"""Gear steps of the last cuts, blades, centers and drills by hand."""

from math import pi
from types import SimpleNamespace as Stub

import numpy as np
import pytest

from crankmath.blank import layout
from crankmath.chatter.modes import Mode, plain_modes, plain_receptance
from crankmath.chatter.turning import _Cut
from crankmath.crank import Crank
from crankmath.cutting import blade, shifts
from crankmath.cutting.tool_form import BladeFit
from crankmath.lathe import load_lathe
from crankmath.units import Quantity
from crankmath.workpiece.planning import rules
from crankmath.workpiece.planning.milling import _chain

LATHE, PUMP = load_lathe(), Crank.load("pump")


def mm(*values):
    return Quantity(list(values) if len(values) > 1 else values[0], "mm")


# the last cuts


@pytest.mark.parametrize(
    ("diameter", "mass", "offset", "rpm", "set_by"),
    [
        (20.0, 0.0, 0.0, 400, "cut"),  # 412 rpm
        (20.0, 3.62, 9.0, 310, "bar"),  # 57 N at 400 rpm, borne are 0.85 of 60; 34 N at 310
        (20.0, 200.0, 9.0, 70, "bar"),  # 97 N at the slowest
        (60.0, 3.62, 9.0, 110, "cut"),  # 137 rpm
        (500.0, 0.0, 0.0, 70, "gears"),  # 16 rpm
    ],
)
def test_finishing_steps_by_hand(diameter, mass, offset, rpm, set_by):
    """C45, 85 ft/min = 25.9 m/min."""
    found = shifts.finishing_step(
        "C45", mm(diameter), LATHE, mass=Quantity(mass, "kg") if mass else None, offset=mm(offset)
    )
    assert (found.spindle_speed.m_as("rpm"), found.set_by) == (rpm, set_by)
    assert found.surface_speed.m_as("m/min") == pytest.approx(3.14159 * diameter * rpm / 1000)
    assert found.table_speed.m_as("ft/min") == pytest.approx(85) and found.in_blows is False
    assert found.from_diameter == found.to_diameter == mm(diameter)
    pull = mass * offset / 1000 * (2 * pi * rpm / 60) ** 2
    assert found.unbalance_share == pytest.approx(pull / 60)


# blades


def test_a_blade_with_no_room_says_so():
    """At no room it clears neither, and the room is no less than none."""
    none = BladeFit(mm(20.0), mm(0.0), mm(0.0), Quantity(1.0, "deg"))
    assert not none.clears
    assert str(none) == "The blade is 0.0 mm too short and fouls a web by 0.00 mm."
    some = BladeFit(mm(20.0), mm(0.5), mm(0.05), Quantity(1.0, "deg"))
    assert some.clears
    assert str(some) == (
        "The blade reaches the pin with 0.5 mm to spare and clears the webs by 0.05 mm a side."
    )
    less = BladeFit(mm(20.0), mm(-0.5), mm(-0.05), Quantity(1.0, "deg"))
    assert str(less) == "The blade is 0.5 mm too short and fouls a web by 0.05 mm."


def test_a_blade_cut_at_one_corner_by_hand():
    """100 N, 4 mm beside the middle of a blade 30 out, 3 by 16; 50 N along the axis on top of it.

    Down 4.185 + 0.921 um as without; J of 16 by 3 = 16 x 27 (1 - 0.63 x 3/16)/3 = 127.0 mm4, G =
    210000/2.58: 2.903e-6 rad for each N mm. 100 x 4 + 50 x 8 N mm turn it 2.322 mrad, 4 mm out
    9.290 um. Aside 50 x 27000/(3 x 210000 x 36) = 59.52 um, in shear 0.46 um, 8 mm up 18.58 um.
    """
    section = blade.ToolSection(mm(30.0), mm(3.0), mm(16.0))
    found = blade.tool_bending(section, Quantity(100.0, "N"), Quantity(50.0, "N"), mm(4.0))
    assert found.down.m_as("um") == pytest.approx(4.185 + 0.921 + 9.290, rel=2e-3)
    assert found.aside.m_as("um") == pytest.approx(59.52 + 0.46 + 18.58, rel=2e-3)
    assert found.twist.m_as("deg") == pytest.approx(2.322e-3 * 180 / pi, rel=2e-3)
    # the slope 100 x 900/(2 x 210000 x 1024) at half the height
    assert found.dig_in.m_as("um") == pytest.approx(8 * 0.20926, rel=1e-3)
    # 6 x 30 (100/(3 x 256) + 50/(16 x 9))
    assert found.stress.m_as("MPa") == pytest.approx(23.44 + 62.5, rel=1e-3)
    # for each N alone at 4 mm, and at 8 mm up: 5.106 + 4.645 um a hundred, 1.1996 + 0.1858 um one
    assert found.stiffness_down.m_as("N/um") == pytest.approx(100 / (5.106 + 4.645), rel=2e-3)
    assert found.stiffness_aside.m_as("N/um") == pytest.approx(1 / (1.1996 + 0.1858), rel=2e-3)


# centers and drills


def test_centers_off_across_at_one_end_or_at_both():
    """0.05 across on a throw of 18: 0.1592 degrees of twist, counted from left to right."""
    for right, left, twist, skew in ((0.05, 0.0, 1, 1), (0.0, 0.05, -1, -1), (0.05, 0.05, 0, 0)):
        found = layout.pin_axis(PUMP, 0, mm(0.0, right), mm(0.0, left), mm(163.0))
        assert found.twist.m_as("deg") == pytest.approx(0.15915 * twist, abs=1e-4)
        assert found.skew.m_as("mm/m") == pytest.approx(50 / 163 * skew)


@pytest.mark.parametrize(
    ("width", "asked", "drill", "holes"),
    [
        (13.0, 6.0, 6.0, 2),  # 1 mm between two
        (18.0, 6.0, 5.5, 3),  # two of 6 leave 6 mm, three of 5.5 leave 0.75
        (6.5, 6.0, 6.0, 1),  # half a millimeter beside it
        (10.0, 6.0, 4.5, 2),  # one of 6, 5.5 or 5 leaves 4 and more, two of 4.5 one
    ],
)
def test_the_drill_that_leaves_little_to_saw(width, asked, drill, holes):
    found, chain = _chain(width, 20.0, asked, 0.5)
    assert (found, chain.holes) == (drill, holes)


def test_a_spacer_as_small_as_may_be_is_one(monkeypatch):
    job = type("Job", (dict,), {"units": "mm", "crank": Stub(units="mm")})(spacer_diameter=None)
    least = rules.LEAST_SPACER["mm"]
    monkeypatch.setattr(rules, "_no_spacer", lambda crank: "no spacer")
    monkeypatch.setattr(rules, "largest_diameter", lambda crank: mm(least))
    assert rules.spacer_diameter(job) == mm(least)
    monkeypatch.setattr(rules, "largest_diameter", lambda crank: mm(least - 0.001))
    with pytest.raises(ValueError, match="no spacer"):
        rules.spacer_diameter(job)


# chatter


@pytest.mark.parametrize(
    ("operation", "depth", "nose", "approach"),
    [
        ("along", 0.2, 0.8, 90),
        ("along", 1.5, 0.4, 75),
        ("facing", 0.5, 0.8, 90),
        ("along", 1, 0.8, 45),
    ],
)
def test_the_edge_that_stays_quiet_by_the_eigenvalues_of_its_equation(
    operation, depth, nose, approach
):
    """det(I + K (1 - e^-je) s G M) = 0 without rubbing: the eigenvalue of G M has -1/(2 K s) for its
    real part, at the frequency where that is least; G with the strip that no turn has touched.
    """
    modes = (
        plain_modes((Mode(Quantity(250, "Hz"), Quantity(20, "N/um"), 0.04),)),
        plain_modes((Mode(Quantity(300, "Hz"), Quantity(25, "N/um"), 0.05),)),
    )
    cut, force = _Cut(operation, 0.1, np.radians(approach), *modes, 0.0), 2e9
    times, frequency, _way = cut.quiet_times(depth, nose, force, 1.0)
    edge, strip = cut.matrices(depth, nose)

    def least(hertz):
        stiff = np.diag([1 / plain_receptance(one, np.array([hertz]))[0] for one in modes])
        return np.linalg.eigvals(np.linalg.inv(stiff + force * strip) @ edge).real.min()

    found = [-1 / (2 * force * least(hertz)) for hertz in np.linspace(200, 400, 501)]
    assert times == pytest.approx(min(one for one in found if one > 0), rel=2e-3)
    assert times == pytest.approx(-1 / (2 * force * least(frequency)), rel=2e-3)
