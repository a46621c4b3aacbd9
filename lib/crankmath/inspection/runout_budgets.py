"""Uncertainty of a runout: of one that was measured, and of one that will be."""

import numpy as np

from ..checks import one_of, takes
from ..fits.iso_286 import in_workshop_unit
from ..language import _
from ..tables import settings
from ..typed import read_quantity
from ..units import Quantity, magnitude, number
from . import uncertainty
from .runout import Runout
from .uncertainty import CONFIDENCE, Verdict, student_factor


@takes(runout=Runout, of=("swing", "offset"))
def runout_budget(runout, indicator=None, support=None, of="swing"):
    """Runout with its whole uncertainty: scatter of the readings, indicator, what carries the work.

    ``indicator`` and ``support`` (centers, center holes or vees) [length] are the largest error in
    a difference of two readings, either way; ``of`` is the whole reading or twice the eccentricity.
    Degrees of freedom are inf where no part has few.
    Basis: standard. GUM (JCGM 100): the three parts add; half widths are taken as rectangular.
    """
    if runout.swing_expanded is None:
        raise ValueError(
            "runout: these readings leave nothing to tell their scatter; "
            "take more readings, or fit with the dial's division or a known repeatability"
        )
    value, expanded = (
        (runout.swing, runout.swing_expanded)
        if of == "swing"
        else (runout.tir, 2 * runout.eccentricity_expanded)
    )
    factor = student_factor(CONFIDENCE, runout.degrees_of_freedom)
    parts = [
        uncertainty.source(
            "readings",
            value,
            standard=expanded / factor,
            degrees_of_freedom=runout.degrees_of_freedom,
        )
    ]
    return _with_tools(parts, indicator, support)


@takes(runout=Runout, allowed="mm > 0, one")
def runout_verdict(runout, allowed, indicator=None, support=None, in_vee=False):
    """Whether a runout keeps within what is allowed, is over it, or cannot be told.

    ``indicator`` and ``support`` [length] as for ``runout_budget``; ``in_vee``: it was read in a
    vee block, which shows no offset. Where nothing shows the readings' scatter, or where lobes may
    hide between few marks, it cannot be told.
    Basis: standard. ``uncertainty.verdict`` (ISO 14253-1) of the whole reading.
    """
    if in_vee:
        return Verdict("cannot tell", _("a vee shows no offset, so it proves no runout"))
    if runout.swing_expanded is None:
        return Verdict("cannot tell", _("nothing is left to tell how sure the readings are"))
    if runout.few_marks:
        return Verdict("cannot tell", _("too few marks, lobes may hide between them"))
    whole = runout_budget(runout, indicator, support)
    return uncertainty.verdict(whole.value, whole.expanded, upper=Quantity(allowed, "mm"))


def usual_runout(units="mm"):
    """Runout that the mains are allowed where nobody says it, in units "mm" or "in".

    Basis: common practice, no source: what a job starts from.
    """
    stored = settings("job_defaults")
    group = {"mm": "all", "in": "inch"}[one_of(units, ("mm", "in"), "units")]
    return read_quantity(stored[group]["allowed_runout"][0], ("um", "thousandth"))


def telling_division(limit):
    """Coarsest usual division of a dial that can tell a runout of this limit [length].

    Basis: common practice, no source: a tenth to a fourth of the limit; here at most a fifth of it,
    of the divisions 1, 2 and 5 times a power of ten.
    """
    magnitude(limit, "mm", "limit", above=0, one=True)
    unit = str(in_workshop_unit(1.0, limit).units)
    fifth = magnitude(limit, unit, "limit", above=0, one=True) / 5 * (1 + 1e-9)
    power = 10.0 ** np.floor(np.log10(fifth))
    return Quantity(float(max(step * power for step in (1, 2, 5) if step * power <= fifth)), unit)


def expected_budget(division, indicator, support=None, readings=12):
    """Uncertainty that a runout will have, before it is measured: rounding, indicator, support.

    ``division`` [length] is the step to which the dial is read, ``readings`` the equal steps in the
    turn; ``indicator`` and ``support`` as for ``runout_budget``. The value is zero; the scatter of
    the hand, not yet known, comes on top, and degrees of freedom are inf. u = 2 sqrt(2/N) division
    / sqrt(12).
    Basis: standard. GUM F.2.2.1 for the rounding of a reading; the parts of ``runout_budget``.
    """
    count = number(readings, "readings", least=3, one=True)
    rounding = magnitude(division, "um", "division", above=0, one=True) / np.sqrt(12)
    parts = [
        uncertainty.source(
            "readings",
            Quantity(0.0, "um"),
            standard=Quantity(float(2 * np.sqrt(2 / count) * rounding), "um"),
        )
    ]
    return _with_tools(parts, indicator, support)


def _with_tools(parts, indicator, support):
    """Budget of readings, indicator and support, whichever are named."""
    value = 0 * parts[0].value
    parts += [
        uncertainty.source(name, value, half_width=width)
        for name, width in (("indicator", indicator), ("support", support))
        if width is not None
    ]
    return uncertainty.combine(lambda readings, **others: readings + sum(others.values()), parts)
