"""Reading what people type: a number and a unit, as a workshop writes them."""

import re

import pint

from .language import _, marked
from .units import EXAMPLE, Quantity, WrongKindError, as_text, magnitude, unit_text, ureg

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
    "µ": "um",
    "μ": "um",
    "fpm": "ft/min",
    "Mpa": "MPa",
    "MPA": "MPa",
    "mpa": "MPa",
    "Nmm": "N*mm",
    "N mm": "N*mm",
    "N-mm": "N*mm",
    "N-m": "N*m",
    "rev/min": "rpm",
    "r/min": "rpm",
    "1/min": "rpm",
    "turn/min": "rpm",
    "U/min": "rpm",  # as it stands on German lathes
    "min⁻¹": "rpm",  # as ISO writes it
    "min^-1": "rpm",
    "/min": "rpm",
    "°": "deg",
    "°C": "delta_degC",
    "N/mm2": "MPa",
    "N/mm²": "MPa",
    "N/mm^2": "MPa",
    "N/mm**2": "MPa",
    "ksi": "kpsi",
    "ft lbf": "ft*lbf",
    "Nm": "N*m",
    "N m": "N*m",
    "in lbf": "in*lbf",
    "mil": "thousandth",
    "mils": "thousandth",
    "%": "percent",
    "per cent": "percent",
    "cu in": "in**3",
    "cu. in": "in**3",
    "cu.in": "in**3",
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
# names people write out, in any case
_ANY_CASE |= {
    word: unit
    for unit, words in {
        "N": "newton newtons",
        "daN": "dan decanewton decanewtons",
        "kN": "kn kilonewton kilonewtons",
        "lbf": "lbsf",
        "lb": "lbs pound pounds",
        "um": "micron microns micrometer micrometers micrometre micrometres",
        "mm": "millimeter millimeters millimetre millimetres",
        "cm": "centimeter centimeters centimetre centimetres",
        "in": "inch inches in.",
        "ft": "foot feet",
        "thousandth": "thou mil mils thousandths",
        "deg": "deg degree degrees",
        "rad": "radian radians rads",
        "percent": "pct",
        "rpm": "r.p.m",
        "Hz": "hz hertz",
        "kHz": "khz kilohertz",
        "W": "watt watts",
        "kW": "kw kilowatt kilowatts",
        "hp": "hp horsepower",
        "psi": "psi",
        "kpsi": "ksi kpsi",
        "MPa": "megapascal megapascals",
        "g": "gram grams gramme grammes",
        "kg": "kilogram kilograms",
        "cm**3": "cc ccm",
        "mL": "ml milliliter milliliters",
        "s": "sec secs second seconds",
        "min": "minute minutes mins",
        "hour": "hr hrs hour hours",
    }.items()
    for word in words.split()
}
_ANY_CASE |= {
    f"{turns}{a}{minute}": "rpm"
    for turns in ("turns", "turn", "revolutions", "rev", "revs")
    for a in (" per ", " a ", "/")
    for minute in ("minute", "min")
}
_TENTHS = {"tenth", "tenths"}  # of a thousandth of an inch, as American shops say it
# units of one kind that an answer may be written in, whichever the question names
_KINDS = (
    ("um", "mm", "cm", "m", "thousandth", "in", "ft"),
    ("N", "daN", "kN", "lbf", "kgf"),
    ("N*m", "N*mm", "kN*m", "N*cm", "ft*lbf", "in*lbf", "kgf*m"),
    ("Pa", "kPa", "MPa", "GPa", "bar", "psi", "kpsi", "N/cm**2", "MN/m**2", "lbf/in**2"),
    ("mm**2", "cm**2", "m**2", "in**2"),
    ("mm**3", "cm**3", "mL", "L", "in**3"),
    ("mg", "g", "kg", "oz", "lb"),
    ("ms", "s", "min", "hour"),
    ("deg", "rad", "mrad"),
    ("W", "kW", "hp"),
    ("delta_degC", "delta_degF", "kelvin"),
    ("mm/s", "mm/min", "m/s", "m/min", "in/min", "ft/min"),
    ("Hz", "kHz"),
)
_LEADING = re.compile(
    r"(?:about|approximately|approx\.?|around|ca\.?|circa|etwa|roughly|rund|ungefähr|zirka"
    r"|[=≈~≃≅]"
    r"|[^\W\d]\w{0,20}(?: \w{1,20}){0,2}\s*[=≈])\s*",
    re.IGNORECASE,
)
_BRACKETED = re.compile(r"[(\[]\s*([^()\[\]]*?)\s*[)\]](.*)$")
_MIXED = re.compile(r"([+-]?)(\d+)\s*([^\W\d]+)\.?(?:,| and)?\s*(\d+(?:[.,]\d+)?)\s*([^\W\d]+)\b")
# so many of the second make one of the first
_PARTS = {("h", "min"): 60, ("hour", "min"): 60, ("min", "s"): 60, ("ft", "in"): 12}
_POWER = re.compile(r"(\d[\d.,]*)\s*[·⋅×x*]\s*10(?:(?:\^|\*\*)\s*([+-]?\d{1,3})|([⁺⁻]?[⁰¹²³⁴-⁹]+))")
_RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻", "0123456789+-")
_SPREAD = re.compile(r"\s*(?:±|\+\s?/\s?-|\+-)\s*[\d.,/]+\s*(.*)$", re.DOTALL)
_SECOND = re.compile(r"(.*?\S)\s*(?:[=≈]\s*([^=≈]+)|[(\[]\s*[=≈]?\s*([^()\[\]=≈]+)[)\]])$")
_TORQUE = re.compile(
    r"(?P<first>ft|foot|feet|in|inch)[ .·*-]*(?:lbs?f?|pounds?)$"
    r"|(?:lbs?f?|pounds?)[ .·*-]*(?P<last>ft|foot|feet|in|inch)$",
    re.IGNORECASE,
)
_PLAIN_SIGNS = str.maketrans({"²": "2", "³": "3", "·": "*", "\u22c5": "*"})
_WARMTH = re.compile(
    r"(?:°|Δ°|deg(?:ree)?s?)? ?([CF])$"
)  # alone, C is pint's coulomb and F its farad
_UNIT_FORM = re.compile(r"(?!.*\s\d)[A-Za-zµμΩ°_/*^.·\u22c5\- 0-9²³]{1,40}$")


