"""Lesson 09, keep it cool: its panel and its three questions."""

import numpy as np

from crankmath.crank import steels
from crankmath.heat import cooling as coolants
from crankmath.heat import expansion, warming
from crankmath.language import _, marked
from crankmath.spacers import largest_diameter
from crankmath.units import Quantity, as_text

from ...lesson import own
from ...lesson.exercise import Question, check_gap, prediction
from ...lesson.finding import Finding, answering
from ...lesson.panel import Choice, Control
from ...lesson.scene import Scene
from ...pictures import scene
from ...pictures.turning import warm_crank
from .warm_course import CENTERS, COLD_THRUST, ROOM, SOFT, TIMES, courses, waits

LONGEST = 60.0  # minutes shown
BLUE = 280.0  # rise [degC] that turns bright steel blue, from memory: nobody cuts so long
ALLOWED = {
    "mm": Quantity(2.0, "um"),
    "in": Quantity(0.1, "thousandth"),
}  # error a hot main may read with
SHOWN = {"mm": ("°C", 150.0, "N", (0.5, 1e5)), "in": ("°F", 300.0, "lbf", (0.1, 1e5))}
PRESETS = {
    _("Dry roughing"): {
        "power": Quantity(150.0, "W"),
        "cutting": Quantity(5.0, "min"),
        "cooling": "still air",
    },
    _("Brushed oil"): {
        "power": Quantity(150.0, "W"),
        "cutting": Quantity(5.0, "min"),
        "cooling": "dripped oil",
    },
    _("Finishing"): {
        "power": Quantity(30.0, "W"),
        "cutting": Quantity(2.0, "min"),
        "cooling": "dripped oil",
    },
}


def controls():
    """Sliders and lists of the panel; the list offers the reader's own crank."""
    names = own.names()
    packings = [
        f"{name}, {packing}"
        for name in names
        for packing in (marked("no spacer"), marked("spacers"))
        if packing == "no spacer" or largest_diameter(own.load(name)).magnitude
    ]
    first = packings[0] if own.is_own(names[0]) else "pump, no spacer"
    return (
        Control(
            "power",
            _("Power of the cut"),
            ("W", 5, 550, 5),
            ("hp", 0.01, 0.75, 0.01),
            Quantity(100.0, "W"),
            ("kW",),
        ),
        Control(
            "cutting",
            _("Minutes of cutting"),
            ("min", 0, 30, 0.5),
            ("min", 0, 30, 0.5),
            Quantity(5.0, "min"),
            ("s",),
        ),
        Choice("cooling", _("Cooling"), coolants.COOLANTS, "still air"),
        Choice("packing", _("Crank and spacers"), tuple(packings), first),
    )


def _span(values, unit, shown=None):
    """A range in words: “14 to 64 °C”; one number where both round alike."""
    low, high = (
        as_text(Quantity(float(value), unit), shown, 2).replace("Δ", "") for value in sorted(values)
    )
    return high if low == high else _("{low} to {high}").format(low=low.split()[0], high=high)


def items(units, power, cutting, cooling, packing):
    """What moves: the warm crank and both charts; and the finding."""
    name, packed = packing.rsplit(", ", 1)[0], packing.endswith(", spacers")
    crank = own.load(name)
    found = courses(crank, packed, power, cutting, cooling)
    unit, least, force_unit, forces = SHOWN[units]
    shown = TIMES <= LONGEST
    degrees, cold = (1.8, 68.0) if units == "in" else (1.0, ROOM)
    stop, wait = cutting.m_as("min"), waits(crank, found, cutting, ALLOWED[units])
    now = int(np.searchsorted(TIMES, stop))
    drawn, full = warm_crank.warmth_items(
        TIMES[shown],
        *(degrees * found[piece][:, shown] for piece in ("main", "web")),
        degrees * (SOFT - ROOM),
        max(least, degrees * float(found["main"].max())),
        unit,
        cold,
    )
    warm = float(degrees * found["main"][:, now].mean() / full)
    drawn.append(scene.Point(stop, warm, scene.RUST, 0, (scene.Grip("cutting"),)))
    drawn += warm_crank.crank_items(crank, degrees * found["pieces"][:, 1, now] / full)
    drawn += warm_crank.scale_items(cold, cold + full, unit)
    newtons = Quantity(1.0, "N").m_as(force_unit)
    drawn += warm_crank.thrust_items(
        TIMES[shown], newtons * found["thrust"][:, :, shown], tuple(map(_, CENTERS)), forces[0]
    )
    guess = prediction("09 thrust", ("N", "lbf", "kN"))
    if guess is not None:
        ends, level = np.array([0, LONGEST]), guess.m_as(force_unit)
        drawn += [
            scene.Curve(ends, np.full(2, level), scene.PURPLE, 2, "2 4", axes=1),
            scene.Note(LONGEST * 0.3, level, _("your prediction"), scene.PURPLE, axes=1),
        ]
    ready = stop + max(wait)
    if 0 < ready <= LONGEST:
        drawn += warm_crank.mark(ready, LONGEST, (0.0, 0.28), _("measure"))
    finding = _finding(crank, packed, found, cutting, wait, units)
    if guess is not None:
        came = _span(found["thrust"].max(axis=2)[:, list(CENTERS).index("real")], "N", force_unit)
        came = _("{came} between real centers").format(came=came)
        finding = answering(finding, as_text(guess, force_unit, 2), came, crank.name)
    return drawn, finding


