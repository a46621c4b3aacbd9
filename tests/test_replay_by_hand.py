"""What replay says of a cut, a slot, a speed and of metal left or missing: by hand."""

from dataclasses import replace
from math import hypot, pi
from types import SimpleNamespace as Stub

import numpy as np
import pytest

from crankmath.blank import cross_section
from crankmath.crank import Crank
from crankmath.stress_field.field import FilletField
from crankmath.units import Quantity
from crankmath.workpiece.cuts import Plane, Turn
from crankmath.workpiece.placing import alone
from crankmath.workpiece.replay import (
    Difference,
    Replayed,
    broken,
    compared,
    fast,
    misprinted,
    slipped,
    struck,
)
from crankmath.workpiece.sections import disc
from crankmath.workpiece.work import Piece, Work

MAIN = (0.0, 0.0)
CRANK = alone(Crank.load("pump")).finished()  # mains of 20, pin of 18 from 59 to 81, fillets 1.5
BETWEEN = Work(  # two disks of 30 and a round of 20 between them
    (
        Piece(0.0, 12.0, disc(MAIN, 30.0)),
        Piece(12.0, 28.0, disc(MAIN, 20.0)),
        Piece(28.0, 40.0, disc(MAIN, 30.0)),
    )
)


def bare(**changed):
    """A step of a plan's JSON called A."""
    return {"name": "A", "key": "mill", "speeds": [], "slots": []} | changed


# speeds


@pytest.mark.parametrize(
    ("printed", "table", "diameter", "said"),
    [
        (13.195, 20.0, 60.0, []), (13.240, 20.0, 60.0, []), (13.150, 20.0, 60.0, []),
        (13.247, 20.0, 60.0, ["13.2 m/min"]), (13.142, 20.0, 60.0, ["13.2 m/min"]),
        (13.195, pi * 60 * 70 / 1000, 60.0, []), (13.195, 13.194, 60.0, ["13.2 m/min"]),
        (13.173, 20.0, 59.9, ["swings wider"]),
    ],
)  # fmt: skip
def test_a_speed_that_is_not_its_diameter_s_is_told(printed, table, diameter, said):
    """Ø60 at 70 rpm: 13.195 m/min, printed to a tenth; and no faster than the tables."""
    row = {"place": "pin 1", "diameter": diameter, "rpm": 70.0, "surface_speed_m_min": printed,
           "table_m_min": table}  # fmt: skip
    work = Work((Piece(0.0, 40.0, disc(MAIN, 30.0)),))
    cut = Turn(10.0, 20.0, MAIN, 25.0, place="pin 1")
    found = fast(bare(speeds=[row]), [cut], work)
    assert len(found) == len(said) and all(
        one in text for one, text in zip(said, found, strict=True)
    )


# what strikes


LATHE = {"center_height": 30.0, "swing_over_carriage": 60.0, "slide_reach": 5.0}


def strikes(reach=20.0, thickness=16.0, dog=None, axis=MAIN, cut_axis=MAIN, lathe=LATHE):
    step = {"name": "A", "held": {"axis": axis}, "tool": {"reach": reach, "thickness": thickness},
            "driven": {"by": "dog" if dog else "bolt", "x": dog, "swing": 30.0 if dog else 0.0}}  # fmt: skip
    return struck(BETWEEN, step, [Turn(12.0, 28.0, cut_axis, 10.0, place="pin 1")], lathe)


def test_what_strikes_is_told_and_what_just_fits_is_not():
    """The disks swing 30: 20 of blade down to 10, a gap of 16, 30 over bed and carriage."""
    assert strikes() == [] and strikes(dog=[0.0, 12.0]) == [] and strikes(dog=[28.0, 40.0]) == []
    assert strikes(reach=19.99) == ["A: the holder is struck at pin 1"]
    assert strikes(thickness=16.01) == ["A: the blade is wider than the gap at pin 1"]
    assert strikes(dog=[0.0, 12.1]) == ["A: the tool strikes the dog at pin 1"]
    assert strikes(dog=[27.9, 40.0]) == ["A: the tool strikes the dog at pin 1"]
    assert strikes(lathe=LATHE | {"center_height": 29.9}) == ["A: strikes the bed"]
    assert strikes(lathe=LATHE | {"swing_over_carriage": 59.9}) == ["A: strikes the carriage"]
    off = strikes(cut_axis=(0.0, 0.001))
    assert off == ["A: pin 1 is not on the centers that hold the work"]


