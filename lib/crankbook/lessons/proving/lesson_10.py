"""Lesson 10, shape the fillet: its panel and its three questions."""

import warnings
from dataclasses import replace

import numpy as np
from scipy.optimize import brentq

from crankmath import crank_corner, fillets
from crankmath.fillets import printed
from crankmath.language import _, marked
from crankmath.stress_field import kt_table
from crankmath.stress_field.field import solve_fillet
from crankmath.units import OutOfRangeWarning, Quantity, as_text, magnitude

from ...lesson import own
from ...lesson.exercise import Question, check_gap, prediction
from ...lesson.finding import Finding
from ...lesson.kept import once
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures import scene
from ...pictures.proving import stress_picture
from .strength_questions import felt_stress as felt_stress
from .strength_questions import peak_stress as peak_stress

LOADS = (marked("bending"), marked("torsion"), marked("tension"))
VIEWS = (
    *(marked("bending, shaded"), marked("bending, fringes"), marked("torsion, shaded")),
    *(marked("torsion, fringes"), marked("tension, shaded"), marked("tension, fringes")),
)
SIZES = (
    Control(
        "radius",
        _("Fillet radius r"),
        ("mm", 0.2, 10, 0.05),
        ("in", 0.008, 0.4, 0.002),
        Quantity(1.5, "mm"),
        ("cm",),
    ),
    Control(
        "small_diameter",
        _("Small diameter d"),
        ("mm", 6, 60, 0.5),
        ("in", 0.25, 2.4, 0.01),
        Quantity(20.0, "mm"),
        ("cm",),
    ),
    Control(
        "large_diameter",
        _("Large diameter D"),
        ("mm", 7, 120, 0.5),
        ("in", 0.28, 4.8, 0.01),
        Quantity(30.0, "mm"),
        ("cm",),
    ),
)
CONTROLS = (*SIZES, Choice("view", _("Load and picture"), VIEWS, VIEWS[0]))
PRESETS = {  # each sets all sizes and the load: none depends on the one pressed before it
    words: {
        "radius": Quantity(radius, "mm"),
        "small_diameter": Quantity(20.0, "mm"),
        "large_diameter": Quantity(large, "mm"),
        "view": view,
    }
    for words, radius, large, view in (
        (_("Sharp"), 0.3, 30.0, VIEWS[0]),
        (_("Ground"), 1.5, 30.0, VIEWS[0]),
        (_("Generous"), 4.0, 30.0, VIEWS[0]),
        (_("Chart unsafe"), 0.6, 40.0, "tension, shaded"),
        (_("Half of ground"), 0.75, 30.0, VIEWS[0]),
    )
}
PLACES = {"pin": "pin", "main": "journal"}  # what the solved factors call them
MOST_CRANKS = 3  # of the reader's own, offered as presets
VOTE = (
    _("Halve the radius: the stress in the corner rises …"),
    (_("hardly"), _("by a quarter"), _("by half"), _("to double")),
)
RADII = np.geomspace(0.01, 1, 61)  # r/d across the chart
PRINTED = {load: ("pilkey", "roark" if load == "torsion" else "tipton") for load in LOADS}
INKS = {
    "pilkey": (scene.RUST, "9 5"),
    "roark": (scene.PURPLE, "3 4"),
    "tipton": (scene.GREEN, "12 4 3 4"),
}
NOMINAL = Quantity(100.0, "MPa")  # of the prediction
CLOSE = 1.05  # the printed fit counts as agreeing within so much, about what a chart can be read to


def _fit(load, large, small, radii, source):
    """A published fit along the chart [mm], no number outside its range."""
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


def corners_of(name):
    """Sizes of a crank's first pin and main by that word, each on a step of its web's full width.

    A corner that is sharp or outside the panel is left out.
    """
    crank = own.load(name)
    throw, journal = crank.throws[0], crank.journals[0]
    found = {
        "pin": (throw.fillet, throw.pin_diameter, throw.web_width),
        "main": (journal.fillet, journal.diameter, throw.web_width),
    }
    return {
        part: {control.name: size for control, size in zip(SIZES, sizes, strict=True)}
        for part, sizes in found.items()
        if sizes[1] < sizes[2]
        and all(
            control.mm[1] <= size.m_as("mm") <= control.mm[2]
            for control, size in zip(SIZES, sizes, strict=True)
        )
    }


def presets():
    """Presets of the panel: those of the lesson, then the corners of the reader's own cranks."""
    own_ones = {
        f"{name}, {part}": {**sizes, "view": VIEWS[0]}
        for name in own.own_names()[:MOST_CRANKS]
        for part, sizes in corners_of(name).items()
    }
    return PRESETS | own_ones


