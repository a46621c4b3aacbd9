"""Writes glossary.ipynb from the library's table of words: python workbook/make_glossary.py

With ``--link`` it also links the first use of each word in the lesson that teaches it.
"""

import re
import sys
from pathlib import Path

import nbformat

from crankbook.classroom import course
from crankbook.classroom.glossary import entries
from crankbook.notebooks import lessons as all_lessons

NAME = "glossary.ipynb"
OPENING = """# Glossary and symbols

Words are in the order of the alphabet; each names the lesson that teaches it. [Symbols](#Symbols) stand in a table at the end.
To find a word, press Ctrl+F, open the table of contents at the left, or run the next cell and ask: `glossary.look_up("TIR")`.
A link from a lesson may leave you at the top here the first time; click it once more while this page is open.

**Back** to the [contents](00-start-here.ipynb)"""
LOOK_UP = 'from crankbook.classroom import glossary\n\nglossary.look_up("TIR")'
# what running prose is not: headings, tables, formulas, code, links, tags
APART = re.compile(
    r"^(?:#|\|)[^\n]*|```.*?```|\$\$.*?\$\$|\$[^$\n]+\$|`[^`\n]*`|!?\[[^\]]*\]\([^)]*\)|<details>.*?</details>|<[^>]*>",
    re.MULTILINE | re.DOTALL,
)


def _lesson_link(entry, lessons):
    found = next((lesson for lesson in lessons if lesson.number == entry.lesson), None)
    return f"[{found.number} {found.title.lower()}]({found.path.name})" if found else entry.lesson


def cells(lessons):
    """The notebook's text: opening, one cell a letter, symbols.

    Parameters
    ----------
    lessons : list of notebooks.Page

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
    lessons : list of notebooks.Page

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
            "takeaway": "every word with its symbol, units and lesson",
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
    path = Path(__file__).parent / NAME
    lessons = all_lessons(path.parent)
    nbformat.write(notebook(lessons), path)
    print(f"{path.name}: {len(entries())} words")
    for lesson in lessons if "--link" in arguments else []:
        book = course.read(lesson.path)
        if words := link(book, lesson.number):
            nbformat.write(book, lesson.path)
        print(f"{lesson.number}: {', '.join(words) or 'nothing new'}")


if __name__ == "__main__":
    main(sys.argv[1:])
