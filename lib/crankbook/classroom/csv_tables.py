"""Tables of names and answers as schools save them: CSV read with its many habits, written so that
no spreadsheet runs a cell.
"""

import csv
import io
import unicodedata

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


def read_table(path, needed):
    """Rows of a CSV file as people save them: comma, semicolon or tab, with or without a byte mark.

    needed: Columns that must be there.
    Returns column names, rows with their line number under "line", the separator.
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
    first = text.split("\n", 1)[0]
    separator = max(",;\t", key=first.count)
    try:
        lines = list(csv.reader(io.StringIO(text), delimiter=separator, strict=True))
    except csv.Error as error:
        raise ValueError(
            f"{path.name} is not a whole CSV file ({error}): does a quote stand open, or a cell "
            "hold a whole page? Save it again"
        ) from None
    heads = [" ".join(head.split()).casefold() for head in lines[0]] if lines else []
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
    return heads, rows, separator


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


def write_table(path, heads, rows, separator=","):
    """Write a CSV file that spreadsheets read with all its letters and run no cell of."""
    store = io.StringIO()
    writer = csv.writer(store, delimiter=separator)
    writer.writerow([safe_cell(head) for head in heads])
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    write_whole(path, "\ufeff" + store.getvalue())
