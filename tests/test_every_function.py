"""Sweeps over every public function, found by introspection: none can be forgotten.

Each function starts from its plain call in calls.py and must stand other units, wrong kinds, missing units, and numbers
that are zero, negative, not a number, endless, empty, tiny or huge: a finite answer, or an error of ours that says so.
"""

import dataclasses
import functools
import inspect
import os
import re
import traceback
import warnings
from pathlib import Path

import calls
import numpy as np
import pint
import pytest
from calls import CALLS, INSIDE, classes, functions, run
from hypothesis import given, settings
from hypothesis import strategies as st

from crankmath.crank import Crank
from crankmath.units import Quantity

EXAMPLES = int(os.environ.get("SWEEP", "8"))  # for each function; SWEEP=200 before a release
LIBRARY = str(Path(calls.crankmath.__file__).parent)
NAMES = sorted(set(functions()) - INSIDE)
each = pytest.mark.parametrize("name", NAMES)
ALIKE = {
    "[length]": ("mm", "m", "in", "ft", "thousandth", "um"),
    "[length] / [time]": ("m/min", "ft/min", "m/s"),
    "[mass]": ("kg", "g", "lb"),
    "[time]": ("s", "min", "hour"),
    "[length] * [mass] / [time] ** 2": ("N", "kN", "lbf"),
    "[mass] / [length] / [time] ** 2": ("Pa", "MPa", "psi", "bar"),
    "[length] ** 2 * [mass] / [time] ** 2": ("N*m", "N*mm", "in*lbf"),
    "[length] ** 2 * [mass] / [time] ** 3": ("W", "kW", "hp"),
    "[length] ** 3": ("mm**3", "cm**3", "in**3"),
    "[mass] / [length] ** 3": ("kg/m**3", "g/cm**3", "lb/in**3"),
    "[length] * [mass]": ("g*mm", "kg*m", "lb*in"),
    "[mass] / [time] ** 2": ("N/m", "N/mm", "lbf/in"),
    "[length] ** 2 * [mass]": ("kg*m**2", "kg*mm**2", "lb*in**2"),
    "[length] ** 3 / [time]": ("mm**3/s", "cm**3/min", "in**3/min"),
    "[length] ** 2": ("mm**2", "m**2", "in**2"),
}
TURNS = ("deg", "rad", "turn"), ("rpm", "rad/s", "turn/s")
# answers told in a unit of the question, or a text
SHOWN_AS_GIVEN = {
    *("as_text", "read_answer", "read_quantity", "magnitude", "number", "stock_bar"),
    "telling_division",  # divisions of inch dials are not those of metric ones
}
EXPECTED = (TypeError, ValueError, FileNotFoundError)


def other_units(value):
    """The units a quantity could also have been written in."""
    kind = str(value.dimensionality)
    if kind == "[temperature]":
        return (
            (value.units,)
            if value.units == Quantity(1, "degC").units
            else ("delta_degC", "delta_degF", "kelvin")
        )
    if value.dimensionless:
        return (
            TURNS[0]
            if value.units in [Quantity(1, unit).units for unit in TURNS[0]]
            else (value.units,)
        )
    if kind == "1 / [time]":
        return (
            TURNS[1]
            if value.units in [Quantity(1, unit).units for unit in TURNS[1]]
            else ("Hz", "kHz")
        )
    return ALIKE.get(kind, (value.units, value.to_base_units().units))


def flat(answer):
    """Every number of an answer, quantities in base units, with a name for each."""
    if isinstance(answer, pint.Quantity):
        size = np.ravel(answer.to_base_units().magnitude)
        return [
            float(part) for part in (np.r_[size.real, size.imag] if np.iscomplexobj(size) else size)
        ]
    if isinstance(answer, (bool, str, type(None), Crank)):
        return []
    if isinstance(answer, (int, float, np.number, np.ndarray)):
        return (
            [float(part) for part in np.ravel(answer)]
            if np.asarray(answer).dtype.kind in "fiu"
            else []
        )
    if isinstance(answer, dict):
        return [part for value in answer.values() for part in flat(value)]
    if isinstance(answer, (list, tuple)):
        return [part for value in answer for part in flat(value)]
    if dataclasses.is_dataclass(answer):
        return [
            part
            for field in dataclasses.fields(answer)
            if not field.name.startswith("_")
            for part in flat(getattr(answer, field.name))
        ]
    return []