class UnreadError(ValueError):
    """A text that cannot be read as one size: reason in a few words, sentence for the reader."""

    def __init__(self, reason, sentence):
        super().__init__(sentence)
        self.reason = reason


def read_answer(text, units, name=marked("your answer")):
    """Quantity that a person wrote as an answer; as ``read_quantity``, in any unit of its kind.

    Words such as ``about`` and a spread such as ``± 1`` after the value are passed over in text;
    ``units`` are those named in messages, ``name`` stands in them. Basis: derived.
    """
    name = _(name)
    if isinstance(text, pint.Quantity):
        return read_quantity(text, units, name)
    plain = _with_plain_signs(str(text).strip())
    if (spread := _SPREAD.search(plain)) and spread.start():
        value, after = plain[: spread.start()], spread[1]
        plain = value if re.search(r"[^\d.,\s]$", value) else f"{value} {after}"
    same = next((kind for kind in _KINDS if units[0] in kind), ())
    return read_quantity(plain, units, name, also=same)


def read_quantity(text, units, name="value", *, above=None, least=None, also=(), example=None):
    """Quantity that a person typed.

    Reads ``18 mm``, ``0,25 mm``, ``3/4 in``, ``1-1/8 in``, ``1 1/8 in``, ``1¾ in``, ``0.002"``,
    ``F = 1.41·10³ N``, ``1 h 11 min`` and ``1407 N (316 lbf)``, where both must be one
    size. ``1,234`` is refused with a question, because it may mean 1.234 or 1234. ``units`` are
    those this field takes, the usual one first; ``also`` names further ones that no message names;
    a text without a unit is refused. Where ``"rpm"`` is taken, typed ``rev/min`` and ``1/min`` are
    rpm too; a Quantity in 1/min is not. ``name`` stands in the message, ``example`` is a size that
    it offers; ``above``, ``least`` are bounds in the first unit.
    Basis: derived; the text is matched by a grammar and never evaluated. Raises TypeError where no
    unit was typed, pint.DimensionalityError for one of the wrong kind, else ValueError.
    """
    units = (units,) if isinstance(units, str) else units
    if isinstance(text, pint.Quantity):
        magnitude(text, units[0], name, above=above, least=least)
        return text
    shown = str(text).strip()
    listed = [unit_text(unit) or unit for unit in units]
    offered = as_text(example, digits=4) if example is not None else ""
    offered = offered or f"{EXAMPLE.get(units[0], '1')} {listed[0]}"
    example = _("write for example {offered}").format(offered=offered)
    if len(shown) > 60:
        raise UnreadError(
            "too long",
            _("{name}: “{shown}…” is too long for one size; {example}").format(
                name=name, shown=shown[:40], example=example
            ),
        )
    cleaned = _bare(_with_plain_signs(shown))
    if not cleaned:
        raise UnreadError(
            "empty", _("{name} is empty: {example}").format(name=name, example=example)
        )
    cleaned, second = _two_values(cleaned)
    match = _NUMBER.match(cleaned)
    if not match:
        words = _("{name}: no number found in “{shown}”; {example}")
        raise UnreadError("no number", words.format(name=name, shown=shown, example=example))
    value = _typed_number(match, shown, name)
    typed = match["unit"].strip()
    if re.match(r"\d+(?!\d*\s*/)", typed):
        raise UnreadError(
            "two numbers",
            _(
                "{name}: “{shown}” holds two numbers; write one, without spaces, for example "
                "{offered}"
            ).format(name=name, shown=shown, offered=offered),
        )
    if _SPREAD.search(typed):
        raise UnreadError(
            "a size with a spread",
            _("{name}: “{shown}” is a size with a spread; write the size alone: {example}").format(
                name=name, shown=shown, example=example
            ),
        )
    if typed.casefold() in _TENTHS:
        value, typed = value * 1e-4, "in"
    word = _unit_word(typed, units)
    if not word:
        words = _("{name} needs a unit after “{shown}”: {example}")
        raise TypeError(words.format(name=name, shown=shown, example=example))
    unit = _known_unit(word)
    if unit is None:
        raise UnreadError(
            "unknown unit",
            _("{name}: “{word}” is not a unit known here; {example} ({units})").format(
                name=name, word=word, example=example, units=", ".join(listed)
            ),
        )
    quantity = Quantity(value, unit)
    if ureg.Unit(units[0]).dimensionality != quantity.dimensionality:
        wrong = WrongKindError(quantity, units[0], name, listed[0])
        if word == "lb" and "lbf" in (*units, *also):
            wrong.sentence += " " + _("Here lb is a mass; as a force write lbf.")
        raise wrong
    if not any(ureg.Unit(allowed) == unit for allowed in (*units, *also)):
        raise UnreadError(
            "unit not used here",
            _("{name}: {typed} is not used here; write it in {units}").format(
                name=name, typed=typed, units=(" " + _("or") + " ").join(listed)
            ),
        )
    magnitude(quantity, units[0], name, above=above, least=least)
    if second:
        _same_size(quantity, read_quantity(second, units, name, also=also), shown, name)
    return quantity


