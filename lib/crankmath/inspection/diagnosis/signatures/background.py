"""What every crank and every measurement has: small errors of all kinds, the gauge's zero and
scatter.

Each number is a standard deviation. Common practice, no source; change them with ``replace``.
"""

from dataclasses import dataclass, replace

import numpy as np

from .stations import LOBES, pin_axes, throw_vectors
from .traces import usual_bow


@dataclass(frozen=True)
class Everyday:
    """Ordinary errors (um, or as named) that need no cause."""

    dial: float = 2.3
    micrometer: float = 3.5
    height_gauge: float = 11.0
    spacer_check: float = 3.0
    thrust_check: float = 0.12  # share
    hole_check: float = 15.0
    bar_check: float = 3.0
    yield_check: float = 1.0
    warmth_check: float = 2.0  # degC, with a thermometer
    warmth_felt: float = 6.0  # degC, by hand and remembered
    size_aimed: float = 6.0  # of each main and pin
    taper: float = 1.5  # of each piece, from end to end
    lobes: float = 1.0
    center: float = 1.5  # of each center, at the cut and at the measuring
    misfit: float = 2.0
    thrust: float = 0.25  # of its logarithm
    hole: float = 12.0
    end_turned: float = 0.03  # deg
    set_over: float = 3.0
    warmth: float = 2.0  # degC
    bow: float = 0.12  # share of the usual one
    force: float = 25.0  # N
    yielding: float = 0.3  # of soft centers' way; half of it where nothing is known of them
    vee: float = 4.0
    seat: float = 1.0
    dial_mark: float = 2.0  # deg, of each mark brought under the dial
    dial_zero_mark: float = 2.5  # deg, of the first mark of a set-up
    mark: float = 0.25  # deg, of the crank set to a mark under the height gauge

    def widened(self, factor):
        """All of them larger by a factor."""
        return replace(self, **{name: factor * size for name, size in self.__dict__.items()})


def zero_columns(rows, crank):
    """Columns of what is free in a set-up: the gauge's zero, the mark set by hand (um and um for a
    degree).
    """
    found = []

    def add(hit, size):
        column = np.zeros(len(rows))
        for line in hit:
            column[line] = size(line) if callable(size) else size
        found.append(column)

    series, setups, marks = {}, {}, {}
    for line, row in enumerate(rows):
        if row.kind in ("dial", "center"):
            series.setdefault(row.series, []).append(line)
        elif row.kind == "height":
            setups.setdefault((row.on, row.state), []).append(line)
            marks.setdefault((row.on, row.state, round(row.angle % 360, 3)), []).append(line)
    for hit in (*series.values(), *setups.values()):
        add(hit, 1000.0)
    pins = throw_vectors(crank)

    def per_degree(line):
        row = rows[line]
        there = pins[row.place[1]] * np.exp(-1j * np.radians(row.angle))
        return 1e3 * np.radians(1.0) * there.imag

    zeros = len(found)
    for hit in marks.values():
        add(hit, per_degree)
    return np.array(found).reshape(len(found), len(rows)).T, zeros


def everyday_states(traces, everyday):
    """States by name, one for each ordinary error of the work, of the size of its deviation."""
    stations, crank, making = traces.stations, traces.crank, traces.making
    thrust, pin_thrust = making.thrust.m_as("N"), making.pin_thrust.m_as("N")
    usual, found = traces.squeezed(thrust, {}), {}

    def both(name, state):
        for part, size in (("y", 1.0), ("z", 1j)):
            found[f"{name} {part}"] = state(size)

    # set by feel a thrust scatters by a factor: half of what two deviations up leave
    often = (np.exp(2 * everyday.thrust) - 1) / 2
    found["thrust"] = (traces.squeezed(thrust * (1 + 2 * often), {}) - usual) / 2
    for spacer in making.spacers:
        high, low = (
            traces.squeezed(thrust, {spacer.throw: sign * everyday.misfit}) for sign in (1, -1)
        )
        found[f"misfit {spacer.throw}"] = (high - low) / 2
    for throw, bow in enumerate(usual_bow(crank)):
        found[f"pin thrust {throw}"] = often * pin_thrust * traces.pin_squeezed(throw, 1.0)
        both(f"bow {throw}", lambda part, k=throw, b=bow: traces.bowed(k, everyday.bow * b * part))
    for end in ("left", "right"):
        both(f"cut on {end}", lambda part, e=end: traces.center_off(e, everyday.center * part))
        both(
            f"read on {end}",
            lambda part, e=end: traces.center_off(e, everyday.center * part, during="now"),
        )
        for place in [("main", 0)] + [("pin", throw) for throw in pin_axes(traces.pins)]:
            both(
                f"hole {place[0]} {place[1]} {end}",
                lambda part, e=end, p=place: traces.hole(p, e, everyday.hole * part),
            )
    found["ends turned"] = traces.end_turned(np.radians(everyday.end_turned))
    found["set over"] = traces.set_over(everyday.set_over)
    found["warm when cut"] = traces.warm_cut(everyday.warmth) - traces.warm_cut(0.0)
    found["warm when measured"] = traces.warm_now(everyday.warmth)
    found["force"] = everyday.force * traces.pushed(1.0)
    if any(row.kind == "yield" for row in stations.rows):
        found["yielding"] = traces.yielding(everyday.yielding)
    found["force on soft centers"] = everyday.force * traces.pushed(1.0, soft_centers=True)
    for side in (0, 1):
        found[f"lift {side}"] = stations.vector(**{f"lift {side}": everyday.vee})
        for order in LOBES:
            for part in "yz":
                name = f"seat {side} {order} {part}"
                found[name] = stations.vector(**{name: everyday.seat})
    found.update(_of_pieces(stations, everyday))
    for part in "yz":
        found[f"center {part}"] = stations.vector(**{f"center {part}": everyday.center})
    return found


def _of_pieces(stations, everyday):
    """Size, taper and lobes of each main and pin; small errors of a pin on its centers."""
    found = {}
    for kind in ("main", "pin"):
        here = stations.main == (kind == "main")
        for number in np.unique(stations.index[here]):
            hit, name = here & (stations.index == number), f"{kind} {number}"
            along = np.zeros(len(hit))
            along[hit] = stations.x[hit] - stations.x[hit].mean()
            length = max(np.ptp(stations.x[hit]), 1e-9)
            found[f"size {name}"] = stations.vector(diameter=everyday.size_aimed * hit)
            found[f"taper {name}"] = stations.vector(diameter=everyday.taper * along / length)
            for part, unit in (("y", 1.0), ("z", 1j)):
                for order in LOBES:
                    found[f"lobes {order} {name} {part}"] = stations.vector(
                        None, {order: everyday.lobes * unit * hit}
                    )
                if kind == "pin":
                    own = hit & np.array([on[0] == "pin" for on in stations.on], bool)
                    found[f"read on {name} {part}"] = stations.vector(everyday.center * unit * own)
    return found


def scatter(rows, everyday, thrust):
    """Standard deviation of each row's own scatter."""
    sizes = {
        "dial": everyday.dial,
        "center": everyday.dial,
        "diameter": everyday.micrometer,
        "height": everyday.height_gauge,
        "spacer": everyday.spacer_check,
        "thrust": everyday.thrust_check * thrust,
        "hole": everyday.hole_check,
        "test bar": everyday.bar_check,
        "yield": everyday.yield_check,
        "warmth": everyday.warmth_check,
        "warmth at cut": everyday.warmth_felt,
        "marks": 1.0,
        "axis": 0.01,
    }
    return np.array([sizes[row.kind] for row in rows])
