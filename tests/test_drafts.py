"""A form's draft: what a page keeps while it is open, and what it leaves to other windows."""

import json
import os

import pytest

from crankbook.forms.draft import MOST_BYTES, Draft

pytestmark = pytest.mark.usefixtures("own_folder")


def draft(form="sizes"):
    return Draft("my-draft.json", form)


def test_what_is_kept_comes_back_with_the_name_of_its_form(own_folder):
    one = draft()
    assert one.read() is None and one.take_up(dict) == (None, "")
    assert one.keep({"size": 3}) == ""
    assert draft().read() == {"format": "sizes", "version": 1, "size": 3}
    assert draft().take_up(lambda state: state["size"]) == (3, "")
    with pytest.raises(ValueError, match="“other” of version 1"):
        draft("other").read()
    assert one.path == own_folder / "my-draft.json"


@pytest.mark.parametrize("text", ["[]", "{}", '{"format": "sizes", "version": 2}', "no json"])
def test_a_file_of_another_kind_is_put_aside_and_said(own_folder, text):
    (own_folder / "my-draft.json").write_text(text)
    found, said = draft().take_up(dict)
    assert (
        found is None and "my-draft.damaged-1.json" in said and said.endswith("A new one begins.")
    )
    assert (own_folder / "my-draft.damaged-1.json").read_text() == text
    assert not (own_folder / "my-draft.json").exists()


def test_a_draft_larger_than_any_form_is_not_read(own_folder):
    state = {"format": "sizes", "version": 1, "text": ""}
    state["text"] = "x" * (MOST_BYTES + 1 - len(json.dumps(state)))
    (own_folder / "my-draft.json").write_text(json.dumps(state))
    assert draft().take_up(dict)[0] is None


def test_what_another_window_wrote_is_kept_beside(own_folder):
    one, other = draft(), draft()
    one.keep({"size": 1})
    assert one.keep({"size": 2}) == "", "its own it replaces"
    assert "my-draft.other-1.json" in other.keep({"size": 9})
    assert json.loads((own_folder / "my-draft.other-1.json").read_text())["size"] == 2
    assert other.keep({"size": 10}) == "" and draft().read()["size"] == 10
    assert one.keep({"size": 10}) == "", "the same content is nobody's loss"


def test_a_draft_is_discarded_by_the_window_that_wrote_it(own_folder):
    one, other = draft(), draft()
    one.keep({"size": 1})
    other.discard()
    assert one.path.exists(), "it has written nothing"
    one.discard()
    assert not one.path.exists()
    one.keep({"size": 1})
    other.keep({"size": 2})
    one.discard()
    assert draft().read()["size"] == 2, "another window's stays"
    other.discard()
    assert not other.path.exists()


def test_a_draft_put_by_is_found_again_newest_first(own_folder):
    one = draft()
    assert one.put_by() is None and one.versions() == []
    for size in (1, 2, 3):
        one.keep({"size": size})
        put = one.put_by()
        assert put.name == f"my-draft.before-{size}.json" and not one.path.exists()
        os.utime(put, ns=(size * 10**9, size * 10**9))
    assert [json.loads(path.read_text())["size"] for path in one.versions()] == [3, 2, 1]
