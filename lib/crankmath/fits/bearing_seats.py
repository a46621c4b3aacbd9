"""Seats of ball bearings and bronze bushings, and a bearing's corner against a fillet."""

from dataclasses import dataclass
from functools import cache

import numpy as np

from ..checks import one_of, takes
from ..fillets import largest_shaft_fillet
from ..tables import rows
from ..units import Quantity, magnitude, number
from .iso_286 import Fit, Limits, in_workshop_unit, limits, pair

# of an interference, by which the raceway widens: common practice 0.7 to 0.9, no source
RING_SHARE = 0.8
SAME_BORE = 0.01  # mm; a journal so near a standard bore is meant for it
# of bearing steel: a needle bearing maker's catalog, seen
BEARING_EXPANSION = Quantity(12.5e-6, "1/delta_degC")
GROUPS = ("C2", "CN", "C3")
FAULTS = {  # of a seated bearing, and the verdict on each
    "loose": "not fine",
    "may be loose": "look",
    "squeezed": "not fine",
    "may be squeezed": "look",
}


@dataclass(frozen=True)
class BallBearing:
    """A ball bearing's measures.

    ``corner`` is the least its corners may be, ``largest_fillet`` the shaft's that it clears.
    """

    name: str
    series: str
    bore: Quantity
    outside: Quantity
    width: Quantity
    corner: Quantity
    largest_fillet: Quantity
    source: str

    @property
    def raceway(self):
        """About the diameter of the inner ring's groove: bearing makers' rule, from memory."""
        return (4 * self.bore + self.outside) / 5


@cache
def ball_bearings():
    """The ball bearings of ``data/ball_bearings.csv``, by series and bore.

    Basis: standard. ISO 15 and ISO 582; each row says what was seen and what is from memory. Look
    yours up before you turn.
    """
    return tuple(
        BallBearing(
            row["designation"],
            row["series"],
            *(
                Quantity(float(row[key]), "mm")
                for key in (
                    "bore_mm",
                    "outside_mm",
                    "width_mm",
                    "least_corner_mm",
                    "largest_fillet_mm",
                )
            ),
            row["source"],
        )
        for row in rows("ball_bearings")
    )


@takes(diameter="mm > 0, one")
def bearings_for(diameter):
    """Ball bearings whose bore is a journal's diameter, lightest first; none for no standard bore.

    Basis: standard, as ``ball_bearings``.
    """
    return tuple(one for bore, _, one in _by_size() if abs(bore - diameter) <= SAME_BORE)


@cache
def _by_size():
    """Bore and outside [mm] of each ball bearing, and the bearing."""
    return tuple(
        sorted(
            ((one.bore.m_as("mm"), one.outside.m_as("mm"), one) for one in ball_bearings()),
            key=lambda row: row[:2],
        )
    )


@takes(diameter="mm > 0, one")
def nearest_bores(diameter):
    """Standard bores next below and next above a diameter; None where there is none.

    Basis: standard, as ``ball_bearings``; metric and inch bores, 6 to 50 mm.
    """
    below = [bore for bore, *_ in _by_size() if bore < diameter]
    above = [bore for bore, *_ in _by_size() if bore > diameter]
    return (
        Quantity(below[-1], "mm") if below else None,
        Quantity(above[0], "mm") if above else None,
    )


@takes(fillet="mm >= 0", corner="mm >= 0", gives="mm")
def stand_off(fillet, corner):
    """How far a ring stops short of its shoulder, its corner on the shaft's fillet: r - rs or 0.

    - ``corner``: Least corner of the bearing, or leg of a bushing's or spacer ring's chamfer.

    Basis: derived, from what the least corner means in ISO 582: metal of the ring may reach an arc
    of that radius. The bore of a ring that fits without clearance can go no farther than where the
    fillet begins to rise; forced farther, it is wedged and tilts.
    """
    return np.maximum(np.asarray(fillet) - corner, 0.0)[()]


