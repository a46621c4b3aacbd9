"""A job: answers, checks, variants."""

from .job import (
    Job,
    like,
    read_json,
)
from .report import (
    Check,
    Number,
    Report,
    check_job,
)
from .starting import (
    starting_answers,
    starting_texts,
)

__all__ = [
    "Check",
    "Job",
    "Number",
    "Report",
    "check_job",
    "like",
    "read_json",
    "starting_answers",
    "starting_texts",
]