def _corners_on_webs(name):
    """Sizes of a crank's corners, and beside each its part and its factor solved on its web."""
    crank = own.load(name)
    return [
        (sizes, part, float(crank_corner.bending_on_bar(crank, PLACES[part])))
        for part, sizes in corners_of(name).items()
    ]


def on_its_web(sizes):
    """Crank, part and factor solved on its web of a corner with these sizes; None without one."""
    for name in own.names():
        key = ("10 corners", name, own.stamp(name))
        for corner, part, factor in once(key, lambda name=name: _corners_on_webs(name)):
            if tuple(corner.values()) == sizes:
                return name, part, factor
    return None


def items(units, radius, small_diameter, large_diameter, view):
    """What moves in the picture and the chart, and the finding."""
    load, picture_kind = view.split(", ")
    if large_diameter <= small_diameter:
        raise ValueError(_("Large diameter D has to be above small diameter d: move one of them"))
    field = solve_fillet(load, large_diameter, small_diameter, radius)
    large, small, arc = (value.m_as("mm") for value in (large_diameter, small_diameter, radius))
    unit, stress_unit = ("mm", "MPa") if units == "mm" else ("in", "kpsi")
    sizes = (
        f"d {as_text(small_diameter, unit, 4)}",
        f"D {as_text(large_diameter, unit, 4)}",
        f"r {as_text(radius, unit, 3)}",
    )
    drawn = stress_picture.section(field, small, arc / small, picture_kind, load, sizes)
    solved = kt_table.solved_concentration(
        load, large_diameter, small_diameter, Quantity(RADII * small, "mm")
    )
    drawn.append(stress_picture.kt_curve(RADII, solved))
    for source in PRINTED[load]:
        printed_kt = _fit(load, large, small, RADII * small, source)
        curve = stress_picture.kt_curve(RADII, printed_kt, *INKS[source], 2)
        if len(curve.x):
            drawn.append(curve)
    grip = scene.Grip("radius", "x", small_diameter.m_as(unit))
    drawn.append(scene.Point(arc / small, field.kt, scene.BLUE, 2, (grip,)))
    drawn += _legend(load, field.kt)
    lines = [
        _("Fillet r {radius} between Ø{small_diameter} and Ø{large_diameter}.").format(
            radius=as_text(radius, unit, 3),
            small_diameter=as_text(small_diameter, unit, 4),
            large_diameter=as_text(large_diameter, unit, 4),
        ),
        _beside_print(load, large, small, arc, field.kt),
    ]
    if picture_kind == "fringes":
        band, nominal = (as_text(k * NOMINAL, stress_unit, 3) for k in (stress_picture.FRINGE, 1))
        lines.append(
            _("From one dark band to the next: {band} where {nominal} is nominal.").format(
                band=band, nominal=nominal
            )
        )
    sizes = (radius, small_diameter, large_diameter)
    web = on_its_web(sizes) if load == "bending" else None
    if web is not None:
        lines.append(
            _(
                "The {web} of {crank} has these sizes; on its web, solved in the solid, the "
                "factor is {factor:.2f}."
            ).format(web=web[1], crank=web[0], factor=web[2])
        )
    guess = prediction("10 peak stress", ("MPa", "kpsi"))
    if guess is not None:
        level = (guess / NOMINAL).m_as("dimensionless")
        drawn += [
            scene.Curve(RADII[[0, -1]], np.full(2, level), scene.PURPLE, 2, "2 4", axes=2),
            scene.Note(0.98, level, _("your prediction"), scene.PURPLE, "end", axes=2),
        ]
        lines.append(
            _("You predicted {guess}; here {nominal} become {kt}.").format(
                guess=as_text(guess, stress_unit, 3),
                nominal=as_text(NOMINAL, stress_unit, 3),
                kt=as_text(field.kt * NOMINAL, stress_unit, 3),
            )
        )
    return drawn, Finding(
        _("In {load}, the corner raises the stress {kt:.2f} times.").format(
            load=_(load), kt=field.kt
        ),
        "",
        tuple(lines),
    )


def _legend(load, kt):
    """Names of the curves, each after a piece of its line."""
    names = [(_("solved here: {kt:.2f}").format(kt=kt), scene.BLUE, "")]
    names += [
        (_("{source}, print").format(source=source.capitalize()), *INKS[source])
        for source in PRINTED[load]
    ]
    drawn = []
    for row, (name, color, dash) in enumerate(names):
        height = 6.6 / 1.17**row
        drawn += [
            scene.Curve(
                np.array([0.06, 0.11]), np.full(2, height * 1.03), color, 2.5, dash, axes=2
            ),
            scene.Note(0.125, height * 0.97, name, color, axes=2),
        ]
    return drawn


