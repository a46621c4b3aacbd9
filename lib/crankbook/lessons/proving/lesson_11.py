"""Lesson 11, check the strength: its panel and its three questions."""

import warnings
from dataclasses import replace

import numpy as np

from crankmath.crank import steels
from crankmath.service import fatigue, strength, torsion
from crankmath.service import loads as service
from crankmath.units import OutOfRangeWarning, Quantity, as_text

from ...lesson import own
from ...lesson.exercise import Question, check, prediction
from ...lesson.kept import once
from ...lesson.panel import Choice, Control, Panel
from ...pictures import scene
from ...pictures.proving import turning_crank

MACHINES = ("liquid pump", "air compressor")
# a machine around any crank, assumed: bore over stroke, rod over throw, clearance over swept volume, to-and-fro mass over bore cubed [kg/mm^3],
# and at each end a cast-iron flywheel, so many throws across and one throw thick
BORE, ROD, CLEARANCE, PISTON, FLYWHEEL = 1.5, 5.0, 0.05, 4e-6, (12.0, Quantity(7200.0, "kg/m**3"))
POINTS = 72  # crank angles in the turn
TURNED = Quantity(np.arange(0.0, 360.0, 180.0 / POINTS), "deg")
SHOWN = {
    "mm": ("N*m", "N·m", (-30.0, 75.0), "MPa", "MPa", (-150.0, 150.0)),
    "in": ("ft*lbf", "lbf·ft", (-22.0, 55.0), "kpsi", "kpsi", (-22.0, 22.0)),
}
LARGEST = Quantity(1.5, "MPa")
PRESETS = {
    "Pump": {
        "pressure": Quantity(1.0, "MPa"),
        "speed": Quantity(300.0, "rpm"),
        "fillet": Quantity(1.5, "mm"),
        "machine": "pump, liquid pump",
    },
    "Sharp corner": {
        "pressure": Quantity(1.0, "MPa"),
        "speed": Quantity(300.0, "rpm"),
        "fillet": Quantity(0.4, "mm"),
        "machine": "pump, liquid pump",
    },
    "Two throws": {
        "pressure": Quantity(0.8, "MPa"),
        "speed": Quantity(900.0, "rpm"),
        "fillet": Quantity(1.2, "mm"),
        "machine": "compressor, air compressor",
    },
    "Humming": {
        "pressure": Quantity(0.5, "MPa"),
        "speed": Quantity(2300.0, "rpm"),
        "fillet": Quantity(1.5, "mm"),
        "machine": "pump, liquid pump",
    },
}


def controls():
    """Sliders and lists of the panel; the list offers the reader's own crank."""
    machines = tuple(f"{name}, {machine}" for name in own.names() for machine in MACHINES)
    return (
        Control(
            "pressure",
            "Pressure in the cylinder p",
            ("MPa", 0.05, 1.5, 0.01),
            ("psi", 8, 216, 1),
            Quantity(1.0, "MPa"),
            ("bar", "kPa", "kpsi"),
        ),
        Control(
            "speed",
            "Speed of the crank n",
            ("rpm", 30, 3000, 10),
            ("rpm", 30, 3000, 10),
            Quantity(300.0, "rpm"),
        ),
        Control(
            "fillet",
            "All fillets r",
            ("mm", 0.2, 5, 0.05),
            ("in", 0.008, 0.2, 0.002),
            Quantity(1.5, "mm"),
            ("cm",),
        ),
        Choice("machine", "Crank and machine", machines, "pump, liquid pump"),
    )


def with_fillets(crank, fillet):
    """The crank with one radius in all its corners.

    Parameters
    ----------
    crank : Crank
    fillet : Quantity, scalar [length]

    Returns
    -------
    Crank

    Raises
    ------
    ValueError
        The radius does not fit a pin or main.
    """
    try:
        return replace(
            crank,
            journals=tuple(replace(main, fillet=fillet) for main in crank.journals),
            throws=tuple(replace(throw, fillet=fillet) for throw in crank.throws),
        )
    except ValueError as error:
        raise ValueError(
            f"All fillets r: {as_text(fillet)} is too large for {crank.name} ({error})"
        ) from None


