"""Lesson 14, balance the crank: its panel and its three questions."""

import numpy as np

from crankmath.balance import counterweights, shaking
from crankmath.blank import bar
from crankmath.crank import mass, steels
from crankmath.language import _, marked
from crankmath.units import Quantity, as_text
from crankmath.wording import capital

from ...lesson import own
from ...lesson.exercise import Question, check_gap, prediction
from ...lesson.finding import Finding, beside
from ...lesson.kept import once
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures.proving import balance_picture

WITH, WITHOUT = marked("counterweights"), marked("no counterweights")
# of piston and rod together, turns with the pin: common practice, no source; weigh your own
TURNING_SHARE = 1 / 3
ROD = 4.0  # throws long; common practice
STEEL_DENSITY = Quantity(7850, "kg/m**3")  # where the crank's steel is not in the table
UNITS = {
    "mm": ("g*mm", "g·mm", "N", "N", "N*m", "N·m"),
    "in": ("oz*in", "oz·in", "lbf", "lbf", "in*lbf", "lbf·in"),
}
KNOBS = (
    Control(
        "moving",
        _("Piston with its rod, each"),
        ("g", 0, 1000, 5),
        ("oz", 0, 36, 0.2),
        Quantity(150.0, "g"),
        ("kg", "lb"),
    ),
    Control(
        "share",
        _("Share of reciprocating mass balanced c"),
        ("percent", 0, 100, 1),
        ("percent", 0, 100, 1),
        Quantity(50.0, "percent"),
    ),
    Control(
        "speed", _("Speed"), ("rpm", 60, 3000, 10), ("rpm", 60, 3000, 10), Quantity(600.0, "rpm")
    ),
)
TURN = np.linspace(0, 2 * np.pi, 121)


def controls():
    """The four controls; the list of cranks is made when the panel is."""
    offered = tuple(f"{name}, {kind}" for name in own.names() for kind in (WITH, WITHOUT))
    return Choice("crank", _("Crank"), offered, offered[0], of_crank=True), *KNOBS


def presets():
    """Settings for the crank that the list begins with; two and three throws are the examples'."""
    first = own.names()[0]
    settings = {
        _("As drawn"): {"crank": f"{first}, {WITHOUT}"},
        _("Turning part"): {"crank": f"{first}, {WITH}", "share": Quantity(0.0, "percent")},
        _("Half"): {"crank": f"{first}, {WITH}", "share": Quantity(50.0, "percent")},
        _("All of it"): {"crank": f"{first}, {WITH}", "share": Quantity(100.0, "percent")},
    }
    more = {_("Two throws"): "compressor", _("Three throws"): "organ"}
    none = Quantity(0.0, "percent")
    return settings | {
        said: {"crank": f"{name}, {WITH}", "share": none} for said, name in more.items()
    }


def density_of(crank):
    """Density of a crank's steel; 7850 kg/m^3 where the table does not know it."""
    try:
        return steels.find(crank.steel).density
    except ValueError:
        return STEEL_DENSITY


def _drawn_once(crank):
    """What of a crank does not change as sliders move.

    Unbalance of each throw [g mm], corners of the webs, places of the pins, diameters, radius [mm].
    """
    return (
        mass.throw_unbalance(crank, density_of(crank)).magnitude,
        bar.web_corners(crank).magnitude,
        bar.pin_places(crank).magnitude,
        (crank.throws[0].pin_diameter.m_as("mm"), crank.journals[0].diameter.m_as("mm")),
        crank.swing_radius.m_as("mm"),
    )


def masses(moving):
    """Mass that turns with the pin, and mass that reciprocates, of a piston with its rod.

    Basis: rule of thumb, a third turns; lay your rod on two scales instead, each reads one end.
    """
    return TURNING_SHARE * moving, (1 - TURNING_SHARE) * moving


def planned(crank, kind, moving, share):
    """Counterweights of a crank, or None where it has none."""
    return (
        counterweights.counterweights_for(crank, *masses(moving), share, density=density_of(crank))
        if kind == WITH
        else None
    )


def shaken(crank, plan, moving, speed):
    """Shaking forces of a crank with the counterweights of a plan."""
    turning, reciprocating = masses(moving)
    given = None if plan is None else plan.given
    return shaking.crank_shaking(
        crank,
        turning,
        reciprocating,
        ROD * max(throw.radius for throw in crank.throws),
        speed,
        given,
        density_of(crank),
    )


