"""Material records of the steels a small crank is cut from, each value with its source."""

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from ..checks import made
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

    def source(self, name):
        """Where a value comes from; "from memory" where nobody has seen it in print.

        Parameters
        ----------
        name : str
            A property, for example "tensile_strength".

        Returns
        -------
        str

        Raises
        ------
        ValueError
            No such property.

        Notes
        -----
        Basis: derived.
        """
        known = dict(self.sources)
        if name not in known:
            raise ValueError(f"name must be one of {', '.join(known)}, not {name!r}")
        return known[name]


@cache
def _records():
    with (files("crankmath") / "data" / "steels.csv").open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    records = {}
    for name in dict.fromkeys(row["steel"] for row in rows):
        own = {row["property"]: row for row in rows if row["steel"] == name}
        values = {
            prop: float(own[prop]["value"])
            if unit is None
            else Quantity(float(own[prop]["value"]), unit)
            for prop, unit in UNITS.items()
        }
        records[name] = Steel(
            name,
            own["tensile_strength"]["condition"],
            own["tensile_strength"]["speed_group"],
            own["machinability"]["condition"],
            **values,
            sources=tuple((prop, own[prop]["source"]) for prop in UNITS),
        )
    return records


NAMES = tuple(_records())


def find(name):
    """Record of a steel by its name.

    Parameters
    ----------
    name : str
        One of ``steels.NAMES``; upper or lower case.

    Returns
    -------
    Steel

    Raises
    ------
    ValueError
        The steel is not known; the message lists those that are.

    Notes
    -----
    Basis: handbook table; each value names its source.
    """
    for known, record in _records().items():
        if isinstance(name, str) and name.strip().lower() == known.lower():
            return record
    raise ValueError(f"steel {name!r} is not known; write one of {', '.join(NAMES)}")


def record_of(steel):
    """Record of a steel given by its name or already as a record.

    Parameters
    ----------
    steel : str or Steel

    Returns
    -------
    Steel

    Raises
    ------
    TypeError, ValueError
        Neither a known name nor a record.

    Notes
    -----
    Basis: handbook table; each value names its source.
    """
    return find(steel) if isinstance(steel, str) else made(steel, Steel, "steel")
