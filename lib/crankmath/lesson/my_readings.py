"""The reader's own indicator readings as typed: one file in the reader's folder, an entry a place on the crank."""

import json

from .. import practice
from ..crank import EXAMPLES
from ..whole_file import alone, read_json, set_aside, write_whole
from . import own, progress

VERSION = 1
MOST_BYTES = 20_000_000
PRACTICE = "practice: "
FIELDS = {
    "source": "typed", "text": "", "file": "", "layout": "pairs", "unit": "mm", "dial_turn": "", "held": "centers",
    "allowed": "", "indicator": "", "support": "", "repeatability": "",
}  # fmt: skip


def path():
    """The file of the reader's own readings, my-readings.json in the reader's folder."""
    return progress.folder() / "my-readings.json"


def _stored():
    """What can be read of all that is kept, (place last shown, entries), and whether something of the file cannot."""
    try:
        stored = read_json(path(), MOST_BYTES)
    except FileNotFoundError:
        return "", {}, False
    except ValueError:
        return "", {}, True
    if not isinstance(stored, dict) or stored.get("version") != VERSION or not isinstance(stored.get("places"), dict):
        return "", {}, True
    tables = {name: entry for name, entry in stored["places"].items() if isinstance(entry, dict)}
    entries = {name: {key: str(value) for key, value in entry.items() if key in FIELDS and isinstance(value, str | int | float)}
               for name, entry in tables.items()}  # fmt: skip
    whole = len(tables) == len(stored["places"]) and all(len(entries[name]) == len(entry) for name, entry in tables.items())
    return str(stored.get("place", ""))[:200], entries, not whole


def _mended():
    """The same, but a file with something wrong is moved aside and named in a sentence, the third. Only while alone."""
    last, entries, damaged = _stored()
    if not damaged:
        return last, entries, ""
    aside = set_aside(path())
    return last, entries, f"{path().name} could not be read, or not all of it; it is kept as {aside.name}, and what can be read of it goes on."


def _write(last, entries):
    write_whole(path(), json.dumps({"version": VERSION, "place": last, "places": entries}, indent=1))


def places():
    """Names a form offers: mains and pins of the reader's own crank (or the first example), what is kept besides, practice parts.

    Returns
    -------
    tuple of str

    Notes
    -----
    Basis: derived.
    """
    crank = own.load(next(iter(own.names()), EXAMPLES[0]))
    named = [f"main {number}" for number in range(1, len(crank.journals) + 1)] + [f"pin {number}" for number in range(1, len(crank.throws) + 1)]
    try:
        entries = _stored()[1]
    except OSError:
        entries = {}
    kept = [name for name in entries if name not in named and not name.startswith(PRACTICE)]
    other = f"another place {sum(name.startswith('another place') for name in kept) + 1}"
    return (*named, *kept, other, *(PRACTICE + name for name in practice.dial_names()))


def load(place=""):
    """What is kept of a place, every field as typed; of the place last shown without a name.

    Parameters
    ----------
    place : str

    Returns
    -------
    tuple (place, entry, sentence)
        The sentence is empty unless the file could not be read.

    Notes
    -----
    Basis: derived. A place that is not kept begins empty, a practice part with its simulated readings.
    """
    try:
        last, entries, damaged = _stored()
        problem = ""
        if damaged:
            with alone(path()):
                last, entries, problem = _mended()
                _write(last, entries)
    except OSError as error:
        last, entries, problem = "", {}, f"{path()} is left as it is: it cannot be opened or written ({error.strerror})."
    offered = places()
    place = place or (last if last in offered else offered[0])
    metric = progress.read()["units"] == "mm"
    new = {**FIELDS, "unit": "mm" if metric else "thousandth", "indicator": "3 um" if metric else "0.1 thou"}
    if place.startswith(PRACTICE):
        name = place.removeprefix(PRACTICE)
        new |= {"text": practice.pasted(name), "held": practice.held(name), "allowed": "15 um" if metric else "0.6 thou", "indicator": "1 um" if metric else "0.04 thou"}
    return place, {**new, **entries.get(place, {})}, problem


def save(place, entry):
    """Keep every field of a place as typed; other places stay as they are in the file.

    Parameters
    ----------
    place : str
    entry : dict

    Returns
    -------
    str
        Empty, or why it was not kept.

    Notes
    -----
    Basis: derived. Written whole or not at all; what another window stored of other places stays. A folder that cannot be
    written is said in words.
    """
    try:
        with alone(path()):
            _, entries, problem = _mended()
            _write(place, {**entries, place: entry})
    except OSError as error:
        return f"Not kept: {path()} cannot be written ({error.strerror})."
    return problem
