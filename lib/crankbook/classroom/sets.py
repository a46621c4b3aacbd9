"""Question sheets for a class: each student's own numbers, and the key for the instructor alone.

The numbers come from the class word, the exercise and the student's name, so marking calculates
the keys again and no student file holds one.
"""

import argparse
import hashlib
import os
import re
import secrets
import sys
from pathlib import Path

import pint
from markupsafe import Markup

from crankmath.files import alone, make_folder, set_aside
from crankmath.units import as_text, unit_text

from ..csv_tables import exercise_head, exercise_name, read_table, version_name, write_table
from ..lesson.own_files import file_stem
from ..pages import macros, page, prose, table
from ..workspace import work_folder
from . import course
from .inch_questions import INCH, in_inches
from .roll import (
    ID_HEADS,
    INSTRUCTOR,
    SchoolClass,
    load_class,
    name_key,
    read_list,
    record_path,
    save_class,
)

STUDENTS = "students"
VERSIONS = range(1, 10)  # the sheet and its retakes


def fingerprint(question):
    """Short text that changes when the question changes; it holds neither key nor slip."""
    return hashlib.sha256(question.words.encode()).hexdigest()[:16]


def key_text(value, units):
    """A key in the question's unit, and in the other system's unit where the question takes one."""
    other = next((unit for unit in units if (unit in INCH) != (units[0] in INCH)), None)
    texts = [as_text(value, unit, 4) for unit in (units[0], other) if unit]
    return " = ".join(dict.fromkeys(texts))


def paper_words(question):
    """A question's words for a reader on paper."""
    return re.sub(r"Use the (library|panel)\b", "Use a computer with the workbook", question.words)


def question_html(name, question):
    """HTML of one question with room for the way and the answer; no key, slip or hint."""
    units = " or ".join(unit_text(unit) for unit in question.units)
    return macros("questions.html").question(name, question, paper_words(question), units, prose)


def place_of(lesson, number, version=1):
    """Name of a student's sheet: the lesson and the student's number."""
    return version_name(f"{lesson.number}-{number:02d}", version)


def files_of(lesson, version=1):
    """What the names of a lesson's sheet files share: the lesson and the version."""
    return version_name(lesson.number, version).replace(" ", "-")


def sheet(lesson, number, label, questions, units="mm", version=1):
    """HTML of one student's questions, without keys, slips or hints."""
    asked = Markup("").join(
        question_html(name, in_inches(question) if units == "in" else question)
        for name, question in questions.items()
    )
    place = place_of(lesson, number, version)
    return macros("questions.html").sheet(lesson, place, label, asked)


def key_page(lesson, entries, version=1):
    """The instructor's key as a page: every answer in both systems, and what a wrong one shows.

    ``entries`` is a list of (number, label, questions by name).
    """
    first = entries[0][2]
    places = {number: place_of(lesson, number, version) for number, _, _ in entries}
    short = [
        (places[number], label, *(key_text(one.key, one.units) for one in asked.values()))
        for number, label, asked in entries
    ]
    within = ", ".join(f"{100 * one.tolerance:g} % ({name})" for name, one in first.items())
    answers = table(("sheet", "name", *first), short, "Answers", "long")
    paths = [_wrong_paths(name, entries, places) for name in first]
    body = macros("questions.html").key(lesson, within, answers, paths)
    title = f"Key to lesson {version_name(lesson.number, version)}"
    return page(title, body, f"{title.lower()}, for the instructor only")


def _wrong_paths(name, entries, places):
    """Table of the values that wrong paths lead to, a row for each student.

    The question to ask heads its column; where it holds a student's own numbers it stands in the
    cell.
    """
    every = [list(asked[name].slips.items()) for _, _, asked in entries]
    most = max(map(len, every))
    shared = [{slips[place][0] for slips in every if place < len(slips)} for place in range(most)]
    rows = []
    for (number, _, asked), slips in zip(entries, every, strict=True):
        units = asked[name].units
        cells = [
            key_text(value, units)
            if len(shared[place]) == 1
            else f"{key_text(value, units)}: {ask}"
            for place, (ask, value) in enumerate(slips)
        ]
        cells += ["–"] * (most - len(cells))
        rows.append((places[number], key_text(asked[name].key, units), *cells))
    heads = [one.pop() if len(one) == 1 else "wrong, and what to ask" for one in map(set, shared)]
    return table(("sheet", "key", *heads), rows, f"{name}: who has this, ask", "long")


def file_name(number, label):
    """Name of a student's file: the student's own number, and the name in plain letters."""
    return f"{number:02d}-{file_stem(label, 'student')}.html"


