"""A table of readings as a CSV file: headers in words, a reading a line, decimal comma or point."""

import csv
import re
from pathlib import Path

import numpy as np

from ...files import path_of, read_text
from ...language import _
from ...typed import read_quantity
from ...units import Quantity
from .measured import (
    AT_ENDS,
    KINDS,
    MOST_ROWS,
    Measured,
    Row,
    checked_row,
    middle_of,
    place_named,
    support_named,
)

MOST_BYTES = 400_000
COLUMNS = ("kind", "place", "at", "angle", "value", "supported on", "after")
NEEDED = ("place", "value")
LENGTHS = ("mm", "um", "in", "thousandth")
UNITS = {
    "um": LENGTHS,
    "N": ("N", "kN", "lbf"),
    "delta_degC": ("delta_degC", "delta_degF", "kelvin"),
}
EXAMPLE = _("kind;place;at (mm);angle (deg);value (mm);supported on")


def read_table(path, crank):
    """``Measured`` from a CSV file; lines that cannot be read are named in ``damaged``, one
    sentence each.

    The header names the columns: kind, place, value, and where they are needed at, angle, supported
    on, after; a unit stands in brackets. Kinds are those of ``KINDS`` and spacing; without that
    column all are readings of a dial. Columns are parted by semicolon, tab or comma; a decimal
    comma is read where a comma does not part the columns.

    Basis: derived.
    """
    wanted = _("the path of a .csv file of readings")
    text = read_text(
        path_of(path, wanted),
        MOST_BYTES,
        _("no file of readings “{path}”; write {wanted}").format(path=path, wanted=wanted),
    )
    return table_of_text(text, crank, Path(path).name)


def table_of_text(text, crank, name="the table"):
    """``Measured`` from the text of such a file; as ``read_table``."""
    lines = text.lstrip("\ufeff").splitlines()
    start = next((place for place, line in enumerate(lines) if _says(line)), None)
    if start is None:
        raise ValueError(
            _("{name} has no line of headers; begin it with {example}").format(
                name=name, example=EXAMPLE
            )
        )
    mark = next((sign for sign in ";\t" if sign in lines[start]), ",")
    columns, units = _header(next(csv.reader([lines[start]], delimiter=mark)), name)
    rows, values, damaged = [], [], []
    for number, line in enumerate(lines[start + 1 :], start + 2):
        bare = line.strip()
        if not bare.strip(mark + " ") or bare.startswith("#"):
            continue
        try:
            row, value = _row(next(csv.reader([line], delimiter=mark)), columns, units, crank, mark)
            rows.append(row)
            values.append(value)
        except (TypeError, ValueError) as error:
            damaged.append(_("line {number}: {error}").format(number=number, error=error))
    if len(rows) > MOST_ROWS:
        raise ValueError(
            _("{name} holds {count} readings; at most {most_rows} are taken").format(
                name=name, count=len(rows), most_rows=MOST_ROWS
            )
        )
    if not rows:
        why = f" ({damaged[0]})" if damaged else ""
        raise ValueError(
            _("{name} holds no reading that can be read{why}; begin it with {example}").format(
                name=name, why=why, example=EXAMPLE
            )
        )
    return Measured(tuple(rows), np.array(values, float), tuple(damaged))


def _says(line):
    lowered = line.casefold()
    return "place" in lowered and any(word in lowered for word in ("kind", "value", "reading"))


def _header(cells, name):
    columns, units = {}, {}
    for place, cell in enumerate(cells):
        word = re.sub(r"[\[(].*", "", cell).strip().casefold()
        word = "value" if word == "reading" else word
        unit = re.search(r"[\[(]\s*([^\])]+?)\s*[\])]", cell)
        if word in COLUMNS:
            if word in columns:
                raise ValueError(
                    _("{name}: the column “{word}” appears twice").format(name=name, word=word)
                )
            columns[word], units[word] = place, unit[1] if unit else ""
        elif word:
            raise ValueError(
                _("{name}: “{cell}” is not a column known here; there are {columns}").format(
                    name=name, cell=cell.strip(), columns=", ".join(COLUMNS)
                )
            )
    for word in NEEDED:
        if word not in columns:
            raise ValueError(
                _("{name} lacks the column “{word}”; begin it with {example}").format(
                    name=name, word=word, example=EXAMPLE
                )
            )
    return columns, units


