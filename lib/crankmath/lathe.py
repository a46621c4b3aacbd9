"""The lathe: what it swings, its power, its gear steps, the unbalance it bears."""

import tomllib
from dataclasses import dataclass
from importlib.resources import files

import numpy as np

from .files import path_of, read_text
from .units import Quantity, magnitude

MOST_BYTES = 100_000
KEYS = (
    "name center_height_mm between_centers_mm power_w gear_table_rpm unbalance_force_n "
    "swing_over_carriage_mm"
).split()


@dataclass(frozen=True)
class Lathe:
    """A lathe: what it swings, its power, the speeds of its gear table, the unbalance it bears."""

    name: str
    center_height: Quantity
    between_centers: Quantity
    power: Quantity
    gear_table: Quantity
    unbalance_force: Quantity
    swing_over_carriage: Quantity | None = None


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
    TypeError
        The path is none.
    FileNotFoundError
        There is no such file.
    ValueError
        A key is missing or impossible.

    Notes
    -----
    Basis: assumed values of our example lathe; replace them with your own.
    """
    if path:
        text = read_text(
            path_of(path, "the path of a lathe's .toml file"),
            MOST_BYTES,
            f"no lathe file “{path}”; write the path of a .toml file",
        )
    else:
        text = (files("crankmath") / "data" / "lathe.toml").read_text(encoding="utf-8")
    try:
        data = tomllib.loads(text)
        if unknown := sorted(set(data) - set(KEYS)):
            raise ValueError(f"there is no key {unknown[0][:60]!r}; there are {', '.join(KEYS)}")
        sizes = [
            Quantity(_sizes([data[key]], key)[0], unit)
            for key, unit in (
                ("center_height_mm", "mm"),
                ("between_centers_mm", "mm"),
                ("power_w", "W"),
                ("unbalance_force_n", "N"),
            )
        ]
        steps = Quantity(np.sort(_sizes(data["gear_table_rpm"], "gear_table_rpm")), "rpm")
        carriage = data.get(KEYS[-1])
        if carriage is not None:
            carriage = Quantity(_sizes([carriage], KEYS[-1])[0], "mm")
        lathe = Lathe(str(data["name"])[:60], *sizes[:3], steps, sizes[3], carriage)
    except KeyError as missing:
        raise ValueError(f"the lathe file lacks the key {missing}") from None
    except (ValueError, RecursionError) as error:
        raise ValueError(f"the lathe file cannot be read: {error}") from None
    for name, unit in (
        ("center_height", "mm"),
        ("between_centers", "mm"),
        ("power", "W"),
        ("gear_table", "rpm"),
        ("unbalance_force", "N"),
        ("swing_over_carriage", "mm"),
    ):
        if getattr(lathe, name) is not None:
            magnitude(getattr(lathe, name), unit, name, above=0)
    return lathe


def _sizes(value, key):
    """A number, or a list of them, as a row of plain numbers."""
    row = value if isinstance(value, list) else [value]
    if not row or not all(
        isinstance(one, int | float) and not isinstance(one, bool) and abs(one) < 1e300
        for one in row
    ):
        raise ValueError(f"{key} has to be a number, not {str(value)[:40]}")
    return np.array(row, float)