def _bare(text):
    """Text from its number on: without brackets around it or "about" or "F =" before it, 1 h 11 min
    as 71 min, powers of ten as an exponent.
    """
    while lead := _BRACKETED.match(text) or _LEADING.match(text):
        text = f"{lead[1]} {lead[2]}".strip() if lead.re is _BRACKETED else text[lead.end() :]
    while (mixed := _MIXED.match(text)) and (size := _in_smaller(*mixed.groups())):
        text = size + text[mixed.end() :]
    return _POWER.sub(lambda at: f"{at[1]}e{(at[2] or at[3]).translate(_RAISED)}", text)


def _in_smaller(sign, count, unit, rest, smaller):
    """Text of a size in two units, such as 1 h and 11 min, in the smaller; empty where they are no
    such pair or the rest would make one more of the larger.
    """
    smaller = _ANY_CASE.get(smaller.casefold(), smaller)
    parts = _PARTS.get((_ANY_CASE.get(unit.casefold(), unit), smaller), 0)
    rest = float(rest.replace(",", "."))
    return f"{sign}{parts * int(count) + rest:.12g} {smaller}" if rest < parts else ""


def _two_values(text):
    """A value, and a second one behind it in brackets or after "=", empty where there is none.

    A unit in brackets belongs to the value.
    """
    found = _SECOND.match(text)
    if not found:
        return text, ""
    second = (found[2] or found[3]).strip()
    if re.match(r"[+-]?[\d.,]", second):
        return found[1], second
    return (f"{found[1]} {second}" if found[3] and found[1][-1].isdigit() else text), ""


