"""Check cranks without a notebook: verdicts on the screen, a sheet for each, an exit code that says
whether anything failed.

``python -m crankmath check my_crank.toml`` checks one crank, a folder all that is in it.
"""

import argparse
import re
import sys
from pathlib import Path

from crankmath.crank import EXAMPLES
from crankmath.job.job import Job
from crankmath.language import _
from crankmath.wording import ERRORS

from ..lesson import own_lathe
from ..lesson.own_files import file_stem
from .sheet import Sheet

FAILED, UNREADABLE = 1, 2
KINDS = (".toml", ".json")
# in the reader's own folder: hidden files, sheets, other kinds of file, copies kept aside
NO_JOB = re.compile(
    r"^\.|-sheet\.json$|^(progress|my-readings|my-crank-draft)\.json$"
    r"|\.((damaged|other|before)-\d+|before)\.\w+$"
)


def main(arguments):
    """Run the command.

    - ``arguments``: Files, folders or names of examples, and options.

    Returns 0 where nothing is past a limit, 1 where something is, 2 where a file cannot be read or
    a sheet not written. The checks are those of ``crankmath.job``.
    """
    try:
        given = _parser().parse_args(arguments)
        template = _template(given.job) if given.job else None
        lathe = own_lathe.find(given.lathe) if given.lathe else None
        sources, several = _sources(given.what)
    except SystemExit as stopped:  # argparse has said what is wrong
        return int(stopped.code)
    except (*ERRORS, OSError) as error:
        print(_("Nothing was checked: {error}").format(error=error), file=sys.stderr)
        return UNREADABLE
    results, used = [], set()
    for source in sources:
        results.append(_one(source, template, lathe, given, several, used))
        if several:
            print(results[-1][2], flush=True)
    if several:
        _overview(results)
    return max(code for _unused, code, _unused in results)


def _template(path):
    """The job whose answers count for every crank."""
    if Path(path).suffix.lower() != ".json":
        raise ValueError(
            _(
                "--job takes a job's .json file, whose answers count for every crank; “{path}” is "
                "not one: name a crank without --job"
            ).format(path=path)
        )
    return Job.load(path)


def _parser():
    parser = argparse.ArgumentParser(
        prog="crankmath check",
        description=_("Check cranks for the lathe and write a job sheet for each."),
        epilog=_(
            "Exit code 0: nothing is past a limit; 1: something is not fine; 2: a file cannot be "
            "read."
        ),
    )
    parser.add_argument(
        "what",
        nargs="+",
        help=_(
            "a crank's .toml file, a job's .json file, a folder of such files, or one of {examples}"
        ).format(examples=", ".join(EXAMPLES)),
    )
    parser.add_argument(
        "--out",
        metavar="DIR",
        help="folder for the sheets; default beside each file, the current folder for an example",
    )
    parser.add_argument(
        "--lathe",
        metavar="FILE",
        help="your lathe's .toml file, made like the one in the library's data folder, or the name "
        "of one that you kept; default the one that you chose, else the school's",
    )
    parser.add_argument(
        "--job",
        metavar="FILE",
        help="a job's .json file: its answers count for every crank that is checked",
    )
    parser.add_argument("--no-sheet", action="store_true", help="print verdicts only")
    return parser


def _sources(what):
    """Files and names to check, and whether they are several."""
    found, several = [], len(what) > 1
    for word in what:
        if word in EXAMPLES:
            found.append(word)
        elif Path(word).is_dir():
            inside = sorted(
                path
                for path in Path(word).iterdir()
                if path.suffix.lower() in KINDS and not NO_JOB.search(path.name)
            )
            if not inside:
                raise ValueError(
                    _("the folder “{word}” holds no .toml or .json file").format(word=word)
                )
            found, several = [*found, *inside], True
        elif Path(word).is_file():
            found.append(Path(word))
        else:
            raise FileNotFoundError(
                _(
                    "there is no file, folder or example “{word}”; the examples are {examples}"
                ).format(word=word, examples=", ".join(EXAMPLES))
            )
    return found, several


def _one(source, template, lathe, given, several, used):
    """Check one crank: (name, exit code, sentence)."""
    try:
        job = Job.load(source)
        if Path(source).suffix.lower() != ".json":
            job = template.with_crank(job.crank) if template else own_lathe.under(job)
        job = job.with_lathe(lathe) if lathe is not None else job
        sheet = Sheet(job)
        report = sheet.report
        if not several:
            print("\n".join(report.lines()))
    except BrokenPipeError:
        raise
    except (*ERRORS, OSError) as error:
        return _stopped(source, _("cannot be checked: {error}").format(error=error), several)
    if not given.no_sheet:
        try:
            folder = (
                Path(given.out)
                if given.out
                else source.parent
                if isinstance(source, Path)
                else Path.cwd()
            )
            written = sheet.write(folder, _free_stem(file_stem(Path(source).stem), folder, used))
        except OSError as error:
            return _stopped(
                source, _("its sheet was not written: {error}").format(error=error), several
            )
        if not several:
            print(
                _(
                    "\nJob sheet to print: {html}\nFor a spreadsheet: {csv}\nTo open again: {json}"
                ).format(html=written["html"], csv=written["csv"], json=written["json"])
            )
    return job.crank.name, FAILED if report.failed else 0, report.summary


def _stopped(source, sentence, several):
    """Result of a crank that went wrong, said at once unless it is one of several."""
    if not several:
        print(f"{source}: {sentence}", file=sys.stderr)
    return str(source), UNREADABLE, f"{source}: {sentence}"


def _free_stem(stem, folder, used):
    """A stem that no other sheet of this run has taken."""
    wanted, number = stem, 2
    while (folder.resolve(), wanted) in used:
        wanted, number = f"{stem}-{number}", number + 1
    used.add((folder.resolve(), wanted))
    return wanted


def _overview(results):
    failed, unread = (
        sum(code == wanted for _unused, code, _unused in results) for wanted in (FAILED, UNREADABLE)
    )
    print(
        _(
            "{count} checked: {passed} with nothing past a limit, {failed} with something not "
            "fine, {unreadable} not readable."
        ).format(
            count=len(results),
            passed=len(results) - failed - unread,
            failed=failed,
            unreadable=unread,
        )
    )
