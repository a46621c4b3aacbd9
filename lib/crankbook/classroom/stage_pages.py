"""The pages of a stage: for every live panel of the course one, with its title and a way to the
next."""

import ast
import importlib
import re
from dataclasses import dataclass
from pathlib import Path

import nbformat

from .. import lessons
from ..notebooks import pages as every_page
from . import course

KEYS = "Number keys choose, H holds."


@dataclass(frozen=True)
class StagePage:
    """One panel for a class: its short name, lesson, title, a line of words and its code."""

    name: str
    lesson: str
    title: str
    words: str
    code: str

    @property
    def file(self):
        """Name of its notebook."""
        return f"{self.name}.ipynb"


def pages(workbook=None):
    """Stage pages by their short names in the order of the lessons.

    A lesson that has a page for a class, class-….ipynb, is shown by that; every other lesson with
    a panel by its panel alone.
    """
    found = [one for page in every_page(workbook) if (one := _page_of(page))]
    shown = {one.lesson for one in found if not one.name.isdigit()}
    kept = [one for one in found if not (one.name.isdigit() and one.lesson in shown)]
    return {one.name: one for one in sorted(kept, key=lambda one: (one.lesson, one.name))}


def _page_of(page):
    """The stage page that a notebook makes, or None."""
    calls = [call for _, tree in course.code(course.read(page.path)) for call in _panels(tree)]
    lesson = re.match(r"lesson_(\d\d)", calls[0])[1] if calls else ""
    if page.is_lesson and lesson == page.number:
        title, words, name = page.title, KEYS, page.number
    elif calls and page.path.stem.startswith("class-"):
        title, words = page.title, page.text("markdown").partition("\n")[2].strip()
        name = page.path.stem.removeprefix("class-")
    else:
        return None
    part = next(Path(lessons.__file__).parent.glob(f"*/lesson_{lesson}.py")).parent.name
    code = f"from {lessons.__name__}.{part} import lesson_{lesson}\n\n{calls[0]}(stage=True)"
    return StagePage(name, lesson, title, words, code)


def _panels(tree):
    """Functions of a lesson's module that are called to make its panel, as text."""
    called = (ast.unparse(call.func) for call in course.calls(tree, ".panel"))
    return [name for name in called if re.match(r"lesson_\d\d\.", name)]


def make_panel(page):
    """The panel that a page shows."""
    line, _, call = page.code.partition("\n\n")
    words = line.split()
    maker = importlib.import_module(f"{words[1]}.{words[3]}")
    for name in call.partition("(")[0].split(".")[1:]:
        maker = getattr(maker, name)
    return maker(stage=True)


def write_pages(found, folder):
    """Write the notebook of every page; each leads to its neighbors and to the list."""
    names = list(found)
    for place, page in enumerate(found.values()):
        links = ["[list](../../)"]
        if place:
            links.insert(0, f"[‹ before]({found[names[place - 1]].file})")
        if place + 1 < len(names):
            links.append(f"[next ›]({found[names[place + 1]].file})")
        words = f"# {page.lesson} {page.title}\n\n{page.words} {' · '.join(links)}"
        cells = [nbformat.v4.new_markdown_cell(words), nbformat.v4.new_code_cell(page.code)]
        kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
        notebook = nbformat.v4.new_notebook(cells=cells, metadata={"kernelspec": kernel})
        nbformat.write(notebook, folder / page.file)
