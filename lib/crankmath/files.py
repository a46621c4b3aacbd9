"""The reader's files: read with a sentence for whatever is wrong, written whole or not at all, by one window at a time, kept aside when damaged."""

import contextlib
import errno
import json
import os
import stat
import time
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None
    import msvcrt

LONGEST_WAIT = 5.0  # s, for another window that is writing
BUSY = (errno.EACCES, errno.EAGAIN, errno.EDEADLK)


class FileTroubleError(OSError):
    """A file that cannot be opened or written, told in a sentence of ours."""

    def __init__(self, error, path, sentence):
        super().__init__(error.errno, error.strerror or str(error), str(path))
        self.sentence = sentence

    def __str__(self):
        return self.sentence


def path_of(source, wanted):
    """The path of a file, or an error that says what is wanted, for example "the path of a crank's .toml file"."""
    if not isinstance(source, str | os.PathLike) or not str(source).strip() or "\0" in str(source):
        raise TypeError(f"the file has to be {wanted}, not {repr(source)[:60]}")
    return Path(source)


def read_text(path, most, missing=""):
    """Text of a UTF-8 file of at most so many bytes, with or without a mark before the text.

    Parameters
    ----------
    path : Path
    most : int
    missing : str
        What to say where there is no such file.

    Returns
    -------
    str

    Raises
    ------
    FileNotFoundError
        There is no such file, or it is a folder.
    FileTroubleError
        It cannot be opened.
    ValueError
        It is too large, or no text.
    """
    if not os.path.isfile(path):
        raise FileNotFoundError(missing or f"no file “{path}”")
    try:
        with open(path, "rb") as store:
            raw = store.read(most + 1)
    except OSError as error:
        cure = "close it where it is open, or allow yourself to read it"
        raise FileTroubleError(
            error, path, f"“{path}” cannot be opened ({error.strerror}): {cure}"
        ) from None
    if len(raw) > most:
        raise ValueError(f"“{path}” is too large: it has more than {most} bytes")
    return decoded(raw, f"“{path}”")


