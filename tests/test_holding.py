"""How the work is held between centers, by hand on a bar of Ø60 mm, 160 mm between the faces."""

from math import hypot, sqrt, tan
from types import SimpleNamespace

import numpy as np
import pytest

from crankmath.workpiece.holding import agreement, borne, driver, room, side_loads
from crankmath.workpiece.sections import disc
from crankmath.workpiece.work import bar_section

Stub = SimpleNamespace
BAR, ENDS, AXIS = disc((0.0, 0.0), 30.0), (1.5, 161.5), (-9.0, 0.0)
LATHE = {"slide_reach": 40.0, "center_height": 90.0, "swing_over_carriage": 120.0}


def test_each_center_bears_its_share_of_the_weight_and_of_the_pull():
    """2 kg in the middle, 9 mm off the axis toward y; 1 kg at 40 of 160 mm, 12 off toward z: the
    headstock's center bears 1 + 0.75 kg and 9, 9 kg mm square to one another.
    """
    density = 1e-6
    pieces = [
        Stub(moments=(2e6, 2e6 * 81.5, 0.0, 0.0)), Stub(moments=(1e6, 1e6 * 41.5, -9e6, 12e6)),
    ]  # fmt: skip
    head, tail = borne(Stub(pieces=pieces), AXIS, ENDS, density)
    assert head == pytest.approx((9.81 * 1.75, hypot(9, 9)))
    assert tail == pytest.approx((9.81 * 1.25, hypot(9, 3)))


def test_a_mass_on_the_axis_pulls_at_neither_center():
    """1 kg of a piece whose middle stands at y = -9 and z = 4, where the axis is too."""
    on_axis = Stub(moments=(1e6, 1e6 * 41.5, -9e6, 4e6))
    for _, pull in borne(Stub(pieces=[on_axis]), (-9.0, 4.0), ENDS, 1e-6):
        assert pull == pytest.approx(0, abs=1e-9)


def test_a_cut_pushes_aside_at_both_centers():
    """400 N along the speed at 41.5, a quarter of the way: 300 and 100 at the centers; 200 N square
    to it 150 and 50, and 80 N along the work at 20 mm of radius tips with 80 x 20/160 = 10 more.
    """
    loads = side_loads(41.5, 20.0, ENDS, 400.0, 80.0, 200.0, 70.0)
    assert loads == pytest.approx((hypot(300, 160) + 70, hypot(100, 60)))


def driven(screw=20.0, begin=100.0, lathe=None, section=BAR, axis=AXIS):
    work = Stub(between=lambda x0, x1: [Stub(section=BAR), Stub(section=section)])
    placed = Stub(faced=ENDS, bar_section=BAR)
    cuts = [Stub(x0=120.0, x1=130.0), Stub(x0=begin, x1=begin + 5)]
    return driver(placed, work, cuts, axis, (15.0, 6.0, screw), LATHE | (lathe or {}))


def test_a_dog_swings_by_its_ring_or_its_screw():
    """The bar reaches 39 from the axis on one side and 21 on the other, where the screw stands."""
    found = driven()
    assert (found.by, found.x, found.swing) == ("dog", (1.5, 16.5), 45.0)
    assert driven(screw=30.0).swing == 51.0
    assert driven(axis=(0.0, 0.0)).swing == 50.0  # a screw of 20 on a radius of 30
    assert found.as_dict() == {"by": "dog", "x": [1.5, 16.5], "swing": 45.0}


@pytest.mark.parametrize(
    ("given", "by", "strikes"),
    [
        ({"begin": 18.5}, "dog", False), ({"begin": 18.4}, "bolt", False),  # 2 mm beside the dog
        ({"section": disc((0.0, 0.0), 29.0)}, "bolt", False),  # no longer the full bar
        ({"lathe": {"center_height": 48.0}}, "dog", False),  # 45 and a hand's care of 3
        ({"lathe": {"center_height": 47.9}}, "bolt", True),
        ({"begin": 56.5, "lathe": {"swing_over_carriage": 95.9}}, "dog", False),
        ({"begin": 56.4, "lathe": {"swing_over_carriage": 95.9}}, "bolt", True),
        ({"begin": 56.4, "lathe": {"swing_over_carriage": 96.0}}, "dog", False),
    ],
)  # fmt: skip
def test_a_bolt_drives_where_a_dog_has_no_room(given, by, strikes):
    found = driven(**given)
    assert (found.by, found.strikes) == (by, strikes)
    assert by == "dog" or (found.x is None and found.swing == 0)