def cylinders(crank, machine, pressure, bore=None, rod_length=None):
    """A cylinder on each throw: the panel's machine, or with the reader's own bore and rod.

    Parameters
    ----------
    crank : Crank
    machine : one of ``MACHINES``
    pressure : Quantity, scalar [pressure]
        Of delivery, above the atmosphere.
    bore, rod_length : Quantity, optional [length]
        One and a half strokes and five throws without them.

    Returns
    -------
    tuple of service.Cylinder

    Notes
    -----
    Basis: assumed proportions, no source. Suction at the atmosphere's pressure.
    """
    found = []
    for throw in crank.throws:
        wide = 2 * BORE * throw.radius if bore is None else bore
        rod = ROD * throw.radius if rod_length is None else rod_length
        if machine == "liquid pump":
            inside = service.pump_pressure(TURNED, pressure)
        else:
            inside = service.compressor_pressure(
                TURNED, Quantity(0.0, "MPa"), pressure, CLEARANCE, throw.radius, rod
            )
        moving = Quantity(PISTON * wide.m_as("mm") ** 3, "kg")
        found.append(
            service.Cylinder(rod, service.piston_force(inside, wide), TURNED, moving, moving / 2)
        )
    return tuple(found)


def run(crank, machine, pressure, speed, **sizes):
    """Forces over the turn, cylinders with the crank's own webs and pin flung out too.

    Parameters
    ----------
    crank : Crank
    machine, pressure, **sizes
        As for ``cylinders``.
    speed : Quantity, scalar [rpm]

    Returns
    -------
    service.TurnLoads
    """
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


def modes(crank, machine):
    """Natural frequencies of twist of the crank between the panel's two flywheels.

    Parameters
    ----------
    crank : Crank
    machine : one of ``MACHINES``

    Returns
    -------
    torsion.TorsionalModes
    """
    across, per_volume = FLYWHEEL
    reach = max(throw.radius for throw in crank.throws)
    wheel = (per_volume * np.pi / 4 * (across * reach) ** 2 * reach * (across * reach) ** 2 / 8).to(
        "kg*m**2"
    )
    return torsion.crank_modes(crank, cylinders(crank, machine, LARGEST), wheel, wheel)


def judged(crank, machine, pressure, speed, fillet):
    """Everything the panel shows of a crank in a machine.

    Parameters
    ----------
    crank : Crank
    machine : one of ``MACHINES``
    pressure, speed, fillet : Quantity, scalars

    Returns
    -------
    (Crank, service.TurnLoads, strength.StrengthResult, torsion.TorsionalModes, list of torsion.Resonance)
    """
    sizes, at = (
        (crank.plain, crank.steel),
        (fillet.m_as("mm"), pressure.m_as("MPa"), speed.m_as("rpm")),
    )
    rounded, looked_at = once(("sections", *sizes, at[0]), lambda: _sections(crank, fillet))
    loads = once(("loads", *sizes, machine, at[1:]), lambda: run(crank, machine, pressure, speed))
    twisting = once(("modes", *sizes, machine), lambda: modes(crank, machine))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # what they say stands in the sentence
        result = strength.check_strength(rounded, loads, looked_at=looked_at)
        near = torsion.resonances(twisting, speed, torque=loads.torque)
    return rounded, loads, result, twisting, near


def _sections(crank, fillet):
    rounded = with_fillets(crank, fillet)
    return rounded, strength.places(rounded)


def _scale(crank):
    """Power of ten by which a large or small crank's torque is drawn; 1 for the examples."""
    most = sum(
        (service.piston_force(LARGEST, 2 * BORE * throw.radius) * throw.radius).m_as("N*m")
        for throw in crank.throws
    )
    return 10.0 ** -np.ceil(np.log10(most / 75.0)) if not 7.5 < most <= 75.0 else 1.0


