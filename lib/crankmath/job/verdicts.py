"""One check of a job: its verdict in a word, a sentence, numbers with units, formula, source,
range, and the lesson that explains it."""

import re
import tomllib
import warnings
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

from .. import wording
from ..language import _, told
from ..units import OutOfRangeWarning, SafeSideWarning
from ..wording import ERRORS, shown
from .fields import BY_KEY

VERDICTS = ("not fine", "cannot tell", "look", "fine")  # worst first
MEANING = {
    "fine": _("inside its limit with room to spare"),
    "look": _("works, but close to a limit or on an assumption: read the sentence"),
    "not fine": _("past a limit: change something before cutting"),
    "cannot tell": _("something is missing, or lies outside what the library knows"),
}


def said_of(error):
    """An error of the library as a sentence, its arguments by the words of the job's questions."""

    def named(found):
        label = BY_KEY[found[0]].label if found[0] in BY_KEY else found[0].replace("_", " ")
        return label[:1].lower() + label[1:]

    return wording.said_of(re.sub(r"\b[a-z]+(?:_[a-z]+)+\b", named, str(error)))


@dataclass(frozen=True)
class Number:
    """A number of a check: what it is, its value and the kind that says how it is shown, in
    ``digits`` figures where it is not the kind's own.
    """

    label: str
    value: object
    kind: str
    digits: int | None = None

    def text(self, units):
        """The number as it is printed."""
        return shown(self.value, self.kind, units, self.digits)


def or_word(label, value, kind, word):
    """A number, or a word where there is none."""
    return Number(label, word, "word") if value is None else Number(label, value, kind)


@dataclass(frozen=True)
class Check:
    """What one check of a job found.

    ``notes`` tell where a value left the range of its source; ``assumptions`` what the check rests
    on that nobody has verified.
    """

    key: str
    title: str
    lesson: str
    formula: str
    source: str
    range: str
    verdict: str
    sentence: str
    numbers: tuple = ()
    notes: tuple = ()
    assumptions: tuple = ()

    def number(self, label):
        """Value of one of the numbers."""
        return next(one.value for one in self.numbers if one.label == label)


@dataclass(frozen=True)
class Found:
    """What a check's function gives back."""

    verdict: str
    sentence: str
    numbers: tuple = ()
    assumptions: tuple = ()


@dataclass(frozen=True)
class Kind:
    """A kind of check: what stays the same from job to job, and the function that looks."""

    key: str
    title: str
    lesson: str
    formula: str
    source: str
    range: str
    look: Callable

    def run(self, work):
        """The check of one job; what the library refuses is reported in its own words.

        A value counted on the safe side makes no note: the check concerned says so.
        """
        with warnings.catch_warnings(record=True) as said:
            warnings.simplefilter("always", OutOfRangeWarning)
            try:
                found = self.look(work)
            except ERRORS as error:
                found = Found("cannot tell", said_of(error))
        notes = tuple(
            dict.fromkeys(
                str(one.message).replace("_", " ")
                for one in said
                if issubclass(one.category, OutOfRangeWarning)
                and not issubclass(one.category, SafeSideWarning)
            )
        )
        if notes and found.verdict == "fine":
            found = replace(
                found,
                verdict="look",
                sentence=_("{sentence} Outside a source's range: {notes}.").format(
                    sentence=found.sentence, notes=notes[0]
                ),
            )
        return Check(
            self.key,
            self.title,
            self.lesson,
            self.formula,
            self.source,
            self.range,
            found.verdict,
            found.sentence,
            found.numbers,
            notes,
            found.assumptions,
        )


def check(key):
    """Make a kind of check, described in ``data/job_checks.toml``, of a function that takes
    ``Workings`` and gives ``Found``."""
    return lambda look: Kind(key, **_described()[key], look=look)


@cache
def _described():
    text = (files("crankmath") / "data" / "job_checks.toml").read_text(encoding="utf-8")
    return {key: told(table) for key, table in tomllib.loads(text).items()}


def worst(*verdicts):
    """The worst of some verdicts."""
    return min(verdicts, key=VERDICTS.index)


def by_share(value, fine, look):
    """Verdict of a value that is fine up to one limit and passes up to another."""
    return "fine" if value <= fine else "look" if value <= look else "not fine"


def tidied(value, scale):
    """A value, or zero where it is only rounding beside a scale."""
    return 0 * value if abs(value) <= 1e-9 * abs(scale) else value
