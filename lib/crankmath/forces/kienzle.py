"""Cutting force, its components, its power at the edge."""

import csv
import warnings
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from ..crank import steels
from ..units import OutOfRangeWarning, Quantity, magnitude, number

THICKNESS_RANGE = (
    0.1,
    0.63,
)  # mm, the printed columns that Kienzle's constants were checked against
SPEED_RANGE = (20.0, 100.0)  # m/min
RAKE_RANGE = (-20.0, 30.0)  # deg
RUBBING_SHARE = 0.25  # of the edge radius; a thinner layer is pressed aside: from memory, published values 0.2 to 0.4
WEAR = ("sharp", "worn", "blunt")
OPERATIONS = ("turning", "grooving")


@dataclass(frozen=True)
class Components:
    """The three parts of the force on the tool: along the speed, along the feed, square to the finished surface."""

    cutting: Quantity
    feed: Quantity
    passive: Quantity

    @property
    def resultant(self):
        """The three added as arrows."""
        return (self.cutting**2 + self.feed**2 + self.passive**2) ** 0.5


@cache
def _table(name):
    with (files("crankmath") / "data" / f"{name}.csv").open(encoding="utf-8") as lines:
        return tuple(csv.DictReader(lines))


@cache
def _corrections():
    return {row["name"]: float(row["value"]) for row in _table("force_corrections")}


def _warn(text):
    warnings.warn(text, OutOfRangeWarning, stacklevel=3)


def _warn_outside(value, limits, text):
    slack = 1e-9 * max(np.abs(limits))
    if np.any(np.asarray(value) < limits[0] - slack) or np.any(
        np.asarray(value) > limits[1] + slack
    ):
        warnings.warn(text, OutOfRangeWarning, stacklevel=3)


def _word(value, words, name):
    if value not in words:
        raise ValueError(f"{name} must be one of {', '.join(words)}, not {value!r}")
    return value


def chip_section(depth, feed, approach_angle=None):
    r"""Width and thickness of the layer one turn cuts away, before it becomes a chip.

    .. math:: b = a / \sin\kappa, \quad h = f \sin\kappa

    Parameters
    ----------
    depth : Quantity [length]
        Depth of cut a, on the radius.
    feed : Quantity [length], per turn
    approach_angle : Quantity [angle], optional
        Angle kappa between the edge and the direction of feed, above 0 and up to 90 deg; 90 deg without it.

    Returns
    -------
    tuple of Quantity [mm]
        Width b and thickness h. A form tool plunged straight in has its edge's length for b and the feed for h.

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: derived; sharp nose. With a nose radius near the depth the layer is thinner than this.
    """
    across, along = magnitude(depth, "mm", "depth", above=0), magnitude(feed, "mm", "feed", above=0)
    angle = (
        90.0
        if approach_angle is None
        else magnitude(approach_angle, "deg", "approach_angle", above=0)
    )
    number(angle, "approach_angle in degrees", most=90)
    sine = np.sin(np.radians(angle))
    return Quantity(across / sine, "mm"), Quantity(along * sine, "mm")


def specific_cutting_force(
    steel, chip_thickness, *, rake=None, cutting_speed=None, wear="sharp", operation="turning"
):
    r"""Cutting force over the section of the layer cut, by Kienzle.

    .. math:: k_c = k_{c1.1} \left(\frac{h}{1\,\mathrm{mm}}\right)^{-m_c} K_\gamma K_v K_w K_s

    with :math:`K_\gamma = 1 - (\gamma - 6°)/100°` and :math:`K_v = 2.023\,(v\,/\,(\mathrm{m/min}))^{-0.153}`.

    Parameters
    ----------
    steel : str
        A name of ``steels.NAMES``.
    chip_thickness : Quantity [length], scalar or array
        Thickness h of the layer; see :func:`chip_section`.
    rake : Quantity [angle], optional
        Rake of the tool across its edge (``tool_form.rake_across_edge``); 6 deg without it, at which the constants hold.
    cutting_speed : Quantity [length/time], optional
        Speed of a high-speed-steel tool; without it no correction (the constants belong to about 100 m/min).
    wear : str
        "sharp" (1), "worn" (1.3) or "blunt" (1.5).
    operation : str
        "turning", or "grooving" (1.3) where the chip is squeezed between walls: plunging, parting, a wide form tool.

    Returns
    -------
    Quantity [MPa]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible; an unknown steel, wear or operation.

    Notes
    -----
    Basis: fitted data; Kienzle's k_c1.1 and m_c with their sources in ``steels``, range 0.1 to 0.63 mm; rake and wear
    from Dietrich/Tschaetsch, 11th ed.; speed and chip squeeze from memory (``data/force_corrections.csv``). Outside a
    range the result is given with an ``OutOfRangeWarning``. Below 0.1 mm see :func:`thin_chip_force`.
    """
    thickness = magnitude(chip_thickness, "mm", "chip_thickness", above=0)
    factor = _correction(rake, cutting_speed, wear, operation)
    _warn_outside(
        thickness,
        THICKNESS_RANGE,
        "chip_thickness is outside 0.1 to 0.63 mm, where the constants were checked"
        "; thinner chips push harder than this says: see thin_chip_force",
    )
    return Quantity(_kienzle(steel, thickness) * factor, "MPa")


