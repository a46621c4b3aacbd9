"""Counterweights: sectors on webs, balance masses, and those of a whole crank."""

from dataclasses import dataclass

import numpy as np

from ..checks import takes
from ..crank import Crank, Throw, steels
from ..crank.mass import throw_unbalance
from ..units import Quantity, as_text


@dataclass(frozen=True)
class Counterweight:
    """A sector on a web: half of its opening angle, its mass, the radius of its mass center."""

    half_angle: Quantity
    mass: Quantity
    center_radius: Quantity


@dataclass(frozen=True)
class CounterweightPlan:
    """Counterweights of each throw: mass times radius wanted and given by both its sectors.

    ``half_angle`` is half of a sector's opening angle, ``mass`` that of both sectors.
    """

    wanted: Quantity
    given: Quantity
    half_angle: Quantity
    mass: Quantity

    @property
    def enough(self):
        """Whether every throw gets what it wants."""
        return bool(np.all(self.given.magnitude >= self.wanted.magnitude * (1 - 1e-9)))


@takes(
    unbalance="kg*m > 0, one",
    thickness="m > 0, one",
    outer_radius="m > 0, one",
    inner_radius="m >= 0, one",
    density="kg/m**3 > 0, one",
)
def counterweight(unbalance, thickness, outer_radius, inner_radius, density):
    """Sector of a ring that has a wanted mass times radius, U = 2/3 rho t (Ro^3 - Ri^3) sin(a).

    - ``unbalance``: Wanted of this one sector.
    - ``thickness``, ``outer_radius``, ``inner_radius``, ``density``: Of the sector.

    Basis: derived. A sector wider than a half ring loses unbalance again, so 90 deg each way is the
    most.
    """
    if inner_radius >= outer_radius:
        raise ValueError(
            "inner_radius must be smaller than outer_radius, not "
            f"{inner_radius * 1000:g} and {outer_radius * 1000:g} mm"
        )
    most = 2 / 3 * density * thickness * (outer_radius**3 - inner_radius**3)
    if unbalance > most:
        raise ValueError(
            f"unbalance: a half ring of these sizes has {most * 1e6:.0f} g mm, "
            f"{unbalance * 1e6:.0f} g mm are wanted; make the sector thicker, larger outside, or "
            "of heavier metal"
        )
    half = np.arcsin(unbalance / most)
    mass = density * thickness * half * (outer_radius**2 - inner_radius**2)
    return Counterweight(
        Quantity(float(np.degrees(half)), "deg"),
        Quantity(float(mass), "kg"),
        Quantity(float(unbalance / mass * 1000), "mm"),
    )


@takes(
    throw=Throw,
    outer_radius="mm > 0, one",
    density="g/mm**3 > 0, one",
    thickness="mm > 0, one",
    gives="g*mm",
)
def largest_web_counterweight(throw, outer_radius, density, thickness=None):
    """Mass times radius of the largest counterweight that one web of a throw can carry.

    It is a half disk about the main axis.

    - ``outer_radius``: About the main axis; it has to reach past the web.
    - ``thickness``: Default that of the web.

    Basis: as ``web_counterweight``.
    """
    return float(_sector(throw, outer_radius, density, thickness)[1][-1])


