"""States of a panel worked out beforehand: a grid over its controls, and its presets.

Each different part of the pictures is kept once.
"""

import base64
import gzip
import json
from itertools import product
from math import ceil, prod

import numpy as np

from crankmath.units import Quantity, as_text

from ..lesson.panel import Choice
from ..pictures import scene

LEAST = 3  # places of a slider
PLAYED = 10  # of one that moves by itself
DOTS = 20  # a shading's corners are kept to 1/20 of a unit of the picture
TYPED = {  # how people write a unit that a field takes
    "in": ("in", "inch", "inches", '"', "″", "”"),
    "thousandth": ("thousandth", "thou", "mil", "mils"),
    "um": ("um", "µm", "μm", "micron", "microns"),
    "m/min": ("m/min",),
    "ft/min": ("ft/min", "fpm"),
    "rpm": ("rpm", "rev/min", "r/min", "1/min"),
    "deg": ("deg", "°"),
    "delta_degC": ("°C", "C", "K", "degC"),
    "delta_degF": ("°F", "F", "degF"),
    "degC": ("°C", "C", "degC"),
    "percent": ("percent", "%"),
    "MPa": ("MPa", "N/mm2", "N/mm²"),
    "N*m": ("N*m", "N m", "Nm", "N·m"),
}


def axes(controls, states):
    """Values of each control; at most ``states`` in all, unless words and fewest places exceed it.

    A slider stops at even steps, each a whole number of its own steps, and where it begins; one
    that moves by itself chooses first.
    """
    lists = prod(len(control.options) for control in controls if isinstance(control, Choice))
    sliders = [control for control in controls if not isinstance(control, Choice)]
    sliders.sort(key=lambda control: (not control.plays, _steps(control)))
    places = {}
    for left, control in zip(range(len(sliders), 0, -1), sliders, strict=True):
        share = (states / lists / prod(map(len, places.values()))) ** (1 / left)
        least = PLAYED if control.plays else LEAST
        places[control.name] = _places(control, max(least, int(share)))
    return {
        control.name: list(control.options)
        if isinstance(control, Choice)
        else [Quantity(float(size), control.mm[0]) for size in places[control.name]]
        for control in controls
    }


def _steps(control):
    _, low, high, step = control.mm
    return round((high - low) / step)


