"""The part all lessons share: a one-piece crank, its sizes, its file.

A crank is a row of journals with a throw between each pair: journal, web, pin,
web, journal and so on, from left to right. Files are TOML.
"""

from dataclasses import dataclass, fields, replace
from functools import cached_property

from ..checks import counted
from ..files import path_of, read_text, write_whole
from ..tables import DATA
from ..toml_files import read_toml
from ..units import Quantity, as_text, magnitude
from . import toml_text
from .parts import Journal, PlainCrank, Throw

EXAMPLES = ("pump", "bellows", "compressor", "organ")
MOST_BYTES = 100_000
LARGEST = 10_000.0  # mm; a larger size is a slip of the unit or of the finger


@dataclass(frozen=True)
class Crank:
    """A one-piece crank: name, steel, journals and throws, display units."""

    name: str
    units: str
    steel: str
    journals: tuple[Journal, ...]
    throws: tuple[Throw, ...]

    def __post_init__(self):
        _check(self)

    @classmethod
    def load(cls, source):
        """Crank from a TOML file, or the example of that name.

        ``source`` is a path or one of ``crank.EXAMPLES``; lengths are read in the file's ``units``.
        Basis: derived. Raises FileNotFoundError where there is neither, OSError for a file that
        cannot be opened, ValueError with the key for one that is not a crank.
        """
        wanted = f"the path of a .toml file or one of {', '.join(EXAMPLES)}"
        if source in EXAMPLES:
            text = (DATA / f"{source}.toml").read_text(encoding="utf-8")
        else:
            missing = f"no crank file “{source}”; write {wanted}"
            text = read_text(path_of(source, wanted), MOST_BYTES, missing)
        return cls.from_dict(read_toml(text, f"“{source}”"))

    @classmethod
    def from_dict(cls, data):
        """Crank from data, the tables of its TOML file; unknown or missing keys are named.

        Basis: derived.
        """
        toml_text.check_keys(data, toml_text.KEYS, "the crank")
        toml_text.check_words(data["name"], data["units"], data["steel"])
        parts = (toml_text.read_parts(data, group) for group in toml_text.GROUPS)
        return cls(data["name"], data["units"], data["steel"], *parts)

    def to_dict(self):
        """Tables of the TOML file, lengths as plain numbers of ``units``."""
        return toml_text.tables_of(self)

    def save(self, path):
        """Write the crank to path as TOML, whole or not at all; OSError where that fails."""
        write_whole(path, toml_text.written(self.to_dict()))

    @cached_property
    def plain(self):
        """The same crank in plain mm and rad, a :class:`PlainCrank`."""
        return PlainCrank.of(self)

    @property
    def segments(self):
        """Pieces from left to right, each a :class:`Segment` in mm."""
        return self.plain.segments

    @property
    def rounds(self):
        """Mains and pins from left to right, each a :class:`Segment` in mm."""
        return self.plain.rounds

    @property
    def length(self):
        """Over-all length [mm or in, as the file]."""
        return Quantity(self.plain.length, "mm").to(self.units)

    @property
    def swing_radius(self):
        """Radius swept about the main axis by the farthest corner of any web.

        Formula: sqrt((throw + reach)^2 + (width/2)^2).
        """
        return max(
            ((throw.radius + throw.web_reach) ** 2 + (throw.web_width / 2) ** 2) ** 0.5
            for throw in self.throws
        ).to(self.units)

    def with_throw(self, index=0, **changes):
        """The same crank with some sizes of one throw changed, counted from zero.

        ``changes`` are fields of ``Throw``, each a quantity. Basis: derived.
        """
        throws = list(self.throws)
        index = counted(index, throws, "index")
        known = [field.name for field in fields(Throw)]
        if unknown := [word for word in changes if word not in known]:
            raise ValueError(f"a throw has no size “{unknown[0]}”; it has {', '.join(known)}")
        throws[index] = replace(throws[index], **changes)
        return replace(self, throws=tuple(throws))


def _check(crank):
    """Refuse a crank that cannot exist, naming the key."""
    toml_text.check_words(crank.name, crank.units, crank.steel)
    count = len(crank.throws)
    if not count:
        raise ValueError("throws is empty: a crank needs at least one [[throws]] table")
    if len(crank.journals) != count + 1:
        throws = "1 throw needs" if count == 1 else f"{count} throws need"
        ends = "; a crank with its pin at its end, in no main beyond it, cannot be worked out here"
        raise ValueError(
            f"journals: {throws} {count + 1} journals, one on each side; there "
            f"{'is' if len(crank.journals) == 1 else 'are'} {len(crank.journals)}"
            + (ends if len(crank.journals) == count else "")
        )
    for group in toml_text.GROUPS:
        for number, part in enumerate(getattr(crank, group), 1):
            for field in fields(part):
                _check_size(part, field.name, f"{group}[{number}].{toml_text.key(field.name)}")
    for number, journal in enumerate(crank.journals, 1):
        fillets = 1 if number in (1, count + 1) else 2
        _check_fillet(journal.fillet, journal.length, fillets, f"journals[{number}].fillet", "main")
        for beside in {number - 1, number} & set(range(1, count + 1)):
            _check_on_web(crank, journal.diameter, f"journals[{number}].diameter", beside)
    for number, throw in enumerate(crank.throws, 1):
        _check_fillet(throw.fillet, throw.pin_length, 2, f"throws[{number}].fillet", "pin")
        _check_on_web(crank, throw.pin_diameter, f"throws[{number}].pin_diameter", number)


def _check_size(part, name, place):
    value = getattr(part, name)
    bound = {"angle": {}, "fillet": {"least": 0}}.get(name, {"above": 0})
    size = magnitude(value, toml_text.unit_of(name, "mm"), place, **bound)
    if not isinstance(size, float):
        raise ValueError(f"{place} takes one size, not {size.size}")
    if name != "angle" and size > LARGEST:
        raise ValueError(
            f"{place} is larger than {LARGEST / 1000:g} m: is {as_text(value)} in the right unit?"
        )


def _check_fillet(fillet, length, count, place, part):
    """The fillets at a part's ends have to fit in its length."""
    if count * fillet > length:
        raise ValueError(
            f"{place} does not fit: the {part} of {as_text(length)} is shorter than its "
            f"{'fillet' if count == 1 else 'two fillets'}; write at most {as_text(length / count)}"
        )


def _check_on_web(crank, diameter, place, number):
    """A pin or journal has to stand on its web all around."""
    throw = crank.throws[number - 1]
    if diameter > throw.web_width * (1 + 1e-9):
        raise ValueError(
            f"{place} is larger than throws[{number}].web_width; "
            "make the web wider or the diameter smaller"
        )
    if diameter > 2 * throw.web_reach * (1 + 1e-9):
        raise ValueError(
            f"{place} sticks out past throws[{number}].web_reach; reach at least half the diameter"
        )
