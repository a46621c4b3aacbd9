"""How far a blade or a form tool bends and twists under the cut.

A blade stands on edge: its ``thickness`` lies along the lathe's axis, its ``height`` is upright.
"""

from dataclasses import dataclass

import numpy as np

from ..checks import several, takes
from ..units import Quantity, magnitude

STEEL_MODULUS = 210_000.0  # MPa, shank and high-speed steel, from memory
POISSON = 0.29
SHEAR_SHARE = 5 / 6  # of a rectangle's area, in shear


@dataclass(frozen=True)
class ToolSection:
    """A piece of a tool, from its edge to the holder: length, thickness along the axis, height."""

    length: Quantity
    thickness: Quantity
    height: Quantity


@dataclass(frozen=True)
class ToolBending:
    """Bending of a tool: edge down, aside and into the work, twist, stress, stiffness each way."""

    down: Quantity
    aside: Quantity
    dig_in: Quantity
    twist: Quantity
    stress: Quantity
    stiffness_down: Quantity
    stiffness_aside: Quantity


@takes(force="N >= 0", side_force="N", offset="mm", elastic_modulus="MPa > 0")
def tool_bending(sections, force, side_force=None, offset=None, elastic_modulus=None):
    """Bending of a blade or a form tool under the cut, as a stepped beam held at its holder.

    δ = Σ F (x1³ - x0³)/(3 E I) + F (x1 - x0)/(5/6 G A) with x from the edge, I = t h³/12 upright
    and h t³/12 aside; twist T L/(G J) of each piece. ``sections`` run from the edge back to the
    holder: one for a blade, more for a form tool on a neck. ``force`` is the cutting force, down on
    the edge; ``side_force`` lies along the axis, on top of the first section; ``offset`` is that of
    the cutting force from the tool's middle where a wide edge cuts at one end only. ``down`` and
    ``aside`` hold the twist's part; ``dig_in`` is how far the edge, on top of the bending blade,
    moves into the work.
    Basis: derived (beams with shear; torsion of a rectangle within half a percent). The holder is
    rigid: post and slides add as much again and more (from memory); measure them by
    ``tap_and_weight.stiffness_from_weight``.
    """
    parts = several(sections, ToolSection, "sections")
    if not parts:
        raise ValueError("sections is empty: give at least one ToolSection")
    side = 0.0 if side_force is None else np.abs(side_force)
    arm = 0.0 if offset is None else np.abs(offset)
    young = STEEL_MODULUS if elastic_modulus is None else elastic_modulus
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
            stress, 6 * end * (force / (thickness * height**2) + side / (height * thickness**2))
        )
        start = end
    top = magnitude(parts[0].height, "mm", "sections[0].height") / 2
    turned = twist * (force * arm + side * top)
    return ToolBending(
        *(
            Quantity(1000 * value, "um")
            for value in (
                force * upright + turned * arm,
                side * aside + turned * top,
                force * slope * top,
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


@takes(post="N/um > 0", post_tilt="N*mm/rad > 0", gives="N/um")
def tool_stiffness(sections, post=None, post_tilt=None):
    """Stiffness downward at the edge: blade, post and the post's tilting in series.

    ``sections`` as in :func:`tool_bending`; ``post`` is the stiffness of post and slides at the
    holder (hang a weight, read a dial), ``post_tilt`` that against tilting under the overhanging
    tip. Square to the work a blade is pushed along its length and hardly bends; there post and
    slides count.
    Basis: derived; springs in series.
    """
    parts = several(sections, ToolSection, "sections")
    compliance = 1 / tool_bending(parts, Quantity(1.0, "N")).stiffness_down.m_as("N/um")
    if post is not None:
        compliance = compliance + 1 / post
    if post_tilt is not None:
        overhang = sum(part.length.m_as("mm") for part in parts)
        compliance = compliance + 1e3 * overhang**2 / post_tilt
    return 1 / compliance