def _places(control, most):
    """At most ``most`` even places of a slider, in its metric unit, one of them where it begins."""
    unit, low, high, step = control.mm
    begin = control.value.m_as(unit)
    below, above = (int(side / step + 1e-9) for side in (begin - low, high - begin))

    def count(stride):
        return below // stride + above // stride + 1

    least, widest = (max(1, ceil((below + above) / gaps)) for gaps in (most + 1, most - 1))
    strides = [stride for stride in range(least, widest + 1) if count(stride) <= most]
    stride = max(strides, key=lambda one: (count(one), one))
    return begin + step * stride * np.arange(-(below // stride), above // stride + 1)


class Pool:
    """Different things, each with the number it was first met under."""

    def __init__(self):
        self.numbers = {}

    def number(self, thing):
        """The thing's number."""
        return self.numbers.setdefault(thing, len(self.numbers))

    def __len__(self):
        return len(self.numbers)


class Recorder:
    """Takes the states of a panel into pools, in both systems, calling ``progress(done, of)``."""

    def __init__(self, panel, grid, progress=lambda done, of: None):
        self.panel, self.grid, self.progress = panel, grid, progress
        self.items, self.words, self.refusals, self.blobs = Pool(), Pool(), Pool(), Pool()
        self.refusals.number("")
        self.scales = {}
        asked = panel.answer

        def answer(units, **values):
            self.scales = {}
            with scene.common_scales(self.scales):
                return asked(units, **values)

        panel.answer = answer

    def stored(self):
        """What a page holds: (words for JSON, bytes)."""
        panel, grid = self.panel, self.grid
        begin = {name: control.value for name, control in panel.controls.items()}
        presets = {name: begin | values for name, values in panel.presets.items()}
        presets[""] = begin  # as the page opens: round in inches too, where a grid's place is not
        states = [*(dict(zip(grid, place, strict=True)) for place in product(*grid.values()))]
        size = len(states)
        first, systems = panel.units, {}
        for number in range(2):
            offered = [self._offered(values, panel.units) for values in presets.values()]
            systems[panel.units] = self._system(states + offered, number)
            panel.receive({"type": "units"})
        words = {
            "first": first,
            "start": size + len(presets) - 1,
            "gridSize": size,
            "units": systems,
            "axes": [self._axis(control) for control in panel.controls.values()],
            "presets": list(presets),
            "presetValues": [
                {
                    name: self._both(panel.controls[name], value, True)
                    for name, value in values.items()
                }
                for values in presets.values()
            ],
            "items": [json.loads(item) for item in self.items.numbers],
            "words": list(self.words.numbers),
            "refusals": list(self.refusals.numbers),
        }
        words["blobs"], raw = self._bytes()
        return words, raw

    def _system(self, states, number):
        panel, columns, rest, refused = self.panel, [], [], []
        for place, values in enumerate(states):
            panel.values = dict(values)
            panel.receive({"type": "set", "values": {}})
            frame = panel.frame
            refused.append(self.refusals.number(frame["problem"]))
            drawn = [] if frame["problem"] else frame["items"]
            columns.append([self._item(item) for item in drawn])
            rest.append(self.words.number(self._rest(frame)))
            self.progress(number * len(states) + place + 1, 2 * len(states))
        most = max(map(len, columns))
        table = np.full((most, len(states)), -1, np.int32)
        for place, numbers in enumerate(columns):
            table[: len(numbers), place] = numbers
        kept = {key: value for key, value in panel.spec.items() if key != "controls"}
        kept["shades"] = {"blob": self._blob(np.frombuffer(kept["shades"], np.uint8))}
        return {
            "spec": kept,
            "background": panel.background,
            "columns": [self._blob(column) for column in table],
            "rest": self._blob(np.array(rest, np.int32)),
            "refused": self._blob(np.array(refused, np.int32)),
        }

    def _rest(self, frame):
        """What a page shows of a state beside picture and values."""
        apart = ("items", "values", "problem", "typed", "settled", "count")
        kept = {key: value for key, value in frame.items() if key not in apart}
        return json.dumps(kept | {"scales": self.scales}, ensure_ascii=False, sort_keys=True)

    def _item(self, item):
        if item["kind"] == "shading":
            points = np.frombuffer(item["points"], np.float32).astype(float)
            value = np.frombuffer(item["value"], np.float32).astype(float)
            step = float(np.ptp(value)) / 65535 or 1.0
            whole = ((value - value.min()) / step).round().astype(np.uint16)
            edge = np.clip((points * DOTS).round(), -32767, 32767).astype(np.int16)
            item = item | {
                "points": {"blob": self._blob(edge), "step": 1 / DOTS, "least": 0},
                "value": {"blob": self._blob(whole), "step": step, "least": float(value.min())},
                "triangles": {"blob": self._blob(np.frombuffer(item["triangles"], np.uint16))},
            }
        elif item["kind"] == "space":
            sizes = {name: np.frombuffer(item[name], np.float32) for name in ("rings", "rows")}
            item = item | {name: {"blob": self._blob(size)} for name, size in sizes.items()}
        return self.items.number(json.dumps(item, ensure_ascii=False))

    def _blob(self, array):
        return self.blobs.number((array.dtype.name, array.tobytes()))

    def _bytes(self):
        """Each array's (start, length, kind), and all bytes, each begun at a multiple of four."""
        places, parts, start = [], [], 0
        for kind, raw in self.blobs.numbers:
            padded = raw + bytes(-len(raw) % 4)
            places.append([start, len(raw) // np.dtype(kind).itemsize, kind])
            parts.append(padded)
            start += len(padded)
        return places, b"".join(parts)

    def _offered(self, values, units):
        return {name: self.panel.controls[name].offered(one, units) for name, one in values.items()}

    def _both(self, control, value, offered=False):
        return {
            units: control.shown(control.offered(value, units) if offered else value, units)
            for units in ("mm", "in")
        }

    def _axis(self, control):
        shown = [self._both(control, value) for value in self.grid[control.name]]
        about = {
            "name": control.name,
            "label": control.label,
            "size": len(shown),
            "words": isinstance(control, Choice),
            "shown": {units: [each[units] for each in shown] for units in ("mm", "in")},
        }
        if not about["words"]:
            about["plays"] = control.plays
            about["scales"] = {units: _scales(control, units) for units in ("mm", "in")}
        return about


def _scales(control, units):
    """What one of each unit, as people write it, is in the unit shown."""
    wanted, found = control.scale(units)[0], {}
    for unit in control.allowed:
        size = Quantity(1.0, unit).m_as(wanted) if unit != wanted else 1.0
        shown = as_text(Quantity(1.0, unit)).partition(" ")[2]
        for word in (unit, shown, *TYPED.get(unit, ())):
            found[word] = size
    return found


def packed(words, raw):
    """The two parts of a page as text: gzip, then base64."""
    text = json.dumps(words, ensure_ascii=False, separators=(",", ":")).encode()
    return tuple(base64.b64encode(gzip.compress(part, 9, mtime=0)).decode() for part in (text, raw))
