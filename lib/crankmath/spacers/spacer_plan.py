"""A spacer in a throw's gap, and what squeeze needs of a crank with spacers in it."""

import warnings
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from ..checks import counted, several, takes
from ..crank import Crank, PlainCrank, steels
from ..frame import frame
from ..units import OutOfRangeWarning, Quantity, magnitude

SAMPLES = 9  # places along a turned piece where its runout is looked for
# Compliance of a web's face under a spacer, beyond the web's bending: near it, less what the web
# behind holds. Fitted to 3-D solid finite elements: discs of 0.07 to 0.42 of the main's diameter.
FACE_NEAR, FACE_BEHIND = 0.46, 0.345
CLEARANCE = 0.5  # mm beside the fillet, to slide a spacer in and wire it: own choice
GRIPPED, SLACK = 0.1, 1e-3  # share of what a full one bears, and N that grip nothing
STEP = {"mm": 1.0, "in": 1 / 16}  # sizes a spacer is cut from
NO_LENGTH = Quantity(0.0, "mm")


@dataclass(frozen=True)
class Spacer:
    """A round spacer in the gap of a throw, counted from zero.

    ``misfit`` is how much longer it is than the free gap, negative when shorter; ``bore`` zero for
    a solid one. ``along`` and ``across`` are where its axis stands: from the main axis toward the
    pin, and sideways toward 90 degrees after the throw. ``contact`` [length/force] is the
    compliance of joints, shims and rough faces together, beside the dents in the webs' faces, which
    are counted in any case. Basis: derived; the dents fitted to 3-D solid finite elements.
    """

    throw: int
    misfit: Quantity
    diameter: Quantity
    bore: Quantity = NO_LENGTH
    along: Quantity = NO_LENGTH
    across: Quantity = NO_LENGTH
    modulus: Quantity = field(default=Quantity(206.0, "GPa"))
    contact: Quantity = field(default=Quantity(0.0, "mm/N"))


@takes(crank=Crank, gives="mm")
def largest_diameter(crank):
    """Largest diameter of a spacer that stands on the main axis in every throw of a crank.

    It clears pin and fillet by half a millimeter, so that it can be slid in and wired; it stands on
    the webs all around; it is no thicker than the mains behind them, which carry its force on; and
    it is a whole millimeter, or sixteenth of an inch, that bar is sold in. Zero where nothing fits.
    Basis: derived; the clearance is an own choice.
    """
    plain = crank.plain
    room = [
        2 * (throw.radius - throw.fillet - CLEARANCE) - throw.pin_diameter for throw in plain.throws
    ]
    webs = [min(throw.web_width, 2 * throw.web_reach) for throw in plain.throws]
    most = min(*room, *webs, *(main.diameter for main in plain.mains))
    step = Quantity(STEP[crank.units], crank.units).m_as("mm")
    return max(0.0, float(np.floor(most / step * (1 + 1e-9)) * step))


