"""Change every number of every table by a tenth, one at a time: which do the data tests notice?

python -m tests.mutation.cells [table ...]     prints survivors and the share noticed by table
"""

import csv
import sys
import tomllib
from pathlib import Path

from .mutants import TOP, cells

sys.path.insert(0, str(TOP / "tests"))
import data_rules  # noqa: E402

DATA = TOP / "lib/crankmath/data"
WORDS_ONLY = {"job_checks", "plan_words"}


def content(text, suffix):
    if suffix == ".toml":
        return tomllib.loads(text)
    return tuple(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


def noticed(name, text, suffix):
    """Whether a rule refuses the table of that text."""
    try:
        found = content(text, suffix)
        for asked in data_rules.RULES[name]:
            asked(found)
    except Exception:  # whatever the rule stumbles over, the change does not pass
        return True
    return False


def main(names):
    total = lived = 0
    for path in sorted(DATA.glob("*.*")):
        if path.stem in WORDS_ONLY or (names and path.stem not in names):
            continue
        text = path.read_text(encoding="utf-8")
        assert not noticed(path.stem, text, path.suffix), f"{path.name} as it is breaks its rules"
        found, survivors = cells(text, path.suffix), []
        for line, _, start, end, old, new in found:
            if not noticed(path.stem, text[:start] + new + text[end:], path.suffix):
                survivors.append(f"line {line}: {old} => {new}")
        total, lived = total + len(found), lived + len(survivors)
        print(f"{path.name}: {len(found) - len(survivors)} of {len(found)} noticed", *survivors,
              sep="\n    ", flush=True)  # fmt: skip
    print(f"all: {total - lived} of {total} noticed, {100 * (1 - lived / max(total, 1)):.1f} %")


if __name__ == "__main__":
    main([Path(name).stem for name in sys.argv[1:]])
