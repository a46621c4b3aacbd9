"""The part all lessons share: a one-piece crank, its sizes, its file.

A crank is a row of journals with a throw between each pair: journal, web, pin,
web, journal and so on, from left to right. Files are TOML.
"""

import math
import tomllib
from dataclasses import dataclass, fields, replace
from importlib.resources import files

from ..checks import counted
from ..files import path_of, read_text, write_whole
from ..units import Quantity, as_text, magnitude, ureg

EXAMPLES = ("pump", "bellows", "compressor", "organ")
MOST_BYTES = 100_000
LARGEST = 10_000.0  # mm; a larger size is a slip of the unit or of the finger


@dataclass(frozen=True)
class Journal:
    """A main: diameter, length between webs (or to the end), fillet at the web."""

    diameter: Quantity
    length: Quantity
    fillet: Quantity


@dataclass(frozen=True)
class Throw:
    """A pin between two webs.

    ``radius`` is the throw (half the stroke), ``angle`` the throw's direction
    about the main axis. The web is ``web_thickness`` along the axis,
    ``web_width`` across it, and reaches ``web_reach`` beyond each axis.
    """

    radius: Quantity
    angle: Quantity
    pin_diameter: Quantity
    pin_length: Quantity
    fillet: Quantity
    web_thickness: Quantity
    web_width: Quantity
    web_reach: Quantity


@dataclass(frozen=True)
class Segment:
    """One piece of the crank along the axis, in plain millimeters.

    ``kind`` is "journal", "web" or "pin"; ``index`` counts journals or throws.
    """

    kind: str
    index: int
    start: float
    length: float

    @property
    def end(self):
        return self.start + self.length


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
        """Crank from a TOML file or the name of an example.

        Parameters
        ----------
        source : str or Path
            A path, or one of ``crank.EXAMPLES``.

        Returns
        -------
        Crank

        Raises
        ------
        TypeError
            The source is no path.
        FileNotFoundError
            No such file and no such example.
        OSError
            The file cannot be opened.
        ValueError
            The file is not a crank; the message names the key.

        Notes
        -----
        Basis: derived. Lengths are read in the file's ``units``.
        """
        wanted = f"the path of a .toml file or one of {', '.join(EXAMPLES)}"
        if source in EXAMPLES:
            text = (files("crankmath") / "data" / f"{source}.toml").read_text(encoding="utf-8")
        else:
            text = read_text(
                path_of(source, wanted), MOST_BYTES, f"no crank file “{source}”; write {wanted}"
            )
        try:
            data = tomllib.loads(text)
        except tomllib.TOMLDecodeError as error:
            raise ValueError(f"“{source}” is not a TOML file: {error}") from None
        except (ValueError, RecursionError):
            raise ValueError(
                f"“{source}” is not a TOML file: it holds a number of thousands of digits, or brackets in brackets without end"
            ) from None
        return cls.from_dict(data)

    @classmethod
    def from_dict(cls, data):
        """Crank from the tables of its TOML file; unknown or missing keys are named.

        Parameters
        ----------
        data : dict

        Returns
        -------
        Crank

        Raises
        ------
        ValueError
            A key is missing, unknown, of the wrong type, or impossible.

        Notes
        -----
        Basis: derived.
        """
        _check_keys(data, ("name", "units", "steel", "journals", "throws"), "the crank")
        _check_words(data["name"], data["units"], data["steel"])
        return cls(
            data["name"],
            data["units"],
            data["steel"],
            tuple(
                _part(Journal, table, data["units"], place)
                for table, place in _tables(data, "journals")
            ),
            tuple(
                _part(Throw, table, data["units"], place)
                for table, place in _tables(data, "throws")
            ),
        )

    def to_dict(self):
        """Tables of the TOML file, lengths as plain numbers of ``units``.

        Returns
        -------
        dict

        Notes
        -----
        Basis: derived.
        """
        return {
            "name": self.name,
            "units": self.units,
            "steel": self.steel,
            "journals": [_table(part, self.units) for part in self.journals],
            "throws": [_table(part, self.units) for part in self.throws],
        }

    def save(self, path):
        """Write the crank as TOML, whole or not at all.

        Parameters
        ----------
        path : str or Path

        Raises
        ------
        OSError
            The folder or the file cannot be written; what stood there before is still there.

        Notes
        -----
        Basis: derived. The file is written beside its place and moved there.
        """
        data = self.to_dict()
        lines = [f"{key} = {_quoted(data[key])}" for key in ("name", "units", "steel")]
        for group in ("journals", "throws"):
            for table in data[group]:
                lines += ["", f"[[{group}]]"] + [
                    f"{key} = {value!r}" for key, value in table.items()
                ]
        write_whole(path, "\n".join(lines) + "\n")

    def segments(self):
        """Pieces of the crank from left to right, in millimeters from its left end.

        Returns
        -------
        list of Segment

        Notes
        -----
        Basis: derived.
        """
        pieces, x = [], 0.0
        for index, journal in enumerate(self.journals):
            run = [("journal", index, journal.length)]
            if index < len(self.throws):
                throw = self.throws[index]
                run += [
                    ("web", index, throw.web_thickness),
                    ("pin", index, throw.pin_length),
                    ("web", index, throw.web_thickness),
                ]
            for kind, number, length in run:
                pieces.append(Segment(kind, number, x, length.m_as("mm")))
                x = pieces[-1].end
        return pieces

    @property
    def length(self):
        """Over-all length [mm or in, as the file]."""
        return Quantity(self.segments()[-1].end, "mm").to(self.units)

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
        """The same crank with some sizes of one throw changed.

        Parameters
        ----------
        index : int
            Counts throws from zero, left to right.
        **changes : Quantity
            Fields of ``Throw``.

        Returns
        -------
        Crank

        Raises
        ------
        ValueError
            There is no such throw or size, or the changed crank cannot exist.

        Notes
        -----
        Basis: derived.
        """
        throws = list(self.throws)
        index = counted(index, throws, "index")
        known = [field.name for field in fields(Throw)]
        if unknown := [word for word in changes if word not in known]:
            raise ValueError(f"a throw has no size “{unknown[0]}”; it has {', '.join(known)}")
        throws[index] = replace(throws[index], **changes)
        return replace(self, throws=tuple(throws))


