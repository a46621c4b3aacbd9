"""A form with every size of a crank: type, see it drawn, save it as the reader's own part."""

import re
from dataclasses import replace

import traitlets

from crankmath.crank import EXAMPLES, Crank, steels
from crankmath.language import _, spoken
from crankmath.units import as_text
from crankmath.wording import capital, ended

from ..lesson import own, progress
from ..lesson.kernel_link import Linked, script
from ..lesson.own_files import MISTAKES
from ..lesson.pictures import png_address
from ..pictures.crank_drawing import crank_drawing
from . import crank_words
from .crank_words import HEAD, PARTS, described, keys, spoken_words, text_of
from .draft import Draft

DRAFT = "my-crank-draft.json"
HINTS = {
    "radius": _("half the stroke"),
    "angle": _("0° is up"),
    "web_reach": _("past each axis"),
    "fillet": _("at the web"),
}


class CrankForm(Linked):
    """Fields for name, units, steel, journals and throws of one crank, with its drawing.

    ``crank`` is the last possible crank. It begins as the one handed in, else as what was typed and
    not saved, else as the reader's own, else as the first example under a new name. An impossible
    size stays in its field with a sentence that says why; every other field keeps working.
    ``on_change(callback)`` calls ``callback(crank)`` after each change.
    """

    _esm = script(__file__, ".js")
    _css = script(__file__, ".css")
    spec = traitlets.Dict().tag(sync=True)
    picture = traitlets.Dict().tag(sync=True)

    def __init__(self, crank=None, keeps=True):
        super().__init__()
        self.callbacks, self.crank, self.origin, self.loaded = [], None, "", False
        self.draft = Draft(DRAFT, "crankmath crank form") if crank is None and keeps else None
        kept, said = self.draft.take_up(_understood) if self.draft else (None, "")
        if kept:
            crank, self.origin, typed = kept
            self._begin(
                crank, _("{name} is as you left it, not saved yet.").format(name=crank.name), typed
            )
        else:
            own_names = own.own_names()
            self.origin = own_names[0] if crank is None and own_names else ""
            self.load(crank or (own.load(self.origin) if own_names else _example(EXAMPLES[0])))
        if said:
            self.status = f"{said} {self.status}"
            self._show()

    def on_change(self, callback):
        """Call ``callback(crank)`` after each change of the crank; returns the callback."""
        self.callbacks.append(callback)
        return callback

    def load(self, crank):
        """Show another crank; what was typed and not taken is dropped."""
        self._begin(crank, _("{name} is loaded.").format(name=crank.name))

    def _begin(self, crank, status, typed=None):
        self.status, self.fresh, self.loaded = status, True, True
        self.safe = crank if typed is None else None  # the crank as it is stored somewhere
        crank, self.refused = crank_words.take(crank, typed or {})
        self.typed = {key: text for key, text in (typed or {}).items() if key in self.refused}
        self._adopt(crank)
        self.loaded = False

    def set(self, said, text):
        """Type into a field from a cell: ``form.set("throw 1 radius", "20 mm")``; returns the
        sentence of the form.
        """
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
            self.refused, self.status, self.fresh = {}, _("What was not taken is put back."), True
            self._show()
        elif kind == "save":
            self.save()
        elif kind == "rename":
            self.save(self.origin)
        elif kind == "earlier":
            self._bring_back(message["name"])
        elif kind == "away":
            self._put_away()

    def save(self, instead_of=""):
        """Write the crank as one of the reader's own; the form says where, or why not."""
        if self.refused:
            self.status = _("Not saved: {list_of_refused} Correct it, or put it back.").format(
                list_of_refused=self._list_of_refused()
            )
            return self._show()
        new = own.label(self.crank) not in own.own_names(say=lambda _unused: None)
        try:
            file = own.save(self.crank, instead_of)
        except ValueError as error:
            self.status = _("Not saved: {error}").format(error=ended(error))
            return self._show()
        except OSError as error:
            self.status = _(
                "Not saved: {folder} cannot be written ({strerror}). Set CRANKMATH_WORK to a "
                "folder of yours and start again."
            ).format(folder=own.folder(), strerror=error.strerror)
            return self._show()
        self.origin = own.label(self.crank)
        self.crank = replace(self.crank, name=self.origin)
        before = "" if new else _(" The version before it is kept under “bring back”.")
        renamed = (
            _(" It was {instead_of} before.").format(instead_of=instead_of)
            if instead_of not in ("", self.origin)
            else ""
        )
        self.status = _(
            "Saved as {file}.{renamed}{before} Every panel now offers “{origin}” first: run a "
            "lesson's panel cell again to see it there."
        ).format(file=file, renamed=renamed, before=before, origin=self.origin)
        self.safe, self.typed, self.fresh = self.crank, {}, True
        self._show()

    def _unsaved(self):
        """Whether closing the page would lose anything that is stored nowhere else."""
        return bool(self.refused) or self.crank != self.safe

    def _keep_unsaved(self):
        """Store what another crank replaces; a sentence that says so."""
        if not self._unsaved():
            return ""
        try:
            own.keep_version(self.crank)
        except OSError as error:
            return _(" {name} was not saved and could not be kept ({strerror}).").format(
                name=self.crank.name, strerror=error.strerror
            )
        return _(" {name} was not saved: it is kept under “bring back”.").format(
            name=self.crank.name
        )

    def _bring_back(self, name):
        """Show an earlier version; it is saved only when the reader saves it."""
        path = own.earlier().get(name)
        if path is None:
            self.status = _("“{name}” is no longer there.").format(name=name[:60])
            return self._show()
        said, crank = self._keep_unsaved(), Crank.load(path)
        self.origin = own.label(crank)
        self._begin(
            crank,
            _("Brought back: {name}. Save it to use it in the lessons.{said}").format(
                name=name, said=said
            ),
        )

    def _put_away(self):
        """Take the crank out of the lists and show the next one."""
        gone, said = self.origin, self._keep_unsaved()
        try:
            own.put_away(gone)
        except (OSError, ValueError) as error:
            self.status = _("Not put away: {error}").format(error=error)
            return self._show()
        self._start(own.names()[0])
        self.status = _("{gone} is out of the lists; it is kept under “bring back”.{said}").format(
            gone=gone, said=said
        )
        self._show()

    def _type(self, key, text):
        """Take what was typed at one place together with whatever waits at others."""
        if key == "units":
            return self._switch(text)
        before, self.typed[key] = self.crank, str(text)
        waiting = {other: self.typed[other] for other in self.refused if other != key}
        crank, self.refused = crank_words.take(self.crank, {**waiting, key: str(text)})
        echo = (
            ""
            if key in self.refused
            else _("{words} read as {size}. ").format(
                words=spoken_words(key), size=text_of(crank, key)
            )
        )
        self.status = (
            echo
            + (
                _(
                    "Not taken: {list_of_refused} The drawing keeps the last crank that can be "
                    "made."
                ).format(list_of_refused=self._list_of_refused())
                if self.refused
                else ""
            )
        ).strip()
        if crank == before:
            return self._show()
        self._adopt(crank)

    def _switch(self, units):
        """Show the sizes in other units: converted, never relabeled; what waits is written with the
        unit it was typed in.
        """
        if units not in ("mm", "in"):
            self.status = _("units must be mm or in, not “{units}”").format(units=units)
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
            _("Sizes in {words}.").format(words="mm" if units == "mm" else _("inches")),
        )
        self._adopt(replace(self.crank, units=units))

    def _start(self, name):
        """Begin from an example under a new name, or from an own crank, which then heads the
        lists."""
        try:
            crank = own.load(name)
        except (OSError, *MISTAKES) as error:
            self.status = _("Not loaded: {error}").format(error=error)
            return self._show()
        said = self._keep_unsaved()
        if own.is_own(name):
            own.choose(name)
            self.origin = name
            return self._begin(
                crank,
                _("{name} is loaded and heads every list.{said}").format(name=name, said=said),
            )
        self.origin = ""
        self._begin(_example(name), _("Started from {name}.{said}").format(name=name, said=said))

    def _restructure(self, change, index, step):
        """Add or remove a throw; what waits at other places moves along with them."""
        try:
            crank = change()
        except ValueError as error:
            self.status = _("Not done: {error}").format(
                error=ended(crank_words.in_words(error, self.crank.units)[0])
            )
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
            _("Throw {throws} added at the right, a copy of throw {copied} turned by 180°.").format(
                throws=throws + 1, copied=throws
            )
            if step > 0
            else _("Throw {index} removed.").format(index=index + 1)
        )
        crank, self.refused = crank_words.take(crank, waiting)
        self._adopt(crank)

    def _list_of_refused(self):
        return ended("; ".join(self.refused.values()))

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
            "label": _(key if key in HEAD else key[2].replace("_", " ")),
            "text": text,
            "problem": self.refused.get(key, ""),
            "note": "",
        }
        if key in HEAD:
            return shown
        if taken and text.strip() != text_of(self.crank, key):
            shown["note"] = _("read as {size}").format(size=text_of(self.crank, key))
        return {**shown, "hint": HINTS.get(key[2], ""), "spoken": spoken_words(key)}

    def _show(self):
        """Send the page what its fields hold."""
        if self.draft and self._unsaved():
            waiting = [[key, self.typed[key]] for key in self.refused]
            state = {"crank": self.crank.to_dict(), "origin": self.origin, "typed": waiting}
            self.status += self.draft.keep(state)
        elif self.draft:
            self.draft.discard()
        groups, ends = {}, len(self.crank.throws)
        for key in keys(self.crank):
            side = (
                {0: _(", left end"), ends: _(", right end")}.get(key[1], "")
                if key[0] == "journals"
                else ""
            )
            groups.setdefault(
                capital(f"{spoken(f'{PARTS[key[0]][0]} {key[1] + 1}')}{side}"), []
            ).append(self._field(key))
        steel = self.crank.steel
        self.spec = {
            "name": self._field("name"),
            "units": self.crank.units,
            "steel": steel,
            "steels": [*steels.NAMES, *({steel} - set(steels.NAMES))],
            "starts": list(own.names()),
            "origin": self.origin,
            "earlier": list(own.earlier()),
            "throws": ends,
            "status": self.status,
            "waiting": bool(self.refused),
            "fresh": self.fresh,
            "groups": [{"title": title, "fields": shown} for title, shown in groups.items()],
            "projector": bool(progress.read()["projector"]),
            "length": _("Length over all {length}.").format(
                length=as_text(self.crank.length, self.crank.units, 6)
            ),
        }
        self.fresh = False


def _example(name):
    return crank_words.start_from(Crank.load(name))


def _understood(state):
    """Crank, label of the own crank it came from, and what waits, from a kept draft."""
    typed = {key if isinstance(key, str) else tuple(key): str(text) for key, text in state["typed"]}
    return Crank.from_dict(state["crank"]), str(state["origin"]), typed
