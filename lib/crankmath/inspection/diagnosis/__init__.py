"""From what was measured on a crank back to what caused it, and how to save the part."""

from .diagnose import Diagnosis, FoundCause, find_causes, weigher_of
from .making import Making, making_of
from .measured import (
    Measured,
    chatter_marks,
    check_of,
    dial_readings,
    diameters,
    heights,
    kept_readings,
    of_crank,
    together,
)
from .reading_table import read_table
from .signatures.background import Everyday
from .signatures.likelihoods import changed_table, usual_table

__all__ = [
    "Diagnosis",
    "Everyday",
    "FoundCause",
    "Making",
    "Measured",
    "changed_table",
    "chatter_marks",
    "check_of",
    "diameters",
    "dial_readings",
    "find_causes",
    "heights",
    "kept_readings",
    "making_of",
    "of_crank",
    "read_table",
    "together",
    "usual_table",
    "weigher_of",
]
