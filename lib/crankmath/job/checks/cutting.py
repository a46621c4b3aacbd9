"""Checks of the cut: force and power, roundness, chatter."""

import numpy as np

from ... import chatter, deflection
from ...chatter.modes import bodies
from ...chatter.turning import QUIET_SHARE
from ...cutting import spindle_speed
from ...fits import iso_286
from ...forces import drive, kienzle
from ...language import _, listed, spoken
from ...units import Quantity
from ...wording import capital, most_shown
from ...workpiece.planning import rules
from ...workpiece.planning.rules import BEND_SHARE
from ..verdicts import Found, Number, by_share, check, or_word, shown, worst

# of a size's tolerance that out-of-roundness may take: common practice, no source
ROUND_SHARE = 1 / 3
LEAST_EDGE = 0.3  # mm: a narrower one can hardly be ground, own choice
DRIVE_SHARE = 0.85  # of what the drive leaves at a step; above it look: own choice
_LESS_STRESS = _(". Take a smaller feed, or leave less to rough between centers.")
SPRINGS = {  # answers that say how the lathe yields
    "headstock_stiffness": _("stiffness of the headstock's center"),
    "tailstock_stiffness": _("stiffness of the tailstock's center"),
    "tool_stiffness": _("stiffness of post and slides"),
}


@check("force")
def check_force(work):
    job, units, cut = work.job, work.units, work.rough_cut
    last = max(work.last_cuts.values(), key=lambda one: one.force)
    torque_left = drive.torque_at_spindle(job.lathe, cut.spindle_speed)
    most = max(one.torque for one in work.rough_cuts)
    pushed = max(force for force, _unused in work.pushed)
    bent, stress = work.bent
    bends = (stress / work.yield_strength).m_as("dimensionless")
    stressed = _stressed(bends)
    numbers = (
        Number(_("roughing depth"), cut.depth, "length"),
        Number(_("cutting force, roughing"), cut.force, "force"),
        Number(_("passive force, roughing"), cut.passive, "force"),
        Number(_("hardest on the drive: step"), cut.spindle_speed, "rpm"),
        Number(_("diameter there"), cut.diameter, "length"),
        Number(_("power that the cut needs there"), cut.power, "power"),
        Number(_("power that the drive leaves there"), cut.left, "power"),
        Number(_("torque that the cut needs there"), cut.torque, "torque"),
        Number(_("torque that the drive leaves there"), torque_left, "torque"),
        Number(_("share of what the drive leaves"), cut.share, "plain"),
        Number(_("largest torque of all steps"), most, "torque"),
        Number(_("largest force on the dog's tail or the driving bolt"), pushed, "force"),
        Number(_("largest stress in the work, roughing"), stress, "stress"),
        Number(_("its share of the yield strength"), bends, "plain"),
        Number(_("cutting force, last cut"), last.force, "force"),
        Number(_("force square to the work, last cut"), last.passive, "force"),
    )
    assumed = (
        _("cutting force of {steel}: {source}").format(
            steel=work.crank.steel, source=work.steel.source("specific_force")
        ),
    )
    fastest = max(one.speed for one in (*work.rough_cuts, *work.last_cuts.values()))
    counted = Quantity(kienzle.SPEED_RANGE[1], "m/min")
    if fastest > counted:
        limit, here = (shown(one, "speed", units) for one in (counted, fastest))
        words = _(
            "force of cuts faster than {counted}, up to {fastest} here: counted as at {counted}, "
            "the safe side, since it falls with speed"
        )
        assumed += (words.format(counted=limit, fastest=here),)
    if "power" not in job.given:
        assumed += (
            _("drive: {drive}, {power}, assumed").format(
                drive=listed(job["drive"]), power=shown(job["power"], "power", units)
            ),
        )
    depth, asked = (shown(size, "length", units) for size in (cut.depth, job["rough_depth"]))
    at, cure = _at(work, cut), f" {capital(rules.more_drive(cut.work))}."
    if cut.share > 1 + 1e-6:
        words = _("At {at}; a pass of {depth} needs {power} there: it stalls.")
        words = words.format(at=at, depth=depth, power=shown(cut.power, "power", units)) + cure
        return Found("not fine", words, numbers, assumed)
    thin = shown(bent.depth, "length", units)
    if bends > BEND_SHARE:
        words = (
            _("A roughing pass of {thin} at {place} stresses the crank to {stressed}").format(
                thin=thin, place=spoken(bent.place), stressed=stressed
            )
            + (_(": it stays bent") if bends > 1 else _("; a tool that grabs pushes twice as hard"))
            + _LESS_STRESS
        )
        return Found(by_share(bends, BEND_SHARE, 1.0), words, numbers, assumed)
    if thinned := work.thinned:
        row, stress = thinned
        share, thin = (stress / work.yield_strength).m_as(""), shown(row.depth, "length", units)
        if share > row.share * BEND_SHARE:
            words = _(
                "Passes of {thin} are all that the crank bears at {place}, where {asked} was asked "
                "for: they stress it to {stressed}"
            ).format(thin=thin, place=spoken(row.place), asked=asked, stressed=_stressed(share))
            words += _LESS_STRESS
        else:
            words = _("At {at}: passes of {depth} are all that it drives; {asked} was asked for.")
            words = words.format(at=_at(work, row), depth=thin, asked=asked) + cure
        return Found("look", words, numbers, assumed)
    return Found(
        by_share(cut.share, DRIVE_SHARE, 1.0),
        _(
            "Roughing {depth} deep pushes with {force} and takes {power} and {torque}; at {at}, "
            "{share:.0f} % of it is used. It stresses the crank to {stressed} at most."
        ).format(
            depth=depth,
            force=shown(cut.force, "force", units),
            power=shown(cut.power, "power", units),
            torque=shown(cut.torque, "torque", units),
            at=at,
            share=100 * cut.share,
            stressed=stressed,
        )
        + (cure if cut.share > DRIVE_SHARE else ""),
        numbers,
        assumed,
    )