def make_sheets(school_class, lesson, folder, version=1, large=False):
    """Write one lesson's sheets, the file for printing all, the key and a table to type answers
    into.

    - ``school_class``: Its ``asked`` and ``files`` are brought up to date.
    - ``version``: 2 and more are other numbers for the same students, for a retake.
    - ``large``: Each student's sheet also in large print, in a file beside it.

    Returns the number of students with a sheet; zero where the lesson has no exercises.
    """
    makers = {version_name(name, version): one for name, one in course.exercises(lesson).items()}
    if not makers:
        return 0
    separator, encoding, called = (
        school_class.separator,
        school_class.encoding,
        files_of(lesson, version),
    )
    entries = [
        (
            number,
            label,
            {name: school_class.question(name, maker, label) for name, maker in makers.items()},
        )
        for number, label in school_class.students
    ]
    mine, private = folder / STUDENTS / called, folder / INSTRUCTOR
    make_folder(mine)
    make_folder(private)
    for name in school_class.files.get(called, []):
        (mine / Path(name).name).unlink(missing_ok=True)
    sheets = {
        file_name(number, label): (
            label,
            sheet(lesson, number, label, asked, school_class.units, version),
        )
        for number, label, asked in entries
    }
    written, footer = [], f"lesson {lesson.number}"
    for name, (label, body) in sheets.items():
        title = f"{lesson.number} {lesson.title}: {label}"
        for kind in (False, True) if large else (False,):
            written.append(name.replace(".html", "-large.html") if kind else name)
            text = page(title, body, footer, large=kind)
            (mine / written[-1]).write_text(text, encoding="utf-8")
    every = f"all-{called}.html"
    bodies = "".join(body for _, body in sheets.values())
    (mine / every).write_text(
        page(f"{lesson.number} {lesson.title}, all sheets", bodies, footer),
        encoding="utf-8",
    )
    (private / f"key-{called}.html").write_text(
        key_page(lesson, entries, version), encoding="utf-8"
    )
    write_table(
        private / f"key-{called}.csv",
        ("sheet", "name", *map(exercise_head, makers)),
        [
            (
                f"sheet {place_of(lesson, number, version)}",
                label,
                *(key_text(asked[name].key, asked[name].units) for name in makers),
            )
            for number, label, asked in entries
        ],
        separator,
        encoding,
    )
    labels = [label for _, label, _ in entries]
    _table_to_type(
        private / f"answers-{called}.csv",
        labels,
        list(makers),
        list(map(school_class.id_of, labels)),
        separator,
        encoding,
    )
    school_class.files[called] = [*written, every]
    school_class.sheet_units[called] = school_class.units
    for name in makers:
        school_class.asked[name] = school_class.asked.get(name, {}) | {
            school_class.seed(label): fingerprint(asked[name]) for _, label, asked in entries
        }
    return len(entries)


def _table_to_type(path, labels, exercises, ids, separator, encoding):
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
                heads, rows, *_ = read_table(place, ("name",))
            except ValueError:
                continue
            typed = [head for head in heads if head != "name" and head not in ID_HEADS]
            if any(row.get(head) for row in rows for head in typed):
                known = {exercise_name(head) for head in heads}
                if [row["name"] for row in rows] == labels and known.issuperset(exercises):
                    return
                continue
        with_ids = any(ids)
        return write_table(
            place,
            (*(["id"] if with_ids else []), "name", *map(exercise_head, exercises)),
            [
                (*([identity] if with_ids else []), label, *[""] * len(exercises))
                for label, identity in zip(labels, ids, strict=True)
            ],
            separator,
            encoding,
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
        help="class list with a column “name”, and “id” if the school uses IDs",
    )
    parser.add_argument("--lesson", metavar="NN", help="one lesson; default all")
    parser.add_argument(
        "--out", type=Path, metavar="DIR", help="folder for the sheets; default my-work/class"
    )
    parser.add_argument(
        "--word",
        help="class word the numbers come from; kept in the instructor's folder, default drawn at "
        "random",
    )
    parser.add_argument(
        "--units",
        choices=("mm", "in"),
        help="units of the questions; default as before, at first mm. Answers are read in either",
    )
    parser.add_argument(
        "--version",
        type=int,
        choices=VERSIONS,
        default=1,
        metavar="N",
        help="2 to 9 make other numbers for the same students, for a retake; default 1",
    )
    parser.add_argument(
        "--large", action="store_true", help="each student's sheet also in large print"
    )
    given = parser.parse_args(arguments)
    folder = given.out or work_folder() / "class"
    try:
        (names, ids, listed), lessons = read_list(given.names), course.chosen(given.lesson)
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
                word,
                names,
                before.asked if known else {},
                before.files if before else {},
                ids=ids,
                roll=dict(before.roll) if before else {},
                units=given.units or (before.units if before else "mm"),
                separator=listed.separator,
                encoding=listed.encoding,
                sheet_units=dict(before.sheet_units) if before else {},
            )
            if before and before.names and not before.shares_a_student(school_class):
                raise ValueError(
                    f"{folder} holds another class ({len(before.names)} students, first "
                    f"“{before.names[0][:60]}”), none of whom is in {given.names.name}; a class "
                    f"has a folder of its own: write --out {folder}-{given.names.stem}"
                )
            made = {
                lesson: make_sheets(school_class, lesson, folder, given.version, given.large)
                for lesson in lessons
            }
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
    named = [name_key(name) for name, identity in zip(names, ids, strict=True) if not identity]
    twice = len(named) - len(set(named))
    if twice:
        again = "names appear" if twice > 1 else "name appears"
        print(
            f"{twice} {again} in the list again; the later one carries a number in brackets. Use "
            "that name in the answers, or add a column “id” to the list, so that nobody's numbers "
            "change when one of the two leaves."
        )
    print(
        f"For the students: {folder / STUDENTS}\nKeep to yourself: {folder / INSTRUCTOR} (keys, "
        "class word, tables to type answers into)"
    )
    tables = [f"answers-{files_of(one, given.version)}.csv" for one, count in made.items() if count]
    if tables:
        print(f'Once answers are typed in: crankmath mark "{folder / INSTRUCTOR / tables[-1]}"')
    return 0
