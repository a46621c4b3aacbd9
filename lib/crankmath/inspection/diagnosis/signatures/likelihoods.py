"""Chances of the causes and the sizes that could have happened, of ``data/causes.csv``."""

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
from scipy.special import ndtri

CELLS = 6  # of equal chance, for a size whose direction is known


@dataclass(frozen=True)
class Likelihood:
    """A row of the table of causes: how likely, and what sizes could have happened."""

    cause: str
    label: str
    chance: float
    median: float
    unit: str
    spread: float
    basis: str


@cache
def usual_table():
    """Chances and sizes of ``data/causes.csv``, by cause.

    Basis: common practice, no source; each row says so. Change a copy with ``changed_table``.
    """
    with (files("crankmath") / "data" / "causes.csv").open(encoding="utf-8") as lines:
        return {
            row["cause"]: Likelihood(
                row["cause"],
                row["label"],
                float(row["chance"]),
                float(row["median"]),
                row["unit"],
                float(row["spread"]),
                row["basis"],
            )
            for row in csv.DictReader(lines)
        }


def changed_table(**changes):
    """The table with other chances, medians or spreads: ``changed_table(chatter={"chance": 0})``;
    blanks as underscores.
    """
    table = dict(usual_table())
    for name, sizes in changes.items():
        cause = name.replace("_", " ").replace("push off", "push-off")
        if cause not in table:
            raise ValueError(f"there is no cause “{cause}”; there are {', '.join(table)}")
        row = {**table[cause].__dict__}
        for key, value in dict(sizes).items():
            if key not in ("chance", "median", "spread"):
                raise ValueError(
                    f"{cause}: “{key}” cannot be set; there are chance, median, spread"
                )
            if not (np.isfinite(value) and value >= 0) or (key == "spread" and value <= 1):
                raise ValueError(f"{cause}: {key} of {value!r} is impossible")
            row[key] = float(value)
        table[cause] = Likelihood(**row)
    return table


def cells(median, spread, count=CELLS):
    """Means and half widths of cells of equal chance of a log-normal size."""
    edges = np.exp(np.log(spread) * ndtri(np.linspace(0.01, 0.99, count + 1))) * median
    return (edges[1:] + edges[:-1]) / 2, (edges[1:] - edges[:-1]) / 2