def _stressed(share):
    return _("{bends:.0f} % of its yield strength").format(bends=100 * share)


def _at(work, cut):
    """What the drive leaves at the spindle speed of a cut, in words."""
    left = drive.torque_at_spindle(work.job.lathe, cut.spindle_speed)
    return _("{spindle_speed} in “{name}” the drive leaves {left} and {torque_left}").format(
        spindle_speed=shown(cut.spindle_speed, "rpm", work.units),
        name=cut.step.name,
        left=shown(cut.left, "power", work.units),
        torque_left=shown(left, "torque", work.units),
    )


@check("roundness")
def check_roundness(work):
    units, found = work.units, []
    for piece in work.crank.rounds:
        pin = piece.kind == "pin"
        place = _named(piece.kind, piece.index)
        if place not in work.last_cuts:
            continue
        cut, setup = work.last_cuts[place], work.setup(piece.index if pin else "main")
        most = deflection.out_of_round(
            work.crank, (piece.kind, piece.index), cut.passive, cut.force, setup
        )
        pushes = (
            np.hypot(*(force.m_as("N") for force in pair))
            for pair in ((cut.least_passive, cut.least_force), (cut.passive, cut.force))
        )
        low, high = pushes
        size, code = Quantity(piece.diameter, "mm"), work.job["pin_class" if pin else "main_class"]
        upper, lower = iso_286.limits(size, code)
        found.append((most, most * low / high, upper - lower, place))
    lobes, least, tolerance, place = max(
        found, key=lambda one: (one[0] / one[2]).m_as("dimensionless")
    )
    numbers = [
        Number(_("{name}: out of round by").format(name=spoken(name)), out, "fine")
        for out, _unused, _unused, name in found
    ]
    numbers += [
        Number(_("{name}: at least").format(name=spoken(name)), out, "fine")
        for _unused, out, _unused, name in found
    ]
    numbers += [
        Number(_("{name}: tolerance").format(name=spoken(name)), width, "fine")
        for _unused, _unused, width, name in found
    ]
    if "pin 1" in work.last_cuts:
        push = work.last_cuts["pin 1"].passive
        large = deflection.size_error(work.crank, ("pin", 0), push, work.setup(0))
        numbers.append(
            Number(_("pin 1: finished too large by, until the dial is reset"), large, "fine")
        )
    share = (lobes / tolerance).m_as("dimensionless")
    words = {
        "fine": _("well within its tolerance"),
        "look": _("much of its tolerance: take lighter last cuts with a keen edge"),
        "not fine": _(
            "more than its whole tolerance: a lighter last cut, a keener edge, or a wider class"
        ),
    }
    verdict = by_share(share, ROUND_SHARE, 1.0)
    size = shown(lobes, "fine", units, 2)
    if shown(least, "fine", units, 2) != size:
        size += _(" at most, {least} at least,").format(least=shown(least, "fine", units, 2))
    return Found(
        verdict,
        _(
            "The last cut leaves {place} out of round by {size} where {tolerance} is allowed, "
            "{words}."
        ).format(
            place=spoken(place),
            size=size,
            tolerance=shown(tolerance, "fine", units, 2),
            words=words[verdict],
        ),
        tuple(numbers),
        _assumed_springs(work),
    )


