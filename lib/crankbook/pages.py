"""Pages of HTML: one skeleton and Jinja2 templates, in which every text is escaped.

They print as they stand, hold no script and fetch nothing.
"""

import re
from functools import cache
from pathlib import Path

import jinja2
from markupsafe import Markup, escape

from crankmath.language import _

FOLDER = Path(__file__).parent / "data" / "pages"


@cache
def _templates():
    made = jinja2.Environment(
        loader=jinja2.FileSystemLoader(FOLDER),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
    )
    made.globals["_"] = _
    return made


def rendered(template, **values):
    """HTML of a template in data/pages; texts are escaped, Markup is taken as it is."""
    return Markup(_templates().get_template(template).render(values))


def macros(template):
    """The macros of a template, as functions."""
    return _templates().get_template(template).module


LARGE = ":root { font-size: 18pt; line-height: 1.5 } .work { height: 6cm }"  # large print


def page(title, body, footer="", style="print.css", large=False):
    """A whole HTML page. ``body`` is HTML; ``footer`` stands on every sheet beside its number.

    - ``large``: In large print, 18 points.
    """
    quoted = (
        footer.replace("\\", r"\\").replace('"', r"\"").replace("<", r"\3c ").replace("\n", " ")
    )
    running = f'@page {{ @bottom-left {{ content: "{quoted}" }} }}' if footer else ""
    css = (FOLDER / style).read_text(encoding="utf-8") + running + LARGE * large
    return str(rendered("page.html", title=title, style=Markup(css), body=Markup(body)))


def table(heads, rows, caption="", kind=""):
    """An HTML table whose first column heads its rows; empty cells are for the pencil."""
    return macros("parts.html").table(list(heads), [list(row) for row in rows], caption, kind)


def link(address, words):
    """A link as HTML."""
    return Markup('<a href="{}">{}</a>').format(address, words)


def prose(words):
    """Plain words as HTML, with ``names in backticks`` set as code."""
    return Markup(re.sub(r"`([^`]+)`", r"<code>\1</code>", str(escape(words))))
