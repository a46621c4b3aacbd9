"""The interrupted cut: how much of each turn the tool is in metal, and which part of its edge is struck first."""

import numpy as np

from ..blank import cross_section
from ..blank.bar import web_corners
from ..checks import counted, made
from ..crank import Crank
from ..units import Quantity, magnitude, number
from .rough_out import turning_axis


def bar_share(radius, bar_diameter, offset):
    r"""Share of each turn that the tool is in an eccentric round bar.

    .. math:: \frac{1}{\pi}\arccos\frac{r^2 + d^2 - R^2}{2 r d}

    Parameters
    ----------
    radius : Quantity [length], scalar or array
        Distance r of the edge from the axis of rotation.
    bar_diameter : Quantity [length]
        Twice R.
    offset : Quantity [length]
        Distance d of the bar's axis from the axis of rotation.

    Returns
    -------
    float or ndarray [no unit]
        1 inside R - d, 0 beyond R + d; one blow a turn between. For a web's ends see :func:`interrupted_share`.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived.
    """
    edge, bar = (
        np.asarray(magnitude(radius, "mm", "radius", above=0)),
        magnitude(bar_diameter, "mm", "bar_diameter", above=0) / 2,
    )
    away = magnitude(offset, "mm", "offset", least=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        cosine = np.where(
            np.asarray(away) > 0,
            (edge**2 + away**2 - bar**2) / (2 * edge * away),
            np.sign(edge - bar),
        )
    return number(np.arccos(np.clip(cosine, -1, 1)) / np.pi, "share")


def interrupted_share(web_width, radius, ends=2):
    r"""Share of each turn that the tool is in a web's ends, taken as a bar across the axis with flat sides.

    .. math:: \frac{k \arcsin(b / 2R)}{\pi}

    Parameters
    ----------
    web_width : Quantity [length]
    radius : Quantity [length]
        Distance of the tool from the axis of rotation, inside the web's end.
    ends : int
        Ends struck in a turn, 1 or 2.

    Returns
    -------
    float or ndarray [no unit]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is not above zero; a web wider than the circle.

    Notes
    -----
    Basis: derived. Where the circle leaves by the web's end as well, :func:`web_share` counts what is left.
    """
    width, away = (
        magnitude(web_width, "mm", "web_width", above=0),
        magnitude(radius, "mm", "radius", above=0),
    )
    if np.any(np.asarray(width) > 2 * np.asarray(away)):
        raise ValueError(
            "web_width is wider than the circle the tool sees: the cut is not interrupted there; write a smaller web_width or a larger radius"
        )
    return number(ends, "ends", least=1, most=2) * np.arcsin(width / (2 * away)) / np.pi


def web_share(crank, radius, throw=0, about="main"):
    """Share of each turn that a tool facing a web is in its metal, at distances from the turning axis.

    Parameters
    ----------
    crank : Crank
    radius : Quantity [length], scalar or array
    throw : int
        Counts from zero, left to right.
    about : str
        "main" for the face toward a main, "pin" for the face in the gap.

    Returns
    -------
    float or ndarray [no unit]
        1 near the journal, where the web goes all around; 0 beyond its farthest corner.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        The radius lacks its unit or is impossible; an unknown axis or throw.

    Notes
    -----
    Basis: derived, for the finished rectangle; an unmilled disc of bar has :func:`bar_share`.
    """
    made(crank, Crank, "crank")
    away = magnitude(radius, "mm", "radius", above=0)
    if about not in ("main", "pin"):
        raise ValueError(f'about must be "main" or "pin", not {about!r}')
    throw = counted(throw, crank.throws, "throw")
    web = cross_section.polygon(web_corners(crank).m_as("mm")[throw])
    found = cross_section.share(web, turning_axis(crank, about, throw), away)
    return float(found[0]) if np.ndim(away) == 0 else found


def front_angle(web_width, radius):
    r"""Angle between a web's flat side and the tool's face when they meet, in a cut along the axis over the web's ends.

    .. math:: \beta = \arcsin\frac{b}{2r}

    The side runs ahead nearer the axis, so the tip, which is nearest, is struck first unless the edge falls toward the
    tip by more than this.

    Parameters
    ----------
    web_width : Quantity [length]
    radius : Quantity [length], scalar or array
        Of the tip from the axis of rotation.

    Returns
    -------
    Quantity [deg]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; a web wider than the circle.

    Notes
    -----
    Basis: derived: seen from the axis, a point of the flat side at radius r leads the middle of the web by arcsin(b/2r).
    When a face is cut the whole edge lies at one radius, and a fall toward the tip of any size lets the back of it strike first.
    """
    width, away = (
        magnitude(web_width, "mm", "web_width", above=0),
        magnitude(radius, "mm", "radius", above=0),
    )
    if np.any(np.asarray(width) > 2 * np.asarray(away)):
        raise ValueError(
            "web_width is wider than the circle the tool sees: no side strikes there; write a smaller web_width or a larger radius"
        )
    return Quantity(np.degrees(np.arcsin(width / (2 * np.asarray(away)))), "deg")
