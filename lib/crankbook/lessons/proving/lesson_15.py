"""Lesson 15, write the job sheet: the builder's page and its plain twin."""

from ipywidgets import VBox

from crankmath.job.job import Job
from crankmath.job.report import check_job
from crankmath.job.variants import compare

from ...forms.job_form import REFUSED, JobForm, read_kept
from ...lesson import progress
from ...sheet.sheet import Sheet
from ...sheet.steps import printed_steps


def page(job=None):
    """The forms of crank and job in one column; ``page().job_form`` is the second.

    job: As for ``JobForm``.
    """
    form = JobForm(job)
    column = VBox([form.crank_form, form])
    column.job_form = form
    return column


def verdicts(job):
    """Print the verdicts of a job, worst first."""
    print("\n".join(check_job(job).lines()))


def plan(job):
    """Print the working order with limits and checks.

    Parameters
    ----------
    job : Job
    """
    for one in printed_steps(check_job(job)):
        print(f"{one.number}. {one.step.name}. {one.step.do}")
        for word, text in (
            ("limits", "; ".join(one.limits)),
            ("before going on", one.step.check),
            ("why here", one.step.why),
        ):
            if text:
                print(f"   {word}: {text}")


def side_by_side(job, *variants):
    """Print the verdicts in which a job and its variants differ, and the numbers.

    *variants: As for ``job_variants.changed``.
    """
    found = compare(job, *variants)
    print(" | ".join(("", *found.names)))
    for row in found.rows:
        if len(set(row[1:])) > 1:
            print(" | ".join(row))
    for title, label, *texts in found.numbers:
        print(" | ".join((f"{title}: {label}", *texts)))


def write_sheet(job, *variants):
    """Write the sheet of a job into the reader's folder and say where.

    *variants: As for ``job_variants.changed``.
    """
    files = Sheet(job, variants).write(progress.folder())
    print(f"Job sheet written: {files['html'].name}, {files['csv'].name}, {files['json'].name}")
    return files


def kept_job():
    """The job on this page as the reader left it; the first example where nothing was left."""
    try:
        kept = read_kept()
    except (*REFUSED, OSError) as error:
        print(f"Your kept job could not be read: {error}")
        kept = None
    if kept is None:
        print("Nothing is kept yet: here is the pump.")
        return Job.load("pump")
    return kept[0]


__all__ = ["Job", "kept_job", "page", "plan", "side_by_side", "verdicts", "write_sheet"]