def items(units, pressure, speed, fillet, machine):
    """What moves in the three charts, and the sentence that states the finding."""
    name, kind = machine.rsplit(", ", 1)
    crank, loads, result, twisting, near = judged(own.load(name), kind, pressure, speed, fillet)
    torque_unit, _, (bottom, top), stress_unit, _, (_, most) = SHOWN[units]
    turned, scale = np.append(loads.angle.m_as("deg"), 360.0), _scale(crank)
    given = -scale * loads.torque.m_as(torque_unit)
    drawn = [
        scene.Curve(turned, np.append(given, given[0]), scene.BLUE),
        scene.Curve(np.array([0, 360.0]), np.full(2, given.mean()), scene.GRAY, 1.5, "10 5"),
        scene.Note(
            6,
            top * 0.86,
            f"drive, mean dashed{'' if scale == 1 else f', drawn times {scale:g}'}",
            scene.BLUE,
        ),
    ]
    guess = prediction("11 torque", ("N*m", "ft*lbf", "in*lbf"))
    if guess is not None:
        height = guess.m_as(torque_unit) * scale
        drawn += [
            scene.Curve(np.array([0, 360.0]), np.full(2, height), scene.PURPLE, 2, "2 4"),
            scene.Note(354, height, "your prediction", scene.PURPLE, "end"),
        ]
    if near:
        drawn.append(
            scene.Note(
                6,
                bottom * 0.85,
                f"resonance at {as_text(near[0].critical_speed, 'rpm', 3)}",
                scene.RUST,
            )
        )
    weak = result.weakest
    normal, shear = (
        part.m_as(stress_unit) for part in strength.section_stress(crank, loads, weak.place)
    )
    at = int(np.ptp(normal, axis=1).argmax())
    for course, color, dash in (
        (normal[at], scene.RUST, ""),
        (shear[int(np.ptp(shear, axis=1).argmax())], scene.GREEN, "8 4"),
    ):
        drawn.append(scene.Curve(turned, np.append(course, course[0]), color, 2.5, dash, axes=1))
    drawn += [
        scene.Note(6, most * 0.76, f"{weak.place.name}: bending", scene.RUST, axes=1),
        scene.Note(354, -most * 0.92, "torsion, dashed", scene.GREEN, "end", axes=1),
    ]
    for row, words in enumerate(turning_crank.ROWS):
        kind_of, fillets_too = words.split()[0], words.endswith("fillet")
        one = next(
            section
            for section in result.sections
            if section.place.kind == kind_of
            and section.place.name.endswith("fillet") == fillets_too
        )
        models = (
            [("shoulder", one.shoulder), ("crank rule", one.crank_rule)]
            if one.crank_rule
            else [("shoulder" if fillets_too else "", one)]
        )
        drawn += turning_crank.safety_row(
            row, [(said, model.safety, model.low, model.high) for said, model in models]
        )
    return drawn, _sentence(crank, kind, loads, result, twisting, near, pressure, speed, units)


def _sentence(crank, kind, loads, result, twisting, near, pressure, speed, units):
    torque_unit, torque_words, *_ = SHOWN[units]
    force, length, power_unit, pressed = (
        ("N", "mm", "kW", "MPa") if units == "mm" else ("lbf", "in", "hp", "psi")
    )
    bore = 2 * BORE * max(throw.radius for throw in crank.throws)
    drive = -loads.torque.m_as(torque_unit)
    power = Quantity(-loads.mean_torque.m_as("N*m") * speed.m_as("rpm") * np.pi / 30, "W")
    weak = result.weakest
    both = f"; {weak.both}" if weak.both else ""
    text = (
        f"{crank.name} as {'an' if kind[0] == 'a' else 'a'} {kind}, bore {as_text(bore, length, 3)}: {as_text(pressure, pressed, 3)} pushes with "
        f"{as_text(service.piston_force(pressure, bore), force, 3)}. The drive gives up to {drive.max():.3g} {torque_words}, on average {drive.mean():.3g}: "
        f"{as_text(power, power_unit, 2)} at {as_text(speed, 'rpm', 4)}. Weakest is the {weak.place.name}: safety factor {weak.safety:.2g}, range {weak.low:.2g} to "
        f"{weak.high:.2g}{both}. {result.verdict} "
    )
    first = f"{twisting.first.m_as('Hz'):.0f} Hz"
    if near:
        one = near[0]
        met = f"{twisting.frequency[one.mode].m_as('Hz'):.0f} Hz of twist at {as_text(one.critical_speed, 'rpm', 3)}"
        return (
            text
            + f"RESONANCE: harmonic {one.order} of the torque meets {met}; change speed or flywheels. An estimate, never a certificate."
        )
    return (
        text
        + f"It twists at {first} first; no strong harmonic is near. An estimate, never a certificate."
    )


