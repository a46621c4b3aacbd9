"""The job sheet: a page to print, a table for a spreadsheet, and a JSON file that brings all of it
back.
"""

import csv
import datetime
import io
import json
import re
from dataclasses import dataclass, field
from math import inf, isfinite

from crankmath import __version__
from crankmath.files import make_folder, path_of, write_whole
from crankmath.job.fields import FIELDS
from crankmath.job.job import Job, read_json
from crankmath.job.report import check_job
from crankmath.job.variants import changed
from crankmath.language import _
from crankmath.units import Quantity
from crankmath.wording import ERRORS, KINDS

from ..csv_tables import safe_cell
from ..lesson.own_files import file_stem
from .page import job_page

FORMAT, VERSION = "crankmath job sheet", 1
MOST_VARIANTS = 4


def today():
    """Today's date as it stands on a sheet."""
    return datetime.date.today().isoformat()


@dataclass(frozen=True)
class Sheet:
    """A job, its date, the version that made it, and the variants compared with it.

    The same job, date and version give the same files to the last letter.

    - ``variants``: Changes as for ``job.variants.changed``.
    - ``date``: Year-month-day.
    - ``version``: Of the library that first made the sheet.
    """

    job: Job
    variants: tuple = ()
    date: str = field(default_factory=today)
    version: str = __version__

    def __post_init__(self):
        if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", self.date):
            raise ValueError(
                _("date has to be year-month-day, for example 2026-03-01, not {date!r}").format(
                    date=self.date[:20]
                )
            )
        if not re.fullmatch(r"[\w.+-]{1,30}", self.version):
            raise ValueError(
                _("version has to be a version number, not {version!r}").format(
                    version=self.version[:30]
                )
            )
        if len(self.variants) > MOST_VARIANTS or not all(
            isinstance(one, dict) for one in self.variants
        ):
            raise ValueError(
                _("variants takes up to {most_variants} tables of changes").format(
                    most_variants=MOST_VARIANTS
                )
            )
        for one in self.variants:
            changed(self.job, {str(key): str(text) for key, text in one.items()})
        object.__setattr__(
            self,
            "variants",
            tuple(
                {str(key): str(text) for key, text in one.items() if str(text).strip()}
                for one in self.variants
            ),
        )

    @property
    def report(self):
        """All checks of the job."""
        return check_job(self.job)

    @property
    def calculated(self):
        """Version of the library in use."""
        return __version__

    def html(self):
        """The page to print."""
        return job_page(self)

    def json(self):
        """Everything that went in and came out, as JSON text; :meth:`reopen` brings the sheet
        back."""
        checks = [
            {
                "check": one.title,
                "verdict": one.verdict,
                "sentence": one.sentence,
                "formula": one.formula,
                "source": one.source,
                "range": one.range,
                "lesson": one.lesson,
                "outside a range": list(one.notes),
                "not verified": list(one.assumptions),
                "numbers": [
                    {
                        "label": number.label,
                        "value": value,
                        "unit": unit,
                        "shown": number.text(self.job.units),
                    }
                    for number in one.numbers
                    for value, unit in (_plain(number, self.job.units),)
                ],
            }
            for one in self.report.checks
        ]
        data = {
            "format": FORMAT,
            "version": VERSION,
            "library": self.version,
            "date": self.date,
            "job": self.job.to_dict(),
            "variants": list(self.variants),
            "summary": self.report.summary,
            "assumed": [
                {"answer": one.label, "value": text, "basis": basis}
                for one, text, basis in self.job.assumed()
            ],
            "checks": checks,
            "plan": self.plan(),
        }
        return json.dumps(data, indent=1, ensure_ascii=False)

    def plan(self):
        """The plan as the JSON holds it; none where no plan can be made."""
        try:
            return self.report.workings.plan.as_dict()
        except ERRORS:
            return None

    def csv(self):
        """Every input and result as rows for a spreadsheet."""
        store = io.StringIO()
        out = csv.writer(store, lineterminator="\r\n")
        out.writerow(
            (
                "part",
                "name",
                "value",
                "unit",
                "as shown",
                "verdict",
                "formula",
                "source",
                "range",
                "library",
                "date",
            )
        )
        for key, value in self.job.crank.to_dict().items():
            for number, table in enumerate(value if isinstance(value, list) else [{key: value}], 1):
                for name, size in table.items():
                    unit = (
                        ""
                        if isinstance(size, str)
                        else "deg"
                        if name == "angle_deg"
                        else self.job.units
                    )
                    place = f"{key}[{number}].{name}" if isinstance(value, list) else name
                    out.writerow(
                        _safe(
                            "crank", place, size, unit, "", "", "", "", "", self.version, self.date
                        )
                    )
        for one in FIELDS:
            value = self.job[one.key]
            size, unit = (
                (value.magnitude, f"{value.units:~}")
                if isinstance(value, Quantity)
                else (one.shown(value, self.job.units), "")
            )
            basis = (
                _("not used")
                if not self.job.uses(one.key)
                else "typed"
                if one.key in self.job.given
                else "assumed"
            )
            out.writerow(
                _safe(
                    "answer",
                    one.label,
                    size,
                    unit,
                    one.shown(value, self.job.units),
                    "",
                    "",
                    basis,
                    "",
                    self.version,
                    self.date,
                )
            )
        for check in self.report.checks:
            out.writerow(
                _safe(
                    "check",
                    check.title,
                    "",
                    "",
                    check.sentence,
                    check.verdict,
                    check.formula,
                    check.source,
                    check.range,
                    self.version,
                    self.date,
                )
            )
            for number in check.numbers:
                size, unit = _plain(number, self.job.units)
                out.writerow(
                    _safe(
                        "result",
                        f"{check.title}: {number.label}",
                        size,
                        unit,
                        number.text(self.job.units),
                        check.verdict,
                        check.formula,
                        check.source,
                        check.range,
                        self.version,
                        self.date,
                    )
                )
        return store.getvalue()

    def write(self, folder, stem=None):
        """Write the page, the table and the JSON file into a folder.

        Each file is written whole or not at all.

        - ``stem``: Of the files' names; default made from the crank's name.

        Returns the paths by "html", "csv" and "json".
        OSError: The folder cannot be written.
        """
        make_folder(folder)
        start = f"{stem or file_stem(self.job.crank.name)}-sheet"
        written = {}
        for kind, text in (
            ("html", self.html()),
            ("csv", "\ufeff" + self.csv()),
            ("json", self.json()),
        ):
            written[kind] = folder / f"{start}.{kind}"
            write_whole(written[kind], text)
        return written

    @classmethod
    def reopen(cls, path):
        """The sheet that :meth:`json` stored.

        Results are calculated again from what went in.
        FileNotFoundError: No such file.
        ValueError: Not a job sheet, or a key is missing or impossible.
        """
        data = read_json(path_of(path, _("the path of a sheet's .json file")))
        if (
            not isinstance(data, dict)
            or data.get("format") != FORMAT
            or data.get("version") != VERSION
        ):
            raise ValueError(
                _("“{path}” is not a job sheet of version {version}").format(
                    path=path, version=VERSION
                )
            )
        for key, kind in (("job", dict), ("variants", list), ("date", str), ("library", str)):
            if not isinstance(data.get(key), kind):
                raise ValueError(
                    _("“{path}”: the key “{key}” is missing or of the wrong kind").format(
                        path=path, key=key
                    )
                )
        return cls(
            Job.from_dict(data["job"]), tuple(data["variants"]), data["date"], data["library"]
        )


def _plain(number, units):
    """Value and unit of a number as a table holds them."""
    if number.kind == "word":
        return number.value, ""
    if number.kind == "plain":
        return _finite(float(number.value)), ""
    unit = KINDS[number.kind][0 if units == "mm" else 1]
    return _finite(float(number.value.m_as(unit))), unit


def _finite(size):
    """A size as JSON can hold it: JSON has no infinity, so a missing limit is a word."""
    return size if isfinite(size) else _("no limit") if size == inf else "any"


def _safe(*cells):
    """Cells that a spreadsheet does not take for formulas; numbers stay numbers."""
    return tuple(safe_cell(cell) if isinstance(cell, str) else cell for cell in cells)
