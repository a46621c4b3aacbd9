"""One check of a job: its verdict in a word, a sentence, numbers with units, formula, source, range, and the lesson that explains it."""

import tomllib
import warnings
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

import numpy as np

from ..units import OutOfRangeWarning, Quantity, as_text
from .workings import ERRORS

VERDICTS = ("not fine", "cannot tell", "look", "fine")  # worst first
MEANING = {
    "fine": "inside its limit with room to spare",
    "look": "works, but close to a limit or on an assumption: read the sentence",
    "not fine": "past a limit: change something before cutting",
    "cannot tell": "something is missing, or lies outside what the library knows",
}
KINDS = {  # unit in a metric job, in an inch job, significant digits
    "length": ("mm", "in", 4),
    "fine": ("um", "thousandth", 3),
    "force": ("N", "lbf", 3),
    "speed": ("m/min", "ft/min", 3),
    "rpm": ("rpm", "rpm", 4),
    "time": ("min", "min", 3),
    "power": ("W", "horsepower", 3),
    "stress": ("MPa", "kpsi", 3),
    "mass": ("kg", "lb", 3),
    "torque": ("N*m", "in*lbf", 3),
    "angle": ("deg", "deg", 4),
    "rise": ("delta_degC", "delta_degF", 3),
    "unbalance": ("g*mm", "oz*in", 3),
    "stiffness": ("N/um", "lbf/in", 3),
    "volume": ("cm**3", "in**3", 4),
    "pressure speed": ("MPa*m/s", "psi*ft/min", 3),
    "frequency": ("Hz", "Hz", 3),
    "hours": ("hour", "hour", 3),
    "per degree": ("N/delta_degC", "lbf/delta_degF", 3),
    "place": ("mm", "in", 5),
}


def shown(value, kind, units, digits=None):
    """Text of a value in the units of a job; words and plain numbers stay what they are.

    Parameters
    ----------
    value : Quantity, float or str
    kind : one of ``job_check.KINDS``, "plain" or "word"
    units : "mm" or "in"
    digits : int, optional
        Significant digits; the kind's own without it.

    Returns
    -------
    str

    Notes
    -----
    Basis: derived.
    """
    if kind == "word":
        return str(value)
    if kind == "plain":
        return (
            as_text(Quantity(float(value), "dimensionless"), digits=digits or 3)
            if np.isfinite(value)
            else "no limit"
        )
    metric, imperial, usual = KINDS[kind]
    size = value.to(metric if units == "mm" else imperial)
    if not np.isfinite(size.magnitude):
        return "any" if size.magnitude < 0 else "no limit"
    if kind == "time" and 0 < size.magnitude < 1:
        size = size.to("s")
    return as_text(size, digits=digits or usual)


@dataclass(frozen=True)
class Number:
    """A number of a check: what it is, its value and the kind that says how it is shown."""

    label: str
    value: object
    kind: str

    def text(self, units):
        """The number as it is printed."""
        return shown(self.value, self.kind, units)


def or_word(label, value, kind, word):
    """A number, or a word where there is none."""
    return Number(label, word, "word") if value is None else Number(label, value, kind)


@dataclass(frozen=True)
class Check:
    """What one check of a job found.

    ``notes`` tell where a value left the range of its source; ``assumptions`` what the check rests on that nobody has verified.
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
    look: object

    def run(self, work):
        """The check of one job; whatever the library refuses is told in its words."""
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
            )
        )
        if notes and found.verdict == "fine":
            found = replace(
                found,
                verdict="look",
                sentence=f"{found.sentence} Outside a source's range: {notes[0]}.",
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
    """Make a kind of check, described in ``data/job_checks.toml``, of a function that takes ``Workings`` and gives ``Found``."""
    return lambda look: Kind(key, **_described()[key], look=look)


@cache
def _described():
    return tomllib.loads(
        (files("crankmath") / "data" / "job_checks.toml").read_text(encoding="utf-8")
    )


def worst(*verdicts):
    """The worst of some verdicts."""
    return min(verdicts, key=VERDICTS.index)


def by_share(value, fine, look):
    """Verdict of a value that is fine up to one limit and passes up to another."""
    return "fine" if value <= fine else "look" if value <= look else "not fine"


def said_of(error):
    """An error of the library as a sentence."""
    text = str(error).rstrip(".")
    return text[:1].upper() + text[1:] + "."


def tidied(value, scale):
    """A value, or zero where it is nothing but what the sum's last digits leave of a scale."""
    return 0 * value if abs(value) <= 1e-9 * abs(scale) else value
