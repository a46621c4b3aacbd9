"""How far a blade or a form tool bends and twists under the cut.

A blade stands on edge: its ``thickness`` lies along the lathe's axis, its ``height`` is upright.
"""

from dataclasses import dataclass

import numpy as np

from ..checks import several
from ..units import Quantity, magnitude

STEEL_MODULUS = Quantity(210.0, "GPa")  # shank and high-speed steel, from memory
POISSON = 0.29
SHEAR_SHARE = 5 / 6  # of a rectangle's area, in shear


@dataclass(frozen=True)
class ToolSection:
    """A piece of a tool from its edge back to the holder: length, thickness along the axis, height."""

    length: Quantity
    thickness: Quantity
    height: Quantity


@dataclass(frozen=True)
class ToolBending:
    """How a tool gives: edge down, aside and into the work, twist, greatest stress, stiffness of the edge each way."""

    down: Quantity
    aside: Quantity
    dig_in: Quantity
    twist: Quantity
    stress: Quantity
    stiffness_down: Quantity
    stiffness_aside: Quantity


def tool_bending(sections, force, side_force=None, offset=None, elastic_modulus=None):
    r"""How far a blade or a form tool gives under the cut, as a stepped beam held at its holder.

    .. math:: \delta = \sum \frac{F (x_1^3 - x_0^3)}{3 E I} + \frac{F (x_1 - x_0)}{\frac56 G A}

    with x from the edge; upright I = t h^3/12, aside I = h t^3/12; twist T L/(G J) of each piece.

    Parameters
    ----------
    sections : ToolSection or sequence of ToolSection
        From the edge back to the holder: one for a blade, two or more for a form tool on a neck.
    force : Quantity [force]
        Main cutting force, down on the edge.
    side_force : Quantity [force], optional
        Along the axis, at the edge on top of the first section; none without it.
    offset : Quantity [length], optional
        Of the main force from the tool's middle, where a wide edge cuts at one end only.
    elastic_modulus : Quantity [stress], optional
        210 GPa without it.

    Returns
    -------
    ToolBending
        ``down`` and ``aside`` hold the twist's share too. ``dig_in`` is how far the edge, on top of the bending
        blade, moves into the work.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; no sections.

    Notes
    -----
    Basis: derived (beams with shear; torsion of a rectangle within half a percent). The holder is taken as rigid: the
    post and slides give as much again and more (from memory); measure them with ``tap_and_weight.stiffness_from_weight``.
    """
    parts = several(sections, ToolSection, "sections")
    if not parts:
        raise ValueError("sections is empty: give at least one ToolSection")
    load = magnitude(force, "N", "force", least=0)
    side = 0.0 if side_force is None else np.abs(magnitude(side_force, "N", "side_force"))
    arm = 0.0 if offset is None else np.abs(magnitude(offset, "mm", "offset"))
    young = (
        STEEL_MODULUS.m_as("MPa")
        if elastic_modulus is None
        else magnitude(elastic_modulus, "MPa", "elastic_modulus", above=0)
    )
    rigidity = young / (2 * (1 + POISSON))
    start, upright, aside, slope, twist, stress = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    for place, part in enumerate(parts):
        length, thickness, height = (
            magnitude(getattr(part, name), "mm", f"sections[{place}].{name}", above=0)
            for name in ("length", "thickness", "height")
        )
        end, shear = start + length, length / (SHEAR_SHARE * rigidity * thickness * height)
        upright += (end**3 - start**3) / (3 * young * thickness * height**3 / 12) + shear
        aside += (end**3 - start**3) / (3 * young * height * thickness**3 / 12) + shear
        slope += (end**2 - start**2) / (2 * young * thickness * height**3 / 12)
        twist += length / (rigidity * _torsion_constant(thickness, height))
        stress = np.maximum(
            stress, 6 * end * (load / (thickness * height**2) + side / (height * thickness**2))
        )
        start = end
    top = magnitude(parts[0].height, "mm", "sections[0].height") / 2
    turned = twist * (load * arm + side * top)
    return ToolBending(
        *(
            Quantity(1000 * value, "um")
            for value in (
                load * upright + turned * arm,
                side * aside + turned * top,
                load * slope * top,
            )
        ),
        Quantity(np.degrees(turned), "deg"),
        Quantity(stress, "MPa"),
        Quantity(1 / (upright + twist * arm**2), "N/mm"),
        Quantity(1 / (aside + twist * top**2), "N/mm"),
    )


def _torsion_constant(thickness, height):
    """Torsion constant [mm4] of a rectangle, the usual short form of its series."""
    long, short = max(thickness, height), min(thickness, height)
    return long * short**3 * (1 / 3 - 0.21 * short / long * (1 - short**4 / (12 * long**4)))


def tool_stiffness(sections, post=None, post_tilt=None):
    """Stiffness downward at the edge: blade, post and the post's tilting in series.

    Parameters
    ----------
    sections : ToolSection or sequence of ToolSection
        As in :func:`tool_bending`.
    post : Quantity, optional [force/length]
        Stiffness of post and slides at the holder; hang a weight, read a dial.
    post_tilt : Quantity, optional [torque/angle]
        Stiffness of the post against tilting under the overhanging tip.

    Returns
    -------
    Quantity [N/um]
        Downward. Square to the work a blade is pushed along its length and hardly gives; there post and slides count.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        Bad values.

    Notes
    -----
    Basis: derived; springs in series.
    """
    parts = several(sections, ToolSection, "sections")
    give = 1 / tool_bending(parts, Quantity(1.0, "N")).stiffness_down.m_as("N/um")
    if post is not None:
        give = give + 1 / magnitude(post, "N/um", "post", above=0)
    if post_tilt is not None:
        overhang = sum(part.length.m_as("mm") for part in parts)
        give = give + 1e3 * overhang**2 / magnitude(post_tilt, "N*mm/rad", "post_tilt", above=0)
    return Quantity(1 / give, "N/um")
