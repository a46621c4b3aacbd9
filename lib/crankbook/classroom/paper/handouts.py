"""Lessons on paper: a student sheet without answers, and an answer sheet, from the same notebooks.

Each lesson is run once with the first numbers that its exercises draw. Panels become still pictures
with their settings in millimeters and inches; formulas are drawn; nothing is fetched when the page
is opened.
"""

import argparse
import ast
import base64
import html
import re
import sys
from pathlib import Path

import jinja2
import nbformat
from markupsafe import Markup
from nbconvert import HTMLExporter
from nbconvert.filters.markdown_mistune import IPythonRenderer, MarkdownWithMath
from traitlets.config import Config

from crankmath.files import make_folder

from ...lesson.exercise import draw
from ...pages import page, prose, table
from ...workspace import find_workbook, work_folder
from .. import course
from ..sets import key_text, question_html
from . import formula
from .stills import Runner
from .two_units import sizes, split_units

TEMPLATES = Path(__file__).parents[2] / "data" / "templates"


class PaperRenderer(IPythonRenderer):
    """Markdown for paper: formulas drawn, links to other notebooks as plain words."""

    def inline_math(self, body):
        return formula.svg(body)

    def block_math(self, body):
        return f'<p class="formula">{formula.svg(body, True)}</p>'

    def latex_environment(self, name, body):
        raise ValueError(
            f"the formula environment “{name}” cannot be drawn for paper: write the formula "
            "between dollar signs"
        )

    def link(self, text, url, title=None):
        return text if not url.startswith("http") else f"{text} ({html.escape(url)})"


class PaperExporter(HTMLExporter):
    """A notebook's cells as plain HTML, by its tags."""

    @jinja2.pass_context
    def markdown2html(self, context, source):
        path = context.get("resources", {}).get("metadata", {}).get("path", "")
        renderer = PaperRenderer(
            escape=False, embed_images=True, path=path, exclude_anchor_links=True
        )
        return MarkdownWithMath(renderer=renderer).render(source)


def _exporter():
    settings = Config()
    settings.TagRemovePreprocessor.enabled = True
    settings.TagRemovePreprocessor.remove_cell_tags = {"setup"}
    settings.TagRemovePreprocessor.remove_input_tags = {"no-code"}
    return PaperExporter(
        template_name="handout", extra_template_basedirs=[str(TEMPLATES)], config=settings
    )


def _tag(cell, *tags):
    cell.metadata["tags"] = sorted({*cell.metadata.get("tags", []), *tags})


def _written(words, lines=1):
    """A markdown cell with room to write."""
    rows = '<div class="lines"></div>\n' * lines
    return nbformat.v4.new_markdown_cell(f"{words}\n\n{rows}" if words else rows)


def plain_sum(tree):
    """Whether code is arithmetic that a person would type into a pocket calculator; only that is
    shown on paper.
    """
    called = {
        node.func.id if isinstance(node.func, ast.Name) else None
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
    }
    return called <= {"print", "abs", "max", "min", "round", "sqrt"} and not any(
        isinstance(node, ast.Attribute | ast.Import | ast.ImportFrom) for node in ast.walk(tree)
    )


# sentences that ask for what paper cannot do
_SCREEN = re.compile(
    r"[^.!?:\n]*\b(?:[Rr]un th(?:e|is) cell|[Dd]rawn into the panel|[Ss]et the panel|"
    r"[Tt]he panel knows"
    r"|[Pp]resets?|[Ss]liders?|Drag|[Hh]old this|[Cc]lick)\b[^.!?\n]*[.!?]"
)
_KNOBS = re.compile(r"^## Turn the knobs$", re.MULTILINE)


def picture_words(source):
    """What paper shows in place of instructions for a panel: the questions that the text asks."""
    asked = [
        words for part in re.findall(r"\*\*(.+?)\*\*", source, re.DOTALL) if "?" in (words := part)
    ]
    listed = "\n".join(f"- {' '.join(words.split())}" for words in asked)
    return (
        '<div class="new-page"></div>\n\n## What the picture shows\n\nOne setting of it stands '
        f"here; on the screen it moves. Write down what you see.\n\n{listed}\n\n"
        '<div class="lines"></div><div class="lines"></div><div class="lines"></div>\n'
    )


