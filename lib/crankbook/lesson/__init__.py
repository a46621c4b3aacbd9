"""What notebooks import: panels, exercises, pictures with alt text, the reader's own files."""

from .exercise import Exercise, Question, check, draw, predict, prediction
from .panel import Control, Panel
from .pictures import show
from .slips import watch

__all__ = [
    "Control",
    "Exercise",
    "Panel",
    "Question",
    "check",
    "draw",
    "predict",
    "prediction",
    "show",
]

watch()