@takes(fillet="mm >= 0", corner="mm > 0, one")
def clears(fillet, corner):
    """Whether a bearing's corner clears the fillet of its shaft, so that the ring reaches the web.

    - ``corner``: Least corner of the bearing.

    Basis: standard, as ``cleared_fillet``; sizes that differ in their last digits count as alike.
    """
    return fillet <= cleared_fillet(Quantity(corner, "mm")).m_as("mm") * (1 + 1e-9)


@takes(corner="mm > 0, one", gives="mm")
def cleared_fillet(corner):
    """Largest fillet of the shaft that a bearing's corner clears.

    - ``corner``: Least corner of the bearing.

    Basis: standard, as ``ball_bearings`` where one has this corner, else as
    ``fillets.largest_shaft_fillet``.
    """
    listed = (one for one in ball_bearings() if abs(one.corner.m_as("mm") - corner) < 1e-6)
    one = next(listed, None)
    if one is not None:
        return one.largest_fillet.m_as("mm")
    return largest_shaft_fillet(Quantity(corner, "mm")).m_as("mm")


def _banded(table, millimeters, name):
    """Row of a bearing table for a size, as (low, high) in um."""
    found = [row for row in rows("bearing_tolerances") if row["table"] == table]
    for row in found:
        if float(row["over_mm"]) < millimeters <= float(row["up_to_mm"]) * (1 + 1e-9):
            return float(row["low_um"]), float(row["high_um"])
    raise ValueError(
        f"{name} must be over 0 and up to {found[-1]['up_to_mm']} mm here; see the maker's table"
    )


def bearing_fit(size, code):
    """Fit of a ball bearing's ring on a shaft (small letter) or in a housing (capital letter).

    - ``size`` [mm]: Bore of the bearing for a shaft, outside diameter for a housing.
    - ``code``: Class of the seat: k6 turns with the load, H7 stands still, for example.

    Basis: standard. Rings of ISO 492 normal class (``data/bearing_tolerances.csv``): bore and
    outside always minus, so a shaft k6 that would be a transition fit in an H7 hole is tight in a
    bearing. Range: bearings of normal class.
    """
    seat = limits(size, code)
    inner = str(code).strip()[0].islower()
    low, high = _banded("bore" if inner else "outside", magnitude(size, "mm", "size"), "size")
    ring = Limits(in_workshop_unit(high, size), in_workshop_unit(low, size))
    return pair(ring, seat) if inner else pair(seat, ring)


@takes(interference="um >= 0", group=GROUPS, share="number 0..1")
def bearing_clearance(bore, interference, group="CN", share=RING_SHARE):
    """Least and greatest radial clearance left in a ball bearing whose inner ring sits tight.

    - ``interference``: Of ring and shaft, on the diameter; a clearance fit is zero.
    - ``group``: One of GROUPS.
    - ``share``: Part of the interference by which the raceway widens: bore over raceway diameter
      for a solid shaft.
    - ``bore`` [mm]: In inches the answer is in thousandths of an inch.

    Basis: standard (ISO 5753-1 clearances, reproductions seen) with a rule of thumb: the ring
    widens by 0.8 of the interference (common practice 0.7 to 0.9, no source; thick rings make it
    bore over raceway diameter, 0.70 to 0.89 for the bearings here). Warming of the inner ring takes
    more. Below zero the balls are squeezed: take a looser fit or C3.
    """
    low, high = _banded(group, magnitude(bore, "mm", "bore", above=0, one=True), "bore")
    lost = share * interference
    return in_workshop_unit(low - lost, bore), in_workshop_unit(high - lost, bore)


@dataclass(frozen=True)
class SeatedBearing:
    """A ball bearing on a seat: its ring's fit, and the internal clearance left in it once it sits.

    ``least`` and ``most`` are the clearance of the worst pairs, ``usual`` that of middle sizes,
    ``low`` what 95 % of pairs have at least; below zero the balls are squeezed.
    """

    bearing: BallBearing
    ring: Fit
    least: Quantity
    low: Quantity
    usual: Quantity
    most: Quantity

    @property
    def usual_grip(self):
        """Interference of ring and seat at middle sizes; below zero the ring is loose."""
        return -(self.ring.loosest + self.ring.tightest) / 2

    @property
    def faults(self):
        """What is wrong, in the words of ``FAULTS``.

        Loose at middle sizes, the ring creeps. Basis: derived from the worst and the middle pairs.
        """
        if self.usual_grip.magnitude <= 0:
            return ("loose",)
        found = ["may be loose"] if self.ring.loosest.magnitude > 0 else []
        if self.usual.magnitude <= 0:
            found.append("squeezed")
        elif self.low.magnitude < 0:
            found.append("may be squeezed")
        return tuple(found)


