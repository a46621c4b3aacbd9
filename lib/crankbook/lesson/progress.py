"""The reader's own file: predictions, answers, units, projector. One JSON, written whole or not at
all.
"""

from pathlib import Path

from crankmath.files import KeptFile
from crankmath.language import _

from ..workspace import work_folder

VERSION = 1
EMPTY = {
    "version": VERSION,
    "units": "mm",
    "projector": False,
    "crank": "",  # of the reader's own cranks, the one that heads every list
    "lathe": "",  # of the reader's own lathes, the one under panels and plans
    "predictions": {},
    "answers": {},
}
MOST_BYTES = 5_000_000


def folder():
    """The reader's own folder; inside the workbook's tree it is my-work, elsewhere the current
    folder.
    """
    try:
        return work_folder()
    except SystemExit:
        return Path.cwd() / "my-work"


def path():
    """The file of predictions, answers and settings, progress.json in the reader's folder."""
    return folder() / "progress.json"


def read():
    """The stored progress; a file that cannot be read, or only in part, is kept aside and named.

    What can be read of a damaged file is used.
    """
    try:
        stored, said = FILE.read()
    except OSError as error:
        print(
            _(
                "Your progress file {path} is left as it is: it cannot be opened or written "
                "({strerror})."
            ).format(path=path(), strerror=error.strerror)
        )
        return _understood(None)[0]
    if said:
        print(said)
    return stored


def write(group, key, value):
    """Store one entry of a group ("predictions", "answers"), or a setting when key is None.

    What another window stored meanwhile stays. A folder that cannot be written is said in words;
    nothing else stops.
    """
    try:
        said = FILE.change(
            lambda stored: {
                **stored,
                group: value if key is None else {**stored[group], key: value},
            }
        )
    except OSError as error:
        said = _(
            "Progress was not saved: {path} cannot be written ({strerror}). Make room, or set "
            "CRANKMATH_WORK to a folder of yours."
        ).format(path=path(), strerror=error.strerror)
    if said:
        print(said)


def _understood(stored):
    """Progress as far as it can be read, and what is wrong with it."""
    begun = {**EMPTY, "predictions": {}, "answers": {}}
    if not isinstance(stored, dict) or stored.get("version") != VERSION:
        return begun, _("it is of another version")
    right = {
        key: stored[key] for key, value in EMPTY.items() if isinstance(stored.get(key), type(value))
    }
    if right.get("units") not in ("mm", "in"):
        right.pop("units", None)
    wrong = [key for key in EMPTY if key in stored and key not in right]
    return {
        **stored,
        **begun,
        **right,
    }, _("{wrong}: wrong kind of value").format(wrong=", ".join(wrong)) if wrong else ""


FILE = KeptFile(lambda: path(), MOST_BYTES, _understood)
