"""Checks of the part's strength: fillets, safety in service."""

import warnings

import numpy as np

from ... import crank_corner, fillets
from ...crank_corner.solved import BOX as SOLVED
from ...language import _, spoken
from ...stress_field.field import DIAMETER_RATIO, solve_fillet
from ...units import OutOfRangeWarning, Quantity
from ...wording import figures, most_shown
from ..fields import STROKES
from ..verdicts import Found, Number, check, shown, tidied

LEAST_RELATIVE = 0.03  # r/d: the crank rule's lower end
SAFE = 1.5  # what the low end of a safety factor has to reach to be fine: own choice


@check("fillets")
def check_fillets(work):
    units, strength, seen, numbers, worst_kt, bad = (
        work.units,
        work.job["tensile_strength"] or work.steel.tensile_strength,
        set(),
        [],
        None,
        [],
    )
    corners = tuple(_corners(work.crank))
    for name, _unused, fillet, *_unused in corners:
        if fillet.magnitude == 0:
            return Found(
                "not fine",
                _(
                    "The fillet of {name} is zero: a sharp corner cracks and no fit tells when. "
                    "Give it a radius."
                ).format(name=spoken(name)),
            )
    for name, diameter, fillet, throw, webs in corners:
        shoulder = min(throw.web_width, 2 * throw.web_reach)
        sizes = tuple(round(size.m_as("mm"), 9) for size in (shoulder, diameter, fillet))
        if (name.split()[0], sizes) in seen:
            continue
        seen.add((name.split()[0], sizes))
        least, most = (ratio * diameter for ratio in DIAMETER_RATIO)
        if shoulder <= least * (1 + 1e-9):
            numbers.append(
                Number(
                    _("{name}: no step").format(name=spoken(name)),
                    _("the web is hardly larger"),
                    "word",
                )
            )
            continue
        if shoulder > most:  # the peak no longer grows there
            said = _("the web of {name} is {shoulder:.2g} times ").format(
                name=spoken(name), shoulder=(shoulder / diameter).m_as("dimensionless")
            )
            said += _(
                "as wide as it: taken as {diameter_ratio:g}, where its peak ends growing"
            ).format(diameter_ratio=DIAMETER_RATIO[1])
            warnings.warn(said, OutOfRangeWarning, stacklevel=2)
            shoulder = most * (1 - 1e-9)
        solved = solve_fillet("bending", shoulder, diameter, fillet).kt
        printed = {
            source: fillets.stress_concentration("bending", shoulder, diameter, fillet, source)
            for source in ("pilkey", "tipton")
        }
        twist = solve_fillet("torsion", shoulder, diameter, fillet).kt
        kt = max(solved, *printed.values())
        kf = fillets.fatigue_factor(kt, "bending", strength, fillet)
        relative = (fillet / diameter).m_as("dimensionless")
        on_web = _on_web(work.crank, name, webs)
        numbers += [
            Number(
                _("{name}: bending on its web, solved in the solid").format(name=spoken(name)),
                on_web,
                "plain",
            ),
            Number(_("{name}: fillet").format(name=spoken(name)), fillet, "length"),
            Number(f"{name}: r/d", relative, "plain"),
            Number(_("{name}: Kt bending, solved").format(name=spoken(name)), solved, "plain"),
            Number(
                _("{name}: Kt bending, Pilkey").format(name=spoken(name)),
                printed["pilkey"],
                "plain",
            ),
            Number(
                _("{name}: Kt bending, Tipton").format(name=spoken(name)),
                printed["tipton"],
                "plain",
            ),
            Number(_("{name}: Kt torsion, solved").format(name=spoken(name)), twist, "plain"),
            Number(_("{name}: Kf bending, of the largest").format(name=spoken(name)), kf, "plain"),
        ]
        bad += [name] if relative < LEAST_RELATIVE else []
        if worst_kt is None or on_web > worst_kt[-1]:
            worst_kt = kt, name, fillet, kf, on_web
    if worst_kt is None:
        return Found(
            "fine",
            _("The webs are hardly larger than mains and pins: there is no corner to speak of."),
            tuple(numbers),
        )
    kt, name, fillet, kf, on_web = worst_kt
    words = _(
        "The hardest corner, {name} with R {fillet}, raises bending stress {kt:.2f} times as a "
        "stepped shaft; fatigue feels {kf:.2f} times. As the corner of its web, solved in the "
        "solid, it raises the same stress {on_web:.2f} times."
    ).format(name=spoken(name), fillet=shown(fillet, "length", units), kt=kt, kf=kf, on_web=on_web)
    if bad:
        words += _(
            " Below r/d {least_relative:g} at {bad}: a larger radius costs little and helps most "
            "there."
        ).format(least_relative=LEAST_RELATIVE, bad=", ".join(bad))
    guessed = _below_solved(work.crank)
    words += guessed
    over = [one for one in corners if _over_edge(*one[1:4]) > Quantity(1e-6, "mm")]
    if over:
        name, diameter, fillet, throw, _unused = max(over, key=lambda one: _over_edge(*one[1:4]))
        most = fillet - _over_edge(diameter, fillet, throw)
        words += _(
            " The fillet of {name}, R {fillet}, runs over the edge of its web, so that nothing "
            "shoulders a rod or a bearing there: write at most {most}, or a wider web."
        ).format(
            name=spoken(name),
            fillet=shown(fillet, "length", units),
            most=most_shown(most, "length", units, 4),
        )
    return Found("look" if bad or over or guessed else "fine", words, tuple(numbers))


