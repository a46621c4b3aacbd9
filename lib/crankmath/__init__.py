"""The math of machining a one-piece crankshaft between centers.

The names to begin with stand here; each subject is a package whose face lists what is public.
"""

from .crank import Crank
from .typed import read_quantity
from .units import OutOfRangeWarning, Quantity, as_text

__version__ = "0.2.0"
__docformat__ = "numpy"  # of the pages made by pdoc
SUBJECTS = (
    "balance",
    "blank",
    "chatter",
    "crank",
    "crank_corner",
    "cutting",
    "deflection",
    "fillets",
    "fits",
    "forces",
    "heat",
    "inspection",
    "job",
    "lathe",
    "service",
    "spacers",
    "stress_field",
    "units",
    "workpiece",
)
__all__ = ["Crank", "OutOfRangeWarning", "Quantity", "as_text", "read_quantity", *SUBJECTS]
