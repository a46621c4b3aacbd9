"""The language of what a reader is told: English stands in the code, others come by gettext.

Sentences carry named places, ``_("{crank} is pressed with {thrust}.").format(...)``; numbers and
units read alike in every language.
"""

import csv
import gettext
import io
import os
import tomllib
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parent / "data" / "languages"
SWITCH = "CRANKMATH_LANGUAGE"  # environment variable: "de"; English without it
UNTOLD = ("lesson", "source")  # of a table of words: not sentences


@cache
def catalog(language):
    """The words of a language; English where it has none."""
    return gettext.translation("crankmath", FOLDER, [language], fallback=True)


@cache
def chosen():
    """The words of the reader's language: the environment is asked once, before the first word."""
    return catalog(os.environ.get(SWITCH, "en"))


def _(words):
    """Words in the reader's language."""
    return chosen().gettext(words) if words else ""


def ngettext(one, many, count):
    """Words for one or for many, in the reader's language."""
    return chosen().ngettext(one, many, count)


def marked(words):
    """Words that are compared as they stand, and put into the reader's language where shown."""
    return words


# words that stand beside a number or a name: places of a crank, ways to cut, ends
PUT_TOGETHER = (
    *(marked("main"), marked("pin"), marked("web"), marked("throw"), marked("crank")),
    *(marked("rough"), marked("finish"), marked("walls"), marked("face")),
    *(marked("left fillet"), marked("right fillet"), marked("middle"), marked("step")),
    *(marked("left web at the pin"), marked("right web at the pin"), marked("keyseat")),
    *(marked("left web at the main"), marked("right web at the main"), marked("cross hole")),
    *(
        marked("hub's edge"),
        marked("left"),
        marked("right"),
        marked("hole"),
        marked("marks"),
        marked("center"),
    ),
)


def listed(option):
    """An option of a list as shown; where it is not known whole, what stands before its last comma
    is a name.
    """
    name, comma, kind = option.rpartition(", ")
    whole = _(option)
    return whole if whole != option or not comma else f"{name}{comma}{spoken(kind)}"


def spoken(name):
    """A place of the crank as shown: "pin 1" is a word and its number."""
    found = []
    for part in name.split(", "):
        word, gap, number = part.rpartition(" ")
        found.append(f"{_(word)}{gap}{number}" if number.isdigit() else _(part))
    return ", ".join(found)


def told(words, part=""):
    """Words read from a file of tables, in the reader's language."""
    if isinstance(words, dict):
        return {part: told(inner, part) for part, inner in words.items()}
    return words if part in UNTOLD else _(words)


def in_column(file, _keywords, _tags, options):
    """Words of the columns of a table that ``babel.cfg`` names."""
    rows = csv.DictReader(io.TextIOWrapper(file, "utf-8"))
    found = dict.fromkeys(row[name] for row in rows for name in options["columns"].split())
    return [(1, "_", words, []) for words in found]


def in_tables(file, _keywords, _tags, options):
    """Words of a file of tables, as Babel asks for them (``babel.cfg``)."""
    found = []
    waiting = [tomllib.loads(file.read().decode("utf-8"))]
    for table in waiting:
        for part, words in table.items():
            if isinstance(words, dict):
                waiting.append(words)
            elif part not in UNTOLD:  # or a pair of an answer and where it comes from
                found.append((1, "_", words if isinstance(words, str) else words[1], []))
    return found
