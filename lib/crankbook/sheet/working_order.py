"""The plan of a job in working order: each step with its numbers, its limits, the check to make before going on, its caution."""

import tomllib
import warnings
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from crankmath.cutting.rough_out import MILLING_ALLOWANCE
from crankmath.job.fields import BANKS
from crankmath.job.verdicts import Number, or_word, said_of, shown
from crankmath.wording import ERRORS
from crankmath.workpiece.rules import size_of_bar

from .tables import spacer_table

SWINGING = "The bar swings: guard closed, eyes covered, nothing loose, a whole turn by hand first, slowest step first."


@dataclass(frozen=True)
class Step:
    """One step: what to do, what to check before going on, what can hurt, why it stands here where that matters, numbers, limits.

    ``tables`` names the tables of ``job_tables`` that go with it.
    """

    key: str
    title: str
    do: str
    before_going_on: str
    caution: str
    why: str
    numbers: tuple
    limits: tuple
    tables: tuple


@cache
def _words():
    return tomllib.loads(
        (files("crankbook") / "data" / "working_order.toml").read_text(encoding="utf-8")
    )


def working_order(report):
    """Steps of a job from the bar to the balanced crank.

    Parameters
    ----------
    report : job_checks.Report

    Returns
    -------
    tuple of Step

    Notes
    -----
    Basis: numbers are those of the report's checks; the order is common practice, no source, each reason beside its step.
    """
    found = []
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # each check tells its own
        for key, make in STEPS.items():
            try:
                step = make(report, report.workings)
            except ERRORS as error:  # its check tells more
                told = f"Cannot be planned: {said_of(error)}"
                step = Step(
                    key,
                    _words()[key]["title"],
                    told,
                    "Mend what the checks tell, then plan anew.",
                    SWINGING,
                    "",
                    (),
                    (),
                    (),
                )
            if step is not None:
                found.append(step)
    return tuple(found)


def _step(key, numbers, limits, tables=(), words="", **put_in):
    """A step with its words from the data, what belongs into them put in."""
    told = _words()[words or key]
    do, check, caution, why = (
        told.get(part, "").format(swinging=SWINGING, **put_in)
        for part in ("do", "check", "caution", "why")
    )
    return Step(
        key, told["title"], do, check, caution, why, tuple(numbers), tuple(limits), tuple(tables)
    )


def _of(report, key, *labels):
    """Numbers of a check by their labels."""
    return [one for one in report.find(key).numbers if one.label in labels]


def _speeds(work, place):
    """Gear steps of all places of a kind."""
    return [
        or_word(f"{row.place}: speed", row.gear, "rpm", "none")
        for row in work.speeds
        if row.place.startswith(place)
    ]


def _lobes(report, place):
    """How far pins or mains are cut out of round."""
    return [
        one
        for one in report.find("roundness").numbers
        if one.label.startswith(place) and "out of round" in one.label
    ]


def _bar(report, work):
    one, units = work.bar, work.units
    return _step(
        "bar",
        _of(
            report,
            "bar",
            "least width",
            "least height",
            "length",
            "mass of the bar",
            "spare all around",
        ),
        [
            f"bow of the bar at most {shown(work.smallest_bar.bow, 'length', units, 2)} over its length"
        ],
        bar=size_of_bar(one, units),
        steel=work.crank.steel,
        length=shown(one.length, "length", units),
        mass=shown(work.swung["main"].mass, "mass", units),
    )


def _centers(report, work):
    allowed = shown(work.job["throw_tolerance"], "length", work.units)
    return _step(
        "centers",
        _of(
            report,
            "centers",
            "pilot drill",
            "mouth",
            "least depth",
            "metal to the bar's edge",
            "metal to the next hole",
        ),
        [f"each pin center from its main center within ±{allowed}, the same way at both ends"],
        ("centers", "handwheels"),
        hole=f"{work.hole.standard} {work.hole.name}",
    )


def _mill(report, work):
    if not work.milled:
        return None
    (name, block), milled = work.milled[0], work.job["milled"]
    numbers = [
        Number(f"{name}: width of the slot", block.slot_width, "length"),
        Number(f"{name}: slot's floor through the bar", block.floor, "length"),
        Number("milled away in all", sum(one.milled for _, one in work.milled), "volume"),
        Number(
            "farthest point left, from the turning axis",
            max(one.swing for _, one in work.milled),
            "length",
        ),
    ]
    left = shown(MILLING_ALLOWANCE, "length", work.units, 2)
    return _step(
        "mill",
        numbers,
        [f"{left} left all around: pin, mains and web faces are turned"],
        milled=f"{milled[:1].upper()}{milled[1:]}",
    )


def _true(report, work):
    return _step(
        "true",
        report.find("locked_in").numbers,
        [
            f"bow well below the {shown(work.job['bar_allowance'], 'length', work.units)} left all around"
        ],
    )


def _rough(report, work):
    cut, left = work.rough_cut, work.job["finish_allowance"]
    numbers = [
        Number("depth at most", cut.depth, "length"),
        Number("feed for a turn", cut.feed, "length"),
        Number("cutting force", cut.force, "force"),
        Number("power at the edge", cut.power, "power"),
        *_of(report, "chatter", "deepest roughing that stays quiet at the end"),
        Number("left for finishing, on the radius", left, "length"),
    ]
    limits = [
        f"thrust {shown(work.job['thrust'], 'force', work.units)}, eased after each pass: the work grows warm",
        f"leave {shown(left, 'length', work.units)} on pins, mains and web faces",
    ]
    return _step(
        "rough",
        numbers,
        limits,
        ("speeds", "passes"),
        runout=shown(work.empty_squeeze.largest_runout, "fine", work.units, 2),
        left=shown(left, "fine", work.units, 2),
    )


