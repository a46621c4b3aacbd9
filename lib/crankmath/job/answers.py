"""How an answer of a job is read, checked, shown in mm or inch, and stored without loss."""

import re
from dataclasses import dataclass

from ..typed import read_quantity
from ..units import Quantity, as_text, magnitude, number, ureg

LONGEST_TEXT, MOST_STEPS = 60, 40
DECIMALS = 6  # significant digits of an answer: what a reader types comes back as typed


@dataclass(frozen=True)
class Field:
    """One question of a job.

    ``kind`` is "quantity", "number", "choice", "words" or "speeds". ``units`` are those it takes, the metric one first, then the
    inch one where there is one. A field that ``may_be_blank`` then means what ``basis`` of its default says. One ``used_with``
    another field's key and words counts only where that has one of those words.
    """

    key: str
    group: str
    label: str
    kind: str = "quantity"
    units: tuple = ()
    options: tuple = ()
    above: float | None = None
    least: float | None = None
    most: float | None = None
    may_be_blank: bool = False
    used_with: tuple = ()

    def read(self, text):
        """Answer that a person typed.

        Parameters
        ----------
        text : str

        Returns
        -------
        Quantity, float, str, tuple of float, or None for a blank

        Raises
        ------
        TypeError, ValueError, pint.DimensionalityError
            The sentence names the field and says what to write.

        Notes
        -----
        Basis: derived; quantities by ``units.read_quantity``.
        """
        shown = str(text).strip()
        if self.may_be_blank and not shown:
            return None
        if self.kind == "choice":
            return self.checked(shown)
        if self.kind == "words":
            return self.checked(" ".join(shown.split()))
        if self.kind == "speeds":
            return self.checked(_typed_speeds(shown, self.label))
        if self.kind == "number":
            return self.checked(_typed_number(shown, self.label))
        return self.checked(read_quantity(shown, self.units, self.label))

    def checked(self, value):
        """The answer in its stored form, or an error that names the field; a quantity keeps its number and its unit."""
        if value is None and self.may_be_blank:
            return None
        if self.kind == "choice":
            if value not in self.options:
                raise ValueError(
                    f"{self.label} must be one of {', '.join(self.options)}, not “{str(value)[:60]}”"
                )
            return value
        if self.kind == "words":
            if (
                not isinstance(value, str)
                or not 0 < len(value) <= LONGEST_TEXT
                or not value.isprintable()
            ):
                raise ValueError(
                    f"{self.label} takes 1 to {LONGEST_TEXT} letters, not {str(value)[:70]!r}"
                )
            return value
        if self.kind == "speeds":
            return _checked_speeds(value, self.label)
        if self.kind == "number":
            return float(
                number(value, self.label, above=self.above, least=self.least, most=self.most)
            )
        size = magnitude(
            value, self.units[0], self.label, above=self.above, least=self.least, one=True
        )
        if self.most is not None and size > self.most:
            most = Quantity(self.most, self.units[0])
            raise ValueError(
                f"{self.label} must be at most {as_text(most)}, not {as_text(value)}: is the unit right?"
            )
        unit = next((unit for unit in self.units if ureg.Unit(unit) == value.units), None)
        return Quantity(float(value.magnitude), unit) if unit else Quantity(size, self.units[0])

    def shown(self, value, units):
        """Text of an answer in mm or inch units, as it stands in the field: converted, never relabeled.

        Parameters
        ----------
        value : answer
        units : "mm" or "in"

        Returns
        -------
        str

        Notes
        -----
        Basis: derived. An answer in a unit of the wanted system stays as typed.
        """
        if value is None:
            return ""
        if self.kind == "speeds":
            return " ".join(f"{step:g}" for step in value) + " rpm"
        if self.kind == "number":
            return f"{value:g}"
        if self.kind != "quantity":
            return value
        unit = value.units
        if (
            inch(unit) != (units == "in")
            and len(self.units) > 1
            and any(inch(ureg.Unit(one)) for one in self.units)
        ):
            unit = next(one for one in self.units if inch(ureg.Unit(one)) == (units == "in"))
        return as_text(value, unit, DECIMALS)

    def to_json(self, value):
        """The answer as JSON holds it: a quantity as its number and unit."""
        if isinstance(value, Quantity):
            unit = next(unit for unit in self.units if ureg.Unit(unit) == value.units)
            return [value.magnitude, unit]
        return list(value) if isinstance(value, tuple) else value

    def from_json(self, stored):
        """The answer that :meth:`to_json` wrote, checked."""
        if self.kind == "quantity" and stored is not None:
            good = (
                isinstance(stored, list)
                and len(stored) == 2
                and _is_number(stored[0])
                and stored[1] in self.units
            )
            if not good:
                raise ValueError(
                    f"{self.key} has to be a number and one of {', '.join(self.units)} in a list, not {str(stored)[:60]}"
                )
            return self.checked(Quantity(float(stored[0]), stored[1]))
        if self.kind == "number" and not _is_number(stored):
            raise ValueError(f"{self.key} has to be a number, not {str(stored)[:60]}")
        if self.kind == "speeds":
            if not isinstance(stored, list) or not all(map(_is_number, stored)):
                raise ValueError(f"{self.key} has to be a list of numbers, not {str(stored)[:60]}")
            stored = tuple(float(step) for step in stored)
        return self.checked(stored)