def for_students(lesson, notebook):
    """Cells of the student sheet: questions with room to write, no answers, no hints.

    The guess is asked for on a different page from the picture that answers it.

    - ``notebook``: Already run.
    """
    makers, cells, knobs = course.exercises(lesson), [], False
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            if _KNOBS.search(cell.source):
                knobs = True
                cells.append(nbformat.v4.new_markdown_cell(picture_words(cell.source)))
                continue
            knobs = knobs and not cell.source.startswith("#")
            if knobs:  # the rest of the same section
                continue
            cell.source = _SCREEN.sub("", cell.source)
            cell.source = re.sub(
                r"\n?<details>.*?</details>",
                '\n<div class="lines"></div><div class="lines"></div>\n',
                cell.source,
                flags=re.DOTALL,
            )
            cell.source = re.sub(
                r"^.*\*\*(Before|Back|back|Next|Previous)\*\*.*\.ipynb.*$|^\*\*Next:\*\*.*$",
                "",
                cell.source,
                flags=re.MULTILINE,
            )
            cell.source = re.sub(
                r"^.*`exercise_1\.new_numbers\(\)`.*$|^!\[.*\]\(pictures/.*\)$",
                "",
                cell.source,
                flags=re.MULTILINE,
            )
            cell.source = split_units(cell.source)
            cells.append(cell)
            continue
        tree = ast.parse(cell.source)
        asked = [call.args[0].value for call in course.calls(tree, "lesson.Exercise")]
        blanks = re.findall(r"^my_(\w+) = None(?:[ \t]*#[ \t]*(.*))?$", cell.source, re.MULTILINE)
        if asked:
            for name in asked:
                question = draw(
                    makers[name], f"{name}/0"
                )  # what the screen shows a reader who begins
                cells.append(nbformat.v4.new_markdown_cell(str(question_html(name, question))))
        elif course.calls(tree, "lesson.predict"):
            cells.append(_written("Your guess, with its unit:"))
        elif blanks:
            for word, remark in blanks:
                cells.append(
                    _written(
                        f"{word.replace('_', ' ').capitalize()}{f' ({remark})' if remark else ''}:"
                    )
                )
        else:
            cells.append(cell)
    cells.insert(
        0,
        nbformat.v4.new_markdown_cell(
            '<p class="answer">Name <span></span> Date <span></span></p>'
        ),
    )
    return nbformat.v4.new_notebook(metadata=notebook.metadata, cells=cells)


def recall_answers(notebook):
    """The folded answers of a lesson's text, unfolded, as Markdown."""
    found = []
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            found += re.findall(
                r"<details>\s*<summary>.*?</summary>(.*?)</details>", cell.source, re.DOTALL
            )
    return "\n\n".join(part.strip("\n") for part in found)


def keys(lesson):
    """HTML of a sheet's exercises with their answers and the wrong paths to look for."""
    body = Markup("")
    for name, maker in course.exercises(lesson).items():
        question = draw(maker, f"{name}/0")
        rows = [(key_text(value, question.units), ask) for ask, value in question.slips.items()]
        way = question.hints[-1] if question.hints else ""
        body += Markup("<h3>{}: {}</h3>\n<p>{}</p>\n<p>Right within {:g} %. Way: {}</p>\n").format(
            name,
            key_text(question.key, question.units),
            prose(question.words),
            100 * question.tolerance,
            way,
        )
        body += table(("who has this", "ask"), rows) if rows else ""
    return Markup("<h2>The exercises of the student sheet</h2>\n") + body if body else ""


def export_guide(folder, runner, large=False):
    """Write the instructor's guide as a page, with the drawings for the board after it.

    Returns the path of the page.
    ValueError: A formula of the guide cannot be drawn.
    """
    path = find_workbook() / "instructor-guide.ipynb"
    notebook = runner.run(path)
    for cell, tree in course.code(notebook):
        if not plain_sum(tree):
            _tag(cell, "no-code")
    resources = {"metadata": {"path": str(path.parent)}}
    body, _ = _exporter().from_notebook_node(notebook, resources=resources)
    body = re.sub(r'<a [^>]*href="[^"]*"[^>]*>(.*?)</a>', r"\1", body, flags=re.DOTALL)
    make_folder(folder)
    file = folder / f"{path.stem}{'-large' * large}.html"
    text = page("The instructor's guide", f"{body}\n{drawings()}", path.stem, large=large)
    file.write_text(text, encoding="utf-8")
    return file


