"""The reader's files: read with a readable error, written whole, by one window at a time.

A file is written whole or not at all, and moved aside when it is damaged.
"""

import contextlib
import errno
import json
import os
import stat
import sys
import time
from pathlib import Path

BROWSER = sys.platform == "emscripten"  # Python inside a page: one process, which knows no locks
if not BROWSER:
    from filelock import FileLock, Timeout

LONGEST_WAIT = 5.0  # s, for another window that is writing
LOCKLESS = (errno.ENOSYS, errno.ENOLCK, errno.EOPNOTSUPP)  # what a disk that knows no locks says


class FileTroubleError(OSError):
    """A file that cannot be opened or written, with a readable sentence."""

    def __init__(self, error, path, sentence):
        super().__init__(error.errno, error.strerror or str(error), str(path))
        self.sentence = sentence

    def __str__(self):
        return self.sentence


def path_of(source, wanted):
    """Path of a file, or an error that says what is wanted, as "the path of a .toml file"."""
    if not isinstance(source, str | os.PathLike) or not str(source).strip() or "\0" in str(source):
        raise TypeError(f"the file has to be {wanted}, not {repr(source)[:60]}")
    return Path(source)


def read_text(path, most, missing=""):
    """Text of a UTF-8 file of at most ``most`` bytes, with or without a mark before the text.

    ``missing`` is the sentence for a file that is not there (FileNotFoundError). FileTroubleError
    where it cannot be opened, ValueError where it is too large or not text.
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
    """Contents of a JSON file, as :func:`read_text`; ValueError also where it is not JSON."""
    text = read_text(path, most, missing)
    try:
        return json.loads(text)
    except json.JSONDecodeError as error:
        raise ValueError(f"“{path}” is not a JSON file: {error}") from None
    except (ValueError, RecursionError):
        raise ValueError(
            f"“{path}” is not a JSON file: "
            "it holds a number of thousands of digits, or brackets in brackets without end"
        ) from None


def write_whole(path, text):
    """Write a file whole or not at all: beside its place, and moved there once it is on the disk.

    A text is written as UTF-8. A link is followed to the file it names, a file marked read-only
    stays as it is. FileTroubleError where it cannot be written; the old file is kept.
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
                f"“{path}” cannot be written ({error.strerror or error}); "
                "what it held before is still there. Make room on the disk, "
                "close the file where it is open, or choose another folder"
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
    """Make a folder and those above it, unless it is there; FileTroubleError where that fails."""
    try:
        Path(path).mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileTroubleError(
            error,
            path,
            f"the folder “{path}” cannot be made ({error.strerror or error}): choose another one",
        ) from None


def set_aside(path, word="damaged"):
    """Move a file out of the way, beside its place and over no other; its new path.

    ``word`` goes into the name: my-job.json becomes my-job.damaged-1.json.
    """
    number = 1
    while os.path.lexists(aside := path.with_name(f"{path.stem}.{word}-{number}{path.suffix}")):
        number += 1
    return path.replace(aside)


@contextlib.contextmanager
def alone(path):
    """Keep other windows from changing a file while it is read and written again.

    ``with alone(path): ...`` holds a lock on a hidden file beside it, which the system frees when a
    window closes, in whatever way. OSError where the folder cannot be written, or another window
    holds the file for longer than five seconds. A disk that knows no locks lets everyone pass, and
    so does a browser.
    """
    make_folder(path.parent)
    if BROWSER:
        yield
        return
    lock = FileLock(path.with_name(f".{path.name}.lock"), timeout=LONGEST_WAIT, poll_interval=0.01)
    try:
        lock.acquire()
    except Timeout:
        raise FileTroubleError(
            TimeoutError(errno.ETIMEDOUT, "another window is writing it"),
            path,
            f"“{path}” is being written by another window: close that, then try again",
        ) from None
    except NotImplementedError:
        pass
    except OSError as error:
        if error.errno not in LOCKLESS:
            raise FileTroubleError(
                error,
                path,
                f"“{path}” cannot be written ({error.strerror or error}): "
                "choose another folder, or allow yourself to write into this one",
            ) from None
    try:
        yield
    finally:
        lock.release()


class KeptFile:
    """A JSON file of the reader's that several windows read and change.

    ``path()`` is where it stands, which may change with the reader's folder; ``most`` the bytes
    read at most. ``understood(content)`` returns (value, what is wrong in words or nothing), for
    None the value to begin with. What can be read of a damaged file is used.
    """

    def __init__(self, path, most, understood):
        self.path, self.most, self.understood = path, most, understood

    def found(self):
        """Readable value, and what is wrong with the file; the file is left as it is."""
        try:
            return self.understood(read_json(self.path(), self.most))
        except FileNotFoundError:
            return self.understood(None)[0], ""
        except ValueError as error:
            return self.understood(None)[0], str(error)

    def read(self):
        """Readable value, and a sentence where the file was damaged and moved aside."""
        value, wrong = self.found()
        return self._changed(lambda known: known) if wrong else (value, "")

    def change(self, how):
        """Write ``how(value)`` while no other window writes; the sentence of :meth:`read`.

        OSError where it cannot be written; what it held is still there.
        """
        return self._changed(how)[1]

    def _changed(self, how):
        with alone(self.path()):
            value, wrong = self.found()
            said = ""
            if wrong:
                aside = set_aside(self.path())
                said = (
                    f"{self.path().name} could not be read ({wrong[:200]}); "
                    f"it is kept as {aside.name}, and what can be read of it goes on."
                )
            value = how(value)
            write_whole(self.path(), json.dumps(value, indent=1))
        return value, said