def _row(cells, columns, units, crank, mark):
    def cell(word):
        place = columns.get(word)
        return cells[place].strip() if place is not None and place < len(cells) else ""

    if any(one.strip() for one in cells[max(columns.values()) + 1 :]):
        hint = _(" (is a comma meant as a decimal mark? separate columns by semicolons)")
        raise ValueError(
            _("{count} cells under {heads} headers{hint}").format(
                count=len(cells), heads=len(columns), hint=hint if mark == "," else ""
            )
        )
    kind = cell("kind").casefold() if "kind" in columns else "dial"
    spacing = kind == "spacing"
    kind = "marks" if spacing else kind
    if kind not in KINDS:
        raise ValueError(
            _("kind: “{cell}” is not known; write {kinds} or spacing").format(
                cell=cell("kind"), kinds=", ".join(KINDS)
            )
        )
    where, end = place_named(cell("place"), crank)
    on = (
        support_named(cell("supported on"), crank)
        if cell("supported on")
        else ("vees", 90.0)
        if kind == "height"
        else ("pin", where[1])
        if kind == "dial" and where[0] == "pin"
        else ("main",)
    )
    at = _number(cell("at"), units.get("at"), ("mm", "in"), "at", "mm") if cell("at") else None
    if kind == "height" and at is None:
        raise ValueError(_("at: a height needs its place along the crank; write it in mm"))
    if kind == "dial" and not cell("angle"):
        raise ValueError(_("angle: a dial reading needs the mark it was taken at; write it in deg"))
    angle = (
        _number(cell("angle"), units.get("angle") or "deg", ("deg", "rad"), "angle", "deg")
        if cell("angle")
        else 0.0
    )
    value = _value(kind, spacing, cell("value"), units.get("value"), where, crank)
    placed = kind in ("dial", "diameter", "height", "marks")
    row = Row(
        kind,
        where,
        (middle_of(crank, where) if at is None else at) if placed else 0.0,
        angle,
        on if kind in ("dial", "height") else ("main",),
        cell("after").casefold(),
        end,
    )
    if kind in AT_ENDS and not end:
        raise ValueError(
            _("place: say which end the {kind} is of, for example main 1 left").format(kind=kind)
        )
    if kind == "spacer" and where[0] != "throw":
        row = Row(kind, ("throw", where[1]))
    return checked_row(row, crank), value


def _value(kind, spacing, text, unit, where, crank):
    if not text:
        raise ValueError(_("value is empty: write a number"))
    if kind == "marks" and not spacing:
        count = _number(text, None, (), "value", "")
        if count < 0:
            raise ValueError(_("value: chatter marks are counted from 0 up"))
        return count
    if spacing:
        part = crank.journals[where[1]] if where[0] == "main" else crank.throws[where[1]]
        size = (part.diameter if where[0] == "main" else part.pin_diameter).m_as("mm")
        apart = _number(text, unit, LENGTHS, "value", "mm")
        if apart <= 0:
            raise ValueError(_("value: a spacing is above zero; write it in mm"))
        return np.pi * size / apart
    into = KINDS[kind]
    own = unit if into == "um" else into  # the header's unit is that of lengths
    return _number(text, own, UNITS[into], "value", into)


def _number(text, unit, units, name, into):
    plain = text.replace("−", "-").replace("–", "-")
    if re.fullmatch(r"[+-]?\d+,\d+", plain):  # the comma does not part columns here
        plain = plain.replace(",", ".")
    if re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", plain):
        if not into:
            return float(plain)
        if not unit:
            raise TypeError(
                _("{name}: “{text}” has no unit; put one into the header, ({units})").format(
                    name=name, text=text, units=units[0]
                )
            )
        plain = f"{plain} {'thousandth' if unit == 'thou' else unit}"
    elif not into:
        raise ValueError(_("{name}: “{text}” is not a number").format(name=name, text=text))
    found = read_quantity(plain, units, name)
    return float(Quantity(found.magnitude, found.units).m_as(into))