def paper(units, projector=False):
    """What does not move: the three charts."""
    _, torque_words, torques, _, stress_words, stresses = SHOWN[units]
    return turning_crank.turning_paper(torque_words, torques, stress_words, stresses, projector)


def panel(stage=False):
    """The live panel of the lesson; on a stage it fills a projector's screen."""
    return Panel(controls(), items, paper, PRESETS, stage)


def picture(pressure, speed, fillet, machine="pump, liquid pump", units="mm"):
    """The same picture without widgets: (figure, sentence)."""
    drawn, sentence = items(units, pressure, speed, fillet, machine)
    return scene.add(paper(units), drawn), sentence


def torque_at(source):
    """Torque of one rod at a crank angle."""
    force, throw, ratio = (
        source.randrange(6, 40) * 100,
        source.randrange(12, 36),
        source.randrange(35, 55) / 10,
    )
    angle = source.choice((30, 40, 50, 60, 110, 120, 130))
    sizes = (
        Quantity(angle, "deg"),
        Quantity(force, "N"),
        Quantity(throw, "mm"),
        Quantity(throw * ratio, "mm"),
    )
    along, tangential, radial = service.rod_forces(*sizes)
    arm = Quantity(throw, "mm")
    return Question(
        f"A piston pushes with {force} N toward a crank of {throw} mm throw; the rod is {throw * ratio:g} mm long. How much torque does it give "
        f"{angle} degrees after the outer dead center?",
        (tangential * arm).to("N*m"),
        ("N*m", "ft*lbf", "in*lbf"),
        {
            "the rod leans: where is its angle?": (
                Quantity(force * np.sin(np.radians(angle)), "N") * arm
            ).to("N*m"),
            "is the throw the stroke or half of it?": 2 * (tangential * arm).to("N*m"),
            "which part of the rod's force turns, and which only presses?": abs(
                (radial * arm).to("N*m")
            ),
            "does the whole rod force turn the crank?": (along * arm).to("N*m"),
        },
        (
            "The rod leans by phi, sin(phi) = e sin(theta) / rod. Only what stands across the throw turns it.",
            "T = F e sin(theta + phi) / cos(phi)",
        ),
    )


def alternating_allowed(source):
    """Alternating stress that a wanted safety factor leaves beside a mean stress, by Goodman."""
    limit, ultimate, mean = (
        source.randrange(14, 30) * 10,
        source.randrange(55, 110) * 10,
        source.randrange(4, 13) * 10,
    )
    strong = round(0.75 * ultimate / 10) * 10
    wanted = source.choice((1.5, 1.8, 2.0, 2.5))
    key = limit * (1 / wanted - mean / ultimate)
    return Question(
        f"A fillet has an endurance limit of {limit} MPa, in steel of {ultimate} MPa tensile and {strong} MPa yield strength. "
        f"Its mean stress is {mean} MPa, notch in. How much alternating stress leaves a safety factor of {wanted:g} by Goodman?",
        Quantity(key, "MPa"),
        ("MPa", "kpsi"),
        {
            "where did the safety factor go?": Quantity(limit * (1 - mean / ultimate), "MPa"),
            "does the mean stress take nothing away?": Quantity(limit / wanted, "MPa"),
            "Goodman sets the mean against the tensile strength, Soderberg against the yield strength: which did you take?": Quantity(
                limit * (1 / wanted - mean / strong), "MPa"
            ),
            "is only the alternating part to be divided? The factor is on both.": Quantity(
                limit * (1 - mean / ultimate) / wanted, "MPa"
            ),
        },
        (
            "Mean and alternating stress each take their share of one over the safety factor.",
            "1/n = sa/Se + sm/Su, so sa = Se (1/n - sm/Su)",
        ),
        tolerance=0.005,
    )


