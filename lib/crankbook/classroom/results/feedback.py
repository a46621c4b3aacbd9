"""What a student gets back: one page with own numbers, own answers, what was right, which slip."""

from markupsafe import Markup

from crankmath.files import make_folder

from ...csv_tables import version_name
from ...lesson.exercise import RIGHT, UNREAD
from ...pages import macros, page, prose
from ...workspace import work_folder
from .. import course
from ..inch_questions import in_inches
from ..sets import VERSIONS, file_name, files_of, paper_words, place_of
from .summary import class_of


def student_page(school_class, lesson, makers, number, label, marks):
    """HTML of one student's page for a lesson, a section a sheet; empty where nothing of it was
    marked.

    It shows neither the key nor the way to it: an answer that is not right yet comes back with the
    question that leads to its slip.
    """
    sheets = Markup("")
    for version in VERSIONS:
        inches = school_class.units_of(files_of(lesson, version)) == "in"
        asked = []
        for name, maker in sorted(makers.items()):
            name = version_name(name, version)
            if mark := marks.get(name):
                question = school_class.question(name, maker, label)
                words = paper_words(in_inches(question) if inches else question)
                asked.append((name, words, mark, mark.sort == RIGHT, mark.sort == UNREAD))
        if asked:
            right = sum(one[3] for one in asked)
            place = place_of(lesson, number, version)
            sheets += macros("questions.html").feedback(lesson, place, label, asked, right, prose)
    return sheets


def write_feedback(school_class, folder, lesson, marks):
    """Write a page for every student with marks in a lesson, and one file with all of them."""
    makers, bodies = course.exercises(lesson), {}
    for number, label in school_class.students:
        mine = marks.get(school_class.seed(label), {})
        body = student_page(school_class, lesson, makers, number, label, mine)
        if body:
            bodies[file_name(number, label)] = label, body
    if not bodies:
        return 0
    place = folder / "feedback" / lesson.number
    make_folder(place)
    for name, (label, body) in bodies.items():
        title = f"{lesson.number} {lesson.title}: {label}"
        (place / name).write_text(page(title, body, f"lesson {lesson.number}"), encoding="utf-8")
    every = Markup("").join(body for _, body in bodies.values())
    title = f"{lesson.number} {lesson.title}, feedback for all"
    text = page(title, every, f"lesson {lesson.number}")
    (place / f"all-{lesson.number}.html").write_text(text, encoding="utf-8")
    return len(bodies)


def main(arguments):
    """``crankmath feedback [--lesson NN] [--out DIR]``."""
    given = course.asks(
        "feedback",
        "One page a student: own numbers, what was right, which slip to look for.",
        "folder of the class; default my-work/class",
        "one lesson; default all with marks",
    ).parse_args(arguments)
    made = {}

    def write():
        school_class, folder, marks = class_of(given.out)
        for lesson in course.chosen(given.lesson):
            made[lesson] = write_feedback(school_class, folder, lesson, marks)
        if not any(made.values()):
            raise ValueError("nothing of this was marked yet: mark it with “crankmath mark”")

    if not course.went_well(write, "No feedback was made."):
        return 1
    for lesson, count in made.items():
        if count:
            print(f"{lesson.number} {lesson.title}: {count} pages")
    print(f"To hand back: {(given.out or work_folder() / 'class') / 'feedback'}")
    return 0
