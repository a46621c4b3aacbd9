"""Other languages: the catalog holds every marked sentence, and the parts proven hold no other."""

import ast
import configparser
import csv
import json
import random
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import read_mo
from babel.messages.pofile import read_po
from made_up_language import Hidden
from unmarked import EXCEPTED, left_unmarked, marked_in, modules

from crankbook.lesson.exercise import Question, check, judge
from crankbook.lesson.own_lathe import SCHOOL
from crankbook.lessons.turning import lesson_08
from crankbook.pages import FOLDER as PAGES
from crankbook.sheet.sheet import Sheet
from crankbook.sheet.steps import printed_steps
from crankmath import language
from crankmath.job import Job
from crankmath.job.report import check_job
from crankmath.units import Quantity

LIB = Path(__file__).parents[1] / "lib"
LANGUAGES = sorted(path.name for path in language.FOLDER.iterdir())
NAMES = {"pump", "bellows", "compressor", "organ", "lbf", "thou", "cos"}  # the same everywhere
each_language = pytest.mark.parametrize("name", LANGUAGES)


@pytest.fixture
def hidden(monkeypatch, own_folder):
    """A language without Latin letters: what is read in them was not put into it."""
    monkeypatch.setattr(language, "chosen", Hidden)


@pytest.fixture
def german(monkeypatch, own_folder):
    monkeypatch.setenv(language.SWITCH, "de")
    language.chosen.cache_clear()
    yield
    language.chosen.cache_clear()


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
    extractors, methods, options = dict(where.items("extractors")), [], {}
    for one in where.sections()[1:]:
        method, pattern = (part.strip() for part in one.split(":"))
        methods.append((pattern, extractors.get(method, method)))
        options[pattern] = dict(where.items(one))
    found = set()
    for package in ("crankmath", "crankbook"):
        for _, _, words, _, _ in extract_from_dir(
            LIB / package, methods, options, {"_": None, "marked": None, "ngettext": (1, 2)}
        ):
            found.add(words)
    return found


@each_language
def test_catalog_holds_every_marked_sentence_and_no_other(name):
    words = {
        entry.id if isinstance(entry.id, str) else tuple(entry.id) for entry in stored(name, "po")
    }
    assert words - {""} == marked_words(), "DEVELOPERS.md, “Add a language”, tells how to renew it"


def places(text):
    """The places of a sentence, with their formats."""
    return set(re.findall(r"\{(?:[^{}]|\{[^{}]*\})*\}", text))


@each_language
def test_every_translated_sentence_has_its_places(name):
    for entry in stored(name, "po"):
        ours = entry.id if isinstance(entry.id, tuple) else (entry.id,)
        theirs = entry.string if isinstance(entry.string, tuple) else (entry.string,)
        assert not entry.fuzzy and all(theirs) is any(theirs), entry.id
        for text in theirs if entry.id and all(theirs) else ():
            assert places(ours[0]) <= places(text) <= places(" ".join(ours)), text


@each_language
def test_compiled_catalog_is_the_one_that_is_read_by_people(name):
    written, compiled = (
        {
            one.id if isinstance(one.id, str) else one.id[0]: list(one.string)
            for one in stored(name, kind)
            if one.id and one.string != one.id and one.string and all(one.string)
        }
        for kind in ("po", "mo")
    )
    assert written == compiled, "run: pybabel compile, as DEVELOPERS.md says"
    head = (language.FOLDER / name / "LC_MESSAGES" / "crankmath.po").read_text(encoding="utf-8")
    assert "reviewed by" in head.partition("msgid")[0]  # or that nobody has


def said_by_lesson_08():
    """All that lesson 08's panel says: (words, the panel)."""
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
    panel.receive({"type": "set", "values": {"packing": choices[0]}})  # options keep their names
    assert panel.values["packing"] == choices[0]
    return said, panel


