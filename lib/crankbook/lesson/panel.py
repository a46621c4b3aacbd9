"""The live panel: controls on one side, a tested sum on the other, a picture that follows at once.

The background of the picture (axes, labels, whatever does not move) is drawn once
by matplotlib; the moving parts travel as coordinates and are drawn by the browser.
"""

from dataclasses import dataclass

import anywidget
import numpy as np
import pint
import traitlets

from crankmath.typed import read_quantity
from crankmath.units import Quantity, as_text

from ..pictures.scene import shades
from . import progress
from .kernel_link import script
from .pictures import png_address


@dataclass(frozen=True)
class Control:
    """One input: its name in the sum, its label, and per unit system (unit, low, high, step)."""

    name: str
    label: str
    mm: tuple
    inch: tuple
    value: Quantity
    also: tuple = ()

    def scale(self, units):
        return self.mm if units == "mm" else self.inch

    @property
    def allowed(self):
        return (self.mm[0], self.inch[0], *self.also)

    def read(self, number, units):
        """The value a slider sends."""
        return Quantity(float(number), self.scale(units)[0])

    def shown(self, value, units):
        """What the page shows of a value."""
        size = value.m_as(self.scale(units)[0])
        return {"value": size, "text": as_text(Quantity(size, self.scale(units)[0]), digits=4)}

    def spec(self, units):
        return dict(zip(("low", "high", "step"), self.scale(units)[1:], strict=True))


@dataclass(frozen=True)
class Choice:
    """One input that is a word out of a list."""

    name: str
    label: str
    options: tuple
    value: str

    def read(self, word, units):
        """The word a list sends."""
        if word not in self.options:
            raise ValueError(
                f"{self.label} has no choice “{word}”; choose {', '.join(self.options)}"
            )
        return word

    def shown(self, value, units):
        """What the page shows of a value."""
        return {"value": value, "text": value}

    def spec(self, units):
        return {"options": list(self.options)}