def decoded(raw, name, windows=None):
    """Text of a file's bytes: UTF-8, or UTF-16 with its mark; else Windows-1252 if that is wanted.

    Spreadsheets on Windows save plain CSV as Windows-1252. Any bytes but zeros are then text, so
    ``windows`` is a function that shows the reader the sentence it is called with.
    ValueError where it is not text.
    """
    try:
        return raw.decode("utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError as error:
        if windows and b"\0" not in raw:
            windows(
                f"{name} is not UTF-8; it is read as Windows text. See if its letters are right."
            )
            return raw.decode("cp1252", errors="replace")
        raise ValueError(
            f"{name} is not UTF-8 text (byte {error.start}): save it as UTF-8"
        ) from None


def read_json(path, most, missing=""):
    """What a JSON file holds; parameters and errors as for :func:`read_text`, ValueError also where it is no JSON."""
    text = read_text(path, most, missing)
    try:
        return json.loads(text)
    except json.JSONDecodeError as error:
        raise ValueError(f"“{path}” is not a JSON file: {error}") from None
    except (ValueError, RecursionError):
        raise ValueError(
            f"“{path}” is not a JSON file: it holds a number of thousands of digits, or brackets in brackets without end"
        ) from None


def write_whole(path, text):
    """Write a file whole or not at all: beside its place, and moved there once it is on the disk.

    A link is followed to the file it names. A file marked read-only stays as it is.

    Parameters
    ----------
    path : str or Path
    text : str or bytes
        Text is written as UTF-8.

    Raises
    ------
    FileTroubleError
        The folder or the file cannot be written; what stood there before is still there.
    """
    place = Path(os.path.realpath(path_of(path, "the path of a file to write")))
    beside = place.parent / f".{place.name[:40]}-{os.getpid()}.part"  # two windows never share one
    stored = text if isinstance(text, bytes) else text.encode("utf-8")
    try:
        if place.is_file() and not place.stat().st_mode & stat.S_IWUSR:
            raise PermissionError(errno.EACCES, "it is marked read-only")
        try:
            with open(beside, "wb") as store:
                store.write(stored)
                store.flush()
                os.fsync(store.fileno())
            _move(beside, place)
        except BaseException:
            with contextlib.suppress(OSError):
                beside.unlink()
            raise
    except OSError as error:
        raise FileTroubleError(
            error,
            path,
            (
                f"“{path}” cannot be written ({error.strerror or error}); what it held before is still there. "
                "Make room on the disk, close the file where it is open, or choose another folder"
            ),
        ) from None


def _move(beside, place):
    """Put a file in its place; on Windows another program may hold the old one for a moment."""
    for wait in (0.02, 0.1, 0.3):
        try:
            return beside.replace(place)
        except PermissionError:
            time.sleep(wait)
    return beside.replace(place)


def make_folder(path):
    """Make a folder and those above it, unless it is there.

    Raises
    ------
    FileTroubleError
        It cannot be made.
    """
    try:
        Path(path).mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileTroubleError(
            error,
            path,
            f"the folder “{path}” cannot be made ({error.strerror or error}): choose another one",
        ) from None


def set_aside(path, word="damaged"):
    """Move a file out of the way, beside its place and over no other; returns the new path.

    Parameters
    ----------
    path : Path
    word : str
        Put into the new name: my-job.json becomes my-job.damaged-1.json.

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    number = 1
    while os.path.lexists(aside := path.with_name(f"{path.stem}.{word}-{number}{path.suffix}")):
        number += 1
    return path.replace(aside)


@contextlib.contextmanager
def alone(path):
    """Keep other windows from changing a file while it is read and written again: ``with alone(path): ...``.

    Holds a lock on a hidden file beside it, which the system frees when a window closes, in whatever way.

    Raises
    ------
    OSError
        The folder cannot be written, or another window holds the file for longer than five seconds.
    """
    make_folder(path.parent)
    with open(path.with_name(f".{path.name}.lock"), "ab") as lock:
        end = time.monotonic() + LONGEST_WAIT
        while not _held(lock, True):
            if time.monotonic() > end:
                raise FileTroubleError(
                    TimeoutError(errno.ETIMEDOUT, "another window is writing it"),
                    path,
                    f"“{path}” is being written by another window: close that, then try again",
                )
            time.sleep(0.01)
        try:
            yield
        finally:
            _held(lock, False)


def _held(lock, wanted):
    """Take or give back the lock; False while another has it. A disk that knows no locks lets everyone pass."""
    try:
        if fcntl:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB if wanted else fcntl.LOCK_UN)
        else:
            lock.seek(0)
            msvcrt.locking(lock.fileno(), msvcrt.LK_NBLCK if wanted else msvcrt.LK_UNLCK, 1)
    except OSError as error:
        return error.errno not in BUSY
    return True


class KeptFile:
    """A JSON file of the reader's that several windows read and change; of a damaged one, what can be read goes on.

    Parameters
    ----------
    path : callable
        Gives the file's path, which may change with the reader's folder.
    most : int
        Bytes that are read at most.
    understood : callable
        Of what the file holds: (value, what is wrong in words or nothing). Of None, the value to begin with.
    """

    def __init__(self, path, most, understood):
        self.path, self.most, self.understood = path, most, understood

    def found(self):
        """What can be read, and what is wrong with the file; the file is left as it is."""
        try:
            return self.understood(read_json(self.path(), self.most))
        except FileNotFoundError:
            return self.understood(None)[0], ""
        except ValueError as error:
            return self.understood(None)[0], str(error)

    def read(self):
        """What can be read, and a sentence where the file had something wrong and was moved aside.

        Raises
        ------
        OSError
            The file cannot be opened, or what is damaged cannot be written anew.
        """
        value, wrong = self.found()
        return self._changed(lambda known: known) if wrong else (value, "")

    def change(self, how):
        """Write the file anew, ``how(value)``, while no other window writes it; the sentence of :meth:`read`.

        Raises
        ------
        OSError
            It cannot be written; what it held is still there.
        """
        return self._changed(how)[1]

    def _changed(self, how):
        with alone(self.path()):
            value, wrong = self.found()
            said = ""
            if wrong:
                aside = set_aside(self.path())
                said = f"{self.path().name} could not be read ({wrong[:200]}); it is kept as {aside.name}, and what can be read of it goes on."
            value = how(value)
            write_whole(self.path(), json.dumps(value, indent=1))
        return value, said
