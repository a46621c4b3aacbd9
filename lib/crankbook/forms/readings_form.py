"""A form for the reader's own indicator readings: type, paste or name a file; see what was
understood, the picture and the verdict.
"""

import warnings
from pathlib import Path

import numpy as np
import pint
import traitlets

from crankmath import inspection
from crankmath.inspection import readings, uncertainty, vee_blocks
from crankmath.inspection.reading_lines import MOST_IN_LINE
from crankmath.typed import read_quantity
from crankmath.units import OutOfRangeWarning, Quantity, as_text

from ..lesson import progress
from ..lesson.kernel_link import Linked, script
from ..lesson.pictures import png_address
from ..pictures import scene
from ..pictures.proving import runout_picture
from . import my_readings

LENGTHS = ("um", "mm", "thousandth", "in")
CHOICES = {
    "source": {"typed": "typed or pasted here", "file": "in a file"},
    "layout": {
        "pairs": "an angle and a reading",
        "equal": "a reading only, equal steps",
        "closing": "a reading only, equal steps, the first mark again at the end",
    },
    "unit": {"mm": "mm", "um": "µm", "in": "in", "thousandth": "thou"},
    "held": {
        "centers": "on centers",
        **{f"{angle}": f"in a {angle}° vee" for angle in (60, 90, 108, 120)},
    },
}
SIZES = {
    "dial_turn": "One turn of the hand",
    "allowed": "Runout allowed",
    "division": "Division of the dial",
    "indicator": "Indicator's error",
    "support": "Error of the centers",
    "repeatability": "Known scatter",
}
VERDICTS = {
    "in": "it lies inside with its whole uncertainty",
    "out": "it lies outside with its whole uncertainty",
    "cannot tell": "its uncertainty reaches over the limit: measure better or correct the part",
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
            raise ValueError(f"this form has no field “{field}”; it has {', '.join(self.entry)}")
        if field in CHOICES and text not in CHOICES[field]:
            raise ValueError(f"{field} must be one of {', '.join(CHOICES[field])}, not “{text}”")
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
        """Read everything anew and send the page what it holds."""
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
        """Lines the page shows: all of a short set, of a long one those first that need a
        person."""
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
        how = {
            "unit": self.entry["unit"],
            "equal_steps": self.entry["layout"] != "pairs",
            "closing": True if self.entry["layout"] == "closing" else None,
            "dial_turn": dial_turn,
        }
        field = "file" if self.entry["source"] == "file" else "text"
        try:
            if field == "text":
                return readings.read_readings(self.entry["text"], **how)
            if not self.entry["file"].strip():
                self.problems["file"] = "Write the path of a text or CSV file."
                return None
            named = Path(self.entry["file"].strip().strip('"'))
            return readings.read_file(
                named if named.is_absolute() else progress.folder() / named, **how
            )
        except (OSError, ValueError) as error:  # ValueError: also a path with a zero byte
            self.problems[field] = str(error)
            return None

    def _finding(self, sizes):
        """The sentences under the form; sets fit, verdict and cautions."""
        if self.readings is None or not np.isfinite(self.readings.reading.magnitude).any():
            return (
                "No readings yet. Write an angle and a reading on each line, for example 30 0.012."
            )
        division = sizes["division"] or self.readings.finest_step
        apart = np.ptp(self.readings.reading[np.isfinite(self.readings.reading.magnitude)])
        if apart > TRAVEL:
            return (
                f"The readings differ by {as_text(apart, self.readings.unit, 3)}, more than a dial "
                "travels: is “Numbers without a unit are” right?"
            )
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
            return f"No fit yet: {error}."
        self.cautions = [str(one.message).removeprefix("fit_runout: ") for one in few]
        placed = self.readings.placed
        self.cautions += [
            f"line {placed[number].number} stands out more than chance explains: look at it "
            "again. It still counts."
            for number in self.fit.outliers
        ]
        if self.readings.refused:
            numbers = ", ".join(str(line.number) for line in self.readings.refused[:9])
            self.cautions.append(
                f"what stands on line {numbers} is not counted until it can be read."
            )
        unit = self.shown_in
        if sizes["division"] is None and division is not None:
            self.cautions.append(
                f"the dial's division is taken as {as_text(division, unit, 3)}, the finest step "
                "in the readings: write the dial's own."
            )
        self.cautions += drift_sentences(self.fit, self.readings, unit)
        judged = sizes["allowed"] is not None and not self.problems
        if self.entry["held"] != "centers":
            self.verdict = "cannot tell" if judged else ""
            return in_a_vee(self.fit, Quantity(float(self.entry["held"]), "deg"), unit)
        if self.fit.swing_expanded is None:
            self.verdict = "cannot tell" if judged else ""
            if self.fit.degrees_of_freedom:
                return (
                    "The readings fit exactly; that does not prove that they have no scatter. "
                    "Write the dial's division, and take more readings on a finer dial."
                )
            return (
                "As many unknowns as readings: nothing is left to tell how sure they are. "
                "Take more readings, or write a known scatter."
            )
        whole = inspection.runout_budget(self.fit, sizes["indicator"], sizes["support"])
        told = f"Runout {uncertainty.with_uncertainty(whole.value, whole.expanded, unit)}"
        if sizes["indicator"] is None:
            self.cautions.append(
                "the indicator's own error is not counted: write it, for example 3 um."
            )
        if self.fit.within_division:
            told += (
                f"; all readings lie within one division of the dial, {as_text(division, unit, 3)}"
            )
        found = on_centers(self.fit, unit)
        if self.problems:
            return f"{told}. Mend what is said at the fields and the verdict follows. {found}"
        if sizes["allowed"] is None:
            return f"{told}. Write what is allowed and the verdict follows. {found}"
        told += f", allowed {as_text(sizes['allowed'], unit, 3)}"
        if few:
            self.verdict = "cannot tell"
            return f"{told}: too few marks to tell, lobes may hide between them. {found}"
        self.verdict = uncertainty.verdict(whole.value, whole.expanded, upper=sizes["allowed"]).word
        finer = inspection.telling_division(sizes["allowed"])
        if self.verdict == "cannot tell" and division is not None and division > finer:
            self.cautions.append(
                f"the dial is coarse for this limit: read one with divisions of "
                f"{as_text(finer, unit, 3)} or finer."
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


def on_centers(fit, unit):
    """Sentences on offset, what to move and how, and form by the lobes that stand out.

    At about equal steps the height of lobes is as uncertain as the offset.
    """
    lobes = {n: size for n, (size, _) in fit.harmonics.items() if n > 1}
    seen = {n: size for n, size in lobes.items() if size > fit.eccentricity_expanded}
    if seen or not lobes:
        return f"{move(fit, unit)} {_lobes(seen, unit)}"
    least = as_text(2 * fit.eccentricity_expanded, unit, 2)
    return f"{move(fit, unit)} No form stands out: lobes of less than {least} would not."


def move(fit, unit):
    """Sentences on an offset between centers: what to move, which way, and how it is done.

    Basis: derived. The high mark shows where the main's own axis lies from the line of centers:
    the centers follow it, or the part moves away from it.
    """
    if not fit.found:
        return "No offset stands out of the scatter: leave the centers where they are."
    offset = uncertainty.with_uncertainty(fit.eccentricity, fit.eccentricity_expanded, unit)
    high, low = (f"{mark.m_as('deg'):.0f}°" for mark in (fit.direction, fit.correction))
    return (
        f"Offset {offset}, high at the {high} mark (± {fit.direction_expanded.m_as('deg'):.0f}°): "
        f"move the centers that far toward the {high} mark, which is the part toward the {low} "
        "mark. "
        f"Scrape the wall of the near center hole at the {high} mark, or take a light cut on these "
        "centers where metal is left."
    )


def drift_sentences(fit, found, unit):
    """What the closing reading says of the dial's drift, or that there is none; a list of 0 or
    1."""
    if fit.drift is None:
        if found.closing_likely:
            return [
                "is the last reading taken at the first mark again? Choose it under “Each line "
                "holds”."
            ]
        return ["the first mark was not read again at the end, so the dial's drift is not known."]
    if fit.drift_expanded is None or abs(fit.drift) <= fit.drift_expanded:
        return []
    drift = uncertainty.with_uncertainty(fit.drift, fit.drift_expanded, unit)
    return [f"the dial drifted by {drift} from first to last reading; the fit has taken that off."]


def in_a_vee(fit, vee_angle, unit):
    """Sentences on what a vee shows of a part, and what it cannot."""
    swing = (
        as_text(fit.swing, unit, 3)
        if fit.swing_expanded is None
        else uncertainty.with_uncertainty(fit.swing, fit.swing_expanded, unit)
    )
    form = vee_blocks.form_from_vee(fit, vee_angle)
    return (
        f"In this vee the dial swings {swing}. A vee shows no offset, so it proves no runout: "
        "measure on centers for the verdict. "
        f"{_lobes(form, unit)}"
    )


def _lobes(sizes, unit):
    """Heights by number of lobes, valley to top."""
    digits, label = (1, "µm") if unit == "um" else (2, "thou")
    seen = ", ".join(
        f"{n} lobes {2 * size.m_as(unit):.{digits}f} {label}"
        for n, size in sizes.items()
        if size is not None
    )
    blind = ", ".join(str(n) for n, size in sizes.items() if size is None)
    told = (
        f"Form, valley to top: {seen}." if seen else "Too few readings to tell form from scatter."
    )
    return told + (f" This vee is blind to {blind} lobes." if blind else "")


def form_picture(fit, found, vee, unit):
    """Readings, section and bars of a fit.

    vee [deg]
    """
    around = runout_picture.AROUND
    curve = {
        n: size.m_as(unit) * np.cos(n * np.radians(around - top.m_as("deg")))
        for n, (size, top) in fit.harmonics.items()
    }
    taken = np.isfinite(found.reading.magnitude)
    angle = found.angle.m_as("deg")[taken] % 360
    dial = found.reading.m_as(unit)[taken] - fit.mean.m_as(unit)
    offset, toward = fit.eccentricity.m_as(unit), fit.direction.m_as("deg")
    heights = {n: 2 * size.m_as(unit) for n, (size, _) in fit.harmonics.items()}
    outline, moving = sum(curve.values()), offset if fit.found else 0.0
    if vee is not None:
        angle_of_vee, moving = Quantity(vee, "deg"), 0.0
        form = vee_blocks.form_from_vee(fit, angle_of_vee)
        seen = [
            curve[n] / vee_blocks.vee_factor(n, angle_of_vee, signed=True)
            for n, size in form.items()
            if size is not None
        ]
        outline = vee_blocks.outline_at_rest(
            Quantity(sum(seen, np.zeros_like(around)), unit), angle_of_vee
        ).magnitude
        heights = {
            1: None,
            **{n: None if size is None else 2 * size.m_as(unit) for n, size in form.items()},
        }
    reach = max(abs(dial).max(), abs(sum(curve.values())).max(), 1e-6)
    step = 10 ** np.floor(np.log10(reach * 1.1))
    most = float(
        next(
            size for size in step * np.array([1, 1.5, 2, 3, 4, 5, 6, 8, 10]) if size >= reach * 1.1
        )
    )
    figure = runout_picture.runout_paper("µm" if unit == "um" else "thou", most)
    items = runout_picture.reading_items(sum(curve.values()), angle, dial, (0.0, offset, toward))
    items += runout_picture.section_items(outline, moving, toward, most)
    items += [] if vee is None else runout_picture.vee_items(vee, most)
    return scene.add(figure, items + runout_picture.lobe_bars(heights))
