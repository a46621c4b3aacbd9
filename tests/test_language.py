"""Other languages: the catalog holds every marked sentence, and the parts proven hold no other."""

import configparser
import gettext
import json
import random
import re
from pathlib import Path

import pytest
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import read_mo
from babel.messages.pofile import read_po

from crankbook.lesson.exercise import Question, check, judge
from crankbook.lessons.turning import lesson_08
from crankbook.pages import FOLDER as PAGES
from crankbook.sheet.sheet import Sheet
from crankmath import language
from crankmath.job import Job
from crankmath.units import Quantity

LIB = Path(__file__).parents[1] / "lib"
LANGUAGES = sorted(path.name for path in language.FOLDER.iterdir())
NAMES = {"pump", "bellows", "compressor", "organ", "lbf", "thou", "cos"}  # the same everywhere
each_language = pytest.mark.parametrize("name", LANGUAGES)


class Hidden(gettext.NullTranslations):
    """A language without Latin letters: what is read in them was not put into it."""

    def gettext(self, words):
        parts = re.split(r"(\{[^}]*\})", words)
        return "".join(
            part if part.startswith("{") else re.sub(r"[A-Za-z]", "ж", part) for part in parts
        )

    def ngettext(self, one, many, count):
        return self.gettext(one if count == 1 else many)


@pytest.fixture
def hidden(monkeypatch, own_folder):
    monkeypatch.setattr(language, "catalog", lambda name: Hidden())


@pytest.fixture
def german(monkeypatch, own_folder):
    monkeypatch.setenv(language.SWITCH, "de")


def left_over(text):
    """Words of a text that were not put into another language."""
    return {word.lower() for word in re.findall(r"[A-Za-z]{3,}", text)} - NAMES


def stored(name, kind):
    path = language.FOLDER / name / "LC_MESSAGES" / f"crankmath.{kind}"
    with path.open("rb") as file:
        return (read_po if kind == "po" else read_mo)(file)


def marked_words():
    """Every sentence marked in the code, as lib/babel.cfg says where to look."""
    where = configparser.ConfigParser()
    where.read(LIB / "babel.cfg")
    methods = [tuple(part.strip() for part in one.split(":"))[::-1] for one in where.sections()]
    found = set()
    for package in ("crankmath", "crankbook"):
        for _, _, words, _, _ in extract_from_dir(
            LIB / package, methods, keywords={"_": None, "marked": None, "ngettext": (1, 2)}
        ):
            found.add(words)
    return found


@each_language
def test_catalog_holds_every_marked_sentence_and_no_other(name):
    words = {
        entry.id if isinstance(entry.id, str) else tuple(entry.id) for entry in stored(name, "po")
    }
    assert words - {""} == marked_words(), "DEVELOPERS.md, “Add a language”, tells how to renew it"


@each_language
def test_every_sentence_is_translated_with_its_places(name):
    for entry in stored(name, "po"):
        if not entry.id:
            continue
        ours = entry.id if isinstance(entry.id, tuple) else (entry.id,)
        theirs = entry.string if isinstance(entry.string, tuple) else (entry.string,)
        assert all(theirs) and not entry.fuzzy, entry.id
        for text in theirs:
            assert set(re.findall(r"\{\w+\}", text)) == set(re.findall(r"\{\w+\}", ours[0])), text


@each_language
def test_compiled_catalog_is_the_one_that_is_read_by_people(name):
    written, compiled = (
        {
            one.id if isinstance(one.id, str) else one.id[0]: list(one.string)
            for one in stored(name, kind)
            if one.id
        }
        for kind in ("po", "mo")
    )
    assert written == compiled, "run: pybabel compile, as DEVELOPERS.md says"
    head = (language.FOLDER / name / "LC_MESSAGES" / "crankmath.po").read_text(encoding="utf-8")
    assert "reviewed by" in head.partition("msgid")[0]  # or that nobody has


