"""A corner's factors in service, held so that nothing that weakens a crank improves them."""

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from ..language import _
from .solved import BOX, PLACES, Shapes, outside

# overlaps at which shorter throws are looked at: so close that no peak between them counts
SHORTER = np.arange(BOX["overlap"][1], BOX["overlap"][0], -0.025)
MOST = np.array([high for _, high in list(BOX.values())[1:5]])  # web and fillets
LOADS = ("bending", "radial", "tangential", "torsion")
TOLD = 0.01  # share of a corner's stress from which a throw's relief is reported


class HeldCorner(NamedTuple):
    """Factors of a fillet, and its size and that of the web that they refer to [mm].

    ``uncertainty`` is relative, one standard deviation; ``note`` says in words what is held.
    """

    bending: float
    radial: float
    tangential: float
    torsion: float
    uncertainty: float
    thickness: float
    width: float
    fillet: float
    note: str


@lru_cache(maxsize=512)
def held_corners(pin, journal, throw, thick, wide, pin_arc, journal_arc, reach, half_main):
    """A web's pin and journal fillet, each a ``HeldCorner``; lengths in mm.

    - ``reach``: How far the web extends beyond either axis.
    - ``half_main``: From the web to the middle of its bearing.

    Basis: fitted data, as ``solved.factors``. A web thicker or wider, a corner blunter and a throw
    shorter than any that was solved count as the last that was. A throw longer than about a pin's
    diameter at times relieves a corner, by up to a fifth, which is not relied on: the factors are
    those of the shorter throw that a force between the bearings stresses most, tangential and
    torsion factor the largest of all shorter throws.
    """
    own = np.array([(pin + journal) / 2 - throw, thick, wide, pin_arc, journal_arc, journal]) / pin
    notes = outside(own[:, None], np.array([reach / pin]), np.zeros(1))
    web = np.minimum(own[1:5], MOST)
    overlaps = np.append(min(own[0], SHORTER[0]), SHORTER[own[0] < SHORTER])
    same = np.ones_like(overlaps)
    ratios = np.vstack([overlaps, np.outer([*web, own[5]], same)])
    shapes = Shapes(ratios, min(reach / pin, web[1] / 2) * same, 0 * same)
    factors, worst, peaks = shapes.factors(), [], []
    for place in PLACES:
        # moment at the middle of the web that counts, seen from the fillet's own end of the web
        arm = (half_main + (thick if place == "pin" else 0.0)) / pin + web[0] * (
            -0.5 if place == "pin" else 0.5
        )
        peaks.append(factors[f"{place}_bending"] * 6 * arm / web[0] + factors[f"{place}_radial"])
        worst.append(int(np.argmax(peaks[-1])))
    spreads = shapes.spreads(worst, [0, 0])
    return tuple(
        HeldCorner(
            *(float(factors[f"{place}_{load}"][most]) for load in ("bending", "radial")),
            *(float(factors[f"{place}_{load}"].max()) for load in ("tangential", "torsion")),
            float(max(spreads[f"{place}_{load}"][row] for load in LOADS)),
            *(float(size) for size in pin * web[[0, 1, 2 + row]]),
            _words(notes, peak[most] / peak[0] - 1),
        )
        for row, (place, most, peak) in enumerate(zip(PLACES, worst, peaks, strict=True))
    )


def _words(notes, relief):
    """What is held, in words."""
    words = []
    if notes:
        alike = {}  # words of a size whose other end is outside by as much
        for note in notes:
            end, _unused, rest = note.replace("solved shapes have", "solved").partition("_")
            alike.setdefault(rest.replace("_", " "), []).append(end)
        sizes = "; ".join(f"{' and '.join(ends)} {rest}" for rest, ends in alike.items())
        held = _("outside the solved shapes, held so as not to improve: {sizes}")
        words.append(held.format(sizes=sizes))
    if relief > TOLD:
        more = _("a shorter throw is stressed {relief:.0f} % more, which is counted")
        words.append(more.format(relief=100 * relief))
    return "; ".join(words)
