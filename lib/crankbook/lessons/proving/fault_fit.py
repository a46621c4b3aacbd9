"""Causes fitted to readings of the mains: signatures, sizes, what is left over, odds."""

import numpy as np

from crankmath import spacers
from crankmath.inspection import practice
from crankmath.inspection.diagnosis import making_of
from crankmath.inspection.diagnosis.measured import middle_of
from crankmath.spacers import Spacer
from crankmath.units import Quantity

from ...lesson import own
from ...lesson.kept import once

THRUST = Quantity(400.0, "N")
SCATTER = 1.0  # um, standard deviation of one reading: a lever dial, common practice, no source
CLEAR = 20.0  # odds from which one cause counts as found: own choice
MARKS = np.arange(12) * 30.0
LEFT, RIGHT, SPACER, NO_FAULT = "left center", "right center", "spacer", "no fault"
CAUSES = (NO_FAULT, SPACER, LEFT, RIGHT)
FAULTS = (
    "spacer too long",
    "chip on left center",
    "chip on right center",
    "live center runs out",
    "pin's center holes misplaced",
)
SHOWS_ON_MAINS = {FAULTS[0]: SPACER, FAULTS[1]: LEFT, FAULTS[2]: RIGHT, FAULTS[3]: LEFT}


def mains_of(crank):
    """Middles of the mains from the left end [mm]."""
    return np.array([middle_of(crank, ("main", main)) for main in range(len(crank.journals))])


def bowed(crank, misfit):
    """Complex offsets of the mains that a first spacer too long by ``misfit`` [um] leaves [um].

    Zero where the throws have no room for a spacer.
    """
    fitted = making_of(crank).spacers

    def left(size):
        packs = [
            Spacer(one.throw, Quantity(size if one is fitted[0] else 0.0, "um"), one.diameter)
            for one in fitted
        ]
        found = spacers.squeeze(crank, THRUST, packs).offset(Quantity(mains_of(crank), "mm"))
        return found.m_as("um") @ [1, 1j]

    return left(float(misfit)) - left(0.0)


def signatures(crank):
    """Offsets of the mains that a micrometer of each cause leaves, by cause.

    Basis: derived; the spacer's by the frame, in proportion while every spacer bears; a center's
    by a straight line from end to end.
    """
    share = mains_of(crank) / crank.length.m_as("mm")
    found = {LEFT: 1 - share, RIGHT: share}
    spacer = bowed(crank, 10.0) / 10
    return {SPACER: spacer, **found} if spacer.any() else found


def fits(shapes, readings):
    """Fit of each cause to readings of the mains: size, what is explained, sum of squares left.

    The size is complex for a center, which may point anywhere, and has no part across for a spacer.
    Readings [um] have a row a main at ``MARKS``; what is explained is the offset of each main.
    Basis: derived; least squares, the zero of each dial taken off.
    """
    turn = np.exp(1j * np.radians(MARKS))
    away = readings - readings.mean(axis=1, keepdims=True)
    first = 2 * (away * turn).mean(axis=1)
    found = {NO_FAULT: (0j, np.zeros(len(away), complex), float((away**2).sum()))}
    for name, shape in shapes.items():
        size = np.vdot(shape, first) / np.vdot(shape, shape).real
        size = complex(size.real) if name == SPACER else size
        left = away - np.real(size * shape[:, None] * turn.conj())
        found[name] = size, size * shape, float((left**2).sum())
    return found


def odds(fitted, count, scatter=SCATTER):
    """Odds of each cause against the best, by what it leaves over and by its free numbers.

    Basis: Schwarz (1978): each free number costs the logarithm of the count of readings.
    """
    free = {NO_FAULT: 0, SPACER: 1}
    score = {
        name: left / scatter**2 + free.get(name, 2) * np.log(count)
        for name, (*_, left) in fitted.items()
    }
    least = min(score.values())
    return {name: float(np.exp((least - size) / 2)) for name, size in score.items()}


def measured(fault, size, toward, name):
    """Signatures of a crank and readings of its mains that a hidden fault leaves [um]."""
    crank = own.load(name)
    shapes = once(("16 signatures", name, own.stamp(name)), lambda: signatures(crank))
    cause, off = SHOWS_ON_MAINS.get(fault), np.zeros(len(crank.journals), complex)
    if cause in shapes:
        turn = 1.0 if cause == SPACER else np.exp(1j * toward.m_as("rad"))
        off = size.m_as("um") * turn * shapes[cause]
    scatter = SCATTER * practice.unit_scatter(off.size * MARKS.size, 16).reshape(off.size, -1)
    return shapes, np.real(off[:, None] * np.exp(-1j * np.radians(MARKS))) + scatter
