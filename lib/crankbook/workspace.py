"""The lessons' folder, the reader's own folder, and copying from one to the other."""

import hashlib
import json
import os
import sys
from pathlib import Path

from crankmath.files import BROWSER, make_folder, read_json, write_whole

START = "00-start-here.ipynb"
INSTALLED = Path(__file__).parent / "workbook"  # where a wheel carries the lessons


def tree():
    """Folder of the lessons above this file or above the current folder, or None."""
    for start in (Path(__file__).resolve(), Path.cwd() / "here"):
        for folder in start.parents:
            if (folder / "workbook" / START).is_file() and folder != INSTALLED.parent:
                return folder / "workbook"
    return None


def find_workbook():
    """Folder of the lessons: the tree's, or those that were installed with the package."""
    if found := tree():
        return found
    if (INSTALLED / START).is_file():
        return INSTALLED
    raise SystemExit(
        "The lessons were not found. Type this command inside the workbook's folder, the one "
        "with README.md in it."
    )


def work_folder():
    """The reader's own folder: CRANKMATH_WORK, my-work in the tree, or crankmath-work at home."""
    if chosen := os.environ.get("CRANKMATH_WORK"):
        return Path(chosen).expanduser()
    if found := tree():
        return found.parent / "my-work"
    if (INSTALLED / START).is_file():
        return Path.home() / "crankmath-work"
    return find_workbook()  # says where to type the command


# patterns of what is for an instructor alone
INSTRUCTORS = ("solutions/*.ipynb", "instructor-guide.ipynb")


def is_kept():
    """Whether the reader's folder outlives this session: in a browser only where the lessons lie
    beside it.
    """
    return not BROWSER or (work_folder().parent / START).is_file()


def lessons(workbook, withheld=()):
    """Every file of the lessons, their pictures among them, but for those of the patterns
    ``withheld``.
    """
    patterns = ("*.ipynb", "solutions/*.ipynb", "cranks/*.toml", "pictures/*.*")
    left_out = {path for pattern in withheld for path in workbook.glob(pattern)}
    return sorted({path for pattern in patterns for path in workbook.glob(pattern)} - left_out)


def copy_lessons(workbook, own, withheld=()):
    """Copy lessons that the reader has not changed; never overwrite the reader's work.

    Returns the names of lessons whose new text was put beside the reader's copy.
    """
    make_folder(own)
    record = own / ".lessons.json"
    try:
        known = read_json(record, 1_000_000)
    except (OSError, ValueError):
        known = {}
    known = known if isinstance(known, dict) else {}
    beside = []
    for lesson in lessons(workbook, withheld):
        name = lesson.relative_to(workbook).as_posix()
        new, mine = _fingerprint(lesson), own / name
        if mine.exists() and known.get(name) == new:
            continue
        number, whole = 1, mine
        while mine.exists() and _fingerprint(mine) not in (known.get(name), new):
            mine = whole.with_name(
                f"{whole.stem}-new{'' if number == 1 else f'-{number}'}{whole.suffix}"
            )
            number += 1
        if number > 1:
            beside.append(mine.name)
        mine.parent.mkdir(exist_ok=True)
        write_whole(mine, lesson.read_bytes())
        known[name] = new
    write_whole(record, json.dumps(known, indent=1))
    return beside


def _fingerprint(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def prepare(whose="Your own", withheld=()):
    """The reader's folder with the lessons in it, set as CRANKMATH_WORK for what starts next; None,
    and why in print, where it cannot be written.

    - ``withheld``: Patterns of files that are not copied.
    """
    own = work_folder().resolve()
    try:
        beside = copy_lessons(find_workbook(), own, withheld)
    except OSError as error:
        print(
            f"{whose} folder {own} cannot be written ({error.strerror}). "
            "Set CRANKMATH_WORK to a folder that can.",
            file=sys.stderr,
        )
        return None
    for name in beside:
        print(f"A newer lesson lies beside your changed copy: {name}")
    os.environ["CRANKMATH_WORK"] = str(own)
    return own
