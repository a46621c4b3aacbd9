"""What each thing that can go wrong leaves behind on the crank, as a state of its stations; worked
by the library's own models.

All in um, N, degC, rad. A cut made true in a wrong place comes back by what held it there.
"""

import warnings
from dataclasses import replace
from functools import cache, cached_property

import numpy as np

from .... import deflection, heat, spacers
from ....blank import bar, layout, locked_in_stress
from ....crank import steels
from ....deflection import Setup
from ....frame import frame
from ....units import OutOfRangeWarning, Quantity
from .stations import throw_vectors

DOG_FROM_END = 8.0  # mm; where the dog sits on the first main: common practice, no source
TRUE = "as it is"  # state of a station without any error of measuring
PULL = 200.0  # N; a spring balance's pull on a center, spindle still: own choice
HALF = 0.5  # of soft centers' way, where nothing is known of them
TANGENTIAL_SHARE = 2.0  # cutting force over passive force in a finishing cut: rule of thumb


class Traces:
    """Traces on the stations of a crank made in a certain way."""

    def __init__(self, crank, making, stations):
        self.crank, self.making, self.stations = crank, making, stations
        self.pins, self._kept, self._pin_units = throw_vectors(crank), {}, {}

    # squeeze

    def squeezed(self, thrust, misfits):
        """Mains cut while a thrust and spacers squeezed them; ``misfits`` [um] by throw, None where
        one is left out.
        """
        if thrust == self.making.thrust.m_as("N") and not any(
            misfit != 0.0 for misfit in misfits.values()
        ):
            return self.usual_squeeze
        return self._squeezed(thrust, misfits)

    @cached_property
    def usual_squeeze(self):
        """Mains cut under the thrust that was meant, every spacer as long as its gap."""
        return self._squeezed(self.making.thrust.m_as("N"), {})

    def _squeezed(self, thrust, misfits):
        fitted = [
            replace(spacer, misfit=Quantity(misfits.get(spacer.throw, 0.0), "um"))
            for spacer in self.making.spacers
            if misfits.get(spacer.throw, 0.0) is not None
        ]
        stations = self.stations
        axis = self._offset(stations.main, thrust, fitted)
        misfit = {
            f"spacer throw {one.throw}": misfits.get(one.throw, 0.0) or 0.0
            for one in self.making.spacers
        }
        pressed = {f"thrust main {main}": thrust for main in range(len(self.crank.journals))}
        return stations.vector(axis, **misfit, **pressed)

    def pin_squeezed(self, throw, thrust):
        """A pin cut on its own centers under a thrust: its own gap empty, spacers in the others."""
        if throw not in self._pin_units:
            fitted = [one for one in self.making.spacers if one.throw != throw]
            axis = self._offset(self._pin_stations(throw), 1.0, fitted, throw)
            unit = self.stations.vector(axis, **{f"thrust pin {throw}": 1.0})
            self._pin_units[throw] = unit
        return thrust * self._pin_units[throw]

    def _pin_stations(self, throw):
        return ~self.stations.main & (self.stations.index == throw)

    def _offset(self, chosen, thrust, fitted=(), held="main"):
        """Axis of the chosen stations once a thrust on some centers lets go [um]."""
        axis = np.zeros(len(self.stations.x), complex)
        if chosen.any():
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", OutOfRangeWarning)
                thrust = Quantity(float(thrust), "N")
                found = spacers.squeeze(self.crank, thrust, fitted, held)
            off = found.offset(Quantity(self.stations.x[chosen], "mm")).magnitude
            axis[chosen] = off[:, 0] + 1j * off[:, 1]
        return axis

    # centers

    def hole(self, place, end, error):
        """A center hole off its place by a complex ``error``; a main hole moves every pin against
        the mains.
        """
        stations = self.stations
        share = stations.share if end == "right" else 1 - stations.share
        free = np.array([on[0] != "pin" for on in stations.on], bool)
        if place[0] == "main":
            axis = np.where(~stations.main & free, -error * share, 0)
        else:
            same = np.isclose(self.pins, self.pins[place[1]])
            hit = ~stations.main & free & same[np.minimum(stations.index, len(same) - 1)]
            axis = np.where(hit, error * share, 0)
        names = [place]
        if place[0] == "pin":
            names = [
                ("pin", throw)
                for throw in np.flatnonzero(np.isclose(self.pins, self.pins[place[1]]))
            ]
        else:
            names = [("main", main) for main in range(len(self.crank.journals))]
        found = {}
        for kind, number in names:
            found[f"hole {kind} {number} {end} y"] = np.real(error)
            found[f"hole {kind} {number} {end} z"] = np.imag(error)
        return stations.vector(axis, **found)

    def end_turned(self, angle):
        """The right-hand pattern of centers turned against the left about the main axis [rad]."""
        stations = self.stations
        free = np.array([on[0] != "pin" for on in stations.on], bool)
        pins = self.pins[np.minimum(stations.index, len(self.pins) - 1)]
        axis = np.where(~stations.main & free, 1e3j * pins * angle * stations.share, 0)
        found = {}
        for throw, pin in enumerate(self.pins):
            found[f"hole pin {throw} right y"] = (1e3j * pin * angle).real
            found[f"hole pin {throw} right z"] = (1e3j * pin * angle).imag
        return stations.vector(axis, **found)

    def center_off(self, end, error, two=0.0, three=0.0, during="cut"):
        """A worn or dirty main center: the work turned (or is read) about another point there, and
        not quite round.
        """
        stations = self.stations
        share = stations.share if end == "right" else 1 - stations.share
        if during == "cut":
            hit = stations.main
        else:
            fresh = np.array([state not in ("cleaned", TRUE) for state in stations.state], bool)
            hit = stations.on_main_centers & fresh
        lobes = {2: np.where(hit, two * share, 0), 3: np.where(hit, three * share, 0)}
        return stations.vector(np.where(hit, error * share, 0), lobes)

    def live_center(self, error, on_pins):
        """A live center that runs out: mains and pins put back on it at another mark run out at the
        left end.
        """
        stations, axis = self.stations, np.zeros(len(self.stations.x), complex)
        axis[stations.main] = error * (1 - stations.share[stations.main])
        for throw, other in enumerate(on_pins):
            chosen = self._pin_stations(throw)
            axis[chosen] = other * (1 - stations.share[chosen])
        return stations.vector(axis, **{"center y": np.real(error), "center z": np.imag(error)})

    def set_over(self, size):
        """The tailstock set over by ``size``: a taper, mains and pins alike."""
        return self.stations.vector(diameter=2 * size * self.stations.share, **{"test bar": size})

    def yielding(self, share):
        """Centers that give way to the check's pull by a share of what the tailstock does; the work
        shows no trace.
        """
        way = share * PULL / self.making.center_stiffness.m_as("N/um")
        return self.stations.vector(**{"yield left": way, "yield right": way})

    def dog(self, force):
        """A dog that pulls with a complex force fixed to the work."""
        along, aside = self._dog_units
        return np.real(force) * along + np.imag(force) * aside

    @cached_property
    def _dog_units(self):
        """States that a newton of the dog toward 0 and toward 90 degrees leaves."""
        return self._dog(1.0), self._dog(1j)

    def _dog(self, force):
        stations = self.stations
        built = _frame(self.crank, "main")
        start = min(DOG_FROM_END, 0.3 * self.crank.journals[0].length.m_as("mm"))
        pushed = built.places([start]).rows[0, 1:3]
        axis = np.zeros(len(stations.x), complex)
        if stations.main.any():
            x = stations.x[stations.main]
            moved = 1e3 * built.places(x).rows[:, 1:3] @ built.compliance @ pushed.T
            soft = 1 / self.making.center_stiffness.m_as("N/um")
            moved += (soft * (1 - start / stations.length) * (1 - x / stations.length))[
                :, None, None
            ] * np.eye(2)
            off = -moved @ [np.real(force), np.imag(force)]
            axis[stations.main] = off[:, 0] + 1j * off[:, 1]
        return stations.vector(axis)

    # warmth

    def warm_cut(self, rise):
        """Cut while warm by ``rise`` and grown against the centers: small when cold, and squeezed
        by more thrust.
        """
        thrust = self.making.thrust.m_as("N") + rise * self._per_degree
        return (
            self.squeezed(thrust, {})
            - self.squeezed(self.making.thrust.m_as("N"), {})
            + self.stations.vector(diameter=-self._growth * rise, **{"warmth at cut": rise})
        )

    def warm_now(self, rise):
        """Measured while warm by ``rise``: large, and on centers squeezed by its growth."""
        return rise * self._warm_unit

    @cached_property
    def _warm_unit(self):
        """State that a degree leaves while it is measured."""
        stations, thrust = self.stations, self._thrust_per_degree(())
        warm = np.array([state not in ("cold", TRUE) for state in stations.state], bool)
        axis = -self._offset(stations.on_main_centers & warm, thrust)
        for throw in range(len(self.crank.throws)):
            chosen = np.array([on == ("pin", throw) for on in stations.on], bool) & warm
            axis -= self._offset(chosen, thrust, held=throw)
        return stations.vector(axis, diameter=np.where(warm, self._growth, 0), warmth=1.0)

    @cached_property
    def _growth(self):
        """Growth in diameter for a degree at each station [um]."""
        expansion = steels.find(self.crank.steel).expansion.m_as("1/delta_degC")
        sizes = [
            self.crank.journals[number].diameter if main else self.crank.throws[number].pin_diameter
            for main, number in zip(self.stations.main, self.stations.index, strict=True)
        ]
        return 1e3 * expansion * np.array([size.m_as("mm") for size in sizes])

    @cached_property
    def _per_degree(self):
        return self._thrust_per_degree(self.making.spacers)

    def _thrust_per_degree(self, fitted):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OutOfRangeWarning)
            found = heat.thrust_per_degree(
                self.crank, fitted, machine_stiffness=self.making.center_stiffness
            )
        return found.m_as("N/delta_degC")

    # stress, stiffness

    def bowed(self, throw, size):
        """Stress let go at a throw bends the crank there: ``size`` is the complex bow at its
        highest.
        """
        piece = [one for one in self.crank.segments if one.index == throw and one.kind == "web"]
        length = self.stations.length

        def shape(x):
            bends = np.linspace(piece[0].start, piece[1].end, 41)
            return np.minimum(
                x[:, None] * (length - bends) / length, bends * (length - x[:, None]) / length
            ).mean(axis=1)

        return self.stations.vector(
            size * shape(self.stations.x) / shape(np.linspace(0, length, 201)).max()
        )

    def pushed(self, force, soft_centers=False, barrel=True):
        """Lobes and diameters that a passive ``force`` leaves: the work bends, and with soft
        centers these yield.
        """
        if soft_centers not in self._kept:
            self._kept[soft_centers] = self._compliances(soft_centers)
        tensors = self._kept[soft_centers]
        mean = (tensors[:, 0] + tensors[:, 1]) * force
        half = (tensors[:, 0] - tensors[:, 1]) / 2 + 1j * tensors[:, 2]
        return self.stations.vector(
            None,
            {2: half * force * (1 - 1j * TANGENTIAL_SHARE)},
            mean if barrel else None,
        )

    def _compliances(self, soft_centers):
        """Compliance of each station along 0 and 90 degrees and between them [um/N]."""
        stations, found = self.stations, np.zeros((len(self.stations.x), 3))
        soft = self.making.center_stiffness if soft_centers else None
        groups = [("main", stations.main)] + [
            (throw, self._pin_stations(throw)) for throw in range(len(self.crank.throws))
        ]
        for held, chosen in groups:
            if not chosen.any():
                continue
            fitted = tuple(one for one in self.making.spacers if one.throw != held)
            setup = Setup(held=held, left_center=soft, right_center=soft, spacers=fitted)
            x = Quantity(stations.x[chosen], "mm")
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", OutOfRangeWarning)
                upright, slant, level = (
                    deflection.radial_compliance(
                        self.crank, x, Quantity(turn, "deg"), setup
                    ).magnitude
                    for turn in (0.0, 45.0, 90.0)
                )
            found[chosen] = np.stack([upright, level, slant - (upright + level) / 2], axis=-1)
        return found


def _frame(crank, held):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        return frame.build(crank, held=held)


@cache
def usual_bow(crank):
    """Bow that the usual locked-in stress sets free where a throw's pin is cut out [um]."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        blank = bar.smallest_bar(crank)
        points = layout.center_layout(crank, blank).points
    found = []
    for throw, part in enumerate(crank.throws):
        pin = next(p for p in crank.segments if (p.kind, p.index) == ("pin", throw))
        point = next(point for point in points if throw in point.throws)
        low = locked_in_stress.bow_with_scatter(
            blank,
            crank.steel,
            Quantity(pin.length, "mm"),
            crank.length,
            Quantity(pin.start, "mm"),
            pin_diameter=part.pin_diameter,
            pin_x=point.from_middle_x,
            pin_y=point.from_middle_y,
        )
        found.append(low[1].m_as("um"))
    return np.array(found)
