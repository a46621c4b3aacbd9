"""A spacer in a throw's gap, and what squeeze needs of a crank with spacers in it."""

import warnings
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from ..checks import counted, several
from ..crank import steels
from ..frame import frame
from ..units import OutOfRangeWarning, Quantity, magnitude

SAMPLES = 9  # places along a main where its runout is looked for
# Give of a web's face under a spacer, beyond the web's bending: near it, less what the web behind holds.
# Fitted to 3-D solid finite elements: discs of 0.07 to 0.42 of the main's diameter.
FACE_NEAR, FACE_BEHIND = 0.46, 0.345
NOTHING = Quantity(0.0, "mm")


@dataclass(frozen=True)
class Spacer:
    """A round spacer in the gap of a throw.

    Parameters
    ----------
    throw : int
        Counts throws from zero, left to right.
    misfit : Quantity [length]
        How much longer than the free gap; negative when it is shorter.
    diameter : Quantity [length]
    bore : Quantity [length]
        Zero for a solid spacer.
    along, across : Quantity [length]
        Where its axis stands: from the main axis toward the pin, and sideways
        toward 90 degrees after the throw.
    modulus : Quantity [stress]
        Modulus of elasticity of the spacer; steel without it.
    contact : Quantity [length/force]
        Give of joints, shims and rough faces together, beside the dents in the
        webs' faces, which are reckoned in any case.

    Notes
    -----
    Basis: derived; the dents fitted to 3-D solid finite elements.
    """

    throw: int
    misfit: Quantity
    diameter: Quantity
    bore: Quantity = NOTHING
    along: Quantity = NOTHING
    across: Quantity = NOTHING
    modulus: Quantity = field(default=Quantity(206.0, "GPa"))
    contact: Quantity = field(default=Quantity(0.0, "mm/N"))


@dataclass(frozen=True)
class Plan:
    """What squeeze needs of a crank with spacers in it, misfit and thrust apart (mm, N)."""

    frame: frame.Frame
    gap_rows: np.ndarray  # openings at the spacers, then on the main axis in every throw
    give: np.ndarray  # spacer, spacer
    closing: np.ndarray  # of those gaps by a unit thrust
    arms: tuple  # throw, along and across of every spacer
    dents: np.ndarray  # throw, spacer: in the faces on the main axis, per force
    per_thrust: np.ndarray  # motion of the mains: place, direction
    per_force: np.ndarray  # spacer, place, direction

    def forces(self, thrust, misfits):
        """Force in every spacer: none pulls, and one that bears makes up misfit and closure."""
        wanted = misfits + self.closing[: len(misfits)] * thrust
        if len(misfits) < 2:
            return np.maximum(wanted / np.diag(self.give), 0.0)
        from scipy.optimize import nnls

        lower = np.linalg.cholesky(self.give)
        return nnls(lower.T, np.linalg.solve(lower, wanted))[0]

    def reading(self, thrust, forces):
        """Largest indicator reading of any main after release [mm]."""
        moved = self.per_thrust * thrust + np.tensordot(forces, self.per_force, 1)
        return 2 * float(np.linalg.norm(moved, axis=-1).max())


def listed(spacers):
    if spacers is None:
        return ()
    return several(spacers, Spacer, "spacers")


def bearing_gaps(crank, spacers, built):
    """Openings at spacers for unit free motions of a frame, and the give of gaps, spacers and contacts for unit forces in them.

    Parameters
    ----------
    crank : Crank
    spacers : sequence of Spacer
    built : frame.Frame

    Returns
    -------
    ndarray, ndarray [mm/N]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        A spacer that does not fit.

    Notes
    -----
    Basis: fitted data; as ``squeeze``.
    """
    plan = _planned(
        built, tuple(_plain(crank, spacer) for spacer in listed(spacers)), len(crank.throws)
    )
    return plan.gap_rows[: len(plan.arms)], plan.give


def plan_for(crank, spacers):
    return _planned(
        frame.build(crank), tuple(_plain(crank, spacer) for spacer in spacers), len(crank.throws)
    )


