"""Chances of the causes and the sizes that could have happened, of ``data/causes.csv``."""

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
from scipy.special import ndtr

# edges of the cells of a size whose direction is known, in standard deviations of its logarithm;
# wide at the ends, since only a large size of a cause that hardly shows is ever noticed
EDGES = np.array([-3.4, -1.6, -0.8, 0.0, 0.7, 1.4, 2.2, 3.6])


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


def cells(median, spread):
    """Means, half widths and chances of the cells of a log-normal size."""
    edges, below = median * spread**EDGES, ndtr(EDGES)
    return (edges[1:] + edges[:-1]) / 2, (edges[1:] - edges[:-1]) / 2, np.diff(below)
