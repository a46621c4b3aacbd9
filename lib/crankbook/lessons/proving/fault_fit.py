"""Causes fitted to readings of the mains: signatures, sizes, what is left over, odds; and what is
drawn of them.
"""

import numpy as np

from crankmath import spacers
from crankmath.inspection import practice
from crankmath.inspection.diagnosis import making_of
from crankmath.inspection.diagnosis.measured import middle_of
from crankmath.language import marked
from crankmath.spacers import Spacer
from crankmath.units import Quantity

from ...lesson import own
from ...lesson.kept import once
from ...pictures import crank_drawing
from ...pictures.proving import fault_picture
from ...pictures.proving.fault_picture import ALONG, AROUND, Left

UNITS = {"mm": ("µm", "um"), "in": ("thou", "thousandth")}
THRUST = Quantity(400.0, "N")
LARGEST = 20.0  # um, of a hidden fault
SCATTER = 1.0  # um, standard deviation of one reading: a lever dial, common practice, no source
CLEAR = 20.0  # odds from which one cause counts as found: own choice
MARKS = np.arange(12) * 30.0
LEFT, RIGHT, SPACER, NO_FAULT = (
    marked("left center"),
    marked("right center"),
    marked("spacer"),
    marked("no fault"),
)
CAUSES = (NO_FAULT, SPACER, LEFT, RIGHT)
FAULTS = (
    marked("spacer too long"),
    marked("chip on left center"),
    marked("chip on right center"),
    marked("live center runs out"),
    marked("pin's center holes misplaced"),
)
SHOWS_ON_MAINS = {FAULTS[0]: SPACER, FAULTS[1]: LEFT, FAULTS[2]: RIGHT, FAULTS[3]: LEFT}


def mains_of(crank):
    """Middles of the mains from the left end [mm]."""
    return np.array([middle_of(crank, ("main", main)) for main in range(len(crank.journals))])


def bowed(crank, misfit, at=None):
    """Complex offsets of the mains that a first spacer too long by ``misfit`` [um] leaves [um].

    ``at`` [mm] from the left end; default the mains' middles. Zero where the throws have no room
    for a spacer.
    """
    fitted = making_of(crank).spacers
    places = Quantity(mains_of(crank) if at is None else at, "mm")

    def left(size):
        packs = [
            Spacer(one.throw, Quantity(size if one is fitted[0] else 0.0, "um"), one.diameter)
            for one in fitted
        ]
        return spacers.squeeze(crank, THRUST, packs).offset(places).m_as("um") @ [1, 1j]

    return left(float(misfit)) - left(0.0)


def signatures(crank, at=None):
    """Offsets of the mains that a micrometer of each cause leaves, by cause.

    ``at`` [mm] from the left end; default the mains' middles.
    Basis: derived; the spacer's by the frame, in proportion while every spacer bears; a center's by
    a straight line from end to end.
    """
    share = (mains_of(crank) if at is None else at) / crank.length.m_as("mm")
    found = {LEFT: 1 - share, RIGHT: share}
    spacer = bowed(crank, 10.0, at) / 10
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
        for name, (*_unused, left) in fitted.items()
    }
    least = min(score.values())
    return {name: float(np.exp((least - size) / 2)) for name, size in score.items()}


def measured(fault, size, toward, name):
    """Signatures of a crank and readings of its mains that a hidden fault leaves [um]."""
    crank = own.load(name)
    shapes = once(("16 signatures", name, own.stamp(name)), lambda: signatures(crank))
    cause, off = SHOWS_ON_MAINS.get(fault), np.zeros(len(crank.journals), complex)
    if cause in shapes:
        off = size.m_as("um") * _turn(cause, toward) * shapes[cause]
    scatter = SCATTER * practice.unit_scatter(off.size * MARKS.size, 16).reshape(off.size, -1)
    return shapes, np.real(off[:, None] * np.exp(-1j * np.radians(MARKS))) + scatter


def _turn(cause, toward):
    return 1.0 if cause == SPACER else np.exp(1j * toward.m_as("rad"))


def drawn_readings(shapes, fitted, best, readings, scale):
    """Moving items of both charts, what each cause leaves over, and the reading at their top.

    The charts hold whatever fault the panel can hide, so they stay as sliders move.

    - ``scale``: Of a micrometer in the unit shown; that of the answers.
    """
    most = LARGEST * max(np.abs(one[:2]).max() for one in shapes.values()) + 3 * SCATTER
    full, turn = fault_picture.reading_scale(scale * most), np.exp(-1j * np.radians(AROUND))
    away, drawn = scale * (readings - readings.mean(axis=1, keepdims=True)), []
    for main, dots in enumerate(away[:2]):
        line = scale * np.real(fitted[best][1][main] * turn)
        drawn += fault_picture.trace_items(main, MARKS, dots, line, full)
    left = {
        name: scale * np.sqrt(rest / readings.size) for name, (*_unused, rest) in fitted.items()
    }
    return drawn, left, full


def drawn_bars(shapes, left, close, scale):
    """Moving items of the bars, as high as the largest fault could make one."""
    size = max(np.sqrt(np.mean(np.abs(one) ** 2) / 2) for one in shapes.values())
    bars = {at: (left[name], name in close) for at, name in enumerate(CAUSES) if name in left}
    return fault_picture.left_over_items(bars, scale * np.hypot(LARGEST * size, 2 * SCATTER))


def drawn_crank(left, full, scale, label, size=0.0):
    """Moving items of the crank's window; ``full`` turns a dial's hand all the way.

    - ``scale``: Of a micrometer in the unit of ``full``; ``label`` its name.
    - ``size``: Of the fault where a slider sets it, in that unit.
    """
    swings = 2e3 * scale * np.abs(left.off[:, ALONG // 2])
    words = [f"{float(f'{swing:.2g}'):g} {label}" for swing in swings]
    return fault_picture.crank_items(left, full / scale / 1e3, words, size)


def left_by(fault, size, toward, name):
    """How a hidden fault leaves a crank between true centers, as a ``fault_picture.Left``.

    Misplaced holes for a pin move that pin, the first, and no main. The mark that is up is the one
    a fault points to; of a spacer the first throw's.
    Basis: ``signatures``; what the readings are made of.
    """
    crank = own.load(name)

    def shaped():
        part = crank_drawing.shape(crank)
        mains = [piece for piece in part.pieces if piece.kind == "journal"]
        x = np.array([np.linspace(one.start, one.end, ALONG) for one in mains])
        return part, x, signatures(crank, np.clip(x, 1e-6, part.length - 1e-6).ravel())

    part, x, shapes = once(("16 along", name, own.stamp(name)), shaped)
    cause, off = SHOWS_ON_MAINS.get(fault), np.zeros(x.size, complex)
    if cause in shapes:
        off = size.m_as("um") * _turn(cause, toward) * shapes[cause]
    pin = size.m_as("um") * _turn(fault, toward) if fault == FAULTS[4] else 0j
    up = part.throws["angle"][0] if cause == SPACER else toward.m_as("rad")
    most = LARGEST * max(1.0, *(np.abs(one).max() for one in shapes.values()))
    return Left(part, x, off.reshape(x.shape) / 1e3, pin / 1e3, up, most / 1e3)