@takes(
    throw=Throw,
    unbalance="g*mm > 0, one",
    outer_radius="mm > 0, one",
    density="g/mm**3 > 0, one",
    thickness="mm > 0, one",
)
def web_counterweight(throw, unbalance, outer_radius, density, thickness=None):
    """Sector about the main axis, opposite the pin, that adds mass times radius to one web.

    Only the metal outside the web counts, from b, where the web ends, to the outer radius R:
    U = 1/3 rho t times the integral of (R^3 - b^3) cos(phi) over the sector.

    - ``unbalance``: Wanted of this one web.
    - ``outer_radius``: About the main axis.
    - ``density``, ``thickness``: Of the sector; default thickness that of the web.

    Basis: derived; the integral by trapezoids of 1/20 degree, within 1e-5 of its value. A sector
    wider than a half disk loses unbalance again.
    """
    angle, reached, mass = _sector(throw, outer_radius, density, thickness)
    if unbalance > reached[-1] * (1 + 1e-9):
        raise ValueError(
            f"unbalance: a half disk of these sizes adds {reached[-1]:.0f} g mm, "
            f"{unbalance:.0f} g mm are wanted; make it thicker, larger outside, or of heavier metal"
        )
    half, weight = (float(np.interp(unbalance, reached, values)) for values in (angle, mass))
    return Counterweight(
        Quantity(np.degrees(half), "deg"),
        Quantity(weight / 1000, "kg"),
        Quantity(unbalance / weight, "mm"),
    )


def _sector(throw, outer, density, thickness):
    """Half angles [rad], and what a sector of each adds: mass times radius [g mm], mass [g].

    Lengths in mm, density in g/mm^3.
    """
    reach = throw.web_reach.m_as("mm")
    if outer <= reach:
        raise ValueError(
            "outer_radius must be larger than the web's reach past the main axis, "
            f"{as_text(throw.web_reach)}; write a larger radius"
        )
    per_area = density * (throw.web_thickness.m_as("mm") if thickness is None else thickness)
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


@takes(
    rotating_mass="kg >= 0",
    reciprocating_mass="kg >= 0",
    share="number 0..1",
    throw="mm > 0",
    balance_radius="mm > 0",
    gives="kg",
)
def balance_mass(rotating_mass, reciprocating_mass, share, throw, balance_radius):
    """Mass opposite the crank that balances all rotating and a share of reciprocating mass.

    m_b = (m_r + c m_o) e / r_b

    - ``rotating_mass``, ``reciprocating_mass``: At the pin's radius; a rod counts partly with each.
    - ``share``: Part c of the reciprocating mass; 1/2 to 2/3 is common practice, no source.

    Basis: derived. What the share takes from the force along the stroke it adds across it.
    """
    turning = np.asarray(rotating_mass)[()] + share * np.asarray(reciprocating_mass)[()]
    return turning * throw / balance_radius


@takes(
    crank=Crank,
    turning_mass="g >= 0",
    moving_mass="g >= 0",
    share="number 0..1",
    outer_radius="mm > 0, one",
    density="g/mm**3 > 0, one",
)
def counterweights_for(crank, turning_mass, moving_mass, share, outer_radius=None, density=None):
    """Counterweights that balance a crank, what turns with it, and a share of what reciprocates.

    U_b = U_c + (m_t + c m_o) e for each throw, half on either web; a web without room for its half
    gets a half disk.

    - ``turning_mass``, ``moving_mass``: Big end of the rod; piston and small end; one for all or
      one a throw.
    - ``share``: Part c of the moving mass.
    - ``outer_radius`` [mm]: Of the sectors; default the crank's swing radius, so that they need no
      more room than the webs.
    - ``density`` [kg/m^3]: Of crank and counterweights; default that of the crank's steel.

    Basis: derived; webs alike on both sides of a pin, sectors as thick as the webs.
    """
    metal = steels.find(crank.steel).density.m_as("g/mm**3") if density is None else density
    outer = crank.swing_radius.m_as("mm") if outer_radius is None else outer_radius
    arms = np.array([throw.radius.m_as("mm") for throw in crank.throws])
    if any(np.size(value) not in (1, len(arms)) for value in (turning_mass, moving_mass)):
        raise ValueError(
            "turning_mass and moving_mass need one value for all, or one for each of the "
            f"{len(arms)} throws"
        )
    own = throw_unbalance(crank, Quantity(metal, "g/mm**3")).m_as("g*mm")
    wanted = own + (np.asarray(turning_mass) + share * np.asarray(moving_mass)) * arms
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
