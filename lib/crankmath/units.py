"""The one unit registry, the reading of what people type, and rounded text.

Every public function of the library takes quantities from this registry and
checks them with :func:`magnitude`, so that all error messages read alike.
"""

import re

import numpy as np
import pint


class _Registry(pint.UnitRegistry):
    """Remembers every unit text it has read: pint reads one with a prefix, such as mm, anew each time (0.3 ms)."""

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
ureg.define("surface_foot_per_minute = foot / minute = sfm")
ureg.formatter.default_format = "~P"
Quantity = ureg.Quantity


class OutOfRangeWarning(UserWarning):
    """The result is outside the range its source was made for."""


class WrongKindError(pint.DimensionalityError):
    """A quantity of the wrong kind, told in a sentence of ours."""

    def __init__(self, value, unit, name):
        wanted = ureg.Unit(unit)
        super().__init__(value.units, wanted, value.dimensionality, wanted.dimensionality)
        shown = (
            as_text(value, value.units)
            if np.ndim(value.magnitude) == 0
            else f"an array in {unit_text(value.units)}"
        )
        self.sentence = (
            f"{name} should be {KINDS.get(unit, f'something measured in {unit}')}; "
            f"{shown} is another kind of quantity. Write it in {unit}."
        )

    def __str__(self):
        return self.sentence


