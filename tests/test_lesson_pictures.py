"""The stored picture of each lesson shows and says what its panel does, and stands above that panel."""

import importlib.util
import sys
from pathlib import Path

import matplotlib
import nbformat
import numpy as np
import pytest
from PIL import Image

from crankbook import notebooks

WORKBOOK = Path(__file__).parents[1] / "workbook"
spec = importlib.util.spec_from_file_location("make_pictures", WORKBOOK / "make_pictures.py")
maker = importlib.util.module_from_spec(spec)
spec.loader.exec_module(maker)
LESSONS = notebooks.lessons(WORKBOOK)


@pytest.mark.parametrize("lesson", LESSONS, ids=lambda lesson: lesson.number)
def test_stored_picture_says_what_the_panel_says(lesson, own_folder):
    figure, finding = maker.drawn(lesson)
    path = maker.FOLDER / f"{lesson.path.stem}.png"
    assert maker.kept(path) == maker.said(figure, finding), "python workbook/make_pictures.py"
    assert not maker.place(lesson, maker.alt(finding)), "its line in the notebook was changed now"
    assert path.stat().st_size <= maker.MOST
    # that wrote them; others round pixels otherwise
    if (matplotlib.__version_info__[:2], sys.platform) == ((3, 11), "linux"):
        assert not differing(path, figure), (
            f"look at it, then run: python workbook/make_pictures.py {lesson.number}"
        )


SNAPPED = 400  # pixels; on another processor two marks between two pixels snapped the other way


def differing(path, figure):
    """How many pixels of a stored picture are not those of a figure, beyond a few marks."""
    with Image.open(path) as stored:
        both = [np.array(one.convert("RGB"), int) for one in (stored, maker.image(figure))]
    off = np.abs(both[0] - both[1]).max(axis=2) > 8  # of 255, nobody sees
    return off.sum() if off.sum() > SNAPPED else 0


def test_a_picture_is_read_beside_its_lesson_alone():
    """No picture is left over, and none is larger than its place asks for."""
    assert {path.stem for path in maker.FOLDER.glob("*.png")} == {
        lesson.path.stem for lesson in LESSONS
    }
    for path in maker.FOLDER.glob("*.png"):
        with Image.open(path) as picture:
            assert picture.width == maker.WIDE and 300 < picture.height < 600


def test_a_changed_number_is_seen_and_written(tmp_path, own_folder):
    """Other words in the picture, in its finding or in the notebook's line are noticed."""
    figure, finding = maker.drawn(next(lesson for lesson in LESSONS if lesson.number == "08"))
    path = tmp_path / "08.png"
    maker.write(path, figure, finding)
    assert maker.kept(path) == maker.said(figure, finding) and not differing(path, figure)
    assert maker.kept(path) != maker.said(figure, f"{finding} 2 µm")
    figure.axes[1].lines[0].set_linewidth(1.5 * figure.axes[1].lines[0].get_linewidth())
    assert differing(path, figure), "a line that is half as wide again is seen"
    figure.axes[0].texts[0].set_text("another word")
    assert maker.kept(path) != maker.said(figure, finding)
    copy = tmp_path / "08-fit-the-spacers.ipynb"
    copy.write_bytes((WORKBOOK / copy.name).read_bytes())
    assert maker.place(notebooks.Page(copy), "The panel as it opens. Other words.")
    assert not maker.place(notebooks.Page(copy), "The panel as it opens. Other words.")
    pictures = [
        cell.source for cell in nbformat.read(copy, 4).cells if "pictures/08" in cell.source
    ]
    assert len(pictures) == 1 and pictures[0].count("](pictures/") == 1
