"""Marks a class's answers with the checker's words: keys are calculated again, never stored."""

import argparse
import os
import re
import shutil
import sys
from collections import Counter
from pathlib import Path

from crankmath import __version__

from ..csv_tables import (
    exercise_name,
    plain_cell,
    plain_name,
    read_table,
    safe_cell,
    write_table,
)
from ..lesson.exercise import EMPTY, NOT_YET, RIGHT, UNREAD, Verdict, judge
from ..workspace import work_folder
from . import course
from .results.kept import keep_marks
from .roll import INSTRUCTOR, identity_of, load_class
from .sets import fingerprint

NO_ANSWER = Verdict(EMPTY, "Not answered.")
_MONTH = (
    "(?:jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?"
    "|sept?(?:ember)?|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)"
)
# what a spreadsheet makes of a head such as 08-1
_DATE = re.compile(rf"\d+[./-]\d+[./-]\d+|\d+[-./ ]+{_MONTH}\.?|{_MONTH}[-./ ]+\d+")


def find_class(answers, out):
    """The class and its folder: named by --out, around the answers file, or my-work/class.

    ValueError: None is found.
    """
    around = [answers.resolve().parent, answers.resolve().parent.parent]
    for folder in [out] if out else [*around, work_folder() / "class"]:
        found = load_class(folder)
        if found:
            return found, folder
    raise ValueError(
        "the class these answers belong to is not found: write --out with the folder that "
        f"“crankmath exercises” made, the one with {INSTRUCTOR} in it"
    )


def makers_of(columns):
    """Makers of the exercises that a table has columns for: name, column and maker of each.

    ValueError: No column is an exercise, one is unknown or there twice, or a spreadsheet made
      a date of it.
    """
    dates = [head for head in columns if _DATE.fullmatch(head)]
    if dates:
        raise ValueError(
            f"the head “{dates[0]}” is a date: a spreadsheet made it of an exercise's name; write "
            "ex before the name, for example ex 08-1"
        )
    wanted = {column: exercise_name(column) for column in columns if exercise_name(column)}
    if not wanted:
        raise ValueError(
            "the table has no column of answers: name each after its exercise, for example ex 08-1"
        )
    known = {}
    for lesson in course.lessons():
        if any(name.startswith(lesson.number) for name in wanted.values()):
            known.update(course.exercises(lesson))
    makers = {}
    for column, name in wanted.items():
        if plain_name(name) not in known:
            raise ValueError(
                f"there is no exercise {plain_name(name)}"
                + (f"; its lesson has {', '.join(known)}" if known else "")
            )
        if name in makers:
            raise ValueError(f"two columns are for the exercise {name}: remove one")
        makers[name] = column, known[plain_name(name)]
    return makers


def mark(school_class, rows, makers):
    """Verdicts of all answers, in the checker's words, and what kept a row from being marked.

    - ``rows``: Of ``csv_tables.read_table``.
    - ``makers``: Of ``makers_of``.

    Returns a list of (number, name, {exercise: (answer, Verdict)}), and a list of sentences.
    """
    marked, problems = {}, []
    for row in rows:
        try:
            number, label = school_class.find(row.get("name", ""), identity_of(row))
            if number in marked:
                raise ValueError(f"“{label}” has a row already; keep one row a student")
            verdicts = {
                name: _verdict(school_class, label, name, maker, row.get(column, ""))
                for name, (column, maker) in makers.items()
            }
        except ValueError as error:
            problems.append(f"line {row['line']}: {error}")
        else:
            marked[number] = label, verdicts
    return [(number, *marked[number]) for number in sorted(marked)], problems


def _verdict(school_class, label, name, maker, answer):
    """Answer and Verdict; ValueError where the student got no such sheet."""
    question = school_class.question(name, maker, label)
    asked = school_class.asked.get(name, {}).get(school_class.seed(label))
    if asked is None:
        raise ValueError(
            f"no sheet {name} was made for “{label}”: make it with “crankmath exercises --class "
            f"names.csv --lesson {name[:2]}{_version_option(name)}”, with your own class list"
        )
    if asked != fingerprint(question):
        raise ValueError(
            f"the question {name} of “{label}” has changed since its sheet was made "
            f"(version {school_class.version}, now {__version__}): "
            "mark with that version or give out new sheets"
        )
    return answer, judge(question, answer) if answer else NO_ANSWER


def _version_option(name):
    return name.replace(plain_name(name), "").replace(" version ", " --version ")


def count(verdicts, sort):
    return sum(verdict.sort == sort for verdict in verdicts)