def test_a_cut_through_the_work_is_told():
    assert broken({"name": "A"}, BETWEEN) == []
    apart = Work((BETWEEN.pieces[0], BETWEEN.pieces[2]))
    for work in (apart, Work(())):
        assert broken({"name": "A"}, work) == ["A: cuts the work through"]


# slots


def wrong(**changed):
    slot = {"depth": 12.0, "begin": 70.0, "width": 18.0, "drill": 5.0, "holes": 3,
            "drill_line": 9.5, "first_hole": 72.5, "pitch": 6.5} | changed  # fmt: skip
    cut = Plane(71.5, 89.5, (0.6, 0.8), 18.0, 2.0, "pin 1")
    found = misprinted(
        *(bare(slots=[slot]), [cut], {"crank": {"faced": [1.5, 161.5]}}, disc(MAIN, 30.0))
    )
    return [one.split(": ")[1].split()[0] for one in found]


def test_numbers_of_a_slot_are_those_of_its_cut():
    """18 off the middle of a Ø60: 12 deep, from 71.5 less 1.5 faced; holes of 5 at 72.5, 79, 85.5."""
    assert wrong() == []
    for name in ("depth", "begin", "width"):
        given = {"depth": 12.0, "begin": 70.0, "width": 18.0}[name]
        assert wrong(**{name: given + 0.019}) == [] == wrong(**{name: given - 0.019})
        assert wrong(**{name: given + 0.021}) == [name] == wrong(**{name: given - 0.021})
    for name, given in (("drill_line", 9.5), ("first_hole", 72.5), ("pitch", 6.5)):
        assert wrong(**{name: given + 0.051}) == [] == wrong(**{name: given - 0.051})
        assert wrong(**{name: given + 0.053}) == [name] == wrong(**{name: given - 0.053})
    assert wrong(holes=2) == ["pitch"] and wrong(holes=2, pitch=13.0) == []
    assert wrong(holes=1, first_hole=79.0, pitch=0.0) == [], "one hole in the middle"
    assert wrong(holes=1, pitch=0.0) == ["first_hole"]
    assert wrong(drill=None, first_hole=None, pitch=None, drill_line=None) == []


# what is left


def slips(x0=59.25, x1=80.75, radius=9.25, corners=(1.25, 1.25), nose=0.8, stock=0.25):
    cut = Turn(x0, x1, (18.0, 0.0), radius, corners, stock, "pin 1")
    return slipped({"name": "A", "tool": {"nose": nose}}, cut, CRANK)


def test_a_roughing_cut_leaves_what_it_says():
    """A quarter on the pin of Ø18, on both web faces at 59 and 81, and on the fillets of 1.5."""
    assert slips() == [] == slips(radius=9.269) == slips(radius=9.231)
    assert slips(radius=9.271) == ["A, pin 1: leaves 0.271 mm on the round, not 0.25"]
    assert slips(radius=9.229) == ["A, pin 1: leaves 0.229 mm on the round, not 0.25"]
    assert slips(x0=59.275) == ["A, pin 1: leaves 0.275 mm on a web face, not 0.25"]
    assert slips(x1=80.775) == ["A, pin 1: leaves 0.225 mm on a web face, not 0.25"]
    assert slips(corners=(1.28, 1.25)) == ["A, pin 1: a corner of 1.28 mm, not 1.25"]
    assert slips(corners=(1.25, 1.22)) == ["A, pin 1: a corner of 1.22 mm, not 1.25"]
    assert slips(nose=1.4, corners=(1.4, 1.4)) == [], "no sharper than the nose"
    assert slips(stock=0.0, radius=9.0) == [], "a finishing cut leaves nothing to compare"


def test_metal_left_and_metal_missing():
    """Of a Ø40 round 30 long: a millimeter a side left from 10 to 20 and 2 missing from there."""
    crank = Work((Piece(0.0, 30.0, disc(MAIN, 20.0)),))
    work = Work(
        (
            Piece(0.0, 10.0, disc(MAIN, 20.0)),
            Piece(10.0, 20.0, disc(MAIN, 21.0)),
            Piece(20.0, 30.0, disc(MAIN, 18.0)),
        )
    )
    more, less = compared(work, crank)
    assert more.volume == pytest.approx(pi * (21**2 - 20**2) * 10)
    assert less.volume == pytest.approx(pi * (20**2 - 18**2) * 10)
    assert (more.depth, less.depth) == pytest.approx((1, 2))
    assert 10 < more.x < 20 and 20 < less.x < 30
    assert [one.volume for one in compared(crank, crank)] == [0, 0]