def _check_words(name, units, steel):
    if units not in ("mm", "in"):
        raise ValueError(f'units must be "mm" or "in", not {repr(units)[:60]}')
    for key, word in (("name", name), ("steel", steel)):
        if not isinstance(word, str) or not word.strip():
            raise ValueError(f"{key} has to be a word in quotes, not {repr(word)[:60]}")
        try:
            word.encode("utf-8")
        except UnicodeEncodeError:
            raise ValueError(
                f"{key} holds half a character, {repr(word)[:60]}; write it anew"
            ) from None


def _quoted(text):
    """A TOML basic string."""
    escaped = "".join(
        f"\\u{ord(c):04X}" if ord(c) < 32 or ord(c) == 127 else c
        for c in text.replace("\\", "\\\\").replace('"', '\\"')
    )
    return f'"{escaped}"'


def _tables(data, group):
    tables = data[group]
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        raise ValueError(f"{group} has to be a list of tables: write [[{group}]] above each")
    return [(table, f"{group}[{number}]") for number, table in enumerate(tables, 1)]


def _key(field):
    return "angle_deg" if field == "angle" else field


def _check_keys(table, wanted, place):
    if not isinstance(table, dict):
        raise ValueError(f"{place} has to be a table of keys and values")
    missing = [key for key in wanted if key not in table]
    unknown = [key for key in table if key not in wanted]
    if missing:
        raise ValueError(f"{place} lacks the key “{missing[0]}”")
    if unknown:
        raise ValueError(
            f"{place} has an unknown key “{str(unknown[0])[:60]}”; the keys are {', '.join(wanted)}"
        )


def _part(kind, table, unit, place):
    names = [field.name for field in fields(kind)]
    _check_keys(table, [_key(name) for name in names], place)
    values = {}
    for name in names:
        value = table[_key(name)]
        try:
            size = (
                float(value)
                if isinstance(value, int | float) and not isinstance(value, bool)
                else math.nan
            )
        except OverflowError:
            size = math.inf
        if not math.isfinite(size):
            raise ValueError(f"{place}.{_key(name)} has to be a number, not {str(value)[:40]}")
        values[name] = Quantity(size, "deg" if name == "angle" else unit)
    return kind(**values)


def _table(part, unit):
    return {
        _key(field.name): _tidy(getattr(part, field.name), "deg" if field.name == "angle" else unit)
        for field in fields(part)
    }


def _tidy(value, unit):
    """Number of a size; one that came through another unit prints as it was typed, any other keeps every digit."""
    size = float(value.m_as(unit))
    short = float(f"{size:.12g}")
    return size if value.units == ureg.Unit(unit) else short


def _check(crank):
    """Refuse a crank that cannot exist, naming the key."""
    _check_words(crank.name, crank.units, crank.steel)
    if not crank.throws:
        raise ValueError("throws is empty: a crank needs at least one [[throws]] table")
    if len(crank.journals) != len(crank.throws) + 1:
        raise ValueError(
            f"journals: {len(crank.throws)} throws need {len(crank.throws) + 1} journals, one on each side; "
            f"there are {len(crank.journals)}"
        )
    for group, parts in (("journals", crank.journals), ("throws", crank.throws)):
        for number, part in enumerate(parts, 1):
            for field in fields(part):
                place, value = f"{group}[{number}].{_key(field.name)}", getattr(part, field.name)
                if field.name == "angle":
                    size = magnitude(value, "deg", place)
                else:
                    size = magnitude(
                        value,
                        "mm",
                        place,
                        **({"least": 0} if field.name == "fillet" else {"above": 0}),
                    )
                if not isinstance(size, float):
                    raise ValueError(f"{place} takes one size, not {size.size}")
                if field.name != "angle" and size > LARGEST:
                    raise ValueError(
                        f"{place} is larger than {LARGEST / 1000:g} m: is {as_text(value)} in the right unit?"
                    )
    for number, journal in enumerate(crank.journals, 1):
        if (1 if number in (1, len(crank.journals)) else 2) * journal.fillet > journal.length:
            raise ValueError(
                f"journals[{number}].fillet does not fit: the journal is shorter than its fillets"
            )
        for throw_number in {number - 1, number} & set(range(1, len(crank.throws) + 1)):
            throw = crank.throws[throw_number - 1]
            _check_on_web(journal.diameter, throw, f"journals[{number}].diameter", throw_number)
    for number, throw in enumerate(crank.throws, 1):
        if 2 * throw.fillet > throw.pin_length:
            raise ValueError(
                f"throws[{number}].fillet does not fit: the pin is shorter than its two fillets"
            )
        _check_on_web(throw.pin_diameter, throw, f"throws[{number}].pin_diameter", number)


def _check_on_web(diameter, throw, place, number):
    """A pin or journal has to stand on its web all around."""
    if diameter > throw.web_width * (1 + 1e-9):
        raise ValueError(
            f"{place} is larger than throws[{number}].web_width; make the web wider or the diameter smaller"
        )
    if diameter > 2 * throw.web_reach * (1 + 1e-9):
        raise ValueError(
            f"{place} sticks out past throws[{number}].web_reach; reach at least half the diameter"
        )
