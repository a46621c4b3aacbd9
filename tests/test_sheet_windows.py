"""Accept windows at their very ends: rounded inward, in an instrument's own divisions and signs."""

from types import SimpleNamespace

import pytest

from crankbook.sheet.windows import (
    arm_window,
    difference_doubt,
    from_gap,
    lines_between,
    micrometer,
    misfits,
    signed,
    throw_windows,
    twist_limit,
    window,
)
from crankmath.job import Job
from crankmath.units import Quantity
from crankmath.workpiece.cuts import Turn

CANNOT = ("cannot", "tell")


def um(size):
    return Quantity(size, "um")


@pytest.mark.parametrize(
    ("low", "high", "division", "told"),
    [
        (0.02, 0.06, "0.02 mm", ("0.02 mm", "0.06 mm")),  # on a line each
        (0.021, 0.059, "0.02 mm", CANNOT),  # 0.04 alone is within
        (0.019, 0.061, "0.02 mm", ("0.02 mm", "0.06 mm")),
        (-0.061, 0.041, "0.02 mm", ("−0.06 mm", "0.04 mm")),
        (-0.019, 0.021, "0.02 mm", ("0.00 mm", "0.02 mm")),  # no −0.00
        (17.9611, 18.0389, "0.01 mm", ("17.97 mm", "18.03 mm")),
        (25.4 * 0.0002, 25.4 * 0.0031, "0.001 in", ("0.001 in", "0.003 in")),
        (0.0, 0.0004, "0.0005 mm", CANNOT),
        (1.0, 3.9, "1 mm", ("1 mm", "3 mm")),
        (0.0, 0.0199999999999, "0.02 mm", ("0.00 mm", "0.02 mm")),  # last digits of a sum
        (0.0200000000001, 0.05, "0.02 mm", ("0.02 mm", "0.04 mm")),
    ],
)
def test_a_window_is_told_in_whole_divisions(low, high, division, told):
    ends = (Quantity(one, "mm") for one in (low, high))
    assert lines_between(*ends, Quantity(division)) == told


def test_what_micrometer_and_calipers_read_below_zero_has_a_minus_sign():
    low, high = Quantity(-0.0104, "mm"), Quantity(0.0104, "mm")
    assert window(low, high, "mm") == ("−0.010 mm", "0.010 mm")
    assert window(3 * low, 3 * high, "mm", False) == ("−0.03 mm", "0.03 mm")
    assert window(low, high, "in") == ("−0.0004 in", "0.0004 in")
    assert window(low, high, "mm", False) == ("−0.01 mm", "0.01 mm")


def test_misfits_are_rounded_inward_and_counted_from_the_gap():
    """In tenths of a micrometer, in hundredths of a thousandth inch: −1.27 µm is −0.05 thou."""
    assert misfits(um(-1.27), um(2.58), "mm") == ("−1.2 µm", "+2.5 µm")
    assert misfits(um(-1.27), um(2.54), "in") == ("−0.05 thou", "+0.10 thou")
    assert misfits(um(1.23), um(1.28), "mm") == CANNOT
    assert signed(um(-3), "mm") == "−3.0 µm" and signed(um(25.4), "in") == "+1.00 thou"
    assert [from_gap(text) for text in ("−1.2 µm", "+2.5 µm", "+0.00 thou", "cannot")] == [
        "gap less 1.2 µm",
        "gap plus 2.5 µm",
        "the gap itself",
        "cannot",
    ]


def reported(numbers, askew=None, throws=1):
    """A report whose check of the throw has these numbers."""
    told = [SimpleNamespace(label=label, value=value) for label, value in numbers.items()]
    checks = {"throw": SimpleNamespace(numbers=told)}
    crank = SimpleNamespace(throws=(None,) * throws)
    return SimpleNamespace(
        find=checks.get, workings=SimpleNamespace(askew=askew),
        job=SimpleNamespace(units="mm", crank=crank),
    )  # fmt: skip


DOUBT = "uncertainty of a difference of two throws"


@pytest.mark.parametrize(
    ("doubt", "told"),
    [
        (um(3), "over the pin's whole length 7.1 µm is allowed: accept up to 4 µm"),
        (um(2.97), "over the pin's whole length 7.1 µm is allowed: accept up to 4.1 µm"),
        (um(7.07), "which this gauge cannot tell: read it with a finer indicator"),
        (None, "which this gauge cannot tell: read it with a finer indicator"),
    ],
)
def test_a_twist_is_accepted_up_to_what_the_gauges_doubt_leaves(doubt, told):
    """7.07 µm less 3 are 4.07: 4.0 of two figures, never 4.1; less 2.97 they are 4.10."""
    report = reported({DOUBT: doubt} if doubt is not None else {}, askew=um(7.07))
    assert difference_doubt(report) == doubt
    assert told in twist_limit(report)


def test_a_throws_window_is_that_of_its_own_number():
    numbers = {
        f"throw 2: accept {end}": Quantity(size, "mm")
        for end, size in (("from", 17.971), ("to", 18.029), ("from, to", 0.0))
    }
    found = throw_windows(reported(numbers, throws=2), Quantity(0.01, "mm"))
    assert found == {"throw 1": CANNOT, "throw 2": ("17.98 mm", "18.02 mm")}


@pytest.mark.parametrize(("long", "blade"), [(9.4, True), (9.5, False)])
def test_anvils_go_in_between_corners_with_half_a_millimeter_either_side(long, blade):
    """6.5 mm across: between corners of 1.5 and 0.5 mm, a cut of 9.5 mm has 7.5."""
    cut = Turn(10.0, 10.0 + long, (0.0, 0.0), 8.0, (1.5, 0.5))
    assert micrometer(cut).startswith("blade") == blade


@pytest.mark.parametrize(
    ("known", "told"),
    [
        (24.0, ("17.96 mm", "18.04 mm")),  # 18 ± (0.1 - 0.048): 17.948 to 18.052
        (15.0, ("17.94 mm", "18.06 mm")),  # 18 ± 0.07: 17.93 to 18.07
        (45.0, CANNOT),  # 18 ± 0.01: one line of 0.02 mm
        (55.0, CANNOT),  # doubted by more than the 0.1 mm
        (None, CANNOT),
    ],
)
def test_a_center_read_as_one_height_less_another_is_doubted_twice_as_much_as_a_throw(known, told):
    """A throw is half of a difference of two heights; the difference itself is off by twice that."""
    report = reported({} if known is None else {"uncertainty of the throw": um(known)})
    report.job = Job.load("pump")  # 18 mm, ±0.1 mm
    assert arm_window(report, 0, Quantity(0.02, "mm")) == told
