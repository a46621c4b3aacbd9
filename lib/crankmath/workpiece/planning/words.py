"""Words of the plan, with its numbers put in as the reader's units show them."""

import tomllib
from functools import cache
from importlib.resources import files

from ...language import spoken, told
from ...units import Quantity
from ...wording import shown
from ..plan import Step


@cache
def words():
    """The words of all steps."""
    text = (files("crankmath") / "data" / "plan_words.toml").read_text(encoding="utf-8")
    return {key: told(table) for key, table in tomllib.loads(text).items()}


class Told:
    """Says lengths and steps in the units of a job, by the ``units`` and ``placed`` of its plan."""

    def said(self, key, **put_in):
        """A step of its words alone, what belongs into them put in."""
        table = words()[key] | {
            part: put_in.pop(part)
            for part in ("name", "do", "check", "caution", "why")
            if part in put_in
        }
        put_in = {
            part: spoken(put) if isinstance(put, str) else put for part, put in put_in.items()
        }
        put_in.setdefault("swinging", words()["swinging"]["words"])
        name, do, check, caution, why = (
            table.get(part, "").format(**put_in)
            for part in ("name", "do", "check", "caution", "why")
        )
        return Step(key, name, "bench", do=do, check=check, caution=caution, why=why)

    def length(self, size):
        """A length [mm]."""
        return shown(Quantity(float(size), "mm"), "length", self.units)

    def size(self, size):
        """A length [mm] to which something is cut, as a table has it."""
        return shown(Quantity(float(size), "mm"), "place", self.units)

    def room(self, size):
        """Room between what turns and what stands [mm]."""
        return shown(Quantity(float(size), "mm"), "room", self.units)

    def fine(self, size):
        """A small length [mm], in two figures."""
        return shown(Quantity(float(size), "mm"), "length", self.units, 2)

    def place(self, part):
        """A coordinate [mm] across the bar."""
        return shown(Quantity(self.placed.fine(part), "mm"), "place", self.units)

    def datum(self, x):
        """A place along the bar as it is read from the left faced end."""
        return shown(Quantity(float(x - self.placed.faced[0]), "mm"), "place", self.units)
