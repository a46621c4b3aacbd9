"""Code, docstrings and messages in plain English and the field's own words.

The list of what is covered grows as packages are cleaned.
"""

import re

import helpers
import pytest
from babel.messages.pofile import read_po

from crankmath import language

COVERED = [
    "crankbook/*.py",
    "crankbook/lesson/*.py",
    "crankbook/forms/crank_form.py",
    "crankbook/forms/draft.py",
    "crankbook/sheet/page.py",
    "crankbook/sheet/command.py",
    "crankbook/classroom/[cghst]*.py",
    "crankbook/classroom/paper/[hst]*.py",
    "crankbook/lessons/blank/lesson_00.py",
    "crankbook/lessons/proving/lesson_15.py",
]
# found: write instead
BANNED = {
    r"give|gives": "compliance, or say what it returns",
    r"doubt": "uncertainty",
    r"lean|leans": "rod angle, or rest",
    r"to-and-fro|to and fro": "reciprocating",
    r"sing|sings": "chatters",
    r"told": "described, or say what the sentence says",
    r"is none(?# not the None of Python)|is no path": "is not one",
    r"without it": "default ...",
    r"anew": "again",
    r"so many": "a number of",
    r"of ours": "say whose",
    r"goes before|go before": "takes precedence",
    r"shall": "should",
    r"reckon|reckons|reckoned": "calculate",
}
# in the texts of the catalog, which a reader sees
SAID = {
    r"doubt|doubts": "uncertainty",
    r"aslant": "askew, or at an angle",
    r"anew": "again",
    r"shall": "must",
    r"is none": "is not one",
    r"goes before|goes first": "takes precedence",
    r"nobody knows|nobody measured": "is not known, was not measured",
    r"may be off": "tolerance, or error",
    r"its own way": "on its own",
    r"is no (?:number|column|job|table|size)": "is not a",
    r"\w+wards": "-ward",
}
ALLOWED = set()  # (file, words)
FILES = sorted({path for mask in COVERED for path in helpers.LIBRARY.glob(mask)})


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_words_are_plain(path):
    found = [
        f"{path.name}:{line}: “{match[0]}” ({instead})"
        for line, text in helpers.docstrings_and_names(path)
        for banned, instead in BANNED.items()
        if (match := re.search(rf"(?<![\w-])(?:{banned})(?![\w-])", text))
        and (path.name, match[0]) not in ALLOWED
    ]
    assert not found, "\n".join(found)


def test_what_a_reader_sees_is_plain():
    """Every marked sentence, as the catalog of any language lists them."""
    file = next(language.FOLDER.glob("*/LC_MESSAGES/*.po"))
    told = [str(one.id) for one in read_po(file.open("rb")) if one.id]
    found = [
        f"“{match[0]}” ({instead}): {text}"
        for text in told
        for banned, instead in SAID.items()
        if (match := re.search(rf"(?<![\w-])(?:{banned})(?![\w-])", text))
    ]
    assert len(told) > 2000 and not found, "\n".join(found)


def test_the_list_finds_what_it_bans(tmp_path):
    bad = tmp_path / "bad.py"
    bad.write_text('def give(x):\n    """The source is none."""\n', encoding="utf-8")
    with pytest.raises(AssertionError, match="give.*\n.*is none"):
        test_words_are_plain(bad)
