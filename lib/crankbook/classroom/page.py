"""Pages for paper: one HTML skeleton with its style inside, page numbers by CSS, no scripts, nothing fetched."""

import html
import re
from pathlib import Path

STYLE = Path(__file__).parents[1] / "data" / "print" / "print.css"


def page(title, body, footer="", style=""):
    """A whole HTML page that prints as it stands.

    Parameters
    ----------
    title : str
        Plain text.
    body : str
        HTML; whatever a person typed in it is escaped already.
    footer : str
        Plain text at the foot of every sheet, beside the page number.
    style : str
        Further CSS.

    Returns
    -------
    str

    Notes
    -----
    Basis: derived. Browsers that know no page-margin boxes print their own page numbers instead.
    """
    quoted = (
        footer.replace("\\", r"\\").replace('"', r"\"").replace("<", r"\3c ").replace("\n", " ")
    )
    running = f'@page {{ @bottom-left {{ content: "{quoted}" }} }}' if footer else ""
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{html.escape(title)}</title>\n<style>\n{STYLE.read_text(encoding='utf-8')}{running}\n{style}</style>\n</head>\n"
        f"<body>\n<main>\n{body}\n</main>\n</body>\n</html>\n"
    )


def prose(words):
    """Plain words as HTML: escaped, with ``names in backticks`` set as code."""
    return re.sub(r"`([^`]+)`", r"<code>\1</code>", html.escape(words))


def table(heads, rows, caption=""):
    """An HTML table with its heads named for a screen reader; cells are plain text, escaped here.

    Parameters
    ----------
    heads : sequence of str
    rows : sequence of sequence of str
    caption : str

    Returns
    -------
    str
    """
    top = "".join(f'<th scope="col">{html.escape(head)}</th>' for head in heads)
    body = "".join(
        "<tr>" + "".join(f"<td>{html.escape(str(cell))}</td>" for cell in row) + "</tr>\n"
        for row in rows
    )
    named = f"<caption>{html.escape(caption)}</caption>" if caption else ""
    return f"<table>{named}<thead><tr>{top}</tr></thead>\n<tbody>\n{body}</tbody></table>"
