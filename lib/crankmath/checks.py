"""Argument checks in one place, so that a function is its formula.

The contract, stated once: an argument without a unit raises TypeError, one of the wrong kind
pint.DimensionalityError, an impossible one ValueError; each names the argument and says what to
write.
"""

import inspect
import operator
import re
from functools import wraps

import numpy as np

from .units import Quantity, magnitude, number, ureg

HOW_MADE = {
    "Crank": 'Crank.load("pump")',
    "Bar": "bar.smallest_bar(crank)",
    "CenterLayout": "layout.center_layout(crank, bar)",
    "Steel": 'steels.find("C45")',
    "Lathe": "load_lathe()",
    "TurnLoads": "service.turn_loads(crank, cylinders, speed)",
    "Runout": "inspection.fit_runout(angle, reading)",
    "Warming": "warming.warm(crank, heat, time)",
    "CenterHole": "center_holes.center_hole(work_diameter)",
    "TorsionalModes": "torsion.crank_modes(crank)",
    "Limits": 'fits.limits(size, "k6")',
    "Cylinder": "service.Cylinder(rod_length, push)",
    "Mode": "Mode(frequency, stiffness, damping_ratio)",
    "Spacer": "Spacer(throw, misfit, diameter)",
    "Place": "strength.places(crank)[0]",
    "StrengthResult": "strength.check_strength(crank, loads)",
}


def takes(gives=None, **wanted):
    """Decorator: the function below it works with plain numbers, its caller with quantities.

    ``gives`` is the unit of the answer, or one unit for each of several answers (None: as it is).
    Each further keyword names an argument and says what it may be:

    - ``"mm"``, ``"mm > 0"``, ``"mm >= 0"``: a quantity, arrays welcome; ``"mm > 0, one"`` a single
    value
    - ``"number > 0"``, ``"number 0..1"``: a number without a unit
    - ``"deg (0..90]"``: an angle above 0 and at most 90 deg, handed over in radians
    - a class: that object; a tuple of words: one of them

    An argument whose default is None may be None. ``function.units`` holds the declarations.
    Basis: derived.
    """

    def decorate(function):
        parameters = inspect.signature(function).parameters
        names = list(parameters)
        checks = {name: _check(kind, name) for name, kind in wanted.items()}
        optional = {name for name in checks if parameters[name].default is None}
        defaults = {
            name: check(parameters[name].default)
            for name, check in checks.items()
            if name not in optional and parameters[name].default is not inspect.Parameter.empty
        }
        attach = _attach(gives)

        @wraps(function)
        def checked(*values, **named):
            given = dict(zip(names, values, strict=False)) if len(values) <= len(names) else None
            if given is None or given.keys() & named.keys():
                return function(*values, **named)  # Python's own words for too many arguments
            given.update(named)
            for name, check in checks.items():
                if name not in given:
                    if name in defaults:
                        given[name] = defaults[name]
                elif given[name] is not None or name not in optional:
                    given[name] = check(given[name])
            return attach(function(**given))

        checked.units = dict(wanted, gives=gives)
        checked.plain = function
        return checked

    return decorate


_FORM = re.compile(
    r"(?P<unit>.*?)(?: (?P<sign>>=?) (?P<low>\S+)"
    r"| (?P<opens>[(\[])?(?P<least>-?[\d.]+)\.\.(?P<most>[\d.]+)(?P<closes>[)\]])?)?$"
)


def _check(kind, name):
    """The check that a declaration of :func:`takes` asks for, as a function of the value."""
    if isinstance(kind, type):
        return lambda value: made(value, kind, name)
    if isinstance(kind, tuple):
        return lambda value: one_of(value, kind, name)
    text, _, alone = kind.partition(", ")
    found = _FORM.match(text)
    bounds = {"one": bool(alone)}
    if found["sign"]:
        bounds["above" if found["sign"] == ">" else "least"] = float(found["low"])
    if found["unit"] == "number":
        if found["most"]:
            bounds |= {"least": float(found["least"]), "most": float(found["most"])}
        return lambda value: number(value, name, **bounds)
    if found["most"]:
        least, most = float(found["least"]), float(found["most"])
        ends = found["opens"] == "[", found["closes"] == "]"
        return lambda value: radians_within(value, name, least, most, ends)
    unit = found["unit"]
    return lambda value: magnitude(value, unit, name, **bounds)


def _attach(gives):
    if gives is None:
        return lambda answer: answer
    if isinstance(gives, str):
        unit = ureg.Unit(gives)
        return lambda answer: Quantity(answer, unit)
    units = [unit and ureg.Unit(unit) for unit in gives]
    return lambda answers: tuple(
        Quantity(answer, unit) if unit else answer
        for answer, unit in zip(answers, units, strict=True)
    )


def one_of(word, words, name):
    """The word itself if it is one of ``words``, or an error that lists them."""
    if word not in words:
        raise ValueError(f"{name} must be one of {', '.join(map(str, words))}, not {word!r}")
    return word


def radians_within(value, name, least, most, ends):
    """Plain radians of an angle between two numbers of degrees, or at an end that belongs to it."""
    degrees = magnitude(value, "deg", name)
    low, high = (1e-9 if end else -1e-9 for end in ends)  # a right angle in radians is just over 90
    outside = np.extract((degrees < least - low) | (degrees > most + high), degrees)
    if outside.size:
        raise ValueError(
            f"{name} must be {'at least' if ends[0] else 'above'} {least:g} and "
            f"{'at most' if ends[1] else 'below'} {most:g} deg, not {outside[0]:g}; "
            "write another angle in deg"
        )
    return np.radians(degrees)


def made(value, kind, name):
    """The value itself if it is an object of that class, or an error that says how one is made."""
    if not isinstance(value, kind):
        wanted = (
            " or ".join(each.__name__ for each in kind)
            if isinstance(kind, tuple)
            else kind.__name__
        )
        how = HOW_MADE.get(wanted, f"{wanted}(...)")
        raise TypeError(f"{name} has to be a {wanted}: write {how}, not {repr(value)[:60]}")
    return value


def several(values, kind, name):
    """One object or a row of them as a tuple, each checked like :func:`made`."""
    if not isinstance(values, (list, tuple)):
        return (made(values, kind, name),)
    return tuple(made(value, kind, f"{name}[{place}]") for place, value in enumerate(values))


def counted(value, row, name):
    """A place in a row such as ``crank.throws``, counted from zero as Python counts."""
    try:
        place = operator.index(value)
    except TypeError:
        place = -1
    if isinstance(value, bool) or place not in range(len(row)):
        raise ValueError(
            f"{name} must be from 0 to {len(row) - 1}, counted from zero, not {repr(value)[:40]}"
        )
    return place
