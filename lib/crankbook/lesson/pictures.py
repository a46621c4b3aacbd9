"""Static pictures with alt text that a screen reader gets."""

import base64
import html
import io

from IPython.display import HTML, display


def png_address(figure, dpi=144):
    """A figure as the text of an image address, opaque in every theme."""
    store = io.BytesIO()
    figure.savefig(store, format="png", dpi=dpi, facecolor="white")
    return "data:image/png;base64," + base64.b64encode(store.getvalue()).decode("ascii")


def show(figure, alt):
    """Display a figure with a sentence that states what it shows.

    Parameters
    ----------
    figure : matplotlib Figure
    alt : str
        The finding, with its numbers, for whoever cannot see the picture.

    Raises
    ------
    ValueError
        The sentence is missing.

    Notes
    -----
    Basis: derived. Only a literal ``<img alt>`` reaches the page.
    """
    if not alt or not alt.strip():
        raise ValueError("alt is empty: write one sentence that says what the picture shows")
    display(
        HTML(
            f'<img alt="{html.escape(alt)}" src="{png_address(figure)}" style="max-width:100%;width:700px">'
        )
    )
