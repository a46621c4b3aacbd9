"""What the thrust does at every step between centers, with the spacers then fitted."""

from dataclasses import dataclass
from math import hypot, pi

import numpy as np
from scipy.optimize import nnls

from ..frame import frame
from ..spacers import squeezed
from ..spacers.spacer_plan import bearing_gaps
from ..units import Quantity

ENDS = 2e-3  # of a pin's length beside its ends, where its tilt is read


@dataclass(frozen=True)
class Pressed:
    """A step under the tailstock's thrust: what moves, what is allowed, the largest stress.

    ``moved`` and ``allowed`` [um] are ``what`` says; ``most`` is the thrust that spends either the
    allowed movement or the yield strength.
    """

    step: object
    what: str
    moved: Quantity
    allowed: Quantity
    stress: Quantity
    most: Quantity
    bends: bool

    @property
    def share(self):
        """Moved over allowed."""
        return (self.moved / self.allowed).m_as("dimensionless")


def pressed_steps(work):
    """Every turning step of a job's plan under its thrust.

    A roughing step may move by what is left for finishing, a finished pin tilt over its length by
    the runout allowed and stand off by half of the throw's tolerance, finished mains run out as
    allowed. Basis: beam frame of ``frame.build``; stresses nominal, spacers counted for the mains.
    """
    return tuple(
        _pressed(work, step) for step in work.plan.steps if step.on == "centers" and step.cuts
    )


def _pressed(work, step):
    job, force, yields = work.job, work.job["thrust"], work.steel.yield_strength
    packs = tuple(one for one in work.fitted if one.throw in step.fitted)
    rough = step.key.startswith("rough")
    if step.key.endswith("mains"):
        found = squeezed.squeeze(work.crank, force, packs)
        stress = max(found.web_stress.max(), found.pin_stress.max())
        rows = [("runout of the mains", found.largest_runout, job["allowed_runout"])]
        if rough:
            rows = [("offset of the mains", found.largest_runout / 2, job["finish_allowance"])]
    else:
        throw = int(step.key.rsplit("_", 1)[1]) - 1
        off, tilt = _pin_moved(work.crank, throw, force, packs)
        stress = _pin_stress(work.crank, throw, force)
        rows = [("offset of the pin", off, job["finish_allowance"])]
        if not rough:
            rows = [
                ("tilt of the pin over its length", tilt, job["allowed_runout"]),
                ("offset of the pin", off, job["throw_tolerance"] / 2),
            ]
    what, moved, allowed = max(rows, key=lambda row: (row[1] / row[2]).m_as("dimensionless"))
    spent = max(
        (moved / allowed).m_as("dimensionless"), (stress / yields).m_as("dimensionless"), 1e-12
    )
    most = force / spent if force.magnitude else Quantity(np.inf, "N")
    return Pressed(
        step, what, moved.to("um"), allowed.to("um"), stress, most, bool(stress > yields)
    )


def _pin_moved(crank, throw, force, packs):
    """Offset of a pin and its tilt over its length, pressed on its own centers [um]."""
    built = frame.build(crank, held=throw)
    load = force.m_as("N") * built.thrust
    if packs:
        rows, give = bearing_gaps(crank, packs, built)
        closing = -rows @ built.compliance @ load
        lower = np.linalg.cholesky(give)
        load = load + nnls(lower.T, np.linalg.solve(lower, closing))[0] @ rows
    piece = [one for one in crank.segments() if one.kind == "pin"][throw]
    inside = ENDS * piece.length
    ends = built.places(np.array([piece.start + inside, piece.end - inside]))
    moved = 1e3 * built.response(ends, load)[:, 1:3]
    off = np.linalg.norm(moved, axis=1).max()
    return Quantity(float(off), "um"), Quantity(float(np.hypot(*(moved[1] - moved[0]))), "um")


def _pin_stress(crank, throw, force):
    """Largest nominal bending stress while pressed on a pin's axis: thrust times its distance."""

    def place(one):
        angle = one.angle.m_as("rad")
        return one.radius.m_as("mm") * np.array([np.cos(angle), np.sin(angle)])

    held, push, found = place(crank.throws[throw]), force.m_as("N"), []
    arm = hypot(*held)
    for one in crank.journals:
        found.append(32 * push * arm / (pi * one.diameter.m_as("mm") ** 3))
    for one in crank.throws:
        away = hypot(*(place(one) - held))
        found.append(32 * push * away / (pi * one.pin_diameter.m_as("mm") ** 3))
        section = one.web_width.m_as("mm") * one.web_thickness.m_as("mm") ** 2
        found.append(6 * push * max(arm, away) / section)
    return Quantity(max(found), "MPa")