def items(units, crank, moving, share, speed):
    """What moves in the three windows, and the finding."""
    name, kind = crank.rsplit(", ", 1)
    part = own.load(name)
    plan = planned(part, kind, moving, share)
    found = shaken(part, plan, moving, speed)
    shape = once(("14 shape", name, own.stamp(name)), lambda: _drawn_once(part))
    drawn = _end_view(units, shape, plan, moving)
    guess = prediction("14 shaking force", ("N", "lbf"))
    paths = {}
    for axes, kind_of, (unit, word) in (
        (1, "force", UNITS[units][2:4]),
        (2, "couple", UNITS[units][4:]),
    ):
        primary, secondary = (_path(found, kind_of, order, unit) for order in (1, 2))
        paths[kind_of] = {
            "primary": primary,
            "secondary": secondary,
            "both": tuple(map(np.add, primary, secondary)),
        }
        circle = guess.m_as(unit) if guess is not None and kind_of == "force" else None
        drawn += balance_picture.path_items(paths[kind_of], word, axes, circle, speed.m_as("rpm"))
    return drawn, _finding(units, name, plan, share, speed, paths, guess)


def _path(found, kind, order, unit):
    """Across to the right and along upward over a turn, seen from the same end as the crank.

    Its 90 degrees point left.
    """
    along, across = getattr(found, kind)(Quantity(TURN, "rad"), order)
    return -across.m_as(unit), along.m_as(unit)


def _end_view(units, shape, plan, moving):
    """Webs, counterweights and the two arrows of each throw."""
    small, word = UNITS[units][:2]
    own_size, corners, pins, sizes, outer = shape
    arms = np.hypot(*pins.T)
    pulls = Quantity(own_size + masses(moving)[0].m_as("g") * arms, "g*mm").m_as(small)
    given = np.zeros_like(pulls) if plan is None else plan.given.m_as(small)
    halves = np.zeros_like(pulls) if plan is None else plan.half_angle.m_as("rad")
    each = _("each throw") if len(pins) > 1 else _("throw")
    weigh = _("counterweights {largest} {unit}")
    if len(pins) > 1:
        weigh = _("counterweights of each {largest} {unit}")
    weigh = weigh.format(largest=_number(given.max()), unit=word) if plan else ""
    return balance_picture.end_items(
        corners,
        pins,
        sizes,
        (outer, halves),
        (pulls, given),
        (f"{each} {_number(pulls.max())} {word}", weigh),
    )


def _number(value, digits=3):
    return as_text(
        Quantity(0.0 if abs(value) < 1e-9 else float(value), "dimensionless"), digits=digits
    )


def _finding(units, name, plan, share, speed, paths, guess):
    force, word = UNITS[units][3], UNITS[units][5]
    across, along = (_number(np.abs(side).max(), 2) for side in paths["force"]["both"])
    primary, secondary = (
        np.hypot(*paths["force"][order]).max() for order in ("primary", "secondary")
    )
    largest = np.hypot(*paths["couple"]["both"]).max()
    couple = _("a couple of up to {largest} {word}").format(largest=_number(largest, 2), word=word)
    canceled = max(np.abs(side).max() for side in paths["force"]["both"]) < 1e-6
    if canceled:
        rest = (
            _("nothing shakes") if largest < 1e-9 else _("{couple} remains").format(couple=couple)
        )
        headline = _("The forces cancel; {rest}.").format(rest=rest)
    else:
        headline = _(
            "It shakes with {along} {force} along the stroke, {across} {force} across."
        ).format(along=along, force=force, across=across)
    what = _("no counterweights")
    if plan:
        percent = _number(share.m_as("percent"))
        what = _("counterweights for all that turns and {percent} % of what reciprocates").format(
            percent=percent
        )
    lines = [
        _("{name} at {speed} rpm, {what}.").format(
            name=capital(name), speed=_number(speed.m_as("rpm"), 4), what=what
        )
    ]
    if not canceled:
        lines.append(
            _("Primary {primary} {force}, secondary {secondary} {force}; {couple}.").format(
                primary=_number(primary, 2),
                force=force,
                secondary=_number(secondary, 2),
                couple=_("no couple") if largest < 1e-9 else couple,
            )
        )
    if guess is not None:
        unit = UNITS[units][2]
        here = _number(np.hypot(*paths["force"]["both"]).max(), 2)
        lines.append(beside(as_text(guess, unit, 3), f"{here} {force}", name))
    if plan is None or plan.enough:
        lines += [_("The counterweights find room.")] if plan else []
        return Finding(headline, "", tuple(lines))
    held = _number((plan.given / plan.wanted).m_as("percent").min(), 2)
    short = _(
        "Not enough room: half disks as wide as the webs turn hold {held} % of the counterweight."
    ).format(held=held)
    return Finding(headline, "look", (short, *lines))


def paper(units, projector=False):
    """What does not move: three windows and their rings."""
    return balance_picture.balance_paper(projector)


SCENE = Scene(controls, items, paper, presets)
panel, picture = SCENE.panel, SCENE.picture


