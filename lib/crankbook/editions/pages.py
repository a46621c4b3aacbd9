"""Panels as single files: ``crankmath pages FOLDER``."""

import argparse
import os
import re
import sys
import tempfile
import time
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from markupsafe import Markup

from crankmath import __version__
from crankmath.files import FileTroubleError, make_folder, write_whole

from .. import notebooks
from ..lesson.panel import Panel
from ..lessons import modules
from ..pages import rendered
from .stored import Recorder, axes, packed

HERE = Path(__file__).parent
STATES = 1500  # of each system, unless a panel is named below
THINNER = {"lesson_10": 1200, "lesson_02": 700, "lesson_05": 900, "lesson_11": 700}
LARGEST = 9_000_000  # bytes of a page
OURS = b'<meta name="generator" content="crankmath '
BAR = 30  # letters of the progress bar


@dataclass(frozen=True)
class Wanted:
    """A page to make: its file's name without ending; ``stage`` if it is for a class."""

    name: str
    title: str
    words: str
    module: str
    stage: bool


def every_page():
    """All pages that can be made, those for a class first."""
    singles, classes = [], []
    for page in notebooks.pages():
        if found := re.search(r"(lesson_\d\d)\.panel\(", page.text("code")):
            if page.is_lesson:
                words = "Choose, move, and read the finding above the picture."
                name = f"lesson-{page.number}"
                singles.append(Wanted(name, page.title, words, found[1], False))
            elif page.number == "class":
                words = page.text("markdown").partition("\n")[2].strip()
                name = page.path.stem.removeprefix("class-")
                classes.append(Wanted(name, page.title, words, found[1], True))
    return classes + singles


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
    """One page as (text, number of states), thinned where the file would be too large."""
    states = states or THINNER.get(wanted.module, STATES)
    while True:
        panel = modules()[wanted.module].panel(**({"stage": True} if wanted.stage else {}))
        grid = axes(panel.controls.values(), states)
        words, raw = Recorder(panel, grid, progress).stored()
        text = _page(wanted, words, raw)
        size = len(text.encode())
        if size <= LARGEST:
            return text, words["gridSize"] + len(words["presets"])
        states = int(states * 0.8 * LARGEST / size)
        if axes(panel.controls.values(), states) == grid:
            raise ValueError(f"{wanted.name} does not fit into {LARGEST // 1_000_000} MB")


def _page(wanted, words, raw):
    packed_words, packed_bytes = packed(words, raw)
    style = Panel._css + (HERE / "stored_page.css").read_text(encoding="utf-8")
    # inside a script element only "</" would end it; both scripts are of this project
    script, model = (
        Markup(text.replace("</", r"<\/"))
        for text in (Panel._esm, (HERE / "stored_model.js").read_text(encoding="utf-8"))
    )
    return rendered(
        "single.html",
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
    return rendered("singles.html", version=__version__, style=style, pages=made)


def _refuse_others(folder, names):
    """ValueError for a file of one of these names that this command did not write."""
    for name in names:
        path = folder / name
        if path.exists() and OURS not in path.read_bytes()[:2000]:
            raise ValueError(
                f"{path} was not made by this command: move it, or choose a new folder"
            )


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


@contextmanager
def _nothing_of_the_reader():
    """Pages go to others: meanwhile the reader's folder is an empty one."""
    before = os.environ.get("CRANKMATH_WORK")
    with tempfile.TemporaryDirectory(prefix="crankmath-pages-") as empty:
        os.environ["CRANKMATH_WORK"] = empty
        try:
            yield
        finally:
            if before is None:
                del os.environ["CRANKMATH_WORK"]
            else:
                os.environ["CRANKMATH_WORK"] = before


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
        print(
            "--states needs a whole number from 8 to 1000000: write --states 3000", file=sys.stderr
        )
        return 2
    folder = Path(asked.folder)
    with _nothing_of_the_reader():
        try:
            wanted = chosen(asked.only)
            make_folder(folder)
            _refuse_others(folder, ["index.html", *(f"{page.name}.html" for page in wanted)])
            print(
                f"{len(wanted)} pages are made in {folder}, some 10 to 60 seconds each.", flush=True
            )
            made = []
            for page in wanted:
                begun = time.monotonic()
                text, states = make(page, asked.states, _progress(page.name))
                write_whole(folder / f"{page.name}.html", text)
                size = f"{len(text.encode()) / 1e6:.1f} MB"
                made.append(
                    {
                        "name": f"{page.name}.html",
                        "title": page.title,
                        "size": size,
                        "states": states,
                    }
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
