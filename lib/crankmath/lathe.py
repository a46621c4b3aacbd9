"""The lathe: what it swings, its drive, its gear steps, what it bears, how it yields: one file."""

import difflib
import json
from dataclasses import dataclass, field, fields

import numpy as np

from .checks import one_of
from .files import path_of, read_text, write_whole
from .language import marked
from .tables import settings
from .toml_files import read_toml
from .units import Quantity, magnitude, number

MOST_BYTES = 100_000
FEED_SCATTER = 0.1  # between a feed asked for and one of the lathe's: own choice
DRIVES = (marked("gears"), marked("belt"), marked("electronic"))
KEYS = {  # key of the file: unit; None for a number or a word
    "name": None,
    "center_height_mm": "mm",
    "between_centers_mm": "mm",
    "power_w": "W",
    "gear_table_rpm": "rpm",
    "unbalance_force_n": "N",
    "center_height_over_carriage_mm": "mm",
    "slide_reach_mm": "mm",
    "feeds_mm": "mm",
    "drive": None,
    "base_speed_rpm": "rpm",
    "efficiency": None,
    "headstock_stiffness_n_per_um": "N/um",
    "tailstock_stiffness_n_per_um": "N/um",
    "axial_stiffness_n_per_um": "N/um",
    "tool_stiffness_n_per_um": "N/um",
    "tool_axial_stiffness_n_per_um": "N/um",
    "tool_frequency_hz": "Hz",
    "tool_axial_frequency_hz": "Hz",
    "damping_ratio": None,
    "process_damping_n_per_m": "N/m",
}
NEEDED = tuple(KEYS)[:6]
ROWS = ("gear_table_rpm", "feeds_mm")
_ENDINGS = ("_mm", "_w", "_rpm", "_n_per_um", "_n_per_m", "_n", "_hz")


def attribute(key):
    """Name of a Lathe's attribute for a key of the file."""
    ending = next((ending for ending in _ENDINGS if key.endswith(ending)), "")
    return key.removesuffix(ending)


def _value(key, value):
    """A value of the file, checked, as the attribute that a Lathe holds."""
    if key == "name":
        return str(value)[:60]
    if key == "drive":
        return one_of(value, DRIVES, "drive")
    row = value if isinstance(value, list) else [value]
    if not row or not all(
        isinstance(part, int | float) and not isinstance(part, bool) and abs(part) < 1e300
        for part in row
    ):
        kind = "a row of numbers in brackets" if key in ROWS else "a number"
        raise ValueError(f"{key} has to be {kind}, not {str(value)[:40]}")
    if key not in ROWS and len(row) > 1:
        raise ValueError(f"{key} has to be one number, not {len(row)}")
    if KEYS[key] is None:
        most = 1.0 if key == "efficiency" else 0.5
        return number(float(row[0]), key, above=0, most=most)
    plain = np.sort(np.array(row, float)) if key in ROWS else float(row[0])
    quantity = Quantity(plain, KEYS[key])
    magnitude(quantity, KEYS[key], attribute(key), above=0)
    return quantity


OVER_CARRIAGE = "center_height_over_carriage"


def _school(key):
    return field(default_factory=lambda: _value(key, settings("lathe")[key]))


