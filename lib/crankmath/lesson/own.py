"""The reader's own crank: one file in the reader's folder, written by lesson 01, offered in every panel."""

import pint

from ..crank import EXAMPLES, Crank
from . import progress

NAME = "my crank"
_kept = {}


def path():
    """The file of the reader's own crank, my-crank.toml in the reader's folder."""
    return progress.folder() / "my-crank.toml"


def save(crank):
    """Write the reader's own crank whole or not at all.

    Parameters
    ----------
    crank : Crank

    Returns
    -------
    Path

    Raises
    ------
    OSError
        The folder cannot be written.

    Notes
    -----
    Basis: derived.
    """
    file = path()
    file.parent.mkdir(parents=True, exist_ok=True)
    crank.save(file)
    return file


def names():
    """What a panel's list of cranks offers: the reader's own first, if it can be read, then the examples.

    Returns
    -------
    tuple of str

    Notes
    -----
    Basis: derived. A file that cannot be read is named in a printed sentence and left as it is.
    """
    if not path().is_file():
        return EXAMPLES
    try:
        load(NAME)
    except (OSError, TypeError, ValueError, pint.DimensionalityError) as error:
        print(f"Your own crank, {path().name}, is left out: {error}")
        return EXAMPLES
    return (NAME, *EXAMPLES)


def load(name):
    """Crank of a name in ``names()``; the same object as long as the file stays as it is.

    Parameters
    ----------
    name : str

    Returns
    -------
    Crank

    Raises
    ------
    ValueError
        There is no such example, or the own file has a mistake.
    OSError
        The own file cannot be opened.

    Notes
    -----
    Basis: derived.
    """
    stamp = path().stat().st_mtime_ns if name == NAME else 0
    if _kept.get(name, (None,))[0] != (stamp, str(path())):
        _kept[name] = (stamp, str(path())), Crank.load(path() if name == NAME else name)
    return _kept[name][1]