def seated_bearing(diameter, code, series="light", group="CN"):
    """Ball bearing whose bore is a journal's diameter, on that journal turned to a class, or None.

    - ``diameter`` [mm]: Of the journal; None comes back where no standard bore is meant.
    - ``code``: Class of the seat, for example "k6".
    - ``series``: "light" or "medium", where there is one of it; an inch bore has one series.
    - ``group``: One of GROUPS.

    Basis: ISO 492, ISO 5753-1 and ISO 286 as the functions it calls; the raceway widens by bore
    over raceway diameter of the grip. The low clearance adds half zones of seat, ring and group as
    rectangular parts (GUM 4.3.7), factor 2.
    """
    found = bearings_for(diameter)
    if not found:
        return None
    bearing = next((one for one in found if one.series == series), found[0])
    ring = bearing_fit(diameter, code)
    share = (bearing.bore / bearing.raceway).m_as("dimensionless")
    grips = [max(-end.m_as("um"), 0.0) for end in (ring.tightest, ring.loosest)]
    usual = max(-(ring.loosest + ring.tightest).m_as("um") / 2, 0.0)
    least, middle, most = (
        [end.m_as("um") for end in bearing_clearance(bearing.bore, grip, group, share)]
        for grip in (Quantity(size, "um") for size in (grips[0], usual, grips[1]))
    )
    zones = [share * (zone.upper - zone.lower).m_as("um") / 2 for zone in (ring.hole, ring.shaft)]
    spread = 2 * np.sqrt((sum(zone**2 for zone in zones) + ((most[1] - most[0]) / 2) ** 2) / 3)
    return SeatedBearing(
        bearing,
        ring,
        *(
            in_workshop_unit(float(size), diameter)
            for size in (least[0], sum(middle) / 2 - spread, sum(middle) / 2, most[1])
        ),
    )


def running_clearance(diameter, duty="turning"):
    """Least and greatest clearance of an oiled bronze bushing or split bearing, as shops choose it.

    - ``diameter`` [mm]: In inches the answer is in thousandths of an inch; on the diameter.
    - ``duty``: "turning", "rocking", "crank pin" or "hot or dirty".

    Basis: rule of thumb. Common practice: about a thousandth of the diameter, more for heat; each
    row of ``data/running_clearances.csv`` says where it comes from. A maker's sheet for the very
    bushing counts more.
    """
    table = {row["duty"]: row for row in rows("running_clearances")}
    row = table[one_of(duty, table, "duty")]
    size = magnitude(diameter, "mm", "diameter", above=0)
    floor = float(row["least_mm"])
    return tuple(
        in_workshop_unit(np.maximum(size * float(row[key]), floor * times)[()] * 1000, diameter)
        for key, times in (("low_share", 1), ("high_share", 2))
    )


@takes(interference="mm >= 0")
def bushing_bore(bore, interference, closing=(0.7, 1.0)):
    """Largest and smallest bore of a bronze bushing after it is pressed into its housing.

    - ``bore`` [mm]: Before pressing.
    - ``interference``: Of bushing and housing, on the diameter.
    - ``closing``: Least and greatest part of the interference by which the bore closes.

    Basis: rule of thumb. Common practice, no source: a thin bushing in a stout housing closes by
    nearly the whole interference. Ream after pressing, or measure one first.
    """
    low, high = number(closing, "closing", least=0, most=1)
    size = magnitude(bore, "mm", "bore", above=0)
    return tuple(
        Quantity(size - share * interference, "mm").to(bore.units) for share in (low, high)
    )
