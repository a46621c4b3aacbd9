"""One line of readings: its parts, what a header names, what the line is taken for, in words."""

import csv
import re

from ..language import _
from ..typed import read_quantity
from ..units import Quantity, as_text, ureg

LENGTH_UNITS = ("mm", "um", "in", "thousandth", "cm")
ANGLE_UNITS = ("deg", "turn", "rad")
MOST_IN_LINE = 300  # characters
MISSING = {"", "-", "–", "—", "?", "x", "n/a", "na", "nan", "none", "missed", "missing"}
ANGLE_WORD = re.compile(r"\b(angles?|deg|degrees?|positions?|marks?)\b|°")
READING_WORD = re.compile(
    r"\b(readings?|dial|indicator|runout|values?|heights?|mm|um|µm|μm|in|inch|inches|thou)\b"
)


def header_separator(lines):
    """What parts the columns, where a header before the first number shows it."""
    for line in lines:
        if re.search(r"\d", line):
            return None
        if names_columns(line):
            return next((mark for mark in "\t;|," if mark in line), None)
    return None


def names_columns(line):
    lowered = line.casefold()
    return bool(ANGLE_WORD.search(lowered) or READING_WORD.search(lowered))


def fields(line, separator, single):
    """Parts of a line; None in place of a list where two readings of it are possible."""
    bare = line.strip().lstrip("\ufeff")
    if not bare:
        return []
    if len(bare) > MOST_IN_LINE:
        return [bare]
    for mark in "\t;|":
        if mark in bare:
            return _split(bare, mark)
    if single and separator is None:
        return [bare]
    if separator == "," or '"' in bare and "," in bare:
        return _split(bare, ",")
    spaced = re.split(r",\s+|\s+,\s*", bare)
    if len(spaced) > 1:
        return spaced
    words = _words(bare)
    if len(words) > 1:
        return words
    if bare.count(",") == 1 and (
        re.search(r"\d\.\d|\.\d", bare)
        or re.search(r",\s*[+\-−–]", bare)
        or not re.search(r"\d,\s*\.?\d", bare)
    ):
        return bare.split(",")
    return None if re.search(r"\d,\d", bare) else [bare]


def _split(line, mark):
    return [
        cell.strip()
        for cell in next(csv.reader([line], delimiter=mark, skipinitialspace=True), [line])
    ]


def _words(line):
    """Parts between blanks; a unit, a sign or a fraction stays with its number. An angle is no
    mixed number.
    """
    plain = r"(?:(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?)"
    angle, number = (
        rf"[+\-−–]?\s?{plain}",
        rf"[+\-−–]?\s?(?:\d+[\s-]+\d+\s*/\s*\d+|\d+\s*/\s*\d+|{plain})",
    )
    unit = (
        r"(?:\s*(?:mm|cm|um|µm|μm|microns?|inch(?:es)?|in|thou(?:sandths?)?|mils?"
        r"|deg(?:rees?)?|rad|turns?|°|\"|″|”|''))"
    )
    found = re.match(rf"({angle}{unit}?)(?:\s*[:=]\s*|\s+|(?<=°)|(?<=deg))(.*)$", line)
    if not found:
        return [line]
    rest = found[2].strip()
    second = re.match(rf"({number})({unit})?(?:\s+(.*))?$", rest)
    if not second:
        return [found[1], rest]
    size, behind = second[1] + (second[2] or ""), second[3] or ""
    word, _unused, further = behind.partition(" ")
    # a unit this field does not take must be refused, not kept as a note
    if word and not second[2] and _is_unit(word):
        size, behind = f"{size} {word}", further.strip()
    return [found[1], size, *([behind] if behind else [])]


def _is_unit(word):
    try:
        ureg.Unit(word)
    except Exception:  # pint raises several kinds for text it cannot read as a unit
        return False
    return True


def header(cells):
    """Columns of angle and reading, and the units a header names."""
    lowered = [cell.casefold() for cell in cells]
    angle = next((place for place, cell in enumerate(lowered) if ANGLE_WORD.search(cell)), None)
    reading = next(
        (
            place
            for place, cell in enumerate(lowered)
            if place != angle and READING_WORD.search(cell)
        ),
        None,
    )
    columns = (angle, reading, len(cells)) if angle is not None and reading is not None else None
    units = []
    for place, known, example in ((reading, LENGTH_UNITS, "mm"), (angle, ANGLE_UNITS, "deg")):
        words = (
            re.findall(r"[A-Za-zµμ°\"″]+", cells[place if place is not None else -1])
            if example == "mm" or place is not None
            else []
        )
        units.append(
            next(
                (found for word in reversed(words) if (found := _unit_word(word, known, example))),
                None,
            )
        )
    return columns, *units


