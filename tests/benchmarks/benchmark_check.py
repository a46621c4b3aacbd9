"""Cost of the full check of each example crank, of its sheet, and of the dearest checks. Prints figures, asserts nothing."""

import time

from crankbook.sheet.sheet import Sheet
from crankmath.crank import EXAMPLES
from crankmath.job import Job
from crankmath.job.report import CHECKS, check_job
from crankmath.job.workings import Workings


def seconds(act):
    """Processor seconds of an act."""
    started = time.process_time()
    act()
    return time.process_time() - started


def main():
    _ = check_job(Job.load("pump")).checks  # libraries are loaded and tables read once
    for name in EXAMPLES:
        job = Job.load(name).typed("thrust", "401 N")
        checked, printed = (
            seconds(lambda job=job: check_job(job).checks),
            seconds(lambda job=job: Sheet(job).html()),
        )
        work = Workings(job.typed("thrust", "402 N"))
        dear = sorted(
            ((seconds(lambda kind=kind: kind.run(work)), kind.title) for kind in CHECKS),
            reverse=True,
        )[:3]  # noqa: B023
        told = ", ".join(f"{title.lower()} {1000 * cost:.0f} ms" for cost, title in dear)
        print(f"{name:<11} all checks {checked:.2f} s, page {printed:.2f} s; dearest: {told}")


if __name__ == "__main__":
    main()
