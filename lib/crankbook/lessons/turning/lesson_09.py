"""Lesson 09, keep it cool: its panel and its three questions."""

from functools import cache

import numpy as np

from crankmath.crank import steels
from crankmath.heat import cooling as coolants
from crankmath.heat import expansion, heat_input, warming
from crankmath.spacers import Spacer, largest_diameter, squeeze
from crankmath.units import Quantity, as_text

from ...lesson import own
from ...lesson.exercise import Question, check, prediction
from ...lesson.kept import once
from ...lesson.panel import Choice, Control, Panel
from ...pictures import scene
from ...pictures.turning import warm_crank

ROOM, SOFT = 20.0, expansion.ADHESIVE_SOFT[0].m_as("degC")
COLD_THRUST = Quantity(400.0, "N")  # set once, with everything cold
# of center, quill and bed together: assumed, from memory; of a sprung center assumed
CENTERS = {"rigid": None, "real": Quantity(20.0, "N/um"), "sprung": Quantity(100.0, "N/mm")}
INKS = {
    "rigid": (scene.RUST, "#f3ddd5"),
    "real": (scene.BLUE, "#d8e4f1"),
    "sprung": (scene.GREEN, "#dcead6"),
}
CUT = Quantity(25.0, "m/min"), Quantity(0.1, "mm")  # speed and chip of the shear-plane share
TIMES = np.arange(0.0, 180.1, 0.25)  # minutes
LONGEST = 60.0  # shown
ALLOWED = {
    "mm": Quantity(2.0, "um"),
    "in": Quantity(0.1, "thousandth"),
}  # error a hot main may read with
SHOWN = {
    "mm": ("°C", (20.0, 160.0), "N", (0.5, 2e4)),
    "in": ("°F", (68.0, 320.0), "lbf", (0.1, 4e3)),
}
PRESETS = {
    "Dry roughing": {
        "power": Quantity(150.0, "W"),
        "cutting": Quantity(5.0, "min"),
        "cooling": "still air",
    },
    "Brushed oil": {
        "power": Quantity(150.0, "W"),
        "cutting": Quantity(5.0, "min"),
        "cooling": "dripped oil",
    },
    "Finishing": {
        "power": Quantity(30.0, "W"),
        "cutting": Quantity(2.0, "min"),
        "cooling": "dripped oil",
    },
}


def controls():
    """Sliders and lists of the panel; the list offers the reader's own crank."""
    packings = [
        f"{name}, {packing}"
        for name in own.names()
        for packing in ("no spacer", "spacers")
        if packing == "no spacer" or largest_diameter(own.load(name)).magnitude
    ]
    return (
        Control(
            "power",
            "Power of the cut",
            ("W", 5, 550, 5),
            ("hp", 0.01, 0.75, 0.01),
            Quantity(100.0, "W"),
            ("kW",),
        ),
        Control(
            "cutting",
            "Minutes of cutting",
            ("min", 0, 30, 0.5),
            ("min", 0, 30, 0.5),
            Quantity(5.0, "min"),
            ("s",),
        ),
        Choice("cooling", "Cooling", coolants.COOLANTS, "still air"),
        Choice("packing", "Crank and spacers", tuple(packings), "pump, no spacer"),
    )


def spacers_of(crank):
    """A spacer that fits for each throw of a crank."""
    return tuple(
        Spacer(number, Quantity(0.0, "mm"), largest_diameter(crank))
        for number in range(len(crank.throws))
    )


def _per_watt(crank, cooling):
    """Rises of the last main, web and pin [degC/W] and growth [um/W] of a steady cut."""
    last = len(crank.throws)
    found = warming.warm(
        crank,
        Quantity(1.0, "W"),
        Quantity(TIMES, "min"),
        ("journal", last),
        coolants.coolant(cooling).film,
    )
    rises = [
        found.rise_of(*piece).magnitude
        for piece in (("journal", last), ("web", 2 * last - 1), ("pin", last - 1))
    ]
    return np.array([*rises, found.growth.magnitude])


def _per_growth(crank, packed):
    """Thrust for each um of growth by kind of center [N/um]; rise that loosens a cold spacer."""
    packs = spacers_of(crank) if packed else ()
    even = expansion.growth(crank.length, Quantity(1.0, "delta_degC"), crank.steel).m_as("um")
    added = [
        expansion.thrust_per_degree(crank, packs, stiffness, COLD_THRUST).m_as("N/delta_degC")
        / even
        for stiffness in CENTERS.values()
    ]
    loose = squeeze(crank, COLD_THRUST).closure[-1] / expansion.misfit_lost_per_degree(
        crank, len(crank.throws) - 1
    )
    return np.array(added), float(loose.m_as("delta_degC"))


