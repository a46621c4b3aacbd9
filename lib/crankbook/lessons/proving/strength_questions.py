"""Questions of lesson 10, stress in a fillet, and of 11: torque of a rod, allowed stress, speed."""

import numpy as np

from crankmath import fillets, service
from crankmath.service import strength, torsion
from crankmath.units import Quantity

from ...lesson.exercise import Question, check_gap
from .driven_crank import BORE


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
        f"A piston pushes with {force} N toward a crank of {throw} mm throw; the rod is "
        f"{throw * ratio:g} mm long. How much torque does it give "
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
            "The rod leans by phi, sin(phi) = e sin(theta) / rod. Only what stands across the "
            "throw turns it.",
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
        f"A fillet has an endurance limit of {limit} MPa, in steel of {ultimate} MPa tensile and "
        f"{strong} MPa yield strength. "
        f"Its mean stress is {mean} MPa, notch in. How much alternating stress leaves a safety "
        f"factor of {wanted:g} by Goodman?",
        Quantity(key, "MPa"),
        ("MPa", "kpsi"),
        {
            "where did the safety factor go?": Quantity(limit * (1 - mean / ultimate), "MPa"),
            "does the mean stress take nothing away?": Quantity(limit / wanted, "MPa"),
            "Goodman sets the mean against the tensile strength, "
            "Soderberg against the yield strength: which did you take?": Quantity(
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
        f"Between a pulley of {first:g} kg m² and a flywheel of {second:g} kg m² sits a crank "
        f"whose whole length twists with {stiffness} N·m/rad. "
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
            "Two wheels on a spring swing against each other. Then: harmonic i swings i times a "
            "turn.",
            "f = sqrt(k (J1 + J2) / (J1 J2)) / (2 pi), n = 60 f / i",
        ),
    )


def check_gaps(crank, my_force, my_stress):
    """Check the two gaps of the worked example: piston force at 0.5 MPa on the panel's bore, and
    the nominal bending stress in the pin's middle."""
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
    slips = {"is the bore a radius?": 4 * force, "where did pi / 4 go?": force * 4 / np.pi}
    check_gap("Force", force, ("N", "lbf", "kN"), my_force, slips, 0.02, "my_force")
    bare = stress * (throw.pin_length / span).m_as("dimensionless")
    slips = {
        "how far is it from bearing to bearing, middle to middle?": bare,
        "does half the force stand at half the span? M = F L / 4": 2 * stress,
    }
    check_gap("Stress", stress, ("MPa", "kpsi"), my_stress, slips, 0.03, "my_stress")


def peak_stress(source):
    """Peak stress in a fillet from moment, diameter and Kt."""
    moment, diameter = source.randrange(20, 90), source.randrange(12, 30)
    kt = source.randrange(14, 24) / 10
    nominal, _unused = strength.round_stress(
        Quantity(moment, "N*m"), Quantity(0.0, "N*m"), Quantity(diameter, "mm")
    )
    return Question(
        f"A journal of Ø{diameter} mm carries a bending moment of {moment} N·m. Its fillet has "
        f"Kt {kt:g} in bending, on the nominal stress of the journal. What is the peak stress?",
        nominal * kt,
        ("MPa", "kpsi"),
        {
            "that is the nominal stress: what does the corner add?": nominal,
            "is it 32 or 16? A bending moment takes 32.": nominal * kt / 2,
            "is the diameter to the third power a radius?": nominal * kt * 8,
            "does Kt divide or multiply?": nominal / kt,
            "where did pi go?": nominal * kt * np.pi,
        },
        (
            "First the nominal stress of the small section, then the corner's factor.",
            "sigma = 32 M / (pi d^3), peak = Kt sigma.",
        ),
    )


def felt_stress(source):
    """Alternating stress that fatigue feels: notch sensitivity, then Kf."""
    strength, radius = source.randrange(45, 100) * 10, source.randrange(5, 30) / 10
    kt, nominal = source.randrange(16, 26) / 10, source.randrange(40, 120)
    share = fillets.notch_sensitivity("bending", Quantity(strength, "MPa"), Quantity(radius, "mm"))
    stress = Quantity(float(nominal), "MPa")
    return Question(
        f"Steel of {strength} MPa tensile strength, a fillet of {radius:g} mm with Kt {kt:g} in "
        f"bending, nominal stress {nominal} MPa, alternating. Neuber's notch sensitivity is "
        f"q = {share:.3f}. What stress does fatigue feel?",
        stress * (1 + share * (kt - 1)),
        ("MPa", "kpsi"),
        {
            "that is the full Kt: how much of it does a small corner hand on?": stress * kt,
            "does q multiply Kt, or only what Kt adds to one?": stress * share * kt,
            "where did the one go? Kf = 1 + ...": stress * share * (kt - 1),
            "does the corner count at all?": stress,
        },
        (
            "Fatigue feels only a share q of what the corner adds.",
            "Kf = 1 + q (Kt - 1), stress = Kf times nominal.",
        ),
        tolerance=0.005,
    )
