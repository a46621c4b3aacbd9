"""The reader's own cranks: a file each in the reader's folder, by name, with earlier versions.

Lesson 01 writes them; every panel offers them, the one last saved or chosen first.
"""

from dataclasses import replace
from datetime import datetime

from crankmath.crank import EXAMPLES, Crank
from crankmath.files import FileTroubleError, alone, make_folder
from crankmath.language import _

from . import progress
from .own_files import MISTAKES, OwnFiles, file_stamp, file_stem

LONGEST_NAME = 30  # characters: more does not fit above a drawing
MOST_EARLIER = 20  # versions kept of one crank
_examples: dict = {}  # crank by the name of an example
_paths: dict = {}  # file by label, as last found


def folder():
    """Folder of the reader's own cranks, my-cranks in the reader's folder."""
    return progress.folder() / "my-cranks"


def label(crank):
    """Name under which lists offer a crank of the reader's: never that of an example."""
    return f"my {crank.name}"[:LONGEST_NAME] if crank.name in EXAMPLES else crank.name


def _single():
    """File of earlier editions."""
    return (progress.folder() / "my-crank.toml",)


_cranks = OwnFiles("crank", folder, Crank.load, label, _single)
_found, _read = _cranks.found, _cranks.read


def own_names(say=print):
    """Labels of the reader's own cranks, the chosen one first."""
    chosen = progress.read().get("crank", "")
    return tuple(sorted(_found(say), key=lambda name: (name != chosen, name.casefold())))


def names():
    """What a list of cranks offers: the reader's own, the chosen one first, then the examples."""
    return (*own_names(), *EXAMPLES)


def is_own(name):
    """Whether a name in :func:`names` is that of a crank of the reader's."""
    return name not in EXAMPLES


def choose(name):
    """Put a crank of the reader's first in every list."""
    progress.write("crank", None, name)


def path_of(name):
    """File of an own crank; ValueError if it is gone."""
    path = _found(say=lambda _unused: None).get(name)
    if path is None:
        raise ValueError(
            _(
                "your own crank, {name}, is gone or cannot be read: choose another crank, or save "
                "yours again in lesson 01"
            ).format(name=name[:LONGEST_NAME])
        )
    return path


def load(name):
    """Crank of a name in :func:`names`; the same object as long as its file stays as it is.

    Raises ValueError where the file is gone, cannot be opened or has a mistake.
    """
    if not is_own(name):
        if name not in _examples:
            _examples[name] = Crank.load(name)
        return _examples[name]
    try:
        path = _paths.get(name)  # so that no folder is read while a slider moves
        here = path and path.parent in (folder(), progress.folder()) and path.is_file()
        if not here or label(_read(path)) != name:
            path = _paths[name] = path_of(name)
        return _read(path)
    except FileTroubleError as error:
        raise ValueError(str(error)) from None


def stamp(name):
    """What changes when the file of an own crank does; None for an example."""
    if not is_own(name):
        return None
    load(name)
    return file_stamp(_paths[name])


def save(crank, instead_of=""):
    """Write a crank under its name, whole or not at all, and put it first in every list.

    What that name held before becomes an earlier version. ``instead_of``, the label of another
    own crank, renames it: it leaves the lists and stays among the earlier versions.
    """
    make_folder(folder())
    crank = replace(crank, name=label(crank))
    with alone(folder() / "cranks"):
        known = _found(say=lambda _unused: None)
        path = known.get(crank.name)
        if path is None:
            path = _cranks.free_path(crank.name)
        elif instead_of not in ("", crank.name):
            raise ValueError(
                _("there is another crank named “{name}”: type another name").format(
                    name=crank.name
                )
            )
        elif _read(path) != crank:
            keep_version(_read(path))
        crank.save(path)
        if instead_of in known and instead_of != crank.name:
            _put_away(known[instead_of])
    choose(crank.name)
    return path


def put_away(name):
    """Take an own crank out of the lists; it stays among the earlier versions."""
    with alone(folder() / "cranks"):
        _put_away(path_of(name))


def _put_away(path):
    keep_version(_read(path))
    path.unlink()


def keep_version(crank):
    """Store a crank among the earlier versions, unless it is the newest one of its name there."""
    place, stem = folder() / "earlier", file_stem(crank.name)
    make_folder(place)
    versions = sorted(place.glob(f"{stem}.*.toml"), key=_number)
    number = _number(versions[-1]) + 1 if versions else 1
    if not versions or _holds_other(versions[-1], crank):
        crank.save(place / f"{stem}.{number}.toml")
    for old in versions[: max(0, len(versions) - MOST_EARLIER)]:
        old.unlink()


def _holds_other(path, crank):
    """Whether a file holds another crank, or none that can be read."""
    try:
        return _read(path) != crank
    except (OSError, *MISTAKES):
        return True


def earlier():
    """Earlier versions that can be read: file by name and time, newest first."""
    found = {}
    files = sorted((folder() / "earlier").glob("*.toml"), key=lambda one: -one.stat().st_mtime_ns)
    for path in files:
        try:
            when = datetime.fromtimestamp(path.stat().st_mtime)
            label_of = f"{_read(path).name}, {when:%Y-%m-%d %H:%M:%S}"
            while label_of in found:  # two of one second
                label_of += " (2)"
            found[label_of] = path
        except (OSError, *MISTAKES):
            continue
    return found


def _number(path):
    word = path.stem.rpartition(".")[2]
    return int(word) if word.isdigit() else 0