@lru_cache(maxsize=64)
def _planned(built, spacers, throws):
    """Plan for spacers given as (throw, along, across, radius, give of spacer and joints, give of the faces it dents)."""
    arms, count = tuple(spacer[:3] for spacer in spacers), len(spacers)
    rows, compliance = built.gaps(arms + tuple((throw, 0.0, 0.0) for throw in range(throws)))
    give = compliance[:count, :count] + np.diag([own + dent for *_, own, dent in spacers])
    dents = np.zeros((throws, count))
    for number, (throw, along, across, radius, _, dent) in enumerate(spacers):
        dents[throw, number] = dent * (np.hypot(along, across) < radius)
    moves = built.compliance @ np.column_stack([built.thrust, rows[:count].T])
    places = built.places(main_samples(built.segments).ravel())
    sampled = np.einsum("pdn,nk->kpd", places.rows[:, 1:3], moves)
    return Plan(built, rows, give, -rows @ moves[:, 0], arms, dents, sampled[0], sampled[1:])


@lru_cache(maxsize=32)
def main_samples(segments):
    """Places along each main, one row each [mm]."""
    return np.array(
        [
            np.linspace(piece.start, piece.end, SAMPLES)
            for piece in segments
            if piece.kind == "journal"
        ]
    )


def _plain(crank, spacer):
    """Throw, along, across, radius [mm], give of spacer and joints, give of the faces it dents [mm/N], of a spacer that fits."""
    throw = crank.plain.throws[counted(spacer.throw, crank.throws, "throw")]
    diameter, bore = (
        magnitude(spacer.diameter, "mm", "diameter", above=0, one=True),
        magnitude(spacer.bore, "mm", "bore", least=0, one=True),
    )
    along, across = (
        magnitude(spacer.along, "mm", "along", one=True),
        magnitude(spacer.across, "mm", "across", one=True),
    )
    modulus = magnitude(spacer.modulus, "MPa", "modulus", above=0, one=True)
    if bore >= diameter:
        raise ValueError("bore must be smaller than diameter; make the wall thicker")
    room = np.hypot(throw.radius - along, across) - (diameter + throw.pin_diameter) / 2
    if room < -1e-9 * diameter:
        raise ValueError(
            f"diameter is too large: the spacer in throw {spacer.throw + 1} runs into the pin by {-room:.3g} mm; "
            "make it smaller or move it along"
        )
    half, top = throw.web_width / 2, throw.radius + throw.web_reach
    if abs(across) >= half or not -throw.web_reach < along < top:
        raise ValueError(
            f"along and across put the spacer in throw {spacer.throw + 1} off the web; stand it on the web"
        )
    over = diameter / 2 + max(abs(across) - half, -along - throw.web_reach, along - top)
    if over > 1e-9 * diameter:
        say(
            f"the spacer in throw {spacer.throw + 1} stands out past the web by {over:.3g} mm: its contact is softer than reckoned"
        )
    if room < throw.fillet * (1 - 1e-9):
        say(
            f"the spacer in throw {spacer.throw + 1} reaches into the pin's fillet: chamfer its edges by {throw.fillet - room:.3g} mm"
        )
    area = np.pi / 4 * (diameter**2 - bore**2)
    web = steels.find(crank.steel).elastic_modulus.m_as("MPa")
    dent = 0.0
    for journal in crank.plain.journals[spacer.throw : spacer.throw + 2]:
        dent += (
            max(
                FACE_NEAR / np.sqrt(area / np.pi)
                - FACE_BEHIND / np.sqrt(journal.diameter * throw.web_thickness),
                0.0,
            )
            / web
        )
    contact = magnitude(spacer.contact, "mm/N", "contact", least=0, one=True)
    return (
        spacer.throw,
        along,
        across,
        diameter / 2,
        throw.pin_length / (modulus * area) + contact,
        dent,
    )


def say(words):
    warnings.warn(words, OutOfRangeWarning, stacklevel=4)
