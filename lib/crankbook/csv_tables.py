"""Tables of names and answers as schools save them: CSV read with its many habits, written so that
no spreadsheet runs a cell.
"""

import csv
import io
import re
import unicodedata
from typing import NamedTuple

from crankmath.files import decoded, write_whole

LARGEST = 5_000_000  # bytes of a file with names or answers
FORMULA = (
    "=",
    "+",
    "-",
    "@",
    "\t",
    "\r",
    "−",
    "＝",
    "＋",
    "－",
    "＠",
)  # a spreadsheet runs cells that begin so, in some scripts with wide letters


class Table(NamedTuple):
    """A table as it was read: ``heads`` in small letters, ``titles`` as typed, and how to write
    it."""

    heads: list
    rows: list
    separator: str
    titles: list
    encoding: str


def exercise_name(head):
    """Name of the exercise in a column's head, such as 08-1; empty where it holds none.

    It reads "ex 08-1", "q08_1", "'08-1", "8-1" and "08-01", each also with "version 2" after it.
    """
    found = re.fullmatch(
        r"(?:ex(?:ercise)?\.?|q(?:uestion)?\.?)?[ _']*(\d{1,2})\s*[-_–−]\s*0?(\d)"
        r"(?:[ _-]*(?:version|v)\.?[ _-]*(\d))?",
        head.strip().casefold(),
    )
    return version_name(f"{int(found[1]):02d}-{found[2]}", int(found[3] or 1)) if found else ""


def version_name(name, version):
    """Name of an exercise's retake: "08-1 version 2"; the first version has the plain name."""
    return name if version == 1 else f"{name} version {version}"


def plain_name(name):
    """Name of an exercise without its version: 08-1 of "08-1 version 2"."""
    return name.partition(" ")[0]


def exercise_head(name):
    """Head of an exercise's column that no spreadsheet turns into a date."""
    return f"ex {name}"


def read_table(path, needed):
    """Rows of a CSV file as people save them: comma, semicolon or tab, with or without a byte mark.

    - ``needed``: Columns that must be there.

    Returns a Table; its rows hold their line number under "line".
    ValueError: A sentence that names the file, what is wrong and what to write.
    Column names are read without regard to case. A text that is not UTF-8 is read as Windows-1252.
    """
    try:
        with path.open("rb") as store:
            raw = store.read(LARGEST + 1)
    except (OSError, ValueError) as error:
        raise ValueError(
            f"{path} cannot be read ({getattr(error, 'strerror', error)}): write the path of a "
            "CSV file"
        ) from None
    if len(raw) > LARGEST:
        raise ValueError(
            f"{path.name} is larger than 5 MB: that is no class list; save only the needed columns"
        )
    text = decoded(raw, path.name, windows=print).replace("\r\n", "\n").replace("\r", "\n")
    if "\0" in text:
        raise ValueError(f"{path.name} is not text (it holds zero bytes): save it as a CSV file")
    first = text.split("\n", 1)[0]
    separator = max(",;\t", key=first.count)
    try:
        lines = list(csv.reader(io.StringIO(text), delimiter=separator, strict=True))
    except csv.Error as error:
        raise ValueError(
            f"{path.name} is not a whole CSV file ({error}): does a quote stand open, or a cell "
            "hold a whole page? Save it again"
        ) from None
    titles = [plain_cell(head) for head in lines[0]] if lines else []
    heads = [title.casefold() for title in titles]
    for column in needed:
        if column not in heads:
            has = ", ".join(f"“{head}”" for head in heads if head)[:200] or "nothing"
            raise ValueError(
                f"{path.name} has no column “{column}”: its first line has {has}. Write {column} "
                "in the first line"
            )
    if len(set(filter(None, heads))) < len(list(filter(None, heads))):
        raise ValueError(f"{path.name} has two columns of one name: rename one")
    rows = []
    for number, cells in enumerate(lines[1:], 2):
        if not any(cell.strip() for cell in cells):
            continue
        if any(cell.strip() for cell in cells[len(heads) :]):
            raise ValueError(
                f"{path.name}, line {number}, has {len(cells)} cells where the first line has "
                f"{len(heads)}: "
                'put a cell that holds the separator in quotes, "Novak, Anna"'
            )
        rows.append({**dict(zip(heads, map(plain_cell, cells), strict=False)), "line": number})
    if not rows:
        raise ValueError(f"{path.name} has no rows under its first line: write one student a line")
    return Table(heads, rows, separator, titles, _encoding(raw))


def _encoding(raw):
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return "utf-16"
    try:
        raw.decode("utf-8")
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8-sig"


def plain_cell(cell):
    """A cell as typed: without control characters, and without the mark that ``safe_cell`` sets."""
    cell = " ".join(
        "".join(" " if unicodedata.category(letter) == "Cc" else letter for letter in cell).split()
    )
    return cell[1:] if cell[:1] == "'" and cell[1:2] in FORMULA else cell


def safe_cell(cell):
    """A cell that no spreadsheet runs as a formula."""
    cell = str(cell)
    return "'" + cell if cell.lstrip().startswith(FORMULA) else cell


def write_table(path, heads, rows, separator=",", encoding="utf-8-sig"):
    """Write a CSV file that spreadsheets read with all its letters and run no cell of.

    - ``encoding``: As another table of the school has it; UTF-8 where it lacks a letter.
    """
    store = io.StringIO()
    writer = csv.writer(store, delimiter=separator)
    writer.writerow([safe_cell(head) for head in heads])
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    try:
        raw = store.getvalue().encode(encoding)
    except UnicodeEncodeError:
        raw = store.getvalue().encode("utf-8-sig")
    write_whole(path, raw)
