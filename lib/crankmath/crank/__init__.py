"""The part."""

from .crank import EXAMPLES, Crank
from .parts import Journal, PlainCrank, PlainJournal, PlainThrow, Segment, Throw

__all__ = [
    "EXAMPLES",
    "Crank",
    "Journal",
    "PlainCrank",
    "PlainJournal",
    "PlainThrow",
    "Segment",
    "Throw",
]
