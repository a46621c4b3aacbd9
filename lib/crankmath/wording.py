"""How the library's values and errors read in words, in the units of a job."""

from math import ceil, floor

import numpy as np
import pint

from .language import _
from .units import Quantity, as_text

READS = {"mm": 3, "in": 4}  # decimals of a micrometer
OFF = {"mm": ("um", 1, "µm"), "in": ("thousandth", 2, "thou")}  # how a misfit is read
ERRORS = (ValueError, TypeError, pint.DimensionalityError)  # what the library refuses with
KINDS = {  # unit in a metric job, in an inch job, significant digits
    "length": ("mm", "in", 4),
    "room": ("mm", "in", 3),  # between what turns and what stands: nobody sets it closer
    "fine": ("um", "thousandth", 3),
    "force": ("N", "lbf", 3),
    "speed": ("m/min", "ft/min", 3),
    "rpm": ("rpm", "rpm", 4),
    "time": ("min", "min", 3),
    "power": ("W", "horsepower", 3),
    "stress": ("MPa", "kpsi", 3),
    "mass": ("kg", "lb", 3),
    "torque": ("N*m", "in*lbf", 3),
    "angle": ("deg", "deg", 4),
    "rise": ("delta_degC", "delta_degF", 3),
    "unbalance": ("g*mm", "oz*in", 3),
    "stiffness": ("N/um", "lbf/in", 3),
    "volume": ("cm**3", "in**3", 4),
    "pressure speed": ("MPa*m/s", "psi*ft/min", 3),
    "frequency": ("Hz", "Hz", 3),
    "hours": ("hour", "hour", 3),
    "per degree": ("N/delta_degC", "lbf/delta_degF", 3),
    "place": ("mm", "in", 5),
    "size": ("mm", "in", 6),
}


def figures(number, digits=2):
    """Text of a plain number in ``digits`` figures, never as a power of ten."""
    return as_text(Quantity(float(number), "dimensionless"), digits=digits)


def shown(value, kind, units, digits=None):
    """Text of a value in the units of a job, "mm" or "in"; words and plain numbers stay so.

    ``kind`` is one of ``KINDS``, "plain" or "word"; ``digits`` the significant ones, the kind's own
    without it. Times below a minute are in seconds, from five hours in hours. Basis: derived.
    """
    if kind == "word":
        return _(str(value))
    if kind == "plain":
        return figures(value, digits or 3) if np.isfinite(value) else _("no limit")
    metric, imperial, usual = KINDS[kind]
    size = value.to(metric if units == "mm" else imperial)
    if not np.isfinite(size.magnitude):
        return _("any") if size.magnitude < 0 else _("no limit")
    if kind == "time":
        size = size.to(
            "s" if 0 < size.magnitude < 1 else "hour" if size.magnitude >= 300 else "min"
        )
    return as_text(size, digits=digits or usual)


def read_between(low, high, unit, digits):
    """Ends of a window in an instrument's last digit, never wider than it is; None where it reads
    no two sizes between them.
    """
    first, last = (one.m_as(unit) * 10**digits for one in (low, high))
    first, last = ceil(first - 1e-6), floor(last + 1e-6)
    return (first / 10**digits, last / 10**digits) if first < last else None


def limits_shown(low, high, kind, units, digits=2):
    """Texts of a lower and an upper limit, in so many figures or as many as keep them apart,
    rounded inward. Basis: derived.
    """
    unit = KINDS[kind][units != "mm"]
    sizes = low.m_as(unit), high.m_as(unit)
    for count in range(digits, 12):
        ends = []
        for size, sign in zip(sizes, (1, -1), strict=True):
            step = 10.0 ** (np.floor(np.log10(size)) - count + 1) if 0 < size < np.inf else 0.0
            ends.append(sign * np.ceil(sign * size / step - 1e-9) * step if step else size)
        if ends[0] <= ends[1] or sizes[0] > sizes[1]:
            break
    return tuple(shown(Quantity(float(end), unit), kind, units, count) for end in ends)


def most_shown(most, kind, units, digits=2):
    """Text of an upper limit, rounded down."""
    return limits_shown(0 * most, most, kind, units, digits)[1]


def least_shown(least, kind, units, digits=2):
    """Text of a lower limit, rounded up."""
    return limits_shown(least, Quantity(np.inf, least.units), kind, units, digits)[0]


def said_of(error):
    """An error of the library as a sentence."""
    return capital(ended(error))


def ended(words):
    """Words with a period at their end, or the question mark that they have."""
    words = str(words).rstrip(".")
    return words if words.endswith("?") else f"{words}."


def capital(words):
    """A sentence with a capital first letter, the rest as it is."""
    return words[:1].upper() + words[1:]
