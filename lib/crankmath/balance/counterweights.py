"""Counterweights: sectors on webs, balance masses, and those of a whole crank."""

from dataclasses import dataclass

import numpy as np

from ..checks import made
from ..crank import Crank, Throw, steels
from ..crank.mass import throw_unbalance
from ..units import Quantity, as_text, magnitude, number


@dataclass(frozen=True)
class Counterweight:
    """A sector on a web: half of its opening angle, its mass, the radius of its mass center."""

    half_angle: Quantity
    mass: Quantity
    center_radius: Quantity


@dataclass(frozen=True)
class CounterweightPlan:
    """Of each throw: mass times radius wanted and given by both its sectors, half of a sector's opening angle, mass of both sectors."""

    wanted: Quantity
    given: Quantity
    half_angle: Quantity
    mass: Quantity

    @property
    def enough(self):
        """Whether every throw gets what it wants."""
        return bool(np.all(self.given.magnitude >= self.wanted.magnitude * (1 - 1e-9)))


def counterweight(unbalance, thickness, outer_radius, inner_radius, density):
    r"""Sector of a ring that has a wanted mass times radius.

    .. math:: U = \tfrac{2}{3} \rho\, t\, (R_o^3 - R_i^3) \sin\alpha

    Parameters
    ----------
    unbalance : Quantity, scalar [mass*length]
        Wanted mass times radius of this one sector.
    thickness, outer_radius, inner_radius : Quantity, scalar [length]
    density : Quantity, scalar [mass/volume]

    Returns
    -------
    Counterweight

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        Not even a half ring is enough, or the inner radius is not the smaller one.

    Notes
    -----
    Basis: derived. A sector wider than a half ring loses unbalance again, so 90 deg each way is the most.
    """
    wanted = magnitude(unbalance, "kg*m", "unbalance", above=0, one=True)
    thick, outer = (
        magnitude(value, "m", name, above=0, one=True)
        for value, name in ((thickness, "thickness"), (outer_radius, "outer_radius"))
    )
    inner, per_volume = (
        magnitude(inner_radius, "m", "inner_radius", least=0, one=True),
        magnitude(density, "kg/m**3", "density", above=0, one=True),
    )
    if inner >= outer:
        raise ValueError(
            f"inner_radius must be smaller than outer_radius, not {inner * 1000:g} and {outer * 1000:g} mm"
        )
    most = 2 / 3 * per_volume * thick * (outer**3 - inner**3)
    if wanted > most:
        raise ValueError(
            f"unbalance: a half ring of these sizes has {most * 1e6:.0f} g mm, {wanted * 1e6:.0f} g mm are wanted; "
            "make the sector thicker, larger outside, or of heavier metal"
        )
    half = np.arcsin(wanted / most)
    mass = per_volume * thick * half * (outer**2 - inner**2)
    return Counterweight(
        Quantity(float(np.degrees(half)), "deg"),
        Quantity(float(mass), "kg"),
        Quantity(float(wanted / mass * 1000), "mm"),
    )


def largest_web_counterweight(throw, outer_radius, density, thickness=None):
    """Mass times radius of the largest counterweight that one web of a throw can carry, a half disk about the main axis.

    Parameters
    ----------
    throw : crank.Throw
    outer_radius : Quantity, scalar [length]
        About the main axis; it has to reach past the web.
    density : Quantity, scalar [mass/volume]
    thickness : Quantity, scalar, optional [length]
        That of the web without it.

    Returns
    -------
    Quantity [g*mm]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As ``web_counterweight``.

    Notes
    -----
    Basis: as ``web_counterweight``.
    """
    return Quantity(float(_sector(throw, outer_radius, density, thickness)[1][-1]), "g*mm")


def web_counterweight(throw, unbalance, outer_radius, density, thickness=None):
    r"""Sector about the main axis, opposite the pin, that adds a wanted mass times radius to one web.

    .. math:: U = \tfrac{1}{3} \rho\, t \int_{-\alpha}^{\alpha} (R^3 - b(\varphi)^3) \cos\varphi \, d\varphi

    Only the metal outside the web counts: b is the distance from the axis to the web's edge in each direction.

    Parameters
    ----------
    throw : crank.Throw
    unbalance : Quantity, scalar [mass*length]
        Wanted of this one web.
    outer_radius : Quantity, scalar [length]
        About the main axis.
    density : Quantity, scalar [mass/volume]
        Of the sector.
    thickness : Quantity, scalar, optional [length]
        Of the sector; that of the web without it.

    Returns
    -------
    Counterweight

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        Not even a half disk is enough, or the radius does not reach past the web.

    Notes
    -----
    Basis: derived; the integral by trapezoids of 1/20 degree, within 1e-5 of its value. A sector wider than a half disk
    loses unbalance again.
    """
    wanted = magnitude(unbalance, "g*mm", "unbalance", above=0, one=True)
    angle, reached, mass = _sector(throw, outer_radius, density, thickness)
    if wanted > reached[-1] * (1 + 1e-9):
        raise ValueError(
            f"unbalance: a half disk of these sizes adds {reached[-1]:.0f} g mm, {wanted:.0f} g mm are wanted; "
            "make it thicker, larger outside, or of heavier metal"
        )
    half, weight = (float(np.interp(wanted, reached, values)) for values in (angle, mass))
    return Counterweight(
        Quantity(np.degrees(half), "deg"),
        Quantity(weight / 1000, "kg"),
        Quantity(wanted / weight, "mm"),
    )


