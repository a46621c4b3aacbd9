"""Fraction of a cut's power that goes into the work: rule of thumb and shear plane."""

import warnings
from dataclasses import dataclass

import numpy as np

from ..crank import steels
from ..forces import kienzle
from ..units import OutOfRangeWarning, Quantity, magnitude, number

RULE_SHARE = 0.10  # of the cutting power into the work: course notes quoting Krar
SHEAR_RANGE = (
    0.04,
    15.0,
)  # of R tan(phi): upper end is the highest seen worked through in print; lower end from memory


@dataclass(frozen=True)
class CuttingHeat:
    """Power of the cut and two answers to how much of it stays in the work.

    ``shear_share`` is the fraction of the power spent at the shear plane alone; ``shear_heat``
    leaves the rake face's friction out. ``thermal_number`` is ρ c v h / k.
    """

    power: Quantity
    rule_share: float
    rule_heat: Quantity
    shear_share: float
    shear_heat: Quantity
    thermal_number: float


def cutting_heat(
    force,
    cutting_speed,
    chip_thickness,
    steel,
    shear_angle=Quantity(22.0, "deg"),
    friction_share=0.0,
):
    """Power of a cut and the part of it that goes into the work, by rule and by shear plane.

    Rule: 10 % of P = Fc v. Shear plane: 0.15 ln(27.5 / (R tan φ)) of the power there, R = ρ c v h /
    k. ``force`` [force] is that along ``cutting_speed``; ``chip_thickness`` is uncut; ``steel`` a
    name or a record; ``shear_angle`` from a chip with ``shear_plane.measured_shear_angle``, 22
    degrees is a usual high-speed-steel cut; ``friction_share`` the fraction rubbed away on the
    tool's face, which goes with chip and tool: zero is the safe side, 0.2 to 0.3 usual (from
    memory).
    Basis: rule of thumb (course notes quoting Krar), and fitted data: Ghosh and Mallik,
    Manufacturing Science, ch. 4, p. 199, with an OutOfRangeWarning outside R tan φ of 0.04 to 15.
    Part of the heat leaves with the chip of the next turn, so the truth lies between the two.
    """
    record = steels.record_of(steel)
    power = kienzle.cutting_power(force, cutting_speed).to("W")
    speed = magnitude(cutting_speed, "m/s", "cutting_speed", above=0)
    layer = np.asarray(magnitude(chip_thickness, "m", "chip_thickness", above=0))
    plane = np.asarray(magnitude(shear_angle, "rad", "shear_angle", above=0))
    if np.any(plane >= np.pi / 2):
        raise ValueError("shear_angle must be below 90 deg; write it in deg, for example 22 deg")
    rubbed = np.asarray(number(friction_share, "friction_share", least=0, most=1))
    heat_per_volume = record.density.m_as("kg/m**3") * record.specific_heat.m_as("J/(kg*K)")
    thermal = heat_per_volume * speed * layer / record.conductivity.m_as("W/(m*K)")
    share = primary_share(thermal * np.tan(plane))
    return CuttingHeat(
        power,
        RULE_SHARE,
        RULE_SHARE * power,
        share,
        share * (1 - rubbed) * power,
        float(thermal) if np.ndim(thermal) == 0 else thermal,
    )


def primary_share(thermal_term):
    """Fraction of the shear plane's heat that goes into the work: 0.15 ln(27.5 / (R tan φ)).

    ``thermal_term`` is R tan φ.
    Basis: fitted data, Ghosh and Mallik, Manufacturing Science, p. 199. Up to 10 the same line,
    within 0.01, as 0.5 - 0.35 log10(R tan φ) of the shear-zone theory of machining; above, that
    theory has 0.3 - 0.15 log10(R tan φ), a quarter more at 14 (both seen in two public programs,
    not in print).
    """
    term = np.asarray(number(thermal_term, "thermal_term", above=0))
    if np.any(term >= 27.5):
        raise ValueError(
            f"thermal_term is {term.max():.3g}: at 27.5 the formula says that no heat goes into "
            "the work; it is not made for such speeds"
        )
    if np.any(term < SHEAR_RANGE[0]) or np.any(term > SHEAR_RANGE[1]):
        warnings.warn(
            f"thermal_term is outside {SHEAR_RANGE[0]:g} to {SHEAR_RANGE[1]:g}, where the formula "
            "was tried",
            OutOfRangeWarning,
            stacklevel=3,
        )
    share = 0.15 * np.log(27.5 / term)
    return float(share) if share.ndim == 0 else share
