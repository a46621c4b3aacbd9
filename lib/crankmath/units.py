"""The one unit registry, checks of quantities, and rounded text.

Every public function of the library takes quantities from this registry, checked by
:func:`magnitude`, so that all error messages read alike.
"""

import re
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
import pint

from .language import _, marked


class _Registry(pint.UnitRegistry):
    """Remembers each unit text: pint reads one with a prefix, such as mm, every time (0.3 ms)."""

    def _after_init(self):
        self._texts = {}
        super()._after_init()

    def define(self, definition):
        self._texts.clear()
        super().define(definition)

    def parse_units_as_container(self, input_string, as_delta=None, case_sensitive=None):
        key = input_string, as_delta, case_sensitive
        if key not in self._texts:
            if len(self._texts) > 1000:  # what readers type must not fill the memory
                self._texts.clear()
            self._texts[key] = super().parse_units_as_container(
                input_string, as_delta, case_sensitive
            )
        return self._texts[key]


ureg = _Registry()
ureg.define("thousandth = 0.001 inch = thousandth")
ureg.define("kpsi = 1000 psi")
ureg.define("surface_foot_per_minute = foot / minute = sfm")
ureg.formatter.default_format = "~P"
if TYPE_CHECKING:
    from pint import Quantity as Quantity
else:
    Quantity = ureg.Quantity


class OutOfRangeWarning(UserWarning):
    """The result is outside the range its source was made for."""


class SafeSideWarning(OutOfRangeWarning):
    """A value past its source's range was counted as at the range's end, which is the safe side."""


class WrongKindError(pint.DimensionalityError):
    """A quantity of the wrong kind, named in a plain sentence.

    ``written`` is the unit as the reader writes it, in code by default.
    """

    def __init__(self, value, unit, name, written=None):
        wanted = ureg.Unit(unit)
        super().__init__(value.units, wanted, value.dimensionality, wanted.dimensionality)
        shown = (
            as_text(value, value.units)
            if np.ndim(value.magnitude) == 0
            else _("an array in {unit}").format(unit=unit_text(value.units))
        )
        written = "inches" if unit == "in" else written or unit
        self.sentence = _(
            "{name} should be {kind}; {shown} is another kind of quantity. Write it in {unit}."
        ).format(name=name, kind=_kind(unit), shown=shown, unit=written)

    def __str__(self):
        return self.sentence


KINDS = {
    "mm": marked("a length"),
    "in": marked("a length"),
    "m/min": marked("a speed"),
    "rpm": marked("a spindle speed"),
    "N": marked("a force"),
    "N*m": marked("a torque"),
    "MPa": marked("a stress"),
    "min": marked("a time"),
    "kg": marked("a mass"),
    "W": marked("a power"),
    "mm**2": marked("an area"),
    "deg": marked("an angle"),
    "delta_degC": marked("a temperature difference"),
    "degC": marked("a temperature"),
}


def _kind(unit):
    if unit in KINDS:
        return _(KINDS[unit])
    return _("something measured in {unit}").format(unit=unit_text(unit) or unit)


EXAMPLE = {"mm": "25", "m/min": "20", "rpm": "250", "MPa": "600", "N": "500"}
LARGEST = 1e18  # of any unit
# pint counts a turn as 2 pi and a hertz as one radian a second: a spindle speed
# has to name its angle, or 4 hertz would turn into 38 rpm without a word.
TURNING = (
    "turn",
    "revolution",
    "revolutions_per_minute",
    "revolutions_per_second",
    "radian",
    "degree",
)


def magnitude(value, unit, name, *, above=None, least=None, one=False):
    """Plain number or array of a quantity in a unit, or an error that says what to write.

    ``name`` stands in the message; ``value`` [unit] must lie above, or be at least, a number of it;
    ``one`` refuses arrays. Raises TypeError for a missing unit, pint.DimensionalityError for a
    wrong kind, ValueError for what is empty, not finite, out of bounds or an array where one is
    wanted.
    Basis: derived.
    """
    if not isinstance(value, pint.Quantity):
        raise TypeError(
            f"{name} needs a unit: "
            f"write Quantity({EXAMPLE.get(unit, '1')}, '{unit}'), not {value!r}"
        )
    kind = ureg.Unit(unit)
    if value.dimensionality != kind.dimensionality:
        raise WrongKindError(value, unit, name)
    if "deg" in unit and any(
        ("delta" in part) != ("delta" in unit)
        for part, _ in value.unit_items()
        if part.endswith(("Celsius", "Fahrenheit"))
    ):
        meant = "a difference of temperature" if "delta" in unit else "a temperature on the scale"
        raise ValueError(f"{name} should be {meant}: write it in {unit}, not in {value.units}")
    if unit == "rpm" and not any(name in TURNING for name, _ in value.unit_items()):
        raise ValueError(f"{name} has to say what turns: write it in rpm, not in {value.units}")
    try:
        same = value.units == kind  # then pint need not convert
        number = np.asarray(value.magnitude if same else value.m_as(kind), dtype=float)
    except (TypeError, ValueError):
        raise ValueError(f"{name} has to be a number of {unit}, not {value.magnitude!r}") from None
    if number.size == 0:
        raise ValueError(f"{name} is empty: give at least one value in {unit}")
    if not np.isfinite(number).all():
        raise ValueError(
            _("{name} has to be a finite number of {unit}").format(name=name, unit=unit_text(unit))
        )
    _only_one(number, one, name)
    _within_reason(number, above, name, unit)
    if unit == "degC" and (number <= -273.15).any():
        raise ValueError(
            f"{name} is below absolute zero: write a temperature in degC, for example 20"
        )
    if above is not None and (number <= above).any():
        worst = as_text(Quantity(float(number.min()), unit), unit)
        limit = "zero" if above == 0 else as_text(Quantity(above, unit))
        raise ValueError(
            f"{name} must be above {limit}, not {worst}; write a larger value in {unit_text(unit)}"
        )
    if least is not None and (number < least).any():
        worst = as_text(Quantity(float(number.min()), unit), unit)
        raise ValueError(
            f"{name} must be at least {as_text(Quantity(least, unit))}, not {worst}; "
            "write a larger value"
        )
    return float(number) if number.ndim == 0 else number


