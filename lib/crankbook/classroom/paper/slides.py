"""A lesson as slides: its headings, the first sentence of each paragraph, what is asked in full,
formulas, drawings and the panel as a still picture, in one HTML file that a browser shows or prints
as PDF.
"""

import re

from markupsafe import Markup
from nbconvert.filters.markdown_mistune import MarkdownWithMath

from crankmath.files import make_folder

from ...lesson.pictures import png_address
from ...pages import page
from ...pictures.scene import add
from ...workspace import work_folder
from .. import course
from ..stage_pages import make_panel, pages
from .handouts import PaperRenderer

ROOM = 430  # letters of text on a slide
WHOLE = ("The shop question", "Predict")  # a class cannot guess from a first sentence
SKIPPED = ("Your turn", "Sources", "Worked example", "See the mistake")


def sections(lesson):
    """(heading, markdown) of a lesson's sections in order; the first heading is its title."""
    prose = re.sub(r"<details>.*?</details>", "", lesson.text("markdown"), flags=re.DOTALL)
    parts = re.split(r"^#+ (.+)$", prose, flags=re.MULTILINE)
    return list(zip(parts[1::2], parts[2::2], strict=True))


def short(block, whole=False):
    """What a slide shows of one block of markdown: a paragraph's first sentence, the rest whole."""
    block = re.sub(r"\[([^\]]+)\]\([^)]*\.ipynb[^)]*\)", r"\1", block.strip())
    if whole or re.match(r"[-*|!>]|\d+\.|\$\$|<", block) or "$$" in block:
        return block
    return re.split(r"(?<=[a-z*)$][.?!])\s+(?=[A-Z*`])", block, maxsplit=1)[0]


def parts(block):
    """A list that no slide holds in two parts, every other block whole."""
    items = re.split(r"\n(?=- )", block)
    if len(items) == 1 or len(block) < 2 * ROOM:
        return [block]
    half = len(items) // 2
    return ["\n".join(items[:half]), "\n".join(items[half:])]


def slides_of(markdown, whole=False):
    """Blocks of a section, packed into slides: [[block]]."""
    packed, used = [[]], 0
    blocks = [part for one in re.split(r"\n\s*\n", markdown) for part in parts(one)]
    for block in filter(None, (short(one, whole) for one in blocks)):
        if re.search(r"\*\*(Next|Before|Back)\b|^\[.*\.ipynb", block):
            continue
        size = ROOM if block.startswith("!") else 120 if "$$" in block else len(block)
        if packed[-1] and used + size > ROOM:
            packed.append([])
            used = 0
        packed[-1].append(block)
        used += size
    return [blocks for blocks in packed if blocks]


def slides_page(lesson, units="mm"):
    """The slides of a lesson as one HTML page."""
    renderer = PaperRenderer(
        escape=False,
        embed_images=True,
        path=str(lesson.path.parent),
        exclude_anchor_links=True,
    )
    shown, parts = [], sections(lesson)
    for place, (heading, markdown) in enumerate(parts):
        if heading in SKIPPED:
            continue
        if heading == "Turn the knobs":
            shown += [_still(panel, heading, units) for panel in _panels(lesson)]
            continue
        level = "h1" if place == 0 else "h2"
        title = f"{lesson.number} {heading}" if place == 0 else heading
        for blocks in slides_of(markdown, heading in WHOLE) or [[]]:
            body = MarkdownWithMath(renderer=renderer).render("\n\n".join(blocks))
            shown.append(Markup("<{0}>{1}</{0}>{2}").format(level, title, Markup(body)))
            level = "h2"
    whole = Markup("").join(
        Markup('<section class="slide">{}<footer>{} · {} of {}</footer></section>').format(
            body, lesson.number, place, len(shown)
        )
        for place, body in enumerate(shown, 1)
    )
    return page(f"{lesson.number} {lesson.title}, slides", whole, style="slides.css")


def _panels(lesson):
    """The lesson's panel at its projector's size, where it has one."""
    return [make_panel(one) for one in pages().values() if one.lesson == lesson.number][:1]


def _still(panel, heading, units):
    """A slide with a panel's picture as it opens and its finding."""
    items, finding = panel.answer(units, **panel.values)
    figure = add(panel.paper(units, True), items)
    words = Markup('<h2>{}</h2><p>{}</p><img alt="{}" src="{}">')
    return words.format(heading, str(finding), str(finding), png_address(figure))


def main(arguments):
    """``crankmath slides [--lesson NN] [--out DIR] [--units mm|in]``."""
    parser = course.asks(
        "slides",
        "Lessons as slides: text, formulas and drawings, one HTML file a lesson.",
        "folder for the slides; default my-work/slides",
    )
    parser.add_argument("--units", choices=("mm", "in"), default="mm", help="of the pictures")
    given = parser.parse_args(arguments)
    folder = given.out or work_folder() / "slides"

    def write():
        make_folder(folder)
        for lesson in course.chosen(given.lesson):
            file = folder / f"{lesson.path.stem}.html"
            file.write_text(slides_page(lesson, given.units), encoding="utf-8")
            print(file, flush=True)

    if not course.went_well(write, "No slides were made."):
        return 1
    print("Open one in a browser, full screen; for PDF print it there, to a file.")
    return 0
