"""A crank as the tables of its TOML file: read, with a sentence for what is wrong, and written."""

import difflib
import math
from dataclasses import fields

from ..typed import read_quantity
from ..units import Quantity, ureg
from .parts import Journal, Throw

GROUPS = {"journals": Journal, "throws": Throw}
KEYS = ("name", "units", "steel", *GROUPS)


def read_parts(data, group):
    """Journals or throws of a crank's tables, lengths read in its ``units``."""
    tables = data[group]
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        raise ValueError(f"{group} has to be a list of tables: write [[{group}]] above each")
    return tuple(
        _part(GROUPS[group], table, data["units"], f"{group}[{number}]")
        for number, table in enumerate(tables, 1)
    )


def tables_of(crank):
    """Tables of a crank, lengths as plain numbers of its ``units``."""
    words = {key: getattr(crank, key) for key in ("name", "units", "steel")}
    return words | {
        group: [
            {key(name): _tidy(getattr(part, name), unit_of(name, crank.units)) for name in names}
            for part in getattr(crank, group)
        ]
        for group, names in ((group, _names(kind)) for group, kind in GROUPS.items())
    }


def written(data):
    """TOML text of a crank's tables."""
    lines = [f"{word} = {_quoted(data[word])}" for word in ("name", "units", "steel")]
    for group in GROUPS:
        for table in data[group]:
            lines += ["", f"[[{group}]]", *(f"{word} = {value!r}" for word, value in table.items())]
    return "\n".join(lines) + "\n"


def key(field):
    """Key of a field in the file."""
    return "angle_deg" if field == "angle" else field


def unit_of(field, length_unit):
    """Unit of a field's number in the file."""
    return "deg" if field == "angle" else length_unit


def check_words(name, units, steel):
    """Refuse words that are not ones, or that no file can hold."""
    if units not in ("mm", "in"):
        raise ValueError(f'units must be "mm" or "in", not {repr(units)[:60]}')
    for place, word in (("name", name), ("steel", steel)):
        if not isinstance(word, str) or not word.strip():
            raise ValueError(f"{place} has to be a word in quotes, not {repr(word)[:60]}")
        try:
            word.encode("utf-8")
        except UnicodeEncodeError:
            raise ValueError(
                f"{place} holds half a character, {repr(word)[:60]}; type it again"
            ) from None


def check_keys(table, wanted, place):
    """Refuse a table with a missing or an unknown key."""
    if not isinstance(table, dict):
        raise ValueError(f"{place} has to be a table of keys and values")
    missing = [word for word in wanted if word not in table]
    unknown = [word for word in table if word not in wanted]
    if missing:
        raise ValueError(f"{place} lacks the key “{missing[0]}”{_instead(missing[0], unknown)}")
    if unknown:
        raise ValueError(
            f"{place} has an unknown key “{str(unknown[0])[:60]}”; the keys are {', '.join(wanted)}"
        )


def _instead(missing, unknown):
    """What the file may have in place of a key that it lacks."""
    if missing == "radius" and {"stroke", "throw"} & set(unknown):
        return ": the throw's radius is half the stroke"
    near = difflib.get_close_matches(missing, [str(word)[:60] for word in unknown], 1, 0.5)
    return f"; is “{near[0]}” meant?" if near else ""


def _names(kind):
    return [field.name for field in fields(kind)]


def _part(kind, table, unit, place):
    names = _names(kind)
    check_keys(table, [key(name) for name in names], place)
    sizes = [_size(table[key(name)], f"{place}.{key(name)}", unit_of(name, unit)) for name in names]
    return kind(
        *(Quantity(size, unit_of(name, unit)) for name, size in zip(names, sizes, strict=True))
    )


def _size(value, place, unit):
    number = isinstance(value, int | float) and not isinstance(value, bool)
    try:
        size = float(value) if number else math.nan
    except OverflowError:
        size = math.inf
    if not math.isfinite(size):
        raise ValueError(
            f"{place} has to be a number, not {str(value)[:40]}{_as_number(value, unit)}"
        )
    return size


def _tidy(value, unit):
    """Number of a size: every digit, or as it was typed where it came through another unit."""
    size = float(value.m_as(unit))
    return size if value.units == ureg.Unit(unit) else float(f"{size:.12g}")


def _quoted(text):
    """A TOML basic string."""
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    shown = (f"\\u{ord(c):04X}" if ord(c) < 32 or ord(c) == 127 else c for c in plain)
    return f'"{"".join(shown)}"'


def _as_number(text, unit):
    """How a size in quotes is written as the number that it means."""
    if not isinstance(text, str):
        return ""
    for typed in (text, f"{text} {unit}"):
        try:
            size = read_quantity(typed, (unit,), also=("mm", "in", "cm", "deg")).m_as(unit)
        except (ValueError, TypeError):
            continue
        return f"; write {size:.6g}, in {unit} and without quotes"
    return ""
