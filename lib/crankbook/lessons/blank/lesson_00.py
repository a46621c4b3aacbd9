"""Lesson 00, start here: the self-test and the contents with the reader's progress."""

import html
import importlib.metadata
import platform
import sys

from IPython.display import HTML, display

from ...lesson import progress

LESSONS = (
    ("00-start-here", "start here", "units, cells and sliders in fifteen minutes", 0),
    (
        "01-draw-the-crank",
        "draw the crank",
        "where the piston stands, what an error in the throw does, and your own crank put in",
        3,
    ),
    (
        "02-choose-the-bar",
        "choose the bar",
        "the smallest bar that holds the crank, the steel, and how far the bar will bow",
        3,
    ),
    (
        "03-lay-out-the-centers",
        "lay out the centers",
        "coordinates for both ends, what their error does, and a sheet printed true to size",
        3,
    ),
    (
        "04-choose-a-spindle-speed",
        "choose a spindle speed",
        "the lever position for mains, pins and web faces",
        3,
    ),
    (
        "05-plan-the-cuts",
        "plan the cuts",
        "what to mill away first, passes, corner stock, minutes",
        3,
    ),
    (
        "06-feel-the-cutting-force",
        "feel the cutting force",
        "force, power, size error and out-of-round",
        3,
    ),
    (
        "07-stop-the-chatter",
        "stop the chatter",
        "how wide an edge the work bears, and how to measure what decides it",
        3,
    ),
    (
        "08-fit-the-spacers",
        "fit the spacers",
        "how long the spacer may be, and what runout follows when it is not",
        3,
    ),
    (
        "09-keep-it-cool",
        "keep it cool",
        "temperature, growth, the thrust they add, and when to measure",
        3,
    ),
    (
        "10-shape-the-fillet",
        "shape the fillet",
        "the corner radius that keeps the crank whole, and how far the chart may be trusted",
        3,
    ),
    (
        "11-check-the-strength",
        "check the strength",
        "loads over a turn, and a safety factor with its range",
        3,
    ),
    (
        "12-measure-the-runout",
        "measure the runout",
        "your own readings: offset, form, and in, out or cannot tell",
        3,
    ),
    (
        "13-fit-the-bearings",
        "fit the bearings",
        "limits, press and warmth, and whether the corner clears the fillet",
        3,
    ),
    (
        "14-balance-the-crank",
        "balance the crank",
        "counterweights, what they leave, and the proof on knife edges",
        3,
    ),
    (
        "15-write-the-job-sheet",
        "write the job sheet",
        "your own numbers through every check, printed",
        0,
    ),
    ("glossary", "glossary and symbols", "every word with its symbol, units and lesson", 0),
    ("class-stress-riser", "a corner under load", "lesson 10 on one screen for a class", 0),
    ("class-squeeze", "the tailstock closes the crank", "lesson 08 on one screen for a class", 0),
    ("class-chatter", "a tool that sings", "lesson 07 on one screen for a class", 0),
    (
        "instructor-guide",
        "the instructor's guide",
        "aim, timing, misconceptions and a bench demonstration for each lesson",
        0,
    ),
)
NEEDED = ("jupyterlab", "ipywidgets", "anywidget", "numpy", "scipy", "matplotlib", "pint")


def self_test():
    """Print what is installed and whether the reader's folder can be written, in words."""
    fine = True
    print(
        f"Python {platform.python_version()}, crankmath {importlib.metadata.version('crankmath')}"
    )
    for name in NEEDED:
        try:
            print(f"{name} {importlib.metadata.version(name)}")
        except importlib.metadata.PackageNotFoundError:
            fine = False
            print(
                f"{name} is MISSING: in the workbook's folder type   {sys.executable} -m pip install ./lib"
            )
    folder = progress.folder()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        probe = folder / ".can-write"
        probe.write_text("yes")
        probe.unlink()
        print("Your own folder can be written.")
    except OSError as error:
        fine = False
        print(
            f"Your own folder cannot be written ({error.strerror}): set CRANKMATH_WORK to a folder of yours and start again."
        )
    print(
        "All is well. Go on." if fine else "Something is missing; the lines above say what to type."
    )


def contents():
    """Show the list of lessons with links, and how far the reader has come."""
    answers = progress.read()["answers"]
    rows = ""
    for file, title, promise, exercises in LESSONS:
        number = (
            file[:2]
            if file[:2].isdigit()
            else "class"
            if file.startswith(("class", "instructor"))
            else ""
        )
        done = sum(
            1
            for name, entry in answers.items()
            if number
            and name.startswith(number + "-")
            and isinstance(entry, dict)
            and entry.get("right")
        )
        state = f"{done} of {exercises} exercises right" if exercises else "no exercises"
        rows += (
            f'<tr><td>{number}</td><td><a href="{file}.ipynb">{html.escape(title)}</a></td>'
            f"<td>{html.escape(promise)}</td><td>{state}</td></tr>"
        )
    display(
        HTML(
            "<table><caption>Lessons</caption><thead><tr><th scope=col>No.</th><th scope=col>Lesson</th>"
            f"<th scope=col>What you take away</th><th scope=col>Your progress</th></tr></thead><tbody>{rows}</tbody></table>"
        )
    )
