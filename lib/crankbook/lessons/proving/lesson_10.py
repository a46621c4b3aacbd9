"""Lesson 10, shape the fillet: its panel and its three questions."""

import warnings

import numpy as np

from crankmath import fillets
from crankmath.crank import Crank
from crankmath.fillets import printed
from crankmath.service import strength
from crankmath.stress_field import kt_table
from crankmath.stress_field.field import solve_fillet
from crankmath.units import OutOfRangeWarning, Quantity, as_text, magnitude

from ...lesson.exercise import Question, check, prediction
from ...lesson.panel import Choice, Control, Panel
from ...pictures import scene
from ...pictures.proving import stress_picture

CRANK = Crank.load("pump")
VIEWS = tuple(
    f"{load}, {view}"
    for load in ("bending", "torsion", "tension")
    for view in ("shaded", "fringes")
)
CONTROLS = (
    Control(
        "radius",
        "Fillet radius r",
        ("mm", 0.2, 10, 0.05),
        ("in", 0.008, 0.4, 0.002),
        Quantity(1.5, "mm"),
        ("cm",),
    ),
    Control(
        "small_diameter",
        "Small diameter d",
        ("mm", 6, 60, 0.5),
        ("in", 0.25, 2.4, 0.01),
        Quantity(20.0, "mm"),
        ("cm",),
    ),
    Control(
        "large_diameter",
        "Large diameter D",
        ("mm", 7, 120, 0.5),
        ("in", 0.28, 4.8, 0.01),
        Quantity(30.0, "mm"),
        ("cm",),
    ),
    Choice("view", "Load and picture", VIEWS, VIEWS[0]),
)
PRESETS = {
    "Sharp": {"radius": Quantity(0.3, "mm")},
    "Ground": {"radius": Quantity(1.5, "mm")},
    "Generous": {"radius": Quantity(4.0, "mm")},
    "Chart unsafe": {
        "radius": Quantity(0.6, "mm"),
        "small_diameter": Quantity(20.0, "mm"),
        "large_diameter": Quantity(40.0, "mm"),
        "view": "tension, shaded",
    },
    "Half of ground": {"radius": Quantity(0.75, "mm")},
}
VOTE = (
    "Halve the radius: the stress in the corner rises …",
    ("hardly", "by a quarter", "by half", "to double"),
)
RADII = np.geomspace(0.01, 1, 61)  # r/d across the chart
PRINTED = {
    "tension": ("pilkey", "tipton"),
    "bending": ("pilkey", "tipton"),
    "torsion": ("pilkey", "roark"),
}
INKS = {
    "pilkey": (scene.RUST, "9 5"),
    "roark": (scene.PURPLE, "3 4"),
    "tipton": (scene.GREEN, "12 4 3 4"),
}
NOMINAL = Quantity(100.0, "MPa")  # of the prediction
CLOSE = 1.05  # the printed fit counts as agreeing within so much, about what a chart can be read to