def _sector(throw, outer_radius, density, thickness):
    """Half angles [rad], and what a sector of each adds outside the web: mass times radius [g mm], mass [g]."""
    reach = made(throw, Throw, "throw").web_reach.m_as("mm")
    outer = magnitude(outer_radius, "mm", "outer_radius", above=0, one=True)
    if outer <= reach:
        raise ValueError(
            f"outer_radius must be larger than the web's reach past the main axis, {as_text(throw.web_reach)}; write a larger radius"
        )
    thick = (
        throw.web_thickness.m_as("mm")
        if thickness is None
        else magnitude(thickness, "mm", "thickness", above=0, one=True)
    )
    per_area = magnitude(density, "g/mm**3", "density", above=0, one=True) * thick
    angle = np.linspace(0, np.pi / 2, 1801)
    with np.errstate(divide="ignore"):
        edge = np.minimum(
            np.minimum(reach / np.cos(angle), throw.web_width.m_as("mm") / 2 / np.sin(angle)), outer
        )
    moment, area = ((outer**3 - edge**3) / 3 * np.cos(angle), (outer**2 - edge**2) / 2)
    from scipy.integrate import cumulative_trapezoid

    return angle, *(
        2 * per_area * cumulative_trapezoid(part, angle, initial=0) for part in (moment, area)
    )


def balance_mass(rotating_mass, reciprocating_mass, share, throw, balance_radius):
    r"""Mass opposite the crank that balances all rotating and a share of reciprocating mass.

    .. math:: m_b = (m_r + c\, m_o)\, e / r_b

    Parameters
    ----------
    rotating_mass, reciprocating_mass : Quantity [mass]
        At the pin's radius; a connecting rod counts partly with each.
    share : float
        Part c of the reciprocating mass, 0 to 1; 1/2 to 2/3 is common practice, no source.
    throw, balance_radius : Quantity [length]

    Returns
    -------
    Quantity [kg]

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        A mass or radius is impossible, or the share is not 0 to 1.

    Notes
    -----
    Basis: derived. What the share takes from the force along the stroke it adds across it.
    """
    rotating = magnitude(rotating_mass, "kg", "rotating_mass", least=0)
    moving = magnitude(reciprocating_mass, "kg", "reciprocating_mass", least=0)
    part = number(share, "share", least=0, most=1)
    return Quantity(
        (rotating + part * moving)
        * magnitude(throw, "mm", "throw", above=0)
        / magnitude(balance_radius, "mm", "balance_radius", above=0),
        "kg",
    )


def counterweights_for(crank, turning_mass, moving_mass, share, outer_radius=None, density=None):
    r"""Counterweights that balance a crank, what turns with its pins, and a share of what goes to and fro.

    .. math:: U_b = U_c + (m_t + c\, m_o)\, e

    Each throw gets its own, half on either web; a web without room for its half gets a half disk.

    Parameters
    ----------
    crank : Crank
    turning_mass, moving_mass : Quantity, scalar or one a throw [mass]
        Big end of the rod; piston and small end.
    share : float
        Part c of the moving mass, 0 to 1.
    outer_radius : Quantity, scalar, optional [length]
        Of the sectors; the crank's swing radius without it, so that they need no more room than the webs.
    density : Quantity, scalar, optional [mass/volume]
        Of crank and counterweights; that of the crank's steel without it.

    Returns
    -------
    CounterweightPlan

    Raises
    ------
    TypeError, pint.DimensionalityError
        An argument has no unit, or one of another kind.
    ValueError
        A value is impossible, the masses are not as many as the throws, or the steel is not known and no density is given.

    Notes
    -----
    Basis: derived; webs alike on both sides of a pin, sectors as thick as the webs.
    """
    made(crank, Crank, "crank")
    metal = steels.find(crank.steel).density if density is None else density
    outer = crank.swing_radius if outer_radius is None else outer_radius
    turning, moving = (
        magnitude(value, "g", name, least=0)
        for value, name in ((turning_mass, "turning_mass"), (moving_mass, "moving_mass"))
    )
    part = number(share, "share", least=0, most=1, one=True)
    arms = np.array([throw.radius.m_as("mm") for throw in crank.throws])
    if any(np.size(value) not in (1, len(arms)) for value in (turning, moving)):
        raise ValueError(
            f"turning_mass and moving_mass need one value for all, or one for each of the {len(arms)} throws"
        )
    wanted = throw_unbalance(crank, metal).m_as("g*mm") + (turning + part * moving) * arms
    rows = []
    for throw, size in zip(crank.throws, wanted, strict=True):
        angle, reached, mass = _sector(throw, outer, metal, None)
        each = min(size / 2, reached[-1])
        rows.append(
            (
                2 * each,
                float(np.interp(each, reached, angle)),
                2 * float(np.interp(each, reached, mass)),
            )
        )
    given, half, mass = np.array(rows).T
    return CounterweightPlan(
        Quantity(wanted, "g*mm"),
        Quantity(given, "g*mm"),
        Quantity(np.degrees(half), "deg"),
        Quantity(mass, "g"),
    )
