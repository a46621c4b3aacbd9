"""Lesson 02, choose the bar: its panel, its tables and its three questions."""

from dataclasses import dataclass, replace

import numpy as np

from crankmath.blank import locked_in_stress
from crankmath.blank.bar import ALLOWANCE, SHAPES, Bar, smallest_bar
from crankmath.crank import steels
from crankmath.language import _, listed, marked
from crankmath.units import Quantity, as_text
from crankmath.wording import capital

from ...lesson import own
from ...lesson.exercise import Question, check_gap, prediction
from ...lesson.finding import Finding
from ...lesson.kept import once
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures.blank import bar_picture
from .marked_bar import bar_words, blank_for, needed_bar

AS_DRAWN = marked("the crank's own")
STEELS = {steels.find(name).described: name for name in steels.NAMES}
DEEPEST = {"mm": 30.0, "in": 1.2}  # flat that the chart shows
NO_LENGTH = Quantity(0.0, "mm")
PRESETS = {
    _("Nothing cut"): {"depth": NO_LENGTH},
    _("Deep flat"): {"shape": "round", "depth": Quantity(25.0, "mm")},
    _("Cold drawn 1144"): {"steel": "1144, cold drawn"},
    _("Normalized C45"): {"steel": "C45, normalized"},
}


def controls():
    """The panel's controls; the reader's own crank is offered first once it is saved."""
    names = own.names()
    return (
        Choice("crank", _("Crank"), names, names[0]),
        Choice("shape", _("Bar"), SHAPES, "round"),
        Choice("steel", _("Steel"), (AS_DRAWN, *STEELS), AS_DRAWN),
        Control(
            "depth",
            _("Flat milled along a trial piece"),
            ("mm", 0, 30, 0.5),
            ("in", 0, 1.2, 0.02),
            Quantity(10.0, "mm"),
        ),
    )


def bare_bar(crank, shape="round"):
    """The smallest bar of a shape with no allowance at all."""
    return smallest_bar(crank, shape, NO_LENGTH, NO_LENGTH, Quantity(0.0, "mm/m"))


@dataclass(frozen=True, eq=False)
class Stressed:
    """A crank's bar from the shelf, bare and with allowances; for a skin stress of 1 MPa its stress
    over the height and the bow of flats.

    ``problem`` says why no size of the shelf's list will do.
    """

    bar: Bar
    bare: Bar
    needs: Bar
    problem: str
    height: np.ndarray
    stress: np.ndarray
    depths: np.ndarray
    bows: np.ndarray


def stressed(crank, shape):
    """All about a crank's bar that the panel needs and that its sliders do not change, as Stressed.

    Heights and depths [mm], stress [MPa], bows [mm] for a modulus of 1 GPa.
    """
    key = "02 bar", crank.name, crank.plain, crank.steel, crank.units, shape
    return once(key, lambda: _stressed(crank, shape))


def _stressed(crank, shape):
    blank = blank_for(crank, shape)
    bar = blank.bar
    depths = np.linspace(0, min(30.0, 0.8 * bar.height.m_as("mm")), 25)
    height = np.linspace(-0.5, 0.5, 61) * bar.height.m_as("mm")
    stress = locked_in_stress.stress_profile(
        bar, Quantity(1.0, "MPa"), Quantity(0 * height, "mm"), Quantity(height, "mm")
    ).magnitude
    return Stressed(
        bar,
        bare_bar(crank, shape),
        needed_bar(crank, shape),
        blank.problem if blank.problem.startswith("larger") else "",
        height,
        stress,
        depths,
        np.array([_bow(bar, depth) for depth in depths]),
    )


def _bow(bar, depth):
    """Bow of the whole bar for a skin stress of 1 MPa and a modulus of 1 GPa [mm]."""
    free = locked_in_stress.release(
        bar, Quantity(1.0, "MPa"), Quantity(1.0, "GPa"), flat_depth=Quantity(float(depth), "mm")
    )
    return abs(locked_in_stress.bow(free.curvature_y, bar.length).m_as("mm"))


