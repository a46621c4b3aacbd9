"""The language of what a reader is told: English stands in the code, others come by gettext.

Sentences carry named places, ``_("{crank} is pressed with {thrust}.").format(...)``; numbers and
units read alike in every language.
"""

import gettext
import os
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parent / "data" / "languages"
SWITCH = "CRANKMATH_LANGUAGE"  # environment variable: "de"; English without it


@cache
def catalog(language):
    """The words of a language; English where it has none."""
    return gettext.translation("crankmath", FOLDER, [language], fallback=True)


def _(words):
    """Words in the reader's language."""
    return catalog(os.environ.get(SWITCH, "en")).gettext(words) if words else ""


def ngettext(one, many, count):
    """Words for one or for many, in the reader's language."""
    return catalog(os.environ.get(SWITCH, "en")).ngettext(one, many, count)


def marked(words):
    """Words that are compared as they stand, and put into the reader's language where shown."""
    return words


def listed(option):
    """An option of a list as shown: what stands before its last comma is a name."""
    name, comma, kind = option.rpartition(", ")
    return f"{name}{comma}{_(kind)}"
