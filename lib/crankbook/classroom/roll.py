"""The class that question sheets are made for: its list, its record, whose numbers are whose."""

import difflib
import json
import unicodedata
from collections import Counter
from dataclasses import dataclass, field

from crankmath import __version__
from crankmath.files import make_folder, read_json, write_whole

from ..csv_tables import LARGEST, read_table
from ..lesson.exercise import draw

INSTRUCTOR = "instructor-only"
ID_HEADS = ("id", "student id", "student number", "student no", "student no.")


@dataclass
class SchoolClass:
    """A class as sheets were made for it: its word, its names in order, what was asked.

    A number and the numbers in the questions belong to a student, not to a place in the list.
    """

    word: str
    names: list
    # exercise: {student's seed: fingerprint of the question on the sheet}
    asked: dict = field(default_factory=dict)
    # lesson: student files written, to be renewed together
    files: dict = field(default_factory=dict)
    version: str = __version__
    ids: list = field(default_factory=list)  # the school's own, "" where it has none
    # everybody who was ever in the class, by ID or name: number on the sheet, seed of the questions
    roll: dict = field(default_factory=dict)
    # units of its sheets, and how its tables are written
    units: str = "mm"
    separator: str = ","
    encoding: str = "utf-8-sig"
    # lesson: units its sheets were made in, as a class may change its units
    sheet_units: dict = field(default_factory=dict)

    def __post_init__(self):
        self.ids = self.ids or [""] * len(self.names)
        self._labels = self._told_apart()
        self._ids = {
            name_key(label): one for label, one in zip(self._labels, self.ids, strict=True)
        }
        for label, identity in zip(self._labels, self.ids, strict=True):
            key = name_key(identity or label)
            if key not in self.roll and identity and name_key(label) in self.roll:
                self.roll[key] = self.roll.pop(name_key(label))  # the list has IDs by now
            if key not in self.roll:
                last = max((number for number, _ in self.roll.values()), default=0)
                self.roll[key] = [last + 1, identity or label]

    def _told_apart(self):
        """Names, the second of two equal ones with its ID or a number in brackets."""
        labels, used = [], set()
        every = Counter(map(name_key, self.names))
        for name, identity in zip(self.names, self.ids, strict=True):
            twice = identity and every[name_key(name)] > 1
            label, times = f"{name} ({identity})" if twice else name, 1
            while name_key(label) in used:
                times += 1
                label = f"{name} ({times})"
            used.add(name_key(label))
            labels.append(label)
        return labels

    @property
    def students(self):
        """Students in the list's order as (number, label)."""
        return [(self._entry(label)[0], label) for label in self._labels]

    def _entry(self, label):
        """Number and seed of a student."""
        return self.roll.get(name_key(self.id_of(label) or label), [0, label])

    def id_of(self, label):
        return self._ids.get(name_key(label), "")

    def units_of(self, called):
        """Units of the sheets of a lesson, named as in ``files``."""
        return self.sheet_units.get(called, self.units)

    def seed(self, label):
        """What a student's questions are drawn from: ID, or name, as first listed."""
        return self._entry(label)[1]

    def find(self, typed, identity=""):
        """(number, label) of a typed ID or name; ValueError says what was meant."""
        if identity and any(self.ids):
            for label, one in zip(self._labels, self.ids, strict=True):
                if name_key(one) == name_key(identity):
                    return self._entry(label)[0], label
            raise ValueError(f"the ID “{identity[:60]}” is not in the class list")
        if not typed:
            raise ValueError("the row has no name: write the student's name as in the class list")
        key = name_key(typed)
        for number, label in self.students:
            if name_key(label) == key:
                return number, label
        near = difflib.get_close_matches(key, [name_key(label) for _, label in self.students], 1)
        meant = next(
            (label for _, label in self.students if near and name_key(label) == near[0]), None
        )
        raise ValueError(
            f"“{typed[:60]}” is not in the class list"
            + (f"; did you mean “{meant}”?" if meant else "")
        )

    def question(self, exercise, maker, label):
        """The question of one student."""
        return draw(maker, f"{self.word}/{exercise}/{name_key(self.seed(label))}")

    def shares_a_student(self, other):
        """Whether somebody of this class is in the other."""
        mine = {name_key(one) for one in (*self._labels, *self.ids) if one}
        return any(name_key(one) in mine for one in (*other._labels, *other.ids) if one)


