"""The live panel: controls on one side, a tested sum on the other, a picture that follows at once.

The background of the picture (axes, labels, whatever does not move) is drawn once
by matplotlib; the moving parts travel as coordinates and are drawn by the browser.
"""

from dataclasses import dataclass

import numpy as np
import pint
import traitlets
from matplotlib.text import Text

from crankmath.language import _, listed
from crankmath.typed import read_quantity
from crankmath.units import Quantity, as_text

from ..pictures.on_page import Places
from ..pictures.scene import common_scales, shades
from . import progress
from .finding import on_page
from .kernel_link import Linked, script
from .pictures import png_address

LETTERS = {False: 14.5, True: 23.5}  # of a picture at desk size and for a projector
ROUNDED, FAR = 0.02, 0.04  # how far a setting may move for a round number, and for a step at all
REFUSED = (TypeError, ValueError, pint.DimensionalityError)


@dataclass(frozen=True)
class Control:
    """One input: its name in the sum, its label, and per unit system (unit, low, high, step).

    One that ``plays`` gets a button that moves it by itself, by that much a second.
    """

    name: str
    label: str
    mm: tuple
    inch: tuple
    value: Quantity
    also: tuple = ()
    plays: float = 0.0

    def scale(self, units):
        return self.mm if units == "mm" else self.inch

    @property
    def allowed(self):
        return tuple(dict.fromkeys((self.mm[0], self.inch[0], *self.also)))

    def read(self, number, units):
        """The value a slider sends."""
        return Quantity(float(number), self.scale(units)[0])

    def offered(self, value, units):
        """A setting that the panel offers, round in its units: in inches the step of the slider
        that has fewest digits and lies within 2 %, else the nearest within 4 %.

        One that is no step of the metric slider was worked out, and stays.
        """
        (metric, least, _high, stride), (unit, low, high, step) = self.mm, self.scale(units)
        place, size = (value.m_as(metric) - least) / stride, value.m_as(unit)
        if unit == metric or abs(place - round(place)) > 1e-6:
            return value
        steps = (low + step * np.arange(round((high - low) / step) + 1)).round(9)
        apart = np.abs(steps - size)
        near = apart <= ROUNDED * abs(size) + 1e-9
        if near.any():
            pairs = zip(steps[near].tolist(), apart[near], strict=True)
            size = min(pairs, key=lambda one: (len(f"{one[0]:.9f}".strip("-0.")), one[1]))[0]
        elif apart.min() <= FAR * abs(size):
            size = float(steps[apart.argmin()])
        return Quantity(size, unit)

    def of_chosen(self, value, _present):
        """What a preset sets it to."""
        return value

    def typed(self, text, units):
        """The value a person typed, or a sentence that says what to write."""
        unit, low, high = self.scale(units)[:3]
        usual = Quantity(self.offered(self.value, units).m_as(unit), unit)
        quantity = read_quantity(text, self.allowed, self.label, example=usual)
        if not low * (1 - 1e-9) <= quantity.m_as(unit) <= high * (1 + 1e-9):
            raise ValueError(
                _(
                    "{label}: {size} is outside this panel; write a value from {low} to {high}"
                ).format(
                    label=self.label,
                    size=as_text(quantity),
                    low=as_text(Quantity(low, unit)),
                    high=as_text(Quantity(high, unit)),
                )
            )
        return quantity

    def shown(self, value, units):
        """What the page shows of a value."""
        size = value.m_as(self.scale(units)[0])
        return {"value": size, "text": as_text(Quantity(size, self.scale(units)[0]), digits=4)}

    def spec(self, units):
        scale = dict(zip(("low", "high", "step"), self.scale(units)[1:], strict=True))
        return scale | {"plays": self.plays}


@dataclass(frozen=True)
class Count(Control):
    """One input that counts: a whole number without a unit, its scale in "dimensionless"."""

    def typed(self, text, units):
        """The number a person typed, or a sentence that says what to write."""
        unit = self.mm[0]
        try:
            found = super().typed(f"{text} {unit}" if isinstance(text, str) else text, units)
        except REFUSED as error:
            raise ValueError(str(error).replace(f" {unit}", "")) from None
        return Quantity(float(round(found.m_as(unit))), unit)