def _over_edge(diameter, fillet, throw):
    """How far a fillet's foot lies beyond the nearest edge of the web; below zero within it."""
    return diameter / 2 + fillet - min(throw.web_width / 2, throw.web_reach)


def _corners(crank):
    """Name, diameter, fillet, throw and webs of every pin and of every main beside a web."""
    count = 2 * len(crank.throws)
    for index, throw in enumerate(crank.throws):
        webs = (2 * index + 1, 2 * index + 2)
        yield f"pin {index + 1}", throw.pin_diameter, throw.fillet, throw, webs
    for index, main in enumerate(crank.journals):
        throw = crank.throws[min(index, len(crank.throws) - 1)]
        webs = [web for web in (2 * index, 2 * index + 1) if 1 <= web <= count]
        yield f"main {index + 1}", main.diameter, main.fillet, throw, webs


def _on_web(crank, name, webs):
    """The solved corner's bending, the largest of the webs, over that of the bar itself."""
    where = "pin" if name.startswith("pin") else "journal"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutOfRangeWarning)  # what lies below is said in words
        return max(crank_corner.bending_on_bar(crank, where, web) for web in webs)


def _below_solved(crank):
    """What of the crank lies below every solved shape, in words: no factor is known there. A
    stouter shape than any solved counts as the stoutest solved.
    """
    thin = min(one.web_thickness / one.pin_diameter for one in crank.throws).m_as("dimensionless")
    if thin >= SOLVED["web_thickness"][0]:
        return ""
    return _(
        " A web of {thin:.2f} of its pin's diameter is thinner than any that was solved, from "
        "{least:g} on: that factor is a guess."
    ).format(thin=thin, least=SOLVED["web_thickness"][0])


def _firings(work):
    """When the cylinders of a four-stroke engine fire, as evenly as its throws let them."""
    if STROKES.get(work.job["machine"]) != 4:
        return ()
    fired = sorted(
        rod.begins(throw).m_as("deg")
        for throw, rods in zip(work.crank.throws, work.cylinders, strict=True)
        for rod in rods
    )
    words = ", ".join(f"{angle - fired[0]:.0f}" for angle in fired)
    return (Number(_("fires at, in degrees of two turns"), words, "word"),)


@check("strength")
def check_strength(work):
    if work.job["machine"] == "not known":
        return Found(
            "cannot tell",
            _(
                "What the crank drives was not given: choose a machine, then bore and pressure, or "
                "a force."
            ),
        )
    strong = work.job["tensile_strength"] or work.steel.tensile_strength
    if work.yield_strength > strong:
        return Found(
            "cannot tell",
            _(
                "No steel has a yield strength of {yield_strength} above its tensile strength of "
                "{strong}: look both up for your own bar, and answer both."
            ).format(
                yield_strength=shown(work.yield_strength, "stress", work.units),
                strong=shown(strong, "stress", work.units),
            ),
        )
    result, loads = work.strength, work.loads
    one = result.weakest
    yielding = min(part.yield_safety for part in result.sections)
    peak = Quantity(float(np.abs(loads.rod_force.m_as("N")).max()), "N")
    numbers = [
        Number(_("largest force on a rod"), peak, "force"),
        Number(
            _("mean torque, minus where it is driven"),
            tidied(loads.mean_torque, peak * work.crank.throws[0].radius),
            "torque",
        ),
        Number(
            _("largest torque"),
            Quantity(float(np.abs(loads.torque.m_as("N*m")).max()), "N*m"),
            "torque",
        ),
        Number(_("weakest section"), one.place.name, "word"),
        Number(_("its safety factor"), one.safety, "plain"),
        Number(_("low end"), one.low, "plain"),
        Number(_("high end"), one.high, "plain"),
        *(
            (
                Number(_("in print, as a round shoulder"), one.shoulder, "plain"),
                Number(_("in print, by the crank rule"), one.crank_rule, "plain"),
            )
            if one.printed
            else ()
        ),
        Number(_("alternating stress there"), one.alternating, "stress"),
        Number(_("mean stress there"), one.mean, "stress"),
        Number(_("endurance limit"), one.endurance_limit, "stress"),
        Number(_("safety against yielding"), yielding, "plain"),
        *_firings(work),
    ]
    assumed = tuple(
        _("{name} of {steel}: {source}").format(
            name=name.replace("_", " "), steel=work.crank.steel, source=work.steel.source(name)
        )
        for name in ("tensile_strength", "yield_strength")
        if work.job[name] is None and "memory" in work.steel.source(name)
    )
    least = min(one.low, yielding)
    verdict = "not fine" if least < 1 else "look" if least < SAFE else "fine"
    words = {
        "not fine": _("it may crack: larger fillets, thicker webs, another steel, less load"),
        "look": _("little margin for what was not measured"),
        "fine": _("by this sum it lasts"),
    }[verdict]
    return Found(
        verdict,
        _(
            "Weakest is {name}: safety factor {ranged}, {yielding} against yielding: {words}. "
            "{grain}"
        )
        .format(
            name=spoken(one.place.name),
            ranged=one.ranged,
            yielding=figures(yielding),
            words=words,
            grain=result.grain,
        )
        .rstrip()
        + _(" An estimate, never a certificate."),
        tuple(numbers),
        assumed,
    )
