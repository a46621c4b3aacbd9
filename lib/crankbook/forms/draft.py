"""A form's state in a JSON file, so that closing a page loses nothing."""

import contextlib
import json
import os
from dataclasses import dataclass
from pathlib import Path

from crankmath.files import alone, read_json, set_aside, write_whole
from crankmath.language import _

from ..lesson import progress

VERSION, MOST_BYTES = 1, 2_000_000


@dataclass
class Draft:
    """State of a form, a dict, written after each change to a file in the reader's folder.

    ``form`` names the kind of form in the file. What another window wrote there is moved aside
    before it is replaced, and so is a file that cannot be read.
    """

    file: str
    form: str
    stored: bytes = b""  # what this form last read from its file or wrote to it

    @property
    def path(self):
        return progress.folder() / self.file

    def read(self):
        """The state, or None where nothing is kept; ValueError or OSError if it cannot be read."""
        try:
            state = read_json(self.path, MOST_BYTES)
        except FileNotFoundError:
            return None
        known = isinstance(state, dict) and (state.get("format"), state.get("version"))
        if known != (self.form, VERSION):
            raise ValueError(
                _("it is not a “{form}” of version {version}").format(
                    form=self.form, version=VERSION
                )
            )
        return state

    def take_up(self, understood):
        """``understood(state)`` and a sentence for the reader; None where nothing can be taken
        up."""
        try:
            state = self.read()
            found = None if state is None else understood(state)
            self.stored = self.path.read_bytes() if state else b""
            return found, ""
        except (ValueError, TypeError, KeyError, AttributeError, OSError) as error:
            said = _("{name} could not be read ({error})").format(name=self.path.name, error=error)
            try:
                return None, _("{said}; it is kept as {name}. A new one begins.").format(
                    said=said, name=set_aside(self.path).name
                )
            except OSError as trouble:
                return None, _("{said} and cannot be moved aside ({strerror}).").format(
                    said=said, strerror=trouble.strerror
                )

    def keep(self, state):
        """Write the state; a sentence where something has to be said, else empty."""
        state = {"format": self.form, "version": VERSION, **state}
        text, said = json.dumps(state, indent=1, ensure_ascii=False).encode("utf-8"), ""
        try:
            with alone(self.path):
                if self._changed_elsewhere(text):
                    aside = set_aside(self.path, "other").name
                    said = _(
                        " {name} held what another window wrote; it is kept as {aside}."
                    ).format(name=self.path.name, aside=aside)
                write_whole(self.path, text)
                self.stored = text
        except OSError as error:
            return _(" Not kept: {path} cannot be written ({strerror}).").format(
                path=self.path, strerror=error.strerror
            )
        return said

    def _changed_elsewhere(self, text):
        return os.path.lexists(self.path) and self.path.read_bytes() not in (self.stored, text)

    def discard(self):
        """Remove the file, if it is the one this form wrote: what it held is stored elsewhere."""
        if self.stored:
            with contextlib.suppress(OSError), alone(self.path):
                if self.path.read_bytes() == self.stored:
                    self.path.unlink()
            self.stored = b""

    def put_by(self):
        """Move the file aside to begin again; the path it has now, or None if there was none."""
        try:
            with alone(self.path):
                self.stored = b""
                return set_aside(self.path, "before") if os.path.lexists(self.path) else None
        except OSError:
            return None

    def versions(self):
        """Files put by, newest first."""
        stem, suffix = Path(self.file).stem, Path(self.file).suffix
        found = self.path.parent.glob(f"{stem}.before-*{suffix}")
        return sorted(found, key=lambda one: one.stat().st_mtime_ns, reverse=True)
