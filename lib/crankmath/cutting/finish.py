"""The finish a tool leaves by its form alone: a nose, a wide straight edge, and the feed for a wanted roughness."""

import warnings

import numpy as np

from ..checks import radians_within
from ..units import OutOfRangeWarning, Quantity, magnitude


def ideal_roughness(feed, nose_radius):
    r"""Finish left by the feed and the tool's nose alone: Rt and Ra.

    .. math:: R_t = \frac{f^2}{8 r}, \quad R_a = \frac{f^2}{18\sqrt{3}\, r}

    Parameters
    ----------
    feed : Quantity [length], per turn
    nose_radius : Quantity [length]

    Returns
    -------
    tuple of Quantity [um]
        Rt (peak to valley) and Ra (mean).

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is not above zero.

    Notes
    -----
    Basis: derived, arcs taken as parabolas. Groover, 5th ed., Eq. 23.1 prints f^2/(32 r) for Ra, 2.6 % low.
    With a feed above the nose radius the edge leaves a thread, and an ``OutOfRangeWarning`` is given.
    """
    step, nose = (
        magnitude(feed, "mm", "feed", above=0),
        magnitude(nose_radius, "mm", "nose_radius", above=0),
    )
    if np.any(np.asarray(step) > nose):
        warnings.warn(
            "feed is above nose_radius: the straight edge cuts as well and the formula does not hold",
            OutOfRangeWarning,
            stacklevel=2,
        )
    share = 1000 * step**2 / nose
    return Quantity(share / 8, "um"), Quantity(share / (18 * np.sqrt(3)), "um")


def wide_tool_roughness(feed, tilt, edge_width):
    r"""Finish left by a straight edge wider than the feed, set out of parallel with the work: Rt and Ra.

    .. math:: R_t = f \tan\delta, \quad R_a = R_t / 4

    Parameters
    ----------
    feed : Quantity [length], per turn
    tilt : Quantity [angle], scalar or array
        delta, between the edge and the finished surface; zero leaves the edge's own grinding marks only.
    edge_width : Quantity [length]
        Straight length of the edge.

    Returns
    -------
    tuple of Quantity [um]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; a feed above the edge's width, which leaves a ridge.

    Notes
    -----
    Basis: derived (a saw-tooth's mean is a quarter of its height; Boothroyd prints the same, from memory). A plunged
    wide edge copies itself: its tilt becomes taper, its nicks become rings. Watch the width against ``chatter``.
    """
    step, width = (
        magnitude(feed, "mm", "feed", above=0),
        magnitude(edge_width, "mm", "edge_width", above=0),
    )
    angle = np.abs(radians_within(tilt, "tilt", -45, 45))
    if np.any(np.asarray(step) > np.asarray(width) * np.cos(angle)):
        raise ValueError("feed is above edge_width: a ridge is left between turns; feed less")
    height = 1000 * step * np.tan(angle)
    return Quantity(height, "um"), Quantity(height / 4, "um")


def feed_for_roughness(mean_roughness, nose_radius):
    r"""Feed that gives a wanted ideal Ra, the inverse of :func:`ideal_roughness`.

    .. math:: f = \sqrt{18\sqrt{3}\, r\, R_a}

    Parameters
    ----------
    mean_roughness : Quantity [length]
        Ra, often in um.
    nose_radius : Quantity [length]

    Returns
    -------
    Quantity [mm]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is not above zero.

    Notes
    -----
    Basis: derived. The finish on the part is rougher: up to twice this at slow speeds in soft steel (from memory).
    """
    wanted, nose = (
        magnitude(mean_roughness, "mm", "mean_roughness", above=0),
        magnitude(nose_radius, "mm", "nose_radius", above=0),
    )
    feed = Quantity(np.sqrt(18 * np.sqrt(3) * nose * wanted), "mm")
    ideal_roughness(feed, nose_radius)  # says where the feed passes the nose
    return feed
