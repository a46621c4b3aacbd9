"""The builder's form: every answer of a job beside the form of its crank, verdicts that follow, a
sheet to print.
"""

import pint
import traitlets

from crankmath.job.answers import DECIMALS
from crankmath.job.fields import BY_KEY, FIELDS, GROUPS
from crankmath.job.job import Job
from crankmath.job.report import check_job
from crankmath.job.starting import ANSWERS as OF_LATHE
from crankmath.job.starting import key_of
from crankmath.job.variants import changed, compare, told
from crankmath.language import _, listed
from crankmath.lathe import NEEDED
from crankmath.units import as_text

from ..lesson import own_lathe, progress
from ..lesson.kernel_link import Linked, script
from ..sheet.sheet import Sheet
from .crank_form import CrankForm
from .draft import Draft
from .job_kept import FILE, FORM, REFUSED, VARIANT, refusal, understood, whole_letters, works

TAKEN = "whole lathe"  # key of the field that takes another lathe, no answer of a job


def path():
    """The reader's job, my-job.json in the reader's folder."""
    return Draft(FILE, FORM).path


class JobForm(Linked):
    """Fields for all answers of a job but its crank, with live verdicts.

    ``job`` is the last possible job. A text that cannot be read stays in its field with a sentence
    that says why; every other field keeps working. ``crank_form`` is the form of the crank's sizes.
    What changes is stored at once; what the page changes is checked when it asks.

    - ``job``: The job to begin with; default the reader's kept job, else that of the reader's own
      crank, else the first example.
    """

    _esm = script(__file__, ".js")
    _css = script(__file__, ".css")
    spec = traitlets.Dict().tag(sync=True)
    found = traitlets.Dict().tag(sync=True)
    sheet = traitlets.Dict().tag(sync=True)

    def __init__(self, job=None):
        super().__init__()
        self.status, self.draft, self.older, self.report = "", Draft(FILE, FORM), False, None
        self._begin()
        if job is None:
            job = self._resume()
        self.crank_form = CrankForm(None if job is None else job.crank, keeps=False)
        self.job = job or own_lathe.under(Job(self.crank_form.crank))
        self.crank_form.on_change(self._take_crank)
        self._check()

    def _begin(self):
        self.typed, self.refused, self.variant, self.variant_refused = {}, {}, {}, {}
        self.fresh = True

    def receive(self, message):
        """Act on a message of the page; whatever happens, the page gets an answer."""
        kind, self.fresh = message.get("type"), False
        if kind == "edit" and message["key"] == TAKEN:
            self.take_lathe(message["text"])
        elif kind == "edit":
            self.set(message["key"], message["text"])
        elif kind == "variant":
            self.vary(message["key"], message["text"])
        elif kind == "back":
            self.typed, self.refused, self.variant_refused, self.fresh = {}, {}, {}, True
            self.status = _("What was not taken is put back.")
            self._show()
        elif kind == "again":
            self.start_again()
        elif kind == "restore":
            self.restore()
        elif kind == "lathe":
            self.keep_lathe()
        elif kind == "sheet":
            self.write()
        elif kind == "check" and self.older:
            self._tell()

    def set(self, key, text):
        """Type an answer: ``form.set("thrust", "80 lbf")``; returns the sentence of the form."""
        if key not in BY_KEY:
            raise ValueError(
                _("there is no question “{key}”; there are {keys}").format(
                    key=key, keys=", ".join(BY_KEY)
                )
            )
        text = whole_letters(text)
        self.typed[key] = text
        try:
            self.job = self.job.typed(key, text)
        except REFUSED as error:
            self.refused[key] = str(error)
            self.status = _("{error} Everything else stays as it is.").format(error=error)
            self._keep()
            self._show()
            return self.status
        self.refused.pop(key, None)
        self.typed.pop(key, None)
        self.status = f"{BY_KEY[key].label} {self._understood(key)}."
        self._check()
        return self.status

    def take_lathe(self, name):
        """Put the job on a lathe of ``own_lathe.names()``, whole, and choose it for every panel;
        returns the sentence of the form.
        """
        try:
            lathe = own_lathe.choose(whole_letters(name))
        except (*REFUSED, OSError) as error:
            self.status = _("The lathe stays as it was: {error}").format(error=error)
            self._show()
            return self.status
        for waiting in (self.typed, self.refused):
            for key in OF_LATHE:
                waiting.pop(key, None)
        self.fresh = True
        self.job = own_lathe.under(self.job.with_lathe(None))
        assumed = len(OF_LATHE - self.job.given)
        self.status = _("“{name}” is chosen, here and in every panel; {assumed} of its ").format(
            name=lathe.name, assumed=assumed
        )
        self.status += _("{count} answers are assumed.").format(count=len(OF_LATHE))
        self._check()
        return self.status

    def keep_lathe(self):
        """Keep the answers about the lathe as a lathe of the reader's own, and choose it; returns
        the sentence of the form.
        """
        missing = [BY_KEY[key].label for key in map(key_of, NEEDED) if key not in self.job.given]
        try:
            if missing:
                raise ValueError(
                    _("type these first: {missing}").format(missing=", ".join(missing))
                )
            path = own_lathe.save(self.job.lathe)
            self.status = _("Kept as {path} and chosen, here and in every panel.").format(path=path)
        except (ValueError, OSError) as error:
            self.status = _("The lathe is not kept: {error}").format(error=error)
        self._show()
        return self.status

    def vary(self, key, text):
        """Type a change to compare with: ``form.vary("fillet", "2 mm")``; returns the sentence of
        the form.
        """
        text = whole_letters(text)
        wanted = {**self.variant, key: text}
        try:
            changed(self.job, wanted)
        except REFUSED as error:
            self.variant_refused[key] = str(error)
            self.typed["variant", key] = text
            self.status = _("{error} The comparison stays as it was.").format(error=error)
            self._show()
            return self.status
        self.variant_refused.pop(key, None)
        self.typed.pop(("variant", key), None)
        self.variant = {name: said for name, said in wanted.items() if said.strip()}
        self.status = (
            _("Compared with: {told}.").format(told=told(self.job, self.variant))
            if self.variant
            else _("Nothing to compare with.")
        )
        self._check()
        return self.status

    def write(self):
        """Write the job sheet into the reader's folder and hand it to the page; returns the files
        by kind.
        """
        made = Sheet(self.job, (self.variant,) if self.variant else ())
        text, files, failed = made.html(), {}, ""
        try:
            files = made.write(progress.folder())
        except OSError as error:
            failed = _(
                "The sheet could not be written into {folder} ({strerror}); open it here all the "
                "same."
            ).format(folder=progress.folder(), strerror=error.strerror)
        self.status = failed or _(
            "Written as {html}, with a table (.csv) and all inputs and results (.json) beside it."
        ).format(html=files["html"])
        if self.refused:
            self.status += _(" Not in it, because it was not taken: {label}.").format(
                label=", ".join(BY_KEY[key].label.lower() for key in self.refused)
            )
        self.sheet = {
            "html": text,
            "name": files["html"].name if files else "job-sheet.html",
            "count": self.sheet.get("count", 0) + 1,
        }
        self._show()
        return files

    def _take_crank(self, crank):
        """Another crank from its form; answers that were typed stay."""
        self.fresh = True
        try:
            self.job = self.job.with_crank(crank, edited=not self.crank_form.loaded)
        except REFUSED as error:
            self.status = _("The crank is not taken over: {error}").format(error=error)
            return self._show()
        self.variant = {
            key: text for key, text in self.variant.items() if works(self.job, key, text)
        }
        self.status = _("{name}: checked.").format(name=crank.name)
        self._check()

    def start_again(self):
        """Put all answers by in a file of their own and begin with what is assumed."""
        count, kept = len(self.job.given), self.draft.put_by()
        self._begin()
        self.job = own_lathe.under(Job(self.crank_form.crank))
        self.status = _(
            "All answers start again; the crank stays. {count} typed answers are {fate}"
        )
        gone = _("gone, for they could not be kept.")
        fate = _("kept as {name}.").format(name=kept.name) if kept else gone
        self.status = self.status.format(count=count, fate=fate)
        self._check()

    def restore(self):
        """Take up the answers last put by; those that stand here now are put by instead."""
        versions = self.draft.versions()
        if not versions:
            self.status = _("Nothing is kept to bring back.")
            return self._show()
        older = Draft(versions[0].name, FORM)
        found, said = older.take_up(understood)
        if found is None:
            self.status = said
            return self._show()
        self.draft.put_by()
        older.discard()
        self._begin()
        job = self._taken_up(found)
        self.crank_form.load(job.crank)  # tells this form of its crank
        self.job = job
        self.status = _("{name}: the answers last put aside are back.").format(name=job.crank.name)
        self._check()

    def _resume(self):
        """The job that was left here, or None; a file that cannot be read is kept and named."""
        found, self.status = self.draft.take_up(understood)
        if found is None:
            return None
        job = self._taken_up(found)
        self.status = _("{name}: taken up where you left it.").format(name=job.crank.name)
        return job

    def _taken_up(self, found):
        job, self.variant, self.typed = found
        self.refused = {key: refusal(key, text) for key, text in self.typed.items()}
        return job

    def _keep(self):
        """Store the job and what waits, so that closing loses nothing."""
        waiting = {key: text for key, text in self.typed.items() if key in self.refused}
        self.status += self.draft.keep(
            {"job": self.job.to_dict(), "variant": self.variant, "waiting": waiting}
        )

    def _check(self):
        """Store the job, and check it or let the page ask for that."""
        self._keep()
        self.older = self.by_page or self.crank_form.by_page
        (self._show if self.older else self._tell)()

    def _tell(self):
        """Check the job and tell the page."""
        self.older = False
        report = check_job(self.job)
        rows = [
            {
                "title": one.title,
                "verdict": one.verdict,
                "said": _(one.verdict),
                "sentence": one.sentence,
                "lesson": one.lesson[:2],
            }
            for one in report.checks
        ]
        beside = {}
        if self.variant:
            both = compare(self.job, self.variant)
            beside = {
                "names": list(both.names),
                "verdicts": [list(row) for row in both.rows if len(set(row[1:])) > 1],
                "numbers": [[f"{title}: {label}", *texts] for title, label, *texts in both.numbers],
            }
        self.found = {
            "summary": report.summary,
            "changed": report.changed_since(self.report) if self.report else "",
            "rows": rows,
            "beside": beside,
            "untyped": len(self.job.assumed()),
        }
        self.report = report
        self._show()

    def _text(self, key):
        """An answer as it stands in its field."""
        return BY_KEY[key].shown(self.job[key], self.job.units)

    def _understood(self, key):
        """How an answer was read: as it was typed, and in the units of the page where these are
        others.
        """
        value, text = self.job[key], self._text(key)
        if value is None:
            return _("left blank: {basis}").format(basis=self.job.basis(key))
        typed = as_text(value, digits=DECIMALS) if isinstance(value, pint.Quantity) else text
        return _("read as {typed}").format(typed=typed) + (
            "" if typed == text else _(", that is {text}").format(text=text)
        )

    def _field(self, field):
        """What the page shows of one question."""
        if not self.job.uses(field.key):
            note = _("not used with “{job}”").format(job=listed(self.job[field.used_with[0]]))
        elif field.key in self.job.given:
            note = self._understood(field.key)
        else:
            note = (
                _("assumed")
                if self.job[field.key] is not None
                else _("blank: {basis}").format(basis=self.job.basis(field.key))
            )
        return {
            "key": field.key,
            "label": field.label,
            "text": self.typed.get(field.key, self._text(field.key)),
            "options": list(field.options),
            "said": [listed(one) for one in field.options],
            "problem": self.refused.get(field.key, ""),
            "note": note,
        }

    def _lathe_field(self):
        """What the page shows where another lathe is taken."""
        troubles = []
        names = own_lathe.names(troubles.append)
        return {
            "key": TAKEN,
            "label": _("Take a whole lathe"),
            "text": "",
            "options": ["", *names],
            "said": ["", *names],
            "problem": " ".join(troubles),
            "note": _("chosen for panels and new jobs: {name}").format(
                name=own_lathe.chosen().name
            ),
        }

    def _varied(self, key, label, options):
        text = self.typed.get(("variant", key), self.variant.get(key, ""))
        return {
            "key": key,
            "label": label,
            "text": text,
            "options": ["", *options] if options else [],
            "said": ["", *(listed(one) for one in options)],
            "problem": self.variant_refused.get(key, ""),
            "note": "",
        }

    def _show(self):
        """Send the page what its fields hold."""
        groups = [
            {
                "title": _(group),
                "fields": [self._field(field) for field in FIELDS if field.group == group],
            }
            for group in GROUPS
        ]
        groups[0]["fields"].insert(0, self._lathe_field())
        self.spec = {
            "groups": groups,
            "variant": [self._varied(*one) for one in VARIANT],
            "status": self.status,
            "waiting": bool(self.refused or self.variant_refused),
            "fresh": self.fresh,
            "older": self.older,  # verdicts, than the answers
            "restorable": bool(self.draft.versions()),
            "name": self.job.crank.name,
            "projector": bool(progress.read()["projector"]),
        }
        self.fresh = False