def test_room_is_that_of_what_swings_widest_and_of_what_stands_beside_the_slide():
    """The work swings 39, beside the slide, 40 mm either way of the cut, 30; the dog 45."""
    asked = []

    def swing(axis, *ends):
        asked.append(ends)
        return 30.0 if ends else 39.0

    work, cuts = Stub(swing=swing), [Stub(x0=60.0, x1=70.0), Stub(x0=80.0, x1=95.0)]
    dog = Stub(x=(1.5, 16.5), swing=45.0)
    found = room(work, AXIS, cuts, dog, LATHE)
    assert found == {"swing": 39.0, "over_bed": 45.0, "over_carriage": 30.0}
    assert (20.0, 135.0) in asked
    near = room(work, AXIS, [Stub(x0=56.4, x1=70.0)], dog, LATHE)
    assert near["over_carriage"] == 15.0
    assert room(work, AXIS, [Stub(x0=56.5, x1=70.0)], dog, LATHE)["over_carriage"] == 30.0
    bolt = Stub(x=None, swing=0.0)
    assert room(work, AXIS, cuts, bolt, LATHE)["over_bed"] == 51.0


def test_centers_of_both_ends_agree_by_the_pins_length_and_its_phase():
    """10 um over a pin of 16 mm are 100 over 160; half a degree at 14 mm of throw is 122 um."""

    def throw(radius, long):
        return Stub(radius=Stub(m_as=lambda unit: radius), pin_length=Stub(m_as=lambda unit: long))

    placed = Stub(faced=ENDS, pins=(1, 2), crank=Stub(throws=(throw(14.0, 16.0), throw(7.0, 32.0))))
    first, second = agreement(placed, 0.01, 0.5)
    assert (first.throw, first.together, first.each) == pytest.approx((0, 0.1, 0.1 / sqrt(2)))
    assert first.across == pytest.approx(14 * tan(np.radians(0.5)))
    assert first.strip == pytest.approx(100 * 0.1 / sqrt(2) / 14)
    assert (second.together, second.across) == pytest.approx((0.05, 7 * tan(np.radians(0.5))))
    assert agreement(Stub(faced=ENDS, pins=(1,), crank=placed.crank), 0.01, 0.5)[0].across is None


def test_a_dog_beside_the_slide_needs_room_over_the_carriage():
    """The slide reaches 40 from its cut: to 16.5, the dog's end, from a cut at 56.4, not at 56.5."""
    low = {"swing_over_carriage": 95.9}
    found = [driven(begin=begin, lathe=low).by for begin in (56.4, 56.5)]
    assert found == ["bolt", "dog"]


@pytest.mark.parametrize("way", [1, -1])
def test_a_dog_s_screw_stands_square_across_from_the_axis(way):
    """On a bar of 60 by 40, its 60 turned 30 degrees from y, the axis aslant to both sides: the skin
    on the far side stands half of each side's share off the middle.
    """
    bar, axis = bar_section("flat", (60.0, 40.0), np.radians(30.0)), (-9.0 * way, 5.0 * way)
    along, square = np.array([sqrt(3), 1]) / 2, np.array([-1, sqrt(3)]) / 2
    off = hypot(*axis)
    far = -np.array(axis) / off
    skin = 30 * abs(far @ along) + 20 * abs(far @ square)
    corners = [30 * i * along + 20 * j * square for i in (1, -1) for j in (1, -1)]
    ring = max(np.linalg.norm(corner - axis) for corner in corners) + 6.0
    placed, work = (
        Stub(faced=ENDS, bar_section=bar),
        Stub(between=lambda x0, x1: [Stub(section=bar)]),
    )
    wide = LATHE | {"center_height": 200.0, "swing_over_carriage": 400.0}
    for screw in (20.0, 60.0):
        cut = Stub(x0=100.0, x1=110.0)
        found = driver(placed, work, [cut], axis, (15.0, 6.0, screw), wide)
        assert found.swing == pytest.approx(max(ring, skin - off + screw))
