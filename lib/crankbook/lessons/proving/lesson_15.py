"""Lesson 15, write the job sheet: the builder's page, its plan in space and their plain twins."""

import json

from IPython.display import HTML, display
from ipywidgets import VBox
from markupsafe import Markup

from crankmath.job.job import Job
from crankmath.job.report import check_job
from crankmath.job.variants import compare
from crankmath.language import _, marked

from ...forms.job_form import JobForm
from ...forms.job_kept import REFUSED, read_kept
from ...lesson import own, progress
from ...pages import table
from ...sheet.sheet import Sheet
from ...sheet.steps import printed_steps
from ..turning import plan_in_space

YOURS = marked("your job above")


def page(job=None):
    """The forms of crank and job in one column; ``page().job_form`` is the second.

    - ``job``: As for ``JobForm``.
    """
    form = JobForm(job)
    column = VBox([form.crank_form, form])
    column.job_form = form
    return column


def verdicts(job):
    """Print the verdicts of a job, worst first."""
    print("\n".join(check_job(job).lines()))


def plan(job):
    """Print the working order with limits and checks."""
    for one in printed_steps(check_job(job)):
        print(f"{one.number}. {one.step.name}. {one.step.do}")
        for word, text in (
            ("limits", "; ".join(one.limits)),
            (_("before going on"), one.step.check),
            (_("why here"), one.step.why),
        ):
            if text:
                print(f"   {word}: {text}")


def side_by_side(job, *variants):
    """Show the verdicts in which a job and its variants differ; below, folded, the numbers.

    *variants: As for ``job.variants.changed``.
    """
    found = compare(job, *variants)
    rows = [row for row in found.rows if len(set(row[1:])) > 1]
    same = _("{count} verdicts are the same").format(count=len(found.rows) - len(rows))
    folded = Markup("{}<details><summary>The numbers that differ</summary>{}</details>")
    numbers = [(f"{title}: {label}", *texts) for title, label, *texts in found.numbers]
    tables = table(("", *found.names), rows, same), table(("", *found.names), numbers)
    display(HTML(folded.format(*tables)))


def write_sheet(job, *variants):
    """Write the sheet of a job into the reader's folder and say where.

    *variants: As for ``job.variants.changed``.
    """
    files = Sheet(job, variants).write(progress.folder())
    print(
        _("Job sheet written: {name}, {csv_name}, {json_name}").format(
            name=files["html"].name, csv_name=files["csv"].name, json_name=files["json"].name
        )
    )
    return files


def kept_job():
    """The job on this page as the reader left it; the first example where nothing was left."""
    job, trouble = _kept()
    if trouble:
        print(trouble)
    return job


def _kept():
    """The kept job and no words, or the first example and a sentence why."""
    try:
        kept = read_kept()
    except (*REFUSED, OSError) as error:
        return Job.load("pump"), _("Your kept job could not be read: {error}").format(error=error)
    return (
        (kept[0], "") if kept else (Job.load("pump"), _("Nothing is kept yet: here is the pump."))
    )


def _job_of(name):
    return _kept()[0] if name == YOURS else plan_in_space.job_of(name)


def _stamp(name):
    return (
        json.dumps(_kept()[0].to_dict(), sort_keys=True)
        if name == YOURS
        else plan_in_space.stamp_of(name)
    )


STEPS = plan_in_space.steps_scene(lambda: (YOURS, *own.names()), _job_of, _stamp)
steps, step_picture = STEPS.panel, STEPS.picture


__all__ = [
    "Job",
    "kept_job",
    "page",
    "plan",
    "side_by_side",
    "step_picture",
    "steps",
    "verdicts",
    "write_sheet",
]
