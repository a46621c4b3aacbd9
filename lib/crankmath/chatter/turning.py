"""Chatter of a real turning tool: nose, approach angle, stiffness in both directions.

Turning along, the depth is radial and the feed axial; facing swaps them; a plunged edge has its
whole width square to the work. Movements of work and tool meet the edge by its direction of
thickness, so each is limited by the stiffness in its own direction. No shop needs the whole chart:
what counts is the deepest cut that is quiet at any speed, and the speed below which rubbing keeps
this one quiet.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import numpy as np
from scipy.optimize import toms748

from .. import deflection
from ..checks import several, takes
from ..crank import steels
from ..crank.mass import mass_properties
from ..forces import edge as edges
from ..forces import kienzle
from ..lathe import Lathe
from ..units import Quantity, number
from .limits import STEEP, _grid, _least, _limits, dynamic_force
from .modes import Mode, plain_modes, plain_receptance, work_modes

OPERATIONS = ("along", "plunging", "facing")
QUIET_SHARE = 2 / 3  # of the limit; the damping is known to a half: own choice
NOSES = (0.8, 0.4, 0.2)  # mm, the usual ones to change to
NOSE_SHARE = 2 / 3  # of the nose, the least depth: insert makers' rule, from memory
DEPTHS = (0.002, 20.0)  # mm, between which a limit is looked for
SPEEDS = (0.1, 1000.0)  # m/min
LARGEST = 50.0  # mm, of a depth or width of edge
MOST_TIMES = (1e-6, 1e6)  # of the edge, in looking for a limit
THINNEST = kienzle.THICKNESS_RANGE[0]  # mm, of a chip for the slope of its force
RIGID = 1e20 + 0j  # N/m, of a direction without modes
FINER = 60  # points of the grid looked through again


@dataclass(frozen=True)
class Remedy:
    """One way to a quiet cut: what to change, the value to change it to, the share left then."""

    change: str
    value: Quantity
    share: float


@dataclass(frozen=True)
class _Searched:
    """What a limit is searched with: ``times(depth, nose, speed)``, how many times its edge a cut
    may have.
    """

    times: Callable
    cut: "_Cut"
    depth: float
    nose: float
    speed: float
    spare: float


@dataclass(frozen=True)
class TurningLimit:
    """How near a cut is to chatter, and where its limits lie.

    ``share`` is the edge in the cut over what is quiet at any spindle speed, above 1 chatter;
    ``direction`` "radial" or "axial", the movement that begins; ``frequency`` of the chatter (zero
    for none). ``edge`` in the cut and ``specific_force``, the slope K along the thickness, are what
    it was worked out from. Limits and remedies are looked for when first asked for.
    """

    operation: str
    share: float
    direction: str
    frequency: Quantity
    radial_stiffness: Quantity
    axial_stiffness: Quantity
    edge: edges.EdgeInCut
    specific_force: Quantity
    searched: _Searched = field(repr=False, compare=False)

    @cached_property
    def deepest(self):
        """Depth of cut, for a plunge width of edge, that just stays quiet; or infinite."""
        one = self.searched
        found = _limit(DEPTHS, lambda deep: one.times(deep, one.nose, one.speed))
        return Quantity(found, "mm")

    @cached_property
    def quiet_speed(self):
        """Cutting speed below which the flank's rubbing keeps this cut quiet.

        Infinite where it is quiet anyway, zero without rubbing.
        """
        one, found = self.searched, np.inf
        if one.spare < 1:
            found = 0.0
            if one.cut.rubbing:
                found = _limit(SPEEDS, lambda v: one.times(one.depth, one.nose, v / 60))
        return Quantity(found, "m/min")

    @cached_property
    def remedies(self):
        """What to change, each a :class:`Remedy`; nothing for a cut with room to spare."""
        one = self.searched
        if one.spare >= 1 / QUIET_SHARE:
            return ()
        return _remedies(
            *(one.cut, one.depth, one.nose),
            *(self.deepest.m_as("mm"), self.quiet_speed.m_as("m/min")),
            lambda nose: one.times(one.depth, nose, one.speed),
        )


@takes(lathe=Lathe)
def machine_setup(lathe, held="main", spacers=(), tool=False):
    """How a lathe holds the work, as ``deflection`` and :func:`work_modes` take it.

    ``held`` is "main" or the throw whose pin is turned; ``spacers`` bear all the time; ``tool``
    brings the compliance of tool, post and slides in as a spring, for ``deflection``.
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

    ``crank``, ``where`` (one place), ``held`` and ``spacers`` as for ``deflection``;
    ``damping_ratio`` that of all, default the lathe's. Radially the work moves in its softest
    direction. Along the axis the work moves as a whole on headstock and bed, and is pressed
    together between tool and headstock.
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

    def quiet_times(self, depth, nose, force, speed):
        """How many times its edge the cut may have before it chatters, frequency, and the
        direction.

        The strip of surface that no turn has touched holds the work like a spring. Beyond that
        det(I + K (1 - e^-jε) s G M) = 0 for the scale s.
        """
        edge, strip = self.matrices(depth, nose)
        both = self.radial, self.axial

        def on(grid, inverse):
            a, d = (own + force * strip[side, side] for side, own in enumerate(inverse))
            b, c = force * strip[0, 1], force * strip[1, 0]
            whole = a * d - b * c
            # G M with G = [[d, -b], [-c, a]] / whole, and its two eigenvalues
            p, q = (d * edge[0][:, None] - b * edge[1][:, None]) / whole
            r, t = (a * edge[1][:, None] - c * edge[0][:, None]) / whole
            half, root = (p + t) / 2, np.sqrt((p - t) ** 2 / 4 + q * r)
            rate = 2 * np.pi * grid * self.rubbing / speed
            values = np.stack([half + root, half - root])
            scales = np.nan_to_num(_limits(values, force, rate)[0], nan=np.inf, posinf=np.inf)
            return scales, values, p, q, r, t

        grid, inverse = _dynamic_stiffness(*(tuple(map(tuple, modes)) for modes in both))
        scales, values, p, q, r, t = on(grid, inverse)
        for _ in range(2):  # where chatter begins within a step of the grid, a finer one
            place = int(np.clip(np.argmin(scales.min(axis=0)), 1, len(grid) - 2))
            beside = scales.min(axis=0)[[place - 1, place, place + 1]]
            if not np.isfinite(beside[1]) or beside.max() < STEEP * beside[1]:
                break
            grid = np.linspace(grid[place - 1], grid[place + 1], FINER)
            scales, values, p, q, r, t = on(grid, [_stiffness_at(modes, grid) for modes in both])
        side = np.argmin(scales, axis=0)
        least = np.min(scales, axis=0)
        times, frequency = _least(grid, least[None, :])
        place = int(np.argmin(least))
        value = values[side[place], place]
        radial, axial = max(
            (q[place], value - p[place]), (value - t[place], r[place]), key=np.linalg.norm
        )
        way = "radial" if abs(radial) >= abs(axial) else "axial"
        return float(times[0]), float(frequency[0]), way


