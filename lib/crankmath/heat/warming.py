"""Warmth of a crank along its length while one piece of it is cut, and while it cools again.

A temperature here is always a rise above the surroundings, ``delta_degC``.
"""

import warnings
from dataclasses import dataclass

import numpy as np

from ..checks import made
from ..crank import Crank, steels
from ..units import OutOfRangeWarning, Quantity, as_text, magnitude

CELLS = 16  # finite volumes in each piece: twice as many move no temperature by 0.3 %
LUMPED_BIOT = 0.1


@dataclass(frozen=True)
class Warming:
    """Temperature of a crank along its own path, journal, web, pin, web and so on, over time.

    ``rise`` has the times first, the cells second; ``where`` names each cell's (kind, index). The
    energies are what came in, is in the part, and went out, at every time.
    """

    time: Quantity
    path: Quantity
    where: tuple
    rise: Quantity
    energy_in: Quantity
    stored: Quantity
    lost: Quantity
    _axial: np.ndarray
    _expansion: float
    _capacity: np.ndarray

    @property
    def balance(self):
        """Energy in less stored and lost, over what came in, at the last time; 0 if none came."""
        came, stored, lost = (
            energy.magnitude[-1] for energy in (self.energy_in, self.stored, self.lost)
        )
        return float((came - stored - lost) / came) if came > 0 else 0.0

    @property
    def mean(self):
        """Mean rise of the whole part, by heat capacity [delta_degC]."""
        return Quantity(self.rise.magnitude @ (self._capacity / self._capacity.sum()), "delta_degC")

    @property
    def growth(self):
        """Growth between the ends, each piece by its own rise [um]."""
        return Quantity(1000 * self._expansion * self.rise.magnitude @ self._axial, "um")

    def rise_of(self, kind, index=0):
        """Mean rise [delta_degC] of one journal, web or pin over time.

        ``kind`` is "journal", "web" or "pin", ``index`` its place; webs are counted one by one from
        the left.
        Basis: derived.
        """
        cells = np.array([place == (kind, index) for place in self.where])
        if not cells.any():
            raise ValueError(f"there is no {kind} {index}; count from zero")
        return Quantity(
            self.rise.magnitude[:, cells] @ (self._capacity[cells] / self._capacity[cells].sum()),
            "delta_degC",
        )

    def time_until(self, limit, kind=None, index=0):
        """First time at which a rise is reached, by the mean or by one piece; infinite if never.

        ``limit`` [temperature difference]; ``kind`` and ``index`` as for :meth:`rise_of`, default
        the mean.
        Basis: derived; straight between the times worked out.
        """
        wanted = magnitude(limit, "delta_degC", "limit", above=0)
        course = (self.mean if kind is None else self.rise_of(kind, index)).magnitude
        return time_reached(self.time, course, wanted)

    def __str__(self):
        warmest = Quantity(float(self.rise[-1].magnitude.max()), "delta_degC")
        mean, warmest = (as_text(rise, "delta_degC", 3) for rise in (self.mean[-1], warmest))
        return (
            f"after {as_text(self.time[-1], 'min', 3)} the part is {mean} warmer on the whole, "
            f"{warmest} at its warmest; it grew {as_text(self.growth[-1], 'um', 3)}"
        )


def time_reached(time, course, wanted):
    """First time at which a course of numbers, zero at first, reaches a value; infinite if never.

    Basis: derived; straight between the times given, and from time zero to the first.
    """
    minutes, course = time.m_as("min"), np.asarray(course, float)
    reached = np.nonzero(course >= wanted)[0]
    if len(reached) == 0:
        return Quantity(np.inf, "min")
    minutes, course, at = np.append(0.0, minutes), np.append(0.0, course), int(reached[0]) + 1
    share = (wanted - course[at - 1]) / (course[at] - course[at - 1])
    return Quantity(float(minutes[at - 1] + share * (minutes[at] - minutes[at - 1])), "min")


