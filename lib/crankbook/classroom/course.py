"""The course as a whole: the lessons in teaching order and the exercises in each, read from the
notebooks themselves.
"""

import argparse
import ast
import re
import sys
from pathlib import Path

import nbformat

from crankmath.wording import capital

from ..lessons import modules
from ..notebooks import lessons


def chosen(number=None, workbook=None):
    """All lessons, or the one of a number.

    ``number`` as a person types it, "8" or "08"; ValueError if there is no such lesson.
    """
    every = lessons(workbook)
    if number is None:
        return every
    found = [lesson for lesson in every if lesson.number == str(number).strip().zfill(2)]
    if not found:
        raise ValueError(
            f"there is no lesson “{number}”; write one of "
            f"{', '.join(lesson.number for lesson in every)}"
        )
    return found


def asks(word, purpose, out, lesson="one lesson; default all"):
    """Parser of a command that writes into a folder: ``--out`` and, where wanted, ``--lesson``."""
    parser = argparse.ArgumentParser(prog=f"crankmath {word}", description=purpose)
    if lesson:
        parser.add_argument("--lesson", metavar="NN", help=lesson)
    parser.add_argument("--out", type=Path, metavar="DIR", help=out)
    return parser


def went_well(work, none):
    """Run a command's work; whether it went well. An error is printed with what to do about it.

    - ``none``: Sentence printed before an error, such as “No slides were made.”
    """
    try:
        work()
    except OSError as error:
        where = f"“{error.filename}” cannot be written" if error.filename else "A file failed"
        print(
            f"{none} {where} ({error.strerror or error}): close it where it is open, or choose "
            "another folder, for example --out other-folder",
            file=sys.stderr,
        )
    except ValueError as error:
        print(f"{none} {capital(str(error))}.", file=sys.stderr)
    else:
        return True
    return False


def read(path):
    """A notebook of the workbook."""
    return nbformat.read(path, as_version=4)


def code(notebook):
    """Code cells of a notebook, each with its syntax tree."""
    return [(cell, ast.parse(cell.source)) for cell in notebook.cells if cell.cell_type == "code"]


def calls(tree, name):
    """Calls in a syntax tree of a function whose dotted name ends with ``name``, for example
    ``lesson.Exercise``.
    """
    return [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and ast.unparse(node.func).endswith(name)
    ]


def exercises(lesson):
    """The exercises of a lesson, as its notebook calls them: ``lesson.Exercise("08-1",
    lesson_08.portal_closure)``.

    The notebook is read, not run.
    ValueError: A call is not of this form.
    """
    makers = {}
    for _, tree in code(read(lesson.path)):
        for call in calls(tree, "lesson.Exercise"):
            words = ast.unparse(call)
            form = re.fullmatch(r"lesson\.Exercise\('(\d\d-\d)', (lesson_\d\d)\.(\w+)\)", words)
            if not form:
                raise ValueError(
                    f'{lesson.path.name}: write lesson.Exercise("08-1", lesson_08.maker), not '
                    f"{words}"
                )
            makers[form[1]] = getattr(modules()[form[2]], form[3])
    return makers


def timetable():
    """Print each lesson with its minutes at the screen, what it needs and its exercises."""
    for lesson in lessons():
        prose = lesson.text("markdown")
        minutes = re.search(r"\*\*Time\*\* (\d+) min", prose)
        needs = re.search(r"\*\*Needs\*\* .*?\[(\d\d) ", prose)
        print(
            f"{lesson.number} {lesson.title:<28} {minutes[1] if minutes else '?':>3} min  "
            f"after {needs[1] if needs else '--'}  {len(lesson.exercises)} exercises"
        )
