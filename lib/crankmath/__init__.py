"""The maths of machining a one-piece crankshaft between centers."""

from .crank import Crank
from .typed import read_quantity
from .units import OutOfRangeWarning, Quantity, as_text

__version__ = "0.2.0"
__all__ = ["Crank", "OutOfRangeWarning", "Quantity", "as_text", "read_quantity"]