@cache
def _shares(steel):
    """Shares of the cut's power that go into the work: rule of thumb, shear plane."""
    made = heat_input.cutting_heat(Quantity(1.0, "N"), *CUT, steel)
    return np.array([made.rule_share, made.shear_share])


def courses(crank, packed, power, cutting, cooling):
    """What the panel draws, by the rule of thumb and by the shear plane (first axis).

    packed: a spacer in every throw; power, cutting [power, time]; cooling one of
    ``heat.COOLANTS``. "heat" [W]; "main", "web", "pin" [delta_degC] and "growth" [um] at ``TIMES``;
    "thrust" [N], second axis the kinds of centers; "loose" [delta_degC], the pin's rise at which a
    cold spacer hangs loose.
    Basis: ``heat.warm`` for one watt that goes on; the same, later and taken off, where the cut
    stops: the sum is linear in the heat.
    """
    key = crank.plain, crank.steel
    going_on = once(("per watt", *key, cooling), lambda: _per_watt(crank, cooling))
    per_growth, loose = once(("per growth", *key, packed), lambda: _per_growth(crank, packed))
    stop = cutting.m_as("min")
    pulse = going_on - np.array([np.interp(TIMES - stop, TIMES, one, left=0.0) for one in going_on])
    heats = _shares(crank.steel) * power.m_as("W")
    main, web, pin, grown = (heats[:, None] * one for one in pulse)
    return {
        "heat": heats,
        "main": main,
        "web": web,
        "pin": pin,
        "growth": grown,
        "thrust": grown[:, None] * per_growth[:, None],
        "loose": loose,
    }


def _span(values, unit, shown=None):
    """A range in words: “14 to 64 °C”; one number where both round alike."""
    low, high = (
        as_text(Quantity(float(value), unit), shown, 2).replace("Δ", "") for value in sorted(values)
    )
    return high if low == high else f"{low.split()[0]} to {high}"


def items(units, power, cutting, cooling, packing):
    """What moves in both charts, and the sentence that states the finding."""
    name, packed = packing.rsplit(", ", 1)[0], packing.endswith(", spacers")
    crank = own.load(name)
    found = courses(crank, packed, power, cutting, cooling)
    _, warmth, force_unit, forces = SHOWN[units]
    seen = TIMES <= LONGEST
    shown = TIMES[seen]
    degrees, newtons = (1.8, Quantity(1.0, "N").m_as("lbf")) if units == "in" else (1.0, 1.0)
    drawn = []
    main, web = (warmth[0] + degrees * found[piece][:, seen] for piece in ("main", "web"))
    drawn += warm_crank.band(shown, *main, *INKS["rigid"])
    drawn += [
        scene.Curve(shown, one, scene.GREEN, width, "8 4")
        for one, width in zip(web, (1.5, 2.5), strict=True)
    ]
    drawn.append(
        scene.Curve(
            np.array([0, LONGEST]),
            np.full(2, warmth[0] + degrees * (SOFT - ROOM)),
            scene.GRAY,
            1.5,
            "12 6",
        )
    )
    for number, kind in enumerate(CENTERS):
        low, high = np.maximum(newtons * found["thrust"][:, number, seen], forces[0] / 2)
        drawn += warm_crank.band(shown, low, high, *INKS[kind], axes=1)
        label = high[shown > 0.66 * LONGEST].max()  # above the curve all along the words
        if label > forces[0]:
            drawn.append(
                scene.Note(LONGEST * 0.99, label, f"{kind} centers", INKS[kind][0], "end", axes=1)
            )
    guess = prediction("09 thrust", ("N", "lbf", "kN"))
    if guess is not None:
        drawn += [
            scene.Curve(
                np.array([0, LONGEST]),
                np.full(2, guess.m_as(force_unit)),
                scene.PURPLE,
                2,
                "2 4",
                axes=1,
            ),
            scene.Note(
                LONGEST * 0.3, guess.m_as(force_unit), "your prediction", scene.PURPLE, axes=1
            ),
        ]
    stop, wait = cutting.m_as("min"), _waits(crank, found, cutting, ALLOWED[units])
    ready = stop + max(wait)
    if 0 < ready <= LONGEST:
        drawn += warm_crank.mark(
            ready,
            (warmth[0], warmth[0] + 0.5 * (warmth[1] - warmth[0])),
            "measure",
            anchor="end" if ready > 0.85 * LONGEST else "middle",
        )
    return drawn, _sentence(crank, packed, found, power, cutting, cooling, wait, units)


def _waits(crank, found, cutting, allowed):
    """Minutes after the cut until the last main reads true within what is allowed."""
    diameter = crank.journals[-1].diameter
    error = found["main"] * expansion.hot_measuring_error(diameter, crank.steel).m_as(allowed.units)
    after = cutting.m_as("min") <= TIMES
    waits = []
    for one in error:
        true = np.nonzero(after & (one <= allowed.magnitude))[0]
        waits.append(float(TIMES[true[0]] - cutting.m_as("min")) if len(true) else np.inf)
    return waits


