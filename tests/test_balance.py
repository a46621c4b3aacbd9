"""Balance in two planes and the grades against first principles. Checks against print are in published/."""

import warnings
from dataclasses import replace

import numpy as np
import pint
import pytest

from crankmath import balance
from crankmath.crank import Crank
from crankmath.crank.mass import mass_properties
from crankmath.units import OutOfRangeWarning, Quantity


def mm(value):
    return Quantity(value, "mm")


def test_examples_balance_as_their_throws_do():
    for name, balanced in (
        ("pump", False),
        ("bellows", False),
        ("compressor", False),
        ("organ", False),
    ):
        assert balance.inherently_balanced(Crank.load(name)) is balanced, name
    found = mass_properties(Crank.load("organ"))
    assert found.unbalance_size.m_as("g*mm") < 1e-6 * found.mass.m_as(
        "g"
    )  # forces of 120 deg throws cancel, couples do not
    assert np.hypot(*found.couple_unbalance.m_as("g*mm**2")) > 1e4


def mirrored():
    """Four throws 0, 180, 180, 0 deg: forces and couples cancel."""
    base = Crank.load("compressor")
    a, b = base.throws
    journals = (base.journals[0], *[base.journals[1]] * 3, base.journals[2])
    return replace(base, journals=journals, throws=(a, b, b, a))


def test_mirrored_crank_is_balanced_and_a_little_off_is_not():
    assert balance.inherently_balanced(mirrored())
    assert not balance.inherently_balanced(mirrored().with_throw(0, angle=Quantity(10, "deg")))


@pytest.mark.parametrize(("share", "balanced"), [(0.0195, True), (0.0205, False)])
def test_what_is_left_counts_from_a_fiftieth_on(share, balanced):
    """Own choice. One end throw turned by a leaves a force of 2 sin(a/2) of a throw's unbalance; both
    turned by a, one each way, the couple of sin a at their distance, set against the whole length.
    """
    crank = mirrored()
    turn = Quantity(np.degrees(2 * np.arcsin(share / 2)), "deg")
    assert balance.inherently_balanced(crank.with_throw(0, angle=turn)) is balanced
    first, *_, last = (piece for piece in crank.plain.segments if piece.kind == "pin")
    apart = last.start - first.start
    turn = Quantity(np.degrees(np.arcsin(share * crank.length.m_as("mm") / apart)), "deg")
    twisted = crank.with_throw(0, angle=turn).with_throw(3, angle=-turn)
    assert balance.inherently_balanced(twisted) is balanced


@pytest.mark.parametrize(
    ("grade", "named"),
    [
        (5, "G 5 is none of these"),
        (6.3, "“general machinery”"),
        (16, "inherently balanced, bolted down”"),
        (40, "inherently balanced, on springs”"),
    ],
)
@pytest.mark.parametrize(
    ("name", "left"), [("pump", "leave a force"), ("compressor", "leave a couple, though no force")]
)
def test_an_unbalanced_crank_is_told_whose_grade_was_asked(name, left, grade, named):
    """ISO 21940-11 has G 250 and G 630 for it; the message names what the finer grade is for and where it may be asked."""
    size = Quantity(0.55, "kg"), Quantity(600, "rpm")
    with pytest.warns(OutOfRangeWarning, match="inherently unbalanced") as told:
        found = balance.permissible_unbalance(*size, grade, crank=Crank.load(name))
    words = str(told[0].message)
    assert (
        left in words
        and named in words
        and "G 250 (bolted down)" in words
        and "stand-in weights" in words
    )
    assert found.m_as("g*mm") == pytest.approx(grade * 550 / (600 * np.pi / 30))  # e w = G


def test_fitting_grades_are_silent_and_a_too_coarse_one_is_told():
    size = Quantity(0.55, "kg"), Quantity(600, "rpm")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        balance.permissible_unbalance(*size, 250, crank=Crank.load("pump"))
        for grade in (6.3, 16, 40):
            balance.permissible_unbalance(*size, grade, crank=mirrored())
        balance.permissible_unbalance(*size, balance.balance_grade("general machinery"))
    with pytest.warns(OutOfRangeWarning, match="cancel each other.*G 16 .bolted down. and G 40"):
        balance.permissible_unbalance(*size, 250, crank=mirrored())
    with pytest.raises(ValueError, match="^machine must be one of"):
        balance.balance_grade("pump")


def test_a_steel_nobody_knows_does_not_hinder_the_grade():
    with pytest.warns(OutOfRangeWarning, match="leave a force"):
        balance.permissible_unbalance(
            Quantity(0.55, "kg"),
            Quantity(600, "rpm"),
            6.3,
            crank=replace(Crank.load("pump"), steel="village iron"),
        )


def test_planes_take_force_and_moment_away():
    random = np.random.default_rng(3)
    size, turn, along = random.uniform(1, 9, 5), random.uniform(0, 6, 5), random.uniform(0, 200, 5)
    weight, angle = balance.unbalance_in_planes(
        Quantity(size, "g*mm"), Quantity(turn, "rad"), mm(along), mm([30.0, 170.0])
    )
    both = np.concatenate(
        [size * np.exp(1j * turn), weight.m_as("g*mm") * np.exp(1j * angle.m_as("rad"))]
    )
    assert abs(both.sum()) < 1e-9
    assert abs((both * np.concatenate([along, [30, 170]])).sum()) < 1e-9
    with pytest.raises(ValueError, match="^planes"):
        balance.unbalance_in_planes(
            Quantity([1.0], "g*mm"), Quantity([0.0], "deg"), mm([0.0]), mm([5.0, 5.0])
        )


@pytest.mark.parametrize("name", ["mass", "speed"])
@pytest.mark.parametrize(
    ("bad", "kind"),
    [(5, TypeError), (Quantity(1, "candela"), pint.DimensionalityError), (None, ValueError)],
)
def test_bad_arguments_are_named(name, bad, kind):
    good = {"mass": Quantity(2, "kg"), "speed": Quantity(3000, "rpm")}
    bad = Quantity(-1.0, good[name].units) if bad is None else bad
    with pytest.raises(kind, match=f"^{name}"):
        balance.permissible_unbalance(**good | {name: bad}, grade=6.3)


def test_unbalance_at_the_mains_by_the_lever():
    """On the pump half of 100 g mm at either end, toward the pin; of the organ's first throw, 35.56
    of 167.64 mm between the end mains' middles, 0.788 at the left one; below zero away from the pin.
    """
    sizes, angles = balance.unbalance_at_mains(Crank.load("pump"), Quantity([100.0], "g*mm"))
    assert sizes.m_as("g*mm") == pytest.approx([50, 50])
    assert np.cos(angles.m_as("rad")) == pytest.approx([1, 1])
    crank = Crank.load("organ")
    pieces = crank.segments
    middle = {(one.kind, one.index): one.start + one.length / 2 for one in pieces}
    left, right = middle["journal", 0], middle["journal", 3]
    share = (middle["pin", 0] - left) / (right - left)
    sizes, angles = balance.unbalance_at_mains(crank, Quantity([100.0, 0, 0], "g*mm"))
    assert sizes.m_as("g*mm") == pytest.approx([100 * (1 - share), 100 * share])
    _sizes, angles = balance.unbalance_at_mains(crank, Quantity([0, -100.0, 0], "g*mm"))
    assert angles.m_as("deg") == pytest.approx([300, 300])
