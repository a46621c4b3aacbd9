"""Lesson 00, start here: the self-test and the contents with the reader's progress."""

import importlib.metadata
import platform

from IPython.display import HTML, display
from markupsafe import Markup

from crankmath.files import BROWSER
from crankmath.language import _

from ...lesson import exercise, progress
from ...notebooks import pages
from ...pages import link, table
from ...workspace import is_kept

# tables of notebooks stand at the right of their columns, which is for numbers
LEFT = Markup("<style>table.crank-contents :is(th, td) { text-align: left }</style>")
NEEDED = ("ipywidgets", "anywidget", "numpy", "scipy", "matplotlib", "pint", "jinja2")
SERVER = () if BROWSER else ("jupyterlab", "filelock")
REPAIR = (
    _("open this page again, and ask whoever made the site if it stays so")
    if BROWSER
    else _("close the workbook, type in its folder   uv sync --project lib   and start it again")
)
LOST = _(
    "What you enter is gone when this page is reloaded or closed: open it by https, or by "
    "localhost on the machine that serves it. Until then take your work along by the button below."
)


def self_test():
    """Print what is installed and whether the reader's folder can be written, in words."""
    fine = True
    print(
        _("Python {python_version}, crankmath {version}").format(
            python_version=platform.python_version(),
            version=importlib.metadata.version("crankmath"),
        )
    )
    for name in SERVER + NEEDED:
        try:
            print(f"{name} {importlib.metadata.version(name)}")
        except importlib.metadata.PackageNotFoundError:
            fine = False
            print(_("{name} is MISSING: {repair}").format(name=name, repair=REPAIR))
    folder, kept = progress.folder(), is_kept()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        probe = folder / ".can-write"
        probe.write_text("yes")
        probe.unlink()
        print(_("Your own folder can be written.") if kept else LOST)
    except OSError as error:
        fine = False
        print(
            _(
                "Your own folder cannot be written ({strerror}): set CRANKMATH_WORK to a folder of "
                "yours and start again."
            ).format(strerror=error.strerror)
        )
    if not fine:
        print(_("Something is missing; the lines above say what to type."))
    else:
        print(_("All is well. Go on.") if kept else _("All else is well. Go on."))


def contents():
    """Show the list of lessons with links, and how far the reader has come."""
    answers, rows = progress.read()["answers"], []
    for page in pages():
        asked = page.exercises
        right = sum(1 for name in asked if exercise.is_right(answers.get(name)))
        state = (
            _("{right} of {count} exercises right").format(right=right, count=len(asked))
            if asked
            else _("no exercises")
        )
        number = page.number if page.is_lesson else ""
        rows.append((number, link(page.path.name, page.title), page.takeaway, state))
    heads = ("No.", _("Lesson"), _("What you take away"), _("Your progress"))
    display(HTML(LEFT + table(heads, rows, _("Lessons"), "crank-contents")))
