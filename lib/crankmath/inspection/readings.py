"""Indicator readings as people have them: pasted, from a file, from a table of cells.

Every line keeps its text and gets an answer in words; nothing typed is lost and nothing is guessed.
"""

import csv
import re
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from ..checks import made
from ..files import decoded
from ..typed import read_quantity
from ..units import Quantity, as_text, magnitude, ureg

LENGTH_UNITS = ("mm", "um", "in", "thousandth", "cm")
ANGLE_UNITS = ("deg", "turn", "rad")
MOST_CHARACTERS, MOST_LINES, MOST_IN_LINE = 1_000_000, 20_000, 300
MISSING = {"", "-", "–", "—", "?", "x", "n/a", "na", "nan", "none", "missed", "missing"}
ANGLE_WORD = re.compile(r"\b(angles?|deg|degrees?|positions?|marks?)\b|°")
READING_WORD = re.compile(
    r"\b(readings?|dial|indicator|runout|values?|heights?|mm|um|µm|μm|in|inch|inches|thou)\b"
)
TROUBLE = ("missing", "refused")
CLOSE_SHARE = 0.25  # of the readings' spread within which last and first nearly agree: own choice


@dataclass(frozen=True)
class Line:
    """One typed line: its text as typed, what it was taken for, and the answer to it.

    ``kind`` is "reading", "missing" (an angle without a reading), "header", "blank", "note" or "refused".
    """

    number: int
    text: str
    kind: str
    answer: str
    angle: Quantity | None = None
    reading: Quantity | None = None


@dataclass(frozen=True)
class Readings:
    """All lines, and the pairs in them ready for ``inspection.fit_runout``.

    ``text`` is what was typed, letter for letter. A missing reading is nan. ``unit`` is the unit the readings are given in.
    """

    text: str
    lines: tuple
    angle: Quantity
    reading: Quantity
    unit: str
    closing_likely: bool = False

    @property
    def finest_step(self):
        """Largest power of ten of the unit that all readings are whole numbers of; None if all agree.

        Basis: derived. A dial is read to some step; the readings show one no finer than it.
        """
        size = self.reading.magnitude[np.isfinite(self.reading.magnitude)]
        if not size.size or np.ptp(size) == 0:
            return None
        for power in range(int(np.floor(np.log10(abs(size).max()))), -7, -1):
            if np.allclose(size / 10.0**power, np.round(size / 10.0**power), rtol=0, atol=1e-6):
                return Quantity(10.0**power, self.unit)
        return None

    @property
    def placed(self):
        """The lines behind ``angle`` and ``reading``, one each."""
        return tuple(line for line in self.lines if line.angle is not None)

    @property
    def refused(self):
        """Lines that need the person who typed them."""
        return tuple(line for line in self.lines if line.kind == "refused")

    @property
    def count(self):
        """How many readings, missing ones and lines to look at again, in words."""
        taken, lost, odd = (
            sum(line.kind == kind for line in self.lines)
            for kind in ("reading", "missing", "refused")
        )
        return f"{taken} reading{'s' * (taken != 1)} taken, {lost} missing, {odd} line{'s' * (odd != 1)} to look at again"

    def report(self, only_trouble=False):
        """Answers line by line.

        Parameters
        ----------
        only_trouble : bool
            Leave out lines that were read without question.

        Returns
        -------
        str

        Notes
        -----
        Basis: derived.
        """
        told = [
            f"line {line.number}: {line.answer}"
            for line in self.lines
            if not only_trouble or line.kind in TROUBLE
        ]
        return "\n".join([*told, self.count])