KINDS = {
    "mm": "a length",
    "m/min": "a speed",
    "rpm": "a spindle speed",
    "N": "a force",
    "N*m": "a torque",
    "MPa": "a stress",
    "min": "a time",
    "kg": "a mass",
    "W": "a power",
    "mm**2": "an area",
    "deg": "an angle",
    "delta_degC": "a temperature difference",
    "degC": "a temperature",
}
_EXAMPLE = {"mm": "25", "m/min": "20", "rpm": "250", "MPa": "600", "N": "500"}
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

    Parameters
    ----------
    value : Quantity, scalar or array
    unit : str
        Unit of the numbers returned.
    name : str
        Argument name used in the message.
    above, least : float, optional
        The value must lie above, or be at least, this number of ``unit``.
    one : bool
        Arrays are refused.

    Returns
    -------
    float or ndarray [unit]

    Raises
    ------
    TypeError
        The value has no unit.
    pint.DimensionalityError
        The value is of the wrong kind.
    ValueError
        The value is empty, not finite, out of bounds, or an array where one is wanted.

    Notes
    -----
    Basis: derived.
    """
    if not isinstance(value, pint.Quantity):
        raise TypeError(
            f"{name} needs a unit: write Quantity({_EXAMPLE.get(unit, '1')}, '{unit}'), not {value!r}"
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
        number = np.asarray(value.m_as(kind), dtype=float)
    except (TypeError, ValueError):
        raise ValueError(f"{name} has to be a number of {unit}, not {value.magnitude!r}") from None
    if number.size == 0:
        raise ValueError(f"{name} is empty: give at least one value in {unit}")
    if not np.all(np.isfinite(number)):
        raise ValueError(f"{name} has to be a finite number of {unit}")
    _only_one(number, one, name)
    _within_reason(number, above, name, unit)
    if unit == "degC" and np.any(number <= -273.15):
        raise ValueError(
            f"{name} is below absolute zero: write a temperature in degC, for example 20"
        )
    if above is not None and np.any(number <= above):
        worst = as_text(Quantity(float(number.min()), unit), unit)
        limit = "zero" if above == 0 else f"{above:g} {unit}"
        raise ValueError(
            f"{name} must be above {limit}, not {worst}; write a larger value in {unit}"
        )
    if least is not None and np.any(number < least):
        worst = as_text(Quantity(float(number.min()), unit), unit)
        raise ValueError(
            f"{name} must be at least {least:g} {unit}, not {worst}; write a larger value"
        )
    return float(number) if number.ndim == 0 else number


def number(value, name, *, above=None, least=None, most=None, one=False):
    """Plain finite number or array without a unit, checked like :func:`magnitude`.

    Parameters
    ----------
    value : float or array, or dimensionless Quantity
    name : str
        Argument name used in the message.
    above, least, most : float, optional
        Bounds.
    one : bool
        Arrays are refused.

    Returns
    -------
    float or ndarray [no unit]

    Raises
    ------
    ValueError
        Not a finite number, empty, out of bounds, or an array where one is wanted.
    pint.DimensionalityError
        The value carries a unit.

    Notes
    -----
    Basis: derived.
    """
    if isinstance(value, pint.Quantity):
        if not value.dimensionless:
            raise WrongKindError(value, "dimensionless", name)
        value = value.m_as("dimensionless")
    try:
        plain = np.asarray(value, dtype=float)
    except (TypeError, ValueError):
        raise ValueError(f"{name} has to be a plain number, not {value!r}") from None
    if plain.size == 0 or not np.all(np.isfinite(plain)):
        raise ValueError(f"{name} has to be a finite number, not {value!r}")
    _only_one(plain, one, name)
    _within_reason(plain, above, name, "")
    if above is not None and np.any(plain <= above):
        raise ValueError(
            f"{name} must be above {above:g}, not {plain.min():g}; write a larger number"
        )
    if least is not None and np.any(plain < least):
        raise ValueError(
            f"{name} must be at least {least:g}, not {plain.min():g}; write a larger number"
        )
    if most is not None and np.any(plain > most):
        raise ValueError(
            f"{name} must be at most {most:g}, not {plain.max():g}; write a smaller number"
        )
    return float(plain) if plain.ndim == 0 else plain


def _only_one(values, one, name):
    if one and values.ndim:
        raise ValueError(f"{name} takes one value, not {values.size}: give them one at a time")


def _within_reason(values, above, name, unit):
    """Refuse what no part, machine or load reaches: its powers would overflow in the middle of a sum."""
    sizes = np.abs(values)
    for wrong, word in (
        (sizes > LARGEST, "large"),
        (above == 0 and (sizes < 1 / LARGEST) & (values > 0), "small"),
    ):
        if np.any(wrong):
            worst = np.ravel(values)[np.argmax(np.ravel(wrong))]
            raise ValueError(
                f"{name} is {worst:.0e} {unit}".rstrip()
                + f", too {word} for anything real: check number and unit"
            )


_NUMBER = re.compile(
    r"""(?P<sign>[+-]?)\s*(?:
        (?P<whole>\d+)(?:\s+|\s*-\s*)(?P<top>\d+)\s*/\s*(?P<bottom>\d+)
      | (?P<top_only>\d+)\s*/\s*(?P<bottom_only>\d+)
      | (?P<plain>(?:\d+(?:[.,]\d*)*|[.,]\d+)(?:[eE][+-]?\d+)?)
    )\s*(?P<unit>.*)$""",
    re.VERBOSE | re.DOTALL,
)
_UNIT_WORDS = {
    '"': "in",
    "″": "in",
    "”": "in",
    "''": "in",
    "inches": "in",
    "thou": "thousandth",
    "µm": "um",
    "μm": "um",
    "micron": "um",
    "microns": "um",
    "fpm": "ft/min",
    "rev/min": "rpm",
    "r/min": "rpm",
    "1/min": "rpm",
    "turn/min": "rpm",
    "°": "deg",
    "°C": "delta_degC",
    "N/mm2": "MPa",
    "N/mm²": "MPa",
    "ksi": "kpsi",
    "ft lbf": "ft*lbf",
    "Nm": "N*m",
    "N m": "N*m",
    "in lbf": "in*lbf",
    "mil": "thousandth",
    "mils": "thousandth",
    "%": "percent",
    "Δ°C": "delta_degC",
    "Δ°F": "delta_degF",
    "°F": "delta_degF",
}
# capitals as people type them: only words no unit of another meaning shares
_ANY_CASE = {
    word.casefold(): word
    for word in ("mm", "cm", "in", "inch", "ft", "rpm", "lbf", "thou", "kg", "lb", "deg", "inches")
}
_FRACTIONS = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅓": "1/3",
    "⅔": "2/3",
}
_PLAIN_SIGNS = str.maketrans({"²": "2", "³": "3", "·": "*", "\u22c5": "*"})
_WARMTH = re.compile(
    r"(?:°|Δ°|deg(?:ree)?s?)? ?([CF])$"
)  # alone, C is pint's coulomb and F its farad
_UNIT_FORM = re.compile(r"[A-Za-zµμΩ°_/*^.·\u22c5\- 0-9²³]{1,40}$")
ureg.define("kpsi = 1000 psi")


def read_quantity(text, units, name="value", *, above=None, least=None):
    """Quantity that a person typed, read the way a workshop writes numbers.

    Reads ``18 mm``, ``0,25 mm``, ``3/4 in``, ``1-1/8 in``, ``1 1/8 in``, ``1¾ in``
    and ``0.002"``. ``1,234`` is refused with a question, because it may mean 1.234
    or 1234.

    Parameters
    ----------
    text : str
    units : str or sequence of str
        Units this field takes, the usual one first. A number without a unit is
        refused with this list. Where ``"rpm"`` is taken, typed ``rev/min`` and
        ``1/min`` are rpm too, as on a lathe's plate; a Quantity in 1/min is not.
    name : str
        Field name used in the message.
    above, least : float, optional
        Bounds in the first unit.

    Returns
    -------
    Quantity [the unit typed]

    Raises
    ------
    TypeError
        No unit was typed.
    pint.DimensionalityError
        The unit is of the wrong kind.
    ValueError
        No number, an ambiguous number, an unknown unit, or out of bounds.

    Notes
    -----
    Basis: derived; the text is matched by a grammar and never evaluated.
    """
    units = (units,) if isinstance(units, str) else units
    if isinstance(text, pint.Quantity):
        magnitude(text, units[0], name, above=above, least=least)
        return text
    shown = str(text).strip()
    if len(shown) > 60:
        raise ValueError(
            f"{name}: “{shown[:40]}…” is too long for one size; write for example {_EXAMPLE.get(units[0], '1')} {units[0]}"
        )
    listed = [re.sub("(?:delta_)?deg(?=[CF]$)", "°", unit) for unit in units]
    example = f"{_EXAMPLE.get(units[0], '1')} {listed[0]}"
    cleaned = (
        shown.replace("−", "-").replace("–", "-").replace("\u00a0", " ").replace("\u202f", " ")
    )
    for sign, fraction in _FRACTIONS.items():
        cleaned = re.sub(
            rf"(\d?)\s*{sign}",
            lambda match, fraction=fraction: f"{match[1]} {fraction}" if match[1] else fraction,
            cleaned,
        )
    if not cleaned:
        raise ValueError(f"{name} is empty: write for example {example}")
    match = _NUMBER.match(cleaned)
    if not match:
        raise ValueError(f"{name}: no number found in “{shown}”; write for example {example}")
    value = _typed_number(match, shown, name)
    typed_unit = match["unit"].strip()
    if re.match(r"\d+(?!\d*\s*/)", typed_unit):
        raise ValueError(
            f"{name}: “{shown}” holds two numbers; write one, without spaces, for example {example}"
        )
    typed_unit = _ANY_CASE.get(typed_unit.casefold(), typed_unit)
    if units[0].endswith("degC") and (warmth := _WARMTH.match(typed_unit)):
        typed_unit = units[0][:-1] + warmth[1]
    typed_unit = _UNIT_WORDS.get(typed_unit, typed_unit)
    if not typed_unit:
        raise TypeError(f"{name} needs a unit after “{shown}”: write for example {example}")
    try:
        if not _UNIT_FORM.match(typed_unit):
            raise ValueError
        unit = ureg.Unit(
            re.sub(r"(?<=[A-Za-zµ])([23])$", r"**\1", typed_unit.translate(_PLAIN_SIGNS))
        )
    except Exception:  # pint raises several kinds for text it cannot read as a unit
        raise ValueError(
            f"{name}: “{typed_unit}” is not a unit known here; write for example {example} ({', '.join(listed)})"
        ) from None
    quantity = Quantity(value, unit)
    if ureg.Unit(units[0]).dimensionality != quantity.dimensionality:
        raise WrongKindError(quantity, units[0], name)
    if not any(ureg.Unit(allowed) == unit for allowed in units):
        raise ValueError(
            f"{name}: {match['unit'].strip()} is not used here; write it in {' or '.join(listed)}"
        )
    magnitude(quantity, units[0], name, above=above, least=least)
    return quantity


def _typed_number(match, shown, name):
    """Number of a matched text; refuses one that two countries read differently."""
    if match["top_only"] or match["top"]:
        bottom = int(match["bottom"] or match["bottom_only"])
        if bottom == 0:
            raise ValueError(
                f"{name}: the fraction in “{shown}” divides by zero; write for example 3/4"
            )
        value = int(match["whole"] or 0) + int(match["top"] or match["top_only"]) / bottom
    else:
        plain = match["plain"]
        if re.fullmatch(r"[1-9]\d{0,2}(,\d{3})+", plain):
            raise ValueError(
                f"{name}: does “{plain}” mean {plain.replace(',', '.', 1)} or {plain.replace(',', '')}? Write one of the two."
            )
        if plain.count(",") + plain.count(".") > 1:
            raise ValueError(
                f"{name}: “{plain}” has more than one decimal mark; write for example 1234.5"
            )
        value = float(plain.replace(",", "."))
    return -value if match["sign"] == "-" else value


# pint sorts units by letter; the trade names the force first
_TRADE_ORDER = re.compile(r"^(mm|cm|m|ft|in)·(N|kN|lbf|oz)$|^(ft)·(psi)(?=/min$)")


def unit_text(unit):
    """A unit as a workshop writes it, the same from every pint: newer ones take the Greek letter mu and the dot operator.

    Parameters
    ----------
    unit : str or Unit

    Returns
    -------
    str

    Raises
    ------
    ValueError
        No unit known here.

    Notes
    -----
    Basis: derived.
    """
    try:
        label = f"{ureg.Unit(unit):~P}"
    except Exception:  # pint raises several kinds for what it cannot read as a unit
        raise ValueError(
            f'unit has to be a unit known here, for example "mm", not {repr(unit)[:60]}'
        ) from None
    for ours, trade in (("\u03bc", "\u00b5"), ("\u22c5", "·"), ("thousandth", "thou"), ("Δ°", "°")):
        label = label.replace(ours, trade)
    return _TRADE_ORDER.sub(lambda found: "·".join(filter(None, found.groups()[::-1])), label)


def as_text(value, unit=None, digits=4):
    """Rounded text of a quantity in a unit, as it stands in prose and on labels.

    Parameters
    ----------
    value : Quantity, scalar
    unit : str or Unit, optional
        Unit shown; the quantity's own without it.
    digits : int
        Significant digits.

    Returns
    -------
    str [unit written out]

    Raises
    ------
    TypeError
        The value has no unit.
    pint.DimensionalityError
        The unit is of another kind.
    ValueError
        An array, or fewer than one digit or more than 15.

    Notes
    -----
    Basis: derived.
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