def test_what_passes_replay():
    """Under a thousandth of the crank, nowhere deeper than a hundredth."""

    def passes(volume=0.0, depth=0.0, collisions=(), slips=()):
        there = Difference(volume, depth, 0.0)
        none = Difference(0.0, 0.0, 0.0)
        pairs = ((there, none), (none, there))
        found = {Replayed(*two, 1000.0, collisions, slips).passes for two in pairs}
        assert len(found) == 1
        return found.pop()

    assert passes() and passes(0.99, 0.01) and not passes(1.0) and not passes(0.99, 0.0101)
    assert not passes(collisions=("A: strikes the bed",)) and not passes(slips=("A: 1",))


# sections of a bar, and stresses of a fillet


def test_a_line_through_two_corners_cuts_a_square_in_half():
    """Corners on the line stay; beyond an edge nothing is cut off."""
    square = cross_section.polygon([(0, 0), (10, 0), (10, 10), (0, 10)])
    half = cross_section.cut(square, np.array([0.0, 0.0]), np.array([1.0, -1.0]))
    assert set(map(tuple, half.corners.tolist())) == {(0, 0), (0, 10), (10, 10)}
    assert cross_section.area(half) == pytest.approx(50)
    whole = cross_section.cut(square, np.array([10.0, 0.0]), np.array([1.0, 0.0]))
    assert len(whole.corners) == 4 and cross_section.area(whole) == pytest.approx(100)
    low = cross_section.cut(square, np.array([0.0, 4.0]), np.array([0.0, 1.0]))
    assert cross_section.area(low) == pytest.approx(40)
    assert cross_section.reach(low, (10.0, 0.0)) == pytest.approx(hypot(10, 4))
    assert cross_section.whole_ring(low, (5.0, 1.0)) == pytest.approx(1)


def test_stresses_at_a_node_by_their_formulas():
    """3 along, 1 across, 2 around, 1 in shear: half of 4 + 1 + 1, and 3 of shear, 6 in all; a shear
    of 2 about the axis makes it 18. The larger principal stress is 2 + sqrt 2.
    """

    def field(torsion):
        parts = (np.array([value]) for value in (3.0, 1.0, 2.0, 1.0, torsion))
        return FilletField("bending", "fast", 1.0, *[None] * 5, *parts)

    assert field(0.0).von_mises == pytest.approx([6**0.5])
    assert field(2.0).von_mises == pytest.approx([18**0.5])
    assert field(0.0).surface_stress == pytest.approx([2 + 2**0.5])
    assert field(2.0).surface_stress == pytest.approx([4 + 2**0.5])
    assert field(0.0).principal_difference == pytest.approx([8**0.5])
    assert field(2.0).principal_difference == pytest.approx([4 + 8**0.5])


def test_faces_are_where_the_sheet_says():
    cut = Stub(keep="right", x=1.5, place="left end")
    other = Stub(keep="left", x=161.5, place="right end")
    data = {"crank": {"faced": [1.5, 161.5]}}
    step = bare(key="face")
    assert misprinted(step, [cut, other], data, None) == []
    other.x = 161.51
    assert misprinted(step, [cut, other], data, None) == ["A: right end at 161.51 mm, not 161.5"]


def test_a_shallow_difference_is_as_deep_as_it_is_and_a_short_one_as_it_is_long():
    """0.05 all along a round of 20, from its end; a collar a millimeter high but 0.2 long."""
    crank = Work((Piece(0.0, 30.0, disc(MAIN, 20.0)),))
    low = Work((Piece(0.0, 30.0, disc(MAIN, 20.05)),))
    collar = Work((Piece(0.0, 0.2, disc(MAIN, 21.0)), Piece(0.2, 30.0, disc(MAIN, 20.0))))
    for work, depth in ((low, 0.05), (collar, 0.2)):
        more, less = compared(work, crank)
        assert more.depth == pytest.approx(depth) and less == Difference(0.0, 0.0, less.x)
        less, more = compared(crank, work)
        assert more.depth == pytest.approx(depth) and less.volume == 0


def test_a_web_without_a_fillet_asks_for_no_corner():
    """0.05 left on a pin between sharp corners: none is smaller than the nose, here none at all."""
    pump = Crank.load("pump")
    throw = replace(pump.throws[0], fillet=Quantity(0.0, "mm"))
    sharp = alone(replace(pump, throws=(throw,))).finished()
    cut = Turn(59.05, 80.95, (18.0, 0.0), 9.05, (0.0, 0.0), 0.05, "pin 1")
    assert slipped({"name": "A", "tool": {"nose": 0.0}}, cut, sharp) == []
