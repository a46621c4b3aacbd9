"""The same job with something changed: a larger fillet, another steel, one more spacer, and the two
side by side."""

from dataclasses import dataclass, replace

import numpy as np

from ..crank import steels
from ..language import _
from ..typed import read_quantity
from ..units import as_text
from .fields import BY_KEY, LENGTH
from .job import Job
from .report import check_job

FELT = 0.02  # a smaller difference of a number is not shown: own choice


@dataclass(frozen=True)
class Comparison:
    """Jobs side by side: their names, one row of verdicts a check, and the numbers that differ by 2
    % or more.

    ``rows`` hold a check's title and its verdicts; ``numbers`` a title, a label and the texts.
    """

    names: tuple
    reports: tuple
    rows: tuple
    numbers: tuple


def changed(job, changes):
    """A job with some changes, each as a person types it.

    Parameters
    ----------
    job : Job
    changes : dict
        Key to text: "fillet" for all fillets, "steel", or any key of ``job.fields.BY_KEY``; an
        empty text changes nothing.

    Returns
    -------
    Job

    Raises
    ------
    TypeError, ValueError, pint.DimensionalityError
        The sentence names what is wrong.

    Notes
    -----
    Basis: derived.
    """
    crank, answers = job.crank, {}
    for key, text in changes.items():
        if not str(text).strip():
            continue
        if key == "fillet":
            radius = read_quantity(text, LENGTH, _("Fillet of the variant"), above=0)
            crank = replace(
                crank,
                journals=tuple(replace(one, fillet=radius) for one in crank.journals),
                throws=tuple(replace(one, fillet=radius) for one in crank.throws),
            )
        elif key == "steel":
            crank = replace(crank, steel=steels.find(text).name)
        elif key in BY_KEY:
            answers[key] = BY_KEY[key].read(text)
        else:
            raise ValueError(
                _(
                    "there is nothing called “{key}” to change; there are fillet, steel, {keys}"
                ).format(key=key, keys=", ".join(BY_KEY))
            )
    return Job(crank, job.answers | answers, job.given | set(answers))


def told(job, changes):
    """The changes in words, or that nothing changes."""
    words = []
    for key, text in changes.items():
        if not str(text).strip():
            continue
        if key == "fillet":
            words.append(
                _("all fillets ")
                + as_text(changed(job, {key: text}).crank.throws[0].fillet, job.units)
            )
        elif key == "steel":
            words.append(changed(job, {key: text}).crank.steel)
        else:
            field = BY_KEY[key]
            words.append(f"{field.label.lower()} {field.in_words(field.read(text), job.units)}")
    return ", ".join(words) or _("no change")


def compare(job, *variants):
    """A job beside its variants.

    Parameters
    ----------
    job : Job
    *variants : dict
        Changes as for :func:`changed`.

    Returns
    -------
    Comparison

    Raises
    ------
    TypeError, ValueError, pint.DimensionalityError
        As for :func:`changed`.

    Notes
    -----
    Basis: derived; every job is checked in full.
    """
    reports = (check_job(job), *(check_job(changed(job, changes)) for changes in variants))
    names = (_("as it is"), *(told(job, changes) for changes in variants))
    rows = tuple(
        (checks[0].title, *(_(one.verdict) for one in checks))
        for checks in zip(*(one.checks for one in reports), strict=True)
    )
    numbers = []
    for checks in zip(*(one.checks for one in reports), strict=True):
        labels = dict.fromkeys(number.label for one in checks for number in one.numbers)
        for label in labels:
            found = [
                next((number for number in one.numbers if number.label == label), None)
                for one in checks
            ]
            if _differ(found):
                numbers.append(
                    (
                        checks[0].title,
                        label,
                        *(_("none") if one is None else one.text(job.units) for one in found),
                    )
                )
    return Comparison(names, reports, rows, tuple(numbers))


def _differ(found):
    """Whether numbers of one label differ so much that it is worth telling."""
    if any(one is None or one.kind == "word" for one in found):
        return len({None if one is None else str(one.value) for one in found}) > 1
    sizes = np.array(
        [
            float(one.value if one.kind == "plain" else one.value.to_base_units().magnitude)
            for one in found
        ]
    )
    if not np.all(np.isfinite(sizes)):
        return len(set(sizes.tolist())) > 1
    return bool(np.ptp(sizes) > FELT * np.abs(sizes).max())