def _same_size(value, second, shown, name):
    """Refuse two values that are not one size, rounding apart."""
    first, other = value.to_base_units().magnitude, second.to_base_units().magnitude
    if abs(first - other) > 0.05 * abs(first):
        raise UnreadError(
            "two values",
            _(
                "{name}: “{shown}” holds two values that are not the same size; write one of the "
                "two"
            ).format(name=name, shown=shown),
        )


_TORQUE_KIND = ureg.Unit("N*m").dimensionality


def _with_plain_signs(text):
    """Text with plain minus signs and spaces, and fractions of one letter written out."""
    for sign, plain in (("−", "-"), ("–", "-"), ("\u00a0", " "), ("\u202f", " "), ("º", "°")):
        text = text.replace(sign, plain)
    for sign, fraction in _FRACTIONS.items():
        text = re.sub(rf"(\d)\s*{sign}", rf"\1 {fraction}", text).replace(sign, fraction)
    return text


def _unit_word(typed, units):
    """The registry's word for a typed unit where units are wanted."""
    typed = re.sub(r"\s*/\s*", "/", typed).rstrip(".;!?")
    typed = _ANY_CASE.get(typed.casefold(), typed)
    if ureg.Unit(units[0]).dimensionality == _TORQUE_KIND and (arm := _TORQUE.match(typed)):
        return "ft*lbf" if (arm["first"] or arm["last"])[0] in "fF" else "in*lbf"
    if units[0] == "delta_degC" and typed in ("K", "kelvin"):
        return "delta_degC"  # a rise of one kelvin is a rise of one degree
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
            raise UnreadError(
                "division by zero",
                _(
                    "{name}: the fraction in “{shown}” divides by zero; write for example 3/4"
                ).format(name=name, shown=shown),
            )
        value = int(match["whole"] or 0) + int(match["top"] or match["top_only"]) / bottom
    else:
        plain = match["plain"]
        if re.fullmatch(r"[1-9]\d{0,2}(,\d{3})+", plain):
            raise UnreadError(
                "a comma that may stand for thousands",
                _("{name}: does “{plain}” mean {small} or {large}? Write one of the two.").format(
                    name=name,
                    plain=plain,
                    small=plain.replace(",", ".", 1),
                    large=plain.replace(",", ""),
                ),
            )
        if plain.count(",") + plain.count(".") > 1:
            raise UnreadError(
                "two decimal marks",
                _(
                    "{name}: “{plain}” has more than one decimal mark; write for example 1234.5"
                ).format(name=name, plain=plain),
            )
        value = float(plain.replace(",", "."))
    return -value if match["sign"] == "-" else value
