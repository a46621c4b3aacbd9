"""The drawings of the course, made in figures/: each is what the code draws today, can be read, and has its alt text."""

import importlib.util
import itertools
import json
import re
from pathlib import Path
from xml.etree import ElementTree

import matplotlib
import numpy as np
import pytest
import shapely
from course_drawings import DRAWINGS
from helpers import words_stand_apart

FIGURES = Path(__file__).parents[1] / "figures"
PICTURES = FIGURES.parent / "workbook" / "pictures"
SLACK = 0.3  # of a point; another matplotlib may round a place otherwise
SHOWN = 900  # px wide in a lesson or README
each_drawing = pytest.mark.parametrize("name", DRAWINGS)


@pytest.fixture(scope="module")
def maker():
    spec = importlib.util.spec_from_file_location("make_drawings", FIGURES / "make_drawings.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def polyline(path):
    """A path of straight lines as a shape, None for any other; which of their points matplotlib keeps hangs on last digits."""
    parts = [np.array(re.findall(r"-?[\d.]+", part), float) for part in path.split("M")[1:]]
    if not parts or set(path) - set("ML0123456789.- \n") or any(len(part) < 4 for part in parts):
        return None
    return shapely.MultiLineString([part.reshape(-1, 2) for part in parts])


def elements(text):
    """What a drawing holds, in order: tag, text, words and numbers of its attributes, lines; names that only link parts are left out."""
    found = []
    for element in ElementTree.fromstring(text).iter():
        lines = polyline(element.get("d", ""))
        if lines:
            del element.attrib["d"]
        style = " ".join(
            f"{key}={value}"
            for key, value in sorted(element.attrib.items())
            if not key.endswith(("id", "href", "clip-path"))
        )
        numbers = [
            float(number)
            for number in re.findall(
                r"-?\d+(?:\.\d+)?(?:e-?\d+)?", re.sub(r"#[0-9a-f]{6}", "", style)
            )
        ]
        words = re.sub(
            r"-?\d+(?:\.\d+)?(?:e-?\d+)?",
            "~",
            re.sub(
                r"#([0-9a-f]{6})",
                lambda color: color[1].translate(str.maketrans("0123456789", "ghijklmnop")),
                style,
            ),
        )
        tag, written = element.tag.rpartition("}")[2], (element.text or "").strip()
        found.append((tag, written, words, numbers, lines))
    return found


def difference(stored, made):
    """What differs first between two drawings, in words, or an empty text."""
    stored, made = elements(stored), elements(made)
    for number, (old, new) in enumerate(
        itertools.zip_longest(stored, made, fillvalue=("nothing", "", "", [], None))
    ):
        if old[:3] != new[:3]:
            return f"element {number}: {old[:3]} is now {new[:3]}"
        if len(old[3]) != len(new[3]) or not np.allclose(old[3], new[3], rtol=0, atol=SLACK):
            return f"element {number}, {old[0]} {old[1]}: its places changed"
        if bool(old[4]) != bool(new[4]) or (old[4] and old[4].hausdorff_distance(new[4]) > SLACK):
            return f"element {number}: its lines changed"
    return ""


@pytest.mark.skipif(
    matplotlib.__version_info__ < (3, 11),
    reason="the stored drawings were written by matplotlib 3.11; earlier ones write words otherwise",
)
@each_drawing
def test_stored_drawing_is_what_the_code_draws(name, maker):
    stored = (PICTURES / f"{name}.svg").read_text(encoding="utf-8")
    assert not difference(stored, maker.drawn(name)), (
        "look at the new drawing, then run: python figures/make_drawings.py"
    )


@pytest.mark.parametrize(
    ("find", "put"),
    [
        (r">spacer<", ">packing<"),
        (r"stroke-width: 2(?=[;\"])", "stroke-width: 3"),
        (r"(d=\"M )(\d+)", r"\g<1>9\2"),
        (r"#2f6b14", "#2f6b24"),
        (r"<path d=\"M[^>]*?/>", ""),
    ],
)
def test_a_change_is_seen(find, put):
    stored = (PICTURES / "spacer-in-place.svg").read_text(encoding="utf-8")
    changed = re.sub(find, put, stored, count=1)
    assert changed != stored and difference(stored, changed) and not difference(stored, stored)


def test_every_drawing_is_stored_and_shown_in_a_lesson_with_its_alt_text():
    assert {path.stem for path in PICTURES.glob("*.svg")} == set(DRAWINGS)
    lessons = "".join(
        "".join(cell["source"]) + "\n"
        for path in sorted(PICTURES.parent.glob("[01]*.ipynb"))
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]
    )
    for name, (_, alt) in DRAWINGS.items():
        assert lessons.count(f"![{alt}](pictures/{name}.svg)") == 1, name


@each_drawing
def test_alt_text_says_what_is_seen(name):
    alt = DRAWINGS[name][1]
    assert 80 <= len(alt) <= 420 and alt.endswith(".")
    root = ElementTree.fromstring((PICTURES / f"{name}.svg").read_text(encoding="utf-8"))
    assert root.attrib["role"] == "img" and root.attrib["aria-label"] == alt


@each_drawing
def test_same_drawing_gives_the_same_file(name, maker):
    text = maker.drawn(name)
    assert text == maker.drawn(name) and "date" not in text.lower()


def luminance(color):
    parts = [int(color[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    return float(np.dot((0.2126, 0.7152, 0.0722), linear))


@each_drawing
def test_text_is_large_and_dark_enough(name):
    """At least 13 px where it is shown 900 px wide; 4.5:1 (WCAG 2.2, 1.4.3) on the darkest ground any drawing has, the steel's gray."""
    root = ElementTree.fromstring((PICTURES / f"{name}.svg").read_text(encoding="utf-8"))
    wide = float(root.attrib["viewBox"].split()[2])
    texts = [element for element in root.iter() if element.tag.endswith("}text")]
    assert texts
    for text in texts:
        size = float(re.search(r"font(?:-size)?: (?:\w+ )?([\d.]+)px", text.attrib["style"])[1])
        assert size * SHOWN / wide >= 13
        color = re.search(r"fill: (#[0-9a-f]{6})", text.attrib["style"])
        assert (luminance("#dcdcdc") + 0.05) / (
            luminance(color[1] if color else "#000000") + 0.05
        ) >= 4.5


@each_drawing
@pytest.mark.parametrize("projector", [False, True])
def test_texts_stand_apart_and_inside(name, projector):
    words_stand_apart(DRAWINGS[name][0](projector=projector))
