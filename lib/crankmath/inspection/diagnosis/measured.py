"""What was measured on a crank: rows of one reading each, joined into one set.

Angles are marks on the work, as in ``inspection``: the reading at 90 deg is taken with the 90 deg
mark under the dial, the gauge or across the micrometer's anvils. Inside, plain numbers: mm, deg,
um.
"""

import re
from dataclasses import dataclass, field

import numpy as np

from ...checks import made, several
from ...crank import Crank
from ...language import _, marked
from ...typed import read_quantity
from ...units import Quantity, as_text, magnitude
from ..reading_lines import LENGTH_UNITS
from ..readings import read_kept

# unit inside of each kind of measurement
KINDS = {
    "dial": "um",  # indicator over a main or pin, the work turned under it
    "diameter": "um",
    "height": "um",  # over a pin, the crank's mark upward
    "marks": "",  # chatter marks seen in a turn, 0 where none are seen
    "spacer": "um",  # how much longer than its free gap a spacer measures
    "thrust": "N",  # measured at the tailstock as it was set for the cut
    "hole": "um",  # place of a center hole on the end face, found less wanted
    "center": "um",  # indicator on the cone of the live center, the spindle turned
    "test bar": "um",  # how far its right end stands away from the tool, held on the centers
    "yield": "um",  # how far a center gives way to a pull of 200 N, square to the bed
    "warmth": "delta_degC",  # of the work over the shop as it is measured, with a thermometer
    "warmth at cut": "delta_degC",  # at the last cut, by hand and remembered
}
AT_ENDS = ("hole", "yield")  # kinds whose place names an end
OF = " of "  # between place and crank, as lesson 12's form keeps readings
STATES = ("", "cold", "cleaned", "again")
PLACE = re.compile(r"(main|pin|throw)s?\s*(\d+)?\s*(left|right)?\s*$", re.IGNORECASE)
SUPPORT = re.compile(
    r"(?:(main|pin)\s*(\d+)?\s*cent(?:er|re)s?|(cent(?:er|re)s)|(vees?)\D*(\d+(?:[.,]\d+)?)?)\D*$",
    re.IGNORECASE,
)
MOST_ROWS = 600
KEPT_SIZES = {
    "allowed": marked("Runout allowed"),
    "division": marked("Division of the dial"),
    "indicator": marked("Indicator's error"),
    "support": marked("Error of the centers"),
    "repeatability": marked("Known scatter"),
}


@dataclass(frozen=True)
class Row:
    """One reading without its value: what, where, at which mark, how the crank was held, and after
    what.

    ``at`` is the distance from the crank's left end [mm], ``angle`` the mark [deg]. ``on`` is
    ("main",), ("pin", index) or ("vees", angle). ``end`` is "left" or "right" for a center hole.
    """

    kind: str
    place: tuple
    at: float = 0.0
    angle: float = 0.0
    on: tuple = ("main",)
    state: str = ""
    end: str = ""

    @property
    def series(self):
        """Rows that share one zero of the dial or gauge."""
        return self.kind, self.place, self.at, self.on, self.state


@dataclass(frozen=True)
class Dial:
    """The dial that a place was read with, as ``fit_runout`` and ``runout_budget`` take it, and the
    runout allowed there; None where it is not known.
    """

    division: Quantity | None = None
    repeatability: Quantity | None = None
    indicator: Quantity | None = None
    support: Quantity | None = None
    allowed: Quantity | None = None


@dataclass(frozen=True)
class Measured:
    """Rows and their values (um, N, delta_degC or a count), sentences on rows that were not read,
    and by place the dial where it was named.
    """

    rows: tuple
    values: np.ndarray = field(compare=False)
    damaged: tuple = ()
    dials: dict = field(default_factory=dict, compare=False)

    def __add__(self, other):
        made(other, Measured, "other")
        return Measured(
            self.rows + other.rows,
            np.concatenate([self.values, other.values]),
            self.damaged + other.damaged,
            self.dials | other.dials,
        )

    def __len__(self):
        return len(self.rows)


def together(parts):
    """All of several measurements as one.

    Basis: derived.
    """
    return sum(several(parts, Measured, "parts"), Measured((), np.zeros(0)))


def place_named(text, crank, name="place"):
    """("main", 0), ("pin", 1) or ("throw", 0) of “main 1”, “pin 2”, “throw 1”, and “left”, “right”
    or nothing.
    """
    found = PLACE.match(str(text).strip())
    if not found:
        raise ValueError(f"{name}: “{text}” is no place; write for example main 1 or pin 1")
    kind, number = found[1].lower(), int(found[2] or 1)
    count = len(crank.journals) if kind == "main" else len(crank.throws)
    if not 1 <= number <= count:
        raise ValueError(f"{name}: there is no {kind} {number}; this crank has {count}")
    return (kind, number - 1), (found[3] or "").lower()


