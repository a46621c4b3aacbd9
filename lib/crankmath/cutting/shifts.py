"""Spindle speeds by diameter while work is turned down from its swing: the shift table."""

from dataclasses import dataclass

import numpy as np

from ..checks import takes
from ..lathe import Lathe
from ..units import Quantity
from .speeds import SCATTER, speed_for, spindle_speed

BALANCE_SHARE = 0.85  # of the force that the lathe bears: from there on a look is due, own choice


@dataclass(frozen=True)
class Shift:
    """One row of a shift table: a gear step from a diameter down to another.

    ``surface_speed`` is that at ``from_diameter``, where it is highest; ``table_speed`` what the
    tables allow there; ``set_by`` "cut", "bar" (the work off its axis) or "gears" where the slowest
    step is still too fast; ``unbalance_share`` the pull of the work over what the lathe bears.
    """

    from_diameter: Quantity
    to_diameter: Quantity
    spindle_speed: Quantity
    surface_speed: Quantity
    table_speed: Quantity
    in_blows: bool
    set_by: str
    unbalance_share: float

    def __str__(self):
        high, low = self.from_diameter.m_as("mm"), self.to_diameter.m_as("mm")
        blows = ", in blows" if self.in_blows else ""
        return (
            f"Ø{high:.1f} to Ø{low:.1f} mm: {self.spindle_speed.m_as('rpm'):.0f} rpm, "
            f"{self.surface_speed.m_as('m/min'):.1f} m/min{blows}"
        )


@takes(
    swing_diameter="mm > 0, one",
    final_diameter="mm > 0, one",
    lathe=Lathe,
    whole_diameter="mm >= 0, one",
    mass="kg > 0, one",
    offset="mm >= 0, one",
)
def shift_table(
    steel,
    swing_diameter,
    final_diameter,
    lathe,
    *,
    whole_diameter=None,
    mass=None,
    offset=None,
    tool="HSS",
    hardness=None,
):
    """Gear steps by diameter while roughing from the swing down to size, slowest first.

    Each step holds from the diameter at which it meets the tables' roughing speed down to where the
    next one does: no surface runs faster than its table value. Outside ``whole_diameter``, inside
    which the cut is not interrupted (default the swing: no blows), the tables count 0.7. ``mass``
    and ``offset`` of what turns off its axis keep the pull of the work within 0.85 of what the
    lathe bears. ``swing_diameter`` is twice the farthest point's distance from the turning axis;
    ``steel``, ``tool`` and ``hardness`` as in ``cutting.speed_for``.
    Basis: derived from the tables; OD1645 p. 52, the next slower step; the 0.7 and the 0.85 are
    common practice, no source.
    """
    if swing_diameter <= final_diameter:
        raise ValueError(
            "swing_diameter must be above final_diameter: there is nothing to turn off"
        )
    whole = swing_diameter if whole_diameter is None else whole_diameter
    steady, struck = (
        speed_for(steel, tool, "roughing", hardness, blows).speed.m_as("m/min")
        for blows in (False, True)
    )
    table, bears = np.sort(lathe.gear_table.m_as("rpm")), lathe.unbalance_force.m_as("N")
    pull = (mass or 0.0) * (offset or 0.0) / 1000 * (2 * np.pi * table / 60) ** 2
    borne = table[pull <= BALANCE_SHARE * bears * (1 + 1e-9)]
    fastest = borne[-1] if borne.size else table[0]
    found = []
    for high, low, speed, blows in (
        (swing_diameter, max(whole, final_diameter), struck, True),
        (min(whole, swing_diameter), final_diameter, steady, False),
    ):
        while high > low * (1 + 1e-9):
            suiting = table[1000 * speed / (np.pi * high) * (1 + 1e-9) >= table]
            wanted = suiting[-1] if suiting.size else table[0]
            step = min(wanted, fastest)
            faster = table[table > step]
            # down to where the next step meets the tables, unless the bar forbids it
            shift = max(low, 1000 * speed / (np.pi * faster[0])) if faster.size else low
            held = fastest < wanted or (shift > low and faster[0] > fastest)
            end = low if held else shift
            reason = "cut" if suiting.size else "gears"
            found.append(
                Shift(
                    Quantity(high, "mm"),
                    Quantity(end, "mm"),
                    Quantity(step, "rpm"),
                    Quantity(np.pi * high * step / 1000, "m/min"),
                    Quantity(speed, "m/min"),
                    blows,
                    "bar" if held or not borne.size else reason,
                    float(pull[np.searchsorted(table, step)] / bears),
                )
            )
            high = end
    return _joined(found)


def _joined(rows):
    """Rows of one step and one kind of cut as one."""
    found = []
    for row in rows:
        before = found[-1] if found else None
        if before and (before.spindle_speed, before.in_blows) == (row.spindle_speed, row.in_blows):
            row = Shift(before.from_diameter, row.to_diameter, *list(vars(before).values())[2:])
            found[-1] = row
        else:
            found.append(row)
    return tuple(found)


@takes(diameter="mm > 0, one", lathe=Lathe, mass="kg > 0, one", offset="mm >= 0, one")
def finishing_step(steel, diameter, lathe, *, mass=None, offset=None, tool="HSS", hardness=None):
    """Gear step for the last cuts at a diameter, and what it is chosen from, as one :class:`Shift`.

    The step nearest to the tables' finishing speed from below, or one above it by no more than
    ``speeds.SCATTER``, far less than tables differ; slower where the work off its axis asks for it,
    as in :func:`shift_table`. ``steel``, ``tool`` and ``hardness`` as in ``cutting.speed_for``.
    Basis: handbook table; the scatter is our own choice.
    """
    speed = speed_for(steel, tool, "finishing", hardness).speed
    wanted = spindle_speed(speed, Quantity(diameter, "mm")).m_as("rpm")
    table, bears = np.sort(lathe.gear_table.m_as("rpm")), lathe.unbalance_force.m_as("N")
    pull = (mass or 0.0) * (offset or 0.0) / 1000 * (2 * np.pi * table / 60) ** 2
    by_cut = table[table <= wanted * (1 + SCATTER)]
    by_bar = table[pull <= BALANCE_SHARE * bears * (1 + 1e-9)]
    step = min(part[-1] if part.size else table[0] for part in (by_cut, by_bar))
    reason = "cut" if by_cut.size else "gears"
    if not by_bar.size or (by_cut.size and by_bar[-1] < by_cut[-1]):
        reason = "bar"
    return Shift(
        *(Quantity(size, "mm") for size in (diameter, diameter)),
        Quantity(step, "rpm"),
        Quantity(np.pi * diameter * step / 1000, "m/min"),
        speed,
        False,
        reason,
        float(pull[np.searchsorted(table, step)] / bears),
    )
