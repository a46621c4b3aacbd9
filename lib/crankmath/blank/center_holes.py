"""Center holes by work diameter and thrust, their room, and throw plates where the bar has none."""

from dataclasses import dataclass

import numpy as np

from ..checks import takes
from ..crank import Crank
from ..tables import rows
from ..units import Quantity, as_text
from .layout import CenterLayout

STANDARDS = ("ISO", "ASME")
LIVE_PRESSURE = Quantity(100.0, "MPa")  # center that turns with the work: assumed, no source
# center that stands still, well greased, slow: assumed, no source
DEAD_PRESSURE = Quantity(20.0, "MPa")
NO_FORCE, LEAST_WALL = Quantity(0.0, "N"), Quantity(1.0, "mm")


@dataclass(frozen=True)
class CenterHole:
    """A 60 degree center hole: drill, mouth, least depth, pressure of the thrust on its cone."""

    name: str
    standard: str
    drill: Quantity
    mouth: Quantity
    least_depth: Quantity
    pressure: Quantity
    source: str

    @property
    def cone_depth(self):
        """Depth of the cone, from the mouth to where the pilot hole goes on alone."""
        return (self.mouth - self.drill) / 2 / np.tan(np.pi / 6)


@dataclass(frozen=True)
class HoleRoom:
    """Metal from a hole's mouth to the bar's edge and the next mouth; negative where they cut."""

    name: str
    to_edge: Quantity
    to_next: Quantity
    fits: bool


@dataclass(frozen=True)
class ThrowPlate:
    """Least sizes of a plate that carries the pin centers: round, or a lug for one throw."""

    diameter: Quantity
    lug_length: Quantity
    lug_width: Quantity
    thickness: Quantity


def _table(standard):
    return [row for row in rows("center_holes") if row["standard"] == standard]


def _hole(row, force):
    """Hole of a row of the table, and the pressure of a thrust [N] on the ring about its drill."""
    lengths = [Quantity(float(row[key]), row["unit"]) for key in ("drill", "mouth", "least_depth")]
    drill, mouth = (length.m_as("mm") for length in lengths[:2])
    pressure = force / (np.pi / 4 * (mouth**2 - drill**2))
    return CenterHole(
        row["name"], row["standard"], *lengths, Quantity(pressure, "MPa"), row["source"]
    )


@takes(
    work_diameter="mm > 0, one",
    thrust="N >= 0, one",
    standard=STANDARDS,
    allowed_pressure="MPa > 0, one",
)
def center_hole(work_diameter, thrust=NO_FORCE, standard="ISO", allowed_pressure=LIVE_PRESSURE):
    r"""Center hole for a work diameter, made larger where the thrust asks for it.

    .. math:: p = \frac{P}{\tfrac{\pi}{4}(D^2 - d^2)}

    ``work_diameter`` is that of the bar, or the smallest side of a square or flat one; ``standard``
    "ISO" (metric, type A) or "ASME" (inch, plain type); ``allowed_pressure`` ``LIVE_PRESSURE``,
    ``DEAD_PRESSURE`` or your own. Refused outside the table, or for a thrust that no hole bears.
    Basis: handbook table for the diameter (each row names its source; the ASME rows are from
    memory); pressure derived: on a cone its axial part acts on the ring between mouth and drill.
    Allowed pressures are assumed, no source.
    """
    table, scale = _table(standard), 25.4 if standard == "ASME" else 1.0
    low, high = float(table[0]["work_over"]) * scale, float(table[-1]["work_to"]) * scale
    if not low < work_diameter <= high:
        raise ValueError(
            "work_diameter must lie in the table of center holes, "
            f"{low:g} to {high:g} mm, not {work_diameter:g} mm"
        )
    for row in table:
        hole, most = _hole(row, thrust), float(row["work_to"]) * scale * (1 + 1e-9)
        if work_diameter <= most and hole.pressure.magnitude <= allowed_pressure:
            return hole
    raise ValueError(
        f"thrust of {as_text(Quantity(thrust, 'N'))} is more than any center hole of the table "
        "bears; write less thrust"
    )


