"""Cutting force, its components, its power at the edge."""

import warnings
from dataclasses import dataclass

import numpy as np

from ..checks import takes
from ..crank import steels
from ..language import marked
from ..tables import rows
from ..units import OutOfRangeWarning, Quantity, SafeSideWarning, number
from .hardness import hardness_factor

THICKNESS_RANGE = (
    0.1,
    0.63,
)  # mm, the printed columns that Kienzle's constants were checked against
SPEED_RANGE = (10.0, 100.0)  # m/min: fitted from 20, drawn on to the slowest table value in blows
RAKE_RANGE = (-20.0, 30.0)  # deg
RUBBING_SHARE = (
    0.25  # of the edge radius: a thinner layer is pressed aside; from memory, 0.2 to 0.4
)
EDGE_RADIUS = 0.01  # mm, fresh from a fine wheel and stone: from memory
WEAR = (marked("sharp"), marked("worn"), marked("blunt"))
OPERATIONS = ("turning", "grooving")
CORRECTIONS = {row["name"]: float(row["value"]) for row in rows("force_corrections")}


@dataclass(frozen=True)
class Components:
    """Force on the tool along the speed, along the feed, and square to the finished surface."""

    cutting: Quantity
    feed: Quantity
    passive: Quantity

    @property
    def resultant(self):
        """Vector sum of the three."""
        return (self.cutting**2 + self.feed**2 + self.passive**2) ** 0.5


def _warn(text, kind=OutOfRangeWarning):
    warnings.warn(text, kind, stacklevel=4)


def _outside(value, limits):
    """Whether any of some values is below the limits, and whether any is above them."""
    slack = 1e-9 * max(np.abs(limits))
    return np.any(value < limits[0] - slack), np.any(value > limits[1] + slack)


def _warn_outside(value, limits, text):
    if any(_outside(np.asarray(value), limits)):
        _warn(text)


@takes(depth="mm > 0", feed="mm > 0", approach_angle="deg (0..90]", gives=("mm", "mm"))
def chip_section(depth, feed, approach_angle=None):
    """Width and thickness of the undeformed chip: b = a / sin κ, h = f sin κ.

    ``depth`` is a, on the radius, ``feed`` f, that of a turn, ``approach_angle`` κ between the edge
    and the direction of feed, default 90 deg. A form tool plunged straight in has its edge's length
    for b and the feed for h.
    Basis: derived; sharp nose. A nose radius near the depth has :func:`edge.edge_in_cut`.
    """
    sine = 1.0 if approach_angle is None else np.sin(approach_angle)
    return depth / sine, feed * sine


@takes(
    chip_thickness="mm > 0",
    rake="deg (-90..90)",
    cutting_speed="m/min > 0",
    wear=WEAR,
    operation=OPERATIONS,
    gives="MPa",
)
def specific_cutting_force(
    steel,
    chip_thickness,
    *,
    rake=None,
    cutting_speed=None,
    wear="sharp",
    operation="turning",
    hardness=None,
):
    """Cutting force over the section of the undeformed chip, by Kienzle: kc = kc1.1 h^-mc.

    ``steel`` is a name of ``steels.NAMES``. ``rake`` is that across the edge
    (``tool_form.rake_across_edge``), default the 6 deg at which the constants hold;
    ``cutting_speed`` that of a high-speed-steel tool, default no correction (the constants belong
    to about 100 m/min), faster counted as 100 m/min with a SafeSideWarning, since the force goes on
    falling; ``wear`` "sharp" (1), "worn" (1.3) or "blunt" (1.5); ``operation`` "grooving" (1.3)
    where the chip is squeezed between walls: plunging, parting; ``hardness`` Brinell, default the
    steel's own.
    Basis: fitted data; kc1.1 and mc with their sources in ``steels``, range 0.1 to 0.63 mm;
    ``rake`` and ``wear`` from Dietrich/Tschaetsch, 11th ed.; speed and chip squeeze from memory
    (``data/force_corrections.csv``); ``hardness`` by ``hardness_factor``. Outside a range an
    OutOfRangeWarning; below 0.1 mm see :func:`thin_chip_force`.
    """
    _warn_outside(
        chip_thickness,
        THICKNESS_RANGE,
        "chip_thickness is outside 0.1 to 0.63 mm, where the constants were checked"
        "; thinner chips push harder than this says: see thin_chip_force",
    )
    factor = _correction(steel, rake, cutting_speed, wear, operation, hardness)
    return _kienzle(steel, chip_thickness) * factor


def _kienzle(steel, thickness):
    """Plain k_c [MPa] at a thickness [mm], without corrections or range check."""
    record = steels.find(steel)
    return record.specific_force.m_as("MPa") * np.asarray(thickness) ** -record.thickness_exponent


