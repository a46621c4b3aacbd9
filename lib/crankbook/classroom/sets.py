"""Question sheets for a class: each student's own numbers, and the key for the instructor alone.

The numbers come from the class word, the exercise and the student's name, so marking calculates
the keys again and no student file holds one.
"""

import argparse
import difflib
import hashlib
import json
import os
import secrets
import sys
import unicodedata
from dataclasses import dataclass, field
from pathlib import Path

import pint
from markupsafe import Markup

from crankmath import __version__
from crankmath.files import alone, make_folder, read_json, set_aside, write_whole
from crankmath.units import as_text, unit_text

from ..lesson.exercise import draw
from ..pages import macros, page, prose, table
from ..workspace import work_folder
from . import course
from .csv_tables import LARGEST, read_table, write_table

STUDENTS, INSTRUCTOR = "students", "instructor-only"
INCH = {
    "in",
    "thousandth",
    "lbf",
    "lb",
    "ft/min",
    "psi",
    "kpsi",
    "ft*lbf",
    "in*lbf",
    "oz",
    "delta_degF",
    "hp",
    "in**2",
    "in**3/min",
}


@dataclass
class SchoolClass:
    """A class as sheets were made for it: its word, its names in order, what was asked."""

    word: str
    names: list
    asked: dict = field(
        default_factory=dict
    )  # exercise: {student: fingerprint of the question on the sheet}
    files: dict = field(
        default_factory=dict
    )  # lesson: student files written, to be renewed together
    version: str = __version__

    @property
    def students(self):
        """Students in order as (number, label): the second of two equal names carries a number."""
        labels, used = [], set()
        for name in self.names:
            label, times = name, 1
            while name_key(label) in used:
                times += 1
                label = f"{name} ({times})"
            used.add(name_key(label))
            labels.append(label)
        return list(enumerate(labels, 1))

    def find(self, typed):
        """(number, label) of a typed name; ValueError says what was meant."""
        key = name_key(typed)
        for number, label in self.students:
            if name_key(label) == key:
                return number, label
        near = difflib.get_close_matches(key, [name_key(label) for _, label in self.students], 1)
        meant = next(
            (label for _, label in self.students if near and name_key(label) == near[0]), None
        )
        raise ValueError(
            f"“{typed[:60]}” is not in the class list"
            + (f"; did you mean “{meant}”?" if meant else "")
        )

    def question(self, exercise, maker, label):
        """The question of one student."""
        return draw(maker, f"{self.word}/{exercise}/{name_key(label)}")


def name_key(name):
    """A name as it is compared and seeded: case, composed letters and spaces do not matter."""
    return " ".join(unicodedata.normalize("NFC", name).casefold().split())


def read_names(path):
    """Names of a class list.

    path: CSV file with a column "name".
    """
    names = []
    for row in read_table(path, ("name",))[1]:
        name = row.get("name", "")
        if not name:
            raise ValueError(
                f"{path.name}, line {row['line']}, has no name: write one or take the line out"
            )
        if len(name) > 100:
            raise ValueError(
                f"{path.name}, line {row['line']}: “{name[:40]}…” is longer than 100 letters; "
                "shorten it"
            )
        names.append(name)
    return names


def _text(value):
    return isinstance(value, str) and bool(value)


def _texts(value):
    return isinstance(value, list) and all(map(_text, value))


def _table_of(right):
    return lambda value: isinstance(value, dict) and all(map(right, value.values()))


# what each key of a record has to hold
RECORD = {
    "word": _text,
    "names": _texts,
    "asked": _table_of(_table_of(_text)),
    "files": _table_of(_texts),
    "version": _text,
}


def record_path(folder):
    return folder / INSTRUCTOR / "class.json"


def load_class(folder):
    """The class that sheets in a folder were made for, or None.

    ValueError: The record is damaged.
    """
    path = record_path(folder)
    try:
        stored = read_json(path, LARGEST)
        if not isinstance(stored, dict):
            raise ValueError("it is no table")
        for name, right in RECORD.items():
            if not right(stored.get(name)):
                raise ValueError(f"the key “{name}” is missing or of another kind")
    except FileNotFoundError:
        return None
    except (ValueError, OSError) as error:
        raise ValueError(
            f"{path} cannot be read: make the sheets again with “crankmath exercises --class … "
            f"--word …” ({error})"
        ) from None
    return SchoolClass(**{name: stored[name] for name in RECORD})


