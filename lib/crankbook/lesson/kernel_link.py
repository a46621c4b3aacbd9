"""What all widgets share: their scripts and styles, and an answer to every message of the page."""

import re
import threading
from collections import Counter
from pathlib import Path

import anywidget
import traitlets

from crankmath.language import _

ALONE = threading.RLock()  # a kernel may hand the messages of one page to several threads
SAID = re.compile(r"\b_\(\"([^\"]+)\"\)")  # words of a page's script


def script(module, suffix, *before):
    """Script or style beside a widget's module, after what all widgets share.

    - ``before``: Names of files beside the module that stand between the two.
    """
    module = Path(module)
    parts = (Path(__file__), *(module.with_name(name) for name in before), module)
    return "".join(path.with_suffix(suffix).read_text(encoding="utf-8") for path in parts)


class Linked(anywidget.AnyWidget):
    """A widget that confirms every message of its page, with the error if one was raised.

    A derived class acts on a message in ``receive(message)``: on one at a time, those of a page in
    the order in which it sent them. ``words`` are those of its script in the reader's language,
    where they are not as they stand there.
    """

    words = traitlets.Dict().tag(sync=True)
    by_page = False  # while a message of the page is acted on

    def __init__(self):
        super().__init__()
        said = ((one, _(one)) for one in SAID.findall(str(self._esm)))
        self.words = {one: words for one, words in said if words != one}
        self._due, self._early = Counter(), {}  # of each page: the next turn, messages before it
        self.on_msg(self._arrived)

    def _arrived(self, _widget, message, _buffers):
        page = message.get("page")
        with ALONE:
            turn = message.get("turn", self._due[page])
            if turn < self._due[page]:  # sent again: the line broke before its answer came
                self._answer(message)
                return
            self._early[page, turn] = message
            self._take_turns(page)

    def _answer(self, message, trouble=""):
        of = {key: message.get(key) for key in ("page", "turn")}
        self.send({"type": "taken", "trouble": trouble[:300], **of})

    def _take_turns(self, page):
        message = self._early.pop((page, self._due[page]), None)
        if message is None:
            return
        self._due[page] += 1
        try:
            self._take(message)
        finally:
            self._take_turns(page)

    def _take(self, message):
        trouble, self.by_page = _("not worked out"), True
        try:
            self.receive(message)
            trouble = ""
        except Exception as error:
            trouble = f"{type(error).__name__}: {error}"
            raise  # into the log, with the way it went
        finally:
            self.by_page = False
            self._answer(message, trouble)
