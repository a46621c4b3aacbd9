"""A form with every size of a crank: type, see it drawn, save it as the reader's own part."""

import re
from dataclasses import replace

import traitlets

from crankmath.crank import EXAMPLES, Crank, steels
from crankmath.units import as_text

from ..lesson import own, progress
from ..lesson.kernel_link import Linked, script
from ..lesson.pictures import png_address
from ..pictures.crank_drawing import crank_drawing
from . import crank_words
from .crank_words import HEAD, described, keys, text_of, words

HINTS = {
    "radius": "half the stroke",
    "angle": "0° is up",
    "web_reach": "past each axis",
    "fillet": "at the web",
}


class CrankForm(Linked):
    """Fields for name, units, steel, journals and throws of one crank, with its drawing.

    ``crank`` is the last crank that can exist. A typed size that cannot be is answered in words at its field and kept there;
    every other field goes on working. ``on_change(callback)`` calls ``callback(crank)`` after each change.

    Parameters
    ----------
    crank : Crank, optional
        To begin with; the reader's saved own crank without it, or the first example under a new name.
    """

    _esm = script(__file__, ".js")
    _css = script(__file__, ".css")
    spec = traitlets.Dict().tag(sync=True)
    picture = traitlets.Dict().tag(sync=True)

    def __init__(self, crank=None):
        super().__init__()
        if crank is None:
            names = own.names()
            crank = (
                own.load(own.NAME)
                if own.NAME in names
                else crank_words.start_from(Crank.load(EXAMPLES[0]))
            )
        self.callbacks, self.crank = [], None
        self.load(crank)

    def on_change(self, callback):
        """Call ``callback(crank)`` after each change of the crank; returns the callback."""
        self.callbacks.append(callback)
        return callback

    def load(self, crank):
        """Show another crank; what was typed and not taken is dropped."""
        self.typed, self.refused, self.status, self.fresh = {}, {}, f"{crank.name} is loaded.", True
        self._adopt(crank)

    def set(self, said, text):
        """Type into a field from a cell: ``form.set("throw 1 radius", "20 mm")``; returns the sentence of the form."""
        for key in crank_words.find(self.crank, said):
            self._type(key, text)
        return self.status

    def receive(self, message):
        """Act on a message of the page; whatever happens, the page gets an answer."""
        kind, self.fresh = message.get("type"), False
        if kind == "edit":
            key = message["key"]
            self._type(key if key in HEAD else tuple(key), message["text"])
        elif kind == "start":
            self._start(message["name"])
        elif kind == "add":
            self._restructure(
                lambda: crank_words.with_throw_added(self.crank), len(self.crank.throws), +1
            )
        elif kind == "remove":
            index = int(message["index"])
            self._restructure(lambda: crank_words.with_throw_removed(self.crank, index), index, -1)
        elif kind == "back":
            self.typed = {key: text for key, text in self.typed.items() if key not in self.refused}
            self.refused, self.status, self.fresh = {}, "What was not taken is put back.", True
            self._show()
        elif kind == "save":
            self.save()

    def save(self):
        """Write the crank as the reader's own part; the form says where, or why not."""
        if self.refused:
            self.status = (
                "Not saved: " + self._list_of_refused() + " Mend it, or put it back, then save."
            )
            return self._show()
        try:
            file = own.save(self.crank)
            self.status = f"Saved as {file}. Every panel now offers it as “{own.NAME}”: run a lesson's panel cell again to see it there."
        except OSError as error:
            self.status = f"Not saved: {own.path().parent} cannot be written ({error.strerror}). Set CRANKMATH_WORK to a folder of yours and start again."
        self._show()

    def _type(self, key, text):
        """Take what was typed at one place together with whatever waits at others."""
        if key == "units":
            return self._switch(text)
        before, self.typed[key] = self.crank, str(text)
        waiting = {other: self.typed[other] for other in self.refused if other != key}
        crank, self.refused = crank_words.take(self.crank, {**waiting, key: str(text)})
        echo = "" if key in self.refused else f"{words(key)} read as {text_of(crank, key)}. "
        self.status = (
            echo
            + (
                f"Not taken: {self._list_of_refused()} The drawing keeps the last crank that can be made."
                if self.refused
                else ""
            )
        ).strip()
        if crank == before:
            return self._show()
        self._adopt(crank)

    def _switch(self, units):
        """Show the sizes in other units: converted, never relabeled; what waits is written with the unit it was typed in."""
        if units not in ("mm", "in"):
            self.status = f"units must be mm or in, not “{units}”"
            return self._show()
        waiting = {key: self.typed[key] for key in self.refused}
        for key, text in waiting.items():
            if (
                key not in HEAD
                and key[2] != "angle"
                and re.fullmatch(r"[-+−]?[\d.,/\s-]+", text.strip())
            ):
                waiting[key] = f"{text.strip()} {self.crank.units}"
        self.typed, self.fresh, self.status = (
            waiting,
            True,
            f"Sizes in {'mm' if units == 'mm' else 'inches'}.",
        )
        self._adopt(replace(self.crank, units=units))

    def _start(self, name):
        """Begin from an example under a new name, or from the saved crank."""
        try:
            crank = own.load(name)
        except (OSError, TypeError, ValueError) as error:
            self.status = f"Not loaded: {error}"
            return self._show()
        self.load(crank if name == own.NAME else crank_words.start_from(crank))

    def _restructure(self, change, index, step):
        """Add or remove a throw; what waits at other places moves along with them."""
        try:
            crank = change()
        except ValueError as error:
            self.status = f"Not done: {crank_words.told(error)[0]}."
            return self._show()
        throws = len(self.crank.throws)
        journal = throws if step > 0 else min(index + 1, throws - 1)
        moved = {}
        for key in self.typed:
            if key in HEAD:
                moved[key] = key
                continue
            group, number, field = key
            edge = journal if group == "journals" else index
            if step > 0 or number != edge:
                moved[key] = group, number + (step if number >= edge else 0), field
        self.typed = {place: self.typed[key] for key, place in moved.items()}
        waiting = {moved[key]: self.typed[moved[key]] for key in self.refused if key in moved}
        self.status = (
            f"Throw {throws + 1} added at the right, a copy of throw {throws} turned by 180°."
            if step > 0
            else f"Throw {index + 1} removed."
        )
        crank, self.refused = crank_words.take(crank, waiting)
        self._adopt(crank)

    def _list_of_refused(self):
        return "; ".join(self.refused.values()).rstrip(".") + "."

    def _adopt(self, crank):
        """Show a crank that can exist and tell those who asked."""
        self.crank = crank
        figure = crank_drawing(crank)
        self.picture = {
            "address": png_address(figure, dpi=160),
            "alt": described(crank),
            "width": float(figure.get_size_inches()[0] * 100),
        }
        self._show()
        for callback in self.callbacks:
            callback(crank)

    def _field(self, key):
        """What the page shows at one place."""
        text = self.typed.get(key, text_of(self.crank, key))
        taken = key in self.typed and key not in self.refused
        shown = {
            "key": key,
            "label": words(key) if key in HEAD else key[2].replace("_", " "),
            "text": text,
            "problem": self.refused.get(key, ""),
            "note": "",
        }
        if key in HEAD:
            return shown
        if taken and text.strip() != text_of(self.crank, key):
            shown["note"] = f"read as {text_of(self.crank, key)}"
        return {**shown, "hint": HINTS.get(key[2], ""), "spoken": words(key)}

    def _show(self):
        """Send the page what its fields hold."""
        groups, ends = {}, len(self.crank.throws)
        for key in keys(self.crank):
            side = (
                {0: ", left end", ends: ", right end"}.get(key[1], "")
                if key[0] == "journals"
                else ""
            )
            groups.setdefault(
                f"{'Journal' if key[0] == 'journals' else 'Throw'} {key[1] + 1}{side}", []
            ).append(self._field(key))
        steel = self.crank.steel
        self.spec = {
            "name": self._field("name"),
            "units": self.crank.units,
            "steel": steel,
            "steels": [*steels.NAMES, *({steel} - set(steels.NAMES))],
            "starts": list(own.names()),
            "throws": ends,
            "status": self.status,
            "waiting": bool(self.refused),
            "fresh": self.fresh,
            "groups": [{"title": title, "fields": shown} for title, shown in groups.items()],
            "projector": bool(progress.read()["projector"]),
            "length": f"Length over all {as_text(self.crank.length, self.crank.units, 6)}.",
        }
        self.fresh = False
