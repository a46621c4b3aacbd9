"""Exercises with the reader's own numbers, and a checker that names the likely slip as a
question."""

import os
import random
from dataclasses import dataclass

import numpy as np
import pint
from IPython import get_ipython
from IPython.display import HTML, display
from markupsafe import Markup

from crankmath.language import _, marked
from crankmath.typed import read_answer
from crankmath.units import Quantity, as_text

from ..workspace import is_kept
from . import progress


@dataclass(frozen=True)
class Question:
    """One drawn question: its words, its key, the wrong paths people take, three hints.

    ``slips`` maps a question to ask ("Did you use the radius …?") to the value of that slip;
    ``directed`` says that a minus sign has a meaning, such as too short for too long.
    """

    words: str
    key: Quantity
    units: tuple
    slips: dict
    hints: tuple
    tolerance: float = 0.01
    directed: bool = False


# factors of a wrong unit, whatever was asked
FACTORS = (
    (1000.0, marked("off by a factor of 1000: is a prefix wrong, such as mm for µm, or N for kN?")),
    (25.4, marked("off by a factor of 25.4: were millimeters and inches mixed up?")),
)


def draw(maker, seed):
    """A question whose key and wrong paths can be distinguished.

    Redrawn while two wrong paths, or a wrong path and the key, lie within three tolerances.
    """
    source = random.Random(str(seed))
    for _try in range(500):
        question = maker(source)
        sizes = sorted(
            abs(value.m_as(question.units[0])) for value in (question.key, *question.slips.values())
        )
        gap = 1 + 3 * question.tolerance
        if all(low > 0 and high / low > gap for low, high in zip(sizes, sizes[1:], strict=False)):
            return question
    raise ValueError("no draw keeps the wrong paths apart: the question needs wider ranges")


@dataclass(frozen=True)
class Verdict:
    """How an answer stands: its sort, the checker's words, and the kind of slip to count it by."""

    sort: str
    words: str
    slip: str = ""


RIGHT, NOT_YET, UNREAD, EMPTY = "right", "not yet", "could not be read", "not answered"


def judge(question, answer, name="my_answer"):
    """How an answer stands, as a Verdict.

    ``name`` is what the answer is called in the cell. Basis: checked in this order: readable, kind
    of unit, right, sign, known slip, factor of a unit, rounding, size. Three figures are always
    enough: what the key's own third figure leaves open is allowed where the tolerance is finer,
    unless a known slip lies nearer.
    """
    unit = question.units[0]
    if answer is None:
        size = 10.0 ** np.ceil(np.log10(abs(question.key.m_as(unit)) or 1))
        example = as_text(Quantity(float(size), unit))
        return Verdict(
            EMPTY,
            _(
                "Not answered yet: write your answer in quotes with its unit, "
                'for example {name} = "{example}".'
            ).format(name=name, example=example),
        )
    try:
        quantity = read_answer(answer, question.units)
    except pint.DimensionalityError as error:
        return Verdict(NOT_YET, _not_yet(error), "a unit of another kind")
    except TypeError as error:
        return Verdict(NOT_YET, _not_yet(error), "no unit")
    except ValueError as error:
        return Verdict(UNREAD, _not_yet(error), getattr(error, "reason", "no possible size"))
    said = _("Read as {size}.").format(size=as_text(quantity)) + " "
    given, key = quantity.m_as(unit), question.key.m_as(unit)
    off, close = abs(given / key - 1), allowed_share(question, quantity.units)
    slips = {ask: abs(given / value.m_as(unit) - 1) for ask, value in question.slips.items()}
    below, above = room(question, quantity.units)
    if -below <= given - key <= above:
        return Verdict(RIGHT, said + _("Right: value, unit and sign."))
    if abs(-given / key - 1) <= close:
        words = (
            marked("the size is right. Which way does it point?")
            if question.directed or key < 0
            else marked("the size is right, but a minus sign has no meaning here: leave it out.")
        )
        return Verdict(NOT_YET, said + _not_yet(_(words)), words)
    for ask, away in slips.items():
        if away <= question.tolerance:
            return Verdict(NOT_YET, said + _not_yet(ask), ask)
    for factor, words in FACTORS:
        if any(abs(given / key / by - 1) <= close for by in (factor, 1 / factor)):
            return Verdict(NOT_YET, said + _not_yet(_(words)), words)
    if off <= 4 * close:
        words = marked("near: were numbers rounded on the way?")
        return Verdict(NOT_YET, said + _("Not yet, but {reason}").format(reason=_(words)), words)
    words = marked("too large") if given > key else marked("too small")
    return Verdict(NOT_YET, f"{said}{_not_yet(_(words))}.", words)


def _not_yet(reason):
    return _("Not yet: {reason}").format(reason=reason)


def allowed_share(question, unit):
    """Share that an answer in a unit may be off."""
    key = abs(question.key.m_as(unit))
    third_figure = 10.0 ** (np.floor(np.log10(key)) - 2)
    return max(question.tolerance, 0.5 * third_figure / key * (1 + 1e-9))


def room(question, unit):
    """How far below and above the key an answer in a unit is right, in the question's first unit.

    A share of the key, but nearer to the key than to any known slip.
    """
    first = question.units[0]
    key = question.key.m_as(first)
    below = above = allowed_share(question, unit) * abs(key)
    for value in question.slips.values():
        slip = value.m_as(first)
        if slip * key <= 0:
            continue
        between = 2 / (1 / key + 1 / slip)  # equally many percent from both
        if between < key:
            below = min(below, key - between)
        else:
            above = min(above, between - key)
    return below, above


