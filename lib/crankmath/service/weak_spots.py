"""Weak spots of a main beside its fillets, as places for the strength check.

Add them to ``places``: ``check_strength(crank, loads, looked_at=(*places(crank), spot))``.
"""

import numpy as np

from .. import fillets
from ..checks import counted, takes
from ..crank import Crank, steels
from ..fillets import risers
from ..units import Quantity
from .crank_sections import Place

FELT = fillets.fatigue_factor.plain
SMALLER = np.linspace(0.05, 1.0, 20)  # of a hole, at which smaller ones are looked at


@takes(crank=Crank, position="mm >= 0, one", radius="mm > 0, one", ultimate_strength="MPa > 0, one")
def keyseat(crank, main, position, radius=None, ultimate_strength=None):
    """Keyseat on a main, its end at a position from the crank's left end.

    - ``main``: Number, 0 at the left.
    - ``radius``: Of its floor's corner; default 0.02 of the diameter.
    - ``ultimate_strength``: Default that of the crank's steel.

    Basis: ``fillets.risers.keyseat``, felt by its notch sensitivity.
    """
    size = _size(crank, main, position)
    arc = risers.FLOOR * size if radius is None else radius
    factors = [
        FELT(risers.keyseat.plain(load, size, arc), load, _strength(crank, ultimate_strength), arc)
        for load in risers.LOADS
    ]
    return _place(crank, main, position, "keyseat", size, factors)


@takes(crank=Crank, position="mm >= 0, one", hole="mm > 0, one", ultimate_strength="MPa > 0, one")
def cross_hole(crank, main, position, hole, ultimate_strength=None):
    """Hole across a main at a position from the crank's left end.

    - ``main``: Number, 0 at the left.
    - ``hole``: Diameter.
    - ``ultimate_strength``: Default that of the crank's steel.

    Basis: ``fillets.risers.cross_hole``, felt by its notch sensitivity; the tension in torsion
    counts as the shear that von Mises takes for it. A wider hole never counts for less.
    """
    size, strength = _size(crank, main, position), _strength(crank, ultimate_strength)
    if hole >= size:
        raise ValueError(f"hole must be smaller than the main, {size:.4g} mm, not {hole:.4g} mm")
    factors = []
    for load, share in (("bending", 1.0), ("torsion", np.sqrt(3))):
        kt = risers.cross_hole.plain(load, size, hole * SMALLER) / share
        factors.append(max(FELT(kt, load, strength, hole / 2 * SMALLER)))
    return _place(crank, main, position, "cross hole", size, factors)


@takes(crank=Crank, position="mm >= 0, one", ultimate_strength="MPa > 0, one")
def hub_edge(crank, main, position, ultimate_strength=None):
    """Edge of a hub pressed on a main or drawn up on its taper, at a position from the left end.

    - ``main``: Number, 0 at the left.
    - ``ultimate_strength``: Default that of the crank's steel.

    Basis: ``fillets.risers.hub_edge``. A taper is thinner than its main farther out; the edge
    toward the web counts, at the full diameter.
    """
    size, strength = _size(crank, main, position), _strength(crank, ultimate_strength)
    factors = [float(risers.hub_edge.plain(load, strength)) for load in risers.LOADS]
    return _place(crank, main, position, "hub's edge", size, factors)


@takes(
    crank=Crank,
    position="mm >= 0, one",
    diameter="mm > 0, one",
    fillet="mm > 0, one",
    ultimate_strength="MPa > 0, one",
)
def step(crank, main, position, diameter, fillet, ultimate_strength=None):
    """Shoulder where a main is turned down, at a position from the crank's left end.

    - ``main``: Number, 0 at the left.
    - ``diameter``: What it is turned down to.
    - ``ultimate_strength``: Default that of the crank's steel.

    Basis: ``fillets.stress_concentration`` by Tipton, felt by its notch sensitivity.
    """
    size, strength = _size(crank, main, position), _strength(crank, ultimate_strength)
    if diameter >= size:
        raise ValueError(f"diameter must be below that of the main, {size:.4g} mm")
    sizes = [Quantity(one, "mm") for one in (size, diameter, fillet)]
    factors = [
        FELT(fillets.stress_concentration(load, *sizes, "tipton"), load, strength, fillet)
        for load in risers.LOADS
    ]
    return _place(crank, main, position, "step", diameter, factors)


def _size(crank, main, position):
    """Diameter of a main [mm], if the position lies on it."""
    index = counted(main, crank.journals, "main")
    piece = [one for one in crank.segments if one.kind == "journal"][index]
    if not piece.start <= position <= piece.end:
        raise ValueError(
            f"position must lie on main {index + 1}, from {piece.start:.4g} to {piece.end:.4g} mm "
            f"of the crank's left end, not at {position:.4g} mm"
        )
    return piece.diameter


def _strength(crank, ultimate_strength):
    """Tensile strength [MPa]."""
    if ultimate_strength is None:
        return steels.find(crank.steel).tensile_strength.m_as("MPa")
    return ultimate_strength


def _place(crank, main, position, name, size, factors):
    center = (float(position), 0.0, 0.0)
    factors = (float(factor) for factor in factors)
    return Place(f"main {main + 1}, {name}", "main", int(main), center, (float(size),), *factors)
