"""The words and symbols of the course: read from data/glossary.csv, looked up, and written as the notebook glossary.ipynb.

Run as ``python -m crankbook.classroom.glossary`` after a change of the table; with ``--link`` it also links the first
use of each word in the lesson that teaches it.
"""

import csv
import re
import sys
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import nbformat

from . import course

TABLE = Path(__file__).parents[1] / "data" / "glossary.csv"
NAME = "glossary.ipynb"
OPENING = """# Glossary and symbols

Words are in the order of the alphabet; each names the lesson that teaches it. [Symbols](#Symbols) stand in a table at the end.
To find a word, press Ctrl+F, open the table of contents at the left, or run the next cell and ask: `glossary.look_up("TIR")`.
A link from a lesson may leave you at the top here the first time; click it once more while this page is open.

**Back** to the [contents](00-start-here.ipynb)"""
LOOK_UP = 'from crankmath.lesson import glossary\n\nglossary.look_up("TIR")'
# what running prose is not: headings, tables, formulas, code, links, tags
APART = re.compile(
    r"^(?:#|\|)[^\n]*|```.*?```|\$\$.*?\$\$|\$[^$\n]+\$|`[^`\n]*`|!?\[[^\]]*\]\([^)]*\)|<details>.*?</details>|<[^>]*>",
    re.MULTILINE | re.DOTALL,
)


@dataclass(frozen=True)
class Entry:
    """One word: what it means, its symbol, its units, the lesson that teaches it."""

    word: str
    meaning: str
    symbol: str
    metric: str
    inch: str
    lesson: str

    @property
    def anchor(self):
        """The part of an address that leads to the word."""
        return self.word.replace(" ", "-")

    @property
    def units(self):
        """The units in words."""
        return " or ".join(dict.fromkeys(filter(None, (self.metric, self.inch)))).replace(
            "none", "no unit"
        )


@cache
def entries():
    """All words, in the order of the alphabet.

    Returns
    -------
    tuple of Entry

    Notes
    -----
    Basis: derived; the table data/glossary.csv.
    """
    with TABLE.open(encoding="utf-8", newline="") as store:
        rows = [
            Entry(
                row["word"],
                row["meaning"],
                row["symbol"],
                row["metric unit"],
                row["inch unit"],
                row["lesson"],
            )
            for row in csv.DictReader(store)
        ]
    return tuple(sorted(rows, key=lambda entry: entry.word.casefold()))


def look_up(text):
    """Print what a word or symbol means, or which words come near.

    Parameters
    ----------
    text : str
        A word, a part of one, or a symbol.

    Notes
    -----
    Basis: derived.
    """
    wanted = " ".join(str(text).split())
    symbols = [entry for entry in entries() if wanted and wanted in re.split(r", ", entry.symbol)]
    if len(wanted) > 1:  # one letter is a symbol, and its case counts
        symbols = symbols or [
            entry for entry in entries() if wanted.casefold() == entry.symbol.casefold()
        ]
    words = (
        [entry for entry in entries() if wanted.casefold() in entry.word.casefold()]
        if len(wanted) > 1
        else []
    )
    exact = [entry for entry in words if entry.word.casefold() == wanted.casefold()]
    if not (symbols or words):
        print(f"“{wanted[:60]}” is not in the glossary. Try a shorter part of the word.")
        return
    for entry in dict.fromkeys(exact or [*symbols, *words]):
        print(
            f"{entry.word}{f' ({entry.symbol})' if entry.symbol else ''}: {entry.meaning}. "
            + (f"In {entry.units}. " if entry.units else "")
            + f"Lesson {entry.lesson}."
        )


def _lesson_link(entry, lessons):
    found = next((lesson for lesson in lessons if lesson.number == entry.lesson), None)
    return f"[{found.number} {found.title.lower()}]({found.path.name})" if found else entry.lesson