def support_named(text, crank, name="supported on"):
    """How the crank is held, of “main centers”, “pin 1 centers”, “vees” or “vees 60”."""
    found = SUPPORT.match(str(text).strip())
    if not found:
        raise ValueError(
            f"{name}: “{text}” is no support; write main centers, pin 1 centers, or vees 90"
        )
    if found[4]:
        angle = float((found[5] or "90").replace(",", "."))
        if not 30 <= angle <= 170:
            raise ValueError(f"{name}: a vee has 30 to 170 degrees, not {angle:g}")
        return ("vees", angle)
    if (found[1] or "main").lower() == "main":
        return ("main",)
    return ("pin", place_named(f"pin {found[2] or 1}", crank, name)[0][1])


def middle_of(crank, place):
    """Distance of the middle of a main or pin from the crank's left end [mm]."""
    kind = {"main": "journal", "pin": "pin"}[place[0]]
    pieces = crank.segments
    piece = next(one for one in pieces if (one.kind, one.index) == (kind, place[1]))
    return piece.start + piece.length / 2


def checked_row(row, crank):
    """The row, or a sentence on why it cannot be: a place off its piece, a pin not held on its own
    centers.
    """
    if row.state not in STATES:
        raise ValueError(
            f"after: “{row.state}” is not known; write {', '.join(filter(None, STATES))}"
        )
    if row.kind in ("dial", "diameter", "height"):
        if row.place[0] == "throw":
            raise ValueError(f"place: a {row.kind} is taken on a main or a pin, not on a throw")
        kind = {"main": "journal", "pin": "pin"}[row.place[0]]
        piece = next(one for one in crank.segments if (one.kind, one.index) == (kind, row.place[1]))
        if not piece.start - 1e-6 <= row.at <= piece.end + 1e-6:
            at, start, end = (
                as_text(Quantity(size, "mm"), crank.units, 5)
                for size in (row.at, piece.start, piece.end)
            )
            raise ValueError(
                f"at: {at} is not on {row.place[0]} {row.place[1] + 1}, which lies from "
                f"{start.split()[0]} to {end} from the crank's left end"
            )
    if row.kind == "height" and (row.place[0] != "pin" or row.on[0] == "pin"):
        raise ValueError("height: heights are taken over a pin, the crank on main centers or vees")
    if row.kind == "dial" and row.on[0] != "pin" and row.place[0] == "pin":
        raise ValueError(
            "dial: on main centers or vees a pin goes round; write it as kind height, or hold it "
            "on its pin's centers"
        )
    if row.kind == "dial" and row.on[0] == "pin" and row.place[0] != "pin":
        raise ValueError("dial: on a pin's centers read the pins of that axis, not a main")
    if row.kind == "dial" and row.on[0] == "pin" and not _same_axis(crank, row.place[1], row.on[1]):
        raise ValueError(
            f"dial: pin {row.place[1] + 1} does not stand on the centers of pin {row.on[1] + 1}"
        )
    return row


def _same_axis(crank, one, other):
    sizes = [
        throw.radius.m_as("mm") * np.exp(1j * throw.angle.m_as("rad"))
        for throw in (crank.throws[one], crank.throws[other])
    ]
    return abs(sizes[0] - sizes[1]) < 1e-6


def _plain(crank, kind, place, angles, values, at, on, state, unit, shift=0.0):
    """Measured rows of one kind; ``shift`` is a nominal value taken off [unit of the kind]."""
    where, end = place_named(place, made(crank, Crank, "crank"))
    held = support_named(on, crank)
    turn = np.atleast_1d(magnitude(angles, "deg", "angle"))
    numbers = np.atleast_1d(magnitude(values, unit, "value")) - shift
    places = (
        np.full(turn.shape, middle_of(crank, where))
        if at is None
        else np.broadcast_to(np.asarray(magnitude(at, "mm", "at"), float), turn.shape)
    )
    if numbers.shape != turn.shape:
        raise ValueError(f"value: {numbers.size} values at {turn.size} angles; give one each")
    return Measured(
        tuple(
            checked_row(Row(kind, where, float(x), float(mark), held, state, end), crank)
            for x, mark in zip(places, turn, strict=True)
        ),
        numbers.astype(float),
    )


def dial_readings(crank, place, angle, reading, at=None, on="main centers", state=""):
    """Indicator readings over a main, or over a pin on its own centers.

    Parameters
    ----------
    place : str
        “main 1” or “pin 1”.
    angle, reading : Quantity, arrays [angle, length]
    at : Quantity, optional [length]
        From the crank's left end; the middle of the piece by default.
    on : str
        “main centers”, “pin 1 centers”, “vees 90”.
    state : str
        "", "cold", "cleaned" (the centers were), or "again".

    Basis: derived.
    """
    return _plain(crank, "dial", place, angle, reading, at, on, state, "um")


def diameters(crank, place, angle, diameter, at=None, state=""):
    """Diameters of a main or pin at marks and places along it.

    Basis: derived.
    """
    return _plain(crank, "diameter", place, angle, diameter, at, "main centers", state, "um")


