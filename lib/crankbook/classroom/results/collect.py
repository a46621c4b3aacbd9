"""Answers from the screen: the progress of every student under a hub's folder, judged again."""

import argparse
import sys
from pathlib import Path

from crankmath.files import read_json

from ...lesson.exercise import RIGHT, draw, judge, seed_of
from ...workspace import work_folder
from .. import course
from ..roll import required_class
from .kept import SCREEN, keep_marks

MOST_BYTES = 5_000_000


def progress_files(folder):
    """Progress files below a folder by the name of the student's own folder.

    A student's folder holds progress.json itself or one level deeper, as crank-work under a home.
    """
    found = {}
    for path in sorted([*folder.glob("*/progress.json"), *folder.glob("*/*/progress.json")]):
        found.setdefault(path.relative_to(folder).parts[0], path)
    return found


def answers_of(path, student, makers):
    """Verdicts of a student's stored answers: {exercise on screen: (answer, Verdict)}.

    Each is judged again from the question that the student's screen showed; the file's own word
    that it was right is not taken. ValueError where the file cannot be read.
    """
    stored = read_json(path, MOST_BYTES)
    answers = stored.get("answers") if isinstance(stored, dict) else None
    if not isinstance(answers, dict):
        raise ValueError("it holds no answers")
    verdicts = {}
    for name, entry in answers.items():
        if name not in makers or not isinstance(entry, dict):
            continue
        answer, turn = entry.get("answer"), entry.get("turn", 0)
        if not (isinstance(answer, str) and answer and isinstance(turn, int)):
            continue
        owner = student if entry.get("student") else ""
        question = draw(makers[name], seed_of(name, turn, owner))
        verdicts[f"{name} {SCREEN}"] = answer, judge(question, answer)
    return verdicts


def collect(school_class, folder, makers):
    """Marks of everybody in the class who is found below a folder, and what was passed over.

    Returns the marks as ``marks.mark`` does, and a sentence for each folder that was passed over.
    """
    marked, problems = [], []
    for name, path in progress_files(folder).items():
        try:
            number, label = find_student(school_class, name)
            marked.append((number, label, answers_of(path, name, makers)))
        except (ValueError, OSError) as error:
            problems.append(f"{name}: {error}")
    return marked, problems


def find_student(school_class, name):
    """(number, label) of the student whose ID, else whose name, is the folder's name."""
    try:
        return school_class.find("", name)
    except ValueError:
        return school_class.find(name)


def main(arguments):
    """``crankmath collect FOLDER [--out DIR]``."""
    parser = argparse.ArgumentParser(
        prog="crankmath collect",
        description="Collects what students answered on the screen and keeps it with the marks.",
    )
    parser.add_argument(
        "homes",
        type=Path,
        metavar="FOLDER",
        help="folder with one folder a student in it, named by ID or name of the class list",
    )
    parser.add_argument(
        "--out", type=Path, metavar="DIR", help="folder of the class; default my-work/class"
    )
    given = parser.parse_args(arguments)
    folder = given.out or work_folder() / "class"
    try:
        school_class = required_class(folder)
        makers = {}
        for lesson in course.lessons():
            makers.update(course.exercises(lesson))
        marked, problems = collect(school_class, given.homes, makers)
        if not marked:
            found = "; ".join(problems) or "no folder in it holds a progress.json"
            raise ValueError(f"{given.homes}: {found}")
        keep_marks(folder, school_class, marked)
    except (OSError, ValueError) as error:
        print(f"Nothing was collected. {error}.", file=sys.stderr)
        return 1
    for _, label, answers in marked:
        right = sum(verdict.sort == RIGHT for _, verdict in answers.values())
        print(f"{label}: {len(answers)} answered, {right} right")
    if problems:
        print(f"Passed over, {len(problems)}:", *problems, sep="\n", file=sys.stderr)
    return 1 if problems else 0
