"""The marks of a class over all lessons, kept beside its record: one for each exercise and
version."""

import datetime
import json
from dataclasses import asdict, dataclass

from crankmath.files import alone, make_folder, read_json, write_whole

from ...csv_tables import plain_name
from ...lesson.exercise import EMPTY, NOT_YET, RIGHT, UNREAD
from ..roll import INSTRUCTOR

MOST_BYTES = 20_000_000
SCREEN = "on screen"  # after the name of an exercise that was answered in the lesson itself


@dataclass(frozen=True)
class Mark:
    """How one answer stood: the answer as written, its sort, the checker's words, kind of slip."""

    answer: str
    sort: str
    words: str
    slip: str
    day: str


def marks_path(folder):
    return folder / INSTRUCTOR / "marks.json"


def read_marks(folder):
    """Marks as {student's seed: {exercise: Mark}}; empty where nothing was marked yet.

    ValueError: The file is damaged.
    """
    path = marks_path(folder)
    try:
        stored = read_json(path, MOST_BYTES)
        return {
            seed: {name: Mark(**one) for name, one in marks.items()}
            for seed, marks in stored["marks"].items()
        }
    except FileNotFoundError:
        return {}
    except (ValueError, OSError, KeyError, TypeError, AttributeError) as error:
        raise ValueError(
            f"{path} cannot be read ({error}): move it away and mark the answers again"
        ) from None


def keep_marks(folder, school_class, marked, day=""):
    """Add marks, as ``marks.mark`` returns them; an answer left empty replaces no earlier one."""
    day = day or datetime.date.today().isoformat()
    path = marks_path(folder)
    make_folder(path.parent)
    with alone(path):
        every = read_marks(folder)
        for _, label, answers in marked:
            mine = every.setdefault(school_class.seed(label), {})
            for name, (answer, verdict) in answers.items():
                if verdict.sort != EMPTY or name not in mine:
                    mine[name] = Mark(answer, verdict.sort, verdict.words, verdict.slip, day)
        stored = {
            seed: {name: asdict(one) for name, one in mine.items()} for seed, mine in every.items()
        }
        text = json.dumps({"version": 1, "marks": stored}, indent=1, ensure_ascii=False)
        write_whole(path, text)


def standing(marks, name):
    """How a student stands at an exercise, over all its versions: a sort of answer; empty without a
    mark.

    Right in any version counts; else the version marked last.
    """
    mine = [mark for full, mark in marks.items() if plain_name(full) == name]
    if any(mark.sort == RIGHT for mark in mine):
        return RIGHT
    answered = [mark for mark in mine if mark.sort in (NOT_YET, UNREAD)]
    last = max(answered or mine, key=lambda mark: mark.day, default=None)
    return last.sort if last else ""
