"""The command: opens the workbook in JupyterLab, or hands over to the word that follows."""

import importlib
import os
import sys
import warnings

from .launcher import SETTINGS, add_to_path, option_problem, root_option
from .workspace import START, prepare

# word after "crankmath": module with a main(arguments), and what it is for
COMMANDS = {
    "check": ("crankbook.sheet.command", "check cranks and write a job sheet for each"),
    "diagnose": ("crankbook.diagnose", "look for the cause of what was measured on a crank"),
    "stage": ("crankbook.classroom.stage", "a class page on the projector, without code"),
    "exercises": ("crankbook.classroom.sets", "question sheets for a class, and the key"),
    "mark": ("crankbook.classroom.marks", "mark a class's answers with the checker's words"),
    "results": ("crankbook.classroom.results.summary", "a class over all lessons, and grades"),
    "feedback": ("crankbook.classroom.results.feedback", "one page a student to hand back"),
    "collect": ("crankbook.classroom.results.collect", "answers from the students' screens"),
    "export": ("crankbook.classroom.results.export", "each student's questions as QTI files"),
    "slides": ("crankbook.classroom.paper.slides", "a lesson as slides for the projector"),
    "handouts": (
        "crankbook.classroom.paper.handouts",
        "lessons on paper, for students and with answers",
    ),
    "pages": ("crankbook.editions.pages", "panels as single files for a phone or a stick"),
    "site": ("crankbook.editions.site", "the workbook as a web site that needs no install"),
}
HELP = ("--help", "-h", "help")
QUIET = "--Application.log_level=ERROR"


def overview():
    """What the command can do, one line each."""
    words = [("", "open the workbook in your browser"), *((w, c[1]) for w, c in COMMANDS.items())]
    lines = [f"  crankmath {word:<10} {purpose}" for word, purpose in words]
    return "\n".join(
        [
            "The math of machining a one-piece crankshaft between centers.",
            "",
            *lines,
            "",
            "crankmath WORD --help says more about one of them. To open the workbook there are "
            "also",
            "  --port 9000      another port of this machine",
            "  --no-browser     print the address and open no browser",
        ]
    )


def main(arguments=None):
    """Start JupyterLab on this machine only, with its token, opened at the first lesson."""
    arguments = sys.argv[1:] if arguments is None else list(arguments)
    word = arguments[0] if arguments else ""
    if word in COMMANDS:
        try:
            code = importlib.import_module(COMMANDS[word][0]).main(arguments[1:])
            sys.stdout.flush()
            return code
        except BrokenPipeError:  # whoever reads, say "head", has seen enough
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            return 2
    if word in HELP:
        print(overview())
        return 0
    if word and not word.startswith("-"):
        print(f"There is no command “{word}”.\n\n{overview()}", file=sys.stderr)
        return 2
    if problem := option_problem(arguments):
        print(problem, file=sys.stderr)
        return 1
    own = prepare()
    if own is None:
        return 1
    add_to_path("JUPYTER_CONFIG_PATH", SETTINGS)
    options = [
        f"--ServerApp.root_dir={own}",
        "--ServerApp.ip=127.0.0.1",
        f"--LabApp.default_url=/lab/tree/{START}",
        QUIET,
        *root_option(),
    ]
    return serve(options + arguments)


def serve(options):
    """Run JupyterLab, with one line on where it listens and how to stop it."""
    from jupyterlab.labapp import LabApp

    warnings.simplefilter("ignore", DeprecationWarning)  # of the server's own parts
    server = LabApp.initialize_server(argv=options)
    server.log.addFilter(lambda record: "To access the server" not in record.getMessage())
    print(f"The workbook is at {server.local_url}   Stop it with Ctrl+C.", flush=True)
    server.start()
    return 0


if __name__ == "__main__":
    sys.exit(main())
