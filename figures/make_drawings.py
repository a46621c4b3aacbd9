"""Makes the drawings of the course as SVG files among the lessons' pictures.

Run as: uv run --project lib python figures/make_drawings.py
"""

import html
import io
import re
from pathlib import Path

from course_drawings import DRAWINGS
from matplotlib import rc_context

PICTURES = Path(__file__).parents[1] / "workbook" / "pictures"
FORM = {
    "svg.fonttype": "none",
    "svg.hashsalt": "crankmath",
}  # text stays text; the same drawing gives the same file


def drawn(name):
    """A drawing of ``DRAWINGS`` as the text of an SVG file that tells its own alt text.

    Parameters
    ----------
    name : str

    Returns
    -------
    str
    """
    figure, alt = DRAWINGS[name][0](), DRAWINGS[name][1]
    store = io.StringIO()
    with rc_context(FORM):
        figure.savefig(
            store,
            format="svg",
            metadata={"Date": None, "Creator": None, "Format": None, "Type": None},
        )
    text = re.sub(r"<metadata>.*?</metadata>\s*", "", store.getvalue(), flags=re.DOTALL)
    return re.sub(
        r"<svg ", f'<svg role="img" aria-label="{html.escape(alt, quote=True)}" ', text, count=1
    )


def main():
    for name in DRAWINGS:
        (PICTURES / f"{name}.svg").write_text(drawn(name), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
