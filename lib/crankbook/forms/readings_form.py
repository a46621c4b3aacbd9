"""A form for the reader's own indicator readings: type, paste or name a file; see what was
understood, the picture and the verdict.
"""

import warnings

import numpy as np
import pint
import traitlets

from crankmath import inspection
from crankmath.inspection import readings, uncertainty
from crankmath.inspection.diagnosis.measured import KEPT_SIZES
from crankmath.inspection.reading_lines import MOST_IN_LINE
from crankmath.language import _
from crankmath.typed import read_quantity
from crankmath.units import OutOfRangeWarning, Quantity, as_text

from ..lesson import progress
from ..lesson.kernel_link import Linked, script
from ..lesson.pictures import png_address
from . import my_readings
from .readings_words import drift_sentences, form_picture, in_a_vee, on_centers

LENGTHS = ("um", "mm", "thousandth", "in")
CHOICES = {
    "source": {"typed": _("typed or pasted here"), "file": _("in a file")},
    "layout": {
        "pairs": _("an angle and a reading"),
        "equal": _("a reading only, equal steps"),
        "closing": _("a reading only, equal steps, the first mark again at the end"),
    },
    "unit": {"mm": "mm", "um": "µm", "in": "in", "thousandth": "thou"},
    "held": {
        "centers": _("on centers"),
        **{f"{angle}": _("in a {angle}° vee").format(angle=angle) for angle in (60, 90, 108, 120)},
    },
}
SIZES = {"dial_turn": _("One turn of the hand")} | {
    name: _(label) for name, label in KEPT_SIZES.items()
}
VERDICTS = {
    "in": _("it lies inside with its whole uncertainty"),
    "out": _("it lies outside with its whole uncertainty"),
    "cannot tell": _("its uncertainty reaches over the limit: measure better or correct the part"),
}
MOST_ROWS = 300  # shown; all lines count
TRAVEL = Quantity(25.0, "mm")  # no usual dial indicator travels farther: common practice, no source


