"""The reader's own crank: one file in the reader's folder, written by lesson 01, offered in every panel."""

import os

import pint

from crankmath.crank import EXAMPLES, Crank
from crankmath.files import FileTroubleError, alone, set_aside, write_whole

from . import progress

NAME = "my crank"
MISTAKES = (TypeError, ValueError, pint.DimensionalityError)
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
    Basis: derived. Another crank that stood there is kept as my-crank.before.toml, a file that could not be read under a name of its own.
    """
    file = path()
    with alone(file):
        try:
            before = Crank.load(file)
            if before != crank:
                write_whole(file.with_name("my-crank.before.toml"), file.read_bytes())
        except FileNotFoundError:
            pass
        except MISTAKES:
            print(f"{file.name} could not be read; it is kept as {set_aside(file).name}.")
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
    if not os.path.isfile(path()):
        return EXAMPLES
    try:
        load(NAME)
    except (OSError, *MISTAKES) as error:
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
    FileNotFoundError
        There is no such example.
    ValueError
        The own file is gone, cannot be opened, or has a mistake.

    Notes
    -----
    Basis: derived.
    """
    if name != NAME:
        file, stamp = name, ()
    else:
        file = path()
        try:
            found = file.stat()
        except OSError as error:
            raise ValueError(
                f"your own crank, {file.name}, is gone ({error.strerror}): choose another crank, or save yours again in lesson 01"
            ) from None
        stamp = str(file), found.st_mtime_ns, found.st_size
    if _kept.get(name, (None,))[0] != stamp:
        try:
            _kept[name] = stamp, Crank.load(file)
        except FileTroubleError as error:
            raise ValueError(str(error)) from None
    return _kept[name][1]
