"""Look for the cause of what was measured: ranking, next measurement and remedies on the screen.

``crankmath diagnose readings.csv --crank my_crank.toml``
"""

import argparse
import sys
import textwrap
from pathlib import Path

from crankmath.crank import EXAMPLES, Crank
from crankmath.files import read_json
from crankmath.inspection.diagnosis.diagnose import PLAIN_VERDICT, find_causes
from crankmath.inspection.diagnosis.making import making_of
from crankmath.inspection.diagnosis.measured import KINDS, kept_readings, of_crank
from crankmath.inspection.diagnosis.reading_table import EXAMPLE, read_table
from crankmath.inspection.diagnosis.remedies import remedies
from crankmath.inspection.diagnosis.signatures.causes import SECOND_FAULT
from crankmath.job import Job
from crankmath.typed import read_quantity

FOUND, OPEN, UNREADABLE = 0, 1, 2
MOST_BYTES = 20_000_000
WIDTH = 96
ERRORS = (OSError, TypeError, ValueError)


def main(arguments):
    """Exit code: 0 where a cause is found or nothing is wrong and every place that has a limit is
    within it, 1 where the cause stays open or a place is over its limit or may be, 2 for a file
    that cannot be read.

    Basis: derived; ``find_causes`` and ``remedies``.
    """
    try:
        given = _parser().parse_args(arguments)
        job = Job.load(given.job) if given.job else None
        crank = job.crank if job and not given.crank else Crank.load(given.crank or "pump")
        measured = _readings(given.readings, crank)
        found = find_causes(crank, measured, making=_making(crank, job, given), second=given.second)
        ways = remedies(found)
    except SystemExit as stopped:  # argparse has said what is wrong
        return int(stopped.code or 0)
    except ERRORS as error:
        print(f"Nothing was looked for: {error}", file=sys.stderr)
        return UNREADABLE
    print(f"{crank.name}, {len(measured)} readings of {Path(given.readings).name}\n")
    print(found)
    if ways:
        print("\nTo save the part, the most promising way first:")
    for number, way in enumerate(ways, 1):
        print(
            textwrap.fill(way.words, WIDTH, initial_indent=f"{number}. ", subsequent_indent="   ")
        )
    within = all(one.verdict == "in" for one in found.runouts)
    return FOUND if found.verdict in ("found", PLAIN_VERDICT) and within else OPEN


def _parser():
    parser = argparse.ArgumentParser(
        prog="crankmath diagnose",
        description="Look for the cause of what was measured on a crank.",
        epilog=f"The first line of the table names its columns, for example {EXAMPLE}. "
        f"Kinds: {', '.join(KINDS)}, spacing. "
        "Exit code 0: a cause is found, or nothing is out of the ordinary, and every place with "
        "a limit is within it; 1: the cause stays open, or a place is over its limit or may be; "
        "2: a file cannot be read.",
    )
    parser.add_argument(
        "readings", help="a .csv file of readings, or my-readings.json as lesson 12 keeps it"
    )
    parser.add_argument(
        "--crank", help=f"the crank's .toml file, or one of {', '.join(EXAMPLES)}; pump by default"
    )
    parser.add_argument(
        "--job", metavar="FILE", help="a job's .json file: thrust, spacers, limits, indicator"
    )
    parser.add_argument("--thrust", help="of the tailstock on the mains, for example 400 N")
    parser.add_argument(
        "--no-spacers", action="store_true", help="the mains were cut without spacers"
    )
    parser.add_argument(
        "--dog", help="mark of the crank at which the dog's tail stood, such as 90 deg"
    )
    parser.add_argument(
        "--second",
        type=float,
        default=SECOND_FAULT,
        metavar="CHANCE",
        help=f"chance that two causes are at work, {SECOND_FAULT:g} by default; 0.95 where "
        "something was left after one cause was put right",
    )
    return parser


def _making(crank, job, given):
    changes = {}
    if given.thrust:
        changes["thrust"] = changes["pin_thrust"] = read_quantity(
            given.thrust, ("N", "kN", "lbf"), "--thrust", least=0
        )
    if given.no_spacers:
        changes["spacers"] = ()
    if given.dog:
        changes["dog_angle"] = read_quantity(given.dog, ("deg", "rad"), "--dog")
    return making_of(crank, job, **changes)


def _readings(path, crank):
    if Path(path).suffix.casefold() != ".json":
        return read_table(path, crank)
    kept = read_json(Path(path), MOST_BYTES)
    if not isinstance(kept, dict) or not isinstance(kept.get("places"), dict):
        raise ValueError(f"“{path}” holds no readings of lesson 12; it lacks “places”")
    places = of_crank(kept["places"], crank.name)[0]
    return kept_readings(places, crank, Path(path).parent)