def items(units, crank, shape, steel, depth):
    """What moves in end view, stress, trial piece and chart, and the finding."""
    part = own.load(crank)
    record = steels.find(part.steel if steel == AS_DRAWN else STEELS[steel])
    found = stressed(replace(part, steel=record.name), shape)
    bar, cut = found.bar, depth.m_as("mm")
    now = _bow(bar, cut)
    stresses = [value.m_as("MPa") for value in locked_in_stress.surface_stress(record.name)]
    modulus = record.elastic_modulus.m_as("GPa")
    asked = crank == "pump" and shape == "round"
    guess = prediction("02 smallest bar", ("mm", "in")) if asked else None
    words = (
        bar_words(bar, units),
        _("bare webs need {bare}").format(bare=_size(found.bare, units)),
    )
    drawn = bar_picture.bar_items(
        part, bar, found.bare, cut, words, None if guess is None else guess.m_as("mm")
    )
    drawn += bar_picture.stress_items(
        bar, found.height, [stress * found.stress for stress in stresses], cut
    )
    scale, thin = (1.0, 1000.0) if units == "mm" else (1 / 25.4, 1000 / 25.4)
    lines = [thin * found.bows * stress / modulus for stress in stresses]
    freed = [Quantity(now * stress / modulus, "mm") for stress in stresses]
    usual = freed[1].m_as("mm")
    drawn += bar_picture.bow_items(scale * found.depths, lines, scale * cut, thin * usual, units)
    drawn += bar_picture.piece_items(bar, cut, usual)
    return drawn, _finding(part, found, record, depth, freed, guess, units)


def _size(bar, units):
    return bar_words(bar, units).partition("bar ")[2]


def _finding(crank, found, record, depth, freed, guess, units):
    fine, bar, needs = "um" if units == "mm" else "thousandth", found.bar, found.needs
    bow = as_text(needs.bow, "mm" if units == "mm" else fine, 2)
    steel = record.described.replace(", ", " ")
    lines = [
        _(
            "{name}, {steel}: it needs {needs}, {allowance} to machine and {bow} to straighten "
            "included."
        ).format(
            name=capital(crank.name),
            steel=listed(steel),
            needs=_size(needs, units),
            allowance=as_text(ALLOWANCE, units, 2),
            bow=bow,
        )
    ]
    if guess is not None:
        bare = as_text(found.bare.width, units, 3)
        lines.append(
            _("You predicted {guess} for pump; bare webs of {name} need {bare}.").format(
                guess=as_text(guess, units, 3), name=crank.name, bare=bare
            )
        )
    if depth.magnitude:
        low, usual, high = (as_text(one, fine, 2) for one in freed)
        lines.append(
            _(
                "A flat {depth} deep bows a trial piece of that length by {usual}; {low} to {high} "
                "is possible."
            ).format(depth=as_text(depth, units), usual=usual, low=low.split()[0], high=high)
        )
    else:
        lines.append(_("Uncut, the stresses in the bar balance."))
    if crank.units != units and not found.problem:
        other = _size(bar, crank.units).rpartition(" ")[0]
        lines.append(
            _("The shelf has it in {words}: {other}.").format(
                words=_("inches") if units == "mm" else _("millimeters"), other=other
            )
        )
    long = as_text(bar.length, units, 5)
    if found.problem:
        lines.insert(0, f"{capital(found.problem)}.")
        return Finding(
            _("Not on the shelf: {bar_words}, {long} long.").format(
                bar_words=bar_words(bar, units), long=long
            ),
            "look",
            (*lines,),
        )
    return Finding(
        _("Take a {bar_words}, {long} long.").format(bar_words=bar_words(bar, units), long=long),
        "",
        tuple(lines),
    )


def paper(units, projector=False):
    """What does not move: three windows and a chart."""
    return bar_picture.bar_paper(units, DEEPEST[units], projector)


SCENE = Scene(controls, items, paper, PRESETS)
panel, picture = SCENE.panel, SCENE.picture