def name_key(name):
    """A name as it is compared and seeded: case, composed letters and spaces do not matter."""
    return " ".join(unicodedata.normalize("NFC", name).casefold().split())


def read_list(path):
    """Names and IDs of a class list, and the table itself.

    - ``path``: CSV file with a column "name", and one of ``ID_HEADS`` where the school has such.

    ValueError: A name is missing or too long, or two students have one ID.
    """
    read = read_table(path, ("name",))
    names, ids = [], []
    for row in read.rows:
        name, identity = row.get("name", ""), identity_of(row)
        if not name:
            raise ValueError(
                f"{path.name}, line {row['line']}, has no name: write one or take the line out"
            )
        for text in (name, identity):
            if len(text) > 100:
                raise ValueError(
                    f"{path.name}, line {row['line']}: “{text[:40]}…” is longer than 100 letters; "
                    "shorten it"
                )
        if identity and name_key(identity) in map(name_key, ids):
            raise ValueError(
                f"{path.name}, line {row['line']}: the ID “{identity}” is in the list already"
            )
        names.append(name)
        ids.append(identity)
    return names, ids, read


def identity_of(row):
    """The school's ID in a row of a table, empty where it has none."""
    return next((row[head] for head in ID_HEADS if row.get(head)), "")


def _text(value):
    return isinstance(value, str) and bool(value)


def _texts(value):
    return isinstance(value, list) and all(map(_text, value))


def _table_of(right):
    return lambda value: isinstance(value, dict) and all(map(right, value.values()))


# what each key of a record has to hold
RECORD = {
    "word": _text,
    "names": _texts,
    "asked": _table_of(_table_of(_text)),
    "files": _table_of(_texts),
    "version": _text,
}
# what newer records hold as well
NEWER = {
    "ids": lambda value: isinstance(value, list) and all(isinstance(one, str) for one in value),
    "roll": _table_of(
        lambda value: (
            isinstance(value, list)
            and len(value) == 2
            and isinstance(value[0], int)
            and _text(value[1])
        )
    ),
    "units": ("mm", "in").__contains__,
    "sheet_units": _table_of(lambda value: value in ("mm", "in")),
    "separator": (",", ";", "\t").__contains__,
    "encoding": ("utf-8-sig", "utf-16", "cp1252").__contains__,
}


def record_path(folder):
    return folder / INSTRUCTOR / "class.json"


def load_class(folder):
    """The class that sheets in a folder were made for, or None.

    ValueError: The record is damaged.
    """
    path = record_path(folder)
    try:
        stored = read_json(path, LARGEST)
        if not isinstance(stored, dict):
            raise ValueError("it is not a table")
        for name, right in (RECORD | NEWER).items():
            if (name in RECORD or name in stored) and not right(stored.get(name)):
                raise ValueError(f"the key “{name}” is missing or of the wrong kind")
        if stored.get("ids") and len(stored["ids"]) != len(stored["names"]):
            raise ValueError("the keys “names” and “ids” differ in length")
    except FileNotFoundError:
        return None
    except (ValueError, OSError) as error:
        raise ValueError(
            f"{path} cannot be read: make the sheets again with “crankmath exercises --class … "
            f"--word …” ({error})"
        ) from None
    return SchoolClass(**{name: stored[name] for name in (*RECORD, *NEWER) if name in stored})


def required_class(folder):
    """The class of a folder; ValueError says where to look or how to make one."""
    school_class = load_class(folder)
    if school_class is None:
        raise ValueError(
            f"{folder} holds no class: write --out with the folder that “crankmath exercises” "
            "made, "
            "or make one with “crankmath exercises --class names.csv”"
        )
    return school_class


def save_class(school_class, folder):
    path = record_path(folder)
    make_folder(path.parent)
    record = {name: vars(school_class)[name] for name in (*RECORD, *NEWER)}
    write_whole(path, json.dumps(record, indent=1, ensure_ascii=False))
