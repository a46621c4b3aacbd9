"""What several test files share."""

import functools
import importlib.util
import io
import itertools
import tokenize
from pathlib import Path

from matplotlib.text import Text

from crankmath.job import Job
from crankmath.job.report import check_job

LIBRARY = Path(__file__).parents[1] / "lib"
WORKBOOK = LIBRARY.parent / "workbook"


def module_at(path):
    """A module that stands outside the packages, loaded from its file."""
    place = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(place)
    place.loader.exec_module(module)
    return module


def docstrings_and_names(path):
    """Texts of a Python file that people read: docstrings and comments, strings, and names."""
    words = []
    for token in tokenize.generate_tokens(io.StringIO(path.read_text(encoding="utf-8")).readline):
        if token.type == tokenize.NAME:
            words.append((token.start[0], token.string.replace("_", " ")))
        elif token.type in (tokenize.STRING, tokenize.COMMENT):
            words.append((token.start[0], " ".join(token.string.split())))
    return words


def words_stand_apart(figure, over=1.5, beyond=1.0):
    """No word of a picture runs out of it or over another, by more than so many pixels."""
    figure.canvas.draw()
    texts = [text for axes in figure.axes for text in (*axes.texts, axes.title)]
    texts += [
        each.label for axes in figure.axes if axes.axison for each in (axes.xaxis, axes.yaxis)
    ]
    boxes = [(text.get_text(), Text.get_window_extent(text)) for text in texts if text.get_text()]
    wide, high = figure.bbox.size
    for words, box in boxes:
        assert box.x0 >= -beyond and box.y0 >= -beyond, words
        assert box.x1 <= wide + beyond and box.y1 <= high + beyond, words
    for (one, first), (other, second) in itertools.combinations(boxes, 2):
        assert not first.padded(-over).overlaps(second.padded(-over)), f"{one} on {other}"


@functools.cache
def checked(name, **answers):
    """The report of an example with some answers typed, worked once for all tests of a file."""
    job = Job.load(name)
    for key, text in answers.items():
        job = job.typed(key, text)
    return check_job(job)


def said(found):
    """Numbers of a check's answer as metric readers see them, by label."""
    return {one.label: one.text("mm") for one in found.numbers}