def _unit_word(word, known, example):
    try:
        unit = read_quantity(f"1 {word}", known, example).units
    except (TypeError, ValueError):  # a word of the header that is no unit
        return None
    return next(name for name in known if Quantity(1, name).units == unit)


def answer(cells, columns, unit, angle_unit, single, between):
    """Kind, answer, angle and reading of one line."""
    if cells is None:
        return (
            "refused",
            _(
                "does the comma separate two numbers or is it a decimal mark? Write a semicolon or "
                "a blank between angle and reading"
            ),
        )
    if not any(cells):
        return (
            ("missing", _("blank; counted as a missing reading"))
            if between
            else ("blank", _("blank; nothing taken"))
        )
    if max(map(len, cells)) > MOST_IN_LINE:
        return (
            "refused",
            _("longer than {most_in_line} characters, too long for an angle and a reading").format(
                most_in_line=MOST_IN_LINE
            ),
        )
    beyond = []
    if columns:
        *places, width = columns
        cells = cells + [""] * (width - len(cells))
        beyond = [cell for cell in cells[width:] if cell]
        extra = [cell for place, cell in enumerate(cells) if place not in places and cell]
        cells = [cells[place] for place in places]
    elif single:
        cells, extra = ["", cells[0]], cells[1:]
    else:
        cells, extra = cells[:2], [cell for cell in cells[2:] if cell]
    if any(re.match(r"[+\-−–]?[.,]?\d", cell) for cell in (beyond if columns else extra)):
        wanted = (
            _("one reading a line")
            if single
            else _("one pair a line, or a header that names the columns")
        )
        return (
            "refused",
            _("holds more than {words} reading (“{extra}”); write {wanted}").format(
                words="a" if single else _("an angle and a"), extra=" ".join(extra), wanted=wanted
            ),
        )
    note = _("; kept as a note: “{extra}”").format(extra=" ".join(extra)) if extra else ""
    if not any(re.search(r"\d|^[^\w\s]+$", cell) for cell in cells) and not (
        single and cells[1].casefold() in MISSING
    ):
        return "note", _("no number in it, kept as a note: “{filter}”").format(
            filter=" ".join(filter(None, cells + extra))
        )
    if len(cells) == 1:
        return (
            "refused",
            _(
                "holds one number only (“{cells}”); write an angle and a reading, or say that "
                "readings are at equal steps"
            ).format(cells=cells[0]),
        )
    angle = None
    if not single:
        try:
            angle = _quantity(cells[0], ANGLE_UNITS, "angle", angle_unit)
        except (TypeError, ValueError) as error:
            return "refused", f"{error}{note}"
    where = "" if single else _(" at {angle}").format(angle=as_text(angle, "deg"))
    if cells[1].casefold() in MISSING or not re.search(r"\d", cells[1]):
        told = (
            _("“{cells}” is not a reading").format(cells=cells[1]) if cells[1] else _("no reading")
        )
        return (
            "missing",
            _("{told}{where}; counted as missing{note}").format(told=told, where=where, note=note),
            angle,
        )
    try:
        reading = _quantity(cells[1], LENGTH_UNITS, "reading", unit)
    except (TypeError, ValueError) as error:
        if single and re.search(r"\d[\s,]+[+\-−–]?[\d.,]", cells[1]):
            return "refused", _(
                "holds more than a reading (“{cells}”); write one reading a line"
            ).format(cells=cells[1])
        return "refused", f"{error}{note}"
    return "reading", f"{as_text(reading, digits=6)}{where}{note}", angle, reading


def _quantity(cell, units, name, unit):
    try:
        return read_quantity(cell, units, name)
    except TypeError:
        if unit is None:
            raise TypeError(
                f"{name} “{cell}” has no unit: write for example {cell} {units[0]}, "
                "or give the unit of all of them once"
            ) from None
        return read_quantity(f"{cell} {unit}", units, name)
