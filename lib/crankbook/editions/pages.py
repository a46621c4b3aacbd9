"""Panels as single files: ``crankmath pages FOLDER`` writes pages that open from a disk or a phone."""

import argparse
import os
import re
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import jinja2
from markupsafe import Markup

from crankmath import __version__
from crankmath.files import FileTroubleError, make_folder, write_whole

from ..classroom import course
from ..classroom.stage import pages as class_notebooks
from ..lesson.panel import Panel
from ..lessons import modules
from .stored import Recorder, axes, packed

HERE = Path(__file__).parent
STATES = 1500  # of each system, unless a panel is named below
THINNER = {"lesson_10": 400, "lesson_02": 700, "lesson_05": 900, "lesson_11": 700}
LARGEST = 9_000_000  # bytes of a page
OURS = b'<meta name="generator" content="crankmath '
BAR = 30  # letters of the progress bar


@dataclass(frozen=True)
class Wanted:
    """A page to make: its file's name without ending, title, sentences, lesson's module, for a class or not."""

    name: str
    title: str
    words: tuple
    module: str
    stage: bool


def every_page():
    """All pages that can be made, those for a class first."""
    found, panels = [], {name for name, module in modules().items() if hasattr(module, "panel")}
    for name, path in class_notebooks().items():
        cells = course.read(path).cells
        prose = next(cell.source for cell in cells if cell.cell_type == "markdown")
        module = re.search(r"(lesson_\d\d)\.panel\(", "\n".join(cell.source for cell in cells))
        title, _, words = prose.removeprefix("# ").partition("\n")
        found.append(Wanted(name, title, (words.strip(),), module[1], True))
    for lesson in course.lessons():
        if (module := f"lesson_{lesson.number}") in panels:
            words = ("Choose, move, and read the finding above the picture.",)
            found.append(Wanted(f"lesson-{lesson.number}", lesson.title, words, module, False))
    return found


def chosen(words):
    """The pages of these names or lesson numbers; ValueError names one that is not there."""
    every = every_page()
    if not words:
        return every
    names = {page.name: page for page in every}
    picked = []
    for word in words:
        key = f"lesson-{word.zfill(2)}" if word.isdigit() else word
        if key not in names:
            raise ValueError(f"there is no page “{word}”; write some of {', '.join(names)}")
        picked.append(names[key])
    return picked


def make(wanted, states=None, progress=lambda done, of: None):
    """One page as (text, number of states); thinner than asked where the file would be too large."""
    states = states or THINNER.get(wanted.module, STATES)
    while True:
        panel = modules()[wanted.module].panel(**({"stage": True} if wanted.stage else {}))
        grid = axes(panel.controls.values(), states)
        words, raw = Recorder(panel, grid, progress).stored()
        text = _page(wanted, words, raw)
        size = len(text.encode())
        if size <= LARGEST:
            return text, words["gridSize"] + len(words["presets"])
        thinner = int(states * 0.8 * LARGEST / size)
        if len(axes(panel.controls.values(), thinner)) == len(grid) and thinner < 8:
            raise ValueError(f"{wanted.name} does not fit into {LARGEST // 1_000_000} MB")
        states = thinner


def _template(name):
    loader = jinja2.FileSystemLoader(HERE)
    return jinja2.Environment(loader=loader, autoescape=True).get_template(name)


def _page(wanted, words, raw):
    packed_words, packed_bytes = packed(words, raw)
    style = Panel._css + (HERE / "stored_page.css").read_text(encoding="utf-8")
    # inside a script element only "</" would end it; both scripts are ours
    script, model = (
        Markup(text.replace("</", r"<\/"))
        for text in (Panel._esm, (HERE / "stored_model.js").read_text(encoding="utf-8"))
    )
    return _template("page.html").render(
        version=__version__,
        title=wanted.title,
        words=wanted.words,
        stage=wanted.stage,
        states=f"{words['gridSize'] + len(words['presets']):,}",
        style=Markup(style),
        packed_words=packed_words,
        packed_bytes=packed_bytes,
        panel_script=script,
        model_script=model,
    )


def _index(made):
    style = Markup((HERE / "stored_page.css").read_text(encoding="utf-8"))
    return _template("index.html").render(version=__version__, style=style, pages=made)


def _refuse_others(folder, names):
    """A file of these names that this command did not write is left alone."""
    for name in names:
        path = folder / name
        if path.exists() and OURS not in path.read_bytes()[:2000]:
            raise ValueError(f"{path} was not made by this command: move it, or choose a new folder")


def _progress(name):
    if not sys.stderr.isatty():
        return lambda done, of: None

    def show(done, of):
        if done % 20 == 0 or done == of:
            bar = "#" * (BAR * done // of)
            print(f"\r{name:<14} [{bar:<{BAR}}] {done}/{of}", end="", file=sys.stderr, flush=True)
            if done == of:
                print("\r" + " " * (BAR + 40) + "\r", end="", file=sys.stderr)

    return show


def main(arguments):
    """``crankmath pages FOLDER [--only squeeze 8 …] [--states 3000]``."""
    parser = argparse.ArgumentParser(
        prog="crankmath pages",
        description="Panels as single HTML files with their states stored inside: they open from a "
        "disk, a memory stick or a phone, without a network and without Python.",
    )
    parser.add_argument("folder", help="where the pages are written")
    parser.add_argument(
        "--only", nargs="+", default=[], metavar="PAGE", help="a class page or a lesson's number"
    )
    parser.add_argument("--states", type=int, help="states stored in each page; more are finer")
    asked = parser.parse_args(arguments)
    if asked.states is not None and not 8 <= asked.states <= 1_000_000:
        print("--states needs a whole number from 8 to 1000000: write --states 3000", file=sys.stderr)
        return 2
    folder = Path(asked.folder)
    # pages go to others: nothing of the reader's own is in them
    with tempfile.TemporaryDirectory(prefix="crankmath-pages-") as empty:
        os.environ["CRANKMATH_WORK"] = empty
        try:
            wanted = chosen(asked.only)
            make_folder(folder)
            _refuse_others(folder, ["index.html", *(f"{page.name}.html" for page in wanted)])
            print(f"{len(wanted)} pages are made in {folder}, some 10 to 60 seconds each.", flush=True)
            made = []
            for page in wanted:
                begun = time.monotonic()
                text, states = make(page, asked.states, _progress(page.name))
                write_whole(folder / f"{page.name}.html", text)
                size = f"{len(text.encode()) / 1e6:.1f} MB"
                made.append(
                    {"name": f"{page.name}.html", "title": page.title, "size": size, "states": states}
                )
                print(
                    f"{page.name}.html: {size}, {states} states, {time.monotonic() - begun:.0f} s",
                    flush=True,
                )
            write_whole(folder / "index.html", _index(made))
        except (ValueError, FileTroubleError) as error:
            print(f"No more pages were made: {error}", file=sys.stderr)
            return 1
    print(f"Open {folder / 'index.html'} in a browser, or copy the folder to a phone or a stick.")
    return 0
