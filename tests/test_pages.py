"""States stored for single pages: the grid, and that a page holds what the live panel shows."""

import base64
import gzip
import json
import re
from dataclasses import replace

import numpy as np
import pytest

from crankbook.editions import pages, stored
from crankbook.lesson.panel import Choice, Control
from crankbook.lessons import modules
from crankmath.units import Quantity

pytestmark = pytest.mark.usefixtures("own_folder")
LENGTH = Control("size", "Size", ("mm", 0, 10, 0.5), ("in", 0, 0.4, 0.02), Quantity(2.5, "mm"))
WORD = Choice("word", "Word", ("one", "two", "three"), "two")


@pytest.mark.parametrize("states", [8, 60, 500, 100_000])
def test_grid_is_even_holds_the_beginning_and_every_word(states):
    grid = stored.axes((LENGTH, WORD), states)
    sizes = np.array([size.m_as("mm") for size in grid["size"]])
    assert grid["word"] == ["one", "two", "three"]
    assert 2.5 in sizes and sizes.min() >= 0 and sizes.max() <= 10
    assert np.diff(sizes) == pytest.approx(np.diff(sizes)[0])
    assert len(sizes) <= max(stored.LEAST, states // 3)
    if states == 100_000:
        assert sizes == pytest.approx(np.arange(0, 10.25, 0.5))  # every step it has: 0 to 10 by 0.5


def test_one_that_plays_has_enough_places_and_none_are_given_away():
    turn = Control("turn", "Turn", ("deg", 0, 360, 2), ("deg", 0, 360, 2), Quantity(360.0, "deg"))
    for plays, least in ((60, stored.PLAYED), (0, stored.LEAST)):
        grid = stored.axes((replace(turn, plays=plays), LENGTH, WORD), 30)
        places = [one.m_as("deg") for one in grid["turn"]]
        assert len(places) == least and places[0] == 0 and places[-1] == 360
    # from 4 of 10 by 0.5: a step of half the way would leave two places
    four = replace(LENGTH, value=Quantity(4.0, "mm"))
    assert [one.m_as("mm") for one in stored.axes((four,), 3)["size"]] == [0, 4, 8]


def unpacked(text):
    """What a page stores: (words, bytes)."""
    found = [
        gzip.decompress(base64.b64decode(re.search(rf'id="{part}">([^<]*)<', text)[1]))
        for part in ("stored-words", "stored-bytes")
    ]
    return json.loads(found[0]), found[1]


def array(words, raw, number):
    start, length, kind = words["blobs"][number]
    return np.frombuffer(raw, kind, length, start)


def without_bytes(item):
    return {
        key: value for key, value in item.items() if key not in ("points", "value", "triangles")
    }


@pytest.mark.parametrize("name, states", [("lesson-04", 60), ("stress-riser", 60)])
def test_stored_states_are_the_live_panels(name, states):
    wanted = next(page for page in pages.every_page() if page.name == name)
    text, count = pages.make(wanted, states)
    words, raw = unpacked(text)
    assert count == words["gridSize"] + len(words["presets"])
    stage = {"stage": True} if wanted.stage else {}
    panel = modules()[wanted.module].panel(**stage)
    compared = 0
    for units in ("mm", "in"):
        if panel.units != units:
            panel.receive({"type": "units"})
        system = words["units"][units]
        refused = array(words, raw, system["refused"])
        for place in np.linspace(0, words["gridSize"] - 1, 7).astype(int):
            digits = np.unravel_index(place, [axis["size"] for axis in words["axes"]])
            shown = {
                axis["name"]: axis["shown"][units][digit]["value"]
                for axis, digit in zip(words["axes"], digits, strict=True)
            }
            panel.receive({"type": "set", "values": shown})
            assert words["refusals"][refused[place]] == panel.frame["problem"]
            if panel.frame["problem"]:
                continue
            rest = json.loads(words["words"][array(words, raw, system["rest"])[place]])
            assert rest["readout"] == panel.frame["readout"]
            numbers = [array(words, raw, column)[place] for column in system["columns"]]
            kept = [words["items"][number] for number in numbers if number >= 0]
            for mine, live in zip(kept, panel.frame["items"], strict=True):
                same_item(mine, live, words, raw)
                compared += 1
    assert compared > 20


def same_item(mine, live, words, raw):
    if live["kind"] != "shading":
        assert mine == json.loads(json.dumps(live))
        return
    assert without_bytes(mine) == without_bytes(live)
    points = array(words, raw, mine["points"]["blob"]) * mine["points"]["step"]
    assert points == pytest.approx(np.frombuffer(live["points"], np.float32), abs=0.026)
    value = mine["value"]["least"] + mine["value"]["step"] * array(
        words, raw, mine["value"]["blob"]
    )
    here = np.frombuffer(live["value"], np.float32)
    assert value == pytest.approx(here, abs=float(1e-4 * np.ptp(here) + 1e-9))
    assert np.array_equal(
        array(words, raw, mine["triangles"]["blob"]), np.frombuffer(live["triangles"], np.uint16)
    )


def test_class_pages_come_first_and_every_panel_has_a_page():
    every = pages.every_page()
    classes = ["chatter", "find-the-fault", "squeeze", "stress-riser"]
    assert [page.name for page in every[:4]] == classes
    panels = [name for name, module in modules().items() if hasattr(module, "panel")]
    first, *lessons = every[4:]
    assert (first.name, first.module) == ("lesson-00", "lesson_04")  # the first look borrows one
    assert [page.module for page in lessons] == panels
    assert [page.name for page in lessons] == [f"lesson-{name[-2:]}" for name in panels]


def test_what_is_wrong_is_said(tmp_path, capsys):
    assert pages.main([str(tmp_path), "--only", "squeezed"]) == 1
    assert "there is no page “squeezed”" in capsys.readouterr().err
    (tmp_path / "squeeze.html").write_text("mine")
    assert pages.main([str(tmp_path), "--only", "squeeze"]) == 1
    assert "was not made by this command" in capsys.readouterr().err
    assert (tmp_path / "squeeze.html").read_text() == "mine"
    assert pages.main([str(tmp_path), "--states", "3"]) == 2
