"""Every row of every table: a second transcription, a formula it obeys, a source it names.

How many changed digits these rules notice is asked by ``python -m tests.mutation.cells``.
"""

import re

import data_rules
import pytest

from crankmath.tables import DATA, rows, settings

WORDS_ONLY = {"job_checks", "plan_words"}  # texts
TABLES = {path.name.partition(".")[0]: path.name for path in DATA.iterdir() if path.is_file()}


@pytest.mark.parametrize("name", sorted(set(TABLES) - WORDS_ONLY))
def test_every_number_is_tied_to_something_else(name):
    content = settings(name) if TABLES[name].endswith(".toml") else rows(name)
    assert data_rules.RULES[name], f"no rule for {name}: type a second transcription"
    for asked in data_rules.RULES[name]:
        asked(content)


def test_no_rule_is_left_without_its_table():
    assert set(data_rules.RULES) <= set(TABLES)


def test_second_transcriptions_name_their_sources():
    for path in data_rules.SECOND.glob("*.csv"):
        first = path.read_text(encoding="utf-8").splitlines()[0]
        assert first.startswith("# ") and len(first) > 60, path.name


def test_the_reader_sees_which_rows_are_from_memory():
    """lib/README.md lists every table with such rows, and how many."""
    text = (DATA / "../../README.md").read_text(encoding="utf-8")
    told = {name: int(n) for name, n in re.findall(r"^\| `(\w+)` \| (\d+) \|", text, re.M)}
    found = {}
    for name, file in TABLES.items():
        for row in rows(name) if file.endswith(".csv") else ():
            sources = [row[key] or "" for key in ("source", "basis", "origin") if key in row]
            assert all(sources), (name, row)
            if any("from memory" in source for source in sources):
                found[name] = found.get(name, 0) + 1
            elif any("no source" in source for source in sources):
                assert f"`{name}`" in text.partition("no source:")[2], name
    assert told == found
