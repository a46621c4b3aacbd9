"""Weights that balance given ones in two planes, and balance quality grades (ISO 21940-11)."""

import warnings
from functools import cache

import numpy as np

from ..checks import one_of, takes
from ..crank import Crank
from ..crank.mass import mass_properties, throw_unbalance
from ..tables import rows
from ..units import OutOfRangeWarning, Quantity

# no crank of several throws is made exactly: below this share of one throw's unbalance it counts as
# balanced
BALANCED_SHARE = 0.02


@takes(unbalances="g*mm", angles="rad", positions="mm", planes="mm", gives=("g*mm", "deg"))
def unbalance_in_planes(unbalances, angles, positions, planes):
    """Two masses times radii that balance given ones, each in its own plane: sizes and angles.

    - ``unbalances``, ``angles``, ``positions``: Mass times radius of each, where it points, where
      it is along the shaft.
    - ``planes``: Two places along the shaft for the weights; an angle is where one is put.

    Basis: derived; forces and moments about each plane are zero.
    """
    size, turn, along, places = map(np.atleast_1d, (unbalances, angles, positions, planes))
    if not size.shape == turn.shape == along.shape:
        raise ValueError(
            "unbalances, angles and positions need equally many values, not "
            f"{size.size}, {turn.size} and {along.size}"
        )
    if places.shape != (2,) or np.isclose(*places):
        raise ValueError(f"planes needs two different places along the shaft, not {places}")
    vectors = size * np.exp(1j * turn)
    right = -(vectors * (along - places[0])).sum() / (places[1] - places[0])
    needed = np.array([-vectors.sum() - right, right])
    return abs(needed), np.degrees(np.angle(needed)) % 360


@takes(crank=Crank)
def unbalance_at_mains(crank, unbalances):
    """Unbalance in the planes of the two end mains' middles: sizes, and angles where it is heavy.

    - ``unbalances`` [g mm]: One a throw, toward the pin, acting in its middle; below zero away from
      it.

    Basis: derived; ``unbalance_in_planes`` turned around.
    """
    segments = crank.segments
    pins = [piece.start + piece.length / 2 for piece in segments if piece.kind == "pin"]
    mains = [segments[0], segments[-1]]
    sizes, angles = unbalance_in_planes(
        unbalances,
        Quantity([throw.angle.m_as("deg") for throw in crank.throws], "deg"),
        Quantity(pins, "mm"),
        Quantity([piece.start + piece.length / 2 for piece in mains], "mm"),
    )
    return sizes, (angles + Quantity(180.0, "deg")) % Quantity(360.0, "deg")


@cache
def _grade_table():
    return {row["machine"]: float(row["grade_mm_s"]) for row in rows("balance_grades")}


def balance_grade(machine):
    """Balance quality grade [mm/s] that the standard proposes for a kind of machine.

    - ``machine``: For example "general machinery"; the error message lists all.

    Basis: standard. ISO 21940-11 Table 1 (a reproduction seen), rows in
    ``data/balance_grades.csv``.
    """
    return _grade_table()[one_of(machine, _grade_table(), "machine")]


@takes(crank=Crank)
def inherently_balanced(crank):
    """Whether the throws of a crank cancel each other, in force and in couple.

    Basis: derived; webs and pins are summed as made, limit 2 % of the largest throw's unbalance
    (for the couple, times the crank's length), own choice.
    """
    return not any(_left_over(crank))


def _left_over(crank):
    """Whether a force and whether a couple is left when the throws of a crank are summed."""
    density = Quantity(1, "g/mm**3")  # any will do
    found = mass_properties(crank, density, fillets=False)
    allowed = BALANCED_SHARE * throw_unbalance(crank, density, fillets=False).m_as("g*mm").max()
    couple = np.hypot(*found.couple_unbalance.m_as("g*mm**2"))
    return bool(found.unbalance_size.m_as("g*mm") >= allowed), bool(
        couple >= allowed * crank.length.m_as("mm")
    )


@takes(mass="kg > 0", speed="rpm > 0", grade="number > 0", crank=Crank, gives="g*mm")
def permissible_unbalance(mass, speed, grade, crank=None):
    """Residual unbalance that a balance quality grade allows, U = G m / omega.

    To be shared between two planes; half each where the mass center lies midway.

    - ``mass``: Of the whole rotor.
    - ``speed``: Highest service speed.
    - ``grade``: G in mm/s, for example 6.3; see ``balance_grade``.
    - ``crank``: The rotor; warns of a grade that the standard has for another kind of crank.

    Basis: standard. ISO 21940-11; the grade is the speed of the mass center. By default the rotor
    is taken as one that can be balanced by itself. The standard puts an inherently unbalanced crank
    drive at G 250 (bolted down) or G 630 (on springs), one whose throws cancel at G 16 or G 40:
    **G 6.3 of general machinery does not apply to a single crank as it comes from the lathe**. It
    can be asked only of what is left beside the chosen counterweights, with stand-in weights on the
    pins.
    """
    if crank is not None:
        _warn_of_grade(crank, grade)
    return np.asarray(grade)[()] * mass / (np.asarray(speed)[()] * np.pi / 30) * 1000


def _warn_of_grade(crank, quality):
    """Warn where a grade is not that of the kind of crank given."""
    force, couple = _left_over(crank)
    kind = "inherently unbalanced" if force or couple else "inherently balanced"
    firm, soft = (
        balance_grade(f"crank drive, {kind}, {mount}") for mount in ("bolted down", "on springs")
    )
    if force or couple:
        found, advice = (
            f"leave a {'force' if force else 'couple, though no force,'} as they turn",
            "ask it only of what is left beside the chosen counterweights, with stand-in weights "
            "on the pins",
        )
        wrong = quality < firm
    else:
        found, advice, wrong = (
            "cancel each other",
            "write one of its own grades, or a finer one",
            quality > soft,
        )
    if np.any(wrong):
        grade = np.max(quality) if kind == "inherently balanced" else np.min(quality)
        others = [name for name, value in _grade_table().items() if np.isclose(grade, value)]
        meant = f"is its grade for “{others[0]}”" if others else "is none of these"
        warnings.warn(
            f"the throws of “{crank.name}” {found}; ISO 21940-11 has G {firm:g} (bolted down) and "
            f"G {soft:g} (on springs) for such an {kind} crank drive. G {grade:g} {meant}: "
            f"{advice}",
            OutOfRangeWarning,
            stacklevel=4,
        )