def read_readings(
    text, unit=None, angle_unit="deg", equal_steps=False, dial_turn=None, closing=None
):
    """Readings from pasted text or the text of a CSV file.

    A line holds an angle and a reading, with a tab, semicolon, colon, blank or comma between; a decimal comma is read where
    something else parts the two. Units may stand behind a number, in the header, or be given here.

    Parameters
    ----------
    text : str
    unit : str, optional
        Unit of readings that carry none: "mm", "um", "in" or "thousandth".
    angle_unit : str
        Unit of angles that carry none.
    equal_steps : bool
        Lines hold readings only, at equal steps over one turn; a blank line between counts as a missing one, and a line
        that cannot be read keeps its place.
    closing : bool, optional
        Whether the last of equal steps is the first mark again; by default it is taken so where it
        nearly agrees with the first and only then the steps are whole or half degrees.
    dial_turn : Quantity, scalar, optional [length]
        Travel in one turn of the dial, where readings were taken off it without sign (98 for two below zero).

    Returns
    -------
    Readings

    Raises
    ------
    TypeError
        The text is not text, or dial_turn has no unit.
    ValueError
        The text is too long, a unit is not known, or dial_turn is not above zero.

    Notes
    -----
    Basis: derived. A line that cannot be read does not stop the others; its answer says what to write.
    """
    if not isinstance(text, str):
        raise TypeError(f"text has to be text, not {type(text).__name__}")
    raw = re.split(r"\r\n|\n|\r", text)
    if len(text) > MOST_CHARACTERS or len(raw) > MOST_LINES:
        raise ValueError(
            f"text is too long: {len(text)} characters in {len(raw)} lines; "
            f"at most {MOST_CHARACTERS} characters and {MOST_LINES} lines"
        )
    separator = _header_separator(raw)
    return _collect(
        text,
        [(line, _fields(line, separator, equal_steps)) for line in raw],
        unit,
        angle_unit,
        equal_steps,
        dial_turn,
        closing,
    )


def read_file(path, **options):
    """Readings from a text or CSV file.

    Parameters
    ----------
    path : str or Path
    **options
        As ``read_readings``.

    Returns
    -------
    Readings

    Raises
    ------
    TypeError
        The path is none.
    FileNotFoundError
        There is no such file.
    ValueError
        The file is too long, or not text.

    Notes
    -----
    Basis: derived.
    """
    if not isinstance(path, str | Path):
        raise TypeError(
            f"path has to be the path of a file, for example 'readings.csv', not {path!r}"
        )
    path = Path(path)
    if not path.is_file():
        raise FileNotFoundError(
            f"no file “{path}”; write the path of a text or CSV file of readings"
        )
    if path.stat().st_size > 4 * MOST_CHARACTERS:
        raise ValueError(f"“{path.name}” is too long for readings ({path.stat().st_size} bytes)")
    text = decoded(path.read_bytes(), f"“{path.name}”", windows=lambda _: None)
    return read_readings(text, **options)


def read_table(rows, unit=None, angle_unit="deg", dial_turn=None):
    """Readings from the rows of a table: cells as typed.

    Parameters
    ----------
    rows : sequence of (angle, reading)
        Text, numbers or None.
    unit, angle_unit : str
        As ``read_readings``.
    dial_turn : Quantity, scalar, optional [length]

    Returns
    -------
    Readings

    Raises
    ------
    TypeError
        dial_turn has no unit.
    ValueError
        As ``read_readings``.

    Notes
    -----
    Basis: derived.
    """
    made(rows, (list, tuple), "rows")
    cells = [["" if cell is None else str(cell) for cell in row] for row in rows]
    if len(cells) > MOST_LINES or sum(len(cell) for row in cells for cell in row) > MOST_CHARACTERS:
        raise ValueError(f"rows: at most {MOST_LINES} rows and {MOST_CHARACTERS} characters")
    lines = [("\t".join(row), [cell.strip() for cell in row]) for row in cells]
    return _collect("\n".join(line for line, _ in lines), lines, unit, angle_unit, False, dial_turn)


def _header_separator(lines):
    """What parts the columns, where a header before the first number shows it."""
    for line in lines:
        if re.search(r"\d", line):
            return None
        if _names_columns(line):
            return next((mark for mark in "\t;|," if mark in line), None)
    return None


def _names_columns(line):
    lowered = line.casefold()
    return bool(ANGLE_WORD.search(lowered) or READING_WORD.search(lowered))


