"""What the thrust does at every step between centers, with the spacers then fitted."""

from dataclasses import dataclass

import numpy as np

from ..spacers import squeeze
from ..units import Quantity
from ..workpiece import Step


@dataclass(frozen=True)
class Pressed:
    """A step under the tailstock's thrust: what moves, what is allowed, the largest stress.

    ``moved`` and ``allowed`` [um] are ``what`` says; ``most`` is the thrust that spends either the
    allowed movement or the yield strength.
    """

    step: Step
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
    allowed. Basis: ``spacers.squeeze`` on the centers of the step; stresses nominal.
    """
    return tuple(
        _pressed(work, step) for step in work.plan.steps if step.on == "centers" and step.cuts
    )


def _pressed(work, step):
    job, force, yields = work.job, work.job["thrust"], work.yield_strength
    packs = tuple(one for one in work.fitted if one.throw in step.fitted)
    rough, bent = step.key.startswith("rough"), Quantity(0.0, "MPa")
    if step.key.endswith("mains"):
        found = squeeze(work.crank, force, packs)
        rows = [("runout of the mains", found.largest_runout, job["allowed_runout"])]
        if rough:
            rows = [("offset of the mains", found.largest_runout / 2, job["finish_allowance"])]
    else:
        throw = int(step.key.rsplit("_", 1)[1]) - 1
        found = squeeze(work.crank, force, packs, held=throw)
        off = Quantity(float(np.linalg.norm(found.middle_offset.m_as("um"))), "um")
        tilt = found.out_of_parallel[0]
        bent = _mains_bent(work.crank, throw, force)
        rows = [("offset of the pin", off, job["finish_allowance"])]
        if not rough:
            rows = [
                ("tilt of the pin over its length", tilt, job["allowed_runout"]),
                ("offset of the pin", off, job["throw_tolerance"] / 2),
            ]
    stress = max(found.web_stress.max(), found.pin_stress.max(), bent)
    what, moved, allowed = max(rows, key=lambda row: (row[1] / row[2]).m_as("dimensionless"))
    spent = max(
        (moved / allowed).m_as("dimensionless"), (stress / yields).m_as("dimensionless"), 1e-12
    )
    most = force / spent if force.magnitude else Quantity(np.inf, "N")
    return Pressed(
        step, what, moved.to("um"), allowed.to("um"), stress, most, bool(stress > yields)
    )


def _mains_bent(crank, throw, force):
    """Nominal bending stress of the thinnest main while the thrust acts on a pin's axis: F e /
    W."""
    thinnest = min(main.diameter for main in crank.plain.mains)
    arm = crank.plain.throws[throw].radius
    return Quantity(32 * force.m_as("N") * arm / (np.pi * thinnest**3), "MPa")