def save_class(school_class, folder):
    path = record_path(folder)
    make_folder(path.parent)
    write_whole(path, json.dumps(vars(school_class), indent=1, ensure_ascii=False))


def fingerprint(question):
    """Short text that changes when the question changes; it holds neither key nor slip."""
    return hashlib.sha256(question.words.encode()).hexdigest()[:16]


def key_text(value, units):
    """A key in the question's unit, and in the other system's unit where the question takes one."""
    other = next((unit for unit in units if (unit in INCH) != (units[0] in INCH)), None)
    texts = [as_text(value, unit, 4) for unit in (units[0], other) if unit]
    return " = ".join(dict.fromkeys(texts))


def question_html(name, question):
    """HTML of one question with room for the way and the answer; no key, slip or hint."""
    units = " or ".join(unit_text(unit) for unit in question.units)
    return macros("questions.html").question(name, question, units, prose)


def place_of(lesson, number):
    """What a student's sheet is called by: the lesson and the student's number."""
    return f"{lesson.number}-{number:02d}"


def sheet(lesson, number, label, questions):
    """HTML of one student's questions, without keys, slips or hints."""
    asked = Markup("").join(question_html(name, question) for name, question in questions.items())
    return macros("questions.html").sheet(lesson, place_of(lesson, number), label, asked)


def key_page(lesson, entries):
    """The instructor's key as a page: every answer in both systems, and what a wrong one shows.

    ``entries`` is a list of (number, label, questions by name).
    """
    first = entries[0][2]
    short = [
        (place_of(lesson, number), label, *(key_text(one.key, one.units) for one in asked.values()))
        for number, label, asked in entries
    ]
    students = [
        (place_of(lesson, number), label, [_key(name, one) for name, one in asked.items()])
        for number, label, asked in entries
    ]
    within = ", ".join(f"{100 * one.tolerance:g} % ({name})" for name, one in first.items())
    answers = table(("sheet", "name", *first), short, "Answers")
    body = macros("questions.html").key(lesson, within, answers, students, prose)
    title = f"Key to lesson {lesson.number}"
    return page(title, body, f"key to lesson {lesson.number}, for the instructor only")


def _key(name, question):
    """Name, answer, words and slips of a question, as the key shows them."""
    slips = [(key_text(value, question.units), ask) for ask, value in question.slips.items()]
    return name, key_text(question.key, question.units), question.words, slips


def file_name(number, label):
    """Name of a student's file in plain letters."""
    letters = unicodedata.normalize("NFKD", label).encode("ascii", "ignore").decode().casefold()
    words = "-".join("".join(letter if letter.isalnum() else " " for letter in letters).split())
    return f"{number:02d}-{words[:40] or 'student'}.html"


def make_sheets(school_class, lesson, folder):
    """Write one lesson's sheets, the file for printing all, the key and a table to type answers
    into.

    school_class: Its ``asked`` and ``files`` are brought up to date.
    Returns sheets written; zero where the lesson has no exercises.
    """
    makers = course.exercises(lesson)
    if not makers:
        return 0
    entries = [
        (
            number,
            label,
            {name: school_class.question(name, maker, label) for name, maker in makers.items()},
        )
        for number, label in school_class.students
    ]
    mine, private = folder / STUDENTS / lesson.number, folder / INSTRUCTOR
    make_folder(mine)
    make_folder(private)
    for name in school_class.files.get(lesson.number, []):
        (mine / Path(name).name).unlink(missing_ok=True)
    sheets = {
        file_name(number, label): (label, sheet(lesson, number, label, asked))
        for number, label, asked in entries
    }
    for name, (label, body) in sheets.items():
        (mine / name).write_text(
            page(f"{lesson.number} {lesson.title}: {label}", body, f"lesson {lesson.number}"),
            encoding="utf-8",
        )
    every = f"all-{lesson.number}.html"
    bodies = "".join(body for _, body in sheets.values())
    (mine / every).write_text(
        page(f"{lesson.number} {lesson.title}, all sheets", bodies, f"lesson {lesson.number}"),
        encoding="utf-8",
    )
    (private / f"key-{lesson.number}.html").write_text(key_page(lesson, entries), encoding="utf-8")
    write_table(
        private / f"key-{lesson.number}.csv",
        ("sheet", "name", *makers),
        [
            (
                f"{lesson.number}-{number:02d}",
                label,
                *(key_text(asked[name].key, asked[name].units) for name in makers),
            )
            for number, label, asked in entries
        ],
    )
    _table_to_type(
        private / f"answers-{lesson.number}.csv", [label for _, label, _ in entries], list(makers)
    )
    school_class.files[lesson.number] = [*sheets, every]
    for name in makers:
        school_class.asked[name] = {label: fingerprint(asked[name]) for _, label, asked in entries}
    return len(entries)


