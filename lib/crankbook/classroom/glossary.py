"""The words and symbols of the course, read from data/glossary.csv and looked up."""

import csv
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

TABLE = Path(__file__).parents[1] / "data" / "glossary.csv"


@dataclass(frozen=True)
class Entry:
    """One word: what it means, its symbol, its units, the lesson that teaches it."""

    word: str
    meaning: str
    symbol: str
    metric: str
    inch: str
    lesson: str

    @property
    def anchor(self):
        """The part of an address that leads to the word."""
        return self.word.replace(" ", "-")

    @property
    def units(self):
        """The units in words."""
        return " or ".join(dict.fromkeys(filter(None, (self.metric, self.inch)))).replace(
            "none", "no unit"
        )


@cache
def entries():
    """All words, in alphabetical order."""
    with TABLE.open(encoding="utf-8", newline="") as store:
        rows = [
            Entry(
                row["word"],
                row["meaning"],
                row["symbol"],
                row["metric unit"],
                row["inch unit"],
                row["lesson"],
            )
            for row in csv.DictReader(store)
        ]
    return tuple(sorted(rows, key=lambda entry: entry.word.casefold()))


def look_up(text):
    """Print what a word or symbol means, or which words come near it."""
    wanted = " ".join(str(text).split())
    symbols = [entry for entry in entries() if wanted and wanted in re.split(r", ", entry.symbol)]
    if len(wanted) > 1:  # one letter is a symbol, and its case counts
        symbols = symbols or [
            entry for entry in entries() if wanted.casefold() == entry.symbol.casefold()
        ]
    words = (
        [entry for entry in entries() if wanted.casefold() in entry.word.casefold()]
        if len(wanted) > 1
        else []
    )
    exact = [entry for entry in words if entry.word.casefold() == wanted.casefold()]
    if not (symbols or words):
        print(f"“{wanted[:60]}” is not in the glossary. Try a shorter part of the word.")
        return
    for entry in dict.fromkeys(exact or [*symbols, *words]):
        print(
            f"{entry.word}{f' ({entry.symbol})' if entry.symbol else ''}: {entry.meaning}. "
            + (f"In {entry.units}. " if entry.units else "")
            + f"Lesson {entry.lesson}."
        )
