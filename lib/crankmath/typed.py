"""Reading what people type: a number and a unit, as a workshop writes them."""

import re

import pint

from .units import EXAMPLE, Quantity, WrongKindError, magnitude, ureg

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


def read_quantity(text, units, name="value", *, above=None, least=None):
    """Quantity that a person typed.

    Reads ``18 mm``, ``0,25 mm``, ``3/4 in``, ``1-1/8 in``, ``1 1/8 in``, ``1¾ in`` and ``0.002"``.
    ``1,234`` is refused with a question, because it may mean 1.234 or 1234. units are those this
    field takes, the usual one first; a text without one is refused with that list. Where ``"rpm"``
    is taken, typed ``rev/min`` and ``1/min`` are rpm too, as on a lathe's plate; a Quantity in
    1/min is not. name stands in the message; above, least are bounds in the first unit.
    Basis: derived; the text is matched by a grammar and never evaluated. Raises TypeError where no
    unit was typed, pint.DimensionalityError for one of the wrong kind, else ValueError.
    """
    units = (units,) if isinstance(units, str) else units
    if isinstance(text, pint.Quantity):
        magnitude(text, units[0], name, above=above, least=least)
        return text
    shown = str(text).strip()
    listed = [re.sub("(?:delta_)?deg(?=[CF]$)", "°", unit) for unit in units]
    number = EXAMPLE.get(units[0], "1")
    example = f"write for example {number} {listed[0]}"
    if len(shown) > 60:
        raise ValueError(
            f"{name}: “{shown[:40]}…” is too long for one size; "
            f"write for example {number} {units[0]}"
        )
    cleaned = _with_plain_signs(shown)
    if not cleaned:
        raise ValueError(f"{name} is empty: {example}")
    match = _NUMBER.match(cleaned)
    if not match:
        raise ValueError(f"{name}: no number found in “{shown}”; {example}")
    value = _typed_number(match, shown, name)
    typed = match["unit"].strip()
    if re.match(r"\d+(?!\d*\s*/)", typed):
        raise ValueError(
            f"{name}: “{shown}” holds two numbers; write one, without spaces, for example "
            f"{number} {listed[0]}"
        )
    word = _unit_word(typed, units)
    if not word:
        raise TypeError(f"{name} needs a unit after “{shown}”: {example}")
    unit = _known_unit(word)
    if unit is None:
        raise ValueError(
            f"{name}: “{word}” is not a unit known here; {example} ({', '.join(listed)})"
        )
    quantity = Quantity(value, unit)
    if ureg.Unit(units[0]).dimensionality != quantity.dimensionality:
        raise WrongKindError(quantity, units[0], name)
    if not any(ureg.Unit(allowed) == unit for allowed in units):
        raise ValueError(f"{name}: {typed} is not used here; write it in {' or '.join(listed)}")
    magnitude(quantity, units[0], name, above=above, least=least)
    return quantity


def _with_plain_signs(text):
    """Text with plain minus signs and spaces, and fractions of one letter written out."""
    for sign, plain in (("−", "-"), ("–", "-"), ("\u00a0", " "), ("\u202f", " ")):
        text = text.replace(sign, plain)
    for sign, fraction in _FRACTIONS.items():
        text = re.sub(rf"(\d)\s*{sign}", rf"\1 {fraction}", text).replace(sign, fraction)
    return text


def _unit_word(typed, units):
    """The registry's word for a typed unit where units are wanted."""
    typed = _ANY_CASE.get(typed.casefold(), typed)
    if units[0].endswith("degC") and (warmth := _WARMTH.match(typed)):
        typed = units[0][:-1] + warmth[1]
    return _UNIT_WORDS.get(typed, typed)


def _known_unit(word):
    """Unit of a word, None where there is none."""
    if not _UNIT_FORM.match(word):
        return None
    try:
        return ureg.Unit(re.sub(r"(?<=[A-Za-zµ])([23])$", r"**\1", word.translate(_PLAIN_SIGNS)))
    except Exception:  # pint raises several kinds for text it cannot read as a unit
        return None


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
                f"{name}: does “{plain}” mean {plain.replace(',', '.', 1)} or "
                f"{plain.replace(',', '')}? Write one of the two."
            )
        if plain.count(",") + plain.count(".") > 1:
            raise ValueError(
                f"{name}: “{plain}” has more than one decimal mark; write for example 1234.5"
            )
        value = float(plain.replace(",", "."))
    return -value if match["sign"] == "-" else value
