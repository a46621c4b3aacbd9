"""The machine that lesson 11 puts around a crank: its cylinders, flywheels, loads; bearings out of
line."""

from dataclasses import replace

import numpy as np

from crankmath import service
from crankmath.crank import steels
from crankmath.job.fields import ENGINES, PUMPS, STROKES
from crankmath.language import _, spoken
from crankmath.service import strength, torsion
from crankmath.units import Quantity, as_text

MACHINES = (*PUMPS, *ENGINES)
# assumed, no source: bore over stroke of pumps and of engines, rod over throw, clearance over swept
# volume, compression ratio of engines, reciprocating mass over bore cubed [kg/mm^3]; a cast-iron
# flywheel, so many throws across and one throw thick
BORE, ENGINE_BORE, ROD, CLEARANCE, COMPRESSION, PISTON = 1.5, 1.0, 5.0, 0.05, 6.0, 4e-6
FLYWHEEL = 12.0, Quantity(7200.0, "kg/m**3")
POINTS = 72  # crank angles in the turn
TURNED = Quantity(np.arange(0.0, 360.0, 180.0 / POINTS), "deg")
LARGEST = {name: Quantity(3.5 if name in ENGINES else 1.5, "MPa") for name in MACHINES}


def with_fillets(crank, fillet):
    """The crank with one radius in all its corners; ValueError where it does not fit."""
    try:
        return replace(
            crank,
            journals=tuple(replace(main, fillet=fillet) for main in crank.journals),
            throws=tuple(replace(throw, fillet=fillet) for throw in crank.throws),
        )
    except ValueError as error:
        raise ValueError(
            _("All fillets r: {fillet} is too large for {name} ({error})").format(
                fillet=as_text(fillet), name=crank.name, error=error
            )
        ) from None


def cylinders(crank, machine, pressure, bore=None, rod_length=None):
    """A cylinder on each throw: the panel's machine, or with the reader's own bore and rod.

    - ``machine``: One of ``MACHINES``.
    - ``pressure``: Of delivery, or an engine's peak as it fires, above the atmosphere.
    - ``bore``, ``rod_length``: By default as ``bore_of``, and five throws.

    Basis: assumed proportions, no source. Suction at the atmosphere's pressure.
    """
    found = []
    for throw in crank.throws:
        wide = bore_of(throw, machine) if bore is None else bore
        rod = ROD * throw.radius if rod_length is None else rod_length
        moving = Quantity(PISTON * wide.m_as("mm") ** 3, "kg")
        if machine in ENGINES:
            sizes = throw.radius, rod, wide, COMPRESSION, pressure
            found.append(_fired(*sizes, machine=machine, moving=moving))
            continue
        if machine == "liquid pump":
            inside = service.pump_pressure(TURNED, pressure)
        else:
            inside = service.compressor_pressure(
                TURNED, Quantity(0.0, "MPa"), pressure, CLEARANCE, throw.radius, rod
            )
        found.append(
            service.Cylinder(rod, service.piston_force(inside, wide), TURNED, moving, moving / 2)
        )
    return tuple(row[0] for row in service.evenly_fired(crank, found))


def bore_of(throw, machine):
    """Bore assumed on a throw: an engine's is its stroke, a pump's one and a half strokes."""
    return 2 * (ENGINE_BORE if machine in ENGINES else BORE) * throw.radius


def _fired(*sizes, machine, moving):
    """An engine's cylinder; ValueError by the panel's own word where it would not fire."""
    masses = {"moving_mass": moving, "turning_mass": moving / 2}
    try:
        return service.engine_cylinder(*sizes, STROKES[machine], **masses)
    except ValueError as error:
        raise ValueError(
            _("Pressure in the cylinder p is too low for an engine ({error})").format(error=error)
        ) from None


def run(crank, machine, pressure, speed, **sizes):
    """Forces over the turn, cylinders with the crank's own webs and pin flung out too."""
    density = steels.find(crank.steel).density.m_as("kg/mm**3")
    found = []
    for throw, cylinder in zip(
        crank.plain.throws, cylinders(crank, machine, pressure, **sizes), strict=True
    ):
        # a web's middle lies half a throw out, so two webs weigh on the pin as one
        web = throw.web_thickness * throw.web_width * (throw.radius + 2 * throw.web_reach)
        own_mass = density * (web + np.pi / 4 * throw.pin_diameter**2 * throw.pin_length)
        found.append(
            replace(cylinder, turning_mass=cylinder.turning_mass + Quantity(own_mass, "kg"))
        )
    return service.turn_loads(crank, found, speed, points=POINTS)


def flywheel(crank):
    """The flywheel assumed at each end: diameter, thickness [mm] and moment of inertia."""
    across, per_volume = FLYWHEEL
    thick = max(throw.radius for throw in crank.throws)
    wide = across * thick
    inertia = (per_volume * np.pi / 4 * wide**2 * thick * wide**2 / 8).to("kg*m**2")
    return wide, thick, inertia


def modes(crank, machine, flywheels=None):
    """Natural frequencies of twist of the crank between two flywheels.

    - ``flywheels``: Moments of inertia left and right, ``Quantity([0.04, 0.1], "kg*m**2")``; by
      default the one assumed at each end.
    """
    left, right = 2 * [flywheel(crank)[2]] if flywheels is None else flywheels
    return torsion.crank_modes(crank, cylinders(crank, machine, LARGEST[machine]), left, right)


def not_in_line(crank, machine, pressure, speed, heights):
    """Weakest section with the middle bearing higher or lower than the others, a line for each
    height.

    The lower safety of both signs counts: it is unknown to which side a bearing is off.

    - ``machine``, ``pressure``: As for ``cylinders``.
    - ``speed`` [rpm]: Of the crank.
    - ``heights``: One row [length].
    """
    count, lines = len(crank.journals), []
    pushed = cylinders(crank, machine, pressure)
    for height in heights:
        found = []
        for sign in (1, -1):
            off = np.zeros(count)
            off[count // 2] = sign * height.m_as("mm")
            loads = service.turn_loads(
                crank,
                pushed,
                speed,
                model="continuous",
                points=POINTS,
                out_of_line=Quantity(off, "mm"),
            )
            found.append(strength.check_strength(crank, loads).weakest)
        weak = min(found, key=lambda one: one.low)
        lines.append(
            _("off by {height}: {name} {safety:.2g} ({low:.2g} to {high:.2g})").format(
                height=as_text(height, "mm", 2),
                name=spoken(weak.place.name),
                safety=weak.safety,
                low=weak.low,
                high=weak.high,
            )
        )
    return "\n".join(lines)