def _correction(steel, rake, cutting_speed, wear, operation, hardness):
    """Product of the corrections, each range checked; rake in rad, speed in m/min."""
    factor = CORRECTIONS[wear] * CORRECTIONS[operation] * hardness_factor(steel, hardness)
    if rake is not None:
        angle = np.degrees(rake)
        _warn_outside(
            angle, RAKE_RANGE, "rake is outside -20 to 30 deg, where one percent a degree was found"
        )
        factor = factor * (1 - CORRECTIONS["rake_per_degree"] * (angle - CORRECTIONS["base_rake"]))
    if cutting_speed is not None:
        slow, fast = _outside(np.asarray(cutting_speed), SPEED_RANGE)
        if slow:
            _warn(
                "cutting_speed is below 10 m/min, where the speed correction begins (fitted "
                "from 20)"
            )
        if fast:
            _warn(
                "cutting_speed is above 100 m/min: the force is counted as at 100 m/min, the safe "
                "side, since faster cuts ask for no more",
                SafeSideWarning,
            )
        counted = np.minimum(cutting_speed, SPEED_RANGE[1])
        factor = factor * CORRECTIONS["speed_constant"] * counted ** -CORRECTIONS["speed_exponent"]
    return factor


@takes(width="mm > 0", gives="N")
def cutting_force(steel, width, chip_thickness, **corrections):
    """Main cutting force, along the cutting speed, by Kienzle: Fc = b h kc(h).

    ``width`` is the length b of edge in the cut, ``chip_thickness`` [length] h of the undeformed
    chip. ``steel`` and ``corrections`` (rake, cutting_speed, wear, operation, hardness) as in
    :func:`specific_cutting_force`.
    Basis: fitted data, as there.
    """
    pressure = specific_cutting_force(steel, chip_thickness, **corrections).m_as("MPa")
    return width * chip_thickness.m_as("mm") * pressure


@takes(
    chip_thickness="mm > 0",
    edge_radius="mm > 0",
    rake="deg (-90..90)",
    cutting_speed="m/min > 0",
    wear=WEAR,
    operation=OPERATIONS,
    gives=("MPa", "MPa"),
)
def thin_chip_force(
    steel,
    chip_thickness,
    edge_radius=None,
    *,
    rake=None,
    cutting_speed=None,
    wear="sharp",
    operation="turning",
    hardness=None,
):
    """Lower and upper specific cutting force of a chip thinner than Kienzle's constants cover.

    The lower extends Kienzle's line; the upper is a straight line from 0.1 mm, so that a force on
    the edge alone is left where the chip vanishes: kc = k0.1 (1 - mc + mc h0.1/h).
    ``chip_thickness`` is at most 0.1 mm; ``edge_radius`` is the roundness of the edge, default 10
    um; ``steel`` and the corrections rake, ``cutting_speed``, ``wear``, ``operation``, ``hardness``
    as in :func:`specific_cutting_force`, taken to hold for thin chips.
    Basis: derived bracket, not a measurement; that the force grows faster than the law at thin
    chips is published (Kim, Lee, Sin, J. Mater. Process. Technol. 86, 1999). Below the edge radius
    an OutOfRangeWarning; below a quarter of it the tool rubs and the chip is refused (from memory).
    """
    thickness = np.asarray(chip_thickness)
    roundness = np.asarray(EDGE_RADIUS if edge_radius is None else edge_radius)
    start = THICKNESS_RANGE[0]
    if np.any(thickness > start * (1 + 1e-9)):
        raise ValueError(
            f"chip_thickness must be at most {start} mm here; for thicker chips use "
            "specific_cutting_force"
        )
    if np.any(thickness < RUBBING_SHARE * roundness):
        raise ValueError(
            "chip_thickness is below a quarter of edge_radius: the edge rubs and cuts no chip; "
            "feed more or hone the edge"
        )
    if np.any(thickness < roundness):
        _warn("chip_thickness is below edge_radius: the force may pass the upper value")
    slope = steels.find(steel).thickness_exponent
    upper = _kienzle(steel, start) * (1 - slope + slope * start / thickness)
    factor = _correction(steel, rake, cutting_speed, wear, operation, hardness)
    return _kienzle(steel, thickness) * factor, upper * factor


@takes(cutting_force="N >= 0", operation=OPERATIONS)
def force_components(cutting_force, operation="turning", feed_share=None, passive_share=None):
    """Feed and passive force beside a main cutting force: Ff = 0.5 Fc, Fp = 0.25 Fc.

    For "grooving", a tool plunged straight in, Ff = 0 and Fp = sqrt(0.5² + 0.25²) Fc.
    ``feed_share`` and ``passive_share`` put your own in, for example measured ones.
    Basis: rule of thumb printed in Cutting Tool Engineering (Calculated Forces When Turning), which
    itself calls it rough; for carbide. The plunge's share is derived by turning the thrust square
    to the axis. The nose moves thrust from feed to passive: ``edge.edge_in_cut`` says how much; a
    small rake or a blunt edge raise it further, to 1 and beyond (from memory).
    """
    usual = CORRECTIONS["feed_share"], CORRECTIONS["passive_share"]
    if operation == "grooving":
        usual = 0.0, float(np.hypot(*usual))
    feed, passive = (
        number(standard if own is None else own, name, least=0)
        for standard, own, name in zip(
            usual, (feed_share, passive_share), ("feed_share", "passive_share"), strict=True
        )
    )
    return Components(
        Quantity(cutting_force, "N"),
        Quantity(cutting_force * feed, "N"),
        Quantity(cutting_force * passive, "N"),
    )


@takes(force="N >= 0", cutting_speed="m/s >= 0", gives="W")
def cutting_power(force, cutting_speed):
    """Power at the tool's edge for a main cutting force: P = Fc v.

    Basis: derived. The motor needs this over the lathe's efficiency; the feed adds below one
    percent.
    """
    return force * cutting_speed