def test_panel_of_lesson_08_says_nothing_outside_the_catalog(hidden):
    said, panel = said_by_lesson_08()
    assert len(panel.spec["words"]) >= 18
    said = [re.sub(r"\{\w+\}", "", text) for text in said]  # places that the page's script fills
    assert not {word: text for text in said for word in left_over(text)}


SCRIPTS = [path for part in ("lesson", "forms") for path in (LIB / "crankbook" / part).glob("*.js")]


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.stem)
def test_every_word_of_a_script_is_marked(script):
    """A button, title or text of a page's script that is no name of a thing of the page."""
    text = re.sub(r"(?m)//.*$", "", script.read_text(encoding="utf-8"))
    assert not re.findall(r"(?:textContent|title|caption)[:=]\s*\"[^\"]*[A-Za-z]{3}", text)
    assert not re.findall(r"\b(?:add|button)\(\"", text)
    text = re.sub(r"\b_\(\"[^\"]*\"\)", "", text)
    named = re.findall(r"(?:className:|class=|classList\.\w+\(|get[A-Z]\w+\()\s*\"[^\"]*\"", text)
    for one in named:
        text = text.replace(one, "")
    left = re.findall(r"[\"`](?:[A-Z]: )?[A-Za-z]+ [a-z]{2,}[^\"`]*[\"`]", text)
    assert not [one for one in left if not re.match(r"[\"`]crank-|[\"`]tbody ", one)], left


QUESTION = Question("", Quantity(10.0, "mm"), ("mm", "um"), {"?": Quantity(20.0, "mm")}, ())
ANSWERS = (None, "10 mm", "-10 mm", "20 mm", "10.2 mm", "50 mm", "1 mm", "5", "5 kg", "x", "")
ANSWERS += ("1,234 mm", "1.2.3 mm", "3/0 mm", "5 6 mm", "5 quux", "5 km", "9" * 70, "1e30 mm")
ANSWERS += ("5 mm = 9 mm", "5 ± 1", "1e999 mm", "5 lb")


@pytest.mark.parametrize("answer", ANSWERS)
def test_checker_says_nothing_outside_the_catalog(hidden, answer):
    words = judge(QUESTION, answer, "x").words + check(QUESTION, answer, "x")
    quoted = re.sub(r"“[^”]*”|\b(?:quux|km|kilometer|kilogram|pound)\b", "", words)
    assert "ж" in words and not left_over(quoted), words


def test_the_most_bow_of_each_main_is_told_in_every_language(monkeypatch):
    """Places stand between other words elsewhere: the limit may not hang on one of them. The plan
    keeps its words, so only the sheet's are put into the other language here."""
    monkeypatch.setattr("crankbook.sheet.steps._", Hidden().gettext)
    steps = printed_steps(check_job(Job.load("pump")))
    bows = next(one.readings for one in steps if one.step.key == "rest")
    assert len(bows) == 2 and all(most.endswith(" mm") for *_unused, most in bows), bows


def test_headings_of_the_sheet_stand_in_the_catalog():
    page = (PAGES / "sheet.html").read_text(encoding="utf-8")
    for heading in re.findall(r"<(h[1-3]|th|dt)[ >](.*?)</\1>", page):
        assert not left_over(re.sub(r"\{[{%].*?[%}]\}|<[^>]*>|\w+=\"[^\"]*\"", "", heading[1]))
    for call in re.findall(r"\btable\((\[.*)\) \}\}", page):
        assert not re.search(r"(?<!_\()\"[A-Za-z]", re.sub('"long( answers)?"', "", call)), call


def heads():
    """Headings of the sheet's page, as its template marks them."""
    page = (PAGES / "sheet.html").read_text(encoding="utf-8")
    for found in re.findall(r"<(?:h[1-3]|th|dt)[ >].*?</|\btable\(\[.*?\]", page):
        yield from re.findall(r"\b_\(\"([^\"]*)\"\)", found)


