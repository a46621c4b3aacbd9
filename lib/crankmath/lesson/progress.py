"""The reader's own file: predictions, answers, units, projector. One JSON, written whole or not at all."""

import json
import os
from pathlib import Path

VERSION = 1
EMPTY = {"version": VERSION, "units": "mm", "projector": False, "predictions": {}, "answers": {}}


def folder():
    """The reader's own folder; inside the workbook's tree it is my-work, elsewhere the current folder."""
    from ..__main__ import work_folder

    try:
        return work_folder()
    except SystemExit:
        return Path.cwd() / "my-work"


def read():
    """The stored progress; a file that cannot be read is kept aside and named.

    Returns
    -------
    dict

    Notes
    -----
    Basis: derived.
    """
    path = folder() / "progress.json"
    try:
        stored = json.loads(path.read_text(encoding="utf-8"))
        if not isinstance(stored, dict) or stored.get("version") != VERSION:
            raise ValueError("another version")
    except (FileNotFoundError, NotADirectoryError):
        return {**EMPTY, "predictions": {}, "answers": {}}
    except (ValueError, RecursionError):
        aside = path.with_suffix(".damaged.json")
        path.replace(aside)
        print(f"Your progress file could not be read; it is kept as {aside.name} and a new one begins.")
        return {**EMPTY, "predictions": {}, "answers": {}}
    clean = {key: stored.get(key) if isinstance(stored.get(key), type(value)) else value for key, value in EMPTY.items()}
    clean["units"] = clean["units"] if clean["units"] in ("mm", "in") else "mm"
    return clean


def write(group, key, value):
    """Store one entry of a group ("predictions", "answers"), or a setting when key is None.

    Notes
    -----
    Basis: derived. A folder that cannot be written is said once, in words; nothing else stops.
    """
    stored = read()
    if key is None:
        stored[group] = value
    else:
        stored[group] = {**stored[group], key: value}
    path = folder() / "progress.json"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        beside = path.with_name(f".progress-{os.getpid()}.json")
        beside.write_text(json.dumps(stored, indent=1), encoding="utf-8")
        beside.replace(path)
    except OSError as error:
        print(f"Progress was not saved: {path.parent} cannot be written ({error.strerror}).")
