"""The causes that are weighed: what each leaves in the readings, for sizes that could have
happened.

A cause is a mixture of Gaussian components: a log-normal size in cells of equal chance for one with
a known direction, two rings for one whose direction is free. Chances and sizes stand in
``data/causes.csv``.
"""

from collections import Counter
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from .likelihoods import cells
from .noticed import CHATTER_NOTICED, Notice, drawn
from .stations import LOBES, pin_axes, vee_mains
from .traces import HALF, usual_bow

RINGS = (
    (0.4, -0.6),
    (0.45, 0.5),
    (0.15, 1.5),
)  # chance of each ring, and its width as a power of the spread
LOBE_SHARE = (
    0.35  # of a worn center's error that each number of lobes has: common practice, no source
)
# chance of each size of chatter, and its power of the spread: cells of a normal number
CHATTER_SIZES = (0.36, -1.0), (0.47, 0.3), (0.17, 1.6)
DOG_ASIDE = 0.25  # of a dog's pull, where its mark is known, that may stand across
LEAST_BOW = 5.0  # um
SHORT, SHORT_SPREAD = (
    50.0,
    0.5,
)  # um, and share: how short a spacer is that bears nothing: own choice
SECOND_FAULT = 0.2  # chance that a crank with a fault that is noticed has another: own choice
UNNOTICED = 0.0005  # share left to what nobody would notice: own choice
RARELY = 0.02  # share noticed below which a cause counts for less on this crank: own choice
MARKS_SEEN, MARKS_ELSEWHERE = 0.9, 0.01  # chance to see marks with chatter and without


class Component(NamedTuple):
    """Gaussian part of a hypothesis: mean and columns of readings for unit normal numbers, and of
    the size they mean. ``share`` of it would be noticed; ``seen`` means noticed whatever the
    readings are.
    """

    hypothesis: int
    weight: float
    mean: np.ndarray
    columns: np.ndarray
    size: complex
    size_columns: np.ndarray
    seen: bool = False
    share: float = 1.0


@dataclass(frozen=True)
class Hypothesis:
    """One cause at one place. ``directed`` where its size has a free direction; ``detail`` is the
    variant's own number.
    """

    cause: str
    where: str
    label: str
    chance: float
    unit: str
    directed: bool = False
    detail: tuple = field(default=(), compare=False)


