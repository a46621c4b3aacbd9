"""The pages of the workbook, as their notebooks say: number, title, what one takes away."""

import json
import re
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from .workspace import find_workbook


@dataclass(frozen=True)
class Page:
    """One notebook of the workbook; a lesson if its name begins with a number."""

    path: Path

    @cached_property
    def stored(self):
        """What the notebook's file holds."""
        return json.loads(self.path.read_text(encoding="utf-8"))

    @property
    def number(self):
        """The lesson's number in two digits, or the first word of the name."""
        return self.path.stem.partition("-")[0]

    @property
    def is_lesson(self):
        return self.number.isdigit()

    @property
    def title(self):
        """The first heading."""
        found = re.search(r"^# (.+)$", self.text("markdown"), re.MULTILINE)
        return found[1].strip() if found else self.path.stem.replace("-", " ")

    @property
    def takeaway(self):
        """What one takes away, in a line."""
        return str(self.stored["metadata"].get("takeaway", ""))

    @property
    def exercises(self):
        """Names of the exercises that its cells ask."""
        return re.findall(r'\bExercise\(\s*"(\d\d-\d)"', self.text("code"))

    @property
    def solutions(self):
        """The notebook with worked answers."""
        return self.path.parent / "solutions" / self.path.name

    def text(self, kind):
        """All cells of a kind, one after the other."""
        cells = (cell for cell in self.stored["cells"] if cell["cell_type"] == kind)
        return "\n\n".join("".join(cell["source"]) for cell in cells)


def pages(workbook=None):
    """Every page: the lessons in teaching order, then what stands beside them."""
    folder = find_workbook() if workbook is None else Path(workbook)
    found = [Page(path) for path in folder.glob("*.ipynb")]
    return sorted(found, key=lambda page: (not page.is_lesson, page.path.name))


def lessons(workbook=None):
    """The lessons in teaching order: every notebook whose name begins with two digits."""
    return [page for page in pages(workbook) if page.is_lesson]
