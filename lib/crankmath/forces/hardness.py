"""What a steel's hardness does to the cutting force, by the handbook's power constants."""

from dataclasses import dataclass

from ..crank import steels
from ..tables import rows
from ..units import Quantity, number


@dataclass(frozen=True)
class PowerConstant:
    """A handbook's power for a rate of removal, with the row it comes from."""

    value: Quantity
    inch_value: Quantity
    material: str
    hardness: str
    source: str


def power_constant(steel, hardness=None):
    """The handbook's power constant of a steel: power for a rate of removal with a sharp tool.

    ``hardness`` is Brinell, default the steel's own; one that no row holds is refused.
    Basis: handbook table; Machinery's Handbook, 31st ed., p. 1147, table 1b. 1 kW s/cm3 equals
    1000 N/mm2 of specific cutting force at a feed of 0.30 mm (see ``power.feed_factor``).
    """
    record = steels.find(steel)
    brinell = number(record.hardness if hardness is None else hardness, "hardness", above=0)
    for row in rows("power_constants"):
        low, high = float(row["hardness_low"]), float(row["hardness_high"])
        if record.speed_group in row["speed_groups"].split() and low <= brinell <= high:
            return PowerConstant(
                Quantity(float(row["value"]), "kW*s/cm**3"),
                Quantity(float(row["inch_value"]), "hp*min/in**3"),
                row["material"],
                f"{low:g} to {high:g} HB",
                row["source"],
            )
    raise ValueError(
        f"hardness {brinell:g} HB is outside the power table for {steel}; "
        "write a value the table holds"
    )


def hardness_factor(steel, hardness=None):
    """Cutting force of a steel at a Brinell hardness over that at its own, 1 by default.

    ``steel`` is a name of ``steels.NAMES``; ``hardness`` as in :func:`power_constant`.
    Basis: handbook table, the ratio of its power constants; Kienzle's constants name no hardness.
    """
    if hardness is None:
        return 1.0
    own, harder = power_constant(steel), power_constant(steel, hardness)
    return (harder.value / own.value).m_as("dimensionless")