class ReadingsForm(Linked):
    """Fields for the readings of one place, their echo line by line, the picture and the verdict.

    ``readings`` is what was understood, ``fit`` the runout (or None), ``verdict`` "in", "out",
    "cannot tell" or "".
    All that is typed is kept in the reader's folder at once and comes back when the form is opened
    again.
    """

    _esm = script(__file__, ".js")
    _css = script(__file__, ".css")
    spec = traitlets.Dict().tag(sync=True)
    picture = traitlets.Dict().tag(sync=True)

    def __init__(self, place=""):
        super().__init__()
        self.drawn = None, ""
        self._open(place)

    def receive(self, message):
        """Act on a message of the page; whatever happens, the page gets an answer."""
        kind = message.get("type")
        if kind == "edit":
            self.set(message["field"], message["text"])
        elif kind == "place":
            self._open(message["name"])
        elif kind == "again":
            self._judge()

    def set(self, field, text):
        """Type into a field from a cell: ``form.set("text", "0 0.01 mm")``; returns the sentence of
        the form.
        """
        if field not in self.entry:
            raise ValueError(
                _("this form has no field “{field}”; it has {entry}").format(
                    field=field, entry=", ".join(self.entry)
                )
            )
        if field in CHOICES and text not in CHOICES[field]:
            raise ValueError(
                _("{field} must be one of {choices}, not “{text}”").format(
                    field=field, choices=", ".join(CHOICES[field]), text=text
                )
            )
        text = (
            str(text).encode("utf-8", "replace").decode("utf-8")
        )  # half a character would not reach the page
        if self.entry[field] != text:
            self.entry[field] = text
            self.kept = my_readings.save(self.place, self.entry)
            self.places = my_readings.places()
        self._judge()
        return self.sentence

    def _open(self, place):
        self.place, self.entry, self.kept = my_readings.load(place)
        self.places = my_readings.places()
        for field, words in CHOICES.items():
            if self.entry[field] not in words:  # a file that was changed by hand
                self.entry[field] = my_readings.FIELDS[field]
        self._judge(fresh=True)

    def _judge(self, fresh=False):
        """Read everything again and send the page what it holds."""
        self.problems, self.fit, self.verdict, self.cautions = {}, None, "", []
        sizes = {name: self._size(name) for name in SIZES}
        self.readings = self._understood(sizes["dial_turn"])
        self.sentence = self._finding(sizes)
        self._draw()
        lines = self.readings.lines if self.readings and self.readings.text.strip() else ()
        self.spec = {
            "place": self.place,
            "places": list(self.places),
            "entry": self.entry,
            "problems": self.problems,
            "fresh": fresh,
            "choices": {name: list(words.items()) for name, words in CHOICES.items()},
            "kept": self.kept,
            "lines": [
                [line.number, line.text[:MOST_IN_LINE], line.kind, line.answer]
                for line in self._rows(lines)
            ],
            "more": max(0, len(lines) - MOST_ROWS),
            "count": self.readings.count if lines else "",
            "verdict": self.verdict,
            "sentence": self.sentence,
            "cautions": self.cautions,
            "projector": bool(progress.read()["projector"]),
        }

    def _rows(self, lines):
        """Lines the page shows: all of a short set; of a long one, first those that a person has to
        look at.
        """
        if len(lines) <= MOST_ROWS:
            return lines
        odd = [line for line in lines if line.kind in readings.TROUBLE][:MOST_ROWS]
        rest = [line for line in lines if line.kind not in readings.TROUBLE][: MOST_ROWS - len(odd)]
        return sorted([*odd, *rest], key=lambda line: line.number)

    def _size(self, name):
        """Quantity of a field that may stay empty; a wrong one is answered at the field."""
        text = self.entry[name].strip()
        if not text:
            return None
        try:
            return read_quantity(text, LENGTHS, SIZES[name], above=0)
        except (TypeError, ValueError, pint.DimensionalityError) as error:
            self.problems[name] = str(error)
            return None

    def _understood(self, dial_turn):
        field = "file" if self.entry["source"] == "file" else "text"
        if field == "file" and not self.entry["file"].strip():
            self.problems["file"] = _("Write the path of a text or CSV file.")
            return None
        try:
            return readings.read_kept(self.entry, progress.folder(), dial_turn)
        except (OSError, ValueError) as error:  # ValueError: also a path with a zero byte
            self.problems[field] = str(error)
            return None

    def _finding(self, sizes):
        """The sentences under the form; sets fit, verdict and cautions."""
        if self.readings is None or not np.isfinite(self.readings.reading.magnitude).any():
            return _(
                "No readings yet. Write an angle and a reading on each line, for example 30 0.012."
            )
        division = sizes["division"] or self.readings.finest_step
        apart = np.ptp(self.readings.reading[np.isfinite(self.readings.reading.magnitude)])
        if apart > TRAVEL:
            return _(
                "The readings differ by {apart}, more than a dial travels: is “Numbers without a "
                "unit are” right?"
            ).format(apart=as_text(apart, self.readings.unit, 3))
        try:
            with warnings.catch_warnings(record=True) as few:
                warnings.simplefilter("always", OutOfRangeWarning)
                self.fit = inspection.fit_runout(
                    self.readings.angle,
                    self.readings.reading,
                    repeatability=sizes["repeatability"],
                    division=division,
                )
        except ValueError as error:
            return _("No fit yet: {error}.").format(error=error)
        self.cautions = [str(one.message).removeprefix("fit_runout: ") for one in few]
        placed = self.readings.placed
        self.cautions += [
            _(
                "line {number} stands out more than chance explains: look at it again. It still "
                "counts."
            ).format(number=placed[number].number)
            for number in self.fit.outliers
        ]
        if self.readings.refused:
            numbers = ", ".join(str(line.number) for line in self.readings.refused[:9])
            self.cautions.append(
                _("what stands on line {numbers} is not counted until it can be read.").format(
                    numbers=numbers
                )
            )
        unit = self.shown_in
        if sizes["division"] is None and division is not None:
            self.cautions.append(
                _(
                    "the dial's division is taken as {division}, the finest step in the readings: "
                    "write the dial's own."
                ).format(division=as_text(division, unit, 3))
            )
        self.cautions += drift_sentences(self.fit, self.readings, unit)
        in_vee = self.entry["held"] != "centers"
        if sizes["allowed"] is not None and not self.problems:
            self.verdict = inspection.runout_verdict(
                self.fit, sizes["allowed"], sizes["indicator"], sizes["support"], in_vee
            ).word
        if in_vee:
            return in_a_vee(self.fit, Quantity(float(self.entry["held"]), "deg"), unit)
        if self.fit.swing_expanded is None:
            if self.fit.degrees_of_freedom:
                return _(
                    "The readings fit exactly; that does not prove that they have no scatter. "
                    "Write the dial's division, and take more readings on a finer dial."
                )
            return _(
                "As many unknowns as readings: nothing is left to tell how sure they are. Take "
                "more readings, or write a known scatter."
            )
        whole = inspection.runout_budget(self.fit, sizes["indicator"], sizes["support"])
        told = _("Runout {with_uncertainty}").format(
            with_uncertainty=uncertainty.with_uncertainty(whole.value, whole.expanded, unit)
        )
        if sizes["indicator"] is None:
            self.cautions.append(
                _("the indicator's own error is not counted: write it, for example 3 um.")
            )
        if self.fit.within_division:
            told += _("; all readings lie within one division of the dial, {division}").format(
                division=as_text(division, unit, 3)
            )
        found = on_centers(self.fit, unit, my_readings.unread(self.place))
        if self.problems:
            return _(
                "{told}. Correct what the fields point out and the verdict follows. {found}"
            ).format(told=told, found=found)
        if sizes["allowed"] is None:
            return _("{told}. Write what is allowed and the verdict follows. {found}").format(
                told=told, found=found
            )
        told += _(", allowed {allowed}").format(allowed=as_text(sizes["allowed"], unit, 3))
        if self.fit.few_marks:
            return _("{told}: too few marks to tell, lobes may hide between them. {found}").format(
                told=told, found=found
            )
        finer = inspection.telling_division(sizes["allowed"])
        if self.verdict == "cannot tell" and division is not None and division > finer:
            self.cautions.append(
                _(
                    "the dial is coarse for this limit: read one with divisions of {finer} or "
                    "finer."
                ).format(finer=as_text(finer, unit, 3))
            )
        return f"{told}: {VERDICTS[self.verdict]}. {found}"

    @property
    def shown_in(self):
        """Unit of results: µm for metric readings, thou for inch ones."""
        return "um" if self.readings.unit in ("mm", "um", "cm") else "thousandth"

    def _draw(self):
        """A new picture where the fit is new; a new sentence under the old one where only the
        judging is.
        """
        if self.fit is None:
            self.picture = {}
            return
        fitted = (
            self.readings.angle.magnitude.tobytes(),
            self.readings.reading.magnitude.tobytes(),
            self.readings.unit,
            str(self.fit.division),
            self.entry["held"],
            bool(self.fit.found),
        )
        if self.drawn[0] != fitted:
            vee = None if self.entry["held"] == "centers" else float(self.entry["held"])
            self.drawn = (
                fitted,
                png_address(form_picture(self.fit, self.readings, vee, self.shown_in)),
            )
        self.picture = {"address": self.drawn[1], "alt": self.sentence}
