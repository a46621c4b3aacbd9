"""A crank's own webs: their solved corners beside the pin and journal as plain bars."""

import numpy as np

from ..checks import made, one_of
from ..crank import Crank
from ..units import number
from .solved import factors


def bending_on_bar(crank, where="pin", web=1):
    """Peak bending stress in a web's fillet over that of its pin or journal as a plain round bar.

    The nominal stress is 32 M / (pi d^3), as for a stepped shaft: so the two can be compared.

    Parameters
    ----------
    crank : Crank
    where : "pin" or "journal"
    web : int
        Number of the web, 1 at the left end.

    Returns
    -------
    float [no unit]

    Warns
    -----
    OutOfRangeWarning
        As for ``factors``.

    Notes
    -----
    Basis: fitted data, ``factors``; the moment turns from the web's section to the bar's.
    """
    made(crank, Crank, "crank")
    one_of(where, ("pin", "journal"), "where")
    count = 2 * len(crank.throws)
    at = number(web, "web", least=1)
    if at != int(at) or at > count:
        raise ValueError(f"web must be a number from 1 to {count}, 1 at the left end; not {web!r}")
    index = int(at) - 1
    throw, journal = crank.throws[index // 2], crank.journals[index // 2 + index % 2]
    found = factors(
        throw.pin_diameter,
        journal.diameter,
        throw.radius,
        throw.web_thickness,
        throw.web_width,
        throw.fillet,
        journal.fillet,
        min(throw.web_reach, throw.web_width / 2),
    )
    diameter = throw.pin_diameter if where == "pin" else journal.diameter
    web_section = throw.web_width * throw.web_thickness**2 / 6
    bar_over_web = (np.pi * diameter**3 / 32 / web_section).m_as("dimensionless")
    return float(getattr(found, f"{where}_bending") * bar_over_web)