def heights(crank, place, angle, height, at, on="vees 90", state=""):
    """Heights over a pin with a mark of the crank upward; all of one set-up share the gauge's zero.

    Basis: derived.
    """
    return _plain(crank, "height", place, angle, height, at, on, state, "um")


def chatter_marks(crank, place, count, spacing=None):
    """Chatter marks in a turn: their count (0 where none are seen), or their spacing around the
    surface.

    Basis: derived; count = circumference over spacing.
    """
    where, _ = place_named(place, made(crank, Crank, "crank"))
    if spacing is not None:
        part = crank.journals[where[1]] if where[0] == "main" else crank.throws[where[1]]
        size = (part.diameter if where[0] == "main" else part.pin_diameter).m_as("mm")
        count = np.pi * size / magnitude(spacing, "mm", "spacing", above=0, one=True)
    if not (np.isfinite(count) and count >= 0):
        raise ValueError(f"count has to be 0 or more marks in a turn, not {count!r}")
    return Measured((Row("marks", where, middle_of(crank, where)),), np.array([float(count)]))


def check_of(crank, kind, place, value, angle=Quantity(0.0, "deg")):
    """A direct check of what may have caused it: “spacer”, “thrust”, “hole”, “center”, “test bar”,
    “yield”, “warmth” or “warmth at cut”.

    Parameters
    ----------
    place : str
        “throw 1” for a spacer, “pin 1 left” or “main right” for a hole, “main left” for a center
        that yields, “main” or “pin 1” for a thrust.
    value : Quantity
    angle : Quantity
        For a hole the direction looked at (mark of the crank); for the center the mark of the work
        that stands there.

    Basis: derived.
    """
    kinds = [one for one in KINDS if one not in ("dial", "diameter", "height", "marks")]
    if kind not in kinds:
        raise ValueError(f"kind must be one of {', '.join(kinds)}, not {kind!r}")
    where, end = place_named(place, made(crank, Crank, "crank"))
    if kind in AT_ENDS and not end:
        raise ValueError(f"place: say which end the {kind} is of, for example {place} left")
    turn = np.atleast_1d(magnitude(angle, "deg", "angle"))
    sizes = np.atleast_1d(magnitude(value, KINDS[kind], "value")).astype(float)
    return Measured(
        tuple(Row(kind, where, angle=float(mark), end=end) for mark in turn),
        np.broadcast_to(sizes, turn.shape).copy(),
    )


def of_crank(entries, name):
    """Entries of a crank by “main 1” or “pin 1”, and the names of those that name no crank.

    - ``entries``: By place as lesson 12's form keeps them, “main 1 of pump”. What an earlier
      edition kept without a crank's name is taken where nothing else is kept of it. Basis: derived.
    """
    parted = [(key.partition(OF), entry) for key, entry in entries.items()]
    named = {place: entry for (place, _, whose), entry in parted if whose == name}
    older = {
        key: entry
        for key, entry in entries.items()
        if re.fullmatch(r"(main|pin) \d+", key) and key not in named
    }
    return {**named, **older}, tuple(older)


def kept_readings(places, crank, folder="."):
    """``Measured`` from the readings that lesson 12's form keeps: its “places”, by main or pin.

    - ``folder``: In which files named by the form lie.

    Places that are no main or pin of the crank, and texts without readings, are named in
    ``damaged``. The form's division, errors and limit go with the readings.

    Basis: derived.
    """
    found = Measured((), np.zeros(0))
    for place, entry in dict(places).items():
        try:
            turn = entry.get("dial_turn", "").strip()
            turn = (
                read_quantity(turn, LENGTH_UNITS, "One turn of the hand", above=0) if turn else None
            )
            read = read_kept(entry, folder, turn)
            sizes = np.atleast_1d(read.reading.m_as("um"))
            taken = np.isfinite(sizes)
            if not taken.any():
                raise ValueError("no readings are kept of it")
            held = entry.get("held", "centers")
            on = f"vees {held}" if held != "centers" else f"{place.split()[0]} centers"
            if held == "centers" and place.startswith("pin"):
                on = f"{place} centers"
            angle = np.atleast_1d(read.angle.m_as("deg"))[taken]
            found += dial_readings(
                crank, place, Quantity(angle, "deg"), Quantity(sizes[taken], "um"), on=on
            )
            dial = _kept_dial(entry, read.finest_step)
            found += Measured((), np.zeros(0), (), {place_named(place, crank)[0]: dial})
        except (OSError, TypeError, ValueError) as error:
            found += Measured((), np.zeros(0), (f"{place}: {error}",))
    return found


def _kept_dial(entry, step):
    """What the form keeps of the dial and the limit; the step of the readings where no division
    is.
    """
    sizes = {}
    for name, label in KEPT_SIZES.items():
        text = entry.get(name, "").strip()
        sizes[name] = read_quantity(text, LENGTH_UNITS, _(label), above=0) if text else None
    return Dial(**sizes | {"division": sizes["division"] or step})