@dataclass(frozen=True)
class Choice:
    """One input that is a word out of a list.

    In one ``of_crank`` each word is a crank, a comma and a kind; a preset then sets the kind alone,
    unless it is of another crank than the list begins with.
    """

    name: str
    label: str
    options: tuple
    value: str
    of_crank: bool = False

    def of_chosen(self, word, present):
        """What a preset sets it to: the kind for the crank chosen, else that crank's last kind."""
        crank, _comma, kind = word.rpartition(", ")
        if not self.of_crank or crank != self.value.rpartition(", ")[0]:
            return word
        chosen = present.rpartition(", ")[0]
        known = [one for one in self.options if one.rpartition(", ")[0] == chosen]
        wanted = f"{chosen}, {kind}"
        return wanted if wanted in known else known[-1]

    def read(self, word, units):
        """The word a list sends."""
        if word not in self.options:
            raise ValueError(
                _("{label} has no choice “{word}”; choose {options}").format(
                    label=self.label, word=word, options=", ".join(self.options)
                )
            )
        return word

    typed = offered = read

    def shown(self, value, units):
        """What the page shows of a value."""
        return {"value": value, "text": listed(value)}

    def spec(self, units):
        return {"options": list(self.options), "said": [listed(one) for one in self.options]}


class Panel(Linked):
    """Sliders with text twins, lists, presets, reset, hold, units, projector; one sum, one picture.

    ``answer(units, **values)`` returns (items, finding): what moves and what it means, as a
    :class:`Finding` or a sentence. ``paper(units, projector)`` returns a figure of what stays.
    A ``stage`` panel is for a class: projector size, all on one screen, keys 1 to 9 for presets
    and H to hold; ``vote`` is (question, answers) for a show of hands beside the picture.
    What is held is kept as values and drawn to the scale of the picture beside it.
    """

    _esm = script(__file__, ".js", "space", "motion")
    _css = script(__file__, ".css")
    spec = traitlets.Dict().tag(sync=True)
    frame = traitlets.Dict().tag(sync=True)
    ahead = traitlets.Dict().tag(sync=True)
    held = traitlets.Dict().tag(sync=True)
    background = traitlets.Dict().tag(sync=True)

    def __init__(self, controls, answer, paper, presets=None, stage=False, vote=()):
        super().__init__()
        self.controls = {control.name: control for control in controls}
        self.answer, self.paper, self.presets = answer, paper, presets or {}
        stored = progress.read()
        self.stage, self.vote = stage, vote
        self.units, self.projector = stored["units"], stored["projector"] or stage
        self.values, self.chosen = {}, {}
        self.choose({control.name: control.value for control in controls})
        self.count, self.items, self.sentence = 0, [], ""
        self.held_values, self.held_scales, self.shared_scales = None, {}, {}
        self._lay_out()

    def receive(self, message):
        """Act on a message of the page."""
        kind = message.get("type")
        if kind == "set":
            for name, sent in message["values"].items():
                self.values[name] = self.controls[name].read(sent, self.units)
                self.chosen.pop(name, None)
            self._draw(settled=False)
        elif kind == "ahead":
            self._draw_ahead(message)
        elif kind == "type":
            self.type_in(message["name"], message["text"])
        elif kind == "preset":
            wanted = self.presets[message["name"]]
            self.choose(
                {
                    name: self.controls[name].of_chosen(value, self.values[name])
                    for name, value in wanted.items()
                }
            )
            self._draw()
        elif kind == "reset":
            self.choose({name: control.value for name, control in self.controls.items()})
            self._draw()
        elif kind == "hold":
            self.hold()
        elif kind == "release":
            self.release()
        elif kind == "units":
            self.units = "in" if self.units == "mm" else "mm"
            progress.write("units", None, self.units)
            self.choose(self.chosen)  # what the reader set is converted
            self._lay_out()
        elif kind == "projector":
            self.projector = not self.projector
            progress.write("projector", None, self.projector)
            self._lay_out()

    def choose(self, values):
        """Set what the panel offers, each round in its units for as long as nobody moves it."""
        self.chosen |= values
        for name, value in values.items():
            self.values[name] = self.controls[name].offered(value, self.units)

    def hold(self):
        """Keep the present values, to be drawn in gray beside those that follow."""
        self.held_values = dict(self.values)
        self._draw_held()
        self._draw()

    def release(self):
        """Let go of what is held."""
        self.held_values, self.held_scales, self.held = None, {}, {}
        self._draw()

    def set(self, **quantities):
        """Move controls from a cell: ``panel.set(diameter=Quantity(25, "mm"))``."""
        unknown = set(quantities) - set(self.controls)
        if unknown:
            raise ValueError(
                _("this panel has no control “{pop}”; it has {controls}").format(
                    pop=unknown.pop(), controls=", ".join(self.controls)
                )
            )
        for name, quantity in quantities.items():
            self.type_in(name, quantity)

    def type_in(self, name, text):
        """Take a typed value; a wrong one is answered in words and the old one stays."""
        control = self.controls[name]
        try:
            self.values[name] = control.typed(text, self.units)
        except REFUSED as error:
            return self._draw(problem=str(error), typed=name)
        self.chosen.pop(name, None)
        self._draw()

    def _shown(self, values):
        return {
            name: control.shown(values[name], self.units) for name, control in self.controls.items()
        }

    def _lay_out(self):
        figure = self.paper(self.units, self.projector)
        least = LETTERS[self.projector] * 0.72  # points; on a narrow page the picture stops there
        for text in figure.findobj(Text):
            text.set_fontsize(max(text.get_fontsize(), least))
        figure.canvas.draw()
        width, height = (float(side) for side in figure.get_size_inches() * 100)
        shown = self._shown(self.values)
        self.spec = {
            "id": self.model_id or "panel",
            "units": self.units,
            "projector": self.projector,
            "letters": LETTERS[self.projector],
            "stage": self.stage,
            "vote": list(self.vote),
            "presets": list(self.presets),
            "shades": shades().tobytes(),
            "words": self.words,
            "controls": [
                {"name": name, "label": control.label, **shown[name], **control.spec(self.units)}
                for name, control in self.controls.items()
            ],
        }

        def log(axis):
            return axis.get_scale() == "log"

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
        self.places = Places(figure, LETTERS[self.projector], 1.7 if self.projector else 1.0)
        self.background = {
            "address": png_address(figure, dpi=200),
            "width": width,
            "height": height,
            "inside": inside,
            "scales": [
                {"x": [*axes.get_xlim(), log(axes.xaxis)], "y": [*axes.get_ylim(), log(axes.yaxis)]}
                for axes in figure.axes
            ],
        }
        self._draw_held()
        self._draw()

    def _answered(self, values, scales):
        """Items and finding; the scales that the picture chose are added to ``scales``."""
        with common_scales(scales):
            return self.answer(self.units, **values)

    def _draw_held(self, scales=None):
        """What is held, drawn to the scales of the picture beside it or to its own."""
        if self.held_values is None:
            return
        self.shared_scales = {} if scales is None else scales
        try:
            items, finding = self._answered(self.held_values, self.shared_scales)
        except REFUSED:  # its crank's file is gone: what was drawn stays
            return
        if scales is None:
            self.held_scales = dict(self.shared_scales)
        said = on_page(finding)
        text = " ".join(filter(None, (said["headline"], said["verdict"])))
        self.held = {"items": [self.places.drawn(item) for item in items], "text": text}

    def _draw(self, settled=True, problem="", typed=""):
        self.count += 1
        scales, stale = dict(self.held_scales), False
        try:
            self.items, self.sentence = self._answered(self.values, scales)
            if scales != self.shared_scales:
                self._draw_held(scales)
        except REFUSED as error:
            problem = problem or str(error)
            stale = not typed
        self.problem = problem
        page = self._page(self.items, self.sentence, self.values)
        self.frame = page | {
            "problem": problem,
            "stale": stale,
            "typed": typed,
            "settled": settled,
            "count": self.count,
        }

    def _draw_ahead(self, message):
        """The picture one step further, for the page to keep until the slider gets there."""
        self.count += 1
        values, scales = dict(self.values), dict(self.held_scales)
        try:
            for name, sent in message["values"].items():
                values[name] = self.controls[name].read(sent, self.units)
            page = self._page(*self._answered(values, scales), values)
        except REFUSED:
            page = {"items": None}  # the step itself will say what is wrong
        if self.held and scales != self.shared_scales:
            page = {"items": None}  # the held picture changes with it
        more = {"problem": "", "typed": "", "settled": False, "count": self.count}
        self.ahead = {**page, **more, "key": message["key"]}

    def _page(self, items, finding, values):
        """What the browser draws."""
        return {
            "items": [self.places.drawn(item) for item in items],
            "readout": str(finding),
            "finding": on_page(finding),
            "alt": str(finding),
            "values": self._shown(values),
        }