def check(question, answer, name="my_answer"):
    """One or two lines on how an answer stands; never the answer itself.

    Begins with "Right", "Not yet" or "Not answered yet". ``name`` is what the answer is called in
    the cell. Basis: as ``judge``.
    """
    verdict = judge(question, answer, name)
    hint = " " + _("Try a hint.") if verdict.slip in ("too large", "too small") else ""
    return verdict.words + hint


def check_gap(label, key, units, answer, slips=None, tolerance=0.01, name="my_answer"):
    """Print how the answer to one gap of a worked example stands, after a label."""
    question = Question(label, key, units, slips or {}, (), tolerance)
    print(f"{label}:", check(question, answer, name))


def is_right(entry):
    """Whether a stored entry of the progress file says that its exercise was answered right."""
    return isinstance(entry, dict) and bool(entry.get("right"))


def seed_of(name, turn, student=""):
    """What the numbers of an exercise on a screen are drawn from.

    - ``student``: Name of the account on a school's computer, so that each has their own numbers.
    """
    return f"{student}/{name}/{turn}" if student else f"{name}/{turn}"


def _cell():
    """Number of the cell that runs; None where no notebook runs."""
    shell = get_ipython()
    return None if shell is None else shell.execution_count


class Exercise:
    """A question in a lesson: ``exercise = Exercise("04-1", maker)``;
    ``exercise.check(my_answer)``.
    """

    def __init__(self, name, maker):
        self.name, self.maker = name, maker
        self.student = os.environ.get("CRANKMATH_STUDENT", "")
        self.turn = self._stored().get("turn", 0)
        if not isinstance(self.turn, int):
            self.turn = 0
        self.question, self.cell = self._drawn(), _cell()

    def _drawn(self):
        return draw(self.maker, seed_of(self.name, self.turn, self.student))

    def _stored(self):
        stored = progress.read()["answers"].get(self.name, {})
        return stored if isinstance(stored, dict) else {}

    def ask(self):
        """Show the question and its hints, folded."""
        twin = draw(self.maker, f"{self.name}/worked twin")
        # the worked twin carries other numbers, so the last hint is an example and never the answer
        hints = [
            *self.question.hints,
            _("The same with other numbers: {question} Answer: {answer}.").format(
                question=twin.words, answer=as_text(twin.key, twin.units[0])
            ),
        ]
        folds = Markup("").join(
            Markup("<details><summary>{}</summary><p>{}</p></details>").format(
                _("Hint {number}").format(number=number), hint
            )
            for number, hint in enumerate(hints, 1)
        )
        asked, title = Markup("<p><strong>{}</strong> {}</p>{}"), _("Exercise {name}.")
        display(HTML(asked.format(title.format(name=self.name), self.question.words, folds)))

    def check(self, my_answer):
        """Print how the answer stands and keep it in the progress file."""
        verdict = judge(self.question, my_answer)
        if verdict.sort == NOT_YET and self._stored().get("before") == str(my_answer)[:100]:
            print(_("This answer is of the numbers before: work out the new ones above."))
            return
        if my_answer is not None:
            right = verdict.sort == RIGHT
            if right or not self._stored().get("right"):
                entry = {"answer": str(my_answer)[:100], "right": right, "turn": self.turn}
                if self.student:
                    entry["student"] = self.student
                if entry != self._stored():
                    progress.write("answers", self.name, entry)
        print(check(self.question, my_answer))

    def new_numbers(self):
        """Draw the next set of numbers and show it.

        In the cell that asks the question it draws none: there every run would change the question
        under the answer.
        """
        if self.cell is not None and self.cell == _cell():
            print(
                _(
                    "No new numbers: in this cell each run would draw others than you worked with. "
                    "Run this line once, in a cell of its own."
                )
            )
            return
        self.turn += 1
        kept = self._stored()
        right = {"right": True} if kept.get("right") else {}
        before = {"before": kept["answer"]} if "answer" in kept else {}
        progress.write("answers", self.name, {"turn": self.turn, **right, **before})
        self.question = self._drawn()
        self.ask()


def predict(name, guess, units):
    """Keep a prediction and say what was understood; returns it for the panel."""
    if guess is None:
        print(
            _(
                "No prediction yet. A guess is enough: write it in quotes with its unit, "
                "as in the example above."
            )
        )
        return None
    try:
        quantity = read_answer(guess, units, marked("your prediction"))
    except (TypeError, ValueError, pint.DimensionalityError) as error:
        print(f"{error}")
        return None
    progress.write("predictions", name, as_text(quantity))
    words = _("Kept: {size}. It is drawn into the panel below.")
    if not is_kept():
        words = _("Kept until this page is reloaded: {size}. It is drawn into the panel below.")
    print(words.format(size=as_text(quantity)))
    return quantity


def prediction(name, units):
    """The kept prediction, or None."""
    stored = progress.read()["predictions"].get(name)
    try:
        return read_answer(stored.replace("−", "-"), units, name) if stored else None
    except (AttributeError, TypeError, ValueError, pint.DimensionalityError):
        return None