@dataclass(frozen=True)
class Plan:
    """What squeeze needs of a crank with spacers in it, misfit and thrust apart (mm, N)."""

    frame: frame.Frame
    steel: steels.Steel
    turned: tuple  # pieces on the line of the centers: the mains, or a pin
    gap_rows: np.ndarray  # openings at the spacers, then on the main axis in every throw
    loads: np.ndarray  # on the frame: of a unit thrust, then of a unit force in every spacer
    compliance: np.ndarray  # spacer, spacer
    closing: np.ndarray  # of those gaps by a unit thrust
    arms: tuple  # throw, along and across of every spacer
    solid: tuple  # throws whose gap is not cut yet
    dents: np.ndarray  # throw, spacer: in the faces on the main axis, per force
    motions: np.ndarray  # of the turned pieces by those loads: load, piece, place, direction

    @property
    def plain(self) -> PlainCrank:
        return self.frame.plain

    def forces(self, thrust, misfits):
        """Force in every spacer: none pulls, and one that bears makes up misfit and closure."""
        wanted = misfits + self.closing[: len(misfits)] * thrust
        if len(misfits) < 2:
            return np.maximum(wanted / np.diag(self.compliance), 0.0)
        from scipy.optimize import nnls

        lower = np.linalg.cholesky(self.compliance)
        return nnls(lower.T, np.linalg.solve(lower, wanted))[0]

    def grip(self, thrust):
        """Least force that keeps each spacer from flying: a tenth of what it bears as long as its
        gap, own choice.
        """
        return np.maximum(GRIPPED * self.forces(thrust, np.zeros(len(self.compliance))), SLACK)

    def load(self, thrust, forces):
        """Forces on the frame."""
        return np.append(thrust, forces) @ self.loads

    def moved(self, thrust, forces):
        """Motion of the turned pieces: piece, place, direction; of rows of forces, row first."""
        thrusts = np.full((*forces.shape[:-1], 1), thrust)
        return np.tensordot(np.concatenate([thrusts, forces], -1), self.motions, 1)

    def reading(self, thrust, forces):
        """Largest indicator reading of any turned piece after release [mm]; of rows, one each."""
        found = 2 * np.linalg.norm(self.moved(thrust, forces), axis=-1).max(axis=(-2, -1))
        return float(found) if found.ndim == 0 else found


def listed(spacers):
    """Spacers as a tuple: of none, one, or several."""
    return () if spacers is None else several(spacers, Spacer, "spacers")


def misfits_of(spacers):
    """Misfits of spacers [mm]."""
    return np.array([magnitude(spacer.misfit, "mm", "misfit", one=True) for spacer in spacers])


def bearing_gaps(crank, spacers, built):
    """Openings at spacers for unit free motions of a built frame, and their compliance [mm/N].

    That is of gaps, spacers and contacts for unit forces in them; ``crank`` and ``spacers`` as in
    squeeze.
    Basis: fitted data; as ``squeeze``.
    """
    plan = _planned(built, crank.steel, _plain_spacers(crank, listed(spacers)), "main", ())
    return plan.gap_rows[: len(plan.arms)], plan.compliance


def plan_for(crank, spacers, held="main", solid=()):
    """Plan of squeeze for a crank with spacers, held and solid as ``squeeze`` has them.

    Basis: fitted data; as ``squeeze``.
    """
    solid = tuple(sorted({counted(throw, crank.throws, "solid") for throw in solid}))
    if standing := [spacer for spacer in spacers if spacer.throw in solid]:
        raise ValueError(
            f"solid: throw {standing[0].throw + 1} has no gap yet; "
            "take its spacer out or the throw from solid"
        )
    built = frame.build(crank, held=held)
    return _planned(built, crank.steel, _plain_spacers(crank, spacers), held, solid)


def _plain_spacers(crank, spacers):
    return tuple(_plain(crank, spacer) for spacer in spacers)


@lru_cache(maxsize=64)
def _planned(built, steel, spacers, held, solid):
    """Plan for spacers as ``_plain`` has them."""
    plain, arms, count = built.plain, tuple(spacer[:3] for spacer in spacers), len(spacers)
    on_axis = tuple((throw, 0.0, 0.0) for throw in range(len(plain.throws)))
    rows, compliance = built.gaps(arms + on_axis)
    compliance = compliance[:count, :count] + np.diag([own + dent for *_, own, dent in spacers])
    loads = np.vstack([built.thrust, rows[:count]])
    if solid:
        tied = _ties(built, solid)
        loads = loads - loads @ built.compliance @ tied.T @ np.linalg.solve(
            tied @ built.compliance @ tied.T, tied
        )
        compliance += (loads[1:] - rows[:count]) @ built.compliance @ rows[:count].T
    dents = np.zeros((len(on_axis), count))
    for number, (throw, along, across, radius, _, dent) in enumerate(spacers):
        dents[throw, number] = dent * (np.hypot(along, across) < radius)
    turned = plain.mains if held == "main" else (plain.pins[held],)
    places = built.places(_samples(turned).ravel())
    moves = np.einsum("pdn,nk->kpd", places.rows[:, 1:3], built.compliance @ loads.T)
    return Plan(
        frame=built,
        steel=steels.find(steel),
        turned=turned,
        gap_rows=rows,
        loads=loads,
        compliance=compliance,
        closing=-rows @ built.compliance @ loads[0],
        arms=arms,
        solid=solid,
        dents=dents,
        motions=moves.reshape(count + 1, len(turned), SAMPLES, 2),
    )