def weight_opposite(source):
    """Mass opposite the pin that balances what turns and a share of what reciprocates."""
    throw, radius = source.randrange(12, 26), source.randrange(24, 45)
    turning, moving, share = (
        source.randrange(60, 201, 5),
        source.randrange(60, 251, 5),
        source.choice((0.5, 0.6)),
    )
    masses_, arms = (
        (Quantity(float(turning), "g"), Quantity(float(moving), "g")),
        (Quantity(throw, "mm"), Quantity(radius, "mm")),
    )
    key = counterweights.balance_mass(*masses_, share, *arms).to("g")
    return Question(
        f"A throw of {throw} mm turns {turning} g, counted at the pin, and {moving} g "
        f"reciprocate. All that turns is to be balanced, and {100 * share:.0f} % of what "
        f"reciprocates, by a mass whose center lies {radius} mm from the axis. How heavy is it?",
        key,
        ("g", "kg", "oz"),
        {
            "is all of what reciprocates balanced, or a share?": key
            * (turning + moving)
            / (turning + share * moving),
            "a mass farther out may be lighter: what of the two radii?": key * radius / throw,
            "does the mass farther out grow or shrink?": key * (radius / throw) ** 2,
            "is what turns balanced as well?": key * share * moving / (turning + share * moving),
        },
        (
            "Mass times radius on one side, mass times radius on the other.",
            "m_b = (m_t + c m_o) e / r_b",
        ),
    )


def rod_ends(source):
    """What of a connecting rod turns with the pin."""
    length, rod = source.randrange(60, 121, 4), source.randrange(40, 161, 5)
    near = round(length * source.randrange(26, 43) / 100)
    key = Quantity(rod * (length - near) / length, "g")
    return Question(
        f"A rod of {rod} g measures {length} mm between centers. Laid across an edge it balances "
        f"{near} mm from the center of its big end. How much of it counts as turning with the pin?",
        key,
        ("g", "kg", "oz"),
        {
            "which end lies nearer to the balance point, and is it the heavier?": Quantity(
                rod * near / length, "g"
            ),
            "does the whole rod turn with the pin?": Quantity(float(rod), "g"),
            "is it half and half, or does the balance point decide?": Quantity(rod / 2, "g"),
        },
        (
            "Two masses at the two centers have to weigh as much as the rod and balance at the "
            "same place.",
            "turning part = rod times (length - distance from big end) / length",
        ),
    )


def force_along(source):
    """Largest shaking force along the stroke with a share balanced."""
    throw, moving = source.randrange(10, 26), source.randrange(40, 201, 5)
    speed, ratio, share = (
        source.randrange(4, 16) * 100,
        source.choice((3.5, 4.0, 5.0)),
        source.choice((0.4, 0.5, 0.6)),
    )
    found = shaking.shaking_forces(
        Quantity(float(moving), "g"),
        Quantity(throw, "mm"),
        ratio * Quantity(throw, "mm"),
        Quantity(speed, "rpm"),
        share=share,
    )
    along = found.force(Quantity(0.0, "deg"))[0]
    unit = along / (1 - share + 1 / ratio)
    return Question(
        f"One cylinder: {moving} g reciprocate on a throw of {throw} mm with a rod {ratio:g} "
        f"throws long, at {speed} rpm. What turns is balanced, and {100 * share:.0f} % of what "
        "reciprocates. How large is the shaking force along the stroke with the piston at its "
        "outer "
        "end?",
        along,
        ("N", "lbf"),
        {
            "has the counterweight no say along the stroke?": unit * (1 + 1 / ratio),
            "where is the secondary force?": unit * (1 - share),
            "is the throw half the stroke, or the stroke?": 2 * along,
            "omega is 2 pi n / 60: where did the 2 pi go?": along / (2 * np.pi) ** 2,
        },
        (
            "At the outer end primary and secondary point the same way.",
            "F = m e omega^2 (1 - c + e / l), omega = 2 pi n / 60",
        ),
    )


def check_gaps(crank, my_counterweight, my_force):
    """Check the gaps of the worked example: counterweight, and force along the stroke.

    120 g a piston with its rod, half balanced, 400 rpm.
    """
    moving, share, speed = Quantity(120.0, "g"), Quantity(50.0, "percent"), Quantity(400.0, "rpm")
    plan = planned(crank, WITH, moving, share)
    key, bare = plan.wanted[0], planned(crank, WITH, moving, Quantity(0.0, "percent")).wanted[0]
    slips = {
        "that balances what turns: where is the share of what reciprocates?": bare,
        "is that one web's half of it?": key / 2,
    }
    weigh = ("oz*in", "g*mm")
    check_gap("Counterweight", key, weigh, my_counterweight, slips, 0.02, "my_counterweight")
    forces = shaken(crank, plan, moving, speed)
    along, across = (
        Quantity(np.abs(part.m_as("N")).max(), "N") for part in forces.force(Quantity(TURN, "rad"))
    )
    slips = {"primary alone?": forces.largest(1), "along the stroke, or across?": across}
    check_gap("Force", along, ("lbf", "N"), my_force, slips, 0.03, "my_force")
