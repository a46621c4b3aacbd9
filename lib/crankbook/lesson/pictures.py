"""Static pictures with alt text that a screen reader gets."""

import base64
import io

from IPython.display import HTML, display
from markupsafe import Markup

from crankmath.language import _

from ..pages import table as page_table


def png_address(figure, dpi=144):
    """A figure as the text of an image address, opaque in every theme."""
    store = io.BytesIO()
    figure.savefig(store, format="png", dpi=dpi, facecolor="white")
    return "data:image/png;base64," + base64.b64encode(store.getvalue()).decode("ascii")


def show(figure, alt, table=()):
    """Display a figure with its finding, which a screen reader gets: a sentence with its numbers.

    - ``table``: (heads, rows) of what is drawn, folded below the figure. ValueError where the
      sentence is missing. Only a literal ``<img alt>`` reaches the page.
    """
    words = str(alt or "").strip()
    if not words:
        raise ValueError(_("alt is empty: write one sentence that says what the picture shows"))
    picture = Markup('<img alt="{}" src="{}" style="max-width:100%;width:700px">')
    shown = picture.format(words, png_address(figure))
    if table:
        folded = Markup("<details><summary>The numbers as a table</summary>{}</details>")
        shown += folded.format(page_table(*table))
    display(HTML(shown))