def quantities(name):
    return [word for word, value in CALLS[name]().items() if isinstance(value, pint.Quantity)]


@functools.cache
def range_warnings():
    """The library's own kinds of warning."""
    return {
        kind
        for module in calls.modules()
        for kind in vars(module).values()
        if inspect.isclass(kind) and issubclass(kind, UserWarning)
    }


def quiet(name, /, **changes):
    """Answer, with range warnings let through and every other warning turned into an error."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for kind in range_warnings():
            warnings.simplefilter("ignore", kind)
        return run(name, **changes)


@each
def test_has_a_plain_call(name):
    assert name in CALLS, f"{name} is public: give it a row in calls.py"
    answer = quiet(name)
    assert all(np.isfinite(flat(answer))) or "inf" in functions()[name].__doc__, name


def test_no_row_without_a_function():
    assert set(CALLS) | INSIDE <= set(functions())
    for name in INSIDE:
        assert name not in CALLS


@each
def test_docstring_says_what_a_user_needs(name):
    function = functions()[name]
    text, given_names = inspect.getdoc(function) or "", inspect.signature(function).parameters
    declared = getattr(function, "units", {})
    assert re.match(r".+[.:]$", text.splitlines()[0].rstrip()), "the first line is a sentence"
    assert "Basis:" in text, "says what the formula rests on"
    for word in given_names:
        assert word in declared or re.search(rf"\b{word}\b", text), f"does not explain {word}"
    for word, value in CALLS[name]().items():
        if isinstance(value, pint.Quantity) and word not in declared:
            assert "[" in text, f"gives the kind of unit of {word}"


@pytest.mark.parametrize("name", sorted(classes()))
def test_classes_are_explained(name):
    assert (inspect.getdoc(classes()[name]) or "").splitlines()[0].rstrip().endswith("."), name


@pytest.mark.parametrize(
    "name", [name for name in NAMES if quantities(name) and name not in SHOWN_AS_GIVEN]
)
@settings(max_examples=EXAMPLES, deadline=None)
@given(data=st.data())
def test_units_do_not_change_the_answer(name, data):
    values = CALLS[name]()
    changes = {}
    for word in quantities(name):
        units = other_units(values[word])
        changes[word] = values[word].to(data.draw(st.sampled_from(units), label=word))
    expected, found = flat(plain_answer(name)), flat(quiet(name, **changes))
    assert len(expected) == len(found)
    assert found == pytest.approx(
        expected,
        rel=1e-6,
        abs=1e-9 * max(map(abs, filter(np.isfinite, expected)), default=1),
        nan_ok=False,
    )


@functools.cache
def plain_answer(name):
    return quiet(name)


@functools.cache
def text_as_number():
    """A quantity whose number is a text, where pint lets one be made: from 0.26 on it does not."""
    try:
        return [Quantity("x", "dimensionless")]
    except Exception:
        return []


def hostile(value):
    """What a person or a program may send in the place of a good value."""
    common = [None, "twelve", [], {}]
    if isinstance(value, pint.Quantity):
        unit = value.units
        other = "kg" if value.dimensionality != Quantity(1, "kg").dimensionality else "mm"
        numbers = [np.nan, np.inf, -np.inf, 0.0, -1.0, 1e-300, 1e300, -1e300, 1e-12, 1e12]
        return (
            common
            + [
                1.0,
                Quantity(1.0, other),
                Quantity(np.array([]), unit),
                Quantity(np.array([np.nan, 1.0]), unit),
                *text_as_number(),
            ]
            + [Quantity(number, unit) for number in numbers]
            + [Quantity(np.array([0.5, 1.0, 2.0]) * np.mean(value.magnitude), unit)]
        )
    if isinstance(value, str):
        return common + ["", "<b>", 3, Quantity(1.0, "mm")]
    if isinstance(value, bool):
        return []
    if isinstance(value, int):
        return [-1, 10**9, np.nan, "twelve", 1.5, Quantity(1, "mm")]
    if isinstance(value, float):
        return ["twelve", np.nan, np.inf, -1.0, 0.0, 1e300, Quantity(1, "mm"), [], [0.3, np.nan]]
    return [None, "pump", 3, [], Quantity(1, "mm")]


def stands(name, word, value):
    """A finite or flagged answer, or an error raised by our own code that names the input."""
    try:
        answer = quiet(name, **{word: value})
    except EXPECTED as error:
        last = traceback.extract_tb(error.__traceback__)[-1]
        assert last.filename.startswith(LIBRARY), (
            f"{word}={value!r}: bare {type(error).__name__} from {last.filename}:{last.lineno}: {error}"
        )
        assert str(error).strip(), f"{word}={value!r}: an error without words"
        assert "Quantity(<" not in str(error)
        return str(error)
    except Exception as error:
        last = traceback.extract_tb(error.__traceback__)[-1]
        pytest.fail(
            f"{word}={value!r}: {type(error).__name__} at {last.filename}:{last.lineno}: {error}"
        )
    numbers = np.array(flat(answer))
    assert not np.any(np.isnan(numbers)), (
        f"{word}={value!r}: the answer is not a number, without a word"
    )
    if np.any(np.isinf(numbers)):
        assert re.search(r"\binf", functions()[name].__doc__), (
            f"{word}={value!r}: endless answer that the docstring does not tell of"
        )
    return None


@each
def test_stands_hostile_values(name):
    problems = []
    for word, value in CALLS[name]().items():
        if name in SHOWN_AS_GIVEN and word not in ("value", "text") or word == "parts":
            continue  # written by us at the door; and what stands after a star is a row whatever a caller does
        for bad in hostile(value):
            try:
                stands(name, word, bad)
            except (AssertionError, pytest.fail.Exception) as problem:
                problems.append(str(problem).splitlines()[0])
    assert not problems, f"{len(problems)} in {name}:\n" + "\n".join(problems[:40])


BOUND = re.compile(r"\b(above|at least|below|at most) (-?\d[\d.]*(?:e[+-]?\d+)?)")
WORKED_OUT = (  # bounds that hang on other inputs, on a table or on a formula
    "turns negative", "a vacuum", "the empty cylinder", "passes; take fewer", "harmonics need",
)  # fmt: skip


@each
def test_a_refused_number_meets_a_round_bound(name):
    """Whoever set a bound by choice set it at zero, at one digit, or at a multiple of 15 degrees;
    below one a size is asked to be at least a fiftieth: a mistyped bound is none of these.
    """
    for word, value in CALLS[name]().items():
        if name in SHOWN_AS_GIVEN or not isinstance(value, (pint.Quantity, float, int)):
            continue
        for size in (-1e6, -1e-3, 1e-9, 1e6):
            try:
                quiet(
                    name, **{word: Quantity(size, value.units) if hasattr(value, "units") else size}
                )
            except EXPECTED as error:
                if any(words in str(error) for words in WORKED_OUT):
                    continue
                for way, bound in BOUND.findall(str(error)):
                    digits = f"{abs(float(bound)):e}".split("e")[0].rstrip("0").rstrip(".")
                    assert len(digits) == 1 or float(bound) % 15 == 0, f"{word}: {error}"
                    assert way.startswith(("below", "at most")) or not 0.02 < float(bound) < 1, (
                        error
                    )


@each
def test_wrong_kind_and_missing_unit_name_the_input(name):
    for word in quantities(name):
        value = CALLS[name]()[word]
        if name in SHOWN_AS_GIVEN:
            continue
        other = "kg" if value.dimensionality != Quantity(1, "kg").dimensionality else "mm"
        for bad, kind in (
            (1.0, TypeError),
            (Quantity(1.0, other), pint.DimensionalityError),
            (Quantity(np.nan, value.units), ValueError),
        ):
            with pytest.raises(kind) as caught:
                quiet(name, **{word: bad})
            said = str(caught.value)
            assert any(form in said for form in (word, word.replace("_", " "), word.rstrip("s"))), (
                f"{word}={bad!r}: “{said}” does not name it"
            )


@pytest.mark.parametrize(
    "name", [name for name in NAMES if quantities(name) and name not in SHOWN_AS_GIVEN]
)
@settings(max_examples=EXAMPLES, deadline=None)
@given(data=st.data())
def test_any_size_gives_an_answer_or_a_sentence(name, data):
    word = data.draw(st.sampled_from(quantities(name)))
    value = CALLS[name]()[word]
    factor = data.draw(st.sampled_from((1.0, -1.0))) * 10 ** data.draw(st.floats(-9, 9))
    stands(
        name,
        word,
        value * factor
        if value.units != Quantity(1, "degC").units
        else Quantity(20 + factor, value.units),
    )
