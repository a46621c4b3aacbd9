"""Draws each lesson's main picture for whoever reads it where nothing runs: pictures/NN-….png.

Run as: python workbook/make_pictures.py [NN ...]

A picture is drawn again when it no longer says what the panel says, or when its lesson is named:
another machine's pixels alone change no file. Its words are kept in the file.
"""

import io
import re
import sys
from pathlib import Path

import nbformat
from PIL import Image, PngImagePlugin

from crankbook.lesson.finding import on_page
from crankbook.lessons import modules
from crankbook.notebooks import lessons

WIDE, COLORS, MOST = 800, 200, 40_000  # px, of the palette, bytes of a file
FOLDER = Path(__file__).parent / "pictures"
LINE = re.compile(r"\n*!\[[^\]]*\]\(pictures/[^)]*\)$")


def drawn(lesson):
    """A lesson's panel as it opens, with the school's cranks: (figure, finding)."""
    own = modules()[f"lesson_{lesson.number}"]
    if lesson.number == "00":  # moves a slider of lesson 04
        return modules()["lesson_04"].picture()
    return own.step_picture() if lesson.number == "15" else own.picture()


def said(figure, finding):
    """What a picture says: its finding, and the words drawn in it."""
    words = [
        text.get_text().strip()
        for axes in figure.axes
        for text in (axes.title, axes.xaxis.label, axes.yaxis.label, *axes.texts)
    ]
    return {"Description": str(finding), "Comment": "\n".join(filter(None, words))}


def kept(path):
    """What a stored picture says, or nothing where there is none."""
    if not path.is_file():
        return {}
    with Image.open(path) as picture:
        return dict(picture.text)


def alt(finding):
    """What stands in a notebook for whoever cannot see the picture."""
    head = on_page(finding)
    verdict = head["verdict"].partition(" ")[2]
    return f"The panel as it opens. {head['headline']}{f' {verdict.capitalize()}.' * bool(verdict)}"


def image(figure):
    """A figure in few colors."""
    store = io.BytesIO()
    figure.savefig(store, dpi=WIDE / figure.get_figwidth(), facecolor="white")
    return Image.open(store).convert("RGB").quantize(COLORS, dither=Image.Dither.NONE)


def write(path, figure, finding):
    """Store a figure, and what it says."""
    about = PngImagePlugin.PngInfo()
    for key, words in said(figure, finding).items():
        about.add_itxt(key, words)
    image(figure).save(path, optimize=True, pnginfo=about)
    if path.stat().st_size > MOST:
        raise ValueError(f"{path.name} has {path.stat().st_size} bytes, {MOST} are allowed")


def place(lesson, words):
    """Put the picture at the end of the text above the lesson's panel; whether that changed it."""
    book = nbformat.read(lesson.path, as_version=4)
    panel = next(
        number
        for number, cell in enumerate(book.cells)
        if "panel" in cell.metadata.get("tags", []) and "lesson_15.page" not in cell.source
    )
    above = book.cells[panel - 1]
    line = f"![{words}](pictures/{lesson.path.stem}.png)"
    text = f"{LINE.sub('', above.source)}\n\n{line}"
    changed = text != above.source
    if changed:
        above.source = text
        nbformat.write(book, lesson.path)
    return changed


def main(named):
    """Draw what changed, or the lessons of these numbers."""
    FOLDER.mkdir(exist_ok=True)
    for lesson in lessons(FOLDER.parent):
        figure, finding = drawn(lesson)
        path = FOLDER / f"{lesson.path.stem}.png"
        if lesson.number in named or kept(path) != said(figure, finding):
            write(path, figure, finding)
            print(f"{path.name}: {path.stat().st_size / 1000:.0f} kB. {finding}")
        place(lesson, alt(finding))


if __name__ == "__main__":
    main(sys.argv[1:])