class Panel(anywidget.AnyWidget):
    """Sliders with text twins, lists, presets, reset, hold, units, projector; one sum, one picture.

    ``answer(units, **values)`` returns (items, sentence): what moves and what it means.
    ``paper(units, projector)`` returns a matplotlib figure: what does not move.
    A ``stage`` panel is for a class: projector size, all on one screen, keys 1 to 9 for presets and H to hold;
    ``vote`` is (question, answers) for a show of hands beside the picture.
    """

    _esm = script(__file__, ".js")
    _css = script(__file__, ".css")
    spec = traitlets.Dict().tag(sync=True)
    frame = traitlets.Dict().tag(sync=True)
    ahead = traitlets.Dict().tag(sync=True)
    background = traitlets.Dict().tag(sync=True)

    def __init__(self, controls, answer, paper, presets=None, stage=False, vote=()):
        super().__init__()
        self.controls = {control.name: control for control in controls}
        self.answer, self.paper, self.presets = answer, paper, presets or {}
        self.values = {control.name: control.value for control in controls}
        stored = progress.read()
        self.stage, self.vote = stage, vote
        self.units, self.projector = stored["units"], stored["projector"] or stage
        self.count = 0
        self.on_msg(lambda _, content, __: self.receive(content))
        self._lay_out()

    def receive(self, message):
        """Act on a message of the page; whatever happens, the page gets an answer."""
        kind = message.get("type")
        if kind == "set":
            for name, sent in message["values"].items():
                self.values[name] = self.controls[name].read(sent, self.units)
            self._draw(settled=False)
        elif kind == "ahead":
            self._draw_ahead(message)
        elif kind == "type":
            self.type_in(message["name"], message["text"])
        elif kind == "preset":
            self.values.update(self.presets[message["name"]])
            self._draw()
        elif kind == "reset":
            self.values = {name: control.value for name, control in self.controls.items()}
            self._draw()
        elif kind == "units":
            self.units = "in" if self.units == "mm" else "mm"
            progress.write("units", None, self.units)
            self._lay_out()
        elif kind == "projector":
            self.projector = not self.projector
            progress.write("projector", None, self.projector)
            self._lay_out()

    def set(self, **quantities):
        """Move controls from a cell: ``panel.set(diameter=Quantity(25, "mm"))``."""
        unknown = set(quantities) - set(self.controls)
        if unknown:
            raise ValueError(
                f"this panel has no control “{unknown.pop()}”; it has {', '.join(self.controls)}"
            )
        for name, quantity in quantities.items():
            self.type_in(name, quantity)

    def type_in(self, name, text):
        """Take a typed value; a wrong one is answered in words and the old one stays."""
        control = self.controls[name]
        try:
            if isinstance(control, Choice):
                self.values[name] = control.read(text, self.units)
                return self._draw()
            quantity = read_quantity(text, control.allowed, control.label)
            unit, low, high, _ = control.scale(self.units)
            size = quantity.m_as(unit)
            if not low * (1 - 1e-9) <= size <= high * (1 + 1e-9):
                raise ValueError(
                    f"{control.label}: {as_text(quantity)} is outside this panel; write a value from "
                    f"{as_text(Quantity(low, unit))} to {as_text(Quantity(high, unit))}"
                )
        except (TypeError, ValueError, pint.DimensionalityError) as error:
            self._draw(problem=str(error), typed=name)
            return
        self.values[name] = quantity
        self._draw()

    def _shown(self, values):
        return {
            name: control.shown(values[name], self.units) for name, control in self.controls.items()
        }

    def _lay_out(self):
        figure = self.paper(self.units, self.projector)
        figure.canvas.draw()
        width, height = (float(side) for side in figure.get_size_inches() * 100)
        shown = self._shown(self.values)
        self.spec = {
            "id": self.model_id or "panel",
            "units": self.units,
            "projector": self.projector,
            "stage": self.stage,
            "vote": list(self.vote),
            "presets": list(self.presets),
            "shades": shades().tobytes(),
            "controls": [
                {"name": name, "label": control.label, **shown[name], **control.spec(self.units)}
                for name, control in self.controls.items()
            ],
        }
        boxes = [axes.get_position() for axes in figure.axes]
        inside = [
            {
                "x": box.x0 * width,
                "y": (1 - box.y1) * height,
                "width": box.width * width,
                "height": box.height * height,
            }
            for box in boxes
        ]
        self.to_page = [axes.transData.frozen().transform for axes in figure.axes]
        self.dots, self.height = figure.dpi / 100, height
        self.background = {
            "address": png_address(figure, dpi=200),
            "width": width,
            "height": height,
            "inside": inside,
        }
        self._draw()

    def _draw(self, settled=True, problem="", typed=""):
        self.count += 1
        try:
            self.items, self.sentence = self.answer(self.units, **self.values)
        except (TypeError, ValueError, pint.DimensionalityError) as error:
            problem = problem or str(error)
        self.problem = problem
        self.frame = {
            **self._page(getattr(self, "items", []), getattr(self, "sentence", ""), self.values),
            "problem": problem,
            "typed": typed,
            "settled": settled,
            "count": self.count,
        }

    def _draw_ahead(self, message):
        """The picture one step further, for the page to keep until the slider gets there."""
        self.count += 1
        values = dict(self.values)
        try:
            for name, sent in message["values"].items():
                values[name] = self.controls[name].read(sent, self.units)
            page = self._page(*self.answer(self.units, **values), values)
        except (TypeError, ValueError, pint.DimensionalityError):
            page = {"items": None}  # the step itself will say what is wrong
        self.ahead = {
            **page,
            "key": message["key"],
            "problem": "",
            "typed": "",
            "settled": False,
            "count": self.count,
        }

    def _page(self, items, sentence, values):
        """What the browser draws."""
        return {
            "items": [self._on_page(item) for item in items],
            "readout": sentence,
            "alt": sentence,
            "values": self._shown(values),
        }

    def _on_page(self, item):
        """A plots.Curve, Point, Note or Shading in picture coordinates."""
        points = self.to_page[item.axes](item.points()) / self.dots
        points[:, 1] = self.height - points[:, 1]
        scale = 1.7 if self.projector else 1.0
        drawn = {"kind": item.kind, "axes": item.axes}
        if item.kind == "shading":
            mirror = self.height - self.to_page[item.axes]((0, item.mirror))[1] / self.dots
            return {
                **drawn,
                "points": points.astype(np.float32).tobytes(),
                "value": item.value.astype(np.float32).tobytes(),
                "triangles": item.triangles.astype(np.uint16).tobytes(),
                "low": item.low,
                "high": item.high,
                "fringe": item.fringe,
                "mirror": mirror,
            }
        points = points.round(1)
        drawn["color"] = item.color
        if item.kind == "line":
            flat = " ".join(f"{x},{y}" for x, y in points.tolist())
            return {
                **drawn,
                "points": flat,
                "width": item.width * scale,
                "dash": item.dash,
                "fill": item.fill,
            }
        x, y = points[0].tolist()
        if item.kind == "marker":
            return {**drawn, "x": x, "y": y, "size": 6 * scale}
        return {
            **drawn,
            "x": x,
            "y": y - 8,
            "text": item.text,
            "size": 13 * scale,
            "anchor": item.anchor,
        }
