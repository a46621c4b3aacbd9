"""Cranks with a hidden fault, and what would be measured on them: for exercises, tests and the
trial of ``find_causes``.

Everything at once through the library's models as they are, with errors the diagnosis does not
assume: marks a little off, scatter with outliers, more lobes than it knows, compliances a few per
cent wrong.
"""

from dataclasses import dataclass, field

import numpy as np

from ...crank import Crank
from ..vee_blocks import _vee_response
from .making import Making
from .measured import Measured
from .signatures.background import Everyday, everyday_states, scatter
from .signatures.causes import LOBE_SHARE, MARKS_ELSEWHERE, MARKS_SEEN, SHORT, SHORT_SPREAD
from .signatures.stations import LOBES, Stations, nominal, vee_mains
from .signatures.traces import HALF, Traces

WIDER = 1.2  # everyday errors of the work against those the diagnosis assumes
SCATTER = (
    0.8  # of single readings against what it assumes; on top come outliers, lobes and rounding
)
HEAVY = 5  # degrees of freedom of the scatter
MARK_ERROR, SERIES_MARK_ERROR = 2.0, 2.6  # deg
COMPLIANCE_ERROR = 0.05
OTHER_LOBES = {4: 0.5, 5: 0.5, 7: 0.3}  # um
ROUNDED = {"dial": 1.0, "center": 1.0, "diameter": 1.0, "height": 10.0}  # um


