"""Places on the crank where something was measured, and how each reading follows from the state of
the work there.

The state of the work is a plain vector in um: at every station the axis off its nominal place,
toward 0 and toward 90 degrees, two and three lobes of the surface (cosine and sine part), and the
diameter off nominal; after these what has no place along the crank (lift of a vee, misfit of a
spacer, a hole's place).
"""

from functools import cached_property

import numpy as np

from ...vee_blocks import _vee_response
from ..measured import middle_of

PER_STATION = 7
LOBES = (2, 3)
DIAMETER = 6


class Stations:
    """Stations of some rows. Arrays run over the stations; ``number`` finds one by its key."""

    def __init__(self, crank, rows):
        self.crank, self.rows = crank, tuple(rows)
        self.keys = {}
        for row in self.rows:
            if row.kind in ("dial", "diameter", "height", "axis"):
                self._add(row.place, row.at, row.on, row.state)
            if row.on[0] == "vees" and row.kind in ("dial", "height"):
                for place in vee_mains(crank):
                    self._add(place, middle_of(crank, place), row.on, row.state)
        keys = list(self.keys)
        self.main = np.array([key[0][0] == "main" for key in keys], bool)
        self.index = np.array([key[0][1] for key in keys], int)
        self.x = np.array([key[1] for key in keys], float)
        self.on = [key[2] for key in keys]
        self.state = [key[3] for key in keys]
        self.length = crank.segments[-1].end
        self.share = self.x / max(self.length, 1e-9)
        self.extras = {
            name: PER_STATION * len(keys) + place for place, name in enumerate(_extras(crank))
        }
        self.size = PER_STATION * len(keys) + len(self.extras)

    def _add(self, place, at, on, state):
        return self.keys.setdefault((place, round(float(at), 6), on, state), len(self.keys))

    def number(self, place, at, on, state):
        """Number of the station with that key."""
        return self.keys[place, round(float(at), 6), on, state]

    @cached_property
    def on_main_centers(self):
        """Which stations were read with the crank on its main centers."""
        return np.array([on[0] == "main" for on in self.on], bool)

    def vector(self, axis=None, lobes=None, diameter=None, **extras):
        """State vector of arrays over the stations (complex for axis and lobes, by number) and of
        extras by name.
        """
        state = np.zeros(self.size)
        table = state[: PER_STATION * len(self.keys)].reshape(-1, PER_STATION)
        if axis is not None:
            table[:, 0], table[:, 1] = np.real(axis), np.imag(axis)
        for order, wave in (lobes or {}).items():
            table[:, 2 * order - 2], table[:, 2 * order - 1] = np.real(wave), np.imag(wave)
        if diameter is not None:
            table[:, DIAMETER] = diameter
        for name, value in extras.items():
            state[self.extras[name]] = value
        return state

    def matrix(self, angles=None):
        """What each row reads for a unit of each entry of the state; ``angles`` [deg] in place of
        the rows' own.
        """
        if angles is None:
            return self._plain_matrix
        return self._matrix(angles)

    @cached_property
    def _plain_matrix(self):
        return self._matrix([row.angle for row in self.rows])

    def _matrix(self, angles):
        turns = np.radians(angles)
        found = np.zeros((len(self.rows), self.size))
        for number, (row, turn) in enumerate(zip(self.rows, turns, strict=True)):
            self._fill(found[number], row, turn)
        return found

    def _fill(self, line, row, turn):
        if row.kind in ("dial", "height"):
            here = PER_STATION * self.number(row.place, row.at, row.on, row.state)
            line[here : here + 2] += np.cos(turn), np.sin(turn)
            for order in LOBES:
                line[here + 2 * order - 2 : here + 2 * order] += _wave(order, turn)
            if row.kind == "height":
                line[here + DIAMETER] += 0.5
            if row.on[0] == "vees":
                self._rest(line, row, turn)
        elif row.kind == "diameter":
            here = PER_STATION * self.number(row.place, row.at, row.on, row.state)
            line[here + DIAMETER] += 1.0
            line[here + 2 : here + 4] += 2 * _wave(2, turn)  # three lobes have the same diameter
        elif row.kind == "axis":  # of no gauge: where the axis truly is
            here = PER_STATION * self.number(row.place, row.at, row.on, row.state)
            line[here : here + 2] += np.cos(turn), np.sin(turn)
        elif row.kind in ("hole", "center"):
            name = "center" if row.kind == "center" else f"hole {_named(row.place)} {row.end}"
            line[self.extras[f"{name} y"]] += np.cos(turn)
            line[self.extras[f"{name} z"]] += np.sin(turn)
        elif row.kind in ("spacer", "thrust"):
            line[self.extras[f"{row.kind} {_named(row.place)}"]] += 1.0
        elif row.kind == "yield":
            line[self.extras[f"yield {row.end}"]] += 1.0
        elif row.kind in ("warmth", "warmth at cut", "test bar"):
            line[self.extras[row.kind]] += 1.0

    def _rest(self, line, row, turn):
        """What the mains in their vees do to a reading: the crank rests on their surfaces, not on
        its axis.
        """
        mains = vee_mains(self.crank)
        places = [middle_of(self.crank, place) for place in mains]
        far = (row.at - places[0]) / (places[1] - places[0])
        for side, (place, share) in enumerate(zip(mains, (1 - far, far), strict=True)):
            there = PER_STATION * self.number(
                place, middle_of(self.crank, place), row.on, row.state
            )
            line[there : there + 2] -= share * np.array([np.cos(turn), np.sin(turn)])
            for order in LOBES:
                rises = float(_vee_response(order, np.radians(row.on[1])).real) - 1
                line[there + 2 * order - 2 : there + 2 * order] += (
                    share * rises * _wave(order, turn)
                )
                for part, wave in zip("yz", _wave(order, turn), strict=True):
                    line[self.extras[f"seat {side} {order} {part}"]] += share * wave
            if row.kind == "height":
                line[self.extras[f"lift {side}"]] += share


