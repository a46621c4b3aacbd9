"""How an answer of a job is read, checked, shown in mm or inch, and stored without loss."""

import re
from dataclasses import dataclass

from ..language import _, listed
from ..tables import settings
from ..typed import read_quantity
from ..units import Quantity, as_text, magnitude, number, ureg

LONGEST_TEXT, MOST_STEPS = 60, 40
EXAMPLES_OF_ROWS = {"rpm": "70 110 160 230 rpm", "mm": "0.03 0.06 0.12 mm"}
WORDS_OF_ROWS = {"rpm": _("speed"), "mm": _("feed")}
DECIMALS = 6  # significant digits of an answer: what a reader types comes back as typed
CONVERTED = 4  # of one that was converted, where more would be needed to give it again


@dataclass(frozen=True)
class Field:
    """One question of a job.

    ``kind`` is "quantity", "number", "choice", "words" or "row", the steps of a table. ``units``
    are those it takes, the metric one first, then the inch one where there is one. A blank in a
    field that ``may_be_blank`` means what the basis of its default says. One ``used_with`` another
    field's key and words counts only where that has one of those words.
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
        """Answer that a person typed, checked; None for a blank.

        The sentence of an error names the field and says what to write.
        """
        shown = str(text).strip()
        if self.may_be_blank and not shown:
            return None
        if self.kind == "choice":
            return self.checked(shown)
        if self.kind == "words":
            return self.checked(" ".join(shown.split()))
        if self.kind == "row":
            return self.checked(_typed_row(shown, self.label, self.units))
        if self.kind == "number":
            return self.checked(self._typed_number(shown))
        usual = read_quantity(self.usual, self.units) if self.usual else None
        return self.checked(read_quantity(shown, self.units, self.label, example=usual))

    def typed(self, text, present, units):
        """Answer typed over a present one that is ``shown``: what was not changed stays exact."""
        if str(text).strip() == self.shown(present, units):
            return present
        found = self.read(text)
        if self.kind == "row":
            was = {self.read(self.shown((step,), units))[0]: step for step in present}
            found = tuple(was.get(step, step) for step in found)
        return found

    @property
    def usual(self):
        """What a job starts from here, as text; empty where that depends on the crank."""
        return settings("job_defaults")["all"].get(self.key, ("",))[0]

    def _typed_number(self, shown):
        """A share or count: 0.75, 0,75, 3/4 or 75 %."""
        share = self.most is not None and self.most <= 1
        usual = self.usual or ("0.75" if share or self.most is None else f"{self.most / 4:g}")
        example = _("write for example {usual}").format(usual=usual) + (
            _(" or {usual:g} %").format(usual=100 * float(usual)) if share else ""
        )
        typed = shown.removesuffix("%").strip()
        if not re.fullmatch(r"[-+−]?[\d.,/ ]+", typed) or not re.search(r"\d", typed):
            raise ValueError(
                _("{label}: no plain number found in “{shown}”; {example}").format(
                    label=self.label, shown=shown[:40], example=example
                )
            )
        value = read_quantity(f"{typed} deg", ("deg",), self.label).magnitude
        if share and 1 < value <= 100 and typed == shown:
            raise ValueError(
                _("{label} is a share of 1, not {shown}; {example}").format(
                    label=self.label, shown=shown[:40], example=example
                )
            )
        return value if typed == shown else value / 100

    def checked(self, value):
        """The answer in its stored form, or an error that names the field.

        A quantity keeps its number and its unit.
        """
        if value is None and self.may_be_blank:
            return None
        if self.kind == "choice":
            if value not in self.options:
                raise ValueError(
                    _("{label} must be one of {options}, not “{value}”").format(
                        label=self.label, options=", ".join(self.options), value=str(value)[:60]
                    )
                )
            return value
        if self.kind == "words":
            if (
                not isinstance(value, str)
                or not 0 < len(value) <= LONGEST_TEXT
                or not value.isprintable()
            ):
                raise ValueError(
                    _("{label} takes 1 to {longest_text} letters, not {value!r}").format(
                        label=self.label, longest_text=LONGEST_TEXT, value=str(value)[:70]
                    )
                )
            return value
        if self.kind == "row":
            return self._checked_row(value)
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
                _("{label} must be at most {most}, not {value}: is the unit right?").format(
                    label=self.label, most=as_text(most), value=as_text(value)
                )
            )
        unit = next((unit for unit in self.units if ureg.Unit(unit) == value.units), None)
        return Quantity(float(value.magnitude), unit) if unit else Quantity(size, self.units[0])

    def _checked_row(self, steps):
        """Steps of a table, each once, smallest first."""
        unit = self.units[0]
        if not isinstance(steps, tuple | list) or not 1 <= len(steps) <= MOST_STEPS:
            raise ValueError(
                _("{label} takes 1 to {most_steps} steps in {unit}").format(
                    label=self.label, most_steps=MOST_STEPS, unit=unit
                )
            )
        found = sorted({float(number(step, self.label, above=0)) for step in steps})
        if found[-1] > self.most:
            raise ValueError(
                _(
                    "{label}: no lathe has a {words_of_rows} of {found:g} {unit}; write the steps "
                    "in {unit}, separated by spaces"
                ).format(
                    label=self.label, found=found[-1], unit=unit, words_of_rows=WORDS_OF_ROWS[unit]
                )
            )
        return tuple(found)

    def shown(self, value, units):
        """Text of an answer in mm or inch units, as its field shows it: converted, never relabeled.

        An answer in a unit of the wanted system stays as typed.
        """
        if value is None:
            return ""
        if self.kind == "row":
            unit = self.units[-1 if units == "in" else 0]
            steps = [Quantity(step, self.units[0]).m_as(unit) for step in value]
            return " ".join(f"{step:.{_digits(step)}g}" for step in steps) + f" {unit}"
        if self.kind == "number":
            return f"{value:g}"
        if self.kind != "quantity":
            return value
        unit, digits = value.units, DECIMALS
        if (
            inch(unit) != (units == "in")
            and len(self.units) > 1
            and any(inch(ureg.Unit(one)) for one in self.units)
        ):
            unit = next(one for one in self.units if inch(ureg.Unit(one)) == (units == "in"))
            digits = _digits(value.m_as(unit))
        return as_text(value, unit, digits)

    def in_words(self, value, units):
        """Text of an answer as a page shows it: a choice in the reader's language."""
        text = self.shown(value, units)
        return listed(text) if self.kind == "choice" else text

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
                    _("{key} has to be a number and one of {units} in a list, not {stored}").format(
                        key=self.key, units=", ".join(self.units), stored=str(stored)[:60]
                    )
                )
            return self.checked(Quantity(float(stored[0]), stored[1]))
        if self.kind == "number" and stored is not None and not _is_number(stored):
            raise ValueError(
                _("{key} has to be a number, not {stored}").format(
                    key=self.key, stored=str(stored)[:60]
                )
            )
        if self.kind == "row":
            if not isinstance(stored, list) or not all(map(_is_number, stored)):
                raise ValueError(
                    _("{key} has to be a list of numbers, not {stored}").format(
                        key=self.key, stored=str(stored)[:60]
                    )
                )
            stored = tuple(float(step) for step in stored)
        return self.checked(stored)