def summary(marked, makers):
    """Lines for the instructor: how each exercise went, and how often each kind of slip came up.

    - ``marked``: As ``mark`` returns it.
    """
    lines = []
    for name in makers:
        verdicts = [entry[2][name][1] for entry in marked]
        counted = [f"{count(verdicts, sort)} {sort}" for sort in (RIGHT, NOT_YET, EMPTY, UNREAD)]
        line = f"{name}: {', '.join(counted)}"
        slips = Counter(verdict.slip for verdict in verdicts if verdict.slip).most_common()
        if slips:
            line += "; most often " + "; ".join(f"({times}): {slip}" for slip, times in slips)
        lines.append(line)
    return lines


def marked_table(school_class, marked, makers):
    """Heads and rows of the marked table."""
    with_ids = any(school_class.ids)
    heads = [
        "number",
        *(["id"] if with_ids else []),
        "name",
        *(f"{name} {what}" for name in makers for what in ("answer", "verdict")),
        RIGHT,
        UNREAD,
        "of",
    ]
    rows = []
    for number, label, answers in marked:
        verdicts = [verdict for _, verdict in answers.values()]
        cells = [(answer, verdict.words) for answer, verdict in answers.values()]
        row = [number, *([school_class.id_of(label)] if with_ids else []), label]
        row += [part for pair in cells for part in pair]
        rows.append([*row, count(verdicts, RIGHT), count(verdicts, UNREAD), len(makers)])
    return heads, rows


def with_own(store, heads, rows):
    """Heads and rows with what the instructor added to the table stored before.

    Columns of the instructor's own, and rows of students who are not among the new ones, are
    carried over. Where a calculated cell was changed by hand, the old file is kept beside the new
    one.
    """
    if not os.path.lexists(store):
        return heads, rows
    try:
        before = read_table(store, ("name",))
    except ValueError:
        _keep(store)
        return heads, rows
    own = {
        head: title
        for head, title in zip(before.heads, before.titles, strict=True)
        if head and head not in heads
    }
    name_at = heads.index("name")
    new = {row[name_at].casefold(): dict(zip(heads, row, strict=True)) for row in rows}
    old = {row.get("name", "").casefold(): row for row in before.rows}
    if len(old) < len(before.rows) or any(
        _changed(old[name], row) for name, row in new.items() if name in old
    ):
        _keep(store)
    kept = [row for name, row in old.items() if name not in new]
    everyone = [*({**old.get(name, {}), **row} for name, row in new.items()), *kept]
    return [*heads, *own.values()], [
        [row.get(head, "") for head in (*heads, *own)] for row in everyone
    ]


def _changed(old, new):
    """Whether a stored row differs from the new one, apart from answers that came later."""
    plain = {head: plain_cell(safe_cell(cell)) for head, cell in new.items()}
    answers = [head for head in plain if head.endswith(" answer")]
    late = {head for head in answers if not old.get(head)} & {
        head for head in answers if plain[head]
    }
    fixed = set(plain) - late - {head.replace("answer", "verdict") for head in late}
    if late:
        fixed -= {RIGHT, UNREAD, "of"}
    return any(head in old and old[head] != plain[head] for head in fixed)


def _keep(store):
    """Keep a copy of the stored table beside it; no other copy is overwritten."""
    number = 1
    while os.path.lexists(copy := store.with_name(f"{store.stem}-before-{number}{store.suffix}")):
        number += 1
    shutil.copy2(store, copy)
    print(f"{store.name} held changes; as it was, it is kept as {copy.name}.")


def main(arguments):
    """``crankmath mark answers.csv [--out DIR]``."""
    parser = argparse.ArgumentParser(
        prog="crankmath mark", description="Marks answers with the checker's words."
    )
    parser.add_argument(
        "answers",
        type=Path,
        help="CSV file with a column “name” and one column an exercise, for example ex 08-1",
    )
    parser.add_argument(
        "--out",
        type=Path,
        metavar="DIR",
        help="folder that “crankmath exercises” made; default: looked for",
    )
    given = parser.parse_args(arguments)
    if not given.answers.exists() and given.answers.name == str(given.answers):  # a bare name
        made = (given.out or work_folder() / "class") / INSTRUCTOR / given.answers
        given.answers = made if made.exists() else given.answers
    store = given.answers.with_name(f"{given.answers.stem}-marked.csv")
    try:
        answers = read_table(given.answers, ("name",))
        makers = makers_of(answers.heads)
        school_class, folder = find_class(given.answers, given.out)
        marked, problems = mark(school_class, answers.rows, makers)
        if not marked:
            raise ValueError("\n".join(problems))
        heads, rows = with_own(store, *marked_table(school_class, marked, makers))
        write_table(store, heads, rows, answers.separator, answers.encoding)
        keep_marks(folder, school_class, marked)
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
    if problems:
        print(f"Rows that were not marked, {len(problems)}:", *problems, sep="\n", file=sys.stderr)
    return 1 if problems else 0