def number(value, name, *, above=None, least=None, most=None, one=False):
    """Plain finite number or array without a unit, checked like :func:`magnitude`.

    ``name`` stands in the message; ``value`` must lie above, be at least or at most a number;
    ``one`` refuses arrays. Basis: derived.
    """
    if isinstance(value, pint.Quantity):
        if not value.dimensionless:
            raise WrongKindError(value, "dimensionless", name)
        value = value.m_as("dimensionless")
    try:
        plain = np.asarray(value, dtype=float)
    except (TypeError, ValueError):
        raise ValueError(f"{name} has to be a plain number, not {value!r}") from None
    if plain.size == 0 or not np.isfinite(plain).all():
        raise ValueError(f"{name} has to be a finite number, not {value!r}")
    _only_one(plain, one, name)
    _within_reason(plain, above, name, "")
    if above is not None and (plain <= above).any():
        raise ValueError(
            f"{name} must be above {above:g}, not {plain.min():g}; write a larger number"
        )
    if least is not None and (plain < least).any():
        raise ValueError(
            f"{name} must be at least {least:g}, not {plain.min():g}; write a larger number"
        )
    if most is not None and (plain > most).any():
        raise ValueError(
            f"{name} must be at most {most:g}, not {plain.max():g}; write a smaller number"
        )
    return float(plain) if plain.ndim == 0 else plain


def _only_one(values, one, name):
    if one and values.ndim:
        raise ValueError(f"{name} takes one value, not {values.size}: give them one at a time")


def _within_reason(values, above, name, unit):
    """Refuse what no part, machine or load reaches: its powers would overflow inside a sum."""
    sizes = np.abs(values)
    for wrong, word in (
        (sizes > LARGEST, marked("large")),
        ((above == 0) & (sizes < 1 / LARGEST) & (values > 0), marked("small")),
    ):
        if wrong.any():
            worst = np.ravel(values)[np.argmax(np.ravel(wrong))]
            size = f"{worst:.0e} {unit_text(unit)}".rstrip()
            words = _("{name} is {size}, too {word} for anything real: check number and unit")
            raise ValueError(words.format(name=name, size=size, word=_(word)))


# pint sorts units by letter; the trade names the force first
_TRADE_ORDER = re.compile(r"^(mm|cm|m|ft|in)·(N|kN|lbf|oz)$|^(ft)·(psi)(?=/min$)")


def unit_text(unit):
    """Label of a unit as a workshop writes it, the same with every version of pint.

    Newer versions write the Greek letter mu and the dot operator. Basis: derived.
    """
    try:
        return _label(ureg.Unit(unit))
    except Exception:  # pint raises several kinds for what it cannot read as a unit
        raise ValueError(
            f'unit has to be one known here, for example "mm", not {repr(unit)[:60]}'
        ) from None


@lru_cache(maxsize=256)
def _label(unit):
    label = f"{unit:~P}"
    for ours, trade in (("\u03bc", "\u00b5"), ("\u22c5", "·"), ("thousandth", "thou"), ("Δ°", "°")):
        label = label.replace(ours, trade)
    return _TRADE_ORDER.sub(lambda found: "·".join(filter(None, found.groups()[::-1])), label)


def as_text(value, unit=None, digits=4):
    """Rounded text of a quantity, as it stands in prose and on labels.

    ``unit`` is the one shown [any of value's kind], by default the value's own; ``digits`` the
    significant ones, from 1 to 15. Basis: derived.
    """
    if not isinstance(value, pint.Quantity):
        raise TypeError(
            f"value needs a unit to be written: write Quantity(1, 'mm'), not {repr(value)[:60]}"
        )
    if np.ndim(value.magnitude) or isinstance(value.magnitude, str):
        raise ValueError("value has to be one number: write an array's values one at a time")
    if isinstance(digits, bool) or digits not in range(1, 16):
        raise ValueError(f"digits must be from 1 to 15, not {digits!r}")
    if unit is not None and ureg.Unit(unit).dimensionality != value.dimensionality:
        raise WrongKindError(value, str(unit), "value")
    shown = value.to(unit) if unit is not None else value
    size = float(shown.magnitude)
    if not np.isfinite(size):
        return f"{size} {unit_text(shown.units)}"
    decimals = digits - 1 - int(np.floor(np.log10(abs(size)))) if size else 0
    rounded = round(size, decimals)
    if 1e-4 <= abs(rounded) < 1e7 or rounded == 0:
        plain = f"{rounded:.{max(decimals, 0)}f}"
        if "." in plain:
            plain = plain.rstrip("0").rstrip(".")
    else:
        plain = f"{rounded:.{digits}g}"
    return f"{plain.replace('-', '−')} {unit_text(shown.units)}".strip()
