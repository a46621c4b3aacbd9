"""Every panel and every exercise of every lesson, found by themselves: both ends, at random, in bursts, and 500 texts."""

import hashlib
import os
import random
import re
import sys
import warnings
from dataclasses import replace
from pathlib import Path

import matplotlib.pyplot as plt
import nbformat
import numpy as np
import pytest
from calls import ODD
from helpers import words_stand_apart
from matplotlib.text import Text

from crankbook.lesson import Finding, check, draw, own, predict
from crankbook.lesson import panel as panels
from crankbook.lesson.panel import Choice
from crankbook.lessons import modules
from crankmath.crank import Crank
from crankmath.units import Quantity, as_text

resource = pytest.importorskip("resource", reason="peak memory is read the POSIX way")
WORKBOOK = Path(__file__).parents[1] / "workbook"
LESSONS = modules()
PANELS = [name for name, module in LESSONS.items() if hasattr(module, "panel")]
# the machinery is one for all: one panel is moved longer; SWEEP=200 moves every one 2,000 times
SWEEP = int(os.environ.get("SWEEP", "40")) >= 200
LONG = PANELS if SWEEP else ("lesson_04",)
HANDED_OUT = Path(__file__).with_name("handed_out.csv").read_text(encoding="utf-8").splitlines()
each_panel = pytest.mark.parametrize("name", PANELS)


pytestmark = pytest.mark.usefixtures("own_folder")


def exercises():
    """Every maker that a lesson's notebook asks with, as (lesson's module, maker's name)."""
    found = []
    for path in sorted(WORKBOOK.glob("*.ipynb")):
        for cell in nbformat.read(path, as_version=4).cells:
            found += re.findall(r'lesson\.Exercise\("[\w-]+", (lesson_\d\d)\.(\w+)\)', cell.source)
    return found


def is_whole(panel):
    """The page always gets a picture, a sentence and every value."""
    frame = panel.frame
    assert frame["readout"].strip() and set(frame["values"]) == set(panel.controls)
    finding = panel.sentence
    if isinstance(finding, Finding):
        assert len(finding.headline.split()) <= 12 and finding.headline[0].isupper(), finding
        assert finding.headline.endswith((".", "?")) and all(finding.lines), finding
    assert "nan" not in re.findall(r"[a-z]+", frame["readout"].lower()), frame["readout"]
    for item in frame["items"]:
        for key in ("x", "y"):
            assert np.isfinite(item.get(key, 0.0)), item
        for name, along, *place in item.get("grips", ()):
            assert name in panel.controls and along in ("x", "y") and np.isfinite(place).all()
        if item["kind"] == "line":
            assert "nan" not in item["points"] and "inf" not in item["points"], item


def slides_well(control):
    """Ends and steps are round, a slider ends on a step, and an inch slider reaches as far as the metric one."""
    exact = [Quantity(size, control.mm[0]).m_as(control.inch[0]) for size in control.mm[1:]]
    for unit, low, high, step in (control.mm, control.inch):
        steps = (high - low) / step
        assert float(f"{step:e}"[:4]) in (1, 2, 2.5, 4, 5), "a step that hands count in"
        for halves in (2 * low / step, 2 * steps):  # of a step at most, so that no end is odd
            assert abs(halves - round(halves)) < 1e-6, (control.name, unit, low, high, step)
        assert 20 <= steps <= 1000, "a step is seen, and an arrow key gets there"
        assert unit != control.mm[0] or abs(steps - round(steps)) < 1e-6, control.name
        for size in (low, high, step):
            round_or_exact = [float(f"{size:.2g}"), *np.round(exact, 9)]
            assert size in round_or_exact, (control.name, unit, size)
    *ends, step = control.inch[1:]
    for metric, end in zip(exact, ends, strict=False):
        assert abs(end - metric) <= max(1.5 * step, 0.025 * abs(metric)), (control.name, end)
    assert 0.4 <= step / exact[-1] <= 2.6, (control.name, "steps are about as long")
    assert control.mm[1] <= control.value.m_as(control.mm[0]) <= control.mm[2]


