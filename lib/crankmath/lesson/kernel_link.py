"""What the widgets of the course share: scripts and styles put together, and an answer to every message of the page."""

from pathlib import Path

import anywidget

HERE = Path(__file__).parent


def script(name):
    """The text of a widget's file behind what all share; ``panel.js`` or ``panel.css``, for example."""
    return "".join(
        (HERE / f"{stem}{Path(name).suffix}").read_text(encoding="utf-8")
        for stem in ("kernel_link", Path(name).stem)
    )


class Linked(anywidget.AnyWidget):
    """A widget that tells its page of every message that it has arrived, and of an error of ours; ``receive(message)`` acts on it."""

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