def test_every_word_of_the_pages_is_marked():
    """No letters stand between the tags but those of a place to fill."""
    for name in ("sheet.html", "traveler.html", "parts.html"):
        page = re.sub(r"(?s)<style>.*?</style>", "", (PAGES / name).read_text(encoding="utf-8"))
        bare = re.sub(r"(?s)\{[{%].*?[%}]\}", "", page)
        assert not left_over(re.sub(r"<[^>]*>", " ", bare)), name


def test_german_is_whole_in_what_was_put_into_it(monkeypatch, own_folder):
    """Lesson 08's panel, the sheet's headings and the checker's words ask for no sentence that the
    German has not.
    """
    asked = set(heads())

    class Asked(Hidden):
        def gettext(self, words):
            asked.add(words)
            return super().gettext(words)

    monkeypatch.setattr(language, "chosen", Asked)
    said_by_lesson_08()
    for answer in ANSWERS:
        check(QUESTION, answer, "x")
    bare = {entry.id for entry in stored("de", "po") if not entry.string}
    assert not sorted(asked & bare)


@cache
def known_words():
    """Words that stand in ``marked`` or in a table of options or causes."""
    found = marked_in(
        ast.parse(path.read_text(encoding="utf-8"))
        for package in ("crankmath", "crankbook")
        for path in (LIB / package).rglob("*.py")
    )
    for name, column in (
        *(("causes", "cause"), ("film_coefficients", "cooling"), ("steels", "condition")),
    ):
        with (LIB / "crankmath" / "data" / f"{name}.csv").open(encoding="utf-8") as file:
            found |= {row[column] for row in csv.DictReader(file)}
    return found


@pytest.mark.parametrize("path", modules(), ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_no_text_is_left_in_the_code(path):
    """Every text of panels, checks and sheet is in the catalog; ``unmarked`` has the rules."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert not left_unmarked(tree, known_words()), "DEVELOPERS.md, “Add a language”"


@pytest.mark.parametrize(
    ("code", "count"),
    [
        ('def say():\n    return "The spacer is loose."', 1),
        ('note = f"{size} short"', 1),
        ('note = f"{size} {unit}"', 0),
        ('told = _("{who} is loose.").format(who="the long spacer")', 1),
        ('Finding(f"Loose: {_(name)}.", "fine", ())', 1),
        ('told = _("The spacer is loose.")', 0),
        ('"""The spacer is loose."""\nif kind == "no spacer":\n    pass', 0),
        ('def ask():\n    return Question("How large is it?")', 0),
    ],
)
def test_a_text_left_in_the_code_is_found(code, count):
    assert len(left_unmarked(ast.parse(code))) == count


def test_every_exception_is_still_needed():
    code = "".join(path.read_text(encoding="utf-8") for path in modules())
    for words in EXCEPTED:
        assert words.split("{")[0] in code, words


def test_a_made_up_language_reaches_panels_check_and_sheet(own_folder):
    """Nothing stops where every word is another, and none is read as it stands in the code. A
    process of its own: some modules say words as they are imported.
    """
    program = Path(__file__).with_name("made_up_language.py")
    done = subprocess.run(
        [sys.executable, program], capture_output=True, text=True, encoding="utf-8", timeout=300
    )
    assert done.returncode == 0, done.stderr[-2000:]
    seen = json.loads(done.stdout)
    assert len(seen) >= 17 and all(len(said) > 20 for said in seen.values())
    units = {"mpa", "rpm", "min", "kpsi", "deg", "hss", "iso", "pilkey", "tipton", "roark"}
    for place, said in seen.items():
        # a lathe keeps the name that it was given
        assert not {one for one in said if left_over(one.replace(SCHOOL.name, "")) - units}, place


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
        language.chosen.cache_clear()
        sheets.add(Sheet(Job.load("pump"), date="2026-01-01").html())
        panel = lesson_08.panel()
        words.add(json.dumps([panel.spec["words"], panel.frame["finding"], check(QUESTION, "5")]))
    language.chosen.cache_clear()
    assert len(sheets) == len(words) == 1
    assert "Job sheet: pump" in sheets.pop() and "Not yet: your answer needs a unit" in words.pop()
