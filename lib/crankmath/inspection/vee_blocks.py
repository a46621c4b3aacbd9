"""What a vee block does to the reading of a part that is not round: factors by number of lobes,
there and back.
"""

import numpy as np

from ..checks import takes
from ..units import Quantity, magnitude, number
from .runout import Runout

BLIND = 0.2  # factor below which a vee is taken as blind to a number of lobes: own choice


def _vee_response(lobes, vee_angle, indicator_angle=0.0):
    """Signed answer of an indicator over a vee to one lobe term, complex where it is off the
    bisector.
    """
    lobes, half = np.asarray(lobes, dtype=float), vee_angle / 2
    lower, toward = np.pi / 2 - half, indicator_angle
    # the flanks touch at pi -/+ lower from the bisector's top; the work settles until both do
    left, right = np.exp(1j * lobes * (np.pi - lower)), np.exp(1j * lobes * (np.pi + lower))
    up = (left + right) / (2 * np.cos(lower))
    side = (right - left) / (2 * np.sin(lower)) if np.sin(lower) > 1e-12 else np.zeros_like(left)
    return np.exp(1j * lobes * toward) + up * np.cos(toward) + side * np.sin(toward)


def vee_factor(lobes, vee_angle, indicator_angle=None, signed=False):
    """Indicator swing over a vee block for one unit of out-of-roundness.

    ``lobes`` of 1 is an off-center circle: a vee does not see it at all. ``vee_angle`` [angle] is
    the full one, 30 to 170 deg; ``indicator_angle`` is taken from the bisector, on which the
    indicator stands by default. ``signed``, on the bisector only: minus where it falls as a lobe's
    top comes under it. On the bisector the factor is 1 + (-1)^n cos n(90 deg - a/2) / sin(a/2).
    Basis: derived, as the summit method of ISO 4292 and ISO/TS 12181 has it (their table not seen).
    Range: few lobes of small height, touched at points. Over a 60 deg vee whatever does not come in
    threes cancels: it is blind to 2, 4, 5, 7 and 8 lobes and triples 3, 6 and 9.
    """
    count = number(lobes, "lobes", least=1)
    if np.any(count != np.round(count)):
        raise ValueError(f"lobes must be whole numbers, not {lobes}")
    vee = magnitude(vee_angle, "deg", "vee_angle", above=0, one=True)
    if not 30 <= vee <= 170:
        raise ValueError(f"vee_angle must be from 30 to 170 deg, not {vee:g} deg")
    toward = (
        0.0
        if indicator_angle is None
        else magnitude(indicator_angle, "rad", "indicator_angle", one=True)
    )
    response = _vee_response(count, np.radians(vee), toward)
    if not signed:
        return abs(response)[()]
    if indicator_angle is not None:
        raise ValueError(
            "signed: beside the bisector the indicator lags a lobe, it has no plain sign; "
            "leave indicator_angle out"
        )
    return response.real[()]


@takes(runout=Runout)
def reading_on_vees(runout, vee_angle):
    """Indicator swing to expect of a main measured on centers when it is turned in a vee instead.

    The fitted lobes alone, largest less smallest; ``vee_angle`` [angle] as for ``vee_factor``.
    Basis: derived. On centers an indicator sees offset and form; in a vee the main is its own axis:
    the offset is gone and each lobe counts by its factor.
    """
    turn = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    unit = runout.eccentricity.units
    swing = sum(
        size.m_as(unit)
        * vee_factor(n, vee_angle, signed=True)
        * np.cos(n * (turn - top.m_as("rad")))
        for n, (size, top) in runout.harmonics.items()
    )
    return Quantity(float(np.ptp(swing)), unit)


@takes(runout=Runout)
def form_from_vee(runout, vee_angle):
    """Lobe heights by number of lobes, from readings taken in a vee, indicator on the bisector.

    None where the vee is (nearly) blind, its factor below ``BLIND``; ``vee_angle`` [angle] as for
    ``vee_factor``. Basis: derived. None does not mean round: take a vee of another angle.
    """
    factors = {n: vee_factor(n, vee_angle) for n in runout.harmonics if n > 1}
    return {
        n: runout.harmonics[n][0] / factor if factor >= BLIND else None
        for n, factor in factors.items()
    }


def outline_at_rest(outline, vee_angle):
    """Outline of a part as it lies in a vee, touching both flanks where a round part would.

    ``outline`` [length] holds departures from round at equal steps over a turn, four or more, first
    and last at the same mark, the first at the top; ``vee_angle`` [angle] as for ``vee_factor``.
    Basis: derived; small departures, touched at the nominal points. The first value is then what an
    indicator at the top shows.
    """
    vee_factor(1, vee_angle)
    size = np.atleast_1d(magnitude(outline, "um", "outline"))
    if size.size < 4:
        raise ValueError(f"outline needs four values or more over the turn, not {size.size}")
    turn = np.linspace(0, 2 * np.pi, size.size)
    half = magnitude(vee_angle, "rad", "vee_angle") / 2
    touch = np.array([np.pi / 2 + half, 3 * np.pi / 2 - half])
    sideways, up = np.linalg.solve(
        np.column_stack([np.sin(touch), np.cos(touch)]), -np.interp(touch, turn, size)
    )
    return Quantity(size + sideways * np.sin(turn) + up * np.cos(turn), "um").to(outline.units)
