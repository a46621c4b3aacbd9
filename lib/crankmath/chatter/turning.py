"""Chatter of a real turning tool: nose, approach angle, stiffness in both directions.

Turning along, the depth is radial and the feed axial; facing swaps them; a plunged edge has its
whole width square to the work. Movements of work and tool meet the edge by its direction of
thickness, so each is limited by the stiffness in its own direction. No shop needs the whole chart:
what counts is the deepest cut that is quiet at any speed, and the speed below which rubbing keeps
this one quiet.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .. import deflection
from ..checks import several, takes
from ..crank.mass import mass_properties
from ..forces import edge as edges
from ..forces import kienzle
from ..lathe import Lathe
from ..units import Quantity, number
from .limits import _grid, _least, _limits, dynamic_force
from .modes import Mode, plain_modes, plain_receptance, work_modes

OPERATIONS = ("along", "plunging", "facing")
QUIET_SHARE = 2 / 3  # of the limit; the damping is known to a half: own choice
NOSES = (0.8, 0.4, 0.2)  # mm, the usual ones to change to
NOSE_SHARE = 2 / 3  # of the nose, the least depth: insert makers' rule, from memory
DEPTHS = (0.002, 20.0)  # mm, between which a limit is looked for
SPEEDS = (0.1, 1000.0)  # m/min
LARGEST = 50.0  # mm, of a depth or width of edge
ROUNDS = 40  # of halving an interval
RIGID = 1e20 + 0j  # N/m, of a direction without modes


@dataclass(frozen=True)
class Remedy:
    """One way to a quiet cut: what to change, the value to change it to, the share left then."""

    change: str
    value: Quantity
    share: float


@dataclass(frozen=True)
class TurningLimit:
    """How near a cut is to chatter, and where its limits lie.

    ``share`` is the edge in the cut over what is quiet at any spindle speed, above 1 chatter;
    ``deepest`` the depth of cut, or for a plunge the width of edge, that just stays quiet (infinite
    where none chatters); ``direction`` "radial" or "axial", the movement that begins; ``frequency``
    of the chatter (zero for none); ``quiet_speed`` the cutting speed below which the flank's
    rubbing keeps this cut quiet, infinite where it is quiet anyway, zero without rubbing. ``edge``
    in the cut and ``specific_force``, the slope K along the thickness, are what it was worked out
    from.
    """

    operation: str
    share: float
    deepest: Quantity
    direction: str
    frequency: Quantity
    quiet_speed: Quantity
    radial_stiffness: Quantity
    axial_stiffness: Quantity
    edge: edges.EdgeInCut
    specific_force: Quantity
    remedies: tuple


@takes(lathe=Lathe)
def machine_setup(lathe, held="main", spacers=(), tool=False):
    """How a lathe holds the work, as ``deflection`` and :func:`work_modes` take it.

    held is "main" or the throw whose pin is turned; spacers bear all the time; tool brings the
    compliance of tool, post and slides in as a spring, for ``deflection``.
    Basis: derived from the lathe's file.
    """
    if not isinstance(held, str):
        held = int(number(held, "held", least=0, one=True))
    return deflection.Setup(
        held=held,
        left_center=lathe.headstock_stiffness,
        right_center=lathe.tailstock_stiffness,
        tool=lathe.tool_stiffness if tool else None,
        spacers=tuple(spacers),
    )


@takes(lathe=Lathe)
def machine_modes(crank, where, lathe, held="main", spacers=(), damping_ratio=None):
    """Radial and axial modes of a crank on a lathe at a place, those of the tool first.

    crank, where (one place), held and spacers as for ``deflection``; damping_ratio that of all,
    default the lathe's. Radially the work moves in its softest direction. Along the axis the work
    moves as a whole on headstock and bed, and is pressed together between tool and headstock.
    Basis: derived from ``modes.work_modes`` and the lathe's stiffnesses.
    """
    zeta = lathe.damping_ratio if damping_ratio is None else damping_ratio
    setup = machine_setup(lathe, held, spacers)
    mass = mass_properties(crank).mass.m_as("kg")
    shaken = np.sqrt(lathe.axial_stiffness.m_as("N/m") / mass) / (2 * np.pi)
    radial = (
        Mode(lathe.tool_frequency, lathe.tool_stiffness, zeta),
        *work_modes(crank, where, zeta, setup=setup),
    )
    axial = (
        Mode(lathe.tool_axial_frequency, lathe.tool_axial_stiffness, zeta),
        Mode(Quantity(shaken, "Hz"), lathe.axial_stiffness, zeta),
        *work_modes(crank, where, zeta, setup=setup, axial=True),
    )
    return radial, axial


@dataclass(frozen=True)
class _Cut:
    """A cut in plain numbers, the modes of both directions, and C [N/m] of the flank's rubbing."""

    operation: str
    feed: float
    approach: float
    radial: np.ndarray
    axial: np.ndarray
    rubbing: float

    def matrices(self, depth, nose):
        """Edge [m] that meets last turn's movement, and only this turn's, at a depth [mm]."""
        if self.operation == "plunging":
            return np.diag([depth / 1000, 0.0]), np.zeros((2, 2))
        shape = edges._shape(depth, self.feed, nose, self.approach)
        found = edges.regenerating_edge(shape, depth, self.feed)
        if self.operation == "facing":
            found = [matrix[::-1, ::-1] for matrix in found]
        return [matrix / 1000 for matrix in found]

    @cached_property
    def grid(self):
        """Frequencies [Hz]."""
        return np.unique(
            np.concatenate([_grid(part) for part in (self.radial, self.axial) if len(part)])
        )

    @cached_property
    def inverse(self):
        """Dynamic stiffness [N/m] at each frequency, radial and axial."""
        return [
            1 / plain_receptance(part, self.grid) if len(part) else np.full(len(self.grid), RIGID)
            for part in (self.radial, self.axial)
        ]

    def quiet_times(self, depth, nose, force, speed):
        """Times the edge may be what it is before it chatters, frequency, and the direction.

        The strip of surface that no turn has touched holds the work like a spring. Beyond that
        det(I + K (1 - e^-jε) s G M) = 0 for the scale s.
        """
        edge, strip = self.matrices(depth, nose)
        a, d = (own + force * strip[side, side] for side, own in enumerate(self.inverse))
        b, c = force * strip[0, 1], force * strip[1, 0]
        whole = a * d - b * c
        # G M with G = [[d, -b], [-c, a]] / whole, and its two eigenvalues
        p, q = (d * edge[0][:, None] - b * edge[1][:, None]) / whole
        r, t = (a * edge[1][:, None] - c * edge[0][:, None]) / whole
        half, root = (p + t) / 2, np.sqrt((p - t) ** 2 / 4 + q * r)
        rate = 2 * np.pi * self.grid * self.rubbing / speed
        values = np.stack([half + root, half - root])
        scales = np.nan_to_num(_limits(values, force, rate)[0], nan=np.inf, posinf=np.inf)
        side = np.argmin(scales, axis=0)
        least = np.min(scales, axis=0)
        times, frequency = _least(self.grid, least[None, :])
        place = int(np.argmin(least))
        value = values[side[place], place]
        radial, axial = max(
            (q[place], value - p[place]), (value - t[place], r[place]), key=np.linalg.norm
        )
        way = "radial" if abs(radial) >= abs(axial) else "axial"
        return float(times[0]), float(frequency[0]), way