def _fit(load, large, small, radii, source):
    """A published fit along the chart, not a number where it is outside its range; lengths in mm."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        kt = fillets.stress_concentration(
            load, Quantity(large, "mm"), Quantity(small, "mm"), Quantity(radii, "mm"), source
        )
    if source == "tipton":
        inside = (radii / small >= printed.TIPTON_RADIUS[0]) & (
            radii / small <= printed.TIPTON_RADIUS[1]
        )
    else:
        least, most = fillets.fit_range(load, source)
        inside = (least <= (large - small) / (2 * radii)) & ((large - small) / (2 * radii) <= most)
    return np.where(inside, kt, np.nan)


def items(units, radius, small_diameter, large_diameter, view):
    """What moves in the picture and the chart, and the sentence that states the finding."""
    load, picture_kind = view.split(", ")
    unit = "mm" if units == "mm" else "in"
    field = solve_fillet(load, large_diameter, small_diameter, radius)
    large, small, arc = (value.m_as("mm") for value in (large_diameter, small_diameter, radius))
    drawn = stress_picture.section(field, small, picture_kind == "fringes")
    solved = kt_table.solved_concentration(
        load, large_diameter, small_diameter, Quantity(RADII * small, "mm")
    )
    drawn.append(stress_picture.kt_curve(RADII, solved))
    for source in PRINTED[load]:
        curve = stress_picture.kt_curve(
            RADII,
            _fit(load, large, small, RADII * small, source),
            INKS[source][0],
            INKS[source][1],
            2,
        )
        if len(curve.x):
            drawn.append(curve)
    drawn += [scene.Point(arc / small, field.kt, scene.BLUE, axes=2), *_legend(load, field.kt)]
    guess = prediction("10 peak stress", ("MPa", "kpsi"))
    if guess is not None:
        level = (guess / NOMINAL).m_as("dimensionless")
        drawn += [
            scene.Curve(RADII[[0, -1]], np.full(2, level), scene.PURPLE, 2, "2 4", axes=2),
            scene.Note(0.98, level, "your prediction", scene.PURPLE, "end", axes=2),
        ]
    sentence = (
        f"In {load}, r {as_text(radius, unit)} between Ø{as_text(small_diameter, unit)} and Ø{as_text(large_diameter, unit)} raises "
        f"the stress {field.kt:.2f} times. {_verdict(load, large, small, arc, field.kt)}"
    )
    return drawn, sentence


def _legend(load, kt):
    """Names of the curves, each after a piece of its line."""
    names = [
        ("solved here", scene.BLUE, ""),
        *((f"{source.capitalize()}, print", *INKS[source]) for source in PRINTED[load]),
    ]
    drawn = []
    for row, (name, color, dash) in enumerate(names):
        height = 6.6 / 1.17**row
        drawn += [
            scene.Curve(
                np.array([0.06, 0.11]), np.full(2, height * 1.03), color, 2.5, dash, axes=2
            ),
            scene.Note(
                0.125, height * 0.97, f"{name}: {kt:.2f}" if row == 0 else name, color, axes=2
            ),
        ]
    return drawn


def _verdict(load, large, small, arc, kt):
    """How the most printed fit stands beside the solved value, in words."""
    printed = float(_fit(load, large, small, np.array([arc]), "pilkey")[0])
    if np.isnan(printed):
        return "The printed chart does not reach here: outside its range."
    if printed * CLOSE < kt:
        return f"The printed chart says {printed:.2f}: {100 * (1 - printed / kt):.0f} % too little, unsafe."
    if printed > kt * CLOSE:
        return f"The printed chart says {printed:.2f}: {100 * (printed / kt - 1):.0f} % too much, on the safe side."
    return f"The printed chart says {printed:.2f}: they agree within {100 * (CLOSE - 1):.0f} %."


def paper(units, projector=False):
    """What does not move: window, scale, chart."""
    return stress_picture.stress_paper(projector)


def panel(stage=False):
    """The live panel of the lesson; on a stage it fills a projector's screen."""
    return Panel(CONTROLS, items, paper, PRESETS, stage, VOTE)


def picture(radius, small_diameter, large_diameter, view=VIEWS[0], units="mm"):
    """The same picture without widgets: (figure, sentence)."""
    drawn, sentence = items(units, radius, small_diameter, large_diameter, view)
    return scene.add(paper(units), drawn), sentence


def web_factors(crank):
    """The crank rule's factors for a crank's first throw, as one line.

    Parameters
    ----------
    crank : Crank

    Returns
    -------
    str

    Notes
    -----
    Basis: ``fillets.crank_rule_factors``; what is out of range stands in the line.
    """
    throw, journal = crank.throws[0], crank.journals[0]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        found = fillets.crank_rule_factors(
            throw.pin_diameter,
            journal.diameter,
            throw.radius,
            throw.web_thickness,
            throw.web_width,
            throw.fillet,
            journal.fillet,
        )
    return f"{crank.name}, throw {as_text(throw.radius)}: {found}"