def critical_speed(source):
    """Speed at which a harmonic meets the twist of a shaft between two wheels."""
    first, second, order = (
        source.randrange(4, 30) / 1000,
        source.randrange(31, 90) / 1000,
        source.choice((2, 3, 4)),
    )
    stiffness = source.randrange(30, 160) * 100
    inertia = Quantity(np.array([first, second]), "kg*m**2")
    frequency = torsion.torsional_modes(
        inertia, Quantity(np.array([float(stiffness)]), "N*m/rad")
    ).first.m_as("Hz")
    key = 60 * frequency / order
    alone = 60 * np.sqrt(stiffness / first) / (2 * np.pi) / order
    return Question(
        f"Between a pulley of {first:g} kg m² and a flywheel of {second:g} kg m² sits a crank whose whole length twists with {stiffness} N·m/rad. "
        f"The torque has a strong harmonic {order}. At which speed does that meet the twist?",
        Quantity(key, "rpm"),
        ("rpm",),
        {
            "do both wheels swing, or does one stand still?": Quantity(alone, "rpm"),
            "does a harmonic come more often than once a turn?": Quantity(60 * frequency, "rpm"),
            "radians or cycles?": Quantity(key * 2 * np.pi, "rpm"),
            "per second or per minute?": Quantity(key / 60, "rpm"),
        },
        (
            "Two wheels on a spring swing against each other. Then: harmonic i swings i times a turn.",
            "f = sqrt(k (J1 + J2) / (J1 J2)) / (2 pi), n = 60 f / i",
        ),
    )


def check_gaps(crank, my_force, my_stress):
    """Check the two gaps of the worked example: piston force at 0.5 MPa on the panel's bore, and the nominal bending stress in the pin's middle."""
    throw = crank.throws[0]
    pressure, bore = Quantity(0.5, "MPa"), 2 * BORE * throw.radius
    force = service.piston_force(pressure, bore)
    span = (
        (crank.journals[0].length + crank.journals[1].length) / 2
        + 2 * throw.web_thickness
        + throw.pin_length
    )
    stress, _ = strength.round_stress(
        (force * span / 4).to("N*m"), Quantity(0.0, "N*m"), throw.pin_diameter
    )
    asked = Question(
        "force",
        force,
        ("N", "lbf", "kN"),
        {"is the bore a radius?": 4 * force, "where did pi / 4 go?": force * 4 / np.pi},
        (),
        0.02,
    )
    bare = stress * (throw.pin_length / span).m_as("dimensionless")
    bent = Question(
        "stress",
        stress,
        ("MPa", "kpsi"),
        {
            "how far is it from bearing to bearing, middle to middle?": bare,
            "does half the force stand at half the span? M = F L / 4": 2 * stress,
        },
        (),
        0.03,
    )
    print("Force:", check(asked, my_force))
    print("Stress:", check(bent, my_stress))


def steel_line(steel, finish="machined"):
    """One line with a steel's endurance limit and the factors that made it, for a section of 20 mm.

    Parameters
    ----------
    steel : str
    finish : one of ``fatigue.FINISHES``

    Returns
    -------
    str
    """
    ultimate = steels.find(steel).tensile_strength
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        found = fatigue.endurance_limit(ultimate, Quantity(20.0, "mm"), finish=finish)
    return (
        f"{steel}, {as_text(ultimate, 'MPa', 3)}: half of it is {found.specimen.magnitude:.0f}; surface ({finish}) {found.surface:.2f}, "
        f"size {found.size:.2f}: endurance limit {found.limit.magnitude:.0f} MPa"
    )
