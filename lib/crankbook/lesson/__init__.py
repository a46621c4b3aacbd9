"""What notebooks import: panels, exercises, pictures with alt text, the reader's own files."""

from .exercise import Exercise, Question, check, check_gap, draw, predict, prediction
from .finding import Finding
from .panel import Choice, Control, Panel
from .pictures import show
from .scene import Scene
from .slips import watch

__all__ = [
    "Choice",
    "Control",
    "Exercise",
    "Finding",
    "Panel",
    "Question",
    "Scene",
    "check",
    "check_gap",
    "draw",
    "predict",
    "prediction",
    "show",
]

watch()
