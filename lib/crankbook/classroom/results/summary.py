"""Results of a class over all its lessons: by exercise, by kind of slip, by student; and grades."""

import math
from collections import Counter, defaultdict

import pint
from markupsafe import Markup

from crankmath.typed import read_answer

from ...csv_tables import plain_name, write_table
from ...lesson.exercise import EMPTY, NOT_YET, RIGHT, UNREAD
from ...pages import page, table
from ...workspace import work_folder
from .. import course
from ..roll import INSTRUCTOR, required_class
from .kept import SCREEN, read_marks, standing

SORTS = (RIGHT, NOT_YET, UNREAD, EMPTY)
WIDE = 10.0  # an answer so many times too large or too small stands at the edge of the picture


def class_of(out):
    """Class, folder and marks that a command works on.

    ValueError: There are none.
    """
    folder = out or work_folder() / "class"
    school_class = required_class(folder)
    marks = read_marks(folder)
    if not marks:
        raise ValueError(
            f"{folder} holds no marks yet: mark answers with “crankmath mark answers-NN.csv”"
        )
    return school_class, folder, marks


def asked_exercises(school_class, marks):
    """Names of all exercises that sheets were made for or that somebody has a mark in."""
    names = {plain_name(name) for name in school_class.asked}
    return sorted(names | {plain_name(name) for mine in marks.values() for name in mine})


def graded_exercises(school_class, marks):
    """Names that a grade goes by, the same for all: those of sheets of which somebody has a mark;
    in a class without sheets all of which somebody has.
    """
    marked = {plain_name(name) for mine in marks.values() for name in mine}
    asked = {plain_name(name) for name in school_class.asked}
    return sorted(marked & asked if asked else marked)


def by_exercise(school_class, marks):
    """How the class stands at each exercise: {name: {sort: students}}; students without a mark are
    left out.
    """
    seeds = [school_class.seed(label) for _, label in school_class.students]
    return {
        name: Counter(filter(None, (standing(marks.get(seed, {}), name) for seed in seeds)))
        for name in asked_exercises(school_class, marks)
    }


def by_slip(school_class, marks):
    """Kinds of slip over all lessons: {slip: [(exercise, label)]}, the most frequent first."""
    found = defaultdict(list)
    for _, label in school_class.students:
        for name, mark in marks.get(school_class.seed(label), {}).items():
            if mark.slip and mark.sort in (NOT_YET, UNREAD):
                found[mark.slip].append((name, label))
    return dict(sorted(found.items(), key=lambda item: (-len(item[1]), item[0])))


def by_student(school_class, marks):
    """Rows of (ID, label, {lesson: (right, graded)})."""
    names = graded_exercises(school_class, marks)
    lessons = sorted({name[:2] for name in names})
    rows = []
    for _, label in school_class.students:
        mine = marks.get(school_class.seed(label), {})
        counts = {}
        for lesson in lessons:
            sorts = [standing(mine, name) for name in names if name.startswith(lesson)]
            counts[lesson] = sorts.count(RIGHT), len(sorts)
        rows.append((school_class.id_of(label), label, counts))
    return rows


def grade_rows(school_class, marks):
    """Heads and rows of the grades: the school's ID, name, right answers by lesson, share of
    all."""
    students = by_student(school_class, marks)
    lessons = list(students[0][2]) if students else []
    rows = []
    for identity, label, counts in students:
        right, of = (sum(pair[place] for pair in counts.values()) for place in (0, 1))
        share = f"{100 * right / of:.0f}" if of else ""
        rows.append([identity, label, *(counts[one][0] for one in lessons), right, of, share])
    return ["id", "name", *(f"lesson {one}" for one in lessons), "right", "of", "percent"], rows


def shares(school_class, marks, makers):
    """Every answer as a share of its own key: {exercise: [share]}; an answer that cannot be read is
    left out.
    """
    found = defaultdict(list)
    for _, label in school_class.students:
        for name, mark in marks.get(school_class.seed(label), {}).items():
            if plain_name(name) not in makers or name.endswith(SCREEN):
                continue
            question = school_class.question(name, makers[plain_name(name)], label)
            unit = question.units[0]
            try:
                answer = read_answer(mark.answer, question.units)
                found[plain_name(name)].append(answer.m_as(unit) / question.key.m_as(unit))
            except (TypeError, ValueError, pint.DimensionalityError):
                continue
    return found


def strip(found):
    """Picture of a class's answers: one dot each on a scale from a tenth of the key to ten times
    it.
    """
    dots = Markup("")
    for share in sorted(found):
        size = min(WIDE, max(1 / WIDE, abs(share))) if share else 1 / WIDE
        at = 100 + 90 * math.log10(size) / math.log10(WIDE)
        color = "#a8370f" if share < 0 else "#1f5fa8"
        dots += Markup('<circle cx="{:.1f}" cy="9" r="3" fill="{}" fill-opacity="0.5"/>').format(
            at, color
        )
    words = f"{len(found)} answers, each as a share of its own key"
    return Markup(
        '<svg role="img" aria-label="{}" viewBox="0 0 200 18" style="width:12em">'
        '<path d="M10,9H190M100,1V17" stroke="#767676"/>{}</svg>'
    ).format(words, dots)


def results_page(school_class, marks):
    """The results as a page for the instructor."""
    makers = {}
    for lesson in course.lessons():
        if any(name.startswith(lesson.number) for name in asked_exercises(school_class, marks)):
            makers.update(course.exercises(lesson))
    answered, found = by_exercise(school_class, marks), shares(school_class, marks, makers)
    exercises = [
        (name, *(str(counts[sort]) for sort in SORTS), strip(found[name]) if found[name] else "–")
        for name, counts in answered.items()
    ]
    slips = [
        (
            slip,
            str(len(where)),
            ", ".join(sorted({plain_name(name) for name, _ in where})),
            "; ".join(dict.fromkeys(label for _, label in where)),
        )
        for slip, where in by_slip(school_class, marks).items()
    ]
    heads, rows = grade_rows(school_class, marks)
    students = [(row[1], row[0] or "–", *map(str, row[2:])) for row in rows]
    body = Markup(
        '<h1>Results</h1><p class="private">For the instructor only. An exercise counts as right '
        "where it was right on a sheet, in a retake, or on the screen.</p>"
    )
    caption = (
        "Exercises, in students; the line is the key, its ends are a tenth of it and ten times it"
    )
    body += table(("exercise", *SORTS, "answers"), exercises, caption, "long")
    if slips:
        caption = "Kinds of slip over all lessons, the most frequent first"
        body += table(("slip", "times", "exercises", "students"), slips, caption, "long")
    body += table(("name", "id", *heads[2:]), students, "Students, right answers", "long")
    return page("Results", body, "results, for the instructor only")


def main(arguments):
    """``crankmath results [--out DIR]``."""
    given = course.asks(
        "results",
        "Results of a class over all lessons, and its grades as a table.",
        "folder of the class; default my-work/class",
        None,
    ).parse_args(arguments)
    private = (given.out or work_folder() / "class") / INSTRUCTOR

    def write():
        school_class, _, marks = class_of(given.out)
        (private / "results.html").write_text(results_page(school_class, marks), encoding="utf-8")
        written = school_class.separator, school_class.encoding
        write_table(private / "grades.csv", *grade_rows(school_class, marks), *written)

    if not course.went_well(write, "No results were made."):
        return 1
    print(f"Written: {private / 'results.html'}\nWritten: {private / 'grades.csv'}")
    return 0