def _kienzle(steel, thickness):
    """Plain k_c [MPa] at a thickness [mm], without corrections or range check."""
    record = steels.find(steel)
    return record.specific_force.m_as("MPa") * np.asarray(thickness) ** -record.thickness_exponent


def _correction(rake, cutting_speed, wear, operation):
    """Product of the corrections, each range checked."""
    known = _corrections()
    factor = known[_word(wear, WEAR, "wear")] * known[_word(operation, OPERATIONS, "operation")]
    if rake is not None:
        angle = magnitude(rake, "deg", "rake")
        if np.any(np.abs(angle) >= 90):
            raise ValueError(
                f"rake must lie between -90 and 90 deg, not {angle}; write for example 12 deg"
            )
        _warn_outside(
            angle, RAKE_RANGE, "rake is outside -20 to 30 deg, where one percent a degree was found"
        )
        factor = factor * (1 - known["rake_per_degree"] * (angle - known["base_rake"]))
    if cutting_speed is not None:
        speed = magnitude(cutting_speed, "m/min", "cutting_speed", above=0)
        _warn_outside(
            speed,
            SPEED_RANGE,
            "cutting_speed is outside 20 to 100 m/min, where the speed correction was fitted",
        )
        factor = factor * known["speed_constant"] * np.asarray(speed) ** -known["speed_exponent"]
    return factor


def cutting_force(steel, width, chip_thickness, **corrections):
    r"""Main cutting force, along the cutting speed, by Kienzle.

    .. math:: F_c = b\,h\,k_c(h)

    Parameters
    ----------
    steel : str
        A name of ``steels.NAMES``.
    width : Quantity [length], scalar or array
        Length b of edge in the cut.
    chip_thickness : Quantity [length], scalar or array; broadcasts
        Thickness h of the layer.
    **corrections
        ``rake``, ``cutting_speed``, ``wear``, ``operation`` of :func:`specific_cutting_force`.

    Returns
    -------
    Quantity [N]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        As :func:`specific_cutting_force`.

    Notes
    -----
    Basis: fitted data, as :func:`specific_cutting_force`.
    """
    across = magnitude(width, "mm", "width", above=0)
    pressure = specific_cutting_force(steel, chip_thickness, **corrections).m_as("MPa")
    return Quantity(across * magnitude(chip_thickness, "mm", "chip_thickness") * pressure, "N")