def _digits(size):
    """Significant digits of a converted size: all where they give it, as of a typed one."""
    return DECIMALS if abs(float(f"{size:.{DECIMALS}g}") - size) <= 1e-9 * abs(size) else CONVERTED


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
        for name, _unused in Quantity(1, unit).unit_items()
    )


def _is_number(value):
    """Whether a stored value is a number, and not a whole one too long for any quantity."""
    return (
        isinstance(value, float)
        or isinstance(value, int)
        and not isinstance(value, bool)
        and abs(value) < 1e300
    )


def _typed_row(shown, label, units):
    """Steps of a table in its first unit, apart by spaces; a unit may stand at the end."""
    found = re.fullmatch(rf"(.*?)\s*({'|'.join(units)})?", shown, re.IGNORECASE | re.DOTALL)
    unit = (found[2] or units[0]).lower()
    parts = re.sub(r",\s+|;", " ", found[1]).split()
    if units[0] != "rpm":
        parts = [part.replace(",", ".") for part in parts]
    example = _("for example {examples_of_rows}").format(
        examples_of_rows=EXAMPLES_OF_ROWS[units[0]]
    )
    if not parts:
        raise ValueError(
            _("{label} is empty: write the steps separated by spaces, {example}").format(
                label=label, example=example
            )
        )
    for part in parts:
        if not re.fullmatch(r"\d+(\.\d+)?", part):
            raise ValueError(
                _(
                    "{label}: “{part}” is not a {words_of_rows}; write the steps separated by "
                    "spaces, {example}"
                ).format(
                    label=label,
                    part=part[:20],
                    words_of_rows=WORDS_OF_ROWS[units[0]],
                    example=example,
                )
            )
    return tuple(Quantity(float(part), unit).m_as(units[0]) for part in parts)
