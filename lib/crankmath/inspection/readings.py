"""Indicator readings as people have them: pasted, from a file, from a table of cells.

Every line keeps its text and gets an answer in words; nothing typed is lost and nothing is guessed.
"""

import re
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from ..checks import made, one_of
from ..files import decoded
from ..language import _, ngettext
from ..units import Quantity, as_text, magnitude
from .reading_lines import (
    ANGLE_UNITS,
    LENGTH_UNITS,
    answer,
    fields,
    header,
    header_separator,
    names_columns,
)

MOST_CHARACTERS, MOST_LINES = 1_000_000, 20_000
TROUBLE = ("missing", "refused")
MOST_TURNS = 2  # a mark beyond, and more than a turn from the one before, is a slip: own choice
CLOSE_SHARE = 0.25  # of the readings' spread within which last and first nearly agree: own choice


@dataclass(frozen=True)
class Line:
    """One typed line: its text as typed, what it was taken for, and the answer to it.

    ``kind`` is "reading", "missing" (an angle without a reading), "header", "blank", "note" or
    "refused".
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

    ``text`` is what was typed, letter for letter. A missing reading is nan. ``unit`` is that of the
    readings.
    """

    text: str
    lines: tuple
    angle: Quantity
    reading: Quantity
    unit: str
    closing_likely: bool = False

    @property
    def finest_step(self):
        """Largest power of ten of the unit that all readings are whole numbers of, or None.

        Basis: derived. A dial is read to some step; the readings show one no finer than it.
        """
        return finest_step(self.reading)

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
        read = ngettext("{count} reading taken", "{count} readings taken", taken)
        again = ngettext("{count} line to look at again", "{count} lines to look at again", odd)
        return _("{read}, {count} missing, {again}").format(
            read=read.format(count=taken), count=lost, again=again.format(count=odd)
        )

    def report(self, only_trouble=False):
        """Answers line by line; ``only_trouble`` leaves out lines that were read without question.

        Basis: derived.
        """
        told = [
            _("line {number}: {answer}").format(number=line.number, answer=line.answer)
            for line in self.lines
            if not only_trouble or line.kind in TROUBLE
        ]
        return "\n".join([*told, self.count])


def finest_step(reading):
    """Largest power of ten of their unit that all readings are whole numbers of, or None.

    - ``reading``: [length]; nan where none was taken. Basis: derived, as ``Readings.finest_step``.
    """
    size = reading.magnitude[np.isfinite(reading.magnitude)]
    if not size.size or np.ptp(size) == 0:
        return None
    for power in range(int(np.floor(np.log10(abs(size).max()))), -7, -1):
        if np.allclose(size / 10.0**power, np.round(size / 10.0**power), rtol=0, atol=1e-6):
            return Quantity(10.0**power, reading.units)
    return None


def read_readings(
    text, unit=None, angle_unit="deg", equal_steps=False, dial_turn=None, closing=None
):
    """Readings from pasted text or the text of a CSV file.

    A line holds an angle and a reading, with a tab, semicolon, colon, blank or comma between; a
    decimal comma is read where something else parts the two. Units may stand behind a number, in
    the header, or be named here: ``unit`` "mm", "um", "in" or "thousandth", ``angle_unit``.
    ``equal_steps``: lines hold readings only, over one turn; a blank line between counts as a
    missing one, and a line that cannot be read keeps its place. ``closing``: the last of equal
    steps is the first mark again; by default where it nearly agrees with the first and the steps
    are then whole or half degrees, provided that they are not so otherwise or that offset and two
    lobes then leave a fourth or less. ``dial_turn``: travel in one turn of the dial, where readings
    were taken off it without sign (98 for two below zero).
    Basis: derived. A line that cannot be read does not stop the others; its answer says what to
    write.
    """
    if not isinstance(text, str):
        raise TypeError(_("text has to be text, not {name}").format(name=type(text).__name__))
    raw = re.split(r"\r\n|\n|\r", text)
    if len(text) > MOST_CHARACTERS or len(raw) > MOST_LINES:
        raise ValueError(
            _(
                "text is too long: {count} characters in {lines} lines; at most "
                "{most_characters} characters and {most_lines} lines"
            ).format(
                count=len(text),
                lines=len(raw),
                most_characters=MOST_CHARACTERS,
                most_lines=MOST_LINES,
            )
        )
    separator = header_separator(raw)
    return _collect(
        text,
        [(line, fields(line, separator, equal_steps)) for line in raw],
        unit,
        angle_unit,
        equal_steps,
        dial_turn,
        closing,
    )


