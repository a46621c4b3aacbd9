"""The rows of ``published/published_checks.csv``: what is printed, where, and how near it is."""

import csv
from pathlib import Path

import pytest

with (Path(__file__).parent / "published" / "published_checks.csv").open(encoding="utf-8") as lines:
    ROWS = {row["id"]: row for row in csv.DictReader(lines)}


def rows(topic, numbers):
    """Parameters of a test, a row each, named by row and source."""
    names = [f"{topic}-{n:02d}" for n in numbers]
    return [pytest.param(ROWS[name], id=f"{name} {ROWS[name]['source'][:50]}") for name in names]


def expected(name):
    """The number that a row prints."""
    return float(ROWS[name]["expected"])


def agree(value, row, rel=None):
    """A value is that of a row, or of the row so named, within its tolerance or ``rel``."""
    row = ROWS.get(row, row) if isinstance(row, str) else row
    percent = float(row["tolerance"].split()[0]) if "%" in row["tolerance"] else 0.0
    assert value == pytest.approx(float(row["expected"]), rel=rel or max(percent / 100, 5e-6))
