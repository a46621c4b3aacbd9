"""The reader's own indicator readings as typed: one file in the reader's folder, an entry a place
on a crank, “main 1 of pump”; entries of earlier editions name no crank.
"""

from crankmath.crank import EXAMPLES
from crankmath.files import KeptFile
from crankmath.inspection import practice
from crankmath.inspection.diagnosis.measured import OF, of_crank
from crankmath.language import _
from crankmath.units import as_text

from ..lesson import own, progress

VERSION = 1
MOST_BYTES = 20_000_000
PRACTICE = "practice: "
ONCE = ("source", "text", "file", "held")  # fields of one place; the others go on to a new one
FIELDS = {
    "source": "typed",
    "text": "",
    "file": "",
    "layout": "pairs",
    "unit": "mm",
    "dial_turn": "",
    "held": "centers",
    "allowed": "",
    "division": "",
    "indicator": "",
    "support": "",
    "repeatability": "",
}


def path():
    """The file of the reader's own readings, my-readings.json in the reader's folder."""
    return progress.folder() / "my-readings.json"


def _understood(stored):
    """What can be read of all that is kept (the place last shown, the entries), and what is wrong
    with it.
    """
    right = (
        isinstance(stored, dict)
        and stored.get("version") == VERSION
        and isinstance(stored.get("places"), dict)
    )
    if not right:
        return {
            "version": VERSION,
            "place": "",
            "places": {},
        }, _("it is of another version, or holds no readings")
    tables = {name: entry for name, entry in stored["places"].items() if isinstance(entry, dict)}
    entries = {
        name: {
            key: str(value)
            for key, value in entry.items()
            if key in FIELDS and isinstance(value, str | int | float)
        }
        for name, entry in tables.items()
    }
    lost = [
        name
        for name in stored["places"]
        if len(entries.get(name, ())) != len(tables.get(name, (0,)))
    ]
    value = {"version": VERSION, "place": str(stored.get("place", ""))[:200], "places": entries}
    return value, _("{lost}: wrong kind of entry").format(lost=", ".join(lost)) if lost else ""


FILE = KeptFile(lambda: path(), MOST_BYTES, _understood)


def _entries():
    try:
        return FILE.found()[0]["places"]
    except OSError:
        return {}


def chosen():
    """The crank whose places are offered first, and its name: the first that can be read."""
    for name in own.names():
        try:
            return own.load(name), name
        except ValueError:
            continue
    return own.load(EXAMPLES[0]), EXAMPLES[0]


def unread(place):
    """Mains of a place's crank of which nothing is kept, the place itself left out; None where the
    place names no crank.
    """
    name = place.partition(OF)[2]
    try:
        crank = own.load(name)
    except ValueError:
        return None
    read, _unused = of_crank(_entries(), name)
    mains = [f"main {number}" for number in range(1, len(crank.journals) + 1)]
    return tuple(
        main
        for main in mains
        if f"{main}{OF}{name}" != place
        and not any(read.get(main, {}).get(key) for key in ("text", "file"))
    )


def places():
    """Names a form offers: mains and pins of the reader's own crank (or the first example), what is
    kept besides, practice parts.
    """
    crank, name = chosen()
    named = [f"main {number}{OF}{name}" for number in range(1, len(crank.journals) + 1)] + [
        f"pin {number}{OF}{name}" for number in range(1, len(crank.throws) + 1)
    ]
    entries = _entries()
    kept = [name for name in entries if name not in named and not name.startswith(PRACTICE)]
    other = _("another place {startswith}").format(
        startswith=sum(name.startswith("another place") for name in kept) + 1
    )
    return (*named, *kept, other, *(PRACTICE + name for name in practice.dial_names()))


def load(place=""):
    """Place, what is kept of it, every field as typed, and a sentence that is empty unless the file
    could not be read.

    Without a name it is the place last shown. A place that is not kept begins with unit, limit and
    dial of the last one, a practice part with its simulated readings.
    """
    try:
        kept, problem = FILE.read()
    except OSError as error:
        kept, problem = (
            _understood(None)[0],
            _("{path} is left as it is: it cannot be opened or written ({strerror}).").format(
                path=path(), strerror=error.strerror
            ),
        )
    last, entries = kept["place"], kept["places"]
    offered = places()
    place = place or (last if last in offered else offered[0])
    metric = progress.read()["units"] == "mm"
    new = {
        **FIELDS,
        "unit": "mm" if metric else "thousandth",
        "indicator": "3 um" if metric else "0.1 thou",
    }
    before = [name for name in (*entries, last) if name in entries]
    mine = [name for name in before if not name.startswith(PRACTICE)]
    if mine:
        new |= {key: text for key, text in entries[mine[-1]].items() if key not in ONCE}
    if place.startswith(PRACTICE):
        name = place.removeprefix(PRACTICE)
        new |= {
            "text": practice.pasted(name),
            "held": practice.held(name),
            "allowed": "15 um" if metric else "0.6 thou",
            "division": as_text(practice.division(name)),
            "indicator": "1 um" if metric else "0.04 thou",
        }
    return place, {**new, **entries.get(place, {})}, problem


def save(place, entry):
    """Keep every field of a place as typed; a sentence on what went wrong, else empty.

    The file is written whole or not at all; what another window stored of other places stays.
    """
    try:
        return FILE.change(
            lambda kept: {**kept, "place": place, "places": {**kept["places"], place: entry}}
        )
    except OSError as error:
        return _("Not kept: {path} cannot be written ({strerror}).").format(
            path=path(), strerror=error.strerror
        )
