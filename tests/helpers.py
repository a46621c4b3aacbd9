"""What several test files share."""

import importlib.util
import io
import tokenize
from pathlib import Path

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
