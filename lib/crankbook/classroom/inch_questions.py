"""Questions for a class that works in inches: the same numbers, said in its units."""

import re
from dataclasses import replace

from crankmath.units import Quantity, as_text

INCH = {
    "in",
    "thousandth",
    "lbf",
    "lb",
    "ft/min",
    "psi",
    "kpsi",
    "ft*lbf",
    "in*lbf",
    "oz",
    "delta_degF",
    "hp",
    "in**2",
    "in**3",
    "in**3/min",
}
# unit in a question's words: what it is read as, what it is shown in
SHOWN = {
    "N·m": ("N*m", "ft*lbf"),
    "N/µm": ("N/um", "lbf/thousandth"),
    "N/mm²": ("MPa", "kpsi"),
    "m/min": ("m/min", "ft/min"),
    "mm": ("mm", "in"),
    "µm": ("um", "thousandth"),
    "kN": ("kN", "lbf"),
    "N": ("N", "lbf"),
    "MPa": ("MPa", "kpsi"),
    "GPa": ("GPa", "kpsi"),
    "kg": ("kg", "lb"),
    "g": ("g", "oz"),
    "W": ("W", "hp"),
}
_NUMBER = r"\d+(?:\.\d+)?"
_UNIT = "|".join(map(re.escape, SHOWN))
_END = r"(?![\w/·²³]| per\b| in a meter| m²)"
_PAIR = re.compile(rf"({_NUMBER}) and (?=[+−-]?{_NUMBER} ({_UNIT}){_END})")
_SIZE = re.compile(rf"({_NUMBER}) ({_UNIT}){_END}")
# what has no partner here: a question that holds one is left in metric units as a whole
_METRIC = re.compile(
    rf"{_NUMBER}(?:e-?\d+)? ?(?:µm|mm|cm|m|kg|g|kN|N|MPa|GPa|kW|W|J|°C)(?![a-z])|meter|per °C|k_c"
)


def in_inches(question):
    """The question in inch units, which it then takes first; unchanged where a metric unit stays in
    its words.

    Numbers are rounded to four figures, to five where the answer has to be closer than 1 %.
    """
    digits = 4 if question.tolerance >= 0.01 else 5

    def shown(found):
        metric, inch = SHOWN[found[2]]
        return as_text(Quantity(float(found[1]), metric), inch, digits)

    words = _SIZE.sub(shown, _PAIR.sub(r"\1 \2 and ", question.words))
    if _METRIC.search(words) or "k_c" in words:
        return question
    units = tuple(sorted(question.units, key=lambda unit: unit not in INCH))
    return replace(question, words=words, units=units)