def warm(
    crank,
    heat,
    time,
    where=("pin", 0),
    film=Quantity(10.0, "W/(m**2*K)"),
    cutting_time=None,
    center_conductance=Quantity(0.0, "W/K"),
    cells=CELLS,
):
    """Temperature of a crank while one piece of it is cut, and while it cools.

    The part is a fin along its own path: ρ c A dT/dt = d/dx(k A dT/dx) - h p T + q, in finite
    volumes; in time the sum is exact, by the decay of each of its patterns. ``heat`` [power] goes
    into the work over the whole length of the piece being cut; ``time`` [time] rises; ``where`` is
    that piece, ("journal", 0), ("pin", 0), or a web, counted one by one from the left; ``film``
    [W/(m**2*K)] from :func:`film_in_air` or :func:`coolant`, 10 is still air; ``cutting_time``
    [time] when the tool stops, default the end; ``center_conductance`` [W/K] into each center;
    ``cells`` the finite volumes in each piece.
    Basis: derived; steel's values constant, the film the same everywhere and always, with an
    OutOfRangeWarning where it is so strong that a section is no longer even. The path through a web
    runs from axis to axis; its ends beyond count as heat store and as surface. Heat that leaves
    with the next turn's chip is not taken off.
    """
    made(crank, Crank, "crank")
    power = magnitude(heat, "W", "heat", least=0)
    moments = np.atleast_1d(magnitude(time, "s", "time", least=0))
    if np.any(np.diff(moments) <= 0) or moments[-1] <= 0:
        raise ValueError("time must rise, and end above zero")
    stop = (
        moments[-1]
        if cutting_time is None
        else magnitude(cutting_time, "s", "cutting_time", above=0)
    )
    if isinstance(cells, bool) or not isinstance(cells, int) or cells < 2:
        raise ValueError(f"cells must be a whole number of at least 2, not {cells!r}")
    steel = steels.find(crank.steel)
    conductivity = steel.conductivity.m_as("W/(m*K)")
    coefficient = magnitude(film, "W/(m**2*K)", "film", least=0)
    names, pieces = _path(crank)
    thickest = max(piece[2] / piece[3] for piece in pieces)
    if coefficient * thickest / conductivity > LUMPED_BIOT:
        warnings.warn(
            "film is so strong that the skin is colder than the core: the fin takes each section "
            "as even",
            OutOfRangeWarning,
            stacklevel=2,
        )
    place = tuple(where)
    if place not in names:
        raise ValueError(f"where must be one of {', '.join(map(str, names))}, not {where!r}")
    # per piece: length along the path, conducting area, volume per length, surface per length,
    # axial length (m)
    length, area, volume, surface, axial = (
        np.repeat(column, cells) for column in np.array(pieces).T
    )
    step = length / cells
    capacity = steel.density.m_as("kg/m**3") * steel.specific_heat.m_as("J/(kg*K)") * volume * step
    loss = coefficient * surface * step
    bare = magnitude(center_conductance, "W/K", "center_conductance", least=0)
    loss[[0, -1]] += coefficient * area[[0, -1]] + bare
    resistance = step / (2 * conductivity * area)
    joint = 1 / (resistance[:-1] + resistance[1:])
    diagonal = np.append(joint, 0) + np.append(0, joint) + loss
    cell_names = tuple(name for name in names for _ in range(cells))
    cut = np.array([name == place for name in cell_names])
    source = power * cut * step / step[cut].sum()
    rise, summed = _course(capacity, diagonal, -joint, source, moments, stop)
    energies = power * np.minimum(moments, stop), rise @ capacity, summed @ loss
    return Warming(
        Quantity(moments, "s").to("min"),
        Quantity(1000 * (np.cumsum(step) - step / 2), "mm"),
        cell_names,
        Quantity(rise, "delta_degC"),
        *(Quantity(energy, "J") for energy in energies),
        1000 * axial / cells,
        steel.expansion.m_as("1/delta_degC"),
        capacity,
    )


def _path(crank):
    """Names of the pieces; path length, area, volume and surface per length, axial length (m)."""
    names, found, webs = [], [], 0
    for piece in crank.segments:
        along = piece.length / 1000
        if piece.kind == "web":
            throw = crank.throws[piece.index]
            radius, reach, thick, wide = (
                part.m_as("m")
                for part in (throw.radius, throw.web_reach, throw.web_thickness, throw.web_width)
            )
            side = webs % 2
            joints = [
                crank.journals[piece.index + side].diameter.m_as("m"),
                throw.pin_diameter.m_as("m"),
            ]
            height = radius + 2 * reach
            skin = (
                2 * (wide + thick) * height
                + 2 * wide * thick
                - sum(np.pi * joint**2 / 4 for joint in joints)
            )
            found.append(
                (radius, wide * thick, wide * thick * height / radius, skin / radius, along)
            )
            names.append(("web", webs))
            webs += 1
        else:
            part = (
                crank.throws[piece.index].pin_diameter
                if piece.kind == "pin"
                else crank.journals[piece.index].diameter
            )
            diameter = part.m_as("m")
            area = np.pi * diameter**2 / 4
            found.append((along, area, area, np.pi * diameter, along))
            names.append((piece.kind, piece.index))
    return names, found


def _course(capacity, diagonal, beside, source, moments, stop):
    """Rises at the moments, and their integrals over time, for a source that stops.

    ``diagonal`` and ``beside`` are what leaves a cell, and what passes to the next, for a degree
    [W/K].
    """
    from scipy.linalg import eigh_tridiagonal

    root = 1 / np.sqrt(capacity)
    rates, patterns = eigh_tridiagonal(diagonal * root**2, beside * root[:-1] * root[1:])
    rates = np.maximum(rates, 0.0)
    drive = patterns.T @ (root * source)
    shape = root[:, None] * patterns
    heating = np.minimum(moments, stop)
    amplitude, area = _decay(rates, 0.0, drive, heating)
    at_stop, _ = _decay(rates, 0.0, drive, np.array([stop]))
    after, more = _decay(rates, at_stop[0], 0.0, moments - heating)
    resting = (moments > stop)[:, None]
    return np.where(resting, after, amplitude) @ shape.T, (
        area + np.where(resting, more, 0.0)
    ) @ shape.T


def _decay(rates, start, drive, time):
    """Amplitudes that start, decay and are driven steadily, and their integrals over time."""
    time = time[:, None]
    x = rates * time
    small = np.where(x < 1e-3, 1.0, x)
    first = np.where(x < 1e-3, 1 - x / 2 + x**2 / 6, -np.expm1(-small) / small)
    second = np.where(x < 1e-3, 0.5 - x / 6 + x**2 / 24, (small + np.expm1(-small)) / small**2)
    return start * np.exp(
        -x
    ) + drive * time * first, start * time * first + drive * time**2 * second
