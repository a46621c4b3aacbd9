"""The reader's own indicator readings as typed: one file in the reader's folder, an entry a place on the crank."""

import json
import os

from .. import practice
from ..crank import EXAMPLES
from . import own, progress

VERSION = 1
PRACTICE = "practice: "
FIELDS = {
    "source": "typed", "text": "", "file": "", "layout": "pairs", "unit": "mm", "dial_turn": "", "held": "centers",
    "allowed": "", "indicator": "", "support": "", "repeatability": "",
}  # fmt: skip


def path():
    """The file of the reader's own readings, my-readings.json in the reader's folder."""
    return progress.folder() / "my-readings.json"


def _read():
    """All that is kept: (place last shown, entries); a file that cannot be read is kept aside and named in the third."""
    try:
        stored = json.loads(path().read_text(encoding="utf-8"))
        if not isinstance(stored, dict) or stored.get("version") != VERSION or not isinstance(stored.get("places"), dict):
            raise ValueError("another version")
    except FileNotFoundError:
        return "", {}, ""
    except OSError as error:
        return "", {}, f"{path().name} cannot be read ({error.strerror})."
    except (ValueError, RecursionError):
        number = 1
        while (aside := path().with_name(f"my-readings.damaged-{number}.json")).exists():
            number += 1
        path().replace(aside)
        return "", {}, f"{path().name} could not be read; it is kept as {aside.name} and a new one begins."
    entries = {str(name): {key: str(value) for key, value in entry.items() if key in FIELDS}
               for name, entry in stored["places"].items() if isinstance(entry, dict)}  # fmt: skip
    return str(stored.get("place", "")), entries, ""


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
    kept = [name for name in _read()[1] if name not in named and not name.startswith(PRACTICE)]
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
    last, entries, problem = _read()
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
    Basis: derived. Written whole or not at all; a folder that cannot be written is said in words.
    """
    _, entries, problem = _read()
    file = path()
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        beside = file.with_name(f".my-readings-{os.getpid()}.json")
        beside.write_text(json.dumps({"version": VERSION, "place": place, "places": {**entries, place: entry}}, indent=1), encoding="utf-8")
        beside.replace(file)
    except OSError as error:
        return f"Not kept: {file.parent} cannot be written ({error.strerror})."
    return problem
