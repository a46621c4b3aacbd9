"""A job: answers, checks, variants."""

from .fields import (
    starting_answers,
    starting_texts,
)
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