def web_diagonal(source):
    """Bare round bar of a one-throw crank."""
    throw, reach, width = (
        source.randrange(10, 31),
        source.randrange(10, 21),
        source.randrange(20, 41),
    )
    tall = throw + 2 * reach
    return Question(
        f"A one-throw crank has webs {width} mm wide that reach {reach} mm past each axis; the "
        f"throw is {throw} mm. What is the smallest round bar that holds the bare webs?",
        Quantity(np.hypot(tall, width), "mm"),
        ("mm", "in", "cm"),
        {
            "does the web reach past both axes?": Quantity(np.hypot(throw + reach, width), "mm"),
            "is that the height of the web? Its corners stick out farther": Quantity(
                float(tall), "mm"
            ),
            "is the bar's middle on the main axis, or in the middle of the web?": Quantity(
                2 * np.hypot(throw + reach, width / 2), "mm"
            ),
            "is that the radius?": Quantity(np.hypot(tall, width) / 2, "mm"),
        },
        (
            "The web is a rectangle. The smallest circle around it passes through its corners.",
            "D = sqrt((e + 2 reach)^2 + width^2)",
        ),
    )


def allowances(source):
    """Round bar with machining and straightening allowance."""
    bare, extra, length, bent = (
        source.randrange(30, 81),
        source.choice((1.0, 1.5, 2.0, 2.5)),
        source.randrange(250, 601, 50),
        source.choice((1.0, 1.5, 2.0)),
    )
    key = bare + 2 * (extra + bent * length / 1000)
    return Question(
        f"Bare webs need Ø{bare} mm. The blank is {length} mm long, may be bent by {bent:g} mm in "
        f"a meter, and you want {extra:g} mm to machine all around. "
        "What diameter does the bar need? Answer within 0.1 %.",
        Quantity(key, "mm"),
        ("mm", "in", "cm"),
        {
            "all around: how often does an allowance count in a diameter?": Quantity(
                bare + extra + bent * length / 1000, "mm"
            ),
            "was the bow left out?": Quantity(bare + 2 * extra, "mm"),
            "a meter, or this blank?": Quantity(bare + 2 * (extra + bent), "mm"),
        },
        (
            "Both allowances lie between the web's corner and the skin, on every side.",
            "D = D_bare + 2 (a + s L)",
        ),
        tolerance=0.001,
    )


def arc_height(source):
    """Bow of a bar from its curvature."""
    stress, size, length, off = (
        source.randrange(40, 301, 10),
        source.randrange(40, 81, 5),
        source.randrange(160, 401, 20),
        source.randrange(6, 16),
    )
    curvature = 4 * off * stress / (206_000 * (size / 2) ** 2)
    key = curvature * length**2 / 8
    return Question(
        f"A round bar of Ø{size} mm has {stress} MPa of tension at its skin. It is turned down, "
        f"over its whole {length} mm, to a round whose middle lies {off} mm off the bar's. "
        "E is 206 GPa. How far does it bow?",
        Quantity(key, "mm"),
        ("mm", "um", "thousandth"),
        {
            "did you take the diameter for the radius R?": Quantity(key / 4, "mm"),
            "an arc over a length L stands L^2/8 high": Quantity(4 * key, "mm"),
            "is the stress 4 times c over R^2, or 2 times?": Quantity(key / 2, "mm"),
        },
        (
            "Over a round at c from the middle the stress rises evenly to one side: its moment "
            "over E I is the curvature, whatever the size of the round.",
            "curvature = 4 c stress / (E R^2), bow = curvature L^2 / 8",
        ),
        tolerance=0.02,
    )


def check_gaps(my_bare, my_shelf):
    """Check the two gaps: bellows, bare round bar, and the size from the shelf."""
    crank, units = own.load("bellows"), ("in", "mm")
    slips = {"is that the height of the web? Its corners stick out farther": Quantity(1.625, "in")}
    check_gap("Bare", bare_bar(crank).width, units, my_bare, slips, 0.005, "my_bare")
    small = {"does that leave metal all around?": Quantity(2.0, "in")}
    check_gap("Shelf", blank_for(crank).bar.width, units, my_shelf, small, 0.005, "my_shelf")