@takes(layout=CenterLayout, hole=CenterHole, least_wall="mm >= 0, one")
def hole_room(layout, hole, least_wall=LEAST_WALL):
    """Room of the center holes on the end face, one HoleRoom each.

    ``least_wall`` is the metal wanted around a mouth: common practice, no source.
    Basis: derived. Two mouths that cut into each other (a throw shorter than mouth and wall) guide
    neither center.
    """
    mouth = hole.mouth.m_as("mm")
    places = np.array(
        [
            [point.from_middle_x.m_as("mm"), point.from_middle_y.m_as("mm")]
            for point in layout.points
        ]
    )
    gaps = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    np.fill_diagonal(gaps, np.inf)
    rooms = []
    for point, gap in zip(layout.points, gaps.min(axis=1) - mouth, strict=True):
        edge = point.clear.m_as("mm") - mouth / 2
        fits = bool(edge >= least_wall and gap >= least_wall)
        rooms.append(HoleRoom(point.name, Quantity(edge, "mm"), Quantity(float(gap), "mm"), fits))
    return tuple(rooms)


@takes(
    layout=CenterLayout,
    thrust="N >= 0, one",
    standard=STANDARDS,
    allowed_pressure="MPa > 0, one",
    least_wall="mm >= 0, one",
)
def hole_with_room(
    layout,
    thrust=NO_FORCE,
    standard="ISO",
    allowed_pressure=LIVE_PRESSURE,
    least_wall=LEAST_WALL,
):
    """Center hole for a bar, or the largest smaller one with metal between mouths and to the edge.

    ``allowed_pressure`` and ``standard`` as in :func:`center_hole`. Refused where no hole of the
    table has room and bears the thrust.
    Basis: handbook table by :func:`center_hole`, room by :func:`hole_room`.
    """
    side = min(layout.bar.width, layout.bar.height).m_as("mm")
    first = center_hole.plain(side, thrust, standard, allowed_pressure)
    smaller = [row for row in _table(standard) if float(row["drill"]) <= first.drill.magnitude]
    for row in reversed(smaller):
        hole = _hole(row, thrust)
        if hole.pressure.magnitude <= allowed_pressure and all(
            room.fits for room in hole_room.plain(layout, hole, least_wall)
        ):
            return hole
    raise ValueError(
        "layout has no room for center holes that bear the thrust: "
        "a center lies too near another or the edge; take throw plates or a larger bar"
    )


@takes(crank=Crank, hole=CenterHole, bore="mm > 0, one", wall="mm > 0, one")
def throw_plate(crank, hole, bore, wall=Quantity(5.0, "mm")):  # noqa: B008
    r"""Least plate or lug that carries the pin centers on a turned end, where the bar is too small.

    .. math:: D = 2\max(r + \tfrac{m}{2} + w, \tfrac{B}{2} + w)

    ``bore`` B is the diameter of the turned end the plate sits on; ``wall`` w the metal around bore
    and mouth m: common practice, no source.
    Basis: derived for the sizes; plates on the ends are old practice (Rose, Modern Machine-Shop
    Practice: throw pieces, their edges sighted for twist, broadened opposite the throw as a
    counterweight). Both plates have to be keyed or pinned: one that slips under the cut spoils the
    crank and may throw it out of the lathe.
    """
    mouth, radii = hole.mouth.m_as("mm"), [throw.radius for throw in crank.plain.throws]
    if min(radii) - mouth / 2 < bore / 2:
        raise ValueError(
            "bore reaches into the mouth of a center hole; "
            "turn the end smaller or use a smaller center hole"
        )
    far = max(radii)
    sizes = (
        2 * max(far + mouth / 2 + wall, bore / 2 + wall),
        far + (bore + mouth) / 2 + 2 * wall,
        max(bore, mouth) + 2 * wall,
        hole.least_depth.m_as("mm") + wall,
    )
    return ThrowPlate(*(Quantity(size, "mm") for size in sizes))
