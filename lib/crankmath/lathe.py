"""The lathe: what it swings, its power, its gear steps, the unbalance it bears."""

import tomllib
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

import numpy as np

from .units import Quantity, magnitude


@dataclass(frozen=True)
class Lathe:
    """A lathe: what it swings, its power, the speeds of its gear table, the unbalance it bears."""

    name: str
    center_height: Quantity
    between_centers: Quantity
    power: Quantity
    gear_table: Quantity
    unbalance_force: Quantity


def load_lathe(path=None):
    """The night school's lathe, or one from a TOML file of the same keys.

    Parameters
    ----------
    path : str or Path, optional

    Returns
    -------
    Lathe

    Raises
    ------
    ValueError
        A key is missing or impossible.

    Notes
    -----
    Basis: assumed values of our example lathe; replace them with your own.
    """
    place = Path(path) if path else files("crankmath") / "data" / "lathe.toml"
    try:
        data = tomllib.loads(place.read_text(encoding="utf-8"))
        lathe = Lathe(
            str(data["name"]), Quantity(data["center_height_mm"], "mm"), Quantity(data["between_centers_mm"], "mm"),
            Quantity(data["power_w"], "W"), Quantity(np.sort(np.array(data["gear_table_rpm"], float)), "rpm"),
            Quantity(data["unbalance_force_n"], "N"),
        )  # fmt: skip
    except KeyError as missing:
        raise ValueError(f"the lathe file lacks the key {missing}") from None
    except (tomllib.TOMLDecodeError, TypeError) as error:
        raise ValueError(f"the lathe file cannot be read: {error}") from None
    for name, unit in (("center_height", "mm"), ("between_centers", "mm"), ("power", "W"), ("gear_table", "rpm"), ("unbalance_force", "N")):
        magnitude(getattr(lathe, name), unit, name, above=0)
    return lathe
