"""The reader's own files of one kind, a crank or a lathe each: read once, found by name."""

import os
import re
import unicodedata

import pint

from crankmath.files import set_aside
from crankmath.language import _

MISTAKES = (TypeError, ValueError, pint.DimensionalityError)


class OwnFiles:
    """Files of a kind: ``folder()`` holds them, ``load(path)`` reads one, ``label(thing)`` is the
    name in lists; ``before()`` are files that stand elsewhere.
    """

    def __init__(self, kind, folder, load, label, before=tuple):
        self.kind, self.folder, self.load, self.label = kind, folder, load, label
        self.before, self._loaded = before, {}

    def read(self, path):
        """What a file holds; the same object as long as the file stays as it is."""
        stamp = file_stamp(path)
        if self._loaded.get(path, (None,))[0] != stamp:
            self._loaded[path] = stamp, self.load(path)
        return self._loaded[path][1]

    def found(self, say=print):
        """Files that can be read, by label; what cannot be read is named."""
        found = {}
        for path in (*self.before(), *sorted(self.folder().glob("*.toml"))):
            if not path.is_file() or ".damaged-" in path.name:
                continue
            try:
                name = self.label(self.read(path))
                while name in found:
                    name += " (2)"
                found[name] = path
            except (OSError, *MISTAKES) as error:
                say(
                    _("Your own {kind}, {name}, is left out: {error}").format(
                        kind=self.kind, name=path.name, error=error
                    )
                )
        return found

    def free_path(self, name):
        """A new file; one that stands there and cannot be read is moved aside."""
        stem = file_stem(name, self.kind)
        path, number = self.folder() / f"{stem}.toml", 1
        while os.path.lexists(path):
            try:
                self.read(path)
            except (OSError, *MISTAKES):
                print(
                    _("{name} could not be read; it is kept as {set_aside_name}.").format(
                        name=path.name, set_aside_name=set_aside(path).name
                    )
                )
                break
            number += 1
            path = path.with_name(f"{stem}-{number}.toml")
        return path


def file_stamp(path):
    """What changes when a file does."""
    found = path.stat()
    return str(path), found.st_mtime_ns, found.st_size


def file_stem(name, otherwise="crank"):
    """A name in plain small letters, figures and dashes, as a file bears it."""
    plain = "".join(map(_plain_letter, unicodedata.normalize("NFKD", name.casefold())))
    return "-".join(re.findall(r"[a-z0-9_]+", plain))[:40].strip("-_") or otherwise


_LATIN = re.compile(r"LATIN SMALL (?:LETTER|LIGATURE) (?:\w+ )*?(\w\w?)(?: WITH .*)?$")


def _plain_letter(letter):
    """A small letter in plain ones: ł as l, æ as ae by their names in Unicode; accents
    and other scripts are left out.
    """
    if letter.isascii():
        return letter
    found = _LATIN.match(unicodedata.name(letter, ""))
    return found[1].casefold() if found else {"ð": "d", "þ": "th", "ə": "e"}.get(letter, "")
