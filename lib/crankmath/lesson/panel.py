"""The live panel: controls on one side, a tested sum on the other, a picture that follows at once.

The background of the picture (axes, labels, whatever does not move) is drawn once
by matplotlib; the moving parts travel as coordinates and are drawn by the browser.
"""

from dataclasses import dataclass
from pathlib import Path

import anywidget
import pint
import traitlets

from ..units import Quantity, as_text, read_quantity
from . import progress
from .show import png_address

HERE = Path(__file__).parent


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


class Panel(anywidget.AnyWidget):
    """Sliders with text twins, presets, reset, hold, units, projector; one sum, one picture.

    ``answer(**quantities)`` returns (items, sentence): what moves and what it means.
    ``paper(units, projector)`` returns a matplotlib figure with one axes: what does not move.
    """

    _esm = HERE / "panel.js"
    _css = HERE / "panel.css"
    spec = traitlets.Dict().tag(sync=True)
    frame = traitlets.Dict().tag(sync=True)
    background = traitlets.Dict().tag(sync=True)

    def __init__(self, controls, answer, paper, presets=None):
        super().__init__()
        self.controls = {control.name: control for control in controls}
        self.answer, self.paper, self.presets = answer, paper, presets or {}
        self.values = {control.name: control.value for control in controls}
        stored = progress.read()
        self.units, self.projector = stored["units"], stored["projector"]
        self.count = 0
        self.on_msg(lambda _, content, __: self.receive(content))
        self._lay_out()

    def receive(self, message):
        """Act on a message of the page; whatever happens, the page gets an answer."""
        kind = message.get("type")
        if kind == "set":
            for name, number in message["values"].items():
                self.values[name] = Quantity(float(number), self.controls[name].scale(self.units)[0])
            self._draw(settled=False)
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
            raise ValueError(f"this panel has no control “{unknown.pop()}”; it has {', '.join(self.controls)}")
        for name, quantity in quantities.items():
            self.type_in(name, quantity)

    def type_in(self, name, text):
        """Take a typed value; a wrong one is answered in words and the old one stays."""
        control = self.controls[name]
        try:
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

    def _shown(self):
        shown = {}
        for name, control in self.controls.items():
            unit = control.scale(self.units)[0]
            size = self.values[name].m_as(unit)
            shown[name] = {"value": size, "text": as_text(Quantity(size, unit), digits=4)}
        return shown

    def _lay_out(self):
        figure = self.paper(self.units, self.projector)
        figure.canvas.draw()
        self.axes = figure.axes[0]
        width, height = (float(side) for side in figure.get_size_inches() * 100)
        shown = self._shown()
        self.spec = {
            "id": self.model_id or "panel", "units": self.units, "projector": self.projector,
            "presets": list(self.presets),
            "controls": [
                {"name": name, "label": control.label, **shown[name],
                 **dict(zip(("low", "high", "step"), control.scale(self.units)[1:], strict=True))}
                for name, control in self.controls.items()
            ],
        }  # fmt: skip
        box = self.axes.get_position()
        inside = {"x": box.x0 * width, "y": (1 - box.y1) * height, "width": box.width * width, "height": box.height * height}
        self.to_page, self.dots, self.height = self.axes.transData.frozen().transform, figure.dpi / 100, height
        self.background = {"address": png_address(figure, dpi=200), "width": width, "height": height, "inside": inside}
        self._draw()

    def _draw(self, settled=True, problem="", typed=""):
        self.count += 1
        try:
            items, self.sentence = self.answer(self.units, **self.values)
            self.items = items
        except (TypeError, ValueError, pint.DimensionalityError) as error:
            problem = problem or str(error)
            items = getattr(self, "items", [])
            self.sentence = getattr(self, "sentence", "")
        self.problem = problem
        self.frame = {
            "items": [self._on_page(item) for item in items], "readout": self.sentence, "alt": self.sentence,
            "problem": problem, "typed": typed, "values": self._shown(), "settled": settled, "count": self.count,
        }  # fmt: skip

    def _on_page(self, item):
        """A plots.Curve, Point or Note in picture coordinates."""
        points = self.to_page(item.points()) / self.dots
        points[:, 1] = self.height - points[:, 1]
        points = points.round(1)
        scale = 1.7 if self.projector else 1.0
        if item.kind == "line":
            flat = " ".join(f"{x},{y}" for x, y in points.tolist())
            return {"kind": "line", "points": flat, "color": item.color, "width": item.width * scale, "dash": item.dash}
        x, y = points[0].tolist()
        if item.kind == "marker":
            return {"kind": "marker", "x": x, "y": y, "color": item.color, "size": 6 * scale}
        return {"kind": "text", "x": x, "y": y - 8, "color": item.color, "text": item.text,
                "size": 13 * scale, "anchor": item.anchor}  # fmt: skip
