"""Lesson 14, balance the crank: its panel and its three questions."""

import numpy as np

from crankmath.balance import counterweights, shaking
from crankmath.blank import bar
from crankmath.crank import mass, steels
from crankmath.units import Quantity, as_text

from ...lesson import own
from ...lesson.exercise import Question, check, prediction
from ...lesson.panel import Choice, Control, Panel
from ...pictures.proving import balance_picture
from ...pictures.scene import add

WITH, WITHOUT = "counterweights", "no counterweights"
TURNING_SHARE = (
    1 / 3
)  # of piston and rod together, turns with the pin: common practice, no source; weigh your own
ROD = 4.0  # throws long; common practice
STEEL_DENSITY = Quantity(7850, "kg/m**3")  # where the crank's steel is not in the table
UNITS = {
    "mm": ("g*mm", "g·mm", "N", "N", "N*m", "N·m"),
    "in": ("oz*in", "oz·in", "lbf", "lbf", "in*lbf", "lbf·in"),
}
KNOBS = (
    Control(
        "moving",
        "Piston with its rod, each",
        ("g", 0, 1000, 5),
        ("oz", 0, 36, 0.2),
        Quantity(150.0, "g"),
        ("kg", "lb"),
    ),
    Control(
        "share",
        "Share of to-and-fro mass balanced c",
        ("percent", 0, 100, 1),
        ("percent", 0, 100, 1),
        Quantity(50.0, "percent"),
    ),
    Control("speed", "Speed", ("rpm", 60, 3000, 10), ("rpm", 60, 3000, 10), Quantity(600.0, "rpm")),
)
PRESETS = {
    "As drawn": {"crank": f"pump, {WITHOUT}"},
    "Turning part": {"crank": f"pump, {WITH}", "share": Quantity(0.0, "percent")},
    "Half": {"crank": f"pump, {WITH}", "share": Quantity(50.0, "percent")},
    "All of it": {"crank": f"pump, {WITH}", "share": Quantity(100.0, "percent")},
    "Two throws": {"crank": f"compressor, {WITH}", "share": Quantity(0.0, "percent")},
    "Three throws": {"crank": f"organ, {WITH}", "share": Quantity(0.0, "percent")},
}
TURN = np.linspace(0, 2 * np.pi, 121)
_last = {}


def controls(names=None):
    """The four controls; the list of cranks is made when the panel is."""
    offered = tuple(f"{name}, {kind}" for name in names or own.names() for kind in (WITH, WITHOUT))
    return Choice("crank", "Crank", offered, offered[0]), *KNOBS


def density_of(crank):
    """Density of a crank's steel; 7850 kg/m^3 where the table does not know it.

    Parameters
    ----------
    crank : Crank

    Returns
    -------
    Quantity [kg/m**3]
    """
    try:
        return steels.find(crank.steel).density
    except ValueError:
        return STEEL_DENSITY


def _crank(crank):
    """What of a crank does not change as sliders move: unbalance of each throw [g mm], webs, pins, sizes [mm]."""
    if (
        _last.get("crank") is not crank
    ):  # ``own.load`` gives the same object as long as the file stays; hashing one costs a millisecond
        sizes = crank.throws[0].pin_diameter.m_as("mm"), crank.journals[0].diameter.m_as("mm")
        _last["found"] = (
            mass.throw_unbalance(crank, density_of(crank)).magnitude,
            bar.web_corners(crank).magnitude,
            bar.pin_places(crank).magnitude,
            sizes,
            crank.swing_radius.m_as("mm"),
        )
        _last["crank"] = crank
    return _last["found"]


