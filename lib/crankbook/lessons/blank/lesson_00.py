"""Lesson 00, start here: the self-test and the contents with the reader's progress."""

import importlib.metadata
import platform

from IPython.display import HTML, display
from markupsafe import Markup

from crankmath.files import BROWSER

from ...lesson import exercise, progress
from ...notebooks import pages
from ...pages import link, table
from ...workspace import is_kept

# tables of notebooks stand at the right of their columns, which is for numbers
LEFT = Markup("<style>table.crank-contents :is(th, td) { text-align: left }</style>")
NEEDED = ("ipywidgets", "anywidget", "numpy", "scipy", "matplotlib", "pint", "jinja2")
SERVER = () if BROWSER else ("jupyterlab", "filelock")
REPAIR = (
    "open this page again, and ask whoever made the site if it stays so"
    if BROWSER
    else "close the workbook, type in its folder   uv sync --project lib   and start it again"
)
LOST = (
    "What you enter is gone when this page is reloaded or closed: open it by https, or by "
    "localhost "
    "on the machine that serves it. Until then take your work along by the button below."
)


def self_test():
    """Print what is installed and whether the reader's folder can be written, in words."""
    fine = True
    print(
        f"Python {platform.python_version()}, crankmath {importlib.metadata.version('crankmath')}"
    )
    for name in SERVER + NEEDED:
        try:
            print(f"{name} {importlib.metadata.version(name)}")
        except importlib.metadata.PackageNotFoundError:
            fine = False
            print(f"{name} is MISSING: {REPAIR}")
    folder, kept = progress.folder(), is_kept()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        probe = folder / ".can-write"
        probe.write_text("yes")
        probe.unlink()
        print("Your own folder can be written." if kept else LOST)
    except OSError as error:
        fine = False
        print(
            f"Your own folder cannot be written ({error.strerror}): set CRANKMATH_WORK to a "
            "folder of yours and start again."
        )
    if not fine:
        print("Something is missing; the lines above say what to type.")
    else:
        print("All is well. Go on." if kept else "All else is well. Go on.")


def contents():
    """Show the list of lessons with links, and how far the reader has come."""
    answers, rows = progress.read()["answers"], []
    for page in pages():
        asked = page.exercises
        right = sum(1 for name in asked if exercise.is_right(answers.get(name)))
        state = f"{right} of {len(asked)} exercises right" if asked else "no exercises"
        number = page.number if page.is_lesson else ""
        rows.append((number, link(page.path.name, page.title), page.takeaway, state))
    heads = ("No.", "Lesson", "What you take away", "Your progress")
    display(HTML(LEFT + table(heads, rows, "Lessons", "crank-contents")))