def _fields(line, separator, single):
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
    """Parts between blanks; a unit, a sign or a fraction stays with its number. An angle is no mixed number."""
    plain = r"(?:(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?)"
    angle, number = (
        rf"[+\-−–]?\s?{plain}",
        rf"[+\-−–]?\s?(?:\d+[\s-]+\d+\s*/\s*\d+|\d+\s*/\s*\d+|{plain})",
    )
    unit = r"(?:\s*(?:mm|cm|um|µm|μm|microns?|inch(?:es)?|in|thou(?:sandths?)?|mils?|deg(?:rees?)?|rad|turns?|°|\"|″|”|''))"
    found = re.match(rf"({angle}{unit}?)(?:\s*[:=]\s*|\s+|(?<=°)|(?<=deg))(.*)$", line)
    if not found:
        return [line]
    rest = found[2].strip()
    second = re.match(rf"({number})({unit})?(?:\s+(.*))?$", rest)
    if not second:
        return [found[1], rest]
    size, behind = second[1] + (second[2] or ""), second[3] or ""
    word, _, further = behind.partition(" ")
    if (
        word and not second[2] and _is_unit(word)
    ):  # a unit this field does not take must be refused, not kept as a note
        size, behind = f"{size} {word}", further.strip()
    return [found[1], size, *([behind] if behind else [])]


def _is_unit(word):
    try:
        ureg.Unit(word)
    except Exception:  # pint raises several kinds for text it cannot read as a unit
        return False
    return True


def _collect(typed, parted, unit, angle_unit, single, dial_turn, closing=None):
    for given, known, name in (
        (unit, LENGTH_UNITS, "unit"),
        (angle_unit, ANGLE_UNITS, "angle_unit"),
    ):
        if given is not None and given not in known:
            raise ValueError(f"{name} must be one of {', '.join(known)}, not {given!r}")
    turn = None if dial_turn is None else magnitude(dial_turn, "mm", "dial_turn", above=0, one=True)
    lines, columns, seen = [], None, False
    last = max((place for place, (_, cells) in enumerate(parted) if cells != []), default=-1)
    for place, (text, cells) in enumerate(parted):
        if cells and not seen and _names_columns(text) and not re.search(r"\d", text):
            columns, header_unit, header_angle = _header(cells)
            unit, angle_unit, seen = header_unit or unit, header_angle or angle_unit, True
            told = (
                f"taken as a header; readings in {'thou' if unit == 'thousandth' else unit}"
                if unit
                else "taken as a header; it names no unit"
            )
            lines.append(Line(place + 1, text, "header", told))
            continue
        seen = seen or bool(re.search(r"\d", text))
        between = single and 0 < place < last and seen
        lines.append(
            Line(place + 1, text, *_answer(cells, columns, unit, angle_unit, single, between))
        )
    holding = (
        ("reading", "missing", "refused") if single else ("reading", "missing")
    )  # at equal steps a line not understood keeps its place
    places = [place for place, line in enumerate(lines) if line.kind in holding]
    taken = [lines[place] for place in places]
    shown = unit or next(
        (f"{line.reading.units:D}" for line in taken if line.reading is not None), "mm"
    )
    size = np.array(
        [np.nan if line.reading is None else line.reading.m_as(shown) for line in taken],
        dtype=float,
    )
    signed = size if turn is None else _unwound(size, Quantity(turn, "mm").m_as(shown))
    likely = single and closing is None and _steps_close(len(taken))
    if single:
        closing = _closes(signed) if closing is None else closing and len(taken) > 3
        angle = np.arange(len(taken)) * 360.0 / max(len(taken) - closing, 1)
    else:
        angle = np.array([line.angle.m_as("deg") for line in taken], dtype=float)
    for place, line, mark, here, there in zip(
        places, taken, angle, size, signed, strict=True
    ):  # what the whole set adds to a line's answer
        told = f" at {as_text(Quantity(mark, 'deg'))}" if single else ""
        if single and closing and place == places[-1]:
            told += ", taken as the first mark read again"
        if line.kind == "refused":
            told = f"; until then its place{told} is kept as missing"
        if there != here and np.isfinite(here):
            told += f"; with the dial's turn taken as {as_text(Quantity(there, shown), digits=6)}"
        lines[place] = replace(
            line, angle=Quantity(mark, "deg") if single else line.angle, answer=line.answer + told
        )
    return Readings(
        typed,
        tuple(lines),
        Quantity(angle, "deg"),
        Quantity(signed, shown),
        shown,
        bool(likely and not closing),
    )