def _sentence(crank, packed, found, power, cutting, cooling, wait, units):
    degree, length, force = (
        ("delta_degC", "um", "N") if units == "mm" else ("delta_degF", "thousandth", "lbf")
    )
    watts = as_text(power, "W" if units == "mm" else "hp", 2)
    said = f"{crank.name}, {as_text(cutting, 'min', 3)} of cutting at {watts}, {cooling}"
    if cutting.magnitude == 0:
        return f"{said}: nothing is cut, nothing warms."
    at = int(np.searchsorted(TIMES, cutting.m_as("min")))
    hot, error = (
        found["main"][:, at],
        expansion.hot_measuring_error(crank.journals[-1].diameter, crank.steel).m_as("um"),
    )
    within = as_text(ALLOWED[units], digits=2)
    added = [
        f"{_span(most, 'N', force)} {'more ' * (kind == 'rigid')}between {kind} "
        f"{'centers' if kind == 'rigid' else 'ones'}"
        for kind, most in zip(CENTERS, found["thrust"].max(axis=2).T, strict=True)
    ]
    text = (
        f"{said}: {_span(found['heat'], 'W')} go into the work, by rule of thumb and by the shear "
        "plane. The main being cut gets "
        f"{_span(hot, 'delta_degC', degree)} warmer, reads {_span(hot * error, 'um', length)} too "
        f"large and {_after(wait, f'is true within {within}')}. "
        f"The crank grows {_span(found['growth'].max(axis=1), 'um', length)}: {', '.join(added)}. "
    )
    soft = [
        warming.time_reached(Quantity(TIMES, "min"), web, SOFT - ROOM).m_as("min")
        for web in found["web"]
    ]
    text += _doubt(
        soft,
        f"Adhesive on the web beside it passes {_limit(units)}",
        f"Adhesive on the web beside it stays below {_limit(units)}",
    )
    if packed:
        loose = [
            warming.time_reached(Quantity(TIMES, "min"), pin, found["loose"]).m_as("min")
            for pin in found["pin"]
        ]
        text += " " + _doubt(
            loose,
            "Between sprung centers a spacer that stays cold hangs loose",
            "No spacer comes loose",
        )
    return text


def _limit(units):
    return f"{SOFT:.0f} °C" if units == "mm" else f"{32 + 1.8 * SOFT:.0f} °F"


def _after(wait, words):
    """How long to wait, in words."""
    if max(wait) == 0:
        return f"{words} at once"
    if np.isinf(min(wait)):
        return f"{words} not even after {TIMES[-1]:.0f} min of waiting"
    if np.isinf(max(wait)):
        return (
            f"{words} after {min(wait):.0f} min by the rule of thumb, "
            f"not within {TIMES[-1]:.0f} min by the shear plane"
        )
    low, high = sorted(wait)
    if low < 1:
        return f"{words} after less than {max(np.ceil(high), 1):.0f} min of waiting"
    return f"{words} after {f'{low:.0f} to ' * (round(low) < round(high))}{high:.0f} min of waiting"


def _doubt(minutes, passed, kept):
    """When a limit is passed by either estimate, in words; the rule of thumb comes first."""
    by_rule, by_plane = minutes
    if np.isinf(by_plane):
        return f"{kept}."
    if np.isinf(by_rule):
        return f"{passed} after {by_plane:.2g} min by the shear plane, not by the rule of thumb."
    return f"{passed} after {by_plane:.2g} to {by_rule:.2g} min."


def paper(units, projector=False):
    """What does not move: both charts."""
    unit, warmth, force_unit, forces = SHOWN[units]
    limit = SOFT if units == "mm" else 32 + 1.8 * SOFT
    return warm_crank.warm_paper(unit, warmth, limit, force_unit, forces, LONGEST, projector)


def panel(stage=False):
    """The live panel of the lesson; on a stage it fills a projector's screen."""
    return Panel(controls(), items, paper, PRESETS, stage)


def picture(power, cutting, cooling="still air", packing="pump, no spacer", units="mm"):
    """The same picture without widgets: (figure, sentence)."""
    drawn, sentence = items(units, power, cutting, cooling, packing)
    return scene.add(paper(units), drawn), sentence