def test_panel_of_lesson_08_says_nothing_outside_the_catalog(hidden):
    panel = lesson_08.panel(stage=True)
    figure = panel.paper("mm", False)
    source, choices = random.Random(8), panel.controls["packing"].options
    said = [text.get_text() for axes in figure.axes for text in axes.texts]
    said += [label for axes in figure.axes for label in (axes.get_xlabel(), axes.get_ylabel())]
    for option in choices:
        panel.set(packing=option, misfit=Quantity(source.choice((-0.02, 0, 0.01)), "mm"))
        panel.receive({"type": "units"})
        said += panel.frame["finding"]["lines"]
        said += [panel.frame["finding"]["headline"], panel.frame["finding"]["verdict"]]
        said += [item["text"] for item in panel.frame["items"] if item["kind"] == "text"]
    for typed in ("5", "9 kN", "2 kg", "x", "1,234 N"):
        panel.type_in("force", typed)
        said.append(panel.frame["problem"].replace("newton", "").replace("example", ""))
    spec = panel.spec
    said += [*spec["presets"], *spec["words"].values(), spec["vote"][0], *spec["vote"][1]]
    said += [control["label"] for control in spec["controls"]]
    said += spec["controls"][2]["said"]
    assert len(spec["words"]) >= 18
    assert not {word: text for text in said for word in left_over(text)}
    panel.receive({"type": "set", "values": {"packing": choices[0]}})  # options keep their names
    assert panel.values["packing"] == choices[0]


def test_every_word_of_the_panel_s_script_is_marked():
    """A button, title or text of panel.js that is no name of a thing of the page."""
    script = (LIB / "crankbook" / "lesson" / "panel.js").read_text(encoding="utf-8")
    assert not re.findall(r"(?:textContent|title)[:=]\s*\"[^\"]*[A-Za-z]{3}", script)
    assert not re.findall(r"\badd\(\"", script)
    assert not re.findall(r"(?<!_\()\"(?:[A-Z]: )?[A-Za-z]+ [a-z]{2,}[^\"]*\"", script)


QUESTION = Question("", Quantity(10.0, "mm"), ("mm", "um"), {"?": Quantity(20.0, "mm")}, ())
ANSWERS = (None, "10 mm", "-10 mm", "20 mm", "10.2 mm", "50 mm", "1 mm", "5", "5 kg", "x", "")
ANSWERS += ("1,234 mm", "1.2.3 mm", "3/0 mm", "5 6 mm", "5 quux", "5 km", "9" * 70, "1e30 mm")
ANSWERS += ("5 mm = 9 mm", "5 ± 1", "1e999 mm", "5 lb")


@pytest.mark.parametrize("answer", ANSWERS)
def test_checker_says_nothing_outside_the_catalog(hidden, answer):
    words = judge(QUESTION, answer, "x").words + check(QUESTION, answer, "x")
    quoted = re.sub(r"“[^”]*”|\b(?:quux|km|kilometer|kilogram|pound)\b", "", words)
    assert "ж" in words and not left_over(quoted), words


def test_headings_of_the_sheet_stand_in_the_catalog():
    page = (PAGES / "sheet.html").read_text(encoding="utf-8")
    for heading in re.findall(r"<(h[1-3]|th|dt)[ >](.*?)</\1>", page):
        assert not left_over(re.sub(r"\{[{%].*?[%}]\}|<[^>]*>|\w+=\"[^\"]*\"", "", heading[1]))
    for call in re.findall(r"\btable\((\[.*)\) \}\}", page):
        assert not re.search(r"(?<!_\()\"[A-Za-z]", call.replace('"long"', "")), call


def test_german_is_shown_where_it_is_asked_for(german):
    """Words typed here from a dictionary of trade terms, not out of the catalog."""
    finding = lesson_08.picture(packing="pump, no spacer")[1]
    assert "Hauptzapfen" in finding.headline and "nicht gut" in finding.on_page()["verdict"]
    assert check(QUESTION, "10 mm").startswith("Gelesen als 10 mm. Richtig")
    assert "Drehmaschine" in Sheet(Job.load("pump"), date="2026-01-01").html()


def test_english_stays_as_it_is_in_the_code(monkeypatch, own_folder):
    """No variable, English, and a language that nobody wrote give the same to the last letter."""
    sheets, words = set(), set()
    for chosen in (None, "en", "eo"):
        if chosen:
            monkeypatch.setenv(language.SWITCH, chosen)
        sheets.add(Sheet(Job.load("pump"), date="2026-01-01").html())
        panel = lesson_08.panel()
        words.add(json.dumps([panel.spec["words"], panel.frame["finding"], check(QUESTION, "5")]))
    assert len(sheets) == len(words) == 1
    assert "Job sheet: pump" in sheets.pop() and "Not yet: your answer needs a unit" in words.pop()