def _beside_print(load, large, small, arc, kt):
    """How the most printed fit stands beside the solved value, in words."""
    chart = float(_fit(load, large, small, np.array([arc]), "pilkey")[0])
    if np.isnan(chart):
        return _("The printed chart does not reach here: outside its range.")
    if chart * CLOSE < kt:
        short = 100 * (1 - chart / kt)
        return _("The printed chart says {chart:.2f}: {short:.0f} % too little, unsafe.").format(
            chart=chart, short=short
        )
    if chart > kt * CLOSE:
        over = 100 * (chart / kt - 1)
        return _(
            "The printed chart says {chart:.2f}: {over:.0f} % too much, on the safe side."
        ).format(chart=chart, over=over)
    return _("The printed chart says {chart:.2f}: they agree within {close:.0f} %.").format(
        chart=chart, close=100 * (CLOSE - 1)
    )


def paper(units, projector=False):
    """What does not move: window, scale, chart."""
    return stress_picture.stress_paper(projector)


SCENE = Scene(CONTROLS, items, paper, presets, VOTE)
panel, picture = SCENE.panel, SCENE.picture


def web_factors(crank):
    """The crank rule's factors for a crank's first throw, and below them those of its own web.

    Basis: ``fillets.crank_rule_factors``, what is out of range stands in the line;
    ``crank_corner.factors``.
    """
    throw, journal = crank.throws[0], crank.journals[0]
    widths = throw.pin_diameter, journal.diameter, throw.radius
    web_sizes = throw.web_thickness, throw.web_width, throw.fillet, journal.fillet
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)
        found = fillets.crank_rule_factors(*widths, *web_sizes)
        web = crank_corner.factors(*widths, *web_sizes)
    solved = _(
        "solved: pin fillet: bending {pin_bending:.2f}, torsion {pin_torsion:.2f}; journal fillet: "
        "bending {journal_bending:.2f}, torsion {journal_torsion:.2f}"
    ).format(
        pin_bending=web.pin_bending,
        pin_torsion=web.pin_torsion,
        journal_bending=web.journal_bending,
        journal_torsion=web.journal_torsion,
    )
    return _("{name}, throw {radius}, by the rule: {found}\n  {solved}").format(
        name=crank.name, radius=as_text(throw.radius), found=found, solved=solved
    )


def with_journal_fillet(crank, fillet):
    """The crank with another fillet at all its journals."""
    return replace(crank, journals=tuple(replace(one, fillet=fillet) for one in crank.journals))


def smallest_radius(load, large_diameter, small_diameter, most):
    """Smallest fillet radius whose solved Kt is at most ``most``; ValueError where none is.

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
            _(
                "most: no radius from 0.01 to 1 small diameter gives Kt {most:g}; ask for another "
                "Kt"
            ).format(most=most)
        )
    return Quantity(brentq(over, 0.01, 1.0, xtol=1e-6) * small, "mm")


def check_gaps(crank, my_ratio, my_stress):
    """Check the gaps of the worked example: fillet radius over pin diameter in percent, and the
    peak stress in its web's corner at 40 MPa nominal.
    """
    throw = crank.throws[0]
    relative = (throw.fillet / throw.pin_diameter).to("percent")
    over_journal = (throw.fillet / crank.journals[0].diameter).to("percent")
    slips = {"over the pin, or over the journal?": over_journal}
    check_gap("Radius over diameter", relative, ("percent",), my_ratio, slips, 0.01, "my_ratio")
    kt = solve_fillet("bending", throw.web_width, throw.pin_diameter, throw.fillet, "fine").kt
    on_bar = crank_corner.bending_on_bar(crank, "pin")
    bar_over_web = np.pi * throw.pin_diameter**3 / 32
    bar_over_web /= throw.web_width * throw.web_thickness**2 / 6
    nominal = Quantity(40.0, "MPa")
    slips = {
        "does the corner count at all?": nominal,
        "that is a stepped shaft's corner: does the pin stand on one?": kt * nominal,
        "is that the stress of the web without its corner?": bar_over_web * nominal,
        "does the web's factor count on the web's stress, or on the pin's?": on_bar
        / bar_over_web
        * nominal,
    }
    units = ("MPa", "kpsi")
    check_gap("Peak stress", on_bar * nominal, units, my_stress, slips, 0.02, "my_stress")


def wanted_radius(source):
    """The smallest radius for a wanted Kt, read from the solved curve."""
    small, step = source.randrange(12, 31), source.randrange(13, 19) / 10
    most = source.randrange(15, 20) / 10
    large = round(small * step)
    key = smallest_radius("bending", Quantity(large, "mm"), Quantity(small, "mm"), most)
    return Question(
        f"Between Ø{small} mm and Ø{large} mm the fillet is to raise a bending stress at most "
        f"{most:g} times. What is the smallest radius by the solved curve? Use the panel; answer "
        "within 5 %.",
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