def inch(unit):
    """Whether a unit belongs to the inch system."""
    return any(
        name
        in (
            "inch",
            "foot",
            "thousandth",
            "force_pound",
            "pound",
            "pound_force_per_square_inch",
            "kpsi",
            "horsepower",
            "ounce",
            "surface_foot_per_minute",
            "delta_degree_Fahrenheit",
        )
        for name, _ in Quantity(1, unit).unit_items()
    )


def _is_number(value):
    """Whether a stored value is a number, and not a whole one too long for any quantity."""
    return (
        isinstance(value, float)
        or isinstance(value, int)
        and not isinstance(value, bool)
        and abs(value) < 1e300
    )


def _typed_number(shown, label):
    """A share or count: 0.75, 0,75, 3/4 or 75 %."""
    percent = shown.endswith("%")
    typed = shown.rstrip("%").strip()
    if not re.fullmatch(r"[-+−]?[\d.,/ ]+", typed) or not re.search(r"\d", typed):
        raise ValueError(
            f"{label}: no plain number found in “{shown[:40]}”; write for example 0.75 or 75 %"
        )
    return read_quantity(f"{typed} deg", ("deg",), label).magnitude / (100 if percent else 1)


def _typed_speeds(shown, label):
    """Steps of a gear table, apart by spaces; one rpm at the end may stand."""
    typed = re.sub(r"\s*rpm\s*$", "", shown, flags=re.IGNORECASE)
    parts = re.sub(r",\s+|;", " ", typed).split()
    if not parts:
        raise ValueError(
            f"{label} is empty: write the steps apart by spaces, for example 70 110 160 230 rpm"
        )
    for part in parts:
        if not re.fullmatch(r"\d+(\.\d+)?", part):
            raise ValueError(
                f"{label}: “{part[:20]}” is no speed; write the steps apart by spaces, for example 70 110 160 230 rpm"
            )
    return tuple(float(part) for part in parts)


def _checked_speeds(steps, label):
    if not isinstance(steps, tuple | list) or not 1 <= len(steps) <= MOST_STEPS:
        raise ValueError(f"{label} takes 1 to {MOST_STEPS} steps in rpm")
    found = sorted({float(number(step, label, above=0)) for step in steps})
    if found[-1] > 20_000:
        raise ValueError(
            f"{label}: {found[-1]:g} rpm is no lathe's speed; write the steps in rpm, apart by spaces"
        )
    return tuple(found)
