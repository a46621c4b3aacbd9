"""Lesson 02, choose the bar: its panel, its tables and its three questions."""

from dataclasses import dataclass

import numpy as np

from crankmath.blank import locked_in_stress
from crankmath.blank.bar import ALLOWANCE, SHAPES, Bar, smallest_bar
from crankmath.crank import steels
from crankmath.units import Quantity, as_text

from ...lesson import own
from ...lesson.exercise import Question, check, prediction
from ...lesson.panel import Choice, Control, Panel
from ...pictures import scene
from ...pictures.blank import bar_picture
from .marked_bar import bar_words, blank_for

AS_DRAWN = "as drawn"
STEELS = {f"{name}, {steels.find(name).condition}": name for name in steels.NAMES}
WIDEST = {"mm": ("mm", 30.0, "µm", 600.0), "in": ("in", 1.2, "thou", 24.0)}
NO_LENGTH = Quantity(0.0, "mm")
PRESETS = {
    "Nothing cut": {"depth": NO_LENGTH},
    "Deep flat": {"shape": "round", "depth": Quantity(25.0, "mm")},
    "Cold drawn 1144": {"steel": "1144, cold drawn"},
    "Normalized C45": {"steel": "C45, normalized"},
}
_kept = {}


def controls():
    """The panel's controls; the reader's own crank is offered first once it is saved."""
    names = own.names()
    return (
        Choice("crank", "Crank", names, names[0]),
        Choice("shape", "Bar", SHAPES, "round"),
        Choice("steel", "Steel", (AS_DRAWN, *STEELS), AS_DRAWN),
        Control(
            "depth",
            "Flat milled along a trial piece",
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
    """A crank's bar from the shelf, bare and with allowances; for a skin stress of 1 MPa its stress over the height and the bow of flats."""

    bar: Bar
    bare: Bar
    needs: Bar
    height: np.ndarray
    stress: np.ndarray
    depths: np.ndarray
    bows: np.ndarray


def stressed(crank, shape):
    """All about a crank's bar that the panel needs and that its sliders do not change; kept.

    Parameters
    ----------
    crank : Crank
    shape : str

    Returns
    -------
    Stressed
        Heights and depths in mm, stress in MPa, bows in mm for a modulus of 1 GPa.
    """
    known = _kept.get((crank.name, shape))
    if known and known[0] is crank:
        return known[1]
    bar = blank_for(crank, shape).bar
    depths = np.linspace(0, min(30.0, 0.8 * bar.height.m_as("mm")), 25)
    height = np.linspace(-0.5, 0.5, 61) * bar.height.m_as("mm")
    stress = locked_in_stress.stress_profile(
        bar, Quantity(1.0, "MPa"), Quantity(0 * height, "mm"), Quantity(height, "mm")
    ).magnitude
    found = Stressed(
        bar,
        bare_bar(crank, shape),
        smallest_bar(crank, shape),
        height,
        stress,
        depths,
        np.array([_bow(bar, depth) for depth in depths]),
    )
    _kept[crank.name, shape] = crank, found
    return found


def _bow(bar, depth):
    """Bow of the whole bar for a skin stress of 1 MPa and a modulus of 1 GPa [mm]."""
    free = locked_in_stress.release(
        bar, Quantity(1.0, "MPa"), Quantity(1.0, "GPa"), flat_depth=Quantity(float(depth), "mm")
    )
    return abs(locked_in_stress.bow(free.curvature_y, bar.length).m_as("mm"))


def items(units, crank, shape, steel, depth):
    """What moves in end view, stress and chart, and the sentence that states the finding."""
    part = own.load(crank)
    record = steels.find(part.steel if steel == AS_DRAWN else STEELS[steel])
    found = stressed(part, shape)
    bar, cut = found.bar, depth.m_as("mm")
    now = _bow(bar, cut)
    stresses = [value.m_as("MPa") for value in locked_in_stress.surface_stress(record.name)]
    modulus = record.elastic_modulus.m_as("GPa")
    guess = (
        prediction("02 smallest bar", ("mm", "in"))
        if crank == "pump" and shape == "round"
        else None
    )
    words = (
        f"{bar_words(bar, units)}",
        f"bare webs need {bar_words(found.bare, units).partition('bar ')[2]}",
    )
    drawn = bar_picture.bar_items(
        part, bar, found.bare, cut, words, None if guess is None else guess.m_as("mm")
    )
    drawn += bar_picture.stress_items(
        bar, found.height, [stress * found.stress for stress in stresses], cut
    )
    scale, thin = (1.0, 1000.0) if units == "mm" else (1 / 25.4, 1000 / 25.4)
    lines = [thin * found.bows * stress / modulus for stress in stresses]
    drawn += bar_picture.bow_items(
        scale * found.depths, lines, scale * cut, thin * now * stresses[1] / modulus
    )
    freed = [Quantity(now * stress / modulus, "mm") for stress in stresses]
    return drawn, _sentence(part, bar, found.needs, record, depth, freed, units)


def _sentence(crank, bar, needs, record, depth, freed, units):
    fine, size = "um" if units == "mm" else "thousandth", bar_words(bar, units).partition("bar ")[2]
    words = f"{crank.name} needs a {bar_words(needs, units)}, allowances included: take {size} × {as_text(bar.length, units)}."
    if not depth.magnitude:
        return (
            f"{words} {as_text(ALLOWANCE, units, 2)} all around is to machine, {as_text(needs.bow, 'mm' if units == 'mm' else fine, 2)} to straighten. "
            "Uncut, the stresses in the bar balance."
        )
    low, usual, high = (as_text(bow, fine, 2) for bow in freed)
    return f"{words} {record.name}, {record.condition}: a flat {as_text(depth, units, 3)} deep bows a trial piece as long by {usual}, perhaps {low} to {high}."


def paper(units, projector=False):
    """What does not move: two windows and a chart."""
    return bar_picture.bar_paper(*WIDEST[units], projector)


def panel(stage=False):
    """The live panel of the lesson; on a stage it fills a projector's screen."""
    return Panel(controls(), items, paper, PRESETS, stage)


def picture(crank="pump", shape="round", steel=AS_DRAWN, depth=Quantity(10.0, "mm"), units="mm"):
    """The same picture without widgets: (figure, sentence)."""
    drawn, sentence = items(units, crank, shape, steel, depth)
    return scene.add(paper(units), drawn), sentence


def web_diagonal(source):
    """Bare round bar of a one-throw crank."""
    throw, reach, width = (
        source.randrange(10, 31),
        source.randrange(10, 21),
        source.randrange(20, 41),
    )
    tall = throw + 2 * reach
    return Question(
        f"A one-throw crank has webs {width} mm wide that reach {reach} mm past each axis; the throw is {throw} mm. What is the smallest round bar that holds the bare webs?",
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
        f"Bare webs need Ø{bare} mm. The blank is {length} mm long, may be bent by {bent:g} mm in a meter, and you want {extra:g} mm to machine all around. "
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
        f"A round bar of Ø{size} mm has {stress} MPa of tension at its skin. It is turned down, over its whole {length} mm, to a round whose middle lies {off} mm off the bar's. "
        "E is 206 GPa. How far does it bow?",
        Quantity(key, "mm"),
        ("mm", "um", "thousandth"),
        {
            "did you take the diameter for the radius R?": Quantity(key / 4, "mm"),
            "an arc over a length L stands L^2/8 high": Quantity(4 * key, "mm"),
            "is the stress 4 times c over R^2, or 2 times?": Quantity(key / 2, "mm"),
        },
        (
            "Over a round at c from the middle the stress leans: its moment over E I is the curvature, whatever the size of the round.",
            "curvature = 4 c stress / (E R^2), bow = curvature L^2 / 8",
        ),
        tolerance=0.02,
    )


def check_gaps(my_bare, my_shelf):
    """Check the two gaps: bellows, bare round bar, and the size from the shelf."""
    crank = own.load("bellows")
    slips = {"is that the height of the web? Its corners stick out farther": Quantity(1.625, "in")}
    print(
        "Bare:",
        check(Question("bare", bare_bar(crank).width, ("in", "mm"), slips, (), 0.005), my_bare),
    )
    small = {"does that leave metal all around?": Quantity(2.0, "in")}
    print(
        "Shelf:",
        check(
            Question("shelf", blank_for(crank).bar.width, ("in", "mm"), small, (), 0.005), my_shelf
        ),
    )