@each_panel
@pytest.mark.parametrize("units", ["mm", "in"])
def test_both_ends_of_every_control(name, units):
    panel = LESSONS[name].panel()
    for control in panel.controls.values():
        isinstance(control, Choice) or slides_well(control)
    if units == "in":
        panel.receive({"type": "units"})
    for control in panel.controls.values():
        for value in control.options if isinstance(control, Choice) else control.scale(units)[1:3]:
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                panel.receive({"type": "set", "values": {control.name: value}})
            assert (
                not panel.frame["problem"] or " " in panel.frame["problem"]
            )  # sizes that do not go together are said
            assert (
                panel.frame["values"][control.name]["value"] == pytest.approx(value)
                if not isinstance(value, str)
                else True
            )
            is_whole(panel)


@each_panel
def test_every_corner_of_two_controls_at_once(name):
    panel = LESSONS[name].panel()
    source = random.Random(name)
    for _ in range(60 if SWEEP else 25):
        sent = {}
        for control in panel.controls.values():
            sent[control.name] = (
                source.choice(control.options)
                if isinstance(control, Choice)
                else source.choice(control.scale(panel.units)[1:3])
            )
        panel.receive({"type": "set", "values": sent})
        is_whole(panel)


@each_panel
def test_a_burst_leaves_the_last_value_and_no_memory(name):
    panel = LESSONS[name].panel()
    source = random.Random(name)
    sliders = [control for control in panel.controls.values() if not isinstance(control, Choice)]

    def burst(moves):
        for _ in range(moves):
            control = source.choice(sliders)
            low, high = control.scale(panel.units)[1:3]
            last = low + (high - low) * source.random()
            panel.receive({"type": "set", "values": {control.name: last}})
        return control, last

    burst(40)  # fills what is kept on purpose
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    moves = 2000 if SWEEP else 500 if name in LONG else 30
    control, last = burst(moves)
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / (
        1024 if sys.platform == "linux" else 1024**2
    )
    assert panel.frame["values"][control.name]["value"] == pytest.approx(last)
    assert not plt.get_fignums(), "a figure was left open"
    assert grown < 20, f"{grown:.0f} MB more at the peak after {moves} moves"


@each_panel
def test_texts_of_every_kind(name):
    panel = LESSONS[name].panel()
    source = random.Random(name)
    letters = "0123456789.,/-+ eE mminNkdegrpm\"'<>&%°µ½\n\t"
    texts = ODD + [
        "".join(source.choice(letters) for _ in range(source.randrange(1, 25)))
        for _ in range((500 if SWEEP else 200 if name in LONG else 80) - len(ODD))
    ]
    for text in texts:
        control = source.choice(list(panel.controls.values()))
        before = dict(panel.values)
        panel.receive({"type": "type", "name": control.name, "text": text})
        if panel.frame["typed"]:
            assert panel.frame["typed"] == control.name and panel.frame["problem"]
            assert panel.values == before, "a refused text must change nothing"
        is_whole(panel)


@each_panel
@pytest.mark.parametrize("units", ["mm", "in"])
def test_what_a_message_offers_is_taken(name, units):
    panel = LESSONS[name].panel()
    if units == "in":
        panel.receive({"type": "units"})
    for control in panel.controls.values():
        if isinstance(control, Choice):
            continue
        panel.receive({"type": "type", "name": control.name, "text": "wide"})
        offered = re.search("write for example (.+?)[.;]?$", panel.frame["problem"])
        assert offered, panel.frame["problem"]
        panel.receive({"type": "type", "name": control.name, "text": offered[1]})
        assert not panel.frame["problem"], (control.name, offered[1], panel.frame["problem"])


@each_panel
def test_presets_units_and_projector(name, monkeypatch):
    module, drawn, address = LESSONS[name], [], panels.png_address
    monkeypatch.setattr(
        panels, "png_address", lambda paper, **looks: drawn.append(paper) or address(paper, **looks)
    )
    panel = module.panel()
    for preset in panel.presets:
        panel.receive({"type": "preset", "name": preset})
        is_whole(panel)
        assert not panel.frame["problem"], preset
    figure, finding = module.picture(**panel.values)
    assert str(finding) == panel.frame["readout"], "the plain cell says another thing"
    limits = [
        [(*axes.get_xlim(), *axes.get_ylim()) for axes in one.axes]
        for one in (figure, panel.paper(panel.units))
    ]
    assert limits[0] == limits[1], "what moves stretched the plain cell's axes"
    words_stand_apart(figure)
    said = panel.frame["readout"]
    for kind in ("projector", "units", "units", "projector"):
        panel.receive({"type": kind})
        is_whole(panel)
        # the page stops shrinking where letters of this size have become 11 px
        sizes = [text.get_fontsize() for text in drawn[-1].findobj(Text)]
        assert min(sizes) * 100 / 72 >= panels.LETTERS[panel.projector] - 0.01
    assert panel.frame["readout"] == said


