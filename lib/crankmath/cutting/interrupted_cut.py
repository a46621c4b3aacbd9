"""The interrupted cut: fraction of each turn in metal, and the part of the edge struck first."""

import numpy as np

from ..blank import cross_section
from ..blank.bar import web_corners
from ..checks import counted, takes
from ..crank import Crank
from ..units import number
from .rough_out import turning_axis


@takes(radius="mm > 0", bar_diameter="mm > 0", offset="mm >= 0")
def bar_share(radius, bar_diameter, offset):
    """Fraction of each turn that the tool is in an eccentric round bar, at a radius.

    (1/π) arccos((r² + d² - R²) / (2 r d)), with d the offset of the bar's axis from the axis of
    rotation: 1 inside R - d, 0 beyond R + d, one blow a turn between.
    Basis: derived.
    """
    edge, bar, away = np.asarray(radius), bar_diameter / 2, np.asarray(offset)
    with np.errstate(divide="ignore", invalid="ignore"):
        cosine = np.where(
            away > 0, (edge**2 + away**2 - bar**2) / (2 * edge * away), np.sign(edge - bar)
        )
    return number(np.arccos(np.clip(cosine, -1, 1)) / np.pi, "share")


@takes(crank=Crank, radius="mm > 0", about=("main", "pin"))
def web_share(crank, radius, throw=0, about="main"):
    """Fraction of each turn that a tool facing a web is in its metal, at a radius from the axis.

    ``throw`` counts from zero, left to right; ``about`` "main" is the face toward a main, "pin"
    that in the gap. 1 near the journal, 0 beyond the web's farthest corner.
    Basis: derived, for the finished rectangle; an unmilled disc of bar has :func:`bar_share`.
    """
    throw = counted(throw, crank.throws, "throw")
    web = cross_section.polygon(web_corners(crank).m_as("mm")[throw])
    found = cross_section.share(web, turning_axis(crank, about, throw), radius)
    return float(found[0]) if np.ndim(radius) == 0 else found


@takes(web_width="mm > 0", radius="mm > 0", gives="deg")
def front_angle(web_width, radius):
    """Angle between a web's flat side and the tool's face when they meet: arcsin(b / 2r).

    In a cut along the axis over the web's ends, with the tip at a radius. The side runs ahead
    nearer the axis, so the tip is struck first unless the edge falls toward it by more than this.
    Basis: derived: a point of the flat side at radius r leads the web's middle by arcsin(b/2r).
    When a face is cut the whole edge lies at one radius, and any fall toward the tip strikes the
    back first.
    """
    if np.any(np.asarray(web_width) > 2 * np.asarray(radius)):
        raise ValueError(
            "web_width is wider than the circle the tool sees: no side strikes there; "
            "write a smaller web_width or a larger radius"
        )
    return np.degrees(np.arcsin(web_width / (2 * np.asarray(radius))))