def _steps_close(count):
    """Whether equal steps are whole or half degrees if the last reading closes the turn."""
    return count >= 7 and 720 % (count - 1) == 0


def _closes(size):
    """Whether the last of equal steps is the first mark read again, by count and size."""
    if not _steps_close(len(size)) or not np.isfinite(size[[0, -1]]).all():
        return False
    if abs(size[-1] - size[0]) > CLOSE_SHARE * (np.nanmax(size) - np.nanmin(size)):
        return False
    return 720 % len(size) != 0 or _misfit(size, 1) < _misfit(size, 0) / 4


def _misfit(size, closing):
    """Sum of squares that offset and two lobes leave of readings at equal steps of a turn."""
    kept = np.isfinite(size)
    turn = (np.arange(len(size)) * 2 * np.pi / (len(size) - closing))[kept]
    columns = np.stack([wave(n * turn) for n in (0, 1, 2) for wave in (np.cos, np.sin)], axis=1)
    return float(np.sum((size[kept] - columns @ (np.linalg.pinv(columns) @ size[kept])) ** 2))


def _unwound(size, turn):
    """Readings off a round dial, made continuous: each is taken the short way round from the one before."""
    there = np.isfinite(size)
    size = size.copy()
    if there.any():
        size[there] = np.unwrap(size[there], period=turn)
    return size


def _header(cells):
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


def _answer(cells, columns, unit, angle_unit, single, between):
    """Kind, answer, angle and reading of one line."""
    if cells is None:
        return (
            "refused",
            "does the comma part two numbers or is it a decimal mark? Write a semicolon or a blank between angle and reading",
        )
    if not any(cells):
        return (
            ("missing", "blank; counted as a missing reading")
            if between
            else ("blank", "blank; nothing taken")
        )
    if max(map(len, cells)) > MOST_IN_LINE:
        return (
            "refused",
            f"longer than {MOST_IN_LINE} characters, too long for an angle and a reading",
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
            "one reading a line"
            if single
            else "one pair a line, or a header that names the columns"
        )
        return (
            "refused",
            f"holds more than {'a' if single else 'an angle and a'} reading (“{' '.join(extra)}”); write {wanted}",
        )
    note = f"; kept as a note: “{' '.join(extra)}”" if extra else ""
    if not any(re.search(r"\d|^[^\w\s]+$", cell) for cell in cells) and not (
        single and cells[1].casefold() in MISSING
    ):
        return "note", f"no number in it, kept as a note: “{' '.join(filter(None, cells + extra))}”"
    if len(cells) == 1:
        return (
            "refused",
            f"holds one number only (“{cells[0]}”); write an angle and a reading, or say that readings are at equal steps",
        )
    angle = None
    if not single:
        try:
            angle = _quantity(cells[0], ANGLE_UNITS, "angle", angle_unit)
        except (TypeError, ValueError) as error:
            return "refused", f"{error}{note}"
    where = "" if single else f" at {as_text(angle, 'deg')}"
    if cells[1].casefold() in MISSING or not re.search(r"\d", cells[1]):
        told = f"“{cells[1]}” is not a reading" if cells[1] else "no reading"
        return "missing", f"{told}{where}; counted as missing{note}", angle
    try:
        reading = _quantity(cells[1], LENGTH_UNITS, "reading", unit)
    except (TypeError, ValueError) as error:
        if single and re.search(r"\d[\s,]+[+\-−–]?[\d.,]", cells[1]):
            return "refused", f"holds more than a reading (“{cells[1]}”); write one reading a line"
        return "refused", f"{error}{note}"
    return "reading", f"{as_text(reading, digits=6)}{where}{note}", angle, reading


def _quantity(cell, units, name, unit):
    try:
        return read_quantity(cell, units, name)
    except TypeError:
        if unit is None:
            raise TypeError(
                f"{name} “{cell}” has no unit: write for example {cell} {units[0]}, or give the unit of all of them once"
            ) from None
        return read_quantity(f"{cell} {unit}", units, name)