@lru_cache(maxsize=32)
def _dynamic_stiffness(radial, axial):
    """Frequencies [Hz], and the dynamic stiffness [N/m] at each, radial and axial."""
    parts = [np.array(part).reshape(-1, 4) for part in (radial, axial)]
    grid = np.unique(np.concatenate([_grid(part) for part in parts if len(part)]))
    inverse = [_stiffness_at(part, grid) for part in parts]
    return grid, inverse


def _stiffness_at(modes, grid):
    """Dynamic stiffness [N/m] of modes at frequencies [Hz]; RIGID without any."""
    return 1 / plain_receptance(modes, grid) if len(modes) else np.full(len(grid), RIGID)


@takes(
    operation=OPERATIONS,
    depth="mm >= 0.001, one",
    feed="mm >= 0.001, one",
    nose_radius="mm >= 0, one",
    approach_angle="deg [10..100]",
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

    ``operation`` is "along", "plunging" or "facing"; ``depth`` that of cut, for a plunge the width
    of its edge; ``feed`` a turn; ``radial`` and ``axial`` the modes in each direction, from
    :func:`machine_modes`, an empty axial for rigid; ``nose_radius`` and ``approach_angle`` (default
    90 deg) as in ``forces.edge_in_cut``; ``cutting_speed`` corrects the force, and with
    ``process_damping`` says what rubbing does; ``steel`` and ``corrections`` (rake, wear) as in
    ``forces.specific_cutting_force``.
    Basis: derived, linear: the thrust of each element of edge is along its thickness and its slope
    that of the mean chip, taken at 0.1 mm where thinner (the force is then a straight line). Limits
    hold at any spindle speed. Within 5 % of a cut followed through time with a round nose (tests).
    Damping is known to within half at best. Depths and speeds are infinite where nothing chatters.
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

    def slope(thick):
        """Slope K [Pa] of the thrust at a thickness [mm], in range or not as the source says."""
        force = dynamic_force(
            steel,
            Quantity(thick, "mm"),
            thrust,
            cutting_speed=steel_speed,
            **squeezed,
            **corrections,
        )
        return force.m_as("Pa")

    def thickness(deep, nose):
        if operation == "plunging":
            return feed
        shape = edges._shape(deep, feed, nose, approach)
        return deep * feed / shape.length

    fall = steels.find(steel).thickness_exponent
    thinnest = slope(THINNEST)

    def times(deep, nose, speed):
        # by Kienzle's power law from the thinnest chip on: a limit is looked for at many depths
        force = thinnest * (max(thickness(deep, nose), THINNEST) / THINNEST) ** -fall
        return cut.quiet_times(deep, nose, force, speed)

    speed = (cutting_speed or 60.0) / 60  # m/s
    edge = edges.edge_in_cut(
        *(Quantity(size, "mm") for size in (depth, feed, nose_radius)),
        Quantity(np.degrees(approach), "deg"),
    )
    thick = thickness(depth, nose_radius)
    force = thinnest if thick <= THINNEST else slope(thick)
    spare, frequency, direction = times(depth, nose_radius, speed)
    return TurningLimit(
        operation,
        1 / spare if spare > 0 else np.inf,
        direction,
        Quantity(frequency if np.isfinite(frequency) else 0.0, "Hz"),
        _stiffness(cut.radial),
        _stiffness(cut.axial),
        edge,
        Quantity(force / 1e6, "MPa"),
        _Searched(lambda *at: times(*at)[0], cut, depth, nose_radius, speed, spare),
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


def _limit(ends, times):
    """Largest value between two ends before a cut chatters; infinite if it never does."""
    low, high = ends

    def spare(logarithm):
        return float(np.log(np.clip(times(np.exp(logarithm)), *MOST_TIMES)))

    if times(high) >= 1:
        return np.inf
    if times(low) < 1:
        return low
    return float(np.exp(toms748(spare, np.log(low), np.log(high), xtol=1e-5, rtol=1e-5)))