def _table_to_type(path, labels, exercises):
    """Write the table for the answers; one that has answers in it, or cannot be read, is never
    written over.
    """
    for place in (
        path,
        path.with_stem(f"{path.stem}-new"),
        *(path.with_stem(f"{path.stem}-new-{number}") for number in range(2, 1000)),
    ):
        if os.path.lexists(place):
            try:
                rows = read_table(place, ("name",))[1]
            except ValueError:
                continue
            if any(row.get(name) for row in rows for name in exercises):
                if [row["name"] for row in rows] == labels:
                    return
                continue
        return write_table(
            place, ("name", *exercises), [(label, *[""] * len(exercises)) for label in labels]
        )


def main(arguments):
    """``crankmath exercises --class names.csv [--lesson NN] [--out DIR] [--word WORD]``."""
    parser = argparse.ArgumentParser(
        prog="crankmath exercises",
        description="Question sheets with each student's own numbers, and the key.",
    )
    parser.add_argument(
        "--class",
        dest="names",
        required=True,
        type=Path,
        metavar="names.csv",
        help="class list with a column “name”",
    )
    parser.add_argument("--lesson", metavar="NN", help="one lesson; default all")
    parser.add_argument(
        "--out", type=Path, metavar="DIR", help="folder for the sheets; default my-work/class"
    )
    parser.add_argument(
        "--word",
        help="class word the numbers come from; kept in the instructor's folder, default drawn at random",
    )
    given = parser.parse_args(arguments)
    folder = given.out or work_folder() / "class"
    try:
        names, lessons = read_names(given.names), course.chosen(given.lesson)
        with alone(record_path(folder)):
            try:
                before = load_class(folder)
            except ValueError:
                if not given.word:
                    raise
                before = None
                print(
                    "The record of the class could not be read; it is kept as "
                    f"{set_aside(record_path(folder)).name}."
                )
            word = given.word or (before.word if before else secrets.token_urlsafe(9))
            known = (
                before and before.word == word
            )  # who joins or leaves a class changes nobody else's numbers
            school_class = SchoolClass(
                word, names, before.asked if known else {}, before.files if before else {}
            )
            made = {lesson: make_sheets(school_class, lesson, folder) for lesson in lessons}
            save_class(school_class, folder)
    except OSError as error:
        print(
            f"{error.filename or 'A file'} cannot be written ({error.strerror or error}): choose "
            "another folder with --out",
            file=sys.stderr,
        )
        return 1
    except (ValueError, pint.DimensionalityError) as error:
        print(f"No sheets were made. {error}.", file=sys.stderr)
        return 1
    for lesson, count in made.items():
        print(
            f"{lesson.number} {lesson.title}: " + (f"{count} sheets" if count else "no exercises")
        )
    twice = len(names) - len({name_key(name) for name in names})
    if twice:
        again = "names stand" if twice > 1 else "name stands"
        print(
            f"{twice} {again} in the list again; the later one carries a number in brackets. Use "
            "that name in the answers."
        )
    print(
        f"For the students: {folder / STUDENTS}\nKeep to yourself: {folder / INSTRUCTOR} (keys, "
        "class word, tables to type answers into)"
    )
    return 0