def read_kept(entry, folder, dial_turn=None):
    """Readings of an entry as lesson 12's form keeps it.

    - ``entry``: A dict of its ``source``, typed ``text`` or ``file`` (a path, from folder on),
      ``layout`` and ``unit``; ``dial_turn`` as ``read_readings``. Basis: derived.
    """
    made(entry, dict, "entry")
    how = {
        "unit": entry.get("unit") or None,
        "equal_steps": entry.get("layout", "pairs") != "pairs",
        "closing": True if entry.get("layout") == "closing" else None,
        "dial_turn": dial_turn,
    }
    if entry.get("source") == "file":
        return read_file(Path(folder) / entry.get("file", "").strip().strip('"'), **how)
    return read_readings(entry.get("text", ""), **how)


def read_file(path, **options):
    """Readings from a text or CSV file at ``path``; ``options`` as ``read_readings``.

    Basis: derived.
    """
    if not isinstance(path, str | Path):
        raise TypeError(
            _("path has to be the path of a file, for example 'readings.csv', not {path!r}").format(
                path=path
            )
        )
    path = Path(path)
    if not path.is_file():
        raise FileNotFoundError(
            _("no file “{path}”; write the path of a text or CSV file of readings").format(
                path=path
            )
        )
    if path.stat().st_size > 4 * MOST_CHARACTERS:
        raise ValueError(
            _("“{name}” is too long for readings ({st_size} bytes)").format(
                name=path.name, st_size=path.stat().st_size
            )
        )
    text = decoded(path.read_bytes(), f"“{path.name}”", windows=lambda _unused: None)
    return read_readings(text, **options)


def read_table(rows, unit=None, angle_unit="deg", dial_turn=None):
    """Readings from the rows of a table: pairs of angle and reading, cells as typed or None.

    ``unit``, ``angle_unit`` and ``dial_turn`` as ``read_readings``. Basis: derived.
    """
    made(rows, (list, tuple), "rows")
    cells = [["" if cell is None else str(cell) for cell in row] for row in rows]
    if len(cells) > MOST_LINES or sum(len(cell) for row in cells for cell in row) > MOST_CHARACTERS:
        raise ValueError(
            _("rows: at most {most_lines} rows and {most_characters} characters").format(
                most_lines=MOST_LINES, most_characters=MOST_CHARACTERS
            )
        )
    lines = [("\t".join(row), [cell.strip() for cell in row]) for row in cells]
    return _collect(
        "\n".join(line for line, _unused in lines), lines, unit, angle_unit, False, dial_turn
    )


def _collect(typed, parted, unit, angle_unit, single, dial_turn, closing=None):
    if unit is not None:
        one_of(unit, LENGTH_UNITS, "unit")
    if angle_unit is not None:
        one_of(angle_unit, ANGLE_UNITS, "angle_unit")
    turn = None if dial_turn is None else magnitude(dial_turn, "mm", "dial_turn", above=0, one=True)
    lines, columns, seen, before = [], None, False, 0.0
    last = max((place for place, (_unused, cells) in enumerate(parted) if cells != []), default=-1)
    for place, (text, cells) in enumerate(parted):
        if cells and not seen and names_columns(text) and not re.search(r"\d", text):
            columns, header_unit, header_angle = header(cells)
            unit, angle_unit, seen = header_unit or unit, header_angle or angle_unit, True
            told = (
                _("taken as a header; readings in {unit}").format(
                    unit="thou" if unit == "thousandth" else unit
                )
                if unit
                else _("taken as a header; it names no unit")
            )
            lines.append(Line(place + 1, text, "header", told))
            continue
        seen = seen or bool(re.search(r"\d", text))
        between = single and 0 < place < last and seen
        line = Line(place + 1, text, *answer(cells, columns, unit, angle_unit, single, between))
        if line.angle is not None:
            turns = line.angle.m_as("turn")
            if abs(turns) > MOST_TURNS and abs(turns - before) > 1:
                far = _("{angle:g}° is {turns:.3g} turns").format(
                    angle=line.angle.m_as("deg"), turns=abs(turns)
                )
                line = Line(
                    place + 1,
                    text,
                    "refused",
                    _("{far}: write its mark, from 0° to 360°").format(far=far),
                )
            else:
                before = turns
        lines.append(line)
    # at equal steps a line not understood keeps its place
    holding = ("reading", "missing", "refused") if single else ("reading", "missing")
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
    # what the whole set adds to a line's answer
    for place, line, mark, here, there in zip(places, taken, angle, size, signed, strict=True):
        told = _(" at {mark}").format(mark=as_text(Quantity(mark, "deg"))) if single else ""
        if single and closing and place == places[-1]:
            told += _(", taken as the first mark read again")
        if line.kind == "refused":
            told = _("; until then its place{told} counts as missing").format(told=told)
        if there != here and np.isfinite(here):
            told += _("; with the dial's turn taken as {there}").format(
                there=as_text(Quantity(there, shown), digits=6)
            )
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
    """Readings off a round dial, made continuous: each the short way round from the one before."""
    there = np.isfinite(size)
    size = size.copy()
    if there.any():
        size[there] = np.unwrap(size[there], period=turn)
    return size