class Catalog:
    """All hypotheses for a crank and rows, and their components."""

    def __init__(self, traces, rows, table, measured=None):
        self.traces, self.rows, self.table = traces, rows, table
        self.measured = rows[:measured]  # rows that may have been spoiled in the measuring
        self.crank, self.making = traces.crank, traces.making
        self.matrix = traces.stations.matrix()
        self.hypotheses, self.components = [], []
        self._squeezes()
        self._centers()
        self._warmth_and_stress()
        self._cutting()
        self._measuring()
        self._noticed()

    def _noticed(self):
        """Weigh each component by the share of it that would be noticed: the chances of the table
        are those of faults that were.
        """
        self.notice = Notice(self.measured, self.making.allowed_runout.m_as("um"))
        shares = [
            self.notice.of_sizes(part, drawn(part.columns.shape[1])).mean() + UNNOTICED
            for part in self.components
        ]
        causes = [self.hypotheses[part.hypothesis].cause for part in self.components]
        places, whole = Counter(one.cause for one in self.hypotheses), Counter()
        for cause, part, share in zip(causes, self.components, shares, strict=True):
            whole[cause] += part.weight * share / places[cause]
        self.components = [
            part._replace(weight=part.weight * share / (whole[cause] + RARELY), share=share)
            for cause, part, share in zip(causes, self.components, shares, strict=True)
        ]

    # ways of adding a hypothesis

    def _new(self, cause, where="", place="", directed=False, parts=1, unit=None, detail=()):
        row = self.table[cause]
        self.hypotheses.append(
            Hypothesis(
                cause,
                where,
                row.label.format(place=place or where),
                row.chance / parts,
                unit or row.unit,
                directed,
                detail,
            )
        )
        return len(self.hypotheses) - 1

    def _along(self, number, states, sizes, signs=(1,), aside=()):
        """A size of known direction: ``states(size)`` may bend; each cell is straight between its
        ends. ``aside`` are states that vary beside it.
        """
        beside = [self.matrix @ one for one in aside]
        for sign in signs:
            for middle, half, chance in zip(*sizes, strict=True):
                middle, half = sign * middle, sign * half
                high, low = states(middle + half), states(middle - half)
                column = (high - low) / (2 * np.sqrt(3))
                self.components.append(
                    Component(
                        number,
                        chance / len(signs),
                        self.matrix @ ((high + low) / 2),
                        np.stack([self.matrix @ column, *beside], axis=1),
                        complex(middle),
                        np.array([half / np.sqrt(3), *(0.0 for _ in beside)], complex),
                    )
                )

    def _around(self, number, waves, row, others=(), size_of=2, median=None):
        """A size of free direction; ``waves`` are the two states of a unit size toward 0 and 90
        degrees.
        """
        units = [self.matrix @ wave for wave in waves]
        for chance, power in RINGS:
            scale = (
                (median or row.median) * row.spread**power / np.sqrt(2 * np.log(2))
            )  # a ring's median size
            columns = [scale * unit for unit in units] + [
                scale * self.matrix @ other for other in others
            ]
            sizes = np.zeros(len(columns), complex)
            sizes[:size_of] = [scale, 1j * scale][:size_of]
            self.components.append(
                Component(
                    number, chance, np.zeros(len(self.rows)), np.stack(columns, axis=1), 0j, sizes
                )
            )

    def _in_rows(self, number, columns, chance=1.0, size=0.0, seen=False):
        """Columns of readings that follow from no state of the work."""
        self.components.append(
            Component(
                number,
                chance,
                np.zeros(len(self.rows)),
                columns,
                complex(size),
                np.zeros(columns.shape[1], complex),
                seen,
            )
        )

    # the causes

    def _squeezes(self):
        traces, thrust = self.traces, self.making.thrust.m_as("N")
        usual = traces.squeezed(thrust, {})
        throws = [spacer.throw for spacer in self.making.spacers]
        for throw in throws:
            name = f"throw {throw + 1}"
            row = self.table["spacer too long"]
            number = self._new("spacer too long", name, parts=len(throws), detail=(throw,))
            self._along(
                number,
                lambda size, throw=throw: traces.squeezed(thrust, {throw: size}) - usual,
                cells(row.median, row.spread),
            )
            row = self.table["spacer loose"]
            number = self._new("spacer loose", name, parts=len(throws), unit="N", detail=(throw,))
            out = traces.squeezed(thrust, {throw: None}) - usual
            short = traces.stations.vector(**{f"spacer throw {throw}": SHORT})
            self._along(
                number,
                lambda size, out=out, short=short: out * size / thrust - short,
                cells(row.median * thrust, row.spread),
                aside=(SHORT_SPREAD * short,),
            )
        row = self.table["thrust too high"]
        number = self._new("thrust too high", unit="N")
        self._along(
            number,
            lambda size: traces.squeezed(size, {}) - usual,
            cells(row.median * thrust, row.spread),
        )
        row, thrust = self.table["pin thrust too high"], self.making.pin_thrust.m_as("N")
        for throw in range(len(self.crank.throws)):
            number = self._new(
                "pin thrust too high",
                f"pin {throw + 1}",
                parts=len(self.crank.throws),
                unit="N",
                detail=(throw,),
            )
            unit = traces.pin_squeezed(throw, 1.0)
            self._along(
                number,
                lambda size, unit=unit, thrust=thrust: unit * (size - thrust),
                cells(row.median * thrust, row.spread),
            )

    def _centers(self):
        traces, row = self.traces, self.table["center out of place"]
        pins = traces.pins
        groups = [("pin", throw) for throw in pin_axes(pins)]
        groups += [("main", 0)] if len(groups) > 1 else []
        for place in groups:
            for end in ("left", "right"):
                name = f"{place[0]} {place[1] + 1}" if place[0] == "pin" else "the mains"
                number = self._new(
                    "center out of place",
                    f"{name} {end}",
                    f"{name} at the {end} end",
                    True,
                    2 * len(groups),
                    detail=(place, end),
                )
                self._around(number, [traces.hole(place, end, part) for part in (1.0, 1j)], row)
        if len(groups) > 1:  # with one pin axis it is that pin's center across, nothing else
            row, turn = self.table["ends turned"], np.radians(1.0)
            number = self._new("ends turned")
            self._along(
                number,
                lambda size: traces.end_turned(size * turn),
                cells(row.median, row.spread),
                (1, -1),
            )
        row = self.table["tailstock set over"]
        number = self._new("tailstock set over")
        self._along(number, traces.set_over, cells(row.median, row.spread), (1, -1))
        for cause, during in (("center worn at cut", "cut"), ("center worn now", "now")):
            row = self.table[cause]
            for end in ("left", "right"):
                number = self._new(cause, end, directed=True, parts=2, detail=(end,))
                lobes = [
                    traces.center_off(end, 0.0, **{part: LOBE_SHARE * size}, during=during)
                    for part in ("two", "three")
                    for size in (1.0, 1j)
                ]
                waves = [traces.center_off(end, size, during=during) for size in (1.0, 1j)]
                self._around(number, waves, row, lobes)
        row, still = self.table["live center"], np.zeros(len(pins))
        number = self._new("live center", directed=True)
        others = [
            traces.live_center(0.0, part * np.eye(len(pins))[throw])
            for throw in range(len(pins))
            for part in (1.0, 1j)
        ]
        self._around(number, [traces.live_center(size, still) for size in (1.0, 1j)], row, others)

    def _warmth_and_stress(self):
        traces = self.traces
        for cause, states in (
            ("warm when cut", traces.warm_cut),
            ("warm when measured", traces.warm_now),
        ):
            row = self.table[cause]
            self._along(self._new(cause), states, cells(row.median, row.spread))
        row = self.table["stress released"]
        for throw, usual in enumerate(usual_bow(self.crank)):
            number = self._new(
                "stress released",
                f"throw {throw + 1}",
                directed=True,
                parts=len(self.crank.throws),
                unit="um",
                detail=(throw,),
            )
            self._around(
                number,
                [traces.bowed(throw, size) for size in (1.0, 1j)],
                row,
                median=max(row.median * usual, LEAST_BOW),
            )

    def _cutting(self):
        traces = self.traces
        for cause, soft, barrel in (
            ("uneven stiffness", False, False),
            ("push-off barrel", False, True),
            ("push-off hourglass", True, True),
        ):
            row, unit = self.table[cause], traces.pushed(1.0, soft, barrel)
            held = traces.yielding((HALF if soft else -HALF) * barrel)
            self._along(
                self._new(cause),
                lambda size, unit=unit, held=held: unit * size + held,
                cells(row.median, row.spread),
            )
        row = self.table["dog pulls"]
        number = self._new("dog pulls", directed=True)
        mark = self.making.dog_angle
        if mark is None:
            self._around(number, [traces.dog(size) for size in (1.0, 1j)], row)
        else:  # the driver pushes the tail along the turn: square to the line to it
            toward = 1j * np.exp(1j * mark.m_as("rad"))
            along = self.matrix @ traces.dog(toward)
            aside = self.matrix @ traces.dog(1j * toward)
            for middle, half, chance in zip(*cells(row.median, row.spread), strict=True):
                wide = half / np.sqrt(3)
                self.components.append(
                    Component(
                        number,
                        chance,
                        middle * along,
                        np.stack([wide * along, DOG_ASIDE * middle * aside], axis=1),
                        middle * toward,
                        np.array([wide * toward, 1j * DOG_ASIDE * middle * toward]),
                    )
                )
        row = self.table["chatter"]
        places = sorted({one.place for one in self.measured if one.kind in ("dial", "diameter")})
        for place in places:
            name = f"{place[0]} {place[1] + 1}"
            number = self._new("chatter", name, parts=len(places), detail=(place,))
            hit = [
                line
                for line, one in enumerate(self.rows)
                if one.place == place and one.kind in ("dial", "diameter")
            ]
            for chance, power in CHATTER_SIZES:
                scale = row.median * row.spread**power
                columns = np.zeros((len(self.rows), len(hit)))
                columns[hit, np.arange(len(hit))] = scale
                self._in_rows(number, columns, chance, scale, scale > CHATTER_NOTICED)

    def _measuring(self):
        stations, row = self.traces.stations, self.table["seat or vee"]
        if any(one.on[0] == "vees" for one in self.measured):
            for side, place in enumerate(vee_mains(self.crank)):
                number = self._new("seat or vee", f"main {place[1] + 1}", parts=2, detail=(side,))
                lobes = [
                    LOBE_SHARE * stations.vector(**{f"seat {side} {order} {part}": 1.0})
                    for order in LOBES
                    for part in "yz"
                ]
                lift = stations.vector(**{f"lift {side}": 1.0})
                self._around(number, [lift], row, lobes, size_of=1)
        row, places = self.table["dial slip"], {}
        for line, one in enumerate(self.measured):
            if one.kind == "dial":
                places.setdefault(one.place, {}).setdefault(one.series, []).append(line)
        for place, series in places.items():
            name = f"{place[0]} {place[1] + 1}"
            number = self._new("dial slip", name, parts=len(places), detail=(place,))
            steps = [lines[at:] for lines in series.values() for at in range(2, len(lines) - 1)]
            for after in steps:
                columns = np.zeros((len(self.rows), 1))
                columns[after, 0] = row.median * row.spread
                self._in_rows(number, columns, 1 / len(steps))
                last = self.components[-1]
                self.components[-1] = last._replace(
                    size_columns=np.array([row.median * row.spread], complex)
                )


def marks_weight(hypothesis, rows, values):
    """Log of how likely the chatter marks seen (or not) are under a hypothesis."""
    total = 0.0
    for row, value in zip(rows, values, strict=True):
        if row.kind == "marks":
            here = hypothesis.cause == "chatter" and hypothesis.detail[0] == row.place
            seen = MARKS_SEEN if here else MARKS_ELSEWHERE
            total += np.log(seen if value > 0 else 1 - seen)
    return total