def trapped_growth(source):
    """Thrust that a warming crank adds, from its give and that of the machine."""
    length, rise, give, stiffness = (
        source.randrange(120, 320),
        source.randrange(8, 30),
        source.randrange(6, 25),
        source.randrange(12, 60),
    )
    record = steels.find("C45")
    grown = expansion.growth(Quantity(length, "mm"), Quantity(rise, "delta_degC"), record).m_as(
        "um"
    )
    key = grown / (give / 1000 + 1 / stiffness)
    return Question(
        f"A crank of {length} mm, steel with 11.5 µm per meter and degree, gives {give} µm per kN "
        "between its centers. Centers and bed together have "
        f"{stiffness} N/µm. It was set up cold and has warmed evenly by {rise} °C. How much has "
        "the thrust grown?",
        Quantity(key, "N"),
        ("N", "kN", "lbf"),
        {
            "the crank itself gives too: did only the machine yield?": Quantity(
                grown * stiffness, "N"
            ),
            "no lathe is rigid: did only the crank yield?": Quantity(1000 * grown / give, "N"),
            "springs in a row add their gives, not their stiffnesses: which did you add?": Quantity(
                grown * (1000 / give + stiffness), "N"
            ),
        },
        (
            "What it wants to grow has to be pressed back, by the crank and the machine together.",
            "P = alpha L dT / (c + 1/k), c in um per N: one thousandth of the figure per kN.",
        ),
    )


def hot_reading(source):
    """What a journal measured hot loses until it is cold."""
    diameter, length, warm = (
        source.randrange(16, 41),
        source.randrange(60, 140),
        source.randrange(30, 58),
    )
    key = expansion.hot_measuring_error(
        Quantity(diameter, "mm"), "C45", Quantity(warm - 20, "delta_degC")
    )
    per_degree = 0.0115
    return Question(
        f"A main of Ø{diameter} mm, {length} mm long, has {warm} °C when the micrometer, which "
        "lay on the bench at 20 °C, says it is just right. "
        "C45 grows 11.5 µm per meter and degree. How much too small will it be when it is cold?",
        key,
        ("um", "mm", "thousandth"),
        {
            "from which temperature do you count? Sizes hold at 20 °C.": Quantity(
                per_degree * diameter * warm, "um"
            ),
            "is the diameter measured or the radius?": key / 2,
            "which size does the micrometer span, the length or the diameter?": Quantity(
                per_degree * length * (warm - 20), "um"
            ),
        },
        ("Only what is above 20 °C counts, and only over the size measured.", "error = alpha d dT"),
    )


def wait_for_it(source):
    """Waiting time of a lump: first its time constant, then the logarithm."""
    mass, area, film = (
        source.randrange(4, 12) / 10,
        source.randrange(15, 36) * 10,
        source.choice((8, 10, 12, 15)),
    )
    diameter, rise, allowed = (
        source.randrange(18, 41),
        source.randrange(25, 60),
        source.choice((1, 2, 3)),
    )
    constant = mass * 486 / (film * area * 1e-4) / 60
    error = 0.0115 * diameter * rise
    key = expansion.waiting_time(
        Quantity(diameter, "mm"),
        Quantity(rise, "delta_degC"),
        Quantity(allowed, "um"),
        "C45",
        Quantity(constant, "min"),
    )
    return Question(
        f"A C45 crank of {mass:g} kg with {area} cm² of skin lies in air, {film} W/(m²·K). It is "
        f"{rise} °C too warm; C45 stores 486 J/(kg·K) and grows "
        f"11.5 µm per meter and degree. How long until its Ø{diameter} mm main reads within "
        f"{allowed} µm?",
        key,
        ("min", "s", "hour"),
        {
            "that is the time constant: how many of them pass?": Quantity(constant, "min"),
            "natural logarithm or base ten?": key / np.log(10),
            "was the logarithm left out?": Quantity(constant * error / allowed, "min"),
            "is the skin in m² or cm²? A hundred times a hundred.": key * 1e4,
            "minutes or seconds?": key * 60,
        },
        (
            "First the time constant: heat stored for a degree over heat lost for a degree. Then "
            "how often it must fall by e.",
            "tau = m c / (h A), t = tau ln(alpha d dT / allowed)",
        ),
    )


def check_gaps(crank, my_growth, my_thrust):
    """Check the gaps: growth for 15 degC, and the thrust that adds between real centers."""
    rise = Quantity(15.0, "delta_degC")
    grown = expansion.growth(crank.length, rise, crank.steel)
    added, stiff = (
        (expansion.thrust_per_degree(crank, machine_stiffness=stiffness) * rise).to("N")
        for stiffness in (CENTERS["real"], None)
    )
    growth = Question(
        "growth",
        grown,
        ("um", "thousandth", "mm", "in"),
        {"is that for one degree?": grown / 15},
        (),
        0.02,
    )
    thrust = Question(
        "thrust",
        added,
        ("N", "lbf", "kN"),
        {
            "no lathe is rigid: what do its centers and bed give?": stiff,
            "is that for one degree?": added / 15,
        },
        (),
        0.03,
    )
    print("Growth:", check(growth, my_growth))
    print("Thrust:", check(thrust, my_thrust))