def smallest_radius(load, large_diameter, small_diameter, most):
    """Smallest fillet radius whose solved Kt is at most a given one.

    Parameters
    ----------
    load : "tension", "bending" or "torsion"
    large_diameter, small_diameter : Quantity, scalar [length]
    most : float [no unit]

    Returns
    -------
    Quantity [mm]

    Raises
    ------
    ValueError
        No radius of the table reaches it.

    Notes
    -----
    Basis: derived; root of ``kt_table.solved_concentration``. Range: r/d 0.01 to 1.
    """
    small = magnitude(small_diameter, "mm", "small_diameter", above=0)

    def over(relative):
        return (
            kt_table.solved_concentration(
                load, large_diameter, small_diameter, Quantity(relative * small, "mm")
            )
            - most
        )

    if over(0.01) < 0 or over(1.0) > 0:
        raise ValueError(
            f"most: no radius from 0.01 to 1 small diameter gives Kt {most:g}; ask for another Kt"
        )
    from scipy.optimize import brentq

    return Quantity(brentq(over, 0.01, 1.0, xtol=1e-6) * small, "mm")


def peak_stress(source):
    """Peak stress in a fillet from moment, diameter and Kt."""
    moment, diameter = source.randrange(20, 90), source.randrange(12, 30)
    kt = source.randrange(14, 24) / 10
    nominal, _ = strength.round_stress(
        Quantity(moment, "N*m"), Quantity(0.0, "N*m"), Quantity(diameter, "mm")
    )
    return Question(
        f"A journal of Ø{diameter} mm carries a bending moment of {moment} N·m. Its fillet has Kt {kt:g} in bending, on the "
        "nominal stress of the journal. What is the peak stress?",
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
        f"Steel of {strength} MPa tensile strength, a fillet of {radius:g} mm with Kt {kt:g} in bending, nominal stress {nominal} MPa, "
        f"alternating. Neuber's notch sensitivity is q = {share:.3f}. What stress does fatigue feel?",
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


def wanted_radius(source):
    """The smallest radius for a wanted Kt, read from the solved curve."""
    small, step, most = (
        source.randrange(12, 31),
        source.randrange(13, 19) / 10,
        source.randrange(15, 20) / 10,
    )
    large = round(small * step)
    key = smallest_radius("bending", Quantity(large, "mm"), Quantity(small, "mm"), most)
    return Question(
        f"Between Ø{small} mm and Ø{large} mm the fillet is to raise a bending stress at most {most:g} times. "
        "What is the smallest radius? Use the panel; answer within 5 %.",
        key,
        ("mm", "in"),
        {
            "is r/d the radius over the small diameter, or over the large one?": key
            * large
            / small,
            "is that the radius or the width of the tool's nose?": key * 2,
        },
        (
            "Set both diameters in the panel and move the radius until Kt is reached.",
            "Read r/d where the solved curve crosses the wanted Kt, then r = (r/d) d.",
        ),
        tolerance=0.05,
    )


def check_gaps(crank, my_ratio, my_stress):
    """Check the two gaps of the worked example: fillet radius over pin diameter in percent, and the peak stress at 40 MPa nominal."""
    throw = crank.throws[0]
    relative = (throw.fillet / throw.pin_diameter).m_as("percent")
    ratio = Question(
        "r/d",
        Quantity(relative, "percent"),
        ("percent",),
        {
            "over the pin, or over the journal?": (throw.fillet / crank.journals[0].diameter).to(
                "percent"
            )
        },
        (),
    )
    kt = solve_fillet("bending", throw.web_width, throw.pin_diameter, throw.fillet, "fine").kt
    stress = Question(
        "stress",
        Quantity(40 * kt, "MPa"),
        ("MPa", "kpsi"),
        {"does the corner count at all?": Quantity(40.0, "MPa")},
        (),
        0.02,
    )
    print("Radius over diameter:", check(ratio, my_ratio))
    print("Peak stress:", check(stress, my_stress))