def _assumed_springs(work):
    return tuple(
        _("{words}: {job}, assumed").format(
            words=words, job=shown(work.job[key], "stiffness", work.units)
        )
        for key, words in SPRINGS.items()
        if key not in work.job.given
    )


@check("chatter")
def check_chatter(work):
    job, units = work.job, work.units
    spots = [_Spot(work, *one) for one in _softest(work)]
    edge, depth, nose = job["edge_width"], job["last_cut"], job["nose_radius"]
    found = [(spot.along(spot.last, nose), spot) for spot in spots]
    finish, spot = max(found, key=lambda one: one[0].share)
    numbers = [
        Number(
            _("stiffness at {place}").format(place=spoken(spot.place)), spot.stiffness, "stiffness"
        ),
        Number(_("nose radius"), nose, "length"),
        Number(_("edge in the last cut"), finish.edge.length, "length"),
        or_word(_("deepest last cut that stays quiet"), finish.deepest, "length", _("any")),
        Number(_("last cut"), depth, "length"),
    ]
    verdict = by_share(finish.share, QUIET_SHARE, 1.0)
    deep, sharp = (shown(size, "length", units) for size in (depth, nose))
    sentence = {
        "fine": _(
            "On the finished shape a last cut {deep} deep with a nose of {sharp} is quiet"
        ).format(deep=deep, sharp=sharp),
        "look": _(
            "A last cut {deep} deep with a nose of {sharp} is close to chatter at {place}"
        ).format(deep=deep, sharp=sharp, place=spoken(spot.place)),
        "not fine": _(
            "A last cut {deep} deep with a nose of {sharp} chatters on the finished shape, at "
            "{place}"
        ).format(deep=deep, sharp=sharp, place=spoken(spot.place)),
    }[verdict]
    sentence += f": {_remedies(finish, spot.last, job)}." if verdict != "fine" else "."
    roughed = [spot for spot in spots if spot.rough]
    if roughed:
        rough, at = max(
            ((spot.along(spot.rough, job["rough_nose"]), spot) for spot in roughed),
            key=lambda one: one[0].share,
        )
        numbers += [
            or_word(
                _("deepest roughing that stays quiet at the end"), rough.deepest, "length", _("any")
            ),
            Number(_("roughing depth"), at.rough.depth, "length"),
        ]
        if rough.share > 1:
            verdict = worst(verdict, "look")
            sentence += _(
                " Roughing {place} {depth} deep may chatter once the crank is slender: {rough}."
            ).format(
                place=spoken(at.place),
                depth=shown(at.rough.depth, "length", units),
                rough=_remedies(rough, at.rough, job),
            )
    gaps = [spot for spot in roughed if spot.between_webs]
    if gaps:
        plunged, there = max(
            ((spot.plunged(edge), spot) for spot in gaps), key=lambda one: one[0].share
        )
        numbers += [
            or_word(_("widest plunged edge that stays quiet"), plunged.deepest, "length", _("any")),
            Number(_("edge of the pin tool"), edge, "length"),
        ]
        if plunged.share > 1:
            verdict = worst(verdict, "look")
            sentence += _(
                " Plunged at {place} with its whole {edge} edge the pin tool chatters: feed it "
                "along, or {plunged}."
            ).format(
                place=spoken(there.place),
                edge=shown(edge, "length", units),
                plunged=_remedies(plunged, there.rough, job),
            )
    ratio = _("damping ratio {damping_ratio:g}").format(damping_ratio=job["damping_ratio"])
    process = _("process damping {process_damping:g} N/m").format(
        process_damping=job["process_damping"].m_as("N/m")
    )
    assumed = _assumed_springs(work) + tuple(
        _("{words}, assumed").format(words=words)
        for key, words in (("damping_ratio", ratio), ("process_damping", process))
        if key not in job.given
    )
    return Found(verdict, sentence, tuple(numbers), assumed)