@takes(
    operation=OPERATIONS,
    depth="mm >= 0.001, one",
    feed="mm >= 0.001, one",
    nose_radius="mm >= 0, one",
    approach_angle="deg 9.99..100.000001",
    cutting_speed="m/min >= 0.01, one",
    process_damping="N/m >= 0, one",
)
def turning_limit(
    steel,
    operation,
    depth,
    feed,
    radial,
    axial=(),
    *,
    nose_radius=Quantity(0.0, "mm"),
    approach_angle=None,
    cutting_speed=None,
    process_damping=None,
    **corrections,
):
    """Chatter limit of a turning cut with a real tool: how near this cut is, how deep it may be.

    operation is "along", "plunging" or "facing"; depth that of cut, for a plunge the width of its
    edge; feed a turn; radial and axial the modes in each direction, from :func:`machine_modes`, an
    empty axial for rigid; nose_radius and approach_angle (default 90 deg) as in
    ``forces.edge_in_cut``; cutting_speed corrects the force, and with process_damping says what
    rubbing does; steel and corrections (rake, wear) as in ``forces.specific_cutting_force``.
    Basis: derived, linear: the thrust of each element of edge is along its thickness and its slope
    that of the mean chip, taken at 0.1 mm where thinner (the force then goes on straight). Limits
    hold at any spindle speed. Within 5 % of a cut followed through time with a round nose (tests).
    Damping is known to a half at best. Depths and
    speeds are infinite where nothing chatters.
    """
    steel_speed = None if cutting_speed is None else Quantity(cutting_speed, "m/min")
    axial = several(axial, Mode, "axial")
    if max(depth, feed) > LARGEST:
        raise ValueError(f"depth and feed must be at most {LARGEST:g} mm; write smaller ones in mm")
    if process_damping is not None and cutting_speed is None:
        raise ValueError("process_damping and cutting_speed go together: give both")
    approach = np.pi / 2 if approach_angle is None else float(approach_angle)
    cut = _Cut(
        operation,
        feed,
        approach,
        plain_modes(radial),
        plain_modes(axial) if len(axial) else np.zeros((0, 4)),
        process_damping or 0.0,
    )
    if operation == "plunging":
        if len(cut.axial):
            cut = _Cut(operation, feed, approach, cut.radial, cut.axial[:0], cut.rubbing)
        nose_radius = 0.0
    thrust = float(
        np.hypot(kienzle.CORRECTIONS["feed_share"], kienzle.CORRECTIONS["passive_share"])
    )
    squeezed = {"operation": "grooving"} if operation == "plunging" else {}

    def slope(deep, nose):
        """Edge of a depth and nose [mm], and the slope K [Pa] of its thrust."""
        edge = edges.edge_in_cut(
            Quantity(deep, "mm"),
            Quantity(feed, "mm"),
            Quantity(nose, "mm"),
            Quantity(np.degrees(approach), "deg"),
        )
        thick = feed if operation == "plunging" else edge.thickness.m_as("mm")
        thick = Quantity(max(thick, kienzle.THICKNESS_RANGE[0]), "mm")
        force = dynamic_force(
            steel, thick, thrust, cutting_speed=steel_speed, **squeezed, **corrections
        )
        return edge, force.m_as("Pa")

    def times(deep, nose, speed):
        return cut.quiet_times(deep, nose, slope(deep, nose)[1], speed)

    speed = (cutting_speed or 60.0) / 60  # m/s
    edge, force = slope(depth, nose_radius)
    spare, frequency, direction = times(depth, nose_radius, speed)
    deepest = _halved(DEPTHS, lambda deep: times(deep, nose_radius, speed)[0] < 1)
    quiet = np.inf
    if spare < 1:
        quiet = 0.0
        if cut.rubbing:
            quiet = _halved(SPEEDS, lambda v: times(depth, nose_radius, v / 60)[0] < 1)
    remedies = ()
    if spare < 1 / QUIET_SHARE:
        remedies = _remedies(
            cut, depth, nose_radius, deepest, quiet, lambda n: times(depth, n, speed)[0]
        )
    return TurningLimit(
        operation,
        1 / spare if spare > 0 else np.inf,
        Quantity(deepest, "mm"),
        direction,
        Quantity(frequency if np.isfinite(frequency) else 0.0, "Hz"),
        Quantity(quiet, "m/min"),
        _stiffness(cut.radial),
        _stiffness(cut.axial),
        edge,
        Quantity(force / 1e6, "MPa"),
        remedies,
    )


