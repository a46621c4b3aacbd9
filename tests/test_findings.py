"""What every panel says: one headline of at most twelve words, a verdict, short lines in one system of units.

For all lessons whose module has a ``SCENE``: presets and both ends of every control, in both systems.
"""

import re

import pytest

from crankbook.lesson import Finding
from crankbook.lesson.finding import MARKS, MOST_WORDS
from crankbook.lesson.panel import Choice
from crankbook.lessons import modules

SCENES = {name: module for name, module in modules().items() if hasattr(module, "SCENE")}
LONGEST_LINE, MOST_LINES = 24, 6  # words; lines at the ends of the controls
METRIC = r"(?<=\d )(?:mm|µm|N|kN|N·m|m/min|°C|kg)(?!\w)"
INCH = r"(?<=\d )(?:in|thou|lbf|ft·lbf|ft/min|°F|lb|hp)(?!\w)"
SHOUTED = r"\b(?!TIR\b|HSS\b|ISO\b)[A-Z]{4,}\b"
# a reader may choose these whatever the system, or they are one and the same in both
EITHER = {"lesson_13": "sizes of catalogs"}

pytestmark = pytest.mark.usefixtures("own_folder")


def said(scene, units):
    """Findings of a scene as it begins, at its presets and at both ends of every control."""
    panel = scene.panel()
    begun = panel.values
    settings = [begun, *(begun | values for values in panel.presets.values())]
    for name, control in panel.controls.items():
        ends = (
            (control.options[0], control.options[-1])
            if isinstance(control, Choice)
            else [control.read(end, units) for end in control.scale(units)[1:3]]
        )
        settings += [begun | {name: end} for end in ends]
    for values in settings:
        try:
            yield scene.items(units, **values)[1]
        except ValueError as error:
            assert " " in str(error), "sizes that do not go together are refused in words"


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("name", SCENES)
def test_findings_are_short_and_in_one_system(name, units):
    for place, finding in enumerate(said(SCENES[name].SCENE, units)):
        assert isinstance(finding, Finding), finding
        assert len(finding.lines) <= (MOST_LINES if place else MOST_LINES - 1), finding.lines
        words = finding.headline.split()
        assert 0 < len(words) <= MOST_WORDS, finding.headline
        assert finding.verdict == "" or finding.verdict in MARKS
        assert all(line[-1] in ".?!" for line in finding.lines), finding.lines
        for sentence in (finding.headline, *finding.lines):
            assert re.match(r"[A-ZØ0-9“−±]", sentence), f"begins small: {sentence}"
            assert len(sentence.split()) <= LONGEST_LINE, f"is no short line: {sentence}"
            assert not re.search(SHOUTED, sentence), f"shouts: {sentence}"
            if name not in EITHER:
                other = re.search(METRIC if units == "in" else INCH, sentence)
                assert not other, f"mixes units: {sentence}"


def test_the_sweep_finds_what_it_bans():
    for bad in ("It bears 393 N.", "The MOTOR stalls.", "pump runs out."):
        found = (
            re.search(METRIC, bad) or re.search(SHOUTED, bad) or not re.match(r"[A-ZØ0-9“−±]", bad)
        )
        assert found, bad