class _Spot:
    """A place of the finished crank, its modes on this lathe, and its cuts."""

    def __init__(self, work, stiffness, kind, index, held):
        self.work, self.stiffness = work, stiffness
        self.between_webs = kind == "pin" or 0 < index < len(work.crank.journals) - 1
        self.place = _named(kind, index)
        radial, axial = chatter.machine_modes(
            work.crank, (kind, index), work.job.lathe, held, work.setup(held).spacers
        )
        self.bodies = tuple(zip(bodies(radial), bodies(axial), strict=True))
        self.last = work.last_cuts[self.place]
        roughed = [cut for cut in work.rough_cuts if cut.place == self.place]
        self.rough = roughed[-1] if roughed else None  # as slender as it gets

    def along(self, cut, nose):
        """Limit of a cut along the work."""
        return self._limit("along", cut.depth, cut.feed, nose, cut.speed)

    def plunged(self, edge):
        """Limit of the pin tool's whole edge, fed straight in as finely as for finishing."""
        return self._limit("plunging", edge, self.last.feed, 0 * edge, self.rough.speed)

    def _limit(self, operation, depth, feed, nose, speed):
        job = self.work.job
        return max(
            (
                chatter.turning_limit(
                    self.work.crank.steel,
                    operation,
                    depth,
                    feed,
                    *modes,
                    nose_radius=nose,
                    approach_angle=job["approach_angle"],
                    cutting_speed=speed,
                    process_damping=job["process_damping"],
                    wear=job["wear"],
                    hardness=job["hardness"],
                )
                for modes in self.bodies
            ),
            key=lambda one: one.share,
        )


def _named(kind, index):
    return f"{'pin' if kind == 'pin' else 'main'} {index + 1}"


def _softest(work):
    """The pin and the main that yield most while turned: stiffness, kind, number, how held."""
    around, found = Quantity(np.arange(0.0, 180.0, 5.0), "deg"), {}
    for piece in work.crank.rounds:
        if _named(piece.kind, piece.index) not in work.last_cuts:
            continue
        held = piece.index if piece.kind == "pin" else "main"
        where = (piece.kind, piece.index)
        soft = deflection.radial_compliance(work.crank, where, around, work.setup(held))
        found.setdefault(piece.kind, []).append((soft.m_as("um/N").max(), *where, held))
    for rows in found.values():
        most, *where = max(rows, key=lambda row: row[0])
        yield Quantity(1 / most, "N/um"), *where


def _remedies(limit, cut, job):
    """What brings a cut below its chatter limit, in words; the first home remedies first. Only what
    can be ground, cut or set on this lathe.
    """
    least = {"relieved edge": LEAST_EDGE, "less depth": rules.LEAST_PASS * (cut.work != "finish")}
    words = {
        "smaller nose": _("a nose of {}"),
        "nose at most": _("a nose of at most {}"),
        "less depth": _("no more than {}"),
        "relieved edge": _("an edge relieved to {}"),
        "slower": _("slower than {}"),
    }
    kinds, said = [each.change for each in limit.remedies], []
    for each in limit.remedies:
        if each.change not in words or each.share > 1 + 1e-9:
            continue
        if each.change == "nose at most" and "smaller nose" in kinds:
            continue
        if each.change == "slower":
            speed = spindle_speed(each.value, cut.diameter)
            if speed.m_as("rpm") <= min(job["gear_table"]):
                continue
            size = most_shown(speed, "rpm", job.units)
        elif each.value.m_as("mm") < least.get(each.change, 0.0):
            continue
        elif each.change == "smaller nose":  # one of those that are sold, no bound
            size = shown(each.value, "length", job.units, 2)
        else:
            size = most_shown(each.value, "length", job.units)
        said.append(words[each.change].format(size))
    return ", or ".join(said) if said else _("a stiffer set-up")