@each_panel
def test_the_readers_own_crank_is_taken(name, own_folder):
    """Sizes far from the examples, three throws and inches: a picture and a sentence all the same."""
    panel = LESSONS[name].panel()
    lists = [
        control
        for control in panel.controls.values()
        if isinstance(control, Choice) and any("pump" in option for option in control.options)
    ]
    for example, units in (("organ", "in"), ("pump", "mm")):
        crank = Crank.load(example)
        own.save(Crank("<b>mine</b> & 名", units, crank.steel, crank.journals, crank.throws))
        panel = LESSONS[name].panel()
        opens = [panel.controls[one.name].value for one in lists]
        assert all(one.startswith("<b>mine") for one in opens), "every panel opens on it"
        assert not lists or not panel.frame["problem"]
        for control in panel.controls.values():
            for option in control.options if isinstance(control, Choice) else ():
                if own.names()[0] in option:
                    panel.receive({"type": "set", "values": {control.name: option}})
                    assert not panel.frame["problem"]
                    is_whole(panel)
        if lists:
            assert any(
                own.names()[0] in option
                for control in panel.controls.values()
                if isinstance(control, Choice)
                for option in control.options
            )


@pytest.mark.parametrize(
    ("name", "asked", "guess"),
    [
        ("lesson_05", "05 minutes", "90 min"),
        ("lesson_06", "06 out of round", "5 um"),
        ("lesson_07", "07 limiting width", "3 mm"),
        ("lesson_08", "08 misfit runout", "19 um"),
        ("lesson_09", "09 thrust", "50 N"),
        ("lesson_14", "14 shaking force", "12 N"),
    ],
)
def test_a_prediction_is_said_for_the_crank_it_was_asked_of(name, asked, guess):
    own.save(replace(Crank.load("pump"), name="yard pump"))
    predict(asked, guess, (guess.split()[1],))
    panel = LESSONS[name].panel()
    said = f"You predicted {as_text(Quantity(guess))} for pump; here, for yard pump, it is "
    assert any(line.startswith(said) for line in panel.sentence.lines), panel.sentence
    for preset in list(panel.presets)[:4] if name == "lesson_14" else ():
        panel.receive({"type": "preset", "name": preset})
        assert panel.values["crank"].startswith("yard pump"), "a preset keeps the reader's crank"


def test_every_lesson_asks():
    assert len(exercises()) >= 3 * len(
        [path for path in WORKBOOK.glob("*.ipynb") if re.match(r"(?!00|15)\d\d-", path.name)]
    )


@pytest.mark.parametrize(("module", "maker"), exercises())
def test_key_is_right_and_each_slip_is_named(module, maker):
    """Fifty draws: the key passes in every unit the question takes, the words hold no key, each slip is asked about.

    A sheet that was handed out is marked by the question it asked: what stands in handed_out.csv is
    replaced only where a question is changed on purpose, and lib/CHANGELOG.md says so.
    """
    asked = hashlib.sha256()
    for seed in range(50):
        question = draw(getattr(LESSONS[module], maker), seed)
        if seed < 12:
            told = {ask: as_text(value, digits=5) for ask, value in question.slips.items()}
            key = as_text(question.key, digits=5)
            asked.update(repr((question.words, key, told, question.tolerance)).encode())
        for unit in question.units:
            assert " Right" in check(
                question,
                as_text(question.key, unit, digits=6)
                .replace("−", "-")
                .replace("thou", "thousandth"),
            ), (seed, unit)
        for ask, value in question.slips.items():
            said = check(question, Quantity(value.m_as(question.units[0]), question.units[0]))
            assert ask in said or "Which way" in said, (seed, ask, said)
            assert " Right" not in said
        assert len(question.hints) == 2 and question.words.strip()
        assert not re.search(rf"(?<![\d.]){re.escape(as_text(question.key))}\b", question.words), (
            "the words give the key away"
        )
    line = f"{module},{maker},{asked.hexdigest()[:12]}"
    assert line in HANDED_OUT, "it asks or marks otherwise now"
