"""Material records of the steels a small crank is cut from, each value with its source."""

from dataclasses import dataclass
from functools import cache

from ..checks import made, one_of
from ..tables import rows
from ..units import Quantity

UNITS = {
    "tensile_strength": "MPa",
    "yield_strength": "MPa",
    "hardness": None,
    "machinability": None,
    "elastic_modulus": "GPa",
    "density": "kg/m**3",
    "expansion": "1/delta_degC",
    "conductivity": "W/(m*K)",
    "specific_heat": "J/(kg*K)",
    "specific_force": "MPa",
    "thickness_exponent": None,
}


@dataclass(frozen=True)
class Steel:
    """One steel. Hardness is Brinell; machinability is in percent of ``machinability_base``.

    ``specific_force`` and ``thickness_exponent`` are Kienzle's k_c1.1 and m_c.
    """

    name: str
    condition: str
    speed_group: str
    machinability_base: str
    tensile_strength: Quantity
    yield_strength: Quantity
    hardness: float
    machinability: float
    elastic_modulus: Quantity
    density: Quantity
    expansion: Quantity
    conductivity: Quantity
    specific_heat: Quantity
    specific_force: Quantity
    thickness_exponent: float
    sources: tuple

    @property
    def described(self):
        """Name and condition, each said once."""
        return self.name if self.condition in self.name else f"{self.name}, {self.condition}"

    def source(self, name):
        """Source of a property such as "tensile_strength"; "from memory" if not seen in print."""
        known = dict(self.sources)
        return known[one_of(name, known, "name")]


@cache
def _records():
    by_steel = {}
    for row in rows("steels"):
        by_steel.setdefault(row["steel"], {})[row["property"]] = row
    return {name: _record(name, own) for name, own in by_steel.items()}


def _record(name, own):
    values = {}
    for property_name, unit in UNITS.items():
        value = float(own[property_name]["value"])
        values[property_name] = value if unit is None else Quantity(value, unit)
    return Steel(
        name,
        own["tensile_strength"]["condition"],
        own["tensile_strength"]["speed_group"],
        own["machinability"]["condition"],
        **values,
        sources=tuple((property_name, own[property_name]["source"]) for property_name in UNITS),
    )


NAMES = tuple(_records())


def find(name):
    """Record of a steel by its name, one of ``steels.NAMES`` in upper or lower case.

    Basis: handbook table; each value names its source.
    """
    for known, record in _records().items():
        if isinstance(name, str) and name.strip().lower() == known.lower():
            return record
    raise ValueError(
        f"steel {name!r} is not known; write one of {', '.join(NAMES)}. For another steel write "
        "the nearest in kind and strength, and answer the hardness, tensile and yield strength of "
        "your own in the job; cast iron is in none of the tables"
    )


def record_of(steel):
    """Record of a steel that is a name or already a record.

    Basis: handbook table; each value names its source.
    """
    return find(steel) if isinstance(steel, str) else made(steel, Steel, "steel")
