"""What all widgets share: their scripts and styles, and an answer to every message of the page."""

from pathlib import Path

import anywidget


def script(module, suffix, *before):
    """Script or style beside a widget's module, after what all widgets share.

    before: Names of files beside the module that stand between the two.
    """
    module = Path(module)
    parts = (Path(__file__), *(module.with_name(name) for name in before), module)
    return "".join(path.with_suffix(suffix).read_text(encoding="utf-8") for path in parts)


class Linked(anywidget.AnyWidget):
    """A widget that confirms every message of its page, with the error if one was raised.

    A derived class acts on a message in ``receive(message)``.
    """

    def __init__(self):
        super().__init__()
        self.on_msg(self._taken)

    def _taken(self, _, message, __):
        trouble = "not worked out"
        try:
            self.receive(message)
            trouble = ""
        except Exception as error:
            trouble = f"{type(error).__name__}: {error}"
            raise  # into the log, with the way it went
        finally:
            self.send({"type": "taken", "trouble": trouble[:300]})