def thin_chip_force(
    steel,
    chip_thickness,
    edge_radius=None,
    *,
    rake=None,
    cutting_speed=None,
    wear="sharp",
    operation="turning",
):
    r"""Lower and upper specific cutting force of a chip thinner than Kienzle's constants cover.

    The lower one draws Kienzle's line on. The upper one goes on straight from 0.1 mm, so that a force on
    the edge alone is left where the chip vanishes: :math:`k_c = k_{0.1}\,(1 - m_c + m_c\,h_{0.1}/h)`.

    Parameters
    ----------
    steel : str
        A name of ``steels.NAMES``.
    chip_thickness : Quantity [length], scalar or array
        At most 0.1 mm.
    edge_radius : Quantity [length], optional
        Roundness of the edge: about 10 um fresh from a fine wheel and stone (from memory); 10 um without it.
    rake, cutting_speed, wear, operation
        Corrections of :func:`specific_cutting_force`, which say nothing of thin chips: taken to hold.

    Returns
    -------
    tuple of Quantity [MPa]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible. A layer thinner than a quarter of the edge
        radius is refused: the tool rubs there (the quarter from memory).

    Notes
    -----
    Basis: derived bracket, not a measurement; that specific force grows faster than the law at thin chips, because of
    the edge's roundness, is published (Kim, Lee, Sin, J. Mater. Process. Technol. 86, 1999). Below the edge radius an
    ``OutOfRangeWarning`` is given, for there even the upper one may be passed.
    """
    thickness = magnitude(chip_thickness, "mm", "chip_thickness", above=0)
    roundness = (
        0.01 if edge_radius is None else magnitude(edge_radius, "mm", "edge_radius", above=0)
    )
    start = THICKNESS_RANGE[0]
    if np.any(np.asarray(thickness) > start * (1 + 1e-9)):
        raise ValueError(
            f"chip_thickness must be at most {start} mm here; for thicker chips use specific_cutting_force"
        )
    if np.any(np.asarray(thickness) < RUBBING_SHARE * np.asarray(roundness)):
        raise ValueError(
            "chip_thickness is below a quarter of edge_radius: the edge rubs and cuts no chip; feed more or hone the edge"
        )
    if np.any(np.asarray(thickness) < roundness):
        _warn("chip_thickness is below edge_radius: the force may pass the upper value")
    slope = steels.find(steel).thickness_exponent
    upper = _kienzle(steel, start) * (1 - slope + slope * start / np.asarray(thickness))
    factor = _correction(rake, cutting_speed, wear, operation)
    return Quantity(_kienzle(steel, thickness) * factor, "MPa"), Quantity(upper * factor, "MPa")


def force_components(cutting_force, operation="turning", feed_share=None, passive_share=None):
    r"""Feed and passive force beside a main cutting force.

    .. math:: F_f = 0.5\,F_c, \quad F_p = 0.25\,F_c

    and, for a tool plunged straight in, :math:`F_f = 0`, :math:`F_p = \sqrt{0.5^2 + 0.25^2}\,F_c`.

    Parameters
    ----------
    cutting_force : Quantity [force]
    operation : str
        "turning", or "grooving" for a plunge: all of the thrust then bends the work.
    feed_share, passive_share : float, optional
        Own shares, for example measured ones.

    Returns
    -------
    Components [N]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is impossible.

    Notes
    -----
    Basis: rule of thumb printed in Cutting Tool Engineering (Calculated Forces When Turning), which itself calls it
    rough; for carbide. The plunge's share is derived from it by turning the thrust square to the axis. A nose radius
    above the depth, a small rake or a blunt edge raise the passive share, to 1 and beyond (from memory).
    """
    newtons = magnitude(cutting_force, "N", "cutting_force", least=0)
    known = _corrections()
    shares = known["feed_share"], known["passive_share"]
    if _word(operation, OPERATIONS, "operation") == "grooving":
        shares = 0.0, float(np.hypot(*shares))
    feed = number(shares[0] if feed_share is None else feed_share, "feed_share", least=0)
    passive = number(
        shares[1] if passive_share is None else passive_share, "passive_share", least=0
    )
    return Components(
        Quantity(newtons, "N"), Quantity(newtons * feed, "N"), Quantity(newtons * passive, "N")
    )


def cutting_power(force, cutting_speed):
    r"""Power at the tool's edge.

    .. math:: P = F_c\,v

    Parameters
    ----------
    force : Quantity [force]
        Main cutting force.
    cutting_speed : Quantity [length/time]; broadcasts

    Returns
    -------
    Quantity [W]

    Raises
    ------
    TypeError, pint.DimensionalityError, ValueError
        An input lacks its unit, is of the wrong kind, or is below zero.

    Notes
    -----
    Basis: derived. The motor gives this over the lathe's efficiency; the feed's share is below one percent.
    """
    return Quantity(
        magnitude(force, "N", "force", least=0)
        * magnitude(cutting_speed, "m/s", "cutting_speed", least=0),
        "W",
    )