def _wave(order, turn):
    return np.array([np.cos(order * turn), np.sin(order * turn)])


def _named(place):
    return f"{place[0]} {place[1]}"


def vee_mains(crank):
    """The mains that lie in the vees: the outer two."""
    return ("main", 0), ("main", len(crank.journals) - 1)


def _extras(crank):
    yield from ("lift 0", "lift 1", "warmth", "warmth at cut", "center y", "center z")
    yield from ("test bar", "yield left", "yield right")
    for side in (0, 1):
        for order in LOBES:
            yield from (f"seat {side} {order} {part}" for part in "yz")
    for main in range(len(crank.journals)):
        yield f"thrust main {main}"
        yield from (f"hole main {main} {end} {part}" for end in ("left", "right") for part in "yz")
    for throw in range(len(crank.throws)):
        yield from (f"spacer throw {throw}", f"thrust pin {throw}")
        yield from (f"hole pin {throw} {end} {part}" for end in ("left", "right") for part in "yz")


def throw_vectors(crank):
    """Places of the pins about the main axis, complex [mm], 0 degrees along the real axis."""
    return np.array([throw.radius * np.exp(1j * throw.angle) for throw in crank.plain.throws])


def pin_axes(pins):
    """First pin of each axis that pins share, by the places of all."""
    return [throw for throw, pin in enumerate(pins) if not np.isclose(pins[:throw], pin).any()]


def nominal(crank, rows, angles=None):
    """What rows would read on a perfect crank but for the gauge's zero [um]: diameters, and heights
    as the pin goes round.
    """
    sizes, pins = crank.plain, throw_vectors(crank)
    turns = np.radians([row.angle for row in rows] if angles is None else angles)
    found = np.zeros(len(rows))
    for number, (row, turn) in enumerate(zip(rows, turns, strict=True)):
        if row.kind not in ("diameter", "height"):
            continue
        size = (
            sizes.journals[row.place[1]].diameter
            if row.place[0] == "main"
            else sizes.throws[row.place[1]].pin_diameter
        )
        found[number] = 1e3 * size
        if row.kind == "height":
            found[number] = 1e3 * (np.real(pins[row.place[1]] * np.exp(-1j * turn)) + size / 2)
    return found