def masses(moving):
    """Piston with its rod, parted into what turns with the pin and what goes to and fro.

    Parameters
    ----------
    moving : Quantity [mass]

    Returns
    -------
    turning, reciprocating : Quantity

    Notes
    -----
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
    """What moves in the three windows, and the sentence that states the finding."""
    name, kind = crank.rsplit(", ", 1)
    part, plan = own.load(name), None
    plan = planned(part, kind, moving, share)
    found = shaken(part, plan, moving, speed)
    drawn = _end_view(units, part, plan, moving)
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
        guess = prediction("14 shaking force", ("N", "lbf")) if kind_of == "force" else None
        drawn += balance_picture.path_items(
            paths[kind_of], word, axes, None if guess is None else guess.m_as(unit)
        )
    return drawn, _sentence(units, name, plan, share, speed, paths)


def _path(found, kind, order, unit):
    """Across to the right and along upward over a turn, seen from the same end as the crank: its 90 degrees point left."""
    along, across = getattr(found, kind)(Quantity(TURN, "rad"), order)
    return -across.m_as(unit), along.m_as(unit)


def _end_view(units, crank, plan, moving):
    """Webs, counterweights and the two arrows of each throw."""
    small, word = UNITS[units][:2]
    own_size, corners, pins, sizes, outer = _crank(crank)
    arms = np.hypot(*pins.T)
    pulls = Quantity(own_size + masses(moving)[0].m_as("g") * arms, "g*mm").m_as(small)
    given = np.zeros_like(pulls) if plan is None else plan.given.m_as(small)
    halves = np.zeros_like(pulls) if plan is None else plan.half_angle.m_as("rad")
    each = "each throw turns" if len(pins) > 1 else "turns"
    weigh = (
        f"counterweight{'s of each' if len(pins) > 1 else 's'} {_number(given.max())} {word}"
        if plan
        else ""
    )
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


def _sentence(units, name, plan, share, speed, paths):
    force, word = UNITS[units][3], UNITS[units][5]
    across, along = (np.abs(side).max() for side in paths["force"]["both"])
    primary, secondary = (
        np.hypot(*paths["force"][order]).max() for order in ("primary", "secondary")
    )
    with_what = (
        f"counterweights for all that turns and {_number(share.m_as('percent'))} % of what goes to and fro"
        if plan
        else "without counterweights"
    )
    told = f"{name} at {_number(speed.m_as('rpm'), 4)} rpm, {with_what}: "
    if max(across, along) < 1e-6:
        told += "the forces cancel. "
    else:
        told += (
            f"it shakes with up to {_number(along, 2)} {force} along the stroke and {_number(across, 2)} {force} across "
            f"(primary {_number(primary, 2)}, secondary {_number(secondary, 2)} {force}). "
        )
    largest = np.hypot(*paths["couple"]["both"]).max()
    told += "No couple." if largest < 1e-9 else f"Its couple is up to {_number(largest, 2)} {word}."
    if plan is not None:
        given = (plan.given / plan.wanted).m_as("percent").min()
        told += (
            " Room for the counterweights: OK."
            if plan.enough
            else (
                f" NOT enough room: half disks as wide as the webs swing give {_number(given, 2)} % of the counterweight."
            )
        )
    return told


def paper(units, projector=False):
    """What does not move: three windows and their rings."""
    return balance_picture.balance_paper(projector)


def panel(stage=False):
    """The live panel of the lesson; on a stage it fills a projector's screen."""
    return Panel(controls(), items, paper, PRESETS, stage)


def picture(
    crank,
    share=Quantity(50.0, "percent"),
    moving=Quantity(150.0, "g"),
    speed=Quantity(600.0, "rpm"),
    units="mm",
):
    """The same picture without widgets: (figure, sentence)."""
    drawn, sentence = items(units, crank, moving, share, speed)
    return add(paper(units), drawn), sentence


def weight_opposite(source):
    """Mass opposite the pin that balances what turns and a share of what goes to and fro."""
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
        f"A throw of {throw} mm turns {turning} g, reckoned at the pin, and moves {moving} g to and fro. All that turns is to be balanced, and {share:.0%} of "
        f"what goes to and fro, by a mass whose center lies {radius} mm from the axis. How heavy is it?".replace(
            "%", " %"
        ),
        key,
        ("g", "kg", "oz"),
        {
            "is all of what goes to and fro balanced, or a share?": key
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
        f"A rod of {rod} g measures {length} mm between centers. Laid across an edge it balances {near} mm from the center of its big end. "
        "How much of it counts as turning with the pin?",
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
            "Two masses at the two centers have to weigh as much as the rod and balance at the same place.",
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
        f"One cylinder: {moving} g go to and fro on a throw of {throw} mm with a rod {ratio:g} throws long, at {speed} rpm. What turns is balanced, and "
        f"{100 * share:.0f} % of what goes to and fro. How large is the shaking force along the stroke with the piston at its outer end?",
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
    """Check the two gaps of the worked example: counterweight and force along the stroke, 120 g a piston with its rod, half balanced, 400 rpm."""
    moving, share, speed = Quantity(120.0, "g"), Quantity(50.0, "percent"), Quantity(400.0, "rpm")
    plan = planned(crank, WITH, moving, share)
    key, bare = plan.wanted[0], planned(crank, WITH, moving, Quantity(0.0, "percent")).wanted[0]
    slips = {
        "that balances what turns: where is the share of what goes to and fro?": bare,
        "is that one web's half of it?": key / 2,
    }
    print(
        "Counterweight:",
        check(Question("counterweight", key, ("oz*in", "g*mm"), slips, (), 0.02), my_counterweight),
    )
    forces = shaken(crank, plan, moving, speed)
    along = np.abs(forces.force(Quantity(TURN, "rad"))[0].m_as("N")).max()
    slips = {
        "primary alone?": forces.largest(1),
        "along the stroke, or across?": Quantity(
            np.abs(forces.force(Quantity(TURN, "rad"))[1].m_as("N")).max(), "N"
        ),
    }
    print(
        "Force:",
        check(Question("force", Quantity(along, "N"), ("lbf", "N"), slips, (), 0.03), my_force),
    )