def _pins(report, work):
    several = len(work.crank.throws) > 1
    numbers = [
        *_speeds(work, "pin"),
        Number("last cut, on the radius", work.job["last_cut"], "length"),
        Number("feed for a turn", work.job["finish_feed"], "length"),
        *_lobes(report, "pin"),
        *_of(report, "tool", "blade stands out", "reach to spare"),
    ]
    packed = several and work.job["spacers"] == "in every throw"
    pack = " Begin at the tailstock end" + (
        ", and pack each finished gap with its spacer before you go to the next pin."
        if packed
        else "."
    )
    limits = [
        f"class {work.job['pin_class']}, see Sizes",
        f"throw within ±{shown(work.job['throw_tolerance'], 'length', work.units)}",
    ]
    return _step("pins", numbers, limits, ("sizes",), pack=pack if several else "")


def _spacers(report, work):
    if not work.fitted:
        most = report.find("squeeze").number("thrust that spends it")
        return _step(
            "spacers",
            _of(report, "squeeze", "thrust that spends it", "runout after release"),
            [f"thrust at most {shown(most, 'force', work.units)}"],
            words="no_spacers",
        )
    wanted = (
        "diameter",
        "misfit to aim at",
        "shortest misfit",
        "longest misfit",
        "most that a spacer bears",
        "misfit lost for each degree the crank is warmer",
    )
    return _step(
        "spacers",
        _of(report, "spacers", *wanted),
        [spacer_table(work).note],
        ("spacers",),
        half=shown(work.job["allowed_runout"] / 2, "fine", work.units, 2),
    )


def _mains(report, work):
    numbers = [
        *_speeds(work, "main"),
        Number("thrust", work.job["thrust"], "force"),
        Number("last cut, on the radius", work.job["last_cut"], "length"),
        *_of(
            report,
            "heat",
            "thrust added by each degree",
            "thrust that may be added",
            "reads too large while that warm",
        ),
        *_lobes(report, "main"),
    ]
    allowed = shown(work.job["allowed_runout"], "fine", work.units)
    return _step(
        "mains",
        numbers,
        [f"class {work.job['main_class']}, see Sizes", f"runout at most {allowed} after release"],
        ("sizes", "readings"),
        packed="spacers in, " if work.fitted else "",
    )


def _fillets(report, work):
    numbers = [
        one
        for one in report.find("fillets").numbers
        if one.label.endswith((": fillet", "Kf bending, of the largest"))
    ]
    return _step(
        "fillets", numbers, ["radius as drawn, no undercut, no step where it meets pin or main"]
    )


def _inspection(report, work):
    on_centers = work.job["supports"] == "between centers"
    numbers = [
        *_of(report, "runout", "accept up to", "reject above", "uncertainty of a reading"),
        *_of(report, "throw", "uncertainty of the throw", "angle: accept up to, off either way"),
        *(
            one
            for one in report.find("throw").numbers
            if one.label.startswith("throw ") and "accept" in one.label
        ),
    ]
    return _step(
        "inspection",
        numbers,
        [
            "accept only what lies inside by its uncertainty; between accept and reject nobody can tell"
        ],
        ("readings", "heights", "sizes"),
        supports="between centers"
        if on_centers
        else "between centers, never in the vees they lie in",
    )


def _ends(report, work):
    limit = "the main centers go with the ends: drill new ones first where the crank shall run between centers again"
    return _step(
        "ends",
        [Number("length of the crank", work.crank.length, "length")],
        [limit],
        end=shown(work.job["center_end"], "length", work.units),
    )


def _balance(report, work):
    check, job = report.find("balance"), work.job
    fitted = job["counterweights"] != "none"
    which = "with counterweights" if fitted else "no counterweights"
    numbers = _of(
        report,
        "balance",
        "mass of the crank",
        "unbalance of one throw, as drawn",
        "unbalance of the whole crank",
        "unbalance that grade leaves",
        f"unbalance at the left main, {which}",
        f"unbalance at the right main, {which}",
        f"shaking couple, once a turn, {which}",
        "counterweight's mass times radius, each throw",
    )
    if fitted:
        rods = 2 if job["banks"] == BANKS[2] else 1
        held = rods * (job["rotating_mass"] + job["balance_share"] * job["moving_mass"])
        stand_in = shown(held, "mass", work.units)
        return _step("balance", numbers, [check.sentence], stand_in=stand_in)
    instead = (
        "The grade allows that at this speed."
        if check.verdict == "fine"
        else "Bolt counterweights on, or run slower."
    )
    return _step("balance", numbers, [check.sentence], words="no_balance", instead=instead)


STEPS = {
    "bar": _bar,
    "centers": _centers,
    "mill": _mill,
    "true": _true,
    "rough": _rough,
    "pins": _pins,
    "spacers": _spacers,
    "mains": _mains,
    "fillets": _fillets,
    "inspection": _inspection,
    "ends": _ends,
    "balance": _balance,
}