@dataclass
class Hidden:
    """A crank with hidden faults: (cause, where, size) each; ``measure`` reads rows of it, the same
    crank each time.
    """

    crank: Crank
    making: Making
    faults: tuple
    latent: dict = field(default_factory=dict, repr=False)
    random: np.random.Generator = field(default_factory=np.random.default_rng, repr=False)
    kept: dict = field(default_factory=dict, repr=False)

    def drawn(self, name, draw):
        """A number of this crank, drawn when first asked for."""
        if name not in self.latent:
            self.latent[name] = draw(self.random)
        return self.latent[name]

    def fault(self, cause):
        """Place and size of a fault by its cause, or None."""
        return next((fault[1:] for fault in self.faults if fault[0] == cause), None)

    def traces(self, rows):
        """Traces on the stations of rows, and ordinary errors by name."""
        if rows not in self.kept:
            traces = Traces(self.crank, self.making, Stations(self.crank, rows))
            self.kept[rows] = traces, everyday_states(traces, Everyday())
        return self.kept[rows]

    def state(self, rows, faults=None, ordinary=True):
        """State of the work at the stations of rows, with these faults (its own by default)."""
        traces, everyday = self.traces(rows)
        faults = self.faults if faults is None else faults
        wrong = 1 + self.drawn("compliance", lambda r: COMPLIANCE_ERROR * r.standard_normal())
        misfits = {
            spacer.throw: self._small(f"misfit {spacer.throw}") * Everyday().misfit
            for spacer in self.making.spacers
        }
        thrust = self.making.thrust.m_as("N") * np.exp(self._small("thrust") * Everyday().thrust)
        if not ordinary:
            misfits, thrust = dict.fromkeys(misfits, 0.0), self.making.thrust.m_as("N")
        pins = {}
        for cause, where, size in faults:
            if cause == "spacer too long":
                misfits[where] = size
            elif cause == "spacer loose":
                misfits[where] = None
            elif cause == "thrust too high":
                thrust = size
            elif cause == "pin thrust too high":
                pins[where] = size
        state = wrong * traces.squeezed(thrust, misfits) + traces.yielding(HALF)
        for one in self.making.spacers:
            found = misfits[one.throw]
            if found is None:
                found = -SHORT * abs(1 + SHORT_SPREAD * self._small("short"))
            state[traces.stations.extras[f"spacer throw {one.throw}"]] = found
        for main in range(len(self.crank.journals)):
            state[traces.stations.extras[f"thrust main {main}"]] = thrust
        for throw in range(len(self.crank.throws)):
            usual = self.making.pin_thrust.m_as("N")
            if ordinary:
                usual *= np.exp(self._small(f"pin thrust {throw}") * Everyday().thrust)
            pressed = pins.get(throw, usual)
            part = traces.pin_squeezed(throw, pressed)
            extra = traces.stations.extras[f"thrust pin {throw}"]
            part = wrong * part
            part[extra] = pressed
            state = state + part
        if ordinary:
            for name, column in everyday.items():
                if not name.startswith(("thrust", "misfit", "pin thrust")):
                    state = state + self._small(name) * column
        for fault in faults:
            state = state + self._left(traces, *fault, wrong)
        return state

    def _small(self, name):
        return self.drawn(name, lambda r: WIDER * r.standard_normal())

    def _left(self, traces, cause, where, size, wrong):
        """State that a linear cause adds."""
        stations = traces.stations
        if cause == "center out of place":
            return traces.hole(where[0], where[1], size)
        if cause == "ends turned":
            return traces.end_turned(np.radians(size))
        if cause == "tailstock set over":
            return traces.set_over(size)
        if cause == "warm when cut":
            return traces.warm_cut(size) - traces.warm_cut(0.0)
        if cause == "warm when measured":
            return traces.warm_now(size)
        if cause == "stress released":
            return traces.bowed(where, size)
        if cause in ("uneven stiffness", "push-off barrel", "push-off hourglass"):
            soft, barrel = cause == "push-off hourglass", cause != "uneven stiffness"
            held = traces.yielding((HALF if soft else -HALF) * barrel)
            return wrong * traces.pushed(size, soft, barrel) + held
        if cause in ("center worn at cut", "center worn now"):
            two, three = (
                self.drawn(
                    f"{cause} {order}",
                    lambda r: (
                        LOBE_SHARE * abs(size) * (r.standard_normal() + 1j * r.standard_normal())
                    ),
                )
                for order in LOBES
            )
            during = "cut" if cause.endswith("cut") else "now"
            return traces.center_off(where, size, two, three, during)
        if cause == "live center":
            others = [
                self.drawn(
                    f"live {throw}",
                    lambda r: (
                        abs(size)
                        * np.exp(2j * np.pi * r.random())
                        * 2
                        * abs(np.sin(np.pi * r.random()))
                    ),
                )
                for throw in range(len(self.crank.throws))
            ]
            return traces.live_center(size, others)
        if cause == "dog pulls":
            return wrong * traces.dog(size)
        if cause == "seat or vee":
            waves = {
                f"seat {where} {order} {part}": self.drawn(
                    f"dirt {order} {part}", lambda r: LOBE_SHARE * abs(size) * r.standard_normal()
                )
                for order in LOBES
                for part in "yz"
            }
            return stations.vector(**waves, **{f"lift {where}": size})
        return np.zeros(stations.size)

    def measure(self, rows):
        """What a person reads, rounded as the gauges are."""
        rows, random = tuple(rows), self.random
        traces, _ = self.traces(rows)
        off = MARK_ERROR * random.standard_normal(len(rows))
        series, marks = {}, {}
        for line, row in enumerate(rows):
            if row.kind == "dial":
                off[line] += series.setdefault(
                    row.series, SERIES_MARK_ERROR * random.standard_normal()
                )
            elif row.kind == "height":  # one mark set for all heights of a position
                key = row.on, row.state, round(row.angle % 360, 3)
                off[line] = marks.setdefault(
                    key, WIDER * Everyday().mark * random.standard_normal()
                )
        turns = np.array([row.angle for row in rows]) + off
        values = traces.stations.matrix(turns) @ self.state(rows)
        values += nominal(self.crank, rows, turns)
        values += self._lobes(rows, turns) + self._spoiled(rows)
        own = scatter(rows, Everyday(), self.making.thrust.m_as("N"))
        values += SCATTER * own * random.standard_t(HEAVY, len(rows)) * np.sqrt((HEAVY - 2) / HEAVY)
        zeros = {}
        for line, row in enumerate(rows):
            if row.kind in ("dial", "center", "height"):
                key = row.series if row.kind != "height" else (row.kind, row.on, row.state)
                values[line] += zeros.setdefault(key, 100 * random.standard_normal())
            if step := ROUNDED.get(row.kind):
                values[line] = step * np.round(values[line] / step)
            if row.kind == "marks":
                values[line] = self._marks(row.place)
        return Measured(rows, values)

    def _lobes(self, rows, turns):
        """Lobes beyond two and three, as each support shows them."""
        found = np.zeros(len(rows))
        for line, (row, turn) in enumerate(zip(rows, np.radians(turns), strict=True)):
            if row.kind not in ("dial", "height"):
                continue
            for order, size in OTHER_LOBES.items():

                def wave(place, order=order, size=size):
                    return self.drawn(
                        f"lobes {order} {place}",
                        lambda r: size * (r.standard_normal() + 1j * r.standard_normal()),
                    )

                found[line] += np.real(wave(row.place) * np.exp(-1j * order * turn))
                if row.on[0] == "vees":
                    rises = float(_vee_response(order, np.radians(row.on[1])).real) - 1
                    for main in vee_mains(self.crank):
                        found[line] += (
                            0.5 * rises * np.real(wave(main) * np.exp(-1j * order * turn))
                        )
        return found

    def _spoiled(self, rows):
        """Slips of a dial and the marks of chatter."""
        found = np.zeros(len(rows))
        if slip := self.fault("dial slip"):
            place, size = slip
            lines = [
                line
                for line, row in enumerate(rows)
                if row.kind == "dial" and row.place == place and not row.state
            ]
            # the first series on that place slipped, wherever it was read
            lines = [line for line in lines if rows[line].series == rows[lines[0]].series]
            if len(lines) > 4:
                share = self.drawn("slipped", lambda r: r.random())
                found[lines[2 + int(share * (len(lines) - 4)) :]] += size
        if chatter := self.fault("chatter"):
            place, size = chatter
            hit = [
                line
                for line, row in enumerate(rows)
                if row.place == place and row.kind in ("dial", "diameter")
            ]
            found[hit] += size * self.random.standard_normal(len(hit))
        return found

    def _marks(self, place):
        chatter = self.fault("chatter")
        seen = MARKS_SEEN if chatter and chatter[0] == place else MARKS_ELSEWHERE
        count = self.drawn(
            f"marks {place}", lambda r: float(r.integers(8, 60)) if r.random() < seen else 0.0
        )
        return count