def _remedies(cut, depth, nose, deepest, quiet, times):
    """Home remedies that help this cut, each with what it leaves; smaller nose first."""
    found = []
    if cut.operation == "plunging":
        found.append(Remedy("relieved edge", Quantity(QUIET_SHARE * deepest, "mm"), QUIET_SHARE))
    else:
        smaller = [size for size in NOSES if size < nose and size > cut.feed / 2]
        best = next(
            (size for size in smaller if 1 / times(size) <= QUIET_SHARE), min(smaller, default=None)
        )
        if best is not None:
            found.append(Remedy("smaller nose", Quantity(best, "mm"), 1 / times(best)))
        if depth < NOSE_SHARE * nose:
            most = Quantity(depth / NOSE_SHARE, "mm")
            found.append(Remedy("nose at most", most, 1 / times(depth / NOSE_SHARE)))
        found.append(Remedy("less depth", Quantity(deepest, "mm"), 1.0))
    if 0 < quiet < np.inf:
        found.append(Remedy("slower", Quantity(quiet, "m/min"), 1.0))
    # deeper than the nose a smaller one turns the cut toward the soft side: no remedy there
    return tuple(remedy for remedy in found if remedy.share * times(nose) < 1)


def _stiffness(plain):
    """Stiffness at rest of all modes together."""
    return Quantity(1e-6 / np.sum(1 / plain[:, 1]) if len(plain) else np.inf, "N/um")


def _halved(ends, chatters):
    """Largest value between two ends before a cut chatters; infinite if it never does."""
    low, high = ends
    if not chatters(high):
        return np.inf
    if chatters(low):
        return low
    for _ in range(ROUNDS):
        middle = np.sqrt(low * high)
        low, high = (low, middle) if chatters(middle) else (middle, high)
        if high / low < 1 + 1e-4:
            break
    return low
