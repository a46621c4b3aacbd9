"""Weights that balance given ones in two planes, and how well ISO 21940-11 wants a crank balanced."""

import csv
import warnings
from functools import cache
from importlib.resources import files

import numpy as np

from ..checks import made
from ..crank import Crank
from ..crank.mass import mass_properties, throw_unbalance
from ..units import OutOfRangeWarning, Quantity, magnitude, number

# no crank of several throws is made exactly: below this share of one throw's unbalance it counts as balanced
BALANCED_SHARE = 0.02


def unbalance_in_planes(unbalances, angles, positions, planes):
    """Two masses times radii that balance given ones, each in its own plane along the shaft.

    Parameters
    ----------
    unbalances : Quantity, array [mass*length]
        Mass times radius of each.
    angles : Quantity, array [angle]
    positions : Quantity, array [length]
        Along the shaft.
    planes : Quantity, two values [length]
        Where the balance weights go.

    Returns
    -------
    tuple of Quantity (sizes [g*mm], angles [deg])
        Two values each; the angle is where the weight is put.

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        The two planes are one, or lengths of the lists differ.

    Notes
    -----
    Basis: derived; forces and moments about each plane are zero.
    """
    size = np.atleast_1d(magnitude(unbalances, "g*mm", "unbalances"))
    turn = np.atleast_1d(magnitude(angles, "rad", "angles"))
    along = np.atleast_1d(magnitude(positions, "mm", "positions"))
    places = np.atleast_1d(magnitude(planes, "mm", "planes"))
    if not size.shape == turn.shape == along.shape:
        raise ValueError(
            f"unbalances, angles and positions need equally many values, not {size.size}, {turn.size} and {along.size}"
        )
    if places.shape != (2,) or np.isclose(*places):
        raise ValueError(f"planes needs two different places along the shaft, not {places}")
    vectors = size * np.exp(1j * turn)
    right = -(vectors * (along - places[0])).sum() / (places[1] - places[0])
    needed = np.array([-vectors.sum() - right, right])
    return Quantity(abs(needed), "g*mm"), Quantity(np.degrees(np.angle(needed)) % 360, "deg")


def unbalance_at_mains(crank, unbalances):
    """Unbalance in the planes of the two end mains that unbalances of the throws amount to.

    Parameters
    ----------
    crank : Crank
    unbalances : Quantity, one a throw [mass*length]
        Toward the pin, acting in the middle of the pin; below zero away from it.

    Returns
    -------
    tuple of Quantity (sizes [g*mm], angles [deg])
        Two values each, left and right main's middle; the angle is where it is heavy.

    Notes
    -----
    Basis: derived; ``unbalance_in_planes`` turned around.
    """
    segments = made(crank, Crank, "crank").segments
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
    with (files("crankmath") / "data" / "balance_grades.csv").open(encoding="utf-8") as lines:
        return {row["machine"]: float(row["grade_mm_s"]) for row in csv.DictReader(lines)}


def balance_grade(machine):
    """Balance quality grade that the standard proposes for a kind of machine.

    Parameters
    ----------
    machine : str
        For example "general machinery"; the error message lists all.

    Returns
    -------
    float [mm/s]

    Raises
    ------
    ValueError
        No such machine.

    Notes
    -----
    Basis: standard. ISO 21940-11 Table 1 (a reproduction seen), rows in ``data/balance_grades.csv``.
    """
    if machine not in _grade_table():
        raise ValueError(f"machine must be one of {'; '.join(_grade_table())}; not {machine!r}")
    return _grade_table()[machine]


def inherently_balanced(crank):
    """Whether the throws of a crank cancel each other, in force and in couple.

    Parameters
    ----------
    crank : Crank

    Returns
    -------
    bool

    Raises
    ------
    TypeError
        The crank is something else.

    Notes
    -----
    Basis: derived; webs and pins are summed as made, limit 2 % of the largest throw's unbalance (for the couple, times the
    crank's length), own choice.
    """
    return not any(_left_over(made(crank, Crank, "crank")))


def _left_over(crank):
    """Whether a force and whether a couple is left when the throws of a crank are summed."""
    density = Quantity(1, "g/mm**3")  # any will do
    found = mass_properties(crank, density, fillets=False)
    allowed = BALANCED_SHARE * throw_unbalance(crank, density, fillets=False).m_as("g*mm").max()
    couple = np.hypot(*found.couple_unbalance.m_as("g*mm**2"))
    return bool(found.unbalance_size.m_as("g*mm") >= allowed), bool(
        couple >= allowed * crank.length.m_as("mm")
    )


def permissible_unbalance(mass, speed, grade, crank=None):
    r"""Residual unbalance that a balance quality grade allows.

    .. math:: U_{per} = G\, m / \omega

    Parameters
    ----------
    mass : Quantity, scalar or array [mass]
        Of the whole rotor.
    speed : Quantity, scalar or array [rev/time]
        Highest service speed.
    grade : float
        G in mm/s, for example 6.3; see ``balance_grade``.
    crank : Crank, optional
        The rotor. A grade that the standard has for another kind of crank is then warned about.

    Returns
    -------
    Quantity [g*mm]
        To be shared between two planes; half each where the mass center lies midway.

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        A value is zero or negative.

    Warns
    -----
    OutOfRangeWarning
        The throws of the given crank do not cancel and the grade is finer than the standard proposes for that, or they
        cancel and the grade is coarser than it proposes.

    Notes
    -----
    Basis: standard. ISO 21940-11; the grade is the speed of the mass center. Without ``crank`` the rotor is taken as one that can
    be balanced by itself. The standard puts an inherently unbalanced crank drive at G 250 (bolted down) or G 630 (on springs), one
    whose throws cancel at G 16 or G 40: **G 6.3 of general machinery does not apply to a single crank as it comes from the lathe**.
    It can be asked only of what is left beside the chosen counterweights, with stand-in weights on the pins.
    """
    quality = number(grade, "grade", above=0)
    allowed = (
        quality
        * magnitude(mass, "kg", "mass", above=0)
        / (magnitude(speed, "rpm", "speed", above=0) * np.pi / 30)
        * 1000
    )
    if crank is not None:
        _tell_of_grade(made(crank, Crank, "crank"), quality)
    return Quantity(allowed, "g*mm")


def _tell_of_grade(crank, quality):
    """Warn where a grade is not that of the kind of crank given."""
    force, couple = _left_over(crank)
    kind = "inherently unbalanced" if force or couple else "inherently balanced"
    firm, soft = (
        balance_grade(f"crank drive, {kind}, {mount}") for mount in ("bolted down", "on springs")
    )
    if force or couple:
        found, advice = (
            f"leave a {'force' if force else 'couple, though no force,'} as they turn",
            (
                "ask it only of what is left beside the chosen counterweights, with stand-in weights on the pins"
            ),
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
            f"the throws of “{crank.name}” {found}; ISO 21940-11 has G {firm:g} (bolted down) and G {soft:g} (on springs) for such an "
            f"{kind} crank drive. G {grade:g} {meant}: {advice}",
            OutOfRangeWarning,
            stacklevel=3,
        )
