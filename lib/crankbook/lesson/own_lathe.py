"""The reader's own lathes: a file each, by name. The chosen one stands under panels, plans and new
jobs; without one it is the night school's.
"""

from dataclasses import replace

from crankmath.files import alone, make_folder, write_whole
from crankmath.language import _
from crankmath.lathe import load_lathe

from . import progress
from .own_files import OwnFiles

SCHOOL = load_lathe()


def folder():
    """Folder of the reader's own lathes, my-lathes in the reader's folder."""
    return progress.folder() / "my-lathes"


def _label(lathe):
    """Name under which lists offer a lathe of the reader's: never the school's."""
    return f"my {lathe.name}" if lathe.name == SCHOOL.name else lathe.name


_lathes = OwnFiles("lathe", folder, load_lathe, _label)
_found, _read = _lathes.found, _lathes.read


def names(say=print):
    """What a list of lathes offers: the reader's own, the chosen one first, then the school's."""
    chosen = progress.read()["lathe"]
    own_ones = sorted(_found(say), key=lambda name: (name != chosen, name.casefold()))
    return (*own_ones, SCHOOL.name)


def load(name):
    """Lathe of a name in :func:`names`; ValueError if it is gone or cannot be read."""
    if name == SCHOOL.name:
        return SCHOOL
    troubles = []
    path = _found(troubles.append).get(name)
    if path is None:
        why = f" {troubles[0]}" if troubles else ""
        known = ", ".join(names(troubles.append))
        raise ValueError(
            _("there is no lathe “{name}”; there are {known}.{why}").format(
                name=name[:60], known=known, why=why
            )
        )
    return _read(path)


def find(source):
    """Lathe of a file, or of a name in :func:`names` where there is no such file."""
    known = names(lambda _unused: None)
    if source in known:
        return load(source)
    try:
        return load_lathe(source)
    except FileNotFoundError as error:
        raise FileNotFoundError(
            _("{error}, or a lathe's name: {known}").format(error=error, known=", ".join(known))
        ) from None


def choose(name):
    """Put a lathe under every panel and plan, and first in every list; returns it."""
    lathe = load(name)
    progress.write("lathe", None, "" if lathe is SCHOOL else name)
    return lathe


def chosen():
    """The lathe chosen, the same object as long as its file stays; the school's if it is gone."""
    return _chosen()[0]


def _chosen():
    """The chosen lathe, and why it is the school's where another one was chosen."""
    name = progress.read()["lathe"]
    if not name:
        return SCHOOL, ""
    try:
        return load(name), ""
    except ValueError as error:
        return SCHOOL, _("This is the school's lathe: {error}").format(error=error)


def under(job):
    """A job on the chosen lathe; as it is where that is the school's."""
    lathe = chosen()
    return job if lathe is SCHOOL else job.with_lathe(lathe)


def marked(finding):
    """A finding with a line on whose lathe it holds for, where that is not the school's."""
    lathe, trouble = _chosen()
    if lathe is SCHOOL and not trouble:
        return finding
    return replace(
        finding,
        lines=(*finding.lines, trouble or _("On your lathe, {name}.").format(name=lathe.name)),
    )


def save(lathe):
    """Write a lathe under its name, whole or not at all, and choose it; returns its file.

    What that name held before is kept in the folder ``earlier`` beside it.
    """
    if lathe.name == SCHOOL.name:
        raise ValueError(
            _("“{name}” is the school's: type another name for yours").format(name=lathe.name)
        )
    make_folder(folder())
    with alone(folder() / "lathes"):
        path = _found(say=lambda _unused: None).get(lathe.name)
        if path is None:
            path = _lathes.free_path(lathe.name)
        elif _read(path).to_toml() != lathe.to_toml():
            _keep_version(path)
        lathe.save(path)
    choose(lathe.name)
    return path


def _keep_version(path):
    earlier, number = folder() / "earlier", 1
    make_folder(earlier)
    while (place := earlier / f"{path.stem}.{number}.toml").exists():
        number += 1
    write_whole(place, path.read_bytes())