def _finding(crank, packed, found, cutting, wait, units):
    """How warm, how long and how hard, by rule of thumb and by the shear plane."""
    degree, length, force, watt = (
        ("delta_degC", "um", "N", "W")
        if units == "mm"
        else ("delta_degF", "thousandth", "lbf", "hp")
    )
    if cutting.magnitude == 0:
        return Finding(_("Nothing is cut, nothing warms."), "fine")
    at = int(np.searchsorted(TIMES, cutting.m_as("min")))
    hot = found["main"][:, at]
    error = expansion.hot_measuring_error(crank.journals[-1].diameter, crank.steel).m_as("um")
    rigid, real, sprung = (_span(one, "N", force) for one in found["thrust"].max(axis=2).T)
    by_rule, by_plane = (as_text(Quantity(float(one), "W"), watt, 2) for one in found["heat"])
    warm, grown = _span(hot, "delta_degC", degree), _span(found["growth"].max(axis=1), "um", length)
    soft = _reached(found["web"], SOFT - ROOM)
    limits = [soft, _reached(found["thrust"][:, 1], COLD_THRUST.m_as("N"))]
    nobody = hot.max() > BLUE
    lines = [
        _(
            "By rule of thumb {by_rule} go into the work, by the shear plane {by_plane}: hence the "
            "ranges."
        ).format(by_rule=by_rule, by_plane=by_plane),
        _("Between real centers {real} are added; the crank gets {grown} longer.").format(
            real=real, grown=grown
        )
        if nobody
        else _("The main being cut gets {warm} warmer, the crank {grown} longer.").format(
            warm=warm, grown=grown
        ),
        _("Hot, it reads {hot} too large, {wait}.").format(
            hot=_span(hot * error, "um", length),
            wait=_after(
                wait, _("within {allowed}").format(allowed=as_text(ALLOWED[units], digits=2))
            ),
        ),
        _passed(
            soft,
            _("Adhesive on the web beside it"),
            _("passes {units}").format(units=_limit(units)),
        ),
        _("Rigid centers would add {rigid}, sprung ones {sprung}.").format(
            rigid=rigid, sprung=sprung
        ),
    ]
    if packed:
        loose = _reached(found["pin"], found["loose"])
        limits.append(loose)
        between = _("Sprung centers add {sprung}; a cold spacer").format(sprung=sprung)
        lines[-1] = _passed(loose, between, _("hangs loose there"))
    verdict = "fine"
    if any(np.isfinite(times).any() for times in limits):
        surely = any(np.isfinite(times).all() for times in limits)
        verdict = "not fine" if surely else "look"
    headline = _("Between real centers the thrust grows {real}.").format(real=real)
    if nobody:
        headline, verdict = (
            _("Nobody cuts that long: the main gets {warm} warmer.").format(warm=warm),
            "not fine",
        )
    return Finding(headline, verdict, tuple(lines))


def _reached(courses_, limit):
    """Minutes until each estimate passes a limit; endless where it does not."""
    times = Quantity(TIMES, "min")
    return np.array([warming.time_reached(times, one, limit).m_as("min") for one in courses_])


def _passed(minutes, what, passes):
    """When a limit is passed by either estimate, in words; the rule of thumb comes first."""
    by_rule, by_plane = minutes
    if np.isinf(by_plane):
        return _("{what} never {passes}.").format(what=what, passes=passes)
    if np.isinf(by_rule):
        return _("{what} {passes} after {by_plane:.2g} min; by rule of thumb never.").format(
            what=what, passes=passes, by_plane=by_plane
        )
    return _("{what} {passes} after {by_plane:.2g} to {by_rule:.2g} min.").format(
        what=what, passes=passes, by_plane=by_plane, by_rule=by_rule
    )


def _limit(units):
    return f"{SOFT:.0f} °C" if units == "mm" else f"{32 + 1.8 * SOFT:.0f} °F"


def _after(wait, words):
    """How long to wait, in words."""
    if max(wait) == 0:
        return _("{words} at once").format(words=words)
    if np.isinf(min(wait)):
        return _("not {words} even after {times:.0f} min").format(words=words, times=TIMES[-1])
    if np.isinf(max(wait)):
        return _(
            "{words} after {wait:.0f} min by rule of thumb, not after {times:.0f} by the shear "
            "plane"
        ).format(words=words, wait=min(wait), times=TIMES[-1])
    low, high = sorted(wait)
    if low < 1:
        return _("{words} after less than {ceil:.0f} min").format(
            words=words, ceil=max(np.ceil(high), 1)
        )
    return _("{words} after {from_minutes}{high:.0f} min").format(
        words=words,
        from_minutes=_("{low:.0f} to ").format(low=low) * (round(low) < round(high)),
        high=high,
    )


def paper(units, projector=False):
    """What does not move: crank's window and both charts."""
    _unused, _unused, force_unit, forces = SHOWN[units]
    return warm_crank.warm_paper(_limit(units), force_unit, forces, LONGEST, projector)


SCENE = Scene(controls, items, paper, PRESETS)
panel, picture = SCENE.panel, SCENE.picture


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
        directed=True,
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
        directed=True,
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
    units = ("um", "thousandth", "mm", "in")
    each = {"is that for one degree?": grown / 15}
    check_gap("Growth", grown, units, my_growth, each, 0.02, "my_growth")
    slips = {
        "no lathe is rigid: what do its centers and bed give?": stiff,
        "is that for one degree?": added / 15,
    }
    check_gap("Thrust", added, ("N", "lbf", "kN"), my_thrust, slips, 0.03, "my_thrust")
