"""The one reader of the tables in ``data``: each row carries its source."""

import csv
import tomllib
from functools import cache
from importlib.resources import files

DATA = files("crankmath") / "data"


@cache
def rows(name):
    """Rows of ``data/<name>.csv``, a dict of texts each; lines that begin with # are remarks."""
    with (DATA / f"{name}.csv").open(encoding="utf-8") as lines:
        return tuple(csv.DictReader(line for line in lines if not line.startswith("#")))


@cache
def settings(name):
    """Contents of ``data/<name>.toml``."""
    return tomllib.loads((DATA / f"{name}.toml").read_text(encoding="utf-8"))
