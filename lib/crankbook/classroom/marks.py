"""Marks a class's answers with the checker's words: keys are calculated again, never stored."""

import argparse
import re
import sys
from collections import Counter
from pathlib import Path

from crankmath import __version__

from ..lesson.exercise import check
from ..workspace import work_folder
from . import course
from .csv_tables import read_table, write_table
from .sets import INSTRUCTOR, fingerprint, load_class

NO_ANSWER = "Not answered."


def find_class(answers, out):
    """The class and its folder: named by --out, around the answers file, or my-work/class.

    ValueError: None is found.
    """
    around = [answers.resolve().parent, answers.resolve().parent.parent]
    for folder in [out] if out else [*around, work_folder() / "class"]:
        found = load_class(folder)
        if found:
            return found
    raise ValueError(
        "the class these answers belong to is not found: write --out with the folder that "
        f"“crankmath exercises” made, the one with {INSTRUCTOR} in it"
    )


def makers_of(columns):
    """Makers of the exercises that a table has columns for, by name.

    ValueError: No column is an exercise, or one is unknown.
    """
    wanted = [column for column in columns if re.fullmatch(r"\d\d-\d", column)]
    if not wanted:
        raise ValueError(
            "the table has no column of answers: name each after its exercise, for example 08-1"
        )
    known = {}
    for lesson in course.lessons():
        if any(name.startswith(lesson.number) for name in wanted):
            known.update(course.exercises(lesson))
    for name in wanted:
        if name not in known:
            raise ValueError(
                f"there is no exercise {name}"
                + (f"; its lesson has {', '.join(known)}" if known else "")
            )
    return {name: known[name] for name in wanted}


def mark(school_class, rows, makers):
    """Verdicts of all answers, in the checker's words.

    rows: As ``class_sets.read_table`` gives them.
    Returns number and name of the student, verdicts by exercise.
    ValueError: A name is not in the class, stands in two rows or got no sheet, or its question is
      another by now.
    """
    marked = {}
    for row in rows:
        try:
            number, label = school_class.find(row.get("name", ""))
        except ValueError as error:
            raise ValueError(f"line {row['line']}: {error}") from None
        if number in marked:
            raise ValueError(
                f"line {row['line']}: “{label}” has a row already; keep one row a student"
            )
        verdicts = {}
        for name, maker in makers.items():
            answer = row.get(name, "")
            question = school_class.question(name, maker, label)
            given = school_class.asked.get(name, {}).get(label)
            if given is None:
                make = f"make it with “crankmath exercises --lesson {name[:2]}”"
                raise ValueError(
                    f"line {row['line']}: no sheet was made for “{label}” in lesson {name[:2]}: "
                    f"{make}"
                )
            if given != fingerprint(question):
                raise ValueError(
                    f"the question {name} of “{label}” has changed since its sheet was made "
                    f"(version {school_class.version}, now {__version__}): "
                    "mark with that version or give out new sheets"
                )
            verdicts[name] = answer, check(question, answer) if answer else NO_ANSWER
        marked[number] = label, verdicts
    return [(number, *marked[number]) for number in sorted(marked)]


def is_right(verdict):
    return re.search(r"(^|\. )Right", verdict) is not None


def summary(marked, makers):
    """Lines for the instructor: how each exercise went and which question of the checker came up
    most.

    marked: As ``mark`` gives it.
    """
    lines = []
    for name in makers:
        verdicts = [entry[2][name][1] for entry in marked]
        right, empty = sum(map(is_right, verdicts)), verdicts.count(NO_ANSWER)
        asked = Counter(
            re.sub(r"^.*?Not yet[:,] ", "", verdict)
            for verdict in verdicts
            if not is_right(verdict) and verdict != NO_ANSWER
        )
        line = (
            f"{name}: {right} right, {len(verdicts) - right - empty} not yet, {empty} not answered"
        )
        if asked:
            words, count = asked.most_common(1)[0]
            line += f"; most often ({count}): {words}"
        lines.append(line)
    return lines


def main(arguments):
    """``crankmath mark answers.csv [--out DIR]``."""
    parser = argparse.ArgumentParser(
        prog="crankmath mark", description="Marks answers with the checker's words."
    )
    parser.add_argument(
        "answers",
        type=Path,
        help="CSV file with a column “name” and one column an exercise, for example 08-1",
    )
    parser.add_argument(
        "--out",
        type=Path,
        metavar="DIR",
        help="folder that “crankmath exercises” made; found by itself without it",
    )
    given = parser.parse_args(arguments)
    store = given.answers.with_name(f"{given.answers.stem}-marked.csv")
    try:
        columns, rows, separator = read_table(given.answers, ("name",))
        makers = makers_of(columns)
        school_class = find_class(given.answers, given.out)
        marked = mark(school_class, rows, makers)
        heads = [
            "number",
            "name",
            *(f"{name} {what}" for name in makers for what in ("answer", "verdict")),
            "right",
            "of",
        ]
        write_table(
            store,
            heads,
            [
                (
                    number,
                    label,
                    *(part for name in makers for part in verdicts[name]),
                    sum(is_right(verdict) for _, verdict in verdicts.values()),
                    len(makers),
                )
                for number, label, verdicts in marked
            ],
            separator,
        )
    except OSError as error:
        cure = "close it where it is open, or copy the answers elsewhere"
        print(
            f"{error.filename or 'A file'} cannot be written ({error.strerror or error}): {cure}",
            file=sys.stderr,
        )
        return 1
    except ValueError as error:
        named = "" if given.answers.name in str(error) else f"{given.answers.name}: "
        print(f"Nothing was marked. {named}{error}.", file=sys.stderr)
        return 1
    absent = [
        label
        for number, label in school_class.students
        if number not in {entry[0] for entry in marked}
    ]
    print("\n".join(summary(marked, makers)))
    if absent:
        print(f"No row for: {', '.join(absent)}")
    print(f"Written: {store}")
    return 0
