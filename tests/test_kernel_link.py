"""Messages of a page, as a kernel of several threads hands them over (ipykernel 7.4 does, JupyterLab's subshells)."""

import threading

import pytest

from crankbook.lesson.kernel_link import Linked


class Told(Linked):
    """Keeps what it received and what it answered."""

    _esm = "export default { render() {} }"

    def __init__(self):
        super().__init__()
        self.events, self.answered = [], []

    def send(self, content, buffers=None):
        self.answered.append((content["page"], content["turn"]))
        self.events.append(content["trouble"] or "answer")

    def receive(self, message):
        self.events.append(message["text"])
        message.get("meanwhile", lambda: None)()


def test_messages_act_in_the_order_in_which_they_were_sent():
    """Each page counts its own; an answer follows each message."""
    told = Told()
    sent = [("a", 1), ("b", 0), ("a", 2), ("a", 0), ("b", 1)]
    for page, turn in sent:
        told._handle_custom_msg({"page": page, "turn": turn, "text": f"{page}{turn}"}, [])
    texts = [one for one in told.events if one != "answer"]
    assert texts == ["b0", "a0", "a1", "a2", "b1"] and told.events[1::2] == ["answer"] * 5


@pytest.mark.parametrize("same_page", [True, False])
def test_a_message_waits_until_the_last_is_answered(same_page):
    told, other = Told(), Told()
    other.events = told.events  # two forms of one page, say
    late = {"page": "a", "turn": 1 if same_page else 0, "text": "late"}
    thread = threading.Thread(
        target=(told if same_page else other)._handle_custom_msg, args=(late, [])
    )

    def meanwhile():
        thread.start()
        thread.join(0.3)
        told.events.append("done")

    told._handle_custom_msg({"page": "a", "turn": 0, "text": "first", "meanwhile": meanwhile}, [])
    thread.join()
    assert told.events == ["first", "done", "answer", "late", "answer"]


def test_an_error_keeps_no_later_message_back():
    told = Told()
    told._handle_custom_msg({"page": "a", "turn": 1, "text": "later"}, [])
    told._handle_custom_msg({"page": "a", "turn": 0, "text": "first", "meanwhile": None}, [])
    assert told.events[0] == "first" and told.events[2:] == ["later", "answer"]
    assert "NoneType" in told.events[1]


def test_a_message_sent_again_is_answered_and_not_acted_on_twice():
    """A page sends again what was not answered when its line broke, also where only the answer was lost."""
    told = Told()
    for turn, text in ((0, "first"), (1, "second"), (0, "first"), (1, "second"), (2, "third")):
        told._handle_custom_msg({"page": "a", "turn": turn, "text": text}, [])
    assert [one for one in told.events if one != "answer"] == ["first", "second", "third"]
    assert told.answered == [("a", 0), ("a", 1), ("a", 0), ("a", 1), ("a", 2)]