def cells(lessons):
    """The notebook's text: opening, one cell a letter, symbols.

    Parameters
    ----------
    lessons : list of course.Lesson

    Returns
    -------
    list of str
        Markdown.
    """
    letters = {}
    for entry in entries():
        units = f" In {entry.units}." if entry.units else ""
        symbol = f" Symbol {entry.symbol}." if entry.symbol else ""
        letters.setdefault(entry.word[0].upper(), []).append(
            f"### {entry.word}\n\n{entry.meaning[0].upper()}{entry.meaning[1:]}.{symbol}{units} Lesson {_lesson_link(entry, lessons)}."
        )
    rows = sorted(
        (entry for entry in entries() if entry.symbol),
        key=lambda entry: (entry.symbol.casefold(), entry.lesson),
    )
    table = (
        "## Symbols\n\n| symbol | word | metric unit | inch unit | lesson |\n|---|---|---|---|---|\n"
        + "\n".join(
            f"| {entry.symbol} | [{entry.word}](#{entry.anchor}) | {entry.metric} | {entry.inch} | {entry.lesson} |"
            for entry in rows
        )
    )
    note = "\n\nOne letter can stand for two things: books do it too, and each lesson has a table of its own."
    return [
        OPENING,
        *(f"## {letter}\n\n" + "\n\n".join(words) for letter, words in letters.items()),
        table + note,
    ]


def notebook(lessons):
    """The glossary as a notebook in stored form.

    Parameters
    ----------
    lessons : list of course.Lesson

    Returns
    -------
    NotebookNode
    """
    texts = cells(lessons)
    made = nbformat.v4.new_notebook(
        metadata={
            "kernelspec": {
                "name": "python3",
                "display_name": "Python 3 (ipykernel)",
                "language": "python",
            },
            "language_info": {"name": "python"},
        }
    )
    made.cells = [
        nbformat.v4.new_markdown_cell(texts[0]),
        nbformat.v4.new_code_cell(LOOK_UP),
        *map(nbformat.v4.new_markdown_cell, texts[1:]),
    ]
    made.cells[1].metadata["tags"] = ["setup"]
    for number, cell in enumerate(made.cells, 1):
        cell.id = f"cell-{number:02d}"
    return made


def first_use(source, word):
    """Where a word first stands in the running prose of a text, or None.

    Parameters
    ----------
    source : str
        Markdown.
    word : str

    Returns
    -------
    re.Match or None
    """
    prose = APART.sub(lambda match: re.sub(r"\S", "\0", match[0]), source)
    return re.search(rf"\b{re.escape(word)}s?\b", prose, re.IGNORECASE)


def link(book, number):
    """Link the first use of each word that a lesson teaches to the glossary.

    Parameters
    ----------
    book : NotebookNode
        Changed in place.
    number : str
        The lesson's number.

    Returns
    -------
    list of str
        Words linked now.
    """
    linked, texts = [], [cell for cell in book.cells if cell.cell_type == "markdown"]
    everything = "\n".join(cell.source for cell in texts)
    for entry in sorted(
        entries(), key=lambda entry: -len(entry.word)
    ):  # “specific force” before “force”
        if entry.lesson != number or f"({NAME}#{entry.anchor})" in everything:
            continue
        for cell in texts:
            found = first_use(cell.source, entry.word)
            if found:
                before, word, after = (
                    cell.source[: found.start()],
                    cell.source[found.start() : found.end()],
                    cell.source[found.end() :],
                )
                cell.source = f"{before}[{word}]({NAME}#{entry.anchor}){after}"
                linked.append(entry.word)
                break
    return linked


def main(arguments):
    """Write glossary.ipynb; with ``--link`` link the lessons as well."""
    lessons = course.lessons()
    path = lessons[0].path.parent / NAME
    nbformat.write(notebook(lessons), path)
    print(f"{path.name}: {len(entries())} words")
    for lesson in lessons if "--link" in arguments else []:
        book = course.read(lesson.path)
        if words := link(book, lesson.number):
            nbformat.write(book, lesson.path)
        print(f"{lesson.number}: {', '.join(words) or 'nothing new'}")


if __name__ == "__main__":
    main(sys.argv[1:])