def drawings():
    """HTML of the drawings for the board, each with its words."""
    shown = Markup('<h2 class="new-page">Drawings for the board</h2>')
    for file in sorted((find_workbook() / "pictures").glob("*.svg")):
        text = file.read_text(encoding="utf-8")
        alt = html.unescape(re.search(r'aria-label="([^"]*)"', text)[1])
        raw = base64.b64encode(text.encode()).decode()
        shown += Markup(
            '<figure><img alt="{}" src="data:image/svg+xml;base64,{}"><figcaption>{}'
            "</figcaption></figure>"
        ).format(alt, raw, file.stem.replace("-", " "))
    return shown


def export(lesson, folder, runner, large=False):
    """Write a lesson's student sheet and answer sheet.

    - ``large``: In large print, into files of their own.

    ValueError: The lesson does not run, or a formula cannot be drawn.
    """
    exporter, written = _exporter(), []
    notebook = runner.run(lesson.path)
    answers = recall_answers(notebook)
    named = sizes(notebook)
    solved = runner.run(lesson.solutions) if lesson.solutions.is_file() else None

    def store(group, title, notebook, path, more):
        for cell, tree in course.code(notebook):
            if not plain_sum(tree):
                _tag(cell, "no-code")
        resources = {"metadata": {"path": str(path.parent)}}
        body, _ = exporter.from_notebook_node(notebook, resources=resources)
        place = folder / group
        make_folder(place)
        file = place / f"{lesson.path.stem}{'-large' * large}.html"
        body = re.sub(
            r'<a [^>]*href="[^"]*\.ipynb[^"]*"[^>]*>(.*?)</a>', r"\1", body, flags=re.DOTALL
        )  # nothing to click on paper
        text = page(title, f"{body}\n{more}", title, large=large)
        file.write_text(text, encoding="utf-8")
        written.append(file)

    try:
        store(
            "students",
            f"{lesson.number} {lesson.title}",
            for_students(lesson, notebook),
            lesson.path,
            named,
        )
        if solved:
            if answers:
                solved.cells.insert(1, nbformat.v4.new_markdown_cell(f"## Recall\n\n{answers}"))
            store(
                "answers",
                f"{lesson.number} {lesson.title}, answers",
                solved,
                lesson.solutions,
                keys(lesson),
            )
    except ValueError as error:
        raise ValueError(f"{lesson.path.name}: {error}") from None
    return written


def main(arguments):
    """``crankmath handouts [--lesson NN] [--out DIR] [--units mm|in] [--large] [--guide]``."""
    parser = argparse.ArgumentParser(
        prog="crankmath handouts", description="Lessons on paper: student sheets and answer sheets."
    )
    parser.add_argument(
        "--lesson", metavar="NN", help="one lesson; default all (about ten seconds each)"
    )
    parser.add_argument(
        "--out", type=Path, metavar="DIR", help="folder for the sheets; default my-work/handouts"
    )
    parser.add_argument(
        "--units",
        choices=("mm", "in"),
        default="mm",
        help="system of the pictures; tables carry both",
    )
    parser.add_argument("--large", action="store_true", help="in large print")
    parser.add_argument(
        "--guide", action="store_true", help="the instructor's guide with its drawings instead"
    )
    given = parser.parse_args(arguments)
    folder = given.out or work_folder() / "handouts"
    try:
        lessons = course.chosen(given.lesson)
        with Runner(given.units) as runner:
            if given.guide:
                print(export_guide(folder, runner, given.large), flush=True)
            for lesson in () if given.guide else lessons:
                for file in export(lesson, folder, runner, given.large):
                    print(file, flush=True)
    except OSError as error:
        print(
            f"{error.filename or 'A file'} cannot be written ({error.strerror or error}): choose "
            "another folder with --out",
            file=sys.stderr,
        )
        return 1
    except ValueError as error:
        print(f"The handout was not made: {error}.", file=sys.stderr)
        return 1
    print("Open a sheet in a browser and print it; choose A4 or Letter there.")
    return 0