@dataclass(frozen=True, eq=False)
class Lathe:
    """A lathe, complete; what is not given is the night school's.

    ``slide_reach`` is how far the cross slide reaches along the bed beside the tool. Stiffnesses of
    headstock and tailstock are sideways, at their centers; ``axial_stiffness`` is that of headstock
    and bed along the axis; ``tool_stiffness`` that of tool, post and slides together. ``drive`` is
    one of ``DRIVES``, ``base_speed`` the spindle speed below which an electronic drive has constant
    torque. ``assumed`` names what a file did not give.
    """

    name: str
    center_height: Quantity
    between_centers: Quantity
    power: Quantity
    gear_table: Quantity
    unbalance_force: Quantity
    center_height_over_carriage: Quantity = _school("center_height_over_carriage_mm")
    slide_reach: Quantity = _school("slide_reach_mm")
    feeds: Quantity = _school("feeds_mm")
    drive: str = _school("drive")
    base_speed: Quantity = _school("base_speed_rpm")
    efficiency: float = _school("efficiency")
    headstock_stiffness: Quantity = _school("headstock_stiffness_n_per_um")
    tailstock_stiffness: Quantity = _school("tailstock_stiffness_n_per_um")
    axial_stiffness: Quantity = _school("axial_stiffness_n_per_um")
    tool_stiffness: Quantity = _school("tool_stiffness_n_per_um")
    tool_axial_stiffness: Quantity = _school("tool_axial_stiffness_n_per_um")
    tool_frequency: Quantity = _school("tool_frequency_hz")
    tool_axial_frequency: Quantity = _school("tool_axial_frequency_hz")
    damping_ratio: float = _school("damping_ratio")
    process_damping: Quantity = _school("process_damping_n_per_m")
    assumed: tuple = ()

    def feed_for(self, asked):
        """The largest of its feeds that is no more than asked, or hardly more (``FEED_SCATTER``);
        the finest where all are larger.
        """
        fine = [one for one in self.feeds if one <= asked * (1 + FEED_SCATTER)]
        return max(fine, default=self.feeds[0])

    def to_toml(self):
        """Text of the lathe's file; what is assumed and need not be given is left out."""
        lines = []
        for key, unit in KEYS.items():
            if attribute(key) in self.assumed and key not in NEEDED:
                continue
            value = getattr(self, attribute(key))
            plain = value if unit is None else np.asarray(value.m_as(unit)).tolist()
            text = json.dumps(plain, ensure_ascii=False).replace("\x7f", "\\u007f")
            lines.append(f"{key} = {text}\n")
        return "".join(lines)

    def save(self, path):
        """Write the lathe's file, whole or not at all; OSError where that fails."""
        write_whole(path, self.to_toml())


def load_lathe(path=None):
    """The night school's lathe, or one from a TOML file of the same keys at a path.

    The first six keys of ``KEYS`` are needed; the others default to the school's and are listed in
    ``assumed``. A key that is not known is refused by name.
    Basis: assumed values of our example lathe; replace them with your own.
    """
    if path:
        text = read_text(
            path_of(path, "the path of a lathe's .toml file"),
            MOST_BYTES,
            f"no lathe file “{path}”; write the path of a .toml file",
        )
        data = read_toml(text, "the lathe file")
    else:
        data = settings("lathe")
    for key in data:
        if key not in KEYS:
            near = difflib.get_close_matches(key, KEYS, 1)
            hint = f"did you mean {near[0]}?" if near else f"there are {', '.join(KEYS)}"
            raise ValueError(f"the lathe file has a key “{key[:60]}” that is not known; {hint}")
    for key in NEEDED:
        if key not in data:
            usual = settings("lathe")[key]
            raise ValueError(
                f"the lathe file lacks the key “{key}”; write for example {key} = {usual}"
            )
    try:
        values = {attribute(key): _value(key, value) for key, value in data.items()}
    except ValueError as error:
        raise ValueError(f"the lathe file cannot be read: {error}") from None
    known = {one.name for one in fields(Lathe)} - {"assumed"}
    assumed, high = tuple(sorted(known - set(values))), values["center_height"]
    usual = _value(f"{OVER_CARRIAGE}_mm", settings("lathe")[f"{OVER_CARRIAGE}_mm"])
    least = values.setdefault(OVER_CARRIAGE, min(high, usual))
    if least > high:
        raise ValueError(
            f"the lathe file: {OVER_CARRIAGE}_mm is {least.m_as('mm'):g}, more than the "
            f"{high.m_as('mm'):g} of center_height_mm; the carriage stands above the bed, so write "
            "less, the center's height over it"
        )
    return Lathe(**values, assumed=assumed)