def _ties(built, solid):
    """Openings of uncut gaps, at three places each about the main axis, that stay zero."""
    places = []
    for throw in solid:
        half = built.plain.throws[throw].web_width / 2
        places += [(throw, 0.0, half), (throw, 0.0, -half), (throw, -half, 0.0)]
    return built.gaps(places)[0]


def _samples(pieces):
    """Places along each piece, one row each [mm]; the end of a pin still counts as the pin."""
    return np.array(
        [
            np.minimum(
                np.linspace(piece.start, piece.end, SAMPLES),
                piece.end * (1 - 1e-12 * (piece.kind == "pin")),
            )
            for piece in pieces
        ]
    )


def _plain(crank, spacer):
    """A spacer that fits in plain numbers.

    Throw, along, across, radius [mm], compliance of spacer and joints, of dented faces [mm/N].
    """
    index = counted(spacer.throw, crank.throws, "throw")
    throw = crank.plain.throws[index]
    diameter = magnitude(spacer.diameter, "mm", "diameter", above=0, one=True)
    bore = magnitude(spacer.bore, "mm", "bore", least=0, one=True)
    along = magnitude(spacer.along, "mm", "along", one=True)
    across = magnitude(spacer.across, "mm", "across", one=True)
    modulus = magnitude(spacer.modulus, "MPa", "modulus", above=0, one=True)
    contact = magnitude(spacer.contact, "mm/N", "contact", least=0, one=True)
    if bore >= diameter:
        raise ValueError("bore must be smaller than diameter; make the wall thicker")
    _check_place(throw, f"the spacer in throw {index + 1}", diameter, along, across)
    area = np.pi / 4 * (diameter**2 - bore**2)
    web = steels.find(crank.steel).elastic_modulus.m_as("MPa")
    dent = sum(
        max(
            FACE_NEAR / np.sqrt(area / np.pi)
            - FACE_BEHIND / np.sqrt(main.diameter * throw.web_thickness),
            0.0,
        )
        / web
        for main in crank.plain.mains[index : index + 2]
    )
    own = throw.pin_length / (modulus * area) + contact
    return index, along, across, diameter / 2, own, dent


def _check_place(throw, name, diameter, along, across):
    """Refuse a spacer that runs into the pin or off the web, warn of one that only just stands."""
    room = np.hypot(throw.radius - along, across) - (diameter + throw.pin_diameter) / 2
    if room < -1e-9 * diameter:
        raise ValueError(
            f"diameter is too large: {name} runs into the pin by {-room:.3g} mm; "
            "make it smaller or move it along"
        )
    half, top = throw.web_width / 2, throw.radius + throw.web_reach
    if abs(across) >= half or not -throw.web_reach < along < top:
        raise ValueError(f"along and across put {name} off the web; stand it on the web")
    over = diameter / 2 + max(abs(across) - half, -along - throw.web_reach, along - top)
    if over > 1e-9 * diameter:
        say(f"{name} stands out past the web by {over:.3g} mm: its contact is softer than computed")
    if room < throw.fillet * (1 - 1e-9):
        say(
            f"{name} reaches into the pin's fillet: "
            f"chamfer its edges by {throw.fillet - room:.3g} mm"
        )


def say(words):
    """Warn that a spacer or a stress is out of range."""
    warnings.warn(words, OutOfRangeWarning, stacklevel=6)
